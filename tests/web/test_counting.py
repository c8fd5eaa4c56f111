"""Counting: a box by scanning, a bag by its pieces."""

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.places import StowPlaces, stow
from stores.web.visit import House


def codes(house: House) -> list[str]:
    found = [find(Context(house.store), Find(str(step))).items[0] for step in (1, 2)]
    return [each.now[0].place for each in found]


def test_a_box_is_counted_by_scanning(address: str, house: House, opened) -> None:  # type: ignore[no-untyped-def]
    first, second = codes(house)
    stow(Context(house.store), StowPlaces([first], "box 1", new_place=True))
    with opened(PHONE) as page:
        page.goto(f"{address}/count")
        page.fill("#place", "box 1")
        page.keyboard.press("Enter")
        expect(page.locator("main")).to_contain_text("1 should be here")
        page.fill("#scan", second)
        page.keyboard.press("Enter")
        expect(page.locator("main")).to_contain_text("2 not")
        page.fill("#scan", first)
        page.keyboard.press("Enter")
        expect(page.locator("[role=status]", has_text="of 2 right")).to_contain_text("1 not")
        page.get_by_role("button", name="Record the count").click()
        expect(page.locator("[role=alert]")).to_contain_text("say why")
        page.get_by_label("Why it differs").fill("found under it")
        page.get_by_role("button", name="Record the count").click()
        expect(page.locator(".told")).to_contain_text(": 1 difference")
    assert find(Context(house.store), Find(second)).inside == "box 1"


def test_a_bag_is_counted_by_what_differs(client: TestClient, house: House) -> None:
    code = codes(house)[0]
    page = client.get("/count", params={"place": code})
    assert 'name="found-1.2"' in page.text
    sent = {"place": code, "found-1.1": "1", "found-1.2": "3", "found-1.3": "1", "key": "c"}
    refused = client.post("/do/counted", data=sent)
    assert refused.status_code == 422
    assert "1.2=3" in refused.text  # what was tapped is kept in the form
    assert client.post("/do/counted", data=sent | {"reason": "one dropped"}).status_code == 200
    bolts = next(i for i in find(Context(house.store), Find(code)).items if i.item == "1.2")
    assert sum(p.quantity for p in bolts.now if p.place == code) == 3
