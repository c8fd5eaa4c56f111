"""What was done, and taking it back."""

from stores.web.forms import Deed, Field, Inquiry

DEEDS = (
    Deed(
        "undo",
        "Undo an entry",
        "Undo",
        "history:undo",
        "history:Undo",
        "history:undone",
        Field("number", "Number of the entry or step", "number", "Empty: the last entry."),
        Field("by", "The number is of", "choice", choices=("", "act", "step"), more=True),
        Field("reason", "Why", more=True),
        intro="Takes back one entry, whole. What was done stays in the log.",
    ),
)
INQUIRIES = (
    Inquiry(
        "story",
        "The story of one thing",
        "Show",
        "history:story",
        "history:StoryOf",
        "history:story_lines",
        Field("what", "Item, step, bag, box, shelf, firm or assembly", hint="As 7.2, 7 or A001N"),
        Field("most", "How many, the newest", "number", more=True),
        at_once=False,
    ),
)
