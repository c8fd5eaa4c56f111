"""Outwork in batches: counted out, warned of, counted back, written off."""

from pathlib import Path

import pdfplumber
import pypdfium2
import zxingcpp
from conftest import Bench, kept


@kept
def two(bench: Bench) -> Bench:
    """Two steps: a cover with 4 bolts, a lever with 2 springs."""
    bench("strip", "Engine", "cover", "4 M6x25 bolt 8.8")
    bench("strip", "Engine", "lever", "2 return spring", "1 bearing 6203")
    return bench


def begun(bench: Bench, work: str = "zinc plating") -> Bench:
    bench("outwork", "batch", "begin", "Dyke Platers", "--for", work)
    return bench


def places(bench: Bench, item: str) -> dict[str, int]:
    found = bench.json("find", "cover")["items"] + bench.json("find", "lever")["items"]
    now = next(each for each in found if each["item"] == item)["now"]
    return {each["place"]: each["quantity"] for each in now}


def test_nothing_moves_until_it_is_sent_and_everything_is_counted_back(two: Bench) -> None:
    """4 bolts and the cover go; 3 bolts and the cover come; 1 bolt is written off."""
    begun(two)
    two("outwork", "batch", "put", "1", "1.1", "1.2", "--metal", "steel")
    assert places(two, "1.2") == {"A001N": 4}
    two("outwork", "batch", "send", "1", "--promised", "2026-12-20")
    assert places(two, "1.2") == {"Dyke Platers": 4}
    shown = two("outwork", "batch", "back", "1", "1.2", "-q", "3", "-c", "serviceable")
    assert "still away: 1.2  1 M6 x 25 bolt 8.8" in shown
    assert places(two, "1.2") == {"A001N": 3, "Dyke Platers": 1}
    two("outwork", "batch", "back", "1", "1.1")
    two("outwork", "batch", "off", "1", "-n", "lost in the vat")
    assert places(two, "1.2") == {"A001N": 3, "lost": 1}
    assert two.json("outwork", "batch", "list")["batches"] == []
    (done,) = two.json("outwork", "batch", "list", "--all")["batches"]
    assert [(each["back"], each["written_off"]) for each in done["lines"]] == [(1, 0), (3, 1)]
    assert two.json("find", "cover")["items"][1]["short"] == 1
    assert "no fault" in two("record", "audit")
    for _ in range(3):
        two("undo")
    assert places(two, "1.2") == {"Dyke Platers": 4}
    assert "5 of 5 away" in two("outwork", "batch", "list")


def test_the_short_way_back_takes_it_off_the_batch_too(two: Bench) -> None:
    begun(two)
    two("outwork", "batch", "put", "1", "1")
    two("outwork", "batch", "send", "1")
    two("outwork", "back", "Dyke Platers", "1.2", "-q", "3")
    assert "2 of 5 away" in two("outwork", "batch", "list")
    two("piece", "lose", "1.2", "-q", "1", "--at", "Dyke Platers")
    two("outwork", "back", "Dyke Platers")
    assert two.json("outwork", "batch", "list", "--all")["batches"][0]["state"] == "all back"
    assert "no fault" in two("record", "audit")


def test_overdue_and_what_it_holds_up(two: Bench) -> None:
    begun(two)
    two("outwork", "batch", "put", "1", "1.2")
    two("outwork", "batch", "send", "1", "--promised", "2026-11-01")
    listed = two.json("outwork", "batch", "list", "--on", "2026-11-15")["batches"]
    assert listed[0]["days_overdue"] == 14
    assert "14 DAYS OVERDUE" in " ".join(
        two("outwork", "batch", "list", "--on", "2026-11-15").split()
    )
    assert "holds up step 1" in two("outwork", "batch", "list")
    assert "promised 1 Nov 2026" in " ".join(two("plan", "today").split())


def test_what_is_said_of_a_line_and_what_to_mind(two: Bench) -> None:
    begun(two)
    said = " ".join(
        two("outwork", "batch", "put", "1", "1.2", "--class", "10.9", "--mask", "none").split()
    )
    assert "1.2 4 M6 x 25 bolt 8.8 (10.9; mask none)" in said
    assert "! 1.2 4 M6 x 25 bolt 8.8: " in said
    assert "no electroplating" in said
    begun(two, "blasting")
    assert "0 to hand, 4 in other batches" in two.refused(
        "outwork", "batch", "put", "2", "1.2", "-q", "2"
    )
    assert two("outwork", "batch", "out", "1", "1.2") == "Out of batch 1: 1.2 M6 x 25 bolt 8.8\n"


def test_the_note_has_counts_warnings_a_code_and_room_to_sign(two: Bench, tmp_path: Path) -> None:
    begun(two)
    two("outwork", "batch", "put", "1", "1.2", "--class", "10.9", "--mask", "none")
    two("outwork", "batch", "send", "1")
    path = tmp_path / "note.pdf"
    two("outwork", "batch", "advice-note", "1", "-o", str(path), "--name", "A. Marl")
    with pdfplumber.open(path) as pdf:
        words = " ".join(pdf.pages[0].extract_text().split())
    for said in (
        "Batch 1",
        "To Dyke Platers: zinc plating",
        "M6 x 25 bolt 8.8",
        "4 pieces in 1 line",
        "no electroplating",
        "Received, counted",
        "Page 1 of 1",
        "A. Marl",
    ):
        assert said in words
    page = pypdfium2.PdfDocument(path)[0].render(scale=203 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(page)
    assert code.text.startswith("batch 1\nDyke Platers")
