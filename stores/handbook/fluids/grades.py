"""Oil grades: SAE J300 (engine), SAE J306 (gear), ISO 3448 (VG), and what they have in common.

The three are different scales: compare viscosities, never the numbers. Engine grades end at 60 and
gear grades begin at 65, so a number tells its own scale. The edition matters: the 90 of a book
before about 2005 reached over today's 90 and 110.
"""

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

from stores.errors import BadValue, NotationError
from stores.handbook.table import number, table

__all__ = ["Grade", "Limits", "Scale", "alike", "hths_cp", "limits", "read_grade"]


class Scale(StrEnum):
    """Which standard a grade is of."""

    ENGINE = "SAE J300"
    GEAR = "SAE J306"
    VG = "ISO 3448"


EDITIONS = {Scale.ENGINE: (2015,), Scale.GEAR: (2019, 2005, 1991), Scale.VG: (1992,)}
"""Editions there are limits of, the newest first. J300: the rows of 2013 stand in that of 2015."""


@dataclass(frozen=True, slots=True)
class Grade:
    """An oil as its can or the book has it: ``winter`` and ``hot`` numbers, service designation.

    ``winter`` is the number before W; a VG grade has its number in ``hot``. ``service`` is GL-4 and
    so on, empty where nothing is said. ``ep`` is whether it says EP, extreme pressure.
    """

    scale: Scale
    hot: str = ""
    winter: str = ""
    service: str = ""
    ep: bool = False

    def __str__(self) -> str:
        if self.scale is Scale.VG:
            return f"ISO VG {self.hot}"
        both = "-".join(
            each for each in (f"{self.winter}W" if self.winter else "", self.hot) if each
        )
        words = [
            "SAE",
            both,
            *(["EP"] if self.ep else []),
            *([self.service] if self.service else []),
        ]
        return " ".join(words)


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of kinematic viscosity of a grade, cSt, at a temperature in C; ``below`` may be open.

    A VG grade includes its upper limit, an SAE grade stays below it. ``cold`` says the winter
    limit in words.
    """

    grade: Grade
    at_c: float
    least_cst: float
    below_cst: float | None
    cold: str
    edition: int
    sources: tuple[str, ...]


@cache
def _engine() -> tuple[frozenset[str], frozenset[str]]:
    names = [row["grade"] for row in table("fluids_engine_sae_j300")]
    return _split(names)


@cache
def _gear() -> tuple[frozenset[str], frozenset[str]]:
    return _split([row["grade"] for row in table("fluids_gear_sae_j306")])


def _split(names: list[str]) -> tuple[frozenset[str], frozenset[str]]:
    winter = frozenset(name[:-1] for name in names if name.endswith("W"))
    return winter, frozenset(name for name in names if not name.endswith("W"))


# Compiled when first used: a calculator that reads no grade should not wait for them.
_GL = r"(?i)\b(?:API\s*)?GL\s*-?\s*(\d)\b(?:\s*/\s*(?:GL\s*-?\s*)?(\d)\b)?"
_VG = r"(?i)(?:ISO\s*)?VG\s*-?\s*(\d{1,4})|ISO\s*(\d{1,4})"
_SAE = (
    r"(?i)(?:(?:SAE|EP|gear oil|engine oil|motor oil|oil|hypoid)\s*)*-?\s*"
    r"(?:(?P<winter>\d{1,2})\s*W(?:\s*[-/]?\s*(?P<hot>\d{1,3}))?|(?P<mono>\d{1,3}))"
    r"(?:\s*(?:gear oil|engine oil|motor oil|oil|EP|hypoid))*"
)


def read_grade(text: str) -> Grade:
    """Read a grade: ``20W-50``, ``SAE 30``, ``80W90 GL-4``, ``EP 90``, ``ISO VG 32``.

    Raises `NotationError` for what is no grade, `BadValue` for a grade that the standard does not
    have, or a can that says GL-4 and GL-5 at once.
    """
    rest, service = text.strip(), ""
    found = re.search(_GL, rest)
    if found:
        service = f"GL-{found[1]}"
        if found[2]:
            raise BadValue(
                f"{text.strip()!r}: {service}/GL-{found[2]} is a claim to check, not a category; "
                "write the one that counts"
            )
        if not 1 <= int(found[1]) <= 6:
            raise BadValue(f"{service}: the designations are GL-1 to GL-6")
        rest = (rest[: found.start()] + rest[found.end() :]).strip(" ,;")
    vg = re.fullmatch(_VG, rest)
    if vg:
        if service:
            raise BadValue(f"{text.strip()!r}: GL designations are of SAE gear oils")
        return _vg(vg[1] or vg[2])
    sae = re.fullmatch(_SAE, rest)
    if sae is None:
        raise NotationError("cannot read an oil grade", text)
    made = _sae(sae["winter"] or "", sae["hot"] or sae["mono"] or "", service)
    if not re.search(r"(?i)\b(?:EP|hypoid)\b", rest):
        return made
    if made.scale is not Scale.GEAR:
        raise BadValue(f"EP is of gear oils, and {made} is none")
    return replace(made, ep=True)


def _vg(name: str) -> Grade:
    names = [row["grade"] for row in table("fluids_iso_vg")]
    if name not in names:
        raise BadValue(f"no grade ISO VG {name}: there are {', '.join(names)}")
    return Grade(Scale.VG, name)


def _sae(winter: str, hot: str, service: str) -> Grade:
    for scale, (winters, hots) in ((Scale.ENGINE, _engine()), (Scale.GEAR, _gear())):
        if (not winter or winter in winters) and (not hot or hot in hots):
            if service and scale is Scale.ENGINE:
                raise BadValue(
                    f"{service} is of gear oils, and {Grade(scale, hot, winter)} is none"
                )
            return Grade(scale, hot, winter, service)
    known = ", ".join(sorted(_engine()[1], key=int))
    gears = ", ".join(sorted(_gear()[1], key=int))
    name = Grade(Scale.GEAR, hot, winter)
    raise BadValue(f"no grade {name}: engine oils are 0W to 25W and {known}; gear oils {gears}")


def limits(grade: Grade, edition: int | None = None) -> Limits:
    """Give the limits of viscosity of a grade, by the newest edition or the one named.

    Raises `BadValue` for an edition there are no figures of, or a grade that it does not have.
    """
    editions = EDITIONS[grade.scale]
    year = editions[0] if edition is None else edition
    if year not in editions:
        raise BadValue(f"{grade.scale} of {year}: there are {', '.join(map(str, editions))}")
    if grade.scale is Scale.VG:
        row = next(r for r in table("fluids_iso_vg") if r["grade"] == grade.hot)
        middle = float(row["midpoint_cst_40c"])
        return Limits(grade, 40.0, middle * 0.9, middle * 1.1, "", year, ("iso-3448",))
    if grade.scale is Scale.ENGINE:
        return _engine_limits(grade, year)
    return _gear_limits(grade, year)


def _engine_limits(grade: Grade, year: int) -> Limits:
    rows = table("fluids_engine_sae_j300")
    least, below, cold = 0.0, None, ""
    if grade.winter:
        row = next(r for r in rows if r["grade"] == f"{grade.winter}W")
        least = float(row["kv100_min_cst"])
        cold = (
            f"cranks with at most {row['ccs_max_cp']} cP at {row['ccs_temp_c']} C, "
            f"pumps with at most {row['mrv_max_cp']} cP at {row['mrv_temp_c']} C"
        )
    if grade.hot:
        row = next(r for r in rows if r["grade"] == grade.hot)
        least, below = float(row["kv100_min_cst"]), number(row["kv100_below_cst"])
    return Limits(grade, 100.0, least, below, cold, year, ("sae-j300",))


def hths_cp(grade: Grade) -> float | None:
    """Give the least viscosity at high temperature and shear (150 C) of an engine grade, cP.

    40 has two limits: one for 0W, 5W and 10W, another alone and with 15W and above.
    """
    if grade.scale is not Scale.ENGINE or not grade.hot:
        return None
    rows = [r for r in table("fluids_engine_sae_j300") if r["grade"] == grade.hot]
    own = [r for r in rows if f"{grade.winter}W" in r["with_winter"].split()]
    plain = [r for r in rows if not r["with_winter"]]
    return float((own or plain)[0]["hths150_min_cp"])


def _gear_limits(grade: Grade, year: int) -> Limits:
    rows = {r["grade"]: r for r in table("fluids_gear_sae_j306") if int(r["edition"]) == year}
    for name in (f"{grade.winter}W" if grade.winter else "", grade.hot):
        if name and name not in rows:
            raise BadValue(f"SAE J306 of {year} has no {name}: it has {', '.join(rows)}")
    least, below, cold = 0.0, None, ""
    if grade.winter:
        row = rows[f"{grade.winter}W"]
        least = float(row["kv100_min_cst"])
        cold = f"150000 cP at {row['max_temp_c_for_150000_cp']} C or colder"
    if grade.hot:
        row = rows[grade.hot]
        least, below = float(row["kv100_min_cst"]), number(row["kv100_below_cst"])
    return Limits(grade, 100.0, least, below, cold, year, ("sae-j306",))


def alike(grade: Grade, edition: int | None = None) -> tuple[Grade, ...]:
    """Give the hot grades of the other SAE scale about as thick at 100 C as this one.

    About as thick: the ranges of viscosity overlap. It says nothing of additives: an engine oil is
    no gear oil for a hypoid axle, and the maker's word comes first.

    Raises `BadValue` for a VG grade (measured at 40 C) or one without a hot number.
    """
    if grade.scale is Scale.VG or not grade.hot:
        raise BadValue(f"{grade}: only SAE grades with a hot number compare at 100 C")
    own = limits(grade, edition)
    other = Scale.ENGINE if grade.scale is Scale.GEAR else Scale.GEAR
    names = _engine()[1] if other is Scale.ENGINE else _gear()[1]
    newest = {
        r["grade"] for r in table("fluids_gear_sae_j306") if int(r["edition"]) == EDITIONS[other][0]
    } if other is Scale.GEAR else names  # fmt: skip
    found = []
    for name in sorted(names & newest, key=int):
        each = limits(Grade(other, name))
        high, own_high = each.below_cst or float("inf"), own.below_cst or float("inf")
        if each.least_cst < own_high and own.least_cst < high:
            found.append(each.grade)
    return tuple(found)
