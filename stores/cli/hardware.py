"""Hardware from its size: bearings, seals, O-rings, circlips, washers, pins, keys and balls."""

import re
from collections.abc import Sequence
from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.errors import BadValue

__all__: list[str] = []


@command(
    "hardware",
    "stores hardware bearing 20 47 14",
    "stores hardware shaft seal 20 35 7",
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
    from stores.core.hardware import by_designation, by_size, kinds

    typed = list(words or [])
    refuse_options(typed)
    if not typed:
        _show_kinds(kinds(), json_wanted=json)
        return
    kind, sizes = _kind_and_sizes(typed, kinds())
    if not kind:
        pieces = by_designation(" ".join(typed))
        if json:
            show.as_json([_piece_data(piece) for piece in pieces])
        else:
            for piece in pieces:
                _show_piece(piece)
        return
    match = by_size(kind, sizes)
    if json:
        show.as_json(
            {
                "exact": [_piece_data(piece) for piece in match.exact],
                "nearest": [_piece_data(piece) for piece in match.nearest],
                "notes": match.notes,
            }
        )
        return
    if not match.exact:
        show.say("None is just that size. The nearest, and by how much each misses:")
    for piece in match.exact[:1] or match.nearest[:5]:
        _show_piece(piece, misses=not match.exact)
    for piece in match.exact[1:]:
        first = f": {piece.notes[0]}" if piece.notes else ""
        show.paragraph(f"or {piece.designation}, {piece.standard}{first}", rest="    ")
    for note in match.notes:
        show.paragraph(note, bullet=True)


def _kind_and_sizes(typed: Sequence[str], known: Sequence[str]) -> tuple[str, list[float]]:
    """Part a kind, in one word or several, from the sizes that follow it."""
    at = next((i for i, word in enumerate(typed) if word[:1].isdigit() or word[:1] in ".−"), None)
    kind = " ".join(typed[:at]).casefold().strip()
    kind = {"oil seal": "shaft seal", "ball": "steel ball", "washer": "plain washer"}.get(
        kind, kind
    )
    if at is None or kind not in known:
        if at and kind and not any(c.isdigit() for c in kind) and len(typed) > at:
            near = [name for name in known if kind in name]
            if near:
                raise BadValue(f"which {kind}: {', '.join(near)}")
        return "", []
    text = " ".join(typed[at:]).casefold().replace("x", " ")
    text = re.sub(r"(\d)\s*mm\b", r"\1", text)
    text = re.sub(r"(\d)\s*(?:in\b|\")", r'\1"', text)
    return kind, [_millimetres(word) for word in text.split()]


def _millimetres(word: str) -> float:
    """Read a size in mm, or in inches where it is a fraction or says so."""
    from fractions import Fraction

    inches = "/" in word or word.endswith('"')
    try:
        value = Fraction(word.rstrip('"').replace(",", "."))
    except (ValueError, ZeroDivisionError):
        raise BadValue(f"not a size: {word[:40]!r}; in mm, or in inches as 3/16") from None
    return float(value) * (25.4 if inches else 1)


def _show_kinds(known: Sequence[str], *, json_wanted: bool) -> None:
    from stores.core.hardware import dimensions

    if json_wanted:
        show.as_json({kind: dimensions(kind) for kind in known})
        return
    show.table(
        ["Kind", "Sizes"],
        [[kind, ", ".join(label for _, label in dimensions(kind))] for kind in known],
    )


def _show_piece(piece: Any, *, misses: bool = False) -> None:
    sizes = ", ".join(f"{name} {value:g}" for name, value in piece.sizes.items())
    show.paragraph(f"{piece.designation}  {piece.kind}, {piece.standard}: {sizes}", rest="    ")
    if misses:
        said = ", ".join(f"{name} {miss:+g} mm" for name, miss in piece.misses.items() if miss)
        show.paragraph(f"measured beside it: {said}", first="    ", rest="    ")
    for note in piece.notes:
        show.paragraph(note, first="    ", rest="    ")


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
