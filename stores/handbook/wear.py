"""Wear: a reading against nominal and limit, and a bore measured at heights and axes.

The maker's limit comes first. Where there is none, rules of books about other engines serve as a
sense check and say so. `Verdict` speaks the words of an inspection in the ledger.

Limits and fits of ISO 286: deviations of shafts and holes, and the clearance of a pair.

Sizes above 0 and up to 500 mm (c, r and s up to 180 mm), grades 4 to 12. Shafts c to h, js, j, k,
m, n, p, r, s and holes C to H, JS, J, K, M, N, P, R, S. Ranges are "over, up to and including".
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum
from math import isfinite

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.table import table

__all__ = [
    "BOOKS",
    "Bore",
    "Deviations",
    "Finding",
    "PartRule",
    "Verdict",
    "clearance",
    "deviations",
    "fit",
    "grade_um",
    "judge",
    "judge_part",
    "measure_bore",
    "part_named",
    "part_rule",
    "parts",
    "rule_mm",
    "substitute",
]

BOOKS = ("tm-10-3930", "wear-85", "wear-350", "wear-450", "wear-600", "wear-memory")
"""Keys of what stands in for a maker's limit that is not known: books, and common practice."""


MM_PER_INCH = 25.4

LARGEST_MM = 500.0

MOST_PLAY_MM = 2.0
"""More than any clearance, end float or ovality of an engine, mm: what reads more is a size."""

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
    assumed: tuple[str, ...] = (),
) -> Finding:
    """Judge a reading against nominal and limit, mm.

    The limit lies above the nominal where wear makes it larger (bore, clearance), below where it
    makes it smaller (shaft, pad): with no nominal ``grows`` says which. A reading at the limit is
    serviceable; one within twice the tool's uncertainty of it is in quarantine: measure again,
    better. Without a limit nothing is judged.

    Raises `BadValue` for a reading or limit outside 0 to 500 mm, or a limit equal to nominal
    without ``grows``, or one that contradicts it.

    Args:
        what: its name.
        reading_mm: what was read [mm].
        nominal_mm: its size when new [mm].
        limit_mm: the maker's limit [mm].
        grows: wear makes it larger.
        sigma_mm: standard uncertainty of the tool [mm].
        sources: keys of where the limit is printed.
        assumed: what was assumed in finding the limit.

    A pin of 20 mm new and 19.90 mm at the limit:

    >>> judge("pin", 19.95, nominal_mm=20, limit_mm=19.90).verdict.value
    'serviceable'
    >>> judge("pin", 19.85, nominal_mm=20, limit_mm=19.90).verdict.value
    'condemned'
    """
    between(f"{what}: reading", reading_mm, "mm", 0.0, LARGEST_MM)
    above_zero(f"{what}: uncertainty", sigma_mm, "mm", 5.0)
    for name, value in (("nominal", nominal_mm), ("limit", limit_mm)):
        if value is not None:
            between(f"{what}: {name}", value, "mm", 0.0, LARGEST_MM)
    off = 2 * sigma_mm
    reading = Answer(
        what, reading_mm, "mm", max(0.0, reading_mm - off), reading_mm + off,
        "the measuring tool",
        (*assumed, f"read to {sigma_mm:g} mm (standard uncertainty)", "at 20 C"), sources, _CAUTION,
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
    """Return 1 where wear makes the reading larger, -1 where smaller."""
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
    """Return a rule of the table ``wear_rules``, mm; a rule per size is multiplied by ``size_mm``.

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
    return Answer(
        row["check"], value, "mm", low, value, "it is a rule of other engines",
        (f"{row['detail']}; {row['source']}",), (row["book"],), _CAUTION,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PartRule:
    """What stands in for a maker's limit of a part: ``limit_mm`` and what it is, a sense check.

    ``grows`` says that wear makes the reading larger; ``memory`` that it is from no page.
    """

    part: str
    limit_mm: float
    grows: bool
    note: str
    source: str
    memory: bool


def parts() -> tuple[str, ...]:
    """Return the parts of an engine that a rule is on record for."""
    return tuple(row["part"] for row in table("wear_parts"))


def part_named(text: str) -> str:
    """Return the part that words mean, empty for none: ``small-end bush`` is ``small end``.

    >>> part_named("gudgeon pin"), part_named("exhaust valve guide"), part_named("pad")
    ('gudgeon pin', 'exhaust valve guide', '')
    """
    words = text.replace("-", " ")
    for row in table("wear_parts"):
        if re.search(rf"(?i)\b(?:{row['words']})", words):
            return row["part"]
    return ""


def part_rule(part: str, nominal_mm: float | None = None) -> PartRule:
    """Return the rule that stands in for the maker's limit of a part.

    Raises `NotFound` for a part that no rule is on record for, `BadValue` for one that goes by the
    size when new where that is not known.

    Args:
        part: one of `parts`.
        nominal_mm: its size when new [mm].

    TM 10-3930 lets a journal be out of round by 0.0004 in an inch of its diameter:

    >>> round(part_rule("journal ovality", 50).limit_mm, 3)
    0.02
    """
    row = next((row for row in table("wear_parts") if row["part"] == part), None)
    if row is None:
        raise NotFound(f"no rule of wear for {part!r}: there are {', '.join(parts())}")
    if row["nominal"] == "yes":
        if nominal_mm is None:
            raise BadValue(f"{part}: its limit goes by its size when new: give that in mm, too")
        above_zero(f"{part}: nominal", nominal_mm, "mm", LARGEST_MM)
    limit = rule_mm(row["rule"], nominal_mm).value if row["rule"] else float(row["limit"])
    grows = row["grows"] == "yes"
    if row["measure"] != "play" and nominal_mm is not None:
        limit = nominal_mm + limit if grows else nominal_mm - limit
    return PartRule(part, limit, grows, row["note"], row["book"], "memory" in row["source"])


def judge_part(
    part: str,
    reading_mm: float,
    *,
    nominal_mm: float | None = None,
    limit_mm: float | None = None,
    sigma_mm: float = 0.005,
) -> Finding:
    """Judge a part of an engine by the maker's limit, or by the rule that stands in for it.

    Raises `BadValue` as `judge` and `part_rule` do.

    Args:
        part: one of `parts`.
        reading_mm: what was read [mm].
        nominal_mm: its size when new [mm].
        limit_mm: the maker's limit [mm].
        sigma_mm: standard uncertainty of the tool [mm].

    >>> judge_part("piston clearance", 0.13).verdict.value
    'condemned'
    """
    row = next((row for row in table("wear_parts") if row["part"] == part), None)
    sized = row is not None and row["measure"] == "size"
    if limit_mm is not None:
        grows = None if row is None else row["grows"] == "yes"
        return judge(part, reading_mm, nominal_mm=nominal_mm, limit_mm=limit_mm, grows=grows,
                     sigma_mm=sigma_mm)  # fmt: skip
    rule = part_rule(part, nominal_mm)
    if row is not None and row["measure"] == "play" and reading_mm > MOST_PLAY_MM:
        raise BadValue(
            f"{part}: {reading_mm:g} mm is a size, and the rule is of {rule.note}: no limit of its "
            "size is on record, the maker's is needed"
        )
    doubt = ", from memory: doubtful" if rule.memory else ""
    return judge(
        part, reading_mm, nominal_mm=nominal_mm if sized else None, limit_mm=rule.limit_mm,
        grows=rule.grows, sigma_mm=sigma_mm, sources=(rule.source,),
        assumed=(f"no maker's limit, so {rule.note} is used{doubt}",),
    )  # fmt: skip


def substitute(check: str, bore_mm: float, stroke_mm: float | None = None) -> Answer | None:
    """Return the limit, mm, that stands in for a maker's not known: of the engine nearest in size.

    ``check`` is bore (wear over standard), ovality or taper. None for the taper of a heavy engine
    whose stroke is not known. A sense check and no verdict: the books are of other engines.

    Args:
        check: bore, ovality or taper.
        bore_mm: the bore when new [mm].
        stroke_mm: the stroke [mm].

    An 85 cm3 single of 47.5 mm may wear by 0.1 mm:

    >>> substitute("bore", 47.5).value
    0.1
    """
    for row in table("wear_substitutes"):
        if row["check"] == check and float(row["over_mm"]) < bore_mm <= float(row["to_mm"]):
            if row["rule"] == "bore_taper" and stroke_mm is None:
                return None
            found = rule_mm(row["rule"], stroke_mm if row["rule"] == "bore_taper" else bore_mm)
            return Answer(
                found.what, found.value, "mm", found.value, found.value, found.limiting,
                (f"no maker's {check} limit, so {row['note']} is used",), found.sources, _CAUTION,
            )  # fmt: skip
    raise NotFound(f"there is no rule for {check!r} of a bore of {bore_mm:g} mm")


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
    ``wear_limit_mm`` is the largest bore allowed. A maker's limit left out is replaced by that of
    the engine nearest in size whose book is at hand (`substitute`).

    Raises `BadValue` for a reading outside 1 to 500 mm, or readings more than 5 per cent apart.

    Args:
        readings: by height and axis [mm].
        nominal_mm: the bore when new [mm].
        stroke_mm: the stroke [mm].
        wear_limit_mm: the largest bore allowed [mm].
        ovality_limit_mm: the most out of round [mm].
        taper_limit_mm: the most taper [mm].
        sigma_mm: standard uncertainty of the tool [mm].

    Ovality is across less along at one height, taper top less bottom on one axis:

    >>> read = {"top": {"along": 47.52, "across": 47.56}, "bottom": {"along": 47.50}}
    >>> bore = measure_bore(read, nominal_mm=47.5)
    >>> round(bore.ovality.value, 3), round(bore.taper.value, 3)
    (0.04, 0.02)
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
        if wear_limit_mm is not None:
            wear = judge("bore", largest, nominal_mm=nominal_mm, limit_mm=wear_limit_mm,
                         grows=True, sigma_mm=sigma_mm)  # fmt: skip
        else:
            other = substitute("bore", size)
            assert other is not None
            wear = judge("bore", largest, nominal_mm=nominal_mm,
                         limit_mm=nominal_mm + other.value, grows=True, sigma_mm=sigma_mm,
                         sources=other.sources, assumed=other.assumptions)  # fmt: skip
        verdicts.append(wear)
    for check, found, maker in (
        ("ovality", ovality, ovality_limit_mm), ("taper", taper, taper_limit_mm)
    ):  # fmt: skip
        if found is None:
            continue
        other = None if maker is not None else substitute(check, size, stroke_mm)
        limit = maker if other is None else other.value
        if limit is not None:
            verdicts.append(
                judge(check, found, nominal_mm=0.0, limit_mm=limit, sigma_mm=sigma_mm,
                      sources=other.sources if other else ("maker",),
                      assumed=other.assumptions if other else ())
            )  # fmt: skip
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
    """Return a difference of two readings: their uncertainties add up in squares."""
    off = 2 * 2**0.5 * sigma_mm
    return Answer(what, value, "mm", max(0.0, value - off), value + off, "the measuring tool",
                  (f"each read to {sigma_mm:g} mm (standard uncertainty)",), ("wear-practice",),
                  _CAUTION)  # fmt: skip


def clearance(bore_mm: float, piston_mm: float, *, sigma_mm: float = 0.005) -> Answer:
    """Return the running clearance of a piston: bore less skirt, mm.

    The skirt is measured square to the pin at the height the maker gives, the bore where it is
    least worn. Raises `BadValue` for a piston larger than the bore.

    Args:
        bore_mm: the bore [mm].
        piston_mm: the skirt [mm].
        sigma_mm: standard uncertainty of the tool [mm].

    >>> round(clearance(56.05, 56.00).value, 3)
    0.05
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


_SOURCES = ("iso-286",)

GRADES = range(4, 13)


@dataclass(frozen=True, slots=True)
class Deviations:
    """Upper and lower deviation of a tolerance class at a size, micrometres."""

    name: str
    size_mm: float
    upper_um: float
    lower_um: float
    hole: bool

    @property
    def limits_mm(self) -> tuple[float, float]:
        """Smallest and largest size, mm."""
        return self.size_mm + self.lower_um / 1000, self.size_mm + self.upper_um / 1000


def grade_um(grade: int, size_mm: float) -> float:
    """Return a standard tolerance, IT4 to IT12, in micrometres (ISO 286-1 table 1).

    Args:
        grade: 4 to 12.
        size_mm: nominal size [mm].

    ISO 286-1 table 1: IT7 over 18 up to 30 mm is 21 micrometres:

    >>> grade_um(7, 20)
    21.0
    """
    between("size", size_mm, "mm", 1e-6, 500.0)
    if grade not in GRADES:
        raise BadValue(f"IT{grade}: there are IT{GRADES[0]} to IT{GRADES[-1]}")
    for row in table("fits_grades"):
        if float(row["over_mm"]) < size_mm <= float(row["incl_mm"]):
            return float(row[f"it{grade}_um"])
    raise AssertionError("sizes up to 500 mm have their grade")


def _fundamental(letter: str, size_mm: float) -> float | None:
    for row in table("fits_deviations"):
        if row["letter"] == letter and float(row["over_mm"]) < size_mm <= float(row["incl_mm"]):
            return float(row["deviation_um"])
    return None


def deviations(name: str, size_mm: float) -> Deviations:
    """Return the deviations of a class, ``h6`` (shaft) or ``H7`` (hole), at a size in mm.

    Raises `NotationError` for what is no class, `BadValue` for one there are no figures of.

    Args:
        name: the class.
        size_mm: nominal size [mm].

    ISO 286-2: h6 at 20 mm is 0 to -13 micrometres:

    >>> shaft = deviations("h6", 20)
    >>> shaft.upper_um, shaft.lower_um
    (0.0, -13.0)
    """
    found = re.fullmatch(r"([A-Z]{1,2}|[a-z]{1,2})(\d{1,2})", name.strip(), re.ASCII)
    if found is None:
        raise NotationError("cannot read a tolerance class such as H7 or h6", name)
    letter, grade = found[1], int(found[2])
    width = grade_um(grade, size_mm)
    ends = _hole(letter, grade, size_mm) if letter.isupper() else _shaft(letter, grade, size_mm)
    if ends is None:
        raise BadValue(f"no figures for {name.strip()} at {size_mm:g} mm")
    side, own = ends
    upper, lower = (own, own - width) if side is _Side.UPPER else (own + width, own)
    return Deviations(name.strip(), size_mm, upper, lower, letter.isupper())


class _Side(Enum):
    UPPER = "upper"
    LOWER = "lower"


_End = tuple[_Side, float]


def _shaft(letter: str, grade: int, size_mm: float) -> _End | None:
    """Return the fundamental deviation of a shaft and its side; the other is a grade away."""
    if letter == "h":
        return _Side.UPPER, 0.0
    if letter == "js":
        return _Side.UPPER, grade_um(grade, size_mm) / 2
    own = _fundamental(f"j{grade}" if letter == "j" else letter, size_mm)
    if own is None:
        return None
    if letter in "cdefg":
        return _Side.UPPER, own
    # k is 0 outside grades 4 to 7 (ISO 286-1 table 4).
    return _Side.LOWER, own if letter != "k" or 4 <= grade <= 7 else 0.0


def _hole(letter: str, grade: int, size_mm: float) -> _End | None:
    """Return the fundamental deviation of a hole and which side it is.

    C to H mirror the shaft; the tighter ones do so with a shift (`_tight_hole`).
    """
    if letter == "H":
        return _Side.LOWER, 0.0
    if letter == "JS":
        return _Side.UPPER, grade_um(grade, size_mm) / 2
    own = _fundamental(f"J{grade}" if letter == "J" else letter.lower(), size_mm)
    if own is None or len(letter) > 1:
        return None
    if letter in "CDEFG":
        return _Side.LOWER, -own
    upper = own if letter == "J" else _tight_hole(letter, grade, size_mm, own)
    return None if upper is None else (_Side.UPPER, upper)


def _tight_hole(letter: str, grade: int, size_mm: float, shaft_um: float) -> float | None:
    """Return the upper deviation of the holes K to S.

    K, M, N up to grade 8 and P to S up to grade 7 mirror the shaft shifted, above 3 mm, by
    Δ = IT(n) - IT(n-1), so that H7/p6 and P7/h6 fit alike (ISO 286-1, 4.3.3).
    """
    if grade <= (8 if letter in "KMN" else 7):
        # ISO 286-1 table 5: M6 from 250 to 315 mm is -9, where the rule gives -11.
        if letter == "M" and grade == 6 and 250 < size_mm <= 315:
            return -9.0
        if size_mm <= 3:
            return -shaft_um
        if grade - 1 not in GRADES:
            return None
        return -shaft_um + grade_um(grade, size_mm) - grade_um(grade - 1, size_mm)
    if letter == "K":
        return 0.0 if size_mm <= 3 else None
    return 0.0 if letter == "N" and size_mm > 3 else -shaft_um


def fit(text: str, size_mm: float | None = None) -> Answer:
    """Return the clearance of a fit, micrometres: ``12 H7/k6``, or ``H7/k6`` with the size.

    Low is hole lower less shaft upper, high is hole upper less shaft lower; below zero is
    interference. The value is the middle.

    Raises `NotationError` for what is no fit, `BadValue` where no size is given or no figures are.

    Args:
        text: hole and shaft, with the size or without.
        size_mm: nominal size, where the text has none [mm].

    H7 is 0 to 21 micrometres at 20 mm and h6 0 to -13, so the clearance is 0 to 34:

    >>> pair = fit("20 H7/h6")
    >>> pair.low, pair.high
    (0.0, 34.0)
    """
    found = re.fullmatch(
        r"(?:[Øø⌀]?\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*)?"
        r"([A-Z]{1,2}\d{1,2})\s*[/ -]\s*([a-z]{1,2}\d{1,2})",
        text.strip(),
    )
    if found is None:
        raise NotationError("cannot read a fit such as 12 H7/k6", text)
    if found[1]:
        size_mm = float(units.value(found[1]))
    if size_mm is None:
        raise BadValue(f"{text.strip()}: at what size? write 12 {text.strip()}")
    hole, shaft = deviations(found[2], size_mm), deviations(found[3], size_mm)
    low, high = hole.lower_um - shaft.upper_um, hole.upper_um - shaft.lower_um
    kind = "clearance" if low >= 0 else "interference" if high <= 0 else "transition"
    return Answer(
        f"{kind} fit", (low + high) / 2, "um", low, high, "the tolerances of both parts",
        ("new parts, both at 20 C, below zero is interference",), _SOURCES,
        ("copy what was fitted or the drawing says; a housing is tight cold, loose hot",),
    )  # fmt: skip
