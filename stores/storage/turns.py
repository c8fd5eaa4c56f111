"""Whose turn it is to write into a file: processes queue up, first come, first served.

SQLite's own waiting knows no order: each waiter tries again after a while of its own, and whoever
comes by chance at the right moment is in, so that of eight one may wait eighty times as long as
the others. So a process first waits for its turn, which the system's file locks hand on in the
order of asking, and only who has the turn tries for the database's own lock. The turn goes on as
soon as the database is had: who writes holds nothing here, and so keeps nobody out whom SQLite
would let in.

The turn is an order of waiting and nothing else. Where there is none to be had (a system without
such locks, no folder for it, another person's file, too long a queue), SQLite's own lock is what is
left, and it alone keeps two from writing at once.

The file that is locked is empty, lies in the system's folder for what is temporary and not beside
the record, and is deleted by whoever sees nobody wait.
"""

import contextlib
import os
import stat
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from types import ModuleType

fcntl: ModuleType | None
try:
    import fcntl
except ImportError:  # a system that has none
    fcntl = None

__all__ = ["IN_QUEUE", "TOLD_AFTER", "Waiting", "clear_turn", "turn", "turn_file"]

IN_QUEUE = 30.0
"""Seconds after which nobody waits for a turn any longer."""

TOLD_AFTER = 1.0
"""Seconds of waiting after which a person is told why nothing happens."""


class Waiting:
    """How long one has waited to write, with a word to the person, once, where that is long.

    ``in_turn`` says that nobody else waits for the database itself.
    """

    in_turn = False

    def __init__(self, tell: Callable[[], None] | None = None) -> None:
        self._tell = tell
        self._begun = time.monotonic()

    def so_far(self) -> float:
        """Return for how many seconds by now; another one's writing need not be why."""
        return time.monotonic() - self._begun

    def seconds(self) -> float:
        """Return the same of who waits for another one; tell it, where it is time to."""
        waited = self.so_far()
        if waited >= TOLD_AFTER and self._tell:
            tell, self._tell = self._tell, None
            tell()
        return waited


def turn_file(path: Path) -> Path:
    """Return the file that is locked by whose turn it is to write into another one."""
    named = sha256(os.fsencode(os.path.realpath(path))).hexdigest()[:24]
    return Path(tempfile.gettempdir()) / f"stores-{_user()}-{named}.turn"


@contextlib.contextmanager
def turn(path: Path | None, waiting: Waiting) -> Iterator[bool]:
    """Wait for the turn to write into a file, and hold it; say whether it could be had."""
    held = None
    if path is not None:
        with contextlib.suppress(OSError):
            held = _taken(turn_file(path), waiting)
    try:
        yield held is not None
    finally:
        if held is not None:
            _give_up(held)


def _give_up(descriptor: int) -> None:
    """Give the lock up by name: a process that was begun meanwhile may have the file open too, and
    would hold it for us."""
    assert fcntl is not None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_UN)
    finally:
        os.close(descriptor)


def clear_turn(path: Path | None) -> None:
    """Delete the file of the turn where nobody has it."""
    if fcntl is None or path is None:
        return
    with contextlib.suppress(OSError):
        file = turn_file(path)
        descriptor = _opened(file, 0)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if os.fstat(descriptor).st_nlink:
                file.unlink()
        finally:
            os.close(descriptor)


def _user() -> int:
    return os.getuid() if hasattr(os, "getuid") else 0


def _opened(file: Path, flags: int) -> int:
    descriptor = os.open(file, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | flags, 0o600)
    found = os.fstat(descriptor)
    if stat.S_ISREG(found.st_mode) and found.st_uid == _user():
        return descriptor
    os.close(descriptor)
    raise PermissionError(str(file))  # another person's: who knows how long that one holds it


def _taken(file: Path, waiting: Waiting) -> int | None:
    if fcntl is None:
        return None
    while True:
        descriptor = _opened(file, os.O_CREAT)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if not _Asked(descriptor).given(waiting):
                return None
        except BaseException:
            os.close(descriptor)
            raise
        if os.fstat(descriptor).st_nlink:
            return descriptor
        os.close(descriptor)  # it was deleted by one who saw nobody wait


class _Asked:
    """A lock that is waited for in a thread, so that the waiting can end without it."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor
        self._deciding = threading.Lock()
        self._given_up = False
        self._answered = threading.Event()
        self._had = False
        threading.Thread(target=self._ask, name="turn", daemon=True).start()

    def given(self, waiting: Waiting) -> bool:
        """Wait for the lock; where that takes too long, it is not wanted any more."""
        try:
            while not self._answered.wait(0.25) and waiting.seconds() < IN_QUEUE:
                pass
        finally:
            with self._deciding:
                self._given_up = not self._had
        return self._had

    def _ask(self) -> None:
        assert fcntl is not None
        had = False
        with contextlib.suppress(OSError):
            fcntl.flock(self._descriptor, fcntl.LOCK_EX)
            had = True
        with self._deciding:
            self._had = had and not self._given_up
            if not self._had:
                os.close(self._descriptor)
        self._answered.set()
