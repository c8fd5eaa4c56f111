"""Reading the name of a thread as people write it.

Permissive: ``m6x1.0``, ``1/4 bsf``, ``1/4x26 CEI``, ``No 10-32``, ``2 BA``, ``1/8 BSP``.
What is not said stays open (series None, pitch None): `catalogue.find` says what it can be.
A class of fit after the name (``M8x1-6g``, ``1/4-20 UNC-2A``) is read over.
"""

import re
from dataclasses import dataclass
from functools import cache

from stores import units
from stores.errors import NotationError
from stores.handbook.thread.form import MM_PER_INCH, Series

__all__ = ["Reading", "number_in", "read", "series_of", "size_in_inches"]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a thread's name says: ``pitch`` in mm for metric and BA, else in threads per inch."""

    series: Series | None
    size: str
    pitch: float | None

    @property
    def major_mm(self) -> float | None:
        """Major diameter that the size itself states, mm; None for BA and G, where a table does."""
        if self.series is Series.METRIC:
            return float(self.size[1:])
        if self.series in (Series.BA, Series.G):
            return None
        inches = size_in_inches(self.size)
        return None if inches is None else round(inches * MM_PER_INCH, 9)


_WORDS = {
    "m": Series.METRIC, "mf": Series.METRIC, "metric": Series.METRIC, "isometric": Series.METRIC,
    "bsw": Series.BSW, "w": Series.BSW, "ww": Series.BSW, "whit": Series.BSW,
    "whitworth": Series.BSW, "bswhit": Series.BSW, "bswhitworth": Series.BSW,
    "bsf": Series.BSF, "bsfine": Series.BSF,
    "cycle": Series.CYCLE, "cyc": Series.CYCLE, "cei": Series.CYCLE, "bsc": Series.CYCLE,
    "bscy": Series.CYCLE, "bscycle": Series.CYCLE,
    "ba": Series.BA,
    "unc": Series.UNC, "nc": Series.UNC,
    "unf": Series.UNF, "nf": Series.UNF,
    "unef": Series.UNEF, "nef": Series.UNEF,
    "g": Series.G, "bsp": Series.G, "bspp": Series.G, "bspparallel": Series.G,
}  # fmt: skip

_NUM = units.NUMBER
_SIZE = rf"(?:\d{{1,2}}[\s-]+\d{{1,2}}/\d{{1,2}}|\d{{1,2}}/\d{{1,2}}|{_NUM})"
_MARK = r"(?:\s*(?:\"|''|inch\b|ins?\b\.?))?"
_BY = r"(?:\s*[x*/@-]\s*|\s+)"
_TPI = r"(?:\s*(?:t\.?\s?p\.?\s?i\.?|threads per inch))?"
_SERIES = (
    r"(?:b\.?\s?s\.?\s?)?whit(?:worth)?\b\.?|b\.?s\.?w\.?|ww?|b\.?s\.?f\.?|bs fine"
    r"|(?:bs\s)?cycle|cyc|c\.?e\.?i\.?|b\.?s\.?c\.?y?\.?|un[cf]|unef|n[cf]|nef"
)
_GRADE = r"\d[a-h](?:\d[a-h])?"
_FIT = r"(?:,?\s+(?:close|medium|free|fine|coarse)\s+(?:fit|class))?"
_METRIC = (
    rf"(?:iso\s+)?mf?\s*(?P<size>{_NUM})(?:{_BY}(?P<pitch>{_NUM})(?:\s*mm)?)?"
    rf"(?:\s+coarse)?(?:(?:\s*-\s*|\s+){_GRADE}(?:/{_GRADE})?)?{_FIT}"
)
_BA = (
    r"(?:no\.?\s*)?(?:(?P<size>\d{1,2})\s*-?\s*b\.?\s?a\.?(?![a-wyz])|b\.?\s?a\.?\s*(?P<after>\d{1,2}))"
    rf"(?:\s*x\s*(?P<pitch>{_NUM}))?"
)
_PIPE = (
    rf"(?:g\s*(?P<size>{_SIZE}){_MARK}|(?P<after>{_SIZE}){_MARK}[\s-]*bsp(?:p| parallel)?)"
    rf"(?:\s*-\s*(?P<pitch>{_NUM}))?(?:\s*-?\s*[ab])?"
)
_INCH = (
    rf"(?:(?P<first>{_SERIES})\s*)?(?P<number>(?:no\.?|nr\.?|\#)\s*)?(?P<size>{_SIZE}){_MARK}"
    rf"(?:{_BY}(?P<pitch>{_NUM}){_TPI})?(?:[\s-]*(?P<word>{_SERIES}))?"
    rf"(?:{_BY}(?P<after>{_NUM}){_TPI})?(?:[\s-]+[123][ab])?{_FIT}"
)


# Each with letters of which it needs one group in full, so that most texts try only one of them.
_FORMS = (
    (_METRIC, Series.METRIC, ("m",)),
    (_BA, Series.BA, ("ba",)),
    (_PIPE, Series.G, ("g", "bsp")),
    (_INCH, None, ("",)),
)


@cache
def _compiled(form: str) -> re.Pattern[str]:
    # Each when it is first tried: all four cost more than the rest of the import.
    return re.compile(form, re.IGNORECASE | re.ASCII)


def read(text: str) -> Reading:
    """Read a thread's name, whether or not a table holds it.

    Raises `NotationError`, with the span of the characters at fault, when it is not one.
    """
    plain = units.spelt(text)
    body = plain.strip()
    understood = 0
    letters = frozenset(body.lower())
    for form, series, needs in _FORMS:
        if not any(letters.issuperset(each) for each in needs):
            continue
        pattern = _compiled(form)
        found = pattern.fullmatch(body)
        if found and (reading := _reading(found, series)):
            return reading
        if start := pattern.match(body):
            understood = max(understood, len(start[0]))
    if len(plain) != len(text):
        raise NotationError("not a thread", text)
    lead = len(plain) - len(plain.lstrip())
    if understood == len(body):
        understood = 0
    raise NotationError("not a thread", text, lead + understood, lead + len(body))


def series_of(word: str) -> Series:
    """Give the series a word stands for: ``CEI``, ``BSCy`` and ``cycle`` are the cycle thread.

    Raises `NotationError` for a word that is none.
    """
    try:
        return _WORDS[word.lower().translate({ord(c): None for c in " .-"})]
    except KeyError:
        raise NotationError("not a series of threads", word) from None


def size_in_inches(size: str) -> float | None:
    """Give a size in inches: fraction, mixed number, decimal or # number; None if unreadable."""
    if size.startswith("#"):
        return round(0.060 + 0.013 * int(size[1:]), 3) if size[1:].isdecimal() else None
    try:
        inches = float(units.value(size))
    except NotationError:
        return None
    return inches if inches > 0 else None


def number_in(text: str) -> float:
    """Give the number in a pitch or tpi as people write it: ``1,25 mm``, ``x1``, ``26 tpi``.

    Raises `NotationError` when there is none, or it is not above zero.
    """
    found = re.fullmatch(
        rf"\s*(?:[x-]\s*)?(?P<value>{_NUM})(?:\s*mm|{_TPI})\s*",
        units.level(text), re.IGNORECASE | re.ASCII,
    )  # fmt: skip
    value = float(units.value(found["value"])) if found else 0.0
    if value <= 0:
        raise NotationError("not a pitch or a number of threads per inch", text)
    return value


def _reading(found: re.Match[str], series: Series | None) -> Reading | None:
    """Give the reading of a match, None when its parts contradict each other or a size is zero."""
    part = found.groupdict()
    size, pitch = part["size"] or part["after"], part["pitch"]
    if series is None:
        words = [part[name] for name in ("first", "word") if part[name]]
        numbers = [part[name] for name in ("pitch", "after") if part[name]]
        if len(words) > 1 or len(numbers) > 1:
            return None
        series = series_of(words[0]) if words else None
        size = ("#" if part["number"] else "") + _tidy(size)
        pitch = numbers[0] if numbers else None
        if size_in_inches(size) is None:
            return None
        if series in _NUMBERED and pitch is None and (as_number := _number_over_tpi(size)):
            size, pitch = as_number
    elif series is Series.BA:
        size = f"{int(size)}BA"
    else:
        inner = _tidy(size)
        if size_in_inches(inner) is None:
            return None
        size = f"G {inner}" if series is Series.G else f"M{float(units.value(inner)):g}"
    value = float(units.value(pitch)) if pitch else None
    return None if value == 0 else Reading(series, size, value)


_NUMBERED = (None, Series.UNC, Series.UNF, Series.UNEF)


def _number_over_tpi(size: str) -> tuple[str, str] | None:
    """Take ``10/32`` for #10-32: nobody writes 5/16 so, nor a 40th of an inch."""
    above, slash, below = size.partition("/")
    if not slash or not above.isdecimal() or int(above) > 12:
        return None
    halves = int(below) in (2, 4, 8, 16, 32, 64)
    return None if halves and int(above) % 2 else (f"#{int(above)}", below)


def _tidy(size: str) -> str:
    """Give ``1-1/4`` as ``1 1/4`` and ``0,25`` as ``0.25``."""
    whole, _, fraction = size.replace(",", ".").replace("-", " ").rpartition(" ")
    return f"{whole.strip()} {fraction}" if whole.strip() else fraction
