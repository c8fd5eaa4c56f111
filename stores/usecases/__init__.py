"""One function for each thing a person does. Each is one act, whole or not at all."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.usecases.assembling import apply_to, set_check, sign, take_check, tighten
    from stores.usecases.closing import close_out, hand_over
    from stores.usecases.common import Done
    from stores.usecases.ordering import mark_access_only, put_before, ring, take_time, unlink
    from stores.usecases.refitting import Left, refit

__all__ = [
    "Done",
    "Left",
    "apply_to",
    "close_out",
    "hand_over",
    "mark_access_only",
    "put_before",
    "refit",
    "ring",
    "set_check",
    "sign",
    "take_check",
    "take_time",
    "tighten",
    "unlink",
]

_HOMES = {
    "assembling": ("apply_to", "set_check", "sign", "take_check", "tighten"),
    "closing": ("close_out", "hand_over"),
    "common": ("Done",),
    "ordering": ("mark_access_only", "put_before", "ring", "take_time", "unlink"),
    "refitting": ("Left", "refit"),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
