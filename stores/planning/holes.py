"""Joints with recorded holes: how each is tightened, with the torque of the step it belongs to."""

from stores.core.tightening import Plan, plan_joint, read_joint
from stores.planning.figures import JointHoles

__all__ = ["joint_plan", "passes_line"]


def joint_plan(joint: JointHoles, torque_nm: float | None = None) -> Plan:
    """Give the plan of a joint: its order, the maker's where one was recorded, and its passes."""
    return plan_joint(read_joint(joint.holes), torque_nm, maker_order=joint.order)


def passes_line(plan: Plan) -> str:
    """Say the passes in a line: ``by hand; 30 % 7 N m; 60 % 14 N m; 100 % 24 N m; again``."""
    said = ["all by hand"]
    for stage in plan.stages[1:-1]:
        said.append(f"{stage.per_cent} %" + (f" {stage.torque}" if stage.torque else ""))
    said.append(plan.stages[-1].what)
    return "; ".join(said)
