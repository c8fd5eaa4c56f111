"""Counting a place: what differs from the record, and the differences as an act with a reason.

A count is absolute: what is expected and not mentioned is missing. Missing goes to "lost", too many
comes back from "lost", else from unknown origin. A missing bag is only taken out of its box.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, NotationError, NotFound, Refused, StoresError
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record, take
from stores.planning.counts import CountLine, Met, compare, read_counted, read_exceptions
from stores.storage import Writer
from stores.storage.counts import CountLineRow, CountRow, place_called, should_hold, sits_in
from stores.storage.items import read_items
from stores.storage.places import StowingRow, place_names, places_above, places_inside
from stores.text import beside, clean, plural
from stores.usecases.common import NOTE_LENGTH, bag_named, select
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.places import ANY_CONDITION

__all__ = [
    "ComparePlace",
    "CountPlace",
    "LineCounted",
    "PlaceCompared",
    "PlaceCounted",
    "compare_place",
    "count_place",
]


@dataclass(frozen=True, slots=True)
class ComparePlace:
    """What was counted in a bag, box, shelf or on the bench.

    ``scanned`` are bag codes, boxes by name, items as ``7.2=3`` or ``7.2`` for each piece. With
    ``but``, which may be empty, all is there as listed, except what that says: ``1.2: 3, 2.1:
    none``; None where everything was counted.
    """

    place: str
    scanned: Sequence[str] = ()
    but: str | None = None


@dataclass(frozen=True, slots=True)
class CountPlace(Ask):
    """A count, as in `ComparePlace`, that is right where it differs; ``reason`` is why it does."""

    place: str
    scanned: Sequence[str] = ()
    reason: str = ""
    but: str | None = None


@dataclass(frozen=True, slots=True)
class LineCounted:
    """One thing that was expected or found.

    ``kind`` is "item", "place", or "words" for what is neither; then ``unread`` is why. ``verdict``
    is "right", "missing", "too many", or "extra", which was not expected here; ``recorded_in`` is
    where an extra bag or box should be by the record.
    """

    kind: str
    what: str
    expected: int
    found: int
    verdict: str
    recorded_in: str = ""
    unread: StoresError | None = field(default=None, compare=False)

    @property
    def name(self) -> str:
        """As a count names it: an item by its number, ``7.2``, a place by its name."""
        return self.what.partition(" ")[0] if self.kind == "item" else self.what


@dataclass(frozen=True, slots=True)
class PlaceCompared:
    """A count beside the record; ``differences`` counts the lines that differ."""

    place: str
    differences: int
    lines: tuple[LineCounted, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceCounted(Reply):
    """A count on record; ``moved`` counts the pieces that were lost or turned up by it."""

    place: str
    kind: PlaceKind
    differences: int
    moved: int
    lines: tuple[LineCounted, ...]


def compare_place(context: Context, ask: ComparePlace) -> PlaceCompared:
    """Return how what was counted in a place differs from the record.

    Raises:
        NotFound: no such place or item.
        BadValue: no count; counted pieces beside "as listed".
        Refused: a bag in a bag; an exception of what is not listed here.
    """
    with context.reading() as connection:
        number, kind, name = _place(connection, ask.place)
        lines = _lines(connection, context.machine, number, kind, ask)
    return PlaceCompared(name, _differences(lines), _counted(lines))


def count_place(context: Context, ask: CountPlace) -> PlaceCounted:
    """Record what was counted in a place.

    Pieces that are missing are recorded lost, pieces too many come back from "lost", else from
    unknown origin; a bag that is missing is no longer said to be here, a bag that is extra now
    is. What is in no record is written down as it was read.

    Raises:
        NotFound: no such place or item.
        BadValue: no count.
        Refused: it differs and nothing says why; a bag in a bag, or a box in what it holds.
    """
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        number, kind, name = _place(writer.connection, ask.place)
        lines = _lines(writer.connection, context.machine, number, kind, ask)
        differences = _differences(lines)
        if differences and not reason:
            raise Refused("why does the count differ", differences=differences, place=name)
        verdict = plural(differences, "difference") if differences else "as expected"
        act = writer.begin(
            ActKind.COUNT, f"{kind.at(name)} counted: {verdict}", reason=reason, at=context.at
        )
        row = writer.append(CountRow(act_id=act, place_id=number, note=reason))
        for line in lines:
            writer.append(
                CountLineRow(
                    act_id=act,
                    count_id=row,
                    place_id=line.number if line.kind == "place" else None,
                    item_id=line.number if line.kind == "item" else None,
                    words=line.name if not line.number else "",
                    expected=line.expected,
                    found=line.found,
                )
            )
        moves = _moves(writer, lines, number)
        writer.move(act, record(writer.stock_for(moves), ActKind.COUNT, moves, reason))
        _stow(writer, act, lines, number)
    return PlaceCounted(
        act=act, trial=ask.trial, place=name, kind=kind, differences=differences,
        moved=sum(move.quantity for move in moves), lines=_counted(lines),
    )  # fmt: skip


def _differences(lines: Iterable[CountLine]) -> int:
    return sum(line.found != line.expected for line in lines)


def _counted(lines: Iterable[CountLine]) -> tuple[LineCounted, ...]:
    return tuple(
        LineCounted(
            line.kind, line.name, line.expected, line.found, line.verdict, line.recorded_in,
            line.unread,
        )
        for line in lines
    )  # fmt: skip


def _place(connection: Connection, text: str) -> tuple[int, PlaceKind, str]:
    name = clean(text, "the place", most=60)
    box = place_called(connection, name)
    if box is not None:
        return box
    if not bagcode.looks_like_code(name):
        raise NotFound("no such box or shelf", name=name)
    code = bag_named(connection, name)
    return _bag_row(connection, code), PlaceKind.BAG, code


def _bag_row(connection: Connection, code: str) -> int:
    return next(
        number
        for number, (kind, name) in place_names(connection).items()
        if kind is PlaceKind.BAG and name == code
    )


def _lines(
    connection: Connection,
    machine: str | None,
    number: int,
    kind: PlaceKind,
    ask: ComparePlace | CountPlace,
) -> list[CountLine]:
    counts = [_met(connection, clean(text, "what was scanned"), machine) for text in ask.scanned]
    inside = sits_in(connection)
    expected = should_hold(connection, number)
    if ask.but is not None:
        counts = _as_listed(connection, machine, number, ask, expected)
    for met in counts:
        if met.kind == "place":
            if kind is PlaceKind.BAG or met.number == number:
                raise Refused("a place that cannot be in it", name=met.name, place=ask.place)
            if inside.get(met.number) == number:
                expected.setdefault((met.kind, met.number), (met.name, 1))  # empty, but it is here
    lines = []
    for line in compare(expected, counts):
        outer = ""
        if line.kind == "place" and line.number in inside and line.verdict == "extra":
            around = inside[line.number]
            outer = place_names(connection, [around])[around][1]
        lines.append(replace(line, recorded_in=outer))
    return lines


def _as_listed(
    connection: Connection,
    machine: str | None,
    place: int,
    ask: ComparePlace | CountPlace,
    expected: Mapping[tuple[str, int], tuple[str, int]],
) -> list[Met]:
    """Return a count that is as expected, but for what the ask says."""
    if ask.scanned:
        raise BadValue("counted and as listed")
    counts = {key: Met(*key, name, count) for key, (name, count) in expected.items()}
    for name, found in read_exceptions(ask.but or "").items():
        met = _met(connection, name, machine)
        if met.kind == "words":
            raise met.unread or NotFound("no such box or shelf", name=name)
        key = (met.kind, met.number)
        if met.kind == "place" and found > 1:
            raise BadValue("no exception", typed=f"{name}: {found}")
        if met.kind == "item" and key not in counts:
            _refuse_deeper(connection, place, met, ask.place)
        if found:
            counts[key] = replace(met, count=found)
        elif counts.pop(key, None) is None:
            raise Refused("not listed here", name=met.name, place=ask.place)
    return list(counts.values())


def _refuse_deeper(connection: Connection, place: int, met: Met, called: str) -> None:
    """Refuse an exception of an item that lies in a bag or box within the place counted."""
    for inner in places_inside(connection, place) - {place}:
        if ("item", met.number) in should_hold(connection, inner):
            _, name = place_names(connection, [inner])[inner]
            raise Refused("in a place within", name=met.name, inner=name, place=called)


def _met(connection: Connection, text: str, machine: str | None) -> Met:
    """Return what one line that was typed or scanned is."""
    item = read_counted(text)
    if item is not None:
        chosen = select(connection, machine, item[0]).only
        return Met("item", chosen.number, beside(chosen.ref, chosen.text), item[1])
    box = place_called(connection, text)
    if box is not None:
        return Met("place", box[0], box[2])
    try:
        code = bag_named(connection, text)
    except (BadValue, NotationError, NotFound) as error:
        return Met("words", 0, text, unread=error)
    return Met("place", _bag_row(connection, code), code)


def _moves(writer: Writer, lines: Sequence[CountLine], place: int) -> list[Movement]:
    moves: list[Movement] = []
    differ = [line for line in lines if line.kind == "item" and line.found != line.expected]
    if not differ:
        return moves
    lost = writer.place(PlaceKind.LOST, "lost").number
    stock = writer.stock([line.number for line in differ], [place, lost])
    for line in differ:
        if line.found < line.expected:
            for spot, some in take(
                stock, line.number, line.expected - line.found, [place], ANY_CONDITION
            ):
                moves.append(Movement(line.number, some, spot, Spot(lost, spot.condition)))
            continue
        more = line.found - line.expected
        for condition in ANY_CONDITION:
            some = min(more, max(0, stock.balance.at(line.number, Spot(lost, condition))))
            if some:
                moves.append(
                    Movement(line.number, some, Spot(lost, condition), Spot(place, condition))
                )
                more -= some
        if more:
            unknown = writer.place(PlaceKind.UNKNOWN, "unknown origin").number
            state = _like_those_here(writer, stock, line.number, place)
            moves.append(Movement(line.number, more, Spot(unknown, state), Spot(place, state)))
    return moves


def _like_those_here(writer: Writer, stock: Stock, number: int, place: int) -> Condition:
    """Return in what condition a piece too many is taken: not inspected; but where the joint's old
    pieces are another thing and none of them is here, it is like the new ones here."""
    (item,) = read_items(writer.connection, numbers=[number], verdicts=False)
    here = {
        spot.condition
        for spot, count in stock.balance.of_item(number).items()
        if spot.place == place and count > 0
    }
    return Condition.NEW if item.wrong and here == {Condition.NEW} else Condition.AS_REMOVED


def _stow(writer: Writer, act: int, lines: Sequence[CountLine], place: int) -> None:
    for line in lines:
        if line.kind != "place" or line.found == line.expected:
            continue
        above = places_above(writer.connection, writer.fallen(), place)
        if line.found and line.number in above:
            raise Refused("it holds the place counted", name=line.name)
        inside = place if line.found else None
        writer.append(StowingRow(act_id=act, place_id=line.number, inside_id=inside))
