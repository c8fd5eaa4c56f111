"""What tells varieties of one kind apart: the grade of an oil, the size of a wire, a colour.

Any lithium grease serves where lithium grease is asked for; SAE 90 does not serve for SAE 140, and
DOT 3 not for DOT 4, though each two are of one kind.
"""

import re
from functools import cache

from stores.handbook.consumables.kinds import Consumable

__all__ = ["full_name", "variety"]

_VARIED = frozenset(
    ("oil", "hydraulic", "paint", "sheet", "wire", "cable", "hose", "abrasive", "welding",
     "soldering", "small parts")
)  # fmt: skip
"""Families of which one grade, size or colour does not serve for another (common practice)."""

_COLOURS = frozenset(
    ("black", "white", "red", "green", "blue", "yellow", "brown", "grey", "cream", "maroon",
     "silver", "orange", "purple", "pink", "clear")
)  # fmt: skip
_JOINED = (
    (r"\bdot[\s-]*(\d(?:\.\d)?)\b", r"dot\1"),
    (r"\bgl[\s-]*(\d)\b", r"gl\1"),
    (r"\b(?:iso\s*)?vg[\s-]*(\d+)\b", r"vg\1"),
    (r"\b(\d+)\s*w(?:[\s/-]*(\d{2,3}))?\b", r"\1w\2"),
    (r"\bnlgi[\s-]*(\d+)\b", r"nlgi\1"),
    (r"(\d)\s+(mm2?|in|m)\b", r"\1\2"),
    (r"\bgray\b", "grey"),
)  # one spelling for each grade
_SHOWN = (
    (r"dot(.+)", r"DOT \1"),
    (r"gl(\d)", r"GL-\1"),
    (r"vg(\d+)", r"ISO VG \1"),
    (r"(\d+)w(\d+)", r"\1W-\2"),
    (r"(\d+)w", r"\1W"),
    (r"nlgi(\d+)", r"NLGI \1"),
    (r"([\d./]+)(mm2?|in|m)", r"\1 \2"),
)


def _tokens(text: str) -> tuple[str, ...]:
    plain = text.casefold()
    for pattern, joined in _JOINED:
        plain = re.sub(pattern, joined, plain)
    return tuple(re.findall(r"[a-z0-9]+(?:[./][a-z0-9]+)*", plain))


@cache
def _of_the_name(kind: Consumable) -> frozenset[str]:
    """Return the words that every one of a kind may be called by."""
    return frozenset(
        word
        for name in (kind.name, *kind.names)
        for word in _tokens(name)
        if not word.startswith("dot")
    )


def variety(kind: Consumable, text: str) -> frozenset[str]:
    """Return the words of a text that tell a variety of a kind from others; none where it has none.

    >>> from stores.handbook.consumables import kind_named
    >>> sorted(variety(kind_named("gear oil"), "SAE 140 gear oil, GL 4"))
    ['140', 'gl4']
    """
    if kind.family not in _VARIED:
        return frozenset()
    hypoid = kind.key == "gear-oil" and re.search(r"(?i)\bEP\b|\bhypoid\b", text)
    return frozenset(
        word
        for word in _tokens(text)
        if (word in _COLOURS or any(each.isdigit() for each in word))
        and word not in _of_the_name(kind)
    ) | frozenset(["ep"] if hypoid else [])


def full_name(kind: Consumable, words: frozenset[str]) -> str:
    """Return the handbook's name of a kind, with what tells the variety apart.

    >>> from stores.handbook.consumables import kind_named
    >>> full_name(kind_named("DOT 4"), frozenset({"dot4"}))
    'brake fluid, glycol, DOT 4'
    """
    return ", ".join((kind.name, *(_shown(kind, word) for word in sorted(words))))


def _shown(kind: Consumable, word: str) -> str:
    for pattern, shown in _SHOWN:
        if found := re.fullmatch(pattern, word):
            return found.expand(shown)
    if word == "ep":
        return "EP"
    if word.isdecimal() and kind.key in ("engine-oil", "gear-oil"):
        return f"SAE {word}"
    return word
