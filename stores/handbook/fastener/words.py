"""The vocabulary: what each word or phrase of the trade says, read from ``stores/handbook/tables``.

``fastener_words.csv`` gives for a phrase a field and a value; a row with a noun counts only beside
that noun ("spring" beside "washer", not in "spring hanger bolt"). ``fastener_standards.csv`` gives
what a standard's number alone says.

What workshop practice says of a kind of fastener: renew it, or take care with it.

Common practice of workshop manuals. The maker's own manual stands above it.
"""

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from stores.handbook.fastener.model import Fastener, Kind
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.table import columns
from stores.text import nearest

__all__ = [
    "BASE",
    "RENEWED",
    "Match",
    "Phrase",
    "Standard",
    "fold",
    "is_noun",
    "links",
    "match",
    "near_notation",
    "open_end",
    "opens_length",
    "renew_always",
    "standards",
    "turned",
    "vocabulary",
]


# The noun a kind's modifiers stand beside in the vocabulary.
BASE: dict[str, str] = {
    Kind.SPRING_WASHER: "washer", Kind.TAB_WASHER: "washer", Kind.TOOTHED_WASHER: "washer",
    Kind.SEALING_WASHER: "washer", Kind.E_CLIP: "circlip", Kind.ROLL_PIN: "pin",
    Kind.SPLIT_PIN: "pin", Kind.TAPER_PIN: "pin", Kind.GROOVED_PIN: "pin", Kind.CLEVIS_PIN: "pin",
    Kind.SETSCREW: "screw", Kind.DRIVE_SCREW: "screw", Kind.WOODRUFF_KEY: "key",
    Kind.PARALLEL_KEY: "key", Kind.GIB_KEY: "key",
}  # fmt: skip


class Phrase(NamedTuple):
    """What a phrase says: (field, value) pairs, and pairs that need a noun beside them."""

    plain: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str, str], ...]  # noun, field, value

    @property
    def by_itself(self) -> dict[str, str]:
        """The first value of each field that the phrase gives by itself."""
        return dict(reversed(self.plain))

    def get(self, name: str) -> str | None:
        """The first value the phrase gives a field by itself."""
        for field, value in self.plain:
            if field == name:
                return value
        return None

    def fields_for(self, noun: str) -> tuple[tuple[str, str], ...]:
        """What the phrase says beside this noun, over what it says anywhere."""
        if not self.beside:
            return self.plain
        near = tuple((f, v) for n, f, v in self.beside if n == noun)
        return near or self.plain


class Standard(NamedTuple):
    """What a standard's number says of the thing."""

    kind: str
    head: str
    drive: str
    form: str
    series: str


@dataclass(slots=True)
class Match:
    """A phrase found: tokens ``first`` to ``last`` (excluded)."""

    first: int
    last: int
    phrase: Phrase


@cache
def vocabulary() -> tuple[dict[str, Phrase], dict[str, int]]:
    """Return phrase -> meaning, and first word -> the most words a phrase with it has."""
    plain: dict[str, list[tuple[str, str]]] = {}
    beside: dict[str, list[tuple[str, str, str]]] = {}
    for written, noun, field, value, language in columns(
        "fastener_words", "phrase", "noun", "field", "value", "language"
    ):
        for phrase in (written,) if written.isascii() else _spellings(written):
            if noun:
                beside.setdefault(phrase, []).append((noun, field, value))
            else:
                meanings = plain.setdefault(phrase, [])
                meanings.append((field, value))
                if field == "noun" and language != "en":
                    meanings.append(("foreign", language))
    for noun, value in _forms(plain, beside):
        near = beside.setdefault(fold(value).replace("-", " "), [])
        if not any(n == noun and f == "form" for n, f, _ in near):
            near.append((noun, "form", value))
    longest: dict[str, int] = {}
    phrases: dict[str, Phrase] = {}
    for phrase in (*plain, *(p for p in beside if p not in plain)):
        phrases[phrase] = Phrase(tuple(plain.get(phrase, ())), tuple(beside.get(phrase, ())))
        first, _, rest = phrase.partition(" ")
        words = 2 + rest.count(" ") if rest else 1
        if words > longest.get(first, 0):
            longest[first] = words
    return phrases, longest


_NOTATION = (
    "BSF", "BSW", "BSC", "BSP", "BSPT", "UNF", "UNC", "UNEF", "UNS", "NPT", "NPTF", "mm", "inch",
    "whitworth", "cycle", "metric", "hexagon", "countersunk", "studding", "nyloc", "circlip",
)  # fmt: skip
"""Series, units and words of shape that a slip of the keyboard turns into a name."""


def near_notation(name: str) -> list[tuple[str, tuple[str, ...]]]:
    """Return the words of a name that are near one of the notation's, and what they may mean.

    >>> near_notation("BFS hex bolt")
    [('BFS', ('BSF',))]
    """
    known, longest = vocabulary()
    found = []
    for word in name.split():
        folded = fold(word)
        if folded in known or folded in longest:
            continue
        if near := nearest(word, _NOTATION):
            found.append((word, tuple(near)))
    return found


_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def _spellings(phrase: str) -> tuple[str, ...]:
    """Return a phrase, and as a keyboard without umlauts writes it: Faecherscheibe."""
    return tuple({phrase: 0, phrase.translate(_UMLAUTS): 0})


def _forms(
    plain: dict[str, list[tuple[str, str]]], beside: dict[str, list[tuple[str, str, str]]]
) -> set[tuple[str, str]]:
    """Every form some phrase or standard gives a noun: each is its own word beside the noun."""
    forms = {(n, v) for near in beside.values() for n, f, v in near if f == "form"}
    for said in plain.values():
        noun = next((v for f, v in said if f == "noun"), "")
        forms |= {(BASE.get(noun, noun), v) for f, v in said if f == "form" and noun}
    return forms | {(BASE.get(s.kind, s.kind), s.form) for s in standards().values() if s.form}


@cache
def standards() -> dict[str, Standard]:
    """Return a standard's number, such as ``DIN 933``, to what it says."""
    rows = columns("fastener_standards", "standard", *Standard._fields)
    return {standard: Standard(*said) for standard, *said in rows}


def fold(word: str) -> str:
    """Return the form a word is looked up by."""
    return word.casefold() if word != word.lower() else word


def match(tokens: list[Token], at: int, end: int) -> Match | None:
    """Find the longest phrase of the vocabulary that begins at token ``at``."""
    words = fold(tokens[at].text)
    best: Match | None = None
    known = _known(words)
    if known is not None:
        best = Match(at, at + 1, known)
    here, left = at + 1, vocabulary()[1].get(words, 1) - 1
    while left and here < end:
        token = tokens[here]
        here += 1
        joins = token.mark is Mark.SIGN and token.text == "&" and token.spaced  # "spring & clip"
        if token.mark is Mark.DASH or (
            token.mark is Mark.SIGN and token.text in "./&" and not joins
        ):
            continue
        if token.mark is not Mark.WORD and not (token.mark is Mark.NUMBER and token.text.isdigit()):
            break
        words, left = f"{words} {fold(token.text)}", left - 1
        known = _known(words)
        if known is not None:
            best = Match(at, here, known)
    return best


def turned(tokens: list[Token], at: int) -> Match | None:
    """Find a noun of two words that a parts book turns round: "FITTING, GREASE"."""
    if at + 2 >= len(tokens) or tokens[at + 1].mark is not Mark.COMMA:
        return None
    if tokens[at].mark is not Mark.WORD or tokens[at + 2].mark is not Mark.WORD:
        return None
    known = _known(f"{fold(tokens[at + 2].text)} {fold(tokens[at].text)}")
    return Match(at, at + 3, known) if known is not None and known.get("noun") else None


def _known(words: str) -> Phrase | None:
    """Look a phrase up; nouns, and heads that stand for them, also in the plural with -s."""
    phrases = vocabulary()[0]
    found = phrases.get(words)
    if found is None and words.endswith("schr"):  # "Senkschr.", as German lists shorten it
        return phrases.get(f"{words}aube")
    if found is None and words.endswith("s"):
        one = phrases.get(words[:-1])
        if one is not None and (
            one.get("noun")
            or one.get("weak")
            or (one.get("implies") and (words.endswith("heads") or one.get("implies") != "screw"))
        ):
            return one
    return found


def is_noun(word: str) -> bool:
    """Tell the name of a thing, or of a plain part, also in the plural with -s.

    >>> is_noun("springs"), is_noun("nut"), is_noun("long")
    (True, True, False)
    """
    phrases = vocabulary()[0]
    found = phrases.get(fold(word)) or phrases.get(fold(word).removesuffix("s"))
    return found is not None and any(found.get(name) for name in ("noun", "weak", "part"))


def links(word: str) -> bool:
    """Tell a word such as "for" or "with", behind which another thing is spoken of."""
    found = vocabulary()[0].get(fold(word))
    return found is not None and any(found.get(name) for name in ("prep", "with"))


def open_end(words: str) -> str:
    """Return what words say of the figure before them: at least, at most, about; empty for none.

    >>> open_end("or longer"), open_end("or less"), open_end("ish"), open_end("long")
    ('at least', 'at most', 'about', '')
    """
    found = vocabulary()[0].get(fold(words))
    return (found.get("open") if found is not None else None) or ""


def opens_length(words: str) -> bool:
    """Return whether such words are of a length alone: "or longer", but not "or larger".

    >>> opens_length("or longer"), opens_length("or larger")
    (True, False)
    """
    found = vocabulary()[0].get(fold(words))
    return found is not None and found.get("opens") == "length"


_RENEW = {
    Kind.GASKET: "gasket: it has taken the shape of the old joint",
    Kind.O_RING: "O-ring: it has taken a set and seals once",
    Kind.SEAL: "seal: its lip is worn to the old shaft and is damaged coming out",
    Kind.TAB_WASHER: "tab washer: a tab bent twice cracks",
    Kind.SPRING_WASHER: "spring washer: it loses its spring",
    Kind.TOOTHED_WASHER: "toothed washer: the teeth bite once",
    Kind.SPLIT_PIN: "split pin: a leg bent twice breaks",
    Kind.ROLL_PIN: "roll pin: it loses its grip once driven out",
    Kind.SEALING_WASHER: "sealing washer: it seals by being crushed, once",
}

_SELF_LOCKING = "self-locking nut: its grip is used up once undone"

_GUDGEON_CLIP = "gudgeon-pin circlip: one that lets go wrecks the bore"

RENEWED = (*_RENEW.values(), _SELF_LOCKING, _GUDGEON_CLIP)

"""Every reason to fit new as a rule, as ``kind: why``."""

_GUDGEON = ("gudgeon", "piston pin", "wrist pin")


def renew_always(item: Fastener) -> str | None:
    """Return the reason when this is fitted new as a rule, else None.

    Common practice of workshop manuals; circlips only at gudgeon pins.

    >>> from stores.handbook.fastener import parse
    >>> renew_always(parse("split pin 3.2 x 32"))
    'split pin: a leg bent twice breaks'
    >>> renew_always(parse("M6 nut")) is None
    True
    """
    if item.kind is Kind.NUT and item.form.startswith("self-locking"):
        return _SELF_LOCKING
    if item.kind is Kind.WASHER and item.material == "copper":
        return _RENEW[Kind.SEALING_WASHER]
    if item.kind is Kind.CIRCLIP and any(word in item.name.lower() for word in _GUDGEON):
        return _GUDGEON_CLIP
    return _RENEW.get(item.kind)
