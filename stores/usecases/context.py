"""What every use-case stands on: where the record is, who asks, and what is asked.

A use-case is one function for one thing that a person does or asks::

    strip(context: Context, ask: Strip) -> Stripped

The ask is a frozen dataclass of plain values and of text as it was typed; the reply is a frozen
dataclass of facts, without a sentence, a command's name or a width of screen in it. Every door
(command line, page, another program) reads an ask, calls the one use-case and shows the reply.
"""

import contextlib
from collections.abc import Iterator
from contextvars import ContextVar
from dataclasses import dataclass, field

from sqlalchemy import Connection

from stores.errors import BadValue
from stores.storage import Store, Writer
from stores.text import read_day

__all__ = ["Ask", "Context", "Reply", "all_trials", "is_trial"]

LONGEST_KEY = 200
"""The longest key of an ask, in characters."""

_TRIAL: ContextVar[bool] = ContextVar("trial", default=False)


@contextlib.contextmanager
def all_trials() -> Iterator[None]:
    """Make a trial of every ask that is made meanwhile: a whole command is tried at once."""
    before = _TRIAL.set(True)
    try:
        yield
    finally:
        _TRIAL.reset(before)


def is_trial() -> bool:
    """Return whether asks that are made now are trials."""
    return _TRIAL.get()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What a person wants written down.

    ``trial`` gives the same reply and writes nothing; left out, it is as `all_trials` has it.
    ``key`` makes a repeated ask one act: the second time `Repeated` is raised, which names the
    act that stands.
    """

    trial: bool = field(default_factory=is_trial)
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """The reply to an ask that wrote an act, or would have: ``trial`` says which."""

    act: int
    trial: bool = False


@dataclass(frozen=True, slots=True)
class Context:
    """Where and for whom something is done.

    ``machine`` is its name or the beginning of it, None for the one last worked on; ``day`` is the
    day it happened, as typed, empty for now.
    """

    store: Store
    machine: str | None = None
    day: str = ""
    who: str = ""

    @property
    def at(self) -> str | None:
        """The day it happened, None for now.

        Raises:
            BadValue: no day, or one that has not come yet.
        """
        return read_day(self.day).isoformat() if self.day.strip() else None

    def reading(self) -> contextlib.AbstractContextManager[Connection]:
        """Read within one moment."""
        return self.store.reading()

    @contextlib.contextmanager
    def writing(self, ask: Ask) -> Iterator[Writer]:
        """Write one act, whole or not at all; of a trial nothing stays.

        Raises:
            Repeated: an ask with this key is an act already.
            BadValue: a key that is too long.
        """
        if len(ask.key) > LONGEST_KEY:
            raise BadValue("key too long", most=LONGEST_KEY)
        with self.store.writing(key=ask.key, trial=ask.trial) as writer:
            yield writer
