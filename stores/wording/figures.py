"""A machine's figures in words: sumps, readings, torques, and joints with their holes."""

from typing import TYPE_CHECKING

from stores.model.figures import SumpOnRecord, contents
from stores.model.work_units import chosen
from stores.planning.tightness import basis_words, general_words
from stores.text import day_words
from stores.wording import Line, Lines, Listing, Said
from stores.wording.marks import quoted, to_type
from stores.wording.reckoning import cautions, compression_test, row, tightening_order

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan
    from stores.usecases.figures import (
        JointKnown,
        JointRecorded,
        ReadingListed,
        Readings,
        ReadingsTaken,
        SumpDropped,
        SumpRecorded,
        Sumps,
        TorqueKnown,
        TorqueRecorded,
    )

__all__ = [
    "HINTS",
    "REFUSALS",
    "joint_known",
    "joint_recorded",
    "passes",
    "reading_table",
    "readings_taken",
    "sump_dropped",
    "sump_recorded",
    "sump_table",
    "torque_known",
    "torque_recorded",
]

REFUSALS = {
    "sump without a name": (
        "name the sump first: " + to_type('stores figure sump Gearbox --oil "SAE 90"')
    ),
    "sump recorded already": (
        "{sump} is recorded already: say what to change, as in " + to_type("--refill 1l")
    ),
    "no such sump": (
        lambda typed, machine, sumps: (
            f"no sump {typed!r} on {machine}; recorded: {', '.join(sumps) or 'none'}"
        )
    ),
    "readings of nothing": (
        "say what was measured first: " + to_type("stores figure reading compression 88 71")
    ),
    "no reading": "no reading of {subject}: write it after the name, as in 88 71",
    "wet readings of no compression test": to_type("--wet") + " is of a compression test",
    "more wet readings than cylinders": "{wet} wet readings for {dry} cylinders",
    "too many readings": "{count} readings: expected 1 to {most}",
    "no such air pressure": "a barometer of {typed}: expected 500 to 1100 hPa",
    "reading below zero": "{typed!r} is below zero: check the figure",
    "more than any engine shows": "{typed!r}: no engine shows that much; is the unit right?",
    "no torque": "say the figure, as in: " + to_type('stores figure torque 7.2 "25 N m"'),
    "source without a torque": (
        to_type("--from") + " goes with a figure: " + to_type('stores figure torque 7.2 "25 N m"')
    ),
    "several to tighten": "say which: {items}",
    "no thread to tighten": "{item} ({text}) has no thread to tighten",
    "order without holes": (
        f"{to_type('--order')} and {to_type('--from')} go with the holes: "
        + to_type('stores figure joint 7 "8 on 120"')
    ),
    "no holes on record": (
        "no holes of step {step} are recorded: " + to_type('stores figure joint {step} "8 on 120"')
    ),
}
HINTS: dict[str, str] = {}


def sump_recorded(reply: "SumpRecorded") -> Said:
    """Return what a sump holds, and what is not known of it yet."""
    notes = []
    if reply.dry_ml is None and reply.refill_ml is None:
        notes.append(
            f"Capacity not known: {quoted('stores reckon fill')} gives it from inside measures."
        )
    if reply.grade and not reply.graded:
        notes.append(f"{reply.grade} is not an SAE or ISO grade: it is bought by that name.")
    if reply.bronze_question:
        notes.append(
            f"GL-5: bronze or brass in the oil? {quoted('stores reckon oil')} says why that "
            "matters."
        )
    if not reply.grade:
        notes.append("Grade not known: it cannot be bought until the book says.")
    held = SumpOnRecord("", reply.sump, reply.number, reply.grade, reply.dry_ml, reply.refill_ml)
    return Said((f"{reply.sump}: {contents(held)}",), notes)


def sump_dropped(reply: "SumpDropped") -> Said:
    """Return that a sump is off the list."""
    return Said((f"{reply.sump}: taken off the list.",))


def sump_table(reply: "Sumps") -> Listing:
    """Return the sumps as a table."""
    return Listing(
        ["Sump", "Oil", "Dry fill", "Refill", "Drain, fill, level"],
        [
            [
                f"{each.name}, {each.number} of" if each.number > 1 else each.name,
                each.grade or "not known",
                _volume(each.dry_ml),
                _volume(each.refill_ml),
                _points(each),
            ]
            for each in reply.sumps
        ],
        [2, 3],
        f"No sump of {reply.machine} is recorded: "
        + to_type("stores figure sump NAME --oil GRADE --dry 1.4l"),
    )


def _points(sump: SumpOnRecord) -> str:
    points = [
        f"{word}: {text}"
        for word, text in (("drain", sump.drain), ("fill", sump.filler), ("level", sump.level))
        if text
    ]
    return "; ".join([*points, *(text for text in (sump.note, sump.source) if text)])


def _volume(ml: int | None) -> str:
    return "" if ml is None else chosen().volume_words(ml)


def readings_taken(reply: "ReadingsTaken") -> Lines:
    """Return what was read, and what a compression test points to."""
    taken = "; ".join(
        " ".join(part for part in (each.place, each.state, each.written) if part)
        for each in reply.taken
    )
    first = f"{reply.subject}, {reply.stage} the work, on {reply.machine}: {taken}"
    if reply.test is None:
        return Lines([Line(first, rest="     ")])
    test = compression_test(reply.test)
    return Lines([Line(first, rest="     "), *test.lines], test.sources)


def reading_table(reply: "Readings") -> Listing:
    """Return the readings, before and after the work side by side."""
    rows: dict[tuple[str, str, str], dict[str, ReadingListed]] = {}
    for each in reply.readings:
        if not each.superseded:
            rows.setdefault((each.subject, each.place, each.state), {})[each.stage] = each
    return Listing(
        ["Reading", "Where", "Before", "After"],
        [
            [subject, " ".join(part for part in (place, state) if part)]
            + [_cell(stages.get(stage)) for stage in ("before", "after")]
            for (subject, place, state), stages in rows.items()
        ],
        empty=f"No reading of {reply.machine} is recorded: "
        + to_type("stores figure reading compression 88 71"),
    )


def _cell(each: "ReadingListed | None") -> str:
    return "" if each is None else f"{each.written} ({day_words(each.date)})"


def torque_recorded(reply: "TorqueRecorded") -> Said:
    """Return a maker's torque on record, and what does not fit it."""
    now = chosen()
    figure = f"{now.torque_span(reply.low_nm, reply.high_nm)} {now.torque}"
    other = now.beside(reply.low_nm, reply.high_nm, reply.written)
    figure += f" ({other})" if other else ""
    figure += f", {reply.state}" if reply.state else ""
    notes = [f"{reply.item}: {doubt}" for doubt in reply.doubts]
    if not reply.state:
        notes.append("Dry or oiled? The book's words matter: write it after the figure.")
    return Said(
        (f"{reply.item}  {reply.text}: maker's torque {figure}{_tag(reply)}",),
        notes,
    )


def torque_known(reply: "TorqueKnown") -> Lines:
    """Return what is known of a torque: the maker's figure first."""
    from stores.handbook.torque.answer import GENERAL, set_down

    lines = [Line(f"{reply.item}  {reply.what}", whole=True)]
    if not reply.threaded:
        return Lines([*lines, Line("  nothing to tighten: it has no thread", whole=True)])
    maker = "no figure recorded"
    if reply.maker is not None:
        low, high, now = reply.maker.low_nm, reply.maker.high_nm, chosen()
        other = now.beside(low, high, reply.written)
        basis = basis_words(reply.maker.state, reply.maker.source, other)
        maker = f"{now.torque_span(low, high)} {now.torque}, {basis}"
    lines.append(row("maker", maker))
    if reply.computed:
        first = reply.computed[0]
        figures = [(each.state, each.set_nm, set_down(each.usual_nm)) for each in reply.computed]
        lines.append(row("computed", general_words(first.grade, first.unmarked, figures)))
    return Lines([*lines, *cautions((*reply.cautions, GENERAL))])


def joint_recorded(reply: "JointRecorded") -> Said:
    """Return in which order the holes are tightened."""
    turns = " ".join(f"h{hole}" for hole in reply.order)
    notes = []
    if reply.to_tighten is not None:
        notes.append(
            f"{reply.holes} holes, but step {reply.step} has {reply.to_tighten} to tighten: "
            "check which is right"
        )
    return Said(
        (f"Step {reply.step}: {reply.holes} holes, tightened in the order {turns}{_tag(reply)}",),
        notes,
    )


def joint_known(reply: "JointKnown") -> Lines:
    """Return how a step's joint is tightened."""
    first = Line(f"Step {reply.step}  {reply.assembly}: {reply.part}", whole=True)
    order = tightening_order(reply)
    return Lines([first, *order.lines], order.sources)


def passes(plan: "Plan") -> str:
    """Return the passes in a line: ``by hand; 30 % 7 N m; 60 % 14 N m; 100 % 24 N m; again``."""
    parts = ["all by hand"]
    for stage in plan.stages[1:-1]:
        share = f"{stage.per_cent} %"
        if stage.torque_nm is not None:
            share += f" {chosen().pass_words(stage.torque_nm, stage.per_cent)}"
        parts.append(share)
    parts.append(plan.stages[-1].what)
    return "; ".join(parts)


def _tag(reply: "TorqueRecorded | JointRecorded") -> str:
    return f"  [{reply.machine}]" if reply.other_machines else ""
