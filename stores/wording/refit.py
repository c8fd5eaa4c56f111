"""Refitting in words."""

from dataclasses import replace
from fractions import Fraction
from math import ceil

from stores.model.stock import so_much
from stores.planning.assembling import Role, Tightened
from stores.planning.sharing import Promise
from stores.planning.status import Blocker
from stores.text import beside, counted, many
from stores.usecases.drawing import Drawn, NotDrawn
from stores.usecases.refit import Pieces, Refitted, StuckPieces
from stores.wording import Said
from stores.wording.marks import quoted, to_type
from stores.wording.status import awaited, said
from stores.wording.stock import promised

__all__ = ["HINTS", "REFUSALS", "refitted"]


def _pieces(items: tuple[Pieces, ...]) -> str:
    return ", ".join(map(_piece, items))


def _piece(each: Pieces) -> str:
    return f"{many(each.quantity, each.text)} ({each.item})"


def _short(
    items: tuple[Pieces, ...],
    fits: bool,
    spoken_for: tuple[Promise, ...],
    coming: tuple[Blocker, ...],
) -> str:
    due = "".join(f"; {awaited(each)}" for each in coming)
    rest = f"; fit what is there with {to_type('--anyway')}" if fits else ""
    if spoken_for:
        whose = promised(spoken_for, "")
        rest = f"; loose ones are there: {whose}. Take them with {to_type('--anyway')}"
    return f"short of {_pieces(items)}{due}{rest}"


def _still(items: tuple[StuckPieces, ...], fits: bool, hint: str) -> str:
    listed = ", ".join(
        f"{many(each.quantity, each.text)} ({each.item})" + (f", {each.how}" if each.how else "")
        for each in items
    )
    rest = f"; fit the rest with {to_type('--anyway')}" if fits else ""
    return (
        f"still on the machine: {listed}. If it came off: "
        f"{to_type(f'stores piece came-off {items[0].item}')}; if it stays for good: {hint}{rest}"
    )


REFUSALS = {
    "still on the machine": _still,
    "torque and finger-tight": (
        f"{to_type('--torque')} and {to_type('--finger-tight')}: which is it?"
    ),
    "nobody signs for finger-tight": (
        f"it is only finger-tight, too early to sign for: leave out {to_type('--by')}, "
        f"then {to_type('stores refit tighten')} and {to_type('stores refit sign')}"
    ),
    "loose pieces have no joint": (
        "loose pieces belong to no joint: refit the joint, and they are used there"
    ),
    "all back already": "{what} is all back on the machine already",
    "short of pieces": _short,
    "not looked over": (
        lambda items, hint: (
            f"not inspected yet: {_pieces(items)}. First {quoted(hint)}; "
            f"or fit as it came off, with {to_type('--as-it-came')}"
        )
    ),
    "mixed up": (
        lambda items, hint: (
            f"{_pieces(items)} is mixed up with other pieces and not sorted: {quoted(hint)} says "
            f"how to tell them apart; or fit it all the same with {to_type('--anyway')}"
        )
    ),
    "a snag would be shut in": (
        lambda matters: (
            f"first {'; '.join(map(said, matters))}; or shut it in all the same with "
            f"{to_type('--anyway')}"
        )
    ),
    "more than is missing": (
        "{asked} of {item} ({text}) to fit, but only {missing} still missing on the machine"
    ),
    "nothing fitted has a thread": "nothing that was fitted has a thread to tighten",
    "a torque is of one thing": (
        "a torque is for one line: refit first, then {hint} for each of {items}"
    ),
}
HINTS = {
    "tighten": "stores refit tighten",
    "left on": "stores piece left-on {what}",
    "mixed": "stores piece mixed {number}",
}


def refitted(reply: Refitted) -> Said:
    """Return what went on, what is short, and what to mind."""
    names = ", ".join(f"step {each.step} {each.part}" for each in reply.steps)
    tag = f"  [{reply.machine}]" if reply.other_machines else ""
    if reply.job is not None and not reply.pieces:
        lines = [f"Ticked off: {names}{tag}"]
    else:
        lines = [f"Refitted, {counted(reply.pieces)}: {names}{tag}"]
    lines += [f"  done: {reply.job.undo}"] if reply.job and reply.job.undo else []
    lines += [
        f"  {each.item}  {many(each.quantity, each.text)}"
        + (f"  @ {each.position}" if each.position else "")
        for each in reply.items
    ]
    left = reply.left
    if left is not None:
        words = Tightened(0, 1, left.how, left.torque_nm, left.state, left.written).words
        lines.append(f"  {words}")
    lines += [f"  {_drawn(each)}" for each in reply.drawn]
    lines += [f"  step {number}: {Role.FITTED}, {reply.by}" for number in reply.signed]
    cautions: dict[str, None] = {}
    for step in reply.steps:
        if step.hazard:
            cautions[f"HAZARD: {step.hazard}"] = None
        cautions |= dict.fromkeys(step.cautions)
    cautions |= dict.fromkeys(reply.hazards)
    return Said(lines, _notes(reply), tuple(cautions))


_WHY = {
    "none in stock": "none in stock",
    "no more there": "no more in stock",
    "kept for others": "but {item} is there, {kept}",
    "in whole cans": "{item} is counted in whole cans",
    "past its date": "{item} is past its date",
    "opened": "{item} was opened before: brake fluid is never used from an old opened tin",
    "which one": "which one is not known",
    "not known": "how much is not known",
}


def _exact(quantity: float, unit: str) -> str:
    return so_much(Fraction(quantity).limit_denominator(1000), unit)


def _drawn(each: Drawn) -> str:
    """Say what was drawn from stock, and by which rule."""
    takes = _exact(each.takes, each.unit)
    words = f"from {each.item}  {takes} of {each.text}: {each.basis}"
    if each.takes != each.quantity:
        whole = so_much(each.quantity, each.unit)
        words += (
            f"; {whole} taken off the record"
            if each.quantity
            else "; taken off the record with an earlier step"
        )
    return f"{words}; {so_much(each.left, each.unit)} left"


def _not_drawn(each: NotDrawn) -> str:
    much = "" if each.quantity is None else f"{_exact(each.quantity, each.unit)} of "
    why = _WHY[each.why].format(item=each.item, kept=promised(each.kept_for, each.unit))
    if each.kept_for and each.quantity is not None:
        typed = so_much(ceil(each.quantity), each.unit)
        how = to_type(f"stores stock use {each.item} '{typed}' --step {each.step} --anyway")
        why += f". If it went in all the same: {how}"
    return f"Not drawn from stock: {much}{each.text}, {why}"


def _notes(reply: Refitted) -> list[str]:
    stuck = {each.item: each.quantity for each in reply.stuck}
    notes = [
        f"STILL SHORT: {_piece(replace(each, quantity=each.quantity - stuck.get(each.item, 0)))}"
        for each in reply.short
        if each.quantity > stuck.get(each.item, 0)
    ]
    notes += [
        f"Still on the machine: {many(each.quantity, each.text)} ({each.item})"
        + (f", {each.how}" if each.how else "")
        + f". Off now: {to_type(f'stores piece came-off {each.item}')}; "
        + f"stays for good: {to_type(f'stores piece left-on {each.item}')}"
        for each in reply.stuck
    ]
    notes += [_not_drawn(each) for each in reply.not_drawn]
    if reply.mixed:
        notes.append(f"Mixed up with others, fitted all the same: {_pieces(reply.mixed)}")
    if reply.not_back_yet:
        listed = ", ".join(f"{each.step} {each.part}" for each in reply.not_back_yet[:4])
        notes.append(f"These should have gone on first: step {listed}")
    if reply.still_to_do_before:
        notes.append(
            f"Still to do on earlier steps: {'; '.join(map(said, reply.still_to_do_before))}"
        )
    for each in reply.snags:
        how = "Shut in, not cleared" if each.shut_in else "Still to clear"
        notes.append(f"{how}: snag {each.snag} on step {each.step}, {each.text}")
    if reply.left_over:
        old = "; ".join(
            beside(each.item, many(each.quantity, each.text)) for each in reply.left_over
        )
        first = min(each.step for each in reply.steps)
        notes.append(f"Old pieces left over: {old} ({to_type(f'stores piece scrap {first}')})")
    if reply.left_in_bag:
        held = "; ".join(
            f"{beside(each.item, many(each.quantity, each.text))}, {each.condition}"
            for each in reply.left_in_bag
        )
        notes.append(f"Still in bag {reply.bag}: {held}. Is that right?")
    return notes
