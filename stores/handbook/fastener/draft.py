"""The reading in progress: tokens, which of them are understood, and the fields found so far.

A slip of the pen in the noun: "waser M6" is asked about, never guessed.

Left hand: a thread, as in "LH nut", or a side of the machine, as in "LH footrest bolt".

What no rule took: words become the name of the thing, the rest is kept as unread.
"""

import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from unicodedata import category

from stores.handbook.fastener.model import Kind, Measure, Series
from stores.handbook.fastener.tokens import Mark, Token, written
from stores.handbook.fastener.words import BASE, Match, fold, match, turned, vocabulary
from stores.handbook.fastener.writing import inch_families
from stores.text import either

__all__ = [
    "A_GUESS",
    "LEFT_HAND",
    "TWO_THINGS",
    "Draft",
    "is_whole",
    "read_hand",
    "read_leftovers",
    "read_slips",
    "tidy",
]


A_GUESS = "a guess; measure it"
TWO_THINGS = "two things? Recorded as one line; give each its own line"


@dataclass(slots=True)
class Draft:
    """Everything one reading knows. ``depth`` is how many round brackets a token stands in."""

    text: str
    tokens: list[Token]
    used: list[bool] = field(default_factory=list)
    depth: list[int] = field(default_factory=list)
    matches: dict[int, Match] = field(default_factory=dict)
    inside: list[Match | None] = field(default_factory=list)  # the match each token belongs to
    fields: set[str] = field(default_factory=set)  # every field that some phrase gives by itself
    after_with: int = 0  # first token of "with ...", "for ...", else the number of tokens
    other: range = range(0)  # tokens that speak of another thing: "with fibre washer"
    quantity: int | None = None
    kind: Kind = Kind.PART
    noun: Match | None = None
    values: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)  # the words that said a value
    series: Series | None = None
    size: str = ""
    pitch: str = ""
    thread_class: str = ""
    length: Measure | None = None
    dimensions: list[Measure] = field(default_factory=list)
    standard: str = ""
    marks: list[str] = field(default_factory=list)
    notes: list[tuple[int, str]] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    questions: list[str] = field(default_factory=list)
    counting: list[str] = field(default_factory=list)  # those of them about the count
    doubts: list[str] = field(default_factory=list)  # kind and thread, where they are asked about
    held: list[tuple[int, int]] = field(default_factory=list)  # a count or size in doubt, as typed
    remarks: list[tuple[int, int]] = field(default_factory=list)  # a price, a page, a drawer
    asks: list[tuple[str, str]] = field(default_factory=list)  # put if the field stays empty
    twofold: str = ""  # the question, where the kind itself has two readings
    sizeless: bool = False  # the size has two readings and stays unread
    tool: bool = False  # a tap, a spanner: named by the size it fits
    settled: bool = False  # it is a plain part, whatever nouns stand in it

    def __post_init__(self) -> None:
        count = len(self.tokens)
        self.used = [token.mark is Mark.KEPT for token in self.tokens]
        self.depth = [0] * count
        self.inside = [None] * count
        self.after_with = count
        level = 0
        for at, token in enumerate(self.tokens):
            if token.mark is Mark.OPEN:
                level += 1
            self.depth[at] = level
            if token.mark is Mark.CLOSE and level:
                level -= 1
        at = 0
        while at < count:
            found = match(self.tokens, at, count) if self.tokens[at].mark is Mark.WORD else None
            found = found or turned(self.tokens, at)
            if found is None:
                at += 1
                continue
            self.matches[at] = found
            self.fields.update(found.phrase.by_itself)
            for here in range(at, found.last):
                self.inside[here] = found
            at = found.last

    def ask(self, question: str) -> None:
        """Put a question, once."""
        if question not in self.questions:
            self.questions.append(question)

    def ask_count(self, question: str) -> None:
        """Put a question that leaves open how many there are."""
        self.ask(question)
        self.counting.append(question)

    def ask_thread(self, question: str) -> None:
        """Put a question that leaves open which thread it is."""
        self.ask(question)
        self.doubts.append("thread")

    def ask_kind(self, question: str) -> None:
        """Put a question that leaves open what kind of thing it is."""
        self.ask(question)
        self.doubts.append("kind")

    def hold(self, first: int, last: int, question: str) -> None:
        """Keep tokens as typed, since they may be a count or a size, and ask about them."""
        self.held.append((first, last))
        self.use(first, last)
        self.ask_count(question)

    def keep_held(self) -> None:
        """Note what is held, and the remarks, as unread."""
        for first, last in self.held:
            self.unread.append(self.written(first, last).strip(" ,;:-()"))
        for first, last in self.remarks:
            self.unread.append(self.written(first, last).strip(" .:"))

    def use(self, first: int, last: int | None = None) -> None:
        """Note tokens as understood; ``last`` excluded."""
        for at in range(first, first + 1 if last is None else last):
            self.used[at] = True

    def mark(self, at: int) -> Mark | None:
        """The mark of a token, None beyond either end."""
        return self.tokens[at].mark if 0 <= at < len(self.tokens) else None

    def word(self, at: int) -> str:
        """The lower-case text of a word token, "" for anything else."""
        if not 0 <= at < len(self.tokens):
            return ""
        token = self.tokens[at]
        return token.text.lower() if token.mark is Mark.WORD else ""

    def text_of(self, at: int) -> str:
        """The text of a token as written, "" beyond either end and for what is kept."""
        if not 0 <= at < len(self.tokens):
            return ""
        token = self.tokens[at]
        return "" if token.mark is Mark.KEPT else token.text

    def says(self, at: int, name: str) -> str | None:
        """What the phrase that begins at this token gives a field, else None."""
        found = self.matches.get(at)
        return found.phrase.get(name) if found else None

    def raw(self, first: int, last: int) -> str:
        """The text as written over tokens ``first`` to ``last`` (excluded), on one line."""
        return tidy(self.text[self.tokens[first].start : self.tokens[last - 1].end])

    def written(self, first: int, last: int) -> str:
        """The text as written over tokens ``first`` to ``last`` (excluded), brackets and all."""
        return written(self.text[self.tokens[first].start : self.tokens[last - 1].end])

    def put(self, name: str, value: str) -> None:
        """Set a word field unless it is set already."""
        self.values.setdefault(name, value)

    @property
    def base(self) -> str:
        """The noun the kind's modifiers stand beside."""
        return BASE.get(self.kind, str(self.kind))


_NO_BRACKETS = str.maketrans("()[]{}", "      ")


def tidy(text: str) -> str:
    """Collapse white space and take out brackets, which the canonical form keeps for itself."""
    return " ".join(text.translate(_NO_BRACKETS).split())


def is_whole(token: Token) -> bool:
    """Return whether a number token is a whole number written without a sign or fraction."""
    return token.mark is Mark.NUMBER and token.text.isdigit() and isinstance(token.value, Fraction)


_SHORTEST = 4  # letters: below it half the language is one slip from a noun


def read_slips(draft: Draft) -> None:
    """Move a name that is one letter from a noun to the unread, with a question."""
    kept = []
    for at, text in draft.notes:
        meant = {word: noun for word in text.split() if (noun := _meant(fold(word)))}
        if not meant:
            kept.append((at, text))
            continue
        draft.unread.append(text)
        for word, noun in meant.items():
            draft.ask(f"{word}: is it {noun}?")
    draft.notes = kept


def _meant(word: str) -> str | None:
    """Return the noun that a word nobody knows is one letter away from."""
    phrases, longest = vocabulary()
    if len(word) < _SHORTEST or not word.isalpha() or word in phrases or word in longest:
        return None
    near = _near()
    return next((near[part] for part in (word, *_shorter(word)) if part in near), None)


@cache
def _near() -> dict[str, str]:
    """Return every noun, and every noun short of one letter, to the noun."""
    near: dict[str, str] = {}
    for word, phrase in vocabulary()[0].items():
        if word.isalpha() and len(word) >= _SHORTEST and (phrase.get("noun") or phrase.get("weak")):
            for part in (word, *_shorter(word)):
                near.setdefault(part, word)
    return near


def _shorter(word: str) -> list[str]:
    return [word[:at] + word[at + 1 :] for at in range(len(word))]


LEFT_HAND = "LH: a left-hand thread, or the left side? Write LH thread, or left side"

_WORDS = ("lh", "l h", "left hand", "left handed")

_THREADED = frozenset(
    (Kind.NUT, Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.PLUG)
)

_LONG = frozenset((Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD))

_SIZES = (Mark.NUMBER, Mark.METRIC, Mark.BA, Mark.GAUGE, Mark.INCH)


def read_hand(draft: Draft) -> None:
    """Read "LH" as a thread beside a thread size or a nut; ask where it may be the side."""
    if draft.kind not in _THREADED:
        return
    for at, found in draft.matches.items():
        if draft.used[at] or draft.depth[at] or not _says_left(draft, at, found.last):
            continue
        after = found.last
        if draft.mark(after) is Mark.WORD and not draft.used[after]:
            continue  # "LH footrest bolt": the name of the place goes on
        if draft.kind is Kind.NUT or _sized(draft, at - 1):
            draft.marks.append("LH thread")
            draft.use(at, found.last)
        else:
            draft.ask(LEFT_HAND)


def _says_left(draft: Draft, first: int, last: int) -> bool:
    words = [draft.word(at) for at in range(first, last) if draft.word(at)]
    return " ".join(words) in _WORDS


def _sized(draft: Draft, at: int) -> bool:
    """Tell a token that belongs to a size already read: a figure, a unit, a series."""
    if at < 0 or not draft.used[at]:
        return False
    found = draft.inside[at]
    said = found is not None and any(found.phrase.get(n) for n in ("unit", "series", "role"))
    return draft.mark(at) in _SIZES or said


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


def _asked(draft: Draft, said: str) -> bool:
    return any(
        re.search(rf"(?<![0-9/]){re.escape(said.split(maxsplit=1)[0])}(?![0-9/])", question)
        for question in draft.questions
    )


_COUNTED = re.compile(r"[0-9]{1,6} ?[x×]?")
_COUNT_FIGURES = 3  # "(118220)" is the number of a part


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
        owed = not draft.size or (draft.kind in _LONG and draft.length is None)
        if draft.kind in _THREADED and owed and _sized_name(draft, first, last):
            draft.ask(f"{text}: I can't find the size in this; kept in your words")
    else:
        said = draft.written(first, last).strip(" ,;:-")
        draft.unread.append(said)
        if draft.kind is not Kind.PART and _asks(draft, first, last, said):
            if not draft.quantity and _COUNTED.fullmatch(said):
                draft.ask_count(f"{said}: {_tpi_or(draft, said)}how many, or what is it?")
            else:
                draft.ask(f"{said}: {_tpi_or(draft, said)}what is it?")


def _sized_name(draft: Draft, first: int, last: int) -> bool:
    """Tell a name with a fraction or sizes in it, of a thing that has no size else."""
    return any(draft.tokens[n].fraction or draft.mark(n) is Mark.BY for n in range(first, last))


def _tpi_or(draft: Draft, said: str) -> str:
    """Return the series that have so many threads per inch on this size, as a reading of it."""
    found = inch_families(draft.size, said) if draft.series is None and draft.size else ()
    names = [series.value.upper() if series is not Series.CYCLE else "cycle" for series in found]
    return f"{said} threads per inch ({either(names)}), " if names else ""


def _asks(draft: Draft, first: int, last: int, said: str) -> bool:
    """Tell a figure that nothing took from a part number in brackets and from a clip's range."""
    figures = (Mark.NUMBER, Mark.BY)
    if not any(draft.mark(at) in figures for at in range(first, last)) or _asked(draft, said):
        return False
    if draft.depth[first] and len(said) > _COUNT_FIGURES:
        return False
    return not (draft.kind in (Kind.CLIP, Kind.CLAMP) and "-" in said)
