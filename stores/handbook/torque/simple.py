"""Short rules: the nut factor, a changed state of lubrication, a wrench with an extension."""

from math import cos, isfinite, radians

from stores.errors import BadValue
from stores.handbook.answer import above_zero, between
from stores.handbook.thread import Thread
from stores.handbook.torque.formulas import coefficient_mm
from stores.handbook.torque.grades import Grade
from stores.handbook.torque.heads import Bearing
from stores.handbook.torque.surfaces import LEAST, MOST

__all__ = [
    "change_state",
    "nut_factor",
    "preload_of_proof",
    "short_rule_nm",
    "wrench_setting",
]


def nut_factor(thread: Thread, mu: float, mu_head: float, ring: Bearing) -> float:
    """Give K of T = K F d that thread and head friction amount to; about 0.16 at 0.12.

    Raises `BadValue` for friction outside 0.03 to 0.60.
    """
    for value in (mu, mu_head):
        between("friction", value, "", LEAST, MOST)
    return coefficient_mm(thread, mu, mu_head, ring.mean_mm) / thread.major_mm


def preload_of_proof(thread: Thread, grade: Grade, share: float = 0.75) -> float:
    """Give the preload, N, as a share of the proof load: 0.75 to be undone again, 0.90 to stay.

    Shigley and Machinery's Handbook. A lower target than 90 % of the yield: about 0.68 of it. Where
    no proof stress is printed, 0.85 of the yield stands for it (Shigley). Raises `BadValue` outside
    0.1 to 1.
    """
    if not (isfinite(share) and 0.1 <= share <= 1.0):
        raise BadValue(f"{share:g} of the proof load: expected 0.1 to 1")
    proof = grade.proof_mpa if grade.proof_mpa is not None else 0.85 * grade.yield_mpa
    return share * proof * thread.stress_area_mm2


def short_rule_nm(force_n: float, factor: float, diameter_mm: float) -> float:
    """Give T = K F d in N m.

    Raises `BadValue` for a factor outside 0.05 to 0.6, a force or a diameter not above 0.
    """
    above_zero("preload", force_n, "N", 1e7)
    between("nut factor", factor, "", 0.05, 0.6)
    above_zero("diameter", diameter_mm, "mm", 1000)
    return factor * force_n * diameter_mm / 1000


def change_state(
    torque_nm: float, thread: Thread, ring: Bearing, from_mu: float, to_mu: float
) -> float:
    """Give the torque, N m, that keeps the preload when the friction is another one.

    Raises `BadValue` for a torque not above 0 and friction outside 0.03 to 0.60.
    """
    above_zero("torque", torque_nm, "N m", 10000)
    for mu in (from_mu, to_mu):
        between("friction", mu, "", LEAST, MOST)
    was = coefficient_mm(thread, from_mu, from_mu, ring.mean_mm)
    return torque_nm * coefficient_mm(thread, to_mu, to_mu, ring.mean_mm) / was


def wrench_setting(
    wanted_nm: float, length_mm: float, offset_mm: float, angle_deg: float = 0.0
) -> float:
    """Give what to set, N m, with an adaptor ``offset_mm`` long at an angle to the handle.

    S = T L / (L + E cos a); at 90 degrees the setting is unchanged. ``length_mm`` is handle centre
    to drive. Raises `BadValue` where the adaptor does not fit the wrench.
    """
    above_zero("torque", wanted_nm, "N m", 10000)
    above_zero("wrench", length_mm, "mm", 10000)
    reach = length_mm + offset_mm * cos(radians(angle_deg)) if isfinite(angle_deg) else angle_deg
    if not (isfinite(reach) and reach > 0.2 * length_mm):
        raise BadValue(
            f"wrench {length_mm:g} mm with an adaptor of {offset_mm:g} mm: no setting gives that"
        )
    return wanted_nm * length_mm / reach
