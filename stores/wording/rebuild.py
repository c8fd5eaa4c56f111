"""The rebuild in words: its order and times, what comes next, the checklist."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from stores.model.snags import Snag
from stores.model.work_units import chosen
from stores.planning.assembling import Role
from stores.planning.order import LinkReason
from stores.planning.rebuild import Chase, Line, Stage, access_words
from stores.planning.status import State
from stores.text import counted, day_words, many, plural
from stores.usecases.rebuild import (
    AccessMarked,
    Ahead,
    Bars,
    Checklist,
    Going,
    HoldUp,
    OrderRing,
    OrderSaid,
    PlannedStep,
    RingLink,
    StepBar,
    StepCounts,
    Summary,
    TimeTaken,
    in_hours,
)
from stores.wording import Line as Shown
from stores.wording import Listing, Said

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan as JointPlan
    from stores.planning.figures import Fill
    from stores.planning.tightness import Tightness
    from stores.planning.timing import Held
from stores.wording.figures import passes
from stores.wording.marks import quoted, to_type
from stores.wording.status import briefs, flag, held_up, said

__all__ = [
    "HINTS",
    "REFUSALS",
    "access_marked",
    "amiss",
    "bar_rows",
    "bars_head",
    "before_closing_up",
    "by_assembly",
    "checklist_head",
    "counts",
    "fills",
    "next_steps",
    "order_said",
    "outlook",
    "pace",
    "pieces_left",
    "ring",
    "ring_lines",
    "stage",
    "state_of",
    "summary_head",
    "summary_table",
    "time_taken",
    "to_chase",
    "torque_words",
    "what_if",
]

REFUSALS = {
    "nothing stripped": (
        "nothing of {machine} was taken off yet: " + quoted("{hint}") + " records that"
    ),
    "for parts": (
        "{machine} is kept for parts: nothing goes back on it; to have a step back: {hint}"
    ),
    "steps of two machines": "{first} is of {machine}, {then} of {other}",
    "an order of one step": "both are step {step}: name two steps",
    "nothing was said of them": "you said nothing of the order of steps {first} and {then}",
    "reached already": (
        "step {other} came off before step {step}, so step {step} did not make way for it"
    ),
    "longer than a week": "{typed!r}: a week has 168 hours",
    "no time": "{typed!r} is not a time: write it as 45 min, 2 h or 1 h 30 min",
    "no such assembly": (
        lambda assembly, machine, assemblies: (
            f"no assembly {assembly!r} on {machine}; there is {'; '.join(assemblies)}"
        )
    ),
    "how many matters": "how many? At least 1, not {typed}",
    "no days late": '{typed!r}: write a name and days, as "Brightwell Plating=14"',
    "time out of range": "{typed!r}: a time is a minute at least, 60 days at most",
}
HINTS = {
    "strip": "stores strip",
    "want_back": 'stores machine for-parts "{machine}" --wants STEP',
}


def order_said(reply: OrderSaid) -> Said:
    """Return what was said of two steps, and what goes round in a ring since."""
    words = {
        "before": f"Step {reply.first} goes on before step {reply.then}",
        "free": f"Steps {reply.first} and {reply.then} go in either order",
    }.get(reply.kind, f"Steps {reply.first} and {reply.then}: by the order that they came off")
    notes = [line for each in reply.rings for line in ring(each)]
    if reply.between:
        listed = ", ".join(map(str, reply.between[:4]))
        waits = reply.still_waits
        first = reply.then if waits == reply.first else reply.first
        notes.append(f"Step {waits} still waits for step {first}, because of step {listed}")
    return Said((f"{words}{_tag(reply)}",), notes)


def ring(each: OrderRing) -> list[str]:
    """Return the orders that contradict each other, why each is so, and how to let go of it; the
    one that is most likely wrong first, and what a person said last."""
    lines = [f"These {len(each.links)} orders contradict each other. Which is wrong?"]
    for at, link in enumerate(each.links, 1):
        pair = f"{link.first} {link.then}"
        how = to_type(
            f"stores plan before --forget {pair}" if link.by_hand else f"stores plan free {pair}"
        )
        lines.append(f"{at}. {link.first} before {link.then} ({_why(link)}): {how}")
    first = each.links[0]
    lines.append(f"Until you say, {first.first} before {first.then} is left out")
    return lines


def ring_lines(rings: Sequence[OrderRing]) -> list[Shown]:
    """Return the orders that contradict each other, under a heading of the caller's."""
    lines = []
    for each in rings:
        head, *rest = ring(each)
        lines.append(Shown(head, "- ", "  "))
        lines += [Shown(line, "  ", "     ") for line in rest]
    return lines


_REASONS = {
    LinkReason.STRICT: "order of removal",
    LinkReason.ACCESS: "came off for access only: rule of the handbook",
    LinkReason.WITHIN: "order of removal, one assembly inside the other",
    LinkReason.ORDER: "order of removal",
    LinkReason.BUILT: "built before it goes back: rule of the handbook",
}


def _why(link: RingLink) -> str:
    """Return why one step goes on before another."""
    if link.because is LinkReason.SAID:
        words = f"you said so on {day_words(link.date)}"
        return f"{words}: {link.reason}" if link.reason else words
    words = _REASONS[link.because]
    return f"{words}, same assembly {link.assembly}" if link.assembly else words


def access_marked(reply: AccessMarked) -> Said:
    """Return whether a step came off for access only."""
    if not reply.access:
        words = f"Step {reply.step} did not come off for access only"
    else:
        words = f"Step {reply.step} came off for access only"
        words += f", to reach step {reply.access}" if reply.access != "next" else ""
    return Said((f"{words}{_tag(reply)}",))


def time_taken(reply: TimeTaken) -> Said:
    """Return how long a step takes, or how much time there is."""
    time = "nothing said" if reply.minutes is None else in_hours(reply.minutes)
    if reply.step is not None:
        words = f"Step {reply.step} takes {time}"
    elif reply.what.casefold() == "each":
        words = f"A step takes {time}"
    else:
        words = f"{time[:1].upper()}{time[1:]} a week in the workshop"
    return Said((f"{words}{_tag(reply)}",))


def _tag(reply: OrderSaid | AccessMarked | TimeTaken) -> str:
    return f"  [{reply.machine}]" if reply.other_machines else ""


def counts(machine: str, each: StepCounts) -> str:
    """Return how many steps there are, and how many in each state."""
    return (
        f"{machine}: {plural(each.steps, 'step')}, {each.done} done, {each.on} on but not "
        f"finished, {each.ready} ready, {each.waits} waiting"
    )


def next_steps(steps: Sequence[PlannedStep]) -> list[Shown]:
    """Return steps to refit today, with the bags they are in and what comes first."""
    lines = []
    for each in steps:
        after = f"; step {_numbers(each.unlocks)} can follow" if each.unlocks else ""
        held = f"; bag {', '.join(each.bags)}" if each.bags else ""
        name = f"Step {each.step}  {each.assembly}: {each.part}"
        if each.job:
            name += f", {each.undo or 'undo this'}"
        lines.append(Shown(f"{name} ({in_hours(each.minutes)}{held}){after}", "  [ ] ", " " * 6))
        if each.waits_for:
            lines.append(Shown("; ".join(map(said, each.waits_for)), "      first ", " " * 6))
    return lines


def to_chase(listed: Sequence[Chase]) -> list[Shown]:
    """Return what to buy or chase, numbered, and which steps that frees."""
    lines = []
    for at, one in enumerate(listed, 1):
        matters = [said(matter) for matter in one.matters]
        more = f"; and {len(matters) - 6} more" if matters[6:] else ""
        lines.append(Shown("; ".join(matters[:6]) + more, f"  {at}. ", " " * 5))
        steps = "steps" if one.steps[1:] else "step"
        lines.append(Shown(f"lets {steps} {_numbers(one.steps)} go ahead", " " * 5, " " * 5))
    return lines


def _numbers(steps: Sequence[int], most: int = 8) -> str:
    listed = ", ".join(str(number) for number in steps[:most])
    return f"{listed} and {len(steps) - most} more" if len(steps) > most else listed


def outlook(reply: Ahead) -> list[Shown]:
    """Return the work left, the day it may be finished, and what holds it up."""
    if not reply.bars:
        return [Shown("Everything is back on.")]
    guess = ""
    if reply.steps_guessed:
        each = in_hours(reply.minutes_a_step) if reply.minutes_a_step else "a guess of 30 min"
        guess = f" ({reply.steps_guessed} of {reply.steps_left} steps at {each} each)"
    week = in_hours(round(reply.hours_a_week * 60)) + " a week"
    if reply.hours_guessed:
        week += f", a guess; to say it: {quoted('stores plan takes week 6 h')}"
    lines = [Shown(f"Work left: {in_hours(reply.minutes_left)}{guess}; {week}")]
    finish = f"Finished on {day_words(reply.finish)}"
    if reply.no_date_yet:
        finish += f" at the earliest: no date yet for {_names(reply.no_date_yet)}"
    lines.append(Shown(finish, rest="  "))
    if reply.late:
        lines.append(Shown(f"With {_late(reply)}", rest="  "))
    if len(reply.chain) > 1:
        chain = _numbers(reply.chain, 14)
        lines.append(
            Shown(f"Longest run of steps, each waiting for the one before: {chain}", rest="  ")
        )
    return lines + [
        Shown(f"{each.whom}, {day_words(each.day)}: {_held(each).words}", "  ", "    ")
        for each in reply.deliveries
    ]


def _late(reply: Ahead | Bars) -> str:
    """Return who is late by how much, and what that does to the finish."""
    days = reply.days_later
    words = "finished the same day"
    if days:
        words = f"finished {plural(abs(days), 'day')} {'later' if days > 0 else 'sooner'}"
    names = ", ".join(
        f"{name} {plural(abs(n), 'day')} {'late' if n >= 0 else 'early'}"
        for name, n in reply.late.items()
    )
    return f"{names}: {words}"


def what_if(reply: Bars) -> str:
    """Return what a plan on paper takes to be otherwise than promised or said; empty for the plan
    as it is."""
    parts = [f"with {_late(reply)}"] if reply.late else []
    if reply.strict:
        parts.append("in the order of the strip-down, whatever was said of the order since")
    return f"What if, not the plan: {'; '.join(parts)}." if parts else ""


def bars_head(reply: Bars) -> str:
    """Return how much is left on a plan on paper, and when that is finished."""
    made = reply.outlook
    if not made.bars:
        return "Everything is back on."
    early = " at the earliest" if made.undated else ""
    return (
        f"{plural(len(made.bars), 'step')} left, {in_hours(made.minutes)} of work, "
        f"{in_hours(round(made.hours_a_week * 60))} a week. "
        f"Finished on {day_words(made.finish)}{early}."
    )


def _held(each: HoldUp) -> "Held":
    from stores.planning.timing import Held

    return Held(each.whom, 0.0, each.whole_days, each.days_to_spare)


def _names(names: Sequence[str]) -> str:
    listed = ", ".join(names[:4])
    return f"{listed} and {len(names) - 4} more" if names[4:] else listed


def amiss(reply: Ahead) -> list[Shown]:
    """Return what to look at: rings, words without effect, snags of no step, flags."""
    words = [
        f"Step {then} still waits for step {first}, though you said that they go in either order: "
        "a step between them keeps it so"
        for first, then in reply.idle
    ]
    words += [
        f"Snag {snag.number} is open ({snag.words}), and no step is left to clear it in"
        for snag in reply.snags_of_no_step
    ]
    for each in reply.steps:
        flags = [*map(flag, each.flags), *(f"still to {said(one)}" for one in each.still_to_do)]
        words += [f"Step {each.step}: {what}" for what in flags]
    bare = [ref for each in reply.steps for ref in each.no_torque_figure]
    if bare:
        more = f" and {len(bare) - 16} more" if bare[16:] else ""
        words.append(f"No torque figure: {', '.join(bare[:16])}{more}")
    return [*ring_lines(reply.rings), *(Shown(each, "- ", "  ") for each in words)]


def bar_rows(bars: Sequence[StepBar], *, everything: bool) -> dict[str, tuple[float, float]]:
    """Return when each assembly is worked on, or with ``everything`` each step, in days."""
    rows: dict[str, tuple[float, float]] = {}
    for bar in bars:
        name = f"{bar.step:>3} {bar.part}" if everything else bar.assembly
        begin, end = rows.get(name, (bar.begin, bar.end))
        rows[name] = (min(begin, bar.begin), max(end, bar.end))
    return rows


def by_assembly(reply: Going) -> Listing:
    """Return how far each assembly is."""
    return Listing(
        ["Assembly", "Steps", "Done", "On", "Ready", "Waiting", "Pieces on", "To fit"],
        [
            [
                row.assembly,
                *map(
                    str,
                    (row.steps, row.done, row.open, row.ready, row.waits, row.fitted, row.to_fit),
                ),
            ]
            for row in reply.assemblies
        ],
        [1, 2, 3, 4, 5, 6, 7],
    )


def pace(reply: Going) -> str:
    """Return when all is back on at the pace so far."""
    if not reply.pieces_to_fit:
        return "Every piece is back on."
    if reply.pace and reply.finish:
        return (
            f"Pace: {counted(reply.pace.pieces)} in the last {plural(reply.pace.days, 'day')}, "
            f"{reply.pace.a_week:.3g} a week; {counted(reply.pieces_to_fit)} left, all on by "
            f"{day_words(reply.finish)} at that pace"
        )
    return "Nothing was refitted in the last eight weeks: no pace to go by."


def summary_head(reply: Summary) -> Shown:
    """Return how far all of it is."""
    whole = reply.whole
    return Shown(
        f"Rebuild of {reply.called}: {whole.done} of {whole.steps} steps done, {whole.open} on "
        f"but not finished, {whole.ready} ready, {whole.waits} waiting",
        rest="  ",
    )


def summary_table(reply: Summary) -> Listing:
    """Return how far each assembly is, and what holds it up."""
    return Listing(
        ["Assembly", "Steps", "Done", "On", "Ready", "Waits", "Held up by"],
        [
            [
                row.assembly,
                *map(str, (row.steps, row.done, row.open, row.ready, row.waits)),
                held_up(row.held_up),
            ]
            for row in reply.rows
        ],
        [1, 2, 3, 4, 5],
    )


def checklist_head(reply: Checklist) -> str:
    """Return how many steps are listed, and how many pieces are to fit, short and away."""
    return (
        f"Rebuild of {reply.machine}: {len(reply.stages)} of {reply.total} steps listed, "
        f"{pieces_left(reply.stages)}"
    )


def pieces_left(stages: Iterable[Stage]) -> str:
    """Return how many pieces of these steps are to fit, short and away."""
    lines = [line for each in stages for line in each.lines if not line.done]
    short = sum(line.short for line in lines)
    away = sum(line.status.away for line in lines)
    return f"{sum(line.item.to_fit for line in lines)} pieces to fit, {short} short, {away} away"


def stage(each: Stage) -> list[Shown]:
    """Return one step of the checklist."""
    step = each.step
    lines = [
        Shown(f"Step {step.number}  {step.assembly}: {step.part}  [{state_of(each)}]", rest=" " * 8)
    ]
    if step.hazard:
        lines.append(Shown(f"HAZARD: {step.hazard}", "  ! ", "    "))
    lines += [Shown(caution, "  ! ", "    ") for caution in each.cautions]
    if step.note:
        lines.append(Shown(f"note: {step.note}", "    ", "    "))
    if each.notes.access_only:
        lines.append(Shown(access_words(each), "    ", "    "))
    lines += before_closing_up(each.snags)
    box = f"  [{'x' if each.done else ' '}] "
    if each.job:
        mark = f"  [{'x' if each.job.done else ' '}] "
        when = f", done {day_words(each.job.done)}" if each.job.done else ""
        lines.append(Shown(f"{each.job.words}{when}", mark, " " * 13))
    lines += [Shown(applied.words, box, " " * 13) for applied in each.applied]
    for line in each.lines:
        lines += _line(line)
    if each.joint and not each.finished:
        lines += _joint(each.joint)
        if each.holes_doubt:
            lines.append(Shown(each.holes_doubt, "    ", "      "))
    return lines + _rest(each)


def state_of(each: Stage) -> str:
    """Return in a word how far a step is; what is owed once all is on in a few."""
    if each.status.state is State.ON:
        return f"ON, still to do: {', '.join(briefs(each.status.owes))}"
    return {State.FINISHED: "done", State.READY: "ready"}.get(each.status.state, "WAITS")


def before_closing_up(snags: Sequence[Snag]) -> list[Shown]:
    """Return what has to be cleared before things are closed up."""
    return [
        Shown(f"snag {snag.number} to clear: {snag.words} ({snag.where})", "  [ ] ", " " * 13)
        for snag in snags
    ]


def _line(line: Line) -> list[Shown]:
    item = line.item
    count = item.wanted if line.done else item.to_fit
    text = f"{item.ref:>5}  {many(count, item.as_specified.text)}"
    if item.position:
        text += f" @ {item.position}"
    if item.stack:
        text += f": {item.stack.words}"
    indent = " " * 13
    lines = [Shown(text, "  [x] " if line.finished else "  [ ] ", indent)]
    tail = [*line.sources] if not line.done else [line.left.words] if line.left else []
    tail += [f"with {each.words}" for each in line.applied]
    tail += item.work_done
    tail += map(flag, line.flags) if not line.done else []
    if tail:
        lines.append(Shown("; ".join(tail), indent, indent))
    if line.tight and not line.finished:
        lines += [Shown(words, indent, indent) for words in torque_words(line.tight)]
    return lines


def _joint(plan: "JointPlan") -> list[Shown]:

    holes = plan.joint.by_number
    order = " ".join(
        f"h{hole}" + (f" {holes[hole].length}" if holes[hole].length else "")
        for hole in plan.order.holes
    )
    return [
        Shown(f"tightening order: {order}", "    ", "      "),
        Shown(f"passes: {passes(plan)}", "    ", "      "),
    ]


def torque_words(tight: "Tightness") -> list[str]:
    """Return what is known of a torque: the maker's figure, else the general one, and doubts."""
    if tight.figure:
        words = [f"torque {tight.figure} {chosen().torque}, {tight.basis}"]
    else:
        words = [f"torque: {tight.general}"] if tight.general else []
    return words + [f"torque: {chosen().turned(caution)}" for caution in tight.cautions]


def _rest(each: Stage) -> list[Shown]:
    """Return what is measured and who signed, or has to."""
    lines = []
    for point in each.notes.points:
        words = f"measured {point.measured}" if point.measured else "not measured yet"
        if point.within is False:
            words += ", OUT OF LIMITS"
        box = "  [x] " if point.within else "  [ ] "
        lines.append(Shown(f"{point.name}: {point.limits}; {words}", box, " " * 13))
    for signature in each.notes.signatures:
        when = f", {day_words(signature.date)}" if signature.date else ""
        lines.append(Shown(f"{signature.role}: {signature.name}{when}", "  [x] ", " " * 13))
    if each.safety and not each.notes.signed(Role.SECOND):
        sign = to_type(f"stores refit sign {each.step.number} NAME --second")
        words = f"a second person checks: {sign}"
        lines.append(Shown(words, "  [ ] ", " " * 13))
    return lines


def fills(oils: "Sequence[Fill]") -> list[Shown]:
    """Return what to fill in the end."""
    lines = []
    for fill in oils:
        lines.append(Shown(f"{fill.name}: {fill.amount}, {fill.oil}", "  [ ] ", " " * 13))
        if fill.points:
            lines.append(Shown("; ".join(fill.points), " " * 13, " " * 13))
    return lines
