"""Sealant, grease, paint, sheet, hose and wire for a job, as typed; how a consumable keeps."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from stores import units
from stores.errors import BadValue, NotationError
from stores.text import read_day
from stores.usecases.reckoning import Reckoned, _all, _amount, _ml, _mm, reckoned

__all__ = [
    "AskKeeps",
    "Kept",
    "LengthUsed",
    "LengthsCut",
    "ReckonBead",
    "ReckonGrease",
    "ReckonLengths",
    "ReckonPaint",
    "ReckonSheet",
    "ReckonVolts",
    "bead",
    "grease",
    "keeps",
    "lengths",
    "locking",
    "mixing",
    "paint",
    "sheet",
    "volts",
]


class ReckonBead(NamedTuple):
    """A round bead along an outline, with a loop round each hole; or how far a pack goes."""

    bead: str
    length: str = ""
    holes: int = 0
    loop: str = ""
    pack: str = ""


class ReckonGrease(NamedTuple):
    """A bearing by its number or by bore, outside and width; its mass gives the first fill."""

    bearing: str
    mass: str = ""
    fill: str = ""
    through: bool = False


class ReckonPaint(NamedTuple):
    """Area, coats, solids by volume, dry film and what is lost, as on the tin and as typed."""

    area: str
    solids: str
    film: str
    coats: int = 1
    loss: str = ""
    way: str = "gun"
    pack: str = ""


class ReckonSheet(NamedTuple):
    """A sheet, the blank with its margin, how many, and the gap between them."""

    sheet: str
    blank: str
    wanted: int | None = None
    gap: str = "5"


class ReckonLengths(NamedTuple):
    """The runs, the allowance at each end, and the lengths that are there."""

    runs: Sequence[str]
    end: str = "0"
    there: Sequence[str] = ()


class ReckonVolts(NamedTuple):
    """A wire by its strands or its ohm to the metre, its length and the current."""

    wire: str
    length: str
    amps: str
    both_ways: bool = False


class AskKeeps(NamedTuple):
    """A consumable and the days it was made, bought and opened, as typed."""

    name: str
    made: str = ""
    bought: str = ""
    opened: str = ""


@dataclass(frozen=True, slots=True)
class LengthUsed:
    """One length that is there, and what is cut from it, mm."""

    length_mm: float
    cuts_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LengthsCut:
    """How runs are cut; ``short_mm`` are cuts that no length is long enough for, though
    ``enough_in_all`` says whether all lengths together would be. ``asked`` is false where no
    lengths were named."""

    total: Reckoned
    asked: bool
    lengths: tuple[LengthUsed, ...]
    short_mm: tuple[float, ...]
    enough_in_all: bool
    sure: bool


@dataclass(frozen=True, slots=True)
class Kept:
    """How long a consumable keeps, how it is stored, and what it can do to somebody."""

    name: str
    unopened: tuple[int | None, int | None]
    opened: tuple[int | None, int | None]
    until: date | None
    latest: date | None
    by: str
    check: bool
    final: bool
    storage: str
    gone_off: str
    basis: str
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def _figure(typed: str, unit: str) -> float:
    """Return a bare figure, or one with its unit behind it."""
    number, rest = units.read_number(typed)
    if rest.replace(" ", "").casefold() not in ("", unit.casefold()):
        raise NotationError(f"expected a figure in {unit}", typed)
    if number < 0:
        raise BadValue(f"{typed.strip()!r}: expected nothing below zero")
    return float(number)


def _share(typed: str) -> float:
    """Return a share: ``40 %``, ``40``, ``1/3``; a whole number is of a hundred."""
    number, rest = units.read_number(typed)
    if rest not in ("", "%"):
        raise NotationError("expected a share, as 40 %", typed)
    return float(number) / 100 if rest == "%" or number >= 1 else float(number)


def _sides(typed: str) -> tuple[float, float]:
    """Return two sides in mm: ``500 x 500``, ``A4``, ``12 x 12 in``."""
    if paper := {"a4": (210.0, 297.0), "a3": (297.0, 420.0)}.get(typed.strip().casefold()):
        return paper
    parts = re.split(r"\s*(?:x|by)\s*", units.level(typed).strip(), flags=re.IGNORECASE)
    if len(parts) != 2:
        raise NotationError("two sides, as 500 x 500", typed)
    unit = units.read_number(parts[1])[1]
    first = parts[0] if units.read_number(parts[0])[1] or not unit else f"{parts[0]} {unit}"
    return _mm(first), _mm(parts[1])


def bead(ask: ReckonBead) -> Reckoned:
    """Return the sealant of a bead, ml, or how far a pack goes, m.

    Raises:
        BadValue, NotationError: a measure that cannot be; neither a length nor a pack.
    """
    from stores.handbook.consumables.joints import bead as of_bead
    from stores.handbook.consumables.joints import bead_length

    width = _mm(ask.bead)
    if bool(ask.length) == bool(ask.pack):
        raise BadValue("length or pack")
    if ask.pack:
        return reckoned(bead_length(_ml(ask.pack), width))
    return reckoned(of_bead(width, _mm(ask.length), ask.holes, _mm(ask.loop) if ask.loop else 0.0))


def locking(typed: Sequence[str]) -> Reckoned:
    """Return the threadlocker for so many of each thread: ``6 M8``, ``4 off 1/4 BSF``.

    Raises:
        BadValue, NotationError: no count and thread in it, or no such thread.
    """
    from stores.handbook.consumables.joints import threadlocker
    from stores.handbook.thread import get

    threads = []
    for each in typed:
        found = re.fullmatch(r"\s*(?:(\d{1,5})\s*(?:off\s+|x\s+|\s))?\s*(\S.*?)\s*", each)
        if found is None:
            raise NotationError("say how many of which thread, as '6 M8'", each)
        threads.append((get(found[2]), int(found[1] or 1)))
    return reckoned(threadlocker(threads))


def grease(ask: ReckonGrease) -> tuple[Reckoned, ...]:
    """Return the grease to replenish a bearing, and with its mass its free space and first fill.

    Raises:
        BadValue, NotationError: neither a number that the tables hold nor three sizes.
    """
    from stores.handbook.consumables.grease import first_fill, free_space, replenish

    bore, outside, width = _bearing(ask.bearing)
    more = replenish(outside, width, through_ring=ask.through)
    if not ask.mass:
        return _all(more)
    space = free_space(bore, outside, width, _amount(ask.mass, units.Kind.MASS, "g"))
    return _all(first_fill(space.value, _share(ask.fill) if ask.fill else 1 / 3), more, space)


def _bearing(typed: str) -> tuple[float, float, float]:
    from stores.handbook.hardware.bearings import find

    sizes = re.split(r"\s*x\s*|\s+", units.level(typed).strip(), flags=re.IGNORECASE)
    if len(sizes) == 3:
        bore, outside, width = (_mm(size) for size in sizes)
        return bore, outside, width
    rows = find(typed)
    if not rows:
        raise BadValue("no such bearing", typed=typed.strip())
    row = rows[0]
    return float(row["d_mm"]), float(row["D_mm"]), float(row["B_mm"])


def paint(ask: ReckonPaint) -> tuple[Reckoned, ...]:
    """Return the paint for an area, how far a litre goes and the wet film; with a pack how many.

    Raises:
        BadValue, NotationError: a figure that cannot be.
    """
    from stores.handbook.consumables.keeping import whole_packs
    from stores.handbook.consumables.paint import paint_to_buy, practical_rate, wet_film

    area = _amount(ask.area, units.Kind.AREA, "m2") / 10_000
    solids, film = _figure(ask.solids, "%"), _figure(ask.film, "um")
    loss = _share(ask.loss) if ask.loss else None
    need = paint_to_buy(area, ask.coats, solids, film, loss, ask.way)
    found = [need, practical_rate(solids, film, loss, ask.way), wet_film(solids, film)]
    if ask.pack:
        found.insert(1, whole_packs(need.high, _ml(ask.pack)))
    return _all(*found)


def mixing(parts: str, ready: str) -> tuple[Reckoned, ...]:
    """Return what to pour of each part for so much ready to use, ml.

    Raises:
        BadValue, NotationError: no parts, ``2:1 + 10 %`` (of the paint or of the mix?), no volume.
    """
    from stores.handbook.consumables.paint import mix, read_parts

    return _all(*mix(_ml(ready), read_parts(parts)))


def sheet(ask: ReckonSheet) -> tuple[Reckoned, ...]:
    """Return how many blanks a sheet gives, and how many sheets so many take.

    Raises:
        BadValue, NotationError: sides that cannot be, a blank that does not fit.
    """
    from stores.handbook.consumables.cutting import blanks_from_sheet, sheets_for_blanks

    whole, one, gap = _sides(ask.sheet), _sides(ask.blank), _mm(ask.gap)
    blanks = blanks_from_sheet(whole, one, gap)
    if ask.wanted is None:
        return _all(blanks)
    return _all(sheets_for_blanks(ask.wanted, whole, one, gap), blanks)


def lengths(ask: ReckonLengths) -> LengthsCut:
    """Return the length in all, and how the runs are cut from the lengths that are there.

    Raises:
        BadValue, NotationError: a length that cannot be, or none.
    """
    from stores.handbook.consumables.cutting import cut_lengths

    there = [_mm(length) for length in ask.there]
    made = cut_lengths([_mm(run) for run in ask.runs], there, _mm(ask.end))
    return LengthsCut(
        reckoned(made.total), bool(there),
        tuple(LengthUsed(length, cuts) for length, cuts in made.lengths),
        made.short if there else (), made.enough_in_all, made.sure,
    )  # fmt: skip


def volts(ask: ReckonVolts) -> Reckoned:
    """Return the voltage lost along a wire, by its strands (``14/0.30``) or ``0.0189 ohm/m``.

    Raises:
        BadValue, NotationError, NotFound: no such wire, no length or current.
    """
    from stores.handbook.consumables.wiring import voltage_drop, wire_of_strands

    own = re.fullmatch(rf"\s*({units.NUMBER})\s*ohms?\s*/\s*m\s*", ask.wire, re.IGNORECASE)
    ohm = float(units.value(own[1])) if own else wire_of_strands(ask.wire).ohm_per_m
    metres = _amount(ask.length, units.Kind.LENGTH, "m") / 1000
    return reckoned(voltage_drop(ohm, metres, _figure(ask.amps, "A"), both_ways=ask.both_ways))


def keeps(ask: AskKeeps, now: date | None = None) -> Kept:
    """Return how long a consumable keeps, until when a pack may be used, and its cautions.

    Raises:
        BadValue, NotationError, NotFound: no such consumable, one of several kinds, or no day.
    """
    from stores.handbook.consumables.hazards import cautions_of
    from stores.handbook.consumables.keeping import usable_until
    from stores.handbook.consumables.kinds import kind_named

    kind = kind_named(ask.name)

    def day(typed: str) -> date | None:
        return read_day(typed, now) if typed else None

    days = day(ask.made), day(ask.bought), day(ask.opened)
    until = usable_until(kind, made=days[0], bought=days[1], opened=days[2])
    dated = any(days)
    said = (*cautions_of(kind), *(until.cautions if dated else ()))
    return Kept(
        kind.name, kind.unopened, kind.opened, until.day, until.latest, until.by,
        until.check and dated, until.final, kind.storage, kind.gone_off, kind.basis,
        until.assumptions, tuple(dict.fromkeys(said)),
        (kind.source,),
    )  # fmt: skip
