"""What no rule took: words become the name of the thing, the rest is kept as unread."""

from unicodedata import category

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.tokens import Mark

__all__ = ["read_leftovers"]

# The field that a word beside the noun says again.
_SAID = {
    "cap": "head",
    "head": "head",
    "hd": "head",
    "headed": "head",
    "drive": "drive",
    "recess": "drive",
}
# Signs that part words or begin a line of a list; any other symbol is kept.
_PARTING = frozenset(".,;:/\\|'*=_&+-#@•·®™©…、。，；：・")
# Quotation marks, spaces, accents that stand apart, marks that do not show.
_UNSEEN = frozenset(("Pi", "Pf", "Zs", "Zl", "Zp", "Mn", "Mc", "Cf"))
_SIGNS = (Mark.SIGN, Mark.DASH, Mark.COMMA, Mark.INCH, Mark.OPEN, Mark.CLOSE)


def read_leftovers(draft: Draft) -> None:
    """Split the unused tokens into chunks; a chunk with a word in it is part of the name."""
    at, count = 0, len(draft.tokens)
    while at < count:
        if draft.used[at]:
            at += 1
            continue
        end = _chunk_end(draft, at)
        first, last = _trim(draft, at, end)
        if first < last:
            _keep(draft, first, last)
        at = end


def _chunk_end(draft: Draft, at: int) -> int:
    end = at + 1
    while end < len(draft.tokens) and not draft.used[end]:
        if draft.mark(end) is Mark.COMMA and not draft.depth[end]:
            break
        if (draft.mark(end) is Mark.OPEN) != (draft.mark(at) is Mark.OPEN) and draft.mark(
            end
        ) is Mark.OPEN:
            break
        if draft.mark(end - 1) is Mark.CLOSE:
            break
        end += 1
    return end


def _trim(draft: Draft, first: int, last: int) -> tuple[int, int]:
    """Take signs and filler words off both ends."""
    if all(_filler(draft, at) or _link(draft, at) for at in range(first, last)):
        return first, first
    while first < last and (_sign(draft, first) or draft.says(first, "skip") == "article"):
        first += 1
    while first < last and (_sign(draft, last - 1) or _link(draft, last - 1)):
        last -= 1
    return first, last


def _filler(draft: Draft, at: int) -> bool:
    """Tell a sign, an article, or a word that only says again what a field holds."""
    found = draft.inside[at]
    said = dict(found.phrase.fields_for(draft.base)).get("skip") if found is not None else None
    if said == "said already":
        field = _SAID.get(draft.word(at), "form")
        return draft.values.get(field) is not None or draft.kind is Kind.PART
    return _sign(draft, at) or said is not None


def _sign(draft: Draft, at: int) -> bool:
    """Tell a mark that only parts the words from a symbol that says something, such as "±"."""
    if draft.mark(at) is not Mark.SIGN:
        return draft.mark(at) in _SIGNS
    text = draft.tokens[at].text
    return text in _PARTING or category(text) in _UNSEEN


def _link(draft: Draft, at: int) -> bool:
    found = draft.inside[at]
    return found is not None and any(found.phrase.get(n) for n in ("prep", "with", "and"))


def _is_unit(draft: Draft, at: int) -> bool:
    found = draft.inside[at]
    return found is not None and found.phrase.get("unit") is not None


def _keep(draft: Draft, first: int, last: int) -> None:
    text = draft.raw(first, last).strip(" ,;:-")
    words = [
        n
        for n in range(first, last)
        if draft.mark(n) is Mark.WORD
        and not any(c.isdigit() for c in draft.tokens[n].text)
        and not _is_unit(draft, n)
    ]
    if not text:
        return
    if words and any(len(draft.tokens[n].text) > 1 for n in words):
        draft.notes.append((first, text))
    else:
        draft.unread.append(draft.written(first, last).strip(" ,;:-"))
