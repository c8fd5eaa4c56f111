"""Labels photographed and scanned: in the page, live, and by the server."""

import hashlib
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import browsing
import pytest
import qrcode
from browsing import DESK, PHONE, serving
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from sent_pictures import NOT_PICTURES, film, jpeg, photograph, printed_label, saved
from starlette.testclient import TestClient

from stores.web.certificate import Authority
from stores.web.guard import LOCAL, STATIC, Rules
from stores.web.visit import House

WORKSHOP = "workshop.test"
"""A name that is not this computer's own: over plain HTTP no secure context."""


@pytest.fixture
def label(record: Path, tmp_path: Path) -> Image.Image:
    return printed_label(record, "A001N", tmp_path)


class Watched:
    """A page, all that it asked for, and what its browser complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.requests: list[tuple[str, str]] = []
        self.complaints: list[str] = []
        page.on("request", lambda each: self.requests.append((each.method, each.url)))
        page.on("console", lambda each: each.type == "error" and self.complaints.append(each.text))
        page.on("pageerror", lambda each: self.complaints.append(str(each)))

    def is_clean(self, address: str) -> bool:
        home = urlsplit(address).netloc
        elsewhere = [
            url
            for _, url in self.requests
            if not url.startswith("blob:") and urlsplit(url).netloc != home
        ]
        assert elsewhere == []
        assert self.complaints == []
        return True


@contextmanager
def scanning(browser: Browser, *more: str, seen: Path | None = None) -> Iterator[Watched]:
    """A phone's page in a browser of its own, whose camera sees a film."""
    camera = [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-video-capture={seen}",
    ]
    other = browser.browser_type.launch(
        executable_path=browsing.found_browser(),
        args=["--no-sandbox", "--disable-dev-shm-usage", *(camera if seen else []), *more],
    )
    try:
        page = other.new_page(viewport={"width": PHONE[0], "height": PHONE[1]}, has_touch=True)
        page.set_default_timeout(15_000)
        yield Watched(page)
    finally:
        other.close()


def photograph_of(page: Page, picture: Path) -> None:
    page.locator("input[data-read-code]").set_input_files(picture)


# In the page


def test_a_label_is_read_in_the_page_over_plain_http(
    browser: Browser, house: House, label: Image.Image, tmp_path: Path
) -> None:
    house.rules = Rules(hosts=LOCAL | {WORKSHOP})
    with (
        serving(house) as where,
        scanning(browser, f"--host-resolver-rules=MAP {WORKSHOP} 127.0.0.1") as watched,
    ):
        address = where.replace("localhost", WORKSHOP)
        page = watched.page
        page.goto(address)
        assert page.evaluate("isSecureContext") is False
        expect(page.get_by_role("button", name="Scan live")).to_be_hidden()
        expect(page.get_by_text("Photograph a label")).to_be_visible()
        photograph_of(page, saved(photograph(label, (4000, 3000)), tmp_path / "seen.jpg"))
        page.wait_for_url("**/bag/A001N")
        expect(page.locator("h1")).to_have_text("A001N")
        assert {method for method, _ in watched.requests} == {"GET"}  # the picture was not sent
        assert watched.is_clean(address)


@pytest.mark.parametrize(("share", "turn"), [(0.12, 3), (0.6, 95), (0.3, 200)])
def test_a_label_is_read_however_it_lies(
    address: str, opened, label: Image.Image, tmp_path: Path, share: float, turn: float
) -> None:  # type: ignore[no-untyped-def]
    picture = photograph(label, share=share, turn=turn, at=(0.2, 0.1))
    with opened(PHONE) as page:
        page.goto(address)
        photograph_of(page, saved(picture, tmp_path / "seen.jpg"))
        page.wait_for_url("**/bag/A001N")


def test_of_a_code_of_several_lines_the_first_is_the_code(
    address: str, opened, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    code = qrcode.make("A003J\n2 M8 x 30 hex\n1 spring").get_image().convert("RGB")
    with opened(PHONE) as page:
        page.goto(address)
        photograph_of(page, saved(photograph(code), tmp_path / "seen.jpg"))
        page.wait_for_url("**/bag/A003J")


def test_of_several_labels_the_person_says_which(
    record: Path, address: str, opened, label: Image.Image, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    both = photograph(label, at=(0.1, 0.1))
    other = printed_label(record, "A003J", tmp_path)
    both.paste(other.resize((700, 700 * other.height // other.width)), (1400, 1100))
    with opened(PHONE) as page:
        page.goto(address)
        photograph_of(page, saved(both, tmp_path / "both.jpg"))
        expect(page.get_by_text("Several labels are in the picture")).to_be_visible()
        page.get_by_role("button", name="A003J").click()
        page.wait_for_url("**/bag/A003J")


def test_where_nothing_is_read_the_page_says_what_to_do_and_the_server_looks_harder(
    address: str, opened, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    bench = photograph(Image.new("RGB", (600, 300), "white"), size=(1600, 1200))
    with opened(PHONE) as page:
        page.goto(address)
        photograph_of(page, saved(bench, tmp_path / "bench.jpg"))
        expect(page.get_by_text("No code read. Photograph the label again")).to_be_visible()
        page.get_by_role("button", name="Let the stores look harder").click()
        page.wait_for_url("**/scan")
        expect(page.get_by_role("alert")).to_contain_text("no label was read in this picture")
        expect(page.get_by_role("alert")).to_contain_text("Not read")


def test_what_the_browser_cannot_open_is_said(address: str, opened, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "bomb.png").write_bytes(NOT_PICTURES["bomb"][1])
    (tmp_path / "text.jpg").write_bytes(b"words")
    with opened(PHONE) as page:
        page.goto(address)
        for name in ("text.jpg", "bomb.png"):
            photograph_of(page, tmp_path / name)
            expect(page.locator("[data-read-out]")).to_contain_text("cannot be opened here")


def test_without_script_the_same_form_sends_the_picture(
    address: str, opened, label: Image.Image, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE, java_script_enabled=False) as page:
        page.goto(address)
        expect(page.get_by_role("button", name="Scan live")).to_be_hidden()
        photograph_of(page, saved(photograph(label), tmp_path / "seen.jpg"))
        page.get_by_role("button", name="Read it").click()
        page.wait_for_url("**/bag/A001N")


def test_a_label_printed_ahead_becomes_the_bag_of_a_step(
    address: str, opened, label: Image.Image, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    bench = photograph(Image.new("RGB", (600, 300), "white"))
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.fill("#part", "rocker cover")
        photograph_of(page, saved(bench, tmp_path / "bench.jpg"))
        expect(page.get_by_text("No code read. Photograph the label again")).to_be_visible()
        expect(page.get_by_role("button", name="Let the stores look harder")).to_have_count(0)
        photograph_of(page, saved(photograph(label), tmp_path / "seen.jpg"))
        expect(page.locator("#bag")).to_have_value("A001N")
        expect(page.locator("#part")).to_have_value("rocker cover")


# Live


def test_a_live_scan_opens_the_bag(
    browser: Browser, address: str, label: Image.Image, tmp_path: Path
) -> None:
    seen = film(photograph(label, (1280, 720), share=0.4), tmp_path / "camera.y4m")
    with scanning(browser, seen=seen) as watched:
        page = watched.page
        page.goto(address)
        page.get_by_role("button", name="Scan live").click()
        page.wait_for_url("**/bag/A001N")
        assert {method for method, _ in watched.requests} == {"GET"}
        assert watched.is_clean(address)


def test_a_live_scan_over_https_where_the_phone_is_on_the_network(
    browser: Browser, house: House, label: Image.Image, tmp_path: Path
) -> None:
    seen = film(photograph(label, (1280, 720), share=0.4), tmp_path / "camera.y4m")
    names = LOCAL | {WORKSHOP}
    house.rules = Rules(hosts=names)
    context = Authority.kept_in(tmp_path / "certificate").context(names - {"[::1]"})
    trusted = ("--ignore-certificate-errors", f"--host-resolver-rules=MAP {WORKSHOP} 127.0.0.1")
    with (
        serving(house, secure=context) as where,
        scanning(browser, *trusted, seen=seen) as watched,
    ):
        address = where.replace("localhost", WORKSHOP)
        page = watched.page
        page.goto(address)
        assert page.evaluate("isSecureContext") is True
        page.get_by_role("button", name="Scan live").click()
        page.wait_for_url("**/bag/A001N")
        assert watched.is_clean(address)


def test_a_live_scan_stops_when_it_is_left(browser: Browser, address: str, tmp_path: Path) -> None:
    bench = photograph(Image.new("RGB", (60, 30), "white"), (640, 480))
    with scanning(browser, seen=film(bench, tmp_path / "camera.y4m")) as watched:
        page = watched.page
        page.goto(address)
        for leave in (
            lambda: page.get_by_role("button", name="Stop scanning").click(),
            lambda: page.keyboard.press("Escape"),
        ):
            page.get_by_role("button", name="Scan live").click()
            expect(page.locator("video")).to_have_js_property("readyState", 4)
            tracks = page.evaluate_handle("document.querySelector('video').srcObject.getTracks()")
            leave()
            expect(page.locator("video")).to_be_hidden()
            assert tracks.evaluate("all => all.map(each => each.readyState)") == ["ended"]
            expect(page.get_by_role("button", name="Scan live")).to_be_visible()
        assert watched.is_clean(address)


def test_where_the_camera_may_not_be_used_the_person_hears_what_to_do(address: str, opened) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE) as page:
        page.goto(address)
        page.get_by_role("button", name="Scan live").click()
        expect(page.locator("[data-read-out]")).to_contain_text("hotograph the label")


def test_the_pages_of_pictures_need_no_more_than_the_policy(
    address: str, opened, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "a.jpg").write_bytes(jpeg())
    with opened(DESK) as page:
        watched = Watched(page)
        page.goto(f"{address}/pictures")
        page.fill("[name=to]", "1")
        page.locator("[name=paths]").set_input_files(tmp_path / "a.jpg")
        page.get_by_role("button", name="Add them").click()
        page.wait_for_url("**/pictures?told=*")
        shown = page.get_by_role("img", name="Picture 1")
        expect(shown).to_have_js_property("naturalWidth", 480)
        page.goto(f"{address}/scan")
        assert watched.is_clean(address)


# By the server


def test_the_server_reads_a_label_and_goes_on_to_its_bag(
    client: TestClient, label: Image.Image, tmp_path: Path
) -> None:
    picture = saved(photograph(label, size=(1600, 1200)), tmp_path / "seen.jpg")
    answer = client.post(
        "/scan", files={"picture": ("a.jpg", picture.read_bytes())}, follow_redirects=False
    )
    assert (answer.status_code, answer.headers["location"]) == (303, "/find?q=A001N")


@pytest.mark.parametrize("kind", NOT_PICTURES)
def test_what_is_no_picture_is_refused_in_one_sentence(client: TestClient, kind: str) -> None:
    answer = client.post("/scan", files={"picture": NOT_PICTURES[kind]})
    assert answer.status_code == 422
    said = answer.text.split('<div class="error"')[1].split("<p>")[1].split("</p>")[0]
    reason = {
        "drawing": "a drawing (SVG)",
        "text": "not a picture",
        "broken": "cut short",
        "bomb": "900 million pixels",
        "empty": "no picture was chosen",
    }
    assert reason[kind] in said
    assert "/" not in said  # no folder of ours
    assert said.count(".") <= 2  # one sentence, with a file's name in it
    assert "alert(1)" not in answer.text


def test_a_picture_without_a_label_is_refused_with_what_to_do(client: TestClient) -> None:
    answer = client.post("/scan", files={"picture": ("a.jpg", jpeg())})
    assert answer.status_code == 422
    assert "photograph the label flat" in answer.text


def test_pictures_are_decoded_one_at_a_time(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six sent at once: never are two of them in memory as pixels."""
    at_once: list[int] = []
    inside = threading.Semaphore(6)

    def decode(*_: object, **__: object) -> tuple[str, ...]:
        with inside:
            at_once.append(6 - inside._value)
            time.sleep(0.02)  # long enough for another to come in, were it let
        return ("A001N",)

    monkeypatch.setattr("stores.photos.codes.codes_in", decode)
    sent = {"picture": ("a.jpg", jpeg())}
    with ThreadPoolExecutor(6) as phones:
        answers = [
            phones.submit(client.post, "/scan", files=sent, follow_redirects=False)
            for _ in range(6)
        ]
    assert [each.result().status_code for each in answers] == [303] * 6
    assert at_once == [1] * 6


# The reader that is kept here


def test_the_reader_is_as_its_note_says_and_names_no_other_place() -> None:
    note = (STATIC / "zxing" / "VERSION.txt").read_text(encoding="utf-8")
    for name in ("zxing_reader.js", "zxing_reader.wasm"):
        content = (STATIC / "zxing" / name).read_bytes()
        assert hashlib.sha256(content).hexdigest() in note
        assert b"://" not in content
    assert "MIT License" in (STATIC / "zxing" / "LICENSE.txt").read_text(encoding="utf-8")
