"""How long a screw is: where its length is measured, how far it may be out.

::

    >>> length_rule("countersunk").rule
    'overall and head included'
"""

from dataclasses import dataclass
from functools import cache
from math import erfc, exp, sqrt

from stores import units
from stores.errors import BadValue, NotFound
from stores.handbook.measure import SIGMA_MM, Tool
from stores.handbook.table import table
from stores.handbook.thread.model import Series, Thread

__all__ = [
    "LengthRule",
    "NominalLength",
    "ThreadedPart",
    "length_likelihood",
    "length_rule",
    "length_tolerance_mm",
    "next_length",
    "odd_spread_mm",
    "threaded_parts",
]

MM_PER_INCH = 25.4
_ROOT2 = sqrt(2)
_GRADE_A_TO_MM = 150.0

ODD_SHARE = 0.03
"""Share of screws whose length is off by more than their grade allows: filed, ground off, bent, or
measured over a washer or a worn end (assumption). So a length out of tolerance speaks against a
screw, the more the further it is off, and does not rule it out at an edge."""


@dataclass(frozen=True, slots=True)
class LengthRule:
    """Where the length of a kind of head is measured: ``start`` to ``end``, the rule in words."""

    head: str
    start: str
    end: str
    rule: str
    source: str

    @property
    def overall(self) -> bool:
        """Whether the head is part of the length."""
        return self.start in ("top face of the head", "one end")


@dataclass(frozen=True, slots=True)
class ThreadedPart:
    """How much of a bolt is threaded, mm, on bolts over and up to a length; no end is None."""

    thread_mm: float
    over_mm: float
    to_mm: float | None


def threaded_parts(thread: Thread) -> tuple[ThreadedPart, ...]:
    """Return how much of a metric hexagon bolt is threaded by its length (ISO 888).

    b = 2 d + 6 up to 125 mm long, 2 d + 12 up to 200, 2 d + 25 beyond, for M1.6 to M64 and fine
    threads alike. A shorter one is threaded all the way. Empty for other threads.

    ISO 888 has 22 mm for M8 up to 125 mm long:

    >>> from stores.handbook.thread import get
    >>> [part.thread_mm for part in threaded_parts(get("M8"))]
    [22.0, 28.0, 41.0]
    """
    if thread.series is not Series.METRIC or not 1.6 <= thread.major_mm <= 64:
        return ()
    ends = ((6, 0.0, 125.0), (12, 125.0, 200.0), (25, 200.0, None))
    return tuple(ThreadedPart(2 * thread.major_mm + more, low, high) for more, low, high in ends)


def length_rule(head: str) -> LengthRule:
    """Return how the length of a screw with such a head is measured (ISO 225).

    Raises `NotFound`, naming the heads there are.

    >>> length_rule("hex").rule
    'from under the head to the end'
    """
    word = " ".join(head.lower().replace("-", " ").split())
    for name in (word, word.removesuffix(" screw"), word.removesuffix(" head")):
        if rule := _rules().get(name):
            return rule
    known = ", ".join(row["head"] for row in table("length_heads"))
    raise NotFound(f"no length rule for the head {head!r}: known are {known}")


@cache
def _rules() -> dict[str, LengthRule]:
    rules = {}
    for row in table("length_heads"):
        rule = LengthRule(row["head"], row["start"], row["end"], row["rule"], row["source"])
        for name in (row["head"].lower(), *row["words"].split(";")):
            rules[name] = rule
    return rules


def length_tolerance_mm(nominal_mm: float, grade: str = "A") -> float:
    """Return how far the length of a screw may be out either way, mm.

    js15 for product grade A, js17 for B and C (ISO 4759-1; limits by ISO 286-1). Grade C above
    150 mm is wider still; not used here.

    Raises `BadValue` for a length outside 0 to 500 mm or another grade.

    Args:
        nominal_mm: the length by name [mm].
        grade: product grade A, B or C.

    js15 over 18 up to 30 mm is 0.42 mm either way, js17 1.05 (ISO 286-1):

    >>> length_tolerance_mm(25), length_tolerance_mm(25, "B")
    (0.42, 1.05)
    """
    if grade not in ("A", "B", "C"):
        raise BadValue(f"product grade {grade!r}: expected A, B or C")
    for row in table("length_tolerances"):
        if float(row["over_mm"]) < nominal_mm <= float(row["to_mm"]):
            return float(row["a_mm" if grade == "A" else "b_mm"])
    raise BadValue(f"length {nominal_mm:g} mm: expected above 0 and up to 500 mm")


def length_likelihood(
    measured_mm: float,
    nominal_mm: float,
    head: str = "hex",
    tool: Tool | str = Tool.CALIPER,
    grade: str | None = None,
    *,
    sigma_mm: float | None = None,
) -> float:
    """Density, per mm, of measuring a length on a screw of a nominal length.

    The length is anywhere within the tolerance of its product grade (uniform), the tool adds a
    normal error; a few are off by more (`ODD_SHARE`). Without a grade: A and B alike up to 150 mm,
    B above (ISO 4014 has grade A up to ten diameters or 150 mm; memory). An edge that is hard to
    find (raised countersunk head, stud, eye) adds 0.3 mm (assumption).

    Raises `NotFound` for an unknown head, `BadValue` for a tool or a length out of range.
    """
    rule = length_rule(head)
    try:
        own = SIGMA_MM[Tool(tool)] if sigma_mm is None else sigma_mm
    except ValueError:
        raise BadValue(f"no tool {tool!r}: expected {', '.join(Tool)}") from None
    if not own > 0:
        raise BadValue(f"uncertainty {own:g} mm: expected above zero")
    sigma = (own**2 + (0.3 if rule.head in _HARD_TO_FIND else 0.0) ** 2) ** 0.5
    grades = (grade,) if grade else ("A", "B") if nominal_mm <= _GRADE_A_TO_MM else ("B",)
    off = measured_mm - nominal_mm
    made = sum(_uniform(off, length_tolerance_mm(nominal_mm, each), sigma) for each in grades)
    spread = odd_spread_mm(nominal_mm)
    odd = exp(-abs(off) / spread) / (2 * spread)
    return (1 - ODD_SHARE) * made / len(grades) + ODD_SHARE * odd


def odd_spread_mm(nominal_mm: float) -> float:
    """Return how far off the odd screw is, mm: the mean of an exponential to either side."""
    return max(0.5, 0.02 * nominal_mm)


_HARD_TO_FIND = frozenset({"raised countersunk", "stud", "eye"})


def _uniform(off: float, half: float, sigma: float) -> float:
    """Density of a uniform variable of a half-width plus a normal error, in the nearer tail."""
    off = abs(off)
    near, far = (off - half) / sigma, (off + half) / sigma
    return 0.5 * (erfc(near / _ROOT2) - erfc(far / _ROOT2)) / (2 * half)


@dataclass(frozen=True, slots=True)
class NominalLength:
    """A length that screws are made in; ``usual`` is false for second choice."""

    text: str
    mm: float
    inch: bool
    usual: bool = True

    def __str__(self) -> str:
        return f"{self.text} in" if self.inch else f"{self.text} mm"


def next_length(length_mm: float, *, inch: bool) -> NominalLength | None:
    """Return the next usual length above one, of the metric or inch list; None above the longest.

    >>> next_length(25, inch=False).text
    '30'
    """
    above = (
        each
        for each in _nominal_lengths()
        if each.usual and each.inch == inch and each.mm > length_mm + 1e-6
    )
    return min(above, key=lambda each: each.mm, default=None)


@cache
def _nominal_lengths() -> tuple[NominalLength, ...]:
    lengths = []
    for row in table("length_series"):
        inch = row["unit"] == "in"
        for text in row["lengths"].split():
            value = float(units.value(text))
            mm = value * MM_PER_INCH if inch else value
            usual = "second" not in row["series"]
            lengths.append(NominalLength(text.replace("-", " "), mm, inch, usual))
    return tuple(lengths)
