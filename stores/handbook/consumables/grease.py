"""Grease for a bearing: to replenish it, its free space, and a first fill."""

from math import pi

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between

__all__ = ["GREASE", "STEEL", "first_fill", "free_space", "replenish"]

STEEL = 7.8
"""Density of bearing steel, g/cm3 (memory: bearing makers use it in the same form)."""

GREASE = 0.9
"""Density of grease, g/cm3 (memory)."""


_CAUTIONS = (
    "the machine maker's grease and amount come first; do not mix soaps without a check",
    "too much grease runs hot: a packed bearing needs room beside it",
    "never point a grease gun at skin: grease injected under the skin needs a surgeon at once",
    "brake rubbers: rubber grease or clean brake fluid only",
)


def replenish(outside_mm: float, width_mm: float, *, through_ring: bool = False) -> Answer:
    """Return the grease to replenish a bearing with, g: 0.005 D B, or 0.002 D B through the ring.

    The rule for topping up while in service, not for the first fill.

    Args:
        outside_mm: outside diameter D [mm], up to 1000.
        width_mm: width B [mm], up to 500.
        through_ring: whether the grease goes in through holes in the ring, not from the side.

    >>> round(replenish(47, 14).value, 2)
    3.29
    """
    above_zero("outside diameter", outside_mm, "mm", 1000.0)
    above_zero("width", width_mm, "mm", 500.0)
    grams = (0.002 if through_ring else 0.005) * outside_mm * width_mm
    where = "through the ring, 0.002 D B" if through_ring else "from the side, 0.005 D B"
    return Answer(
        "grease to top it up in service", grams, "g", grams, grams, "what the bearing has lost",
        (where, "replenishing in service; a first fill is another amount",
         "texts differ: a page that prints 0.0005 is wrong by ten"),
        ("grease-replenish",), _CAUTIONS,
    )  # fmt: skip


def free_space(
    bore_mm: float, outside_mm: float, width_mm: float, mass_g: float, steel: float = STEEL
) -> Answer:
    """Return the free space of a bearing, cm3: the envelope of its rings less its steel.

    Raises `BadValue` where the mass fills the envelope or the bore is not inside.

    Args:
        bore_mm: bore d [mm].
        outside_mm: outside diameter D [mm], up to 1000.
        width_mm: width B [mm], up to 500.
        mass_g: mass of the bearing [g].
        steel: density of its steel [g/cm3].

    >>> round(free_space(20, 47, 14, 106).value, 1)
    6.3
    """
    above_zero("outside diameter", outside_mm, "mm", 1000.0)
    above_zero("bore", bore_mm, "mm", 1000.0)
    above_zero("width", width_mm, "mm", 500.0)
    above_zero("mass", mass_g, "g", 1e6)
    between("density", steel, "g/cm3", 2.0, 20.0)
    if bore_mm >= outside_mm:
        raise BadValue(f"bore {bore_mm:g} mm: expected less than {outside_mm:g} mm outside")
    around = pi / 4 * width_mm * (outside_mm**2 - bore_mm**2) / 1000
    space = around - mass_g / steel
    if space <= 0:
        raise BadValue(
            f"{mass_g:g} g is more steel than fits in {bore_mm:g} x {outside_mm:g} x "
            f"{width_mm:g} mm: "
            "check the mass and the sizes"
        )
    off = 0.02 * mass_g / steel  # a kitchen scale and the density, together
    return Answer(
        "free space", space, "cm3", max(0.0, space - off), space + off, "the mass of the bearing",
        (f"steel of {steel:g} g/cm3; mass to 2 %", "cage and seals counted as steel"),
        ("grease-space",), _CAUTIONS[:1],
    )  # fmt: skip


_SHARES = (
    "texts differ: 30 to 40 % of the bearing, a third to a half, or the free space filled to 67 % "
    "at medium and 90 % at low speed; the housing beside it 20 to 60 %"
)


def first_fill(space_cm3: float, fraction: float = 1 / 3, density: float = GREASE) -> Answer:
    """Return the grease for a first fill, g: a fraction of the free space.

    Args:
        space_cm3: free space of the bearing [cm3].
        fraction: of it to fill, 0.1 to 1; a third is the ordinary choice for a wheel bearing
            (common practice), more at low speed.
        density: of the grease [g/cm3].

    >>> round(first_fill(6.3).value, 2)
    1.89
    """
    above_zero("free space", space_cm3, "cm3", 1e5)
    between("fraction", fraction, "", 0.1, 1.0)
    between("density", density, "g/cm3", 0.7, 1.5)
    full = space_cm3 * density
    low, high = min(0.3, fraction) * full, max(0.4, fraction) * full
    return Answer(
        "grease for the first fill", fraction * full, "g", low, high, "the speed it runs at",
        (f"{100 * fraction:.0f} % of the free space, grease of {density:g} g/cm3", _SHARES,
         "a sealed bearing comes filled"), ("grease-fill", "practice"), _CAUTIONS,
    )  # fmt: skip
