"""Left hand: a thread, as in "LH nut", or a side of the machine, as in "LH footrest bolt"."""

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.tokens import Mark

__all__ = ["LEFT_HAND", "read_hand"]

LEFT_HAND = "LH: a left-hand thread, or the left side; say LH thread or left side"
_WORDS = ("lh", "l h", "left hand", "left handed")
_THREADED = frozenset(
    (Kind.NUT, Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.PLUG)
)
_SIZES = (Mark.NUMBER, Mark.METRIC, Mark.BA, Mark.GAUGE, Mark.INCH)


def read_hand(draft: Draft) -> None:
    """Read "LH" as a thread beside a thread size or a nut; ask where it may be the side."""
    if draft.kind not in _THREADED:
        return
    for at, found in draft.matches.items():
        if draft.used[at] or draft.depth[at] or not _says_left(draft, at, found.last):
            continue
        after = found.last
        if draft.mark(after) is Mark.WORD and not draft.used[after]:
            continue  # "LH footrest bolt": the name of the place goes on
        if draft.kind is Kind.NUT or _sized(draft, at - 1):
            draft.marks.append("LH thread")
            draft.use(at, found.last)
        else:
            draft.ask(LEFT_HAND)


def _says_left(draft: Draft, first: int, last: int) -> bool:
    words = [draft.word(at) for at in range(first, last) if draft.word(at)]
    return " ".join(words) in _WORDS


def _sized(draft: Draft, at: int) -> bool:
    """Tell a token that belongs to a size already read: a figure, a unit, a series."""
    if at < 0 or not draft.used[at]:
        return False
    found = draft.inside[at]
    said = found is not None and any(found.phrase.get(n) for n in ("unit", "series", "role"))
    return draft.mark(at) in _SIZES or said
