"""One function for each thing a person does. Each is one act, whole or not at all.

A module is loaded when one of its functions is first asked for: what one command needs must not
slow the start of another.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.usecases.acts import act_named, add_machine, audit, check_machine, undo
    from stores.usecases.assembling import apply_to, set_check, sign, take_check, tighten
    from stores.usecases.closing import close_out, hand_over
    from stores.usecases.common import Done
    from stores.usecases.figures import (
        Taken,
        drop_sump,
        set_joint,
        set_sump,
        set_torque,
        take_readings,
    )
    from stores.usecases.judging import inspect, specify
    from stores.usecases.labels import (
        due_bags,
        labels_came_out,
        labels_made,
        set_printer,
    )
    from stores.usecases.listing import Read, read_list
    from stores.usecases.ordering import let_free, made_way, put_before, ring, take_time
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
    from stores.usecases.refitting import Left, refit
    from stores.usecases.renewals import add_renewal, by_the_rule, drop_renewal
    from stores.usecases.replaying import export_lines, replay
    from stores.usecases.spares import set_spares
    from stores.usecases.stripping import loose, strip
    from stores.usecases.supply import buy

__all__ = [
    "Done",
    "Left",
    "NewPicture",
    "Read",
    "Taken",
    "TakenIn",
    "accept_offers",
    "act_named",
    "add_machine",
    "add_renewal",
    "apply_to",
    "audit",
    "buy",
    "by_the_rule",
    "cancel_order",
    "check_machine",
    "close_out",
    "drop_renewal",
    "drop_sump",
    "due_bags",
    "export_lines",
    "file_pictures",
    "hand_over",
    "inspect",
    "labels_came_out",
    "labels_made",
    "let_free",
    "loose",
    "made_way",
    "order",
    "order_back",
    "order_came",
    "picture_folder",
    "price_order_line",
    "promise_order",
    "put_before",
    "read_list",
    "refit",
    "replay",
    "ring",
    "set_caption",
    "set_check",
    "set_currency",
    "set_joint",
    "set_price",
    "set_printer",
    "set_spares",
    "set_sump",
    "set_torque",
    "sign",
    "specify",
    "strip",
    "take_check",
    "take_in",
    "take_readings",
    "take_time",
    "tighten",
    "undo",
]

_HOMES = {
    "acts": ("act_named", "add_machine", "audit", "check_machine", "undo"),
    "assembling": ("apply_to", "set_check", "sign", "take_check", "tighten"),
    "closing": ("close_out", "hand_over"),
    "common": ("Done",),
    "figures": ("Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"),
    "judging": ("inspect", "specify"),
    "labels": ("due_bags", "labels_came_out", "labels_made", "set_printer"),
    "listing": ("Read", "read_list"),
    "ordering": ("let_free", "made_way", "put_before", "ring", "take_time"),
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
    "refitting": ("Left", "refit"),
    "renewals": ("add_renewal", "by_the_rule", "drop_renewal"),
    "replaying": ("export_lines", "replay"),
    "spares": ("set_spares",),
    "stripping": ("loose", "strip"),
    "supply": ("buy",),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
