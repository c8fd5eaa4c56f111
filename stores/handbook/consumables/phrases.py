"""How an amount is worded at the bench: so many, of what size and pack, and the name.

The words alone; what they come to in the unit of the record is for `reading`, which knows the kind.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from stores import units
from stores.errors import BadValue, NotationError

__all__ = [
    "LOOSE",
    "NUMBER",
    "PAPER",
    "SIDES",
    "SIZE",
    "TWO",
    "Said",
    "amount_of",
    "compiled",
    "figure",
    "part_estimate",
    "part_line",
    "sizes_in",
    "span_of",
    "tidy_name",
]

_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "dozen": 12, "a dozen": 12,
    "half a dozen": 6, "half dozen": 6, "a couple of": 2, "a couple": 2,
    "a pair of": 2, "pair of": 2,
}  # fmt: skip
_PARTS = {
    "half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4),
    "fifth": Fraction(1, 5), "eighth": Fraction(1, 8), "tenth": Fraction(1, 10),
}  # fmt: skip

NUMBER = (
    rf"(?:\d{{1,6}}[\s-]+\d{{1,4}}\s*/\s*\d{{1,4}}|\d{{1,4}}\s*/\s*\d{{1,4}}|"
    rf"\d{{0,6}}\s?[{''.join(units.VULGAR)}]|\d{{1,9}}(?:[.,]\d{{1,6}})?|[.,]\d{{1,6}})(?![\d/])"
)
_WHOLE_WORD = "|".join(sorted((re.sub(" ", r"\\s+", word) for word in _WORDS), key=len)[::-1])
_PART = "|".join(_PARTS)
_COUNT = (
    rf"(?:{NUMBER}|(?:{_WHOLE_WORD})\b(?:\s+and\s+(?:an?\s+|one\s+)?(?:{_PART})\b)?)"
    rf"(?:\s+and\s+(?:an?\s+)(?:{_PART})\b)?"
)
_FIGURES = r"\d{1,3}\s*/\s*\d{1,3}(?!\d)|"
_SHARE = (
    rf"(?:\d{{1,3}}(?:[.,]\d{{1,3}})?\s*(?:%|per\s*cent\b|percent\b)|{_FIGURES}"
    rf"[{''.join(units.VULGAR)}]|(?:(?:an?|one|1)\s+)?(?:{_PART})\b|"
    rf"(?:two|three|four|seven|2|3|4|7)[\s-]+(?:{_PART})s\b)"
)
_WHOSE = r"(?:imp(?:erial)?\.?|uk|british|us|u\.s\.|american)"
_MEASURE = r"(?:gallons?|galls?|gals?|quarts?|qts?|pints?|pts?|fl\.?\s*oz|fluid\s+ounces?)"
_UNIT = (
    rf"(?:(?:{_WHOSE}\s*)?{_MEASURE}(?:\s+{_WHOSE})?|"
    r"millilit(?:re|er)s?|lit(?:re|er)s?|ltrs?|ml|cc|cl|dl|l|cm3|cm³|"
    r"sq(?:uare)?\.?\s*(?:mm|cm|metres?|m|in(?:che?)?s?|feet|foot|ft)|[mc]?m[2²]|(?:in|ft)[2²]|"
    r"millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?|mm|cm|m|"
    r"inch(?:es)?|ins?(?!\s+(?:stock|hand|the|an?|store|total|all)\b)|feet|foot|ft|yards?|yds?|yd|"
    r"kilograms?|kilos?|kg|gram(?:me)?s?|gms?|g|lbs?|pounds?|ounces?|ozs?)(?!\w)\.?|(?:\"|'')"
)
SIZE = rf"(?P<number>{NUMBER})\s*(?P<unit>{_UNIT})"
_SPELT_SIZE = (
    rf"(?P<spelt>half\s+an?|quarter\s+of\s+an?|{_WHOLE_WORD})\s+(?P<unit>"
    r"lit(?:re|er)s?|kilos?|kilograms?|met(?:re|er)s?|feet|foot|yards?|grams?|pounds?|"
    rf"(?:{_WHOSE}\s+)?(?:gallons?|quarts?|pints?))\b(?!\s+(?:tins?|cans?|bottles?|drums?|jars?)\b)"
)
_PACK = (
    r"(?:bottles?|tubes?|tins?|cans?|cartridges?|sachets?|tubs?|jars?|pots?|box(?:es)?|bags?|"
    r"packets?|packs?|pkts?|reels?|rolls?|spools?|coils?|drums?|kegs?|aerosols?|spray\s+cans?|"
    r"cylinders?|sticks?|sheets?|sets?|syringes?|lengths?|off-?cuts?|containers?|hanks?|cards?|"
    r"strips?|packages?|cartons?|canisters?|jerry\s?cans?|pieces?|pcs\.?|off)"
)
LOOSE = r"(?i)(?:pieces?|pcs\.?|off|strips?|lengths?|off-?cuts?|sheets?|sticks?)"
_LIKE = (
    r"(?:(?:(?:plastic|metal|glass|small|large|big|new|old|open(?:ed)?|part(?:[- ]used)?|sealed|"
    r"unopened|full|used|fresh)\b,?\s*)*)"
)
_OF = r"(?:\s*,?\s*(?:of\b)?\s*)"
_ABOUT = (
    r"(?i)^\s*(?:about|approx(?:imately)?\.?|roughly|around|maybe|perhaps|say|circa|ca?\.|nearly|"
    r"almost|just\s+(?:over|under)|est(?:imated)?\.?|some(?=\s+\d)|~|≈)\s*(?=\S)"
)
_OR_SO = (
    r"(?i)[\s,]*(?:\(?\b(?:or\s+so|or\s+thereabouts|roughly|approx(?:imately)?\.?|about)\)?)\s*$"
)
_LEFT = r"(?i)[\s,]*\b(?:(?:is\s+|are\s+)?(?:left|remaining|in\s+(?:stock|hand|it|there)))\s*$"
_VAGUE = (
    r"(?:(?:cup|mug|glass|hand|spoon|teaspoon|tablespoon|cap|bucket|thimble)fuls?|"
    r"(?:cups?|mugs?|glass(?:es)?|(?:tea|table)?\s?spoons?|buckets?|caps?|dollops?|splash(?:es)?|"
    r"dash(?:es)?|drops?|drips?|squirts?|blobs?|dabs?|bits?|scraps?|licks?|lots?|loads?|thumb|"
    r"smears?|pinch|jam\s?jars?)(?=\s+(?:of|left)\b|\s*$)|"
    r"(?:few|little|some|plenty|enough|several|any|most|much|the\s+rest|(?:full|empty)\s*ish)\b)"
)
_ROUGHLY = r"(?:about|roughly|around|approx\.?|say)\s+"
_HOW_FULL = (
    rf"(?:[\s,;:(-]+(?:{_ROUGHLY}|nearly\s+)?(?P<share>{_SHARE})\s+"
    r"(?:of\s+it\s+)?(?P<way>left|full|remaining|used|gone|empty)|"
    rf"[,;(]\s*(?:{_ROUGHLY})?(?P<part>{_SHARE.replace(_FIGURES, '')}))\s*\)?\s*$"
)
_LEFT_OVER = (
    rf"(?:[,;(]|\s)\s*(?P<about>{_ROUGHLY})?(?P<amount>(?:{SIZE})|\d{{1,6}}(?:\s*(?:off|pcs|pieces))?)"
    r"\s+(?:left|remaining)\s*\)?\s*$"
)
_HOW_LITTLE = (
    r"[\s,;(]+(?P<it>(?:nearly|almost|not\s+quite|half[- ]?ish)\s+(?:full|empty|gone)|"
    r"(?:an?\s+)?(?:bit|little|drop|few|lot)(?:\s+(?:left|remaining|in\s+it))?|"
    r"(?:some|most|not\s+much|hardly\s+any|plenty)(?:\s+(?:of\s+it\s+)?(?:left|remaining|in\s+it))?)\s*\)?\s*$"
)
SIDES = (
    rf"(?i)(?P<a>{NUMBER})\s*(?P<ua>mm|cm|m|in(?:ches)?|ft|\")?\s*(?:x|by)\s*(?P<b>{NUMBER})\s*"
    rf"(?P<ub>mm|cm|m|in(?:ches)?|ft|\")?(?:\s*x\s*(?P<c>{NUMBER})\s*(?P<uc>mm|thou)?)?(?![\w/.,]*\d)"
)
PAPER = r"(?i)(?<!\w)(?P<paper>a[2345])(?!\w)"
TWO = rf"(?:^|\s)(?:and|plus|\+|&)\s+(?:{_SHARE}|{SIZE}|(?:{_COUNT})\s+{_PACK}\b)"


_NAMES = r"(?:two|four|2|4)[\s-]*(?:pack|stroke|part|thou)\b(?!\s+of\b)"
"""Figures that begin a name: two-pack paint, 2-stroke oil."""

_MOST_IN_PACK = 1000
"""A bare number behind a pack is how many it holds only up to here; ``box of 5000`` says it."""

_LEAST_SIDE = 10
"""A sheet has no shorter side, whatever the unit; so many packs are rarely more."""


@dataclass(slots=True)
class Said:
    """What a line says, before its kind is known: so many packs, or a share, of a size."""

    count: Fraction = Fraction(1)
    counted: bool = False
    share: bool = False
    size: units.Amount | None = None
    each: int | None = None  # pieces to the pack
    pack: str = ""
    name: str = ""
    whole: str = ""  # the name with the size still in it
    led: bool = False  # the amount leads, with "of" behind it
    left: units.Amount | None = None  # what is left of the one pack
    left_pieces: int | None = None
    about: bool = False


@cache
def compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


def span_of(words: str, part: str) -> tuple[int, int]:
    """Return where a part stands in the line as typed; all of it where it is not to be found."""
    at = words.casefold().find(part.strip().casefold())
    return (at, at + len(part.strip())) if at >= 0 else (0, len(words))


def part_estimate(plain: str) -> tuple[str, bool]:
    """Take out the words that say an amount is about so much, and those that say it is left."""
    estimated = False
    while found := re.search(_ABOUT, plain):
        rest = plain[found.end() :]
        if re.match(r"(?i)(?:full|empty)\b", rest):
            raise NotationError("how much is that? Measure or weigh it, or write a share of a pack",
                                plain)  # fmt: skip
        plain, estimated = rest, True
    if found := re.search(_OR_SO, plain):
        plain, estimated = plain[: found.start()], True
    return plain.strip(), estimated


def amount_of(found: re.Match[str], words: str | None) -> units.Amount | None:
    """Return the amount of a match of `SIZE`; None where its unit is open and nobody asks."""
    try:
        spelt = found.groupdict().get("spelt")
        number = _number(spelt, words or "") if spelt else figure(found["number"], words or "")
        word = re.sub(r"\s+", " ", found["unit"]).rstrip(".")
        if word.casefold() in ("oz", "ozs", "ounce", "ounces"):
            return units.Amount(number, units.unit(word, units.Kind.MASS))
        return units.Amount(number, units.unit(word))
    except (BadValue, NotationError):
        if words is None:
            return None
        raise


def figure(figure: str, words: str) -> Fraction:
    """Return a figure, asking about a comma that may mark thousands."""
    try:
        number, rest = units.read_number(figure)
    except NotationError as error:
        raise NotationError(error.message, words, *span_of(words, figure)) from None
    if rest:
        raise NotationError("cannot read the number", words, *span_of(words, figure))
    return number


def _number(typed: str, words: str) -> Fraction:
    """Return a count, in figures or words: ``2``, ``two and a half``, ``a dozen``, ``half a``."""
    said = re.sub(r"\s+", " ", typed.strip().casefold())
    if re.fullmatch(r"half an?", said):
        return Fraction(1, 2)
    if re.fullmatch(r"quarter of an?", said):
        return Fraction(1, 4)
    more = Fraction(0)
    if part := re.search(rf" and (?:an? |one )?({_PART})$", said):
        more, said = _PARTS[part[1]], said[: part.start()]
    return more + (Fraction(_WORDS[said]) if said in _WORDS else figure(said, words))


def _share_of(typed: str, words: str) -> Fraction:
    """Return a share: ``half``, ``two thirds``, ``3/4``, ``75 %``."""
    said = re.sub(r"[\s-]+", " ", typed.strip().casefold())
    if found := re.fullmatch(r"([\d.,]+) ?(?:%|per ?cent)", said):
        share = figure(found[1], words) / 100
    elif found := re.fullmatch(rf"(?:(an?|one|two|three|four|seven|\d) )?({_PART})s?", said):
        count = found[1] or "one"
        share = (Fraction(int(count)) if count.isdigit() else Fraction(_WORDS[count])) * _PARTS[
            found[2]
        ]
    else:
        share = figure(said, words)
    if not 0 < share <= 1:
        raise NotationError(
            "more than all of it: write so many packs", words, *span_of(words, typed)
        )
    return share


def part_line(plain: str, words: str) -> Said:
    """Part a line into so many, of what size and pack, and the name."""
    if fullness := compiled(_HOW_FULL).search(f" {plain}"):
        share = _share_of(fullness["share"] or fullness["part"], words)
        if (fullness["way"] or "").casefold() in ("used", "gone", "empty"):
            share = 1 - share
        rest = plain[: max(0, fullness.start() - 1)].strip(" ,;:(-")
        said = _packed(rest, words) if rest else Said()
        if said.count != 1:
            raise NotationError("a share of one pack: give full ones a line of their own", words)
        return Said(share, True, True, said.size, said.each, said.pack or "pack", said.name)
    if left := compiled(_LEFT_OVER).search(plain):
        front = plain[: left.start()].strip(" ,;:(-")
        if re.search(r"[^\W\d_]{2}", front) and compiled(rf"(?:{SIZE})|\bof\s+\d").search(front):
            return _left_over(_packed(front, words), left, words)
    if little := compiled(_HOW_LITTLE).search(plain):
        raise NotationError(
            "how much is left? Measure or weigh it, or write a share, as a third left", words,
            *span_of(words, little["it"]),
        )  # fmt: skip
    plain = re.sub(_LEFT, "", plain)
    return _packed(plain, words)


def _left_over(said: Said, left: re.Match[str], words: str) -> Said:
    """Read ``400 g tin of ..., 150 g left``, ``box of 100 ..., about 40 left``."""
    if said.count != 1:
        raise NotationError("what is left of one pack: give full ones a line of their own", words)
    if left["number"]:
        said.left = amount_of(left, words)
    else:
        said.left_pieces = int(re.match(r"\d+", left["amount"])[0])  # type: ignore[index]
    said.about = bool(left["about"])
    said.pack = said.pack or "pack"
    return said


def _packed(plain: str, words: str) -> Said:
    """Part a line that begins or ends with its amount."""
    vague = compiled(
        rf"(?:(?:an?|one|two|three|half\s+an?|the|{NUMBER})\s+)?(?:(?:good|small|big|decent)\s+)?(?P<it>{_VAGUE})"
    ).match(plain)
    if vague:
        raise NotationError(
            "how much is that? Measure or weigh it, and write it as 250 ml or 100 g", words,
            *span_of(words, vague["it"]),
        )  # fmt: skip
    for reader in (_by_sides, _by_size, _by_share, _by_count):
        if said := reader(plain, words):
            return said
    return _behind(plain, words)


def tidy_name(text: str) -> str:
    """Return what is left of a line as a name."""
    text = re.sub(r"(?i)\beach\b", " ", text)
    text = re.sub(r"\(\s*\)", " ", text)
    text = re.sub(r"\s+", " ", text).strip(" ,;:-")
    return re.sub(r"(?i)^(?:x\s+|of\s+)+|\s+(?:x|of|@)$", "", text).strip(" ,;:-")


def _by_sides(plain: str, words: str) -> Said | None:
    """Read ``2 A4 sheets of ...``, ``a 300 x 300 mm offcut of ...``: the sides before the sheet."""
    found = compiled(
        rf"(?:(?P<count>{_COUNT})\s*(?:x\s+|off\s+|\s))?(?P<sides>{_plain_groups(SIDES[4:])}|a[2345])\s*"
        rf"{_LIKE}(?P<pack>sheets?|off-?cuts?|pieces?|strips?)\b{_OF}(?P<rest>.*)"
    ).fullmatch(plain)
    if found is None:
        return None
    count = _number(found["count"], words) if found["count"] else Fraction(1)
    said = Said(count, True, False, None, None, found["pack"])
    said.name = said.whole = tidy_name(f"{found['rest']} {found['sides']}")
    return said


def _by_size(plain: str, words: str) -> Said | None:
    """Read ``20 m of wire``, ``1 l can SAE 140``, ``half a litre of gear oil``."""
    pattern = rf"(?:(?:{SIZE})|(?:{_SPELT_SIZE.replace('unit', 'measure')}))"
    found = compiled(
        rf"{pattern}(?:\s*{_LIKE}(?P<pack>{_PACK})\b)?(?P<of>\s+of\b)?(?P<rest>.*)"
    ).fullmatch(plain)
    if found is None:
        return None
    if found["number"] and found["pack"] and re.search(r"\d[\s-]+\d+\s*/", found["number"]):
        whole, _, part = re.sub(r"\s*/\s*", "/", found["number"]).replace("-", " ").partition(" ")
        exact = units.plain(figure(found["number"], words))
        unit = found["unit"]
        raise BadValue(
            f"{found['number']} {unit}: {whole} off {part.strip()}, or one of {exact} {unit}? "
            f"write {whole} x {part.strip()} {unit}, or {exact} {unit}"
        )
    size = _sized(found, words)
    rest = found["rest"]
    many = compiled(
        r"\s*(?:x|×)\s*(?P<count>\d{1,6})\b(?!\s*(?:x|mm|cm|m\b|in\b))(?P<rest>.*)"
    ).fullmatch(rest)
    if many and size.unit.kind in (units.Kind.VOLUME, units.Kind.MASS):
        return Said(Fraction(int(many["count"])), True, False, size, None, found["pack"] or "pack",
                     tidy_name(many["rest"]))  # fmt: skip
    return Said(Fraction(1), bool(found["pack"]), False, size, None, found["pack"] or "",
                 tidy_name(rest), tidy_name(plain), led=bool(found["of"]))  # fmt: skip


def _sized(found: re.Match[str], words: str) -> units.Amount:
    if found["number"]:
        made = amount_of(found, words)
    else:
        number = _number(found["spelt"], words)
        made = units.Amount(number, units.unit(re.sub(r"\s+", " ", found["measure"])))
    assert made is not None
    return made


def _by_share(plain: str, words: str) -> Said | None:
    """Read ``half a tube of ...``, ``3/4 of a 400 g cartridge ...``, ``a third``."""
    if re.match(r"(?i)half\s+(?:a\s+)?dozen\b", plain):
        return None
    found = compiled(
        rf"(?P<share>{_SHARE})\s*(?:full\s+|left\s+(?:in|of)\s+)?(?:of\s+)?(?:(?:an?|one|the|my|this|that)\s+)?"
        rf"(?:(?:{SIZE})\s*)?{_LIKE}(?P<pack>{_PACK})?\b{_OF}(?P<rest>.*)"
    ).fullmatch(plain)
    if found is None or not (found["pack"] or found["number"] or not found["rest"].strip(" .")):
        return None
    size = amount_of(found, words) if found["number"] else None
    said = Said(_share_of(found["share"], words), True, True, size, None, found["pack"] or "pack")
    _size_behind(said, found["rest"], words)
    return said


def _by_count(plain: str, words: str) -> Said | None:
    """Read ``2 x 50 ml tubes``, ``two tins of 1 l ...``, ``2 boxes of 100 ...``, ``6 fuses``."""
    if re.match(rf"(?i){_NAMES}", plain):
        return None
    sized = compiled(
        rf"(?P<count>{_COUNT})(?:\s*(?:x|off)\s*|\s+)(?:{SIZE})\s*{_LIKE}(?P<pack>{_PACK})?\b{_OF}(?P<rest>.*)"
    ).fullmatch(plain)
    if sized:
        size = amount_of(sized, words)
        times = re.match(r"(?i)\s*(?:x|off)", plain[sized.end("count") :])
        if sized["pack"] or times:
            return Said(_number(sized["count"], words), True, False, size, None,
                         sized["pack"] or "pack", tidy_name(sized["rest"]))  # fmt: skip
    packs = compiled(
        rf"(?P<count>{_COUNT})\s*(?:x\s+|\s)(?:off\s+)?{_LIKE}(?P<pack>{_PACK})\b(?P<rest>.*)"
    ).fullmatch(plain)
    if packs is None:
        packs = compiled(
            rf"(?P<count>){_LIKE}(?P<pack>{_PACK})\b(?P<rest>(?:\s+of\b|\s*$|\s+\d).*)"
        ).fullmatch(plain)
    if packs:
        count = _number(packs["count"], words) if packs["count"] else Fraction(1)
        said = Said(count, True, False, None, None, packs["pack"])
        _size_behind(said, packs["rest"].strip(), words)
        return said
    loose = compiled(rf"(?P<count>{_COUNT})(?:\s*x\s+|\s+)(?P<rest>\D.*|\d.*?[a-z].*)").fullmatch(
        plain
    )
    if loose and not re.match(r"(?i)\s*(?:bar|v|w|a|amp|thou|thick|tpi|%|°|deg)\b", loose["rest"]):
        said = Said(_number(loose["count"], words), True, False, None, None, "")
        rest = loose["rest"]
        if re.match(r"(?i)of\s+\d+\s", rest):
            raise NotationError("two counts in one line: write how many there are", words)
        if pairs := re.match(r"(?i)pairs?\b\s*(?:of\s+)?", rest):
            said.count, rest = 2 * said.count, rest[pairs.end() :]
        _size_behind(said, rest, words)
        return said
    return None


def _size_behind(said: Said, rest: str, words: str) -> None:
    """Take the size of a pack out of what follows it, unless there is one already."""
    said.whole = tidy_name(rest)
    if said.size is None:
        pieces = compiled(
            rf"(?P<of>of\s+)?(?!{_NAMES})(?P<each>\d{{1,6}})(?:\s+(?:off|pcs|pieces)\b)?(?=\s+(?!\d+\s*/)\w|\s*$)"
        ).match(rest)
        if pieces and not pieces["of"] and int(pieces["each"]) > _MOST_IN_PACK:
            pieces = None  # the number of a rod, a grade or a part
        if (
            pieces
            and said.pack
            and not re.fullmatch(LOOSE, said.pack)
            and not compiled(rf"(?:of\s+)?(?:{SIZE})").match(rest)
        ):
            said.each = int(pieces["each"])
            rest = rest[pieces.end() :]
        else:
            said.size, rest = _take_size(rest, words)
    said.name = tidy_name(rest)


def sizes_in(text: str) -> list[tuple[re.Match[str], units.Amount]]:
    """Return all sizes in a text that are not sides of a sheet nor parts of a word."""
    dims = [found.span() for found in re.finditer(SIDES, text)]
    made = []
    for found in compiled(rf"(?<![\w/.,-])(?:{SIZE})").finditer(text):
        if any(start <= found.start() < end for start, end in dims):
            only = compiled(SIDES).match(text, found.start())
            if not (
                only and (only["ua"] or "") and (only["ub"] or "") and only["ua"] != only["ub"]
            ):
                inside = next((s, e) for s, e in dims if s <= found.start() < e)
                if not _mixed_dims(text[inside[0] : inside[1]]):
                    continue
        amount = amount_of(found, None)
        if amount is not None:
            made.append((found, amount))
    return made


def _mixed_dims(text: str) -> bool:
    """Return whether ``50 m x 25 mm`` is a length and a width, not two sides of a sheet."""
    found = re.fullmatch(SIDES, text)
    return bool(found and found["ua"] and found["ub"] and found["ua"] != found["ub"])


def _two_sides(dims: re.Match[str]) -> bool:
    """Return whether ``12 x 12 in`` are two sides, and not 12 of 12 in; ``2 x 10 m`` is two of."""
    return (dims["ub"] or "mm") != "m" and units.value(dims["a"]) >= _LEAST_SIDE


def _take_size(rest: str, words: str) -> tuple[units.Amount | None, str]:
    """Take the one weight, volume or area out of a text; else the greatest length, if it is plain.

    Of several of one sort the person is asked.
    """
    sizes = sizes_in(rest)
    for open_unit in compiled(rf"(?<![\w/.,-])(?:{SIZE})").finditer(rest):
        if not any(found.span() == open_unit.span() for found, _ in sizes) and not re.search(
            SIDES, rest
        ):
            amount_of(open_unit, words)  # a pint of nobody knows whose is asked about
    whole = [one for one in sizes if one[1].unit.kind is not units.Kind.LENGTH]
    chosen = whole or [one for one in sizes if one[1].unit.kind is units.Kind.LENGTH]
    if not chosen:
        return None, rest
    if len({amount.base for _, amount in whole}) > 1:
        raise NotationError("two amounts in one line: give each its own", words)
    found, amount = max(chosen, key=lambda one: one[1].base)
    return amount, f"{rest[: found.start()]} {rest[found.end() :]}"


def _behind(plain: str, words: str) -> Said:
    """Read a line whose amount stands behind the name: ``flange sealant, 2 tubes 50 ml``."""
    tails = (
        rf"(?:{_COUNT})\s*(?:x\s*|off\s+|\s){_LIKE}{_PACK}\b(?:\s*,?\s*(?:of\s+)?(?:{SIZE}|\d{{1,6}}))?",
        rf"(?:{_COUNT})\s*x\s*(?:{SIZE})(?:\s*{_LIKE}{_PACK})?",
        rf"(?:{_SHARE})\s*(?:of\s+)?(?:(?:an?|one|the)\s+)?(?:(?:{SIZE})\s*)?{_LIKE}{_PACK}",
        rf"(?:{SIZE})(?:\s*{_LIKE}{_PACK}\b)?(?:\s*x\s*\d{{1,6}})?",
    )
    best: re.Match[str] | None = None
    for tail in tails:
        pattern = compiled(
            rf"(?P<name>.*?[^\W_].*?)(?:\s*[,;:(]\s*|\s+-\s+|\s+)(?P<tail>{_plain_groups(tail)})\s*\)?"
        )
        found = pattern.fullmatch(plain)
        if found and any(
            dims.start() <= found.start("tail") < dims.end()
            and not _mixed_dims(dims[0])
            and (dims.start() < found.start("tail") or _two_sides(dims))
            for dims in re.finditer(SIDES, plain)
        ):
            continue
        if found and (best is None or found.start("tail") < best.start("tail")):
            best = found
    if best is not None:
        for reader in (_by_size, _by_share, _by_count):
            if said := reader(best["tail"], words):
                made = _joined(said, best["name"], words)
                made.whole = made.whole if made.size is None else tidy_name(plain)
                return _leading_pack(made)
    if (sides := re.search(SIDES, plain)) and not _mixed_dims(sides[0]):
        return Said(Fraction(1), False, False, None, None, "", tidy_name(plain))
    size, rest = _take_size(plain, words)
    if size is not None:
        name = tidy_name(rest)
        return _leading_pack(Said(Fraction(1), size=size, name=name, whole=tidy_name(plain)))
    if re.search(PAPER, plain):
        return Said(Fraction(1), False, False, None, None, "", tidy_name(plain))
    loose = re.fullmatch(r"(?P<name>.*[^\W\d_].*?)\s*[,:x]\s*(?P<count>\d{1,7})(?:\s*off)?", plain)
    if loose:
        return Said(
            Fraction(int(loose["count"])), True, False, None, None, "", tidy_name(loose["name"])
        )
    raise NotationError("how much of it? Write it as 500 ml, 20 m, 2 x 50 ml or half a 400 g tin",
                        words)  # fmt: skip


def _leading_pack(said: Said) -> Said:
    """Take the pack off the front of a name: ``tin paint 1 l`` is one tin."""
    noun = r"(?P<pack>roll|reel|coil|tin|bottle|tube|can|cartridge|tub|jar|bag|box|packet|drum)"
    found = re.match(rf"(?i){noun}\s+(?:of\s+)?(?=\S)", said.name)
    if found and not said.pack:
        said.pack, said.name = found["pack"], said.name[found.end() :]
        said.counted = True
    return said


def _plain_groups(pattern: str) -> str:
    """Return a pattern without names of groups, so that it may stand in it twice."""
    return re.sub(r"\(\?P<\w+>", "(?:", pattern)


def _joined(said: Said, front: str, words: str) -> Said:
    """Return what a tail says with the name before it."""
    if said.size is None and said.each is None:
        said.whole = tidy_name(f"{front} {said.name}")
        said.size, front = _take_size(front, words)
    said.name = tidy_name(f"{front} {said.name}")
    return said
