"""What is fitted new as a rule, what a person changed of the rules, and what was decided of items.

The rules of the house are common practice of workshop manuals; the maker's own list of parts to
renew comes first, so that a person may add a kind, let one go, or decide of a single item.

What a person changes of the renew rules is laid over what the house says when items are read: item,
then own rules (most words), then the house. Letting a rule go takes away only what the house says
of that very kind, so that dropping one's own "circlip" never frees a gudgeon-pin circlip. The two
tables are read through bare columns, and their classes stand in `storage/renewal_tables.py`, made
when something is written: `items` asks for every command.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from stores.errors import NotationError
from stores.handbook.fastener import parse, renew_always
from stores.handbook.fastener.words import RENEWED

__all__ = ["RenewChoice", "RenewRule", "house_rule", "key_of", "renew_reason", "rules_in_force"]


@dataclass(frozen=True, slots=True)
class RenewRule:
    """A kind that is always renewed. ``renew`` False: no longer. ``ours``: a person's own."""

    name: str
    key: str
    reason: str
    renew: bool = True
    ours: bool = False


@dataclass(frozen=True, slots=True)
class RenewChoice:
    """What a person decided of one item: always a new one, or used again if sound."""

    renew: bool
    reason: str


def _plain(text: str) -> list[str]:
    words = re.sub(r"[^\w/.]", " ", text.casefold()).split()
    return [word.removesuffix("s") if len(word) > 3 else word for word in words]


def house_rule(name: str) -> RenewRule | None:
    """Return the rule of the house for a kind, however it is spelt; None where it has none."""
    wanted = _plain(name)
    for rule in _house():
        if _plain(rule.name) == wanted:
            return rule
    try:
        reason = renew_always(parse(name))
    except NotationError:
        return None
    return next((rule for rule in _house() if reason and rule.key == _kind_of(reason)), None)


def key_of(name: str) -> str:
    """Return the key of a kind: the same for plural and singular, and for every spelling known."""
    house = house_rule(name)
    if house:
        return house.key
    try:
        return " ".join(_plain(parse(name).spec)) or " ".join(_plain(name))
    except NotationError:
        return " ".join(_plain(name))


@cache
def _house() -> tuple[RenewRule, ...]:
    made = []
    for reason in RENEWED:
        name, _, why = reason.partition(": ")
        made.append(RenewRule(name, _kind_of(reason), why))
    return tuple(sorted(made, key=lambda rule: rule.name.casefold()))


def _kind_of(reason: str) -> str:
    return " ".join(_plain(reason.partition(":")[0]))


def renew_reason(
    house: str, text: str, own: Mapping[str, RenewRule], choice: RenewChoice | None
) -> str:
    """Return why an item is fitted new, empty where it may be used again.

    A word on the item itself comes first, then a person's rules (the one with the most words), then
    the rules of the house. A rule that a person let go takes away what the house says of that very
    kind, nothing else.

    Args:
        house: the reason by the rules of the house, as ``kind: why``; empty where there is none.
        text: what is specified.
        own: a person's rules by their key.
        choice: what a person decided of this item.
    """
    if choice is not None:
        return choice.reason if choice.renew else ""
    words = set(_plain(text))
    fits = [rule for rule in own.values() if rule.renew and set(rule.key.split()) <= words]
    if fits:
        best = max(fits, key=lambda rule: len(rule.key.split()))
        return f"{best.name}: {best.reason}" if best.reason else best.name
    if house and (gone := own.get(_kind_of(house))) and not gone.renew:
        return ""
    return house


def rules_in_force(own: Iterable[RenewRule]) -> list[RenewRule]:
    """Return the rules by name: those of the house that were not let go, and a person's own."""
    said = {rule.key: rule for rule in own}
    kept = [rule for rule in _house() if rule.key not in said]
    mine = [rule for rule in said.values() if rule.renew]
    return sorted([*kept, *mine], key=lambda rule: rule.name.casefold())
