"""Pictures: taken in, tied to what they show, captioned; offers answered."""

from typing import TYPE_CHECKING

from stores.web.forms import Deed, Field, Inquiry
from stores.web.uploads import by_name
from stores.web.visit import Link

if TYPE_CHECKING:
    from stores.usecases.pictures import PicturesTaken
    from stores.wording import Said

_NUMBERS = Field("numbers", "Pictures", hint="Their numbers: 12, 12-15 or 3,9")


def _taken(reply: "PicturesTaken") -> "Said":
    from stores.wording.pictures import taken

    return taken(by_name(reply))


def _after_taking(reply: "PicturesTaken") -> list[Link]:
    return [Link("Look at the offers", "/pictures", large=True)] if reply.offered else []


DEEDS = (
    Deed(
        "pictures",
        "Add pictures",
        "Add them",
        "pictures:take_pictures",
        "pictures:TakePictures",
        _taken,
        Field("paths", "Pictures", "pictures", "JPEG or PNG", most=60),
        Field(
            "to",
            "What they show",
            hint="A step, bag or item: 7, A001N, 7.2. Empty: the labels in them say it",
            option="--to",
        ),
        Field("caption", "A line to print under them", option="--caption"),
        Field(
            "fast",
            "How far the camera's clock is fast",
            hint="Hours and minutes, as 1:02; -0:30 if it is slow. Empty: as said last",
            more=True,
            option="--fast",
        ),
        Field(
            "thorough",
            "Look harder for small or blurred labels; slow",
            "tick",
            more=True,
            option="--thorough",
        ),
        intro="A picture that shows one bag's label is filed under it. Others are offered to what "
        "is nearest in time. Each picture is kept once, however often it is sent.",
        fixed=lambda visit: {"folder": visit.house.pictures},
        next=_after_taking,
    ),
    Deed(
        "file-pictures",
        "File pictures",
        "File them",
        "pictures:file_pictures",
        "pictures:FilePictures",
        "pictures:filed",
        _NUMBERS,
        Field("to", "What they show", "lines", "A step, bag or item a line: 7, A001N, 7.2"),
        Field("takes_off", "They do not show it after all", "tick", option="--off"),
    ),
    Deed(
        "offers",
        "Answer offers",
        "Record it",
        "pictures:answer_offers",
        "pictures:AnswerOffers",
        "pictures:answered",
        Field("numbers", "Pictures", hint="Their numbers: 12, 12-15 or 3,9. Empty: all that wait"),
        Field("refuses", "They do not show it", "tick", option="--no"),
        intro="Yes, these pictures show what they were offered to; or no, with the tick.",
    ),
    Deed(
        "caption",
        "Write under pictures",
        "Write it",
        "pictures:caption_pictures",
        "pictures:CaptionPictures",
        "pictures:captioned",
        _NUMBERS,
        Field("text", "A line to print under them", hint="Empty: nothing"),
    ),
)
INQUIRIES = (
    Inquiry(
        "pictures",
        "Pictures on record",
        "Show",
        "pictures:pictures",
        "pictures:ListPictures",
        "pictures:listing",
        Field("offered", "Only those that wait for a yes", "tick", option="--offered"),
        Field("loose", "Only those that are tied to nothing", "tick", option="--loose"),
    ),
)
