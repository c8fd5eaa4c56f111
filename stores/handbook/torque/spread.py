"""Scatter of preload: what a way of tightening leaves, and what settles afterwards."""

from math import isfinite

from stores.errors import BadValue
from stores.handbook.answer import Answer
from stores.handbook.table import table
from stores.text import fold

__all__ = ["RELAXED", "least_preload_n", "scatter", "scatter_methods", "tightening_factor"]

RELAXED = 0.05
"""Share of the preload that embedding of metal parts takes away (NASA TM-106943 eq. 11)."""


def scatter_methods() -> tuple[str, ...]:
    """Give the ways of tightening that have a scatter in print."""
    return tuple(row["method"] for row in table("torque_scatter"))


def scatter(method: str) -> Answer:
    """Give by how much, per cent, preload spreads either way with a way of tightening.

    VDI 2230:1986 and NASA-STD-5020B. Raises `BadValue` for a way without a figure.
    """
    word = fold(method)
    for row in table("torque_scatter"):
        if row["method"] == word:
            low, high = float(row["low_percent"]), float(row["high_percent"])
            return Answer(
                f"scatter of preload, {word}", (low + high) / 2, "%", low, high, "friction",
                ("either way of the middle",), (row["key"],),
            )  # fmt: skip
    raise BadValue(
        f"no scatter in print for {method.strip()!r}; there is for: {'; '.join(scatter_methods())}"
    )


def tightening_factor(share: float) -> float:
    """Give alpha_A of VDI 2230, greatest over least preload, from a scatter either way.

    (1 + u)/(1 - u) with ``share`` as a fraction, 0 to 0.8. Raises `BadValue` outside.
    """
    if not (isfinite(share) and 0 <= share <= 0.8):
        raise BadValue(f"scatter {share:g}: expected a fraction, 0 to 0.8")
    return (1 + share) / (1 - share)


def least_preload_n(greatest_n: float, factor: float, *, relaxed: float = 0.0) -> float:
    """Give the preload, N, that is sure to be there: greatest over alpha_A, less what settles.

    F_M min = F_M max / alpha_A (VDI 2230); ``relaxed`` is a share, `RELAXED` for metal on metal.
    Raises `BadValue` for a factor outside 1 to 10, a share outside 0 to 0.5.
    """
    if not (isfinite(greatest_n) and greatest_n > 0):
        raise BadValue(f"preload {greatest_n:g} N: expected above 0")
    if not (isfinite(factor) and 1 <= factor <= 10):
        raise BadValue(f"tightening factor {factor:g}: expected 1 to 10")
    if not (isfinite(relaxed) and 0 <= relaxed <= 0.5):
        raise BadValue(f"settling {relaxed:g} of the preload: expected 0 to 0.5")
    return greatest_n / factor * (1 - relaxed)
