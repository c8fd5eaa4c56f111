"""Connections to a file that are kept open while one thing after another is asked of it.

A command opens a file, reads and is over. A page server asks it several times for each page, and
each time SQLite reads all its tables' definitions anew: half the time of a small page. So served
connections are kept, with two promises that a person has for a file without them:

* after a little quiet all are closed, and with the last one its log is gone: a plain copy of the
  file is whole;
* another file in its place, a copy that somebody went back to, is seen at once.
"""

import threading
import time
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy.exc import InvalidatePoolError

__all__ = ["AT_MOST", "QUIET", "KeptOpen"]

QUIET = 1.0
"""Seconds without a question after which the connections are closed."""

AT_MOST = 8
"""So many are kept; more may be open for a moment."""

_FILE = "stores_file"


class KeptOpen:
    """Watches over the connections of an engine to a file."""

    def __init__(self, engine: Engine, path: Path, quiet: float = QUIET) -> None:
        self._engine = engine
        self._path = path
        self._quiet = quiet
        self._last = 0.0
        self._asked = threading.Event()
        self._over = threading.Event()
        event.listen(engine, "connect", self._opened)
        event.listen(engine, "checkout", self._taken)
        event.listen(engine, "checkin", self._given_back)
        self._thread = threading.Thread(target=self._work, name="kept open", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End the watch; whoever stops it closes the engine."""
        self._over.set()
        self._asked.set()
        self._thread.join()

    def _there(self) -> tuple[int, int] | None:
        try:
            file = self._path.stat()
        except OSError:
            return None
        return file.st_dev, file.st_ino

    def _opened(self, _connection: Any, record: Any) -> None:
        record.info[_FILE] = self._there()

    def _taken(self, _connection: Any, record: Any, _fairy: Any) -> None:
        if record.info.get(_FILE) != self._there():
            raise InvalidatePoolError  # all of them are of the file that was there before

    def _given_back(self, _connection: Any, _record: Any) -> None:
        self._last = time.monotonic()
        self._asked.set()

    def _work(self) -> None:
        while self._asked.wait() and not self._over.is_set():
            left = self._last + self._quiet - time.monotonic()
            if left > 0:
                self._over.wait(left)
                continue
            self._asked.clear()
            self._engine.pool.dispose()
