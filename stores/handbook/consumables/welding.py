"""Welding: metal in a fillet, electrodes and wire for it, and how long a cylinder lasts."""

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between

__all__ = ["EFFICIENCIES", "STEEL", "filler", "fillet", "gas_minutes"]

STEEL = 7.85
"""Density of steel, g/cm3 (any handbook)."""

EFFICIENCIES = {
    "submerged arc": (0.99, 0.99),
    "MIG": (0.93, 0.98),
    "flux cored": (0.78, 0.86),
    "covered rod": (0.59, 0.66),
}
"""What of the filler gets into the weld, least and most; rods with a stub of 2 in.
The figures are a filler metal handbook's; which is of which gas or rod length, from memory."""

_CAUTIONS = (
    "frames, forks, wheels, steering and pressure parts: a qualified welder only",
    "arc and fume: screen, mask, extraction; galvanised and cadmium-plated parts give "
    "poisonous fume",
    "never after chlorinated cleaner, never on a tank that held fuel; gas cylinders chained; argon "
    "stifles unseen: no pit, door open",
)


def fillet(leg_mm: float, length_mm: float, density: float = STEEL) -> Answer:
    """Return the metal in a fillet weld of equal legs, g: half the leg squared by the length.

    Args:
        leg_mm: leg [mm], up to 50.
        length_mm: length of the weld [mm].
        density: of the metal [g/cm3].

    >>> round(fillet(6, 1000).value, 1)
    141.3
    """
    above_zero("leg", leg_mm, "mm", 50.0)
    above_zero("length", length_mm, "mm", 1e6)
    between("density", density, "g/cm3", 1.0, 20.0)
    grams = leg_mm**2 / 2 * length_mm / 1000 * density
    return Answer(
        "weld metal", grams, "g", grams, 1.2 * grams, "how full the fillet is",
        (f"equal legs, flat face, {density:g} g/cm3; a full face takes up to a fifth more",),
        ("weld-metal",), _CAUTIONS,
    )  # fmt: skip


def filler(weld_g: float, efficiency: float | None = None, process: str = "covered rod") -> Answer:
    """Return the electrodes or wire for so much weld metal, g: metal / efficiency.

    Args:
        weld_g: weld metal [g].
        efficiency: what of the filler gets into the weld, 0.3 to 1; where it is not said, that of
            the process.
        process: submerged arc, MIG, flux cored or covered rod.

    >>> round(filler(169.6, 0.62).value)
    274
    """
    above_zero("weld metal", weld_g, "g", 1e6)
    if efficiency is not None:
        between("efficiency", efficiency, "", 0.3, 1.0)
        low = high = efficiency
        said = f"{100 * efficiency:.0f} % of the filler gets into the weld"
    elif process in EFFICIENCIES:
        low, high = EFFICIENCIES[process]
        said = f"{process}: {100 * low:.0f} to {100 * high:.0f} % of the filler gets into the weld"
    else:
        raise BadValue(f"no process {process!r}: known are {', '.join(EFFICIENCIES)}")
    grams = weld_g / ((low + high) / 2)
    return Answer("filler metal", grams, "g", weld_g / high, weld_g / low, "stubs and spatter",
                  (said,),
                  ("weld-filler",), _CAUTIONS)  # fmt: skip


def gas_minutes(water_l: float, bar: float, flow_l_min: float) -> Answer:
    """Return how long a cylinder of shielding gas lasts, min: water capacity x bar / flow.

    For gases that stay gas in the cylinder, as argon and its mixtures do; about 5 % high at
    200 bar.

    Args:
        water_l: water capacity of the cylinder [l], up to 100.
        bar: pressure on the gauge [bar], up to 350.
        flow_l_min: flow [l/min], up to 60.

    >>> gas_minutes(9, 200, 10).value
    180.0
    """
    above_zero("water capacity", water_l, "l", 100.0)
    above_zero("pressure", bar, "bar", 350.0)
    above_zero("flow", flow_l_min, "l/min", 60.0)
    minutes = water_l * bar / flow_l_min
    return Answer(
        "welding time", minutes, "min", 0.9 * minutes, minutes, "the flow meter",
        ("ideal gas: about 5 % high at 200 bar", "the last bars are left in the cylinder"),
        ("boyle",), _CAUTIONS,
    )  # fmt: skip
