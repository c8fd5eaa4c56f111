"""A shopping trip: the list without a network, ticks kept, sent back later."""

import re
from pathlib import Path
from typing import Any

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.web.visit import House


def new_ones(house: House, item: str) -> int:
    (found,) = find(Context(house.store), Find(item)).items
    return sum(each.quantity for each in found.now if each.condition.value == "new")


def test_ticks_are_kept_without_a_network_and_sent_when_it_is_back(
    address: str, house: House, opened: Any
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/shopping")
        page.get_by_role("link", name="Take it along").click()
        page.wait_for_load_state("load")
        page.context.set_offline(True)
        page.get_by_label("1 off gasket").check()
        page.context.set_offline(False)
        page.reload()
        expect(page.get_by_label("1 off gasket")).to_be_checked()
        page.context.set_offline(True)
        page.get_by_role("button", name="Record what I bought").click()
        expect(page.locator(".sending")).to_contain_text("back in the workshop")
        assert new_ones(house, "1.3") == 0
        page.context.set_offline(False)
        expect(page.locator("#waiting")).to_be_hidden()
    assert new_ones(house, "1.3") == 1


def test_what_is_inspected_first_is_one_link_for_each_assembly(
    client: TestClient, house: House
) -> None:
    page = client.get("/shopping").text
    first = re.findall(r'<a class="typed" href="(/inspect\?what=[^"]+)">([^<]+)</a>', page)
    assert first
    assert len({words for _, words in first}) == len(first)
    for link, words in first:
        where, pieces = words.rsplit(": ", 1)
        shown = client.get(link).text
        assert where in shown
        assert re.fullmatch(r"\d+ pieces?", pieces)
        assert "Nothing to inspect" not in shown


def test_a_tick_made_before_the_script_is_here_is_kept_too(address: str, opened: Any) -> None:
    with opened(PHONE) as page:
        held: list[Any] = []
        page.route("**/take_along.js*", lambda route: held.append(route))  # noqa: PLW0108 - the browser looks into a function
        page.goto(f"{address}/shopping/take", wait_until="commit")
        page.get_by_label("1 off gasket").check()
        while not held:
            page.wait_for_timeout(20)
        held[0].continue_()
        page.wait_for_load_state("load")
        page.unroute_all()
        page.reload()
        expect(page.get_by_label("1 off gasket")).to_be_checked()


def test_the_saved_list_is_one_file_that_brings_its_ticks_back(
    address: str, house: House, opened: Any, tmp_path: Path
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/shopping/take")
        with page.expect_download() as download:
            page.get_by_role("link", name="save it").click()
        saved = tmp_path / "shopping.html"
        download.value.save_as(saved)
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(saved.as_uri())
        assert asked == [saved.as_uri()]
        page.get_by_label("1 off gasket").check()
        page.reload()
        expect(page.get_by_label("1 off gasket")).to_be_checked()
        page.get_by_role("button", name="Send it back").click()
        expect(page.locator("h1")).to_have_text("Back from the shops")
        page.get_by_label("Where you bought it").fill("Hollin")
        page.get_by_label("A new supplier").check()
        page.get_by_role("button", name="Record what I bought").click()
        expect(page.locator(".told")).to_contain_text("gasket")
    assert new_ones(house, "1.3") == 1


def test_a_line_that_is_refused_holds_none_up(client: TestClient, house: House) -> None:
    page = client.get("/shopping/take").text
    at = int(re.search(r'name="what-(\d+)" value="1.3"', page)[1])  # type: ignore[index]
    sent = {f"got-{at}": "1", f"what-{at}": "1.3", f"count-{at}": "1", "key": "trip"}
    sent |= {"got-7": "1", "what-7": "9.9", "count-7": "1", "words-7": "a lost nut"}
    for _ in range(2):  # sent twice, recorded once
        answer = client.post("/shopping/bought", data=sent)
        assert "a lost nut" in answer.text
    assert new_ones(house, "1.3") == 1
