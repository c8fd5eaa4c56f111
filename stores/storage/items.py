"""Items with their pieces, specifications and verdicts, as the rebuild sees them."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, Row, or_, select
from sqlmodel import col

from stores.errors import Hint, NotFound
from stores.model.items import Description, Holding, Item, Step, StoryLine
from stores.model.ledger import Condition, PlaceKind
from stores.model.renewals import renew_reason
from stores.storage.acts import reversed_acts
from stores.storage.balances import balance_of, balances, of_numbers
from stores.storage.machines import kept_for_parts
from stores.storage.places import place_names, read_insides
from stores.storage.renewals import renew_choices, renew_rules
from stores.storage.tables import (
    ActRow,
    AssemblyRow,
    DescriptionRow,
    FindingRow,
    ItemRow,
    KeptSpareRow,
    MachineRow,
    MovementRow,
    PlaceRow,
    SpecificationRow,
    StepRow,
    WorkRow,
)
from stores.text import local_day

__all__ = [
    "item_rows",
    "items_at",
    "items_of_bag",
    "items_of_step",
    "mates",
    "read_items",
]


def read_items(
    connection: Connection,
    *,
    machine: int | None = None,
    numbers: Collection[int] | None = None,
    verdicts: bool = True,
) -> list[Item]:
    """Give the items that stand, with their pieces; of one machine, or those of these numbers.

    ``verdicts`` False leaves out what inspections said and what was done.
    """
    gone = reversed_acts(connection)
    found = [row for row in item_rows(connection, machine, numbers) if row.act_id not in gone]
    wanted = {row.id for row in found}
    everything = machine is None and numbers is None
    holdings = _holdings(connection, None if everything else wanted, gone)
    specified = _specifications(connection, None if everything else wanted, gone)
    stories = _stories(connection, None if everything else wanted, gone) if verdicts else {}
    donors = kept_for_parts(connection)
    kept = {
        row.item_id
        for row in connection.execute(select(col(KeptSpareRow.act_id), col(KeptSpareRow.item_id)))
        if row.act_id not in gone
    }
    rules, choices = renew_rules(connection, gone), renew_choices(connection, gone)
    steps: dict[tuple[int | None, str], Step] = {}
    result = []
    for row in found:
        step = steps.setdefault((row.step_id, row.machine), _step(row))
        as_found = described(row)
        named, quantity, renew = specified.get(row.id, (as_found, row.found, row.renew))
        if rules or choices:
            renew = renew_reason(renew, named.text, rules, choices.get(row.id))
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
                story=stories.get(row.id, ()),
                words=row.words,
                for_parts=row.machine_id in donors and row.step_id not in donors[row.machine_id],
                kept=row.id in kept,
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
    return read_items(connection, numbers=[number for (number,) in rows])


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
    found = read_items(connection, numbers=listed)
    if not found:
        if not number:
            raise NotFound("no loose pieces")
        raise NotFound("no such step", step=number, hint=Hint("history"))
    return found


def items_at(connection: Connection, place: int) -> list[Item]:
    """Give the items with pieces at a place."""
    held: Any = connection.execute(balances(None, place))
    return read_items(connection, numbers={row.item for row in held if row.place == place})


def mates(connection: Connection, item: Item) -> list[Item]:
    """Give the items of the same assembly, its own step first."""
    step: Any = connection.execute(
        select(col(ItemRow.step_id), col(ItemRow.machine_id)).where(col(ItemRow.id) == item.number)
    ).one()
    if step.step_id is None:
        return []
    same = select(col(StepRow.assembly_id)).where(col(StepRow.id) == step.step_id)
    listed: Any = connection.execute(
        select(col(ItemRow.id))
        .join(StepRow, col(StepRow.id) == col(ItemRow.step_id))
        .where(col(StepRow.assembly_id).in_(same))
    ).scalars()
    found = read_items(connection, numbers=list(listed))
    return sorted(found, key=lambda mate: (mate.step.number != item.step.number, mate.number))


def item_rows(
    connection: Connection, machine: int | None, numbers: Collection[int] | None
) -> list[Row[Any]]:
    """Read the items with their descriptions and steps, also those that no longer stand."""
    statement = (
        select(
            col(ItemRow.id),
            col(ItemRow.act_id),
            col(ItemRow.step_id),
            col(ItemRow.machine_id),
            col(ItemRow.line),
            col(ItemRow.found),
            col(ItemRow.written),
            col(ItemRow.position),
            col(ItemRow.words),
            *DESCRIBED,
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
    return of_numbers(connection, statement, col(ItemRow.id), numbers)


DESCRIBED = (
    col(DescriptionRow.text),
    col(DescriptionRow.kind),
    col(DescriptionRow.renew),
    col(DescriptionRow.thread),
    col(DescriptionRow.diameter_um),
    col(DescriptionRow.length_um),
    col(DescriptionRow.head),
)


def described(row: Row[Any]) -> Description:
    """Give a description from a row that has the columns of `DESCRIBED`."""
    return Description(
        row.text, row.kind, row.renew, row.thread, row.diameter_um, row.length_um, row.head
    )


def _step(row: Row[Any]) -> Step:
    if row.step_id is None:
        return Step(0, row.machine)
    return Step(
        row.number,
        row.machine,
        row.path,
        row.part,
        local_day(row.happened_at),
        row.note,
        row.hazard,
    )


def _holdings(
    connection: Connection, wanted: Collection[int] | None, gone: frozenset[int]
) -> dict[int, list[Holding]]:
    balance = balance_of(connection, wanted)
    held = {spot.place for _, spot, _ in balance}
    places = place_names(connection, held)
    chains = read_insides(connection, gone, held)
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
    statement: Any = (
        select(
            col(SpecificationRow.act_id),
            col(SpecificationRow.item_id),
            col(SpecificationRow.quantity),
            col(SpecificationRow.renew).label("renewed"),
            *DESCRIBED,
        )
        .join(DescriptionRow, col(DescriptionRow.id) == col(SpecificationRow.description_id))
        .order_by(col(SpecificationRow.id))
    )
    rows = of_numbers(connection, statement, col(SpecificationRow.item_id), wanted)
    return {
        row.item_id: (described(row), row.quantity, row.renewed)
        for row in rows
        if row.act_id not in gone
    }


def _stories(
    connection: Connection, wanted: Collection[int] | None, gone: frozenset[int]
) -> dict[int, tuple[StoryLine, ...]]:
    """Return by item what inspections said and what was done, the oldest first."""
    told: dict[int, list[tuple[int, int, StoryLine]]] = {}
    said = select(
        col(FindingRow.act_id),
        col(FindingRow.item_id),
        col(FindingRow.id),
        col(FindingRow.quantity),
        col(FindingRow.condition),
        col(FindingRow.reason),
        col(ActRow.happened_at),
    ).join(ActRow, col(ActRow.id) == col(FindingRow.act_id))
    for row in of_numbers(connection, said, col(FindingRow.item_id), wanted):
        if row.act_id not in gone:
            line = StoryLine(
                local_day(row.happened_at), row.quantity, row.reason, Condition(row.condition)
            )
            told.setdefault(row.item_id, []).append((row.act_id, row.id, line))
    done = select(
        col(WorkRow.act_id),
        col(WorkRow.item_id),
        col(WorkRow.quantity),
        col(WorkRow.what),
        col(WorkRow.done_by),
        col(WorkRow.measured),
        col(ActRow.happened_at),
    ).join(ActRow, col(ActRow.id) == col(WorkRow.act_id))
    for row in of_numbers(connection, done, col(WorkRow.item_id), wanted):
        if row.act_id not in gone:
            line = StoryLine(
                local_day(row.happened_at),
                row.quantity,
                row.what,
                by=row.done_by,
                measured=row.measured,
            )
            # In one act the work comes first, then the verdict on it.
            told.setdefault(row.item_id, []).append((row.act_id, 0, line))
    return {
        item: tuple(line for _, _, line in sorted(lines, key=lambda each: each[:2]))
        for item, lines in told.items()
    }
