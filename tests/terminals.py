"""A command at a pseudo-terminal, for what asks a person."""

import contextlib
import os
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

pty = pytest.importorskip("pty")


class Terminal:
    """A command at a pseudo-terminal."""

    def __init__(self, file: Path, *words: str) -> None:
        self._mine, theirs = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "stores", "--stores", str(file), *words],
            stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
            env=os.environ | {"TERM": "dumb", "COLUMNS": "80"},
            # A run begun in the background ignores Ctrl-C, and hands that on.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
        )  # fmt: skip
        os.close(theirs)
        self.shown = ""

    def wait_for(self, words: str) -> None:
        """Read until these words have come since the last time."""
        end = time.monotonic() + 60
        while not re.search(words, self.shown):
            assert time.monotonic() < end, self.shown
            if select.select([self._mine], [], [], 1)[0]:
                try:
                    self.shown += os.read(self._mine, 4096).decode()
                except OSError:
                    raise AssertionError(f"it ended: {self.shown}") from None
        self.shown = self.shown[re.search(words, self.shown).end() :]  # type: ignore[union-attr]

    def type(self, keys: str) -> None:
        """Press keys."""
        os.write(self._mine, keys.encode())

    def close(self) -> None:
        """Shut the terminal, as a window is closed."""
        if self._mine >= 0:
            os.close(self._mine)
            self._mine = -1

    def ended(self) -> int:
        """Read to the end; return the exit status."""
        end = time.monotonic() + 60
        with contextlib.suppress(OSError):
            while self._mine >= 0 and time.monotonic() < end:
                if select.select([self._mine], [], [], 1)[0]:
                    more = os.read(self._mine, 4096)
                    if not more:
                        break
                    self.shown += more.decode()
        return self.process.wait(max(1, end - time.monotonic()))


@contextlib.contextmanager
def terminal(file: Path, *words: str) -> Iterator[Terminal]:
    at = Terminal(file, *words)
    try:
        yield at
    finally:
        at.close()
        if at.process.poll() is None:
            at.process.send_signal(signal.SIGKILL)
            at.process.wait()
