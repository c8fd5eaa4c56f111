"""Pictures that are not taken, and why, in one line whatever the file is called."""

import os
from pathlib import Path

from stores.errors import StoresError

__all__ = ["PictureRefused", "shown"]

_JOINERS = "\u200d\ufe0f"
"""What holds an emoji of several parts together: harmless, though not printable by itself."""


class PictureRefused(StoresError):
    """A file that is not taken as a picture. The others of its folder still are."""

    def __init__(self, file: Path, reason: str) -> None:
        self.file = file
        self.reason = reason
        super().__init__(f"{shown(file)}: {reason}")


def shown(file: Path, limit: int = 160) -> str:
    """Give a file's name so that it can be shown on any terminal, in one line.

    Line ends, control and direction marks are written as escapes, and so are bytes that are not
    UTF-8. A long path loses its beginning.
    """
    text = "".join(
        each if each.isprintable() or each in _JOINERS else _escaped(each)
        for each in os.fspath(file)
    )
    return text if len(text) <= limit else f"…{text[1 - limit :]}"


def _escaped(character: str) -> str:
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # how Python carries a byte that is not UTF-8 (PEP 383)
        return f"\\x{code - 0xDC00:02x}"
    return character.encode("unicode_escape").decode("ascii")
