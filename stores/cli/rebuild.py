"""The rebuild: its order and times, what comes next, when it may be finished, the checklist."""

from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    AsOf,
    Day,
    MachineName,
    asked,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import Open, show_file
from stores.errors import BadValue
from stores.text import day_words, plural

if TYPE_CHECKING:
    from stores.printing.files import Printed
    from stores.usecases.rebuild import Ahead, Checklist, Summary

__all__: list[str] = []

First = Annotated[str, typer.Argument(metavar="STEP", help="A step (7) or a bag (A001N).")]
Then = Annotated[str, typer.Argument(metavar="OTHER", help="Another step or bag.")]
Because = Annotated[str, typer.Option("--note", "-n", help="Why.")]


@command(
    "before", "stores plan before 12 9", 'stores plan before 12 9 -n "the seal has to see oil"'
)
def before(
    ctx: typer.Context,
    first: First,
    then: Then,
    note: Because = "",
    forget: Annotated[
        bool, typer.Option("--forget", help="As they came off: forget what was said of the two.")
    ] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that a step goes back on before another."""
    from stores.usecases.rebuild import PutBefore, put_before
    from stores.wording.rebuild import order_said

    refuse_options([first, then])
    with asked(ctx, machine, on) as context:
        reply = put_before(context, PutBefore(first, then, note, forget))
    show.reply(reply, order_said, json_wanted=json)


@command("free", "stores plan free 12 9")
def free(
    ctx: typer.Context,
    first: First,
    then: Then,
    note: Because = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that two steps go back in either order.

    'stores plan before --forget' takes that back.
    """
    from stores.usecases.rebuild import LetFree, let_free
    from stores.wording.rebuild import order_said

    refuse_options([first, then])
    with asked(ctx, machine, on) as context:
        reply = let_free(context, LetFree(first, then, note))
    show.reply(reply, order_said, json_wanted=json)


@command(
    "access", "stores plan access 12", "stores plan access 12 15", "stores plan access 12 --not"
)
def access(
    ctx: typer.Context,
    step: First,
    reached: Annotated[
        str, typer.Argument(metavar="OTHER", help="What it made way for; else the next step.")
    ] = "",
    takes_back: Annotated[bool, typer.Option("--not", help="It did not, after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that a step came off for access only: it goes back after what it made way for."""
    from stores.usecases.rebuild import MarkAccess, mark_access
    from stores.wording.rebuild import access_marked

    refuse_options([step, reached])
    with asked(ctx, machine, on) as context:
        reply = mark_access(context, MarkAccess(step, reached, takes_back))
    show.reply(reply, access_marked, json_wanted=json)


@command(
    "takes",
    "stores plan takes 7 45 min",
    "stores plan takes each 20 min",
    "stores plan takes week 6 h",
)
def takes(
    ctx: typer.Context,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A step or a bag; each; or week.")],
    time: Annotated[
        list[str], typer.Argument(metavar="TIME", help="45 min, 2 h, 1 h 30 min; none.")
    ],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say how long a step takes to refit, or how much time there is.

    "each" is a step of which nothing is said, "week" the time in the workshop in a week.
    """
    from stores.usecases.rebuild import TakeTime, take_time
    from stores.wording.rebuild import time_taken

    refuse_options([what, *time])
    with asked(ctx, machine, on) as context:
        reply = take_time(context, TakeTime(what, " ".join(time)))
    show.reply(reply, time_taken, json_wanted=json)


Strict = Annotated[
    bool,
    typer.Option(
        "--plain-reverse", help="The plain reverse of the strip-down, whatever you said of it."
    ),
]


@command("today", "stores plan today", "stores plan today --most 3")
def today(
    ctx: typer.Context,
    most: Annotated[
        str, typer.Option("--most", metavar="N", help="How many things to buy or chase.")
    ] = "5",
    strict: Strict = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What can be refitted today, and what to buy or chase so that most can go ahead."""
    from stores.usecases.rebuild import work_today
    from stores.wording.rebuild import counts, next_steps, ring_lines, to_chase

    with asked(ctx, machine) as context:
        reply = work_today(context, most, strict=strict)
    if json:
        show.as_json(reply)
        return
    show.say(counts(reply.machine, reply.counts))
    for heading, lines in (
        ("To settle:", ring_lines(reply.rings)),
        ("Ready now:", next_steps(reply.ready)),
        ("Ready after some work at the bench:", next_steps(reply.at_hand)),
        ("To buy or chase, the most useful first:", to_chase(reply.chase)),
    ):
        if lines:
            show.say()
            show.say(heading)
            show.lines(lines)
    if not reply.ready and not reply.at_hand and not reply.chase:
        show.say("Nothing waits: everything is back on.")


@command(
    "plan",
    "stores plan",
    'stores plan --late "Brightwell Plating=14"',
    "stores plan --pdf plan.pdf",
    records=False,
)
def plan(
    ctx: typer.Context,
    late: Annotated[
        list[str] | None,
        typer.Option("--late", metavar="NAME=DAYS", help="What if a firm is so many days late?"),
    ] = None,
    strict: Strict = False,
    everything: Annotated[
        bool, typer.Option("--all", help="A bar for each step; else for each assembly.")
    ] = False,
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print the bars to a PDF.")
    ] = None,
    shown: Open = False,
    on: AsOf = None,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """When it may be finished, what holds it up, what is amiss; bars over time."""
    from stores.usecases.rebuild import LookAhead, ahead, bars
    from stores.wording.rebuild import amiss, counts, outlook

    ask = LookAhead(late or [], strict)
    with asked(ctx, machine, on) as context:
        if pdf is not None:
            drawn = bars(context, ask)
        else:
            reply = ahead(context, ask)
    if pdf is not None:
        from stores.papers import write_plan

        printed = write_plan(drawn, file_at(pdf))
        show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})
        return
    if json:
        show.as_json(reply)
        return
    show.say(counts(reply.machine, reply.counts))
    show.lines(outlook(reply))
    if matters := amiss(reply):
        show.say()
        show.say("To look at:")
        show.lines(matters)
    if reply.bars:
        show.say()
        _draw_bars(reply, everything=everything)


def _draw_bars(reply: "Ahead", *, everything: bool) -> None:
    """Draw bars over time, one for each assembly or step, as wide as the screen."""
    from stores.wording.rebuild import bar_rows

    rows = bar_rows(reply.bars, everything=everything)
    names = min(28, max(len(name) for name in rows))
    columns = show.width() - names - 2
    scale = columns / max(reply.days, 1e-9)
    first, last = day_words(reply.today), day_words(reply.finish)
    show.say(f"{'':<{names}}  {first}{last:>{max(1, columns - len(first))}}")
    for name, (begin, end) in rows.items():
        at = min(columns - 1, int(begin * scale))
        length = max(1, round((end - begin) * scale))
        short = name if len(name) <= names else name[: names - 1] + "…"
        line = f"{short:<{names}}  {' ' * at}{'█' * min(length, columns - at)}"
        show.say(line.rstrip())


@command("progress", "stores plan progress", records=False)
def progress(
    ctx: typer.Context, on: AsOf = None, machine: MachineName = None, json: AsJson = False
) -> None:
    """How far each assembly is, and when all is back on at the pace so far."""
    from stores.usecases.rebuild import going
    from stores.wording.rebuild import by_assembly, counts, pace

    with asked(ctx, machine, on) as context:
        reply = going(context)
    if json:
        show.as_json(reply)
        return
    show.say(counts(reply.machine, reply.counts))
    show.listing(by_assembly(reply))
    show.paragraph(pace(reply))


def _show_sheet(
    printed: "Printed", kind: str, of: "Checklist | Summary", json: bool, shown: bool
) -> None:
    """Say what was printed of the rebuild, and where it is."""
    from stores.printing.paper import chosen_paper

    if not json:
        steps, on = plural(len(of.stages), "step"), plural(printed.sheets, "sheet")
        show.say(f"Rebuild {kind} of {of.called}: {steps} on {on} of {chosen_paper().name}")
    show_file(printed, json_wanted=json, shown=shown, data={"steps": len(of.stages)})


@command(
    "rebuild",
    "stores rebuild",
    "stores rebuild Engine --pdf checklist.pdf",
    "stores rebuild --next",
    "stores rebuild --summary --pdf summary.pdf",
)
def rebuild(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Steps that are back on the machine, too.")
    ] = False,
    only_next: Annotated[bool, typer.Option("--next", help="Only the next step to fit.")] = False,
    summary: Annotated[
        bool, typer.Option("--summary", help="On one page: each assembly and what holds it up.")
    ] = False,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The rebuild checklist: the strip-down backwards, with bags, counts and cautions.

    A step stays on it until its pieces are on and tight, measured and signed for.
    """
    from stores.usecases.rebuild import ListSteps, checklist, listed_steps
    from stores.usecases.rebuild import summary as sum_up
    from stores.wording.rebuild import (
        before_closing_up,
        checklist_head,
        fills,
        ring_lines,
        stage,
        summary_head,
        summary_table,
    )

    if summary and only_next:
        raise BadValue("--summary and --next: which is it?")
    if summary:
        with asked(ctx, machine) as context:
            rows = sum_up(context, assembly)
        if pdf is not None:
            from stores.papers import write_overview

            _show_sheet(write_overview(rows, file_at(pdf)), "summary", rows, json, shown)
        elif json:
            show.as_json(rows.rows)
        else:
            show.lines([summary_head(rows)])
            show.listing(summary_table(rows))
        return
    ask = ListSteps(assembly, everything, only_next)
    with asked(ctx, machine) as context:
        if json and pdf is None:
            show.as_json(listed_steps(context, ask))
            return
        reply = checklist(context, ask)
    if pdf is not None:
        from stores.papers import write_list

        _show_sheet(write_list(reply, file_at(pdf)), "checklist", reply, json, shown)
        return
    show.say(checklist_head(reply))
    if reply.rings:
        show.say()
        show.lines(ring_lines(reply.rings))
    for each in reply.stages:
        show.say()
        show.lines(stage(each))
    for heading, lines in (
        ("Before it is closed up:", before_closing_up(reply.snags)),
        ("Last job: oil", fills(reply.oils)),
    ):
        if lines:
            show.say()
            show.say(heading)
            show.lines(lines)
