"""What a person types, a kind and its sizes or a designation, in one answer.

::

    >>> ask("split pin 3.2 32").matches[0].exact[0].designation
    'ISO 1234 - 3.2 x 32'
    >>> ask("6204-2RS").pieces[0].designation
    '6204'
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware.catalogue import EITHER, all_kinds, get_kind, match_notes
from stores.handbook.hardware.contradiction import numbered_with_sizes
from stores.handbook.hardware.inches import metric_is_near, say_inches
from stores.handbook.hardware.match import match
from stores.handbook.hardware.meant import with_question
from stores.handbook.hardware.model import Kind, Match, Piece
from stores.handbook.hardware.orings import INCH_SECTIONS, NOMINAL, nominal_ring
from stores.handbook.hardware.pins import split_pin_for
from stores.handbook.hardware.reading import of_standard, read_designation

__all__ = ["Reply", "ask", "find", "wanted"]

_MM = 25.4
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
    """Do the work of `by_size` for one kind, notes and question included."""
    found = match(kind, sizes_mm, dims, standard, error_mm, limit)
    found = replace(found, notes=match_notes(found))
    return found if dims is not None else with_question(kind, found, sizes_mm, standard)


def ask(text: str) -> Reply:
    """Answer what a person types: "bearing 20 47 14", "3.2x32 split pin", "6204-2RS C3".

    Sizes are in mm; fractions and what says so are inches, and then numbers without a unit beside
    them too. They stand in the order of `asking` or are named: "groove on a shaft d2=19 m=1.3".
    Raises `BadValue`, `NotationError` or `NotFound` with what to do.
    """
    clean = _clean(text)
    if _TAPER_NUMBER.match(clean):
        return Reply(pieces=read_designation(clean))
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
    if _INCHES.search(clean):
        found = [metric_is_near(one) for one in found]
    else:
        bare = [size.value for size in sizes if size.unit != "in" and not size.name]
        found = [say_inches(one, bare) for one in found]
    types = frozenset("tapered" if stem == "taper" else stem for stem in _stem(words) - _BEARING)
    return Reply(matches=tuple(_of_type(one, types) for one in found))


_TAPER_NUMBER = re.compile(r"(?i)(?:taper(?:ed)?|conical) pins? *(?:no\b|#)")
_INCHES = re.compile(r"\d/(?:2|4|8|16|32|64)(?![\d/])|\d\s*(?:in|inch|inches|\")(?!\w)")


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
def _number() -> re.Pattern[str]:
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
    for read in _number().finditer(text):
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
    left = _number().sub(" ", text).casefold()
    words = [word.strip(".:;()") for word in left.split()]
    return [word for word in words if word and word not in _FILL], sizes


def _stem(words: Sequence[str]) -> frozenset[str]:
    parts = " ".join(words).replace("-", " ").split()
    return frozenset(part[:-1] if part.endswith("s") and len(part) > 3 else part for part in parts)


@cache
def _vocabulary() -> dict[frozenset[str], tuple[str, ...]]:
    """Give every word for a kind, the order of its parts left open, and the kinds it means."""
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
    """Give what a lone number names: bearing 6204, O-ring 214, Woodruff key 404, bulb caps."""
    figures = {"bearing": 3, "o-ring": 3, "woodruff key": 3, "bulb cap": 1}.get(kind.name)
    lone = len(sizes) == 1 and not sizes[0].unit and not sizes[0].name
    if figures is None or not lone or "." in text.removesuffix(".5"):
        return ()
    if len(sizes[0].text.partition(".")[0]) < figures:
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
    """Give a size in mm; ``bare`` is the unit of a number that does not say its own."""
    unit = size.unit or ("in" if "/" in size.text else bare)
    return size.value * (_MM if unit == "in" else 1.0)


def _threaded(kind: Kind, sizes: Sequence[_Size]) -> list[str]:
    """Give the order of sizes that begin with a thread, M8 x 40; none where M8 x 1 is a pitch."""
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
    """Give the ways to read whole numbers before fractions: joined where they can, and apart."""
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
    """Give the nearest of a standard's list for a size that it does not have."""
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
    """Give in words the sizes that a kind is asked for by."""
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
