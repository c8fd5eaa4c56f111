"""Consumables and assortments bought, priced, ordered, received in part, sent back; and the costs.

Sums are worked by hand beside each check. Nothing here is of a published table: what is bought by
the pack costs so many packs, what is used of it its share of what was paid (common practice of any
stores).
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from conftest import kept

from stores.errors import BadValue, NotationError, Refused
from stores.model.orders import Budget
from stores.storage.items import read_loose
from stores.storage.orders import read_on_order
from stores.storage.stock import read_facts
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import (
    Buy,
    CancelOrder,
    PlaceOrder,
    PriceOrderLine,
    ReceiveOrder,
    SendToSupplier,
    buy,
    cancel_order,
    one_order,
    place_order,
    price_order_line,
    receive_order,
    send_to_supplier,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import (
    SetCurrency,
    SetPrice,
    all_costs,
    budget,
    prices,
    set_currency,
    set_price,
)
from stores.usecases.stock import (
    Enter,
    NotePack,
    PackAsTyped,
    SayWhatIsLeft,
    UseUp,
    enter,
    note_pack,
    say_what_is_left,
    use_up,
)
from stores.usecases.strip import Strip, strip

LOCK = "ml of medium threadlocker"
ASSORTMENT = "assortment: 20 M4 nut, 20 M5 nut, 10 M6 nut"
OTHER = "Hollin Tern"


def held(context: Context) -> dict[str, tuple[str, int]]:
    """What is loose in the workshop: how much of what, by number."""
    with context.reading() as connection:
        return {
            item.ref: (item.as_found.text, count)
            for item in read_loose(connection)
            if (count := sum(h.quantity for h in item.holdings if h.kind.in_hand))
        }


def of_workshop(context: Context) -> Budget:
    own = budget(context).workshop
    assert own is not None
    return own


def sound(context: Context) -> bool:
    return not audit(context).faults


@kept
def bench(context: Context) -> Context:
    """Two machines, each short of four M6 nuts (self-locking: renewed as a rule)."""
    set_currency(context, SetCurrency("EUR"))
    strip(context, Strip("Engine", "left cover", ["4 M6 nyloc nut"]))
    add_machine(context, AddMachine(OTHER))
    other = replace(context, machine=OTHER)
    strip(other, Strip("Engine", "right cover", ["4 M6 nyloc nut"]))
    return replace(context, machine="Orrick Plover")


@pytest.mark.parametrize(
    ("typed", "count", "quantity", "unit", "text", "pack"),
    [
        ("2 x 50 ml medium threadlocker", None, 100, "ml", LOCK, 50),
        ("50 ml medium threadlocker", "3", 150, "ml", LOCK, 50),
        ("1 l can SAE 140", None, 1000, "ml", "ml of SAE 140", 1000),
        ("2 off SAE 140, 1 l", None, 2000, "ml", "ml of SAE 140", 1000),
        ("400 g cartridge lithium grease", None, 400, "g", "g of lithium grease", 400),
        ("500 ml can Brindle red", None, 500, "ml", "ml of Brindle red", 500),
        ("2 boxes of 100 nitrile gloves", None, 200, "", "nitrile gloves", 100),
    ],
)
def test_a_consumable_bought_is_in_stock_in_its_unit(
    bench: Context, typed: str, count: str | None, quantity: int, unit: str, text: str, pack: int
) -> None:
    reply = buy(bench, Buy(typed, count))
    assert (reply.quantity, reply.unit, reply.text, reply.pack, reply.stock) == (
        quantity, unit, text, pack, True,
    )  # fmt: skip
    assert held(bench) == {"0.1": (text, quantity)}
    with bench.reading() as connection:
        [item] = read_loose(connection)
        facts = read_facts(connection)[item.number]
    assert (item.unit, item.stock, facts.pack) == (unit, True, pack)
    assert sound(bench)


def test_an_assortment_is_one_pack_and_lies_in_stock_as_its_sizes(bench: Context) -> None:
    reply = buy(bench, Buy("2 x " + ASSORTMENT, price="12.80"))
    assert (reply.quantity, reply.pack, reply.price) == (100, 50, 1280)
    assert held(bench) == {"0.1": ("M4 nut", 40), "0.2": ("M5 nut", 40), "0.3": ("M6 nut", 20)}
    assert of_workshop(bench).came == 1280
    undo(bench, Undo())
    assert held(bench) == {}
    entered = enter(bench, Enter([ASSORTMENT], supplier="Hollin", price="6.40"))
    assert [(line.text, line.quantity) for line in entered.lines] == [
        ("M4 nut", 20), ("M5 nut", 20), ("M6 nut", 10),
    ]  # fmt: skip
    assert of_workshop(bench).came == 640


def test_small_parts_and_what_a_joint_is_called_go_to_the_joint(context: Context) -> None:
    strip(context, Strip("Engine", "tank", ["0 of 1 fuel hose", "2 split pin"]))
    assert [put.item for put in buy(context, Buy("1 fuel hose")).put] == ["1.2"]
    assert [(put.item, put.quantity) for put in buy(context, Buy("10 split pin")).put] == [
        ("1.3", 2), ("0.1", 8),
    ]  # fmt: skip
    with pytest.raises(BadValue, match="how much is in one pack of fuel hose"):
        buy(context, Buy("1 fuel hose"))


def test_the_same_unopened_pack_is_one_lot(bench: Context) -> None:
    buy(bench, Buy("50 ml medium threadlocker", to="shelf 2"))
    again = buy(bench, Buy("2 x 50 ml medium threadlocker"))
    assert [(put.item, put.place, put.merged) for put in again.put] == [("0.1", "shelf 2", True)]
    assert held(bench) == {"0.1": (LOCK, 150)}
    buy(bench, Buy("250 ml medium threadlocker"))  # another size of pack
    buy(bench, Buy("50 ml high threadlocker"))
    assert held(bench) == {
        "0.1": (LOCK, 150), "0.2": (LOCK, 250), "0.3": ("ml of high threadlocker", 50),
    }  # fmt: skip
    use_up(bench, UseUp("0.1", "5 ml"))  # opened by that
    buy(bench, Buy("50 ml medium threadlocker"))
    assert held(bench)["0.4"] == (LOCK, 50)
    note_pack(bench, NotePack("0.4", PackAsTyped(use_by="2030-01-01")))
    buy(bench, Buy("50 ml medium threadlocker"))
    assert held(bench)["0.5"] == (LOCK, 50)
    say_what_is_left(bench, SayWhatIsLeft("0.5", "20 ml"))
    buy(bench, Buy("50 ml medium threadlocker"))
    assert held(bench)["0.6"] == (LOCK, 50)
    assert sound(bench)


def test_a_lot_that_another_joined_is_not_undone_before_it(bench: Context) -> None:
    first = buy(bench, Buy("50 ml medium threadlocker"))
    buy(bench, Buy("50 ml medium threadlocker"))
    with pytest.raises(Refused, match="moved on since"):
        undo(bench, Undo(first.act))
    undo(bench, Undo())
    undo(bench, Undo())
    assert held(bench) == {}
    assert sound(bench)


def test_pieces_bought_for_stock_go_to_no_joint_and_the_joints_draw_on_them(bench: Context) -> None:
    reply = buy(bench, Buy("50 M6 nyloc nut", stock=True, price="4.00", to="shelf 1"))
    assert [(put.item, put.quantity, put.place) for put in reply.put] == [("0.1", 50, "shelf 1")]
    merged = buy(bench, Buy("50 M6 nyloc nut", stock=True))
    assert [(put.item, put.place, put.merged) for put in merged.put] == [("0.1", "shelf 1", True)]
    undo(bench, Undo())
    own = budget(bench)
    assert (own.came, own.drawn, of_workshop(bench).came) == (0, 0, 400)
    refit(bench, Refit("1", as_it_came=True))
    # 4 of 50 for 4.00
    assert (budget(bench).drawn, of_workshop(bench).drawn, of_workshop(bench).paid) == (
        32, -32, 368,
    )  # fmt: skip
    undo(bench, Undo())
    assert (budget(bench).drawn, of_workshop(bench).paid) == (0, 400)


def test_what_a_machine_bought_beyond_its_need_is_stock_and_stays_its_cost(bench: Context) -> None:
    reply = buy(bench, Buy("20 M6 nyloc nut", price="2.00"))
    assert [(put.item, put.quantity) for put in reply.put] == [("1.2", 4), ("0.1", 16)]
    with bench.reading() as connection:
        assert [item.stock for item in read_loose(connection)] == [True]
    other = replace(bench, machine=OTHER)
    refit(other, Refit("1", as_it_came=True))
    assert (budget(bench).paid, budget(other).paid, of_workshop(bench).paid) == (200, 0, 0)


def test_an_order_of_packs_comes_in_part_goes_back_and_is_cancelled(bench: Context) -> None:
    placed = place_order(
        bench, PlaceOrder("Hollin", ["4 x 50 ml medium threadlocker = 26.00", "2 x " + ASSORTMENT])
    )
    assert [(line.quantity, line.unit, line.pack, line.stock) for line in placed.lines] == [
        (200, "ml", 50, True), (100, "", 50, True),
    ]  # fmt: skip
    with bench.reading() as connection:
        assert [(one.text, one.quantity, one.unit) for one in read_on_order(connection)] == [
            (LOCK, 200, "ml"), ("M4 nut", 40, ""), ("M5 nut", 40, ""), ("M6 nut", 20, ""),
        ]  # fmt: skip
    assert one_order(bench, 1).outstanding == 6  # 4 bottles and 2 packs
    came = receive_order(bench, ReceiveOrder(1, [1], "3"))
    assert (came.quantity, came.outstanding) == (3, 3)
    receive_order(bench, ReceiveOrder(1, [2], "1"))
    assert held(bench) == {
        "0.1": (LOCK, 150), "0.2": ("M4 nut", 20), "0.3": ("M5 nut", 20), "0.4": ("M6 nut", 10),
    }  # fmt: skip
    # 3 of 4 bottles for 26.00
    own = of_workshop(bench)
    assert (own.came, own.awaited, own.unpriced) == (
        1950, 650, ("order 1, " + ASSORTMENT.replace(",", ";"),),
    )  # fmt: skip
    price_order_line(bench, PriceOrderLine(1, 2, "10.00"))
    assert (of_workshop(bench).came, of_workshop(bench).awaited) == (2450, 1150)
    send_to_supplier(bench, SendToSupplier(1, 1, "50 ml", "past its date", refund=True))
    assert held(bench)["0.1"] == (LOCK, 100)
    send_to_supplier(bench, SendToSupplier(1, 2, "1", "two sizes mixed up"))
    assert set(held(bench)) == {"0.1"}
    assert one_order(bench, 1).outstanding == 3  # a bottle, and both packs again
    receive_order(bench, ReceiveOrder(1, [2]))
    assert sorted(held(bench).values()) == [
        ("M4 nut", 40), ("M5 nut", 40), ("M6 nut", 20), (LOCK, 100),
    ]  # fmt: skip
    cancel_order(bench, CancelOrder(1))
    order = one_order(bench, 1)
    # 2 of 4 bottles kept, 13.00, and both packs, 10.00
    assert (order.state, order.total_hundredths, of_workshop(bench).came) == (
        "received", 2300, 2300,
    )  # fmt: skip
    assert sound(bench)


def test_what_came_joins_what_is_there(bench: Context) -> None:
    buy(bench, Buy("50 ml medium threadlocker", to="shelf 2"))
    place_order(
        bench, PlaceOrder("Hollin", ["2 x 50 ml medium threadlocker", "30 M6 nut"], stock=True)
    )
    for part in ("1", "1"):
        receive_order(bench, ReceiveOrder(1, [1], part))
    receive_order(bench, ReceiveOrder(1, [2], "10"))
    receive_order(bench, ReceiveOrder(1, [2]))
    assert held(bench) == {"0.1": (LOCK, 150), "0.2": ("M6 nut", 30)}
    assert sound(bench)


@pytest.mark.parametrize(
    ("typed", "text", "unit", "quantity", "pack"),
    [
        ("2 boxes of 100 nitrile gloves", "nitrile gloves", "", 200, 100),
        ("2 x 400 g cartridge lithium grease", "g of lithium grease", "g", 800, 400),
        ("2 rolls of insulating tape 20 m", "mm of insulating tape", "mm", 40_000, 20_000),
        ("20 m wire", "mm of wire", "mm", 20_000, 0),
        ("40 M6 nut", "M6 nut", "", 40, 0),
    ],
)
def test_what_is_ordered_comes_as_it_was_ordered(
    bench: Context, typed: str, text: str, unit: str, quantity: int, pack: int
) -> None:
    place_order(bench, PlaceOrder("Hollin", [typed], stock=True))
    receive_order(bench, ReceiveOrder(1))
    name = text.removeprefix(f"{unit} of ")
    assert of_workshop(bench).unpriced == (f"order 1, {name}",)
    with bench.reading() as connection:
        [item] = read_loose(connection)
        facts = read_facts(connection).get(item.number)
    assert held(bench) == {"0.1": (text, quantity)}
    assert (item.unit, facts.pack if facts else 0) == (unit, pack)


def test_a_pack_has_the_price_of_its_size(bench: Context) -> None:
    assert set_price(bench, SetPrice("400 g lithium grease", "8.20", supplier="Hollin")).pack == 400
    set_price(bench, SetPrice("100 g tube lithium grease", "3.10", supplier="Hollin"))
    set_price(bench, SetPrice(ASSORTMENT, "6.40"))
    set_price(bench, SetPrice("20 m wire", "14.00"))
    assert [(each.text, each.pack, each.price) for each in prices(bench).prices] == [
        (ASSORTMENT.replace(",", ";"), 50, 640), ("g of lithium grease", 100, 310),
        ("g of lithium grease", 400, 820), ("mm of wire", 20_000, 1400),
    ]  # fmt: skip
    placed = place_order(
        bench,
        PlaceOrder(
            "Hollin",
            [
                "2 x 400 g cartridge lithium grease", "3 x 100 g lithium grease",
                "500 g tin lithium grease", "3 " + ASSORTMENT, "30 m wire",
            ],
        ),
    )  # fmt: skip
    # 2 x 8.20; 3 x 3.10; nobody has a price for a tin of 500 g; 3 x 6.40; 30 m take two reels of 20
    assert [line.price_hundredths for line in placed.lines] == [1640, 930, None, 1920, 2800]


@pytest.mark.parametrize(
    ("ask", "error", "fact"),
    [
        (SetPrice("2 x 50 ml medium threadlocker", "8"), Refused, "a price is of one pack"),
        (SetPrice("50 ml medium threadlocker", "8", pack="2"), Refused, "the pack is in the line"),
        (SetPrice("medium threadlocker", "8"), NotationError, ""),
        (SetPrice("M6x25 hex", "8", pack="10 ml"), BadValue, "no count"),
        (Buy("2 x 50 ml medium threadlocker", "3"), Refused, "two counts"),
        (Buy("half a tube of flange sealant"), BadValue, ""),
        (Buy("1.2", stock=True), Refused, "an item is no stock"),
        (Buy("assortment: M4 nut, M5 nut"), BadValue, "an assortment needs counts"),
        (Buy("20 M6 nut", price="cheap"), BadValue, "not a sum of money"),
        (PlaceOrder("Hollin", ["1.2"], stock=True), Refused, "an item is no stock"),
        (PlaceOrder("Hollin", listed=True, stock=True), Refused, "the list is for joints"),
        (ReceiveOrder(1, [1], "60 g"), BadValue, ""),
        (ReceiveOrder(1, [1], "5"), Refused, "more than outstanding"),
        (ReceiveOrder(1, [1], "3 m"), BadValue, ""),
        (Enter(["50 ml medium threadlocker"], price="6.40"), BadValue, "paid to whom"),
        (
            Enter(["50 ml medium threadlocker", "20 M6 nut"], supplier="Hollin", price="6.40"),
            BadValue, "one price for several things",
        ),
    ],
)  # fmt: skip
def test_what_is_refused_changes_nothing(
    bench: Context, ask: Any, error: type[Exception], fact: str
) -> None:
    place_order(bench, PlaceOrder("Hollin", ["4 x 50 ml medium threadlocker"]))
    do: dict[type, Callable[[Context, Any], Any]] = {
        SetPrice: set_price, Buy: buy, PlaceOrder: place_order, ReceiveOrder: receive_order,
        Enter: enter,
    }  # fmt: skip
    before = held(bench), all_costs(bench)
    with pytest.raises(error) as refused:
        do[type(ask)](bench, ask)
    if fact:
        assert refused.value.fact == fact  # type: ignore[attr-defined]
    assert (held(bench), all_costs(bench)) == before


def test_a_pack_may_be_how_much_is_in_it(bench: Context) -> None:
    """Sealant has no number in a pack."""
    priced = set_price(bench, SetPrice("flange sealant", "6.40", pack="50 ml"))
    assert (priced.what, priced.pack, priced.unit) == ("ml of flange sealant", 50, "ml")


def test_what_is_used_on_a_machine_is_its_cost_at_the_price_paid(bench: Context) -> None:
    """50 ml at 10.00 and 50 ml at 12.50, drawn 40, 20 and 30: the first lot is used first."""
    other = replace(bench, machine=OTHER)
    enter(bench, Enter(["50 ml medium threadlocker"], supplier="Hollin", price="10.00"))
    buy(bench, Buy("50 ml tube medium threadlocker", price="12.50"))
    use_up(bench, UseUp("0.1", "40 ml", step=1))  # 8.00
    assert budget(bench).drawn == 800
    use_up(bench, UseUp("0.2", "20 ml", step=1))  # 20 of 50 at 12.50 are 5.00
    use_up(other, UseUp("0.2", "10 ml", step=1))  # 2.50
    use_up(bench, UseUp("0.2", "5 ml", "spilt"))  # the workshop's
    costs = {each.machine: each for each in all_costs(bench).costs}
    assert {name: each.paid for name, each in costs.items()} == {
        "Orrick Plover": 1300, OTHER: 250, "": 700,
    }  # fmt: skip
    assert sum(each.paid for each in costs.values()) == 2250


def test_a_lot_without_a_price_is_named(bench: Context) -> None:
    enter(bench, Enter(["50 ml medium threadlocker"], supplier="Hollin"))
    enter(bench, Enter(["400 g tin lithium grease"]))  # was there: nobody paid for it now
    use_up(bench, UseUp("0.1", "5 ml", step=1))
    use_up(bench, UseUp("0.2", "5 g", step=1))
    own = budget(bench)
    assert "from stock, 5 ml of medium threadlocker" in own.unpriced
    assert not any("grease" in text for text in own.unpriced)
    assert of_workshop(bench).unpriced == (
        "50 ml of medium threadlocker into stock from Hollin, without an order",
    )


def test_carriage_is_one_owners(bench: Context) -> None:
    """An order of both: the carriage is the machine's while anything of its part comes."""
    place_order(
        bench,
        PlaceOrder(
            "Hollin", ["4 M6 nyloc nut = 1.00", "50 ml medium threadlocker = 6.00"], carriage="3"
        ),
    )
    assert (budget(bench).awaited, of_workshop(bench).awaited) == (400, 600)
    receive_order(bench, ReceiveOrder(1, [2]))
    cancel_order(bench, CancelOrder(1, [1]))
    assert (budget(bench).total - budget(bench).to_come, of_workshop(bench).paid) == (0, 900)


def test_trials_write_nothing(bench: Context) -> None:
    place_order(bench, PlaceOrder("Hollin", ["4 x 50 ml medium threadlocker"]))
    asks: list[tuple[Callable[[Context, Any], Any], Any]] = [
        (buy, Buy("50 ml medium threadlocker", price="6.40")),
        (buy, Buy("20 M6 nut", stock=True)),
        (place_order, PlaceOrder("Hollin", [ASSORTMENT], stock=True)),
        (receive_order, ReceiveOrder(1, [1], "2")),
        (set_price, SetPrice("400 g lithium grease", "8.20")),
        (enter, Enter([ASSORTMENT], supplier="Hollin", price="6.40")),
    ]
    for do, ask in asks:
        before = held(bench), all_costs(bench), prices(bench)
        tried = do(bench, replace(ask, trial=True))
        assert (held(bench), all_costs(bench), prices(bench)) == before
        assert replace(tried, trial=False) == do(bench, ask)
    inspect(bench, Inspect("1.2", "serviceable"))
    assert sound(bench)
