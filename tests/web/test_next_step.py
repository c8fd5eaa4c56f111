"""What goes on next: a step with its pieces, its picture and its figures, put back by taps."""

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.figures import SetJoint, SetTorque, set_joint, set_torque
from stores.usecases.find import Find, find
from stores.usecases.history import AskAudit, audit
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.rebuild import ListSteps, listed_steps
from stores.usecases.refit import Refit, refit
from stores.usecases.sitting import InspectEach, inspect_each
from stores.usecases.strip import Strip, strip
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


def test_the_steps_beside_it_are_those_of_the_checklist(client: TestClient, house: House) -> None:
    sound(house)
    strip(Context(house.store), Strip("Frame", "saddle", ["1 spring"]))
    refit(Context(house.store), Refit("3", as_it_came=True))
    strip(Context(house.store), Strip("Frame", "stay", ["1 spring"]))
    inspect_each(Context(house.store), InspectEach(listed="4 good"))
    first, last = client.get("/next").text, client.get("/next", params={"step": "1"}).text
    assert "1 of 4 steps are back on" in first
    assert "After: step 2" in first
    assert "Before: step" not in first
    assert "Before: step 2" in last
    assert "After: step" not in last
    assert "2 steps are ready" in first
    refit(Context(house.store), Refit("4", as_it_came=True))
    only = client.get("/next", params={"step": "2"}).text
    assert "steps are ready" not in only


def test_all_on_is_said(client: TestClient, house: House) -> None:
    context = Context(house.store)
    add_machine(context, AddMachine("Finch"))
    strip(Context(house.store, "Finch"), Strip("Frame", "saddle", ["1 spring"]))
    refit(Context(house.store, "Finch"), Refit("1", as_it_came=True))
    client.cookies.set("machine", "Finch")
    page = client.get("/next").text
    assert "Nothing is left to put on" in page
    assert "1 of 1 steps are back on" in page
    assert "/do/close" in page
    strip(Context(house.store, "Finch"), Strip("Engine", "cover", ["1 spring"]))
    page = client.get("/next", params={"assembly": "Frame"}).text
    assert "1 of 2 steps are back on" in page
    assert "/do/close" not in page


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


def test_a_figure_is_in_the_unit_beside_it(client: TestClient, house: House) -> None:
    sound(house)
    refit(Context(house.store), Refit("1", finger_tight=True, anyway=True))
    page = client.get("/next", params={"step": "1"}).text
    assert 'name="unit" value="N m"' in page
    sent = {"what": "1.2", "torque": "9", "unit": "N m", "state": "dry", "key": "t"}
    assert "9 N m" in client.post("/do/tighten", data=sent).text
    assert audit(Context(house.store), AskAudit()).faults == ()
