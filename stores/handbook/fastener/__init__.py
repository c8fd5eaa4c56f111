"""Fasteners as people write them: many spellings in, one canonical form out.

::

    >>> item = parse('four m6 by twenty five hex bolts 8.8 bzp')
    >>> str(item), item.quantity, item.length_mm
    ('4 M6 x 25 hex bolt 8.8 BZP', 4, 25.0)
"""

from stores.errors import NotationError
from stores.handbook.fastener.draft import A_GUESS, TWO_THINGS
from stores.handbook.fastener.grammar import parse
from stores.handbook.fastener.model import NO_NOUN, Fastener, Kind, Measure, Series
from stores.handbook.fastener.words import is_noun, links, near_notation, open_end, renew_always

__all__ = [
    "A_GUESS",
    "NO_NOUN",
    "TWO_THINGS",
    "Fastener",
    "Kind",
    "Measure",
    "NotationError",
    "Series",
    "is_noun",
    "links",
    "near_notation",
    "open_end",
    "parse",
    "renew_always",
]
