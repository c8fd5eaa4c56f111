"""What is fitted new as a rule, and what was decided of single items."""

import re
from dataclasses import dataclass

from stores.errors import Hint, NotationError, Refused
from stores.handbook.cautions import cautions_for
from stores.handbook.fastener import parse, renew_always
from stores.model.ledger import ActKind
from stores.model.renewals import RenewRule, house_rule, key_of, renew_reason, rules_in_force
from stores.storage import Writer
from stores.storage.acts import reversed_acts
from stores.storage.items import read_items
from stores.storage.machines import machine_named
from stores.storage.renewal_tables import RenewChoiceRow, RenewRuleRow
from stores.storage.renewals import renew_choices, renew_rules
from stores.text import beside, clean
from stores.usecases.common import NOTE_LENGTH, select
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "AlwaysRenew",
    "ByTheRule",
    "DropRenewal",
    "ItemChoice",
    "ItemDecided",
    "KindDecided",
    "Renewals",
    "always_renew",
    "by_the_rule",
    "drop_renewal",
    "renewals",
]

_ITEM = re.compile(r"^\s*\d{1,6}\.\d{1,4}\s*$")


@dataclass(frozen=True, slots=True)
class AlwaysRenew(Ask):
    """A kind ("circlip") or an item (7.2) that is always renewed, and why.

    The reason may be empty for a kind that the house knows.
    """

    what: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class DropRenewal(Ask):
    """A kind whose rule is let go, or an item that is used again if sound; of an item with why."""

    what: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class ByTheRule(Ask):
    """An item of which the rules say again."""

    item: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindDecided(Reply):
    """A kind that is always renewed from now on, or no longer."""

    kind: str
    renew: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemDecided(Reply):
    """What was decided of an item: renewed, used again if sound, or None: as the rules say.

    ``rule`` is what the rules say of an item that is used again, empty where they say nothing.
    """

    item: str
    what: str
    renew: bool | None
    reason: str
    rule: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ItemChoice:
    """What a person decided of an item."""

    item: str
    what: str
    renew: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Renewals:
    """The rules in force, those that were let go, and what was decided of items of a machine."""

    machine: str
    rules: tuple[RenewRule, ...]
    dropped: tuple[RenewRule, ...]
    items: tuple[ItemChoice, ...]


def always_renew(context: Context, ask: AlwaysRenew) -> KindDecided | ItemDecided:
    """Record that a kind, or one item, is always renewed.

    Raises:
        Refused: no reason, or it is renewed already.
    """
    reason = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True)
    if _ITEM.match(ask.what):
        if not reason:
            ref = ask.what.strip()
            raise Refused("why is it renewed", what=ref, hint=Hint("always_renew", what=ref))
        return _decide(context, ask, ask.what, 1, reason)
    name, key, house = _kind(ask.what)
    with context.writing(ask) as writer:
        own = renew_rules(writer.connection, reversed_acts(writer.connection)).get(key)
        if own is None and house is not None and not reason:
            raise Refused("renewed already", name=house.name, reason=house.reason)
        reason = reason or (house.reason if house else "")
        if not reason:
            raise Refused(
                "why is it always renewed", name=name, hint=Hint("always_renew", what=name)
            )
        if own == RenewRule(name, key, reason, ours=True):
            raise Refused("renewed already", name=name, reason=reason)
        act = writer.begin(ActKind.RENEW, f"always renewed: {name}", reason=reason, at=context.at)
        writer.append(RenewRuleRow(act_id=act, name=name, key=key, renew=1, reason=reason))
    return KindDecided(act=act, trial=ask.trial, kind=name, renew=True, reason=reason)


def drop_renewal(context: Context, ask: DropRenewal) -> KindDecided | ItemDecided:
    """Record that a rule is let go, or that one item may be used again if it is sound.

    Raises:
        Refused: there is no such rule; an item without a reason.
    """
    reason = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True)
    if _ITEM.match(ask.what):
        if not reason:
            ref = ask.what.strip()
            raise Refused("why is it used again", what=ref, hint=Hint("drop_renewal", what=ref))
        return _decide(context, ask, ask.what, 0, reason)
    name, key, house = _kind(ask.what)
    with context.writing(ask) as writer:
        own = renew_rules(writer.connection, reversed_acts(writer.connection)).get(key)
        if not (own.renew if own else house):
            raise Refused("no rule renews it", name=name, hint=Hint("renewals"))
        act = writer.begin(
            ActKind.RENEW, f"no longer always renewed: {name}", reason=reason, at=context.at
        )
        writer.append(RenewRuleRow(act_id=act, name=name, key=key, renew=0, reason=reason))
    return KindDecided(act=act, trial=ask.trial, kind=name, renew=False, reason=reason)


def by_the_rule(context: Context, ask: ByTheRule) -> ItemDecided:
    """Record that what was decided of an item is taken back: the rules say again.

    Raises:
        Refused: no item, or nothing was decided of it.
    """
    if not _ITEM.match(ask.item):
        raise Refused("name one item")
    return _decide(context, ask, ask.item, -1, "")


def renewals(context: Context) -> Renewals:
    """Return what is fitted new as a rule, and what was decided of single items."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        fallen = reversed_acts(connection)
        own = renew_rules(connection, fallen)
        choices = renew_choices(connection, fallen)
        items = read_items(connection, machine=on.number) if choices else []
    return Renewals(
        on.name,
        tuple(rules_in_force(own.values())),
        tuple(rule for rule in own.values() if not rule.renew),
        tuple(
            ItemChoice(item.ref, item.as_specified.text, choice.renew, choice.reason)
            for item in items
            if (choice := choices.get(item.number))
        ),
    )


def _decide(context: Context, ask: Ask, what: str, renew: int, reason: str) -> ItemDecided:
    with context.writing(ask) as writer:
        item = select(writer.connection, context.machine, what, empty=True).only
        text = item.as_specified.text
        if renew < 0 and item.number not in renew_choices(
            writer.connection, reversed_acts(writer.connection)
        ):
            raise Refused("nothing was decided of it", ref=item.ref, what=text)
        words = {1: "always a new one", 0: "used again if sound", -1: "by the rule again"}[renew]
        act = writer.begin(
            ActKind.RENEW, f"{beside(item.ref, text)}: {words}", reason=reason, at=context.at
        )
        writer.append(RenewChoiceRow(act_id=act, item_id=item.number, renew=renew, reason=reason))
        rule = _rule_for(writer, text) if renew == 0 else ""
    where = f"{item.step.assembly} / {item.step.part} / {text}"
    return ItemDecided(
        act=act,
        trial=ask.trial,
        item=item.ref,
        what=text,
        renew=None if renew < 0 else bool(renew),
        reason=reason,
        rule=rule,
        cautions=() if renew else cautions_for(where),
    )


def _rule_for(writer: Writer, text: str) -> str:
    own = renew_rules(writer.connection, reversed_acts(writer.connection))
    try:
        house = renew_always(parse(text)) or ""
    except NotationError:
        house = ""
    return renew_reason(house, text, own, None)


def _kind(typed: str) -> tuple[str, str, RenewRule | None]:
    name = clean(typed, "the kind", most=80)
    key = key_of(name)
    if not any(character.isalpha() for character in key):
        raise Refused("no kind of part", name=name)
    house = house_rule(name)
    return (house.name if house else name), key, house
