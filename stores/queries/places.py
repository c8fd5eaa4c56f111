"""Places: bags, what sits in what, and where pieces were."""

from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.ledger import ActKind, PlaceKind
from stores.queries.acts import fallen
from stores.storage.balances import balances
from stores.storage.rows import ActRow, MovementRow, PlaceRow, StepRow, StowingRow

__all__ = ["bag_codes", "insides", "last_bag", "last_home", "pieces_at", "place_names"]


def bag_codes(connection: Connection) -> list[str]:
    """Give the codes of all bags there ever were."""
    rows = connection.execute(
        select(col(PlaceRow.name))
        .where(col(PlaceRow.kind) == PlaceKind.BAG.value)
        .order_by(col(PlaceRow.id))
    )
    return [name for (name,) in rows]


def last_bag(connection: Connection, machine: int) -> str | None:
    """Give the bag that the machine's last standing step put pieces into."""
    gone = fallen(connection)
    rows: Any = connection.execute(
        select(col(PlaceRow.name), col(MovementRow.act_id))
        .join(MovementRow, col(MovementRow.to_place) == col(PlaceRow.id))
        .join(StepRow, col(StepRow.act_id) == col(MovementRow.act_id))
        .where(col(StepRow.machine_id) == machine, col(PlaceRow.kind) == PlaceKind.BAG.value)
        .order_by(col(MovementRow.id).desc())
    )
    return next((name for name, act in rows if act not in gone), None)


def last_home(connection: Connection, item: int) -> tuple[PlaceKind, str] | None:
    """Give the place in the workshop that an item's pieces were last sent out from."""
    rows: Any = connection.execute(
        select(col(PlaceRow.kind), col(PlaceRow.name))
        .join(MovementRow, col(MovementRow.from_place) == col(PlaceRow.id))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(col(MovementRow.item_id) == item, col(ActRow.kind) == ActKind.SEND.value)
        .order_by(col(MovementRow.id).desc())
    )
    return next(((PlaceKind(kind), name) for kind, name in rows), None)


def pieces_at(connection: Connection, place: int) -> int:
    """Give how many pieces are at a place."""
    return sum(
        row.pieces for row in connection.execute(balances(None, place)) if row.place == place
    )


def insides(connection: Connection, gone: frozenset[int]) -> dict[int, str]:
    """Give for each place what it sits in, from the inside out, as ``box 3, shelf 2``."""
    parents: dict[int, int | None] = {}
    rows = connection.execute(
        select(
            col(StowingRow.act_id), col(StowingRow.place_id), col(StowingRow.inside_id)
        ).order_by(col(StowingRow.id))
    )
    for act, place, inside in rows:
        if act not in gone:
            parents[place] = inside
    names = place_names(connection)
    chains: dict[int, str] = {}
    for place in parents:
        chain: list[str] = []
        seen = {place}
        inside = parents.get(place)
        while inside is not None and inside not in seen:
            seen.add(inside)
            chain.append(names[inside][1])
            inside = parents.get(inside)
        chains[place] = ", ".join(chain)
    return chains


def place_names(connection: Connection) -> dict[int, tuple[PlaceKind, str]]:
    """Give every place with its kind and name."""
    rows: Any = connection.execute(select(col(PlaceRow.id), col(PlaceRow.kind), col(PlaceRow.name)))
    return {number: (PlaceKind(kind), name) for number, kind, name in rows}
