"""How much a job takes, as a person says it: an amount, or measures that a rule works out.

::

    2 ml                                     as said
    bead 3 mm x 640 mm                       sealant, pi/4 d2 L
    bead 2.5 mm x 880 mm, 10 holes 14 mm     with a loop round each hole
    film 100 cm2 x 0.1 mm                    flange sealant between two faces
    joint 6 x 6 x 1000 mm                    a joint of square or oblong section
    fit 47 x 14 x 0.03 mm                    retaining compound: diameter, width, clearance
    threads 24 M6, 16 M8                     threadlocker, by thread and count
    bearing 6204, bearing 47 x 14 mm         grease, 0.005 D B
    paint 1.2 m2, 2 coats, 45 %, 40 um, loss 40 %
    runs 420, 310, 655 mm, ends 25 mm        hose, cable, wire
"""

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer
from stores.handbook.consumables.cutting import runs
from stores.handbook.consumables.grease import replenish
from stores.handbook.consumables.joints import (
    bead,
    film,
    retaining,
    square_joint,
    threadlocker,
)
from stores.handbook.consumables.kinds import Consumable
from stores.handbook.consumables.paint import paint_to_buy
from stores.handbook.consumables.reading import MOST, read_amount
from stores.text import clean

__all__ = ["AS_SAID", "Takes", "amount_apart", "bearing_size", "grease_basis", "read_takes"]

AS_SAID = "as said"
"""The basis of an amount that a person gave."""

_KINDS = {"ml": units.Kind.VOLUME, "g": units.Kind.MASS, "mm": units.Kind.LENGTH,
          "cm2": units.Kind.AREA}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Takes:
    """How much a job takes: exact, in ``unit`` (``ml``, ``g``, ``mm``, ``cm2``, ``piece``), and how
    that was worked out."""

    quantity: Fraction
    unit: str
    basis: str


_FIGURE = re.compile(r"(?<![\w.,/])\d+(?:[.,]\d+)?\s*(?:(?:imp|US)\s+)?[^\W\d]+\.?(?:\s+oz\b)?")
_LINKS = " ,;:-"


def amount_apart(text: str) -> tuple[str, str]:
    """Return what goes in, and how much of it where the words say so: a volume or a weight.

    Raises:
        BadValue: two amounts.

    >>> amount_apart("flange sealant 10 ml"), amount_apart("0.5 ml of threadlocker")
    (('flange sealant', '10 ml'), ('threadlocker', '0.5 ml'))
    >>> amount_apart("SAE 20W50 oil")
    ('SAE 20W50 oil', '')
    """
    found = [each for each in _FIGURE.finditer(text) if _measured(each[0])]
    if len(found) > 1:
        raise BadValue(f"{found[0][0]} and {found[1][0]}: how much is it?")
    for each in found:
        before, behind = text[: each.start()].strip(_LINKS), text[each.end() :].strip(_LINKS)
        behind = re.sub(r"(?i)^of\b\s*", "", behind)
        return f"{before} {behind}".strip(), each[0].strip()
    return text, ""


def _measured(words: str) -> bool:
    for kind in (units.Kind.VOLUME, units.Kind.MASS):
        with suppress(NotationError, BadValue):
            units.read(words, kind)
            return True
    return False


def read_takes(text: str, kind: Consumable) -> Takes:
    """Read how much of a kind a job takes: an amount, or a rule's name with its measures.

    Raises:
        NotationError: no amount, or a measure that cannot be read.
        BadValue: an amount of the wrong sort, or out of range; points at what is missing.

    >>> from stores.handbook.consumables import kind_named
    >>> round(float(read_takes("bead 3 mm x 640 mm", kind_named("flange sealant")).quantity), 2)
    4.52
    """
    words = " ".join(clean(text, "the amount", most=200).split())
    name, _, rest = words.partition(" ")
    rule = _RULES.get(name.casefold().rstrip(":"))
    if rule is None:
        return _plain(words, kind)
    if not rest.strip():
        raise NotationError(f"{name} of what? write it as {_EXAMPLES[name.casefold()]}", text)
    answer, basis = rule(rest)
    exact = Fraction(answer.value).limit_denominator(1_000_000)
    return Takes(_converted(exact, answer.unit, kind, words), kind.unit, basis)


def _plain(words: str, kind: Consumable) -> Takes:
    """Read an amount; unlike one that is recorded, it may be less than a whole unit."""
    wanted = _KINDS.get(kind.unit)
    if wanted is not None:
        try:
            read = units.read(words, wanted)
        except (NotationError, BadValue):
            pass
        else:
            if read.base > MOST:
                raise BadValue(f"more than {MOST:,} {kind.unit} for one job: is that a slip?")
            return Takes(read.base, kind.unit, AS_SAID)
    amount = read_amount(words, kind=kind)
    return Takes(Fraction(amount.quantity), kind.unit, AS_SAID)


def _converted(exact: Fraction, unit: str, kind: Consumable, words: str) -> Fraction:
    """Return what a rule gave in the unit in which the kind is recorded."""
    if unit == kind.unit:
        return exact
    density = Fraction(str(kind.density)) if kind.density else None
    if density is not None and (unit, kind.unit) == ("ml", "g"):
        return exact * density
    if density is not None and (unit, kind.unit) == ("g", "ml"):
        return exact / density
    raise BadValue(f"{words}: that rule gives {unit}, and {kind.name} is recorded in {kind.unit}")


def _sides(text: str, count: int, unit: str = "mm") -> list[Fraction]:
    """Return so many lengths in mm: ``6 x 6 x 1000 mm``; one without a unit has the last one's."""
    parts = [part.strip() for part in re.split(r"(?i)\s*[x×*]\s*|\s+by\s+", text) if part.strip()]
    if len(parts) != count:
        raise NotationError(f"{count} measures with x between them", text)
    last = re.sub(r"^[\d\s.,/½¼¾⅛-]+", "", parts[-1]).strip() or unit
    return [units.read(part, units.Kind.LENGTH, last).base for part in parts]


def _figure(text: str) -> float:
    number, rest = units.read_number(text)
    if rest.strip(" %"):
        raise NotationError("a figure", text)
    return float(number)


def _bead(rest: str) -> tuple[Answer, str]:
    line, _, holes = rest.partition(",")
    across, along = _sides(line, 2)
    if not holes.strip():
        return bead(float(across), float(along)), f"bead {line.strip()}"
    found = re.fullmatch(r"(?i)\s*(\d+)\s*(?:holes?|loops?)\s*(?:of\s+)?(.+)", holes)
    if found is None:
        raise NotationError("holes as: 10 holes 14 mm", rest)
    (loop,) = _sides(found[2], 1)
    return (
        bead(float(across), float(along), int(found[1]), float(loop)),
        f"bead {line.strip()}, {found[1]} loops of {found[2].strip()}",
    )


def _film(rest: str) -> tuple[Answer, str]:
    parts = re.split(r"(?i)\s+[x×]\s+|\s+by\s+", rest)
    if len(parts) != 2:
        raise NotationError("an area and a gap, as 100 cm2 x 0.1 mm", rest)
    area = units.read(parts[0], units.Kind.AREA, "cm2").base
    gap = units.read(parts[1], units.Kind.LENGTH, "mm").base
    return film(float(area), float(gap)), f"film {rest}"


def _joint(rest: str) -> tuple[Answer, str]:
    width, depth, length = map(float, _sides(rest, 3))
    return square_joint(width, depth, length), f"joint {rest}"


def _fit(rest: str) -> tuple[Answer, str]:
    diameter, width, gap = map(float, _sides(rest, 3))
    return retaining(diameter, width, gap), f"fit {rest}"


def _threads(rest: str) -> tuple[Answer, str]:
    from stores.handbook.thread import get

    counted = []
    for part in rest.split(","):
        found = re.fullmatch(r"(?i)\s*(\d{1,5})\s*(?:off|x|no\.?)?\s+(.+?)\s*", part)
        if found is None:
            raise NotationError("how many of which thread, as 24 M6", rest)
        counted.append((get(found[2]), int(found[1])))
    return threadlocker(counted), f"threads {rest}"


def bearing_size(text: str) -> tuple[str, float, float, bool] | None:
    """Return designation, outside diameter and width in mm of a rolling bearing that a text names,
    and whether it is sealed or shielded, so that it comes filled; None where it names none.

    >>> bearing_size("ball bearing 6204")
    ('6204', 47.0, 14.0, False)
    """
    from stores.handbook.hardware.bearings import explain, find

    plain = re.sub(r"(?i)\b(?:ball|roller|needle|wheel|rolling|main)\b", " ", text)
    plain = re.sub(r"(?i)^\s*(.*?)\s+bearings?\b(.*)$", r"\1\2", plain).strip()
    plain = re.sub(r"(?i)^bearings?\s+", "", plain)
    try:
        rows, mark = find(plain), explain(plain)
    except NotationError:
        return None
    if not rows or mark.unread:
        return None
    closed = any("seal" in meaning or "shield" in meaning for _, meaning in mark.suffixes)
    return mark.base, float(rows[0]["D_mm"]), float(rows[0]["B_mm"]), closed


def _bearing(rest: str) -> tuple[Answer, str]:
    known = bearing_size(rest)
    if known is not None:
        name, outside, width, _ = known
        return replenish(outside, width), grease_basis(f"{name}, {outside:g} x {width:g} mm")
    try:
        across, along = _sides(rest, 2)
    except (NotationError, BadValue):
        raise NotationError("a designation, or D x B, as 6204 or 47 x 14 mm", rest) from None
    return replenish(float(across), float(along)), grease_basis(rest)


def grease_basis(what: str) -> str:
    """Say how grease of a bearing was worked out."""
    return f"{what}: 0.005 D B, to replenish; the maker's amount comes first"


def _paint(rest: str) -> tuple[Answer, str]:
    found: dict[str, float] = {}
    for part in re.split(r"\s*,\s+", rest):
        plain = part.strip().casefold()
        if plain.startswith("loss"):
            found["loss"] = _figure(plain.removeprefix("loss").strip()) / 100
        elif match := re.fullmatch(r"(\d+)\s*coats?", plain):
            found["coats"] = int(match[1])
        elif plain.endswith("%"):
            found["solids"] = _figure(plain.removesuffix("%").strip())
        elif match := re.fullmatch(r"([\d.]+)\s*(?:um|µm|μm|micron\w*)", plain):
            found["dry"] = float(match[1])
        else:
            found["area"] = float(units.read(plain, units.Kind.AREA, "m2").base) / 10_000
    missing = [name for name in ("area", "coats", "solids", "dry") if name not in found]
    if missing:
        raise NotationError(f"write it as {_EXAMPLES['paint']}", rest)
    answer = paint_to_buy(
        found["area"], int(found["coats"]), found["solids"], found["dry"], found.get("loss")
    )
    return answer, f"paint {rest}"


def _runs(rest: str) -> tuple[Answer, str]:
    body, _, ends = rest.partition("ends")
    parts = [part.strip() for part in re.split(r"\s*[,+]\s*", body.strip(" ,")) if part.strip()]
    if not parts:
        raise NotationError(f"write it as {_EXAMPLES['runs']}", rest)
    last = re.sub(r"^[\d\s.,/]+", "", parts[-1]).strip() or "mm"
    lengths = [float(units.read(part, units.Kind.LENGTH, last).base) for part in parts]
    end = float(units.read(ends, units.Kind.LENGTH, "mm").base) if ends.strip() else 0.0
    return runs(lengths, end), f"runs {rest}"


_RULES: dict[str, Callable[[str], tuple[Answer, str]]] = {
    "bead": _bead, "film": _film, "joint": _joint, "fit": _fit, "threads": _threads,
    "bearing": _bearing, "paint": _paint, "runs": _runs,
}  # fmt: skip
_EXAMPLES = {
    "bead": "bead 3 mm x 640 mm",
    "film": "film 100 cm2 x 0.1 mm",
    "joint": "joint 6 x 6 x 1000 mm",
    "fit": "fit 47 x 14 x 0.03 mm",
    "threads": "threads 24 M6, 16 M8",
    "bearing": "bearing 6204",
    "paint": "paint 1.2 m2, 2 coats, 45 %, 40 um, loss 40 %",
    "runs": "runs 420, 310, 655 mm, ends 25 mm",
}
