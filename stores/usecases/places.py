"""Pieces moved, stowed, lost and found, thrown out, put to another joint; and what is where."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Item, agree, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record, take
from stores.model.stock import name_alone
from stores.planning.places import PlaceLine, in_order, moved_words, places_of
from stores.planning.sharing import Promise
from stores.planning.status import left_over
from stores.storage import Writer
from stores.storage.items import mates, read_items
from stores.storage.machines import machine_named, read_machines
from stores.storage.places import StowingRow, places_above, stowed_places
from stores.storage.tables import KeptSpareRow
from stores.storage.writer import Made
from stores.text import beside, clean, counted, many, nearest
from stores.usecases.common import (
    NOTE_LENGTH,
    Selection,
    Whereabouts,
    condition_first,
    count_of,
    firm_named,
    from_hand,
    home_of,
    make_loose,
    maybe_condition,
    moves_to,
    pieces_of,
    place_named,
    scope_of,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.sharing import taken_from_others

__all__ = [
    "AssignPieces",
    "KeepAsSpares",
    "ListPlaces",
    "LosePieces",
    "MovePieces",
    "PiecesAssigned",
    "PiecesKept",
    "PiecesLost",
    "PiecesMoved",
    "PiecesOfItem",
    "PiecesRecovered",
    "PiecesScrapped",
    "PlacesListed",
    "PlacesStowed",
    "RecoverPieces",
    "ScrapCondemned",
    "ScrapPieces",
    "StowPlaces",
    "assign",
    "keep",
    "lose",
    "move",
    "places",
    "recover",
    "scrap",
    "scrap_condemned",
    "stow",
]

ANY_CONDITION = (
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
    Condition.REPAIRABLE,
    Condition.QUARANTINE,
    Condition.CONDEMNED,
)
WORST_FIRST = (
    Condition.CONDEMNED,
    Condition.QUARANTINE,
    Condition.REPAIRABLE,
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
)


@dataclass(frozen=True, slots=True)
class PiecesOfItem:
    """So many pieces of an item: its reference, ``7.2``, and what they are; their condition where
    that is why they went. ``quantity`` is in ``unit``, empty for pieces."""

    item: str
    text: str
    quantity: int
    condition: Condition | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class MovePieces(Ask):
    """Pieces put into another bag, box or shelf, or on the bench.

    ``what`` is an item (``7.2``), a step (``7``) or a bag's code, ``to`` a place as it is called,
    or "new" for a new bag. ``quantity`` is a count as typed, None for all; ``of`` a condition, None
    for any.
    """

    what: str
    to: str
    quantity: str | int | None = None
    of: str | None = None
    new_place: bool = False


@dataclass(frozen=True, slots=True)
class LosePieces(Ask):
    """Pieces that cannot be found; ``firm`` is who lost them, None for the workshop."""

    what: str
    quantity: str | int | None = None
    of: str | None = None
    firm: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class RecoverPieces(Ask):
    """Lost pieces that turned up; ``to`` is where they are put, None for their bag."""

    what: str
    quantity: str | int | None = None
    to: str | None = None
    reason: str = ""
    new_place: bool = False


@dataclass(frozen=True, slots=True)
class ScrapPieces(Ask):
    """Pieces thrown out. Without a count and a condition only those that are of no more use."""

    what: str
    quantity: str | int | None = None
    of: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class KeepAsSpares(Ask):
    """Sound pieces that are left over, of an item, a step or a bag, or "all left over", are spares
    of the workshop."""

    what: str


@dataclass(frozen=True, slots=True)
class ScrapCondemned(Ask):
    """All condemned pieces in hand thrown out: of the machine last worked on, or of an item, step,
    bag, box, shelf or assembly."""

    what: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class AssignPieces(Ask):
    """Pieces that belong to another joint, ``to``; of the machine ``other`` if that is named.

    ``of`` and ``place`` say which, where they are not all alike or in one place. ``anyway`` is why
    they serve there, though they are another thing than belongs there.
    """

    what: str
    to: str
    quantity: str | int | None = None
    of: str | None = None
    anyway: str = ""
    other: str | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class StowPlaces(Ask):
    """Bags or boxes put into a box or on to a shelf, ``inside``."""

    what: Sequence[str]
    inside: str
    new_place: bool = False


@dataclass(frozen=True, slots=True)
class ListPlaces:
    """The places that hold pieces; of the place ``within`` alone and what stands in it."""

    within: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Taken(Reply):
    """Pieces of one machine's items; ``other_machines`` tells that there are several machines."""

    machine: str
    other_machines: bool
    pieces: int
    items: tuple[PiecesOfItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesMoved(_Taken):
    """Pieces that are in another place now."""

    place: Whereabouts


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesLost(_Taken):
    """Pieces that cannot be found; ``firm`` is who lost them, empty for the workshop."""

    firm: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesRecovered(_Taken):
    """Pieces that turned up, and where they are now."""

    places: tuple[Whereabouts, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesScrapped(_Taken):
    """Pieces that were thrown out; of the items ``patterns`` one was kept until a new one fits."""

    patterns: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesKept(_Taken):
    """Pieces that are spares now, as the loose items that they are found as; ``not_sound`` are left
    over yet: to inspect, or to throw out."""

    not_sound: tuple[PiecesOfItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesAssigned(_Taken):
    """Pieces that belong to another joint now; ``owed`` where their own is short by them.

    ``in_place_of`` is the line that they stand in for, on a line of their own, ``to_item``: by its
    name they would be what they are not. Empty where they are just what belongs there. ``kept_for``
    are those for whom fewer are left than are kept.
    """

    to_item: str
    in_place_of: str
    to_part: str
    owed: bool
    kept_for: tuple[Promise, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesStowed(Reply):
    """Bags or boxes, and what they are in now."""

    stowed: tuple[str, ...]
    inside: Whereabouts


@dataclass(frozen=True, slots=True)
class PlacesListed:
    """Places that hold pieces, by name; ``empty`` are the bags, boxes and shelves that hold none
    any more."""

    within: str
    places: tuple[PlaceLine, ...]
    empty: tuple[str, ...] = ()


def move(context: Context, ask: MovePieces) -> PiecesMoved:
    """Record that pieces in the workshop are in another bag, box, shelf or on the bench now.

    Raises:
        Refused: no such piece, or fewer than are asked for.
        NotFound: no such item, step or bag.
    """
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        target = place_named(writer, ask.to, new=ask.new_place)
        moves = _gather(writer, chosen, target.number, quantity, condition_first(ANY_CONDITION, of))
        place = whereabouts(target)
        where = f"now {target.where}" + (" (new place)" if place.new else "")
        act, pieces, items = _write(writer, context, chosen, moves, ActKind.MOVE, where)
    return PiecesMoved(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=pieces, items=items, place=place,
    )  # fmt: skip


def lose(context: Context, ask: LosePieces) -> PiecesLost:
    """Record that pieces cannot be found: "lost" is a place too.

    Raises:
        Refused: no such piece, or fewer than are asked for.
        NotFound: no such item, step or bag.
    """
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=ask.firm is not None)
        lost = writer.place(PlaceKind.LOST, "lost")
        away = firm_named(writer, PlaceKind.FIRM, ask.firm, new=None) if ask.firm else None
        moves = _gather(
            writer,
            chosen,
            lost.number,
            quantity,
            condition_first(ANY_CONDITION, of),
            firm=away.number if away else None,
        )
        where = f"lost at {away.name}" if away else "lost"
        act, pieces, items = _write(
            writer, context, chosen, moves, ActKind.LOSE, where, reason=ask.reason
        )
        if away:
            from stores.usecases.outwork import settle

            settle(writer, act, away.number, moves, "written off")
    return PiecesLost(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=pieces, items=items, firm=away.name if away else "",
    )  # fmt: skip


def recover(context: Context, ask: RecoverPieces) -> PiecesRecovered:
    """Record that lost pieces turned up; they go back into their bag.

    Raises:
        Refused: none, or fewer, were recorded lost.
        NotFound: no such item, step or bag.
    """
    quantity = count_of(ask.quantity)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        lost = writer.place(PlaceKind.LOST, "lost")
        made = place_named(writer, ask.to, new=ask.new_place) if ask.to else None
        moves: list[Movement] = []
        stock = writer.stock([item.number for item in chosen.items])
        targets: dict[str, Made] = {}
        for item in chosen.picked(quantity):
            # "Lost" may go below zero, so what may be taken from it is counted here.
            there = {c: stock.balance.at(item.number, Spot(lost.number, c)) for c in ANY_CONDITION}
            missing = {c: count for c, count in there.items() if count > 0}
            asked = sum(missing.values()) if quantity is None else quantity
            if asked > sum(missing.values()):
                raise Refused("fewer were lost", item=item.ref, lost=sum(missing.values()))
            target = made or home_of(writer, item, mates(writer.connection, item))
            for condition, count in missing.items():
                some = min(count, asked)
                if some:
                    moves.append(
                        Movement(
                            item.number,
                            some,
                            Spot(lost.number, condition),
                            Spot(target.number, condition),
                        )
                    )
                    targets[target.where] = target
                    asked -= some
        if not moves:
            raise Refused("none was lost", what=chosen.name)
        where = f"found, now {' and '.join(sorted(targets))}"
        act, pieces, items = _write(
            writer, context, chosen, moves, ActKind.RECOVER, where, reason=ask.reason
        )
    return PiecesRecovered(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=pieces, items=items,
        places=tuple(whereabouts(targets[words]) for words in sorted(targets)),
    )  # fmt: skip


def _all_left_over(what: str) -> bool:
    """Tell whether all that is left over is meant, rather than an item, a step or a bag."""
    return " ".join(what.casefold().replace("-", " ").split()) in (
        "all left over",
        "left over",
        "all leftover",
        "leftover",
    )


def _left_over_of(connection: Connection, machine: str | None) -> Selection:
    """Return the items of a machine that have pieces left over.

    Raises:
        Refused: nothing is left over.
    """
    on = machine_named(connection, machine)
    items = tuple(each for each in read_items(connection, machine=on.number) if left_over(each))
    if not items:
        raise Refused("nothing left over", machine=on.name)
    return Selection(on, items, several=len(read_machines(connection)) > 1, called="all left over")


def keep(context: Context, ask: KeepAsSpares) -> PiecesKept:
    """Record that sound pieces that are left over are spares of the workshop: they stay where they
    lie, are found as loose pieces, and no longer stand in the way of closing their machine.

    Raises:
        Refused: nothing is left over, or nothing of it was inspected and found serviceable.
        NotFound: no such item, step or bag.
    """
    with context.writing(ask) as writer:
        if _all_left_over(ask.what):
            chosen = _left_over_of(writer.connection, context.machine)
        else:
            chosen = select(writer.connection, context.machine, ask.what)
        over = [item for item in chosen.items if left_over(item)]
        if not over:
            raise Refused("not left over", what=chosen.name, pieces=pieces_of(chosen.items))
        sound = [item for item in over if not item.kept and item.in_hand(Condition.SERVICEABLE)]
        if not sound:
            raise Refused(
                "none of it sound",
                what=chosen.name,
                pieces=pieces_of(over),
                hint=Hint("inspect", what=over[0].ref, verdict="serviceable"),
            )
        total = sum(item.in_hand(Condition.SERVICEABLE) for item in sound)
        act = writer.begin(
            ActKind.KEEP, f"{counted(total)} of {chosen.name} kept as spares", at=context.at
        )
        kept = []
        for item in sound:
            number, ref = item.number, item.ref
            if item.step.number:
                stock = writer.stock([item.number])
                spots = from_hand(stock, item, None, [Condition.SERVICEABLE])
                loose = make_loose(
                    writer,
                    act,
                    chosen.machine.number,
                    item,
                    spots,
                    item.as_found.text,
                    ActKind.KEEP,
                )
                number, ref = loose.number, loose.item
            writer.append(KeptSpareRow(act_id=act, item_id=number))
            kept.append(PiecesOfItem(ref, item.as_found.text, item.in_hand(Condition.SERVICEABLE)))
        rest = {
            item: left_over(item) - (0 if item.kept else item.in_hand(Condition.SERVICEABLE))
            for item in over
        }
    return PiecesKept(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=total, items=tuple(kept),
        not_sound=tuple(
            PiecesOfItem(item.ref, item.as_found.text, count)
            for item, count in rest.items()
            if count
        ),
    )  # fmt: skip


def scrap(context: Context, ask: ScrapPieces) -> PiecesScrapped:
    """Record that pieces were thrown out, the worst first; without a count only those that will not
    be used again: condemned ones, and old ones that have been replaced by new ones.

    "all left over" throws out every old piece of the machine that has no place to go to; spares
    that are kept stay.

    Of condemned ones that nothing else of the joint is in hand for, one is kept as a pattern until
    the joint has all its pieces on again; only a count throws that out too.

    Raises:
        Refused: no such piece, fewer than are asked for, or nothing that is of no more use.
        NotFound: no such item, step or bag.
    """
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
    patterns: list[str] = []
    with context.writing(ask) as writer:
        everything = _all_left_over(ask.what)
        if everything:
            chosen = _left_over_of(writer.connection, context.machine)
        else:
            chosen = select(writer.connection, context.machine, ask.what)
        scrapped = writer.place(PlaceKind.SCRAPPED, "scrapped").number
        if everything:
            if quantity is not None:
                raise Refused(
                    "several items",
                    what="all left over",
                    items=tuple(item.ref for item in chosen.items),
                )
            moves = _over(writer, chosen, scrapped, of)
            if not moves:
                raise Refused("nothing left over", machine=chosen.machine.name)
        elif quantity is not None or of is not None:
            moves = _gather(writer, chosen, scrapped, quantity, condition_first(WORST_FIRST, of))
        else:
            moves, patterns = _of_no_use(writer, chosen, scrapped)
            if not moves:
                raise Refused("nothing to throw out", what=ask.what)
        act, pieces, _ = _write(
            writer, context, chosen, moves, ActKind.SCRAP, "scrapped", reason=ask.reason
        )
        items = moved_pieces(chosen.items, moves, apart=True)
    return PiecesScrapped(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=pieces, items=items, patterns=tuple(patterns),
    )  # fmt: skip


def _over(writer: Writer, chosen: Selection, scrapped: int, of: Condition | None) -> list[Movement]:
    """Return what is left over of these: old pieces in hand, but not spares that are kept."""
    stock = writer.stock([item.number for item in chosen.items])
    moves: list[Movement] = []
    for item in chosen.items:
        placed = (Condition.NEW, Condition.SERVICEABLE) if item.kept else (Condition.NEW,)
        old = [each for each in condition_first(WORST_FIRST, of) if each not in placed]
        moves += moves_to(item, from_hand(stock, item, None, old), scrapped)
    return moves


def scrap_condemned(context: Context, ask: ScrapCondemned) -> PiecesScrapped:
    """Record that all condemned pieces in hand were thrown out, but for one of each that is kept
    as a pattern until the new one is on.

    Raises:
        Refused: nothing is condemned, or only patterns are.
        NotFound: nothing is called that.
    """
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    patterns: list[str] = []
    moves: list[Movement] = []
    with context.writing(ask) as writer:
        scope = scope_of(writer.connection, context.machine, ask.what)
        stock = writer.stock([item.number for item in scope.items])
        scrapped = writer.place(PlaceKind.SCRAPPED, "scrapped").number
        places = [
            place
            for place, kind in stock.kinds.items()
            if kind.in_hand and (scope.places is None or place in scope.places)
        ]
        for item in scope.items:
            spots = take(stock, item.number, None, places, [Condition.CONDEMNED])
            there = sum(count for _, count in spots)
            if there and _is_pattern(item):
                patterns.append(item.ref)
                there = min(there, item.in_hand(Condition.CONDEMNED) - 1)
                spots = take(stock, item.number, there, places, [Condition.CONDEMNED])
            moves += moves_to(item, spots, scrapped)
        if not moves:
            raise Refused("nothing condemned", name=scope.name, patterns=tuple(patterns))
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.SCRAP, f"{counted(total)} condemned, scrapped", reason=reason, at=context.at
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.SCRAP, moves, reason))
        several = len(read_machines(writer.connection)) > 1
    return PiecesScrapped(
        act=act, trial=ask.trial, machine=scope.machine.name if scope.machine else scope.name,
        other_machines=several, pieces=total, items=moved_pieces(scope.items, moves, apart=True),
        patterns=tuple(patterns),
    )  # fmt: skip


def _of_no_use(
    writer: Writer, chosen: Selection, scrapped: int
) -> tuple[list[Movement], list[str]]:
    """Return what may be thrown out unasked, and the items of which one is kept as a pattern."""
    stock = writer.stock([item.number for item in chosen.items])
    moves: list[Movement] = []
    patterns: list[str] = []
    for item in chosen.items:
        condemned = item.in_hand(Condition.CONDEMNED)
        if condemned and _is_pattern(item):
            patterns.append(item.ref)
            spots = from_hand(stock, item, condemned - 1, [Condition.CONDEMNED], bag=chosen.bag)
            moves += moves_to(item, spots, scrapped) if condemned > 1 else []
            continue
        dead = [Condition.CONDEMNED]
        if (item.renew or item.wrong) and not item.to_fit:
            dead = [c for c in WORST_FIRST if c not in item.fit_conditions]
        moves += moves_to(item, from_hand(stock, item, None, dead, bag=chosen.bag), scrapped)
    return moves, patterns


def _is_pattern(item: Item) -> bool:
    """Tell whether a condemned piece is still the only old one: whether a new one fits is not known
    before it is on."""
    others = [c for c in Condition if c not in (Condition.CONDEMNED, Condition.NEW)]
    return bool(item.step.number and item.to_fit) and not item.in_hand(*others)


def assign(context: Context, ask: AssignPieces) -> PiecesAssigned:
    """Record that pieces belong to another joint: a loose piece that was recognised, or a piece
    that one joint lends to another, of this machine or another. They stay where they lie.

    A joint that is short by it is owed them until it is made good. What is another thing than
    belongs there stands in for it on a line of its own, which takes over what the joint wants.

    Raises:
        Refused: it does not serve there, unless ``anyway`` says why it does; the same joint;
            nothing in hand; some of several pieces that differ in condition, and nothing says
            which.
        NotFound: no such item, step or bag.
    """
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
    at = clean(ask.place, "the place", most=60, empty=True)
    anyway = clean(ask.anyway, "the reason", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        aim = select(writer.connection, ask.other or chosen.machine.name, ask.to, empty=True)
        target = aim.only
        if target.number in {item.number for item in chosen.items}:
            raise Refused("same joint", to=ask.to)
        item = chosen.only
        stock = writer.stock([item.number])
        if quantity is not None and of is None:
            _refuse_either(stock, chosen, item, quantity, at)
        order = condition_first(ANY_CONDITION, of)
        spots = from_hand(stock, item, quantity, order, bag=chosen.bag, at=at)
        if not spots:
            raise Refused(
                "no piece in hand to assign", what=chosen.name, pieces=pieces_of(chosen.items)
            )
        for text in {item.named(spot.condition) for spot, _ in spots}:
            if not anyway and not _serves(text, target):
                raise Refused(
                    "another thing belongs there",
                    item=item.ref,
                    text=text,
                    to_item=target.ref,
                    wanted=target.as_specified.text,
                    hint=Hint("assign", what=ask.what, to=ask.to, anyway="WHY"),
                )
        total = sum(count for _, count in spots)
        whose = [(aim.machine.name, each) for each in (target.step.number, 0)]
        kept_for = taken_from_others(writer, item, total, order, whose)[1]
        act = writer.begin(
            ActKind.ASSIGN,
            f"{counted(total)} of {chosen.name} for {target.ref} {target.step.part}",
            reason=anyway,
            at=context.at,
        )
        lent = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
        lines = _lines_of(writer, act, aim.machine.number, target, item, spots, anyway)
        moves: list[Movement] = []
        for spot, count in spots:
            number = lines[item.named(spot.condition), spot.condition][0]
            passing = Spot(lent, spot.condition)
            moves += [
                Movement(item.number, count, spot, passing),
                Movement(number, count, passing, spot),
            ]
        writer.move(act, record(writer.stock_for(moves), ActKind.ASSIGN, moves))
        owed = bool(item.step.number) and item.to_fit > item.usable - total
        to_number, to_ref = next(iter(lines.values()))
        if owed:
            from stores.storage.outwork import DebtRow

            writer.append(
                DebtRow(act_id=act, item_id=item.number, to_item_id=to_number, quantity=total)
            )
    return PiecesAssigned(
        act=act, trial=ask.trial, machine=chosen.machine.name, other_machines=chosen.several,
        pieces=total, items=moved_pieces([item], moves), to_item=to_ref,
        to_part=target.step.part, in_place_of="" if to_ref == target.ref else target.ref, owed=owed,
        kept_for=kept_for,
    )  # fmt: skip


def _refuse_either(stock: Stock, chosen: Selection, item: Item, quantity: int, at: str) -> None:
    """Refuse to choose for a person between pieces that differ in condition."""
    there = from_hand(stock, item, None, ANY_CONDITION, bag=chosen.bag, at=at)
    conditions = dict.fromkeys(spot.condition for spot, _ in there)
    if len(conditions) > 1 and quantity < sum(count for _, count in there):
        raise Refused(
            "which of them",
            quantity=quantity,
            what=chosen.name,
            pieces=tuple(each for each in pieces_of([item]) if each.kind.in_hand),
            conditions=tuple(conditions),
        )


def _serves(text: str, target: Item) -> bool:
    """Return whether a piece is what belongs at a joint as far as its words say: they say no less,
    or nothing else."""
    wanted = target.as_specified.text
    return agree(text, wanted) or agree(wanted, text) or serves(text, wanted)


def _lines_of(
    writer: Writer,
    act: int,
    machine: int,
    target: Item,
    item: Item,
    spots: Sequence[tuple[Spot, int]],
    why: str,
) -> dict[tuple[str, Condition], tuple[int, str]]:
    """Return on which line of the joint pieces of each name and condition go, as row and number.

    On the joint's own, unless they would go by the name of something else there: a thing that does
    not belong there, or an old piece where the old ones are another thing than it.
    """
    from stores.storage.figures import step_row

    made: dict[tuple[str, Condition], tuple[int, str]] = {}
    apart: dict[str, int] = {}
    for spot, count in spots:
        text = item.named(spot.condition)
        misnamed = target.wrong and spot.condition is not Condition.NEW
        if _serves(text, target) and not (misnamed and text != target.as_found.text):
            made[text, spot.condition] = (target.number, target.ref)
        else:
            apart[text] = apart.get(text, 0) + count
    left = target.to_fit
    for text, count in apart.items():
        number = target.step.number
        row = step_row(writer.connection, machine, number) if number else None
        description = writer.known_description(text)
        new, line = writer.item(
            act, machine, row, description, 0,
            written=f"{many(count, text)} in place of {target.ref}" + (f": {why}" if why else ""),
            position=", ".join(filter(None, (target.position, f"in place of {target.ref}"))),
            words=f"{text} {target.words} {why}",
        )  # fmt: skip
        wanted = min(count, left)
        left -= wanted
        wants = target.as_specified.text if _serves(text, target) else text
        writer.specify(act, new, writer.known_description(wants), wanted, "")
        for spot, _ in spots:
            if item.named(spot.condition) == text and (text, spot.condition) not in made:
                made[text, spot.condition] = (new, f"{number}.{line}")
    if left < target.to_fit:
        writer.specify(
            act, target.number, writer.known_description(target.as_specified.text),
            target.wanted - (target.to_fit - left), target.renew,
            same=False if target.other else None,
        )  # fmt: skip
    return made


def stow(context: Context, ask: StowPlaces) -> PlacesStowed:
    """Record that bags or boxes are in a box or on a shelf now.

    Raises:
        BadValue: nothing to stow.
        Refused: into a bag, into itself, or into what it holds.
        NotFound: no such bag or box.
    """
    if not ask.what:
        raise BadValue("what goes where", hint=Hint("stow"))
    with context.writing(ask) as writer:
        target = place_named(writer, ask.inside, new=ask.new_place)
        if target.kind is PlaceKind.BAG:
            raise Refused("a bag in a bag", inside=target.name)
        placed = [place_named(writer, name, new=True) for name in ask.what]
        if any(made.new for made in placed):
            unknown = tuple(made.name for made in placed if made.new)
            near = nearest(unknown[0], stowed_places(writer.connection))
            raise NotFound("no such bag or box", names=unknown, near=tuple(near))
        if target.number in {made.number for made in placed}:
            raise Refused("inside itself", name=target.name)
        above = places_above(writer.connection, writer.fallen(), target.number)
        for made in placed:
            if made.number in above:
                raise Refused("inside what it holds", inside=target.name, name=made.name)
        names = tuple(dict.fromkeys(made.name for made in placed))
        act = writer.begin(ActKind.STOW, f"{', '.join(names)} {target.where}", at=context.at)
        for number in dict.fromkeys(made.number for made in placed):
            writer.append(StowingRow(act_id=act, place_id=number, inside_id=target.number))
    return PlacesStowed(
        act=act,
        trial=ask.trial,
        stowed=names,
        inside=Whereabouts(target.kind or PlaceKind.SHELF, target.name, target.new),
    )


def places(context: Context, ask: ListPlaces) -> PlacesListed:
    """Return the places that hold pieces: of all machines, or of the one that is named; of all
    machines also those that are empty.

    Raises:
        NotFound: none do.
    """
    with context.reading() as connection:
        on = machine_named(connection, context.machine).number if context.machine else None
        lines = places_of(read_items(connection, machine=on, verdicts=False), ask.within)
        held = {line.name for line in lines}
        held |= {name for line in lines for name in line.inside.split(", ")}
        every = stowed_places(connection, bags=True) if on is None and not ask.within else ()
    if not lines and ask.within:
        raise NotFound("nothing in this place", place=ask.within)
    if not lines:
        raise NotFound("nothing in the stores")
    return PlacesListed(ask.within, tuple(lines), tuple(sorted({*every} - held, key=in_order)))


def whereabouts(made: Made) -> Whereabouts:
    """Return a place as a reply names it; the bench is never new."""
    kind = made.kind or PlaceKind.SHELF
    return Whereabouts(kind, made.name, made.new and kind is not PlaceKind.BENCH)


def _gather(
    writer: Writer,
    chosen: Selection,
    target: int,
    quantity: int | None,
    conditions: Sequence[Condition],
    *,
    firm: int | None = None,
) -> list[Movement]:
    places = [target] if firm is None else [target, firm]
    stock = writer.stock([item.number for item in chosen.items], places)
    moves: list[Movement] = []
    for item in chosen.picked(quantity):
        bag = "" if firm is not None else chosen.bag
        spots = from_hand(stock, item, quantity, conditions, bag=bag, firm=firm, but=target)
        moves += moves_to(item, spots, target)
    if not moves:
        raise Refused("no such piece to take", what=chosen.name, pieces=pieces_of(chosen.items))
    return moves


def _write(
    writer: Writer,
    context: Context,
    chosen: Selection,
    moves: list[Movement],
    kind: ActKind,
    where: str,
    *,
    reason: str = "",
) -> tuple[int, int, tuple[PiecesOfItem, ...]]:
    """Write such an act; return its number, the pieces in all, and those of each item."""
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    total = sum(move.quantity for move in moves)
    taken = moved_pieces(chosen.items, moves)
    size = moved_words((each.quantity, each.unit) for each in taken)
    act = writer.begin(kind, f"{size} of {_name(chosen)} {where}", reason=reason, at=context.at)
    writer.move(act, record(writer.stock_for(moves), kind, moves, reason))
    return act, total, taken


def _name(chosen: Selection) -> str:
    """Return what was chosen as it is called after a count in its unit."""
    if len(chosen.items) == 1 and chosen.items[0].unit:
        (item,) = chosen.items
        return beside(item.ref, name_alone(item.unit, item.text))
    return chosen.name


def moved_pieces(
    items: Iterable[Item], moves: Iterable[Movement], *, apart: bool = False
) -> tuple[PiecesOfItem, ...]:
    """Return how many pieces of each item were moved, those of none left out; ``apart`` those of
    each condition by themselves."""
    by_number = {item.number: item for item in items}
    total: dict[tuple[int, str, Condition | None], int] = {}
    for each in moves:
        if each.item in by_number:
            condition = each.source.condition
            text = by_number[each.item].named(condition)
            key = (each.item, text, condition if apart else None)
            total[key] = total.get(key, 0) + each.quantity
    return tuple(
        PiecesOfItem(item.ref, text, count, condition, item.unit)
        for item in by_number.values()
        for (number, text, condition), count in total.items()
        if number == item.number
    )
