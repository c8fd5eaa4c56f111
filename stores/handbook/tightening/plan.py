"""The whole answer for a joint: order, passes, what was taken for granted, sources, cautions."""

from dataclasses import dataclass

from stores.handbook.answer import cite
from stores.handbook.tightening.model import Joint
from stores.handbook.tightening.order import Order, Shape, makers_order, tightening_order
from stores.handbook.tightening.reading import read_order
from stores.handbook.tightening.stages import SMALL_NM, Procedure, Stage, procedure, stages

__all__ = ["GENERAL", "Plan", "cite", "plan_joint"]

GENERAL = (
    "The maker's order, torque and passes come first; some heads are tightened by angle, or again "
    "after the first run, as the book says."
)
_ALIKE = "Bring every bolt to one pass before the next begins."
_SETTLES = (
    "Gaskets settle: no bolt may turn in the last pass. Tighten again later only cold, and only "
    "where the maker allows it."
)
_LENGTHS = (
    "Lengths differ: push all bolts in before tightening any; each should stand out by the same. "
    "One too long bottoms or cracks the casting, one too short strips the thread."
)
_BACK = "Loosen in the reverse order, cold, a little each at first."


@dataclass(frozen=True, slots=True)
class Plan:
    """How to tighten a joint.

    ``torque_nm`` is the final torque, N m, None if none was given; ``sources`` are keys that
    `cite` spells out; ``cautions`` are to be shown once.
    """

    joint: Joint
    order: Order
    procedure: Procedure
    torque_nm: float | None
    stages: tuple[Stage, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def loosening(self) -> tuple[int, ...]:
        """Hole numbers in the order of loosening."""
        return self.order.loosening

    def turn_of(self, hole: int) -> int:
        """Give when a hole's turn comes, from 1."""
        return self.order.holes.index(hole) + 1


def plan_joint(
    joint: Joint, torque_nm: float | None = None, *, maker_order: str = "", passes: str = ""
) -> Plan:
    """Work out how to tighten a joint.

    ``torque_nm`` is the final torque, N m, above 0 and up to 5000. ``maker_order`` is the maker's
    own, ``3 1 4 2``, and always wins. ``passes`` is a key of `tightening_passes.csv`; without one
    the number of holes decides.

    Raises:
        BadValue: a torque out of range.
        NotationError: a maker's order that does not name every hole once.
        NotFound: no passes of that key.
    """
    if maker_order.strip():
        order = makers_order(joint, read_order(maker_order, len(joint.holes)))
    else:
        order = tightening_order(joint)
    how = procedure(len(joint.holes), passes)
    made = stages(order, how, torque_nm)
    taken = [joint.said, order.why]
    if order.shape is Shape.RING and not joint.to_scale:
        taken.append("only the directions of the holes are known")
    sources = [order.source, how.source]
    if not order.clockwise:
        sources.append("again-in-order")
    cautions = [GENERAL, _ALIKE, _SETTLES]
    if len({hole.length for hole in joint.holes}) > 1:
        cautions.insert(1, _LENGTHS)
    small = [stage for stage in made if stage.torque_nm is not None and stage.torque_nm < SMALL_NM]
    if small:
        cautions.append(
            f"{small[0].torque} is below what most torque wrenches measure: by feel and evenly."
        )
    cautions.append(_BACK)
    return Plan(
        joint,
        order,
        how,
        torque_nm,
        made,
        tuple(text for text in taken if text),
        tuple(dict.fromkeys(sources)),
        tuple(cautions),
    )
