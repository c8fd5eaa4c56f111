"""Bayes' rule over the threads of the tables."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from functools import lru_cache
from math import hypot, log
from operator import attrgetter

from stores.errors import BadValue
from stores.handbook.identify.assumptions import (
    ANGLE_SIGMA_DEG,
    COAT_MEAN_MM,
    COAT_SIGMA_MM,
    FLATS_RANGE,
    LEAD_ERROR,
    NONE_DIAMETER_MM,
    NONE_PITCH,
    NONE_SHARE,
    OTHER_FLATS,
    RUBBED_MOST,
    RUBBED_SHARE,
    SOCKET_RANGE,
    SPANNER_SLACK_MM,
    WEAR_MEAN_MM,
)
from stores.handbook.identify.catalogue import Band, Catalogue, flats_table, nut_side, prior_weights
from stores.handbook.identify.density import banded, normal, rubbed, worn
from stores.handbook.identify.gauges import blades, chances, sets_for
from stores.handbook.identify.model import Identification, Match, Measurement
from stores.handbook.measure import ANGLES

__all__ = ["angle_chance", "diameter_density", "flats_density", "identify", "over_density"]

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
    """Give the threads whose limits are within reach of the diameter, and what it says of each."""
    if measurement.bore_mm is None:
        side, size = whole.bolt, size - COAT_MEAN_MM
    else:
        side, size = nut_side(whole), -size - COAT_MEAN_MM
    sigma = hypot(measurement.diameter_sigma_mm, COAT_SIGMA_MM)
    least = size - _FAR * sigma
    return [
        (at, _used(size, low, high, sigma, most))
        for low, high, most, at in side.reached(least, size + _FAR * sigma)
        if high > least
    ]


def _used(size: float, low: float, high: float, sigma: float, most: float) -> float:
    """Density of a size made between the limits and worn in use, on some in earnest."""
    return (1 - RUBBED_SHARE) * worn(size, low, high, sigma, WEAR_MEAN_MM) + RUBBED_SHARE * rubbed(
        size, low, high, sigma, most
    )


def diameter_density(
    size_mm: float,
    sigma_mm: float,
    low: float,
    high: float,
    pitch_mm: float,
    *,
    internal: bool = False,
) -> float:
    """Density, per mm, of measuring a diameter on a thread with these limits, worn and plated."""
    sigma, most = hypot(sigma_mm, COAT_SIGMA_MM), RUBBED_MOST * pitch_mm
    if internal:
        return _used(-size_mm - COAT_MEAN_MM, -high, -low, sigma, most)
    return _used(size_mm - COAT_MEAN_MM, low, high, sigma, most)


# ---- pitch


def _gauge(measurement: Measurement) -> tuple[str, float, tuple[str, ...]] | None:
    """Give unit and mark of the blade that was read, and the gauge sets that were tried."""
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
    """Give the chance that a flank angle is judged to be ``read``, one of 60, 55 and 47.5."""
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
