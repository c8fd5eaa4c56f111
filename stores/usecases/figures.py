"""A machine's figures: its sumps, readings, makers' torques, and where the holes of a joint are."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from stores import units
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.fluids.oils import read_grade
from stores.handbook.torque.grades import friction
from stores.handbook.torque.maker import MakerFigure, read_maker
from stores.model.figures import JointHoles, MakerTorque, SumpOnRecord, contents
from stores.model.items import Item
from stores.model.ledger import ActKind
from stores.model.work_units import WorkUnits
from stores.planning.figures import joint_plan, newest_test, sump_of, what_goes_in
from stores.planning.status import cautions_of, is_safety, status_of
from stores.planning.tightness import threaded, tightness
from stores.storage import Writer
from stores.storage.figures import (
    FigureRow,
    JointRow,
    ReadingRow,
    SumpRow,
    maker_torques,
    read_joints,
    read_readings,
    read_sumps,
    step_row,
)
from stores.storage.items import items_of_step
from stores.storage.machines import Machine, machine_named
from stores.text import beside, clean, fold
from stores.usecases.common import NOTE_LENGTH, Selection, select, step_of
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.reckoning.engine import MOST_KPA, CompressionTest, compression_test
from stores.usecases.reckoning.joint import TighteningOrder

__all__ = [
    "ComputedTorque",
    "DropSump",
    "JointKnown",
    "JointRecorded",
    "ReadingListed",
    "ReadingTaken",
    "Readings",
    "ReadingsTaken",
    "SetJoint",
    "SetSump",
    "SetTorque",
    "SumpDropped",
    "SumpRecorded",
    "Sumps",
    "TakeReadings",
    "TorqueKnown",
    "TorqueRecorded",
    "drop_sump",
    "joint_of",
    "readings",
    "set_joint",
    "set_sump",
    "set_torque",
    "step_of",
    "sumps",
    "take_readings",
    "tightened",
    "torque_of",
]

MOST_READINGS = 50


@dataclass(frozen=True, slots=True)
class SetSump(Ask):
    """What a sump holds, of which oil, and where it is drained, filled and checked.

    What is None stays as it was recorded. Volumes have a unit, ``1.4 l``; ``number`` is how many
    alike there are, ``source`` where it is printed.
    """

    name: str
    oil: str | None = None
    dry: str | None = None
    refill: str | None = None
    number: int | None = None
    drain: str | None = None
    filler: str | None = None
    level: str | None = None
    note: str | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SumpRecorded(Reply):
    """A sump on record. ``graded`` tells that its oil is of a grade of SAE or ISO;
    ``bronze_question`` that it may harm bronze and brass: GL-5."""

    sump: str
    number: int
    grade: str
    dry_ml: int | None
    refill_ml: int | None
    graded: bool
    bronze_question: bool


@dataclass(frozen=True, slots=True)
class DropSump(Ask):
    """There is no such sump after all."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SumpDropped(Reply):
    """A sump is off the list."""

    sump: str


@dataclass(frozen=True, slots=True)
class Sumps:
    """The sumps of a machine, in the order in which they were first recorded."""

    machine: str
    sumps: tuple[SumpOnRecord, ...]


@dataclass(frozen=True, slots=True)
class TakeReadings(Ask):
    """Readings of the machine as a whole, before or after the work.

    Of a subject that begins with "compression" (but for its ratio) there is one reading a cylinder,
    ``wet`` has those with oil in the bore, ``-`` where not done, and bare readings are psi.
    ``unit`` is of readings that do not say theirs; ``barometer`` the day's air pressure, in hPa.
    """

    subject: str
    values: Sequence[str] = ()
    wet: str = ""
    after: bool = False
    unit: str = ""
    barometer: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """One reading: where it was taken (``cylinder 1``), in what state (``dry``), and what."""

    place: str
    state: str
    written: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsTaken(Reply):
    """Readings on record; ``test`` is what a compression test says."""

    machine: str
    subject: str
    stage: str
    taken: tuple[ReadingTaken, ...]
    test: CompressionTest | None


@dataclass(frozen=True, slots=True)
class ReadingListed:
    """A reading on record, ``value`` in ``unit``; a pressure is in kPa on the gauge.

    ``superseded`` tells that a later test of that stage stands in its place.
    """

    machine: str
    act: int
    subject: str
    place: str
    state: str
    stage: str
    value: float
    unit: str
    written: str
    date: str
    air_kpa: float | None
    note: str
    superseded: bool


@dataclass(frozen=True, slots=True)
class Readings:
    """All readings of a machine that stand, the oldest first."""

    machine: str
    readings: tuple[ReadingListed, ...]


@dataclass(frozen=True, slots=True)
class SetTorque(Ask):
    """The maker's torque of an item, or of the one thing of a step or bag that is tightened.

    ``figure`` is as the book has it, ``18 to 20 lbf ft``; ``state`` dry, oiled and the like.
    """

    what: str
    figure: str
    state: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueRecorded(Reply):
    """A maker's torque on record, N m; ``written`` is as the book has it where that is in another
    unit, ``doubts`` what does not fit the computed figure."""

    machine: str
    other_machines: bool
    item: str
    text: str
    low_nm: float
    high_nm: float
    written: str
    state: str
    source: str
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComputedTorque:
    """A general torque, N m, of a thread in one state; ``unmarked``: the grade was taken, not read
    off the head. ``set_nm`` is the figure to set, the others what it would be by friction."""

    state: str
    grade: str
    unmarked: bool
    set_nm: float
    slippery_nm: float
    usual_nm: float
    rough_nm: float


@dataclass(frozen=True, slots=True)
class TorqueKnown:
    """What is known of an item's torque: the maker's figure, the one to use, and computed ones.

    ``threaded`` is False for what is not tightened. ``written`` is the maker's figure as the book
    has it, where that is in another unit than N m.
    """

    item: str
    what: str
    threaded: bool
    maker: MakerFigure | None
    written: str
    computed: tuple[ComputedTorque, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SetJoint(Ask):
    """Where the holes of a step's joint are: ``8 on 120``, clock positions, places in mm.

    ``what`` is the step, or an item or bag of it; ``order`` the maker's own order, ``3 1 4 2``.
    """

    what: str
    holes: str
    order: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRecorded(Reply):
    """A joint's holes on record and the order in which they are tightened.

    ``to_tighten`` is how many things of the step are tightened, where that is another number than
    that of the holes.
    """

    machine: str
    other_machines: bool
    step: int
    holes: int
    order: tuple[int, ...]
    to_tighten: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointKnown(TighteningOrder):
    """How a step's joint is tightened; ``goes_in`` is what goes into each hole, where that is
    beyond doubt, ``bag`` where its pieces are."""

    machine: str
    step: int
    assembly: str
    part: str
    bag: str
    goes_in: dict[int, str]


def sumps(context: Context) -> Sumps:
    """Return the sumps of a machine."""
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        return Sumps(machine.name, tuple(read_sumps(connection, machine.number)))


def set_sump(context: Context, ask: SetSump) -> SumpRecorded:
    """Record what a sump holds, and what is said of it.

    Raises:
        BadValue: no name, nothing said of one on record, or a volume or number out of range.
        NotationError: a grade or volume that cannot be read.
    """
    if not ask.name.strip():
        raise BadValue("sump without a name")
    name = clean(ask.name, "the sump's name", most=80)
    stated: dict[str, Any] = {
        "grade": _grade(ask.oil),
        "dry_ml": _millilitres(ask.dry),
        "refill_ml": _millilitres(ask.refill),
        "number": ask.number,
        "drain": _text(ask.drain, "the drain point"),
        "filler": _text(ask.filler, "the filling point"),
        "level": _text(ask.level, "the level point"),
        "note": _text(ask.note, "the note"),
        "source": _text(ask.source, "where it is printed"),
    }
    changes = {field: value for field, value in stated.items() if value is not None}
    with context.writing(ask) as writer:
        machine, recorded = _sumps(writer, context.machine)
        before = recorded.get(fold(name))
        if not changes and before is not None:
            raise BadValue("sump recorded already", sump=before.name)
        sump = replace(before or SumpOnRecord(machine.name, name), **changes)
        reckoned = sump_of(sump)
        act = writer.begin(
            ActKind.SUMP, f"{sump.name}: {contents(sump, WorkUnits())}", at=context.at
        )
        writer.append(
            SumpRow(
                act_id=act,
                machine_id=machine.number,
                name=sump.name,
                key=fold(sump.name),
                number=sump.number,
                grade=sump.grade,
                dry_ml=sump.dry_ml,
                refill_ml=sump.refill_ml,
                drain=sump.drain,
                filler=sump.filler,
                level=sump.level,
                note=sump.note,
                source=sump.source,
            )
        )
    return SumpRecorded(
        act=act,
        trial=ask.trial,
        sump=sump.name,
        number=sump.number,
        grade=sump.grade,
        dry_ml=sump.dry_ml,
        refill_ml=sump.refill_ml,
        graded=reckoned.grade is not None,
        bronze_question="GL-5" in sump.grade,
    )


def drop_sump(context: Context, ask: DropSump) -> SumpDropped:
    """Record that there is no such sump after all.

    Raises:
        BadValue: no name.
        Refused: none of that name is on record.
    """
    if not ask.name.strip():
        raise BadValue("sump without a name")
    name = clean(ask.name, "the sump's name", most=80)
    with context.writing(ask) as writer:
        machine, recorded = _sumps(writer, context.machine)
        sump = recorded.get(fold(name))
        if sump is None:
            raise Refused(
                "no such sump",
                typed=name,
                machine=machine.name,
                sumps=tuple(each.name for each in recorded.values()),
            )
        act = writer.begin(ActKind.SUMP, f"{sump.name}: there is none", at=context.at)
        writer.append(
            SumpRow(
                act_id=act,
                machine_id=machine.number,
                name=sump.name,
                key=fold(sump.name),
                number=0,
            )
        )
    return SumpDropped(act=act, trial=ask.trial, sump=sump.name)


def _sumps(writer: Writer, machine: str | None) -> tuple[Machine, dict[str, SumpOnRecord]]:
    on = machine_named(writer.connection, machine)
    return on, {fold(each.name): each for each in read_sumps(writer.connection, on.number)}


def _grade(typed: str | None) -> str | None:
    """Return a grade in its canonical writing; an oil by another name, such as ATF, as it is."""
    if not typed:
        return typed
    try:
        return str(read_grade(typed))
    except NotationError:
        if re.search(r"\d", typed):
            raise
        return clean(typed, "the oil", most=60)


def _millilitres(typed: str | None) -> int | None:
    return None if typed is None else round(units.read(typed, units.Kind.VOLUME, "ml").base)


def _text(typed: str | None, what: str) -> str | None:
    return None if typed is None else clean(typed, what, most=NOTE_LENGTH, empty=True)


def readings(context: Context) -> Readings:
    """Return the readings of a machine."""
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        listed = read_readings(connection, machine.number)
    # The last test of a stage stands whole: an older wet reading is not beside a newer dry one.
    newest = {(each.subject.casefold(), each.stage): each.act for each in listed}
    return Readings(
        machine.name,
        tuple(
            ReadingListed(
                each.machine,
                each.act,
                each.subject,
                each.place,
                each.state,
                each.stage,
                float(each.value),
                each.unit,
                each.written,
                each.date,
                None if each.air_kpa is None else float(each.air_kpa),
                each.note,
                bool(each.state) and newest[each.subject.casefold(), each.stage] != each.act,
            )
            for each in listed
        ),
    )


def take_readings(context: Context, ask: TakeReadings) -> ReadingsTaken:
    """Record readings of the machine as a whole.

    Raises:
        BadValue: no subject or no reading, too many, one out of range, wet ones without dry ones.
        NotationError: a reading that cannot be read.
    """
    if not ask.subject.strip():
        raise BadValue("readings of nothing")
    if not ask.values:
        raise BadValue("no reading", subject=ask.subject)
    compression = (
        ask.subject.strip().lower().startswith("compression") and "ratio" not in ask.subject.lower()
    )
    if ask.wet and not compression:
        raise BadValue("wet readings of no compression test")
    typed = _cylinders(ask.values, ask.wet) if compression else _places(ask.values)
    air_kpa = _air(ask.barometer)
    subject = clean(ask.subject, "what was measured", most=80)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    if not 1 <= len(typed) <= MOST_READINGS:
        raise BadValue("too many readings", count=len(typed), most=MOST_READINGS)
    unit = ask.unit or ("psi" if compression else "")
    stage = "after" if ask.after else "before"
    taken = [
        (place, state, *_value(clean(text, "the reading", most=60), unit))
        for place, state, text in typed
    ]
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        listed = "; ".join(
            " ".join(part for part in (place, state, written) if part)
            for place, state, _, _, written in taken
        )
        act = writer.begin(
            ActKind.READING, f"{subject}, {stage} the work: {listed}", reason=note, at=context.at
        )
        for place, state, value, unit_kept, written in taken:
            writer.append(
                ReadingRow(
                    act_id=act,
                    machine_id=machine.number,
                    subject=subject,
                    key=fold(subject),
                    place=place,
                    state=state,
                    stage=stage,
                    thousandths=round(value * 1000),
                    unit=unit_kept,
                    written=written,
                    air_pa=None if air_kpa is None else round(air_kpa * 1000),
                    note=note,
                )
            )
        test = None
        if compression:
            test = newest_test(read_readings(writer.connection, machine.number), stage)
    return ReadingsTaken(
        act=act,
        trial=ask.trial,
        machine=machine.name,
        subject=subject,
        stage=stage,
        taken=tuple(ReadingTaken(place, state, text) for place, state, _, _, text in taken),
        test=None if test is None else compression_test(test),
    )


def _places(values: Sequence[str]) -> list[tuple[str, str, str]]:
    several = len(values) > 1
    return [(f"{at}" if several else "", "", text) for at, text in enumerate(values, 1)]


def _cylinders(values: Sequence[str], wet: str) -> list[tuple[str, str, str]]:
    dry = [part for text in values for part in text.split(",") if part.strip()]
    wets = [part.strip() for part in wet.split(",")] if wet else []
    if len(wets) > len(dry):
        raise BadValue("more wet readings than cylinders", wet=len(wets), dry=len(dry))
    typed = [(f"cylinder {at}", "dry", text) for at, text in enumerate(dry, 1)]
    typed += [
        (f"cylinder {at}", "wet", text) for at, text in enumerate(wets, 1) if text not in ("", "-")
    ]
    return typed


def _air(barometer: str) -> float | None:
    if not barometer:
        return None
    air_kpa = float(units.read(barometer, units.Kind.PRESSURE, "hPa").base)
    if not 50 <= air_kpa <= 110:
        raise BadValue("no such air pressure", typed=barometer)
    return air_kpa


def _value(text: str, unit: str) -> tuple[Fraction, str, str]:
    """Return a reading: its value in the unit it is kept in, that unit, and how it is shown."""
    value, rest = units.read_number(text)
    name = rest or unit
    written = text if rest or not unit else f"{text} {unit}"
    if value < 0 and name.lower() not in ("c", "a", "v"):
        raise BadValue("reading below zero", typed=text)
    if abs(value) >= 10**6:
        raise NotationError("a reading of a million or more", text)
    if re.fullmatch(r"[a-zA-Z0-9/%2.² ]*", name) is None:
        raise NotationError("cannot read the unit of a reading", text)
    try:
        pressure = units.unit(name, units.Kind.PRESSURE) if name else None
    except BadValue:
        pressure = None
    if pressure is not None:
        if value * pressure.factor > MOST_KPA:
            raise BadValue("more than any engine shows", typed=written)
        return value * pressure.factor, "kPa", written
    return value, name, written


def torque_of(context: Context, what: str) -> TorqueKnown:
    """Return what is known of the torque of an item.

    Raises:
        Refused: nothing there is tightened, or several things are.
    """
    with context.reading() as connection:
        chosen = select(connection, context.machine, what, empty=True)
        item = tightened(chosen)
        maker = maker_torques(connection, [item.number]).get(item.number)
    cautions = tuple(cautions_of(item.step, [item]))
    tight = tightness(item, maker, safety=is_safety(cautions))
    if tight is None:
        return TorqueKnown(item.ref, item.as_specified.text, False, None, "", (), cautions)
    return TorqueKnown(
        item.ref,
        item.as_specified.text,
        True,
        tight.maker,
        tight.written,
        tuple(
            ComputedTorque(
                each.friction.state,
                str(each.grade),
                each.grade.unknown,
                each.slippery_nm,
                each.low,
                each.value,
                each.high,
            )
            for each in tight.computed
        ),
        (*tight.cautions, *cautions),
    )


def set_torque(context: Context, ask: SetTorque) -> TorqueRecorded:
    """Record the maker's torque of an item; it stands on the checklist beside the computed one.

    Raises:
        BadValue: a figure or state that cannot be, or a source without a figure.
        NotationError: a figure that cannot be read.
        Refused: nothing there is tightened, or several things are.
    """
    if not ask.figure.strip():
        raise BadValue("source without a torque" if ask.source else "no torque")
    figure = read_maker(ask.figure)
    state = clean(ask.state, "the state", most=60, empty=True).lower()
    if state:
        state = friction(state).state  # refuses what no friction is on record for
    source = clean(ask.source, "where it is printed", most=200, empty=True)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item = tightened(chosen)
        maker = MakerTorque(item.number, figure.low_nm, figure.high_nm, state, source, ask.figure)
        tight = tightness(item, maker, safety=is_safety(cautions_of(item.step, chosen.items)))
        if tight is None:
            raise Refused("no thread to tighten", item=item.ref, text=item.as_specified.text)
        span = WorkUnits().torque_words(figure.low_nm, figure.high_nm)  # the log is in the record's
        span += f" ({tight.written})" if tight.written else ""
        span += f", {state}" if state else ""
        act = writer.begin(
            ActKind.TORQUE,
            f"{beside(item.ref, item.as_specified.text)}: {span}",
            reason=source,
            at=context.at,
        )
        writer.append(
            FigureRow(
                act_id=act,
                item_id=item.number,
                low_mnm=round(figure.low_nm * 1000),
                high_mnm=round(figure.high_nm * 1000),
                state=state,
                source=source,
                written=ask.figure,
            )
        )
    return TorqueRecorded(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        item=item.ref,
        text=item.as_specified.text,
        low_nm=figure.low_nm,
        high_nm=figure.high_nm,
        written=tight.written,
        state=state,
        source=source,
        doubts=tight.cautions,
    )


def tightened(chosen: Selection) -> Item:
    """Return the one item of a selection that is tightened.

    Raises:
        Refused: none is, or several are.
    """
    items = [item for item in chosen.items if threaded(item.as_specified)]
    if len(chosen.items) == 1:
        return chosen.items[0]
    if len(items) == 1:
        return items[0]
    if not items:
        raise Refused("nothing to tighten", name=chosen.name)
    raise Refused(
        "several to tighten",
        items=tuple(beside(item.ref, item.as_specified.text) for item in items),
    )


def joint_of(context: Context, what: str, would: SetJoint | None = None) -> JointKnown:
    """Return how the joint of a step is tightened; with ``would``, how it would be tightened were
    that recorded.

    Raises:
        BadValue: where its holes are is not on record.
        NotationError, BadValue: holes or an order that cannot be.
        Refused: a bag of several steps, or loose pieces.
    """
    from stores.planning.rebuild import stages

    with context.reading() as connection:
        chosen = select(connection, context.machine, what, empty=True)
        number = step_of(chosen)
        items = items_of_step(connection, chosen.machine.number, number)
        joints = read_joints(connection, chosen.machine.number)
        torques = maker_torques(connection, [item.number for item in items])
    if would:
        holes = JointHoles(chosen.machine.name, number, *_holes_said(would))
        joint_plan(holes)
        joints = {**joints, number: holes}
    wanted = [replace(item, for_parts=False) for item in items]
    plan = stages(status_of(wanted), torques, joints)[0].joint
    if plan is None:
        raise BadValue("no holes on record", step=number)
    step = items[0].step
    bags = [code for item in items for code in item.bags]
    return JointKnown.of(
        plan,
        machine=chosen.machine.name,
        step=step.number,
        assembly=step.assembly,
        part=step.part,
        bag=bags[0] if bags else "",
        goes_in=what_goes_in(plan, items),
    )


def _holes_said(ask: SetJoint) -> tuple[str, str, str]:
    """Return what is said of a joint: its holes, the maker's order, where it is printed."""
    if not ask.holes.strip() and (ask.order or ask.source):
        raise BadValue("order without holes")
    return (
        clean(ask.holes, "where the holes are", most=1000),
        clean(ask.order, "the maker's order", most=400, empty=True),
        clean(ask.source, "where it is printed", most=200, empty=True),
    )


def set_joint(context: Context, ask: SetJoint) -> JointRecorded:
    """Record where the holes of a step's joint are; the checklist shows how it is tightened.

    Raises:
        NotationError, BadValue: holes or an order that cannot be.
        NotFound: no such step.
        Refused: a bag of several steps, or loose pieces.
    """
    holes, order, source = _holes_said(ask)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        step = step_of(chosen)
        plan = joint_plan(JointHoles(chosen.machine.name, step, holes, order, source))
        row = step_row(writer.connection, chosen.machine.number, step)
        if row is None:
            raise NotFound("no such step", step=step, hint=Hint("history"))
        count = len(plan.joint.holes)
        act = writer.begin(
            ActKind.JOINT, f"step {step}: {count} holes, {holes}", reason=source, at=context.at
        )
        writer.append(
            JointRow(act_id=act, step_id=row, holes=holes, stated_order=order, source=source)
        )
    bolts = sum(item.wanted for item in chosen.items if threaded(item.as_specified))
    whole = not chosen.bag and len(chosen.items) > 1
    return JointRecorded(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        holes=count,
        order=tuple(plan.order.holes),
        to_tighten=bolts if whole and bolts and bolts != count else None,
    )
