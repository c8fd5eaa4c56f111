"""Joints with recorded holes: how each is tightened, with the torque of the step it belongs to."""

from collections.abc import Iterable

from stores.errors import NotationError
from stores.handbook.fastener import parse
from stores.handbook.tightening.order import Plan, plan_joint
from stores.handbook.tightening.reading import read_joint
from stores.model.items import Item
from stores.planning.figures import JointHoles
from stores.planning.tightness import threaded

__all__ = ["joint_plan", "passes_line", "what_goes_in"]


def joint_plan(joint: JointHoles, torque_nm: float | None = None) -> Plan:
    """Give the plan of a joint: its order, the maker's where one was recorded, and its passes."""
    return plan_joint(read_joint(joint.holes), torque_nm, maker_order=joint.order)


def what_goes_in(plan: Plan, items: Iterable[Item]) -> dict[int, str]:
    """Give what goes into each hole in full, where the record leaves no doubt.

    A hole whose size is that of one thing tightened in the step gets that thing's description; so
    does a hole without a size, where there is only one.
    """
    things = {item.as_specified.text for item in items if threaded(item.as_specified)}
    found = {}
    for number, hole in plan.joint.by_number.items():
        fitting = [text for text in things if not hole.length or _same(hole.length, text)]
        if len(fitting) == 1:
            found[number] = fitting[0]
    return found


def _same(written: str, text: str) -> bool:
    """Tell whether a size written beside a hole, ``M6x45`` or ``45``, is of this thing."""
    try:
        thing = parse(text)
        size = parse(written)
    except NotationError:
        return False
    if size.thread is None:
        return thing.length_mm is not None and written.strip() == f"{thing.length_mm:g}"
    return size.thread == thing.thread and size.length_mm in (None, thing.length_mm)


def passes_line(plan: Plan) -> str:
    """Say the passes in a line: ``by hand; 30 % 7 N m; 60 % 14 N m; 100 % 24 N m; again``."""
    said = ["all by hand"]
    for stage in plan.stages[1:-1]:
        said.append(f"{stage.per_cent} %" + (f" {stage.torque}" if stage.torque else ""))
    said.append(plan.stages[-1].what)
    return "; ".join(said)
