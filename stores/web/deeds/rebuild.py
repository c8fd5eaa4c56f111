"""The rebuild: its order and times, what can be done today, the plan, the checklist in words."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stores.usecases.rebuild import (
    Ahead,
    Checklist,
    Going,
    OrderSaid,
    Summary,
    WorkToday,
)
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.web.visit import Link
from stores.wording import Line, Lines, Listing, Said
from stores.wording.rebuild import (
    amiss,
    bar_rows,
    before_closing_up,
    by_assembly,
    checklist_head,
    counts,
    fills,
    next_steps,
    outlook,
    pace,
    ring_lines,
    stage,
    summary_head,
    summary_table,
    to_chase,
)

_ASSEMBLY = Field("assembly", "Only this assembly", hint="As Engine/Gearbox")
_EVERYTHING = Field("everything", "Steps that are back on the machine, too", "tick",
                    option="--all")  # fmt: skip
_STRICT = Field("strict", "The strip-down turned round, whatever was said", "tick",
                option="--plain-reverse", more=True)  # fmt: skip
_FIRST = Field("first", "Step", hint="As 12, or a bag")
_WHY = Field("reason", "Why", hint="As the seal has to see oil", option="--note")


def _sections(parts: Iterable[tuple[str, Sequence[Line]]]) -> list[Line]:
    """Return the parts that have lines, each under its heading."""
    return [each for heading, lines in parts if lines for each in (Line(heading), *lines)]


def _today(reply: WorkToday) -> Lines:
    parts = _sections(
        (
            ("To settle:", ring_lines(reply.rings)),
            ("Ready now:", next_steps(reply.ready)),
            ("Ready after some work at the bench:", next_steps(reply.at_hand)),
            ("To buy or chase, the most useful first:", to_chase(reply.chase)),
        )
    )
    nothing = [Line("Nothing waits: everything is back on.")]
    return Lines([Line(counts(reply.machine, reply.counts)), *(parts or nothing)])


def _days(days: float) -> str:
    return f"{days:.1f}"


def _plan(reply: Ahead) -> Words:
    lines = [
        Line(counts(reply.machine, reply.counts)),
        *outlook(reply),
        *_sections((("To look at:", amiss(reply)),)),
    ]
    bars = [
        [name, _days(begin), _days(end)]
        for name, (begin, end) in bar_rows(reply.bars, everything=False).items()
    ]
    listed = Listing(["", "Begins, in days", "Done, in days"], bars, [1, 2])
    return [Lines(lines), listed] if bars else Lines(lines)


def _going(reply: Going) -> Words:
    head = Said((counts(reply.machine, reply.counts),))
    return [head, by_assembly(reply), Said((pace(reply),))]


def _checklist(reply: Checklist) -> Lines:
    lines = [Line(checklist_head(reply)), *ring_lines(reply.rings)]
    for each in reply.stages:
        lines += stage(each)
    lines += _sections(
        (
            ("Before it is closed up:", before_closing_up(reply.snags)),
            ("Last job: oil", fills(reply.oils)),
        )
    )
    return Lines(lines)


def _summary(reply: Summary) -> Words:
    return [Lines([summary_head(reply)]), summary_table(reply)]


def _after(_reply: OrderSaid) -> list[Link]:
    return [Link("What can be done today", "/ask/today"), Link("The plan", "/ask/plan")]


DEEDS = (
    Deed(
        "before", "One step before another", "Record it",
        "rebuild:put_before", "rebuild:PutBefore", "rebuild:order_said",
        replace(_FIRST, label="This step"),
        Field("then", "Goes on before", hint="Another step or bag"),
        _WHY,
        Field("forget", "As they came off: forget what was said of the two", "tick",
              option="--forget", more=True),
        next=_after,
    ),
    Deed(
        "free", "Two steps in either order", "Record it",
        "rebuild:let_free", "rebuild:LetFree", "rebuild:order_said",
        _FIRST, Field("then", "And", hint="Another step or bag"), _WHY,
        next=_after, line="They go in either order",
    ),
    Deed(
        "access", "Off for access only", "Record it",
        "rebuild:mark_access", "rebuild:MarkAccess", "rebuild:access_marked",
        Field("what", "Step", hint="As 12, or a bag"),
        Field("reached", "What it made way for", hint="Another step; empty: the next"),
        Field("takes_back", "It did not, after all", "tick", option="--not", more=True),
        line="It goes back after what it made way for",
    ),
    Deed(
        "takes", "How long it takes", "Record it",
        "rebuild:take_time", "rebuild:TakeTime", "rebuild:time_taken",
        Field("what", "Step", hint="As 7, or a bag; each; or week: the time in the workshop"),
        Field("time", "Time", hint="As 45 min, 2 h, 1 h 30 min; or none"),
        next=lambda _reply: [Link("The plan", "/ask/plan")],
        line="A step, or the time there is in a week",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "today", "What can be done today", "Show", "rebuild:work_today", "", _today,
        Field("most", "How many things to buy or chase", "number", value="5", option="--most",
              more=True),
        _STRICT,
        call=lambda visit, today: today(
            visit.context(), visit.word("most") or "5", strict=visit.word("strict") == "1"
        ),
        line="And what to buy or chase for it",
    ),
    Inquiry(
        "plan", "When it may be finished", "Show", "rebuild:ahead", "rebuild:LookAhead", _plan,
        Field("late", "What if a firm is late?", "lines", "By days, one a line: Brightwell "
              "Plating=14", option="--late"),
        _STRICT,
        paper="/paper/plan", line="What holds it up, what is amiss",
    ),
    Inquiry(
        "progress", "How far it is", "Show", "rebuild:going", "", _going,
        line="Each assembly, and the pace so far",
    ),
    Inquiry(
        "checklist", "The checklist in words", "Show",
        "rebuild:checklist", "rebuild:ListSteps", _checklist,
        _ASSEMBLY, _EVERYTHING,
        Field("only_next", "Only the next step to fit", "tick", option="--next"),
        paper="/paper/checklist", line="The strip-down backwards",
    ),
    Inquiry(
        "summary", "Assemblies, and what holds them up", "Show", "rebuild:summary", "", _summary,
        _ASSEMBLY,
        call=lambda visit, summary: summary(visit.context(), visit.word("assembly").strip()),
        paper="/paper/summary",
    ),
)  # fmt: skip
