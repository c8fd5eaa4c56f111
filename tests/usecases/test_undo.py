"""Undo: what stands in the way is named, the last deed comes first, and all of it ends at zero."""

import contextlib
import random
import tempfile
from pathlib import Path

import pytest
from conftest import examples
from hypothesis import example, given, settings
from hypothesis import strategies as st
from postgres import copy_of
from undone_to_nothing import undo_to_nothing

from stores.errors import Refused, StoresError
from stores.model.ledger import ActKind
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.counts import CountPlace, count_place
from stores.usecases.history import AskAudit, Undo, audit, history, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.orders import Buy, PlaceOrder, ReceiveOrder, buy, place_order, receive_order
from stores.usecases.outwork import (
    BeginBatch,
    CountBatchBack,
    ListBatches,
    PutIntoBatch,
    SendBatch,
    SendPieces,
    TakeBack,
    batches,
    begin_batch,
    count_batch_back,
    put_into_batch,
    send,
    send_batch,
    take_back,
)
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

FIRM, SHOP = "Brindlecote Platers", "Hollin Fasteners"
COVER = Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M6x25 hex bolt"])


def later_of(refused: pytest.ExceptionInfo[Refused]) -> list[int]:
    return [each.number for each in refused.value.facts["later"]]


def test_pieces_that_moved_on_and_came_back_have_moved_on(context: Context) -> None:
    strip(context, COVER)
    bought = buy(context, Buy("1.2", "2", SHOP)).act
    there = move(context, MovePieces("1.2", "shelf 1", "2", "new")).act
    back = move(context, MovePieces("1.2", "A001N", "2", "new")).act
    with pytest.raises(Refused, match="moved on since") as refused:
        undo(context, Undo(bought, "act"))
    assert later_of(refused) == [back, there]
    assert refused.value.hint is not None
    assert refused.value.hint.values == {"act": back}
    for act in (*later_of(refused), bought):
        undo(context, Undo(act, "act"))
    assert audit(context).faults == ()


def test_only_what_used_the_pieces_is_in_the_way(context: Context) -> None:
    strip(context, COVER)
    passed = inspect(context, Inspect("1.2", "serviceable", quantity=2)).act
    inspect(context, Inspect("1.3", "serviceable"))
    move(context, MovePieces("1.2", "bench", "1", "as removed"))
    used = refit(context, Refit("1.2", 2)).act
    with pytest.raises(Refused) as refused:
        undo(context, Undo(passed, "act"))
    assert later_of(refused) == [used]
    (named,) = refused.value.facts["later"]
    assert named.kind is ActKind.REFIT
    assert len(named.day) == 10


def test_items_of_a_step_with_pieces_from_elsewhere_name_the_acts_too(context: Context) -> None:
    step = strip(context, COVER).act
    bought = buy(context, Buy("1.2", "2", SHOP)).act
    with pytest.raises(Refused) as refused:
        undo(context, Undo(step, "act"))
    assert later_of(refused) == [bought]


def test_what_was_brought_back_is_the_last_deed(context: Context) -> None:
    strip(context, COVER)
    first = inspect(context, Inspect("1.2", "serviceable")).act
    last = inspect(context, Inspect("1.3", "serviceable")).act
    back = undo(context, Undo(first, "act")).act
    undo(context, Undo(back, "act"))
    assert undo(context, Undo()).undone == first
    assert undo(context, Undo()).undone == last


def test_what_came_twice_by_now_does_not_come_back(context: Context) -> None:
    """Received, taken back and received anew: the first receipt is not brought back as well."""
    strip(context, COVER)
    place_order(context, PlaceOrder(SHOP, ["2 M6x25 hex bolt"]))
    receive_order(context, ReceiveOrder(1))
    back = undo(context, Undo()).act
    receive_order(context, ReceiveOrder(1))
    with pytest.raises(Refused, match="does not fit any more") as refused:
        undo(context, Undo(back, "act"))
    assert "4 received and 0 cancelled, but 2 ordered" in refused.value.facts["fault"]
    undo(context, Undo())
    undo(context, Undo(back, "act"))
    assert audit(context).faults == ()


def test_what_was_counted_back_twice_by_now_does_not_come_back(context: Context) -> None:
    strip(context, COVER)
    batch = begin_batch(context, BeginBatch(FIRM, "zinc")).batch
    put_into_batch(context, PutIntoBatch(batch, ["1.2"], 2))
    send_batch(context, SendBatch(batch))
    count_batch_back(context, CountBatchBack(batch, ["1.2"], 2))
    back = undo(context, Undo()).act
    count_batch_back(context, CountBatchBack(batch, ["1.2"], 2))
    send(context, SendPieces(["1.2"], FIRM, 2))
    with pytest.raises(Refused):
        undo(context, Undo(back, "act"))
    assert audit(context).faults == ()


def test_an_act_cannot_come_back_on_to_a_step_that_is_undone(context: Context) -> None:
    step = strip(context, COVER).act
    buy(context, Buy("1.2", "2", SHOP))
    back = undo(context, Undo()).act
    gone = undo(context, Undo(step, "act")).act
    with pytest.raises(Refused, match="its items are undone") as refused:
        undo(context, Undo(back, "act"))
    assert refused.value.facts == {"act": step}
    undo(context, Undo(gone, "act"))
    undo(context, Undo(back, "act"))
    assert audit(context).faults == ()


@pytest.fixture
def sent(context: Context) -> tuple[int, int, int]:
    """A batch that was begun, filled and sent, by those acts."""
    strip(context, COVER)
    return (
        begin_batch(context, BeginBatch(FIRM, "zinc")).act,
        put_into_batch(context, PutIntoBatch(1, ["1.2"], 2)).act,
        send_batch(context, SendBatch(1)).act,
    )


def test_what_a_batch_that_is_away_was_made_up_of_is_not_undone(
    context: Context, sent: tuple[int, int, int]
) -> None:
    begun, filled, gone = sent
    for act, needs in ((begun, [gone, filled]), (filled, [gone])):
        with pytest.raises(Refused, match="moved on since") as refused:
            undo(context, Undo(act, "act"))
        assert later_of(refused) == needs
    for _ in range(3):
        undo(context, Undo())
    assert batches(context, ListBatches(everything=True)).batches == ()


def test_a_batch_comes_back_in_the_order_of_its_making(
    context: Context, sent: tuple[int, int, int]
) -> None:
    begun, filled, gone = sent
    back = {act: undo(context, Undo(act, "act")).act for act in (gone, filled, begun)}
    for act, missing in ((gone, begun), (filled, begun)):
        with pytest.raises(Refused, match="its batch is undone") as refused:
            undo(context, Undo(back[act], "act"))
        assert refused.value.facts == {"act": missing}
    undo(context, Undo(back[begun], "act"))
    with pytest.raises(Refused, match="its batch is undone") as refused:
        undo(context, Undo(back[gone], "act"))
    assert refused.value.facts == {"act": filled}
    undo(context, Undo(back[filled], "act"))
    undo(context, Undo(back[gone], "act"))
    assert audit(context).faults == ()


def test_new_pieces_at_a_firm_that_are_the_wrong_thing_now_stay_in_their_batch(
    context: Context,
) -> None:
    strip(context, COVER)
    inspect(context, Inspect("1.2", "condemned", "bent"))
    buy(context, Buy("1.2", "3", SHOP))
    begin_batch(context, BeginBatch(FIRM, "zinc"))
    put_into_batch(context, PutIntoBatch(1, ["1.2"], 3))
    send_batch(context, SendBatch(1))
    specified = specify(context, Specify("1.2", "4 M6x30 hex bolt"))
    assert specified.spare is not None
    (batch,) = batches(context, ListBatches()).batches
    assert [(line.item, line.away) for line in batch.lines] == [(specified.spare.item, 3)]
    assert audit(context).faults == ()
    count_batch_back(context, CountBatchBack(1))
    assert audit(context).faults == ()
    undo(context, Undo())
    undo(context, Undo())
    (batch,) = batches(context, ListBatches()).batches
    assert [(line.item, line.away) for line in batch.lines] == [("1.2", 3)]
    assert audit(context).faults == ()


LIFE = 400
"""Acts of one life at most."""
DEEDS = (
    "strip", "loose", "pass", "condemn", "specify", "move", "stow", "send", "back", "batch",
    "batch back", "buy", "order", "came", "refit", "lose", "recover", "scrap", "assign", "count",
    "undo", "undo", "undo act", "undo act", "redo",
)  # fmt: skip
DEED = st.tuples(
    st.sampled_from(DEEDS),
    st.sampled_from(("1.1", "1.2", "1.2", "1.3", "2.2", "0.1")),
    st.sampled_from((1, 1, 2, 2, 3, 4)),
)
BOUGHT_USED_AND_BOUGHT = [("buy", "1.2", 2), ("pass", "1.2", 4), ("refit", "1.2", 2),
                          ("buy", "1.2", 2), ("undo act", "1.2", 4)]  # fmt: skip
THERE_AND_BACK = [("buy", "1.2", 2), ("move", "1.2", 2), ("undo act", "1.2", 2), ("redo", "1.2", 1)]
BATCH_AND_ORDER = [("batch", "1.2", 3), ("batch back", "1.2", 1), ("order", "1.2", 2),
                   ("came", "1.2", 1), ("redo", "1.2", 1), ("undo act", "1.2", 3)]  # fmt: skip


def do(context: Context, deed: str, item: str, n: int) -> None:  # noqa: PLR0912
    """Do one thing; what is refused is not done."""
    match deed:
        case "strip":
            strip(context, COVER)
        case "loose":
            loose(context, Loose(f"{n} M6x25 hex bolt", "tin 1"))
        case "pass":
            inspect(context, Inspect(item, "serviceable", quantity=n))
        case "condemn":
            inspect(context, Inspect(item, "condemned", "bent", quantity=n))
        case "specify":
            specify(context, Specify(item, f"{n + 1} M6x30 hex bolt"))
        case "move":
            move(context, MovePieces(item, ("bench", "shelf 1", "A001N", "new")[n % 4], n))
        case "stow":
            stow(context, StowPlaces(["A001N"], f"box {n}"))
        case "send":
            send(context, SendPieces([item], FIRM, n))
        case "back":
            take_back(context, TakeBack(FIRM, [item], n))
        case "batch":
            batch = begin_batch(context, BeginBatch(FIRM, "zinc")).batch
            put_into_batch(context, PutIntoBatch(batch, [item], n))
            send_batch(context, SendBatch(batch))
        case "batch back":
            count_batch_back(context, CountBatchBack(n, [item], 1))
        case "buy":
            buy(context, Buy(item, str(n), SHOP))
        case "order":
            place_order(context, PlaceOrder(SHOP, [f"{n} M6x25 hex bolt"]))
        case "came":
            receive_order(context, ReceiveOrder(n))
        case "refit":
            refit(context, Refit(item, n, as_it_came=True))
        case "lose":
            lose(context, LosePieces(item, n))
        case "recover":
            recover(context, RecoverPieces(item, n))
        case "scrap":
            scrap(context, ScrapPieces(item, n, reason="worn"))
        case "assign":
            assign(context, AssignPieces("0.1", item, n, anyway="serves there"))
        case "count":
            count_place(context, CountPlace("A001N", [f"{item}={n}"], "counted"))
        case "undo":
            undo(context, Undo())
        case "undo act" | "redo":
            acts = [a for a in history(context)
                    if a.stands and (a.kind is ActKind.REVERSE) == (deed == "redo")]  # fmt: skip
            undo(context, Undo(acts[min(n, len(acts)) - 1].number if acts else 999, "act"))
        case _:
            raise AssertionError(deed)


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory, begun: Path) -> Path:
    file = tmp_path_factory.mktemp("stripped") / "stores.db"
    copy_of(begun, file)
    with open_store(str(file)) as store:
        strip(Context(store), COVER)
    return file


@given(deeds=st.lists(DEED, min_size=6, max_size=14))
@example(deeds=BOUGHT_USED_AND_BOUGHT)
@example(deeds=THERE_AND_BACK)
@example(deeds=BATCH_AND_ORDER)
@settings(max_examples=examples(4, 10), deadline=None)
def test_undoing_everything_ends_at_zero(stripped: Path, deeds: list[tuple[str, str, int]]) -> None:
    live_and_undo(stripped, deeds)


@pytest.mark.slow
@given(deeds=st.lists(DEED, min_size=12, max_size=40))
@settings(max_examples=60, deadline=None)
def test_undoing_many_long_lives_ends_at_zero(
    stripped: Path, deeds: list[tuple[str, str, int]]
) -> None:
    live_and_undo(stripped, deeds)


def live_and_undo(stripped: Path, deeds: list[tuple[str, str, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "stores.db"
        copy_of(stripped, file)
        with open_store(str(file)) as store:
            context = Context(store)
            refused: list[StoresError] = []
            for deed, item, n in deeds:
                try:
                    do(context, deed, item, n)
                except StoresError as refusal:
                    refused.append(refusal)
            assert all(each.facts.get("later", "none asked for") for each in refused)
            assert audit(context).faults == ()
            undo_to_nothing(context)


@pytest.mark.slow
@pytest.mark.files_alone
def test_thousands_of_acts_undone_end_at_zero(
    begun: Path, tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    """``--acts 20000``: lives one after another, for what an act costs grows with the record."""
    chance = random.Random(pytestconfig.getoption("acts_seed"))
    left, life = pytestconfig.getoption("acts"), 0
    while left > 0:
        life += 1
        file = tmp_path / f"{life}.db"
        copy_of(begun, file)
        with open_store(str(file)) as store:
            context, steps, done = Context(store), 1, 0
            strip(context, COVER)
            while done < min(left, LIFE):
                deed = chance.choice(DEEDS)
                item = f"{chance.randint(1, steps)}.{chance.randint(1, 3)}"
                with contextlib.suppress(StoresError):
                    do(
                        context,
                        deed,
                        chance.choice((item, item, item, "0.1")),
                        chance.randint(1, 4),
                    )
                    done, steps = done + 1, steps + (deed == "strip")
            assert audit(context).faults == (), life
            stood = undo_to_nothing(context)
        left -= done
        print(f"life {life}: {done} acts, {stood} stood and were undone")


@pytest.mark.slow
@pytest.mark.files_alone
@pytest.mark.parametrize("seed", [0, 1])
def test_undoing_the_demo_ends_at_zero(
    demo_built: tuple[Path, str], tmp_path: Path, seed: int
) -> None:
    """A whole restoration, of which acts from anywhere are undone and brought back before."""
    chance = random.Random(seed)
    copy_of(demo_built[0] / "stores.db", tmp_path / "stores.db")
    with open_store(str(tmp_path / "stores.db")) as store:
        context = Context(store)
        for _ in range(40):
            back = chance.random() < 0.4
            acts = [act for act in history(context) if act.stands]
            some = [act for act in acts if (act.kind is ActKind.REVERSE) == back] or acts
            with contextlib.suppress(Refused):
                undo(context, Undo(chance.choice(some).number, "act"))
        assert audit(context, AskAudit(str(demo_built[0] / "stores.pictures"))).faults == ()
        assert undo_to_nothing(context) > 100
