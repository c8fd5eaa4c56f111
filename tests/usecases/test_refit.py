"""Refitting: asked of the use-case itself."""

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, Refused, Repeated
from stores.model.ledger import Condition
from stores.planning.assembling import HowTight, Role
from stores.planning.sharing import Promise
from stores.storage.assembling import read_refits
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, PlaceOrder, buy, place_order
from stores.usecases.outwork import SendPieces, send
from stores.usecases.rebuild import ListSteps, listed_steps
from stores.usecases.refit import FittedItem, ItemInBag, OpenSnag, Pieces, Refit, RefitStep, refit
from stores.usecases.snags import ClearSnag, ListSnags, RecordSnag, clear_snag, record_snag, snags
from stores.usecases.stock import Enter, Reserve, enter, reserve
from stores.usecases.strip import Loose, Strip, loose, strip
from stores.wording.marks import plain
from stores.wording.refusals import line_of


@kept
def engine(context: Context) -> Context:
    """The cover (1) off before the rotor (2); the rotor goes on first."""
    strip(context, Strip("Engine", "cover", ["3 of 4 M6x25 hex bolt @ rear"]))
    strip(context, Strip("Engine", "rotor", ["1 M8x40 hex bolt"], hazard="spring under load"))
    return context


def test_what_went_on_and_what_should_have_gone_first(engine: Context) -> None:
    inspect(engine, Inspect("1", "serviceable"))
    reply = refit(engine, Refit("1", anyway=True))
    assert (reply.pieces, [each.step for each in reply.steps]) == (4, [1])
    assert reply.items == (
        FittedItem("1.1", 1, "cover", ""), FittedItem("1.2", 3, "M6 x 25 hex bolt", "rear"),
    )  # fmt: skip
    assert reply.short == (Pieces("1.2", 1, "M6 x 25 hex bolt"),)
    assert reply.not_back_yet == (RefitStep(2, "rotor"),)
    assert (reply.left, reply.signed, reply.bag, reply.left_in_bag) == (None, (), "", ())
    assert not audit(engine).faults


def test_how_it_was_left_and_who_signs(engine: Context) -> None:
    inspect(engine, Inspect("2", "serviceable"))
    reply = refit(engine, Refit("2", torque="24 N m oiled", by="A. Marl"))
    assert reply.steps[0].hazard == "spring under load"
    assert reply.left is not None
    assert (reply.left.how, reply.left.torque_nm, reply.left.state) == (HowTight.TIGHT, 24, "oiled")
    assert (reply.signed, reply.by) == ((2,), "A. Marl")
    with engine.reading() as connection:
        notes = read_refits(connection, 1)
    assert [left.torque_nm for left in notes.tightened.values()] == [24]
    signature = notes.of(2).signed(Role.FITTED)
    assert signature is not None
    assert signature.name == "A. Marl"


def test_a_bag_tells_what_it_still_holds(engine: Context) -> None:
    bag = strip(engine, Strip("Engine", "cap", ["1 gasket"])).bag or ""
    buy(engine, Buy("3.2", firm="Quernside Gaskets"))
    reply = refit(engine, Refit(bag, as_it_came=True))
    assert reply.bag == bag
    assert reply.left_over == (Pieces("3.2", 1, "gasket"),)
    assert reply.left_in_bag == (ItemInBag("3.2", 1, "gasket", Condition.AS_REMOVED),)


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(engine: Context) -> None:
    before = history(engine)
    tried = refit(engine, Refit("2", as_it_came=True, trial=True))
    assert history(engine) == before
    done = refit(engine, Refit("2", as_it_came=True, key="k"))
    assert (tried.pieces, tried.items) == (done.pieces, done.items)
    with pytest.raises(Repeated):
        refit(engine, Refit("2", as_it_came=True, key="k"))
    with pytest.raises(Refused, match="all back already"):
        refit(engine, Refit("2"))
    undo(engine, Undo())
    assert refit(engine, Refit("2", as_it_came=True)).items == done.items


@pytest.mark.parametrize(
    ("ask", "fact"),
    [
        (Refit("0"), "loose pieces have no joint"),
        (Refit("1"), "short of pieces"),
        (Refit("2"), "not looked over"),
        (Refit("2.1", as_it_came=True, finger_tight=True), "nothing fitted has a thread"),
        (Refit("2", finger_tight=True, by="A. Marl"), "nobody signs for finger-tight"),
        (Refit("2", torque="24 N m", finger_tight=True), "torque and finger-tight"),
        (Refit("1.2", "5"), "more than is missing"),
        (Refit("1", "1"), "several items"),
        (Refit("1.2", "x"), "no count"),
        (Refit("1.2", "0"), "count out of range"),
    ],
)
def test_what_is_refused(engine: Context, ask: Refit, fact: str) -> None:
    loose(engine, Loose("2 M10 nut"))
    before = history(engine)
    with pytest.raises((BadValue, Refused), match=fact):
        refit(engine, ask)
    assert history(engine) == before


def test_the_facts_of_a_refusal(engine: Context) -> None:
    with pytest.raises(Refused) as short:
        refit(engine, Refit("1"))
    assert short.value.facts == {
        "items": (Pieces("1.2", 1, "M6 x 25 hex bolt"),), "fits": True,
        "spoken_for": (), "coming": (),
    }  # fmt: skip
    with pytest.raises(Refused) as unseen:
        refit(engine, Refit("2"))
    assert unseen.value.hint == Hint("inspect", what="2", verdict="serviceable")
    assert unseen.value.facts["items"] == (
        Pieces("2.1", 1, "rotor"), Pieces("2.2", 1, "M8 x 40 hex bolt"),
    )  # fmt: skip


def test_whose_the_loose_ones_are_is_said(context: Context) -> None:
    """Two loose bolts would do: one is kept for the other machine, one for a step that goes on
    first."""
    strip(context, Strip("Engine", "cover", ["3 of 4 M6x25 hex bolt"]))
    strip(context, Strip("Engine", "pump", ["1 of 2 M6x25 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    add_machine(context, AddMachine("Brindle Tern"))
    enter(context, Enter(["2 M6x25 hex bolt"]))
    reserve(Context(context.store, "Brindle Tern"), Reserve("0.1", "1"))
    with pytest.raises(Refused, match="short of pieces") as short:
        refit(Context(context.store, "Orrick Plover"), Refit("1"))
    assert set(short.value.facts["spoken_for"]) == {
        Promise("Orrick Plover", 2, "2.2", 1), Promise("Brindle Tern", 0, "", 1),
    }  # fmt: skip


def test_what_of_it_is_on_its_way_is_said(context: Context) -> None:
    """Of three that are short two are on order: from whom, and for which day."""
    strip(context, Strip("Engine", "cover", ["1 of 4 M6x25 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    place_order(context, PlaceOrder("Hollin", ["2 M6x25 hex bolt"], promised="2099-12-03"))
    with pytest.raises(Refused, match="short of pieces") as short:
        refit(context, Refit("1"))
    (coming,) = short.value.facts["coming"]
    assert (coming.quantity, coming.whom, str(coming.due)) == (2, "Hollin", "2099-12-03")
    assert plain(line_of(short.value)) == (
        "short of 3 M6 x 25 hex bolt (1.2); 2 M6 x 25 hex bolt on order from Hollin, "
        "promised 3 Dec 2099; fit what is there with --anyway"
    )


def test_a_torque_is_of_one_thing(context: Context) -> None:
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M8x40 hex bolt"]))
    with pytest.raises(Refused, match="a torque is of one thing") as refusal:
        refit(context, Refit("1", as_it_came=True, torque="9 N m"))
    assert refusal.value.facts["items"] == ("1.2 M6 x 25 hex bolt", "1.3 M8 x 40 hex bolt")


def test_a_snag_is_not_shut_in(engine: Context) -> None:
    record_snag(engine, RecordSnag("2", "leak", "weeps"))
    with pytest.raises(Refused, match="a snag would be shut in") as refusal:
        refit(engine, Refit("2", as_it_came=True))
    assert len(refusal.value.facts["matters"]) == 1
    reply = refit(engine, Refit("2", as_it_came=True, anyway=True))
    assert reply.pieces == 2
    assert reply.snags == (OpenSnag(1, 2, "leak: weeps", shut_in=True),)


def test_a_snag_is_told_of_before_the_step_is_whole_and_stands_until_it_is_cleared(
    engine: Context,
) -> None:
    record_snag(engine, RecordSnag("2.2", "damaged", "thread pulled"))
    part = refit(engine, Refit("2.1", as_it_came=True))
    assert part.snags == (OpenSnag(1, 2, "damaged: thread pulled", shut_in=False),)
    with pytest.raises(Refused, match="a snag would be shut in"):
        refit(engine, Refit("2.2", as_it_came=True))
    # recorded when its step is on: what goes on over it waits, by every list and by the refit
    clear_snag(engine, ClearSnag(1, "helicoil"))
    refit(engine, Refit("2.2", as_it_came=True))
    record_snag(engine, RecordSnag("2", "leak", "weeps"))
    inspect(engine, Inspect("1", "serviceable"))
    (cover,) = [each for each in listed_steps(engine, ListSteps()) if each.step.number == 1]
    assert not cover.ready
    buy(engine, Buy("1 M6x25 hex bolt"))
    with pytest.raises(Refused, match="a snag would be shut in") as refusal:
        refit(engine, Refit("1"))
    assert refusal.value.facts["matters"][0].snag == 2
    assert refit(engine, Refit("1", anyway=True)).snags == (
        OpenSnag(2, 2, "leak: weeps", shut_in=True),
    )


def snags_by_step(context: Context) -> dict[int, list[int]]:
    return {
        each.step.number: [snag.number for snag in each.snags]
        for each in listed_steps(context, ListSteps())
        if each.snags
    }


def test_a_snag_of_one_side_is_of_the_step_of_that_side(context: Context) -> None:
    """The mudguard comes off first, so that it goes on last: a snag of no side is of that step."""
    strip(context, Strip("Front end", "mudguard", ["1 M6x20 hex bolt"]))
    strip(context, Strip("Front end", "right fork leg", ["1 M8x40 hex bolt"]))
    strip(context, Strip("Front end", "fork leg", ["1 M8x40 hex bolt @ left"]))
    for number, side in enumerate(("", "left", "RH", "rear", "right, in front"), 1):
        record_snag(context, RecordSnag("Front end", "damaged", f"bent {number}", side=side))
    assert snags_by_step(context) == {1: [1, 4], 2: [3, 5], 3: [2]}
    for step in ("2", "3"):
        with pytest.raises(Refused, match="a snag would be shut in"):
            refit(context, Refit(step, as_it_came=True))
    clear_snag(context, ClearSnag(2, "straightened"))
    assert refit(context, Refit("3", as_it_came=True)).snags == ()


def test_a_snag_of_the_other_side_is_of_no_step_there(context: Context) -> None:
    strip(context, Strip("Front end", "left fork leg", ["1 M8x40 hex bolt"]))
    record_snag(context, RecordSnag("Front end", "damaged", "bent", side="right"))
    assert snags_by_step(context) == {}
    assert refit(context, Refit("1", as_it_came=True)).snags == ()
    assert [snag.number for snag in snags(context, ListSnags()).snags] == [1]


def test_what_is_loose_and_given_to_no_step_goes_on_before_its_own_are_back(
    context: Context,
) -> None:
    """The item's own pieces are at the plater, so that it is short of none; a loose one serves."""
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    send(context, SendPieces(["1.2"], "Brindlecote Platers", "3"))
    buy(context, Buy("2 M6x25 hex bolt"))
    reply = refit(context, Refit("1.2", 2))
    assert [(each.item, each.quantity) for each in reply.items] == [("1.2", 2)]
