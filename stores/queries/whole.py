"""The whole record, for the audit."""

from collections.abc import Mapping

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.ledger import Act, ActKind, Condition, Movement, Record, Spot
from stores.queries.acts import fallen
from stores.queries.items import item_rows
from stores.queries.places import place_names
from stores.storage.rows import ActRow, MovementRow

__all__ = ["record"]


def record(connection: Connection) -> Record:
    """Read all that was ever written, for the audit."""
    gone = fallen(connection)
    moves: dict[int, list[Movement]] = {}
    for row in connection.execute(
        select(MovementRow.__table__).order_by(col(MovementRow.id))  # type: ignore[attr-defined]
    ):
        moves.setdefault(row.act_id, []).append(
            Movement(
                row.item_id,
                row.quantity,
                Spot(row.from_place, Condition(row.from_condition)),
                Spot(row.to_place, Condition(row.to_condition)),
            )
        )
    acts: Mapping[int, Act] = {
        row.id: Act(ActKind(row.kind), tuple(moves.get(row.id, ())), row.reason, row.reverses)
        for row in connection.execute(select(ActRow.__table__).order_by(col(ActRow.id)))  # type: ignore[attr-defined]
    }
    rows = item_rows(connection, None, None)
    places = place_names(connection)
    return Record(
        acts,
        {number: kind for number, (kind, _) in places.items()},
        {row.id: f"{row.number or 0}.{row.line} {row.text}" for row in rows},
        {number: name for number, (_, name) in places.items()},
        {
            row.id: row.found
            for row in rows
            if row.act_id not in gone and row.step_id is not None and row.found
        },
        frozenset(row.id for row in rows if row.act_id in gone),
    )
