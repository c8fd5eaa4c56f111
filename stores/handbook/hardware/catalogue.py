"""Every kind of hardware by name, and the standards' numbers that lead to it.

Inch sizes against tables that are mostly metric: say so, and by how much the nearest misses.

A metric piece is never said to fit an inch size: it is the nearest, with its misses, and the answer
says where there is no inch table. Fractions on an O-ring are names (AS568), not sizes.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from stores.errors import BadValue
from stores.handbook.hardware.bearings import rows as bearing_rows
from stores.handbook.hardware.bearings import twins
from stores.handbook.hardware.fixings import BULBS, HEADED, PINS_AND_KEYS, WASHERS
from stores.handbook.hardware.hexagons import HEXAGONS
from stores.handbook.hardware.model import (
    Dim,
    Kind,
    Match,
    Piece,
    Row,
    as_fraction,
    column,
    constant,
    shown,
)
from stores.handbook.hardware.sealing import O_RINGS, RETAINING_RINGS, SHAFT_SEALS, width_advice
from stores.handbook.hardware.sundries import SUNDRIES
from stores.text import fold

__all__ = [
    "EITHER",
    "STANDARDS",
    "all_kinds",
    "get_kind",
    "is_inch",
    "match_notes",
    "metric_is_near",
    "say_inches",
]


def _bearing_notes(row: Row) -> tuple[str, ...]:
    notes = [row["type"]]
    others = twins(row)
    if others:
        notes.append("same d, D, B, another type: " + "; ".join(others))
    if row["series"] in {"68", "69"}:
        thin = row["designation"][1:]
        small = len(row["designation"]) == 3
        notes.append(f"also called 61{thin[0]}{'/' if small else ''}{thin[1:]}")
    if row["series"] in {"RLS light inch", "RMS medium inch"}:
        size = row["designation"][3:]
        notes.append(f"cylindrical roller partner of the same sizes: {row['series'][1]}RJ{size}")
    return tuple(notes)


def _width(row: Row, _: float) -> tuple[float, float]:
    # Of a tapered or thrust bearing B is the width over both rings (ISO 492 and ISO 199, normal
    # class, from memory).
    if row["type"].startswith("tapered"):
        return (0.0, 0.2) if float(row["d_mm"]) <= 80 else (-0.2, 0.2)
    return (-0.25, 0.02) if row["type"].startswith("thrust") else (-0.12, 0.0)


_BEARING = Kind(
    "bearing",
    ("rolling bearing", "ball bearing", "roller bearing"),
    bearing_rows,
    (
        Dim("d", "bore", column("d_mm"), constant(-0.015)),
        Dim("D", "outside diameter", column("D_mm"), constant(-0.015)),
        Dim("B", "width", column("B_mm"), _width),
    ),
    lambda row: (
        f"magneto bearing {row['designation']}"
        if row["type"].startswith("magneto")
        else row["designation"]
    ),
    lambda row: row["standard"],
    lambda row: (row["designation"],),
    advice=(
        "all three of d, D and B identify a bearing; shields and seals do not change them from "
        "10 mm bore up",
        "copy every suffix, C3 above all: clearance cannot be read with a caliper",
    ),
    notes=_bearing_notes,
    fold=True,
)


@cache
def all_kinds() -> tuple[Kind, ...]:
    """Return every kind, in the order of the handbook."""
    return (
        _BEARING,
        *SHAFT_SEALS,
        *O_RINGS,
        *RETAINING_RINGS,
        *WASHERS,
        *PINS_AND_KEYS,
        *HEADED,
        *HEXAGONS,
        *SUNDRIES,
        *BULBS,
    )


@cache
def _by_word() -> dict[str, Kind]:
    found: dict[str, Kind] = {}
    for kind in all_kinds():
        for word in (kind.name, *kind.words):
            found.setdefault(_plain(word), kind)
    for standard, (name, _) in STANDARDS.items():
        found.setdefault(_plain(standard), found[_plain(name)])
    return found


def _plain(text: str) -> str:
    return "".join(char for char in text.casefold() if char.isalnum())


def get_kind(name: str) -> Kind:
    """Return a kind by its name, another word for it, its plural or a standard's number.

    Raises `BadValue` with the names there are.
    """
    words = _by_word()
    plain = _plain(name)
    either = EITHER.get(fold(name).removesuffix("s"))
    if either:
        raise BadValue(f"{name!r} is more than one kind: say {' or '.join(either)}")
    kind = words.get(plain) or words.get(plain.removesuffix("s"))
    if kind is None:
        known = ", ".join(kind.name for kind in all_kinds())
        raise BadValue(f"no kind of hardware called {name!r}; there are: {known}")
    return kind


# Words that leave the kind open.
EITHER: dict[str, tuple[str, ...]] = dict.fromkeys(
    ("circlip", "retaining ring", "snap ring"),
    ("external retaining ring", "internal retaining ring"),
)

# A standard's number -> the kind and what the row's own standard must begin with. Older DIN numbers
# lead to the ISO standard that took over their sizes.
STANDARDS: dict[str, tuple[str, str]] = {
    "DIN 471": ("external retaining ring", ""),
    "DIN 472": ("internal retaining ring", ""),
    "DIN 6799": ("e-clip", ""),
    "ISO 7089": ("plain washer", "ISO 7089"),
    "ISO 7090": ("plain washer", "ISO 7090"),
    "ISO 7092": ("plain washer", "ISO 7092"),
    "ISO 7093": ("plain washer", "ISO 7093-1"),
    "ISO 7093-1": ("plain washer", "ISO 7093-1"),
    "ISO 8738": ("plain washer", "ISO 8738"),
    "DIN 125": ("plain washer", "DIN 125"),
    "DIN 125-1": ("plain washer", "DIN 125"),
    "DIN 433": ("plain washer", "DIN 433"),
    "DIN 440": ("plain washer", "DIN 440"),
    "DIN 7349": ("plain washer", "DIN 7349"),
    "DIN 9021": ("plain washer", "DIN 9021"),
    "DIN 127": ("spring washer", ""),
    "DIN 6797": ("toothed washer", "DIN 6797"),
    "DIN 93": ("tab washer", "DIN 93"),
    "DIN 432": ("tab washer", "DIN 432"),
    "DIN 463": ("tab washer", "DIN 463"),
    "DIN 7603": ("sealing washer", ""),
    "ISO 1234": ("split pin", ""),
    "DIN 94": ("split pin", ""),
    "ISO 2338": ("dowel pin", "ISO 2338"),
    "DIN 7": ("dowel pin", "ISO 2338"),
    "ISO 8734": ("dowel pin", "ISO 8734"),
    "ISO 2339": ("taper pin", "ISO 2339"),
    "DIN 1": ("taper pin", "ISO 2339"),
    "DIN 6325": ("dowel pin", "ISO 8734"),
    "ISO 8752": ("slotted spring pin", ""),
    "DIN 1481": ("slotted spring pin", ""),
    "DIN 6888": ("woodruff key", ""),
    "ISO 3912": ("woodruff key", ""),
    "DIN 6885": ("parallel key", ""),
    "DIN 6885-1": ("parallel key", ""),
    "ISO 773": ("parallel key", ""),
    "ISO/R 773": ("parallel key", ""),
    "ISO 3290": ("steel ball", ""),
    "DIN 5401": ("steel ball", ""),
    "ISO 4014": ("hex bolt", "ISO 4014"),
    "ISO 4017": ("hex bolt", "ISO 4014"),
    "ISO 4014/4017": ("hex bolt", "ISO 4014"),
    "DIN 931": ("hex bolt", "DIN 931"),
    "DIN 933": ("hex bolt", "DIN 931"),
    "DIN 931/933": ("hex bolt", "DIN 931"),
    "ISO 4032": ("hex nut", "ISO 4032"),
    "ISO 4033": ("hex nut", "ISO 4033"),
    "ISO 4035": ("hex nut", "ISO 4035"),
    "DIN 934": ("hex nut", "DIN 934"),
    "DIN 439": ("hex nut", "DIN 439"),
    "DIN 935": ("castle nut", ""),
    "DIN 935-1": ("castle nut", ""),
    "ISO 4762": ("socket cap screw", ""),
    "DIN 912": ("socket cap screw", ""),
    "ISO 1207": ("slotted head", "ISO 1207"),
    "DIN 84": ("slotted head", "DIN 84"),
    "ISO 1580": ("slotted head", "ISO 1580"),
    "DIN 85": ("slotted head", "DIN 85"),
    "ISO 7045": ("slotted head", "ISO 7045"),
    "DIN 7985": ("slotted head", "ISO 7045"),
    "ISO 2009": ("slotted head", "ISO 2009"),
    "ISO 2010": ("slotted head", "ISO 2010"),
    "ISO 7046": ("slotted head", "ISO 7046"),
    "DIN 963": ("slotted head", "DIN 963"),
    "DIN 71412": ("grease nipple", ""),
    "ISO 6194": ("shaft seal", ""),
    "ISO 6194-1": ("shaft seal", ""),
    "DIN 3760": ("shaft seal", ""),
    "GOST 8752": ("shaft seal", ""),
    "AS568": ("o-ring", "AS568"),
    "ISO 3601": ("o-ring", ""),
    "ISO 3601-1": ("o-ring", ""),
    "DIN 3771": ("o-ring", "DIN 3771"),
    "JIS B 2401": ("o-ring", "JIS B 2401"),
}


def match_notes(found: Match) -> tuple[str, ...]:
    """Return the notes of a whole answer, the essential first.

    To the kind's advice comes what only the answer tells: neighbours that share two sizes, special
    bores.
    """
    if found.kind == "shaft seal":
        return (*_seal_notes(found), *found.notes)
    if found.kind != "bearing" or set(found.asked) != {"d", "D", "B"}:
        return found.notes
    if found.exact:
        all_three, copy = _BEARING.advice
        told = _bearing_match_notes(found)
        return (*found.notes[: -len(_BEARING.advice)], copy, *told, all_three)
    return (*_bearing_match_notes(found), *found.notes)


def _bearing_match_notes(found: Match) -> tuple[str, ...]:
    notes = []
    if not found.exact:
        near = [
            piece
            for piece in found.nearest
            if sum(abs(miss) <= 0.1 for miss in piece.misses.values()) == 2
        ]
        for piece in near[:3]:
            name, miss = max(piece.misses.items(), key=lambda entry: abs(entry[1]))
            notes.append(
                f"{piece.designation} shares two sizes: only {name} differs, by {miss:+.2f} mm"
            )
        if any(abs(piece.misses["d"]) > 0.1 for piece in near):
            notes.append(
                "a common series with a special bore exists (6202 with 15.875 = 5/8 in): "
                "check the bore again, and whether an inch bearing sits in a metric housing"
            )
    elif len(found.exact) > 1:
        notes.append(
            "the sizes fit more than one: tell them apart by the rolling elements and the rings"
        )
    shared = _neighbours(found)
    if shared:
        notes.append("same outside and width, another bore: " + ", ".join(shared))
    return tuple(notes)


def _seal_notes(found: Match) -> tuple[str, ...]:
    """Say what was taken for a seal's outside, and which other widths of the size there are."""
    notes = []
    if found.exact and found.exact[0].misses.get("D", 0.0) > found.error_mm:
        notes.append(
            f"D reads {found.exact[0].misses['D']:+.2f} mm: taken as the outside of a seal; "
            "if it is the bore, the bore is oversize"
        )
    for piece in found.nearest:
        beyond = piece.beyond
        if "b" in beyond and beyond["b"] and not any(beyond.get(name) for name in ("d1", "D")):
            advice = width_advice(found.asked["b"], piece.sizes["b"])
            notes.append(f"{piece.designation} is {advice}")
    return tuple(notes)


def _neighbours(found: Match) -> tuple[str, ...]:
    """Return bearings of the best type with the same D and B and another bore (607, 626, 635)."""
    if not found.exact:
        return ()
    sizes = found.exact[0].sizes
    return tuple(
        f"{row['designation']} ({shown(float(row['d_mm']))})"
        for row in bearing_rows()
        if row["type"].startswith("deep groove")
        and float(row["D_mm"]) == sizes["D"]
        and float(row["B_mm"]) == sizes["B"]
        and float(row["d_mm"]) != sizes["d"]
    )


_OF_INCHES = ("inch", "ASME", "AS568", "AS 568", "Whitworth", "Unified")


def is_inch(piece: Piece) -> bool:
    """Tell a piece of an inch list from a metric one."""
    return any(word in f"{piece.standard} {piece.designation}" for word in _OF_INCHES)


def metric_is_near(found: Match) -> Match:
    """Call no metric piece the one for sizes in inches: it is the nearest, and says how it misses.

    A 1/4 in bolt does not go through a spring washer for M6, whatever its tolerance would allow. A
    clip that closes over a range fits whatever lies in it.
    """
    if any(dim.ranged for dim in get_kind(found.kind).dims):
        return found
    exact = tuple(piece for piece in found.exact if is_inch(piece))
    if not any(is_inch(piece) for piece in (*found.exact, *found.nearest, *found.meant)):
        found = _only_metric(found)
    if exact or not found.exact:
        return replace(found, exact=exact)
    return replace(found, exact=(), nearest=(*found.exact, *found.nearest)[:5])


def _only_metric(found: Match) -> Match:
    kind = get_kind(found.kind)
    if any(word in kind.standard(row) for row in kind.rows() for word in _OF_INCHES):
        return found
    note = f"no inch sizes of the {found.kind} in these tables: what is named is metric"
    return replace(found, notes=(note, *found.notes))


def say_inches(found: Match, sizes_mm: Sequence[float]) -> Match:
    """Say of a size that fits nothing and is a fraction of an inch, 6.35 mm, that it is one.

    Sizes within 0.01 mm of a 32nd that are no half millimetre, as a caliper shows them.
    """
    if found.exact or found.question:
        return found
    said = [
        f"{size:g} mm is {as_fraction(size / 25.4)} in"
        for size in sizes_mm
        if 1 < size < 100
        and abs(size * 32 / 25.4 - round(size * 32 / 25.4)) * 25.4 / 32 < 0.01
        and abs(size * 2 - round(size * 2)) > 0.02
    ]
    if not said:
        return found
    found = _only_metric(found)
    return replace(found, notes=(*said, *found.notes))
