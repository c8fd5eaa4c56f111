"""Hardware from its size: bearings, seals, O-rings, circlips, washers, pins, keys and balls."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options

__all__: list[str] = []

# What a person at the bench reads to the end; --json has the rest.
_NOTES = {"bearing": 3}
_MOST_NOTES = 5
_MOST_OTHERS = 8
_MOST_NEAR = 3
# Up to so many sizes the letters are known: d, D, B.
_PLAIN_SIZES = 3


@command(
    "hardware",
    "stores hardware bearing 20 47 14",
    "stores hardware shaft seal 20 35 7",
    "stores hardware split pin 3.2 32",
    "stores hardware bearing 3/4 1 7/8 9/16",
    'stores hardware "6204-2RS C3"',
    takes_minus=True,
)
def hardware(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="KIND SIZES | NAME",
            help="A kind and its sizes in mm, or a designation; without anything, the kinds.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """What to order: bearings, seals, O-rings, circlips, washers, pins, keys and balls by size."""
    from stores.handbook.hardware import ask

    typed = list(words or [])
    refuse_options(typed)
    if not typed:
        _show_kinds(json_wanted=json)
        return
    reply = ask(" ".join(typed))
    if json:
        show.as_json(_reply_data(reply))
        return
    if reply.pieces:
        _show_pieces(reply.pieces)
        return
    fits = [match for match in reply.matches if match.exact or match.question] or reply.matches
    for match in fits:
        _show_match(match, several=len(reply.matches) > 1)
    last = fits[-1]
    _show_notes(last.exact or last.meant, last.notes)


def _show_pieces(pieces: Sequence[Any]) -> None:
    for piece in pieces[:_MOST_OTHERS]:
        _show_piece(piece)
        for note in _own(piece)[: _most(piece)]:
            show.paragraph(note, first="    ", rest="    ")
    if len(pieces) > _MOST_OTHERS:
        show.say(f"(and {len(pieces) - _MOST_OTHERS} more of that name, with --json)")
    _show_notes(pieces[:1], ())


def _show_kinds(*, json_wanted: bool) -> None:
    from stores.handbook.hardware import called, dimensions, kinds, typed

    if json_wanted:
        show.as_json({kind: dimensions(kind) for kind in kinds()})
        return
    show.table(["Kind", "Sizes, in this order"], [[called(kind), typed(kind)] for kind in kinds()])


def _show_match(match: Any, *, several: bool) -> None:
    from stores.handbook.hardware import called

    if match.exact:
        _show_fitting(match.exact)
        return
    what = f"No {called(match.kind)}" if several else "None"
    if match.question:
        show.paragraph(f"{what} is just that size in mm: {match.question}:")
        _show_fitting(match.meant)
        return
    show.paragraph(f"{what} is just that size. The nearest, and by how much each misses:")
    for piece in match.nearest[:_MOST_NEAR]:
        _show_piece(piece, only=set(piece.misses))
        said = ", ".join(
            f"{name} {miss:+g} mm" if miss else f"{name} fits"
            for name, miss in piece.misses.items()
        )
        show.paragraph(f"measured beside it: {said}", first="    ", rest="    ")


def _show_fitting(pieces: Sequence[Any]) -> None:
    """Show the first with its sizes and name the rest."""
    best, *others = pieces
    _show_piece(best)
    for note in _own(best)[: _most(best)]:
        show.paragraph(note, first="    ", rest="    ")
    if best.kind == "bearing":
        _show_other_bearings(best, others)
        return
    for piece in others[:_MOST_OTHERS]:
        begins = piece.standard.partition(" (")[0]
        standard = "" if piece.designation.startswith(begins) else f", {piece.standard}"
        note = f": {piece.notes[0]}" if piece.notes else ""
        show.paragraph(f"or {piece.designation}{standard}{note}", rest="    ")
    if len(others) > _MOST_OTHERS:
        show.say(f"(and {len(others) - _MOST_OTHERS} more that fit, with --json)")


def _show_other_bearings(best: Any, others: Sequence[Any]) -> None:
    """Name bearings of other sizes, those of one size together; same sizes stand in a note."""
    by_sizes: dict[str, list[str]] = {}
    for piece in others:
        if dict(piece.sizes) != dict(best.sizes):
            by_sizes.setdefault(", ".join(_sizes(piece, None)), []).append(piece.designation)
    for sizes, names in list(by_sizes.items())[:_MOST_OTHERS]:
        show.paragraph(f"or {sizes}: {', '.join(names)}", rest="    ")
    if len(by_sizes) > _MOST_OTHERS:
        show.say(f"(and {len(by_sizes) - _MOST_OTHERS} more sizes, with --json)")


def _show_piece(piece: Any, *, only: set[str] | None = None) -> None:
    sizes = ", ".join(_sizes(piece, only))
    from stores.handbook.hardware import called

    known = called(piece.kind)
    kind = piece.kind if piece.kind in known else known
    if kind == "bearing":
        kind = f"bearing ({piece.notes[0]})"
    show.paragraph(f"{piece.designation}  {kind}, {piece.standard}: {sizes}", rest="    ")


def _sizes(piece: Any, only: set[str] | None) -> Iterator[str]:
    """Give a piece's sizes, with its limits: "d 2.7 to 2.9", "h 1.6 (at most 1.8)"."""
    sizes: dict[str, float] = dict(piece.sizes)
    for name, value in sizes.items():
        if (only and name not in only) or name.startswith("shaft_"):
            continue  # which shafts it is for stands in a note
        if only is None and name.endswith(("_min", "_max", "_tol")):
            continue
        said = f"{name} {value:g}"
        if (low := sizes.get(f"{name}_min")) is not None:
            said = f"{name} {low:g} to {value:g}"
        elif (high := sizes.get(f"{name}_max")) is not None:
            said += f" (at most {high:g})"
        elif (spread := sizes.get(f"{name}_tol")) is not None:
            said += f" ±{spread:g}"
        yield said


def _show_notes(pieces: Sequence[Any], notes: Sequence[str]) -> None:
    """Show the essential notes of the whole answer, as many as the piece's own leave room for."""
    best = pieces[0] if pieces else None
    most = _most(best) if best is not None else _MOST_NEAR
    own = len(_own(best)) if best is not None else 0
    room = max(0, most - own)
    for note in notes[:room]:
        show.paragraph(note, bullet=True)
    if best is not None and len(best.sizes) > _PLAIN_SIZES:
        show.paragraph(f"in mm: {', '.join(_legend(best))}", bullet=True)
    left = max(0, own - most) + len(notes[room:])
    if left:
        show.say(f"({left} more {'note' if left == 1 else 'notes'} with --json)")


def _legend(piece: Any) -> Iterator[str]:
    from stores.handbook.hardware import dimensions

    words = dict(dimensions(piece.kind))
    for name in piece.sizes:
        hidden = name.startswith("shaft_") or name.endswith(("_min", "_max", "_tol"))
        if not hidden and not words.get(name, name).startswith(name):
            yield f"{name} = {words[name]}"


def _most(piece: Any) -> int:
    return _NOTES.get(piece.kind, _MOST_NOTES)


def _own(piece: Any) -> list[str]:
    """Give a piece's notes but for what stands in the heading, the warning first."""
    notes = list(piece.notes[1:] if piece.kind == "bearing" else piece.notes)
    return sorted(notes, key=lambda note: "from memory" not in note)


def _reply_data(reply: Any) -> Any:
    """Give pieces as a list; an answer by size as its parts, or a list of them where several."""
    if reply.pieces:
        return [_piece_data(piece) for piece in reply.pieces]
    data = [
        {
            "kind": match.kind,
            "asked_mm": dict(match.asked),
            "exact": [_piece_data(piece) for piece in match.exact],
            "nearest": [_piece_data(piece) for piece in match.nearest],
            "notes": match.notes,
            "question": match.question,
            "meant": [_piece_data(piece) for piece in match.meant],
        }
        for match in reply.matches
    ]
    return data[0] if len(data) == 1 else data


def _piece_data(piece: Any) -> dict[str, Any]:
    return {
        "designation": piece.designation,
        "kind": piece.kind,
        "standard": piece.standard,
        "sizes": dict(piece.sizes),
        "misses": dict(piece.misses),
        "source": piece.source,
        "notes": piece.notes,
    }
