"""The shortest list of things to buy or chase that lets most steps go ahead."""

from collections.abc import Sequence
from dataclasses import dataclass

from stores.planning.plan import OUTSIDE, Matter, Plan, State

__all__ = ["Chase", "chase_list"]

_LOOKED_AT = 200
"""Of this many shortest sets of matters the best is taken: plans of workshops have far fewer."""


@dataclass(frozen=True, slots=True)
class Chase:
    """Matters to settle together, and the steps that can then be done, one after another."""

    matters: tuple[Matter, ...]
    steps: tuple[int, ...]


def chase_list(plan: Plan, most: int | None = None) -> list[Chase]:
    """Give what to settle, what lets most steps go ahead for each matter first.

    Only what hangs on somebody else is on it. A step counts once nothing is left to buy or chase
    for it or for any step before it: the rest can be done at the bench. At each turn the set with
    the most steps for each matter is taken (the greedy rule for covering); of equals the shorter
    set, then the one whose step comes first. Settling the whole list frees every step.
    """
    bits: dict[str, int] = {}
    matters: list[list[Matter]] = []
    needs: dict[int, int] = {}
    for each in plan.steps:
        own = 0
        if each.state is not State.DONE:
            for matter in each.matters:
                if matter.want not in OUTSIDE:
                    continue
                at = bits.setdefault(matter.key, len(bits))
                if at == len(matters):
                    matters.append([])
                matters[at].append(matter)
                own |= 1 << at
        for first in plan.graph.before[each.number]:
            own |= needs.get(first, 0)
        needs[each.number] = own
    waiting = {
        each.number: needs[each.number]
        for each in plan.steps
        if each.state is not State.DONE and needs[each.number]
    }
    had = 0
    found: list[Chase] = []
    while waiting and (most is None or len(found) < most):
        chosen = _best(list(waiting.values()), had)
        had |= chosen
        freed = tuple(number for number, need in waiting.items() if not need & ~had)
        for number in freed:
            del waiting[number]
        said = [one for at, group in enumerate(matters) if chosen >> at & 1 for one in group]
        found.append(Chase(tuple(dict.fromkeys(said)), freed))
    return found


def _best(needs: Sequence[int], had: int) -> int:
    """Choose the set of matters, as bits, that frees the most steps for each matter."""
    missing = [need & ~had for need in needs]
    sets = sorted(dict.fromkeys(missing), key=int.bit_count)[:_LOOKED_AT]
    best, value = sets[0], 0.0
    for each in sets:
        worth = sum(not need & ~each for need in missing) / each.bit_count()
        if worth > value:
            best, value = each, worth
    return best
