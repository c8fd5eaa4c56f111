"""Bag codes: short, sayable, and with a check character that catches a misread or mistyped one.

A code is a letter, three figures and a check letter, such as ``A001N``; figures grow to four and
five when three run out. The check letter is ISO/IEC 7064 MOD 37,36 over the rest. Letters that
look or sound like a figure or like each other on a dirty label are never used, and serial numbers
whose check character would be one of them are passed over.
"""

import re
import unicodedata
from collections.abc import Iterable
from functools import cache

from stores.errors import NotationError, NotFound

__all__ = ["PATTERN", "after", "check", "looks_like_code", "near", "nth", "tidy"]

SERIES = "ABCDEFHJKMNPRTUVWXY"
CHECKS = frozenset("ACDEFHJKMNPRTUVWXY")
PATTERN = re.compile(r"^[A-Z][0-9]{3,5}[A-Z]$")
_MEANT = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1", "S": "5", "Z": "2", "G": "6"})


def nth(serial: int) -> str:
    """Give the ``serial``-th code, from 0.

    >>> nth(0)
    'A001N'

    Raises:
        NotFound: more bags than there are codes, about a million.
    """
    for width in (3, 4, 5):
        for series in SERIES:
            codes = _series(series, width)
            if serial < len(codes):
                return codes[serial]
            serial -= len(codes)
    raise NotFound("there are no bag codes left")


def after(code: str) -> str:
    """Give the code that follows this one.

    Raises:
        NotFound: there is none left.
    """
    series, digits = code[0], code[1:-1]
    for number in range(int(digits) + 1, 10 ** len(digits)):
        following = with_check(f"{series}{number:0{len(digits)}}")
        if following[-1] in CHECKS:
            return following
    place = SERIES.index(series) + 1
    width = len(digits) + place // len(SERIES)
    if width > 5:
        raise NotFound("there are no bag codes left")
    return _series(SERIES[place % len(SERIES)], width)[0]


@cache
def _series(series: str, width: int) -> tuple[str, ...]:
    first = 1 if width == 3 else 10 ** (width - 1)
    codes = (with_check(f"{series}{number:0{width}}") for number in range(first, 10**width))
    return tuple(code for code in codes if code[-1] in CHECKS)


def with_check(body: str) -> str:
    """Put the ISO/IEC 7064 MOD 37,36 check character behind a body of letters and figures."""
    from stdnum.iso7064 import mod_37_36

    return body + str(mod_37_36.calc_check_digit(body))


def tidy(text: str) -> str:
    """Bring what was typed or scanned to the form of a code, without judging it.

    Takes the first word of a scan, drops spaces and dashes inside a typed code, and puts right
    what a figure's place shows to be a figure: O for 0, I or L for 1.
    """
    first = text.strip().splitlines()[0] if text.strip() else ""
    plain = unicodedata.normalize("NFKC", first).upper()
    plain = re.sub(r"[\s\-‐-―.]", "", plain)
    if len(plain) < 3:
        return plain
    return plain[0] + plain[1:-1].translate(_MEANT) + plain[-1]


def looks_like_code(text: str) -> bool:
    """Tell whether somebody who wrote this meant a bag code; a word without a figure is a word."""
    first = text.strip().splitlines()[0] if text.strip() else ""
    return any(c.isdigit() for c in first) and bool(PATTERN.match(tidy(text)))


def check(text: str) -> str:
    """Give the code in its one form.

    Raises:
        NotationError: not of the form, or the check letter is another; says which.
    """
    code = tidy(text)
    if not PATTERN.match(code):
        raise NotationError("not a bag code, which looks like A001N", text.strip())
    good = with_check(code[:-1])
    if good != code:
        raise NotationError("misread or mistyped bag code (the check letter does not fit)", code)
    return code


def near(text: str, codes: Iterable[str]) -> list[str]:
    """Give the codes that ``text`` may have been meant for: one character wrong, too many,
    missing, or two neighbours swapped."""
    typed = tidy(text)
    return [code for code in codes if code != typed and _one_slip(typed, code)]


def _one_slip(typed: str, code: str) -> bool:
    if len(typed) == len(code):
        wrong = [
            place for place, pair in enumerate(zip(typed, code, strict=True)) if len({*pair}) > 1
        ]
        if len(wrong) == 1:
            return True
        return (
            len(wrong) == 2
            and wrong[1] == wrong[0] + 1
            and typed[wrong[0]] == code[wrong[1]]
            and typed[wrong[1]] == code[wrong[0]]
        )
    longer, shorter = (typed, code) if len(typed) > len(code) else (code, typed)
    return len(longer) == len(shorter) + 1 and any(
        longer[:place] + longer[place + 1 :] == shorter for place in range(len(longer))
    )
