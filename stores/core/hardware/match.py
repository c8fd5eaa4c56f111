"""The look-up by size: measure every row, keep what fits, rank the rest."""

import math
import re
from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType

from stores.core.hardware.model import Dim, Kind, Match, Piece, Row, shown
from stores.errors import BadValue

__all__ = ["match", "piece"]

_HAIR = 1e-6  # half a unit far beyond any table's last digit: floats must not decide a fit


_MEMORY = "this row is from memory: check it before ordering"


def piece(
    kind: Kind, row: Row, asked: Mapping[str, float] | None = None, error_mm: float = 0.0
) -> Piece:
    """Make the piece of a row; with measurements, also the misses."""
    sizes = {}
    misses = {}
    beyond = {}
    for dim in kind.dims:
        value = dim.value(row)
        if value is None:
            continue
        sizes[dim.name] = value
        if asked and dim.name in asked:
            miss = asked[dim.name] - value
            misses[dim.name] = round(miss, 4)
            beyond[dim.name] = round(max(0.0, _outside(dim, row, value, miss) - error_mm), 4)
    notes = kind.notes(row)
    if row["source"].startswith(("memory", "from memory")):
        notes = (*notes, _MEMORY)
    return Piece(
        kind.designate(row),
        kind.name,
        kind.standard(row),
        MappingProxyType(sizes),
        MappingProxyType(misses),
        MappingProxyType(beyond),
        row["source"],
        notes,
    )


def match(
    kind: Kind,
    sizes_mm: Sequence[float | None],
    dims: Sequence[str] | None,
    standard: str | None,
    error_mm: float | None,
    limit: int,
) -> Match:
    """Do the work of `by_size` for one kind."""
    asked = _asked(kind, sizes_mm, dims)
    error = kind.error_mm if error_mm is None else error_mm
    if not (math.isfinite(error) and error >= 0):
        raise BadValue(f"measuring error {error} mm: it must be zero or more")
    if limit < 0:
        raise BadValue(f"limit {limit}: how many near ones to list must be zero or more")
    wanted = [dim for dim in kind.dims if dim.name in asked]
    columns = [_column(kind, dim) for dim in wanted]
    exact: list[tuple[float, float, int, Row]] = []
    near: list[tuple[float, float, int, Row]] = []
    kept = _rows(kind, standard)
    for at, row in enumerate(kind.rows()):
        values = [column[at] for column in columns]
        if kept is not None and id(row) not in kept:
            continue
        faults = _faults(wanted, row, values, asked)
        if faults is None:
            continue
        outside, off = faults
        if max(outside) <= error + _HAIR:
            exact.append((round(sum(outside), 6), round(sum(off), 6), at, row))
        else:
            rank = math.hypot(*(max(0.0, out - error) for out in outside))
            near.append((round(rank, 6), round(sum(off), 6), at, row))
    exact.sort(key=lambda entry: entry[:3])
    near.sort(key=lambda entry: entry[:3])
    if kind.fold:
        near = _folded(kind, near)
    if not exact and not near:
        raise BadValue(f"no {kind.name} in the tables has {', '.join(asked)} listed")
    return Match(
        kind.name,
        MappingProxyType(asked),
        error,
        tuple(piece(kind, entry[-1], asked, error) for entry in exact),
        tuple(piece(kind, entry[-1], asked, error) for entry in near[:limit]),
        kind.advice,
        (
            f"measuring error {shown(error)} mm in each size, on top of the piece's own tolerance",
            "sizes in mm: " + ", ".join(f"{dim.name} = {dim.words}" for dim in wanted),
        ),
    )


def _asked(
    kind: Kind, sizes_mm: Sequence[float | None], dims: Sequence[str] | None
) -> dict[str, float]:
    names = [dim.name for dim in kind.dims] if dims is None else list(dims)
    for name in names:
        if kind.dim(name) is None:
            known = ", ".join(f"{dim.name} ({dim.words})" for dim in kind.dims)
            raise BadValue(f"a {kind.name} has no size {name!r}; it has {known}")
    if len(sizes_mm) > len(names) or (dims is not None and len(sizes_mm) != len(names)):
        raise BadValue(
            f"{len(sizes_mm)} sizes for a {kind.name}; they are {', '.join(names)} in that order"
        )
    asked = {}
    for name, size in zip(names, sizes_mm, strict=False):
        if size is None:
            continue
        if not (math.isfinite(size) and size > 0):
            raise BadValue(f"{kind.name} {name} = {size} mm: a size must be more than zero")
        asked[name] = float(size)
    if not asked:
        raise BadValue(f"no size given for the {kind.name}; it has {', '.join(names)}")
    return asked


@cache
def _column(kind: Kind, dim: Dim) -> tuple[float | None, ...]:
    """Give one dimension of every row of a kind, read once."""
    return tuple(dim.value(row) for row in kind.rows())


def _rows(kind: Kind, standard: str | None) -> frozenset[int] | None:
    """Give the identities of a standard's rows, or None for every row."""
    if standard is None:
        return None
    want = re.compile(re.escape(_plain(standard)) + r"(?!\d)")
    rows = tuple(row for row in kind.rows() if want.search(_plain(kind.standard(row))))
    if not rows:
        known = "; ".join(sorted({kind.standard(row) for row in kind.rows()}))
        raise BadValue(f"no {kind.name} to {standard!r}; the tables have {known}")
    return frozenset(id(row) for row in rows)


def _folded(
    kind: Kind, near: list[tuple[float, float, int, Row]]
) -> list[tuple[float, float, int, Row]]:
    """Keep the first row of each set of sizes."""
    seen = set()
    kept = []
    for entry in near:
        sizes = tuple(dim.value(entry[-1]) for dim in kind.dims)
        if sizes not in seen:
            seen.add(sizes)
            kept.append(entry)
    return kept


def _plain(text: str) -> str:
    return "".join(text.split()).upper()


def _faults(
    wanted: Sequence[Dim], row: Row, values: Sequence[float | None], asked: dict[str, float]
) -> tuple[list[float], list[float]] | None:
    """Give how far each measurement lies outside its band, and off the figure itself, in mm."""
    outside = []
    off = []
    for dim, value in zip(wanted, values, strict=True):
        if value is None:
            return None
        miss = asked[dim.name] - value
        outside.append(_outside(dim, row, value, miss))
        off.append(abs(miss))
    return outside, off


def _outside(dim: Dim, row: Row, value: float, miss: float) -> float:
    """Give how far a miss lies outside the tolerance of the figure, mm, zero inside it."""
    below, above = dim.band(row, value)
    return max(0.0, below - miss, miss - above)
