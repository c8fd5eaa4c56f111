"""Bearing designations and the type letters of oil seals, kept as marks."""

import re

from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.tokens import Mark, Token

__all__ = ["is_bearing_number", "is_closed_bearing", "read_bearing_marks", "read_seal_type"]

_SUFFIX = re.compile(
    r"(?:2RS[1RHL]?|2RSR|2RZ|2Z[R]?|ZZ|RS[1RH]?|RZ|Z|DDU|DD|LLU|LLB|LLH|VV|2NSE|NR|N|C[1-5]|CN|CM"
    r"|K|P[2-6]|TN9?|TVP?|M|J|E|ETN9|ECP|X|B|BEP|MA|MB|W33|Q|A|UU|OPUU|ZZC3|2RSC3)",
    re.IGNORECASE,
)
# A rolling bearing's designation: figures, or prefix letters and figures (ISO 15 series codes and
# the needle, inch and linear bearing prefixes of the trade).
_DESIGNATION = re.compile(
    r"(?:[A-Z]{1,4}\d{1,6}|\d{3,6})(?:/\d{2,3})?(?:2RS[A-Z0-9]*|2Z|ZZ|RS|Z|DDU|LLU|VV|UU|OPUU|[A-Z]{0,3})?(?:C[2-5])?",
    re.IGNORECASE,
)
# So plain that the noun "bearing" may be left out.
_PLAIN = re.compile(r"(?:6[0-4]\d{2}|16\d{3}|6[0-9]{2}|68\d{2}|69\d{2}|63\d{3}|62\d{3})")
_DEEP_GROOVE = re.compile(
    r"6[0234](?:0[0-9]|[1-9][0-9])|6[89]0[0-9]|160[0-9]{2}|60[4-9]|62[3-9]|63[4-9]|6[89][1-9]"
)
_NEEDLE = re.compile(r"(?:HK|BK|NKI?|RNA|NA|NUP?|NJ)[0-9]{3,5}|LM[0-9]{1,2}L?UU")
_CLOSED = re.compile(r"(?:2RS[1RHL]?|2RSR|2Z|ZZ|DDU|LLU|VV|2RSC3|ZZC3)", re.IGNORECASE)
# DIN 3760 letters and the trade's lip-seal types; single letters say too little.
_SEAL_TYPES = frozenset(
    [
        "TC", "TB", "TA", "SC", "SB", "SA", "VC", "VB", "KC", "KB", "TCV", "TCY", "TCN", "R21",
        "R23", "AS", "BS", "CS", "WAS",
    ]
)  # fmt: skip


def read_bearing_marks(draft: Draft) -> None:
    """Find "6204-2RS C3", "LM8UU", "608"; a closed ball bearing needs no noun."""
    if draft.kind is Kind.PART:
        _without_noun(draft)
        return
    if draft.kind is not Kind.BEARING:
        return
    for at, token in enumerate(draft.tokens):
        if draft.used[at] or draft.depth[at]:
            continue
        number = is_whole(token) and 3 <= len(token.text) <= 5 and not _in_size(draft, at)
        word = (
            token.mark is Mark.WORD
            and draft.inside[at] is None
            and any(c.isdigit() for c in token.text)
            and _DESIGNATION.fullmatch(token.text) is not None
        )
        if number or word:
            _take(draft, at)
            return


def _in_size(draft: Draft, at: int) -> bool:
    return (
        (draft.mark(at - 1) is Mark.BY and not draft.used[at - 1])
        or draft.mark(at + 1) is Mark.INCH
        or (draft.mark(at + 1) is Mark.BY and not draft.used[at + 1])
        or draft.says(at + 1, "unit") is not None
        or draft.says(at + 1, "role") is not None
    )


def _take(draft: Draft, at: int) -> None:
    end = at + 1
    while end < len(draft.tokens):
        here = end
        if draft.mark(here) in (Mark.DASH,) or (
            draft.mark(here) is Mark.SIGN and draft.tokens[here].text in "/."
        ):
            here += 1
        token = draft.tokens[here] if here < len(draft.tokens) else None
        if token is None or token.mark not in (Mark.WORD, Mark.CLASS):
            break
        spaced = token.spaced and token.text.islower() and not _CLOSED.fullmatch(token.text)
        if not _SUFFIX.fullmatch(token.text) or spaced:
            break
        end = here + 1
    draft.marks.append(
        " ".join(draft.text[draft.tokens[at].start : draft.tokens[end - 1].end].split()).upper()
    )
    draft.use(at, end)


def is_bearing_number(token: Token) -> bool:
    """Tell the number of a deep groove ball bearing (ISO 15 series), too large for a size."""
    return is_whole(token) and _DEEP_GROOVE.fullmatch(token.text) is not None


def is_closed_bearing(draft: Draft, at: int) -> bool:
    """Tell "6202 ZZ" or "6204-2RS" at a token: figures and closure that only bearings have."""
    token = draft.tokens[at]
    after = at + 2 if draft.mark(at + 1) in (Mark.DASH, Mark.SIGN) else at + 1
    return (
        is_whole(token)
        and _PLAIN.fullmatch(token.text) is not None
        and _CLOSED.fullmatch(draft.text_of(after)) is not None
    )


def _without_noun(draft: Draft) -> None:
    for at in range(len(draft.tokens)):
        needle = _NEEDLE.fullmatch(draft.text_of(at)) is not None
        counted = (
            draft.quantity is not None
            and draft.mark(at + 1) in (None, Mark.BY)
            and draft.mark(at - 1) in (None, Mark.BY)
            and len(draft.tokens) == 3
            and is_bearing_number(draft.tokens[at])
        )
        if draft.used[at] or not (needle or counted or is_closed_bearing(draft, at)):
            continue
        unknown = any(
            token.mark is Mark.WORD
            and draft.inside[n] is None
            and not _SUFFIX.fullmatch(token.text)
            and not (needle and n == at)
            for n, token in enumerate(draft.tokens)
        )
        if not unknown:
            draft.kind, draft.twofold = Kind.BEARING, False
            _take(draft, at)
        return


def read_seal_type(draft: Draft) -> None:
    """Read "25 x 40 x 7 TC": three sizes and a seal's type letters say oil seal."""
    figures = [t for t in draft.tokens if t.mark is Mark.NUMBER]
    signs = [t for t in draft.tokens if t.mark is Mark.BY]
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.WORD or token.text.upper() not in _SEAL_TYPES:
            continue
        if len(figures) >= 3 and len(signs) == 2:
            draft.kind, draft.twofold = Kind.SEAL, False
            draft.put("form", "oil")
            draft.marks.append(token.text.upper())
            draft.use(at)
        return
