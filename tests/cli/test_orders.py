"""Orders: placed from the list or typed, received in part, sent back, cancelled; what they cost.

Arithmetic by hand. Short are 5 self-locking nuts (2 and 3, renewed as a rule) and 2 gaskets. Nuts
are 3.10 for a pack of 4: 5 nuts are 2 packs, so 8 nuts for 2 x 3.10 = 6.20; with carriage of 3.95
that is 10.15; the gaskets have no price and are in no sum.
"""

import pytest
from conftest import Bench

from stores.errors import BadValue
from stores.model.money import read_money


@pytest.fixture
def joints(bench: Bench) -> Bench:
    bench("strip", "Engine/Clutch", "clutch cover", "2 M8 nyloc nut", "1 gasket")
    bench("strip", "Engine/Gearbox", "end cover", "3 M8 nyloc nut", "1 gasket")
    bench("price", "M8 nyloc nut", "3.10", "--pack", "4")
    return bench


def to_buy(bench: Bench) -> int:
    return sum(line["quantity"] for line in bench.json("shopping")["lines"])


def line_of(bench: Bench, what: str) -> dict[str, int]:
    lines = bench.json("order", "show", "1")["lines"]
    return next(line for line in lines if what in line["what"])


def test_whole_packs_at_their_price_and_nothing_ordered_twice(joints: Bench) -> None:
    before = to_buy(joints)
    joints("order", "with", "Hollin", "--list", "--carriage", "3.95", "--promised", "2027-01-15")
    nuts = line_of(joints, "self-locking")
    assert (nuts["quantity"], nuts["price_hundredths"]) == (8, 620)
    assert to_buy(joints) == 0
    assert "10.15  on order" in joints("budget")
    joints("undo")
    assert to_buy(joints) == before


def test_received_in_part_into_the_bags_sent_back_and_awaited_again(joints: Bench) -> None:
    joints("order", "with", "Hollin", "8 M8 nyloc nut = 6.20")
    joints("order", "came", "1", "1", "-q", "3")
    nuts = line_of(joints, "self-locking")
    assert (nuts["received"], nuts["outstanding"]) == (3, 5)
    joints("order", "back", "1", "1", "-q", "2", "-n", "thread too coarse")
    nuts = line_of(joints, "self-locking")
    assert (nuts["sent_back"], nuts["outstanding"]) == (2, 7)
    assert "no fault" in joints("audit")
    joints("undo")
    assert line_of(joints, "self-locking")["outstanding"] == 5
    joints("undo")
    assert line_of(joints, "self-locking")["outstanding"] == 8
    assert "no fault" in joints("audit")


def test_what_is_cancelled_is_to_buy_again(joints: Bench) -> None:
    before = to_buy(joints)
    joints("order", "with", "Hollin", "5 M8 nyloc nut")
    assert to_buy(joints) == before - 8  # the list has whole packs: 2 of 4
    joints("order", "cancel", "1")
    assert to_buy(joints) == before
    joints("undo")
    assert to_buy(joints) == before - 8  # the list has whole packs: 2 of 4


@pytest.mark.parametrize(
    ("text", "hundredths"), [("0.07", 7), ("4,2", 420), ("12", 1200), ("20000000", 2_000_000_000)]
)
def test_sums_are_whole_hundredths(text: str, hundredths: int) -> None:
    assert read_money(text) == hundredths


@pytest.mark.parametrize("text", ["", "-1", "1.234", "1e3", "20000000.01", "four"])
def test_no_sum(text: str) -> None:
    with pytest.raises(BadValue):
        read_money(text)
