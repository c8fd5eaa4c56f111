"""Who gets which of a few loose pieces: of a large stock only what the answer depends on is read.

`stores.usecases.rebuild` shares the whole stock out for the plan of a machine. Here somebody looks
at some of it: who draws on that is found by the descriptions that it serves for, and what else
serves there by these again, until nothing more comes in. `stores.planning.sharing` does the rest,
as it does for the plan.
"""

from collections.abc import Collection, Sequence

from sqlalchemy import Connection

from stores.model.items import Description, Item, serves
from stores.planning.sharing import Claimant, Shares, share_out, still_wanted
from stores.planning.status import arranged_steps
from stores.storage.assembling import read_access
from stores.storage.items import loose_descriptions, read_items, read_loose
from stores.storage.machines import Machine, read_machines
from stores.storage.moment import answered
from stores.storage.rebuild import stated_precedence
from stores.storage.sharing import descriptions_threaded, joints_specified, steps_to_refit
from stores.storage.stock import read_reserved

__all__ = ["shares_of"]


def shares_of(connection: Connection, items: Sequence[Item]) -> Shares:
    """Return who gets which of these loose pieces, over all machines."""
    stock = {item.number: item for item in items}
    wanting: dict[int, Item] = {}
    looked_at: set[int] = set()
    fresh = _to_give(items)
    if not fresh:
        return Shares()
    while fresh:
        asked = {
            number: spec
            for number, spec in _may_want(connection, fresh).items()
            if number not in looked_at
        }
        looked_at |= asked.keys()
        joints = _joints(connection, asked)
        wanting |= {joint.number: joint for joint in joints}
        others = _serving(connection, {joint.as_specified for joint in joints}, stock)
        stock |= {item.number: item for item in others}
        fresh = _to_give(others)
    return share_out(
        sorted(stock.values(), key=lambda item: item.line),
        _claimants(connection, list(wanting.values())),
        read_reserved(connection),
    )


def _to_give(items: Sequence[Item]) -> set[Description]:
    """Return what those of these loose items are of which there are pieces to give."""
    return {
        item.as_found for item in items if not item.unit and item.sure(*item.spare_conditions)
    }


def _may_want(connection: Connection, pieces: set[Description]) -> dict[int, Description]:
    """Return the descriptions for which some of these pieces would serve."""
    threads = {piece.thread for piece in pieces}
    return {
        number: spec
        for number, spec in descriptions_threaded(connection, threads | {""}).items()
        if any(
            spec.thread in ("", piece.thread) and serves(piece.text, spec.text) for piece in pieces
        )
    }


def _joints(connection: Connection, specs: dict[int, Description]) -> list[Item]:
    """Return the joints that are still short of pieces of these descriptions."""
    numbers = joints_specified(connection, specs) if specs else set()
    known = set(specs.values())
    return [
        joint
        for joint in (read_items(connection, numbers=numbers, verdicts=False) if numbers else [])
        if joint.step.number and joint.as_specified in known and still_wanted(joint)
    ]


def _serving(
    connection: Connection, specs: set[Description], known: Collection[int]
) -> list[Item]:
    """Return the loose items that serve for one of these descriptions, but for those known."""
    if not specs:
        return []
    threads = {spec.thread for spec in specs}
    if "" in threads:
        near = loose_descriptions(connection)
    else:
        near = {
            number: (each.text, each.thread)
            for number, each in descriptions_threaded(connection, threads).items()
        }
    wanted = {
        number
        for number, (text, thread) in near.items()
        if any(spec.thread in ("", thread) and serves(text, spec.text) for spec in specs)
    }
    return read_loose(connection, verdicts=False, descriptions=wanted, only=True, but=known)


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

    return answered(connection, "turns", machine.number, work)
