"""One machine from the first bolt to close-out. Every total is worked out by hand here.

Off, as found:
    step 1, clutch cover:  1 cover (1.1), 4 M6 x 25 (1.2), 1 gasket (1.3)             6
    step 2, seat:          1 seat (2.1), 2 of 3 M8 x 20 (2.2), 2 M8 washers (2.3)     5
    pieces off                                                                       11
Away: all 4 of 1.2 go to be plated, 3 come back, 1 is lost there.                     1 lost
To buy: 1 of 1.2 (lost), 1 of 1.3 (gaskets are renewed), 1 of 2.2 (3 belong, 2 were)  3
Bought: 1 gasket, 1 M8 x 20, and 3 M6 x 25, of which 2 are spare                      5
Fitted: 1 cover + 4 + 1 gasket; 1 seat + 3 + 2 washers                               12
Scrapped: the old gasket                                                              1
Left: the 2 spare M6 x 25                                                             2
Check: 11 off + 5 bought = 16 = 12 fitted + 1 lost + 1 scrapped + 2 left.
"""

from pathlib import Path

import pypdfium2
from conftest import Bench


def pieces(bench: Bench) -> dict[str, int]:
    audit = bench.json("record", "audit")
    assert audit["faults"] == []
    return {name: count for name, count in audit["stocktake"]["groups"] if count}


def words_of(pdf: Path) -> str:
    pages = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in pages)


def in_the_way(bench: Bench) -> list[str]:
    shown = bench("machine", "close", "--look").splitlines()
    return [line.removeprefix("- ") for line in shown if line.startswith("- ")]


def test_every_piece_is_accounted_for_to_the_end(bench: Bench, tmp_path: Path) -> None:
    bench("strip", "Engine/Clutch", "clutch cover", "4 M6x25 hex bolt", "1 gasket")
    bench("strip", "Frame", "seat", "2 of 3 M8x20 hex bolt", "2 M8 washer")
    assert pieces(bench) == {"in bags": 11}

    bench("outwork", "send", "1.2", "--to", "Brindlecote Platers", "--for", "zinc plating")
    assert pieces(bench) == {"in bags": 7, "away at firms": 4}
    bench("outwork", "back", "Brindlecote", "1.2", "-q", "3", "-c", "serviceable")
    assert pieces(bench) == {"in bags": 10, "away at firms": 1}
    assert any("away: 1" in matter for matter in in_the_way(bench))
    bench("piece", "lose", "1.2", "-q", "1", "--at", "Brindlecote Platers")
    assert pieces(bench) == {"in bags": 10, "lost": 1}

    short = {item["item"]: item["short"] for item in bench.json("find", "e")["items"]}
    short |= {item["item"]: item["short"] for item in bench.json("find", "M8")["items"]}
    assert {ref: count for ref, count in short.items() if count} == {"1.2": 1, "1.3": 1, "2.2": 1}

    bench("buy", "1.3", "--from", "Querside Gaskets")
    bench("buy", "2.2", "--from", "Hollin Fasteners")
    bench("buy", "3 M6x25 hex bolt", "--from", "Hollin Fasteners")
    # 10 in the bags + 1 + 1 + 1 of the three; the other 2 lie loose on the bench.
    assert pieces(bench) == {"in bags": 13, "on the bench": 2, "lost": 1}

    bench("refit", "2", "--as-it-came")
    bench("refit", "1", "--as-it-came", "--finger-tight")
    # 12 on the machine; in the bag the old gasket.
    assert pieces(bench) == {
        "in bags": 1, "on the bench": 2, "lost": 1, "back on the machine": 12,
    }  # fmt: skip
    assert in_the_way(bench) == [
        "only finger-tight: M6 x 25 hex bolt (1.2)",
        "left over: 1 gasket (1.3)",
    ]
    (tight,) = bench.json("record", "handover")["left"]["finger_tight"]
    assert (tight["item"], tight["text"]) == ("1.2", "M6 x 25 hex bolt")
    assert "2 points to settle" in bench.refused("machine", "close")

    bench("refit", "tighten", "1")
    bench("piece", "scrap", "1")
    assert pieces(bench) == {
        "on the bench": 2, "lost": 1, "scrapped": 1, "back on the machine": 12,
    }  # fmt: skip
    assert in_the_way(bench) == []
    assert "closed out" in bench("machine", "close", "-n", "ran for an hour")
    assert "already" in bench.refused("machine", "close")
    assert pieces(bench)["back on the machine"] == 12

    bench("machine", "book", str(tmp_path / "book.pdf"))
    text = words_of(tmp_path / "book.pdf")
    for said in (
        "11 pieces as found, 12 on the machine",
        "ran for an hour",
        "1 from Querside Gaskets",
        "1 scrapped",
        "1 lost",
        "Log of entries",
    ):
        assert said in text, said

    bench("undo")  # the closing
    assert "closed out" in bench("machine", "close")
    bench("inspect", "0.1", "1", "serviceable", "--of", "new")  # a spare is the workshop's
    assert "already" in bench.refused("machine", "close")
    assert "was closed out" in bench.refused("strip", "Engine", "drain plug")


def test_brakes_wait_for_a_second_signature(bench: Bench) -> None:
    bench("strip", "Brakes/Rear", "brake plate", "2 M8x20 hex bolt")
    bench("refit", "1", "--as-it-came", "--by", "A. Marl")
    assert in_the_way(bench) == ["no second check signed: step 1 brake plate"]
    (waits,) = bench.json("record", "handover")["left"]["waits"]
    assert (waits["kind"], waits["step"]) == ("unsigned", 1)
    bench("refit", "sign", "1", "J. Teal", "--second")
    assert "closed out" in bench("machine", "close")


def test_what_is_measured_must_be_measured_and_within_its_limits(bench: Bench) -> None:
    bench("strip", "Engine", "crankshaft")
    bench("refit", "1", "--as-it-came")
    bench("figure", "clearance", "1", "end float", "0.05 to 0.15 mm")
    assert in_the_way(bench) == ["not measured: end float of step 1, 0.05 to 0.15 mm"]
    bench("figure", "clearance", "1", "end float", "--found", "0.2")
    assert "outside its limits" in in_the_way(bench)[0]
    bench("figure", "clearance", "1", "end float", "--found", "0.1")
    assert in_the_way(bench) == []


def test_an_open_snag_is_in_the_way_and_a_noted_one_is_not(bench: Bench) -> None:
    import contextlib
    import sqlite3

    bench("strip", "Engine", "cover")
    bench("refit", "1", "--as-it-came")
    with contextlib.closing(sqlite3.connect(bench.file)) as record, record:
        for number, sort in ((1, "leak"), (2, "noted")):
            record.execute(
                "INSERT INTO snag (act_id, machine_id, number, sort, text, side) "
                "VALUES (2, 1, ?, ?, 'weeps at the joint', 'left')", (number, sort),
            )  # fmt: skip
    assert in_the_way(bench) == ["open: snag 1: leak: weeps at the joint, left (the machine)"]
    with contextlib.closing(sqlite3.connect(bench.file)) as record, record:
        record.execute("INSERT INTO clearing (act_id, snag_id, how) VALUES (3, 1, 'new gasket')")
    assert in_the_way(bench) == []


def test_the_audit_names_a_closing_that_the_ledger_contradicts(clutch: Bench) -> None:
    import contextlib
    import sqlite3

    with contextlib.closing(sqlite3.connect(clutch.file)) as record, record:
        record.execute("INSERT INTO act (kind, happened_at, written_at, reason, summary) VALUES "
                       "('close', '2026-03-14', '2026-03-14', '', 'closed')")  # fmt: skip
        record.execute("INSERT INTO closing (act_id, machine_id, note) "
                       "VALUES ((SELECT max(id) FROM act), 1, '')")  # fmt: skip
    assert "closes Orrick Plover out with 8 pieces left over" in clutch.type("record", "audit").out


def test_the_handover_keeps_the_words_and_undo_takes_them_back(
    bench: Bench, tmp_path: Path
) -> None:
    for number in range(30):
        bench("strip", "Engine", f"cover {number}", "2 M6x25 hex bolt")
    bench("record", "handover", "left pedal only hand-tight")
    assert "left pedal only hand-tight" in bench("record", "handover")
    bench("record", "handover", "--pdf", str(tmp_path / "day.pdf"))
    assert len(pypdfium2.PdfDocument(tmp_path / "day.pdf")) == 1
    assert "left pedal only hand-tight" in words_of(tmp_path / "day.pdf")
    bench("undo")
    assert bench.json("record", "handover")["words"] == []
