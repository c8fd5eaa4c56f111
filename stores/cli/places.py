"""Moving pieces about: elsewhere, lost and found, thrown out, to another joint; what is where."""

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Count,
    Day,
    MachineName,
    asked,
    at_a_terminal,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import AsCsv, Open, show_file, to_csv
from stores.cli.wording import NewPlace, Of, What
from stores.errors import BadValue
from stores.papers import today
from stores.text import counted

if TYPE_CHECKING:
    from stores.usecases.context import Context
    from stores.usecases.places import PiecesScrapped, ScrapCondemned

__all__: list[str] = []

Words = Annotated[
    list[str],
    typer.Argument(
        metavar="WHAT",
        help="An item (7.2), a step (7), a bag (A001N), or all left over.",
        show_default=False,
    ),
]

SomeWords = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="WHAT",
        help="An item (7.2), a step (7), a bag (A001N), or all left over.",
        show_default=False,
    ),
]


@command(
    "move", 'stores piece move 7.1 "shelf 2"', "stores piece move 7.2 A003J -q 2", takes_minus=True
)
def move(
    ctx: typer.Context,
    what: What,
    to: Annotated[str, typer.Argument(metavar="TO", help="A bag, new, a box, a shelf, bench.")],
    quantity: Count = None,
    of: Of = None,
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Move pieces in the workshop to another bag, box, shelf or the bench."""
    from stores.usecases import places as use
    from stores.wording.places import moved

    refuse_options([what, to])
    with asked(ctx, machine, on) as context:
        reply = use.move(context, use.MovePieces(what, to, quantity, of, new_place))
    show.reply(reply, moved, json_wanted=json)


@command("stow", 'stores place stow A001N A003J "box 3"', 'stores place stow "box 3" "shelf 1"')
def stow(
    ctx: typer.Context,
    names: Annotated[
        list[str], typer.Argument(metavar="BAG", help="Bags or boxes, then where to.")
    ],
    new_place: NewPlace = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Put bags into a box, or a box on to a shelf."""
    from stores.usecases import places as use
    from stores.wording.places import stowed

    with asked(ctx, None, on) as context:
        reply = use.stow(context, use.StowPlaces(names[:-1], names[-1], new_place))
    show.reply(reply, stowed, json_wanted=json)


@command("lose", 'stores piece lose 7.2 -q 1 -n "rolled under the lathe"', takes_minus=True)
def lose(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    of: Of = None,
    at_firm: Annotated[
        str | None, typer.Option("--at", metavar="FIRM", help="The firm that lost them.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="What happened.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that pieces cannot be found; they go on the shopping list."""
    from stores.usecases import places as use
    from stores.wording.places import lost

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = use.lose(context, use.LosePieces(what, quantity, of, at_firm, note))
    show.reply(reply, lost, json_wanted=json)


@command(
    "recover",
    "stores piece recover 7.2",
    'stores piece recover 7.2 -q 1 --to "tin 1"',
    takes_minus=True,
)
def recover(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    to: Annotated[
        str | None, typer.Option("--to", metavar="PLACE", help="Where to; by default its bag.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Where it was.")] = "",
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that lost pieces turned up again."""
    from stores.usecases import places as use
    from stores.wording.places import recovered

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = use.recover(context, use.RecoverPieces(what, quantity, to, note, new_place))
    show.reply(reply, recovered, json_wanted=json)


@command("keep", "stores piece keep all left over", "stores piece keep 7.2", takes_minus=True)
def keep(
    ctx: typer.Context,
    what: Words,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Keep sound pieces that are left over as spares of the workshop.

    They are found like other loose pieces, and may go to any machine's joints.
    """
    from stores.usecases import places as use
    from stores.wording.places import kept

    refuse_options(what)
    with asked(ctx, machine, on) as context:
        reply = use.keep(context, use.KeepAsSpares(" ".join(what)))
    show.reply(reply, kept, json_wanted=json)


@command(
    "scrap",
    "stores piece scrap 7",
    'stores piece scrap 7.2 -q 1 -n "sheared"',
    "stores piece scrap all left over --yes",
    "stores piece scrap --condemned",
    takes_minus=True,
)
def scrap(
    ctx: typer.Context,
    what: SomeWords = None,
    quantity: Count = None,
    of: Of = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    condemned: Annotated[
        bool,
        typer.Option("--condemned", help="All condemned pieces there are, of WHAT or the machine."),
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Throw pieces out; without a count only condemned ones, and old ones replaced by new ones.

    One is kept as a pattern until the new one fits; only a count throws that out too.
    """
    from stores.usecases import places as use
    from stores.usecases.context import is_trial
    from stores.wording.places import scrapped

    refuse_options(what or [])
    text = " ".join(what or [])
    if condemned:
        if quantity or of:
            raise BadValue("--condemned takes all that are condemned: leave -q and --of out")
        with asked(ctx, machine, on) as context:
            _scrap_condemned(context, use.ScrapCondemned(text, note), yes=yes, json_wanted=json)
        return
    if not text:
        raise BadValue("say what is thrown out, as 7.2; or --condemned for all that are condemned")
    with asked(ctx, machine, on) as context:
        if len(text.split()) > 1 and not yes and not is_trial():
            _ask_once_more(
                use.scrap(context, use.ScrapPieces(text, quantity, of, note, trial=True))
            )
        reply = use.scrap(context, use.ScrapPieces(text, quantity, of, note))
    show.reply(reply, scrapped, json_wanted=json)


def _ask_once_more(reply: "PiecesScrapped") -> None:
    """Show what would be thrown out and ask; refuse where nobody can answer."""
    import sys

    from stores.wording.places import piece_lines

    if not sys.stdin.isatty():
        raise BadValue(
            f"{counted(reply.pieces)} would be thrown out: say so with --yes; nothing was changed"
        )
    for line in piece_lines(reply.items):
        show.say(line, err=True)
    if not typer.confirm(f"Throw out {counted(reply.pieces)}?", err=True):
        raise BadValue("nothing was thrown out")


def _scrap_condemned(
    context: "Context", ask: "ScrapCondemned", *, yes: bool, json_wanted: bool
) -> None:
    """Show what would go, and ask once before it does."""
    from stores.usecases.places import scrap_condemned
    from stores.wording.places import kept_all, scrapped, throw_out, to_throw_out

    if not yes:
        reply = scrap_condemned(context, replace(ask, trial=True))
        show.reply(reply, to_throw_out, json_wanted=json_wanted)
        if json_wanted:
            return
        if not (at_a_terminal() and typer.confirm(throw_out, default=False)):
            show.say(kept_all)
            return
    show.reply(scrap_condemned(context, ask), scrapped, json_wanted=json_wanted)


@command(
    "assign",
    "stores piece assign 0.1 7.2",
    "stores piece assign 9.3 7.2 -q 1",
    'stores piece assign 4.2 7.2 -q 1 -m "Tern 50" --of-machine Orrick',
    "stores piece assign 9.3 7.2 -q 1 --of serviceable --from A001N",
    takes_minus=True,
)
def assign(
    ctx: typer.Context,
    what: What,
    to: Annotated[str, typer.Argument(metavar="ITEM", help="The joint they belong to, 7.2.")],
    quantity: Count = None,
    of: Of = None,
    anyway: Annotated[
        str,
        typer.Option(
            "--anyway", metavar="WHY", help="Something else than belongs there: why it will do."
        ),
    ] = "",
    other: Annotated[
        str | None,
        typer.Option("--of-machine", metavar="NAME", help="The machine of that joint, if another."),
    ] = None,
    place: Annotated[
        str, typer.Option("--from", metavar="PLACE", help="Which of them: those in this place.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say which joint a loose piece belongs to, or take a piece of one joint for another.

    Where there are several pieces, say which: --of a condition, --from a place. The joint that
    gave one is short of it, and 'stores record audit' lists that until it is replaced; on a
    machine that is kept for parts nothing is replaced.
    """
    from stores.usecases import places as use
    from stores.wording.places import assigned

    refuse_options([what, to])
    ask = use.AssignPieces(what, to, quantity, of, anyway, other, place)
    with asked(ctx, machine, on) as context:
        reply = use.assign(context, ask)
    show.reply(reply, assigned, json_wanted=json)


@command(
    "places",
    "stores place list",
    'stores place list "box 3"',
    "stores place list --pdf places.pdf",
    "stores place list --csv places.csv",
)
def places(
    ctx: typer.Context,
    within: Annotated[
        str, typer.Argument(metavar="PLACE", help="Only this box, shelf, bag or firm.")
    ] = "",
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")
    ] = None,
    csv: AsCsv = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Which bag is in which box, and what is in each: the index on the wall."""
    from stores.usecases import places as use

    with asked(ctx, machine) as context:
        reply = use.places(context, use.ListPlaces(within))
    if csv is not None:
        from stores.planning.places import HEADS

        to_csv(csv, HEADS, [line.row for line in reply.places], quiet=json)
    if pdf is not None:
        from stores.printing.places import write_places

        title = f"What is in {within}" if within else "Index of places"
        printed = write_places(reply.places, file_at(pdf), title=title, date=today())
        show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})
    elif json:
        show.as_json(reply)
    elif csv is None:
        from stores.wording.places import index

        head, *lines = index(reply)
        show.say(head)
        for line in lines:
            show.paragraph(line, rest="    ")
