"""Where pieces are: moved, stowed, lost and found, thrown out, kept, given to another joint."""

from stores.usecases.places import PlacesListed
from stores.web.deeds.fields import NEW_PLACE, OF, QUANTITY, WHAT
from stores.web.forms import Deed, Field, Inquiry
from stores.wording import Said
from stores.wording.places import index


def _in_lines(reply: PlacesListed) -> Said:
    return Said(index(reply))


_ALL = "An item as 7.2, a step as 7, a bag, or all left over"

DEEDS = (
    Deed(
        "move",
        "Move pieces",
        "Record it",
        "places:move",
        "places:MovePieces",
        "places:moved",
        WHAT,
        Field("to", "Where to", hint="A bag, new, a box, a shelf, bench"),
        QUANTITY,
        OF,
        NEW_PLACE,
        line="To another bag, box or shelf",
    ),
    Deed(
        "stow",
        "Stow bags",
        "Record it",
        "places:stow",
        "places:StowPlaces",
        "places:stowed",
        Field("what", "Bags or boxes", "lines", "One a line"),
        Field("inside", "Where to", hint="As box 3, or shelf 1"),
        NEW_PLACE,
        line="Bags into a box, a box on to a shelf",
    ),
    Deed(
        "lose",
        "Lost",
        "Record it",
        "places:lose",
        "places:LosePieces",
        "places:lost",
        WHAT,
        QUANTITY,
        Field("reason", "What happened", hint="As rolled under the lathe", option="--note"),
        Field("firm", "The firm that lost them", option="--at", more=True),
        OF,
        line="Pieces that cannot be found; they go on the shopping list",
    ),
    Deed(
        "recover",
        "Lost, and found again",
        "Record it",
        "places:recover",
        "places:RecoverPieces",
        "places:recovered",
        WHAT,
        QUANTITY,
        Field("to", "Where it goes", hint="Empty: into its bag", option="--to"),
        Field("reason", "Where it was", option="--note"),
        NEW_PLACE,
    ),
    Deed(
        "scrap",
        "Throw out",
        "Throw out",
        "places:scrap",
        "places:ScrapPieces",
        "places:scrapped",
        Field("what", "Which", hint=_ALL),
        QUANTITY,
        Field("reason", "Why", hint="As sheared", option="--note"),
        OF,
        intro="Without a count: condemned pieces, and old ones replaced by new ones. One is kept "
        "as a pattern until the new one fits.",
    ),
    Deed(
        "scrap-condemned",
        "Throw out all condemned pieces",
        "Throw out",
        "places:scrap_condemned",
        "places:ScrapCondemned",
        "places:scrapped",
        Field("what", "Only of", hint="Bag, box, step or assembly; empty: the whole machine"),
        Field("reason", "Why", option="--note", more=True),
        intro="Press Show first to see which.",
    ),
    Deed(
        "keep",
        "Keep as spares",
        "Record it",
        "places:keep",
        "places:KeepAsSpares",
        "places:kept",
        Field("what", "Which", hint=_ALL),
        line="Sound pieces that are left over",
    ),
    Deed(
        "assign",
        "Use for another joint",
        "Record it",
        "places:assign",
        "places:AssignPieces",
        "places:assigned",
        Field("what", "Which", hint="A loose piece as 0.1, or an item as 9.3"),
        Field("to", "The joint it is for", hint="As 7.2"),
        QUANTITY,
        Field("anyway", "Why another thing serves there", option="--anyway", more=True),
        Field("other", "Machine of that joint, if another", option="--of-machine", more=True),
        Field("place", "Only those in this place", option="--from", more=True),
        OF,
        line="Or say which joint a loose piece is of",
    ),
)
INQUIRIES = (
    Inquiry(
        "places",
        "What is where",
        "Show",
        "places:places",
        "places:ListPlaces",
        _in_lines,
        Field("within", "Only this box, shelf, bag or firm", hint="As box 3"),
        line="Which bag is in which box",
    ),
)
