"""The paper of every sheet: chosen before the command, by an option or by the environment."""

from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench, kept
from font_builder import LATIN, write_font

from stores.printing.boxes import READ_SIZE

LETTER = (612.0, 792.0)
"""Points: 8.5 by 11 inches, ANSI/ASME Y14.1, size A."""
A4 = (595.28, 841.89)
"""Points: 210 by 297 mm, ISO 216."""
SHEETS = {
    "checklist": ("rebuild", "--all", "--pdf"),
    "summary": ("rebuild", "--summary", "--pdf"),
    "shopping": ("shopping", "--pdf"),
    "plan": ("plan", "--pdf"),
    "hand over": ("record", "handover", "pan under the sump", "--pdf"),
    "book": ("machine", "book"),
    "survey": ("machine", "survey", "--pdf"),
    "inventory": ("stock", "inventory", "--pdf"),
    "places": ("place", "list", "--pdf"),
}


@kept
def full(bench: Bench) -> Bench:
    bench("machine", "survey", "--kind", "two-wheeler")
    for at in range(14):
        lines = ("1 off 1/4 BSF x 1 hex bolt", "2 off 7/16 BSF nut", "1 gasket", "4 M6x25 hex")
        bench("strip", f"Engine/Part {at % 3}", f"cover {at}", *lines)
    return bench


@pytest.mark.parametrize("by", ["option", "environment"])
@pytest.mark.parametrize("words", SHEETS.values(), ids=SHEETS)
def test_every_sheet_takes_letter(
    full: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], by: str
) -> None:
    file = tmp_path / "sheet.pdf"
    if by == "option":
        full("--paper", "letter", *words, str(file))
    else:
        monkeypatch.setenv("STORES_PAPER", "US Letter")
        full(*words, str(file))
    with pdfplumber.open(file) as document:
        for page in document.pages:
            assert (page.width, page.height) == pytest.approx(LETTER, abs=0.1)
            for word in page.extract_words():
                assert word["bottom"] < LETTER[1] - 14
                assert word["x1"] < LETTER[0] - 14
            assert f"Page {page.page_number} of {len(document.pages)}" in page.extract_text()


DEMO_SHEETS = {
    **SHEETS,
    "advice note": ("outwork", "batch", "advice-note", "1", "--pdf"),
    "alignment": ("labels", "--align", "--pdf"),
    "alignment of small labels": ("labels", "--align", "--stock", "roll-51x32", "--pdf"),
    "labels": ("labels", "--all", "--pdf"),
    "joint": ("figure", "joint", "28", "--pdf"),
    "hole card": ("figure", "joint", "28", "--card"),
    "tightening order": ("reckon", "order", "2 x 5 at 80 x 45", "--torque", "32", "--pdf"),
}


@pytest.mark.parametrize("words", DEMO_SHEETS.values(), ids=DEMO_SHEETS)
def test_no_type_of_any_sheet_is_smaller_than_is_read_at_a_bench(
    demo_built: tuple[Path, str], tmp_path: Path, words: tuple[str, ...]
) -> None:
    record = tmp_path / "stores.db"
    record.write_bytes((demo_built[0] / "stores.db").read_bytes())
    file = tmp_path / "sheet.pdf"
    Bench(record)(*words, str(file))
    with pdfplumber.open(file) as document:
        letters = [each for page in document.pages for each in page.chars]
    assert len(letters) > 100
    small = [each for each in letters if each["size"] < READ_SIZE - 0.01]
    assert not small, ("".join(each["text"] for each in small[:60]), small[0]["size"])


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("words", SHEETS.values(), ids=SHEETS)
def test_no_heading_stands_alone_at_the_foot_of_a_page(
    demo_built: tuple[Path, str], tmp_path: Path, words: tuple[str, ...], paper: str
) -> None:
    """The last line above a page's foot is no heading: large and bold, or the head of a table."""
    record = tmp_path / "stores.db"
    record.write_bytes((demo_built[0] / "stores.db").read_bytes())
    file = tmp_path / "sheet.pdf"
    Bench(record)("--paper", paper, *words, str(file))
    heads = {"Qty What", "What"}
    with pdfplumber.open(file) as document:
        bolder = [each for page in document.pages for each in page.chars if each["size"] > 11]
        assert any("Bold" in each["fontname"] for each in bolder), "headings are told by that"
        for page in document.pages[:-1]:
            body = [line for line in page.extract_text_lines() if line["top"] < page.height - 45]
            last = max(body, key=lambda line: line["top"])
            letters = [each for each in last["chars"] if each["text"].strip()]
            bold = all("Bold" in each["fontname"] for each in letters)
            assert not bold or max(each["size"] for each in letters) < 11, last["text"]
            assert not any(last["text"].startswith(head) for head in heads), last["text"]


def test_a4_is_what_nothing_was_said_of(full: Bench, tmp_path: Path) -> None:
    file = tmp_path / "sheet.pdf"
    full("shopping", "--pdf", str(file))
    with pdfplumber.open(file) as document:
        page = document.pages[0]
        assert (page.width, page.height) == pytest.approx(A4, abs=0.1)


def test_another_paper_is_refused(full: Bench) -> None:
    assert "A4 or Letter" in full.refused("--paper", "foolscap", "shopping")


def test_no_count_runs_into_a_size_on_any_sheet(full: Bench, tmp_path: Path) -> None:
    """ "1 1/4 BSF" is a size that there is not: behind a count stands "off"."""
    file = tmp_path / "sheet.pdf"
    for words in SHEETS.values():
        full(*words, str(file))
        with pdfplumber.open(file) as document:
            # "off" is small beside its count: on one line by where both stand, not by their tops
            lines = (page.extract_text(y_tolerance=5) for page in document.pages)
            text = " ".join(" ".join(line.split()) for line in lines)
        for count, size in (("1", "1/4 BSF"), ("2", "7/16 BSF")):
            assert f" {count} {size}" not in text, words


def test_the_hand_over_names_all_that_is_off(full: Bench, tmp_path: Path) -> None:
    """Of 47 steps that were off nine were printed, and "38 more"."""
    for at in range(14, 40):
        full("strip", f"Engine/Part {at % 3}", f"cover {at}", "2 M6x25 hex", "--new-assembly")
    file = tmp_path / "sheet.pdf"
    full("record", "handover", "pan under the sump", "--pdf", str(file))
    with pdfplumber.open(file) as document:
        text = " ".join(" ".join(page.extract_text().split()) for page in document.pages)
    for at in range(40):
        assert f"cover {at} " in text, at
    assert " more" not in text


@pytest.mark.parametrize("by", ["option", "environment"])
def test_a_font_of_ones_own_draws_what_the_built_in_one_lacks(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by: str
) -> None:
    bench("strip", "Engine", "垫圈", "2 M6 nut")
    font = write_font(tmp_path / "own.ttf", LATIN | {"垫": "M", "圈": "i"})
    file = tmp_path / "sheet.pdf"
    without = bench("rebuild", "--pdf", str(file))
    assert "not in the font, drawn as □: 垫 (U+57AB), 圈 (U+5708)" in " ".join(without.split())
    if by == "option":
        shown = bench("--font", str(font), "rebuild", "--pdf", str(file))
    else:
        monkeypatch.setenv("STORES_FONT", str(font))
        shown = bench("rebuild", "--pdf", str(file))
    assert "not in the font" not in shown
    with pdfplumber.open(file) as document:
        assert "垫圈" in document.pages[0].extract_text()


def test_a_font_that_will_not_do_is_refused(full: Bench, tmp_path: Path) -> None:
    symbols = write_font(tmp_path / "symbols.ttf", {"垫": "M"})
    said = full.refused("--font", str(symbols), "shopping", "--pdf", str(tmp_path / "list.pdf"))
    assert "it has no Latin letters; give a TrueType file (.ttf)" in said
    assert "No such file" in full.refused("--font", str(tmp_path / "none.ttf"), "shopping")
    assert not (tmp_path / "list.pdf").exists()
