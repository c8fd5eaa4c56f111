"""The look-up by size: measure every row, keep what fits, rank the rest."""

import math
from collections.abc import Sequence
from types import MappingProxyType

from stores.core.hardware.model import Dim, Kind, Match, Piece, Row, shown
from stores.errors import BadValue

__all__ = ["match", "piece"]

_HAIR = 1e-6  # half a unit far beyond any table's last digit: floats must not decide a fit


def piece(kind: Kind, row: Row, asked: dict[str, float] | None = None) -> Piece:
    """Make the piece of a row; with measurements, also the misses."""
    sizes = {}
    misses = {}
    for dim in kind.dims:
        value = dim.value(row)
        if value is None:
            continue
        sizes[dim.name] = value
        if asked and dim.name in asked:
            misses[dim.name] = round(asked[dim.name] - value, 4)
    return Piece(
        kind.designate(row),
        kind.name,
        kind.standard(row),
        MappingProxyType(sizes),
        MappingProxyType(misses),
        row["source"],
        kind.notes(row),
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
    exact: list[tuple[float, float, int, Row]] = []
    near: list[tuple[float, float, int, Row]] = []
    for row in _rows(kind, standard):
        faults = _faults(wanted, row, asked)
        if faults is None:
            continue
        outside, off = faults
        if max(outside) <= error + _HAIR:
            exact.append((round(sum(outside), 6), round(sum(off), 6), len(exact), row))
        else:
            rank = math.hypot(*(max(0.0, out - error) for out in outside))
            near.append((round(rank, 6), round(sum(off), 6), len(near), row))
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
        tuple(piece(kind, entry[-1], asked) for entry in exact),
        tuple(piece(kind, entry[-1], asked) for entry in near[:limit]),
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


def _rows(kind: Kind, standard: str | None) -> tuple[Row, ...]:
    if standard is None:
        return kind.rows()
    want = _plain(standard)
    rows = tuple(row for row in kind.rows() if want in _plain(kind.standard(row)))
    if not rows:
        known = "; ".join(sorted({kind.standard(row) for row in kind.rows()}))
        raise BadValue(f"no {kind.name} to {standard!r}; the tables have {known}")
    return rows


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
    wanted: Sequence[Dim], row: Row, asked: dict[str, float]
) -> tuple[list[float], list[float]] | None:
    """Give how far each measurement lies outside its band, and off the figure itself, in mm."""
    outside = []
    off = []
    for dim in wanted:
        value = dim.value(row)
        if value is None:
            return None
        below, above = dim.band(row, value)
        miss = asked[dim.name] - value
        outside.append(max(0.0, below - miss, miss - above))
        off.append(abs(miss))
    return outside, off
