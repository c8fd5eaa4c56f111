"""Twenty devices at once on one record, a fifth of what they send recording something: nothing is
refused because another writes, what was acknowledged is there exactly once, and all adds up."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from browsing import serving
from crowding import CLIENTS, Crowd, crowd, held_against
from postgres import postgresql

from stores.storage import Store, open_store
from stores.usecases.context import Context
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip
from stores.web.visit import House

ROUNDS = 4
"""A strip, a move, an inspection and an undo of each."""


@pytest.fixture(params=["SQLite", "PostgreSQL"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Store, str]]:
    if request.param == "SQLite":
        where = str(tmp_path / "stores.db")
        with open_store(where, create=True) as store:
            yield store, where
        return
    with postgresql() as where, open_store(where, create=True) as store:
        yield store, where


@pytest.mark.slow
def test_what_many_are_told_is_on_record_once(store: tuple[Store, str]) -> None:
    what_they_are_told_is_on_record(*store, CLIENTS)


def test_what_a_few_are_told_is_on_record_once(tmp_path: Path) -> None:
    where = str(tmp_path / "stores.db")
    with open_store(where, create=True) as store:
        what_they_are_told_is_on_record(store, where, 4)


def what_they_are_told_is_on_record(store: Store, where: str, clients: int) -> None:
    add_machine(Context(store), AddMachine("Orrick Plover"))
    strip(Context(store), Strip("Engine", "cover", ["4 M6x25 hex"]))
    with serving(House(store, where)) as address:
        seen = crowd(address, ROUNDS, clients)
    held_against(seen, store)
    assert len(seen.acts) == clients * ROUNDS
    assert len(seen.twice) == clients


def test_an_act_that_is_not_there_is_seen(tmp_path: Path) -> None:
    """What holds the record against the replies does see a lost act, and one too many."""
    with open_store(str(tmp_path / "stores.db"), create=True) as kept:
        add_machine(Context(kept), AddMachine("Orrick Plover", key="told"))
        held_against(Crowd(acts=["told"]), kept)
        for told in ([], ["told", "lost"], ["told", "told"]):
            with pytest.raises(AssertionError):
                held_against(Crowd(acts=told), kept)
