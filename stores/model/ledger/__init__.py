"""The ledger: every piece is always somewhere.

Double-entry book-keeping, but of pieces. A movement carries both ends, so an unbalanced entry
cannot be written; balances are derived and never stored; a mistake is reversed by another act.
Everything here is pure: ``(state, request) -> Act`` or a refusal.
"""

from stores.model.ledger.checks import Fault, Record, audit
from stores.model.ledger.decide import Stock, record, reverse, take
from stores.model.ledger.model import (
    MAX_QUANTITY,
    Act,
    ActKind,
    Balance,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    fallen_acts,
)

__all__ = [
    "MAX_QUANTITY",
    "Act",
    "ActKind",
    "Balance",
    "Condition",
    "Fault",
    "Movement",
    "PlaceKind",
    "Record",
    "Spot",
    "Stock",
    "audit",
    "fallen_acts",
    "record",
    "reverse",
    "take",
]
