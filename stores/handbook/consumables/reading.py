"""Reading an amount of a consumable as it is said at the bench.

::

    2 sheets of 1.5 mm gasket paper 500 x 500    5000 cm2, in sheets of 2500
    half a 50 ml tube of flange sealant          about 25 ml of a pack of 50
    3/4 of a 400 g cartridge lithium grease      about 300 g
    20 m of wire                                 20000 mm
    1 l can SAE 140                              1000 ml of gear oil
    2 boxes of 100 nitrile gloves                200 pieces
    about a third left                           of a pack that is known already

What cannot be told is asked about: a cupful, half a tube of nobody knows how much, a grease of no
kind. ``str`` of an amount is its one canonical form, which reads back to itself.
"""

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.consumables.kinds import Consumable, kinds_said, which_of
from stores.handbook.consumables.phrases import (
    LOOSE,
    NUMBER,
    PAPER,
    SIDES,
    TWO,
    Said,
    compiled,
    figure,
    part_estimate,
    part_line,
    sizes_in,
    span_of,
    tidy_name,
)
from stores.text import clean, plural

__all__ = ["MOST", "Amount", "read_amount"]

MOST = 1_000_000_000
"""The most of a consumable in one line, in its unit: beyond it is a slip."""

_GAS = ("argon", "oxygen")
_SHORTEST_MM = 100
"""Below this a length alone, without "of", may be the width or the bore: it is asked about."""

_THICKEST_MM = 20
"""One length of a sheet up to this is its thickness, and belongs to the name."""

_BASE = {
    units.Kind.VOLUME: "ml", units.Kind.MASS: "g", units.Kind.LENGTH: "mm", units.Kind.AREA: "cm2",
}  # fmt: skip
_A_SIZES = {
    "a2": (420, 594), "a3": (297, 420), "a4": (210, 297), "a5": (148, 210),
}  # fmt: skip
"""Sheets of paper, mm: ISO 216."""

_CANONICAL = (
    r"(?P<about>about )?(?P<quantity>\d{1,10}) (?P<unit>ml|g|mm|cm2|pieces?)(?: of (?P<name>.+?))?"
    r"(?: \((?:pack (?P<pack>\d{1,10}) (?P<its>ml|g|mm|cm2|pieces?)|"
    r"sheets (?P<wide>\d{1,5}) x (?P<long>\d{1,5}) mm)\))?"
)


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of a consumable.

    ``kind`` is None where the words name none of the handbook's; ``text`` is the name as typed.
    ``quantity`` is a whole number of ``unit`` (``ml``, ``g``, ``mm``, ``cm2`` or ``piece``), and so
    is ``pack``, what one pack holds, None where none was said. ``sheet`` are the sides of one sheet
    in mm. ``estimated`` is true of shares, of "about", and of a weight turned into a volume.
    ``words`` are the whole line as typed; two amounts may be equal and said differently.
    """

    kind: Consumable | None
    text: str
    unit: str
    pack: int | None
    quantity: int
    estimated: bool = False
    sheet: tuple[int, int] | None = None
    words: str = field(default="", compare=False)

    def __str__(self) -> str:
        name = f" of {self.text}" if self.text else ""
        pack = ""
        if self.sheet:
            pack = f" (sheets {self.sheet[0]} x {self.sheet[1]} mm)"
        elif self.pack is not None:
            pack = f" (pack {_in(self.pack, self.unit)})"
        about = "about " if self.estimated else ""
        return f"{about}{_in(self.quantity, self.unit)}{name}{pack}"


def _in(quantity: int, unit: str) -> str:
    return plural(quantity, unit) if unit == "piece" else f"{quantity} {unit}"


def read_amount(
    text: str,
    kind: Consumable | None = None,
    pack: int | None = None,
    sheet: tuple[int, int] | None = None,
) -> Amount:
    """Read so much of a consumable, as a person says it.

    Args:
        text: as typed.
        kind: the kind, where it is known already: the words need not name it then.
        pack: what one pack holds, in the kind's unit, where it is known: ``a third left``.
        sheet: the sides of one sheet, mm, where they are known.

    Raises:
        NotationError: nothing there, no amount, or a measure that nobody can weigh (a cupful);
            points at the characters.
        BadValue: what has to be asked: the size of a pack, which of several kinds, whose pints, a
            length that may be a width, an amount of the wrong sort or beyond reason.

    >>> print(read_amount("3/4 of a 400 g cartridge lithium grease"))
    about 300 g of lithium grease (pack 400 g)
    >>> read_amount("2 sheets of 1.5 mm gasket paper 500 x 500").quantity
    5000
    """
    words = clean(text, "the amount")
    if made := _canonical(words, kind):
        return made
    plain = units.level(words)
    plain, estimated = part_estimate(plain)
    if kind is not None and re.fullmatch(
        r"(?i)(?:empty|none(?:\s+left)?|nothing(?:\s+left)?)", plain
    ):
        return Amount(kind, kind.name, kind.unit, pack, 0, False, sheet, words)
    if kind is not None and re.fullmatch(r"[\d.,]+", plain):
        plain = f"{plain} {'pieces' if kind.unit == 'piece' else kind.unit}"
        if kind.unit != "piece":
            raise BadValue(f"{words}: write the unit, as {plain}")
    gas, plain = _pressure(plain, kind)
    said = part_line(plain, words)
    if two := compiled(TWO).search(said.name):
        raise NotationError(
            "two amounts in one line: give each its own", words, *span_of(words, two[0])
        )
    kind, name = _kind(said, kind, words)
    amount = _measured(said, name, kind, (pack, sheet), words, gas)
    if not amount.estimated and estimated:
        return Amount(
            amount.kind, amount.text, amount.unit, amount.pack, amount.quantity, True, amount.sheet,
            words,
        )  # fmt: skip
    return amount


def _canonical(words: str, given: Consumable | None) -> Amount | None:
    """Read the canonical form; None for any other, or where its name holds another amount."""
    found = re.fullmatch(_CANONICAL, words)
    if found is None:
        return None
    quantity, unit, name = int(found["quantity"]), _unit(found["unit"]), found["name"] or ""
    named = kinds_said(name)
    kind = given or (named[0] if len(named) == 1 else None)
    if given is not None or named:
        clear = kind is not None and kind in named and kind.unit == unit
    else:
        clear = bool(name) or found["its"] is not None
    sheet = (int(found["wide"]), int(found["long"])) if found["wide"] else None
    pack = _sheet_cm2(sheet) if sheet else int(found["pack"]) if found["pack"] else None
    clear = clear and (not sheet or unit == "cm2") and _unit(found["its"] or unit) == unit
    clear = clear and quantity <= MOST and (pack is None or 0 < pack <= MOST)
    if not clear or _another(name, kind, quantity, unit):
        return None
    return Amount(kind, name, unit, pack, quantity, bool(found["about"]), sheet, words)


def _unit(word: str) -> str:
    return "piece" if word == "pieces" else word


def _another(name: str, kind: Consumable | None, quantity: int, unit: str) -> bool:
    """Return whether a name holds what may be another amount, so that all is to be weighed."""
    if unit == "cm2":
        return bool(re.search(PAPER, name) or re.search(SIDES, name))
    if kind is not None and kind.key in _GAS:
        return bool(re.search(r"(?i)\bbar\b", name))
    others = [amount for _, amount in sizes_in(units.level(name))]
    if unit == "mm":
        return any(_is_length(other) and other.base > quantity for other in others)
    return any(_BASE.get(other.unit.kind) in ("ml", "g") for other in others)


def _sheet_cm2(sheet: tuple[int, int]) -> int:
    return round(Fraction(sheet[0] * sheet[1], 100))


def _pressure(plain: str, kind: Consumable | None) -> tuple[Fraction | None, str]:
    """Take ``at 200 bar`` out of a line about a gas cylinder."""
    found = compiled(rf"[\s,]*(?:at|@)?\s*(?P<bar>{NUMBER})\s*bar\b").search(plain)
    gas = kind.key in _GAS if kind else any(one.key in _GAS for one in kinds_said(plain))
    if found is None or not gas:
        return None, plain
    return units.value(found["bar"]), plain[: found.start()] + plain[found.end() :]


_ENDING = (
    r"(?i)^(?P<name>.*\S)\s+(?P<pack>(?:bottle|tube|tin|can|cartridge|tub|jar|drum|sachet)s?)$"
)


def _kind(said: Said, given: Consumable | None, words: str) -> tuple[Consumable | None, str]:
    """Return the kind that a line is about, and the name to keep."""
    ending = re.match(_ENDING, said.name)
    if ending and said.pack in ("", "pack") and said.size and not _is_length(said.size):
        said.name, said.pack = ending["name"], ending["pack"]
    found = kinds_said(said.name)
    if given is not None:
        return given, said.name if found == (given,) else given.name
    if len(found) != 1 and said.pack:
        closer = tuple(k for k in kinds_said(f"{said.name} {said.pack}") if not found or k in found)
        found = closer if len(closer) == 1 else found
    if not found and said.name:
        return None, said.name
    if len(found) > 1:
        fits = tuple(kind for kind in found if _fits(kind, said.size))
        found = fits or found
    if len(found) > 1:
        raise BadValue(which_of(said.name, found))
    if found and kinds_said(said.name) != found:
        return found[0], _settled(said, found[0])
    return (found[0] if found else None), said.name


def _settled(said: Said, kind: Consumable) -> str:
    """Return a name that alone names the kind, where the pack or the unit had to settle it."""
    longer = f"{said.name} {said.pack.rstrip('s')}"
    return longer if said.pack and kinds_said(longer) == (kind,) else kind.name


def _fits(kind: Consumable, size: units.Amount | None) -> bool:
    return size is None or _BASE.get(size.unit.kind) == kind.unit


def _measured(
    said: Said,
    name: str,
    kind: Consumable | None,
    known: tuple[int | None, tuple[int, int] | None],
    words: str,
    bar: Fraction | None,
) -> Amount:
    """Return the amount: the size in the unit of the record, times so many."""
    sheet: tuple[int, int] | None = None
    paper = bool(re.match(r"(?i)(?:sheet|off-?cut|piece|strip)", said.pack))
    if (kind is not None and kind.unit == "cm2") or (kind is None and paper):
        sheet, name = _take_sides(name, said, words)
    unit = kind.unit if kind else _unit_of(said, sheet)
    if unit == "piece" and said.counted and _is_length(said.size):
        name, said.size = said.whole or name, None  # the size of the thing, not of a pack
    if unit == "piece" and not said.counted and said.size is None:
        raise NotationError(f"how many? Write it as 4 {name}", words)
    if unit == "mm":
        name = _longest(said, name, kind)
    size, guessed = Fraction(0), False
    if sheet is not None:
        size = Fraction(_sheet_cm2(sheet))
    elif said.size is not None:
        size, guessed = _converted(said, kind, unit, bar)
        _refuse_second(name, unit, words)
    else:
        size, sheet = _pack_known(said, kind, unit, known)
    held = None
    if sheet is not None or (said.pack and not (unit == "piece" and size == 1)):
        size = Fraction(held := round(size))  # packs are whole in the record
        if held < 1:
            raise BadValue(f"a pack of less than 1 {unit}: too little to record")
    estimated = guessed or said.share or said.count.denominator != 1
    quantity = _whole(size * said.count, unit)
    if said.left is not None or said.left_pieces is not None:
        quantity, guessed = _left(said, kind, unit, bar)
        estimated = guessed or said.about
        if held is not None and quantity > held:
            raise BadValue(f"{quantity} {unit} left of {held}: more than one pack holds")
    name = name or (kind.name if kind is not None else "")
    return Amount(kind, name, unit, held, quantity, estimated, sheet, words)


def _left(said: Said, kind: Consumable | None, unit: str, bar: Fraction | None) -> tuple[int, bool]:
    """Return what is left of a pack in the unit of the record, and whether it was guessed."""
    if said.left_pieces is not None:
        if unit != "piece":
            raise BadValue(f"{said.left_pieces} left: of what? write the unit, {unit}")
        return said.left_pieces, False
    exact, guessed = _converted(replace(said, size=said.left, pack=""), kind, unit, bar)
    return _whole(exact, unit), guessed


def _whole(exact: Fraction, unit: str) -> int:
    """Return an amount as the record holds it, or refuse what cannot be."""
    if exact > 0 and round(exact) < 1:
        raise BadValue(f"less than 1 {unit}: too little to record")
    if exact > MOST:
        raise BadValue(f"more than {MOST:,} {unit} in one line: is that a slip?")
    return round(exact)


def _pack_known(
    said: Said,
    kind: Consumable | None,
    unit: str,
    known: tuple[int | None, tuple[int, int] | None],
) -> tuple[Fraction, tuple[int, int] | None]:
    """Return what one pack holds where the line does not say its weight, volume or length."""
    pack, sheet = known
    if said.each is not None:
        if unit != "piece":
            raise BadValue(
                f"{said.each} in a {_one(said.pack)}: of what? write {_example(kind, unit)}"
            )
        return Fraction(said.each), None
    if unit == "piece" and not said.share and (not said.pack or re.fullmatch(LOOSE, said.pack)):
        return Fraction(1), None
    if pack is None:
        raise BadValue(_ask_pack(said, kind, unit))
    return Fraction(pack), sheet


def _is_length(size: units.Amount | None) -> bool:
    return size is not None and size.unit.kind is units.Kind.LENGTH


def _unit_of(said: Said, sheet: tuple[int, int] | None) -> str:
    """Return the unit of a thing that is none of the kinds, by what it was measured in."""
    if sheet is not None:
        return "cm2"
    if said.size is None:
        return "piece"
    try:
        return _BASE[said.size.unit.kind]
    except KeyError:
        raise BadValue(f"{said.size}: no amount of a consumable") from None


def _take_sides(name: str, said: Said, words: str) -> tuple[tuple[int, int] | None, str]:
    """Take the sides of a sheet out of a name: ``500 x 500``, ``A4``; a third is its thickness."""
    if said.whole and _is_length(said.size) and re.search(rf"{SIDES}|{PAPER[4:]}", said.whole):
        name = said.whole  # the one length of a sheet with its sides is its thickness
    if found := re.search(SIDES, name):
        last = found["ub"] or found["ua"]
        first = found["ua"] or found["ub"]
        sides = [figure(found[side], words) for side in "ab"]
        if last is None and max(sides) < 50:
            raise BadValue(f"{found[0].strip()}: mm or inches? write the unit, as 300 x 300 mm")
        scaled = [
            round(units.Amount(side, units.unit(unit or "mm", units.Kind.LENGTH)).base)
            for side, unit in zip(sides, (first, last), strict=True)
        ]
        if not all(1 <= side <= 99_999 for side in scaled):
            raise BadValue(f"{found[0].strip()}: no sheet is of that size")
        thick = f" {found['c']} {found['uc'] or 'mm'}" if found["c"] else ""
        said.size = None
        return (scaled[0], scaled[1]), tidy_name(
            f"{name[: found.start()]}{thick} {name[found.end() :]}"
        )
    if found := re.search(PAPER, name):
        said.size = None if _is_length(said.size) else said.size
        return _A_SIZES[found["paper"].casefold()], tidy_name(
            f"{name[: found.start()]} {name[found.end() :]}"
        )
    if _is_length(said.size):
        if said.size is not None and said.size.base > _THICKEST_MM:
            raise BadValue(f"{said.size}: how wide? write both sides, as 1000 x 50 mm")
        name, said.size = said.whole or tidy_name(f"{said.size} {name}"), None
    return None, name


def _longest(said: Said, name: str, kind: Consumable | None) -> str:
    """Settle which of several lengths is the amount: the longest by far; else ask."""
    size = said.size
    if size is None or not _is_length(size):
        return name
    others = [one for one in sizes_in(name) if one[1].unit.kind is units.Kind.LENGTH]
    if others:
        found, longest = max(others, key=lambda one: one[1].base)
        if longest.base > size.base:
            if longest.base < 10 * size.base:
                raise BadValue(
                    f"{size} or {longest}: which is the length? write it first, with 'of'"
                )
            name = tidy_name(f"{name[: found.start()]} {size} {name[found.end() :]}")
            said.size = longest
        elif longest.base * 3 > size.base and not said.led and not said.pack:
            raise BadValue(f"{size} or {longest}: which is the length? write it first, with 'of'")
        return re.sub(r"(?i)\s+x\s+|\s+x$|^x\s+", " ", name).strip()
    if size.base < _SHORTEST_MM and not said.led and not said.pack and kind is not None:
        raise BadValue(
            f"{size}: the length, or the width or bore? write it as 2 m of {size} {name}"
        )
    return name


def _converted(
    said: Said, kind: Consumable | None, unit: str, bar: Fraction | None
) -> tuple[Fraction, bool]:
    """Return the size in the unit of the record, and whether a density had to be guessed."""
    size = said.size
    if size is None:
        raise ValueError("no size")
    its = _BASE.get(size.unit.kind)
    if kind is not None and kind.key in _GAS and its == "ml":
        if bar is not None:
            return size.base * bar, True
        if said.pack:
            gas = units.plain(size.to("l").value * 200)
            raise BadValue(
                f"{size} {_one(said.pack)}: its water capacity, or gas? write it as "
                f"{size.to('l')} at 200 bar, or {gas} l of gas"
            )
    if its == unit:
        return size.base, False
    density = Fraction(str(kind.density)) if kind is not None and kind.density else None
    if density and {its, unit} == {"ml", "g"}:
        return (size.base / density if unit == "ml" else size.base * density), True
    what = kind.name if kind is not None else said.name
    if unit == "piece":
        raise BadValue(f"{size}: {what} is recorded by the piece; weigh ten, and write how many")
    raise BadValue(f"{size}: {what} is recorded in {unit}; write it as {_example(kind, unit)}")


def _refuse_second(name: str, unit: str, words: str) -> None:
    """Ask where the name still holds another amount of the same sort."""
    if unit not in ("ml", "g"):
        return
    for found, amount in sizes_in(name):
        if amount.unit.kind in (units.Kind.VOLUME, units.Kind.MASS):
            raise NotationError("two amounts in one line: give each its own", words,
                                *span_of(words, found[0]))  # fmt: skip


def _one(pack: str) -> str:
    """Return the word for one pack."""
    word = pack.casefold()
    if word.endswith("xes"):
        return word[:-2]
    return word[:-1] if word.endswith("s") and word != "pcs" else word


def _example(kind: Consumable | None, unit: str) -> str:
    sample = {"ml": "50 ml", "g": "400 g", "mm": "5 m", "cm2": "500 x 500 mm", "piece": "100"}[unit]
    return f"{sample} of {kind.name}" if kind is not None else sample


_PLAIN_SIZE = r"[\d.]+ (?:ml|L|g|kg|m)"


def _ask_pack(said: Said, kind: Consumable | None, unit: str) -> str:
    """Return the question for the size of a pack."""
    pack = _one(said.pack or "pack")
    usual = f" (usual: {', '.join(kind.packs)})" if kind is not None and kind.packs else ""
    sample = {
        "ml": f"a 50 ml {pack}", "g": f"a 400 g {pack}", "mm": f"a 5 m {pack}",
        "cm2": f"a {pack} of 500 x 500 mm", "piece": f"a {pack} of 100",
    }[unit] if kind is not None else f"a 500 ml {pack} or a 400 g {pack}"  # fmt: skip
    sizes = [one for one in (kind.packs if kind else ()) if re.fullmatch(_PLAIN_SIZE, one)]
    if sizes:
        sample = f"a {sizes[0]} {pack}"
    name = f" of {said.name}" if said.name else ""
    if unit == "cm2":
        return f"how large is one {pack}{name}? Write it as {sample}{usual}"
    return f"how much is in one {pack}{name}? Write it as {sample}{usual}"
