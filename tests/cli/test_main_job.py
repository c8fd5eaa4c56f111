"""The main job, in sentences of the trade."""

import csv
import re
from pathlib import Path

import pandas as pd
import pytest
from conftest import Bench

CODE = "A001N"


class TestStrip:
    def test_one_line_makes_assembly_bag_and_numbered_step(self, bench: Bench) -> None:
        shown = bench(
            "strip", "Engine / Clutch", "clutch cover", "4 M6x25 hex bolt 8.8", "1 gasket"
        )
        assert "Step 1  Engine / Clutch: clutch cover" in shown
        assert "New assembly: Engine / Clutch" in shown
        assert f"New bag {CODE}" in shown
        assert "4 M6 x 25" in shown

    def test_the_second_step_has_the_next_number_and_bag(self, clutch: Bench) -> None:
        data = clutch.json("strip", "engine/clutch", "clutch plates", "5 clutch plates")
        assert data["step"] == 2
        assert data["bag"] == "A003J"
        assert (data["new_assembly"], data["into"]["new"]) == (False, True)
        assert data["assembly"] == "Engine / Clutch"

    def test_the_same_bag_takes_two_steps(self, clutch: Bench) -> None:
        clutch("strip", "Engine", "oil filler cap", "-b", "same")
        assert "oil filler cap" in clutch("find", CODE)

    def test_a_large_part_goes_to_the_shelf_its_bolts_into_the_bag(self, bench: Bench) -> None:
        bench("strip", "Frame", "petrol tank", "2 M8x30 bolt", "-p", "shelf 2")
        found = bench.json("find", "petrol tank")["items"]
        where = {item["as_found"]: item["now"][0]["place"] for item in found}
        assert where["petrol tank"] == "shelf 2"
        assert where["M8 x 30 bolt"] == CODE

    def test_as_found_is_kept_apart_from_as_specified(self, bench: Bench) -> None:
        bench("strip", "Engine", "magneto", "2 M6x30 bolt (should be M6x25 bolt)", "3 of 4 2BA nut")
        magneto, bolt, nut = bench.json("find", "magneto")["items"]
        assert (bolt["as_found"], bolt["found"]) == ("M6 x 30 bolt", 2)
        assert (bolt["as_specified"], bolt["wanted"]) == ("M6 x 25 bolt", 2)
        assert (nut["found"], nut["wanted"], nut["short"]) == (3, 4, 1)
        assert magneto["short"] == 0

    def test_a_day_can_be_given_when_written_up_later(self, bench: Bench) -> None:
        data = bench.json("strip", "Engine", "sump plug", "--on", "2026-03-14")
        assert bench.json("find", "sump")["items"][0]["date"] == "2026-03-14"
        assert data["step"] == 1

    def test_cautions_are_shown_where_the_work_can_hurt(self, bench: Bench) -> None:
        assert "asbestos" in bench("strip", "Brakes/Rear", "brake shoes", "2 brake springs")

    def test_two_machines_do_not_mix(self, clutch: Bench) -> None:
        clutch("machine", "add", "Tern 50")
        data = clutch.json("strip", "Engine", "flywheel", "1 M10 nut", "-m", "Tern")
        assert data["step"] == 1
        assert clutch.json("strip", "Engine", "coil", "2 M5x20 screw")["machine"] == "Tern 50"
        assert clutch.json("rebuild", "-m", "Orrick")[0]["step"]["machine"] == "Orrick Plover"


class TestFind:
    @pytest.mark.parametrize(
        "words",
        [
            [CODE],
            ["a001n"],
            [f"{CODE}\nOrrick Plover\nEngine / Clutch, step 1"],
            ["clutch", "cover"],
            ["CLUTCH"],
            ["M6x25"],
            ["M6x25", "hex", "bolt"],
            ["--thread", "M6", "--length", "25"],
            ["-t", "m6", "-l", "25", "--head", "hex"],
        ],
    )
    def test_where_did_it_come_from_and_where_is_it_now(
        self, clutch: Bench, words: list[str]
    ) -> None:
        clutch("strip", "Frame", "chain guard", "2 M5x12 screw")
        shown = clutch("find", *words)
        assert "Engine / Clutch: clutch cover" in shown
        assert f"4 as removed in bag {CODE}" in shown
        assert "M5" not in shown

    def test_words_in_another_script_are_found(self, bench: Bench) -> None:
        bench("strip", "Κινητήρας", "Крышка сцепления", "4 M6x25 bolt")
        assert "Крышка сцепления" in bench("find", "крышка")

    def test_the_box_is_said_too(self, clutch: Bench) -> None:
        clutch("place", "stow", CODE, "box 3")
        clutch("place", "stow", "box 3", "shelf 1")
        assert f"Bag {CODE} (box 3, shelf 1)" in clutch("find", CODE)

    def test_percent_and_underscore_are_only_letters(self, clutch: Bench) -> None:
        assert "nothing like" in clutch.refused("find", "c%cover")
        assert "nothing like" in clutch.refused("find", "c_utch")


class TestInspect:
    def test_a_bag_is_judged_at_once(self, clutch: Bench) -> None:
        clutch("inspect", CODE, "serviceable")
        assert "4 serviceable in bag" in clutch("find", CODE)

    def test_some_pieces_are_condemned_for_a_reason(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "2", "condemned", "necked", "below", "the", "head")
        item = clutch.json("find", CODE)["items"][1]
        states = {now["condition"]: now["quantity"] for now in item["now"]}
        assert states == {"as removed": 2, "condemned": 2}
        assert item["short"] == 2
        assert item["findings"] == "2 condemned: necked below the head"

    def test_a_bad_verdict_needs_a_reason(self, clutch: Bench) -> None:
        assert "say why" in clutch.refused("inspect", "1.2", "condemned")

    def test_a_condemned_piece_does_not_creep_back(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "condemned", "bent")
        assert "--of" in clutch.refused("inspect", "1.2", "serviceable")
        clutch.refused("inspect", "1.2", "1", "serviceable")
        clutch("inspect", "1.2", "1", "serviceable", "straight after all", "--of", "condemned")


class TestShopping:
    def test_missing_wrong_condemned_lost_and_always_renewed_add_up(self, bench: Bench) -> None:
        bench(
            "strip", "Engine", "left cover", "3 of 5 M6x40 bolt", "1 gasket", "5 M6 spring washer"
        )
        bench(
            "strip", "Engine", "right cover", "5 M6x40 bolt", "2 M6x30 bolt (should be M6x40 bolt)"
        )
        bench("inspect", "2.2", "1", "condemned", "stretched")
        bench("piece", "lose", "2.2", "-q", "1")
        lines = {line["what"]: line for line in bench.json("shopping")["lines"]}
        assert lines["M6 x 40 bolt"]["quantity"] == 2 + 1 + 1 + 2
        assert lines["M6 x 40 bolt"]["joints"] == ["1.2", "2.2", "2.3"]
        assert lines["gasket, for Engine: left cover"]["quantity"] == 1
        assert lines["M6 spring washer"]["quantity"] == 5
        assert set(lines) == {
            "M6 x 40 bolt",
            "gasket, for Engine: left cover",
            "M6 spring washer",
        }

    def test_what_arrives_goes_into_the_bags_and_off_the_list(self, bench: Bench) -> None:
        bench("strip", "Engine", "left cover", "3 of 5 M6x40 bolt")
        bench("strip", "Engine", "right cover", "1 of 2 M6x40 bolt")
        shown = bench("buy", "4 M6x40 bolt", "--from", "Hollin")
        assert "2 for 1.2 left cover: in bag A001N" in shown
        assert "1 for 2.2 right cover: in bag A003J" in shown
        assert "1 in stock as 0.1" in shown
        assert bench.json("shopping")["lines"] == []

    def test_a_reuse_takes_a_kind_off_the_list(self, clutch: Bench) -> None:
        clutch("piece", "specify", "1.4", "--reuse", "copper, annealed")
        assert clutch.json("shopping")["lines"] == []

    def test_a_spreadsheet_is_not_fooled(self, bench: Bench, tmp_path: Path) -> None:
        bench("strip", "Engine", "0 of 1 =HYPERLINK(1) lid", "0 of 1 +SUM cap", "0 of 1 Ölfilter")
        bench("shopping", "--csv", str(tmp_path / "a.csv"), "--xlsx", str(tmp_path / "a.xlsx"))
        with (tmp_path / "a.csv").open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not [cell for cell in cells if cell[:1] in "=+-@\t\r" and cell]
        assert any(cell.startswith("Ölfilter") for cell in cells)
        book = pd.read_excel(tmp_path / "a.xlsx")
        assert any("HYPERLINK" in str(value) for value in book.to_numpy().ravel())


class TestRebuild:
    def test_the_last_off_is_the_first_on(self, clutch: Bench) -> None:
        clutch("strip", "Engine/Clutch", "clutch plates", "5 clutch plate")
        clutch("strip", "Engine/Clutch", "clutch nut", "1 M14 nut", "1 tab washer")
        assert [stage["step"]["number"] for stage in clutch.json("rebuild")] == [3, 2, 1]

    def test_what_nobody_has_looked_over_does_not_go_on(self, clutch: Bench) -> None:
        """Missing information is not usable; what came off for access only was never in doubt."""
        clutch("buy", "1.4")
        said = clutch.refused("refit", "1")
        assert "not inspected yet" in said
        assert "4 M6 x 25 hex bolt (1.2)" in said
        assert "gasket" not in said.split("first;")[0].split("over", 1)[1]  # the new one is known
        clutch("inspect", "1", "serviceable")
        clutch("refit", "1")
        clutch("undo")
        clutch("undo")
        clutch("strip", "Engine", "rocker cover")
        clutch("plan", "access", "1")
        clutch("refit", "1")

    def test_refit_ticks_a_step_off(self, clutch: Bench) -> None:
        clutch("buy", "1.4", "--from", "Hollin")
        clutch("refit", "1", "--as-it-came")
        assert clutch.json("rebuild") == []
        [stage] = clutch.json("rebuild", "--all")
        assert stage["done"]
        assert [line["fitted"] for line in stage["lines"]] == [1, 4, 2, 1]

    def test_what_is_short_is_said_before_a_spanner_is_lifted(self, clutch: Bench) -> None:
        assert "short of 1 gasket (1.4)" in clutch.refused("refit", "1", "--as-it-came")
        assert "STILL SHORT: 1 gasket" in clutch("refit", "1", "--as-it-came", "--anyway")

    def test_an_old_gasket_is_not_refitted_and_is_left_over(self, clutch: Bench) -> None:
        clutch("buy", "1.4")
        assert "left over: 1.4: 1 gasket" in clutch("refit", CODE, "--as-it-came")
        clutch("piece", "scrap", "1")
        gasket = clutch.json("find", "gasket")["items"][-1]
        assert {now["kind"]: now["quantity"] for now in gasket["now"]} == {
            "machine": 1,
            "scrapped": 1,
        }

    def test_a_wrong_piece_as_found_is_not_refitted(self, bench: Bench) -> None:
        bench("strip", "Engine", "cover", "2 M6x30 bolt (should be M6x25 bolt)")
        assert "short of 2 M6 x 25 bolt" in bench.refused("refit", "1", "--as-it-came")

    def test_loose_spares_fill_what_is_short(self, bench: Bench) -> None:
        bench("buy", "10 M6x25 bolt")
        bench("strip", "Engine", "cover", "3 of 4 M6x25 bolt")
        bench("refit", "1", "--as-it-came")
        spare = bench.json("find", "M6x25 bolt")["items"]
        assert sum(n["quantity"] for n in spare[0]["now"] if n["kind"] == "bench") == 9

    def test_a_step_out_of_order_is_flagged(self, clutch: Bench) -> None:
        clutch("strip", "Engine/Clutch", "clutch plates", "5 clutch plate")
        shown = clutch("refit", "1", "--as-it-came", "--anyway")
        assert "These should have gone on first" in shown
        assert "2 clutch plates" in shown


class TestOutwork:
    def test_a_batch_goes_out_and_comes_back_one_short(self, clutch: Bench) -> None:
        shown = clutch("outwork", "send", CODE, "--to", "Brindlecote", "--for", "zinc plating")
        assert "Sent to Brindlecote for zinc plating: 4 lines, 8 pieces" in shown
        assert "away at Brindlecote" in clutch("find", "clutch")
        clutch("outwork", "back", "Brindlecote", "1.1")
        clutch("outwork", "back", "Brindlecote", "1.2", "-q", "3", "-c", "serviceable")
        assert "away: 4 pieces at Brindlecote" in clutch("record", "audit")
        bolts = clutch.json("find", "M6x25")["items"][0]
        assert {(n["place"], n["quantity"]) for n in bolts["now"]} == {
            (CODE, 3),
            ("Brindlecote", 1),
        }

    def test_strong_bolts_bring_the_plating_caution(self, bench: Bench) -> None:
        bench("strip", "Engine", "head", "4 M10x60 bolt 10.9")
        assert "embrittlement" in bench(
            "outwork", "send", "1.2", "--to", "Brindlecote", "--for", "zinc plating"
        )


class TestUndoAndHistory:
    def test_undo_takes_the_last_act_back_and_keeps_both_in_the_history(
        self, clutch: Bench
    ) -> None:
        clutch("undo")
        assert "nothing like" in clutch.refused("find", "clutch")
        acts = clutch.json("history")
        assert [(act["kind"], act["stands"]) for act in acts] == [
            ("reverse", True),
            ("strip", False),
            ("machine", True),
        ]

    def test_an_undone_step_number_and_bag_are_not_used_again(self, clutch: Bench) -> None:
        clutch("undo")
        data = clutch.json("strip", "Engine", "cover")
        assert (data["step"], data["bag"]) == (2, "A003J")

    def test_undo_of_an_undo_brings_it_back(self, clutch: Bench) -> None:
        clutch("undo")
        clutch("undo", "3")
        assert "clutch cover" in clutch("find", CODE)
        assert "no fault" in clutch("record", "audit")

    def test_undo_goes_on_back_and_ends(self, clutch: Bench) -> None:
        clutch("inspect", CODE, "serviceable")
        clutch("undo")
        clutch("undo")
        clutch("undo")
        assert "nothing to undo" in clutch.refused("undo")

    def test_what_has_moved_on_cannot_be_undone(self, clutch: Bench) -> None:
        clutch("inspect", CODE, "serviceable")
        assert "later work depends on it: act 3 of" in clutch.refused("undo", "2")
        assert "undone already" in _undone_twice(clutch)

    def test_a_machine_with_steps_is_not_undone(self, clutch: Bench) -> None:
        assert "has steps" in clutch.refused("undo", "act", "1")


def _undone_twice(bench: Bench) -> str:
    bench("undo")
    return bench.refused("undo", "3")


class TestLabels:
    def test_labels_that_are_due_are_made_and_count_once_they_came_out(
        self, clutch: Bench, tmp_path: Path
    ) -> None:
        out = str(tmp_path / "labels.pdf")
        clutch("strip", "Engine", "oil cap")
        assert clutch.json("labels", "-o", out)["bags"] == [CODE, "A003J"]
        assert "Spoilt, due again: A003J" in clutch("labels", "--spoilt", "A003J")
        assert clutch.json("labels", "-o", out)["bags"] == ["A003J"]
        assert clutch.json("labels", "--printed") == {
            "good": ["A003J"], "spoilt": [], "trial": False, "waiting": [],
            "sheets": [{"file": "labels.pdf", "bags": ["A003J"]}],
        }  # fmt: skip
        assert clutch.json("labels", "-o", out) == {"file": None, "bags": [], "trial": False}
        assert "every bag's label is up to date" in clutch("labels", "-o", out).lower()
        assert "no label is waiting" in clutch.refused("labels", "--printed")
        assert clutch.json("labels", "-o", out, "--all")["bags"] == [CODE, "A003J"]
        assert clutch.json("labels", "A003J", "-o", out)["bags"] == ["A003J"]
        assert "no fault" in clutch("record", "audit")

    def test_a_superseded_label_is_said_to_be_one(self, clutch: Bench, tmp_path: Path) -> None:
        out = str(tmp_path / "labels.pdf")
        assert "old label" not in clutch("labels", "-o", out)
        clutch("labels", "--printed")
        clutch("inspect", "1.2", "1", "condemned", "bent")
        assert f"Peel off the old label first: {CODE}" in clutch("labels", "-o", out)

    def test_only_what_was_made_can_be_spoilt(self, clutch: Bench, tmp_path: Path) -> None:
        clutch("labels", "-o", str(tmp_path / "labels.pdf"))
        clutch("strip", "Engine", "oil cap")
        assert "no label of A003J was made" in clutch.refused("labels", "--spoilt", "A003J")
        assert "no labels wait in a file" in clutch.refused("labels", CODE, "--printed")
        assert "by themselves" in clutch.refused("labels", "--all", "--printed")

    def test_the_reply_ends_with_the_file(self, clutch: Bench, tmp_path: Path) -> None:
        out = tmp_path / "labels.pdf"
        shown = clutch("labels", "-o", str(out))
        assert shown.rstrip().endswith(str(out))
        assert out.read_bytes().startswith(b"%PDF")

    def test_a_label_that_could_not_be_written_is_not_counted_as_printed(
        self, clutch: Bench, tmp_path: Path
    ) -> None:
        clutch.refused("labels", "-o", str(tmp_path / "no such folder" / "labels.pdf"))
        assert clutch.json("labels", "-o", str(tmp_path / "labels.pdf"))["bags"] == [CODE]


def test_the_audit_counts_every_piece(clutch: Bench) -> None:
    data = clutch.json("record", "audit")
    assert data["faults"] == []
    assert data["stocktake"]["pieces"] == 1 + 4 + 2 + 1
    assert re.search(r"8\s+in bags", clutch("record", "audit"))


def test_loose_pieces_come_from_unknown_origin(bench: Bench) -> None:
    bench("piece", "loose", "1 M8x40 bolt", "--to", "tin 1", "-n", "under the bench")
    assert "unknown origin: 1 of 0.1 M8 x 40 bolt" in bench("record", "audit")
    assert "in tin 1" in bench("find", "M8x40")
