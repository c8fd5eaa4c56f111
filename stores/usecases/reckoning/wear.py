"""Wear and fits, as they are typed."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stores.errors import BadValue, NotationError
from stores.usecases.reckoning import Reckoned, _cited, _mm, _mm_or_none, reckoned

if TYPE_CHECKING:
    from stores.handbook.wear import Deviations, Finding

__all__ = [
    "BoreReckoned",
    "ReadingJudged",
    "ReckonBore",
    "ReckonWear",
    "ToleranceLimits",
    "bore",
    "fit",
    "wear",
]


@dataclass(frozen=True, slots=True)
class ToleranceLimits:
    """The limits of one part, mm."""

    deviations: "Deviations"
    limits_mm: tuple[float, float]


class ReckonWear(NamedTuple):
    """A reading, a part of an engine before it or not (``gudgeon pin 14.97``), against the size
    when new and the maker's limit; mm if not said."""

    reading: str
    nominal: str = ""
    limit: str = ""
    larger: bool | None = None
    off: str = "0.005"


@dataclass(frozen=True, slots=True)
class ReadingJudged:
    """A reading judged, mm; ``share`` is what is worn of what is allowed. ``by_rule`` tells that no
    limit of the maker's but a rule of other engines stands behind it."""

    what: str
    verdict: str
    reading: Reckoned
    nominal_mm: float | None
    limit_mm: float | None
    worn_mm: float | None
    left_mm: float | None
    share: float | None
    reason: str
    by_rule: bool


class ReckonBore(NamedTuple):
    """A bore's readings by height, ``top 47.52 47.55``, along and across; limits in mm."""

    heights: Sequence[str]
    nominal: str = ""
    stroke: str = ""
    limit: str = ""
    oval: str = ""
    taper: str = ""
    piston: str = ""
    off: str = "0.005"


@dataclass(frozen=True, slots=True)
class BoreReckoned:
    """Ovality, taper and wear of a bore, each with where it is; ``clearance`` on the piston."""

    largest_mm: float
    smallest_mm: float
    ovality: Reckoned | None
    ovality_at: str
    taper: Reckoned | None
    taper_at: str
    clearance: Reckoned | None
    verdicts: tuple[ReadingJudged, ...]
    sources: tuple[str, ...]


def fit(typed: str) -> Reckoned | ToleranceLimits:
    """Return the clearance of a pair, ``12 H7/k6``, in micrometres, or the limits of one part,
    ``20 h6``: ISO 286."""
    from stores.handbook.wear import deviations
    from stores.handbook.wear import fit as fit_of

    one = re.fullmatch(r"\s*(\S+)\s*(?:mm\s*)?\s+([A-Za-z]{1,2}\d{1,2})\s*", typed)
    if not one:
        return reckoned(fit_of(typed))
    limits = deviations(one[2], _mm(one[1]))
    return ToleranceLimits(limits, limits.limits_mm)


def wear(ask: ReckonWear) -> ReadingJudged:
    """Return how far something is worn, and what is left.

    Of a part that is named a rule of other engines stands in for a limit that is not known.

    Raises:
        BadValue: no reading, or one that is of another part; a part no rule is on record for.
    """
    from stores.handbook.wear import judge, judge_part, part_named, parts

    words, size = _part_and_size(ask.reading)
    part = part_named(words)
    if words and not part and not ask.limit.strip():
        raise BadValue("no such part of wear", typed=words[:40], parts=parts())
    value = _mm_or_none(size)
    if value is None:
        raise BadValue("no reading of wear")
    new = _mm_or_none(ask.nominal)
    if new and not part and not 0.5 * new <= value <= 2 * new:
        raise BadValue("reading of another part", reading_mm=value, nominal_mm=new)
    limit, off = _mm_or_none(ask.limit), _mm_or_none(ask.off) or 0.005
    if part:
        return _judged(judge_part(part, value, nominal_mm=new, limit_mm=limit, sigma_mm=off))
    return _judged(
        judge(
            words or "reading",
            value,
            nominal_mm=new,
            limit_mm=limit,
            grows=ask.larger,
            sigma_mm=off,
        )
    )


def _part_and_size(typed: str) -> tuple[str, str]:
    """Return ``gudgeon pin 14.97 mm`` as the part and the size; ``14.97`` has no part."""
    found = re.search(r"(?<![A-Za-z])[-+.]?\d", typed)
    at = found.start() if found else len(typed)
    return typed[:at].strip(" ,:="), typed[at:].strip()


def _judged(finding: "Finding") -> ReadingJudged:
    from stores.handbook.wear import BOOKS

    return ReadingJudged(
        finding.what,
        finding.verdict,
        reckoned(finding.reading),
        finding.nominal_mm,
        finding.limit_mm,
        finding.worn_mm,
        finding.left_mm,
        finding.share,
        finding.reason,
        bool(set(BOOKS) & set(finding.reading.sources)),
    )


def bore(ask: ReckonBore) -> BoreReckoned:
    """Return ovality, taper and wear of a bore from its readings at several heights.

    Raises:
        NotationError, BadValue: readings that cannot be read, or are of another part.
    """
    from stores.handbook.wear import clearance, measure_bore

    measured = measure_bore(
        _heights(ask.heights),
        nominal_mm=_mm_or_none(ask.nominal),
        stroke_mm=_mm_or_none(ask.stroke),
        wear_limit_mm=_mm_or_none(ask.limit),
        ovality_limit_mm=_mm_or_none(ask.oval),
        taper_limit_mm=_mm_or_none(ask.taper),
        sigma_mm=_mm_or_none(ask.off) or 0.005,
    )
    skirt = _mm_or_none(ask.piston)
    gap = None if skirt is None else clearance(measured.smallest_mm, skirt)
    keys = [key for each in measured.verdicts for key in each.reading.sources]
    for answer in (measured.ovality, measured.taper, gap):
        keys += answer.sources if answer else ()
    return BoreReckoned(
        measured.largest_mm,
        measured.smallest_mm,
        reckoned(measured.ovality) if measured.ovality else None,
        measured.ovality_at,
        reckoned(measured.taper) if measured.taper else None,
        measured.taper_at,
        reckoned(gap) if gap else None,
        tuple(map(_judged, measured.verdicts)),
        _cited(keys or ["wear-practice"]),
    )


def _heights(texts: Sequence[str]) -> Mapping[str, Mapping[str, float]]:
    """Return bore readings by height: ``top 47.52 47.55`` is along and across the crank."""
    readings: dict[str, dict[str, float]] = {}
    for text in texts:
        for part in re.split(r"[;,](?!\d)", text):
            height, *sizes = part.split() or [""]
            if not height or not sizes or height[0].isdigit() or len(sizes) > 6:
                raise NotationError("write a height and its readings: top 47.52 47.55", text)
            names = ("along", "across", "third", "fourth", "fifth", "sixth")
            readings[height] = {name: _mm(size) for name, size in zip(names, sizes, strict=False)}
    return readings
