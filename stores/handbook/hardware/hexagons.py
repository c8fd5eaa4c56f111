"""Hexagons of inch and BA threads: nuts and bolt heads, their flats, heights and spanners.

The flats are those of across_flats.csv, which knows the spanner of every thread; the heights stand
beside them where a standard's are known. One row is one hexagon: BSW and BSF share theirs since
BS 1083, UNC and UNF always.

::

    >>> [row["spanner"] for row in rows("inch nut") if row["thread"] == "1/4 BSW/BSF"]
    ['3/16 W / 1/4 BS']
"""

import re
from dataclasses import replace
from functools import cache, partial
from types import MappingProxyType
from typing import TYPE_CHECKING

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware.inch_washers import screw_outside_mm
from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import (
    Dim,
    Kind,
    Piece,
    Row,
    as_fraction,
    between,
    column,
    it,
    shown,
)
from stores.handbook.table import table

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = ["HEXAGONS", "hexagons_of", "of_thread", "rows", "slotted_of"]

_NUTS = ("hexagon", "hexagon nut", "machine-screw nut")
_HEADS = ("hexagon", "hexagon head")

# Series of across_flats.csv as they stand in a name; UNEF shares the row, and is seldom a nut.
_SERIES = {"bsw": "BSW", "bsf": "BSF", "cycle": "cycle", "unc": "UNC", "unf": "UNF", "ba": ""}


@cache
def rows(kind: str) -> tuple[Row, ...]:
    """Return every hexagon of the kind "inch nut" or "inch bolt head", one row each."""
    heights: dict[tuple[str, str, str], list[Row]] = {}
    for row in table("hardware_inch_hexagons"):
        if ("nut" in row["part"]) == (kind == "inch nut"):
            key = (row["system"], row["flats_of"], row["thread"])
            heights.setdefault(key, []).append(row)
    made: list[Row] = []
    for flats in table("across_flats"):
        if flats["series"] == "metric" or flats["part"] not in (
            _NUTS if kind == "inch nut" else _HEADS
        ):
            continue
        # The hexagon of a cycle thread is by common practice; its height nobody has laid down.
        high = heights.get((flats["system"], flats["part"], flats["thread"]), [])
        own = {"hexagon nut": "nut", "machine-screw nut": "machine-screw nut"}
        plain = own.get(flats["part"], "nut" if kind == "inch nut" else "bolt")
        made += [_joined(flats, one) for one in high]
        if all(one["part"] != plain for one in high):
            made.append(_joined(flats, {"part": plain, "source": ""}))
    return tuple(made)


def _joined(flats: Row, height: Row) -> Row:
    source = flats["source"]
    if height["source"]:
        source = f"flats: {source}; height: {height['source']}"
    names = "/".join(_SERIES[word] for word in flats["series"].split() if word in _SERIES)
    return MappingProxyType(
        {
            "standard": flats["system"],
            "series": flats["series"],
            "size": flats["thread"],
            "thread": f"{flats['thread']} {names}".strip(),
            "part": height["part"],
            "spanner": flats["name"],
            "d_mm": shown(_outside(flats["thread"], flats["series"].split()[0])),
            "s_mm": shown(float(flats["af_mm"])),
            "s_min_mm": _mm(flats.get("af_min_in", "")),
            "m_mm": _mm(height.get("height_in", "")),
            "m_max_mm": _mm(height.get("height_max_in", "")),
            "m_min_mm": _mm(height.get("height_min_in", "")),
            "m_in": height.get("height_in", ""),
            "af_in": flats["af_in"],
            "height_source": height["source"],
            "source": source,
        }
    )


def _mm(inches: str) -> str:
    return shown(round(25.4 * float(inches), 2)) if inches else ""


def _outside(size: str, series: str) -> float:
    if series == "ba":
        from stores.handbook.thread import get

        return get(size).major_mm
    return screw_outside_mm(size)


def _flats(row: Row, value: float) -> tuple[float, float]:
    if row["s_min_mm"]:
        return (float(row["s_min_mm"]) - value, 0.0)
    return it(14, "-")(row, value)


def _height(row: Row, value: float) -> tuple[float, float]:
    if not row["m_min_mm"]:
        return it(14, "js")(row, value)
    return between(column("m_min_mm"), column("m_max_mm"))(row, value)


def _called(row: Row) -> str:
    return f"{row['thread']} {row['part']}"


def _notes(row: Row) -> tuple[str, ...]:
    notes = [f"spanner {row['spanner']}, {row['af_in']} in across flats"]
    if row["m_mm"]:
        low, high = row["m_min_mm"], row["m_max_mm"]
        inches = f"{as_fraction(float(row['m_in']))} in"
        limits = f"; {low} to {high} mm as made" if low else ""
        what = "head" if row["part"].endswith("bolt") else "nut"
        notes.append(f"{what} {inches} high{limits}")
    else:
        notes.append("its height is not in our list: measure it")
    if row["part"] == "bolt" and row["standard"] == "Unified":
        notes.append("the finished bolt (cap screw); a plain bolt has a higher head")
    if row["standard"].startswith("Whitworth large"):
        notes.append(
            "the older hexagon; by Whitworth's proportions the nut is as high as the thread is "
            "thick, the head seven eighths of that (common practice)"
        )
    notes.append("an old one may have been made to another standard: measure the flats")
    return tuple(notes)


def _kind(name: str, words: tuple[str, ...], height: str) -> Kind:
    letter = "m" if name == "inch nut" else "k"
    return Kind(
        name,
        words,
        partial(rows, name),
        (
            Dim("s", "across flats", column("s_mm"), _flats),
            Dim(letter, height, column("m_mm"), _height),
            Dim("d", "thread outside diameter", column("d_mm"), lambda _, __: (-0.3, 0.0)),
        ),
        _called,
        lambda row: row["standard"],
        lambda row: (_called(row),),
        trade=(("s", letter, "d"), ("d",)),
        typed=f"thread (as 1/4 BSF, 2BA); or across flats, {height}",
        notes=_notes,
    )


HEXAGONS = (
    _kind(
        "inch nut",
        ("inch hex nut", "inch hexagon nut", "british nut", "whitworth nut", "imperial nut"),
        "height",
    ),
    _kind(
        "inch bolt head",
        ("inch bolt", "inch hex bolt", "british bolt", "whitworth bolt", "imperial bolt"),
        "head height",
    ),
)


def of_thread(thread: "Thread", kind: str) -> tuple[Row, ...]:
    """Return the hexagons of a thread, of the kind "inch nut" or "inch bolt head"."""
    return tuple(
        row
        for row in rows(kind)
        if thread.series.value in row["series"].split() and row["size"] == thread.size
    )


_WORD = (
    r"(?i)\b(?:(?P<thin>thin|lock|half|jam)[ -]?)?(?:hex(?:agon)?(?: head)? ?)?"
    r"(?P<part>nut|bolt|set ?screw|stud)s?\b(?: heads?\b)?"
)

_LENGTH = r" *x *((?:\d+[ -])?\d+(?:/\d+)?|\d+\.\d+) *(?:in|mm)?$"


def hexagons_of(text: str) -> tuple[Piece, ...]:
    """Read "nut 1/4 BSF", "thin nut 5/16 UNF", "2BA bolt": the hexagons of a thread by name.

    A thread alone, 1/4 BSF, gives the head and the nut; a size alone, 1/4 bolt, those of every
    series; ``s=7/16``, across flats in inches, the threads whose hexagon that is. Empty where the
    text is neither, and for metric threads.

    Raises `NotationError` where size and pitch fit two threads, "1/4 x 20 bolt": which is asked.

    >>> [found.designation for found in hexagons_of("nut 1/4 BSF")]
    ['1/4 BSF nut']
    """
    from stores.handbook.thread import Series, get

    part = re.search(_WORD, text)
    if not part:
        return _of_bare_thread(text)
    nut = part["part"].lower() in ("nut", "stud")  # a stud has no head, but its nut's hexagon
    kind = HEXAGONS[0] if nut else HEXAGONS[1]
    rest = " ".join(re.sub(_WORD, " ", text).split())
    described = _described(rest)
    length = None if described else re.search(_LENGTH, rest)
    if part["part"].lower() == "nut":
        length = None
    if length:
        rest = rest[: length.start()]
    sized = re.fullmatch(r"s=(\d+/\d+) *(?:in)?", rest)
    found = kind.rows()
    thread: Thread | None = None
    if sized:
        flats = 25.4 * float(units.value(sized[1]))
        found = tuple(row for row in found if abs(float(row["s_mm"]) - flats) < 0.1)
    elif re.fullmatch(r"(?:\d+ )?\d+/\d+|#\d+", rest):
        found = tuple(row for row in found if row["size"] == rest)  # of every series
    else:
        try:
            thread = described or get(rest)
        except (NotationError, NotFound, BadValue) as error:
            if "more than one thread" in str(error) and re.search("(?i)[a-z]", rest):
                raise  # 1 UNC: an inch, or number 1
            return ()
        if thread.series is Series.METRIC:
            return ()
        found = of_thread(thread, kind.name)
    if nut and part["thin"]:
        found = tuple(row for row in found if row["part"] == "thin nut")
        if not found:
            raise NotFound(
                f"thin nut {rest}: its height is not in our list; measure it, the flats are those "
                "of the full nut"
            )
    behind = f" x {length[1]}" if length and not nut else ""
    return tuple(
        replace(piece(kind, row), designation=f"{_asked(thread, row)}{behind} {row['part']}")
        for row in found
    )


_DESCRIBED = re.compile(r"((?:\d+ )?\d+/\d+|\d*\.\d+)(?: ?in)? *x *\d{1,2}(?: *tpi)?(?= *x|$)")


def _described(rest: str) -> "Thread | None":
    """Return the thread of a size and its threads per inch, "1/4 x 28"; None for a length.

    Raises `NotationError` where two threads have them, as `named` does.
    """
    from stores.handbook.thread import named
    from stores.handbook.thread.catalogue import TwoThreads

    found = _DESCRIBED.match(rest)
    if found is None:
        return None
    try:
        return named(found[0])
    except TwoThreads:
        raise
    except (NotationError, NotFound, BadValue):
        return None


_NAMED = re.compile(r"(?i)(?:bsw|bsf|whit(?:worth)?|unf|unc|cei|cycle|ba)\.?$")


def _of_bare_thread(text: str) -> tuple[Piece, ...]:
    """Return head and nut of a thread named alone, "1/4 BSW" and "4BA"; empty for other text."""
    if not _NAMED.search(text):
        return ()
    return (*hexagons_of(f"{text} bolt"), *hexagons_of(f"{text} nut"))


_SCREW = re.compile(r"(?i)\b(?:screws?|heads?|hd|csk|countersunk)\b")
_SLOTTED = ("cheese", "round", "pan", "countersunk", "raised countersunk", "fillister", "mushroom")


def slotted_of(text: str) -> tuple[Piece, ...]:
    """Read "4BA cheese head screw": its thread, and that no spanner turns it; inch and BA only.

    The heads of BS 57 and BS 450 screws are not in our tables, which is said.

    >>> [found.designation for found in slotted_of("4BA cheese head screw")]
    ['4BA cheese head screw']
    """
    if not _SCREW.search(text):
        return ()
    from stores.handbook.fastener import parse
    from stores.handbook.fastener.writing import thread_of

    item = parse(text)
    thread = thread_of(item) if item.head in _SLOTTED else None
    if thread is None or thread.series.value not in _SERIES:
        return ()
    notes = (
        f"thread {thread.major_mm:.4g} mm outside, pitch {thread.pitch_mm:.4g} mm",
        "turned by its slot: no spanner",
        "the size of its head is not in our list: measure it",
    )
    return (
        Piece(
            str(replace(item, quantity=None)), "slotted head", thread.designation,
            {"d": round(thread.major_mm, 3)}, {}, {}, thread.source, notes,
        ),
    )  # fmt: skip


def _asked(thread: "Thread | None", row: Row) -> str:
    """Return the thread that was asked for, or those that share the hexagon: 1/4 BSF, 2BA."""
    if thread is None or thread.series.value == "ba":
        return row["thread"]
    series = thread.series.value
    return f"{thread.size} {series if series == 'cycle' else series.upper()}"
