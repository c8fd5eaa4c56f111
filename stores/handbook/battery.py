"""A lead-acid battery at rest: its state of charge from voltage or from the acid's gravity.

The sources differ by a tenth of a volt at the low end, so the answer is a band over all of them.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import isfinite

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.table import table

__all__ = [
    "Pair",
    "at_rest",
    "by_gravity",
    "charging",
    "freezes_between",
    "freezes_c",
    "gravity_at",
    "in_series",
]

CAUTIONS = (
    "charging gives off hydrogen, explosive from about 4 per cent in air: air the place, no flame "
    "or spark, charger off before the clips come off",
    "the acid burns: goggles and gloves, water at hand",
)
SIX_VOLT_CAUTION = "a 6 V battery on a 6 V charger only"
SURFACE_H, REST_H = 8.0, 24.0
METER_OFF_V = 0.02
IMBALANCE_V = 0.1
_SERIES = {"bci": "bci", "page": "battery-page", "radio": "battery-radio"}
NOMINAL = (6, 12)


@cache
def _curves(nominal: int) -> tuple[tuple[str, tuple[tuple[float, float, float], ...]], ...]:
    """Return each source's curve: (state of charge, low volts, high volts), rising.

    A source that only covers 12 V serves 6 V halved, and the other way round: three cells and six.
    """
    curves = []
    for scale in _SERIES:
        rows = [r for r in table("fluids_battery_at_rest") if r["scale"] == scale]
        own = [r for r in rows if int(r["nominal_v"]) == nominal]
        points = []
        for row in own or rows:
            factor = nominal / int(row["nominal_v"])
            points.append((float(row["soc_percent"]), float(row["low_v"]) * factor,
                           float(row["high_v"]) * factor))  # fmt: skip
        curves.append((scale, tuple(sorted(points))))
    return tuple(curves)


def _read(curve: list[tuple[float, float]], volts: float) -> float:
    """Interpolate the state of charge in (percent, volts) points, straight on beyond the ends."""
    for (soc, low), (next_soc, high) in pairwise(curve):
        if volts <= high or (next_soc, high) == curve[-1]:
            found = soc + (volts - low) / (high - low) * (next_soc - soc)
            return min(100.0, max(0.0, found))
    raise AssertionError("a curve of one point")


def _nominal(volts: float, nominal: int | None) -> int:
    if nominal is None:
        nominal = 6 if 4.0 <= volts <= 7.6 else 12 if 9.0 <= volts <= 15.2 else None
        if nominal is None:
            raise BadValue(f"{volts:g} V: say whether it is a 6 V or a 12 V battery")
    if nominal not in NOMINAL:
        raise BadValue(f"a {nominal} V battery: expected 6 or 12 (two 6 V: read each)")
    return nominal


def at_rest(volts: float, nominal: int | None = None, *, rest_hours: float | None = None) -> Answer:
    """Return the state of charge of a 6 V or 12 V battery from its voltage at rest, per cent.

    At rest: neither charged nor loaded for 8 hours at least, better 24. The value is by the BCI
    table, the range over all sources and a meter good to 0.02 V. Near 27 C; flooded cells.

    Raises `BadValue` for a voltage that a battery at rest does not have, or no nominal voltage
    where it is not clear.

    Args:
        volts: the voltage at rest [V].
        nominal: 6 or 12 [V].
        rest_hours: how long it has rested [h].

    The BCI table has 12.65 V for a battery that is charged:

    >>> at_rest(12.65).value
    100.0
    """
    if not (isfinite(volts) and volts >= 0):
        raise BadValue(f"{volts:g} V: expected a voltage from 0; is the meter the wrong way round?")
    size = _nominal(volts, nominal)
    cell = volts / (size / 2)
    if cell > 2.25:
        raise BadValue(
            f"{volts:g} V is {cell:.2f} V a cell: on charge or just off it, "
            f"or not a {size} V battery"
        )
    assumptions = [
        "flooded lead-acid near 27 C",
        f"meter good to {METER_OFF_V:g} V",
        "beyond the ends of a source its line is carried on straight",
    ]
    if rest_hours is None:
        assumptions.append("rested 8 hours or more, without load or charge")
    else:
        between("rest", rest_hours, "h", 0.0, 1e5)
        if rest_hours < SURFACE_H:
            assumptions.append(
                f"rested only {rest_hours:g} h: reads high after a charge, low after a load"
            )
    if cell > 2.15:
        assumptions.append("above 2.15 V a cell: surface charge still there, read again later")
    best, ends = 0.0, []
    for scale, points in _curves(size):
        low_curve = [(soc, high) for soc, _, high in points]
        high_curve = [(soc, low) for soc, low, _ in points]
        ends += [_read(low_curve, volts - METER_OFF_V), _read(high_curve, volts + METER_OFF_V)]
        if scale == "bci":
            best = _read(low_curve, volts)
    if cell < 1.75:
        assumptions.append("below 1.75 V a cell: flat; it may be sulphated or have a dead cell")
    cautions = (*CAUTIONS, SIX_VOLT_CAUTION) if size == 6 else CAUTIONS
    return Answer(
        "state of charge", best, "%", min(*ends, best), max(*ends, best),
        "how long it has rested, and where the sources differ", tuple(assumptions),
        ("bci", "battery-page", "battery-radio", "battery-care", "hydrogen"), cautions,
    )  # fmt: skip


def gravity_at(gravity: float, acid_c: float, to_c: float) -> float:
    """Return a specific gravity as it is at another temperature: 0.0007 to the degree.

    Gravity 1.0 to 1.35, acid -40 to 60 C.

    Args:
        gravity: specific gravity as read [1].
        acid_c: temperature it was read at [C].
        to_c: temperature it is wanted for [C].

    >>> round(gravity_at(1.262, 35, 25), 3)
    1.269
    """
    between("specific gravity", gravity, "", 1.0, 1.35)
    between("acid", acid_c, "C", -40.0, 60.0)
    return gravity + 0.0007 * (acid_c - to_c)


def by_gravity(gravity: float, acid_c: float = 26.7) -> Answer:
    """Return the state of charge from the specific gravity of the acid, per cent.

    Corrected to 26.7 C by 0.0007 a degree (common practice, 0.004 for 10 F). Gravity 1.0 to 1.35,
    acid -40 to 60 C. The better test where the cells can be opened.

    Args:
        gravity: specific gravity of the acid [1].
        acid_c: its temperature [C].

    The BCI table has 1.265 for a battery that is charged:

    >>> by_gravity(1.265).value
    100.0
    """
    corrected = gravity_at(gravity, acid_c, 26.7)
    curves: dict[str, list[tuple[float, float]]] = {}
    for row in table("fluids_battery_at_rest"):
        if row["specific_gravity"]:
            point = (float(row["soc_percent"]), float(row["specific_gravity"]))
            curves.setdefault(row["scale"], []).append(point)
    found = {scale: _read(sorted(points), corrected) for scale, points in curves.items()}
    spread = [
        _read(sorted(points), corrected + off)
        for points in curves.values() for off in (-0.005, 0.005)
    ]  # fmt: skip
    best = found["bci"]
    return Answer(
        "state of charge", best, "%", min(*spread, best), max(*spread, best),
        "the acid's mixing: not just after water was added",
        (f"corrected to 26.7 C: {corrected:.3f}", "hydrometer good to 0.005"),
        ("bci", "battery-page", "practice", "hydrogen"), CAUTIONS,
    )  # fmt: skip


def freezes_c(soc_percent: float) -> float:
    """Return the temperature in C at which the acid freezes, by the BCI table."""
    between("state of charge", soc_percent, "%", 0.0, 100.0)
    points = sorted(
        (float(r["soc_percent"]), float(r["freezes_c"]))
        for r in table("fluids_battery_at_rest") if r["freezes_c"]
    )  # fmt: skip
    for (low, cold), (high, colder) in pairwise(points):
        if soc_percent <= high:
            return cold + (soc_percent - low) / (high - low) * (colder - cold)
    raise AssertionError("a table that does not reach 100 per cent")


# Freezing point of sulphuric acid by gravity at 15 C, C: battery handbooks (memory).
_ACID_FREEZES = (
    (1.0, 0.0), (1.05, -3.3), (1.1, -7.7), (1.15, -15.0), (1.2, -27.0), (1.25, -52.0),
    (1.265, -57.0),
)  # fmt: skip


def freezes_between(soc_percent: float) -> tuple[float, float]:
    """Return between which temperatures, C, the acid begins to freeze, the warmer first.

    The BCI table and the acid's own freezing points (battery handbooks, from memory) differ by more
    than ten degrees on a flat battery; the warmer one is the one to count on.
    """
    table_c = freezes_c(soc_percent)
    points = sorted(
        (float(row["soc_percent"]), float(row["specific_gravity"]))
        for row in table("fluids_battery_at_rest")
        if row["scale"] == "bci" and row["specific_gravity"]
    )
    gravity = points[-1][1]
    for (low, sour), (high, sourer) in pairwise(points):
        if soc_percent <= high:
            gravity = sour + (soc_percent - low) / (high - low) * (sourer - sour)
            break
    acid_c = _ACID_FREEZES[-1][1]
    for (low, cold), (high, colder) in pairwise(_ACID_FREEZES):
        if gravity <= high:
            acid_c = cold + (gravity - low) / (high - low) * (colder - cold)
            break
    return max(table_c, acid_c), min(table_c, acid_c)


CHARGE_SHARE = 0.1
"""Charging current in amperes for each ampere-hour: a tenth at most (common practice)."""

CHARGE_LOSS = (1.1, 1.4)
"""What goes in for each ampere-hour that stays: 1.1 to 1.4 (common practice)."""

_LEAST_C, _MOST_C = -10.0, 45.0


def charging(
    capacity_ah: float, charge: Answer, nominal: int, acid_c: float | None = None
) -> tuple[Answer, Answer, Answer]:
    """Return how a flooded lead-acid battery is charged: amperes, hours, and the end voltage.

    ``charge`` is the state of charge, per cent. A tenth of the capacity at most, and less for an
    old battery. The end voltage of a 12 V battery is 14.4 V at 24 C and 14.2 V at 35 C (vehicle
    battery page); in the cold it is higher, by the same line carried on (assumption), half of it
    for 6 V, where a battery care article has 7.5 V. Nothing said of temperature: 24 C.

    Raises `BadValue` for a capacity not above 0 or over 300 Ah, a temperature outside -10 to 45 C.

    Args:
        capacity_ah: the capacity [Ah].
        charge: the state of charge [%].
        nominal: 6 or 12 [V].
        acid_c: temperature of the battery [C].

    A tenth of 40 Ah; half of it is to come back, 20 Ah x 1.25 / 4 A; the printed 14.4 V:

    >>> amperes, hours, end = charging(40, at_rest(12.24), 12, 24)
    >>> amperes.value, round(hours.value, 2), end.value
    (4.0, 6.25, 14.4)
    """
    above_zero("capacity", capacity_ah, "Ah", 300.0)
    at_c = 24.0 if acid_c is None else between("battery", acid_c, "C", _LEAST_C, _MOST_C)
    printed = {
        row["item"]: float(row["high"])
        for row in table("fluids_battery_charging") if row["nominal_v"] == str(nominal)
    }  # fmt: skip
    twelve = {
        row["item"]: float(row["high"])
        for row in table("fluids_battery_charging") if row["nominal_v"] == "12"
    }  # fmt: skip
    warm, hot = twelve["end of charge at 24 C"], twelve["end of charge at 35 C"]
    volts = (warm + (hot - warm) * (at_c - 24) / (35 - 24)) * nominal / 12
    most = max(volts, printed.get("bulk charge", volts))
    current = CHARGE_SHARE * capacity_ah
    lacks = [(100 - each) / 100 * capacity_ah for each in (charge.high, charge.value, charge.low)]
    low, high = CHARGE_LOSS
    told = (
        "flooded lead-acid; maintenance-free, gel and mat batteries by the maker's word only",
        "battery at 24 C, for nothing was said" if acid_c is None else f"battery at {at_c:g} C",
    )
    sources = ("battery-page", "battery-care", "practice", "hydrogen")
    cautions = (*CAUTIONS, SIX_VOLT_CAUTION) if nominal == 6 else CAUTIONS
    return (
        Answer(
            "charge with at most", current, "A", current / 2, current,
            "the battery's age: half of it for an old one", (
                "a tenth of the capacity (common practice)", *told), sources, cautions,
        ),
        Answer(
            "for about", (low + high) / 2 * lacks[1] / current, "h", low * lacks[0] / current,
            high * lacks[2] / current, "the state of charge, and what is lost as heat and gas",
            (f"{low:g} to {high:g} Ah go in for each that stays (common practice)",),
            sources, cautions,
        ),
        Answer(
            "stop at", volts, "V", volts, most, "the temperature of the battery",
            ("by the line through 24 and 35 C, carried on in the cold (assumption)",
             "read at the terminals while it charges; cells gas evenly"), sources, cautions,
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pair:
    """Two 6 V batteries in series: each, the whole, and what sets them apart."""

    first: Answer
    second: Answer
    total_v: float
    apart_v: float
    verdict: str
    cautions: tuple[str, ...]


def in_series(first_v: float, second_v: float, *, rest_hours: float | None = None) -> Pair:
    """Judge two 6 V batteries in series, each read by itself at rest.

    More than 0.1 V apart (common practice) they are not a pair: the weaker is driven flat, and the
    total alone does not show it.

    Args:
        first_v: one battery at rest [V].
        second_v: the other [V].
        rest_hours: how long they have rested [h].

    0.2 V apart they are no pair:

    >>> pair = in_series(6.3, 6.1)
    >>> round(pair.total_v, 1), round(pair.apart_v, 1)
    (12.4, 0.2)
    """
    first = at_rest(first_v, 6, rest_hours=rest_hours)
    second = at_rest(second_v, 6, rest_hours=rest_hours)
    apart = abs(first_v - second_v)
    if apart > IMBALANCE_V + 1e-9:
        weaker = "first" if first_v < second_v else "second"
        verdict = f"not alike: charge the {weaker} by itself, rest it and read again"
    else:
        verdict = "alike"
    return Pair(first, second, first_v + second_v, apart, verdict, first.cautions)
