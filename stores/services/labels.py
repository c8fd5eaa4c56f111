"""Which bag labels are due, and writing down that they were printed."""

from collections.abc import Iterable, Sequence

from stores import queries
from stores.errors import NotFound
from stores.ledger import PlaceKind
from stores.planning.bags import Bag
from stores.services.common import bag_named
from stores.storage import Store

__all__ = ["due_bags", "labels_printed"]


def due_bags(store: Store, codes: Sequence[str] = (), *, everything: bool = False) -> list[Bag]:
    """Give the bags whose label is new or changed since it was printed; or all, or those named.

    Raises:
        NotFound: a bag that is named holds nothing.
        NotationError: a bag code with a slip.
    """
    with store.reading() as connection:
        held = queries.bags(connection)
        if codes:
            named = [bag_named(connection, code) for code in codes]
            empty = [code for code in named if code not in held]
            if empty:
                raise NotFound(f"nothing is in bag {', '.join(empty)}: there is no label to print")
            return [held[code] for code in dict.fromkeys(named)]
    return [bag for bag in held.values() if everything or bag.label_due]


def labels_printed(store: Store, bags: Iterable[Bag], file: str) -> None:
    """Write down that the labels of these bags, as they are now, were printed."""
    with store.writing() as writer:
        for bag in bags:
            writer.label(writer.place(PlaceKind.BAG, bag.code).number, bag.digest, file)
