"""What goes on next: a step with its pieces, its picture and its figures, put back by taps."""

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.figures import SetJoint, SetTorque, set_joint, set_torque
from stores.usecases.find import Find, find
from stores.usecases.rebuild import ListSteps, listed_steps
from stores.usecases.sitting import InspectEach, inspect_each
from stores.web.visit import House


def sound(house: House) -> None:
    inspect_each(Context(house.store), InspectEach(listed="1 good; 2 good"))


def test_the_step_that_is_ready_is_shown_with_its_figure(client: TestClient, house: House) -> None:
    sound(house)
    set_torque(Context(house.store), SetTorque("1.2", "9 N m", source="book p. 3"))
    page = client.get("/next", params={"step": "1"}).text
    assert "9 N m" in page
    assert "arm up" in page
    for line in listed_steps(Context(house.store), ListSteps(everything=True))[-1].lines:
        assert line.as_specified in page


def test_brakes_show_their_caution_and_ask_for_a_second_person(client: TestClient) -> None:
    page = client.get("/next", params={"step": "2"}).text
    assert "asbestos" in page
    assert "A second person checks this" in page


def test_the_tightening_picture_is_that_of_the_card(client: TestClient, house: House) -> None:
    set_joint(Context(house.store), SetJoint("1", "4 on 60"))
    answer = client.get("/joint/1.svg")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    for turn in "1234":
        assert f">{turn}</text>" in answer.text
    assert client.get("/joint/2.svg").status_code in (404, 422)


def test_a_step_that_is_none_is_refused(client: TestClient) -> None:
    assert client.get("/next", params={"step": "99"}).status_code == 404


def test_a_wrong_bag_is_said(client: TestClient, house: House) -> None:
    code = find(Context(house.store), Find("2")).items[0].now[0].place
    assert "is not of this step" in client.get("/next", params={"step": "1", "bag": code}).text
    assert "is the right bag" in client.get("/next", params={"step": "2", "bag": code}).text


def test_a_bag_is_refitted_in_few_taps(address: str, house: House, opened) -> None:  # type: ignore[no-untyped-def]
    sound(house)
    code = find(Context(house.store), Find("2")).items[0].now[0].place
    with opened(PHONE) as page:
        page.goto(address)
        page.fill("#q", code)  # scanned
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Refit all in this bag").click()
        expect(page.locator(".told")).to_contain_text("Refitted")
