"""What the bench says of a refit: what goes in, what is measured, how tight it is, who signs."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, refuse_options
from stores.cli.wording import What, option
from stores.errors import BadValue

__all__: list[str] = []


@command(
    "apply",
    'stores refit apply 7.2 "medium locking compound"',
    'stores refit apply 7 "flange sealant 10 ml"',
    'stores refit apply 7 "flange sealant" --takes "bead 3 mm x 640 mm"',
    'stores refit apply 7.2 "medium threadlocker" --takes "2 ml"',
    'stores refit apply 7 "no sealant"',
)
def apply(
    ctx: typer.Context,
    what: What,
    text: Annotated[
        list[str],
        typer.Argument(
            metavar="WHICH", help="Locking compound, sealant, grease or oil; 'no ...' takes back."
        ),
    ],
    takes: Annotated[
        str,
        option("--takes", "AMOUNT", "How much: 2 ml, or a rule and its measures, as above."),
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what goes in with a step or an item; it goes on the checklist.

    How much is what you say, or for threadlocker and bearing grease what the rule gives. Rules for
    --takes: bead 3 mm x 640 mm; film 100 cm2 x 0.1 mm; joint 6 x 6 x 1000 mm; fit 47 x 14 x 0.03
    mm; threads 24 M6; bearing 6204; paint 1.2 m2, 2 coats, 45 %, 40 um; runs 420, 310 mm.
    """
    from stores.usecases.assembling import Apply
    from stores.usecases.assembling import apply as put_in
    from stores.wording.assembling import goes_in

    refuse_options([what, *text])
    with asked(ctx, machine, on) as context:
        show.reply(put_in(context, Apply(what, " ".join(text), takes)), goes_in, json_wanted=json)


@command(
    "clearance",
    'stores figure clearance 7 "end float" "0.05 to 0.15 mm"',
    'stores figure clearance 7 "end float" --found 0.08',
    'stores figure clearance 7 "end float" none',
)
def clearance(
    ctx: typer.Context,
    what: What,
    name: Annotated[str, typer.Argument(metavar="NAME", help="What is measured: end float.")],
    limits: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="LIMITS",
            help='"0.05 to 0.15 mm", "at most 0.1 mm"; none takes it back.',
            show_default=False,
        ),
    ] = None,
    found: Annotated[str, option("--found", "READING", "What was measured.")] = "",
    source: Annotated[str, option("--from", "TEXT", "Where the limits are printed.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what is measured when a step goes back on, then what it measured.

    It is on the checklist with its limits and a line to write on.
    """
    from stores.usecases.assembling import SetPoint, TakeReading, set_point, take_reading
    from stores.wording.assembling import point_measured, point_set

    words = " ".join(limits or [])
    refuse_options([what, name, words])
    if not words and not found:
        raise BadValue('say its limits, as "0.05 to 0.15 mm", or --found READING')
    with asked(ctx, machine, on) as context:
        if words:
            ask = SetPoint(what, name, words, source, found)
            show.reply(set_point(context, ask), point_set, json_wanted=json)
        else:
            reading = take_reading(context, TakeReading(what, name, found))
            show.reply(reading, point_measured, json_wanted=json)


@command(
    "tighten",
    'stores refit tighten 7.2 "24 N m" oiled',
    "stores refit tighten 7",
)
def tighten(
    ctx: typer.Context,
    what: What,
    torque: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="TORQUE",
            help="What it was tightened to: 24 N m, and dry or oiled.",
            show_default=False,
        ),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that what was finger-tight is tightened, and with what torque."""
    from stores.usecases.assembling import Tighten
    from stores.usecases.assembling import tighten as record_tight
    from stores.wording.assembling import tight

    words = " ".join(torque or [])
    refuse_options([what, words])
    with asked(ctx, machine, on) as context:
        show.reply(record_tight(context, Tighten(what, words)), tight, json_wanted=json)


@command(
    "sign",
    'stores refit sign 7 "A. Marl"',
    'stores refit sign 7 "J. Teal" --second -n "torque checked, split pin in"',
)
def sign(
    ctx: typer.Context,
    what: What,
    name: Annotated[str, typer.Argument(metavar="NAME", help="Who signs.")],
    second: Annotated[
        bool, typer.Option("--second", help="As the second person who checked it.")
    ] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="What was checked.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Sign for a step that is back on; brakes, steering and wheels take a second person."""
    from stores.usecases.assembling import Sign
    from stores.usecases.assembling import sign as record_signature
    from stores.wording.assembling import signed

    refuse_options([what, name])
    with asked(ctx, machine, on) as context:
        reply = record_signature(context, Sign(what, name, second, note))
        show.reply(reply, signed, json_wanted=json)
