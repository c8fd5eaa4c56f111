"""The joint on the screen: each hole at its place with its number and its turn, and a list.

A label reads ``[2]h5``: second turn, hole 5; under it what goes in the hole, if it was given.
A cell of a terminal is taken to be twice as high as it is wide.
"""

from dataclasses import dataclass

from stores.handbook.tightening.order import Plan

__all__ = ["HEIGHT", "LEGEND", "WIDTH", "picture"]

WIDTH = 76
HEIGHT = 22
LEGEND = "[turn]hole: [2]h5: tighten hole 5 second"
_CELL = 2.0
"""Height of a terminal's cell over its width."""
_GAP = 1


@dataclass(frozen=True, slots=True)
class _Label:
    lines: tuple[str, ...]
    column: float
    row: float

    @property
    def width(self) -> int:
        return max(map(len, self.lines))


def picture(plan: Plan, width: int = WIDTH, height: int = HEIGHT) -> list[str]:
    """Draw the joint in at most ``width`` columns, labels moved aside so that none overlap.

    It takes no more than ``height`` lines unless so many holes do not fit; then it grows. The
    holes lie in their proportions: a joint that is far longer than wide takes few lines.
    Raises `ValueError` for a width under 40 or a height under 8.
    """
    if width < 40 or height < 8:
        raise ValueError(f"{width} columns and {height} lines are too few for a picture")
    while True:
        labels = _labels(plan, width, height)
        drawn = _drawn(labels, width, height)
        if drawn is not None:
            return drawn
        height += 2


def _labels(plan: Plan, width: int, height: int) -> list[_Label]:
    """Scale the places so that the labels fit, and centre them in the width."""
    holes = list(plan.joint.by_number.values())
    lengths = [hole.length for hole in holes]
    texts = [
        (f"[{plan.turn_of(hole.number)}]h{hole.number}", *([length] if length else []))
        for hole, length in zip(holes, lengths, strict=True)
    ]
    widest = max(len(line) for lines in texts for line in lines)
    tallest = max(map(len, texts))
    left = min(hole.x_mm for hole in holes)
    top = max(hole.y_mm for hole in holes)
    wide = max(hole.x_mm for hole in holes) - left
    high = top - min(hole.y_mm for hole in holes)
    columns, rows = width - widest, height - tallest
    scale = min(
        columns / wide if wide else float("inf"), _CELL * rows / high if high else float("inf")
    )
    start = (width - scale * wide) / 2
    return [
        _Label(lines, start + (hole.x_mm - left) * scale, (top - hole.y_mm) * scale / _CELL)
        for lines, hole in zip(texts, holes, strict=True)
    ]


def _drawn(labels: list[_Label], width: int, height: int) -> list[str] | None:
    """Put each label down as near to its place as is free; None if one finds none."""
    taken = [[False] * width for _ in range(height)]
    cells = [[" "] * width for _ in range(height)]
    for label in labels:
        spot = _free(label, taken, width, height)
        if spot is None:
            return None
        row, column = spot
        for down, line in enumerate(label.lines):
            start = column + (label.width - len(line)) // 2
            cells[row + down][start : start + len(line)] = line
            for at in range(column - _GAP, column + label.width + _GAP):
                if 0 <= at < width:
                    taken[row + down][at] = True
    lines = ["".join(line).rstrip() for line in cells]
    while lines and not lines[-1]:
        lines.pop()
    while lines and not lines[0]:
        lines.pop(0)
    return lines


def _free(
    label: _Label, taken: list[list[bool]], width: int, height: int
) -> tuple[int, int] | None:
    """Return the free row and column nearest to the label's place."""
    best: tuple[float, int, int] | None = None
    for row in range(height - len(label.lines) + 1):
        off_row = (row - label.row) * _CELL
        if best and off_row * off_row > best[0]:
            continue
        for column in range(width - label.width + 1):
            off = column + label.width / 2 - label.column
            way = off * off + off_row * off_row
            if best and way >= best[0] - 1e-9:
                continue
            if not any(
                any(taken[row + down][column : column + label.width])
                for down in range(len(label.lines))
            ):
                best = (way, row, column)
    return best[1:] if best else None
