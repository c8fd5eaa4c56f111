"""Wear: a reading against nominal and limit, and a bore measured at heights and axes.

The maker's limit comes first. Where there is none, rules of books about other engines serve as a
sense check and say so. `Verdict` speaks the words of an inspection in the ledger.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from stores.errors import BadValue, NotFound
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.table import table

__all__ = ["Bore", "Finding", "Verdict", "clearance", "judge", "measure_bore", "rule_mm"]

MM_PER_INCH = 25.4
LARGEST_MM = 500.0
_CAUTION = ("the maker's limit of this machine comes first",)


class Verdict(StrEnum):
    """What a reading says of a piece: the words of the ledger's conditions."""

    SERVICEABLE = "serviceable"
    CONDEMNED = "condemned"
    QUARANTINE = "quarantine"


@dataclass(frozen=True, slots=True)
class Finding:
    """A reading judged: ``worn`` is the change from nominal towards the limit, ``left`` what
    remains to the limit (both mm, below zero on the other side), ``share`` worn of the allowance.
    """

    what: str
    verdict: Verdict
    reading: Answer
    nominal_mm: float | None
    limit_mm: float | None
    worn_mm: float | None
    left_mm: float | None
    share: float | None
    reason: str


def judge(
    what: str,
    reading_mm: float,
    *,
    nominal_mm: float | None = None,
    limit_mm: float | None = None,
    grows: bool | None = None,
    sigma_mm: float = 0.005,
    sources: tuple[str, ...] = ("maker",),
) -> Finding:
    """Judge a reading against nominal and limit, mm.

    The limit lies above the nominal where wear makes it larger (bore, clearance), below where it
    makes it smaller (shaft, pad): with no nominal ``grows`` says which. A reading at the limit is
    serviceable; one within twice the tool's uncertainty of it is in quarantine: measure again,
    better. Without a limit nothing is judged.

    Raises `BadValue` for a reading or limit outside 0 to 500 mm, or a limit equal to nominal
    without ``grows``, or one that contradicts it.
    """
    between(f"{what}: reading", reading_mm, "mm", 0.0, LARGEST_MM)
    above_zero(f"{what}: uncertainty", sigma_mm, "mm", 5.0)
    for name, value in (("nominal", nominal_mm), ("limit", limit_mm)):
        if value is not None:
            between(f"{what}: {name}", value, "mm", 0.0, LARGEST_MM)
    off = 2 * sigma_mm
    reading = Answer(
        what, reading_mm, "mm", max(0.0, reading_mm - off), reading_mm + off,
        "the measuring tool", (f"read to {sigma_mm:g} mm (standard uncertainty)", "at 20 C"),
        sources, _CAUTION,
    )  # fmt: skip
    if limit_mm is None:
        return Finding(
            what, Verdict.QUARANTINE, reading, nominal_mm, None, None, None, None,
            f"{what} {reading_mm:g} mm: no limit known, so not judged",
        )  # fmt: skip
    sign = _way(what, nominal_mm, limit_mm, grows)
    left = sign * (limit_mm - reading_mm)
    worn = None if nominal_mm is None else sign * (reading_mm - nominal_mm)
    allowed = None if nominal_mm is None else abs(limit_mm - nominal_mm)
    share = worn / allowed if worn is not None and allowed else None
    edge = 1e-9 * LARGEST_MM
    if abs(left) < off - edge and abs(left) > edge:
        verdict = Verdict.QUARANTINE
        end = f"within {off:g} mm of the limit {limit_mm:g}: measure again with a finer tool"
    elif left < -edge:
        verdict, end = Verdict.CONDEMNED, f"{-left:.3f} mm beyond the limit {limit_mm:g}"
    else:
        verdict, end = Verdict.SERVICEABLE, f"{abs(left):.3f} mm within the limit {limit_mm:g}"
    if worn is not None and worn < -off:
        verdict = Verdict.QUARANTINE
        end = f"less worn than new ({nominal_mm:g}): oversize, another part, or misread"
    return Finding(
        what, verdict, reading, nominal_mm, limit_mm, worn, left, share,
        f"{what} {reading_mm:g} mm: {end}",
    )  # fmt: skip


def _way(what: str, nominal: float | None, limit: float, grows: bool | None) -> int:
    """Give 1 where wear makes the reading larger, -1 where smaller."""
    if nominal is None or nominal == limit:
        if grows is None:
            raise BadValue(f"{what}: say whether wear makes it larger or smaller")
        return 1 if grows else -1
    sign = 1 if limit > nominal else -1
    if grows is not None and grows != (sign == 1):
        way = "larger" if grows else "smaller"
        raise BadValue(
            f"{what}: wear makes it {way}, but the limit {limit:g} is on the other side of "
            f"the nominal {nominal:g}"
        )
    return sign


def rule_mm(key: str, size_mm: float | None = None) -> Answer:
    """Give a rule of the table ``wear_rules``, mm; a rule per size is multiplied by ``size_mm``.

    Raises `NotFound` for an unknown rule, `BadValue` for one per size without the size.
    """
    rows = {row["key"]: row for row in table("wear_rules")}
    if key not in rows:
        raise NotFound(f"no wear rule {key!r}: known are {', '.join(rows)}")
    row = rows[key]
    value = float(row["value"])
    if row["unit"] == "in":
        value *= MM_PER_INCH
    if row["per"]:
        if size_mm is None:
            raise BadValue(f"{row['check']}: it goes by the {row['per']}; give it in mm")
        value *= above_zero(row["per"], size_mm, "mm", LARGEST_MM)
    low = value * 0.75 if key == "ring_gap_per_inch" else value
    army = "TM 10-3930" in row["source"]
    return Answer(
        row["check"], value, "mm", low, value, "it is a rule of other engines",
        (f"{row['detail']}; {row['source']}",), ("tm-10-3930",) if army else ("wear-practice",),
        _CAUTION,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bore:
    """A bore from its readings: ``largest`` and ``smallest`` anywhere, mm.

    ``ovality`` is the largest difference between axes at one height, ``taper`` the largest along
    one axis; each with where it was found, None where the readings do not show it.
    """

    largest_mm: float
    smallest_mm: float
    ovality: Answer | None
    ovality_at: str
    taper: Answer | None
    taper_at: str
    wear: Finding | None
    verdicts: tuple[Finding, ...]


def measure_bore(
    readings: Mapping[str, Mapping[str, float]],
    *,
    nominal_mm: float | None = None,
    stroke_mm: float | None = None,
    wear_limit_mm: float | None = None,
    ovality_limit_mm: float | None = None,
    taper_limit_mm: float | None = None,
    sigma_mm: float = 0.005,
) -> Bore:
    """Judge a bore from readings by height and axis: ``{"top": {"along": 47.52, "across": ..}}``.

    At least one height; ovality needs two axes at one height, taper two heights on one axis.
    ``wear_limit_mm`` is the largest bore allowed. A maker's limit left out is replaced by the rule
    of a heavy-engine manual: bore wear 0.001 of the bore, taper 0.0005 of the stroke, out of
    round 0.0004 of the diameter (a journal's, for want of a bore's).

    Raises `BadValue` for a reading outside 1 to 500 mm, or readings more than 5 per cent apart.
    """
    every = [mm for axes in readings.values() for mm in axes.values()]
    if not every:
        raise BadValue("a bore needs at least one reading")
    for height, axes in readings.items():
        for axis, mm in axes.items():
            between(f"bore, {height} {axis}", mm, "mm", 1.0, LARGEST_MM)
    largest, smallest = max(every), min(every)
    if largest > 1.05 * smallest:
        raise BadValue(f"readings {smallest:g} and {largest:g} mm are not of one bore")
    ovality, ovality_at = _widest(readings)
    by_axis: dict[str, dict[str, float]] = {}
    for height, axes in readings.items():
        for axis, mm in axes.items():
            by_axis.setdefault(axis, {})[height] = mm
    taper, taper_at = _widest(by_axis)
    size = nominal_mm or smallest
    verdicts = []
    wear = None
    if nominal_mm is not None:
        limit, source = wear_limit_mm, "maker"
        if limit is None:
            limit, source = nominal_mm + rule_mm("bore_wear", nominal_mm).value, "tm-10-3930"
        wear = judge("bore", largest, nominal_mm=nominal_mm, limit_mm=limit, grows=True,
                     sigma_mm=sigma_mm, sources=(source,))  # fmt: skip
        verdicts.append(wear)
    if ovality is not None:
        limit, source = ovality_limit_mm, "maker"
        if limit is None:
            limit, source = rule_mm("journal_out_of_round", size).value, "tm-10-3930"
        verdicts.append(judge("ovality", ovality, nominal_mm=0.0, limit_mm=limit,
                              sigma_mm=sigma_mm, sources=(source,)))  # fmt: skip
    if taper is not None and (taper_limit_mm is not None or stroke_mm is not None):
        limit, source = taper_limit_mm, "maker"
        if limit is None:
            limit, source = rule_mm("bore_taper", stroke_mm).value, "tm-10-3930"
        verdicts.append(judge("taper", taper, nominal_mm=0.0, limit_mm=limit,
                              sigma_mm=sigma_mm, sources=(source,)))  # fmt: skip
    return Bore(
        largest, smallest,
        None if ovality is None else _difference("ovality", ovality, sigma_mm), ovality_at,
        None if taper is None else _difference("taper", taper, sigma_mm), taper_at,
        wear, tuple(verdicts),
    )  # fmt: skip


def _widest(groups: Mapping[str, Mapping[str, float]]) -> tuple[float | None, str]:
    found = [
        (max(each.values()) - min(each.values()), name)
        for name, each in groups.items()
        if len(each) > 1
    ]
    if not found:
        return None, ""
    return max(found, key=lambda pair: pair[0])


def _difference(what: str, value: float, sigma_mm: float) -> Answer:
    """Give a difference of two readings: their uncertainties add up in squares."""
    off = 2 * 2**0.5 * sigma_mm
    return Answer(what, value, "mm", max(0.0, value - off), value + off, "the measuring tool",
                  (f"each read to {sigma_mm:g} mm (standard uncertainty)",), ("wear-practice",),
                  _CAUTION)  # fmt: skip


def clearance(bore_mm: float, piston_mm: float, *, sigma_mm: float = 0.005) -> Answer:
    """Give the running clearance of a piston: bore less skirt, mm.

    The skirt is measured square to the pin at the height the maker gives, the bore where it is
    least worn. Raises `BadValue` for a piston larger than the bore.
    """
    for what, mm in (("bore", bore_mm), ("piston", piston_mm)):
        between(what, mm, "mm", 1.0, LARGEST_MM)
    value = bore_mm - piston_mm
    if not isfinite(value) or value < 0 or value > 0.05 * bore_mm:
        raise BadValue(f"a piston of {piston_mm:g} mm does not run in a bore of {bore_mm:g} mm")
    found = _difference("piston clearance", value, sigma_mm)
    return Answer(found.what, found.value, "mm", found.low, found.high, found.limiting,
                  (*found.assumptions, "skirt measured square to the pin"), found.sources,
                  _CAUTION)  # fmt: skip
