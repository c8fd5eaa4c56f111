"""What the bench says of a refit: what goes in, what is measured, how tight it is, who signs."""

import re

from stores.usecases.assembling import Tighten
from stores.web.deeds.fields import WHAT
from stores.web.forms import Deed, Field
from stores.web.visit import Link, Visit


def _after(_reply: object) -> list[Link]:
    return [Link("What goes on next", "/next", large=True)]


def _tightened(visit: Visit) -> Tighten:
    """Return what was tightened; a bare figure is in the unit that stands beside its field, and
    how the thread was goes with it."""
    torque = visit.word("torque").strip()
    if torque and visit.word("unit") and re.fullmatch(r"[\d.,]+", torque):
        torque = f"{torque} {visit.word('unit')}"
    if torque and visit.word("state"):
        torque = f"{torque} {visit.word('state')}"
    return Tighten(visit.word("what"), torque)


_NAME = Field("name", "What is measured", hint="As end float")

DEEDS = (
    Deed(
        "apply", "Something goes in", "Record it",
        "assembling:apply", "assembling:Apply", "assembling:goes_in",
        WHAT,
        Field("text", "Which", hint="As medium locking compound, flange sealant; no sealant takes "
              "it back"),
        Field("takes", "How much", hint="As 2 ml, bead 3 mm x 640 mm, threads 24 M6, bearing 6204",
              option="--takes"),
        next=_after, line="Locking compound, sealant, grease or oil",
    ),
    Deed(
        "clearance", "What is measured at a step", "Record it",
        "assembling:set_point", "assembling:SetPoint", "assembling:point_set",
        WHAT, _NAME,
        Field("limits", "Limits", hint="As 0.05 to 0.15 mm, at most 0.1 mm; none takes it back"),
        Field("source", "Where the limits are printed", option="--from"),
        Field("found", "Measured", hint="As 0.08; empty: not yet", option="--found"),
        next=_after, line="When it goes back on, with its limits",
    ),
    Deed(
        "reading-at", "What it measured", "Record it",
        "assembling:take_reading", "assembling:TakeReading", "assembling:point_measured",
        WHAT, _NAME,
        Field("reading", "Measured", hint="As 0.08", option="--found"),
        next=_after, line="At a step that goes back on",
    ),
    Deed(
        "tighten", "Tightened", "Record it",
        "assembling:tighten", "assembling:Tighten", "assembling:tight",
        WHAT,
        Field("torque", "Tightened to", hint="As 24 N m oiled; empty: not measured"),
        make=_tightened, next=_after, line="What was finger-tight",
    ),
    Deed(
        "sign", "Sign for a step", "Sign",
        "assembling:sign", "assembling:Sign", "assembling:signed",
        WHAT,
        Field("name", "Who signs"),
        Field("second", "As the second person who checked it", "tick", option="--second"),
        Field("note", "What was looked at", hint="As torque checked, split pin in",
              option="--note"),
        next=_after, intro="Brakes, steering and wheels take a second person.",
    ),
)  # fmt: skip
INQUIRIES = ()
