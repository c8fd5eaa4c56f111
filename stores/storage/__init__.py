"""The stores on disk: opening, migrating, and the one writer."""

from stores.storage.opening import Store, address_of, open_store
from stores.storage.writer import Writer

__all__ = ["Store", "Writer", "address_of", "open_store"]
