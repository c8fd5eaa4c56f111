"""What is mixed up and not sorted yet."""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot
from stores.model.mixups import Fellow, Mark, Mixed, MixUp, Slip, follow, together
from stores.planning.audit import Fault
from stores.storage.acts import reversed_acts
from stores.storage.balances import of_numbers
from stores.storage.carried import Changes, carried
from stores.storage.corrections import ITEMS, MACHINES, STEPS
from stores.storage.places import place_names
from stores.storage.seldom import has_rows
from stores.storage.tables import (
    ActRow,
    DescriptionRow,
    MovementRow,
)
from stores.text import local_day

__all__ = [
    "MixUpLineRow", "MixUpRow", "MixedUp", "ever_mixed_up", "mixed_up", "mixed_up_now",
    "mixup_faults", "next_mixup",
]  # fmt: skip


class MixUpRow(SQLModel, table=True):
    """Pieces that were tipped together, numbered for ever."""

    __tablename__ = "mix_up"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    number: int
    note: str = ""


class MixUpLineRow(SQLModel, table=True):
    """So many pieces of an item at a spot that are mixed up, or, ``sorted`` 1, no longer are."""

    __tablename__ = "mix_up_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    mix_up_id: int = Field(foreign_key="mix_up.id")
    item_id: int = Field(foreign_key="item.id")
    place_id: int = Field(foreign_key="place.id")
    condition: str
    quantity: int
    sorted: int = 0


@dataclass(frozen=True, slots=True)
class MixedUp:
    """All that is mixed up in a stores. ``rows`` are the mix-ups' rows by their number."""

    mixed: tuple[Mixed, ...] = ()
    names: dict[int, Fellow] = field(default_factory=dict)
    slips: tuple[Slip, ...] = ()
    rows: dict[int, int] = field(default_factory=dict)

    def of(self, item: int) -> Mixed | None:
        """Return what an item is mixed up in, None where it is not."""
        return next((each for each in self.mixed if item in each.items), None)

    def fellows(self, item: int) -> tuple[Fellow, ...]:
        """Return the other lines that an item is mixed up with."""
        each = self.of(item)
        return tuple(self.names[other] for other in each.items if other != item) if each else ()


def ever_mixed_up(connection: Connection) -> frozenset[int]:
    """Return the items that ever were mixed up with others."""
    if not has_rows(connection, "mix_up_line"):
        return frozenset()
    items = select(col(MixUpLineRow.item_id)).distinct()
    return carried(
        connection,
        "ever mixed up",
        "",
        ("mix_up_line",),
        lambda: frozenset(connection.execute(items).scalars()),
    )


def mixed_up_now(connection: Connection, gone: frozenset[int]) -> MixedUp:
    """Return what is mixed up, taken over from before where no act touched a line that is."""

    def mended(older: MixedUp, changes: Changes) -> MixedUp | None:
        if changes.within(_TABLES - _OF_ITEMS) or changes.of(_OF_ITEMS) & older.names.keys():
            return None
        return older

    return carried(connection, "mixed up", "", _TABLES, lambda: mixed_up(connection, gone), mended)


_OF_ITEMS = frozenset(("item", "movement"))
_TABLES = _OF_ITEMS | {"correction", "machine", "mix_up", "mix_up_line", "step"}


def mixed_up(connection: Connection, gone: frozenset[int] | None = None) -> MixedUp:
    """Return what is mixed up. ``gone`` are the acts that no longer stand, where they are known."""
    rows: Any = connection.execute(
        select(
            MixUpLineRow.__table__,  # type: ignore[attr-defined]
            col(MixUpRow.number),
            col(MixUpRow.note),
            col(ActRow.happened_at),
            col(MixUpRow.act_id).label("begun"),
        )
        .join(MixUpRow, col(MixUpRow.id) == col(MixUpLineRow.mix_up_id))
        .join(ActRow, col(ActRow.id) == col(MixUpRow.act_id))
        .order_by(col(MixUpLineRow.id))
    ).all()
    if not rows:
        return MixedUp()
    fallen = reversed_acts(connection) if gone is None else gone
    standing = [row for row in rows if row.act_id not in fallen and row.begun not in fallen]
    marks = [
        Mark(
            row.act_id,
            row.number,
            row.item_id,
            Spot(row.place_id, Condition(row.condition)),
            row.quantity,
            bool(row.sorted),
        )
        for row in standing
    ]
    items = {mark.item for mark in marks}
    pieces, slips = follow(marks, _movements(connection, items, fallen))
    begun: dict[int, MixUp] = {}
    for row in standing:
        known = begun.get(row.number)
        listed = (*(known.items if known else ()), row.item_id)
        begun[row.number] = MixUp(
            row.number, row.note, local_day(row.happened_at), tuple(dict.fromkeys(listed))
        )
    return MixedUp(
        tuple(together(list(begun.values()), pieces)),
        _names(connection, items, pieces),
        tuple(slips),
        {row.number: row.mix_up_id for row in standing},
    )


def _movements(
    connection: Connection, items: Collection[int], gone: frozenset[int]
) -> list[tuple[int, Movement]]:
    """Return the movements of these items, without those that no longer stand."""
    statement: Any = (
        select(MovementRow.__table__, col(ActRow.kind))  # type: ignore[attr-defined]
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .order_by(col(MovementRow.id))
    )
    return [
        (
            row.act_id,
            Movement(
                row.item_id,
                row.quantity,
                Spot(row.from_place, Condition(row.from_condition)),
                Spot(row.to_place, Condition(row.to_condition)),
            ),
        )
        for row in of_numbers(connection, statement, col(MovementRow.item_id), items)
        if row.act_id not in gone and row.kind != ActKind.REVERSE.value
    ]


def _names(
    connection: Connection, items: Collection[int], pieces: dict[tuple[int, Spot], int]
) -> dict[int, Fellow]:
    """Return how a person names each item, and the bags with mixed pieces of it."""
    statement: Any = (
        select(
            ITEMS.c.id,
            ITEMS.c.line,
            STEPS.c.number,
            MACHINES.c.name.label("machine"),
            col(DescriptionRow.text),
        )
        .select_from(ITEMS)
        .join(DescriptionRow, col(DescriptionRow.id) == ITEMS.c.description_id)
        .join(MACHINES, MACHINES.c.id == ITEMS.c.machine_id)
        .join(STEPS, STEPS.c.id == ITEMS.c.step_id, isouter=True)
    )
    places = place_names(connection, {spot.place for _, spot in pieces})
    bags: dict[int, dict[str, None]] = {}
    for item, spot in pieces:
        kind, name = places[spot.place]
        if kind is PlaceKind.BAG:
            bags.setdefault(item, {})[name] = None
    return {
        row.id: Fellow(
            f"{row.number or 0}.{row.line}",
            row.machine,
            row.text,
            tuple(sorted(bags.get(row.id, {}))),
        )
        for row in of_numbers(connection, statement, ITEMS.c.id, items)
    }


def next_mixup(connection: Connection) -> int:
    """Return the next number of a mix-up: none is used twice."""
    last = connection.execute(select(func.max(col(MixUpRow.number)))).scalar()
    return int(last or 0) + 1


def mixup_faults(connection: Connection) -> list[Fault]:
    """Return what cannot be: more sorted than mixed up, more mixed up than was there, lines that
    no longer stand, and what is mixed up with nothing."""
    found = mixed_up(connection)
    gone = reversed_acts(connection)
    faults = []
    for slip in found.slips:
        mark = slip.mark
        kind, place = place_names(connection, {mark.spot.place})[mark.spot.place]
        name = found.names[mark.item]
        said = "sorted" if mark.sorted else "mixed up"
        were = "were mixed up" if mark.sorted else "were there"
        faults.append(
            Fault(
                f"mix-up {mark.mixup}",
                f"act {mark.act} says {mark.quantity} of {name.item} {name.text} {kind.at(place)} "
                f"{said}, but {slip.there} {were}",
            )
        )
    rows: Any = connection.execute(
        select(
            col(MixUpRow.number),
            col(MixUpRow.act_id),
            col(MixUpLineRow.item_id),
            col(MixUpLineRow.condition),
            col(MixUpLineRow.sorted),
            col(MixUpLineRow.act_id).label("said"),
            ITEMS.c.act_id.label("born"),
        )
        .select_from(MixUpRow)
        .join(MixUpLineRow, col(MixUpLineRow.mix_up_id) == col(MixUpRow.id), isouter=True)
        .join(ITEMS, ITEMS.c.id == col(MixUpLineRow.item_id), isouter=True)
        .order_by(col(MixUpRow.number))
    )
    lots: dict[int, set[tuple[int, str]]] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        kept = lots.setdefault(row.number, set())
        if row.said is None or row.said in gone:
            continue
        if not row.sorted:
            kept.add((row.item_id, row.condition))
        if row.born in gone:
            faults.append(Fault(f"mix-up {row.number}", "has pieces of a step that was undone"))
    faults += [
        Fault(f"mix-up {number}", "is of one thing alone: nothing it could be mixed up with")
        for number, kept in lots.items()
        if len(kept) < 2
    ]
    return list(dict.fromkeys(faults))
