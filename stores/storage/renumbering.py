"""One number for each loose item, whatever machine it is asked from.

Up to version 0013 of the tables they were numbered for each machine apart, so that 0.1 could be two
things. The number of each is now its rank among all that were ever entered: where there is one
machine that is the number it had. The migration and the reading of older text both use this.
"""

from typing import Any

__all__ = ["RANKED", "Renumbered"]

RANKED = (
    "SELECT r.id, r.rank, '0.' || r.line || ' of ' || r.machine FROM "
    "(SELECT i.id, i.line, m.name AS machine, row_number() OVER (ORDER BY i.id) AS rank "
    "FROM item i JOIN machine m ON m.id = i.machine_id WHERE i.step_id IS NULL) r "
    "WHERE r.rank <> r.line ORDER BY r.id"
)
"""The loose items whose number changes: the row, its new number, and what it was called."""


class Renumbered:
    """Numbers the loose items of an older text as they are read, in the order of their rows."""

    def __init__(self) -> None:
        self._machines: dict[int, str] = {}
        self._last = 0

    def take(self, table: str, row: dict[str, Any]) -> None:
        """Number one row anew where that is needed."""
        if table == "machine":
            self._machines[row["id"]] = row["name"]
        elif table == "item" and row["step_id"] is None:
            self._last += 1
            if row["line"] != self._last:
                row["formerly"] = f"0.{row['line']} of {self._machines[row['machine_id']]}"
                row["line"] = self._last
