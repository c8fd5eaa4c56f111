"""Makes the pictures of the README and of the tour anew from the demo's PDFs and from its record.

Run after ``python3 demo`` and ``python3 tests``: ``.venv/bin/python demo/pictures.py``. The screens
of a phone are made where there is a browser that the tests of pages would use.
"""

import io
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pypdfium2
from PIL import Image, ImageOps

HERE = Path(__file__).resolve().parent
OUT = HERE / "out"
MM = 72 / 25.4
STEP = 28
"""The step of the checklist that is shown with its tightening picture."""
BAG = "A064U"
"""The bag of that step, whose label is shown by itself."""
LEFT, TOP, WIDTH, HEIGHT, ACROSS = 7.2, 15.2, 63.5, 38.1, 66.0
"""The sheet of 21 labels, in mm: its margins, a label, and from one label to the next across."""
DOTS = 6.3
"""Dots a millimetre of paper in the picture of the README: sharp on a screen of twice the dots."""
GAP = 60
"""White between the two halves of that picture, in dots."""
SCREENS = {"phone-bench": "/", "phone-bag": "/bag/A064U", "phone-next": "/next?step=28"}
"""The screens of a phone, by the name of their picture."""
PHONE = {"width": 360, "height": 640}


def main() -> None:
    """Make the README's picture, the tour's two sheets and the screens of a phone."""
    sheets = pypdfium2.PdfDocument(OUT / "labels.pdf")
    save(sheets[0].render(scale=1.3, grayscale=True).to_pil(), "label-sheet.png")
    page = pypdfium2.PdfDocument(OUT / "checklist.pdf")[0]
    save(page.render(scale=1.3, grayscale=True).to_pil(), "checklist.png")
    with copied_record() as record:
        save(beside(one_label(sheets), one_step(record)), "front.png")
        sys.path[:0] = [str(HERE.parent / "tests" / "web"), str(HERE.parent / "tests")]
        from browsing import found_browser

        browser = found_browser()
        if browser is None:
            print("No browser here: the screens of a phone stay as they are.")
        else:
            photograph_screens(browser, record)


def save(picture: Image.Image, name: str, colours: int = 16) -> None:
    """Save as a small PNG."""
    picture.quantize(colours).save(HERE / name, optimize=True)


@contextmanager
def copied_record() -> Iterator[Path]:
    """Give a copy of the demo's record, taken away again."""
    record = OUT / "pictured.db"
    shutil.copy(OUT / "stores.db", record)
    try:
        yield record
    finally:
        record.unlink()


def one_label(sheets: pypdfium2.PdfDocument) -> Image.Image:
    """Give the bag's label at double size, with a line round it."""
    for sheet in sheets:
        text = sheet.get_textpage()
        found = text.search(BAG).get_next()
        if found is None:
            continue
        page_width, page_height = sheet.get_size()
        begins, bottom, _, _ = text.get_charbox(found[0])
        left = (LEFT + (begins / MM - LEFT) // ACROSS * ACROSS) * MM
        top = (TOP + ((page_height - bottom) / MM - TOP) // HEIGHT * HEIGHT) * MM
        right, below = left + WIDTH * MM, top + HEIGHT * MM
        crop = (left, page_height - below, page_width - right, top)
        label = sheet.render(scale=2 * DOTS / MM, crop=crop, grayscale=True).to_pil()
        return ImageOps.expand(label, border=3, fill=120)
    raise SystemExit(f"no label of {BAG}")


def one_step(record: Path) -> Image.Image:
    """Give one step of the checklist, from its number to the line for a signature."""
    from stores.papers import write_list
    from stores.storage import open_store
    from stores.usecases.context import Context
    from stores.usecases.rebuild import ListSteps, checklist

    paper = OUT / "pictured.pdf"
    with open_store(str(record)) as store:
        reply = checklist(Context(store), ListSteps())
    stages = tuple(stage for stage in reply.stages if stage.step.number == STEP)
    write_list(replace(reply, stages=stages, oils=(), snags=(), rings=()), paper)
    page = pypdfium2.PdfDocument(paper)[0]
    text = page.get_textpage()
    ends = []
    for words in (f"Step {STEP}", "Fitted by"):
        found = text.search(words).get_next()
        if found is None:
            raise SystemExit(f"{words!r} is not on the first page of {paper}")
        ends.append(text.get_charbox(found[0]))
    crop = (14 * MM, ends[1][1] - 3 * MM, 10 * MM, page.get_size()[1] - ends[0][3] - 3 * MM)
    picture = page.render(scale=DOTS / MM, crop=crop, grayscale=True).to_pil()
    paper.unlink()
    return picture


def beside(left: Image.Image, right: Image.Image) -> Image.Image:
    """Give two pictures side by side on white, level at their tops."""
    height = max(left.height, right.height)
    both = Image.new("L", (left.width + GAP + right.width, height), 255)
    both.paste(left, (0, 0))
    both.paste(right, (left.width + GAP, 0))
    return both


def photograph_screens(browser: str, record: Path) -> None:
    """Save what a phone shows of this record."""
    from browsing import serving
    from playwright.sync_api import sync_playwright

    from stores.storage import open_store
    from stores.web.visit import House

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
            save(picture, f"{name}.png", colours=24)


if __name__ == "__main__":
    main()
