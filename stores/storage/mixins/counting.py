"""Writing what closes a job: parts lists, notes at the end of a day, closing out."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, insert

from stores.storage import rows

__all__ = ["CountWriter"]


class CountWriter:
    """The part of the one writer that appends lists, handovers and closings."""

    connection: Connection

    def listed_parts(self, act: int, machine: int, source: str, parts: Iterable[Any]) -> None:
        """Write rows of a parts list, many in one statement: a list may have tens of thousands."""
        self.connection.execute(
            insert(rows.ListedPartRow.__table__),  # type: ignore[attr-defined]
            [
                {
                    "act_id": act,
                    "machine_id": machine,
                    "item_id": part.item,
                    "source": source,
                    "line": part.line,
                    "reference": part.reference,
                    "assembly": part.assembly,
                    "text": part.text,
                    "quantity": part.quantity,
                    "note": part.note,
                }
                for part in parts
            ],
        )

    def handover(self, act: int, machine: int, text: str) -> None:
        """Write down a person's own words at the end of a day."""
        self._add(rows.HandoverRow(act_id=act, machine_id=machine, text=text))

    def closing(self, act: int, machine: int, note: str) -> None:
        """Write down that a machine is closed out."""
        self._add(rows.ClosingRow(act_id=act, machine_id=machine, note=note))

    def _add(self, row: object) -> None:
        raise NotImplementedError
