"""Running text with pictures: pages counted, pictures drawn, what is missing said."""

import re
from pathlib import Path

import pdfplumber
from PIL import Image

from stores.photos.thumbs import small_pictures
from stores.planning.pictures import Shot
from stores.printing.pages import Paragraph, Pictures, write_pages

ABOUT = {"title": "Record", "date": "25 Nov 2026", "subject": "Record", "thumbs": small_pictures}


def shots(folder: Path, count: int) -> tuple[Shot, ...]:
    made = []
    for number in range(1, count + 1):
        file = folder / f"{number}.jpg"
        Image.new("RGB", (640, 480), (number * 20, 90, 120)).save(file)
        made.append(Shot(number, file, caption=f"seat {number}"))
    return tuple(made)


def test_every_page_says_which_of_how_many_it_is(tmp_path: Path) -> None:
    parts = [Paragraph(f"Step {at}: what was found and done there", "body") for at in range(300)]
    made = write_pages(lambda: parts, tmp_path / "a.pdf", **ABOUT)  # type: ignore[arg-type]
    assert made.sheets > 3
    with pdfplumber.open(tmp_path / "a.pdf") as document:
        texts = [page.extract_text() for page in document.pages]
    feet = [re.findall(r"Page (\d+) of (\d+)", text)[-1] for text in texts]
    assert feet == [(str(at), str(len(texts))) for at in range(1, len(texts) + 1)]
    said = "\n".join(texts)
    assert all(f"Step {at}: what was found" in said for at in range(300))


def test_pictures_stand_with_their_numbers_and_a_missing_one_is_said(tmp_path: Path) -> None:
    taken = shots(tmp_path, 6)
    taken[3].file.unlink()
    parts = [Paragraph("Clutch", "heading"), Pictures(taken)]
    made = write_pages(lambda: parts, tmp_path / "a.pdf", **ABOUT)  # type: ignore[arg-type]
    assert made.warnings == ("picture 4 is missing or cannot be read",)
    with pdfplumber.open(tmp_path / "a.pdf") as document:
        (page,) = document.pages
        assert len(page.images) == 5
        text = page.extract_text()
        for number in (1, 2, 3, 5, 6):
            assert f"{number} seat {number}" in text
        assert "4 (no picture)" in text
        # none lies over another, all within the page
        boxes = [(i["x0"], i["top"], i["x1"], i["bottom"]) for i in page.images]
        for at, (x0, y0, x1, y1) in enumerate(boxes):
            assert x0 >= 0 and x1 <= page.width and y0 >= 0 and y1 <= page.height  # noqa: PT018
            for a0, b0, a1, b1 in boxes[at + 1 :]:
                assert x1 <= a0 or a1 <= x0 or y1 <= b0 or b1 <= y0
