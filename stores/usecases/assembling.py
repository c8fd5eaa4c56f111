"""What the bench says of a refit: what goes in, what is measured, how tight it is, who signs."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stores import units
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.model.items import Item
from stores.model.ledger import MAX_QUANTITY, ActKind
from stores.model.stock import counted_in, so_much
from stores.planning.assembling import CheckPoint, HowTight, Role
from stores.planning.needs import needs_at
from stores.planning.status import cautions_of, is_safety
from stores.planning.tightness import threaded
from stores.storage import Writer
from stores.storage.assembling import (
    CheckedRow,
    CheckPointRow,
    FittingRow,
    SignatureRow,
    TightenedRow,
    read_refits,
)
from stores.storage.figures import maker_torques
from stores.storage.items import items_of_step
from stores.storage.stock import StockNeedRow
from stores.text import beside, clean, fold, many
from stores.usecases.common import NOTE_LENGTH, Selection, select, step_of
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.figures import tightened
from stores.usecases.rebuild import standing_step
from stores.usecases.taking import hazards_of

__all__ = [
    "Apply",
    "BesideMaker",
    "GoesIn",
    "PointMeasured",
    "PointSet",
    "SetPoint",
    "Sign",
    "Signed",
    "TakeReading",
    "Tight",
    "TightLine",
    "Tighten",
    "apply",
    "read_applied",
    "read_limits",
    "set_point",
    "sign",
    "take_reading",
    "tighten",
    "write_tightened",
]

KINDS = (
    ("locking compound", r"(?:thread|stud|bearing)?[- ]?lock\w*|retain(?:er|ing) compound"),
    ("sealant", r"seal\w*|jointing|gasket compound|(?:thread|ptfe) tape|silicone"),
    ("grease", r"greas\w*|anti-?seize|assembly (?:lube|paste)|moly\w*|petroleum jelly"),
    ("oil", r"oil\w*"),
)
"""What goes in with a joint, and the words it is known by."""

COMPOUND_AT_A_BRAKE = "compound at a brake"
"""The caution where something goes in at brakes, steering or wheels."""


@dataclass(frozen=True, slots=True)
class Apply(Ask):
    """What goes in with a step or an item: locking compound, sealant, grease, oil.

    ``text`` says which, and may say how much of it; its kind is read from its words. "no sealant"
    takes it back. ``takes`` is how much, as typed: an amount, or measures that a rule works out
    (``bead 3 mm x 640 mm``); "none" leaves it to the rule again.
    """

    what: str
    text: str
    takes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GoesIn(Reply):
    """What goes in, or with an empty ``text`` no longer does.

    ``item`` is empty where it is of the step as a whole. ``thing`` is the consumable by its full
    name in the handbook, empty where the words name none or may be of several (``choices``).
    ``quantity`` in ``unit`` is how much, None where nothing says so; ``basis`` how that was worked
    out. ``hazards`` are the usual cautions of its kind.
    """

    machine: str
    other_machines: bool
    step: int
    item: str
    as_specified: str
    kind: str
    text: str
    cautions: tuple[str, ...]
    thing: str = ""
    choices: tuple[str, ...] = ()
    unit: str = ""
    quantity: float | None = None
    basis: str = ""
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SetPoint(Ask):
    """Something to measure when a step is refitted, and its limits; "none" takes it back.

    ``limits`` is ``0.05 to 0.15 mm``, ``at most 0.1 mm``, ``0.4 mm``; see `read_limits`. ``found``
    is what it measured, if that is known already.
    """

    what: str
    name: str
    limits: str
    source: str = ""
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSet(Reply):
    """Something to measure on record; ``limits`` is empty where it was taken back.

    ``measured`` is what was found at once, None where nothing was said of it.
    """

    machine: str
    other_machines: bool
    step: int
    name: str
    limits: str
    measured: "PointMeasured | None" = None


@dataclass(frozen=True, slots=True)
class TakeReading(Ask):
    """What was measured at a point of a step."""

    what: str
    name: str
    reading: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PointMeasured(Reply):
    """A reading on record: ``found`` in ``unit``, and whether it keeps to the limits."""

    machine: str
    other_machines: bool
    step: int
    name: str
    found: float
    unit: str
    limits: str
    within: bool


@dataclass(frozen=True, slots=True)
class Tighten(Ask):
    """What is on the machine was tightened, with what torque, if measured: ``24 N m oiled``.

    ``what`` is an item, or a step or bag; with a torque there must be one thing to tighten.
    """

    what: str
    torque: str = ""


@dataclass(frozen=True, slots=True)
class TightLine:
    """So many pieces of an item that were tightened."""

    item: str
    quantity: int
    text: str


@dataclass(frozen=True, slots=True)
class BesideMaker:
    """The maker's figure, in N m, of an item that was tightened to another."""

    item: str
    low_nm: float
    high_nm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tight(Reply):
    """What was tightened. ``torque_nm`` is None where none was measured."""

    machine: str
    other_machines: bool
    items: tuple[TightLine, ...]
    torque_nm: float | None
    written: str
    state: str
    beside_maker: tuple[BesideMaker, ...]


@dataclass(frozen=True, slots=True)
class Sign(Ask):
    """Somebody signs for a step: who fitted it, or who checked it as the ``second`` person."""

    what: str
    name: str
    second: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed(Reply):
    """A signature on record."""

    machine: str
    other_machines: bool
    step: int
    part: str
    role: Role
    name: str


def apply(context: Context, ask: Apply) -> GoesIn:
    """Return what goes in with a step or an item.

    Raises:
        Refused: nothing is named that goes in; how much of it, where it may be several things.
        BadValue, NotationError: no amount, and no measures of a rule.
    """
    text = clean(ask.text, "what goes in", most=200)
    none = re.match(r"(?i)(?:no|none|without)\b\s*(.*)", text)
    takes = ask.takes.strip()
    if not none:
        from stores.handbook.consumables import amount_apart

        thing, much = amount_apart(text)
        text = thing or text
        if much and takes:
            raise Refused("how much, twice", one=much, other=takes)
        takes = takes or much
    kind = _kind(none[1] if none else text)
    said = None if none or not takes else _takes(text, takes)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
        step = step_of(chosen)
        row = standing_step(writer, chosen, step)
        item = None if ask.what.strip() == str(step) or chosen.bag else chosen.only
        name = beside(item.ref, item.as_specified.text) if item else f"step {step}"
        act = writer.begin(
            ActKind.FITTING, f"{name}: {f'no {kind}' if none else text}", at=context.at
        )
        writer.append(
            FittingRow(
                act_id=act,
                step_id=row,
                item_id=item.number if item else None,
                kind=kind,
                text="" if none else text,
            )
        )
        if said is not None:
            writer.append(
                StockNeedRow(
                    act_id=act, step_id=row, item_id=item.number if item else None,
                    description_id=writer.described_as(
                        counted_in(said.unit, said.name), said.family
                    ),
                    unit=said.unit, quantity=said.thousandths, basis=said.basis,
                )
            )  # fmt: skip
        notes = read_refits(writer.connection, chosen.machine.number).of(step)
        whole = items_of_step(writer.connection, chosen.machine.number, step, empty=True)
        line = item.line if item else 0
        need = next(
            (
                each
                for each in needs_at(chosen.step, whole, notes)
                if (each.line, each.said) == (line, text)
            ),
            None,
        )
    safety = is_safety(cautions_of(chosen.step, chosen.items))
    return GoesIn(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        item=item.ref if item else "",
        as_specified=item.as_specified.text if item else "",
        kind=kind,
        text="" if none else text,
        cautions=(COMPOUND_AT_A_BRAKE,) if safety and not none else (),
        thing=need.name if need else "",
        choices=need.choices if need else (),
        unit=need.unit if need else "",
        quantity=None if need is None or need.quantity is None else float(need.quantity),
        basis=need.basis if need else "",
        hazards=hazards_of(need.kind) if need and need.kind else (),
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """How much of a thing goes in, as a person said; 0 leaves it to the rule."""

    name: str
    family: str
    unit: str
    thousandths: int
    basis: str


def _takes(text: str, takes: str) -> _Said:
    """Read how much of a thing goes in; it must be one of the handbook's."""
    from stores.handbook.consumables import full_name, kinds_said, read_takes, variety

    kinds = kinds_said(text)
    if len(kinds) != 1:
        raise Refused("how much of which", typed=text, kinds=tuple(kind.name for kind in kinds))
    (kind,) = kinds
    name, unit = full_name(kind, variety(kind, text)), "" if kind.unit == "piece" else kind.unit
    if takes.strip().casefold() in ("none", "0"):
        return _Said(name, kind.family, unit, 0, "")
    read = read_takes(takes, kind)
    if not 0 < read.quantity <= MAX_QUANTITY:
        raise BadValue("no amount to use up", typed=takes, most=so_much(MAX_QUANTITY, unit))
    return _Said(name, kind.family, unit, max(1, round(read.quantity * 1000)), read.basis)


def _kind(text: str) -> str:
    for kind, words in KINDS:
        if re.search(rf"(?i)\b(?:{words})\b", text):
            return kind
    from stores.handbook.consumables import kinds_said

    if kinds := kinds_said(text):
        return kinds[0].name if len(kinds) == 1 else kinds[0].family
    raise Refused("no sort of compound", typed=text, sorts=tuple(kind for kind, _ in KINDS))


def set_point(context: Context, ask: SetPoint) -> PointSet:
    """Return what is to be measured when a step is refitted, and its limits.

    Raises:
        NotationError, BadValue: limits or a reading that cannot be read, or a reading of what is
            taken back.
        NotFound: no such point to take back.
    """
    name = clean(ask.name, "what is measured", most=80)
    source = clean(ask.source, "where it is printed", most=200, empty=True)
    none = ask.limits.strip().casefold() == "none"
    low, high, unit = (None, None, "") if none else read_limits(ask.limits)
    if none and ask.found:
        raise BadValue("reading of nothing", typed=ask.found)
    point = CheckPoint(0, 0, name, low, high, unit)
    taken = replace(point, found=_value(ask.found, unit)) if ask.found else None
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
        step = step_of(chosen)
        row = standing_step(writer, chosen, step)
        if none:
            _point(writer, chosen, step, name)
        limits = "" if none else point.limits
        verdict = f"; {_verdict(taken)}" if taken else ""
        act = writer.begin(
            ActKind.CHECK,
            f"step {step}, {name}: {limits or 'not measured'}{verdict}",
            reason=source,
            at=context.at,
        )
        number = writer.append(
            CheckPointRow(
                act_id=act,
                step_id=row,
                name=name,
                key=fold(name),
                low=_whole(low),
                high=_whole(high),
                unit=unit,
                source=source,
            )
        )
        if taken:
            writer.append(_checked(act, number, taken, ask.found))
    return PointSet(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        name=name,
        limits=limits,
        measured=_measured(act, chosen, step, taken, trial=ask.trial) if taken else None,
    )


def take_reading(context: Context, ask: TakeReading) -> PointMeasured:
    """Return what was measured at a point of a step, and whether it keeps to the limits.

    Raises:
        NotFound: no such point; those there are are named.
        NotationError, BadValue: a reading that cannot be read, or is in another sort of unit.
    """
    name = clean(ask.name, "what is measured", most=80)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
        step = step_of(chosen)
        point = _point(writer, chosen, step, name)
        taken = replace(point, found=_value(ask.reading, point.unit))
        act = writer.begin(
            ActKind.CHECK, f"step {step}, {point.name}: {_verdict(taken)}", at=context.at
        )
        writer.append(_checked(act, point.number, taken, ask.reading))
    return _measured(act, chosen, step, taken, trial=ask.trial)


def _verdict(taken: CheckPoint) -> str:
    """Return what was measured and whether it keeps to the limits, for the log."""
    verdict = "within its limits" if taken.within else f"NOT within {taken.limits}"
    return f"{taken.measured}, {verdict}"


def _checked(act: int, point: int, taken: CheckPoint, written: str) -> CheckedRow:
    return CheckedRow(
        act_id=act, point_id=point, thousandths=round((taken.found or 0) * 1000), written=written
    )


def _measured(
    act: int, chosen: Selection, step: int, taken: CheckPoint, *, trial: bool
) -> PointMeasured:
    return PointMeasured(
        act=act,
        trial=trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        name=taken.name,
        found=float(taken.found or 0),
        unit=taken.unit,
        limits=taken.limits,
        within=bool(taken.within),
    )


def _point(writer: Writer, chosen: Selection, step: int, name: str) -> CheckPoint:
    points = read_refits(writer.connection, chosen.machine.number).of(step).points
    fits = [each for each in points if fold(each.name) == fold(name)] or [
        each for each in points if fold(each.name).startswith(fold(name))
    ]
    if len(fits) != 1:
        raise NotFound(
            "nothing of that name to measure",
            step=step,
            typed=name,
            points=tuple(each.name for each in points),
        )
    return fits[0]


def read_limits(text: str) -> tuple[Fraction | None, Fraction | None, str]:
    """Return limits: low, high, unit. ``0.05 to 0.15 mm``, ``2-4 thou``, ``at most 0.1 mm``.

    Raises:
        NotationError: no figure, or no unit.
        BadValue: the larger figure first, or control characters.
    """
    body = clean(text, "the limits", most=80)
    most = re.match(r"(?i)(?:at most|max(?:imum|\.)?|up to|under|below|<=?)\s*", body)
    least = re.match(r"(?i)(?:at least|min(?:imum|\.)?|over|above|>=?)\s*", body)
    rest = body[(most or least).end() :] if most or least else body  # type: ignore[union-attr]
    low, high, unit = units.read_span(rest)
    if not unit or unit[0].isdigit():
        raise NotationError("limits need a unit, as 0.05 to 0.15 mm", text)
    if low > high:
        raise BadValue("larger limit first", typed=text)
    return (None if most else low), (None if least else high), unit


def _value(text: str, unit: str) -> Fraction:
    """Return a measurement in the point's unit, converting lengths typed in another."""
    value, typed = units.read_number(text)
    if not typed or typed.casefold() == unit.casefold():
        return value
    try:
        return Fraction(units.convert(value, typed, unit))
    except (BadValue, NotationError):
        raise BadValue("limits in another unit", typed=text, unit=unit) from None


def _whole(value: Fraction | None) -> int | None:
    return None if value is None else round(value * 1000)


def tighten(context: Context, ask: Tighten) -> Tight:
    """Return what on the machine was tightened, and with what torque, if measured.

    Raises:
        Refused: nothing of it is on the machine, or has a thread.
        BadValue, NotationError: no torque, or a range: what was put on is one figure.
    """
    torque_nm, written, state = read_applied(ask.torque) if ask.torque else (None, "", "")
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        items = [tightened(chosen)] if torque_nm is not None else _threaded(chosen)
        on = [item for item in items if item.fitted]
        if not on:
            raise Refused(
                "nothing of it on the machine", name=chosen.name, hint=Hint("refit", what=ask.what)
            )
        how = (f"tightened to {written}" if written else "tightened") + (
            f", {state}" if state else ""
        )
        names = ", ".join(
            beside(item.ref, many(item.fitted, item.as_specified.text)) for item in on
        )
        act = writer.begin(ActKind.TIGHTEN, f"{names}: {how}", at=context.at)
        write_tightened(writer, act, on, HowTight.TIGHT, torque_nm, state, written)
        makers = maker_torques(writer.connection, [item.number for item in on])
    return Tight(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        items=tuple(TightLine(item.ref, item.fitted, item.as_specified.text) for item in on),
        torque_nm=torque_nm,
        written=written,
        state=state,
        beside_maker=tuple(
            BesideMaker(item.ref, maker.low_nm, maker.high_nm)
            for item in on
            if (maker := makers.get(item.number))
            and torque_nm is not None
            and not maker.low_nm * 0.95 <= torque_nm <= maker.high_nm * 1.05
        ),
    )


def read_applied(text: str) -> tuple[float, str, str]:
    """Return a torque put on: its N m, the figure as written, and dry or oiled.

    Raises:
        BadValue, NotationError: no torque, or a range: what was put on is one figure.
    """
    from stores.handbook.torque.maker import read_maker

    parts = re.fullmatch(r"(?i)(.*?)[,;\s]+(dry|oiled|greased|plated)\s*", text)
    figure, state = (parts[1], parts[2].lower()) if parts else (text, "")
    read = read_maker(figure)
    if read.low_nm != read.high_nm:
        raise BadValue("a range was put on", typed=text)
    return read.low_nm, figure.strip(), state


def write_tightened(
    writer: Writer,
    act: int,
    items: Sequence[Item],
    how: HowTight,
    torque_nm: float | None = None,
    state: str = "",
    written: str = "",
    counts: Mapping[int, int] | None = None,
) -> None:
    """Write down how these items were left; ``counts`` where fewer or more than those fitted."""
    for item in items:
        writer.append(
            TightenedRow(
                act_id=act,
                item_id=item.number,
                quantity=(counts or {}).get(item.number, item.fitted),
                how=how.value,
                torque_mnm=None if torque_nm is None else round(torque_nm * 1000),
                state=state,
                written=written,
            )
        )


def _threaded(chosen: Selection) -> list[Item]:
    items = [item for item in chosen.items if threaded(item.as_specified)]
    if not items:
        raise Refused("nothing to tighten", name=chosen.name)
    return items


def sign(context: Context, ask: Sign) -> Signed:
    """Return who signed for a step: who fitted it, or who checked it as the second person.

    Raises:
        Refused: pieces are still missing or only finger-tight, a job is not undone yet, or the
            second person is the one who fitted it.
    """
    name = clean(ask.name, "the name", most=80)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    role = Role.SECOND if ask.second else Role.FITTED
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
        step = step_of(chosen)
        row = standing_step(writer, chosen, step)
        whole = items_of_step(writer.connection, chosen.machine.number, step, empty=True)
        open_lines = [item for item in whole if item.to_fit]
        if open_lines:
            raise Refused("step not all on", step=step, items=_named(open_lines[:4]))
        if chosen.job is not None and not chosen.job.done:
            raise Refused(
                "job not undone",
                step=step,
                job=chosen.job.words,
                hint=Hint("refit", what=str(step)),
            )
        notes = read_refits(writer.connection, chosen.machine.number)
        loose = [
            item
            for item in whole
            if (left := notes.tightened.get(item.number)) and left.how is HowTight.FINGER
        ]
        if loose:
            raise Refused("only finger-tight", items=_named(loose))
        other = notes.of(step).signed(Role.FITTED if ask.second else Role.SECOND)
        if other and fold(other.name) == fold(name):
            raise Refused("signed by the same person", name=name, role=other.role)
        act = writer.begin(ActKind.SIGN, f"step {step}: {role}, {name}", reason=note, at=context.at)
        writer.append(SignatureRow(act_id=act, step_id=row, role=role.value, name=name, note=note))
    return Signed(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        part=chosen.step.part,
        role=role,
        name=name,
    )


def _named(items: Sequence[Item]) -> tuple[str, ...]:
    return tuple(beside(item.ref, item.as_specified.text) for item in items)
