"""What a line may have meant: each reading settles the question and states nothing new."""

import csv
import re
from pathlib import Path

import pytest

from stores.errors import StoresError
from stores.handbook.benchline import lines_in, read_line
from stores.handbook.readings import readings

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("M6 bolts x 4", {"4 off M6 bolt", "1 off M6 bolt 4 mm long"}),
        ("hose clips 2", {"2 off hose clip"}),
        ("3 or 4 M6 nuts", {"3 off M6 nut", "4 off M6 nut"}),
        ("1/2 Whit nut 3 @ rear", {"3 off 1/2 BSW nut @ rear"}),
        # 1/4 at 20 tpi is both BSW (BS 84) and UNC (ASME B1.1)
        ("1/4 x 20 tpi nut", {"1 off 1/4 BSW nut", "1 off 1/4 UNC nut"}),
        # 1/4 at 26 tpi is BSF (BS 84) and cycle thread (BS 811)
        ("2 M8x20 set screw", {"2 off M8 x 20 hex full thread set screw",
                               "2 off M8 x 20 grub screw"}),
        # what is missing of them is missing in each reading
        ("3 of 4 M8x20 set screw", {"3 of 4 M8 x 20 hex full thread set screw",
                                    "3 of 4 M8 x 20 grub screw"}),
        ("0 of 1 1/4 x 20 tpi nut @ rear", {"0 of 1 1/4 BSW nut @ rear",
                                            "0 of 1 1/4 UNC nut @ rear"}),
        # a word of two trades, or of two heads
        ("2 cotter 5/32 x 1 1/2", {"2 split pin 5/32 x 1 1/2", "2 tapered cotter 5/32 x 1 1/2"}),
        ("3 Keil 10x8x50 @ top", {"3 taper key 10x8x50 @ top", "3 wedge 10x8x50 @ top"}),
        ("Linsenkopf M5x10", {"pan head M5x10", "button head M5x10", "round head M5x10"}),
        ("Zylinderkopf M6x20", {"cheese head M6x20", "socket head M6x20"}),
        ("two springs and a nut", {"2 off springs and 1 off nut"}),
        ("M6x25 bolt and nut", {
            "1 off M6 x 25 bolt and 1 off M6 nut", "1 off M6 x 25 bolt and 1 off nut"}),
        ("4 bolts M8x30 and washers @ front", {
            "4 off M8 x 30 bolt and 4 off M8 washer @ front",
            "4 off M8 x 30 bolt and 1 off M8 washer @ front",
            "4 off M8 x 30 bolt and 4 off washer @ front",
            "4 off M8 x 30 bolt and 1 off washer @ front"}),
        ("@ [x] & nut", set()),  # a thing that has no name cannot be counted
        ("4 M6x25 hex", set()),
        ("lots of washers", set()),
        ("44120 bolt", set()),
    ],
)  # fmt: skip
def test_the_readings_of_a_line(typed: str, meant: set[str]) -> None:
    assert set(readings(typed)) == meant


def texts() -> list[str]:
    found = []
    for name in ("fastener_lists.csv", "fastener_notes.csv"):
        with (HERE / name).open(encoding="utf-8", newline="") as file:
            found += [row["text"] for row in csv.DictReader(file)]
    return found


def test_each_reading_settles_something_and_makes_no_figure_up() -> None:
    offered = 0
    for text in texts():
        for reading in readings(text):
            offered += 1
            before, lines = read_line(text), [read_line(each) for each in lines_in(reading)]
            left = {question for after in lines for question in after.questions}
            assert left < set(before.questions), (text, reading)
            figures = {*re.findall(r"\d+", text), "1", *([str(before.found)] * before.counted)}
            assert {str(after.found) for after in lines} <= figures, (text, reading)
            if before.counted:
                counts = (lines[0].found, lines[0].wanted)
                assert counts == (before.found, before.wanted), text
    assert offered > 20


def test_what_cannot_be_read_has_none() -> None:
    with pytest.raises(StoresError):
        read_line("0 M6 nut")
    assert readings("0 M6 nut") == ()
