"""Inspecting pieces with all that can be said of them, and what should be at a joint."""

from dataclasses import replace

from stores.usecases.common import WorkSaid
from stores.usecases.inspect import VERDICTS, Inspect, MeasuredAgainstLimit
from stores.web.deeds.fields import ITEM, OF, QUANTITY, WHAT
from stores.web.forms import NO, YES, Deed, Field
from stores.web.visit import Visit

_WAYS = {"": "the sizes tell", YES: "wear makes it larger", NO: "wear makes it smaller"}


def _inspection(visit: Visit) -> Inspect:
    def said(name: str) -> str:
        return visit.word(name).strip()

    measured = None
    if any(map(said, ("reading", "nominal", "limit"))):
        grows = {YES: True, NO: False}.get(said("grows"))
        measured = MeasuredAgainstLimit(said("reading"), said("nominal"), said("limit"), grows)
        measured = replace(
            measured,
            uncertainty=said("uncertainty") or measured.uncertainty,
            name=said("named") or measured.name,
        )
    return Inspect(
        said("what"),
        said("verdict"),
        said("reason"),
        said("quantity") or None,
        said("of") or None,
        measured,
        work=WorkSaid(said("work"), said("by"), said("measured")),
    )


DEEDS = (
    Deed(
        "inspect",
        "Inspect one thing",
        "Record it",
        "inspect:inspect",
        "inspect:Inspect",
        "inspect:inspected",
        WHAT,
        Field(
            "verdict",
            "How it is",
            "choice",
            choices={"": "–", **{each.value: each.value for each in VERDICTS}},
        ),
        Field("reason", "Why", hint="As necked, thread pulled"),
        replace(QUANTITY, option=""),
        OF,
        Field("reading", "Measured", hint="mm: the limit gives the verdict, as 24.96",
              option="--reading", more=True),
        Field("nominal", "Size when new", hint="mm, as 25", option="--nominal", more=True),
        Field("limit", "The maker's limit", hint="mm, as 24.95", option="--limit", more=True),
        Field("grows", "Which way wear goes", "choice", choices=_WAYS, option="--larger",
              more=True),
        Field("named", "What was measured", hint="As pin, bore", option="--named", more=True),
        Field("uncertainty", "Standard uncertainty of the tool", hint="mm; empty: 0.005",
              option="--off", more=True),
        Field("work", "Work done on it", hint="As welded, ground, plated", option="--work",
              more=True),
        Field("by", "Who did the work", option="--by", more=True),
        Field("measured", "What it measured after the work", option="--measured", more=True),
        line="With a measurement, or with work done on it",
        make=_inspection,
    ),
    Deed(
        "inspect-list",
        "Inspect many at once",
        "Record it",
        "sitting:inspect_each",
        "sitting:InspectEach",
        "inspect:inspected_each",
        Field("listed", "The list", "long", "As 1.1 good; 1.2 3 good 1 scrap necked",
              option="--list"),
        line="A list as written at the bench",
    ),
    Deed(
        "specify",
        "What should be at a joint",
        "Record it",
        "inspect:specify",
        "inspect:Specify",
        "inspect:specified",
        ITEM,
        Field("text", "What should be there", hint="As 4 M6x25 hex 8.8"),
        Field("same", "It is", "choice",
              choices={"": "the words tell", YES: "the name of what was found",
                       NO: "another thing instead"},
              option="--name", more=True),
        Field("reuse", "Use the old one again, because", hint="As soft copper, annealed",
              option="--reuse", more=True),
        line="Or the name of what was found there",
    ),
)  # fmt: skip
INQUIRIES = ()
