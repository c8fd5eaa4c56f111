"""Reading in a parts list: a trial, all or nothing, undone, and from a workbook the same."""

import csv
from pathlib import Path

import openpyxl
import pytest
from conftest import Bench

ROWS = (
    ("Part No.", "Description", "No. off", "Section"),
    ("P1", "m6 by twenty five hex bolts", "4", "Clutch"),
    ("P2", "gasket", "1", "Engine/Clutch"),
    ("P3", "oil seal 17x35x7", "2", "Gearbox"),
)
BAD = (*ROWS, ("P4", "sleeve", "many", "Engine"))


def write(path: Path, rows: tuple[tuple[str, ...], ...], separator: str = ",") -> str:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=separator).writerows(rows)
    return str(path)


def test_a_trial_shows_each_fate_and_writes_nothing(clutch: Bench, tmp_path: Path) -> None:
    file = write(tmp_path / "book.csv", BAD)
    before = clutch.everything()
    read = clutch.json("order", "parts-list", file)
    assert clutch.everything() == before
    assert [(row["line"], row["fate"]) for row in read["fates"]] == [
        (2, "matched"), (3, "matched"), (4, "new"), (5, "refused"),
    ]  # fmt: skip
    assert [row["item"] for row in read["fates"]][:2] == ["1.2", "1.4"]
    assert "Nothing was written" in clutch("order", "parts-list", file)


def test_one_bad_row_stops_the_whole_list(clutch: Bench, tmp_path: Path) -> None:
    line = clutch.refused("order", "parts-list", write(tmp_path / "book.csv", BAD), "--accept")
    assert "book.csv, line 5: 'many' is no quantity" in line
    assert "1 such in all, nothing was read in" in line
    assert "--without-refused" in line


def test_without_the_refused_the_rest_is_read_in_and_they_are_named(
    clutch: Bench, tmp_path: Path
) -> None:
    file = write(tmp_path / "book.csv", BAD)
    assert "lines 5" in clutch("order", "parts-list", file, "--accept", "--without-refused")
    assert [(row["line"], row["item"]) for row in clutch.json("order", "parts-list")["parts"]] == [
        (2, "1.2"), (3, "1.4"), (4, ""),
    ]  # fmt: skip


def test_a_list_read_in_anew_is_not_brought_back_beside_itself(
    clutch: Bench, tmp_path: Path
) -> None:
    file = write(tmp_path / "book.csv", ROWS)
    clutch("order", "parts-list", file, "--accept")
    clutch("undo")
    undoing = max(act["number"] for act in clutch.json("history"))
    clutch("order", "parts-list", file, "--accept")
    assert "was read in again since" in clutch.refused("undo", "act", str(undoing))
    clutch("undo")
    clutch("undo", "act", str(undoing))
    assert "was read in already" in clutch.refused("order", "parts-list", file, "--accept")


def test_a_workbook_and_other_separators_are_read_the_same(clutch: Bench, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in ROWS:
        page.append([int(cell) if cell.isdigit() else cell for cell in row])
    book.save(tmp_path / "book.xlsx")
    expected = clutch.json("order", "parts-list", write(tmp_path / "a.csv", ROWS))
    for file in (
        str(tmp_path / "book.xlsx"),
        write(tmp_path / "b.csv", ROWS, ";"),
        write(tmp_path / "c.csv", ROWS, "\t"),
    ):
        assert clutch.json("order", "parts-list", file) | {"source": "a.csv"} == expected
    latin = tmp_path / "latin.csv"
    latin.write_bytes("What,Qty\nBügel für Gehäuse,2\n".encode("cp1252"))
    assert clutch.json("order", "parts-list", str(latin))["fates"][0]["what"] == "Bügel für Gehäuse"


def test_a_heading_that_is_not_guessed_is_named(clutch: Bench, tmp_path: Path) -> None:
    file = write(tmp_path / "odd.csv", (("Nr", "Benennung"), ("1", "gasket")))
    assert "--column what=" in clutch.refused("order", "parts-list", file)
    read = clutch.json("order", "parts-list", file, "--column", "what=Benennung")
    assert read["fates"][0]["fate"] == "matched"
    assert "no column is called" in clutch.refused(
        "order", "parts-list", file, "--column", "colour=Nr"
    )


def test_the_csv_has_every_row_that_the_screen_leaves_out(clutch: Bench, tmp_path: Path) -> None:
    rows = (ROWS[0], *((f"P{at}", f"=sleeve {at}", "1", "Engine") for at in range(100)))
    file = write(tmp_path / "long.csv", rows)
    assert "and 60 more rows" in clutch("order", "parts-list", file)
    clutch("order", "parts-list", file, "--csv", str(tmp_path / "fates.csv"))
    with (tmp_path / "fates.csv").open(encoding="utf-8-sig", newline="") as made:
        read = list(csv.DictReader(made))
    assert len(read) == 100
    assert read[7]["What"] == "'=sleeve 7"  # a spreadsheet would take it for a formula


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("none.csv", None, "no file"),
        ("empty.csv", b"", "no heading"),
        ("torn.xlsx", b"PK\x03\x04 torn", "cannot be read"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old workbook"),
        ("only-heads.csv", b"Description,Qty\n", "no row"),
        ("control.csv", b"Description,Qty\nsle\x07eve,1\n", "control character"),
        ("nul.csv", b"Description,Qty\nsle\x00eve,1\n", "control"),
    ],
)
def test_bad_files_are_refused_in_one_line(
    clutch: Bench, tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert said in clutch.refused("order", "parts-list", str(tmp_path / name), "--accept")
