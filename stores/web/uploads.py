"""Pictures that a browser sends: files under names of ours, gone when they are done with.

What a sender calls a file is a wish: of it the last part stays, of that letters, figures and a few
signs, so that no path and no markup of a sender's is ever seen by a use-case or kept on record.
"""

import re
import shutil
import threading
from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from starlette.datastructures import UploadFile

from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.usecases.pictures import NotTaken, PicturesTaken

__all__ = ["DECODING", "TAKING", "Held", "Holding", "by_name", "put_down", "safe_name"]

DECODING = threading.Lock()
"""Held while a picture is decoded for a page: one at a time, for its pixels take memory."""
TAKING = threading.Lock()
"""Held while pictures are taken into the record, which decodes them too; a scan need not wait."""

MOST_HELD = 1000
"""Pictures that wait to be taken in together: a card full, of a few gigabytes."""
MOST_BATCHES = 4
_LONGEST_NAME = 80


def safe_name(sent: str | None) -> str:
    """Return a file name for what a sender calls a file; there is always one.

    >>> safe_name("../../etc/<b>cover</b>.JPG")
    'b.JPG'
    >>> safe_name("IMG 0042.jpg")
    'IMG 0042.jpg'
    """
    last = re.split(r"[/\\]", sent or "")[-1]
    kept = "".join(each if each.isalnum() or each in "-_. ()" else "" for each in last)
    stem, dot, suffix = kept.strip(". ").rpartition(".")
    name = f"{stem[: _LONGEST_NAME - 6]}{dot}{suffix[:5]}" if dot else suffix[:_LONGEST_NAME]
    return name.strip() or "picture"


def put_down(files: Iterable[UploadFile], folder: Path) -> tuple[Path, ...]:
    """Write what was sent into a folder and return the files, in the order in which they came."""
    return tuple(_put_down(each, folder) for each in files)


def _put_down(sent: UploadFile, folder: Path) -> Path:
    path = folder / safe_name(sent.filename)
    number = 1
    while path.exists():  # a phone calls every picture image.jpg
        number += 1
        first = Path(safe_name(sent.filename))
        path = folder / f"{first.stem}_{number}{first.suffix}"
    with path.open("xb") as file:
        sent.file.seek(0)
        shutil.copyfileobj(sent.file, file)
    return path


def by_name(reply: "PicturesTaken") -> "PicturesTaken":
    """Return a reply with the files that were not taken by name, without the folder they lay in."""

    def named(each: "NotTaken") -> "NotTaken":
        return replace(each, file=Path(each.file).name)

    return replace(
        reply,
        lost=tuple(named(each) for each in reply.lost),
        refused=tuple(named(each) for each in reply.refused),
    )


class Held:
    """Pictures sent one by one, to be taken in together."""

    def __init__(self) -> None:
        self._folder = TemporaryDirectory(prefix="stores-held-", ignore_cleanup_errors=True)
        self.files: list[Path] = []
        self._lock = threading.Lock()

    def add(self, files: Iterable[UploadFile]) -> int:
        """Put files with the others, and return how many there are.

        Raises:
            BadValue: too many.
        """
        with self._lock:
            for each in files:
                if len(self.files) >= MOST_HELD:
                    raise BadValue("too many pictures", most=MOST_HELD)
                self.files.append(_put_down(each, Path(self._folder.name)))
            return len(self.files)

    def let_go(self) -> None:
        """Delete the files."""
        self._folder.cleanup()


class Holding:
    """What is sent in parts, by the key of the form that will take it in; the oldest gives way."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, Held] = OrderedDict()
        self._lock = threading.Lock()

    def begun(self, key: str) -> Held:
        """Return what is held under a key, begun if there is nothing yet."""
        with self._lock:
            if key not in self._held:
                self._held[key] = Held()
            held = self._held[key]
            self._held.move_to_end(key)
            gone = [self._held.popitem(last=False)[1]] if len(self._held) > MOST_BATCHES else []
        for each in gone:
            each.let_go()
        return held

    def files(self, key: str) -> tuple[Path, ...]:
        """Return what is held under a key."""
        with self._lock:
            return tuple(self._held[key].files) if key in self._held else ()

    def let_go(self) -> None:
        """Let go of all that is held."""
        with self._lock:
            held, self._held = self._held, OrderedDict()
        for each in held.values():
            each.let_go()

    def done(self, key: str) -> None:
        """Let go of what was taken in."""
        with self._lock:
            held = self._held.pop(key, None)
        if held is not None:
            held.let_go()
