"""Refitting: a step, a bag or an item is back on the machine."""

from stores.usecases.refit import Refitted
from stores.web.deeds.fields import QUANTITY, WHAT
from stores.web.forms import Deed, Field
from stores.web.visit import Link, path_to


def _after(reply: Refitted) -> list[Link]:
    left = [
        Link(f"Old pieces of {each.item}: throw out", path_to("/do/scrap", what=each.item))
        for each in reply.left_over
    ]
    return [Link("What goes on next", "/next", large=True), *left]


DEEDS = (
    Deed(
        "refit", "Back on the machine", "Record it", "refit:refit", "refit:Refit",
        "refit:refitted",
        WHAT, QUANTITY,
        Field("torque", "Tightened to", hint="As 24 N m oiled", option="--torque"),
        Field("finger_tight", "Only finger-tight so far", "tick", option="--finger-tight"),
        Field("by", "Who fitted it: signs", option="--by"),
        Field("anyway", "Fit what is there, though something is short", "tick",
              option="--anyway", more=True),
        Field("as_it_came", "Uninspected pieces too, as they came off", "tick",
              option="--as-it-came", more=True),
        next=_after, line="A step, a bag or one item",
    ),
)  # fmt: skip
INQUIRIES = ()
