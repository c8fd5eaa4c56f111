"""Turns of the programs that write to one file: each waits in the order in which it came.

SQLite lets whoever comes by at the right moment write next: of eight programs one waited seven
seconds for the others, of 32 some gave up. The system's lock of a file of our own wakes whoever
waits longest. It orders the waiting and no more: that one at a time writes is still SQLite's to
hold, and where the system has no such lock everything goes as it would without.

The file is empty and lies with the system's temporary ones, by the record's path and the person: a
folder of records has nothing in it that a person did not put there.
"""

import contextlib
import hashlib
import os
import tempfile
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["SOON", "said_after_a_while", "turn_at"]

SOON = 1.0
"""Seconds of waiting after which the person is told."""


@dataclass(slots=True)
class _Turn:
    """The turn of this process at one file: how often it was taken within itself."""

    lock: threading.RLock = field(default_factory=threading.RLock)
    depth: int = 0
    descriptor: int = -1


_TURNS: dict[str, _Turn] = {}
_GUARD = threading.Lock()
_TELL: list[Callable[[], None]] = []


def said_after_a_while(tell: Callable[[], None]) -> None:
    """Call this, in another thread, whenever a turn is waited for longer than `SOON`."""
    _TELL[:] = [tell]


@contextlib.contextmanager
def turn_at(path: Path) -> Iterator[None]:
    """Wait for the turn to write to a file, and have it meanwhile."""
    name = os.path.realpath(path)
    with _GUARD:
        turn = _TURNS.setdefault(name, _Turn())
    with turn.lock:
        if not turn.depth:
            turn.descriptor = _taken(name)
        turn.depth += 1
        try:
            yield
        finally:
            turn.depth -= 1
            if not turn.depth and turn.descriptor >= 0:
                _give_up(turn.descriptor)
                turn.descriptor = -1


def _taken(name: str) -> int:
    """Take the lock that stands for a file; -1 where there is none to be had."""
    try:
        import fcntl
    except ImportError:  # not on this system: SQLite's own waiting has to do
        return -1
    try:
        descriptor = os.open(_file_of(name), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError:
        return -1
    later = threading.Timer(SOON, _tell)
    later.daemon = True
    try:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            later.start()
            fcntl.flock(descriptor, fcntl.LOCK_EX)
    except OSError:
        os.close(descriptor)
        return -1
    except BaseException:  # Ctrl-C while it waits
        os.close(descriptor)
        raise
    finally:
        later.cancel()
    return descriptor


def _give_up(descriptor: int) -> None:
    """Give the lock up by name: a process that was begun meanwhile may have the file open too, and
    would hold it for us."""
    import fcntl

    try:
        fcntl.flock(descriptor, fcntl.LOCK_UN)
    finally:
        os.close(descriptor)


def _file_of(name: str) -> Path:
    key = hashlib.sha256(name.encode("utf-8", "surrogateescape")).hexdigest()[:24]
    return Path(tempfile.gettempdir()) / f"stores-{os.getuid()}-{key}.turn"


def _tell() -> None:
    for tell in _TELL:
        tell()
