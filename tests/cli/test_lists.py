"""The CSV of a list holds the numbers that the screen and the JSON show."""

import csv
from pathlib import Path

from conftest import Bench


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_find_gives_the_same_items_as_csv_and_as_json(clutch: Bench, tmp_path: Path) -> None:
    clutch("find", "clutch", "--csv", str(tmp_path / "found.csv"))
    rows = read(tmp_path / "found.csv")
    items = clutch.json("find", "clutch")["items"]
    assert [(row["Item"], int(row["Found"]), row["As found"]) for row in rows] == [
        (f"step {item['item']}", item["found"], item["as_found"]) for item in items
    ]
    assert rows[1]["Where"] == "4 as removed in bag A001N"


def test_the_history_as_csv_has_every_act(clutch: Bench, tmp_path: Path) -> None:
    for _ in range(12):
        clutch("piece", "move", "1.2", "bench", "-q", "1")
        clutch("undo")
    clutch("history", "--csv", str(tmp_path / "acts.csv"))
    rows = read(tmp_path / "acts.csv")
    assert len(rows) == 26  # the machine, the step, and twelve moves undone
    assert sum(bool(row["Undone by"]) for row in rows) == 12


def test_a_csv_into_no_folder_is_refused(clutch: Bench, tmp_path: Path) -> None:
    assert "folder" in clutch.refused("find", "clutch", "--csv", str(tmp_path / "no" / "a.csv"))
