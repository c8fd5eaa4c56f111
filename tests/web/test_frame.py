"""What every page does: a form recorded once, refused with what was typed kept, undone."""

import mimetypes

import pytest
from browsing import PHONE, client_of
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.bagcode import PATTERN
from stores.usecases.context import Context
from stores.usecases.correct import CorrectMachine, correct_machine
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip
from stores.web.guard import STATIC
from stores.web.visit import House

STEP = {"assembly": "Engine", "part": "rocker cover", "lines": "4 M6x20 hex\n1 gasket"}


def test_a_form_is_recorded_once_and_told_on_the_page_that_follows(client: TestClient) -> None:
    answer = client.post("/do/strip", data=STEP | {"key": "first"})
    assert answer.status_code == 200
    assert answer.url.path == "/told"
    assert "rocker cover" in answer.text
    again = client.post("/do/strip", data=STEP | {"key": "first"})
    assert again.status_code == 409
    assert "Recorded already" in again.text
    assert client.get("/").text.count("rocker cover") == 1


def test_a_refused_form_keeps_what_was_typed(client: TestClient) -> None:
    answer = client.post("/do/strip", data=STEP | {"key": "x", "lines": "0 M6x20 <b>hex</b>"})
    assert answer.status_code == 422
    assert "Not recorded" in answer.text
    assert "0 M6x20 &lt;b&gt;hex&lt;/b&gt;" in answer.text
    assert "<b>hex" not in answer.text


def test_shown_first_is_not_recorded(client: TestClient) -> None:
    answer = client.post("/do/strip", data=STEP | {"key": "x", "trial": "1"})
    assert "It would be recorded like this" in answer.text
    assert "rocker cover" not in client.get("/").text


def test_a_form_goes_on_to_a_page_of_ours_only(client: TestClient) -> None:
    for bad in ("//elsewhere.example/", "/\\elsewhere.example", "https://elsewhere.example/"):
        answer = client.post(
            "/do/strip", data=STEP | {"key": bad, "back": bad}, follow_redirects=False
        )
        assert answer.headers["location"].startswith("/told?"), bad


def test_a_step_is_recorded_and_undone_on_a_phone(address: str, opened) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE) as page:
        page.goto(f"{address}/do/strip")
        for name, text in STEP.items():
            page.fill(f"[name={name}]", text)
        page.get_by_role("button", name="Record it").click()
        page.wait_for_url("**/told?*")
        assert PATTERN.match(page.locator(".bagcode").inner_text())
        page.locator(".told").get_by_role("button", name="Undo").click()
        expect(page.locator(".told")).to_contain_text("Undone: act 4")
        page.goto(address)
        expect(page.locator(".acts s")).to_contain_text("step 3: rocker cover off Engine")


def test_too_many_files_are_said_to_be_too_many(client: TestClient) -> None:
    files = [("paths", (f"{at}.jpg", b"x", "image/jpeg")) for at in range(61)]
    answer = client.post("/do/pictures-take", files=files)
    assert answer.status_code == 413
    assert "At most 60 go in one form" in answer.text
    assert "no page" not in answer.text


def test_scripts_are_sent_as_scripts_whatever_the_system_calls_them(house: House) -> None:
    mimetypes.add_type("text/plain", ".js")
    with client_of(house) as client:
        for name, kind in (
            ("stores.js", "text/javascript"),
            ("stores.css", "text/css"),
            ("mark.svg", "image/svg+xml"),
            ("zxing/zxing_reader.wasm", "application/wasm"),
        ):
            sent = client.get(f"/static/{name}").headers["content-type"]
            assert sent.partition(";")[0] == kind


def test_a_machine_that_was_renamed_is_said_to_be_gone(client: TestClient, house: House) -> None:
    context = Context(house.store)
    add_machine(context, AddMachine("Finch"))
    strip(Context(house.store, "Orrick"), Strip("Frame", "saddle", ["1 spring"]))
    strip(Context(house.store, "Finch"), Strip("Frame", "stay", ["1 spring"]))
    client.cookies.set("machine", "Orrick Plover")
    assert "Orrick Plover</a>" in client.get("/").text
    correct_machine(Context(house.store, "Orrick Plover"), CorrectMachine("Tern"))
    page = client.get("/").text
    assert "There is no machine called Orrick Plover any more: this is about Finch" in page
    assert "stay" in client.get("/next").text
    # a form that was filled in for the other one is not recorded at this one
    unsaid = client.post("/do/strip", data=STEP | {"key": "one"})
    assert unsaid.status_code in (404, 422)
    said = client.post("/do/strip", data=STEP | {"key": "two", "machine": "Orrick Plover"})
    assert said.status_code in (404, 422)
    assert "no machine called" not in client.post("/machine", data={"machine": "Tern"}).text


@pytest.mark.parametrize("name", ["stores.js", "stores.css", "zxing/zxing_reader.wasm"])
def test_static_files_go_packed_to_who_takes_them_so(client: TestClient, name: str) -> None:
    plain = client.get(f"/static/{name}", headers={"Accept-Encoding": "identity"})
    refused = client.get(f"/static/{name}", headers={"Accept-Encoding": "br, gzip;q=0"})
    packed = client.get(f"/static/{name}", headers={"Accept-Encoding": "gzip, deflate"})
    assert plain.content == refused.content == packed.content == (STATIC / name).read_bytes()
    assert "content-encoding" not in plain.headers | refused.headers
    assert packed.headers["content-encoding"] == "gzip"
    assert int(packed.headers["content-length"]) < len(plain.content) / 2
    assert packed.headers["x-content-type-options"] == "nosniff"
    assert packed.headers["vary"] == plain.headers["vary"] == "Accept-Encoding"
    assert client.get("/static/../app.py").status_code == 404
    assert client.get("/static/%2e%2e/app.js").status_code == 404
