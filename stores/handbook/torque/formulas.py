"""VDI 2230: torque, preload and stress of a bolt, the exact tangent form. N, mm, MPa, N m."""

from enum import StrEnum
from math import cos, pi, radians, sqrt

from stores.handbook.thread import Thread

__all__ = [
    "UTILISATION",
    "Method",
    "coefficient_mm",
    "preload_at_yield",
    "stress_mpa",
    "thread_arm_mm",
]

UTILISATION = 0.9
"""Share of the yield that tightening may use: nu of VDI 2230."""


class Method(StrEnum):
    """How torsion counts against the yield of the shank."""

    PRESENT = "present"
    """VDI 2230 from 2001: fully plastic torsion, Wp = pi d0^3/12."""
    OLDER = "older"
    """VDI 2230 of 1986 and before: elastic torsion, Wp = pi d0^3/16; torques 9 to 12 % lower."""


_TORSION = {Method.PRESENT: 12.0, Method.OLDER: 16.0}


def _tangent(thread: Thread, mu: float) -> float:
    """Return tan(phi + rho): lead angle phi, friction angle rho on the slope of the flank."""
    lead = thread.pitch_mm / (pi * thread.pitch_diameter_mm)
    rub = mu / cos(radians(thread.flank_angle_deg / 2))
    return (lead + rub) / (1 - lead * rub)


def thread_arm_mm(thread: Thread, mu: float) -> float:
    """Return the torque in the thread per newton of preload, N mm/N; this twists the shank."""
    return thread.pitch_diameter_mm / 2 * _tangent(thread, mu)


def coefficient_mm(thread: Thread, mu: float, mu_head: float, mean_mm: float) -> float:
    """Return the torque on the wrench per newton of preload, N mm/N.

    M_A/F_M = d2/2 tan(phi + rho) + mu_K D_Km/2 (VDI 2230).
    """
    return thread_arm_mm(thread, mu) + mu_head * mean_mm / 2


def stress_mpa(thread: Thread, force_n: float, mu: float, method: Method) -> float:
    """Return the equivalent stress of the shank while it is tightened: sqrt(s^2 + 3 t^2), MPa."""
    area = thread.stress_area_mm2
    modulus = pi * sqrt(4 * area / pi) ** 3 / _TORSION[method]
    twist = force_n * thread_arm_mm(thread, mu) / modulus
    return sqrt((force_n / area) ** 2 + 3 * twist**2)


def preload_at_yield(
    thread: Thread, yield_mpa: float, mu: float, method: Method, share: float = UTILISATION
) -> float:
    """Return the preload, N, at which tightening uses ``share`` of the yield."""
    return share * yield_mpa / stress_mpa(thread, 1.0, mu, method)
