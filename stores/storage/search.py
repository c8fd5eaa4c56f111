"""Finding items by what they are and by words, and the bags that hold them."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, or_, select
from sqlmodel import col

from stores.model.items import Description, Item
from stores.model.labels import Bag, bags_of
from stores.model.ledger import PlaceKind
from stores.storage.acts import reversed_acts
from stores.storage.balances import within
from stores.storage.corrections import ITEMS, CorrectionRow, items_corrected_to
from stores.storage.items import read_items
from stores.storage.places import read_insides
from stores.storage.sharing import (
    descriptions_across,
    descriptions_threaded,
    loose_described,
)
from stores.storage.tables import (
    DescriptionRow,
    FindingRow,
    PlaceRow,
    SpecificationRow,
    WorkRow,
)
from stores.text import fold, words_of

__all__ = [
    "Size",
    "descriptions_fitting",
    "items_like",
    "loose_of_size",
    "read_bags",
    "words_recorded",
]


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
                    and_(*(within(side.c[column], value) for column, value in sizes.items()))
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


@dataclass(frozen=True, slots=True)
class Size:
    """A size that is looked for: a thread, a length where that is said, which may be a range, and
    what ``fits`` of it by its text. ``diameter_um`` is the thread's, None where a thread has it
    from a table; a range where any thread of it is meant, and ``thread`` is empty."""

    thread: str
    diameter_um: int | tuple[int, int] | None
    length_um: int | tuple[int, int] | None
    fits: Callable[[str], bool]

    def is_of(self, what: Description) -> bool:
        """Tell whether a description is of the thread and length, whatever else it says."""
        sizes: dict[str, object] = {} if self.length_um is None else {"length_um": self.length_um}
        if not self.thread:
            sizes["diameter_um"] = self.diameter_um
        return what.has(sizes) and what.thread == (self.thread or what.thread)

    def is_met(self, item: Item) -> bool:
        """Tell whether an item is of the size, found or specified so, and what was found fits."""
        sized = self.is_of(item.as_found) or self.is_of(item.as_specified)
        return sized and self.fits(item.as_found.text)


def descriptions_fitting(connection: Connection, size: Size) -> dict[int, Description]:
    """Return the descriptions that fit a size: they are few, however many lines there are. Some are
    of another thread of that diameter."""
    known = (
        descriptions_threaded(connection, (size.thread, ""))
        if size.diameter_um is None
        else descriptions_across(connection, size.diameter_um)
    )
    return {number: what for number, what in known.items() if size.fits(what.text)}


def loose_of_size(
    connection: Connection, size: Size, beside: Collection[int] = ()
) -> tuple[list[Item], list[Item]]:
    """Give the loose items that are of a size, and the items ``beside``, of these numbers: in one
    go, for each reading asks a dozen tables.

    Which descriptions fit is asked first, and of all the lines only those that may be of these are
    read.
    """
    fitting = descriptions_fitting(connection, size)
    numbers = loose_described(connection, [n for n, what in fitting.items() if size.is_of(what)])
    if others := [number for number, what in fitting.items() if not size.is_of(what)]:
        threaded = (
            descriptions_threaded(connection, [size.thread])
            if size.thread or size.diameter_um is None
            else descriptions_across(connection, size.diameter_um)
        )
        near = [number for number, what in threaded.items() if size.is_of(what)]
        numbers |= loose_described(connection, others) & loose_described(connection, near)
    wanted = numbers.union(beside)
    found = read_items(connection, numbers=wanted, verdicts=False) if wanted else []
    # What no longer stands may have matched: an older name, an undone correction.
    return (
        [
            item
            for item in found
            if item.number in numbers and not item.step.number and size.is_met(item)
        ],
        [item for item in found if item.number in beside],
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
