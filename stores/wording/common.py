"""Words that all subjects share: days, what was pointed at, and what can go wrong anywhere."""

from datetime import datetime

__all__ = ["HINTS", "REFUSALS", "day"]

REFUSALS = {
    "key too long": "the key of a form has {most} characters at the most",
    "not a count": "a count is a whole number such as 4, not {typed!r}",
    "count out of range": "a count is from 1 to {most}, not {count}",
    "no such day": "not a day: {typed!r}; write it as 2026-03-14",
    "day to come": "{day} has not come yet",
    "recorded already": "recorded already: act {act}, {summary}; nothing was written twice",
    "no such step": "no step {step} stands: '{hint}' shows what was done",
    "no such picture": "no picture {number} of {machine}: '{hint}' shows them",
}
HINTS = {
    "pictures": "stores photo list",
    "history": "stores history",
    "help": "stores --help",
}


def day(moment: str) -> str:
    """Return a moment as a day: ``14 Mar 2026``. A moment is in UTC, a bare day stands as it is."""
    if not moment:
        return ""
    when = datetime.fromisoformat(moment)
    if len(moment) > 10:
        when = when.astimezone()
    return f"{when.day} {when:%b %Y}"
