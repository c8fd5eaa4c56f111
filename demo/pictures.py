"""Makes the README's pictures anew from the demo's PDFs.

Run after ``python3 demo``: ``.venv/bin/python demo/pictures.py``.
"""

from pathlib import Path

import pypdfium2

HERE = Path(__file__).resolve().parent
OUT = HERE / "out"
MM = 72 / 25.4
LABEL = (72.6, 15.2, 63.5, 38.1)
"""The label shown by itself, in mm: left, top, width, height on the first sheet."""


def main() -> None:
    """Render a sheet of labels, one label and a page of the checklist."""
    sheet = pypdfium2.PdfDocument(OUT / "labels.pdf")[0]
    save(sheet.render(scale=0.75, grayscale=True), "label-sheet.png")
    left, top, width, height = (side * MM for side in LABEL)
    page_width, page_height = sheet.get_size()
    crop = (left, page_height - top - height, page_width - left - width, top)
    save(sheet.render(scale=2.4, crop=crop, grayscale=True), "label.png")
    page = pypdfium2.PdfDocument(OUT / "checklist.pdf")[0]
    save(page.render(scale=0.75, grayscale=True), "checklist.png")


def save(bitmap: pypdfium2.PdfBitmap, name: str) -> None:
    """Save as a small greyscale PNG."""
    bitmap.to_pil().quantize(16).save(HERE / name, optimize=True)


if __name__ == "__main__":
    main()
