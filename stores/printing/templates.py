"""Label stock and label layouts: text files that a person copies and edits.

A file is found by its name in a person's own folder of templates or in the built-in one, or by its
path; it is read key by key, and faults are named. A stock says what the labels measure and where
they lie on the sheet, and nothing of what is printed on it. A layout says what stands where on a
label, whatever its size, and knows no stock: it has up to four places, ``head`` beside the code,
``body`` under it, ``foot`` at the bottom, and ``under``, below the code where the code has a column
of its own. In each of them things stand in the order of the file; label_templates/layouts says how
they are set.
"""

import math
import re
import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from stores.errors import PrintError
from stores.printing.boxes import MIN_SIZE, READ_SIZE
from stores.printing.label_values import FIELDS, KINDS, LISTS
from stores.resources import places, templates
from stores.text import path_of

__all__ = [
    "DEFAULT",
    "Keys",
    "LabelSpot",
    "LabelStock",
    "Layout",
    "LayoutPart",
    "TagHole",
    "best_for",
    "closest_for",
    "find",
    "layout_names",
    "load_layout",
    "load_stock",
    "read",
    "stems",
]


def stems(kind: str, own: Path | None = None) -> list[str]:
    """Give the names of all files of a kind (``stock`` or ``layouts``), each once."""
    return sorted(path.stem for path in templates(kind, ".toml", own).values())


def find(name: str, kind: str, what: str, own: Path | None = None) -> Path:
    """Find a file by its name, or by its path if that ends in ``.toml``.

    Raises:
        PrintError: there is no such file; lists the names that there are.
    """
    if name.endswith(".toml"):
        path = path_of(name)
        beside = [place / name for place in places(kind, own)[:-1]]
        return next((each for each in (path, *beside) if each.is_file()), path)
    found = templates(kind, ".toml", own).get(name.strip().lower())
    if found is not None:
        return found
    there = ", ".join(stems(kind, own))
    raise PrintError(f"no {what} {name!r}: there are {there}; or give the path of a .toml file")


def read(path: Path) -> "Keys":
    """Read a file.

    Raises:
        PrintError: it cannot be read, or is no TOML.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise PrintError(f"{path}: not UTF-8 text ({error.reason})") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PrintError(f"{path}: cannot be read ({reason})") from None
    try:
        return Keys(path, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise PrintError(f"{path}: not TOML: {error}") from None


class Keys:
    """The keys of one file, or of one table in it; an error names the file and the key."""

    def __init__(self, path: Path, data: Mapping[str, object], under: str = "") -> None:
        self.path = path
        self.data = data
        self.under = under
        self.asked: set[str] = set()

    def fault(self, key: str, reason: str) -> PrintError:
        """Give the error for a key."""
        return PrintError(f"{self.path}: {self.under}{key}: {reason}")

    def value(self, key: str) -> object:
        """Give what stands under a key, ``table.key`` for one within a table; or none."""
        self.asked.add(key)
        at: object = self.data
        for part in key.split("."):
            if not isinstance(at, Mapping):
                return None
            at = at.get(part)
        return at

    def tables(self, key: str) -> "list[Keys]":
        """Give the tables ``[[key]]``, in order; their faults are counted from 1."""
        value = self.value(key)
        if value is None:
            return []
        if not isinstance(value, Sequence) or not all(isinstance(each, Mapping) for each in value):
            raise self.fault(key, f"must be tables, each headed [[{key}]]")
        return [Keys(self.path, each, f"{key} {at}, ") for at, each in enumerate(value, 1)]

    def text(self, key: str, default: str) -> str:
        """Give a text that says something."""
        value = self.value(key)
        if value is None:
            return default
        if not isinstance(value, str) or not value.strip():
            raise self.fault(key, f"must be text in quotes, not {value!r}")
        return value.strip()

    def choice(self, key: str, words: Sequence[str], default: str) -> str:
        """Give one of these words."""
        value = self.text(key, default)
        if value not in words:
            listed = ", ".join(f'"{word}"' for word in words)
            raise self.fault(key, f"must be one of {listed}, not {value!r}")
        return value

    def yes(self, key: str, default: bool = False) -> bool:
        """Give true or false."""
        value = self.value(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.fault(key, f"must be true or false, not {value!r}")
        return value

    def number(
        self, key: str, low: float, high: float, default: float | None, unit: str = ""
    ) -> float:
        """Give a number within bounds; ``unit`` is what the error calls it."""
        value = self.value(key)
        what = f"a length in {unit}" if unit == "millimetres" else "a number"
        short = " mm" if unit == "millimetres" else ""
        if value is None:
            if default is None:
                raise self.fault(key, f"is missing; it is {what}")
            return default
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
        ):
            raise self.fault(key, f"must be {what}, not {value!r}")
        if not low <= value <= high:
            raise self.fault(key, f"must be from {low:g} to {high:g}{short}, not {value:g}")
        return float(value)

    def millimetres(
        self, key: str, low: float, high: float = 2000.0, default: float | None = None
    ) -> float:
        """Give a length."""
        return self.number(key, low, high, default, "millimetres")

    def pair(
        self, key: str, low: float, high: float, default: tuple[float, float]
    ) -> tuple[float, float]:
        """Give two numbers, as ``[9, 5.5]``."""
        value = self.value(key)
        if value is None:
            return default
        if (
            not isinstance(value, list)
            or len(value) != 2
            or any(isinstance(each, bool) or not isinstance(each, int | float) for each in value)
            or not all(low <= each <= high for each in value)
        ):
            raise self.fault(key, f"must be two numbers from {low:g} to {high:g}, not {value!r}")
        return float(value[0]), float(value[1])

    def count(self, key: str, most: int = 100, default: int | None = None) -> int:
        """Give a whole number from 1."""
        value = self.value(key)
        if value is None:
            if default is None:
                raise self.fault(key, "is missing; it is a whole number")
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise self.fault(key, f"must be a whole number from 1 to {most}, not {value!r}")
        return value

    def unknown(self) -> str | None:
        """Give the first key that nothing asked for: most likely a slip of the pen."""
        for key, value in self.data.items():
            inner = [f"{key}.{sub}" for sub in value] if isinstance(value, Mapping) else [key]
            for each in inner or [key]:
                if each not in self.asked and key not in self.asked:
                    return each
        return None

    def finish(self) -> None:
        """Refuse keys that nothing asked for."""
        unknown = self.unknown()
        if unknown:
            raise self.fault(unknown, "no such key")


DEFAULT = "a4-21-63.5x38.1"
_SLACK = 0.01
"""Millimetres by which labels may touch or pass an edge: figures are rounded to hundredths."""


@dataclass(frozen=True, slots=True)
class LabelSpot:
    """Where one label lies: sheet from 0, and its top left corner in mm from the sheet's."""

    sheet: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class TagHole:
    """A hole in a tag: its middle from the label's top left corner, and what is kept clear."""

    x: float
    y: float
    diameter: float
    clear: float

    @property
    def radius_kept(self) -> float:
        """From the middle of the hole to where printing may begin."""
        return self.diameter / 2 + self.clear


@dataclass(frozen=True, slots=True)
class LabelStock:
    """Equal labels on a sheet, or one after the other on a roll. All figures in millimetres.

    On a roll, and for tags that are fed singly, the sheet is the label. ``longest`` above
    ``label_height`` says that the printer cuts: a label is as long as it needs, from
    ``label_height`` to ``longest``.
    """

    name: str
    title: str
    sheet_width: float
    sheet_height: float
    label_width: float
    label_height: float
    columns: int
    rows: int
    left: float
    top: float
    across: float
    down: float
    corner_radius: float = 0.0
    safe: float = 2.0
    kind: str = "sheet"
    longest: float = 0.0
    hole: TagHole | None = None

    @property
    def per_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    @property
    def cut(self) -> bool:
        """Whether the printer cuts each label to the length it needs."""
        return self.longest > self.label_height

    def spots(self, count: int, start: int = 1, skip: Collection[int] = ()) -> Iterator[LabelSpot]:
        """Give the places of ``count`` labels, row by row, from place ``start`` of the first sheet.

        ``skip`` are places that are spoilt or used, numbered on from the first sheet: with 21 on
        a sheet, place 22 is the first one of the second.

        Raises:
            PrintError: ``start`` is not a place on a sheet, or ``skip`` names no place.
        """
        if self.kind != "sheet" and (start != 1 or skip):
            raise PrintError(
                f"{self.name} comes one label after the other: "
                "there is no place to start at and none to skip"
            )
        if not 1 <= start <= self.per_sheet:
            raise PrintError(
                f"a sheet of {self.name} has places 1 to {self.per_sheet}: cannot start at {start}"
            )
        for spoilt in skip:
            if spoilt < 1:
                raise PrintError(
                    f"a sheet of {self.name} has places 1 to {self.per_sheet}: cannot skip {spoilt}"
                )
        given, place = 0, start - 1
        while given < count:
            if place + 1 not in skip:
                sheet, on_sheet = divmod(place, self.per_sheet)
                row, column = divmod(on_sheet, self.columns)
                yield LabelSpot(sheet, self.left + column * self.across, self.top + row * self.down)
                given += 1
            place += 1


def load_stock(name: str, own: Path | None = None) -> LabelStock:
    """Read a stock by its name, or by the path of its file (anything that ends in ``.toml``).

    ``own`` is a person's folder of templates: what is there, or in ``stock`` within it, comes
    before what is built in.

    Raises:
        PrintError: no such file, or one that does not describe labels that lie on their sheet
            without overlapping; says which file, which key and why.
    """
    path = find(name, "stock", "label stock", own)
    return _stock(read(path), path.stem)


def _stock(keys: Keys, name: str) -> LabelStock:
    kind = keys.choice("kind", ("sheet", "roll", "tag"), "sheet")
    label_width = keys.millimetres("label.width", 5)
    longest = 0.0
    if kind == "roll" and keys.value("label.height") is None:
        label_height = keys.millimetres("cut.shortest", 5)
        longest = keys.millimetres("cut.longest", 5)
        if longest <= label_height:
            raise keys.fault("cut.longest", f"must be more than {label_height:g} mm, the shortest")
    else:
        label_height = keys.millimetres("label.height", 5)
    sheet = kind == "sheet"
    columns = keys.count("grid.columns") if sheet else 1
    rows = keys.count("grid.rows") if sheet else 1
    across_default = label_width if columns == 1 else None
    down_default = label_height if rows == 1 else None
    stock = LabelStock(
        name=name,
        title=keys.text("title", name),
        sheet_width=keys.millimetres("sheet.width", 10) if sheet else label_width,
        sheet_height=keys.millimetres("sheet.height", 10) if sheet else label_height,
        label_width=label_width,
        label_height=label_height,
        columns=columns,
        rows=rows,
        left=keys.millimetres("grid.left", 0) if sheet else 0.0,
        top=keys.millimetres("grid.top", 0) if sheet else 0.0,
        across=keys.millimetres("grid.across", 0, default=across_default) if sheet else label_width,
        down=keys.millimetres("grid.down", 0, default=down_default) if sheet else label_height,
        corner_radius=keys.millimetres("label.corner_radius", 0, default=0.0),
        safe=keys.millimetres("label.safe", 0, default=2.0),
        kind=kind,
        longest=longest,
        hole=_hole(keys),
    )
    keys.finish()
    _check(keys, stock)
    return stock


def _hole(keys: Keys) -> TagHole | None:
    if keys.value("hole") is None:
        return None
    keys.asked.discard("hole")
    return TagHole(
        x=keys.millimetres("hole.from_left", 0),
        y=keys.millimetres("hole.from_top", 0),
        diameter=keys.millimetres("hole.diameter", 0.5, 100),
        clear=keys.millimetres("hole.clear", 0, 100, default=1.0),
    )


def _check(keys: Keys, stock: LabelStock) -> None:
    if stock.columns > 1 and stock.across < stock.label_width - _SLACK:
        raise keys.fault(
            "grid.across", f"{stock.across:g} mm makes labels {stock.label_width:g} mm wide overlap"
        )
    if stock.rows > 1 and stock.down < stock.label_height - _SLACK:
        raise keys.fault(
            "grid.down", f"{stock.down:g} mm makes labels {stock.label_height:g} mm high overlap"
        )
    right = stock.left + (stock.columns - 1) * stock.across + stock.label_width
    if right > stock.sheet_width + _SLACK:
        raise keys.fault(
            "grid.columns",
            f"the last column ends at {right:g} mm, the sheet at {stock.sheet_width:g} mm",
        )
    bottom = stock.top + (stock.rows - 1) * stock.down + stock.label_height
    if bottom > stock.sheet_height + _SLACK:
        raise keys.fault(
            "grid.rows",
            f"the last row ends at {bottom:g} mm, the sheet at {stock.sheet_height:g} mm",
        )
    smaller = min(stock.label_width, stock.label_height)
    if stock.corner_radius > smaller / 2:
        raise keys.fault("label.corner_radius", f"at most half of {smaller:g} mm")
    if stock.safe * 2 >= smaller:
        raise keys.fault("label.safe", f"leaves nothing of a label {smaller:g} mm across")
    if stock.hole:
        _check_hole(keys, stock, stock.hole)


def _check_hole(keys: Keys, stock: LabelStock, hole: TagHole) -> None:
    radius = hole.diameter / 2
    if not radius <= hole.x <= stock.label_width - radius:
        raise keys.fault(
            "hole.from_left", f"the hole leaves the label, {stock.label_width:g} mm wide"
        )
    if not radius <= hole.y <= stock.label_height - radius:
        raise keys.fault(
            "hole.from_top", f"the hole leaves the label, {stock.label_height:g} mm high"
        )
    if hole.y + hole.radius_kept > stock.label_height / 2:
        raise keys.fault("hole.from_top", "the hole must be near the top: hold the tag by its end")


_FIELD = re.compile(r"\{([^{}]*)\}")
_WHAT = ("text", "list", "ticks", "write", "rule", "band")


@dataclass(frozen=True, slots=True)
class LayoutPart:
    """One thing in a place of a layout. ``what`` says which; the rest how it is set."""

    what: str
    text: str = ""
    fields: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ()
    largest: float = 9.0
    smallest: float = READ_SIZE
    bold: bool = False
    cut: str = "end"
    share: float = 1.0
    height: float = 0.0
    beside: bool = False
    right: bool = False
    join: str = ""
    if_room: bool = False
    fill: bool = False
    spill: bool = False
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Layout:
    """What stands where. ``room`` is the least there must be between the safe edges, in mm."""

    name: str
    title: str
    kind: str
    room: tuple[float, float]
    corner: str
    share: float
    across: float
    largest: float
    column: bool
    around: bool
    second: bool
    contents: bool
    fold: float
    colours: Mapping[str, str]
    head: tuple[LayoutPart, ...]
    body: tuple[LayoutPart, ...]
    foot: tuple[LayoutPart, ...]
    under: tuple[LayoutPart, ...]

    @property
    def on_one_label(self) -> "Layout":
        """The same on one label alone: what has no room is counted and goes on on no other."""
        head, body, foot, under = (
            tuple(replace(part, spill=False) for part in place)
            for place in (self.head, self.body, self.foot, self.under)
        )
        return replace(self, head=head, body=body, foot=foot, under=under)


def layout_names(own: Path | None = None) -> list[str]:
    """Give the names of the layouts there are."""
    return stems("layouts", own)


@lru_cache(maxsize=64)
def load_layout(name: str, own: Path | None = None) -> Layout:
    """Read a layout by its name, or by the path of its file (anything that ends in ``.toml``).

    Raises:
        PrintError: no such file, or a wrong one; says which file, which key and why.
    """
    path = find(name, "layouts", "label layout", own)
    return _layout(read(path), path.stem)


@lru_cache(maxsize=256)
def best_for(kind: str, width: float, height: float, own: Path | None = None) -> Layout:
    """Choose the layout of a kind that needs most of the room there is between the safe edges.

    Raises:
        PrintError: none is small enough.
    """
    there = _of_kind(kind, own)
    fit = _fitting(there, width, height)
    if not fit:
        least = min((layout.room for layout in there), default=(0.0, 0.0))
        raise PrintError(
            f"{width:g} x {height:g} mm between the safe edges is too small for a {kind} label: "
            f"it needs {least[0]:g} x {least[1]:g} mm; take a larger stock"
        )
    return _largest(fit)


@lru_cache(maxsize=256)
def closest_for(kind: str, width: float, height: float, own: Path | None = None) -> Layout | None:
    """Choose among those whose words run round the codes; None where there is none."""
    fit = _fitting([each for each in _of_kind(kind, own) if each.around], width, height)
    return _largest(fit) if fit else None


def _of_kind(kind: str, own: Path | None) -> list[Layout]:
    layouts = [load_layout(name, own) for name in layout_names(own) if not _is_stock(name, own)]
    return [layout for layout in layouts if layout.kind == kind]


def _fitting(layouts: Sequence[Layout], width: float, height: float) -> list[Layout]:
    return [
        layout
        for layout in layouts
        if layout.room[0] <= width + 1e-6 and layout.room[1] <= height + 1e-6
    ]


def _largest(layouts: Sequence[Layout]) -> Layout:
    return max(layouts, key=lambda layout: (layout.room[0] * layout.room[1], layout.name))


def _is_stock(name: str, own: Path | None) -> bool:
    """Whether a file of a person's folder, where both may lie side by side, describes stock."""
    return "label" in read(find(name, "layouts", "label layout", own)).data


def _layout(keys: Keys, name: str) -> Layout:
    kind = keys.choice("kind", KINDS, "")
    colours = keys.value("colours")
    if colours is not None and not isinstance(colours, Mapping):
        raise keys.fault("colours", "must be a table: a word and its colour in each line")
    layout = Layout(
        name=name,
        title=keys.text("title", name),
        kind=kind,
        room=keys.pair("room", 5, 1000, (26.0, 16.0)),
        corner=keys.choice("code.corner", ("top right", "bottom right"), "top right"),
        share=keys.number("code.share", 0.1, 0.9, 0.5),
        across=keys.number("code.across", 0.1, 0.95, 0.4),
        largest=keys.millimetres("code.largest", 8, 200, 24.0),
        column=keys.yes("code.column"),
        around=keys.yes("code.around"),
        second=keys.yes("code.second"),
        contents=keys.yes("code.contents"),
        fold=keys.millimetres("fold.wrap", 1, 200, 0.0),
        colours=_colours(keys, colours or {}),
        head=_parts(keys, "head", kind),
        body=_parts(keys, "body", kind),
        foot=_parts(keys, "foot", kind),
        under=_parts(keys, "under", kind),
    )
    keys.finish()
    if layout.under and not layout.column:
        raise keys.fault("under", "only with code.column = true")
    if layout.around:
        _check_running(keys, layout)
    parts = (*layout.head, *layout.body, *layout.foot, *layout.under)
    if not any("code" in part.fields and part.cut == "never" for part in parts):
        raise keys.fault("head", '"{code}" must be somewhere, with cut = "never"')
    return layout


def _check_running(keys: Keys, layout: Layout) -> None:
    """Words that run round the codes stand in the body, texts and a list; the bag code above."""
    if layout.foot or layout.column:
        other = "foot" if layout.foot else "code.column"
        raise keys.fault(other, "not with code.around = true: all words run on in the body")
    if layout.second and layout.corner != "top right":
        raise keys.fault("code.second", 'with code.around = true only beside corner = "top right"')
    odd = next((part for part in layout.body if part.what not in ("text", "list")), None)
    if odd:
        raise keys.fault("body", f"with code.around = true texts and a list alone, no {odd.what}")


def _colours(keys: Keys, said: Mapping[object, object]) -> dict[str, str]:
    colours = {}
    for word, colour in said.items():
        if not isinstance(colour, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            raise keys.fault(f"colours.{word}", f'must be like "#20a040", not {colour!r}')
        colours[str(word)] = colour
    return colours


def _parts(keys: Keys, place: str, kind: str) -> tuple[LayoutPart, ...]:
    return tuple(_part(each, kind) for each in keys.tables(place))


def _part(keys: Keys, kind: str) -> LayoutPart:
    what = [each for each in _WHAT if each in keys.data]
    if len(what) != 1:
        found = " and ".join(what) or "none of them"
        raise keys.fault("text", f"one of {', '.join(_WHAT)} says what goes here; found {found}")
    said = what[0]
    largest, smallest = keys.pair("size", MIN_SIZE, 200, (9.0, READ_SIZE))
    if smallest > largest:
        raise keys.fault("size", "the largest comes first, then the smallest")
    text, height = "", 0.0
    fields: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ()
    if said == "text":
        text = keys.text("text", "")
        fields = _named(keys, "text", text, kind)
    elif said == "list":
        text = keys.choice("list", LISTS.get(kind, ()), "")
    elif said == "ticks":
        ticks = _ticks(keys)
        height = keys.millimetres("height", 2, 20, 3.0)
    elif said == "write":
        text = str(keys.value("write") or "")
        height = keys.millimetres("height", 4, 50, 6.2)
    else:
        height = keys.millimetres(said, 0.05, 30, 0.2)
    part = LayoutPart(
        what=said,
        text=text,
        fields=fields,
        ticks=ticks,
        largest=largest,
        smallest=smallest,
        bold=keys.yes("bold"),
        cut=keys.choice("cut", ("end", "start", "line", "never"), "end"),
        share=keys.number("share", 0.05, 1, 1.0),
        height=height,
        beside=keys.yes("beside"),
        right=keys.yes("right"),
        join=_joint(keys),
        if_room=keys.yes("if_room"),
        fill=keys.yes("fill"),
        spill=keys.yes("spill"),
        columns=keys.count("columns", 6, 1),
    )
    keys.finish()
    return part


def _joint(keys: Keys) -> str:
    """Give what stands between lines that are run together: white at its end counts."""
    value = keys.value("join")
    if value is None:
        return ""
    if not isinstance(value, str) or not value:
        raise keys.fault("join", f"must be text in quotes, not {value!r}")
    return value


def _named(keys: Keys, key: str, text: str, kind: str) -> tuple[str, ...]:
    named = tuple(_FIELD.findall(text))
    for name in named:
        if name not in FIELDS[kind]:
            known = ", ".join(FIELDS[kind])
            raise keys.fault(key, f"a {kind} label has no {{{name}}}; it has {known}")
    if "{" in _FIELD.sub("", text) or "}" in _FIELD.sub("", text):
        raise keys.fault(key, "a brace stands alone; a field is written {code}")
    return named


def _ticks(keys: Keys) -> tuple[str, ...]:
    value = keys.value("ticks")
    if (
        not isinstance(value, list)
        or not value
        or not all(isinstance(word, str) and word.strip() for word in value)
    ):
        raise keys.fault("ticks", 'must be words in brackets, as ["cleaned", "measured"]')
    return tuple(str(word).strip() for word in value)
