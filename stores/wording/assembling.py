"""What the bench says of a refit in words: what goes in, clearances, torques, signatures."""

from fractions import Fraction

from stores.model.stock import so_much
from stores.model.work_units import chosen
from stores.planning.supplies import which_one
from stores.text import beside, many
from stores.usecases.assembling import (
    COMPOUND_AT_A_BRAKE,
    GoesIn,
    PointMeasured,
    PointSet,
    Signed,
    Tight,
)
from stores.wording import Said
from stores.wording.marks import to_type

__all__ = [
    "HINTS",
    "REFUSALS",
    "goes_in",
    "point_measured",
    "point_set",
    "signed",
    "tight",
]

REFUSALS = {
    "job not undone": "step {step} is not done yet: {job}; then {hint}",
    "no sort of compound": (
        "I don't know the sort {typed!r}. Use one of: {sorts}; as in: medium locking compound"
    ),
    "nothing of that name to measure": (
        lambda step, typed, points: (
            f"step {step} has no {typed!r} to measure; "
            + (f"it has: {', '.join(points)}" if points else "nothing of it is to be measured")
        )
    ),
    "how much, twice": "{one} or {other}: which of them goes in?",
    "how much of which": lambda typed, kinds: (
        f"{typed!r} may be any of several: {which_one(kinds)}"
        if kinds
        else f"{typed!r} is no consumable that I know, so {to_type('--takes')} cannot count it"
    ),
    "no amount to use up": "{typed!r}: write an amount above 0, at most {most}",
    "reading of nothing": (
        f"'none' takes the clearance off the list, so {{typed!r}} cannot be recorded: "
        f"leave {to_type('--found')} out"
    ),
    "larger limit first": "{typed!r}: the smaller figure comes first",
    "limits in another unit": "{typed!r}: the limits are in {unit}",
    "a range was put on": "{typed!r}: tightened to what? Write one figure, as 24 N m",
    "nothing of it on the machine": "nothing of {name} is on the machine: {hint} first",
    "nothing to tighten": "nothing in {name} has a thread to tighten",
    "step not all on": "step {step} is not all back on yet: {items}",
    "only finger-tight": "only finger-tight: {items}; tighten first",
    "signed by the same person": (
        "{name} has signed already, as {role}: a second person has to check"
    ),
}
HINTS = {"refit": "stores refit {what}"}

_CAUTIONS = {
    COMPOUND_AT_A_BRAKE: (
        "Compound only where the maker says so: never on brake linings, discs or hose unions."
    ),
}


def _tag(reply: GoesIn | PointMeasured | PointSet | Signed | Tight) -> str:
    return f"  [{reply.machine}]" if reply.other_machines else ""


def goes_in(reply: GoesIn) -> Said:
    """Return what goes in with a step or an item, or no longer does."""
    name = beside(reply.item, reply.as_specified) if reply.item else f"Step {reply.step}"
    lines = [f"{name}: {reply.text or f'no {reply.kind}'}{_tag(reply)}"]
    notes = []
    if reply.quantity == 0:
        lines.append(f"  takes none ({reply.basis})")
    elif reply.quantity is not None:
        much = so_much(Fraction(reply.quantity).limit_denominator(1000), reply.unit)
        lines.append(f"  takes {much} of {reply.thing} ({reply.basis})")
    elif reply.text:
        notes.append(_not_known(reply))
    return Said(
        tuple(lines),
        tuple(notes),
        cautions=(*(_CAUTIONS[key] for key in reply.cautions), *reply.hazards),
    )


def _not_known(reply: GoesIn) -> str:
    """Say why it is not known how much goes in, and what to type."""
    if reply.choices:
        return f"How much is not known: {which_one(reply.choices)}"
    if not reply.thing:
        return "How much is not known: no consumable that I know is called that."
    example = f"2 {reply.unit}".strip()
    where = reply.item or reply.step
    return "How much is not known, so it is not counted. Say it: " + to_type(
        f'stores refit apply {where} "{reply.text}" --takes "{example}"'
    )


def point_set(reply: PointSet) -> Said:
    """Return what is to be measured and what it measured, or how to say that."""
    if reply.measured:
        return point_measured(reply.measured)
    how = to_type(f'stores figure clearance {reply.step} "{reply.name}" --found READING')
    notes = (f"When measured: {how}",)
    return Said(
        (f"Step {reply.step}, {reply.name}: {reply.limits or 'not measured'}{_tag(reply)}",),
        notes if reply.limits else (),
    )


def point_measured(reply: PointMeasured) -> Said:
    """Return what was measured, and whether it keeps to the limits."""
    verdict = "within its limits" if reply.within else f"NOT within {reply.limits}"
    return Said(
        (f"Step {reply.step}, {reply.name}: {reply.found:g} {reply.unit}, {verdict}{_tag(reply)}",)
    )


def tight(reply: Tight) -> Said:
    """Return what was tightened, and where that is not the maker's figure."""
    names = ", ".join(beside(each.item, many(each.quantity, each.text)) for each in reply.items)
    how = "tightened" + (f" to {reply.written}" if reply.written else "")
    how += f", {reply.state}" if reply.state else ""
    now = chosen()
    put_on = now.torque_span(reply.torque_nm or 0, reply.torque_nm or 0)
    return Said(
        (f"{names}: {how}{_tag(reply)}",),
        tuple(
            f"{each.item}: the maker's figure is {now.torque_words(each.low_nm, each.high_nm)}, "
            f"not {put_on}: check it"
            for each in reply.beside_maker
        ),
    )


def signed(reply: Signed) -> Said:
    """Return who signed for which step."""
    return Said((f"Step {reply.step} {reply.part}: {reply.role}, {reply.name}{_tag(reply)}",))
