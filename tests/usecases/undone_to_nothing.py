"""Undo over and over, as a person would who wants to begin again."""

import pytest

from stores.errors import NotFound
from stores.model.ledger import ActKind
from stores.storage.balances import balance_of
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, history, undo


def undo_to_nothing(context: Context) -> int:
    """Undo the last deed as often as deeds stand; then none does, and no piece is anywhere."""
    standing = sum(act.stands and act.kind is not ActKind.REVERSE for act in history(context))
    for _ in range(standing):
        undo(context, Undo())
    with pytest.raises(NotFound, match="nothing to undo"):
        undo(context, Undo())
    with context.reading() as connection:
        assert len(balance_of(connection, None)) == 0
        assert read_items(connection) == []
    assert audit(context).faults == ()
    return standing
