"""The workshop's stock in words: what was entered, what is there, kept for whom, used up."""

from typing import TYPE_CHECKING

from stores.model.money import show_money
from stores.model.stock import name_alone, so_much
from stores.model.work_units import VOLUMES, chosen
from stores.text import day_words, either, many
from stores.wording import Line, Lines, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from stores.planning.sharing import Promise
    from stores.usecases.stock import (
        Entered,
        EnteredLine,
        KeptAtLeast,
        Low,
        Measured,
        PackNoted,
        ReservedFor,
        Stock,
        StockLine,
        UsedUp,
    )

__all__ = [
    "HINTS",
    "REFUSALS",
    "entered",
    "in_stock",
    "kept_at_least",
    "measured",
    "pack_noted",
    "promised",
    "reserved",
    "too_little",
    "used_up",
]

REFUSALS = {
    "nothing to enter": "nothing to enter: {hint}",
    "count in question": ("{question} Write the count first, as 6 M6x25 hex: nothing was recorded"),
    "paid to whom": "a price needs a supplier: {hint}",
    "one price for several things": (
        "one price for {lines} different things: enter each by itself, with its own price"
    ),
    "too much in one line": "{typed}: at most {most} in one line",
    "nothing like it in stock": lambda what, sound: (
        f"nothing like {what!r} in stock" + (", new or inspected" if sound else "")
    ),
    "nothing said of the pack": "say what is known of {item}: {hint}",
    "a count is of one thing": "{what} is several things: leave the count out, or name one by its "
    "number, as 0.7",
    "fewer are free": lambda item, text, unit, asked, free, kept_for: (
        f"{so_much(asked, unit)} of {item} {name_alone(unit, text)} asked for, "
        f"{so_much(free, unit)} of it free: nothing was changed"
        + (f"; {promised(kept_for, unit)}" if kept_for else "")
    ),
    "kept for others": lambda item, text, unit, asked, free, kept_for: (
        f"{_much(asked, unit)} of {item} {name_alone(unit, text)} asked for, "
        f"{_much(free, unit)} of it free: {promised(kept_for, unit)}. "
        f"Use it all the same with {to_type('--anyway')}"
    ),
    "stock of another unit": "{item} is recorded in {unit}: enter the other thing by itself, and "
    "take this one back with " + to_type("stores undo"),
    "no such outcome": lambda typed, outcomes: f"{typed!r}: say {either(outcomes)}",
    "more than is in stock": lambda item, text, asked, there, unit, hint: (
        f"{_much(asked, unit)} of {item} {name_alone(unit, text)} asked for, "
        f"{_much(there, unit)} there by the record: nothing was changed; if more is left: {hint}"
    ),
    "pieces are counted": "{item} is in pieces. Count them where they lie: {hint}",
    "that much is on record": "{left} of {item} is what the record says already",
    "several things in stock": lambda what, items: (
        f"{what!r} is several things in stock: {', '.join(items)}; name one by its number"
    ),
    "of a joint, not of the stock": "{item} belongs to a joint, not to the stock: what is in stock "
    "has a number such as 0.7; " + quoted("stores stock") + " lists it",
}
HINTS = {
    "enter_bought": 'stores stock enter "50 ml tube flange sealant" --from Hollin --price 6.40',
    "enter": 'stores stock enter "40 M6 plain washer" --to "drawer 3"',
    "note_pack": "stores stock pack 0.7 --opened today --use-by 2027-03-01",
    "count": "stores place count {place!r}",
    "say_what_is_left": 'stores stock left {what} "about a third"',
}


def _much(quantity: int, unit: str) -> str:
    """Say a quantity, a volume also in the unit a person works in: ``200 ml (7.04 imp fl oz)``."""
    beside = chosen().volume_beside(quantity) if unit == VOLUMES[0] else ""
    return so_much(quantity, unit) + (f" ({beside})" if beside else "")


def _so_much(quantity: int, unit: str, text: str) -> str:
    """Say so much of a thing: ``340 ml of flange sealant``, ``40 M6 plain washer``."""
    if unit:
        return f"{_much(quantity, unit)} of {name_alone(unit, text)}"
    return many(quantity, text)


def entered(reply: "Entered") -> Said:
    """Return what is in stock now, where, and what to mind."""
    bought = f", bought from {reply.supplier}" if reply.supplier else ""
    if reply.price is not None:
        bought += f" for {show_money(reply.price, reply.currency)}"
    new = " (new place)" if reply.place.new else ""
    lines = [f"In stock, {reply.place.kind.at(reply.place.name)}{new}{bought}"]
    lines += [f"  {_entered_line(line)}" for line in reply.lines]
    if reply.least:
        first = reply.lines[0]
        name = name_alone(first.unit, first.text)
        lines.append(f"At least {_much(reply.least, first.unit)} of {name} to be held")
    notes = [f"{line.item}: {question}" for line in reply.lines for question in line.questions]
    cautions = dict.fromkeys(caution for line in reply.lines for caution in line.cautions)
    return Said(tuple(lines), tuple(notes), tuple(cautions))


def _entered_line(line: "EnteredLine") -> str:
    about = "about " if line.estimated else ""
    words = f"{line.item}  {about}{_so_much(line.quantity, line.unit, line.text)}"
    if not line.unit and not line.kind:
        words += f", {line.condition}"
    if line.pack:
        words += f", {_much(line.pack, line.unit)} a pack"
    if line.usable_until:
        words += f", {_good(line.usable_until, past=line.past)}"
    return words


def _good(until: "date", *, past: bool) -> str:
    """Say until when a thing may be used, or that it may no longer be."""
    return f"OUT OF DATE since {day_words(until)}" if past else f"good until {day_words(until)}"


def in_stock(reply: "Stock") -> Lines:
    """Return what is in stock, a thing a paragraph, and what is low."""
    lines = []
    for each in reply.lines:
        lines.append(Line(_stock_line(each), "", "     "))
        lines += [Line(words, "     ", "       ") for words in _about(each)]
    if reply.low:
        if lines:
            lines.append(Line("", whole=True))
        lines.append(Line("Running low:", whole=True))
        lines += [Line(_low(each), "  ", "    ") for each in reply.low]
    if not lines:
        how = to_type("stores stock enter")
        lines.append(Line(f"Nothing in stock yet. Put something in: {how}", whole=True))
    return Lines(lines)


def _stock_line(line: "StockLine") -> str:
    words = f"{line.item}  {_so_much(line.quantity, line.unit, line.text)}"
    conditions = {} if line.unit else dict.fromkeys(str(each.condition) for each in line.places)
    where = [
        f"{each.quantity} {each.condition} {each.where}" if len(conditions) > 1 else
        (f"{each.quantity} {each.where}" if len(line.places) > 1 else each.where)
        for each in line.places
    ]  # fmt: skip
    if len(conditions) == 1 and not line.kind:
        words += f", {next(iter(conditions))}"
    return f"{words}; {', '.join(where)}"


def _about(line: "StockLine") -> list[str]:
    good = _good(line.usable_until, past=line.past) if line.usable_until else ""
    said = [f"{good}: left out of the count"] if line.past else []
    if line.hazards:
        said.append(f"CAUTION: {'; '.join(line.hazards)}")
    if line.promised:
        said.append(f"{promised(line.promised, line.unit)}; {_much(line.free, line.unit)} free")
    if good and not line.past:
        said.append(good)
    if line.opened:
        said.append(f"opened {day_words(line.opened)}")
    if line.batch:
        said.append(f"batch {line.batch}")
    if line.note:
        said.append(line.note)
    if line.formerly:
        said.append(f"was {line.formerly}")
    return said


def promised(promises: "Iterable[Promise]", unit: str) -> str:
    """Say who gets how much of a thing in stock: joints, or those it is kept for."""
    return ", ".join(
        f"{_much(each.quantity, unit)} "
        + (
            f"for {each.machine} {each.item}"
            if each.item
            else f"kept for {each.machine}" + (f", step {each.step}" if each.step else "")
        )
        for each in promises
    )


def too_little(promises: "Iterable[Promise]", unit: str) -> tuple[str, ...]:
    """Say whose kept pieces were taken; nothing where nobody's were."""
    whose = promised(promises, unit)
    return (f"That leaves too little: {whose}",) if whose else ()


def _low(low: "Low") -> str:
    return (
        f"{name_alone(low.unit, low.text)}: {_much(low.there, low.unit)} good, at least "
        f"{_much(low.least, low.unit)} to be held"
    )


def pack_noted(reply: "PackNoted") -> Said:
    """Return what is known of a pack now."""
    facts = reply.facts
    known = [
        f"{_much(facts.pack, reply.unit)} a pack" if facts.pack else "",
        f"made {day_words(facts.made)}" if facts.made else "",
        f"opened {day_words(facts.opened)}" if facts.opened else "",
        f"use by {day_words(facts.use_by)}" if facts.use_by else "",
        f"batch {facts.batch}" if facts.batch else "",
        facts.hazard,
        facts.keeping,
        facts.note,
    ]
    name = name_alone(reply.unit, reply.text)
    lines = [f"{reply.item} {name}: {', '.join(filter(None, known)) or 'nothing known'}"]
    if reply.usable_until and (reply.past or reply.usable_until != facts.use_by):
        good = _good(reply.usable_until, past=reply.past)
        lines.append(f"{good[:1].upper()}{good[1:]}")
    return Said(tuple(lines))


def kept_at_least(reply: "KeptAtLeast") -> Said:
    """Return the least that is to be held of a thing."""
    name = name_alone(reply.unit, reply.text)
    if not reply.least:
        return Said((f"{name}: no lowest amount to be held from now on",))
    said = f"{name}: at least {_much(reply.least, reply.unit)} to be held"
    if reply.there < reply.least:
        said += f"; {_much(reply.there, reply.unit)} there now"
    return Said((said,))


def reserved(reply: "ReservedFor") -> Said:
    """Return what is kept for a machine now."""
    whom = reply.machine + (f", step {reply.step}" if reply.step else "")
    kept = [each for each in reply.items if each.quantity]
    loose = [each for each in reply.items if not each.quantity]
    lines = [f"Kept for {whom}:"] if kept else []
    lines += [f"  {each.item}  {_so_much(each.quantity, each.unit, each.text)}" for each in kept]
    lines += [
        f"  {each.item}  {name_alone(each.unit, each.text)}: kept for it no longer"
        for each in loose
    ]
    return Said(tuple(lines))


def used_up(reply: "UsedUp") -> Said:
    """Return what was taken from stock, and what is left."""
    at = f" on step {reply.step} of {reply.machine}" if reply.step else ""
    name = name_alone(reply.unit, reply.text)
    lines = [
        f"{_so_much(reply.quantity, reply.unit, reply.text)} {reply.outcome}{at}",
        f"{reply.item} {name}: {_much(reply.left, reply.unit)} left",
    ]
    notes = [*too_little(reply.kept_for, reply.unit)]
    if reply.below:
        notes.append(f"Running low: at least {_much(reply.below, reply.unit)} to be held")
    return Said(tuple(lines), notes)


def measured(reply: "Measured") -> Said:
    """Return what is left of a thing, and what the record had."""
    about = "about " if reply.estimated else ""
    change = reply.left - reply.before
    words = "used up" if change < 0 else "turned up"
    return Said(
        (
            f"{reply.item} {name_alone(reply.unit, reply.text)}: {about}"
            f"{_much(reply.left, reply.unit)} left, {_much(reply.before, reply.unit)} on "
            f"record before: {_much(abs(change), reply.unit)} {words}",
        ),
        too_little(reply.kept_for, reply.unit),
    )
