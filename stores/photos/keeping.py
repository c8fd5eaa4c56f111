"""Keeping pictures: each content once, under its own digest, whole or not at all."""

import hashlib
import os
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import IO

from stores.errors import StorageError
from stores.photos.look import Look
from stores.photos.opening import read_file
from stores.photos.refusal import PictureRefused, shown

__all__ = ["keep", "kept_path"]

_PIECE = 1 << 20


def kept_path(look: Look, folder: Path) -> Path:
    """Give where a picture is kept: ``ab/abcdef….jpg`` in the folder of pictures."""
    return folder / look.digest[:2] / f"{look.digest}{look.suffix}"


def keep(look: Look, folder: Path) -> Path:
    """Keep a picture in the folder of pictures and give its path.

    The copy is written beside its place, brought to the disc and only then given its name, so no
    half picture is ever found there. A picture already kept is read through and left as it is.

    Raises:
        PictureRefused: the file has changed since it was looked at, or cannot be read any more.
        StorageError: the folder cannot be written, or the kept copy is damaged.
    """
    place = kept_path(look, folder)
    if _verified(look, place):
        return place
    beside = place.with_name(f".{place.name}.{os.getpid()}-{threading.get_ident()}")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with beside.open("xb") as copy:
            with read_file(look.file) as stream:
                digest = _copied(stream, copy.write)
            if digest != look.digest:
                raise PictureRefused(look.file, "the file has changed since it was looked at")
            copy.flush()
            os.fsync(copy.fileno())
        _name(beside, place)
    except OSError as error:
        raise StorageError(
            f"the picture cannot be kept in {shown(folder)}: {error.strerror or error}"
        ) from error
    finally:
        with suppress(OSError):
            beside.unlink()
    if not _verified(look, place):
        raise StorageError(f"the picture did not stay in {shown(place)}")
    return place


def _verified(look: Look, place: Path) -> bool:
    """Tell whether the picture is kept already.

    Raises:
        StorageError: something else is in its place.
    """
    try:
        with place.open("rb") as stream:
            same = _copied(stream, lambda piece: None) == look.digest
    except FileNotFoundError:
        return False
    except OSError as error:
        raise StorageError(
            f"the kept picture {shown(place)} cannot be read: {error.strerror or error}"
        ) from error
    if not same:
        raise StorageError(
            f"the kept picture {shown(place)} is damaged; move it away and import it again"
        )
    return True


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
