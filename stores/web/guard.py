"""Who may ask, from which page, and how much may be sent: what stands before every page.

In this order: the name by which the stores was called (a name of somebody else's that points at
this computer is refused), the page that something is sent from (no page but ours), how much is
sent, and whether the device is paired, where the stores is open to the network. What is refused is
told on a bare page, without a word of the record. Every answer, whatever gave it, carries the
headers that keep other pages out of it and it out of other pages.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from ipaddress import ip_address
from pathlib import Path

from jinja2 import Environment
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stores.web.devices import Device, Devices, Pairing, cookie_name

__all__ = [
    "HEADERS",
    "LOCAL",
    "MOST_BYTES",
    "STATIC",
    "Guard",
    "Rules",
    "at_the_desk",
    "device_of",
    "outside",
    "static_version",
]

STATIC = Path(__file__).parent / "static"
LOCAL = frozenset({"localhost", "127.0.0.1", "[::1]"})
"""The names by which a computer calls itself."""
MOST_BYTES = 30_000_000
"""The most that one form may carry, its pictures with it."""
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; "
    "style-src 'self'; img-src 'self' blob:; form-action 'self'; frame-ancestors 'none'; "
    "connect-src 'self'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with no-referrer a browser sends a form's origin as "null"
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""What every answer carries. ``connect-src`` is for our own script, which sends the forms."""
OPEN_PATHS = ("/static/stores.css", "/static/mark.svg", "/in", "/trust")
"""What a device may see that is not paired, and what is under it."""
_HOST = re.compile(r"(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(?::\d{1,5})?")
_READS = ("GET", "HEAD", "OPTIONS")


@dataclass(frozen=True, slots=True)
class Rules:
    """What the guard goes by: the names of this computer, the list of paired devices, and the
    pairing, by which alone a device gets in; None where nothing but this computer is served.
    ``root`` is the certificate that phones are to trust, in DER, empty over HTTP."""

    hosts: frozenset[str] = LOCAL
    devices: Devices | None = None
    pairing: Pairing | None = None
    root: bytes = b""


class Guard:
    """Lets a request through to the pages, or refuses it."""

    def __init__(self, app: ASGIApp, rules: Rules, pages: Environment) -> None:
        self.app = app
        self.rules = rules
        self.pages = pages

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = False

        async def sending(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                _add_headers(scope, message)
            await send(message)

        try:
            refused = await self._refused(Request(scope))
            await (refused or self.app)(scope, receive, sending)
        except ClientDisconnect:
            return  # the network is gone, or the page was closed: nobody is there to be told
        except Exception:
            if not begun:
                page = outside(
                    self.pages,
                    500,
                    "The program failed",
                    "This is a fault of the program, not yours. What was recorded before is safe.",
                    "Look at the last entries on the bench before you send it again.",
                )
                await page(scope, receive, sending)
            raise

    async def _refused(self, request: Request) -> HTMLResponse | None:
        """Return why a request is not let through, None where it is."""
        hosts = request.headers.getlist("host")
        name = _HOST.fullmatch(hosts[0].lower()) if len(hosts) == 1 else None
        if name is None or name[1] not in self.rules.hosts:
            return self._page(
                421,
                "Not under this name",
                "The stores does not answer to this address. Use the one that "
                "'stores serve' printed.",
            )
        if request.method not in _READS and not _from_our_page(request, hosts[0]):
            return self._page(
                403,
                "Not sent from a page of the stores",
                "This came from another page, or from a browser that does not say where it came "
                "from. Nothing was recorded. Open the stores itself and send it from there.",
            )
        return self._too_much(request) or await self._unpaired(request, name[1])

    def _too_much(self, request: Request) -> HTMLResponse | None:
        sent = request.headers.getlist("content-length")
        chunked = "transfer-encoding" in request.headers
        if chunked or (request.method not in _READS and not sent):
            return self._page(
                411, "How long is it?", "What was sent does not say its length. Nothing was kept."
            )
        if sent and not (len(sent) == 1 and sent[0].isascii() and sent[0].isdigit()):
            return self._page(
                400, "How long is it?", "What was sent gives a length that is no number."
            )
        if sent and (len(sent[0]) > 12 or int(sent[0]) > MOST_BYTES):
            return self._page(
                413,
                "Too much at once",
                f"At most {MOST_BYTES // 1_000_000} MB go in one form. Nothing was kept. "
                "Send fewer pictures at a time.",
            )
        return None

    async def _unpaired(self, request: Request, host: str) -> HTMLResponse | None:
        rules = self.rules
        desk = rules.pairing is None or (host in LOCAL and _is_this_computer(request))
        request.scope["stores.desk"] = desk
        request.scope["stores.device"] = None
        if desk or rules.pairing is None:
            return None
        cookie = request.cookies.get(cookie_name(request.url.scheme), "")
        if cookie:
            request.scope["stores.device"] = await run_in_threadpool(
                rules.pairing.devices.known, cookie
            )
        path = request.url.path
        known = request.scope["stores.device"] is not None
        if known or any(path == each or path.startswith(f"{each}/") for each in OPEN_PATHS):
            return None
        page = self._page(
            401,
            "This device is not paired",
            "Go to the computer that has the stores and open "
            f"http://localhost:{request.url.port or 80}/devices there. It shows a code: scan it "
            "with this phone's camera, or type the address under it.",
            "What waits on this device to be sent stays here and goes off once it is paired.",
        )
        page.headers["WWW-Authenticate"] = 'Pairing realm="stores"'
        return page

    def _page(self, status: int, title: str, *words: str) -> HTMLResponse:
        return outside(self.pages, status, title, *words)


def outside(pages: Environment, status: int, title: str, *words: str) -> HTMLResponse:
    """Return a bare page: a title and what is to be said, nothing of the record."""
    text = pages.get_template("outside.html").render(title=title, words=words)
    return HTMLResponse(text, status)


def at_the_desk(request: Request) -> bool:
    """Tell whether a request comes from the computer that serves."""
    return bool(request.scope.get("stores.desk", True))


def device_of(request: Request) -> Device | None:
    """Return the paired device that a request comes from, None for the desk and for others."""
    device: Device | None = request.scope.get("stores.device")
    return device


@cache
def static_version() -> str:
    """Return what names the static files as they are: with other contents it is another."""
    sums = sha256()
    for file in sorted(path for path in STATIC.rglob("*") if path.is_file()):
        sums.update(file.relative_to(STATIC).as_posix().encode() + b"\0" + file.read_bytes())
    return sums.hexdigest()[:12]


def _add_headers(scope: Scope, message: Message) -> None:
    headers = MutableHeaders(scope=message)
    for name, value in HEADERS.items():
        headers[name] = value
    lasting = (
        scope["path"].startswith("/static/")
        and message["status"] in (200, 206, 304)
        and scope["query_string"] == static_version().encode()
    )
    if lasting:
        headers["Cache-Control"] = "public, max-age=31536000, immutable"
    else:
        # not no-store: going back after a refused form would lose what was typed
        headers.setdefault("Cache-Control", "private, no-cache")


def _from_our_page(request: Request, host: str) -> bool:
    """Tell whether something that is sent comes from a page of ours."""
    origins: Sequence[str] = request.headers.getlist("origin")
    if origins:
        return [each.lower() for each in origins] == [f"{request.url.scheme}://{host}".lower()]
    return request.headers.get("sec-fetch-site") in ("same-origin", "none")


def _is_this_computer(request: Request) -> bool:
    try:
        return request.client is not None and ip_address(request.client.host).is_loopback
    except ValueError:
        return False
