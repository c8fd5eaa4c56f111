"""What labels of boxes, large parts, verdicts, batches and wires say, from what a person names."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stores.cli.printed import today
from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy import Connection

    from stores.model.outwork import Batch
    from stores.printing.label_values import LabelValue

__all__ = ["around", "label_values"]

_MOST_AROUND = 100
"""Millimetres."""


def label_values(
    connection: "Connection", kind: str, what: Sequence[str], machine: str | None
) -> "list[LabelValue]":
    """Give what the labels of a kind say of these boxes, items, firms or wires.

    Raises:
        BadValue: nothing is named, or not as it must be written.
        NotFound: there is no such thing.
    """
    return _VALUES[kind](connection, what, machine)


def around(values: "Sequence[LabelValue]", said: str) -> "list[LabelValue]":
    """Give flags that wrap a cable or hose of this diameter.

    Raises:
        BadValue: no length, or none that a cable has.
    """
    from stores import units
    from stores.printing.label_values import Flag

    size = float(units.read(said, units.Kind.LENGTH, "mm").base)
    if not 0 < size <= _MOST_AROUND:
        raise BadValue(f"a cable or hose is up to {_MOST_AROUND} mm thick, not {said}")
    return [replace(value, around=size) for value in values if isinstance(value, Flag)]


def _named(what: Sequence[str], example: str) -> Sequence[str]:
    if not what:
        raise BadValue(f"say of what, as in: stores labels {example}")
    return what


def _boxes(
    connection: "Connection", what: Sequence[str], _machine: str | None
) -> "list[LabelValue]":
    from stores.printing.label_values import BoxIndex, BoxLine
    from stores.storage.search import read_bags
    from stores.storage.writer import fold

    held: dict[str, list[Any]] = {}
    names: dict[str, str] = {}
    for bag in read_bags(connection).values():
        if bag.inside:
            first = bag.inside.split(", ")[0]
            held.setdefault(fold(first), []).append(bag)
            names[fold(first)] = first
    made: list[LabelValue] = []
    for name in _named(what, '"box 3" --as box'):
        bags = held.get(fold(name))
        if not bags:
            there = ", ".join(names.values()) or "none"
            raise NotFound(f"no bag is in {name!r}; boxes with bags: {there}")
        place = ", ".join(bags[0].inside.split(", ")[1:])
        machines = dict.fromkeys(each for bag in bags for each in bag.machines)
        lines = tuple(BoxLine(bag.code, _steps(bag), bag.pieces) for bag in bags)
        made.append(BoxIndex(names[fold(name)], lines, place, ", ".join(machines), today()))
    return made


def _steps(bag: Any) -> str:
    return "; ".join(
        f"{step.number} {step.part}" if step.number else "loose pieces" for step in bag.steps
    )


def _tags(connection: "Connection", what: Sequence[str], machine: str | None) -> "list[LabelValue]":
    from stores.printing.label_values import Tag
    from stores.usecases.common import select

    made: list[LabelValue] = []
    for name in _named(what, "7.1 --as tag"):
        for item in select(connection, machine, name).items:
            step = item.step
            made.append(
                Tag(
                    item.ref,
                    item.as_found.text,
                    step.machine,
                    step.assembly,
                    step.number,
                    hazard=step.hazard,
                    note=item.position or step.note,
                    date=step.date,
                    payload=_payload(item),
                )
            )
    return made


def _payload(item: Any) -> str:
    step = item.step
    return "\n".join(
        part for part in (item.ref, step.machine, step.assembly, item.as_found.text) if part
    )


def _conditions(
    connection: "Connection", what: Sequence[str], machine: str | None
) -> "list[LabelValue]":
    from stores.model.ledger import Condition
    from stores.printing.label_values import ConditionTag
    from stores.usecases.common import select

    made: list[LabelValue] = []
    for name in _named(what, "7.2 --as condition"):
        chosen = select(connection, machine, name)
        for item in chosen.items:
            states = dict.fromkeys(
                held.condition
                for held in item.holdings
                if held.kind.in_hand and held.condition is not Condition.AS_REMOVED
            )
            measured, reason = _read_off(item.verdict)
            made += [
                ConditionTag(
                    item.ref,
                    state,
                    item.named(state),
                    reason=reason,
                    measured=measured,
                    machine=item.step.machine,
                    date=today(),
                    payload=_payload(item),
                )
                for state in states
            ]
    if not made:
        raise NotFound("nothing there was inspected yet: 'stores inspect' says the condition")
    return made


def _read_off(verdict: str) -> tuple[str, str]:
    """Part what was measured from what that means: ``pin 19.91 mm: 0.010 mm within the limit``."""
    measured, colon, reason = verdict.partition(": ")
    return (measured, reason) if colon and measured.endswith(" mm") else ("", verdict)


def _batches(
    connection: "Connection", what: Sequence[str], _machine: str | None
) -> "list[LabelValue]":
    """Batches by number, or all of a firm that are not done; else what was sent to it without."""
    from stores.storage.outwork import read_batches
    from stores.storage.writer import fold

    made: list[LabelValue] = []
    batches = [each for each in read_batches(connection) if each.lines]
    for name in _named(what, "1 --as batch"):
        if name.strip().isdecimal():
            found = [each for each in batches if each.number == int(name)]
            if not found:
                raise NotFound(f"no batch {name} with anything in it: stores batch list")
        else:
            begins = fold(name)
            found = [e for e in batches if fold(e.firm).startswith(begins) and not e.done]
        made += [_ticket(each) for each in found] or [_sent_alone(connection, name)]
    return made


def _ticket(batch: "Batch") -> "LabelValue":
    from stores.printing.label_values import BatchLine, BatchTicket

    return BatchTicket(
        f"batch {batch.number}",
        batch.firm,
        ", ".join(filter(None, (batch.work, batch.finish))),
        tuple(BatchLine(line.quantity, line.text, line.item.ref) for line in batch.lines),
        ", ".join(dict.fromkeys(line.item.step.machine for line in batch.lines)),
        batch.sent,
        batch.promised.isoformat() if batch.promised else "",
        batch.note,
    )


def _sent_alone(connection: "Connection", name: str) -> "LabelValue":
    """Give the ticket of what is away at a firm and was sent there outside of any batch."""
    from stores.model.ledger import ActKind, PlaceKind
    from stores.printing.label_values import BatchLine, BatchTicket
    from stores.storage.acts import act_lines
    from stores.storage.items import read_items
    from stores.storage.writer import fold

    lines: list[BatchLine] = []
    machines: dict[str, None] = {}
    firm = ""
    for item in read_items(connection):
        for held in item.holdings:
            if held.kind is PlaceKind.FIRM and fold(held.place).startswith(fold(name)):
                firm = firm or held.place
                if held.place == firm and held.quantity > 0:
                    lines.append(BatchLine(held.quantity, item.named(held.condition), item.ref))
                    machines[item.step.machine] = None
    if not lines:
        raise NotFound(f"nothing is away at {name!r}: 'stores batch' and 'stores send' send out")
    sent = next(
        (
            act
            for act in act_lines(connection)
            if act.stands and act.kind is ActKind.SEND and firm in act.summary
        ),
        None,
    )
    return BatchTicket(
        f"act {sent.number}" if sent else "away",
        firm,
        sent.reason if sent else "",
        tuple(lines),
        ", ".join(machines),
        sent.happened_at if sent else "",
    )


def _flags(
    _connection: "Connection", what: Sequence[str], _machine: str | None
) -> "list[LabelValue]":
    from stores.printing.label_values import Flag

    made: list[LabelValue] = []
    for text in _named(what, '"W7: green, dynamo to headlamp" --as flag'):
        code, _, rest = text.partition(":")
        words, _, way = rest.rpartition(",")
        origin, to_there, to = (way or rest).partition(" to ")
        if not code.strip() or not rest.strip():
            raise BadValue(f"{text!r}: write a code, a colon and what it is: W7: green, A to B")
        if not to_there:
            words, origin, to = rest, "", ""
        made.append(
            Flag(
                code.strip(), words.strip() or code.strip(), origin.strip(), to.strip(),
                payload=" ".join(text.split()),
            )
        )  # fmt: skip
    return made


_VALUES: "dict[str, Callable[[Connection, Sequence[str], str | None], list[LabelValue]]]" = {
    "box": _boxes,
    "tag": _tags,
    "condition": _conditions,
    "batch": _batches,
    "flag": _flags,
}
