"""Label layouts: what stands where on a label, whatever its size. Read from text files.

A layout knows no stock. It has up to four places: ``head`` beside the code, ``body`` under it,
``foot`` at the bottom, and ``under``, below the code where the code has a column of its own. In
each of them things stand in the order of the file; label_templates/layouts says how they are set.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from stores.errors import PrintError
from stores.printing.boxes import MIN_SIZE
from stores.printing.label_values import FIELDS, KINDS, LISTS
from stores.printing.template_file import Keys, find, read, stems

__all__ = ["Layout", "Part", "best_for", "load_layout", "names"]

PLACES = ("head", "body", "foot", "under")
_FIELD = re.compile(r"\{([^{}]*)\}")
_WHAT = ("text", "list", "ticks", "write", "rule", "band")


@dataclass(frozen=True, slots=True)
class Part:
    """One thing in a place of a layout. ``what`` says which; the rest how it is set."""

    what: str
    text: str = ""
    fields: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ()
    largest: float = 9.0
    smallest: float = MIN_SIZE
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
    second: bool
    fold: float
    colours: Mapping[str, str]
    head: tuple[Part, ...]
    body: tuple[Part, ...]
    foot: tuple[Part, ...]
    under: tuple[Part, ...]


def names(own: Path | None = None) -> list[str]:
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
    layouts = [load_layout(name, own) for name in names(own) if not _is_stock(name, own)]
    there = [layout for layout in layouts if layout.kind == kind]
    fit = [
        layout
        for layout in there
        if layout.room[0] <= width + 1e-6 and layout.room[1] <= height + 1e-6
    ]
    if not fit:
        least = min((layout.room for layout in there), default=(0.0, 0.0))
        raise PrintError(
            f"{width:g} x {height:g} mm between the safe edges is too small for a {kind} label: "
            f"it needs {least[0]:g} x {least[1]:g} mm; take a larger stock"
        )
    return max(fit, key=lambda layout: (layout.room[0] * layout.room[1], layout.name))


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
        second=keys.yes("code.second"),
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
    parts = (*layout.head, *layout.body, *layout.foot, *layout.under)
    if not any("code" in part.fields and part.cut == "never" for part in parts):
        raise keys.fault("head", '"{code}" must stand somewhere, with cut = "never"')
    return layout


def _colours(keys: Keys, said: Mapping[object, object]) -> dict[str, str]:
    colours = {}
    for word, colour in said.items():
        if not isinstance(colour, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            raise keys.fault(f"colours.{word}", f'must be like "#20a040", not {colour!r}')
        colours[str(word)] = colour
    return colours


def _parts(keys: Keys, place: str, kind: str) -> tuple[Part, ...]:
    return tuple(_part(each, kind) for each in keys.tables(place))


def _part(keys: Keys, kind: str) -> Part:
    what = [each for each in _WHAT if each in keys.data]
    if len(what) != 1:
        found = " and ".join(what) or "none of them"
        raise keys.fault("text", f"one of {', '.join(_WHAT)} says what stands here; found {found}")
    said = what[0]
    largest, smallest = keys.pair("size", MIN_SIZE, 200, (9.0, MIN_SIZE))
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
    part = Part(
        what=said,
        text=text,
        fields=fields,
        ticks=ticks,
        largest=largest,
        smallest=smallest,
        bold=keys.yes("bold"),
        cut=keys.choice("cut", ("end", "start", "never"), "end"),
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
