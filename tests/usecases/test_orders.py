"""Orders from end to end: placed, received in part, sent back, cancelled, priced; undone; bought.

Sums are worked by hand beside each check; the rest is common practice of any stores: what is
ordered equals what came, less what went back, plus what is still to come and what was cancelled.
Short are 5 self-locking nuts at two joints (2 and 3, renewed as a rule), two gaskets and 2 copper
washers: 9 pieces.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated, StoresError
from stores.model.ledger import Condition, PlaceKind
from stores.model.orders import OrderLine
from stores.planning.status import Awaited
from stores.storage.items import read_items
from stores.storage.orders import awaited_from_suppliers
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import (
    Buy,
    CancelOrder,
    LineOfOrder,
    ListOrders,
    OrderOnRecord,
    PlaceOrder,
    PriceOrderLine,
    PromiseOrder,
    ReceiveOrder,
    SendToSupplier,
    buy,
    cancel_order,
    one_order,
    orders,
    place_order,
    price_order_line,
    promise_order,
    receive_order,
    send_to_supplier,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import (
    SetCurrency,
    SetPrice,
    WhatToBuy,
    budget,
    set_currency,
    set_price,
    shopping,
)
from stores.usecases.strip import Strip, strip

NUT = "M8 self-locking nut"
EVERYTHING = ListOrders(everything=True)


NOT_A_DAY = "not a day: {!r}; write it as 3 Nov 2026 or 3/11/2026"


@kept
def short(context: Context) -> Context:
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
    return context


def to_buy(context: Context) -> dict[str, int]:
    return {line.what: line.quantity for line in shopping(context, WhatToBuy()).lines}


def held(context: Context, ref: str) -> dict[tuple[str, str], int]:
    """Where the pieces of an item are in the workshop and on the machine, in which condition."""
    with context.reading() as connection:
        [item] = [each for each in read_items(connection) if each.ref == ref]
    return {
        (holding.place, holding.condition.value): holding.quantity
        for holding in item.holdings
        if holding.kind.in_hand or holding.kind is PlaceKind.MACHINE
    }


def test_what_is_on_order_is_not_bought_again(short: Context) -> None:
    assert sum(to_buy(short).values()) == 9
    placed = place_order(
        short,
        PlaceOrder("Hollin Fasteners", ["3 M8 nyloc nut", "1.4"], promised="2027-01-15"),
    )
    assert (placed.order, placed.supplier, placed.promised, placed.total) == (
        1, "Hollin Fasteners", "2027-01-15", None,
    )  # fmt: skip
    assert [(line.line, line.what, line.item, line.quantity) for line in placed.lines] == [
        (1, NUT, None, 3), (2, "gasket", "1.4", 1),
    ]  # fmt: skip
    assert to_buy(short) == {
        NUT: 2,  # 2 + 3 wanted, less 3 on order
        "gasket, for Engine / Gearbox: end cover": 1,
        "10 x 16 mm copper sealing washer": 2,
    }
    undo(Context(short.store), Undo())
    assert sum(to_buy(short).values()) == 9
    assert orders(short, EVERYTHING).orders == ()


def test_an_order_reads_back_as_it_was_placed(short: Context) -> None:
    set_currency(short, SetCurrency("eur"))
    ask = PlaceOrder(
        "Hollin", ["8 M8 nyloc nut = 6.20"], carriage="3,95", note="their 4711",
        promised="2027-01-15",
    )  # fmt: skip
    place_order(replace(short, day="2026-03-14"), ask)
    assert one_order(short, 1) == OrderOnRecord(
        1, "Hollin", "Orrick Plover", "2026-03-14", "ordered", "2027-01-15", 8, "EUR", 395, 1015,
        "their 4711", (LineOfOrder(1, NUT, None, 8, 0, 0, 0, 8, 620),),
    )  # fmt: skip
    assert orders(short, ListOrders()).orders == (one_order(short, 1),)


def test_a_trial_gives_the_same_reply_and_writes_nothing(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut"]))
    asks: list[tuple[Callable[[Context, Any], Any], Any]] = [
        (place_order, PlaceOrder("Hollin", ["1.4"])),
        (promise_order, PromiseOrder(1, "2027-01-22")),
        (price_order_line, PriceOrderLine(1, 1, "4.20")),
        (receive_order, ReceiveOrder(1, quantity="3")),
        (send_to_supplier, SendToSupplier(1, 1, "1", "too coarse")),
        (cancel_order, CancelOrder(1)),
        (buy, Buy("2 M6x25 hex bolt")),
    ]
    for do, ask in asks:
        before = orders(short, EVERYTHING), to_buy(short), held(short, "1.3")
        tried = do(short, replace(ask, trial=True))
        assert (orders(short, EVERYTHING), to_buy(short), held(short, "1.3")) == before
        assert replace(tried, trial=False) == do(short, ask)


def test_the_same_key_twice_is_one_act(short: Context) -> None:
    ask = PlaceOrder("Hollin", ["5 M8 nyloc nut"], key="form 1")
    first = place_order(short, ask)
    with pytest.raises(Repeated) as repeated:
        place_order(short, ask)
    assert repeated.value.act == first.act
    came = ReceiveOrder(1, quantity="2", key="form 2")
    receive_order(short, came)
    with pytest.raises(Repeated):
        receive_order(short, came)
    assert one_order(short, 1).outstanding == 3


def test_the_plan_waits_for_the_day_promised(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["3 M8 nyloc nut"]))
    promise_order(short, PromiseOrder(1, "2027-01-15"))
    assert promise_order(short, PromiseOrder(1, "2027-02-01")).promised == "2027-02-01"

    def waits() -> list[tuple[str, int, str]]:
        with short.reading() as connection:
            listed: list[Awaited] = awaited_from_suppliers(connection)
        return [(each.whom, each.quantity, str(each.due)) for each in listed]

    assert waits() == [("Hollin", 3, "2027-02-01")]
    undo(Context(short.store), Undo())
    assert waits() == [("Hollin", 3, "2027-01-15")]
    assert promise_order(short, PromiseOrder(1, " None ")).promised == ""
    assert waits() == [("Hollin", 3, "None")]


def test_it_comes_in_part_into_the_right_bags(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut", "2.3"]))
    came = receive_order(short, ReceiveOrder(1, [1], "3"))
    # The first step first: 2 nuts for 1.3, the third for 2.2.
    assert [(put.item, put.quantity, put.place, put.loose) for put in came.put] == [
        ("1.3", 2, "A001N", False), ("2.2", 1, "A003J", False),
    ]  # fmt: skip
    assert held(short, "1.3")["A001N", "new"] == 2
    assert [(each.what, each.quantity) for each in came.waiting] == [(NUT, 2), ("gasket", 1)]
    assert (came.quantity, came.outstanding) == (3, 3)
    made = one_order(short, 1)
    assert [(line.received, line.outstanding) for line in made.lines] == [(3, 2), (0, 1)]
    assert made.state == "part received"
    rest = receive_order(short, ReceiveOrder(1))
    assert (rest.waiting, rest.outstanding) == ((), 0)
    assert held(short, "2.2")["A003J", "new"] == 3
    assert held(short, "2.3")["A003J", "new"] == 1
    assert one_order(short, 1).state == "received"
    with pytest.raises(Refused, match="nothing outstanding") as done:
        receive_order(short, ReceiveOrder(1))
    assert done.value.facts == {"number": 1, "state": "received"}
    assert audit(Context(short.store)).faults == ()


def test_it_may_all_go_to_one_place(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["8 M8 nyloc nut"]))
    came = receive_order(short, ReceiveOrder(1, to="box 3"))
    assert {(put.place, put.kind) for put in came.put} == {("box 3", PlaceKind.BOX)}
    # 5 are wanted: 8 - 5 = 3 loose.
    assert [(put.item, put.quantity, put.loose) for put in came.put] == [
        ("1.3", 2, False), ("2.2", 3, False), ("0.1", 3, True),
    ]  # fmt: skip
    assert audit(Context(short.store)).faults == ()


def test_all_came_but_of_some_lines(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut", "4 M6x20 hex", "2 M5 nut"]))
    came = receive_order(short, ReceiveOrder(1, but="2: 1, 3: none"))
    assert came.quantity == 5 + 1
    assert [(each.what, each.quantity) for each in came.waiting] == [
        ("M6 x 20 hex", 3), ("M5 nut", 2),
    ]  # fmt: skip
    for but, fact in (
        ("2: 4", "more than outstanding"), ("9: 1", "no such order line"),
        ("nut: 1", "no exception"),
        ("2: none, 3: none", "nothing came"),
    ):  # fmt: skip
        with pytest.raises(StoresError, match=fact):
            receive_order(short, ReceiveOrder(1, but=but))
    with pytest.raises(Refused, match="a count and all but"):
        receive_order(short, ReceiveOrder(1, [2], "1", but="2: 1"))
    assert one_order(short, 1).outstanding == 5
    assert audit(Context(short.store)).faults == ()


def test_receiving_is_undone_whole(short: Context) -> None:
    placed = place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut"]))
    receive_order(short, ReceiveOrder(1))
    with pytest.raises(StoresError, match="order in use"):
        undo(Context(short.store), Undo(placed.act))
    undo(Context(short.store), Undo())
    assert one_order(short, 1).outstanding == 5
    assert ("A001N", "new") not in held(short, "1.3")
    undo(Context(short.store), Undo(placed.act))
    with pytest.raises(NotFound, match="no such order"):
        one_order(short, 1)
    assert audit(Context(short.store)).faults == ()


def test_what_does_not_fit_goes_back_and_the_old_one_is_still_there(short: Context) -> None:
    inspect(
        Context(short.store),
        Inspect("1.2", Condition.CONDEMNED, quantity=2, reason="thread pulled"),
    )
    place_order(short, PlaceOrder("Hollin", ["2 M6x25 hex bolt"]))
    receive_order(short, ReceiveOrder(1))
    back = send_to_supplier(short, SendToSupplier(1, 1, why="thread too coarse"))
    assert (back.quantity, back.what, back.refund) == (2, "M6 x 25 hex bolt", False)
    assert held(short, "1.2") == {("A001N", "as removed"): 2, ("A001N", "condemned"): 2}
    # 2 ordered, 2 came, 2 went back: 2 are awaited again, so that none is to buy.
    assert one_order(short, 1).outstanding == 2
    assert "M6 x 25 hex bolt" not in to_buy(short)
    undo(Context(short.store), Undo())
    assert one_order(short, 1).outstanding == 0
    send_to_supplier(short, SendToSupplier(1, 1, "1", "too short", refund=True))
    # 2 came, 1 went back for the money: 0 outstanding, 1 to buy.
    assert one_order(short, 1).outstanding == 0
    assert to_buy(short)["M6 x 25 hex bolt"] == 1
    with pytest.raises(Refused, match="more than came") as more:
        send_to_supplier(short, SendToSupplier(1, 1, "2", "x"))
    assert (more.value.facts["quantity"], more.value.facts["kept"]) == (2, 1)
    with pytest.raises(Refused, match="why does it go back"):
        send_to_supplier(short, SendToSupplier(1, 1, "1"))
    assert audit(Context(short.store)).faults == ()


def test_what_is_on_the_machine_does_not_go_back(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["2.3"]))
    receive_order(short, ReceiveOrder(1))
    refit(short, Refit("2.3"))
    with pytest.raises(Refused, match="not new in hand") as fitted:
        send_to_supplier(short, SendToSupplier(1, 1, why="leaks"))
    assert (fitted.value.facts["left"], fitted.value.hint) == (1, Hint("undo"))


def test_cancelled_is_to_buy_again(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", listed=True))
    assert to_buy(short) == {}
    cancel_order(short, CancelOrder(1, [1]))
    assert to_buy(short) == {"gasket, for Engine / Clutch: clutch cover": 1}
    assert cancel_order(short, CancelOrder(1, why="closed down")).quantity == 8
    assert one_order(short, 1).state == "cancelled"
    assert sum(to_buy(short).values()) == 9
    assert orders(short, ListOrders()).orders == ()
    assert len(orders(short, EVERYTHING).orders) == 1
    undo(Context(short.store), Undo())
    assert sum(to_buy(short).values()) == 1


def test_whole_packs_and_the_budget(short: Context) -> None:
    set_currency(short, SetCurrency("eur"))
    set_price(short, SetPrice("M8 nyloc nut", "3.10", "4", "Hollin"))
    set_price(short, SetPrice("M8 nyloc nut", "2.00", "4", "Dyke"))  # nothing to do with Hollin
    # 5 nuts are two packs of 4: 8 nuts, at Dyke's 2 x 2.00 = 4.00, at Hollin's 2 x 3.10 = 6.20.
    assert budget(short).to_come == 400
    place_order(short, PlaceOrder("Hollin Fasteners", listed=True, carriage="3.95"))
    [nuts] = [line for line in one_order(short, 1).lines if line.what == NUT]
    assert (nuts.quantity, nuts.price_hundredths) == (8, 620)
    assert one_order(short, 1).total_hundredths is None  # of the gaskets nobody said
    for line, price in ((1, "2.40"), (2, "2,60"), (4, "0.9")):
        priced = price_order_line(short, PriceOrderLine(1, line, price))
    # 2.40 + 2.60 + 6.20 + 0.90 + 3.95 = 16.05
    assert (priced.price, priced.total, priced.carriage) == (90, 1605, 395)
    costs = budget(short)
    assert (costs.came, costs.awaited, costs.to_come) == (0, 1605, 0)
    receive_order(short, ReceiveOrder(1, [nuts.line], "3"))
    # Carriage and 3 of 8 nuts: 3.95 + 6.20 x 3/8 = 3.95 + 2.325 = 6.28 with halves up;
    # still to pay 16.05 - 6.28 = 9.77.
    costs = budget(short)
    assert (costs.came, costs.awaited, costs.unpriced) == (628, 977, ())


def test_a_line_that_nobody_priced_has_the_price_of_the_list(short: Context) -> None:
    set_price(short, SetPrice("M8 nyloc nut", "3.10", "4"))
    placed = place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut", "4 M8 nyloc nut = 3.00"]))
    # 5 nuts are two packs of 4: 2 x 3.10
    assert [line.price_hundredths for line in placed.lines] == [620, 300]


def test_another_currency_is_named_and_not_added(short: Context) -> None:
    set_currency(short, SetCurrency("EUR"))
    place_order(short, PlaceOrder("Hollin", ["1.4 = 2.40"]))
    set_currency(short, SetCurrency("GBP"))
    costs = budget(short)
    assert (costs.currency, costs.awaited) == ("GBP", 0)
    assert "order 1, in EUR" in costs.unpriced
    undo(Context(short.store), Undo())
    assert budget(short).awaited == 240


def test_a_cost_is_undone(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["4 M8 nyloc nut = 3.00"]))
    price_order_line(short, PriceOrderLine(1, 1, "3.60"))
    assert one_order(short, 1).total_hundredths == 360
    undo(Context(short.store), Undo())
    assert one_order(short, 1).total_hundredths == 300


def test_a_share_of_a_price_is_whole_hundredths() -> None:
    """A third of 1.00 is 0.33, two thirds are 0.67 (halves up)."""
    line = OrderLine(1, "M6 nut", 3, price=100)
    assert [line.cost(pieces) for pieces in (1, 2, 3)] == [33, 67, 100]


@pytest.mark.parametrize(
    ("do", "ask", "fact", "facts"),
    [
        (place_order, PlaceOrder("Hollin"), "nothing to order", {}),
        (place_order, PlaceOrder("Hollin", ["1.2"]), "nothing to order of it", {"ref": "1.2"}),
        (
            place_order, PlaceOrder("Hollin", ["1 gasket"]), "ordered for which item",
            {"items": ("1.4 (clutch cover)", "2.3 (end cover)")},
        ),
        (
            place_order, PlaceOrder("Hollin", ["1.4 = 1.234"]), "not a sum of money",
            {"typed": "1.234"},
        ),
        (
            place_order, PlaceOrder("Hollin", ["1.4"], carriage="much"), "not a sum of money",
            {"typed": "much"},
        ),
        (place_order, PlaceOrder("Hollin", ["1.4"], promised="soon"), NOT_A_DAY.format("soon"), {}),
        (receive_order, ReceiveOrder(9), "no such order", {"number": 9}),
        (receive_order, ReceiveOrder(1, [2]), "no such order line", {"line": 2, "lines": 1}),
        (receive_order, ReceiveOrder(1, quantity="6"), "more than outstanding", {"quantity": 6}),
        (receive_order, ReceiveOrder(1, quantity="some"), "no count", {"typed": "some"}),
        (receive_order, ReceiveOrder(1, quantity=""), "no count", {"typed": ""}),
        (receive_order, ReceiveOrder(1, quantity="0"), "count out of range", {"count": 0}),
        (receive_order, ReceiveOrder(2, quantity="1"), "count of which line", {}),
        (
            send_to_supplier, SendToSupplier(1, 1, why="x"), "more than came",
            {"quantity": 5, "what": NUT, "kept": 0, "line": 1, "number": 1},
        ),
        (cancel_order, CancelOrder(9), "no such order", {"number": 9}),
        (promise_order, PromiseOrder(1, "2027-02-30"), NOT_A_DAY.format("2027-02-30"), {}),
        (price_order_line, PriceOrderLine(1, 1, "four"), "not a sum of money", {}),
        (price_order_line, PriceOrderLine(1, 3, "4"), "no such order line", {"line": 3}),
        (buy, Buy("A001N"), "neither a line nor an item", {}),
        (buy, Buy("4 M8 nut", "3"), "two counts", {"line": 4, "beside": 3}),
        (buy, Buy("3 or 4 M8 nut"), "count in question", {
            "question": "3 or 4: how many exactly?", "text": "M8 nut [3 or 4]"}),
        (buy, Buy("1.2"), "item short of nothing", {"ref": "1.2"}),
        (buy, Buy("1 gasket"), "bought for which joint", {"what": "gasket"}),
    ],
)  # fmt: skip
def test_what_is_refused_says_the_facts(
    short: Context, do: Callable[[Context, Any], Any], ask: Any, fact: str, facts: dict[str, Any]
) -> None:
    place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut"]))
    place_order(short, PlaceOrder("Dyke", ["1 M6 nut", "1 M5 nut"]))
    before = orders(short, EVERYTHING)
    with pytest.raises((Refused, NotFound, BadValue)) as refused:
        do(short, ask)
    assert refused.value.fact == fact
    assert refused.value.facts | facts == refused.value.facts
    assert orders(short, EVERYTHING) == before


def test_an_order_of_another_machine_is_not_received_for_this_one(short: Context) -> None:
    place_order(short, PlaceOrder("Hollin", ["5 M8 nyloc nut"]))
    add_machine(Context(short.store), AddMachine("Tern 50"))
    with pytest.raises(Refused, match="order of another machine") as other:
        receive_order(replace(short, machine="Tern"), ReceiveOrder(1))
    assert other.value.facts == {"number": 1, "machine": "Orrick Plover", "other": "Tern 50"}
    assert receive_order(replace(short, machine="Orrick"), ReceiveOrder(1)).quantity == 5


def test_what_is_bought_is_shared_out_the_first_step_first(short: Context) -> None:
    bought = buy(short, Buy("4 M8 nyloc nut", firm="Hollin"))
    assert (bought.quantity, bought.text, bought.firm, bought.needed) == (4, NUT, "Hollin", True)
    assert [(put.item, put.quantity, put.place, put.part) for put in bought.put] == [
        ("1.3", 2, "A001N", "clutch cover"), ("2.2", 2, "A003J", "end cover"),
    ]  # fmt: skip
    assert to_buy(short)[NUT] == 1
    assert buy(short, Buy("1.4")).put[0].item == "1.4"
    assert audit(Context(short.store)).faults == ()


def test_what_no_joint_is_short_of_is_loose_and_the_list_is_named(short: Context) -> None:
    bought = buy(short, Buy("M8 nut", "6"))
    assert (bought.needed, [(put.item, put.loose) for put in bought.put]) == (
        False, [("0.1", True)],
    )  # fmt: skip
    assert set(bought.short_of) == set(to_buy(short))
    assert any("6 M8 nut bought from a supplier" in text for text in budget(short).unpriced)
