"""Our static files, packed for the way: the reader of codes alone is a megabyte unpacked.

Each is packed once, when it is first asked for, by whoever asks: pages do not wait for it.
"""

import gzip
import os
from functools import cache
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from stores.web.guard import static_version

__all__ = ["PackedFiles"]

TYPES = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".wasm": "application/wasm",
}
"""What is sent packed, and under which type. A browser runs a script under its own type only, and
what a system has on its list may be another."""


class PackedFiles(StaticFiles):
    """Static files; those that gain by it go packed to who takes them so."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Answer a request for a file."""
        response = await super().get_response(path, scope)
        kind = TYPES.get(Path(path).suffix)
        if kind is None or response.status_code != 200:
            return response
        response.headers["Content-Type"] = kind + ("; charset=utf-8" if "text/" in kind else "")
        response.headers["Vary"] = "Accept-Encoding"
        headers = dict(scope["headers"])
        if scope["method"] != "GET" or b"range" in headers or not _takes_gzip(headers):
            return response
        file, _ = await run_in_threadpool(self.lookup_path, path)
        packed = await run_in_threadpool(_packed, file, static_version())
        kept = {
            name: value
            for name, value in response.headers.items()
            if name in ("content-type", "vary", "last-modified")
        }
        return Response(packed, headers=kept | {"Content-Encoding": "gzip"})


def _takes_gzip(headers: dict[bytes, bytes]) -> bool:
    offers = headers.get(b"accept-encoding", b"").decode("latin-1").replace(" ", "").split(",")
    return any(name == "gzip" and not _none(rest) for name, _, rest in map(_parted, offers))


def _parted(offer: str) -> tuple[str, str, str]:
    return offer.lower().partition(";")


def _none(quality: str) -> bool:
    return quality.startswith("q=0") and not quality.removeprefix("q=").strip("0.")


@cache
def _packed(file: str | os.PathLike[str], _version: str) -> bytes:
    return gzip.compress(Path(file).read_bytes(), 9, mtime=0)
