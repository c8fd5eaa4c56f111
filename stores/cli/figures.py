"""A machine's figures: sumps, readings, makers' torques, and where a joint's holes are."""

from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, file_at, refuse_options
from stores.cli.files import Open, show_file
from stores.cli.wording import What, option
from stores.papers import today
from stores.text import plural

if TYPE_CHECKING:
    from stores.printing.files import Printed
    from stores.usecases.figures import JointKnown

__all__: list[str] = []


@command(
    "sump",
    'stores figure sump Gearbox --oil "SAE 90 GL-4" --dry 1.4l --refill 1.2l',
    'stores figure sump "Fork leg" --number 2 --oil "SAE 20" --refill 160ml',
    "stores figure sump",
)
def sump(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What it is called; without it, all are listed.")
    ] = "",
    oil: Annotated[str | None, option("--oil", "GRADE", "As the book has it: SAE 90 GL-4.")] = None,
    dry: Annotated[
        str | None, option("--dry", "AMOUNT", "First fill after a strip-down: 1.4l.")
    ] = None,
    refill: Annotated[
        str | None, option("--refill", "AMOUNT", "After a drain: oil clings, so it is less.")
    ] = None,
    number: Annotated[int | None, option("--number", "N", "How many alike: 2 fork legs.")] = None,
    drain: Annotated[str | None, option("--drain", "TEXT", "Where it is drained.")] = None,
    filler: Annotated[str | None, option("--filler", "TEXT", "Where it is filled.")] = None,
    level: Annotated[str | None, option("--level", "TEXT", "Where its level is read.")] = None,
    note: Annotated[str | None, typer.Option("--note", "-n", help="What else to know.")] = None,
    source: Annotated[str | None, option("--from", "TEXT", "Where they are printed.")] = None,
    none: Annotated[bool, typer.Option("--none", help="There is no such sump after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what a sump holds and of which oil; what is left out stays as it was.

    The shopping list buys for all sumps by grade, the checklist fills them.
    """
    from stores.usecases import figures
    from stores.wording.figures import sump_dropped, sump_recorded, sump_table

    ask = figures.SetSump(name, oil, dry, refill, number, drain, filler, level, note, source)
    with asked(ctx, machine, on) as context:
        if none:
            dropped = figures.drop_sump(context, figures.DropSump(name))
            show.reply(dropped, sump_dropped, json_wanted=json)
        elif ask == figures.SetSump(""):
            listed = figures.sumps(context)
            if json:
                show.as_json(listed.sumps)
            else:
                show.listing(sump_table(listed))
        else:
            show.reply(figures.set_sump(context, ask), sump_recorded, json_wanted=json)


@command(
    "reading",
    "stores figure reading compression 88 71 --wet 92,90 --barometer 1005",
    'stores figure reading "charging voltage" "7.2 V" --after',
    "stores figure reading",
)
def reading(
    ctx: typer.Context,
    subject: Annotated[
        str,
        typer.Argument(metavar="SUBJECT", help="What was measured; without it, all are listed."),
    ] = "",
    values: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="READING", help="One for each cylinder or place: 88psi.", show_default=False
        ),
    ] = None,
    wet: Annotated[
        str, option("--wet", "READINGS", "Compression with oil in the bore; - where not done.")
    ] = "",
    after: Annotated[bool, typer.Option("--after", help="After the work; else before.")] = False,
    unit: Annotated[str, option("--unit", "UNIT", "Of bare readings; compression: psi.")] = "",
    barometer: Annotated[
        str, option("--barometer", "HPA", "The day's pressure where the machine stands.")
    ] = "",
    note: Annotated[
        str, typer.Option("--note", "-n", help="Warm, throttle open, which tool.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what was measured before and after the work; list both side by side."""
    from stores.usecases import figures
    from stores.wording.figures import reading_table, readings_taken

    typed = list(values or [])
    refuse_options(typed)
    with asked(ctx, machine, on) as context:
        if subject.strip() or typed or wet:
            ask = figures.TakeReadings(subject, typed, wet, after, unit, barometer, note)
            taken = figures.take_readings(context, ask)
            show.reply(taken, readings_taken, json_wanted=json)
            return
        listed = figures.readings(context)
    if json:
        show.as_json(listed.readings)
    else:
        show.listing(reading_table(listed))


@command(
    "torque",
    'stores figure torque 7.2 "25 N m" oiled --from "book p. 41"',
    'stores figure torque 7.2 "18 to 20 lbf ft"',
    "stores figure torque 7.2",
    takes_minus=True,
)
def torque(
    ctx: typer.Context,
    what: What,
    figure: Annotated[
        str,
        typer.Argument(metavar="FIGURE", help='The maker\'s: "25 N m"; without it, what is known.'),
    ] = "",
    state: Annotated[
        str, typer.Argument(metavar="STATE", help="What the book says: dry, oiled.")
    ] = "",
    source: Annotated[str, option("--from", "TEXT", "Where it is printed.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record the maker's torque of a joint, or show what is known of it.

    The maker's figure always wins; a computed one is shown beside it.
    """
    from stores.usecases import figures
    from stores.wording.figures import torque_known, torque_recorded

    refuse_options([what, figure, state])
    with asked(ctx, machine, on) as context:
        if figure.strip() or source:
            ask = figures.SetTorque(what, figure, state, source)
            show.reply(figures.set_torque(context, ask), torque_recorded, json_wanted=json)
        else:
            show.reply(figures.torque_of(context, what), torque_known, json_wanted=json)


@command(
    "joint",
    'stores figure joint 7 "8 on 120"',
    'stores figure joint 7 "12=M6x45 3 6=M6x65 9" --order "3 1 4 2"',
    "stores figure joint 7 --pdf order.pdf --card holes.pdf",
)
def joint(
    ctx: typer.Context,
    what: What,
    holes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="HOLES",
            help='As in "stores reckon order": "8 on 120", clock positions, places; without '
            "them, what is recorded.",
            show_default=False,
        ),
    ] = None,
    order: Annotated[str, option("--order", "ORDER", "The maker's own order: 3 1 4 2.")] = "",
    source: Annotated[str, option("--from", "TEXT", "Where it is printed.")] = "",
    pdf: Annotated[str, option("--pdf", "FILE", "A card of the order and the passes.")] = "",
    card: Annotated[
        str,
        option("--card", "FILE", "A hole card to push the bolts through, full size if it fits."),
    ] = "",
    paper: Annotated[
        str,
        option("--paper", "SIZE", "Of the cards: A4 or Letter; of the order also A5, as usual."),
    ] = "",
    shown: Open = False,
    page: Annotated[
        str, typer.Option("--page", metavar="SIZE", hidden=True, help="--paper of the hole card.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record where the holes of a step's joint are; show how it is tightened.

    The checklist then shows its picture, the order and the passes.
    """
    from stores.usecases.figures import SetJoint, joint_of, set_joint
    from stores.wording.figures import joint_known, joint_recorded

    refuse_options([what, *(holes or [])])
    ask = None
    if holes or order or source:
        ask = SetJoint(what, " ".join(holes or []), order, source)
    cards: list[tuple[str, Printed]] = []
    with asked(ctx, machine, on) as context:
        if pdf or card or not ask:
            known = joint_of(context, what, ask)
            # Before it is recorded: of a card that cannot be drawn nothing is.
            cards = _joint_cards(known, pdf, card, paper, page)
        if ask:
            recorded = set_joint(context, ask)
    if json:
        reply = recorded if ask else known
        files = {
            "files": [str(each.path.absolute()) for _, each in cards],
            "warnings": [warning for _, each in cards for warning in each.warnings],
        }
        show.as_json(show.plain(reply) | files if cards else reply)
    elif ask:
        show.reply(recorded, joint_recorded, json_wanted=False)
    elif not cards:
        show.reply(known, joint_known, json_wanted=False)
    for words, printed in cards:
        if not json:
            show.say(words)
            show_file(printed, json_wanted=False, data={})
        if shown:
            typer.launch(str(printed.path.absolute()))


def _joint_cards(
    known: "JointKnown", pdf: str, card: str, paper: str, page: str
) -> "list[tuple[str, Printed]]":
    """Write the cards that are wanted of a joint; return each with what to say of it.

    Of both, A5 is meant for the order's alone. ``page`` is what the paper of the hole card was
    called before.
    """
    if not pdf and not card:
        return []
    from stores.printing.paper import card_paper

    of_order = card_paper(paper or "A5").name
    of_holes = page or ("" if pdf and of_order == "A5" else paper)
    from stores.printing.joint_card import Heading, write_hole_card, write_tightening_card

    title = f"Step {known.step}: {known.part}"
    cards: list[tuple[str, Printed]] = []
    if pdf:
        heading = Heading(title, date=today())
        printed = write_tightening_card(known.plan, file_at(pdf), heading, of_order)
        count = plural(len(known.holes), "hole")
        cards.append((f"Card of {count} on one sheet of {of_order}", printed))
    if card:
        heading = Heading(title, known.machine, known.bag, today(), known.goes_in)
        printed = write_hole_card(known.plan, file_at(card), heading, of_holes)
        words = "Print at 100 %, not 'fit to page', on stiff card; check the 50 mm scale."
        cards.append((words, printed))
    return cards
