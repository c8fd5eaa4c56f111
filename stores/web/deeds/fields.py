"""Fields that several forms have alike."""

from stores.model.ledger import Condition
from stores.web.forms import Field

__all__ = ["ITEM", "NEW_ASSEMBLY", "NEW_FIRM", "NEW_PLACE", "OF", "QUANTITY", "WHAT"]

WHAT = Field("what", "Which", hint="An item as 7.2, a step as 7, or a bag")
ITEM = Field("what", "Which item", hint="As 7.2")
QUANTITY = Field("quantity", "How many", "number", "Empty: all", option="--quantity")
OF = Field(
    "of",
    "Only those in this condition",
    "choice",
    choices={"": "any", **{each.value: each.value for each in Condition}},
    option="--of",
    more=True,
)
NEW_PLACE = Field(
    "new_place", "It is a new place, though like an old one's name", "tick",
    option="--new-place", more=True,
)  # fmt: skip
NEW_FIRM = Field(
    "new_firm", "It is another firm, though like an old one's name", "tick",
    option="--new-firm", more=True,
)  # fmt: skip
NEW_ASSEMBLY = Field(
    "new_assembly", "It is a new assembly, though like an old one's name", "tick",
    option="--new-assembly", more=True,
)  # fmt: skip
