"""Oil for the rebuild: what to buy for all sumps, by grade."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from math import ceil

from stores import units
from stores.errors import BadValue, NotationError, StoresError
from stores.handbook.fluids.oils import Grade, ShoppingOil, buy, need_of, read_grade, stands_in
from stores.model.figures import SumpOnRecord
from stores.model.work_units import chosen
from stores.planning.figures import sump_of
from stores.planning.supplies import ConsumableLine, Lot, OpenNeed, Shared
from stores.text import words_of

__all__ = [
    "SIZES_ML",
    "Oil",
    "oil_given",
    "oil_lines",
    "oil_of",
    "oil_to_buy",
    "read_oil",
    "read_sizes",
    "sump_for",
]

SIZES_ML = (500, 1000, 5000)
"""Containers that most oil is sold in (common practice)."""


_VOLUME = (
    r"(?i)(?:\b(\d{1,4})\s*[x×]\s*)?\b(\d+(?:[.,]\d+)?)\s*"
    r"(ml|cl|l|ltrs?|lit(?:re|er)s?|(?:imp|us)\s+(?:pints?|quarts?|gallons?))\b"
)
_CANS = frozenset(
    ("can", "cans", "bottle", "bottles", "tin", "tins", "drum", "drums", "jug", "jugs", "of", "x")
)


_GRADED = ("engine-oil", "gear-oil", "fork-oil")
"""Kinds of which a grade says which, so that a step's is bought with that of the sumps."""


@dataclass(frozen=True, slots=True)
class Oil:
    """So much of an oil as words have it: ``1 l can SAE 140``. ``grade`` is None for one that goes
    by another name, whose words are in ``name``."""

    ml: int
    grade: Grade | None
    name: frozenset[str]


def read_oil(text: str) -> Oil | None:
    """Return the oil that a container is of by its words; None where they name no volume.

    >>> str(read_oil("1 l can SAE 140").grade), read_oil("SAE 20W-50, 500 ml").ml
    ('SAE 140', 500)
    """
    found = re.search(_VOLUME, text)
    if found is None:
        return None
    unit = "l" if found[3].casefold().startswith("l") else found[3]
    try:
        each = units.read(f"{found[2].replace(',', '.')} {unit}", units.Kind.VOLUME)
    except StoresError:
        return None
    rest = f"{text[: found.start()]} {text[found.end() :]}"
    words = [word for word in rest.replace(",", " ").split() if word.casefold() not in _CANS]
    try:
        grade = read_grade(" ".join(words))
    except (BadValue, NotationError):
        grade = None
    return Oil(round(each.base) * int(found[1] or 1), grade, frozenset(words_of(" ".join(words))))


def sump_for(each: OpenNeed) -> SumpOnRecord | None:
    """Return a step that takes oil of a grade as a sump is bought for; None of other things."""
    need = each.need
    if not each.quantity or need.kind not in _GRADED or not need.words:
        return None
    tail = need.name.removeprefix(f"{_kind_name(need.kind)}, ").replace(",", " ")
    try:
        grade = read_grade(tail)
    except (BadValue, NotationError):
        return None
    return SumpOnRecord(need.machine, need.ref, grade=str(grade), dry_ml=ceil(each.quantity))


def _kind_name(key: str) -> str:
    from stores.handbook.consumables import kind_by_key

    return kind_by_key(key).name


def oil_given(
    sumps: Sequence[SumpOnRecord], shared: Shared, used: Mapping[str, Iterable[Oil]]
) -> dict[str, list[Oil]]:
    """Return by machine what its sumps get of the oil in stock and on order, and of what was
    ``used`` on it: that is in already. Sumps are in the order of their machines."""
    given: dict[str, list[Oil]] = {}
    for machine in dict.fromkeys(sump.machine for sump in sumps):
        its = [(sump, sump_of(sump)) for sump in sumps if sump.machine == machine]
        # what asks for most is served first, so that a plain need does not use up its can
        its.sort(key=lambda each: -len(str(each[1].grade or "")))
        filled = list(used.get(machine, ()))
        for on_record, sump in its:
            most = need_of(sump, stripped=True).high
            if most is None or not on_record.grade:
                continue
            name = frozenset(words_of(on_record.grade))
            there = 0
            for at, oil in enumerate(filled):
                if _is_it(oil, sump.grade, name):
                    some = min(oil.ml, most - there)
                    filled[at] = replace(oil, ml=oil.ml - some)
                    there += some
            fits = partial(_fits, grade=sump.grade, name=name)
            taken = shared.take(machine, fits, Fraction(most - there))
            there += int(sum(taken.values(), Fraction(0)))
            if there:
                given.setdefault(machine, []).append(Oil(there, sump.grade, name))
    return given


def _fits(lot: Lot, grade: Grade | None, name: frozenset[str]) -> bool:
    return lot.unit == "ml" and _is_it(oil_of(lot.quantity, lot.name), grade, name)


def oil_of(quantity: int, name: str) -> Oil:
    """Return so many millilitres of an oil of this name."""
    known = read_oil(f"1 ml {name}")
    return Oil(quantity, known.grade if known else None, known.name if known else frozenset())


def _is_it(oil: Oil, grade: Grade | None, name: frozenset[str]) -> bool:
    """Return whether an oil is what a sump takes: by its grade, else by its name."""
    if grade is not None:
        return oil.grade is not None and stands_in(oil.grade, grade)
    return oil.grade is None and name <= oil.name


def oil_to_buy(
    sumps: Iterable[SumpOnRecord],
    sizes_ml: Sequence[int] = SIZES_ML,
    *,
    stripped: bool = True,
    at_hand: Iterable[Oil] = (),
) -> ShoppingOil:
    """Return what to buy for these sumps, after a strip-down or after a drain, beside what is
    there or on order."""
    there = [(oil.grade, oil.ml) for oil in at_hand if oil.grade is not None]
    return buy([sump_of(sump) for sump in sumps], sizes_ml, stripped=stripped, at_hand=there)


def oil_lines(
    oil: ShoppingOil, sumps: Iterable[SumpOnRecord] = (), at_hand: Iterable[Oil] = ()
) -> list[ConsumableLine]:
    """Return what is to be bought in lines, a can size each; what cannot be reckoned comes last,
    with what the record says of it. ``at_hand`` is taken off what goes by a name alone."""
    lines = []
    by_name = [(each.name, each.ml) for each in at_hand if each.grade is None]
    for each in oil.purchases:
        why = f"{_ml(each.need_ml)} needed{_less(each.at_hand_ml)}, {_ml(each.over_ml)} over"
        for size, count in each.containers:
            what = f"{each.grade}, {_can(size)}"
            lines.append(ConsumableLine(count, what, why, ", ".join(each.sumps), pack=size))
    known = {sump.name: sump for sump in sumps}
    for name, why in oil.unknown:
        sump = known.get(name)
        need = need_of(sump_of(sump), stripped=True).high if sump else None
        said = why
        if need is not None and sump and sump.grade:
            there = _by_name(by_name, sump.grade, need)
            if there == need:
                continue
            said = f"{_ml(need)} needed{_less(there)}"
        lines.append(ConsumableLine(None, sump.grade if sump and sump.grade else "oil", said, name))
    return lines


def _ml(ml: int) -> str:
    return chosen().volume_words(ml)


def _less(ml: int) -> str:
    return f", less {_ml(ml)} bought or on order" if ml else ""


def _by_name(lots: list[tuple[frozenset[str], int]], name: str, need: int) -> int:
    """Take so much of an oil of this name from what there is; return how much that is."""
    asked, taken = frozenset(words_of(name)), 0
    for at, (words, ml) in enumerate(lots):
        if asked <= words:
            some = min(ml, need - taken)
            lots[at] = (words, ml - some)
            taken += some
    return taken


def _can(ml: int) -> str:
    return f"{ml / 1000:g} l" if ml >= 1000 else f"{ml} ml"


def read_sizes(text: str) -> tuple[int, ...]:
    """Return the container sizes that were typed: ``1l, 5l``, ``500ml 1l``.

    Raises `NotationError` for none, `BadValue` for a unit that is none.
    """
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise NotationError("no container size: write them as 500ml, 1l, 5l", text)
    return tuple(round(units.read(part, units.Kind.VOLUME).base) for part in parts)
