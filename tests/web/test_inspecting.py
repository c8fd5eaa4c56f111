"""Inspection on a phone: a tap an answer, each recorded before the next line is shown."""

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.web.visit import House


def test_good_is_one_tap_and_scrap_asks_why(address: str, house: House, opened) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE) as page:
        page.goto(f"{address}/inspect?what=1")
        expect(page.locator("h1")).to_contain_text("clutch cover")
        page.get_by_role("button", name="Good").click()
        expect(page.locator("h1")).to_contain_text("M6 x 25")
        expect(page.locator(".told")).to_contain_text("serviceable")
        page.get_by_role("button", name="One less").click()
        page.get_by_role("button", name="Good").click()
        expect(page.locator("#quantity")).to_have_value("1")
        page.get_by_role("button", name="Scrap").click()
        expect(page.locator("[role=alert]")).to_contain_text("why")
        page.get_by_label("Why").fill("necked")
        page.get_by_role("button", name="Record it").click()
        expect(page.locator("main")).to_contain_text("Nothing is left to inspect")
    bolts = find(Context(house.store), Find("1.2")).items[0]
    held = sorted((each.quantity, each.condition.value) for each in bolts.now)
    assert held == [(1, "condemned"), (3, "serviceable")]


def test_a_line_is_left_for_later_and_comes_again(client: TestClient) -> None:
    answer = client.get("/inspect", params={"what": "1", "later": "1.1"})
    assert "M6 x 25" in answer.text
    answer = client.get("/inspect", params={"what": "1", "later": "1.1,1.2"})
    assert "2 left for later" in answer.text
