"""What was measured, and what it may be.

What identification takes for granted, each with where it comes from.

None of these figures is in a standard. A size known by its limits only is taken as rectangular
(JCGM 100, the guide to the expression of uncertainty in measurement, 4.3.7); the rest are
estimates, and say so.

Reading a pitch by thread gauge: which blade is taken for which thread.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from math import exp, isclose, isfinite, log, sqrt
from typing import TYPE_CHECKING, NamedTuple

from stores.errors import BadValue
from stores.handbook.measure import ANGLES, SIGMA_MM, Measure, Quantity, Tool, read_measure
from stores.handbook.table import table
from stores.handbook.thread import Series, Thread
from stores.handbook.thread.model import MM_PER_INCH

if TYPE_CHECKING:
    from stores.handbook.identify.advice import OfSurface, Twins

__all__ = [
    "FLATS_OF",
    "GAUGES",
    "HEADS",
    "USUAL",
    "Blade",
    "Identification",
    "Match",
    "Measurement",
    "Surface",
    "blades",
    "chance",
    "chances",
    "choices",
    "sets_for",
    "trade_weight",
]


_HEXAGON = ("hexagon", "hexagon head")

HEADS: dict[str, tuple[str, ...]] = {
    "": (*_HEXAGON, "hexagon nut", "machine-screw nut", "flange bolt", "flange nut"),
    "hex": _HEXAGON,
    "hex flange": ("flange bolt",),
    "nut": ("hexagon", "hexagon nut", "machine-screw nut", "flange nut"),
    "socket cap": ("cap screw ISO 4762 / DIN 912", "cap screw ASME B18.3"),
    "button": ("button head ISO 7380",),
    "countersunk": ("countersunk ISO 10642",),
    "headless": ("set screw DIN 913 / ISO 4026",),
}

"""Heads that have flats, and the parts of across_flats.csv they stand for."""

SOME_BOLT = "some bolt"

FLATS_OF = HEADS | {SOME_BOLT: (*_HEXAGON, "flange bolt")}

"""The same, and what a bolt may have whose head was not said: no nut's flats."""

_WORDS = {
    "hexagon": "hex", "bolt": "hex", "flange": "hex flange", "flanged": "hex flange",
    "hexagon flange": "hex flange", "hexagon flanged": "hex flange", "hex flanged": "hex flange",
    "socket": "socket cap", "cap": "socket cap", "allen": "socket cap", "socket head": "socket cap",
    "socket head cap": "socket cap", "caphead": "socket cap", "button socket": "button",
    "hex nut": "nut", "hexagon nut": "nut", "nuts": "nut", "flange nut": "nut",
    "grub": "headless", "csk": "countersunk", "socket countersunk": "countersunk",
    "socket csk": "countersunk", "countersunk socket": "countersunk",
}  # fmt: skip

_NO_FLATS = frozenset(
    ("pan", "cheese", "round", "raised countersunk", "fillister", "binding", "mushroom", "dome")
)


class Surface(StrEnum):
    """What is on a thread where the diameter is measured."""

    BARE = "bare"
    PAINTED = "painted"
    RUSTY = "rusty"


_SURFACES = {
    **dict.fromkeys(("clean", "bright", "plated", "bare metal"), Surface.BARE),
    **dict.fromkeys(("paint", "lacquered", "enamelled"), Surface.PAINTED),
    **dict.fromkeys(
        ("rusted", "rust", "worn", "corroded", "pitted", "rubbed", "filed"), Surface.RUSTY
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """What was measured of one thread: any part of it, each with its standard uncertainty in mm.

    ``outside_mm`` is of a bolt; ``bore_mm`` is the hole of a nut, its minor diameter; give one.
    The pitch is ``gauge_mm`` or ``gauge_tpi``, what is stamped on the blade that fits, with the
    ``gauges`` tried (metric, whitworth, unified, ba) and the ``crests`` engaged; or ``over_mm``, a
    length over ``over_pitches`` pitches; or both. ``flats_mm`` is across the flats of a hexagon, or
    the key of a socket, as ``head`` says; ``flats_by_spanner`` is what stands on the spanner or key
    that fits instead of a measured size. ``angle_deg`` is 60, 55 or 47.5. ``surface`` is what was
    on the thread where its diameter was measured, a `Surface` or the trade's word for one; empty:
    nobody said.

    Raises `BadValue` for what nothing measures, for a bore and an outside diameter together, for
    the outside diameter of a nut, and for a surface that is none of the three.
    """

    outside_mm: float | None = None
    bore_mm: float | None = None
    diameter_sigma_mm: float = SIGMA_MM[Tool.CALIPER]
    gauge_mm: float | None = None
    gauge_tpi: float | None = None
    gauges: tuple[str, ...] = ()
    crests: int = 8
    over_mm: float | None = None
    over_pitches: int = 10
    over_sigma_mm: float = 0.06
    flats_mm: float | None = None
    flats_sigma_mm: float = SIGMA_MM[Tool.CALIPER]
    flats_by_spanner: bool = False
    head: str = ""
    angle_deg: float | None = None
    surface: str = ""

    def __post_init__(self) -> None:
        if self.outside_mm is not None and self.bore_mm is not None:
            raise BadValue("an outside diameter is of a bolt and a bore of a nut: give one of them")
        if self.gauge_mm is not None and self.gauge_tpi is not None:
            raise BadValue("a gauge blade is in mm or in threads per inch: give one of them")
        for name, low, high in _RANGES:
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise BadValue(f"{name} {value:g}: expected {low:g} to {high:g}")
        if self.angle_deg is not None and self.angle_deg not in ANGLES:
            raise BadValue(f"flank angle {self.angle_deg:g} degrees: expected 60, 55 or 47.5")
        if self.head and self.head not in HEADS:
            known = _head(self.head)
            if known not in HEADS and self.flats_mm is not None:
                raise BadValue(
                    f"a {self.head} head has no flats: leave across flats out, or the head"
                    if known in _NO_FLATS
                    else f"no flats are on record for the head {self.head!r}: "
                    f"expected {', '.join(h for h in HEADS if h)}"
                )
            object.__setattr__(self, "head", known)

        if self.surface:
            typed = self.surface.strip().lower()
            said = _SURFACES.get(typed, typed)
            if said not in list(Surface):
                raise BadValue(f"no surface {typed!r}: expected {', '.join(Surface)}")
            object.__setattr__(self, "surface", Surface(said))
        if self.head == "nut" and self.outside_mm is not None:
            raise BadValue("a nut has no outside diameter of thread: measure its bore")

    @property
    def internal(self) -> bool:
        """Whether the thread is that of a nut or a hole."""
        return self.bore_mm is not None or self.head == "nut"

    @property
    def flats_of(self) -> str:
        """Which of `FLATS_OF` the flats are of: the head, or what has them if it was not said."""
        if self.head or self.diameter_mm is None:
            return self.head
        return "nut" if self.internal else SOME_BOLT

    @property
    def diameter_mm(self) -> float | None:
        """Diameter that was measured, mm: outside, or bore."""
        return self.outside_mm if self.bore_mm is None else self.bore_mm

    @property
    def pitches(self) -> tuple[str, ...]:
        """The ways the pitch was had: ``gauge``, ``over``."""
        gauged = self.gauge_mm is not None or self.gauge_tpi is not None
        return (*(["gauge"] if gauged else []), *(["over"] if self.over_mm is not None else []))

    @classmethod
    def read(
        cls,
        *,
        outside: str = "",
        bore: str = "",
        pitch: str = "",
        over: str = "",
        flats: str = "",
        angle: str = "",
        head: str = "",
        tool: str = "",
        surface: str = "",
        gauges: tuple[str, ...] = (),
        crests: int = 8,
    ) -> "Measurement":
        """Read what was written down, as `read_measure` does; empty: not had.

        ``tool`` is what the diameter was measured with. ``pitch`` may be a blade (``26 tpi``,
        ``1.25``), or a length over crests (``9.8 over ten``); ``over`` is a second pitch beside it.
        """
        got: dict[str, float | int] = {}
        if outside:
            measured = read_measure(outside, Quantity.OUTSIDE, tool or None)
            got |= {"outside_mm": measured.value, "diameter_sigma_mm": measured.sigma}
        if bore:
            measured = read_measure(bore, Quantity.BORE, tool or None)
            got |= {"bore_mm": measured.value, "diameter_sigma_mm": measured.sigma}
        if over and not pitch and not over.strip(" .,0123456789m"):
            raise BadValue(f"{over}: over how many crests? say {over} over ten")
        for text in (pitch, over):
            found = _pitch(read_measure(text, Quantity.PITCH)) if text else {}
            if found.keys() & got.keys():
                raise BadValue(f"the pitch was given twice: {pitch!r} and {over!r}")
            got |= found
        if flats:
            measured = read_measure(flats, Quantity.FLATS)
            got |= {
                "flats_mm": measured.value,
                "flats_sigma_mm": measured.sigma,
                "flats_by_spanner": measured.by_spanner,
            }
        if angle:
            got["angle_deg"] = read_measure(angle, Quantity.ANGLE).value
        given = {"head": head, "surface": surface, "gauges": gauges, "crests": crests}
        return cls(**given, **got)  # type: ignore[arg-type]


def _head(said: str) -> str:
    """Return the head by the name it has here, or as it was said: "Hexagon head bolt" is a hex."""
    words = said.lower().replace("-", " ").split()
    while len(words) > 1 and words[-1] in ("head", "headed", "bolt", "screw", "setscrew"):
        words.pop()
    plain = " ".join(words)
    return _WORDS.get(plain, plain)


_RANGES = (
    ("outside_mm", 0.1, 300.0),
    ("bore_mm", 0.1, 300.0),
    ("diameter_sigma_mm", 0.001, 5.0),
    ("gauge_mm", 0.05, 8.0),
    ("gauge_tpi", 2.5, 150.0),
    ("crests", 2, 60),
    ("over_mm", 0.05, 600.0),
    ("over_pitches", 1, 60),
    ("over_sigma_mm", 0.001, 5.0),
    ("flats_mm", 0.3, 600.0),
    ("flats_sigma_mm", 0.001, 5.0),
)


def _pitch(measured: Measure) -> dict[str, float | int]:
    if measured.by_gauge:
        if measured.tpi is not None:
            return {"gauge_tpi": measured.tpi}
        return {"gauge_mm": measured.value}
    return {
        "over_mm": measured.value,
        "over_pitches": measured.over,
        "over_sigma_mm": measured.sigma,
    }


class Match(NamedTuple):
    """One thread it may be. ``likelihood`` is what the measurements alone say, beside others'."""

    thread: Thread
    probability: float
    likelihood: float

    def __str__(self) -> str:
        return f"{self.thread.designation} {percent(self.probability)}"


@dataclass(frozen=True, slots=True)
class Identification:
    """Every thread that fits, the likeliest first; ``none_share`` is the chance of none of these.

    The probabilities and ``none_share`` sum to 1. A thread below one in a hundred thousand is not
    listed and counts as none of these. ``evidence`` is the density of these measurements over all
    threads, in the same units as the likelihood of a match: what a match is weighed against.
    """

    measurement: Measurement
    matches: tuple[Match, ...]
    none_share: float
    evidence: float = 0.0

    @property
    def best(self) -> Match | None:
        """The likeliest thread; None when nothing in the tables fits."""
        return self.matches[0] if self.matches else None

    @property
    def twins(self) -> "tuple[Twins, ...]":
        """Groups these measurements cannot tell apart, and what would; worked out when asked."""
        from stores.handbook.identify.advice import twins

        return twins(self)

    @property
    def turns_on(self) -> "tuple[OfSurface, ...]":
        """What it is on each surface, where the answer turns on that; worked out when asked."""
        from stores.handbook.identify.advice import surfaces

        return surfaces(self)

    def probability(self, designation: str) -> float:
        """Return the probability of a thread by its canonical name, 0 if it is not among them."""
        return next(
            (m.probability for m in self.matches if m.thread.designation == designation), 0.0
        )

    def __str__(self) -> str:
        shown = [str(m) for m in self.matches if m.probability >= 0.005][:6]
        return ", ".join([*shown, f"none of these {percent(self.none_share)}"])


def percent(share: float) -> str:
    """Write a probability as a person reads it: never 0 % or 100 % for what is not certain."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{100 * share:.0f} %"


def is_number(value: float) -> bool:
    """Return whether a weight can be used: finite and not below zero."""
    return isfinite(value) and value >= 0


WEAR_MEAN_MM = 0.02

"""Crests rubbed or bruised down, off the outside diameter (on to a bore): one-sided exponential of
this mean. Assumption: most old bolts have lost nothing a caliper sees."""

PAINTED_SHARE = 0.2

PAINT_MM = (0.03, 0.15)

"""Chance that a thread is under paint when nobody says so, and what the coat then adds on diameter,
evenly. Assumption: a coat of paint is 15 to 75 um a side; thinner ones pass for plating. With less
than a fifth, painted bolts throughout are named wrong too surely; more costs where none is."""

RUSTED_SHARE = 0.2

RUSTED_MOST = 0.35

"""Chance that the crests are rubbed, filed or rusted down in earnest when nobody says so, and then
by how much at most, in pitches on diameter: anything from nothing to that, evenly. Assumption: what
old bolts have lost is 0.1 to 0.3 mm on pitches of 1 to 1.5 mm. At a third of the pitch the land of
an ISO crest is over two and a half times its width when new; who sees that asks no caliper which
thread it is.
"""

COAT_MEAN_MM = 0.006

COAT_SIGMA_MM = 0.006

"""Plating or paint on the crests, on diameter: mean and spread over bare and plated bolts. Zinc of
ISO 4042 is 5 to 8 um a side; about half of all bolts are taken to be plated (assumption)."""

LEAD_ERROR = 0.001

"""Standard deviation of a real pitch over several threads, in parts of it: stretch, drawn threads
(assumption; tool leads are far better)."""

GAUGE_SLIP_MM = 0.06

"""How far the last engaged crest may stand out of its notch before a blade looks wrong: one
standard deviation (assumption: a gap of a tenth is seen against the light)."""

GAUGE_ANGLE_DEG = 6.0

"""How far the flank angle of a blade may be out before it looks wrong: one standard deviation.
Common practice: 55 on 60 degrees goes unnoticed in a pitch gauge, 47.5 on 60 usually does not."""

GAUGE_LAPSE = 0.005

"""Chance that a blade is misread or mistyped outright (assumption)."""

ANGLE_SIGMA_DEG = 2.5

"""Standard deviation of a flank angle judged with a profile gauge and a glass (assumption)."""

OTHER_FLATS = 0.15

"""Chance that a head's flats are of no standard of its thread: special or filed (assumption). A
thread for which no table holds such a head is met with one as a special only, so that a size across
flats that is in no table speaks neither for nor against it."""

SPANNER_SLACK_MM = 0.1

"""How far what stands on a spanner that is said to fit may be from the nominal size across flats:
one standard deviation (common practice: 19 mm and 3/4 in are one spanner, 11 mm and 7/16 in nearly,
13 mm and 1/2 in are not)."""

FLATS_RANGE = (1.2, 2.5)

SOCKET_RANGE = (0.4, 1.0)

"""Flats of such a head in diameters, evenly in the logarithm: from the tables in across_flats.csv,
where hexagons run from 1.3 (flange bolts) to 2.5 (M1), and socket keys from 0.45 to 0.95."""

NONE_SHARE = 0.01

"""Chance, before anything is measured, that a thread stands in no table (assumption)."""

TRADE_SHARE = 0.25

"""Share of the general prior beside the recorded contents of a machine: previous owners, and what
has not been recorded yet (assumption)."""

NONE_DIAMETER_MM = (0.2, 200.0)

NONE_PITCH = (0.03, 0.30)

"""A thread in no table: diameter even in the logarithm, pitch the same in parts of the diameter.
From the tables, where pitches run from 0.03 (fine metric) to 0.29 (25 BA) of the diameter."""

_USUAL_FINE = frozenset({
    "M8x1", "M10x1.25", "M10x1", "M12x1.5", "M12x1.25", "M14x1.5", "M14x1.25", "M16x1.5", "M18x1.5",
    "M20x1.5", "M22x1.5", "M24x2", "M27x2", "M30x2",
})  # fmt: skip

_SELDOM_COARSE = frozenset({"M1.1", "M2.2", "M4.5", "M7", "M9", "M11"})

_SELDOM_INCH = frozenset({
    "#1", "#3", "#5", "#12", "5/32", "3/16 BSF", "7/32", "9/32", "11/16", "13/16", "15/16", "1 1/8",
    "1 3/8", "1 5/8", "1 7/8",
})  # fmt: skip

_CYCLE = {"1/4": 3.0, "5/16": 3.0, "3/8": 3.0, "7/16": 2.0, "1/2": 2.0, "9/16": 1.5}

"""Cycle threads of 26 tpi that bicycles and old motor cycles are full of."""


def trade_weight(thread: Thread) -> float:
    """Return how often a thread is met, relative to others, when nothing is known of the machine.

    Common practice, from memory: small sizes are commoner; metric is mostly coarse; cycle 26 tpi,
    BSF and UNF are what old vehicles have, even BA numbers their instruments. The heavy cycle
    series of 20 tpi, and sizes that the trade lists but hardly stocks, weigh a tenth. It only has
    to be broad: a size a caliper cannot tell from another is settled by the machine's own record.
    """
    size = max(exp(-0.5 * (log(thread.major_mm / 8) / 0.8) ** 2), 1e-3)
    seldom = not _SELDOM_INCH.isdisjoint((thread.size, thread.designation))
    match thread.series:
        case Series.METRIC if thread.coarse:
            weight = {1: 6.0, 2: 3.0}.get(thread.choice or 0, 1.0)
            if thread.designation in _SELDOM_COARSE:
                weight = 0.6
        case Series.METRIC:
            weight = 2.0 if thread.designation in _USUAL_FINE else 0.3
        case Series.BA:
            number = int(thread.size.removesuffix("BA")) if thread.standard else 99
            weight = 0.2 if number > 10 else 1.0 if number % 2 else 4.0
        case Series.BSF | Series.UNF:
            weight = 0.3 if seldom else 3.0
        case Series.CYCLE:
            weight = _CYCLE.get(thread.size, 0.2) if thread.tpi == 26 else 0.2
            if thread.designation == "9/16-20 cycle":
                weight = 1.0  # pedals
        case Series.BSW | Series.UNC:
            weight = 0.2 if seldom else 2.0
        case Series.G:
            weight = 0.7 if thread.major_mm < 34 else 0.1
        case _:
            weight = 0.3
    return weight * size


GAUGES = ("metric", "whitworth", "unified", "ba")

USUAL = ("metric", "whitworth")

"""Gauge sets taken to be at hand when none is named (common practice: sold as one gauge)."""


@dataclass(frozen=True, slots=True)
class Blade:
    """One blade: its set, what is stamped on it (mm or tpi), pitch in mm and flank angle."""

    gauge: str
    unit: str
    mark: float
    pitch_mm: float
    angle_deg: float


@cache
def blades(gauges: tuple[str, ...]) -> tuple[Blade, ...]:
    """Return all the blades of some gauge sets.

    Raises `BadValue` for a set that is not one of metric, whitworth, unified and ba.
    """
    found = []
    for name in gauges:
        row = next((r for r in table("gauge_blades") if r["gauge"] == name), None)
        if row is None:
            raise BadValue(f"no thread gauge {name!r}: expected {', '.join(GAUGES)}")
        for text in row["blades"].split():
            mark = float(text)
            pitch = mark if row["unit"] == "mm" else MM_PER_INCH / mark
            found.append(Blade(name, row["unit"], mark, pitch, float(row["angle_deg"])))
    return tuple(found)


@lru_cache(maxsize=1024)
def sets_for(unit: str, mark: float, gauges: tuple[str, ...]) -> tuple[str, ...]:
    """Return the gauge sets in use when a blade so marked was read.

    Those named, or the usual ones and, if they lack the blade, every other set that has it.

    Raises `BadValue`, naming the blades near it, when no set has it.
    """
    named = tuple(name.lower() for name in gauges) or USUAL
    if any(b.unit == unit and isclose(b.mark, mark) for b in blades(named)):
        return named
    others = () if gauges else tuple(
        name
        for name in GAUGES
        if name not in named
        and any(b.unit == unit and isclose(b.mark, mark) for b in blades((name,)))
    )  # fmt: skip
    if others:
        return named + others
    near = sorted(
        {b.mark for b in blades(named) if b.unit == unit}, key=lambda m: abs(m / mark - 1)
    )
    label = "tpi" if unit == "tpi" else "mm"
    hint = " or ".join(f"{m:g}" for m in sorted(near[:2]))
    raise BadValue(
        f"no blade of a {' or '.join(named)} gauge reads {mark:g} {label}"
        + (f": near it {hint}; or give a length over ten crests" if near else "")
    )


def choices(pitch_mm: float, angle_deg: float, gauges: tuple[str, ...], crests: int) -> list[float]:
    """Return the chance of each of `blades` to be taken for a thread, in their order.

    The last of ``crests`` crests stands ``crests - 1`` pitch differences out of its notch, the
    flanks the difference of the angles; both look the worse by a normal law. A small chance of a
    slip is spread over all blades.
    """
    all_blades = blades(gauges)
    span = crests - 1
    misfit = [
        ((b.pitch_mm - pitch_mm) * span / GAUGE_SLIP_MM) ** 2
        + ((b.angle_deg - angle_deg) / GAUGE_ANGLE_DEG) ** 2
        for b in all_blades
    ]
    least = min(misfit)
    weights = [exp(-0.5 * (m - least)) for m in misfit]
    scale = (1 - GAUGE_LAPSE) / sum(weights)
    lapse = GAUGE_LAPSE / len(all_blades)
    return [w * scale + lapse for w in weights]


def chance(
    unit: str,
    mark: float,
    pitch_mm: float,
    angle_deg: float,
    gauges: tuple[str, ...],
    crests: int,
) -> float:
    """Return the chance that a thread is read as ``mark``, whichever set the blade is in."""
    return sum(
        share
        for blade, share in zip(
            blades(gauges), choices(pitch_mm, angle_deg, gauges, crests), strict=True
        )
        if blade.unit == unit and isclose(blade.mark, mark)
    )


# ---- every shape of thread at once
_UNSEEN = 50.0

"""Misfit, in squared standard deviations over that of the blade that fits best, from which a blade
is taken by a slip only: exp(-25) is a ten millionth of the chance of a slip."""


def chances(
    shapes: Sequence[tuple[float, float]],
    unit: str,
    mark: float,
    gauges: tuple[str, ...],
    crests: int,
) -> list[float]:
    """Return `chance` for threads of each pitch in mm and flank angle, sorted.

    The further a pitch is from the blade's, the more another blade fits better: the search goes out
    from the blade's own pitch, both ways, until only a slip is left.
    """
    pitches, all_blades = _sorted(gauges)
    marked = [b for b in all_blades if b.unit == unit and isclose(b.mark, mark)]
    slip = GAUGE_LAPSE / len(all_blades) * len(marked)
    found = [slip] * len(shapes)
    if not marked:
        return found
    own, step = marked[0].pitch_mm, GAUGE_SLIP_MM / (crests - 1)
    # The blade nearest in pitch may be out by as much as 12.5 degrees (60 on 47.5).
    behind = _UNSEEN + (12.5 / GAUGE_ANGLE_DEG) ** 2
    middle = bisect_left(shapes, (own, 0.0))
    for way in (range(middle, len(shapes)), range(middle - 1, -1, -1)):
        for at in way:
            pitch, angle = shapes[at]
            next_ = bisect_left(pitches, pitch)
            least = min(abs(p - pitch) for p in pitches[max(next_ - 1, 0) : next_ + 1])
            reach = sqrt(least * least + behind * step * step)
            if abs(own - pitch) > reach:
                break
            near = all_blades[
                bisect_left(pitches, pitch - reach) : bisect_right(pitches, pitch + reach)
            ]
            weights = [
                exp(
                    -0.5
                    * (
                        ((b.pitch_mm - pitch) ** 2 - least * least) / (step * step)
                        + ((b.angle_deg - angle) / GAUGE_ANGLE_DEG) ** 2
                    )
                )
                for b in near
            ]
            fits = sum(w for w, b in zip(weights, near, strict=True) if b in marked)
            found[at] += (1 - GAUGE_LAPSE) * fits / sum(weights)
    return found


@cache
def _sorted(gauges: tuple[str, ...]) -> tuple[tuple[float, ...], tuple[Blade, ...]]:
    found = tuple(sorted(blades(gauges), key=lambda blade: blade.pitch_mm))
    return tuple(b.pitch_mm for b in found), found
