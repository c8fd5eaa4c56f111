"""Orders, batches, write-offs and returns at random, against a plain pandas table of movements.

As in `test_against_a_table`, the model shares no code of ours; it knows the rules as the help says
them: what nobody has looked over does not go on; what comes of an order goes to the joint that is
short, the rest lies loose; only what came and is still new in hand goes back to the supplier, and
is awaited again; condemned pieces go into no batch; what a batch holds is free for no other; what
is written off is lost.
"""

import copy
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pandas as pd
import pytest
from conftest import examples
from hypothesis import example, given, settings
from hypothesis import strategies as st
from postgres import copy_of
from table_of_movements import BAD, NEW, OK, RAW, Movements, Row

from stores.errors import StoresError
from stores.model.ledger import Condition
from stores.storage import Store, open_store
from stores.storage.items import read_items
from stores.storage.orders import read_on_order, read_orders
from stores.storage.outwork import read_batches
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import (
    CancelOrder,
    PlaceOrder,
    ReceiveOrder,
    SendToSupplier,
    cancel_order,
    place_order,
    receive_order,
    send_to_supplier,
)
from stores.usecases.outwork import (
    BeginBatch,
    CountBatchBack,
    PutIntoBatch,
    SendBatch,
    WriteOff,
    begin_batch,
    count_batch_back,
    put_into_batch,
    send_batch,
    write_off,
)
from stores.usecases.places import LosePieces, lose
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Strip, strip

FIRM, SHOP = "Brindlecote Platers", "Hollin Fasteners"
WANTED = {"1.1": 1, "1.2": 4, "1.3": 3}
TEXTS = {"1.2": "M6 x 25 hex bolt", "1.3": "M8 x 20 hex bolt"}


@dataclass
class Ordered:
    """An order of one line: how many of what, who got them so far, and what was cancelled."""

    item: str
    pieces: int
    lots: dict[str, int] = field(default_factory=dict)
    cancelled: int = 0

    @property
    def outstanding(self) -> int:
        return max(0, self.pieces - self.cancelled - sum(self.lots.values()))


@dataclass
class Batch:
    """A batch: what was put in, and once it is sent what of it is still away."""

    lines: dict[str, int] = field(default_factory=dict)
    away: dict[str, int] = field(default_factory=dict)
    sent: bool = False


class Table(Movements):
    """The model: a table of movements, and what was ordered and put into batches."""

    def __init__(self) -> None:
        super().__init__(WANTED)
        self.orders: list[Ordered] = []
        self.batches: list[Batch] = []
        self.before: list[tuple[pd.DataFrame, list[Ordered], list[Batch]]] = []

    def keep(self) -> None:
        self.before.append((self.moves, copy.deepcopy(self.orders), copy.deepcopy(self.batches)))

    def write(self, rows: list[Row]) -> bool:
        self.add(rows)
        return True

    def short(self, item: str) -> int:
        """What is to be bought: not on the machine, not in hand, not coming back."""
        usable = sum(self.there(item, place, RAW, OK, NEW) for place in ("hand", "firm"))
        return max(0, WANTED[item] - self.there(item, "machine") - usable)

    def held(self, item: str, *, but: Batch) -> int:
        """What batches that are not sent hold of it."""
        return sum(b.lines.get(item, 0) for b in self.batches if not b.sent and b is not but)


def model(table: Table, deed: str, item: str, n: int) -> bool:  # noqa: PLR0911, PLR0912
    """Do one thing in the table; tell whether it may be done."""
    making = next((b for b in reversed(table.batches) if not b.sent), None)
    away = next((b for b in table.batches if b.sent and b.away.get(item)), None)
    order = next((o for o in table.orders if o.item == item and o.outstanding), None)
    came = next((o for o in table.orders if o.item == item and sum(o.lots.values())), None)
    match deed:
        case "condemn" | "pass":
            rows = table.choose(item, n, "hand", (RAW,), "hand")
            state = BAD if deed == "condemn" else OK
            changed = [(i, c, a, s, b, state) for i, c, a, s, b, _ in rows or []]
            return rows is not None and table.write(changed)
        case "refit":
            if n > WANTED[item] - table.there(item, "machine"):
                return False
            own = min(n, table.there(item, "hand", RAW, OK, NEW))
            rows = table.choose(item, own, "hand", (NEW, OK, RAW), "machine") or []
            loose = f"loose {item}"
            drawn = table.choose(loose, n - own, "hand", (NEW, OK), "lent")
            if drawn is None:
                return False
            if any(state == RAW for *_, state in rows):
                return False  # nobody has looked them over
            passed = [(item, c, "lent", s, "machine", s) for _, c, _, s, _, _ in drawn]
            return table.write([*rows, *drawn, *passed])
        case "lose":
            rows = table.choose(item, n, "hand", (RAW, OK, NEW, BAD), "lost")
            return rows is not None and table.write(rows)
        case "order":
            table.orders.append(Ordered(item, n))
            return True
        case "receive":
            if order is None or n > order.outstanding:
                return False
            mine = min(n, table.short(item))
            for who, count in ((item, mine), (f"loose {item}", n - mine)):
                if count:
                    order.lots[who] = order.lots.get(who, 0) + count
                    table.write([(who, count, "shop", NEW, "hand", NEW)])
            return True
        case "order back":
            if came is None or n > sum(came.lots.values()):
                return False
            rows, left = [], n
            for who in (item, f"loose {item}"):
                some = min(left, came.lots.get(who, 0), table.there(who, "hand", NEW))
                if some > 0:
                    rows.append((who, some, "hand", NEW, "shop", NEW))
                    left -= some
            if left:
                return False
            for who, some, *_ in rows:
                came.lots[str(who)] -= int(str(some))
            return table.write(rows)
        case "cancel":
            if order is None:
                return False
            order.cancelled += order.outstanding
            return True
        case "begin":
            table.batches.append(Batch())
            return True
        case "put":
            if making is None:
                return False
            free = table.there(item, "hand", RAW, OK, NEW) - table.held(item, but=making)
            if n > free:
                return False
            making.lines[item] = n
            return True
        case "ship":
            if making is None or not making.lines:
                return False
            moved: list[Row] = []
            for what, count in making.lines.items():
                rows = table.choose(what, count, "hand", (RAW, OK, NEW), "firm")
                if rows is None:
                    return False
                moved += rows
            making.sent, making.away = True, dict(making.lines)
            return table.write(moved)
        case "batch back" | "write off":
            if away is None or n > away.away[item]:
                return False
            rows = table.choose(item, n, "firm", (RAW, OK, NEW), "hand" if "k" in deed else "lost")
            away.away[item] -= n
            return rows is not None and table.write(rows)
    raise AssertionError(deed)


def perform(store: Store, deed: str, item: str, n: int) -> None:  # noqa: PLR0912
    """Do the same in a stores: the newest batch that is made up, the oldest that has it away."""
    with store.reading() as connection:
        batches = read_batches(connection)
        orders = [o for o in read_orders(connection) if o.lines[0].text == TEXTS.get(item)]
    making = next((b.number for b in reversed(batches) if not b.sent), 0)
    away = next(
        (b.number for b in batches if any(x.item.ref == item and x.away for x in b.lines)), 0
    )
    order = next((o.number for o in orders if o.outstanding), 0)
    came = next((o.number for o in orders if o.lines[0].kept), 0)
    match deed:
        case "condemn":
            inspect(
                Context(store),
                Inspect(
                    item, Condition.CONDEMNED, quantity=n, of=Condition.AS_REMOVED, reason="bent"
                ),
            )
        case "pass":
            inspect(
                Context(store),
                Inspect(item, Condition.SERVICEABLE, quantity=n, of=Condition.AS_REMOVED),
            )
        case "refit":
            refit(Context(store), Refit(item, n))
        case "lose":
            lose(Context(store), LosePieces(item, str(n)))
        case "order":
            place_order(Context(store), PlaceOrder(SHOP, [f"{n} {TEXTS[item]}"]))
        case "receive":
            receive_order(Context(store), ReceiveOrder(order, [1], str(n)))
        case "order back":
            send_to_supplier(Context(store), SendToSupplier(came, 1, str(n), "does not fit"))
        case "cancel":
            cancel_order(Context(store), CancelOrder(order))
        case "begin":
            begin_batch(Context(store), BeginBatch(FIRM, "zinc"))
        case "put":
            put_into_batch(Context(store), PutIntoBatch(making, [item], str(n)))
        case "ship":
            send_batch(Context(store), SendBatch(making))
        case "batch back":
            count_batch_back(Context(store), CountBatchBack(away, [item], str(n)))
        case "write off":
            write_off(Context(store), WriteOff(away, [item], str(n), "not to be found"))


PLACES = {
    "bag": "hand", "bench": "hand", "firm": "firm", "machine": "machine", "lost": "lost",
    "scrapped": "scrapped", "came with the machine": "came", "bought from": "shop",
    "put to another joint": "lent",
}  # fmt: skip


def ours(store: Store) -> dict[tuple[str, str, str], int]:
    of_text = {text: ref for ref, text in TEXTS.items()}
    found: dict[tuple[str, str, str], int] = {}
    with store.reading() as connection:
        for item in read_items(connection):
            who = item.ref if item.step.number else f"loose {of_text[item.as_found.text]}"
            for h in item.holdings:
                key = (who, PLACES[h.kind.value], h.condition.value)
                found[key] = found.get(key, 0) + h.quantity
    return {key: count for key, count in found.items() if count}


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("ordered") / "stores.db"
    with open_store(str(file), create=True) as store:
        add_machine(Context(store), AddMachine("Orrick Plover"))
        strip(
            Context(store),
            Strip("Engine", "cover", [f"4 {TEXTS['1.2']}", f"3 {TEXTS['1.3']}"], bag="new"),
        )
    return file


DEEDS = st.tuples(
    st.sampled_from(
        ("condemn", "condemn", "pass", "refit", "lose", "order", "order", "receive", "receive",
         "order back", "cancel", "begin", "put", "put", "ship", "batch back", "write off", "undo")
    ),
    st.sampled_from(("1.2", "1.2", "1.3")),
    st.sampled_from((1, 1, 2, 2, 3, 5)),
)  # fmt: skip

# Ways that chance would seldom go whole.
AN_ORDER_THAT_DOES_NOT_FIT = [
    ("condemn", "1.2", 2), ("pass", "1.2", 1), ("order", "1.2", 5), ("receive", "1.2", 3),
    ("receive", "1.2", 3),
    ("order back", "1.2", 3), ("receive", "1.2", 2), ("undo", "1.2", 1), ("cancel", "1.2", 1),
    ("receive", "1.2", 1), ("undo", "1.2", 1), ("receive", "1.2", 5), ("refit", "1.2", 3),
    ("refit", "1.2", 2), ("order back", "1.2", 5), ("order back", "1.2", 2),
]  # fmt: skip
SHORT_AT_THE_PLATER = [
    ("begin", "1.2", 1), ("put", "1.2", 3), ("put", "1.3", 3), ("begin", "1.2", 1),
    ("put", "1.2", 2), ("put", "1.2", 1), ("ship", "1.2", 1), ("ship", "1.2", 1),
    ("batch back", "1.2", 2), ("write off", "1.2", 1), ("write off", "1.2", 3),
    ("batch back", "1.3", 2), ("write off", "1.3", 1), ("undo", "1.3", 1), ("lose", "1.2", 2),
]  # fmt: skip
WHAT_IS_GONE_IS_NOT_SENT = [
    ("begin", "1.2", 1), ("put", "1.2", 3), ("lose", "1.2", 2), ("ship", "1.2", 1),
    ("undo", "1.2", 1), ("condemn", "1.2", 2), ("ship", "1.2", 1),
]  # fmt: skip


@given(deeds=st.lists(DEEDS, min_size=8, max_size=20))
@example(deeds=AN_ORDER_THAT_DOES_NOT_FIT)
@example(deeds=SHORT_AT_THE_PLATER)
@example(deeds=WHAT_IS_GONE_IS_NOT_SENT)
@settings(max_examples=examples(4, 12), deadline=None)
def test_orders_and_batches_leave_the_pieces_where_the_table_has_them(
    stripped: Path, deeds: list[tuple[str, str, int]]
) -> None:
    follow(stripped, deeds)


@pytest.mark.slow
@given(deeds=st.lists(DEEDS, min_size=15, max_size=40))
@settings(max_examples=10, deadline=None)
def test_many_long_sequences_of_orders_and_batches(
    stripped: Path, deeds: list[tuple[str, str, int]]
) -> None:
    follow(stripped, deeds)


def follow(stripped: Path, deeds: list[tuple[str, str, int]]) -> None:
    """Do all of it in a stores and in the table, and compare after each act."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "stores.db"
        copy_of(stripped, file)
        table = Table()
        with open_store(str(file)) as store:
            assert ours(store) == table.balance()
            for deed, item, n in deeds:
                if deed == "undo":
                    if table.before:
                        table.moves, table.orders, table.batches = table.before.pop()
                        undo(Context(store), Undo())
                else:
                    table.keep()
                    wanted = model(table, deed, item, n)
                    if not wanted:
                        table.moves, table.orders, table.batches = table.before.pop()
                    try:
                        perform(store, deed, item, n)
                        done = True
                    except StoresError:
                        done = False
                    assert done == wanted, (deed, item, n)
                assert ours(store) == table.balance(), (deed, item, n)
                with store.reading() as connection:
                    coming = sum(one.quantity for one in read_on_order(connection, 1))
                assert coming == sum(order.outstanding for order in table.orders)
            assert audit(Context(store)).faults == ()
