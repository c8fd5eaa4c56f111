"""Strip-down: a step at the bench, pieces of unknown origin."""

from stores.usecases.context import Context
from stores.usecases.strip import Stripped, recorded_step
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
            value="as removed",
            more=True,
            option="--condition",
        ),
        Field("job", "Nothing came off: a job, as oil drained", "tick", more=True, option="--job"),
        Field("undo", "How such a job is undone at the rebuild", more=True, option="--undo"),
        Field("new_place", "This place is a new one", "tick", more=True, option="--new-place"),
        Field(
            "new_assembly", "This assembly is a new one", "tick", more=True, option="--new-assembly"
        ),
        next=_after_step,
        code=lambda reply: reply.bag or "",
        shows=lambda reply: str(reply.step),
        shows_again=_its_step,
    ),
)
INQUIRIES = ()
