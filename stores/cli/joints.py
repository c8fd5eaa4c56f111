"""Joints on record: where their holes are, how they are tightened, their cards."""

from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    command,
    day,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.printed import Open, show_file, today
from stores.cli.wording import What, option
from stores.errors import BadValue
from stores.storage.figures import maker_torques, read_joints
from stores.storage.items import items_of_step

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan
    from stores.model.items import Item

__all__: list[str] = []


@command(
    "joint",
    'stores joint 7 "8 on 120"',
    'stores joint 7 "12=M6x45 2 4=M6x65 6:30 9 10:30" --order "3 1 4 2 6 5"',
    "stores joint 7 --pdf order.pdf --card holes.pdf",
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
    paper: Annotated[str, option("--paper", "SIZE", "Of that card: A5 or A4.")] = "A5",
    card: Annotated[
        str,
        option("--card", "FILE", "A hole card to push the bolts through, full size if it fits."),
    ] = "",
    shown: Open = False,
    page: Annotated[str, option("--page", "SIZE", "Of the hole card: A4 or Letter.")] = "A4",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record where the holes of a step's joint are; show how it is tightened.

    The checklist then shows its picture, the order and the passes.
    """
    from stores import usecases
    from stores.cli.reckon.order import plan_data, print_card, show_plan

    refuse_options([what, *(holes or [])])
    if holes:
        with opened(ctx) as store:
            reply = usecases.set_joint(
                store,
                what,
                " ".join(holes),
                order=order,
                source=source,
                machine=machine,
                at=day(on),
            )
        show.done(reply, json_wanted=json)
        if not pdf and not card:
            return
    elif order or source:
        raise BadValue('--order and --from go with the holes: stores joint 7 "8 on 120"')
    plan, items, name = _joint_of(ctx, what, machine)
    step = items[0].step
    if pdf:
        print_card(
            plan,
            pdf,
            title=f"Step {step.number}: {step.part}",
            paper=paper,
            json_wanted=json,
            shown=shown,
        )
    if card:
        _print_hole_card(plan, items, name, card, page, json_wanted=json, shown=shown)
    if pdf or card:
        return
    if json:
        show.as_json({"step": step.number} | plan_data(plan))
        return
    show.say(f"Step {step.number}  {step.assembly}: {step.part}")
    show_plan(plan)


def _print_hole_card(
    plan: "Plan",
    items: "list[Item]",
    machine: str,
    card: str,
    page: str,
    *,
    json_wanted: bool,
    shown: bool,
) -> None:
    from stores.planning.holes import what_goes_in
    from stores.printing.joint_card import Heading, write_hole_card

    step = items[0].step
    bags = list(dict.fromkeys(code for item in items for code in item.bags))
    printed = write_hole_card(
        plan,
        file_at(card),
        Heading(
            f"Step {step.number}: {step.part}",
            machine,
            bags[0] if bags else "",
            today(),
            what_goes_in(plan, items),
        ),
        page,
    )
    if not json_wanted:
        show.say("Print at 100 %, not 'fit to page', on stiff card; check the 50 mm scale.")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={})


def _joint_of(ctx: typer.Context, what: str, machine: str | None) -> "tuple[Plan, list[Item], str]":
    """Give the plan of a step's joint, the step's items and the machine's name."""
    from stores.planning.rebuild import stages
    from stores.planning.status import status_of
    from stores.usecases.common import select
    from stores.usecases.figures import step_of

    with opened(ctx) as store, store.reading() as connection:
        chosen = select(connection, machine, what, empty=True)
        number = step_of(chosen)
        items = items_of_step(connection, chosen.machine.number, number)
        known = read_joints(connection, chosen.machine.number)
        torques = maker_torques(connection, [item.number for item in items])
    plan = stages(status_of(items), torques, known)[0].joint
    if plan is None:
        raise BadValue(f'no holes of step {number} are recorded: stores joint {number} "8 on 120"')
    return plan, items, chosen.machine.name
