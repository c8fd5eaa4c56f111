"""The class of fit of a thread: 6g, 6H/6g, 2A, "medium fit".

Classes: ISO 965-1 (grade and letter), ASME B1.1 (1A to 3B), BS 84 (close, medium and free fit).
"""

import re

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.figures import WASHERS
from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.nouns import has_thread
from stores.handbook.fastener.tokens import Mark

__all__ = ["ORDINARY", "read_form_letter", "read_tolerance"]

ORDINARY = frozenset(("6g", "6H", "2A", "2B", "medium fit"))
"""What is meant where nothing is said (ISO 965-1, ASME B1.1, BS 84)."""

_ISO = re.compile(r"[3-9][eghEGH](?:[3-9][gh])?")
_UNIFIED = re.compile(r"[123][ABab]")
_GLUED = re.compile(r"un(?:c|f|ef|s)([123][ab])", re.IGNORECASE)
_FITS = frozenset(("close", "medium", "free"))
_THREADED = frozenset(
    (Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.NUT, Kind.PLUG, Kind.PART)
)
# Where a close fit may be that of the plain shank in its hole.
_SHANKED = frozenset((Kind.BOLT, Kind.STUD, Kind.SETSCREW))
CLOSE = "close fit: the class of the thread, or a shank fitted to its hole; which"


def read_tolerance(draft: Draft) -> None:
    """Find the class of the thread; a second one, or one without a size, becomes a mark."""
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.WORD or draft.depth[at] or draft.used[at] or at == 0:
            continue
        if _ISO.fullmatch(token.text):
            end = _mating(draft, at)
            _set(draft, at, end, draft.raw(at, end).replace(" ", ""))
        elif _UNIFIED.fullmatch(token.text) and _after_unified(draft, at):
            _set(draft, at, at + 1, token.text.upper())
        elif glued := _GLUED.fullmatch(token.text):
            draft.thread_class = draft.thread_class or glued[1].upper()
        elif draft.word(at) in _FITS and draft.word(at + 1) == "fit" and _threaded(draft):
            if draft.word(at) == "close" and draft.kind in _SHANKED:
                draft.ask(CLOSE)
                draft.unread.append(draft.raw(at, at + 2))
                draft.use(at, at + 2)
            else:
                _set(draft, at, at + 2, f"{draft.word(at)} fit")


def _threaded(draft: Draft) -> bool:
    return draft.kind in _THREADED and has_thread(draft)


def read_form_letter(draft: Draft) -> None:
    """Read the form of a washer after its noun, "Zahnscheibe A 6,4" (DIN 6797, DIN 127)."""
    if draft.kind not in WASHERS or draft.noun is None:
        return
    at = draft.noun.last
    letter = draft.text_of(at)
    if re.fullmatch("[A-H]", letter) and draft.mark(at + 1) in (Mark.NUMBER, Mark.METRIC):
        draft.marks.append(f"form {letter}")
        draft.use(at)


def _mating(draft: Draft, at: int) -> int:
    """Give the end of a class, taking in the pair "6H/6g" of a nut and its bolt."""
    pair = draft.text_of(at + 1) == "/" and _ISO.fullmatch(draft.text_of(at + 2))
    return at + 3 if pair else at + 1


def _after_unified(draft: Draft, at: int) -> bool:
    """Tell the class after "UNC", "UNC-" or "1/4-20-" from any other 2A."""
    inside = draft.inside[at]
    if inside is not None and inside.phrase.get("series") is not None:
        return True
    before = at - 2 if draft.mark(at - 1) in (Mark.DASH, Mark.COMMA) else at - 1
    named = draft.inside[before] if before >= 0 else None
    if named is not None and str(named.phrase.get("series")).startswith("un"):
        return True
    return draft.mark(before) is Mark.NUMBER and draft.mark(before - 1) is Mark.DASH


def _set(draft: Draft, first: int, last: int, value: str) -> None:
    if draft.thread_class or not has_thread(draft):
        draft.marks.append(value)
    else:
        draft.thread_class = value
    draft.use(
        first - 1
        if draft.mark(first - 1) in (Mark.DASH, Mark.COMMA) and _tied(draft, first)
        else first,
        last,
    )


def _tied(draft: Draft, at: int) -> bool:
    return "-" in draft.tokens[at - 1].text
