"""What the record is of, and how its history reads: machines and acts."""

from dataclasses import dataclass

from stores.model.ledger import ActKind

__all__ = ["ActLine", "Machine"]


@dataclass(frozen=True, slots=True)
class Machine:
    """What is being restored, or a donor that is kept ``for_parts``."""

    number: int
    name: str
    maker: str = ""
    model: str = ""
    year: str = ""
    note: str = ""
    steps: int = 0
    for_parts: bool = False


@dataclass(frozen=True, slots=True)
class ActLine:
    """One act for the history."""

    number: int
    kind: ActKind
    happened_at: str
    summary: str
    reason: str
    reverses: int | None
    reversed_by: int | None
    stands: bool
