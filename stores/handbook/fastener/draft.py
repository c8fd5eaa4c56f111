"""The reading in progress: tokens, which of them are understood, and the fields found so far."""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from stores.handbook.fastener.kept import written
from stores.handbook.fastener.model import Kind, Measure, Series
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.fastener.words import BASE, Match, match, turned

__all__ = ["TWO_THINGS", "Draft", "is_whole", "tidy"]

TWO_THINGS = "two things in one line; enter each by itself"


@dataclass(slots=True)
class Draft:
    """Everything one reading knows. ``depth`` is how many round brackets a token stands in."""

    text: str
    tokens: list[Token]
    used: list[bool] = field(default_factory=list)
    depth: list[int] = field(default_factory=list)
    matches: dict[int, Match] = field(default_factory=dict)
    inside: list[Match | None] = field(default_factory=list)  # the match each token belongs to
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
    asks: list[tuple[str, str]] = field(default_factory=list)  # put if the field stays empty
    twofold: bool = False  # the kind itself has two readings
    sizeless: bool = False  # the size has two readings and stays unread
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
            for here in range(at, found.last):
                self.inside[here] = found
            at = found.last

    def ask(self, question: str) -> None:
        """Put a question, once."""
        if question not in self.questions:
            self.questions.append(question)

    def use(self, first: int, last: int | None = None) -> None:
        """Note tokens as understood; ``last`` excluded."""
        for at in range(first, first + 1 if last is None else last):
            self.used[at] = True

    def mark(self, at: int) -> Mark | None:
        """The mark of a token, None beyond either end."""
        return self.tokens[at].mark if 0 <= at < len(self.tokens) else None

    def word(self, at: int) -> str:
        """The lower-case text of a word token, "" for anything else."""
        return self.tokens[at].text.lower() if self.mark(at) is Mark.WORD else ""

    def text_of(self, at: int) -> str:
        """The text of a token as written, "" beyond either end and for what is kept."""
        return self.tokens[at].text if self.mark(at) not in (None, Mark.KEPT) else ""

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


def tidy(text: str) -> str:
    """Collapse white space and take out brackets, which the canonical form keeps for itself."""
    return " ".join(re.sub(r"[()\[\]{}]", " ", text).split())


def is_whole(token: Token) -> bool:
    """Tell whether a number token is a whole number written without a sign or fraction."""
    return token.mark is Mark.NUMBER and token.text.isdigit() and isinstance(token.value, Fraction)
