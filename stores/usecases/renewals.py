"""Saying what is fitted new as a rule, and what of one item."""

import re

from stores.errors import NotationError, Refused
from stores.handbook.cautions import cautions_for
from stores.model.ledger import ActKind
from stores.planning.renewals import RenewRule, house_rule, key_of, renew_reason
from stores.storage import Store, Writer
from stores.storage.acts import reversed_acts
from stores.storage.renewals import renew_choices, renew_rules
from stores.text import clean
from stores.usecases.common import NOTE_LENGTH, Done, select

__all__ = ["add_renewal", "by_the_rule", "drop_renewal"]

_ITEM = re.compile(r"^\s*\d{1,6}\.\d{1,4}\s*$")
_MAKER = "The maker's list of parts to renew comes first."


def add_renewal(
    store: Store, what: str, reason: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Always renew a kind, or one item.

    Args:
        store: the opened stores.
        what: a kind ("circlip"), or an item (7.2).
        reason: why; may be empty for a kind that the house knows.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: no reason, or it is renewed already.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if _ITEM.match(what):
        if not reason:
            raise Refused(f"say why {what.strip()} is renewed: stores renew add {what.strip()} WHY")
        return _decide(store, what, 1, reason, machine=machine, at=at)
    name, key, house = _kind(what)
    with store.writing() as writer:
        own = renew_rules(writer.connection, reversed_acts(writer.connection)).get(key)
        if own is None and house is not None and not reason:
            raise Refused(f"{house.name} is renewed already: {house.reason}")
        reason = reason or (house.reason if house else "")
        if not reason:
            raise Refused(f"say why a {name} is always renewed: stores renew add {name!r} WHY")
        if own == RenewRule(name, key, reason, ours=True):
            raise Refused(f"{name} is renewed already: {reason}")
        act = writer.begin(ActKind.RENEW, f"always renewed: {name}", reason=reason, at=at)
        writer.renew_rule(act, name, key, reason, renew=True)
    return Done(
        act,
        (f"Always renewed from now on: {name}, {reason}",),
        (_MAKER,),
        data={"act": act, "kind": name, "renew": True, "reason": reason},
    )


def drop_renewal(
    store: Store, what: str, reason: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Let a rule go, or let one item be used again if it is sound.

    Raises:
        Refused: there is no such rule; an item without a reason.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if _ITEM.match(what):
        ref = what.strip()
        if not reason:
            raise Refused(f"say why {ref} may be used again: stores renew remove {ref} WHY")
        return _decide(store, what, 0, reason, machine=machine, at=at)
    name, key, house = _kind(what)
    with store.writing() as writer:
        own = renew_rules(writer.connection, reversed_acts(writer.connection)).get(key)
        if not (own.renew if own else house):
            raise Refused(f"no rule renews a {name}: stores renew list")
        act = writer.begin(ActKind.RENEW, f"no longer always renewed: {name}", reason=reason, at=at)
        writer.renew_rule(act, name, key, reason, renew=False)
    return Done(
        act,
        (f"No longer renewed as a rule: {name}. It is looked at like any other piece.",),
        (_MAKER,),
        data={"act": act, "kind": name, "renew": False, "reason": reason},
    )


def by_the_rule(
    store: Store, what: str, *, machine: str | None = None, at: str | None = None
) -> Done:
    """Take back what was decided of an item: the rules say again.

    Raises:
        Refused: nothing was decided of it.
    """
    if not _ITEM.match(what):
        raise Refused("name one item, as 7.2; a kind: stores renew add KIND, remove KIND")
    return _decide(store, what, -1, "", machine=machine, at=at)


def _decide(
    store: Store, what: str, renew: int, reason: str, *, machine: str | None, at: str | None
) -> Done:
    with store.writing() as writer:
        item = select(writer.connection, machine, what, empty=True).only
        text = item.as_specified.text
        if renew < 0 and item.number not in renew_choices(
            writer.connection, reversed_acts(writer.connection)
        ):
            raise Refused(f"nothing was decided of {item.ref} {text}: the rules hold")
        said = {1: "always a new one", 0: "used again if sound", -1: "by the rule again"}[renew]
        act = writer.begin(ActKind.RENEW, f"{item.ref} {text}: {said}", reason=reason, at=at)
        writer.renew_choice(act, item.number, renew, reason)
        rule = _rule_for(writer, text) if renew == 0 else ""
    notes = (f"The rule: {rule}. The maker's list of parts to renew comes first.",) if rule else ()
    return Done(
        act,
        (f"{item.ref} {text}: {said}" + (f", {reason}" if reason else ""),),
        notes,
        () if renew else cautions_for(f"{item.step.assembly} / {item.step.part} / {text}"),
        data={"act": act, "item": item.ref, "renew": renew, "reason": reason},
    )


def _rule_for(writer: Writer, text: str) -> str:
    from stores.handbook.fastener import parse, renew_always

    own = renew_rules(writer.connection, reversed_acts(writer.connection))
    try:
        house = renew_always(parse(text)) or ""
    except NotationError:
        house = ""
    return renew_reason(house, text, own, None)


def _kind(what: str) -> tuple[str, str, RenewRule | None]:
    name = clean(what, "the kind", most=80)
    key = key_of(name)
    if not any(character.isalpha() for character in key):
        raise Refused(f"{name!r} is no kind of part: say 'circlip', or an item, as 7.2")
    house = house_rule(name)
    return (house.name if house else name), key, house
