"""The paper of every sheet: A4, or US Letter where a person has that. Pure.

It is chosen once, before anything is printed; sheets ask for it where they are laid out. Letter is
6 mm wider and 18 mm shorter: lines stand as on A4, and fewer of them on a page.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from stores.errors import BadValue

__all__ = ["Paper", "card_paper", "chosen_paper", "paper_named", "printing_on"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, upright, in mm; the margins are the house's, the left one for punched holes."""

    name: str
    width: float
    height: float
    left: float = 18.0
    top: float = 14.0

    @property
    def right(self) -> float:
        """Where the right margin begins."""
        return self.width - 12.0

    @property
    def bottom(self) -> float:
        """Where the foot of the page begins."""
        return self.height - 16.0

    @property
    def room(self) -> float:
        """How wide a line may be."""
        return self.right - self.left

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        return self.width, self.height


_A4 = Paper("A4", 210.0, 297.0)  # ISO 216
_PAPERS = {"a4": _A4, "letter": Paper("US Letter", 215.9, 279.4)}  # ANSI/ASME Y14.1, size A

_A5 = Paper("A5", 148.0, 210.0)  # ISO 216

_CHOSEN: ContextVar[Paper] = ContextVar("paper", default=_A4)


def paper_named(name: str) -> Paper:
    """Give A4 or US Letter; without a name, the one that was chosen for all sheets.

    Raises:
        BadValue: another paper.
    """
    key = name.strip().lower().removeprefix("us").strip(" -")
    if not key:
        return chosen_paper()
    if key not in _PAPERS:
        raise BadValue(f"no paper {name!r} for the sheets: A4 or Letter")
    return _PAPERS[key]


def card_paper(name: str) -> Paper:
    """Give the paper of a card to work by: A5, or that of a sheet.

    Raises:
        BadValue: another paper.
    """
    if name.strip().upper() == "A5":
        return _A5
    try:
        return paper_named(name)
    except BadValue as error:
        raise BadValue(f"no paper {name!r} for a joint card: A5, A4 or Letter") from error


def chosen_paper() -> Paper:
    """Give the paper that sheets are printed on."""
    return _CHOSEN.get()


@contextmanager
def printing_on(name: str) -> Iterator[None]:
    """Print on this paper meanwhile.

    Raises:
        BadValue: another than A4 and Letter.
    """
    before = _CHOSEN.set(paper_named(name))
    try:
        yield
    finally:
        _CHOSEN.reset(before)
