"""What stands in the way of closing a machine out, and what a day leaves behind."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from stores.model.items import Item
from stores.model.ledger import PlaceKind
from stores.model.snags import Snag
from stores.planning.status import BlockerKind, PieceStatus, Status, StepStatus

__all__ = [
    "NONE_KNOWN",
    "DayEnd",
    "KnownCopies",
    "LastCopy",
    "Turn",
    "Unsettled",
    "UnsettledKind",
    "day_end",
    "in_the_way",
]


@dataclass(frozen=True, slots=True)
class Turn:
    """A machine closed out, or opened again, with the note or the reason."""

    act: int
    day: str
    closed: bool
    words: str = ""


@dataclass(frozen=True, slots=True)
class LastCopy:
    """When a copy was made, as ISO 8601, where to, and how many acts were written since."""

    at: str
    to: str
    acts_since: int


@dataclass(frozen=True, slots=True)
class KnownCopies:
    """The last copy, None where none is known; ``ours``: it is our own command that makes them,
    which copies files and no database elsewhere."""

    last: LastCopy | None
    ours: bool


NONE_KNOWN = KnownCopies(None, ours=True)


class UnsettledKind(StrEnum):
    """What is not yet as it will be at the end of the job."""

    NOT_ON = "not on"
    STILL_ON = "still on"
    LEFT_OVER = "left over"
    AWAY = "away"
    MIXED_UP = "mixed up"
    TO_CHECK = "to check"
    FINGER_TIGHT = "finger-tight"
    NOT_UNDONE = "not undone"
    UNSIGNED = "unsigned"
    NOT_MEASURED = "not measured"
    OUT_OF_LIMITS = "out of limits"
    SNAG = "snag"
    OFF = "off"
    BEGUN = "begun"
    TO_BUY = "to buy"
    QUARANTINE = "quarantine"


@dataclass(frozen=True, slots=True)
class Unsettled:
    """One such thing: so many pieces of an item, a step, or something to measure or clear at one.

    ``text`` is what the pieces are, what came off in the step, the name of what is measured or the
    snag. ``where`` is the firm, the hole, the assembly, where the snag is, or with what pieces are
    mixed up; ``positions`` the seats of what is only finger-tight. ``why`` pieces did not come off,
    or what is to be checked of them. Of what is not on ``short`` are to buy; of a step ``to_undo``
    says that something done at it has to be undone, and ``how`` what undoes it. ``amounts`` are
    those of several items together, each with its unit.
    """

    kind: UnsettledKind
    quantity: int = 0
    item: str = ""
    text: str = ""
    where: str = ""
    why: str = ""
    short: int = 0
    step: int | None = None
    snag: int | None = None
    part: str = ""
    positions: tuple[str, ...] = ()
    to_undo: bool = False
    how: str = ""
    measured: str = ""
    limits: str = ""
    amounts: tuple[tuple[int, str], ...] = ()


def in_the_way(status: Status) -> list[Unsettled]:
    """Return all that stands in the way of closing a machine out; none means it may be closed.

    New pieces beyond the need are spares and may stay. What was lost and replaced is no matter, nor
    is where the workshop's own stock is.
    """
    made: list[Unsettled] = []
    for piece in status.listed:
        made += _of_pieces(piece)
    steps = sorted(status.steps.values(), key=lambda each: each.step.number)
    made += [
        Unsettled(
            UnsettledKind.NOT_UNDONE,
            step=each.step.number,
            text=each.step.part,
            to_undo=True,
            how=each.job.reverse,
        )
        for each in steps
        if each.job is not None and not each.job.done
    ]
    made += [_unsigned(each) for each in steps if _to_sign(each)]
    for each in steps:
        for point in each.notes.points:
            if not point.within:
                made.append(
                    Unsettled(
                        UnsettledKind.NOT_MEASURED
                        if point.found is None
                        else UnsettledKind.OUT_OF_LIMITS,
                        step=each.step.number,
                        text=point.name,
                        measured=point.measured,
                        limits=point.limits,
                    )
                )
    return made + [_snag(snag) for snag in status.snags]


def _of_pieces(piece: PieceStatus) -> list[Unsettled]:
    """Return what is unsettled of the pieces of one item."""
    item, found = piece.item, piece.item.as_found.text
    wanted = item.as_specified.text
    made: list[Unsettled] = []
    if to_fit := max(0, piece.to_fit - piece.stuck, piece.short):
        made.append(Unsettled(UnsettledKind.NOT_ON, to_fit, item.ref, wanted, short=piece.short))
    made += _still_on(item)
    if piece.left_over:
        made.append(Unsettled(UnsettledKind.LEFT_OVER, piece.left_over, item.ref, found))
    made += [
        Unsettled(
            UnsettledKind.AWAY,
            holding.quantity,
            item.ref,
            item.named(holding.condition),
            holding.place,
        )
        for holding in (() if item.stock else item.holdings)
        if holding.kind is PlaceKind.FIRM and holding.quantity > 0
    ]
    made += _mixed(item)
    made += [
        Unsettled(UnsettledKind.TO_CHECK, item=item.ref, text=found, why=each)
        for each in item.to_check
    ]
    if piece.finger_tight:
        made.append(_finger_tight(item))
    return made


def _still_on(item: Item) -> list[Unsettled]:
    """Return the pieces that did not come off, why, and in which hole."""
    text = item.as_found.text
    return [
        Unsettled(UnsettledKind.STILL_ON, held.quantity, item.ref, text, held.hole, held.how)
        for held in item.still_on
    ]


def _mixed(item: Item) -> list[Unsettled]:
    if not item.mixup:
        return []
    kind, text = UnsettledKind.MIXED_UP, item.as_found.text
    return [Unsettled(kind, item.mixed, item.ref, text, item.mixed_words)]


def _finger_tight(item: Item) -> Unsettled:
    return Unsettled(
        UnsettledKind.FINGER_TIGHT,
        item=item.ref,
        text=item.as_specified.text,
        part=item.step.part,
        positions=(item.position,) if item.position else (),
    )


def _to_sign(each: StepStatus) -> bool:
    """Return whether a second person has yet to sign for a step."""
    return any(one.kind is BlockerKind.SIGN for one in each.work)


def _unsigned(each: StepStatus) -> Unsettled:
    return Unsettled(UnsettledKind.UNSIGNED, step=each.step.number, text=each.step.part)


def _snag(snag: Snag) -> Unsettled:
    return Unsettled(UnsettledKind.SNAG, snag=snag.number, text=snag.words, where=snag.where)


@dataclass(frozen=True, slots=True)
class DayEnd:
    """What a day leaves behind, for whoever goes on: the steps that are off, those of ``earlier``
    days apart, and what is begun, only finger-tight, mixed up, open and waiting."""

    off: tuple[Unsettled, ...] = ()
    earlier: tuple[Unsettled, ...] = ()
    finger_tight: tuple[Unsettled, ...] = ()
    begun: tuple[Unsettled, ...] = ()
    mixed_up: tuple[Unsettled, ...] = ()
    snags: tuple[Unsettled, ...] = ()
    waits: tuple[Unsettled, ...] = ()


def day_end(status: Status, *, since: str = "") -> DayEnd:
    """Return what is off and where, what is only finger-tight, what is open and what waits.

    ``since`` is the day that is handed over: what came off before it is told apart.
    """
    steps = sorted(status.steps.values(), key=lambda each: each.step.number)
    pieces = list(status.joints)
    off = [_off(each) for each in steps if not each.on]
    named, earlier = list[Unsettled](), list[Unsettled]()
    for one in off:
        if one.kind is UnsettledKind.OFF:
            of_the_day = status.steps[one.step or 0].step.date >= since
            (named if of_the_day else earlier).append(one)
    everything = [piece.item for piece in status.listed]
    waits = [
        Unsettled(UnsettledKind.AWAY, where=firm, amounts=tuple(some))
        for firm, some in sorted(_at_firms(everything).items())
    ]
    if short := sum(piece.short for piece in pieces):
        waits.append(Unsettled(UnsettledKind.TO_BUY, short))
    for item in everything:
        waits += _still_on(item)
    waits += [
        Unsettled(UnsettledKind.QUARANTINE, item.undecided, item.ref, item.as_found.text)
        for item in everything
        if item.undecided
    ]
    waits += [_unsigned(each) for each in steps if each.on and _to_sign(each)]
    begun = tuple(one for one in off if one.kind is UnsettledKind.BEGUN)
    return DayEnd(
        tuple(named),
        tuple(earlier),
        tuple(_finger_tight(piece.item) for piece in pieces if piece.finger_tight),
        begun,
        tuple(one for item in everything for one in _mixed(item)),
        tuple(_snag(snag) for snag in status.snags),
        tuple(waits),
    )


def _off(each: StepStatus) -> Unsettled:
    """Return a step that is not on yet, or begun, with the pieces that are to go on."""
    step, items = each.step, [piece.item for piece in each.pieces]
    begun = any(item.fitted for item in items)
    to_undo = each.job is not None and not each.job.done
    return Unsettled(
        UnsettledKind.BEGUN if begun else UnsettledKind.OFF,
        sum(piece.to_fit for piece in each.pieces),
        text=step.part,
        where=step.assembly,
        step=step.number,
        to_undo=to_undo,
        how=each.job.reverse if each.job is not None and to_undo else "",
    )


def _at_firms(items: Iterable[Item]) -> dict[str, list[tuple[int, str]]]:
    firms: dict[str, list[tuple[int, str]]] = {}
    for item in items:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                firms.setdefault(holding.place, []).append((holding.quantity, item.unit))
    return firms
