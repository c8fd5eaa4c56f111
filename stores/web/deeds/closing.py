"""The end of a day; closing a machine out, and opening it again."""

from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link

DEEDS = (
    Deed(
        "handover", "A word for tomorrow", "Keep it",
        "closing:hand_over", "closing:HandOver", "closing:handed_over",
        Field("words", "What you want to know tomorrow", "long",
              "As left brake pipe only hand-tight, drain pan under the sump"),
        next=lambda _reply: [Link("The end of the day", "/ask/day-end", large=True)],
    ),
    Deed(
        "close", "Close the machine out", "Close it out",
        "closing:close_out", "closing:CloseOut", "closing:closed_out",
        Field("note", "Closing remark", hint="As road test on 14 March: no leak", option="--note"),
        intro="Refused while anything is left over, short, away or open. Nothing more is recorded "
        "of it then, until it is opened again.",
    ),
    Deed(
        "reopen", "Open a machine again", "Open it again",
        "closing:reopen", "closing:Reopen", "closing:opened_again",
        Field("reason", "Why", hint="As oil at the drain plug", option="--reopen"),
        line="After it was closed out",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "day-end", "The end of the day", "Show", "closing:end_of_day", "", "closing:day_end",
        line="What is off, only finger-tight, open, and what waits",
    ),
    Inquiry(
        "before-closing", "What is still to settle", "Show",
        "closing:look_before_closing", "", "closing:in_the_way",
    ),
)  # fmt: skip
