"""Compression: what a cylinder should show, and what a dry and a wet test say together.

Absolute pressure counts from nothing, gauge pressure from the day's atmosphere: a compression
tester reads gauge, ratio times atmosphere is absolute. The two are never mixed: `Pressure` knows
which it is.

    absolute = atmosphere x ratio^n        gauge = absolute - atmosphere

n = 1 is the floor: air squeezed so slowly that all its heat goes. Cranking lies about n = 1.2 to
1.3, 1.4 is no heat lost at all.
"""

import re
from dataclasses import dataclass

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, above_zero, between

__all__ = [
    "STANDARD_KPA",
    "Pressure",
    "atmosphere",
    "expected",
    "floor",
    "read_pressure",
    "trapped_ratio",
]

STANDARD_KPA = 101.325
"""Standard atmosphere, kPa (CGPM 1954)."""

CRANKING = (1.2, 1.25, 1.3)
"""Low, middle and high exponent while cranking (a reference page gives about 1.3; the band is
common practice)."""

_LEAST_RATIO, _MOST_RATIO = 2.0, 25.0


@dataclass(frozen=True, slots=True)
class Pressure:
    """An absolute pressure in kPa with the atmosphere it was read in, kPa."""

    absolute_kpa: float
    atmosphere_kpa: float = STANDARD_KPA

    @property
    def gauge_kpa(self) -> float:
        """What a gauge shows that rests at nought in the open."""
        return self.absolute_kpa - self.atmosphere_kpa

    def absolute(self, unit: str) -> float:
        """Absolute pressure in any unit of pressure."""
        return float(self.absolute_kpa / units.unit(unit, units.Kind.PRESSURE).factor)

    def gauge(self, unit: str) -> float:
        """Gauge pressure in any unit of pressure."""
        return float(self.gauge_kpa / units.unit(unit, units.Kind.PRESSURE).factor)

    def text(self, unit: str = "psi", digits: int = 3) -> str:
        """Write both: ``76.8 psi on the gauge (91.3 psi absolute)``."""
        gauge, absolute = self.gauge(unit), self.absolute(unit)
        return (
            f"{units.plain(gauge, digits)} {unit} on the gauge "
            f"({units.plain(absolute, digits)} {unit} absolute)"
        )


_ABSOLUTE = r"(?i)\s*(?:\(?\s*(?:absolute|abs)\.?\s*\)?)$"
_GAUGE = r"(?i)\s*(?:\(?\s*(?:on the gauge|gauge|gage)\s*\)?)$"


def read_pressure(
    text: str, *, atmosphere_kpa: float = STANDARD_KPA, gauge: bool = True
) -> Pressure:
    """Read a pressure in any unit: ``95 psi``, ``6.5 bar``, ``8 bar abs``, ``110 psig``.

    ``gauge`` says what a pressure is that does not say so itself: a tester reads gauge.

    Raises `NotationError` for what is no pressure, `BadValue` for an unknown unit, none, or more
    than 10 MPa.
    """
    rest = text.strip()
    for pattern, is_gauge in ((_ABSOLUTE, False), (_GAUGE, True)):
        if re.search(pattern, rest):
            gauge, rest = is_gauge, re.sub(pattern, "", rest)
            break
    else:
        found = re.fullmatch(r"(.*\bpsi|.*\dpsi)([ag])", rest, re.IGNORECASE)
        if found:
            rest, gauge = found[1], found[2].lower() == "g"
    try:
        value = float(units.read(rest, units.Kind.PRESSURE).base)
    except NotationError:
        raise NotationError("cannot read a pressure", text) from None
    between("pressure", value, "kPa", 0.0, 10_000.0)
    _atmosphere(atmosphere_kpa)
    return Pressure(value + atmosphere_kpa if gauge else value, atmosphere_kpa)


def _atmosphere(kpa: float) -> float:
    return between("atmospheric pressure", kpa, "kPa", 30.0, 110.0)


def _ratio(ratio: float) -> float:
    return between("compression ratio", ratio, "to 1", _LEAST_RATIO, _MOST_RATIO)


def atmosphere(altitude_m: float = 0.0, barometer_hpa: float | None = None) -> Answer:
    """Give the pressure of the air where the machine stands, kPa.

    ``altitude_m``, -430 to 5000, with the forecast's pressure, which is reduced to sea level; for
    a barometer's own reading on the spot leave the altitude at 0. Without a barometer standard air
    is taken, and the range is that of the weather, 950 to 1050 hPa at sea level (assumption).

    p = p0 (1 - 0.0065 h / 288.15)^5.25588, ISO 2533 (International Standard Atmosphere).
    """
    between("altitude", altitude_m, "m", -430.0, 5000.0)
    factor = (1 - 0.0065 * altitude_m / 288.15) ** 5.25588
    if barometer_hpa is None:
        return Answer(
            "atmospheric pressure", STANDARD_KPA * factor, "kPa", 95.0 * factor, 105.0 * factor,
            "the weather", (f"standard air at {altitude_m:g} m, no barometer",),
            ("isa", "atmosphere"),
        )  # fmt: skip
    between("barometer", barometer_hpa, "hPa", 850.0 if altitude_m else 500.0, 1090.0)
    value = barometer_hpa / 10 * factor
    said = (
        f"the barometer is reduced to sea level, the machine stands at {altitude_m:g} m"
        if altitude_m else "the barometer reads where the machine stands"
    )  # fmt: skip
    return Answer(
        "atmospheric pressure", value, "kPa", value * 0.998, value * 1.002, "the barometer",
        (said, "good to 0.2 per cent"), ("isa",),
    )  # fmt: skip


_TEST = (
    "engine warm, all plugs out, ignition off, throttle wide open, the same strokes for each "
    "cylinder until the needle stands"
)
_CAUTIONS = (
    "a sense check: the maker's figure is the limit",
    "fuel vapour and sparks: earth the plug leads, turn the fuel off, keep clear of the plug hole",
)


def _pressure_answer(
    what: str, ratio: float, atmosphere_kpa: float, exponents: tuple[float, float, float],
    limiting: str, assumptions: tuple[str, ...], *, gauge: bool,
) -> Answer:  # fmt: skip
    _ratio(ratio)
    _atmosphere(atmosphere_kpa)
    low, value, high = (
        atmosphere_kpa * ratio**n - (atmosphere_kpa if gauge else 0.0) for n in exponents
    )
    kind = "gauge: counted from the day's atmosphere" if gauge else "absolute: counted from nothing"
    return Answer(
        what, value, "kPa", low, high, limiting,
        (kind, f"atmosphere {atmosphere_kpa:.4g} kPa", *assumptions),
        ("polytropic", "practice"), _CAUTIONS,
    )  # fmt: skip


def floor(ratio: float, atmosphere_kpa: float = STANDARD_KPA, *, gauge: bool = False) -> Answer:
    """Give the floor of compression: ratio times the day's atmosphere, kPa absolute.

    998.8 hPa is 14.49 psi; times a ratio of 6.3 it is 91 psi absolute, 77 on the gauge. With
    ``gauge`` the answer is what a gauge shows. Ratio 2 to 25, counted over the stroke that traps
    air (`trapped_ratio` for a two-stroke).
    """
    return _pressure_answer(
        "floor of compression", ratio, atmosphere_kpa, (1.0, 1.0, 1.0),
        "the ratio counted from where the ports or the valve shut",
        ("no heat kept in the air, nothing leaks",), gauge=gauge,
    )  # fmt: skip


def expected(
    ratio: float, atmosphere_kpa: float = STANDARD_KPA, *, gauge: bool = False,
    exponents: tuple[float, float, float] = CRANKING,
) -> Answer:  # fmt: skip
    """Give what cranking should show: atmosphere x ratio^n with n from 1.2 to 1.3, kPa absolute.

    Real engines read lower: the inlet valve shuts late, a two-stroke's exhaust port stands open.
    ``exponents`` are low, middle and high, 1 to 1.4. Ratio 2 to 25.
    """
    for n in exponents:
        between("exponent", n, "", 1.0, 1.4)
    if list(exponents) != sorted(exponents):
        raise BadValue("exponents: expected low, middle, high")
    return _pressure_answer(
        "expected compression", ratio, atmosphere_kpa, exponents,
        "late closing of the inlet valve or the exhaust port: real engines read lower",
        (f"n from {exponents[0]:g} to {exponents[2]:g}", _TEST), gauge=gauge,
    )  # fmt: skip


def trapped_ratio(ratio: float, stroke_mm: float, port_mm: float) -> Answer:
    """Give the ratio counted from where the exhaust port shuts.

    ``port_mm`` is from the top edge of the port down to the piston crown at bottom dead centre:
    1 + (ratio - 1) x (stroke - port) / stroke.
    """
    _ratio(ratio)
    above_zero("stroke", stroke_mm, "mm", 300.0)
    between("open port", port_mm, "mm", 0.0, stroke_mm * 0.8)

    def trapped(port: float) -> float:
        return 1 + (ratio - 1) * (stroke_mm - port) / stroke_mm

    return Answer(
        "trapped ratio", trapped(port_mm), "to 1", trapped(port_mm + 0.5),
        trapped(max(0.0, port_mm - 0.5)), "the height of the port",
        ("the ratio given is over the full stroke", "port measured to 0.5 mm"), ("geometry",),
    )  # fmt: skip
