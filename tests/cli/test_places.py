"""The index of places says the same on screen, on paper, as CSV and as JSON."""

import csv
from pathlib import Path

import pdfplumber
from conftest import Bench, kept
from terminals import terminal


@kept
def stowed(clutch: Bench) -> Bench:
    clutch("strip", "Frame", "tank", "2 M8x30 bolt", "-p", "shelf 2")
    clutch("strip", "Frame", "stand", "1 M10 nut")
    clutch("place", "stow", "A001N", "box 10")
    clutch("place", "stow", "A003J", "box 2")
    return clutch


def test_one_list_feeds_screen_paper_and_files(stowed: Bench, tmp_path: Path) -> None:
    """By hand: bag A001N has a cover, 4 + 2 bolts and a gasket, 8 pieces; the tank is on the shelf
    and its 2 bolts in A003J; the stand and a nut, 2 pieces, in A004H: 13 pieces in 4 places."""
    listed = stowed.json("place", "list")["places"]
    assert [(each["name"], each["inside"], each["pieces"]) for each in listed] == [
        ("A001N", "box 10", 8), ("A003J", "box 2", 2), ("A004H", "", 2), ("shelf 2", "", 1),
    ]  # fmt: skip
    shown = stowed("place", "list")
    assert "4 places, 13 pieces" in shown
    assert "A001N  in box 10: 8 pieces, step 1" in shown
    path, sheet = tmp_path / "places.csv", tmp_path / "places.pdf"
    stowed("place", "list", "--csv", str(path), "--pdf", str(sheet))
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["Place"], row["Inside"], int(row["Pieces"])) for row in rows] == [
        (each["name"], each["inside"], each["pieces"]) for each in listed
    ]
    for row, each in zip(rows, listed, strict=True):
        held = each["held"]
        assert row["Steps"] == ", ".join(dict.fromkeys(str(one["step"]) for one in held))
        assert row["Machine"] == "Orrick Plover" == held[0]["machine"]
        assert all(one["text"] in row["What"] for one in held)
    with pdfplumber.open(sheet) as pdf:
        words = " ".join(pdf.pages[0].extract_text().split())
    for row in rows:
        assert row["Place"] in words
        assert f"{row['Pieces']} {row['Steps']}" in words


def test_what_is_in_a_box(stowed: Bench) -> None:
    assert [each["name"] for each in stowed.json("place", "list", "box 2")["places"]] == ["A003J"]
    assert "nothing is in 'box 7'" in stowed.refused("place", "list", "box 7")


def test_scrapping_all_condemned_asks_once(clutch: Bench) -> None:
    clutch("inspect", "1.2", "2", "condemned", "necked")
    said = clutch("piece", "scrap", "--condemned")
    assert "2 pieces to throw out" in said
    assert "Nothing was thrown out. To do it: the same command with --yes" in said
    with terminal(clutch.file, "scrap", "--condemned") as at:
        at.wait_for("Throw these out")
        at.type("n\r")
        assert at.ended() == 0
    assert "scrapped" not in dict(clutch.json("record", "audit")["stocktake"]["groups"])
    with terminal(clutch.file, "scrap", "--condemned") as at:
        at.wait_for("Throw these out")
        at.type("y\r")
        assert at.ended() == 0
        assert "2 pieces scrapped" in at.shown
    clutch("inspect", "1.2", "1", "condemned", "bent")
    assert clutch.json("piece", "scrap", "--condemned")["trial"]
    assert "1 piece scrapped" in clutch("piece", "scrap", "--condemned", "--yes")
