"""Orders from end to end: placed, received in part, sent back, cancelled, priced; undone; audited.

Sums are worked by hand beside each check; the rest is common practice of any stores: what is
ordered equals what came, less what went back, plus what is still to come and what was cancelled.
"""

import contextlib
import sqlite3
from typing import Any

import pytest
from conftest import Bench

from stores.model.money import Price, cost_of, price_for, read_money, show_money
from stores.model.orders import OrderLine


@pytest.fixture
def short(bench: Bench) -> Bench:
    """Short of 5 self-locking nuts at two joints, two gaskets and 2 copper washers: 9 pieces."""
    bench("strip", "Engine/Clutch", "clutch cover",
          "4 M6x25 hex bolt", "2 M8 nyloc nut", "1 gasket", "2 copper washer 10x16")  # fmt: skip
    bench("strip", "Engine/Gearbox", "end cover", "3 M8 nyloc nut", "1 gasket")
    return bench


def to_buy(bench: Bench) -> dict[str, int]:
    return {line["what"]: line["quantity"] for line in bench.json("shopping")["lines"]}


def order(bench: Bench, number: int = 1) -> Any:
    return bench.json("order", "show", str(number))


def in_bag(bench: Bench, code: str, ref: str) -> int:
    [item] = [each for each in bench.json("find", code)["items"] if each["item"] == ref]
    return sum(
        now["quantity"] for now in item["now"] if now["condition"] == "new" and now["place"] == code
    )


def test_what_is_on_order_is_not_bought_again(short: Bench) -> None:
    assert sum(to_buy(short).values()) == 9
    short("order", "with", "Hollin Fasteners", "3 M8 nyloc nut", "1.4", "--promised", "2027-01-15")
    assert to_buy(short) == {
        "M8 self-locking nut": 2,  # 2 + 3 wanted, less 3 on order
        "gasket, for Engine / Gearbox: end cover": 1,
        "10 x 16 mm copper sealing washer": 2,
    }
    short("undo")
    assert sum(to_buy(short).values()) == 9
    assert short.json("order", "list")["orders"] == []


def test_the_plan_chases_it_for_the_day_promised(short: Bench) -> None:
    short("order", "with", "Hollin", "--list", "--promised", "2027-01-15")
    waits = " ".join(words for step in short.json("plan")["steps"] for words in step["waits_for"])
    assert "on order from Hollin" in waits
    assert "2027-01-15" in waits
    assert "buy" not in waits


def test_it_comes_in_part_into_the_right_bags_and_their_labels_are_due(short: Bench) -> None:
    short("order", "with", "Hollin", "5 M8 nyloc nut", "2.3")
    short("labels", "-o", str(short.file.parent / "a.pdf"))
    short("labels", "--came-out")
    short("order", "came", "1", "1", "-q", "3")
    # The first step first: 2 nuts for 1.3, the third for 2.2.
    assert (in_bag(short, "A001N", "1.3"), in_bag(short, "A003J", "2.2")) == (2, 1)
    [nuts, gasket] = order(short)["lines"]
    assert (nuts["received"], nuts["outstanding"], gasket["outstanding"]) == (3, 2, 1)
    assert order(short)["state"] == "part received"
    assert "A001N" in short("audit")  # among the labels to print
    short("order", "came", "1")
    assert in_bag(short, "A003J", "2.2") == 3
    assert in_bag(short, "A003J", "2.3") == 1
    assert order(short)["state"] == "received"
    assert "nothing is outstanding" in short.refused("order", "came", "1")


def test_receiving_is_undone_whole(short: Bench) -> None:
    short("order", "with", "Hollin", "5 M8 nyloc nut")
    short("order", "came", "1")
    assert "came or were cancelled since" in short.refused("undo", "act", "4")
    short("undo")
    assert order(short)["outstanding"] == 5
    assert in_bag(short, "A001N", "1.3") == 0
    short("undo", "act", "4")
    assert "no order 1" in short.refused("order", "show", "1")
    assert "no fault" in short("audit")


def test_what_does_not_fit_goes_back_and_the_old_one_is_still_there(short: Bench) -> None:
    short("inspect", "1.2", "2", "condemned", "thread pulled")
    short("order", "with", "Hollin", "2 M6x25 hex bolt")
    short("order", "came", "1")
    short("order", "back", "1", "1", "-n", "thread too coarse")
    held = {
        now["condition"]: now["quantity"]
        for item in short.json("find", "A001N")["items"]
        if item["item"] == "1.2"
        for now in item["now"]
    }
    assert held == {"as removed": 2, "condemned": 2}
    # 2 ordered, 2 came, 2 went back: 2 are awaited again, so that none is to buy.
    assert order(short)["outstanding"] == 2
    assert "M6 x 25 hex bolt" not in to_buy(short)
    short("undo")
    assert order(short)["outstanding"] == 0
    short("order", "back", "1", "1", "-q", "1", "-n", "too short", "--refund")
    # 2 came, 1 went back for the money: 0 outstanding, 1 to buy.
    assert order(short)["outstanding"] == 0
    assert to_buy(short)["M6 x 25 hex bolt"] == 1
    assert "came" in short.refused("order", "back", "1", "1", "-q", "2", "-n", "x")
    assert "no fault" in short("audit")


def test_what_is_on_the_machine_does_not_go_back(short: Bench) -> None:
    short("order", "with", "Hollin", "2.3")
    short("order", "came", "1")
    short("refit", "2.3")
    assert "on the machine" in short.refused("order", "back", "1", "1", "-n", "leaks")


def test_cancelled_is_to_buy_again(short: Bench) -> None:
    short("order", "with", "Hollin", "--list")
    assert to_buy(short) == {}
    short("order", "cancel", "1", "1")
    assert to_buy(short) == {"gasket, for Engine / Clutch: clutch cover": 1}
    short("order", "cancel", "1", "-n", "closed down")
    assert order(short)["state"] == "cancelled"
    assert sum(to_buy(short).values()) == 9
    short("undo")
    assert sum(to_buy(short).values()) == 1


def test_more_than_ordered_is_no_receipt(short: Bench) -> None:
    short("order", "with", "Hollin", "5 M8 nyloc nut")
    assert "5 are outstanding" in short.refused("order", "came", "1", "1", "-q", "6")
    assert "no line 2" in short.refused("order", "came", "1", "2")


def test_beyond_the_need_is_loose(short: Bench) -> None:
    short("order", "with", "Hollin", "8 M8 nyloc nut")
    answer = short.json("order", "came", "1")
    # 5 are wanted: 8 - 5 = 3 loose.
    assert [(put["item"], put["quantity"]) for put in answer["put"]] == [
        ("1.3", 2), ("2.2", 3), ("0.1", 3),
    ]  # fmt: skip
    assert "no fault" in short("audit")


def test_whole_packs_and_the_budget(short: Bench) -> None:
    short("price", "--currency", "eur")
    short("price", "M8 nyloc nut", "3.10", "--pack", "4", "--from", "Hollin")
    # 5 nuts are two packs of 4: 8 nuts, 2 x 3.10 = 6.20.
    assert short.json("budget")["to_come"] == 620
    short("order", "with", "Hollin Fasteners", "--list", "--carriage", "3.95")
    [nuts] = [line for line in order(short)["lines"] if "nut" in line["what"]]
    assert (nuts["quantity"], nuts["price_hundredths"]) == (8, 620)
    assert order(short)["total_hundredths"] is None  # of the gaskets nobody said
    for line, sum_ in ((1, "2.40"), (2, "2,60"), (4, "0.9")):
        short("order", "costs", "1", str(line), sum_)
    # 2.40 + 2.60 + 6.20 + 0.90 + 3.95 = 16.05
    assert order(short)["total_hundredths"] == 1605
    budget = short.json("budget")
    assert (budget["came"], budget["awaited"], budget["to_come"]) == (0, 1605, 0)
    short("order", "came", "1", str(nuts["line"]), "-q", "3")
    # Carriage and 3 of 8 nuts: 3.95 + 6.20 x 3/8 = 3.95 + 2.325 = 6.28 with halves up;
    # still to pay 16.05 - 6.28 = 9.77.
    budget = short.json("budget")
    assert (budget["came"], budget["awaited"]) == (628, 977)
    assert budget["unpriced"] == []


def test_another_currency_is_named_and_not_added(short: Bench) -> None:
    short("price", "--currency", "EUR")
    short("order", "with", "Hollin", "1.4 = 2.40")
    short("price", "--currency", "GBP")
    budget = short.json("budget")
    assert (budget["currency"], budget["awaited"]) == ("GBP", 0)
    assert "order 1, in EUR" in budget["unpriced"]
    short("undo")
    assert short.json("budget")["awaited"] == 240


def test_a_promise_a_cost_and_a_price_are_undone(short: Bench) -> None:
    """Each has the word before it back; a price whose undoing is undone counts again."""
    short("price", "--currency", "EUR")
    short("price", "M8 nyloc nut", "3.10", "--pack", "4", "--from", "Hollin")
    short("price", "M8 nyloc nut", "2.80", "--pack", "4", "--from", "Hollin")
    assert [price["price"] for price in short.json("price")["prices"]] == [280]
    short("undo")
    assert [price["price"] for price in short.json("price")["prices"]] == [310]
    undoing = max(act["number"] for act in short.json("history"))
    short("undo", "act", str(undoing))
    assert [price["price"] for price in short.json("price")["prices"]] == [280]
    short("order", "with", "Hollin", "4 M8 nyloc nut = 3.00", "--promised", "2027-01-15")
    short("order", "promised", "1", "2027-02-01")
    assert order(short)["promised"] == "2027-02-01"
    short("undo")
    assert order(short)["promised"] == "2027-01-15"
    short("order", "costs", "1", "1", "3.60")
    assert order(short)["total_hundredths"] == 360
    short("undo")
    assert order(short)["total_hundredths"] == 300
    assert short.json("audit")["faults"] == []


def test_a_price_is_undone_and_the_cheapest_way_is_taken() -> None:
    some = [Price("M6 nut", "Hollin", 50, 310), Price("M6 nut", "Dyke", 1, 12)]
    # 20 nuts: a pack of 50 for 3.10, or 20 at 0.12 = 2.40; 30 nuts: 3.10, or 3.60.
    assert price_for(some, "M6 nut", 20) == some[1]
    assert price_for(some, "M6 nut", 30) == some[0]
    assert price_for(some, "M6 nut", 20, "Hollin Fasteners") == some[0]
    assert price_for(some, "M8 nut", 20) is None
    assert cost_of(some[0], 50) == (1, 310)
    assert cost_of(some[0], 51) == (2, 620)


def test_money_is_whole_hundredths() -> None:
    assert [read_money(text) for text in ("0", "0.1", "0,10", "12.34")] == [0, 10, 10, 1234]
    assert show_money(1234567, "EUR") == "12,345.67 EUR"
    # A third of 1.00 is 0.33, two thirds are 0.67 (halves up): whole hundredths, no float.
    line = OrderLine(1, "M6 nut", 3, price=100)
    assert [line.cost(pieces) for pieces in (1, 2, 3)] == [33, 67, 100]


TAMPERED = {
    "more came than was ordered": ("UPDATE purchase_line SET quantity = 1", "but 1 ordered"),
    "a receipt of more": ("UPDATE receipt SET quantity = 4 WHERE item_id = 3", "by its order, but"),
    "an order taken out": ("DELETE FROM purchase", "order that does not stand"),
}


@pytest.mark.parametrize(("change", "said"), TAMPERED.values(), ids=TAMPERED)
def test_the_audit_sees_what_does_not_agree(short: Bench, change: str, said: str) -> None:
    short("order", "with", "Hollin", "5 M8 nyloc nut")
    short("order", "came", "1")
    with contextlib.closing(sqlite3.connect(short.file)) as connection:
        triggers = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for (name,) in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(change)
        connection.commit()
    reply = short.type("audit")
    assert reply.status == 1
    assert said in " ".join(reply.out.split())
