"""Bags tipped together, at the bench: what is shown, and what stands on paper."""

from pathlib import Path

import pytest
from conftest import Bench, kept
from printing_reading import said


@kept
def tipped(bench: Bench) -> Bench:
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt", "2 M6 nut")
    bench("strip", "Engine", "lid", "4 M6x30 hex bolt", "2 M6 nut")
    bench("inspect", "1", "serviceable")
    bench("inspect", "2", "serviceable")
    out = bench("piece", "mix", "A001N", "A003J", "-n", "fell off the bench")
    assert "Mix-up 1: marked as mixed up, not to be refitted until sorted" in out
    assert "1.2  4 M6 x 25 hex bolt, cover, in bag A001N" in out
    assert "stores labels A001N A003J" in out
    return bench


def test_what_tells_them_apart_is_shown(tipped: Bench) -> None:
    out = tipped("piece", "mixed")
    assert "Mix-up 1: fell off the bench" in out
    assert "1.2 and 2.2: length, 25 mm against 30 mm" in out
    assert "1.3 and 2.3: the same thing, either will do" in out
    assert "by eye: " in out
    assert tipped("piece", "mixed", "A003J") == out
    assert "MIXED UP with 1.1, 1.2, 1.3, 2.1 and 2.3, not sorted: stores piece mixed 1" in " ".join(
        tipped("find", "M6x30").split()
    )
    refusal = tipped.refused("refit", "1")
    assert "mixed up" in refusal
    assert "stores piece mixed 1" in refusal
    assert "--anyway" in refusal


def test_threads_are_told_apart_by_the_measurement_that_decides(bench: Bench) -> None:
    bench("piece", "loose", "3 1/4 BSW nut", "--to", "tin 1")
    bench("piece", "loose", "3 M6 nut", "--to", "tin 1")
    bench("piece", "mix", "0.1", "0.2")
    out = " ".join(bench("piece", "mixed").split())
    assert "0.1 and 0.2: thread, 1/4 BSW against M6 (pitch by thread gauge, 1/4 BSW 20 tpi" in out


@pytest.mark.parametrize("stock", ["a4-21-63.5x38.1", "a4-65-38.1x21.2"])
def test_the_label_says_so_until_it_is_sorted(tipped: Bench, tmp_path: Path, stock: str) -> None:
    path = tmp_path / "labels.pdf"
    tipped("labels", "A001N", "-o", str(path), "--stock", stock)
    printed = said(path)
    assert "1cover(MIXEDUP)" in printed
    bag_says = printed.replace("(MIXEDUP)", "")
    assert "MIXEDUPwithA003J:sortfirst" in printed or "MIXEDUP" in bag_says
    tipped("piece", "sort", "1")
    tipped("labels", "A001N", "-o", str(path), "--stock", stock)
    assert "MIXEDUP" not in said(path)


def test_the_whole_sentence_stands_on_the_usual_label(tipped: Bench, tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    tipped("labels", "A001N", "-o", str(path))
    assert "MIXEDUPwithA003J:sortfirst" in said(path)


def test_checklist_and_handover_say_so_on_paper(tipped: Bench, tmp_path: Path) -> None:
    tipped("rebuild", "--pdf", str(tmp_path / "list.pdf"))
    printed = said(tmp_path / "list.pdf")
    assert printed.count("MIXEDUPwithbagA001N:sortfirst") == 3
    assert printed.count("MIXEDUPwithbagA003J:sortfirst") == 3
    tipped("record", "handover", "--pdf", str(tmp_path / "day.pdf"))
    day = said(tmp_path / "day.pdf")
    assert "Mixedup" in day
    assert "4M6x25hexbolt(1.2)mixedupwithbagA003J:sortthem" in day
    tipped("place", "list", "--pdf", str(tmp_path / "places.pdf"))
    assert said(tmp_path / "places.pdf").count("MIXEDUP") == 6
    tipped("piece", "sort", "1")
    tipped("rebuild", "--pdf", str(tmp_path / "list.pdf"))
    assert "MIXEDUP" not in said(tmp_path / "list.pdf")


def test_sorted_piece_by_piece(tipped: Bench) -> None:
    out = tipped("piece", "sort", "1", "1.2=3", "2.2=1@A001N")
    assert "1.2  3 M6 x 25 hex bolt, in bag A001N" in out
    assert "2.2  1 M6 x 30 hex bolt, in bag A001N (put there now)" in out
    assert "Still mixed up: 1.1: 1 cover; 1.2: 1 M6 x 25 hex bolt" in out
    out = tipped("piece", "sort")
    assert "Nothing of it is mixed up any more." in out
    assert "Nothing is mixed up." in tipped("piece", "mixed")
    assert "no fault" in tipped("record", "audit")


def test_what_is_mixed_up_is_carried_by_export_and_replay(tipped: Bench, tmp_path: Path) -> None:
    tipped("record", "export", str(tmp_path / "all.jsonl"))
    again = Bench(tmp_path / "again.db")
    again("record", "reload", str(tmp_path / "all.jsonl"))
    assert again("piece", "mixed") == tipped("piece", "mixed")
