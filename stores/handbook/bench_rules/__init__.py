"""The rules of the bench: castle nuts, oil on a dry figure, plugs, renewing, plating, studs.

Figures are `stores.handbook.answer.Answer`, rules in words `Rule`; both carry their sources::

    >>> round(to_next_slot("M12", 40).value)
    20
    >>> renew("split pin").text
    'split pin: always a new one'
"""

from importlib import import_module

TYPE_CHECKING = False  # mypy takes it as true; typing's own costs three times the rest of this
if TYPE_CHECKING:
    from stores.handbook.bench_rules.friction import (
        dry_to_oiled,
        finish_factor,
        finishes,
        lubrication_cut,
        with_spring_washer,
    )
    from stores.handbook.bench_rules.model import Rule, rules, topics
    from stores.handbook.bench_rules.plating import hardness_of, plating_warning, strength_of
    from stores.handbook.bench_rules.plugs import (
        drain_plug,
        fixing,
        fixing_kinds,
        spark_plug,
        spark_plug_turn,
    )
    from stores.handbook.bench_rules.renewing import renew, renew_kinds, renewals
    from stores.handbook.bench_rules.slots import after_turn, extra_preload, slots_of, to_next_slot
    from stores.handbook.bench_rules.studs import insert_length, old_stud

__all__ = [
    "Rule",
    "after_turn",
    "drain_plug",
    "dry_to_oiled",
    "extra_preload",
    "finish_factor",
    "finishes",
    "fixing",
    "fixing_kinds",
    "hardness_of",
    "insert_length",
    "lubrication_cut",
    "old_stud",
    "plating_warning",
    "renew",
    "renew_kinds",
    "renewals",
    "rules",
    "slots_of",
    "spark_plug",
    "spark_plug_turn",
    "strength_of",
    "to_next_slot",
    "topics",
    "with_spring_washer",
]

# Loaded at first use: who asks about a split pin needs no threads and no torque. No module has the
# name of a function here: once loaded it would hide the function.
_HOMES = {
    ".friction": (
        "dry_to_oiled", "finish_factor", "finishes", "lubrication_cut", "with_spring_washer",
    ),
    ".model": ("Rule", "rules", "topics"),
    ".plating": ("hardness_of", "plating_warning", "strength_of"),
    ".plugs": ("drain_plug", "fixing", "fixing_kinds", "spark_plug", "spark_plug_turn"),
    ".renewing": ("renew", "renew_kinds", "renewals"),
    ".slots": ("after_turn", "extra_preload", "slots_of", "to_next_slot"),
    ".studs": ("insert_length", "old_stud"),
}  # fmt: skip


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            value: object = getattr(import_module(home, __name__), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
