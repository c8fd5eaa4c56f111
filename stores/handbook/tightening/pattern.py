"""The cross pattern of a bolt circle.

The legacy cross pattern of ASME PCC-1 (2010, table 4) is printed for numbers of bolts that can be
divided by four. All its rows follow from two rules, which this module applies to any number:

- *quads*: a bolt, the one opposite, then the pair square to them; the next quad starts within the
  first quarter;
- *halving*: the next start lies in the middle of the widest open gap of the quarter; of two
  equally good ones the one further from the last, then the lower number ("keep halving the
  angle", as the gasket suppliers say).

Six, ten, fourteen ... bolts go in opposite pairs, the pairs by halving. An odd number has no
opposite bolts: it goes by halving round the whole circle, which gives the usual star for five.
From 48 bolts on four neighbours count as one.
"""

from functools import cache
from itertools import pairwise

from stores.handbook.answer import between
from stores.handbook.tightening.model import MOST_HOLES

__all__ = ["GROUPED_FROM", "cross_pattern", "halving"]

GROUPED_FROM = 48


@cache
def cross_pattern(bolts: int) -> tuple[int, ...]:
    """Give the order for bolts numbered clockwise round a circle from 1.

    Raises `BadValue` for fewer than 2 or more than 60 bolts.

    >>> cross_pattern(8)
    (1, 5, 3, 7, 2, 6, 4, 8)
    """
    between("bolts", bolts, "", 2, MOST_HOLES)
    if bolts >= GROUPED_FROM and bolts % 4 == 0:
        groups = cross_pattern(bolts // 4)
        return tuple(4 * (group - 1) + bolt for group in groups for bolt in (1, 2, 3, 4))
    turns: tuple[int, ...] = (0,)
    quarter = bolts
    if bolts % 4 == 0:
        quarter = bolts // 4
        turns = (0, 2 * quarter, quarter, 3 * quarter)
    elif bolts % 2 == 0:
        quarter = bolts // 2
        turns = (0, quarter)
    return tuple(start + turn for start in halving(quarter) for turn in turns)


def halving(places: int) -> tuple[int, ...]:
    """Give the order of places 1 to ``places`` by halving the widest gap.

    The place after the last one counts as done: it is the first of the next quarter, or the first
    of the circle again.

    >>> halving(7)
    (1, 4, 6, 2, 5, 3, 7)
    """

    def round_trip(one: int, other: int) -> int:
        way = abs(one - other)
        return min(way, places - way)

    done = [1]
    while len(done) < places:
        walls = sorted([*done, places + 1])
        gaps = list(pairwise(walls))
        widest = max(high - low for low, high in gaps)
        middles = {
            middle
            for low, high in gaps
            if high - low == widest
            for middle in ((low + high) // 2, (low + high + 1) // 2)
        }
        last = done[-1]
        done.append(min(middles, key=lambda place: (-round_trip(place, last), place)))
    return tuple(done)
