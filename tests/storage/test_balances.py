"""Balances against an independent sum, on random working days."""

import pandas as pd
from conftest import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stores.errors import StoresError
from stores.model.ledger import Balance, Condition
from stores.storage import Store, open_store
from stores.storage.balances import balance_of
from stores.storage.items import read_items
from stores.storage.machines import read_machines
from stores.storage.whole import read_record
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, buy
from stores.usecases.outwork import SendPieces, TakeBack, send, take_back
from stores.usecases.places import (
    AssignPieces,
    LosePieces,
    MovePieces,
    RecoverPieces,
    ScrapPieces,
    StowPlaces,
    assign,
    lose,
    move,
    recover,
    scrap,
    stow,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Loose, Strip, loose, strip

refs = st.sampled_from(["1", "1.1", "1.2", "2", "2.1", "2.2", "3.1", "3.2"])
counts = st.one_of(st.none(), st.integers(1, 4))
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("strip"), st.integers(1, 6)),
        st.tuples(st.just("inspect"), refs, counts, st.sampled_from(list(Condition))),
        st.tuples(st.just("move"), refs, counts, st.sampled_from(["bench", "box 1", "new"])),
        st.tuples(st.just("lose"), refs, counts),
        st.tuples(st.just("scrap"), refs, counts),
        st.tuples(st.just("send"), refs, counts),
        st.tuples(st.just("back"), counts),
        st.tuples(st.just("buy"), st.integers(1, 6)),
        st.tuples(st.just("refit"), refs, counts),
        st.tuples(st.just("specify"), refs, st.sampled_from(["4 M6x25 bolt", "2 M6x30 bolt"])),
        st.tuples(st.just("loose"), st.integers(1, 3)),
        st.tuples(st.just("assign"), st.sampled_from(["0.1", "0.2", "1.2"]), refs, counts),
        st.tuples(st.just("recover"), refs, counts),
        st.tuples(st.just("bag"), st.sampled_from(["A001N", "A003J"]), st.booleans()),
        st.tuples(st.just("machine"), st.sampled_from(["Tern", "Dunlin"])),
        st.tuples(st.just("undo"), st.one_of(st.none(), st.integers(1, 20))),
    ),
    max_size=12,
)


def typed(count: int | None) -> str | None:
    return None if count is None else str(count)


def do(store: Store, deed: tuple) -> None:  # type: ignore[type-arg]  # noqa: PLR0912
    kind, *rest = deed
    context = Context(store)
    if kind == "strip":
        strip(Context(store), Strip("Engine", "cover", [f"{rest[0]} M6x25 bolt", "1 gasket"]))
    elif kind == "inspect":
        inspect(Context(store), Inspect(rest[0], rest[2], quantity=rest[1], reason="looked"))
    elif kind == "move":
        move(context, MovePieces(rest[0], rest[2], typed(rest[1])))
    elif kind == "lose":
        lose(context, LosePieces(rest[0], typed(rest[1])))
    elif kind == "scrap":
        scrap(context, ScrapPieces(rest[0], typed(rest[1])))
    elif kind == "send":
        send(context, SendPieces([rest[0]], "Brindlecote", typed(rest[1])))
    elif kind == "back":
        take_back(context, TakeBack("Brindlecote", quantity=typed(rest[0])))
    elif kind == "buy":
        buy(Context(store), Buy(f"{rest[0]} M6x25 bolt"))
    elif kind == "refit":
        refit(Context(store), Refit(rest[0], rest[1], anyway=True))
    elif kind == "specify":
        specify(Context(store), Specify(rest[0], rest[1]))
    elif kind == "loose":
        loose(Context(store), Loose(f"{rest[0]} M6x25 bolt"))
    elif kind == "assign":
        assign(context, AssignPieces(rest[0], rest[1], typed(rest[2])))
    elif kind == "recover":
        recover(context, RecoverPieces(rest[0], typed(rest[1])))
    elif kind == "bag":
        if rest[1]:
            stow(context, StowPlaces([rest[0]], "box 2"))
        else:
            move(context, MovePieces(rest[0], "shelf 1"))
    elif kind == "machine":
        add_machine(Context(store), AddMachine(rest[0]))
    else:
        undo(Context(store), Undo(rest[0]))


@settings(
    max_examples=examples(6, 25),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(deeds)
def test_a_working_day_keeps_every_piece(begun, tmp_path_factory, day) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path_factory.mktemp("day") / "stores.db"
    file.write_bytes(begun.read_bytes())
    done = 0
    with open_store(str(file)) as store:
        for deed in [("strip", 3), *day]:
            try:
                do(store, deed)
            except StoresError:
                continue
            done += 1
        with store.reading() as connection:
            moves = pd.read_sql("SELECT * FROM movement", connection)
            kinds = pd.read_sql("SELECT id, kind FROM place", connection).set_index("id")["kind"]
            ours = balance_of(connection, None)
            replayed = Balance.of(
                move for act in read_record(connection)[0].acts.values() for move in act.movements
            )
            shown = {
                (item.number, holding.condition): holding.quantity
                for item in read_items(connection)
                for holding in item.holdings
            }
        assert audit(Context(store)).faults == ()
        assert {item for item, _, _ in ours} == {item for item, _ in shown}
        arrived = moves.rename(columns={"to_place": "place", "to_condition": "condition"})
        left = moves.rename(columns={"from_place": "place", "from_condition": "condition"})
        both = pd.concat([arrived, left.assign(quantity=-left["quantity"])])
        sums = both.groupby(["item_id", "place", "condition"])["quantity"].sum()
        theirs = {key: int(count) for key, count in sums.items() if count}

        assert theirs == {(i, spot.place, spot.condition.value): n for i, spot, n in ours}
        assert replayed == ours
        assert moves.empty or (both.groupby("item_id")["quantity"].sum() == 0).all()
        inside = {"machine", "bag", "box", "shelf", "bench", "firm"}
        assert all(count > 0 for (_, place, _), count in theirs.items() if kinds[place] in inside)

        while True:
            try:
                undo(Context(store), Undo())
            except StoresError:
                break
        with store.reading() as connection:
            assert len(balance_of(connection, None)) == 0
            assert read_machines(connection) == []
