"""No euro twice: the costs of all machines and the workshop are a plain sum of what was paid.

Orders, receipts, goods sent back, things bought and entered, drawn by machines and taken back, at
random. The plain sum shares no code with ours: of each line of an order its price by the share that
came and was kept, to the nearest hundredth; carriage once something of the order came; and what was
paid without an order.
"""

import copy
import tempfile
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest
from conftest import examples
from hypothesis import example, given, settings
from hypothesis import strategies as st
from postgres import copy_of

from stores.errors import StoresError
from stores.storage import Store, open_store
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
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
    place_order,
    price_order_line,
    receive_order,
    send_to_supplier,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import all_costs
from stores.usecases.stock import Enter, UseUp, enter, use_up
from stores.usecases.strip import Strip, strip

MACHINES = ("Orrick Plover", "Hollin Tern")
LINES = (
    ("7 M6 nyloc nut", 7),
    ("3 x 50 ml medium threadlocker", 3),
    ("2 assortment: 3 M4 nut, 4 M5 nut", 2),
)
"""What each order is of, and how much that is as a person counts it."""
CARRIAGE = 395


@dataclass
class Line:
    of: int
    price: int | None
    came: int = 0
    back: int = 0
    cancelled: int = 0

    @property
    def outstanding(self) -> int:
        return max(0, self.of - self.came + self.back - self.cancelled)


@dataclass
class Plain:
    """What was ordered, came and was paid, as on a sheet of paper."""

    orders: list[list[Line]] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    """What the stores call the orders: a number is never used twice, even after an undo."""
    paid: list[int] = field(default_factory=list)

    @property
    def sum(self) -> int:
        every = sum(self.paid)
        for lines in self.orders:
            every += CARRIAGE if any(line.came for line in lines) else 0
            for line in lines:
                if line.price is not None:
                    share = Decimal(line.price) * (line.came - line.back) / line.of
                    every += int(share.quantize(Decimal(1), ROUND_HALF_UP))
        return every


def on_paper(plain: Plain, deed: str, at: int, n: int, number: int) -> None:
    """Write down what was done, once the stores have it."""
    lines = plain.orders[-1] if plain.orders else []
    match deed:
        case "order" | "order for stock":
            plain.numbers.append(number)
            plain.orders.append(
                [Line(7, 100 * n + 1), Line(3, None if n == 3 else 777), Line(2, 640)]
            )
        case "came":
            lines[at].came += n
        case "back" | "refund":
            lines[at].back += n
            lines[at].cancelled += n if deed == "refund" else 0
        case "cancel":
            for line in lines:
                line.cancelled += line.outstanding
        case "invoice":
            lines[at].price = 333 * n
        case "buy" | "buy for stock" | "enter":
            plain.paid.append(1000 + n)


def perform(store: Store, plain: Plain, deed: str, at: int, n: int) -> int:
    """Do it; return the number of the order that was placed, 0 for none."""
    context = Context(store, machine=MACHINES[n % 2])
    last = plain.numbers[-1] if plain.numbers else 0
    match deed:
        case "order" | "order for stock":
            nuts, lock, sizes = (text for text, _ in LINES)
            texts = [f"{nuts} = {n}.01", lock if n == 3 else f"{lock} = 7.77", f"{sizes} = 6.40"]
            ask = PlaceOrder("Hollin", texts, carriage="3.95", stock=deed == "order for stock")
            return place_order(context, ask).order
        case "came":
            receive_order(Context(store), ReceiveOrder(last, [at + 1], str(n)))
        case "back" | "refund":
            send_to_supplier(
                context, SendToSupplier(last, at + 1, str(n), "leaks", refund=deed == "refund")
            )
        case "cancel":
            cancel_order(context, CancelOrder(last))
        case "invoice":
            price_order_line(context, PriceOrderLine(last, at + 1, f"{333 * n / 100:.2f}"))
        case "buy" | "buy for stock":
            price = f"{(1000 + n) / 100:.2f}"
            buy(context, Buy(LINES[at][0], price=price, stock=deed == "buy for stock"))
        case "enter":
            price = f"{(1000 + n) / 100:.2f}"
            enter(context, Enter([LINES[at][0]], supplier="Hollin", price=price))
        case "use":
            use_up(context, UseUp(f"0.{at + n}", step=1))
        case "use some":
            use_up(context, UseUp(f"0.{n}", "17 ml" if at else "1", step=1))
        case "spill":
            use_up(context, UseUp(f"0.{at + n}", None, "spilt"))
        case "refit":
            refit(context, Refit("1", as_it_came=True))
    return 0


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("costs") / "stores.db"
    with open_store(str(file), create=True) as store:
        for name in MACHINES:
            add_machine(Context(store), AddMachine(name))
            strip(Context(store, machine=name), Strip("Engine", "cover", ["4 M6 nyloc nut"]))
    return file


DEEDS = st.tuples(
    st.sampled_from(
        ("order", "order for stock", "came", "came", "came", "back", "refund", "cancel", "invoice",
         "buy", "buy for stock", "enter", "use", "use some", "spill", "refit", "undo")
    ),
    st.sampled_from((0, 1, 2)),
    st.sampled_from((1, 1, 2, 3)),
)  # fmt: skip

DRAWN_AND_SENT_BACK = [
    ("order for stock", 0, 2), ("came", 1, 2), ("came", 0, 3), ("use some", 1, 1), ("refund", 1, 1),
    ("refit", 0, 1), ("invoice", 1, 3), ("came", 0, 3), ("refit", 0, 2), ("cancel", 0, 1),
    ("undo", 0, 1), ("undo", 0, 1),
]  # fmt: skip
AN_ORDER_UNDONE = [
    ("order for stock", 1, 2), ("came", 0, 1), ("order for stock", 2, 1), ("undo", 0, 2),
    ("order", 1, 2), ("came", 0, 2), ("order for stock", 1, 1), ("came", 0, 3),
]  # fmt: skip
ALL_CANCELLED_BUT_THE_WORKSHOPS = [
    ("order", 0, 1), ("came", 2, 1), ("came", 1, 1), ("cancel", 0, 1), ("refund", 2, 1),
    ("use", 0, 1),
]  # fmt: skip


@given(deeds=st.lists(DEEDS, min_size=6, max_size=16))
@example(deeds=DRAWN_AND_SENT_BACK)
@example(deeds=ALL_CANCELLED_BUT_THE_WORKSHOPS)
@example(deeds=AN_ORDER_UNDONE)
@settings(max_examples=examples(4, 10), deadline=None)
def test_all_that_was_paid_is_in_one_of_the_costs(
    stripped: Path, deeds: list[tuple[str, int, int]]
) -> None:
    follow(stripped, deeds)


@pytest.mark.slow
@given(deeds=st.lists(DEEDS, min_size=15, max_size=40))
@settings(max_examples=8, deadline=None)
def test_many_long_sequences_of_costs(stripped: Path, deeds: list[tuple[str, int, int]]) -> None:
    follow(stripped, deeds)


def follow(stripped: Path, deeds: list[tuple[str, int, int]]) -> None:
    plain, before = Plain(), []
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "stores.db"
        copy_of(stripped, file)
        with open_store(str(file)) as store:
            for deed, at, n in deeds:
                number = 0
                try:
                    if deed == "undo":
                        if not before:
                            continue
                        undo(Context(store), Undo())
                    else:
                        number = perform(store, plain, deed, at, n)
                except StoresError:
                    continue
                if deed == "undo":
                    plain = before.pop()
                else:
                    before.append(copy.deepcopy(plain))
                    on_paper(plain, deed, at, n, number)
                every = all_costs(Context(store)).costs
                assert sum(each.paid for each in every) == plain.sum, (deed, at, n)
                assert sum(each.drawn for each in every) == 0
                assert all(each.paid >= 0 for each in every)
            assert not audit(Context(store)).faults
