"""Pages in a browser: a small record, a client of the application, a server and a real browser."""

import os
import shutil
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from postgres import copy_of
from starlette.testclient import TestClient

from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip
from stores.web.app import build
from stores.web.visit import House

HERE = "http://localhost:8711"
PHONE, TABLET, DESK = (360, 640), (820, 1180), (1440, 900)
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge", "microsoft-edge")


def begun(file: Path) -> Path:
    """Begin a record with a machine and two steps, each in a bag: A001N and A003A."""
    with open_store(str(file), create=True) as store:
        add_machine(Context(store), AddMachine("Orrick Plover", kinds=("two-wheeler",)))
        strip(
            Context(store),
            Strip("Engine/Clutch", "clutch cover", ("4 M6x25 hex 8.8", "1 gasket"), note="arm up"),
        )
        strip(Context(store), Strip("Brakes", "brake plate", ("2 M8x30 hex", "1 spring")))
    return file


@pytest.fixture(scope="session")
def begun_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Such a record, copied for each test."""
    return begun(tmp_path_factory.mktemp("web") / "stores.db")


@pytest.fixture
def record(tmp_path: Path, begun_once: Path) -> Path:
    copy_of(begun_once, tmp_path / "stores.db")
    return tmp_path / "stores.db"


@pytest.fixture
def house(record: Path) -> Iterator[House]:
    with open_store(str(record)) as store:
        yield House(store, str(record))


@contextmanager
def client_of(house: House, address: str = HERE, **settings: Any) -> Iterator[TestClient]:
    """Give a client of a house as a browser at the desk is one: it calls the stores by a name that
    the guard knows, and says of what it sends that it is from a page of ours."""
    with TestClient(
        build(house), base_url=address, headers={"Origin": address}, **settings
    ) as client:
        yield client


@pytest.fixture
def client(house: House) -> Iterator[TestClient]:
    with client_of(house) as client:
        yield client


@contextmanager
def serving(
    house: House, port: int = 0, secure: ssl.SSLContext | None = None, **settings: object
) -> Iterator[str]:
    """Serve a house in this process; give the address of it. Nobody needs to be paired there,
    unless the rules of the house say so."""
    house.store.keep_open()
    config = uvicorn.Config(build(house), log_level="error", **settings)  # type: ignore[arg-type]
    config.load()
    config.ssl = secure
    server = uvicorn.Server(config)
    listener = socket.socket()
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listener.bind(("127.0.0.1", port))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield f"{'https' if secure else 'http'}://localhost:{listener.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(10)
        listener.close()


@pytest.fixture
def address(house: House) -> Iterator[str]:
    with serving(house) as where:
        yield where


def found_browser() -> str | None:
    """Return the browser of this machine that pages are tried in."""
    named = os.environ.get("STORES_BROWSER")
    return named or next((path for name in BROWSERS if (path := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[object]:
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=60_000)  # a busy machine is no fault of a page
    path = found_browser()
    if path is None:
        if os.environ.get("STORES_BROWSER_NEEDED"):
            pytest.fail("no browser here, and STORES_BROWSER_NEEDED is set")
        pytest.skip("no browser here: install chromium, or name one in STORES_BROWSER")
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=path,
            args=[
                "--no-sandbox",
                "--disable-dev-shm-usage",
                "--disable-background-networking",
                "--disable-component-update",
            ],
        )
        yield browser
        browser.close()


Opened = Callable[..., AbstractContextManager[object]]


@pytest.fixture
def opened(browser: object) -> Opened:
    """Give what opens a page of a size: ``with opened(PHONE) as page``."""

    @contextmanager
    def open_page(size: tuple[int, int] = PHONE, **settings: object) -> Iterator[object]:
        context = browser.new_context(  # type: ignore[attr-defined]
            viewport={"width": size[0], "height": size[1]},
            has_touch=size != DESK,
            **settings,
        )
        context.set_default_timeout(60_000)
        try:
            yield context.new_page()
        finally:
            context.close()

    return open_page
