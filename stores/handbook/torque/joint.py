"""The torque of a bolted joint: every element that may limit it, by VDI 2230.

What bears under the head: the ring between the bearing face and the hole.

Which gives way first: the bolt, its thread, or the thread it is screwed into.

Short rules: the nut factor, a changed state of lubrication, a wrench with an extension.

Scatter of preload: what a way of tightening leaves, and what settles afterwards.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite, pi, radians, tan
from types import MappingProxyType

from stores.errors import BadValue, NotFound
from stores.handbook.answer import above_zero, between
from stores.handbook.table import table
from stores.handbook.thread import Series, Thread
from stores.handbook.torque.answer import GENERAL, Limit, Range, Tightening
from stores.handbook.torque.formulas import (
    UTILISATION,
    Method,
    coefficient_mm,
    preload_at_yield,
    stress_mpa,
)
from stores.handbook.torque.grades import (
    Friction,
    Grade,
    Material,
    find_grade,
    friction,
    material,
    nut_proof_n,
)

__all__ = [
    "ASSUMED_ENGAGEMENT",
    "HEADS",
    "HOLES",
    "RUN_OUT_PITCHES",
    "SHEAR_OF_RM",
    "STRIP_SAFETY",
    "Bearing",
    "Stripping",
    "bearing",
    "bolt_area_per_mm",
    "nut_area_per_mm",
    "stripping",
    "tighten",
    "wrench_setting",
]


HEADS = ("hex", "socket cap", "nut")

HOLES = ("fine", "medium", "coarse")

_FACE_OF_FLATS = 0.9

_HOLE_OF_D = 1.1


@dataclass(frozen=True, slots=True)
class Bearing:
    """The face that turns on the part: outside ``face_mm``, inside ``hole_mm``."""

    face_mm: float
    hole_mm: float
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def mean_mm(self) -> float:
        """Mean friction diameter, mm: D_Km = (d_w + d_h)/2 of VDI 2230."""
        return (self.face_mm + self.hole_mm) / 2

    @property
    def area_mm2(self) -> float:
        """Area that carries the preload, mm2."""
        return pi / 4 * (self.face_mm**2 - self.hole_mm**2)


@cache
def _rows() -> dict[str, MappingProxyType[str, str]]:
    return {row["thread"]: row for row in table("torque_heads")}


def bearing(
    thread: Thread,
    head: str = "hex",
    *,
    flats_mm: float | None = None,
    face_mm: float | None = None,
    hole_mm: float | None = None,
    hole: str = "medium",
) -> Bearing:
    """Return the bearing face of a head or nut on its hole.

    ``face_mm`` (washer or flange) and ``hole_mm`` are taken as measured. Else a metric hexagon or
    socket cap head has the face of ISO 4014 or ISO 4762 and the hole of ISO 273; ``flats_mm`` says
    that the flats differ (older DIN heads). Other heads are taken from their flats: those given,
    or the smallest hexagon on record for the thread: it takes the least torque. A nut's
    face is that of the hexagon.

    Raises `BadValue` for a head or hole unknown, a face no larger than its hole, and
    `NotFound` when nothing on record gives the face.

    Args:
        thread: the bolt's.
        head: one of `HEADS`.
        flats_mm: across flats as measured [mm].
        face_mm: diameter of the washer face or flange [mm].
        hole_mm: diameter of the hole [mm].
        hole: fine, medium or coarse, where it was not measured.

    ISO 4014 has a face of 11.63 mm at least for M8, ISO 273 medium a hole of 9 mm:

    >>> from stores.handbook.thread import get
    >>> ring = bearing(get("M8"))
    >>> ring.face_mm, ring.hole_mm
    (11.63, 9.0)
    """
    if head not in HEADS:
        raise BadValue(f"no head {head!r}: known are {', '.join(HEADS)}; or give the face in mm")
    if hole not in HOLES:
        raise BadValue(f"no hole {hole!r}: ISO 273 has {', '.join(HOLES)}; or give it in mm")
    for what, value in (("flats", flats_mm), ("face", face_mm), ("hole", hole_mm)):
        if value is not None and not (isfinite(value) and 0 < value <= 10 * thread.major_mm):
            raise BadValue(
                f"{what} {value:g} mm: expected above 0, up to {10 * thread.major_mm:g} on {thread}"
            )
    told: list[str] = []
    keys: list[str] = []
    row = _rows().get(thread.size) if thread.series is Series.METRIC else None
    face = face_mm if face_mm is not None else _face(thread, head, flats_mm, row, told, keys)
    if face_mm is not None or hole_mm is not None:
        keys.append("given")
    if hole_mm is None:
        if row:
            hole_mm = float(row[f"hole_{hole}_mm"])
            told.append(f"hole {hole_mm:g} mm, ISO 273 {hole}")
            keys.append("iso273")
        else:
            hole_mm = _HOLE_OF_D * thread.major_mm
            told.append(f"hole {hole_mm:.3g} mm: {_HOLE_OF_D:g} of the diameter")
            keys.append("hole-rule")
    if hole_mm < 0.95 * thread.major_mm:
        raise BadValue(f"hole {hole_mm:g} mm: {thread} does not go through it")
    if face <= hole_mm:
        raise BadValue(
            f"face {face:.4g} mm on a hole of {hole_mm:.4g} mm: the head rests on nothing"
        )
    return Bearing(face, hole_mm, tuple(told), tuple(dict.fromkeys(keys)))


def _face(
    thread: Thread,
    head: str,
    flats_mm: float | None,
    row: MappingProxyType[str, str] | None,
    told: list[str],
    keys: list[str],
) -> float:
    column = "dw_socket_mm" if head == "socket cap" else "dw_hex_mm"
    usual = row and (flats_mm is None or abs(flats_mm - float(row["flats_mm"])) < 0.01)
    if row and usual and row[column]:
        name = "ISO 4762" if head == "socket cap" else "ISO 4014"
        told.append(f"bearing face {row[column]} mm, the smallest of {name}")
        keys.append("iso4014")
        return float(row[column])
    if flats_mm is None:
        flats = [s.af_mm for s in thread.spanners if s.part in ("hexagon", "hexagon head")]
        if head == "socket cap" or not flats:
            raise NotFound(f"no bearing face on record for a {head} head on {thread}: give it")
        flats_mm = min(flats)
        if max(flats) - flats_mm > 0.01:
            told.append(
                f"the smaller of the hexagons on record, {flats_mm:.4g} mm across flats (the "
                f"larger is {max(flats):.4g}): it takes less torque; --flats says which it is"
            )
    told.append(f"bearing face {_FACE_OF_FLATS * flats_mm:.4g} mm: 0.9 of flats {flats_mm:.4g} mm")
    keys.append("flats-rule")
    return _FACE_OF_FLATS * flats_mm


RUN_OUT_PITCHES = 2.0

"""Pitches of engagement that do not count: the first and the last turn (common practice)."""

SHEAR_OF_RM = 0.6

"""Shear strength of steel as a share of its tensile strength (handbook value)."""


def nut_area_per_mm(
    crest_mm: float, effective_mm: float, pitch_mm: float, angle_deg: float = 60.0
) -> float:
    """Return the area of a nut's thread in shear per mm of engagement, mm2/mm.

    The bolt's crests cut it: ``crest_mm`` is the smallest major diameter of the bolt,
    ``effective_mm`` the largest effective diameter of the nut. FED-STD-H28/2:
    pi d (1/2 + tan(angle/2) (d - D2)/P). Zero where the flanks do not meet.

    Args:
        crest_mm: smallest major diameter of the bolt [mm].
        effective_mm: largest effective diameter of the nut [mm].
        pitch_mm: pitch [mm].
        angle_deg: flank angle, both flanks [degrees].

    pi x 8 x (1/2 + tan 30 x 0.812 / 1.25):

    >>> round(nut_area_per_mm(8, 7.188, 1.25), 2)
    21.99
    """
    return _area_per_mm(crest_mm, crest_mm - effective_mm, pitch_mm, angle_deg)


def bolt_area_per_mm(
    bore_mm: float, effective_mm: float, pitch_mm: float, angle_deg: float = 60.0
) -> float:
    """Return the area of a bolt's thread in shear per mm of engagement, mm2/mm.

    The nut's crests cut it: ``bore_mm`` is the largest minor diameter of the nut, ``effective_mm``
    the smallest effective diameter of the bolt. FED-STD-H28/2:
    pi D1 (1/2 + tan(angle/2) (d2 - D1)/P).

    Args:
        bore_mm: largest minor diameter of the nut [mm].
        effective_mm: smallest effective diameter of the bolt [mm].
        pitch_mm: pitch [mm].
        angle_deg: flank angle, both flanks [degrees].

    pi x 6.912 x (1/2 + tan 30 x 0.130 / 1.25):

    >>> round(bolt_area_per_mm(6.912, 7.042, 1.25), 2)
    12.16
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
    """Return smallest bolt crest, largest nut effective, largest nut bore, smallest bolt effective.

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
    """Return what each part carries with so much thread in mesh, and which gives way first.

    Loosest fit that the standard allows. ``engagement_mm`` is the whole length in the hole; the
    first and last turns are taken off. Nothing is added for the hole opening under load, and
    nothing for a chamfer. Raises `BadValue` for an engagement that is longer than the bolt, than
    five diameters, or that leaves no full turn, and for a run-out outside 0 to 10 pitches.

    Args:
        thread: of bolt and hole.
        grade: the bolt's strength.
        hole: what the hole is tapped in.
        engagement_mm: length of thread in the hole [mm].
        bolt_length_mm: the bolt's length under the head [mm].
        run_out_pitches: end of the bolt without full thread [pitches].

    In soft metal the metal gives way before a strong bolt does:

    >>> from stores.handbook.torque.grades import find_grade, material
    >>> from stores.handbook.thread import get
    >>> bolt = find_grade("8.8", get("M8"))
    >>> stripping(get("M8"), bolt, material("cast aluminium"), 16).first
    'thread in the cast aluminium strips'
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


ASSUMED_ENGAGEMENT = 1.5

"""Diameters of thread taken to be in a tapped hole where nobody said (common practice; the rule of
soft metal is 1.5 to 2)."""

SOFT_FRICTION = 0.12

"""Friction above which a soft screw is tightened no further: the torques of EN 28839 for CuZn37 are
those of 0.12 and the weaker strength of the standard, whatever the thread is like."""

STRIP_SAFETY = 1.5

"""Stripping load over the preload allowed on a tapped hole (common practice: an old
thread has been used before, and the strength of its metal is not known)."""


def tighten(
    thread: Thread,
    grade: str | Grade,
    state: str | float | Friction | None,
    *,
    head_state: str | float | Friction | None = None,
    head: str | Bearing = "hex",
    flats_mm: float | None = None,
    face_mm: float | None = None,
    hole_mm: float | None = None,
    hole: str = "medium",
    nut_class: str | None = None,
    into: str | Material | None = None,
    engagement_mm: float | None = None,
    bolt_length_mm: float | None = None,
    seat: str | Material | None = None,
    method: Method | str = Method.PRESENT,
    utilisation: float = UTILISATION,
    strip_safety: float = STRIP_SAFETY,
) -> Tightening:
    """Return the torque of a joint, slippery, usual and rough, and the element that limits it.

    ``grade`` is what is marked on the bolt (see `find_grade`; unknown is the weakest class).
    ``state`` is how thread and head face are, dry, oiled ... or a friction figure (`friction`); it
    must be said. ``head_state`` is for a face that differs from the thread. The nut is given by
    ``nut_class``, a tapped hole by ``into`` and ``engagement_mm``; ``seat`` is what the head bears
    on. ``utilisation`` is the share of the yield to use, 0.3 to 1.0.

    A tapped hole of unknown depth is taken as `ASSUMED_ENGAGEMENT` diameters deep.

    Raises `BadValue` for anything outside its range, with the reason.

    Args:
        thread: the bolt's.
        grade: what is marked on it.
        state: of thread and face, or their friction [1].
        head_state: of the face alone, where it differs, or its friction [1].
        head: one of `HEADS`, or its bearing face.
        flats_mm: across flats [mm].
        face_mm: diameter of the washer face [mm].
        hole_mm: diameter of the hole [mm].
        hole: fine, medium or coarse, where it was not measured.
        nut_class: property class of the nut.
        into: what a tapped hole is in.
        engagement_mm: length of thread in it [mm].
        bolt_length_mm: the bolt's length under the head [mm].
        seat: what the head bears on.
        method: how shank stress is reckoned.
        utilisation: share of the yield to use [1].
        strip_safety: share of what the thread strips at that is used [1].

    VDI 2230 table A1 has 24.6 N m and 18.6 kN for M8 of class 8.8 at friction 0.12:

    >>> from stores.handbook.thread import get
    >>> answer = tighten(get("M8"), "8.8", 0.12)
    >>> round(answer.value, 1), round(answer.preload_n.nominal, -2)
    (24.6, 18600.0)
    """
    strength = grade if isinstance(grade, Grade) else find_grade(grade, thread)
    rub = friction(state, stainless=strength.stainless)
    face_rub = rub if head_state is None else friction(head_state, stainless=strength.stainless)
    if method not in tuple(Method):
        raise BadValue(f"no method {str(method)!r}: known are {', '.join(Method)}")
    how = Method(method)
    if not (isfinite(utilisation) and 0.3 <= utilisation <= 1.0):
        raise BadValue(f"{utilisation:g} of the yield: expected 0.3 to 1")
    if not (isfinite(strip_safety) and 1.0 <= strip_safety <= 10.0):
        raise BadValue(f"safety against stripping {strip_safety:g}: expected 1 to 10")
    if bolt_length_mm is not None:
        above_zero("length of the bolt", bolt_length_mm, "mm", 3000)
    if nut_class is not None and into is not None:
        raise BadValue("a nut and a tapped hole both: give the one the bolt is screwed into")
    if into is None and engagement_mm is not None:
        raise BadValue("engagement without a material: say what the bolt is screwed into")
    ring = head if isinstance(head, Bearing) else bearing(
        thread, head, flats_mm=flats_mm, face_mm=face_mm, hole_mm=hole_mm, hole=hole
    )  # fmt: skip
    seat_of = None if seat is None else material(seat)
    strips, assumed = None, None
    if into is not None:
        if engagement_mm is None:
            assumed = ASSUMED_ENGAGEMENT * thread.major_mm
            engagement_mm = assumed if bolt_length_mm is None else min(assumed, bolt_length_mm)
            assumed = engagement_mm
        strips = stripping(
            thread, strength, material(into), engagement_mm, bolt_length_mm=bolt_length_mm
        )
    others = _others(thread, strength, nut_class, strips, ring, seat_of, strip_safety)
    arms = tuple(
        coefficient_mm(thread, mu, mu_head, ring.mean_mm)
        for mu, mu_head in zip(
            (rub.low, rub.nominal, rub.high),
            (face_rub.low, face_rub.nominal, face_rub.high),
            strict=True,
        )
    )
    ends = [
        min(
            preload_at_yield(thread, strength.yield_mpa, mu, how, utilisation),
            *(limit.preload_n for limit in others),
            float("inf"),
        )
        for mu in (rub.low, rub.nominal, rub.high)
    ]
    soft = _alloy_row(strength, thread)
    if strength.soft:
        caps = [
            _alloy_nm(strength, thread, ring, min(mu, SOFT_FRICTION), how, utilisation)
            for mu in (rub.low, rub.nominal, rub.high)
        ]
        ends = [min(end, 1000 * cap / arm) for end, cap, arm in zip(ends, caps, arms, strict=True)]
        why = f"{soft['tighten_nm']} N m, {soft['source']}" if soft else (
            f"its weaker strength in ISO 8839, {strength.weakest_mpa:g} MPa, at friction "
            f"{SOFT_FRICTION:g} at most (common practice)"
        )  # fmt: skip
        others = (*others, Limit(f"{strength} screw", 1000 * caps[1] / arms[1], why))
    torques = [force * arm / 1000 for force, arm in zip(ends, arms, strict=True)]
    torque = Range(min(torques), torques[1], max(torques))
    force = torque.nominal * 1000
    preload = Range(force / arms[2], force / arms[1], force / arms[0])
    if rub.low == rub.high and face_rub.low == face_rub.high:
        preload = Range(
            preload.nominal * (1 - rub.scatter),
            preload.nominal,
            preload.nominal * (1 + rub.scatter),
        )
    bolt = Limit(
        f"bolt at {100 * utilisation:g} % of its yield",
        preload_at_yield(thread, strength.yield_mpa, rub.nominal, how, utilisation),
        f"{strength}: {strength.yield_kind} {strength.yield_mpa:g} MPa on "
        f"{thread.stress_area_mm2:.4g} mm2 with torsion",
    )
    limits = tuple(sorted((bolt, *others), key=lambda limit: limit.preload_n))
    worst = stress_mpa(thread, force / arms[0], rub.low, how) / strength.yield_mpa
    yields_at = preload_at_yield(thread, strength.yield_mpa, rub.low, how, 1.0)
    seat_mpa = min(preload.high, max(preload.nominal, yields_at)) / ring.area_mm2
    answer_seat = seat_of.pressure_mpa if seat_of else None
    return Tightening(
        thread=thread,
        grade=strength,
        friction=rub,
        head_friction=face_rub,
        bearing=ring,
        method=how,
        torque_nm=torque,
        preload_n=preload,
        worst_share=worst,
        yields_at_n=yields_at,
        limits=limits,
        seat_mpa=seat_mpa,
        seat_limit_mpa=answer_seat,
        stripping=strips,
        assumptions=_assumptions(
            strength, rub, face_rub, ring, how, nut_class, strips, seat_of, assumed
        ),
        sources=_sources(strength, rub, face_rub, ring, how, nut_class, strips, seat_of),
        cautions=_cautions(strength, rub, nut_class, strips, seat_mpa, seat_of, soft),
        assumed_mm=assumed,
        into="" if into is None else material(into).name,
        breaks_nm=float(soft["breaks_nm"]) if soft and soft["breaks_nm"] else None,
    )


def _alloy_row(strength: Grade, thread: Thread) -> Mapping[str, str] | None:
    """Return the printed torques of a small brass screw; CU3 is no stronger than CU2 in print."""
    name = {"CU3": "CU2"}.get(strength.name.split()[0], strength.name.split()[0])
    if not strength.soft or thread.series is not Series.METRIC or "x" in thread.designation:
        return None
    rows = (row for row in table("torque_alloys") if row["alloy"] == name)
    return next((row for row in rows if row["thread"] == thread.designation), None)


def _alloy_nm(
    strength: Grade, thread: Thread, ring: Bearing, mu: float, how: Method, utilisation: float
) -> float:
    """Return the most that a soft screw is tightened to, N m: what is printed, and less where the
    thread is slippery."""
    force = preload_at_yield(thread, strength.weakest_mpa, mu, how, utilisation)
    figure = force * coefficient_mm(thread, mu, mu, ring.mean_mm) / 1000
    row = _alloy_row(strength, thread)
    if row is None:
        return figure
    printed = float(row["tighten_nm"])
    return printed if mu >= SOFT_FRICTION else min(printed, figure)


def _others(
    thread: Thread,
    strength: Grade,
    nut_class: str | None,
    strips: Stripping | None,
    ring: Bearing,
    seat: Material | None,
    safety: float,
) -> tuple[Limit, ...]:
    found = []
    if nut_class is not None:
        load = nut_proof_n(thread, nut_class)
        found.append(
            Limit(
                f"nut class {_bare(nut_class)}", load, f"its proof load, {load:.0f} N (ISO 898-2)"
            )
        )
    if strips and strips.hole_strips_n is not None and strips.bolt_strips_n is not None:
        why = f"stripping load over {safety:g}"
        hole, bolt = strips.hole_strips_n / safety, strips.bolt_strips_n / safety
        found.append(Limit("thread in the hole", hole, why))
        found.append(Limit("thread of the bolt", bolt, why))
    if seat and seat.pressure_mpa is not None:
        load = seat.pressure_mpa * ring.area_mm2
        why = f"{seat.name} stands {seat.pressure_mpa:g} MPa"
        found.append(Limit("seat under the head", load, why))
    return tuple(found)


def _bare(nut_class: str) -> str:
    return nut_class.lower().replace("class", "").strip()


def _assumptions(
    strength: Grade,
    rub: Friction,
    face_rub: Friction,
    ring: Bearing,
    how: Method,
    nut_class: str | None,
    strips: Stripping | None,
    seat: Material | None,
    assumed_mm: float | None,
) -> tuple[str, ...]:
    told = [*strength.assumed, f"thread: {rub}"]
    if assumed_mm is not None:
        told.insert(0, f"{assumed_mm:.3g} mm of thread in the hole, 1.5 diameters at most")
    if face_rub is not rub:
        told.append(f"head: {face_rub}")
    told += ring.assumptions
    told.append(
        "torsion counted as fully plastic (VDI 2230 from 2001)"
        if how is Method.PRESENT
        else "torsion counted as elastic (VDI 2230 of 1986 and before)"
    )
    if strips:
        told += strips.assumptions
    elif nut_class is None:
        told.append("nut or hole at least as strong as the bolt: not checked")
    if seat is None:
        told.append("pressure under the head not checked: material of the part not given")
    elif seat.pressure_mpa is None:
        told.append(f"pressure that {seat.name} stands is unknown: not checked")
    return tuple(told)


def _sources(
    strength: Grade,
    rub: Friction,
    face_rub: Friction,
    ring: Bearing,
    how: Method,
    nut_class: str | None,
    strips: Stripping | None,
    seat: Material | None,
) -> tuple[str, ...]:
    keys = ["vdi2230" if how is Method.PRESENT else "vdi2230-1986", strength.key]
    keys += [*rub.sources, *face_rub.sources, *ring.sources]
    if nut_class is not None:
        keys.append("iso898-2")
    if strips:
        keys += ["fed-std-h28", "vdi2230-a9", "practice"]
    if seat:
        keys.append("vdi2230-a9")
    return tuple(dict.fromkeys(keys))


def _cautions(
    strength: Grade,
    rub: Friction,
    nut_class: str | None,
    strips: Stripping | None,
    seat_mpa: float,
    seat: Material | None,
    soft: Mapping[str, str] | None,
) -> tuple[str, ...]:
    told = [GENERAL]
    if strength.soft:
        told.append("Soft screw: it twists off without warning. Stop if it turns without biting.")
        if soft and soft["breaks_nm"]:
            told.append(
                f"Such a screw may break from {soft['breaks_nm']} N m on (ISO 8839, second-hand)."
            )
    if strength.unknown:
        told.append(f"Strength of the bolt not known: the weakest, {strength}, was taken.")
    if strength.note:
        told.append(f"{strength}: {strength.note}.")
    if "memory" in strength.source:
        told.append(f"{strength}: its strength is from memory, not from a page: doubtful.")
    if rub.note and not strength.soft:
        told.append(f"{rub.state}: {rub.note}.")
    if nut_class is not None and strength.system == "ISO 898-1":
        needed = strength.name.split(".")[0]
        if float(_bare(nut_class)) < float(needed):
            told.append(
                f"A nut of class {_bare(nut_class)} is weaker than a {strength.name} bolt: fit "
                f"class {needed} or above (ISO 898-2)."
            )
    if strips and strips.bolt_first is False:
        told.append(
            f"First to go: {strips.first}. For the bolt to break first it needs "
            f"{strips.needed_mm:.1f} mm of engagement."
        )
    if seat and seat.pressure_mpa and seat_mpa > seat.pressure_mpa:
        told.append(
            f"Pressure under the head up to {seat_mpa:.0f} MPa, {seat.name} stands "
            f"{seat.pressure_mpa:g}: hard washer."
        )
    return tuple(told)


def wrench_setting(wanted_nm: float, length_mm: float, adaptor_mm: float) -> float:
    """Return what to set, N m, with an adaptor straight out from the wrench: T L / (L + E).

    At a right angle to the wrench the setting is unchanged. Raises `BadValue` for a torque or a
    length not above 0, or over 10000.

    Args:
        wanted_nm: the torque at the bolt [N m].
        length_mm: of the wrench, middle of the handle to the drive [mm].
        adaptor_mm: of the adaptor, drive to the bolt [mm].

    100 x 400 / (400 + 100):

    >>> wrench_setting(100, 400, 100)
    80.0
    """
    above_zero("torque", wanted_nm, "N m", 10000)
    above_zero("wrench", length_mm, "mm", 10000)
    above_zero("adaptor", adaptor_mm, "mm", 10000)
    return wanted_nm * length_mm / (length_mm + adaptor_mm)
