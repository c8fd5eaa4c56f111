"""How many: "4 off", "6x", "(4)", "set of 12", "200 Stück", "two"."""

import re

from stores.errors import NotationError
from stores.handbook.fastener.bearings import is_bearing_number, is_closed_bearing
from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import GAUGED
from stores.handbook.fastener.numbered import is_number_size
from stores.handbook.fastener.threads import inch_families
from stores.handbook.fastener.tokens import Mark

__all__ = ["MOST", "read_quantity"]

MOST = 1_000_000
_THREAD_MARKS = (Mark.METRIC, Mark.GAUGE, Mark.BA)
_DISTINCT = "two quantities in one text; which is the count"


def read_quantity(draft: Draft) -> None:
    """Find the count of pieces, note its tokens as understood.

    Raises `NotationError` for a count of 0, a negative one and one above a million.
    """
    _refuse_negative(draft)
    counts = [
        c
        for c in (
            _leading(draft),
            *_stated(draft),
            _bracketed(draft),
            _bearing_times(draft) or _times_at_end(draft),
        )
        if c
    ]
    values = {value for value, _, _ in counts}
    for value, first, last in counts:
        if not 0 < value <= MOST:
            token = draft.tokens[first]
            raise NotationError(
                f"a quantity is from 1 to {MOST}, not {value}", draft.text, token.start, token.end
            )
        draft.use(first, last)
    if len(values) == 1:
        draft.quantity = values.pop()
    elif values:
        draft.ask(_DISTINCT)


def _refuse_negative(draft: Draft) -> None:
    if draft.mark(0) not in (Mark.DASH,) or len(draft.tokens) < 3 or draft.tokens[1].spaced:
        return
    if is_whole(draft.tokens[1]) and draft.tokens[2].spaced:
        raise NotationError("a quantity cannot be negative", draft.text, 0, draft.tokens[1].end)


def _count_words(draft: Draft, at: int) -> int:
    """Give the end of the count words at a token ("off", "no.", "pcs of"), or the token itself."""
    end = at
    while draft.says(end, "count") in ("after",):
        end = draft.matches[end].last
        if draft.mark(end) is Mark.SIGN and draft.tokens[end].text == ".":
            end += 1
        if draft.word(end) == "of":
            end += 1
    return end


def _leading(draft: Draft) -> tuple[int, int, int] | None:
    """Read a count that stands first: "4 M6", "4x M6", "4 off", "2 spring washer"."""
    at = 0
    while draft.says(at, "skip") == "article":
        at = draft.matches[at].last
    if re.fullmatch(r"[xX][1-9][0-9]*", draft.text_of(at)) and draft.mark(at + 1) is not None:
        return int(draft.text_of(at)[1:]), at, at + 1
    if draft.mark(at) is not Mark.NUMBER:
        return None
    if draft.tokens[at].whole is not None:
        _mixed(draft, at)
        return None
    if _two_figures(draft, at):
        return None
    end = _end_of_count(draft, at) if is_whole(draft.tokens[at]) else at
    if end == at + 1 and draft.word(end) == "of":
        _of_how_many(draft, end + 1)
    return (int(draft.tokens[at].value or 0), at, end) if end > at else None


def _two_figures(draft: Draft, at: int) -> bool:
    """Leave open "10 32 screw": a number size with its threads per inch, or a count and a size."""
    if at + 1 >= len(draft.tokens) or any(t.mark in _THREAD_MARKS for t in draft.tokens):
        return False
    one, two = draft.tokens[at], draft.tokens[at + 1]
    if not two.spaced or not is_number_size(one, two) or not _things(draft, at) & _NUMBERED:
        return False
    after = at + 2
    if draft.mark(after) in (Mark.INCH, Mark.DASH, Mark.NUMBER) or draft.says(after, "unit"):
        return False
    if draft.text_of(after) == "/" or draft.says(after, "series") is not None:
        return False
    draft.ask(f"{one.text} {two.text}: #{one.text}-{two.text}, or {one.text} off {two.text}; which")
    draft.sizeless = True
    return True


_NUMBERED = frozenset(("bolt", "screw", "setscrew", "stud", "studding", "nut"))


def _end_of_count(draft: Draft, at: int) -> int:
    """Give the end of a count that begins at this whole number, or ``at`` when it is none."""
    if at + 1 >= len(draft.tokens):
        return at
    after = draft.tokens[at + 1]
    words = at + 2 if after.mark is Mark.DASH and not after.spaced else at + 1
    end = _count_words(draft, words)
    if end > words:
        return _past_x(draft, end)
    if after.mark is Mark.BY or draft.word(at + 1) == "x":
        return at + 2 if _is_times(draft, at + 1) else at
    counts = (
        after.spaced
        and not is_closed_bearing(draft, at)
        and (
            (after.mark in (*_THREAD_MARKS, Mark.CODE, Mark.CLASS) and not _is_profile(draft, at))
            or (after.mark is Mark.NUMBER and not _is_bare_code(draft, at))
            or (after.mark is Mark.WORD and not _is_attribute(draft, at + 1))
        )
    )
    return at + 1 if counts else at


def _past_x(draft: Draft, end: int) -> int:
    return end + 1 if draft.mark(end) is Mark.BY or draft.word(end) == "x" else end


def _is_times(draft: Draft, at: int) -> bool:
    """Tell "4x M6", "10x 4-40" and "2 x washer" (a count) from "4 x 20" (sizes)."""
    if at + 1 >= len(draft.tokens):
        return False
    sign, after = draft.tokens[at], draft.tokens[at + 1]
    if after.mark is not Mark.NUMBER:
        return after.mark in (*_THREAD_MARKS, Mark.CODE, Mark.WORD)
    following = at + 3 if draft.mark(at + 2) is Mark.INCH else at + 2
    if after.fraction and after.whole is None and sign.spaced == after.spaced:
        if draft.says(following, "series") in GAUGED:
            figures = f"{draft.text_of(at - 1)} x {after.text}"
            draft.ask(f"{figures}: read as gauge {draft.text_of(at - 1)}; for a count write off")
            return False  # "8 x 3/4 wood screw": how every box of them is marked
        return draft.says(following, "series") is not None or draft.mark(following) in (
            Mark.BY, Mark.DASH,
        )  # fmt: skip
    return (
        (not sign.spaced and after.spaced)
        or (is_whole(after) and (after.value or 0) >= 600)  # a bearing: nothing is so large
        or (draft.mark(at + 2) is Mark.DASH and is_whole(after) and _is_number(draft, at + 3))
        or (
            draft.text_of(at + 2) == "/"
            and _is_number(draft, at + 3)
            and is_number_size(after, draft.tokens[at + 3])
        )
    )


def _is_number(draft: Draft, at: int) -> bool:
    return draft.mark(at) is Mark.NUMBER


def _mixed(draft: Draft, at: int) -> None:
    """Tell "6 1/4 BSF" (six off) from "1 1/4 BSF", and leave open what may be either.

    It is a count only where no size is so large: a thread, a nut, a washer or a ball above 3 in,
    a length or a bore above 12 in.
    """
    token = draft.tokens[at]
    whole, _, part = token.text.partition(" ")
    if not part or not whole.isdigit() or token.value is None:
        return
    unit = draft.matches[at + 1].last if draft.says(at + 1, "unit") else at + 1
    after = at + 2 if draft.mark(at + 1) is Mark.INCH else unit
    named = _things(draft, after)
    thread = draft.mark(after) in (Mark.BY, Mark.DASH) or draft.says(after, "series") is not None
    if not (thread or named or draft.says(after, "head")):
        return
    if draft.says(after, "role") == "long" and _another_size(draft, after):
        return
    if draft.mark(at + 1) is Mark.DASH and at + 2 < len(draft.tokens):
        tpi = draft.tokens[at + 2].text
        if inch_families(f"{whole} {part}", tpi) and not inch_families(part, tpi):
            return
    if int(whole) == 0:
        raise NotationError(f"a quantity is from 1 to {MOST}, not 0", draft.text, 0, 1)
    small = thread or after == at + 1 or (named and named <= _SMALL)
    if int(whole) <= (3 if small else 12):
        draft.ask(f"{token.text}: a size, or {whole} off {part}; write {whole} off")
        draft.sizeless = True
        return
    draft.quantity = int(whole)
    token.value -= int(whole)
    token.whole = None
    token.start += len(whole) + 1
    token.text = part


def _of_how_many(draft: Draft, at: int) -> None:
    """Tell "1 of 4 1/4 BSF" (four belong there) from the size 4 1/4, as `_mixed` tells a count."""
    if draft.mark(at) is not Mark.NUMBER or draft.tokens[at].whole is None:
        return
    token = draft.tokens[at]
    whole, _, part = token.text.partition(" ")
    if not part or not whole.isdigit() or token.value is None:
        return
    draft.unread.append(f"of {whole}")
    draft.ask(f"of {whole} {part}: {part}, of which {whole} belong there; or the size {token.text}")
    if int(whole) <= 3:
        draft.sizeless = True
        draft.unread[-1] = f"of {token.text}"
        draft.use(at - 1, at + 1)
        return
    draft.use(at - 1)
    token.value -= int(whole)
    token.whole, token.text = None, part
    token.start += len(whole) + 1


_SMALL = frozenset(
    ("ball", "nut", "washer", "spring washer", "tab washer", "toothed washer", "sealing washer")
)


def _things(draft: Draft, first: int) -> set[str]:
    """The nouns from a token on."""
    found = [hit.phrase for at, hit in draft.matches.items() if at >= first]
    return {noun for hit in found if (noun := hit.get("noun") or hit.get("weak"))}


def _another_size(draft: Draft, first: int) -> bool:
    return any(token.value is not None for token in draft.tokens[first:])


def _is_profile(draft: Draft, at: int) -> bool:
    """Tell the slot profile of "2020 M3 T-nut" from a count."""
    text = draft.tokens[at].text
    return (
        len(text) == 4
        and text[1::2] == "00"
        and any(found.phrase.get("form") == "T" for found in draft.matches.values())
    )


def _is_bare_code(draft: Draft, at: int) -> bool:
    """Tell "912 5 18" (three figures side by side, no count) from "4 19mm clip"."""
    third = at + 2
    return (
        is_whole(draft.tokens[at + 1])
        and draft.mark(third) is Mark.NUMBER
        and draft.tokens[third].spaced
    )


def _is_attribute(draft: Draft, at: int) -> bool:
    """Tell "3 pin connector", "82 degree", "20 mm pin" from a count."""
    return any(draft.says(at, name) is not None for name in ("attr", "unit", "role", "series"))


def _stated(draft: Draft) -> list[tuple[int, int, int]]:
    """Find "set of 12", "Qty 4", "2/pk", "200 Stück", "6 NOS" anywhere."""
    found = []
    for at, hit in draft.matches.items():
        how = hit.phrase.get("count")
        if how == "before":
            number = hit.last
            while draft.mark(number) is Mark.SIGN or (
                draft.mark(number) is Mark.COMMA and draft.tokens[number].text.strip() == ":"
            ):
                number += 1
            if number < len(draft.tokens) and is_whole(draft.tokens[number]):
                found.append((int(draft.tokens[number].value or 0), number, number + 1))
                draft.use(at, number + 1)
        elif how in ("after", "pack") and at > 1:
            number = at - 1
            sign = draft.mark(number) is Mark.SIGN and draft.tokens[number].text == "/"
            if how == "pack" or sign:
                number -= sign
            if (how == "after" or sign) and number > 0 and is_whole(draft.tokens[number]):
                before = draft.mark(number - 1)
                apart = before is Mark.SIGN and draft.tokens[number].spaced
                if apart or before not in (Mark.BY, Mark.DASH, Mark.SIGN):
                    found.append((int(draft.tokens[number].value or 0), number, hit.last))
                    draft.use(number, hit.last)
    return found


def _bracketed(draft: Draft) -> tuple[int, int, int] | None:
    """Read "(4)", "(x4)" and "(4 off)" as a count."""
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.OPEN or token.text != "(":
            continue
        inner = at + 2 if draft.word(at + 1) == "x" or draft.mark(at + 1) is Mark.BY else at + 1
        if inner >= len(draft.tokens) or not is_whole(draft.tokens[inner]):
            continue
        end = _count_words(draft, inner + 1)
        if draft.word(end) == "x":
            end += 1
        if draft.mark(end) is Mark.CLOSE:
            draft.use(at, end + 1)
            return int(draft.tokens[inner].value or 0), inner, inner + 1
    return None


def _bearing_times(draft: Draft) -> tuple[int, int, int] | None:
    """Read "6204x2" and "6204 x 2 bearings": nothing is 6204 mm by 2."""
    things, worded = _things(draft, 0), any(t.mark is Mark.WORD for t in draft.tokens)
    if things - {"bearing"} or (worded and not things) or _by_signs(draft) != 1:
        return None
    sign = next(at for at, token in enumerate(draft.tokens) if token.mark is Mark.BY)
    if sign == 0 or sign + 1 >= len(draft.tokens) or not is_bearing_number(draft.tokens[sign - 1]):
        return None
    number, after = draft.tokens[sign + 1], sign + 2
    if not is_whole(number) or len(number.text) > 2 or draft.says(after, "unit"):
        return None
    if draft.mark(after) not in (None, Mark.WORD) or draft.says(after, "role"):
        return None
    return int(number.value or 0), sign, sign + 2


def _times_at_end(draft: Draft) -> tuple[int, int, int] | None:
    """Read "rondelle x4" and "bolt x 4": the last thing said, after a word."""
    last = len(draft.tokens) - 1
    while last > 1 and draft.mark(last) is Mark.SIGN:
        last -= 1
    if last < 2 or not is_whole(draft.tokens[last]):
        return None
    if draft.word(last - 1) == "times":
        return int(draft.tokens[last].value or 0), last - 1, last + 1
    sign = draft.mark(last - 1) is Mark.BY or draft.word(last - 1) == "x"
    before = draft.mark(last - 2)
    apart = draft.tokens[last - 1].spaced and not draft.tokens[last].spaced
    long = _by_signs(draft) > 1 and any(t.mark in _THREAD_MARKS for t in draft.tokens)
    phrase = draft.inside[last - 2]
    measured = before is Mark.INCH or (phrase is not None and phrase.phrase.get("unit"))
    named = phrase is not None and (phrase.phrase.get("series") or phrase.phrase.get("role"))
    counted = (
        (before is Mark.NUMBER and apart and long)  # "M6x20 x4"
        or (measured and long and _is_long(draft))  # "hex bolt M6 x 25mm x 4"
        or (before in (Mark.WORD, Mark.CLOSE, Mark.CLASS) and not measured and not named)
    )
    if not sign or not counted or _length_owed(draft, last):
        return None
    return int(draft.tokens[last].value or 0), last - 1, last + 1


_LONG = ("bolt", "screw", "stud", "studding", "setscrew", "dowel", "split pin", "rivet")


def _is_long(draft: Draft) -> bool:
    return any(found.phrase.get("noun") in _LONG for found in draft.matches.values())


def _by_signs(draft: Draft) -> int:
    return sum(token.mark is Mark.BY for token in draft.tokens)


def _length_owed(draft: Draft, at: int) -> bool:
    """Tell "M6 hex bolt x 25" (the length) from "M6 nut x 25" and "M6 bolt x4" (counts)."""
    if _by_signs(draft) > 1:
        return False
    if not _is_long(draft):
        return False
    sizes = [t for t in draft.tokens if t.mark in _THREAD_MARKS or t.fraction]
    number = draft.tokens[at]
    if not number.spaced and sizes and sizes[0].mark is Mark.METRIC:
        return (sizes[0].value or 0) <= (number.value or 0)
    return bool(sizes)
