"""Pictures and lists that a browser sends: files under names of ours, gone when they are done with.

What a sender calls a file is a wish: of it the last part stays, of that letters, figures and a few
signs, so that no path and no markup of a sender's is ever seen by a use-case or kept on record.
"""

import re
import shutil
import threading
import time
from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import replace
from math import inf
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from starlette.datastructures import UploadFile

from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.usecases.pictures import NotTaken, PicturesTaken

__all__ = [
    "DECODING",
    "KEPT_FOR",
    "MOST_KEPT",
    "TAKING",
    "Held",
    "Holding",
    "by_name",
    "put_down",
    "safe_name",
]

DECODING = threading.Lock()
"""Held while a picture is decoded for a page: one at a time, for its pixels take memory."""
TAKING = threading.Lock()
"""Held while pictures are taken into the record, which decodes them too; a scan need not wait."""

MOST_HELD = 1000
"""Pictures that wait to be taken in together: a card full, of a few gigabytes."""
MOST_BATCHES = 4
MOST_KEPT = 8
"""Files that came with a form which was shown again; each is at most as large as a form may be."""
KEPT_FOR = 3600.0
"""Seconds for which such a file is kept, until the form is sent again."""
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
    """Pictures sent one by one, to be taken in together; or the file of a form."""

    def __init__(self) -> None:
        self.begun = time.monotonic()
        self.called = ""
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
    """What is sent in parts, by the key of the form that will take it in; the oldest gives way, and
    what lies there for longer than ``seconds``."""

    def __init__(self, most: int = MOST_BATCHES, seconds: float = inf) -> None:
        self._most, self._seconds = most, seconds
        self._held: OrderedDict[str, Held] = OrderedDict()
        self._lock = threading.Lock()

    def begun(self, key: str) -> Held:
        """Return what is held under a key, begun if there is nothing yet."""
        with self._lock:
            if key not in self._held:
                self._held[key] = Held()
            held = self._held[key]
            self._held.move_to_end(key)
        self._drop_old()
        return held

    def files(self, key: str) -> tuple[Path, ...]:
        """Return what is held under a key."""
        held = self.held(key)
        return tuple(held.files) if held else ()

    def held(self, key: str) -> Held | None:
        """Return what was begun under a key, None where it is not there any more."""
        self._drop_old()
        with self._lock:
            return self._held.get(key)

    def _drop_old(self) -> None:
        gone: list[Held] = []
        latest = time.monotonic() - self._seconds
        with self._lock:
            for key in list(self._held):
                if len(self._held) > self._most or self._held[key].begun < latest:
                    gone.append(self._held.pop(key))
        for each in gone:
            each.let_go()

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
