"""One function for each thing a person does. Each is one act, whole or not at all.

A module is loaded when one of its functions is first asked for: what one command needs must not
slow the start of another.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.usecases.acts import act_named, add_machine, audit, check_machine, undo
    from stores.usecases.assembling import apply_to, set_check, sign, take_check, tighten
    from stores.usecases.batches import (
        batch_back,
        begin_batch,
        mark_batch,
        put_into_batch,
        send_batch,
        take_out_of_batch,
        write_off,
    )
    from stores.usecases.closing import close_out, hand_over
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
    from stores.usecases.judging import inspect, specify
    from stores.usecases.labels import (
        due_bags,
        labels_came_out,
        labels_made,
        set_printer,
    )
    from stores.usecases.moving import assign, lose, move, recover, scrap, stow
    from stores.usecases.ordering import let_free, made_way, put_before, ring, take_time
    from stores.usecases.pictures import (
        NewPicture,
        TakenIn,
        accept_offers,
        file_pictures,
        picture_folder,
        set_caption,
        take_in,
    )
    from stores.usecases.refitting import Left, refit
    from stores.usecases.replaying import export_lines, replay
    from stores.usecases.stripping import loose, strip
    from stores.usecases.supply import send, take_back

__all__ = [
    "Counted",
    "Done",
    "Left",
    "NewPicture",
    "Taken",
    "TakenIn",
    "accept_offers",
    "act_named",
    "add_machine",
    "apply_to",
    "assign",
    "audit",
    "batch_back",
    "begin_batch",
    "check_machine",
    "close_out",
    "count_place",
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
    "lose",
    "made_way",
    "mark_batch",
    "move",
    "picture_folder",
    "put_before",
    "put_into_batch",
    "recover",
    "refit",
    "replay",
    "ring",
    "scrap",
    "send",
    "send_batch",
    "set_caption",
    "set_check",
    "set_joint",
    "set_printer",
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
    "write_off",
]

_HOMES = {
    "acts": ("act_named", "add_machine", "audit", "check_machine", "undo"),
    "assembling": ("apply_to", "set_check", "sign", "take_check", "tighten"),
    "batches": (
        "batch_back",
        "begin_batch",
        "mark_batch",
        "put_into_batch",
        "send_batch",
        "take_out_of_batch",
        "write_off",
    ),
    "closing": ("close_out", "hand_over"),
    "common": ("Done",),
    "counting": ("Counted", "count_place"),
    "figures": ("Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"),
    "judging": ("inspect", "specify"),
    "labels": ("due_bags", "labels_came_out", "labels_made", "set_printer"),
    "moving": ("assign", "lose", "move", "recover", "scrap", "stow"),
    "ordering": ("let_free", "made_way", "put_before", "ring", "take_time"),
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
    "replaying": ("export_lines", "replay"),
    "stripping": ("loose", "strip"),
    "supply": ("send", "take_back"),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
