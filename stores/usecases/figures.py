"""Writing down a machine's figures: its sumps, readings, makers' torques, joints with holes."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from stores import units
from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.handbook.fluids.oils import read_grade
from stores.handbook.torque.grades import friction
from stores.model.items import Item
from stores.model.ledger import ActKind
from stores.planning.figures import JointHoles, MakerTorque, SumpOnRecord
from stores.planning.oils import sump_of
from stores.planning.status import cautions_of, is_safety
from stores.planning.tightness import threaded, tightness
from stores.storage import Store
from stores.storage.figures import read_sumps, step_row
from stores.storage.machines import machine_named
from stores.text import clean, fold
from stores.usecases.common import NOTE_LENGTH, Done, Selection, select

__all__ = ["Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"]

STAGES = ("before", "after")
MOST_READINGS = 50
MOST_KPA = 4500
"""More than the compression of any diesel (common practice)."""


def set_sump(
    store: Store,
    name: str,
    *,
    grade: str | None = None,
    dry: str | None = None,
    refill: str | None = None,
    number: int | None = None,
    drain: str | None = None,
    filler: str | None = None,
    level: str | None = None,
    note: str | None = None,
    source: str | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down what a sump holds, of which oil, and where it is drained, filled and checked.

    What is None stays as it was recorded. Volumes are texts with a unit, ``1.4 l``.

    Raises:
        BadValue, NotationError: a grade or volume that cannot be, or nothing said.
    """
    name = clean(name, "the sump's name", most=80)
    said: dict[str, Any] = {
        "grade": _grade(grade),
        "dry_ml": _millilitres(dry),
        "refill_ml": _millilitres(refill),
        "number": number,
        "drain": _text(drain, "the drain point"),
        "filler": _text(filler, "the filling point"),
        "level": _text(level, "the level point"),
        "note": _text(note, "the note"),
        "source": _text(source, "where it is printed"),
    }
    new = {field: value for field, value in said.items() if value is not None}
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        known = {fold(each.name): each for each in read_sumps(writer.connection, on.number)}
        was = known.get(fold(name))
        if not new and was is not None:
            raise BadValue(f"{was.name} is recorded already: say what to change, as in --refill 1l")
        now = replace(was or SumpOnRecord(on.name, name), **new)
        sump_of(now)
        act = writer.begin(ActKind.SUMP, f"{now.name}: {describe(now)}", at=at)
        writer.sump(
            act,
            on.number,
            now.name,
            fold(now.name),
            number=now.number,
            grade=now.grade,
            dry_ml=now.dry_ml,
            refill_ml=now.refill_ml,
            drain=now.drain,
            filler=now.filler,
            level=now.level,
            note=now.note,
            source=now.source,
        )
    notes = []
    if now.dry_ml is None and now.refill_ml is None:
        notes.append("Capacity not known: 'stores reckon fill' gives it from inside measures.")
    if now.grade and sump_of(now).grade is None:
        notes.append(f"{now.grade} is no grade of SAE or ISO: it is bought by that name.")
    if "GL-5" in now.grade:
        notes.append("GL-5: bronze or brass in the oil? 'stores reckon oil' says why to ask.")
    if not now.grade:
        notes.append("Grade not known: it cannot be bought until the book says.")
    return Done(
        act,
        (f"{now.name}: {describe(now)}",),
        tuple(notes),
        data={"act": act, "sump": now.name, "grade": now.grade, "dry_ml": now.dry_ml,
              "refill_ml": now.refill_ml, "number": now.number},
    )  # fmt: skip


def drop_sump(
    store: Store, name: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Write down that there is no such sump after all. Raises `Refused` when none is recorded."""
    name = clean(name, "the sump's name", most=80)
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        known = {fold(each.name): each for each in read_sumps(writer.connection, on.number)}
        was = known.get(fold(name))
        if was is None:
            there = ", ".join(each.name for each in known.values()) or "none"
            raise Refused(f"no sump {name!r} on {on.name}; recorded: {there}")
        act = writer.begin(ActKind.SUMP, f"{was.name}: there is none", at=at)
        writer.sump(act, on.number, was.name, fold(was.name), number=0)
    return Done(act, (f"{was.name}: taken off the list.",), data={"act": act, "sump": was.name})


def _grade(text: str | None) -> str | None:
    """Give a grade in its canonical writing; an oil by another name, such as ATF, as it is."""
    if not text:
        return text
    try:
        return str(read_grade(text))
    except NotationError:
        if re.search(r"\d", text):
            raise
        return clean(text, "the oil", most=60)


def describe(sump: SumpOnRecord) -> str:
    """Say a sump in a line: ``2 of, 190 ml dry, 160 ml refill, SAE 20``."""
    said = [f"{sump.number} of"] if sump.number > 1 else []
    for word, ml in (("dry", sump.dry_ml), ("refill", sump.refill_ml)):
        if ml is not None:
            said.append(f"{ml:,} ml {word}")
    said.append(sump.grade or "grade not known")
    return ", ".join(said)


def _millilitres(text: str | None) -> int | None:
    if text is None:
        return None
    ml = units.read(text, units.Kind.VOLUME, "ml").base
    return round(ml)


def _text(text: str | None, what: str) -> str | None:
    return None if text is None else clean(text, what, most=NOTE_LENGTH, empty=True)


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as typed: where it was taken (``cylinder 1``), in what state (``dry``), what."""

    text: str
    place: str = ""
    state: str = ""


def take_readings(
    store: Store,
    subject: str,
    taken: Sequence[Taken],
    *,
    stage: str = "before",
    unit: str = "",
    air_kpa: float | None = None,
    note: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down readings of the machine as a whole, before or after the work.

    Args:
        store: the opened stores.
        subject: what was measured: ``compression``, ``charging voltage``.
        taken: the readings; a pressure is kept in kPa on the gauge, in what unit it was typed.
        stage: ``before`` or ``after``.
        unit: the unit of readings that do not say theirs.
        air_kpa: the day's air pressure, for pressures.
        note: what else to know.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        BadValue, NotationError: a reading that is none, or too many.
    """
    subject = clean(subject, "what was measured", most=80)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    if stage not in STAGES:
        raise BadValue(f"{stage!r}: a reading is from before or after the work")
    if not 1 <= len(taken) <= MOST_READINGS:
        raise BadValue(f"{len(taken)} readings: expected 1 to {MOST_READINGS}")
    air_pa = None if air_kpa is None else round(air_kpa * 1000)
    kept = [(each, *_value(clean(each.text, "the reading", most=60), unit)) for each in taken]
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        listed = "; ".join(
            " ".join(part for part in (each.place, each.state, written) if part)
            for each, _, _, written in kept
        )
        act = writer.begin(
            ActKind.READING, f"{subject}, {stage} the work: {listed}", reason=note, at=at
        )
        for each, value, name, written in kept:
            writer.reading(
                act,
                on.number,
                subject,
                fold(subject),
                round(value * 1000),
                name,
                place=clean(each.place, "the place", most=80, empty=True),
                state=clean(each.state, "the state", most=80, empty=True),
                stage=stage,
                written=written,
                air_pa=air_pa,
                note=note,
            )
    return Done(
        act,
        (f"{subject}, {stage} the work, on {on.name}: {listed}",),
        data={"act": act, "subject": subject, "stage": stage, "readings": len(kept)},
    )


def _value(text: str, unit: str) -> tuple[Fraction, str, str]:
    """Read one reading: its value in the unit it is kept in, that unit, and how it is shown."""
    value, rest = units.read_number(text)
    name = rest or unit
    written = text if rest or not unit else f"{text} {unit}"
    if value < 0 and name.lower() not in ("c", "a", "v"):
        raise BadValue(f"{text!r}: expected nothing below zero")
    if abs(value) >= 10**6:
        raise NotationError("a reading of a million or more", text)
    if re.fullmatch(r"[a-zA-Z0-9/%2.² ]*", name) is None:
        raise NotationError("cannot read the unit of a reading", text)
    try:
        found = units.unit(name, units.Kind.PRESSURE) if name else None
    except BadValue:
        found = None
    if found is not None:
        if value * found.factor > MOST_KPA:
            raise BadValue(f"{written!r}: no engine shows that much; is the unit right?")
        return value * found.factor, "kPa", written
    return value, name, written


def set_torque(
    store: Store,
    what: str,
    low_nm: float,
    high_nm: float,
    written: str,
    *,
    state: str = "",
    source: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down the maker's torque of an item; it stands on the checklist beside the computed one.

    ``what`` is an item, or a step or bag with one thing in it that is tightened.

    Raises:
        Refused: nothing there is tightened, or several things are.
    """
    state = clean(state, "dry or oiled", most=60, empty=True).lower()
    if state:
        state = friction(state).state  # refuses what no friction is on record for
    source = clean(source, "where it is printed", most=200, empty=True)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        item = tightened(chosen)
        maker = MakerTorque(item.number, low_nm, high_nm, state, source, written)
        tight = tightness(item, maker, safety=is_safety(cautions_of(item.step, chosen.items)))
        if tight is None:
            raise Refused(f"{item.ref} {item.as_specified.text} has no thread to tighten")
        span = f"{tight.figure} N m" + (f" ({tight.written})" if tight.written else "")
        span += f", {state}" if state else ""
        act = writer.begin(
            ActKind.TORQUE, f"{item.ref} {item.as_specified.text}: {span}", reason=source, at=at
        )
        writer.figure(
            act,
            item.number,
            round(low_nm * 1000),
            round(high_nm * 1000),
            state=state,
            source=source,
            written=written,
        )
    notes = [f"{item.ref}: {said}" for said in tight.cautions]
    if not state:
        notes.append("Dry or oiled? The book's words matter: write it after the figure.")
    return Done(
        act,
        (f"{item.ref}  {item.as_specified.text}: maker's torque {span}{chosen.tag}",),
        tuple(notes),
        data={"act": act, "item": item.ref, "low_nm": low_nm, "high_nm": high_nm, "state": state,
              "source": source},
    )  # fmt: skip


def tightened(chosen: Selection) -> Item:
    """Give the one item of a selection that is tightened. Raises `Refused` for none or several."""
    found = [item for item in chosen.items if threaded(item.as_specified)]
    if len(chosen.items) == 1:
        return chosen.items[0]
    if len(found) == 1:
        return found[0]
    refs = ", ".join(f"{item.ref} {item.as_specified.text}" for item in found)
    raise Refused(
        f"say which: {refs}" if found else f"nothing in {chosen.name} has a thread to tighten"
    )


def set_joint(
    store: Store,
    what: str,
    holes: str,
    *,
    order: str = "",
    source: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down where the holes of a step's joint are; the checklist shows how it is tightened.

    Args:
        store: the opened stores.
        what: the step, or an item or bag of it.
        holes: ``8 on 120``, clock positions, places in mm: see `stores.handbook.tightening`.
        order: the maker's own order, ``3 1 4 2``, if the book has one.
        source: where it is printed.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        NotationError, BadValue: holes or an order that cannot be.
        Refused: a bag of several steps, or loose pieces.
    """
    from stores.planning.holes import joint_plan

    holes = clean(holes, "where the holes are", most=1000)
    order = clean(order, "the maker's order", most=400, empty=True)
    source = clean(source, "where it is printed", most=200, empty=True)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        plan = joint_plan(JointHoles(chosen.machine.name, step, holes, order, source))
        row = step_row(writer.connection, chosen.machine.number, step)
        if row is None:
            raise NotFound(f"no step {step} stands: 'stores history' shows what was done")
        count = len(plan.joint.holes)
        act = writer.begin(
            ActKind.JOINT, f"step {step}: {count} holes, {holes}", reason=source, at=at
        )
        writer.joint(act, row, holes, order=order, source=source)
    bolts = sum(item.wanted for item in chosen.items if threaded(item.as_specified))
    notes = []
    if chosen.bag == "" and len(chosen.items) > 1 and bolts and bolts != count:
        notes.append(f"{count} holes, but {bolts} to tighten in step {step}: is one not of it?")
    turns = " ".join(f"h{hole}" for hole in plan.order.holes)
    return Done(
        act,
        (f"Step {step}: {count} holes, tightened in the order {turns}{chosen.tag}",),
        tuple(notes),
        data={"act": act, "step": step, "holes": count, "order": list(plan.order.holes)},
    )


def step_of(chosen: Selection) -> int:
    """Give the one step that a selection is of. Raises `Refused` for several, or loose pieces."""
    steps = {item.step.number for item in chosen.items}
    if len(steps) > 1:
        raise Refused(f"{chosen.name} has pieces of steps {sorted(steps)}: say which step")
    number = steps.pop()
    if not number:
        raise Refused("loose pieces are of no joint")
    return number
