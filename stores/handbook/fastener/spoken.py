"""Numbers said in words, as a dictated note has them: "two m eight by one point two five"."""

from fractions import Fraction
from math import gcd

from stores.handbook.fastener.tokens import Mark, Token

__all__ = ["join_spoken"]

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
_AFTER_PART = frozenset(["inch", "in", "whit", "whitworth", "bsf", "unf", "unc", "bsw", "by"])
_COUNTS = {
    "pair": 2, "pairs": 2, "pr": 2, "prs": 2, "couple": 2, "dozen": 12, "dozens": 12, "doz": 12,
}  # fmt: skip
_STARTERS = frozenset((*_UNITS, *_TENS, *_COUNTS, *_PARTS, "m", "by", "a"))


def join_spoken(tokens: list[Token]) -> list[Token]:
    """Replace number words by number tokens, "m eight" by M8, "by" between sizes by a sign."""
    if not any(t.mark is Mark.WORD and t.text.lower() in _STARTERS for t in tokens):
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
        return first, at + 1
    word = first.text.lower()
    if word in ("pr", "prs", "doz") and (at or len(tokens) == 1 or first.text.isupper()):
        return first, at + 1
    if word in _COUNTS or (word == "a" and _word(tokens, at + 1) in _COUNTS):
        at += word == "a"
        end = at + 2 if _word(tokens, at + 1) == "of" else at + 1
        return _number(first, tokens[end - 1], Fraction(_COUNTS[_word(tokens, at)])), end
    if word == "half" and _word(tokens, at + 1) == "a" and _word(tokens, at + 2) == "dozen":
        return _number(first, tokens[at + 2], Fraction(6)), at + 3
    value, end = _amount(tokens, at)
    if value is None or _word(tokens, end) == "pans":  # French "six pans": a hexagon
        return first, at + 1
    token = _number(first, tokens[end - 1], value)
    token.fraction = value.denominator in (2, 4, 8, 16, 32, 64) and not _has(
        tokens, at, end, "point"
    )
    return token, end


def _has(tokens: list[Token], at: int, end: int, word: str) -> bool:
    return any(_word(tokens, i) == word for i in range(at, end))


def _amount(tokens: list[Token], at: int) -> tuple[Fraction | None, int]:
    """Read "one point two five", "three eighths", "one and a half", "quarter inch", "twenty"."""
    if _word(tokens, at) in ("half", "quarter") and _word(tokens, at + 1) in _AFTER_PART:
        return Fraction(1, _PARTS[_word(tokens, at)]), at + 1
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
    rest, here = (1, end + 2) if _word(tokens, end + 1) == "a" else _whole(tokens, end + 1)
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
    pair = (_word(tokens, at), _word(tokens, at + 1))
    if pair in (("thirty", "second"), ("thirty", "seconds")):
        return 32, at + 2
    if pair in (("sixty", "fourth"), ("sixty", "fourths")):
        return 64, at + 2
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
        elif token.mark is Mark.NUMBER and before == "m":
            out[-1] = _joined(Mark.METRIC, f"M{token.text}", out[-1], token, token)
        elif _word(tokens, at) == "ba" and out and _is_ba(out[-1]):
            out[-1] = _joined(Mark.BA, f"{out[-1].text}BA", out[-1], token, out[-1])
        elif token.mark is Mark.NUMBER and before == "number" and token.text.isdigit():
            out[-1] = _joined(Mark.GAUGE, f"#{token.text}", out[-1], token, token)
        else:
            out.append(token)
    return out


def _is_ba(token: Token) -> bool:
    return token.mark is Mark.NUMBER and token.text.isdigit() and len(token.text) < 3


def _joined(mark: Mark, text: str, first: Token, last: Token, number: Token) -> Token:
    """Make one token of a number and the word beside it."""
    return Token(mark, text, first.start, last.end, number.value, spaced=first.spaced)
