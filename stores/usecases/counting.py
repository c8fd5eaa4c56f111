"""Counting a place: the differences as a trial, then as an act with a reason."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.handbook.benchline import clean
from stores.model.items import counted as pieces
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record, take
from stores.planning.counting import CountLine, compare, read_counted
from stores.storage import Store, Writer
from stores.storage.counts import place_called, should_hold, sits_in
from stores.storage.places import StowingRow, place_names, places_above
from stores.usecases.common import NOTE_LENGTH, Done, bag_named, select

__all__ = ["Counted", "count_place"]

_ANY = (
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
    Condition.REPAIRABLE,
    Condition.QUARANTINE,
    Condition.CONDEMNED,
)


@dataclass(frozen=True, slots=True)
class Counted:
    """What a count came to; ``done`` is the act, if the differences were accepted."""

    place: str
    lines: tuple[CountLine, ...]
    done: Done | None = None

    @property
    def differences(self) -> int:
        """How many lines differ."""
        return sum(line.found != line.expected for line in self.lines)


def count_place(
    store: Store,
    place: str,
    scanned: Sequence[str],
    *,
    accept: bool = False,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Counted:
    """Count a bag, box, shelf or the bench by what was typed or scanned.

    Without ``accept`` nothing is written. With it, pieces that are missing are recorded lost,
    pieces too many come back from "lost", else from unknown origin; a bag that is missing is no
    longer said to be here, a bag that is strange now is. What is in no record is written down as it
    was read.

    Args:
        store: the opened stores.
        place: a bag's code, a box, a shelf, or bench.
        scanned: bag codes, boxes by name, items as ``7.2=3`` or ``7.2`` for each piece.
        accept: make the differences an act.
        reason: why they differ; needed where they do.
        machine: of items, when not the one last worked on.
        at: the day, when not today.

    Raises:
        NotFound: no such place or item.
        Refused: accepted without a reason.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if not accept:
        with store.reading() as connection:
            _, _, name = _place(connection, place)
            return Counted(name, tuple(_lines(connection, place, scanned, machine)))
    with store.writing() as writer:
        number, kind, name = _place(writer.connection, place)
        lines = _lines(writer.connection, place, scanned, machine)
        result = Counted(name, tuple(lines))
        if result.differences and not reason:
            raise Refused(f"{result.differences} differences in {name}: say why, with -n")
        said = "as expected" if not result.differences else f"{result.differences} differences"
        act = writer.begin(ActKind.COUNT, f"{kind.at(name)} counted: {said}", reason=reason, at=at)
        row = writer.stock_count(act, number, reason)
        for line in lines:
            writer.count_line(
                act,
                row,
                place=line.number if line.kind == "place" else None,
                item=line.number if line.kind == "item" else None,
                words=line.name if not line.number else "",
                expected=line.expected,
                found=line.found,
            )
        moves = _moves(writer, lines, number)
        writer.move(act, record(writer.stock_for(moves), ActKind.COUNT, moves, reason))
        _stow(writer, act, lines, number)
    moved = sum(move.quantity for move in moves)
    told = f"; {pieces(moved)} moved" if moved else ""
    return Counted(
        name,
        result.lines,
        Done(
            act,
            (f"{kind.at(name)[:1].upper()}{kind.at(name)[1:]} counted: {said}{told}",),
            data={"act": act, "place": name, "differences": result.differences, "moved": moved},
        ),
    )


def _place(connection: Connection, text: str) -> tuple[int, PlaceKind, str]:
    name = clean(text, "the place", most=60)
    found = place_called(connection, name)
    if found is not None:
        return found
    if not bagcode.looks_like_code(name):
        raise NotFound(f"no box or shelf called {name!r}: nothing was ever put there")
    code = bag_named(connection, name)
    return _bag_row(connection, code), PlaceKind.BAG, code


def _bag_row(connection: Connection, code: str) -> int:
    return next(
        number
        for number, (kind, name) in place_names(connection).items()
        if kind is PlaceKind.BAG and name == code
    )


def _lines(
    connection: Connection, place: str, scanned: Iterable[str], machine: str | None
) -> list[CountLine]:
    number, kind, _ = _place(connection, place)
    met = [_met(connection, clean(text, "what was scanned"), machine) for text in scanned]
    inside = sits_in(connection)
    expected = should_hold(connection, number)
    for what, which, name, _, _ in met:
        if what == "place" and which:
            if kind is PlaceKind.BAG or which == number:
                raise Refused(f"{name} cannot be in {place}: count a bag by its items, as 7.2=3")
            if inside.get(which) == number:
                expected.setdefault((what, which), (name, 1))  # an empty bag, but it is here
    lines = []
    for line in compare(expected, met):
        note = line.note
        if line.kind == "place" and line.number in inside and line.verdict == "strange":
            outer = place_names(connection, [inside[line.number]])
            note = f"recorded in {outer[inside[line.number]][1]}"
        lines.append(CountLine(line.kind, line.number, line.name, line.expected, line.found, note))
    return lines


def _met(connection: Connection, text: str, machine: str | None) -> tuple[str, int, str, int, str]:
    """Give what one line that was typed or scanned is: kind, number, name, count, note."""
    item = read_counted(text)
    if item is not None:
        chosen = select(connection, machine, item[0]).only
        return "item", chosen.number, f"{chosen.ref} {chosen.as_found.text}", item[1], ""
    box = place_called(connection, text)
    if box is not None:
        return "place", box[0], box[2], 1, ""
    try:
        code = bag_named(connection, text)
    except (BadValue, NotationError, NotFound) as error:
        return "words", 0, text, 1, str(error)
    return "place", _bag_row(connection, code), code, 1, ""


def _moves(writer: Writer, lines: Sequence[CountLine], place: int) -> list[Movement]:
    moves: list[Movement] = []
    differ = [line for line in lines if line.kind == "item" and line.found != line.expected]
    if not differ:
        return moves
    lost = writer.place(PlaceKind.LOST, "lost").number
    stock = writer.stock([line.number for line in differ], [place, lost])
    for line in differ:
        if line.found < line.expected:
            for spot, some in take(stock, line.number, line.expected - line.found, [place], _ANY):
                moves.append(Movement(line.number, some, spot, Spot(lost, spot.condition)))
            continue
        more = line.found - line.expected
        for condition in _ANY:
            some = min(more, max(0, stock.balance.at(line.number, Spot(lost, condition))))
            if some:
                moves.append(
                    Movement(line.number, some, Spot(lost, condition), Spot(place, condition))
                )
                more -= some
        if more:
            unknown = writer.place(PlaceKind.UNKNOWN, "unknown origin").number
            moves.append(
                Movement(
                    line.number,
                    more,
                    Spot(unknown, Condition.AS_REMOVED),
                    Spot(place, Condition.AS_REMOVED),
                )
            )
    return moves


def _stow(writer: Writer, act: int, lines: Sequence[CountLine], place: int) -> None:
    for line in lines:
        if line.kind != "place" or line.found == line.expected:
            continue
        above = places_above(writer.connection, writer.fallen(), place)
        if line.found and line.number in above:
            raise Refused(f"{line.name} holds the place that is counted: it cannot be inside it")
        inside = place if line.found else None
        writer.append(StowingRow(act_id=act, place_id=line.number, inside_id=inside))
