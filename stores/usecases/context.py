"""What every use-case stands on: where the record is, who asks, and what is asked.

A use-case is one function for one thing that a person does or asks::

    strip(context: Context, ask: Strip) -> Stripped

The ask is a frozen dataclass of plain values and of text as it was typed; the reply is a frozen
dataclass of facts, without a sentence, a command's name or a width of screen in it. Every door
(command line, page, another program) reads an ask, calls the one use-case and shows the reply.
"""

import contextlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection

from stores.errors import BadValue
from stores.model.ledger import MAX_QUANTITY
from stores.storage import Store, Writer

__all__ = ["Ask", "Context", "Reply", "read_count", "read_day"]

LONGEST_KEY = 200
"""The longest key of an ask, in characters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What a person wants written down.

    ``trial`` gives the same reply and writes nothing. ``key`` makes a repeated ask one act: the
    second time `Repeated` is raised, which names the act that stands.
    """

    trial: bool = False
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
        return read_day(self.day) if self.day.strip() else None

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


def read_day(typed: str) -> str:
    """Return the day that was typed, as ISO 8601: ``2026-03-14``, ``today``, ``yesterday``.

    Raises:
        BadValue: no such day, or one in the future.
    """
    folded = typed.strip().casefold()
    today = date.today()  # noqa: DTZ011 - the day on the workshop's wall
    try:
        when = {"today": today, "yesterday": today - timedelta(days=1)}.get(
            folded
        ) or date.fromisoformat(folded)
    except ValueError:
        raise BadValue("no such day", typed=typed.strip()[:40]) from None
    if when > today + timedelta(days=1):
        raise BadValue("day to come", day=when)
    return when.isoformat()


def read_count(typed: str | None) -> int | None:
    """Return the count that was typed, None where none was.

    Raises:
        BadValue: not a whole number, or not from 1 to the most that one movement may carry.
    """
    if typed is None:
        return None
    plain = typed.strip().replace("−", "-")
    if not re.fullmatch(r"[+-]?\d{1,12}", plain):
        raise BadValue("not a count", typed=typed.strip()[:40])
    count = int(plain)
    if not 1 <= count <= MAX_QUANTITY:
        raise BadValue("count out of range", most=f"{MAX_QUANTITY:,}", count=f"{count:,}")
    return count
