"""Putting a damaged thread right: drills, the next size up, wire inserts, length of engagement.

Plain geometry and workshop rules. Where a joint can hurt someone (brakes, steering, suspension,
lifting, anything under pressure) the maker's figure and the maker's repair come first.
"""

from dataclasses import dataclass
from functools import cache

from stores.errors import BadValue, NotFound
from stores.handbook.table import table
from stores.handbook.thread import Series, Thread, all_threads
from stores.handbook.thread.drills import stock_drill_mm
from stores.handbook.thread.model import ISO, UNIFIED

__all__ = [
    "Engagement",
    "InsertHole",
    "Oversize",
    "engagement",
    "engagement_materials",
    "holds_a_part",
    "insert_hole",
    "oversizes",
    "stock_drill_mm",
]


@dataclass(frozen=True, slots=True)
class Oversize:
    """A larger thread that cleans out a stripped hole.

    ``drill_mm`` is its tapping drill, ``same_pitch`` whether the old pitch is kept, ``wall_mm`` the
    metal taken from the wall all round, measured at the new major diameter.
    """

    thread: Thread
    drill_mm: float
    same_pitch: bool
    wall_mm: float


@dataclass(frozen=True, slots=True)
class InsertHole:
    """The tapped hole for a wire thread insert, mm: what the insert maker's own tap cuts."""

    thread: Thread
    minor_mm: float
    pitch_diameter_mm: float
    major_mm: float
    drill_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class Engagement:
    """Least length of full thread in mesh, mm, by a rule of thumb."""

    length_mm: float
    rule: str
    source: str


def oversizes(
    thread: Thread, *, hole_mm: float | None = None, any_series: bool = False, count: int = 4
) -> tuple[Oversize, ...]:
    """Return the next threads up whose tapping drill removes a stripped thread, least metal first.

    A thread cleans the hole out when its tapping drill is no smaller than the old major diameter,
    or than ``hole_mm`` where the hole has been measured. Of equal diameters the old pitch comes
    first. Only the same series, unless ``any_series``; never outside first and second choice
    metric sizes unless the old thread is.

    Args:
        thread: the stripped one.
        hole_mm: the hole as measured [mm].
        any_series: of other series too.
        count: at most so many.

    >>> from stores.handbook.thread import get
    >>> [each.thread.designation for each in oversizes(get("M8"), count=2)]
    ['M10x1.25', 'M10']
    """
    bore = thread.major_mm if hole_mm is None else hole_mm
    if bore <= 0:
        raise BadValue(f"hole {bore:g} mm: expected more than 0")
    found = []
    for other in all_threads():
        if other.series is not thread.series and not any_series:
            continue
        if other.series is Series.G and thread.series is not Series.G:
            continue
        if other.series is Series.METRIC and (other.choice or 3) > 2 and thread.choice in (1, 2):
            continue
        if other.major_mm <= thread.major_mm or other.tapping_drill_mm < bore - 1e-6:
            continue
        same = abs(other.pitch_mm - thread.pitch_mm) < 1e-6
        wall = (other.major_mm - bore) / 2
        found.append(Oversize(other, other.tapping_drill_mm, same, wall))
    found.sort(
        key=lambda o: (
            round(o.thread.major_mm, 3),
            not o.same_pitch,
            abs(o.thread.pitch_mm - thread.pitch_mm),
        )
    )
    return tuple(found[:count])


def insert_hole(thread: Thread) -> InsertHole:
    """Return the hole for a wire insert that restores ``thread``.

    The wire is a rhombus and carries the same thread inside and out. The pitch diameter of the hole
    lies as far outside the nominal d as that of the nominal thread lies inside: d + 0.6495 P; so
    the major diameter is d + 1.2990 P and the bore d + 0.2165 P (H/4). Cut with the insert maker's
    tap; his drill table comes first. The drill given is the first stock size not under the bore.

    ISO and Unified only: raises `BadValue` for other forms, whose inserts follow the maker's table.

    8 + 1.2990 x 1.25 and 8 + 0.2165 x 1.25 mm:

    >>> from stores.handbook.thread import get
    >>> hole = insert_hole(get("M8"))
    >>> round(hole.major_mm, 2), round(hole.minor_mm, 2)
    (9.62, 8.27)
    """
    if thread.form not in (ISO, UNIFIED):
        raise BadValue(
            f"{thread}: no published insert geometry for this form, use the insert maker's table"
        )
    d, p = thread.major_mm, thread.pitch_mm
    bore = d + (2 * ISO.effective - ISO.minor) * p
    return InsertHole(
        thread,
        bore,
        d + ISO.effective * p,
        d + 2 * ISO.effective * p,
        stock_drill_mm(bore, not_under=True),
        "DIN 8140-2, ASME B18.29.1 and B18.29.2M (memory)",
    )


def engagement_materials() -> tuple[str, ...]:
    """Return the materials `engagement` has a rule for."""
    return tuple(row["material"] for row in table("threads_engagement"))


_BOLTS_TURNS = 20.0
"""Diameter over pitch up to which a thread is a bolt's: M20 x 1 has 20, a bottom bracket 33."""


def holds_a_part(thread: Thread) -> bool:
    """Return whether a thread is a pipe's, or holds a whole part: no length of engagement is asked
    of it by the diameter.

    >>> from stores.handbook.thread import get
    >>> holds_a_part(get("M20x1")), holds_a_part(get("G1/2"))
    (False, True)
    """
    if thread.series is Series.G:
        return True
    return thread.major_mm / thread.pitch_mm > _BOLTS_TURNS + 1e-9


def engagement(thread: Thread, material: str) -> Engagement:
    """Return the least length of full thread for a bolt of ordinary strength in a tapped material.

    Common practice, not a standard: multiples of the bolt's diameter, so the bolt breaks before
    the thread strips. Raises `NotFound` for a material with no rule.

    One and a half diameters in cast iron, common practice:

    >>> from stores.handbook.thread import get
    >>> engagement(get("M8"), "cast iron").length_mm
    12.0
    """
    rules = _engagement_rules()
    if material not in rules:
        raise NotFound(f"no engagement rule for {material!r}; there is one for: {', '.join(rules)}")
    multiple, extra, source = rules[material]
    rule = f"{multiple:g} d" + (f" + {extra:g} mm" if extra else "")
    return Engagement(multiple * thread.major_mm + extra, f"{rule} (common practice)", source)


@cache
def _engagement_rules() -> dict[str, tuple[float, float, str]]:
    return {
        row["material"]: (float(row["multiple_of_d"]), float(row["extra_mm"]), row["source"])
        for row in table("threads_engagement")
    }
