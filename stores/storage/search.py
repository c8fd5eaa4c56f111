"""Finding items by what they are and by words, and the bags that hold them."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable
from typing import Any

from sqlalchemy import Connection, and_, exists, func, or_, select, union
from sqlmodel import col

from stores.model.items import Item
from stores.model.labels import Bag, bags_of
from stores.model.ledger import PlaceKind
from stores.storage.acts import reversed_acts
from stores.storage.balances import CHUNK
from stores.storage.corrections import ITEMS, CorrectionRow, items_corrected_to
from stores.storage.items import read_items
from stores.storage.places import read_insides
from stores.storage.tables import (
    DescriptionRow,
    FindingRow,
    ItemRow,
    PlaceRow,
    SpecificationRow,
    WorkRow,
)
from stores.text import fold, words_of

__all__ = ["items_like", "loose_of_size", "read_bags", "words_recorded"]


def items_like(
    connection: Connection,
    *,
    words: Collection[str] = (),
    thread: str = "",
    diameter_um: int | None = None,
    length_um: int | tuple[int, int] | None = None,
    head: str = "",
    machine: int | None = None,
    loose: bool = False,
) -> list[Item]:
    """Give the items whose description, part, assembly, note or position holds all the words, and
    whose thread, length and head, as found or as specified, are these. A length may be a range.

    ``machine`` keeps those of a machine, and what is of none; ``loose`` the loose ones alone.
    """
    found = _descriptions("found")
    specified = _descriptions("specified")
    statement = (
        select(ITEMS.c.id)
        .join(found, found.c.id == ITEMS.c.description_id)
        .join(SpecificationRow, col(SpecificationRow.item_id) == ITEMS.c.id, isouter=True)
        .join(specified, specified.c.id == col(SpecificationRow.description_id), isouter=True)
        .distinct()
    )
    if machine is not None:
        statement = statement.where(or_(ITEMS.c.machine_id == machine, ITEMS.c.step_id.is_(None)))
    if loose:
        statement = statement.where(ITEMS.c.step_id.is_(None))
    asked = {
        "thread": thread,
        "diameter_um": diameter_um,
        "length_um": length_um,
        "head": head,
    }
    sizes = {column: value for column, value in asked.items() if value}
    if sizes:
        statement = statement.where(
            or_(
                *(
                    and_(*(_is(side.c[column], value) for column, value in sizes.items()))
                    for side in (found, specified)
                )
            )
        )
    for word in words:
        like = f"%{_escape(fold(word))}%"
        statement = statement.where(
            or_(
                ITEMS.c.words.like(like, escape="\\"),
                specified.c.words.like(like, escape="\\"),
                ITEMS.c.id.in_(items_corrected_to(connection, like)),
                ITEMS.c.id.in_(
                    select(col(FindingRow.item_id)).where(
                        col(FindingRow.words).like(like, escape="\\")
                    )
                ),
                ITEMS.c.id.in_(
                    select(col(WorkRow.item_id)).where(col(WorkRow.words).like(like, escape="\\"))
                ),
            )
        )
    numbers: Any = connection.execute(statement).scalars().all()
    # What no longer stands may have matched, an older specification or an undone verdict.
    return [
        item
        for item in (read_items(connection, numbers=numbers) if numbers else [])
        if (item.as_found.has(sizes) or item.as_specified.has(sizes))
        and all(fold(word) in said(item) for word in words)
    ]


def loose_of_size(
    connection: Connection, thread: str, length_um: int | None, fits: Callable[[str], bool]
) -> list[Item]:
    """Give the loose items of a thread, and of a length where that is said, as found or as
    specified, of which what was found ``fits`` by its text.

    The descriptions of one size are few, however many lines there are: which of them fit is asked
    first, and of all the lines only those that may be of these are read.
    """
    sizes: dict[str, object] = {"thread": thread} | ({"length_um": length_um} if length_um else {})
    of_size = [getattr(DescriptionRow, name) == value for name, value in sizes.items()]
    described = connection.execute(
        select(col(DescriptionRow.id), col(DescriptionRow.text)).where(*of_size)
    ).all()
    fitting = [number for number, text in described if fits(text)]
    near = select(col(DescriptionRow.id)).where(*of_size)
    # many sizes of one thread: all of them, rather than one number after another written out
    wanted = near if len(fitting) > CHUNK else fitting
    statements = _loose_described(wanted) if fitting else []
    if len(fitting) < len(described) and wanted is not near:
        statements.append(_loose_specified_as(near, fitting))
    numbers: Any = connection.execute(union(*statements)).scalars().all() if statements else ()
    # What no longer stands may have matched: an older name, an undone correction.
    return [
        item
        for item in (read_items(connection, numbers=numbers, verdicts=False) if numbers else [])
        if not item.step.number
        and (item.as_found.has(sizes) or item.as_specified.has(sizes))
        and fits(item.as_found.text)
    ]


def _loose_described(descriptions: Any) -> list[Any]:
    """Return the statements of the loose rows that were ever found, or specified, as one of these
    descriptions, or corrected to it."""
    item, put, spec = ItemRow, CorrectionRow, SpecificationRow
    return [
        select(col(item.id)).where(col(item.description_id).in_(descriptions), _is_loose()),
        select(col(put.subject_id)).where(
            col(put.subject) == "item",
            col(put.field) == "description_id",
            col(put.number).in_(descriptions),
        ),
        select(col(spec.item_id))
        .join(ItemRow, col(item.id) == col(spec.item_id))
        .where(col(spec.description_id).in_(descriptions), _is_loose()),
    ]


def _is_loose() -> Any:
    """Tell of a row whether it is loose, so that a database looks for descriptions first: there are
    few lines of one, and many loose ones."""
    return func.coalesce(col(ItemRow.step_id), 0) == 0


def _loose_specified_as(near: Any, fitting: Collection[int]) -> Any:
    """Return the statement of the loose rows that were ever specified as of a size, though not as
    what fits, and may have been found as something else that does."""
    item, put, spec = ItemRow, CorrectionRow, SpecificationRow
    learnt: Any = spec.__table__.alias("learnt")  # type: ignore[attr-defined]
    return (
        select(col(spec.item_id))
        .join(ItemRow, col(item.id) == col(spec.item_id))
        .where(
            col(spec.description_id).in_(near),
            col(spec.description_id).not_in(fitting),
            _is_loose(),
            or_(
                col(item.description_id).not_in(near),
                exists().where(
                    col(put.subject) == "item",
                    col(put.subject_id) == col(item.id),
                    col(put.field) == "description_id",
                ),
                exists().where(learnt.c.item_id == col(item.id), learnt.c.same == 1),
            ),
        )
    )


def words_recorded(connection: Connection, machine: int | None = None) -> Counter[str]:
    """Return the words that items are found by, each with how often it is on record."""
    gone = reversed_acts(connection)
    items = select(ITEMS.c.act_id, ITEMS.c.words)
    specified = select(col(SpecificationRow.act_id), col(DescriptionRow.words)).join(
        DescriptionRow, col(DescriptionRow.id) == col(SpecificationRow.description_id)
    )
    if machine is not None:
        items = items.where(ITEMS.c.machine_id == machine)
        specified = (
            specified.select_from(SpecificationRow)
            .join(ITEMS, ITEMS.c.id == col(SpecificationRow.item_id))
            .where(ITEMS.c.machine_id == machine)
        )
    said: Counter[str] = Counter()
    corrected = select(col(CorrectionRow.act_id), col(CorrectionRow.folded))
    for statement in (items, specified, corrected):
        for act, text in connection.execute(statement):
            if act not in gone:
                said.update(words_of(text))
    return said


def _is(column: Any, value: object) -> Any:
    return column.between(*value) if isinstance(value, tuple) else column == value


def said(item: Item) -> str:
    """Give all that is said of an item as it stands, folded."""
    told = " ".join(line.words for line in item.story)
    return f"{_words(item)} {fold(item.as_specified.text)} {fold(told)}"


def _words(item: Item) -> str:
    """Return all that is said of a line and its step, folded, as `find` looks through it."""
    step = item.step
    if not step.number:
        return item.words
    return fold(
        f"{item.as_found.text} {item.written} {item.position} {step.part} {step.assembly} "
        f"{step.note} {step.hazard}"
    )


def _descriptions(name: str) -> Any:
    return DescriptionRow.__table__.alias(name)  # type: ignore[attr-defined]


def _escape(word: str) -> str:
    return word.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def read_bags(connection: Connection, found: Iterable[Item] | None = None) -> dict[str, Bag]:
    """Give the bags that hold pieces, of all items or of these, with their label's state.

    With ``found`` a bag holds what of these items is in it.
    """
    gone = reversed_acts(connection)
    listed = read_items(connection) if found is None else list(found)
    names = {code for item in listed for code in item.bags}
    rows: Any = connection.execute(
        select(col(PlaceRow.id), col(PlaceRow.name)).where(
            col(PlaceRow.kind) == PlaceKind.BAG.value
        )
    )
    codes = {number: name for number, name in rows if name in names}
    from stores.storage.labels import labels_of

    printed, made = labels_of(connection, codes)
    chains = read_insides(connection, gone, codes)
    inside = {codes[place]: chain for place, chain in chains.items() if place in codes}
    return bags_of(listed, inside, printed, made)
