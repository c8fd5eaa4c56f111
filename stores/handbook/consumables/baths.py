"""Baths and acids: how much powder, how to thin an acid, what a tank holds with a part in it.

Acid goes into water, never water into acid. Electrolyte is bought ready mixed: here is what texts
print about it, so that a figure can be checked, and no recipe.
"""

from dataclasses import dataclass

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.battery import gravity_at
from stores.handbook.fluids import Shape
from stores.handbook.table import table

__all__ = [
    "DENSITIES",
    "Dilution",
    "acid_to_water",
    "citric_acid",
    "citric_acid_by_mass",
    "dilute",
    "electrolyte_at_25",
    "tank_with_part",
    "water_into_electrolyte",
]

DENSITIES = {"steel": 7.85, "cast iron": 7.2, "aluminium": 2.7, "brass": 8.5}
"""Densities of what goes into a bath, g/cm3 (any handbook)."""

_ACID = (
    "acid into water, never water into acid: goggles, gloves, apron, water at hand",
    "it heats up: slowly, stirring, in plastic or glass; acid never meets alkali or "
    "chlorine bleach",
    "never springs, nor bolts of 10.9 and above: hydrogen embrittlement",
    "a spent bath holds metal salts: hazardous waste point, by local rules; the safety sheet first",
)
_CITRIC = (
    "goggles and gloves: powder and bath burn eyes; never with chlorine bleach: poison gas",
    "wipe, rinse, neutralise, dry and oil at once",
    *_ACID[2:],
)
_ELECTROLYTE = (
    "electrolyte is bought ready mixed; stronger acid is restricted in many countries: ask the law",
    "acid into water, never water into acid; goggles, gloves, apron; ventilate, no sparks: "
    "hydrogen",
    "the battery maker's strength comes first",
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


@dataclass(frozen=True, slots=True)
class Dilution:
    """A strong acid to go into water, ml of each, so that the wanted litres come out."""

    acid: Answer
    water: Answer


def dilute(
    want_l: float, want_percent: float, want_density: float, strong_percent: float,
    strong_density: float,
) -> Dilution:  # fmt: skip
    """Return acid and water for so much weaker acid, ml, by mass balance.

    For rust removers and pickles. Not for electrolyte, which is bought ready mixed.

    Raises `BadValue` where the acid is not stronger than what is wanted.

    Args:
        want_l: weaker acid wanted [l], up to 1000.
        want_percent: its strength by mass [%].
        want_density: its density [kg/l], 0.9 to 2.
        strong_percent: strength of the acid as bought, by mass [%].
        strong_density: its density [kg/l], 0.9 to 2.

    5 l of 15 % from 85 % phosphoric acid:

    >>> made = dilute(5, 15, 1.082, 85, 1.685)
    >>> round(made.acid.value), round(made.water.value)
    (567, 4455)
    """
    above_zero("wanted", want_l, "l", 1000.0)
    for name, percent in (("wanted", want_percent), ("bought", strong_percent)):
        above_zero(f"strength {name}", percent, "%", 100.0)
    for density in (want_density, strong_density):
        between("density", density, "kg/l", 0.9, 2.0)
    if want_percent >= strong_percent:
        raise BadValue(
            f"{strong_percent:g} % cannot be thinned to {want_percent:g} %: expected a "
            "stronger acid"
        )
    whole = want_l * want_density
    acid = whole * want_percent / strong_percent
    taken = ("by mass; water of 1 kg/l", "the densities as given, near 20 C")

    def part(what: str, ml: float) -> Answer:
        return Answer(what, ml, "ml", 0.98 * ml, 1.02 * ml, "the strength of the acid as bought",
                      (*taken, "measured to 2 %"), ("mass-balance",), _ACID)  # fmt: skip

    return Dilution(
        part("acid, into the water", 1000 * acid / strong_density),
        part("water, first", 1000 * (whole - acid)),
    )


def acid_to_water(gravity: float) -> Answer:
    """Return the parts of water to one of strong acid that a manual prints, by volume.

    To check a figure by, not a recipe: electrolyte is bought ready mixed. Strong acid of 1.835.

    Args:
        gravity: specific gravity at 20 C, 1.10 to 1.21.

    >>> acid_to_water(1.20).value
    4.33
    """
    rows = sorted(
        (float(r["gravity"]), float(r["water"])) for r in table("consumables_electrolyte")
    )
    between("specific gravity", gravity, "", rows[0][0], rows[-1][0])
    above = next(at for at, (at_gravity, _) in enumerate(rows) if gravity <= at_gravity + 1e-9)
    (first, water), (last, less) = rows[max(0, above - 1)], rows[above]
    exact = abs(gravity - last) < 1e-9
    parts = less if exact else water + (gravity - first) / (last - first) * (less - water)
    taken = ["acid of 1.835, about 93 % by mass; volumes at 20 C"]
    if not exact:
        taken.append("between two rows of the table, on a straight line")
    taken.append("texts differ: pages that print 1:1 or 1/3 to 2/3 are wrong and dangerous; "
                 "the mass "
                 "column of the same table is wrong below 1.19")  # fmt: skip
    return Answer("parts of water to one of acid, by volume", parts, "to 1",
                  min(less, parts), max(less if exact else water, parts),
                  "the strength of the acid",
                  tuple(taken), ("electrolyte-table",), _ELECTROLYTE)  # fmt: skip


def electrolyte_at_25(gravity: float, acid_c: float) -> Answer:
    """Return the density of electrolyte at 25 C, kg/l, from a reading at another temperature.

    Args:
        gravity: as read, 1.0 to 1.35.
        acid_c: temperature of the acid [C], -40 to 60.

    >>> round(electrolyte_at_25(1.262, 35).value, 3)
    1.269
    """
    value = gravity_at(gravity, acid_c, 25.0)
    return Answer("density at 25 C", value, "kg/l", value - 0.005, value + 0.005, "the hydrometer",
                  ("0.0007 to the degree", "hydrometer good to 0.005"), ("electrolyte-degree",),
                  _ELECTROLYTE[1:])  # fmt: skip


def water_into_electrolyte(litres: float, read: float, want: float) -> Answer:
    """Return the de-ionised water for electrolyte that is too strong, ml: 5 to the litre per 0.001.

    As much electrolyte is drawn off first, or it runs over. Too weak is for a battery shop.

    Raises `BadValue` where it is not too strong.

    Args:
        litres: electrolyte in the battery [l], up to 200.
        read: its density, fully charged, at the temperature of the wanted one [kg/l].
        want: the density wanted [kg/l].

    >>> round(water_into_electrolyte(13, 1.228, 1.215).value)
    845
    """
    above_zero("electrolyte", litres, "l", 200.0)
    for name, value in (("read", read), ("wanted", want)):
        between(f"density {name}", value, "kg/l", 1.05, 1.35)
    if read <= want:
        raise BadValue(
            f"{read:g} is not above {want:g}: charge it fully first; weak electrolyte is for a "
            "battery shop"
        )
    ml = 5 * litres * (read - want) * 1000
    return Answer(
        "water in place of electrolyte", ml, "ml", 0.9 * ml, 1.1 * ml, "the hydrometer",
        ("charged fully, mixed and read again after an hour", "5 ml to the litre for each 0.001"),
        ("electrolyte-correction",),
        (*_ELECTROLYTE, "what is drawn off: hazardous waste point"),
    )  # fmt: skip


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
        ("geometry", "densities"), _ACID[3:],
    )  # fmt: skip
