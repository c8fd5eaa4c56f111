"""Cases where a piece could go missing, be doubled or change its state; each once went wrong."""

from pathlib import Path
from typing import Any

import pytest
from conftest import Bench


def pieces(bench: Bench) -> int:
    return int(bench.json("record", "audit")["stocktake"]["pieces"])


def now(bench: Bench, words: str, line: int = 0) -> list[tuple[int, str, str]]:
    item = bench.json("find", words)["items"][line]
    return sorted((n["quantity"], n["condition"], n["place"]) for n in item["now"])


class TestUndo:
    def test_a_step_whose_items_have_been_bought_for_is_not_undone(self, clutch: Bench) -> None:
        clutch("buy", "1.4")
        assert "depends on it: act 3 of" in clutch.refused("undo", "2")
        clutch("undo")
        clutch("undo")

    def test_a_purchase_that_others_rest_on_is_not_undone(self, bench: Bench) -> None:
        bench("buy", "10 M6x25 bolt")
        bench("buy", "0.1", "-q", "3")
        assert "depends on it: act 3 of" in bench.refused("undo", "2")
        assert pieces(bench) == 13

    def test_a_step_does_not_come_back_without_its_machine(self, clutch: Bench) -> None:
        clutch("undo")
        clutch("undo")
        assert "is undone" in clutch.refused("undo", "3")

    def test_a_machine_does_not_come_back_beside_another_of_its_name(self, bench: Bench) -> None:
        bench("undo")
        bench("machine", "add", "Orrick Plover")
        assert "another machine" in bench.refused("undo", "2")

    def test_what_was_undone_is_no_longer_found(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "1", "condemned", "necked")
        clutch("piece", "specify", "1.3", "2 M6x45 bolt")
        assert "1.2" in clutch("find", "necked")
        assert "1.3" in clutch("find", "M6x45")
        clutch("undo")
        clutch("undo")
        clutch.refused("find", "necked")
        clutch.refused("find", "M6x45")


class TestTwoMachines:
    def test_a_bag_knows_its_machine(self, clutch: Bench) -> None:
        clutch("machine", "add", "Tern 50")
        clutch("strip", "Engine", "flywheel", "1 M10 nut", "-m", "Tern")
        clutch("piece", "specify", "1.4", "--reuse", "copper", "-m", "Orrick")
        assert "holds nothing of Tern" in clutch.refused(
            "refit", "A001N", "--as-it-came", "-m", "Tern"
        )
        clutch("refit", "A001N", "--as-it-came")
        assert clutch.json("rebuild", "-m", "Orrick") == []
        assert len(clutch.json("rebuild", "-m", "Tern")) == 1

    def test_a_bag_shared_by_two_machines_has_to_say_which(self, clutch: Bench) -> None:
        clutch("machine", "add", "Tern  50")
        clutch("strip", "Engine", "coil", "2 M5x20 screw", "-m", "Tern 50", "-b", "A001N")
        assert "say which with -m" in clutch.refused("inspect", "A001N", "serviceable")
        clutch("inspect", "A001N", "serviceable", "-m", "tern")
        assert now(clutch, "M6x25") == [(4, "as removed", "A001N")]


class TestNewAndOld:
    def test_a_new_piece_is_named_as_specified(self, bench: Bench, tmp_path: Path) -> None:
        bench("strip", "Engine", "magneto", "2 M6x30 bolt (should be M6x25 bolt)")
        bench("buy", "1.2")
        assert "2 new M6 x 25 bolt in bag A001N" in bench("find", "magneto")

    def test_scrap_takes_the_old_piece_first(self, clutch: Bench) -> None:
        clutch("buy", "1.4")
        clutch("piece", "scrap", "1.4", "-q", "1")
        assert now(clutch, "gasket", -1) == [(1, "as removed", "scrapped"), (1, "new", "A001N")]

    def test_a_condition_can_be_named(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "1", "condemned", "bent")
        clutch("piece", "move", "1.2", "box 1", "--of", "condemned")
        assert now(clutch, "M6x25") == [(1, "condemned", "box 1"), (3, "as removed", "A001N")]

    def test_new_pieces_of_a_fallen_specification_become_spares(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "condemned", "rusted")
        clutch("buy", "4 M6x25 hex bolt")
        shown = clutch("piece", "specify", "1.2", "4 M6x30 hex bolt")
        assert "4 new M6 x 25 hex bolt" in shown
        assert "0.1" in shown
        [line] = [x for x in clutch.json("shopping")["lines"] if "M6" in x["what"]]
        assert (line["what"], line["quantity"]) == ("M6 x 30 hex bolt", 4)
        assert pieces(clutch) == 8 + 4

    def test_a_fitted_piece_holds_its_specification(self, clutch: Bench) -> None:
        clutch("refit", "1.2", "--as-it-came")
        assert "on the machine already" in clutch.refused(
            "piece", "specify", "1.2", "4 M6x30 hex bolt"
        )

    def test_a_specification_that_only_says_more_changes_nothing(self, bench: Bench) -> None:
        bench("strip", "Engine", "clutch nut", "1 M14 nut")
        bench("piece", "specify", "1.2", "1 M14 nut 8")
        assert bench.json("shopping")["lines"] == []
        bench("refit", "1", "--as-it-came")

    def test_a_later_specification_keeps_the_reuse(self, clutch: Bench) -> None:
        clutch("piece", "specify", "1.4", "--reuse", "copper, annealed")
        clutch("piece", "specify", "1.4", "1 copper gasket")
        assert clutch.json("shopping")["lines"] == []

    def test_nothing_old_comes_back_new(self, clutch: Bench) -> None:
        clutch("outwork", "send", "1.2", "--to", "Brindlecote")
        assert "inspect" in clutch.refused("outwork", "back", "Brindlecote", "-c", "new")
        assert "inspect" in clutch.refused("outwork", "back", "Brindlecote", "-c", "condemned")
        assert "not new" in clutch.refused("strip", "Engine", "cap", "-c", "new")
        assert "reason" in clutch.refused("strip", "Engine", "cap", "-c", "condemned")


class TestWithoutASize:
    def test_a_gasket_of_one_joint_is_not_that_of_another(self, clutch: Bench) -> None:
        clutch("strip", "Engine", "sump", "1 gasket")
        said = clutch.refused("buy", "1 gasket")
        assert "1.4 (clutch cover)" in said
        assert "2.2 (sump)" in said
        clutch("buy", "2.2")
        assert [line["joints"] for line in clutch.json("shopping")["lines"]] == [["1.4"]]
        clutch("buy", "1 gasket")
        assert clutch.json("shopping")["lines"] == []

    def test_a_loose_one_is_not_drawn_by_a_refit(self, clutch: Bench) -> None:
        clutch("buy", "1.4")
        clutch("refit", "1", "--as-it-came")
        clutch("buy", "1 gasket")
        clutch("strip", "Engine", "sump", "1 gasket")
        assert "short of 1 gasket" in clutch.refused("refit", "2", "--as-it-came")
        clutch("piece", "assign", "0.1", "2.2")
        clutch("refit", "2", "--as-it-came")


class TestSpares:
    def test_the_checklist_counts_on_loose_spares(self, bench: Bench) -> None:
        bench("buy", "3 M6x25 bolt")
        bench("strip", "Engine", "left cover", "2 of 4 M6x25 bolt")
        bench("strip", "Engine", "right cover", "2 of 4 M6x25 bolt")
        for step in "12":  # what nobody has inspected is not ready
            bench("inspect", step, "serviceable")
        right, left = bench.json("rebuild")
        assert right["ready"]
        assert not left["ready"]
        assert ("short", 1) in [(each["kind"], each["count"]) for each in left["lines"][1]["flags"]]
        assert "2 loose as 0.1" in right["lines"][1]["sources"]
        [line] = bench.json("shopping")["lines"]
        assert line["quantity"] == 1
        bench("refit", "2", "--as-it-came")
        assert "short of 1 M6" in bench.refused("refit", "1", "--as-it-came")

    def test_a_mystery_bolt_serves_nowhere_until_it_is_recognised(self, bench: Bench) -> None:
        bench("strip", "Engine", "cover", "3 of 4 M6x25 bolt")
        bench("piece", "loose", "1 M6x25 bolt", "--to", "tin 1")
        assert bench.json("shopping")["lines"][0]["quantity"] == 1
        bench("piece", "assign", "0.1", "1.2")
        assert bench.json("shopping")["lines"] == []
        bench("refit", "1", "--as-it-came")
        assert "no fault" in bench("record", "audit")


class TestAway:
    def test_quarantined_pieces_away_are_not_bought(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "quarantine", "crack?")
        clutch("outwork", "send", "1.2", "--to", "Brindlecote")
        assert not [x for x in clutch.json("shopping")["lines"] if "M6" in x["what"]]

    def test_what_a_plater_lost_is_lost_there(self, clutch: Bench) -> None:
        clutch("outwork", "send", "1.2", "--to", "Brindlecote")
        clutch("outwork", "back", "Brindlecote", "1.2", "-q", "3")
        clutch("piece", "lose", "1.2", "-q", "1", "--at", "Brindlecote")
        assert now(clutch, "M6x25") == [(1, "as removed", "lost"), (3, "as removed", "A001N")]
        assert "away" not in clutch("record", "audit")
        clutch("piece", "recover", "1.2")
        assert now(clutch, "M6x25") == [(4, "as removed", "A001N")]
        assert "only 0" in clutch.refused("piece", "recover", "1.2", "-q", "1")

    def test_pieces_come_back_to_where_each_was_sent_from(self, clutch: Bench) -> None:
        clutch("piece", "move", "1.2", "shelf 2", "-q", "2")
        clutch("outwork", "send", "A001N", "--to", "Brindlecote Platers")
        clutch("outwork", "send", "1.2", "--to", "Brindlecote Platers")
        clutch("outwork", "back", "brindlecote")
        assert now(clutch, "M6x25") == [(2, "as removed", "A001N"), (2, "as removed", "shelf 2")]

    def test_a_bag_and_one_of_its_items_are_sent_once(self, clutch: Bench) -> None:
        assert "8 pieces" in clutch("outwork", "send", "A001N", "1.2", "--to", "Brindlecote")
        assert "no fault" in clutch("record", "audit")

    def test_a_new_bag_for_all_that_comes_back(self, clutch: Bench) -> None:
        clutch("outwork", "send", "A001N", "--to", "Brindlecote")
        clutch("outwork", "back", "Brindlecote", "--to", "new")
        assert len(clutch.json("find", "A003J")["items"]) == 4


class TestPlaces:
    def test_chains_of_unequal_depth(self, clutch: Bench) -> None:
        clutch("strip", "Engine", "cap")
        clutch("place", "stow", "A001N", "shelf 1")
        clutch("place", "stow", "A003J", "box 1")
        clutch("place", "stow", "box 1", "shelf 2")
        assert "A003J (box 1, shelf 2)" in clutch("find", "A003J")
        assert "in bag A001N (shelf 1)" in clutch("find", "clutch cover")

    def test_a_box_does_not_end_up_inside_itself(self, clutch: Bench) -> None:
        clutch("place", "stow", "A001N", "box 1")
        clutch("place", "stow", "box 1", "box 2")
        clutch("place", "stow", "box 2", "box 3")
        assert "sits in box 2" in clutch.refused("place", "stow", "box 2", "box 1")

    def test_pieces_that_are_there_already_are_not_counted_twice(self, clutch: Bench) -> None:
        clutch("piece", "move", "1.2", "bench", "-q", "2")
        clutch("piece", "move", "1.2", "A001N", "-q", "2")
        assert now(clutch, "M6x25") == [(4, "as removed", "A001N")]

    def test_a_bag_that_nothing_goes_into_is_not_begun(self, bench: Bench) -> None:
        data = bench.json("strip", "Frame", "tank", "-p", "shelf 2")
        assert data["bag"] is None
        assert bench.json("strip", "Frame", "seat")["bag"] == "A001N"

    def test_the_same_place_again(self, bench: Bench) -> None:
        bench("strip", "Frame", "seat", "2 M8 nut", "-b", "box 1")
        assert bench.json("strip", "Frame", "seat spring", "-b", "same")["into"]["name"] == "box 1"

    @pytest.mark.parametrize("name", ["tools", "coils", "loft"])
    def test_a_word_is_not_taken_for_a_bag_code(self, clutch: Bench, name: str) -> None:
        clutch("strip", "Frame", f"rack for {name}", "-p", name)
        assert name in clutch("find", name)


class TestFindNarrowly:
    @pytest.mark.parametrize(
        ("words", "refs"),
        [
            (["--head", "hex"], ["1.2"]),
            (["--length", "40"], ["1.3"]),
            (["cover", "--thread", "M6", "--length", "40"], ["1.3"]),
            (["1.3"], ["1.3"]),
            (["1"], ["1.1", "1.2", "1.3", "1.4"]),
            (["-t", "M6"], ["1.2", "1.3"]),
        ],
    )
    def test_every_filter_counts(self, clutch: Bench, words: list[str], refs: list[str]) -> None:
        assert [item["item"] for item in clutch.json("find", *words)["items"]] == refs

    def test_a_filter_that_nothing_meets(self, clutch: Bench) -> None:
        clutch.refused("find", "cover", "--thread", "M6", "--length", "99")

    def test_a_word_that_looks_like_a_code(self, bench: Bench) -> None:
        bench("strip", "Engine", "T120R badge")
        assert "badge" in bench("find", "T120R")


class TestSeveralSteps:
    def test_every_hazard_of_a_bag_is_shown_at_the_refit(self, bench: Bench) -> None:
        bench("strip", "Fork", "left cap", "-z", "spring under load")
        bench("strip", "Fork", "right cap", "-b", "same", "-z", "oil inside", "-n", "battery near")
        shown = bench("refit", "A001N", "--as-it-came")
        for words in ("spring under load", "oil inside", "step 1 left cap, step 2", "hydrogen"):
            assert words in shown

    def test_what_is_left_over_is_in_the_audit(self, bench: Bench) -> None:
        bench("strip", "Engine", "cover", "4 of 3 M6x25 bolt")
        bench("refit", "1", "--as-it-came")
        assert "left over: 1 of 1.2" in bench("record", "audit")


def test_a_count_behind_the_verdict_is_no_reason(clutch: Bench) -> None:
    assert "goes before" in clutch.refused("inspect", "1.2", "serviceable", "2")


def test_a_note_may_begin_with_a_minus(bench: Bench) -> None:
    bench("strip", "Engine", "jet", "-n", "-3 turns from seated")
    assert "note: -3 turns" in bench("find", "jet")


def test_spaces_and_lines_are_folded_and_direction_marks_refused(bench: Bench) -> None:
    bench("strip", "Engine", "oil\n  filler \t cap")
    assert "oil filler cap" in bench("find", "filler")
    bench.refused("strip", "Engine", "cap\u202egnip")


def test_a_second_label_sheet_does_not_write_over_the_first(
    clutch: Bench, tmp_path: Path, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    clutch("labels")
    clutch("strip", "Engine", "cap")
    assert "labels-2.pdf" in clutch("labels")
    assert (tmp_path / "labels.pdf").exists()


def test_a_copy_holds_everything(clutch: Bench, tmp_path: Path) -> None:
    clutch("record", "copy", str(tmp_path / "second.db"))
    assert "clutch cover" in Bench(tmp_path / "second.db")("find", "A001N")
    assert "there already" in clutch.refused("record", "copy", str(tmp_path / "second.db"))


def test_a_copy_tells_a_program_where_it_is(clutch: Bench, tmp_path: Path) -> None:
    assert clutch.json("record", "copy", str(tmp_path / "second.db"))["to"] == str(
        tmp_path / "second.db"
    )


def test_a_folder_with_odd_characters(tmp_path: Path) -> None:
    folder = tmp_path / "what? 100% of #1 & äö"
    folder.mkdir()
    odd = Bench(folder / "stores.db")
    odd("machine", "add", "Plover")
    assert odd.file.exists()
    assert "Plover" in odd("machine", "list")


def test_an_act_that_was_brought_back_can_be_undone_again(clutch: Bench) -> None:
    for _ in range(3):
        shown = clutch("undo")
        clutch.refused("find", "clutch")
        clutch(*shown.rsplit("stores ", 1)[1].split())
        assert "clutch cover" in clutch("find", "A001N")
    assert "no fault" in clutch("record", "audit")


def test_boxes_do_not_end_up_inside_each_other_by_undoing(clutch: Bench) -> None:
    clutch("place", "stow", "A001N", "box 1")
    clutch("place", "stow", "box 1", "box 2")
    shown = clutch("undo")
    clutch("place", "stow", "box 2", "box 1")
    assert "inside itself" in clutch.refused(*shown.rsplit("stores ", 1)[1].split())


class TestFiles:
    @pytest.mark.parametrize("name", ["stores.db", "stores.db-wal", "linked.pdf"])
    def test_no_output_is_written_over_the_record(self, clutch: Bench, name: str) -> None:
        target = clutch.file.with_name(name)
        if name == "linked.pdf":
            target.symlink_to(clutch.file)
        for words in (["labels", "-o"], ["shopping", "--csv"], ["rebuild", "--pdf"]):
            assert "database" in clutch.refused(*words, str(target))

    @pytest.mark.parametrize("name", ["~nobody-like-that/x.pdf", "x" * 300 + ".pdf", " ", "a\0b"])
    def test_a_name_that_no_file_can_have(self, clutch: Bench, name: str) -> None:
        clutch.refused("labels", "-o", name)

    @pytest.mark.parametrize("name", ["why?.db", "p%41#x.db", "a b.db", "ü.db"])
    def test_the_stores_is_the_file_that_was_named(self, tmp_path: Path, name: str) -> None:
        odd = Bench(tmp_path / name)
        odd("machine", "add", "Plover")
        odd("strip", "Engine", "cap")
        assert {path.name for path in tmp_path.iterdir()} == {name}
        assert "cap" in odd("find", "cap")

    def test_a_first_command_that_fails_begins_no_file(self, tmp_path: Path) -> None:
        for words in (["", "--year", "1950"], ["Plover", "--on", "2999-01-01"], ["x" * 500]):
            Bench(tmp_path / "new.db").refused("machine", "add", *words)
        assert list(tmp_path.iterdir()) == []


class TestCounts:
    @pytest.mark.parametrize(
        ("line", "found", "text"),
        [
            ("2 5/16 BSF nut", 2, "5/16 BSF nut"),
            ("2 1/4 BSF x 1 hex bolt", 2, "1/4 BSF x 1 hex bolt"),
            ("４ M6x25 hex bolt", 4, "M6 x 25 hex bolt"),
            ("1 off 12 V bulb", 1, "12 V bulb"),
            ("3 off 12 V bulb", 3, "12 V bulb"),
        ],
    )
    def test_a_line_begins_with_its_count(
        self, bench: Bench, line: str, found: int, text: str
    ) -> None:
        item = bench.json("strip", "Engine", "lamp", line)["items"][1]
        assert item["found"] == found
        assert item["as_found"] == text

    @pytest.mark.parametrize("line", ["1,000 M6 nut", "4", "3 of 4", "2 off"])
    def test_what_is_no_line_is_refused(self, bench: Bench, line: str) -> None:
        bench.refused("strip", "Engine", "lamp", line)

    @pytest.mark.parametrize(
        "line",
        [
            "12 V bulb",
            "1 1/4 BSW nut",
            "2 pin plug",
            "about 10 M6 nut",
            "51220 bolt",
            "8 day clock",
        ],
    )
    def test_a_doubtful_count_is_one_and_asked_about(self, bench: Bench, line: str) -> None:
        reply = bench.json("strip", "Engine", "lamp", line)
        assert reply["items"][1]["found"] == 1
        assert reply["questions"]

    def test_a_reuse_does_not_read_the_thing_anew(self, bench: Bench) -> None:
        bench("strip", "Electrics", "tail lamp", "1 off 12 V bulb", "1 gasket")
        bench("piece", "specify", "1.2", "--reuse", "good")
        assert bench.json("find", "bulb")["items"][0]["as_specified"] == "12 V bulb"

    @pytest.mark.parametrize(
        "words",
        [
            ["specify", "1.2", "4 M6x30 bolt (should be M6x25 bolt)"],
            ["specify", "1.2", "3 of 4 M6x30 bolt"],
            ["specify", "1.2", "4 M6x30 bolt @ rear"],
            ["buy", "3 of 5 M6x25 bolt"],
            ["buy", "1 M6x25 bolt @ shelf"],
            ["buy", "3 M6x25 bolt", "-q", "5"],
            ["buy", "7"],
            ["buy", "A001N"],
        ],
    )
    def test_nothing_that_was_said_is_dropped(self, clutch: Bench, words: list[str]) -> None:
        clutch.refused(*words)


class TestWhichMachine:
    def test_the_newest_machine_is_the_one_worked_on(self, clutch: Bench) -> None:
        clutch("machine", "add", "Dunlin")
        assert clutch.json("strip", "Engine", "cap")["machine"] == "Dunlin"

    def test_replies_name_the_machine_where_there_are_several(self, clutch: Bench) -> None:
        assert "[" not in clutch("inspect", "1.2", "1", "serviceable")
        clutch("machine", "add", "Dunlin")
        assert "[Orrick Plover]" in clutch("inspect", "1.2", "1", "serviceable", "-m", "Orrick")
        assert "[Orrick Plover]" in clutch("find", "gasket")

    def test_a_label_of_two_machines_shows_both_steps(self, clutch: Bench) -> None:
        from stores.storage import open_store
        from stores.storage.search import read_bags

        clutch("machine", "add", "Dunlin")
        clutch("strip", "Frame", "seat", "2 M8x30 bolt", "-b", "A001N")
        with open_store(str(clutch.file)) as store, store.reading() as connection:
            bag = read_bags(connection)["A001N"]
        assert [(step.machine, step.part) for step in bag.steps] == [
            ("Dunlin", "seat"),
            ("Orrick Plover", "clutch cover"),
        ]
        assert "seat" in bag.payload


@pytest.mark.parametrize("place", ["A001", "A00N", "А001N", "7.2", "same", "-", "??"])
def test_what_looks_like_a_slip_makes_no_new_place(clutch: Bench, place: str) -> None:
    clutch.refused("piece", "move", "1.1", place)


def test_a_scan_in_one_line(clutch: Bench) -> None:
    assert "clutch cover" in clutch("find", "A001N Orrick Plover Engine / Clutch, step 1")


def test_a_terminal_is_not_steered_by_what_is_quoted(clutch: Bench) -> None:
    assert "\x1b" not in clutch.refused("inspect", "\x1b[31mred", "condemned", "why")
    assert len(clutch.refused("find", "-m", "x" * 900, "gasket")) < 700


class TestNewcomer:
    """What somebody new to it ran into."""

    def test_a_whitworth_bolt_is_not_put_to_a_fine_hole_without_a_word(self, bench: Bench) -> None:
        bench("strip", "Engine", "magneto", "2 of 3 5/16 BSF x 1 1/2 bolt")
        bench("piece", "loose", "1 off 5/16 BSW x 1 hex bolt", "--to", "tin 1")
        assert "If it will do all the same" in bench.refused("piece", "assign", "0.1", "1.2")
        bench("piece", "assign", "0.1", "1.2", "--anyway", "it is the one")

    def test_a_hexagon_bolt_serves_where_a_bolt_is_asked_for(self, bench: Bench) -> None:
        bench("strip", "Engine", "magneto", "2 of 3 5/16 BSF x 1 1/2 bolt", "1 of 2 M6x25 hex")
        assert "1 for 1.2" in bench("buy", "1 off 5/16 BSF x 1 1/2 hex bolt")
        assert "1 for 1.3" in bench("buy", "1 M6x25 hex bolt 8.8")
        assert bench.json("shopping")["lines"] == []

    def test_set_screws_are_found_by_measurement(self, bench: Bench) -> None:
        bench("strip", "Engine", "cover", "4 off 1/4 BSF x 3/4 hex set screw")
        found = bench.json("find", "--od", "6.3", "--pitch", "26 tpi", "-l", "19")
        assert found["joints"][0]["item"]["item"] == "1.2"
        assert found["joints"][0]["probability"] > 0.9

    def test_a_head_of_its_own_takes_no_drive_from_the_wrong_screw(self, bench: Bench) -> None:
        data = bench.json(
            "strip", "Engine", "coil", "1 M4x10 socket cap (should be 4BA x 3/8 cheese head)"
        )
        assert data["items"][1]["as_specified"] == "4BA x 3/8 cheese head screw"

    def test_two_lines_that_come_to_one_thing_are_asked_about(self, bench: Bench) -> None:
        shown = bench("strip", "Engine", "head", "6 of 8 M10 nut", "2 M8 nut (should be M10 nut)")
        assert "1.2 and 1.3 make 10 M10 nut in all" in shown

    def test_a_number_that_is_a_step_and_another_act_is_asked_about(self, clutch: Bench) -> None:
        clutch("strip", "Engine", "cap")
        said = clutch.refused("undo", "2")
        assert "step 2 is act 3" in said
        assert "cap" in clutch("undo", "step", "2")
        assert "clutch cover" in clutch("undo", "act", "2")

    def test_what_stands_in_the_way_of_an_undo_is_named(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "serviceable")
        clutch("piece", "move", "1.2", "bench")
        said = clutch.refused("undo", "act", "2")
        assert "later work depends on it: act 4 of " in said
        assert said.index("act 4 of ") < said.index("act 3 of ")
        assert said.endswith(
            "Undo that first, the newest first: stores undo act 4; "
            "or put right what was written wrong: stores correct step 1\n"
        )

    def test_a_count_is_never_read_into_a_size(self, bench: Bench) -> None:
        assert "1 off 5/16 BSF nut" in bench("strip", "Frame", "footrest", "1 off 5/16 BSF nut")

    @pytest.mark.parametrize("line", ["2 M6x25 missing", "1 missing washer"])
    def test_missing_is_said_by_the_counts(self, bench: Bench, line: str) -> None:
        assert "0 of 2" in bench.refused("strip", "Frame", "footrest", line)

    def test_a_caliper_length_finds_the_nominal_one(self, bench: Bench) -> None:
        bench("strip", "Engine", "cover", "4 off 1/4 BSF x 3/4 hex bolt", "2 M6x25 bolt")
        assert "1.2" in bench("find", "--thread", "1/4 BSF", "--length", "19")
        assert "1.3" in bench("find", "-t", "M6", "-l", "25.2")

    def test_a_verdict_on_one_item_is_mended_by_a_worse_one(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "serviceable")
        clutch("inspect", "1.2", "condemned", "cracked after all")
        assert now(clutch, "M6x25") == [(4, "condemned", "A001N")]

    def test_an_old_gasket_is_kept_as_a_pattern_until_the_new_one_fits(self, clutch: Bench) -> None:
        assert "patterns" in clutch.refused("piece", "scrap", "1.4")
        clutch("buy", "1.4")
        assert "patterns" in clutch.refused("piece", "scrap", "1.4")
        clutch("refit", "1.4", "--as-it-came")
        assert "1 piece scrapped" in clutch("piece", "scrap", "1.4")

    def test_of_condemned_pieces_one_is_kept_as_a_pattern(self, clutch: Bench) -> None:
        """4 bolts condemned: 3 go, one is measured and bought by, until 4 new ones are on."""
        clutch("inspect", "1.2", "condemned", "threads pulled")
        said = clutch("piece", "scrap", "1.2")
        assert "3 pieces scrapped" in said
        assert "Kept as a pattern until the new one fits, one of 1.2" in said
        assert "patterns" in clutch.refused("piece", "scrap", "1.2")
        clutch("buy", "4 M6x25 hex bolt")
        assert "patterns" in clutch.refused("piece", "scrap", "1.2")  # they may prove not to fit
        clutch("refit", "1.2", "--as-it-came")
        assert "1 piece scrapped" in clutch("piece", "scrap", "1.2")
        # with a count it is the person's word
        clutch("undo")
        assert "1 piece scrapped" in clutch("piece", "scrap", "1.2", "-q", "1")

    def test_inches_for_hardware(self, bench: Bench) -> None:
        data = bench.json("reckon", "hardware", "steel", "ball", "3/16")
        assert data["exact"][0]["sizes"]["d"] == pytest.approx(3 / 16 * 25.4)

    def test_asbestos_brings_its_caution(self, bench: Bench) -> None:
        assert (
            "asbestos" in bench("strip", "Engine", "head", "1 copper-asbestos gasket").split("!")[1]
        )
