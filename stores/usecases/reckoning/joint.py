"""The tightening order of a joint, as it is typed."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple, Self

from stores.usecases.reckoning import (
    DRAWN,
    _nm,
)

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan

__all__ = ["PlacedHole", "ReckonOrder", "TighteningOrder", "TighteningPass", "order"]


@dataclass(frozen=True, slots=True)
class PlacedHole:
    """A hole of a joint, its place in mm, and what goes in."""

    hole: int
    x_mm: float
    y_mm: float
    goes_in: str


@dataclass(frozen=True, slots=True)
class TighteningPass:
    """One pass over all holes, in this order; the share of the torque is None where no wrench is
    set."""

    what: str
    per_cent: int | None
    torque_nm: float | None
    holes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TighteningOrder:
    """In what order and passes a joint is tightened, and loosened; ``plan`` is to be drawn."""

    torque_nm: float | None
    order: tuple[int, ...]
    loosen: tuple[int, ...]
    holes: tuple[PlacedHole, ...]
    passes: tuple[TighteningPass, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    plan: "Plan" = field(repr=False, metadata=DRAWN)

    @classmethod
    def of(cls, plan: "Plan", **more: Any) -> Self:
        """Return a joint's plan as plain facts; ``more`` are the fields of a subclass."""
        from stores.handbook.tightening.order import cite

        return cls(
            torque_nm=plan.torque_nm,
            order=tuple(plan.order.holes),
            loosen=tuple(plan.loosening),
            holes=tuple(
                PlacedHole(hole.number, hole.x_mm, hole.y_mm, hole.length)
                for hole in plan.joint.by_number.values()
            ),
            passes=tuple(
                TighteningPass(stage.what, stage.per_cent, stage.torque_nm, tuple(stage.holes))
                for stage in plan.stages
            ),
            assumptions=tuple(plan.assumptions),
            sources=tuple(cite(key) for key in plan.sources),
            cautions=tuple(plan.cautions),
            plan=plan,
            **more,
        )


class ReckonOrder(NamedTuple):
    """A joint's holes, ``8 on 120``, its final torque, the maker's order, other passes by key."""

    holes: str
    torque: str = ""
    maker: str = ""
    passes: str = ""


def order(ask: ReckonOrder) -> TighteningOrder:
    """Return the order and passes in which a joint is tightened.

    Raises:
        NotationError, BadValue: holes, an order or a torque that cannot be.
    """
    from stores.handbook.tightening.order import plan_joint
    from stores.handbook.tightening.reading import read_joint

    final = _nm(ask.torque)
    if final is not None:  # 10 lbf ft is set as 13.56 N m: no wrench has more figures
        final = float(f"{final:.4g}")
    joint = read_joint(ask.holes)
    return TighteningOrder.of(plan_joint(joint, final, maker_order=ask.maker, passes=ask.passes))
