"""The survey before the strip-down."""

from stores.usecases.survey import AskSurvey, Survey, kinds_known
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link, Visit
from stores.wording import Said
from stores.wording.survey import kind_kept

KINDS = Field(
    "kinds",
    "Kind of machine",
    "ticks",
    choices=lambda visit: kinds_known(visit.house.where, visit.house.templates),
    option="--kind",
)


def _kept(visit: Visit) -> AskSurvey:
    kinds = visit.words("kinds") or [""]  # as one who says --kind without a word
    return AskSurvey(kinds, visit.house.templates)


def _kind_said(reply: Survey) -> Said:
    return Said(kind_kept(reply) or (f"{reply.machine} is of this kind already",))


DEEDS = (
    Deed(
        "survey-kind",
        "What kind of machine it is",
        "Record it",
        "survey:survey",
        "survey:AskSurvey",
        _kind_said,
        KINDS,
        line="It decides what the survey asks",
        make=_kept,
        next=lambda _reply: [Link("What to look at", "/ask/survey", large=True)],
    ),
)
INQUIRIES = (
    Inquiry(
        "survey",
        "Survey before the strip-down",
        "Show",
        "survey:survey",
        "survey:AskSurvey",
        "survey:shown",
        line="What to look at while it still runs",
        make=lambda visit: AskSurvey((), visit.house.templates),
    ),
)
