"""Bag labels: which are due, made for a printer, and come out of it or not; printers' offsets."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores.errors import BadValue, NotFound, Refused
from stores.model.ledger import ActKind, PlaceKind
from stores.planning.bags import Bag
from stores.storage import Store
from stores.storage.labels import labels_waiting, read_printers
from stores.storage.search import read_bags
from stores.storage.writer import now
from stores.text import clean, fold
from stores.usecases.common import Done, bag_named

__all__ = ["Outcome", "due_bags", "labels_came_out", "labels_made", "set_printer"]

MOST_MM = 20.0


def due_bags(store: Store, codes: Sequence[str] = (), *, everything: bool = False) -> list[Bag]:
    """Give the bags whose label is new or changed since it was printed; or all, or those named.

    Raises:
        NotFound: a bag that is named holds nothing.
        NotationError: a bag code with a slip.
    """
    with store.reading() as connection:
        held = read_bags(connection)
        if codes:
            named = [bag_named(connection, code) for code in codes]
            empty = [code for code in named if code not in held]
            if empty:
                raise NotFound(f"nothing is in bag {', '.join(empty)}: there is no label to print")
            return [held[code] for code in dict.fromkeys(named)]
    return [bag for bag in held.values() if everything or bag.label_due]


def labels_made(store: Store, bags: Iterable[Bag], file: str) -> None:
    """Write down that the labels of these bags were made: they count once they have come out."""
    with store.writing() as writer:
        for bag in bags:
            place = writer.place(PlaceKind.BAG, bag.code).number
            writer.label(place, bag.digest, file, now())


@dataclass(frozen=True, slots=True)
class Outcome:
    """The bags whose labels came out good, and those that were spoilt."""

    good: tuple[str, ...]
    spoilt: tuple[str, ...]


def labels_came_out(store: Store, spoilt: Sequence[str] = ()) -> Outcome:
    """Write down that the labels made last came out of the printer, but for the spoilt ones.

    Raises:
        Refused: no label waits for that, or one of the spoilt was not made.
        NotationError: a bag code with a slip.
    """
    with store.writing() as writer:
        waiting = labels_waiting(writer.connection)
        if not waiting:
            raise Refused("no label is waiting: 'stores labels' makes those that are due")
        bad = {bag_named(writer.connection, code) for code in spoilt}
        codes = {each.code for each in waiting}
        if bad - codes:
            raise Refused(
                f"no label of {', '.join(sorted(bad - codes))} was made; "
                f"waiting are {', '.join(sorted(codes))}"
            )
        for each in waiting:
            writer.outcome(each.label, good=each.code not in bad, at=now())
    return Outcome(tuple(sorted(codes - bad)), tuple(sorted(bad)))


def set_printer(
    store: Store,
    name: str,
    *,
    right_mm: float | None = None,
    down_mm: float | None = None,
    dpi: int | None = None,
    at: str | None = None,
) -> Done:
    """Write down how far a printer prints to the right and below where it should.

    What is None stays as it was. Offsets up to 20 mm either way.

    Raises:
        BadValue: an offset or a resolution out of range, or nothing said.
    """
    name = clean(name, "the printer's name", most=60)
    for what, mm in (("right", right_mm), ("down", down_mm)):
        if mm is not None and not -MOST_MM <= mm <= MOST_MM:
            raise BadValue(f"{mm:g} mm {what}: expected -{MOST_MM:g} to {MOST_MM:g}")
    if dpi is not None and dpi not in (0, *range(100, 2401)):
        raise BadValue(f"{dpi} dots an inch: expected 100 to 2400, label printers have 203 or 300")
    if right_mm is None and down_mm is None and dpi is None:
        raise BadValue("say how far it is out, as in --right 0.5 --down -1.2")
    with store.writing() as writer:
        known = {fold(each.name): each for each in read_printers(writer.connection)}
        was = known.get(fold(name))
        right = right_mm if right_mm is not None else was.right_mm if was else 0.0
        down = down_mm if down_mm is not None else was.down_mm if was else 0.0
        dots = dpi if dpi is not None else was.dpi if was else 0
        kept = was.name if was else name
        said = f"{kept}: {right:+g} mm to the right, {down:+g} mm down"
        said += f", {dots} dots an inch" if dots else ""
        act = writer.begin(ActKind.PRINTER, f"printer {said}", at=at)
        writer.printer(
            act, kept, fold(kept), right_um=round(right * 1000), down_um=round(down * 1000),
            dpi=dots,
        )  # fmt: skip
    return Done(
        act,
        (f"Printer {said}",),
        ("Sheets for it are shifted the other way: stores labels --printer " + repr(kept),),
        data={"act": act, "printer": kept, "right_mm": right, "down_mm": down, "dpi": dots},
    )
