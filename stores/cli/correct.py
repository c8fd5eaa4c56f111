"""Putting right what was written wrong: machines, assemblies, steps and their lines."""

from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, app, asked, command, refuse_options
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import What, option

__all__: list[str] = []

correct_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Put right what was written wrong. Step numbers and bag codes stay, later work "
    "still counts, and the history keeps what was written first.",
)
app.add_typer(correct_commands, name="correct", short_help=IN_A_LINE["correct"])

Reason = Annotated[str, option("--reason", "WHY", "How it came to be wrong, or who said so.")]
Of = Annotated[
    str | None,
    option("--of", "CONDITION", "Which of them, by condition, if they were inspected apart."),
]
StepArgument = Annotated[str, typer.Argument(metavar="STEP", help="A step, as 7, or its bag.")]


def _show(ctx: typer.Context, machine: str | None, json: bool, usecase: Any, ask: Any) -> None:
    from stores.wording.correct import corrected

    with asked(ctx, machine) as context:
        show.reply(usecase(context, ask), corrected, json_wanted=json)


@command(
    "machine",
    'stores correct machine --name "Orrick Plover" --year 1958',
    line="a machine's name, maker, model or year",
    group=correct_commands,
    records=True,
)
def machine_(
    ctx: typer.Context,
    name: Annotated[str | None, option("--name", "NAME", "What it is called.")] = None,
    maker: Annotated[str | None, option("--maker", "NAME", "Who made it.")] = None,
    model: Annotated[str | None, option("--model", "TEXT", "Model or numbers.")] = None,
    year: Annotated[str | None, option("--year", "YEAR", "When it was made.")] = None,
    note: Annotated[str | None, option("--note", "TEXT", "Anything else.")] = None,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Put right a machine's name, maker, model or year."""
    from stores.usecases.correct import CorrectMachine, correct_machine

    ask = CorrectMachine(name, maker, model, year, note, reason)
    _show(ctx, machine, json, correct_machine, ask)


@command(
    "assembly",
    "stores correct assembly 'Engin / Cluch' 'Engine / Clutch'",
    "stores correct assembly Cluch Clutch --join",
    line="rename an assembly, move it, or make two into one",
    group=correct_commands,
    records=True,
)
def assembly_(
    ctx: typer.Context,
    assembly: Annotated[str, typer.Argument(metavar="ASSEMBLY", help="As it is written now.")],
    to: Annotated[str, typer.Argument(metavar="TO", help="As it should be.")],
    join: Annotated[
        bool, typer.Option("--join", help="Make it one with the assembly that is there already.")
    ] = False,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Rename an assembly, move it, or make two into one. What is in it moves too."""
    from stores.usecases.correct import CorrectAssembly, correct_assembly

    _show(ctx, machine, json, correct_assembly, CorrectAssembly(assembly, to, join, reason))


@command(
    "step",
    'stores correct step 7 --part "clutch pressure plate"',
    'stores correct step 3 --undo "fill with SAE 140"',
    "stores correct step 14 --came-off-before 12",
    'stores correct step 7 --more "shim behind it stays with the hub"',
    'stores correct step 9 --to-machine "Tern 50"',
    line="what a step says, where it belongs, its place in the order",
    group=correct_commands,
    records=True,
)
def step_(
    ctx: typer.Context,
    step: StepArgument,
    part: Annotated[str | None, option("--part", "TEXT", "What came off.")] = None,
    note: Annotated[str | None, option("--note", "TEXT", "The whole note, anew.")] = None,
    more: Annotated[str, option("--more", "TEXT", "To add to the note.")] = "",
    hazard: Annotated[str | None, option("--hazard", "TEXT", "What can hurt here.")] = None,
    undo: Annotated[
        str | None, option("--undo", "TEXT", "How a job is undone at the rebuild.")
    ] = None,
    position: Annotated[
        str | None, option("--position", "TEXT", "Where its fasteners sat.")
    ] = None,
    assembly: Annotated[str | None, option("--assembly", "PATH", "Where it belongs.")] = None,
    came_off_on: Annotated[str | None, option("--came-off-on", "DATE", "The day.")] = None,
    came_off_before: Annotated[
        str | None, option("--came-off-before", "STEP", "It came off just before this step.")
    ] = None,
    came_off_after: Annotated[
        str | None, option("--came-off-after", "STEP", "It came off just after this step.")
    ] = None,
    to_machine: Annotated[
        str | None, option("--to-machine", "NAME", "The machine it should have been put under.")
    ] = None,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Put right what a step says, where it belongs, or its place in the order of removal."""
    from stores.usecases.correct import CorrectStep, correct_step

    ask = CorrectStep(
        step,
        part,
        note,
        more,
        hazard,
        undo,
        position,
        assembly,
        came_off_on,
        came_off_before,
        came_off_after,
        to_machine,
        reason,
    )
    _show(ctx, machine, json, correct_step, ask)


@command(
    "line",
    'stores correct line 7.2 "5 M6x25 hex bolt"',
    "stores correct line 7.2 --position 'hole 3'",
    "stores correct line 7.2 --to-step 9 --pieces-too",
    line="what a line was, how many, where it sat, or its step",
    group=correct_commands,
    records=True,
)
def line_(
    ctx: typer.Context,
    what: What,
    text: Annotated[
        list[str] | None,
        typer.Argument(metavar="AS-FOUND", help="What it was, and how many if that was wrong."),
    ] = None,
    position: Annotated[str | None, option("--position", "TEXT", "Where it sat.")] = None,
    to_step: Annotated[str | None, option("--to-step", "STEP", "The step it belongs to.")] = None,
    pieces_too: Annotated[
        bool, typer.Option("--pieces-too", help="Its pieces go into that step's bag.")
    ] = False,
    of: Of = None,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Put right what a line was as found, how many, where it sat, or its step."""
    from stores.usecases.correct import CorrectLine, correct_line

    refuse_options(text or ())
    ask = CorrectLine(what, " ".join(text or ()), position, to_step, pieces_too, reason, of)
    _show(ctx, machine, json, correct_line, ask)


@command(
    "add",
    'stores correct add 7 "1 M6 plain washer"',
    'stores correct add 7 "2 dowel pin" --to "box 3"',
    line="add a line that was forgotten",
    group=correct_commands,
    records=True,
)
def add_(
    ctx: typer.Context,
    step: StepArgument,
    line: Annotated[list[str], typer.Argument(metavar="LINE", help="The line, as in strip.")],
    to: Annotated[str, option("--to", "PLACE", "Where the pieces are; else the step's bag.")] = "",
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Add a forgotten line to a step."""
    from stores.usecases.correct import AddLine, add_line

    refuse_options(line)
    _show(ctx, machine, json, add_line, AddLine(step, " ".join(line), to, reason))


@command(
    "drop",
    "stores correct drop 7.4",
    line="take out a line that was never there",
    group=correct_commands,
    records=True,
)
def drop_(
    ctx: typer.Context,
    what: What,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Take a line out that was never there."""
    from stores.usecases.correct import DropLine, drop_line

    _show(ctx, machine, json, drop_line, DropLine(what, reason))


@command(
    "split",
    'stores correct split 7.2 "1 M8x20 hex bolt @ hole 3"',
    line="give some pieces of a line a line of their own",
    group=correct_commands,
    records=True,
)
def split_(
    ctx: typer.Context,
    what: What,
    text: Annotated[
        list[str], typer.Argument(metavar="LINE", help="How many, what they are, and where.")
    ],
    of: Of = None,
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Give some pieces of a line a line of their own: another thing, or another hole."""
    from stores.usecases.correct import SplitLine, split_line

    refuse_options(text)
    _show(ctx, machine, json, split_line, SplitLine(what, " ".join(text), reason, of))


@command(
    "join",
    "stores correct join 7.2 7.4",
    line="make two lines of a step into one",
    group=correct_commands,
    records=True,
)
def join_(
    ctx: typer.Context,
    what: What,
    other: Annotated[str, typer.Argument(metavar="OTHER", help="The line to be one with it.")],
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Make two lines of a step one; the first keeps its number."""
    from stores.usecases.correct import JoinLines, join_lines

    _show(ctx, machine, json, join_lines, JoinLines(what, other, reason))


@command(
    "split-step",
    'stores correct split-step 7 "clutch pushrod" 7.3 7.4',
    line="give some lines of a step a step of their own",
    group=correct_commands,
    records=True,
)
def split_step_(
    ctx: typer.Context,
    step: StepArgument,
    part: Annotated[str, typer.Argument(metavar="PART", help="What came off in it.")],
    lines: Annotated[list[str], typer.Argument(metavar="LINE ...", help="Its lines.")],
    assembly: Annotated[str, option("--assembly", "PATH", "If it is of another one.")] = "",
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Give some lines of a step a step of their own, just after it."""
    from stores.usecases.correct import SplitStep, split_step

    _show(ctx, machine, json, split_step, SplitStep(step, lines, part, assembly, reason))


@command(
    "join-steps",
    "stores correct join-steps 7 8",
    line="make two steps into one",
    group=correct_commands,
    records=True,
)
def join_steps_(
    ctx: typer.Context,
    step: StepArgument,
    other: Annotated[str, typer.Argument(metavar="OTHER", help="The step to be one with it.")],
    reason: Reason = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Make two steps one; the first keeps its number, the second's lines become its own."""
    from stores.usecases.correct import JoinSteps, join_steps

    _show(ctx, machine, json, join_steps, JoinSteps(step, other, reason))
