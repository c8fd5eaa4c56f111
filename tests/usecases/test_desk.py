"""A machine at one look: each part is the reply of the use-case of that name."""

from pathlib import Path

import pytest

from stores.storage import Store, open_store
from stores.usecases.context import Context
from stores.usecases.desk import at_a_look
from stores.usecases.history import history, newest_entry
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.rebuild import LookAhead, TakeTime, ahead, summary, take_time, work_today
from stores.usecases.refit import Refit, refit
from stores.usecases.sitting import InspectEach, inspect_each
from stores.usecases.strip import Strip, strip


@pytest.fixture
def begun(tmp_path: Path):  # type: ignore[no-untyped-def]
    with open_store(str(tmp_path / "stores.db"), create=True) as store:
        yield store


def stripped(store: Store) -> Context:
    at = Context(store)
    add_machine(at, AddMachine("Orrick Plover"))
    strip(at, Strip("Engine/Clutch", "clutch cover", ("4 M6x25 hex 8.8", "1 gasket")))
    strip(at, Strip("Frame", "side panel", ("2 M6x20 hex",)))
    inspect_each(at, InspectEach(listed="2 good"))
    return at


def test_it_is_what_the_use_cases_say_one_by_one(begun: Store) -> None:
    at = stripped(begun)
    look = at_a_look(at, 3)
    assert look.rebuild is not None
    assert look.rebuild.summary == summary(at)
    assert look.rebuild.today == work_today(at)
    assert look.rebuild.ahead == ahead(at, LookAhead())
    assert look.entries == history(at, 3)
    assert look.newest == newest_entry(at) == history(at)[0].number
    assert [each.name for each in look.machines] == ["Orrick Plover"]


def test_what_was_worked_out_does_not_outlive_an_act(begun: Store) -> None:
    at = stripped(begun)
    before = at_a_look(at)
    assert at_a_look(at).rebuild is before.rebuild
    refit(at, Refit("2"))
    take_time(at, TakeTime("week", "3 h"))
    after = at_a_look(at)
    assert after.newest == before.newest + 2
    assert before.rebuild is not None
    assert after.rebuild is not None
    assert (before.rebuild.summary.whole.done, after.rebuild.summary.whole.done) == (0, 1)
    assert after.rebuild.ahead == ahead(at, LookAhead())
    assert after.rebuild.ahead.hours_a_week == 3


def test_before_there_is_a_machine_and_before_anything_came_off(begun: Store) -> None:
    empty = at_a_look(Context(begun))
    assert (empty.machine, empty.rebuild, empty.newest, empty.entries) == (None, None, 0, ())
    add_machine(Context(begun), AddMachine("Tern 50"))
    look = at_a_look(Context(begun))
    assert look.machine is not None
    assert look.rebuild is None
    assert look.lacking is not None
    assert look.lacking.fact == "nothing stripped"
    assert at_a_look(Context(begun, machine="nobody")).machine is None
