"""Sealant, grease, paint, sheet, hose and wire for a job, as typed; how a consumable keeps."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
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
    "ReckonBath",
    "ReckonBead",
    "ReckonCompound",
    "ReckonGrease",
    "ReckonLengths",
    "ReckonPaint",
    "ReckonSheet",
    "ReckonShrink",
    "ReckonVolts",
    "ReckonWeld",
    "bath",
    "bead",
    "compound",
    "grease",
    "keeps",
    "lengths",
    "locking",
    "mixing",
    "paint",
    "sheet",
    "shrink",
    "volts",
    "weld",
]


class ReckonBead(NamedTuple):
    """A round bead along an outline, with a loop round each hole; or how far a pack goes."""

    bead: str
    length: str = ""
    holes: int = 0
    loop: str = ""
    pack: str = ""


class ReckonCompound(NamedTuple):
    """A gap to fill: ``face 100cm2 0.1``, ``bush 47 14 0.03``, ``groove 6 6 1000``; of a groove
    without its length how far a pack goes."""

    gap: str
    pack: str = ""


class ReckonWeld(NamedTuple):
    """A fillet by leg and length, what it is welded by and a pack of that; a gas cylinder."""

    leg: str = ""
    length: str = ""
    way: str = "covered rod"
    pack: str = ""
    cylinder: str = ""
    bar: str = ""
    flow: str = ""


class ReckonShrink(NamedTuple):
    """Heat-shrink: the length wanted, what it has to pass over and what to grip."""

    length: str = ""
    over: str = ""
    under: str = ""


class ReckonBath(NamedTuple):
    """A bath: so much, ``20 l``, or a tank by its inside measures with the level and the part in
    it; the strength of citric acid in g/l, or in % by mass."""

    bath: str
    to: str = ""
    part: str = ""
    metal: str = "steel"
    citric: str = ""


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


_GAPS = {
    **dict.fromkeys(("face", "flange"), "face"),
    **dict.fromkeys(("bush", "bearing", "sleeve"), "bush"),
    **dict.fromkeys(("groove", "joint"), "groove"),
}


def compound(ask: ReckonCompound) -> Reckoned:
    """Return the sealant between faces or in a groove, or the retaining compound round a bush, ml.

    Raises:
        BadValue, NotationError: no such gap, figures that cannot be or are too few.
    """
    from stores.handbook.consumables import joints

    word, _, rest = ask.gap.strip().partition(" ")
    kind = _GAPS.get(word.casefold())
    apart = re.sub(r"(?<=\d)\s*x\s*(?=\d)", " ", rest.strip(), flags=re.IGNORECASE)
    sizes = re.sub(r"(?<=\d)\s+(?=[a-z])", "", apart, flags=re.IGNORECASE).split()
    match kind, sizes:
        case "face", [area, gap]:
            return reckoned(joints.film(_amount(area, units.Kind.AREA, "cm2"), _mm(gap)))
        case "bush", [bearing, gap]:
            _, outside, width = _bearing(bearing)
            return reckoned(joints.retaining(outside, width, _mm(gap)))
        case "bush", [outer, long, gap]:
            return reckoned(joints.retaining(_mm(outer), _mm(long), _mm(gap)))
        case "groove", [wide, deep, long] if not ask.pack:
            return reckoned(joints.square_joint(_mm(wide), _mm(deep), _mm(long)))
        case "groove", [wide, deep] if ask.pack:
            made = joints.square_joint_length(_ml(ask.pack), _mm(wide), _mm(deep))
            return reckoned(made)
    raise BadValue("no gap to fill", typed=ask.gap.strip()[:40])


_WAYS = {
    **dict.fromkeys(("rod", "rods", "electrode", "electrodes", "stick"), "covered rod"),
    **dict.fromkeys(("mig", "mag", "wire"), "MIG"),
}


def weld(ask: ReckonWeld) -> tuple[Reckoned, ...]:
    """Return the metal in a fillet and the rods or wire for it; how long a gas cylinder lasts.

    Raises:
        BadValue, NotationError: neither of the two, half of one, or a figure that cannot be.
    """
    from stores.handbook.consumables.keeping import whole_packs
    from stores.handbook.consumables.welding import filler, fillet, gas_minutes

    gas = (ask.cylinder, ask.bar, ask.flow)
    if bool(ask.leg) != bool(ask.length) or not (ask.leg or any(gas)):
        raise BadValue("leg and length of a weld")
    if any(gas) and not all(gas):
        raise BadValue("gas of no cylinder")
    found = []
    if ask.leg:
        metal = fillet(_mm(ask.leg), _mm(ask.length))
        way = _WAYS.get(ask.way.strip().casefold(), ask.way)
        rods = replace(
            filler(metal.value, process=way),
            what=f"filler metal, {way}",
            high=filler(metal.high, process=way).high,
        )
        found += [rods, metal]
        if ask.pack:
            pack = _amount(ask.pack, units.Kind.MASS, "g")
            found.insert(1, whole_packs(rods.high, pack, unit="g"))
    if ask.cylinder:
        litres = _amount(ask.cylinder, units.Kind.VOLUME, "l") / 1000
        bar = _amount(ask.bar, units.Kind.PRESSURE, "bar") / 100
        found.append(gas_minutes(litres, bar, _figure(ask.flow, "l/min")))
    return _all(*found)


def shrink(ask: ReckonShrink) -> tuple[Reckoned, ...]:
    """Return how long to cut heat-shrink, and the ratio that passes over and still grips.

    Raises:
        BadValue, NotationError: nothing said, half of a ratio, or a figure that cannot be.
    """
    from stores.handbook.consumables.cutting import heat_shrink, shrink_ratio

    if bool(ask.over) != bool(ask.under) or not (ask.length or ask.over):
        raise BadValue("nothing to shrink")
    found = [heat_shrink(_mm(ask.length))] if ask.length else []
    if ask.over:
        found.append(shrink_ratio(_mm(ask.over), _mm(ask.under)))
    return _all(*found)


def bath(ask: ReckonBath) -> tuple[Reckoned, ...]:
    """Return what a tank takes with a part in it, and the citric acid for that or for so much.

    So much alone is a bath of 50 g/l.

    Raises:
        BadValue, NotationError: neither a volume nor a tank, or a figure that cannot be.
    """
    from stores.handbook.consumables.baths import citric_acid, citric_acid_by_mass, tank_with_part
    from stores.handbook.fluids.capacity import read_shape

    found = []
    if re.match(r"\s*[a-z]", ask.bath, re.IGNORECASE):
        tank = read_shape(ask.bath)
        part = _amount(ask.part, units.Kind.MASS, "kg") / 1000 if ask.part else 0.0
        depth = _mm(ask.to) if ask.to else tank.height_mm
        found.append(tank_with_part(tank, depth, part, ask.metal.strip().casefold()))
        litres = found[0].value
    elif ask.to or ask.part:
        raise BadValue("a part in no tank")
    else:
        litres = _ml(ask.bath) / 1000
    by_mass = re.fullmatch(r"(.+?)\s*%", ask.citric.strip())
    if by_mass:
        found.append(citric_acid_by_mass(litres, _figure(by_mass[1], "%")))
    elif ask.citric or not found:
        found.append(citric_acid(litres, _figure(ask.citric or "50", "g/l")))
    return _all(*found)


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
