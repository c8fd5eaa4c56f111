"""QR codes: which version and level fit a payload and a space; the modules as runs.

Source: ISO/IEC 18004:2015, table 7 (capacity in byte mode), 6.3.8 (quiet zone of four modules).
"""

from collections.abc import Iterator

from stores.errors import PrintError
from stores.printing.boxes import Code
from stores.printing.fit import CUT

__all__ = ["BYTES", "MIN_MODULE", "QUIET_MODULES", "code_box", "runs", "side"]

MIN_MODULE = 0.38
"""Millimetres: a little over three dots of a 203 dpi printer (3 x 25.4 / 203 = 0.3754)."""
QUIET_MODULES = 4
_LEVELS = "LMQH"

BYTES: dict[int, tuple[int, int, int, int]] = {
    1: (17, 14, 11, 7),
    2: (32, 26, 20, 14),
    3: (53, 42, 32, 24),
    4: (78, 62, 46, 34),
    5: (106, 84, 60, 44),
    6: (134, 106, 74, 58),
    7: (154, 122, 86, 64),
    8: (192, 152, 108, 84),
    9: (230, 180, 130, 98),
    10: (271, 213, 151, 119),
}
"""Bytes that a version holds at levels L, M, Q and H: ISO/IEC 18004:2015, table 7."""


def side(version: int) -> int:
    """Give the modules along a side, quiet zone apart."""
    return 17 + 4 * version


def code_box(payload: str, room: float, margin: float = 2.2) -> Code:
    """Give the code for a payload whose dark square may be ``room`` mm wide, at 0, 0.

    The smallest version that holds all of it is taken, so that modules are large; then the
    highest level that this version allows. A payload too long loses lines from its end, and an
    ellipsis as last line says so; the first line is never lost. Modules stay so small that the
    white around the code fits into a ``margin`` of so many mm, as far as a printer's dots allow.

    Raises:
        PrintError: not even the first line fits.
    """
    versions = [version for version in BYTES if side(version) * MIN_MODULE <= room + 1e-9]
    # half of a surrogate pair, which a scan of a broken file can leave, is no character
    lines = payload.encode(errors="replace").decode().split("\n")
    for kept in range(len(lines), 0, -1):
        text = "\n".join(lines[:kept] if kept == len(lines) else [*lines[:kept], CUT])
        size = len(text.encode())
        # level M where there is room for it; L rather than losing a line
        for weakest in (1, 0):
            for version in versions:
                fits = [at for at in range(weakest, 4) if BYTES[version][at] >= size]
                if fits:
                    return _box(text, version, _LEVELS[fits[-1]], room, margin)
    first = lines[0]
    for version in versions:
        if BYTES[version][0] >= len(first.encode()):
            return _box(first, version, "L", room, margin)
    raise PrintError(f"no room for a QR code of {first!r}: {room:.1f} mm are left for it")


def _box(text: str, version: int, level: str, room: float, margin: float) -> Code:
    modules = side(version)
    module = min(room / modules, max(MIN_MODULE, min(margin, 2.2) / QUIET_MODULES))
    width = module * modules
    return Code(0, 0, width, width, text, version, level, QUIET_MODULES * module)


def runs(code: Code) -> Iterator[tuple[int, int, int]]:
    """Give the dark modules as runs: row, first column, length."""
    from qrcode import QRCode, constants
    from qrcode.util import MODE_8BIT_BYTE, QRData

    level = getattr(constants, f"ERROR_CORRECT_{code.level}")
    drawn = QRCode(version=code.version, error_correction=level, border=0)
    drawn.add_data(QRData(code.payload.encode(), mode=MODE_8BIT_BYTE), optimize=0)
    drawn.make(fit=False)
    for row, modules in enumerate(drawn.get_matrix()):
        start = None
        for column, dark in enumerate([*modules, False]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                yield row, start, column - start
                start = None
