"""How large the codes of a label are, and as a printer with dots can print them. Pure."""

import math
from dataclasses import replace

from stores.printing.boxes import Code
from stores.printing.qr import QUIET_MODULES, code_box, side, snapped

__all__ = ["code_in", "on_dots", "second_room"]

_LARGEST_MODULE = 0.8
"""Millimetres: larger ones gain nothing at arm's length."""


def second_room(first: float, free: float, margin: float, share: float) -> float:
    """Give how wide a second code may be, in mm.

    ``share`` is what it takes of the area of both, ``first`` the side of the other. ``free`` is the
    height between the white around the other and the label's edge, ``margin`` what of it is kept
    clear of dark modules at that edge.
    """
    # White of 4 of 21 modules towards the other code and to the edge, or the margin if that is more
    modules = side(1)
    high = min(
        free * modules / (modules + 2 * QUIET_MODULES),
        (free - margin) * modules / (modules + QUIET_MODULES),
    )
    return min(first * math.sqrt(share / (1 - share)), high)


def code_in(payload: str, room: float, safe: float) -> Code:
    """Give the code of a payload that may be ``room`` mm wide, its corner at 0, 0."""
    code = code_box(payload, room, safe)
    modules = side(code.version)
    module = min(room / modules, max(code.width / modules, _LARGEST_MODULE))
    width = module * modules
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * module)


def on_dots(code: Code, dpi: int) -> Code:
    """Shrink a code until each module is a whole number of the printer's dots.

    ``dpi`` 0 leaves it as it is: a laser printer's dots are too small to matter.

    Raises:
        PrintError: the printer's dots are too large for it.
    """
    if not dpi:
        return code
    modules = side(code.version)
    width = snapped(modules, code.width, dpi)
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * width / modules)
