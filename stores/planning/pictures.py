"""Pictures of the strip-down as the record has them, and as the sheets show them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from stores.model.items import Step
from stores.model.snags import Snag

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
    """A picture with all that it is tied to. ``row`` is its row, ``number`` that of its machine.

    ``name`` is its file's name when it was taken in; ``snags`` are the numbers of those it shows.
    """

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
    snags: tuple[int, ...] = ()

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
    """One picture for a sheet, under one of the things that it shows.

    ``number`` is its number on the machine's sheets, ``taken`` when it was taken, ISO 8601 in local
    time, empty if unknown. ``step`` is 0 where it belongs to none; ``turn`` the EXIF orientation,
    1 to 8; ``width`` and ``height`` in pixels as stored, before turning. ``name`` is its file's
    name when it was taken in, ``snags`` those of this step or assembly that it shows.
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
    name: str = ""
    snags: tuple[Snag, ...] = ()


def shots(
    pictures: Iterable[PictureOnRecord],
    steps: Mapping[int, Step],
    steps_of_bag: Mapping[str, int],
    files: Mapping[str, Path],
    machine: str,
    snags: Iterable[Snag] = (),
) -> list[Shot]:
    """Put pictures in the order of their steps, those of no step last.

    A picture that shows things of several steps comes once under each; one that shows a snag comes
    under the snag's step, or where it has none under its assembly. ``steps`` are by number,
    ``steps_of_bag`` gives the step whose pieces went into a bag first, ``files`` where each is
    kept, by digest.
    """
    shown: dict[int, list[Snag]] = {}
    for snag in snags:
        for picture in snag.pictures:
            shown.setdefault(picture, []).append(snag)
    made = [
        Shot(
            each.number,
            files[each.digest],
            each.taken,
            each.caption,
            machine,
            place.assembly,
            place.step,
            steps[place.step].part if place.step in steps else "",
            tuple(dict.fromkeys(place.bags)),
            each.width,
            each.height,
            each.turn,
            each.name,
            tuple(place.snags),
        )
        for each in pictures
        for place in _places(each, steps, steps_of_bag, shown.get(each.number, ()))
    ]
    return sorted(made, key=lambda shot: (shot.step == 0, shot.step, shot.taken, shot.number))


@dataclass(slots=True)
class _Place:
    """Where a picture stands on the sheets, and which of its bags and snags are there."""

    step: int
    assembly: str
    bags: list[str] = field(default_factory=list)
    snags: list[Snag] = field(default_factory=list)


def _places(
    picture: PictureOnRecord,
    steps: Mapping[int, Step],
    steps_of_bag: Mapping[str, int],
    snags: Iterable[Snag],
) -> list[_Place]:
    places: list[_Place] = []

    def place(step: int, assembly: str = "") -> _Place:
        assembly = steps[step].assembly if step in steps else assembly
        for each in places:
            if each.step == step if step else each.assembly == assembly:
                return each
        places.append(_Place(step, assembly))
        return places[-1]

    for filed in picture.kept:
        there = place(filed.step or steps_of_bag.get(filed.bag, 0))
        if filed.bag:
            there.bags.append(filed.bag)
    for snag in snags:
        whole = places[0] if places and not (snag.step or snag.assembly) else None
        (whole or place(snag.step or 0, snag.assembly)).snags.append(snag)
    return places or [_Place(0, "")]


def listed(numbers: Iterable[int]) -> str:
    """Write numbers with ranges drawn together: ``3, 12 to 15``."""
    parts: list[list[int]] = []
    for number in sorted(numbers):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in parts)
