"""Every page in a real browser, phone, tablet and desk: nothing runs off the screen, every control
can be met by a thumb, every word can be read, and nothing is asked of another server.

Sizes: a control 48 px and 8 px from the next (a thumb at the bench; above the 44 px of WCAG 2.2,
2.5.5), text 18 px, contrast 7:1 (WCAG 2.2, 1.4.6), a page 60 KB without pictures and the reader.
axe-core judges the rest. The sample is in the ordinary run, every page and form in the slow one.
"""

from collections.abc import Iterable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from bench_in_use import LONG_NAME, UNBROKEN, in_use
from browsing import DESK, PHONE, TABLET, client_of, serving
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.storage import open_store
from stores.web.deeds import deeds, inquiries
from stores.web.guard import STATIC
from stores.web.pages import PAGES
from stores.web.visit import House

SIZES = (PHONE, TABLET, DESK)
MOST_BYTES = 60_000
EXAMPLES = {
    "/arrived/order/{number:int}": ("/arrived/order/1",),
    "/arrived/batch/{number:int}": ("/arrived/batch/1",),
    "/bag/{code}": ("/bag/A001N", "/bag/A003J"),
    "/in/{code}": (),  # a network is needed: test_devices
}
"""Pages of a part of the address, with addresses that the record has."""
MORE = (
    "/find?q=M8",
    "/find?q=no+such+thing",
    "/bag/A999X",
    "/bolt?od=5.9&pitch=1.0&length=24.8",
    "/count?place=A001N",
    "/count?place=loft",
    "/inspect?what=4",
    "/next?step=1",
    "/next?step=3",
    "/next?step=4",
    "/next?step=8&bag=A001N",
    "/next?step=9",
    "/labels?all=1",
    "/shopping/back?got-0=1&what-0=1.3&count-0=1&words-0=gasket",
    "/ask/history?last=20",
    "/no/such/page",
)
"""Pages that have more to show when they are asked something."""
SAMPLE = ("/", "/strip", "/bag/A001N", "/next?step=4", "/inspect", "/pictures", "/do/inspect")

MEASURE = r"""() => {
  const faults = [];
  for (const each of document.querySelectorAll("details")) each.open = true;
  scrollTo(0, document.documentElement.scrollHeight);  // what stays within reach is in its place
  const named = (element) => {
    const said = element.getAttribute("aria-label") || element.textContent || element.value || "";
    const short = said.trim().replace(/\s+/g, " ").slice(0, 40);
    return `${element.localName}${element.id && "#" + element.id} "${short}"`;
  };
  const seen = (element) => {
    const box = element.getBoundingClientRect();
    return element.checkVisibility() && box.width > 1 && box.height > 1 && box.right > 0;
  };
  const own = (element) => [...element.childNodes]
    .filter((node) => node.nodeType === 3).map((node) => node.data.trim()).join("");
  const root = document.documentElement;
  if (root.scrollWidth > innerWidth) {
    const over = [...document.body.querySelectorAll("*:not(.scroll *)")].filter(
      (each) => each.getBoundingClientRect().right > innerWidth);
    faults.push(`wider than the screen: ${root.scrollWidth}: ${named(over.at(-1) || root)}`);
  }
  const inText = (link) =>
    link.localName === "a" && !link.matches(".button, .typed") && own(link.parentElement) !== "";
  const controls = [...document.querySelectorAll(
    "a, button, label.button, input:not([type=hidden]), select, textarea, summary")]
    .filter((each) => seen(each) && !inText(each));
  const boxes = controls.map((each) => each.getBoundingClientRect());
  controls.forEach((each, at) => {
    const box = boxes[at];
    if (box.width < 48 || box.height < 48)
      faults.push(`${named(each)} is ${box.width.toFixed(1)} x ${box.height.toFixed(1)} px`);
    const shortened = getComputedStyle(each).textOverflow === "ellipsis";
    for (const node of each.matches("button, .button") && !shortened ? each.childNodes : []) {
      const words = document.createRange();
      words.selectNodeContents(node);
      if (node.nodeType === 3 && words.getBoundingClientRect().width > box.width - 12)
        faults.push(`${named(each)}: its words do not fit`);
    }
    controls.slice(at + 1).forEach((other, further) => {
      const next = boxes[at + 1 + further];
      const across = Math.max(box.left - next.right, next.left - box.right);
      const down = Math.max(box.top - next.bottom, next.top - box.bottom);
      const apart = Math.max(across, down);
      if (apart < 7.9)
        faults.push(`${named(each)} is ${apart.toFixed(1)} px from ${named(other)}`);
    });
  });
  for (const each of document.body.querySelectorAll("*")) {
    const text = own(each) || (each.matches("input[type=text], textarea, select") ? "field" : "");
    const size = parseFloat(getComputedStyle(each).fontSize);
    if (text && size < 18 && seen(each)) faults.push(`${named(each)} is written in ${size} px`);
    if (each.getAttribute("style") !== null) faults.push(`${named(each)} has a style of its own`);
  }
  for (const each of document.querySelectorAll(
    "script:not([src]), style, [placeholder], input[type=number]"))
    faults.push(`${named(each)}: an inline script or style, a placeholder or a number field`);
  const labelled = (field) =>
    [...field.labels || []].some((label) => seen(label) && label.textContent.trim());
  for (const each of document.querySelectorAll("input:not([type=hidden]), select, textarea"))
    if (each.checkVisibility() && !labelled(each))
      faults.push(`${named(each)}: no label that is seen`);
  return faults;
}"""
"""What is wrong with a page at the size that it is shown in, all that is folded in laid open."""


class Held:
    """A page of the browser that is gone through, and all the faults that were met."""

    def __init__(self, page: Any, address: str) -> None:
        self.page, self.address = page, address
        self.faults: dict[str, None] = {}
        self.where = ""
        self.axe = Axe()
        page.on("request", self._requested)
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.fault(f"script: {error}"))
        page.on("dialog", lambda dialog: (self.fault("a dialog opened"), dialog.dismiss()))

    def fault(self, words: str) -> None:
        self.faults[f"{self.where}: {words}"] = None

    def _requested(self, request: Any) -> None:
        home = urlsplit(self.address).netloc
        if not request.url.startswith("blob:") and urlsplit(request.url).netloc != home:
            self.fault(f"asks {request.url}")

    def _said(self, message: Any) -> None:
        status = "the server responded with a status of 4"  # of the page itself, as it should
        if message.type == "error" and status not in message.text:
            self.fault(f"console: {message.text}")

    def go(self, path: str) -> None:
        self.where = path
        answer = self.page.goto(self.address + path, wait_until="load")
        if answer.status >= 500:
            self.fault(f"status {answer.status}")
        self.weigh(len(answer.body()))
        self.look()

    def look(self) -> None:
        """Measure the page that is open at each size, and let axe judge it on the phone."""
        for size in reversed(SIZES):
            self.page.set_viewport_size({"width": size[0], "height": size[1]})
            for fault in self.page.evaluate(MEASURE):
                self.fault(f"{size[0]} px: {fault}")
        rules = {"color-contrast-enhanced": {"enabled": True}}
        found = self.axe.run(self.page, options={"rules": rules, "resultTypes": ["violations"]})
        for each in found.response["violations"]:
            nodes = "; ".join(str(node["html"])[:90] for node in each["nodes"][:3])
            self.fault(f"axe {each['id']}: {nodes}")

    def weigh(self, html: int) -> None:
        linked = self.page.evaluate(
            """() => [...document.querySelectorAll("link[rel=stylesheet], script[src]")]
                 .map((each) => new URL(each.href || each.src).pathname)"""
        )
        own = [
            name for path in set(linked) if "zxing" not in (name := path.rpartition("/static/")[2])
        ]
        whole = html + sum((STATIC / name).stat().st_size for name in own)
        if whole > MOST_BYTES:
            self.fault(f"weighs {whole} bytes, {html} of them its own")

    def say(self) -> str:
        return f"{len(self.faults)} faults\n" + "\n".join(self.faults)


@pytest.fixture(scope="module")
def in_work(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    folder = tmp_path_factory.mktemp("in-use")
    file = in_use(folder)
    with open_store(str(file)) as store:
        yield House(store, str(file), pictures=str(folder / "pictures"))


@pytest.fixture(scope="module")
def where(in_work: House) -> Iterator[str]:
    with serving(in_work) as address:
        yield address


@pytest.fixture
def held(browser: Any, where: str) -> Iterator[Held]:
    context = browser.new_context(viewport={"width": PHONE[0], "height": PHONE[1]})
    context.set_default_timeout(30_000)
    yield Held(context.new_page(), where)
    context.close()


def screens(client: TestClient) -> Iterator[str]:
    """Give the address of every screen: a picture is none, nor a part of a page."""
    for page in PAGES:
        if page.method != "GET" or (page.path not in EXAMPLES and "{" in page.path):
            continue
        for address in EXAMPLES.get(page.path, (page.path,)):
            answer = client.get(address)
            attached = "attachment" in answer.headers.get("content-disposition", "")
            if answer.content[:20].lstrip().startswith(b"<!doctype html>") and not attached:
                yield address


def forms() -> Iterable[str]:
    """Give the address of every form."""
    return [each.address for each in (*deeds().values(), *inquiries().values())]


NO_PAGES = {
    "/devices/code.svg", "/joint/{step:int}.svg", "/labels/sheet.svg",
    "/paper/{name}", "/picture/{number:int}", "/picture/{number:int}/small",
}  # fmt: skip
"""What is no page: drawings, pictures and PDFs."""


def test_every_screen_is_gone_through() -> None:
    """A screen with a part of the address has an example of it, or is known to be no page."""
    with_part = {page.path for page in PAGES if page.method == "GET" and "{" in page.path}
    assert with_part - EXAMPLES.keys() - NO_PAGES == set()


BAD = """<!doctype html><html lang="en"><body style="margin: 0"><main><h1>Bad</h1>
<p id="small">in <b style="font-size: 17px">small</b> letters</p>
<button id="one" style="width: 60px; height: 47px">a</button
><button id="two" style="width: 60px; height: 60px; margin-left: 4px">b</button
><button style="width: 60px; height: 60px; margin: 9px">Compression</button>
<details><summary style="height: 50px; width: 90px">c</summary><div style="width: 400px">wide</div>
<input id="bare" placeholder="Code"></details>
<img alt="" src="http://elsewhere.test/a.png">
<p style="font-size: 20px; color: #767676; background: #fff">grey</p></main></body></html>"""


def test_the_measure_finds_each_fault(browser: Any) -> None:
    context = browser.new_context(viewport={"width": PHONE[0], "height": PHONE[1]})
    held = Held(context.new_page(), "http://localhost")
    held.page.route("**/a.png", lambda route: route.abort())
    held.page.set_content(BAD)
    held.look()
    context.close()
    for fault in (
        "360 px: wider than the screen: 400",
        'b "small" is written in 17 px',
        'button#one "a" is 60.0 x 47.0 px',
        'button#one "a" is 4.0 px from button#two "b"',
        'button "Compression": its words do not fit',
        'input#bare "": no label that is seen',
        'input#bare "": an inline script or style, a placeholder or a number field',
        'button#one "a" has a style of its own',
        "axe color-contrast-enhanced",  # 4.5:1
        "axe document-title",
        "asks http://elsewhere.test/a.png",
    ):
        assert any(fault in each for each in held.faults), (fault, held.say())
    assert not any("1440 px: wider" in each for each in held.faults)


def test_a_sample_of_pages_holds_on_each_screen(held: Held) -> None:
    for path in SAMPLE:
        held.go(path)
    assert not held.faults, held.say()


@pytest.mark.slow
def test_every_page_holds_on_each_screen(held: Held, in_work: House) -> None:
    with client_of(in_work) as client:
        paths = list(dict.fromkeys([*screens(client), *MORE]))
    assert len(paths) > 30
    for path in paths:
        held.go(path)
    assert not held.faults, held.say()


@pytest.mark.slow
def test_every_form_holds_on_each_screen(held: Held) -> None:
    for path in forms():
        held.go(path)
    assert not held.faults, held.say()


def test_what_a_form_gives_back_holds(held: Held) -> None:
    """Refused, shown first, recorded with a code and an undo, waiting for the network."""
    page = held.page
    held.go("/do/strip")
    page.fill("[name=assembly]", "Engine/Top")
    page.fill("[name=part]", "rocker cover")
    page.fill("[name=lines]", "0 M6x20 hex")
    held.where = "refused"
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=15_000)
    held.look()
    held.where = "shown first"
    page.fill("[name=lines]", "4 M6x20 hex")
    page.get_by_role("button", name="Show first").click()
    expect(page.locator(".shown")).to_be_visible(timeout=15_000)
    held.look()
    held.where = "recorded"
    page.get_by_role("button", name="Record it").click()
    expect(page.locator(".bagcode")).to_be_visible(timeout=15_000)
    held.look()
    held.where = "waiting"
    page.goto(held.address + "/strip")
    page.context.set_offline(True)
    page.fill("[name=part]", "lever")
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#waiting")).to_be_visible(timeout=15_000)
    held.look()
    faults = [each for each in held.faults if "ERR_INTERNET_DISCONNECTED" not in each]
    assert not faults, held.say()


def test_the_pages_are_of_the_record_that_is_hard_to_show(in_work: House) -> None:
    with client_of(in_work) as client:
        assert LONG_NAME in client.get("/").text
        assert UNBROKEN in client.get("/next?step=3").text
        assert "Tightened to, N m" in client.get("/next?step=9").text
        assert "Mixed up with" in client.get("/find?q=6.2").text
        for path in ("/arrived/order/1", "/arrived/batch/1", "/picture/1/small"):
            assert client.get(path).status_code == 200, path
