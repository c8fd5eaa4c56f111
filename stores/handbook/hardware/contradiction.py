"""A bearing's number with sizes beside it: they agree, or one of the two was misread."""

import re

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware.model import Piece
from stores.handbook.hardware.reading import read_designation

__all__ = ["numbered_with_sizes"]

# No bearing of these tables has a size so large, in mm.
_NO_SIZE = 600
_NEAR_MM = 0.25


def numbered_with_sizes(numbers: list[tuple[str, float]]) -> tuple[Piece, ...]:
    """Read "bearing 6204 14": the number's bearings, if every size said is one of theirs.

    ``numbers`` are the figures as typed with their value in mm. Empty when none of them is the
    number of a bearing. Raises `BadValue` when a size contradicts the number.
    """
    for at, (text, value) in enumerate(numbers):
        if len(numbers) < 2 or value < _NO_SIZE or not re.fullmatch(r"\d{3,5}", text):
            continue
        try:
            pieces = read_designation(f"bearing {text}")
        except (NotationError, NotFound):
            continue
        rest = [size for n, (_, size) in enumerate(numbers) if n != at]
        sizes = pieces[0].sizes
        known = [sizes[name] for name in ("d", "D", "B") if name in sizes]
        odd = [size for size in rest if all(abs(size - own) > _NEAR_MM for own in known)]
        if odd:
            said = " x ".join(f"{own:g}" for own in known)
            raise BadValue(
                f"bearing {text} is {said} mm, and {odd[0]:g} mm is none of these: read the number "
                "again, or give the sizes without it"
            )
        return pieces
    return ()
