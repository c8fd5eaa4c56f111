"""Threads that the measurements cannot tell apart, and which measurement would.

What a further measurement is worth is the information it is expected to give about which thread of
the group it is: the mutual information of thread and outcome, in bits, never more than what is
open.

Measurements that do not go together: one of them is of something else, or was read wrong.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from itertools import pairwise
from math import ceil, floor, hypot, log2

from stores.errors import BadValue
from stores.handbook.identify.model import (
    ANGLE_SIGMA_DEG,
    FLATS_RANGE,
    GAUGE_SLIP_MM,
    HEADS,
    LEAD_ERROR,
    SOCKET_RANGE,
    USUAL,
    Identification,
    Match,
    Measurement,
    Surface,
    choices,
)
from stores.handbook.identify.weighing import (
    SURFACES,
    angle_chance,
    bore_limits,
    diameter_density,
    flats_bands,
    flats_density,
    goes_on,
    identify,
    normal,
)
from stores.handbook.measure import ANGLES, SIGMA_MM, Tool
from stores.handbook.thread import Limits, Thread
from stores.text import join

__all__ = [
    "Advice",
    "Contradiction",
    "OfSurface",
    "Option",
    "Twins",
    "advise",
    "contradiction",
    "entropy_bits",
    "expected_bits",
    "mutual_bits",
    "surfaces",
    "twins",
]


_ALIKE = 20.0

"""Two threads are twins when what was measured is at most this much likelier on one of them: short
of the 19 to 1 at which most trades call a thing settled (95 %)."""

_WORTH_SHARE = 0.01

_MOST = 8

_POINTS = 600


class Option(StrEnum):
    """A measurement that could be made next."""

    DIAMETER = "diameter by micrometer"
    OVER_TEN = "pitch over ten crests"
    GAUGE = "pitch by gauge"
    ANGLE = "flank angle by gauge"
    FLATS = "across flats"
    NUT = "a known nut"


@dataclass(frozen=True, slots=True)
class Advice:
    """One measurement that could be made, what it is expected to tell in bits, and its figures."""

    option: Option
    bits: float
    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Twins:
    """Threads that were not told apart, the likeliest first; ``open_bits`` is what is open.

    ``advice`` has what could be measured next: first what tells most, or the simplest of those that
    tell about as much; then by what they tell. What it is worth is worked out for the eight
    likeliest threads of a group.
    """

    threads: tuple[Thread, ...]
    open_bits: float
    advice: tuple[Advice, ...]

    @property
    def best(self) -> Advice | None:
        """The measurement that tells most; None if none tells a tenth of what is open."""
        if self.advice and self.advice[0].bits >= 0.1 * self.open_bits:
            return self.advice[0]
        return None

    @property
    def names(self) -> tuple[str, ...]:
        """The designations."""
        return tuple(t.designation for t in self.threads)

    def __str__(self) -> str:
        who = _joined(self.names)
        if self.best is None:
            return f"{who}: no measurement at the bench tells these apart"
        share = 100 * self.best.bits / self.open_bits
        return f"{who}. To tell them apart: {self.best.text} (settles {share:.0f} % of the doubt)"


def twins(found: Identification) -> tuple[Twins, ...]:
    """Group the threads that these measurements do not tell apart.

    A group forms round the likeliest thread not yet in one; alone, it is none.
    """
    rest = [m for m in found.matches if m.probability >= _WORTH_SHARE]
    groups = []
    while rest:
        head = rest[0]
        group = [
            m for m in rest if head.likelihood / _ALIKE <= m.likelihood <= head.likelihood * _ALIKE
        ]
        rest = [m for m in rest if m not in group]
        if len(group) > 1:
            groups.append(_describe(group, found.measurement))
    return tuple(groups)


def _describe(group: list[Match], measurement: Measurement) -> Twins:
    weights = {m.thread: m.probability for m in group[:_MOST]}
    advice = advise(weights, measurement)
    return Twins(tuple(m.thread for m in group), entropy_bits(list(weights.values())), advice)


def advise(weights: Mapping[Thread, float], measurement: Measurement) -> tuple[Advice, ...]:
    """Return what could be measured next to tell threads of these weights apart.

    First what tells most, or the simplest of those that tell about as much; then by what they tell.

    Args:
        weights: what is thought of each thread so far.
        measurement: what was measured already.

    Two threads of one diameter differ in their pitch:

    >>> from stores.handbook.thread import get
    >>> advise({get("M8"): 1, get("M8x1"): 1}, Measurement())[0].option.value
    'pitch by gauge'
    """
    advice = []
    for option in _open_options(measurement):
        if option is Option.NUT:
            advice.append(_best_nut(weights, measurement))
        else:
            bits = expected_bits(weights, option, measurement)
            advice.append(Advice(option, bits, _text(option, tuple(weights), measurement)))
    # Where several tell about as much as the best, the simplest, which comes first, is named.
    most = max(each.bits for each in advice)
    enough = most - 0.05 * entropy_bits(list(weights.values()))
    simplest = next(each for each in advice if each.bits >= enough)
    advice.sort(key=lambda each: (each is not simplest, -each.bits))
    return tuple(advice)


def _open_options(measurement: Measurement) -> list[Option]:
    """Return the measurements that are still to be had, the simplest first."""
    options = []
    if not measurement.pitches:
        options.append(Option.GAUGE)
    if measurement.over_mm is None or measurement.over_pitches < 10:
        options.append(Option.OVER_TEN)
    if measurement.diameter_mm is None or measurement.diameter_sigma_mm > 2 * _MICROMETER:
        options.append(Option.DIAMETER)
    if measurement.flats_mm is None and measurement.head in HEADS:
        options.append(Option.FLATS)
    options.append(Option.NUT)
    if measurement.angle_deg is None:
        options.append(Option.ANGLE)
    return options


# ---- information
_MICROMETER = SIGMA_MM[Tool.MICROMETER]

_OVER_SIGMA_MM = 0.06

_WORN_MM = 0.4  # how far beyond the limits a size is looked for

_DEFAULT_SIGMA = {
    Option.DIAMETER: _MICROMETER,
    Option.OVER_TEN: _OVER_SIGMA_MM,
    Option.FLATS: SIGMA_MM[Tool.CALIPER],
    Option.ANGLE: ANGLE_SIGMA_DEG,
}


def entropy_bits(weights: Sequence[float]) -> float:
    """Return how much is open among weights, in bits: their entropy, scaled to 1.

    Four alike are two questions of yes or no:

    >>> entropy_bits([1, 1, 1, 1])
    2.0
    """
    total = sum(weights)
    return -sum(w / total * log2(w / total) for w in weights if w > 0)


def expected_bits(
    weights: Mapping[Thread, float],
    option: Option,
    measurement: Measurement | None = None,
    sigma: float | None = None,
    nut: Thread | None = None,
) -> float:
    """Return what a measurement is expected to tell about which of some threads it is, in bits.

    ``weights`` are what is thought of each so far. ``measurement`` is what was measured already: a
    diameter had with a caliper makes one with a micrometer tell less. ``sigma`` replaces the usual
    uncertainty, mm (degrees for the flank angle). ``nut`` is the nut to be tried.

    Raises `BadValue` without a weight above zero, or for a nut to be tried without saying which.
    """
    before = measurement or Measurement(crests=8)
    threads = [t for t, weight in weights.items() if weight > 0]
    if not threads:
        raise BadValue("no thread has a weight above zero")
    total = sum(weights[t] for t in threads)
    shares = [weights[t] / total for t in threads]
    spread = sigma if sigma is not None else _DEFAULT_SIGMA.get(option, 1.0)
    if spread <= 0:
        raise BadValue(f"uncertainty {spread:g}: expected above zero")
    match option:
        case Option.NUT:
            if nut is None:
                raise BadValue("which nut is to be tried?")
            rows = [[c, 1 - c] for c in (_fits(nut, t, before) for t in threads)]
        case Option.GAUGE:
            gauges = before.gauges or USUAL
            rows = [choices(t.pitch_mm, t.flank_angle_deg, gauges, before.crests) for t in threads]
        case Option.ANGLE:
            rows = [[angle_chance(a, t.flank_angle_deg, spread) for a in ANGLES] for t in threads]
        case Option.DIAMETER:
            rows = _diameter_rows(threads, before, spread)
        case Option.OVER_TEN:
            lengths = [10 * t.pitch_mm for t in threads]
            wide = 6 * hypot(spread, LEAD_ERROR * max(lengths))
            grid = _grid(min(lengths) - wide, max(lengths) + wide, spread)
            rows = [
                [normal(x - length, hypot(spread, LEAD_ERROR * length)) for x in grid]
                for length in lengths
            ]
        case Option.FLATS:
            rows = _flats_rows(threads, before, spread)
    return mutual_bits(shares, rows)


def mutual_bits(shares: Sequence[float], rows: Sequence[Sequence[float]]) -> float:
    """Return the mutual information, in bits, of a row's index and a column.

    ``shares`` are the probabilities of the rows, a row what is likely to be read if it is the one;
    rows are scaled to 1.

    What tells two alike ones apart for sure tells one bit:

    >>> mutual_bits([0.5, 0.5], [[1, 0], [0, 1]])
    1.0
    """
    scaled = []
    for row in rows:
        whole = sum(row)
        scaled.append([v / whole for v in row] if whole > 0 else [1 / len(row)] * len(row))
    bits = 0.0
    for column in zip(*scaled, strict=True):
        mixed = sum(s * v for s, v in zip(shares, column, strict=True))
        if mixed > 0:
            bits += sum(
                s * v * log2(v / mixed) for s, v in zip(shares, column, strict=True) if v > 0
            )
    return max(bits, 0.0)


def _grid(low: float, high: float, step: float) -> list[float]:
    points = min(max(ceil((high - low) / step) + 1, 60), _POINTS)
    return [low + (at + 0.5) * (high - low) / points for at in range(points)]


def _diameter_rows(threads: list[Thread], before: Measurement, sigma: float) -> list[list[float]]:
    internal = before.internal
    limits = [_limits(t, internal) for t in threads]
    had, had_sigma = before.diameter_mm, before.diameter_sigma_mm
    density: Callable[..., float] = partial(
        diameter_density, internal=internal, surface=before.surface
    )
    if had is None:
        low = min(band.min_mm for band in limits) - _WORN_MM - 5 * sigma
        high = max(band.max_mm for band in limits) + _WORN_MM + 5 * sigma
        grid = _grid(low, high, max(sigma, 0.008))
        return [
            [density(x, sigma, *band, t.pitch_mm) for x in grid]
            for t, band in zip(threads, limits, strict=True)
        ]
    # Two readings of one size: what they agree on, at their joint uncertainty, and how far they are
    # apart. The product of the two normal laws, multiplied out.
    apart = hypot(sigma, had_sigma)
    joint = sigma * had_sigma / apart
    grid = _grid(had - 5 * apart, had + 5 * apart, max(sigma, 0.008))
    share = (had_sigma / apart) ** 2
    gaps = [normal(x - had, apart) for x in grid]
    return [
        [
            gap * density(share * x + (1 - share) * had, joint, *band, t.pitch_mm)
            for x, gap in zip(grid, gaps, strict=True)
        ]
        for t, band in zip(threads, limits, strict=True)
    ]


def _flats_rows(threads: list[Thread], before: Measurement, sigma: float) -> list[list[float]]:
    socket = before.head in ("socket cap", "button", "countersunk", "headless")
    least, most = SOCKET_RANGE if socket else FLATS_RANGE
    bands = _bands(threads, before)
    low = min([least * t.major_mm for t in threads] + [b[0] for each in bands for b in each])
    high = max([most * t.major_mm for t in threads] + [b[1] for each in bands for b in each])
    grid = _grid(low - 3 * sigma, high + 3 * sigma, sigma)
    return [
        [flats_density(x, sigma, each, t.major_mm, socket=socket) for x in grid]
        for t, each in zip(threads, bands, strict=True)
    ]


def _bands(
    threads: Sequence[Thread], before: Measurement
) -> list[list[tuple[float, float, float]]]:
    bands: list[list[tuple[float, float, float]]] = [[] for _ in threads]
    for low, high, at, share in flats_bands(threads, before.flats_of):
        bands[at].append((low, high, share))
    return bands


def _fits(known: Thread, unknown: Thread, before: Measurement) -> float:
    """Return the chance that a known nut goes on, or, for a nut, that it goes on a known bolt."""
    if before.internal:
        return goes_on(unknown, known)
    size = before.outside_mm if before.diameter_sigma_mm < 0.1 else None
    return goes_on(known, unknown, size)


# ---- in words
def _best_nut(weights: Mapping[Thread, float], measurement: Measurement) -> Advice:
    """Return the nut (or bolt), of one of the threads themselves, that tells most."""
    told = [(expected_bits(weights, Option.NUT, measurement, nut=nut), nut) for nut in weights]
    bits, nut = max(told, key=lambda entry: entry[0])
    what, on = ("bolt", "into") if measurement.internal else ("nut", "on")
    goes: list[str] = []
    open_: list[str] = []
    binds: list[str] = []
    for thread in weights:
        chance = _fits(nut, thread, measurement)
        (goes if chance > 0.75 else binds if chance < 0.25 else open_).append(thread.designation)
    parts = [
        f"{words} {on} {_joined(names)}"
        for words, names in (("should go", goes), ("may go", open_), ("should bind", binds))
        if names
    ]
    text = f"try a known {nut.designation} {what} by hand, never forced: it {', '.join(parts)}"
    return Advice(Option.NUT, bits, text)


def _text(option: Option, threads: Sequence[Thread], measurement: Measurement) -> str:
    internal, needed = measurement.internal, ""
    match option:
        case Option.DIAMETER:
            what = f"{'bore' if internal else 'outside diameter'} by micrometer"
            limits = [_limits(t, internal) for t in threads]
            figures, unit = [_span(each) for each in limits], "mm"
            needed = _to_within_limits(limits)
        case Option.OVER_TEN:
            what = "length over ten crests"
            lengths = [10 * t.pitch_mm for t in threads]
            figures, unit = [f"{length:.2f}" for length in lengths], "mm"
            needed = _to_within(lengths)
        case Option.GAUGE:
            what = "pitch by thread gauge"
            figures = [f"{t.tpi:g} tpi" if t.tpi else f"{t.pitch_mm:g} mm" for t in threads]
            unit = ""
            needed = _crests([t.pitch_mm for t in threads])
        case Option.ANGLE:
            what = "flank angle by profile gauge"
            figures, unit = [f"{t.flank_angle_deg:g}" for t in threads], "degrees"
        case _:
            what = "across flats"
            figures, unit = [_sizes(bands) for bands in _bands(threads, measurement)], "mm"
    named: dict[str, list[str]] = {}
    for thread, figure in zip(threads, figures, strict=True):
        named.setdefault(figure, []).append(thread.designation)
    shown = [f"{_joined(names)} {figure}" for figure, names in list(named.items())[:4]]
    return f"{what}, {' against '.join(shown)} {unit}".rstrip() + needed


# How much is needed: a reading is good enough if its error is at most half of what lies between.
def _to_within(figures: Sequence[float]) -> str:
    """Say how close a length has to be read to tell figures apart, the nearest two."""
    several = sorted(set(figures))
    return _half(min((b - a for a, b in pairwise(several)), default=0.0))


def _to_within_limits(limits: Sequence[Limits]) -> str:
    """Say the same of sizes within limits; nothing where they overlap."""
    rows = sorted({(each.min_mm, each.max_mm) for each in limits})
    return _half(min((b[0] - a[1] for a, b in pairwise(rows)), default=0.0))


def _half(gap: float) -> str:
    if gap < _LEAST_READ_MM:
        return ""
    digits = 1 if gap >= 0.2 else 2
    within = floor(gap / 2 * 10**digits + 1e-9) / 10**digits
    return f", read to within {within:g} mm"


def _crests(pitches: Sequence[float]) -> str:
    """Say over how many crests a blade has to lie, so that one of the other pitch looks wrong.

    The last crest stands a pitch difference out for each before it: two standard deviations of what
    goes unnoticed (`assumptions.GAUGE_SLIP_MM`).
    """
    several = sorted(set(pitches))
    gap = min((b - a for a, b in pairwise(several)), default=0.0)
    if gap <= 0:
        return ""
    crests = ceil(2 * GAUGE_SLIP_MM / gap - 1e-9) + 1
    return f", over {crests} crests or more" if _FEW_CRESTS < crests <= _MANY_CRESTS else ""


_LEAST_READ_MM = 0.02

_FEW_CRESTS, _MANY_CRESTS = 3, 20  # fewer lie under any blade; more are on no bolt


def _limits(thread: Thread, internal: bool) -> Limits:
    return bore_limits(thread) if internal else thread.external_major_limits_mm


def _span(limits: Limits) -> str:
    return f"{limits.min_mm:.2f} to {limits.max_mm:.2f}"


def _sizes(bands: Sequence[tuple[float, float, float]]) -> str:
    sizes = sorted({round(high, 1) for _, high, _ in bands})
    return " or ".join(f"{size:g}" for size in sizes) or "(not on record)"


def _joined(names: Sequence[str]) -> str:
    shown = list(names[:4])
    if len(names) > 4:
        return f"{', '.join(shown)} and {len(names) - 4} more"
    return join(shown)


@dataclass(frozen=True, slots=True)
class OfSurface:
    """What a thread most likely is on one surface, and how likely that is there, 0 to 1."""

    surface: Surface
    thread: Thread
    probability: float


_WORTH_SURFACE = 0.05

"""A surface less likely than this, by what was measured, is not asked about (assumption)."""


def surfaces(found: Identification) -> tuple[OfSurface, ...]:
    """Return the likeliest thread on each surface that it may have, the likeliest surface first.

    Nothing where the surface was said, or no diameter was measured, or the same thread comes first
    on every one.

    6.1 mm over the crests is an M6 under paint; bare, an M6 is 5.974 mm at most (ISO 965-2, 6g):

    >>> from stores.handbook.identify.weighing import TRADE
    >>> found = identify(Measurement(outside_mm=6.1), TRADE)
    >>> [each.thread.designation for each in surfaces(found) if each.surface == "painted"]
    ['M6']
    """
    measured = found.measurement
    size = measured.diameter_mm
    if measured.surface or size is None:
        return ()

    def density(thread: Thread, surface: str) -> float:
        low, high = _limits(thread, measured.internal)
        return diameter_density(
            size, measured.diameter_sigma_mm, low, high, thread.pitch_mm,
            internal=measured.internal, surface=surface,
        )  # fmt: skip

    before = {m.thread: m.probability / density(m.thread, "") for m in found.matches}
    told = []
    for surface, share in SURFACES.items():
        now = {thread: was * density(thread, surface) for thread, was in before.items()}
        total = sum(now.values()) + found.none_share
        best = max(now, key=lambda thread: now[thread], default=None)
        if best is not None and share * total >= _WORTH_SURFACE:
            told.append((share * total, OfSurface(surface, best, now[best] / total)))
    told.sort(key=lambda each: -each[0])
    several = len({each.thread for _, each in told}) > 1
    return tuple(each for _, each in told) if several else ()


FACTOR = 0.3

"""Below this the measurements speak against each other: together they are three times less likely
than if one were of another thread (assumption; for readings of one bolt it is far above 1)."""

_PARTS: dict[str, dict[str, object]] = {
    "diameter": {"outside_mm": None, "bore_mm": None},
    "pitch": {"gauge_mm": None, "gauge_tpi": None},
    "length over crests": {"over_mm": None},
    "size across flats": {"flats_mm": None, "flats_by_spanner": False},
    "flank angle": {"angle_deg": None},
}


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A measurement that does not go with the others.

    ``part`` is which, ``without`` what the others say, ``alone`` what it says by itself. With two
    measurements either may be the wrong one: ``other`` names the second then.
    """

    part: str
    without: Identification
    alone: Identification
    other: str = ""

    def __str__(self) -> str:
        rest = f"the {self.other} says" if self.other else "the rest says"
        said = f"the {self.part} does not go with the rest"
        if self.other:
            said = f"the {self.part} and the {self.other} do not go together"
        names = _names(self.without), _names(self.alone)
        again = f"the {self.part}" + (f" and the {self.other}" if self.other else "")
        return f"{said}: {rest} {names[0]}, the {self.part} alone {names[1]}. Measure {again} again"


def _names(found: Identification) -> str:
    listed = [match.thread.designation for match in found.matches[:2] if match.probability > 0.02]
    return " or ".join(listed) or "none of the tables"


def contradiction(
    measurement: Measurement, prior: Mapping[str, float] | str | None = None
) -> Contradiction | None:
    """Find the measurement that goes least with the others; None where all go together.

    Two sets of readings go together as far as they are likelier of one thread than of two drawn
    apart. Below `FACTOR` the one is named without which the others go together best. ``prior`` is
    as for `identify`.

    M8 by its diameter and pitch has a head of 13 mm (ISO 4014), so one of 24 mm was misread:

    >>> contradiction(Measurement(outside_mm=7.9, gauge_mm=1.25, flats_mm=13, head="hex")) is None
    True
    >>> contradiction(Measurement(outside_mm=7.9, gauge_mm=1.25, flats_mm=24, head="hex")).part
    'size across flats'
    """
    parts = {name: empty for name, empty in _PARTS.items() if _has(measurement, name)}
    if len(parts) < 2:
        return None
    whole = identify(measurement, prior).evidence
    worst: tuple[float, Contradiction] | None = None
    for name, empty in parts.items():
        without = identify(_without(measurement, empty), prior)
        others = {key: value for other, cut in parts.items() if other != name
                  for key, value in cut.items()}  # fmt: skip
        alone = identify(_without(measurement, others), prior)
        apart = without.evidence * alone.evidence
        if whole < FACTOR * apart and (worst is None or apart > worst[0]):
            other = next(iter(parts.keys() - {name})) if len(parts) == 2 else ""
            worst = apart, Contradiction(name, without, alone, other)
    return worst[1] if worst else None


def _has(measurement: Measurement, part: str) -> bool:
    return any(getattr(measurement, name) is not None for name in _PARTS[part]
               if name != "flats_by_spanner")  # fmt: skip


def _without(measurement: Measurement, empty: dict[str, object]) -> Measurement:
    return replace(measurement, **empty)  # type: ignore[arg-type]
