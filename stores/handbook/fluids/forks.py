"""Fork oil by level: the measure from the top of the tube down to the oil.

A smaller figure is MORE oil. The level is read as the maker says; where nothing is said, spring and
spacer out, leg upright and right down, damper pumped until no bubbles come.
"""

from math import pi

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between

__all__ = ["compare_legs", "level_without_spacer", "oil_for_level"]

_SOURCES = ("fork-article",)
_STATE = "spring and spacer out, leg upright and fully down, pumped free of bubbles"
_CAUTION = (
    "a smaller level figure means more oil; too much oil can lock a fork or burst a seal",
    "forks hold you up: the maker's level and a competent person come first",
)


def _tube(what: str, value: float) -> float:
    return above_zero(what, value, "mm", 80.0)


def oil_for_level(tube_bore_mm: float, rise_mm: float, *, off_mm: float = 0.5) -> Answer:
    """Give the oil that raises the level in one leg by ``rise_mm`` (draw off below zero), ml.

    pi D2 / 4 x rise with the bore of the tube. Tube up to 80 mm, rise -400 to 400 mm.
    """
    _tube("tube bore", tube_bore_mm)
    between("rise", rise_mm, "mm", -400.0, 400.0)
    between("level off by", off_mm, "mm", 0.0, 10.0)
    area = pi / 4 * tube_bore_mm**2 / 1000
    return Answer(
        "oil for each leg", area * rise_mm, "ml", area * (rise_mm - off_mm),
        area * (rise_mm + off_mm), "the reading of the level",
        (_STATE, f"level read to {off_mm:g} mm", "nothing but oil in the tube over that length"),
        _SOURCES, _CAUTION,
    )  # fmt: skip


def level_without_spacer(
    level_mm: float, spacer_length_mm: float, spacer_od_mm: float, spacer_id_mm: float,
    tube_bore_mm: float,
) -> Answer:  # fmt: skip
    """Give the level to set without the spacer tube, where the maker gives it with the tube in, mm.

    level + L (OD2 - ID2) / D2: what the spacer pushed aside is no longer there, so the oil stands
    lower and the figure is larger. Valid while the whole spacer is below the oil.

    Raises `BadValue` for a spacer that does not go into the tube or has no wall.
    """
    between("level", level_mm, "mm", 0.0, 600.0)
    between("spacer length", spacer_length_mm, "mm", 0.0, 600.0)
    _tube("tube bore", tube_bore_mm)
    above_zero("spacer outside", spacer_od_mm, "mm", tube_bore_mm)
    if not 0 <= spacer_id_mm < spacer_od_mm:
        raise BadValue(f"a spacer {spacer_od_mm:g} mm outside has no bore of {spacer_id_mm:g} mm")
    drop = spacer_length_mm * (spacer_od_mm**2 - spacer_id_mm**2) / tube_bore_mm**2
    return Answer(
        "level without the spacer", level_mm + drop, "mm", level_mm + drop * 0.95,
        level_mm + drop * 1.05, "the wall of the spacer",
        (_STATE, "the whole spacer is below the oil", "spacer volume good to 5 per cent"),
        _SOURCES, _CAUTION,
    )  # fmt: skip


def compare_legs(left_mm: float, right_mm: float, tube_bore_mm: float) -> Answer:
    """Give how much oil the lower-filled leg lacks, ml, from the levels of both legs, mm."""
    for leg, level in (("left", left_mm), ("right", right_mm)):
        between(f"{leg} level", level, "mm", 0.0, 600.0)
    _tube("tube bore", tube_bore_mm)
    area = pi / 4 * tube_bore_mm**2 / 1000
    short = "right" if right_mm > left_mm else "left"
    lacks = area * abs(right_mm - left_mm)
    what = f"the {short} leg lacks" if lacks else "the legs are alike"
    return Answer(
        what, lacks, "ml", max(0.0, lacks - area), lacks + area, "the reading of both levels",
        (_STATE, "levels read to 0.5 mm each"), _SOURCES, _CAUTION,
    )  # fmt: skip
