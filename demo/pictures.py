"""Makes the README's pictures anew from the demo's PDFs and from its record.

Run after ``python3 demo`` and ``python3 tests``: ``.venv/bin/python demo/pictures.py``. The screens
of a phone are made where there is a browser that the tests of pages would use.
"""

import io
import shutil
import sys
from pathlib import Path

import pypdfium2
from PIL import Image

HERE = Path(__file__).resolve().parent
OUT = HERE / "out"
MM = 72 / 25.4
LABEL = (72.6, 15.2, 63.5, 38.1)
"""The label shown by itself, in mm: left, top, width, height on the first sheet."""


SCREENS = {"phone-bench": "/", "phone-bag": "/bag/A064U", "phone-next": "/next?step=28"}
"""The screens of a phone, by the name of their picture."""
PHONE = {"width": 360, "height": 640}


def main() -> None:
    """Render a sheet of labels, one label, a page of the checklist and screens of a phone."""
    sheet = pypdfium2.PdfDocument(OUT / "labels.pdf")[0]
    save(sheet.render(scale=0.75, grayscale=True), "label-sheet.png")
    left, top, width, height = (side * MM for side in LABEL)
    page_width, page_height = sheet.get_size()
    crop = (left, page_height - top - height, page_width - left - width, top)
    save(sheet.render(scale=2.4, crop=crop, grayscale=True), "label.png")
    page = pypdfium2.PdfDocument(OUT / "checklist.pdf")[0]
    save(page.render(scale=0.75, grayscale=True), "checklist.png")
    sys.path.insert(0, str(HERE.parent / "tests" / "web"))
    from browsing import found_browser

    browser = found_browser()
    if browser is None:
        print("No browser here: the screens of a phone stay as they are.")
    else:
        photograph_screens(browser)


def save(bitmap: pypdfium2.PdfBitmap, name: str) -> None:
    """Save as a small greyscale PNG."""
    bitmap.to_pil().quantize(16).save(HERE / name, optimize=True)


def photograph_screens(browser: str) -> None:
    """Save what a phone shows of a copy of the demo's record."""
    from browsing import serving
    from playwright.sync_api import sync_playwright

    from stores.storage import open_store
    from stores.web.visit import House

    record = OUT / "pictured.db"
    shutil.copy(OUT / "stores.db", record)
    with (
        open_store(str(record)) as store,
        serving(House(store, str(record))) as address,
        sync_playwright() as play,
    ):
        phone = play.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        page = phone.new_page(viewport=PHONE, device_scale_factor=2, has_touch=True)
        for name, path in SCREENS.items():
            page.goto(address + path, wait_until="networkidle")
            picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            picture.quantize(24).save(HERE / f"{name}.png", optimize=True)
    record.unlink()


if __name__ == "__main__":
    main()
