"""How many pages are worked on at once, and which comes first.

One process has one processor's worth of Python. Twenty pages worked on side by side are each ready
at the end of them all; one after the other, the first is ready at once and the last no later. So a
few are under way, and the others wait: what records first, for somebody stands there with a part in
the hand, then the rest in the order in which it came. Of what records one is under way at a time:
the record has one writer anyway, and while that one waits for another program pages go on.

What takes long, sheets and pictures, goes by the side of these: no page waits for it.
"""

from collections import deque
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import TypeVar, TypeVarTuple

from anyio import CapacityLimiter, Event, to_thread

__all__ = ["LONG", "UNDER_WAY", "Lanes"]

UNDER_WAY = 2
"""So many pages are worked on at once; more than one, for each waits for the database at times."""

LONG = 4
"""So many sheets and pictures are worked on at once."""

Args = TypeVarTuple("Args")
Result = TypeVar("Result")


class Lanes:
    """The turns of one application; all of its methods are called in its event loop."""

    def __init__(self) -> None:
        self._long = CapacityLimiter(LONG)
        self._threads = CapacityLimiter(UNDER_WAY)
        self._free = UNDER_WAY
        self._recording = False
        self._forms: deque[Event] = deque()
        self._pages: deque[Event] = deque()

    async def long(self, work: Callable[[*Args], Result], *args: *Args) -> Result:
        """Do in a thread what takes long."""
        return await to_thread.run_sync(work, *args, limiter=self._long)

    async def look(self, work: Callable[[*Args], Result], *args: *Args) -> Result:
        """Do in a thread, when its turn comes, what only reads."""
        async with self._turn(records=False):
            return await to_thread.run_sync(work, *args, limiter=self._threads)

    async def record(self, work: Callable[[*Args], Result], *args: *Args) -> Result:
        """Do in a thread, when its turn comes, what may write."""
        async with self._turn(records=True):
            return await to_thread.run_sync(work, *args, limiter=self._threads)

    @asynccontextmanager
    async def _turn(self, *, records: bool) -> AsyncIterator[None]:
        turn = Event()
        (self._forms if records else self._pages).append(turn)
        self._call()
        try:
            await turn.wait()
        except BaseException:  # who asked has gone away
            if turn.is_set():
                self._give_back(records=records)
            else:
                (self._forms if records else self._pages).remove(turn)
            raise
        try:
            yield
        finally:
            self._give_back(records=records)

    def _give_back(self, *, records: bool) -> None:
        self._free += 1
        if records:
            self._recording = False
        self._call()

    def _call(self) -> None:
        """Call in whoever is next, as long as there is room."""
        while self._free:
            if self._forms and not self._recording:
                self._recording = True
                self._forms.popleft().set()
            elif self._pages:
                self._pages.popleft().set()
            else:
                return
            self._free -= 1
