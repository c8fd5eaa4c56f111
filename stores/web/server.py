"""Serving: one process, one record, this computer or the workshop's own network."""

from stores.storage import open_store
from stores.web.app import build
from stores.web.visit import House

__all__ = ["serve"]


def serve(where: str, *, host: str = "127.0.0.1", port: int = 8711) -> None:
    """Serve a record until it is stopped."""
    import uvicorn

    with open_store(where) as store:
        app = build(House(store, where))
        uvicorn.run(app, host=host, port=port, log_level="warning", timeout_graceful_shutdown=2)
