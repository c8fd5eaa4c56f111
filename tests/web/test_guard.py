"""What stands before every page: each way in from elsewhere is tried, and refused.

What a browser sends with a form: Fetch standard, "append a request Origin header"; what a header
of the answer makes it do: Content Security Policy level 3, RFC 9110 and RFC 9111.
"""

import os
import re
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

import pytest
from browsing import HERE, PHONE, begun, client_of
from starlette.testclient import TestClient

from stores.storage import open_store
from stores.web import app as web_app
from stores.web.app import build
from stores.web.guard import MOST_BYTES, Rules, static_version
from stores.web.pages import Page
from stores.web.visit import House

STEP = {"assembly": "Engine", "part": "rocker cover", "lines": "4 M6x20 hex", "key": "k"}


def entries(client: TestClient) -> str:
    return client.get("/").text


def raw(address: str, request: bytes) -> bytes:
    """Send bytes as they are, as no browser would; give all that comes back."""
    port = int(address.rpartition(":")[2])
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        line.sendall(request)
        answer = b""
        while part := line.recv(65536):
            answer += part
    return answer


class TestHost:
    """A name of somebody else's is pointed at this computer (DNS rebinding)."""

    @pytest.mark.parametrize(
        "host",
        [
            "evil.example", "evil.example:8711", "localhost.evil.example", "127.0.0.1.",
            "localhost:8711.evil.example", "192.168.1.20:8711", "a@localhost", "", "localhost:x",
            "[::1", "localhost evil",
        ],
    )  # fmt: skip
    @pytest.mark.parametrize("path", ["/", "/static/stores.css", "/static/none", "/none"])
    def test_another_host_is_refused(self, client: TestClient, host: str, path: str) -> None:
        answer = client.get(path, headers={"Host": host})
        assert answer.status_code == 421
        assert "Orrick" not in answer.text

    @pytest.mark.parametrize(
        "host", ["localhost:8711", "LOCALHOST:8711", "127.0.0.1:8711", "[::1]:8711", "localhost"]
    )
    def test_this_computer_is_known_by_its_own_names(self, client: TestClient, host: str) -> None:
        assert client.get("/", headers={"Host": host}).status_code == 200

    def test_two_hosts_or_none_are_refused(self, address: str) -> None:
        two = raw(address, b"GET / HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n"
                  b"Connection: close\r\n\r\n")  # fmt: skip
        assert re.match(rb"HTTP/1.1 4(00|21) ", two)
        none = raw(address, b"GET / HTTP/1.0\r\n\r\n")
        assert b" 421 " in none.splitlines()[0]

    def test_what_a_proxy_would_say_is_not_believed(self, client: TestClient) -> None:
        headers = {"X-Forwarded-Host": "localhost", "Host": "evil.example"}
        assert client.get("/", headers=headers).status_code == 421


class TestOrigin:
    """Another page sends a form to the stores."""

    @pytest.mark.parametrize(
        "headers",
        [
            {"Origin": "http://evil.example"},
            {"Origin": "http://localhost"},  # another program on this computer
            {"Origin": "http://localhost:3000"},
            {"Origin": "https://localhost:8711"},
            {"Origin": "http://localhost:8711.evil.example"},
            {"Origin": "null"},  # a frame without an origin, a file
            {"Origin": ""},
            {"Sec-Fetch-Site": "cross-site"},
            {"Sec-Fetch-Site": "same-site"},
            {},  # a cross-site form of a browser that says nothing
            {"Origin": "http://evil.example", "Sec-Fetch-Site": "same-origin"},
            {"Referer": "http://localhost:8711/"},
        ],
        ids=str,
    )
    @pytest.mark.parametrize("path", ["/do/strip", "/strip/understood", "/none"])
    def test_what_another_page_sends_is_refused(
        self, house: House, headers: dict[str, str], path: str
    ) -> None:
        with TestClient(build(house), base_url=HERE) as client:
            answer = client.post(path, data=STEP, headers=headers)
            assert answer.status_code == 403
            assert "Nothing was recorded" in answer.text
            assert "rocker cover" not in entries(client)

    @pytest.mark.parametrize(
        "headers",
        [{"Origin": HERE}, {"Sec-Fetch-Site": "same-origin"}, {"Sec-Fetch-Site": "none"}],
        ids=str,
    )
    def test_what_a_page_of_ours_sends_is_recorded(
        self, house: House, headers: dict[str, str]
    ) -> None:
        with TestClient(build(house), base_url=HERE) as client:
            assert client.post("/do/strip", data=STEP, headers=headers).status_code == 200
            assert "rocker cover" in entries(client)

    @pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "POST", "FROB"])
    def test_any_method_that_may_write_is_held_to_it(self, house: House, method: str) -> None:
        with TestClient(build(house), base_url=HERE) as client:
            assert client.request(method, "/do/strip", data=STEP).status_code == 403

    def test_a_browser_sends_what_is_asked_for_without_script(self, address: str, opened) -> None:  # type: ignore[no-untyped-def]
        """Its own form must get through: a Referrer-Policy of no-referrer would make its Origin
        "null" and shut it out."""
        with opened(PHONE, java_script_enabled=False) as page:
            page.goto(f"{address}/do/strip")
            page.fill("[name=assembly]", "Engine")
            page.fill("[name=part]", "rocker cover")
            page.get_by_role("button", name="Record it").click()
            assert "/told" in page.url

    def test_a_page_of_another_site_gets_nowhere_in_a_browser(
        self,
        address: str,
        house: House,
        opened,  # type: ignore[no-untyped-def]
    ) -> None:
        """The other site is a second port: another origin, and a cookie would go there as well."""
        form = (
            f'<form method=post action="{address}/do/strip"><input name=assembly value=Engine>'
            "<input name=part value=planted><input name=key value=x><button>Go</button></form>"
        )
        with opened(PHONE) as page:
            page.route(
                "http://evil.example/",
                lambda route: route.fulfill(body=form, content_type="text/html"),
            )
            page.goto("http://evil.example/")
            with page.expect_response("**/do/strip") as answer:
                page.get_by_role("button", name="Go").click()
            assert answer.value.status == 403
            page.goto(address)
            assert "planted" not in page.content()


class TestLength:
    def test_a_body_without_a_length_is_refused(self, client: TestClient, address: str) -> None:
        def pieces() -> Any:
            yield b"part=x"

        assert client.post("/do/strip", content=pieces()).status_code == 411
        head = f"POST /do/strip HTTP/1.1\r\nHost: localhost\r\nOrigin: {HERE}\r\n".replace(
            HERE, "http://localhost"
        ).encode()
        answer = raw(address, head + b"Connection: close\r\n\r\n")
        assert b" 411 " in answer.splitlines()[0]
        chunked = b"Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n5\r\nhello\r\n0\r\n\r\n"
        assert b" 411 " in raw(address, head + chunked).splitlines()[0]
        reading = b"GET / HTTP/1.1\r\nHost: localhost\r\n" + chunked
        assert b" 411 " in raw(address, reading).splitlines()[0]

    @pytest.mark.parametrize("length", [MOST_BYTES + 1, 10**12, 10**30])
    def test_too_much_is_refused_by_its_length_alone(self, address: str, length: int) -> None:
        answer = raw(
            address,
            b"POST /do/strip HTTP/1.1\r\nHost: localhost\r\nOrigin: http://localhost\r\n"
            b"Content-Length: %d\r\nConnection: close\r\n\r\n" % length,
        )
        assert re.match(rb"HTTP/1.1 (413|400) ", answer), answer[:80]
        if length < 10**18:
            assert b" 413 " in answer.splitlines()[0]
            assert b"At most 30 MB" in answer

    @pytest.mark.parametrize("length", ["-1", "x", "1e3", "+5", "١٢", "5, 5"])
    def test_a_length_that_is_none_is_refused(self, client: TestClient, length: str) -> None:
        answer = client.post(
            "/do/strip", content=b"hello", headers={"Content-Length": length.encode()}
        )
        assert answer.status_code in (400, 411)

    def test_what_is_just_short_of_it_goes(self, client: TestClient) -> None:
        """A picture of nearly 30 MB in the form of a step."""
        files = {"picture": ("a.jpg", b"x" * (MOST_BYTES - 2000), "image/jpeg")}
        assert client.post("/do/strip", data=STEP, files=files).status_code == 200

    def test_a_form_that_is_cut_short_is_told_in_words(self, client: TestClient) -> None:
        answer = client.post(
            "/do/strip",
            content=b"--x\r\nContent-Disposition: nonsense\r\n\r\n",
            headers={"Content-Type": "multipart/form-data"},
        )
        assert answer.status_code == 400
        assert "came through cut short" in answer.text

    def test_more_fields_than_a_form_of_ours_has(self, client: TestClient) -> None:
        fields = {f"f{number}": "" for number in range(2001)}
        assert client.post("/do/strip", data=fields).status_code == 400


class TestHeaders:
    """No frame, no foreign script, nothing kept by whoever stands between."""

    CASES: ClassVar[dict[str, tuple[Callable[[TestClient], Any], int]]] = {
        "page": (lambda c: c.get("/"), 200),
        "bag": (lambda c: c.get("/bag/A001N"), 200),
        "form": (lambda c: c.get("/do/strip"), 200),
        "head": (lambda c: c.head("/"), 200),
        "styles": (lambda c: c.get("/static/stores.css"), 200),
        "no page": (lambda c: c.get("/none"), 404),
        "no such file": (lambda c: c.get("/static/none.js"), 404),
        "out of the folder": (lambda c: c.get("/static/%2e%2e/app.py"), 404),
        "no such bag": (lambda c: c.get("/bag/C400T"), 422),
        "refused form": (lambda c: c.post("/do/strip", data={}), 422),
        "no such method": (lambda c: c.delete("/", headers={"Content-Length": "0"}), 405),
        "redirect": (lambda c: c.post("/do/strip", data=STEP, follow_redirects=False), 303),
        "foreign host": (lambda c: c.get("/", headers={"Host": "evil.example"}), 421),
        "foreign page": (lambda c: c.post("/do/strip", headers={"Origin": "null"}), 403),
        "no length": (lambda c: c.post("/do/strip", content=iter([b""])), 411),
        "paper": (lambda c: c.get("/paper-for-the-test"), 200),
        "fault": (lambda c: c.get("/fault-for-the-test"), 500),
    }

    @pytest.fixture
    def any_client(self, house: House, monkeypatch: pytest.MonkeyPatch) -> Any:
        """A client of an application that also gives a PDF and has a fault."""
        from starlette.responses import Response

        def fault(_visit: Any) -> Response:
            raise ZeroDivisionError

        more = (
            Page(
                "/paper-for-the-test",
                lambda _: Response(b"%PDF-1.4", media_type="application/pdf"),
            ),
            Page("/fault-for-the-test", fault),
        )
        monkeypatch.setattr(web_app, "PAGES", (*web_app.PAGES, *more))
        with client_of(house, raise_server_exceptions=False) as client:
            yield client

    @pytest.mark.parametrize(("ask", "status"), CASES.values(), ids=CASES)
    def test_every_answer_has_them(
        self, any_client: TestClient, ask: Callable[[TestClient], Any], status: int
    ) -> None:
        answer = ask(any_client)
        assert answer.status_code == status
        policy = answer.headers["content-security-policy"]
        for directive in (
            "default-src 'none'",
            "script-src 'self' 'wasm-unsafe-eval'",
            "style-src 'self'",
            "img-src 'self' blob:",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ):
            assert directive in policy.split("; ")
        assert "unsafe-inline" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert answer.headers["cache-control"] == "private, no-cache"
        assert "server" not in answer.headers

    def test_static_files_of_this_version_are_kept_long(self, client: TestClient) -> None:
        page = client.get("/").text
        assert f"/static/stores.css?{static_version()}" in page
        kept = client.get(f"/static/stores.css?{static_version()}").headers["cache-control"]
        assert kept == "public, max-age=31536000, immutable"
        for other in ("/static/stores.css?old", f"/static/none.css?{static_version()}"):
            assert client.get(other).headers["cache-control"] == "private, no-cache"

    def test_a_fault_is_told_without_its_inside(self, any_client: TestClient) -> None:
        answer = any_client.get("/fault-for-the-test")
        assert "The program failed" in answer.text
        assert "ZeroDivision" not in answer.text
        assert "Traceback" not in answer.text

    def test_a_frame_stays_empty(self, address: str, opened) -> None:  # type: ignore[no-untyped-def]
        """Whoever frames it: the page around it is put at its own address, so that nothing else
        of a browser stands in the way."""
        with opened(PHONE) as page:
            page.route(
                f"{address}/around",
                lambda route: route.fulfill(
                    body=f"<iframe src={address}/></iframe>", content_type="text/html"
                ),
            )
            said: list[str] = []
            page.on("console", lambda message: said.append(message.text))
            page.goto(f"{address}/around", wait_until="load")
            (framed,) = (frame for frame in page.frames if frame is not page.main_frame)
            assert "Last entries" not in framed.content()
            assert any("frame-ancestors" in each for each in said)

    def test_a_script_in_a_page_does_not_run(self, house: House, opened, address: str) -> None:  # type: ignore[no-untyped-def]
        """What the policy forbids a browser forbids: script and style within the page."""
        with opened(PHONE) as page:
            said: list[str] = []
            page.on("console", lambda message: said.append(message.text))
            page.goto(address)
            page.evaluate(
                "() => { const s = document.createElement('script');"
                " s.textContent = 'window.got=1'; document.head.append(s); }"
            )
            assert page.evaluate("() => window.got") is None
            assert any("Content Security Policy" in each for each in said)


GONE = """
import socket, sys
from pathlib import Path
from browsing import begun, serving
from stores.storage import open_store
from stores.web.visit import House

POST = b"POST /do/strip HTTP/1.1\\r\\nHost: localhost\\r\\nOrigin: http://localhost\\r\\n"
KIND = b"Content-Type: multipart/form-data; boundary=x\\r\\n"
FORM = KIND + b"Content-Length: 5000\\r\\n\\r\\n--x\\r\\n"
GET = b"GET / HTTP/1.1\\r\\nHost: localhost\\r\\nConnection: close\\r\\n\\r\\n"
file = begun(Path(sys.argv[1]))
with open_store(str(file)) as store, serving(House(store, str(file))) as address:
    here = ("127.0.0.1", int(address.rpartition(":")[2]))
    for sent in (POST + FORM, GET):
        got = b""
        with socket.create_connection(here) as line:
            line.sendall(sent)
            if sent is GET:
                while part := line.recv(65536):
                    got += part
    print(got.split()[1].decode())
"""


def test_a_phone_that_goes_away_while_sending_leaves_no_trace(tmp_path: Path) -> None:
    """Bad Wi-Fi is no fault: nothing is recorded, nothing is said in the terminal."""
    here = Path(__file__).resolve().parent
    done = subprocess.run(
        [sys.executable, "-c", GONE, str(tmp_path / "stores.db")],
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (*here.parents[:2], here)))},
    )
    assert (done.stdout, done.stderr) == ("200\n", "")


def test_an_address_of_the_network_is_known_when_it_is_said(tmp_path: Path) -> None:
    file = begun(tmp_path / "stores.db")
    with open_store(str(file)) as store:
        house = House(store, str(file), rules=Rules(hosts=frozenset({"192.168.1.20"})))
        with client_of(house, "http://192.168.1.20:8711") as client:
            assert client.get("/").status_code == 200
            assert client.get("/", headers={"Host": "localhost"}).status_code == 421
