"""The look-up by size: measure every row, keep what fits, rank the rest.

The lengths that the standards list for bolts, screws, pins and keys.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.hardware.model import LENGTH, Dim, Kind, Match, Piece, Row, shown
from stores.handbook.table import table

__all__ = ["fits", "is_listed", "lengths", "match", "piece", "steps_about"]


def _listed() -> tuple[str, ...]:
    return tuple(row["standard"] for row in table("hardware_screw_lengths"))


def _same(one: str, other: str) -> bool:
    return "".join(one.split()).upper() == "".join(other.split()).upper()


def is_listed(standard: str) -> bool:
    """Return whether the table has lengths of that standard."""
    return any(_same(standard, listed) for listed in _listed())


def lengths(standard: str) -> tuple[float, ...]:
    """Return the nominal lengths in mm that a standard lists, shortest first.

    Two standards may be joined: "ISO 4014 + ISO 4017". Raises `BadValue` when the table has no such
    standard.
    """
    found: set[float] = set()
    for name in standard.split("+"):
        row = next((r for r in table("hardware_screw_lengths") if _same(r["standard"], name)), None)
        if row is None:
            listed = ", ".join(_listed())
            raise BadValue(f"no lengths listed for {name.strip()!r}; there are: {listed}")
        found.update(float(length) for length in row["nominal_lengths_mm"].split())
    return tuple(sorted(found))


def steps_about(standard: str, length_mm: float) -> tuple[float, ...]:
    """Return the listed lengths next below and next above one in mm, the nearer first."""
    steps = lengths(standard)
    below = [step for step in steps if step <= length_mm][-1:]
    above = [step for step in steps if step > length_mm][:1]
    return tuple(sorted((*below, *above), key=lambda step: abs(step - length_mm)))


_HAIR = 1e-6  # half a unit far beyond any table's last digit: floats must not decide a fit

_MEMORY = "this row is from memory: check it before ordering"

_PARTLY = "part of this row is from memory: check it before ordering"


def piece(
    kind: Kind,
    row: Row,
    asked: Mapping[str, float] | None = None,
    error_mm: float = 0.0,
    length: float | None = None,
) -> Piece:
    """Make the piece of a row; with measurements, also the misses; with a length, named by it."""
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
    name = kind.designate(row)
    if length is not None:
        name = f"{name} x {shown(length)}"
        sizes[LENGTH.name] = length
        if asked and LENGTH.name in asked:
            miss = asked[LENGTH.name] - length
            misses[LENGTH.name] = round(miss, 4)
            outside = max(0.0, _outside(LENGTH, row, length, miss) - error_mm)
            beyond[LENGTH.name] = round(outside, 4)
    notes = kind.notes(row)
    if row["source"].startswith(("memory", "from memory")):
        notes = (*notes, _MEMORY)
    elif "memory" in row["source"]:
        notes = (*notes, _PARTLY)
    return Piece(
        name,
        kind.name,
        kind.standard(row),
        MappingProxyType(sizes),
        MappingProxyType(misses),
        MappingProxyType(beyond),
        row["source"],
        notes,
        row["type"] if kind.name == "bearing" else "",
    )


def match(
    kind: Kind,
    sizes_mm: Sequence[float | None],
    dims: Sequence[str] | None,
    standard: str | None,
    error_mm: float | None,
    limit: int,
) -> Match:
    """Match measured sizes with the rows of one kind."""
    error = kind.error_mm if error_mm is None else error_mm
    if not (math.isfinite(error) and error >= 0):
        raise BadValue(f"measuring error {error} mm: it must be zero or more")
    if limit < 0:
        raise BadValue(f"limit {limit}: how many near ones to list must be zero or more")
    if dims is not None:
        return _answer(kind, _asked(kind, sizes_mm, dims), standard, error, limit)
    orders = _orders(kind, len(sizes_mm))
    # Which order is meant must not hang on the error asked for: a larger one would lose pieces.
    judged = []
    for order in orders:
        asked = _asked(kind, sizes_mm, order)
        judged.append((asked, _ranked(kind, asked, standard, kind.error_mm)))
    judged = [entry for entry in judged if entry[1].exact or entry[1].near] or judged[:1]
    asked, _ = best = min(judged, key=lambda entry: entry[1].rank * (1 + (entry != judged[0])))
    found = _answer(kind, asked, standard, error, limit)
    others = [entry for entry in judged if entry is not best and entry[1].exact]
    return replace(found, notes=(*_other_readings(kind, asked, others, found), *found.notes))


def fits(kind: Kind, sizes_mm: Sequence[float]) -> bool:
    """Return whether a row fits unnamed sizes in any of the kind's orders, sooner than `match`."""
    for order in dict.fromkeys(order[: len(sizes_mm)] for order in kind.orders):
        named = dict(zip(order, sizes_mm, strict=False))
        wanted = [dim for dim in kind.dims if dim.name in named]
        asked = [(dim, named[dim.name], _column(kind, dim)) for dim in wanted]
        if len(named) == len(sizes_mm) and any(
            all(
                (value := column[at]) is not None
                and _outside(dim, row, value, size - value) <= kind.error_mm + _HAIR
                for dim, size, column in asked
            )
            for at, row in enumerate(kind.rows())
        ):
            return True
    return False


@dataclass(frozen=True, slots=True)
class _Ranked:
    """The rows that fit and those that do not, best first, and the lengths to offer them in."""

    exact: list[tuple[float, float, int, Row]]
    near: list[tuple[float, float, int, Row]]
    steps: tuple[float, ...] = ()
    length_off: float = 0.0

    @property
    def rank(self) -> float:
        """Return how far the best row is off, mm; 0 when one fits."""
        row = 0.0 if self.exact else self.near[0][0] if self.near else math.inf
        return math.hypot(row, self.length_off)


def _ranked(kind: Kind, asked: Mapping[str, float], standard: str | None, error: float) -> _Ranked:
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
        named = [dim.name for dim in wanted]
        if kind.same in named and outside[named.index(kind.same)] > error + _HAIR:
            continue
        if max(outside, default=0.0) <= error + _HAIR:
            exact.append((round(sum(outside), 6), round(sum(off), 6), at, row))
        else:
            rank = math.hypot(*(max(0.0, out - error) for out in outside))
            near.append((round(rank, 6), round(sum(off), 6), at, row))
    exact.sort(key=lambda entry: entry[:3])
    near.sort(key=lambda entry: entry[:3])
    if kind.fold:
        near = _folded(kind, near)
    if LENGTH.name not in asked:
        return _Ranked(exact, near)
    length = asked[LENGTH.name]
    steps = steps_about(kind.length_standard, length)
    short = max(0.0, abs(length - steps[0]) - LENGTH.band({}, length)[1] - error)
    listed = short <= _HAIR
    return _Ranked(exact, near, steps[:1] if listed else steps, 0.0 if listed else short)


def _answer(
    kind: Kind, asked: dict[str, float], standard: str | None, error: float, limit: int
) -> Match:
    ranked = _ranked(kind, asked, standard, error)
    if not ranked.exact and not ranked.near and not kind.same:
        raise BadValue(f"no {kind.name} in the tables has {', '.join(asked)} listed")
    step = ranked.steps[0] if ranked.steps else None
    fitting = [entry[-1] for entry in ranked.exact]
    near = [piece(kind, entry[-1], asked, error, step) for entry in ranked.near[:limit]]
    exact = []
    if ranked.length_off:
        first = fitting or [entry[-1] for entry in ranked.near[:1]]
        near = [
            *(piece(kind, row, asked, error, length) for row in first for length in ranked.steps),
            *near[0 if fitting else 1 :],
        ][:limit]
    else:
        exact = [piece(kind, row, asked, error, step) for row in fitting]
    said = [dim for name in asked if (dim := kind.dim(name)) is not None]
    return Match(
        kind.name,
        MappingProxyType(asked),
        error,
        tuple(exact),
        tuple(near),
        kind.advice,
        (
            f"measuring error {shown(error)} mm in each size, on top of the piece's own tolerance",
            "sizes in mm: " + ", ".join(f"{dim.name} = {dim.words}" for dim in said),
        ),
    )


def _orders(kind: Kind, count: int) -> list[tuple[str, ...]]:
    """Return the orders that so many unnamed sizes can stand in, the usual one first."""
    orders = [order[:count] for order in kind.orders if len(order) >= count]
    if not orders:
        usual = max(kind.orders, key=len)
        raise BadValue(
            f"{count} sizes for a {kind.name}; they are {', '.join(usual)} in that order"
        )
    return list(dict.fromkeys(orders))


def _other_readings(
    kind: Kind,
    asked: Mapping[str, float],
    others: Sequence[tuple[dict[str, float], _Ranked]],
    found: Match,
) -> tuple[str, ...]:
    """Say what else the same numbers can be, as 1 is a split pin's hole or its own thickness."""
    notes = []
    known = {one.designation for one in found.exact}
    for other, ranked in others:
        changed = [dim for name in other if name not in asked and (dim := kind.dim(name))]
        step = ranked.steps[0] if ranked.steps else None
        names = (piece(kind, entry[-1], length=step).designation for entry in ranked.exact)
        other_names = [name for name in dict.fromkeys(names) if name not in known]
        if other_names and changed and not ranked.length_off:
            what = ", ".join(f"{shown(other[dim.name])} is the {dim.words}" for dim in changed)
            more = " and others" if len(other_names) > 3 else ""
            notes.append(f"if {what}: {', '.join(other_names[:3])}{more}")
    return tuple(notes)


def _asked(kind: Kind, sizes_mm: Sequence[float | None], names: Sequence[str]) -> dict[str, float]:
    for name in names:
        if kind.dim(name) is None:
            known = ", ".join(f"{dim.name} ({dim.words})" for dim in kind.dims)
            raise BadValue(f"a {kind.name} has no size {name!r}; it has {known}")
    if len(sizes_mm) != len(names):
        raise BadValue(
            f"{len(sizes_mm)} sizes for a {kind.name}; they are {', '.join(names)} in that order"
        )
    asked = {}
    for name, size in zip(names, sizes_mm, strict=True):
        if size is None:
            continue
        if not (math.isfinite(size) and size > 0):
            raise BadValue(f"{kind.name} {name} = {size} mm: a size must be more than zero")
        asked[name] = float(size)
    if not asked:
        said = ", ".join(names or kind.orders[0])
        raise BadValue(f"no size given for the {kind.name}; it has {said}")
    return asked


@cache
def _column(kind: Kind, dim: Dim) -> tuple[float | None, ...]:
    """Return one dimension of every row of a kind, read once."""
    return tuple(dim.value(row) for row in kind.rows())


def _rows(kind: Kind, standard: str | None) -> frozenset[int] | None:
    """Return the identities of a standard's rows, or None for every row."""
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
    wanted: Sequence[Dim], row: Row, values: Sequence[float | None], asked: Mapping[str, float]
) -> tuple[list[float], list[float]] | None:
    """Return how far each measurement lies outside its band, and off the figure itself, in mm."""
    outside = []
    off = []
    for dim, value in zip(wanted, values, strict=True):
        if value is None:
            return None
        miss = asked[dim.name] - value
        outside.append(_outside(dim, row, value, miss))
        middle = sum(dim.band(row, value)) / 2 if dim.ranged else 0.0
        off.append(abs(miss - middle))
    return outside, off


def _outside(dim: Dim, row: Row, value: float, miss: float) -> float:
    """Return how far a miss lies outside the tolerance of the figure, mm, zero inside it."""
    below, above = dim.band(row, value)
    return max(0.0, below - miss, miss - above)
