"""Every thread the tables hold, and how to find one by name."""

from functools import cache, lru_cache
from math import isclose, log

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.table import number, table
from stores.handbook.thread.form import FORM, MM_PER_INCH, Series
from stores.handbook.thread.model import Thread
from stores.handbook.thread.notation import Reading, number_in, read, series_of, size_in_inches

__all__ = ["all_threads", "custom", "find", "get", "near"]

_ORDER = {series: at for at, series in enumerate(Series)}

# Whose canonical name is a size and a tpi comes first, when no series is said.
_BY_PREFERENCE = (
    Series.UNC, Series.UNF, Series.UNEF, Series.CYCLE, Series.BSW, Series.BSF,
)  # fmt: skip


@cache
def all_threads() -> tuple[Thread, ...]:
    """Give every thread of the tables, by series, then diameter, then pitch from the coarsest."""
    return tuple(thread for series in _ORDER for thread in _of(series))


@cache
def _of(series: Series) -> tuple[Thread, ...]:
    """Give the threads of one series, by diameter, then pitch from the coarsest."""
    own = {Series.METRIC: _metric, Series.BA: _ba, Series.G: _pipe}.get(series)
    threads = own() if own else _inch(series)
    return tuple(sorted(threads, key=lambda t: (t.major_mm, -t.pitch_mm)))


@lru_cache(maxsize=1024)
def get(designation: str) -> Thread:
    """Give the one thread a designation names, however it is written.

    Metric without a pitch is the coarse pitch (ISO 965-1). With no series said, a size and tpi
    that fit several series give the one whose name is written that way: Unified, then cycle,
    before BSW and BSF; `find` gives them all.

    Raises `NotationError` for what is no thread or may be several, and `NotFound`, naming the
    threads near it, for one that can be read but stands in no table (see `custom`).
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


def find(series: str | None, size: str, pitch_or_tpi: str | None = None) -> tuple[Thread, ...]:
    """Give every thread of the tables that fits what is known; the caller settles ambiguity.

    3/8 at 26 tpi is cycle only; 1/4 at 26 is BSF and cycle. A metric size without a pitch is its
    coarse pitch, or every pitch of a size that has no coarse one. Empty: no table has it.

    Raises `NotationError` when a word cannot be read.
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
    """Give the threads nearest to one that no table holds, nearest first.

    Nearness is of size before pitch. Only the series read, if one was.
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
    """Give a size as a number to compare within its series: mm, inches, or the BA number + 1."""
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
    """Give the threads of a series, or all, by size; those in inches by the diameter, to four
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
