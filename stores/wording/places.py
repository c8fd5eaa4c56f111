"""Pieces and places, in words: what was moved, lost, thrown out, and what is where."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stores.model.stock import this_much
from stores.planning.places import count_words, moved_words
from stores.text import counted, either, join, many, plural
from stores.wording import Said

if TYPE_CHECKING:
    from stores.planning.places import PlaceLine
    from stores.usecases.places import (
        PiecesAssigned,
        PiecesKept,
        PiecesLost,
        PiecesMoved,
        PiecesOfItem,
        PiecesRecovered,
        PiecesScrapped,
        PlacesListed,
        PlacesStowed,
    )

    Taken = (
        PiecesMoved | PiecesLost | PiecesRecovered | PiecesScrapped | PiecesAssigned | PiecesKept
    )
from stores.wording.common import pieces_there
from stores.wording.marks import to_type
from stores.wording.stock import too_little

__all__ = [
    "HINTS",
    "REFUSALS",
    "assigned",
    "index",
    "kept",
    "kept_all",
    "lost",
    "moved",
    "piece_lines",
    "recovered",
    "scrapped",
    "size_of",
    "stowed",
    "throw_out",
    "to_throw_out",
]


def _none_condemned(name: str, patterns: tuple[str, ...]) -> str:
    if patterns:
        return (
            f"the condemned pieces of {name} are patterns ({', '.join(patterns)}), one of each, "
            "kept until the new one is on: to throw one out, say how many"
        )
    return f"nothing of {name} is condemned"


REFUSALS = {
    "fewer were lost": "only {lost} of {item} were recorded lost",
    "none was lost": "nothing of {what} was recorded lost",
    "nothing to throw out": "nothing in {what} to throw out yet: old pieces are kept as patterns "
    "until the new ones fit; to throw them out, say how many",
    "nothing condemned": _none_condemned,
    "same joint": "{to} is the same joint",
    "nothing left over": "nothing of {machine} is left over",
    "not left over": lambda what, pieces: f"nothing of {what} is left over: {pieces_there(pieces)}",
    "none of it sound": lambda what, pieces, hint: (
        f"nothing of {what} was found serviceable: {pieces_there(pieces)}; inspect it first: {hint}"
    ),
    "which of them": lambda quantity, what, pieces, conditions: (
        f"{quantity} of {what}: which? {pieces_there(pieces)}; say it with "
        f"{to_type(f'--of {either(conditions)}')}, or {to_type('--from PLACE')}"
    ),
    "another thing belongs there": "{item} is {text}, but {to_item} needs {wanted}. "
    "If it will do all the same, say why: {hint}",
    "no piece in hand to assign": lambda what, pieces: (
        f"no piece of {what} is to hand: {pieces_there(pieces)}"
    ),
    "no such piece to take": lambda what, pieces: (
        f"no piece of {what} can be taken from there: {pieces_there(pieces)}"
    ),
    "what goes where": "say what goes where: {hint}",
    "a bag in a bag": "a bag goes into a box or on to a shelf, not into a bag",
    "no such bag or box": (
        lambda names, near: (
            f"no bag or box called {', '.join(names)}"
            + (f"; did you mean {either(near)}?" if near else "")
        )
    ),
    "inside itself": "{name} cannot sit inside itself",
    "inside what it holds": "{inside} sits in {name}: take it out first",
    "nothing in this place": "nothing is in {place!r}",
    "nothing in the stores": "nothing is in the stores now",
}
HINTS = {
    "assign": "stores piece assign {what} {to} --anyway {anyway}",
    "stow": 'stores place stow A001N "box 3"',
}


def moved(reply: "PiecesMoved") -> Said:
    """Return where pieces are now."""
    place = reply.place
    return _taken(reply, f"now {place.kind.at(place.name)}{' (new place)' if place.new else ''}")


def lost(reply: "PiecesLost") -> Said:
    """Return what cannot be found."""
    return _taken(reply, f"lost at {reply.firm}" if reply.firm else "lost")


def recovered(reply: "PiecesRecovered") -> Said:
    """Return what turned up, and where it is now."""
    where = " and ".join(place.kind.at(place.name) for place in reply.places)
    return _taken(reply, f"found, now {where}")


def scrapped(reply: "PiecesScrapped") -> Said:
    """Return what was thrown out, and of what one was kept."""
    return _thrown_out(reply, "scrapped")


def to_throw_out(reply: "PiecesScrapped") -> Said:
    """Return what would be thrown out, for the question whether it is to be."""
    return _thrown_out(reply, "to throw out")


def _thrown_out(reply: "PiecesScrapped", where: str) -> Said:
    kept = f"Kept as a pattern until the new one fits, one of {', '.join(reply.patterns)}"
    return Said(_taken(reply, where).lines, (kept,) if reply.patterns else ())


throw_out = "Throw these out?"
kept_all = f"Nothing was thrown out. To do it: the same command with {to_type('--yes')}"


def kept(reply: "PiecesKept") -> Said:
    """Return what the workshop keeps as spares, and what is left over yet."""
    rest = [
        f"Still left over, not inspected or not sound: {', '.join(map(_one, reply.not_sound))}; "
        f"inspect them, or throw them out with {to_type('stores piece scrap all left over')}"
    ]
    return Said(
        (
            f"{counted(reply.pieces)} kept as spares{_tag(reply)}",
            *piece_lines(reply.items),
        ),
        rest if reply.not_sound else (),
    )


def _one(each: "PiecesOfItem") -> str:
    return f"{many(each.quantity, each.text)} ({each.item})"


def assigned(reply: "PiecesAssigned") -> Said:
    """Return which joint pieces belong to now, and what their own is owed."""
    own = reply.items[0]
    pieces = counted(reply.pieces)
    names = " and ".join(dict.fromkeys(each.text for each in reply.items))
    place = f", in place of {reply.in_place_of}" if reply.in_place_of else ""
    owed = f"{own.item} on {reply.machine} is now short of {pieces}: on the shopping list"
    return Said(
        (
            f"{pieces} of {own.item} {names} now for {reply.to_item} {reply.to_part}{place}"
            f"{_tag(reply)}",
        ),
        ((owed,) if reply.owed else ()) + too_little(reply.kept_for, ""),
    )


def stowed(reply: "PlacesStowed") -> Said:
    """Return which bag is in which box now."""
    inside = reply.inside
    new = (f"New place: {inside.name}",) if inside.new else ()
    return Said((*new, f"{', '.join(reply.stowed)} now {inside.kind.at(inside.name)}"))


def index(reply: "PlacesListed") -> list[str]:
    """Return the places, a line each, after how many there are."""
    total = count_words(
        sum(line.pieces for line in reply.places), sum(line.amounts for line in reply.places)
    )
    lines = [f"{plural(len(reply.places), 'place')}, {total}"]
    for line in reply.places:
        inside = f"  in {line.inside}" if line.inside else ""
        lines.append(f"{line.name}{inside}: {line.counts}, {_of_steps(line)}: {line.what}")
    if reply.empty:
        lines.append(f"Empty: {', '.join(reply.empty)}")
    return lines


def _of_steps(line: "PlaceLine") -> str:
    """Return which steps pieces are of: ``steps 2 and 3``, ``step 7 and loose``, ``loose``."""
    numbers = sorted({each.step for each in line.held if each.step})
    loose = any(not each.step for each in line.held)
    steps = f"{'step' if len(numbers) == 1 else 'steps'} " + join([str(each) for each in numbers])
    return " and ".join([*([steps] if numbers else []), *(["loose"] if loose else [])])


def piece_lines(items: "Iterable[PiecesOfItem]") -> list[str]:
    """Return pieces, a line for each item."""
    return [
        f"  {each.item}  {this_much(each.quantity, each.unit, each.text)}"
        + (f", {each.condition}" if each.condition is not None and not each.unit else "")
        for each in items
    ]


def size_of(items: "Iterable[PiecesOfItem]") -> str:
    """Return how much these are: 4 pieces, or 30 ml."""
    return moved_words((each.quantity, each.unit) for each in items)


def _taken(reply: "Taken", where: str) -> Said:
    head = f"{size_of(reply.items)} {where}{_tag(reply)}"
    return Said((head, *piece_lines(reply.items)))


def _tag(reply: "Taken") -> str:
    return f"  [{reply.machine}]" if reply.other_machines else ""
