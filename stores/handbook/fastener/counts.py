"""How many: "4 off", "6x", "(4)", "set of 12", "200 Stück", "two".

Bearing designations and the type letters of oil seals, kept as marks.

Numbers said in words, as a dictated note has them: "two m eight by one point two five".
"""

import re
from fractions import Fraction
from functools import cache
from math import gcd

from stores.errors import NotationError
from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import GAUGED, Kind, number_text
from stores.handbook.fastener.sizes import SHORT, is_number_size, plausible_pitch
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.fastener.words import standards, vocabulary
from stores.handbook.fastener.writing import inch_families

__all__ = [
    "LIKELY",
    "MOST",
    "is_bearing_number",
    "is_closed_bearing",
    "is_plural",
    "join_spoken",
    "read_bearing_marks",
    "read_late_count",
    "read_quantity",
    "read_seal_type",
]


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
        if here == at + 2 and draft.text_of(at + 1) == "/" and _tight_whole(draft, here):
            end = here + 1  # "LJ1/2"
            continue
        if token is None or token.mark not in (Mark.WORD, Mark.CLASS):
            break
        spaced = token.spaced and token.text.islower() and not _CLOSED.fullmatch(token.text)
        if not _SUFFIX.fullmatch(token.text) or spaced:
            break
        end = here + 1
    typed = draft.text[draft.tokens[at].start : draft.tokens[end - 1].end]
    spoken = end == at + 1 and not any(char.isdigit() for char in typed)
    typed = draft.tokens[at].text if spoken else typed
    draft.marks.append(" ".join(typed.split()).upper())
    draft.use(at, end)


def _tight_whole(draft: Draft, at: int) -> bool:
    if at >= len(draft.tokens) or not is_whole(draft.tokens[at]):
        return False
    return not (draft.tokens[at].spaced or draft.tokens[at - 1].spaced)


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
            draft.kind, draft.twofold = Kind.BEARING, ""
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
            draft.kind, draft.twofold = Kind.SEAL, ""
            draft.put("form", "oil")
            draft.marks.append(token.text.upper())
            draft.use(at)
        return


MOST = 1_000_000

_THREAD_MARKS = (Mark.METRIC, Mark.GAUGE, Mark.BA)

_DISTINCT = "two quantities in one text: which is the count?"


def read_quantity(draft: Draft) -> None:
    """Find the count of pieces, note its tokens as understood.

    Raises `NotationError` for a count of 0, a negative one and one above a million.
    """
    _refuse_negative(draft)
    if _so_many_of_each(draft):
        return
    counts = [
        c
        for c in (
            _leading(draft),
            *_stated(draft),
            _bracketed(draft),
            _bearing_times(draft) or _times_at_end(draft) or _times_ahead(draft),
        )
        if c
    ]
    for _, first, last in counts:
        before = first - 1  # "M6 nuts, about 10 off"
        if first and draft.word(before) in _ABOUT:
            if not draft.used[before]:
                draft.hold(before, last, f"{draft.raw(before, last)}: how many exactly?")
            return
    values = {value for value, _, _ in counts}
    for value, first, last in counts:
        if not 0 < value <= MOST:
            token = draft.tokens[first]
            raise NotationError(
                f"a quantity is from 1 to {MOST:,}, not {value:,}",
                draft.text,
                token.start,
                token.end,
            )
        draft.use(first, last)
    if len(values) == 1:
        draft.quantity = values.pop()
    elif values:
        draft.ask_count(_DISTINCT)


def _so_many_of_each(draft: Draft) -> bool:
    """Hold "bolts: 2 x 40mm, 2 x 60mm": so many of each length, two things in one line."""
    ends: list[tuple[int, int]] = []
    if "unit" not in draft.fields and '"' not in draft.text:
        return False
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.BY or not is_whole(draft.tokens[at - 1]):
            continue
        count, size = draft.tokens[at - 1], at + 1
        united = draft.mark(size) is Mark.NUMBER and (
            draft.says(size + 1, "unit") is not None or draft.mark(size + 1) is Mark.INCH
        )
        alone = draft.mark(at - 2) in (None, Mark.COMMA, Mark.WORD, Mark.OPEN)
        if united and alone and int(count.text) <= _FEW:
            ends.append((at - 1, size + 2))
    if len(ends) != _PAIR or draft.mark(ends[0][1]) not in (Mark.COMMA, Mark.WORD, Mark.SIGN):
        return False
    if ends[1][0] != ends[0][1] + 1:
        return False
    draft.hold(ends[0][0], ends[1][1], f"{draft.raw(ends[0][0], ends[1][1])}: so many of each?")
    return True


_PAIR = 2


def _refuse_negative(draft: Draft) -> None:
    if draft.mark(0) not in (Mark.DASH,) or len(draft.tokens) < 3 or draft.tokens[1].spaced:
        return
    if is_whole(draft.tokens[1]) and draft.tokens[2].spaced:
        raise NotationError("a quantity cannot be negative", draft.text, 0, draft.tokens[1].end)


def _count_words(draft: Draft, at: int) -> int:
    """Return the end of the count words at a token ("off", "pcs of"), or the token itself."""
    end = at
    while draft.says(end, "count") in ("after", "either") and not _attributive(draft, end):
        end = draft.matches[end].last
        if draft.mark(end) is Mark.SIGN and draft.tokens[end].text == ".":
            end += 1
        if draft.word(end) == "of":
            end += 1
    return end


def _after_bullet(draft: Draft) -> int:
    """Pass the dash, dot or number that begins a line of a list: "- 4 M6 bolt", "2) M6 nut"."""
    first = draft.tokens[0]
    spaced = len(draft.tokens) > 1 and draft.tokens[1].spaced
    if first.mark in (Mark.DASH, Mark.COMMA, Mark.SIGN) and first.text in _BULLETS and spaced:
        draft.use(0)
        return 1
    if first.mark is Mark.WORD and draft.text_of(1) in _POINTS and draft.word(0) in _NUMBER_WORD:
        counted = draft.mark(2) is Mark.NUMBER and is_whole(draft.tokens[2])
        if counted and draft.mark(3) is Mark.WORD and _things(draft, 3):
            draft.use(0, 2)
            return 2
    named = first.mark is Mark.WORD or first.mark is Mark.GAUGE
    if end := (named and _item_number(draft)) or ("-" in draft.text and _part_number(draft)):
        draft.unread.append(draft.written(0, end))
        draft.use(0, end)
        return end
    if headed := _after_heading(draft):
        return headed
    lettered = first.mark is Mark.WORD and len(first.text) == 1
    if (lettered or is_whole(first)) and draft.mark(1) is Mark.CLOSE and len(draft.tokens) > 2:
        draft.use(0, 2)
        return 2
    return 0


_BULLETS = frozenset("-*•·")
_NUMBER_WORD, _POINTS = frozenset(("n", "no", "nr")), frozenset(".°º")


_ITEM = frozenset(("item", "ref", "pos", "fig", "line", "teil", "rep"))


def _item_number(draft: Draft) -> int:
    """Return the end of a list's own number before the thing: "ITEM 12 NUT", "#14 BOLT M8"."""
    if draft.word(0) in _ITEM:
        at = 2 if draft.text_of(1) == "." else 1
        numbered = draft.mark(at) is Mark.NUMBER and is_whole(draft.tokens[at])
        return at + 1 if numbered and _things(draft, at + 1) else 0
    if draft.mark(0) is not Mark.GAUGE or not draft.text_of(0).startswith("#"):
        return 0
    another = any(
        token.mark in (Mark.METRIC, Mark.BA) or (token.fraction and draft.mark(at - 1) is Mark.DASH)
        for at, token in enumerate(draft.tokens)
    ) or any(
        one.fraction and draft.mark(at + 1) is Mark.DASH for at, one in enumerate(draft.tokens)
    )
    return 1 if another and draft.mark(1) is Mark.WORD and _things(draft, 1) else 0


def _part_number(draft: Draft) -> int:
    """Return the end of the number that begins a line of a parts list: "0-4471 Bolt", "A-318"."""
    tokens = draft.tokens
    at = 3 if draft.word(0) == "p" and draft.text_of(1) == "/" and draft.word(2) == "n" else 0
    if len(tokens) < at + 4 or draft.mark(at + 1) is not Mark.DASH:
        return 0
    one, dash, two = tokens[at : at + 3]
    tight = not (dash.spaced or two.spaced) and tokens[at + 3].spaced
    lettered = one.mark is Mark.WORD and one.text.isupper() and len(one.text) <= _LETTERS
    figures = is_whole(two) and len(two.text) >= _FIGURES
    things = _things(draft, at + 3)
    if not (tight and figures and things) or (lettered and things == {"bearing"}):
        return 0
    return at + 3 if lettered or is_whole(one) else 0


_LETTERS, _FIGURES = 3, 3  # of a part's number, before and after its dash


def _after_heading(draft: Draft) -> int:
    """Pass the words before a colon that a count follows: "To supply: 6 bolts"."""
    if ":" not in draft.text:
        return 0
    for at, token in enumerate(draft.tokens):
        if token.mark is Mark.COMMA and token.text.strip() == ":":
            after = draft.mark(at + 2) in (Mark.WORD, *_THREAD_MARKS)
            number = draft.mark(at + 1) is Mark.NUMBER and after
            return at + 1 if number and at and _things(draft, at + 1) else 0
        if token.mark is not Mark.WORD or draft.says(at, "noun") or draft.says(at, "count"):
            return 0
    return 0


def _attributive(draft: Draft, at: int) -> bool:
    """Tell "two piece belt" and "2 each side" from "one piece" and "2 pieces of belt"."""
    if _of_each(draft, at):
        return True
    after = draft.mark(at + 1) is Mark.WORD and draft.word(at + 1) != "of"
    return draft.word(at) == "piece" and after and draft.text_of(at - 1) != "1"


def _of_each(draft: Draft, at: int) -> bool:
    """Tell "2 each side" from "2 each" and "4 each hex bolts"."""
    if draft.word(at) not in ("each", "ea") or draft.mark(at + 1) is not Mark.WORD:
        return False
    found = draft.inside[at + 1]
    return found is None or found.phrase.get("part") is not None


def _leading(draft: Draft) -> tuple[int, int, int] | None:
    """Read a count that stands first: "4 M6", "4x M6", "4 off", "2 spring washer"."""
    headed = bool(draft.remarks) and draft.used[0] and not all(draft.used)
    at = draft.used.index(False) if headed else _after_bullet(draft)
    while draft.says(at, "skip") == "article":
        at = draft.matches[at].last
    if draft.mark(at) is Mark.GAUGE and draft.mark(at + 1) in (Mark.METRIC, Mark.BA):
        draft.hold(at, at + 1, f"{draft.text_of(at)}: the number in a list, or how many?")
        return None
    if re.fullmatch(r"[xX][1-9][0-9]*", draft.text_of(at)) and draft.mark(at + 1) is not None:
        return int(draft.text_of(at)[1:]), at, at + 1
    if _vague(draft, at) or draft.mark(at) is not Mark.NUMBER or _weighed(draft, at):
        return None
    if draft.tokens[at].whole is not None:
        _mixed(draft, at)
        return None
    if draft.word(at + 1) in _PACKS:
        return _packed(draft, at)
    return None if _two_figures(draft, at) or _so_many_or_so_large(draft, at) else _plain(draft, at)


def _plain(draft: Draft, at: int) -> tuple[int, int, int] | None:
    """Read the count of "4 M6", "4x M6", "4 off" at a whole number."""
    end = _end_of_count(draft, at) if is_whole(draft.tokens[at]) else at
    if end == at + 1 and draft.word(end) == "of":
        _of_how_many(draft, end + 1)
    return (int(draft.tokens[at].value or 0), at, end) if end > at else None


_WEIGHTS = frozenset(("lb", "lbs", "oz", "cwt", "kg"))


def _weighed(draft: Draft, at: int) -> bool:
    """Hold "1/4 lb split pins": by weight, so many that no one counted."""
    if draft.word(at + 1) not in _WEIGHTS or not _things(draft, at + 2):
        return False
    draft.hold(at, at + 2, f"{draft.raw(at, at + 2)}: how many?")
    return True


_PACKS = frozenset(
    ("box", "boxes", "bx", "bxs", "bag", "bags", "pack", "packs", "packet", "packets", "lots", "pk",
     "pkt", "pkts", "boîte", "boîtes", "boite", "boites", "sachet", "sachets", "paquet", "paquets",
     "packung", "packungen", "beutel", "caja", "cajas", "bolsa", "bolsas", "scatola", "scatole",
     "doos", "zak", "zakken")
)  # fmt: skip


_HOLDING = frozenset(("of", "with", "de", "di", "van", "mit", "von", "à"))


def _packed(draft: Draft, at: int) -> tuple[int, int, int] | None:
    """Read "2 boxes of 100 M6 washers", two hundred; hold "2 boxes M6 washers", of how many."""
    number = at + 3 if draft.word(at + 2) in _HOLDING else at + 2
    if draft.mark(number) is Mark.OPEN:
        number += 1
    if not is_whole(draft.tokens[at]) or not _named(draft, at + 2):
        return None
    inside = draft.tokens[number] if draft.mark(number) is Mark.NUMBER else None
    many = 0
    if inside is not None and inside.whole is not None and " " in inside.text:
        many = inside.whole if inside.whole > _LARGE else 0  # "50 3/32": fifty of 3/32
        if many:
            _drop_whole(inside)
    elif inside is not None and is_whole(inside) and not draft.says(number + 1, "unit"):
        many = int(inside.text) if draft.mark(number + 1) in _AFTER_COUNT else 0
    said = number > at + 2 or draft.text_of(at) == "1"
    if not many or not said:
        draft.hold(at, at + 2, f"{draft.raw(at, at + 2)}: of how many?")
        return None
    split = inside is not None and not inside.text.isdigit()
    end = number if split else number + 1
    end += draft.mark(end) is Mark.CLOSE
    return int(draft.tokens[at].text) * many, at, end


_LARGE = 3  # inches: no thread, nut, washer or pin of these machines is so large
_AFTER_COUNT = (Mark.WORD, Mark.CLOSE, Mark.NUMBER, *_THREAD_MARKS)


def _drop_whole(token: Token) -> None:
    """Leave of "6 1/4" the fraction, where the whole is a count."""
    whole, _, part = token.text.partition(" ")
    token.value = (token.value or Fraction(0)) - int(whole)
    token.start += len(whole) + 1
    token.whole, token.text = None, part


def _so_many_or_so_large(draft: Draft, at: int) -> bool:
    """Hold the figure of "4 BSF nuts 3/8" and "2 BSF nuts": a count, or inches."""
    if not is_whole(draft.tokens[at]) or draft.text_of(at) == "1":
        return False
    named = draft.says(at + 1, "series")
    if (
        named is None
        or named in GAUGED
        or not any(_in_plural(draft, n) for n in draft.matches if n > at)
    ):
        return False
    draft.hold(at, at + 1, f"{draft.text_of(at)}: so many, or {draft.text_of(at)} inch?")
    return True


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
    draft.ask_count(f"{one.text} {two.text}: #{one.text}-{two.text}, or {one.text} off {two.text}?")
    draft.sizeless = True
    return True


_NUMBERED = frozenset(("bolt", "screw", "setscrew", "stud", "studding", "nut"))


def _end_of_count(draft: Draft, at: int) -> int:
    """Return the end of a count that begins at this whole number, or ``at`` when it is none."""
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
            or _described(draft, at)
        )
    )
    return at + 1 if counts and not _no_count(draft, at) else at


LIKELY = 200
"""The most pieces that a bare figure counts; a larger one is as likely a part number."""

_STEEL_NUMBER = re.compile(r"[234][0-4][0-9]")

_STANDARDS = ("DIN", "ISO", "BS")

_DESIGNATED = re.compile(r"[1-7]\d{3}|(?:1[16]|2[12349]|3[012]|5[1234]|8[19])\d{3}|6\d{2}")


def _no_count(draft: Draft, at: int) -> bool:
    """Tell a bearing's designation, a steel's, a standard's and a part's number from a count.

    What is not certain is held as typed, with a question. Designations: ISO 15, ISO 355, ISO 104.
    """
    token = draft.tokens[at]
    text = token.text
    if draft.word(at + 1) == "piece" and text != "1":
        return True
    if _DESIGNATED.fullmatch(text) and _bears(draft, at + 1):
        return True
    if _STEEL_NUMBER.fullmatch(text) and _is_steel(draft, at + 1):
        return True
    standard = text in _bare_standards() and (
        draft.mark(at + 1) is Mark.METRIC or int(text) > LIKELY
    )
    if standard and (int(text) > LIKELY or _things(draft, at) & _bare_standards()[text]):
        draft.hold(at, at + 1, f"{text}: the number of a standard, or {text} off?")
        return True
    said = not draft.text[token.start : token.end].isdigit()  # "two hundred and ten"
    if int(text) > LIKELY and not said:
        draft.hold(at, at + 1, f"{text}: a part number, or how many? For a count write {text} off")
        return True
    return False


def _bears(draft: Draft, first: int) -> bool:
    """Return whether the thing named from a token on is a bearing, with no number of its own."""
    return "bearing" in _things(draft, first) and not any(
        token.mark is Mark.NUMBER and _DESIGNATED.fullmatch(token.text)
        for token in draft.tokens[first:]
    )


def _is_steel(draft: Draft, at: int) -> bool:
    found = draft.matches.get(at)
    return found is not None and found.phrase.get("material") in ("stainless", "steel")


@cache
def _bare_standards() -> dict[str, set[str]]:
    """Return the numbers of standards that are written alone, "934 M8", to what they are of."""
    found: dict[str, set[str]] = {}
    for name, known in standards().items():
        house, _, number = name.partition(" ")
        if house in _STANDARDS and number.isdigit() and len(number) > 2:
            found.setdefault(number, set()).add(known.kind)
    return found


_ABOUT = frozenset(
    ("about", "approx", "approximately", "circa", "ca", "c", "roughly", "around", "nearly",
     "some", "maybe", "perhaps", "almost", "over", "under", "ungefähr", "environ")
)  # fmt: skip
_MANY = (
    ("lots", "of"), ("lot", "of"), ("loads", "of"), ("plenty", "of"), ("handful", "of"),
    ("few",), ("several",), ("many",), ("various",), ("some",), ("bunch", "of"), ("tin", "of"),
    ("jar", "of"), ("load", "of"), ("pile", "of"), ("number", "of"),
)  # fmt: skip
_OPENINGS = frozenset(_ABOUT | {words[0] for words in _MANY})


def _vague(draft: Draft, at: int) -> bool:
    """Hold a count that is no number: "about 10", "3 or 4", "lots of", "5-6"."""
    if draft.mark(at) is Mark.NUMBER:
        return _between(draft, at) or _or_so(draft, at)
    tilde = draft.text_of(at) in ("~", "≈", "±")
    if not tilde and draft.word(at) not in _OPENINGS:
        return False
    for words in _MANY:
        end = at + len(words)
        if all(draft.word(at + n) == word for n, word in enumerate(words)) and (
            words[0] != "some" or draft.mark(end) is not Mark.NUMBER
        ):
            if not _things(draft, end) or (draft.word(end - 1) == "number" and not at):
                return False
            draft.hold(at, end, f"{draft.raw(at, end)}: how many?")
            return True
    number = at + 1
    if draft.text_of(number) == "." and draft.mark(number) is Mark.SIGN:
        number += 1
    if not (tilde or draft.word(at) in _ABOUT) or not _counted(draft, number):
        return False
    end = _count_words(draft, number + 1)
    draft.hold(at, end, f"{draft.raw(at, end)}: how many exactly?")
    return True


def _counted(draft: Draft, at: int) -> bool:
    """Return whether a whole number stands before a thing or a size, as a count does."""
    if at + 1 >= len(draft.tokens) or not is_whole(draft.tokens[at]):
        return False
    after = draft.mark(at + 1)
    return after in (*_THREAD_MARKS, Mark.NUMBER) or (
        after is Mark.WORD and (not _is_attribute(draft, at + 1) or bool(_things(draft, at + 1)))
    )


_NEAR = 2


def _between(draft: Draft, at: int) -> bool:
    """Hold "3 or 4 M6 nuts" and "5-6 washers": two numbers that follow each other, then a thing."""
    if at + 3 >= len(draft.tokens) or not is_whole(draft.tokens[at]):
        return False
    if not is_whole(draft.tokens[at + 2]):
        mixed = draft.tokens[at + 2].whole is not None and draft.word(at + 1) in ("or", "to")
        if mixed:  # "5 or 6 1/4 BSF nuts"
            draft.hold(at, at + 3, f"{draft.raw(at, at + 3)}: how many, of which size?")
        return mixed
    low, high = int(draft.tokens[at].text), int(draft.tokens[at + 2].text)
    said = draft.word(at + 1) in ("or", "to", "oder", "ou", "o")
    dash = draft.mark(at + 1) is Mark.DASH and 0 < high - low <= _NEAR
    end = _count_words(draft, at + 3)
    if not (said or dash) or low >= high or not _counted(draft, at + 2):
        return False
    if dash and (draft.mark(at + 3) is not Mark.WORD or not _things(draft, at + 3)):
        return False
    draft.hold(at, end, f"{draft.raw(at, end)}: how many exactly?")
    return True


def _or_so(draft: Draft, at: int) -> bool:
    """Hold the count of "10 or so M6 nuts"."""
    if not is_whole(draft.tokens[at]) or draft.says(at + 1, "open") is None:
        return False
    end = draft.matches[at + 1].last
    if draft.mark(end) not in _THREAD_MARKS and not _things(draft, end):
        return False
    draft.hold(at, end, f"{draft.raw(at, end)}: how many exactly?")
    return True


def _described(draft: Draft, at: int) -> bool:
    """Tell "1 thick shim", one of them, from "25 long"; of more than one it is asked about."""
    role = draft.says(at + 1, "role")
    if role not in ("long", "thick", "wide", "high"):
        return False
    if draft.mark(at + 2) not in (Mark.WORD, *_THREAD_MARKS):
        return False
    text = draft.tokens[at].text
    if text != "1" and _things(draft, at + 2):
        draft.hold(at, at + 1, f"{text} {draft.word(at + 1)}: so many, or so {role}?")
        return False
    return text == "1"


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
            draft.ask(
                f"{figures}: read as gauge {draft.text_of(at - 1)}; for a count write it as 4 off"
            )
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
        if any(hit.last and _in_plural(draft, n) for n, hit in draft.matches.items() if n > after):
            draft.hold(
                at, draft.matches[after].last, f"{token.text} long, or {whole} off {part} long?"
            )
        return
    if draft.mark(at + 1) is Mark.DASH and at + 2 < len(draft.tokens):
        tpi = draft.tokens[at + 2].text
        if inch_families(f"{whole} {part}", tpi) and not inch_families(part, tpi):
            return
        apart = part.removeprefix("- ")
        tabled = inch_families(apart, tpi) and not inch_families(f"{whole} {apart}", tpi)
        if tabled and apart != part and int(whole):  # "2 - 3/4-10 jam nut"
            draft.quantity = int(whole)
            token.value, token.whole = token.value - int(whole), None
            token.start, token.text = token.end - len(apart), apart
            return
    if int(whole) == 0:
        raise NotationError(f"a quantity is from 1 to {MOST:,}, not 0", draft.text, 0, 1)
    small = thread or after == at + 1 or (named and named <= _SMALL)
    if int(whole) <= (3 if small else 12):
        draft.ask_count(
            f"{token.text}: a size, or {whole} off {part}? For a count write {whole} off"
        )
        draft.sizeless = True
        return
    if int(whole) > LIKELY:
        draft.unread.append(whole)
        draft.ask_count(f"{whole}: a part number, or how many? For a count write {whole} off")
    else:
        draft.quantity = int(whole)
    _drop_whole(token)


def _in_plural(draft: Draft, at: int) -> bool:
    hit = draft.matches[at]
    last = draft.word(hit.last - 1)
    return hit.phrase.get("noun") is not None and last.endswith("s") and not last.endswith("ss")


def _of_how_many(draft: Draft, at: int) -> None:
    """Tell "1 of 4 1/4 BSF" (four belong there) from the size 4 1/4, as `_mixed` tells a count."""
    if draft.mark(at) is not Mark.NUMBER or draft.tokens[at].whole is None:
        return
    token = draft.tokens[at]
    whole, _, part = token.text.partition(" ")
    if not part or not whole.isdigit() or token.value is None:
        return
    draft.unread.append(f"of {whole}")
    draft.ask_count(
        f"of {whole} {part}: {part}, of which {whole} belong there, or the size {token.text}?"
    )
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


def _named(draft: Draft, first: int) -> bool:
    """Tell whether a thing is named from a token on: "M6 nuts", and "M6 nyloc", which says nut."""
    implied = any(at >= first and hit.phrase.get("implies") for at, hit in draft.matches.items())
    return implied or bool(_things(draft, first))


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
    if draft.mark(at + 1) is Mark.COMMA and draft.says(at, "weak") and not draft.says(at, "unit"):
        return False  # "4 PIN, COTTER, 1/8 X 1"
    return any(draft.says(at, name) is not None for name in ("attr", "unit", "role", "series"))


def _stated(draft: Draft) -> list[tuple[int, int, int]]:
    """Find "set of 12", "Qty 4", "2/pk", "200 Stück", "6 NOS" anywhere."""
    found = []
    if ended := _of_them(draft):
        found.append(ended)
    if draft.remarks and (priced := _priced(draft)):
        found.append(priced)
    if "count" not in draft.fields:
        return found
    for at, hit in draft.matches.items():
        how = hit.phrase.get("count")
        if how == "after" and at and is_whole(draft.tokens[at - 1]) and _of_each(draft, at):
            draft.ask_count(f"{draft.raw(at - 1, hit.last + 1)}: how many in all?")
        if how == "either":  # "4 req", "req 4"
            how = "before" if draft.mark(hit.last) is Mark.NUMBER else "after"
        counted = None
        if how == "before":
            counted = _count_behind(draft, at, hit.last)
        elif how in ("after", "pack"):
            counted = _count_ahead(draft, at, hit.last, str(how))
        if counted:
            found.append(counted)
    return found


def _count_behind(draft: Draft, at: int, last: int) -> tuple[int, int, int] | None:
    """Read the figure that follows "Qty" and "set of"."""
    number = last
    while draft.mark(number) is Mark.SIGN or (
        draft.mark(number) is Mark.COMMA and draft.tokens[number].text.strip() == ":"
    ):
        number += 1
    if number >= len(draft.tokens) or not is_whole(draft.tokens[number]):
        return None
    draft.use(at, number + 1)
    return int(draft.tokens[number].value or 0), number, number + 1


def _count_ahead(draft: Draft, at: int, last: int, how: str) -> tuple[int, int, int] | None:
    """Read the figure before "off" and "Stück", and that of a pack."""
    if how == "pack" and (packed := _pack_of(draft, at, last)):
        return packed
    if at < 2 or _attributive(draft, at):
        return None
    number = at - 1
    sign = draft.mark(number) is Mark.SIGN and draft.tokens[number].text == "/"
    if how == "pack" or sign:
        number -= sign
    if not (how == "after" or sign) or number <= 0 or not is_whole(draft.tokens[number]):
        return None
    before = draft.mark(number - 1)
    apart = before is Mark.SIGN and draft.tokens[number].spaced
    if not apart and before in _JOINED:
        return None
    draft.use(number, last)
    return int(draft.tokens[number].value or 0), number, last


_ONE_PACK = frozenset(("pack", "pk", "pkt", "packet"))


def _pack_of(draft: Draft, at: int, last: int) -> tuple[int, int, int] | None:
    """Read "M6 nyloc (5 pack)", "5-pack", "10 per pack" and "pack 10"; "2 packs" is no count."""
    if draft.word(last - 1) not in _ONE_PACK or at < 2:
        return None
    number = at - 1 - (draft.mark(at - 1) is Mark.DASH)
    ahead = number > 0 and is_whole(draft.tokens[number])
    if ahead and draft.mark(number - 1) not in (*_JOINED, Mark.NUMBER):
        draft.use(number, last)
        return int(draft.tokens[number].text), number, last
    behind = last < len(draft.tokens) and is_whole(draft.tokens[last])
    if behind and draft.mark(last + 1) in (None, Mark.CLOSE, Mark.COMMA):
        draft.use(at, last + 1)
        return int(draft.tokens[last].text), last, last + 1
    return None


def _priced(draft: Draft) -> tuple[int, int, int] | None:
    """Read "M6 nyloc 25 @ 4p" and "M6 nyloc @ 0.04 x 25" of a receipt: so many at a price."""
    for first, last in draft.remarks:
        if draft.text_of(first) != "@":
            continue
        ahead = first - 1
        if ahead > 0 and is_whole(draft.tokens[ahead]) and _sized_already(draft, ahead):
            return int(draft.tokens[ahead].text), ahead, first
        number = last + 1
        ends = draft.mark(last) is Mark.BY and number + 1 == len(draft.tokens)
        if ends and is_whole(draft.tokens[number]):
            return int(draft.tokens[number].text), last, number + 1
    return None


_JOINED = (Mark.BY, Mark.DASH, Mark.SIGN)


def _sized_already(draft: Draft, at: int) -> bool:
    """Tell "M6 nyloc 25", whose size stands before, from "circlip 20" and "M6 bolt 20"."""
    before = draft.tokens[:at]
    sized = any(token.mark in _THREAD_MARKS or token.fraction for token in before)
    whole = any(token.mark is Mark.BY for token in before) or not _things(draft, 0) & _NUMBERED
    short = whole or _things(draft, 0) == {"nut"}
    return sized and short and draft.mark(at - 1) not in (*_JOINED, *_THREAD_MARKS)


_OF_THEM = frozenset(("of", "them", "these", "those"))


def _of_them(draft: Draft) -> tuple[int, int, int] | None:
    """Read the count that ends a line as it is dictated: "nyloc, two of", "bolts, 4 of them"."""
    last = len(draft.tokens)
    if draft.word(last - 1) not in _OF_THEM:
        return None
    end = last - 1 if draft.word(last - 1) in ("them", "these", "those") else last
    number = end - 2
    if number < 1 or draft.word(end - 1) != "of" or not is_whole(draft.tokens[number]):
        return None
    if draft.mark(number - 1) in (Mark.BY, Mark.DASH, Mark.SIGN):
        return None
    return int(draft.tokens[number].value or 0), number, last


def _bracketed(draft: Draft) -> tuple[int, int, int] | None:
    """Read "(4)", "(x4)" and "(4 off)" as a count."""
    if "(" not in draft.text:
        return None
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.OPEN or token.text != "(":
            continue
        inner = at + 2 if draft.word(at + 1) == "x" or draft.mark(at + 1) is Mark.BY else at + 1
        if inner >= len(draft.tokens) or not is_whole(draft.tokens[inner]):
            continue
        end = _count_words(draft, inner + 1)
        if draft.word(end) == "x":
            end += 1
        said = inner > at + 1 or end > inner + 1
        parted = said and draft.mark(end) is Mark.COMMA
        if draft.mark(end) is not Mark.CLOSE and not parted:
            continue
        text = draft.tokens[inner].text
        if not said and len(text) > 3:
            continue  # "(118220)": a part number
        if not said and int(text) > LIKELY:
            draft.hold(at, end + 1, f"({text}): a part number, or how many?")
            continue
        draft.use(at + 1 if parted else at, end + 1)
        return int(text), inner, inner + 1
    return None


_CLASSED = ("8", "10", "12")


def read_late_count(draft: Draft) -> None:
    """Read the count that ends a line, after nouns in the plural: "4BA nuts 8", "M10 nuts - 6".

    Only of what has no length and after a size; else it is held and asked about.
    """
    last = len(draft.tokens) - 1
    while last > 1 and draft.mark(last) is Mark.SIGN:
        last -= 1
    if draft.quantity is not None or draft.noun is None or draft.questions or last < 1:
        return
    if _late_vague(draft):
        return
    number, at = draft.tokens[last], last - 1
    if not is_whole(number) or draft.used[last] or draft.depth[last]:
        return
    if draft.mark(at) is Mark.BY:
        if _plural_times(draft, at, number):
            draft.hold(at, last + 1, f"x {number.text}: so many, or the length?")
        return
    sign = draft.mark(at) in (Mark.COMMA, Mark.DASH)
    at -= sign
    if at != draft.noun.last - 1 or not is_plural(draft):
        return
    spaced = number.spaced and (not sign or draft.mark(last - 1) is Mark.COMMA)
    sized = any(
        token.mark in _THREAD_MARKS or token.fraction for token in draft.tokens[: draft.noun.first]
    )
    classed = draft.kind is Kind.NUT and number.text in _CLASSED and _has_metric(draft)
    if not spaced or classed or not sized or draft.kind not in SHORT or int(number.text) > LIKELY:
        draft.hold(last, last + 1, f"{number.text}: how many, or what is it?")
    elif int(number.text):
        draft.quantity = int(number.text)
        draft.use(last - sign, last + 1)


_LATE = frozenset(
    ("few", "lots", "loads", "plenty", "several", "many", "various", "some", "handful", "dozens")
)


def _late_vague(draft: Draft) -> bool:
    """Hold a count that is no number and ends a line: "M6 nuts, 3 or 4", "M6 nuts, a few"."""
    assert draft.noun is not None
    at, end = draft.noun.last, len(draft.tokens)
    if draft.mark(at) in (Mark.COMMA, Mark.DASH):
        at += 1
    first = at
    while draft.says(at, "skip") == "article":
        at = draft.matches[at].last
    if at >= end or not is_plural(draft) or any(draft.used[at:end]):
        return False
    if draft.word(at) in _LATE and at + 1 == end:
        draft.hold(first, end, f"{draft.raw(first, end)}: how many?")
        return True
    if draft.word(at) in _ABOUT or draft.text_of(at) in ("~", "≈"):
        vague = at + 1 < end and is_whole(draft.tokens[at + 1])
        vague = vague and _count_words(draft, at + 2) == end
    elif draft.says(at + 1, "open"):  # "M6 nuts, 10 or so"
        vague = is_whole(draft.tokens[at]) and draft.matches[at + 1].last == end
    else:
        vague = at + 3 == end and is_whole(draft.tokens[at]) and is_whole(draft.tokens[at + 2])
        low, high = (draft.text_of(at), draft.text_of(at + 2)) if vague else ("0", "0")
        near = draft.mark(at + 1) is Mark.DASH and 0 < int(high) - int(low) <= _NEAR
        vague = near or (draft.word(at + 1) in ("or", "to") and int(low) < int(high))
    if vague:
        draft.hold(first, end, f"{draft.raw(first, end)}: how many exactly?")
    return vague


_FEW = 24


def _plural_times(draft: Draft, sign: int, number: Token) -> bool:
    """Tell "M6 bolts x 4" and "bolts M6 x4", a count or a length, from "M6 screws x 25"."""
    if draft.noun is None or not is_plural(draft) or _by_signs(draft) > 1:
        return False
    if draft.kind in SHORT or draft.kind is Kind.BALL or draft.says(sign + 1, "unit") is not None:
        return False
    value = int(number.text)
    if draft.noun.last == sign:
        return value <= _FEW
    size = next((t for t in draft.tokens[:sign] if t.mark is Mark.METRIC), None)
    if size is not None and size.value is not None:
        behind = draft.mark(sign - 1) is Mark.METRIC  # "vis M10x1"
        pitched = behind and plausible_pitch(size.value, Fraction(value))
        return value <= size.value and not pitched
    inch = any(t.fraction or t.mark is Mark.BA for t in draft.tokens[:sign])
    return inch and _LONG_INCHES <= value <= _FEW


_LONG_INCHES = 3  # what is so long is rarer than so many


def _has_metric(draft: Draft) -> bool:
    return any(token.mark is Mark.METRIC for token in draft.tokens)


_PLURALS = ("schrauben", "muttern", "scheiben", "ringe", "stifte", "bouten", "moeren", "ringen")


def is_plural(draft: Draft) -> bool:
    """Return whether the noun stands in the plural, as far as its last word shows."""
    if draft.noun is None:
        return False
    words = [draft.word(at) for at in range(draft.noun.first, draft.noun.last)]
    last = words[0] if draft.mark(draft.noun.first + 1) is Mark.COMMA else words[-1]
    return (last.endswith("s") and not last.endswith(("ss", "us"))) or last.endswith(_PLURALS)


def _bearing_times(draft: Draft) -> tuple[int, int, int] | None:
    """Read "6204x2" and "6204 x 2 bearings": nothing is 6204 mm by 2."""
    sign = next((at for at, token in enumerate(draft.tokens) if token.mark is Mark.BY), 0)
    if sign == 0 or sign + 1 >= len(draft.tokens) or not is_bearing_number(draft.tokens[sign - 1]):
        return None
    things, worded = _things(draft, 0), any(t.mark is Mark.WORD for t in draft.tokens)
    if things - {"bearing"} or (worded and not things) or _by_signs(draft) != 1:
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
    parted = draft.mark(last - 2) is Mark.COMMA and not draft.tokens[last].spaced
    across = draft.word(last - 2) in _ACROSS and draft.mark(last - 3) is Mark.NUMBER
    if across or ("key" in _things(draft, 0) and not parted):
        return None  # "1/2 sq x 3"
    if draft.word(last - 1) == "times":
        return int(draft.tokens[last].value or 0), last - 1, last + 1
    sign = draft.mark(last - 1) is Mark.BY or draft.word(last - 1) == "x"
    before = draft.mark(last - 2)
    if not sign or _FITTED.fullmatch(draft.text_of(last - 2)) or _counted_twice(draft, last):
        return None  # "6m6x24": a pin's fit before its length
    apart = draft.tokens[last - 1].spaced and not draft.tokens[last].spaced
    long = _by_signs(draft) > 1 and any(t.mark in _THREAD_MARKS for t in draft.tokens)
    phrase = draft.inside[last - 2]
    measured = before is Mark.INCH or (phrase is not None and phrase.phrase.get("unit"))
    named = phrase is not None and (phrase.phrase.get("series") or phrase.phrase.get("role"))
    counted = (
        (before is Mark.NUMBER and apart and long)  # "M6x20 x4"
        or (measured and long and _is_long(draft))  # "hex bolt M6 x 25mm x 4"
        or (before in (Mark.WORD, Mark.CLOSE, Mark.CLASS) and not measured and not named)
        or parted  # "M6 nut, x10"
    )
    owed = not parted and (_length_owed(draft, last) or _sized_word(draft, last))
    if not counted or owed:
        return None
    return int(draft.tokens[last].value or 0), last - 1, last + 1


def _times_ahead(draft: Draft) -> tuple[int, int, int] | None:
    """Read "nuts x6 M8" and "nuts x6 (1 seized)", and the "2x" that ends "bearing 6004 ZZ, 2x"."""
    last = len(draft.tokens) - 1
    if last > 1 and draft.word(last) == "x" and _tight_count(draft, last - 1, last):
        return int(draft.text_of(last - 1)), last - 1, last + 1
    for sign, token in enumerate(draft.tokens):
        if token.mark is not Mark.BY or not token.spaced or not 0 < sign < last:
            continue
        hit = draft.inside[sign - 1]
        if hit is None or not _in_plural(draft, hit.first):
            continue
        follows = draft.mark(sign + 2) in (Mark.WORD, Mark.OPEN, *_THREAD_MARKS)
        if not (follows and _tight_count(draft, sign + 1, sign + 1)):
            continue
        number = int(draft.text_of(sign + 1))
        sizes = [token for token in draft.tokens[: hit.first] if token.value is not None]
        short = hit.phrase.get("noun") in SHORT or not sizes
        if short or (sizes[0].mark is Mark.METRIC and number < (sizes[0].value or 0)):
            return number, sign, sign + 2
    return None


def _tight_count(draft: Draft, number: int, tight: int) -> bool:
    """Return whether a whole number can be a count and no space stands before a token."""
    token = draft.tokens[number]
    return is_whole(token) and 0 < int(token.text) <= LIKELY and not draft.tokens[tight].spaced


_FITTED = re.compile(r"[mhn][5-9]")


def _counted_twice(draft: Draft, last: int) -> bool:
    """Hold the counts of "M6 bolts long ones x3, short ones x5": each is of its own."""
    signs = [
        at
        for at in range(1, last)
        if draft.mark(at) is Mark.BY
        and draft.mark(at - 1) is Mark.WORD
        and not _measures(draft, at - 1)
        and is_whole(draft.tokens[at + 1])
    ]
    if len(signs) < 2:
        return False
    for at in signs:
        draft.hold(at, at + 2, _DISTINCT)
    return True


def _measures(draft: Draft, at: int) -> bool:
    found = draft.inside[at]
    return found is not None and any(found.phrase.get(n) for n in ("unit", "series", "role"))


_LONG = (
    "bolt", "screw", "stud", "studding", "setscrew", "dowel", "split pin", "rivet", "taper pin",
    "roll pin", "clevis pin", "grooved pin", "pin", "nail", "spacer", "standoff", "parallel key",
    "gib-head key", "hammer drive screw",
)  # fmt: skip


def _is_long(draft: Draft) -> bool:
    return any(
        found.phrase.get(name) in _LONG
        for name in ("noun", "weak", "implies")
        for found in draft.matches.values()
    )


def _by_signs(draft: Draft) -> int:
    return sum(token.mark is Mark.BY for token in draft.tokens)


_ACROSS = frozenset(("sq", "square", "hex", "hexagon", "round", "rd", "flat"))


def _length_owed(draft: Draft, at: int) -> bool:
    """Tell "M6 hex bolt x 25" (the length) from "M6 nut x 25" and "M6 bolt x4" (counts)."""
    if _by_signs(draft) - _pitched(draft) > 1 or not _is_long(draft):
        return False
    sizes = [t for t in draft.tokens if t.mark in _THREAD_MARKS or t.fraction]
    number = draft.tokens[at]
    if not number.spaced and sizes and sizes[0].mark is Mark.METRIC:
        return (sizes[0].value or 0) <= (number.value or 0)
    return bool(sizes) or any(
        token.mark is Mark.NUMBER and (draft.says(n + 1, "unit") or _unknown_between(draft, n, at))
        for n, token in enumerate(draft.tokens[: at - 1])
    )


def _sized_word(draft: Draft, last: int) -> bool:
    """Hold the figure of "bolt 8XY x 30", of which a word nobody knows may be the size."""
    at = last - 2
    word = draft.tokens[at]
    unknown = word.mark is Mark.WORD and draft.inside[at] is None and word.text[0].isdigit()
    if not unknown or _SUFFIX.fullmatch(word.text):
        return False
    draft.hold(last - 1, last + 1, f"x {draft.text_of(last)}: so many, or the length?")
    return True


def _unknown_between(draft: Draft, number: int, last: int) -> bool:
    """Tell "bolt 8 XY x 30", of which a word nobody knows may name the thread."""
    word = number + 1
    known = draft.inside[word]
    return (
        word == last - 2
        and draft.mark(word) is Mark.WORD
        and (known is None or known.phrase.get("noun") is None)
    )


def _pitched(draft: Draft) -> bool:
    """Tell the first sign of "1/4 x 20 bolt x 1", before a pitch, from one before a length."""
    at = next((n for n, token in enumerate(draft.tokens) if token.mark is Mark.BY), 0)
    if not 0 < at < len(draft.tokens) - 1:
        return False
    size, after = draft.tokens[at - 1], draft.tokens[at + 1]
    if draft.mark(at - 1) is Mark.INCH and at > 1:
        size = draft.tokens[at - 2]
    if after.mark is not Mark.NUMBER or after.value is None or size.value is None:
        return False
    if size.mark is Mark.METRIC:
        return plausible_pitch(size.value, after.value)
    return size.fraction and bool(inch_families(size.text, after.text))


_UNITS = {
    word: value
    for value, word in enumerate(
        [
            "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
            "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
            "eighteen", "nineteen",
        ]
    )
}  # fmt: skip

_TENS = {
    word: 10 * value
    for value, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2
    )
}

_PARTS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8,
    "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip

_FINE_PARTS = ("thirty", "sixty")

_AFTER_PART = frozenset(["inch", "in", "whit", "whitworth", "bsf", "unf", "unc", "bsw", "by"])

_LONE = ("half", "quarter", "eighth", "sixteenth")  # "an eighth by one inch"

_COUNTS = {
    "pair": 2, "pairs": 2, "pr": 2, "prs": 2, "couple": 2, "dozen": 12, "dozens": 12, "doz": 12,
    "gross": 144,
}  # fmt: skip

_STARTERS = frozenset(
    (*_UNITS, *_TENS, *_COUNTS, *_PARTS, *_FINE_PARTS, "m", "em", "by", "times", "a", "nought")
)


_BY_GAUGE = frozenset(
    ("screw", "screws", "woodscrew", "woodscrews", "tapper", "tappers", "tapping", "selftapper")
)


def _gauge_letters(tokens: list[Token]) -> None:
    """Read the gauge of "8g x 3/4 self tapper" and "3/4 x 8s woodscrews".

    The 6g of M6-6g is a class of thread.
    """
    if any(token.mark in _THREAD_MARKS for token in tokens):
        return
    behind = None
    for token in tokens:
        if token.mark is Mark.WORD and re.fullmatch(r"[0-9]{1,2}[gGsS]", token.text):
            number = token.text[:-1]
            token.mark, token.value = Mark.GAUGE, Fraction(number)
            token.text = f"#{number}"
            if behind is not None and behind.mark is Mark.BY:
                token.mark, token.text = Mark.NUMBER, number
        behind = token


def _edges(tokens: list[Token]) -> list[Token]:
    """Join "6 kt" and "6-kt", German for a hexagon, into one word."""
    out: list[Token] = []
    for token in tokens:
        dash = bool(out) and out[-1].mark is Mark.DASH
        number = out[-1 - dash] if len(out) > dash else None
        if token.text.lower() == "kt" and number is not None and number.text in ("4", "6"):
            del out[-1 - dash :]
            text = f"{number.text}kt"
            out.append(Token(Mark.WORD, text, number.start, token.end, spaced=number.spaced))
        else:
            out.append(token)
    return out


def join_spoken(tokens: list[Token]) -> list[Token]:
    """Replace number words by number tokens, "m eight" by M8, "by" between sizes by a sign."""
    words = {t.text.lower() for t in tokens if t.mark is Mark.WORD}
    if not words.isdisjoint(_BY_GAUGE):
        _gauge_letters(tokens)
    if "kt" in words:
        tokens = _edges(tokens)
    if words.isdisjoint(_STARTERS):
        return tokens
    out, at = _count_and_part(tokens)
    while at < len(tokens):
        token, end = _unlikely(tokens, at) or _spoken(tokens, at)
        out.append(token)
        more = _times(tokens, token, end)
        if more is not None:
            out[-1], end = more
            last = tokens[end - 1]
            out.append(Token(Mark.WORD, "off", last.start, last.end, spaced=True))
        at = end
    return _signs(out)


def _count_and_part(tokens: list[Token]) -> tuple[list[Token], int]:
    """Read "two quarter BSF nuts" as two off 1/4: no one says a half so, as no one writes 2/4."""
    first = tokens[0]
    whole, at = _whole(tokens, 0)
    if first.mark is Mark.NUMBER and first.text.isdigit():
        whole, at = int(first.text), 1
    below, end = _denominator(tokens, at)
    if whole is None or whole < 2 or not below:
        return [], 0
    one = end == at + 1 and not _word(tokens, at).endswith("s")
    if not (gcd(whole, below) > 1 or (whole > below and one)):
        return [], 0
    part = _number(tokens[at], tokens[end - 1], Fraction(1, below))
    part.fraction = True
    return [_number(first, tokens[at - 1], Fraction(whole)), part], end


def _times(tokens: list[Token], token: Token, at: int) -> tuple[Token, int] | None:
    """Read a number of dozens or pairs: "2 doz", "two pairs of", "1/2 doz"."""
    many = _COUNTS.get(_word(tokens, at))
    if many is None or token.mark is not Mark.NUMBER or token.value is None:
        return None
    value = token.value * many
    if value.denominator != 1:
        return None
    end = at + 2 if _word(tokens, at + 1) == "of" else at + 1
    return Token(Mark.NUMBER, str(value), token.start, token.end, value, spaced=token.spaced), end


def _word(tokens: list[Token], at: int) -> str:
    return tokens[at].text.lower() if at < len(tokens) and tokens[at].mark is Mark.WORD else ""


def _whole(tokens: list[Token], at: int) -> tuple[int | None, int]:
    """Read a whole number below 1000 in words."""
    word = _word(tokens, at)
    if word in _TENS:
        unit = at + 1
        if unit < len(tokens) and tokens[unit].mark is Mark.DASH:
            unit += 1
        if 0 < _UNITS.get(_word(tokens, unit), 0) < 10:
            return _TENS[word] + _UNITS[_word(tokens, unit)], unit + 1
        return _TENS[word], at + 1
    if word not in _UNITS:
        return None, at
    value, at = _UNITS[word], at + 1
    if _word(tokens, at) == "hundred" and value:
        value, at = value * 100, at + 1
        after = at + 1 if _word(tokens, at) == "and" else at
        rest, end = _whole(tokens, after)
        if rest is not None and rest < 100:
            return value + rest, end
    return value, at


def _spoken(tokens: list[Token], at: int) -> tuple[Token, int]:
    first = tokens[at]
    if first.mark is not Mark.WORD:
        return _parts_of(tokens, at) or (first, at + 1)
    word = first.text.lower()
    if word in ("pr", "prs", "doz") and (at or len(tokens) == 1 or first.text.isupper()):
        return first, at + 1
    if word in _COUNTS or (word == "a" and _word(tokens, at + 1) in _COUNTS):
        at += word == "a"
        end = at + 2 if _word(tokens, at + 1) == "of" else at + 1
        return _number(first, tokens[end - 1], Fraction(_COUNTS[_word(tokens, at)])), end
    if word == "half" and _word(tokens, at + 1) == "a" and _word(tokens, at + 2) == "dozen":
        return _number(first, tokens[at + 2], Fraction(6)), at + 3
    value, end = (None, at) if _is_pronoun(tokens, at) else _amount(tokens, at)
    if value is not None and value.denominator == 1 and _word(tokens, end) in _NOUGHTS:
        unit = _UNITS.get(_word(tokens, end + 1), 0)
        if 9 < value < 100 and 0 < unit < 10:  # "sixty two oh five"
            value, end = value * 100 + unit, end + 2
    if value is None or _word(tokens, end) == "pans":  # French "six pans": a hexagon
        return first, at + 1
    token = _number(first, tokens[end - 1], value)
    token.fraction = value.denominator in (2, 4, 8, 16, 32, 64) and not _has(
        tokens, at, end, "point"
    )
    return token, end


_WHICH = frozenset(
    ("long", "short", "big", "small", "other", "new", "old", "this", "that", "odd", "thick", "thin")
)
_SAYS = ("unit", "count", "series", "role", "noun", "weak", "and")


def _is_pronoun(tokens: list[Token], at: int) -> bool:
    """Tell the one of "4 bolts, one different" and "long one 3/8 BSF" from a number."""
    if _word(tokens, at) != "one" or not at or tokens[at - 1].mark not in (Mark.WORD, Mark.COMMA):
        return False
    if _word(tokens, at - 1) in _WHICH:
        return True
    after = _word(tokens, at + 1)
    if (
        not after
        or after in _PARTS
        or after in _FINE_PARTS
        or after in ("by", "times", "x", "point")
    ):
        return False
    known = vocabulary()[0].get(after)
    return known is None or not any(known.get(name) for name in _SAYS)


_NOUGHTS = ("oh", "o", "nought")


def _parts_of(tokens: list[Token], at: int) -> tuple[Token, int] | None:
    """Read "5 thirty-seconds" and "3 eighths", a figure and the parts it counts."""
    first = tokens[at]
    if first.mark is not Mark.NUMBER or not first.text.isdigit():
        return None
    below, end = _denominator(tokens, at + 1)
    last = tokens[end - 1] if end <= len(tokens) else first
    if not below or not last.text.endswith("s") or int(first.text) >= below:
        return None
    if gcd(int(first.text), below) > 1:
        return None
    token = _number(first, last, Fraction(int(first.text), below))
    token.fraction = True
    return token, end


_ARTICLES = ("a", "an")


def _has(tokens: list[Token], at: int, end: int, word: str) -> bool:
    return any(_word(tokens, i) == word for i in range(at, end))


def _inches(tokens: list[Token], at: int) -> tuple[Fraction | None, int]:
    """Read "inch and a half" and "an inch and three quarters" behind "by" or a size."""
    at += _word(tokens, at) in ("an", "one")
    if _word(tokens, at) not in ("inch", "in") or _word(tokens, at + 1) != "and":
        return None, at
    rest, here = (1, at + 3) if _word(tokens, at + 2) in _ARTICLES else _whole(tokens, at + 2)
    below, stop = _denominator(tokens, here)
    if below and rest is not None and rest < below:
        return 1 + Fraction(rest, below), stop
    return None, at


def _lone(tokens: list[Token], at: int) -> Fraction | None:
    """Read "half inch", "quarter whit" and "eighth by one" without a number, and "nought BA"."""
    word, after = _word(tokens, at), _word(tokens, at + 1)
    if (word in _LONE and after in ("by", "inch")) or (
        word in ("half", "quarter") and after in _AFTER_PART
    ):
        return Fraction(1, _PARTS[word])
    if word in ("half", "quarter"):  # "quarter twenty bolt"
        tpi, end = _whole(tokens, at + 1)
        size = f"1/{_PARTS[word]}"
        if tpi and _word(tokens, end) not in _PARTS and inch_families(size, str(tpi)):
            return Fraction(1, _PARTS[word])
    return Fraction(0) if word in ("nought", "oh") and after == "ba" else None


def _amount(tokens: list[Token], at: int) -> tuple[Fraction | None, int]:
    """Read "one point two five", "three eighths", "one and a half", "quarter inch", "twenty"."""
    inches, after = _inches(tokens, at)
    lone = _lone(tokens, at) if inches is None else inches
    if lone is not None:
        return lone, max(after, at + 1)
    whole, end = _whole(tokens, at)
    if whole is None:
        return None, at
    if _word(tokens, end) == "point":
        digits, here = "", end + 1
        while 0 <= _UNITS.get(_word(tokens, here), -1) < 10:
            digits, here = digits + str(_UNITS[_word(tokens, here)]), here + 1
        return Fraction(f"{whole}.{digits or 0}"), here
    below, stop = _denominator(tokens, end)
    if below and whole < below:
        return Fraction(whole, below), stop
    if _word(tokens, end) != "and":
        return Fraction(whole), end
    rest, here = (1, end + 2) if _word(tokens, end + 1) in _ARTICLES else _whole(tokens, end + 1)
    below, stop = _denominator(tokens, here)
    mixed = rest is not None and rest < below
    return (whole + Fraction(rest or 0, below), stop) if mixed else (Fraction(whole), end)


def _unlikely(tokens: list[Token], at: int) -> tuple[Token, int] | None:
    """Read a fraction that can be made smaller, "two quarters", as a number without a value."""
    whole, end = _whole(tokens, at)
    if whole is not None and _word(tokens, end) == "and":
        whole, end = _whole(tokens, end + 1)
    below, stop = _denominator(tokens, end)
    if whole is None or not 1 < whole < below or gcd(whole, below) == 1:
        return None
    first, last = tokens[at], tokens[stop - 1]
    text = " ".join(token.text for token in tokens[at:stop])
    return Token(Mark.NUMBER, text, first.start, last.end, spaced=first.spaced, doubt=True), stop


def _denominator(tokens: list[Token], at: int) -> tuple[int, int]:
    """Read "eighths", "thirty seconds"; 0 when there is none."""
    dash = at + 1 < len(tokens) and tokens[at + 1].mark is Mark.DASH  # "sixty-fourths"
    pair = (_word(tokens, at), _word(tokens, at + 1 + dash))
    if pair in (("thirty", "second"), ("thirty", "seconds")):
        return 32, at + 2 + dash
    if pair in (("sixty", "fourth"), ("sixty", "fourths")):
        return 64, at + 2 + dash
    return _PARTS.get(pair[0], 0), at + 1


def _number(first: Token, last: Token, value: Fraction) -> Token:
    text = str(value) if value.denominator == 1 else str(float(value))
    return Token(Mark.NUMBER, text, first.start, last.end, value, spaced=first.spaced)


def _signs(tokens: list[Token]) -> list[Token]:
    """Turn "by" between sizes into the sign, and "m" before a number into a metric size."""
    out: list[Token] = []
    for at, token in enumerate(tokens):
        before = out[-1].text.lower() if out and out[-1].mark is Mark.WORD else ""
        if _word(tokens, at) == "by" and out and tokens[at + 1 :]:
            sign = tokens[at + 1].mark is Mark.NUMBER
            out.append(
                Token(Mark.BY, "x", token.start, token.end, spaced=token.spaced) if sign else token
            )
        elif (
            _word(tokens, at) == "times"
            and out
            and out[-1].mark in (*_THREAD_MARKS, Mark.NUMBER)
            and at + 1 < len(tokens)
            and tokens[at + 1].mark is Mark.NUMBER
        ):
            out.append(Token(Mark.BY, "x", token.start, token.end, spaced=token.spaced))
        elif token.mark is Mark.NUMBER and before in ("m", "em"):
            out[-1] = _joined(Mark.METRIC, f"M{token.text}", out[-1], token, token)
        elif _word(tokens, at) == "ba" and out and _is_ba(out[-1]):
            out[-1] = _joined(Mark.BA, f"{out[-1].text}BA", out[-1], token, out[-1])
        elif token.mark is Mark.NUMBER and before == "number" and token.text.isdigit():
            out[-1] = _joined(Mark.GAUGE, f"#{token.text}", out[-1], token, token)
        elif out and _spoken_tpi(out[-1], token):
            out.append(Token(Mark.DASH, "-", token.start, token.start))
            out.append(token)
        else:
            out.append(token)
    return out


def _spoken_tpi(size: Token, token: Token) -> bool:
    """Tell the threads of "number ten thirty two" and "quarter twenty" from another figure."""
    said = token.mark is Mark.NUMBER and token.spaced and token.text.isdigit()
    if not said or size.value is None:
        return False
    if size.mark is Mark.GAUGE:
        return bool(inch_families(f"#{size.value}", token.text))
    spoken = size.fraction and "/" not in size.text and token.end - token.start > len(token.text)
    return spoken and bool(inch_families(number_text(size.value, True), token.text))


def _is_ba(token: Token) -> bool:
    return token.mark is Mark.NUMBER and token.text.isdigit() and len(token.text) < 3


def _joined(mark: Mark, text: str, first: Token, last: Token, number: Token) -> Token:
    """Make one token of a number and the word beside it."""
    return Token(mark, text, first.start, last.end, number.value, spaced=first.spaced)
