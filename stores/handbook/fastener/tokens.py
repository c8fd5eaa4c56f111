"""Cut a text into tokens that know their place in it.

Signs that mean the same (the many dashes, inch marks and multiplication signs) are levelled one
character for one, so that a span in the levelled text is the same span in the text as written.

What stands in square brackets: text no rule understood, kept as written.
"""

import re
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction
from functools import cache
from math import gcd

from stores import units
from stores.errors import NotationError

__all__ = [
    "LIMIT",
    "Mark",
    "Token",
    "dropped_space",
    "fold_kept",
    "in_lowest_terms",
    "tokenize",
    "written",
]


LIMIT = 500


class Mark(Enum):
    """What a token is, before any word is looked up."""

    WORD = auto()  # letters, with figures among them or not: "hex", "A2", "2RS"
    NUMBER = auto()  # a value: 6, 1.25, 1,25, 3/4, 1 1/2, ½
    METRIC = auto()  # M6
    BA = auto()  # 2BA
    GAUGE = auto()  # #10, No 8
    BY = auto()  # the multiplication sign between sizes
    CODE = auto()  # a standard: DIN 933
    CLASS = auto()  # 8.8, A2-70, 200 HV
    DASH = auto()
    INCH = auto()
    SIGN = auto()  # any other single character
    OPEN = auto()
    CLOSE = auto()
    COMMA = auto()  # comma, semicolon, a dash or colon between spaces
    KEPT = auto()  # "[...]": what was not understood, kept as written


@dataclass(slots=True)
class Token:
    """A token; ``start`` and ``end`` are 0-based offsets, end excluded."""

    mark: Mark
    text: str
    start: int
    end: int
    value: Fraction | None = None
    whole: int | None = None  # the whole number of a mixed fraction, "1" of "1 1/2"
    fraction: bool = False  # written as a vulgar fraction
    comma: bool = False  # written with a decimal comma
    spaced: bool = False  # white space stands before it
    doubt: bool = False  # a fraction no one writes so, "1-2/4": it has no value


# A size is in halves to eighths where one sign writes it.
_V = "".join(glyph for glyph, worth in units.VULGAR.items() if worth.denominator in (2, 4, 8))

_FRACTION = r"[0-9]{1,2}/(?:2|4|8|16|32|64)(?![0-9.,/]*[0-9])"

# Units and roles that may follow a figure without a space; anything else glued to a figure makes
# a word of the whole ("24V", "13lb", "2RS").
_GLUED = (
    r"(?:mm|cm|m|in|ins|inch|inches|ft|od|id|tpi|off|of|no|nos|nr|ea|pcs|pc|pce|stk|st|st[uü]ck|dia"
    r"|long|lg|lgt|lgth|lng|p|nc|nf|nef|unc|unf|unef|bsw|bsf|bsc|bsb|cei|whit|npt|nptf|bsp|bspp|bspt|ths?|rds?|nds?|way|lh|csk|hex|pan|btn)"
)
# Units and thread series that a multiplication sign may follow without a space: 1/4BSFx5/8.
_BEFORE_BY = (
    r"(?:whitworth|whit|w|bsw|bsf|bsc|bsb|bspp?|bspt|cei|unef|unf|unc|uns|nptf?|nef|nf|nc|ba|gas"
    r"|tpi|mm|cm|inch|ins?)"
)
# A thread series with the thing hard behind it: 3/8UNFnut.
_SERIES = r"(?:whit|bsw|bsf|bsc|cei|unef|unf|unc)"
_NOUN = r"(?:nut|bolt|screw|stud|set|hex)s?(?![^\W_])"

# Property classes of bolts, ISO 898-1.
_STRENGTH = r"(?:3[.,]6|[45][.,]6|[456][.,]8|[89][.,]8|10[.,]9|12[.,]9|14[.,]9)"

_HOLE = r"(?:2,[27]|3,2|4,3|5,3|6,4|8,4|10,5)"  # of a washer behind its form, A6,4: DIN 125

_FIT = r"[mh][5-9](?=\ ?[xX])"  # the fit of a dowel: 5m6x20

_NUMBER_END = (
    rf"(?={_FIT})|(?![0-9]|[^\W\d_](?<![xX])(?<!ø)|[xX](?![Mm][0-9])[^\W\d_])"
    rf"|(?={_GLUED}(?:[xX][ 0-9]|[^\w]|$))|(?={_SERIES}{_NOUN})"
)

_PATTERN = rf"""
    (?P<space>\ +)
  | (?P<code>\b(?:(?:(?:DIN|BS|UNI|NF)\ ?)?EN\ ?ISO|DIN\ ?ISO|(?:DIN|BS)\ ?EN|ISO|DIN|BS|GOST
        |(?:JIS|ANSI|ASME|NF)(?=[\ ]?[A-Z]{{1,2}}\ ?[0-9])\ ?[A-Z]{{1,2}}|(?-i:EN|UNI|PN|CSN))
        [\ :-]?\ ?[0-9]{{1,6}}(?:\.[0-9]+)*
        (?:-[1-4](?![0-9.,/x-]|\ ?x\ ?[0-9]))?(?::(?:19|20)[0-9]{{2}})?(?![0-9A-Za-z]|,[0-9]))
  | (?P<grade>\b(?:gra?de?|grd|gr|cl|cls|kl|class|qual|q)\.?\ ?
        (?P<strength>{_STRENGTH})(?![.,]?[0-9]))
  | (?P<hardness>\b(?:[1-9][0-9]{{2}}\ ?HV|(?:14|22|33|45)H)\b)
  | (?P<stainless>\b[AC][1-5]-(?:50|70|80|100|110)\b|\bA[1245]\b(?![-.][0-9])(?!,[0-9]\b))
  | (?P<trapezoidal>(?<![\w.])Tr\ ?(?P<t>[0-9]{{1,3}})(?=\ ?[xX]\ ?[0-9]))
  | (?P<metric>(?:(?<![\w.])|(?<=[0-9][xX]))[Mm]\ ?(?P<m>[0-9]{{1,3}}(?:[.,][0-9]{{1,2}})?)
        (?=$|[^\w.,]|[.,](?![0-9])|[xX](?![^\W\d_])))
  | (?P<ba>(?<![\w.,/])(?:no\.?\ ?|\#\ ?)?(?P<b>[0-9]{{1,2}})
        (?:\ ?B\.A\.?|\ ?BA|\ B\ A(?!\w))(?=[xX]\ ?[0-9.,{_V}]|(?![^\W\d_])))
  | (?P<gauge>(?<!\w)(?:\#\ ?|number\ |[Nn][Oo]s?\.?\ ?|N[ro]\.?\ ?|№\ ?)(?P<g>[0-9]{{1,2}})
        (?:(?=[xX][0-9.,{_V}])|(?![\w./,]*[0-9/])(?=$|[^\w]|[xX])))
  | (?P<mixed>(?<![0-9./])(?<![0-9],)(?P<whole>[0-9]{{1,3}})
        (?P<join>\ ?[-+&]\ ?|\ |\.)(?P<part>{_FRACTION}))
  | (?P<vulgar>(?P<vw>[0-9]{{1,3}})?[\ -]?(?P<v>[{_V}]))
  | (?P<frac>(?<![0-9./])(?<![0-9],){_FRACTION})
  | (?P<decimal>(?<![0-9])(?:[0-9]{{1,6}}(?:\.|,(?![0-9]+\.[0-9]))[0-9]{{1,6}}
        |(?<![^\sxX*(,;\-/=øØ⌀"+±~@])[.,][0-9]{{1,6}}(?!\.[0-9])) (?:{_NUMBER_END}))
  | (?P<tailed>[0-9]{{1,6}}[.,][0-9]{{1,6}}[^\W\d_][^\W_]*)
  | (?P<int>[0-9]{{1,9}}(?:{_NUMBER_END}))
  | (?P<threads>(?:(?<=[xX])|(?<=[xX]\ ))(?P<tpi>[0-9]{{2}})T(?!\w))
  | (?P<by>(?<=[\w"'”(\]){_V}?\ ])[xX*](?=\ *(?:[0-9.,\#{_V}\[(?]|[MmØø]\ ?[0-9])))
  | (?P<fit>(?<=[0-9]){_FIT}|(?<=-)(?:[3-9][egh]|[123][ab])(?=[xX]\ ?[0-9]))
  | (?P<prefix>(?<!\w)(?-i:ST(?=\ ?[0-9])|[AB](?={_HOLE}(?![0-9]))
        |(?:G|Rp|Rc|R)(?=\ ?(?:[0-9]{{1,2}}[\ -])?[0-9]/[0-9])))
  | (?P<diameter>[Øø⌀](?=\ ?[0-9]))
  | (?P<glued>{_BEFORE_BY}(?=[xX]\ *[0-9.,\#{_V}])|{_SERIES}(?={_NOUN}))
  | (?P<word>[^\W_]+(?:'[^\W\d_]+)?)
  | (?P<inch>"|'')
  | (?P<break>\ *[,;:](?=\ |$)|;|(?<=[^\d\s]),|,(?=[0-9]+\.[0-9]|[^\W\d_])|(?<=\ )-+(?=\ ))
  | (?P<dash>-+)
  | (?P<open>[(\[{{])
  | (?P<close>[)\]}}])
  | (?P<sign>.)
    """

_MARKS = {
    "code": Mark.CODE,
    "grade": Mark.CLASS,
    "hardness": Mark.CLASS,
    "stainless": Mark.CLASS,
    "trapezoidal": Mark.METRIC,
    "metric": Mark.METRIC,
    "ba": Mark.BA,
    "gauge": Mark.GAUGE,
    "mixed": Mark.NUMBER,
    "vulgar": Mark.NUMBER,
    "frac": Mark.NUMBER,
    "decimal": Mark.NUMBER,
    "tailed": Mark.WORD,
    "threads": Mark.NUMBER,
    "int": Mark.NUMBER,
    "by": Mark.BY,
    "fit": Mark.WORD,
    "prefix": Mark.WORD,
    "glued": Mark.WORD,
    "word": Mark.WORD,
    "diameter": Mark.SIGN,
    "inch": Mark.INCH,
    "break": Mark.COMMA,
    "dash": Mark.DASH,
    "open": Mark.OPEN,
    "close": Mark.CLOSE,
    "sign": Mark.SIGN,
}


@cache
def _pattern() -> re.Pattern[str]:
    """Compile at first use: it takes longer than importing everything else here."""
    return re.compile(_PATTERN, re.VERBOSE | re.IGNORECASE)


def _valued(token: Token, found: re.Match[str], group: str) -> None:
    token.comma = group in ("decimal", "metric") and "," in token.text
    if group == "threads":
        token.text = found["tpi"]
    if group in ("int", "decimal", "threads"):
        token.value = units.value(token.text)
    elif group == "frac":
        token.value, token.fraction = units.value(token.text), True
        token.whole, token.value = dropped_space(token.text) or (None, token.value)
    elif group == "mixed" and not in_lowest_terms(found["part"]):
        token.doubt = True
    elif group == "trapezoidal":
        token.value = units.value(found["t"])
    elif group == "metric":
        token.value = units.value(found["m"])
    elif group == "gauge":
        token.value = units.value(found["g"])
    elif group == "ba":
        token.value = units.value(found["b"])
    elif group == "mixed":
        token.whole, token.fraction = int(found["whole"]), True
        token.value = token.whole + units.value(found["part"])
    elif group == "vulgar":
        token.whole = int(found["vw"]) if found["vw"] else None
        token.value, token.fraction = (token.whole or 0) + units.VULGAR[found["v"]], True


def dropped_space(fraction: str) -> tuple[int, Fraction] | None:
    """Read ``11/2`` as 1 1/2, its whole number and value; None for what has no space missing.

    Common practice: no one writes a size as a fraction above one; ``3/2`` stays what it says.
    """
    above, below = fraction.split("/")
    if len(above) < 2 or int(above) <= int(below):
        return None
    whole, part = int(above[0]), int(above[1:])
    if not whole or part % 2 == 0 or part >= int(below):
        return None
    return whole, whole + Fraction(part, int(below))


def in_lowest_terms(fraction: str) -> bool:
    """Tell ``3/8`` from ``4/8``: a fraction that can be made smaller is no size as written."""
    above, below = fraction.split("/")
    return gcd(int(above), int(below)) == 1


def check(text: str) -> None:
    """Refuse what cannot be a label: nothing at all, too much, or control characters."""
    if not text.replace("_", " ").strip():  # a low line stands for a space
        raise NotationError("nothing to read; write what it is, such as 4 M6 x 25 hex bolt", text)
    if len(text) > LIMIT:
        raise NotationError(f"text longer than {LIMIT} characters", text, LIMIT)
    if text.isprintable():
        return
    for at, char in enumerate(text):
        if (char < " " and char not in "\t\r\n") or "\x7f" <= char <= "\x9f":
            raise NotationError("control character in the text; take it out", text, at, at + 1)
        if "\ud800" <= char <= "\udfff":
            raise NotationError("broken character in the text; take it out", text, at, at + 1)


def tokenize(text: str) -> list[Token]:
    """Return the tokens of a text; white space is dropped but remembered in ``spaced``.

    Raises `NotationError` for empty text, text over 500 characters and control characters.
    """
    check(text)
    level = _alike(units.level(text))
    tokens: list[Token] = []
    at, spaced = 0, False
    scan = _pattern().match
    while at < len(level):
        found = scan(level, at)
        assert found is not None  # the last alternative takes any character
        group, end = found.lastgroup or "sign", found.end()
        if group == "space":
            at, spaced = end, True
            continue
        if group == "mixed" and _is_tpi_and_length(tokens, found):
            end = found.start("join")
            group = "int"
        elif group in ("mixed", "frac") and _comes_apart(found, group):
            end = at + len(found["whole"] or found[group].partition("/")[0])
            group = "int"
        token = Token(_MARKS[group], level[at:end], at, end, spaced=spaced)
        if group == "grade":
            token.text = found["strength"].replace(",", ".")
        _valued(token, found, group)
        tokens.append(token)
        at, spaced = end, False
    return tokens


def _alike(text: str) -> str:
    """Level letters that look Latin beside a figure, and the low line in place of a space."""
    if "_" in text:
        text = text.replace("_", " ")
    quoted = text[0] == '"' and text.count('"') == 2 and text.strip('" ')
    if quoted:  # the whole in quotation marks, no inches
        text = text.replace('"', " ")
    if text.isascii():
        return text
    text = re.sub(r"(?<=[0-9])·(?=[0-9])", ".", text)  # 1·25, as it was printed
    text = re.sub(r"[МΜϺ](?=\ ?[0-9])", "M", text)
    return re.sub(r"(?<=[0-9\ ])[хχ](?=\ ?[0-9])", "x", text, flags=re.IGNORECASE)


def _comes_apart(found: re.Match[str], group: str) -> bool:
    """Cut "10/32" and what follows the count in "4 10/32" into figures; "1-2/4" stays whole."""
    return found["join"] in (None, " ") and not in_lowest_terms(found["part"] or found[group])


def _is_tpi_and_length(tokens: list[Token], found: re.Match[str]) -> bool:
    """Tell ``3/8-16-3/4`` and ``#10-32 3/4`` from the mixed fraction ``2-3/4``."""
    if len(tokens) < 2 or tokens[-1].mark is not Mark.DASH:
        return False
    return tokens[-2].mark in (Mark.NUMBER, Mark.GAUGE) and int(found["whole"]) > 9


def fold_kept(text: str, tokens: list[Token]) -> list[Token]:
    """Join every pair of square brackets and all it holds into one token."""
    if not any(t.mark is Mark.OPEN and t.text == "[" for t in tokens):
        return tokens
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        first = tokens[at]
        if first.mark is not Mark.OPEN or first.text != "[":
            out.append(first)
            at += 1
            continue
        end, level = at, 0
        while end < len(tokens):
            level += (tokens[end].text == "[") - (tokens[end].text == "]")
            end += 1
            if not level:
                break
        stop = tokens[end - 1].end if level else tokens[end - 1].start
        inner = written(text[first.end : stop])
        out.append(Token(Mark.KEPT, inner, first.start, tokens[end - 1].end, spaced=first.spaced))
        at = end
    return out


def written(text: str) -> str:
    """Return a text on one line; square brackets that do not pair are written round."""
    line = " ".join(text.split())
    level = 0
    for char in line:
        level += (char == "[") - (char == "]")
        if level < 0:
            break
    return line if not level else line.replace("[", "(").replace("]", ")")
