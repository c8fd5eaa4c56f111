"""What was printed, and putting it on disk whole or not at all."""

import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from stores.errors import PrintError, shorten

__all__ = ["Printed", "put"]


@dataclass(frozen=True, slots=True)
class Printed:
    """A file that was made. ``warnings`` say what a person should know before using it."""

    path: Path
    sheets: int
    labels: int = 0
    stock: str = ""
    warnings: tuple[str, ...] = ()


def put(path: Path, data: bytes | Iterable[bytes]) -> None:
    """Write a file, whole or in pieces, so that it is there whole, or as it was before.

    Raises:
        PrintError: the folder is missing or may not be written, the disk is full, or the file
            there is a database: a stores is never written over.
    """
    pieces = [data] if isinstance(data, bytes) else data
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise PrintError(f"cannot write {path}: it is a folder; give the name of a file")
        if not target.parent.is_dir():
            raise PrintError(f"cannot write {path}: there is no folder {target.parent}")
        if target.exists() and not target.is_file():
            with target.open("wb") as device:  # or a pipe: written to, never replaced
                device.writelines(pieces)
            return
        _spare_a_record(path, target)
        part = target.parent / f".{secrets.token_hex(8)}.part"
        try:
            with part.open("xb") as file:
                file.writelines(pieces)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        except BaseException:
            with suppress(OSError):
                part.unlink()
            raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PrintError(f"cannot write {shorten(str(path), 200)}: {reason}") from error


def _spare_a_record(path: Path, target: Path) -> None:
    """Refuse to write over a database, or over the files that a database keeps beside itself."""
    names = [target.name]
    names += [target.name.removesuffix(tail) for tail in ("-wal", "-shm", "-journal")]
    for name in dict.fromkeys(names):
        beside = target.with_name(name) if name else target
        if beside.is_file():
            with beside.open("rb") as file:
                if file.read(16) == b"SQLite format 3\0":
                    raise PrintError(f"{path} is a database or belongs to one: give another name")
