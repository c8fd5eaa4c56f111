"""Reading the name of a thread as people write it.

Permissive: ``m6x1.0``, ``1/4 bsf``, ``1/4x26 CEI``, ``No 10-32``, ``2 BA``, ``1/8 BSP``.
What is not said stays open (series None, pitch None): `catalogue.find` says what it can be.
A class of fit after the name (``M8x1-6g``, ``1/4-20 UNC-2A``) is read over.

Every thread the tables hold, and how to find one by name.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from math import isclose, log

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.table import number, table
from stores.handbook.thread.model import FORM, MM_PER_INCH, Series, Thread

__all__ = [
    "Reading",
    "TwoThreads",
    "all_threads",
    "custom",
    "find",
    "get",
    "named",
    "near",
    "number_in",
    "read",
    "series_of",
    "size_in_inches",
]


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

    Args:
        text: a name as it is said or written: ``M8x1``, ``3/8-26 cycle``, ``2 BA``.

    >>> reading = read("1/4 BSF")
    >>> reading.series.value, reading.size
    ('bsf', '1/4')
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
    if (spoken := _as_a_fastener(text)) is not None:
        return spoken
    if len(plain) != len(text):
        raise NotationError("not a thread", text)
    lead = len(plain) - len(plain.lstrip())
    if understood == len(body):
        understood = 0
    raise NotationError("not a thread", text, lead + understood, lead + len(body))


# What may stand beside a thread's name and does not change it.
_BESIDE = re.compile(
    r"(?i)\b(?:(?:left|right)[ -]?hand(?:ed)?|[lr]\.?h\.?|threads?|male|female|external|internal)"
    r"(?!\w)"
)
_TPI_FIRST = re.compile(
    r"(?i)\s*(?P<tpi>\d{1,2})\s*(?:t\.?\s?p\.?\s?i\.?|threads per inch)"
    r"\s*[x,]?\s*(?P<size>\S.*)"
)
_GAS = re.compile(r"(?i)\bgas\b(?: thread)?")
_PEDAL = re.compile(r"(?i)\b(?:pedals?|hubs?|spindles?|bottom brackets?|cycles?)\b")
_PLAIN = re.compile(r"\s*(?P<size>\d{1,3}(?:[.,]\d+)?)\s*mm\s*")


def _as_a_fastener(text: str) -> Reading | None:
    """Read what a line of the bench would say: "quarter BSF", "1/2 gas", "M10x1.25 LH".

    Raises `NotationError` for what has two readings, and for a near miss with what may be meant.
    """
    from stores.handbook.fastener import near_notation

    if not re.match(r"[\w.,\"'½¼¾⅛⅜⅝⅞]", text.lstrip()):
        return None  # a sign before a figure is no part of a size
    if plain := _PLAIN.fullmatch(text):
        raise NotationError(f"M{plain['size']}, or plain {plain['size']} mm: say which", text)
    turned = _TPI_FIRST.fullmatch(_BESIDE.sub(" ", text))
    words = f"{turned['size']} x {turned['tpi']}" if turned else _BESIDE.sub(" ", text)
    cycle = _PEDAL.search(words) is not None
    words = " ".join(_GAS.sub("BSP", _PEDAL.sub(" ", words)).split(" ")).strip()
    for word, meant in near_notation(words):
        raise NotationError(f"not a thread: for {word}, did you mean {' or '.join(meant)}?", text)
    if cycle and not re.search("[A-Za-z]{2}", words):
        words = f"{words} cycle"
    if not words or len(words) > _LONGEST:
        return None
    again = " ".join(words.split())
    return (_again(again) if again != " ".join(text.split()) else None) or _thread_of(again, text)


def _again(words: str) -> Reading | None:
    """Read a name from which the words beside it were taken."""
    plain = units.spelt(words).strip()
    for form, series, needs in _FORMS:
        if any(frozenset(plain.lower()).issuperset(each) for each in needs) and (
            found := _compiled(form).fullmatch(plain)
        ):
            return _reading(found, series)
    return None


def _thread_of(words: str, typed: str) -> Reading | None:
    """Return the thread that the reader of fasteners finds, if it finds nothing else."""
    from stores.handbook.fastener.grammar import read_text

    try:
        item = read_text(words)
    except NotationError:
        return None
    more = (
        *item.unread, item.name, item.length, item.quantity is not None, item.property_class,
        item.material, item.finish, item.head, item.standard,
    )  # fmt: skip
    if item.kind != "part" or not item.series or any(more) or not item.size.strip("M0."):
        return None
    if item.series == "metric fine" and not item.pitch_or_tpi:
        fine = [t for t in _of(Series.METRIC) if t.designation.startswith(f"{item.size}x")]
        names = ", ".join(thread.designation for thread in fine)
        raise NotationError(f"which fine pitch: {names or 'no table has one'}", typed)
    name = {"metric fine": "metric"}.get(item.series, item.series)
    if name not in _WORDS:
        return None
    size = f"G {item.size}" if name == "bsp" else item.size
    pitch = float(units.value(item.pitch_or_tpi)) if item.pitch_or_tpi else None
    return Reading(_WORDS[name], size, pitch)


_LONGEST = 60


def series_of(word: str) -> Series:
    """Return the series a word stands for: ``CEI``, ``BSCy`` and ``cycle`` are the cycle thread.

    Raises `NotationError` for a word that is none.

    >>> series_of("CEI") is series_of("BSCy")
    True
    """
    try:
        return _WORDS[word.lower().translate({ord(c): None for c in " .-"})]
    except KeyError:
        raise NotationError("not a series of threads", word) from None


def size_in_inches(size: str) -> float | None:
    """Return a size in inches: fraction, mixed number, decimal or # number; None if unreadable.

    >>> size_in_inches("1 1/2")
    1.5
    """
    if size.startswith("#"):
        return round(0.060 + 0.013 * int(size[1:]), 3) if size[1:].isdecimal() else None
    try:
        inches = float(units.value(size))
    except NotationError:
        return None
    return inches if inches > 0 else None


def number_in(text: str) -> float:
    """Return the number in a pitch or tpi as people write it: ``1,25 mm``, ``x1``, ``26 tpi``.

    Raises `NotationError` when there is none, or it is not above zero.

    >>> number_in("1,25 mm")
    1.25
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
    """Return the reading of a match, None when its parts contradict each other or one is zero."""
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
    """Return ``1-1/4`` as ``1 1/4`` and ``0,25`` as ``0.25``."""
    whole, _, fraction = size.replace(",", ".").replace("-", " ").rpartition(" ")
    return f"{whole.strip()} {fraction}" if whole.strip() else fraction


_ORDER = {series: at for at, series in enumerate(Series)}

# Whose canonical name is a size and a tpi comes first, when no series is said.
_BY_PREFERENCE = (
    Series.UNC, Series.UNF, Series.UNEF, Series.CYCLE, Series.BSW, Series.BSF,
)  # fmt: skip


@cache
def all_threads() -> tuple[Thread, ...]:
    """Return every thread of the tables, by series, then diameter, then pitch from the coarsest."""
    return tuple(thread for series in _ORDER for thread in _of(series))


@cache
def _of(series: Series) -> tuple[Thread, ...]:
    """Return the threads of one series, by diameter, then pitch from the coarsest."""
    own = {Series.METRIC: _metric, Series.BA: _ba, Series.G: _pipe}.get(series)
    threads = own() if own else _inch(series)
    return tuple(sorted(threads, key=lambda t: (t.major_mm, -t.pitch_mm)))


@lru_cache(maxsize=1024)
def get(designation: str) -> Thread:
    """Return the one thread a designation names, however it is written.

    Metric without a pitch is the coarse pitch (ISO 965-1). With no series said, a size and tpi
    that fit several series give the one whose name is written that way: Unified, then cycle,
    before BSW and BSF; `find` gives them all.

    Raises `NotationError` for what is no thread or may be several, and `NotFound`, naming the
    threads near it, for one that can be read but stands in no table (see `custom`).

    The coarse pitch of M8 is 1.25 mm (ISO 261), 1/4 BSF has 26 threads per inch (BS 84):

    >>> get("M8").pitch_mm, get("1/4 BSF").tpi
    (1.25, 26.0)
    """
    reading = read(designation)
    found = _matching(reading)
    if not found:
        near_by = ", ".join(t.designation for t in near(reading))
        hint = f"; near it: {near_by}" if near_by else ""
        raise NotFound(f"no table holds the thread {designation.strip()!r}{hint}")
    if len(found) > 1 and reading.pitch is None:
        names = ", ".join(t.designation for t in found)
        raise NotationError(f"may be more than one thread, say which ({names})", designation)
    if len(found) > 1:
        return min(found, key=lambda t: _BY_PREFERENCE.index(t.series))
    return found[0]


def named(typed: str) -> Thread:
    """Return the one thread that a person's words name; where they fit several, that is asked.

    Unlike with `get`, a size and tpi without a series is decided only where it is a name as it is
    written: ``1/4-20`` is Unified, but ``1/4 x 20`` and ``20 tpi 1/4`` describe BSW as well.

    Raises `TwoThreads` there, and `NotationError` and `NotFound` as `get` does.

    >>> named("1/4-20").designation, named("3/8 x 26").designation
    ('1/4-20 UNC', '3/8-26 cycle')
    """
    reading = read(typed)
    found = _matching(reading)
    if reading.series is None and reading.pitch is not None and len(found) > 1:
        unified = [t for t in found if t.series in (Series.UNC, Series.UNF, Series.UNEF)]
        if len(unified) == 1 and _AS_A_NAME.search(typed):
            return unified[0]
        names = " or ".join(t.designation for t in found)
        raise TwoThreads(f"{names}: say which", typed)
    return get(typed)


class TwoThreads(NotationError):
    """A size and a pitch that several series have."""


_AS_A_NAME = re.compile(r"^\s*(?:#\s*)?[\d\s/]*\d(?:\"|in)?(?:-|[xX])\d")


def find(series: str | None, size: str, pitch_or_tpi: str | None = None) -> tuple[Thread, ...]:
    """Return every thread of the tables that fits what is known; the caller settles ambiguity.

    3/8 at 26 tpi is cycle only; 1/4 at 26 is BSF and cycle. A metric size without a pitch is its
    coarse pitch, or every pitch of a size that has no coarse one. Empty: no table has it.

    Raises `NotationError` when a word cannot be read.

    Args:
        series: a series or another word for it, None where that is open.
        size: as written, ``M8``, ``1/4``, ``2BA``.
        pitch_or_tpi: pitch [mm] or threads per inch, None where that is open.

    >>> [thread.designation for thread in find(None, "1/4", "26")]
    ['1/4 BSF', '1/4-26 cycle']
    """
    reading = _read_size(series_of(series) if series else None, size)
    if reading is None:
        return ()
    pitch = number_in(pitch_or_tpi) if pitch_or_tpi else reading.pitch
    return _matching(Reading(reading.series, reading.size, pitch))


def _read_size(series: Series | None, size: str) -> Reading | None:
    """Read a size of a known series (``8`` is M8 in metric); None if it belongs to another one."""
    size = size.strip()
    if series is Series.METRIC and size[:1] not in ("m", "M"):
        size = f"M{size}"
    elif series is Series.G and size[:1] not in ("g", "G") and size[-1:].isdecimal():
        size = f"G{size}"
    elif series is Series.BA and size.isdecimal():
        size = f"{size}BA"
    reading = read(size)
    if series and reading.series not in (None, series):
        return None
    return Reading(series or reading.series, reading.size, reading.pitch)


def near(reading: Reading, count: int = 4) -> tuple[Thread, ...]:
    """Return the threads nearest to one that no table holds, nearest first.

    Nearness is of size before pitch. Only the series read, if one was.

    Args:
        reading: what was read.
        count: at most so many.

    >>> [thread.designation for thread in near(read("M9 x 1.1"), 2)]
    ['M9x1', 'M9']
    """
    sought = _nominal(reading.series, reading.size)
    by_tpi = reading.series is None or reading.series.by_tpi

    def distance(thread: Thread) -> float:
        apart = 4 * abs(log(_nominal(thread.series, thread.size) / sought))
        if reading.pitch is None:
            return apart
        pitch = thread.tpi if by_tpi and thread.tpi else thread.pitch_mm
        return apart + abs(log(pitch / reading.pitch))

    candidates = (
        t
        for t in all_threads()
        if (t.series is reading.series if reading.series else t.series.in_inches)
    )
    return tuple(sorted(candidates, key=distance)[:count])


def _nominal(series: Series | None, size: str) -> float:
    """Return a size as a number to compare within its series: mm, inches, or the BA number + 1."""
    match series:
        case Series.METRIC:
            return float(size[1:])
        case Series.BA:
            return 1 + float(size.removesuffix("BA"))
        case _:
            return size_in_inches(size.removeprefix("G ")) or 1.0


def custom(
    series: Series | str,
    size: str | None = None,
    *,
    major_mm: float | None = None,
    pitch_mm: float | None = None,
    tpi: float | None = None,
) -> Thread:
    """Build a thread by the form of a series, whether or not a table holds it.

    ``size`` is what the trade would write (``M8``, ``13/16``, ``2BA``, ``G 1/8``); the diameter is
    read from it unless ``major_mm`` is given, and it is made from ``major_mm`` when it is not (not
    for BA and G). Give the pitch in mm or the tpi. A thread that a table holds comes from there.

    Raises `BadValue` for a diameter outside 0.1 to 1000 mm, a pitch that leaves no core, or when
    not exactly one of pitch and tpi is given.

    Args:
        series: whose form it has.
        size: what the trade would write.
        major_mm: its outside diameter [mm].
        pitch_mm: its pitch [mm]; or
        tpi: its threads per inch.

    An inch over twenty is 1.27 mm:

    >>> thread = custom("bsw", "13/16", tpi=20)
    >>> round(thread.major_mm, 4), round(thread.pitch_mm, 2)
    (20.6375, 1.27)
    """
    kind = Series(series)
    if (pitch_mm is None) == (tpi is None):
        raise BadValue("a thread has a pitch in mm or a number of threads per inch: give one")
    if size is None and (major_mm is None or kind in (Series.BA, Series.G)):
        raise BadValue(f"a {kind} thread needs a size, and BA and G sizes are not diameters")
    if size is not None:
        reading = _read_size(kind, size)
        if reading is None:
            raise BadValue(f"{size!r} is not a size of a {kind} thread")
        size = reading.size
        same = _index(None).get(size, ())
        major_mm = major_mm or reading.major_mm or next((t.major_mm for t in same), 0.0)
    major_mm = round(major_mm or 0.0, 9)
    if not 0.1 <= major_mm <= 1000:
        raise BadValue(f"major diameter {major_mm:g} mm: expected 0.1 to 1000 mm")
    if pitch_mm is None:
        pitch_mm = MM_PER_INCH / tpi if tpi and tpi > 0 else 0.0
    if not 0 < pitch_mm * FORM[kind].root < major_mm:
        raise BadValue(f"pitch {pitch_mm:g} mm does not fit a diameter of {major_mm:g} mm")
    if not kind.by_tpi:
        tpi = None
    elif tpi is None:
        tpi = MM_PER_INCH / pitch_mm
    for thread in all_threads():
        if (
            thread.series is kind
            and isclose(thread.major_mm, major_mm, abs_tol=1e-4)
            and isclose(thread.pitch_mm, pitch_mm, rel_tol=1e-6)
        ):
            return thread
    return Thread(
        kind, size or _size(kind, major_mm), major_mm, pitch_mm, tpi, FORM[kind].flank_angle_deg,
        coarse=False, source=f"in no table; form of {FORM[kind].source}", standard=False,
    )  # fmt: skip


def _size(series: Series, major_mm: float) -> str:
    """Name a diameter as the series writes its sizes: a 64th of an inch as a fraction."""
    if series is Series.METRIC:
        return f"M{major_mm:g}"
    inches = major_mm / MM_PER_INCH
    parts = round(inches * 64)
    if not isclose(inches * 64, parts, abs_tol=1e-6):
        return f"{inches:.4g}"
    whole, above, below = parts // 64, parts % 64, 64
    while above and above % 2 == 0:
        above, below = above // 2, below // 2
    return " ".join(p for p in (str(whole or ""), f"{above}/{below}" if above else "") if p)


def _matching(reading: Reading) -> tuple[Thread, ...]:
    keys: list[str | float] = [reading.size]
    if reading.series not in (Series.METRIC, Series.BA, Series.G):
        keys = [round(size_in_inches(reading.size) or 0.0, 4)]
        if reading.size.isdecimal():
            keys.append(f"#{reading.size}")
    threads = [
        thread
        for key in keys
        for thread in _index(reading.series).get(key, ())
        if reading.series in (None, thread.series)
    ]
    if reading.pitch is not None:
        pitch = reading.pitch
        return tuple(t for t in threads if isclose(pitch, t.tpi or t.pitch_mm, rel_tol=1e-6))
    coarse = tuple(t for t in threads if t.coarse and t.series is Series.METRIC)
    return coarse or tuple(threads)


@cache
def _index(series: Series | None) -> dict[str | float, tuple[Thread, ...]]:
    """Return the threads of a series, or all, by size; those in inches by the diameter, to four
    decimals, as well."""
    index: dict[str | float, list[Thread]] = {}
    for thread in all_threads() if series is None else _of(series):
        index.setdefault(thread.size, []).append(thread)
        if thread.series.in_inches:
            index.setdefault(round(thread.major_in, 4), []).append(thread)
    return {size: tuple(threads) for size, threads in index.items()}


# ---- tables
def _metric() -> list[Thread]:
    return [
        Thread(
            Series.METRIC, f"M{row['d_mm']}", float(row["d_mm"]), float(row["p_mm"]), None, 60.0,
            row["coarse"] == "yes", int(row["choice"]) if row["choice"] else None,
            row["source"], row["note"], True, number(row["tap_drill_mm"]),
        )
        for row in table("threads_metric")
    ]  # fmt: skip


def _inch(series: Series) -> list[Thread]:
    angle = FORM[series].flank_angle_deg
    coarse = series in (Series.BSW, Series.UNC)
    threads = []
    for row in table(f"threads_{series.value}"):
        size, tpi = row["size_in"], float(row["tpi"])
        if (inches := size_in_inches(size)) is None:
            raise BadValue(f"threads_{series.value}.csv: no size {size!r}")
        close, free = row.get("tap_drill_75"), row.get("tap_drill_50")
        threads.append(
            Thread(
                series, size, round(inches * MM_PER_INCH, 9), MM_PER_INCH / tpi, tpi, angle,
                coarse, None, row["source"], row["note"], True, number(row["tap_drill_mm"]),
                (close, free) if close and free else None,
            )
        )  # fmt: skip
    return threads


def _ba() -> list[Thread]:
    return [
        Thread(
            Series.BA, f"{row['number']}BA", float(row["d_mm"]), float(row["p_mm"]), None, 47.5,
            False, None, row["source"], row["note"], True, number(row["tap_drill_mm"]),
        )
        for row in table("threads_ba")
    ]  # fmt: skip


def _pipe() -> list[Thread]:
    return [
        Thread(
            Series.G, f"G {row['size_in']}", float(row["d_mm"]), MM_PER_INCH / float(row["tpi"]),
            float(row["tpi"]), 55.0, False, None, row["source"], row["note"], True,
            number(row["tap_drill_mm"]),
        )
        for row in table("threads_g")
    ]  # fmt: skip
