"""What to look for when a part is inspected, matched to the words of it.

Common practice of workshop manuals; no single source. The maker's wear limit comes first: nothing
here is a limit.
"""

import re

__all__ = ["POINTS", "points_for"]

POINTS: tuple[tuple[str, str], ...] = (
    (
        r"bolts?|screws?|studs?|setscrews?",
        "Necked or stretched shank, pulled thread, bent, head rounded, cracks under the head",
    ),
    (r"nuts?", "Thread pulled or crossed, corners rounded, face scored, split"),
    (r"(?:plain|flat|thick) washers?|washers?", "Dished, scored, cracked, worn thin"),
    (
        r"springs?(?!\W+(?:washer|pin|nut)s?\b)",
        "Free length against a new one, bent coils, rust pits, worn ends",
    ),
    (
        r"bearings?|races?|balls?|rollers?",
        "Clean and oil it, then turn it: roughness, pits, blueing, play, creep marks outside",
    ),
    (r"bush(?:es)?", "Worn oval, scored, loose in its hole, oil grooves open"),
    (
        r"shafts?|spindles?|pins?|axles?|journals?|crankpins?",
        "Bent, stepped or scored; measure across two ways and compare with the maker's limit",
    ),
    (r"gears?|pinions?|cogs?|dogs?", "Chipped or pitted teeth, hooked or rounded dogs, cracks"),
    (r"sprockets?", "Hooked or thinned teeth, loose on its seat"),
    (r"chains?", "Stretch over a counted length, stiff or cracked links, side play"),
    (r"keys?", "Sheared, stepped, loose in its slot"),
    (r"cables?", "Frayed strands, kinks, loose nipples, stiff in the cover"),
    (r"hoses?|pipes?|unions?", "Perished, cracked or chafed; flattened flare, rust under clips"),
    (
        r"covers?|cases?|crankcases?|housings?|castings?|heads?(?: cover)?|barrels?|cylinders?",
        "Joint face flat and unscored, cracks at holes and webs, threads, dowel holes",
    ),
    (r"pistons?", "Cracks, scored skirt, worn ring grooves, gudgeon pin fit; measure the skirt"),
    (r"rings?", "Gap in the bore, side play in its groove, against the maker's limit"),
    (r"valves?", "Bent or worn stem, burnt or pitted face, thin edge, collet groove"),
    (r"cams?|camshafts?|tappets?|followers?|rockers?", "Pits, flats or wear through the hard skin"),
    (
        r"linings?|brake (?:shoe|pad)s?|shoes?|pads?",
        "Thickness against the maker's limit, oil, cracks, loose from the shoe",
    ),
    (r"drums?|discs?", "Size against the maker's limit, scores, cracks, out of round or true"),
    (r"clutch plates?|plates?", "Thickness and flatness, burnt, worn tongues"),
    (r"levers?|rods?|arms?|links?|forks?|linkages?", "Bent or twisted, cracks, eyes worn oval"),
    (r"rims?|spokes?|wheels?", "Runs true, cracks at the spoke holes, loose or rusted spokes"),
    (r"tanks?", "Rust inside, pinholes, cracked seams and mounts"),
    (r"wires?|looms?|leads?|connectors?|terminals?", "Hard or cracked cover, green strands, loose"),
    (r"circlips?|retaining rings?", "Sprung open, worn edge, bent"),
)
"""Words of a part, and what to look for in it."""


def points_for(words: str) -> str:
    """Return what to look for in a part of these words, by its last word that is known; else
    nothing.

    >>> points_for("M6 x 25 hex bolt").split(",")[0]
    'Necked or stretched shank'
    """
    last = (-1, "")
    for pattern, points in POINTS:
        for found in re.finditer(rf"\b(?:{pattern})\b", words, re.IGNORECASE):
            if found.end() > last[0]:
                last = (found.end(), points)
    return last[1]
