"""Serving: one process, one record, this computer or the workshop's own network."""

import contextlib
import contextvars
import gc
import logging
import os
import socket
import ssl
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any

from stores.storage import Store
from stores.web.ahead import Ahead
from stores.web.app import build
from stores.web.certificate import Authority, fingerprint
from stores.web.devices import Device, Devices, Pairing, beside
from stores.web.guard import LOCAL, Rules
from stores.web.network import names, opened_port
from stores.web.visit import House

if TYPE_CHECKING:
    import uvicorn

__all__ = ["Opening", "devices_of", "serve"]

_LAST_WORDS = 1
"""Seconds that a page under way has to be finished after Ctrl-C."""
_AT_THE_LATEST = 2.0
"""Seconds after Ctrl-C when the process ends, whatever still runs in it."""
_NEW_OBJECTS = 20_000
"""So many new objects are looked through together for what nobody needs any more."""
_AT_A_STRETCH = 0.0005
"""Seconds that a thread goes on before another has its turn. A small page gives up its turn for
each question to the database; beside 500 labels in the making it waited 5 ms for each, Python's own
measure, to have it back."""


@dataclass(frozen=True, slots=True)
class Opening:
    """What is known once the stores is open: the address at the desk, the one on the network and
    the code that lets a phone in, both empty if only the desk is served; the digest by which the
    certificate is known, empty over HTTP; where the devices are kept, if not beside the record."""

    desk: str
    network: str = ""
    code: str = ""
    fingerprint: str = ""
    kept: Path | None = None


def devices_of(where: str) -> Devices:
    """Return the paired devices of a stores."""
    return Devices(beside(where, "devices"))


def serve(
    store: Store,
    where: str,
    *,
    port: int,
    address: str = "",
    secure: bool = False,
    pictures: str = "",
    templates: str = "",
    opened: Callable[[Opening], None],
    paired: Callable[[Device], None],
) -> None:
    """Serve a record until it is stopped by Ctrl-C.

    ``address`` is the one on the network, empty for this computer alone; ``secure`` serves the
    network over HTTPS. ``opened`` is called once the ports are, ``paired`` with each device that is
    let in.

    Raises:
        BadValue: a port that cannot be had, or no package for HTTPS.
        StorageError: what belongs to the record cannot be kept beside it.
    """
    devices = devices_of(where)
    devices.listed()  # a file that cannot be used is told now, not to the first phone
    authority = Authority.kept_in(beside(where, "certificate")) if secure else None
    desk = opened_port("127.0.0.1", port)
    port = desk.getsockname()[1]
    sockets = [desk]
    if address:
        sockets.append(opened_port(address, port, sockets))
    network = f"{'https' if authority else 'http'}://{address}:{port}" if address else ""
    pairing = Pairing(devices, network, told=paired) if network else None
    rules = Rules(
        hosts=names(address) if address else LOCAL,
        devices=devices,
        pairing=pairing,
        root=authority.root if authority else b"",
    )
    house = House(store, where, pictures, templates, rules)
    app = build(house)
    store.keep_open()
    house.ahead = Ahead(house)
    settle()
    opened(
        Opening(
            f"http://localhost:{port}",
            network,
            pairing.offered() if pairing else "",
            fingerprint(authority.root) if authority else "",
            devices.file if "://" in where else None,
        )
    )
    if authority is None:
        _run(_server(app), sockets)
        return
    at_the_desk = _server(app)  # over HTTP, which a browser trusts within one computer
    # with the paper, the font and the units that were chosen here
    alike = contextvars.copy_context()
    beside_it = threading.Thread(target=alike.run, args=(at_the_desk.run, [desk]), daemon=True)
    beside_it.start()
    try:
        _run(_server(app, authority.context(rules.hosts - {"[::1]"})), sockets[1:])
    finally:
        at_the_desk.should_exit = True
        beside_it.join(_LAST_WORDS)


def settle() -> None:
    """Settle down to serving. What nobody needs any more is looked for less often: what is loaded
    by now stays, and the plan of 2,000 lines was looked through a hundred times while it was worked
    out, a fifth of its time. Threads take shorter turns."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_NEW_OBJECTS, 20, 50)
    sys.setswitchinterval(_AT_A_STRETCH)


def _run(server: "uvicorn.Server", sockets: list[socket.socket]) -> None:
    with contextlib.suppress(KeyboardInterrupt):  # that is how it is stopped
        server.run(sockets)


def _server(app: Any, context: ssl.SSLContext | None = None) -> "uvicorn.Server":
    import uvicorn

    class Server(uvicorn.Server):
        """Stops at once and without a word, also with pages under way."""

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL + 1)
            end = threading.Timer(_AT_THE_LATEST, os._exit, (0,))
            end.daemon = True
            end.start()
            super().handle_exit(sig, frame)

    config = uvicorn.Config(
        app,
        lifespan="off",
        ws="none",
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=_LAST_WORDS,
    )
    config.load()
    config.ssl = context
    return Server(config)
