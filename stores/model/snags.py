"""Snags: faults seen before or during the strip-down, to be cleared before things are closed up."""

from dataclasses import dataclass

from stores.model.choices import NOTED, SORTS
from stores.model.items import lies_in, path_of
from stores.text import fold, words_of

__all__ = ["NOTED", "SORTS", "Snag"]

_PAIRS = (
    frozenset({"left", "right"}),
    frozenset({"front", "rear"}),
    frozenset({"upper", "lower"}),
    frozenset({"inner", "outer"}),
    frozenset({"nearside", "offside"}),
)
_ALSO = {
    "lh": "left", "rh": "right", "back": "rear", "top": "upper", "bottom": "lower",
    "inside": "inner", "outside": "outer",
}  # fmt: skip
"""Other words for a side."""


def _sides(words: str) -> frozenset[str]:
    said = {_ALSO.get(word, word) for word in words_of(words)}
    return frozenset(side for pair in _PAIRS for side in pair if side in said)


@dataclass(frozen=True, slots=True)
class Snag:
    """A fault on record, tied to an assembly, a step or an item of a machine.

    ``number`` is its number within the machine. ``cleared`` says how, empty while it is open.
    """

    number: int
    sort: str
    text: str
    side: str = ""
    assembly: str = ""
    step: int | None = None
    item: str = ""
    date: str = ""
    cleared: str = ""
    cleared_on: str = ""
    pictures: tuple[int, ...] = ()

    @property
    def open(self) -> bool:
        """Whether it has still to be cleared."""
        return not self.cleared and self.sort != NOTED

    @property
    def where(self) -> str:
        """Say where it is: ``step 7``, ``7.2``, ``Engine``, the machine. Its side is in its
        words, beside which this stands everywhere."""
        return self.item or (f"step {self.step}" if self.step else self.assembly) or "the machine"

    @property
    def words(self) -> str:
        """Say it in a line: ``leak, gearbox cover, left``."""
        said = not self.side or fold(self.side) in words_of(self.text)
        side = "" if said else f", {self.side}"
        return f"{self.text}{side}" if self.sort == "fault" else f"{self.sort}: {self.text}{side}"

    def side_beside(self, words: str) -> int:
        """Return how its side goes with what is said of a step: 1 the same, -1 the other one, 0
        where either says none, or the step is of both."""
        ours = _sides(self.side)
        if not ours:
            return 0
        theirs = _sides(words)
        if any(
            theirs & pair and not theirs & pair & ours for pair in _PAIRS if len(ours & pair) == 1
        ):
            return -1
        return int(bool(ours & theirs))

    def is_of(self, assembly: str) -> bool:
        """Tell whether it stands on the checklist of this assembly: its own, or one inside it."""
        return bool(path_of(self.assembly)) and lies_in(assembly, self.assembly)
