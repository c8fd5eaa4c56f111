"""What goes on next: one step, with where each piece is and how tight it goes."""

from starlette.responses import Response

from stores.errors import Hint, NotFound, PrintError
from stores.model.work_units import chosen
from stores.planning.assembling import Role
from stores.planning.rebuild import Stage, next_of
from stores.planning.status import BlockerKind, State
from stores.usecases.figures import joint_of
from stores.usecases.rebuild import ListSteps, checklist
from stores.web.pages import Page
from stores.web.visit import Visit, path_to
from stores.wording.rebuild import state_of, torque_words

__all__ = ["PAGES"]

PICTURES = ((48.0, 42.0), (60.0, 52.0), (80.0, 70.0), (120.0, 105.0), (200.0, 175.0))
"""Widths and heights in mm of a tightening picture: the smallest that the joint fits is shown, for
on a phone its figures are then the largest."""


def next_step(visit: Visit) -> Response:
    """Show one step: the one asked for, else the first that is begun or ready."""
    asked = visit.word("step").strip()
    listed = checklist(visit.context(), ListSteps(visit.word("assembly"), everything=True))
    open_steps = [each for each in listed.stages if not each.finished]
    stage = _chosen(listed.stages, open_steps, asked)
    if stage is None:
        return visit.page("all_on.html", listed=listed)
    number = stage.step.number
    to = path_to("/next", step=number, machine=listed.machine)
    visit.looking_at(f"step {number}: {stage.step.part}", to)
    order = [each.step.number for each in open_steps]
    at = order.index(stage.step.number) if stage.step.number in order else -1
    scanned = visit.word("bag").strip().upper()
    return visit.page(
        "next_step.html",
        stage=stage,
        state=state_of(stage),
        waits=[each for each in stage.status.blockers if each.kind is not BlockerKind.STEP],
        torques={line.item.ref: torque_words(line.tight) for line in stage.lines if line.tight},
        unit=chosen().torque,
        scanned=scanned,
        right_bag=scanned in stage.bags,
        second=stage.safety and not stage.notes.signed(Role.SECOND),
        signed=stage.notes.signatures,
        before=order[at - 1] if at > 0 else None,
        after=order[at + 1] if 0 <= at < len(order) - 1 else None,
        ready=[each for each in open_steps if each.status.state is State.READY],
        left=len(open_steps),
        total=listed.total,
    )


def _chosen(stages: tuple[Stage, ...], open_steps: list[Stage], asked: str) -> Stage | None:
    if asked:
        for each in stages:
            if str(each.step.number) == asked:
                return each
        raise NotFound("no such step", step=asked, hint=Hint("history"))
    return next_of(open_steps)


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
