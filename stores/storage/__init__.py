"""The stores on disk: opening, migrating, and the one writer.

Nothing is loaded before it is asked for: `stores.storage.quick` does without a database's packages.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stores.storage.opening import Store, address_of, open_store
    from stores.storage.writer import Writer

__all__ = ["Store", "Writer", "address_of", "open_store"]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from stores.storage import opening, writer

    return getattr(writer if name == "Writer" else opening, name)
