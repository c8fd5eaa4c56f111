"""The one way a fastener is written: short, as on a workshop label.

The order is always::

    quantity  size-tpi series x length  material  what it is for  drive head form kind  class
    finish  standard  marks  (what it is for, when it does not read well in front)  [not understood]

    4 M6 x 25 hex bolt 8.8 zinc
    2 off 1/4 BSF x 3/4 cheese head screw
    2BA brass nut
    M8 cylinder head nut
    6 M6 spring washer
    20 x 35 x 7 mm oil seal

"off" stands only where two figures would run together. Lengths of metric threads are in
millimetres and of inch threads in inches unless the unit is written.

What the thread tables say of the sizes in a text.
"""

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from stores import units
from stores.errors import NotationError
from stores.handbook.fastener.model import MM_PER_INCH, Fastener, Kind, Measure, Series
from stores.handbook.fastener.tokens import LIMIT
from stores.handbook.fastener.words import Phrase, fold, vocabulary

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = [
    "COARSE_PITCH",
    "PITCHES",
    "designation",
    "diameter_mm",
    "has_size",
    "inch_families",
    "size_value",
    "thread_of",
    "write",
]


# ISO 261 first and second choice, coarse pitches; M1.7, M2.3, M2.6: old DIN 13 sizes.
COARSE_PITCH = {
    "M1": "0.25", "M1.1": "0.25", "M1.2": "0.25", "M1.4": "0.3", "M1.6": "0.35", "M1.7": "0.35",
    "M1.8": "0.35", "M2": "0.4", "M2.2": "0.45", "M2.3": "0.4", "M2.5": "0.45", "M2.6": "0.45",
    "M3": "0.5", "M3.5": "0.6", "M4": "0.7", "M4.5": "0.75", "M5": "0.8", "M6": "1", "M7": "1",
    "M8": "1.25", "M9": "1.25", "M10": "1.5", "M11": "1.5", "M12": "1.75", "M14": "2", "M16": "2",
    "M18": "2.5", "M20": "2.5", "M22": "2.5", "M24": "3", "M27": "3", "M30": "3.5", "M33": "3.5",
    "M36": "4", "M39": "4", "M42": "4.5", "M45": "4.5", "M48": "5", "M52": "5", "M56": "5.5",
    "M60": "5.5", "M64": "6",
}  # fmt: skip
# Pitches of ISO 261, all sizes.
PITCHES = frozenset(
    Fraction(p)
    for p in [
        "0.2", "0.25", "0.3", "0.35", "0.4", "0.45", "0.5", "0.6", "0.7", "0.75", "0.8", "1",
        "1.25", "1.5", "1.75", "2", "2.5", "3", "3.5", "4", "4.5", "5", "5.5", "6",
    ]
)  # fmt: skip

_TABLED = frozenset(("unc", "unf", "unef", "bsw", "bsf", "cycle"))

_ORDER = (Series.UNC, Series.UNF, Series.BSW, Series.BSF, Series.CYCLE, Series.UNEF)


def _find(series: str | None, size: str, pitch: str | None) -> "tuple[Thread, ...]":
    """Look in the tables; a size they cannot read is in none of them."""
    from stores.handbook.thread import find

    try:
        return find(series, size, pitch)
    except NotationError:
        return ()


@cache
def inch_families(size: str, tpi: str) -> tuple[Series, ...]:
    """Return the inch series that have this size with so many threads per inch.

    >>> [series.value for series in inch_families("1/4", "26")]
    ['bsf', 'cycle']
    """
    found = {thread.series.value for thread in _find(None, size, tpi)}
    return tuple(series for series in _ORDER if series.value in found)


def has_size(series: Series, size: str) -> bool:
    """Return whether the tables have this size in a series; True for a series without a table."""
    if series.value not in _TABLED:
        return True
    return bool(_find(series.value, size, None))


def thread_of(item: Fastener) -> "Thread | None":
    """Find the one thread in the tables that the fastener names, or None.

    >>> from stores.handbook.fastener import parse
    >>> thread_of(parse("1/4 BSF bolt")).designation
    '1/4 BSF'
    """
    if not item.size or item.series is None:
        return None
    name = {Series.METRIC_FINE: "metric", Series.BSP: "g"}.get(item.series, item.series.value)
    found = _find(name, item.size, item.pitch_or_tpi or None)
    if len(found) > 1 and item.series is Series.METRIC and not item.pitch_or_tpi:
        found = _find(name, item.size, COARSE_PITCH.get(item.size))
    return found[0] if len(found) == 1 else None


# Number sizes of the Unified series: 0.060 in and 0.013 in for each number (ASME B1.1). Wood and
# tapping screw gauges use the same rule (BS 1210 rounds it).
def size_value(size: str) -> Fraction | None:
    """Return the nominal diameter in mm of a size text such as ``M6``, ``1/4``, ``#10``, ``6 mm``.

    >>> float(size_value("1/4")), float(size_value("M6"))
    (6.35, 6.0)
    """
    if not size:
        return None
    if size[0] in "MT":
        return units.value(size.lstrip("MTr"))
    if size[0] == "#":
        return (Fraction(60, 1000) + Fraction(13, 1000) * int(size[1:])) * MM_PER_INCH
    if size.endswith("BA"):
        return None
    if size.endswith(" mm"):
        return units.value(size.removesuffix(" mm"))
    return units.value(size.removesuffix(" in")) * MM_PER_INCH


def diameter_mm(item: Fastener) -> float | None:
    """Return the nominal diameter in mm: from the tables for BA and pipe threads, else the size.

    0BA is 6 mm (BS 93):

    >>> from stores.handbook.fastener import parse
    >>> diameter_mm(parse("1/4 BSF bolt")), diameter_mm(parse("0BA nut"))
    (6.35, 6.0)
    """
    if item.series in (Series.BA, Series.BSP, Series.BSPT):
        thread = thread_of(item)
        return thread.major_mm if thread else None
    if item.series is Series.NPT or (item.kind is Kind.TAPER_PIN and item.size[:1] == "#"):
        return None
    value = size_value(item.size)
    return None if value is None else float(value)


SERIES_LABEL = {
    Series.UNC: "UNC", Series.UNF: "UNF", Series.UNEF: "UNEF", Series.UNS: "UNS",
    Series.BSW: "BSW", Series.BSF: "BSF", Series.CYCLE: "cycle", Series.BSP: "BSP",
    Series.BSPT: "BSPT", Series.BRASS: "BSB", Series.NPT: "NPT",
}  # fmt: skip

INCH_SERIES = frozenset((*SERIES_LABEL, Series.BA))

_METRIC = (Series.METRIC, Series.METRIC_FINE, Series.TRAPEZOIDAL)

_HEAD = {
    "pan": "pan head", "cheese": "cheese head", "round": "round head", "button": "button head",
    "fillister": "fillister head", "dome": "dome head", "mushroom": "mushroom head",
    "truss": "truss head", "square": "square head", "cup": "cup head", "bugle": "bugle head",
    "binding": "binding head", "wafer": "wafer head", "T": "tee head",
    "instrument": "instrument head", "low socket cap": "low socket cap",
}  # fmt: skip

_DRIVE = {
    "slot": "slotted", "cross": "cross-recess", "square": "square drive",
    "12-point": "twelve point",
}  # fmt: skip

_LONG = (
    Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.STANDOFF, Kind.INSERT,
    Kind.PLUG, Kind.PART,
)  # fmt: skip
# A lone fraction that is a measure, not the name of a thread.
_ROUND = (Kind.BALL, Kind.CIRCLIP, Kind.E_CLIP)

_BARE = 99
"""The largest count written bare; above it a figure alone may be the number of a part."""

_MIXED = re.compile(r"^([0-9]+) ([0-9]+/[0-9]+)")

_NOUN: dict[str, str] = {Kind.BALL: "loose ball", Kind.SETSCREW: "set screw"}


@lru_cache(maxsize=4096)
def write(item: Fastener) -> str:
    """Return the canonical text of a fastener.

    Material and name stand before the noun, "brass head nut", where that reads back as the same
    thing; else behind it.

    >>> from stores.handbook.fastener import parse
    >>> write(parse("screw, csk, M6 by 20"))
    'M6 x 20 countersunk screw'
    """
    last = _written(item, name_first=False, material_first=False)
    for name_first, material_first in _orders(item):
        text = _written(item, name_first=name_first, material_first=material_first)
        if _reads_as(text, item):
            return text
    return last


def _orders(item: Fastener) -> list[tuple[bool, bool]]:
    """List the orders to try, best first."""
    if item.kind is Kind.PART and not item.size and not item.standard:
        return []
    name = item.kind is not Kind.PART and _plain_words(item.name)
    material = bool(item.material)
    return [
        order
        for order in ((True, True), (False, True), (True, False))
        if (name or not order[0]) and (material or not order[1])
    ]


def _plain_words(name: str) -> bool:
    """Tell a name of words alone, none of which begins another phrase: "for ...", "with ..."."""
    phrases = vocabulary()[0]
    return bool(name) and all(
        word.replace("-", "").isalpha() and not _links(phrases.get(fold(word)))
        for word in name.split(" ")
    )


def _links(known: Phrase | None) -> bool:
    return known is not None and any(known.get(n) for n in ("prep", "with", "and", "or"))


def _reads_as(text: str, item: Fastener) -> bool:
    from stores.handbook.fastener.grammar import read_text

    try:
        return len(text) <= LIMIT and read_text(text) == item
    except NotationError:
        return False


def _written(item: Fastener, *, name_first: bool, material_first: bool) -> str:
    pieces = _pieces(item, name_first, material_first)
    body = [text for text in pieces if text]
    text = " ".join(body)
    if item.quantity is None:
        # "1 1/4 BSF" could be one off 1/4 BSF; the hyphen settles it.
        return text if not body or not designation(item) else _MIXED.sub(r"\1-\2", text)
    return (
        f"{item.quantity} off {text}"
        if text[:1] in "0123456789.,#½¼¾⅛⅜⅝⅞-+/" or item.quantity > _BARE
        else f"{item.quantity} {text}"
    )


def _pieces(item: Fastener, name_first: bool, material_first: bool) -> list[str]:
    plain = item.kind is Kind.PART and not item.size and not item.standard
    front = item.name if name_first or plain else ""
    return [
        designation(item),
        item.material if material_first else "",
        front,
        _described(item),
        _class(item.property_class),
        "" if material_first else item.material,
        item.finish if item.finish != "plain" else "plain finish",
        item.standard,
        "" if _fit_after(item) else item.thread_class,
        item.marks,
        f"({item.name})" if item.name and not front else "",
        *(f"[{piece}]" for piece in item.unread),
    ]


def _described(item: Fastener) -> str:
    kind = str(item.kind)
    words = []
    if item.head == "socket cap":
        words.append(
            {"hex socket": "socket cap", "": "cap head"}.get(item.drive)
            or f"{_drive(item)} cap head"
        )
    elif item.head == "low socket cap" and item.drive == "hex socket":
        words.append("low head cap")
    elif item.kind is Kind.SETSCREW and item.head == "headless":
        words.append(_drive(item))
        kind = "grub screw"
    else:
        words += [_drive(item), _HEAD.get(item.head, item.head)]
    words.append(item.form)
    if item.series is Series.WOOD:
        words.append("wood")
    elif item.series is Series.SELF_TAPPING:
        words.append("self-tapping")
    if item.form == "press stud" or item.kind is Kind.PART:
        kind = ""
    words.append(_NOUN.get(kind, kind))
    return " ".join(word for word in words if word)


def _drive(item: Fastener) -> str:
    return _DRIVE.get(item.drive, item.drive)


def _class(text: str) -> str:
    return f"class {text}" if text.isdigit() else text


def designation(item: Fastener) -> str:
    """Write the size, pitch or tpi, series, further dimensions and length.

    >>> from stores.handbook.fastener import parse
    >>> designation(parse("M6x25 hex bolt")), designation(parse("1/4 BSF nut"))
    ('M6 x 25', '1/4 BSF')
    """
    size = item.size
    if not size and item.series and item.series in (*SERIES_LABEL, *_METRIC):
        size = SERIES_LABEL.get(item.series, item.series)
    elif item.series in _METRIC and size:
        size += f" x {item.pitch_or_tpi}" if item.pitch_or_tpi else ""
        if item.series is Series.METRIC_FINE and not item.pitch_or_tpi:
            size += " metric fine"
        size += _fit_after(item)
    elif size:
        size += _tpi(item)
        label = SERIES_LABEL.get(item.series) if item.series else ""
        size += f" {label}" if label else ""
        size += _fit_after(item)
    more = [*item.dimensions, *([item.length] if item.length else [])]
    if not more and item.kind in _ROUND and "/" in size and not item.series:
        return f"{size} in"
    if not more:
        return f"{size} dia" if size.endswith((" mm", " in")) and item.kind in _LONG else size
    house = "mm" if item.series in _METRIC else "in" if item.series in INCH_SERIES else ""
    if house and not item.dimensions and more[0].unit == house:
        return f"{size} x {more[0].number()}" if size else f"{more[0]} long"
    bare = size.removesuffix(" mm").removesuffix(" in")
    if not size and not item.dimensions:
        return f"{more[0]} long"
    return " x ".join(
        [*([bare if _unit(size) == _common(more) else size] if size else []), _measures(more)]
    )


def _tpi(item: Fastener) -> str:
    """Write the pitch; "x 20 tpi" where a hyphen would name the Unified thread."""
    if not item.pitch_or_tpi:
        return ""
    if item.series is None and not item.size.endswith((" mm", " in")):
        found = inch_families(item.size, item.pitch_or_tpi)
        unified = Series.UNC in found or Series.UNF in found
        if unified and (Series.BSW in found or Series.CYCLE in found):
            return f" x {item.pitch_or_tpi} tpi"
    return f"-{item.pitch_or_tpi}"


def _fit_after(item: Fastener) -> str:
    """Write a class that is figures and letters right after the thread: M10-6g, 1/4-20 UNC-2A."""
    fit = item.thread_class
    return f"-{fit}" if fit and not fit.endswith(" fit") and item.size else ""


def _unit(size: str) -> str:
    return size[-2:] if size.endswith((" mm", " in")) else ""


def _common(measures: list[Measure]) -> str:
    units = {m.unit for m in measures}
    return units.pop() if len(units) == 1 else "mixed"


def _measures(measures: list[Measure]) -> str:
    if _common(measures) == "mixed":
        return " x ".join(str(m) for m in measures)
    *most, last = measures
    text = " x ".join(f"{m.number()} {m.of}".rstrip() for m in most)
    return f"{text} x {last}" if text else str(last)
