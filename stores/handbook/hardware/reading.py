"""Designations as people write them, read back to the rows of the tables.

A bearing's number with sizes beside it: they agree, or one of the two was misread.

What was meant, where sizes fit nothing as they stand: inches, centimetres, another order.

What a person types, a kind and its sizes or a designation, in one answer.

::

    >>> ask("split pin 3.2 32").matches[0].exact[0].designation
    'ISO 1234 - 3.2 x 32'
    >>> ask("6204-2RS").pieces[0].designation
    '6204'
"""

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import permutations

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware import bearings
from stores.handbook.hardware.catalogue import (
    EITHER,
    STANDARDS,
    all_kinds,
    get_kind,
    is_inch,
    match_notes,
    metric_is_near,
    say_inches,
)
from stores.handbook.hardware.fixings import cap_of_category, key_for_shaft, split_pin_for
from stores.handbook.hardware.hexagons import HEXAGONS, hexagons_of, slotted_of
from stores.handbook.hardware.inch_washers import screw_outside_mm
from stores.handbook.hardware.match import fits, is_listed, lengths, match, piece
from stores.handbook.hardware.model import Kind, Match, Piece, Row, as_fraction, shown
from stores.handbook.hardware.sealing import (
    INCH_SECTIONS,
    NOMINAL,
    materials,
    nominal_ring,
    seal_type,
)
from stores.handbook.hardware.sundries import gudgeon_clip, rivet_with_length
from stores.handbook.table import table

__all__ = [
    "Reply",
    "ask",
    "find",
    "numbered_with_sizes",
    "of_standard",
    "read_designation",
    "wanted",
    "with_question",
]


# ISO 898-1, ISO 898-2 and ISO 3506 classes as they end a designation: "- 8.8", "- 8", "- A2-70".
_PROPERTY_CLASS = re.compile(
    r"-\s*(?:[4-9]|1[02]|0[45]|[4-689]\.[689]|1[02]\.9|A[1-5]-\d{2})\s*$", re.IGNORECASE
)


@cache
def _standard() -> re.Pattern[str]:
    return re.compile(
        r"""(?P<body>DIN\s*EN\s*ISO|DIN\s*ISO|BS\s*EN\s*ISO|EN\s*ISO|ISO/R|DIN|ISO|GOST|JIS\s*B|AS)
            [\s-]*(?P<number>\d{1,5}(?:/\d{4}|/933)?)(?P<rest>.*)""",
        re.VERBOSE | re.IGNORECASE,
    )


@cache
def _size() -> re.Pattern[str]:
    return re.compile(
        r"""\d+\s+\d+/\d+ | \d+/\d+(?:-\d+\s*(?:BSF|UNF))? | G\d+/\d+
          | M?\d+(?:\.\d+)?""",
        re.VERBOSE | re.IGNORECASE,
    )


def read_designation(text: str) -> tuple[Piece, ...]:
    """Return the rows that a designation names: "6204-2RS C3", "DIN 471 - 20", "20 x 35 x 7".

    More than one row where the text leaves it open. Raises `NotationError` when it cannot be read
    and `NotFound` when it is read but the tables do not have it.

    DIN 471 has a groove of 19 mm, 1.3 mm wide, for a ring for 20 mm:

    >>> ring = read_designation("DIN 471 - 20")[0]
    >>> ring.sizes["d2"], ring.sizes["m"]
    (19.0, 1.3)
    """
    clean = " ".join(units.spelt(text).replace("*", "x").replace("⌀", "").split())
    clean = re.sub(r"(?<=\d),(?=\d)", ".", clean)
    if not clean:
        raise NotationError("no designation", text)
    for reader in (
        _read_named,
        _read_taper_pin,
        _read_standard,
        _read_bulb,
        _read_dash,
        _read_worded,
        _read_bare,
        _read_bearing,
    ):
        found = reader(clean)
        if found and reader is _read_bulb:
            found = (*found, *(_read_bearing(clean) or ()))  # E10 is a lamp's thread and a bearing
        if found is not None:
            if not found:
                raise NotFound(f"{text!r} is not in the tables: measure it and ask by size")
            return found
    raise NotationError(
        "not read as a designation (as 6204-2RS, DIN 471 - 20, 20 x 35 x 7 seal, AS568-214)", text
    )


_NAMED = r"(?i)\b(?:nut|bolt|washer|chain|clip|rivet)s?\b"


def _read_named(text: str) -> tuple[Piece, ...] | None:
    """Read a piece by the very name that we give it: chain 428, 1/4 BSW/BSF nut, hose clip 1A.

    Only kinds without a standard's number in their names; the words may stand in any order.
    """
    if not re.search(_NAMED, text):
        return None
    wanted = sorted(text.casefold().split())
    found = tuple(
        piece(kind, row)
        for kind in all_kinds()
        if kind.name in _BY_NAME
        for row in kind.rows()
        if sorted(kind.designate(row).casefold().split()) == wanted
    )
    return found or None


_BY_NAME = {
    "plain washer", "spring washer", "toothed washer", "inch nut", "inch bolt head",
    "roller chain", "hose clip", "blind rivet",
}  # fmt: skip


def of_standard(text: str) -> tuple[Kind, str, str, str] | None:
    """Return the kind, the beginning of its rows' standard, the name and the rest of a text.

    As "DIN 471 - 20": None where it does not begin with the number of a standard that is known.
    """
    read = _standard().match(text)
    if read is None:
        return None
    body = "ISO" if read["body"].upper().endswith("ISO") else " ".join(read["body"].upper().split())
    if body == "JIS B" and not read["number"].startswith("2401"):
        return None
    number, rest = read["number"], read["rest"]
    name = f"AS{number}" if body == "AS" else f"{body} {number}"
    part = re.match(r"-(\d)(?![\d.])", rest)
    if part and f"{name}-{part[1]}" in STANDARDS:
        name, rest = f"{name}-{part[1]}", rest[part.end() :]
    if name not in STANDARDS:
        return None
    kind_name, begins = STANDARDS[name]
    return get_kind(kind_name), begins, name, rest


def _read_standard(text: str) -> tuple[Piece, ...] | None:
    read = of_standard(text)
    if read is None:
        return None
    kind, begins, name, rest = read
    form = re.match(r"[\s-]*(?:form\s+)?([ABCR])(?=[\s\d-]|$)", rest, re.IGNORECASE)
    letter = ""
    if form:
        letter, rest = form[1].upper(), rest[form.end() :]
    rows = [row for row in kind.rows() if kind.standard(row).startswith(begins)]
    if letter:
        lettered = [row for row in rows if _has_form(kind.standard(row), letter)]
        rows = lettered or rows
    return _pieces(kind, rows, rest, name)


def _has_form(standard: str, letter: str) -> bool:
    return re.search(rf"[- ]{letter}(?:\s|$)", standard) is not None


def _read_taper_pin(text: str) -> tuple[Piece, ...] | None:
    """Read the number of an inch pin, "taper pin No 7/0", which is no diameter."""
    read = re.fullmatch(
        r"(?i)(?:taper(?:ed)?|conical) pins?\s*(?:no\.?|#)\s*(\d{1,2}(?:/0)?)(?:\s*x\s*([\d.]+))?",
        text,
    )
    if read is None:
        return None
    kind = get_kind("taper pin")
    length = float(read[2]) if read[2] else None
    return tuple(
        piece(kind, row, length=length) for row in kind.rows() if row["name"] == f"No {read[1]}"
    )


def _read_bulb(text: str) -> tuple[Piece, ...] | None:
    kind = get_kind("bulb cap")
    word = re.sub(r"(?i)\b(?:bulb|cap|lamp)\b", "", text).strip()
    category = cap_of_category(word)
    cap = category[0] if category else word
    found = tuple(piece(kind, row) for row in kind.rows() if row["cap"].upper() == cap.upper())
    return found or None


def _read_dash(text: str) -> tuple[Piece, ...] | None:
    read = re.fullmatch(
        r"(?:(?:o-?\s?ring|dash|AS\s?568)[A-Z]?[\s-]*)*-?(?:dash\s*)?(\d{3})",
        text,
        re.IGNORECASE,
    )
    if read is None or not re.match(r"[-oda]", text, re.IGNORECASE):
        return None
    kind = get_kind("o-ring")
    return tuple(piece(kind, row) for row in kind.rows() if row.get("dash") == read[1])


def _read_worded(text: str) -> tuple[Piece, ...] | None:
    """Read "split pin 3.2 x 20", "5/32 ball", "20x35x7 oil seal": a kind's words and sizes."""
    words = re.sub(r"[^a-z -]", " ", _size().sub(" ", text).casefold())
    words = " ".join(
        word
        for word in words.split()
        if word not in {"x", "mm", "in", "-", "for", "no", "nr"}
        and not (len(word) > 1 and _is_seal_code(word))
    )
    either = EITHER.get(words.rstrip("s"))
    if either:
        kinds = [get_kind(name) for name in either]
    else:
        kinds = [
            kind
            for kind in all_kinds()
            if any(words.rstrip("s") == word.rstrip("s") for word in (kind.name, *kind.words))
        ][:1]
    if not kinds or kinds[0].name == "bearing":
        return None
    codes = [word for word in re.findall(r"[a-z]{2,}", text, re.IGNORECASE) if _is_seal_code(word)]
    meanings = tuple(f"{code}: {one.meaning}" for code in codes for one in seal_type(code))
    found = (one for kind in kinds for one in _pieces(kind, kind.rows(), text))
    return tuple(replace(one, notes=(*one.notes, *meanings)) if meanings else one for one in found)


def _read_bearing(text: str) -> tuple[Piece, ...] | None:
    mark = re.sub(r"(?i)\b(?:magneto|bearings?)\b", "", text).strip(" ,-")
    if mark == text and re.fullmatch(r"(?i)m\d+", mark):
        return None  # a thread, unless the word bearing stands by it
    try:
        read = bearings.explain(mark)
    except NotationError:
        return None
    kind = get_kind("bearing")
    clear = ""
    if read.clearance_um is not None:
        low, high = read.clearance_um
        clear = f"{low:g} to {high:g} micrometres, unfitted"
    group = read.clearance_group
    said = tuple(
        f"{suffix}: {meaning}" + (f", {clear}" if clear and suffix == group else "")
        for suffix, meaning in read.suffixes
    )
    if clear and all(suffix != group for suffix, _ in read.suffixes):
        said += (f"{group} clearance {clear}",)
    found = (piece(kind, row) for row in bearings.find(mark))
    return tuple(
        replace(one, notes=(*one.notes[:1], *said, *one.notes[1:], *read.notes)) for one in found
    )


def _read_bare(text: str) -> tuple[Piece, ...] | None:
    """Read "20 x 35 x 7" or "20 x 35 x 7 TC NBR": a seal, or the bearings of those sizes."""
    read = re.fullmatch(r"([\d.]+)\s*x\s*([\d.]+)\s*x\s*([\d.]+)(?:\s*mm)?((?:\s+\w+)*)", text)
    if read is None:
        return None
    codes = read[4].split()
    if any(not _is_seal_code(code) for code in codes):
        return None
    sizes = [_number(read[at]) for at in (1, 2, 3)]
    found: list[Piece] = []
    for name in ("shaft seal",) if codes else ("shaft seal", "bearing"):
        kind = get_kind(name)
        found.extend(
            piece(kind, row)
            for row in kind.rows()
            if [dim.value(row) for dim in kind.dims] == sizes
        )
    meanings = tuple(f"{code}: {kind.meaning}" for code in codes for kind in seal_type(code))
    return tuple(replace(one, notes=(*one.notes, *meanings)) for one in found)


def _is_seal_code(word: str) -> bool:
    return bool(seal_type(word)) or any(one.code == word.upper() for one in materials())


def _pieces(kind: Kind, rows: Iterable[Row], rest: str, standard: str = "") -> tuple[Piece, ...]:
    """Find the rows that the sizes in the text name; a last size may be a length."""
    if re.search(r"(?i)M\d", rest):
        rest = _PROPERTY_CLASS.sub("", rest)
    if kind.name == "dowel pin":
        rest = re.sub(r"(?<=[\d\s])[mhH][678]\b", " ", rest)
    rest = re.sub(r"(?i)\b\d+\s*HV\b", " ", rest)
    sizes = [" ".join(size.split()) for size in _size().findall(rest)]
    jis = re.search(r"\b([PG]\d+(?:\.\d+)?A?)\b", rest)
    if kind.name == "o-ring" and jis:
        sizes = [jis[1], *sizes[1:]]
    pitched = re.search(r"(?i)M\d+x[\d.]+", rest.replace(" ", ""))
    if kind.name == "grease nipple" and pitched:
        sizes = [pitched[0]]
    if not sizes:
        return ()
    unit = "mm" if re.search(r"\d\s*mm\b", rest) else "in" if re.search(r"\d\s*in\b", rest) else ""
    called = [(row, _called(kind, row, sizes[0], unit)) for row in rows]
    best = min((at for _, at in called if at is not None), default=None)
    found = [row for row, at in called if at is not None and at == best]
    for at, size in enumerate(sizes[1:]):
        if at < len(kind.follow):
            found = [row for row in found if _is(kind, row, kind.follow[at], size)]
        elif not kind.length:
            return ()
    length, extra = _length(kind, sizes[0], sizes[1 + len(kind.follow) :], standard)
    pieces = (piece(kind, row, length=length) for row in found)
    return tuple(replace(one, notes=(*one.notes, *extra)) if extra else one for one in pieces)


def _length(
    kind: Kind, first: str, sizes: list[str], standard: str
) -> tuple[float | None, tuple[str, ...]]:
    """Return the length if the standard lists it, or a note if not. A pitch may stand before it."""
    length = _number(sizes[-1]) if sizes else None
    thread = _number(first.upper().removeprefix("M")) if first.upper().startswith("M") else None
    if length is None or (thread is not None and len(sizes) == 1 and length <= thread / 5):
        return None, ()
    name = standard if is_listed(standard) else kind.length_standard
    steps = lengths(name)
    if length in steps:
        return length, ()
    longer = [step for step in steps if step > length]
    after = f", the next is {longer[0]:g}" if longer else ""
    return None, (f"{length:g} is no standard length of {name}{after}",)


def _called(kind: Kind, row: Row, size: str, unit: str) -> int | None:
    """Return which of the row's names the size is, 0 the one its standard uses; None for none.

    "M2" is a thread only: the hole of the M1.8 washer is 2 too.
    """
    if kind.name == "steel ball" and unit and not row["nominal"].endswith(unit):
        return None
    upper = size.upper()
    value = None if upper.startswith("M") else _number(upper)
    for at, name in enumerate(kind.names(row)):
        if name.upper() == upper:
            return 0 if upper.startswith("M") else at
        if value is not None and _number(name) == value:
            return at
    return None


def _is(kind: Kind, row: Row, name: str, size: str) -> bool:
    dim = kind.dim(name)
    value = dim.value(row) if dim else None
    return value is not None and value == _number(size)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


# No bearing of these tables has a size so large, in mm.
_NO_SIZE = 600

_NEAR_MM = 0.25


def numbered_with_sizes(numbers: list[tuple[str, float]]) -> tuple[Piece, ...]:
    """Read "bearing 6204 14": the number's bearings, if every size said is one of theirs.

    ``numbers`` are the figures as typed with their value in mm. Empty when none of them is the
    number of a bearing. Raises `BadValue` when a size contradicts the number.
    """
    for at, (text, value) in enumerate(numbers):
        if len(numbers) < 2 or value < _NO_SIZE or not re.fullmatch(r"\d{3,5}", text):
            continue
        try:
            pieces = read_designation(f"bearing {text}")
        except (NotationError, NotFound):
            continue
        rest = [size for n, (_, size) in enumerate(numbers) if n != at]
        sizes = pieces[0].sizes
        known = [sizes[name] for name in ("d", "D", "B") if name in sizes]
        odd = [size for size in rest if all(abs(size - own) > _NEAR_MM for own in known)]
        if odd:
            said = " x ".join(f"{own:g}" for own in known)
            raise BadValue(
                f"bearing {text} is {said} mm, and {odd[0]:g} mm is none of these: read the number "
                "again, or give the sizes without it"
            )
        return pieces
    return ()


_MM = 25.4
# Above this many inches no piece of these tables is asked for in inches.
_INCHES = 12.0


def with_question(
    kind: Kind, found: Match, sizes_mm: Sequence[float | None], standard: str | None
) -> Match:
    """Add the question whether something else was meant, where that fits and the sizes do not."""
    sizes = [size for size in sizes_mm if size is not None]
    if found.exact or len(sizes) != len(sizes_mm):
        return found
    for question, other in _readings(sizes):
        if not fits(kind, other) or (kind.length and other[-1] < min(other[:-1], default=0.0)):
            continue  # nothing of a length is asked for shorter than it is thick
        try:
            meant = match(kind, other, None, standard, None, 0)
        except BadValue:
            continue
        if meant.exact:
            words = [dim.words for name in meant.asked if (dim := kind.dim(name)) is not None]
            said = question.format(order=", ".join(words))
            if "inches" in said and not any(is_inch(piece) for piece in meant.exact):
                said = said.replace(" in fits", " in; the nearest is metric")
            return replace(found, question=said, meant=meant.exact)
    return _inches_that_fit_nothing(kind, found, sizes, standard)


def _inches_that_fit_nothing(
    kind: Kind, found: Match, sizes: Sequence[float], standard: str | None
) -> Match:
    """Ask whether it was inches where no table has those either: circlip 1, dowel 0.25 x 1.

    That is so of a lone size below half the smallest, and of sizes in 32nds that are no tenths.
    """
    if not (found.nearest or kind.same) or max(sizes) > _INCHES:
        return found
    misses_mm = _misses(found) if found.nearest else ()
    least = min(
        (abs(size - miss) for size, miss in zip(sizes, misses_mm, strict=False)), default=0.0
    )
    lone = len(sizes) == 1 and sizes[0] * 2 <= least <= sizes[0] * _MM
    if not lone and not _thirty_seconds(sizes):
        return found
    inches = [size * _MM for size in sizes]
    meant = match(kind, inches, None, standard, None, 1)
    if not meant.nearest:
        said = (
            f"did you mean {' x '.join(map(as_fraction, sizes))} in, "
            f"{' x '.join(map(shown, inches))} mm? Not in our list either: ask for it by its size"
        )
        return replace(found, question=said) if kind.same else found
    misses = ", ".join(f"{name} {miss:+g}" for name, miss in meant.nearest[0].misses.items())
    said = (
        f"did you mean {' x '.join(map(as_fraction, sizes))} in, "
        f"{' x '.join(map(shown, inches))} mm? None is that either; the nearest misses by "
        f"{misses} mm"
    )
    if lone:
        said = f"the smallest is {shown(least)} mm; {said}"
    return replace(found, question=said, meant=meant.nearest[:1])


def _misses(found: Match) -> Sequence[float]:
    return tuple(found.nearest[0].misses.values())


def _thirty_seconds(sizes: Sequence[float]) -> bool:
    """Tell sizes that are written as inches: one below 1, all in 32nds, not all in tenths."""
    return (
        min(sizes) < 1
        and all(size * 32 == int(size * 32) for size in sizes)
        and any(not math.isclose(size * 10, round(size * 10)) for size in sizes)
    )


def _readings(sizes: Sequence[float]) -> Iterator[tuple[str, list[float]]]:
    whole = all(size == int(size) for size in sizes)
    if max(sizes) <= _INCHES and not (whole and len(sizes) == 1):
        inches = " x ".join(as_fraction(size) for size in sizes)
        yield f"did you mean inches? {inches} in fits", [size * _MM for size in sizes]
    if len(sizes) < 2:
        return
    if max(sizes) <= _INCHES and not _thirty_seconds(sizes):
        tens = [round(size * 10, 6) for size in sizes]
        yield f"did you mean cm? {' x '.join(map(shown, tens))} mm fits", tens
    if len(sizes) > 4:
        return
    for order in permutations(range(len(sizes))):
        other = [sizes[at] for at in order]
        if not all(math.isclose(a, b) for a, b in zip(other, sizes, strict=True)):
            yield f"did you mean {' x '.join(map(shown, other))} ({{order}})? That fits", other


_MM_front = 25.4
# Words that say nothing about the kind.
_FILL = {
    "x",
    "for",
    "of",
    "a",
    "an",
    "the",
    "by",
    "and",
    "size",
    "sizes",
    "long",
    "dia",
    "no",
    "nr",
}

_SIGNS = str.maketrans({"*": "x", "⌀": "", "Ø": "", "ø": ""})


@dataclass(frozen=True, slots=True)
class Reply:
    """The answer: by size one match for each kind that the words leave open, or pieces by name."""

    matches: tuple[Match, ...] = ()
    pieces: tuple[Piece, ...] = ()


@dataclass(frozen=True, slots=True)
class _Size:
    """A number as typed, its value and its unit: "mm", "in" or "" for unsaid."""

    text: str
    value: float
    unit: str
    name: str = ""
    thread: bool = False


def find(
    kind: Kind,
    sizes_mm: Sequence[float | None],
    dims: Sequence[str] | None = None,
    standard: str | None = None,
    error_mm: float | None = None,
    limit: int = 5,
) -> Match:
    """Find the designations that measured sizes fit, and the nearest with their misses.

    ``sizes_mm`` are in the order of the trade, nominal first and length last; fewer may be given,
    None stands for one not measured; or name them with ``dims``, as ``dims=["d2", "m"]``.
    ``standard`` keeps only one standard's rows. ``error_mm`` is the measuring error (the kind's own
    when None: 0.05 for a caliper on metal, 0.1 on rubber, 0.01 to 0.02 where a micrometer is
    needed), added to the piece's own tolerance. Raises `BadValue` for a size that cannot be.

    ISO 15: a bore of 20, an outside of 47 and a width of 14 mm is a 6204:

    >>> from stores.handbook.hardware.catalogue import get_kind
    >>> "6204" in [piece.designation for piece in find(get_kind("bearing"), [20, 47, 14]).exact]
    True
    """
    found = match(kind, sizes_mm, dims, standard, error_mm, limit)
    found = replace(found, notes=match_notes(found))
    return found if dims is not None else with_question(kind, found, sizes_mm, standard)


def ask(text: str) -> Reply:
    """Answer what a person types: "bearing 20 47 14", "3.2x32 split pin", "6204-2RS C3".

    Sizes are in mm; fractions and what says so are inches, and then numbers without a unit beside
    them too. They stand in the order of the trade or are named: "groove on a shaft d2=19 m=1.3".
    Raises `BadValue`, `NotationError` or `NotFound` with what to do.

    >>> [piece.designation for piece in ask("6204-2RS C3").pieces]
    ['6204']
    """
    clean = _FLATS.sub(r"s=\1 \2", _clean(text))
    if served := _by_what_it_serves(clean):
        return served
    words, sizes = _parted(clean)
    kinds = _kinds(words)
    if not kinds:
        return _by_name(clean, words, sizes)
    if not sizes:
        raise BadValue(f"which {' '.join(words)}? Give its sizes in mm: {wanted(kinds[0])}")
    minus = re.search(r"(?<![\w.])-\d[\d.]*", clean)
    if minus and kinds[0].name != "o-ring":
        raise BadValue(f"{minus[0]}: a size must be more than zero")
    if kinds[0].name == "split pin" and len(sizes) == 1 and sizes[0].thread:
        return Reply(pieces=(split_pin_for(sizes[0].value),))
    if any(size.thread for size in sizes) and not _threaded(kinds[0], sizes):
        return Reply(pieces=read_designation(clean))
    named = _numbered(kinds[0], sizes, clean)
    if not named and kinds[0].name == "bearing":
        named = numbered_with_sizes([(size.text, _in_mm(size, "mm")) for size in sizes])
    if named:
        return Reply(pieces=named)
    found = [_best(kind, sizes) for kind in kinds]
    inches = bool(_INCHES_front.search(clean))
    found += _hexagons_in_inches(kinds, sizes)
    if inches:
        found = [metric_is_near(one) for one in found]
    else:
        bare = [size.value for size in sizes if size.unit != "in" and not size.name]
        found = [say_inches(one, bare) for one in found]
    types = frozenset("tapered" if stem == "taper" else stem for stem in _stem(words) - _BEARING)
    return Reply(matches=tuple(_of_type(one, types) for one in found))


def _hexagons_in_inches(kinds: Sequence[Kind], sizes: Sequence[_Size]) -> list[Match]:
    """Return the inch nuts or heads that the sizes of a nut or bolt fit too; empty for none.

    17.4 across the flats may be an M10 of old or a 7/16 UNF. A thread, M8, asks for none.
    """
    partner = {"hex nut": HEXAGONS[0], "hex bolt": HEXAGONS[1]}.get(kinds[0].name)
    if partner is None or any(size.thread for size in sizes):
        return []
    if any(size.name and partner.dim(size.name) is None for size in sizes):
        return []
    if len(sizes) > len(partner.orders[0]):
        return []
    found = _best(partner, sizes)
    return [replace(found, nearest=(), question="")] if found.exact else []


_FLATS = re.compile(
    r"(?i)(?<![\w.=])(\d+(?:\.\d+)?(?:/\d+)?) *(mm|in)? *(?:a */? *f|across (?:the )?flats)(?!\w)"
)
"""``17 af``, ``7/16 a/f``: the size across flats, by name."""

_KEY_OF_SHAFT = re.compile(
    r"(?i)(?:parallel )?keys? (?:for )?(?:a )?(?:shaft|on shaft) (?:of )?(\d+(?:\.\d+)?)(?: ?mm)?"
    r"|(?:parallel )?keys? for (?:a )?(\d+(?:\.\d+)?)(?: ?mm)? shaft"
)


def _by_what_it_serves(text: str) -> Reply | None:
    """Read what is asked for by what it goes on: the key of a shaft, the washer of a thread.

    So are a taper pin's number, a bulb by volts and watts, a rivet and its length, the clearance of
    a bore, the hexagons of a thread. None for other text.
    """
    if _TAPER_NUMBER.match(text):
        return Reply(pieces=read_designation(text))
    if by_shaft := _KEY_OF_SHAFT.fullmatch(text):
        return Reply(pieces=(key_for_shaft(float(by_shaft[1] or by_shaft[2])),))
    gudgeon_clip(text)
    if pieces := (
        _bulbs_by_watts(text)
        or rivet_with_length(text)
        or bearings.clearance_groups(text)
        or hexagons_of(text)
        or slotted_of(text)
    ):
        return Reply(pieces=pieces)
    washers = _washers_of_thread(text)
    return Reply(matches=(washers,)) if washers else None


def _washers_of_thread(text: str) -> Match | None:
    """Read "washer 5/16 BSF", "2BA spring washer", "#10 washer": by the thread, in inches or BA."""
    from stores.handbook.thread import Series, get

    read = re.search(r"(?i)(?<!\w)(?:[a-z]+ )*washers?\b", text)
    if not read:
        return None
    # Of "1/4 UNF spring washer" the words from "spring" on are the kind.
    words = read[0].split()
    wide = next((at for at in range(len(words)) if _kinds([w.casefold() for w in words[at:]])), 0)
    kinds = _kinds([word.casefold() for word in words[wide:]])
    rest = " ".join([text[: read.start()], *words[:wide], text[read.end() :]])
    rest = " ".join(rest.split()).removeprefix("for ").removesuffix(" for")
    if not kinds or _THREAD_OF not in [dim.words for dim in kinds[0].dims]:
        return None
    if number := re.fullmatch(r"#(\d{1,2})", rest):
        outside = screw_outside_mm(rest) if int(number[1]) <= 12 else None
    else:
        try:
            thread = get(rest)
        except (NotationError, NotFound, BadValue):
            return None
        outside = None if thread.series is Series.METRIC else thread.major_mm
    if outside is None:
        return None
    return metric_is_near(find(kinds[0], [outside], ("thread",)))


_THREAD_OF = "thread or pin it is for"


def _bulbs_by_watts(text: str) -> tuple[Piece, ...]:
    """Read "bulb 6V 21W", "bulb 12V 21/5W": the lamps of those watts and their caps.

    The categories of UNECE Regulation 37 are of 12 V; a lamp of the same cap and watts is made for
    6 V too (common practice).
    """
    watts = re.search(r"(?i)(?<![\w/.])(\d+(?:\.\d+)?(?: ?/ ?\d+)?) ?w(?:atts?)?(?!\w)", text)
    if not watts or not re.search(r"(?i)\b(?:bulb|lamp)s?\b", text):
        return ()
    volts = re.search(r"(?i)(?<![\w.])(6|12|24) ?v(?:olts?)?(?!\w)", text)
    wanted = watts[1].replace(" ", "")
    kind = get_kind("bulb cap")
    caps: dict[str, list[str]] = {}
    for row in table("hardware_bulb_categories"):
        own = re.fullmatch(r"[A-Z]+(\d+(?:\.\d+)?(?:/\d+)?)W", row["category"])
        if own and own[1] == wanted:
            caps.setdefault(row["cap"], []).append(row["category"])
    said = f"order it by cap, {volts[1]} V and {wanted} W: look at the old cap" if volts else (
        f"order it by cap, volts (6 or 12) and {wanted} W: look at the old cap"
    )  # fmt: skip
    return tuple(
        replace(found, notes=(f"{', '.join(names)}: {said} (common practice)", *found.notes))
        for cap, names in caps.items()
        for row in kind.rows()
        if row["cap"] == cap
        for found in [piece(kind, row)]
    )


_TAPER_NUMBER = re.compile(r"(?i)(?:taper(?:ed)?|conical) pins? *(?:no\b|#)")

_INCHES_front = re.compile(r"\d/(?:2|4|8|16|32|64)(?![\d/])|\d\s*(?:in|inch|inches|\")(?!\w)")


def _of_type(found: Match, types: frozenset[str]) -> Match:
    """Keep the bearings of the type that was asked for: needle, thrust, roller."""
    if found.kind != "bearing" or not types:
        return found

    def kept(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
        said = ((piece, _stem([piece.notes[0].replace(",", " ")])) for piece in pieces)
        return tuple(piece for piece, stems in said if types <= stems)

    kind = get_kind("bearing")
    sizes = list(found.asked.values())
    every = match(kind, sizes, list(found.asked), None, None, len(kind.rows()))
    exact, near, meant = kept(every.exact), kept(every.nearest), kept(found.meant)
    if not exact and not near:
        raise BadValue(f"no {' '.join(sorted(types))} bearing in the tables; leave the type out")
    question = found.question if meant else ""
    found = replace(every, exact=exact, nearest=near[:5], meant=meant, question=question)
    return replace(found, notes=match_notes(found))


def _clean(text: str) -> str:
    text = units.spelt(text).translate(_SIGNS)
    text = re.sub(r"(?<=\d),(?=\d)|(?:(?<=x)|(?<=x )|^),(?=\d)", ".", text)
    return " ".join(text.replace(",", " ").split())


@cache
def _size_pattern() -> re.Pattern[str]:
    return re.compile(
        r"""(?<![\w./=])(?:(?P<name>[a-z]\w*)\s*=\s*)?-?(?P<thread>M)?
            (?P<value>\d+/\d+|\d+(?:\.\d+)?|\.\d+)
            (?:\s*(?P<unit>mm|millimet(?:re|er)s?|inch(?:es)?|in|")(?![a-z]))?
            (?![\w./])""",
        re.VERBOSE | re.IGNORECASE,
    )


def _parted(text: str) -> tuple[list[str], list[_Size]]:
    """Part the words from the sizes. A word with a figure in it, as M8, stays a word."""
    text = re.sub(r"(?<=[\d\"])\s*(mm|in)?\s*x\s*(?=[\d.])", r" \1 ", text, flags=re.IGNORECASE)
    # 20/35/7 and 20-35-7 are three sizes, 1-7/8 is one of two.
    three = r"(?<![\w./-])(\d+(?:\.\d+)?)([-/])(\d+(?:\.\d+)?)\2(\d+(?:\.\d+)?)(?![\w./-])"
    text = re.sub(three, r"\1 \3 \4", text)
    text = re.sub(r"(?<![\w./])(\d+)- ?(?=\d+/\d)", r"\1 ", text)
    sizes = []
    for read in _size_pattern().finditer(text):
        try:
            value = float(units.value(read["value"]))
        except NotationError:
            raise BadValue(f"not a size: {read['value']}") from None
        unit = (read["unit"] or "")[:1].casefold()
        sizes.append(
            _Size(
                read["value"],
                value,
                "mm" if unit == "m" else "in" if unit else "",
                read["name"] or "",
                bool(read["thread"]),
            )
        )
    left = _size_pattern().sub(" ", text).casefold()
    words = [word.strip(".:;()") for word in left.split()]
    return [word for word in words if word and word not in _FILL], sizes


def _stem(words: Sequence[str]) -> frozenset[str]:
    parts = " ".join(words).replace("-", " ").split()
    return frozenset(part[:-1] if part.endswith("s") and len(part) > 3 else part for part in parts)


@cache
def _vocabulary() -> dict[frozenset[str], tuple[str, ...]]:
    """Return every word for a kind, the order of its parts left open, and the kinds it means."""
    known: dict[frozenset[str], tuple[str, ...]] = {}
    for kind in all_kinds():
        for word in (kind.name, *kind.words, kind.called):
            plain = word.replace("(", "").replace(")", "")
            if plain and not plain[-1].isdigit():
                known.setdefault(_stem([plain]), (kind.name,))
    for word, names in EITHER.items():
        known[_stem([word])] = names
    return known


# What a bearing may be called beside its sizes, as its type in the tables has it.
_BEARING = frozenset({"bearing", "rolling"})

_TYPES = _stem(
    [
        "deep groove ball roller needle thrust tapered taper self aligning angular contact",
        "cylindrical spherical magneto miniature inch drawn cup",
    ]
)


def _kinds(words: Sequence[str]) -> tuple[Kind, ...]:
    if not words:
        return ()
    stems = _stem(words)
    if "bearing" in stems and stems - _BEARING <= _TYPES and stems - _BEARING != {"ball", "loose"}:
        return (get_kind("bearing"),)
    return tuple(get_kind(name) for name in _vocabulary().get(_stem(words), ()))


def _numbered(kind: Kind, sizes: Sequence[_Size], text: str) -> tuple[Piece, ...]:
    """Return what a lone number names: bearing 6204, O-ring 214, Woodruff key 404, bulb caps."""
    figures = {
        "bearing": 3, "o-ring": 3, "woodruff key": 3, "bulb cap": 1, "roller chain": 3,
    }.get(kind.name)  # fmt: skip
    lone = len(sizes) == 1 and not sizes[0].unit and not sizes[0].name
    if figures is None or not lone or "." in text.removesuffix(".5"):
        return ()
    if "/" in sizes[0].text or len(sizes[0].text.partition(".")[0]) < figures:
        return ()
    try:
        return read_designation(text)
    except NotFound:
        if kind.name != "o-ring":
            raise
    except NotationError:
        pass
    return ()


def _best(kind: Kind, sizes: Sequence[_Size]) -> Match:
    """Find the sizes; where "2 9/16" may be one size or two, as it fits."""
    refused: BadValue | None = None
    found: list[Match] = []
    for reading in _mixed(sizes):
        inches = any(size.unit == "in" or "/" in size.text for size in reading)
        bare = "in" if inches and not any(size.unit == "mm" for size in reading) else "mm"
        values = [_in_mm(size, bare) for size in reading]
        if kind.name.startswith("o-ring") and len(values) > 1:
            values[1] = INCH_SECTIONS.get(reading[1].text, values[1])
        names = _threaded(kind, reading) or [size.name for size in reading]
        dims = names if all(names) else None
        if any(names) and dims is None:
            raise BadValue(f"name every size or none: {', '.join(filter(None, names))} are named")
        try:
            one = find(kind, values, dims)
            nominal = nominal_ring(values, [size.text for size in reading]) if inches else None
            dash = any(piece.designation.startswith("AS568") for piece in one.exact)
            if nominal and not dash and kind.name == "o-ring" and not any(names):
                one = find(kind, nominal, ("ID", "CS"))
                one = replace(one, notes=(NOMINAL, *one.notes))
        except BadValue as error:
            refused = refused or error
            continue
        if one.exact:
            return one
        found.append(one)
    if not found:
        assert refused is not None
        raise _explained(kind, sizes, refused)
    return found[0]


def _in_mm(size: _Size, bare: str) -> float:
    """Return a size in mm; ``bare`` is the unit of a number that does not say its own."""
    unit = size.unit or ("in" if "/" in size.text else bare)
    return size.value * (_MM_front if unit == "in" else 1.0)


def _threaded(kind: Kind, sizes: Sequence[_Size]) -> list[str]:
    """Return the order of sizes that begin with a thread, M8 x 40; none where M8 x 1 is a pitch."""
    first, *rest = sizes
    fine = any(size.value <= first.value / 5 for size in rest[:1])
    if not first.thread or fine or any(size.thread or size.name for size in rest):
        return []
    by_thread = {dim.name for dim in kind.dims if dim.words.startswith("thread ")}
    orders = (order for order in kind.orders if order[0] in by_thread)
    return next((list(order[: len(sizes)]) for order in orders if len(order) >= len(sizes)), [])


def _explained(kind: Kind, sizes: Sequence[_Size], refused: BadValue) -> BadValue:
    """Say the order in words when there are too many sizes."""
    most = max(len(order) for order in kind.orders)
    if len(sizes) <= most:
        return refused
    words = [dim.words for name in max(kind.orders, key=len) if (dim := kind.dim(name)) is not None]
    return BadValue(
        f"{len(sizes)} sizes for a {kind.name}: give {', '.join(words)}, or name them "
        f"(as {kind.dims[-1].name}=...)"
    )


def _mixed(sizes: Sequence[_Size]) -> Iterator[list[_Size]]:
    """Return the ways to read whole numbers before fractions: joined where they can, and apart."""
    joined: list[_Size] = []
    for size in sizes:
        before = joined[-1] if joined else None
        if (
            before is not None
            and "/" in size.text
            and size.value < 1
            and not before.unit
            and not size.name
            and before.text.isdigit()
        ):
            value = before.value + size.value
            joined[-1] = _Size(f"{before.text} {size.text}", value, size.unit, before.name)
        else:
            joined.append(size)
    yield joined
    apart = list(sizes)
    if len(apart) == len(joined):
        return
    # One of the pairs apart, then all: 3/4 2 11/16 is three sizes, 1 7/8 1 1/2 9/16 too.
    for at, size in enumerate(apart[:-1]):
        if size.text.isdigit() and "/" in apart[at + 1].text:
            yield [*_joined(apart[: at + 1]), *_joined(apart[at + 1 :])]
    yield apart


def _joined(sizes: Sequence[_Size]) -> list[_Size]:
    return next(_mixed(sizes)) if sizes else []


def _by_name(text: str, words: Sequence[str], sizes: Sequence[_Size]) -> Reply:
    """Read a designation; where it is none, say what is wrong with the words."""
    if not words and len(sizes) == 3 and not any(size.name or size.thread for size in sizes):
        both = ("bearing", "shaft seal")
        tried = tuple(_best(get_kind(kind), sizes) for kind in both)
        return Reply(matches=tuple(one for one in tried if one.exact) or tried)
    if not words and len(sizes) == 2 and not any(size.name or size.thread for size in sizes):
        sections = (_best(get_kind(kind), sizes) for kind in ("parallel key", "o-ring"))
        if found := tuple(one for one in sections if one.exact):
            return Reply(matches=found)
    try:
        return Reply(pieces=read_designation(text))
    except (NotationError, NotFound) as error:
        near = _near_of_standard(text) if isinstance(error, NotFound) else None
        if near is not None:
            return Reply(matches=(near,))
        if not words or any(char.isdigit() for word in words for char in word):
            raise
        raise _unknown(words) from None


def _near_of_standard(text: str) -> Match | None:
    """Return the nearest of a standard's list for a size that it does not have."""
    read = of_standard(text)
    if read is None:
        return None
    kind, begins, _, rest = read
    words, sizes = _parted(re.sub(r"^[\s-]*(?:[ABCR](?=[\s\d-]))?[\s-]*", "", rest))
    if words or not sizes:
        return None
    try:
        found = find(kind, [size.value for size in sizes], standard=begins or None)
    except BadValue:
        return None
    return None if found.exact else found


def wanted(kind: Kind) -> str:
    """Return in words the sizes that a kind is asked for by."""
    usual = (dim.words for name in kind.orders[0] if (dim := kind.dim(name)) is not None)
    return kind.typed or ", ".join(usual)


def _unknown(words: Sequence[str]) -> BadValue:
    """Say which word is no kind, or no size, and what it may have been."""
    from difflib import get_close_matches

    stems = _stem(words)
    inside = [known for known in _vocabulary() if known <= stems]
    if inside:
        known = max(inside, key=len)
        kind = get_kind(_vocabulary()[known][0])
        odd = next(word for word in words if not _stem([word]) & known)
        return BadValue(f"{odd[:40]!r} is not a size; a {kind.name} has {wanted(kind)}")
    over = [known for known in _vocabulary() if stems < known]
    if over:
        names = dict.fromkeys(name for known in over for name in _vocabulary()[known])
        return BadValue(f"which {' '.join(words)}: {', '.join(names)}")
    said = " ".join(words)
    named = {" ".join((kind.name,)): kind for kind in all_kinds()}
    named |= {word: kind for kind in all_kinds() for word in kind.words}
    close = get_close_matches(said, [*named, *EITHER], n=1, cutoff=0.7)
    if close:
        return BadValue(f"no kind of hardware called {said[:40]!r}: did you mean {close[0]}?")
    return BadValue(
        f"no kind of hardware called {said[:40]!r}, nor a designation; without anything, the "
        "command lists the kinds"
    )
