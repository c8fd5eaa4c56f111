"""Counting a place. Every expected number is worked out by hand from the fixture: bag A001N holds
1 clutch cover (1.1), 4 M6 x 25 (1.2), 2 M6 x 40 (1.3) and 1 gasket (1.4): 8 pieces."""

import contextlib
import csv
import sqlite3
from pathlib import Path

from conftest import Bench
from terminals import terminal


def verdicts(bench: Bench, *words: str) -> dict[str, str]:
    return {line["what"]: line["verdict"] for line in bench.json("place", "count", *words)["lines"]}


def pieces(bench: Bench) -> dict[str, int]:
    taken = bench.json("record", "audit")["stocktake"]
    return {name: count for name, count in taken["groups"] if count}


def test_a_count_is_only_shown_until_it_is_accepted(clutch: Bench, tmp_path: Path) -> None:
    before = clutch.everything()
    file = tmp_path / "count.csv"
    shown = clutch("place", "count", "A001N", "1.1", "1.2=3", "1.3=4", "A003K", "--csv", str(file))
    assert "1 missing" in shown
    assert "A001N: 5 lines, 4 differences. Nothing was written." in shown
    with file.open(encoding="utf-8-sig", newline="") as rows:
        assert {row["What"]: row["Verdict"] for row in csv.DictReader(rows)} == {
            "1.1 clutch cover": "right",
            "1.2 M6 x 25 hex bolt": "1 missing",
            "1.3 M6 x 40 bolt": "2 too many",
            "1.4 gasket": "1 missing",
            "A003K": "not understood",
        }
    assert clutch.everything() == before


def test_without_a_count_it_says_what_should_be_there(clutch: Bench) -> None:
    assert clutch("place", "count", "A001N").startswith("Nothing was counted yet")
    assert clutch.json("place", "count", "A001N")["differences"] == 4


def test_missing_is_lost_too_many_is_of_unknown_origin_and_undo_takes_both_back(
    clutch: Bench,
) -> None:
    clutch(
        "place", "count", "A001N", "1.1", "1.2=3", "1.3=4", "1.4", "--accept", "-n", "spring count"
    )
    # 8 - 1 missing + 2 too many = 9 in the bag, 1 lost.
    assert pieces(clutch) == {"in bags": 9, "lost": 1}
    assert clutch.json("record", "audit")["faults"] == []
    clutch("undo")
    assert pieces(clutch) == {"in bags": 8}
    assert clutch.json("record", "audit")["faults"] == []


def test_pieces_scanned_one_by_one_add_up_and_bags_do_not(clutch: Bench) -> None:
    clutch("strip", "Engine", "sump", "2 M6x20 bolt")
    clutch("place", "stow", "A001N", "box 1")
    scans = Path(clutch.file.parent / "scans.txt")
    scans.write_text("1.2\n1.2\n1.2\n1.2\n1.1\n1.3=2\n1.4\n", encoding="utf-8")
    assert set(verdicts(clutch, "A001N", "--file", str(scans)).values()) == {"right"}
    scans.write_text("A001N\nA001N\nA003J\nA003K\n", encoding="utf-8")
    assert verdicts(clutch, "box 1", "--file", str(scans)) == {
        "A001N": "right",
        "A003J": "extra",
        "A003K": "extra",
    }


def test_a_count_that_agrees_is_recorded_too(clutch: Bench) -> None:
    clutch("place", "stow", "A001N", "box 1")
    assert "as expected" in clutch("place", "count", "box 1", "A001N", "--accept")
    assert "box 1 counted: as expected" in clutch("history")


def test_the_audit_names_a_count_that_the_ledger_contradicts(clutch: Bench) -> None:
    with contextlib.closing(sqlite3.connect(clutch.file)) as record, record:
        place = record.execute("SELECT id FROM place WHERE name = 'A001N'").fetchone()[0]
        record.execute("INSERT INTO act (kind, happened_at, written_at, reason, summary) VALUES "
                       "('count', '2026-03-14', '2026-03-14', '', 'counted')")  # fmt: skip
        act = record.execute("SELECT max(id) FROM act").fetchone()[0]
        record.execute(
            "INSERT INTO stock_count (act_id, place_id, note) VALUES (?, ?, '')", (act, place)
        )
        record.execute("INSERT INTO count_line (act_id, count_id, item_id, words, expected, found) "
                       "VALUES (?, 1, 2, '', 5, 3)", (act,))  # fmt: skip
    said = clutch.type("record", "audit").out
    assert "expected 5, but the ledger had 4" in said
    assert "expected 5, found 3, but moved 0" in said


def test_what_was_not_understood_is_a_fact_in_json_and_a_sentence_on_screen(clutch: Bench) -> None:
    line = clutch.json("place", "count", "A001N", "A003K")["lines"][-1]
    assert (line["kind"], line["what"], line["verdict"]) == ("words", "A003K", "extra")
    assert "A003K" in str(line["unread"])
    shown = " ".join(clutch("place", "count", "A001N", "A003K").split())
    assert "not understood: bag code A003K is misread or mistyped" in shown


def test_as_listed_but_shows_first_and_asks_at_a_terminal(clutch: Bench) -> None:
    shown = clutch("place", "count", "A001N", "--as-listed-but", "1.2: 3, 1.4: none")
    assert "2 differences. Nothing was written." in shown
    with terminal(clutch.file, "count", "A001N", "--as-listed-but", "1.2: 3") as at:
        at.wait_for("1 missing(?s:.)*Record this count")
        at.type("n\r")
        assert at.ended() == 0
        assert "Nothing was written" in at.shown
    with terminal(clutch.file, "count", "A001N", "--as-listed-but", "1.2: 3") as at:
        at.wait_for("Record this count")
        at.type("y\r")
        at.wait_for("Why do they differ")
        at.type("rolled away\r")
        assert at.ended() == 0
    assert pieces(clutch) == {"in bags": 7, "lost": 1}
    assert clutch.json("history")[0]["reason"] == "rolled away"
