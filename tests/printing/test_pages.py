"""Running text with pictures: pages counted, pictures drawn, what is missing said."""

import re
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
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


HEADS = {"chapter", "heading"}
TEXTS = st.one_of(
    st.builds(
        Paragraph,
        st.text("abcdefgh ", min_size=1, max_size=900).filter(str.strip),
        st.sampled_from(["body", "small"]),
        st.sampled_from([0.0, 4.0]),
    ),
    st.builds(
        Paragraph,
        st.text("ABCDEFGH ", min_size=1, max_size=700).filter(str.strip),
        st.sampled_from(sorted(HEADS)),
        new_page=st.booleans(),
    ),
    st.just(Pictures((Shot(1, Path("none.jpg")),))),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(TEXTS, min_size=5, max_size=40))
def test_no_heading_is_the_last_on_its_page(
    tmp_path_factory: pytest.TempPathFactory, parts: list[Paragraph | Pictures]
) -> None:
    """Headings are in capitals here, what stands below them is not."""
    end = Paragraph("the end")
    file = tmp_path_factory.mktemp("pages") / "a.pdf"
    write_pages(lambda: [*parts, end], file, **ABOUT)  # type: ignore[arg-type]
    with pdfplumber.open(file) as document:
        texts = [page.extract_text().splitlines()[:-1] for page in document.pages]
    for page in texts:
        assert not re.fullmatch("[A-H ]+", page[-1]), page[-1]
    printed = "".join("".join(page).replace(" ", "") for page in texts)
    said = "".join(part.text.replace(" ", "") for part in parts if isinstance(part, Paragraph))
    assert re.sub(r"1\(nopicture\)", "", printed) == said + "theend"
