"""From text to fastener: the order in which a text is read.

1. tokens, number words joined  2. a second thing in the line set aside  3. the count
4. standard, class, bearing mark  5. the noun  6. what the words beside it say  7. thread series
and sizes  8. what is left: words are a name, the rest is unread.

Each reading is checked against its own canonical text: what would not read back the same is kept
whole as unread text instead.
"""

import re
from dataclasses import replace
from functools import lru_cache

from stores.errors import NotationError
from stores.handbook.fastener.counts import (
    join_spoken,
    read_bearing_marks,
    read_late_count,
    read_quantity,
    read_seal_type,
)
from stores.handbook.fastener.draft import (
    A_GUESS,
    TWO_THINGS,
    Draft,
    is_whole,
    read_hand,
    read_leftovers,
    read_slips,
    tidy,
)
from stores.handbook.fastener.model import NO_NOUN, NO_SINGLE_NOUN, Fastener, Kind, Series
from stores.handbook.fastener.nouns import (
    for_model_engineers,
    has_thread,
    read_class,
    read_fit,
    read_form_letter,
    read_kind,
    read_standard,
    read_tolerance,
    read_twice,
    read_words,
)
from stores.handbook.fastener.remarks import read_remarks
from stores.handbook.fastener.sizes import join_number_sizes, read_sizes, read_strokes
from stores.handbook.fastener.tokens import LIMIT, Mark, Token, fold_kept, tokenize, written
from stores.handbook.fastener.words import is_noun
from stores.handbook.fastener.writing import COARSE_PITCH, has_size, inch_families, write
from stores.text import either

__all__ = ["parse", "read_text"]

# Taken where no series is said; who means UNEF says so.
_UNIFIED = (Series.UNC, Series.UNF)
_FINE = (Series.BSF, Series.UNF)  # what "3/8 fine" may be
# Threads that are met on few things: only where the words say so.
_RARE = (Series.UNEF, Series.CYCLE)
_CYCLE = re.compile(r"(?i)\b(?:pedal|spoke|bottom bracket|head race|headset|cycle)s?\b")
# A cycle has these too, and so has everything else that turns: they only put the question.
_TURNING = re.compile(r"(?i)\b(?:spindle|axle|hub|crank|fork)s?\b")
_TPI = re.compile(r"(?i)\bt\.?\s?p\.?\s?i\b|[0-9]\s?tpi|\bthreads?\b|\bthds\b|\bto the inch\b")
# What a thing replaces is another thing: its figures are no part of this one's size.
_REMARK = re.compile(
    r"(?i)(?P<thing>[^][()]*\d[^][()]*?)[\s,;:-]+(?P<rest>(?:replac(?:es|ed|ing)|was|were|not|formerly|"
    r"originally|in (?:place|lieu) of|instead of|substitute for)\b[^][()]*\d[^][()]*)"
)


@lru_cache(maxsize=4096)
def parse(text: str) -> Fastener:
    """Read how a person writes a fastener, or a plain part, into one form.

    ``text`` is at most 500 characters in any script. What has two readings is left empty and put
    as a question; what is not understood is kept in ``unread``. A text without a fastener in it is
    a part with that name. ``parse(str(x)) == x`` for every result.

    Raises `NotationError`, with the characters at fault, for empty text, text too long, control
    characters, and a quantity that is zero, negative or above a million.

    Sources: designation clauses of the ISO and DIN product standards, BS 1083, BS 57, ASME B18
    and trade common practice; the vocabulary names its source row by row.

    >>> bolt = parse("bolt, hexagon, M6 by 25, 8.8")
    >>> str(bolt), bolt.size, bolt.property_class
    ('M6 x 25 hex bolt 8.8', 'M6', '8.8')
    """
    remark = _REMARK.fullmatch(text)
    if remark:
        item = read_text(remark["thing"])
        item = replace(item, unread=(*item.unread, tidy(remark["rest"])))
    else:
        item = read_text(text)
    if _stable(item):
        return item
    if item.name:
        item = replace(item, name="", unread=(tidy(item.name), *item.unread))
        if _stable(item):
            return item
    asked = item.questions or ("not understood, kept as typed: what is it?",)
    kept = Fastener(unread=(written(text),), questions=asked, count_questions=item.count_questions)
    if len(write(kept)) > LIMIT:
        raise NotationError(f"text longer than {LIMIT} characters", text, LIMIT)
    return kept


def _stable(item: Fastener) -> bool:
    """Return whether the canonical text reads back as the same thing."""
    canonical = write(item)
    try:
        return len(canonical) <= LIMIT and read_text(canonical) == item
    except NotationError:
        return False


@lru_cache(maxsize=4096)
def read_text(text: str) -> Fastener:
    """Read a text once, without looking whether its canonical form reads back the same."""
    tokens = join_number_sizes(join_spoken(fold_kept(text, tokenize(text))))
    if len(tokens) == 1 and tokens[0].mark is Mark.KEPT and tokens[0].text:
        return Fastener(unread=(tokens[0].text,))
    draft = Draft(text, tokens)
    if "/" in text:
        read_twice(draft)
    draft, aside = _set_aside(draft)
    if aside and _sized_behind(tokens, len(draft.tokens)):
        return Fastener(unread=(written(text),), questions=(TWO_THINGS,))
    read_remarks(draft)
    read_quantity(draft)
    _either_size(draft)
    _kept(draft)
    read_standard(draft)
    read_kind(draft)
    read_late_count(draft)
    read_strokes(draft)
    read_class(draft)
    if draft.kind in (Kind.PART, Kind.SEAL):
        read_seal_type(draft)
    read_bearing_marks(draft)
    plain = draft.tool or (not has_thread(draft) and not _only_figures(draft))
    if draft.kind is Kind.PART and plain:
        return _part(draft, aside)
    draft.keep_held()
    read_tolerance(draft)
    read_form_letter(draft)
    read_fit(draft)
    read_words(draft)
    read_sizes(draft)
    _series(draft)
    read_hand(draft)
    _doubts(draft)
    read_leftovers(draft)
    if aside:
        draft.unread.append(aside)
    if draft.kind is Kind.PART:
        draft.ask(NO_NOUN)
        read_slips(draft)
    return _fastener(draft)


def _sized_behind(tokens: list[Token], at: int) -> bool:
    """Tell "nut+bolt 1/4 BSF", of which the size is that of both."""
    if at >= len(tokens) or tokens[at].spaced or tokens[at].mark is not Mark.SIGN:
        return False
    valued = [n for n, token in enumerate(tokens) if token.value is not None]
    return bool(valued) and valued[0] > at


def _set_aside(draft: Draft) -> tuple[Draft, str]:
    """Cut off a second thing: "... and M3 nut", "OR [M3x45 SHCS]"; it is kept as unread text."""
    noun_seen = False
    plain = draft.text.isascii() and _JOINTS.isdisjoint(draft.text)
    if plain and draft.fields.isdisjoint(_JOINT_WORDS):
        return draft, ""
    for at, token in enumerate(draft.tokens):
        found = draft.matches.get(at)
        if found is not None and not noun_seen:
            said = found.phrase.by_itself
            noun_seen = "noun" in said or "weak" in said
        noun_seen = noun_seen or token.mark is Mark.METRIC
        noun_seen = noun_seen or (token.text == "+" and draft.mark(at + 1) is Mark.NUMBER)
        alone = not noun_seen and at and (_bare_noun(draft, at) or _counts_another(draft, at))
        if not (noun_seen or alone) or at == 0 or draft.depth[at] or not _joins(draft, at):
            continue
        if draft.says(at, "or") and draft.mark(at - 1) in _SIZE and draft.mark(at + 1) in _SIZE:
            continue  # "M8 or M10 nut": one thing, of either size
        rest = range(at + 1, len(draft.tokens))
        if any(
            (n in draft.matches and draft.matches[n].phrase.get("noun"))
            or (alone and _names_thing(draft, n))
            or (token.text in _AMPERSANDS and _names_thing(draft, n))
            or draft.tokens[n].mark in (Mark.METRIC, Mark.KEPT)
            for n in rest
        ) or _ends_bare(draft, at):
            whole = draft
            draft = Draft(whole.text, whole.tokens[:at])
            draft.ask(TWO_THINGS)
            return draft, whole.written(at, len(whole.tokens)).lstrip(",; ")
    return draft, ""


def _bare_noun(draft: Draft, at: int) -> bool:
    """Tell the washer of "gear 36T and washer", by itself, from "head and barrel studs"."""
    found, noun = draft.matches.get(at), draft.matches.get(at + 1)
    if noun is None or noun.last != len(draft.tokens):
        return False
    if found is None:  # "spring & nut"
        spaced = draft.tokens[at].spaced and draft.text_of(at) in _AMPERSANDS
        return spaced and _names_thing(draft, at + 1)
    joined = found.phrase.get("and") is not None
    return joined and any(noun.phrase.get(name) for name in ("noun", "weak"))


_ARTICLES = ("a", "an")
_SIZE = (Mark.METRIC, Mark.BA, Mark.GAUGE, Mark.NUMBER)
_NAMES = ("noun", "weak", "part")
_AMPERSANDS = ("&", "+")


def _counts_another(draft: Draft, at: int) -> bool:
    """Tell "springs and a nut", of which each has its count, from "gear 2 and 3"."""
    found = draft.matches.get(at)
    if found is not None and found.phrase.get("and") is None:
        return False
    if draft.word(at - 1) == "" and draft.mark(at - 1) is not Mark.CLOSE:
        return False
    first = at + 1
    if draft.says(first, "skip") == "article":
        return _named_next(draft, first + 1)
    number = first < len(draft.tokens) and is_whole(draft.tokens[first])
    off = draft.mark(at) is not Mark.COMMA and draft.says(first + 1, "count") is not None
    return number and _named_next(draft, first + 1 + off)


def _named_next(draft: Draft, at: int) -> bool:
    """Tell words that end in a thing's name, from a unit, another figure, "4 hole flange"."""
    sized = draft.mark(at) in _SIZE and draft.mark(at) is not Mark.NUMBER
    if not sized and (draft.mark(at) is not Mark.WORD or draft.says(at, "unit")):
        return False
    attribute = draft.says(at, "attr") and draft.mark(at + 1) is Mark.WORD
    if attribute or any(draft.says(at, name) for name in ("count", "prep", "with")):
        return False
    return any(_names_thing(draft, n) for n in range(at, len(draft.tokens)))


def _names_thing(draft: Draft, at: int) -> bool:
    """Tell a word that may be the name of a thing."""
    found = draft.matches.get(at)
    if found is not None:
        return any(found.phrase.get(name) for name in _NAMES)
    return is_noun(draft.word(at))


def _either_size(draft: Draft) -> None:
    """Leave open the size of "nut M8 or 5/16": who wrote it did not know."""
    if "or" not in draft.fields:
        return
    for at, found in draft.matches.items():
        if "or" not in found.phrase.by_itself or not at or draft.depth[at]:
            continue
        first, last = at - 1, found.last
        first -= draft.mark(first) is Mark.INCH
        sized = draft.mark(first) in _SIZE and draft.mark(last) in _SIZE
        if not sized or draft.used[first] or draft.used[last]:
            continue
        if is_whole(draft.tokens[first]) and is_whole(draft.tokens[last]):
            continue  # "M6 bolts, 3 or 4"
        end = last + 1
        if draft.mark(end) is Mark.INCH or draft.says(end, "unit"):
            end += 1
        draft.ask(f"{draft.raw(first, end)}: which size?")
        draft.unread.append(draft.raw(first, end))
        draft.use(first, end)
        draft.sizeless = True


_JOINT_WORDS = frozenset(("and", "or"))
_JOINTS = frozenset("&+,;/")


def _joins(draft: Draft, at: int) -> bool:
    """Tell "and", "or", "&", "+", and the comma of "16 M3 screws, 16 M3 nuts"."""
    token, found = draft.tokens[at], draft.matches.get(at)
    if draft.used[at]:
        return False  # "nut/écrou": one thing
    if found is not None:
        return bool(found.phrase.get("and") or found.phrase.get("or"))
    if token.mark is Mark.SIGN and token.text == "/":
        return _ends_bare(draft, at) and draft.says(at + 1, "noun") is not None
    if token.mark is Mark.SIGN:
        return token.text in "&+" and draft.inside[at] is None
    if token.mark is not Mark.COMMA or token.text.strip() not in (",", ";"):
        return False
    sized = draft.mark(at + 1) is Mark.NUMBER and draft.mark(at + 2) is Mark.METRIC
    return sized or _counts_another(draft, at)


def _ends_bare(draft: Draft, at: int) -> bool:
    """Tell "screws and caps": the noun stands right before the joint."""
    before = draft.inside[at - 1]
    return before is not None and before.phrase.get("noun") is not None


def _kept(draft: Draft) -> None:
    """Note what stands in square brackets as unread."""
    if "[" not in draft.text:
        return
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.KEPT:
            continue
        if draft.mark(at - 1) is Mark.BY:
            draft.use(at - 1)
            draft.ask("more than one length: which is it?")
        if token.text:
            draft.unread.append(token.text)


def _only_figures(draft: Draft) -> bool:
    """Tell a text of sizes alone, with at most an item number: "S01 3.5mm 20mm"."""
    figures = 0
    for at, token in enumerate(draft.tokens):
        found = draft.inside[at]
        figures += token.mark is Mark.NUMBER and not draft.used[at]
        passed = (
            draft.used[at]
            or token.mark in (Mark.NUMBER, Mark.BY, Mark.INCH)
            or (token.text == "/" and draft.mark(at - 1) is draft.mark(at + 1) is Mark.NUMBER)
            or (found is not None and any(found.phrase.get(n) for n in ("unit", "role")))
            or (at == 0 and re.fullmatch(r"[A-Z][0-9]{1,3}", token.text))
        )
        if not passed:
            return False
    return figures > 1


def _part(draft: Draft, aside: str) -> Fastener:
    """Return a plain part: its name is the text without the count."""
    for first, last in (*draft.held, *draft.remarks):
        draft.used[first:last] = [False] * (last - first)
    words = [n for n in range(len(draft.tokens)) if not draft.used[n]]
    article = len(words) > 1 and draft.says(words[0], "skip") == "article"
    if article and draft.tokens[words[0]].text in _ARTICLES:
        del words[0]  # "a spring"; an A frame is another thing
    name = ""
    if words:
        first, last = words[0], words[-1] + 1
        name = " ".join(draft.text[draft.tokens[first].start : draft.tokens[last - 1].end].split())
        if any(draft.used[n] for n in range(first, last)):
            name = " ".join(draft.raw(n, n + 1) for n in words)
    if aside:
        comma = draft.text[draft.tokens[-1].end :].lstrip()[:1] in (",", ";")
        name = f"{name}{', ' if comma else ' '}{aside}".strip()
    questions = tuple(draft.questions) if aside or draft.held else ()
    counting = _counting(draft) if questions else ()
    if draft.twofold or _unnamed(draft):
        questions = (*questions, draft.twofold or NO_SINGLE_NOUN)
    return Fastener(
        quantity=draft.quantity, name=name, unread=tuple(draft.unread), questions=questions,
        count_questions=counting,
    )  # fmt: skip


def _counting(draft: Draft) -> tuple[str, ...]:
    """Return the questions about the count, which a count that was read settles."""
    return () if draft.quantity else tuple(dict.fromkeys(draft.counting))


def _unnamed(draft: Draft) -> bool:
    """Tell a text of figures and codes, or a kit of named pieces, from the name of a part."""
    figures = sum(t.mark is Mark.NUMBER for t in draft.tokens) > 1
    words = [
        t.text
        for t, deep in zip(draft.tokens, draft.depth, strict=True)
        if not deep and t.mark is Mark.WORD
    ]
    if figures and not any(len(w) > 2 and w.isalpha() for w in words):
        return True
    return "kit" in (w.lower() for w in words) and any(
        draft.depth[at] and (hit.phrase.get("noun") or hit.phrase.get("weak"))
        for at, hit in draft.matches.items()
    )


def _doubts(draft: Draft) -> None:
    """Ask about a figure that the text itself doubts: "about 40 long", "40 or longer"."""
    if "open" in draft.fields:
        _left_open(draft)
    if "doubt" not in draft.fields:
        return
    for at, found in draft.matches.items():
        if "doubt" not in found.phrase.by_itself:
            continue
        number = found.last
        read = draft.mark(number) in (Mark.NUMBER, Mark.METRIC) and draft.used[number]
        if read and not draft.used[at]:
            end = draft.matches[number + 1].last if draft.says(number + 1, "unit") else number + 1
            draft.ask(f"{draft.raw(at, end)}: {A_GUESS}")
            draft.unread.append(draft.raw(at, number))
            draft.use(at, number)


def _left_open(draft: Draft) -> None:
    """Ask about the figure before "or longer", "or so"; these words stay in sight."""
    for at, found in draft.matches.items():
        if "open" not in found.phrase.by_itself or draft.used[at] or not at:
            continue
        first = at - 1
        while first and (draft.mark(first) is Mark.INCH or draft.says(first, "unit")):
            first -= 1
        words = draft.raw(at, found.last)
        size = str(draft.length or draft.size)
        graded = draft.raw(first, at) == draft.values.get("class")
        if draft.used[first] and draft.mark(first) in _SIZE and not graded:
            size = draft.raw(first, at)
        if size:
            draft.ask(f"{size} {words}: {A_GUESS}")
            draft.unread.append(draft.raw(at, found.last))
            draft.use(at, found.last)


def _series(draft: Draft) -> None:
    """Settle the thread series from the words, or from size and threads per inch."""
    if draft.series is Series.METRIC:
        coarse = COARSE_PITCH.get(draft.size)
        fine = draft.pitch and coarse and draft.pitch != coarse
        said = draft.values.get("series") == Series.METRIC_FINE and not draft.pitch
        if fine or said or (draft.pitch and coarse is None):
            draft.series = Series.METRIC_FINE
        return
    if draft.series is None and draft.values.get("series") == Series.METRIC_FINE:
        if draft.size:
            tabled = [s for s in _FINE if "/" in draft.size and has_size(s, draft.size)]
            if tabled and "metric" not in draft.text.lower():
                draft.ask_thread(f"{draft.size} fine: {either([s.value.upper() for s in tabled])}?")
                draft.unread.append("fine")
            else:
                draft.ask_thread(f"{draft.size} and metric fine: which thread?")
                draft.unread.append("metric fine")
        else:
            draft.series = Series.METRIC_FINE
        return
    if draft.series is not None or not draft.size or not draft.pitch:
        return
    if draft.size.endswith((" mm", " in")) or for_model_engineers(draft.text):
        return
    _inch_series(draft, inch_families(draft.size, draft.pitch))


def _inch_series(draft: Draft, found: tuple[Series, ...]) -> None:
    """Settle the series from size and threads per inch; ask where two have both."""
    text = draft.text
    unified = [s for s in found if s in _UNIFIED]
    described = _TPI.search(draft.text) or _timed(draft)
    turning = Series.CYCLE in found and _TURNING.search(text)
    rivals = [s for s in (Series.BSW, Series.CYCLE) if s in found]
    if unified and rivals and (described or turning):
        # "1/4 x 20" is how either is described; "1/4-20" is how only the one is.
        names = either([_named(s) for s in (*rivals, *unified)])
        draft.ask_thread(f"{draft.size}, {draft.pitch} tpi: {names}?")
    elif unified:
        draft.series = unified[0]
    elif len(found) == 1 and (found[0] not in _RARE or _CYCLE.search(text)):
        draft.series = found[0]
    elif len(found) == 1:
        rare = "UNEF" if found[0] is Series.UNEF else found[0]
        draft.ask_thread(f"{draft.size}-{draft.pitch}: {rare}, or a special thread?")
    elif found:
        names = " or ".join(_named(s) for s in found)
        if draft.pitch == "26" and draft.values.get("material") == "brass":
            names += ", or the brass pipe thread"
        draft.ask_thread(f"{draft.size}-{draft.pitch}: {names}?")
    else:
        draft.ask_thread(f"{draft.size}-{draft.pitch}: no standard series has this; is it special?")


def _named(series: Series) -> str:
    return "cycle" if series is Series.CYCLE else series.value.upper()


def _timed(draft: Draft) -> bool:
    """Tell "1/4 x 20", "quarter by twenty" and "1/4x20x1" from "1/4-20"."""
    return any(
        token.text == draft.pitch and token.mark is Mark.NUMBER and draft.mark(at - 1) is Mark.BY
        for at, token in enumerate(draft.tokens)
    )


def _fastener(draft: Draft) -> Fastener:
    values = draft.values
    return Fastener(
        kind=draft.kind,
        quantity=draft.quantity,
        series=draft.series,
        size=draft.size,
        pitch_or_tpi=draft.pitch,
        thread_class=draft.thread_class,
        length=draft.length,
        dimensions=tuple(draft.dimensions),
        head=values.get("head", ""),
        drive=values.get("drive", ""),
        form=values.get("form", ""),
        property_class=values.get("class", ""),
        material=values.get("material", ""),
        finish=values.get("finish", ""),
        standard=draft.standard,
        marks=" ".join(draft.marks),
        name=", ".join(text for _, text in sorted(draft.notes)),
        unread=tuple(draft.unread),
        questions=tuple(draft.questions),
        count_questions=_counting(draft),
        doubts=tuple(dict.fromkeys(draft.doubts)),
    )
