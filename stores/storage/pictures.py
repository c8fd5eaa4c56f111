"""Pictures on record: what each is tied to, as it stands."""

from collections.abc import Collection
from functools import cache, lru_cache
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, func, or_, select, union
from sqlmodel import Field, SQLModel, col

from stores.model.items import Item, Step
from stores.model.ledger import PlaceKind
from stores.planning.pictures import Filed, PictureOnRecord
from stores.storage.acts import reversed_acts, standing
from stores.storage.balances import NUMBERS, among, of_numbers
from stores.storage.corrections import (
    ITEMS,
    STEPS,
    ever_corrected,
    lines_now,
    perhaps_read_as,
    steps_now,
)
from stores.storage.items import read_steps
from stores.storage.machines import machine_numbers, read_machines
from stores.storage.places import place_names
from stores.storage.seldom import has_rows
from stores.storage.tables import (
    ItemRow,
    MovementRow,
    PlaceRow,
)
from stores.text import fold

__all__ = [
    "CaptionRow",
    "FilingRow",
    "KeptFile",
    "PictureRow",
    "kept_files",
    "next_picture",
    "picture_file",
    "pictures_of",
    "read_pictures",
    "step_moments",
    "steps_by_number",
    "steps_of_bags",
]


class PictureRow(SQLModel, table=True):
    """A picture, kept by the digest of its content; ``turn`` is the EXIF orientation."""

    __tablename__ = "picture"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    number: int
    digest: str
    name: str = ""
    taken_at: str = ""
    width: int
    height: int
    turn: int = 1
    format: str = ""
    size: int


class FilingRow(SQLModel, table=True):
    """What a picture shows: a step, a bag or an item. The newest standing one of a pair counts."""

    __tablename__ = "filing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    picture_id: int = Field(foreign_key="picture.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    place_id: int | None = Field(default=None, foreign_key="place.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    how: str = ""
    taken_off: int = 0


class CaptionRow(SQLModel, table=True):
    """What is written under a picture. The newest standing one counts."""

    __tablename__ = "caption"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    picture_id: int = Field(foreign_key="picture.id")
    text: str = ""


def read_pictures(
    connection: Connection, machine: int, rows: Collection[int] | None = None
) -> list[PictureOnRecord]:
    """Return the pictures of a machine, in the order of their numbers: all, or those of these
    rows."""
    gone = reversed_acts(connection)
    found = of_numbers(connection, _rows_of_pictures(machine), col(PictureRow.id), rows)
    found.sort(key=lambda row: row.number)
    standing = [row for row in found if row.act_id not in gone]
    numbers = [row.id for row in standing]
    filed = _filings(connection, numbers, gone)
    captions = {
        row.picture_id: row.text
        for row in of_numbers(connection, _rows_of_captions(), col(CaptionRow.picture_id), numbers)
        if row.act_id not in gone
    }
    return [
        PictureOnRecord(
            row.id,
            row.number,
            row.digest,
            row.name,
            row.taken_at,
            row.width,
            row.height,
            row.turn,
            row.format,
            row.size,
            captions.get(row.id, ""),
            tuple(filed.get(row.id, {}).values()),
        )
        for row in standing
    ]


@lru_cache(maxsize=64)
def _rows_of_pictures(machine: int) -> Any:
    table: Any = PictureRow.__table__  # type: ignore[attr-defined]
    return select(table).where(table.c.machine_id == machine)


@cache
def _rows_of_captions() -> Any:
    row = CaptionRow
    return select(col(row.act_id), col(row.picture_id), col(row.text)).order_by(col(row.id))


class KeptFile(NamedTuple):
    """The file of a picture: whose picture it is, and whether that stands on record."""

    machine: str
    number: int
    name: str
    digest: str
    format: str
    size: int
    stands: bool


def kept_files(connection: Connection) -> list[KeptFile]:
    """Return the files of all pictures, also those of imports taken back, which may come again."""
    gone = reversed_acts(connection)
    names = {machine.number: machine.name for machine in read_machines(connection)}
    rows: Any = connection.execute(
        select(PictureRow.__table__).order_by(col(PictureRow.machine_id), col(PictureRow.number))  # type: ignore[attr-defined]
    )
    return [
        KeptFile(
            names.get(row.machine_id, ""), row.number, row.name, row.digest, row.format, row.size,
            row.act_id not in gone,
        )
        for row in rows
    ]  # fmt: skip


def _filings(
    connection: Connection, numbers: list[int], gone: frozenset[int]
) -> dict[int, dict[tuple[Any, ...], Filed]]:
    rows = of_numbers(connection, _rows_of_filings(), col(FilingRow.picture_id), numbers)
    rows.sort(key=lambda row: row.id)
    lines = lines_now(connection, {row.item_id for row in rows if row.item_id is not None})
    of_steps = {row.step_id for row in (*rows, *lines.values()) if row.step_id is not None}
    steps = steps_now(connection, of_steps)
    bags = place_names(connection, {row.place_id for row in rows if row.place_id is not None})
    found: dict[int, dict[tuple[Any, ...], Filed]] = {}
    for row in rows:
        step, line = steps.get(row.step_id), lines.get(row.item_id)
        if row.act_id in gone or (step is not None and step.act_id in gone):
            continue
        key = (step.as_id if step else None, row.place_id, row.item_id)
        ties = found.setdefault(row.picture_id, {})
        if row.taken_off:
            ties.pop(key, None)
            continue
        of = steps.get(line.step_id) if line else None
        number = of.number if of else step.number if step else 0
        _, bag = bags.get(row.place_id, (None, ""))
        ties[key] = Filed(row.how, number, bag, f"{number}.{line.line}" if line else "")
    return found


@cache
def _rows_of_filings() -> Any:
    table: Any = FilingRow.__table__  # type: ignore[attr-defined]
    return select(table).order_by(table.c.id)


def pictures_of(
    connection: Connection, items: Collection[Item], steps: Collection[Step] = ()
) -> dict[tuple[str, int], list[int]]:
    """Return the numbers of the pictures that show these steps, or the steps, bags or pieces of
    these items, by machine and step."""
    if not has_rows(connection, "filing"):
        return {}
    perhaps_tied = _perhaps_tied(connection, items, steps)
    if not perhaps_tied:
        return {}
    names = {item.step.machine for item in items} | {step.machine for step in steps}
    found: dict[tuple[str, int], list[int]] = {}
    for name, machine in machine_numbers(connection).items():
        if name not in names:
            continue
        mine = [item for item in items if item.step.machine == name]
        wanted = {step.number for step in steps if step.machine == name}
        for picture in read_pictures(connection, machine, perhaps_tied):
            kept = picture.kept
            shown = [item.step.number for item in mine if any(_of(tie, item) for tie in kept)]
            shown += [tie.step for tie in kept if tie.step in wanted]
            for number in dict.fromkeys(shown):
                found.setdefault((name, number), []).append(picture.number)
    return found


def _perhaps_tied(
    connection: Connection, items: Collection[Item], steps: Collection[Step]
) -> set[int]:
    """Return the pictures, by row, that were ever tied to these steps, or the steps, bags or pieces
    of these items: a few of thousands. What this gives has to be looked at again."""
    numbers = {item.number for item in items}
    own = of_numbers(connection, _steps_of_lines(), col(ItemRow.id), numbers)
    written = {row.step_id for row in own if row.step_id is not None}
    if steps:
        written |= perhaps_read_as(connection, {step.number for step in steps})
    lines, of = ever_corrected(connection).related(numbers, written)
    bags = sorted({fold(bag) for item in items for bag in item.bags})
    asked = {"items": lines, "steps": of, "bags": bags}
    return set(connection.execute(_perhaps_ties(), asked).scalars())


@cache
def _steps_of_lines() -> Any:
    return select(col(ItemRow.step_id))


@cache
def _perhaps_ties() -> Any:
    """Return the statement of the pictures that were ever tied to ``items``, to ``steps`` with all
    their lines, or to ``bags``."""
    tie: Any = FilingRow.__table__  # type: ignore[attr-defined]
    line: Any = ItemRow.__table__  # type: ignore[attr-defined]
    place: Any = PlaceRow.__table__  # type: ignore[attr-defined]
    items, steps = (bindparam(name, type_=NUMBERS.type) for name in ("items", "steps"))
    lines = select(line.c.id).where(or_(among(line.c.id, items), among(line.c.step_id, steps)))
    bags = select(place.c.id).where(
        place.c.kind == PlaceKind.BAG.value,  # and by the key, as the index has them
        place.c.key.in_(bindparam("bags", expanding=True)),
    )
    return union(
        select(tie.c.picture_id).where(among(tie.c.step_id, steps)),
        select(tie.c.picture_id).where(tie.c.item_id.in_(lines)),
        select(tie.c.picture_id).where(tie.c.place_id.in_(bags)),
    )


def _of(tie: Filed, item: Item) -> bool:
    return (
        tie.item == item.ref
        or tie.bag in item.bags
        or (bool(item.step.number) and tie.step == item.step.number)
    )


def picture_file(connection: Connection, machine: int, number: int) -> tuple[str, str] | None:
    """Return digest and suffix of a standing picture, None if there is none of this number."""
    row: Any = connection.execute(
        select(col(PictureRow.act_id), col(PictureRow.digest), col(PictureRow.format)).where(
            col(PictureRow.machine_id) == machine, col(PictureRow.number) == number
        )
    ).first()
    if row is None or row.act_id in reversed_acts(connection):
        return None
    return row.digest, row.format


def next_picture(connection: Connection, machine: int) -> int:
    """Return the next number of a machine's pictures: none is used twice."""
    last = connection.execute(
        select(func.max(col(PictureRow.number))).where(col(PictureRow.machine_id) == machine)
    ).scalar()
    return int(last or 0) + 1


def steps_by_number(connection: Connection, machine: int) -> dict[int, Step]:
    """Return the standing steps of a machine by their numbers."""
    rows = standing(
        connection, select(STEPS.c.as_id, STEPS.c.act_id).where(STEPS.c.machine_id == machine)
    )
    steps = read_steps(connection, {row.as_id for row in rows})
    return {step.number: step for step in sorted(steps.values(), key=lambda each: each.number)}


def step_moments(connection: Connection, machine: int) -> dict[int, str]:
    """Return when each standing step was done, ISO 8601: a moment in UTC, or a bare day."""
    rows = standing(
        connection,
        select(STEPS.c.number, STEPS.c.act_id, STEPS.c.happened_at)
        .where(STEPS.c.machine_id == machine)
        .order_by(STEPS.c.number),
    )
    return {row.number: row.happened_at for row in rows}


def steps_of_bags(connection: Connection, machine: int) -> dict[str, int]:
    """Return for each bag the step whose pieces went into it first."""
    rows = standing(
        connection,
        select(col(PlaceRow.name), STEPS.c.number, col(MovementRow.act_id))
        .select_from(MovementRow)
        .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
        .join(STEPS, STEPS.c.id == ITEMS.c.step_id)
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(
            STEPS.c.machine_id == machine,
            col(PlaceRow.kind) == PlaceKind.BAG.value,
        )
        .order_by(col(MovementRow.id)),
    )
    first: dict[str, int] = {}
    for row in rows:
        first.setdefault(row.name, row.number)
    return first
