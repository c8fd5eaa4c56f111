"""What a device of this record has before it, so that the desk can follow: in memory alone."""

import time
from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["Follow", "Seen"]


@dataclass(frozen=True, slots=True)
class Seen:
    """What was looked at last: in words (``bag A001N``), its page, on which paired device (empty
    for the computer that serves), and when, in seconds since 1970."""

    what: str
    to: str
    on: str
    at: float


class Follow:
    """The last bag or step that any device looked at. One of several threads sets it whole."""

    def __init__(self, clock: Callable[[], float] = time.time) -> None:
        self._clock = clock
        self.seen: Seen | None = None

    def see(self, what: str, to: str, on: str) -> None:
        """Keep what is looked at now, in place of what was before."""
        self.seen = Seen(what, to, on, self._clock())
