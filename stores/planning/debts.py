"""Pieces robbed from one joint for another: what the donor is owed."""

from dataclasses import dataclass

from stores.model.items import Item
from stores.text import many

__all__ = ["Debt"]


@dataclass(frozen=True, slots=True)
class Debt:
    """So many pieces that ``item`` is owed, since they went to ``taken_for``."""

    item: Item
    taken_for: Item
    quantity: int
    date: str = ""

    @property
    def words(self) -> str:
        """Say it: ``1 M8 nut owed to 1.2 head on Tern 50, taken for 32.2 cylinder head``."""
        step, other = self.item.step, self.taken_for.step
        where = f" on {other.machine}" if other.machine != step.machine else ""
        return (
            f"{many(self.quantity, self.item.as_found.text)} owed to {self.item.ref} {step.part} "
            f"on {step.machine}, taken for {self.taken_for.ref} {other.part}{where}"
        )
