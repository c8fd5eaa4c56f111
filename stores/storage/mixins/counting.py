"""Writing what closes a job: stock-takes, notes at the end of a day, closing out."""

from stores.storage import rows

__all__ = ["CountWriter"]


class CountWriter:
    """The part of the one writer that appends stock-takes, handovers and closings."""

    def handover(self, act: int, machine: int, text: str) -> None:
        """Write down a person's own words at the end of a day."""
        self._add(rows.HandoverRow(act_id=act, machine_id=machine, text=text))

    def closing(self, act: int, machine: int, note: str) -> None:
        """Write down that a machine is closed out."""
        self._add(rows.ClosingRow(act_id=act, machine_id=machine, note=note))

    def _add(self, row: object) -> None:
        raise NotImplementedError
