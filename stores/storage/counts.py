"""Stock-takes: what a place should hold, and whether what was counted agrees with the ledger."""

from typing import Any

from sqlalchemy import Connection, case, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import PlaceKind
from stores.planning.audit import Fault
from stores.storage.acts import standing
from stores.storage.items import items_at
from stores.storage.places import StowingRow, pieces_at, place_names
from stores.storage.tables import MovementRow, PlaceRow
from stores.text import fold

__all__ = ["CountLineRow", "CountRow", "count_faults", "place_called", "should_hold", "sits_in"]


class CountRow(SQLModel, table=True):
    """A stock-take of one place."""

    __tablename__ = "stock_count"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    place_id: int = Field(foreign_key="place.id")
    note: str = ""


class CountLineRow(SQLModel, table=True):
    """What a stock-take expected and found: pieces of an item, a bag, or something strange."""

    __tablename__ = "count_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    count_id: int = Field(foreign_key="stock_count.id")
    place_id: int | None = Field(default=None, foreign_key="place.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    words: str = ""
    expected: int
    found: int


def place_called(connection: Connection, name: str) -> tuple[int, PlaceKind, str] | None:
    """Return the box, shelf or bench of this name, None if there is none."""
    kinds = [kind.value for kind in (PlaceKind.BOX, PlaceKind.SHELF, PlaceKind.BENCH)]
    row: Any = connection.execute(
        select(col(PlaceRow.id), col(PlaceRow.kind), col(PlaceRow.name)).where(
            col(PlaceRow.key) == fold(name.removeprefix("the ")), col(PlaceRow.kind).in_(kinds)
        )
    ).first()
    return (row.id, PlaceKind(row.kind), row.name) if row else None


def sits_in(connection: Connection) -> dict[int, int]:
    """Return for each place that sits in another which one that is."""
    statement = select(
        col(StowingRow.act_id), col(StowingRow.place_id), col(StowingRow.inside_id)
    ).order_by(col(StowingRow.id))
    parents = {row.place_id: row.inside_id for row in standing(connection, statement)}
    return {inner: outer for inner, outer in parents.items() if outer is not None}


def should_hold(connection: Connection, place: int) -> dict[tuple[str, int], tuple[str, int]]:
    """Return what should be in a place: pieces by item, and bags and boxes that hold something."""
    name = place_names(connection, [place])[place][1]
    held: dict[tuple[str, int], tuple[str, int]] = {}
    for item in items_at(connection, place):
        here = [h for h in item.holdings if h.place == name and h.kind.in_hand]
        count = sum(h.quantity for h in here)
        if count:
            held["item", item.number] = (f"{item.ref} {item.names(here)}", count)
    parents = sits_in(connection)
    inside = [inner for inner, outer in parents.items() if outer == place]
    filled = set(parents.values())
    for number, (_, called) in place_names(connection, inside).items():
        if pieces_at(connection, number) or number in filled:
            held["place", number] = (called, 1)
    return held


def count_faults(connection: Connection) -> list[Fault]:
    """Return what contradicts the ledger: a count that expected what was not there, or whose act
    did not move what was missing or too many."""
    faults = []
    rows: Any = connection.execute(
        select(CountLineRow.__table__, col(CountRow.place_id).label("counted"))  # type: ignore[attr-defined]
        .join(CountRow, col(CountRow.id) == col(CountLineRow.count_id))
        .where(col(CountLineRow.item_id).is_not(None))
        .order_by(col(CountLineRow.id))
    )
    for row in rows.all():
        net = func.sum(
            case((col(MovementRow.to_place) == row.counted, col(MovementRow.quantity)), else_=0)
            - case((col(MovementRow.from_place) == row.counted, col(MovementRow.quantity)), else_=0)
        )
        mine = select(net).where(col(MovementRow.item_id) == row.item_id)
        before = connection.execute(mine.where(col(MovementRow.act_id) < row.act_id)).scalar() or 0
        within = connection.execute(mine.where(col(MovementRow.act_id) == row.act_id)).scalar() or 0
        where = f"act {row.act_id}, count of item {row.item_id}"
        if before != row.expected:
            faults.append(Fault(where, f"expected {row.expected}, but the ledger had {before}"))
        if within != row.found - row.expected:
            faults.append(
                Fault(where, f"expected {row.expected}, found {row.found}, but moved {within}")
            )
    return faults
