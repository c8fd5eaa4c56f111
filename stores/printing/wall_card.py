"""A card for the wall of the workshop: the address of the stores, as a code and in words."""

from collections.abc import Iterable
from pathlib import Path

from stores.printing.boxes import Box, Code, Frame, text_at, wrap
from stores.printing.draw import measure, write_pdf
from stores.printing.files import Printed
from stores.printing.qr import QUIET_MODULES, least_design, side

__all__ = ["write_wall_card"]

_LEFT, _TOP, _WIDTH, _HEIGHT = 35.0, 30.0, 140.0, 190.0
"""Millimetres: a card that is cut out, a little under A5."""
_CODE = 96.0
_INSIDE = 12.0
"""Millimetres from the outline to the words."""


def write_wall_card(path: Path, address: str, steps: Iterable[str]) -> Printed:
    """Write the card as a PDF: the address as a code that a phone reads from a metre away, the
    same in words, and what to do.

    Raises:
        PrintError: a file that cannot be written, or an address too long for a code.
    """
    middle, width = _LEFT + _WIDTH / 2, _WIDTH - 2 * _INSIDE
    boxes: list[Box] = [Frame(_LEFT, _TOP, _WIDTH, _HEIGHT, 0.2)]
    y = _TOP + _INSIDE
    boxes.append(_centred("Stores", 34.0, middle, y))
    y += 18.0
    version, level = least_design(address)
    quiet = QUIET_MODULES * _CODE / side(version)
    boxes.append(Code(middle - _CODE / 2, y, _CODE, _CODE, address, version, level, quiet))
    y += _CODE + 6.0
    size = 17.0
    while measure(address, True, size) > width and size > 9:
        size -= 0.5
    boxes.append(_centred(address, size, middle, y))
    y += 12.0
    for step in steps:
        for line in wrap(step, width, 13.0, measure):
            boxes.append(text_at(_LEFT + _INSIDE, y, line, 13.0, measure))
            y += 6.2
        y += 2.2
    return write_pdf([boxes], path, "Stores", "The address of the stores, for the wall")


def _centred(words: str, size: float, middle: float, y: float) -> Box:
    return text_at(middle - measure(words, True, size) / 2, y, words, size, measure, bold=True)
