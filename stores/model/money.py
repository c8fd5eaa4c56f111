"""Money in whole hundredths of a currency, never a float; and prices.

Money is whole hundredths; parts of a line's price add up to it: still to pay is the whole less what
came, never rounded by itself. A sum in another currency is named, not added.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from stores.errors import BadValue

__all__ = [
    "MOST",
    "Price",
    "cost_of",
    "newest_price",
    "price_for",
    "read_currency",
    "read_money",
    "same_firm",
    "show_money",
    "worth",
]

MOST = 2_000_000_000
"""Hundredths: twenty million of any currency."""


def read_money(text: str) -> int:
    """Return the sum that was typed, ``4.20``, ``4,20`` or ``4``, in hundredths.

    Raises:
        BadValue: not a sum, more than two decimals, or more than anybody pays.

    >>> read_money("4.20"), read_money("4,2"), read_money("0.07"), read_money("12")
    (420, 420, 7, 1200)
    """
    figures = re.fullmatch(r"\s*(\d{1,9})(?:[.,](\d{1,2}))?\s*", text, re.ASCII)
    if not figures:
        raise BadValue("not a sum of money", typed=text.strip()[:40])
    hundredths = int(figures[1]) * 100 + int((figures[2] or "0").ljust(2, "0"))
    if hundredths > MOST:
        raise BadValue("sum too large", typed=text.strip(), most=f"{MOST // 100:,}")
    return hundredths


def show_money(hundredths: int, currency: str = "") -> str:
    """Return a sum as it is written.

    >>> show_money(420), show_money(7, "GBP"), show_money(123456)
    ('4.20', '0.07 GBP', '1,234.56')
    """
    whole, rest = divmod(hundredths, 100)
    return f"{whole:,}.{rest:02d}" + (f" {currency}" if currency else "")


def read_currency(text: str) -> str:
    """Return the currency that was typed, by its three letters (ISO 4217).

    Raises:
        BadValue: not three letters.
    """
    code = text.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise BadValue("not a currency", typed=text.strip()[:20])
    return code


@dataclass(frozen=True, slots=True)
class Price:
    """What a supplier asks for a pack of so many, in hundredths; no supplier: anybody."""

    text: str
    supplier: str
    pack: int
    price: int
    currency: str = ""
    act: int = field(default=0, compare=False)
    """The act that wrote it down: of two prices the newer one has the higher."""


def cost_of(price: Price, pieces: int) -> tuple[int, int]:
    """Return whole packs and what they cost, in hundredths.

    >>> cost_of(Price("M6 nut", "", 50, 310), 60)
    (2, 620)
    """
    packs = -(-pieces // price.pack)
    return packs, packs * price.price


def price_for(prices: Iterable[Price], text: str, pieces: int, supplier: str = "") -> Price | None:
    """Return the price by which so many pieces cost least; of one supplier where one is named.

    A price of nobody in particular is asked only where the supplier has none.
    """
    known = [price for price in prices if price.text == text]
    if supplier:
        of = [price for price in known if same_firm(price.supplier, supplier)]
        known = of or [price for price in known if not price.supplier]
    return min(known, key=lambda price: (cost_of(price, pieces)[1], price.supplier), default=None)


def newest_price(prices: Iterable[Price], text: str) -> Price | None:
    """Return the price of a thing that was written down last, whoever asks it."""
    return max((each for each in prices if each.text == text), key=lambda p: p.act, default=None)


def worth(price: Price, quantity: int) -> int:
    """Return what so much is worth by a pack's price, in hundredths, rounded half up.

    Only a share of a pack is paid for here: what is there need not be bought.

    >>> worth(Price("M6 nut", "", 50, 310), 60)
    372
    """
    return (2 * price.price * quantity + price.pack) // (2 * price.pack)


def same_firm(one: str, other: str) -> bool:
    """Return whether these name one firm: the same, or one the beginning of the other."""
    short, long = sorted((one.casefold().split(), other.casefold().split()), key=len)
    return bool(short) and long[: len(short)] == short
