"""Strong steel and springs against electroplating: hydrogen embrittlement."""

import re
from math import isfinite

from stores import units
from stores.errors import BadValue
from stores.handbook.bench_rules.rules import Rule
from stores.text import fold

__all__ = ["LEAST_HV", "LEAST_RM_MPA", "plating_warning"]

LEAST_RM_MPA = 1000.0
LEAST_HV = 320.0
"""From here on steel is at risk: ISO 4042 (memory); class 10.9 and above."""

_SPRINGS = re.compile(
    r"\b(?:springs?(?! (?:retainer|seat|cup|cap|collar|collet|hook|anchor|post|plate|stop))|"
    r"circlips?|retaining rings?|snap rings?|(?:roll|tension|coiled) pins?|"
    r"e-?clips?|wave washers?|disc springs?|lock(?:ing)? washers?|toothed washers?|"
    r"split washers?|hose clips?)\b",
    re.IGNORECASE,
)
_HARDENED = re.compile(
    r"\b(?:case[- ]?hardened|hardened|socket (?:head |cap )?(?:cap )?(?:screw|head|set)s?|"
    r"socket (?:cap|set) screws?|grub screws?|45 ?H|dowel pins?|needle rollers?|gears?|"
    r"bearing (?:balls?|rings?)|valve (?:spring )?(?:retainer|cap|collar|collet|cotter)s?)\b",
    re.IGNORECASE,
)
_FIGURE = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(hv(?:10|30)?|hrc|rc|mpa|n/mm2|n/mm²|tonf?/in2|tsi|psi|kgf?/mm2)\b",
    re.IGNORECASE,
)
_MPA = {
    "mpa": 1.0, "n/mm2": 1.0, "n/mm²": 1.0, "psi": 0.006894757293168361,
    "tonf/in2": 15.444256336697129, "ton/in2": 15.444256336697129, "tsi": 15.444256336697129,
    "kgf/mm2": 9.80665, "kg/mm2": 9.80665,
}  # fmt: skip
_UNKNOWN = ("", "?", "unknown", "unmarked", "no mark", "not known", "not marked", "none")

_INSTEAD = (
    "zinc flake coating, or mechanical zinc plating: no acid, no current",
    "phosphate and oil, or blackening, without an acid dip before it",
    "a new bolt of the class, plated by its maker",
    "blast or brush clean, then oil, wax or paint",
)
_BAKE = (
    "If it has to be plated: a plater who bakes it, at 190 to 220 C for 2 to 24 h, begun within "
    "1 to 4 h of plating; write the class on the order."
)
_HOME = "Derusting in acid at home does the same harm as plating."


_UNMARKED = Rule(
    "plating",
    "strength not known: find out before plating; if it carries load, treat it as grade 10.9",
    "an unmarked bolt may be as strong as 12.9, and old bolts are often not marked",
    ("iso-4042", "practice"),
    instead=("a file that skates, or a hardness test: from 320 HV on it is at risk",),
    cautions=(_HOME,),
)


def plating_warning(
    what: str = "",
    *,
    hardness_hv: float | None = None,
    rm_mpa: float | None = None,
    spring: bool = False,
) -> Rule | None:
    """Return the warning against electroplating a part, None where its steel is not at risk.

    ``what`` is a class or grade (``10.9``, ``SAE 8``, ``grade V``), a hardness or strength
    (``34 HRC``, ``330 HV``, ``1000 MPa``) or a part (``spring washer``, ``socket cap screw``).
    At risk are springs, and steel of 1000 MPa, 320 HV or class 10.9 and above (ISO 4042). What is
    unmarked may be strong: that is a warning too.

    Raises `BadValue` for a class that does not exist and a figure out of all reason.

    Args:
        what: a class, a hardness, a strength or a part.
        hardness_hv: Vickers hardness [HV].
        rm_mpa: tensile strength [MPa].
        spring: it is a spring.

    Class 10.9 is at risk, 8.8 is not (ISO 4042):

    >>> plating_warning("10.9").text
    '10.9 (1040 MPa): no electroplating and no acid'
    >>> plating_warning("8.8") is None
    True
    """
    for name, figure, most in (("hardness", hardness_hv, 1200), ("strength", rm_mpa, 4000)):
        if figure is not None and not (isfinite(figure) and 0 < figure <= most):
            raise BadValue(f"{name} {figure:g}: expected above 0 and up to {most}")
    named = what.strip()
    if spring or _SPRINGS.search(what):
        return _rule(
            f"{named or 'spring'}: spring steel, no electroplating and no acid", spring=True
        )
    if hardness_hv is not None:
        return _if(hardness_hv >= LEAST_HV, f"{hardness_hv:g} HV")
    if rm_mpa is not None:
        return _if(rm_mpa >= LEAST_RM_MPA, f"{rm_mpa:g} MPa")
    if found := _FIGURE.search(what):
        return _by_figure(float(units.value(found[1])), found[2].lower())
    return _UNMARKED if fold(what) in _UNKNOWN else _by_name(named)


def _by_name(named: str) -> Rule | None:
    strength = _strength(named)
    if strength is not None:
        return _if(strength >= LEAST_RM_MPA, f"{named} ({strength:g} MPa)")
    hard = _HARDENED.search(named)
    return _if(hard is not None, f"{named}: hardened, mostly above 1000 MPa")


def _by_figure(value: float, unit: str) -> Rule | None:
    if unit.startswith("hv"):
        return plating_warning(hardness_hv=value)
    if unit in ("hrc", "rc"):
        if not 0 < value <= 70:
            raise BadValue(f"hardness {value:g} HRC: expected above 0 and up to 70")
        at_risk = value >= 31.0  # 31 HRC is 310 HV, near enough that platers begin there
        return _if(at_risk, f"{value:g} HRC")
    strength = value * _MPA[unit]
    if not 0 < strength <= 4000:
        raise BadValue(f"strength {value:g} {unit}: expected up to 4000 MPa")
    said = f"{value:g} {unit}" + ("" if _MPA[unit] == 1.0 else f" ({strength:.0f} MPa)")
    return _if(strength >= LEAST_RM_MPA, said)


def _strength(text: str) -> float | None:
    """Return the tensile strength of a class named in the words; None for no strong steel."""
    from stores.handbook.thread import get
    from stores.handbook.torque.grades import ALLOY, STAINLESS, find_grade

    told: BadValue | None = None
    for size in ("M8", "3/8 UNC", "3/8 BSF"):
        try:
            grade = find_grade(text, get(size))
        except BadValue as error:
            told = told or error
            continue
        soft = grade.system == ALLOY or (grade.system == STAINLESS and grade.name[0] != "C")
        return 0.0 if soft else grade.rm_mpa  # austenitic steel is not at risk
    if found := re.search(r"\b\d{1,2}\.\d\b", text):
        if text.strip() != found[0]:
            return _strength(found[0])
        if told:
            raise told
    return None


def _if(at_risk: bool, named: str) -> Rule | None:
    return _rule(f"{named}: no electroplating and no acid") if at_risk else None


def _rule(text: str, *, spring: bool = False) -> Rule:
    cautions = ["Steering, brakes and suspension: renew it, never plate it.", _HOME]
    if not spring:
        cautions.insert(0, _BAKE)
    return Rule(
        "plating",
        text,
        "acid and current drive hydrogen into strong steel: days later it breaks under load, with "
        "no warning",
        ("iso-4042", "iso-18265", "platers"),
        instead=_INSTEAD if not spring else (*_INSTEAD[:2], "renew it: baking does not save all"),
        cautions=tuple(cautions),
    )
