"""Snags: recorded, shown where they matter, cleared, undone."""

from conftest import Bench, kept


@kept
def surveyed(clutch: Bench) -> Bench:
    clutch("snag", "Engine/Clutch", "leak", "weeps at the bottom", "--side", "left")
    clutch("snag", "1.2", "damaged", "thread pulled")
    clutch("snag", "machine", "noted", "matching numbers")
    return clutch


def test_a_snag_is_tied_to_an_assembly_a_step_an_item_or_the_machine(surveyed: Bench) -> None:
    listed = surveyed.json("snag", "list", "--all")["snags"]
    assert [(each["number"], each["sort"], each["step"], each["item"]) for each in listed] == [
        (1, "leak", None, ""), (2, "damaged", 1, "1.2"), (3, "noted", None, ""),
    ]  # fmt: skip
    assert listed[0]["assembly"] == listed[1]["assembly"] == "Engine / Clutch"
    assert [each["number"] for each in surveyed.json("snag", "list")["snags"]] == [1, 2]
    assert [each["number"] for each in surveyed.json("snag", "list", "Engine")["snags"]] == [1, 2]
    assert surveyed.json("snag", "list", "Frame")["snags"] == []


def test_the_side_of_a_snag_is_said_once(surveyed: Bench) -> None:
    surveyed("snag", "Engine", "leak", "weeps left of the drain", "--side", "left")
    for asked in (("handover",), ("snag", "list"), ("plan",)):
        text = " ".join(surveyed(*asked).split())
        assert "left, left" not in text

    said = " ".join(surveyed("handover").split())
    assert "snag 1: leak: weeps at the bottom, left (Engine / Clutch)" in said
    assert "snag 4: leak: weeps left of the drain (Engine)" in said


def test_an_assembly_may_be_named_before_the_strip_down(bench: Bench) -> None:
    assert "Snag 1, Frame" in bench("snag", "Frame", "miss", "left", "footrest")
    assert bench.json("snag", "list")["snags"][0]["sort"] == "missing"
    bench("strip", "frame", "saddle")
    assert bench.json("find", "saddle")["items"][0]["assembly"] == "Frame"


def test_it_holds_up_its_step_until_it_is_cleared(surveyed: Bench) -> None:
    surveyed("inspect", "1", "serviceable")
    waiting = surveyed.json("plan")["steps"][0]["waits_for"]
    snags = {each["snag"]: each["text"] for each in waiting if each["kind"] == "clear"}
    assert snags == {2: "damaged: thread pulled", 1: "leak: weeps at the bottom, left"}
    assert "1 open" in surveyed("snag", "clear", "2", "insert fitted")
    surveyed("snag", "clear", "1", "--with", "1.4")
    assert surveyed.json("snag", "list")["snags"] == []
    assert surveyed.json("snag", "list", "--all")["snags"][0]["cleared"] == "renewed: 1.4 gasket"
    waiting = surveyed.json("plan")["steps"][0]["waits_for"]
    assert "clear" not in {each["kind"] for each in waiting}
    surveyed("undo")
    assert [each["number"] for each in surveyed.json("snag", "list")["snags"]] == [1]


def test_a_number_is_never_given_twice(surveyed: Bench) -> None:
    surveyed("undo")
    assert "Snag 4" in surveyed("snag", "machine", "worn", "kickstart splines")
