"""Standard, strength class, and what the words beside the noun say."""

import re
from fractions import Fraction

from stores.handbook.fastener.draft import TWO_THINGS, Draft, is_whole
from stores.handbook.fastener.model import Kind, Series
from stores.handbook.fastener.nouns import standard_name
from stores.handbook.fastener.tokens import Mark
from stores.handbook.fastener.words import BASE, Standard, standards
from stores.handbook.fastener.writing import INCH_SERIES, SERIES_LABEL

__all__ = ["read_class", "read_fit", "read_standard", "read_words"]

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
    ["part", "trail", "prep", "and", "or", "with", "attr", "role", "unit", "count", "weak"]
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
        if draft.word(at) == "fit" and _FIT.fullmatch(draft.text_of(at + 1)):
            draft.marks.append(f"fit {draft.text_of(at + 1)}")
            draft.use(at, at + 2)
        if token.mark is Mark.WORD and _FIT.fullmatch(token.text) and not draft.used[at]:
            draft.marks.append(f"fit {token.text}")
            draft.use(at)
        if draft.word(at) == "form" and re.fullmatch("[A-H]", draft.text_of(at + 1)):
            draft.marks.append(f"form {draft.text_of(at + 1)}")
            draft.use(at, at + 2)
        if token.mark is not Mark.CODE:
            continue
        name = standard_name(token.text)
        draft.use(at)
        if not draft.standard:
            draft.standard = name
        elif name != draft.standard:
            draft.marks.append(name)
            draft.ask(f"two standards: {draft.standard} and {name}")
        _form_letter(draft, at + 1)
    _lettered_size(draft)
    if not draft.standard:
        _bare_din(draft)
    for at, token in enumerate(draft.tokens[:-1]):
        letter = _PREFIX.get(token.text) if token.mark is Mark.WORD else None
        if letter is not None and draft.mark(at + 1) is Mark.NUMBER and not draft.used[at]:
            draft.series = letter
            draft.use(at)


def _form_letter(draft: Draft, at: int) -> None:
    """Read the form letter after a standard: DIN 7603 A, DIN 125-A, DIN 127 B."""
    if draft.mark(at) in (Mark.DASH, Mark.COMMA):
        at += 1
    if re.fullmatch(r"[A-H]", draft.text_of(at)):
        draft.marks.append(draft.text_of(at))
        draft.use(at)


def _lettered_size(draft: Draft) -> None:
    """Split the form letter from the size of a washer: "Federring A6 DIN 127"."""
    known = standards().get(draft.standard)
    if known is None or "washer" not in known.kind:
        return
    for token in draft.tokens:
        if token.mark is Mark.WORD and re.fullmatch(r"[A-H][0-9]{1,2}", token.text):
            draft.marks.append(token.text[0])
            token.mark, token.text = Mark.NUMBER, token.text[1:]
            token.value, token.start = Fraction(token.text), token.start + 1
            return


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
    for at, token in enumerate(draft.tokens):
        if draft.used[at]:
            continue
        if token.mark is Mark.CLASS:
            _set_class(draft, at, at + 1, _class_name(token.text))
        elif token.mark is Mark.WORD and (glued := _GLUED_GRADE.fullmatch(token.text)):
            _set_class(draft, at, at + 1, f"Grade {glued[1]}")
        elif draft.says(at, "class") == "next":
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
        british = draft.word(at) in ("grade", "gr")
        nut = draft.kind is Kind.NUT and any(t.mark is Mark.METRIC for t in draft.tokens)
        _set_class(draft, at, number + 1, text if nut or not british else f"Grade {text}")
    elif token.mark is Mark.WORD and re.fullmatch(r"[A-Z]|[A-Z]?[0-9]{1,2}", token.text):
        _set_class(draft, at, number + 1, f"Grade {token.text}")


def _set_class(draft: Draft, first: int, last: int, value: str) -> None:
    if draft.values.get("class", value) != value:
        draft.ask(f"two strength classes: {draft.values['class']} and {value}")
        return
    draft.put("class", value)
    before = first - 1
    if draft.mark(before) is Mark.DASH:
        draft.use(before)
    draft.use(first, last)


def read_words(draft: Draft) -> None:
    """Gather what every phrase says of the noun; then what the standard adds."""
    if draft.noun is not None:
        for name, value in draft.noun.phrase.plain:
            _apply(draft, name, value, draft.raw(draft.noun.first, draft.noun.last))
    for at, found in draft.matches.items():
        if draft.noun is found or draft.used[at] or at in draft.other:
            continue
        if not draft.depth[at] or _understood(draft, at):
            _phrase(draft, at, found.last, found.phrase.fields_for(draft.base))
    known = standards().get(draft.standard)
    if known is not None:
        _standard_words(draft, known)
    pointed = draft.values.get("form", "").endswith(" point")
    if draft.kind is Kind.SETSCREW and (pointed or draft.values.get("drive")):
        draft.put("head", "headless")
    for field, question in draft.asks:
        if not draft.values.get(field):
            draft.ask(question)


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
    """Tell whether everything inside a pair of round brackets is vocabulary or already read."""
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
            name in (*_WORDS, "series", "skip", "mark", "role", "unit", "implies", "noun")
            for name, _ in fields
        )
        and not any(name == "noun" and value != str(draft.kind) for name, value in fields)
    )


def _phrase(draft: Draft, first: int, last: int, fields: tuple[tuple[str, str], ...]) -> None:
    noun = next((value for name, value in fields if name == "noun"), "")
    if draft.word(first) == "set" and _trails(draft, first):
        return
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
        draft.ask(f"two words for the {name}: {said} and {value}")
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
    elif draft.series not in (None, Series.METRIC, Series(value)) and value != Series.METRIC:
        one, other = (SERIES_LABEL.get(s, s) for s in (draft.series, Series(value)))
        draft.ask(f"two threads: {one} and {other}; which, or which end")
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
