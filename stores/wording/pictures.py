"""Pictures, in words."""

from typing import TYPE_CHECKING

from stores.planning.pictures import listed
from stores.text import day_words, join
from stores.wording import Listing, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.planning.pictures import PictureOnRecord
    from stores.usecases.pictures import (
        NotTaken,
        OffersAnswered,
        Pictures,
        PicturesCaptioned,
        PicturesFiled,
        PicturesTaken,
        UnclearLabels,
    )

__all__ = [
    "HINTS",
    "REFUSALS",
    "answered",
    "captioned",
    "filed",
    "listing",
    "moment",
    "none_taken",
    "taken",
    "taken_before",
    "without_pictures",
]

_MOST_SHOWN = 12
"""Refused files named one by one."""

REFUSALS = {
    "no folder for pictures": (
        "{stores} is no file: say where its pictures are kept with " + to_type("--pictures FOLDER")
    ),
    "no file or folder": "no file or folder {path}",
    "not a clock": "{typed!r}: write hours and minutes, 1:02, or -0:30 for a slow clock",
    "pictures not tied": "none of these pictures is filed under {what}",
    "file under what": (
        "say what picture {numbers} shows: a step, a bag or an item, or several of them"
    ),
    "nothing offered": ("no picture waits for a yes or no: " + quoted("{hint}") + " shows them"),
    "no picture taken in": (
        "no picture of {machine} was taken in: " + to_type("stores photo add FOLDER")
    ),
    "no picture of that assembly": (
        "no picture of assembly {assembly!r}: " + quoted("{hint}") + " shows them"
    ),
    "no step to show": "there is no step {step}: loose pieces have no step to show",
    "pictures upside down": "pictures {typed}: the smaller number first, from 1",
    "too many pictures": "at most {most} pictures in one go: send the rest after these",
    "no code in the picture": (
        "no label was read in this picture: photograph the label flat, out of the glare, filling a "
        "third of the picture; or type its code"
    ),
    "no picture sent": "no picture was chosen: choose one or more, then send again",
    "picture file gone": (
        "the kept file of picture {number} of {machine} is not there, or is no picture any more: "
        "take the picture in again"
    ),
    "no such pictures": lambda numbers, machine, last: (
        f"no picture {listed(numbers)} of {machine}: "
        + (f"they run up to {last}" if last else "none was taken in yet")
    ),
}
HINTS: dict[str, str] = {}


def taken(reply: "PicturesTaken") -> Said:
    """Return what became of pictures, and what to know of them."""
    lines = ["No new picture."]
    if reply.numbers:
        span = listed(reply.numbers)
        lines = [f"{len(reply.numbers)} new on {reply.machine}, numbered {span}"]
    if reply.known:
        lines.append(f"{reply.known} already on record, kept once")
    if reply.kept_again:
        lines.append(
            f"{len(reply.kept_again)} kept again, the kept file was missing or overwritten: "
            f"picture {listed(reply.kept_again)}"
        )
    for words, counts in (("filed under", reply.filed), ("offered to", reply.offered)):
        lines += [f"  {count:>4}  {words} {name}" for name, count in counts.items()]
    notes = [f"{each.file}: {_unclear(each)}" for each in reply.unclear]
    if reply.clock_seconds is not None:
        clock = _clock(reply.clock_seconds)
        notes.append(f"the camera's clock: {clock}, as last time; if not, say {to_type('--fast')}")
    notes += [_line(each) for each in reply.lost]
    notes += [f"not taken: {_line(each)}" for each in reply.refused[:_MOST_SHOWN]]
    if len(reply.refused) > _MOST_SHOWN:
        more = len(reply.refused) - _MOST_SHOWN
        notes.append(f"not taken: {more} more; {to_type('--json')} lists them all")
    if reply.left_alone:
        more = len(reply.left_alone) - 6
        names = ", ".join(reply.left_alone[:6]) + (f" and {more} more" if more > 0 else "")
        notes.append(f"not pictures, skipped: {names}")
    bullets = [f"- {note}" for note in notes]
    if reply.offered:
        bullets.append(
            f"If that is right: {to_type('stores photo accept')} "
            f"(to see them: {to_type('stores photo list --offered')})"
        )
    return Said(lines, bullets)


def none_taken(reply: "PicturesTaken") -> str:
    """Say that all that was given was refused, and why the first of them."""
    more = len(reply.refused) - 3
    said = "; ".join(_line(each) for each in reply.refused[:3])
    return f"no picture was taken: {said}{f'; and {more} more' if more > 0 else ''}"


def taken_before() -> Said:
    """Return what is said of pictures that came a second time with what they belong to."""
    return Said(("Its pictures are on record too.",))


def without_pictures(refusal: str) -> Said:
    """Return what is said where a thing was recorded and its pictures were not."""
    return Said((), ("It is recorded, its pictures are not.", refusal))


def filed(reply: "PicturesFiled") -> Said:
    """Return what pictures are tied to, or no longer are."""
    word = "no longer under" if reply.taken_off else "filed under"
    return Said((f"Picture {listed(reply.numbers)} {word} {join(reply.what)}",))


def answered(reply: "OffersAnswered") -> Said:
    """Return how many offers were accepted or refused, and of what."""
    word = "refused" if reply.refused else "accepted"
    return Said((f"{len(reply.numbers)} {word}: {', '.join(reply.what)}",))


def captioned(reply: "PicturesCaptioned") -> Said:
    """Return what stands under pictures."""
    return Said((f"Picture {listed(reply.numbers)}: {reply.text or 'no caption'}",))


def listing(reply: "Pictures") -> Listing:
    """Return the pictures as a table."""
    return Listing(
        ["No.", "Taken", "Shows", "Caption", "File"],
        [
            [
                str(each.number),
                moment(each.taken),
                _shows(each),
                each.caption,
                each.name,
            ]
            for each in reply.pictures
        ],
        [0],
        f"No pictures of {reply.machine} to list.",
    )


def _shows(picture: "PictureOnRecord") -> str:
    names = [each.what for each in picture.kept] + [f"snag {each}" for each in picture.snags]
    return ", ".join([*names, *(f"{each.what}?" for each in picture.offers)])


def _line(each: "NotTaken") -> str:
    return f"{each.file}: {each.reason}"


def _unclear(each: "UnclearLabels") -> str:
    notes = []
    if len(each.seen) > 1:
        every = "both" if len(each.seen) == 2 else "all"
        notes.append(f"shows the labels of {join(each.seen)}: offered to {every}")
    if each.unknown:
        none = "which is no bag here" if len(each.unknown) == 1 else "which are no bags here"
        notes.append(f"shows {join(each.unknown)}, {none}")
    if each.foreign:
        one = len(each.foreign) == 1
        notes.append("shows a code that is no bag's" if one else "shows other codes")
    return "; ".join(notes)


def _clock(seconds: int) -> str:
    hours, rest = divmod(abs(seconds), 3600)
    clock = f"{hours}:{rest // 60:02}" + (f":{rest % 60:02}" if rest % 60 else "")
    return f"{clock} {'fast' if seconds > 0 else 'slow'}"


def moment(taken: str) -> str:
    """Return when a picture was taken: ``3 Nov 2026, 14:05``; as it is where that is no moment."""
    try:
        day = day_words(taken[:10])
    except ValueError:
        return taken
    return f"{day}, {taken[11:16]}" if len(taken) > 10 else day
