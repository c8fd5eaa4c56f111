"""What goes in with a joint, what is measured, how tight it is, who signs; and the checklist of it.

The rules are common practice: a second person checks brakes, steering and wheels, and is another
person than the fitter; nobody signs for what is loose.
"""

from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from conftest import Bench, kept

CODE = "A001N"
"""The first bag: the clutch cover with 4 and 2 bolts and a gasket (conftest)."""


@kept
def brake(clutch: Bench) -> Bench:
    """The clutch cover, and as step 2 a brake plate."""
    clutch("strip", "Brakes/Front", "brake plate", "2 M8x30 hex bolt")
    clutch("inspect", "2", "serviceable")
    return clutch


def bag_of(bench: Bench, step: int) -> str:
    """Give the code of the bag that a step's pieces are in."""
    places = [line["now"] for line in step_of(bench, step)["lines"]]
    [code] = {each["place"] for place in places for each in place if each["kind"] == "bag"}
    return str(code)


def step_of(bench: Bench, number: int) -> dict:
    [found] = [each for each in bench.json("rebuild", "--all") if each["step"]["number"] == number]
    return found


def owed(bench: Bench, number: int) -> list[tuple]:
    """What a step that is on still owes: each with what, the items or the snag."""
    return [
        (each["kind"], each["text"], *each["refs"], *filter(None, [each["snag"]]))
        for each in step_of(bench, number)["still_to_do"]
    ]


class TestWhatGoesIn:
    def test_it_stands_on_the_checklist(self, clutch: Bench) -> None:
        clutch("refit", "apply", "1.2", "medium locking compound")
        clutch("refit", "apply", "1", "sealant on both faces")
        shown = clutch("rebuild")
        assert "with medium locking compound" in shown
        assert "[ ] sealant on both faces" in shown
        found = step_of(clutch, 1)
        assert [each["kind"] for each in found["goes_in"]] == ["sealant"]
        assert [each["kind"] for each in found["lines"][1]["goes_in"]] == ["locking compound"]

    @pytest.mark.parametrize(
        ("text", "kind"),
        [
            ("high-strength threadlocker", "locking compound"),
            ("retaining compound", "locking compound"),
            ("jointing compound", "sealant"),
            ("copper anti-seize", "grease"),
            ("oil the threads", "oil"),
        ],
    )
    def test_the_kind_is_read_from_its_words(self, clutch: Bench, text: str, kind: str) -> None:
        assert clutch.json("refit", "apply", "1.2", text)["kind"] == kind

    def test_a_newer_one_of_the_kind_takes_the_place(self, clutch: Bench) -> None:
        clutch("refit", "apply", "1", "grease on the lip")
        clutch("refit", "apply", "1", "a little grease")
        clutch("refit", "apply", "1", "oil the gasket")
        assert {each["text"] for each in step_of(clutch, 1)["goes_in"]} == {
            "a little grease",
            "oil the gasket",
        }

    def test_no_sealant_takes_it_back_and_undo_brings_it_again(self, clutch: Bench) -> None:
        clutch("refit", "apply", "1", "sealant on both faces")
        clutch("refit", "apply", "1", "no sealant")
        assert step_of(clutch, 1)["goes_in"] == []
        clutch("undo")
        assert [each["text"] for each in step_of(clutch, 1)["goes_in"]] == ["sealant on both faces"]

    def test_compound_at_a_brake_is_cautioned(self, brake: Bench) -> None:
        assert "never on brake linings" in brake("refit", "apply", "2", "medium locking compound")
        assert "never on brake linings" not in brake(
            "refit", "apply", "1", "medium locking compound"
        )


class TestClearance:
    @pytest.mark.parametrize(
        ("limits", "low", "inside", "outside"),
        # by hand: both ends belong to a range; 2 thou = 0.0508 mm, 4 thou = 0.1016 mm
        [
            ("0.05 to 0.15 mm", "0.05", "0.15", "0.151"),
            ("at most 0.1 mm", "0", "0.1", "0.101"),
            ("at least 0.4 mm", "9", "0.4", "0.399"),
            ("2-4 thou", "2", "4", "5"),
            ("0.4 mm", "0.4", "0.4", "0.41"),
        ],
    )
    def test_limits(self, clutch: Bench, limits: str, low: str, inside: str, outside: str) -> None:
        clutch("figure", "clearance", "1", "end float", limits)
        for reading, within in ((low, True), (inside, True), (outside, False)):
            said = clutch.json("figure", "clearance", "1", "end float", "--found", reading)
            assert said["within"] is within, reading

    def test_a_reading_in_another_unit_is_converted(self, clutch: Bench) -> None:
        clutch("figure", "clearance", "1", "end float", "0.05 to 0.15 mm")
        # 1 thou = 0.0254 mm exactly (the inch of 25.4 mm): 4 thou = 0.1016, 6 thou = 0.1524
        said = clutch.json("figure", "clearance", "1", "end float", "--found", "4 thou")
        assert said["found"] == pytest.approx(0.1016, abs=0.0005)
        assert said["within"]
        assert not clutch.json("figure", "clearance", "1", "end float", "--found", "6 thou")[
            "within"
        ]

    def test_it_keeps_the_step_on_the_checklist(self, clutch: Bench) -> None:
        clutch(
            "figure",
            "clearance",
            "1",
            "end float",
            "0.05 to 0.15 mm",
            "--from",
            "maker's book p. 12",
        )
        clutch("buy", "1.4", "--from", "Quernside Gaskets")
        clutch("refit", "1", "--as-it-came")
        assert owed(clutch, 1) == [("measure", "end float")]
        assert "still to do: measure end float" in clutch("rebuild")
        clutch("figure", "clearance", "1", "end", "--found", "0.2")
        assert "OUT OF LIMITS" in clutch("rebuild")
        clutch("figure", "clearance", "1", "end", "--found", "0.1")
        assert clutch.json("rebuild") == []
        clutch("undo")
        assert len(clutch.json("rebuild")) == 1

    def test_none_takes_it_back(self, clutch: Bench) -> None:
        clutch("figure", "clearance", "1", "end float", "0.05 to 0.15 mm")
        clutch("figure", "clearance", "1", "end float", "none")
        assert step_of(clutch, 1)["measure"] == []


class TestTight:
    def test_finger_tight_stays_on_the_checklist(self, clutch: Bench) -> None:
        clutch("refit", "1.2", "--as-it-came", "--finger-tight")
        found = step_of(clutch, 1)["lines"][1]
        assert found["left"] == "only finger-tight"
        clutch("buy", "1.4", "--from", "Quernside Gaskets")
        clutch("refit", "1", "--as-it-came")
        assert owed(clutch, 1) == [("tighten", "clutch cover", "1.2")]
        clutch("refit", "tighten", "1.2", "8 N m", "oiled")
        found = step_of(clutch, 1)["lines"][1]
        assert found["left"] == "tightened to 8 N m, oiled"
        assert found["torque_put_on_nm"] == 8
        assert clutch.json("rebuild") == []

    def test_a_torque_in_other_units_is_kept_as_written(self, clutch: Bench) -> None:
        clutch("refit", "1.2", "--as-it-came", "--torque", "6 lbf ft dry")
        # 1 lbf ft = 0.45359237 kg x 9.80665 m/s2 x 0.3048 m = 1.355818 N m; 6 x = 8.134908
        found = step_of(clutch, 1)["lines"][1]
        assert found["torque_put_on_nm"] == pytest.approx(8.135, abs=0.0005)
        assert "6 lbf ft" in found["left"]
        assert "dry" in found["left"]

    def test_a_torque_beside_the_makers_is_pointed_out(self, clutch: Bench) -> None:
        clutch("figure", "torque", "1.2", "7 to 9 N m")
        clutch("refit", "1.2", "--as-it-came")
        assert "check it" in clutch("refit", "tighten", "1.2", "12 N m")
        assert "check it" not in clutch("refit", "tighten", "1.2", "8 N m")

    def test_pieces_fitted_since_are_not_called_tight(self, clutch: Bench) -> None:
        clutch("refit", "1.2", "--as-it-came", "-q", "2", "--torque", "8 N m")
        assert step_of(clutch, 1)["lines"][1]["torque_put_on_nm"] == 8
        clutch("refit", "1.2", "--as-it-came", "-q", "2")
        assert step_of(clutch, 1)["lines"][1]["left"] == ""

    def test_undo_takes_back_pieces_torque_and_signature(self, brake: Bench) -> None:
        before = brake.json("rebuild", "--all")
        brake("refit", "2", "--as-it-came", "--torque", "24 N m oiled", "--by", "A. Marl")
        assert step_of(brake, 2)["signed"][0]["name"] == "A. Marl"
        brake("undo")
        assert brake.json("rebuild", "--all") == before


class TestSigned:
    def test_a_brake_stays_until_a_second_person_signs(self, brake: Bench) -> None:
        brake("refit", "2", "--as-it-came", "--by", "A. Marl")
        assert owed(brake, 2) == [("get signed", "brake plate")]
        assert "already" in brake.refused("refit", "sign", "2", "a. marl", "--second")
        brake("refit", "sign", "2", "J. Teal", "--second", "-n", "torque checked")
        assert [stage["step"]["number"] for stage in brake.json("rebuild")] == [1]
        signed = {each["role"]: each["name"] for each in step_of(brake, 2)["signed"]}
        assert signed == {"fitted": "A. Marl", "second person": "J. Teal"}

    def test_what_is_taken_off_again_is_no_longer_signed_for(self, brake: Bench) -> None:
        brake("refit", "2", "--as-it-came")
        brake("refit", "sign", "2", "J. Teal", "--second")
        brake("undo")
        assert owed(brake, 2) == [("get signed", "brake plate")]

    def test_nobody_signs_for_what_is_loose(self, brake: Bench) -> None:
        said = brake.refused("refit", "2", "--as-it-came", "--finger-tight", "--by", "A. Marl")
        assert "finger-tight" in said
        brake("refit", "2", "--as-it-came", "--finger-tight")
        assert "only finger-tight" in brake.refused("refit", "sign", "2", "A. Marl")
        brake("refit", "tighten", "2.2")
        brake("refit", "sign", "2", "A. Marl")

    def test_nobody_signs_for_what_is_not_on(self, brake: Bench) -> None:
        assert "not all back on" in brake.refused("refit", "sign", "2", "A. Marl")


class TestScanned:
    """A scanner types what the code says: the bag code, or all of the label's words."""

    @pytest.mark.parametrize(
        "typed",
        [CODE, "a001n", f" {CODE} ", f"{CODE}\nclutch cover\n4 M6 x 25 hex bolt", f"{CODE}\r\n"],
    )
    def test_a_scan_moves_the_pieces_from_bag_to_machine(self, clutch: Bench, typed: str) -> None:
        clutch("buy", "1.4", "--from", "Quernside Gaskets", "--to", CODE)
        done = clutch.json("refit", typed, "--as-it-came")
        assert done["pieces"] == 8  # the cover, 4 + 2 bolts, 1 gasket
        found = step_of(clutch, 1)
        assert found["done"]
        assert all(line["fitted"] == line["wanted"] for line in found["lines"])

    def test_what_is_left_in_the_bag_is_asked_about(self, clutch: Bench) -> None:
        clutch("buy", "1.4", "--from", "Quernside Gaskets")
        done = clutch.json("refit", CODE, "--as-it-came")
        assert done["left_over"] == [{"item": "1.4", "quantity": 1, "text": "gasket"}]
        assert done["left_in_bag"] == [
            {"item": "1.4", "quantity": 1, "text": "gasket", "condition": "as removed"}
        ]

    def test_quarantined_pieces_left_in_the_bag_are_named(self, clutch: Bench) -> None:
        clutch("inspect", "1.2", "1", "quarantine", "thread picked up")
        clutch("buy", "1.4", "--from", "Quernside Gaskets")
        shown = clutch("refit", CODE, "--as-it-came", "--anyway")
        assert f"Still in bag {CODE}: 1.2: 1 M6 x 25 hex bolt, quarantine" in " ".join(
            shown.split()
        )

    def test_an_empty_bag_leaves_nothing_to_ask(self, brake: Bench) -> None:
        done = brake.json("refit", bag_of(brake, 2))
        assert done["left_in_bag"] == []

    def test_the_torque_applied_is_recorded(self, brake: Bench) -> None:
        brake("refit", bag_of(brake, 2), "--torque", "24 N m oiled")
        assert step_of(brake, 2)["lines"][1]["torque_put_on_nm"] == 24

    def test_the_code_on_the_checklist_is_what_refit_takes(
        self, brake: Bench, tmp_path: Path
    ) -> None:
        file = tmp_path / "checklist.pdf"
        brake("rebuild", "Brakes", "--pdf", str(file))
        document = pypdfium2.PdfDocument(file)
        page = document[0].render(scale=203 / 72).to_pil().convert("L")
        document.close()
        [scanned] = zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormat.QRCode)
        brake("refit", scanned.text)
        assert step_of(brake, 2)["state"] == "on"  # not done: nobody has signed for a brake yet


class TestSnags:
    def test_one_stands_on_the_checklist_until_cleared(self, brake: Bench, tmp_path: Path) -> None:
        brake("snag", "1", "leak", "oil at the cover")
        brake("snag", "machine", "leak", "on the floor")
        brake("snag", "1", "noted", "scratched")
        shown = " ".join(brake("rebuild").split())
        assert "snag 1 to clear: leak: oil at the cover" in shown
        assert "Before it is closed up: [ ] snag 2 to clear: leak: on the floor" in shown
        assert "scratched" not in shown
        assert [each["number"] for each in step_of(brake, 1)["snags"]] == [1]
        brake("rebuild", "--pdf", str(tmp_path / "checklist.pdf"))
        brake("buy", "1.4", "--from", "Quernside Gaskets")
        assert "clear snag 1" in brake.refused("refit", "1", "--as-it-came")
        brake("refit", "1", "--as-it-came", "--anyway")
        assert owed(brake, 1) == [("clear", "leak: oil at the cover", 1)]
        brake("snag", "clear", "1", "new gasket, no drip in a week")
        assert owed(brake, 1) == []
        brake("undo")
        assert owed(brake, 1) == [("clear", "leak: oil at the cover", 1)]


class TestSummary:
    def test_it_adds_up(self, brake: Bench) -> None:
        brake("refit", "2", "--as-it-came")
        rows = {row["assembly"]: row for row in brake.json("rebuild", "--summary")}
        # the brake is on, but not signed for; the clutch wants a gasket
        assert rows["Brakes / Front"]["open"] == 1
        ((step, (unsigned,)),) = rows["Brakes / Front"]["held_up"]["owed"]
        assert (step, unsigned["kind"]) == (2, "get signed")
        assert rows["Engine / Clutch"]["waits"] == 1
        assert rows["Engine / Clutch"]["held_up"]["short"] == 1
        assert rows["Engine / Clutch"]["held_up"]["pieces"] == [["inspect", 7]]
        assert "0 of 2 steps done, 1 on but not finished" in " ".join(
            brake("rebuild", "--summary").split()
        )

    def test_it_fits_80_columns(self, brake: Bench) -> None:
        shown = brake("rebuild", "--summary")
        assert max(map(len, shown.splitlines())) <= 80

    def test_on_paper(self, brake: Bench, tmp_path: Path) -> None:
        file = tmp_path / "summary.pdf"
        assert "on 1 sheet of A4" in brake("rebuild", "--summary", "--pdf", str(file))
        assert file.read_bytes().startswith(b"%PDF")
