"""Which codes a label has: how many, and how large a printer with dots can print them. Pure."""

from dataclasses import replace

from stores.printing.boxes import Area, Code
from stores.printing.qr import QUIET_MODULES, best_design, code_box, side

__all__ = ["code_in", "second_for", "snapped"]

_LEAST_DOTS = 3
"""Dots to a module: with fewer, what a thermal head burns beside one closes the white."""
_LARGEST_MODULE = 0.8
"""Millimetres: larger ones gain nothing at arm's length."""
_LEAST_MODULE = 0.33
"""Millimetres, for printers with small dots."""


def second_for(area: Area) -> bool:
    """Whether a label with so much room has the code twice, at opposite corners."""
    return area.width >= 56 and area.height >= 30 and best_design(area.width, area.height).codes > 1


def code_in(payload: str, room: float, safe: float) -> Code:
    """Give the code of a payload that may be ``room`` mm wide, its corner at 0, 0."""
    code = code_box(payload, room, safe)
    modules = side(code.version)
    module = min(room / modules, max(code.width / modules, _LARGEST_MODULE))
    width = module * modules
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * module)


def snapped(code: Code, dpi: int) -> Code:
    """Shrink a code until each module is a whole number of the printer's dots.

    ``dpi`` 0 leaves it as it is: a laser printer's dots are too small to matter.
    """
    if not dpi:
        return code
    dot = 25.4 / dpi
    modules = side(code.version)
    dots = int(code.width / modules / dot + 1e-3)
    least = max(_LEAST_DOTS, -int(-_LEAST_MODULE / dot))
    width = max(dots, least) * dot * modules
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * width / modules)
