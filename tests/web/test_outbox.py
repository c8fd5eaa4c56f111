"""A bad network: nothing typed is lost, and each form is one entry, however often it is sent."""

from pathlib import Path
from typing import Any

import pytest
from browsing import PHONE, serving
from playwright.sync_api import expect

from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.history import audit, history
from stores.web.visit import House


def steps(house: House) -> list[str]:
    """Return the steps on record beyond the two that the record began with, the newest first."""
    return [act.summary for act in history(Context(house.store), 50) if "step " in act.summary][:-2]


def fill(page: Any, part: str, lines: str = "2 M6 nut") -> None:
    page.fill("[name=part]", part)
    page.fill("[name=lines]", lines)
    page.get_by_role("button", name="Record it").click()


def waiting(page: Any) -> Any:
    return page.locator("#waiting")


def test_three_forms_sent_offline_are_three_acts_each_once(
    address: str, house: House, opened: Any
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.context.set_offline(True)
        for part in ("lever", "cable", "nipple"):
            fill(page, part)
            expect(page.locator(".sending")).to_contain_text("Keep the bag in hand")
            expect(page.locator("[name=part]")).to_have_value("")
        expect(waiting(page)).to_contain_text("3 waiting to be sent")
        expect(waiting(page)).to_contain_text("no network")
        page.context.set_offline(False)
        expect(waiting(page)).to_be_hidden()
    assert [each.split(":")[1].split()[0] for each in steps(house)] == ["nipple", "cable", "lever"]
    assert audit(Context(house.store)).faults == ()


def test_what_waits_outlives_the_page(address: str, house: House, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.context.set_offline(True)
        fill(page, "lever")
        expect(waiting(page)).to_contain_text("1 waiting")
        context = page.context
        page.close()
        context.set_offline(False)
        later = context.new_page()
        later.goto(address)
        expect(later.locator(".acts")).to_contain_text("brake plate")
        expect(waiting(later)).to_be_hidden()
        later.reload()
        expect(later.locator(".acts")).to_contain_text("lever")
    assert len(steps(house)) == 1


def test_a_lost_reply_is_still_one_act(address: str, house: House, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")

        def lose(route: Any) -> None:
            route.fetch()
            route.abort()

        page.route("**/do/strip", lose)
        fill(page, "lever")
        expect(waiting(page)).to_contain_text("1 waiting")
        assert len(steps(house)) == 1
        page.unroute("**/do/strip")
        waiting(page).get_by_role("button", name="Send now").click()
        expect(waiting(page)).to_be_hidden()
    assert len(steps(house)) == 1


def test_what_was_typed_while_the_server_was_away_is_sent_when_it_is_back(
    record: Path, opened: Any
) -> None:
    with open_store(str(record)) as store:
        house = House(store, str(record))
        with opened(PHONE) as page:
            with serving(house) as address:
                page.goto(f"{address}/strip")
            fill(page, "lever")
            expect(waiting(page)).to_contain_text("1 waiting")
            port = int(address.rpartition(":")[2])
            with serving(House(store, str(record)), port):
                waiting(page).get_by_role("button", name="Send now").click()
                expect(waiting(page)).to_be_hidden()
        assert len(steps(house)) == 1


def test_what_is_refused_later_comes_back_to_be_put_right(
    address: str, house: House, opened: Any
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.context.set_offline(True)
        fill(page, "lever", "0 M6 nut")
        expect(waiting(page)).to_contain_text("1 waiting")
        page.context.set_offline(False)
        waiting(page).get_by_role("button", name="Look at it").click()
        expect(page.locator("[role=alert]")).to_contain_text("0 M6 nut")
        expect(page.get_by_label("What came off")).to_have_value("lever")
        page.get_by_label("What held it").fill("3 M6 nut")
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("lever")
        expect(waiting(page)).to_be_hidden()
    assert len(steps(house)) == 1


@pytest.mark.parametrize("status", [401, 500])
def test_a_form_waits_where_the_pairing_is_lost_or_the_server_fails(
    address: str, house: House, opened: Any, status: int
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.route("**/do/strip", lambda route: route.fulfill(status=status, body="no"))
        fill(page, "lever")
        why = "pair this device again" if status == 401 else "could not answer"
        expect(waiting(page)).to_contain_text(why)
        page.unroute("**/do/strip")
        waiting(page).get_by_role("button", name="Send now").click()
        expect(waiting(page)).to_be_hidden()
    assert len(steps(house)) == 1


def test_a_button_pressed_twice_is_one_act(address: str, house: House, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.fill("[name=part]", "lever")
        page.get_by_role("button", name="Record it").dblclick()
        expect(page.locator(".told")).to_contain_text("lever")
    assert len(steps(house)) == 1


def test_going_back_and_sending_something_else_is_another_act(
    address: str, house: House, opened: Any
) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        fill(page, "lever")
        expect(page.locator(".told")).to_contain_text("lever")
        page.go_back()
        fill(page, "cable")
        expect(page.locator(".told")).to_contain_text("cable")
    assert len(steps(house)) == 2


def test_a_scanner_that_types_several_lines_opens_one_bag(address: str, opened: Any) -> None:
    with opened(PHONE) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(address)
        page.focus("#q")
        page.keyboard.type("A001N\n")
        page.keyboard.type("4 M6x25 hex\n1 gasket\n")
        expect(page.locator("h1")).to_have_text("A001N")
        assert len([url for url in asked if "/find" in url]) == 1


def test_what_is_too_much_at_once_stays_in_its_form(
    address: str, house: House, opened: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The form is as it was typed, with what is the matter at it; sent again it goes."""
    monkeypatch.setattr("stores.web.guard.MOST_BYTES", 100)
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        fill(page, "lever")
        expect(page.locator(".sending")).to_contain_text("Send fewer pictures at a time")
        expect(page.locator("[name=part]")).to_have_value("lever")
        expect(page.locator("[name=lines]")).to_have_value("2 M6 nut")
        expect(waiting(page)).to_be_hidden()
        assert steps(house) == []
        monkeypatch.undo()
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("lever")
    assert len(steps(house)) == 1
