"""The lengths that the standards list for bolts, screws, pins and keys."""

from stores.errors import BadValue
from stores.handbook.table import table

__all__ = ["is_listed", "lengths", "step_up", "steps_about"]


def _listed() -> tuple[str, ...]:
    return tuple(row["standard"] for row in table("hardware_screw_lengths"))


def _same(one: str, other: str) -> bool:
    return "".join(one.split()).upper() == "".join(other.split()).upper()


def is_listed(standard: str) -> bool:
    """Tell whether the table has lengths of that standard."""
    return any(_same(standard, listed) for listed in _listed())


def lengths(standard: str) -> tuple[float, ...]:
    """Give the nominal lengths in mm that a standard lists, shortest first.

    Two standards may be joined: "ISO 4014 + ISO 4017". Raises `BadValue` when the table has no such
    standard.
    """
    found: set[float] = set()
    for name in standard.split("+"):
        row = next((r for r in table("hardware_screw_lengths") if _same(r["standard"], name)), None)
        if row is None:
            listed = ", ".join(_listed())
            raise BadValue(f"no lengths listed for {name.strip()!r}; there are: {listed}")
        found.update(float(length) for length in row["nominal_lengths_mm"].split())
    return tuple(sorted(found))


def step_up(standard: str, length_mm: float) -> float:
    """Give the next standard length in mm at or above a measured or wanted one.

    Raises `BadValue` above the longest.
    """
    for length in lengths(standard):
        if length >= length_mm - 1e-9:
            return length
    raise BadValue(f"{standard} lists no length of {length_mm:g} mm or more")


def steps_about(standard: str, length_mm: float) -> tuple[float, ...]:
    """Give the listed lengths next below and next above one in mm, the nearer first."""
    steps = lengths(standard)
    below = [step for step in steps if step <= length_mm][-1:]
    above = [step for step in steps if step > length_mm][:1]
    return tuple(sorted((*below, *above), key=lambda step: abs(step - length_mm)))
