"""What is fitted new as a rule: the house's kinds, a person's own, and single items.

The kinds are common practice of workshop manuals (gaskets, O-rings, seals, tab washers, split pins,
crushed sealing washers, self-locking nuts, gudgeon-pin circlips); from memory, no one book.
"""

import pytest
from conftest import Bench

from stores.model.renewals import RenewChoice, RenewRule, house_rule, key_of, renew_reason


@pytest.fixture
def joint(bench: Bench) -> Bench:
    bench("strip", "Engine/Gearbox", "end cover",
          "1 gasket", "2 M8 nyloc nut", "1 external circlip 20 mm", "1 gudgeon pin circlip 18 mm",
          "3 M6x25 hex bolt")  # fmt: skip
    return bench


def to_buy(bench: Bench) -> list[str]:
    return [ref for line in bench.json("shopping")["lines"] for ref in line["joints"]]


def renewed(bench: Bench, ref: str) -> str:
    [item] = [each for each in bench.json("find", "end cover")["items"] if each["item"] == ref]
    return str(item["renew"])


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


def test_a_strip_says_what_is_renewed_by_the_rules_of_now(joint: Bench) -> None:
    joint("renew", "add", "circlips", "this manual renews them all")
    joint("renew", "remove", "gasket")
    said = joint("strip", "Engine", "oil pump", "1 gasket", "1 external circlip 12 mm")
    [gasket] = [line for line in said.splitlines() if "gasket" in line]
    [circlip] = [line for line in said.splitlines() if "circlip" in line]
    assert "[renew]" not in gasket
    assert "[renew]" in circlip


def test_a_kind_added_feeds_the_list_and_the_checklist_until_it_is_taken_back(joint: Bench) -> None:
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5"}
    joint("renew", "add", "circlips", "this manual renews them all")
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.4", "1.5"}
    assert renewed(joint, "1.4") == "circlips: this manual renews them all"
    assert "this manual renews them all" in joint("rebuild")
    joint("undo")
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5"}
    assert renewed(joint, "1.4") == ""


def test_a_rule_let_go_takes_nothing_else_with_it(joint: Bench) -> None:
    """An own rule for circlips may go; the gudgeon-pin circlip stays new by the house's rule."""
    joint("renew", "add", "circlip", "this manual renews them all")
    joint("renew", "remove", "circlip")
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5"}
    joint("renew", "remove", "nyloc nut", "they still grip")
    assert set(to_buy(joint)) == {"1.2", "1.5"}
    assert [rule["name"] for rule in joint.json("renew", "list")["dropped"]][-1] == (
        "self-locking nut"
    )
    joint("renew", "add", "nyloc nut")
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5"}


def test_a_word_on_the_item_comes_before_the_rules(joint: Bench) -> None:
    joint("renew", "remove", "1.2", "solid copper, annealed")
    joint("renew", "add", "1.6", "stretched")
    assert set(to_buy(joint)) == {"1.3", "1.5", "1.6"}
    listed = joint.json("renew", "list")["items"]
    assert [(each["item"], each["renew"]) for each in listed] == [("1.2", False), ("1.6", True)]
    joint("renew", "by-rule", "1.2")
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5", "1.6"}
    joint("undo")
    assert "1.2" not in to_buy(joint)


def test_the_rule_with_the_most_words_speaks() -> None:
    own = {
        key_of(name): RenewRule(name, key_of(name), why, ours=True)
        for name, why in (("washer", "all"), ("wave washer", "flat ones spring no more"))
    }
    assert renew_reason("", "M8 wave washer", own, None).startswith("wave washer")
    assert renew_reason("", "M8 plain washer", own, None) == "washer: all"
    assert renew_reason("", "M8 plain washer", own, RenewChoice(renew=False, reason="new")) == ""
    assert renew_reason("", "M8 nut", own, None) == ""
