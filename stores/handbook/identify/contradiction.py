"""Measurements that do not go together: one of them is of something else, or was read wrong."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stores.handbook.identify.model import Identification, Measurement
from stores.handbook.identify.weighing import identify

__all__ = ["Contradiction", "contradiction"]

FACTOR = 0.3
"""Below this the measurements speak against each other: together they are three times less likely
than if one were of another thread (assumption; for readings of one bolt it is far above 1)."""

_PARTS: dict[str, dict[str, object]] = {
    "diameter": {"outside_mm": None, "bore_mm": None},
    "pitch": {"gauge_mm": None, "gauge_tpi": None},
    "length over crests": {"over_mm": None},
    "size across flats": {"flats_mm": None, "flats_by_spanner": False},
    "flank angle": {"angle_deg": None},
}


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A measurement that does not go with the others.

    ``part`` is which, ``without`` what the others say, ``alone`` what it says by itself. With two
    measurements either may be the wrong one: ``other`` names the second then.
    """

    part: str
    without: Identification
    alone: Identification
    other: str = ""

    def __str__(self) -> str:
        rest = f"the {self.other} says" if self.other else "the rest says"
        said = f"the {self.part} does not go with the rest"
        if self.other:
            said = f"the {self.part} and the {self.other} do not go together"
        names = _names(self.without), _names(self.alone)
        again = f"the {self.part}" + (f" and the {self.other}" if self.other else "")
        return f"{said}: {rest} {names[0]}, the {self.part} alone {names[1]}. Measure {again} again"


def _names(found: Identification) -> str:
    listed = [match.thread.designation for match in found.matches[:2] if match.probability > 0.02]
    return " or ".join(listed) or "none of the tables"


def contradiction(
    measurement: Measurement, prior: Mapping[str, float] | str | None = None
) -> Contradiction | None:
    """Find the measurement that goes least with the others; None where all go together.

    Two sets of readings go together as far as they are likelier of one thread than of two drawn
    apart. Below `FACTOR` the one is named without which the others go together best. ``prior`` is
    as for `identify`.
    """
    parts = {name: empty for name, empty in _PARTS.items() if _has(measurement, name)}
    if len(parts) < 2:
        return None
    whole = identify(measurement, prior).evidence
    worst: tuple[float, Contradiction] | None = None
    for name, empty in parts.items():
        without = identify(_without(measurement, empty), prior)
        others = {key: value for other, cut in parts.items() if other != name
                  for key, value in cut.items()}  # fmt: skip
        alone = identify(_without(measurement, others), prior)
        apart = without.evidence * alone.evidence
        if whole < FACTOR * apart and (worst is None or apart > worst[0]):
            other = next(iter(parts.keys() - {name})) if len(parts) == 2 else ""
            worst = apart, Contradiction(name, without, alone, other)
    return worst[1] if worst else None


def _has(measurement: Measurement, part: str) -> bool:
    return any(getattr(measurement, name) is not None for name in _PARTS[part]
               if name != "flats_by_spanner")  # fmt: skip


def _without(measurement: Measurement, empty: dict[str, object]) -> Measurement:
    return replace(measurement, **empty)  # type: ignore[arg-type]
