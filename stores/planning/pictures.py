"""Pictures of the strip-down as the sheets show them."""

from dataclasses import dataclass
from pathlib import Path

__all__ = ["Shot"]


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture on record, with what it is tied to.

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
