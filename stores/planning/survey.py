"""What to look at, listen to and measure before a machine is taken apart, while it still runs.

Common practice of restorers and workshop manuals; no single source.
"""

from collections.abc import Collection
from dataclasses import dataclass

__all__ = ["SURVEY", "Look", "Part", "answered"]


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at. ``lines`` are writing lines on the sheet; ``reading`` is what the
    record calls the measurement, empty where words are the answer; ``sides`` asks which side."""

    text: str
    lines: int = 1
    reading: str = ""
    sides: bool = False
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """Part of the survey, in the order in which it is walked through."""

    name: str
    looks: tuple[Look, ...]


SURVEY: tuple[Part, ...] = (
    Part(
        "What is there",
        (
            Look("Frame and engine numbers, photographed; do they agree with the papers?", 2),
            Look("Missing parts, against the parts book or a photograph of the model", 3),
            Look("Not original: parts, colours, fasteners of another thread", 2),
            Look(
                "Repairs by earlier owners: welds, sleeves, inserts, sealant, wire", 2, sides=True
            ),
            Look("Broken, cracked, bent, seized; heads already rounded", 2, sides=True),
        ),
    ),
    Part(
        "While it runs",
        (
            Look(
                "Compression, warm, throttle open: dry, then wet with a spoon of oil",
                reading="compression",
            ),
            Look("Starting: cold, hot; how many kicks, which settings", 1),
            Look("Charging voltage at a fast tickover, lights off and on", reading="charging"),
            Look(
                "Battery at rest",
                reading="battery at rest",
                caution="Hydrogen and acid: ventilate, no sparks, rings off.",
            ),
            Look("Smoke: colour, when", 1),
            Look("Noises: where, at what speed, cold or hot", 2, sides=True),
            Look("Gears: which jump out, grate, will not go in", 1),
            Look("Clutch: slips, drags; free play", 1),
            Look("Lights, horn, ignition that come and go; with what movement", 2),
            Look(
                "Leaks, wiped clean and run: oil, fuel, coolant; from which joint",
                3,
                sides=True,
                caution="Fuel: no flame or spark, ventilate.",
            ),
        ),
    ),
    Part(
        "Standing still",
        (
            Look(
                "Brakes: bind, pull, lever travel",
                1,
                sides=True,
                caution="Old linings may hold asbestos: no air line, no dry brushing.",
            ),
            Look("Steering: notch, play; wheel bearings, spokes, rims", 2),
            Look("Fork, suspension, spindles, bushes: play and stiffness", 1, sides=True),
            Look("Chain, sprockets, belts: wear, alignment", 1),
            Look("Tank inside: rust, old sealer", 1),
            Look("Wiring: joints by hand, bare wire, earths; a picture of every joint", 2),
            Look("Routing of cables, pipes and hoses: pictures from both sides", 1, sides=True),
            Look("End float and rock of what turns, before it is loosened", 2, reading="end float"),
        ),
    ),
)
"""The survey."""


def answered(readings: Collection[str]) -> dict[str, bool]:
    """Tell of each measurement of the survey whether it was taken: the names of ``readings``."""
    known = [name.casefold() for name in readings]
    return {
        look.reading: any(look.reading in name for name in known)
        for part in SURVEY
        for look in part.looks
        if look.reading
    }
