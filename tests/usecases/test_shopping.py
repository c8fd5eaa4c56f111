"""The shopping list, prices and spares, asked of the use-cases themselves.

By hand: 2 + 3 = 5 self-locking nuts are short. Spares at 10 per cent, at least 1: 10 % of 5 is 0.5,
rounded up 1, so 6 nuts. In packs of 4 at 3.10: 2 packs, 8 nuts, 6.20; 8 - 5 = 3 to spare.
No figure for spares has a source (common practice: some over); none are put on unasked.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated, StoresError
from stores.model.ledger import Condition
from stores.model.money import Price, cost_of, price_for, read_money, show_money
from stores.planning.shopping import Shortage, SpareRule
from stores.usecases.context import Context
from stores.usecases.figures import SetSump, set_sump
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.orders import (
    Buy,
    CancelOrder,
    PlaceOrder,
    ReceiveOrder,
    buy,
    cancel_order,
    place_order,
    receive_order,
)
from stores.usecases.places import LosePieces, lose
from stores.usecases.shopping import (
    SetCurrency,
    SetPrice,
    SetSpares,
    WhatToBuy,
    budget,
    prices,
    set_currency,
    set_price,
    set_spares,
    shopping,
    spares,
)
from stores.usecases.stock import UseUp, use_up
from stores.usecases.strip import Loose, Strip, loose, strip

NUT = "M8 self-locking nut"
PACKS = (8, 3, 4, 620)
"""5 nuts are 2 packs of 4: 8 nuts, 3 to spare, 6.20."""


@kept
def joints(context: Context) -> Context:
    strip(
        Context(context.store),
        Strip(
            "Engine/Clutch",
            "clutch cover",
            ["4 M6x25 hex bolt", "2 M8 nyloc nut", "1 gasket", "2 copper washer 10x16"],
        ),
    )
    strip(
        Context(context.store), Strip("Engine/Gearbox", "end cover", ["3 M8 nyloc nut", "1 gasket"])
    )
    set_currency(context, SetCurrency("EUR"))
    set_price(context, SetPrice("M8 nyloc nut", "3.10", "4", "Hollin Fasteners"))
    return context


def condemn(context: Context, ref: str, count: int) -> None:
    inspect(
        Context(context.store),
        Inspect(ref, Condition.CONDEMNED, quantity=count, reason="threads pulled"),
    )


def nuts(context: Context, assembly: str = "") -> Shortage:
    listed = shopping(context, WhatToBuy(assembly)).lines
    [line] = [each for each in listed if each.what == NUT]
    return line


def packs(context: Context, assembly: str = "") -> tuple[int, int, int, int | None]:
    line = nuts(context, assembly)
    return line.quantity, line.to_spare, line.pack, line.price_hundredths


def test_the_list_has_what_a_table_of_needs_less_loose_and_ordered_pieces_has(
    joints: Context,
) -> None:
    """The same sums by pandas: needs by specification, less what lies loose and what is ordered."""
    condemn(joints, "1.2", 3)
    loose(Context(joints.store), Loose("1 M6x25 hex bolt"))
    inspect(Context(joints.store), Inspect("0.1", Condition.SERVICEABLE))
    place_order(joints, PlaceOrder("Dyke", ["1 M8 nyloc nut"]))
    needs = pd.DataFrame(
        [("M6 x 25 hex bolt", 3), (NUT, 2), (NUT, 3), ("10 x 16 mm copper sealing washer", 2),
         ("gasket, for Engine / Clutch: clutch cover", 1),
         ("gasket, for Engine / Gearbox: end cover", 1)],
        columns=["what", "need"],
    ).groupby("what")["need"].sum()  # fmt: skip
    less = pd.Series({NUT: 1, "M6 x 25 hex bolt": 1})
    left = needs.sub(less, fill_value=0).astype(int)
    listed = shopping(joints, WhatToBuy())
    assert {line.what: line.quantity - line.to_spare for line in listed.lines} == left.to_dict()
    assert {line.what: (line.loose, line.on_order) for line in listed.lines} == {
        what: (int("bolt" in what), int(what == NUT)) for what in left.index
    }


def test_whole_packs_and_spares_by_rule(joints: Context) -> None:
    assert packs(joints) == PACKS
    set_spares(joints, SetSpares("nut", 10, least=1))
    assert packs(joints) == PACKS  # 6 nuts: still 2 packs
    set_spares(joints, SetSpares("self-locking nut", 80))
    # 80 % of 5 is 4: 9 nuts, 3 packs of 4 are 12, 3 x 3.10 = 9.30; the longer name counts.
    assert packs(joints) == (12, 7, 4, 930)
    set_spares(joints, SetSpares("self-locking nut", 80, most_price="0.70"))
    # 3.10 / 4 = 0.775 a piece is more than 0.70: no spares, 2 packs.
    assert packs(joints) == PACKS
    undo(Context(joints.store), Undo())
    assert nuts(joints).quantity == 12
    set_spares(joints, SetSpares("self-locking nut", 0))
    assert packs(joints) == PACKS
    assert [rule.name for rule in spares(joints).rules] == ["nut"]


@pytest.mark.parametrize(
    ("need", "per_cent", "least", "count"), [(12, 10, 1, 2), (10, 10, 0, 1), (4, 10, 3, 3),
                                             (4, 0, 0, 0), (1, 100, 0, 1)]
)  # fmt: skip
def test_spares_round_up(need: int, per_cent: int, least: int, count: int) -> None:
    """10 % of 12 is 1.2: 2. 10 % of 10 is 1. 10 % of 4 is 0.4: 1, but at least 3."""
    assert SpareRule("screw", per_cent, least).spares(need) == count


def test_the_chance_of_loss_is_the_records_own(joints: Context) -> None:
    """By hand: 1 of 5 nuts is lost, 20 %. All 5 are renewed as a rule; 20 % of 5 is 1: 6 nuts are
    2 packs of 4."""
    lose(Context(joints.store), LosePieces("1.3", quantity=1))
    said = set_spares(joints, SetSpares("nut", as_lost=True))
    assert (said.kind, said.per_cent, said.least, said.most_price) == ("nut", 20, 0, None)
    [rule] = spares(joints).rules
    assert (rule.per_cent, rule.lost, rule.of) == (20, 1, 5)
    assert packs(joints) == PACKS


def test_a_gasket_gets_no_spare(joints: Context) -> None:
    """What has no size is of one joint: a second one would fit nowhere else."""
    set_spares(joints, SetSpares("gasket", 100, least=2))
    lines = shopping(joints, WhatToBuy()).lines
    assert [line.quantity for line in lines if line.kind == "gasket"] == [1, 1]


def test_chosen_assemblies_only(joints: Context) -> None:
    listed = shopping(joints, WhatToBuy("Engine / Gearbox"))
    assert {line.what for line in listed.lines} == {NUT, "gasket, for Engine / Gearbox: end cover"}
    assert [each.item for each in listed.measure_first] == ["2.1"]
    assert nuts(joints, "engine/gearbox").quantity == 4  # 3 nuts: one pack
    with pytest.raises(NotFound, match="nothing came off there") as nowhere:
        shopping(joints, WhatToBuy("Sidecar"))
    assert nowhere.value.facts == {"assembly": "Sidecar"}


def test_one_supplier_only(joints: Context) -> None:
    listed = shopping(joints, WhatToBuy(supplier="hollin"))
    assert [line.what for line in listed.lines] == [NUT]
    assert (listed.measure_first, listed.supplies) == ((), ())


def test_what_is_on_order_serves_what_goes_on_first_whatever_is_asked_for(joints: Context) -> None:
    """By hand: 2 nuts short in the clutch (step 1), 3 in the gearbox (step 2), which goes on first;
    4 on order: 3 of them are the gearbox's, 1 the clutch's, which is short of 1, in a pack of 4."""
    place_order(joints, PlaceOrder("Hollin", ["4 M8 nyloc nut"]))
    line = nuts(joints, "Engine/Clutch")
    assert (line.on_order, line.quantity, line.to_spare) == (1, 4, 3)
    gearbox = shopping(joints, WhatToBuy("Engine/Gearbox")).lines
    assert NUT not in [line.what for line in gearbox]
    assert (nuts(joints).on_order, nuts(joints).quantity) == (4, 4)


def test_not_before_it_is_measured(joints: Context) -> None:
    first = shopping(joints, WhatToBuy()).measure_first
    assert [(each.item, each.quantity) for each in first] == [("1.1", 1), ("1.2", 4), ("2.1", 1)]
    inspect(Context(joints.store), Inspect("1.2", Condition.SERVICEABLE, quantity=3))
    condemn(joints, "1.2", 1)
    listed = shopping(joints, WhatToBuy())
    assert [each.item for each in listed.measure_first] == ["1.1", "2.1"]
    assert ("M6 x 25 hex bolt", 1) in [(line.what, line.quantity) for line in listed.lines]


def test_what_is_inspected_first_is_by_assembly(joints: Context) -> None:
    """By hand: 1.1 has 1 piece and 1.2 has 4 in the clutch, 2.1 has 1 in the gearbox."""
    groups = shopping(joints, WhatToBuy()).to_inspect
    assert [(each.where, each.pieces) for each in groups] == [
        ("Engine / Clutch", 5),
        ("Engine / Gearbox", 1),
    ]


def test_the_list_is_divided_by_supplier_and_costs_what_its_lines_cost(joints: Context) -> None:
    condemn(joints, "1.2", 4)
    set_price(joints, SetPrice("M6x25 hex bolt", "0.35", supplier="Dyke"))
    listed = shopping(joints, WhatToBuy())
    assert listed.divided
    # 4 bolts at 0.35 are 1.40; the nuts 6.20; gaskets and washers have no price.
    assert [(each.supplier, len(each.lines), each.cost) for each in listed.sections] == [
        ("Dyke", 1, 140), ("Hollin Fasteners", 1, 620), ("", 3, 0),
    ]  # fmt: skip
    costs = budget(joints)
    assert (costs.machine, costs.came, costs.awaited, costs.to_come, costs.total) == (
        "Orrick Plover", 0, 0, 760, 760,
    )  # fmt: skip
    assert len(costs.unpriced) == 3


def test_the_next_length_up_is_said_where_a_washer_may_take_it_up(joints: Context) -> None:
    """By hand: M6 x 25 is followed by 30 in ISO 888; 1 1/2 in by 1 5/8 in eighths: 3.175 mm."""
    condemn(joints, "1.2", 4)
    strip(
        Context(joints.store),
        Strip(
            "Engine/Magneto",
            "end cap",
            ["3 1/4-26 BSF x 1 1/2 in hex bolt", "2 M5x12 countersunk screw", "1 M8 x 30 stud"],
        ),
    )
    strip(Context(joints.store), Strip("Brakes/Front", "brake anchor", ["2 M8x30 hex bolt"]))
    for ref, count in (("3.2", 3), ("3.3", 2), ("3.4", 1), ("4.2", 2)):
        condemn(joints, ref, count)

    def instead() -> dict[str, tuple[str, int]]:
        lines = shopping(joints, WhatToBuy()).lines
        return {line.what: (line.instead, line.longer_in_hand) for line in lines}

    listed = instead()
    assert listed["M6 x 25 hex bolt"] == (
        "M6 x 30 hex bolt, with 5 mm of washers; not in a blind hole",
        0,
    )
    assert listed["1/4-26 BSF x 1 1/2 hex bolt"][0].startswith(
        "1/4-26 BSF x 1 5/8 hex bolt, with 3.2 mm of washers"
    )
    # no place for a washer; a stud is no screw; and nothing stands in at a brake
    for none in ("M5 x 12 countersunk screw", "M8 x 30 stud", "M8 x 30 hex bolt"):
        assert listed[none] == ("", 0)
    loose(Context(joints.store), Loose("3 M6x30 hex bolt"))
    inspect(Context(joints.store), Inspect("0.1", Condition.SERVICEABLE, quantity=3))
    assert instead()["M6 x 25 hex bolt"][1] == 3
    # fine against coarse never, whatever the length
    loose(Context(joints.store), Loose("4 M6x0.75x30 hex bolt"))
    inspect(Context(joints.store), Inspect("0.2", Condition.SERVICEABLE, quantity=4))
    assert instead()["M6 x 25 hex bolt"][1] == 3


def test_a_price_is_undone_and_its_undoing_too(joints: Context) -> None:
    """Each has the word before it back; a price whose undoing is undone counts again."""
    cheaper = set_price(joints, SetPrice("M8 nyloc nut", "2.80", "4", "Hollin"))
    assert (cheaper.supplier, cheaper.pack, cheaper.price, cheaper.currency) == (
        "Hollin Fasteners", 4, 280, "EUR",
    )  # fmt: skip
    assert [price.price for price in prices(joints).prices] == [280]
    undoing = undo(Context(joints.store), Undo()).act
    assert [price.price for price in prices(joints).prices] == [310]
    undo(Context(joints.store), Undo(undoing))
    assert [price.price for price in prices(joints).prices] == [280]
    assert set_price(joints, SetPrice("M8 nyloc nut", "none", "4", "Hollin")).price is None
    assert prices(joints).prices == ()
    assert audit(Context(joints.store)).faults == ()


def test_the_cheapest_way_is_taken() -> None:
    some = [Price("M6 nut", "Hollin", 50, 310), Price("M6 nut", "Dyke", 1, 12)]
    # 20 nuts: a pack of 50 for 3.10, or 20 at 0.12 = 2.40; 30 nuts: 3.10, or 3.60.
    assert price_for(some, "M6 nut", 20) == some[1]
    assert price_for(some, "M6 nut", 30) == some[0]
    assert price_for(some, "M6 nut", 20, "Hollin Fasteners") == some[0]
    assert price_for(some, "M8 nut", 20) is None
    assert cost_of(some[0], 50) == (1, 310)
    assert cost_of(some[0], 51) == (2, 620)


@pytest.mark.parametrize(
    ("text", "hundredths"),
    [("0", 0), ("0.07", 7), ("0.1", 10), ("0,10", 10), ("4,2", 420), ("12", 1200),
     ("12.34", 1234), ("20000000", 2_000_000_000)],
)  # fmt: skip
def test_sums_are_whole_hundredths(text: str, hundredths: int) -> None:
    assert read_money(text) == hundredths


@pytest.mark.parametrize("text", ["", "-1", "1.234", "1e3", "20000000.01", "four"])
def test_no_sum(text: str) -> None:
    with pytest.raises(BadValue):
        read_money(text)


def test_a_sum_is_written_with_its_currency() -> None:
    assert show_money(1234567, "EUR") == "12,345.67 EUR"


def test_a_trial_gives_the_same_reply_and_writes_nothing(joints: Context) -> None:
    asks: list[tuple[Callable[[Context, Any], Any], Any]] = [
        (set_price, SetPrice("M8 nyloc nut", "2.80", "4", "Hollin")),
        (set_currency, SetCurrency("GBP")),
        (set_spares, SetSpares("nut", 80, most_price="5")),
    ]
    for do, ask in asks:
        before = prices(joints), spares(joints), shopping(joints, WhatToBuy())
        tried = do(joints, replace(ask, trial=True))
        assert (prices(joints), spares(joints), shopping(joints, WhatToBuy())) == before
        assert replace(tried, trial=False) == do(joints, ask)
        assert (prices(joints), spares(joints), shopping(joints, WhatToBuy())) != before


def test_the_same_key_twice_is_one_act(joints: Context) -> None:
    for do, ask in (
        (set_price, SetPrice("M8 nyloc nut", "2.80", key="1")),
        (set_currency, SetCurrency("GBP", key="2")),
        (set_spares, SetSpares("nut", 10, key="3")),
    ):
        act = do(joints, ask).act  # type: ignore[operator]
        with pytest.raises(Repeated) as repeated:
            do(joints, ask)  # type: ignore[operator]
        assert repeated.value.act == act


@pytest.mark.parametrize(
    ("do", "ask", "fact", "facts", "hint"),
    [
        (set_price, SetPrice("M6 nut", "much"), "not a sum of money", {"typed": "much"}, None),
        (set_price, SetPrice("M6 nut", "20000000.01"), "sum too large", {}, None),
        (
            set_price, SetPrice("M6 nut", " "), "what does it cost", {},
            Hint("set_price", what="M6 nut"),
        ),
        (set_price, SetPrice("4 M6 nut", "1"), "a price is of a pack", {}, None),
        (set_price, SetPrice("M6 nut", "1", "a few"), "no count", {"typed": "a few"}, None),
        (set_currency, SetCurrency("euro"), "not a currency", {"typed": "euro"}, None),
        (
            set_spares, SetSpares("screw"), "how many per cent", {},
            Hint("set_spares", kind="screw", per_cent=10),
        ),
        (
            set_spares, SetSpares("screw", 5, as_lost=True), "lost already says how many", {},
            Hint("set_spares", kind="screw"),
        ),
        (
            set_spares, SetSpares("", as_lost=True), "lost already says how many", {},
            Hint("set_spares", kind="screw"),
        ),
        (set_spares, SetSpares("screw", 1001), "per cent out of range", {"per_cent": 1001}, None),
        (set_spares, SetSpares("screw", -1), "per cent out of range", {"per_cent": -1}, None),
        (set_spares, SetSpares("screw", 5, 10_001), "least out of range", {"least": 10001}, None),
        (set_spares, SetSpares("screw", 5, most_price="-1"), "not a sum of money", {}, None),
    ],
)  # fmt: skip
def test_what_is_refused_says_the_facts(
    joints: Context,
    do: Callable[[Context, Any], Any],
    ask: Any,
    fact: str,
    facts: dict[str, Any],
    hint: Hint | None,
) -> None:
    before = prices(joints), spares(joints)
    with pytest.raises((Refused, BadValue)) as refused:
        do(joints, ask)
    assert (refused.value.fact, refused.value.hint) == (fact, hint)
    assert refused.value.facts | facts == refused.value.facts
    assert (prices(joints), spares(joints)) == before


def test_cans_that_are_no_sizes_are_refused(joints: Context) -> None:
    for cans in (";", "4 bolts"):
        with pytest.raises(StoresError):
            shopping(joints, WhatToBuy(cans=cans))


def oils(context: Context) -> list[tuple[int | None, str]]:
    return [(line.quantity, line.text) for line in shopping(context, WhatToBuy()).supplies]


@kept
def gearbox(context: Context) -> Context:
    """A gearbox that takes 1200 ml dry, so that two cans of 1 l or one and a half make it."""
    set_sump(context, SetSump("gearbox", dry="1200 ml", oil="SAE 140"))
    return context


@pytest.mark.parametrize(
    "typed", ["2 x 1 l can SAE 140", "2 off SAE 140, 1 l", "2 off 1 litre can of SAE 140 gear oil"]
)
def test_oil_bought_is_off_the_list(gearbox: Context, typed: str) -> None:
    assert oils(gearbox) == [(1, "SAE 140, 1 l"), (1, "SAE 140, 500 ml")]
    reply = buy(gearbox, Buy(typed))
    assert (reply.quantity, reply.unit, reply.pack, reply.put[0].quantity) == (
        2000,
        "ml",
        1000,
        2000,
    )
    assert oils(gearbox) == []
    undo(gearbox, Undo())
    assert len(oils(gearbox)) == 2


def test_cans_on_record_as_pieces_are_off_the_list(gearbox: Context) -> None:
    """As they were written down before oil was counted by its volume."""
    loose(gearbox, Loose("2 off 1 l can SAE 140", to="bench"))
    inspect(gearbox, Inspect("0.1", "serviceable"))
    assert oils(gearbox) == []


def test_a_part_of_the_oil_is_off_the_list_and_what_is_another_oil_is_not(gearbox: Context) -> None:
    buy(gearbox, Buy("2 x 1 l can SAE 90"))
    buy(gearbox, Buy("1 l can SAE 140"))
    (line,) = shopping(gearbox, WhatToBuy()).supplies
    assert (line.quantity, line.text) == (1, "SAE 140, 500 ml")
    assert line.why == "1,200 ml needed, less 1,000 ml bought or on order, 300 ml over"
    use_up(gearbox, UseUp("0.2", "1 l", "gone off"))
    assert len(oils(gearbox)) == 2
    set_sump(gearbox, SetSump("axle", dry="300 ml", oil="SAE 90 GL-5"))
    assert oils(gearbox)[-1] == (1, "SAE 90 GL-5, 500 ml")  # the can of 90 does not say GL-5


def test_oil_that_goes_by_a_name_is_off_the_list_too(context: Context) -> None:
    set_sump(context, SetSump("steering box", dry="400 ml", oil="Brindle red"))
    assert oils(context) == [(None, "Brindle red")]
    buy(context, Buy("250 ml can Brindle red"))
    (line,) = shopping(context, WhatToBuy()).supplies
    assert line.why == "400 ml needed, less 250 ml bought or on order"
    buy(context, Buy("250 ml can Brindle red"))
    assert oils(context) == []
    buy(context, Buy("5 off L bracket"))
    assert oils(context) == []


def test_an_order_of_the_list_has_the_oil_and_takes_it_off(gearbox: Context) -> None:
    set_price(gearbox, SetPrice("SAE 140, 1 l", "9.50", supplier="Hollin"))
    placed = place_order(gearbox, PlaceOrder("Hollin", listed=True))
    assert [(line.quantity, line.what, line.price_hundredths) for line in placed.lines] == [
        (1000, "ml of SAE 140", 950), (500, "ml of SAE 140", None),
    ]  # fmt: skip
    assert oils(gearbox) == []
    with pytest.raises(Refused, match="nothing to order"):
        place_order(gearbox, PlaceOrder("Hollin", listed=True))
    receive_order(gearbox, ReceiveOrder(placed.order, [1]))
    assert oils(gearbox) == []
    cancel_order(gearbox, CancelOrder(placed.order))
    assert oils(gearbox) == [(1, "SAE 140, 500 ml")]
