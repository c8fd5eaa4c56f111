"""What is kept from one moment to the next is kept until the next act, whoever writes it."""

import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from stores.errors import NotFound
from stores.model.ledger import ActKind
from stores.storage import Store, open_store
from stores.storage.acts import reversed_acts
from stores.storage.moment import MOST_KEPT, answered, answered_each, moment_of
from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip
from stores.usecases.work_units import SetUnits, set_units


class Worked:
    """Counts how often it was worked out."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self) -> int:
        self.times += 1
        return self.times


def ask(store: Store, work: Callable[[], int], key: str = "x") -> int:
    with store.reading() as connection:
        return answered(connection, "times", key, work)


def test_it_is_worked_out_once_and_again_after_each_act(context: Context) -> None:
    work = Worked()
    assert [ask(context.store, work) for _ in range(3)] == [1, 1, 1]
    made = strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    assert [ask(context.store, work) for _ in range(2)] == [2, 2]
    undo(context, Undo(made.act))
    assert [ask(context.store, work) for _ in range(2)] == [3, 3]
    set_units(context, SetUnits("imperial"))
    assert [ask(context.store, work) for _ in range(2)] == [4, 4]
    assert ask(context.store, work, "y") == 5


def test_an_act_of_another_process_counts(context: Context) -> None:
    work = Worked()
    assert [ask(context.store, work) for _ in range(2)] == [1, 1]
    words = ["--stores", context.store.name, "strip", "Engine", "cover", "4 M6x30 hex bolt"]
    subprocess.run([sys.executable, "-m", "stores", *words], check=True, capture_output=True)
    assert [ask(context.store, work) for _ in range(2)] == [2, 2]


def test_a_trial_is_neither_kept_nor_taken_for_the_act_that_gets_its_number(
    context: Context,
) -> None:
    work = Worked()
    tried = strip(context, Strip("Engine", "lid", ["1 M8 nut"], trial=True))
    assert ask(context.store, work) == 1
    made = strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    assert made.act == tried.act
    assert ask(context.store, work) == 2


@pytest.mark.parametrize("trial", [True, False])
def test_who_writes_is_answered_as_others_up_to_the_first_row(
    context: Context, *, trial: bool
) -> None:
    work = Worked()
    assert ask(context.store, work) == 1
    with context.store.writing(trial=trial) as writer:
        assert answered(writer.connection, "times", "x", work) == 1
        assert answered(writer.connection, "times", "y", work) == 2
        writer.begin(ActKind.SETTING, "something")
        assert moment_of(writer.connection) is None
        assert [answered(writer.connection, "times", "x", work) for _ in range(2)] == [3, 4]
    assert ask(context.store, work) == (1 if trial else 5)
    assert ask(context.store, work, "y") == (2 if trial else 6)


def test_rows_that_are_put_in_beside_the_writer_end_the_moment_too(context: Context) -> None:
    with context.store.writing(trial=True) as writer:
        assert moment_of(writer.connection) is not None
        writer.connection.exec_driver_sql(
            "INSERT INTO place (kind, name, key) VALUES ('shelf', 'a shelf', 'a shelf')"
        )
        assert moment_of(writer.connection) is None


def test_a_copy_put_in_its_place_is_another_record(context: Context) -> None:
    """The number of its newest act may be the same: the act itself is not."""
    name = context.store.name
    work = Worked()
    with open_store(name) as other:
        strip(Context(other), Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    assert ask(context.store, work) == 1
    with context.store.reading() as connection:
        moment = moment_of(connection)
        assert moment is not None
        answered(connection, "times", "x", work)
        mark = moment.mark
        assert mark is not None
        assert mark.written_at
    moment.mark = mark._replace(written_at="2026-01-01T00:00:00+00:00")
    assert moment.answers.each(moment.mark, "times", ["x"], lambda keys: {"x": work()}) == {"x": 2}


def test_what_is_missing_is_worked_out_at_one_go(context: Context) -> None:
    asked: list[list[int]] = []

    def squares(keys: list[int]) -> dict[int, int]:
        asked.append(keys)
        return {key: key * key for key in keys}

    with context.store.reading() as connection:
        assert answered_each(connection, "squares", [2, 3, 2], squares) == {2: 4, 3: 9}
        assert answered_each(connection, "squares", [5, 3, 4], squares) == {5: 25, 3: 9, 4: 16}
    assert asked == [[2, 3], [5, 4]]


def test_no_more_is_kept_than_is_useful(context: Context) -> None:
    with context.store.reading() as connection:
        for number in range(3 * MOST_KEPT):
            answered(connection, "numbers", number, lambda number=number: number)  # type: ignore[misc]
    assert len(context.store.answers) == MOST_KEPT


def test_what_is_refused_is_not_kept(context: Context) -> None:
    def refuse() -> int:
        raise NotFound("nothing")

    for _ in range(2):
        with pytest.raises(NotFound):
            ask(context.store, refuse)
    assert ask(context.store, lambda: 7) == 7


def test_many_threads_have_one_answer(context: Context) -> None:
    work, begun = Worked(), threading.Barrier(8)

    def one(_: int) -> int:
        begun.wait()
        return ask(context.store, work)

    with ThreadPoolExecutor(8) as threads:
        assert set(threads.map(one, range(8))) == {1}
    assert work.times == 1


def test_a_reader_of_an_older_moment_gets_the_older_answer(context: Context) -> None:
    def machines() -> int:
        with context.store.reading() as connection:
            return count(connection)

    def count(connection: object) -> int:
        return int(
            answered(
                connection,  # type: ignore[arg-type]
                "machines there are",
                "",
                lambda: connection.exec_driver_sql("SELECT count(*) FROM machine").scalar(),  # type: ignore[attr-defined]
            )
        )

    with context.store.reading() as older:
        assert len(reversed_acts(older)) == 0
        add_machine(context, AddMachine("Finch"))
        assert machines() == 2
        assert count(older) == 1
        assert machines() == 2


def test_acts_that_fell_are_looked_up_anew_at_the_next_moment(context: Context) -> None:
    made = strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
    with context.store.reading() as connection:
        assert reversed_acts(connection) == frozenset()
        assert moment_of(connection) is not None
    undo(context, Undo(made.act))
    with context.store.reading() as connection:
        assert reversed_acts(connection) == {made.act}


def test_who_asks_for_something_else_does_not_wait(context: Context) -> None:
    """A page that needs the list of machines is not held up by one that works the plan out."""
    at_work, go_on = threading.Event(), threading.Event()

    def long_work() -> int:
        at_work.set()
        assert go_on.wait(60)
        return 1

    def other_name(number: int) -> int:
        with context.store.reading() as connection:
            return answered(connection, "other", "x", lambda: number)

    with ThreadPoolExecutor(2) as threads:
        first = threads.submit(ask, context.store, long_work)
        assert at_work.wait(60)
        same = threads.submit(ask, context.store, lambda: 9)
        assert other_name(5) == 5  # while the first is still at work
        assert not first.done()
        assert not same.done()
        go_on.set()
        assert (first.result(60), same.result(60)) == (1, 1)


def test_two_that_need_each_others_answers_both_get_them(context: Context) -> None:
    both = threading.Barrier(2)

    def crossed(name: str, other: str) -> int:
        def inner() -> int:
            both.wait(60)  # each is at work on its own by now
            with context.store.reading() as connection:
                assert answered(connection, other, "x", lambda: 1) == 1
            return 1

        with context.store.reading() as connection:
            return answered(connection, name, "x", inner)

    with ThreadPoolExecutor(2) as threads:
        results = list(threads.map(crossed, ("one", "other"), ("other", "one")))
    assert results == [1, 1]


def test_an_answer_of_a_moment_that_is_over_is_not_kept(context: Context) -> None:
    def slow() -> int:
        strip(context, Strip("Engine", "cover", ["4 M6x30 bolt 8.8"]))
        assert ask(context.store, lambda: 2, "y") == 2  # the newest act is another now
        return 1

    assert ask(context.store, slow) == 1
    assert ask(context.store, lambda: 3) == 3
