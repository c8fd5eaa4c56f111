"""What is known and wanted of pieces: inspected, and specified."""

from dataclasses import dataclass, replace

from stores import units
from stores.errors import BadValue, Hint, Refused
from stores.handbook.benchline import read_line
from stores.handbook.fastener import renew_always
from stores.model.items import Item, agree
from stores.model.ledger import ActKind, Condition, Movement, Spot, record
from stores.storage import Writer
from stores.text import clean, counted, many
from stores.usecases.common import (
    NO_WORK,
    NOTE_LENGTH,
    REASON_NEEDED,
    Selection,
    WorkSaid,
    condition_named,
    count_of,
    from_hand,
    let_loose,
    maybe_condition,
    moves_to,
    pieces_of,
    read_work,
    refuse_beside,
    select,
)
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "Inspect",
    "Inspected",
    "InspectedItem",
    "LetLoose",
    "MeasuredAgainstLimit",
    "NamedItem",
    "Specified",
    "Specify",
    "inspect",
    "specify",
    "write_work",
]

FIT_AGAIN = frozenset({Condition.SERVICEABLE, Condition.REPAIRABLE})
INSPECTED_FROM = (
    Condition.AS_REMOVED,
    Condition.QUARANTINE,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.NEW,
)


@dataclass(frozen=True, slots=True)
class MeasuredAgainstLimit:
    """A reading that gives the verdict; sizes as typed, in mm where no unit is said.

    ``uncertainty`` is the tool's standard uncertainty; ``grows`` which way wear goes, None where
    nominal and limit say it.
    """

    reading: str
    nominal: str = ""
    limit: str = ""
    grows: bool | None = None
    uncertainty: str = "0.005"
    name: str = "reading"


@dataclass(frozen=True, slots=True)
class Inspect(Ask):
    """A verdict on pieces of an item, a step or a bag, by a word or by a measurement.

    Without a ``quantity`` it is about all pieces that nobody has judged yet. A better verdict on a
    condemned piece has to name it: ``of`` is the condition that the pieces have now.

    ``work`` is what was done to them before: then repairable pieces are passed, too. Without a
    verdict it is written down by itself.
    """

    what: str
    verdict: str = ""
    reason: str = ""
    quantity: str | int | None = None
    of: str | None = None
    measured: MeasuredAgainstLimit | None = None
    work: WorkSaid = NO_WORK


@dataclass(frozen=True, slots=True)
class NamedItem:
    """An item by its number and what it is."""

    item: str
    text: str


@dataclass(frozen=True, slots=True)
class InspectedItem:
    """So many pieces of an item that have the verdict now."""

    item: str
    quantity: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected(Reply):
    """What has which verdict now. ``left_out`` are kinds that are renewed as a rule.

    ``work`` is what was done to it. ``condition`` is None where only that was written down.
    """

    machine: str
    other_machines: bool
    condition: Condition | None
    reason: str
    items: tuple[InspectedItem, ...]
    left_out: tuple[NamedItem, ...]
    work: WorkSaid | None = None


@dataclass(frozen=True, slots=True)
class Specify(Ask):
    """What should be at a joint.

    ``text`` is what, as ``4 M6x25 hex 8.8``; empty leaves it as it is. ``reuse`` is why a kind that
    is renewed as a rule may be used again here.
    """

    what: str
    text: str = ""
    reuse: str = ""


@dataclass(frozen=True, slots=True)
class LetLoose:
    """New pieces, bought to a specification that fell: loose spares under a number of their own."""

    item: str
    quantity: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Specified(Reply):
    """What is specified at a joint now, beside what was found."""

    item: str
    found: int
    as_found: str
    wanted: int
    as_specified: str
    reuse: str
    spare: LetLoose | None


def inspect(context: Context, ask: Inspect) -> Inspected:
    """Record of so many pieces what condition they are in, and why.

    When a whole step or bag is passed, kinds that are renewed as a rule are left out, and named.
    Pieces that were repairable are passed once work was done on them, and as many as that.

    Raises:
        BadValue: no such verdict, both a verdict and a reading, or neither; who did the work, but
            not what.
        Refused: no reason for a bad verdict, or no such pieces; work on several items.
    """
    quantity = count_of(ask.quantity)
    work = read_work(ask.work)
    if work is not None and ask.measured is not None and not work.measured:
        work = replace(work, measured=f"{ask.measured.name} {ask.measured.reading}".strip())
    if work is not None and ask.measured is None and not ask.verdict.strip():
        return _note_work(context, ask, work, quantity)
    condition, reason, quantity = _verdict(ask, quantity)
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    of = maybe_condition(ask.of)
    sources = _judged_from(ask.what, condition, quantity, reason, of)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        stock = writer.stock([item.number for item in chosen.items])
        moves: list[Movement] = []
        findings: list[tuple[Item, int]] = []
        if work is not None:
            _ = chosen.only
        several = len(chosen.items) > 1
        renewed = [i for i in chosen.items if several and i.renew and condition in FIT_AGAIN]
        for item in chosen.picked(quantity):
            if item in renewed:
                continue
            spots = from_hand(stock, item, quantity, sources, bag=chosen.bag)
            if condition is Condition.SERVICEABLE and quantity is None and of is None:
                mended = from_hand(stock, item, None, (Condition.REPAIRABLE,), bag=chosen.bag)
                spots += mended if work is not None else _first(mended, item.repaired)
            if not spots and not several and of is None and condition in REASON_NEEDED:
                # One item named by itself, judged already: a worse verdict mends the better one.
                others = [each for each in INSPECTED_FROM if each is not condition]
                spots = from_hand(stock, item, quantity, others, bag=chosen.bag)
            for spot, count in spots:
                moves += moves_to(item, [(spot, count)], spot.place, condition)
            if spots:
                findings.append((item, sum(count for _, count in spots)))
        if not moves:
            _refuse_nothing(ask.what, condition, chosen)
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.INSPECT,
            f"{counted(total)} of {chosen.name} {condition}{_after(work)}",
            reason=reason,
            at=context.at,
        )
        writer.move(act, record(stock, ActKind.INSPECT, moves, reason))
        for item, count in findings:
            write_work(writer, act, item, count, work)
            writer.finding(act, item.number, count, condition, reason)
    return Inspected(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        condition=condition,
        reason=reason,
        items=tuple(InspectedItem(item.ref, count, item.as_found.text) for item, count in findings),
        left_out=tuple(NamedItem(item.ref, item.as_found.text) for item in renewed),
        work=work,
    )


def write_work(writer: Writer, act: int, item: Item, count: int, work: WorkSaid | None) -> None:
    """Write down what was done to so many pieces of an item, if anything."""
    if work is not None:
        writer.work(act, item.number, count, work.what, by=work.by, measured=work.measured)


def _note_work(context: Context, ask: Inspect, work: WorkSaid, quantity: int | None) -> Inspected:
    """Record work on pieces that nobody inspected since; they keep their condition."""
    of = maybe_condition(ask.of)
    if ask.reason:
        raise BadValue("no verdict")
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        item = chosen.only
        stock = writer.stock([item.number])
        wanted = (of,) if of is not None else INSPECTED_FROM
        spots = from_hand(stock, item, quantity, wanted, bag=chosen.bag)
        count = sum(some for _, some in spots)
        if not count:
            raise Refused("nothing to inspect", what=ask.what, pieces=pieces_of(chosen.items))
        act = writer.begin(
            ActKind.WORK, f"{counted(count)} of {chosen.name}{_after(work)}", at=context.at
        )
        write_work(writer, act, item, count, work)
    return Inspected(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        condition=None,
        reason="",
        items=(InspectedItem(item.ref, count, item.as_found.text),),
        left_out=(),
        work=work,
    )


def _after(work: WorkSaid | None) -> str:
    """Return what an act's line in the history says of the work."""
    return f", {work.words}" if work is not None else ""


def _first(spots: list[tuple[Spot, int]], most: int) -> list[tuple[Spot, int]]:
    """Return the first so many pieces of those chosen."""
    taken = []
    for spot, count in spots:
        if most > 0:
            taken.append((spot, min(count, most)))
            most -= count
    return taken


def _refuse_nothing(what: str, condition: Condition, chosen: Selection) -> None:
    """Refuse a verdict on pieces that have one already, and say what would give another."""
    pieces = pieces_of(chosen.items)
    there = {each.condition for each in pieces if each.kind.in_hand}
    if condition is Condition.SERVICEABLE and there == {Condition.REPAIRABLE}:
        raise Refused("marked repairable", what=what, pieces=pieces)
    raise Refused("nothing to inspect", what=what, pieces=pieces)


def _verdict(ask: Inspect, quantity: int | None) -> tuple[Condition, str, int | None]:
    """Return the condition, its reason and the count that was typed, or that a reading gives."""
    if ask.measured is not None:
        if ask.verdict or ask.reason:
            raise BadValue("a verdict or a reading")
        condition, reason = _judged(ask.measured)
        return condition, reason, quantity or 1
    if not ask.verdict.strip():
        raise BadValue("no verdict")
    return condition_named(ask.verdict), ask.reason, quantity


def _judged(measured: MeasuredAgainstLimit) -> tuple[Condition, str]:
    """Return the condition and the reason that a reading against its limit amounts to."""
    from stores.handbook.wear import judge

    def millimetres(text: str) -> float | None:
        return float(units.read(text, units.Kind.LENGTH, "mm").base) if text else None

    value, sigma = millimetres(measured.reading), millimetres(measured.uncertainty)
    if value is None or not sigma:
        raise BadValue("what was measured")
    judgement = judge(
        measured.name.strip() or "reading",
        value,
        nominal_mm=millimetres(measured.nominal),
        limit_mm=millimetres(measured.limit),
        grows=measured.grows,
        sigma_mm=sigma,
    )
    return condition_named(judgement.verdict), judgement.reason


def _judged_from(
    what: str, condition: Condition, quantity: int | None, reason: str, of: Condition | None
) -> list[Condition]:
    """Return the conditions that pieces may have now to be judged so; refuse what is no verdict."""
    if condition is Condition.NEW:
        raise Refused("an inspection makes nothing new", hint=Hint("buy"))
    if condition is Condition.AS_REMOVED:
        raise Refused("as removed is no verdict", hint=Hint("undo"))
    if condition in REASON_NEEDED and not reason:
        raise Refused(
            "verdict needs a reason",
            hint=Hint("inspect", what=what, verdict=condition.value, reason="REASON"),
        )
    if reason.isdigit():
        raise Refused(
            "count behind the verdict",
            count=reason,
            hint=Hint("inspect", what=what, quantity=reason, verdict=condition.value),
        )
    if of is not None:
        sources: tuple[Condition, ...] = (of,)
    elif quantity is None:
        sources = (Condition.AS_REMOVED, Condition.QUARANTINE)
    else:
        sources = INSPECTED_FROM
    return [source for source in sources if source is not condition]


def specify(context: Context, ask: Specify) -> Specified:
    """Record what should be at a joint, when the parts book or a measurement has told.

    New pieces that were bought to the old specification, and are now the wrong thing, become loose
    spares where they lie.

    Raises:
        Refused: nothing said, or pieces of the old specification are on the machine.
        NotationError, BadValue: a line that cannot be read.
    """
    reuse = clean(ask.reuse, "the reason", most=NOTE_LENGTH, empty=True)
    if not ask.text.strip() and not reuse:
        raise Refused("nothing specified")
    line = read_line(ask.text) if ask.text.strip() else None
    if line is not None:
        refuse_beside(line, "specify")
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        item = chosen.only
        spec = line.thing.spec if line else item.as_specified.text
        wanted = line.wanted if line and line.counted else item.wanted
        kept = bool(reuse) or (not item.renew and bool(item.as_specified.renew))
        other = not agree(item.as_specified.text, spec)
        if other and item.fitted:
            raise Refused(
                "on the machine already", quantity=item.fitted, text=item.as_specified.text
            )
        description = writer.description(line.thing) if line else writer.known_description(spec)
        renew = item.renew if line is None else renew_always(line.thing) or ""
        act = writer.begin(
            ActKind.SPECIFY,
            f"{item.ref} should be {many(wanted, spec)}",
            reason=reuse,
            at=context.at,
        )
        writer.specify(act, item.number, description, wanted, "" if kept else renew)
        spare = _let_loose(writer, act, chosen, item) if other else None
    return Specified(
        act=act,
        trial=ask.trial,
        item=item.ref,
        found=item.found,
        as_found=item.as_found.text,
        wanted=wanted,
        as_specified=spec,
        reuse=reuse,
        spare=spare,
    )


def _let_loose(writer: Writer, act: int, chosen: Selection, item: Item) -> LetLoose | None:
    """Turn an item's new pieces, bought to a specification that fell, into loose spares."""
    stock = writer.stock([item.number])
    spots = [
        (spot, count)
        for spot, count in stock.balance.of_item(item.number).items()
        if spot.condition is Condition.NEW and count > 0 and stock.kinds[spot.place].inside
    ]
    if not spots:
        return None
    text = item.as_specified.text
    loose = let_loose(writer, act, chosen.machine.number, item, spots, text, ActKind.SPECIFY)
    return LetLoose(loose.item, sum(count for _, count in spots), text)
