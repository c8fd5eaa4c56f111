"""One function for each thing a person does. Each is one act, whole or not at all."""

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
    from stores.usecases.ordering import mark_access_only, put_before, ring, take_time, unlink
    from stores.usecases.refitting import Left, refit
    from stores.usecases.replaying import export_lines, replay

__all__ = [
    "Done",
    "Left",
    "Taken",
    "apply_to",
    "close_out",
    "drop_sump",
    "export_lines",
    "hand_over",
    "mark_access_only",
    "put_before",
    "refit",
    "replay",
    "ring",
    "set_check",
    "set_joint",
    "set_sump",
    "set_torque",
    "sign",
    "take_check",
    "take_readings",
    "take_time",
    "tighten",
    "unlink",
]

_HOMES = {
    "assembling": ("apply_to", "set_check", "sign", "take_check", "tighten"),
    "closing": ("close_out", "hand_over"),
    "common": ("Done",),
    "figures": ("Taken", "drop_sump", "set_joint", "set_sump", "set_torque", "take_readings"),
    "ordering": ("mark_access_only", "put_before", "ring", "take_time", "unlink"),
    "refitting": ("Left", "refit"),
    "replaying": ("export_lines", "replay"),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
