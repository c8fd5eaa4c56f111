"""One step as it is worked on, held against the checklist's step of the same number; a bag with the
rest of its step; and that what is kept between two acts is what is worked out anew."""

import random
from functools import cache
from pathlib import Path

import pytest
from conftest import Bench
from PIL import Image
from postgres import copy_of
from test_one_status import DEEDS, STEPS, stripped

from stores.errors import NotationError, NotFound, Refused
from stores.planning.status import Status
from stores.storage import Store, open_store
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, undo
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.next_step import OneStep, StepAtHand, step_at_hand
from stores.usecases.pictures import TakePictures, take_pictures
from stores.usecases.rebuild import (
    ListSteps,
    LookAhead,
    ahead,
    checklist,
    going,
    listed_steps,
    short_of,
    status_of_lacking,
    status_on,
    summary,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.strip import Strip, strip

__all__ = ["stripped"]


@pytest.mark.parametrize("seed", range(2))
def test_it_is_the_checklists_step_whatever_was_done(
    stripped: Path, tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stores.storage.open_store", cache(open_store))
    bench = Bench(tmp_path / "stores.db")
    copy_of(stripped, bench.file)
    chance = random.Random(seed)
    with open_store(str(bench.file)) as kept:
        done = 0
        for _ in range(16):
            words = {"STEP": chance.choice(STEPS), "ITEM": f"{chance.choice(STEPS)}.1"}
            done += not bench.type(*(words.get(word, word) for word in chance.choice(DEEDS))).status
            held_against_the_checklist(Context(kept))
            fresh = Store(kept.engine, kept.name)  # nothing of it was worked out before
            assert same(status_in(kept), status_in(fresh))
            short_as_the_status_says(fresh)
        assert done > 5


def held_against_the_checklist(context: Context) -> None:
    every = {each.step.number: each for each in listed_steps(context, ListSteps(everything=True))}
    bags = {
        stage.step.number: stage.bags
        for stage in checklist(context, ListSteps(everything=True)).stages
    }
    left = [number for number, each in every.items() if not each.done]
    upcoming = step_at_hand(context, OneStep())
    chosen = [number for state in ("on", "ready", "waits") for number in left
              if every[number].state == state][:1]  # fmt: skip
    assert ([upcoming.step] if upcoming.step else []) == [every[number] for number in chosen]
    for number in chosen:
        at = left.index(number)
        assert upcoming.then == (left[at + 1] if at + 1 < len(left) else None)
        assert upcoming.before == (left[at - 1] if at else None)
        assert [each.number for each in upcoming.ready] == [
            number for number in left if every[number].ready
        ]
    counts = work_today(context).counts
    planned = {each.step: each for each in ahead(context, LookAhead()).steps}
    for number, listed in every.items():
        one = step_at_hand(context, OneStep(str(number)))
        assert one.step == listed
        assert one.bags == bags[number]
        assert one.counts == counts
        assert (one.minutes, one.minutes_guessed, one.unlocks) == (
            planned[number].minutes,
            planned[number].minutes_guessed,
            planned[number].unlocks,
        )


def status_in(store: Store) -> Status:
    with store.reading() as connection:
        return status_on(connection, 1)


def same(one: Status, other: Status) -> bool:
    return (
        list(one.steps.items()) == list(other.steps.items())
        and one.pieces == other.pieces
        and one.derived == other.derived
        and one.loops == other.loops
        and one.loose_snags == other.loose_snags
        and one.shares == other.shares
        and (one.graph.nodes, one.graph.before) == (other.graph.nodes, other.graph.before)
    )


def short_as_the_status_says(store: Store) -> None:
    with store.reading() as connection:
        items = read_items(connection, machine=1)
        lacking = status_of_lacking(connection, items)
        assert short_of(connection, items) == {
            number: piece.short for number, piece in lacking.items()
        }


def test_what_goes_on_next_and_then(context: Context) -> None:
    strip(context, Strip("Engine", "magneto", ["2 M6x25 bolt 8.8"]))
    strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    strip(context, Strip("Frame", "saddle", ["2 M8x20 bolt 8.8"]))
    upcoming = step_at_hand(context, OneStep())
    assert upcoming.step is not None
    assert (upcoming.step.step.part, upcoming.then) == ("saddle", 2)
    assert not upcoming.other_machines
    line = upcoming.step.lines[-1]
    assert (line.wanted, line.to_fit, line.now[0].quantity) == (2, 2, 2)
    in_engine = step_at_hand(context, OneStep(assembly="engine"))
    assert in_engine.step is not None
    assert (in_engine.step.step.number, in_engine.unlocks, in_engine.then) == (2, (1,), 1)
    assert (in_engine.before, [each.number for each in in_engine.ready]) == (None, [])
    assert [each.part for each in upcoming.ready] == []
    by_item, by_bag = (step_at_hand(context, OneStep(what)) for what in ("2.1", in_engine.bags[0]))
    assert by_item == by_bag == step_at_hand(context, OneStep("2"))
    for step in "321":
        refit(context, Refit(step, as_it_came=True))
    assert step_at_hand(context, OneStep()) == StepAtHand(
        "Orrick Plover", False, upcoming.counts.__class__(3, 3, 0, 0, 0), None
    )
    assert step_at_hand(context, OneStep("2")).then is None


def test_its_pictures_are_those_of_its_step_its_bag_and_its_pieces(
    context: Context, tmp_path: Path
) -> None:
    strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    strip(context, Strip("Engine", "drain the oil", job=True))
    code = step_at_hand(context, OneStep("1")).bags[0]
    for at, of in enumerate(("1", code, "1.1", "2")):
        file = tmp_path / f"{at}.png"
        Image.new("RGB", (40, 30), (at * 40, 0, 0)).save(file)
        take_pictures(context, TakePictures([file], to=of))
    assert step_at_hand(context, OneStep("1")).pictures == (1, 2, 3)
    assert step_at_hand(context, OneStep("2")).pictures == (4,)
    assert find(context, Find(code)).items[0].pictures == (1, 2, 3)


def test_the_step_has_to_be_there(context: Context) -> None:
    with pytest.raises(NotFound, match="nothing stripped"):
        step_at_hand(context, OneStep())
    strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    for what in ("7", "7.1", "A003J"):
        with pytest.raises(NotFound):
            step_at_hand(context, OneStep(what))
    with pytest.raises(NotationError):
        step_at_hand(context, OneStep("cover"))
    with pytest.raises(NotFound):
        step_at_hand(context, OneStep(assembly="Frame"))
    strip(context, Strip("Engine", "rotor", ["1 M8x40 bolt 8.8"], bag="same"))
    with pytest.raises(Refused):
        step_at_hand(context, OneStep(step_at_hand(context, OneStep("2")).bags[0]))


def test_what_is_read_changes_nothing_that_is_kept(context: Context) -> None:
    """The kept answers, after every list has been drawn up from them, are those worked out anew."""
    for number in range(4):
        strip(context, Strip("Engine", f"part {number}", ["3 of 4 M6x25 bolt 8.8", "1 gasket"]))
    add_machine(context, AddMachine("Finch"))
    strip(Context(context.store, "Finch"), Strip("Frame", "saddle", ["1 of 2 M6x25 bolt 8.8"]))
    on = Context(context.store, "Orrick")
    first = status_in(context.store)
    step_at_hand(on, OneStep())
    work_today(on), ahead(on, LookAhead()), going(on), summary(on)
    shopping(on, WhatToBuy()), shopping(on, WhatToBuy(everywhere=True))
    find(on, Find("bolt"))
    assert status_in(context.store) is first
    with open_store(context.store.name) as fresh:
        assert same(first, status_in(fresh))


def test_a_word_said_and_taken_back_is_seen_at_once(context: Context) -> None:
    strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    upcoming = step_at_hand(context, OneStep())
    refitted = refit(context, Refit("1", as_it_came=True))
    assert step_at_hand(context, OneStep()).step is None
    undo(context, Undo(refitted.act))
    assert step_at_hand(context, OneStep()) == upcoming
