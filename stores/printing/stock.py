"""Label stock: what the labels measure and where they lie on the sheet. Read from text files.

A stock knows nothing of what is printed on it. A file is found by its name in a person's own
folder of templates or in the built-in one, or by its path, so that a person can copy one, edit it
and use it from anywhere.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from stores.errors import PrintError
from stores.printing.template_file import Keys, find, read, stems

__all__ = ["DEFAULT", "Hole", "Spot", "Stock", "load", "names"]

DEFAULT = "a4-21-63.5x38.1"
_SLACK = 0.01
"""Millimetres by which labels may touch or pass an edge: figures are rounded to hundredths."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one label lies: sheet from 0, and its top left corner in mm from the sheet's."""

    sheet: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Hole:
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
class Stock:
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
    hole: Hole | None = None

    @property
    def per_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    @property
    def cut(self) -> bool:
        """Whether the printer cuts each label to the length it needs."""
        return self.longest > self.label_height

    def spots(self, count: int, start: int = 1, skip: Collection[int] = ()) -> Iterator[Spot]:
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
                yield Spot(sheet, self.left + column * self.across, self.top + row * self.down)
                given += 1
            place += 1


def names(own: Path | None = None) -> list[str]:
    """Give the names of the stocks there are, the default first; ``own``: a person's folder."""
    return sorted(stems("stock", own), key=lambda name: (name != DEFAULT, name))


def load(name: str, own: Path | None = None) -> Stock:
    """Read a stock by its name, or by the path of its file (anything that ends in ``.toml``).

    ``own`` is a person's folder of templates: what is there, or in ``stock`` within it, comes
    before what is built in.

    Raises:
        PrintError: no such file, or one that does not describe labels that lie on their sheet
            without overlapping; says which file, which key and why.
    """
    path = find(name, "stock", "label stock", own)
    return _stock(read(path), path.stem)


def _stock(keys: Keys, name: str) -> Stock:
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
    stock = Stock(
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


def _hole(keys: Keys) -> Hole | None:
    if keys.value("hole") is None:
        return None
    keys.asked.discard("hole")
    return Hole(
        x=keys.millimetres("hole.from_left", 0),
        y=keys.millimetres("hole.from_top", 0),
        diameter=keys.millimetres("hole.diameter", 0.5, 100),
        clear=keys.millimetres("hole.clear", 0, 100, default=1.0),
    )


def _check(keys: Keys, stock: Stock) -> None:
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


def _check_hole(keys: Keys, stock: Stock, hole: Hole) -> None:
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
