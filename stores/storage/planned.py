"""The plan of a machine, from all that the record says of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores.errors import NotFound
from stores.model.items import Item
from stores.planning.rebuild import Plan, plan
from stores.planning.status import Status, status_of
from stores.storage.figures import maker_torques, read_joints
from stores.storage.items import read_items
from stores.storage.machines import Machine, machine_named
from stores.storage.orders import awaited_from_suppliers
from stores.storage.outwork import awaited_from_firms
from stores.storage.refits import read_refits, stated_precedence
from stores.storage.settings import read_settings
from stores.storage.snags import open_snags

__all__ = ["Rebuild", "rebuild_of", "status_on"]


@dataclass(frozen=True, slots=True)
class Rebuild:
    """A machine and its plan. ``hours_a_week`` is None where nobody said."""

    machine: Machine
    plan: Plan
    hours_a_week: float | None = None
    minutes: int | None = None


def rebuild_of(connection: Connection, machine: str | None, *, strict: bool = False) -> Rebuild:
    """Plan the rebuild of a machine.

    Raises:
        NotFound: no such machine, or nothing was stripped yet.
    """
    on = machine_named(connection, machine)
    listed = read_items(connection, machine=on.number)
    status = status_on(connection, on.number, listed, strict=strict)
    if not status.steps:
        raise NotFound(f"nothing of {on.name} was taken off yet: 'stores strip' records that")
    chosen = read_settings(connection, on.number)
    minutes = int(chosen["minutes a step"]) if "minutes a step" in chosen else None
    return Rebuild(
        on,
        plan(
            status,
            maker_torques(connection, [item.number for item in listed]),
            read_joints(connection, on.number),
            minutes=minutes,
        ),
        int(chosen["minutes a week"]) / 60 if "minutes a week" in chosen else None,
        minutes,
    )


def status_on(
    connection: Connection,
    machine: int,
    listed: Sequence[Item] | None = None,
    *,
    strict: bool = False,
) -> Status:
    """Return how far every step of a machine is. ``listed`` are all its items, where they have been
    read already."""
    return status_of(
        read_items(connection, machine=machine) if listed is None else listed,
        read_refits(connection, machine),
        stated_precedence(connection, machine),
        snags=open_snags(connection, machine),
        awaited=[*awaited_from_firms(connection), *awaited_from_suppliers(connection, machine)],
        strict=strict,
    )
