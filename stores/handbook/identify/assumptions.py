"""What identification takes for granted, each with where it comes from.

None of these figures is in a standard. A size known by its limits only is taken as rectangular
(JCGM 100, the guide to the expression of uncertainty in measurement, 4.3.7); the rest are
estimates, and say so.
"""

from math import exp, log

from stores.handbook.thread import Series, Thread

__all__ = ["trade_weight"]

WEAR_MEAN_MM = 0.02
"""Crests rubbed or bruised down, off the outside diameter (on to a bore): one-sided exponential of
this mean. Assumption: most old bolts have lost nothing a caliper sees."""

RUBBED_SHARE = 0.04
RUBBED_MOST = 0.25
"""Chance that the crests are rubbed, filed or corroded down in earnest, and then by how much at
most, in pitches on diameter: anything from nothing to that, evenly. Assumption: a few bolts in a
hundred have lost 0.1 to 0.3 mm on pitches of 1 to 1.5 mm. At a quarter of the pitch the land of an
ISO crest is more than twice its width when new; who sees that asks no caliper which thread it is.
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
    """Give how often a thread is met, relative to others, when nothing is known of the machine.

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
