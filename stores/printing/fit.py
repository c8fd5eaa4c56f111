"""Fitting words into a width: made plain, broken into lines, cut with an ellipsis. Pure."""

import unicodedata

from stores.printing.boxes import Measure

__all__ = ["CUT", "cut_end", "cut_start", "plain", "wrap"]

CUT = "…"
_LONGEST = 3000
"""Characters of one text that are looked at: more than any label or sheet has room for."""


def plain(text: str) -> str:
    """Bring a text to one line that can be set: composed letters, single spaces, no controls.

    >>> plain("  clutch\\tcover\\n")
    'clutch cover'
    """
    composed = unicodedata.normalize("NFC", text[:_LONGEST])
    kept = "".join(
        " " if unicodedata.category(char) in ("Cc", "Zl", "Zp", "Zs") else char
        for char in composed
        if unicodedata.category(char) not in ("Cf", "Cs")
        and not "\ufe00" <= char <= "\ufe0f"  # variation selectors draw nothing
    )
    words = " ".join(kept.split())
    return words + CUT if len(text) > _LONGEST else words


def wrap(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than ``width`` mm, between words where that is possible.

    A character wider than the width still takes a line of its own.
    """
    if measure(text, bold, size) <= width:
        return [text] if text else []
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if measure(longer, bold, size) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        while measure(word, bold, size) > width and len(word) > 1:
            head = _fitting(word, width, size, measure, bold)
            lines.append(word[:head])
            word = word[head:]  # noqa: PLW2901
        line = word
    return [*lines, line] if line else lines


def _fitting(text: str, width: float, size: float, measure: Measure, bold: bool) -> int:
    """Give how many leading characters fit, at least one."""
    low, high = 1, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(text[:middle], bold, size) <= width:
            low = middle
        else:
            high = middle - 1
    while low > 1 and low < len(text) and unicodedata.combining(text[low]):
        low -= 1
    return low


def cut_end(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> str:
    """Cut the end off until the text with an ellipsis is no wider than ``width`` mm."""
    if measure(text, bold, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(text[:middle].rstrip() + CUT, bold, size) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + CUT


def cut_start(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> str:
    """Cut the front off, for a path whose last part says most."""
    if measure(text, bold, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high) // 2
        if measure(CUT + text[middle:].lstrip(), bold, size) <= width:
            high = middle
        else:
            low = middle + 1
    return CUT + text[low:].lstrip()
