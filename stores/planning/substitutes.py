"""What may stand in for a bolt or screw that is not to be had: the next length up, with a washer.

Common practice, no source: the thread stays the same in diameter and pitch (fine never goes into
coarse), head and class stay the same, the washer under the head takes up what is too long, and a
blind hole takes no longer screw. A countersunk or headless one has no place for a washer.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from stores import units
from stores.errors import StoresError
from stores.handbook.fastener import Kind, parse
from stores.handbook.lengths import next_length
from stores.model.items import Item
from stores.planning.status import cautions_of, is_safety

__all__ = ["Longer", "longer", "may_be_longer"]

_HEADS = frozenset({"hex", "hex flange", "socket cap", "low socket cap", "cheese", "pan", "round"})
"""Heads that a washer goes under."""
_MOST_OVER = 6.5
"""Millimetres that washers may take up: 5 mm or a quarter of an inch, a step of the lists. More is
a stack of washers that nobody should tighten (common practice)."""


@dataclass(frozen=True, slots=True)
class Longer:
    """The next length up: its specification, and by how much it is too long."""

    text: str
    over_mm: float

    @property
    def said(self) -> str:
        """Say it with its condition: ``M6 x 30 hex bolt, washers for 5 mm, no blind hole``."""
        return f"{self.text}, washers for {self.over_mm:.3g} mm, no blind hole"


@lru_cache(maxsize=4096)
def longer(specified: str) -> Longer | None:
    """Give the next length in the list of standard lengths, all else the same; None if none may be.

    >>> longer("M6 x 25 hex bolt").text
    'M6 x 30 hex bolt'
    """
    try:
        wanted = parse(specified)
    except StoresError:
        return None
    if wanted.kind not in (Kind.BOLT, Kind.SCREW) or not (wanted.series and wanted.size):
        return None
    if wanted.head not in _HEADS or not wanted.length:
        return None
    step = next_length(wanted.length.mm, inch=wanted.length.unit == "in")
    if step is None or step.mm - wanted.length.mm > _MOST_OVER:
        return None
    length = replace(wanted.length, value=units.value(step.text))
    return Longer(replace(wanted, quantity=None, length=length).spec, step.mm - wanted.length.mm)


def may_be_longer(items: Iterable[Item]) -> bool:
    """Tell whether none of these joints is of brakes, steering or wheels: there nothing stands in
    for what the maker specified."""
    return not any(is_safety(cautions_of(item.step, [item])) for item in items)
