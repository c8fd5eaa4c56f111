"""All jobs: every screen and every form is a link there, and every link answers."""

import re

from starlette.testclient import TestClient

from stores.web.deeds import PARTS, SUBJECTS, by_part, deeds, inquiries
from stores.web.pages import PAGES

NOT_LISTED = {
    "/": "the bench, on top of every page",
    "/all": "this page",
    "/told": "what the last form recorded",
    "/find": "the bench's one field",
    "/shopping/take": "a part of /shopping",
    "/shopping/back": "a part of /shopping",
}
"""The screens that are reached otherwise, and how."""


def test_each_subject_is_of_one_part() -> None:
    listed = [subject for subjects in PARTS.values() for subject in subjects]
    assert len(listed) == len(set(listed))
    assert set(SUBJECTS) <= set(listed)
    assert sum(map(len, by_part().values())) == len(deeds()) + len(inquiries())


def test_every_form_and_screen_is_a_link_and_answers(client: TestClient) -> None:
    text = client.get("/all").text
    links = set(re.findall(r'href="(/[^"#]*)"', text.split("<main", 1)[1]))
    assert {each.address for each in (*deeds().values(), *inquiries().values())} <= links
    for link in sorted(links):
        assert client.get(link).status_code == 200, link


def test_a_screen_that_is_not_listed_says_how_it_is_reached(client: TestClient) -> None:
    text = client.get("/all").text
    plain = {page.path for page in PAGES if page.method == "GET" and "{" not in page.path}
    unlisted = {path for path in plain if f'href="{path}"' not in text.split("<main", 1)[1]}
    assert unlisted == set(NOT_LISTED)
