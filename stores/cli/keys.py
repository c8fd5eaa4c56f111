"""Keys read one at a time from a terminal, with what was typed ahead."""

import codecs
import contextlib
import os
import sys
from collections.abc import Iterator
from typing import Protocol

__all__ = ["ENTER", "RUBOUT", "Keyboard", "Keys", "keyboard", "line_typed"]

ENTER, RUBOUT, ESCAPE = "\r", "\x7f", "\x1b"


class Keys(Protocol):
    """What gives one key after another."""

    def key(self) -> str:
        """Return the next key, Enter as ``"\\r"``.

        Raises:
            EOFError: no more will come.
        """


class Keyboard:
    """The keys of the terminal that standard input is."""

    def __init__(self) -> None:
        self._waiting = ""
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")

    def key(self) -> str:
        """Return the next key; what a cursor or function key sends is passed over."""
        while True:
            if not self._waiting:
                self._waiting = self._read()
            if self._waiting.startswith(f"{ESCAPE}["):
                self._waiting = self._waiting[2:].lstrip("0123456789;")[1:]
                continue
            first, self._waiting = self._waiting[:1], self._waiting[1:]
            if first in ("\x03", "\x04"):
                raise KeyboardInterrupt if first == "\x03" else EOFError
            if first:
                return {"\n": ENTER, "\b": RUBOUT}.get(first, first)

    def _read(self) -> str:
        if sys.platform == "win32":
            import msvcrt

            return msvcrt.getwch()
        try:
            read = os.read(sys.stdin.fileno(), 1024)
        except OSError:
            read = b""  # the terminal was closed
        if not read:
            raise EOFError
        return self._decoder.decode(read)


@contextlib.contextmanager
def keyboard() -> Iterator[Keyboard]:
    """Give the keyboard; meanwhile keys come one by one and are not shown by themselves."""
    if sys.platform == "win32":
        yield Keyboard()
        return
    import termios
    import tty

    terminal = sys.stdin.fileno()
    before = termios.tcgetattr(terminal)
    tty.setcbreak(terminal, termios.TCSADRAIN)
    try:
        yield Keyboard()
    finally:
        with contextlib.suppress(termios.error):
            termios.tcsetattr(terminal, termios.TCSADRAIN, before)


def line_typed(keys: Keys, prompt: str) -> str:
    """Return a line that is typed after a prompt, shown as it is typed; empty where it was given
    up with Escape.

    Raises:
        EOFError: no more keys will come.
    """
    out = sys.stdout
    out.write(prompt)
    out.flush()
    text = ""
    while (key := keys.key()) != ENTER:
        if key == ESCAPE:
            text = ""
            break
        if key == RUBOUT:
            if text:
                text = text[:-1]
                out.write("\b \b")
        elif key == "\x15":
            out.write("\b \b" * len(text))
            text = ""
        elif key.isprintable():
            text += key
            out.write(key)
        out.flush()
    out.write("\n")
    return text.strip()
