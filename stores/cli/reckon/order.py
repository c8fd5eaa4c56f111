"""The order in which the bolts of a cover or head are tightened, and in which passes."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, file_at, refuse_options
from stores.cli.printed import Open, show_file, today
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import amount, cautions, row
from stores.text import plural

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan

__all__ = ["plan_data", "print_card", "show_plan"]


@command(
    "order",
    'stores reckon order "8 on 120" --torque 24',
    'stores reckon order "12=M6x45 2 4=M6x65 6:30 9 10:30" --torque "9 N m"',
    'stores reckon order "2 x 5 at 80 x 45" --torque 32 --pdf head.pdf',
    group=reckon_commands,
)
def order(
    holes: Annotated[
        list[str],
        typer.Argument(
            metavar="HOLES",
            help='"8 on 120", a bolt circle; "5 in row at 40"; "2 x 5 at 80 x 45"; clock '
            'positions "12 2 4 6:30 9"; places in mm "0,0 45,0 90,12"; what goes in: 12=M6x45.',
        ),
    ],
    torque: Annotated[
        str, typer.Option("--torque", metavar="FIGURE", help="Final torque: 24, 18lbf ft.")
    ] = "",
    maker: Annotated[
        str, typer.Option("--maker", metavar="ORDER", help="The maker's own order: 3 1 4 2.")
    ] = "",
    passes: Annotated[
        str,
        typer.Option("--passes", metavar="KEY", help="Other passes; an unknown key lists them."),
    ] = "",
    pdf: Annotated[str, typer.Option("--pdf", metavar="FILE", help="A card of the joint.")] = "",
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="A5 or A4.")] = "A5",
    shown: Open = False,
    json: AsJson = False,
) -> None:
    """Tightening order and passes: crosswise round a circle, else from the middle outwards.

    The maker's order, torque and passes come first.
    """
    from stores.handbook.tightening.order import plan_joint
    from stores.handbook.tightening.reading import read_joint

    refuse_options(holes)
    # 10 lbf ft is set as 13.56 N m: no wrench has more figures.
    final = float(f"{amount(torque, units.Kind.TORQUE, 'N m'):.4g}") if torque else None
    plan = plan_joint(read_joint(" ".join(holes)), final, maker_order=maker, passes=passes)
    if pdf:
        print_card(plan, pdf, paper=paper, json_wanted=json, shown=shown)
    elif json:
        show.as_json(plan_data(plan))
    else:
        show_plan(plan)


def show_plan(plan: "Plan") -> None:
    """Show a joint: the picture, the passes, the order with what goes in each hole."""
    from stores.handbook.answer import cite
    from stores.handbook.tightening.picture import LEGEND, order_list, picture

    for line in picture(plan):
        show.say(line)
    show.paragraph(LEGEND, first="  ", rest="  ")
    show.say()
    listed = order_list(plan)
    if plan.joint.with_lengths:
        texts = [f"{turn}. h{hole} {length}".rstrip() for turn, hole, length in listed]
        row("order", "; ".join(texts))
    else:
        row("order", " ".join(f"h{hole}" for _, hole, _ in listed))
    for at, stage in enumerate(plan.stages, 1):
        share = "" if stage.per_cent is None else f"{stage.per_cent} %: "
        row(f"pass {at}", f"{share}{stage.torque + ', ' if stage.torque else ''}{stage.what}")
    if plan.torque_nm is None:
        row("", "say --torque to have the passes in N m")
    row("assuming", "; ".join(plan.assumptions))
    row("source", "; ".join(cite(key) for key in plan.sources))
    cautions(plan.cautions)


def plan_data(plan: "Plan") -> dict[str, Any]:
    """Give a joint for another program."""
    from stores.handbook.answer import cite

    return {
        "order": list(plan.order.holes),
        "loosen": list(plan.loosening),
        "holes": [
            {"hole": h.number, "x_mm": h.x_mm, "y_mm": h.y_mm, "with": h.length}
            for h in plan.joint.by_number.values()
        ],
        "passes": [
            {
                "what": stage.what,
                "per_cent": stage.per_cent,
                "torque_nm": stage.torque_nm,
                "holes": list(stage.holes),
            }
            for stage in plan.stages
        ],
        "assumptions": list(plan.assumptions),
        "sources": [cite(key) for key in plan.sources],
        "cautions": list(plan.cautions),
    }


def print_card(
    plan: "Plan",
    pdf: str,
    *,
    title: str = "",
    paper: str = "A5",
    json_wanted: bool = False,
    shown: bool = False,
) -> None:
    """Write the card of a joint as PDF and say where."""
    from stores.printing.joint_card import Heading, write_tightening_card

    printed = write_tightening_card(plan, file_at(pdf), Heading(title, date=today()), paper)
    if not json_wanted:
        show.say(f"Card of {plural(len(plan.joint.holes), 'hole')} on one sheet of {paper.upper()}")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={})
