"""What a refit takes of the workshop's consumables: drawn from stock in the same act."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil

from stores.model.items import Item
from stores.model.ledger import Condition, Movement, PlaceKind, Spot
from stores.planning.sharing import Promise
from stores.planning.status import Status
from stores.planning.supplies import WENT_IN, Lot, OpenNeed, Shared, share_supplies
from stores.storage import Writer
from stores.storage.figures import step_row
from stores.storage.stock import StockFactRow, StockUseRow, read_reserved
from stores.usecases.common import from_hand
from stores.usecases.taking import Supplies, hazards_of

__all__ = ["Drawn", "Draws", "NotDrawn", "what_to_draw"]


@dataclass(frozen=True, slots=True)
class Drawn:
    """So much of a thing in stock that went in with a step, by which rule, and what is left of it.

    ``takes`` is exact; ``quantity`` is what was drawn, whole units: 0 where the unit that was drawn
    for an earlier step is enough.
    """

    step: int
    item: str
    text: str
    unit: str
    takes: float
    quantity: int
    left: int
    basis: str


@dataclass(frozen=True, slots=True)
class NotDrawn:
    """What a step takes and was not drawn: ``quantity`` of it, None where that is not known.

    ``why``: none in stock, no more there, kept for others, in whole cans, past its date, opened,
    which one, or not known. ``item`` is what is there, if anything, and ``kept_for`` for whom.
    """

    step: int
    text: str
    unit: str
    quantity: float | None
    why: str
    item: str = ""
    kept_for: tuple[Promise, ...] = ()


@dataclass(slots=True)
class Draws:
    """What to write down: movements, and of each lot how much went to which step."""

    moves: list[Movement] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    not_drawn: list[NotDrawn] = field(default_factory=list)
    hazards: dict[str, None] = field(default_factory=dict)
    uses: list[tuple[int, int, int, str]] = field(default_factory=list)
    """Loose item, step, quantity and basis."""
    opened: set[int] = field(default_factory=set)
    """What was not opened yet."""

    def write(self, writer: Writer, act: int, machine: int, day: str) -> None:
        """Write down who used what, beside the movements."""
        for item, step, quantity, basis in self.uses:
            writer.append(
                StockUseRow(
                    act_id=act, item_id=item, machine_id=machine,
                    step_id=step_row(writer.connection, machine, step), quantity=quantity,
                    what=WENT_IN, basis=basis,
                )
            )  # fmt: skip
        for item in sorted(self.opened):
            writer.append(StockFactRow(act_id=act, item_id=item, name="opened", value=day))


def what_to_draw(
    writer: Writer, status: Status, machine: str, steps: Iterable[int], loose: Iterable[Item]
) -> Draws:
    """Return what these steps take of the stock, now that they are all on.

    Opened ones that are still good first, then the lowest number; never what is kept for others,
    past its date, or brake fluid of a tin that was opened before. Never more than is there.
    """
    done = Draws()
    which = {number for number in steps if status.steps[number].notes.applied}
    if not which:
        return done
    items = {item.number: item for item in loose}
    supplies = Supplies.read(writer.connection, items.values())
    lots = [lot for lot in supplies.lots if not lot.each]
    needs = [need for need in supplies.open_needs(status, machine) if need.need.step in which]
    shared = share_supplies(lots, needs, read_reserved(writer.connection))
    so_far: dict[int, Fraction] = {}
    taken: dict[int, int] = {}
    for place, need in enumerate(needs):
        given = shared.of(place)
        for lot, some in given:
            so_far[lot.item] = so_far.get(lot.item, Fraction(0)) + some
            count = ceil(so_far[lot.item]) - taken.get(lot.item, 0)
            taken[lot.item] = taken.get(lot.item, 0) + count
            _note(done, need, lot, some, count, lot.quantity - taken[lot.item])
        if need.drawn and not given and not need.quantity:
            _note_covered(done, need, supplies, items)
        _note_lack(done, need, sum((some for _, some in given), Fraction(0)), supplies, shared)
    used = writer.place(PlaceKind.USED, PlaceKind.USED.value).number if taken else 0
    for number, count in taken.items():
        if not count:
            continue
        spots = from_hand(writer.stock([number]), items[number], count, tuple(Condition))
        done.moves += [
            Movement(number, some, spot, Spot(used, spot.condition)) for spot, some in spots
        ]
    return done


def _note(done: Draws, need: OpenNeed, lot: Lot, some: Fraction, count: int, left: int) -> None:
    of = need.need
    done.drawn.append(
        Drawn(of.step, lot.ref, lot.name, lot.unit, float(some), count, left, of.basis)
    )
    done.uses.append((lot.item, of.step, count, of.basis))
    if lot.unit and lot.opened is None:
        done.opened.add(lot.item)
    done.hazards |= dict.fromkeys(
        line for line in hazards_of(of.kind) if not line.startswith(("Waste", "The pack's label"))
    )


def _note_covered(done: Draws, need: OpenNeed, supplies: Supplies, items: dict[int, Item]) -> None:
    """Note what takes nothing more: used before it, or left of what an earlier step drew."""
    of = need.need
    last = next(
        (
            use.item
            for use in reversed(supplies.uses)
            if use.machine == of.machine
            and use.item in supplies.things
            and supplies.things[use.item].serves(need.thing)
        ),
        None,
    )
    if last is None:
        return
    item = items[last]
    done.drawn.append(
        Drawn(
            of.step, item.ref, supplies.names[last], of.unit, float(need.drawn), 0,
            item.in_hand(*Condition), of.basis,
        )
    )  # fmt: skip
    done.uses.append((last, of.step, 0, of.basis))


def _note_lack(
    done: Draws, need: OpenNeed, had: Fraction, supplies: Supplies, shared: Shared
) -> None:
    """Note what was not drawn, and why."""
    of = need.need
    name = of.name or of.said
    if need.quantity is None:
        why = "which one" if of.choices else "not known"
        done.not_drawn.append(NotDrawn(of.step, name, of.unit, None, why))
        return
    short = need.quantity - had
    if short <= 0:
        return
    there = [lot for lot in supplies.lots if need.fits(lot)]
    kept_for: tuple[Promise, ...] = ()
    bad = next((lot for lot in there if lot.bad), None)
    cans = next((lot for lot in there if lot.each), None)
    if bad is not None:
        why, ref = bad.bad, bad.ref
    elif cans is not None:
        why, ref = "in whole cans", cans.ref
    elif not there:
        why, ref = "none in stock", ""
    else:
        kept_for, kept = shared.kept_of(need.fits)
        why, ref = ("kept for others", kept[0].ref) if kept else ("no more there", there[0].ref)
    done.not_drawn.append(NotDrawn(of.step, name, of.unit, float(short), why, ref, kept_for))
