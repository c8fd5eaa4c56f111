"""Undoing a refit brings back the same state: every question is answered as before.

What is compared is what the queries say of the machine before the refit and after its undo, and
after the refit and its redo; history alone may differ, since it keeps both. The law is double-entry
book-keeping's: an entry and its mirror leave every balance as it was.
"""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from postgres import copy_of

from stores.errors import StoresError
from stores.planning.rebuild import stages
from stores.planning.status import status_of
from stores.storage import Store, open_store
from stores.storage.acts import reversed_acts
from stores.storage.assembling import read_refits
from stores.storage.figures import maker_torques, read_joints, read_readings, read_sumps
from stores.storage.items import items_of_bag, items_of_step, read_items
from stores.storage.labels import labels_waiting
from stores.storage.pictures import read_pictures
from stores.storage.places import bag_codes, read_insides
from stores.storage.rebuild import fitted_by_day, stated_precedence
from stores.storage.search import items_like, read_bags
from stores.storage.snags import read_snags
from stores.usecases.assembling import Sign, TakeReading, Tighten, sign, take_reading, tighten
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.rebuild import rebuild_of
from stores.usecases.refit import Refit, refit

WHAT = st.sampled_from(["1", "2", "3", "1.1", "1.2", "2.1", "2.2", "3.2", *"abc"])
"""A step, an item, or one of the three bags: a, b, c."""
REFIT = st.tuples(
    st.just("refit"),
    WHAT,
    st.sampled_from([None, 1, 2]),
    st.booleans(),
    st.sampled_from(["", "finger", "torque"]),
    st.sampled_from(["", "A. Marl"]),
)
TIGHTEN = st.tuples(st.just("tighten"), WHAT, st.sampled_from([None, 9.0, 24.0]))
SIGN = st.tuples(st.just("sign"), WHAT, st.sampled_from(["A. Marl", "J. Teal"]), st.booleans())
MEASURE = st.tuples(st.just("measure"), st.sampled_from(["0.08", "0.3 mm"]))
UNDO = st.tuples(st.just("undo"))
DEEDS = st.lists(REFIT | REFIT | TIGHTEN | SIGN | MEASURE | UNDO, min_size=1, max_size=7)


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three steps in three bags, one of them a brake; spares, a torque, a clearance."""
    bench = Bench(tmp_path_factory.mktemp("stripped") / "stores.db")
    bench("machine", "add", "Orrick Plover")
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt", "2 dowel 8x12", "1 gasket")
    bench("strip", "Brakes", "brake plate", "2 of 3 M8x30 hex bolt", "3 M8 nut")
    bench("strip", "Frame", "side cover", "3 M5x16 cheese screw")
    bench("piece", "loose", "2 M8x30 hex bolt")
    bench("inspect", "0", "serviceable")
    bench("inspect", "1", "serviceable")
    bench("buy", "1.4", "--from", "Quernside Gaskets")
    bench("figure", "torque", "1.2", "7 to 9 N m")
    bench("figure", "clearance", "1", "end float", "0.05 to 0.15 mm")
    bench("refit", "apply", "1", "sealant on both faces")
    return bench.file


@contextlib.contextmanager
def copied(file: Path) -> Iterator[Store]:
    with tempfile.TemporaryDirectory() as folder:
        copy_of(file, Path(folder) / "stores.db")
        store = open_store(str(Path(folder) / "stores.db"))
        try:
            yield store
        finally:
            store.engine.dispose()


def answers(store: Store) -> dict[str, Any]:
    """Give what every question about the machine is answered."""
    with store.reading() as connection:
        items = read_items(connection, machine=1)
        refits = read_refits(connection, 1)
        torques = maker_torques(connection, [item.number for item in items])
        joints = read_joints(connection, 1)
        return {
            "items": items,
            "of each step": [items_of_step(connection, 1, at) for at in (1, 2, 3)],
            "of each bag": [items_of_bag(connection, code) for code in bag_codes(connection)],
            "loose": [item for item in items if not item.step.number],
            "bags": read_bags(connection),
            "insides": read_insides(connection, reversed_acts(connection)),
            "refits": refits,
            "torques": torques,
            "joints": joints,
            "said of order": stated_precedence(connection, 1),
            "snags": read_snags(connection, 1),
            "fitted by day": fitted_by_day(connection, 1),
            "plan": rebuild_of(connection, "Orrick Plover").plan.steps,
            "sumps": read_sumps(connection, 1),
            "readings": read_readings(connection, 1),
            "pictures": read_pictures(connection, 1),
            "labels": labels_waiting(connection),
            "like": items_like(connection, words=["bolt"]),
            "checklist": stages(status_of(items, refits), torques, joints),
        }


def do(store: Store, deed: tuple[Any, ...]) -> int | None:
    """Do it; give the act, None where it was refused."""
    with store.reading() as connection:
        bags = dict(zip("abc", bag_codes(connection), strict=False))
    context = Context(store)
    deed = tuple(bags.get(word, word) if isinstance(word, str) else word for word in deed)
    try:
        match deed:
            case "refit", what, quantity, anyway, how, by:
                torque = "24 N m oiled" if how == "torque" else ""
                ask = Refit(what, quantity, anyway, True, torque, how == "finger", by)
                return refit(context, ask).act
            case "tighten", what, torque:
                return tighten(context, Tighten(what, f"{torque} N m" if torque else "")).act
            case "sign", what, name, second:
                return sign(context, Sign(what, name, second)).act
            case "measure", reading:
                return take_reading(context, TakeReading("1", "end float", reading)).act
            case _:
                return undo(context, Undo()).act
    except StoresError:
        return None


@settings(
    max_examples=examples(4, 14),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(deeds=DEEDS)
def test_undoing_a_refit_brings_back_the_same_state(
    stripped: Path, deeds: list[tuple[Any, ...]]
) -> None:
    with copied(stripped) as store:
        for deed in deeds:
            before = answers(store)
            act = do(store, deed)
            after = answers(store)
            if act is None:
                assert after == before, f"{deed} was refused, but changed something"
            elif deed[0] != "undo":
                undone = undo(Context(store), Undo(act)).act
                assert answers(store) == before, f"{deed} undone"
                undo(Context(store), Undo(undone))
                assert answers(store) == after, f"{deed} done again"
        assert audit(Context(store)).faults == ()


def test_the_property_can_fail(stripped: Path) -> None:
    """A refit does change the answers, or comparing them would say nothing."""
    with copied(stripped) as store:
        before = answers(store)
        assert do(store, ("refit", "3", None, False, "finger", "")) is not None
        assert answers(store) != before
