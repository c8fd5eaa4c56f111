"""Pictures of the strip-down as the record has them, and as the sheets show them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from stores.model.items import Step

__all__ = ["OFFERED", "Filed", "PictureOnRecord", "Shot", "listed", "shots"]

OFFERED = "offered"
"""How a picture is tied that somebody has still to say yes to."""


@dataclass(frozen=True, slots=True)
class Filed:
    """What a picture is tied to: a step, a bag or an item, and how it came to be.

    ``how`` is ``by hand``, ``by label``, ``by time``, or begins with `OFFERED`.
    """

    how: str
    step: int = 0
    bag: str = ""
    item: str = ""

    @property
    def offered(self) -> bool:
        """Whether somebody has still to say yes."""
        return self.how.startswith(OFFERED)

    @property
    def what(self) -> str:
        """Name it: ``step 7``, ``bag A001N``, ``7.2``."""
        return f"bag {self.bag}" if self.bag else self.item or f"step {self.step}"


@dataclass(frozen=True, slots=True)
class PictureOnRecord:
    """A picture with all that it is tied to. ``row`` is its row, ``number`` that of its machine."""

    row: int
    number: int
    digest: str
    name: str
    taken: str
    width: int
    height: int
    turn: int
    format: str
    size: int
    caption: str = ""
    filed: tuple[Filed, ...] = ()

    @property
    def kept(self) -> tuple[Filed, ...]:
        """What it is tied to for good."""
        return tuple(each for each in self.filed if not each.offered)

    @property
    def offers(self) -> tuple[Filed, ...]:
        """What it is offered to."""
        return tuple(each for each in self.filed if each.offered)


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture for a sheet, with what it is tied to.

    ``number`` is its number on the machine's sheets, ``taken`` when it was taken, ISO 8601 in local
    time, empty if unknown. ``step`` is 0 where it belongs to none; ``turn`` the EXIF orientation,
    1 to 8; ``width`` and ``height`` in pixels as stored, before turning.
    """

    number: int
    file: Path
    taken: str = ""
    caption: str = ""
    machine: str = ""
    assembly: str = ""
    step: int = 0
    part: str = ""
    bags: tuple[str, ...] = ()
    width: int = 0
    height: int = 0
    turn: int = 1


def shots(
    pictures: Iterable[PictureOnRecord],
    steps: Mapping[int, Step],
    steps_of_bag: Mapping[str, int],
    files: Mapping[str, Path],
    machine: str,
) -> list[Shot]:
    """Put pictures in the order of their steps, those of no step last.

    ``steps`` are by number, ``steps_of_bag`` gives the step whose pieces went into a bag first,
    ``files`` where each is kept, by digest.
    """
    made = []
    for each in pictures:
        number = next((filed.step for filed in each.kept if filed.step), 0)
        bags = tuple(dict.fromkeys(filed.bag for filed in each.kept if filed.bag))
        if not number and bags:
            number = steps_of_bag.get(bags[0], 0)
        step = steps.get(number)
        made.append(
            Shot(
                each.number,
                files[each.digest],
                each.taken,
                each.caption,
                machine,
                step.assembly if step else "",
                number,
                step.part if step else "",
                bags,
                each.width,
                each.height,
                each.turn,
            )
        )
    return sorted(made, key=lambda shot: (shot.step == 0, shot.step, shot.taken, shot.number))


def listed(numbers: Iterable[int]) -> str:
    """Write numbers with ranges drawn together: ``3, 12 to 15``."""
    parts: list[list[int]] = []
    for number in sorted(numbers):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in parts)
