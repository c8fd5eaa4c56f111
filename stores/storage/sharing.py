"""Who wants what of the workshop's stock: descriptions that may serve, the joints that want them,
and the steps of a machine as they are put in order.

Who asks for a few things of a large stock has to know who else draws on them. What has a thread
serves where that thread is specified, or none is: nothing else is read for it.
"""

from collections.abc import Collection, Iterator
from functools import cache
from typing import Any

from sqlalchemy import Connection, func, not_, null, select, union
from sqlmodel import col

from stores.model.items import Description, Step
from stores.storage.acts import reversed_acts
from stores.storage.balances import NUMBERS, among, within
from stores.storage.carried import Changes, carried
from stores.storage.corrections import CorrectionRow, ever_corrected, lines_now
from stores.storage.items import DESCRIBED, described, read_steps
from stores.storage.machines import kept_for_parts
from stores.storage.moment import answered, answered_each
from stores.storage.tables import DescriptionRow, ItemRow, SpecificationRow

__all__ = [
    "descriptions_across",
    "descriptions_near",
    "descriptions_threaded",
    "joints_described",
    "loose_described",
    "none_of_a_joint",
    "steps_to_refit",
]


WITH_DESCRIPTIONS = frozenset(
    ("correction", "item", "low_mark", "price", "purchase_line", "specification", "stock_need")
)
"""The tables of acts whose rows may come with a description that was not there before."""


def descriptions_threaded(
    connection: Connection, threads: Collection[str]
) -> dict[int, Description]:
    """Return the descriptions with one of these threads, an empty one for none, by number."""
    found: dict[int, Description] = {}
    for thread in threads:
        found |= _descriptions(connection, "thread", thread)
    return found


def descriptions_across(
    connection: Connection, diameter_um: int | tuple[int, int]
) -> dict[int, Description]:
    """Return the descriptions of a diameter, which may be a range, of whatever thread, by
    number."""
    return _descriptions(connection, "diameter_um", diameter_um)


def _descriptions(
    connection: Connection, field: str, value: str | int | tuple[int, int]
) -> dict[int, Description]:
    """Return them; what is described once stays so, and only what came since is read."""

    def work(after: int = 0) -> tuple[int, dict[int, Description]]:
        newest = _newest_description(connection)
        if newest == after:
            return newest, {}
        columns: Any = DescriptionRow.__table__.c  # type: ignore[attr-defined]
        statement = select(columns.id, *DESCRIBED).where(
            within(columns[field], value), columns.id > after
        )
        rows: Any = connection.execute(statement)
        return newest, {each.id: described(each) for each in rows}

    def mended(
        older: tuple[int, dict[int, Description]], _: Changes
    ) -> tuple[int, dict[int, Description]]:
        newest, came = work(older[0])
        return newest, older[1] | came if came else older[1]

    return carried(connection, field, value, WITH_DESCRIPTIONS, work, mended)[1]


def _newest_description(connection: Connection) -> int:
    newest = select(func.max(col(DescriptionRow.id)))
    return answered(
        connection, "newest description", "", lambda: connection.execute(newest).scalar() or 0
    )


def descriptions_near(
    connection: Connection, those: Collection[Description]
) -> dict[int, Description]:
    """Return the descriptions that have the thread of one of those, and some more."""
    threads = {each.thread for each in those if each.diameter_um is None and each.thread}
    found = descriptions_threaded(connection, threads) if threads else {}
    for diameter in {each.diameter_um for each in those if each.diameter_um is not None}:
        found = found | descriptions_across(connection, diameter)
    return found


def joints_described(connection: Connection, descriptions: Collection[int]) -> frozenset[int]:
    """Return the items of joints that were ever found, or specified, as one of these descriptions,
    or corrected to it: what this gives has to be looked at again."""
    return frozenset(_described(connection, descriptions, loose=False))


def loose_described(connection: Connection, descriptions: Collection[int]) -> frozenset[int]:
    """Return the loose items of which that is so."""
    return frozenset(_described(connection, descriptions, loose=True))


def _described(
    connection: Connection, descriptions: Collection[int], *, loose: bool
) -> Iterator[int]:
    """Give both kinds from one reading: who looks for the loose ones looks for the joints too."""
    of_each = answered_each(
        connection, "described", sorted(descriptions), lambda those: _lines(connection, those)
    )
    for lines in of_each.values():
        for number, step in lines:
            if step is None or (step == 0) is loose:
                yield number


def _lines(
    connection: Connection, descriptions: Collection[int]
) -> dict[int, list[tuple[int, int | None]]]:
    """Return by description its items, each with its step, 0 for a loose one; None where a
    correction may have said another."""
    found: dict[int, list[tuple[int, int | None]]] = {number: [] for number in descriptions}
    rows: Any = connection.execute(_lines_described(), {"numbers": descriptions})
    for description, number, step in rows:
        found[description].append((number, step))
    return found


@cache
def _lines_described() -> Any:
    item, put, spec = ItemRow, CorrectionRow, SpecificationRow
    step = func.coalesce(col(item.step_id), 0)
    return union(
        select(col(item.description_id), col(item.id), step).where(
            among(col(item.description_id), NUMBERS)
        ),
        select(col(put.number), col(put.subject_id), null()).where(
            col(put.subject) == "item",
            col(put.field) == "description_id",
            among(col(put.number), NUMBERS),
        ),
        select(col(spec.description_id), col(spec.item_id), step)
        .join(ItemRow, col(item.id) == col(spec.item_id))
        .where(among(col(spec.description_id), NUMBERS)),
    )


def none_of_a_joint(connection: Connection, items: Collection[int]) -> bool:
    """Return whether all of these items are loose."""
    of_joints = select(col(ItemRow.id)).where(
        among(col(ItemRow.id), items), col(ItemRow.step_id).is_not(None)
    )
    return connection.execute(of_joints.limit(1)).first() is None


def steps_to_refit(connection: Connection, machine: int) -> list[Step]:
    """Return the steps of a machine with a line that goes back on: of one that is kept for parts
    those alone that are wanted back."""
    gone = reversed_acts(connection)
    corrected = ever_corrected(connection).rows.get("item", frozenset())
    line: Any = ItemRow.__table__  # type: ignore[attr-defined]
    written: Any = connection.execute(
        select(line.c.step_id, line.c.act_id, line.c.machine_id)
        .where(
            line.c.machine_id == machine,
            line.c.step_id.is_not(None),
            not_(among(line.c.id, corrected)),
        )
        .distinct()
    )
    back = kept_for_parts(connection).get(machine)
    wanted = {
        row.step_id
        for row in (*written, *lines_now(connection, corrected).values())
        if row.machine_id == machine
        and row.step_id is not None
        and row.act_id not in gone
        and (back is None or row.step_id in back)
    }
    return list(read_steps(connection, wanted).values())
