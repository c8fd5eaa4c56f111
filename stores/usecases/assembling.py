"""What the bench says of a refit: what goes in, what is measured, how tight it is, who signs."""

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction

from stores import units
from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.model.items import Item
from stores.model.ledger import ActKind
from stores.planning.assembling import CheckPoint, HowTight, Role
from stores.planning.status import cautions_of, is_safety
from stores.planning.tightness import threaded
from stores.storage import Store, Writer
from stores.storage.figures import maker_torques, step_row
from stores.storage.items import items_of_step
from stores.storage.refits import read_refits
from stores.text import clean, fold, many
from stores.usecases.common import NOTE_LENGTH, Done, Selection, select, step_of
from stores.usecases.figures import tightened

__all__ = ["apply_to", "read_limits", "set_check", "sign", "take_check", "tighten"]

KINDS = (
    ("locking compound", r"(?:thread|stud|bearing)?[- ]?lock\w*|retain(?:er|ing) compound"),
    ("sealant", r"seal\w*|jointing|gasket compound|(?:thread|ptfe) tape|silicone"),
    ("grease", r"greas\w*|anti-?seize|assembly (?:lube|paste)|moly\w*|petroleum jelly"),
    ("oil", r"oil\w*"),
)
"""What goes in with a joint, and the words it is known by."""


def apply_to(
    store: Store, what: str, text: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Say what goes in with a step or an item: locking compound, sealant, grease, oil.

    ``text`` says which; its kind is read from its words. "no sealant" takes it back.

    Raises:
        Refused: none of the kinds is named.
    """
    text = clean(text, "what goes in", most=200)
    none = re.match(r"(?i)(?:no|none|without)\b\s*(.*)", text)
    kind = _kind(none[1] if none else text)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        row = _step_row(writer, chosen, step)
        item = None if what.strip() == str(step) or chosen.bag else chosen.only
        name = f"{item.ref} {item.as_specified.text}" if item else f"step {step}"
        said = f"no {kind}" if none else text
        act = writer.begin(ActKind.FITTING, f"{name}: {said}", at=at)
        writer.fitting(act, row, item.number if item else None, kind, "" if none else text)
    safety = is_safety(cautions_of(chosen.items[0].step, chosen.items))
    cautions = (
        ("Compound only where the maker says so: never on brake linings, discs or hose unions.",)
        if safety and not none
        else ()
    )
    return Done(
        act,
        (f"{name}: {said}{chosen.tag}",),
        cautions=cautions,
        data={"act": act, "what": name, "kind": kind, "text": "" if none else text},
    )


def _kind(text: str) -> str:
    for kind, words in KINDS:
        if re.search(rf"(?i)\b(?:{words})\b", text):
            return kind
    named = ", ".join(kind for kind, _ in KINDS)
    raise Refused(f"what sort is {text!r}? Say one of {named}, as in: medium locking compound")


def set_check(
    store: Store,
    what: str,
    name: str,
    limits: str,
    *,
    source: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say what is to be measured when a step is refitted, and its limits; "none" takes it back.

    ``limits`` is ``0.05 to 0.15 mm``, ``at most 0.1 mm``, ``0.4 mm``; see `read_limits`.
    """
    name = clean(name, "what is measured", most=80)
    source = clean(source, "where it is printed", most=200, empty=True)
    none = limits.strip().casefold() == "none"
    low, high, unit = (None, None, "") if none else read_limits(limits)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        row = _step_row(writer, chosen, step)
        if none:
            _point(writer, chosen, step, name)
        point = CheckPoint(0, step, name, low, high, unit)
        said = "not measured" if none else point.limits
        act = writer.begin(ActKind.CHECK, f"step {step}, {name}: {said}", reason=source, at=at)
        writer.check_point(
            act, row, name, fold(name), low=_whole(low), high=_whole(high), unit=unit, source=source
        )
    return Done(
        act,
        (f"Step {step}, {name}: {said}{chosen.tag}",),
        () if none else (f'When measured: stores clearance {step} "{name}" --found READING',),
        data={"act": act, "step": step, "name": name, "limits": said},
    )


def take_check(
    store: Store,
    what: str,
    name: str,
    reading: str,
    *,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down what was measured at a point of a step.

    Raises:
        NotFound: no such point; those there are are named.
    """
    name = clean(name, "what is measured", most=80)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        point = _point(writer, chosen, step, name)
        value = _value(reading, point.unit)
        found = CheckPoint(
            point.number, step, point.name, point.low, point.high, point.unit, found=value
        )
        verdict = "within its limits" if found.within else f"NOT within {point.limits}"
        act = writer.begin(
            ActKind.CHECK, f"step {step}, {point.name}: {found.measured}, {verdict}", at=at
        )
        writer.checked(act, point.number, round(value * 1000), reading)
    return Done(
        act,
        (f"Step {step}, {point.name}: {found.measured}, {verdict}{chosen.tag}",),
        data={
            "act": act,
            "step": step,
            "name": point.name,
            "found": float(value),
            "unit": point.unit,
            "within": found.within,
        },
    )


def _point(writer: Writer, chosen: Selection, step: int, name: str) -> CheckPoint:
    points = read_refits(writer.connection, chosen.machine.number).of(step).points
    fits = [each for each in points if fold(each.name) == fold(name)] or [
        each for each in points if fold(each.name).startswith(fold(name))
    ]
    if len(fits) != 1:
        there = ", ".join(each.name for each in points) or "nothing"
        raise NotFound(f"step {step} has no {name!r} to measure; it has: {there}")
    return fits[0]


def read_limits(text: str) -> tuple[Fraction | None, Fraction | None, str]:
    """Read limits: low, high, unit. ``0.05 to 0.15 mm``, ``2-4 thou``, ``at most 0.1 mm``.

    Raises:
        NotationError: no figure, or no unit.
        BadValue: the larger figure first.
    """
    body = " ".join(text.split())
    most = re.match(r"(?i)(?:at most|max(?:imum|\.)?|up to|under|below|<=?)\s*", body)
    least = re.match(r"(?i)(?:at least|min(?:imum|\.)?|over|above|>=?)\s*", body)
    rest = body[(most or least).end() :] if most or least else body  # type: ignore[union-attr]
    low, high, unit = units.read_span(rest)
    if not unit:
        raise NotationError("limits need a unit, as 0.05 to 0.15 mm", text)
    if low > high:
        raise BadValue(f"{text!r}: the smaller figure comes first")
    return (None if most else low), (None if least else high), unit


def _value(text: str, unit: str) -> Fraction:
    """Read a measurement in the point's unit, converting lengths typed in another."""
    value, typed = units.read_number(text)
    if not typed or typed.casefold() == unit.casefold():
        return value
    try:
        return Fraction(units.convert(value, typed, unit))
    except (BadValue, NotationError):
        raise BadValue(f"{text!r}: the limits are in {unit}") from None


def _whole(value: Fraction | None) -> int | None:
    return None if value is None else round(value * 1000)


def tighten(
    store: Store,
    what: str,
    torque_nm: float | None,
    written: str = "",
    *,
    state: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down that what is on the machine was tightened, and with what torque, if measured.

    ``what`` is an item, or a step or bag; with a torque there must be one thing to tighten.

    Raises:
        Refused: nothing of it is on the machine.
    """
    state = clean(state, "dry or oiled", most=60, empty=True).lower()
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        items = [tightened(chosen)] if torque_nm is not None else _threaded(chosen)
        on = [item for item in items if item.fitted]
        if not on:
            raise Refused(f"nothing of {chosen.name} is on the machine: stores refit {what} first")
        said = f"tightened to {written}" if torque_nm is not None else "tightened"
        said += f", {state}" if state else ""
        names = ", ".join(f"{item.ref} {many(item.fitted, item.as_specified.text)}" for item in on)
        act = writer.begin(ActKind.TIGHTEN, f"{names}: {said}", at=at)
        write_tightened(writer, act, on, HowTight.TIGHT, torque_nm, state, written)
    notes = _beside_maker(store, on, torque_nm)
    return Done(
        act,
        (f"{names}: {said}{chosen.tag}",),
        notes,
        data={"act": act, "items": [item.ref for item in on], "torque_nm": torque_nm},
    )


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
        writer.tightened(
            act,
            item.number,
            (counts or {}).get(item.number, item.fitted),
            how.value,
            torque_mnm=None if torque_nm is None else round(torque_nm * 1000),
            state=state,
            written=written,
        )


def _threaded(chosen: Selection) -> list[Item]:
    found = [item for item in chosen.items if threaded(item.as_specified)]
    if not found:
        raise Refused(f"nothing in {chosen.name} has a thread to tighten")
    return found


def _beside_maker(store: Store, items: Sequence[Item], torque_nm: float | None) -> tuple[str, ...]:
    """Say where the torque applied is not the maker's."""
    if torque_nm is None:
        return ()
    with store.reading() as connection:
        makers = maker_torques(connection, [item.number for item in items])
    return tuple(
        f"{item.ref}: the maker's figure is {maker.low_nm:.3g} to {maker.high_nm:.3g} N m, not "
        f"{torque_nm:.3g}: look again"
        for item in items
        if (maker := makers.get(item.number))
        and not maker.low_nm * 0.95 <= torque_nm <= maker.high_nm * 1.05
    )


def sign(
    store: Store,
    what: str,
    name: str,
    *,
    second: bool = False,
    note: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Sign for a step: who fitted it, or who checked it as the second person.

    Raises:
        Refused: pieces are still missing, or the second person is the one who fitted it.
    """
    name = clean(name, "the name", most=80)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    role = Role.SECOND if second else Role.FITTED
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        row = _step_row(writer, chosen, step)
        whole = items_of_step(writer.connection, chosen.machine.number, step)
        open_lines = [item for item in whole if item.to_fit]
        if open_lines:
            refs = ", ".join(f"{item.ref} {item.as_specified.text}" for item in open_lines[:4])
            raise Refused(f"step {step} is not all back on yet: {refs}")
        known = read_refits(writer.connection, chosen.machine.number)
        loose = [
            f"{item.ref} {item.as_specified.text}"
            for item in whole
            if (left := known.tightened.get(item.number)) and left.how is HowTight.FINGER
        ]
        if loose:
            raise Refused(f"only finger-tight: {', '.join(loose)}; tighten first")
        other = known.of(step).signed(Role.FITTED if second else Role.SECOND)
        if other and fold(other.name) == fold(name):
            raise Refused(
                f"{name} signed as {other.role} already: the second check is another person's"
            )
        act = writer.begin(ActKind.SIGN, f"step {step}: {role}, {name}", reason=note, at=at)
        writer.signature(act, row, role.value, name, note)
    part = chosen.items[0].step.part
    return Done(
        act,
        (f"Step {step} {part}: {role}, {name}{chosen.tag}",),
        data={"act": act, "step": step, "role": role.value, "name": name},
    )


def _step_row(writer: Writer, chosen: Selection, step: int) -> int:
    row = step_row(writer.connection, chosen.machine.number, step)
    if row is None:
        raise NotFound(f"no step {step} stands: 'stores history' shows what was done")
    return row
