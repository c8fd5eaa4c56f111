"""What a line says that is neither a count nor a size: a price, a page, a drawer, a torque.

"1/2 Whit nut @ 35p", "M6 nuts (fig 4)", "washers, bin 12", "£1.20 each", "20 Nm". The words are
kept as typed. Common practice of price lists, parts books and stores.
"""

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.tokens import Mark

__all__ = ["read_remarks"]

_PLACES = frozenset(
    ("fig", "figure", "page", "pg", "bin", "drawer", "shelf", "tray", "sheet", "ref", "item", "pos",
     "step")
)  # fmt: skip
_POINTS = frozenset(".:")
_MEASURED = frozenset(
    ("nm", "kgm", "kgfm", "g", "gm", "gms", "kg", "psi", "bar", "volt", "volts", "watt", "watts",
     "amp", "amps", "cc", "ohm", "ohms", "rpm", "kpa")
)  # fmt: skip
_MONEY = frozenset("£$€")
_PENCE = frozenset(("p", "d", "each", "ea", "pence", "per"))
_AHEAD = _PLACES | _MONEY | _POINTS | {"@"}
_BEHIND = _MEASURED | {"p", "d", "ft", "lb", "lbf"}


def read_remarks(draft: Draft) -> None:
    """Note prices and places in a book or a store, so that no figure of them counts."""
    tokens, number = draft.tokens, Mark.NUMBER
    for at, token in enumerate(tokens):
        if token.mark is not number:
            continue
        ahead = at > 0 and tokens[at - 1].text.lower() in _AHEAD
        behind = at + 1 < len(tokens) and tokens[at + 1].text.lower() in _BEHIND
        if not (ahead or behind):
            continue
        for first in range(max(0, at - 2), at + 1):
            end = _price(draft, first) or _place(draft, first) or _measure(draft, first)
            if end > at and not draft.used[first]:
                _note(draft, first, end)
                break


def _note(draft: Draft, first: int, end: int) -> None:
    draft.remarks.append((first, end))
    draft.use(first, end)
    if first == 0 and draft.mark(end) is Mark.COMMA:
        draft.use(end)


def _price(draft: Draft, at: int) -> int:
    """Return the end of "@ 35p", "£1.20 each" and "35p each", or 0."""
    signed = draft.text_of(at) == "@"
    number = at + 1 if signed else at
    money = draft.text_of(number) in _MONEY
    number += money
    if draft.mark(number) is not Mark.NUMBER:
        return 0
    figure = draft.tokens[number].text
    money |= signed and ("." in figure or "," in figure)  # "25 @ 0.04"
    end = number + 1
    while draft.word(end) in _PENCE:
        end += 1
    pence = draft.word(number + 1) in ("p", "d")
    return end if money or (pence and (signed or end > number + 2)) else 0


def _place(draft: Draft, at: int) -> int:
    """Return the end of "fig. 4", "page 14", "bin 12" and "p. 14", or 0."""
    point = draft.text_of(at + 1) in _POINTS and not draft.tokens[at + 1].spaced
    if draft.word(at) not in _PLACES and not (draft.word(at) == "p" and point):
        return 0
    number = at + 2 if point else at + 1
    if draft.mark(number) is not Mark.NUMBER or draft.tokens[number].fraction:
        return 0
    if not draft.tokens[number].spaced and not point:
        return 0
    sized = draft.mark(number + 1) in (Mark.BY, Mark.INCH) or draft.says(number + 1, "unit")
    return 0 if sized else number + 1


def _measure(draft: Draft, at: int) -> int:
    """Return the end of "20 Nm", "15 lb ft" and "200 g", or 0; what stands first may be a count."""
    if at == 0 or draft.mark(at) is not Mark.NUMBER or draft.mark(at - 1) is Mark.BY:
        return 0
    unit = draft.word(at + 1)
    second = at + 3 if draft.text_of(at + 2) in (".", "-") else at + 2
    if (unit, draft.word(second)) in (("ft", "lb"), ("lb", "ft"), ("lbf", "ft"), ("ft", "lbf")):
        return second + 1
    return at + 2 if unit in _MEASURED else 0
