"""Who gets which of the workshop's loose pieces: each is given out once, over all machines.

Pieces go, in this order, to

1. the machine or step that a person reserved them for;
2. the machine that was being worked on when they were bought or found;
3. whichever joint comes first: the machine that was begun first, and on it the step that goes on
   first.

What is counted in millilitres or grams is no piece of a joint and is not given out here.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stores.model.items import Item, serves

__all__ = [
    "Claimant",
    "Promise",
    "Reserved",
    "Shares",
    "kept_for_others",
    "promises_of",
    "share_out",
    "still_wanted",
]


@dataclass(frozen=True, slots=True)
class Reserved:
    """So many pieces of a loose item (its number) that a person keeps for a machine, and of it for
    one step where ``step`` is not 0. ``quantity`` is what is left of that to be drawn."""

    spare: int
    machine: str
    step: int
    quantity: int


@dataclass(frozen=True, slots=True)
class Promise:
    """So many pieces that a joint gets, or that a person keeps for a machine or a step of it;
    ``item`` is empty where it is kept."""

    machine: str
    step: int
    item: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Claimant:
    """A machine, and its joints in the order in which they go on."""

    machine: str
    joints: Sequence[Item]


@dataclass(frozen=True, slots=True)
class Shares:
    """Which loose pieces each joint gets, by the joint's number; ``left`` are how many of each are
    given to none, ``kept`` of these are reserved all the same; ``kept_for`` says for whom, by loose
    item, machine and step."""

    given: Mapping[int, tuple[tuple[Item, int], ...]] = field(default_factory=dict)
    left: Mapping[int, int] = field(default_factory=dict)
    kept: Mapping[int, int] = field(default_factory=dict)
    kept_for: Mapping[tuple[int, str, int], int] = field(default_factory=dict)
    wants: Mapping[int, tuple[Item, int]] = field(default_factory=dict, compare=False, repr=False)
    """How many pieces each joint wanted, whatever it got."""

    def of(self, joint: Item) -> tuple[tuple[Item, int], ...]:
        """Return what a joint gets: loose items, and how many of each."""
        return self.given.get(joint.number, ())


def promises_of(shares: Shares) -> dict[int, tuple[Promise, ...]]:
    """Return by loose item who gets how many of it: joints, then those it is kept for."""
    given: dict[int, list[Promise]] = {}
    for number, mine in shares.given.items():
        joint, _ = shares.wants[number]
        for spare, count in mine:
            given.setdefault(spare.number, []).append(
                Promise(joint.step.machine, joint.step.number, joint.ref, count)
            )
    for (number, machine, step), count in shares.kept_for.items():
        if count:
            given.setdefault(number, []).append(Promise(machine, step, "", count))
    return {number: tuple(promises) for number, promises in given.items()}


def kept_for_others(
    reserved: Iterable[Reserved], spare: int, own: Collection[tuple[str, int]] = ()
) -> tuple[Promise, ...]:
    """Return what is kept of a loose item (its number) for others than these machines and steps:
    what of it is not free to them."""
    return tuple(
        Promise(one.machine, one.step, "", one.quantity)
        for one in reserved
        if one.spare == spare and one.quantity and (one.machine, one.step) not in own
    )


def still_wanted(joint: Item) -> int:
    """Return how many loose pieces a joint could do with."""
    return max(0, min(joint.lacking, joint.to_fit - joint.usable))


def share_out(
    stock: Iterable[Item],
    claimants: Sequence[Claimant],
    reserved: Iterable[Reserved] = (),
    older: Shares | None = None,
) -> Shares:
    """Return which loose pieces each joint of these machines gets.

    ``claimants`` are the machines in the order in which they were begun. What a joint wanted is
    taken over from an ``older`` sharing where it is the same object.
    """
    sharing = _Sharing(stock, claimants, older or Shares())
    sharing.reserve(reserved)
    for each in claimants:
        sharing.draw_reserved(each)
    for own in (True, False):
        for each in claimants:
            sharing.draw_free(each, own=own)
    return sharing.shares()


class _Sharing:
    """What is still free of each loose item, and what each joint still wants."""

    def __init__(self, stock: Iterable[Item], claimants: Iterable[Claimant], older: Shares) -> None:
        self._spares = {item.number: item for item in stock if not item.unit}
        self._free = {
            number: count
            for number, item in self._spares.items()
            if (count := item.sure(*item.spare_conditions))
        }
        self._kept: dict[tuple[int, str, int], int] = {}
        self._wants: dict[int, tuple[Item, int]] = {}
        for each in claimants:
            for joint in each.joints:
                known = older.wants.get(joint.number)
                if known is None or known[0] is not joint:
                    known = joint, still_wanted(joint)
                self._wants[joint.number] = known
        self._wanted = {number: wanted for number, (_, wanted) in self._wants.items() if wanted > 0}
        self._given: dict[int, dict[int, int]] = {}
        self._by_thread: dict[str, list[Item]] = {}
        for number in self._free:
            spare = self._spares[number]
            self._by_thread.setdefault(spare.as_found.thread, []).append(spare)
        self._serving: dict[str, list[Item]] = {}

    def reserve(self, reserved: Iterable[Reserved]) -> None:
        """Keep pieces for those that a person named."""
        for one in reserved:
            some = min(one.quantity, self._free.get(one.spare, 0))
            if some > 0:
                self._free[one.spare] -= some
                key = (one.spare, one.machine, one.step)
                self._kept[key] = self._kept.get(key, 0) + some

    def draw_reserved(self, each: Claimant) -> None:
        """Give a machine's joints what is kept for their step, and then for the machine."""
        for joint in self._lacking(each) if self._kept else ():
            for step in (joint.step.number, 0):
                for spare in self._serve(joint):
                    key = (spare.number, each.machine, step)
                    if there := self._kept.get(key, 0):
                        self._kept[key] -= self._draw(joint, spare, there)

    def draw_free(self, each: Claimant, *, own: bool) -> None:
        """Give a machine's joints what is free; ``own``: of what was entered for it alone."""
        for joint in self._lacking(each):
            for spare in self._serve(joint):
                there = self._free[spare.number]
                if there and (not own or spare.entered_for == each.machine):
                    self._free[spare.number] -= self._draw(joint, spare, there)

    def shares(self) -> Shares:
        """Return what it came to."""
        held: dict[int, int] = {}
        for (number, _, _), count in self._kept.items():
            held[number] = held.get(number, 0) + count
        return Shares(
            {
                joint: tuple((self._spares[number], count) for number, count in mine.items())
                for joint, mine in self._given.items()
            },
            {number: count + held.get(number, 0) for number, count in self._free.items()},
            held,
            self._kept,
            self._wants,
        )

    def _lacking(self, each: Claimant) -> list[Item]:
        return [joint for joint in each.joints if self._wanted.get(joint.number)]

    def _serve(self, joint: Item) -> list[Item]:
        """Return the loose items that serve at a joint: what has a thread serves at no other."""
        text, thread = joint.as_specified.text, joint.as_specified.thread
        if text not in self._serving:
            near = self._by_thread.get(thread, []) if thread else self._every()
            self._serving[text] = [spare for spare in near if serves(spare.as_found.text, text)]
        return self._serving[text]

    def _every(self) -> list[Item]:
        return [self._spares[number] for number in self._free]

    def _draw(self, joint: Item, spare: Item, there: int) -> int:
        count = min(self._wanted.get(joint.number, 0), there)
        if count > 0:
            self._wanted[joint.number] -= count
            mine = self._given.setdefault(joint.number, {})
            mine[spare.number] = mine.get(spare.number, 0) + count
        return count
