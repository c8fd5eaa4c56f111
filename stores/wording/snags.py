"""Snags and the survey, in words."""

from typing import TYPE_CHECKING

from stores.text import counted, day_words
from stores.wording import Listing, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.usecases.snags import PicturesOfSnag, SnagCleared, SnagRecorded, Snags

__all__ = ["HINTS", "REFUSALS", "cleared", "listing", "recorded", "shown"]

REFUSALS = {
    "no such sort of fault": "I don't know the fault {typed!r}. Use one of: {sorts}",
    "no such snag": "no snag {number} on {machine}: " + quoted("{hint}") + " lists them",
    "snag only noted": "snag {number} is noted only: it needs no clearing",
    "snag cleared already": "snag {number} is cleared already: {how}",
    "how was it cleared": (
        "how was snag {number} cleared? Say what was found or done, or " + to_type("--with")
    ),
    "which pictures": "say which pictures, by their numbers",
}
HINTS = {"snags": "stores snag list --all"}


def recorded(reply: "SnagRecorded") -> Said:
    """Return that a snag is on record."""
    where = (
        f"{reply.item} {reply.name}"
        if reply.item
        else reply.assembly or (f"step {reply.step}" if reply.step else "the machine")
    )
    words = f"{reply.sort}: {reply.text}" + (f", {reply.side}" if reply.side else "")
    tag = f"  [{reply.machine}]" if reply.other_machines else ""
    return Said(
        (f"Snag {reply.snag}, {where}: {words}{tag}",), (f"{reply.open} open",), reply.cautions
    )


def cleared(reply: "SnagCleared") -> Said:
    """Return that a snag is cleared, and how many are left."""
    return Said(
        (
            f"Snag {reply.snag.number} cleared ({reply.snag.words}): {reply.how}",
            *(
                [f"What was broken in the hole is scrapped: {counted(reply.scrapped)}"]
                if reply.scrapped
                else []
            ),
        ),
        (f"{reply.open} open" if reply.open else "No snag is open",),
    )


def shown(reply: "PicturesOfSnag") -> Said:
    """Return which pictures show a snag."""
    numbers = ", ".join(str(number) for number in reply.pictures)
    word = "no longer of" if reply.taken_off else "of"
    return Said((f"Picture {numbers} {word} snag {reply.snag.number} ({reply.snag.words})",))


def listing(reply: "Snags") -> Listing:
    """Return the snags as a table."""
    rows = []
    for snag in reply.snags:
        text = snag.words
        if snag.pictures:
            text += f" (picture {', '.join(str(number) for number in snag.pictures)})"
        if snag.cleared:
            text += f"; cleared {day_words(snag.cleared_on)}: {snag.cleared}"
        rows.append([str(snag.number), day_words(snag.date), snag.where, text])
    return Listing(
        ["No", "Date", "Where", "What"], rows, [0], f"No snag is open on {reply.machine}."
    )
