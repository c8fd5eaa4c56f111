"""The ledger: what it refuses, and what holds whatever happens."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stores.errors import BadValue, Refused
from stores.model.ledger import (
    MAX_QUANTITY,
    Act,
    ActKind,
    Balance,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    Stock,
    dependents,
    fallen_acts,
    record,
    reverse,
    standing_by,
    take,
)
from stores.planning.audit import Record, audit

CAME, BAG, BOX, MACHINE, LOST = 1, 2, 3, 4, 5
KINDS = {
    CAME: PlaceKind.CAME,
    BAG: PlaceKind.BAG,
    BOX: PlaceKind.BOX,
    MACHINE: PlaceKind.MACHINE,
    LOST: PlaceKind.LOST,
}
RAW = Condition.AS_REMOVED


def move(
    quantity: int, source: int, target: int, item: int = 1, **conditions: Condition
) -> Movement:
    return Movement(
        item,
        quantity,
        Spot(source, conditions.get("was", RAW)),
        Spot(target, conditions.get("now", conditions.get("was", RAW))),
    )


def stock(*moves: Movement) -> Stock:
    return Stock(Balance.of(moves), KINDS)


class TestMovement:
    @pytest.mark.parametrize("quantity", [0, -3, MAX_QUANTITY + 1, 10**9, 2.5, "4", True])
    def test_refuses_what_is_no_count(self, quantity: object) -> None:
        with pytest.raises(BadValue):
            move(quantity, CAME, BAG)  # type: ignore[arg-type]

    def test_needs_two_different_ends(self) -> None:
        with pytest.raises(BadValue, match="two different ends"):
            move(1, BAG, BAG)

    def test_an_inspection_is_a_movement_within_one_place(self) -> None:
        judged = move(2, BAG, BAG, was=RAW, now=Condition.CONDEMNED)
        balance = Balance.of([move(4, CAME, BAG), judged])
        assert balance.at(1, Spot(BAG, RAW)) == 2
        assert balance.at(1, Spot(BAG, Condition.CONDEMNED)) == 2


class TestDecide:
    def test_an_inside_place_never_goes_below_zero(self) -> None:
        with pytest.raises(Refused, match="place 2 would hold -1 of item 1"):
            record(stock(move(3, CAME, BAG)), ActKind.MOVE, [move(4, BAG, BOX)])

    def test_every_overdraft_is_named_at_once(self) -> None:
        with pytest.raises(Refused) as refusal:
            record(stock(), ActKind.MOVE, [move(1, BAG, BOX), move(1, MACHINE, BOX, item=2)])
        assert "place 2" in str(refusal.value)
        assert "place 4" in str(refusal.value)

    def test_an_outside_place_may_go_below_zero(self) -> None:
        act = record(stock(), ActKind.STRIP, [move(4, CAME, BAG)])
        assert Balance.of(act.movements).at(1, Spot(CAME, RAW)) == -4

    def test_only_the_balance_after_the_whole_act_counts(self) -> None:
        record(stock(), ActKind.MOVE, [move(2, BAG, BOX), move(2, CAME, BAG)])

    def test_take_prefers_conditions_then_places(self) -> None:
        there = stock(move(2, CAME, BAG), move(3, CAME, BOX, now=Condition.NEW))
        chosen = take(there, 1, 4, [BAG, BOX], [Condition.NEW, RAW])
        assert chosen == [(Spot(BOX, Condition.NEW), 3), (Spot(BAG, RAW), 1)]

    def test_take_refuses_when_fewer_are_there(self) -> None:
        with pytest.raises(Refused, match="5 of item 1 asked for, but only 2 there"):
            take(stock(move(2, CAME, BAG)), 1, 5, [BAG], [RAW])

    def test_take_says_what_else_is_there(self) -> None:
        there = stock(move(2, CAME, BAG), move(3, CAME, BAG, now=Condition.NEW))
        with pytest.raises(
            Refused, match="asked for, but none there besides 2 as removed and 3 new: nothing"
        ):
            take(there, 1, 2, [BAG], [Condition.SERVICEABLE])

    def test_an_act_whose_pieces_have_moved_on_cannot_be_undone(self) -> None:
        first = Act(ActKind.STRIP, (move(4, CAME, BAG),))
        with pytest.raises(Refused, match="moved on"):
            reverse(stock(*first.movements, move(1, BAG, BOX)), 7, first, {})

    def test_what_used_the_pieces_is_named_the_newest_first(self) -> None:
        first = Act(ActKind.STRIP, (move(4, CAME, BAG),))
        there = Act(ActKind.MOVE, (move(3, BAG, BOX),))
        back = Act(ActKind.MOVE, (move(3, BOX, BAG),))
        more = Act(ActKind.STRIP, (move(2, CAME, BAG),))
        of_more = Act(ActKind.MOVE, (move(2, BAG, BOX),))
        every = (first, there, back, more, of_more)
        now = stock(*(each for act in every for each in act.movements))
        later = list(enumerate(every[1:], start=2))
        assert dependents(now, first, later) == (3, 2)
        assert dependents(now, there, later[1:]) == (3,)
        assert dependents(now, more, later[3:]) == ()  # two of the four would do
        assert dependents(now, of_more, []) == ()


# Random histories: a pile of acts on a few items and places, those that are refused left out.

spots = st.builds(Spot, st.sampled_from(sorted(KINDS)), st.sampled_from(list(Condition)))
requests = st.lists(
    st.tuples(st.integers(1, 3), st.integers(1, 9), spots, spots), min_size=1, max_size=3
)
histories = st.lists(st.one_of(requests, st.integers(1, 12)), max_size=14)


def reversals(acts: dict[int, Act]) -> dict[int, int]:
    return {number: act.reverses for number, act in acts.items() if act.reverses is not None}


def play(history: list[object]) -> dict[int, Act]:
    acts: dict[int, Act] = {}
    balance = Balance()
    for request in history:
        number = len(acts) + 1
        try:
            if isinstance(request, int):
                if request not in acts:
                    continue
                act = reverse(Stock(balance, KINDS), request, acts[request], reversals(acts))
            else:
                moves = [
                    Movement(item, quantity, source, target)
                    for item, quantity, source, target in request  # type: ignore[attr-defined]
                    if source != target
                ]
                act = record(Stock(balance, KINDS), ActKind.MOVE, moves)
        except Refused:
            continue
        acts[number] = act
        for movement in act.movements:
            balance.apply(movement)
    return acts


@given(histories)
def test_whatever_is_recorded_sums_to_zero_and_no_inside_place_is_overdrawn(history) -> None:
    acts = play(history)
    balance = Balance.of(m for act in acts.values() for m in act.movements)
    for item in (1, 2, 3):
        assert balance.total(item) == 0
    for _, spot, count in balance:
        assert count > 0 or not KINDS[spot.place].inside


@given(histories)
def test_undoing_everything_leaves_nothing(history) -> None:
    acts = play(history)
    balance = Balance.of(m for act in acts.values() for m in act.movements)
    for number in sorted(acts, reverse=True):
        if number in fallen_acts(reversals(acts)) or acts[number].kind is ActKind.REVERSE:
            continue
        back = reverse(Stock(balance, KINDS), number, acts[number], reversals(acts))
        acts[len(acts) + 1] = back
        for movement in back.movements:
            balance.apply(movement)
    assert len(balance) == 0


def test_an_act_that_was_brought_back_can_be_undone_again() -> None:
    one = [(1, 4, Spot(CAME, RAW), Spot(BAG, RAW))]
    acts = play([one, one, 1, 3, 1])
    assert reversals(acts) == {3: 1, 4: 3, 5: 4}, "the act that brought it back is reversed"
    assert audit(_record(acts)) == []
    assert fallen_acts(reversals(acts)) == {1, 4}
    balance = Balance.of(m for act in acts.values() for m in act.movements)
    assert balance.at(1, Spot(BAG, RAW)) == 4
    for number in (1, 4):
        with pytest.raises(Refused, match=f"act {number} is undone already"):
            standing_by(reversals(acts), number)


@given(histories)
@example([[(1, 4, Spot(CAME, RAW), Spot(BAG, RAW))]] * 2 + [1, 3, 1])
def test_the_audit_finds_no_fault_in_what_the_ledger_let_through(history) -> None:
    acts = play(history)
    assert audit(_record(acts)) == []


@given(histories, st.data())
def test_the_audit_finds_a_movement_that_was_tampered_with(history, data) -> None:
    acts = play(history)
    reversals = [n for n, act in acts.items() if act.reverses is not None and act.movements]
    if not reversals:
        return
    number = data.draw(st.sampled_from(reversals))
    first, *rest = acts[number].movements
    wrong = Movement(first.item, first.quantity + 1, first.source, first.target)
    acts[number] = Act(ActKind.REVERSE, (wrong, *rest), reverses=acts[number].reverses)
    assert any("does not mirror" in fault.what for fault in audit(_record(acts)))


def _record(acts: dict[int, Act]) -> Record:
    return Record(acts, KINDS, {n: f"item {n}" for n in (1, 2, 3)}, {}, {})


class TestAudit:
    def test_every_kind_of_fault_is_named(self) -> None:
        acts = {
            1: Act(ActKind.STRIP, (move(4, CAME, BAG),)),
            2: Act(ActKind.MOVE, (move(5, BAG, BOX),)),
            3: Act(ActKind.REVERSE, (move(1, BOX, BAG),), reverses=2),
            4: Act(ActKind.REVERSE, (move(5, BOX, BAG),), reverses=2),
            5: Act(ActKind.MOVE, (move(1, BAG, 99, item=42),)),
            6: Act(ActKind.REVERSE, (), reverses=9),
        }
        record_ = Record(acts, KINDS, {1: "1.1 M6 bolt"}, {BAG: "A001N"}, {1: 3})
        said = "\n".join(map(str, audit(record_)))
        for words in (
            "act 2: leaves -1 of 1.1 M6 bolt (as removed) in A001N",
            "act 3: does not mirror act 2",
            "act 4: reverses act 2, as act 3 did",
            "act 5: moves item 42, which is not recorded",
            "act 5: names place 99, which is not recorded",
            "act 6: reverses act 9, which is not before it",
            "1.1 M6 bolt: found 3, but 4 came off the machine",
        ):
            assert words in said


@given(st.dictionaries(st.integers(2, 30), st.integers(1, 29)))
def test_a_reversal_of_a_reversal_lets_the_first_act_stand(reversals: dict[int, int]) -> None:
    tidy: dict[int, int] = {}
    for act in sorted(reversals):
        if reversals[act] < act and reversals[act] not in tidy.values():
            tidy[act] = reversals[act]
    gone = fallen_acts(tidy)
    by = {back: act for act, back in tidy.items()}

    def stands(act: int) -> bool:
        return act not in by or not stands(by[act])

    assert gone == {act for act in tidy.values() if not stands(act)}
