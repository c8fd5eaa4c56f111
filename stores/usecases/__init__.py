"""One function for each thing a person does. Each is one act, whole or not at all.

A module is loaded when one of its functions is first asked for: what one command needs must not
slow the start of another.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.usecases.batches import (
        batch_back,
        begin_batch,
        mark_batch,
        put_into_batch,
        send_batch,
        take_out_of_batch,
        write_off,
    )
    from stores.usecases.common import Done
    from stores.usecases.counting import Counted, count_place
    from stores.usecases.figures import (
        Taken,
        drop_sump,
        set_joint,
        set_sump,
        set_torque,
        take_readings,
    )
    from stores.usecases.labels import (
        due_bags,
        labels_came_out,
        labels_made,
        set_printer,
    )
    from stores.usecases.listing import Read, read_list
    from stores.usecases.moving import assign, lose, move, recover, scrap, stow
    from stores.usecases.orders import (
        cancel_order,
        order,
        order_back,
        order_came,
        price_order_line,
        promise_order,
    )
    from stores.usecases.pictures import (
        NewPicture,
        TakenIn,
        accept_offers,
        file_pictures,
        picture_folder,
        set_caption,
        take_in,
    )
    from stores.usecases.prices import set_currency, set_price
    from stores.usecases.renewals import add_renewal, by_the_rule, drop_renewal
    from stores.usecases.replaying import export_lines, replay
    from stores.usecases.spares import set_spares
    from stores.usecases.supply import buy, send, take_back

__all__ = [
    "Counted",
    "Done",
    "NewPicture",
    "Read",
    "Taken",
    "TakenIn",
    "accept_offers",
    "add_renewal",
    "assign",
    "batch_back",
    "begin_batch",
    "buy",
    "by_the_rule",
    "cancel_order",
    "count_place",
    "drop_renewal",
    "drop_sump",
    "due_bags",
    "export_lines",
    "file_pictures",
    "labels_came_out",
    "labels_made",
    "loose",
    "lose",
    "mark_batch",
    "move",
    "order",
    "order_back",
    "order_came",
    "picture_folder",
    "price_order_line",
    "promise_order",
    "put_into_batch",
    "read_list",
    "recover",
    "replay",
    "scrap",
    "send",
    "send_batch",
    "set_caption",
    "set_currency",
    "set_joint",
    "set_price",
    "set_printer",
    "set_spares",
    "set_sump",
    "set_torque",
    "stow",
    "take_back",
    "take_in",
    "take_out_of_batch",
    "take_readings",
    "undo",
    "write_off",
]

_HOMES = {
    "batches": (
        "batch_back",
        "begin_batch",
        "mark_batch",
        "put_into_batch",
        "send_batch",
        "take_out_of_batch",
        "write_off",
    ),
    "common": ("Done",),
    "counting": ("Counted", "count_place"),
    "figures": ("Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"),
    "labels": ("due_bags", "labels_came_out", "labels_made", "set_printer"),
    "listing": ("Read", "read_list"),
    "moving": ("assign", "lose", "move", "recover", "scrap", "stow"),
    "orders": (
        "cancel_order",
        "order",
        "order_back",
        "order_came",
        "price_order_line",
        "promise_order",
    ),
    "prices": ("set_currency", "set_price"),
    "pictures": (
        "NewPicture",
        "TakenIn",
        "accept_offers",
        "file_pictures",
        "picture_folder",
        "set_caption",
        "take_in",
    ),
    "renewals": ("add_renewal", "by_the_rule", "drop_renewal"),
    "replaying": ("export_lines", "replay"),
    "spares": ("set_spares",),
    "supply": ("buy", "send", "take_back"),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
