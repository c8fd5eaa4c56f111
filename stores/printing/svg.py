"""Drawing boxes as SVG, for a browser: the same layout that a PDF shows, in mm.

Words are stretched to the width that they were laid out with, whatever face the browser has.
"""

import re
from collections.abc import Iterable
from xml.sax.saxutils import escape

from stores.printing.boxes import (
    MM_PER_POINT,
    Box,
    Code,
    Frame,
    Measure,
    Stripe,
    Stroke,
    Text,
    Tick,
)
from stores.printing.qr import runs, side

__all__ = ["svg"]

_FACE = "'DejaVu Sans Condensed', 'Roboto Condensed', 'Arial Narrow', sans-serif"
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def svg(boxes: Iterable[Box], width: float, height: float, measure: Measure, title: str) -> str:
    """Return boxes of a page so many mm wide and high as an SVG picture called ``title``.

    A photograph is an empty outline: it is shown for what goes where.
    """
    drawn = "".join(part for box in boxes for part in _draw(box, measure))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {width:g} {height:g}" '
        f'font-family="{_FACE}"><title>{escape(title)}</title>'
        f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>{drawn}</svg>'
    )


def _draw(box: Box, measure: Measure) -> Iterable[str]:
    match box:
        case Text():
            yield _words(box, measure)
        case Stripe():
            colour = box.colour if _COLOUR.fullmatch(box.colour) else "#000"
            yield _rect(box.x, box.y, box.width, box.height, f'fill="{colour}"')
        case Frame():
            yield _rect(
                box.x, box.y, box.width, box.height,
                f'rx="{box.radius:g}" fill="none" stroke="#000" stroke-width="{box.line:g}"',
            )  # fmt: skip
        case Tick():
            yield _rect(
                box.x, box.y, box.width, box.height,
                'fill="none" stroke="#000" stroke-width="0.25"',
            )  # fmt: skip
            if box.done:
                low, right = box.y + 0.75 * box.height, box.x + 0.85 * box.width
                yield _path(
                    f"M{box.x + 0.2 * box.width:.3f} {box.y + box.height / 2:.3f}"
                    f"L{box.x + 0.4 * box.width:.3f} {low:.3f}L{right:.3f} {box.y:.3f}",
                    0.4,
                )
        case Code():
            module = box.width / side(box.version)
            rows = "".join(
                f"M{box.x + first * module:.3f} {box.y + row * module:.3f}"
                f"h{length * module:.3f}v{module:.3f}h{-length * module:.3f}z"
                for row, first, length in runs(box)
            )
            yield f'<path d="{rows}" fill="#000"/>'
        case Stroke():
            points = "L".join(f"{box.x + x:.3f} {box.y + y:.3f}" for x, y in box.points)
            dash = " ".join(f"{length:g}" for length in box.dash)
            yield _path(f"M{points}", box.line, f' stroke-dasharray="{dash}"' if dash else "")
        case _:
            yield _rect(
                box.x, box.y, box.width, box.height,
                'fill="none" stroke="#000" stroke-width="0.1"',
            )  # fmt: skip


def _words(box: Text, measure: Measure) -> str:
    size = box.size * MM_PER_POINT
    wide = measure(box.text, box.bold, box.size)
    look = ' font-weight="bold"' if box.bold else ""
    if wide > 0:
        look += f' textLength="{wide:.3f}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text x="{box.x:.3f}" y="{box.y + box.baseline:.3f}" font-size="{size:.3f}"'
        f"{look}>{escape(box.text)}</text>"
    )


def _rect(x: float, y: float, width: float, height: float, look: str) -> str:
    return f'<rect x="{x:.3f}" y="{y:.3f}" width="{width:.3f}" height="{height:.3f}" {look}/>'


def _path(points: str, line: float, more: str = "") -> str:
    return f'<path d="{points}" fill="none" stroke="#000" stroke-width="{line:g}"{more}/>'
