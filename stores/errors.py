"""Every error that a person can cause, in one tree.

::

    StoresError                 one clear line: what, where, what to do
    ├── NotationError           text that cannot be read as notation; knows the characters
    ├── Refused                 the ledger will not write this; nothing was changed
    ├── NotFound                no such bag, step, machine, item ...
    ├── BadValue                a number or word outside its range
    ├── StorageError            the stores file cannot be opened, read or written
    └── PrintError              a label or sheet that cannot be made

The command line shows ``str(error)`` on stderr and exits with status 1. Anything that is not a
``StoresError`` is a bug and keeps its traceback.
"""

__all__ = [
    "BadValue",
    "NotFound",
    "NotationError",
    "PrintError",
    "Refused",
    "StorageError",
    "StoresError",
]


class StoresError(Exception):
    """Base of every error that is shown to the person as one line."""


class NotationError(StoresError):
    """Text in the trade's notation that cannot be read.

    Knows the source text and the span of characters at fault, 0-based, end excluded.
    """

    def __init__(self, message: str, text: str, start: int = 0, end: int | None = None) -> None:
        self.message = message
        self.text = text
        self.start = max(0, min(start, len(text)))
        self.end = len(text) if end is None else max(self.start, min(end, len(text)))
        super().__init__(message)

    def __str__(self) -> str:
        bad = self.text[self.start : self.end]
        if not bad or bad == self.text:
            return f"{self.message}: {shorten(self.text)!r}"
        return (
            f"{self.message}: {shorten(bad)!r} at character {self.start + 1} "
            f"of {shorten(self.text)!r}"
        )

    def marker(self) -> str:
        """Give the text and, on a second line, a mark under the characters at fault."""
        return f"{self.text}\n{' ' * self.start}{'^' * max(1, self.end - self.start)}"


class Refused(StoresError):
    """The ledger will not write this. Nothing was changed."""


class NotFound(StoresError):
    """What was asked for is not in the stores."""


class BadValue(StoresError):
    """A number or a word outside its range."""


class StorageError(StoresError):
    """The stores file cannot be opened, read or written."""


class PrintError(StoresError):
    """A label or sheet that cannot be made."""


def shorten(text: str, limit: int = 60) -> str:
    """Cut a long text for use inside an error message; the cut is marked with an ellipsis."""
    return text if len(text) <= limit else text[: limit - 1] + "…"
