"""Measure the identification of threads against what is possible at all.

Run from the project's root: ``python tests/benchmarks/identify.py [count]``.
Below some 5000 bolts chance alone leaves a calibration error of more than 2 %.

Bolts are drawn by the assumptions stated in `stores.handbook.identify.model` (thread by the
prior, or a stray in no table; size within the limits of the standard; wear, some bolts rubbed or
rusted down in earnest, some painted; plating, caliper of 0.03 mm read to 0.01, blade of the gauge
by the confusion law). The Bayes limit is the best any rule can do on such bolts: posterior by brute
force on a grid, in numpy. It has in common with the project the figures of that module, the threads
with their limits and the prior; blades and flats are read from the tables anew, and no closed form
is shared. What must hold: accuracy within one point of that limit and expected calibration error at
most 2 %; where all bolts are painted or worn and nobody says so, within three points and at most
3 %; cost of one identification at most ten bare passes in plain Python over the list of threads.
"""

import csv
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from stores.handbook.identify import TRADE, Identification, Measurement, identify, weighing
from stores.handbook.identify import model as a
from stores.handbook.identify.weighing import bore_limits, catalogue
from stores.handbook.thread import Limits, Thread, all_threads

Array = np.ndarray

SIGMA = 0.03
OVER_SIGMA = 0.06
CRESTS = 8
ANGLES = (60.0, 55.0, 47.5)
THREADS = all_threads()
DATA = Path(__file__).parents[2] / "stores" / "handbook" / "tables"


def rows_of(name: str) -> list[dict[str, str]]:
    """Give the rows of a table."""
    text = (DATA / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


class Blade(NamedTuple):
    """A blade of the metric and Whitworth gauge that is at every bench."""

    unit: str
    mark: float
    pitch_mm: float
    angle_deg: float


BLADES = [
    Blade(
        row["unit"],
        float(mark),
        float(mark) if row["unit"] == "mm" else 25.4 / float(mark),
        float(row["angle_deg"]),
    )
    for row in rows_of("gauge_blades")
    if row["gauge"] in ("metric", "whitworth")
    for mark in row["blades"].split()
]


def prior() -> Array:
    """Give the broad prior of the trade: the one figure that is taken over as it is."""
    return np.array(catalogue().trade)


# ---- brute force


def limits_of(thread: Thread, *, internal: bool) -> tuple[float, float]:
    """Give the limits of the diameter as on a bolt, mm: a bore is taken as below zero, since wear
    makes it larger and plating smaller."""
    limits: Limits = bore_limits(thread) if internal else thread.external_major_limits_mm
    return (-limits.max_mm, -limits.min_mm) if internal else (limits.min_mm, limits.max_mm)


class Law(NamedTuple):
    """What a world does to a diameter; the defaults are what the project assumes.

    ``wear`` is the mean of what most threads lost, mm; ``rusted`` the share that lost up to
    ``most`` pitches. ``coat`` is what paint adds, mm, ``under`` the mean of what a painted thread
    lost before. ``band`` is the part of the tolerance that is used.
    """

    wear: float = a.WEAR_MEAN_MM
    rusted: float = a.RUSTED_SHARE
    most: float = a.RUSTED_MOST
    painted: float = a.PAINTED_SHARE
    coat: tuple[float, float] = a.PAINT_MM
    under: float = 0.0
    sigma: float = SIGMA
    band: tuple[float, float] = (0.0, 1.0)


def worn_away(mean: float, edges: Array) -> Array:
    """Give the share of bolts that lost as much as each cell says."""
    if not mean:
        return np.eye(1, len(edges) - 1)[0]
    share: Array = -np.diff(np.exp(-edges / mean))
    return share


def evenly(low: float, high: float, edges: Array) -> Array:
    """Give the share in each cell of what is even between two sizes."""
    share: Array = np.diff(np.clip((edges - low) / (high - low), 0, 1))
    return share


@cache
def diameter_tables(
    law: Law, step: float = 0.0005, *, internal: bool = False
) -> list[tuple[Array, Array]]:
    """Give the density of a caliper reading for each thread, on a grid, by discrete convolution."""
    tables = []
    spread = np.hypot(law.sigma, a.COAT_SIGMA_MM)
    error = np.arange(-10 * law.sigma, 10 * law.sigma + step / 2, step)
    bell = np.exp(-0.5 * (error / spread) ** 2)
    bell /= bell.sum()
    added = np.arange(0, law.coat[1] + 1.5 * step, step)
    coat = evenly(*law.coat, added)
    for thread in THREADS:
        most = law.most * thread.pitch_mm
        edges = np.arange(0, max(0.6, 12 * law.wear, most + step), step)
        lost = (1 - law.painted - law.rusted) * worn_away(law.wear, edges)
        lost += law.rusted * evenly(0, most, edges)
        under = worn_away(law.under, edges)
        # Cells from the largest loss up to the thickest coat.
        change = np.convolve(under[::-1], coat)[: len(under) + len(coat)] * law.painted
        change = np.append(change, 0.0)
        if not law.under:
            change = np.append(0.0, change[:-1])  # nothing lost is at no cell's middle
        change[: len(lost)] += lost[::-1]
        low, high = limits_of(thread, internal=internal)
        low, high = low + law.band[0] * (high - low), low + law.band[1] * (high - low)
        cells = max(round((high - low) / step), 1)
        made = np.full(cells, 1 / (cells * step))
        density = np.convolve(np.convolve(made, change), bell)
        start = low + step / 2 - (len(lost) - 0.5) * step + error[0] + a.COAT_MEAN_MM
        tables.append((start + step * np.arange(len(density)), density))
    return tables


def confusion() -> Array:
    """Give the chance of each blade (column) for each thread (row)."""
    pitch = np.array([t.pitch_mm for t in THREADS])[:, None]
    angle = np.array([t.flank_angle_deg for t in THREADS])[:, None]
    blade_pitch = np.array([b.pitch_mm for b in BLADES])[None, :]
    blade_angle = np.array([b.angle_deg for b in BLADES])[None, :]
    gap = (blade_pitch - pitch) * (CRESTS - 1) / a.GAUGE_SLIP_MM
    tilt = (blade_angle - angle) / a.GAUGE_ANGLE_DEG
    log_weight = -0.5 * (gap**2 + tilt**2)
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    chance = weight / weight.sum(axis=1, keepdims=True)
    return (1 - a.GAUGE_LAPSE) * chance + a.GAUGE_LAPSE / len(BLADES)


def angle_table() -> Array:
    """Give the chance of each judged flank angle (column) for each thread (row)."""
    angle = np.array([t.flank_angle_deg for t in THREADS])[:, None]
    weight = np.exp(-0.5 * ((np.array(ANGLES)[None, :] - angle) / a.ANGLE_SIGMA_DEG) ** 2)
    return weight / weight.sum(axis=1, keepdims=True)


def flats_likelihood(thread: Thread, bands: list[tuple[float, float]], x: float) -> float:
    """Give the density of a size across flats by the midpoint rule.

    A thread without a standard head has specials only: that weighs on how often it is met with a
    hexagon at all (`hexagon_shares`), so that what is here does not add up to one for it.
    """
    low, high = a.FLATS_RANGE
    inside = low * thread.major_mm <= x <= high * thread.major_mm
    told = a.OTHER_FLATS / (x * np.log(high / low)) if inside else 0.0
    for bottom, top in bands:
        size = bottom + (np.arange(300) + 0.5) * (top - bottom) / 300
        bell = np.exp(-0.5 * ((x - size) / SIGMA) ** 2) / (SIGMA * np.sqrt(2 * np.pi))
        told += (1 - a.OTHER_FLATS) / len(bands) * float(bell.mean())
    return float(told)


IT13_MM = {3: 0.14, 6: 0.18, 10: 0.22, 18: 0.27, 30: 0.33, 50: 0.39, 80: 0.46, 120: 0.54}
"""ISO 286-1, IT13 by the upper end of the step: h13 is the tolerance of a hexagon in product
grade A (ISO 4759-1)."""


@cache
def bands_of() -> list[list[tuple[float, float]]]:
    """Give the hexagons of bolts of each thread, smallest and largest."""
    known: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for row in rows_of("across_flats"):
        if row["system"] != "Socket key" and "nut" not in row["part"]:
            size = float(row["af_mm"])
            least = size - next((t for top, t in IT13_MM.items() if size <= top), 0.72)
            if row["af_min_in"]:
                least = 25.4 * float(row["af_min_in"])
            for series in row["series"].split():
                known.setdefault((series, row["thread"]), []).append((least, size))
    return [known.get((str(t.series), t.size), []) for t in THREADS]


def hexagon_shares(shares: Array) -> Array:
    """Weigh threads by how often they are met with a hexagon: as a special only, or by standard."""
    return shares * np.array([1.0 if bands else a.OTHER_FLATS for bands in bands_of()])


# ---- bolts


@dataclass
class Bolts:
    """Simulated bolts and what was measured of them; ``thread`` -1 is one in no table.

    ``outside`` is the bore where they are nuts.
    """

    thread: Array
    outside: Array
    blade: Array
    angle: Array
    flats: Array
    over: Array


@dataclass
class World:
    """How bolts really are; the defaults are what the project assumes."""

    name: str = "as assumed"
    law: Law = field(default_factory=Law)
    strays: float = a.NONE_SHARE
    weights: Array = field(default_factory=prior)
    record: Mapping[str, float] | None = None  # what the machine is known to have
    told: Mapping[str, float] | str | None = TRADE  # the prior that is given
    surface: str = ""  # what is said of it
    within: float = 0.01  # how near the limit accuracy must be

    @property
    def shares(self) -> Array:
        """The probability of each thread."""
        if self.record is None:
            return self.weights / self.weights.sum()
        recorded = np.array([self.record.get(t.designation, 0.0) for t in THREADS])
        return a.TRADE_SHARE * prior() + (1 - a.TRADE_SHARE) * recorded / recorded.sum()


def draw(
    count: int, seed: int, world: World, *, hexagon: bool = False, internal: bool = False
) -> Bolts:
    """Draw bolts, or only those with a hexagon, or nuts, and measure them."""
    rng = np.random.default_rng(seed)
    shares = hexagon_shares(world.shares) if hexagon else world.shares
    stray = world.strays / (world.strays + (1 - world.strays) * shares.sum())
    thread = rng.choice(len(THREADS), count, p=shares / shares.sum())
    bounds = np.array([limits_of(t, internal=internal) for t in THREADS])[thread]
    low, high = bounds[:, 0], bounds[:, 1]
    law = world.law
    size = low + (high - low) * rng.uniform(*law.band, count)
    pitch = np.array([t.pitch_mm for t in THREADS])[thread]
    which, wear = rng.random(count), rng.exponential(law.wear, count)
    painted = rng.exponential(law.under, count) - rng.uniform(*law.coat, count)
    rusted = rng.uniform(0, law.most, count) * pitch
    size -= np.where(
        which < law.painted,
        painted,
        np.where(which < law.painted + law.rusted, rusted, wear),
    )
    size += rng.normal(a.COAT_MEAN_MM, a.COAT_SIGMA_MM, count)
    size += rng.normal(0, law.sigma, count)
    if internal:
        size = -size
    chances, angles, bands = confusion(), angle_table(), bands_of()
    blade = np.array([rng.choice(len(BLADES), p=chances[t]) for t in thread])
    angle = np.array([rng.choice(3, p=angles[t]) for t in thread])
    flats = np.empty(count)
    stretch = np.log(a.FLATS_RANGE[1] / a.FLATS_RANGE[0])
    for at, t in enumerate(thread):
        if not bands[t] or rng.random() < a.OTHER_FLATS:
            flats[at] = THREADS[t].major_mm * a.FLATS_RANGE[0] * np.exp(rng.random() * stretch)
        else:
            bottom, top = bands[t][rng.integers(len(bands[t]))]
            flats[at] = rng.uniform(bottom, top) + rng.normal(0, SIGMA)
    over = 10 * pitch * (1 + rng.normal(0, a.LEAD_ERROR, count)) + rng.normal(0, OVER_SIGMA, count)
    strays = rng.random(count) < stray
    thread[strays] = -1
    some = int(strays.sum())
    bottom, top = a.NONE_DIAMETER_MM
    size[strays] = bottom * np.exp(rng.random(some) * np.log(top / bottom))
    blade[strays] = rng.integers(len(BLADES), size=some)
    angle[strays] = rng.integers(3, size=some)
    span = np.log(a.NONE_PITCH[1] / a.NONE_PITCH[0])
    over[strays] = 10 * size[strays] * a.NONE_PITCH[0] * np.exp(rng.random(some) * span)
    flats[strays] = size[strays] * a.FLATS_RANGE[0] * np.exp(rng.random(some) * stretch)
    measured = np.maximum(np.round(size, 2), 0.1)  # the least that is measured
    return Bolts(thread, measured, blade, angle, flats, over)


def measurement(bolts: Bolts, at: int, what: str, surface: str = "") -> Measurement:
    """Give one bolt as the project takes it."""
    given: dict[str, float | str] = {
        "surface": surface,
        "bore_mm" if what.startswith("bore") else "outside_mm": float(bolts.outside[at]),
    }
    if "gauge" in what:
        blade = BLADES[bolts.blade[at]]
        given["gauge_mm" if blade.unit == "mm" else "gauge_tpi"] = blade.mark
    if "over ten" in what:
        given["over_mm"] = float(bolts.over[at])
    if "angle" in what:
        given["angle_deg"] = ANGLES[bolts.angle[at]]
    if "flats" in what:
        given["flats_mm"] = max(0.3, float(bolts.flats[at]))  # the least that is measured
    return Measurement(**given)  # type: ignore[arg-type]


def brute_force(bolts: Bolts, what: str, world: World) -> tuple[Array, Array]:
    """Give the best thread for each bolt (-1: none of the tables) and its probability."""
    internal = what.startswith("bore")
    tables, chances, angles = (
        diameter_tables(world.law, internal=internal),
        confusion(),
        angle_table(),
    )
    bands, weights = bands_of(), (1 - world.strays) * world.shares
    ten = 10 * np.array([t.pitch_mm for t in THREADS])
    first = np.array([grid[0] for grid, _ in tables])
    last = np.array([grid[-1] for grid, _ in tables])
    # A blade is known by its mark: of two sets that share one, either.
    marks = [(b.unit, b.mark) for b in BLADES]
    same = np.array([[m == other for other in marks] for m in marks], dtype=float)
    best, top = np.empty(len(bolts.thread), dtype=int), np.empty(len(bolts.thread))
    for at, x in enumerate(bolts.outside):
        read = -x if internal else x
        near = np.flatnonzero((first <= read) & (read <= last))
        like = np.array([np.interp(read, *tables[t]) for t in near]) * weights[near]
        least, most = a.NONE_DIAMETER_MM
        none = world.strays / (x * np.log(most / least)) if least <= x <= most else 0.0
        if "gauge" in what:
            like = like * (chances[near] @ same[bolts.blade[at]])
            none *= same[bolts.blade[at]].sum() / len(BLADES)
        if "over ten" in what:
            off = bolts.over[at] - ten[near]
            spread = np.sqrt(OVER_SIGMA**2 + (a.LEAD_ERROR * ten[near]) ** 2)
            like = like * np.exp(-0.5 * (off / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
            ratio = bolts.over[at] / 10 / x
            if a.NONE_PITCH[0] <= ratio <= a.NONE_PITCH[1]:
                none /= bolts.over[at] * np.log(a.NONE_PITCH[1] / a.NONE_PITCH[0])
            else:
                none = 0.0
        if "angle" in what:
            like = like * angles[near, bolts.angle[at]]
            none /= 3
        if "flats" in what:
            flats = bolts.flats[at]
            like = like * np.array([flats_likelihood(THREADS[t], bands[t], flats) for t in near])
            if a.FLATS_RANGE[0] <= flats / x <= a.FLATS_RANGE[1]:
                none /= flats * np.log(a.FLATS_RANGE[1] / a.FLATS_RANGE[0])
            else:
                none = 0.0
        total = like.sum() + none
        if len(like) and like.max() > none:
            best[at], top[at] = near[like.argmax()], like.max() / total
        else:
            best[at], top[at] = -1, none / total
    return best, top


# ---- figures


@dataclass
class Score:
    """What came of it. Shares are of 1.

    ``limit_calibration`` is that of brute force on the same bolts: what chance alone leaves.
    ``difference`` is the largest between our probability of the best and that of brute force.
    """

    ours: float
    limit: float
    expected_limit: float
    calibration: float
    limit_calibration: float
    difference: float
    pooled_calibration: float
    nearest: float
    nearest_of_pitch: float


def choose(found: Identification) -> tuple[int, float]:
    """Give our choice and its probability; -1 is none of the tables."""
    if found.best is None or found.best.probability < found.none_share:
        return -1, found.none_share
    return _INDEX[found.best.thread], found.best.probability


_INDEX = {t: at for at, t in enumerate(THREADS)}


def calibration_error(claimed: Array, right: Array, bins: int = 15) -> float:
    """Give the expected calibration error: mean gap of claimed and found, in equal bins."""
    order = np.argsort(claimed, kind="stable")
    parts = [p for p in np.array_split(order, bins) if len(p)]
    return float(
        sum(len(p) * abs(claimed[p].mean() - right[p].mean()) for p in parts) / len(claimed)
    )


def score(
    count: int, seed: int, what: str, world: World | None = None, *, limit: bool = True
) -> Score:
    """Identify simulated bolts and compare with brute force and with nearest-diameter matching."""
    world = world or World()
    internal = what.startswith("bore")
    bolts = draw(count, seed, world, hexagon="flats" in what, internal=internal)
    chosen, claimed = np.empty(count, dtype=int), np.empty(count)
    every_claim: list[float] = []
    every_truth: list[float] = []
    for at in range(count):
        found = identify(measurement(bolts, at, what, world.surface), world.record or world.told)
        chosen[at], claimed[at] = choose(found)
        for match in found.matches:
            every_claim.append(match.probability)
            every_truth.append(float(_INDEX[match.thread] == bolts.thread[at]))
    right = chosen == bolts.thread
    best, top = brute_force(bolts, what, world) if limit else (chosen, claimed)
    major = np.array([t.minor_mm if internal else t.major_mm for t in THREADS])
    pitch = np.array([t.pitch_mm for t in THREADS])
    nearest = np.array([np.abs(major - x).argmin() for x in bolts.outside])
    blade = np.array([b.pitch_mm for b in BLADES])[bolts.blade]
    both = np.array(
        [
            (np.abs(major - x) + 1e3 * (np.abs(pitch - p) > 0.005 * p)).argmin()
            for x, p in zip(bolts.outside, blade, strict=True)
        ]
    )
    return Score(
        float(right.mean()),
        float((best == bolts.thread).mean()),
        float(top.mean()),
        calibration_error(claimed, right.astype(float)),
        calibration_error(top, (best == bolts.thread).astype(float)),
        float(np.abs(top - claimed).max()),
        calibration_error(np.array(every_claim), np.array(every_truth)),
        float((nearest == bolts.thread).mean()),
        float((both == bolts.thread).mean()),
    )


def seconds(*works: Callable[[], object], repeat: int = 9) -> list[float]:
    """Give the shortest run of each of several pieces of work, run in turns."""
    shortest = [float("inf")] * len(works)
    for _ in range(repeat):
        for at, work in enumerate(works):
            start = time.perf_counter()
            work()
            shortest[at] = min(shortest[at], time.perf_counter() - start)
    return shortest


def bare_pass(x: float) -> Thread:
    """One bare pass: the thread whose basic diameter is nearest, in a plain loop over the list."""
    least, found = 1e9, THREADS[0]
    for thread in THREADS:
        apart = abs(thread.major_mm - x)
        if apart < least:
            least, found = apart, thread
    return found


MAJORS = np.array([t.major_mm for t in THREADS])


def numpy_pass(x: float) -> Thread:
    """The same bare pass in numpy, over an array of the basic diameters."""
    return THREADS[np.abs(MAJORS - x).argmin()]


def speed(count: int = 400) -> tuple[float, float, dict[str, float]]:
    """Give the seconds of one bare pass, plain and in numpy, and of one identification."""
    bolts = draw(count, 3, World(strays=0.0))
    given = {what: [measurement(bolts, at, what) for at in range(count)] for what in MEASURED}
    given["gauge alone"] = [Measurement(gauge_tpi=26.0), Measurement(gauge_mm=1.0)] * (count // 2)
    given["flats alone"] = [Measurement(flats_mm=float(x)) for x in bolts.flats]
    found = [identify(each) for each in given["diameter gauge"]]
    works: dict[str, Callable[[], object]] = {
        what: lambda each=each: [identify(g) for g in each]  # type: ignore[misc]
        for what, each in given.items()
    }
    works["twins, when asked"] = lambda: [f.twins for f in found]
    sizes = [float(x) for x in bolts.outside]
    plain, quick, *costs = seconds(
        lambda: [bare_pass(x) for x in sizes],
        lambda: [numpy_pass(x) for x in sizes],
        *works.values(),
    )
    firsts = []
    for _ in range(9):
        spent = 0.0
        for each in given["diameter gauge"]:
            weighing._gauge_column.cache_clear()
            start = time.perf_counter()
            identify(each)
            spent += time.perf_counter() - start
        firsts.append(spent)
    told = dict(zip(works, costs, strict=True)) | {FIRST: min(firsts)}
    return plain / count, quick / count, {what: cost / count for what, cost in told.items()}


FIRST = "diameter, blade not asked before"
_FRESH = """
import time; start = time.perf_counter()
from stores.handbook.identify import Measurement, identify
loaded = time.perf_counter()
identify(Measurement(outside_mm=5.9, gauge_mm=1.0))
print(loaded - start, time.perf_counter() - loaded)
"""


def fresh_process() -> tuple[float, float]:
    """Give the seconds that a new process takes to import this room, and then to answer first."""
    runs = [
        subprocess.run([sys.executable, "-c", _FRESH], check=True, capture_output=True, text=True)
        for _ in range(5)
    ]
    imported, answered = zip(*([float(x) for x in r.stdout.split()] for r in runs), strict=True)
    return min(imported), min(answered)


# Invented contents of an old British machine.
RECORD = {
    "1/4-26 cycle": 40, "5/16-26 cycle": 30, "3/8-26 cycle": 12, "1/4 BSF": 14, "5/16 BSF": 20,
    "3/8 BSF": 9, "1/4 BSW": 8, "5/16 BSW": 4, "2BA": 12, "4BA": 9, "6BA": 3, "0BA": 5, "M6": 2,
}  # fmt: skip
# Four bolts in a hundred have lost up to a quarter of the pitch; no paint.
PLAIN = Law(painted=0.0, rusted=0.04, most=0.25)
PAINTED = Law(painted=1.0, rusted=0.0, coat=(0.0, 0.15), under=a.WEAR_MEAN_MM)
WORLDS = (
    World("four in a hundred worn", PLAIN),
    World("no wear", PLAIN._replace(wear=0.0, rusted=0.0)),
    World("none rubbed down", PLAIN._replace(rusted=0.0)),
    World("one in ten rubbed down", PLAIN._replace(rusted=0.1)),
    World("wear twice as much", PLAIN._replace(wear=2 * a.WEAR_MEAN_MM)),
    World("caliper twice as bad", PLAIN._replace(sigma=2 * SIGMA)),
    World("no strays", PLAIN, strays=0.0),
    # What nobody can tell by one bolt: here the limit is out of reach.
    World("made in the upper third", PLAIN._replace(band=(0.67, 1.0)), within=1.0),
    World("made in the lower third", PLAIN._replace(band=(0.0, 0.33)), within=1.0),
    World("every thread as common", PLAIN, weights=np.ones(len(THREADS)), within=1.0),
)
ALL_ALIKE = (
    World("painted, 0 to 0.15", PAINTED, within=0.03),
    World("painted, 0.05 to 0.15", PAINTED._replace(coat=(0.05, 0.15)), within=1.0),
    World("worn by 0.1 on average", PLAIN._replace(wear=0.1), within=0.03),
    World("rubbed or rusted, all", Law(painted=0.0, rusted=1.0), within=0.03),
)
MEASURED = (
    "diameter",
    "diameter gauge",
    "diameter over ten",
    "diameter gauge flats",
    "diameter gauge angle",
    "diameter gauge angle flats",
    "bore",
    "bore gauge",
)


def row(name: str, *figures: float) -> str:
    """Write a line of per cents."""
    return f"{name:28}" + "".join(f"{100 * figure:12.2f}" for figure in figures)


def main(arguments: list[str]) -> None:
    """Print the tables."""
    count = int(arguments[0]) if arguments else 20000
    titles = ("ours", "limit", "nearest", "of pitch", "calibration", "(limit's)", "pooled", "apart")
    print(f"{count} bolts a line (a quarter with flats), per cent")
    print(
        "limit: brute force on the same bolts; nearest: basic diameter; of pitch: nearest of those"
    )
    print(
        "with the pitch of the blade; pooled: calibration of every thread named, not only the best;"
    )
    print("apart: largest difference of the best's probability from brute force")
    print(f"{'measured':28}" + "".join(f"{title:>12}" for title in titles))
    holds = True
    for what in MEASURED:
        s = score(count if "flats" not in what else count // 4, 1, what)
        holds &= s.ours >= s.limit - 0.01 and s.calibration <= 0.02
        print(row(what, s.ours, s.limit, s.nearest, s.nearest_of_pitch, s.calibration,
                  s.limit_calibration, s.pooled_calibration, s.difference))  # fmt: skip
    print("\nevery thread of the lists drawn as often as any other, and no prior given")
    even = World("evenly", weights=np.ones(len(THREADS)), told=None)
    for what in MEASURED:
        s = score(count if "flats" not in what else count // 4, 5, what, even)
        holds &= s.ours >= s.limit - 0.01 and s.calibration <= 0.02
        print(row(what, s.ours, s.limit, s.nearest, s.nearest_of_pitch, s.calibration,
                  s.limit_calibration, s.pooled_calibration, s.difference))  # fmt: skip
    print()
    s = score(count, 4, "diameter gauge", World(record=RECORD))
    holds &= s.ours >= s.limit - 0.01 and s.calibration <= 0.02
    print(row("the same, machine recorded", s.ours, s.limit, s.nearest, s.nearest_of_pitch,
              s.calibration, s.limit_calibration, s.pooled_calibration, s.difference))  # fmt: skip
    titles = ("ours", "limit", "nearest", "of pitch", "calibration", "(limit's)", "pooled")
    print("\nwhen bolts are not as assumed (diameter and gauge); the limit knows how they are")
    print(f"{'bolts':28}" + "".join(f"{title:>12}" for title in titles))
    for world in WORLDS:
        s = score(count // 2, 2, "diameter gauge", world)
        holds &= s.ours >= s.limit - world.within and (s.calibration <= 0.03 or world.within == 1)
        print(row(world.name, s.ours, s.limit, s.nearest, s.nearest_of_pitch, s.calibration,
                  s.limit_calibration, s.pooled_calibration))  # fmt: skip
    print("\nall painted or all worn: nobody says so, and where it is said")
    for world in ALL_ALIKE:
        s = score(count // 2, 2, "diameter gauge", world)
        print(row(world.name, s.ours, s.limit, s.nearest, s.nearest_of_pitch, s.calibration,
                  s.limit_calibration, s.pooled_calibration))  # fmt: skip
        said = replace(world, surface="painted" if world.law.painted else "rusty")
        told = score(count // 2, 2, "diameter gauge", said, limit=False)
        print(row("  and said", told.ours, s.limit, s.nearest, s.nearest_of_pitch,
                  told.calibration, s.limit_calibration, told.pooled_calibration))  # fmt: skip
    plain, quick, costs = speed()
    print(f"\ncost of one identification in bare passes over the {len(THREADS)} threads")
    print(f"(nearest basic diameter): plain loop {1e6 * plain:.1f} us, numpy {1e6 * quick:.1f} us")
    print(f"{'':36}{'plain':>8}{'numpy':>8}")
    for what, cost in costs.items():
        holds &= cost <= 10 * plain or what.startswith("twins")
        print(f"{what:36}{cost / plain:8.1f}{cost / quick:8.1f}")
    imported, answered = fresh_process()
    print(f"the first of a new process, tables read from disk: {1e3 * answered:.0f} ms, "
          f"{answered / plain:.0f} plain passes;")  # fmt: skip
    print(f"the import before it {1e3 * imported:.0f} ms")
    print("\nholds" if holds else "\nDOES NOT HOLD")


if __name__ == "__main__":
    main(sys.argv[1:])
