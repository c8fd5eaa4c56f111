"""Label stock: what the labels measure and where they lie on the sheet. Read from text files.

A stock knows nothing of what is printed on it. A file is found by its name in the folder of label
templates, or by its path, so that a person can copy one, edit it and use it from anywhere.
"""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from stores.errors import PrintError
from stores.resources import folder

__all__ = ["DEFAULT", "Spot", "Stock", "load", "names"]

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
class Stock:
    """A sheet of equal labels in rows and columns. All figures in millimetres."""

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

    @property
    def per_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    def spots(self, count: int, start: int = 1) -> Iterator[Spot]:
        """Give the places of ``count`` labels, row by row, from place ``start`` of the first sheet.

        Raises:
            PrintError: ``start`` is not a place on a sheet.
        """
        if not 1 <= start <= self.per_sheet:
            raise PrintError(
                f"a sheet of {self.name} has places 1 to {self.per_sheet}: cannot start at {start}"
            )
        for place in range(start - 1, start - 1 + count):
            sheet, on_sheet = divmod(place, self.per_sheet)
            row, column = divmod(on_sheet, self.columns)
            yield Spot(sheet, self.left + column * self.across, self.top + row * self.down)


def names() -> list[str]:
    """Give the names of the stocks that come with the program, the default first."""
    found = sorted(path.stem for path in folder("label_templates").glob("*.toml"))
    return sorted(found, key=lambda name: name != DEFAULT)


def load(name: str) -> Stock:
    """Read a stock by its name, or by the path of its file (anything that ends in ``.toml``).

    Raises:
        PrintError: no such file, or one that does not describe labels that lie on their sheet
            without overlapping; says which file, which key and why.
    """
    path = Path(name).expanduser() if name.endswith(".toml") else _known(name)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise PrintError(f"{path}: not UTF-8 text ({error.reason})") from None
    except OSError as error:
        raise PrintError(f"{path}: cannot be read ({error.strerror or error})") from None
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PrintError(f"{path}: not TOML: {error}") from None
    return _stock(_Keys(path, data), path.stem)


def _known(name: str) -> Path:
    for path in folder("label_templates").glob("*.toml"):
        if path.stem.lower() == name.strip().lower():
            return path
    raise PrintError(
        f"no label stock {name!r}: there are {', '.join(names())}; or give the path of a .toml file"
    )


class _Keys:
    """The keys of one file, each asked for once; an error names the file and the key."""

    def __init__(self, path: Path, data: Mapping[str, object]) -> None:
        self.path = path
        self.data = data
        self.asked: set[str] = set()

    def fault(self, key: str, reason: str) -> PrintError:
        return PrintError(f"{self.path}: {key}: {reason}")

    def value(self, key: str) -> object:
        self.asked.add(key)
        at: object = self.data
        for part in key.split("."):
            if not isinstance(at, Mapping):
                return None
            at = at.get(part)
        return at

    def text(self, key: str, default: str) -> str:
        value = self.value(key)
        if value is None:
            return default
        if not isinstance(value, str) or not value.strip():
            raise self.fault(key, f"must be text in quotes, not {value!r}")
        return value.strip()

    def millimetres(
        self, key: str, low: float, high: float = 2000.0, default: float | None = None
    ) -> float:
        value = self.value(key)
        if value is None and default is not None:
            return default
        if value is None:
            raise self.fault(key, "is missing; it is a length in millimetres")
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
        ):
            raise self.fault(key, f"must be a length in millimetres, not {value!r}")
        if not low <= value <= high:
            raise self.fault(key, f"must be from {low:g} to {high:g} mm, not {value:g}")
        return float(value)

    def count(self, key: str) -> int:
        value = self.value(key)
        if value is None:
            raise self.fault(key, "is missing; it is a whole number")
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100:
            raise self.fault(key, f"must be a whole number from 1 to 100, not {value!r}")
        return value

    def unknown(self) -> str | None:
        """Give the first key that nothing asked for: most likely a slip of the pen."""
        for key, value in self.data.items():
            inner = [f"{key}.{sub}" for sub in value] if isinstance(value, Mapping) else [key]
            for each in inner:
                if each not in self.asked:
                    return each
        return None


def _stock(keys: _Keys, name: str) -> Stock:
    kind = keys.text("kind", "sheet")
    if kind != "sheet":
        raise keys.fault("kind", f'only "sheet" is known so far, not {kind!r}')
    columns, rows = keys.count("grid.columns"), keys.count("grid.rows")
    label_width = keys.millimetres("label.width", 1)
    label_height = keys.millimetres("label.height", 1)
    stock = Stock(
        name=name,
        title=keys.text("title", name),
        sheet_width=keys.millimetres("sheet.width", 10),
        sheet_height=keys.millimetres("sheet.height", 10),
        label_width=label_width,
        label_height=label_height,
        columns=columns,
        rows=rows,
        left=keys.millimetres("grid.left", 0),
        top=keys.millimetres("grid.top", 0),
        across=keys.millimetres("grid.across", 0, default=label_width if columns == 1 else None),
        down=keys.millimetres("grid.down", 0, default=label_height if rows == 1 else None),
        corner_radius=keys.millimetres("label.corner_radius", 0, default=0.0),
        safe=keys.millimetres("label.safe", 0, default=2.0),
    )
    unknown = keys.unknown()
    if unknown:
        raise keys.fault(unknown, "no such key")
    _check(keys, stock)
    return stock


def _check(keys: _Keys, stock: Stock) -> None:
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
