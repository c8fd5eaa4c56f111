"""Inspecting in one sitting: keys from a stand-in, and from a pseudo-terminal."""

import contextlib
import os
import signal
import sys
from typing import Any

import pytest
from conftest import Bench
from terminals import terminal

from stores.cli.keys import Keyboard, line_typed
from stores.cli.sitting import sit
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.history import audit
from stores.usecases.sitting import InspectionOf, to_inspect


class Typed:
    """A stand-in for the keyboard: these keys, then no more."""

    def __init__(self, keys: str) -> None:
        self._keys = iter(keys)

    def key(self) -> str:
        """Return the next key."""
        for key in self._keys:
            if key == "^":
                raise KeyboardInterrupt
            return "\r" if key == "\n" else key
        raise EOFError


def sat(bench: Bench, keys: str, what: str = "1") -> None:
    with open_store(str(bench.file)) as store:
        inspection = to_inspect(Context(store), InspectionOf(what))
        sit(Context(store), inspection, Typed(keys), inspection.within)
        assert audit(Context(store)).faults == ()


def held(bench: Bench, ref: str) -> dict[str, int]:
    (found,) = (item for item in bench.json("find", "clutch")["items"] if item["item"] == ref)
    sums: dict[str, int] = {}
    for piece in found["now"]:
        sums[piece["condition"]] = sums.get(piece["condition"], 0) + piece["quantity"]
    return sums


def acts(bench: Bench) -> list[Any]:
    return [act for act in bench.json("history") if act["kind"] == "inspect"]


class TestWithAStandIn:
    def test_a_key_for_each_line(self, clutch: Bench, capsys: pytest.CaptureFixture[str]) -> None:
        sat(clutch, "g3g1snecked\n\n")
        assert held(clutch, "1.1") == {"serviceable": 1}
        assert held(clutch, "1.2") == {"serviceable": 3, "condemned": 1}
        assert held(clutch, "1.3") == {"as removed": 2}
        assert len(acts(clutch)) == 3
        said = capsys.readouterr().out
        assert "To inspect in step 1: 3 lines, 7 pieces" in said
        assert "Left out, always renewed: 1.4 gasket" in said
        assert "2 of 3   1.2  4 M6 x 25 hex bolt" in said
        assert "2 of 3   1.2  1 M6 x 25 hex bolt" in said
        assert "Look for: Necked or stretched shank" in said
        assert "recorded: 1 condemned: necked" in said
        assert "Recorded, 5 pieces inspected: 4 serviceable, 1 condemned; 1 line skipped." in said

    def test_a_caution_is_shown_once_for_a_step(
        self, clutch: Bench, capsys: pytest.CaptureFixture[str]
    ) -> None:
        clutch("strip", "Frame/Brake", "brake shoes", "2 spring", "1 M8x50 bolt")
        sat(clutch, "gggq", "2")
        assert capsys.readouterr().out.count("asbestos") == 1

    def test_back_takes_the_last_answer_back(self, clutch: Bench) -> None:
        sat(clutch, "gbwbent lug\nr\nbbgq")
        assert held(clutch, "1.1") == {"serviceable": 1}
        assert [act["stands"] for act in acts(clutch)] == [True, False, False]

    @pytest.mark.parametrize("end", ["q", "", "^", "sne", "sne^", "2"])
    def test_what_was_answered_is_recorded_however_it_ends(self, clutch: Bench, end: str) -> None:
        with contextlib.suppress(SystemExit):
            sat(clutch, "g" + end)
        assert held(clutch, "1.1") == {"serviceable": 1}
        assert held(clutch, "1.2") == {"as removed": 4}

    def test_what_is_refused_is_said_and_asked_again(
        self, clutch: Bench, capsys: pytest.CaptureFixture[str]
    ) -> None:
        sat(clutch, "x9gs\ngq")
        said = capsys.readouterr().out
        assert "g good, r repair" in said.split("recorded: 1 serviceable")[0].split("> x")[1]
        assert "nothing recorded: 9 of 1.1 clutch cover asked for, but only 1 there" in said
        assert "nothing recorded: it needs a reason" in said
        assert held(clutch, "1.1") == {"serviceable": 1}

    def test_a_number_and_a_reason_can_be_typed_and_mended(self, clutch: Bench) -> None:
        sat(clutch, "kn3\ng5\x7f1rbemd\x7f\x7fnt\nq")
        assert held(clutch, "1.2") == {"serviceable": 3, "repairable": 1}
        assert acts(clutch)[0]["reason"] == "bent"

    def test_a_reading_is_held_against_the_limit_on_record(
        self, clutch: Bench, capsys: pytest.CaptureFixture[str]
    ) -> None:
        clutch("figure", "clearance", "1", "face", "at most 0.1 mm")
        sat(clutch, "m0.15 mm\nsq")
        said = capsys.readouterr().out
        assert "Limit on record: face, at most 0.1 mm (m to measure)" in said
        assert acts(clutch)[0]["reason"] == "face 0.15 mm, NOT within at most 0.1 mm"
        assert held(clutch, "1.1") == {"condemned": 1}

    def test_pieces_of_another_bag_are_left_alone(self, clutch: Bench) -> None:
        clutch("piece", "move", "1.2", "new", "-q", "3")
        sat(clutch, "kgq", "A001N")
        assert held(clutch, "1.2") == {"as removed": 3, "serviceable": 1}


class TestOnTheCommandLine:
    def test_without_a_terminal_it_names_the_list(self, clutch: Bench) -> None:
        assert "give a list: stores inspect --list" in clutch.refused("inspect", "1")

    def test_the_list(self, clutch: Bench) -> None:
        said = clutch("inspect", "--list", "1.1 good; 1.2 3 good 1 scrap necked")
        assert "5 pieces inspected" in said
        assert "1.2  1 M6 x 25 hex bolt  condemned: necked" in said

    def test_every_fault_of_a_list_is_named_in_a_line(self, clutch: Bench) -> None:
        said = clutch.refused("inspect", "--list", "1.1 fine; 1.2 5 good; 8.1 good")
        assert "3 faults in the list, nothing was recorded" in said
        for words in ("1. '1.1 fine'", "2. '1.2 5 good'", "3. '8.1 good'"):
            assert words in said

    def test_as_json_it_says_what_there_is(self, clutch: Bench) -> None:
        assert [line["item"] for line in clutch.json("inspect", "1")["lines"]] == [
            "1.1", "1.2", "1.3",
        ]  # fmt: skip

    def test_nothing_left(self, clutch: Bench) -> None:
        clutch("inspect", "1", "serviceable")
        clutch("inspect", "1.4", "condemned", "torn")
        assert "Nothing left to inspect in Orrick Plover." in clutch("inspect")


class TestAtATerminal:
    def test_keys_and_a_reason(self, clutch: Bench) -> None:
        with terminal(clutch.file, "inspect", "1") as at:
            at.wait_for(r"1 of 3 .*(?s:.)*> ")
            at.type("g")
            at.wait_for(r"recorded: 1 serviceable(?s:.)*2 of 3(?s:.)*> ")
            at.type("1s")
            at.wait_for(r"why\? ")
            at.type("rundherum eingeschn\u00fcrt\r")
            at.wait_for(r"recorded: 1 condemned(?s:.)*3 M6 x 25(?s:.)*> ")
            at.type("\x1b[Agq")  # a cursor key is passed over; what is typed ahead is kept
            assert at.ended() == 0
            assert "Recorded, 5 pieces inspected: 4 serviceable, 1 condemned" in at.shown
        assert held(clutch, "1.2") == {"serviceable": 3, "condemned": 1}
        assert acts(clutch)[1]["reason"] == "rundherum eingeschn\u00fcrt"

    def test_stopping_and_closing_the_terminal_leave_what_was_recorded(self, clutch: Bench) -> None:
        with terminal(clutch.file, "inspect", "1") as at:
            at.wait_for(r"1 of 3 (?s:.)*> ")
            at.type("g")
            at.wait_for(r"2 of 3 (?s:.)*> ")
            at.process.send_signal(signal.SIGINT)
            assert at.ended() == 130
            assert "Recorded, 1 piece inspected" in at.shown
        with terminal(clutch.file, "inspect", "1") as at:
            at.wait_for(r"1 of 2 (?s:.)*> ")
            at.type("3g")
            at.wait_for(r"recorded: 3(?s:.)*> ")
            at.close()
            at.ended()
        assert held(clutch, "1.1") == {"serviceable": 1}
        assert held(clutch, "1.2") == {"serviceable": 3, "as removed": 1}


def test_keys_typed_ahead_come_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    read, write = os.pipe()
    with os.fdopen(read) as stdin:
        monkeypatch.setattr(sys, "stdin", stdin)
        os.write(write, "g\x1b[1;5Cbent h\u00e9re\n".encode())
        os.close(write)
        keys = Keyboard()
        assert keys.key() == "g"
        assert line_typed(keys, "why? ") == "bent h\u00e9re"
        with pytest.raises(EOFError):
            keys.key()
