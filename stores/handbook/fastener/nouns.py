"""Which word is the thing: "clutch cover bolt" is a bolt, "bearing cover" is not a bearing.

English puts the noun last ("driveshaft washer"), parts books put it first ("WASHER, SPRING") and
both are met. A text whose noun stays open is left a part, with a question, never guessed.

Standard, strength class, and what the words beside the noun say.

The class of fit of a thread: 6g, 6H/6g, 2A, "medium fit".

Classes: ISO 965-1 (grade and letter), ASME B1.1 (1A to 3B), BS 84 (close, medium and free fit).
"""

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache

from stores.handbook.fastener.draft import TWO_THINGS, Draft, is_whole
from stores.handbook.fastener.model import NO_SINGLE_NOUN, Kind, Series
from stores.handbook.fastener.sizes import SHORT, WASHERS
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.fastener.words import BASE, Match, Standard, standards, vocabulary
from stores.handbook.fastener.writing import INCH_SERIES, SERIES_LABEL

__all__ = [
    "ORDINARY",
    "STEELS",
    "for_model_engineers",
    "read_class",
    "read_fit",
    "read_form_letter",
    "read_kind",
    "read_standard",
    "read_tolerance",
    "read_twice",
    "read_words",
]


_SEATS = frozenset(
    [
        "retainer", "spacer", "housing", "carrier", "holder", "cage", "race", "plate", "bracket",
        "support", "sleeve",
    ]
)  # fmt: skip

_FIXINGS = frozenset(
    (
        Kind.BOLT, Kind.SCREW, Kind.NUT, Kind.STUD, Kind.WASHER, Kind.SPRING_WASHER,
        Kind.TAB_WASHER, Kind.TOOTHED_WASHER, Kind.SEALING_WASHER, Kind.SETSCREW, Kind.GASKET,
        Kind.CIRCLIP, Kind.SPLIT_PIN, Kind.ROLL_PIN, Kind.RIVET, Kind.O_RING, Kind.DOWEL,
        Kind.CLEVIS_PIN, Kind.TAPER_PIN, Kind.E_CLIP, Kind.WOODRUFF_KEY, Kind.GREASE_NIPPLE,
        Kind.STUDDING, Kind.STANDOFF, Kind.INSERT,
    )
)  # fmt: skip
# Nouns that stand before another noun more often than for themselves: "bearing cover".
_TRAPS = frozenset(
    (Kind.BEARING, Kind.SEAL, Kind.WASHER, Kind.PLUG, Kind.CLIP, Kind.O_RING, Kind.SPACER)
)

_ME = re.compile(r"(?<![\w.])(?:ME|M\.E\.?)(?!\w)")


def for_model_engineers(text: str) -> bool:
    """Tell their threads, 32 and 40 to the inch: no table has them, so they stay a name."""
    return "M" in text and "E" in text and _ME.search(text) is not None


_THREADS = (Mark.METRIC, Mark.BA, Mark.GAUGE)


class _Solid:
    """A word that can be the thing: a noun, a plain part, or a word not in the vocabulary."""

    __slots__ = ("at", "end", "kind", "match", "part", "segment")

    def __init__(self, at: int, end: int, segment: int) -> None:
        self.at, self.end, self.segment = at, end, segment
        self.kind: Kind | None = None
        self.match: Match | None = None
        self.part = False


_ONE_THING = frozenset((Kind.BOLT, Kind.SCREW))  # a Schraube and a vis are either


def read_twice(draft: Draft) -> None:
    """Read "écrou/nut M10", one thing in two languages, as the word that says the more of it."""
    kept: Match | None = None
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.SIGN or token.text != "/" or not at or draft.depth[at]:
            continue
        one, two = draft.inside[at - 1], draft.matches.get(at + 1)
        if kept is not None and one is not None and draft.used[one.first]:
            one = kept
        if one is None or two is None or not _same_thing(one, two):
            continue
        fuller = _said(two) - _said(one)
        english = "foreign" not in two.phrase.by_itself
        kept, other = (two, one) if fuller > 0 or (english and not fuller) else (one, two)
        draft.use(at)
        draft.use(other.first, other.last)


def _said(match: Match) -> int:
    return len(match.phrase.plain) - ("foreign" in match.phrase.by_itself)


def _same_thing(one: Match, two: Match) -> bool:
    said = [match.phrase.get("noun") for match in (one, two)]
    if not all(said) or one.phrase.get("foreign") == two.phrase.get("foreign"):
        return False
    return said[0] == said[1] or {Kind(str(noun)) for noun in said} == _ONE_THING


def read_kind(draft: Draft) -> None:
    """Decide the kind and note its noun."""
    solids = _solids(draft)
    chosen = _choose(draft, solids)
    if chosen is not None:
        assert chosen.kind is not None
        draft.kind, draft.noun = chosen.kind, chosen.match
        draft.use(chosen.at, chosen.end)
        _turned(draft)
        _deepened(draft)
        return
    if _is_ball(draft, solids):
        draft.kind, draft.noun = Kind.BALL, solids[0].match
        draft.use(solids[0].at)
        return
    if solids and draft.says(solids[-1].at, "tool"):
        draft.tool = True
        return
    if not any(solid.kind for solid in solids) and (kind := _compound(draft, solids)):
        draft.kind = kind
        return
    if _is_pipework(draft, solids):
        draft.tool = True
        return
    loose = bool(solids) and draft.word(solids[-1].at).rstrip("s") in ("clip", "clamp")
    if loose or (any(s.kind for s in solids) and not draft.settled):
        draft.twofold = NO_SINGLE_NOUN
    _implied(draft, solids)
    if draft.kind is Kind.PART and not draft.twofold:
        draft.twofold = _two_trades(draft, solids)
    if draft.kind is Kind.PART and not draft.twofold and _like_a_thing(draft, solids):
        draft.twofold = NO_SINGLE_NOUN


def _two_trades(draft: Draft, solids: list[_Solid]) -> str:
    """Return what to ask of a word that two trades use for two things, with a size beside it."""
    if "trades" not in draft.fields or not any(t.mark is Mark.NUMBER for t in draft.tokens):
        return ""
    return (solids and draft.says(solids[0].at, "trades")) or ""


_PIPEWORK = frozenset(("hose", "pipe"))


def _is_pipework(draft: Draft, solids: list[_Solid]) -> bool:
    """Tell "hose 3/8 x 1100 mm, 1/2 BSP ends", cut to a length, with a thread on its ends."""
    return not any(solid.kind for solid in solids) and any(
        draft.word(solid.end - 1).rstrip("s") in _PIPEWORK for solid in solids
    )


# The last part of German, Dutch and Swedish compounds, and what such a thing is.
_TAILS = (
    (("schraube", "schrauben", "skruv", "skruvar", "schroef", "schroeven"), Kind.SCREW),
    (("bult", "bultar", "bout", "bouten"), Kind.BOLT),
    (("mutter", "muttern", "muttrar", "moer", "moeren"), Kind.NUT),
    (("bricka", "brickor"), Kind.WASHER),
    (("packning", "packningar", "dichtung", "dichtungen", "pakking", "pakkingen"), Kind.GASKET),
)
_BEFORE_TAIL = 3  # letters


def _compound(draft: Draft, solids: list[_Solid]) -> Kind | None:
    """Read the noun at the end of a compound that no list has: "Deckelschraube"."""
    if len(solids) != 1 or solids[0].match is not None:
        return None
    word = draft.word(solids[0].at)
    for tails, kind in _TAILS:
        for tail in tails:
            if word.endswith(tail) and len(word) >= len(tail) + _BEFORE_TAIL:
                return kind if kind is Kind.GASKET or has_thread(draft) else None
    return None


_ENDINGS = (
    "scheibe", "scheiben", "niet", "niete", "nieten", "stift", "stifte", "splint", "splinte",
    "bolzen", "ringe", "sprint", "pinne", "pinnar", "bout", "bouten", "spie", "spieën",
)  # fmt: skip


def _like_a_thing(draft: Draft, solids: list[_Solid]) -> bool:
    """Tell a compound nobody listed that ends like a fastener and has sizes: "Zierniet 4x10".

    A brake disc is a Scheibe too: so it is asked what it is.
    """
    if len(solids) != 1 or solids[0].match is not None:
        return False
    named = draft.word(solids[0].at).endswith(_ENDINGS)
    return named and any(token.mark is Mark.BY for token in draft.tokens)


def _turned(draft: Draft) -> None:
    """Read the capitals of a parts book, thing first: "BEARING BALL IMPELLER" is no loose ball."""
    turned = draft.noun.phrase.get("capitals") if draft.noun and draft.text.isupper() else None
    if turned is not None:
        form, _, kind = turned.partition(" ")
        draft.kind = Kind(kind)
        draft.put("form", form)


_DEEPEST = 4  # mm: what seals by being crushed is thinner, DIN 7603; a lip seal is not, DIN 3760


def _deepened(draft: Draft) -> None:
    """Read "Dichtring 25x40x7" as a lip seal: seven is too deep for a ring that is crushed."""
    if draft.kind is not Kind.SEALING_WASHER or "material" in draft.fields:
        return
    for at, token in enumerate(draft.tokens[:-4]):
        figures, signs = draft.tokens[at : at + 5 : 2], draft.tokens[at + 1 : at + 5 : 2]
        sized = token.mark is Mark.NUMBER and all(sign.mark is Mark.BY for sign in signs)
        if sized and all(is_whole(figure) for figure in figures):
            deep = figures[-1].value or 0
            if _DEEPEST < deep < (figures[0].value or 0):
                draft.kind = Kind.SEAL
            return


def _is_ball(draft: Draft, solids: list[_Solid]) -> bool:
    """Tell "24 1/4 in balls", a ball with a size and nothing else, from a ball joint."""
    if not solids or draft.says(solids[0].at, "weak") != "ball":
        return False
    first = solids[0].end  # "Ball, 3/16 dia., steering head"
    listed = draft.mark(first) is Mark.COMMA and draft.mark(first + 1) is Mark.NUMBER
    # "3/32 balls headset": several of a size, so no ball joint
    sized = draft.word(solids[0].at) == "balls" and any(
        token.fraction for token in draft.tokens[: solids[0].at]
    )
    alone = len(solids) == 1 or listed or sized
    return alone and any(t.mark is Mark.NUMBER for t in draft.tokens)


def _implied(draft: Draft, solids: list[_Solid]) -> None:
    """Take the kind from a standard's number, or from a head that says screw or nut."""
    known = standards().get(draft.standard)
    if known is not None and not any(s.part for s in solids):
        draft.kind, draft.twofold = Kind(known.kind), ""
        return
    sized = has_thread(draft)
    for at, found in draft.matches.items():
        implied = found.phrase.get("implies")
        if implied and (sized or not solids) and at not in draft.other:
            draft.kind, draft.twofold = Kind(implied), ""
            return


def standard_name(text: str) -> str:
    """Return the canonical name of a standard: ``DIN EN ISO 4762:2004`` is ``ISO 4762``."""
    name = text.upper().split(":")[0].strip()
    letters = name.rstrip("0123456789.-").rstrip(" :-") if name[-1].isdigit() else name
    number = name[len(letters) :].lstrip(" :-")
    words = letters.split()
    if letters.endswith("ISO"):
        return f"ISO {number}"
    if len(words) > 1 and len(words[-1]) == 1:  # "ASME B18.3", "JIS B1176"
        return f"{' '.join(words[:-1])} {words[-1]}{number}"
    return f"{' '.join(words)} {number}"


def has_thread(draft: Draft) -> bool:
    """Return whether the text names a thread: M6, 2BA, #10-32, 1/4-20, or a size with a series."""
    if any(t.mark in _THREADS and not u for t, u in zip(draft.tokens, draft.used, strict=True)):
        return True
    if draft.series or "series" in draft.fields or for_model_engineers(draft.text):
        return any(t.mark is Mark.NUMBER for t in draft.tokens)
    marked = [token for token in draft.tokens if token.mark is not Mark.INCH]
    return any(
        a.mark is Mark.NUMBER
        and b.mark is Mark.DASH
        and c.mark is Mark.NUMBER
        and (a.value or 99) <= 24
        and 4 <= (c.value or 0) <= 80
        for a, b, c in zip(marked, marked[1:], marked[2:], strict=False)
    )


def _solids(draft: Draft) -> list[_Solid]:
    """List the words of the text's own noun phrase that can be the thing."""
    solids: list[_Solid] = []
    segment, at = 0, 0
    count = len(draft.tokens)
    nouns = _nouns_near(draft)
    while at < count:
        token, found = draft.tokens[at], draft.matches.get(at)
        if draft.depth[at] or draft.used[at]:
            at += 1
            continue
        if token.mark is Mark.COMMA:
            segment += bool(solids)
        if token.mark is not Mark.WORD:
            at += 1
            continue
        end = found.last if found else at + 1
        if token.text in "mM" and solids and (shortened := _shortened_with(draft, at)):
            draft.after_with, draft.other = at, shortened
            draft.ask(TWO_THINGS)
            break
        said = found.phrase.by_itself if found is not None else {}
        if found is not None and ("prep" in said or "with" in said):
            named = any(s.kind for s in solids)
            of_another = bool(solids) and _sized_noun(draft, end) > 0
            if (
                "prep" in said
                and (not solids or (not named and has_thread(draft)))
                and not (of_another)
            ):
                at = end  # "carb to head studs M8x40": the noun is still to come
                continue
            draft.after_with = at
            draft.other = _other(draft, at, found)
            if draft.other and "with" in said:
                draft.ask(TWO_THINGS)
            break
        if "tool" in said and _fitted(draft, at, solids):
            at = end
            continue
        solid = _solid(draft, at, end, segment, found, nouns)
        if solid is not None:
            solids.append(solid)
        at = end
    return solids


_FOR = frozenset(("for", "suit", "suits", "fits", "für", "fuer", "pour", "voor", "para", "för"))


def _sized_noun(draft: Draft, at: int) -> int:
    """Return where the noun of another thing stands, "tap 1/4 gas for M10 stud"; 0 for "for M8"."""
    if draft.word(at - 1) not in _FOR or draft.mark(at) not in (*_THREADS, Mark.NUMBER):
        return 0
    at += 1
    while draft.mark(at) is Mark.INCH or draft.says(at, "unit") or draft.says(at, "series"):
        at += 1
    return at if draft.says(at, "noun") is not None else 0


def _fitted(draft: Draft, at: int, solids: list[_Solid]) -> bool:
    """Tell the tool that fits a thing, "fibre washer 5/16 13mm spanner", from a tool by itself."""
    number = at - 1 if draft.mark(at - 1) is Mark.NUMBER else at - 2
    measured = number >= 0 and draft.mark(number) is Mark.NUMBER
    united = number == at - 1 or draft.mark(at - 1) is Mark.INCH or draft.says(at - 1, "unit")
    return measured and bool(united) and any(solid.kind for solid in solids)


def _shortened_with(draft: Draft, at: int) -> range:
    """Return the tokens of "m. Dichtring", German for with another thing; none for metres."""
    if draft.text_of(at + 1) != ".":
        return range(0)
    found = draft.matches.get(at + 2)
    named = found is not None and found.phrase.get("noun") and found.phrase.get("foreign") == "de"
    return range(at, found.last) if found is not None and named else range(0)


_NAMED = ("noun", "weak", "implies")


def _other(draft: Draft, at: int, link: Match) -> range:
    """Return the tokens after a link that do not speak of the thing itself."""
    end = link.last
    if link.phrase.get("with") and end - at > 1:
        known = vocabulary()[0].get(draft.word(end - 1))
        if known is not None and known.get("noun"):  # "con dado", "m. Mutter"
            return range(at, end)
    if link.phrase.get("with"):
        while end < len(draft.tokens) and draft.mark(end) is not Mark.COMMA:
            found = draft.matches.get(end)
            if found is not None and any(found.phrase.get(n) for n in _NAMED):
                return range(at, found.last)
            end += 1
        return range(0)
    if noun := _sized_noun(draft, end):
        return range(at, draft.matches[noun].last)
    while draft.mark(end) in (Mark.WORD, Mark.DASH) or _beside_word(draft, end):
        end += 1
    return range(at, end)


def _beside_word(draft: Draft, at: int) -> bool:
    """Tell the figure of "for 1/2 in slot", which a name follows, from a size at the end."""
    if draft.mark(at) not in (Mark.NUMBER, Mark.INCH):
        return False
    inch = draft.mark(at + 1) is Mark.INCH or draft.says(at + 1, "unit") is not None
    after = at + 2 if inch and draft.mark(at) is Mark.NUMBER else at + 1
    found = draft.inside[after] if after < len(draft.tokens) else None
    said = found is not None and any(found.phrase.get(n) for n in ("series", "role", "unit"))
    return draft.mark(after) is Mark.WORD and not said


def _nouns_near(draft: Draft) -> set[str]:
    """The nouns in the text, by the word their modifiers stand beside."""
    near = set()
    for found in draft.matches.values():
        noun = found.phrase.get("noun") or found.phrase.get("weak")
        if noun:
            near.add(BASE.get(noun, noun))
            if found.phrase.get("weak") == "circlip":
                near.add("ring")
    return near


def _solid(
    draft: Draft, at: int, end: int, segment: int, found: Match | None, nouns: set[str]
) -> _Solid | None:
    solid = _Solid(at, end, segment)
    if found is None:
        return solid if _is_name(draft, at) else None
    phrase = found.phrase
    noun, weak = phrase.get("noun"), phrase.get("weak")
    if noun or weak:
        solid.kind = Kind(noun) if noun else _qualified(draft, str(weak))
        solid.match, solid.part = found, solid.kind is None
        return solid
    counted = draft.mark(at - 1) is Mark.NUMBER  # "20 gauge", "3 pin"
    attribute = phrase.get("attr") is not None
    if attribute and counted and phrase.get("role"):
        return None
    solid.part = phrase.get("part") is not None
    attribute = attribute and not counted
    beside = any(n in nouns for n, _, _ in phrase.beside)
    named = solid.part or attribute or not phrase.plain or phrase.get("trades")
    return solid if named and not beside else None


def _is_name(draft: Draft, at: int) -> bool:
    """Leave codes such as A2, S01 and 2RS out of the noun phrase."""
    text = draft.tokens[at].text
    return (
        any(c.isalpha() for c in text)
        and not any(c.isdigit() for c in text)
        and not (len(text) == 1 and text.isascii())
    )


def _metric(draft: Draft) -> bool:
    return any(token.mark is Mark.METRIC for token in draft.tokens)


# Words that are a noun by themselves, and when: "perno" is a pin where no thread makes it a bolt,
# "Sicherungsscheibe M8" locks a nut and goes into no groove.
_SETTLED: dict[str, Callable[[Draft], bool]] = {
    "spacer": lambda _: True,
    "bolt": has_thread,
    "E-clip": lambda draft: not _metric(draft),
}


def _qualified(draft: Draft, weak: str) -> Kind | None:
    """Settle a pin, ring, key, plug, clip, ball, clamp or insert by the words beside it."""
    noun = "ring" if weak == "circlip" else weak
    for at, other in draft.matches.items():
        if other.phrase.get("with"):
            break
        if draft.depth[at]:
            continue
        for beside, name, value in other.phrase.beside:
            if beside == noun and name == "kind":
                if noun == "ring":
                    draft.use(at, other.last)
                return Kind(value)
    if weak in _SETTLED and _SETTLED[weak](draft):
        return Kind(weak)
    if weak == "key" and sum(token.mark is Mark.BY for token in draft.tokens) == _SIDES - 1:
        return Kind.PARALLEL_KEY
    named = "series" in draft.fields
    if weak in ("plug", "insert") and (named or has_thread(draft)):
        return Kind(weak)
    known = standards().get(draft.standard)
    if known is None and weak == "pin" and _alone_with_sizes(draft):
        return Kind.PIN
    return Kind(known.kind) if known is not None else None


def _alone_with_sizes(draft: Draft) -> bool:
    """Tell "pin 4 x 30" and "shear pin 1/8 x 7/8 brass" from a pin that has a name of its own."""
    if not any(token.mark is Mark.BY for token in draft.tokens):
        return False
    if _metric(draft):
        return False  # "Bolzen M10x40" has a thread, as no pin has
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.WORD or draft.used[at] or draft.depth[at]:
            continue
        found = draft.inside[at]
        if found is None or found.phrase.get("part"):
            return False
    return True


_SIDES = 3  # width, height and length of a key


def _choose(draft: Draft, solids: list[_Solid]) -> _Solid | None:
    """Pick the noun, or None when the text has none or leaves it open."""
    main = _segment(draft, solids) if any(s.kind for s in solids) else []
    nouns = [s for s in main if s.kind is not None]
    if not nouns or draft.says(main[-1].at, "tool"):
        return None
    if main[-1].kind is not None:
        return _last(draft, main)
    after = main[main.index(nouns[-1]) + 1 :]
    only = nouns[0] if len({s.kind for s in nouns}) == 1 else nouns[-1]
    fixing = _sized(draft) and only.kind in _FIXINGS
    if after[0].part and only.kind in _TRAPS:
        draft.settled = not (fixing and _touches(draft, only))
        return None if draft.settled else only
    if fixing or (only is main[0] and _leads(draft, only, solids)):
        return only
    draft.settled = main[-1].part and only is not main[0] and not _sized(draft)
    return None


_SIZE_MARKS = (Mark.NUMBER, *_THREADS)


def _foreign(draft: Draft, only: _Solid) -> bool:
    """Tell a noun of another language with a size, or of a gasket, which has none."""
    if only.match is None or only.match.phrase.get("foreign") is None:
        return False
    return only.kind is Kind.GASKET or any(token.mark in _SIZE_MARKS for token in draft.tokens)


def _leads(draft: Draft, only: _Solid, solids: list[_Solid]) -> bool:
    """Tell "KEY WOODRUFF SHAFT TO GEAR", "Screw Lens to lamp" (noun first) from "bolt cutters".

    What stands behind a noun of another language tells which: "graisseur M6 droit".
    """
    return (
        _foreign(draft, only)
        or draft.after_with < len(draft.tokens)
        or draft.text.isupper()
        or solids[-1].segment > solids[0].segment
        or (only.end - only.at > 1 and not solids[-1].part)
        or only.kind is Kind.GASKET
        or (_touches(draft, only) and any(t.mark is Mark.BY for t in draft.tokens))
    )


def _segment(draft: Draft, solids: list[_Solid]) -> list[_Solid]:
    """Return the words between commas that hold the noun; the first such, as parts books write."""
    first = [s for s in solids if s.segment == solids[0].segment]
    if any(s.kind for s in first):
        return first
    if first[-1].part or not _sized(draft):
        draft.settled = first[-1].part
        return []
    noun = next(s for s in solids if s.kind)
    return [s for s in solids if s.segment == noun.segment]


def _last(draft: Draft, main: list[_Solid]) -> _Solid | None:
    first, last = main[0], main[-1]
    if first is last or _in_order(first, last):
        return first
    if {first.kind, last.kind} == {Kind.WASHER, Kind.GASKET}:
        first.kind = Kind.WASHER
        return first
    if first.kind is Kind.SEAL and last.kind is Kind.O_RING:
        return last
    if last.kind in SHORT and (long := _with_its_nut(draft, main)):
        return long
    if last.kind not in _FIXINGS and draft.word(first.at) in _SEATS:
        draft.settled = True
        return None
    return last


_LENGTHY = frozenset((Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD))


def _with_its_nut(draft: Draft, main: list[_Solid]) -> _Solid | None:
    """Read "roofing bolt M6x25 sq nut" as the bolt, and keep the nut as a second thing."""
    for solid in main[:-1]:
        if solid.kind in _LENGTHY and (end := _long_behind(draft, solid)):
            draft.ask(TWO_THINGS)
            draft.unread.append(draft.written(end, main[-1].end))
            draft.use(end, main[-1].end)
            return solid
    return None


def _long_behind(draft: Draft, noun: _Solid) -> int:
    """Return where the size of "roofing bolt M6x25 sq nut" ends, which no nut has; else 0."""
    at = noun.end
    if draft.mark(at) not in _SIZE_MARKS:
        return 0
    while draft.mark(at) in (*_SIZE_MARKS, Mark.BY, Mark.INCH, Mark.DASH) or draft.says(at, "unit"):
        at += 1
    return at if any(token.mark is Mark.BY for token in draft.tokens[noun.end : at]) else 0


_NOUN_FIRST = ("fr", "es", "it")


def _in_order(first: _Solid, last: _Solid) -> bool:
    """Tell "écrou prisonnier", a nut: French, Spanish and Italian put the thing first."""
    if first.match is None or last.match is None:
        return False
    tongue = first.match.phrase.get("foreign")
    return tongue in _NOUN_FIRST and last.match.phrase.get("foreign") in _NOUN_FIRST


def _sized(draft: Draft) -> bool:
    return has_thread(draft)


def _touches(draft: Draft, solid: _Solid) -> bool:
    """Return whether a size stands right before or after the noun: "M6 x 20 bolt cover plate"."""
    return draft.mark(solid.at - 1) in (Mark.NUMBER, *_THREADS) or draft.mark(solid.end) in (
        Mark.NUMBER, *_THREADS, Mark.DASH,
    )  # fmt: skip


_CLASSES = frozenset(
    ["3.6", "4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9", "14.9"]
)

_NUT_CLASSES = frozenset(["04", "05", "4", "5", "6", "8", "9", "10", "12"])

_DIN_NUMBERS = frozenset(
    [
        "912", "931", "933", "934", "985", "125", "127", "7991", "9021", "965", "963", "84", "85",
        "7985",
    ]
)  # fmt: skip

_WORDS = ("head", "drive", "form", "material", "finish")

_THREADLESS = frozenset((Kind.WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.TOOTHED_WASHER))

_HEADED = frozenset(
    (Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.DRIVE_SCREW, Kind.RIVET, Kind.NAIL, Kind.PLUG,
     Kind.PIN, Kind.CLEVIS_PIN, Kind.PART, Kind.BLEED_NIPPLE)
)  # fmt: skip

_HEADLESS = frozenset(Kind) - _HEADED
# Fields that other steps read; they say nothing of the thing itself.
_NOT_SAID = frozenset(
    [
        "part",
        "trail",
        "prep",
        "and",
        "or",
        "with",
        "attr",
        "role",
        "unit",
        "count",
        "weak",
        "foreign",
    ]
)

_GLUED_GRADE = re.compile(r"(?:gr|grade)([0-9]{1,2})", re.IGNORECASE)
# Letters before a size: ISO 228-1, ISO 7-1, ISO 1478.
_PREFIX = {
    "G": Series.BSP, "R": Series.BSPT, "Rp": Series.BSPT, "Rc": Series.BSPT,
    "ST": Series.SELF_TAPPING,
}  # fmt: skip

_FIT = re.compile(r"[mh][5-9]")


def read_standard(draft: Draft) -> None:
    """Note the standard; a second one and a form letter become marks."""
    for at, token in enumerate(draft.tokens):
        if token.mark is Mark.WORD and len(token.text) <= _LONGEST_FIT:
            _fit_or_form(draft, at, token)
        if token.mark is not Mark.CODE:
            continue
        name = standard_name(token.text)
        draft.use(at)
        if not draft.standard:
            draft.standard = name
        elif name != draft.standard:
            draft.marks.append(name)
            draft.ask(f"two standards, {draft.standard} and {name}: which is it?")
        _form_letter(draft, at + 1)
    _lettered_size(draft)
    if _RING_SIZE.search(draft.text):
        _lettered_ring(draft)
    _steel_number(draft)
    if not draft.standard:
        _bare_din(draft)
    for at, token in enumerate(draft.tokens[:-1]):
        letter = _PREFIX.get(token.text) if token.mark is Mark.WORD else None
        if letter is None or draft.mark(at + 1) is not Mark.NUMBER or draft.used[at]:
            continue
        if letter is Series.SELF_TAPPING or _pipe_size(draft, at + 1):
            draft.series = letter
            draft.use(at)


_PIPES = ("1", "2", "3", "4", "6")


def _pipe_size(draft: Draft, at: int) -> bool:
    """Tell "R 3/4" and "G 1 plug" from the "R 3" of a pin: whole inches are of pipework alone."""
    if draft.tokens[at].fraction or draft.mark(at + 1) is Mark.INCH:
        return True
    pipework = any(found.phrase.get("weak") == "plug" for found in draft.matches.values())
    return draft.tokens[at].text in _PIPES and pipework


_LONGEST_FIT = len("form")


def _fit_or_form(draft: Draft, at: int, token: Token) -> None:
    """Note "fit h8", a lone h8 and "form B" as marks."""
    word = token.text.lower()
    if word == "fit" and _FIT.fullmatch(draft.text_of(at + 1)):
        draft.marks.append(f"fit {draft.text_of(at + 1)}")
        draft.use(at, at + 2)
    elif word == "form" and draft.text_of(at + 1) in _FORMS:
        draft.marks.append(f"form {draft.text_of(at + 1)}")
        draft.use(at, at + 2)
    elif len(word) == 2 and _FIT.fullmatch(token.text) and not draft.used[at]:
        draft.marks.append(f"fit {token.text}")
        draft.use(at)


_FORMS = frozenset("ABCDEFGH")

STEELS = frozenset(
    ("201", "301", "302", "303", "304", "305", "310", "316", "321", "347", "410", "416", "420",
     "430", "431", "440")
)  # fmt: skip
"""Stainless steels by their AISI numbers."""


_STEEL_FIGURES = STEELS | {"18", "18/8"}


def _steel_number(draft: Draft) -> None:
    """Read "303 stainless", "AISI 316" and "18-8": no count and no size. Source: AISI numbers."""
    marked = [at for at, token in enumerate(draft.tokens) if token.text in _STEEL_FIGURES]
    if not marked:
        return
    stainless = any(hit.phrase.get("material") == "stainless" for hit in draft.matches.values())
    for at in marked:
        token = draft.tokens[at]
        if draft.used[at] or token.mark is not Mark.NUMBER:
            continue
        joined = draft.mark(at - 1) is Mark.BY or draft.mark(at + 1) is Mark.BY
        named = draft.word(at - 1) == "aisi"
        if (named or stainless) and token.text in STEELS and not joined:
            draft.marks.append(f"AISI {token.text}")
            draft.use(at - named, at + 1)
        dash = draft.mark(at + 1) is Mark.DASH and not draft.tokens[at + 1].spaced
        austenitic = token.text == "18" and dash and draft.text_of(at + 2) in ("8", "10")
        austenitic = austenitic and draft.mark(at + 3) is not Mark.BY
        if (austenitic or (token.text == "18/8" and stainless)) and not joined:
            draft.put("material", "stainless")
            draft.marks.append("18-8")
            draft.use(at, at + 3 if austenitic else at + 1)


def _form_letter(draft: Draft, at: int) -> None:
    """Read the form letter after a standard: DIN 7603 A, DIN 125-A, DIN 127 B."""
    if draft.mark(at) in (Mark.DASH, Mark.COMMA):
        at += 1
    if re.fullmatch(r"[A-H]", draft.text_of(at)):
        draft.marks.append(draft.text_of(at))
        draft.use(at)


_RING_SIZE = re.compile(r"[AJ][1-9][0-9]{0,2}")


def _lettered_ring(draft: Draft) -> None:
    """Split the form from the size of a circlip: "Seegerring A30" (DIN 471, J of DIN 472)."""
    if not any(
        "circlip" in (hit.phrase.get("noun"), hit.phrase.get("weak"))
        for hit in draft.matches.values()
    ):
        return
    for at, token in enumerate(draft.tokens):
        if token.mark is Mark.WORD and not draft.depth[at] and _RING_SIZE.fullmatch(token.text):
            draft.put("form", "internal" if token.text[0] == "J" else "external")
            token.mark, token.text = Mark.NUMBER, token.text[1:]
            token.value, token.start = Fraction(token.text), token.start + 1
            return


def _lettered_size(draft: Draft) -> None:
    """Split the form letter from the size of a washer: "Federring A6 DIN 127"."""
    lettered = next(
        (
            token
            for token in draft.tokens
            if token.mark is Mark.WORD and len(token.text) < 4 and token.text[0] in "ABCDEFGH"
            and token.text[1:].isdecimal()
        ),
        None,
    )  # fmt: skip
    if lettered is None:
        return
    known = standards().get(draft.standard)
    german = known is None and any(
        hit.phrase.get("foreign") == "de" and "washer" in (hit.phrase.get("noun") or "")
        for hit in draft.matches.values()
    )
    if not german and (known is None or "washer" not in known.kind):
        return
    letter = lettered.text[0]
    draft.marks.append(f"form {letter}" if german else letter)
    lettered.mark, lettered.text = Mark.NUMBER, lettered.text[1:]
    lettered.value, lettered.start = Fraction(lettered.text), lettered.start + 1


def _bare_din(draft: Draft) -> None:
    """Read a number that stands first with nothing but figures after it: "912 5 18 A2"."""
    first = draft.tokens[0]
    if not is_whole(first) or first.text not in _DIN_NUMBERS or draft.used[0]:
        return
    rest = draft.tokens[1:]
    figures = [t for t in rest if t.mark is Mark.NUMBER]
    if len(figures) < 2 or any(t.mark is Mark.WORD for t in rest):
        return
    if draft.mark(1) is Mark.NUMBER and figures[0] is rest[0] and len(figures) == 2:
        draft.standard = f"DIN {first.text}"
        draft.use(0)
        draft.ask(f"{first.text} read as {draft.standard}")
        _bare_sizes(draft)


def _bare_sizes(draft: Draft) -> None:
    one, two = draft.tokens[1], draft.tokens[2]
    if not (is_whole(one) and is_whole(two)):
        return
    one.mark, one.text = Mark.METRIC, f"M{one.text}"
    draft.tokens.insert(2, type(one)(Mark.BY, "x", two.start, two.start))
    draft.used.insert(2, False)
    draft.depth.insert(2, 0)
    draft.inside.insert(2, None)


def read_fit(draft: Draft) -> None:
    """Read the fit between a pin's diameter and length: ISO 2338 - 6 m6 x 30."""
    if draft.kind not in (Kind.DOWEL, Kind.TAPER_PIN):
        return
    for at, token in enumerate(draft.tokens[:-1]):
        fit = token.mark is Mark.METRIC and _FIT.fullmatch(token.text)
        if fit and draft.mark(at - 1) is Mark.NUMBER and draft.mark(at + 1) is Mark.BY:
            draft.marks.append(f"fit {token.text}")
            draft.use(at)


def read_class(draft: Draft) -> None:
    """Find 8.8, A2-70, Grade 5, 200 HV, class 8 and the class after a nut's size."""
    graded = "class" in draft.fields
    for at, token in enumerate(draft.tokens):
        if draft.used[at]:
            continue
        if token.mark is Mark.CLASS:
            _set_class(draft, at, at + 1, _class_name(token.text))
        elif (
            token.mark is Mark.WORD
            and token.text[0] in "gG"
            and (glued := _GLUED_GRADE.fullmatch(token.text))
        ):
            _set_class(draft, at, at + 1, f"Grade {glued[1]}")
        elif graded and draft.says(at, "class") == "next":
            _after_grade(draft, at)
        elif token.mark is Mark.NUMBER and token.text.replace(",", ".") in _CLASSES:
            if not _measured(draft, at):
                _set_class(draft, at, at + 1, token.text.replace(",", "."))
        elif is_whole(token) and draft.kind is Kind.NUT and token.text in _NUT_CLASSES:
            before = draft.mark(at - 2)
            dash = (
                draft.mark(at - 1) in (Mark.DASH, Mark.COMMA) and "-" in draft.tokens[at - 1].text
            )
            pitch = before is Mark.NUMBER and _is_pitch(draft, at - 2)
            if dash and (before in (Mark.METRIC, Mark.CODE) or pitch):
                _set_class(draft, at, at + 1, token.text)


def _is_pitch(draft: Draft, at: int) -> bool:
    return draft.mark(at - 1) is Mark.BY and draft.mark(at - 2) is Mark.METRIC


def _class_name(text: str) -> str:
    found = re.fullmatch(r"([0-9]+) ?(HV|H)", text, re.IGNORECASE)
    if found:
        return f"{found[1]} HV" if found[2].upper() == "HV" else f"{found[1]}H"
    return text.upper()


def _measured(draft: Draft, at: int) -> bool:
    """Tell a length of 8.8 mm from the class 8.8."""
    return (
        draft.mark(at - 1) is Mark.BY
        or draft.mark(at + 1) in (Mark.BY, Mark.INCH)
        or draft.says(at + 1, "unit") is not None
        or draft.says(at + 1, "role") is not None
        or draft.kind in _THREADLESS
    )


def _after_grade(draft: Draft, at: int) -> None:
    number = draft.matches[at].last
    if draft.mark(number) is Mark.SIGN and draft.tokens[number].text == ".":
        number += 1
    if number >= len(draft.tokens):
        return
    token = draft.tokens[number]
    text = token.text.replace(",", ".")
    if token.mark is Mark.CLASS:
        _set_class(draft, at, number + 1, _class_name(token.text))
    elif token.mark is Mark.NUMBER and text in _CLASSES:
        _set_class(draft, at, number + 1, text)
    elif is_whole(token) and len(text) < 3:
        british = draft.word(at) in ("grade", "gr", "grd", "gde")
        nut = draft.kind is Kind.NUT and any(t.mark is Mark.METRIC for t in draft.tokens)
        _set_class(draft, at, number + 1, text if nut or not british else f"Grade {text}")
    elif token.mark is Mark.WORD and re.fullmatch(r"[A-Z]|[A-Z]?[0-9]{1,2}", token.text):
        _set_class(draft, at, number + 1, f"Grade {token.text}")


def _set_class(draft: Draft, first: int, last: int, value: str) -> None:
    if draft.values.get("class", value) != value:
        draft.ask(f"two strength classes, {draft.values['class']} and {value}: which is it?")
        return
    draft.put("class", value)
    before = first - 1
    if draft.mark(before) is Mark.DASH:
        draft.use(before)
    draft.use(first, last)


_SHORTEST = 5  # letters: below it half the language is one slip from a word of shape
_HEAD_WORDS = ("head", "hd", "headed")


@cache
def _slips() -> dict[str, str]:
    """Return each word of shape with a letter left out, or two turned round, to the word."""
    slips: dict[str, str] = {}
    for word, phrase in vocabulary()[0].items():
        shape = phrase.beside or any(phrase.get(name) for name in _WORDS)
        if len(word) < _SHORTEST or not word.isalpha() or not shape or phrase.get("noun"):
            continue
        for at in range(len(word)):
            slips.setdefault(word[:at] + word[at + 1 :], word)
            slips.setdefault(word[:at] + word[at : at + 2][::-1] + word[at + 2 :], word)
    return slips


def _mend_slips(draft: Draft) -> None:
    """Read "spirng washer" and "chees head" as what one slip of a key makes of them, and ask."""
    for at, token in enumerate(draft.tokens[:-1]):
        unknown = token.mark is Mark.WORD and draft.inside[at] is None and not draft.depth[at]
        if not unknown or len(token.text) < _SHORTEST:
            continue
        typed = token.text.lower()
        before = draft.noun is not None and at + 1 == draft.noun.first
        meant = _slips().get(typed) if before or draft.word(at + 1) in _HEAD_WORDS else None
        if meant is None or typed in vocabulary()[1]:
            continue
        draft.matches[at] = Match(at, at + 1, vocabulary()[0][meant])
        draft.ask(f"{draft.tokens[at].text}: read as {meant}")


def read_words(draft: Draft) -> None:
    """Gather what every phrase says of the noun; then what the standard adds."""
    _mend_slips(draft)
    if draft.noun is not None:
        for name, value in draft.noun.phrase.plain:
            _apply(draft, name, value, draft.raw(draft.noun.first, draft.noun.last))
    for at, found in draft.matches.items():
        if draft.noun is found or draft.used[at] or at in draft.other or _apart(draft, at, found):
            continue
        if not draft.depth[at] or _understood(draft, at):
            _phrase(draft, at, found.last, found.phrase.fields_for(draft.base))
    known = standards().get(draft.standard)
    if known is not None:
        _standard_words(draft, known)
    if draft.series is Series.WOOD and not draft.values.get("head"):
        _round_head(draft)
    pointed = draft.values.get("form", "").endswith(" point")
    if draft.kind is Kind.SETSCREW and (pointed or draft.values.get("drive")):
        draft.put("head", "headless")
    for field, question in draft.asks:
        if not draft.values.get(field):
            put = draft.ask_kind if field == "form" else draft.ask
            put(question)


def _round_head(draft: Draft) -> None:
    """Read the "R.H." of a wood screw, which has no hand: BS 1210 lists, common practice."""
    for at, found in draft.matches.items():
        words = [draft.word(n) for n in range(at, found.last) if draft.word(n)]
        if words in (["rh"], ["r", "h"]) and not draft.used[at]:
            draft.put("head", "round")
            draft.use(at, found.last)


def _apart(draft: Draft, at: int, found: Match) -> bool:
    """Return whether a name or a head parts a thing, stud, from the noun that it would turn.

    "stud M6 bolt" is a stud; "stud sq section bolt" and "stud hex bolt" are bolts, of a stud.
    """
    thing = found.phrase.get("noun")
    if draft.noun is None or thing is None or BASE.get(thing, thing) == draft.base:
        return False
    if all(name != "kind" for name, _ in found.phrase.fields_for(draft.base)):
        return False
    before = at < draft.noun.first
    for here in range(found.last, draft.noun.first) if before else range(draft.noun.last, at):
        if draft.used[here] or draft.mark(here) is not Mark.WORD:
            continue
        inside = draft.inside[here]
        fields = inside.phrase.fields_for(draft.base) if inside is not None else ()
        if not _usable(draft, fields) or any(name == "head" for name, _ in fields):
            return True
    return False


def _standard_words(draft: Draft, known: Standard) -> None:
    """Add what the standard's number says; where the text contradicts it, the number stands."""
    if draft.noun is not None and draft.noun.phrase.get("either") == known.kind:
        draft.kind = Kind(known.kind)
    if Kind(known.kind) is not draft.kind and draft.kind not in (Kind.BOLT, Kind.SCREW):
        return
    for name in ("head", "drive", "form"):
        value = getattr(known, name)
        said = draft.values.get(name)
        if value and said and said != value and name != "form":
            draft.ask(f"{draft.standard} has {name} {value}, the text says {said}")
            draft.values[name] = value
        elif value:
            draft.put(name, value)
    if known.series and draft.series is None:
        draft.series = Series(known.series)


def _understood(draft: Draft, at: int) -> bool:
    """Return whether everything inside a pair of round brackets is vocabulary or already read."""
    first = at
    while first > 0 and draft.depth[first - 1]:
        first -= 1
    last = at
    while last < len(draft.tokens) and draft.depth[last]:
        last += 1
    for here in range(first, last):
        if draft.used[here] or draft.mark(here) in (
            Mark.OPEN,
            Mark.CLOSE,
            Mark.DASH,
            Mark.COMMA,
            Mark.CLASS,
        ):
            continue
        found = draft.inside[here]
        if found is None or not _usable(draft, found.phrase.fields_for(draft.base)):
            return False
    return True


def _usable(draft: Draft, fields: tuple[tuple[str, str], ...]) -> bool:
    return (
        bool(fields)
        and all(
            name
            in (*_WORDS, "series", "skip", "mark", "role", "unit", "implies", "noun", "foreign")
            for name, _ in fields
        )
        and not any(name == "noun" and value != str(draft.kind) for name, value in fields)
    )


def _phrase(draft: Draft, first: int, last: int, fields: tuple[tuple[str, str], ...]) -> None:
    noun = next((value for name, value in fields if name == "noun"), "")
    if draft.word(first) == "set" and _trails(draft, first):
        return
    if draft.word(first) == "gas" and any(token.mark in _THREADS for token in draft.tokens):
        return  # "gas ring nut M6": the name of a place
    if noun and BASE.get(noun, noun) != draft.base and not draft.depth[first]:
        return
    taken = False
    for name, value in fields:
        if name == "weak" and value == draft.base and not draft.depth[first]:
            taken = True  # "KEY WOODRUFF": the noun said twice
        if name in _NOT_SAID:
            continue
        if name == "noun" and value != str(draft.kind) and not draft.depth[first]:
            continue
        if value == "said already" and not draft.depth[first]:
            continue
        if (name, value) == ("finish", "plain") and not _after_size(draft, first):
            continue  # "NUT, PLAIN, HEXAGON" is a kind of nut
        taken = _apply(draft, name, value, draft.raw(first, last)) or taken
    if taken:
        draft.use(first, last)


def _after_size(draft: Draft, at: int) -> bool:
    return draft.word(at) != "plain" or any(t.value is not None for t in draft.tokens[:at])


def _trails(draft: Draft, at: int) -> bool:
    """Tell "crankcase screws set" from "set screw" and "SCREW, SET"."""
    return draft.noun is not None and draft.noun.last == at and draft.mark(at - 1) is Mark.WORD


def _apply(draft: Draft, name: str, value: str, typed: str) -> bool:
    """Return whether a phrase, as typed, says something of this kind of thing, and set that."""
    if name in _WORDS:
        return _set_word(draft, name, value, typed)
    if name == "series":
        return _set_series(draft, value, typed)
    if name == "kind" and (str(draft.kind) == draft.base or _open_kind(draft, value)):
        draft.kind = Kind(value)
    elif name == "ask":
        field, _, question = value.partition(": ")
        draft.asks.append((field, question))
    elif name == "two":
        draft.ask(TWO_THINGS)
        draft.unread.append(value.partition(" ")[2])  # "and nut"
    elif name == "mark":
        draft.marks.append(value)
    elif name == "pitchword" and value == "fine":
        draft.put("series", Series.METRIC_FINE)
    elif name == "implies":
        return BASE.get(value, value) == draft.base
    return name in ("kind", "two", "mark", "pitchword", "skip", "noun")


def _open_kind(draft: Draft, value: str) -> bool:
    """Tell a lock washer, spring or toothed, of which a word now says that it is toothed."""
    asked = any(field == "form" for field, _ in draft.asks)
    return asked and draft.kind is Kind.SPRING_WASHER and value == Kind.TOOTHED_WASHER


def _set_word(draft: Draft, name: str, value: str, typed: str) -> bool:
    headed = name in ("head", "drive")
    if headed and draft.kind in _HEADLESS:
        return value == "hex"  # "hex nut": every plain nut is
    said = draft.values.get(name)
    if said and said != value:
        if not headed:
            return False
        if said.endswith(value) or said.startswith(f"{value} "):
            return True  # "hexagon ... with flange" is the hex flange head, said in two words
        if value.endswith(said) or value.startswith(f"{said} "):
            draft.values[name] = value
            return True
        draft.ask(f"two words for the {name}, {said} and {value}: which is it?")
        draft.unread.append(f"{draft.typed.get(name, said)} or {_as_typed(typed, value)} {name}")
        draft.values[name] = ""
    draft.typed.setdefault(name, _as_typed(typed, value))
    draft.put(name, value)
    return True


def _as_typed(typed: str, word: str) -> str:
    """Return a word as it was typed, in our own capitals where only those differ."""
    return word if typed.casefold() == word.casefold() else typed


def _set_series(draft: Draft, value: str, typed: str) -> bool:
    if value == Series.WOOD and draft.kind is not Kind.SCREW:
        return False
    if value == Series.METRIC_FINE:
        draft.put("series", value)
    elif draft.series is not None and _other_thread(draft.series, Series(value)):
        one, other = (SERIES_LABEL.get(s, s) for s in (draft.series, Series(value)))
        draft.ask_thread(f"two threads, {one} and {other}: which is it, or which end has which?")
        draft.unread.append(f"{draft.typed.get('series', one)} or {_as_typed(typed, other)}")
        draft.sizeless = not {draft.series, value} <= INCH_SERIES
        draft.series = None
    elif value != Series.METRIC or draft.series is None:
        before = draft.typed.get("series", "") if draft.series is Series(value) else ""
        draft.series = Series(value)
        words = _as_typed(typed, SERIES_LABEL.get(draft.series, value))
        draft.typed["series"] = (
            before if f" {words} " in f" {before} " else f"{before} {words}".lstrip()
        )
    return True


def _other_thread(said: Series, value: Series) -> bool:
    """Return whether a second word names another thread: UNF beside BSF, metric beside BSF."""
    if Series.METRIC in (said, value):
        return bool(INCH_SERIES & {said, value})
    return said is not value


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

CLOSE = "close fit: the class of the thread, or a shank fitted to its hole?"


def read_tolerance(draft: Draft) -> None:
    """Find the class of the thread; a second one, or one without a size, becomes a mark."""
    for at, token in enumerate(draft.tokens):
        if token.mark is not Mark.WORD or draft.depth[at] or draft.used[at] or at == 0:
            continue
        if token.text[0].isdigit():
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
    """Return the end of a class, taking in the pair "6H/6g" of a nut and its bolt."""
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
