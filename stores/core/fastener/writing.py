"""The one way a fastener is written: short, as on a workshop label.

The order is always::

    quantity  size-tpi series x length  what it is for  drive head form kind  class  material
    finish  standard  marks  (what it is for, when it does not read well in front)  [not understood]

    4 M6 x 25 hex bolt 8.8 zinc
    2 off 1/4 BSF x 3/4 cheese head screw
    2BA nut
    6 M6 spring washer
    20 x 35 x 7 mm oil seal

"off" stands only where two figures would run together. Lengths of metric threads are in
millimetres and of inch threads in inches unless the unit is written.
"""

import re

from stores.core.fastener.model import Fastener, Kind, Measure, Series
from stores.core.fastener.words import Phrase, fold, vocabulary

__all__ = ["write"]

SERIES_LABEL = {
    Series.UNC: "UNC", Series.UNF: "UNF", Series.UNEF: "UNEF", Series.UNS: "UNS",
    Series.BSW: "BSW", Series.BSF: "BSF", Series.CYCLE: "cycle", Series.BSP: "BSP",
    Series.BSPT: "BSPT", Series.BRASS: "BSB", Series.NPT: "NPT",
}  # fmt: skip
INCH_SERIES = frozenset((*SERIES_LABEL, Series.BA))
_METRIC = (Series.METRIC, Series.METRIC_FINE)
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
_MIXED = re.compile(r"^([0-9]+) ([0-9]+/[0-9]+)")
_NOUN: dict[str, str] = {Kind.BALL: "loose ball", Kind.SETSCREW: "set screw"}


def write(item: Fastener) -> str:
    """Give the canonical text of a fastener."""
    body = [text for text in _pieces(item) if text]
    text = " ".join(body)
    if item.quantity is None:
        # "1 1/4 BSF" could be one off 1/4 BSF; the hyphen settles it.
        return text if not body or not _designation(item) else _MIXED.sub(r"\1-\2", text)
    return (
        f"{item.quantity} off {text}"
        if text[:1] in "0123456789.,#½¼¾⅛⅜⅝⅞-+/"
        else f"{item.quantity} {text}"
    )


def _pieces(item: Fastener) -> list[str]:
    named = reads_in_front(item.name) and item.kind is not Kind.PART
    plain = item.kind is Kind.PART and not item.size and not item.standard
    front = item.name if named or plain else ""
    return [
        _designation(item),
        front,
        _described(item),
        _class(item.property_class),
        item.material,
        item.finish if item.finish != "plain" else "plain finish",
        item.standard,
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


def _designation(item: Fastener) -> str:
    """Write the size, pitch or tpi, series, further dimensions and length."""
    size = item.size
    if not size and item.series and item.series in (*SERIES_LABEL, *_METRIC):
        size = SERIES_LABEL.get(item.series, item.series)
    elif item.series in _METRIC and size:
        size += f" x {item.pitch_or_tpi}" if item.pitch_or_tpi else ""
        if item.series is Series.METRIC_FINE and not item.pitch_or_tpi:
            size += " metric fine"
    elif size:
        size += f"-{item.pitch_or_tpi}" if item.pitch_or_tpi else ""
        label = SERIES_LABEL.get(item.series) if item.series else ""
        size += f" {label}" if label else ""
    more = [*item.dimensions, *([item.length] if item.length else [])]
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


def reads_in_front(name: str) -> bool:
    """Tell whether a name stands before the noun without being taken for anything else."""
    phrases, longest = vocabulary()
    words = name.split(" ")
    if not name or not all(word.isalpha() for word in words):
        return False
    for word in words:
        known = phrases.get(fold(word))
        if known is not None and not _harmless(known):
            return False
        if known is None and fold(word) in longest and longest[fold(word)] > 1:
            return False
    return True


def _harmless(known: Phrase) -> bool:
    return not known.beside and all(field in ("trail", "part") for field, _ in known.plain)
