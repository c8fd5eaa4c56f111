"""Opening a stores: which file or database, of what version, and what can go wrong.

All that only one database can do is in this module: SQLite's pragmas, its file checks and its
backup, PostgreSQL's table lock.
"""

import contextlib
import os
import re
import sqlite3
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NoReturn
from urllib.parse import quote

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    RootTransaction,
    create_engine,
    event,
    make_url,
    text,
)
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.pool import NullPool, QueuePool

from stores.errors import NotFound, Repeated, StorageError, StoresError
from stores.leftovers import clear_left_over, clear_left_over_pictures, unfinished
from stores.storage.kept_open import AT_MOST, KeptOpen
from stores.storage.moment import READING, Answers, end_moment, noted, one_moment
from stores.storage.turns import IN_QUEUE, TOLD_AFTER, Waiting, clear_turn, turn
from stores.storage.writer import Writer
from stores.text import shown_address, without_passwords

__all__ = [
    "HEAD",
    "UNREADABLE",
    "Store",
    "address_of",
    "copy_to",
    "file_check",
    "numbers_have_no_gaps",
    "open_store",
    "pictures_beside",
    "remove",
    "rename",
    "tried_store",
]

HEAD = "0018"
"""The migration that this program needs; a test holds it to the newest one on disk."""

APPLICATION_ID = 0x53746F72
"""SQLite's application id of a stores file: "Stor" in ASCII."""

BUSY_SECONDS = 10.0
"""For so long the one whose turn it is waits for the database."""
_AGAIN_SECONDS = 0.004
"""After so long that one tries again."""


class Store:
    """An opened stores. Reading sees one moment; writing is one at a time."""

    def __init__(self, engine: Engine, name: str) -> None:
        self.engine = engine
        self.name = name
        self._where = (
            name
            if "://" not in name
            else engine.url.render_as_string(hide_password=False)  # what may not be shown
        )
        # Of many threads that write, SQLite's own waiting lets some wait for seconds: each tries
        # again after a while of its own, and whoever comes by chance at the right moment has it.
        self._turn = threading.RLock()
        self._kept: KeptOpen | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self.told_to_wait: Callable[[], None] | None = None
        """Called where another one's writing is waited for, for long."""
        self.answers = Answers()
        self._cleared = False

    @property
    def short_name(self) -> str:
        """Its name, as seen from the folder where one is."""
        with contextlib.suppress(OSError, ValueError):
            return str(Path(self.name).relative_to(Path.cwd()))
        return self.name

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """Read within one moment: nothing another command writes shows up half-way."""
        with (
            plain_errors(self._where),
            self._sound(),
            self.engine.connect() as connection,
        ):
            if connection.dialect.name != "sqlite":  # there a transaction is one moment anyway
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin(), one_moment(connection, self.answers):
                yield connection

    @contextlib.contextmanager
    def writing(self, *, key: str = "", trial: bool = False) -> Iterator[Writer]:
        """Write one act, whole or not at all. Other writers wait their turn.

        Args:
            key: marks the act, so that the same ask sent twice is one act.
            trial: try it only: at the end everything is taken back.

        Raises:
            Repeated: there is an act with this key.
        """
        if not (trial or self._cleared):
            self._clear_pictures()
        with (
            self._turn,
            plain_errors(self._where),
            self._sound(),
            self.engine.connect() as connection,
            self._my_turn(connection) as transaction,
            one_moment(transaction.connection, self.answers) as moment,
            noted(transaction.connection, moment) as written,
        ):
            if key:
                _refuse_repeated(transaction.connection, key)
            writer = Writer(transaction.connection, key)
            yield writer
            if trial:
                transaction.rollback()
                return
            try:
                transaction.commit()
                written.tell()
                return
            except DBAPIError as error:
                if _taken_back(error):
                    raise
                failed = error
        # The disk, or the way to it, failed at the last moment: whether it holds what was written
        # is known when it is read again, with nothing open that still remembers.
        said = _without_password(self._where, str(failed.orig))
        outcome = _outcome(self._stands(writer.acts))
        raise StorageError(f"{shown_address(self._where)}: {outcome} ({said})") from failed

    def _clear_pictures(self) -> None:
        """Clear away, once, what was being kept as a picture when its process ended."""
        self._cleared = True
        if path := _sqlite_path(self.engine.url):
            clear_left_over_pictures(pictures_beside(path))

    @contextlib.contextmanager
    def _my_turn(self, connection: Connection) -> Iterator[RootTransaction]:
        """Begin to write, when those are through who asked before."""
        waiting = Waiting(self.told_to_wait)
        writing = connection.execution_options(stores_writing=waiting)
        if connection.dialect.name != "sqlite":  # what others wrote before the lock was had is seen
            writing.execution_options(isolation_level="READ COMMITTED")
        path = _sqlite_path(self.engine.url)
        try:
            with turn(path, waiting) as had:
                waiting.in_turn = had
                transaction = _begun(writing, waiting)
            with transaction:
                yield transaction
        finally:
            clear_turn(path)

    def _stands(self, acts: list[tuple[int, str]]) -> bool | None:
        """Tell whether acts that were written are on record; None where it cannot be read."""
        try:
            with self.engine.connect() as connection, connection.begin():
                for number, written in acts:
                    row = connection.execute(
                        text("SELECT written_at FROM act WHERE id = :id"), {"id": number}
                    ).first()
                    if row is None or row.written_at != written:
                        return False
        except (SQLAlchemyError, sqlite3.Error):
            return None
        return bool(acts) or None

    @contextlib.contextmanager
    def _sound(self) -> Iterator[None]:
        try:
            yield
        except UNREADABLE as error:
            unsound = None if isinstance(error, StoresError) else self.unsound()
            if unsound is None:
                raise
            raise unsound from error

    def unsound(self) -> StorageError | None:
        """Return what is wrong with the record, asked when something fell over that it read; None
        where that must have been a bug."""
        from stores.storage.whole import read_record, text_faults

        try:
            with self.engine.connect() as connection, connection.begin():
                faults = [str(each) for each in text_faults(connection)]
                faults = faults or [str(each) for each in read_record(connection)[1]]
                faults = faults or file_check(connection)
        except DBAPIError:
            return StorageError(f"{self.name}: {_DAMAGED}")
        if not faults:
            return None
        return StorageError(
            f"{self.name} has something in it that cannot be read ({faults[0]}): "
            f"'stores record audit' lists all of it. {_GO_BACK}"
        )

    def copy(self, to: Path) -> None:
        """Copy the whole stores to a file that is not there yet.

        Raises:
            StorageError: the file is there, cannot be written, or the stores is no file.
        """
        if self.engine.dialect.name != "sqlite":
            raise StorageError(f"{self.name} is no file: copy it with its database's own tools")
        if to.exists():
            raise StorageError(f"{to} is there already: give the copy another name")
        clear_left_over(to)
        partial = unfinished(to)
        try:
            with (
                contextlib.closing(self.engine.raw_connection()) as source,
                contextlib.closing(sqlite3.connect(partial)) as target,
            ):
                driver: Any = source.driver_connection
                driver.backup(target)
            partial.rename(to)
        except (OSError, sqlite3.Error) as error:
            raise StorageError(f"cannot copy to {to}: {error}") from error
        finally:
            partial.unlink(missing_ok=True)

    def keep_open(self) -> None:
        """Keep connections to a file open as long as one thing after another is asked of it."""
        path = _sqlite_path(self.engine.url)
        alone = event.contains(self.engine, "connect", _alone)
        if self._kept or alone or path is None or self.engine.url.query:
            return
        kept = create_engine(
            self.engine.url, poolclass=QueuePool, pool_size=AT_MOST, max_overflow=-1
        )
        _teach(kept)
        self._kept = KeptOpen(kept, path)
        self.engine = kept

    def close(self) -> None:
        """Let go of the file."""
        if self._kept:
            self._kept.stop()
            self._kept = None
        self.engine.dispose()
        if self._folder:
            self._folder.cleanup()
            self._folder = None

    def __enter__(self) -> "Store":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _begun(writing: Connection, waiting: Waiting) -> RootTransaction:
    """Begin to write; again where a server let another one have its locks instead, for nothing is
    done yet. With its locks had, nothing that is written can stand in another one's way."""
    while True:
        try:
            return writing.begin()
        except DBAPIError as error:
            if _sqlstate(error)[:2] != "40" or waiting.seconds() >= IN_QUEUE:
                raise
            writing.connection.rollback()


def _sqlstate(error: DBAPIError) -> str:
    return str(getattr(error.orig, "sqlstate", None) or "")


def _taken_back(error: DBAPIError) -> bool:
    """Tell whether a database says itself that it has taken all back: for want of room, or, by
    SQLSTATE, as not to be kept (23) or to be tried again (40)."""
    return _sqlstate(error)[:2] in ("40", "23") or "disk is full" in str(error.orig)


def _outcome(stands: bool | None) -> str:
    if stands:
        return (
            "the disk failed at the last moment, yet it is recorded: do not do it again, "
            "make a copy elsewhere with 'stores record copy'"
        )
    known = "it is not recorded as far as can be read now" if stands is False else "nobody can tell"
    return (
        f"the disk failed at the last moment and it may be recorded ({known}): "
        "look at 'stores history' before you do it again"
    )


def _refuse_repeated(connection: Connection, key: str) -> None:
    row = connection.execute(
        text("SELECT id, summary FROM act WHERE key = :key"), {"key": key}
    ).first()
    if row is not None:
        raise Repeated(row.id, row.summary)


def address_of(where: str) -> URL:
    """Turn a path or a database address into a database address.

    Raises:
        StorageError: neither.
    """
    if "://" in where:
        if where.partition("?")[0].count("@") > 1:
            raise StorageError(
                f"{shown_address(where)} has more than one @: write one in a password as %40"
            )
        with plain_errors(where):
            try:
                return make_url(where)
            except ValueError:  # from None: what it says has parts of the address in it
                raise StorageError(
                    f"{shown_address(where)} is no address: its port is a number, as in :5432"
                ) from None
    if slip := re.match(r"(?:postgres|mysql|mariadb|oracle|mssql)[\w+]*:", where, re.IGNORECASE):
        raise StorageError(
            f"{slip[0]} is the beginning of a database address: write {slip[0]}//USER@HOST/NAME"
        )
    try:
        return URL.create("sqlite", database=str(Path(where).expanduser().absolute()))
    except (OSError, RuntimeError, ValueError) as error:
        raise StorageError(f"{where[:80]!r} is no file to keep a stores in: {error}") from error


def open_store(where: str, *, create: bool = False) -> Store:
    """Open the stores at a path or database address, bringing an older one up to date.

    An older SQLite file is copied beside itself first. Where nothing may be written, it can still
    be read.

    Raises:
        NotFound: there is none there, and ``create`` is not set.
        StorageError: not a stores, from a newer program, or not readable or writable.
    """
    address = address_of(where)
    path = _sqlite_path(address)
    if address.get_backend_name() == "sqlite" and path is None:
        raise StorageError(
            f"{shown_address(where)} names no file: say which, as in --stores stores.db"
        )
    if path is not None:
        wished = _wished(address)
        _check_file(path, create=create and not wished)
        if not wished:
            clear_left_over(path)
        if _only_readable(path):
            address = _reading_address(path, immutable="1")
        elif wished:
            address = _reading_address(path)
    with plain_errors(where):
        engine = create_engine(address, **_connections(address))
    _teach(engine)
    name = str(path) if path is not None else shown_address(where)
    with plain_errors(name if path is not None else where), _let_go_if_refused(engine):
        try:
            version = _version(engine)
        except DBAPIError as error:
            if not (isinstance(error.orig, sqlite3.OperationalError) and _no_room(error.orig)):
                raise
            # Without room for the index of the log beside it: it is kept in memory, by one alone.
            event.listen(engine, "connect", _alone, insert=True)
            version = _version(engine)
        if version != HEAD and version is not None and path and address.query:
            return _brought_up_to_date_elsewhere(engine, name, version)
        if version != HEAD:
            _bring_up_to_date(engine, path, name, version, create=create)
    return Store(engine, name)


@contextlib.contextmanager
def _let_go_if_refused(engine: Engine) -> Iterator[None]:
    """Keep no connection to what is not opened."""
    try:
        yield
    except BaseException:
        engine.dispose()
        raise


@contextlib.contextmanager
def tried_store(where: str) -> Iterator[Store]:
    """Open the stores to try on it what would begin it: where there is none yet, one that is
    begun in a folder of its own for the time being and has its name.

    Raises:
        NotFound: a database that was never begun; that cannot be tried.
        StorageError: as for `open_store`.
    """
    path = _sqlite_path(address_of(where))
    if path is None or (path.exists() and path.stat().st_size):
        with open_store(where) as store:
            yield store
        return
    _check_file(path, create=True)
    with (
        tempfile.TemporaryDirectory(prefix="stores-") as folder,
        open_store(str(Path(folder) / "tried.db"), create=True) as begun,
    ):
        begun.name = str(path)
        yield begun


def pictures_beside(path: Path) -> Path:
    """Return the folder of pictures beside a stores: ``teasel.pictures`` of ``teasel.db``."""
    return path.with_name(f"{path.stem}.pictures")


def _sqlite_path(address: URL) -> Path | None:
    name = address.database
    if address.get_backend_name() != "sqlite" or not name or name == ":memory:":
        return None
    return Path(name)


def _wished(address: URL) -> bool:
    """Tell whether a file's address says that it is only to be read.

    Raises:
        StorageError: it says something else, which would be passed over.
    """
    if address.query not in ({}, {"mode": "ro"}):
        said = "&".join(address.query)
        raise StorageError(
            f"an address of a file takes ?mode=ro, to read it only, and nothing else: not {said}"
        )
    return bool(address.query)


def _reading_address(path: Path, **more: str) -> URL:
    query = {"mode": "ro", "uri": "true", **more}
    return URL.create("sqlite", database=f"file:{quote(str(path))}", query=query)


def _only_readable(path: Path) -> bool:
    """Tell whether a stores lies where nothing may be written, with nothing left in its log."""
    if not path.exists() or path.with_name(path.name + "-wal").exists():
        return False
    return not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK))


def _check_file(path: Path, *, create: bool) -> None:
    try:
        if path.is_dir():
            raise StorageError(f"{path} is a folder: give the stores file itself")
        if path.exists() and not path.is_file():
            raise StorageError(f"{path} is no file but a device or a pipe: give a file")
        if not path.exists():
            if not create:
                raise NotFound(
                    f"no stores at {path}: begin one with 'stores machine add NAME', "
                    "or say where it is with --stores FILE"
                )
            if not path.parent.is_dir():
                raise StorageError(f"no folder {path.parent}: make it first")
            return
        with path.open("rb") as file:
            head = file.read(72)
    except OSError as error:
        raise StorageError(f"cannot read {path}: {error.strerror or error}") from error
    if not head:
        if not create:
            raise StorageError(f"{path} is empty, it is not a stores file")
        return
    if not head.startswith(b"SQLite format 3\x00"):
        raise StorageError(f"{path} is not a stores file: it is no database at all")
    # The id may still be in the write-ahead log, where only the database itself finds it.
    marked = int.from_bytes(head[68:72], "big")
    if marked not in (0, APPLICATION_ID):
        raise StorageError(f"{path} is a database, but of another program, not a stores file")


def _connections(address: URL) -> dict[str, Any]:
    """Say whether connections are kept open. A file's are not, but where it is served
    (`Store.keep_open`): with the last one closed its log is gone, so that a plain copy of the file
    is whole, and another file in its place is seen at once. A server's are, for each costs it a
    process."""
    if address.get_backend_name() == "sqlite":
        return {"poolclass": NullPool}
    return {"pool_pre_ping": True, "max_overflow": -1}


UNREADABLE = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What is raised where a record is not what it should be: by that, or by a bug."""
_GO_BACK = (
    "To go back to your last copy ('stores record copy' makes one), move this file away, with "
    "those beside it that end in -wal and -shm, and put the copy in its place"
)
_DAMAGED = f"the file is damaged. {_GO_BACK}"


def _no_room(error: sqlite3.OperationalError) -> bool:
    return any(sign in str(error) for sign in ("disk I/O", "disk is full", "unable to open"))


def _alone(connection: Any, _record: Any) -> None:
    cursor = connection.cursor()
    cursor.execute("PRAGMA locking_mode = EXCLUSIVE")
    cursor.close()


def _teach(engine: Engine) -> None:
    @event.listens_for(engine, "before_cursor_execute")
    def on_execute(connection: Connection, _cursor: Any, statement: str, *_: Any) -> None:
        if not statement.startswith(READING):
            end_moment(connection)

    if engine.dialect.name == "sqlite":

        @event.listens_for(engine, "connect")
        def on_connect(connection: Any, _record: Any) -> None:
            connection.isolation_level = None  # BEGIN is said below, not guessed by the driver
            cursor = connection.cursor()
            cursor.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")
            cursor.execute("PRAGMA foreign_keys = ON")
            cursor.execute("PRAGMA synchronous = FULL")
            cursor.close()

        @event.listens_for(engine, "begin")
        def on_begin(connection: Connection) -> None:
            writing = connection.get_execution_options().get("stores_writing")
            if isinstance(writing, Waiting):
                _begin_to_write(connection, writing)
            else:
                connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    elif engine.dialect.name == "postgresql":

        @event.listens_for(engine, "begin")
        def on_begin_elsewhere(connection: Connection) -> None:
            options = connection.get_execution_options()
            if isinstance(waiting := options.get("stores_writing"), Waiting):
                _lock_elsewhere(connection, waiting, _ONE_WRITES, _NOTHING_IN_THE_WAY)
            elif options.get("stores_migrating"):  # of several first openings one begins the tables
                _lock_elsewhere(connection, Waiting(), _ONE_MIGRATES, _NOBODY_WRITES)


def _begin_to_write(connection: Connection, waiting: Waiting) -> None:
    """Get SQLite's lock for writing. Whoever waits for it alone, or nearly so, tries often."""
    driver: Any = connection.connection.driver_connection
    begun = waiting.so_far()
    most = BUSY_SECONDS if waiting.in_turn else max(BUSY_SECONDS, IN_QUEUE - begun)
    driver.execute("PRAGMA busy_timeout = 0")
    try:
        while True:
            try:
                driver.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                busy = error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
                if not busy or waiting.seconds() - begun >= most:
                    raise
                time.sleep(_AGAIN_SECONDS)
            else:
                return
    finally:
        driver.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")


_ONE_WRITES = "LOCK TABLE act IN EXCLUSIVE MODE"
_NOTHING_IN_THE_WAY = """DO $$ DECLARE each text; BEGIN
    FOR each IN SELECT oid::regclass FROM pg_class
        WHERE relnamespace = current_schema()::regnamespace AND relkind = 'r'
        AND has_table_privilege(oid, 'INSERT') ORDER BY relname
    LOOP EXECUTE 'LOCK TABLE ' || each || ' IN ROW EXCLUSIVE MODE'; END LOOP;
END $$"""
"""Every lock that an act may need, before it is begun: a deadlock then has nothing to undo."""
_ONE_MIGRATES = f"SELECT pg_advisory_xact_lock({APPLICATION_ID})"
_NOBODY_WRITES = f"""DO $$ BEGIN
    IF to_regclass('act') IS NOT NULL THEN {_ONE_WRITES}; END IF;
END $$"""


def _lock_elsewhere(connection: Connection, waiting: Waiting, *locks: str) -> None:
    """Get a server's locks: it keeps the order of those who wait."""
    asked = "; ".join((f"SET LOCAL lock_timeout = {int(IN_QUEUE * 1000)}", *locks))
    word = threading.Timer(TOLD_AFTER, waiting.seconds)
    word.daemon = True
    word.start()
    try:  # without parameters a server takes several statements at once
        connection.exec_driver_sql(asked, execution_options={"no_parameters": True})
    finally:
        word.cancel()


def _version(engine: Engine) -> str | None:
    with engine.connect() as connection, connection.begin():
        if not engine.dialect.has_table(connection, "alembic_version"):
            return None
        version: str | None = connection.execute(
            text("SELECT version_num FROM alembic_version")
        ).scalar()
        return version


def _bring_up_to_date(
    engine: Engine, path: Path | None, name: str, version: str | None, *, create: bool
) -> None:
    from stores.storage.migrate import known_versions, upgrade

    version = version or _begun_meanwhile(engine, name)
    if version == HEAD:
        return
    if version is None and not create:
        where = path or name
        raise NotFound(f"{where} was never begun: 'stores machine add NAME' begins it")
    if version is not None and version not in known_versions():
        _refuse_newer(name, version)
    if path is not None:
        if version is not None:
            with _nobody_writes(path):
                if _version(engine) == HEAD:  # another command was at it
                    return
                _copy_aside(path, path.with_name(f"{path.name}.before-{HEAD}"))
        _mark(engine)
    upgrade(engine)


def _brought_up_to_date_elsewhere(engine: Engine, name: str, version: str) -> Store:
    """Open a copy, brought up to date, of an older stores that can only be read; as that one, it
    can only be read too."""
    from stores.storage.migrate import known_versions, upgrade

    if version not in known_versions():
        _refuse_newer(name, version)
    folder = tempfile.TemporaryDirectory(prefix="stores-")
    try:
        copy = Path(folder.name) / "stores.db"
        old = Store(engine, name)
        old.copy(copy)
        old.close()
        made = create_engine(URL.create("sqlite", database=str(copy)), poolclass=NullPool)
        _teach(made)
        upgrade(made)
        made.dispose()
        address = _reading_address(copy)
        reads = create_engine(address, **_connections(address))
        _teach(reads)
        store = Store(reads, name)
    except BaseException:
        folder.cleanup()
        raise
    store._folder = folder
    return store


def _refuse_newer(name: str, version: str) -> NoReturn:
    raise StorageError(
        f"{name} was written by a newer version of this program ({version}): "
        "update the program; nothing was changed"
    )


def _begun_meanwhile(engine: Engine, name: str) -> str | None:
    """Look again, in case another command has just begun this stores; refuse what is none."""
    with engine.connect() as connection, connection.begin():
        tables = engine.dialect.get_table_names(connection)
    if "alembic_version" in tables:
        return _version(engine)
    if tables:
        raise StorageError(f"{name} is a database, but not a stores: nothing was changed")
    return None


def _mark(engine: Engine) -> None:
    """Give an SQLite file its application id and its write-ahead log."""
    with engine.connect() as connection:
        driver: Any = connection.connection.driver_connection
        for left in reversed(range(200)):
            try:
                driver.execute("PRAGMA journal_mode = WAL")
                driver.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            except sqlite3.OperationalError as error:
                # Changing the journal does not wait its turn as other statements do.
                if "locked" not in str(error) or not left:
                    raise
                time.sleep(0.05)
            else:
                return


@contextlib.contextmanager
def _nobody_writes(path: Path) -> Iterator[None]:
    with contextlib.closing(sqlite3.connect(path, BUSY_SECONDS, isolation_level=None)) as held:
        held.execute("BEGIN IMMEDIATE")
        yield


def _copy_aside(path: Path, copy: Path) -> None:
    """Copy a stores beside itself, unless a copy of the very same is there already."""
    partial = unfinished(copy)
    try:
        copy_to(path, partial)
        number = 1
        while True:
            try:
                copy.open("xb").close()  # takes the name, and never somebody's copy
            except FileExistsError:
                if _same_pages(copy, partial):
                    return
                number += 1
                copy = copy.with_name(f"{path.name}.before-{HEAD}-{number}")
            else:
                break
        partial.replace(copy)
    except (OSError, sqlite3.Error) as error:
        raise StorageError(
            f"no copy of {path} could be made before updating it ({error}): nothing was changed"
        ) from error
    finally:
        partial.unlink(missing_ok=True)


def _same_pages(one: Path, other: Path) -> bool:
    """Tell whether two SQLite files have the same in them; the 100 bytes in front count changes."""
    if one.stat().st_size != other.stat().st_size:
        return False
    with one.open("rb") as first, other.open("rb") as second:
        first.seek(100)
        second.seek(100)
        while piece := first.read(1 << 20):
            if piece != second.read(1 << 20):
                return False
    return True


def copy_to(path: Path, copy: Path) -> None:
    """Copy an SQLite stores, also what is still in its write-ahead log."""
    with (
        contextlib.closing(sqlite3.connect(path)) as source,
        contextlib.closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)


def remove(path: Path) -> None:
    """Delete an SQLite stores with the files that belong to it."""
    for beside in _files(path):
        beside.unlink(missing_ok=True)


def rename(path: Path, to: Path) -> None:
    """Rename an SQLite stores with the files that belong to it."""
    for beside, target in zip(_files(path), _files(to), strict=True):
        if beside.exists():
            beside.rename(target)


def _files(path: Path) -> list[Path]:
    return [path.with_name(path.name + tail) for tail in ("", "-wal", "-shm")]


def numbers_have_no_gaps(connection: Connection) -> bool:
    """Tell whether this database numbers rows without gaps: a sequence skips what was refused."""
    return connection.dialect.name == "sqlite"


def file_check(connection: Connection) -> list[str]:
    """Ask the database to check its own file and links, where it can; give what it finds."""
    if connection.dialect.name != "sqlite":
        return []
    said = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check")]
    faults = [] if said == ["ok"] else said
    triggers = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    there = {name for (name,) in triggers}
    tables = set(connection.dialect.get_table_names(connection)) - {"alembic_version"}
    ours = {
        f"{table}_no_{deed}": f"nothing keeps {table} from {deed}: its trigger is missing"
        for table in sorted(tables)
        for deed in ("update", "delete", "replace")
    }
    faults += [missing for name, missing in ours.items() if name not in there]
    faults += [f"the trigger {name!r} is none of ours" for name in sorted(there - set(ours))]
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        faults.append(f"{table} {row} names a {parent} that is not there")
    return faults


@contextlib.contextmanager
def plain_errors(where: str) -> Iterator[None]:
    """Turn what the database says into one line that says what to do, without a password."""
    try:
        yield
    except DBAPIError as error:
        raise StorageError(_plain(where, str(error.orig))) from error
    except sqlite3.Error as error:
        raise StorageError(_plain(where, str(error))) from error
    except SQLAlchemyError as error:
        line = _without_password(where, str(error).splitlines()[0])
        raise StorageError(f"{shown_address(where)} cannot be used as a stores: {line}") from error
    except OverflowError as error:
        raise StorageError(
            f"{shown_address(where)}: a number in this is larger than a database keeps; "
            "nothing was changed"
        ) from error
    except UnicodeDecodeError as error:  # what the driver says of a damaged file, cut short
        raise StorageError(f"{shown_address(where)}: {_DAMAGED}") from error
    except ModuleNotFoundError as error:
        raise StorageError(
            f"{shown_address(where)} needs the package {error.name}: install it first"
        ) from error


def _without_password(where: str, said: str) -> str:
    """Take what is secret in an address out of what was said about it, also alone."""
    said = said.replace(where, shown_address(where))
    if "://" in where:
        with contextlib.suppress(SQLAlchemyError, ValueError):
            address = make_url(where)
            settings = [
                value
                for name, values in address.normalized_query.items()
                for value in values
                if name not in ("host", "port") and len(value) > 2
            ]
            for secret in filter(None, (address.password, *settings)):
                said = re.sub(rf"(?<!\w){re.escape(str(secret))}(?!\w)", "***", said)
    return without_passwords(said)


def _plain(where: str, said: str) -> str:
    name = shown_address(where)
    first = _without_password(where, said.splitlines()[0]) if said else "no reason given"
    for sign, words in (
        ("lock timeout", "another command is writing; nothing was changed, try again in a moment"),
        ("locked", "another command is writing; nothing was changed, try again in a moment"),
        ("deadlock", "another command was in the way; nothing was changed, try again in a moment"),
        ("could not serialize", "another command was in the way; nothing was changed, try again"),
        ("out of range", "a number in this is larger than it keeps; nothing was changed"),
        ("readonly", "it cannot be written here: file or folder is read-only; nothing was changed"),
        ("unable to open", "it cannot be opened: look at the folder's and the file's permissions"),
        ("disk is full", "the disk is full; nothing was changed, make room and try again"),
        ("disk I/O", "the disk gives an error; nothing was changed, look at the disk"),
        ("malformed", _DAMAGED),
        ("not decode to UTF-8", _DAMAGED),
        ("not a database", "the file is no database: is it the right one?"),
    ):
        if sign in first:
            return f"{name}: {words}"
    return f"{name}: the database refused: {first}"
