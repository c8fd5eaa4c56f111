"""Baths: how much citric acid, and what a tank holds with a part in it."""

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.fluids import Shape

__all__ = [
    "DENSITIES",
    "citric_acid",
    "citric_acid_by_mass",
    "tank_with_part",
]

DENSITIES = {"steel": 7.85, "cast iron": 7.2, "aluminium": 2.7, "brass": 8.5}
"""Densities of what goes into a bath, g/cm3 (any handbook)."""

_SPENT = (
    "a spent bath holds metal salts: hazardous waste point, by local rules; the safety sheet first"
)
_CITRIC = (
    "goggles and gloves: powder and bath burn eyes; never with chlorine bleach: poison gas",
    "wipe, rinse, neutralise, dry and oil at once",
    "never springs, nor bolts of 10.9 and above: hydrogen embrittlement",
    _SPENT,
)


def citric_acid(bath_l: float, g_per_l: float = 50.0) -> Answer:
    """Return the citric acid for a rust bath, g; the range is that of 50 to 100 g/l, cold.

    Args:
        bath_l: the bath [l].
        g_per_l: strength [g/l], 20 to 200.

    >>> citric_acid(20, 50).value
    1000.0
    """
    above_zero("bath", bath_l, "l", 10_000.0)
    between("strength", g_per_l, "g/l", 20.0, 200.0)
    grams = float(bath_l * g_per_l)
    return Answer(
        "citric acid", grams, "g", min(grams, 50 * bath_l), max(grams, 100 * bath_l),
        "the rust, and how often somebody looks",
        (f"{g_per_l:g} g/l; 50 to 100 cold, looked at every hour",
         "texts differ: 37, 100 and 150 g/l are in use; 5 % is 50 g/l, not 5 g/l as one "
         "page prints"),
        ("citric", "arithmetic"), _CITRIC,
    )  # fmt: skip


def citric_acid_by_mass(water_l: float, percent: float) -> Answer:
    """Return the citric acid that makes a solution of so many per cent by mass, g.

    Args:
        water_l: the water that it goes into [l].
        percent: citric acid in the solution, by mass [%], 1 to 30.

    >>> round(citric_acid_by_mass(19, 5).value)
    1000
    """
    above_zero("water", water_l, "l", 10_000.0)
    share = between("strength", percent, "%", 1.0, 30.0) / 100
    grams = 1000 * water_l * share / (1 - share)
    return Answer("citric acid", grams, "g", grams, grams, "the water",
                  ("by mass of the solution; water of 1 kg/l",), ("citric", "arithmetic"),
                  _CITRIC)  # fmt: skip


def tank_with_part(tank: Shape, depth_mm: float, part_kg: float, material: str = "steel") -> Answer:
    """Return the liquid in a tank up to a depth with a part under the surface, l.

    Raises `BadValue` for a material without a density here, or a part that does not fit.

    Args:
        tank: the tank, as `stores.handbook.fluids` has them.
        depth_mm: depth of the liquid with the part in it [mm].
        part_kg: mass of the part [kg].
        material: steel, cast iron, aluminium or brass.

    >>> from stores.handbook.fluids import Box
    >>> round(tank_with_part(Box(600, 400, 300), 250, 12).value, 2)
    58.47
    """
    if material not in DENSITIES:
        raise BadValue(f"no density of {material!r}: known are {', '.join(DENSITIES)}")
    between("part", part_kg, "kg", 0.0, 10_000.0)
    litres = tank.volume_ml(depth_mm) / 1000 - part_kg / DENSITIES[material]
    if litres <= 0:
        raise BadValue(
            f"{part_kg:g} kg of {material} is more than the tank holds to {depth_mm:g} mm"
        )
    off = 0.02 * litres
    return Answer(
        "liquid", litres, "l", litres - off, litres + off, "the sizes of the tank",
        (f"{material} of {DENSITIES[material]:g} kg/l, wholly under", "measured to 2 %"),
        ("geometry", "densities"), (_SPENT,),
    )  # fmt: skip
