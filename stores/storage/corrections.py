"""Corrections: the newest word on a fact, and the record as it reads with them.

A correction says what was true all along. It is a row of its own, by subject, field and the act
that brought it: what was written first stays in its table, for the history, and undoing the act
brings the word before it back. ``MACHINES``, ``ASSEMBLIES``, ``STEPS`` and ``ITEMS`` are the tables
as they read with every correction in force. Whoever reads the record reads these; the rows of
`stores.storage.tables` are for writing, and for the history of a fact.

Everything is worked out by the database in the statement that asks, so that no reader can forget
it. Which acts no longer stand is worked out there too: a chain of reversals, each of the one
before, leaves an act in force where their number is even, as `stores.model.ledger.fallen_acts` says
of numbers that are in hand.

Two steps or two lines that were joined: the second reads as the first from then on, so that what
was filed under it, a picture or a snag, is found there.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from sqlalchemy import Connection, Integer, Row, Text, and_, column, select, text, union
from sqlmodel import Field, SQLModel, col

from stores.model.items import RANKS_APART
from stores.model.ledger import fallen_acts
from stores.planning.audit import Fault
from stores.storage.as_read import (
    FALLEN,
    JOINED_STEPS,
    PATH,
    THERE,
    as_read,
    as_written,
    newest,
)
from stores.storage.balances import among, of_numbers
from stores.storage.carried import carried
from stores.storage.seldom import has_rows
from stores.storage.tables import (
    ActRow,
    FindingRow,
    ItemRow,
    MovementRow,
    StepRow,
)
from stores.text import fold

__all__ = [
    "ASSEMBLIES",
    "EVERY_ITEM",
    "FALLEN",
    "ITEMS",
    "MACHINES",
    "STEPS",
    "Corrected",
    "CorrectionRow",
    "Tables",
    "builds_on",
    "corrected_in",
    "correction_faults",
    "counts_found",
    "ever_corrected",
    "given_numbers",
    "hangs_on",
    "items_corrected_to",
    "lines_now",
    "perhaps",
    "perhaps_read_as",
    "step_numbered_then",
    "steps_now",
    "tables_of",
]


class CorrectionRow(SQLModel, table=True):
    """One fact put right: of a machine, an assembly, a step or an item, its field and new value.

    ``text`` or ``number`` is the value, by field; ``folded`` is what ``find`` looks through.
    """

    __tablename__ = "correction"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    subject: str
    subject_id: int
    field: str
    text: str = ""
    number: int | None = None
    folded: str = ""


def _as_read(subject: str, table: str, *, name: str, written: bool = False, **said: Any) -> Any:
    """Return a table as it reads now: columns as written, or as newly put right, and ``more``;
    ``written`` for rows that nothing was put right of.

    The statement is text: as an expression it took SQLAlchemy longer to walk through at each use
    than the database to answer (178 ms a search by measurement, against 65).
    """
    statement, columns = as_read(subject, table, **said)
    if written:
        statement = as_written(statement)
    whole = {"id", "as_id", "act_id", "found", "line", "rank", "number"}
    typed = [
        column(each, Integer if each in whole or each.endswith("_id") else Text) for each in columns
    ]
    return text(statement).columns(*typed).subquery(name)


def _machines(*, written: bool = False) -> Any:
    return _as_read(
        "machine",
        "machine",
        words=("name", "maker", "model", "year", "note"),
        name="machines",
        written=written,
    )


def _assemblies(*, written: bool = False) -> Any:
    return _as_read(
        "assembly",
        "assembly",
        kept=("machine_id", "parent_id"),
        words=("name",),
        more={"path": PATH},
        name="assemblies",
        written=written,
    )


def _steps(*, written: bool = False) -> Any:
    return _as_read(
        "step",
        "step",
        words=("part", "note", "hazard"),
        numbers=("machine_id", "number", "assembly_id"),
        more={
            "as_id": "t.id",
            "rank": f"coalesce({newest('step', 't.id', 'rank', 'number')}, "
            f"t.number * {RANKS_APART})",
            "happened_at": f"coalesce({newest('step', 't.id', 'happened_at', 'text')}, "
            "(SELECT a.happened_at FROM act a WHERE a.id = t.act_id))",
            "reverse": newest("step", "t.id", "reverse", "text"),
        },
        source=JOINED_STEPS,
        name="steps",
        written=written,
    )


def _items(where: str, name: str, *, written: bool = False) -> Any:
    return _as_read(
        "item",
        "item",
        kept=("act_id", "words", "unit", "formerly"),
        words=("written", "position"),
        numbers=("machine_id", "step_id", "line", "description_id", "found"),
        where=where,
        name=name,
        written=written,
    )


MACHINES = _machines()
"""The machines as they read now, with the columns of their table."""

ASSEMBLIES = _assemblies()
"""The assemblies as they read now; two that were made one have the same path.

A path is written once on a machine. Where one was put right, and its first name is given to another
assembly, that one is written with a stroke behind it, which no name has."""

STEPS = _steps()
"""The steps as they read now. ``rank`` is the order in which they came off, ``happened_at`` when.
``reverse`` is how a job is undone, where that was put right.
One that was joined to another reads as that one, ``as_id``, under its own ``id``."""

ITEMS = _items(THERE, "items")
"""The lines as they read now, without those that were joined to another or never were."""

EVERY_ITEM = _items("", "every_item")
"""The lines as they read now, with those that were joined to another or never were:
they hold no pieces."""


@dataclass(frozen=True, eq=False)
class Tables:
    """The tables as they read now."""

    machines: Any
    assemblies: Any
    steps: Any
    items: Any


_AS_READ = Tables(MACHINES, ASSEMBLIES, STEPS, ITEMS)
_AS_WRITTEN = Tables(
    _machines(written=True),
    _assemblies(written=True),
    _steps(written=True),
    _items("", "items", written=True),
)


@cache
def _tables(machines: Any, assemblies: Any, rows: Tables) -> Tables:
    return Tables(machines, assemblies, rows.steps, rows.items)


def tables_of(
    connection: Connection, subject: str, numbers: Collection[int]
) -> list[tuple[Tables, Collection[int]]]:
    """Return by which tables these rows of a subject are read. What nothing was ever put right of
    reads as it was written, and a database is asked in a third as many words."""
    ever = ever_corrected(connection).rows
    machines = (_AS_READ if ever.get("machine") else _AS_WRITTEN).machines
    assemblies = (_AS_READ if ever.get("assembly") else _AS_WRITTEN).assemblies
    corrected = ever.get(subject, frozenset()).intersection(numbers)
    parts = [(_AS_WRITTEN, set(numbers) - corrected), (_AS_READ, corrected)]
    return [(_tables(machines, assemblies, rows), mine) for rows, mine in parts if mine]


def steps_now(connection: Connection, steps: Collection[int]) -> dict[int, Row[Any]]:
    """Return how steps, by row, read now: ``number``, ``machine_id``, the act that wrote each down,
    and the step ``as_id`` that it reads as.

    Rows that hang on steps or lines are read first, and these by their numbers: joined from
    outside, a table as it reads now is made whole first, and is long to say to a database.
    """
    return {
        row.id: row
        for tables, mine in tables_of(connection, "step", steps)
        for row in of_numbers(connection, _steps_now(tables), tables.steps.c.id, mine)
    }


def lines_now(connection: Connection, lines: Collection[int]) -> dict[int, Row[Any]]:
    """Return how lines, by row, read now: ``line``, ``step_id`` and ``machine_id``, and the act
    that wrote each down."""
    return {
        row.id: row
        for tables, mine in tables_of(connection, "item", lines)
        for row in of_numbers(connection, _lines_now(tables), tables.items.c.id, mine)
    }


@cache
def _steps_now(tables: Tables) -> Any:
    steps = tables.steps
    return select(steps.c.id, steps.c.number, steps.c.machine_id, steps.c.act_id, steps.c.as_id)


@cache
def _lines_now(tables: Tables) -> Any:
    items = tables.items
    return select(items.c.id, items.c.act_id, items.c.machine_id, items.c.line, items.c.step_id)


@dataclass(frozen=True)
class Corrected:
    """What was ever put right, also where that stands no longer.

    ``rows`` are by subject. ``lines`` are the steps that lines ever came to, ``joined`` those that
    steps were ever made one with. ``judged`` are lines whose verdicts were said anew, each with the
    act.
    """

    rows: Mapping[str, frozenset[int]] = field(default_factory=dict)
    lines: Mapping[int, frozenset[int]] = field(default_factory=dict)
    joined: Mapping[int, frozenset[int]] = field(default_factory=dict)
    judged: tuple[tuple[int, int], ...] = ()

    def related(
        self, lines: Collection[int], steps: Collection[int]
    ) -> tuple[frozenset[int], frozenset[int]]:
        """Return these lines and steps, as they were written, with all steps that read, or ever
        read, as these or as those of the lines, and the lines that came to them."""
        mine, found = set(lines), set(steps)
        before = -1
        while before < len(mine) + len(found):
            before = len(mine) + len(found)
            for line, to in self.lines.items():
                if line in mine:
                    found |= to
                elif not to.isdisjoint(found):
                    mine.add(line)
            for step, to in self.joined.items():
                if step in found or not to.isdisjoint(found):
                    found |= {step, *to}
        return frozenset(mine), frozenset(found)


def ever_corrected(connection: Connection) -> Corrected:
    """Return what was ever put right."""
    if not has_rows(connection, "correction"):
        return Corrected()
    return carried(
        connection, "corrected", "", ("correction",), lambda: _ever_corrected(connection)
    )


def _ever_corrected(connection: Connection) -> Corrected:
    rows: dict[str, set[int]] = {}
    steps_of: dict[tuple[str, str], dict[int, set[int]]] = {}
    judged: list[tuple[int, int]] = []
    for act, subject, number, of, to in connection.execute(
        text("SELECT act_id, subject, subject_id, field, number FROM correction ORDER BY id")
    ):
        rows.setdefault(subject, set()).add(number)
        if (subject, of) in _NAMES_A_STEP and to is not None:
            steps_of.setdefault((subject, of), {}).setdefault(number, set()).add(to)
        elif (subject, of) == ("item", "verdict"):
            judged.append((number, act))
    lines, joined = (
        {number: frozenset(to) for number, to in steps_of.get(each, {}).items()}
        for each in (("item", "step_id"), ("step", "joined"))
    )
    return Corrected(
        {subject: frozenset(numbers) for subject, numbers in rows.items()},
        lines,
        joined,
        tuple(judged),
    )


def perhaps(table: type[SQLModel], field: str, values: Any) -> Any:
    """Return the statement of the rows' numbers that were written, or ever corrected, to values.

    The columns of a table as it reads now are worked out, and no index knows them: this narrows a
    search down by the indexes that there are. What it gives has to be looked at again.
    """
    rows: Any = table.__table__  # type: ignore[attr-defined]
    row: Any = CorrectionRow.__table__.alias()  # type: ignore[attr-defined]
    return union(
        select(rows.c.id).where(rows.c[field].in_(values)),
        select(row.c.subject_id).where(
            row.c.subject == rows.name, row.c.field == field, row.c.number.in_(values)
        ),
    )


def perhaps_read_as(connection: Connection, steps: Collection[int]) -> set[int]:
    """Return the rows of steps that read, or ever read, as steps of these numbers, on any machine:
    those that were joined to such a step too. They have to be looked at again."""
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    numbered = set(connection.execute(perhaps(StepRow, "number", steps)).scalars())
    joined = select(row.c.subject_id).where(
        row.c.subject == "step", row.c.field == "joined", row.c.number.in_(numbered)
    )
    return numbered | set(connection.execute(joined).scalars())


def items_corrected_to(connection: Connection, like: str) -> set[int]:
    """Return the items that were ever corrected to words like these: the line itself, the step that
    it is of, or the step's assembly. What this gives has to be looked at again."""
    row = CorrectionRow
    numbers: dict[str, set[int]] = {"machine": set(), "assembly": set(), "step": set()}
    numbers["item"] = set()
    for subject, number in connection.execute(
        select(col(row.subject), col(row.subject_id)).where(col(row.folded).like(like, escape="\\"))
    ):
        numbers[subject].add(number)
    steps = numbers["step"]
    if numbers["assembly"]:
        steps |= set(
            connection.execute(
                select(STEPS.c.id).where(STEPS.c.assembly_id.in_(numbers["assembly"]))
            ).scalars()
        )
    if steps:
        of_steps = select(STEPS.c.id).where(STEPS.c.as_id.in_(steps))
        rows = sorted(set(connection.execute(of_steps).scalars()))
        found = connection.execute(perhaps(ItemRow, "step_id", rows)).scalars()
        return numbers["item"] | set(found)
    return numbers["item"]


def counts_found(connection: Connection, items: Collection[int]) -> dict[int, int]:
    """Return how many were found of those of these lines that stand and are of a step."""
    from stores.storage.acts import standing

    statement = select(EVERY_ITEM.c.id, EVERY_ITEM.c.found, EVERY_ITEM.c.act_id).where(
        EVERY_ITEM.c.id.in_(items), EVERY_ITEM.c.step_id.is_not(None)
    )
    return {row.id: row.found for row in standing(connection, statement)}


def given_numbers(connection: Connection, subject: str, owner: int | None) -> list[int]:
    """Return the numbers that corrections ever gave to steps that came to a machine, or to lines
    that came to a step: none is used again. Begins with 0."""
    field, to = ("number", "machine_id") if subject == "step" else ("line", "step_id")
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    came = row.alias()
    rows: Any = connection.execute(
        select(row.c.number)
        .select_from(row)
        .join(
            came,
            and_(
                came.c.act_id == row.c.act_id,
                came.c.subject == row.c.subject,
                came.c.subject_id == row.c.subject_id,
                came.c.field == to,
            ),
        )
        .where(row.c.subject == subject, row.c.field == field, came.c.number == owner)
    ).scalars()
    return [0, *rows]


def step_numbered_then(connection: Connection, beside: int, number: int, act: int) -> int | None:
    """Return the row of the step that had a number when an act was written, on the machine that the
    step ``beside`` was of then; None where there was none. No number of a machine is used twice."""
    reversals = {
        row.id: row.reverses
        for row in connection.execute(
            select(col(ActRow.id), col(ActRow.reverses)).where(
                col(ActRow.reverses).is_not(None), col(ActRow.id) < act
            )
        )
    }
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    moved = list(
        connection.execute(
            select(row.c.act_id, row.c.subject_id, row.c.field, row.c.number)
            .where(row.c.subject == "step", row.c.field.in_(("machine_id", "number")))
            .order_by(row.c.id)
        )
    )
    gone = fallen_acts(reversals)
    machines = [
        each.number
        for each in moved
        if (each.subject_id, each.field) == (beside, "machine_id")
        and each.act_id < act
        and each.act_id not in gone
    ]
    steps: Any = StepRow.__table__  # type: ignore[attr-defined]
    written = select(steps.c.id, steps.c.machine_id, steps.c.number)
    known = {each.id: (each.machine_id, each.number) for each in connection.execute(written)}
    machine = machines[-1] if machines else known[beside][0]
    given: dict[tuple[int, int], dict[str, int]] = {}
    for each in moved:
        given.setdefault((each.subject_id, each.act_id), {})[each.field] = each.number
    for (step, _), facts in given.items():
        if (facts.get("machine_id"), facts.get("number")) == (machine, number):
            return step
    return next((step for step, at in known.items() if at == (machine, number)), None)


_OF_THE_LINE = frozenset(("correction", "finding", "item", "movement", "specification"))


def hangs_on(connection: Connection, subject: str, numbers: Collection[int]) -> tuple[str, ...]:
    """Return which standing rows name these steps or items beside the lines, pieces and verdicts
    that go along with them: the names of their tables."""
    from sqlalchemy import MetaData

    from stores.storage.acts import reversed_acts

    reversed_numbers = reversed_acts(connection)
    known = MetaData()
    known.reflect(connection)
    names = []
    for table in known.sorted_tables:
        if table.name in _OF_THE_LINE or "act_id" not in table.c:
            continue
        for key in table.foreign_keys:
            if key.column.table.name != subject:
                continue
            acts = connection.execute(select(table.c.act_id).where(key.parent.in_(numbers)))
            if any(act not in reversed_numbers for act in acts.scalars()):
                names.append(table.name)
    return tuple(dict.fromkeys(names))


def builds_on(connection: Connection, act: int) -> list[int]:
    """Return the later standing acts that an act, or the one that it undid, cannot go, or come
    back, without: they correct the same fact, speak of a step that it made, or of a line in it.

    ``act`` is the first of its chain of reversals. The newest comes first.
    """
    from stores.storage.acts import reversed_acts

    gone = reversed_acts(connection)
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    rows = list(connection.execute(select(row).order_by(row.c.id)))
    later = [each for each in rows if each.act_id > act and each.act_id not in gone]
    facts = {(one.subject, one.subject_id, one.field) for one in rows if one.act_id == act}
    judged = _numbers(connection, FindingRow, "item_id", act)
    facts |= {("item", number, "verdict") for number in judged}
    # A line that was handed to another step, or made one with another line, is of that one too.
    born = _numbers(connection, ItemRow, "id", act)
    facts |= {("item", number, field) for number in born for field in ("step_id", "joined")}
    made = _numbers(connection, StepRow, "id", act)
    facts |= {("step", number, "joined") for number in made}
    found = {
        each.act_id
        for each in later
        if (each.subject, each.subject_id, each.field) in facts
        or ((each.subject, each.field) in _NAMES_A_STEP and each.number in made)
        or ((each.subject, each.field) == ("item", "joined") and each.number in born)
    }
    if made:
        lines = connection.execute(
            select(ItemRow.__table__.c.act_id).where(col(ItemRow.step_id).in_(made))  # type: ignore[attr-defined]
        ).scalars()
        found |= {number for number in lines if number > act and number not in gone}
    return sorted(found, reverse=True)


_NAMES_A_STEP = frozenset((("item", "step_id"), ("step", "joined")))


def _numbers(connection: Connection, table: type[SQLModel], field: str, act: int) -> set[int]:
    rows: Any = table.__table__  # type: ignore[attr-defined]
    return set(connection.execute(select(rows.c[field]).where(rows.c.act_id == act)).scalars())


def corrected_in(connection: Connection, subject: str, numbers: Collection[int]) -> set[int]:
    """Return the acts that ever corrected these rows of a subject."""
    row = CorrectionRow
    return set(
        connection.execute(
            select(col(row.act_id)).where(
                col(row.subject) == subject, among(col(row.subject_id), numbers)
            )
        ).scalars()
    )


_WORDS = {
    "machine": frozenset(("name", "maker", "model", "year", "note")),
    "assembly": frozenset(("name", "path")),
    "step": frozenset(("part", "note", "hazard", "happened_at", "reverse")),
    "item": frozenset(("written", "position")),
}
_NUMBERS = {
    "machine": frozenset[str](),
    "assembly": frozenset[str](),
    "step": frozenset(("machine_id", "number", "assembly_id", "rank", "joined")),
    "item": frozenset(
        ("machine_id", "step_id", "line", "description_id", "found", "joined", "dropped", "verdict")
    ),
}
_NAMES_A_ROW = {
    ("step", "joined"): "step",
    ("item", "joined"): "item",
    ("item", "step_id"): "step",
    ("item", "description_id"): "description",
    ("item", "verdict"): "act",
    ("step", "assembly_id"): "assembly",
    ("step", "machine_id"): "machine",
    ("item", "machine_id"): "machine",
}


def correction_faults(connection: Connection) -> list[Fault]:
    """Return what is wrong of the corrections themselves, and of the record as it reads with them:
    of a thing that is not there, a field that there is none of, two things of one name or number,
    pieces that nobody sees any more."""
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    rows = list(connection.execute(select(row).order_by(row.c.id)))
    if not rows:
        return []
    from stores.storage.acts import reversed_acts

    gone = reversed_acts(connection)
    return [
        *_unreadable(connection, rows),
        *_joined_faults(connection, [each for each in rows if each.act_id not in gone]),
        *_twice(connection, gone),
    ]


def _unreadable(connection: Connection, rows: Collection[Any]) -> list[Fault]:
    faults = []
    known: dict[str, set[int]] = {}
    for name in ("machine", "assembly", "step", "item", "description", "act"):
        known[name] = set(connection.execute(text(f"SELECT id FROM {name}")).scalars())
    for each in rows:
        where = f"act {each.act_id}, correction {each.id}"
        if each.subject_id not in known.get(each.subject, ()):
            faults.append(Fault(where, f"{each.subject} {each.subject_id} is not on record"))
        words, numbers = (kind.get(each.subject, ()) for kind in (_WORDS, _NUMBERS))
        if each.field not in {*words, *numbers}:
            faults.append(Fault(where, f"a {each.subject} has no {each.field!r}"))
        elif (each.field in numbers) != (each.number is not None):
            faults.append(Fault(where, f"{each.field} is a word where a number belongs, or none"))
        of = _NAMES_A_ROW.get((each.subject, each.field))
        if of is not None and each.number is not None and each.number not in known[of]:
            faults.append(Fault(where, f"names {of} {each.number}, which is not on record"))
    return faults


def _joined_faults(connection: Connection, rows: Collection[Any]) -> list[Fault]:
    """Return joined lines that still hold pieces, and things that were made one in a ring."""
    joined: dict[str, dict[int, int]] = {"step": {}, "item": {}}
    for each in rows:
        if each.field == "joined" and each.number is not None and each.subject in joined:
            joined[each.subject][each.subject_id] = each.number
    faults = [fault for subject, ones in joined.items() for fault in _rings(subject, ones)]
    unseen = {each.subject_id for each in rows if each.field == "dropped"} | set(joined["item"])
    return faults + (_out_of_sight(connection, unseen) if unseen else [])


def _rings(subject: str, joined: Mapping[int, int]) -> Iterator[Fault]:
    for number, other in joined.items():
        seen = {number}
        at = other
        while at not in seen and at in joined:
            seen.add(at)
            at = joined[at]
        if at in seen:
            yield Fault(f"{subject} {number}", "was made one with itself, in a ring")
        elif other in joined:
            yield Fault(f"{subject} {number}", "was made one with one that is another's by now")


def _out_of_sight(connection: Connection, joined: Collection[int]) -> list[Fault]:
    faults = []
    found = select(EVERY_ITEM.c.id, EVERY_ITEM.c.found).where(EVERY_ITEM.c.id.in_(joined))
    held: dict[int, dict[int, int]] = {}
    moves: Any = MovementRow.__table__  # type: ignore[attr-defined]
    for move in connection.execute(select(moves).where(moves.c.item_id.in_(joined))):
        places = held.setdefault(move.item_id, {})
        for place, count in ((move.from_place, -move.quantity), (move.to_place, move.quantity)):
            places[place] = places.get(place, 0) + count
    for each in connection.execute(found):
        one = "is one with another line"
        if each.found:
            faults.append(Fault(f"item {each.id}", f"{one}, but {each.found} were found"))
        if pieces := sum(count for count in held.get(each.id, {}).values() if count > 0):
            faults.append(Fault(f"item {each.id}", f"{one}, but {pieces} are still of it"))
    return faults


def _twice(connection: Connection, gone: frozenset[int]) -> list[Fault]:
    """Return what has the name or the number of another, and what is of a thing that is gone."""
    faults = []
    machines: dict[str, set[int]] = {}
    for each in connection.execute(select(MACHINES.c.id, MACHINES.c.name, MACHINES.c.act_id)):
        if each.act_id not in gone:
            machines.setdefault(fold(each.name), set()).add(each.id)
            if len(machines[fold(each.name)]) > 1:
                faults.append(Fault(f"machine {each.name}", "there are two machines of that name"))
    there = set[int]().union(*machines.values())
    steps: dict[tuple[int, int], int] = {}
    stands: dict[int, int] = {}
    for each in connection.execute(
        select(STEPS.c.as_id, STEPS.c.machine_id, STEPS.c.number, STEPS.c.act_id).distinct()
    ):
        if each.act_id in gone:
            continue
        stands[each.as_id] = each.number
        if steps.setdefault((each.machine_id, each.number), each.as_id) != each.as_id:
            faults.append(Fault(f"step {each.number}", "there are two steps of that number"))
        if each.machine_id not in there:
            faults.append(Fault(f"step {each.number}", "its machine does not stand"))
    return faults + _line_faults(connection, gone, stands)


def _line_faults(
    connection: Connection, gone: frozenset[int], stands: Mapping[int, int]
) -> list[Fault]:
    """``stands`` are the standing steps, by row, with their numbers."""
    faults = []
    lines: set[tuple[int, int]] = set()
    columns = (ITEMS.c.id, ITEMS.c.step_id, ITEMS.c.line, ITEMS.c.act_id)
    for each in connection.execute(select(*columns).where(ITEMS.c.step_id.is_not(None))):
        if each.act_id in gone:
            continue
        if each.step_id not in stands:
            faults.append(Fault(f"item {each.id}", "is a line of a step that does not stand"))
        elif (each.step_id, each.line) in lines:
            name = f"line {stands[each.step_id]}.{each.line}"
            faults.append(Fault(name, "there are two lines of that number"))
        lines.add((each.step_id, each.line))
    # A step that never had a line may have none.
    had: Any = select(col(ItemRow.step_id), col(ItemRow.act_id))
    given = {row.step_id for row in connection.execute(had) if row.act_id not in gone}
    empty = (stands.keys() & given) - {step for step, _ in lines}
    return faults + [Fault(f"step {stands[row]}", "has no line left") for row in sorted(empty)]
