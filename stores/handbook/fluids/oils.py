"""Oil grades: SAE J300 (engine), SAE J306 (gear), ISO 3448 (VG), and what they have in common.

The three are different scales: compare viscosities, never the numbers. Engine grades end at 60 and
gear grades begin at 65, so a number tells its own scale. The edition matters: the 90 of a book
before about 2005 reached over today's 90 and 110.

API gear oil designations against bronze and brass in the oil.

What to buy in whole containers for all sumps of a machine, by grade.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from math import ceil, gcd

from stores.errors import BadValue, NotationError
from stores.handbook.answer import between
from stores.handbook.table import number, table

__all__ = [
    "Advice",
    "Grade",
    "Limits",
    "Need",
    "Purchase",
    "Scale",
    "ShoppingOil",
    "Sump",
    "Ungraded",
    "Verdict",
    "across",
    "alike",
    "buy",
    "gear_oil_advice",
    "limits",
    "need_of",
    "read_grade",
    "stands_in",
    "typical_cst",
    "ungraded",
]


class Scale(StrEnum):
    """Which standard a grade is of."""

    ENGINE = "SAE J300"
    GEAR = "SAE J306"
    VG = "ISO 3448"


EDITIONS = {Scale.ENGINE: (2015, 2009), Scale.GEAR: (2019, 2005, 1991), Scale.VG: (1992,)}

"""Editions there are limits of, the newest first. J300: the rows of 2013 stand in that of 2015, and
2009 is the last before SAE 16 came in and 20 became narrower."""


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
    memory: bool = False
    """Whether a row that this rests on was written from memory."""


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

_VG = (
    r"(?i)(?:(?:fork|hydraulic|gear|spindle) oil\s*)?"
    r"(?:(?:ISO\s*)?VG\s*-?\s*(\d{1,4})|ISO\s*(\d{1,4}))"
    r"(?:\s*(?:(?:fork|hydraulic|gear|spindle)\s*)?oil)?"
)

_SAE = (
    r"(?i)(?:(?:SAE|EP|gear oil|engine oil|motor oil|oil|hypoid)\s*)*-?\s*"
    r"(?:(?P<winter>\d{1,2})\s*W(?:\s*[-/]?\s*(?P<hot>\d{1,3}))?|(?P<mono>\d{1,3}))"
    r"(?:\s*(?:gear oil|engine oil|motor oil|oil|EP|hypoid))*"
)


def read_grade(text: str) -> Grade:
    """Read a grade: ``20W-50``, ``SAE 30``, ``80W90 GL-4``, ``EP 90``, ``ISO VG 32``.

    Raises `NotationError` for what is no grade, `BadValue` for a grade that the standard does not
    have, or a can that says GL-4 and GL-5 at once.

    >>> grade = read_grade("20W-50")
    >>> grade.winter, grade.hot
    ('20', '50')
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
    if not re.search(r"(?i)(?<![a-z])(?:EP|hypoid)(?![a-z])", rest):
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
    """Return the limits of viscosity of a grade, by the newest edition or the one named.

    Raises `BadValue` for an edition there are no figures of, or a grade that it does not have.

    Args:
        grade: the grade.
        edition: year of the standard, None for the newest.

    SAE J300 has 16.3 to below 21.9 cSt at 100 C for SAE 50:

    >>> fifty = limits(read_grade("SAE 50"))
    >>> fifty.least_cst, fifty.below_cst
    (16.3, 21.9)
    """
    editions = EDITIONS[grade.scale]
    year = editions[0] if edition is None else edition
    if year not in editions:
        raise BadValue(f"{grade.scale} of {year}: there are {', '.join(map(str, editions))}")
    if grade.scale is Scale.VG:
        row = next(r for r in table("fluids_iso_vg") if r["grade"] == grade.hot)
        middle = _midpoint(grade)
        return Limits(grade, 40.0, middle * 0.9, middle * 1.1, "", year, ("iso-3448",),
                      "memory" in row["source"])  # fmt: skip
    if grade.scale is Scale.ENGINE:
        return _engine_limits(grade, year)
    return _gear_limits(grade, year)


def _engine_limits(grade: Grade, year: int) -> Limits:
    rows = [row for row in table("fluids_engine_sae_j300") if int(row["edition"]) == year]
    names = dict.fromkeys(row["grade"] for row in rows)
    if wrong := {f"{grade.winter}W" if grade.winter else "", grade.hot} - {*names, ""}:
        raise BadValue(f"SAE J300 of {year} has no {wrong.pop()}: it has {', '.join(names)}")
    least, below, cold, memory = 0.0, None, "", False
    if grade.winter:
        row = next(r for r in rows if r["grade"] == f"{grade.winter}W")
        least, memory = float(row["kv100_min_cst"]), "memory" in row["source"]
        cold = (
            f"cranks with at most {row['ccs_max_cp']} cP at {row['ccs_temp_c']} C, "
            f"pumps with at most {row['mrv_max_cp']} cP at {row['mrv_temp_c']} C"
        )
    if grade.hot:
        row = next(r for r in rows if r["grade"] == grade.hot)
        least, below = float(row["kv100_min_cst"]), number(row["kv100_below_cst"])
        memory = memory or "memory" in row["source"]
    return Limits(grade, 100.0, least, below, cold, year, ("sae-j300",), memory)


def _gear_limits(grade: Grade, year: int) -> Limits:
    rows = {r["grade"]: r for r in table("fluids_gear_sae_j306") if int(r["edition"]) == year}
    for name in (f"{grade.winter}W" if grade.winter else "", grade.hot):
        if name and name not in rows:
            raise BadValue(f"SAE J306 of {year} has no {name}: it has {', '.join(rows)}")
    least, below, cold, memory = 0.0, None, "", False
    if grade.winter:
        row = rows[f"{grade.winter}W"]
        least, memory = float(row["kv100_min_cst"]), "memory" in row["source"]
        cold = f"150000 cP at {row['max_temp_c_for_150000_cp']} C or colder"
    if grade.hot:
        row = rows[grade.hot]
        least, below = float(row["kv100_min_cst"]), number(row["kv100_below_cst"])
        memory = memory or "memory" in row["source"]
    return Limits(grade, 100.0, least, below, cold, year, ("sae-j306",), memory)


def alike(grade: Grade, edition: int | None = None) -> tuple[Grade, ...]:
    """Return the hot grades of the other SAE scale about as thick at 100 C as this one.

    About as thick: the ranges of viscosity overlap. It says nothing of additives: an engine oil is
    no gear oil for a hypoid axle, and the maker's word comes first.

    Raises `BadValue` for a VG grade (measured at 40 C) or one without a hot number.

    Args:
        grade: the grade.
        edition: year of the standards, None for the newest.

    SAE 90 (J306: 13.5 to below 18.5 cSt) overlaps 40 (12.5 to 16.3) and 50 (16.3 to 21.9):

    >>> [str(grade) for grade in alike(read_grade("SAE 90"))]
    ['SAE 40', 'SAE 50']
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


def typical_cst(grade: Grade) -> float | None:
    """Return what a plain mineral oil of a VG grade has at 100 C, cSt; None where it is not known.

    A viscosity index of 95 is taken: an oil with more of it is thicker at 100 C.

    >>> typical_cst(read_grade("ISO VG 100"))
    11.1
    """
    if grade.scale is not Scale.VG:
        return None
    row = next(row for row in table("fluids_iso_vg") if row["grade"] == grade.hot)
    return number(row["typical_cst_100c"])


def across(grade: Grade, edition: int | None = None) -> tuple[Grade, ...]:
    """Return the grades between ISO 3448 and the SAE scales that are about as thick at 100 C.

    Of a VG grade the SAE grades that its typical oil is within; of an SAE grade with a hot number
    the VG grades whose typical oil is within it. Empty where none is.

    Args:
        grade: the grade.
        edition: year of its standard, None for the newest.

    SAE 30 (J300: 9.3 to below 12.5 cSt at 100 C) holds the 11.1 of a plain VG 100:

    >>> [str(each) for each in across(read_grade("SAE 30"))]
    ['ISO VG 100']
    """
    if grade.scale is Scale.VG:
        typical = typical_cst(grade)
        every = [Grade(Scale.ENGINE, name) for name in sorted(_engine()[1], key=int)]
        year = str(EDITIONS[Scale.GEAR][0])
        every += [
            Grade(Scale.GEAR, row["grade"])
            for row in table("fluids_gear_sae_j306")
            if row["edition"] == year and not row["grade"].endswith("W")
        ]
        return tuple(each for each in every if typical and _within(typical, limits(each)))
    if not grade.hot:
        return ()
    own = limits(grade, edition)
    vgs = [Grade(Scale.VG, row["grade"]) for row in table("fluids_iso_vg")]
    return tuple(each for each in vgs if _within(typical_cst(each), own))


def _within(cst: float | None, of: Limits) -> bool:
    return cst is not None and of.least_cst <= cst < (of.below_cst or float("inf"))


@dataclass(frozen=True, slots=True)
class Ungraded:
    """An oil whose mark no standard gives a thickness: from the thinnest can to the thickest, cSt
    at 40 C (common practice, from memory); ``alike`` are the VG grades between."""

    name: str
    least_cst: float
    most_cst: float
    note: str
    alike: tuple[Grade, ...]
    sources: tuple[str, ...] = ("ungraded-oil", "iso-3448")


def ungraded(text: str) -> Ungraded | None:
    """Return what is known of a fork oil or an ATF, by its name; None for any other oil.

    Raises `BadValue` for a fork oil without a number, or with one that none is sold with.

    >>> ungraded("fork oil 10W").name, ungraded("SAE 30")
    ('fork oil 10W', None)
    """
    rows = table("fluids_ungraded")
    mine = [row for row in rows if re.search(rf"(?i)\b(?:{row['words']})\b", text)]
    if not mine or re.search(r"(?i)\b(?:VG|ISO)\b", text):
        return None
    numbered = [row for row in mine if row["number"]]
    if numbered:
        found = re.search(r"\d+(?:[.,]\d+)?", text)
        typed = found[0].replace(",", ".") if found else ""
        mine = [row for row in numbered if row["number"] == typed]
        if not mine:
            known = ", ".join(row["number"] for row in numbered)
            raise BadValue(f"{text.strip()!r}: which fork oil? They are sold as {known}")
    row = mine[0]
    least, most = float(row["least_cst_40c"]), float(row["most_cst_40c"])
    vgs = (Grade(Scale.VG, each["grade"]) for each in table("fluids_iso_vg"))
    return Ungraded(
        row["name"], least, most, row["note"],
        tuple(each for each in vgs if least <= _midpoint(each) <= most),
    )  # fmt: skip


def _midpoint(grade: Grade) -> float:
    row = next(row for row in table("fluids_iso_vg") if row["grade"] == grade.hot)
    return float(row["midpoint_cst_40c"])


class Verdict(StrEnum):
    """What to make of a gear oil for a case."""

    FIT = "fits"
    ASK = "ask the maker"
    KEEP_OUT = "keep it out"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Advice:
    """A verdict with its reason and sources."""

    verdict: Verdict
    reason: str
    sources: tuple[str, ...] = ("api-1560", "practice")
    cautions: tuple[str, ...] = ("the maker's oil for the machine comes first",)


def gear_oil_advice(
    service: str, yellow_metal: bool | None, *, hypoid: bool = False, ep: bool = False
) -> Advice:
    """Judge a designation (GL-1 to GL-6, empty if the can says none) for a gearbox or axle.

    ``yellow_metal``: bronze or brass parts, bushes, synchro rings or thrust washers in the oil;
    None if nobody looked. A hypoid axle needs GL-5 or the maker's word. ``ep`` tells that the can
    says EP: extreme-pressure additive, as in GL-4 or GL-5, and how much is not said.

    Raises `BadValue` for a designation that does not exist.

    The additive of GL-5 can attack bronze and brass:

    >>> gear_oil_advice("GL-5", True).verdict.value
    'keep it out'
    """
    name = service.strip().upper().removeprefix("API").strip().replace(" ", "-")
    if name.startswith("GL") and not name.startswith("GL-"):
        name = f"GL-{name[2:]}"
    if not name and ep:
        return _extreme_pressure(yellow_metal, hypoid)
    if not name:
        return Advice(Verdict.UNKNOWN, "no GL designation on it: additives unknown")
    rows = {row["designation"]: row for row in table("fluids_api_gl")}
    if name not in rows:
        raise BadValue(f"no designation {service.strip()!r}: there are {', '.join(rows)}")
    row = rows[name]
    if name == "GL-6":
        return Advice(Verdict.KEEP_OUT, f"GL-6 is obsolete: {row['note']}")
    if hypoid and name != "GL-5":
        mild = "serves hypoid axles in moderate service only" if name == "GL-4" else "is too mild"
        verdict = Verdict.ASK if name == "GL-4" else Verdict.KEEP_OUT
        return Advice(verdict, f"{name} {mild}: hypoid axles want GL-5")
    return _on_yellow_metal(name, row["yellow"], row["note"], yellow_metal)


def _extreme_pressure(there: bool | None, hypoid: bool) -> Advice:
    """Judge an oil that says EP and no GL: as the worse of GL-4 and GL-5 (common practice)."""
    told = "EP means extreme-pressure additive, which can attack bronze and brass"
    if there is None:
        look = "is there bronze or brass in the oil (bushes, synchro rings, worm wheel)? If so, not"
        return Advice(Verdict.ASK, f"{told}: {look} without the maker's word (common practice)")
    if there:
        return Advice(
            Verdict.KEEP_OUT, f"{told}: not on bronze without the maker's word (common practice)"
        )
    if hypoid:
        return Advice(Verdict.ASK, "EP does not say how much: hypoid axles want GL-5")
    return Advice(Verdict.FIT, "EP: no bronze or brass in the oil to attack")


def _on_yellow_metal(name: str, yellow: str, note: str, there: bool | None) -> Advice:
    if yellow == "yes":
        return Advice(Verdict.FIT, f"{name}: {note}")
    if there is None:
        look = "look first whether bronze or brass runs in the oil"
        return Advice(Verdict.ASK, f"{name}: {look}; {note}")
    if there:
        verdict = Verdict.KEEP_OUT if yellow == "no" else Verdict.ASK
        return Advice(verdict, f"{name} on bronze or brass: {note}")
    if yellow == "ask":
        return Advice(Verdict.ASK, f"{name} is obsolete: {note}")
    return Advice(Verdict.FIT, f"{name}: no bronze or brass in the oil to attack")


MOST_ML = 100_000

MOST_ALL_ML = 1_000_000


@dataclass(frozen=True, slots=True)
class Sump:
    """A place that holds oil: capacity after a strip-down (``dry_ml``) and after a drain, ml.

    After a drain oil still clings to the walls and fills passages, so a refill is less. ``number``
    is how many alike there are: two fork legs. ``grade`` is None where nobody knows it.
    """

    name: str
    grade: Grade | None
    dry_ml: int | None = None
    refill_ml: int | None = None
    number: int = 1

    def __post_init__(self) -> None:
        for what, ml in (("dry fill", self.dry_ml), ("refill", self.refill_ml)):
            if ml is not None:
                between(f"{self.name}: {what}", ml, "ml", 1, MOST_ML)
        if not 1 <= self.number <= 50:
            raise BadValue(f"{self.name}: {self.number} alike: expected 1 to 50")
        if self.dry_ml and self.refill_ml and self.refill_ml > self.dry_ml:
            raise BadValue(
                f"{self.name}: a refill of {self.refill_ml} ml is more than the dry fill of "
                f"{self.dry_ml} ml; are they the wrong way round?"
            )


@dataclass(frozen=True, slots=True)
class Need:
    """What a sump takes now, ml, from ``low`` to ``high``; None where it is not known."""

    sump: Sump
    ml: int | None
    low: int | None
    high: int | None
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Purchase:
    """Containers of one grade: pairs of size in ml and how many, the largest first.

    ``at_hand_ml`` of ``need_ml`` is there already.
    """

    grade: Grade
    need_ml: int
    containers: tuple[tuple[int, int], ...]
    sumps: tuple[str, ...]
    at_hand_ml: int = 0

    @property
    def bought_ml(self) -> int:
        """All that is bought."""
        return sum(size * count for size, count in self.containers)

    @property
    def over_ml(self) -> int:
        """What is left for topping up."""
        return self.bought_ml + self.at_hand_ml - self.need_ml


@dataclass(frozen=True, slots=True)
class ShoppingOil:
    """What to buy, and what cannot be reckoned: names of sumps with the reason."""

    purchases: tuple[Purchase, ...]
    unknown: tuple[tuple[str, str], ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...] = ("maker", "practice")
    cautions: tuple[str, ...] = (
        "old oil is hazardous waste: keep it off skin and drains, take it to a collection point",
    )


def need_of(sump: Sump, *, stripped: bool) -> Need:
    """Return what a sump takes: its dry fill when it was stripped, else its refill.

    Where only the other figure is known it stands in, said so, and opens the range: a refill is
    usually 80 to 100 per cent of the dry fill (assumption).

    >>> sump = Sump("Gearbox", read_grade("SAE 90"), dry_ml=1400, refill_ml=1200)
    >>> need_of(sump, stripped=True).ml, need_of(sump, stripped=False).ml
    (1400, 1200)
    """
    wanted, other = (sump.dry_ml, sump.refill_ml) if stripped else (sump.refill_ml, sump.dry_ml)
    name = "dry fill" if stripped else "refill"
    if wanted is not None:
        total = wanted * sump.number
        return Need(sump, total, total, total, (f"{sump.name}: {name}",))
    if other is None:
        return Need(sump, None, None, None, (f"{sump.name}: capacity not known",))
    total = other * sump.number
    if stripped:
        high = ceil(total / 0.8)
        said = f"{sump.name}: only the refill is known; allow {high} ml if dry"
        return Need(sump, total, total, high, (said,))
    low = total * 8 // 10
    said = f"{sump.name}: only the dry fill is known; a refill may be only {low} ml"
    return Need(sump, total, low, total, (said,))


def stands_in(can: Grade, asked: Grade) -> bool:
    """Tell whether a can of one grade is what is asked for: it is all of it, and may say more."""
    return (
        (can.scale, can.hot, can.winter) == (asked.scale, asked.hot, asked.winter)
        and asked.service in ("", can.service)
        and (can.ep or not asked.ep)
    )


def buy(
    sumps: Sequence[Sump],
    sizes_ml: Sequence[int],
    *,
    stripped: bool = True,
    spare: float = 0.0,
    at_hand: Sequence[tuple[Grade, int]] = (),
) -> ShoppingOil:
    """Return what to buy for all sumps in containers of the sizes there are, grade by grade.

    Enough for the high end of every need and ``spare`` (0 to 1) over; of all ways that give
    enough the least oil, then the fewest containers. Grades that differ in their service
    designation stay apart. A sump without grade or capacity is named, never guessed. ``at_hand``
    are grades and ml that are there, or on order: they are taken off.

    Raises `BadValue` when there is no size, or one below 10 ml or above 60 l.

    Args:
        sumps: what is to be filled.
        sizes_ml: the containers that there are [ml].
        stripped: they are dry.
        spare: so much more than the need [1].

    1400 ml are a can of 1000 and one of 500, 100 ml over:

    >>> sump = Sump("Gearbox", read_grade("SAE 90"), dry_ml=1400, refill_ml=1200)
    >>> buy([sump], [1000, 500]).purchases[0].containers
    ((1000, 1), (500, 1))
    """
    sizes = sorted(set(sizes_ml), reverse=True)
    if not sizes:
        raise BadValue("no container sizes: say what the oil is sold in")
    for size in sizes:
        between("container", size, "ml", 10, 60_000)
    between("spare", spare, "of the need", 0.0, 1.0)
    needs: Counter[Grade] = Counter()
    names: dict[Grade, list[str]] = {}
    unknown: list[tuple[str, str]] = []
    assumptions: list[str] = []
    for sump in sumps:
        need = need_of(sump, stripped=stripped)
        if sump.grade is None:
            unknown.append((sump.name, "grade not known"))
        elif need.high is None:
            unknown.append((sump.name, "capacity not known"))
        else:
            needs[sump.grade] += need.high
            names.setdefault(sump.grade, []).append(sump.name)
            assumptions.extend(need.assumptions)
    if spare:
        assumptions.append(f"{100 * spare:.0f} % over for topping up")
    purchases = []
    left = [ml for _, ml in at_hand]
    # what asks for most is served first, so that a plain need does not use up its can
    for grade, ml in sorted(needs.items(), key=lambda pair: (-len(str(pair[0])), str(pair[0]))):
        total = ceil(ml * (1 + spare) - 1e-9)
        between(f"{grade}: all together", total, "ml", 0, MOST_ALL_ML)
        there = 0
        fits = [at for at, (can, _) in enumerate(at_hand) if stands_in(can, grade)]
        for at in sorted(fits, key=lambda at: at_hand[at][0] != grade):
            some = min(left[at], total - there)
            there += some
            left[at] -= some
        if there < total:
            cans = _containers(total - there, sizes)
            purchases.append(Purchase(grade, total, cans, tuple(names[grade]), there))
    purchases.sort(key=lambda each: str(each.grade))
    return ShoppingOil(tuple(purchases), tuple(unknown), tuple(assumptions))


def _containers(need: int, sizes: list[int]) -> tuple[tuple[int, int], ...]:
    """Return the containers with the least oil at or above the need, then the fewest."""
    step = gcd(*sizes)
    units = [size // step for size in sizes]
    wanted = -(-need // step)
    count: Counter[int] = Counter()
    # Of as many smaller containers as the largest has units, some add up to a multiple of it and
    # give way to it: so fewer of them are ever needed, and above that the largest is part of it.
    exact_to = units[0] * (units[1] if len(units) > 1 else 1) + 2 * units[0]
    if wanted > exact_to:
        many = (wanted - exact_to) // units[0]
        count[sizes[0]] += many
        wanted -= many * units[0]
    best: list[tuple[int, int] | None] = [(0, -1)]
    for amount in range(1, wanted + units[0]):
        ways = [
            (before[0] + 1, at)
            for at, size in enumerate(units)
            if size <= amount and (before := best[amount - size]) is not None
        ]
        best.append(min(ways, default=None))
    amount = next(at for at in range(wanted, len(best)) if best[at] is not None)
    while amount:
        entry = best[amount]
        if entry is None:
            raise AssertionError("a sum of containers leads nowhere")
        count[sizes[entry[1]]] += 1
        amount -= units[entry[1]]
    return tuple((size, count[size]) for size in sizes if count[size])
