"""Without a pointer, and without script: the pages work by keys alone, and as plain forms."""

from typing import Any

import pytest
from browsing import PHONE
from playwright.sync_api import Page, expect
from sent_pictures import jpeg

from stores.usecases.context import Context
from stores.usecases.counts import ComparePlace, compare_place
from stores.usecases.find import Find, find
from stores.usecases.history import history
from stores.usecases.pictures import ListPictures, pictures
from stores.usecases.sitting import InspectEach, inspect_each
from stores.web.visit import House

PATIENCE = 60_000
expect.set_options(timeout=PATIENCE)
MOST_TABS = 80


def newest(house: House) -> str:
    return str(history(Context(house.store), 1)[0].summary)


def bag_of(house: House, ref: str) -> str:
    (item,) = find(Context(house.store), Find(ref)).items
    return str(item.now[0].place)


def tab_to(page: Page, name: str) -> None:
    """Press Tab until what has the focus is called that, as its label or its words say."""
    called = """() => {
      const on = document.activeElement;
      return (on.labels?.[0] ?? on).textContent.trim().replace(/\\s+/g, " ");
    }"""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate(called) == name:
            seen = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert seen == "solid", f"{name}: where the focus is cannot be seen"
            return
    raise AssertionError(f"no Tab comes to {name!r}")


def test_a_step_is_recorded_by_keys_alone(address: str, house: House, opened: Any) -> None:
    with opened(PHONE) as page:
        page.set_default_timeout(2 * PATIENCE)
        page.goto(address)
        tab_to(page, "Take off")
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_have_text("Take off")
        tab_to(page, "What came off")
        page.keyboard.type("rocker cover")
        tab_to(page, "What held it")
        page.keyboard.type("4 M6x20 hex\n1 gasket")
        tab_to(page, "Record it")
        page.keyboard.press("Enter")
        expect(page.locator(".told")).to_contain_text("rocker cover")
        tab_to(page, "Next piece")
        page.keyboard.press("Enter")
        page.wait_for_url("**/strip?assembly=*")
    assert "rocker cover" in newest(house)


def test_the_first_tab_leads_past_the_head_of_the_page(address: str, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(address)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        tab_to(page, "Bag code, bolt, or words")


@pytest.fixture
def plain(opened: Any) -> Any:
    with opened(PHONE, java_script_enabled=False) as page:
        page.set_default_timeout(2 * PATIENCE)
        yield page


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_without_script_a_step_is_shown_first_and_recorded(
    address: str, house: House, plain: Page, tmp_path: Any
) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg())
    plain.goto(address)
    plain.get_by_role("link", name="Take off").click()
    plain.get_by_label("What came off").fill("rocker cover")
    plain.get_by_label("What held it").fill("4 M6x20 hex\n1 gasket")
    before = newest(house)
    press(plain, "Show first")
    expect(plain.locator(".shown")).to_contain_text("rocker cover")
    assert newest(house) == before
    plain.get_by_label("Pictures").set_input_files(tmp_path / "a.jpg")
    press(plain, "Record it")
    expect(plain.locator(".told")).to_contain_text("rocker cover")
    assert len(pictures(Context(house.store), ListPictures()).pictures) == 1
    press(plain, "Undo entry 4")
    expect(plain.locator(".told")).to_contain_text("Undone")


def test_without_script_a_bag_is_found_inspected_and_refitted(
    address: str, house: House, plain: Page
) -> None:
    code = bag_of(house, "2.2")
    plain.goto(address)
    plain.get_by_label("Bag code, bolt, or words").fill(code)
    press(plain, "Find")
    expect(plain.locator("h1")).to_have_text(code)
    plain.get_by_role("link", name="Inspect", exact=True).click()
    for line in ("brake plate", "M8 x 30 hex", "spring"):
        expect(plain.locator("h1")).to_contain_text(line)
        press(plain, "Good")
    expect(plain.locator("main")).to_contain_text("Nothing is left to inspect")
    plain.goto(f"{address}/bag/{code}")
    press(plain, "Refit all in this bag")
    expect(plain.locator(".told")).to_contain_text("Refitted")
    assert "step 2" in newest(house)


def test_without_script_a_bag_is_counted(address: str, house: House, plain: Page) -> None:
    code = bag_of(house, "1.2")
    plain.goto(f"{address}/count?place={code}")
    plain.get_by_label("1.2 M6 x 25 hex 8.8").fill("3")
    plain.get_by_label("Why it differs").fill("one rolled away")
    press(plain, "Record the count")
    expect(plain.locator(".told")).to_be_visible()
    again = compare_place(Context(house.store), ComparePlace(code, (), ""))
    assert [line.expected for line in again.lines if line.name == "1.2"] == [3]


def test_without_script_labels_come_as_pdf(address: str, house: House, plain: Page) -> None:
    inspect_each(Context(house.store), InspectEach(listed="2 good"))
    plain.goto(f"{address}/labels")
    with plain.context.expect_event("response", lambda each: "/labels/made" in each.url) as made:
        press(plain, "Open the PDF")
    assert made.value.headers["content-type"] == "application/pdf"
    plain.reload()
    expect(plain.locator("main")).to_contain_text("come out properly?")
    press(plain, "Printed properly")
    expect(plain.locator("main")).not_to_contain_text("come out properly?")
