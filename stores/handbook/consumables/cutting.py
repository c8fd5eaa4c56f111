"""Cutting: gaskets out of a sheet, hose and wire out of lengths, heat-shrink to length."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between
from stores.text import plural

__all__ = [
    "SHRINKS",
    "Cutting",
    "blanks_from_sheet",
    "cut_lengths",
    "heat_shrink",
    "runs",
    "sheets_for_blanks",
    "shrink_ratio",
]

_MOST_MM = 1e6
_ASBESTOS = "old gaskets may hold asbestos: wet, no wire brush, bag the waste"


def blanks_from_sheet(
    sheet_mm: tuple[float, float], blank_mm: tuple[float, float], gap_mm: float = 5.0
) -> Answer:
    """Return how many oblong blanks come out of a sheet in straight rows, the better of two turns.

    Args:
        sheet_mm: sides of the sheet [mm].
        blank_mm: sides of the blank, with its margin [mm].
        gap_mm: between blanks and at the edge [mm], 0 to 100.

    Two rows of three:

    >>> blanks_from_sheet((500, 500), (180, 120)).value
    6.0
    """
    for side in (*sheet_mm, *blank_mm):
        above_zero("side", side, "mm", 10_000.0)
    between("gap", gap_mm, "mm", 0.0, 100.0)

    def rows(sheet: float, blank: float) -> int:
        return max(0, floor((sheet - gap_mm) / (blank + gap_mm) + 1e-9))

    (wide, long), (one, other) = sheet_mm, blank_mm
    straight = rows(wide, one) * rows(long, other)
    turned = rows(wide, other) * rows(long, one)
    count = float(max(straight, turned))
    way = (
        "either way round" if straight == turned else "as drawn" if straight > turned else "turned"
    )
    return Answer(
        "blanks", count, "piece" if count == 1 else "pieces", count, count, "how they are laid",
        (f"straight rows, {gap_mm:g} mm between them and at the edge, {way}",
         "small ones from inside large ones are a gain that is not counted"),
        ("sheet-rows",), (_ASBESTOS,),
    )  # fmt: skip


def sheets_for_blanks(
    count: int,
    sheet_mm: tuple[float, float],
    blank_mm: tuple[float, float],
    gap_mm: float = 5.0,
) -> Answer:
    """Return how many sheets so many blanks take.

    Raises `BadValue` for a blank that no sheet holds.

    Args:
        count: how many blanks, up to 100 000.
        sheet_mm: sides of the sheet [mm].
        blank_mm: sides of the blank, with its margin [mm].
        gap_mm: between blanks and at the edge [mm], 0 to 100.

    >>> sheets_for_blanks(7, (500, 500), (180, 120)).value
    2.0
    """
    between("how many", count, "", 1, 100_000)
    each = blanks_from_sheet(sheet_mm, blank_mm, gap_mm)
    if each.value < 1:
        raise BadValue(
            f"{blank_mm[0]:g} x {blank_mm[1]:g} mm does not fit in a sheet of {sheet_mm[0]:g} x "
            f"{sheet_mm[1]:g} mm with {gap_mm:g} mm round it"
        )
    sheets = float(ceil(count / each.value))
    return Answer("to cut", sheets, "sheet" if sheets == 1 else "sheets", sheets, sheets,
                  each.limiting,
                  (f"{each.value:g} to the sheet", *each.assumptions), each.sources,
                  each.cautions)  # fmt: skip


_HOSE = (
    "brake, fuel and pressure lines: one piece, the right hose with a date on it, the "
    "maker's figure; "
    "a second person checks",
)


def _cuts(runs_mm: Sequence[float], end_mm: float) -> list[float]:
    if not runs_mm:
        raise BadValue("which runs? Give their lengths")
    if len(runs_mm) > _MOST_CUTS:
        raise BadValue(f"{len(runs_mm)} runs: expected up to {_MOST_CUTS}")
    between("allowance", end_mm, "mm an end", 0.0, 10_000.0)
    return [above_zero("run", run, "mm", _MOST_MM) + 2 * end_mm for run in runs_mm]


_MOST_CUTS = 200


def runs(runs_mm: Sequence[float], end_mm: float = 0.0) -> Answer:
    """Return the hose, cable or wire for a number of runs, mm: their sum and both ends of each.

    The total alone is not enough where it comes in lengths: see `cut_lengths`.

    Args:
        runs_mm: the runs [mm].
        end_mm: allowance at each end [mm].

    >>> runs([420, 310, 655], 25).value
    1535.0
    """
    total = float(sum(_cuts(runs_mm, end_mm)))
    return Answer("length in all", total, "mm", total, total, "the ends",
                  (f"{plural(len(runs_mm), 'run')}, {end_mm:g} mm more at each end",
                   "measured along the run with its bends"), ("arithmetic",), _HOSE)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cutting:
    """How runs are cut from single lengths.

    ``lengths`` are those used, each with its cuts in mm; ``short`` are cuts that found no length.
    ``enough_in_all`` is true where the lengths together are as long as all the cuts, whether or not
    they can be cut: then ``short`` says what no single piece is long enough for. ``sure`` is false
    where the lengths were too many to try every way.
    """

    total: Answer
    lengths: tuple[tuple[float, tuple[float, ...]], ...]
    short: tuple[float, ...]
    enough_in_all: bool
    sure: bool


_TRIES = 20_000


def cut_lengths(
    runs_mm: Sequence[float], lengths_mm: Sequence[float], end_mm: float = 0.0
) -> Cutting:
    """Return how to cut runs from the lengths that are there, each run in one piece.

    Of the ways tried, the one that leaves the fewest cuts without a length.

    Args:
        runs_mm: the runs [mm].
        lengths_mm: the lengths that are there [mm].
        end_mm: allowance at each end of a run [mm].

    Two lengths of 800 are more than 1500 in all, and no piece of 900 comes out of them:

    >>> made = cut_lengths([900, 600], [800, 800])
    >>> made.enough_in_all, made.short
    (True, (900.0,))
    """
    total = runs(runs_mm, end_mm)
    cuts = sorted((float(cut) for cut in _cuts(runs_mm, end_mm)), reverse=True)
    if len(lengths_mm) > _MOST_CUTS:
        raise BadValue(f"{len(lengths_mm)} lengths: expected up to {_MOST_CUTS}")
    there = sorted(between("length", length, "mm", 0.0, _MOST_MM) for length in lengths_mm)
    placed, sure = _place(cuts, there)
    used: list[list[float]] = [[] for _ in there]
    short: list[float] = []
    for cut, at in zip(cuts, placed, strict=True):
        (short if at is None else used[at]).append(cut)
    lengths = tuple(
        (float(length), tuple(own)) for length, own in zip(there, used, strict=True) if own
    )
    enough = sum(there) >= total.value - 1e-9
    return Cutting(total, lengths, tuple(short), enough, sure or not short)


def _place(cuts: list[float], there: list[float]) -> tuple[list[int | None], bool]:
    """Return where each cut goes: the longest first into the tightest length, then every way."""
    tries = 0
    left = list(there)
    best: list[int | None] = [None] * len(cuts)
    placed: list[int | None] = list(best)
    fewest = len(cuts) + 1

    def search(at: int, missed: int) -> bool:
        nonlocal tries, fewest, best
        tries += 1
        if missed >= fewest or tries > _TRIES:
            return False
        if at == len(cuts):
            fewest, best = missed, list(placed)
            return missed == 0
        seen: set[float] = set()
        for slot in sorted(range(len(left)), key=left.__getitem__):
            if left[slot] + 1e-9 < cuts[at] or left[slot] in seen:
                continue
            seen.add(left[slot])
            left[slot] -= cuts[at]
            placed[at] = slot
            if search(at + 1, missed):
                return True
            left[slot] += cuts[at]
        placed[at] = None
        return search(at + 1, missed + 1)

    search(0, 0)
    return best, tries <= _TRIES


def heat_shrink(recovered_mm: float, loss: float = 0.10) -> Answer:
    """Return how long to cut heat-shrink so that it is long enough when shrunk, mm, rounded up.

    Args:
        recovered_mm: length wanted after shrinking [mm], up to 2000.
        loss: how much shorter it gets, 0 to 0.2; 0.05 to 0.15 is usual.

    >>> heat_shrink(30).value
    34.0
    """
    above_zero("length", recovered_mm, "mm", 2000.0)
    between("loss", loss, "", 0.0, 0.2)

    def cut(lost: float) -> float:
        return float(ceil(round(recovered_mm / (1 - lost), 9)))

    return Answer(
        "cut", cut(loss), "mm", min(cut(0.05), cut(loss)), max(cut(0.15), cut(loss)),
        "how much it shortens", (f"{100 * loss:.0f} % shorter when shrunk; 5 to 15 % is usual",),
        ("heat-shrink",), ("no naked flame near fuel, paint or a battery",),
    )  # fmt: skip


SHRINKS = (2.0, 3.0, 4.0)
"""Ratios that heat-shrink comes in, before to after (common practice)."""


def shrink_ratio(over_mm: float, under_mm: float) -> Answer:
    """Return the least ratio of heat-shrink that goes over a plug and still grips the wire.

    Raises `BadValue` where the usual ratios do not reach.

    Args:
        over_mm: the largest diameter it has to pass [mm].
        under_mm: the smallest that it has to grip [mm].

    >>> shrink_ratio(12, 5).value
    3.0
    """
    above_zero("over", over_mm, "mm", 200.0)
    above_zero("under", under_mm, "mm", 200.0)
    if under_mm > over_mm:
        raise BadValue(
            f"{under_mm:g} mm to grip is more than {over_mm:g} mm to pass: which is which?"
        )
    needed = over_mm / under_mm
    found = next((ratio for ratio in SHRINKS if ratio >= needed - 1e-9), None)
    if found is None:
        raise BadValue(f"{needed:.1f} to 1: more than heat-shrink does; put it on before the plug")
    return Answer("ratio", found, "to 1", found, found, "the plug and the wire",
                  (f"{needed:.2f} to 1 needed",), ("heat-shrink", "practice"))  # fmt: skip
