"""Looking over a folder of pictures: all that can be taken, and a reason for each that cannot.

What happens to a file is decided by its content. Hidden files and folders, links to folders, and
files that usually lie beside pictures (lists, films, a folder's own small pictures) are left alone
and listed as such; every other file that is not a picture is refused by name. A file that was
named by itself, not found in a folder, is never left alone: it is taken or refused.
"""

import os
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from stores.photos.look import Look, look
from stores.photos.parallel import in_order
from stores.photos.refusal import PictureRefused

__all__ = ["LeftAlone", "LookedOver", "look_over", "natural", "put_in_order"]

_COMPANIONS = {
    ".aae": "a phone's note on how a picture was edited",
    ".avi": "a film",
    ".csv": "a table",
    ".ctg": "a camera's catalogue",
    ".db": "a folder's own small pictures",
    ".doc": "a text",
    ".docx": "a text",
    ".htm": "a text",
    ".html": "a text",
    ".ini": "a folder's settings",
    ".json": "notes of a program",
    ".log": "notes of a program",
    ".m4a": "a sound",
    ".m4v": "a film",
    ".md": "a text",
    ".mov": "a film",
    ".mp3": "a sound",
    ".mp4": "a film",
    ".mts": "a film",
    ".ods": "a table",
    ".odt": "a text",
    ".pdf": "a PDF",
    ".rtf": "a text",
    ".txt": "a text",
    ".wav": "a sound",
    ".xlsx": "a table",
    ".xml": "notes of a program",
    ".xmp": "notes of a program",
    ".zip": "an archive",
}


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """A file or folder that nobody meant as a picture, and what it was taken for."""

    file: Path
    reason: str


@dataclass(frozen=True, slots=True)
class LookedOver:
    """The pictures in order of time, the refusals and what was left alone in order of name."""

    looks: tuple[Look, ...]
    refusals: tuple[PictureRefused, ...]
    left_alone: tuple[LeftAlone, ...]


def look_over(
    what: Path | Iterable[Path],
    *,
    progress: Callable[[int, int], None] | None = None,
    workers: int | None = None,
) -> LookedOver:
    """Look at every file of a folder and the folders in it, or at the files named.

    ``progress`` is told after each file how many of how many are done, from the thread that
    called. Links to files are followed, links to folders are not, so a loop does no harm. Nothing
    is raised for a file: what is wrong with it is among the refusals.
    """
    files: dict[Path, bool] = {}
    refusals: list[PictureRefused] = []
    left: list[LeftAlone] = []
    for each in [what] if isinstance(what, Path) else what:
        if _is_folder(each):
            for found in _walk(each, refusals, left):
                files.setdefault(found, False)
        else:
            files[each] = True
    looks: list[Look] = []
    for done, (file, result) in enumerate(
        zip(files, in_order(_tried, files, workers), strict=True)
    ):
        if isinstance(result, Look):
            looks.append(result)
        elif not files[file] and file.suffix.lower() in _COMPANIONS:
            left.append(LeftAlone(file, _COMPANIONS[file.suffix.lower()]))
        else:
            refusals.append(result)
        if progress:
            progress(done + 1, len(files))
    return LookedOver(
        tuple(put_in_order(looks)),
        tuple(sorted(refusals, key=lambda each: natural(each.file))),
        tuple(sorted(left, key=lambda each: natural(each.file))),
    )


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # the look at it says what is wrong
        return False


def _tried(file: Path) -> Look | PictureRefused:
    try:
        return look(file)
    except PictureRefused as refused:
        return refused


def _walk(top: Path, refusals: list[PictureRefused], left: list[LeftAlone]) -> Iterator[Path]:
    """Give the files of a folder and those below it; note what is passed over."""

    def unread(error: OSError) -> None:
        where = Path(os.fsdecode(error.filename)) if error.filename else top
        refusals.append(PictureRefused(where, f"folder cannot be read: {error.strerror}"))

    for at, folders, names in os.walk(top, onerror=unread):
        here = Path(at)
        below = []
        for name in sorted(folders, key=natural):
            if name.startswith("."):
                left.append(LeftAlone(here / name, "a hidden folder"))
            elif (here / name).is_symlink():
                left.append(LeftAlone(here / name, "a link to a folder"))
            else:
                below.append(name)
        folders[:] = below
        for name in sorted(names, key=natural):
            if name.startswith("."):
                left.append(LeftAlone(here / name, "a hidden file"))
            else:
                yield here / name


def natural(name: str | Path) -> tuple[object, ...]:
    """Give a key that sorts names as a person would: 2.jpg before 10.jpg, capitals aside."""
    text = os.fspath(name)
    parts = re.split(r"([0-9]+)", text.casefold())
    key = [(int(part), len(part)) if at % 2 else part for at, part in enumerate(parts)]
    return (tuple(key), text)


def put_in_order(looks: Iterable[Look]) -> list[Look]:
    """Order pictures by the time they were taken, then by name.

    A picture that tells no time stands behind the timed one before it by name in its folder, for
    cameras number as they go; so it is not torn out of a run of pictures.
    """
    by_folder: dict[Path, list[Look]] = {}
    for each in sorted(looks, key=lambda each: natural(each.file)):
        by_folder.setdefault(each.file.parent, []).append(each)
    placed: list[tuple[str, int, Look]] = []
    for folder in by_folder.values():
        last, behind = "", 0
        for each in folder:
            if each.taken:
                last, behind = each.taken.replace(tzinfo=None).isoformat(), 0
            else:
                behind += 1
            placed.append((last, behind, each))
    return [each for *_, each in sorted(placed, key=lambda row: (*row[:2], natural(row[2].file)))]
