"""Work done on a piece, typed and on paper."""

from pathlib import Path

import pdfplumber
from conftest import Bench, kept


def printed(path: Path) -> str:
    with pdfplumber.open(path) as document:
        return " ".join("\n".join(page.extract_text() for page in document.pages).split())


@kept
def welded(bench: Bench) -> Bench:
    """A camshaft that was repairable, went to be welded and ground, and was inspected."""
    bench("strip", "Engine", "camshaft", "4 M6x25 bolt 8.8")
    bench("inspect", "1.1", "repairable", "worn, to be welded", "--on", "2026-11-03")
    bench(
        "outwork", "send", "1.1", "--to", "Harris", "--for", "weld and grind", "--on", "2026-11-04"
    )
    shown = bench(
        "outwork", "back", "Harris", "--work", "welded and ground", "--measured", "19.98 mm",
        "--on", "2026-11-12",
    )  # fmt: skip
    assert "Work done: welded and ground by Harris, then 19.98 mm" in shown
    bench("inspect", "1.1", "serviceable", "--on", "2026-11-13")
    return bench


STORY = (
    "story: 3 Nov 2026 1 repairable: worn, to be welded; 12 Nov 2026 1 welded and ground by "
    "Harris, then 19.98 mm; 13 Nov 2026 1 serviceable"
)


def test_the_bound_record_reads_serviceable_with_its_story(welded: Bench, tmp_path: Path) -> None:
    welded("book", str(tmp_path / "book.pdf"))
    book = printed(tmp_path / "book.pdf")
    assert "inspected: 1 serviceable" in book
    assert "inspected: 1 repairable" not in book
    assert STORY in book


def test_checklist_and_labels_show_it(welded: Bench, tmp_path: Path) -> None:
    assert "welded and ground by Harris, then 19.98 mm" in " ".join(welded("rebuild").split())
    welded("rebuild", "--pdf", str(tmp_path / "list.pdf"))
    assert "welded and ground by Harris, then 19.98 mm" in printed(tmp_path / "list.pdf")
    welded("labels", "1.1", "--as", "condition", "-o", str(tmp_path / "tag.pdf"))
    tag = printed(tmp_path / "tag.pdf")
    assert "SERVICEABLE" in tag
    assert "welded and ground by Harris, then 19.98 mm" in tag
    assert "to be welded" not in tag
    welded("labels", "-o", str(tmp_path / "bags.pdf"))
    assert "camshaft" in printed(tmp_path / "bags.pdf")
    assert "welded and ground" not in printed(tmp_path / "bags.pdf"), "the sticker says it"


def test_work_that_was_done_makes_no_bags_label_due(welded: Bench, tmp_path: Path) -> None:
    """What is in the bag is the same; a sticker of its condition says what was done to it."""
    welded("labels", "-o", str(tmp_path / "bags.pdf"))
    welded("labels", "--came-out")
    assert "up to date" in welded("labels", "-o", str(tmp_path / "none.pdf"))
    welded("inspect", "1.2", "--work", "zinc plated", "--by", "Dyke")
    assert "up to date" in welded("labels", "-o", str(tmp_path / "again.pdf"))
    welded("inspect", "1.2", "serviceable")
    welded("labels", "1.2", "--as", "condition", "-o", str(tmp_path / "tag.pdf"))
    assert "zinc plated by Dyke" in printed(tmp_path / "tag.pdf")


def test_find_shows_it(welded: Bench) -> None:
    assert STORY in " ".join(welded("find", "camshaft").split())
    assert "welded and ground by Harris" in " ".join(welded("history").split())


def test_refusals_are_sentences(welded: Bench) -> None:
    assert "--by and --measured go with --work" in welded.refused(
        "inspect", "1.2", "serviceable", "--by", "Dyke"
    )
    welded("inspect", "1.2", "4", "repairable", "burred")
    assert "Repaired now? stores inspect 1.2 serviceable --work" in welded.refused(
        "inspect", "1.2", "serviceable"
    )
