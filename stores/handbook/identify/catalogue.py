"""The threads to choose from, laid out for quick weighing, and how likely each is beforehand."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from stores.errors import BadValue, NotationError
from stores.handbook.identify.assumptions import (
    RUBBED_MOST,
    TRADE_SHARE,
    WEAR_MEAN_MM,
    trade_weight,
)
from stores.handbook.identify.model import FLATS_OF, is_number
from stores.handbook.thread import Limits, Series, Thread, all_threads, custom, find, read
from stores.handbook.thread.form import MM_PER_INCH

__all__ = [
    "Band",
    "Catalogue",
    "bore_limits",
    "catalogue",
    "flats_bands",
    "flats_table",
    "nut_side",
    "prior_weights",
]


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
        """Give the rows that may measure between two sizes, and some that do not."""
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
    """Give the limits of the nut's bore, mm.

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
        most = RUBBED_MOST * thread.pitch_mm
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
    """Give `flats_bands` of a catalogue, and how wide the widest is."""
    bands = flats_bands(whole.threads, head)
    widest = max((high - low for low, high, _, _ in bands), default=0.0)
    return bands, widest


def flats_bands(threads: Sequence[Thread], head: str) -> tuple[Band, ...]:
    """Give the bands of across flats for a kind of head: low, high, which thread, its share.

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
    """Give the threads to choose from and the probability of each beforehand; they sum to 1.

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
