"""What was printed, and putting it on disk whole or not at all."""

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from stores.errors import PrintError

__all__ = ["Printed", "put"]


@dataclass(frozen=True, slots=True)
class Printed:
    """A file that was made. ``warnings`` say what a person should know before using it."""

    path: Path
    sheets: int
    labels: int = 0
    stock: str = ""
    warnings: tuple[str, ...] = ()


def put(path: Path, data: bytes) -> None:
    """Write a file so that it is there whole, or as it was before.

    Raises:
        PrintError: the folder is missing or may not be written, or the disk is full.
    """
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise PrintError(f"cannot write {path}: it is a folder; give the name of a file")
    if not target.parent.is_dir():
        raise PrintError(f"cannot write {path}: there is no folder {target.parent}")
    part = target.parent / f".{secrets.token_hex(8)}.part"
    try:
        try:
            with part.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        except BaseException:
            with suppress(OSError):
                part.unlink()
            raise
    except OSError as error:
        raise PrintError(f"cannot write {path}: {error.strerror or error}") from error
