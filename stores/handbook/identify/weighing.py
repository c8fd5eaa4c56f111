"""Bayes' rule over the threads of the tables.

Closed forms for what a measurement says of a size that is known only by its limits.

The threads to choose from, laid out for quick weighing, and how likely each is beforehand.

Trying a known nut: whether a nut of one thread goes on a bolt of another.

A wrong pitch or flank angle takes up effective diameter: over the engaged length L a pitch error of
p takes 2 p / (2 tan(a/2)) = p cot(a/2), a half-angle error what its flanks need. BS 919 and the
handbooks print the same as 1.921 (Whitworth), 1.732 (60 degrees) and 2.273 (BA) times the pitch
error, and 0.0105, 0.0098 to 0.0109 and 0.0091 p a degree (memory); here they come from the form.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from math import erf, erfc, exp, hypot, log, pi, radians, sin, sqrt, tan
from operator import attrgetter

from stores.errors import BadValue, NotationError
from stores.handbook.identify.model import (
    ANGLE_SIGMA_DEG,
    COAT_MEAN_MM,
    COAT_SIGMA_MM,
    FLATS_OF,
    FLATS_RANGE,
    LEAD_ERROR,
    NONE_DIAMETER_MM,
    NONE_PITCH,
    NONE_SHARE,
    OTHER_FLATS,
    PAINT_MM,
    PAINTED_SHARE,
    RUSTED_MOST,
    RUSTED_SHARE,
    SOCKET_RANGE,
    SPANNER_SLACK_MM,
    TRADE_SHARE,
    WEAR_MEAN_MM,
    Identification,
    Match,
    Measurement,
    Surface,
    blades,
    chances,
    is_number,
    sets_for,
    trade_weight,
)
from stores.handbook.measure import ANGLES
from stores.handbook.thread import Limits, Series, Thread, all_threads, custom, find, read
from stores.handbook.thread.model import MM_PER_INCH

__all__ = [
    "SURFACES",
    "Band",
    "Catalogue",
    "angle_chance",
    "angle_equivalent_mm",
    "banded",
    "bore_limits",
    "catalogue",
    "diameter_density",
    "flats_bands",
    "flats_density",
    "flats_table",
    "goes_on",
    "identify",
    "normal",
    "normal_share",
    "nut_side",
    "over_density",
    "pitch_factor",
    "prior_weights",
    "rubbed",
    "worn",
]


_ROOT2 = sqrt(2)

_ROOT2PI = sqrt(2 * pi)

_ROOTPI = sqrt(pi)

_SURE = 8.0  # standard deviations; beyond them Phi is 0 or 1 to 1e-15


def normal(x: float, sigma: float) -> float:
    """Density of a normal variable of mean 0 at ``x``, per unit of x."""
    z = x / sigma
    return exp(-0.5 * z * z) / (sigma * _ROOT2PI) if -38 < z < 38 else 0.0


def normal_share(low: float, high: float) -> float:
    """Probability that a standard normal variable is between ``low`` and ``high``, low <= high.

    Works in the nearer tail, so that small probabilities keep their digits.
    """
    if low > 0:
        return 0.5 * (erfc(low / _ROOT2) - erfc(high / _ROOT2))
    if high < 0:
        return 0.5 * (erfc(-high / _ROOT2) - erfc(-low / _ROOT2))
    return 1.0 - 0.5 * (erfc(-low / _ROOT2) + erfc(high / _ROOT2))


def banded(x: float, low: float, high: float, sigma: float) -> float:
    """Density, per mm, of measuring ``x`` when the size is anywhere between the limits.

    Uniform between ``low`` and ``high``, convolved with a normal error.
    """
    return normal_share((x - high) / sigma, (x - low) / sigma) / (high - low)


def worn(x: float, low: float, high: float, sigma: float, wear: float) -> float:
    """Density, per mm, of measuring ``x`` on a size made between the limits and then worn.

    Uniform between ``low`` and ``high``, less an exponential of mean ``wear``, plus a normal error
    of ``sigma``. With F(z) = Phi(z/s) + exp(z/w + s^2/2w^2) Phi(-z/s - s/w), the distribution of
    error less wear, it is (F(x - low) - F(x - high)) / (high - low).
    """
    above, below = x - low, x - high
    share = (
        normal_share(below / sigma, above / sigma)
        + _tail(above, sigma, wear)
        - _tail(below, sigma, wear)
    )
    return share / (high - low) if share > 0 else 0.0


def rubbed(x: float, low: float, high: float, sigma: float, most: float) -> float:
    """Density, per mm, of measuring ``x`` on a size made between the limits and then rubbed down.

    Uniform between ``low`` and ``high``, less a loss even from 0 to ``most``, plus a normal error
    of ``sigma``. With H the integral of Phi(z/s), it is the second difference (H(x - low + most)
    - H(x - high + most) - H(x - low) + H(x - high)) / ((high - low) most).
    """
    above, below = x - low, x - high
    area = (
        _climb(above + most, sigma)
        - _climb(below + most, sigma)
        - _climb(above, sigma)
        + _climb(below, sigma)
    )
    return area / ((high - low) * most) if area > 0 else 0.0


def _climb(z: float, sigma: float) -> float:
    """Return the integral of Phi(t/s) for t up to z: z Phi(z/s) + s phi(z/s)."""
    u = z / sigma
    if u > _SURE:
        return z
    if u < -_SURE:
        return 0.0
    return z * 0.5 * erfc(-u / _ROOT2) + sigma * exp(-0.5 * u * u) / _ROOT2PI


def _tail(z: float, sigma: float, wear: float) -> float:
    """Return exp(z/w + s^2/2w^2) Phi(-z/s - s/w) without overflow."""
    u = (z / sigma + sigma / wear) / _ROOT2
    if u < 5:
        return 0.5 * exp(z / wear + 0.5 * (sigma / wear) ** 2) * erfc(u)
    # exp(u^2) erfc(u) by its asymptotic series; from u = 5 it is right to 1e-6.
    v = 1 / (2 * u * u)
    scaled = (1 - v * (1 - 3 * v * (1 - 5 * v * (1 - 7 * v)))) / (u * _ROOTPI)
    half = 0.5 * (z / sigma) ** 2
    return 0.5 * exp(-half) * scaled if half < 700 else 0.0


WORN_FAR_MM = 20 * WEAR_MEAN_MM

"""Wear that one in half a thousand million bolts has: as far as the search for threads goes."""


@dataclass(frozen=True, slots=True)
class Side:
    """Limits of the diameter that is measured, as on a bolt: a bore counts below zero.

    ``rows`` are the lower and the upper limit, how much the crests may be rubbed down, and which
    thread it is, sorted by ``least``, what is left of the lower limit when they are; ``most`` is
    the largest upper limit up to there. All in mm.
    """

    least: tuple[float, ...]
    most: tuple[float, ...]
    rows: tuple[tuple[float, float, float, int], ...]

    def reached(self, low: float, high: float) -> tuple[tuple[float, float, float, int], ...]:
        """Return the rows that may measure between two sizes, and some that do not."""
        return self.rows[bisect_left(self.most, low) : bisect_right(self.least, high)]


@dataclass(frozen=True, slots=True, eq=False)
class Catalogue:
    """Threads and their limits; ``at`` of a `Side` gives positions in ``threads``.

    ``sizes`` are the major diameters in order, with the position of each; ``shapes`` the pitches in
    mm with their flank angle in order, and ``shape`` which of them each thread has.
    """

    threads: tuple[Thread, ...]
    sizes: tuple[tuple[float, int], ...]
    bolt: Side
    trade: tuple[float, ...]
    even: tuple[float, ...]
    shapes: tuple[tuple[float, float], ...]
    shape: tuple[int, ...]


@lru_cache(maxsize=64)
def catalogue(extra: tuple[Thread, ...] = ()) -> Catalogue:
    """Lay out the threads of the tables, and any extra ones that a machine is known to have."""
    threads = all_threads() + extra
    weights = [trade_weight(t) for t in threads]
    total = sum(weights)
    shapes = tuple(sorted({(t.pitch_mm, t.flank_angle_deg) for t in threads}))
    which = {shape: at for at, shape in enumerate(shapes)}
    return Catalogue(
        threads,
        tuple(sorted((t.major_mm, at) for at, t in enumerate(threads))),
        _side(threads, [(b.min_mm, b.max_mm) for b in map(_outside, threads)]),
        tuple(w / total for w in weights),
        (1 / len(threads),) * len(threads),
        shapes,
        tuple(which[t.pitch_mm, t.flank_angle_deg] for t in threads),
    )


@lru_cache(maxsize=64)
def nut_side(whole: Catalogue) -> Side:
    """Lay out the bores of a catalogue's threads, which most who ask do not need."""
    limits = [bore_limits(t) for t in whole.threads]
    return _side(whole.threads, [(-each.max_mm, -each.min_mm) for each in limits])


def bore_limits(thread: Thread) -> Limits:
    """Return the limits of the nut's bore, mm.

    For cycle, where none were found in print, the rule of BS 84 as a substitute.
    """
    limits = thread.internal_minor_limits_mm
    if limits is not None:
        return limits
    low = thread.minor_mm
    return Limits(
        low,
        low + 0.2 * thread.pitch_mm + 0.005 * MM_PER_INCH,
        "rule of BS 84, as a substitute",
        True,
    )


def _outside(thread: Thread) -> Limits:
    return thread.external_major_limits_mm


def _side(threads: Sequence[Thread], limits: list[tuple[float, float]]) -> Side:
    told = []
    for at, (thread, (low, high)) in enumerate(zip(threads, limits, strict=True)):
        most = RUSTED_MOST * thread.pitch_mm
        told.append((low - max(most, WORN_FAR_MM), (low, high, most, at)))
    told.sort()
    return Side(
        tuple(least for least, _ in told),
        tuple(accumulate((high for _, (_, high, _, _) in told), max)),
        tuple(row for _, row in told),
    )


# ---- across flats

# ISO 286-1, IT13 in mm, by the upper end of the step: the tolerance h13 of across flats in product
# grade A (ISO 4759-1); used where the table has no printed lower limit.
_IT13 = (
    (3.0, 0.14), (6.0, 0.18), (10.0, 0.22), (18.0, 0.27), (30.0, 0.33), (50.0, 0.39), (80.0, 0.46),
    (120.0, 0.54), (180.0, 0.63),
)  # fmt: skip

Band = tuple[float, float, int, float]


@lru_cache(maxsize=64)
def flats_table(whole: Catalogue, head: str) -> tuple[tuple[Band, ...], float]:
    """Return `flats_bands` of a catalogue, and how wide the widest is."""
    bands = flats_bands(whole.threads, head)
    widest = max((high - low for low, high, _, _ in bands), default=0.0)
    return bands, widest


def flats_bands(threads: Sequence[Thread], head: str) -> tuple[Band, ...]:
    """Return the bands of across flats for a kind of head: low, high, which thread, its share.

    Every system on record for a thread counts the same. Sorted by the upper limit. Sockets are made
    over size: a key of 6 fits 6.0 to 6.1.
    """
    parts = FLATS_OF.get(head, FLATS_OF[""])
    bands = []
    for at, thread in enumerate(threads):
        fitting = [s for s in thread.spanners if s.part in parts]
        for spanner in fitting:
            size = spanner.af_mm
            if "Socket" in spanner.system:
                low, high = size, size * 1.02
            elif spanner.af_min_in is not None:
                low, high = spanner.af_min_in * MM_PER_INCH, size
            else:
                low, high = size - next((t for top, t in _IT13 if size <= top), 0.72), size
            bands.append((low, high, at, 1 / len(fitting)))
    return tuple(sorted(bands, key=lambda band: band[1]))


# ---- prior
TRADE = "trade"

"""The prior of the trade: how common threads are, when nothing is known of the machine."""


def prior_weights(
    prior: Mapping[str, float] | str | None,
) -> tuple[Catalogue, tuple[float, ...]]:
    """Return the threads to choose from and the probability of each beforehand; they sum to 1.

    Without ``prior`` every thread of the tables is as likely as any other; `TRADE` weighs them by
    how common they are. A mapping gives a weight to designations, such as how many a machine is
    known to have; a name that may be several threads is shared by what the trade has; one that no
    table holds is added as it stands. `assumptions.TRADE_SHARE` stays for everything else.

    Raises `NotationError` for a name that is no thread, `BadValue` for a weight below zero or no
    weight above it.
    """
    plain = catalogue()
    if not prior:
        return plain, plain.even
    if isinstance(prior, str):
        if prior != TRADE:
            raise BadValue(f"no prior is called {prior!r}: {TRADE!r}, or weights by thread")
        return plain, plain.trade
    return _mixed(tuple(prior.items()))


@lru_cache(maxsize=64)
def _mixed(prior: tuple[tuple[str, float], ...]) -> tuple[Catalogue, tuple[float, ...]]:
    extra: list[Thread] = []
    recorded: dict[Thread, float] = {}
    for name, weight in prior:
        if not is_number(weight):
            raise BadValue(f"weight of {name!r}: expected a number not below zero, not {weight!r}")
        found = find(None, name)
        if not found:
            found = (_unlisted(name),)
            extra += [t for t in found if t not in extra]
        shares = [trade_weight(t) for t in found]
        for thread, share in zip(found, shares, strict=True):
            recorded[thread] = recorded.get(thread, 0.0) + weight * share / sum(shares)
    total = sum(recorded.values())
    if total <= 0:
        raise BadValue("no thread of the machine's record has a weight above zero")
    whole = catalogue(tuple(extra))
    return whole, tuple(
        TRADE_SHARE * broad + (1 - TRADE_SHARE) * recorded.get(thread, 0.0) / total
        for thread, broad in zip(whole.threads, whole.trade, strict=True)
    )


def _unlisted(name: str) -> Thread:
    """Build a thread that no table holds from what its name says."""
    reading = read(name)
    if reading.major_mm is None or reading.pitch is None:
        raise NotationError(
            "no table holds this thread, and its name does not give its pitch", name
        )
    series = reading.series or Series.UNF
    if series.by_tpi:
        return custom(series, reading.size, tpi=reading.pitch)
    return custom(series, reading.size, pitch_mm=reading.pitch)


LEAST = 1e-5

_FAR = 8.0  # standard deviations; what is further off weighs under 1e-14

_by_probability = attrgetter("probability")


def identify(
    measurement: Measurement, prior: Mapping[str, float] | str | None = None
) -> Identification:
    """Weigh every thread of the tables against what was measured.

    Without ``prior`` every thread is as likely beforehand as any other; `TRADE` weighs them by how
    common they are; or it maps designations to weights, such as how many of each this machine is
    known to have. No thread is ruled out by it.

    Raises `BadValue` when nothing was measured, a gauge has no such blade, or the weights are not
    usable, and `NotationError` for a name in ``prior`` that is no thread.

    5.9 mm over the crests of a thread with a blade of 1.0 mm in it is M6 (ISO 261):

    >>> from stores.handbook.identify.model import Measurement
    >>> measured = Measurement(outside_mm=5.9, gauge_mm=1.0, gauges=("metric",))
    >>> identify(measured).matches[0].thread.designation
    'M6'
    """
    whole, weights = prior_weights(prior)
    gauge = _gauge(measurement)
    column = _gauge_column(whole, *gauge, measurement.crests) if gauge else None
    if measurement.diameter_mm is None:
        found = list(enumerate(column or (1.0,) * len(weights)))
    else:
        found = _by_diameter(measurement, whole, measurement.diameter_mm)
        if column:
            found = [(at, like * column[at]) for at, like in found]
    if measurement.over_mm is not None:
        threads = whole.threads
        found = [(at, like * over_density(measurement, threads[at].pitch_mm)) for at, like in found]
    if measurement.flats_mm is not None:
        found = _by_flats(measurement, whole, found)
    if measurement.angle_deg is not None:
        column = _angle_column(whole, measurement.angle_deg)
        found = [(at, like * column[at]) for at, like in found]
    elif not (gauge or measurement.over_mm or measurement.flats_mm or measurement.diameter_mm):
        raise BadValue("nothing was measured: give a diameter, a pitch, flats or a flank angle")

    none = NONE_SHARE * none_density(measurement)
    rest = 1 - NONE_SHARE
    shares = [rest * weights[at] * like for at, like in found]
    total = none + sum(shares)
    if total <= 0:
        return Identification(measurement, (), 1.0)
    least = LEAST * total
    threads = whole.threads
    matches = [
        Match(threads[at], share / total, like)
        for (at, like), share in zip(found, shares, strict=True)
        if share >= least
    ]
    matches.sort(key=_by_probability, reverse=True)
    none_share = 1 - sum([match.probability for match in matches])
    return Identification(measurement, tuple(matches), max(none_share, 0.0), total)


# ---- diameter
def _by_diameter(
    measurement: Measurement, whole: Catalogue, size: float
) -> list[tuple[int, float]]:
    """Return the threads with limits within reach of the diameter, and what it says of each."""
    if measurement.bore_mm is None:
        side, size = whole.bolt, size - COAT_MEAN_MM
    else:
        side, size = nut_side(whole), -size - COAT_MEAN_MM
    sigma = hypot(measurement.diameter_sigma_mm, COAT_SIGMA_MM)
    least, surface = size - _FAR * sigma - PAINT_MM[1], measurement.surface
    return [
        (at, _used(size, low, high, sigma, most, surface))
        for low, high, most, at in side.reached(least, size + _FAR * sigma)
        if high > least
    ]


def _used(
    size: float, low: float, high: float, sigma: float, most: float, surface: str = ""
) -> float:
    """Density of a size made between the limits, after its life, on a surface or on any."""
    thin, thick = PAINT_MM
    match surface:
        case Surface.BARE:
            return worn(size, low, high, sigma, WEAR_MEAN_MM)
        case Surface.PAINTED:
            return rubbed(size - thick, low, high, sigma, thick - thin)
        case Surface.RUSTY:
            return rubbed(size, low, high, sigma, most)
    return sum(
        [share * _used(size, low, high, sigma, most, each) for each, share in SURFACES.items()]
    )


SURFACES = {
    Surface.BARE: 1 - PAINTED_SHARE - RUSTED_SHARE,
    Surface.PAINTED: PAINTED_SHARE,
    Surface.RUSTY: RUSTED_SHARE,
}

"""How common each surface is where nobody says which it is."""


def diameter_density(
    size_mm: float,
    sigma_mm: float,
    low: float,
    high: float,
    pitch_mm: float,
    *,
    internal: bool = False,
    surface: str = "",
) -> float:
    """Density, per mm, of measuring a diameter on a thread with these limits, after its life."""
    sigma, most = hypot(sigma_mm, COAT_SIGMA_MM), RUSTED_MOST * pitch_mm
    if internal:
        return _used(-size_mm - COAT_MEAN_MM, -high, -low, sigma, most, surface)
    return _used(size_mm - COAT_MEAN_MM, low, high, sigma, most, surface)


# ---- pitch
def _gauge(measurement: Measurement) -> tuple[str, float, tuple[str, ...]] | None:
    """Return unit and mark of the blade that was read, and the gauge sets that were tried."""
    if measurement.gauge_tpi is not None:
        unit, mark = "tpi", measurement.gauge_tpi
    elif measurement.gauge_mm is not None:
        unit, mark = "mm", measurement.gauge_mm
    else:
        return None
    return unit, mark, sets_for(unit, mark, measurement.gauges)


@lru_cache(maxsize=256)
def _gauge_column(
    whole: Catalogue, unit: str, mark: float, gauges: tuple[str, ...], crests: int
) -> tuple[float, ...]:
    shares = chances(whole.shapes, unit, mark, gauges, crests)
    return tuple([shares[shape] for shape in whole.shape])


def over_density(measurement: Measurement, pitch_mm: float) -> float:
    """Density, per mm, of the length over crests that was measured, for a pitch."""
    length = measurement.over_pitches * pitch_mm
    sigma = hypot(measurement.over_sigma_mm, LEAD_ERROR * length)
    return normal((measurement.over_mm or 0.0) - length, sigma)


# ---- across flats
def flats_density(
    flats_mm: float,
    sigma_mm: float,
    bands: list[tuple[float, float, float]],
    major_mm: float,
    *,
    socket: bool = False,
    spanner: bool = False,
) -> float:
    """Density, per mm, of a size across flats, from the bands (low, high, share) of a thread.

    A head may also have flats of no standard, and then says the same whether the thread has a band
    or not: `assumptions.OTHER_FLATS`. With ``spanner`` it is what stands on the spanner that fits.
    """
    least, most = SOCKET_RANGE if socket else FLATS_RANGE
    other = 0.0
    if least * major_mm <= flats_mm <= most * major_mm:
        other = 1 / (flats_mm * log(most / least))
    known = sum(
        share * _standard(flats_mm, low, high, sigma_mm, socket=socket, spanner=spanner)
        for low, high, share in bands
    )
    return OTHER_FLATS * other + (1 - OTHER_FLATS) * known


def _standard(
    size: float, low: float, high: float, sigma: float, *, socket: bool, spanner: bool
) -> float:
    """Density of a size measured on flats within a band, or read off the spanner made for them."""
    if spanner:
        return normal(size - (low if socket else high), SPANNER_SLACK_MM)
    return banded(size, low, high, sigma)


_SOCKETS = ("socket cap", "button", "countersunk", "headless")


def _by_flats(
    measurement: Measurement, whole: Catalogue, found: list[tuple[int, float]]
) -> list[tuple[int, float]]:
    """Weigh by across flats as `flats_density` does, looking only at the bands within reach."""
    size, sigma = measurement.flats_mm or 0.0, measurement.flats_sigma_mm
    socket, spanner = measurement.head in _SOCKETS, measurement.flats_by_spanner
    reach = _FAR * (SPANNER_SLACK_MM if spanner else sigma)
    bands, widest = flats_table(whole, measurement.flats_of)
    first = bisect_left(bands, size - reach, key=_upper)
    last = bisect_right(bands, size + reach + widest, key=_upper)
    wanted = {at for at, _ in found} if len(found) < len(whole.threads) else None
    known: dict[int, float] = {}
    for low, high, at, share in bands[first:last]:
        if low < size + reach and (wanted is None or at in wanted):
            told = _standard(size, low, high, sigma, socket=socket, spanner=spanner)
            known[at] = known.get(at, 0.0) + share * told
    low, high = SOCKET_RANGE if socket else FLATS_RANGE
    sizes = whole.sizes
    first = bisect_left(sizes, (size / high, -1))
    last = bisect_right(sizes, (size / low, len(sizes)))
    other = OTHER_FLATS / (size * log(high / low))
    special = dict.fromkeys([at for _, at in sizes[first:last]], other)
    for at, density in known.items():
        special[at] = special.get(at, 0.0) + (1 - OTHER_FLATS) * density
    return [(at, like * special[at]) for at, like in found if at in special]


def _upper(band: Band) -> float:
    return band[1]


# ---- flank angle
def angle_chance(read: float, angle_deg: float, sigma_deg: float = ANGLE_SIGMA_DEG) -> float:
    """Return the chance that a flank angle is judged to be ``read``, one of 60, 55 and 47.5."""
    weights = {a: normal(a - angle_deg, sigma_deg) for a in ANGLES}
    return weights[read] / sum(weights.values())


@lru_cache(maxsize=64)
def _angle_column(whole: Catalogue, angle: float) -> tuple[float, ...]:
    return tuple(angle_chance(angle, t.flank_angle_deg) for t in whole.threads)


# ---- none of these
def none_density(measurement: Measurement) -> float:
    """Density of the measurements for a thread that stands in no table.

    Diameter, pitch in parts of the diameter and flats in diameters are even in the logarithm; where
    no diameter was measured, what it leaves open is evened out over the tables' range.
    """
    low, high = NONE_DIAMETER_MM
    size = measurement.diameter_mm
    density = 1.0
    if size is not None:
        density = 1 / (size * log(high / low)) if low <= size <= high else 0.0
    if gauge := _gauge(measurement):
        unit, mark, sets = gauge
        all_blades = blades(sets)
        density *= sum(b.unit == unit and abs(b.mark - mark) < 1e-9 for b in all_blades) / len(
            all_blades
        )
    if measurement.over_mm is not None:
        span = NONE_PITCH[1] / NONE_PITCH[0]
        pitch = measurement.over_mm / measurement.over_pitches
        if size is None:
            density /= measurement.over_mm * log(100)
        elif gauge:
            # The gauge has said which pitch: the length repeats it, give or take a blade.
            density /= 0.2 * measurement.over_mm
        else:
            inside = NONE_PITCH[0] * size <= pitch <= NONE_PITCH[1] * size
            density *= (1 / (measurement.over_mm * log(span))) if inside else 0.0
    if measurement.flats_mm is not None:
        low, high = SOCKET_RANGE if measurement.head in _SOCKETS else FLATS_RANGE
        if size is None:
            density /= measurement.flats_mm * log(200)
        elif low * size <= measurement.flats_mm <= high * size:
            density /= measurement.flats_mm * log(high / low)
        else:
            density = 0.0
    if measurement.angle_deg is not None:
        density /= 3
    return density


# Depth over which the flanks are straight, in pitches: depth of the form less both roundings, which
# are r (1 - sin(a/2)) deep; r of Whitworth 0.137329 p, BA 0.18083 p, cycle p/6. The ISO and Unified
# forms bear over 5/8 H.
_STRAIGHT = {55.0: 0.640327 - 2 * 0.137329 * (1 - sin(radians(27.5))), 60.0: 0.541266,
             47.5: 0.6 - 2 * 0.18083 * (1 - sin(radians(23.75)))}  # fmt: skip

_NUT_HEIGHT = 0.8

"""Height of a nut in diameters (common practice: ISO 4032 is 0.8 to 0.9)."""

_DOUBT = 0.03

"""Chance that dirt, burrs or a worn nut mislead (assumption)."""


def pitch_factor(angle_deg: float) -> float:
    """Return the effective diameter that an error of pitch takes up, per mm over the nut."""
    return 1 / tan(radians(angle_deg / 2))


def angle_equivalent_mm(pitch_mm: float, angle_deg: float, other_deg: float) -> float:
    """Return the effective diameter that flanks of another angle take up, mm."""
    both = abs(angle_deg - other_deg)  # the sum of two half-angle errors
    straight = _STRAIGHT.get(angle_deg, 0.541266)
    return straight * pitch_mm * radians(both) / sin(radians(angle_deg))


def goes_on(nut: Thread, bolt: Thread, bolt_major_mm: float | None = None) -> float:
    """Return the chance that a nut of one thread goes on a bolt of another by hand, all the way.

    Sizes are taken from the middle of the limits and spread over them; ``bolt_major_mm`` is the
    bolt's outside diameter where it was measured.
    """
    pitches = _NUT_HEIGHT * nut.major_mm / nut.pitch_mm
    taken = pitch_factor(nut.flank_angle_deg) * pitches * abs(nut.pitch_mm - bolt.pitch_mm)
    taken += angle_equivalent_mm(nut.pitch_mm, nut.flank_angle_deg, bolt.flank_angle_deg)
    inside, outside = _nut_pitch(nut), bolt.external_pitch_limits_mm
    chance = _clears(inside, outside, taken)
    major = bolt.external_major_limits_mm
    if bolt_major_mm is not None:
        major = Limits(bolt_major_mm - 0.03, bolt_major_mm + 0.03, "measured")
    # A tap cuts the major diameter of the nut a little over basic.
    chance *= _clears(Limits(nut.major_mm, nut.major_mm + 0.05 * nut.pitch_mm, "tap"), major)
    root = bolt.major_mm - bolt.form.root * bolt.pitch_mm
    tolerance = outside.max_mm - outside.min_mm
    top = root - (bolt.major_mm - bolt.external_major_limits_mm.max_mm)
    chance *= _clears(bore_limits(nut), Limits(top - tolerance, top, "root"))
    return _DOUBT + (1 - 2 * _DOUBT) * chance


def _nut_pitch(nut: Thread) -> Limits:
    limits = nut.internal_pitch_limits_mm
    if limits is not None:
        return limits
    low, high = nut.external_pitch_limits_mm
    basic = nut.pitch_diameter_mm
    # ASME B1.1 gives a class 2B nut 1.3 times the tolerance of the 2A bolt (memory); cycle and G as
    # a substitute.
    share = 1.3 if nut.series is not Series.G else 1.0
    return Limits(basic, basic + share * (high - low), "1.3 times the bolt's tolerance", True)


def _clears(inside: Limits, outside: Limits, taken: float = 0.0) -> float:
    gap = (inside.min_mm + inside.max_mm - outside.min_mm - outside.max_mm) / 2 - taken
    spread = ((inside.max_mm - inside.min_mm) ** 2 + (outside.max_mm - outside.min_mm) ** 2) / 12
    return 0.5 * (1 + erf(gap / sqrt(2 * (spread + 0.005**2))))
