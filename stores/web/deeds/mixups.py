"""What was tipped together."""

from stores.web.deeds.fields import NEW_PLACE
from stores.web.forms import Deed, Field, Inquiry

DEEDS = (
    Deed(
        "mix",
        "Mixed up",
        "Record it",
        "mixups:mix",
        "mixups:MixPieces",
        "mixups:pieces_mixed",
        Field("what", "Bags or items", "lines", "Two or more, one a line"),
        Field("note", "What happened", hint="As both fell off the bench", option="--note"),
        line="Bags tipped together, pieces not to be told apart",
    ),
    Deed(
        "sort",
        "Sorted",
        "Record it",
        "mixups:sort",
        "mixups:SortPieces",
        "mixups:pieces_sorted",
        Field("which", "Mix-up", hint="Its number, or a bag or item of it"),
        Field("lines", "What was sorted", "lines",
              "One a line: 7.2=3, or 7.2=1@A003J where it is now. Empty: all of it, where the "
              "record has it"),
        NEW_PLACE,
        line="What was sorted of a mix-up",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "mixed",
        "What is mixed up",
        "Show",
        "mixups:mixed",
        "mixups:ListMixed",
        "mixups:mixed_list",
        Field("which", "Only this", hint="A mix-up's number, or a bag or item of it"),
        line="And which measurement tells it apart",
    ),
)
