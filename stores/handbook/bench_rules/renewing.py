"""What is renewed at every rebuild, and what may be looked at first."""

import re
from functools import cache

from stores.handbook.bench_rules.model import Rule
from stores.handbook.table import table

__all__ = ["renew", "renew_kinds", "renewals"]


def _plain(text: str) -> str:
    words = re.sub(r"[-/]", " ", text.lower()).split()
    return " ".join(word.removesuffix("s") if len(word) > 3 else word for word in words)


@cache
def _names() -> tuple[tuple[str, str], ...]:
    """Give every name of a kind, the longest first, so that it is found before its part."""
    names = {
        _plain(name): row["kind"]
        for row in table("torque_renew")
        for name in (row["kind"], *row["words"].split(";"))
    }
    return tuple(sorted(names.items(), key=lambda pair: -len(pair[0])))


@cache
def _kinds() -> dict[str, Rule]:
    rules = {}
    for row in table("torque_renew"):
        always = row["when"] == "always"
        rules[row["kind"]] = Rule(
            "renewing",
            f"{row['kind']}: always a new one" if always else f"{row['kind']}: renew unless sound",
            row["why"],
            ("standard-practices",) if "standard practices" in row["source"] else
            ("trade-practice", "practice"),
            instead=(row["exception"],) if row["exception"] else (),
            cautions=("The maker's list of parts to renew comes first.",),
            firm=always,
        )  # fmt: skip
    return rules


def renew_kinds() -> tuple[str, ...]:
    """Give the kinds that there is a rule for."""
    return tuple(_kinds())


def renewals(text: str) -> tuple[Rule, ...]:
    """Give the rules for every kind that the words name: ``M14 castle nut, split pin``."""
    words = re.sub(r"[^\w\s/-]", " ", text)
    left, found = f" {_plain(words)} ", {}
    for name, kind in _names():
        at = left.find(f" {name} ")
        if at >= 0:
            found[kind] = at
            left = left.replace(f" {name} ", " " + "#" * len(name) + " ")
    return tuple(_kinds()[kind] for kind in sorted(found, key=lambda kind: found[kind]))


def renew(kind: str) -> Rule | None:
    """Give the rule for renewing a kind of part; None where it may be used again if sound.

    Where the words name several, the one that is always renewed comes first.
    """
    found = renewals(kind)
    return next((rule for rule in found if rule.firm), found[0] if found else None)
