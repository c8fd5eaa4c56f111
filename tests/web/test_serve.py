"""``stores serve`` as a person starts it: a process of its own, that answers and stops."""

import contextlib
import os
import re
import signal
import socket
import ssl
import stat
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from ipaddress import IPv4Address
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from conftest import Bench

from stores.errors import BadValue, NotFound
from stores.photos.codes import codes_in, codes_seen
from stores.printing.qr import half_blocks
from stores.web import network
from stores.web.network import network_address, opened_port

ROOT = Path(__file__).resolve().parent.parent.parent
POSIX = pytest.mark.skipif(os.name != "posix", reason="signals are POSIX's")


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


class Served:
    """A process that serves, and what it has said so far."""

    def __init__(self, file: Path, *words: str, port: int = 0) -> None:
        self.port = port or free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "stores", "--stores", str(file), "serve", "--port",
             str(self.port), *words],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=file.parent,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip
        self.said: list[str] = []

    def until(self, words: str) -> str:
        """Read what it says until a line has these words; give that line."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line.rstrip("\n"))
            if words in line:
                return line.rstrip("\n")
        raise AssertionError((self.said, self.process.stderr and self.process.stderr.read()))

    def ask(self, path: str, **settings: Any) -> str:
        with urllib.request.urlopen(
            f"http://localhost:{self.port}{path}", timeout=60, **settings
        ) as answer:
            return str(answer.read().decode())

    def stop(self) -> tuple[float, int, str]:
        """Press Ctrl-C; give how long it took, the status, and what was said on stderr."""
        begin = time.monotonic()
        self.process.send_signal(signal.SIGINT)
        status = self.process.wait(60)
        taken = time.monotonic() - begin
        assert self.process.stderr is not None
        return taken, status, self.process.stderr.read()


@contextlib.contextmanager
def served(file: Path, *words: str, port: int = 0) -> Iterator[Served]:
    serving = Served(file, *words, port=port)
    try:
        yield serving
    finally:
        if serving.process.poll() is None:
            serving.process.kill()
            serving.process.wait(60)
        for stream in (serving.process.stdout, serving.process.stderr):
            assert stream is not None
            stream.close()


@POSIX
def test_it_starts_answers_and_stops_at_once_with_pages_open(record: Path) -> None:
    with served(record) as serving:
        assert f"http://localhost:{serving.port}" in serving.until("Open http")
        serving.until("--phone")
        assert "Orrick Plover" in serving.ask("/")
        here = ("127.0.0.1", serving.port)
        idle = socket.create_connection(here)
        idle.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
        idle.recv(100)
        sending = socket.create_connection(here)
        sending.sendall(
            b"POST /do/strip HTTP/1.1\r\nHost: localhost\r\nOrigin: http://localhost\r\n"
            b"Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 900\r\n\r\n--x"
        )
        assert "Orrick Plover" in serving.ask("/")
        taken, status, error = serving.stop()
        idle.close()
        sending.close()
        assert (status, error) == (0, "")
        assert taken < 3


@POSIX
def test_it_stops_while_a_page_takes_long(record: Path) -> None:
    """As a print of many labels would: here a page that waits for a writer elsewhere."""
    import sqlite3

    with served(record) as serving, contextlib.closing(sqlite3.connect(record)) as other:
        serving.until("--phone")
        serving.ask("/")
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        request = urllib.request.Request(
            f"http://localhost:{serving.port}/do/strip",
            data=b"assembly=Engine&part=cap&key=k",
            headers={"Origin": f"http://localhost:{serving.port}"},
        )

        def send() -> None:
            with contextlib.suppress(OSError):
                urllib.request.urlopen(request, timeout=60)

        waiting = threading.Thread(target=send)
        waiting.start()
        waiting.join(1)
        assert waiting.is_alive()
        taken, status, error = serving.stop()
        waiting.join(60)
        # who waits for longer than a second is told so in the terminal
        assert status == 0
        assert error.removeprefix("stores: another command is writing to stores.db; waiting") in (
            "",
            "\n",
        )
        assert taken < 3


def test_by_itself_it_is_open_to_this_computer_only(record: Path) -> None:
    with served(record) as serving:
        serving.until("--phone")
        try:
            address = network_address()
        except NotFound:
            pytest.skip("no local network here")
        with pytest.raises(OSError), socket.create_connection((address, serving.port), timeout=5):  # noqa: PT011
            pass


@pytest.fixture
def on_network() -> str:
    try:
        return network_address()
    except NotFound:
        pytest.skip("no local network here")


@POSIX
def test_a_phone_gets_in_by_the_code_in_the_terminal(record: Path, on_network: str) -> None:
    with served(record, "--phone") as serving:
        code = serving.until("Phone: ").removeprefix("Phone: ")
        assert code.startswith(f"http://{on_network}:{serving.port}/in/")
        serving.until("read along")
        assert len(serving.said) < 24
        assert max(map(len, serving.said)) <= 80
        assert read_in_terminal(serving.said) == code
        base = code.partition("/in/")[0]
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(f"{base}/", timeout=60)
        assert refused.value.code == 401
        refused.value.close()
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        sent = urllib.request.Request(code, data=b"name=My+phone", headers={"Origin": base})
        with opener.open(sent, timeout=60) as answer:
            assert "Bench" in answer.read().decode()
        assert serving.until("Paired") == "Paired: My phone (device 1)"
        assert "My phone" in Bench(record)("serve", "--devices")
        assert "Forgotten: My phone" in Bench(record)("serve", "--forget", "1")
        with pytest.raises(urllib.error.HTTPError) as refused:
            opener.open(f"{base}/", timeout=60)
        assert refused.value.code == 401
        refused.value.close()
        assert serving.stop()[1:] == (0, "")


def read_in_terminal(said: list[str]) -> str:
    """Draw a terminal's characters, light on dark, and read the code in it."""
    from PIL import Image

    lines = [line for line in said if set(line) & set("█▀▄")]
    picture = Image.new("L", (len(lines[0]) + 4, 2 * len(lines) + 4), 0)
    for row, line in enumerate(lines):
        for column, mark in enumerate(line):
            for half, lit in enumerate((mark in "█▀", mark in "█▄")):
                picture.putpixel((column + 2, 2 * row + half + 2), 255 if lit else 0)
    big = picture.resize((picture.width * 8, picture.height * 8), Image.Resampling.NEAREST)
    (read,) = codes_seen(big)
    return read


@pytest.mark.parametrize("address", ["10.0.0.1", "192.168.178.123"])
def test_the_code_fits_a_screen_of_80_by_24(address: str) -> None:
    """With the four lines around it, and the one of the cursor."""
    text = f"http://{address}:8711/in/{'x' * 22}"
    lines = half_blocks(text)
    assert len(lines) + 5 <= 24
    assert {len(line) for line in lines} == {37}
    assert read_in_terminal(lines) == text


@POSIX
def test_over_https_with_a_root_that_vouches_for_private_addresses_alone(
    record: Path, on_network: str
) -> None:
    with served(record, "--secure") as serving:
        code = serving.until("Phone: ").removeprefix("Phone: ")
        base = code.partition("/in/")[0]
        assert base == f"https://{on_network}:{serving.port}"
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            urllib.request.urlopen(f"{base}/trust", timeout=60)
        unsure = ssl._create_unverified_context()
        with urllib.request.urlopen(f"{base}/trust", timeout=60, context=unsure) as answer:
            page = answer.read().decode()
        with urllib.request.urlopen(
            f"{base}/trust/stores.crt", timeout=60, context=unsure
        ) as answer:
            assert answer.headers["content-type"] == "application/x-x509-ca-cert"
            root = answer.read()
        printed = "".join(
            line.strip() for line in serving.said if re.match("  ([0-9A-F]{2}:)", line)
        )
        assert printed
        assert printed in page
        trusting = ssl.create_default_context(cadata=root)
        opener = urllib.request.build_opener(
            urllib.request.HTTPSHandler(context=trusting), urllib.request.HTTPCookieProcessor()
        )
        sent = urllib.request.Request(code, data=b"name=Phone", headers={"Origin": base})
        with opener.open(sent, timeout=60) as answer:
            assert "Bench" in answer.read().decode()
        assert "Orrick Plover" in serving.ask("/")  # the desk, over HTTP
        kept = record.with_name("stores.certificate")
        assert stat.S_IMODE(kept.stat().st_mode) == 0o600
        taken, *rest = serving.stop()
        assert rest == [0, ""]
        assert taken < 3


def handshake(served_as: bytes, root: bytes, name: str, folder: Path) -> None:
    """Let a client that trusts the root greet a server that shows this; raises what it says."""
    (folder / "server.pem").write_bytes(served_as)
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(folder / "server.pem")
    client = ssl.create_default_context(cadata=root)
    to_client, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname=name)
    there = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for end in (here, there):
            with contextlib.suppress(ssl.SSLWantReadError):
                end.do_handshake()


def test_a_root_is_kept_and_can_fool_nobody_else(tmp_path: Path) -> None:
    from stores.web.certificate import Authority

    file = tmp_path / "stores.certificate"
    authority = Authority.kept_in(file)
    assert Authority.kept_in(file).root == authority.root
    good = authority.server(frozenset({"192.168.1.20", "workshop.local", "localhost"}))
    for name in ("192.168.1.20", "workshop.local", "localhost"):
        handshake(good, authority.root, name, tmp_path)
    for name in ("bank.example", "8.8.8.8", "notlocal", "evil.localx"):
        bad = authority.server(frozenset({name}))
        with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
            handshake(bad, authority.root, name, tmp_path)
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(good, Authority.kept_in(tmp_path / "another").root, "localhost", tmp_path)


def test_without_cryptography_it_says_what_to_install(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "cryptography", None)
    monkeypatch.setattr(network, "address_used_for", lambda _: "192.168.1.20")
    said = bench.refused("serve", "--secure", "--address", "192.168.1.20")
    assert 'pip install "stores[https]"' in said


def test_a_port_in_use_is_one_line(bench: Bench) -> None:
    with contextlib.closing(opened_port("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = bench.refused("serve", "--port", str(port))
        assert f"port {port} is in use" in said
        assert f"stores serve --port {port + 1}" in said


def test_without_a_stores_it_says_how_to_begin_one(tmp_path: Path) -> None:
    assert "stores machine add" in Bench(tmp_path / "none.db").refused("serve")
    assert list(tmp_path.iterdir()) == []


def test_a_card_for_the_wall_has_the_address_as_a_code(bench: Bench, tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    said = bench("serve", "--card", str(card), "--address", "192.168.1.20")
    assert str(card) in said
    page = pypdfium2.PdfDocument(card)[0]
    assert "http://192.168.1.20:8711" in page.get_textpage().get_text_range()
    page.render(scale=1).to_pil().save(tmp_path / "card.png")
    assert codes_in(tmp_path / "card.png") == ("http://192.168.1.20:8711",)
    with pypdfium2.PdfDocument(card) as document:
        assert len(document) == 1


WAYS = {
    "at home": ({"192.168": "192.168.1.20"}, "192.168.1.20"),
    "one way for all": ({"": "10.1.2.3"}, "10.1.2.3"),
    "home before company": ({"10.": "10.8.0.2", "192.168": "192.168.1.20"}, "192.168.1.20"),
}


@pytest.mark.parametrize(("ways", "address"), WAYS.values(), ids=WAYS)
def test_the_address_on_the_network_is_found(ways: dict[str, str], address: str) -> None:
    def way(target: IPv4Address) -> str | None:
        return next((own for begin, own in ways.items() if str(target).startswith(begin)), None)

    assert network_address("", way) == address


@pytest.mark.parametrize("own", [None, "127.0.0.1", "8.8.8.8", "100.64.0.1", "0.0.0.0"])
def test_an_address_of_the_internet_is_never_opened(own: str | None) -> None:
    with pytest.raises(NotFound, match="no local network"):
        network_address("", lambda _: own)
    if own:
        with pytest.raises(BadValue, match="no address of a local network"):
            network_address(own)


def test_finding_the_address_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The socket is a datagram one, and nothing but its connection is asked for."""
    asked: list[str] = []

    class Watched(socket.socket):
        def __getattribute__(self, name: str) -> Any:
            asked.append(name)
            return super().__getattribute__(name)

    monkeypatch.setattr(network.socket, "socket", Watched)
    with contextlib.suppress(NotFound):
        network_address()
    assert "connect" in asked
    assert not {"send", "sendto", "sendall", "sendmsg"} & set(asked)
