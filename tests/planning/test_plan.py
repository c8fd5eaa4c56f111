"""The plan: what is ready, what waits for what, what to buy or chase first, when it is finished."""

from dataclasses import replace
from datetime import date
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.errors import NotFound
from stores.handbook.fastener import parse
from stores.model.items import Description, Holding, Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import (
    CheckPoint,
    HowTight,
    Refits,
    Role,
    Signature,
    StepNotes,
    Tightened,
)
from stores.planning.order import Said
from stores.planning.rebuild import Plan, chase_list, plan, progress
from stores.planning.status import Awaited, BlockerKind, State, status_of
from stores.planning.timing import outlook, pace
from stores.wording.status import flag, said

TODAY = date(2027, 3, 1)


def item(
    step: int,
    assembly: str,
    text: str = "4 M6 x 25 bolt",
    *,
    part: str = "cover",
    condition: Condition = Condition.SERVICEABLE,
    here: int | None = None,
    firm: int = 0,
    fitted: int = 0,
    renew: str = "",
    line: int = 1,
) -> Item:
    count, _, words = text.partition(" ")
    wanted = int(count)
    read = parse(words)
    what = Description(
        words, read.kind.value, renew, read.thread.designation if read.thread else ""
    )
    held = [
        Holding(
            wanted - firm - fitted if here is None else here, "A001N", PlaceKind.BAG, condition
        ),
        Holding(firm, "Dyke Plating", PlaceKind.FIRM, Condition.AS_REMOVED),
        Holding(fitted, "Plover", PlaceKind.MACHINE, condition),
    ]
    return Item(
        step * 100 + line, line, Step(step, "Plover", assembly, part), what, wanted, what, wanted,
        renew, holdings=tuple(one for one in held if one.quantity > 0),
    )  # fmt: skip


def planned(items: list[Item], *args: Any, **more: Any) -> Plan:
    return plan(status_of(items, *args, **more))


class TestStates:
    def test_the_last_one_off_is_ready_and_the_one_under_it_waits(self) -> None:
        made = planned([item(1, "Engine"), item(2, "Engine"), item(3, "Frame")])
        assert [(each.number, each.state) for each in made.steps] == [
            (3, State.READY), (2, State.READY), (1, State.WAITS),
        ]  # fmt: skip
        assert made.by_number[1].behind == (2,)
        assert made.by_number[2].unlocks == (1,)

    @pytest.mark.parametrize(
        ("change", "want"),
        [
            ({"here": 3}, BlockerKind.BUY),
            ({"firm": 1}, BlockerKind.CHASE),
            ({"condition": Condition.AS_REMOVED}, BlockerKind.INSPECT),
            ({"condition": Condition.QUARANTINE}, BlockerKind.DECIDE),
            ({"condition": Condition.REPAIRABLE}, BlockerKind.REPAIR),
        ],
    )
    def test_what_a_step_waits_for(self, change: dict[str, Any], want: BlockerKind) -> None:
        made = planned([item(1, "Engine", **change)])
        assert made.steps[0].state is State.WAITS
        assert [matter.kind for matter in made.steps[0].matters] == [want]
        assert made.steps[0].at_hand is (want not in (BlockerKind.BUY, BlockerKind.CHASE))

    def test_pieces_on_order_are_chased_and_only_the_rest_is_bought(self) -> None:
        """Of 4 bolts 1 is here; 2 are on order for the 9th: 1 is left to buy."""
        due = date(2027, 3, 9)
        coming = [Awaited("Tallow Fasteners", 2, text="M6 x 25 bolt", due=due, ordered=True)]
        made = planned([item(1, "Engine", here=1)], awaited=coming)
        assert [said(matter) for matter in made.steps[0].matters] == [
            "chase 2 M6 x 25 bolt on order from Tallow Fasteners, promised 9 Mar 2027",
            "buy 1 M6 x 25 bolt for 1.1",
        ]

    def test_an_order_for_any_joint_goes_to_the_first_that_needs_it(self) -> None:
        coming = [Awaited("Tallow", 4, text="M6 x 25 bolt", ordered=True)]
        made = planned([item(1, "A", here=2), item(2, "B", here=0)], awaited=coming)
        wants = {each.number: [m.kind for m in each.matters] for each in made.steps}
        assert wants == {2: [BlockerKind.CHASE], 1: [BlockerKind.BUY]}


class TestShutIn:
    def notes(self, **more: Any) -> Refits:
        return Refits({2: StepNotes(**more)})

    def test_an_unsigned_brake_an_unmeasured_clearance_and_a_loose_bolt_hold_the_next(self) -> None:
        items = [item(1, "Brakes", part="drum"), item(2, "Brakes", part="shoe", fitted=4)]
        point = CheckPoint(1, 2, "end float", unit="mm")
        loose = Refits(
            {2: StepNotes(points=(point,))},
            {201: Tightened(201, 4, HowTight.FINGER)},
        )
        made = planned(items, loose)
        assert made.by_number[1].state is State.WAITS
        assert {matter.kind for matter in made.by_number[1].matters} == {
            BlockerKind.MEASURE, BlockerKind.TIGHTEN, BlockerKind.SIGN,
        }  # fmt: skip
        done = Refits(
            {
                2: StepNotes(
                    points=(replace(point, found=1),),  # type: ignore[arg-type]
                    signatures=(Signature(2, Role.SECOND, "J. Teal"),),
                )
            },
            {201: Tightened(201, 4, HowTight.TIGHT)},
        )
        assert planned(items, done).by_number[1].state is State.READY

    def test_an_open_snag_of_an_assembly_stands_at_its_last_step(self) -> None:
        items = [item(1, "Engine"), item(2, "Engine / Top"), item(3, "Frame")]
        made = planned(items, snags=[Snag(1, "leak", "weeps", assembly="Engine")])
        wants = {each.number: [m.kind for m in each.matters] for each in made.steps}
        assert wants == {3: [], 2: [], 1: [BlockerKind.CLEAR]}
        own = planned(items, snags=[Snag(1, "leak", "weeps", assembly="Engine", step=2)])
        assert [said(m) for m in own.by_number[2].matters] == ["clear snag 1: leak: weeps"]

    def test_a_snag_of_what_is_all_back_on_is_still_said(self) -> None:
        made = planned([item(1, "Engine", fitted=4)], snags=[Snag(4, "noise", "knocks")])
        assert [snag.number for snag in made.loose_snags] == [4]
        made = planned(
            [item(1, "Engine", fitted=4)], snags=[Snag(4, "noise", "knocks", assembly="Engine")]
        )
        (owed,) = made.steps[0].stage.status.owes
        assert said(owed) == "clear snag 4: noise: knocks"


class TestFlags:
    def test_a_gasket_marked_for_reuse(self) -> None:
        made = planned([item(1, "Engine", "1 gasket", renew="crushed once")])
        assert tuple(map(flag, made.steps[0].flags)) == (
            "1.1 gasket is renewed (crushed once), but 1 old is marked for use or fitted",
        )

    def test_no_torque_figure(self) -> None:
        made = planned([item(1, "Engine", "2 M6 nut"), item(2, "Engine", "2 M6 x 25 bolt 8.8")])
        assert {each.number: each.bare for each in made.steps} == {1: ("1.1",), 2: ()}

    def test_a_clearance_outside_its_limits(self) -> None:
        point = CheckPoint(1, 1, "end float", high=1, unit="mm", found=2)  # type: ignore[arg-type]
        made = planned([item(1, "Engine")], Refits({1: StepNotes(points=(point,))}))
        assert "end float: 2 mm measured, limits at most 1 mm" in map(flag, made.steps[0].flags)


@st.composite
def machines(draw: st.DrawFn) -> tuple[list[Item], list[Said]]:
    names = ("Frame", "Engine", "Engine / Top")
    conditions = [Condition.SERVICEABLE] * 3 + [Condition.AS_REMOVED, Condition.QUARANTINE]
    count = draw(st.integers(1, 8))
    items = [
        item(
            number,
            draw(st.sampled_from(names)),
            "2 M6 x 25 bolt",
            condition=draw(st.sampled_from(conditions)),
            here=draw(st.sampled_from((2, 2, 2, 1))),
        )
        for number in range(1, count + 1)
    ]
    pairs = list(combinations(range(1, count + 1), 2))
    said = [
        Said(*draw(st.sampled_from([(a, b), (b, a)])), free=draw(st.booleans()))
        for a, b in (draw(st.lists(st.sampled_from(pairs), max_size=3)) if pairs else [])
    ]
    return items, said


def fit(one: Item) -> Item:
    return replace(
        one, holdings=(Holding(one.wanted, "Plover", PlaceKind.MACHINE, Condition.SERVICEABLE),)
    )


@settings(max_examples=150)
@given(machines(), st.data())
def test_doing_what_is_ready_ends_with_all_done_or_a_named_blockage(
    machine: tuple[list[Item], list[Said]], data: st.DataObject
) -> None:
    items, said = machine
    while True:
        made = planned(items, said=said)
        at = made.ranks
        for each in made.steps:  # the order respects every constraint that is not on a ring
            assert all(at[first] < at[each.number] for first in made.graph.before[each.number])
        ready = made.of(State.READY)
        if not ready:
            break
        number = data.draw(st.sampled_from(ready)).number
        items = [fit(one) if one.step.number == number else one for one in items]
    for each in made.of(State.WAITS):  # each is held by a matter of its own or of one before it
        held = [each.number, *made.graph.all_before(each.number)]
        assert any(made.by_number[number].matters for number in held)
    if not made.of(State.WAITS):
        assert all(one.to_fit == 0 for one in items)
    # The list to buy or chase frees everything that hangs on somebody else, each step once.
    freed = [number for chase in chase_list(made) for number in chase.steps]
    assert len(freed) == len(set(freed))
    assert set(freed) >= {
        each.number
        for each in made.of(State.WAITS)
        if any(m.kind is BlockerKind.BUY for m in each.matters)
    }


def test_the_list_to_chase_begins_with_what_frees_most_worked_by_hand() -> None:
    """Engine: 3 is at the plater, 2 and 1 come after it and want nothing else: 3 steps for one
    thing. Frame: 5 and 4 want a bolt each, of different sizes: 5 frees itself, 4 frees itself."""
    items = [
        item(1, "Engine"), item(2, "Engine"), item(3, "Engine", firm=4),
        item(4, "Frame", "4 M8 x 20 bolt", here=3), item(5, "Frame", "4 M8 x 30 bolt", here=3),
    ]  # fmt: skip
    first, second, third = chase_list(planned(items))
    assert (first.steps, [m.kind for m in first.matters]) == ((3, 2, 1), [BlockerKind.CHASE])
    assert second.steps == (5,)
    assert third.steps == (4,)


class TestOutlook:
    def plan(self) -> Plan:
        due = date(2027, 3, 11)
        return planned(
            [item(1, "Engine", firm=4), item(2, "Frame"), item(3, "Frame")],
            Refits({n: StepNotes(minutes=120) for n in (1, 2, 3)}),
            awaited=[Awaited("Dyke Plating", 4, item=101, due=due)],
        )

    def test_worked_by_hand(self) -> None:
        """14 hours a week are 2 a day: each step of 2 hours takes a day. Frame 3 and 2 are done on
        day 2; the plating is there on day 10, so the engine is finished on day 11, 12 March. Were
        it here now, all would be done on day 3: it holds up 8 days and must not be late."""
        made = outlook(self.plan(), TODAY, hours_a_week=14)
        assert [(bar.node, bar.start, bar.finish) for bar in made.bars] == [
            (3, 0, 1), (2, 1, 2), (1, 10, 11),
        ]  # fmt: skip
        assert made.finish == date(2027, 3, 12)
        (held,) = made.held
        assert (held.name, held.days, held.spare) == ("Dyke Plating", 8, 0)
        assert made.minutes == 360
        assert made.guessed == 0

    def test_a_fortnight_late(self) -> None:
        made = outlook(self.plan(), TODAY, hours_a_week=14, late={"dyke": 14})
        assert made.finish == date(2027, 3, 26)
        with pytest.raises(NotFound, match="Dyke Plating"):
            outlook(self.plan(), TODAY, late={"Nobody": 3})

    def test_what_has_no_date_is_said(self) -> None:
        made = outlook(planned([item(1, "Engine", here=1), item(2, "Frame", firm=2)]), TODAY)
        assert made.undated == ("Dyke Plating", "1 line to buy")

    def test_progress_by_assembly(self) -> None:
        made = planned([item(1, "Engine", fitted=4), item(2, "Engine"), item(3, "Frame", firm=1)])
        rows = progress(each.stage for each in made.steps)
        assert [(p.assembly, p.done, p.ready, p.waits, p.fitted, p.to_fit)
                for p in sorted(rows, key=lambda row: row.assembly)] == [
            ("Engine", 1, 1, 0, 4, 4), ("Frame", 0, 0, 1, 0, 4),
        ]  # fmt: skip

    def test_the_pace_worked_by_hand(self) -> None:
        """12 pieces on the 15th and 8 on the 25th of February: 20 in the 15 days to the 1st of
        March; 40 left take twice 15 days, to the 31st."""
        days = {date(2027, 2, 15): 12, date(2027, 2, 25): 8, date(2026, 11, 1): 500}
        going = pace(days, 40, TODAY)
        assert going is not None
        assert (going.pieces, going.days, going.finish) == (20, 15, date(2027, 3, 31))
        assert going.a_week == pytest.approx(20 * 7 / 15)
        assert pace({}, 40, TODAY) is None
