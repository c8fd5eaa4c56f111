"""Strip-down, inspection, specification, undo: asked of the use-cases themselves."""

from dataclasses import replace

import pytest

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.model.ledger import ActKind, Condition, PlaceKind
from stores.storage.items import read_items
from stores.usecases.common import Whereabouts
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import (
    Inspect,
    MeasuredAgainstLimit,
    Sense,
    Specify,
    inspect,
    specify,
)
from stores.usecases.machines import AddMachine, add_machine, machines
from stores.usecases.shopping import WhatToBuy, shopping
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
    assert worn.items[0].condition is Condition.CONDEMNED
    assert worn.items[0].quantity == 1
    sound = inspect(
        context, Inspect("1.1", measured=MeasuredAgainstLimit("19.98", "20", "19.90", name="pin"))
    )
    assert sound.items[0].condition is Condition.SERVICEABLE


def test_a_measured_size_is_kept_beside_its_limit(context: Context) -> None:
    strip(context, COVER)
    # 0.7835 in is 19.9009 mm by the inch of 25.4 mm
    inspect(context, Inspect("1.2", measured=MeasuredAgainstLimit("0.7835 in", "20", "19.90")))
    with context.reading() as connection:
        (item,) = [each for each in read_items(connection) if each.ref == "1.2"]
    assert [(each.measured_nm, each.limit_nm) for each in item.verdicts] == [
        (19_900_900, 19_900_000)
    ]


def said(*words: str, what: str = "1.2", of: str | None = None) -> Inspect:
    return Inspect(what, said=words, of=of)


@pytest.mark.parametrize(
    "words",
    [
        ("1", "serviceable", "3", "condemned", "necked"),
        ("1 serviceable 3 condemned necked",),
        ("1", "serviceable,", "3", "condemned", "necked"),
        ("1", "serviceable", "and", "3", "cond", "necked"),
        ("3", "condemned", "necked", "rest", "serviceable"),
        ("3", "condemned", "necked;", "1", "serv"),
        ("1 good 3 scrap necked",),
        ("3", "scrap", "necked", "rest", "good"),
    ],
)
def test_several_verdicts_are_one_act(context: Context, words: tuple[str, ...]) -> None:
    strip(context, COVER)
    reply = inspect(context, said(*words))
    told = {(each.condition, each.quantity, each.reason) for each in reply.items}
    assert told == {
        (Condition.SERVICEABLE, 1, ""), (Condition.CONDEMNED, 3, "necked"),
    }  # fmt: skip
    assert conditions(context, "1.2") == {Condition.SERVICEABLE: 1, Condition.CONDEMNED: 3}
    undo(context, Undo())
    assert conditions(context, "1.2") == {Condition.AS_REMOVED: 4}


@pytest.mark.parametrize(
    ("words", "fact", "typed"),
    [
        ("4 serviceable condemned necked", "a verdict within the reason",
         "4 serviceable N condemned necked"),
        ("1 condemned necked 3 condemmed bent", "a verdict within the reason",
         "1 condemned necked 3 condemned bent"),
        ("2 condemned necked serviceable", "a verdict within the reason",
         "2 condemned necked N serviceable"),
        ("3 good 1 scarp necked", "a verdict within the reason", "3 good 1 scrap necked"),
    ],
)  # fmt: skip
def test_a_verdict_within_a_reason_is_refused_with_what_to_type(
    context: Context, words: str, fact: str, typed: str
) -> None:
    strip(context, COVER)
    with pytest.raises(Refused, match=fact) as refusal:
        inspect(context, said(*words.split()))
    assert refusal.value.hint is not None
    assert refusal.value.hint.values["said"].removesuffix(" WHY") == typed
    # the reason of a form is read with the same eyes, and so is one in quotes
    first, verdict, *rest = words.split()
    with pytest.raises(Refused, match=fact):
        inspect(context, Inspect("1.2", verdict, " ".join(rest), first))
    with pytest.raises(Refused, match=fact):
        inspect(context, said(first, verdict, " ".join(rest)))
    assert conditions(context, "1.2") == {Condition.AS_REMOVED: 4}


def test_a_refused_verdict_says_back_what_was_typed_once_the_line_is_there(
    context: Context,
) -> None:
    strip(context, COVER)
    with pytest.raises(NotFound, match="no such item"):
        inspect(context, Inspect("1.9", "scrap"))
    with pytest.raises(Refused, match="verdict needs a reason") as refusal:
        inspect(context, Inspect("1.2", "scrap"))
    assert refusal.value.hint == Hint("inspect", what="1.2", verdict="scrap", reason="REASON")
    with pytest.raises(BadValue, match="no such verdict") as odd:
        inspect(context, Inspect("1.2", "splendid"))
    assert odd.value.facts == {"typed": "splendid"}


@pytest.mark.parametrize(
    "words",
    ["condemned 2 necked", "condemned necked 2", "2 serviceable 2 necked", "serviceable 2"],
)
def test_a_count_within_a_reason_is_refused(context: Context, words: str) -> None:
    strip(context, COVER)
    with pytest.raises(Refused, match="count behind the verdict") as refusal:
        inspect(context, said(*words.split()))
    assert refusal.value.facts["count"] == "2"


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["2", "condemned", "2", "threads", "stripped"], "2 threads stripped"),
        (["condemned", "2 threads stripped"], "2 threads stripped"),
        (["condemned", "cracked", "in", "2", "places"], "cracked in 2 places"),
        (["2", "condemned", "worn", "to", "5.9", "mm"], "worn to 5.9 mm"),
    ],
)
def test_a_number_that_belongs_to_the_reason_stays_in_it(
    context: Context, words: list[str], reason: str
) -> None:
    strip(context, COVER)
    assert [each.reason for each in inspect(context, said(*words)).items] == [reason]


def test_verdicts_without_counts_or_pieces_are_refused(context: Context) -> None:
    strip(context, COVER)
    with pytest.raises(Refused, match="verdict without a count") as uncounted:
        inspect(context, said("serviceable", "2", "condemned", "necked"))
    assert uncounted.value.hint == Hint(
        "inspect", what="1.2", said="N serviceable 2 condemned necked"
    )
    with pytest.raises(Refused, match="asked for, but only 1 there"):
        inspect(context, said("3", "serviceable", "2", "condemned", "necked"))
    with pytest.raises(BadValue, match="no verdict"):
        inspect(context, said("3"))
    with pytest.raises(BadValue, match="a verdict said twice"):
        inspect(context, Inspect("1.2", "serviceable", said=["serviceable"]))
    assert conditions(context, "1.2") == {Condition.AS_REMOVED: 4}


def test_a_whole_step_passed_again_leaves_the_condemned_ones(context: Context) -> None:
    strip(context, COVER)
    inspect(context, said("1", "serviceable", "2", "condemned", "necked"))
    reply = inspect(context, said("serviceable", what="1"))
    assert [(each.item, each.quantity) for each in reply.items] == [("1.1", 1), ("1.2", 1)]
    assert [(e.item, e.quantity, e.reason) for e in reply.left_condemned] == [("1.2", 2, "necked")]
    assert conditions(context, "1.2") == {Condition.SERVICEABLE: 2, Condition.CONDEMNED: 2}
    named = inspect(context, said("2", "serviceable", of="condemned"))
    assert named.left_condemned == ()
    assert conditions(context, "1.2") == {Condition.SERVICEABLE: 4}


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


HAT = Strip("Engine/Carburettor", "jets", ["1 thing like a little brass hat", "2 M6 hex bolt"])


def bolts_to_buy(context: Context) -> list[str]:
    return [line.what for line in shopping(context, WhatToBuy()).lines]


def test_a_name_learnt_is_not_another_thing(context: Context) -> None:
    strip(context, HAT)
    reply = specify(context, Specify("1.2", "pilot jet cap"))
    assert (reply.taken_as, reply.said_so) == (Sense.NAME, False)
    assert bolts_to_buy(context) == []
    (found,) = find(context, Find("1.2")).items
    assert (found.as_found, found.as_specified, found.wrong) == (
        "pilot jet cap", "pilot jet cap", False,
    )  # fmt: skip
    assert [each.item for each in find(context, Find("brass hat")).items] == ["1.2"]
    assert [each.item for each in find(context, Find("pilot jet")).items] == ["1.2"]
    # said of again: a count, and then a better name
    specify(context, Specify("1.2", "2 pilot jet cap"))
    assert shopping(context, WhatToBuy()).lines[0].why == "1 missing at strip-down"
    specify(context, Specify("1.2", "1 slow running jet cap"))
    assert bolts_to_buy(context) == []
    undo(context, Undo())
    undo(context, Undo())
    undo(context, Undo())
    (found,) = find(context, Find("1.2")).items
    assert found.as_found == "thing like a little brass hat"


def test_what_was_taken_for_a_name_may_be_another_thing_after_all(context: Context) -> None:
    strip(context, HAT)
    specify(context, Specify("1.2", "pilot jet cap"))
    reply = specify(context, Specify("1.2", "pilot jet cap", same=False))
    assert (reply.as_found, reply.taken_as) == ("thing like a little brass hat", Sense.OTHER)
    (found,) = find(context, Find("1.2")).items
    assert (found.as_found, found.wrong) == ("thing like a little brass hat", True)
    assert bolts_to_buy(context) == ["pilot jet cap, for Engine / Carburettor: jets"]


def test_another_thing_is_to_buy_and_who_says_so_is_believed(context: Context) -> None:
    strip(context, HAT)
    other = specify(context, Specify("1.2", "pilot jet cap", same=False))
    assert (other.taken_as, other.said_so) == (Sense.OTHER, True)
    assert bolts_to_buy(context) == ["pilot jet cap, for Engine / Carburettor: jets"]
    specify(context, Specify("1.2", reuse="for now"))
    assert len(bolts_to_buy(context)) == 1
    specify(context, Specify("1.2", "pilot jet cap", same=True))
    assert bolts_to_buy(context) == []
    longer = specify(context, Specify("1.3", "2 M6x20 hex bolt"))
    assert (longer.taken_as, bolts_to_buy(context)) == (Sense.MORE, [])
    clash = specify(context, Specify("1.3", "2 M8x20 hex bolt"))
    assert (clash.taken_as, clash.differences) == (Sense.OTHER, ("size",))
    assert bolts_to_buy(context) == ["M8 x 20 hex bolt"]


def test_where_it_cannot_tell_it_asks(context: Context) -> None:
    strip(context, Strip("Engine", "oddment", ["1 bush 19", "1 M6x20 hex bolt"]))
    with pytest.raises(Refused, match="a name or another thing") as asked:
        specify(context, Specify("1.2", "bush 20"))
    assert asked.value.facts == {"item": "1.2", "found": "bush 19", "text": "bush 20"}
    assert asked.value.hint == Hint("specify", what="1.2", text="bush 20")
    assert specify(context, Specify("1.2", "bush 20", same=True)).taken_as is Sense.NAME
    with pytest.raises(Refused, match="not its name") as clash:
        specify(context, Specify("1.3", "M8x20 hex bolt", same=True))
    assert clash.value.facts["differences"] == ("size",)
    with pytest.raises(Refused, match="that is what was found"):
        specify(context, Specify("1.3", "M6x20 hex bolt", same=False))
    with pytest.raises(Refused, match="nothing specified"):
        specify(context, Specify("1.3", same=True))


def test_a_loose_piece_is_what_it_is_said_to_be(context: Context) -> None:
    loose(context, Loose("1 M8 thing"))
    assert specify(context, Specify("0.1", "1 M8x40 hex bolt")).taken_as is Sense.NAME
    (found,) = find(context, Find("0.1")).items
    assert (found.as_found, found.wrong) == ("M8 x 40 hex bolt", False)
    with pytest.raises(Refused, match="a loose piece is what it is"):
        specify(context, Specify("0.1", "M8 nut", same=False))


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


def test_an_assembly_near_an_old_one_is_asked_about(context: Context) -> None:
    strip(context, COVER)
    for path, near in (
        ("Engine/Cluch", ("Engine / Clutch",)),
        ("Engin/Cluch", ("Engine / Clutch",)),
        ("Engin/Gearbox", ("Engine / Gearbox",)),
        ("Engin", ("Engine",)),
        ("clutch", ("Engine / Clutch",)),
    ):
        with pytest.raises(Refused) as refused:
            strip(context, replace(COVER, assembly=path))
        assert (refused.value.fact, refused.value.facts["near"]) == ("near an old assembly", near)
    assert len(history(context)) == 2
    assert strip(context, replace(COVER, assembly="Engine/Gearbox")).new_assembly
    assert strip(context, replace(COVER, assembly="Cluch", new_assembly=True)).assembly == "Cluch"
    assert not strip(context, replace(COVER, assembly="engine / CLUTCH")).new_assembly


def test_a_slip_in_the_notation_is_asked_about_and_kept_as_typed(context: Context) -> None:
    step = strip(context, Strip("Engine", "cover", ["4 1/4 BFS x 3/4 hex bolt", "2 5/16 UFN nut"]))
    assert step.items[1].as_found == "1/4 x 3/4 in BFS hex bolt"
    assert step.questions == ("BFS: did you mean BSF?", "UFN: did you mean UNF?")


def test_the_first_number_that_bag_codes_leave_out_is_told_once(context: Context) -> None:
    told = [strip(context, Strip("Engine", part)).left_out for part in ("cover", "cap", "plug")]
    assert told == ["", "A002", ""]
    assert strip(context, Strip("Engine", "pipe", bag="A003J")).left_out == ""
