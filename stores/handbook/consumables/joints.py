"""Sealant, threadlocker and retaining compound: how much a joint takes.

Beads and gaps are geometry; what a thread's clearance holds follows from the limits of its
standard. No data sheet with millilitres per bolt was found: what is booked for one is an allowance
of ours, and says so.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, pi, radians, tan

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between, not_negative
from stores.handbook.thread import Thread
from stores.handbook.thread.model import Limits

__all__ = [
    "DROP_ML",
    "NOZZLE",
    "bead",
    "bead_length",
    "film",
    "retaining",
    "square_joint",
    "square_joint_length",
    "thread_gap",
    "threadlocker",
    "threadlocker_allowance",
]

NOZZLE = Fraction(10, 100)
"""What stays in the nozzle and is laid too thick, of the bead (common practice)."""

DROP_ML = Fraction(5, 100)
"""A drop, ml: about 20 to the millilitre (from memory)."""

_TIMES = 4
"""Times the whole gap of a thread that is booked: the rest squeezes out (our allowance)."""

_ENGAGED = 0.8
"""Engagement of a nut, in diameters: about the height of a hexagon nut (ISO 4032)."""

_NUT_OVER_BOLT = 1.3
"""Tolerance of the nut's pitch diameter over the bolt's: ASME B1.1 has 1.3 for 2B over 2A."""

_LONGEST_MM = 100_000.0
_SEALANT = (
    "joint faces clean, dry and flat; the maker's sheet for gap, cure and what it touches",
    "skin sensitiser: gloves; ventilate; the maker's safety sheet comes first",
)
_ANAEROBIC = (
    "brakes, steering and wheels: only where the machine's maker says so; a second person checks",
    "wet compound lowers friction: the torque of the dry thread is then too much",
    "skin sensitiser: gloves; the maker's safety sheet comes first",
)


def _section(bead_mm: float) -> float:
    return pi / 4 * float(above_zero("bead", bead_mm, "mm", 50.0)) ** 2


def bead(bead_mm: float, length_mm: float, holes: int = 0, loop_mm: float = 0.0) -> Answer:
    """Return the sealant in a round bead, with a loop round each hole, ml.

    The high end has 10 % more for the nozzle and for beads laid too thick.

    Args:
        bead_mm: diameter of the bead [mm], up to 50.
        length_mm: outline that the bead follows [mm].
        holes: holes with a loop of bead round them.
        loop_mm: diameter of a loop, on its middle [mm].

    A square millimetre over a metre is a millilitre; 3 mm round over 640 mm is 4.52:

    >>> round(bead(3, 640).value, 2)
    4.52
    """
    between("holes", holes, "", 0, 1000)
    above_zero("outline", length_mm, "mm", _LONGEST_MM)
    if holes:
        above_zero("loop", loop_mm, "mm", 500.0)
    run = length_mm + holes * pi * loop_mm
    ml = _section(bead_mm) * run / 1000
    taken = [f"a round bead, {run:.0f} mm in all", f"{100 * NOZZLE} % more for the nozzle"]
    if holes:
        taken.insert(1, f"{holes} loops of {loop_mm:g} mm")
    return Answer("sealant", ml, "ml", ml, ml * float(1 + NOZZLE), "how thick the bead is laid",
                  tuple(taken), ("bead-geometry", "practice"), _SEALANT)  # fmt: skip


def bead_length(pack_ml: float, bead_mm: float) -> Answer:
    """Return how far a pack goes as a round bead, m; the low end leaves 10 % in the nozzle.

    Args:
        pack_ml: what the pack holds [ml].
        bead_mm: diameter of the bead [mm], up to 50.

    >>> round(bead_length(80, 3).value, 2)
    11.32
    """
    above_zero("pack", pack_ml, "ml", 100_000.0)
    metres = pack_ml / _section(bead_mm)
    return Answer("length of bead", metres, "m", metres / float(1 + NOZZLE), metres,
                  "how thick the bead is laid", ("a round bead of one thickness",),
                  ("bead-geometry", "practice"), _SEALANT)  # fmt: skip


def square_joint(width_mm: float, depth_mm: float, length_mm: float) -> Answer:
    """Return the sealant in a joint of square or oblong section, ml.

    Args:
        width_mm: width [mm].
        depth_mm: depth [mm].
        length_mm: length [mm].

    >>> square_joint(6, 6, 1000).value
    36.0
    """
    above_zero("width", width_mm, "mm", 200.0)
    above_zero("depth", depth_mm, "mm", 200.0)
    above_zero("length", length_mm, "mm", _LONGEST_MM)
    ml = width_mm * depth_mm * length_mm / 1000
    return Answer("sealant", ml, "ml", ml, ml * float(1 + NOZZLE), "how full the joint is",
                  ("the joint is filled, and no more",), ("square-joint", "practice"),
                  _SEALANT)  # fmt: skip


def square_joint_length(pack_ml: float, width_mm: float, depth_mm: float) -> Answer:
    """Return how far a pack goes in a joint of square or oblong section, m.

    Args:
        pack_ml: what the pack holds [ml].
        width_mm: width [mm].
        depth_mm: depth [mm].

    >>> square_joint_length(360, 6, 6).value
    10.0
    """
    above_zero("pack", pack_ml, "ml", 100_000.0)
    above_zero("width", width_mm, "mm", 200.0)
    above_zero("depth", depth_mm, "mm", 200.0)
    metres = pack_ml / (width_mm * depth_mm)
    return Answer(
        "length of joint", metres, "m", metres / float(1 + NOZZLE), metres, "how full the joint is",
        ("the joint is filled, and no more",
         "texts differ: two pages agree, a third prints twice as much for a 1/4 in joint "
         "and is wrong"),
        ("square-joint", "practice"), _SEALANT,
    )  # fmt: skip


def film(area_cm2: float, gap_mm: float) -> Answer:
    """Return the flange sealant in a film between two faces, ml.

    Args:
        area_cm2: area of the joint face, holes left out [cm2].
        gap_mm: gap between the faces [mm], up to 5.

    >>> film(100, 0.1).value
    1.0
    """
    above_zero("area", area_cm2, "cm2", 1e6)
    above_zero("gap", gap_mm, "mm", 5.0)
    ml = area_cm2 * gap_mm / 10
    return Answer("flange sealant", ml, "ml", ml, ml * float(1 + NOZZLE), "the gap",
                  ("one gap all over; what squeezes out is not counted",),
                  ("bead-geometry", "practice"), (*_SEALANT, *_ANAEROBIC[:1]))  # fmt: skip


def retaining(diameter_mm: float, width_mm: float, gap_mm: float) -> Answer:
    """Return the retaining compound in the gap round a bush or bearing, ml: pi D B c/2.

    Args:
        diameter_mm: diameter of the fit [mm].
        width_mm: its length [mm].
        gap_mm: clearance on diameter [mm], up to 1.

    >>> round(retaining(47, 14, 0.03).value, 3)
    0.031
    """
    above_zero("diameter", diameter_mm, "mm", 500.0)
    above_zero("width", width_mm, "mm", 500.0)
    above_zero("gap", gap_mm, "mm", 1.0)
    ml = pi * diameter_mm * width_mm * gap_mm / 2 / 1000
    return Answer(
        "retaining compound to fill the gap", ml, "ml", ml, 4 * ml, "the clearance",
        ("clearance on diameter, the same all round", "up to four times as much: the rest "
                                                      "wipes off",
         f"a drop is about {float(DROP_ML):g} ml"),
        ("gap-geometry", "allowance-own"),
        ("no cure for a worn bore: the gap has to be within the limit of its sheet",
         "keep it out of the bearing; apart again by heat only", *_ANAEROBIC),
    )  # fmt: skip


_Ends = tuple[float, float, float]  # pitch diameter, crest and root, mm


def _section_mm2(ends: _Ends, pitch: float, slope: float) -> float:
    """Return the mean area of circle inside a thread's profile, mm2, over a pitch (Simpson's rule).

    The profile is the flank through the pitch diameter, cut off at crest and root. Between the
    corners the area is a parabola of the place along the axis, so that the rule is exact.
    """
    middle, outer, inner = (each / 2 for each in ends)
    top = min(max(pitch / 4 - (outer - middle) / slope, 0.0), pitch / 2)
    foot = min(max(pitch / 4 + (middle - inner) / slope, top), pitch / 2)

    def area(at: float) -> float:
        return float(pi * min(max(middle + (pitch / 4 - at) * slope, inner), outer) ** 2)

    total = 0.0
    for start, end in ((0.0, top), (top, foot), (foot, pitch / 2)):
        total += (end - start) / 6 * (area(start) + 4 * area((start + end) / 2) + area(end))
    return total / (pitch / 2)


def _limits(thread: Thread) -> tuple[tuple[Limits, ...], tuple[Limits, ...], list[str]]:
    """Return pitch diameter, crest and root of nut and bolt between their limits."""
    pitch_of_bolt, crest_of_bolt = (
        thread.external_pitch_limits_mm,
        thread.external_major_limits_mm,
    )
    taken = []
    root_of_bolt = thread.external_minor_limits_mm
    if root_of_bolt is None:
        below = thread.pitch_diameter_mm - thread.root_mm
        root_of_bolt = Limits(pitch_of_bolt.min_mm - below, pitch_of_bolt.max_mm - below, "", True)
        taken.append("the bolt's root follows its pitch diameter: its standard does not limit it")
    pitch_of_nut = thread.internal_pitch_limits_mm
    basic = thread.pitch_diameter_mm
    if pitch_of_nut is None:
        wide = _NUT_OVER_BOLT * (pitch_of_bolt.max_mm - pitch_of_bolt.min_mm)
        pitch_of_nut = Limits(basic, basic + wide, "", True)
        taken.append("the nut's tolerance is taken as 1.3 of the bolt's")
    bore = thread.internal_minor_limits_mm
    if bore is None:
        bore = Limits(thread.minor_mm, thread.minor_mm + 0.2 * thread.pitch_mm, "", True)
        taken.append("the nut's bore is taken as up to a fifth of the pitch over the basic one")
    rise = thread.major_mm - basic
    root_of_nut = Limits(pitch_of_nut.min_mm + rise, pitch_of_nut.max_mm + rise, "", True)
    return (pitch_of_nut, root_of_nut, bore), (pitch_of_bolt, crest_of_bolt, root_of_bolt), taken


def thread_gap(thread: Thread, engaged_mm: float | None = None) -> Answer:
    """Return the whole gap between bolt and nut of a thread, with crests and roots, mm3.

    The value is at the middle of the limits, the range between tightest and slackest: metric 6H and
    6g (ISO 965-1), BSW and BSF medium, BA normal, Unified 2A. Bolt and nut concentric. The nut's
    root, which no standard limits, is taken to follow its pitch diameter.

    Args:
        thread: the thread.
        engaged_mm: length of engagement [mm]; 0.8 of the diameter where it is not said.

    An M8 nut on its bolt holds about 16 mm3:

    >>> from stores.handbook.thread import get
    >>> round(thread_gap(get("M8")).value)
    16
    """
    length = _ENGAGED * thread.major_mm if engaged_mm is None else engaged_mm
    above_zero("engagement", length, "mm", 500.0)
    nut, bolt, taken = _limits(thread)
    pitch, slope = thread.pitch_mm, 1 / tan(radians(thread.form.flank_angle_deg / 2))

    def gap(of_nut: _Ends, of_bolt: _Ends) -> float:
        inside = _section_mm2(of_nut, pitch, slope) - _section_mm2(of_bolt, pitch, slope)
        return max(0.0, inside * length)

    def ends(limits: tuple[Limits, ...], part: float) -> _Ends:
        one, two, three = (each.min_mm + part * (each.max_mm - each.min_mm) for each in limits)
        return one, two, three

    low = gap(ends(nut, 0.0), ends(bolt, 1.0))
    high = gap(ends(nut, 1.0), ends(bolt, 0.0))
    middle = gap(ends(nut, 0.5), ends(bolt, 0.5))
    said = f"{length:g} mm engaged" + (", 0.8 of the diameter" if engaged_mm is None else "")
    return Answer(
        f"gap in the thread of {thread.designation}", middle, "mm3", min(low, middle),
        max(high, middle), "where bolt and nut lie in their tolerance",
        (said, "a nut and bolt of the standard, neither plated nor worn", *taken),
        ("thread-gap",), _ANAEROBIC,
    )  # fmt: skip


def threadlocker_allowance(thread: Thread, engaged_mm: float | None = None) -> Answer:
    """Return what to book for one thread, ml: four times the whole gap, up to the next drop.

    Our allowance: no data sheet with a figure was found. The low end is the gap itself.

    Args:
        thread: the thread.
        engaged_mm: length of engagement [mm]; 0.8 of the diameter where it is not said.

    >>> from stores.handbook.thread import get
    >>> threadlocker_allowance(get("M8")).value
    0.1
    """
    gap = thread_gap(thread, engaged_mm)
    drops = ceil(_TIMES * gap.value / 1000 / float(DROP_ML) - 1e-9)
    booked = float(max(1, drops) * DROP_ML)
    return Answer(
        f"threadlocker for one {thread.designation}", booked, "ml", min(gap.value / 1000, booked),
        max(booked, gap.high / 1000), "how much squeezes out",
        (*gap.assumptions, "four times the gap, rounded up to a drop of 0.05 ml: our allowance, "
         "no data sheet's figure"), ("thread-gap", "allowance-own"), _ANAEROBIC,
    )  # fmt: skip


def threadlocker(threads: Sequence[tuple[Thread, int]]) -> Answer:
    """Return the threadlocker for a job, ml: so many of each thread by their allowance.

    Args:
        threads: each thread with how many of it.

    24 M6 at 0.05, 16 M8 at 0.10 and 6 M10 at 0.15:

    >>> from stores.handbook.thread import get
    >>> round(threadlocker([(get("M6"), 24), (get("M8"), 16), (get("M10"), 6)]).value, 2)
    3.7
    """
    if not threads:
        raise BadValue("threadlocker for which threads? Say how many of what size")
    total = low = 0.0
    taken = []
    for thread, count in threads:
        not_negative("how many", count, "", 10_000)
        one = threadlocker_allowance(thread)
        total += count * one.value
        low += count * one.low
        taken.append(f"{thread.designation}: {count} at {one.value:.2f} ml")
    return Answer(
        "threadlocker", total, "ml", low, max(total, low), "how much squeezes out",
        (*taken, "engaged 0.8 of the diameter",
         "four times the gap of the thread, rounded up to a drop: our allowance, no data "
         "sheet's figure"),
        ("thread-gap", "allowance-own"), _ANAEROBIC,
    )  # fmt: skip
