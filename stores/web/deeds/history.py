"""What was done, and taking it back; whether the sums agree."""

from stores.usecases.history import AskAudit
from stores.web.forms import Deed, Field, Inquiry

DEEDS = (
    Deed(
        "undo",
        "Undo an entry",
        "Undo",
        "history:undo",
        "history:Undo",
        "history:undone",
        Field("number", "Number of the entry or step", "number", "Empty: the last entry"),
        Field("by", "The number is of", "choice",
              choices={"": "–", "act": "an entry", "step": "a step"}, more=True),
        Field("reason", "Why", option="--note", more=True),
        intro="Takes back one entry, whole. What was done stays in the log.",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "history",
        "Log of entries",
        "Show",
        "history:history",
        "",
        "history:history_table",
        Field("most", "How many, the newest", "number", value="20", option="--most"),
        call=lambda visit, history: history(visit.context(), visit.word("most").strip() or "20"),
    ),
    Inquiry(
        "story",
        "The story of one thing",
        "Show",
        "history:story",
        "history:StoryOf",
        "history:story_lines",
        Field("what", "Item, step, bag, box, shelf, firm or assembly", hint="As 7.2, 7 or A001N"),
        Field("most", "How many, the newest", "number", option="--most", more=True),
        at_once=False,
    ),
    Inquiry(
        "audit",
        "Is everything accounted for?",
        "Show",
        "history:audit",
        "history:AskAudit",
        "history:audited",
        make=lambda visit: AskAudit(visit.house.pictures),
        line="Adds the record up; looks at every picture",
    ),
)
