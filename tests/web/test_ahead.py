"""The plan is there before it is asked for; and a long page holds no other up."""

import threading
from collections.abc import Iterator

import httpx2
import pytest
from browsing import client_of, serving
from starlette.testclient import TestClient

from stores.errors import NotFound
from stores.usecases import rebuild
from stores.usecases.context import Context
from stores.usecases.next_step import OneStep, StepAtHand
from stores.web import ahead
from stores.web.ahead import Ahead
from stores.web.pages import label_sheets
from stores.web.visit import House


@pytest.fixture
def plans(house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Semaphore]:
    """Is let go once for each plan that the thread has worked out."""
    worked = threading.Semaphore(0)
    plan = rebuild.plan

    def counted(*words: object, **options: object) -> object:
        made = plan(*words, **options)  # type: ignore[arg-type]
        worked.release()
        return made

    monkeypatch.setattr(rebuild, "plan", counted)
    house.ahead = Ahead(house, quiet=0.01)
    yield worked
    house.ahead.stop()


def test_the_plan_is_there_before_the_page_asks(
    client: TestClient, plans: threading.Semaphore
) -> None:
    values = {"assembly": "Frame", "part": "saddle", "lines": "2 M8x20 hex", "key": "one"}
    assert client.post("/do/strip", data=values, follow_redirects=False).status_code == 303
    assert plans.acquire(timeout=60)
    assert "saddle" in client.get("/next").text
    assert not plans.acquire(blocking=False)  # the page found it


def test_a_refusal_and_a_trial_are_no_act(client: TestClient, plans: threading.Semaphore) -> None:
    assert client.post("/do/strip", data={"assembly": "Frame", "key": "one"}).status_code == 422
    values = {"assembly": "Frame", "part": "saddle", "lines": "2 M8x20 hex", "trial": "1"}
    assert client.post("/do/strip", data=values).status_code == 200
    client.app.state.house.ahead.stop()  # type: ignore[attr-defined]
    assert not plans.acquire(blocking=False)


def test_where_nothing_was_stripped_it_goes_on(
    house: House, plans: threading.Semaphore, monkeypatch: pytest.MonkeyPatch
) -> None:
    refused = threading.Event()
    asks = ahead.step_at_hand

    def asked(context: Context, ask: OneStep) -> StepAtHand:
        try:
            return asks(context, ask)
        except NotFound:
            refused.set()
            raise

    monkeypatch.setattr(ahead, "step_at_hand", asked)
    with client_of(house) as client:
        client.post("/do/machine-add", data={"name": "Finch", "key": "one"})
        assert refused.wait(60)
        client.post("/do/strip", data={"assembly": "A", "part": "b", "lines": "1 nut", "key": "2"})
        assert plans.acquire(timeout=60)


def test_a_page_answers_while_a_long_one_is_at_work(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_work, go_on = threading.Event(), threading.Event()

    def long_work(_wanted: object) -> bytes:
        at_work.set()
        assert go_on.wait(60)
        return b"%PDF"

    monkeypatch.setattr(label_sheets, "_pdf", long_work)
    with serving(house) as address:
        sent: list[int] = []

        def send() -> None:
            answer = httpx2.post(
                f"{address}/labels/made", data={"all": "1"}, headers={"Origin": address}, timeout=60
            )
            sent.append(answer.status_code)

        thread = threading.Thread(target=send)
        thread.start()
        assert at_work.wait(60)
        for page in ("/", "/next", "/told", "/static/stores.css"):
            assert httpx2.get(address + page, timeout=60).status_code == 200
        form = {"assembly": "Frame", "part": "saddle", "lines": "1 M8x20 hex", "key": "one"}
        answer = httpx2.post(f"{address}/do/strip", data=form, headers={"Origin": address})
        assert answer.status_code == 303
        assert sent == []  # none of them waited for it
        go_on.set()
        thread.join(60)
        assert sent == [200]
