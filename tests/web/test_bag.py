"""The bag just scanned, what a search finds, and taking off with little to type."""

import re

import pytest
from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.web.visit import House


def test_a_code_typed_on_the_bench_opens_its_bag(client: TestClient) -> None:
    answer = client.get("/find", params={"q": "a001n"})
    assert answer.url.path == "/bag/A001N"
    for words in ("M6 x 25", "clutch cover", "arm up", "always renewed"):
        assert words in answer.text


def test_what_can_hurt_stands_on_top(client: TestClient, house: House) -> None:
    code = find(Context(house.store), Find("2.1")).items[0].now[0].place
    page = client.get(f"/bag/{code}").text
    assert page.index("asbestos") < page.index("M8 x 30")


def test_a_slip_in_a_code_is_refused_with_the_code_that_was_meant(client: TestClient) -> None:
    answer = client.get("/bag/A001A")
    assert answer.status_code in (404, 422)
    assert "A001N" in answer.text


def test_words_find_joints_with_a_way_to_their_bags(client: TestClient) -> None:
    answer = client.get("/find", params={"q": "M8"})
    assert re.search(r'href="/bag/A\d{3}[A-Z]"', answer.text)
    assert "brake plate" in answer.text


def test_near_words_are_offered(client: TestClient) -> None:
    assert "Near it: clutch cover" in client.get("/find", params={"q": "cluch cover"}).text


@pytest.mark.parametrize(
    ("taps", "lines"),
    [
        (("4", "M6 x 25 hex", "2", "dowel", "1", "gasket"), "4 M6 x 25 hex 8.8"),
        (("3", "4", "M6 x 25 hex"), "4 M6 x 25 hex 8.8"),
    ],
)
def test_taps_write_the_lines(address: str, opened, taps: tuple[str, ...], lines: str) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE) as page:
        page.goto(f"{address}/strip?assembly=Engine/Clutch")
        page.fill("#part", "release lever")
        for tap in taps:
            page.locator("button[data-for=lines]", has_text=tap).first.click()
        assert page.input_value("#lines").splitlines()[0] == lines
        expect(page.locator("[data-live-out]")).to_contain_text("release lever")
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("Engine / Clutch: release lever")
