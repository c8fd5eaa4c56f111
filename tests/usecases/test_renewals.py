"""What is fitted new as a rule: the house's kinds, a person's own, and single items.

The kinds are common practice of workshop manuals (gaskets, O-rings, seals, tab washers, split pins,
crushed sealing washers, self-locking nuts, gudgeon-pin circlips); from memory, no one book.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from conftest import kept

from stores.errors import Hint, Refused, Repeated
from stores.model.renewals import RenewChoice, RenewRule, house_rule, key_of, renew_reason
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.renewals import (
    AlwaysRenew,
    ByTheRule,
    DropRenewal,
    ItemDecided,
    KindDecided,
    always_renew,
    by_the_rule,
    drop_renewal,
    renewals,
)
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.strip import Strip, strip


@kept
def joint(context: Context) -> Context:
    strip(
        Context(context.store),
        Strip(
            "Engine/Gearbox",
            "end cover",
            [
                "1 gasket",
                "2 M8 nyloc nut",
                "1 external circlip 20 mm",
                "1 gudgeon pin circlip 18 mm",
                "3 M6x25 hex bolt",
            ],
        ),
    )
    return context


def to_buy(context: Context) -> set[str]:
    return {ref for line in shopping(context, WhatToBuy()).lines for ref in line.joints}


def renewed(context: Context, ref: str) -> str:
    with context.reading() as connection:
        return next(item.renew for item in read_items(connection) if item.ref == ref)


@pytest.mark.parametrize(
    "name",
    ["gasket", "O-rings", "oil seal", "tab washer", "split pins", "copper washer", "nyloc nut",
     "roll pin", "gudgeon pin circlip"],
)  # fmt: skip
def test_common_practice_renews_it(name: str) -> None:
    assert house_rule(name) is not None


@pytest.mark.parametrize("name", ["circlip", "M6x25 bolt", "bearing", "clutch cover"])
def test_and_this_it_does_not(name: str) -> None:
    assert house_rule(name) is None


def test_a_kind_added_feeds_the_list_until_it_is_taken_back(joint: Context) -> None:
    assert to_buy(joint) == {"1.2", "1.3", "1.5"}
    added = always_renew(joint, AlwaysRenew("circlips", "this manual renews them all"))
    assert isinstance(added, KindDecided)
    assert (added.kind, added.renew, added.reason) == (
        "circlips", True, "this manual renews them all",
    )  # fmt: skip
    assert to_buy(joint) == {"1.2", "1.3", "1.4", "1.5"}
    assert renewed(joint, "1.4") == "circlips: this manual renews them all"
    assert "circlips" in [rule.name for rule in renewals(joint).rules if rule.ours]
    undo(Context(joint.store), Undo())
    assert to_buy(joint) == {"1.2", "1.3", "1.5"}
    assert renewed(joint, "1.4") == ""


def test_a_rule_let_go_takes_nothing_else_with_it(joint: Context) -> None:
    """An own rule for circlips may go; the gudgeon-pin circlip stays new by the house's rule."""
    always_renew(joint, AlwaysRenew("circlip", "this manual renews them all"))
    drop_renewal(joint, DropRenewal("circlip"))
    assert to_buy(joint) == {"1.2", "1.3", "1.5"}
    dropped = drop_renewal(joint, DropRenewal("nyloc nut", "they still grip"))
    assert isinstance(dropped, KindDecided)
    assert (dropped.kind, dropped.renew) == ("self-locking nut", False)
    assert to_buy(joint) == {"1.2", "1.5"}
    assert [rule.name for rule in renewals(joint).dropped][-1] == "self-locking nut"
    again = always_renew(joint, AlwaysRenew("nyloc nut"))
    assert again.reason  # the house knows why
    assert to_buy(joint) == {"1.2", "1.3", "1.5"}


def test_a_word_on_the_item_comes_before_the_rules(joint: Context) -> None:
    dropped = drop_renewal(joint, DropRenewal("1.2", "solid copper, annealed"))
    assert isinstance(dropped, ItemDecided)
    assert (dropped.item, dropped.what, dropped.renew) == ("1.2", "gasket", False)
    assert dropped.rule.startswith("gasket: ")
    added = always_renew(joint, AlwaysRenew("1.6", "stretched"))
    assert isinstance(added, ItemDecided)
    assert (added.renew, added.rule, added.cautions) == (True, "", ())
    assert to_buy(joint) == {"1.3", "1.5", "1.6"}
    assert [(each.item, each.renew, each.reason) for each in renewals(joint).items] == [
        ("1.2", False, "solid copper, annealed"), ("1.6", True, "stretched"),
    ]  # fmt: skip
    assert by_the_rule(joint, ByTheRule("1.2")).renew is None
    assert to_buy(joint) == {"1.2", "1.3", "1.5", "1.6"}
    undo(Context(joint.store), Undo())
    assert "1.2" not in to_buy(joint)


def test_an_item_used_again_at_a_brake_has_its_caution(joint: Context) -> None:
    strip(Context(joint.store), Strip("Brakes/Front", "brake anchor", ["1 split pin 2x20"]))
    decided = drop_renewal(joint, DropRenewal("2.2", "never bent"))
    assert isinstance(decided, ItemDecided)
    assert decided.cautions


def test_the_rule_with_the_most_words_speaks() -> None:
    own = {
        key_of(name): RenewRule(name, key_of(name), why, ours=True)
        for name, why in (("washer", "all"), ("wave washer", "flat ones spring no more"))
    }
    assert renew_reason("", "M8 wave washer", own, None).startswith("wave washer")
    assert renew_reason("", "M8 plain washer", own, None) == "washer: all"
    assert renew_reason("", "M8 plain washer", own, RenewChoice(renew=False, reason="new")) == ""
    assert renew_reason("", "M8 nut", own, None) == ""


ASKS: list[tuple[Callable[[Context, Any], Any], Any]] = [
    (always_renew, AlwaysRenew("circlip", "this manual renews them all")),
    (always_renew, AlwaysRenew("1.6", "stretched")),
    (drop_renewal, DropRenewal("nyloc nut")),
    (drop_renewal, DropRenewal("1.2", "solid copper")),
    (by_the_rule, ByTheRule("1.2")),
]


def test_a_trial_gives_the_same_reply_and_writes_nothing(joint: Context) -> None:
    for do, ask in ASKS:
        before = renewals(joint), to_buy(joint)
        tried = do(joint, replace(ask, trial=True))
        assert (renewals(joint), to_buy(joint)) == before
        assert replace(tried, trial=False) == do(joint, ask)
        assert renewals(joint) != before[0]


def test_the_same_key_twice_is_one_act(joint: Context) -> None:
    for number, (do, ask) in enumerate(ASKS):
        keyed = replace(ask, key=f"form {number}")
        act = do(joint, keyed).act
        with pytest.raises(Repeated) as repeated:
            do(joint, keyed)
        assert repeated.value.act == act


@pytest.mark.parametrize(
    ("do", "ask", "fact", "facts", "hint"),
    [
        (
            always_renew, AlwaysRenew("1.6"), "why is it renewed", {"what": "1.6"},
            Hint("always_renew", what="1.6"),
        ),
        (
            always_renew, AlwaysRenew("circlip"), "why is it always renewed", {"name": "circlip"},
            Hint("always_renew", what="circlip"),
        ),
        (always_renew, AlwaysRenew("gaskets"), "renewed already", {"name": "gasket"}, None),
        (always_renew, AlwaysRenew("7"), "no kind of part", {"name": "7"}, None),
        (
            drop_renewal, DropRenewal("1.2"), "why is it used again", {"what": "1.2"},
            Hint("drop_renewal", what="1.2"),
        ),
        (
            drop_renewal, DropRenewal("circlip"), "no rule renews it", {"name": "circlip"},
            Hint("renewals"),
        ),
        (by_the_rule, ByTheRule("gasket"), "name one item", {}, None),
        (
            by_the_rule, ByTheRule("1.2"), "nothing was decided of it",
            {"ref": "1.2", "what": "gasket"}, None,
        ),
    ],
)  # fmt: skip
def test_what_is_refused_says_the_facts(
    joint: Context,
    do: Callable[[Context, Any], Any],
    ask: Any,
    fact: str,
    facts: dict[str, Any],
    hint: Hint | None,
) -> None:
    before = renewals(joint)
    with pytest.raises(Refused) as refused:
        do(joint, ask)
    assert (refused.value.fact, refused.value.hint) == (fact, hint)
    assert refused.value.facts | facts == refused.value.facts
    assert renewals(joint) == before


def test_a_rule_said_twice_is_refused(joint: Context) -> None:
    always_renew(joint, AlwaysRenew("circlip", "all of them"))
    with pytest.raises(Refused, match="renewed already"):
        always_renew(joint, AlwaysRenew("circlip", "all of them"))
    assert always_renew(joint, AlwaysRenew("circlip", "the small ones crack")).reason
