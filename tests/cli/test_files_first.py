"""What cannot be written, drawn or read is said before anything is recorded: status 1, no act."""

import json
from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench, every_command

from stores.cli.app import FILES
from stores.storage import open_store
from stores.storage.assembling import read_refits
from stores.wording.commands import spelling

RECORDS_AND_WRITES = {
    "count": ["count", "A001N", "1.2=3", "--accept", "-n", "counted", "--csv"],
    "handover": ["handover", "drain pan under the sump", "--pdf"],
    "joint, a card of the order": ["joint", "1", "4 on 60", "--pdf"],
    "joint, a hole card": ["joint", "1", "4 on 60", "--card"],
    "labels": ["labels", "A001N", "--out"],
    "parts": ["parts", "book.csv", "--accept", "--csv"],
    "survey": ["survey", "--kind", "mechanism", "--pdf"],
}


def test_every_command_that_records_and_writes_a_file_is_here() -> None:
    """Its options are among those that are looked at first."""
    found = {
        (name, parameter.name)
        for name, command in every_command().items()
        for parameter in command.params
        if any(each.name == "tried" and not each.hidden for each in command.params)
        and getattr(parameter, "metavar", None) == "FILE"
        and parameter.name != "file"  # what is read in
    }
    assert {option for _, option in found} == set(FILES)
    assert {name for name, _ in found} == {
        spelling(words[0]) for words in RECORDS_AND_WRITES.values()
    }


@pytest.mark.parametrize("words", RECORDS_AND_WRITES.values(), ids=RECORDS_AND_WRITES)
def test_a_file_that_cannot_be_written_is_refused_before_anything_is_recorded(
    clutch: Bench, words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("book.csv").write_text("description,qty\nM6x25 hex bolt,4\n")
    for name, why in (
        (str(tmp_path / "nowhere" / "file"), "there is no folder"),
        (str(tmp_path), "it is a folder"),
        (str(clutch.file), "is a database"),
        ("x" * 300, "too long"),
        ("\0", "not the name of a file"),
    ):
        assert why in clutch.refused(*words, name)


def test_what_cannot_be_drawn_is_refused_before_anything_is_recorded(
    clutch: Bench, tmp_path: Path
) -> None:
    card = str(tmp_path / "card.pdf")
    for words, why in (
        (("4 on 60", "--paper", "A9", "--pdf", card), "A5, A4 or Letter"),
        (("4 on 60", "--paper", "A9", "--card", card), "A5, A4 or Letter"),
        (("4 on 60", "--paper", "A5", "--card", card), "A4 or Letter"),
        (("4 on 60", "--page", "A9", "--card", card), "A4 or Letter"),
        (("60 on 300", "--pdf", card), "do not fit on A5"),
        (("4 on 60", "--order", "1 2 3", "--pdf", card), "4"),
    ):
        assert why in clutch.refused("figure", "joint", "1", *words)
    assert not Path(card).exists()


def width_of(path: Path) -> int:
    """In mm, to the nearest: A5 148, A4 210 (ISO 216), Letter 215.9 (ANSI/ASME Y14.1)."""
    with pdfplumber.open(path) as document:
        return round(float(document.pages[0].width) * 25.4 / 72)


def test_a_joint_with_two_cards_is_one_document(clutch: Bench, tmp_path: Path) -> None:
    order, holes = tmp_path / "order.pdf", tmp_path / "holes.pdf"
    reply = json.loads(
        clutch(
            "figure", "joint", "1", "4 on 60", "--pdf", str(order), "--card", str(holes), "--json"
        )
    )
    assert (reply["holes"], reply["files"]) == (4, [str(order), str(holes)])
    again = json.loads(
        clutch("figure", "joint", "1", "--card", str(holes), "--pdf", str(order), "--json")
    )
    assert again["files"] == [str(order), str(holes)]
    assert order.read_bytes().startswith(b"%PDF")
    clutch("figure", "joint", "1", "--card", str(holes), "--pdf", str(order), "--paper", "A5")
    assert (width_of(order), width_of(holes)) == (148, 210)
    clutch("figure", "joint", "1", "--card", str(holes), "--pdf", str(order), "--paper", "letter")
    assert (width_of(order), width_of(holes)) == (216, 216)
    # its name of before, still taken
    clutch("figure", "joint", "1", "--card", str(holes), "--page", "letter")
    assert width_of(holes) == 216
    assert "--page" not in clutch("figure", "joint", "--help")
    assert holes.read_bytes().startswith(b"%PDF")


def test_limits_and_a_reading_that_is_none_are_refused_together(clutch: Bench) -> None:
    for reading, why in (("abc", "expected a number"), ("5 kg", "limits are in mm"), (" ", "")):
        limits = "0.05 to 0.15 mm"
        assert why in clutch.refused(
            "figure", "clearance", "1", "end float", limits, "--found", reading
        )
    assert "leave --found out" in clutch.refused(
        "figure", "clearance", "1", "end float", "none", "--found", "0.1"
    )


def test_limits_and_what_was_measured_are_one_act(clutch: Bench) -> None:
    said = clutch("figure", "clearance", "1", "end float", "0.05 to 0.15 mm", "--found", "0.1")
    assert "Step 1, end float: 0.1 mm, within its limits" in said
    with open_store(str(clutch.file)) as store, store.reading() as connection:
        (point,) = read_refits(connection, 1).of(1).points
    assert (point.limits, point.measured) == ("0.05 to 0.15 mm", "0.1 mm")
    clutch("undo")
    assert "has no 'end float' to measure" in clutch.refused(
        "figure", "clearance", "1", "end float", "--found", "0.1"
    )
