"""The plain model that acts are held against: a pandas table of movements, no code of ours."""

import pandas as pd

RAW, OK, NEW, BAD = "as removed", "serviceable", "new", "condemned"
COLUMNS = ["item", "pieces", "from_place", "from_state", "to_place", "to_state"]

Row = tuple[object, ...]


class Movements:
    """So many pieces of an item from a place in a state to a place in a state, one row each."""

    def __init__(self, wanted: dict[str, int]) -> None:
        rows = [(item, found, "came", RAW, "hand", RAW) for item, found in wanted.items()]
        self.moves = pd.DataFrame(rows, columns=COLUMNS)

    def add(self, rows: list[Row]) -> None:
        if rows:
            self.moves = pd.concat([self.moves, pd.DataFrame(rows, columns=COLUMNS)])

    def balance(self) -> dict[tuple[str, str, str], int]:
        come = self.moves.groupby(["item", "to_place", "to_state"])["pieces"].sum()
        gone = self.moves.groupby(["item", "from_place", "from_state"])["pieces"].sum()
        keys = ["item", "place", "state"]
        net = come.rename_axis(keys).sub(gone.rename_axis(keys), fill_value=0)
        return {key: int(count) for key, count in net.items() if count}  # type: ignore[misc]

    def there(self, item: str, place: str, *states: str) -> int:
        """Pieces of an item at a place, in any of these states; in all without one."""
        balance = self.balance()
        return sum(balance.get((item, place, state), 0) for state in states or (RAW, OK, NEW, BAD))

    def choose(
        self, item: str, count: int, place: str, states: tuple[str, ...], to: str
    ) -> list[Row] | None:
        """Give the rows that move so many in this order of states; None where there are not so
        many."""
        balance = self.balance()
        rows: list[Row] = []
        for state in states:
            some = min(count, max(0, balance.get((item, place, state), 0)))
            if some:
                rows.append((item, some, place, state, to, state))
                count -= some
        return None if count else rows
