"""Sizes of washers, pins, rings, keys, bearings and seals; threaded things are next door."""

from fractions import Fraction
from itertools import takewhile

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.figures import (
    WASHERS,
    Atom,
    find_runs,
    has_unit,
    measure,
    metric_size,
    named_size,
    plain_size,
    set_length,
    take,
)
from stores.handbook.fastener.model import Kind, Series, number_text
from stores.handbook.fastener.threaded import read_threaded
from stores.handbook.fastener.threads import COARSE_PITCH, size_value
from stores.handbook.fastener.tokens import Mark

__all__ = ["read_sizes"]

_PINS = frozenset(
    (
        Kind.SPLIT_PIN, Kind.ROLL_PIN, Kind.DOWEL, Kind.TAPER_PIN, Kind.GROOVED_PIN,
        Kind.CLEVIS_PIN, Kind.PIN, Kind.RIVET, Kind.NAIL, Kind.DRIVE_SCREW, Kind.CLIP,
        Kind.SPACER,
    )
)  # fmt: skip
_RINGS = frozenset((Kind.CIRCLIP, Kind.E_CLIP, Kind.BALL))
_SIZED = frozenset((Kind.CLAMP, Kind.BEARING, Kind.SEAL, Kind.O_RING, Kind.SHIM, Kind.GASKET))
_KEYS = frozenset((Kind.WOODRUFF_KEY, Kind.PARALLEL_KEY))
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
    _figures(draft)
    if draft.kind is Kind.PIN and draft.values.get("form") == "cotter":
        _cotter(draft)


def _cotter(draft: Draft) -> None:
    """Settle a cotter pin by its size: a tapered one is never so thin as a split pin.

    Common practice: cycle cranks 8.5 to 9.5 mm, kick-starters 3/8 to 1/2 in.
    """
    size = size_value(draft.size)
    if size is not None and size < 8:
        draft.kind = Kind.SPLIT_PIN
        del draft.values["form"]
    else:
        draft.ask("cotter pin: a split pin (American), or a tapered cotter (British); which")


def _figures(draft: Draft) -> None:
    runs = [] if draft.sizeless else find_runs(draft)
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
            draft.ask("which figure is the bore and which the section of the O-ring")


def _thickness(draft: Draft, atom: Atom) -> None:
    """Read the one figure of a shim: its thickness, in mm unless said or written to a thou."""
    if not has_unit(draft, atom) and len(atom.text.partition(".")[2]) < 3:
        atom.unit = "mm"
    if atom.unit != "mm" or atom.value <= 3:
        atom.role = "thick"


def _key(draft: Draft, runs: list[list[Atom]]) -> None:
    for run in runs:
        if run[0].token.mark is Mark.GAUGE:
            draft.marks.append(f"No {run[0].value}")  # a woodruff key by its number
            take(draft, run[0])
            continue
        for place, atom in enumerate(run):
            if draft.kind is Kind.PARALLEL_KEY and (place == 2 or atom.role == "long"):
                set_length(draft, atom)
            elif len(run) > 1 or atom.role:
                draft.dimensions.append(measure(atom))
                take(draft, atom)


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
                    draft.ask(f"x {atom.text}: another count; which")
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
                draft.ask("two figures stand for one size; which")
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
                    draft.ask(f"x {atom.text}: a count, or millimetres long; which")
                    continue
                set_length(draft, atom)
