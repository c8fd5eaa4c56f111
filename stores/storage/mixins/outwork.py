"""Writing the batches that go out to firms."""

from sqlalchemy import func
from sqlmodel import Session, select

from stores.storage import rows

__all__ = ["OutworkWriter"]


class OutworkWriter:
    """The part of the one writer that appends batches."""

    _session: Session

    def next_batch(self) -> int:
        """Give the next number of a batch: none is used twice."""
        return int(self._session.exec(select(func.max(rows.BatchRow.number))).one() or 0) + 1

    def batch(
        self, act: int, number: int, place: int, work: str, finish: str = "", note: str = ""
    ) -> int:
        """Write down a batch of outwork for a firm."""
        row = rows.BatchRow(
            act_id=act, number=number, place_id=place, work=work, finish=finish, note=note
        )
        self._add(row)
        return row.id or 0

    def batch_line(
        self,
        act: int,
        batch: int,
        item: int,
        quantity: int,
        *,
        metal: str = "",
        masking: str = "",
        strength: str = "",
        note: str = "",
    ) -> None:
        """Write down so many pieces of an item in a batch; 0 takes the line out."""
        self._add(
            rows.BatchLineRow(
                act_id=act, batch_id=batch, item_id=item, quantity=quantity, metal=metal,
                masking=masking, strength=strength, note=note,
            )
        )  # fmt: skip

    def batch_event(self, act: int, batch: int, event: str, value: str) -> None:
        """Write down what happened to a batch: packed, sent, promised; 0 takes a mark away."""
        self._add(rows.BatchEventRow(act_id=act, batch_id=batch, event=event, value=value))

    def batch_return(self, act: int, batch: int, item: int, quantity: int, outcome: str) -> None:
        """Write down pieces of a batch that came back, or were written off."""
        self._add(
            rows.BatchReturnRow(
                act_id=act, batch_id=batch, item_id=item, quantity=quantity, outcome=outcome
            )
        )

    def debt(self, act: int, item: int, to: int, quantity: int) -> None:
        """Write down that pieces of one joint went to another: the donor is owed them."""
        self._add(rows.DebtRow(act_id=act, item_id=item, to_item_id=to, quantity=quantity))

    def _add(self, row: object) -> None:
        raise NotImplementedError
