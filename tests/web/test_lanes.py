"""Turns: few pages at once, in the order in which they came, and what records first."""

import threading
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import anyio

from stores.web.lanes import LONG, UNDER_WAY, Lanes


class Work:
    """Pieces of work that go on until they are let go, and the order in which they began."""

    def __init__(self) -> None:
        self.begun: list[str] = []
        self.over: dict[str, threading.Event] = {}

    def __call__(self, name: str) -> str:
        self.begun.append(name)
        assert self.over.setdefault(name, threading.Event()).wait(60), f"{name} was never let go"
        return name

    def let_go(self, *names: str) -> None:
        for name in names:
            self.over.setdefault(name, threading.Event()).set()


def in_a_loop(run: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """Run it in a thread of its own: a browser that was opened before has a loop in this one."""
    with ThreadPoolExecutor(1) as thread:
        thread.submit(anyio.run, run).result()


async def until(true: Callable[[], bool]) -> None:
    with anyio.fail_after(20):
        while not true():
            await anyio.sleep(0.001)


async def nothing_more() -> None:
    """Let everybody go on who can."""
    for _ in range(20):
        await anyio.sleep(0.001)


def test_a_few_are_under_way_and_the_rest_wait_in_order() -> None:
    work = Work()

    async def run() -> None:
        lanes = Lanes()
        async with anyio.create_task_group() as group:
            for at in range(UNDER_WAY + 2):
                group.start_soon(lanes.look, work, f"page {at}")
                await nothing_more()
                await until(lambda: len(work.begun) >= min(at + 1, UNDER_WAY))  # noqa: B023
            assert work.begun == [f"page {at}" for at in range(UNDER_WAY)]
            work.let_go("page 1")
            await until(lambda: len(work.begun) > UNDER_WAY)
            assert work.begun[-1] == f"page {UNDER_WAY}"
            work.let_go(*(f"page {at}" for at in range(UNDER_WAY + 2)))

    in_a_loop(run)
    assert len(work.begun) == UNDER_WAY + 2


def test_what_records_comes_before_pages_that_wait_and_one_at_a_time() -> None:
    work = Work()

    async def run() -> None:
        lanes = Lanes()
        async with anyio.create_task_group() as group:
            for at in range(UNDER_WAY + 3):
                group.start_soon(lanes.look, work, f"page {at}")
                await nothing_more()
            for at in range(2):
                group.start_soon(lanes.record, work, f"form {at}")
                await nothing_more()
            await until(lambda: len(work.begun) == UNDER_WAY)
            work.let_go("page 0")
            await until(lambda: len(work.begun) == UNDER_WAY + 1)
            work.let_go("page 1")
            await until(lambda: len(work.begun) == UNDER_WAY + 2)
            # the second form waits for the first one, and a page has the free place
            assert work.begun[UNDER_WAY:] == ["form 0", f"page {UNDER_WAY}"]
            work.let_go("form 0")
            await until(lambda: len(work.begun) == UNDER_WAY + 3)
            assert work.begun[-1] == "form 1"
            work.let_go("form 1", *(f"page {at}" for at in range(UNDER_WAY + 3)))

    in_a_loop(run)
    assert len(work.begun) == UNDER_WAY + 5


def test_sheets_hold_no_page_up() -> None:
    work = Work()

    async def run() -> None:
        lanes = Lanes()
        async with anyio.create_task_group() as group:
            for at in range(LONG + 2):
                group.start_soon(lanes.long, work, f"sheet {at}")
            await until(lambda: len(work.begun) == LONG)
            group.start_soon(lanes.look, work, "page")
            await until(lambda: "page" in work.begun)
            work.let_go("page", *(f"sheet {at}" for at in range(LONG + 2)))

    in_a_loop(run)
    assert len(work.begun) == LONG + 3


def test_who_goes_away_while_waiting_leaves_the_turns_as_they_were() -> None:
    work = Work()

    async def run() -> None:
        lanes = Lanes()
        async with anyio.create_task_group() as group:
            for at in range(UNDER_WAY):
                group.start_soon(lanes.look, work, f"page {at}")
            await until(lambda: len(work.begun) == UNDER_WAY)
            with anyio.move_on_after(0.01):
                await lanes.record(work, "left")
            work.let_go(*(f"page {at}" for at in range(UNDER_WAY)), "form")
            await lanes.record(work, "form")
            for at in range(UNDER_WAY):
                group.start_soon(lanes.look, work, f"later {at}")
            await until(lambda: len(work.begun) == 2 * UNDER_WAY + 1)
            work.let_go(*(f"later {at}" for at in range(UNDER_WAY)))

    in_a_loop(run)
    assert "left" not in work.begun
