"""Writing what is printed and pictured: labels, printers, pictures and what they show."""

from sqlalchemy import func
from sqlmodel import Session, col, select

from stores.storage import rows

__all__ = ["PaperWriter"]


class PaperWriter:
    """The part of the one writer that appends paper and pictures."""

    _session: Session

    def label(self, place: int, digest: str, file: str, at: str) -> None:
        """Write down that a bag's label was made, for a printer."""
        self._add(rows.LabelRow(place_id=place, printed_at=at, digest=digest, file=file))

    def outcome(self, label: int, *, good: bool, at: str) -> None:
        """Write down whether a label came out of the printer fit to use."""
        self._add(rows.OutcomeRow(label_id=label, good=int(good), noted_at=at))

    def printer(
        self, act: int, name: str, key: str, *, right_um: int, down_um: int, dpi: int
    ) -> None:
        """Write down how far a printer is out."""
        self._add(
            rows.PrinterRow(
                act_id=act, name=name, key=key, right_um=right_um, down_um=down_um, dpi=dpi
            )
        )

    def picture(
        self,
        act: int,
        machine: int,
        *,
        digest: str,
        name: str,
        taken_at: str,
        width: int,
        height: int,
        turn: int,
        format: str,
        size: int,
    ) -> tuple[int, int]:
        """Write a picture down under the machine's next number; give its row and that number."""
        last = self._session.exec(
            select(func.max(rows.PictureRow.number)).where(
                col(rows.PictureRow.machine_id) == machine
            )
        ).one()
        row = rows.PictureRow(
            act_id=act,
            machine_id=machine,
            number=int(last or 0) + 1,
            digest=digest,
            name=name,
            taken_at=taken_at,
            width=width,
            height=height,
            turn=turn,
            format=format,
            size=size,
        )
        self._add(row)
        if row.id is None:
            raise AssertionError("a flushed row has a number")
        return row.id, row.number

    def filing(
        self,
        act: int,
        picture: int,
        *,
        step: int | None = None,
        place: int | None = None,
        item: int | None = None,
        how: str = "",
        off: bool = False,
    ) -> None:
        """Write down that a picture shows a step, a bag or an item; ``off`` that it does not."""
        self._add(
            rows.FilingRow(
                act_id=act,
                picture_id=picture,
                step_id=step,
                place_id=place,
                item_id=item,
                how=how,
                taken_off=int(off),
            )
        )

    def caption(self, act: int, picture: int, text: str) -> None:
        """Write down what stands under a picture."""
        self._add(rows.CaptionRow(act_id=act, picture_id=picture, text=text))

    def _add(self, row: object) -> None:
        raise NotImplementedError
