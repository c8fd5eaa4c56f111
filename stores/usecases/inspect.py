"""What is known and wanted of pieces: inspected, and specified."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NoReturn

from stores import units
from stores.errors import BadValue, Hint, Refused
from stores.handbook.benchline import read_line
from stores.handbook.fastener import parse, renew_always
from stores.model.items import Item, agree, clash, differences, sized, vague
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.storage import Writer
from stores.storage.items import read_items
from stores.text import clean, counted, many
from stores.usecases.common import (
    NO_WORK,
    NOTE_LENGTH,
    REASON_NEEDED,
    SPOKEN,
    Selection,
    WorkSaid,
    condition_named,
    count_of,
    from_hand,
    loose_item,
    make_loose,
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
    "Sense",
    "Specified",
    "Specify",
    "inspect",
    "let_loose",
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
VERDICTS = (
    Condition.SERVICEABLE,
    Condition.REPAIRABLE,
    Condition.CONDEMNED,
    Condition.QUARANTINE,
)
ONLY_NEW = (Condition.NEW,)
TAKEN = -1
"""A place of no ledger, for pieces that one verdict of an act has taken from the next."""


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
    """Verdicts on pieces of an item, a step or a bag, by words or by a measurement.

    Without a ``quantity`` it is about all pieces that nobody has judged yet. A better verdict on a
    condemned piece has to name it: ``of`` is the condition that the pieces have now. ``said`` are
    the words of all of it as typed, instead of ``verdict``, ``reason`` and ``quantity``: several
    verdicts one after another, each with its count and its reason (``4 serviceable 2 condemned
    necked``; ``rest`` is a count). After the first, a word with a space in it is a whole reason.

    ``work`` is what was done to them before: then repairable pieces are passed, too. Of several
    verdicts it goes with the pieces that are passed. Without a verdict it is written down by
    itself.
    """

    what: str
    verdict: str = ""
    reason: str = ""
    quantity: str | int | None = None
    of: str | None = None
    measured: MeasuredAgainstLimit | None = None
    said: Sequence[str] = ()
    work: WorkSaid = NO_WORK


@dataclass(frozen=True, slots=True)
class NamedItem:
    """An item by its number and what it is."""

    item: str
    text: str


@dataclass(frozen=True, slots=True)
class InspectedItem:
    """So many pieces of an item that have the verdict now.

    ``bought_for`` is the joint that a new piece was bought for: it failed, and is loose now.
    ``were`` are the conditions that they had, empty where they could only be as removed.
    """

    item: str
    quantity: int
    text: str
    condition: Condition | None
    reason: str = ""
    bought_for: str = ""
    were: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected(Reply):
    """What has which verdict now. ``left_out`` are kinds that are renewed as a rule,
    ``left_condemned`` pieces that were condemned before and are as they were.

    ``work`` is what was done to those that passed. Where nothing but that was written down, the
    items have no ``condition``: they keep theirs.
    """

    machine: str
    other_machines: bool
    items: tuple[InspectedItem, ...]
    left_out: tuple[NamedItem, ...]
    left_condemned: tuple[InspectedItem, ...]
    work: WorkSaid | None = None


@dataclass(frozen=True, slots=True)
class Specify(Ask):
    """What should be at a joint.

    ``text`` is what, as ``4 M6x25 hex 8.8``; empty leaves it as it is. ``reuse`` is why a kind that
    is renewed as a rule may be used again here. ``same`` True: it is the name of what was found;
    False: another thing than was found should be there; None: the words tell.
    """

    what: str
    text: str = ""
    reuse: str = ""
    same: bool | None = None


class Sense(StrEnum):
    """How a specification was taken, beside what was found."""

    NAME = "the name of what was found"
    MORE = "says more of what was found"
    OTHER = "another thing"
    NONE_FOUND = "none was found"


@dataclass(frozen=True, slots=True)
class LetLoose:
    """New pieces, bought to a specification that fell: loose spares under a number of their own."""

    item: str
    quantity: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Specified(Reply):
    """What is specified at a joint now, beside what was found as it was known before.

    ``taken_as`` is how it was taken, and ``said_so`` whether the person said so; ``differences``
    are in what it is another thing: kind, size, length.
    """

    item: str
    found: int
    as_found: str
    wanted: int
    as_specified: str
    reuse: str
    spare: LetLoose | None
    taken_as: Sense
    said_so: bool
    differences: tuple[str, ...]


def inspect(context: Context, ask: Inspect) -> Inspected:
    """Record of so many pieces what condition they are in, and why.

    When a whole step or bag is passed, kinds that are renewed as a rule are left out, and named;
    so are pieces that are condemned already, unless ``of`` names them. A new piece of another thing
    than the joint's old ones that fails is a loose piece then: the joint is short of it again.
    Pieces that were repairable are passed once work was done on them, and as many as that.

    Raises:
        BadValue: no such verdict, both a verdict and a reading, or neither; who did the work, but
            not what.
        Refused: no reason for a bad verdict, a verdict or a count within a reason, or no such
            pieces; work on several items.
    """
    work = read_work(ask.work)
    if work is not None and ask.measured is not None and not work.measured:
        work = replace(work, measured=f"{ask.measured.name} {ask.measured.reading}".strip())
    if work is not None and not (ask.measured or ask.said or ask.verdict.strip()):
        return _note_work(context, ask, work)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        verdicts = _verdicts(ask)
        of = maybe_condition(ask.of)
        stock = writer.stock([item.number for item in chosen.items])
        if work is not None:
            _ = chosen.only
        judged, renewed = _choose(stock, chosen, verdicts, of, worked=work is not None)
        if not judged:
            _refuse_nothing(ask.what, verdicts, chosen)
        total = sum(each.quantity for each in judged)
        reason = _reason_of_act(verdicts)
        words = ", ".join(dict.fromkeys(str(each.verdict.condition) for each in judged))
        act = writer.begin(
            ActKind.INSPECT, f"{counted(total)} of {chosen.name} {words}{_after(work)}",
            reason=reason, at=context.at,
        )  # fmt: skip
        moves: list[Movement] = []
        items: list[InspectedItem] = []
        passed = [each for each in judged if each.verdict.condition is Condition.SERVICEABLE]
        worked_on = passed or judged
        for each in judged:
            done = work if each in worked_on else None
            moved, told = _write_verdict(writer, act, chosen, each, done)
            moves += moved
            items.append(told)
        writer.move(act, record(writer.stock_for(moves), ActKind.INSPECT, moves, reason))
    whole = of is None and any(each.quantity is None for each in verdicts)
    return Inspected(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        items=tuple(items),
        left_out=tuple(NamedItem(item.ref, item.text) for item in renewed),
        left_condemned=_condemned_before(chosen, verdicts) if whole else (),
        work=work,
    )


def write_work(writer: Writer, act: int, item: int, count: int, work: WorkSaid | None) -> None:
    """Write down what was done to so many pieces of an item, if anything."""
    if work is not None:
        writer.work(act, item, count, work.what, by=work.by, measured=work.measured)


def _note_work(context: Context, ask: Inspect, work: WorkSaid) -> Inspected:
    """Record work on pieces that nobody inspected since; they keep their condition."""
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
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
        write_work(writer, act, item.number, count, work)
    return Inspected(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        items=(InspectedItem(item.ref, count, item.text, None),),
        left_out=(),
        left_condemned=(),
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


def _refuse_nothing(what: str, verdicts: Sequence["_Verdict"], chosen: Selection) -> NoReturn:
    """Refuse a verdict on pieces that have one already, and say what would give another."""
    pieces = pieces_of(chosen.items)
    there = {each.condition for each in pieces if each.kind.in_hand}
    passing = any(each.condition is Condition.SERVICEABLE for each in verdicts)
    if passing and there == {Condition.REPAIRABLE}:
        raise Refused("marked repairable", what=what, pieces=pieces)
    raise Refused("nothing to inspect", what=what, pieces=pieces)


@dataclass(frozen=True, slots=True)
class _Verdict:
    """One verdict as it was read: on so many pieces, None for those that nobody has inspected.
    ``word`` is the one that it was said with, so that a refusal says it back."""

    condition: Condition
    reason: str = ""
    quantity: int | None = None
    word: str = ""
    measured_nm: int | None = None
    limit_nm: int | None = None


@dataclass(frozen=True, slots=True)
class _Judged:
    """Pieces of an item that get a verdict: all of one name."""

    item: Item
    verdict: _Verdict
    spots: tuple[tuple[Spot, int], ...]
    text: str

    @property
    def quantity(self) -> int:
        """How many."""
        return sum(count for _, count in self.spots)

    @property
    def fails_as_new(self) -> bool:
        """Whether it was bought as another thing than the joint's old pieces, and is no longer
        new: among these it would go by their name."""
        item = self.item
        return (
            bool(item.step.number)
            and self.text != item.as_found.text
            and item.fit_conditions == ONLY_NEW
            and all(spot.condition is Condition.NEW for spot, _ in self.spots)
        )


def _choose(
    stock: Stock,
    chosen: Selection,
    verdicts: Sequence[_Verdict],
    of: Condition | None,
    *,
    worked: bool,
) -> tuple[list[_Judged], list[Item]]:
    """Return which pieces get which verdict, and what is left out since it is always renewed.
    ``worked`` says that work was done on all that pass."""
    several = len(chosen.items) > 1
    judged: list[_Judged] = []
    renewed: dict[int, Item] = {}
    left = replace(stock, balance=stock.balance.copy())
    for verdict in verdicts:
        condition = verdict.condition
        for item in chosen.picked(verdict.quantity):
            if several and item.renew and condition in FIT_AGAIN:
                renewed[item.number] = item
                continue
            sources = _sources(item, verdict, of)
            spots = from_hand(left, item, verdict.quantity, sources, bag=chosen.bag)
            if condition is Condition.SERVICEABLE and verdict.quantity is None and of is None:
                mended = from_hand(left, item, None, (Condition.REPAIRABLE,), bag=chosen.bag)
                spots += mended if worked else _first(mended, item.repaired)
            if not spots and not several and of is None and condition in REASON_NEEDED:
                # One item named by itself, judged already: a worse verdict mends the better one.
                others = [each for each in INSPECTED_FROM if each is not condition]
                spots = from_hand(left, item, verdict.quantity, others, bag=chosen.bag)
            for spot, count in spots:  # what one verdict took is not there for the next
                left.balance.apply(Movement(item.number, count, spot, Spot(TAKEN, condition)))
            for text in dict.fromkeys(item.named(spot.condition) for spot, _ in spots):
                mine = tuple(each for each in spots if item.named(each[0].condition) == text)
                judged.append(_Judged(item, verdict, mine, text))
    return judged, list(renewed.values())


def _sources(item: Item, verdict: _Verdict, of: Condition | None) -> list[Condition]:
    """Return the conditions that pieces may have now to be judged so. Where only new ones are
    fitted, a new one that is found good stays new."""
    if of is not None:
        sources: tuple[Condition, ...] = (of,)
    elif verdict.quantity is None:
        sources = (Condition.AS_REMOVED, Condition.QUARANTINE)
    else:
        sources = INSPECTED_FROM
    stays = {verdict.condition}
    if verdict.condition is Condition.SERVICEABLE and item.fit_conditions == ONLY_NEW:
        stays.add(Condition.NEW)
    return [source for source in sources if source not in stays]


def _write_verdict(
    writer: Writer, act: int, chosen: Selection, each: _Judged, work: WorkSaid | None
) -> tuple[list[Movement], InspectedItem]:
    """Write a verdict down, and the work before it; return its movements and what is told of it."""
    item, verdict = each.item, each.verdict
    number, ref, moves = item.number, item.ref, []
    if each.fails_as_new:
        loose = loose_item(writer, act, chosen.machine.number, item, item.as_specified.text)
        number, ref = loose.number, loose.item
        lent = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
        for spot, count in each.spots:
            passing = Spot(lent, spot.condition)
            moves += [
                Movement(item.number, count, spot, passing),
                Movement(number, count, passing, Spot(spot.place, verdict.condition)),
            ]
    else:
        for spot, count in each.spots:
            moves += moves_to(item, [(spot, count)], spot.place, verdict.condition)
    write_work(writer, act, number, each.quantity, work)
    writer.finding(
        act, number, each.quantity, verdict.condition, verdict.reason,
        measured_nm=verdict.measured_nm, limit_nm=verdict.limit_nm,
    )  # fmt: skip
    return moves, InspectedItem(
        ref, each.quantity, each.text, verdict.condition, verdict.reason,
        item.ref if ref != item.ref else "", _were(each),
    )  # fmt: skip


def _were(each: _Judged) -> tuple[Condition, ...]:
    """Return in which conditions pieces were, where more than one was possible."""
    were = dict.fromkeys(spot.condition for spot, _ in each.spots)
    there = {
        held.condition for held in each.item.holdings if held.kind.in_hand and held.quantity > 0
    }
    if set(were) == {Condition.AS_REMOVED} and (each.verdict.quantity is None or there == {*were}):
        return ()
    return tuple(were)


def _condemned_before(chosen: Selection, verdicts: Sequence[_Verdict]) -> tuple[InspectedItem, ...]:
    """Return the pieces there that were condemned before: a better verdict on all of a step is not
    on these."""
    if not any(each.quantity is None and each.condition in FIT_AGAIN for each in verdicts):
        return ()
    left = []
    for item in chosen.items:
        there = [
            held
            for held in item.holdings
            if held.kind.in_hand
            and held.condition is Condition.CONDEMNED
            and held.quantity > 0
            and (not chosen.bag or held.place == chosen.bag)
        ]
        if there:
            why = [each for each in item.verdicts if each.condition is Condition.CONDEMNED]
            left.append(
                InspectedItem(
                    item.ref,
                    sum(held.quantity for held in there),
                    item.named(Condition.CONDEMNED),
                    Condition.CONDEMNED,
                    why[-1].what if why else "",
                )
            )
    return tuple(left)


def _reason_of_act(verdicts: Sequence[_Verdict]) -> str:
    if len(verdicts) == 1:
        return verdicts[0].reason
    return "; ".join(
        f"{each.quantity or 'the rest'} {each.condition}"
        + (f": {each.reason}" if each.reason else "")
        for each in verdicts
    )


def _verdicts(ask: Inspect) -> list[_Verdict]:
    """Return the verdicts that were typed, or the one that a reading gives."""
    if ask.measured is not None:
        quantity = count_of(ask.quantity)
        if ask.verdict or ask.reason or ask.said:
            raise BadValue("a verdict or a reading")
        made = [replace(_judged(ask.measured), quantity=quantity or 1)]
    elif ask.said:
        if ask.verdict or ask.reason or ask.quantity is not None:
            raise BadValue("a verdict said twice")
        made = _read(ask.what, ask.said)
    else:
        quantity = count_of(ask.quantity)
        if not ask.verdict.strip():
            raise BadValue("no verdict")
        made = [_Verdict(condition_of(ask.verdict), ask.reason, quantity, _word_of(ask.verdict))]
        _refuse_within(ask.what, made[0], [_Word(ask.reason, whole=True)])
    cleaned = []
    for each in made:
        reason = clean(each.reason, "the reason", most=NOTE_LENGTH, empty=True)
        cleaned.append(replace(each, reason=reason))
        _refuse_verdict(ask.what, cleaned[-1])
    return cleaned


@dataclass(frozen=True, slots=True)
class _Word:
    """A word as typed; ``whole`` if it is a reason by itself, spaces and all."""

    text: str
    whole: bool = False

    @property
    def bare(self) -> str:
        """It without the stops around it, folded; empty for a whole reason."""
        return "" if self.whole else self.text.strip(",;:.").casefold()

    @property
    def counts(self) -> bool:
        """Whether it is a count, or stands for one."""
        return self.bare.isdecimal() or self.bare in _REST


_REST = ("rest", "others")
_FEWEST = 3
"""Letters of a verdict behind a count that are enough to know it."""


def _read(what: str, said: Sequence[str]) -> list[_Verdict]:
    """Read verdicts one after another: a count, a verdict, a reason."""
    words: list[_Word] = []
    for index, text in enumerate(said):
        parts = text.split()
        if index and len(parts) > 1:
            words.append(_Word(text.strip(), whole=True))
        else:
            words += [_Word(part) for part in parts]
    made: list[_Verdict] = []
    uncounted = 0
    at = 0
    while at < len(words):
        quantity, rest = None, words[at].bare in _REST
        if rest or words[at].text[:1] in "0123456789-+\u2212":
            quantity = None if rest else count_of(words[at].bare)
            at += 1
        elif made or len(words) > 1:
            uncounted += 1
        if at == len(words):
            raise BadValue("no verdict")
        named = words[at].bare or words[at].text
        condition = condition_of(named)
        at += 1
        reason: list[_Word] = []
        while at < len(words) and not _begins(words, at):
            reason.append(words[at])
            at += 1
        if at < len(words) and reason and reason[-1].bare == "and":
            reason.pop()
        verdict = _Verdict(
            condition, " ".join(each.text for each in reason), quantity, _word_of(named)
        )
        _refuse_within(what, verdict, reason)
        made.append(replace(verdict, reason=verdict.reason.rstrip(" ,;")))
    if not made:
        raise BadValue("no verdict")
    if len(made) > 1 and uncounted:
        raise Refused(
            "verdict without a count",
            hint=Hint("inspect", what=what, said=" ".join(_spoken(each, "N") for each in made)),
        )
    return made


def _begins(words: Sequence[_Word], at: int) -> bool:
    """Return whether a verdict begins there: a count, and a word that is a verdict."""
    if not words[at].counts or at + 1 == len(words):
        return False
    after = words[at + 1].bare
    begun = len(after) >= _FEWEST and any(each.value.startswith(after) for each in VERDICTS)
    return begun or after in SPOKEN


def _spoken(verdict: _Verdict, none: str = "") -> str:
    count = none if verdict.quantity is None else str(verdict.quantity)
    return " ".join(filter(None, (count, _said(verdict), verdict.reason)))


def _said(verdict: _Verdict) -> str:
    return verdict.word or verdict.condition.value


def _word_of(typed: str) -> str:
    """Return a verdict's word as it was typed, empty for a part of one or the condition's name."""
    folded = typed.strip().casefold()
    return folded if folded in SPOKEN else ""


def condition_of(typed: str) -> Condition:
    """Return what a verdict says.

    Raises:
        BadValue: no such verdict.
    """
    try:
        return condition_named(typed)
    except BadValue:
        raise BadValue("no such verdict", typed=typed.strip()[:40]) from None


def _refuse_within(what: str, verdict: _Verdict, reason: Sequence[_Word]) -> None:
    """Refuse what in a reason may be a verdict or a count of its own."""
    from difflib import get_close_matches

    names = [each.value for each in VERDICTS]
    texts = [text for word in reason for text in word.text.split()]
    for at, text in enumerate(texts):
        bare = text.strip(",;:.").casefold()
        after = texts[at + 1].strip(",;:.").casefold() if at + 1 < len(texts) else ""
        slip: list[str] = []
        if bare.isdecimal() or bare in _REST:
            slip = (
                [after] if after in SPOKEN else get_close_matches(after, [*names, *SPOKEN], 1, 0.8)
            )
        if bare in names or slip:
            name = bare if bare in names else slip[0]
            before = texts[: at - (bare in names and at > 0 and texts[at - 1].isdecimal())]
            count = bare if slip else texts[at - 1] if len(before) < at else "N"
            behind = texts[at + (2 if slip else 1) :]
            so_far = replace(verdict, reason=" ".join(before))
            said = [_spoken(so_far, "N"), count, name, *(behind or ["WHY"])]
            raise Refused(
                "a verdict within the reason",
                word=after if slip else bare,
                hint=Hint("inspect", what=what, said=" ".join(said)),
            )
    if not reason or (reason[0].whole and not verdict.reason.strip().isdecimal()):
        return
    first, last = texts[0], texts[-1]
    passed = verdict.condition not in REASON_NEEDED
    count = first if first.isdecimal() and (verdict.quantity is None or passed) else ""
    if not count and last.isdecimal() and verdict.quantity is None:
        count = last
    if count:
        at = 0 if count == first else len(texts) - 1
        rest = " ".join(text for index, text in enumerate(texts) if index != at)
        raise Refused(
            "count behind the verdict",
            count=count,
            hint=Hint("inspect", what=what, quantity=count, verdict=_said(verdict), reason=rest),
        )


def _judged(measured: MeasuredAgainstLimit) -> _Verdict:
    """Return the condition and the reason that a reading against its limit amounts to."""
    from stores.handbook.wear import judge

    def millimetres(text: str) -> float | None:
        return float(units.read(text, units.Kind.LENGTH, "mm").base) if text else None

    value, sigma = millimetres(measured.reading), millimetres(measured.uncertainty)
    limit = millimetres(measured.limit)
    if value is None or not sigma:
        raise BadValue("what was measured")
    judgement = judge(
        measured.name.strip() or "reading",
        value,
        nominal_mm=millimetres(measured.nominal),
        limit_mm=limit,
        grows=measured.grows,
        sigma_mm=sigma,
    )
    return _Verdict(
        condition_named(judgement.verdict),
        judgement.reason,
        measured_nm=round(value * 1e6),
        limit_nm=None if limit is None else round(limit * 1e6),
    )


def _refuse_verdict(what: str, verdict: _Verdict) -> None:
    """Refuse what is no verdict, or one that says nothing without a reason."""
    condition = verdict.condition
    if condition is Condition.NEW:
        raise Refused("an inspection makes nothing new", hint=Hint("buy"))
    if condition is Condition.AS_REMOVED:
        raise Refused("as removed is no verdict", hint=Hint("undo"))
    if condition in REASON_NEEDED and not verdict.reason:
        raise Refused(
            "verdict needs a reason",
            hint=Hint("inspect", what=what, verdict=_said(verdict), reason="REASON"),
        )


def specify(context: Context, ask: Specify) -> Specified:
    """Record what should be at a joint, when the parts book or a measurement has told; or the name
    of what was found, learnt since.

    New pieces that were bought to the old specification, and are now the wrong thing, become loose
    spares where they lie. Of a loose piece it is always what the piece is.

    Raises:
        Refused: nothing said; not to be told whether it is a name or another thing; or pieces of
            the old specification are on the machine.
        NotationError, BadValue: a line that cannot be read.
    """
    reuse = clean(ask.reuse, "the reason", most=NOTE_LENGTH, empty=True)
    if not ask.text.strip() and not reuse:
        raise Refused("nothing specified")
    line = read_line(ask.text) if ask.text.strip() else None
    if line is None and ask.same is not None:
        raise Refused("nothing specified")
    if line is not None:
        refuse_beside(line, "specify")
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        item = chosen.only
        spec = line.thing.spec if line else item.as_specified.text
        wanted = line.wanted if line and line.counted else item.wanted
        kept = bool(reuse) or (not item.renew and bool(item.as_specified.renew))
        sense = _sense(ask, item, spec)
        named = sense is Sense.NAME and not item.wrong
        other = not named and not agree(item.as_specified.text, spec)
        other = other or (sense is Sense.OTHER and not item.wrong)
        if other and item.fitted:
            raise Refused(
                "on the machine already", quantity=item.fitted, text=item.as_specified.text
            )
        description = writer.description(line.thing) if line else writer.known_description(spec)
        renew = item.renew if line is None else renew_always(line.thing) or ""
        is_name = "is" if sense is Sense.NAME else "should be"
        act = writer.begin(
            ActKind.SPECIFY,
            f"{item.ref} {is_name} {many(wanted, spec)}",
            reason=reuse,
            at=context.at,
        )
        same = {Sense.NAME: True, Sense.OTHER: False}.get(sense)
        if sense is Sense.OTHER and not item.other and ask.same is None:
            same = None  # the words alone tell
        writer.specify(act, item.number, description, wanted, "" if kept else renew, same=same)
        spare = let_loose(writer, act, chosen, item) if other else None
        found = item.as_found.text
        if sense is Sense.OTHER:  # what was taken for its name may not be it after all
            (again,) = read_items(writer.connection, numbers=[item.number], verdicts=False)
            found = again.as_found.text
    return Specified(
        act=act,
        trial=ask.trial,
        item=item.ref,
        found=item.found,
        as_found=found,
        wanted=wanted,
        as_specified=spec,
        reuse=reuse,
        spare=spare,
        taken_as=sense,
        said_so=ask.same is not None,
        differences=differences(found, spec) if item.found else (),
    )


def _sense(ask: Specify, item: Item, spec: str) -> Sense:
    """Return whether a specification is the name of what was found, says more of it, or is another
    thing."""
    if not item.step.number:
        if ask.same is False:
            raise Refused("a loose piece is what it is", item=item.ref)
        return Sense.NAME
    if not item.found:
        return Sense.NONE_FOUND
    if ask.same is not None:
        return _sense_said(ask, item, spec)
    found = item.as_found.text
    if agree(found, spec):
        said = item.other and agree(item.as_specified.text, spec)
        return Sense.OTHER if said else Sense.MORE
    if item.wrong or clash(found, spec):
        return Sense.OTHER
    if vague(found) or (not sized(found) and parse(found).kind == parse(spec).kind):
        return Sense.NAME
    raise Refused(
        "a name or another thing", item=item.ref, found=found, text=spec,
        hint=Hint("specify", what=item.ref, text=ask.text.strip()),
    )  # fmt: skip


def _sense_said(ask: Specify, item: Item, spec: str) -> Sense:
    """Return what the person said; refuse what cannot be."""
    found = item.as_found.text
    differ = differences(found, spec)
    if ask.same and differ:
        raise Refused(
            "not its name", item=item.ref, found=found, text=spec, differences=differ,
            hint=Hint("specify", what=item.ref, text=ask.text.strip(), other=True),
        )  # fmt: skip
    if not ask.same and spec == found and not item.learnt:
        raise Refused("that is what was found", item=item.ref, text=spec)
    return Sense.NAME if ask.same else Sense.OTHER


def let_loose(writer: Writer, act: int, chosen: Selection, item: Item) -> LetLoose | None:
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
    loose = make_loose(writer, act, chosen.machine.number, item, spots, text, ActKind.SPECIFY)
    away = {spot.place for spot, _ in spots if stock.kinds[spot.place] is PlaceKind.FIRM}
    if away:
        from stores.usecases.outwork import hand_on

        for firm in away:
            count = sum(some for spot, some in spots if spot.place == firm)
            hand_on(writer, act, firm, item.number, loose.number, count)
    return LetLoose(loose.item, sum(count for _, count in spots), text)
