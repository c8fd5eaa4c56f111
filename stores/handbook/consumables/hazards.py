"""The usual cautions of a consumable, by its hazard words: common practice, in short lines.

The label on the pack and the maker's safety data sheet come before every line here, and local rules
before every word on waste.
"""

import re
from collections.abc import Sequence

from stores.handbook.consumables.keeping import BRAKE_FLUID
from stores.handbook.consumables.kinds import Consumable

__all__ = ["SHEET_FIRST", "cautions_of", "hazards_of_sheet"]

SHEET_FIRST = "The pack's label and the maker's safety data sheet come first."

_WORDS: tuple[tuple[str, str], ...] = (
    (
        r"flammable liquid|flammable aerosol|flammable gas|flammable solid",
        "Flammable: no flame, spark or hot work near; air the place; rags in a lidded metal bin.",
    ),
    (r"oxidising", "Feeds fire: away from oil, grease and fuel."),
    (r"organic peroxide", "Peroxide: cool, apart from metal powder and accelerator."),
    (r"self-heating", "Oily rags can heat by themselves and burn: lay them flat out of doors."),
    (r"gas under pressure|aerosol", "Under pressure: not over 50 C, never pierced or burnt."),
    (
        r"asphyxiant",
        "Stifles unseen: door open, never in a pit or a closed room.",
    ),
    (
        r"respiratory sensitiser",
        "Can bring on asthma: air-fed hood or extraction as its sheet says; a cartridge mask does "
        "not do for isocyanates.",
    ),
    (
        r"skin sensitiser",
        "Can make you allergic: gloves every time; wash it off at once.",
    ),
    (r"corrosive", "Burns skin and eyes: goggles, gloves, water at hand."),
    (
        r"carcinogen|reproductive",
        "Harms over time: gloves, no dust, no vapour, wash before eating.",
    ),
    (r"aspiration", "Never swallowed, never syphoned by mouth; if swallowed, do not bring it up."),
    (r"harmful|narcotic", "Air the place; do not breathe the vapour."),
    (
        r"injection injury",
        "Never at skin under pressure: injected under the skin, it needs a surgeon at once.",
    ),
    (r"bursts", "Bursts: guard on, goggles, never one that was dropped or is past its date."),
    (r"\bdust\b|silica", "Dust: mask as its sheet says; no dry sweeping, no air line."),
    (r"aquatic", "Never into the drain or the ground."),
)


def hazards_of_sheet(words: Sequence[str]) -> tuple[str, ...]:
    """Return the hazards that there are, as a label or a list says them.

    "None" is no hazard and left out, what stands beside it is not; what only some of a kind have is
    not said a second time.

    >>> hazards_of_sheet(["none (high-pressure injection injury)", "none when fresh"])
    ('high-pressure injection injury',)
    >>> hazards_of_sheet(["irritant", "none or irritant", "irritant (some)", "carcinogen (some)"])
    ('irritant', 'carcinogen (some)')
    """
    said: dict[str, None] = {}
    for each in words:
        none = re.fullmatch(r"none(?: \((.+)\)| or (.+)| when .+)?", each.strip())
        said[(none[1] or none[2] or "") if none else each.strip()] = None
    return tuple(
        each for each in said if each and each.removesuffix(" (some)") not in said.keys() - {each}
    )


def cautions_of(kind: Consumable) -> tuple[str, ...]:
    """Return the usual cautions of a kind: of its hazard words, its own, and where waste goes.

    The first line defers to the label and the safety data sheet, the last to local rules.

    >>> from stores.handbook.consumables import kind_named
    >>> any("old opened" in line for line in cautions_of(kind_named("DOT 4")))
    True
    """
    said = "; ".join(kind.hazards)
    lines = [text for words, text in _WORDS if re.search(words, said)]
    if kind.family == "hydraulic" and kind.key.startswith("brake-fluid"):
        lines.append(BRAKE_FLUID)
    if kind.caution:
        lines.append(kind.caution)
    waste = f"Waste, by local rules: {kind.disposal}."
    return (SHEET_FIRST, *dict.fromkeys(lines), waste)
