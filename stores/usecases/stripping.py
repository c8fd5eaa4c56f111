"""Strip-down: one removal, one act, one numbered step."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine, clean, read_line
from stores.handbook.cautions import cautions_for
from stores.handbook.fastener import renew_always
from stores.model.items import many, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.model.renewals import RenewRule, renew_reason
from stores.storage import Store, Writer
from stores.storage.machines import machine_named
from stores.storage.places import last_place
from stores.storage.renewals import renew_rules
from stores.storage.writer import Made
from stores.usecases.common import NOTE_LENGTH, Done, place_named, refuse_beside
from stores.usecases.judging import REASON_NEEDED

__all__ = ["loose", "read_path", "strip"]

MAX_LINES = 60
"""The most lines in one step: beyond it is a slip of the keyboard."""


def read_path(text: str) -> tuple[str, ...]:
    """Read an assembly's path, ``Engine/Clutch`` or ``Engine / Clutch``, from the machine down.

    Raises:
        NotationError: empty, or with an empty name in it.
    """
    names = [" ".join(name.split()) for name in clean(text, "the assembly", most=200).split("/")]
    if not all(names):
        raise NotationError("an assembly's name is empty: write it as Engine/Clutch", text)
    if len(names) > 8:
        raise NotationError("more than eight levels of assemblies", text)
    return tuple(names)


def strip(
    store: Store,
    assembly: str,
    part: str,
    lines: Sequence[str] = (),
    *,
    machine: str | None = None,
    bag: str = "new",
    part_to: str | None = None,
    position: str = "",
    note: str = "",
    hazard: str = "",
    condition: Condition = Condition.AS_REMOVED,
    at: str | None = None,
) -> Done:
    """Record one removal.

    Args:
        store: the opened stores.
        assembly: path from the machine down, ``Engine/Clutch``.
        part: what came off, as a bench line.
        lines: fasteners and small parts that came with it, as bench lines.
        machine: its name or the beginning of it; by default the one last worked on.
        bag: ``new``, ``same`` (as the last step), a bag's code, or another place in the workshop.
        part_to: where the part itself goes, when not into the bag.
        position: where the step's fasteners sat, when a line does not say so itself.
        note: anything worth knowing at the rebuild.
        hazard: what can hurt somebody.
        condition: what is known of the pieces already.
        at: the day it happened, when not now.

    Raises:
        NotationError, NotFound, Refused, BadValue: nothing was changed.
    """
    path = read_path(assembly)
    if len(lines) > MAX_LINES:
        raise BadValue(f"{len(lines)} lines in one step, {MAX_LINES} are the most: make it two")
    read = [read_line(part), *map(read_line, lines)]
    position = clean(position, "the position", most=120, empty=True)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    hazard = clean(hazard, "the hazard", most=NOTE_LENGTH, empty=True)
    if not any(line.found or line.wanted for line in read):
        raise Refused("nothing came off and nothing is missing: there is nothing to record")
    if condition is Condition.NEW:
        raise Refused("what comes off is not new: 'stores buy' brings new pieces in")
    if condition in REASON_NEEDED and not note:
        raise Refused(f"{condition} needs a reason: say it with --note")
    name = read[0].said
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        made = writer.assembly(on.number, path)
        aside = place_named(writer, part_to) if part_to is not None else None
        # A bag that nothing would go into is not begun.
        loose_parts = aside is None or any(line.found for line in read[1:])
        into = _into(writer, bag, on.number) if loose_parts else aside
        if into is None:
            raise AssertionError("a place is always known")
        number = writer.next_step(on.number)
        act = writer.begin(
            ActKind.STRIP, f"step {number}: {name} off {made.name} ({on.name})", at=at
        )
        step, number = writer.step(act, on.number, made.number, part=name, note=note, hazard=hazard)
        came = writer.place(PlaceKind.CAME, on.name)
        moves: list[Movement] = []
        shown: list[str] = []
        written: list[dict[str, Any]] = []
        words = f"{name} {made.name} {note} {hazard}"
        own = renew_rules(writer.connection, writer.fallen())
        for index, line in enumerate(read):
            target = into if index or aside is None else aside
            where = line.position or (position if index or len(read) == 1 else "")
            item, row = _write_item(writer, act, on.number, step, line, where, words)
            if line.found:
                moves.append(
                    Movement(
                        item,
                        line.found,
                        Spot(came.number, Condition.AS_REMOVED),
                        Spot(target.number, condition),
                    )
                )
                if condition is not Condition.AS_REMOVED:
                    writer.finding(act, item, line.found, condition, note)
            shown.append(_shown(f"{number}.{row}", line, where, target, own))
            written.append(
                {
                    "item": f"{number}.{row}",
                    "found": line.found,
                    "as_found": line.thing.spec,
                    "wanted": line.wanted,
                    "as_specified": line.specified.spec,
                    "position": where,
                    "place": target.name,
                }
            )
        writer.move(act, record(writer.stock_for(moves), ActKind.STRIP, moves))
    questions = tuple(dict.fromkeys(q for line in read for q in line.questions))
    twice = _counted_twice(number, read)
    said = [made.name, name, note]
    for line in read:
        said += [line.specified.spec, line.written]
    return Done(
        act,
        (
            f"Step {number}  {made.name}: {name}  [{on.name}]",
            *([f"New assembly: {made.name}"] if made.new else []),
            *_places_said(into, aside),
            *(f"  {line}" for line in shown),
        ),
        (*(f"Unclear: {question}" for question in questions), *twice),
        ((f"HAZARD: {hazard}",) if hazard else ()) + cautions_for(" / ".join(said)),
        data={
            "act": act,
            "machine": on.name,
            "step": number,
            "assembly": made.name,
            "part": name,
            "bag": into.name if into.kind is PlaceKind.BAG else None,
            "place": into.name,
            "new": {"assembly": made.new, "place": into.new},
            "items": written,
            "questions": list(questions),
        },
    )


def _counted_twice(number: int, read: Sequence[BenchLine]) -> list[str]:
    """Ask back where two lines come to one thing: one may have been counted in the other."""
    notes = []
    for at, line in enumerate(read):
        for before, other in enumerate(read[:at]):
            short = other.wanted > other.found
            if (short or line.wanted > line.found) and serves(
                line.specified.spec, other.specified.spec
            ):
                total = line.wanted + other.wanted
                notes.append(
                    f"{number}.{before + 1} and {number}.{at + 1} make {total} "
                    f"{line.specified.spec} in all: is that right? 'stores specify' mends it."
                )
    return notes


def _places_said(into: Made, aside: Made | None) -> list[str]:
    said = []
    for place in dict.fromkeys((into, aside)):
        if place is not None and place.kind is PlaceKind.BAG:
            said.append(f"{'New bag' if place.new else 'Bag'} {place.name}")
        elif place is not None and place.new:
            said.append(f"New place: {place.name}")
    return said


def _into(writer: Writer, bag: str, machine: int) -> Made:
    if bag.strip().casefold() != "same":
        return place_named(writer, bag)
    last = last_place(writer.connection, machine)
    if last is None:
        raise NotFound("there is no last step yet: leave --bag away and a new one is used")
    return writer.place(*last)


def _write_item(
    writer: Writer,
    act: int,
    machine: int,
    step: int | None,
    line: BenchLine,
    position: str,
    words: str,
) -> tuple[int, int]:
    found = writer.description(line.thing)
    specified = writer.description(line.specified)
    item, row = writer.item(
        act,
        machine,
        step,
        found,
        line.found,
        written=line.written,
        position=position,
        words=f"{line.thing.spec} {line.written} {position} {words}",
    )
    wanted = line.wanted if step is not None else 0  # a loose piece is wanted nowhere yet
    writer.specify(act, item, specified, wanted, renew_always(line.specified) or "")
    return item, row


def _shown(
    ref: str, line: BenchLine, position: str, place: Made, own: Mapping[str, RenewRule]
) -> str:
    where = "" if place.kind is PlaceKind.BAG or not line.found else f", {place.where}"
    text = f"{ref}  {many(line.found, line.thing.spec)}{where}"
    if position:
        text += f"  @ {position}"
    if line.thing.spec != line.specified.spec:
        text += f"  SHOULD BE {many(line.wanted, line.specified.spec)}"
    elif line.found != line.wanted:
        text += f"  ({line.wanted} belong here)"
    house = renew_always(line.specified) or ""
    if renew_reason(house, line.specified.spec, own, None):
        text += "  [renew]"
    return text


def loose(
    store: Store,
    text: str,
    *,
    machine: str | None = None,
    to: str = "new",
    note: str = "",
    at: str | None = None,
) -> Done:
    """Record pieces that nobody knows the joint of: they come from unknown origin.

    When the joint is known: 'stores assign'.
    """
    line = read_line(text)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    refuse_beside(replace(line, position=""), "loose", "say what was found, as 1 M8x40 hex")
    if line.found == 0:
        raise Refused("none found is nothing to record")
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        into = place_named(writer, to)
        act = writer.begin(
            ActKind.LOOSE,
            f"{many(line.found, line.thing.spec)} of unknown origin",
            reason=note,
            at=at,
        )
        origin = writer.place(PlaceKind.UNKNOWN, "unknown origin")
        item, row = _write_item(writer, act, on.number, None, line, line.position, note)
        move = Movement(
            item,
            line.found,
            Spot(origin.number, Condition.AS_REMOVED),
            Spot(into.number, Condition.AS_REMOVED),
        )
        writer.move(act, record(writer.stock_for([move]), ActKind.LOOSE, [move]))
    return Done(
        act,
        (f"0.{row}  {many(line.found, line.thing.spec)} of unknown origin, {into.where}",),
        (f"When you know its joint: stores assign 0.{row} 7.2",),
        data={"act": act, "item": f"0.{row}", "place": into.name},
    )
