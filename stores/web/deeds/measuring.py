"""Threads by name and by measurement; hardware by size."""

from stores.handbook.identify.model import Surface
from stores.handbook.measure import Tool
from stores.usecases.measuring import Measured
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Visit

__all__ = ["DEEDS", "HEAD", "INQUIRIES", "MEASUREMENTS", "measured"]

HEAD = Field("head", "Head", hint="As hex, csk, pan, socket cap", option="--head")
MEASUREMENTS = (
    Field("od", "Outside diameter", hint="As 5.9, or 0.248 in", option="--od"),
    Field("pitch", "Pitch, by thread gauge", hint="As 1.0, or 26 tpi", option="--pitch"),
    Field("over", "Length over crests", hint="As 9.8 over ten", option="--over"),
    Field("bore", "Bore of a nut or tapped hole", hint="As 5.0", option="--bore"),
    Field("flats", "Across flats", hint="As 10, or 0.445 in", option="--flats"),
    Field("angle", "Flank angle", hint="60, 55 or 47.5", option="--angle", more=True),
    Field(
        "tool", "Measured with", "choice", option="--tool", more=True,
        choices={"": "caliper, unless said", **{each.value: each.value for each in Tool}},
    ),
    Field(
        "surface", "On the thread", "choice", option="--surface", more=True,
        choices={"": "not known", **{each.value: each.value for each in Surface}},
    ),
)  # fmt: skip
"""What can be measured of a thread, as `Measured` has it."""


def measured(visit: Visit) -> Measured:
    """Return what was measured."""
    return Measured(**{each.name: visit.word(each.name).strip() for each in MEASUREMENTS})


DEEDS: tuple[Deed, ...] = ()
INQUIRIES = (
    Inquiry(
        "thread",
        "A thread by its name",
        "Show",
        "measuring:thread_named",
        "",
        "measuring:thread",
        Field("name", "Thread", hint="As M6, M8x1, 1/4 BSF, 2BA, 1/2 NPT"),
        call=lambda visit, named: named(visit.word("name").strip()),
        at_once=False,
        line="Sizes, drills, spanners",
    ),
    Inquiry(
        "which-thread",
        "A thread by measurement",
        "Show",
        "measuring:identified",
        "",
        "find:threads",
        *MEASUREMENTS,
        HEAD,
        Field("evenly", "Rare threads count as much as common ones", "tick", option="--evenly",
              more=True),
        call=lambda visit, identified: identified(
            measured(visit), visit.word("head").strip(), evenly=visit.word("evenly") == "1"
        ),
        at_once=False,
        line="Which thread it may be",
    ),
    Inquiry(
        "hardware",
        "Hardware by size",
        "Show",
        "measuring:hardware",
        "",
        "measuring:hardware",
        Field("typed", "Kind and sizes, or a designation",
              hint="As bearing 20 47 14, split pin 3.2 32, 6204-2RS C3"),
        call=lambda visit, hardware: hardware(visit.word("typed").strip()),
        at_once=False,
        line="Bearings, seals, O-rings, circlips, pins, keys",
    ),
    Inquiry(
        "hardware-kinds",
        "Kinds of hardware",
        "Show",
        "measuring:hardware_kinds",
        "",
        "measuring:kinds",
        call=lambda _visit, kinds: kinds(),
        line="And which sizes to measure of each",
    ),
)  # fmt: skip
