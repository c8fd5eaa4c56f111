"""Trying a known nut: whether a nut of one thread goes on a bolt of another.

A wrong pitch or flank angle takes up effective diameter: over the engaged length L a pitch error of
p takes 2 p / (2 tan(a/2)) = p cot(a/2), a half-angle error what its flanks need. BS 919 and the
handbooks print the same as 1.921 (Whitworth), 1.732 (60 degrees) and 2.273 (BA) times the pitch
error, and 0.0105, 0.0098 to 0.0109 and 0.0091 p a degree (memory); here they come from the form.
"""

from math import erf, radians, sin, sqrt, tan

from stores.handbook.identify.catalogue import bore_limits
from stores.handbook.thread import Limits, Series, Thread

__all__ = ["angle_equivalent_mm", "goes_on", "pitch_factor"]

# Depth over which the flanks are straight, in pitches: depth of the form less both roundings, which
# are r (1 - sin(a/2)) deep; r of Whitworth 0.137329 p, BA 0.18083 p, cycle p/6. The ISO and Unified
# forms bear over 5/8 H.
_STRAIGHT = {55.0: 0.640327 - 2 * 0.137329 * (1 - sin(radians(27.5))), 60.0: 0.541266,
             47.5: 0.6 - 2 * 0.18083 * (1 - sin(radians(23.75)))}  # fmt: skip

_NUT_HEIGHT = 0.8
"""Height of a nut in diameters (common practice: ISO 4032 is 0.8 to 0.9)."""

_DOUBT = 0.03
"""Chance that dirt, burrs or a worn nut mislead (assumption)."""


def pitch_factor(angle_deg: float) -> float:
    """Give the effective diameter that an error of pitch takes up, per mm of error over the nut."""
    return 1 / tan(radians(angle_deg / 2))


def angle_equivalent_mm(pitch_mm: float, angle_deg: float, other_deg: float) -> float:
    """Give the effective diameter that flanks of another angle take up, mm."""
    both = abs(angle_deg - other_deg)  # the sum of two half-angle errors
    straight = _STRAIGHT.get(angle_deg, 0.541266)
    return straight * pitch_mm * radians(both) / sin(radians(angle_deg))


def goes_on(nut: Thread, bolt: Thread, bolt_major_mm: float | None = None) -> float:
    """Give the chance that a nut of one thread goes on a bolt of another by hand, all the way.

    Sizes are taken from the middle of the limits and spread over them; ``bolt_major_mm`` is the
    bolt's outside diameter where it was measured.
    """
    pitches = _NUT_HEIGHT * nut.major_mm / nut.pitch_mm
    taken = pitch_factor(nut.flank_angle_deg) * pitches * abs(nut.pitch_mm - bolt.pitch_mm)
    taken += angle_equivalent_mm(nut.pitch_mm, nut.flank_angle_deg, bolt.flank_angle_deg)
    inside, outside = _nut_pitch(nut), bolt.external_pitch_limits_mm
    chance = _clears(inside, outside, taken)
    major = bolt.external_major_limits_mm
    if bolt_major_mm is not None:
        major = Limits(bolt_major_mm - 0.03, bolt_major_mm + 0.03, "measured")
    # A tap cuts the major diameter of the nut a little over basic.
    chance *= _clears(Limits(nut.major_mm, nut.major_mm + 0.05 * nut.pitch_mm, "tap"), major)
    root = bolt.major_mm - bolt.form.root * bolt.pitch_mm
    tolerance = outside.max_mm - outside.min_mm
    top = root - (bolt.major_mm - bolt.external_major_limits_mm.max_mm)
    chance *= _clears(bore_limits(nut), Limits(top - tolerance, top, "root"))
    return _DOUBT + (1 - 2 * _DOUBT) * chance


def _nut_pitch(nut: Thread) -> Limits:
    limits = nut.internal_pitch_limits_mm
    if limits is not None:
        return limits
    low, high = nut.external_pitch_limits_mm
    basic = nut.pitch_diameter_mm
    # ASME B1.1 gives a class 2B nut 1.3 times the tolerance of the 2A bolt (memory); cycle and G as
    # a substitute.
    share = 1.3 if nut.series is not Series.G else 1.0
    return Limits(basic, basic + share * (high - low), "1.3 times the bolt's tolerance", True)


def _clears(inside: Limits, outside: Limits, taken: float = 0.0) -> float:
    gap = (inside.min_mm + inside.max_mm - outside.min_mm - outside.max_mm) / 2 - taken
    spread = ((inside.max_mm - inside.min_mm) ** 2 + (outside.max_mm - outside.min_mm) ** 2) / 12
    return 0.5 * (1 + erf(gap / sqrt(2 * (spread + 0.005**2))))
