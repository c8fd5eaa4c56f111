"""What 1,000 bag labels cost, against two other ways to make them: ratios taken in one run.

Ours: layout, codes, drawing and file, through ``write_labels``. Bare loop: qrcode and ReportLab
draw the very same words and codes at places known beforehand, so that nothing is laid out. Plain
way: the same, with each code as an embedded picture, as qrcode makes it. ReportLab's settings are
as it comes for both.

Run: python tests/benchmarks/labels_speed.py [LABELS]
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any
from unittest.mock import patch

from qrcode import QRCode, constants
from qrcode.util import MODE_8BIT_BYTE, QRData
from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "printing"))

from printing_builder import bag, item, step

from stores.bagcode import nth
from stores.model.labels import Bag
from stores.printing import draw as drawing
from stores.printing.boxes import MM_PER_POINT, Box, Code, Stripe, Text
from stores.printing.labels import write_labels
from stores.printing.qr import symbol_runs
from stores.printing.templates import DEFAULT, load_stock

FONTS = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}
SIZES = ("M6 x 25 hex bolt", "M6 plain washer", "1/4-26 BSF x 1 1/2 in hex bolt", "paper gasket")
PARTS = ("Clutch cover", "Front brake plate", "Magneto end cap", "Selector fork spindle")
PATHS = ("Engine / Clutch", "Cycle parts / Front wheel", "Electrics", "Engine / Gearbox / Selector")


def usual(at: int) -> Bag:
    """A bag as a strip-down fills it: one to nine lines."""
    off = step(at + 1, PARTS[at % 4], assembly=PATHS[at % 4])
    lines = range(1, 2 + at % 9)
    filled = (item(line, SIZES[(at + line) % 4], line + at % 7, off=off) for line in lines)
    return bag(nth(at), *filled)


def made(code: Code) -> Any:
    level = getattr(constants, f"ERROR_CORRECT_{code.level}")
    drawn: Any = QRCode(version=code.version, error_correction=level, border=0)
    drawn.add_data(QRData(code.payload.encode(), mode=MODE_8BIT_BYTE), optimize=0)
    drawn.make(fit=False)
    return drawn


def as_path(canvas: Any, code: Code, x: float, y: float, size: float) -> None:
    rows = made(code).get_matrix()
    module = size / len(rows)
    path = canvas.beginPath()
    for row, modules in enumerate(rows):
        start = None
        for column, dark in enumerate([*modules, False]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                width = (column - start) * module
                path.rect(x + start * module, y + size - (row + 1) * module, width, module)
                start = None
    canvas.drawPath(path, stroke=0, fill=1)


def as_picture(canvas: Any, code: Code, x: float, y: float, size: float) -> None:
    picture = made(code).make_image().get_image().convert("RGB")
    canvas.drawImage(ImageReader(picture), x, y, size, size)


def loop(
    pages: Sequence[Sequence[Box]],
    path: Path,
    page: tuple[float, float],
    draw: Callable[[Any, Code, float, float, float], None],
) -> None:
    """Draw pages with ReportLab and nothing else."""
    height = page[1] / MM_PER_POINT
    canvas: Any = Canvas(str(path), pagesize=(page[0] / MM_PER_POINT, height), pageCompression=1)
    for boxes in pages:
        for box in boxes:
            x, y = box.x / MM_PER_POINT, height - box.y / MM_PER_POINT
            wide, high = box.width / MM_PER_POINT, box.height / MM_PER_POINT
            if isinstance(box, Text):
                canvas.setFont(FONTS[box.bold], box.size)
                canvas.drawString(x, y - box.baseline / MM_PER_POINT, box.text)
            elif isinstance(box, Stripe):
                canvas.rect(x, y - high, wide, high, stroke=0, fill=1)
            elif isinstance(box, Code):
                draw(canvas, box, x, y - high, wide)
        canvas.showPage()
    canvas.save()


def laid_out(bags: Sequence[Bag], path: Path) -> list[list[Box]]:
    """Give the boxes of every page, as the program draws them."""
    pages: list[list[Box]] = []
    page = drawing.Pdf.page

    def noted(self: drawing.Pdf, boxes: Iterable[Box]) -> None:
        pages.append(list(boxes))
        page(self, pages[-1])

    with patch.object(drawing.Pdf, "page", noted):
        write_labels(bags, path)
    return pages


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    bags = [usual(at) for at in range(count)]
    sheet = load_stock(DEFAULT)
    size_mm = (sheet.sheet_width, sheet.sheet_height)
    with tempfile.TemporaryDirectory() as folder:
        pages = laid_out(bags, Path(folder) / "first.pdf")
        # what was measured and made once would make ours look quick
        drawing.measure.cache_clear()
        symbol_runs.cache_clear()
        codes = sum(isinstance(box, Code) for boxes in pages for box in boxes)
        ways: dict[str, Callable[[Path], object]] = {
            "bare loop": lambda path: loop(pages, path, size_mm, as_path),
            "plain way": lambda path: loop(pages, path, size_mm, as_picture),
            "ours": lambda path: write_labels(bags, path),
        }
        seconds, size = {}, {}
        for name, way in ways.items():
            path = Path(folder) / f"{name}.pdf"
            rl_config.useA85 = 1
            begin = time.perf_counter()
            way(path)
            seconds[name] = time.perf_counter() - begin
            size[name] = path.stat().st_size
    print(f"{count} labels, {codes} codes")
    for name, taken in seconds.items():
        print(f"{name:<10}{taken:7.2f} s {size[name]:12,} bytes")
    print(f"time,  ours : bare loop = {seconds['ours'] / seconds['bare loop']:.2f}  (at most 1.5)")
    print(f"time,  ours : plain way = {seconds['ours'] / seconds['plain way']:.2f}  (at most 0.5)")
    print(f"bytes, ours : plain way = {size['ours'] / size['plain way']:.3f} (at most 0.1)")


if __name__ == "__main__":
    main()
