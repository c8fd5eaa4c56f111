"""Closed forms for what a measurement says of a size that is known only by its limits."""

from math import erfc, exp, pi, sqrt

__all__ = ["banded", "normal", "normal_share", "rubbed", "worn"]

_ROOT2 = sqrt(2)
_ROOT2PI = sqrt(2 * pi)
_ROOTPI = sqrt(pi)
_SURE = 8.0  # standard deviations; beyond them Phi is 0 or 1 to 1e-15


def normal(x: float, sigma: float) -> float:
    """Density of a normal variable of mean 0 at ``x``, per unit of x."""
    z = x / sigma
    return exp(-0.5 * z * z) / (sigma * _ROOT2PI) if -38 < z < 38 else 0.0


def normal_share(low: float, high: float) -> float:
    """Probability that a standard normal variable is between ``low`` and ``high``, low <= high.

    Works in the nearer tail, so that small probabilities keep their digits.
    """
    if low > 0:
        return 0.5 * (erfc(low / _ROOT2) - erfc(high / _ROOT2))
    if high < 0:
        return 0.5 * (erfc(-high / _ROOT2) - erfc(-low / _ROOT2))
    return 1.0 - 0.5 * (erfc(-low / _ROOT2) + erfc(high / _ROOT2))


def banded(x: float, low: float, high: float, sigma: float) -> float:
    """Density, per mm, of measuring ``x`` when the size is anywhere between the limits.

    Uniform between ``low`` and ``high``, convolved with a normal error.
    """
    return normal_share((x - high) / sigma, (x - low) / sigma) / (high - low)


def worn(x: float, low: float, high: float, sigma: float, wear: float) -> float:
    """Density, per mm, of measuring ``x`` on a size made between the limits and then worn.

    Uniform between ``low`` and ``high``, less an exponential of mean ``wear``, plus a normal error
    of ``sigma``. With F(z) = Phi(z/s) + exp(z/w + s^2/2w^2) Phi(-z/s - s/w), the distribution of
    error less wear, it is (F(x - low) - F(x - high)) / (high - low).
    """
    above, below = x - low, x - high
    share = (
        normal_share(below / sigma, above / sigma)
        + _tail(above, sigma, wear)
        - _tail(below, sigma, wear)
    )
    return share / (high - low) if share > 0 else 0.0


def rubbed(x: float, low: float, high: float, sigma: float, most: float) -> float:
    """Density, per mm, of measuring ``x`` on a size made between the limits and then rubbed down.

    Uniform between ``low`` and ``high``, less a loss even from 0 to ``most``, plus a normal error
    of ``sigma``. With H the integral of Phi(z/s), it is the second difference (H(x - low + most)
    - H(x - high + most) - H(x - low) + H(x - high)) / ((high - low) most).
    """
    above, below = x - low, x - high
    area = (
        _climb(above + most, sigma)
        - _climb(below + most, sigma)
        - _climb(above, sigma)
        + _climb(below, sigma)
    )
    return area / ((high - low) * most) if area > 0 else 0.0


def _climb(z: float, sigma: float) -> float:
    """Give the integral of Phi(t/s) for t up to z: z Phi(z/s) + s phi(z/s)."""
    u = z / sigma
    if u > _SURE:
        return z
    if u < -_SURE:
        return 0.0
    return z * 0.5 * erfc(-u / _ROOT2) + sigma * exp(-0.5 * u * u) / _ROOT2PI


def _tail(z: float, sigma: float, wear: float) -> float:
    """Give exp(z/w + s^2/2w^2) Phi(-z/s - s/w) without overflow."""
    u = (z / sigma + sigma / wear) / _ROOT2
    if u < 5:
        return 0.5 * exp(z / wear + 0.5 * (sigma / wear) ** 2) * erfc(u)
    # exp(u^2) erfc(u) by its asymptotic series; from u = 5 it is right to 1e-6.
    v = 1 / (2 * u * u)
    scaled = (1 - v * (1 - 3 * v * (1 - 5 * v * (1 - 7 * v)))) / (u * _ROOTPI)
    half = 0.5 * (z / sigma) ** 2
    return 0.5 * exp(-half) * scaled if half < 700 else 0.0
