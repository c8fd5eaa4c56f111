"""What is worked out once while nothing is written: within a moment, and from one to the next.

`Store.reading` is one moment: nothing that another command writes shows up in it, so what was
looked up in it stays so to its end. And between two acts the record is the same: what was worked
out of it at one moment is the answer at the next, until the newest act is another. Undoing and
correcting are acts too, and so are choices (units, spares, renewals); only what is printed on which
label, and on which printer, is written without one and must not be worked out here.

What is kept is given to several threads at once: nobody changes it. Who writes reads a moment too,
up to the first row that is written; from then on nothing is kept, for a trial takes its act back
and the next act may have its number.
"""

import contextlib
import threading
from collections.abc import Callable, Container, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import Connection, Insert, event, text

__all__ = [
    "MOST_CARRIED",
    "MOST_KEPT",
    "READING",
    "Answers",
    "Mark",
    "Moment",
    "Written",
    "answered",
    "answered_each",
    "end_moment",
    "mark_of",
    "moment_of",
    "noted",
    "one_moment",
    "subject_of",
]

MOST_KEPT = 24
"""So many answers of one name are kept at once, the oldest dropped first: some for each machine,
and the bags that were looked at last."""

MOST_CARRIED = 12
"""So many answers of one name are kept from one act to the next: those of the machines that are
worked on."""

MOST_PARTS = 40
"""So many parts of the journal are kept, the oldest dropped first."""

READING = ("SELECT", "WITH", "(SELECT")
"""How statements begin that write nothing."""

_INFO = "stores_moment"

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Mark(NamedTuple):
    """The newest act with all that tells it from another of its number, in a copy of the record
    that was put in the place of this one."""

    act: int
    kind: str
    happened_at: str
    written_at: str
    summary: str


class Journal:
    """What came from one moment to a later one, for the newest acts: looked up once for all that
    is carried over, by whoever reads first after an act."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._parts: list[tuple[Mark, Mark, Mapping[str, frozenset[int]]]] = []

    def since(self, then: Mark, now: Mark) -> dict[str, frozenset[int]] | None:
        """Return by table what came between two marks, None where it is not known."""
        with self._lock:
            parts = list(self._parts)
        if not parts or parts[-1][1] != now:
            return None
        found: dict[str, frozenset[int]] = {}
        for begun, _, rows in reversed(parts):
            for table, numbers in rows.items():
                found[table] = found.get(table, frozenset()) | numbers
            if begun == then:
                return found
        return None

    def newest(self) -> Mark | None:
        """Return up to which act it is known."""
        with self._lock:
            return self._parts[-1][1] if self._parts else None

    def add(self, then: Mark, now: Mark, rows: Mapping[str, frozenset[int]]) -> None:
        """Keep what came between two marks; what does not go on from what is known begins anew."""
        with self._lock:
            last = self._parts[-1][1] if self._parts else None
            if last is not None and last != then:
                if last == now or last.act > now.act:
                    return  # another was first, or it is an older moment that is read
                self._parts.clear()
            self._parts.append((then, now, rows))
            del self._parts[:-MOST_PARTS]


_SUBJECT = {"item": "id", "stowing": "place_id"}
"""Whose rows they are, in tables that are not of an item by its ``item_id``."""


def subject_of(table: str, columns: Container[str]) -> str | None:
    """Return by which column the rows of a table are told apart in a journal: the item they are of,
    of stowing the place; None where they are of neither."""
    return _SUBJECT.get(table) or ("item_id" if "item_id" in columns else None)


class Written:
    """What a transaction wrote, noted as it is written, for the journal: whoever writes in a
    process spares the others of it the looking up.

    Rows come in by SQLAlchemy's inserts, with their values beside them. After anything else, or
    where an act takes another one back, it is not known what changed, and is looked up.
    """

    def __init__(self, moment: "Moment") -> None:
        self._moment = moment
        self._rows: dict[str, set[int]] = {}
        self._newest: Mark | None = None
        self._known = True

    def unknown(self) -> None:
        """Say that something was written that is not noted."""
        self._known = False

    def note(self, statement: Any, rows: Sequence[Mapping[str, Any]], result: Any) -> None:
        """Note the rows that a statement inserted; of one that reads there are none."""
        if not isinstance(statement, Insert):
            return
        table: Any = statement.table
        if not rows:
            self._known = False  # they are in the statement itself
        elif table.name == "act":
            (row, *others) = rows
            if others or row.get("reverses") is not None:
                self._known = False
                return
            said = (row[name] for name in Mark._fields[1:])
            self._newest = Mark(result.inserted_primary_key[0], *said)
        elif "act_id" in table.columns:
            column = subject_of(table.name, table.columns)
            subjects = self._rows.setdefault(table.name, set())
            if column != "id":
                subjects.update((row.get(column) if column else 0) or 0 for row in rows)
            elif len(rows) == 1:
                subjects.add(result.inserted_primary_key[0])
            else:
                self._known = False

    def tell(self) -> None:
        """Tell the journal, once it is on record."""
        moment = self._moment
        if self._known and self._newest is not None and moment.marked and moment.mark is not None:
            rows = {table: frozenset(each) for table, each in self._rows.items()}
            moment.answers.journal.add(moment.mark, self._newest, rows)


class Answers:
    """The answers that hold as long as the newest act is the same.

    Of one name one thread works at a time: who asks for the same meanwhile waits for the answer
    instead of working it out as well. Who asks for something else does not wait; nor does who is
    at work on an answer, so that no two ever wait for each other.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._mark: Mark | None = None
        self._kept: dict[tuple[str, Hashable], Any] = {}
        self._last: dict[tuple[str, Hashable], tuple[Mark | None, Any]] = {}
        self.journal = Journal()
        self.of_acts: Any = None
        """The statement of the rows of an act, by the tables that the record has."""
        self._turns: dict[str, threading.RLock] = {}
        self._here = threading.local()

    def each(
        self,
        mark: Mark | None,
        name: str,
        keys: Iterable[Key],
        work: Callable[[list[Key]], Mapping[Key, Value]],
    ) -> dict[Key, Value]:
        """Return the answer for each key: the kept ones, and what ``work`` makes of the others."""
        listed = list(dict.fromkeys(keys))
        found: dict[Key, Value] = self._found(mark, name, listed)
        if len(found) == len(listed):
            return found
        with self._turn(name):
            found = self._found(mark, name, listed)
            missing = [key for key in listed if key not in found]
            if missing:
                made = work(missing)
                found |= {key: made[key] for key in missing}
                self._keep(mark, name, {key: made[key] for key in missing})
        return {key: found[key] for key in listed}

    def _found(self, mark: Mark | None, name: str, keys: Iterable[Key]) -> dict[Key, Any]:
        with self._lock:
            if mark != self._mark:
                self._kept.clear()
                self._mark = mark
            return {key: self._kept[name, key] for key in keys if (name, key) in self._kept}

    def _keep(self, mark: Mark | None, name: str, made: Mapping[Key, Any]) -> None:
        with self._lock:
            if mark != self._mark:
                return  # another act came meanwhile: it was the answer of a moment that is over
            self._kept |= {(name, key): value for key, value in made.items()}
            mine = [each for each in self._kept if each[0] == name]
            for each in mine[: max(0, len(mine) - MOST_KEPT)]:
                del self._kept[each]

    def last(self, name: str, key: Hashable) -> tuple[Mark | None, Any] | None:
        """Return the answer that was kept last, of whatever moment it is, with its newest act."""
        with self._lock:
            return self._last.get((name, key))

    def keep_last(self, name: str, key: Hashable, mark: Mark | None, value: Any) -> None:
        """Keep an answer beyond its moment, for `stores.storage.carried`."""
        with self._lock:
            self._last.pop((name, key), None)
            self._last[name, key] = (mark, value)
            mine = [each for each in self._last if each[0] == name]
            for each in mine[: max(0, len(mine) - MOST_CARRIED)]:
                del self._last[each]

    @contextlib.contextmanager
    def _turn(self, name: str) -> Iterator[None]:
        with self._lock:
            turn = self._turns.setdefault(name, threading.RLock())
        deep = getattr(self._here, "deep", 0)
        mine = turn.acquire(blocking=not deep)
        self._here.deep = deep + 1
        try:
            yield
        finally:
            self._here.deep = deep
            if mine:
                turn.release()

    def __len__(self) -> int:
        with self._lock:
            return len(self._kept)


@dataclass(slots=True)
class Moment:
    """A moment that is being read: the answers of its stores, and the acts that do not stand."""

    answers: Answers
    gone: frozenset[int] | None = None
    mark: Mark | None = None
    before: Mark | None = None
    """The act before the newest, where that one takes nothing back."""
    marked: bool = False
    changes: dict[Mark, Any] = field(default_factory=dict)
    """What came since an earlier mark, worked out once in a moment."""


@contextlib.contextmanager
def one_moment(connection: Connection, answers: Answers) -> Iterator[Moment]:
    """Say that nothing shows up on this connection meanwhile that others write from now on."""
    moment = connection.info[_INFO] = Moment(answers)
    try:
        yield moment
    finally:
        end_moment(connection)


@contextlib.contextmanager
def noted(connection: Connection, moment: Moment) -> Iterator[Written]:
    """Note what is written on a connection from now on, to be told when it is on record."""
    written = Written(moment)

    def inserted(
        _connection: Any, statement: Any, many: Any, one: Any, _options: Any, result: Any
    ) -> None:
        written.note(statement, many or ([one] if one else []), result)

    def sent(_c: Any, _cursor: Any, statement: str, _p: Any, context: Any, _many: Any) -> None:
        if not (statement.startswith(READING) or (context.isinsert and context.compiled)):
            written.unknown()

    listeners = (("after_execute", inserted), ("before_cursor_execute", sent))
    for name, listener in listeners:
        event.listen(connection, name, listener)
    try:
        yield written
    finally:
        for name, listener in listeners:
            event.remove(connection, name, listener)


def end_moment(connection: Connection) -> None:
    """Say that something is written on this connection from now on."""
    connection.info.pop(_INFO, None)


def moment_of(connection: Connection) -> Moment | None:
    """Return the moment that is being read, None once something is written."""
    moment: Moment | None = connection.info.get(_INFO)
    return moment


def answered(connection: Connection, name: str, key: Hashable, work: Callable[[], Value]) -> Value:
    """Return what ``work`` makes of the record as it stands, worked out once for each act.

    ``key`` is all that the answer depends on besides the record, and the answer is never changed.
    """
    return answered_each(connection, name, [key], lambda keys: {keys[0]: work()})[key]


def answered_each(
    connection: Connection,
    name: str,
    keys: Iterable[Key],
    work: Callable[[list[Key]], Mapping[Key, Value]],
) -> dict[Key, Value]:
    """Return the answer for each key, as `answered`; what is missing is worked out at one go."""
    moment = moment_of(connection)
    if moment is None:
        return dict(work(list(dict.fromkeys(keys))))
    return moment.answers.each(mark_of(connection, moment), name, keys, work)


def mark_of(connection: Connection, moment: Moment) -> Mark | None:
    """Return the newest act of the moment that is read, looked up once."""
    if not moment.marked:
        newest = connection.execute(_NEWEST).all()
        moment.mark = Mark(*newest[0][:-1]) if newest else None
        if len(newest) > 1 and newest[0].reverses is None:
            moment.before = Mark(*newest[1][:-1])
        moment.marked = True
    return moment.mark


_NEWEST = text(
    "SELECT id, kind, happened_at, written_at, summary, reverses FROM act ORDER BY id DESC LIMIT 2"
)
