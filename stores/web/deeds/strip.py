"""Strip-down: a step at the bench, pieces of unknown origin."""

from stores.model.ledger import Condition
from stores.usecases.context import Context
from stores.usecases.strip import Stripped, recorded_step
from stores.web.deeds.fields import ITEM, NEW_ASSEMBLY, NEW_PLACE, QUANTITY
from stores.web.forms import Deed, Field
from stores.web.visit import Link, path_to


def _after_step(reply: Stripped) -> list[Link]:
    again = path_to("/strip", assembly=reply.assembly)
    return [Link("Next piece", again, large=True)]


def _its_step(context: Context, act: int) -> str:
    return str(recorded_step(context, act) or "")


DEEDS = (
    Deed(
        "strip",
        "Take something off",
        "Record it",
        "strip:strip",
        "strip:Strip",
        "strip:stripped",
        Field("assembly", "Assembly", hint="As Engine/Clutch"),
        Field("part", "What came off"),
        Field("lines", "What held it", "lines", "One thing a line: 4 M6x25 hex, 1 gasket"),
        Field("bag", "Bag", value="new", hint="new, same, a code, or a place", option="--bag"),
        Field("photos", "Pictures", "pictures", "Up to 10: before, after, the label"),
        Field("part_to", "Where the part goes", hint="If not in the bag", option="--part-to"),
        Field("position", "Where the fasteners sat", more=True, option="--at"),
        Field("note", "What to know at the rebuild", "long", more=True, option="--note"),
        Field("hazard", "What can hurt somebody", more=True, option="--hazard"),
        Field(
            "condition",
            "What is known of it already",
            "choice",
            choices=tuple(Condition),
            value="as removed",
            more=True,
            option="--condition",
        ),
        Field("job", "Nothing came off: a job, as oil drained", "tick", more=True, option="--job"),
        Field("undo", "How such a job is undone at the rebuild", more=True, option="--undo"),
        NEW_PLACE,
        NEW_ASSEMBLY,
        next=_after_step,
        code=lambda reply: reply.bag or "",
        line="All that can be said of a step",
        shows=lambda reply: str(reply.step),
        shows_again=_its_step,
    ),
    Deed(
        "came-off",
        "What was still on came off",
        "Record it",
        "stuck:came_off",
        "stuck:TakeOff",
        "stuck:came_off",
        ITEM,
        QUANTITY,
        Field("to", "Where it goes", hint="Empty: into its bag", option="--to"),
        Field("note", "How", hint="As with heat", option="--note"),
        line="Seized or broken pieces",
    ),
    Deed(
        "left-on",
        "What is still on stays on",
        "Record it",
        "stuck:left_on",
        "stuck:LeaveOn",
        "stuck:left_on",
        ITEM,
        QUANTITY,
        Field("note", "Why", hint="As sound, and not in the way", option="--note"),
        line="It counts as fitted",
    ),
    Deed(
        "broke",
        "A piece broke",
        "Record it",
        "stuck:broke",
        "stuck:PieceBroke",
        "stuck:broke",
        ITEM,
        Field("quantity", "How many", "number", value="1", option="--quantity"),
        Field("hole", "Which hole the rest is in", hint="As hole 3", option="--hole"),
        line="The rest is in its hole: one to buy, a hole to drill",
    ),
    Deed(
        "loose",
        "Pieces of unknown origin",
        "Record it",
        "strip:loose",
        "strip:Loose",
        "strip:loose_recorded",
        Field("line", "What it is", hint="As 1 M8x40 hex"),
        Field("to", "Where it goes", hint="new, a bag's code, or a place", value="new",
              option="--to"),
        Field("note", "Where it was found", hint="As under the bench", option="--note"),
        NEW_PLACE,
        line="Found under the bench, or came in a tin",
    ),
)  # fmt: skip
INQUIRIES = ()
