"""Reading a measurement as it is written at the bench: its unit, how sure it is, if it can be.

Permissive: ``6.2``, ``6,2mm``, ``0.248 in``, ``15/64"``, ``1 1/4``, ``248 thou``, ``26 tpi``,
``26``, ``9.8 over ten``, ``47 1/2``, ``6.2 +/- 0.1``. A number without a unit is in mm, a fraction
in inches, a bare pitch from 8 up in threads per inch. What no bolt measures is not taken: the error
asks whether another unit was meant.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.thread.model import MM_PER_INCH

__all__ = ["ANGLES", "Measure", "Quantity", "Tool", "read_measure"]


class Quantity(StrEnum):
    """What is measured."""

    OUTSIDE = "outside diameter"
    BORE = "bore"
    PITCH = "pitch"
    FLATS = "across flats"
    LENGTH = "length"
    ANGLE = "flank angle"


class Tool(StrEnum):
    """What it is measured with."""

    CALIPER = "caliper"
    MICROMETER = "micrometer"
    RULE = "rule"
    GAUGE = "gauge"


SIGMA_MM = {Tool.CALIPER: 0.03, Tool.MICROMETER: 0.005, Tool.RULE: 0.3, Tool.GAUGE: 0.03}
"""Standard uncertainty of a length, mm. Common practice: a caliper that reads to 0.02 mm is good to
about 0.03 on a thread crest, a micrometer that reads to 0.01 to about 0.005, a steel rule marked in
half millimetres to about 0.3. A gauge has steps instead (`stores.handbook.identify`); its figure
here is that of the caliper, for a pitch no blade has."""

ANGLES = (60.0, 55.0, 47.5)
"""Flank angles, degrees: metric, Unified and cycle; Whitworth; BA."""

_LONGEST_MM = {
    Quantity.OUTSIDE: 200.0, Quantity.BORE: 200.0, Quantity.FLATS: 250.0, Quantity.LENGTH: 1000.0,
}  # fmt: skip
# Below the first figure a number is not believed unless it says mm; below the second never.
# The smallest threads of the tables are M1 and, named only with a unit, 25 BA at 0.25 mm.
_SMALLEST_MM = {
    Quantity.OUTSIDE: (1.0, 0.2),
    Quantity.BORE: (0.7, 0.15),
    Quantity.FLATS: (1.2, 0.5),
    Quantity.LENGTH: (1.5, 0.3),
}
# Above this only a number that says mm is believed: thousandths read as mm, or mm as inches.
_LARGEST_BARE_MM = {
    Quantity.OUTSIDE: 120.0, Quantity.BORE: 120.0, Quantity.FLATS: 150.0, Quantity.LENGTH: 500.0,
}  # fmt: skip
_PITCH_MM = (0.05, 8.0)
_WATCH = 0.7  # of the smallest bare size: smaller than 16BA even a written mm is asked about
_LEAST_OVER_MM = 0.15  # nobody counts finer crests under a caliper
_TPI = (2.5, 150.0)
# No pitch in mm is above 6 and no count below 3 in the tables: from 3 to 8 both occur.
_BARE_PITCH_MM, _BARE_TPI = 3.0, 8.0
_OVER = (2, 60)

_WORDS = {
    word: quantity
    for quantity, words in {
        Quantity.OUTSIDE: "outside diameter,outside,od,diameter,major diameter,dia",
        Quantity.BORE: "bore,minor diameter,inside diameter,id,hole",
        Quantity.PITCH: "pitch,tpi,threads per inch",
        Quantity.FLATS: "across flats,af,a/f,flats,spanner",
        Quantity.LENGTH: "length,length under head,under head",
        Quantity.ANGLE: "flank angle,angle",
    }.items()
    for word in words.split(",")
}
_COUNTS = {
    "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
    "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20,
}  # fmt: skip
_TOOL_WORDS = {
    "calliper": Tool.CALIPER, "callipers": Tool.CALIPER, "calipers": Tool.CALIPER,
    "mike": Tool.MICROMETER, "steel rule": Tool.RULE, "ruler": Tool.RULE,
    "thread gauge": Tool.GAUGE, "pitch gauge": Tool.GAUGE,
}  # fmt: skip

_NUM = units.NUMBER
_UNIT = (
    r"(?P<unit>mm|millimet(?:er|re)s?|cm|\"|''|inch(?:es)?|ins?\.?|thou|"
    r"t\.?\s?p\.?\s?i\.?|threads(?:\s+per\s+inch|\s*/\s*inch)|deg(?:rees)?\.?|°)"
)
_OVER_N = (
    r"(?:over|across|for)\s+(?P<n>\d{1,3}|[a-z]+)(?:\s+(?:crests?|pitch(?:es)?|threads?|turns?))?"
)
_PATTERN = (
    rf"(?P<sign>[-+])?\s*(?P<figure>{units.FRACTION}|(?P<number>{_NUM}))\s*{_UNIT}?"
    rf"(?:\s*(?:\+/-|\+-|±)\s*(?P<sigma>{_NUM})\s*(?P<of>mm|in|\")?)?(?:\s*{_OVER_N})?"
)


@dataclass(frozen=True, slots=True)
class Measure:
    """A measurement: ``value`` in mm (degrees for an angle) with its standard uncertainty.

    ``over`` is the number of pitches a length was taken over: the pitch is ``value / over``. A
    pitch counted by gauge or by the inch has ``tpi``; ``by_gauge`` says that it is a blade's step,
    ``by_spanner`` that flats are what stands on the spanner that fits.
    """

    quantity: Quantity
    value: float
    sigma: float
    tool: Tool
    text: str = ""
    over: int = 1
    tpi: float | None = None
    by_gauge: bool = False
    by_spanner: bool = False

    def __str__(self) -> str:
        if self.quantity is Quantity.ANGLE:
            return f"{self.quantity} {self.value:g} degrees"
        if self.tpi is not None:
            return f"{self.quantity} {self.tpi:g} tpi"
        over = f" over {self.over} pitches" if self.over > 1 else ""
        return f"{self.quantity} {self.value:g} mm{over}"


def read_measure(
    text: str, kind: Quantity | str = Quantity.OUTSIDE, tool: Tool | str | None = None
) -> Measure:
    """Read one measurement; ``kind`` is what it measures, ``tool`` what it was measured with.

    Without a tool a pitch that is the step of a gauge blade is taken as read by gauge, everything
    else as by caliper. The uncertainty is the tool's, or what ``+/-`` says, but at least that of
    the last digit or of a 64th of an inch for a fraction (uniform: step / sqrt 12). Flats as a
    whole number of mm or a fraction of an inch are not rounded: without a tool they are what stands
    on the spanner that fits. ``1/4 W``, ``5/16 BS`` and ``2 BA`` are spanners too.

    "Over ten" is a length of ten pitches, from the first crest to the eleventh.

    Raises `NotationError` for what is no measurement, `BadValue` for one that nothing on a machine
    measures, or that may be mm or inches.

    Args:
        text: the reading with its unit; mm where it has none.
        kind: what was measured.
        tool: with what, None where it was not said.

    A quarter of an inch is 6.35 mm, 26 to the inch are 25.4 / 26 mm apart:

    >>> read_measure('1/4"').value, round(read_measure("26 tpi", "pitch").value, 3)
    (6.35, 0.977)
    """
    quantity = _quantity(kind)
    chosen = _tool(tool)
    plain = units.spelt(text)
    if quantity is Quantity.FLATS:
        if size := _spanner(plain, text):
            chosen = chosen or Tool.CALIPER
            return Measure(quantity, size, SIGMA_MM[chosen], chosen, text.strip(), by_spanner=True)
        plain = re.sub(r"\s*\ba\s*/?\s*f\s*$", "", plain, flags=re.IGNORECASE)
    found = re.fullmatch(_PATTERN, plain.strip(), re.IGNORECASE | re.ASCII)
    if found is None:
        raise NotationError(f"cannot read {_a(quantity)}", text)
    try:
        value = float(units.value(found["figure"]))
    except NotationError as error:
        raise NotationError(error.message, text) from None
    if found["sign"] == "-" or value <= 0:
        raise BadValue(f"{quantity} {text.strip()!r}: expected a number above zero")
    unit = _unit(found["unit"])
    if (unit == "deg") != (quantity is Quantity.ANGLE) and unit is not None:
        raise NotationError(f"{found['unit']} is not a unit of {_a(quantity)}", text)
    if quantity is Quantity.ANGLE:
        return _angle(value, text, chosen)
    if found["n"] and quantity is not Quantity.PITCH:
        raise NotationError(f"only a pitch is measured over a number of crests, not {_a(quantity)}",
                            text)  # fmt: skip
    if unit is None and found["above"]:
        unit = "in"
    sigma = _said_sigma(found, unit)
    if quantity is Quantity.PITCH:
        return _read_pitch(found, value, unit, sigma, text, chosen)
    if unit == "tpi":
        raise NotationError(f"threads per inch are not {_a(quantity)}", text)
    length = value * _SCALE[unit or "mm"]
    _check(quantity, value, unit, length, exact=_decimals(found) >= 3)
    spanner = quantity is Quantity.FLATS and sigma is None and _on_a_spanner(found, unit)
    by_spanner = spanner and chosen is None
    chosen = chosen or Tool.CALIPER
    if sigma is None:
        sigma = max(SIGMA_MM[chosen], 0.0 if spanner else _step(found, unit) / sqrt(12))
    return Measure(quantity, length, sigma, chosen, text.strip(), by_spanner=by_spanner)


_SPANNER = re.compile(
    r"\s*(?P<size>(?:\d{1,2}[\s-]+)?\d{1,2}(?:\s*/\s*\d{1,2})?)\s*"
    r"(?P<mark>w(?:hit(?:worth)?\.?)?|bsw|bsf?|ba)\s*",
    re.IGNORECASE | re.ASCII,
)


def _spanner(plain: str, text: str) -> float | None:
    """Return the size across flats, mm, that a Whitworth or BA spanner is for; None for others.

    Raises `NotationError` for a spanner that no table holds.
    """
    from stores.handbook.table import table

    found = _SPANNER.fullmatch(plain)
    if found is None:
        return None
    mark = {"ba": "BA", "bs": "BS", "bsf": "BS"}.get(found["mark"].lower(), "W")
    size = re.sub(r"\s*/\s*", "/", found["size"].strip())
    name = " ".join([*re.split(r"[\s-]+", size), mark])
    for row in table("across_flats"):
        if name in row["name"].split(" / "):
            return float(row["af_mm"])
    raise NotationError(f"no table holds a {name} spanner", text)


_SCALE = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "thou": MM_PER_INCH / 1000}


def _said_sigma(found: re.Match[str], unit: str | None) -> float | None:
    """Return the uncertainty that was written, mm; of threads per inch, as it stands."""
    if not found["sigma"]:
        return None
    scale = _SCALE.get(_unit(found["of"]) or unit or "mm", 1.0)
    sigma = float(units.value(found["sigma"])) * scale
    if sigma <= 0:
        raise BadValue("uncertainty 0: expected above 0")
    return sigma


def _a(quantity: Quantity) -> str:
    if quantity is Quantity.FLATS:
        return "a size across flats"
    return f"{'an' if quantity is Quantity.OUTSIDE else 'a'} {quantity}"


def _quantity(kind: Quantity | str) -> Quantity:
    found = _WORDS.get(kind.strip().lower())
    if found is None:
        raise BadValue(f"cannot measure {kind!r}: expected {', '.join(Quantity)}")
    return found


def _tool(tool: Tool | str | None) -> Tool | None:
    if tool is None:
        return None
    word = tool.strip().lower()
    try:
        return _TOOL_WORDS.get(word) or Tool(word)
    except ValueError:
        raise BadValue(f"no tool {tool!r}: expected {', '.join(Tool)}") from None


def _unit(word: str | None) -> str | None:
    if word is None:
        return None
    word = word.lower().replace(" ", "")
    if word.startswith("t") and word != "thou":
        return "tpi"
    if word.startswith(("deg", "°")):
        return "deg"
    if word.startswith(("in", '"', "''")):
        return "in"
    return {"cm": "cm", "thou": "thou"}.get(word, "mm")


def _step(found: re.Match[str], unit: str | None) -> float:
    """Return the step, mm, that the figure was read in: its last digit, or a 64th of an inch."""
    sixty_fourth = MM_PER_INCH / 64
    if found["above"]:
        return sixty_fourth
    digits = re.split("[.,]", found["number"])
    step = float(_SCALE[unit or "mm"] * 10.0 ** -(len(digits[1]) if len(digits) > 1 else 0))
    return min(step, sixty_fourth) if unit == "in" else step


def _on_a_spanner(found: re.Match[str], unit: str | None) -> bool:
    """Return whether flats may be what stands on the spanner that fits, which is not rounded."""
    if found["above"]:
        return True
    if unit != "in":
        return unit in (None, "mm") and found["number"].isdecimal()
    # "0.5 in" is half an inch; 0.500 was measured.
    short = len(found["number"].replace(",", ".").rpartition(".")[2]) <= 2
    return short and (units.value(found["figure"]) * 16).denominator == 1


def _decimals(found: re.Match[str]) -> int:
    return len((found["number"] or "").replace(",", ".").partition(".")[2])


def _check(
    quantity: Quantity, value: float, unit: str | None, mm: float, *, exact: bool = False
) -> None:
    """Refuse what nothing on a machine measures, and ask about what may be another unit.

    Whoever writes three decimals (``exact``) has a micrometer, and means the watch screw.
    """
    bare, never = _SMALLEST_MM[quantity]
    largest, largest_bare = _LONGEST_MM[quantity], _LARGEST_BARE_MM[quantity]
    what = f"{value:g} {unit or 'mm'} {quantity}"
    watch = unit == "mm" and mm < _WATCH * bare and not exact
    if bare <= mm <= largest_bare or (unit == "mm" and never <= mm <= largest and not watch):
        return
    others = [
        f"{value:g} {other}"
        for other in ("in", "mm", "thou")
        if other != (unit or "mm") and _plausible(quantity, value, other)
    ]
    if others:
        asked = f"{what}? did you mean {' or '.join(others)}"
        if unit in (None, "mm"):
            sure = f"; if it is a watch screw, write {mm:.3f} mm" if watch else "? write the unit"
            raise BadValue(f"{asked}{sure}")
        raise BadValue(f"{asked}? if it is so, write {mm:g} mm")
    if never <= mm <= largest:
        raise BadValue(f"{what}? if it is so, write {mm:g} mm")
    raise BadValue(f"{what}: expected {never:g} to {largest:g} mm")


def _plausible(quantity: Quantity, value: float, unit: str) -> bool:
    mm = value * _SCALE[unit]
    return _SMALLEST_MM[quantity][0] <= mm <= _LARGEST_BARE_MM[quantity]


def _angle(value: float, text: str, tool: Tool | None) -> Measure:
    near = min(ANGLES, key=lambda angle: abs(angle - value))
    if abs(near - value) > 1.0:
        raise BadValue(f"flank angle {value:g} degrees: expected 60, 55 or 47.5")
    return Measure(Quantity.ANGLE, near, 0.0, tool or Tool.GAUGE, text.strip())


def _read_pitch(
    found: re.Match[str],
    value: float,
    unit: str | None,
    sigma: float | None,
    text: str,
    tool: Tool | None,
) -> Measure:
    over = _over(found["n"], text)
    if unit is None and over == 1:
        if _BARE_PITCH_MM <= value < _BARE_TPI:
            raise BadValue(f"pitch {value:g}: {value:g} mm or {value:g} tpi? write the unit")
        unit = "tpi" if value >= _BARE_TPI else "mm"
    if unit == "tpi":
        if over > 1:
            raise NotationError("threads per inch are not a length over crests", text)
        return _tpi(value, sigma, text, tool)
    if found["unit"] is None and not found["above"]:
        _doubt_mm(value, over)
    return _pitch(value, over, unit or "mm", sigma, _step(found, unit), text, tool)


def _doubt_mm(value: float, over: int) -> None:
    """Ask about a bare pitch that is finer than any of the tables, but one of theirs in inches."""
    pitch = value / over
    if pitch >= _LEAST_OVER_MM or not _LEAST_OVER_MM <= pitch * MM_PER_INCH <= _PITCH_MM[1]:
        return
    if over == 1:
        raise BadValue(f"pitch {value:g} mm? did you mean {value:g} in? write the unit")
    raise BadValue(
        f"{value:g} mm over {over} crests is a pitch of {pitch:.3g} mm? "
        f"did you mean {value:g} in, or a pitch of {value:g} mm? write the unit"
    )


def _over(word: str | None, text: str) -> int:
    if word is None:
        return 1
    n = int(word) if word.isdecimal() else _COUNTS.get(word.lower())
    if n is None:
        raise NotationError("cannot read over how many crests", text)
    if not _OVER[0] <= n <= _OVER[1]:
        raise BadValue(f"a pitch over {n} crests: expected {_OVER[0]} to {_OVER[1]}")
    return n


def _tpi(value: float, sigma: float | None, text: str, tool: Tool | None) -> Measure:
    if not _TPI[0] <= value <= _TPI[1]:
        hint = f"? did you mean {value:g} mm" if value < _TPI[0] else ""
        raise BadValue(f"{value:g} tpi{hint or ': expected 2.5 to 150'}")
    pitch = MM_PER_INCH / value
    # Counted against a rule over an inch, a third of a thread is missed or gained (assumption).
    spread = pitch * (sigma or 0.3) / value
    by_gauge = tool in (None, Tool.GAUGE)
    return Measure(
        Quantity.PITCH, pitch, spread, tool or Tool.GAUGE, text.strip(), 1, value, by_gauge
    )


def _pitch(
    value: float,
    over: int,
    unit: str,
    sigma: float | None,
    step: float,
    text: str,
    tool: Tool | None,
) -> Measure:
    length = value * _SCALE[unit]
    if not (_LEAST_OVER_MM if over > 1 else _PITCH_MM[0]) <= length / over <= _PITCH_MM[1]:
        what = f"{value:g} {unit}"
        if over > 1 and _PITCH_MM[0] <= length <= _PITCH_MM[1]:
            raise BadValue(
                f"{what} over {over} crests is a pitch of {length / over:.3g} mm? "
                f"did you mean a pitch of {what}"
            )
        hint = f"? did you mean {value:g} tpi" if over == 1 and _TPI[0] <= value <= _TPI[1] else ""
        raise BadValue(f"pitch {what}{hint or ': expected 0.05 to 8 mm'}")
    quantity, text, digit = Quantity.PITCH, text.strip(), step / sqrt(12)
    if over == 1 and sigma is None and tool in (None, Tool.GAUGE) and _is_blade(length):
        return Measure(quantity, length, digit, Tool.GAUGE, text, 1, None, True)
    tool = tool or Tool.CALIPER
    if sigma is None:
        sigma = max(_over_crests(tool), digit)
        if over == 1:
            # No caliper takes one pitch alone: it was measured over several crests and divided.
            sigma = max(_over_crests(tool) / 10, digit)
    return Measure(quantity, length, sigma, tool, text, over)


def _over_crests(tool: Tool) -> float:
    """Uncertainty of a length over crests, mm: the tool's, and 0.05 for seating (assumption)."""
    return float((SIGMA_MM[tool] ** 2 + 0.05**2) ** 0.5)


def _is_blade(pitch_mm: float) -> bool:
    from stores.handbook.table import table

    return any(
        abs(pitch_mm - float(blade)) < 1e-9
        for row in table("gauge_blades")
        if row["unit"] == "mm"
        for blade in row["blades"].split()
    )
