"""One function for each thing a person does. Each is one act, whole or not at all.

A module is loaded when one of its functions is first asked for: what one command needs must not
slow the start of another.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
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
    from stores.usecases.listing import Read, read_list
    from stores.usecases.ordering import (
        mark_access_only,
        put_before,
        ring,
        take_time,
        unlink,
    )
    from stores.usecases.orders import (
        cancel_order,
        order,
        order_back,
        order_came,
        price_order_line,
        promise_order,
    )
    from stores.usecases.outwork import send, take_back
    from stores.usecases.prices import set_currency, set_price
    from stores.usecases.refitting import Left, refit
    from stores.usecases.renewals import add_renewal, by_the_rule, drop_renewal
    from stores.usecases.replaying import export_lines, replay
    from stores.usecases.spares import set_spares
    from stores.usecases.supply import buy

__all__ = [
    "Done",
    "Left",
    "Read",
    "Taken",
    "TakenIn",
    "accept_offers",
    "act_named",
    "add_machine",
    "add_renewal",
    "apply_to",
    "assign",
    "audit",
    "batch_back",
    "begin_batch",
    "buy",
    "by_the_rule",
    "cancel_order",
    "close_out",
    "drop_renewal",
    "drop_sump",
    "export_lines",
    "hand_over",
    "inspect",
    "labels_came_out",
    "labels_made",
    "loose",
    "lose",
    "mark_access_only",
    "mark_batch",
    "move",
    "order",
    "order_back",
    "order_came",
    "price_order_line",
    "promise_order",
    "put_before",
    "read_list",
    "refit",
    "replay",
    "ring",
    "scrap",
    "send",
    "send_batch",
    "set_caption",
    "set_check",
    "set_currency",
    "set_joint",
    "set_price",
    "set_spares",
    "set_sump",
    "set_torque",
    "sign",
    "specify",
    "stow",
    "strip",
    "take_back",
    "take_check",
    "take_in",
    "take_out_of_batch",
    "take_readings",
    "take_time",
    "tighten",
    "undo",
    "unlink",
    "write_off",
]

_HOMES = {
    "assembling": ("apply_to", "set_check", "sign", "take_check", "tighten"),
    "closing": ("close_out", "hand_over"),
    "common": ("Done",),
    "figures": ("Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"),
    "listing": ("Read", "read_list"),
    "ordering": ("unlink", "mark_access_only", "put_before", "ring", "take_time"),
    "orders": (
        "cancel_order",
        "order",
        "order_back",
        "order_came",
        "price_order_line",
        "promise_order",
    ),
    "prices": ("set_currency", "set_price"),
    "refitting": ("Left", "refit"),
    "renewals": ("add_renewal", "by_the_rule", "drop_renewal"),
    "replaying": ("export_lines", "replay"),
    "spares": ("set_spares",),
    "supply": ("buy",),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
