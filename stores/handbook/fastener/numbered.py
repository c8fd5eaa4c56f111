"""Two figures that look like a fraction, or stand side by side: 10/32, 2/4, "10 32 UNF".

No one writes a size as a fraction that can be made smaller: 10/32 is a number size with its
threads per inch, and what no table has as such is asked about, never read.
Sizes and threads: ASME B1.1; the stroke in place of the hyphen is trade common practice.
"""

import re

from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import Kind, Series
from stores.handbook.fastener.threads import inch_families
from stores.handbook.fastener.tokens import Mark, Token, in_lowest_terms

__all__ = ["is_number_size", "join_number_sizes", "read_strokes"]

_PARTS = ("2", "4", "8", "16", "32", "64")
_LARGEST = 14  # the largest number size of the old American lists
# UNEF has #12-32 too, but who means that one names the series.
_UNSAID = frozenset((Series.UNC, Series.UNF))
_NAMES = {
    "unc": Series.UNC, "nc": Series.UNC, "unf": Series.UNF, "nf": Series.UNF,
    "unef": Series.UNEF, "nef": Series.UNEF,
}  # fmt: skip
_THREADED = frozenset(
    (
        Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.NUT, Kind.STANDOFF,
        Kind.INSERT, Kind.SPACER,
    )
)  # fmt: skip


def is_number_size(number: Token, tpi: Token, series: str | None = None) -> bool:
    """Tell whether two whole figures are a number size and its threads per inch.

    ``series`` is the one the text names, if any; without it only UNC and UNF count.
    """
    if not (is_whole(number) and is_whole(tpi)) or (number.value or 0) > _LARGEST:
        return False
    found = inch_families(f"#{number.value}", str(tpi.value))
    return series in found if series else not _UNSAID.isdisjoint(found)


def join_number_sizes(tokens: list[Token]) -> list[Token]:
    """Read "10 32 UNF", as it is said, like "#10-32 UNF"; the series leaves no other reading."""
    out: list[Token] = []
    for at, token in enumerate(tokens):
        if out and at + 1 < len(tokens) and tokens[at + 1].mark is Mark.WORD:
            series = _NAMES.get(tokens[at + 1].text.lower())
            before = out[-1]
            if series and token.spaced and is_number_size(before, token, series):
                before.mark = Mark.GAUGE
                out.append(Token(Mark.DASH, "-", before.end, before.end))
        out.append(token)
    return out


def read_strokes(draft: Draft) -> None:
    """Settle every "10/32": a number size on a threaded thing, else a question."""
    for token in draft.tokens:
        if token.doubt:
            draft.ask(_question(token.text))
        if token.whole is not None and re.fullmatch("[0-9]+/[0-9]+", token.text):
            part = (token.value or 0) - token.whole
            draft.ask(f"{token.text}: read as {token.whole} {part}")
    named = next((s for hit in draft.matches.values() if (s := hit.phrase.get("series"))), None)
    threaded = draft.kind in _THREADED or (
        draft.kind is Kind.PART and (named is not None or _figures_only(draft))
    )
    for at in range(1, len(draft.tokens) - 1):
        one, stroke, two = draft.tokens[at - 1 : at + 2]
        if not _is_stroke(one, stroke, two) or any(draft.used[at - 1 : at + 2]):
            continue
        alone = draft.text_of(at + 2) != "/" and not _joined(draft, at - 2)
        if threaded and alone and is_number_size(one, two, named):
            one.mark, stroke.mark = Mark.GAUGE, Mark.DASH
        elif two.text in _PARTS and not in_lowest_terms(f"{one.text}/{two.text}"):
            draft.ask(_question(f"{one.text}/{two.text}"))
            one.value = two.value = None


def _is_stroke(one: Token, stroke: Token, two: Token) -> bool:
    tight = not (stroke.spaced or two.spaced)
    return tight and stroke.text == "/" and is_whole(one) and is_whole(two)


def _joined(draft: Draft, at: int) -> bool:
    """Tell a sign that joins what follows to a size before it, "M6 x 6/32", from "4 x 6/32"."""
    sign = draft.mark(at) in (Mark.BY, Mark.DASH) or draft.text_of(at) == "/"
    return sign and not draft.used[at]


def _figures_only(draft: Draft) -> bool:
    """Tell a text of sizes alone, "10/32 x 1/2", from a part with figures in its name."""
    return all(
        draft.used[at]
        or token.mark in (Mark.NUMBER, Mark.BY, Mark.INCH)
        or token.text == "/"
        or draft.inside[at] is not None
        for at, token in enumerate(draft.tokens)
    ) and any(token.mark is Mark.BY for token in draft.tokens)


def _question(text: str) -> str:
    return f"{text}: no size is written so; which is it, or how many of which"
