"""Reading printed pages back: pictures of them, words on them, codes on them."""

from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import zxingcpp
from PIL import Image

MM = 25.4 / 72


def pictures(path: Path, dpi: int) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(path)
    try:
        return [page.render(scale=dpi / 72).to_pil().convert("L") for page in document]
    finally:
        document.close()


def words(path: Path) -> list[list[dict[str, Any]]]:
    """Give the words of each page with their boxes in mm from the page's top left corner."""
    with pdfplumber.open(path) as document:
        return [
            [
                {
                    "text": word["text"],
                    "x0": float(word["x0"]) * MM,
                    "x1": float(word["x1"]) * MM,
                    "y0": float(word["top"]) * MM,
                    "y1": float(word["bottom"]) * MM,
                }
                for word in page.extract_words(x_tolerance=1.5)
            ]
            for page in document.pages
        ]


def said(path: Path) -> str:
    """Give all that is printed, in the order drawn and without spaces.

    Lines are broken wherever they must be, and cells of a table stand side by side.
    """
    with pdfplumber.open(path) as document:
        return "".join(
            word["text"]
            for page in document.pages
            for word in page.extract_words(use_text_flow=True)
        )


def read_code(picture: Image.Image) -> str:
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return found[0].text if len(found) == 1 else ""


def read_codes(picture: Image.Image) -> list[str]:
    """Give what all codes of a picture say, the longest first."""
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return sorted((code.text for code in found), key=lambda text: (-len(text), text))
