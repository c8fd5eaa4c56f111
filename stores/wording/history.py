"""Machines, the history and the audit in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stores.model.record import ActLine, Machine
from stores.text import counted, day_words
from stores.wording import Listing, Said

if TYPE_CHECKING:
    from stores.usecases.history import Audit, Undone
    from stores.usecases.machines import KeptForParts, MachineAdded

__all__ = [
    "HINTS",
    "REFUSALS",
    "for_parts",
    "history_table",
    "machine_added",
    "machine_table",
    "open_matters",
    "undone",
]


def _moved(act: int, summary: str, later: tuple[int, ...]) -> str:
    listed = ", ".join(str(each) for each in later)
    return (
        f"act {act} ({summary}) cannot be undone, its pieces have moved on since: "
        f"undo first act {listed}"
    )


REFUSALS = {
    "machine's name taken": (
        "there is a machine called {name!r} already: give this one another name"
    ),
    "not kept for parts": "{machine} is not kept for parts, so every step of it goes back; {hint}",
    "kept for parts already": "{machine} is kept for parts already",
    "to be restored already": "{machine} is to be restored already",
    "how many acts": "how many acts? At least 1, not {typed}",
    "acts begin at 1": "acts are numbered from 1, there is no act {act}",
    "nothing to undo": "there is nothing to undo",
    "no such act": "no act {act}: '{hint}' lists them",
    "no step of that number": "no step {step}: '{hint}' lists what was done",
    "undone already": "act {act} ({summary}) is undone already",
    "order in use": (
        "pieces of order {order} came or were cancelled since: undo that first, '{hint}' lists it"
    ),
    "moved on since": _moved,
    "a box inside itself": "that would put a box inside itself: undo the later 'stow' first",
    "list read in again": "{name!r} was read in again since: undo act {act} first",
    "an act and a step": (
        "act {number} is '{summary}', step {number} is act {act}: "
        "say 'stores undo act {number}' or 'stores undo step {number}'"
    ),
    "machine has steps": ("machine {machine} has steps: undo those first, then the machine itself"),
    "items moved since": "act {act} cannot be undone, {items} moved since: undo that first",
    "machine's name taken by now": "there is another machine called {machine} by now",
    "its machine is undone": "its machine {machine} is undone: bring that back first",
}
HINTS = {"for_parts": 'stores machine for-parts "{name}" keeps it for parts'}

_KNOWN_AS = {"reverse": "undo", "return": "back"}
"""Acts that a person knows by the command, not by their name in the record."""


def machine_added(reply: "MachineAdded") -> Said:
    """Return that a machine was added, and what comes next."""
    kept = ", kept for parts" if reply.for_parts else ""
    return Said(
        (f"Machine {reply.machine} added to {reply.stores}{kept}.",),
        ('Next: stores strip "ASSEMBLY" "WHAT CAME OFF" "4 M6x25 hex" ...',),
    )


def for_parts(reply: "KeptForParts") -> Said:
    """Return whether a machine is kept for its parts, and what is wanted back all the same."""
    if not reply.for_parts:
        return Said((f"{reply.machine} is to be restored: what is off it is wanted back.",))
    if not reply.wanted:
        return Said((f"{reply.machine} is kept for parts: nothing goes back on it.",))
    steps = ", ".join(map(str, reply.wanted))
    word = "step" if len(reply.wanted) == 1 else "steps"
    return Said((f"{reply.machine} is kept for parts: only {word} {steps} wanted back.",))


def machine_table(machines: Sequence[Machine]) -> Listing:
    """Return the machines as a table."""
    return Listing(
        ["Machine", "Maker", "Model", "Year", "Steps"],
        [
            [
                f"{m.name} (for parts)" if m.for_parts else m.name,
                m.maker,
                m.model,
                m.year,
                str(m.steps),
            ]
            for m in machines
        ],
        [4],
    )


def undone(reply: "Undone") -> Said:
    """Return what was taken back, and how to bring it back."""
    what = f"{counted(reply.pieces)} put back" if reply.pieces else "no piece moved"
    return Said(
        (f"Undone: act {reply.undone}, {reply.summary} ({what}).",),
        (f"To bring it back: stores undo act {reply.act}",),
    )


def history_table(acts: Sequence[ActLine]) -> Listing:
    """Return the acts as a table, the newest first."""
    rows = []
    for act in acts:
        text = act.summary + (f": {act.reason}" if act.reason else "")
        if not act.stands:
            text = f"(undone by act {act.reversed_by}) {text}"
        kind = _KNOWN_AS.get(act.kind.value, act.kind.value)
        rows.append([str(act.number), day_words(act.happened_at), kind, text])
    return Listing(["Act", "Date", "What", ""], rows, [0])


def open_matters(reply: "Audit") -> list[str]:
    """Return what is no fault, but not to be forgotten."""
    if reply.stocktake is None:
        return []
    return [*reply.stocktake.open_matters, *(f"debt: {debt.words}" for debt in reply.debts)]
