"""What the bench says of a refit: what goes in, what is measured, how tight it is, who signs."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, command, day, opened, refuse_options
from stores.cli.wording import What, option
from stores.errors import BadValue

__all__: list[str] = []


@command(
    "apply",
    'stores apply 7.2 "medium locking compound"',
    'stores apply 7 "sealant on both faces"',
    'stores apply 7 "no sealant"',
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
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what goes in with a step or an item; it stands on the checklist."""
    from stores import usecases

    refuse_options([what, *text])
    with opened(ctx) as store:
        reply = usecases.apply_to(store, what, " ".join(text), machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "clearance",
    'stores clearance 7 "end float" "0.05 to 0.15 mm"',
    'stores clearance 7 "end float" --found 0.08',
    'stores clearance 7 "end float" none',
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

    It stands on the checklist with its limits and a line to write on.
    """
    from stores import usecases

    said = " ".join(limits or [])
    refuse_options([what, name, said])
    if not said and not found:
        raise BadValue('say its limits, as "0.05 to 0.15 mm", or --found READING')
    with opened(ctx) as store:
        reply = None
        if said:
            reply = usecases.set_check(
                store, what, name, said, source=source, machine=machine, at=day(on)
            )
        if found:
            reply = usecases.take_check(store, what, name, found, machine=machine, at=day(on))
    if reply is not None:
        show.done(reply, json_wanted=json)


@command(
    "tighten",
    'stores tighten 7.2 "24 N m" oiled',
    "stores tighten 7",
)
def tighten(
    ctx: typer.Context,
    what: What,
    torque: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="TORQUE", help="What was put on: 24 N m, and dry or oiled.", show_default=False
        ),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that what was finger-tight is tightened, and with what torque."""
    from stores import usecases

    words = " ".join(torque or [])
    refuse_options([what, words])
    applied, written, state = read_applied(words) if words else (None, "", "")
    with opened(ctx) as store:
        reply = usecases.tighten(
            store, what, applied, written, state=state, machine=machine, at=day(on)
        )
    show.done(reply, json_wanted=json)


def read_applied(text: str) -> tuple[float, str, str]:
    """Read a torque put on: its N m, the figure as written, and dry or oiled.

    Raises:
        BadValue, NotationError: no torque, or a range: what was put on is one figure.
    """
    import re

    from stores.handbook.torque.maker import read_maker

    found = re.fullmatch(r"(?i)(.*?)[,;\s]+(dry|oiled|greased|plated)\s*", text)
    figure, state = (found[1], found[2].lower()) if found else (text, "")
    read = read_maker(figure)
    if read.low_nm != read.high_nm:
        raise BadValue(f"{text!r}: what was put on is one figure, as 24 N m")
    return read.low_nm, figure.strip(), state


@command(
    "sign",
    'stores sign 7 "A. Marl"',
    'stores sign 7 "J. Teal" --second -n "torque checked, split pin in"',
)
def sign(
    ctx: typer.Context,
    what: What,
    name: Annotated[str, typer.Argument(metavar="NAME", help="Who signs.")],
    second: Annotated[
        bool, typer.Option("--second", help="As the second person who checked it.")
    ] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="What was looked at.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Sign for a step that is back on; brakes, steering and wheels take a second person."""
    from stores import usecases

    refuse_options([what, name])
    with opened(ctx) as store:
        reply = usecases.sign(
            store, what, name, second=second, note=note, machine=machine, at=day(on)
        )
    show.done(reply, json_wanted=json)
