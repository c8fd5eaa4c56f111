"""The figures in a text, each with its unit and role, and the runs they form ("M6 x 1 x 40").

Sizes of threaded things: which figure is the diameter, the pitch or tpi, the length.

``M6x40`` is a length, ``M6x1x40`` a pitch and a length, ``1/4x20`` threads per inch, ``3/4x4`` a
length in inches; where both readings are possible (``3/4x10``) neither is taken.

Sizes of washers, pins, rings, keys, bearings and seals; threaded things are next door.

Two figures that look like a fraction, or stand side by side: 10/32, 2/4, "10 32 UNF".

No one writes a size as a fraction that can be made smaller: 10/32 is a number size with its
threads per inch, and what no table has as such is asked about, never read.
Sizes and threads: ASME B1.1; the stroke in place of the hyphen is trade common practice.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import takewhile

from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import GAUGED, Kind, Measure, Series, number_text
from stores.handbook.fastener.tokens import Mark, Token, in_lowest_terms
from stores.handbook.fastener.writing import (
    COARSE_PITCH,
    INCH_SERIES,
    PITCHES,
    has_size,
    inch_families,
    size_value,
)

__all__ = [
    "GAUGED",
    "SHORT",
    "WASHERS",
    "Atom",
    "find_runs",
    "has_unit",
    "is_number_size",
    "is_trapezoidal",
    "join_number_sizes",
    "measure",
    "metric_size",
    "named_size",
    "plain_size",
    "plausible_pitch",
    "read_sizes",
    "read_strokes",
    "read_threaded",
    "set_length",
    "take",
]


WASHERS = frozenset(
    (Kind.WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.TOOTHED_WASHER, Kind.SEALING_WASHER)
)
# Kinds that have no length; series whose sizes are gauge numbers or millimetres.
SHORT = frozenset((Kind.NUT, Kind.GREASE_NIPPLE, Kind.BLEED_NIPPLE, *WASHERS))
# Units that are kept as others: the unit kept, and how many of it they are.
_SCALED = {"cm": ("mm", Fraction(10)), "thou": ("in", Fraction(1, 1000))}


@dataclass(slots=True)
class Atom:
    """One figure with what is said about it: unit, role, and the sign that joins it leftwards."""

    at: int
    end: int
    token: Token
    value: Fraction
    join: str  # "" for the first of a run, else "x", "-" or "/"
    unit: str = ""
    role: str = ""
    after_series: bool = False  # the name of a thread series stands before it in the run

    @property
    def whole(self) -> bool:
        return self.value.denominator == 1 and not self.token.fraction and "." not in self.text

    @property
    def text(self) -> str:
        return self.token.text.replace(",", ".")


_FIGURES = (Mark.NUMBER, Mark.METRIC, Mark.BA, Mark.GAUGE)


def find_runs(draft: Draft) -> list[list[Atom]]:
    runs: list[list[Atom]] = []
    broken = False  # a figure in doubt leaves what is joined to it in doubt too
    typed = draft.text.lower()
    ranged = " to " in typed or " bis " in typed or " thru " in typed
    for at, token in enumerate(draft.tokens):
        if token.mark not in _FIGURES:
            continue
        if token.mark is Mark.NUMBER:
            joined = draft.mark(at - 1) in (Mark.BY, Mark.DASH) or draft.text_of(at - 1) == "/"
            broken = token.value is None or (broken and joined)
            if broken:
                if draft.mark(at - 1) is Mark.DASH and runs and runs[-1][-1].end == at - 1:
                    _drop_number(runs)  # the whole of "1-2/4"
                continue
        if draft.used[at] or token.value is None or _of_no_size(draft, at, ranged, runs):
            continue
        join = _join(draft, at, bool(runs))
        atom = Atom(at, at + 1, token, token.value, join)
        metric = token.mark is Mark.METRIC or (join and runs[-1][0].token.mark is Mark.METRIC)
        if not (metric and _stands_in(draft, at + 1)):
            _about(draft, atom, runs[-1][-1].end if runs else 0)
        if join:
            atom.after_series = _series_between(draft, runs[-1][-1].end, at)
            runs[-1].append(atom)
        else:
            runs.append([atom])
    for run in runs:
        _units(draft, run)
    return runs


def _of_no_size(draft: Draft, at: int, ranged: bool, runs: list[list[Atom]]) -> bool:
    """Tell a figure in brackets, of a range, a head, a place or another thing from a size."""
    return (
        (draft.depth[at] > 0 and not _labelled(draft, at))
        or (ranged and _in_range(draft, at))
        or (draft.tokens[at].mark is Mark.GAUGE and _names_head(draft, at))
        or (draft.tokens[at].whole is not None and _too_wide(draft, at))
        or (at in draft.other and _of_another(draft, at, runs))
    )


def _drop_number(runs: list[list[Atom]]) -> None:
    if runs[-1][-1].token.mark is Mark.NUMBER:
        runs[-1].pop()
    if not runs[-1]:
        runs.pop()


_TO = ("to", "bis", "thru")


def _in_range(draft: Draft, at: int) -> bool:
    """Tell "1 to 1 1/2", what a clip closes over, from one size."""
    end = at + 1
    while draft.mark(end) is Mark.INCH or draft.says(end, "unit") is not None:
        end += 1
    begin = at - 1
    ends = draft.word(begin) in _TO and draft.mark(begin - 1) in (Mark.NUMBER, Mark.INCH, Mark.WORD)
    return (draft.word(end) in _TO and draft.mark(end + 1) is Mark.NUMBER) or (
        ends and any(t.mark is Mark.NUMBER for t in draft.tokens[max(0, begin - 2) : begin])
    )


def _too_wide(draft: Draft, at: int) -> bool:
    """Leave open "pkt 50 3/32 split pins", fifty of 3/32: nothing is 50 3/32 in across."""
    token = draft.tokens[at]
    if (token.whole or 0) <= _WIDEST or draft.mark(at - 1) is Mark.BY or " " not in token.text:
        return False
    whole, _, part = token.text.partition(" ")
    draft.ask(f"{token.text}: a size, or {whole} off {part}?")
    return True


def _names_head(draft: Draft, at: int) -> bool:
    """Tell "No. 3 hd", a head by its number, and "cylinder no. 2", a place, from a size."""
    return draft.word(at + 1) in ("hd", "head") or _numbers_place(draft, at)


_GAUGE_ALONE = frozenset((Kind.WOODRUFF_KEY, Kind.TAPER_PIN, Kind.NAIL))


def _numbers_place(draft: Draft, at: int) -> bool:
    """Tell "stud 5/16 BSF, cylinder no. 2" from "No. 8 woodscrew" and "taper pin No. 2"."""
    token, before = draft.tokens[at], at - 1 if draft.text_of(at - 1) != "." else at - 2
    named = not token.text.startswith("#") and draft.mark(at + 1) not in (Mark.BY, Mark.DASH)
    if not named or draft.series in GAUGED or draft.kind in _GAUGE_ALONE or at == 0:
        return False
    if draft.kind in _RINGS:
        return True
    found = draft.inside[before]
    placed = found is None or found.phrase.get("part") is not None
    if draft.mark(before) is Mark.WORD and placed:
        return True
    sized = any(
        other.mark in (Mark.METRIC, Mark.BA, Mark.BY)
        or (other.fraction and draft.kind is not Kind.SCREW)
        for other in draft.tokens
    )
    return sized and draft.mark(before) in (Mark.WORD, Mark.COMMA, Mark.CLOSE)


_OWN_SIZE = frozenset(
    (Kind.CLIP, Kind.SPLIT_PIN, Kind.BEARING, Kind.SEAL, Kind.GASKET, Kind.O_RING)
)


def _of_another(draft: Draft, at: int, runs: list[list[Atom]]) -> bool:
    """Tell the figure of what a thing goes on or in, "T-bolt 3/8 x 2 for 1/2 slot", from its own.

    A thing without a size of its own takes that one, "nut for 3/8 BSF stud"; a clip, a split pin
    or a seal never does.
    """
    own = any(atom.at < draft.other.start for run in runs for atom in run)
    return draft.mark(at - 1) is not Mark.BY and (own or draft.kind in _OWN_SIZE)


def _labelled(draft: Draft, at: int) -> bool:
    """Let figures in round brackets count only with a role: "(outer dia 10mm)"."""
    near = range(max(0, at - 3), min(len(draft.tokens), at + 4))
    return any(draft.says(n, "role") for n in near if draft.depth[n])


def _join(draft: Draft, at: int, any_before: bool) -> str:
    """Return the sign that joins a figure to the one before."""
    if not any_before or at == 0 or draft.mark(at) is not Mark.NUMBER:
        return ""
    mark = draft.mark(at - 1)
    if mark is Mark.BY:
        return "x"
    before = at - 2
    if draft.mark(before) is Mark.SIGN and draft.tokens[before].text == ".":
        before -= 1
    sized = draft.mark(before) in (
        Mark.NUMBER,
        Mark.METRIC,
        Mark.GAUGE,
        Mark.BA,
        Mark.INCH,
    ) or bool(
        draft.inside[before] and draft.inside[before].phrase.get("unit")  # type: ignore[union-attr]
    )
    if draft.used[before] and draft.mark(before) is Mark.NUMBER:
        sized = False
    spaced_tpi = (
        mark is Mark.COMMA
        and draft.tokens[at - 1].text.strip() == "-"
        and is_whole(draft.tokens[at])
        and (draft.mark(at + 1) is Mark.BY or _tabled(draft, at))
        and (draft.mark(before) is Mark.INCH or draft.tokens[before].fraction)
    )
    if mark is Mark.DASH or spaced_tpi:  # "1/2-13", and 1/2" - 13 x 1
        return "-" if sized else ""
    if mark is Mark.SIGN and draft.tokens[at - 1].text == "/":
        return "/" if sized else ""
    return ""


def _tabled(draft: Draft, at: int) -> bool:
    """Tell "1/4 - 28 nut", a size of the tables, from "1/4 nut - 28"."""
    size = draft.tokens[at - 2]
    if draft.mark(at - 2) is Mark.INCH:
        size = draft.tokens[at - 3]
    return size.fraction and bool(inch_families(size.text, draft.tokens[at].text))


def _stands_in(draft: Draft, at: int) -> bool:
    """Tell the in of "M8x30 in 1/4 plate" from inches."""
    return draft.word(at) == "in" and draft.tokens[at].spaced and draft.mark(at + 1) is Mark.NUMBER


_ORDINALS = ("th", "ths", "nd", "nds", "rd", "rds")


def _about(draft: Draft, atom: Atom, taken: int) -> None:
    """Read the unit and role written beside a figure; what is before ``taken`` is another's."""
    at = atom.end
    mark = draft.mark(at)
    if mark is Mark.WORD and atom.token.fraction and draft.word(at) in _ORDINALS:
        at += 1
        mark = draft.mark(at)
    if mark is Mark.INCH:
        atom.unit, at = "in", at + 1
    elif mark is Mark.WORD and (unit := draft.says(at, "unit")):
        atom.unit, at = unit, draft.matches[at].last
    if at > atom.end and draft.mark(at) is Mark.SIGN and draft.tokens[at].text == ".":
        at += 1
    atom.end = _role_after(draft, atom, at)
    before = atom.at - 1
    sign = draft.tokens[before].text if draft.mark(before) is Mark.SIGN else ""
    if sign and sign in "Øø⌀=:":
        if sign in "Øø⌀":
            atom.role = atom.role or "dia"
        atom.at, before = before, before - 1
        if draft.word(before) == "l":  # "L=45"
            atom.role, atom.at = "long", before
    elif sign == ".":
        before -= 1  # "long. 30"
    found = draft.inside[before] if before >= 0 else None
    if found is not None and not atom.role and found.last == before + 1:
        role = found.phrase.get("role")
        if role and not draft.used[found.first] and found.first >= taken:
            atom.role, atom.at = role, found.first
    if atom.unit in _SCALED:
        atom.unit, scale = _SCALED[atom.unit]
        atom.value *= scale
        if atom.value < _THINNEST and not atom.role:
            atom.role = "thick" if draft.kind in WASHERS or draft.kind in _SIZED else "other"


_THINNEST = Fraction(1, 20)  # inches: no pin and no thread is so thin
_ELSEWHERE = ("head", "hd", "thread", "threaded")
_ENDS = (None, Mark.COMMA, Mark.CLOSE)


def _elsewhere(draft: Draft, at: int) -> bool:
    """Tell "10 mm head", "17 mm hex" at the end and "5 mm allen key": what a tool fits."""
    if draft.word(at) in ("hex", "hexagon"):
        return draft.mark(at + 1) in _ENDS or draft.word(at + 1) == "key"
    if draft.word(at) in ("hole", "holes"):
        return draft.kind in _LENGTHY
    return draft.word(at) in _ELSEWHERE or (
        draft.word(at) == "allen" and draft.word(at + 1) == "key"
    )


def _role_after(draft: Draft, atom: Atom, at: int) -> int:
    """Read what a figure measures, "50 long in", "1.5p", "26T"; return where that ends."""
    last = atom.token.end
    if draft.text[last - 1] in "tT" and draft.text[last - 2].isdigit():
        atom.role = "tpi"
    elif draft.mark(at) is not Mark.WORD:
        pass
    elif draft.word(at) == "me" and atom.join:
        atom.role = "tpi"  # "1/4 x 40 ME", the model engineers' threads, which stay a name
    elif draft.word(at) == "p" and not draft.tokens[at].spaced:
        atom.role = "pitch"
        return at + 1
    elif atom.unit and not atom.join and _elsewhere(draft, at):
        atom.role = "other"  # "10 mm head", across its flats; 1" thread, of a longer bolt
        return at + 1
    elif role := draft.says(at, "role"):
        if role == "long" and atom.token.mark in (Mark.METRIC, Mark.BA):
            return at  # "M6 long. 30": no thread is a length
        return _unit_after(draft, atom, role, draft.matches[at].last)
    return at


def _unit_after(draft: Draft, atom: Atom, role: str, at: int) -> int:
    """Read the unit of "50 long in", behind what the figure measures; return where that ends."""
    atom.role = role
    if unit := draft.says(at, "unit"):
        if not atom.unit:
            atom.unit = unit
            return draft.matches[at].last
    elif draft.mark(at) is Mark.INCH and not atom.unit:
        atom.unit = "in"
        return at + 1
    return at


def _series_between(draft: Draft, first: int, last: int) -> bool:
    said = (draft.matches[at].phrase for at in range(first, last) if at in draft.matches)
    return any(
        phrase.get("series") or any(name == "series" for _, name, _ in phrase.beside)
        for phrase in said
    )


def _units(draft: Draft, run: list[Atom]) -> None:
    """Spread a unit written once over the run; a vulgar fraction is inches."""
    given = [a.unit for a in run if a.unit]
    inch_series = draft.series is not None and draft.series not in (
        Series.METRIC, Series.METRIC_FINE, *GAUGED,
    )  # fmt: skip
    fraction = any(a.token.fraction and a.unit in ("", "in") for a in run)
    head = run[0].token.mark
    if head is Mark.METRIC and not fraction:
        house = "mm"  # whatever thread is said beside it
    elif head in (Mark.GAUGE, Mark.BA) or inch_series or fraction:
        house = "in"
    else:
        house = given[-1] if given else _guess(run)
    for atom in run:
        if not atom.unit:
            atom.unit = "in" if atom.token.fraction else house


def _guess(run: list[Atom]) -> str:
    """Below one, or to three places, a figure such as .875 is inches; metric sizes start at one."""
    thou = len(run[0].text.partition(".")[2]) >= 3
    if any(a.text.startswith(".") and not a.token.comma for a in run):
        thou = all(a.value <= _WIDEST for a in run)  # "1.25 x 2 x .375"
    return "in" if (run[0].value < 1 or thou) and not run[0].token.comma else "mm"


_WIDEST = 12  # inches: a size of a seal or a washer that a leading point shows to be in them


def has_unit(draft: Draft, atom: Atom) -> bool:
    return draft.mark(atom.at + 1) is Mark.INCH or draft.says(atom.at + 1, "unit") is not None


def take(draft: Draft, atom: Atom) -> None:
    draft.use(atom.at, atom.end)
    if atom.join:
        draft.use(atom.at - 1)


def measure(atom: Atom, role: str = "") -> Measure:
    return Measure(atom.value, atom.unit, role or atom.role)


def set_length(draft: Draft, atom: Atom) -> None:
    if draft.length is not None:
        return
    draft.length = Measure(atom.value, atom.unit)
    take(draft, atom)


def plain_size(draft: Draft, atom: Atom) -> None:
    """Set a size that is no thread by itself: 3/8 (inch) or 6 mm."""
    if atom.unit == "in":
        draft.size = number_text(atom.value, True)
        if "/" not in draft.size:
            draft.size += " in"
    else:
        draft.size = f"{number_text(atom.value, False)} mm"
    take(draft, atom)


def metric_size(draft: Draft, atom: Atom) -> None:
    name = f"M{number_text(atom.value, False)}"
    if is_trapezoidal(atom.token):
        _settle(draft, f"Tr{atom.value}", Series.TRAPEZOIDAL)
    elif atom.value.denominator == 1 or name in COARSE_PITCH:
        _settle(draft, name, Series.METRIC)
    else:
        draft.size = f"{number_text(atom.value, False)} mm"
        draft.ask_thread(f"{name} is no ISO metric size; which thread is it?")
    take(draft, atom)


def _settle(draft: Draft, size: str, series: Series) -> None:
    """Set a size that names its own thread; a word for another thread is kept and asked about."""
    if draft.series in GAUGED and series is Series.METRIC:
        draft.ask_thread(f"{size} and {draft.series}: {size[1:]} mm, or a screw that forms {size}?")
        draft.size = f"{size[1:]} mm"
        return
    if draft.series in INCH_SERIES and draft.series is not series and "series" in draft.typed:
        draft.ask_thread(f"two threads, {size} and {draft.typed['series']}: which is it?")
        draft.unread.append(draft.typed["series"])
    draft.size, draft.series = size, series


def is_trapezoidal(token: Token) -> bool:
    """Tell Tr20 from M20."""
    return token.mark is Mark.METRIC and token.text[0] in "Tt"


def named_size(draft: Draft, atom: Atom) -> None:
    if atom.token.mark is Mark.METRIC:
        metric_size(draft, atom)
    elif atom.token.mark is Mark.BA:
        _settle(draft, f"{atom.value}BA", Series.BA)
        take(draft, atom)
    else:
        draft.size = f"#{atom.value}"
        take(draft, atom)


def read_threaded(draft: Draft, runs: list[list[Atom]]) -> None:
    _length_ahead(draft, runs)
    for run in [] if _two_ends(draft, runs) else runs:
        if any(a.role == "other" for a in run):
            continue
        if draft.size:
            _further(draft, run)
            continue
        if run[0].role == "long":
            set_length(draft, run[0])
        elif run[0].role in ("", "dia"):
            _size_and_rest(draft, run, runs)
    if draft.kind in SHORT and draft.length is not None and draft.kind is Kind.NUT:
        draft.ask("a nut with a length; is it a long nut?")


def _length_ahead(draft: Draft, runs: list[list[Atom]]) -> None:
    """Tell the length of "bolt 3 in 5/16 BSF", inches before the fraction that is the size."""
    if len(runs) < 2 or draft.kind not in _LENGTHY or draft.series not in INCH_SERIES:
        return
    one, two = runs[0][0], runs[1][0]
    lone = len(runs[0]) == 1 and one.role == "" and one.unit == "in" and has_unit(draft, one)
    if lone and one.end == two.at and two.token.fraction and not has_unit(draft, two):
        one.role = "long"


def _size_and_rest(draft: Draft, run: list[Atom], runs: list[list[Atom]]) -> None:
    """Read the run that begins with the size."""
    head = run[0]
    if head.token.mark is Mark.METRIC:
        metric_size(draft, head)
        _metric_rest(draft, head, run[1:])
    elif head.token.mark is Mark.BA:
        named_size(draft, head)
        _inch_lengths(draft, run[1:])
    elif _gauge_last(draft, run):
        draft.size = f"#{run[1].value}"
        take(draft, run[1])
        set_length(draft, head)
    elif _by_elimination(draft, run, runs):
        plain_size(draft, head)
        draft.ask_thread(f"{draft.size}: which thread?")
    elif head.token.mark is Mark.GAUGE or _is_gauge(draft, run):
        draft.size = f"#{head.value}"
        take(draft, head)
        for atom in run[1:]:
            if not has_unit(draft, atom):
                atom.unit = "in"
        _inch_rest(draft, run[1:])
    else:
        _numbered(draft, run)


def _two_ends(draft: Draft, runs: list[list[Atom]]) -> bool:
    """Leave open the size of a stud with another thread at either end: "M8/M6 x 40"."""
    ends = [run for run in runs if run[0].token.mark is Mark.METRIC]
    said = any(draft.word(at) in ("end", "ends") for at in range(len(draft.tokens)))
    if said and draft.kind is Kind.STUD and len(ends) > 1:
        draft.ask_thread("two threads: which end has which?")
    if len(ends) != 2 or draft.text_of(ends[1][0].at - 1) != "/":
        return False
    one, two = (run[0].text for run in ends)
    draft.ask_thread(f"two threads, {one} and {two}: which end has which?")
    if len(ends[1]) == 2 and ends[1][1].join == "x":
        set_length(draft, ends[1][1])
    return True


def _further(draft: Draft, run: list[Atom]) -> None:
    """Read a run after the size was read: a length by itself, or a pitch in words."""
    atom = run[0]
    if len(run) == _PAIR and _threads_first(draft, atom):
        draft.pitch = str(atom.value)
        take(draft, atom)
        if not has_unit(draft, run[1]):
            run[1].unit = "in"
        _inch_lengths(draft, run[1:])
        return
    if len(run) > 1 or atom.token.mark is not Mark.NUMBER:
        return
    if _bare_length(draft, atom):
        set_length(draft, atom)
    elif atom.role == "pitch" and not draft.pitch and draft.series not in INCH_SERIES:
        draft.pitch = number_text(atom.value, False)
        take(draft, atom)
    elif atom.role == "tpi" and not draft.pitch and atom.whole:
        draft.pitch = str(atom.value)
        take(draft, atom)
    elif (
        draft.length is None
        and draft.kind not in SHORT
        and (
            atom.role == "long"
            or (atom.role == "" and has_unit(draft, atom) and _next_to_size(draft, atom))
        )
    ):
        set_length(draft, atom)


_PAIR = 2


def _threads_first(draft: Draft, atom: Atom) -> bool:
    """Tell the threads of "7/16 20tpi x 9" and "1/4 cycle 26 x 1 1/4", before the length."""
    if draft.pitch or not atom.whole or draft.kind not in _LENGTHY or has_unit(draft, atom):
        return False
    if draft.size.endswith((" mm", " in")) or draft.series is Series.METRIC:
        return False
    known = draft.series in INCH_SERIES and draft.series in inch_families(draft.size, atom.text)
    return atom.role == "tpi" or (known and atom.role == "")


def _bare_length(draft: Draft, atom: Atom) -> bool:
    """Tell the length of "5/16 BSF 1 1/2 bolt" and "M6 25 hex bolt": right behind the size."""
    if draft.length is not None or draft.kind not in _LENGTHY or atom.role or draft.pitch:
        return False
    behind = atom.at - 1 - (draft.mark(atom.at - 1) is Mark.COMMA)
    before = draft.inside[behind] if behind >= 0 else None
    if atom.token.fraction:
        return (
            draft.series in INCH_SERIES
            and before is not None
            and before.phrase.get("series") is not None
        )
    size = size_value(draft.size) if draft.series is Series.METRIC else None
    behind = draft.mark(atom.at - 1) is Mark.METRIC
    return size is not None and behind and atom.whole and size * 2 <= atom.value <= _LONGEST


_LENGTHY = frozenset((Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD))

_LONGEST = 200  # millimetres; what is longer says so


def _next_to_size(draft: Draft, atom: Atom) -> bool:
    """Tell "M3 12mm" and "M6 bolt 25mm" from "standoff M3 x 50 mm, 6 mm stud"."""
    alone = draft.mark(atom.at - 1) is Mark.COMMA and draft.mark(atom.end) in (Mark.COMMA, None)
    return alone or not any(
        draft.mark(at) is Mark.COMMA and draft.tokens[at].text.strip() in (",", ";", ":")
        for at in range(atom.at)
        if at and draft.used[at - 1]
    )


def plausible_pitch(diameter: Fraction, pitch: Fraction) -> bool:
    """Return whether a figure can be a metric pitch: one of ISO 261, not above the coarse one."""
    name = f"M{number_text(diameter, False)}"
    coarse = Fraction(COARSE_PITCH[name]) if name in COARSE_PITCH else diameter / 5
    return pitch in PITCHES and pitch <= coarse


# ISO 898-1: as a length each is rarer than a slip of the pen for "M16 8.8".
_CLASSES = frozenset(["3.6", "4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"])


def _is_list(atom: Atom) -> bool:
    """Tell the lengths "25,30" from the pitch 1,25 and the length 12,5."""
    whole, _, part = atom.token.text.partition(",")
    return atom.token.comma and len(part) > 1 and int(whole or 0) > max(PITCHES)


def _metric_rest(draft: Draft, head: Atom, rest: list[Atom]) -> None:
    if is_trapezoidal(head.token):
        _trapezoidal_rest(draft, rest)
    else:
        _pitch_and_length(draft, head.value, rest)


def _pitch_and_length(draft: Draft, diameter: Fraction, rest: list[Atom]) -> None:
    rest = [a for a in rest if a.role not in ("OD", "ID", "thick", "wide", "high", "section")]
    if not rest:
        return
    first = rest[0]
    if any(a.join == "/" or _is_list(a) for a in rest):
        _open_lengths(draft, diameter, first)
        return
    if first.text in _CLASSES and len(rest) == 1 and not _written_unit(draft, first):
        draft.ask(f"x {first.text}: the property class, or millimetres long?")
        return
    pitched = first.role == "pitch" or plausible_pitch(diameter, first.value)
    if pitched and first.unit == "mm" and first.role != "long":
        draft.pitch = number_text(first.value, False)
        take(draft, first)
        if len(rest) > 1 and draft.kind not in SHORT:
            set_length(draft, rest[1])
        return
    if len(rest) == 1:
        if first.unit == "mm" and first.value in PITCHES and first.value * 2 < diameter:
            draft.ask(f"{first.text}: a pitch that M{diameter} does not have, or a length")
        elif _may_be_length(draft, diameter, first):
            set_length(draft, first)
        return
    second = rest[1]
    if len(rest) == 2 and second.unit == "mm" and plausible_pitch(diameter, second.value):
        draft.pitch = number_text(second.value, False)
        set_length(draft, first)
        take(draft, second)
    elif second.join == "-":
        set_length(draft, first)
    elif first.value * 2 < diameter < second.value and draft.kind not in SHORT:
        draft.pitch = number_text(first.value, False)
        take(draft, first)
        set_length(draft, second)
        draft.ask(f"pitch {draft.pitch}: not in the tables for this size")
    else:
        draft.ask(
            f"{first.text} x {second.text}: neither is a pitch of M{diameter}; what are they?"
        )


def _open_lengths(draft: Draft, diameter: Fraction, first: Atom) -> None:
    """Read the pitch alone of "M10 x 1,25 /35"; which the length is stays open."""
    if first.join == "x" and first.unit == "mm" and plausible_pitch(diameter, first.value):
        draft.pitch = number_text(first.value, False)
        take(draft, first)
    draft.ask("more than one length: which is it?")


def _may_be_length(draft: Draft, diameter: Fraction, atom: Atom) -> bool:
    """Tell the length of "M6 x 25" and of "M6-25 bolt"."""
    if atom.join == "x":
        return draft.kind is not Kind.NUT
    return atom.whole and draft.kind in _LENGTHY and atom.value >= 2 * diameter


def _trapezoidal_rest(draft: Draft, rest: list[Atom]) -> None:
    """Read what follows Tr20: the pitch always, then the length (ISO 2902)."""
    rest = [a for a in rest if a.join == "x" and a.role in ("", "pitch", "long")]
    if rest and rest[0].unit == "mm":
        draft.pitch = number_text(rest[0].value, False)
        take(draft, rest[0])
        if len(rest) > 1 and draft.kind not in SHORT:
            set_length(draft, rest[1])


def _is_gauge(draft: Draft, run: list[Atom]) -> bool:
    """Tell a number size such as 8-32, or a wood screw 8 x 1 1/2, from inches or millimetres."""
    head = run[0]
    if not head.whole or head.value > 24 or len(run) < 2 or has_unit(draft, head):
        return False
    second = run[1]
    if second.join == "-" and second.whole and head.value <= 14:
        return bool(inch_families(f"#{head.value}", str(second.value)))
    if draft.series in GAUGED:
        return second.token.fraction or second.value < head.value / 3
    return False


def _by_elimination(draft: Draft, run: list[Atom], runs: list[list[Atom]]) -> bool:
    """Tell the diameter of "10 mm bolt 40 long": the other figure is said to be the length."""
    head = run[0]
    lone = len(run) == 1 and head.unit == "mm" and has_unit(draft, head) and head.role == ""
    long = draft.length is not None or any(r[0].role == "long" for r in runs if r is not run)
    return lone and long and draft.kind in _LENGTHY and draft.series is None


def _gauge_last(draft: Draft, run: list[Atom]) -> bool:
    """Tell the length and gauge of a British wood screw, 3/4 x 8 and 1" x 6, from gauge first."""
    if draft.series not in GAUGED or len(run) != 2 or run[1].join != "x" or run[1].role:
        return False
    if draft.values.get("form") or draft.values.get("head") == "hex":
        return False  # a coach screw goes by inches
    head, gauge = run
    inches = head.token.fraction or (head.unit == "in" and has_unit(draft, head))
    return inches and gauge.whole and not has_unit(draft, gauge) and gauge.value <= 24


def _inch_rest(draft: Draft, rest: list[Atom]) -> None:
    """Read what follows an inch size: the threads per inch and the length, or one of them."""
    rest = [a for a in rest if a.role not in ("OD", "ID", "thick", "wide", "high", "section")]
    if not rest:
        return
    first = rest[0]
    if _is_tpi(draft, first, rest):
        draft.pitch = str(first.value)
        take(draft, first)
        rest = rest[1:]
    elif first.join == "x" and first.whole and first.unit == "in" and _open_tpi(draft, first, rest):
        draft.ask_thread(f"x {first.text}: threads per inch, or inches long?")
        return
    _inch_lengths(draft, rest)


def _families(draft: Draft, atom: Atom) -> tuple[Series, ...]:
    if draft.size.endswith((" mm", " in")) or not atom.whole:
        return ()
    found = inch_families(draft.size, str(atom.value))
    return tuple(s for s in found if s is draft.series) if draft.series in found else found


def _written_unit(draft: Draft, atom: Atom) -> bool:
    return has_unit(draft, atom) or atom.role == "long"


def _is_tpi(draft: Draft, atom: Atom, rest: list[Atom]) -> bool:
    if not atom.whole or _written_unit(draft, atom) or draft.series in GAUGED:
        return atom.role == "tpi"
    if atom.role == "tpi":
        return True
    if atom.after_series:
        return False
    if atom.join == "-":
        return 4 <= atom.value <= 80
    known = bool(_families(draft, atom))
    return known and (len(rest) > 1 or atom.value > 12 or draft.kind in SHORT)


def _open_tpi(draft: Draft, atom: Atom, rest: list[Atom]) -> bool:
    if _written_unit(draft, atom) or atom.after_series or draft.series in GAUGED:
        return False
    return len(rest) == 1 and bool(_families(draft, atom)) and draft.series is None


def _inch_lengths(draft: Draft, rest: list[Atom]) -> None:
    if not rest:
        return
    if any(a.join == "/" for a in rest):
        draft.ask("more than one length: which is it?")
        return
    atom = rest[0]
    if atom.join != "x" or draft.kind in (Kind.NUT,):
        return
    if atom.unit == "in" and not _written_unit(draft, atom) and atom.value > 12:
        draft.ask(f"x {atom.text}: inches or millimetres long?")
        return
    if len(rest) > 1 and rest[1].role == "tpi" and not draft.pitch and rest[1].whole:
        draft.pitch = str(rest[1].value)  # "1/4 x 1/2 x 26tpi"
        take(draft, rest[1])
    elif len(rest) > 1 and rest[1].join == "x":
        draft.ask(f"x {atom.text} x {rest[1].text}: which is the length?")
        return
    set_length(draft, atom)


def _numbered(draft: Draft, run: list[Atom]) -> None:
    """Read a size that begins with a plain figure: 1/4 BSF x 1, 3/8-16, 6 x 25, 0.25 x 20 x 0.5."""
    head, rest = run[0], run[1:]
    inch = head.unit == "in"
    if not inch and head.whole and rest and rest[0].join == "-" and head.value <= 4:
        inch = 4 <= rest[0].value <= 16  # "1-14": one inch, fourteen threads
    if _written_with_dash(draft, head, rest) or _two_threads(draft, head, rest):
        return
    if len(rest) > 1 and (rest[0].join, rest[1].join) == ("-", "/"):
        draft.ask_thread(
            f"two threads per inch, {rest[0].text} and {rest[1].text}: which end has which?"
        )
        rest = rest[2:]  # "3/8-16/24 x 2": the size and the length are plain
    if any(a.join == "/" for a in rest):
        draft.ask("more than one length: which is it?")
        return
    if inch:
        _numbered_inch(draft, head, rest)
        return
    if not _worth(draft, run):
        return
    if draft.series is Series.METRIC and rest and rest[0].after_series:  # "8 metric x 30"
        metric_size(draft, head)
        _metric_rest(draft, head, rest)
        return
    if head.role == "" and not rest and draft.kind not in SHORT and draft.kind is not Kind.PART:
        draft.ask(f"{head.text}: diameter or length?")
        return
    plain_size(draft, head)
    if _lone_pitch(draft, head, rest):
        pass
    elif len(rest) == 1 or (rest and rest[1].join == "-"):
        set_length(draft, rest[0])
    elif len(rest) == 2 and draft.kind in _LENGTHY and rest[0].value * 2 < head.value:
        draft.pitch = number_text(rest[0].value, False)
        take(draft, rest[0])
        set_length(draft, rest[1])
    if draft.series not in GAUGED:
        draft.ask_thread(f"{draft.size}: which thread?")


_PARTS_OF = frozenset((4, 8, 16, 32, 64))


def _written_with_dash(draft: Draft, head: Atom, rest: list[Atom]) -> bool:
    """Leave open "7-16 BSF", a fraction with a dash; "#8-32" and "1-8 UNC" are sizes."""
    if not rest or rest[0].join != "-" or not (head.whole and rest[0].whole):
        return False
    part = rest[0].value in _PARTS_OF and head.value % 2 == 1 and head.value < rest[0].value
    known = draft.series is not None and draft.series not in (Series.METRIC, Series.METRIC_FINE)
    tabled = inch_families(str(head.value), str(rest[0].value))
    if not part or has_unit(draft, head) or (draft.series in tabled if known else tabled):
        return False
    draft.ask(f"{head.text}-{rest[0].text}: {head.text}/{rest[0].text}, or threads per inch?")
    return True


def _two_threads(draft: Draft, head: Atom, rest: list[Atom]) -> bool:
    """Leave open the size of a stud with another thread at either end: 3/8-16 x 3/8-24 x 2."""
    if [a.join for a in rest[:3]] != ["-", "x", "-"] or not rest[1].token.fraction:
        return False
    draft.ask_thread(
        f"two threads, {head.text}-{rest[0].text} and {rest[1].text}-{rest[2].text}: "
        "which end has which?"
    )
    if len(rest) > 3:
        set_length(draft, rest[3])
    return True


def _lone_pitch(draft: Draft, head: Atom, rest: list[Atom]) -> bool:
    """Read "5mm x 0.8": nothing with a thread is so short, so it is the pitch."""
    if len(rest) != 1 or not head.unit == rest[0].unit == "mm" or rest[0].role == "long":
        return False
    if rest[0].value * 2 >= head.value:
        return False
    draft.pitch = number_text(rest[0].value, False)
    take(draft, rest[0])
    return True


def _numbered_inch(draft: Draft, head: Atom, rest: list[Atom]) -> None:
    head.unit = "in"
    for atom in rest:
        if not has_unit(draft, atom):
            atom.unit = "in"
    if _length_first(draft, head, rest):
        return
    if head.whole and not has_unit(draft, head) and _no_such_inch(draft, head):
        return
    plain_size(draft, head)
    if head.value.denominator == 1:
        draft.size = str(head.value)  # the trade writes "1 UNC", not "1 in UNC"
    _inch_rest(draft, rest)


def _no_such_inch(draft: Draft, head: Atom) -> bool:
    """Leave open "10 UNF", a number size, and "6 BSF", which no table has."""
    if draft.series is None or head.value == 1:
        return False
    numbered = draft.series in _NUMBERED and has_size(draft.series, f"#{head.text}")
    if not numbered and has_size(draft.series, head.text):
        return False
    meant = f"#{head.text}, or so many" if numbered else f"how many, or {head.text} inch"
    draft.ask(f"{head.text}: {meant}?")
    return True


_NUMBERED = (Series.UNC, Series.UNF, Series.UNEF)


def _length_first(draft: Draft, head: Atom, rest: list[Atom]) -> bool:
    """Read "2 x 3/8 UNC bolt" the other way round; leave "7/8 x 3/4 BSW bolt" open.

    Nothing with a thread is shorter than half its diameter (common practice; grub screws come
    nearest to it).
    """
    threaded = draft.series in INCH_SERIES or (draft.series is None and draft.kind in _LENGTHY)
    if len(rest) != 1 or not threaded or draft.kind is Kind.NUT:
        return False
    second = rest[0]
    if second.join != "x" or second.role or second.after_series or second.value >= head.value:
        return False
    if head.role == "dia" or not second.token.fraction:
        return False
    size = number_text(second.value, True)
    tabled = draft.series is None or has_size(draft.series, size)
    if 2 * second.value > head.value or not tabled:
        draft.ask(f"{head.text} x {second.text}: which is the diameter?")
        return True
    if draft.series is None and head.whole and not has_unit(draft, head):
        draft.ask(f"{head.text} x {second.text}: {head.text} off, or {head.text} long?")
        return True
    draft.size = size
    take(draft, second)
    set_length(draft, head)
    draft.ask(f"{head.text} x {second.text}: read as {size}, the length written first")
    return True


def _worth(draft: Draft, run: list[Atom]) -> bool:
    """Leave a lone figure without a unit unread: it is rarely a size."""
    return len(run) > 1 or has_unit(draft, run[0]) or run[0].role == "dia"


_PINS = frozenset(
    (
        Kind.SPLIT_PIN, Kind.ROLL_PIN, Kind.DOWEL, Kind.TAPER_PIN, Kind.GROOVED_PIN,
        Kind.CLEVIS_PIN, Kind.PIN, Kind.RIVET, Kind.NAIL, Kind.DRIVE_SCREW, Kind.CLIP,
        Kind.SPACER,
    )
)  # fmt: skip

_RINGS = frozenset((Kind.CIRCLIP, Kind.E_CLIP, Kind.BALL))

_SIZED = frozenset((Kind.CLAMP, Kind.BEARING, Kind.SEAL, Kind.O_RING, Kind.SHIM, Kind.GASKET))

_KEYS = frozenset((Kind.WOODRUFF_KEY, Kind.PARALLEL_KEY, Kind.GIB_KEY))
# Through holes of DIN 125 and its kin, by which those washers are named: hole -> thread.
_HOLES = {
    Fraction(h): m
    for h, m in (
        ("2.2", 2), ("2.7", 2.5), ("3.2", 3), ("4.3", 4), ("5.3", 5), ("6.4", 6), ("8.4", 8),
        ("10.5", 10), ("13", 12), ("15", 14), ("17", 16), ("19", 18), ("21", 20), ("25", 24),
    )
}  # fmt: skip


def read_sizes(draft: Draft) -> None:
    """Read every run of figures according to the kind, then what the size says of the kind."""
    if draft.kind in (Kind.CLIP, Kind.CLAMP):
        _ranged(draft)
    _figures(draft)
    if draft.kind is Kind.PIN and draft.values.get("form") == "cotter":
        _cotter(draft)


def _ranged(draft: Draft) -> None:
    """Take the dash of "hose clip 1 1/4 - 1 5/8" for that of "20-32": what it closes over."""
    for at, token in enumerate(draft.tokens):
        dash = token.mark is Mark.COMMA and token.text.strip() == "-"
        if dash and draft.mark(at - 1) in _OPEN_ENDS and draft.mark(at + 1) is Mark.NUMBER:
            token.mark = Mark.DASH


_OPEN_ENDS = (Mark.NUMBER, Mark.INCH)


def _cotter(draft: Draft) -> None:
    """Settle a cotter pin by its size: a tapered one is never so thin as a split pin.

    Common practice: cycle cranks 8.5 to 9.5 mm, kick-starters 3/8 to 1/2 in.
    """
    size = size_value(draft.size)
    if size is not None and size < 8:
        draft.kind = Kind.SPLIT_PIN
        del draft.values["form"]
    else:
        draft.ask_kind("cotter pin: a split pin (American), or a tapered cotter (British)?")


def _figures(draft: Draft) -> None:
    runs = [] if draft.sizeless else find_runs(draft)
    runs = [run for run in runs if not _stray(draft, run, runs)]
    if not runs:
        return
    runs.sort(key=lambda run: run[0].token.mark is Mark.NUMBER)
    if draft.kind in _SIZED:
        _dimensions(draft, runs)
    elif draft.kind in _KEYS:
        _key(draft, runs)
    elif draft.kind in _RINGS:
        _ring(draft, runs)
    elif draft.kind in WASHERS:
        _washer(draft, runs)
    elif draft.kind in _PINS:
        _pin(draft, runs)
    else:
        read_threaded(draft, runs)


_BARE = frozenset((*WASHERS, *_PINS, *_RINGS))  # kinds whose size may stand without a unit
_DIMENSIONED = _SIZED | _KEYS  # kinds with sizes that are no diameter
_SMALLEST, _WIDEST_MM = 3, 400


def _stray(draft: Draft, run: list[Atom], runs: list[list[Atom]]) -> bool:
    """Tell the figure of "washer, 1 bent", "split pin, 2 of 3" and "hose clip 1957" from a size.

    A bare whole figure by itself is one only where no fraction follows it, where things of its
    kind are so large, where it is not so many of a noun in the plural, and where no word that is
    no part of a size says of what it is so many.
    """
    atom = run[0]
    if len(run) > 1 or atom.token.mark is not Mark.NUMBER or atom.role or not atom.whole:
        return False
    if has_unit(draft, atom) or atom.at != atom.end - 1 or draft.kind in _DIMENSIONED:
        return False
    if any(other[0].token.fraction and other[0].at > atom.at for other in runs):
        return True
    parted = draft.mark(atom.at - 1) is Mark.COMMA and atom.value <= _SO_MANY
    if draft.kind in _BARE:
        worded = draft.mark(atom.end) is Mark.WORD and draft.inside[atom.end] is None
        return (parted and worded) or _so_many(draft, atom) or any(len(r) > 1 for r in runs)
    return parted and draft.mark(atom.end) is Mark.WORD and not _of_a_size(draft, atom.end)


def _so_many(draft: Draft, atom: Atom) -> bool:
    """Tell a bare figure that no washer, pin or ring has for a size."""
    noun = draft.noun
    behind_code = draft.mark(atom.at - 1) is Mark.CODE or draft.mark(atom.at - 2) is Mark.CODE
    if (
        not (behind_code or _SMALLEST <= atom.value <= _WIDEST_MM)
        or draft.word(atom.at - 1) == "of"
    ):
        return True
    plural = noun is not None and draft.word(noun.last - 1).endswith("s")
    return plural and noun is not None and atom.at < noun.first - 1


def _of_a_size(draft: Draft, at: int) -> bool:
    """Return whether a word can stand behind the figure of a size."""
    found = draft.inside[at]
    return found is not None and any(
        found.phrase.get(name) for name in ("series", "noun", "weak", "unit", "role", "head")
    )


_SO_MANY = 12  # of one kind: "circlip, 25 gudgeon" is a size


def _dimensions(draft: Draft, runs: list[list[Atom]]) -> None:
    for whole_run in runs:
        run = whole_run
        if run[0].token.mark is Mark.METRIC and not draft.size:
            metric_size(draft, run[0])
            run = run[1:]
        lone = len(run) == 1 and not run[0].role and run[0].token.mark is Mark.NUMBER
        if lone and draft.kind is Kind.SHIM:
            _thickness(draft, run[0])
        elif lone and not (has_unit(draft, run[0]) or run[0].token.fraction):
            continue
        if any(a.role == "other" or a.join in ("-", "/") for a in run):
            continue
        for atom in run:
            draft.dimensions.append(measure(atom))
            take(draft, atom)
    if draft.kind is Kind.O_RING and len(draft.dimensions) == 2:
        one, two = draft.dimensions
        if not (one.of or two.of) and one.value < 2 * two.value:
            draft.ask("which figure is the bore and which the section of the O-ring?")


def _thickness(draft: Draft, atom: Atom) -> None:
    """Read the one figure of a shim: its thickness, in mm unless said or written to a thou."""
    if draft.word(atom.at + 1) == "mil":
        draft.ask(f"{atom.text} mil: millimetres, or thousandths of an inch?")
    if atom.token.fraction:
        atom.unit = "in"
    elif not has_unit(draft, atom) and len(atom.text.partition(".")[2]) < 3:
        atom.unit = "mm"
    if atom.unit != "mm" or atom.value <= 3:
        atom.role = "thick"


def _key(draft: Draft, runs: list[list[Atom]]) -> None:
    for run in runs:
        if run[0].token.mark is Mark.GAUGE:
            draft.marks.append(f"No {run[0].value}")  # a woodruff key by its number
            take(draft, run[0])
            continue
        square = len(run) == 2 and _is_square(draft, run[0])
        for place, atom in enumerate(run):
            last = place == 2 or (square and place == 1) or atom.role == "long"
            if draft.kind is not Kind.WOODRUFF_KEY and last:
                set_length(draft, atom)
            elif len(run) > 1 or atom.role:
                draft.dimensions.append(measure(atom))
                if square:
                    draft.dimensions.append(measure(atom))
                take(draft, atom)


def _is_square(draft: Draft, atom: Atom) -> bool:
    """Tell "key 1/4 sq x 1", as wide as it is high, then its length."""
    words = {draft.word(at) for at in range(len(draft.tokens))}
    return bool(words & {"sq", "square"})


def _ring(draft: Draft, runs: list[list[Atom]]) -> None:
    for run in runs:
        for atom in run:
            if atom.role == "other" or atom.join in ("-", "/"):
                break
            if not draft.size and atom.role in ("", "dia", "ID", "OD"):
                plain_size(draft, atom)
            elif draft.kind is Kind.BALL and _counts(draft, atom):
                if draft.quantity is None:
                    draft.quantity = int(atom.value)
                    take(draft, atom)
                else:
                    draft.ask(f"x {atom.text}: a second count: which is right?")
            elif atom.join or atom.role:
                draft.dimensions.append(measure(atom))
                take(draft, atom)


def _counts(draft: Draft, atom: Atom) -> bool:
    """Tell "balls 1/4 in x 18", so many: a ball has one size."""
    bare = atom.role == "" and not has_unit(draft, atom)
    return atom.join == "x" and atom.whole and bare and atom.value > 0


def _washer(draft: Draft, runs: list[list[Atom]]) -> None:
    for whole_run in runs:
        run = list(takewhile(lambda atom: atom.role != "other", whole_run))
        if not run:
            continue
        head = run[0]
        rest = run[1:]
        if head.token.mark in (Mark.METRIC, Mark.BA, Mark.GAUGE) and not draft.size:
            named_size(draft, head)
        elif head.role == "dia" and len(run) == 1 and not (draft.size or draft.dimensions):
            plain_size(draft, head)
        elif head.role or (len(run) > 1 and any(a.role for a in run)):
            rest = run
        elif len(run) == 1 and not draft.size and _standard_washer(draft, head):
            pass
        elif not draft.size and not draft.dimensions and len(run) == 1:
            plain_size(draft, head)
        elif len(run) > 1:
            rest = run
        else:
            continue
        for atom in rest:
            if atom.role == "other" or atom.join in ("-", "/"):
                break
            draft.dimensions.append(measure(atom))
            take(draft, atom)


def _standard_washer(draft: Draft, atom: Atom) -> bool:
    """Read the bare figure after a standard's number: DIN 125 - 8,4, ISO 7089 - 8."""
    if not draft.standard.startswith(("DIN", "ISO", "UNI")) or atom.unit != "mm":
        return False
    value = atom.value
    if draft.standard.startswith("DIN") and value in _HOLES:
        value = Fraction(_HOLES[value])
    if f"M{number_text(value, False)}" not in COARSE_PITCH:
        return False
    draft.size, draft.series = f"M{number_text(value, False)}", Series.METRIC
    take(draft, atom)
    return True


def _pin(draft: Draft, runs: list[list[Atom]]) -> None:
    if draft.kind is Kind.SPACER and runs[0][0].token.mark is Mark.METRIC:
        read_threaded(draft, runs)
        return
    for run in runs:
        if draft.kind is Kind.CLIP and any(a.join in ("-", "/") for a in run):
            continue  # "worm drive clip 20-32": the range it closes over
        for atom in run:
            two = atom.join == "/" or (atom is not run[-1] and run[run.index(atom) + 1].join == "/")
            if two:
                draft.ask("two figures for one size: which is it?")
            elif atom.role == "other" or atom.join == "-":
                continue
            elif atom.role == "long":
                set_length(draft, atom)
            elif atom is run[0] and not draft.size and atom.token.mark is Mark.GAUGE:
                named_size(draft, atom)
            elif atom is run[0] and not draft.size and atom.role in ("", "dia"):
                plain_size(draft, atom)
            elif atom.join == "x" and draft.length is None and atom.role == "":
                if (
                    atom.unit == "in"
                    and atom.whole
                    and atom.value > 12
                    and not has_unit(draft, atom)
                ):
                    draft.ask(f"x {atom.text}: a count, or millimetres long?")
                    continue
                set_length(draft, atom)


_PARTS = ("2", "4", "8", "16", "32", "64")

_LARGEST = 14  # the largest number size of the old American lists
# UNEF has #12-32 too, but who means that one names the series.
_UNSAID = frozenset((Series.UNC, Series.UNF))

_NAMES = {
    "unc": Series.UNC, "nc": Series.UNC, "unf": Series.UNF, "nf": Series.UNF,
    "unef": Series.UNEF, "nef": Series.UNEF,
}  # fmt: skip

_THREADED = frozenset(
    (
        Kind.BOLT, Kind.SCREW, Kind.SETSCREW, Kind.STUD, Kind.STUDDING, Kind.NUT, Kind.STANDOFF,
        Kind.INSERT, Kind.SPACER,
    )
)  # fmt: skip


def is_number_size(number: Token, tpi: Token, series: str | None = None) -> bool:
    """Return whether two whole figures are a number size and its threads per inch.

    ``series`` is the one the text names, if any; without it only UNC and UNF count.
    """
    if not (is_whole(number) and is_whole(tpi)) or (number.value or 0) > _LARGEST:
        return False
    found = inch_families(f"#{number.value}", str(tpi.value))
    return series in found if series else not _UNSAID.isdisjoint(found)


def join_number_sizes(tokens: list[Token]) -> list[Token]:
    """Read "10 32 UNF", as it is said, like "#10-32 UNF"; the series leaves no other reading."""
    if not any(token.mark is Mark.WORD and token.text.lower() in _NAMES for token in tokens):
        return tokens
    out: list[Token] = []
    for at, token in enumerate(tokens):
        if out and at + 1 < len(tokens) and tokens[at + 1].mark is Mark.WORD:
            series = _NAMES.get(tokens[at + 1].text.lower())
            before = out[-1]
            if series and token.spaced and is_number_size(before, token, series):
                before.mark = Mark.GAUGE
                out.append(Token(Mark.DASH, "-", before.end, before.end))
        out.append(token)
    return out


def read_strokes(draft: Draft) -> None:
    """Settle every "10/32": a number size on a threaded thing, else a question."""
    if not any(t.text == "/" or t.doubt or t.whole is not None for t in draft.tokens):
        return
    for token in draft.tokens:
        if token.doubt:
            draft.ask(_question(token.text))
        if token.whole is not None and re.fullmatch("[0-9]+/[0-9]+", token.text):
            part = (token.value or 0) - token.whole
            draft.ask(f"{token.text}: read as {token.whole} {part}")
    named = next((s for hit in draft.matches.values() if (s := hit.phrase.get("series"))), None)
    threaded = draft.kind in _THREADED or (
        draft.kind is Kind.PART and (named is not None or _figures_only(draft))
    )
    for at in range(1, len(draft.tokens) - 1):
        one, stroke, two = draft.tokens[at - 1 : at + 2]
        if not _is_stroke(one, stroke, two) or any(draft.used[at - 1 : at + 2]):
            continue
        alone = draft.text_of(at + 2) != "/" and not _joined(draft, at - 2)
        if threaded and alone and is_number_size(one, two, named):
            one.mark, stroke.mark = Mark.GAUGE, Mark.DASH
        elif two.text in _PARTS and not in_lowest_terms(f"{one.text}/{two.text}"):
            draft.ask(_question(f"{one.text}/{two.text}"))
            one.value = two.value = None


def _is_stroke(one: Token, stroke: Token, two: Token) -> bool:
    tight = not (stroke.spaced or two.spaced)
    return tight and stroke.text == "/" and is_whole(one) and is_whole(two)


def _joined(draft: Draft, at: int) -> bool:
    """Tell a sign that joins what follows to a size before it, "M6 x 6/32", from "4 x 6/32"."""
    sign = draft.mark(at) in (Mark.BY, Mark.DASH) or draft.text_of(at) == "/"
    return sign and not draft.used[at]


def _figures_only(draft: Draft) -> bool:
    """Tell a text of sizes alone, "10/32 x 1/2", from a part with figures in its name."""
    return all(
        draft.used[at]
        or token.mark in (Mark.NUMBER, Mark.BY, Mark.INCH)
        or token.text == "/"
        or draft.inside[at] is not None
        for at, token in enumerate(draft.tokens)
    ) and any(token.mark is Mark.BY for token in draft.tokens)


def _question(text: str) -> str:
    return f"{text}: I don't know this size. Which is it, or how many of which?"
