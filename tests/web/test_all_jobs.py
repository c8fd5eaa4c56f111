"""All jobs: every screen and every form is a link there, and every link answers."""

import re

from starlette.testclient import TestClient

from stores.web.deeds import PARTS, SUBJECTS, by_part, deeds, inquiries
from stores.web.pages import PAGES

NOT_LISTED = {
    "/": "the bench, on top of every page",
    "/all": "this page",
    "/told": "what the last form recorded",
    "/desk/follow": "asked by the desk's script",
    "/desk/log": "a part of /desk",
    "/desk/open": "asked by the desk's script",
    "/desk/right": "a part of /desk",
    "/find": "the bench's one field",
    "/labels/sheet.svg": "a picture on /labels",
    "/labels/align": "a sheet from /labels",
    "/keep/text": "a file from /keep",
    "/devices/code.svg": "a picture on /devices",
    "/devices/now": "what the script of /devices asks",
    "/trust": "where a phone that is being paired over HTTPS is sent",
    "/trust/stores.crt": "a file on /trust",
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
        answer = client.get(link)
        assert answer.status_code == 200, link


def test_a_screen_that_is_not_listed_says_how_it_is_reached(client: TestClient) -> None:
    text = client.get("/all").text
    plain = {page.path for page in PAGES if page.method == "GET" and "{" not in page.path}
    unlisted = {path for path in plain if f'href="{path}"' not in text.split("<main", 1)[1]}
    assert unlisted == set(NOT_LISTED)


def test_a_device_keeps_the_machine_that_it_is_about(client: TestClient) -> None:
    for name in ("Tern 50", "Šárka 350"):
        client.post("/do/machine-add", data={"key": name, "name": name, "back": "/machine"})
    assert "follows the machine last worked on" in client.get("/machine").text
    client.post("/machine", data={"machine": "Šárka 350"})
    assert "This device is about Šárka 350." in client.get("/machine").text
    client.post("/do/strip", data={"key": "s", "assembly": "Frame", "part": "seat"})
    assert "seat" in client.get("/ask/story?what=1").text
    client.post("/machine", data={"machine": ""})
    assert "follows the machine last worked on" in client.get("/machine").text


def test_no_machine_is_chosen_that_is_not_there(client: TestClient) -> None:
    answer = client.post("/machine", data={"machine": "Dunlin"})
    assert answer.status_code == 404
    assert "machine" not in client.cookies
