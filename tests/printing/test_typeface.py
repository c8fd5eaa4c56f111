"""A font of the person's own draws what the built-in one lacks; what neither has is said."""

from contextlib import suppress
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from font_builder import BUILT_IN, LATIN, write_font
from hypothesis import given
from hypothesis import strategies as st
from printing_reading import pictures, said
from reportlab.pdfbase.ttfonts import TTFont

from stores.errors import BadValue
from stores.printing.boxes import MM_PER_POINT, Text, text_at
from stores.printing.draw import measure, write_pdf
from stores.printing.raster import dots
from stores.printing.typeface import built_in, lettering_with, own_font, runs

WASHER = "垫圈"
"""A washer, in Chinese."""
DRAWN = LATIN | {"垫": "M", "圈": "i", "क": "A"}


@pytest.fixture(params=[False, True], ids=["format 4", "format 12"])
def own(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    return write_font(tmp_path / "own.ttf", DRAWN, wide=request.param)


def page(text: str, *, bold: bool = False) -> list[Text]:
    return [text_at(20, 20, text, 24, measure, bold=bold)]


def test_the_characters_are_those_that_another_reader_finds() -> None:
    """ReportLab's own reader of fonts, over the whole of the font in the wheel."""
    assert built_in(False).characters == set(TTFont("again", BUILT_IN).face.charToGlyph)


def test_what_the_built_in_font_lacks_is_drawn_with_ones_own(own: Path, tmp_path: Path) -> None:
    file = tmp_path / "sheet.pdf"
    without = write_pdf([page(f"M6 {WASHER}")], file, "Sheet", "Sheet")
    assert without.warnings == (
        "not in the font, drawn as □: 垫 (U+57AB), 圈 (U+5708); a font that has them: "
        "stores --font FILE",
    )
    assert said(file) == "M6□□"
    with lettering_with(own):
        made = write_pdf([page(f"M6 {WASHER} Ø12")], file, "Sheet", "Sheet")
    assert made.warnings == ()
    assert said(file) == "M6垫圈Ø12"
    document = pypdfium2.PdfDocument(file)
    text = document[0].get_textpage()
    boxes = [text.get_charbox(at) for at in range(text.count_chars())]
    document.close()
    # one after another, none over the next: M, 6, the two, O and 12
    edges = [(left, right) for left, _, right, _ in boxes if right > left]
    assert all(one[1] <= other[0] + 1.5 for one, other in pairwise(edges))


def test_the_letters_are_those_of_the_own_font(own: Path, tmp_path: Path) -> None:
    """The font draws 垫 as an M, 圈 as an i: the same ink as "Mi" in the built-in one."""
    with lettering_with(own):
        write_pdf([page(WASHER)], tmp_path / "own.pdf", "Sheet", "Sheet")
        wide = measure(WASHER, False, 24)
    write_pdf([page("Mi")], tmp_path / "latin.pdf", "Sheet", "Sheet")
    assert wide == pytest.approx(measure("Mi", False, 24))
    mine, latin = (pictures(tmp_path / name, 100)[0] for name in ("own.pdf", "latin.pdf"))
    assert mine.tobytes() == latin.tobytes()


def test_a_thermal_printer_gets_the_same_letters(own: Path) -> None:
    with lettering_with(own):
        mine = dots(page(WASHER), 80, 40, 203)
    assert mine.tobytes() == dots(page("Mi"), 80, 40, 203).tobytes()
    assert mine.tobytes() != dots(page(WASHER), 80, 40, 203).tobytes()


def test_what_neither_font_has_is_said(own: Path, tmp_path: Path) -> None:
    """Hebrew is set from right to left, and the letters of Hindi join: neither is drawn wrongly."""
    with lettering_with(own):
        made = write_pdf([page("螺 א क")], tmp_path / "sheet.pdf", "Sheet", "Sheet")
    assert made.warnings == ("not in the font, drawn as □: 螺 (U+87BA), א (U+05D0), क (U+0915)",)


def test_the_choice_ends(own: Path) -> None:
    before = measure(WASHER, False, 10)
    with lettering_with(own):
        assert own_font() is not None
        assert measure(WASHER, False, 10) != before
    assert own_font() is None
    assert measure(WASHER, False, 10) == before


@given(st.text(alphabet="aØ垫圈אक12 ", max_size=12), st.booleans())
def test_nothing_is_lost_between_the_fonts(text: str, bold: bool) -> None:
    pieces = runs(text)
    assert sum(len(words) for _, words in pieces) == len(text)
    assert "".join(words for _, words in pieces) == "".join(
        "□" if char in "垫圈אक" else char for char in text
    )
    assert measure(text, bold, 72 * MM_PER_POINT) >= 0


def refused(path: Path) -> str:
    with pytest.raises(BadValue) as caught, lettering_with(path):
        pass
    assert own_font() is None
    return str(caught.value)


def test_a_font_that_will_not_do_is_refused_when_it_is_chosen(tmp_path: Path) -> None:
    assert "No such file" in refused(tmp_path / "none.ttf")
    assert "it is no file" in refused(tmp_path)
    words = tmp_path / "words.ttf"
    words.write_text("a font")
    assert "no TrueType font" in refused(words)
    words.write_bytes(b"")
    assert "no TrueType font" in refused(words)
    good = write_font(tmp_path / "good.ttf", DRAWN).read_bytes()
    for cut in (6, 40, len(good) // 2):
        words.write_bytes(good[:cut])
        assert "damaged" in refused(words) or "cut short" in refused(words)
    words.write_bytes(b"OTTO" + good[4:])
    assert "not TrueType" in refused(words)
    only = write_font(tmp_path / "symbols.ttf", {"垫": "M"})
    assert "it has no Latin letters" in refused(only)
    # OS/2, fsType: 2 is restricted, 0x200 bitmaps alone; 4 and 8 may be carried
    for rights in (0x0002, 0x0200):
        kept = write_font(tmp_path / f"{rights}.ttf", DRAWN, rights=rights)
        assert "does not let a document carry it" in refused(kept)
    for rights in (0x0000, 0x0004, 0x0008):
        with lettering_with(write_font(tmp_path / f"may {rights}.ttf", DRAWN, rights=rights)):
            assert measure(WASHER, False, 10) > 0


@given(st.booleans(), st.integers(0, 1200), st.integers(1, 255))
def test_a_damaged_font_is_refused_in_a_line_or_read(
    tmp_path_factory: pytest.TempPathFactory, wide: bool, at: int, change: int
) -> None:
    """Whatever byte of its directory or its map is another one: no traceback, and no waiting."""
    folder = tmp_path_factory.mktemp("fonts")
    good = bytearray(write_font(folder / "good.ttf", DRAWN, wide=wide).read_bytes())
    good[at] ^= change
    path = folder / "bad.ttf"
    path.write_bytes(good)
    with suppress(BadValue), lettering_with(path):
        assert own_font() is not None
