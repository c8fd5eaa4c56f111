"""Threads and hardware from the tables, in words."""

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from stores import units
from stores.wording import Line, Lines, Listing
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.measuring import (
        Hardware,
        HardwareBySize,
        HardwarePiece,
        SpecialThreadKnown,
        ThreadKnown,
    )

__all__ = ["hardware", "kinds", "thread"]

# What a person at the bench reads to the end; a program gets the rest.
_NOTES = {"bearing": 3}
_MOST_NOTES = 5
_MOST_OTHERS = 8
_MOST_NEAR = 3
# Up to so many sizes the letters are known: d, D, B.
_PLAIN_SIZES = 3


def thread(reply: "ThreadKnown | SpecialThreadKnown") -> Lines:
    """Return a thread's sizes, drills and spanners."""
    from stores.usecases.measuring import SpecialThreadKnown

    if isinstance(reply, SpecialThreadKnown):
        return _special(reply)
    tpi = "" if reply.tpi is None else f" ({reply.tpi:g} tpi)"
    low, high = reply.outside_limits_mm
    rows = [
        ("outside diameter", f"{reply.major_mm:.3f} mm, {reply.major_in:.4f} in"),
        ("  of a bolt, as made", f"{low:.3f} to {high:.3f} mm, {reply.outside_limits_source}"),
        ("pitch", f"{reply.pitch_mm:.4g} mm{tpi}, {reply.flank_angle_deg:g} degrees"),
        ("effective diameter", f"{reply.effective_mm:.3f} mm"),
        ("bore of the nut", f"{reply.minor_mm:.3f} mm"),
        ("root of the bolt", f"{reply.root_mm:.3f} mm"),
        ("stress area", f"{reply.stress_area_mm2:.3g} mm2"),
        ("tapping drill", _drill(reply)),
    ]
    for spanner in reply.spanners:
        inches = "" if reply.tpi is None else f", {spanner.af_in:.3f} in"
        stamp = f"; spanner {spanner.name}" if reply.tpi is not None else ""
        stamp += " (from memory)" if "memory" in spanner.source else ""
        rows.append(
            (
                "across flats",
                f"{spanner.af_mm:g} mm{inches}: {spanner.part}, {spanner.system}{stamp}",
            )
        )
    for each in reply.heights:
        what = "head of a bolt" if each.part == "bolt" else each.part
        what = "head of a plain bolt" if each.part == "plain bolt" else what
        told = " (from memory)" if each.memory else ""
        rows.append(("height", f"{each.height_mm:g} mm: {what}, {each.standard}{told}"))
    if reply.bolt_threaded:
        lengths = "; ".join(
            f"{each.thread_mm:g} mm on one {_long(each.over_mm, each.to_mm)}"
            for each in reply.bolt_threaded
        )
        rows.append(("thread of a bolt", f"{lengths} (ISO 888)"))
    for bigger in reply.oversizes:
        rows.append(("next size up", f"{bigger.thread}, drill {bigger.drill_mm:g} mm"))
    if reply.insert_drill_mm is not None:
        rows.append(("wire insert", f"drill {reply.insert_drill_mm:g} mm; maker's figure first"))
    least = [f"{each.length_mm:.0f} mm in {each.material}" for each in reply.engagement]
    if least:
        rows.append(("full thread, at least", "; ".join(least) + " (common practice)"))
    else:
        rows.append(
            (
                "full thread",
                "as long as on the old part: it is no bolt, and there is no rule of thumb",
            )
        )
    return Lines(
        [
            Line(reply.thread, whole=True),
            *_rows(rows),
            Line(f"source: {reply.source}", "  ", "  "),
        ]
    )


def _long(over_mm: float, to_mm: float | None) -> str:
    if to_mm is None:
        return f"over {over_mm:g} mm long"
    return f"up to {to_mm:g} mm long" if not over_mm else f"over {over_mm:g} up to {to_mm:g}"


def _rows(rows: Sequence[tuple[str, str]]) -> list[Line]:
    return [Line(text, f"  {label:<22}", " " * 24) for label, text in rows]


def _drill(reply: "ThreadKnown") -> str:
    """Return the tapping drill with the number, letter or fraction drill nearest to it."""
    other = ""
    if reply.tapping_drill_inch and reply.series != "metric":
        other = f", or {reply.tapping_drill_inch} ({reply.tapping_drill_in:.4f} in)"
    drill = f"{reply.tapping_drill_mm:g} mm{other}"
    left = f"{reply.tapping_left_percent:.0f} % of thread"
    return f"{drill}: {left}; {reply.tapping_drill_source}"


def _special(reply: "SpecialThreadKnown") -> Lines:
    tpi = "" if reply.tpi is None else f" ({reply.tpi:g} tpi)"
    outside = "outside, of the pipe" if reply.family == "NPT" else "outside diameter"
    rows = [
        (outside, f"{reply.major_mm:.3f} mm, {reply.major_mm / 25.4:.4f} in"),
        ("pitch", f"{reply.pitch_mm:.4g} mm{tpi}, {reply.flank_angle_deg:g} degrees"),
        ("effective diameter", f"{reply.pitch_diameter_mm:.3f} mm"),
        ("bore of the nut", f"{reply.minor_mm:.3f} mm"),
        ("root of the bolt", f"{reply.root_mm:.3f} mm"),
    ]
    if reply.gauge_mm is not None:
        rows.append(("together by hand", f"about {reply.gauge_mm:.1f} mm"))
    if reply.tapping_drill_mm is not None:
        hole = "bore before the tap" if reply.family == "Tr" else "tapping drill"
        rows.append((hole, f"{reply.tapping_drill_mm:g} mm"))
    return Lines(
        [
            Line(f"{reply.thread}, {reply.family_name}", whole=True),
            *_rows(rows),
            Line(f"note: {reply.note}", "  ", "  "),
            Line(f"source: {reply.source}", "  ", "  "),
        ]
    )


def kinds(reply: "dict[str, tuple[tuple[str, str], ...]]") -> Listing:
    """Return the kinds of hardware and what to type of each."""
    from stores.handbook.hardware import called, typed

    return Listing(
        ["Kind", "Sizes, in this order"], [[called(kind), typed(kind)] for kind in reply]
    )


def hardware(reply: "Hardware") -> Lines:
    """Return what to order, or the nearest and by how much it misses."""
    from stores.usecases.measuring import HardwareBySize

    if isinstance(reply, HardwareBySize):
        return Lines(_by_size([reply]))
    matches = [each for each in reply if isinstance(each, HardwareBySize)]
    if matches:
        return Lines(_by_size(matches))
    return Lines(_named([each for each in reply if not isinstance(each, HardwareBySize)]))


def _named(pieces: "Sequence[HardwarePiece]") -> list[Line]:
    lines = []
    for piece in pieces[:_MOST_OTHERS]:
        lines += _with_notes(piece)
    if len(pieces) > _MOST_OTHERS:
        more = len(pieces) - _MOST_OTHERS
        lines.append(Line(f"(and {more} more of that name, with {to_type('--json')})", whole=True))
    return lines + _end(pieces[:1], ())


def _by_size(matches: "Sequence[HardwareBySize]") -> list[Line]:
    fits = [match for match in matches if match.exact or match.question] or matches
    lines = []
    for match in fits:
        lines += _match(match, several=len(matches) > 1)
    last = fits[-1]
    return lines + _end(last.exact or last.meant, last.notes)


def _match(match: "HardwareBySize", *, several: bool) -> list[Line]:
    from stores.handbook.hardware import called, listed_in_full

    if match.exact:
        return _fitting(match.exact)
    what = f"No {called(match.kind)}" if several else "None"
    if match.question:
        asked = f"{what} is just that size in mm: {match.question}"
        if not match.meant:
            return [Line(asked)]
        return [Line(f"{asked}:"), *_fitting(match.meant)]
    words = f"{what} is just that size. The nearest, and by how much each misses:"
    if not listed_in_full(match.kind):
        sizes = " x ".join(units.plain(size, 6) for size in match.asked_mm.values())
        words = f"Not in our list, which is not complete: ask for {sizes} by its size."
        if match.nearest:
            words += " The nearest in the list, and by how much each misses:"
    lines = [Line(words)]
    for piece in match.nearest[:_MOST_NEAR]:
        lines.append(_piece(piece, only=set(piece.misses)))
        misses = ", ".join(
            f"{name} {miss:+g} mm" if miss else f"{name} fits"
            for name, miss in piece.misses.items()
        )
        told = f"measured beside it: {misses}{_if_from_memory(piece)}"
        lines.append(Line(told, "    ", "    "))
    return lines


def _if_from_memory(piece: "HardwarePiece") -> str:
    return " (from memory)" if any("from memory" in note for note in piece.notes) else ""


def _with_notes(piece: "HardwarePiece") -> list[Line]:
    notes = _own(piece)[: _most(piece)]
    return [_piece(piece), *(Line(note, "    ", "    ") for note in notes)]


def _fitting(pieces: "Sequence[HardwarePiece]") -> list[Line]:
    """Return the first with its sizes, and the names of the rest."""
    best, *others = pieces
    lines = _with_notes(best)
    if best.kind == "bearing":
        return lines + _other_bearings(best, others)
    for piece in others[:_MOST_OTHERS]:
        begins = piece.standard.partition(" (")[0]
        standard = "" if piece.designation.startswith(begins) else f", {piece.standard}"
        note = f": {piece.notes[0]}" if piece.notes else ""
        if "from memory" not in note:
            note += _if_from_memory(piece)
        lines.append(Line(f"or {piece.designation}{standard}{note}", rest="    "))
    if len(others) > _MOST_OTHERS:
        more = len(others) - _MOST_OTHERS
        lines.append(Line(f"(and {more} more that fit, with {to_type('--json')})", whole=True))
    return lines


def _other_bearings(best: "HardwarePiece", others: "Sequence[HardwarePiece]") -> list[Line]:
    """Return bearings of other sizes, those of one size together; same sizes stand in a note."""
    by_sizes: dict[str, list[str]] = {}
    for piece in others:
        if piece.sizes != best.sizes:
            by_sizes.setdefault(", ".join(_sizes(piece, ())), []).append(piece.designation)
    lines = [
        Line(f"or {sizes}: {', '.join(names)}", rest="    ")
        for sizes, names in list(by_sizes.items())[:_MOST_OTHERS]
    ]
    if len(by_sizes) > _MOST_OTHERS:
        more = len(by_sizes) - _MOST_OTHERS
        lines.append(Line(f"(and {more} more sizes, with {to_type('--json')})", whole=True))
    return lines


def _piece(piece: "HardwarePiece", only: Collection[str] = ()) -> Line:
    from stores.handbook.hardware import called

    sizes = ", ".join(_sizes(piece, only))
    name = called(piece.kind)
    kind = piece.kind if piece.kind in name else name
    if kind == "bearing":
        kind = f"bearing ({piece.form})"
    return Line(f"{piece.designation}  {kind}, {piece.standard}: {sizes}", rest="    ")


def _sizes(piece: "HardwarePiece", only: Collection[str]) -> Iterator[str]:
    """Yield a piece's sizes, with its limits: "d 2.7 to 2.9", "h 1.6 (at most 1.8)"; ``only``
    those, if any are named."""
    for name, value in piece.sizes.items():
        if (only and name not in only) or name.startswith("shaft_"):
            continue  # which shafts it is for stands in a note
        if not only and name.endswith(("_min", "_max", "_tol")):
            continue
        size = f"{name} {value:g}"
        if (low := piece.sizes.get(f"{name}_min")) is not None:
            size = f"{name} {low:g} to {value:g}"
        elif (high := piece.sizes.get(f"{name}_max")) is not None:
            size += f" (at most {high:g})"
        elif (spread := piece.sizes.get(f"{name}_tol")) is not None:
            size += f" ±{spread:g}"
        yield size


def _end(pieces: "Sequence[HardwarePiece]", notes: Sequence[str]) -> list[Line]:
    """Return the essential notes of the whole answer, as many as the piece's own leave room for."""
    best = pieces[0] if pieces else None
    most = _most(best) if best is not None else _MOST_NEAR
    own = len(_own(best)) if best is not None else 0
    room = max(0, most - own)
    lines = [Line(note, "- ", "  ") for note in notes[:room]]
    if best is not None and len(best.sizes) > _PLAIN_SIZES:
        lines.append(Line(f"in mm: {', '.join(_legend(best))}", "- ", "  "))
    left = max(0, own - most) + len(notes[room:])
    if left:
        word = "note" if left == 1 else "notes"
        lines.append(Line(f"({left} more {word} with {to_type('--json')})", whole=True))
    return lines


def _legend(piece: "HardwarePiece") -> Iterator[str]:
    from stores.handbook.hardware import dimensions

    words = dict(dimensions(piece.kind))
    for name in piece.sizes:
        hidden = name.startswith("shaft_") or name.endswith(("_min", "_max", "_tol"))
        if not hidden and not words.get(name, name).startswith(name):
            yield f"{name} = {words[name]}"


def _most(piece: "HardwarePiece") -> int:
    return _NOTES.get(piece.kind, _MOST_NOTES)


def _own(piece: "HardwarePiece") -> list[str]:
    """Return a piece's notes but for what stands in the heading, the warning first."""
    notes = [note for note in piece.notes if note != piece.form]
    return sorted(notes, key=lambda note: "from memory" not in note)
