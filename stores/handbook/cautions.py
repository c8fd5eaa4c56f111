"""The usual cautions, matched to the words of a step.

They are common practice of workshop manuals and safety leaflets, not a substitute for them: the
maker's figure and procedure, local codes and licensed practice come first.
"""

import re
from functools import lru_cache

__all__ = ["CAUTIONS", "SECOND_PERSON", "SEIZED", "cautions_for"]

_BRAKES = (
    "Brakes: old linings may hold asbestos: no air line, no dry brushing, bag the waste. "
    "Maker's figures only; a second person checks."
)
_BRAKE_FLUID = (
    "Brake fluid: never from an old opened tin; it strips paint, so water at once; a second "
    "person checks."
)
_STEERING = "Steering and wheels: maker's torque figures, and a second person checks."
_LIFTING = "Lifting: rated parts and the maker's figures only; a second person checks."

SEIZED = (
    "Seized or broken fasteners: goggles on. Penetrating oil and time first; no flame or glowing "
    "heat near fuel, oil, a battery or a tyre; what was heated is renewed."
)
"""What goes with a piece that is still on the machine, whatever the words of its step."""

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        r"(?:foot|hand)?-?brak\w*|caliper|master cylinder|linings?|brake shoes?|brake pads?",
        _BRAKES,
    ),
    (
        r"clutch (?:plates?|lining\w*|shoes?)|friction plates?",
        "Old friction linings may hold asbestos: no air line, no dry brushing, bag the waste.",
    ),
    (
        r"steering|yokes?|head(?:stock)? bearings?|fork (?:stem|crown|yoke)s?|"
        r"(?<!gear )(?<!cog )(?<!timing )wheels?|"
        r"track rods?|axles?|swing(?:ing)?[- ]?arms?|handlebars?|(?<!clutch )(?<!synchro )hubs?|"
        r"suspension|ball joints?|king ?pins?",
        _STEERING,
    ),
    (
        r"lifting|hoists?|slings?|eye ?bolts?|jacking|cranes?",
        _LIFTING,
    ),
    (
        r"fork(?: leg)? (?:cap|top)s?|springs?(?!\W+(?:washer|pin|nut)s?\b)|shock absorbers?|"
        r"dampers?",
        "Springs fly: goggles on, rag over the work, face away, release slowly. Never open a gas "
        "damper.",
    ),
    (
        r"(?:gas|air)[- ](?:forks?|shocks?|shock absorbers?|dampers?|struts?|springs?)|nitrogen|"
        r"gas[- ]filled|air[- ]assisted forks?",
        "Gas and air springs are under pressure: let the air out first; never open a gas damper, "
        "heat it or throw it on a fire.",
    ),
    (
        r"circlips?|retaining rings?|snap rings?",
        "Circlips fly: goggles on, a rag over the work.",
    ),
    (
        r"batter(?:y|ies)|accumulators?",
        "Battery: hydrogen and acid: ventilate, no sparks, rings off, cover the terminals.",
    ),
    (
        r"(?:fuel|petrol) (?:tank|tap|pipe|line|hose|cap|filter)s?|petrol|tank|carburett?ors?|"
        r"float bowl",
        "Fuel: no flame or spark, drain outdoors; an empty tank's vapour explodes, no hot work.",
    ),
    (
        r"(?:exhaust|head|silencer|manifold)\W+gaskets?|"
        r"gaskets? \(?(?:exhaust|cylinder head|head|silencer|manifold)|lagging|asbestos",
        "Old gaskets and lagging may hold asbestos: wet, do not scrape or grind dry.",
    ),
    (
        r"cadmium|cad[- ]plat\w+|chromat\w+|passivat\w+",
        "Cadmium and chromate coats are poisonous: gloves, no dry brushing, blasting, grinding or "
        "heat; hazardous waste.",
    ),
    (
        r"wire[- ](?:wheels?|brush\w*)|buff(?:ing|ed)?|polishing (?:mop|wheel)s?",
        "Wire wheel: small parts become missiles: hold them in a tool, goggles on.",
    ),
    (
        r"acids?(?! (?:battery|case))|pickl\w+|derust\w*",
        "Acid burns: goggles, gloves, water at hand, acid into water; never springs or strong "
        "bolts (hydrogen embrittlement).",
    ),
    (
        r"bearings?(?! (?:cap|bracket|housing)s?)",
        "Bearings: never spin them with an air line.",
    ),
    (
        r"crank ?cases?|cylinder heads?|sumps?|gearbox cover|timing (?:cover|case)|"
        r"primary (?:cover|case)|inlet (?:port|manifold)s?",
        "Openings: plug them and count what you put in, rags and tools too; count it out before "
        "closing.",
    ),
    (
        r"10\.9|12\.9|14\.9|high[- ]tensile",
        "High-strength bolts (10.9 and above): acid dips and electroplating can make them break "
        "(hydrogen embrittlement); renew, or leave it to a licensed plater who bakes them.",
    ),
    (
        r"brake fluid|dot ?(?:3|4|5(?:\.1)?)|bleed(?:ing)? (?:the )?brakes?",
        _BRAKE_FLUID,
    ),
    (
        r"isocyanate|two[- ]pack|2[- ]?(?:k|pack)|(?:paint )?hardener",
        "Two-pack paint: isocyanates can bring on asthma. An air-fed hood, never a cartridge mask; "
        "the maker's safety sheet comes first.",
    ),
    (
        r"aerosols?|spray(?:ing)? paint|spray paint(?:ed|ing)?|thinners?|cellulose|white spirit|"
        r"paraffin|acetone|brake cleaner|parts cleaner|contact adhesive|paint stripper",
        "Flammable vapour: air the place, no flame or spark; rags in a lidded metal bin; waste by "
        "local rules.",
    ),
    (
        r"chlorinated(?: \w+)*|tetrachloroethylene",
        "Chlorinated cleaner makes poison gas in heat: never before welding or near a flame.",
    ),
    (
        r"thread ?lock\w*|retaining compound|epoxy|anaerobic \w+|flange sealant",
        "Threadlocker, sealant and epoxy can make you allergic: gloves; brakes, steering and "
        "wheels only where the maker says so.",
    ),
    (
        r"argon|shielding gas|nitrogen purge",
        "Shielding gas stifles unseen: door open, never in a pit; cylinder chained.",
    ),
    (
        r"acetylene|oxy[- ]acetylene|oxygen(?! sensors?)",
        "Oxygen and acetylene: no oil or grease on fittings, flashback arrestors, cylinders "
        "upright; a hot acetylene cylinder: clear out, call the fire brigade.",
    ),
    (
        r"(?:cutting|grinding|slitting) dis[ck]s?|angle grinder|grinding wheel",
        "Grinding: guard and goggles on; never a disc that was dropped or is past its date.",
    ),
    (
        r"linseed(?: oil)?|tung oil|danish oil",
        "Rags with drying oil heat by themselves and burn: flat out of doors, or under water in a "
        "lidded metal bin.",
    ),
    (
        r"caustic(?: soda)?|electrolytic(?: derust\w*)?",
        "Caustic and electrolytic baths make hydrogen: open air, no sparks, goggles; caustic never "
        "with aluminium, zinc or tin.",
    ),
)
"""Words of a step, as a pattern, and the caution that goes with them."""

SECOND_PERSON = frozenset({_BRAKES, _BRAKE_FLUID, _STEERING, _LIFTING})
"""The cautions of work that a second person checks (common practice)."""

_COMPILED = tuple(
    (re.compile(rf"\b(?:{words})(?!\w)", re.IGNORECASE), text) for words, text in CAUTIONS
)


@lru_cache(maxsize=4096)
def cautions_for(words: str) -> tuple[str, ...]:
    """Return the cautions that the words of a step call for, in order of the list, each once.

    >>> "asbestos" in cautions_for("brake shoe")[0]
    True
    >>> cautions_for("left footrest")
    ()
    """
    return tuple(text for pattern, text in _COMPILED if pattern.search(words))
