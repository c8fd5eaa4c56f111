"""The calculators: what is typed in, a figure with its range, reasons and sources out.

They need no record and load no database: the asks are plain values, the figures the handbook's.
"""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from stores.handbook.leakage import TestVerdict
    from stores.handbook.tightening import Plan

__all__ = [
    "CompressionTest",
    "CylinderTested",
    "PlacedHole",
    "TighteningOrder",
    "TighteningPass",
    "compression_test",
]

DRAWN = {"drawn": True}
"""Marks a field of a reply that is there to be drawn from: a program is not given it."""


@dataclass(frozen=True, slots=True)
class CylinderTested:
    """What a compression test says of a cylinder; pressures on the gauge, kPa."""

    cylinder: int
    dry_kpa_gauge: float
    wet_kpa_gauge: float | None
    cause: str
    reason: str


@dataclass(frozen=True, slots=True)
class CompressionTest:
    """What a dry and a wet test say together; ``spread_percent`` is of the highest cylinder."""

    verdict: str
    spread_percent: float | None
    cylinders: tuple[CylinderTested, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


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
        from stores.handbook.tightening import cite

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


def compression_test(verdict: "TestVerdict") -> CompressionTest:
    """Return a compression test that was judged as plain facts."""
    from stores.handbook.answer import cite

    return CompressionTest(
        verdict.verdict,
        verdict.spread.value if verdict.spread else None,
        tuple(
            CylinderTested(
                each.number,
                each.dry.gauge_kpa,
                None if each.wet is None else each.wet.gauge_kpa,
                each.cause,
                each.reason,
            )
            for each in verdict.cylinders
        ),
        verdict.assumptions,
        tuple(cite(key) for key in verdict.sources),
        verdict.cautions,
    )
