"""Who gets which of a few loose pieces: of a large stock only what the answer depends on is read.

`stores.usecases.rebuild` shares the whole stock out for the plan of a machine. Here somebody looks
at some of it: who draws on that is found by the descriptions that it serves for, and what else
serves there by these again, until nothing more comes in. `stores.planning.sharing` does the rest,
as it does for the plan.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache

from sqlalchemy import Connection

from stores.errors import NotationError
from stores.handbook.fastener import Kind, parse
from stores.model.items import Description, Item, serves
from stores.model.ledger import Condition
from stores.planning.sharing import (
    Claimant,
    Promise,
    Shares,
    kept_for_others,
    share_out,
    still_wanted,
)
from stores.planning.status import arranged_steps
from stores.storage import Writer
from stores.storage.assembling import read_access
from stores.storage.carried import Changes, carried
from stores.storage.items import loose_descriptions, read_items
from stores.storage.machines import Machine, read_machines
from stores.storage.moment import answered
from stores.storage.rebuild import stated_precedence
from stores.storage.sharing import (
    descriptions_near,
    descriptions_threaded,
    joints_described,
    loose_described,
    none_of_a_joint,
    steps_to_refit,
)
from stores.storage.stock import read_reserved
from stores.usecases.common import from_hand

__all__ = ["joints_for", "shares_of", "taken_from_others"]


def shares_of(
    connection: Connection, items: Sequence[Item], in_hand: Iterable[Item] = ()
) -> Shares:
    """Return who gets which of these loose pieces, over all machines. What of the joints was read
    already is ``in_hand``."""
    stock = {item.number: item for item in items}
    read = {item.number: item for item in in_hand}
    wanting: dict[int, Item] = {}
    asked: set[Description] = set()
    fresh = _to_give(items)
    if not fresh:
        return Shares()
    while fresh:
        specs = _may_want(connection, fresh)
        new = set(specs.values()) - asked
        joints = [
            joint
            for joint in _read(connection, joints_described(connection, specs), read)
            if joint.step.number and joint.as_specified in new and still_wanted(joint)
        ]
        asked |= new
        wanting |= {joint.number: joint for joint in joints}
        others = _serving(connection, {joint.as_specified for joint in joints}, stock)
        stock |= {item.number: item for item in others}
        fresh = _to_give(others)
    return share_out(
        sorted(stock.values(), key=lambda item: item.line),
        _claimants(connection, list(wanting.values())),
        read_reserved(connection),
    )


def _read(
    connection: Connection, numbers: Collection[int], known: Mapping[int, Item]
) -> list[Item]:
    missing = set(numbers) - known.keys()
    found = read_items(connection, numbers=missing, verdicts=False) if missing else []
    return [*found, *(known[number] for number in numbers if number in known)]


def taken_from_others(
    writer: Writer,
    item: Item,
    quantity: int,
    conditions: Sequence[Condition],
    own: Collection[tuple[str, int]] = (),
) -> tuple[int, tuple[Promise, ...]]:
    """Return how many of so many pieces of a loose item, taken in this order of conditions, a
    person keeps for others than these machines and steps, and for whom.

    Only pieces that are good for something are kept.
    """
    others = kept_for_others(read_reserved(writer.connection), item.number, own)
    if not others:
        return 0, ()
    sound = tuple(Condition) if item.unit else item.spare_conditions
    spots = from_hand(writer.stock([item.number]), item, quantity, conditions)
    taken = sum(count for spot, count in spots if spot.condition in sound)
    free = max(0, item.in_hand(*sound) - sum(one.quantity for one in others))
    return (taken - free, others) if taken > free else (0, ())


def joints_for(connection: Connection, pieces: Iterable[Description]) -> frozenset[int]:
    """Return the joints at which pieces of these descriptions may serve, to be read beside them."""
    return joints_described(connection, _may_want(connection, set(pieces)))


def _to_give(items: Sequence[Item]) -> set[Description]:
    """Return what those of these loose items are of which there are pieces to give."""
    return {item.as_found for item in items if not item.unit and item.sure(*item.spare_conditions)}


def _may_want(connection: Connection, pieces: Collection[Description]) -> dict[int, Description]:
    """Return the descriptions for which some of these pieces would serve."""

    def work() -> dict[int, Description]:
        near = descriptions_threaded(connection, [""]) | descriptions_near(connection, pieces)
        return {
            number: spec
            for number, spec in near.items()
            if any(_serves(piece, spec) for piece in pieces)
        }

    return answered(connection, "may want", frozenset(pieces), work)


_KINDS = frozenset(kind.value for kind in Kind if kind is not Kind.PART)


def _serves(piece: Description, spec: Description) -> bool:
    """Tell whether a piece may be drawn where another is specified: what has a thread serves where
    this one is, or none. Of another kind is none, and that takes no reading of the words."""
    if spec.thread not in ("", piece.thread):
        return False
    other = spec.kind != piece.kind and piece.kind in _KINDS
    if other and spec.kind in _KINDS:
        return False
    if other and spec.kind == Kind.PART and not _names_a_size(spec.text):
        return False
    return serves(piece.text, spec.text)


@lru_cache(maxsize=4096)
def _names_a_size(text: str) -> bool:
    """Tell whether what no noun says of what kind it is may be of any: ``M6 x 25`` a bolt."""
    try:
        return parse(text).series is not None
    except NotationError:
        return False


def _serving(
    connection: Connection, specs: set[Description], known: Mapping[int, Item]
) -> list[Item]:
    """Return the loose items that serve for one of these descriptions, but for those known."""
    if not specs:
        return []
    near = descriptions_near(connection, specs)
    if any(not spec.thread for spec in specs):  # what has a thread may serve there too
        threads = {thread for _, thread in loose_descriptions(connection).values()}
        near = near | descriptions_threaded(connection, threads | {""})
    wanted = {
        number for number, piece in near.items() if any(_serves(piece, spec) for spec in specs)
    }
    numbers = loose_described(connection, wanted) - known.keys()
    found = read_items(connection, numbers=numbers, verdicts=False) if numbers else []
    return [item for item in found if not item.step.number]


def _claimants(connection: Connection, joints: Sequence[Item]) -> list[Claimant]:
    """Return the machines that these joints are of, each with its own in the order of refitting."""
    by_machine: dict[str, list[Item]] = {}
    for joint in joints:
        by_machine.setdefault(joint.step.machine, []).append(joint)
    claimants = []
    for machine in read_machines(connection):
        mine = sorted(by_machine.get(machine.name, ()), key=lambda joint: joint.line)
        if len({joint.step.number for joint in mine}) > 1:
            turn = _turns(connection, machine)
            mine.sort(key=lambda joint: turn[joint.step.number])
        if mine:
            claimants.append(Claimant(machine.name, mine))
    return claimants


def _turns(connection: Connection, machine: Machine) -> dict[int, int]:
    """Return when each step of a machine goes on, by its number."""
    from stores.storage.strip import read_jobs

    def work() -> dict[int, int]:
        steps = steps_to_refit(connection, machine.number)
        jobs = [job.step for job in read_jobs(connection, machine.number)]
        made = arranged_steps(
            [*jobs, *steps],
            read_access(connection, machine.number),
            stated_precedence(connection, machine.number),
        )
        return {number: turn for turn, number in enumerate(made.order)}

    def mended(older: dict[int, int], changes: Changes) -> dict[int, int] | None:
        """Keep it where all that came since is loose pieces: these have no turn."""
        if changes.within(_ORDERED_BY - {"item"}):
            return None
        return older if none_of_a_joint(connection, changes.of(("item",))) else None

    return carried(connection, "turns", machine.number, _ORDERED_BY, work, mended)


_ORDERED_BY = frozenset(
    ("correction", "item", "job", "machine", "refit_link", "setting", "step", "step_choice")
)
