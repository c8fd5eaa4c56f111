"""What the thread tables say of the sizes in a text."""

from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from stores import units
from stores.errors import NotationError
from stores.handbook.fastener.model import MM_PER_INCH, Fastener, Kind, Series

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = [
    "COARSE_PITCH",
    "PITCHES",
    "diameter_mm",
    "has_size",
    "inch_families",
    "size_value",
    "thread_of",
]

# ISO 261 first and second choice, coarse pitches; M1.7, M2.3, M2.6: old DIN 13 sizes.
COARSE_PITCH = {
    "M1": "0.25", "M1.1": "0.25", "M1.2": "0.25", "M1.4": "0.3", "M1.6": "0.35", "M1.7": "0.35",
    "M1.8": "0.35", "M2": "0.4", "M2.2": "0.45", "M2.3": "0.4", "M2.5": "0.45", "M2.6": "0.45",
    "M3": "0.5", "M3.5": "0.6", "M4": "0.7", "M4.5": "0.75", "M5": "0.8", "M6": "1", "M7": "1",
    "M8": "1.25", "M9": "1.25", "M10": "1.5", "M11": "1.5", "M12": "1.75", "M14": "2", "M16": "2",
    "M18": "2.5", "M20": "2.5", "M22": "2.5", "M24": "3", "M27": "3", "M30": "3.5", "M33": "3.5",
    "M36": "4", "M39": "4", "M42": "4.5", "M45": "4.5", "M48": "5", "M52": "5", "M56": "5.5",
    "M60": "5.5", "M64": "6",
}  # fmt: skip
# Pitches of ISO 261, all sizes.
PITCHES = frozenset(
    Fraction(p)
    for p in [
        "0.2", "0.25", "0.3", "0.35", "0.4", "0.45", "0.5", "0.6", "0.7", "0.75", "0.8", "1",
        "1.25", "1.5", "1.75", "2", "2.5", "3", "3.5", "4", "4.5", "5", "5.5", "6",
    ]
)  # fmt: skip
_TABLED = frozenset(("unc", "unf", "unef", "bsw", "bsf", "cycle"))
_ORDER = (Series.UNC, Series.UNF, Series.BSW, Series.BSF, Series.CYCLE, Series.UNEF)


def _find(series: str | None, size: str, pitch: str | None) -> "tuple[Thread, ...]":
    """Look in the tables; a size they cannot read is in none of them."""
    from stores.handbook.thread import find

    try:
        return find(series, size, pitch)
    except NotationError:
        return ()


@cache
def inch_families(size: str, tpi: str) -> tuple[Series, ...]:
    """Give the inch series that have this size with so many threads per inch."""
    found = {thread.series.value for thread in _find(None, size, tpi)}
    return tuple(series for series in _ORDER if series.value in found)


def has_size(series: Series, size: str) -> bool:
    """Tell whether the tables have this size in a series; True for a series without a table."""
    if series.value not in _TABLED:
        return True
    return bool(_find(series.value, size, None))


def thread_of(item: Fastener) -> "Thread | None":
    """Find the one thread in the tables that the fastener names, or None."""
    if not item.size or item.series is None:
        return None
    name = {Series.METRIC_FINE: "metric", Series.BSP: "g"}.get(item.series, item.series.value)
    found = _find(name, item.size, item.pitch_or_tpi or None)
    if len(found) > 1 and item.series is Series.METRIC and not item.pitch_or_tpi:
        found = _find(name, item.size, COARSE_PITCH.get(item.size))
    return found[0] if len(found) == 1 else None


# Number sizes of the Unified series: 0.060 in and 0.013 in for each number (ASME B1.1). Wood and
# tapping screw gauges use the same rule (BS 1210 rounds it).
def size_value(size: str) -> Fraction | None:
    """Give the nominal diameter in mm of a size text such as ``M6``, ``1/4``, ``#10``, ``6 mm``."""
    if not size:
        return None
    if size[0] in "MT":
        return units.value(size.lstrip("MTr"))
    if size[0] == "#":
        return (Fraction(60, 1000) + Fraction(13, 1000) * int(size[1:])) * MM_PER_INCH
    if size.endswith("BA"):
        return None
    if size.endswith(" mm"):
        return units.value(size.removesuffix(" mm"))
    return units.value(size.removesuffix(" in")) * MM_PER_INCH


def diameter_mm(item: Fastener) -> float | None:
    """Give the nominal diameter in mm: from the tables for BA and pipe threads, else the size."""
    if item.series in (Series.BA, Series.BSP, Series.BSPT):
        thread = thread_of(item)
        return thread.major_mm if thread else None
    if item.series is Series.NPT or (item.kind is Kind.TAPER_PIN and item.size[:1] == "#"):
        return None
    value = size_value(item.size)
    return None if value is None else float(value)
