"""What is fitted new as a rule, in words."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.text import beside
from stores.wording import Listing, Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.renewals import ItemDecided, KindDecided, Renewals

__all__ = ["HINTS", "REFUSALS", "RenewalsInWords", "decided", "listing"]

_MAKER = "The maker's list of parts to renew comes first."


def _always_renew(what: str) -> str:
    """Return the command; a kind goes in quotes."""
    named = what if re.fullmatch(r"[0-9.]+", what) else repr(what)
    return to_type(f"stores piece renew add {named} WHY")


REFUSALS = {
    "why is it renewed": "say why {what} is renewed: {hint}",
    "why is it always renewed": "say why a {name} is always renewed: {hint}",
    "renewed already": "{name} is renewed already: {reason}",
    "why is it used again": "say why {what} may be used again: {hint}",
    "no rule renews it": "a {name} is not always renewed: {hint}",
    "name one item": (
        f"name one item, as 7.2; a kind: {to_type('stores piece renew add KIND, remove KIND')}"
    ),
    "nothing was decided of it": "nothing was decided for {ref} ({what}): its kind decides",
    "no kind of part": "{name!r} is no kind of part: say 'circlip', or an item, as 7.2",
}
HINTS = {
    "always_renew": _always_renew,
    "drop_renewal": "stores piece renew remove {what} WHY",
    "renewals": "stores piece renew list",
}


@dataclass(frozen=True, slots=True)
class RenewalsInWords:
    """The rules as a table, and what a person changed of them."""

    rules: Listing
    dropped: tuple[str, ...]
    items: tuple[str, ...]
    maker: str = _MAKER


def decided(reply: "KindDecided | ItemDecided") -> Said:
    """Return what was decided of a kind or of an item."""
    from stores.usecases.renewals import ItemDecided

    if isinstance(reply, ItemDecided):
        words = f"{beside(reply.item, reply.what)}: {_choice(reply.renew)}"
        return Said(
            (words + (f", {reply.reason}" if reply.reason else ""),),
            (f"The rule: {reply.rule}. {_MAKER}",) if reply.rule else (),
            reply.cautions,
        )
    if reply.renew:
        return Said((f"Always renewed from now on: {reply.kind}, {reply.reason}",), (_MAKER,))
    return Said(
        (f"No longer always renewed: {reply.kind}. It is inspected like any other piece.",),
        (_MAKER,),
    )


def _choice(renew: bool | None) -> str:
    if renew is None:
        return "by the rule again"
    return "always a new one" if renew else "used again if sound"


def listing(reply: "Renewals") -> RenewalsInWords:
    """Return the rules and what was decided of single items."""
    return RenewalsInWords(
        Listing(
            ["Always renewed", "Why", "Rule"],
            [
                [rule.name, rule.reason, "ours" if rule.ours else "common practice"]
                for rule in reply.rules
            ],
        ),
        tuple(
            f"no longer: {rule.name}" + (f", {rule.reason}" if rule.reason else "")
            for rule in reply.dropped
        ),
        tuple(
            f"{each.item}  {each.what}: {_choice(each.renew)}, {each.reason}"
            for each in reply.items
        ),
    )
