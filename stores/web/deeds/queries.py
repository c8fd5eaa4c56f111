"""What was typed and can be read in two ways."""

from stores.web.deeds.fields import ITEM
from stores.web.forms import Deed, Field, Inquiry

DEEDS = (
    Deed(
        "query",
        "Answer a question",
        "Record it",
        "queries:answer_query",
        "queries:AnswerQuery",
        "queries:answered",
        ITEM,
        Field("answer", "Answer", hint="How many, right, or the whole line as 6 M6x25 hex"),
        Field("reason", "How it was found out", option="--reason", more=True),
        dated=False,
        line="Of a line that can be read in two ways",
    ),
)
INQUIRIES = (
    Inquiry(
        "queries",
        "Questions still open",
        "Show",
        "queries:queries",
        "",
        "queries:listed",
        line="Lines that can be read in two ways",
    ),
)
