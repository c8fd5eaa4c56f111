"""Designations as people write them, read back to the rows of the tables."""

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from stores import units
from stores.errors import NotationError, NotFound
from stores.handbook.hardware import bearings
from stores.handbook.hardware.bulbs import cap_of_category
from stores.handbook.hardware.catalogue import EITHER, STANDARDS, all_kinds, get_kind
from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import Kind, Piece, Row
from stores.handbook.hardware.seals import materials, seal_type
from stores.handbook.hardware.steps import is_listed, lengths

__all__ = ["of_standard", "read_designation"]


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
    """Do the work of `by_designation`."""
    clean = " ".join(units.spelt(text).replace("*", "x").replace("⌀", "").split())
    clean = re.sub(r"(?<=\d),(?=\d)", ".", clean)
    if not clean:
        raise NotationError("no designation", text)
    for reader in (
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
                raise NotFound(f"{text!r}: read, but not in the tables; measure it and ask by size")
            return found
    raise NotationError(
        "not read as a designation (as 6204-2RS, DIN 471 - 20, 20 x 35 x 7 seal, AS568-214)", text
    )


def of_standard(text: str) -> tuple[Kind, str, str, str] | None:
    """Give the kind, the beginning of its rows' standard, the name and the rest of a text.

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
    """Give the length if the standard lists it, or a note if not. A pitch may stand before it."""
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
    """Give which of the row's names the size is, 0 the one its standard uses; None for none.

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
