"""Fasteners as people write them: many spellings in, one canonical form out.

::

    >>> item = parse('four m6 by twenty five hex bolts 8.8 bzp')
    >>> str(item), item.quantity, item.length_mm
    ('4 M6 x 25 hex bolt 8.8 BZP', 4, 25.0)

A wrong reading is worse than "not read", and a number that was guessed is a question: `Draft.hold`
keeps the words as typed and asks, and at the bench the count is then 1. Two things with a count
each are two lines (``lines_in`` of `stores.handbook.benchline`); what else may be two is asked
about. A word that two trades use for two things has a ``trades`` row with its question.
``Item.to_check`` is what every label and list marks; `stores.usecases.queries` keeps the questions,
and what a line may have meant is offered by `stores.handbook.readings`, each reading read back
first.
"""

from stores.errors import NotationError
from stores.handbook.fastener.draft import A_GUESS, TWO_THINGS
from stores.handbook.fastener.grammar import parse
from stores.handbook.fastener.model import NO_NOUN, Fastener, Kind, Measure, Series
from stores.handbook.fastener.words import (
    is_noun,
    links,
    near_notation,
    open_end,
    opens_length,
    renew_always,
)

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
    "opens_length",
    "parse",
    "renew_always",
]
