"""What is to be typed within a sentence, marked where it is written, so that nobody guesses it.

A command or an option stands between two characters of the private use area. The command line takes
them off; a page turns what is between them into a link, a button, or the label of a field.
"""

from collections.abc import Iterator
from typing import NamedTuple

__all__ = ["Part", "parts", "plain", "quoted", "to_type"]

_BEGIN, _END = "\ue000", "\ue001"
_OFF = {ord(_BEGIN): None, ord(_END): None}


class Part(NamedTuple):
    """A stretch of a sentence: words, or what is ``typed``, without the quotes around it."""

    text: str
    typed: bool = False


def to_type(text: str) -> str:
    """Mark a command with its arguments, or an option; what is marked within it is one with it.

    >>> plain(to_type("stores undo")), list(parts(to_type("--anyway")))
    ('stores undo', [Part(text='--anyway', typed=True)])
    """
    return f"{_BEGIN}{plain(text)}{_END}"


def quoted(text: str) -> str:
    """Mark it with the quotes that stand around it where it cannot be shown otherwise.

    >>> plain(quoted("stores undo")), list(parts(quoted("stores undo")))
    ("'stores undo'", [Part(text='stores undo', typed=True)])
    """
    return to_type(f"'{plain(text)}'")


def plain(text: str) -> str:
    """Return a text without marks, as the command line shows it."""
    return text.translate(_OFF)


def parts(text: str) -> Iterator[Part]:
    """Split a text into words and what is to be typed.

    A mark within another, as of a command put into quotes, belongs to the outer one.

    >>> [part.text for part in parts(f"say {quoted('stores undo')}, or {to_type('--of WORD')}")]
    ['say ', 'stores undo', ', or ', '--of WORD']
    """
    depth, begun = 0, 0
    for at, character in enumerate(text):
        if character == _BEGIN:
            if depth == 0 and begun < at:
                yield Part(plain(text[begun:at]))
            begun = begun if depth else at
            depth += 1
        elif character == _END and depth:
            depth -= 1
            if depth == 0:
                yield Part(_unquoted(plain(text[begun:at])), typed=True)
                begun = at + 1
    if rest := plain(text[begun:]):
        yield Part(rest)


def _unquoted(text: str) -> str:
    return text[1:-1] if len(text) > 1 and text[0] == text[-1] == "'" else text
