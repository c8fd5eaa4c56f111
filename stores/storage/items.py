"""Items with their pieces, specifications and verdicts, as the rebuild sees them."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, select, union
from sqlmodel import col

from stores.errors import Hint, NotFound
from stores.model.items import RANKS_APART, Description, Holding, Item, Step, StoryLine
from stores.model.ledger import Condition, PlaceKind, Spot
from stores.model.renewals import renew_reason
from stores.storage.acts import reversed_acts
from stores.storage.balances import Wanted, among, balances, of_numbers, pieces_of
from stores.storage.carried import Changes, carried
from stores.storage.corrections import (
    ASSEMBLIES,
    ITEMS,
    MACHINES,
    STEPS,
    CorrectionRow,
    Tables,
    ever_corrected,
    perhaps,
    tables_of,
)
from stores.storage.machines import kept_for_parts
from stores.storage.mixups import MixedUp, ever_mixed_up, mixed_up_now
from stores.storage.moment import answered
from stores.storage.places import (
    bag_coded,
    place_names,
    places_and_insides,
    places_inside,
    read_insides,
)
from stores.storage.renewals import renew_choices, renew_rules
from stores.storage.seldom import has_rows
from stores.storage.tables import (
    ActRow,
    DescriptionRow,
    FindingRow,
    ItemRow,
    KeptSpareRow,
    MovementRow,
    SpecificationRow,
    WorkRow,
)
from stores.text import local_day

__all__ = [
    "DESCRIBED",
    "ITEM_TABLES",
    "OF_ALL",
    "described",
    "item_rows",
    "items_at",
    "items_of_bag",
    "items_of_machine",
    "items_of_step",
    "lines_beside",
    "loose_descriptions",
    "loose_in",
    "loose_numbered",
    "loose_serving",
    "mates",
    "newest_items",
    "of_machine",
    "read_findings",
    "read_items",
    "read_loose",
    "read_steps",
]


def read_items(
    connection: Connection,
    *,
    machine: int | None = None,
    numbers: Collection[int] | None = None,
    verdicts: bool = True,
    loose: bool = True,
) -> list[Item]:
    """Give the items that stand, with their pieces; of one machine, or those of these numbers.

    ``verdicts`` False leaves out what inspections said and what was done; ``loose`` False what is
    of no joint.
    """
    from stores.storage.strip import read_stacks  # a row class costs a millisecond: not before

    gone = reversed_acts(connection)
    found = [
        row
        for row in item_rows(connection, machine, numbers, loose=loose)
        if row.act_id not in gone
    ]
    # more than is needed is read, rather than one number after another written into a statement
    wanted: Wanted = {row.id for row in found}
    if numbers is None:
        wanted = None if machine is None else of_machine(machine, loose=loose)
    mixed = MixedUp()
    if not ever_mixed_up(connection).isdisjoint(row.id for row in found):
        mixed = mixed_up_now(connection, gone)
    donors = kept_for_parts(connection)
    rules, choices = renew_rules(connection, gone), renew_choices(connection, gone)
    holdings = _holdings(connection, wanted, gone, mixed)
    specified = _specifications(connection, wanted, gone)
    stories = _stories(connection, wanted, gone) if verdicts else {}
    kept: dict[int, bool] = {}
    loose_ones = {row.id for row in found if row.step_id is None}
    for each in of_numbers(connection, _rows_of_spares(), col(KeptSpareRow.item_id), loose_ones):
        if each.act_id not in gone:
            kept[each.item_id] = bool(each.stock) or kept.get(each.item_id, False)
    any_stacks = has_rows(connection, "layer")
    stacks = read_stacks(connection, wanted, gone) if any_stacks else {}
    steps = _steps(connection, found)
    result = []
    for row in found:
        of_none = row.step_id is None
        step = Step(0, "" if row.id in kept else row.machine) if of_none else steps[row.step_id]
        spec = specified.get(row.id) or _Specified(described(row), row.found, row.renew)
        named, quantity, renew = spec.what, spec.quantity, spec.renew
        as_found = spec.name_learnt or described(row)
        mixup = mixed.of(row.id) if mixed.mixed else None
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
                holdings=_on_its_machine(holdings.get(row.id, ()), row.machine),
                story=stories.get(row.id, ()),
                for_parts=row.machine_id in donors and row.step_id not in donors[row.machine_id],
                kept=row.id in kept,
                words=row.words if of_none else "",
                other=spec.other,
                learnt=spec.name_learnt is not None,
                stack=stacks.get(row.id),
                mixup=mixup.number if mixup else 0,
                mixed_with=mixed.fellows(row.id) if mixup else (),
                stock=kept.get(row.id, False),
                unit=row.unit,
                entered_for=row.machine if of_none else "",
                formerly=row.formerly,
            )
        )
    result.sort(key=_in_order)
    return result


@cache
def _rows_of_spares() -> Any:
    row = KeptSpareRow
    return select(col(row.act_id), col(row.item_id), col(row.stock))


_OF_ITEMS = frozenset(
    (
        "finding",
        "item",
        "kept_spare",
        "layer",
        "movement",
        "renew_choice",
        "specification",
        "still_on",
        "work_done",
    )
)
"""The tables whose rows are of one item and tell of it alone."""

OF_ALL = frozenset(
    ("correction", "machine", "mix_up", "mix_up_line", "renew_rule", "setting", "step_choice")
)
"""The tables whose rows tell of items that they do not name."""

ITEM_TABLES = _OF_ITEMS | OF_ALL | {"step", "stowing"}
"""The tables of acts that an item is read from."""

_FEW_ITEMS = 400
"""So many are read anew by their numbers; where more were touched, all are."""


def items_of_machine(
    connection: Connection, machine: int, *, verdicts: bool = True
) -> tuple[Item, ...]:
    """Give the items of a machine's joints as `read_items` does: of those that were read before,
    the ones that no act has touched since are the same objects."""

    def read(numbers: Collection[int] | None = None) -> tuple[Item, ...]:
        return tuple(
            read_items(connection, machine=machine, numbers=numbers, verdicts=verdicts, loose=False)
        )

    def mended(older: tuple[Item, ...], changes: Changes) -> tuple[Item, ...] | None:
        touched = _touched(connection, changes)
        if touched is None:
            return None
        anew = {item.number: item for item in read(touched)} if touched else {}
        kept = [item for item in older if item.number not in touched]
        if any(item.mixup for item in older if item.number in touched) or any(
            item.mixup for item in anew.values()
        ):
            return None  # what they are mixed up with tells of them
        return tuple(sorted([*kept, *anew.values()], key=_in_order)) if touched else older

    return carried(connection, "items", (machine, verdicts), ITEM_TABLES, read, mended)


def _touched(connection: Connection, changes: Changes) -> frozenset[int] | None:
    """Return which items may read another way by what came since, None for any."""
    if changes.within(OF_ALL):
        return None
    touched = changes.of(_OF_ITEMS)
    if moved := changes.of(("stowing",)):
        places: set[int] = set()
        for place in moved:
            places |= places_inside(connection, place)
        inside: Any = of_numbers(
            connection,
            select(col(MovementRow.item_id)).distinct(),
            col(MovementRow.to_place),
            places,
        )
        touched |= {row.item_id for row in inside}
    return touched if len(touched) <= _FEW_ITEMS else None


def _in_order(item: Item) -> tuple[str, int, int]:
    return item.step.machine, item.step.number, item.line


def items_of_bag(connection: Connection, code: str) -> list[Item]:
    """Give the items that are, or ever were, in the bag of this code."""
    return read_items(connection, numbers=_ever_in(connection, code))


def lines_beside(connection: Connection, code: str) -> frozenset[int]:
    """Give the numbers of the items that are, or ever were, in the bag of this code, and of all
    items of the steps that these are of. There may be more: they have to be looked at again."""
    return answered(connection, "beside", code, lambda: _lines_beside(connection, code))


def _lines_beside(connection: Connection, code: str) -> frozenset[int]:
    place = bag_coded(connection, code)
    if place is None:
        return frozenset()
    rows = connection.execute(_there_and_beside(), {"place": place}).all()
    lines = {row.id for row in rows}
    steps = {row.step_id for row in rows if row.step_id is not None}
    related, of = ever_corrected(connection).related(lines, steps)
    more = of_numbers(connection, _lines_of_steps(), col(ItemRow.step_id), of - steps)
    return related.union(row.id for row in more)


def _ever_in(connection: Connection, code: str) -> set[int]:
    place = bag_coded(connection, code)
    if place is None:
        return set()
    there = select(col(MovementRow.item_id)).where(col(MovementRow.to_place) == place)
    return set(connection.execute(there).scalars())


@cache
def _there_and_beside() -> Any:
    row: Any = ItemRow.__table__  # type: ignore[attr-defined]
    own = row.alias("own")
    # nothing leaves a bag that did not come into it
    there = col(MovementRow.to_place) == bindparam("place")
    moved = select(col(MovementRow.item_id)).where(there)
    steps = (
        select(own.c.step_id).join(MovementRow, col(MovementRow.item_id) == own.c.id).where(there)
    )
    return union(
        select(row.c.id, row.c.step_id).where(row.c.id.in_(moved)),
        select(row.c.id, row.c.step_id).where(row.c.step_id.in_(steps)),
    )


@cache
def _lines_of_steps() -> Any:
    return select(col(ItemRow.id))


def items_of_step(
    connection: Connection, machine: int, number: int, *, empty: bool = False
) -> list[Item]:
    """Give the items of one step, or with number 0 the loose ones, whatever machine they were
    entered for. ``empty``: there may be none, where nothing came off.

    Raises:
        NotFound: no such step stands.
    """
    if number:
        steps = [
            row.id
            for row in connection.execute(
                select(STEPS.c.id, STEPS.c.number, STEPS.c.machine_id).where(
                    STEPS.c.machine_id == machine, STEPS.c.number == number
                )
            )
        ]
        statement = select(ITEMS.c.id).where(
            ITEMS.c.machine_id == machine,
            ITEMS.c.id.in_(perhaps(ItemRow, "step_id", steps)),
            ITEMS.c.step_id.in_(steps),
        )
        listed: Any = connection.execute(statement).scalars().all()
        found = read_items(connection, numbers=listed)
    else:
        found = read_loose(connection)
    if not found and not empty:
        if not number:
            raise NotFound("no loose pieces")
        from stores.storage.story import step_rows

        if step_rows(connection, machine, [number]):
            raise NotFound("step taken back", step=number, hint=Hint("history"))
        raise NotFound("no such step", step=number, hint=Hint("history"))
    return found


def newest_items(connection: Connection, machine: int, *, steps: int) -> list[Item]:
    """Give the items of a machine's newest steps, so many of them, in order."""
    newest = (
        select(STEPS.c.id)
        .where(STEPS.c.machine_id == machine, STEPS.c.act_id.not_in(reversed_acts(connection)))
        .order_by(STEPS.c.number.desc())
        .limit(steps)
    )
    rows = select(col(ItemRow.id)).where(col(ItemRow.step_id).in_(newest))
    numbers = {number for number in connection.execute(rows).scalars() if number is not None}
    return read_items(connection, numbers=numbers, verdicts=False) if numbers else []


def read_loose(
    connection: Connection,
    *,
    verdicts: bool = True,
    descriptions: Collection[int] | None = None,
    only: bool = False,
) -> list[Item]:
    """Give all loose items: the workshop's stock, and what is of unknown origin.

    With ``descriptions``, of the workshop's stock those of these alone, as found or as specified;
    with ``only``, nothing but these.
    """
    loose = select(col(ItemRow.id)).where(col(ItemRow.step_id).is_(None))
    if descriptions is None:
        rows: Any = connection.execute(loose).scalars().all()
        return read_items(connection, numbers=rows, verdicts=verdicts)
    specified = loose.join(SpecificationRow, col(SpecificationRow.item_id) == col(ItemRow.id))
    statements: tuple[Any, ...] = (
        loose.where(among(col(ItemRow.description_id), descriptions)),
        specified.where(among(col(SpecificationRow.description_id), descriptions)),
    )
    numbers: set[int] = set()
    for statement in statements:
        numbers.update(connection.execute(statement).scalars())
    if not only:
        stock = select(col(KeptSpareRow.item_id)).where(col(KeptSpareRow.stock) == 1)
        own: Any = connection.execute(loose.where(col(ItemRow.id).not_in(stock))).scalars()
        numbers.update(own)
    return read_items(connection, numbers=numbers, verdicts=verdicts)


def loose_numbered(connection: Connection, line: str) -> list[Item]:
    """Give the loose item of a number, as typed; none where there is no such."""
    if len(line) > 9:
        return []
    lines = perhaps(ItemRow, "line", [int(line)])
    return _loose_among(connection, ITEMS.c.id.in_(lines), ITEMS.c.line == int(line))


def loose_in(connection: Connection, like: Callable[[str], bool]) -> list[Item]:
    """Give the loose items that are, or ever were, in places that are ``like`` this, each by its
    name with what it sits in, from the inside out."""
    gone = reversed_acts(connection)
    inside = read_insides(connection, gone)
    places = {
        number
        for number, (_, name) in place_names(connection).items()
        if like(f"{name} {inside.get(number, '')}")
    }
    rows = of_numbers(
        connection, select(col(MovementRow.item_id)), col(MovementRow.to_place), places
    )
    numbers = {row.item_id for row in rows}
    found = read_items(connection, numbers=numbers, verdicts=False) if numbers else []
    return [item for item in found if not item.step.number]


def _loose_among(connection: Connection, *conditions: Any) -> list[Item]:
    rows: Any = connection.execute(select(ITEMS.c.id).where(*conditions, ITEMS.c.step_id.is_(None)))
    numbers = {row.id for row in rows}
    return read_items(connection, numbers=numbers, verdicts=False) if numbers else []


def loose_serving(connection: Connection, descriptions: Collection[int]) -> list[Item]:
    """Give the loose items as `read_loose` does, with these descriptions of the workshop's stock;
    those that were read before, where no act has touched a loose one since."""

    def mended(older: tuple[Item, ...], changes: Changes) -> tuple[Item, ...] | None:
        touched = _touched(connection, changes)
        if touched is None or any(item.number in touched for item in older):
            return None
        loose = select(col(ItemRow.id)).where(
            col(ItemRow.step_id).is_(None), col(ItemRow.id).in_(touched)
        )
        return None if touched and connection.execute(loose).first() else older

    def read() -> tuple[Item, ...]:
        return tuple(read_loose(connection, descriptions=descriptions))

    key = frozenset(descriptions)
    listed = carried(connection, "loose items", key, ITEM_TABLES, read, mended)
    return list(listed)


def loose_descriptions(connection: Connection) -> dict[int, tuple[str, str]]:
    """Return the descriptions of loose items, as found or as specified: text and thread."""
    return carried(
        connection,
        "loose descriptions",
        "",
        ("item", "specification"),
        lambda: _loose_descriptions(connection),
    )


def _loose_descriptions(connection: Connection) -> dict[int, tuple[str, str]]:
    loose = col(ItemRow.step_id).is_(None)
    row = DescriptionRow
    columns = (col(row.id), col(row.text), col(row.thread))
    found: Any = connection.execute(
        select(*columns)
        .where(col(row.id).in_(select(col(ItemRow.description_id)).where(loose).distinct()))
        .union(
            select(*columns).where(
                col(row.id).in_(
                    select(col(SpecificationRow.description_id))
                    .join(ItemRow, col(ItemRow.id) == col(SpecificationRow.item_id))
                    .where(loose)
                    .distinct()
                )
            )
        )
    )
    return {number: (text, thread) for number, text, thread in found}


def items_at(connection: Connection, place: int) -> list[Item]:
    """Give the items with pieces at a place."""
    held: Any = connection.execute(balances(None, place))
    return read_items(connection, numbers={row.item for row in held if row.place == place})


def mates(connection: Connection, item: Item) -> list[Item]:
    """Give the items of the same assembly, its own step first."""
    step: Any = connection.execute(
        select(ITEMS.c.step_id, ITEMS.c.machine_id).where(ITEMS.c.id == item.number)
    ).one()
    if step.step_id is None:
        return []
    path = (
        select(ASSEMBLIES.c.path, ASSEMBLIES.c.machine_id)
        .select_from(ASSEMBLIES)
        .join(STEPS, STEPS.c.assembly_id == ASSEMBLIES.c.id)
        .where(STEPS.c.id == step.step_id)
    ).subquery()
    steps: Any = (
        connection.execute(
            select(STEPS.c.id)
            .select_from(STEPS)
            .join(ASSEMBLIES, ASSEMBLIES.c.id == STEPS.c.assembly_id)
            .join(
                path, and_(path.c.path == ASSEMBLIES.c.path, STEPS.c.machine_id == step.machine_id)
            )
        )
        .scalars()
        .all()
    )
    listed: Any = connection.execute(
        select(ITEMS.c.id).where(
            ITEMS.c.id.in_(perhaps(ItemRow, "step_id", steps)), ITEMS.c.step_id.in_(steps)
        )
    ).scalars()
    found = read_items(connection, numbers=list(listed))
    return sorted(found, key=lambda mate: (mate.step.number != item.step.number, mate.number))


def item_rows(
    connection: Connection,
    machine: int | None,
    numbers: Collection[int] | None,
    *,
    loose: bool = True,
) -> list[Row[Any]]:
    """Read the items with their descriptions, also those that no longer stand."""
    if machine is None and loose and numbers is not None:
        return [
            row
            for tables, mine in tables_of(connection, "item", numbers)
            for row in of_numbers(
                connection, _rows_of_items(tables.items, tables.machines), tables.items.c.id, mine
            )
        ]
    statement = _rows_of_items(ITEMS, MACHINES)
    if machine is not None:
        statement = statement.where(
            ITEMS.c.id.in_(of_machine(machine, loose=loose)), ITEMS.c.machine_id == machine
        )
    if not loose:
        statement = statement.where(ITEMS.c.step_id.is_not(None))
    return of_numbers(connection, statement, ITEMS.c.id, numbers)


@cache
def _rows_of_items(items: Any, machines: Any) -> Any:
    return (
        select(
            items.c.id,
            items.c.act_id,
            items.c.step_id,
            items.c.machine_id,
            items.c.line,
            items.c.found,
            items.c.written,
            items.c.position,
            items.c.words,
            items.c.unit,
            items.c.formerly,
            *DESCRIBED,
            machines.c.name.label("machine"),
        )
        .select_from(items)
        .join(DescriptionRow, col(DescriptionRow.id) == items.c.description_id)
        .join(machines, machines.c.id == items.c.machine_id)
    )


def of_machine(machine: int, *, loose: bool) -> Any:
    """Return the statement of the rows that are, or ever were, a machine's, and perhaps more;
    without ``loose`` none of the stock that was entered at it, however much that is."""
    if loose:
        return perhaps(ItemRow, "machine_id", [machine])
    row: Any = ItemRow.__table__  # type: ignore[attr-defined]
    put: Any = CorrectionRow.__table__.alias()  # type: ignore[attr-defined]
    corrected = select(put.c.subject_id).where(put.c.subject == row.name)
    return union(
        select(row.c.id).where(row.c.machine_id == machine, row.c.step_id.is_not(None)),
        corrected.where(put.c.field == "machine_id", put.c.number == machine),
        corrected.where(put.c.field == "step_id"),
    )


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
    return _description(
        row.text, row.kind, row.renew, row.thread, row.diameter_um, row.length_um, row.head
    )


_description = lru_cache(maxsize=4096)(Description)
"""One and the same for all rows of it: a machine has a few hundred, on thousands of lines."""


def read_steps(connection: Connection, numbers: Collection[int]) -> dict[int, Step]:
    """Return the steps of these rows, by row; also those that no longer stand."""
    return {
        row.id: Step(
            row.number,
            row.machine,
            row.path,
            row.part,
            local_day(row.happened_at),
            row.note,
            row.hazard,
            None if row.rank == row.number * RANKS_APART else row.rank,
        )
        for tables, mine in tables_of(connection, "step", numbers)
        for row in of_numbers(connection, _rows_of_steps(tables), tables.steps.c.id, mine)
    }


@cache
def _rows_of_steps(tables: Tables) -> Any:
    steps, assemblies, machines = tables.steps, tables.assemblies, tables.machines
    return (
        select(steps, assemblies.c.path, machines.c.name.label("machine"))
        .select_from(steps)
        .join(assemblies, assemblies.c.id == steps.c.assembly_id)
        .join(machines, machines.c.id == steps.c.machine_id)
    )


def _steps(connection: Connection, items: Collection[Row[Any]]) -> dict[int, Step]:
    return read_steps(connection, {row.step_id for row in items if row.step_id is not None})


def _holdings(
    connection: Connection,
    wanted: Wanted,
    gone: frozenset[int],
    mixed: MixedUp,
) -> dict[int, list[Holding]]:
    pieces = pieces_of(connection, wanted)
    held = {place for _, place, _, _ in pieces}
    places, chains = places_and_insides(connection, gone, held)
    why: dict[tuple[int, str], Any] = {}
    if any(kind is PlaceKind.STUCK for kind, _ in places.values()):
        from stores.storage.stuck import why_still_on

        why = why_still_on(connection, wanted, gone)
    result: dict[int, list[Holding]] = {}
    doubtful = {key: count for each in mixed.mixed for key, count in each.pieces.items()}
    order = {condition: at for at, condition in enumerate(Condition)}
    pieces.sort(key=lambda entry: (entry[0], entry[1], order[entry[2]]))
    for item, place, condition, count in pieces:
        kind, name = places[place]
        said = why.get((item, condition.value)) if kind is PlaceKind.STUCK else None
        doubt = doubtful.get((item, Spot(place, condition)), 0) if doubtful else 0
        result.setdefault(item, []).append(
            Holding(
                count,
                name,
                kind,
                condition,
                chains.get(place, ""),
                said.how if said else "",
                said.hole if said else "",
                max(0, min(count, doubt)),
            )
        )
    return result


@dataclass(frozen=True, slots=True)
class _Specified:
    """What should be at a joint; the name that was learnt for what was found there."""

    what: Description
    quantity: int
    renew: str
    name_learnt: Description | None = None
    other: bool = False


def _on_its_machine(holdings: Sequence[Holding], machine: str) -> tuple[Holding, ...]:
    """Return holdings with the machine as it is called now: its places have the name of their day,
    and a line that was put right may have one of each."""
    own = (PlaceKind.MACHINE, PlaceKind.CAME)
    if all(holding.place == machine or holding.kind not in own for holding in holdings):
        return tuple(holding for holding in holdings if holding.quantity)
    found: dict[Holding, int] = {}
    for holding in holdings:
        named = holding.kind in own
        key = replace(holding, quantity=0, place=machine if named else holding.place)
        found[key] = found.get(key, 0) + holding.quantity
    return tuple(replace(key, quantity=count) for key, count in found.items() if count)


def _specifications(
    connection: Connection, wanted: Wanted, gone: frozenset[int]
) -> dict[int, _Specified]:
    rows = of_numbers(connection, _rows_of_specifications(), col(SpecificationRow.item_id), wanted)
    names: dict[int, list[Description]] = {}
    newest: dict[int, _Specified] = {}
    known: dict[int, Description] = {}
    for row in rows:
        act, item, number, quantity, renewed, same = row[:6]
        if act in gone:
            continue
        what = known.get(number)
        if what is None:
            what = known[number] = described(row)
        learnt = names.setdefault(item, [])
        if same:
            learnt.append(what)
        elif same == 0 and learnt and learnt[-1] == what:
            learnt.pop()  # not its name after all
        newest[item] = _Specified(
            what, quantity, renewed, learnt[-1] if learnt else None, same == 0
        )
    return newest


@cache
def _rows_of_specifications() -> Any:
    return (
        select(
            col(SpecificationRow.act_id),
            col(SpecificationRow.item_id),
            col(SpecificationRow.description_id),
            col(SpecificationRow.quantity),
            col(SpecificationRow.renew).label("renewed"),
            col(SpecificationRow.same),
            *DESCRIBED,
        )
        .join(DescriptionRow, col(DescriptionRow.id) == col(SpecificationRow.description_id))
        .order_by(col(SpecificationRow.id))
    )


def _stories(
    connection: Connection, wanted: Wanted, gone: frozenset[int]
) -> dict[int, tuple[StoryLine, ...]]:
    """Return by item what inspections said and what was done, the oldest first; where a correction
    has said the verdicts anew, those from then on."""
    since = _judged_anew(connection, gone)
    told: dict[int, list[tuple[int, int, StoryLine]]] = {}
    for row in of_numbers(connection, _rows_of_findings(), col(FindingRow.item_id), wanted):
        if row.act_id not in gone and row.act_id >= since.get(row.item_id, 0):
            line = StoryLine(
                local_day(row.happened_at),
                row.quantity,
                row.reason,
                Condition(row.condition),
                measured_nm=row.measured_nm,
                limit_nm=row.limit_nm,
            )
            told.setdefault(row.item_id, []).append((row.act_id, row.id, line))
    any_done = has_rows(connection, "work_done")
    done = of_numbers(connection, _rows_of_work(), col(WorkRow.item_id), wanted) if any_done else ()
    for row in done:
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


@cache
def _rows_of_findings() -> Any:
    return (
        select(
            col(FindingRow.act_id),
            col(FindingRow.item_id),
            col(FindingRow.id),
            col(FindingRow.quantity),
            col(FindingRow.condition),
            col(FindingRow.reason),
            col(FindingRow.measured_nm),
            col(FindingRow.limit_nm),
            col(ActRow.happened_at),
        )
        .select_from(FindingRow)
        .join(ActRow, col(ActRow.id) == col(FindingRow.act_id))
    )


@cache
def _rows_of_work() -> Any:
    return (
        select(
            col(WorkRow.act_id),
            col(WorkRow.item_id),
            col(WorkRow.quantity),
            col(WorkRow.what),
            col(WorkRow.done_by),
            col(WorkRow.measured),
            col(ActRow.happened_at),
        )
        .select_from(WorkRow)
        .join(ActRow, col(ActRow.id) == col(WorkRow.act_id))
    )


def _judged_anew(connection: Connection, gone: frozenset[int]) -> dict[int, int]:
    """Return by item the newest standing correction that said its verdicts anew."""
    return {item: act for item, act in ever_corrected(connection).judged if act not in gone}


def read_findings(connection: Connection, item: int) -> list[tuple[Condition, StoryLine]]:
    """Return what inspections said of an item and still stands, the oldest first, each by its
    verdict."""
    story = _stories(connection, [item], reversed_acts(connection)).get(item, ())
    return [(line.condition, line) for line in story if line.condition is not None]
