"""Questions as buttons: while a step is typed, and one after another later."""

from typing import Any

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.strip import Strip, strip
from stores.web.visit import House


def test_a_tap_settles_what_was_typed(address: str, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.fill("[name=part]", "lever")
        page.fill("[name=lines]", "gasket\nM6 bolts x 4")
        out = page.locator("[data-live-out]")
        out.get_by_role("button", name="4 off M6 bolt", exact=True).click()
        expect(page.locator("[name=lines]")).to_have_value("gasket\n4 off M6 bolt")
        expect(out).to_contain_text("4 off M6 bolt")
        expect(out.get_by_role("button")).to_have_count(0)
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("lever")


def test_words_are_kept_and_asked_about_later(address: str, house: House, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.fill("[name=part]", "lever")
        page.fill("[name=lines]", "hose clips 2")
        page.locator("[data-live-out]").get_by_role("button", name="Keep my words").click()
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("lever")
        page.goto(f"{address}/questions")
        expect(page.locator("h1")).to_have_text("hose clips 2")
        page.get_by_role("button", name="2 off hose clip").click()
        expect(page.locator("main")).to_contain_text("No question is open")
    assert find(Context(house.store), Find("3.2")).items[0].found == 2


def test_a_question_is_left_for_later(client: TestClient, house: House) -> None:
    strip(Context(house.store), Strip("Engine", "lever", ("M6 bolts x 4", "hose clips 2")))
    assert "M6 bolts x 4" in client.get("/questions").text
    assert "<h1>hose clips 2" in client.get("/questions", params={"later": "3.2"}).text
    refused = client.post("/do/query", data={"what": "3.2", "answer": "d", "key": "k"})
    assert refused.status_code == 422
    assert "a) 4 off M6 bolt" in refused.text
