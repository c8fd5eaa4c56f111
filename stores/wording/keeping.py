"""Copies of the record and its text, in words."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.usecases.keeping import Copied, Reloaded

__all__ = ["HINTS", "REFUSALS", "copied", "reloaded"]

REFUSALS = {
    "stores there already": "{path} is there already: name another with --stores",
    "text is not UTF-8": "this is no stores written as text: it is not UTF-8",
    "text has faults": "the text has {count} faults, the first: {first}",
}
HINTS: dict[str, str] = {}


def copied(reply: "Copied") -> str:
    """Return where the copy is."""
    return f"Copied to {reply.to}"


def reloaded(reply: "Reloaded") -> str:
    """Return how much was read back."""
    return f"{reply.rows:,} rows replayed into {reply.to}: no fault in the record."
