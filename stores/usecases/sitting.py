"""Inspection in one sitting: what there is to inspect, and many verdicts as one act.

At the bench each answer is an act of its own, written before the next line is shown: nothing that
was answered is lost with the terminal, and one answer is taken back by itself. A list is one act.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stores.errors import BadValue, Hint, Refused, StoresError
from stores.handbook.inspection import points_for
from stores.model.items import Item
from stores.model.ledger import ActKind, Condition, Movement, Spot, Stock, record, take
from stores.planning.status import cautions_of
from stores.storage import Writer
from stores.storage.assembling import read_refits
from stores.storage.machines import machine_named
from stores.text import beside, clean, counted
from stores.usecases.common import (
    NOTE_LENGTH,
    REASON_NEEDED,
    SPOKEN,
    PiecesAt,
    Selection,
    count_of,
    pieces_of,
    scope_of,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.inspect import (
    FIT_AGAIN,
    INSPECTED_FROM,
    InspectedItem,
    NamedItem,
    condition_of,
)

__all__ = [
    "InspectEach",
    "InspectedEach",
    "Inspection",
    "InspectionOf",
    "ItemVerdict",
    "LimitOnRecord",
    "ToInspect",
    "VerdictGiven",
    "inspect_each",
    "read_list",
    "to_inspect",
    "verdict_named",
]

NOT_INSPECTED = (Condition.AS_REMOVED, Condition.QUARANTINE)
"""The conditions of pieces that somebody has yet to decide about."""


@dataclass(frozen=True, slots=True)
class InspectionOf:
    """What is to be inspected in one sitting: an item, step, bag, box, shelf, assembly or machine;
    empty for the machine last worked on."""

    what: str = ""


@dataclass(frozen=True, slots=True)
class LimitOnRecord:
    """Something to measure at a step, its limits, and what was measured last, empty for nothing."""

    name: str
    limits: str
    found: str


@dataclass(frozen=True, slots=True)
class ToInspect:
    """A line of what there is to inspect: so many pieces, where, and what to look for."""

    item: str
    machine: str
    assembly: str
    part: str
    step: int
    text: str
    position: str
    quantity: int
    pieces: tuple[PiecesAt, ...]
    verdict: str
    points: str
    limits: tuple[LimitOnRecord, ...]
    hazard: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Inspection:
    """What there is to inspect. ``left_out`` are kinds that are renewed as a rule; ``within`` is
    the bag, box or shelf that was named, as `InspectEach` takes it, empty for none."""

    name: str
    within: str
    lines: tuple[ToInspect, ...]
    left_out: tuple[NamedItem, ...]


@dataclass(frozen=True, slots=True)
class ItemVerdict:
    """A verdict on pieces of an item, a step or a bag, as typed. Without a ``quantity`` it is on
    all that nobody has decided about."""

    item: str
    verdict: str
    quantity: str | int | None = None
    reason: str = ""

    def __str__(self) -> str:
        words = (self.item, self.quantity, self.verdict, self.reason)
        return " ".join(str(word) for word in words if word)


@dataclass(frozen=True, slots=True)
class InspectEach(Ask):
    """Verdicts on several items: read already, or as typed in a list (`read_list`).

    ``within`` leaves alone what is not in that bag, box or on that shelf; ``undecided`` leaves
    alone what somebody has decided about.
    """

    verdicts: Sequence[ItemVerdict] = ()
    listed: str = ""
    within: str = ""
    undecided: bool = False


@dataclass(frozen=True, slots=True)
class VerdictGiven:
    """A verdict and what has it now."""

    condition: Condition
    reason: str
    items: tuple[InspectedItem, ...]
    left_out: tuple[NamedItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectedEach(Reply):
    """What has which verdict now, in the order of the list."""

    machine: str
    pieces: int
    verdicts: tuple[VerdictGiven, ...]


def to_inspect(context: Context, ask: InspectionOf) -> Inspection:
    """Return the pieces in hand that nobody has decided about, line by line.

    Raises:
        NotFound, NotationError: nothing is called that.
    """
    with context.reading() as connection:
        scope = scope_of(connection, context.machine, ask.what)
        limits: dict[tuple[str, int], tuple[LimitOnRecord, ...]] = {}
        machines = {item.step.machine for item in scope.items}
        for name in machines - {""}:  # the workshop's stock is of none
            number = machine_named(connection, name).number
            for counted_as, notes in read_refits(connection, number).steps.items():
                limits[name, counted_as] = tuple(
                    LimitOnRecord(point.name, point.limits, point.measured)
                    for point in notes.points
                )
        lines, left_out = [], []
        for item in scope.items:
            pieces = tuple(
                each
                for each in pieces_of([item])
                if each.kind.in_hand
                and each.condition in NOT_INSPECTED
                and (scope.place_names is None or each.place in scope.place_names)
            )
            if not pieces:
                continue
            if item.renew and len(scope.items) > 1:
                left_out.append(NamedItem(item.ref, item.as_found.text))
                continue
            step = item.step
            part = item.line == 1 and bool(step.number)
            lines.append(
                ToInspect(
                    item.ref,
                    step.machine,
                    step.assembly,
                    step.part,
                    step.number,
                    item.as_found.text,
                    item.position,
                    sum(each.quantity for each in pieces),
                    pieces,
                    item.verdict,
                    points_for(item.as_found.text) or (points_for(step.part) if part else ""),
                    limits.get((step.machine, step.number), ()),
                    step.hazard,
                    cautions_of(step, [item]),
                )
            )
    within = "" if scope.places is None else ask.what
    return Inspection(scope.name, within, tuple(lines), tuple(left_out))


def inspect_each(context: Context, ask: InspectEach) -> InspectedEach:
    """Record verdicts on several items as one act: all of them or none.

    When a whole step or bag is passed, kinds that are renewed as a rule are left out, and named.

    Raises:
        BadValue: an empty list.
        Refused: what is wrong with the list: ``faults`` are the entries and what is wrong with
            each. A single verdict that is wrong is refused as itself.
    """
    entries, faults = read_list(ask.listed)
    asked = [*((str(each), each) for each in ask.verdicts), *entries]
    if not asked and not faults:
        raise BadValue("an empty list")
    with context.writing(ask) as writer:
        within = None
        if ask.within:
            within = scope_of(writer.connection, context.machine, ask.within).places
        moves: list[Movement] = []
        given: list[VerdictGiven] = []
        findings: list[tuple[int, int, VerdictGiven]] = []
        machine = ""
        scratch: dict[int, Stock] = {}
        for typed, each in asked:
            try:
                chosen = select(writer.connection, context.machine, each.item)
                verdict, moved = _verdict(writer, chosen, each, within, ask.undecided, scratch)
            except StoresError as error:
                faults.append((typed, error))
            else:
                machine = chosen.machine.name
                moves += moved
                given.append(verdict)
                sums: dict[int, int] = {}
                for move in moved:
                    sums[move.item] = sums.get(move.item, 0) + move.quantity
                findings += [(item, count, verdict) for item, count in sums.items()]
        if faults:
            if len(asked) == 1 and not ask.listed:
                raise faults[0][1]
            raise Refused("faults in a list", faults=tuple(faults))
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.INSPECT, _summary(given, total), reason=_reason(given), at=context.at
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.INSPECT, moves))
        for item, count, verdict in findings:
            writer.finding(act, item, count, verdict.condition, verdict.reason)
    return InspectedEach(
        act=act, trial=ask.trial, machine=machine, pieces=total, verdicts=tuple(given)
    )


def _verdict(
    writer: Writer,
    chosen: Selection,
    each: ItemVerdict,
    within: frozenset[int] | None,
    undecided: bool,
    scratch: dict[int, Stock],
) -> tuple[VerdictGiven, list[Movement]]:
    """Return one verdict with its movements. ``scratch`` holds what earlier ones have left of each
    item, so that no piece has two verdicts."""
    condition, quantity = verdict_named(each.verdict), count_of(each.quantity)
    reason = clean(each.reason, "the reason", most=NOTE_LENGTH, empty=True)
    if condition in REASON_NEEDED and not reason:
        raise Refused("verdict without a reason", verdict=each.verdict)
    several = len(chosen.items) > 1
    moves: list[Movement] = []
    judged: list[InspectedItem] = []
    left_out: list[NamedItem] = []
    for item in chosen.picked(quantity):
        if several and item.renew and condition in FIT_AGAIN:
            left_out.append(NamedItem(item.ref, item.as_found.text))
            continue
        stock = scratch.setdefault(item.number, writer.stock([item.number]))
        spots = _spots(stock, item, quantity, condition, chosen.bag, within, undecided)
        if not spots and not several and not undecided and condition in REASON_NEEDED:
            # Judged already: a worse verdict mends the better one.
            spots = _spots(
                stock, item, None, condition, chosen.bag, within, undecided, INSPECTED_FROM
            )
        for spot, count in spots:
            moves.append(Movement(item.number, count, spot, Spot(spot.place, condition)))
            stock.balance.apply(Movement(item.number, count, spot, Spot(_JUDGED, condition)))
        if spots:
            judged.append(
                InspectedItem(
                    item.ref, sum(some for _, some in spots), item.text, condition, reason
                )
            )
    if not moves:
        raise Refused("nothing left to inspect", what=each.item, pieces=pieces_of(chosen.items))
    return VerdictGiven(condition, reason, tuple(judged), tuple(left_out)), moves


_JUDGED = -1
"""No place: where pieces are that have a verdict of this list."""


def _spots(
    stock: Stock,
    item: Item,
    quantity: int | None,
    condition: Condition,
    bag: str,
    within: frozenset[int] | None,
    undecided: bool,
    sources: Sequence[Condition] | None = None,
) -> list[tuple[Spot, int]]:
    if sources is None:
        sources = NOT_INSPECTED if undecided or quantity is None else INSPECTED_FROM
    places = [
        place
        for place, kind in stock.kinds.items()
        if kind.in_hand
        and (within is None or place in within)
        and (not bag or stock.name_place(place) == bag)
    ]
    return take(stock, item.number, quantity, places, [c for c in sources if c is not condition])


def verdict_named(typed: str) -> Condition:
    """Return the condition that a verdict gives: good, repair, scrap, unsure, or the condition.

    Raises:
        BadValue: none of the words.
        Refused: "new" or "as removed", which no inspection gives.
    """
    condition = condition_of(typed)
    if condition is Condition.NEW:
        raise Refused("an inspection makes nothing new", hint=Hint("buy"))
    if condition is Condition.AS_REMOVED:
        raise Refused("as removed is no verdict", hint=Hint("undo"))
    return condition


_VERDICT_WORDS = frozenset({*SPOKEN, *SPOKEN.values()})


def read_list(text: str) -> tuple[list[tuple[str, ItemVerdict]], list[tuple[str, StoresError]]]:
    """Return the verdicts of a list, and what cannot be read, each with the words it came from.

    Entries are parted by semicolons or new lines: what it is, then verdicts, several only with a
    count before each: ``1.1 good; 1.2 3 good 1 scrap necked; 2.1 repair bent``.
    """
    entries: list[tuple[str, ItemVerdict]] = []
    faults: list[tuple[str, StoresError]] = []
    for part in re.split(r"[;\n]", text):
        typed = " ".join(part.split())
        if not typed:
            continue
        try:
            entries += [(typed, each) for each in _entry(typed)]
        except StoresError as error:
            faults.append((typed, error))
    return entries, faults


def _entry(typed: str) -> Iterator[ItemVerdict]:
    what, *words = typed.split()
    if what.casefold() == "step" and words:
        what = words.pop(0)
    starts = [
        at
        for at, word in enumerate(words)
        if re.fullmatch(r"[+\-−]?\d+", word) and at + 1 < len(words) and _is_verdict(words[at + 1])
    ]
    if starts and starts[0] == 0:
        ends = [*starts[1:], len(words)]
        return iter(
            [
                ItemVerdict(what, words[at + 1], words[at], " ".join(words[at + 2 : end]))
                for at, end in zip(starts, ends, strict=True)
            ]
        )
    if not words:
        raise BadValue("no verdict in the list", what=what)
    if starts or (len(words) > 1 and words[1].casefold() in _VERDICT_WORDS):
        raise BadValue("verdicts without counts", what=what)
    if words[-1].isdigit() and len(words) == 2:
        raise BadValue("count behind a verdict", what=what, count=words[-1], verdict=words[0])
    return iter([ItemVerdict(what, words[0], None, " ".join(words[1:]))])


def _is_verdict(word: str) -> bool:
    try:
        verdict_named(word)
    except StoresError:
        return False
    return len(word) > 1


def _summary(given: Sequence[VerdictGiven], total: int) -> str:
    if len(given) == 1 and len(given[0].items) == 1:
        (item,) = given[0].items
        return f"{counted(total)} of {beside(item.item, item.text)} {given[0].condition}"
    sums: dict[Condition, int] = {}
    for each in given:
        count = sum(item.quantity for item in each.items)
        sums[each.condition] = sums.get(each.condition, 0) + count
    return f"{counted(total)} inspected: " + ", ".join(
        f"{count} {condition}" for condition, count in sums.items()
    )


def _reason(given: Sequence[VerdictGiven]) -> str:
    """Return the reasons of an act, each with the item it is of where there are several."""
    if len(given) == 1:
        return given[0].reason
    said = "; ".join(
        f"{', '.join(item.item for item in each.items)} {each.reason}"
        for each in given
        if each.reason
    )
    return said if len(said) <= NOTE_LENGTH else said[: NOTE_LENGTH - 1] + "…"
