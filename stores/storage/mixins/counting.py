"""Writing what closes a job: stock-takes, notes at the end of a day, closing out."""

from stores.storage import rows

__all__ = ["CountWriter"]


class CountWriter:
    """The part of the one writer that appends stock-takes, handovers and closings."""

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

    def handover(self, act: int, machine: int, text: str) -> None:
        """Write down a person's own words at the end of a day."""
        self._add(rows.HandoverRow(act_id=act, machine_id=machine, text=text))

    def closing(self, act: int, machine: int, note: str) -> None:
        """Write down that a machine is closed out."""
        self._add(rows.ClosingRow(act_id=act, machine_id=machine, note=note))

    def _add(self, row: object) -> None:
        raise NotImplementedError
