"""What is fitted new as a rule, as typed and shown."""

import pytest
from conftest import Bench, kept


@kept
def joint(bench: Bench) -> Bench:
    bench("strip", "Engine/Gearbox", "end cover",
          "1 gasket", "2 M8 nyloc nut", "1 external circlip 20 mm", "1 gudgeon pin circlip 18 mm",
          "3 M6x25 hex bolt")  # fmt: skip
    return bench


def to_buy(bench: Bench) -> list[str]:
    return [ref for line in bench.json("shopping")["lines"] for ref in line["joints"]]


def test_a_strip_says_what_is_renewed_by_the_rules_of_now(joint: Bench) -> None:
    joint("piece", "renew", "add", "circlips", "this manual renews them all")
    joint("piece", "renew", "remove", "gasket")
    said = joint("strip", "Engine", "oil pump", "1 gasket", "1 external circlip 12 mm")
    [gasket] = [line for line in said.splitlines() if "gasket" in line]
    [circlip] = [line for line in said.splitlines() if "circlip" in line]
    assert "[renew]" not in gasket
    assert "[renew]" in circlip


def test_a_kind_added_feeds_the_list_and_the_checklist(joint: Bench) -> None:
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.5"}
    said = joint("piece", "renew", "add", "circlips", "this manual renews them all")
    assert "Always renewed from now on: circlips, this manual renews them all" in said
    assert set(to_buy(joint)) == {"1.2", "1.3", "1.4", "1.5"}
    assert "this manual renews them all" in joint("rebuild")


def test_what_was_decided_is_listed(joint: Bench) -> None:
    said = joint("piece", "renew", "remove", "1.2", "solid copper, annealed")
    assert "1.2 gasket: used again if sound, solid copper, annealed" in said
    assert "The rule: gasket: " in said
    joint("piece", "renew", "add", "1.6", "stretched")
    joint("piece", "renew", "remove", "nyloc nut", "they still grip")
    listed = " ".join(joint("piece", "renew", "list").split())
    assert "no longer: self-locking nut, they still grip" in listed
    assert "1.2 gasket: used again if sound, solid copper, annealed" in listed
    assert "1.6 M6 x 25 hex bolt: always a new one, stretched" in listed
    data = joint.json("piece", "renew", "list")
    assert [(each["item"], each["renew"]) for each in data["items"]] == [
        ("1.2", False), ("1.6", True),
    ]  # fmt: skip
    assert [rule["name"] for rule in data["dropped"]] == ["self-locking nut"]
    assert joint.json("piece", "renew", "by-rule", "1.2")["renew"] is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", "1.6"), "say why 1.6 is renewed: stores piece renew add 1.6 WHY"),
        (
            ("add", "circlip"),
            "say why a circlip is always renewed: stores piece renew add 'circlip' WHY",
        ),
        (("add", "gasket"), "gasket is renewed already: "),
        (("remove", "1.2"), "say why 1.2 may be used again: stores piece renew remove 1.2 WHY"),
        (("remove", "circlip"), "a circlip is not always renewed: stores piece renew list"),
        (("by-rule", "1.2"), "nothing was decided for 1.2 (gasket): its kind decides"),
    ],
)
def test_what_is_refused_in_one_line(joint: Bench, words: tuple[str, ...], said: str) -> None:
    assert said in joint.refused("piece", "renew", *words)
