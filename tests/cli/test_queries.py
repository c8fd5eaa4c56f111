"""Questions left open by what was typed, at the command line and on paper."""

import io
from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench, kept


@kept
def open_bench(bench: Bench) -> Bench:
    bench("strip", "Engine", "cover", "3 or 4 M6 nuts", "6 M8x20 set screw", "4 M6x25 hex")
    return bench


def words_of(path: Path) -> str:
    with pdfplumber.open(path) as document:
        text = " ".join(page.extract_text() or "" for page in document.pages)
    return " ".join(text.split())


def test_the_reply_of_the_bench_says_where_to_answer(bench: Bench) -> None:
    shown = bench("strip", "Engine", "cover", "3 or 4 M6 nuts")
    assert "Unclear in 1.2: 3 or 4: how many exactly?" in shown
    assert "To answer, now or later: stores record queries" in shown
    assert "stores record queries" not in bench("strip", "Engine", "lid", "4 M6 nut")


def test_label_checklist_and_lists_say_that_the_count_is_to_check(
    open_bench: Bench, tmp_path: Path
) -> None:
    label, sheet = tmp_path / "labels.pdf", tmp_path / "list.pdf"
    open_bench("labels", "--all", "-o", str(label))
    assert words_of(label).count("count to check") == 1
    open_bench("rebuild", "--pdf", str(sheet))
    assert words_of(sheet).count("count to check") == 1
    assert open_bench("rebuild").count("count to check") == 1
    assert open_bench("find", "A001N").count("COUNT TO CHECK") == 1
    assert open_bench("place", "list").count("count to check") == 1
    open_bench("piece", "specify", "1.2", "4 M6 nut")
    assert "count to check: 1.2" in " ".join(open_bench("shopping").split())
    open_bench("record", "queries", "1.2", "4")
    open_bench("labels", "--all", "-o", str(label))
    assert "count to check" not in words_of(label)
    assert "4 M6 nut" in words_of(label)


def test_label_checklist_and_lists_say_that_the_kind_or_the_thread_is_to_check(
    bench: Bench, tmp_path: Path
) -> None:
    bench("strip", "Engine", "lid", "2 cotter 3/8", "1/4 x 20 tpi x 1 bolt", "4 M6x25 hex")
    label, sheet = tmp_path / "labels.pdf", tmp_path / "list.pdf"
    bench("labels", "--all", "-o", str(label))
    bench("rebuild", "--pdf", str(sheet))
    for mark in ("kind to check", "thread to check"):
        assert words_of(label).count(mark) == 1
        assert words_of(sheet).count(mark) == 1
        assert bench("rebuild").count(mark) == 1
        assert bench("places").count(mark) == 1
        assert bench("find", "A001N").count(mark.upper()) == 1
        assert mark in bench("queries")


def test_the_list_and_an_answer(open_bench: Bench) -> None:
    shown = open_bench("record", "queries")
    assert "2 lines of Orrick Plover to settle, 1 count to check" in shown
    assert shown.index("1.2  typed: 3 or 4 M6 nuts") < shown.index("1.3  typed: 6 M8x20")
    assert "Answer one: stores record queries 1.2 a" in shown
    assert "1.2, count found: 4  (was: 1)" in open_bench("record", "queries", "1.2", "4")
    assert open_bench.json("record", "queries")["queries"][0]["item"] == "1.3"
    open_bench("record", "queries", "1.3", "6", "M8x20", "grub", "screw")
    assert "No question is open on Orrick Plover." in open_bench("record", "queries")


def test_one_after_another(open_bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is no answer is said and asked again; Enter leaves one open; the end of input ends."""
    monkeypatch.setattr("sys.stdin", io.StringIO("M6 nut\n4\n\n"))
    shown = open_bench("record", "queries", "--each")
    assert "does not say how many" in " ".join(shown.split())
    assert "1.2, count found: 4" in shown
    assert [each["item"] for each in open_bench.json("record", "queries")["queries"]] == ["1.3"]
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    open_bench("record", "queries", "--each")
    assert [each["item"] for each in open_bench.json("record", "queries")["queries"]] == ["1.3"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["1.4", "4"], "1.4 has no open question"),
        (["1.3", "right"], "write the whole line"),
        (["1.2"], "what is the answer"),
        (["1.2", "4", "--each"], "leave the line out"),
        (["1.9", "4"], "no item 1.9"),
        (["1.2", "0"], "from 1 to"),
    ],
)
def test_what_is_no_answer_is_one_line(open_bench: Bench, typed: list[str], said: str) -> None:
    assert said in open_bench.refused("record", "queries", *typed)
