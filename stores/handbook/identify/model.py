"""What was measured, and what it may be."""

from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from stores.errors import BadValue
from stores.handbook.measure import ANGLES, SIGMA_MM, Measure, Quantity, Tool, read_measure
from stores.handbook.thread import Thread

if TYPE_CHECKING:
    from stores.handbook.identify.advice import Twins

__all__ = ["FLATS_OF", "HEADS", "Identification", "Match", "Measurement"]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """What was measured of one thread: any part of it, each with its standard uncertainty in mm.

    ``outside_mm`` is of a bolt; ``bore_mm`` is the hole of a nut, its minor diameter; give one.
    The pitch is ``gauge_mm`` or ``gauge_tpi``, what is stamped on the blade that fits, with the
    ``gauges`` tried (metric, whitworth, unified, ba) and the ``crests`` engaged; or ``over_mm``, a
    length over ``over_pitches`` pitches; or both. ``flats_mm`` is across the flats of a hexagon, or
    the key of a socket, as ``head`` says; ``flats_by_spanner`` is what stands on the spanner or key
    that fits instead of a measured size. ``angle_deg`` is 60, 55 or 47.5.

    Raises `BadValue` for what nothing measures, for a bore and an outside diameter together, and
    for the outside diameter of a nut.
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
        return cls(head=head, gauges=gauges, crests=crests, **got)  # type: ignore[arg-type]


def _head(said: str) -> str:
    """Give the head by the name it has here, or as it was said: "Hexagon head bolt" is a hex."""
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

    def probability(self, designation: str) -> float:
        """Give the probability of a thread by its canonical name, 0 if it is not among them."""
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
    """Tell whether a weight can be used: finite and not below zero."""
    return isfinite(value) and value >= 0
