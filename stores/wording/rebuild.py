"""The rebuild in words: its order and times."""

from stores.usecases.rebuild import AccessMarked, OrderSaid, Ring, TimeTaken, in_hours
from stores.wording import Said

__all__ = ["HINTS", "REFUSALS", "access_marked", "order_said", "ring", "time_taken"]

REFUSALS = {
    "nothing stripped": "nothing of {machine} was taken off yet: '{hint}' records that",
    "steps of two machines": "{first} is of {machine}, {then} of {other}",
    "an order of one step": "both are step {step}: an order is of two steps",
    "nothing was said of them": "nothing was said of steps {first} and {then}",
    "reached already": "step {other} came off before step {step}: it was reached already",
    "longer than a week": "{typed!r}: a week has 168 hours",
    "no time": "no time: {typed!r}; write it as 45 min, 2 h or 1 h 30 min",
    "time out of range": "{typed!r}: a time is a minute at least, 60 days at most",
}
HINTS = {"strip": "stores strip"}


def order_said(reply: OrderSaid) -> Said:
    """Return what was said of two steps, and what goes round in a ring since."""
    words = {
        "before": f"Step {reply.first} goes on before step {reply.then}",
        "free": f"Steps {reply.first} and {reply.then} do not wait for each other",
    }.get(reply.kind, f"Steps {reply.first} and {reply.then} as they came off")
    notes = [ring(each) for each in reply.rings]
    if reply.between:
        listed = ", ".join(map(str, reply.between[:4]))
        notes.append(f"Still in order, since between them there is step {listed}")
    return Said((f"{words}{_tag(reply)}",), notes)


def ring(each: Ring) -> str:
    """Return what goes round in a ring, and which link is easiest to let go."""
    members = " before ".join(str(number) for number in (*each.members, each.members[0]))
    pair = f"{each.first} {each.then}"
    how = f"stores before --forget {pair}" if each.by_hand else f"stores free {pair}"
    return (
        f"A ring: step {members}. Easiest to let go: {each.first} before {each.then} "
        f"({each.why}): {how}"
    )


def access_marked(reply: AccessMarked) -> Said:
    """Return whether a step came off for access only."""
    if not reply.access:
        words = f"Step {reply.step} did not come off for access only"
    else:
        words = f"Step {reply.step} came off for access only"
        words += f", to reach step {reply.access}" if reply.access != "next" else ""
    return Said((f"{words}{_tag(reply)}",))


def time_taken(reply: TimeTaken) -> Said:
    """Return how long a step takes, or how much time there is."""
    time = "nothing said" if reply.minutes is None else in_hours(reply.minutes)
    if reply.step is not None:
        words = f"Step {reply.step} takes {time}"
    elif reply.what.casefold() == "each":
        words = f"A step takes {time}"
    else:
        words = f"{time[:1].upper()}{time[1:]} a week in the workshop"
    return Said((f"{words}{_tag(reply)}",))


def _tag(reply: OrderSaid | AccessMarked | TimeTaken) -> str:
    return f"  [{reply.machine}]" if reply.other_machines else ""
