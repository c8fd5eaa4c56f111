"""Folders of pictures: looking over one, and keeping each content once, whole or not at all.

What happens to a file is decided by its content. Hidden files and folders, links to folders, and
files that usually lie beside pictures (lists, films, a folder's own small pictures) are left alone
and listed as such; every other file that is not a picture is refused by name. A file that was
named by itself, not found in a folder, is never left alone: it is taken or refused.
"""

import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from stores.errors import StorageError
from stores.leftovers import unfinished
from stores.photos.opening import (
    SUFFIXES,
    PictureFile,
    PictureRefused,
    in_order,
    look,
    read_file,
    shown,
)

__all__ = [
    "LeftAlone",
    "LookedOver",
    "keep",
    "keep_file",
    "kept_fault",
    "kept_path",
    "look_over",
    "natural",
    "put_in_order",
]

_PIECE = 1 << 20
_DIGEST = re.compile(r"[0-9a-f]{64}")
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

    looks: tuple[PictureFile, ...]
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
    looks: list[PictureFile] = []
    for done, (file, result) in enumerate(
        zip(files, in_order(_tried, files, workers), strict=True)
    ):
        if isinstance(result, PictureFile):
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


def _tried(file: Path) -> PictureFile | PictureRefused:
    try:
        return look(file)
    except PictureRefused as refused:
        return refused


def _walk(top: Path, refusals: list[PictureRefused], left: list[LeftAlone]) -> Iterator[Path]:
    """Return the files of a folder and those below it; note what is passed over."""

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
    """Return a key that sorts names as a person would: 2.jpg before 10.jpg, capitals aside."""
    text = os.fspath(name)
    parts = re.split(r"([0-9]+)", text.casefold())
    key = [(int(part), len(part)) if at % 2 else part for at, part in enumerate(parts)]
    return (tuple(key), text)


def put_in_order(looks: Iterable[PictureFile]) -> list[PictureFile]:
    """Order pictures by the time they were taken, then by name.

    A picture that tells no time stands behind the timed one before it by name in its folder, for
    cameras number as they go; so it is not torn out of a run of pictures.
    """
    by_folder: dict[Path, list[PictureFile]] = {}
    for each in sorted(looks, key=lambda each: natural(each.file)):
        by_folder.setdefault(each.file.parent, []).append(each)
    placed: list[tuple[str, int, PictureFile]] = []
    for folder in by_folder.values():
        last, behind = "", 0
        for each in folder:
            if each.taken:
                last, behind = each.taken.replace(tzinfo=None).isoformat(), 0
            else:
                behind += 1
            placed.append((last, behind, each))
    return [each for *_, each in sorted(placed, key=lambda row: (*row[:2], natural(row[2].file)))]


def kept_path(folder: Path, digest: str, suffix: str) -> Path:
    """Return where a picture is kept: ``ab/abcdef….jpg`` in the folder of pictures.

    Raises:
        StorageError: no digest, or the suffix of no picture: the record came from elsewhere, and
            would have any file shown.
    """
    if not _DIGEST.fullmatch(digest) or suffix not in SUFFIXES.values():
        raise StorageError(
            f"the record names a picture file that cannot be one, {shown(Path(digest + suffix))}: "
            "'stores record audit' says which"
        )
    return folder / digest[:2] / f"{digest}{suffix}"


def kept_fault(folder: Path, digest: str, suffix: str) -> str:
    """Return what is wrong with a kept picture: ``missing``, ``overwritten`` where something else
    is in its place, ``unreadable``, or ``misnamed`` where no picture's file is called that; empty
    where it is there as it was kept."""
    try:
        place = kept_path(folder, digest, suffix)
    except StorageError:
        return "misnamed"
    try:
        with place.open("rb") as stream:
            return "" if _copied(stream, lambda piece: None) == digest else "overwritten"
    except (FileNotFoundError, NotADirectoryError):
        return "missing"
    except OSError:
        return "unreadable"


def keep(picture: PictureFile, folder: Path) -> Path:
    """Keep a picture in the folder of pictures and give its path. Raises as `keep_file`."""
    return keep_file(picture.file, picture.digest, picture.suffix, folder)


def keep_file(file: Path, digest: str, suffix: str, folder: Path) -> Path:
    """Keep a file of this digest in the folder of pictures and give its path.

    The copy is written beside its place, brought to the disc and only then given its name, so no
    half picture is ever found there. A picture already kept is read through and left as it is;
    what is not that picture is moved aside, ``….jpg.overwritten``, and the picture kept anew.

    Raises:
        PictureRefused: the file has changed since it was looked at, or cannot be read any more.
        StorageError: the folder cannot be written, or what is in the picture's place not read.
    """
    place = kept_path(folder, digest, suffix)
    fault = kept_fault(folder, digest, suffix)
    if not fault:
        return place
    if fault == "unreadable":
        raise StorageError(f"the kept picture {shown(place)} cannot be read")
    beside = unfinished(place)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        beside.unlink(missing_ok=True)
        with beside.open("xb") as copy:
            with read_file(file) as stream:
                found = _copied(stream, copy.write)
            if found != digest:
                raise PictureRefused(file, "the file has changed since it was looked at")
            copy.flush()
            os.fsync(copy.fileno())
        if fault == "overwritten":
            _move_aside(place)
        _name(beside, place)
    except OSError as error:
        raise StorageError(
            f"the picture cannot be kept in {shown(folder)}: {error.strerror or error}"
        ) from error
    finally:
        with suppress(OSError):
            beside.unlink()
    if kept_fault(folder, digest, suffix):
        raise StorageError(f"the picture did not stay in {shown(place)}")
    return place


def _move_aside(place: Path) -> None:
    """Give what is in a picture's place another name; nothing is deleted or written over."""
    aside, number = place.with_name(f"{place.name}.overwritten"), 1
    while aside.exists():
        number += 1
        aside = place.with_name(f"{place.name}.overwritten-{number}")
    place.rename(aside)


def _copied(stream: IO[bytes], write: Callable[[bytes], object]) -> str:
    digest = hashlib.sha256()
    while piece := stream.read(_PIECE):
        digest.update(piece)
        write(piece)
    return digest.hexdigest()


def _name(beside: Path, place: Path) -> None:
    """Give the finished copy its name, never over another; one that came first has our content."""
    try:
        os.link(beside, place)  # fails where the name is taken; a rename would write over it
    except FileExistsError:
        return
    except OSError:  # a file system without hard links
        if not place.exists():
            beside.rename(place)
    with suppress(OSError, AttributeError):  # systems that cannot bring a folder to the disc
        descriptor = os.open(place.parent, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
