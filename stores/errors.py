"""Every error that a person can cause, in one tree.

::

    StoresError                 one clear line: what, where, what to do
    ├── NotationError           text that cannot be read as notation; knows the characters
    ├── Refused                 this will not be written; nothing was changed
    │   └── Repeated            the same ask, with the same key, is an act already
    ├── NotFound                no such bag, step, machine, item ...
    ├── BadValue                a number or word outside its range
    ├── StorageError            the stores file cannot be opened, read or written
    └── PrintError              a label or sheet that cannot be made

An error of a use-case says a fact, not a sentence: ``Refused("not inspected", items=("7.2",),
hint=Hint("inspect", what="7"))``. `stores.wording` turns it into English for whoever reads it; the
handbook's and the notation's errors carry their line themselves. The command line shows that line
on stderr and exits with status 1. Anything that is not a ``StoresError`` is a bug and keeps its
traceback.
"""

from typing import Any

__all__ = [
    "BadValue",
    "Hint",
    "NotFound",
    "NotationError",
    "PrintError",
    "Refused",
    "Repeated",
    "StorageError",
    "StoresError",
]


class Hint:
    """What to do next: a use-case and the values to ask it with.

    The command line shows it as a command, a page as a button. A plain class: every command loads
    this module, and a generated one takes a millisecond to make.
    """

    __slots__ = ("usecase", "values")

    def __init__(self, usecase: str, **values: Any) -> None:
        self.usecase = usecase
        self.values = values

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Hint) and (self.usecase, self.values) == (
            other.usecase,
            other.values,
        )

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"Hint({self.usecase!r}, {self.values!r})"


class StoresError(Exception):
    """Base of every error that is shown to the person as one line.

    ``fact`` names what is the matter, ``facts`` are the values that go with it, ``hint`` is what
    would help.
    """

    def __init__(self, fact: str, *, hint: Hint | None = None, **facts: Any) -> None:
        self.fact = fact
        self.facts = facts
        self.hint = hint
        super().__init__(fact)

    def __str__(self) -> str:
        values = ", ".join(f"{name} {value}" for name, value in self.facts.items())
        return f"{self.fact}: {values}" if values else self.fact


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
            if not self.text.strip():
                return self.message
            if any(end in self.message for end in (". ", "? ", "; ")):
                # what to do ends it, so that what was typed begins
                return f"{shorten(self.text)!r}: {self.message}"
            apart = "" if self.message.endswith("?") else ":"
            return f"{self.message}{apart} {shorten(self.text)!r}"
        return (
            f"{self.message}: {shorten(bad)!r} at character {self.start + 1} "
            f"of {shorten(self.text)!r}"
        )

    def marker(self) -> str:
        """Give the text and, on a second line, a mark under the characters at fault."""
        return f"{self.text}\n{' ' * self.start}{'^' * max(1, self.end - self.start)}"


class Refused(StoresError):
    """This will not be written. Nothing was changed."""


class Repeated(Refused):
    """The same ask, with the same key, is an act already: a form that was sent twice.

    Nothing is written a second time; ``act`` is the one that stands, ``summary`` what it did.
    """

    def __init__(self, act: int, summary: str) -> None:
        self.act = act
        self.summary = summary
        super().__init__("recorded already", act=act, summary=summary)


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
