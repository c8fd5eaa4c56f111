"""Threads beside the bolt threads: taper pipe, trapezoidal, conduit, brass, model engineers'.

They have a table of their own, ``threads_special.csv``, and stay out of `all_threads`: a measured
bolt's probabilities must not be diluted by pipe and spindle threads. Sources: ASME B1.20.1 (NPT),
ISO 7-1 (R, which is BSPT), ISO 2904 (Tr), DIN 40430 (Pg), common practice (brass, ME); all from
memory.
"""

import re
from dataclasses import dataclass
from functools import cache

from stores import units
from stores.errors import NotFound
from stores.handbook.table import number, table
from stores.handbook.thread.catalogue import size_in_inches
from stores.handbook.thread.model import MM_PER_INCH, WHITWORTH

__all__ = ["FAMILIES", "SpecialThread", "special", "special_threads"]

FAMILIES = {
    "NPT": "American taper pipe thread",
    "R": "British taper pipe thread, BSPT",
    "Tr": "ISO trapezoidal thread",
    "Pg": "steel conduit thread",
    "brass": "British brass pipe thread",
    "ME": "model engineers' thread",
}
"""What each family is called in full."""

_ANGLE = {"NPT": 60.0, "R": 55.0, "Tr": 30.0, "Pg": 80.0, "brass": 55.0, "ME": 55.0}
_TAPERED = ("NPT", "R")
_NOTES = {
    "NPT": "taper 1 in 16 on the diameter; seals on the flanks with a sealant; not R, whose flanks "
    "stand at 55 degrees; sizes are at the small end of the pipe",
    "R": "taper 1 in 16 on the diameter; sizes are at the gauge plane and those of G; Rp is the "
    "parallel hole, Rc the tapered one; not NPT, whose flanks stand at 60 degrees",
    "Tr": "sizes are basic: nuts wear, so measure both before anything is cut",
    "Pg": "replaced by metric conduit threads (EN 60423); the size is no diameter",
    "brass": "26 threads per inch whatever the size; lists of sizes differ",
    "ME": "constant pitch for boiler fittings; lists of sizes differ",
}
# ISO 2904: clearance at the crest, by pitch (memory).
_CREST = ((1.5, 0.15), (5.0, 0.25), (12.0, 0.5), (44.0, 1.0))
# DIN 40430: depth of the thread in pitches; the printed cores are within 0.02 mm of it.
_PG_DEPTH = 0.48


@dataclass(frozen=True, slots=True)
class SpecialThread:
    """One thread of ``threads_special.csv``; lengths in mm.

    ``major_mm`` is what `_NOTES` says for its family. ``root_mm`` is the bolt's core, ``minor_mm``
    the bore of the nut; both at the small end for NPT, at the gauge plane for R. ``gauge_mm`` is
    the length by which a taper thread goes together by hand, None for a parallel thread.
    """

    family: str
    size: str
    major_mm: float
    pitch_mm: float
    tpi: float | None
    pitch_diameter_mm: float
    minor_mm: float
    root_mm: float
    flank_angle_deg: float
    gauge_mm: float | None
    tapping_drill_mm: float | None
    source: str

    @property
    def designation(self) -> str:
        """Canonical name: ``1/2 NPT``, ``R 1/2``, ``Tr 20x4``, ``Pg 11``, ``1/4-26 brass``."""
        match self.family:
            case "NPT":
                return f"{self.size} NPT"
            case "Tr":
                return f"Tr {self.size}x{self.pitch_mm:g}"
            case "R" | "Pg":
                return f"{self.family} {self.size}"
            case _:
                return f"{self.size}-{self.tpi:g} {self.family}"

    @property
    def name(self) -> str:
        """The family in full."""
        return FAMILIES[self.family]

    @property
    def note(self) -> str:
        """What to know before it is taken for another thread."""
        return _NOTES[self.family]

    @property
    def tapered(self) -> bool:
        """Whether the diameter grows by 1 in 16 along the thread."""
        return self.family in _TAPERED


@cache
def special_threads() -> tuple[SpecialThread, ...]:
    """Return every thread of the table, in its order."""
    return tuple(
        _thread(
            row["family"], row["size"], float(row["d_mm"]), number(row["tpi"]), number(row["p_mm"]),
            number(row["gauge_mm"]), number(row["tap_drill_mm"]), row["source"],
        )
        for row in table("threads_special")
    )  # fmt: skip


def _thread(
    family: str, size: str, d: float, tpi: float | None, p: float | None, gauge: float | None,
    drill: float | None, source: str,
) -> SpecialThread:  # fmt: skip
    pitch = p if p is not None else MM_PER_INCH / (tpi or 1.0)
    match family:
        case "NPT":
            # ASME B1.20.1: E0 = D - (0.05 D + 1.1) p in inches; height 0.8 p.
            middle = d - (0.05 * d / MM_PER_INCH + 1.1) * pitch
            root = minor = middle - 0.8 * pitch
        case "Tr":
            crest = next(c for top, c in _CREST if pitch <= top)
            middle, minor = d - 0.5 * pitch, d - pitch
            root = minor - 2 * crest
            drill = minor
        case "Pg":
            middle, minor = d - _PG_DEPTH * pitch, d - 2 * _PG_DEPTH * pitch
            root = minor
        case "R":
            # ISO 7-1 rounds the depth to a micrometre, and everything follows it.
            depth = round(WHITWORTH.effective * pitch, 3)
            middle, root = d - depth, d - 2 * depth
            minor = root
        case _:
            middle, minor = d - WHITWORTH.effective * pitch, d - WHITWORTH.minor * pitch
            root = minor
    return SpecialThread(
        family, size, d, pitch, tpi, middle, minor, root, _ANGLE[family], gauge, drill, source
    )


_NUM = r"\d{1,3}(?:[.,]\d{1,2})?"
_SIZE = r"(?:\d{1,2}[\s-]+\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d{1,2})"
_26 = r"(?:[x-]?\s*(?P<pitch>26)\s*(?:tpi\s*)?)?"
_FORMS = (
    (
        "Tr",
        rf"tr(?:ap(?:ezoidal)?)?\s*(?P<size>{_NUM})\s*(?:[x*]\s*(?P<pitch>{_NUM}))?(?:\s*-?\s*\d[a-h])?",
    ),
    ("Pg", rf"pg\s*-?\s*(?P<size>{_NUM})"),
    ("R", rf"r[pc]?\s*(?P<size>{_SIZE})|(?P<after>{_SIZE})\s*\"?\s*-?\s*(?:bspt|bsp\s+taper)"),
    (
        "NPT",
        rf"nptf?\s*(?P<size>{_SIZE})"
        rf"|(?P<after>{_SIZE})\s*\"?\s*(?:-\s*(?P<pitch>{_NUM})\s*)?nptf?",
    ),
    ("brass", rf"(?P<after>{_SIZE})\s*\"?\s*{_26}(?:brass|bsb)(?:\s+(?:pipe|thread))?"),
    (
        "ME",
        rf"(?P<after>{_SIZE})\s*\"?\s*(?:[x-]\s*(?P<pitch>\d\d)\s*(?:tpi\s*)?)?m\.?e\.?",
    ),
)


def special(text: str) -> SpecialThread | None:
    """Return the thread that a name such as ``1/2 NPT`` means; None for a name of none of them.

    Raises `NotFound`, naming those of the family near it, when the family is known and has no such
    size, or when the size has several pitches and none is said.

    ASME B1.20.1 has 14 threads per inch for 1/2 NPT:

    >>> special("1/2 NPT").tpi
    14.0
    >>> special("M8") is None
    True
    """
    plain = units.spelt(text).strip().lower()
    for family, form in _FORMS:
        found = re.fullmatch(form, plain, re.IGNORECASE | re.ASCII)
        if found is None:
            continue
        parts = found.groupdict()
        size = (parts.get("size") or parts.get("after") or "").replace(",", ".")
        size = re.sub(r"[\s-]+", " ", size)
        pitch = float(units.value(parts["pitch"])) if parts.get("pitch") else None
        return _pick(family, size, pitch, text.strip())
    return None


def _pick(family: str, size: str, pitch: float | None, text: str) -> SpecialThread:
    ours = [t for t in special_threads() if t.family == family]
    same = [t for t in ours if t.size == size]
    exact = [t for t in same if pitch in (None, t.pitch_mm if t.tpi is None else t.tpi)]
    if len(exact) == 1:
        return exact[0]
    if exact:
        names = ", ".join(t.designation for t in exact)
        raise NotFound(f"{text!r} may be more than one thread, say which: {names}")
    value = size_in_inches(size) or 0.0
    near = same or sorted(ours, key=lambda t: abs((size_in_inches(t.size) or 0.0) - value))[:4]
    names = ", ".join(t.designation for t in near)
    raise NotFound(f"{FAMILIES[family]}: no table holds {text!r}; near it: {names}")
