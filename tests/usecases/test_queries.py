"""Questions that what was typed left open: kept, shown everywhere, answered one by one."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import NotFound, Refused, Repeated
from stores.model.items import Item
from stores.model.labels import Content
from stores.model.ledger import Condition
from stores.storage.items import items_of_step
from stores.storage.machines import machine_named
from stores.usecases.context import Context
from stores.usecases.correct import (
    AddLine,
    CorrectLine,
    SplitLine,
    add_line,
    correct_line,
    split_line,
)
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, history, undo
from stores.usecases.inspect import Specify, specify
from stores.usecases.labels import AskLabels, labels
from stores.usecases.places import ListPlaces, places
from stores.usecases.queries import AnswerQuery, Query, answer_query, queries
from stores.usecases.rebuild import ListSteps, checklist
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.stock import Enter, enter
from stores.usecases.strip import Loose, Strip, loose, strip
from stores.wording.status import flag

LINES = ["3 or 4 M6 nuts", "6 M8x20 set screw", "4 M6x25 hex bolt", "1/4 x 20 tpi x 1 bolt"]


@kept
def bench(context: Context) -> Context:
    """One step: a count in question, a kind in question, nothing in question, a series."""
    at = Context(context.store)
    strip(at, Strip("Engine/Clutch", "clutch cover", LINES))
    return at


def item(context: Context, ref: str) -> Item:
    step, _, line = ref.partition(".")
    with context.reading() as connection:
        machine = machine_named(connection, None)
        listed = items_of_step(connection, machine.number, int(step))
    return next(each for each in listed if each.line == int(line))


def open_ones(context: Context) -> dict[str, Query]:
    return {each.item: each for each in queries(context).queries}


def test_what_is_open_is_one_list_with_counts_first(bench: Context) -> None:
    reply = queries(bench)
    assert [each.item for each in reply.queries] == ["1.2", "1.3", "1.5"]
    first = reply.queries[0]
    assert (first.typed, first.found, first.count_to_check) == ("3 or 4 M6 nuts", 1, True)
    assert first.questions == ("3 or 4: how many exactly?",)
    assert not any(each.count_to_check for each in reply.queries[1:])


def test_a_count_in_question_is_said_wherever_pieces_are_listed(bench: Context) -> None:
    """The bag by its code, the index of places, the label, the checklist, the shopping list."""
    bag = find(bench, Find("A001N"))
    said = {each.item: each.count_to_check for each in bag.items}
    assert said == {"1.1": False, "1.2": True, "1.3": False, "1.4": False, "1.5": False}
    assert {each.item for each in bag.items if each.questions} == {"1.2", "1.3", "1.5"}
    (place,) = places(bench, ListPlaces()).places
    assert place.what.count("(count to check)") == 1
    (labelled,) = labels(bench, AskLabels()).bags
    said = {content.item.ref: content.to_check for content in labelled.contents}
    assert said["1.2"] == ("count to check",)
    before = labelled.digest
    stages = checklist(bench, ListSteps(everything=True)).stages
    lines = {line.item.ref: line for stage in stages for line in stage.lines}
    assert "count to check" in map(flag, lines["1.2"].flags)
    assert "count to check" not in map(flag, lines["1.4"].flags)
    specify(bench, Specify("1.2", "4 M6 nut"))
    (short,) = shopping(bench, WhatToBuy()).lines
    assert "count to check: 1.2" in short.why
    answer_query(bench, AnswerQuery("1.2", "4"))
    assert shopping(bench, WhatToBuy()).lines == ()
    (labelled,) = labels(bench, AskLabels(everything=True)).bags
    assert labelled.digest != before


def test_a_kind_or_a_thread_in_question_is_said_wherever_pieces_are_listed(
    context: Context,
) -> None:
    """Its own short mark, the same on every paper and list, until the question is answered."""
    at = Context(context.store)
    lines = ["2 cotter 3/8", "1/4 x 20 tpi x 1 bolt", "4 M6x25 hex bolt", "6 lock washers M8"]
    strip(at, Strip("Engine/Clutch", "clutch cover", lines))
    marks = {
        "1.2": ("kind to check",), "1.3": ("thread to check",), "1.4": (),
        "1.5": ("kind to check",),
    }  # fmt: skip
    bag = find(at, Find("A001N"))
    assert {each.item: each.to_check for each in bag.items if each.item in marks} == marks
    (place,) = places(at, ListPlaces()).places
    assert (place.what.count("(kind to check)"), place.what.count("(thread to check)")) == (2, 1)
    (labelled,) = labels(at, AskLabels()).bags
    on_label = {content.item.ref: content.to_check for content in labelled.contents}
    assert {ref: on_label[ref] for ref in marks} == marks
    stages = checklist(at, ListSteps(everything=True)).stages
    flags = {
        line.item.ref: tuple(map(flag, line.flags)) for stage in stages for line in stage.lines
    }
    for ref, said in marks.items():
        assert tuple(each for each in flags[ref] if each.endswith("to check")) == said
    assert {each.item: each.to_check for each in queries(at).queries} == {
        ref: said for ref, said in marks.items() if said
    }
    answer_query(at, AnswerQuery("1.3", "1/4 BSW x 1 bolt"))
    assert item(at, "1.3").to_check == ()
    (labelled,) = labels(at, AskLabels(everything=True)).bags
    assert "thread to check" not in {each for one in labelled.contents for each in one.to_check}


def test_new_pieces_carry_no_mark_and_a_learnt_name_takes_it_off(bench: Context) -> None:
    asked = item(bench, "1.5")
    assert asked.to_check == ("thread to check",)
    assert replace(asked, learnt=True).to_check == ()
    assert Content(asked, 1, Condition.NEW).to_check == ()
    assert Content(asked, 1, Condition.AS_REMOVED).to_check == ("thread to check",)


def test_a_number_answers_how_many_and_history_keeps_the_words(bench: Context) -> None:
    reply = answer_query(bench, AnswerQuery("1.2", "4", "counted again"))
    assert reply.questions == ()
    now = item(bench, "1.2")
    assert (now.found, now.wanted, now.as_found.text) == (4, 4, "M6 nut")
    assert (now.questions, now.count_to_check) == ((), False)
    assert now.in_hand(*[held.condition for held in now.holdings]) == 4
    undo(bench, Undo(reply.corrected.act, "act"))
    again = item(bench, "1.2")
    assert (again.found, again.written) == (1, "3 or 4 M6 nuts")
    assert again.count_to_check


def test_one_may_be_right(bench: Context) -> None:
    reply = answer_query(bench, AnswerQuery("1.2", "right"))
    assert [change.field for change in reply.corrected.changes] == ["words"]
    assert reply.corrected.changes[0].was == "3 or 4 M6 nuts"
    assert item(bench, "1.2").found == 1
    assert "1.2" not in open_ones(bench)
    assert "3 or 4 M6 nuts" in history(bench)[0].summary


def test_a_whole_line_answers_any_question(bench: Context) -> None:
    answer_query(bench, AnswerQuery("1.3", "6 M8x20 grub screw"))
    answer_query(bench, AnswerQuery("1.5", "1/4 BSW x 1 bolt"))
    assert item(bench, "1.3").as_found.text == "M8 x 20 grub screw"
    assert item(bench, "1.5").as_found.text == "1/4 BSW x 1 bolt"
    assert list(open_ones(bench)) == ["1.2"]


def test_an_answer_that_leaves_something_open_says_what(bench: Context) -> None:
    reply = answer_query(bench, AnswerQuery("1.3", "6 M8x25 set screw"))
    assert reply.questions
    assert "1.3" in open_ones(bench)


@pytest.mark.parametrize(
    ("what", "answer", "fact"),
    [
        ("1.4", "4", "no open question"),
        ("1.3", "right", "answer in words"),
        ("1.3", "6", "answer in words"),
        ("1.2", "M6 nut", "answer has no count"),
    ],
)
def test_what_is_no_answer_is_refused(bench: Context, what: str, answer: str, fact: str) -> None:
    with pytest.raises(Refused) as caught:
        answer_query(bench, AnswerQuery(what, answer))
    assert caught.value.fact == fact
    assert len(open_ones(bench)) == 3


def test_a_count_in_question_stays_one_when_it_is_put_right(bench: Context) -> None:
    """Four were written, and it was five or six: as many as were there lie there until it is
    answered; a size that is put right answers no count."""
    reply = correct_line(bench, CorrectLine("1.4", "5 or 6 M6x25 hex bolt"))
    assert [(each.item, each.questions) for each in reply.asked] == [
        ("1.4", ("5 or 6: how many exactly?",))
    ]
    asked = open_ones(bench)["1.4"]
    assert (asked.found, asked.count_to_check) == (4, True)
    assert asked.readings == ("5 off M6 x 25 hex bolt", "6 off M6 x 25 hex bolt")
    correct_line(bench, CorrectLine("1.4", "M8x25 hex bolt"))
    assert item(bench, "1.4").questions == ("5 or 6: how many exactly?",)
    answer_query(bench, AnswerQuery("1.4", "b"))
    now = item(bench, "1.4")
    assert (now.found, now.as_found.text, now.questions) == (6, "M8 x 25 hex bolt", ())
    # of this one only the end of the line is read as a count in question
    correct_line(bench, CorrectLine("1.4", "M8 bolts x 4"))
    correct_line(bench, CorrectLine("1.4", "M6 bolts"))
    assert item(bench, "1.4").to_check == ("count to check",)
    assert correct_line(bench, CorrectLine("1.4", "7 M6 bolts")).asked == ()
    assert item(bench, "1.4").to_check == ()


def test_forgotten_and_split_off_lines_say_what_they_leave_open(bench: Context) -> None:
    added = add_line(bench, AddLine("1", "a few M5 nuts"))
    assert [each.item for each in added.asked] == ["1.6"]
    split = split_line(bench, SplitLine("1.4", "1 M6x25 set screw"))
    assert [each.item for each in split.asked] == ["1.7"]


def test_no_such_line(bench: Context) -> None:
    with pytest.raises(NotFound):
        answer_query(bench, AnswerQuery("1.9", "4"))


def test_a_trial_writes_nothing_and_a_key_makes_two_one(bench: Context) -> None:
    assert answer_query(bench, AnswerQuery("1.2", "4", trial=True)).corrected.trial
    assert "1.2" in open_ones(bench)
    answer_query(bench, AnswerQuery("1.3", "5 M8x20 grub screw", key="a"))
    with pytest.raises(Repeated):
        answer_query(bench, AnswerQuery("1.2", "4", key="a"))


def test_a_count_put_right_otherwise_is_no_question(bench: Context) -> None:
    """A name that was learnt since settles what it is, a count what was counted."""
    specify(bench, Specify("1.3", "6 M8x20 grub screw", same=True))
    assert "1.3" not in open_ones(bench)


def test_loose_pieces_are_asked_about_too(context: Context) -> None:
    at = Context(context.store)
    reply = loose(at, Loose("about 10 M6 nuts", to="tin 3", new_place=True))
    assert reply.questions == ("about 10: how many exactly?",)
    (asked,) = queries(at).queries
    assert (asked.item, asked.count_to_check) == ("0.1", True)
    answer_query(at, AnswerQuery("0.1", "9"))
    assert item(at, "0.1").found == 9
    assert queries(at).queries == ()


def test_two_things_in_one_text_are_two_lines_or_asked_about(context: Context) -> None:
    at = Context(context.store)
    lines = ["two springs and a nut @ left", "4 M6x25 bolts and nuts"]
    made = strip(at, Strip("Engine", "coil", lines, position="right"))
    assert [(each.item, each.found, each.as_found, each.position) for each in made.items[1:]] == [
        ("1.2", 2, "springs", "left"), ("1.3", 1, "nut", "left"),
        ("1.4", 4, "M6 x 25 bolt [and nut]", "right"),
    ]  # fmt: skip
    (asked,) = queries(at).queries
    assert asked.readings[0] == "4 off M6 x 25 bolt and 4 off M6 nut"
    reply = answer_query(at, AnswerQuery("1.4", "a"))
    assert reply.questions == ()
    assert [(each.item, each.quantity, each.text) for each in reply.corrected.pieces] == [
        ("1.5", 4, "M6 nut")
    ]
    assert (item(at, "1.4").as_found.text, item(at, "1.5").found) == ("M6 x 25 bolt", 4)
    assert queries(at).queries == ()
    undo(at, Undo())
    assert [each.item for each in queries(at).queries] == ["1.4"]


def test_a_line_put_right_may_be_two(bench: Context) -> None:
    reply = correct_line(bench, CorrectLine("1.4", "3 M6x25 hex bolts and a gasket"))
    assert [(each.field, each.now) for each in reply.changes] == [
        ("count found", "3"), ("added", "1.6"),
    ]  # fmt: skip
    assert (item(bench, "1.4").found, item(bench, "1.6").as_found.text) == (3, "gasket")
    added = add_line(bench, AddLine("1", "2 springs and a dowel"))
    assert [each.now for each in added.changes] == ["1.7", "1.8"]
    loose(bench, Loose("5 M6 nuts"))
    with pytest.raises(Refused, match="two things for one line"):
        correct_line(bench, CorrectLine("0.1", "3 M6 nuts and 2 M8 nuts"))
    with pytest.raises(Refused, match="two things for one line"):
        correct_line(bench, CorrectLine("1.5", "3 M6 nuts and 2 M8 nuts", to_step="1"))


def test_two_things_put_into_stock_are_two(context: Context) -> None:
    reply = enter(context, Enter(["4 M6 nuts and 3 M8 nuts", "assortment: 20 M4 nut, 10 M5 nut"]))
    assert [(each.quantity, each.text) for each in reply.lines] == [
        (4, "M6 nut"), (3, "M8 nut"), (20, "M4 nut"), (10, "M5 nut"),
    ]  # fmt: skip
