"""Random sequences of acts against a plain pandas table of movements, which shares no code of ours.

The model knows the rules of the trade as the README and the help say them: condemned pieces are not
sent or refitted, new ones are fitted first, the worst are scrapped first, what is short at the
firm stays away, what is counted too many comes back from "lost", else from unknown origin.
"""

import tempfile
from pathlib import Path

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
from stores.usecases.context import Context
from stores.usecases.counts import ComparePlace, CountPlace, compare_place, count_place
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, buy
from stores.usecases.outwork import SendPieces, TakeBack, send, take_back
from stores.usecases.places import LosePieces, RecoverPieces, ScrapPieces, lose, recover, scrap
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Strip, strip

FIRM, SHOP = "Brindlecote Platers", "Hollin Fasteners"
WANTED = {"1.1": 1, "1.2": 4, "1.3": 3}


class Table(Movements):
    """The model: a table of movements. ``done`` are the acts that stand, for undoing."""

    def __init__(self) -> None:
        super().__init__(WANTED)
        self.done: list[list[Row]] = []

    def write(self, rows: list[Row]) -> None:
        self.add(rows)
        self.done.append(rows)

    def undo(self) -> bool:
        if not self.done:
            return False
        self.add([(i, n, b, bs, a, s) for i, n, a, s, b, bs in self.done.pop()])
        return True

    def take(self, item: str, count: int, place: str, states: tuple[str, ...], to: str) -> bool:
        """Move so many pieces in this order of states; False where there are not so many."""
        rows = self.choose(item, count, place, states, to)
        if rows is None:
            return False
        self.write(rows)
        return True


def act(table: Table, store: Store, deed: str, item: str, n: int) -> None:
    """Do one thing in both; what one refuses the other must refuse."""
    mine = expected(table, deed, item, n)
    try:
        perform(store, table_counts(table), deed, item, n)
        theirs = True
    except StoresError:
        theirs = False
    assert theirs == mine, (deed, item, n)


def table_counts(table: Table) -> dict[str, int]:
    """What a person would find in the bag, on the model's word."""
    return {item: table.there(item, "hand") for item in WANTED}


def expected(table: Table, deed: str, item: str, n: int) -> bool:  # noqa: PLR0911, PLR0912
    match deed:
        case "pass" | "condemn":
            rows = table.choose(item, n, "hand", (RAW,), "hand")
            if rows is None:
                return False
            state = OK if deed == "pass" else BAD
            table.write([(i, c, a, s, b, state) for i, c, a, s, b, _ in rows])
            return True
        case "send":
            return table.take(item, n, "hand", (RAW, OK, NEW), "firm")
        case "back":
            return table.take(item, n, "firm", (RAW, OK, NEW), "hand")
        case "buy":
            table.write([(item, n, "shop", NEW, "hand", NEW)])
            return True
        case "refit":
            if n > WANTED[item] - table.there(item, "machine"):
                return False
            return table.take(item, n, "hand", (NEW, OK, RAW), "machine")
        case "lose":
            return table.take(item, n, "hand", (RAW, OK, NEW, BAD), "lost")
        case "recover":
            return table.take(item, n, "lost", (RAW, OK, NEW, BAD), "hand")
        case "scrap":
            return table.take(item, n, "hand", (BAD, RAW, OK, NEW), "scrapped")
        case "one missing":
            return table.take(item, 1, "hand", (RAW, OK, NEW, BAD), "lost")
        case "too many":
            lost = min(n, table.there(item, "lost"))
            rows = table.choose(item, lost, "lost", (RAW, OK, NEW, BAD), "hand") or []
            if n > lost:
                rows.append((item, n - lost, "unknown", RAW, "hand", RAW))
            table.write(rows)
            return True
        case "undo":
            return table.undo()
    raise AssertionError(deed)


def perform(store: Store, before: dict[str, int], deed: str, item: str, n: int) -> None:
    match deed:
        case "pass":
            inspect(
                Context(store),
                Inspect(item, Condition.SERVICEABLE, quantity=n, of=Condition.AS_REMOVED),
            )
        case "condemn":
            inspect(
                Context(store),
                Inspect(
                    item, Condition.CONDEMNED, quantity=n, of=Condition.AS_REMOVED, reason="bent"
                ),
            )
        case "send":
            send(Context(store), SendPieces([item], FIRM, str(n)))
        case "back":
            take_back(Context(store), TakeBack(FIRM, [item], str(n)))
        case "buy":
            buy(Context(store), Buy(item, str(n), SHOP))
        case "refit":
            refit(Context(store), Refit(item, n, as_it_came=True))
        case "lose":
            lose(Context(store), LosePieces(item, str(n)))
        case "recover":
            recover(Context(store), RecoverPieces(item, str(n)))
        case "scrap":
            scrap(Context(store), ScrapPieces(item, str(n), reason="worn"))
        case "one missing" | "too many":
            # The model has moved already: it says what a person finds in the bag now.
            found = [f"{ref}={count}" for ref, count in before.items()]
            if deed == "one missing" and not any(
                line.expected != line.found
                for line in compare_place(Context(store), ComparePlace("A001N", found)).lines
            ):
                raise StoresError("there was none to go missing")
            count_place(Context(store), CountPlace("A001N", found, "counted"))
        case "undo":
            undo(Context(store), Undo())


DEEDS = st.tuples(
    st.sampled_from(
        ("pass", "condemn", "send", "back", "buy", "refit", "lose", "recover", "scrap",
         "one missing", "too many", "undo")
    ),
    st.sampled_from(("1.2", "1.2", "1.3")),
    st.sampled_from((1, 1, 1, 2, 2, 3, 5)),
)  # fmt: skip

PLACES = {
    "bag": "hand", "firm": "firm", "machine": "machine", "lost": "lost", "scrapped": "scrapped",
    "came with the machine": "came", "bought from": "shop", "unknown origin": "unknown",
}  # fmt: skip


def ours(store: Store) -> dict[tuple[str, str, str], int]:
    with store.reading() as connection:
        return {
            (item.ref, PLACES[h.kind.value], h.condition.value): h.quantity
            for item in read_items(connection)
            for h in item.holdings
            if h.quantity
        }


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("stripped") / "stores.db"
    with open_store(str(file), create=True) as store:
        add_machine(Context(store), AddMachine("Orrick Plover"))
        strip(
            Context(store),
            Strip("Engine", "cover", ["4 M6x25 hex bolt", "3 M8x20 hex bolt"], bag="new"),
        )
    return file


# Each rule of which piece comes first, met for certain: chance alone would seldom have condemned,
# new and old pieces of one item side by side.
WORST_ARE_SCRAPPED_FIRST = [
    ("condemn", "1.2", 1), ("pass", "1.2", 2), ("scrap", "1.2", 2), ("undo", "1.2", 1),
    ("buy", "1.2", 2), ("scrap", "1.2", 4), ("scrap", "1.2", 5), ("undo", "1.2", 1),
]  # fmt: skip
NEW_ARE_FITTED_FIRST = [
    ("pass", "1.3", 1), ("buy", "1.3", 1), ("refit", "1.3", 2), ("refit", "1.3", 2),
    ("refit", "1.3", 1), ("undo", "1.3", 1), ("lose", "1.3", 1), ("undo", "1.3", 1),
]  # fmt: skip
CONDEMNED_ARE_NOT_SENT = [
    ("condemn", "1.2", 2), ("send", "1.2", 3), ("buy", "1.2", 1), ("send", "1.2", 3),
    ("back", "1.2", 1), ("back", "1.2", 3), ("back", "1.2", 2), ("undo", "1.2", 1),
]  # fmt: skip
LOST_COME_BACK_FIRST = [
    ("pass", "1.2", 2), ("lose", "1.2", 3), ("too many", "1.2", 2), ("too many", "1.2", 3),
    ("one missing", "1.2", 1), ("recover", "1.2", 2), ("recover", "1.2", 1), ("undo", "1.2", 1),
]  # fmt: skip


@given(deeds=st.lists(DEEDS, min_size=8, max_size=20))
@example(deeds=WORST_ARE_SCRAPPED_FIRST)
@example(deeds=NEW_ARE_FITTED_FIRST)
@example(deeds=CONDEMNED_ARE_NOT_SENT)
@example(deeds=LOST_COME_BACK_FIRST)
@settings(max_examples=examples(3, 12), deadline=None)
def test_any_sequence_of_acts_leaves_the_pieces_where_the_table_has_them(
    stripped: Path, deeds: list[tuple[str, str, int]]
) -> None:
    follow(stripped, deeds)


@pytest.mark.slow
@given(deeds=st.lists(DEEDS, min_size=12, max_size=30))
@settings(max_examples=16, deadline=None)
def test_many_long_sequences_too(stripped: Path, deeds: list[tuple[str, str, int]]) -> None:
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
                if deed == "undo" and not table.done:
                    continue  # the step itself stays
                act(table, store, deed, item, n)
                assert ours(store) == table.balance(), (deed, item, n)
            assert audit(Context(store)).faults == ()
