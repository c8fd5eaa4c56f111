"""Writing parts lists and stock-takes."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, insert

from stores.storage import rows

__all__ = ["CountWriter"]


class CountWriter:
    """The part of the one writer that appends lists and stock-takes."""

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

    def stock_count(self, act: int, place: int, note: str) -> int:
        """Write down that a place was counted; give the row."""
        row = rows.CountRow(act_id=act, place_id=place, note=note)
        self._add(row)
        return row.id or 0

    def count_line(
        self,
        act: int,
        count: int,
        *,
        place: int | None = None,
        item: int | None = None,
        words: str = "",
        expected: int,
        found: int,
    ) -> None:
        """Write down what a count expected and found: of an item, a bag, or something strange."""
        self._add(
            rows.CountLineRow(
                act_id=act, count_id=count, place_id=place, item_id=item, words=words,
                expected=expected, found=found,
            )
        )  # fmt: skip

    def _add(self, row: object) -> None:
        raise NotImplementedError
