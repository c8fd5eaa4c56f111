"""Closing, opening again, spares that are kept and machines for parts: typed, and on paper."""

from pathlib import Path

import pdfplumber
from conftest import Bench, kept

from stores.text import day_words, local_day


def printed(path: Path) -> str:
    with pdfplumber.open(path) as document:
        return " ".join("\n".join(page.extract_text() for page in document.pages).split())


@kept
def renewed(bench: Bench) -> Bench:
    """A cover with new bolts on; of 4 old ones 3 are sound."""
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt")
    bench("inspect", "1.1", "serviceable")
    bench("inspect", "1.2", "3", "serviceable")
    bench("inspect", "1.2", "1", "condemned", "necked")
    bench("buy", "1.2", "-q", "4")
    bench("refit", "1")
    return bench


def test_from_left_over_to_closed_and_open_again(renewed: Bench, tmp_path: Path) -> None:
    assert "stores piece keep all left over" in " ".join(
        renewed("machine", "close", "--look").split()
    )
    assert "3 M6 x 25 hex bolt" in renewed("piece", "keep", "all", "left", "over")
    refusal = renewed.refused("piece", "scrap", "all", "left", "over")
    assert "1 piece would be thrown out: say so with --yes" in refusal
    assert "scrapped" in renewed("piece", "scrap", "all", "left", "over", "--yes")
    renewed("machine", "close", "-n", "no leak", "--on", "2026-11-03")
    refusal = renewed.refused("strip", "Engine", "cover", "4 M6x25 hex bolt")
    assert "Orrick Plover was closed out on 3 Nov 2026, nothing was changed" in refusal
    assert 'stores machine close --reopen "WHY" -m "Orrick Plover"' in refusal
    renewed("find", "cover")
    renewed("labels", "-o", str(tmp_path / "labels.pdf"))
    renewed("machine", "close", "--reopen", "oil at the cover", "--on", "2026-11-20")
    renewed("strip", "Engine", "cover", "1 M6x25 hex bolt", "--on", "2026-11-20")
    told = ("Closed out on 3 Nov 2026: no leak", "Opened again on 20 Nov 2026: oil at the cover")
    shown = renewed("record", "handover")
    assert [line for line in told if line not in shown] == []
    renewed("machine", "book", str(tmp_path / "book.pdf"))
    renewed("record", "handover", "--pdf", str(tmp_path / "day.pdf"))
    for name in ("book.pdf", "day.pdf"):
        paper = printed(tmp_path / name)
        assert [line for line in told if line not in paper] == []


def test_the_handover_says_when_the_last_copy_was_made(renewed: Bench, tmp_path: Path) -> None:
    none = "No copy of this record is known. To make one: stores record copy FILE"
    assert none in renewed("handover")
    renewed("handover", "--pdf", str(tmp_path / "none.pdf"))
    assert none in printed(tmp_path / "none.pdf")
    to = tmp_path / "copy.db"
    renewed("copy", str(to))
    day = day_words(local_day(renewed.json("handover")["copies"]["last"]["at"]))
    assert f"Last copy: {day}, {to}" in " ".join(renewed("handover").split())
    assert "Nothing recorded since then" in renewed("handover")
    renewed("handover", "left pedal only hand-tight")
    assert "1 entry since then: stores record copy FILE" in renewed("handover")
    renewed("handover", "--pdf", str(tmp_path / "day.pdf"))
    paper = printed(tmp_path / "day.pdf")
    assert f"Last copy: {day}," in paper
    assert "1 entry since then: stores record copy FILE" in paper
    assert renewed.json("handover")["copies"]["last"]["acts_since"] == 1


def test_a_machine_for_parts(renewed: Bench) -> None:
    renewed("machine", "add", "Tern 50")
    renewed("strip", "Engine", "dynamo", "3 of 4 M8x30 hex bolt")
    assert "M8 x 30" in renewed("shopping")
    shown = renewed("machine", "for-parts", "Tern")
    assert "Tern 50 is kept for parts: nothing goes back on it." in shown
    assert "Tern 50 (for parts)" in renewed("machine", "list")
    assert "M8 x 30" not in renewed("shopping")
    refusal = renewed.refused("plan", "today")
    assert 'stores machine for-parts "Tern 50" --wants STEP' in refusal
    assert "only step 1 is wanted back" in renewed("machine", "for-parts", "Tern", "--wants", "1")
    assert "M8 x 30" in renewed("shopping")
    renewed("machine", "for-parts", "Tern", "--not")


def test_which_piece_is_taken_is_asked(renewed: Bench) -> None:
    renewed("machine", "add", "Tern 50", "--for-parts")
    renewed("strip", "Engine", "cover", "4 M6x25 hex bolt")
    renewed("inspect", "1.2", "2", "serviceable")
    words = ("assign", "1.2", "1.2", "-q", "1", "--of-machine", "Orrick Plover", "-m", "Tern")
    refusal = renewed.refused(*words)
    assert "say it with --of as removed or serviceable, or --from PLACE" in refusal
    renewed(*words, "--of", "serviceable")
