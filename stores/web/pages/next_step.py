"""What goes on next: one step, with where each piece is and how tight it goes."""

from starlette.responses import Response

from stores.errors import PrintError
from stores.model.work_units import chosen
from stores.planning.assembling import Role
from stores.planning.status import BlockerKind
from stores.usecases.figures import joint_of
from stores.usecases.next_step import OneStep, step_at_hand
from stores.web.pages import Page
from stores.web.visit import Visit, path_to
from stores.wording.rebuild import state_of, torque_words

__all__ = ["PAGES"]

PICTURES = ((48.0, 42.0), (60.0, 52.0), (80.0, 70.0), (120.0, 105.0), (200.0, 175.0))
"""Widths and heights in mm of a tightening picture: the smallest that the joint fits is shown, for
on a phone its figures are then the largest."""


def next_step(visit: Visit) -> Response:
    """Show one step: the one asked for, else the first that is begun or ready."""
    at_hand = step_at_hand(visit.context(), OneStep(visit.word("step"), visit.word("assembly")))
    stage = at_hand.stage
    if stage is None:
        return visit.page("all_on.html", at_hand=at_hand)
    number = stage.step.number
    to = path_to("/next", step=number, machine=at_hand.machine)
    visit.looking_at(f"step {number}: {stage.step.part}", to)
    scanned = visit.word("bag").strip().upper()
    return visit.page(
        "next_step.html",
        at_hand=at_hand,
        stage=stage,
        state=state_of(stage),
        waits=[each for each in stage.status.blockers if each.kind is not BlockerKind.STEP],
        torques={line.item.ref: torque_words(line.tight) for line in stage.lines if line.tight},
        unit=chosen().torque,
        scanned=scanned,
        right_bag=scanned in at_hand.bags,
        second=stage.safety and not stage.notes.signed(Role.SECOND),
        signed=stage.notes.signatures,
    )


def tightening_picture(visit: Visit) -> Response:
    """Show the holes of a step's joint, each with its turn, as on its card."""
    from stores.printing.draw import measure
    from stores.printing.joint_field import joint_picture
    from stores.printing.svg import svg

    joint = joint_of(visit.context(), visit.part("step"))
    words = f"Order of tightening, step {joint.step}: {', '.join(map(str, joint.order))}"
    for size in PICTURES:
        try:
            boxes = joint_picture(joint.plan, *size, measure)
        except PrintError:
            if size == PICTURES[-1]:
                raise
        else:
            break
    return Response(svg(boxes, *size, measure, words), media_type="image/svg+xml")


PAGES = (Page("/next", next_step), Page("/joint/{step:int}.svg", tightening_picture))
