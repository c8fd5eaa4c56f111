"""The vocabulary: what each word or phrase of the trade says, read from ``stores/handbook/tables``.

``fastener_words.csv`` gives for a phrase a field and a value; a row with a noun counts only beside
that noun ("spring" beside "washer", not in "spring hanger bolt"). ``fastener_standards.csv`` gives
what a standard's number alone says.
"""

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.table import table

__all__ = [
    "BASE", "Match", "Phrase", "Standard", "fold", "match", "standards", "turned",
    "vocabulary",
]  # fmt: skip

# The noun a kind's modifiers stand beside in the vocabulary.
BASE: dict[str, str] = {
    Kind.SPRING_WASHER: "washer", Kind.TAB_WASHER: "washer", Kind.TOOTHED_WASHER: "washer",
    Kind.SEALING_WASHER: "washer", Kind.E_CLIP: "circlip", Kind.ROLL_PIN: "pin",
    Kind.SPLIT_PIN: "pin", Kind.TAPER_PIN: "pin", Kind.GROOVED_PIN: "pin", Kind.CLEVIS_PIN: "pin",
    Kind.SETSCREW: "screw", Kind.DRIVE_SCREW: "screw", Kind.WOODRUFF_KEY: "key",
    Kind.PARALLEL_KEY: "key",
}  # fmt: skip


class Phrase(NamedTuple):
    """What a phrase says: (field, value) pairs, and pairs that need a noun beside them."""

    plain: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str, str], ...]  # noun, field, value

    def get(self, name: str) -> str | None:
        """The value the phrase gives a field by itself."""
        for field, value in self.plain:
            if field == name:
                return value
        return None

    def fields_for(self, noun: str) -> tuple[tuple[str, str], ...]:
        """What the phrase says beside this noun, over what it says anywhere."""
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
    """Give phrase -> meaning, and first word -> the most words a phrase with it has."""
    plain: dict[str, list[tuple[str, str]]] = {}
    beside: dict[str, list[tuple[str, str, str]]] = {}
    for row in table("fastener_words"):
        noun = row["noun"]
        for phrase in _spellings(row["phrase"]):
            if noun:
                beside.setdefault(phrase, []).append((noun, row["field"], row["value"]))
            else:
                plain.setdefault(phrase, []).append((row["field"], row["value"]))
    for noun, value in _forms(plain, beside):
        near = beside.setdefault(fold(value).replace("-", " "), [])
        if not any(n == noun and f == "form" for n, f, _ in near):
            near.append((noun, "form", value))
    longest: dict[str, int] = {}
    phrases: dict[str, Phrase] = {}
    for phrase in (*plain, *(p for p in beside if p not in plain)):
        phrases[phrase] = Phrase(tuple(plain.get(phrase, ())), tuple(beside.get(phrase, ())))
        first, *rest = phrase.split(" ")
        longest[first] = max(longest.get(first, 1), 1 + len(rest))
    return phrases, longest


_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def _spellings(phrase: str) -> tuple[str, ...]:
    """Give a phrase, and as a keyboard without umlauts writes it: Faecherscheibe."""
    return (phrase,) if phrase.isascii() else tuple({phrase: 0, phrase.translate(_UMLAUTS): 0})


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
    """Give a standard's number, such as ``DIN 933``, to what it says."""
    return {
        row["standard"]: Standard(
            row["kind"], row["head"], row["drive"], row["form"], row["series"]
        )
        for row in table("fastener_standards")
    }


def fold(word: str) -> str:
    """Give the form a word is looked up by."""
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
        if token.mark is Mark.DASH or (token.mark is Mark.SIGN and token.text in "./&"):
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
    if found is None and words.endswith("s"):
        one = phrases.get(words[:-1])
        if one is not None and (
            one.get("noun")
            or one.get("weak")
            or (one.get("implies") and (words.endswith("heads") or one.get("implies") != "screw"))
        ):
            return one
    return found
