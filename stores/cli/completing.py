"""What the Tab key offers for a value: fixed words, and what the record calls things.

Asked at every press of the key, so that it loads no database package and says nothing of whatever
goes wrong: a person who is in the middle of a line has no use for an error.
"""

import contextlib
import os
import re
from collections.abc import Callable, Iterable
from types import SimpleNamespace
from typing import Any

from stores.cli.overview import COMPLETE
from stores.model.choices import SIDES, SORTS, STOCK, SURFACES, TOOLS
from stores.model.ledger import Condition
from stores.storage.quick import Names, quick_names

__all__ = ["offered"]

_CONDITIONS = tuple(each.value for each in Condition)
_VERDICTS = tuple(each for each in _CONDITIONS if each not in ("as removed", "new"))


def _step_or_bag(names: Names) -> Iterable[str]:
    return (*names.steps, *names.bags)


def _thing(names: Names) -> Iterable[str]:
    return (*names.steps, *names.bags, *names.items)


def _anywhere(names: Names) -> Iterable[str]:
    return (*_thing(names), *names.places, *_assemblies(names))


def _place(names: Names) -> Iterable[str]:
    return (*names.bags, *names.places, "bench", "new")


def _assemblies(names: Names) -> Iterable[str]:
    """Give the assemblies and those that they lie in, as they are typed: ``Engine/Clutch``."""
    paths = [path.replace(" / ", "/") for path in names.assemblies]
    parts = [path.split("/") for path in paths]
    within = ("/".join(each[:end]) for each in parts for end in range(1, len(each) + 1))
    return sorted(dict.fromkeys(within))


def _stock(names: Names) -> Iterable[str]:
    return (each for each in names.items if each.startswith("0."))


def _templates(kind: str, ending: str) -> Callable[[Names], Iterable[str]]:
    def listed(_names: Names) -> Iterable[str]:
        from stores.resources import templates

        return templates(kind, ending)

    return listed


def _words(*words: str) -> Callable[[Names], Iterable[str]]:
    return lambda _names: words


_OF_OPTIONS: dict[str, Callable[[Names], Iterable[str]]] = {
    "--of": _words(*_CONDITIONS),
    "--condition": _words(*_CONDITIONS),
    "--machine": lambda names: names.machines,
    "--of-machine": lambda names: names.machines,
    "--to-machine": lambda names: names.machines,
    "--bag": lambda names: ("new", "same", *names.bags, *names.places),
    "--part-to": lambda names: names.places,
    "--assembly": _assemblies,
    "--step": lambda names: names.steps,
    "--to-step": lambda names: names.steps,
    "--wants": lambda names: names.steps,
    "--came-off-before": lambda names: names.steps,
    "--came-off-after": lambda names: names.steps,
    "--with": lambda names: names.items,
    "--at": lambda names: names.firms,
    "--kind": _templates("surveys", ".txt"),
    "--as": _words(*STOCK),
    "--stock": _templates("stock", ".toml"),
    "--layout": _templates("layouts", ".toml"),
    "--side": _words(*SIDES),
    "--tool": _words(*TOOLS),
    "--surface": _words(*SURFACES),
    "--paper": _words("A4", "Letter"),
}
"""What options take, by their first name; the others go by what their value is called."""

_OF_VALUES: dict[str, Callable[[Names], Iterable[str]]] = {
    "WHAT": _thing,
    "STEP": _step_or_bag,
    "OTHER": _step_or_bag,
    "ITEM": lambda names: names.items,
    "WHERE": lambda names: (*_thing(names), *_assemblies(names), "machine"),
    "THING": lambda names: (*_anywhere(names), *names.firms),
    "ASSEMBLY": _assemblies,
    "BAG": lambda names: (*names.bags, *names.places),
    "PLACE": _place,
    "TO": _place,
    "FIRM": lambda names: names.firms,
    "SUPPLIER": lambda names: names.firms,
    "SORT": _words(*SORTS),
    "[N] VERDICT [WHY]": _words(*_VERDICTS),
    "SYSTEM": _words("metric", "imperial", "US"),
    "ACT": _words("act", "step"),
}
"""What a value is by its name in the help."""

_OF_COMMANDS: dict[tuple[str, str], Callable[[Names], Iterable[str]]] = {
    **{(name, "WHAT"): _stock for name in ("stock", "pack", "least", "reserve", "use", "left")},
    ("buy", "WHAT"): lambda names: names.items,
    ("price", "WHAT"): lambda names: (),
    ("inventory", "WHAT"): lambda names: names.places,
    ("labels", "WHAT"): lambda names: (*names.bags, *names.places, *names.items),
    ("find", "WORDS"): lambda names: (*names.bags, *names.places),
    ("assembly", "TO"): _assemblies,
}
"""What a value is where its name alone does not say: by the command's short name and its own."""


def offered(parameter: Any, ctx: Any, incomplete: str) -> list[Any]:
    """Give what a value may go on as; nothing where nobody can know, or where anything is wrong."""
    with contextlib.suppress(Exception):
        found = _found(parameter, ctx, incomplete)
        return [SimpleNamespace(value=_typed(each), type="plain", help=None) for each in found]
    return []


def _found(parameter: Any, ctx: Any, incomplete: str) -> list[str]:
    value = parameter.metavar or ""
    source = _OF_COMMANDS.get((str(ctx.command.name), value))
    if source is None and parameter.param_type_name == "option":
        source = next((_OF_OPTIONS[each] for each in parameter.opts if each in _OF_OPTIONS), None)
    source = source or _OF_VALUES.get(value)
    if source is None or getattr(parameter, "is_flag", False):
        return []
    names = quick_names(str(ctx.find_root().params.get("stores") or ""))
    begun = incomplete.casefold()
    found = dict.fromkeys(each for each in source(names) if each.casefold().startswith(begun))
    if "." not in incomplete and source is not _stock:  # a hundred lines say nothing: "7." has its
        others = [each for each in found if not re.fullmatch(r"\d+\.\d+", each)]
        found = dict.fromkeys(others or found)
    return sorted(found, key=_natural)


def _natural(name: str) -> list[tuple[bool, int, str]]:
    return [
        (not part.isdigit(), int(part) if part.isdigit() else 0, part)
        for part in re.split(r"(\d+)", name)
        if part
    ]


def _typed(value: str) -> str:
    """Write a value as this shell takes it where it has blanks; zsh and fish see to that."""
    shell = os.environ.get(COMPLETE, "").partition("_")[2]
    if shell == "bash":
        return re.sub(r"([^\w./@%+,:-])", r"\\\1", value)
    if shell in ("powershell", "pwsh") and re.search(r"[^\w./-]", value):
        return "'" + value.replace("'", "''") + "'"
    return value
