"""Which gives way first: the bolt, its thread, or the thread it is screwed into."""

from dataclasses import dataclass
from math import isfinite, pi, radians, tan

from stores.errors import BadValue
from stores.handbook.answer import between
from stores.handbook.thread import Series, Thread
from stores.handbook.torque.grades import Grade
from stores.handbook.torque.metals import Material

__all__ = [
    "RUN_OUT_PITCHES",
    "SHEAR_OF_RM",
    "Stripping",
    "bolt_area_per_mm",
    "nut_area_per_mm",
    "stripping",
]

RUN_OUT_PITCHES = 2.0
"""Pitches of engagement that do not count: the first and the last turn (common practice)."""
SHEAR_OF_RM = 0.6
"""Shear strength of steel as a share of its tensile strength (handbook value)."""


def nut_area_per_mm(
    crest_mm: float, effective_mm: float, pitch_mm: float, angle_deg: float = 60.0
) -> float:
    """Give the area of a nut's thread in shear per mm of engagement, mm2/mm.

    The bolt's crests cut it: ``crest_mm`` is the smallest major diameter of the bolt,
    ``effective_mm`` the largest effective diameter of the nut. FED-STD-H28/2:
    pi d (1/2 + tan(angle/2) (d - D2)/P). Zero where the flanks do not meet.
    """
    return _area_per_mm(crest_mm, crest_mm - effective_mm, pitch_mm, angle_deg)


def bolt_area_per_mm(
    bore_mm: float, effective_mm: float, pitch_mm: float, angle_deg: float = 60.0
) -> float:
    """Give the area of a bolt's thread in shear per mm of engagement, mm2/mm.

    The nut's crests cut it: ``bore_mm`` is the largest minor diameter of the nut, ``effective_mm``
    the smallest effective diameter of the bolt. FED-STD-H28/2:
    pi D1 (1/2 + tan(angle/2) (d2 - D1)/P).
    """
    return _area_per_mm(bore_mm, effective_mm - bore_mm, pitch_mm, angle_deg)


def _area_per_mm(at_mm: float, overlap_mm: float, pitch_mm: float, angle_deg: float) -> float:
    width = 0.5 + tan(radians(angle_deg / 2)) * overlap_mm / pitch_mm
    return pi * at_mm * max(0.0, min(width, 1.0))


@dataclass(frozen=True, slots=True)
class Stripping:
    """Loads, N, at which each part of a threaded joint gives way; areas per mm of engagement.

    ``effective_mm`` is the engagement that counts, ``needed_mm`` the whole engagement at which the
    bolt breaks before either thread strips. ``first`` is what gives way first. Loads of the threads
    are None when the engagement is not known.
    """

    hole_area_mm: float
    bolt_area_mm: float
    effective_mm: float | None
    hole_strips_n: float | None
    bolt_strips_n: float | None
    bolt_breaks_n: float
    needed_mm: float
    first: str
    assumptions: tuple[str, ...]

    @property
    def bolt_first(self) -> bool | None:
        """Whether the bolt breaks before a thread strips; None when that is not known."""
        if self.hole_strips_n is None or self.bolt_strips_n is None:
            return None
        return self.bolt_breaks_n <= min(self.hole_strips_n, self.bolt_strips_n)


def _diameters(thread: Thread) -> tuple[float, float, float, float, tuple[str, ...]]:
    """Give smallest bolt crest, largest nut effective, largest nut bore, smallest bolt effective.

    Where a standard prints no limit of the nut, a Unified nut's tolerance is 1.3 of the bolt's
    (ASME B1.1 class 2B), any other nut is taken as loose as its bolt.
    """
    told: list[str] = []
    crest = thread.external_major_limits_mm
    bolt = thread.external_pitch_limits_mm
    nut, bore = thread.internal_pitch_limits_mm, thread.internal_minor_limits_mm
    if nut is None:
        spread = bolt.max_mm - bolt.min_mm
        unified = thread.series in (Series.UNC, Series.UNF, Series.UNEF)
        nut_effective = thread.pitch_diameter_mm + (1.3 if unified else 1.0) * spread
        told.append(
            f"effective diameter of the nut up to {nut_effective:.3f} mm: "
            + ("1.3 of the bolt's tolerance (ASME B1.1)" if unified else "none in print, assumed")
        )
    else:
        nut_effective = nut.max_mm
    if bore is None:
        nut_bore = thread.minor_mm + 0.25 * thread.pitch_mm
        told.append("bore of the nut a quarter pitch over basic: none in print, assumed")
    else:
        nut_bore = bore.max_mm
    told.append(f"limits of the bolt: {crest.source}")
    return crest.min_mm, nut_effective, nut_bore, bolt.min_mm, tuple(told)


def stripping(
    thread: Thread,
    grade: Grade,
    hole: Material,
    engagement_mm: float | None = None,
    *,
    bolt_length_mm: float | None = None,
    run_out_pitches: float = RUN_OUT_PITCHES,
) -> Stripping:
    """Give what each part carries with so much thread in mesh, and which gives way first.

    Loosest fit that the standard allows. ``engagement_mm`` is the whole length in the hole; the
    first and last turns are taken off. Nothing is added for the hole opening under load, and
    nothing for a chamfer. Raises `BadValue` for an engagement that is longer than the bolt, than
    five diameters, or that leaves no full turn, and for a run-out outside 0 to 10 pitches.
    """
    between("run-out", run_out_pitches, "pitches", 0, 10)
    crest, nut_effective, nut_bore, bolt_effective, told = _diameters(thread)
    pitch, angle = thread.pitch_mm, thread.flank_angle_deg
    in_hole = nut_area_per_mm(crest, nut_effective, pitch, angle)
    on_bolt = bolt_area_per_mm(nut_bore, bolt_effective, pitch, angle)
    breaks = grade.breaking_n(thread)
    bolt_shear = SHEAR_OF_RM * grade.rm_mpa
    run_out = run_out_pitches * pitch
    needed = max(breaks / (hole.shear_mpa * in_hole), breaks / (bolt_shear * on_bolt)) + run_out
    told += (
        f"{hole.name}: shear strength {hole.shear_mpa:g} MPa",
        f"bolt: shear strength {SHEAR_OF_RM:g} of {grade.rm_mpa:g} MPa",
        f"{run_out_pitches:g} pitches of run-out do not count (common practice)",
    )
    if engagement_mm is None:
        return Stripping(
            in_hole, on_bolt, None, None, None, breaks, needed,
            "not known: engagement not given", told,
        )  # fmt: skip
    _check(thread, engagement_mm, bolt_length_mm, run_out)
    length = engagement_mm - run_out
    strips = {
        f"thread in the {hole.name} strips": hole.shear_mpa * in_hole * length,
        "thread of the bolt strips": bolt_shear * on_bolt * length,
        "bolt breaks": breaks,
    }
    first = min(strips, key=lambda what: strips[what])
    hole_n, bolt_n, _ = strips.values()
    return Stripping(in_hole, on_bolt, length, hole_n, bolt_n, breaks, needed, first, told)


def _check(thread: Thread, engaged: float, bolt_length: float | None, run_out: float) -> None:
    if not (isfinite(engaged) and engaged > 0):
        raise BadValue(f"engagement {engaged:g} mm: expected more than 0")
    if bolt_length is not None and engaged > bolt_length:
        raise BadValue(
            f"engagement {engaged:g} mm is longer than the bolt, {bolt_length:g} mm",
        )
    if engaged > 5 * thread.major_mm:
        raise BadValue(
            f"engagement {engaged:g} mm on {thread}: over five diameters: is it the bolt's length?"
        )
    if engaged <= run_out:
        raise BadValue(
            f"engagement {engaged:g} mm on {thread}: no full turn is left when the first and the "
            f"last are taken off ({run_out:g} mm)"
        )
