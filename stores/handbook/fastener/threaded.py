"""Sizes of threaded things: which figure is the diameter, the pitch or tpi, the length.

``M6x40`` is a length, ``M6x1x40`` a pitch and a length, ``1/4x20`` threads per inch, ``3/4x4`` a
length in inches; where both readings are possible (``3/4x10``) neither is taken.
"""

from fractions import Fraction

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.figures import (
    GAUGED,
    SHORT,
    Atom,
    has_unit,
    is_trapezoidal,
    metric_size,
    named_size,
    plain_size,
    set_length,
    take,
)
from stores.handbook.fastener.model import Kind, Series, number_text
from stores.handbook.fastener.threads import COARSE_PITCH, PITCHES, has_size, inch_families
from stores.handbook.fastener.tokens import Mark
from stores.handbook.fastener.writing import INCH_SERIES

__all__ = ["plausible_pitch", "read_threaded"]


def read_threaded(draft: Draft, runs: list[list[Atom]]) -> None:
    for run in [] if _two_ends(draft, runs) else runs:
        if any(a.role == "other" for a in run):
            continue
        if draft.size:
            _further(draft, run)
            continue
        head = run[0]
        if head.role == "long":
            set_length(draft, head)
            continue
        if head.role not in ("", "dia"):
            continue
        if head.token.mark is Mark.METRIC:
            metric_size(draft, head)
            _metric_rest(draft, head, run[1:])
        elif head.token.mark is Mark.BA:
            named_size(draft, head)
            _inch_lengths(draft, run[1:])
        elif head.token.mark is Mark.GAUGE or _is_gauge(draft, run):
            draft.size = f"#{head.value}"
            take(draft, head)
            for atom in run[1:]:
                if not has_unit(draft, atom):
                    atom.unit = "in"
            _inch_rest(draft, run[1:])
        else:
            _numbered(draft, run)
    if draft.kind in SHORT and draft.length is not None and draft.kind is Kind.NUT:
        draft.ask("a nut with a length; is it a long nut")


def _two_ends(draft: Draft, runs: list[list[Atom]]) -> bool:
    """Leave open the size of a stud with another thread at either end: "M8/M6 x 40"."""
    ends = [run for run in runs if run[0].token.mark is Mark.METRIC]
    if len(ends) != 2 or draft.text_of(ends[1][0].at - 1) != "/":
        return False
    one, two = (run[0].text for run in ends)
    draft.ask(f"two threads: {one} and {two}; which end is which")
    if len(ends[1]) == 2 and ends[1][1].join == "x":
        set_length(draft, ends[1][1])
    return True


def _further(draft: Draft, run: list[Atom]) -> None:
    """Read a run after the size was read: a length by itself, or a pitch in words."""
    atom = run[0]
    if len(run) > 1 or atom.token.mark is not Mark.NUMBER:
        return
    if atom.role == "pitch" and not draft.pitch:
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


def _next_to_size(draft: Draft, atom: Atom) -> bool:
    """Tell "M3 12mm" and "M6 bolt 25mm" from "standoff M3 x 50 mm, 6 mm stud"."""
    alone = draft.mark(atom.at - 1) is Mark.COMMA and draft.mark(atom.end) in (Mark.COMMA, None)
    return alone or not any(
        draft.mark(at) is Mark.COMMA and draft.tokens[at].text.strip() in (",", ";", ":")
        for at in range(atom.at)
        if at and draft.used[at - 1]
    )


def plausible_pitch(diameter: Fraction, pitch: Fraction) -> bool:
    """Tell whether a figure can be a metric pitch: one of ISO 261, not above the coarse one."""
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
    if any(a.join == "/" or _is_list(a) for a in rest):
        draft.ask("more than one length; which")
        return
    first = rest[0]
    if first.text in _CLASSES and len(rest) == 1 and not _written_unit(draft, first):
        draft.ask(f"x {first.text}: the property class, or millimetres long; which")
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
        elif first.join == "x" and draft.kind is not Kind.NUT:
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
        draft.ask(f"pitch {draft.pitch}: no table has it for this size")
    else:
        draft.ask(f"{first.text} x {second.text}: neither is a pitch of M{diameter}; what are they")


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
        draft.ask(f"x {first.text}: threads per inch, or inches long; which")
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
        draft.ask("more than one length; which")
        return
    atom = rest[0]
    if atom.join != "x" or draft.kind in (Kind.NUT,):
        return
    if atom.whole and atom.unit == "in" and not _written_unit(draft, atom) and atom.value > 12:
        draft.ask(f"x {atom.text}: inches or millimetres long; which")
        return
    if len(rest) > 1 and rest[1].join == "x":
        draft.ask(f"x {atom.text} x {rest[1].text}: which is the length")
        return
    set_length(draft, atom)


def _numbered(draft: Draft, run: list[Atom]) -> None:
    """Read a size that begins with a plain figure: 1/4 BSF x 1, 3/8-16, 6 x 25, 0.25 x 20 x 0.5."""
    head, rest = run[0], run[1:]
    inch = head.unit == "in"
    if not inch and head.whole and rest and rest[0].join == "-" and head.value <= 4:
        inch = 4 <= rest[0].value <= 16  # "1-14": one inch, fourteen threads
    if len(rest) > 1 and (rest[0].join, rest[1].join) == ("-", "/"):
        draft.ask(f"two threads per inch: {rest[0].text} and {rest[1].text}; which end is which")
        rest = rest[2:]  # "3/8-16/24 x 2": the size and the length are plain
    if any(a.join == "/" for a in rest):
        draft.ask("more than one length; which")
        return
    if inch:
        _numbered_inch(draft, head, rest)
        return
    if not _worth(draft, run):
        return
    if head.role == "" and not rest and draft.kind not in SHORT and draft.kind is not Kind.PART:
        draft.ask(f"{head.text}: diameter or length; which")
        return
    plain_size(draft, head)
    if len(rest) == 1 or (rest and rest[1].join == "-"):
        set_length(draft, rest[0])
    elif len(rest) == 2 and draft.kind is Kind.SCREW and rest[0].value * 2 < head.value:
        draft.pitch = number_text(rest[0].value, False)
        take(draft, rest[0])
        set_length(draft, rest[1])
    if draft.series not in GAUGED:
        draft.ask(f"{draft.size}: which thread")


def _numbered_inch(draft: Draft, head: Atom, rest: list[Atom]) -> None:
    head.unit = "in"
    for atom in rest:
        if not has_unit(draft, atom):
            atom.unit = "in"
    if _length_first(draft, head, rest):
        return
    plain_size(draft, head)
    if head.value.denominator == 1:
        draft.size = str(head.value)  # the trade writes "1 UNC", not "1 in UNC"
    _inch_rest(draft, rest)


def _length_first(draft: Draft, head: Atom, rest: list[Atom]) -> bool:
    """Read "2 x 3/8 UNC bolt" the other way round; leave "7/8 x 3/4 BSW bolt" open.

    Nothing with a thread is shorter than half its diameter (common practice; grub screws come
    nearest to it).
    """
    if len(rest) != 1 or draft.series not in INCH_SERIES or draft.kind is Kind.NUT:
        return False
    second = rest[0]
    if second.join != "x" or second.role or second.after_series or second.value >= head.value:
        return False
    if head.role == "dia" or not second.token.fraction:
        return False
    size = number_text(second.value, True)
    if 2 * second.value > head.value or not has_size(draft.series, size):
        draft.ask(f"{head.text} x {second.text}: which is the diameter")
        return True
    draft.size = size
    take(draft, second)
    set_length(draft, head)
    draft.ask(f"{head.text} x {second.text}: read as {size}, the length written first")
    return True


def _worth(draft: Draft, run: list[Atom]) -> bool:
    """Leave a lone figure without a unit unread: it is rarely a size."""
    return len(run) > 1 or has_unit(draft, run[0]) or run[0].role == "dia"
