"""Corrections in words: what a thing was called before, and what it is called now."""

from typing import TYPE_CHECKING

from stores.text import day_words, many, plural
from stores.wording import Said
from stores.wording.common import unclear
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.usecases.correct import Change, Corrected

__all__ = ["HINTS", "REFUSALS", "corrected"]

_KINDS = {
    "snag": "a snag",
    "work_done": "work done",
    "kept_spare": "that it is kept as a spare",
    "filing": "a picture",
    "evidence": "a picture",
    "fitting": "what goes in",
    "tightened": "what it was tightened to",
    "torque": "a torque",
    "batch_line": "a batch",
    "purchase_line": "an order",
    "listed_part": "a parts list",
    "refit_link": "an order of going back on",
    "renew_choice": "a choice of what is renewed",
    "stock_use": "that some of it was used",
    "reservation": "that it is kept for a machine",
}


def _hanging(what: str, kinds: tuple[str, ...]) -> str:
    names = dict.fromkeys(_KINDS.get(kind, kind.replace("_", " ")) for kind in kinds)
    return (
        f"{what} has on record: {', '.join(names)}. Take that back first, or put the other one "
        "right instead"
    )


def _fewer(item: str, over: int, to_hand: int) -> str:
    there = f"only {to_hand} to hand" if to_hand else "none is to hand"
    return (
        f"{item}: {plural(over, 'piece')} to take off the count, but {there}. Bring back "
        "first what "
        f"is away or fitted; if they were there and are gone: {quoted('stores piece lose')}"
    )


def _which(item: str, quantity: int, conditions: tuple[str, ...]) -> str:
    them = "which it is" if quantity == 1 else f"which {quantity} they are"
    return (
        f"{item}: its pieces were inspected as {' and '.join(conditions)}: say {them}, as "
        + quoted(f"--of {conditions[0]}")
    )


_SAY = {
    "machine": (
        "its name, maker, model, year or note: " + quoted('stores correct machine --name "NAME"')
    ),
    "step": (
        "its part, note, hazard, assembly, day or place in the order: "
        + quoted('stores correct step {named} --part "WHAT CAME OFF"')
    ),
    "line": (
        "what it was and how many: "
        + quoted('stores correct line {named} "5 M6x25 hex bolt"')
        + f", or where it sat with {to_type('--position')}, or its step with {to_type('--to-step')}"
    ),
}


def _nothing_said(kind: str, named: str) -> str:
    of = f"step {named}" if kind == "step" else named or "the machine"
    return f"say what to put right of {of}: {_SAY[kind].format(named=named)}"


REFUSALS = {
    "nothing said to put right": _nothing_said,
    "no job to undo": (
        "nothing is to be undone at step {step}, its pieces go back on. For a note there: "
        + quoted('stores correct step {step} --more "TEXT"')
    ),
    "nothing to put right": "that is what the record says already: nothing to put right",
    "assembly there already": (
        "there is an assembly {other} already. To join {assembly} to it: {hint}"
    ),
    "a step beside itself": "step {step} cannot come before or after itself: name another step",
    "before or after, not both": (
        f"say {to_type('--came-off-before')} or {to_type('--came-off-after')}, not both"
    ),
    "not so many to split off": (
        "{item} has {found}: say fewer than that, as '1 M8x20 hex @ hole 3'"
    ),
    "which of the judged pieces": _which,
    "two things for one line": (
        lambda item, things: (
            f"{item} is one line, and that is {len(things)} things ({'; '.join(things)}): "
            "give each its own line"
        )
    ),
    "only line of its step": (
        "{item} is the only line of step {step}. To make the two steps one: " + quoted("{hint}")
    ),
    "not so many left": "{item} no longer has {quantity} old pieces to split off",
    "lines of one step to join": (
        "{item} and {other} are not two lines of one step: move one to the step of the other first"
    ),
    "lines are other things": (
        "{item} is {text}, {other} is {second}: put right what one of them is first"
    ),
    "something hangs on it": _hanging,
    "stock and loose pieces": (
        "one of {item} and {other} is the workshop's, the other of unknown origin: "
        f"to make these the workshop's, {to_type('stores piece keep')}"
    ),
    "other packs": (
        "{item} and {other} are packs with a date, a size or a batch of their own: leave them apart"
    ),
    "stock was bought": (
        "{item} was bought: find the purchase with " + quoted("{hint}") + ", and take that back "
        f"with {to_type('stores undo')} and its number"
    ),
    "stock not to hand": (
        "some of {item} is used, thrown out or away: say what is left instead, with "
        f"{to_type('stores correct line')} or {to_type('stores stock left')}"
    ),
    "loose pieces are not split": (
        "{item} is of no joint: put its count right with "
        + quoted('stores correct line {item} "3 {text}"')
        + ", then record the others by themselves"
    ),
    "line of another step": "{item} is no line of step {step}",
    "some of its lines to split off": (
        "step {step} has {lines} lines: name some of them, not all and not none"
    ),
    "that step has no bag": "step {step} has no bag: leave the pieces where they are",
    "nothing left of the line": (
        "{item} would be empty: if it was never there, take the step back with " + quoted("{hint}")
    ),
    "fewer to hand than counted too many": _fewer,
}


def _joining(assembly: str, other: str) -> str:
    return to_type(f'stores correct assembly "{assembly}" "{other}" --join')


HINTS = {
    "undo": "stores undo",
    "join_assemblies": _joining,
    "join_steps": "stores correct join-steps {step} {other}",
}


def corrected(reply: "Corrected") -> Said:
    """Return what was put right, which pieces moved for it, and which labels say it otherwise."""
    moved = [
        f"  {abs(piece.quantity)} off {piece.text} "
        f"{'added' if piece.quantity > 0 else 'taken out'}, "
        f"{piece.place.kind.at(piece.place.name)}"
        for piece in reply.pieces
    ]
    notes = unclear((each.item, each.questions) for each in reply.asked)
    spare = reply.spare
    if spare is not None:
        notes.append(
            f"{many(spare.quantity, spare.text)}, bought for it, now loose spares: {spare.item}"
        )
    if reply.labels:
        notes.append(
            f"New label for {plural(len(reply.labels), 'bag')}: {', '.join(reply.labels)}  "
            f"({to_type('stores labels')})"
        )
    return Said(
        (f"Put right  [{reply.machine}]", *(_change(each) for each in reply.changes), *moved),
        notes,
    )


_FORMS = {
    "moved": "  {of}, {text}: is now {now}",
    "added": "  {of}: new line {now}, {text}",
    "joined": "  {of}, {text}: now one with {now}",
    "dropped": "  {of}, {text}: taken out, it was never there",
    "split off": "  {of}, {text}: split off {was}",
}


def _change(change: "Change") -> str:
    was, now = change.was, change.now
    if form := _FORMS.get(change.field):
        return form.format(of=change.of, text=change.text, was=was, now=now)
    if change.field == "date":
        was, now = day_words(was), day_words(now)
    if not was:
        return f"  {change.of}, {change.field}: {now}"
    return f"  {change.of}, {change.field}: {now or 'none'}  (was: {was})"
