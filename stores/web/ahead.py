"""What will be asked next, worked out in the quiet after an act: the plan of the machine.

A page that shows what goes on next stands on the plan, and after an act that is another. This
thread writes nothing, and it begins only once no form has come for a while: where many record at
once it stays out of their way.
"""

import threading
from contextlib import suppress
from typing import TYPE_CHECKING

from stores.errors import StoresError
from stores.model.work_units import working_in
from stores.usecases.context import Context
from stores.usecases.next_step import OneStep, step_at_hand

if TYPE_CHECKING:
    from stores.web.visit import House

__all__ = ["QUIET", "Ahead"]

QUIET = 0.25
"""Seconds without another act after which the plan is worked out."""


class Ahead:
    """Works the plan out anew after an act, in a thread of its own."""

    def __init__(self, house: "House", quiet: float = QUIET) -> None:
        self._house = house
        self._quiet = quiet
        self._machine: str | None = None
        self._again = threading.Event()
        self._over = False
        self._thread = threading.Thread(target=self._work, name="ahead", daemon=True)
        self._thread.start()

    def after_an_act(self, machine: str | None) -> None:
        """Say that something was recorded from a device that is about this machine."""
        self._machine = machine
        self._again.set()

    def stop(self) -> None:
        """End the thread; what it has begun it finishes."""
        self._over = True
        self._again.set()
        self._thread.join()

    def _work(self) -> None:
        while self._again.wait() and not self._over:
            self._again.clear()
            if self._again.wait(self._quiet):
                continue  # another act came, or it is over
            # nothing stripped yet, no such machine: the page itself will say so
            with suppress(StoresError), working_in(self._house.units):
                step_at_hand(Context(self._house.store, self._machine), OneStep())
