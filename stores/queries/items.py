"""Items with their pieces, specifications and verdicts, as the rebuild sees them."""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection, Row, or_, select
from sqlmodel import col

from stores.errors import NotFound
from stores.ledger import Condition, PlaceKind
from stores.planning.items import Description, Holding, Item, Step
from stores.queries.acts import fallen
from stores.queries.places import insides, place_names
from stores.storage.balances import CHUNK, balance_of
from stores.storage.rows import (
    ActRow,
    AssemblyRow,
    DescriptionRow,
    FindingRow,
    ItemRow,
    MachineRow,
    MovementRow,
    PlaceRow,
    SpecificationRow,
    StepRow,
)

__all__ = ["item_rows", "items", "items_of_bag", "items_of_step"]


def items(
    connection: Connection,
    *,
    machine: int | None = None,
    numbers: Collection[int] | None = None,
) -> list[Item]:
    """Give the items that stand, with their pieces; of one machine, or those of these numbers."""
    gone = fallen(connection)
    found = [row for row in item_rows(connection, machine, numbers) if row.act_id not in gone]
    wanted = {row.id for row in found}
    everything = machine is None and numbers is None
    holdings = _holdings(connection, None if everything else wanted, gone)
    specified = _specifications(connection, None if everything else wanted, gone)
    verdicts = _verdicts(connection, None if everything else wanted, gone)
    steps: dict[tuple[int | None, str], Step] = {}
    result = []
    for row in found:
        step = steps.setdefault((row.step_id, row.machine), _step(row))
        as_found = Description(row.text, row.kind, row.renew)
        named, quantity, renew = specified.get(row.id, (as_found, row.found, row.renew))
        result.append(
            Item(
                row.id,
                row.line,
                step,
                as_found,
                row.found,
                named,
                quantity,
                renew=renew,
                position=row.position,
                written=row.written,
                holdings=tuple(holdings.get(row.id, ())),
                verdict=verdicts.get(row.id, ""),
            )
        )
    result.sort(key=lambda item: (item.step.machine, item.step.number, item.line))
    return result


def items_of_bag(connection: Connection, code: str) -> list[Item]:
    """Give the items that are, or ever were, in the bag of this code."""
    place = connection.execute(
        select(col(PlaceRow.id)).where(
            col(PlaceRow.kind) == PlaceKind.BAG.value, col(PlaceRow.name) == code
        )
    ).scalar()
    if place is None:
        return []
    rows = connection.execute(
        select(col(MovementRow.item_id))
        .where(or_(col(MovementRow.to_place) == place, col(MovementRow.from_place) == place))
        .distinct()
    )
    return items(connection, numbers=[number for (number,) in rows])


def items_of_step(connection: Connection, machine: int, number: int) -> list[Item]:
    """Give the items of one step, or with number 0 the loose ones.

    Raises:
        NotFound: no such step stands.
    """
    statement = select(col(ItemRow.id)).where(col(ItemRow.machine_id) == machine)
    if number:
        statement = statement.join(StepRow, col(StepRow.id) == col(ItemRow.step_id)).where(
            col(StepRow.number) == number
        )
    else:
        statement = statement.where(col(ItemRow.step_id).is_(None))
    listed: Any = connection.execute(statement).scalars().all()
    found = items(connection, numbers=listed)
    if not found:
        raise NotFound(
            f"no step {number} stands: 'stores history' shows what was done"
            if number
            else "no loose pieces are recorded"
        )
    return found


def item_rows(
    connection: Connection, machine: int | None, numbers: Collection[int] | None
) -> list[Row[Any]]:
    """Read the items with their descriptions and steps, also those that no longer stand."""
    statement = (
        select(
            col(ItemRow.id),
            col(ItemRow.act_id),
            col(ItemRow.step_id),
            col(ItemRow.line),
            col(ItemRow.found),
            col(ItemRow.written),
            col(ItemRow.position),
            col(DescriptionRow.text),
            col(DescriptionRow.kind),
            col(DescriptionRow.renew),
            col(MachineRow.name).label("machine"),
            col(StepRow.number),
            col(StepRow.part),
            col(StepRow.note),
            col(StepRow.hazard),
            col(AssemblyRow.path),
            col(ActRow.happened_at),
        )
        .join(DescriptionRow, col(DescriptionRow.id) == col(ItemRow.description_id))
        .join(MachineRow, col(MachineRow.id) == col(ItemRow.machine_id))
        .join(ActRow, col(ActRow.id) == col(ItemRow.act_id))
        .join(StepRow, col(StepRow.id) == col(ItemRow.step_id), isouter=True)
        .join(AssemblyRow, col(AssemblyRow.id) == col(StepRow.assembly_id), isouter=True)
    )
    if machine is not None:
        statement = statement.where(col(ItemRow.machine_id) == machine)
    if numbers is None:
        return list(connection.execute(statement))
    rows: list[Row[Any]] = []
    for chunk in _chunks(numbers):
        rows += connection.execute(statement.where(col(ItemRow.id).in_(chunk)))
    return rows


def _step(row: Row[Any]) -> Step:
    if row.step_id is None:
        return Step(0, row.machine)
    return Step(row.number, row.machine, row.path, row.part, row.happened_at, row.note, row.hazard)


def _chunks(numbers: Iterable[int]) -> list[list[int]]:
    listed = sorted(numbers)
    return [listed[start : start + CHUNK] for start in range(0, len(listed), CHUNK)]


def _of_items(
    connection: Connection, statement: Any, column: Any, wanted: Collection[int] | None
) -> list[Row[Any]]:
    if wanted is None:
        return list(connection.execute(statement))
    rows: list[Row[Any]] = []
    for chunk in _chunks(wanted):
        rows += connection.execute(statement.where(column.in_(chunk)))
    return rows


def _holdings(
    connection: Connection, wanted: Collection[int] | None, gone: frozenset[int]
) -> dict[int, list[Holding]]:
    balance = balance_of(connection, wanted)
    places = place_names(connection)
    chains = insides(connection, gone)
    result: dict[int, list[Holding]] = {}
    order = list(Condition)
    for item, spot, count in sorted(
        balance, key=lambda entry: (entry[0], entry[1].place, order.index(entry[1].condition))
    ):
        kind, name = places[spot.place]
        result.setdefault(item, []).append(
            Holding(count, name, kind, spot.condition, chains.get(spot.place, ""))
        )
    return result


def _specifications(
    connection: Connection, wanted: Collection[int] | None, gone: frozenset[int]
) -> dict[int, tuple[Description, int, str]]:
    statement = (
        select(
            col(SpecificationRow.act_id),
            col(SpecificationRow.item_id),
            col(SpecificationRow.quantity),
            col(SpecificationRow.renew),
            col(DescriptionRow.text),
            col(DescriptionRow.kind),
        )
        .join(DescriptionRow, col(DescriptionRow.id) == col(SpecificationRow.description_id))
        .order_by(col(SpecificationRow.id))
    )
    rows = _of_items(connection, statement, col(SpecificationRow.item_id), wanted)
    return {
        row.item_id: (Description(row.text, row.kind, row.renew), row.quantity, row.renew)
        for row in rows
        if row.act_id not in gone
    }


def _verdicts(
    connection: Connection, wanted: Collection[int] | None, gone: frozenset[int]
) -> dict[int, str]:
    statement = select(
        col(FindingRow.act_id),
        col(FindingRow.item_id),
        col(FindingRow.quantity),
        col(FindingRow.condition),
        col(FindingRow.reason),
    ).order_by(col(FindingRow.id))
    said: dict[int, list[str]] = {}
    for row in _of_items(connection, statement, col(FindingRow.item_id), wanted):
        if row.act_id not in gone:
            why = f": {row.reason}" if row.reason else ""
            said.setdefault(row.item_id, []).append(f"{row.quantity} {row.condition}{why}")
    return {item: "; ".join(lines) for item, lines in said.items()}
