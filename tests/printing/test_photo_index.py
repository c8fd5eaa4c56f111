"""The index of the pictures: layout, what is printed, and what becomes of bad files."""

from collections.abc import Iterator, Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from printing_reading import MM, pictures, said

from stores.errors import BadValue, PrintError
from stores.model.snags import Snag
from stores.photos.thumbs import small_pictures, thumbnail
from stores.planning.pictures import Shot
from stores.printing.boxes import Box, Frame, Picture, Text
from stores.printing.draw import Late, jpeg_size, measure, with_pictures
from stores.printing.files import Printed
from stores.printing.paper import paper_named
from stores.printing.photo_index import (
    GRIDS,
    grid_of,
    layout_photo_index,
    write_photo_index,
)

TITLE = "Picture index: Orrick Plover 150"
DATE = "25 Nov 2026"
ASSEMBLIES = ["Engine / Clutch", "Cycle parts / Front wheel / Brake", "Engine / Gearbox"]


def indexed(shots: Sequence[Shot], path: Path, **more: Any) -> Printed:
    known = {"title": TITLE, "date": DATE, "thumbs": small_pictures} | more
    return write_photo_index(shots, path, **known)


def photo(file: Path, size: tuple[int, int] = (640, 480), turn: int = 1, **more: object) -> Path:
    """Save a picture as a camera would: red at the left as stored, blue at the right, grey top."""
    picture = Image.new("RGB", size, "red")
    picture.paste("blue", (size[0] // 2, 0, *size))
    picture.paste("gray", (0, 0, size[0], size[1] // 4))
    exif = Image.Exif()
    exif[0x0112] = turn  # EXIF 2.32, table 4: Orientation
    picture.save(file, exif=exif, quality=92, **more)
    return file


def shot(number: int, file: Path, **more: object) -> Shot:
    known: dict[str, object] = {
        "taken": f"2026-03-04T14:{number % 60:02d}:33",
        "caption": f"caption {number}",
        "machine": "Orrick Plover 150",
        "assembly": ASSEMBLIES[number % 3],
        "step": number // 2,
        "bags": (f"A{number:03d}N",),
        "width": 640,
        "height": 480,
    }
    return Shot(number, file, **(known | more))  # type: ignore[arg-type]


def layout(shots: Sequence[Shot], **more: object) -> list[list[Box]]:
    return layout_photo_index(shots, measure, title=TITLE, date=DATE, **more)  # type: ignore[arg-type]


def test_all_that_is_known_of_a_picture_is_printed(tmp_path: Path) -> None:
    file = photo(tmp_path / "a.jpg")
    shots = [shot(number, file, part="Cover") for number in range(1, 30)]
    path = tmp_path / "index.pdf"
    made = indexed(shots, path)
    assert made.warnings == ()
    assert "A4" in made.stock
    text = said(path)
    for one in shots:
        for phrase in (*one.bags, f"Step {one.step}" if one.step else "no step", one.caption):
            assert phrase.replace(" ", "") in text, phrase
        assert f"4Mar2026,14:{one.number % 60:02d}" in text
    with pdfplumber.open(path) as document:
        assert len(document.pages) == made.sheets
        assert sum(len(page.images) for page in document.pages) == len(shots)
        for at, page in enumerate(document.pages, 1):
            words = page.extract_text()
            assert f"Page {at} of {made.sheets}" in words
            assert "Orrick Plover 150" in words
            assert DATE in words
            # A4: ISO 216:2007, table 1
            assert float(page.width) * MM == pytest.approx(210, abs=0.05)
            assert float(page.height) * MM == pytest.approx(297, abs=0.05)


def test_the_front_page_names_the_pages_where_an_assembly_is(tmp_path: Path) -> None:
    file = photo(tmp_path / "a.jpg")
    shots = [shot(number, file) for number in range(1, 61)]
    shots += [shot(61, file, assembly=""), shot(62, file, assembly="Engine / Clutch", step=0)]
    path = tmp_path / "index.pdf"
    indexed(shots, path)
    with pdfplumber.open(path) as document:
        texts = [page.extract_text() for page in document.pages]
    assert "62 pictures of 4 assemblies" in texts[0]
    for assembly in ASSEMBLIES:
        (line,) = (line for line in texts[0].splitlines() if line.startswith(assembly))
        own = [one for one in shots if one.assembly == assembly]
        there = [
            at
            for at, text in enumerate(texts, 1)
            if at > 1 and any(one.bags[0] in text for one in own)
        ]
        run = there[-1] - there[0] + 1 == len(there) > 2
        pages = f"{there[0]}–{there[-1]}" if run else ", ".join(map(str, there))
        assert line.endswith(f" {pages}"), (line, pages)
        assert f" {len(own)} " in line
    assert any(line.startswith("(no assembly named) 30 1 61 ") for line in texts[0].split("\n"))


def test_letter_and_the_number_on_a_page(tmp_path: Path) -> None:
    file = photo(tmp_path / "a.jpg")
    shots = [shot(number, file, assembly="Engine") for number in range(1, 50)]
    path = tmp_path / "index.pdf"
    for per_page in range(6, 21):
        indexed(
            shots,
            path,
            per_page=per_page,
            paper="Letter",
        )
        with pdfplumber.open(path) as document:
            on = [len(page.images) for page in document.pages]
            # Letter is 8 1/2 x 11 in
            assert float(document.pages[1].width) * MM == pytest.approx(215.9, abs=0.05)
            assert float(document.pages[1].height) * MM == pytest.approx(279.4, abs=0.05)
        assert per_page <= on[1] <= 20
        assert sum(on) == len(shots)
        if per_page in GRIDS:
            assert on[1] == per_page


@pytest.mark.parametrize("per_page", [5, 21, 0, -1])
def test_few_or_many_on_a_page_are_refused(per_page: int) -> None:
    with pytest.raises(BadValue, match="6 to 20"):
        layout([shot(1, Path("a"))], per_page=per_page)


def test_other_nonsense_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadValue, match="A4 or Letter"):
        layout([shot(1, Path("a"))], paper="A3")
    with pytest.raises(PrintError, match="no pictures"):
        indexed([], tmp_path / "index.pdf")
    assert list(tmp_path.iterdir()) == []


# --- layout ---

WORDS = st.text(
    st.characters(exclude_categories=["Cs"]) | st.sampled_from("abc 12 / "), max_size=300
)
CODES = st.lists(st.from_regex(r"A[0-9]{3,6}[A-Z]", fullmatch=True), max_size=90, unique=True).map(
    tuple
)
SHOTS = st.lists(
    st.builds(
        Shot,
        st.integers(1, 99_999),
        st.just(Path("a.jpg")),
        st.sampled_from(["", "2026-03-04", "2026-03-04T14:05:33"]) | WORDS,
        WORDS,
        st.sampled_from(["Orrick Plover 150", ""]) | WORDS,
        st.sampled_from(ASSEMBLIES) | WORDS,
        st.integers(0, 99_999),
        WORDS,
        CODES | st.just(("A001N",)),
        st.integers(0, 9000),
        st.integers(0, 9000),
        st.integers(1, 8),
        WORDS | st.just("IMG_20260304_140533.jpg"),
        st.lists(st.builds(Snag, st.integers(1, 999), st.just("leak"), WORDS), max_size=3).map(
            tuple
        ),
    ),
    min_size=1,
    max_size=25,
    unique_by=lambda one: one.number,
)


@settings(max_examples=60, deadline=None)
@given(SHOTS, st.integers(6, 20), st.sampled_from(["A4", "Letter"]))
def test_no_index_overlaps_leaves_its_page_or_cuts_a_code(
    shots: list[Shot], per_page: int, paper: str
) -> None:
    pages = layout(shots, per_page=per_page, paper=paper)
    sheet = paper_named(paper)
    for page in pages:
        for box in page:
            assert box.x >= sheet.left - 1e-6, box
            assert box.x + box.width <= sheet.right + 1e-6, box
            assert box.y >= sheet.top - 1e-6, box
            in_foot = box.y >= sheet.bottom + 3 - 1e-6
            assert box.y + box.height <= (sheet.height - 5 if in_foot else sheet.bottom + 1e-6), box
        solid = sorted((box for box in page if not isinstance(box, Frame)), key=lambda box: box.y)
        for at, one in enumerate(solid):
            for other in solid[at + 1 :]:
                if other.y >= one.y + one.height - 1e-6:
                    break
                apart = one.x + one.width <= other.x + 1e-6 or other.x + other.width <= one.x + 1e-6
                assert apart, (one, other)
    boxes = [box for page in pages for box in page]
    shown = [box for box in boxes if isinstance(box, Picture)]
    assert sorted(box.number for box in shown) == sorted(one.number for one in shots)
    printed = [box.text for box in boxes if isinstance(box, Text) and box.bold]
    for one in shots:
        for code in one.bags:
            assert code in printed


@settings(max_examples=60, deadline=None)
@given(SHOTS, st.integers(6, 20))
def test_pictures_keep_their_shape_and_their_cell(shots: list[Shot], per_page: int) -> None:
    by_number = {one.number: one for one in shots}
    cell = grid_of(per_page, paper_named("A4"))[0]
    for box in (box for page in layout(shots, per_page=per_page) for box in page):
        if isinstance(box, Picture):
            one = by_number[box.number]
            assert box.width <= cell.width + 1e-6
            assert box.height <= cell.height
            if one.width and one.height:
                # EXIF 2.32: orientations 5 to 8 are stored on their side
                wide, high = (one.width, one.height)[:: -1 if one.turn >= 5 else 1]
                assert box.width * high == pytest.approx(box.height * wide)


def test_bag_codes_are_large_and_numbers_are_framed(tmp_path: Path) -> None:
    (_, page) = layout([shot(3, tmp_path / "a.jpg")])
    (code,) = (box for box in page if isinstance(box, Text) and box.text == "A003N")
    assert code.bold
    assert code.size >= 12
    (number,) = (box for box in page if isinstance(box, Text) and box.text == "3")
    assert any(
        box.x < number.x < number.x + number.width < box.x + box.width
        and box.y < number.y < number.y + number.height < box.y + box.height
        for box in page
        if isinstance(box, Frame)
    )


def test_a_cut_caption_is_marked_and_said(tmp_path: Path) -> None:
    file = photo(tmp_path / "a.jpg")
    long = shot(4, file, caption="which way round the clip goes " * 30)
    made = indexed([long], tmp_path / "index.pdf")
    assert made.warnings == ("cut to fit: picture 4, caption",)
    assert "…" in said(tmp_path / "index.pdf")


# --- the pictures ---


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("known", [True, False])
def test_every_orientation_is_printed_upright(tmp_path: Path, turn: int, known: bool) -> None:
    # EXIF 2.32, table 4: row 0 and column 0 as stored are these sides of the scene
    scene = Image.new("RGB", (400, 200), "red")
    scene.paste("blue", (200, 0, 400, 200))
    scene.paste("gray", (0, 0, 400, 50))
    way = {
        1: [],
        2: [Image.Transpose.FLIP_LEFT_RIGHT],
        3: [Image.Transpose.ROTATE_180],
        4: [Image.Transpose.FLIP_TOP_BOTTOM],
        5: [Image.Transpose.TRANSPOSE],
        6: [Image.Transpose.ROTATE_90],  # a viewer turns it by 90 degrees clockwise
        7: [Image.Transpose.TRANSVERSE],
        8: [Image.Transpose.ROTATE_270],
    }[turn]
    stored = scene
    for step in way:
        stored = stored.transpose(step)
    exif = Image.Exif()
    exif[0x0112] = turn
    file = tmp_path / "a.jpg"
    stored.save(file, exif=exif, quality=95)
    size = {"width": stored.width, "height": stored.height, "turn": turn} if known else {}
    one = shot(1, file, **({"width": 0, "height": 0} | size))
    path = tmp_path / "index.pdf"
    indexed([one], path)
    with pdfplumber.open(path) as document:
        (image,) = document.pages[1].images
    assert image["width"] / image["height"] == pytest.approx(2.0, rel=0.01)
    page = pypdfium2.PdfDocument(path)[1].render(scale=2).to_pil().convert("RGB")
    at = lambda x, y: page.getpixel(  # noqa: E731
        (
            int(2 * (image["x0"] + x * image["width"])),
            int(2 * (image["top"] + y * image["height"])),
        )
    )
    grey, red, blue = at(0.5, 0.1), at(0.2, 0.7), at(0.8, 0.7)
    assert max(grey) - min(grey) < 40
    assert red[0] > 180
    assert red[2] < 80
    assert blue[2] > 180
    assert blue[0] < 80


def test_the_jpeg_is_embedded_as_it_is(tmp_path: Path) -> None:
    files = [photo(tmp_path / f"{at}.jpg", (900 + at, 600)) for at in range(5)]
    given_out: list[bytes] = []

    def thumbs(wanted: Sequence[Path], longest: int) -> Iterator[bytes | None]:
        assert list(wanted) == files
        assert 300 < longest < 900
        for file in wanted:
            given_out.append(thumbnail(file, longest) or b"")
            yield given_out[-1]

    path = tmp_path / "index.pdf"
    shots = [shot(at, file, assembly="Engine") for at, file in enumerate(files)]
    write_photo_index(shots, path, title=TITLE, date=DATE, thumbs=thumbs)
    document = pypdfium2.PdfDocument(path)
    raw = []
    for page in document:
        for found in page.get_objects():
            if isinstance(found, pypdfium2.PdfImage):
                assert found.get_filters() == ["DCTDecode"]
                raw.append(bytes(found.get_data(decode_simple=False)))
    assert raw == given_out


def test_missing_and_unreadable_pictures_are_named_and_the_rest_is_printed(tmp_path: Path) -> None:
    good = photo(tmp_path / "good.jpg")
    short = tmp_path / "short.jpg"
    short.write_bytes(good.read_bytes()[:-2000])
    text = tmp_path / "text.jpg"
    text.write_text("not a picture")
    empty = tmp_path / "empty.jpg"
    empty.touch()
    odd = tmp_path / "näme \udcff\n(1).jpg"
    files = [good, short, text, empty, odd, tmp_path, good]
    told: list[tuple[int, int]] = []
    path = tmp_path / "index.pdf"
    shots = [shot(at, file, assembly="Engine") for at, file in enumerate(files, 1)]
    made = indexed(
        shots,
        path,
        progress=lambda done, total: told.append((done, total)),
    )
    assert told == [(done, 7) for done in range(1, 8)]
    assert [warning.split(":")[0] for warning in made.warnings] == [
        f"picture {at}" for at in range(2, 7)
    ]
    for file, warning in zip(files[1:4], made.warnings, strict=False):
        assert file.name in warning
        assert "cannot be read" in warning
    assert "is missing" in made.warnings[3]
    made.warnings[3].encode()  # can be shown
    assert "Picturecannotbereadshort.jpg" in said(path)
    assert "Pictureismissing" in said(path)
    assert len(pictures(path, 20)) == made.sheets
    with pdfplumber.open(path) as document:
        assert len(document.pages[1].images) == 2


def test_the_same_pictures_make_the_same_bytes(tmp_path: Path) -> None:
    shots = [shot(at, photo(tmp_path / f"{at}.jpg", (500 + at, 400))) for at in range(1, 30)]
    for name in ("one.pdf", "two.pdf"):
        indexed(shots, tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_what_is_in_the_way_stays(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match="no folder"):
        indexed(
            [shot(1, photo(tmp_path / "a.jpg"))],
            tmp_path / "no" / "i.pdf",
        )


# --- the end of the file ---


def test_jpeg_size_knows_what_pdf_can_show() -> None:
    for progressive in (False, True):
        out = BytesIO()
        Image.new("RGB", (17, 9)).save(
            out, "JPEG", progressive=progressive, comment=b"\xff\xc0" * 9
        )
        assert jpeg_size(out.getvalue()) == (17, 9, 3)
    out = BytesIO()
    Image.new("CMYK", (17, 9)).save(out, "JPEG")
    assert jpeg_size(out.getvalue()) is None
    for junk in (b"", b"\xff\xd8", b"\x89PNG" + bytes(50), b"\xff\xd8" + b"\xff" * 50):
        assert jpeg_size(junk) is None


def test_pictures_are_not_added_to_what_is_no_document() -> None:
    with pytest.raises(PrintError, match="no trailer"):
        list(with_pictures(b"%PDF-1.4", [Late(1, 1, 1, 1, b"")]))


def test_machine_and_date_are_on_every_page_of_a_long_front(tmp_path: Path) -> None:
    path = tmp_path / "index.pdf"
    shots = [
        shot(at, tmp_path / "no.jpg", assembly=f"Assembly {at}", machine=machine)
        for machine in ("Orrick Plover 150", "Teasel lathe")
        for at in range(1, 45)
    ]
    for own, title in ((shots[:44], "Pictures"), (shots, "Pictures")):
        write_photo_index(own, path, title=title, date=DATE, thumbs=small_pictures)
        with pdfplumber.open(path) as document:
            texts = [page.extract_text() for page in document.pages]
        assert sum("Assembly Steps" in text for text in texts) > 1
        for text in texts:
            assert "Orrick Plover 150" in text or "Teasel lathe" in text
            assert DATE in text
            assert f" of {len(texts)}" in text
