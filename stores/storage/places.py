"""Places: bags, what is stowed in what, and where pieces were."""

from collections.abc import Collection
from functools import cache
from typing import Any

from sqlalchemy import Connection, bindparam, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, PlaceKind
from stores.storage.acts import reversed_acts
from stores.storage.balances import balances, of_numbers
from stores.storage.corrections import ASSEMBLIES, STEPS
from stores.storage.moment import answered
from stores.storage.seldom import has_rows
from stores.storage.tables import ActRow, MovementRow, PlaceRow
from stores.text import fold

__all__ = [
    "StowingRow",
    "assembly_paths",
    "bag_coded",
    "bag_codes",
    "firm_names",
    "firms_with_pieces",
    "has_place",
    "last_place",
    "pieces_at",
    "place_known",
    "place_names",
    "places_above",
    "places_and_insides",
    "places_inside",
    "read_insides",
    "sent_from",
    "stowed_in_a_ring",
    "stowed_places",
]


class StowingRow(SQLModel, table=True):
    """A bag put into a box, a box on to a shelf. The newest standing one counts."""

    __tablename__ = "stowing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    place_id: int = Field(foreign_key="place.id")
    inside_id: int | None = Field(default=None, foreign_key="place.id")


def bag_codes(connection: Connection) -> list[str]:
    """Return the codes of all bags there ever were."""
    rows = connection.execute(
        select(col(PlaceRow.name))
        .where(col(PlaceRow.kind) == PlaceKind.BAG.value)
        .order_by(col(PlaceRow.id))
    )
    return [name for (name,) in rows]


def bag_coded(connection: Connection, code: str) -> int | None:
    """Return the place that a bag of this code is, None if there never was one."""
    return answered(connection, "bag coded", code, lambda: _bag_coded(connection, code))


def _bag_coded(connection: Connection, code: str) -> int | None:
    found: int | None = connection.execute(
        _of_a_code(), {"kind": PlaceKind.BAG.value, "key": fold(code), "name": code}
    ).scalar()
    return found


@cache
def _of_a_code() -> Any:
    row = PlaceRow
    return select(col(row.id)).where(
        col(row.kind) == bindparam("kind"),
        col(row.key) == bindparam("key"),
        col(row.name) == bindparam("name"),
    )


def has_place(connection: Connection, kind: PlaceKind, name: str) -> bool:
    """Return whether there is, or was, a place of this kind and name."""
    found = connection.execute(
        select(col(PlaceRow.id)).where(
            col(PlaceRow.kind) == kind.value, col(PlaceRow.key) == fold(name)
        )
    )
    return found.first() is not None


def stowed_places(connection: Connection, *, bags: bool = False) -> list[str]:
    """Return the names of the boxes and shelves, with ``bags`` of the bags too, that an act in
    force has put something into."""
    kinds = [PlaceKind.BOX.value, PlaceKind.SHELF.value, *([PlaceKind.BAG.value] if bags else [])]
    gone = reversed_acts(connection)
    found: dict[str, None] = {}
    for table, to in (
        (MovementRow, col(MovementRow.to_place)),
        (StowingRow, col(StowingRow.inside_id)),
    ):
        rows: Any = connection.execute(
            select(col(PlaceRow.name), col(table.act_id))
            .join(PlaceRow, col(PlaceRow.id) == to)
            .where(col(PlaceRow.kind).in_(kinds))
            .distinct()
        )
        found |= dict.fromkeys(name for name, act in rows if act not in gone)
    return list(found)


def firm_names(connection: Connection) -> list[str]:
    """Return the names of the firms and suppliers there ever were."""
    kinds = (PlaceKind.FIRM.value, PlaceKind.BOUGHT.value)
    rows = connection.execute(
        select(col(PlaceRow.name)).where(col(PlaceRow.kind).in_(kinds)).order_by(col(PlaceRow.id))
    )
    return list(dict.fromkeys(name for (name,) in rows))


def assembly_paths(connection: Connection, machine: int) -> list[str]:
    """Return the paths of a machine's assemblies that something is of, and those above them."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(ASSEMBLIES.c.path, STEPS.c.act_id)
        .select_from(ASSEMBLIES)
        .join(STEPS, STEPS.c.assembly_id == ASSEMBLIES.c.id, isouter=True)
        .where(ASSEMBLIES.c.machine_id == machine)
        .order_by(ASSEMBLIES.c.id)
    )
    of_steps: dict[str, bool] = {}
    for path, act in rows:
        of_steps[path] = of_steps.get(path, False) or act is None or act not in gone
    kept: dict[str, None] = {}
    for path in (each for each, is_of in of_steps.items() if is_of):
        names = path.split(" / ")
        kept |= dict.fromkeys(" / ".join(names[:depth]) for depth in range(1, len(names) + 1))
    return list(kept)


def last_place(connection: Connection, machine: int) -> tuple[PlaceKind, str] | None:
    """Return the place that the small parts of the machine's last standing step went to."""
    gone = reversed_acts(connection)
    acts: Any = connection.execute(
        select(STEPS.c.act_id).where(STEPS.c.machine_id == machine).order_by(STEPS.c.number.desc())
    ).scalars()
    for act in [number for number in acts if number not in gone]:
        row: Any = connection.execute(
            select(col(PlaceRow.kind), col(PlaceRow.name))
            .join(MovementRow, col(MovementRow.to_place) == col(PlaceRow.id))
            .where(col(MovementRow.act_id) == act)
            .order_by(col(MovementRow.id).desc())
        ).first()
        if row:  # a step that a correction split off was put nowhere of its own
            return PlaceKind(row.kind), row.name
    return None


def firms_with_pieces(connection: Connection) -> list[str]:
    """Return the names of the firms where pieces are."""
    rows: Any = connection.execute(
        select(col(PlaceRow.id), col(PlaceRow.name))
        .where(col(PlaceRow.kind) == PlaceKind.FIRM.value)
        .order_by(col(PlaceRow.name))
    )
    return [name for number, name in rows if pieces_at(connection, number)]


def sent_from(
    connection: Connection, firm: int, items: Collection[int]
) -> dict[int, list[tuple[int, int]]]:
    """Return for each item where its pieces at a firm were sent from and how many, newest first."""
    gone = reversed_acts(connection)
    statement: Any = (
        select(
            col(MovementRow.act_id),
            col(MovementRow.item_id),
            col(MovementRow.from_place),
            col(MovementRow.quantity),
        )
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(col(MovementRow.to_place) == firm, col(ActRow.kind) == ActKind.SEND.value)
        .order_by(col(MovementRow.id).desc())
    )
    homes: dict[int, list[tuple[int, int]]] = {}
    for act, item, place, count in of_numbers(
        connection, statement, col(MovementRow.item_id), items
    ):
        if act not in gone:
            homes.setdefault(item, []).append((place, count))
    return homes


def first_bag(connection: Connection, items: Collection[int]) -> str:
    """Return the code of the bag that pieces of these items were put into first, empty for none."""
    gone = reversed_acts(connection)
    statement: Any = (
        select(col(MovementRow.id), col(MovementRow.act_id), col(PlaceRow.name))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(col(PlaceRow.kind) == PlaceKind.BAG.value)
    )
    rows = of_numbers(connection, statement, col(MovementRow.item_id), items)
    return min(((row.id, row.name) for row in rows if row.act_id not in gone), default=(0, ""))[1]


def _parents(connection: Connection, gone: frozenset[int]) -> dict[int, int | None]:
    if not has_rows(connection, "stowing"):
        return {}
    rows: Any = connection.execute(_rows_of_stowing())
    return {inner: outer for act, inner, outer in rows if act not in gone}


@cache
def _rows_of_stowing() -> Any:
    row = StowingRow
    return select(col(row.act_id), col(row.place_id), col(row.inside_id)).order_by(col(row.id))


def _above(parents: dict[int, int | None], place: int) -> set[int]:
    above: set[int] = set()
    walked = parents.get(place)
    while walked is not None and walked not in above:
        above.add(walked)
        walked = parents.get(walked)
    return above


def places_above(connection: Connection, gone: frozenset[int], place: int) -> set[int]:
    """Return the places that a place sits in, whatever they are called."""
    return _above(_parents(connection, gone), place)


def places_inside(connection: Connection, place: int) -> frozenset[int]:
    """Return a place with all that sits in it."""
    parents = _parents(connection, reversed_acts(connection))
    return frozenset({place, *(inner for inner in parents if place in _above(parents, inner))})


def place_known(connection: Connection, name: str) -> tuple[int, PlaceKind, str] | None:
    """Return the bag, box, shelf, bench or firm of this name, None if there is none."""
    kinds = [kind.value for kind in PlaceKind if kind.in_hand or kind is PlaceKind.FIRM]
    row: Any = connection.execute(
        select(col(PlaceRow.id), col(PlaceRow.kind), col(PlaceRow.name))
        .where(col(PlaceRow.key) == fold(name.removeprefix("the ")), col(PlaceRow.kind).in_(kinds))
        .order_by(col(PlaceRow.id))
    ).first()
    return (row.id, PlaceKind(row.kind), row.name) if row else None


def stowed_in_a_ring(connection: Connection) -> list[str]:
    """Return the places that sit inside themselves by way of others: there should be none."""
    parents = _parents(connection, reversed_acts(connection))
    ring = [place for place in parents if place in _above(parents, place)]
    names = place_names(connection, ring)
    return [names[place][1] for place in ring]


def pieces_at(connection: Connection, place: int) -> int:
    """Return how many pieces are at a place."""
    return sum(
        row.pieces for row in connection.execute(balances(None, place)) if row.place == place
    )


def read_insides(
    connection: Connection, gone: frozenset[int], places: Collection[int] | None = None
) -> dict[int, str]:
    """Return what each place, or these, sits in, from the inside out: ``box 3, shelf 2``.

    Places that sit in nothing are left out.
    """
    return places_and_insides(connection, gone, places)[1]


def places_and_insides(
    connection: Connection, gone: frozenset[int], places: Collection[int] | None = None
) -> tuple[dict[int, tuple[PlaceKind, str]], dict[int, str]]:
    """Return every place, or these and what they sit in, with kind and name; and what each sits in
    as `read_insides` does: one is not asked without the other where pieces are listed."""
    names: dict[int, tuple[PlaceKind, str]] = {}
    parents: dict[int, int | None] = {}
    asked = places
    while asked is None or asked:
        for place, kind, name, act, inside in of_numbers(
            connection, _rows_of_places_stowed(), col(PlaceRow.id), asked
        ):
            names[place] = (PlaceKind(kind), name)
            if act is not None and act not in gone:
                parents[place] = inside
        if asked is None:
            break
        asked = {inside for inside in parents.values() if inside is not None} - names.keys()
    chains: dict[int, str] = {}
    for place in parents:
        chain: list[str] = []
        walked = {place}
        inside = parents.get(place)
        while inside is not None and inside not in walked:
            walked.add(inside)
            chain.append(names[inside][1])
            inside = parents.get(inside)
        if chain:
            chains[place] = ", ".join(chain)
    return names, chains


@cache
def _rows_of_places_stowed() -> Any:
    return (
        select(
            col(PlaceRow.id),
            col(PlaceRow.kind),
            col(PlaceRow.name),
            col(StowingRow.act_id),
            col(StowingRow.inside_id),
        )
        .join(StowingRow, col(StowingRow.place_id) == col(PlaceRow.id), isouter=True)
        .order_by(col(StowingRow.id))
    )


def place_names(
    connection: Connection, places: Collection[int] | None = None
) -> dict[int, tuple[PlaceKind, str]]:
    """Return every place, or these, with kind and name."""
    rows = of_numbers(connection, _rows_of_places(), col(PlaceRow.id), places)
    return {number: (PlaceKind(kind), name) for number, kind, name in rows}


@cache
def _rows_of_places() -> Any:
    return select(col(PlaceRow.id), col(PlaceRow.kind), col(PlaceRow.name))
