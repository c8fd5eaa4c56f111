"""Strip-down, inspection, specification, undo: asked of the use-cases themselves."""

from dataclasses import replace

import pytest

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.model.ledger import ActKind, Condition, PlaceKind
from stores.storage.items import read_items
from stores.usecases.common import Whereabouts
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import (
    Inspect,
    MeasuredAgainstLimit,
    Specify,
    inspect,
    specify,
)
from stores.usecases.machines import AddMachine, add_machine, machines
from stores.usecases.strip import Loose, Strip, loose, strip

COVER = Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt", "1 gasket"])


def conditions(context: Context, ref: str) -> dict[Condition, int]:
    with context.reading() as connection:
        item = next(item for item in read_items(connection) if item.ref == ref)
    return {
        holding.condition: holding.quantity for holding in item.holdings if holding.quantity > 0
    }


def test_a_step_says_what_was_understood(context: Context) -> None:
    step = strip(context, COVER)
    assert (step.machine, step.step, step.assembly, step.new_assembly, step.part) == (
        "Orrick Plover", 1, "Engine / Clutch", True, "clutch cover",
    )  # fmt: skip
    assert step.into == Whereabouts(PlaceKind.BAG, step.bag or "", new=True)
    assert step.aside is None
    assert [(line.item, line.found, line.as_found, line.wanted) for line in step.items] == [
        ("1.1", 1, "clutch cover", 1), ("1.2", 4, "M6 x 25 hex bolt", 4), ("1.3", 1, "gasket", 1),
    ]  # fmt: skip
    assert [bool(line.renew) for line in step.items] == [False, False, True]
    again = strip(context, replace(COVER, bag="same", part_to="shelf 2"))
    assert (again.step, again.bag, again.new_assembly, again.into.new) == (
        2,
        step.bag,
        False,
        False,
    )
    assert again.aside == Whereabouts(PlaceKind.SHELF, "shelf 2", new=True)
    assert not audit(context).faults


def test_as_found_and_as_specified_stand_apart(context: Context) -> None:
    step = strip(
        context,
        Strip("Engine", "cover", ["3 of 4 M6x30 hex bolt @ rear", "2 M6x30 (should be M6x25)"]),
    )
    short, wrong = step.items[1:]
    assert (short.found, short.wanted, short.position) == (3, 4, "rear")
    assert (wrong.as_found, wrong.as_specified) == ("M6 x 30", "M6 x 25")
    assert not step.counted_twice


def test_two_lines_of_one_thing_are_asked_about_where_one_is_short(context: Context) -> None:
    step = strip(context, Strip("Engine", "cover", ["3 of 4 M6x25 hex bolt", "1 M6x25 hex bolt"]))
    (pair,) = step.counted_twice
    assert (pair.items, pair.total, pair.text) == (("1.2", "1.3"), 5, "M6 x 25 hex bolt")


def test_a_trial_leaves_no_trace_and_a_key_makes_it_one(context: Context) -> None:
    tried = strip(context, replace(COVER, trial=True))
    assert history(context)[0].summary == "machine Orrick Plover added"
    kept = strip(context, replace(COVER, key="a"))
    assert replace(tried, trial=False) == kept
    with pytest.raises(Repeated) as repeated:
        strip(context, replace(COVER, key="a"))
    assert repeated.value.act == kept.act
    assert strip(context, COVER).step == 2


@pytest.mark.parametrize(
    ("ask", "error", "fact"),
    [
        (Strip("Engine", "cover", ["1 gasket"] * 61), BadValue, "too many lines in a step"),
        (Strip("Engine", "0 of 1 cover", bag="same"), NotFound, "no last step"),
        (replace(COVER, condition="new"), Refused, "what comes off is not new"),
        (replace(COVER, condition="condemned"), Refused, "condition needs a note"),
        (replace(COVER, condition="shiny"), BadValue, "no condition"),
        (replace(COVER, bag="A001K"), BadValue, "bag code misread"),
        (replace(COVER, bag="A001N"), NotFound, "no such bag"),
        (replace(COVER, part_to="lost"), Refused, "not a place to put it by hand"),
        (replace(COVER, part_to="7"), Refused, "no place"),
        (Strip("Engine//Top", "cover"), NotationError, "an assembly's name is empty"),
    ],
)
def test_what_cannot_be_a_step_is_refused(
    context: Context, ask: Strip, error: type[Exception], fact: str
) -> None:
    before = history(context)
    with pytest.raises(error, match=fact):
        strip(context, ask)
    assert history(context) == before


def test_the_day_is_read_and_not_in_the_future(context: Context) -> None:
    strip(replace(context, day="2026-03-14"), COVER)
    assert history(context)[0].happened_at == "2026-03-14"
    for typed, words in (("the 14th", "not a day"), ("2999-01-01", "has not come yet")):
        with pytest.raises(BadValue, match=words):
            strip(replace(context, day=typed), COVER)


def test_loose_pieces_come_from_nowhere_known(context: Context) -> None:
    reply = loose(context, Loose("2 M8x40 hex", "tin 1", "under the bench"))
    assert (reply.item, reply.quantity, reply.text) == ("0.1", 2, "M8 x 40 hex")
    assert reply.place == Whereabouts(PlaceKind.BOX, "tin 1", new=True)
    with pytest.raises(Refused, match="means nothing here") as refusal:
        loose(context, Loose("3 of 4 M8 nut"))
    assert refusal.value.facts == {"part": "of", "usecase": "loose"}


def test_a_verdict_is_on_so_many_pieces(context: Context) -> None:
    strip(context, COVER)
    bad = inspect(context, Inspect("1.2", "condemned", "necked", "1"))
    assert [(each.item, each.quantity) for each in bad.items] == [("1.2", 1)]
    passed = inspect(context, Inspect("1", "serviceable"))
    assert [each.item for each in passed.items] == ["1.1", "1.2"]
    assert [each.item for each in passed.left_out] == ["1.3"]
    assert conditions(context, "1.2") == {Condition.CONDEMNED: 1, Condition.SERVICEABLE: 3}
    inspect(context, Inspect("1.2", "serviceable", "mistaken", "1", of="condemned"))
    assert conditions(context, "1.2") == {Condition.SERVICEABLE: 4}


def test_a_reading_against_its_limit_gives_the_verdict(context: Context) -> None:
    strip(context, COVER)
    worn = inspect(
        context, Inspect("1.2", measured=MeasuredAgainstLimit("19.80", "20", "19.90", name="pin"))
    )
    assert worn.condition is Condition.CONDEMNED
    assert worn.items[0].quantity == 1
    sound = inspect(
        context, Inspect("1.1", measured=MeasuredAgainstLimit("19.98", "20", "19.90", name="pin"))
    )
    assert sound.condition is Condition.SERVICEABLE


@pytest.mark.parametrize(
    ("ask", "fact"),
    [
        (Inspect("1", "new"), "an inspection makes nothing new"),
        (Inspect("1", "as removed"), "as removed is no verdict"),
        (Inspect("1.2", "condemned"), "verdict needs a reason"),
        (Inspect("1.2", "serviceable", "2"), "count behind the verdict"),
        (Inspect("1.2", "serviceable", of="condemned"), "nothing to inspect"),
        (Inspect("1", "serviceable", quantity=2), "several items"),
        (Inspect("1.2", "serviceable", quantity="0"), "count out of range"),
        (Inspect("1.2", "serviceable", quantity="x"), "no count"),
        (Inspect("1.2"), "no verdict"),
        (Inspect("1.2", "good", measured=MeasuredAgainstLimit("1")), "a verdict or a reading"),
        (Inspect("1.9", "serviceable"), "no such item"),
    ],
)
def test_what_is_no_verdict_is_refused(context: Context, ask: Inspect, fact: str) -> None:
    strip(context, COVER)
    with pytest.raises((BadValue, Refused, NotFound), match=fact):
        inspect(context, ask)


def test_a_specification_says_what_should_be_there(context: Context) -> None:
    strip(context, COVER)
    reply = specify(context, Specify("1.2", "5 M6x20 hex bolt"))
    assert (reply.found, reply.as_found, reply.wanted, reply.as_specified, reply.spare) == (
        4, "M6 x 25 hex bolt", 5, "M6 x 20 hex bolt", None,
    )  # fmt: skip
    assert specify(context, Specify("1.3", reuse="soft copper")).reuse == "soft copper"
    with pytest.raises(Refused, match="nothing specified"):
        specify(context, Specify("1.2"))
    with pytest.raises(Refused, match="several items"):
        specify(context, Specify("1", "5 M6x20 hex bolt"))


def test_undo_takes_back_and_brings_back(context: Context) -> None:
    with pytest.raises(NotFound, match="no such act"):
        undo(context, Undo(99))
    strip(context, COVER)
    inspect(context, Inspect("1.2", "serviceable"))
    back = undo(context, Undo())
    assert (back.undone, back.pieces) == (3, 4)
    assert conditions(context, "1.2") == {Condition.AS_REMOVED: 4}
    undo(context, Undo(back.act, "act"))
    assert conditions(context, "1.2") == {Condition.SERVICEABLE: 4}
    with pytest.raises(Refused, match="moved on since") as refusal:
        undo(context, Undo("1", "step"))
    (later,) = refusal.value.facts["later"]
    assert (later.number, later.kind) == (3, ActKind.INSPECT)
    with pytest.raises(BadValue, match="acts begin at 1"):
        undo(context, Undo("0"))
    assert not audit(context).faults


def test_a_number_of_an_act_and_of_a_step_is_asked_about(context: Context) -> None:
    strip(context, COVER)
    strip(context, COVER)
    with pytest.raises(Refused, match="an act and a step") as refusal:
        undo(context, Undo("2"))
    assert refusal.value.facts["act"] == 3
    assert undo(context, Undo("2", "step")).undone == 3
    with pytest.raises(NotFound, match="no step of that number") as missing:
        undo(context, Undo("7", "step"))
    assert missing.value.hint == Hint("history")


def test_machines_are_listed_and_none_has_another_s_name(context: Context) -> None:
    strip(context, COVER)
    assert add_machine(context, AddMachine("Tern 50", year="1961")).machine == "Tern 50"
    assert [(m.name, m.year, m.steps) for m in machines(context)] == [
        ("Orrick Plover", "", 1), ("Tern 50", "1961", 0),
    ]  # fmt: skip
    with pytest.raises(Refused, match="machine's name taken"):
        add_machine(context, AddMachine("tern  50"))
