"""How far a step is in words: what it waits for, what it owes, and what holds up several."""

from collections.abc import Callable, Iterable

from stores.model.ledger import Condition
from stores.planning.rebuild import Flag, FlagKind, HeldUp, Stage
from stores.planning.status import Blocker, BlockerKind, State
from stores.text import beside, counted, day_words, many

__all__ = ["awaited", "briefs", "flag", "held_up", "said", "standing"]


def said(blocker: Blocker) -> str:
    """Return one blocker: ``chase 12 pieces at Vale Plating, promised 3 Dec 2026``."""
    return f"{blocker.kind} {_WORDS[blocker.kind](blocker)}{_when(blocker)}"


def awaited(blocker: Blocker) -> str:
    """Return what somebody else has: ``12 M8 nut on order from Vale Plating, promised 3 Dec``."""
    return _chase(blocker) + _when(blocker)


def _when(blocker: Blocker) -> str:
    return f", promised {day_words(blocker.due)}" if blocker.due else ""


def _pieces(one: Blocker) -> str:
    return f"{many(one.quantity, one.text)} ({one.refs[0]})"


def _chase(one: Blocker) -> str:
    much = many(one.quantity, one.text)
    if one.ordered:
        return f"{much} on order from {one.whom}"
    return f"{much} of {one.refs[0]} at {one.whom}"


_WORDS: dict[BlockerKind, Callable[[Blocker], str]] = {
    BlockerKind.STEP: lambda one: f"step {one.step} {one.text} first",
    BlockerKind.CHASE: _chase,
    BlockerKind.BUY: lambda one: f"{many(one.quantity, one.text)} for {one.refs[0]}",
    BlockerKind.REPAIR: _pieces,
    BlockerKind.SORT: lambda one: f"{_pieces(one)}, mixed up {one.why}",
    BlockerKind.INSPECT: _pieces,
    BlockerKind.DECIDE: _pieces,
    BlockerKind.FREE: lambda one: (
        f"{_pieces(one)}, still on the machine" + (f": {one.why}" if one.why else "")
    ),
    BlockerKind.CLEAR: lambda one: f"snag {one.snag}: {one.text}",
    BlockerKind.TIGHTEN: lambda one: f"{', '.join(one.refs)}, only finger-tight",
    BlockerKind.MEASURE: lambda one: f"the {one.text} of step {one.step}",
    BlockerKind.CORRECT: lambda one: f"the {one.text} of step {one.step}, out of its limits",
    BlockerKind.SIGN: lambda one: f"by a second person: step {one.step} {one.text}",
}


def flag(one: Flag) -> str:
    """Return what to mind of a line or a step: ``SHORT 2``, ``MIXED UP with 2.3: sort first``."""
    words = _FLAGS[one.kind](one)
    return f"{one.item}: {words}" if one.item and not one.named else words


_FLAGS: dict[FlagKind, Callable[[Flag], str]] = {
    FlagKind.SHORT: lambda one: f"SHORT {one.count}",
    FlagKind.ON_ORDER: lambda one: f"{one.count} on order",
    FlagKind.RENEW: lambda one: f"RENEW: {one.text}",
    FlagKind.OLD_FOR_NEW: lambda one: (
        f"{beside(one.item, one.named)} is renewed ({one.text}), but {one.count} old "
        f"{'is' if one.count == 1 else 'are'} marked for use or fitted"
    ),
    FlagKind.WRONG: lambda one: (
        f"WRONG when found, {one.text}; should be {one.should}"
        if one.should
        else f"WRONG when found: {one.text}"
    ),
    FlagKind.OTHER_COUNT: lambda one: f"{one.count} of {one.of} were fitted",
    FlagKind.IN_DOUBT: lambda one: f"{one.text} to check",
    FlagKind.REPAIR: lambda one: f"{one.count} to repair",
    FlagKind.QUARANTINE: lambda one: f"{one.count} in quarantine",
    FlagKind.MIXED_UP: lambda one: f"MIXED UP {one.text}: sort first",
    FlagKind.UNINSPECTED: lambda _: "not inspected",
    FlagKind.OUT_OF_LIMITS: lambda one: f"{one.named}: {one.text} measured, limits {one.should}",
}


def briefs(owed: Iterable[Blocker]) -> list[str]:
    """Return what is owed as a step's own checklist says it: ``tighten 3.1``."""
    made: list[str] = []
    for one in owed:
        if one.kind is BlockerKind.TIGHTEN:
            made += [f"tighten {ref}" for ref in one.refs]
        elif one.kind is BlockerKind.MEASURE:
            made.append(f"measure {one.text}")
        elif one.kind is BlockerKind.CORRECT:
            made.append(f"{one.text} is out of its limits")
        elif one.kind is BlockerKind.SIGN:
            made.append("second person signs")
        elif one.kind is BlockerKind.CLEAR:
            made.append(f"clear snag {one.snag}")
    return made


_OF_PIECES = {
    BlockerKind.REPAIR: "to repair",
    BlockerKind.DECIDE: f"in {Condition.QUARANTINE}",
    BlockerKind.SORT: "mixed up",
    BlockerKind.INSPECT: "not inspected",
    BlockerKind.FREE: "still on the machine",
}


def held_up(by: HeldUp) -> str:
    """Return in a line what steps wait for or owe; empty where nothing holds them up."""
    made = [f"{counted(by.short)} short"] if by.short else []
    for each in by.chased:
        where = f"on order from {each.whom}" if each.ordered else f"at {each.whom}"
        made.append(f"{each.quantity} {where}")
    made += [f"{count} {_OF_PIECES[kind]}" for kind, count in by.pieces]
    if by.first:
        word = "step" if len(by.first) == 1 else "steps"
        made.append(f"{word} {', '.join(map(str, by.first))} first")
    made += [f"step {number}: {', '.join(briefs(owed))}" for number, owed in by.owed]
    made += [f"snag {number}" for number in by.snags]
    return "; ".join(made)


def standing(stage: Stage) -> str:
    """Return what a step waits for, or what is still to be done once all of it is on."""
    if stage.status.state is State.WAITS:
        return f"Waits for: {held_up(stage.held_up)}"
    owed = briefs(stage.status.owes)
    return f"All on; still to do: {', '.join(owed)}." if owed else ""
