"""Limits of size: between what a good bolt or nut of a thread measures.

Each function gives the limits of one diameter, in mm, with the class and standard they come from.
They work in the unit of the standard and convert last, so printed inch figures come out as printed.
"""

from functools import cache

from stores.errors import BadValue
from stores.handbook.table import number, table
from stores.handbook.thread.model import MM_PER_INCH, Limits, Series, Thread, half_up

__all__ = [
    "external_major",
    "external_minor",
    "external_pitch",
    "internal_minor",
    "internal_pitch",
    "r40",
]


def external_major(thread: Thread) -> Limits:
    """Return the limits of the bolt's major diameter.

    Metric 6g (ISO 965-1), BSW and BSF medium (BS 84), BA normal (BS 93), Unified 2A (ASME B1.1),
    G (ISO 228-1). No cycle limits were found in print: those of BS 84, marked as a substitute.

    M8 has 7.76 to 7.972 mm (ISO 965-2, bolt 6g):

    >>> from stores.handbook.thread import get
    >>> limits = external_major(get("M8"))
    >>> round(limits.min_mm, 3), round(limits.max_mm, 3)
    (7.76, 7.972)
    """
    d, p = thread.major, thread.pitch
    match thread.series:
        case Series.METRIC:
            es, td = _es_um(p) / 1000, _major_tolerance_um(p) / 1000
            return Limits(d - es - td, d - es, "class 6g, ISO 965-1")
        case Series.BSW | Series.BSF | Series.CYCLE:
            low = d - _bs84(d, p) - 0.01 * p**0.5
            return _from_inches(low, d, *_bs84_source(thread))
        case Series.BA:
            allowance, tolerance = _ba(thread.size, p)
            return Limits(d - allowance - tolerance * p, d - allowance, *_ba_source(thread))
        case Series.G:
            return Limits(d - 2 * _pipe(thread)[0], d, "ISO 228-1")
        case _:
            return _class_2a(d - _unified_allowance(thread), 0.060 * p ** (2 / 3))


def external_pitch(thread: Thread) -> Limits:
    """Return the limits of the bolt's pitch (effective) diameter, same classes; G class A.

    M8 has 7.042 to 7.16 mm (ISO 965-2, bolt 6g):

    >>> from stores.handbook.thread import get
    >>> limits = external_pitch(get("M8"))
    >>> round(limits.min_mm, 3), round(limits.max_mm, 3)
    (7.042, 7.16)
    """
    d, p, d2 = thread.major, thread.pitch, thread.effective
    match thread.series:
        case Series.METRIC:
            top = d2 - _es_um(p) / 1000
            return Limits(top - _pitch_tolerance_um(d, p) / 1000, top, "class 6g, ISO 965-1")
        case Series.BSW | Series.BSF | Series.CYCLE:
            return _from_inches(d2 - _bs84(d, p), d2, *_bs84_source(thread))
        case Series.BA:
            top = d2 - _ba(thread.size, p)[0]
            return Limits(top - 0.10 * p - 0.025, top, *_ba_source(thread))
        case Series.G:
            return Limits(d2 - _pipe(thread)[0], d2, "class A, ISO 228-1")
        case _:
            return _class_2a(d2 - _unified_allowance(thread), _unified_td2(thread))


def external_minor(thread: Thread) -> Limits | None:
    """Return the limits of the bolt's minor diameter, None where the standard states none.

    Metric: largest as gauged on the basic profile, smallest with a root radius of P/8. The standard
    does not limit the G, Unified and cycle minor diameters this way.
    """
    d, p = thread.major, thread.pitch
    match thread.series:
        case Series.METRIC:
            low, high = external_pitch(thread)
            return Limits(low - 0.616025 * p, high - 0.577350 * p, "class 6g, ISO 965-1")
        case Series.BSW | Series.BSF:
            minor = thread.minor
            low = minor - _bs84(d, p) - 0.02 * p**0.5
            return _from_inches(low, minor, *_bs84_source(thread))
        case Series.BA:
            top = thread.minor - _ba(thread.size, p)[0]
            return Limits(top - 0.20 * p - 0.05, top, *_ba_source(thread))
        case _:
            return None


def internal_minor(thread: Thread) -> Limits | None:
    """Return the limits of the nut's minor diameter, None for cycle (none found in print).

    Metric 6H (ISO 965-1), BSW and BSF (BS 84), BA (BS 93), Unified 2B (ASME B1.1, formula from
    memory), G (ISO 228-1).

    M8 has 6.647 to 6.912 mm (ISO 965-2, nut 6H):

    >>> from stores.handbook.thread import get
    >>> limits = internal_minor(get("M8"))
    >>> round(limits.min_mm, 3), round(limits.max_mm, 3)
    (6.647, 6.912)
    """
    d, p, d1 = thread.major, thread.pitch, thread.minor
    match thread.series:
        case Series.METRIC:
            return Limits(d1, d1 + _nut_minor_um(p) / 1000, "class 6H, ISO 965-1")
        case Series.BSW | Series.BSF:
            tpi = thread.tpi or 0.0
            extra = 0.004 if tpi >= 26 else 0.005 if tpi >= 22 else 0.007
            return _from_inches(d1, d1 + 0.2 * p + extra, "BS 84")
        case Series.BA:
            return Limits(d1, d1 + 0.375 * p, "BS 93")
        case Series.G:
            return Limits(d1, d1 + _pipe(thread)[1], "ISO 228-1")
        case Series.CYCLE:
            return None
        case _:
            tolerance = 0.25 * p - 0.4 * p**2
            if d < 0.25:
                small = 0.05 * p ** (2 / 3) + 0.03 * p / d - 0.002
                tolerance = min(max(small, tolerance), 0.394 * p)
            return _four_decimals(d1, d1 + tolerance, "class 2B, ASME B1.1 (memory)")


def internal_pitch(thread: Thread) -> Limits | None:
    """Return the limits of the nut's pitch diameter: metric 6H, BS 84 medium, BA; else None.

    M8 has 7.188 to 7.348 mm (ISO 965-2, nut 6H):

    >>> from stores.handbook.thread import get
    >>> limits = internal_pitch(get("M8"))
    >>> round(limits.min_mm, 3), round(limits.max_mm, 3)
    (7.188, 7.348)
    """
    d, p, d2 = thread.major, thread.pitch, thread.effective
    match thread.series:
        case Series.METRIC:
            tolerance = _pitch_tolerance_um(d, p, nut=True) / 1000
            return Limits(d2, d2 + tolerance, "class 6H, ISO 965-1 (memory)")
        case Series.BSW | Series.BSF:
            return _from_inches(d2, d2 + _bs84(d, p), "medium class, BS 84")
        case Series.BA:
            return Limits(d2, d2 + 0.12 * p + 0.03, "BS 93")
        case _:
            return None


# ---- ISO 965-1

_R40 = (
    100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280,
    300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850,
    900, 950, 1000,
)  # fmt: skip
_STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0)


def r40(value: float) -> float:
    """Return the nearest R40 preferred number (ISO 3): how ISO 965-1 rounds its tolerances.

    Raises `BadValue` for a number not above zero, which has none.

    Of 1.06 and 1.12, both of the series, the second is nearer:

    >>> r40(1.1)
    1.12
    """
    if not value > 0:
        raise BadValue(f"no preferred number for {value:g}")
    scale = 1.0
    while value * scale < 100:
        scale *= 10
    while value * scale >= 1000:
        scale /= 10
    return min(_R40, key=lambda step: abs(step - value * scale)) / scale


def _es_um(p: float) -> float:
    row = _deviations().get(p)
    return row[0] if row else 15 + 11 * p


def _major_tolerance_um(p: float) -> float:
    row = _deviations().get(p)
    if row:
        return row[1]
    # The formula fails below the finest pitch of ISO 261 (0.2 mm: 56): in proportion from there.
    return r40(180 * p ** (2 / 3) - 3.15 / p**0.5 if p > 0.2 else 280 * p)


def _nut_minor_um(p: float) -> float:
    row = _deviations().get(p)
    if row and row[2]:
        return row[2]
    return r40(433 * p - 190 * p**1.22 if p < 0.9 else 230 * p**0.7)


def _pitch_tolerance_um(d: float, p: float, *, nut: bool = False) -> float:
    step = next((at for at, top in enumerate(_STEPS[1:]) if d <= top), len(_STEPS) - 2)
    row = _pitch_tolerances().get((_STEPS[step], p))
    if row and (tabulated := row[nut]):
        return tabulated
    mean = (max(_STEPS[step], 1.0) * _STEPS[step + 1]) ** 0.5
    bolt = 90 * p**0.4 * mean**0.1
    return r40(1.32 * bolt if nut else bolt)


@cache
def _deviations() -> dict[float, tuple[float, float, float | None]]:
    return {
        float(row["p_mm"]): (float(row["es_g_um"]), float(row["td6_um"]), number(row["td1_6_um"]))
        for row in table("threads_metric_deviations")
    }


@cache
def _pitch_tolerances() -> dict[tuple[float, float], tuple[float | None, float | None]]:
    return {
        (float(row["d_over_mm"]), float(row["p_mm"])): (
            number(row["td2_6_um"]),
            number(row["td2_nut_6_um"]),
        )
        for row in table("threads_metric_pitch_tolerances")
    }


# ---- British standards


def _bs84(d: float, p: float) -> float:
    """Return T of BS 84, inches, the length of engagement being the diameter."""
    return float(0.002 * d ** (1 / 3) + 0.003 * d**0.5 + 0.005 * p**0.5)


def _bs84_source(thread: Thread) -> tuple[str, bool]:
    if thread.series is Series.CYCLE:
        return "no limits found in print for cycle threads; rule of BS 84, medium class", True
    return "medium class, BS 84", False


def _ba_number(size: str) -> int | None:
    number_text = size.removesuffix("BA")
    return int(number_text) if number_text.isdigit() else None


def _ba(size: str, p: float) -> tuple[float, float]:
    """Return allowance in mm and tolerance of the major diameter in pitches, normal class."""
    at = _ba_number(size)
    small = at > 10 if at is not None else p < 0.35
    return (0.0, 0.25) if small else (0.025, 0.20)


def _ba_source(thread: Thread) -> tuple[str, bool]:
    at = _ba_number(thread.size)
    if at is None or at > 16:
        return "not in BS 93; its rule for the normal class", True
    return "normal class, BS 93", False


# ---- Unified and pipe


def _unified_td2(thread: Thread) -> float:
    """Return Td2 of class 2A, inches. Engagement is D, or 9 pitches in the finer series."""
    d, p = thread.major, thread.pitch
    by_size = thread.series in (Series.UNC, Series.UNF)
    by_size = by_size or (thread.series, d, thread.tpi) in _PRINTED_AS_ENGAGED_BY_D
    engaged = d if by_size else 9 * p
    return float(
        round(0.0015 * d ** (1 / 3), 6)
        + round(0.0015 * engaged**0.5, 6)
        + round(0.015 * p ** (2 / 3), 6)
    )


# The formula gives 0.00165031 in for 5/8-11, the tables print 0.0016 (memory). No rule of rounding
# gives it: 7/16-20 has 0.0012501 and prints 0.0013; rounding Td2 first puts 15/16-20 UNEF wrong.
_PRINTED_ALLOWANCE = {(Series.UNC, 0.625, 11.0): 0.0016}


# The tables print #12-32 UNEF with an allowance of 0.0009 in and Td2 of 0.0031 in (memory). Both
# are what an engagement of D gives (0.000926, 0.003085), neither what 9 pitches do (0.000955,
# 0.003183).
_PRINTED_AS_ENGAGED_BY_D = {(Series.UNEF, 0.216, 32.0)}


def _unified_allowance(thread: Thread) -> float:
    """Return the allowance of class 2A, inches: 0.3 Td2, from Td2 before that is rounded."""
    printed = _PRINTED_ALLOWANCE.get((thread.series, thread.major, thread.tpi or 0.0))
    return printed or round(0.300 * _unified_td2(thread), 4)


def _pipe(thread: Thread) -> tuple[float, float]:
    """Return the class A pitch tolerance and the nut's minor tolerance, mm, by diameter and tpi."""
    rows = [row for row in table("threads_g") if float(row["tpi"]) == thread.tpi]
    if not rows:
        rows = list(table("threads_g"))
    row = min(rows, key=lambda r: abs(float(r["d_mm"]) - thread.major_mm))
    return float(row["td2_class_a_mm"]), float(row["td1_mm"])


def _from_inches(low: float, high: float, source: str, substitute: bool = False) -> Limits:
    return Limits(low * MM_PER_INCH, high * MM_PER_INCH, source, substitute)


def _class_2a(high: float, tolerance: float) -> Limits:
    """Return limits in inches as ASME B1.1 does: rounded upper limit less rounded tolerance."""
    top = half_up(high, 4)
    low = round(top - half_up(tolerance, 4), 4)
    return _from_inches(low, top, "class 2A, ASME B1.1")


def _four_decimals(low: float, high: float, source: str) -> Limits:
    """Return limits in inches rounded as ASME B1.1 prescribes."""
    return _from_inches(half_up(low, 4), half_up(high, 4), source)
