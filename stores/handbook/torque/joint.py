"""The torque of a bolted joint: every element that may limit it, by VDI 2230."""

from math import isfinite

from stores.errors import BadValue
from stores.handbook.answer import above_zero
from stores.handbook.thread import Thread
from stores.handbook.torque.answer import GENERAL, Limit, Range, Tightening
from stores.handbook.torque.formulas import (
    UTILISATION,
    Method,
    coefficient_mm,
    preload_at_yield,
    stress_mpa,
)
from stores.handbook.torque.grades import Grade, find_grade
from stores.handbook.torque.heads import Bearing, bearing
from stores.handbook.torque.metals import Material, material, nut_proof_n
from stores.handbook.torque.shear import Stripping, stripping
from stores.handbook.torque.surfaces import Friction, friction

__all__ = ["STRIP_SAFETY", "tighten"]

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
    """Give the torque of a joint, low, nominal and high, and the element that limits it.

    ``grade`` is what is marked on the bolt (see `find_grade`; unknown is the weakest class).
    ``state`` is how thread and head face are, dry, oiled ... or a friction figure (`friction`); it
    must be said. ``head_state`` is for a face that differs from the thread. The nut is given by
    ``nut_class``, a tapped hole by ``into`` and ``engagement_mm``; ``seat`` is what the head bears
    on. ``utilisation`` is the share of the yield to use, 0.3 to 1.0.

    Raises `BadValue` for anything outside its range, with the reason.
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
    strips = None
    if into is not None:
        strips = stripping(
            thread, strength, material(into), engagement_mm, bolt_length_mm=bolt_length_mm
        )
    others = _others(thread, strength, nut_class, strips, ring, seat_of, strip_safety)
    ends = tuple(
        min(
            preload_at_yield(thread, strength.yield_mpa, mu, how, utilisation),
            *(limit.preload_n for limit in others),
            float("inf"),
        )
        for mu in (rub.low, rub.nominal, rub.high)
    )
    arms = tuple(
        coefficient_mm(thread, mu, mu_head, ring.mean_mm)
        for mu, mu_head in zip(
            (rub.low, rub.nominal, rub.high),
            (face_rub.low, face_rub.nominal, face_rub.high),
            strict=True,
        )
    )
    torques = [force * arm / 1000 for force, arm in zip(ends, arms, strict=True)]
    torque = Range(min(torques), torques[1], max(torques))
    force = torque.nominal * 1000
    preload = Range(force / arms[2], force / arms[1], force / arms[0])
    bolt = Limit(
        f"bolt at {100 * utilisation:g} % of its yield",
        preload_at_yield(thread, strength.yield_mpa, rub.nominal, how, utilisation),
        f"{strength}: {strength.yield_kind} {strength.yield_mpa:g} MPa on "
        f"{thread.stress_area_mm2:.4g} mm2 with torsion",
    )
    limits = tuple(sorted((bolt, *others), key=lambda limit: limit.preload_n))
    worst = stress_mpa(thread, preload.high, rub.low, how) / strength.yield_mpa
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
        assumptions=_assumptions(strength, rub, face_rub, ring, how, nut_class, strips, seat_of),
        sources=_sources(strength, rub, face_rub, ring, how, nut_class, strips, seat_of),
        cautions=_cautions(strength, rub, nut_class, strips, worst, seat_mpa, seat_of, limits),
    )


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
) -> tuple[str, ...]:
    told = [*strength.assumed, f"thread: {rub}"]
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
    worst: float,
    seat_mpa: float,
    seat: Material | None,
    limits: tuple[Limit, ...],
) -> tuple[str, ...]:
    told = [GENERAL]
    if strength.unknown:
        told.append(f"Strength of the bolt not known: the weakest, {strength}, was taken.")
    if strength.note:
        told.append(f"{strength}: {strength.note}.")
    if rub.note:
        told.append(f"{rub.state}: {rub.note}.")
    if worst > 1.0:
        told.append(
            f"If the thread is at its slipperiest, the nominal torque takes the bolt to "
            f"{100 * worst:.0f} % of its yield: use the low figure, or settle the friction."
        )
    if nut_class is not None and strength.system == "ISO 898-1":
        needed = strength.name.split(".")[0]
        if float(_bare(nut_class)) < float(needed):
            told.append(
                f"A nut of class {_bare(nut_class)} is weaker than a {strength.name} bolt: fit "
                f"class {needed} or above (ISO 898-2)."
            )
    if strips and strips.effective_mm is None:
        told.append(
            f"Engagement not given: stripping not checked. For the bolt to break first it needs "
            f"{strips.needed_mm:.1f} mm."
        )
    elif strips and strips.bolt_first is False:
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
