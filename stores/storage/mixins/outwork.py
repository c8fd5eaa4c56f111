"""Writing snags, and the batches that go out to firms."""

from sqlalchemy import func
from sqlmodel import Session, col, select

from stores.storage import rows

__all__ = ["OutworkWriter"]


class OutworkWriter:
    """The part of the one writer that appends snags and batches."""

    _session: Session

    def next_snag(self, machine: int) -> int:
        """Give the next number of a machine's snags: none is used twice."""
        last = self._session.exec(
            select(func.max(rows.SnagRow.number)).where(col(rows.SnagRow.machine_id) == machine)
        ).one()
        return int(last or 0) + 1

    def next_batch(self) -> int:
        """Give the next number of a batch: none is used twice."""
        return int(self._session.exec(select(func.max(rows.BatchRow.number))).one() or 0) + 1

    def snag(
        self,
        act: int,
        machine: int,
        number: int,
        sort: str,
        text: str,
        *,
        side: str = "",
        assembly: int | None = None,
        step: int | None = None,
        item: int | None = None,
    ) -> int:
        """Write down a fault to clear."""
        row = rows.SnagRow(
            act_id=act, machine_id=machine, number=number, sort=sort, text=text, side=side,
            assembly_id=assembly, step_id=step, item_id=item,
        )  # fmt: skip
        self._add(row)
        return row.id or 0

    def clearing(self, act: int, snag: int, how: str, item: int | None = None) -> None:
        """Write down how a snag was cleared."""
        self._add(rows.ClearingRow(act_id=act, snag_id=snag, how=how, item_id=item))

    def evidence(self, act: int, snag: int, picture: int, *, taken_off: bool = False) -> None:
        """Write down that a picture shows a snag, or does not after all."""
        self._add(
            rows.EvidenceRow(act_id=act, snag_id=snag, picture_id=picture, taken_off=int(taken_off))
        )

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
