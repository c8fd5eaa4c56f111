"""The end of a day and the end of the job: a person's own words, and closing a machine out."""

from stores.errors import Refused
from stores.model.ledger import ActKind
from stores.planning.closing import in_the_way
from stores.storage import Store
from stores.storage.closing import closed_out
from stores.storage.machines import machine_named
from stores.storage.planned import status_on
from stores.text import clean
from stores.usecases.common import NOTE_LENGTH, Done

__all__ = ["close_out", "hand_over"]


def hand_over(
    store: Store, words: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Keep what a person says at the end of a day, in their own words."""
    text = clean(words, "the note", most=NOTE_LENGTH)
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        short = text if len(text) <= 60 else f"{text[:59]}…"
        act = writer.begin(ActKind.HANDOVER, f"note for {on.name}: {short}", at=at)
        writer.handover(act, on.number, text)
    return Done(
        act,
        (f"Noted for {on.name}.",),
        data={"act": act, "machine": on.name, "words": text},
    )


def close_out(
    store: Store, *, note: str = "", machine: str | None = None, at: str | None = None
) -> Done:
    """Close a machine out: nothing left over, short or away, no snag open, all checks signed.

    Raises:
        Refused: something stands in the way, or it is closed out already.
    """
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        known = closed_out(writer.connection, on.number)
        if known:
            raise Refused(f"{on.name} is closed out already, act {known[0]} on {known[1]}")
        status = status_on(writer.connection, on.number)
        if not status.steps:
            raise Refused(f"nothing of {on.name} was taken off yet: there is nothing to close")
        matters = in_the_way(status)
        if matters:
            more = f"; and {len(matters) - 4} more" if len(matters) > 4 else ""
            raise Refused(
                f"{len(matters)} in the way of closing {on.name} out: {'; '.join(matters[:4])}"
                f"{more} (all: stores close --look)"
            )
        act = writer.begin(ActKind.CLOSE, f"{on.name} closed out", reason=note, at=at)
        writer.closing(act, on.number, note)
    return Done(
        act,
        (f"{on.name} is closed out: nothing left over, nothing short, nothing away.",),
        ("Its bound record: stores book book.pdf",),
        data={"act": act, "machine": on.name},
    )
