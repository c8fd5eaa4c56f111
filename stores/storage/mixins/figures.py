"""Writing a machine's figures: sumps, readings, makers' torques, joints with their holes."""

from stores.storage import rows

__all__ = ["FigureWriter"]


class FigureWriter:
    """The part of the one writer that appends figures."""

    def sump(
        self,
        act: int,
        machine: int,
        name: str,
        key: str,
        *,
        number: int = 1,
        grade: str = "",
        dry_ml: int | None = None,
        refill_ml: int | None = None,
        drain: str = "",
        filler: str = "",
        level: str = "",
        note: str = "",
        source: str = "",
    ) -> None:
        """Write down what a sump holds, and of what; ``number`` 0 that there is none."""
        self._add(
            rows.SumpRow(
                act_id=act,
                machine_id=machine,
                name=name,
                key=key,
                number=number,
                grade=grade,
                dry_ml=dry_ml,
                refill_ml=refill_ml,
                drain=drain,
                filler=filler,
                level=level,
                note=note,
                source=source,
            )
        )

    def reading(
        self,
        act: int,
        machine: int,
        subject: str,
        key: str,
        thousandths: int,
        unit: str,
        *,
        place: str = "",
        state: str = "",
        stage: str,
        written: str,
        air_pa: int | None = None,
        note: str = "",
    ) -> None:
        """Write down one reading."""
        self._add(
            rows.ReadingRow(
                act_id=act,
                machine_id=machine,
                subject=subject,
                key=key,
                place=place,
                state=state,
                stage=stage,
                thousandths=thousandths,
                unit=unit,
                written=written,
                air_pa=air_pa,
                note=note,
            )
        )

    def figure(
        self,
        act: int,
        item: int,
        low_mnm: int,
        high_mnm: int,
        *,
        state: str,
        source: str,
        written: str,
    ) -> None:
        """Write down a maker's torque, in thousandths of a newton metre."""
        self._add(
            rows.FigureRow(
                act_id=act,
                item_id=item,
                low_mnm=low_mnm,
                high_mnm=high_mnm,
                state=state,
                source=source,
                written=written,
            )
        )

    def joint(self, act: int, step: int, holes: str, *, order: str, source: str) -> None:
        """Write down where the holes of a step's joint are."""
        self._add(
            rows.JointRow(act_id=act, step_id=step, holes=holes, stated_order=order, source=source)
        )

    def _add(self, row: object) -> None:
        raise NotImplementedError
