"""Inspection in one sitting: what there is to inspect, and many verdicts as one act."""

from typing import Any

import pytest
from conftest import kept

from stores.errors import BadValue, NotFound, Refused, Repeated
from stores.model.ledger import Condition
from stores.storage.items import read_items
from stores.usecases.assembling import SetPoint, set_point
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, buy
from stores.usecases.places import MovePieces, StowPlaces, move, stow
from stores.usecases.sitting import (
    InspectEach,
    InspectionOf,
    ItemVerdict,
    inspect_each,
    read_list,
    to_inspect,
)
from stores.usecases.stock import Enter, enter
from stores.usecases.strip import Strip, strip
from stores.wording.refusals import line_of


@kept
def engine(context: Context) -> Context:
    strip(context, Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt", "1 gasket"]))
    strip(context, Strip("Engine/Brake", "brake shoes", ["2 spring", "1 M8x50 bolt"]))
    return context


def conditions(context: Context, ref: str) -> dict[Any, int]:
    with context.reading() as connection:
        found = next(item for item in read_items(connection) if item.ref == ref)
    held: dict[Any, int] = {}
    for each in found.holdings:
        if each.kind.in_hand:
            held[each.condition] = held.get(each.condition, 0) + each.quantity
    return held


def refs(context: Context, what: str = "") -> list[str]:
    return [line.item for line in to_inspect(context, InspectionOf(what)).lines]


class TestWhatThereIs:
    def test_the_workshops_stock_is_of_no_machine(self, engine: Context) -> None:
        add_machine(engine, AddMachine("Tern 50"))
        on_plover = Context(engine.store, "Orrick Plover")
        enter(on_plover, Enter(["100 M6 washer"], to="drawer 1"))
        assert refs(on_plover) == ["1.1", "1.2", "2.1", "2.2", "2.3"]

    def test_of_a_step_a_bag_a_box_an_assembly_and_the_machine(self, engine: Context) -> None:
        stow(engine, StowPlaces(["A001N"], "box 3"))
        assert refs(engine, "1") == refs(engine, "A001N") == ["1.1", "1.2"]
        assert refs(engine, "box 3") == ["1.1", "1.2"]
        assert refs(engine, "engine / brake") == ["2.1", "2.2", "2.3"]
        assert refs(engine) == refs(engine, "Orrick Plover") == refs(engine, "Engine")
        assert len(refs(engine)) == 5
        assert refs(engine, "1.3") == ["1.3"]  # a gasket by itself is asked for
        assert [each.item for each in to_inspect(engine, InspectionOf("1")).left_out] == ["1.3"]

    def test_nothing_is_called_that(self, engine: Context) -> None:
        with pytest.raises(NotFound, match="nothing called that") as refused:
            to_inspect(engine, InspectionOf("Gearbox"))
        assert refused.value.facts["assemblies"] == ("Engine / Clutch", "Engine / Brake")
        with pytest.raises(NotFound, match="no such step"):
            to_inspect(engine, InspectionOf("9"))

    def test_a_line_says_what_to_look_for_and_what_can_hurt(self, engine: Context) -> None:
        set_point(engine, SetPoint("2", "lining", "at least 2 mm"))
        spring = to_inspect(engine, InspectionOf("2.2")).lines[0]
        assert (spring.text, spring.quantity) == ("spring", 2)
        assert "bent coils" in spring.points
        assert any("asbestos" in each for each in spring.cautions)
        assert [(each.name, each.limits) for each in spring.limits] == [("lining", "at least 2 mm")]

    def test_what_is_decided_or_elsewhere_is_not_asked_again(self, engine: Context) -> None:
        inspect(engine, Inspect("1.2", "serviceable", quantity=1))
        inspect(engine, Inspect("1.2", "quarantine", "a mark", quantity=1))
        move(engine, MovePieces("1.2", "bench", 1, "as removed"))
        (line,) = (x for x in to_inspect(engine, InspectionOf("1")).lines if x.item == "1.2")
        assert line.quantity == 3
        (line,) = (x for x in to_inspect(engine, InspectionOf("A001N")).lines if x.item == "1.2")
        assert line.quantity == 2
        assert "1 quarantine: a mark" in line.verdict

    def test_a_box_with_pieces_of_two_machines(self, engine: Context) -> None:
        add_machine(engine, AddMachine("Tern"))
        tern = Context(engine.store, "Tern")
        strip(tern, Strip("Frame", "stand", ["1 M10x60 bolt"], "box 3"))
        move(Context(engine.store, "Orrick"), MovePieces("2.1", "box 3"))
        lines = to_inspect(engine, InspectionOf("box 3")).lines
        assert [(x.machine, x.item) for x in lines] == [
            ("Orrick Plover", "2.1"), ("Tern", "1.1"), ("Tern", "1.2"),
        ]  # fmt: skip
        for line in lines:
            of = Context(engine.store, line.machine)
            verdict = ItemVerdict(line.item, "good")
            inspect_each(of, InspectEach([verdict], within="box 3", undecided=True))
        assert to_inspect(engine, InspectionOf("box 3")).lines == ()


class TestManyVerdicts:
    def test_a_list_is_one_act(self, engine: Context) -> None:
        before = len(history(engine))
        reply = inspect_each(
            engine, InspectEach(listed="1.1 good; 1.2 3 good 1 scrap necked; 2.2 repair bent a bit")
        )
        assert len(history(engine)) == before + 1
        assert reply.pieces == 7
        assert [
            (each.condition, each.reason, [(i.item, i.quantity) for i in each.items])
            for each in reply.verdicts
        ] == [
            (Condition.SERVICEABLE, "", [("1.1", 1)]),
            (Condition.SERVICEABLE, "", [("1.2", 3)]),
            (Condition.CONDEMNED, "necked", [("1.2", 1)]),
            (Condition.REPAIRABLE, "bent a bit", [("2.2", 2)]),
        ]
        assert conditions(engine, "1.2") == {Condition.SERVICEABLE: 3, Condition.CONDEMNED: 1}
        assert audit(engine).faults == ()
        undo(engine, Undo())
        assert conditions(engine, "1.2") == {Condition.AS_REMOVED: 4}

    def test_all_or_nothing_and_each_fault_is_named(self, engine: Context) -> None:
        before = len(history(engine))
        listed = "1.1 good; 1.9 good; 1.2 3 good 2 scrap necked; 2.2 scrap; 2.3 splendid; 2.1"
        with pytest.raises(Refused, match="faults in a list") as refused:
            inspect_each(engine, InspectEach(listed=listed))
        assert [typed for typed, _ in refused.value.facts["faults"]] == [
            "2.1", "1.9 good", "1.2 3 good 2 scrap necked", "2.2 scrap", "2.3 splendid",
        ]  # fmt: skip
        said = line_of(refused.value)
        assert said.startswith("5 faults in the list, nothing was recorded: 1. '2.1': no verdict")
        assert "only 1 there" in said
        assert len(history(engine)) == before

    def test_many_faults_are_all_named_in_one_line(self, engine: Context) -> None:
        listed = "; ".join(f"9.{line} good" for line in range(1, 20))
        with pytest.raises(Refused) as refused:
            inspect_each(engine, InspectEach(listed=listed))
        said = line_of(refused.value)
        assert all(f"'9.{line} good'" in said for line in range(1, 20))
        assert len(said) < 590

    def test_no_piece_has_two_verdicts_of_one_list(self, engine: Context) -> None:
        with pytest.raises(Refused, match="faults in a list"):
            inspect_each(engine, InspectEach(listed="1.2 4 good; 1.2 1 scrap bent"))
        with pytest.raises(Refused, match="faults in a list"):
            inspect_each(engine, InspectEach(listed="1.2 good; 1 scrap bent; 1.1 good"))

    def test_a_whole_step_leaves_out_what_is_always_renewed(self, engine: Context) -> None:
        reply = inspect_each(engine, InspectEach(listed="step 1 good"))
        assert [each.item for each in reply.verdicts[0].left_out] == ["1.3"]
        assert conditions(engine, "1.3") == {Condition.AS_REMOVED: 1}

    def test_a_worse_verdict_mends_a_better_one(self, engine: Context) -> None:
        inspect_each(engine, InspectEach(listed="1.2 good"))
        inspect_each(engine, InspectEach(listed="1.2 scrap necked after all"))
        assert conditions(engine, "1.2") == {Condition.CONDEMNED: 4}

    def test_a_sitting_leaves_alone_what_is_decided_and_what_is_elsewhere(
        self, engine: Context
    ) -> None:
        buy(engine, Buy("1.2", "2", "Hollin Fasteners"))
        move(engine, MovePieces("1.2", "bench", 1, "as removed"))
        one = (ItemVerdict("1.2", "unsure", None, "a mark"),)
        reply = inspect_each(engine, InspectEach(one, within="A001N", undecided=True))
        assert reply.pieces == 3
        assert conditions(engine, "1.2") == {
            Condition.AS_REMOVED: 1, Condition.NEW: 2, Condition.QUARANTINE: 3,
        }  # fmt: skip
        with pytest.raises(Refused, match="nothing left to inspect"):
            inspect_each(engine, InspectEach(one, within="A001N", undecided=True))

    def test_refusals(self, engine: Context) -> None:
        with pytest.raises(BadValue, match="an empty list"):
            inspect_each(engine, InspectEach(listed=" ; \n"))
        with pytest.raises(Refused, match="verdict without a reason"):
            inspect_each(engine, InspectEach([ItemVerdict("1.2", "scrap")]))
        with pytest.raises(Refused, match="makes nothing new"):
            inspect_each(engine, InspectEach([ItemVerdict("1.2", "new")]))

    def test_a_trial_writes_nothing_and_a_key_makes_two_one(self, engine: Context) -> None:
        before = len(history(engine))
        assert inspect_each(engine, InspectEach(listed="1.1 good", trial=True)).pieces == 1
        assert len(history(engine)) == before
        inspect_each(engine, InspectEach(listed="1.1 good", key="k"))
        with pytest.raises(Repeated):
            inspect_each(engine, InspectEach(listed="1.1 good", key="k"))


@pytest.mark.parametrize(
    ("typed", "verdicts"),
    [
        ("1.1 good", [("1.1", "good", None, "")]),
        ("1.2 3 good 1 scrap necked", [("1.2", "good", "3", ""), ("1.2", "scrap", "1", "necked")]),
        ("1.2 2 repair 3 thou worn", [("1.2", "repair", "2", "3 thou worn")]),
        ("A001N unsure wet inside", [("A001N", "unsure", None, "wet inside")]),
        ("7 serviceable", [("7", "serviceable", None, "")]),
        ("2.1 repair new bush; ", [("2.1", "repair", None, "new bush")]),
    ],
)
def test_a_list_is_read(typed: str, verdicts: list[tuple[str, str, str | None, str]]) -> None:
    entries, faults = read_list(typed)
    assert faults == []
    assert [(e.item, e.verdict, e.quantity, e.reason) for _, e in entries] == verdicts


@pytest.mark.parametrize(
    ("typed", "fact"),
    [
        ("1.1", "no verdict in the list"),
        ("1.2 good 1 scrap necked", "verdicts without counts"),
        ("1.2 good scrap", "verdicts without counts"),
        ("1.2 good 3", "count behind a verdict"),
    ],
)
def test_what_a_list_cannot_mean(typed: str, fact: str) -> None:
    entries, faults = read_list(typed)
    assert entries == []
    assert [error.fact for _, error in faults] == [fact]
