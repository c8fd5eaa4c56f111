"""Money in whole hundredths of a currency: never a float."""

import re

from stores import units
from stores.errors import BadValue

__all__ = ["MOST", "read_currency", "read_money", "show_money"]

MOST = 2_000_000_000
"""Hundredths: twenty million of any currency."""


def read_money(text: str) -> int:
    """Read a sum, ``4.20``, ``4,20`` or ``4``, in hundredths.

    Raises:
        BadValue: not a sum, more than two decimals, or more than anybody pays.

    >>> read_money("4.20"), read_money("4,2"), read_money("0.07"), read_money("12")
    (420, 420, 7, 1200)
    """
    said = re.fullmatch(r"\s*(\d{1,9}(?:[.,]\d{1,2})?)\s*", text, re.ASCII)
    if not said:
        raise BadValue(f"not a sum of money: {text.strip()[:40]!r}; write it as 4.20")
    hundredths = int(units.value(said[1]) * 100)
    if hundredths > MOST:
        raise BadValue(f"{text.strip()} is more than can be kept: at most {MOST // 100:,}")
    return hundredths


def show_money(hundredths: int, currency: str = "") -> str:
    """Show a sum.

    >>> show_money(420), show_money(7, "GBP"), show_money(123456)
    ('4.20', '0.07 GBP', '1,234.56')
    """
    whole, rest = divmod(hundredths, 100)
    return f"{whole:,}.{rest:02d}" + (f" {currency}" if currency else "")


def read_currency(text: str) -> str:
    """Read a currency by its three letters (ISO 4217).

    Raises:
        BadValue: not three letters.
    """
    code = text.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise BadValue(f"a currency is three letters, such as EUR, not {text.strip()[:20]!r}")
    return code
