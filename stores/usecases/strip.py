"""Strip-down: one removal, one act, one numbered step."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine, read_line
from stores.handbook.cautions import cautions_for
from stores.handbook.fastener import near_notation, renew_always
from stores.model.items import serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.model.renewals import RenewRule, renew_reason
from stores.storage import Writer
from stores.storage.machines import machine_named
from stores.storage.places import last_place
from stores.storage.renewals import renew_rules
from stores.storage.writer import Made
from stores.text import clean, either
from stores.usecases.common import (
    NOTE_LENGTH,
    REASON_NEEDED,
    Whereabouts,
    assembly_named,
    condition_named,
    place_named,
    refuse_beside,
)
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "CountedTwice",
    "Loose",
    "LooseRecorded",
    "Strip",
    "Stripped",
    "StrippedLine",
    "loose",
    "read_path",
    "strip",
]

MAX_LINES = 60
"""The most lines in one step: beyond it is a slip of the keyboard."""


@dataclass(frozen=True, slots=True)
class Strip(Ask):
    """One removal.

    ``assembly`` is a path from the machine down, ``Engine/Clutch``; ``part`` what came off and
    ``lines`` what came with it, as bench lines. ``bag`` is ``new``, ``same`` (as the last step), a
    bag's code, or another place in the workshop; ``part_to`` where the part itself goes, when not
    into the bag. ``position`` is where the fasteners sat, when a line does not say so itself.
    ``condition`` is what is known of the pieces already. ``new_place`` and ``new_assembly`` say
    that a name is that of a new one, though it is near an old one or an odd one.
    """

    assembly: str
    part: str
    lines: Sequence[str] = ()
    bag: str = "new"
    part_to: str | None = None
    position: str = ""
    note: str = ""
    hazard: str = ""
    condition: str = "as removed"
    new_place: bool = False
    new_assembly: bool = False


@dataclass(frozen=True, slots=True)
class StrippedLine:
    """One line of a step: as found, as specified, where it sat, where it went."""

    item: str
    found: int
    as_found: str
    wanted: int
    as_specified: str
    position: str
    place: Whereabouts
    renew: str = ""


@dataclass(frozen=True, slots=True)
class CountedTwice:
    """Two lines that come to one thing: one may have been counted in the other."""

    items: tuple[str, str]
    total: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripped(Reply):
    """A step on record.

    ``bag`` is None where it went to another place. ``into`` took the fasteners, ``aside`` the part
    itself, where that was put elsewhere.
    """

    machine: str
    step: int
    assembly: str
    new_assembly: bool
    part: str
    bag: str | None
    into: Whereabouts
    aside: Whereabouts | None
    items: tuple[StrippedLine, ...]
    questions: tuple[str, ...]
    counted_twice: tuple[CountedTwice, ...]
    hazard: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Loose(Ask):
    """Pieces that nobody knows the joint of: found under the bench, or come in a tin."""

    line: str
    to: str = "new"
    note: str = ""
    new_place: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseRecorded(Reply):
    """Loose pieces on record."""

    item: str
    quantity: int
    text: str
    place: Whereabouts


def read_path(text: str) -> tuple[str, ...]:
    """Return an assembly's path, ``Engine/Clutch`` or ``Engine / Clutch``, from the machine down.

    Raises:
        NotationError: empty, or with an empty name in it.
    """
    names = [" ".join(name.split()) for name in clean(text, "the assembly", most=200).split("/")]
    if not all(names):
        raise NotationError("an assembly's name is empty: write it as Engine/Clutch", text)
    if len(names) > 8:
        raise NotationError("more than eight levels of assemblies", text)
    return tuple(names)


def strip(context: Context, ask: Strip) -> Stripped:
    """Record one removal.

    Raises:
        NotationError: a line or a name that cannot be read.
        BadValue: too many lines, no such condition, a count that may be part of a size.
        NotFound: no such machine, or bag.
        Refused: nothing came off and nothing is missing, or a bad condition without a note.
    """
    path = read_path(ask.assembly)
    if len(ask.lines) > MAX_LINES:
        raise BadValue("too many lines in a step", lines=len(ask.lines), most=MAX_LINES)
    lines = [read_line(ask.part), *map(read_line, ask.lines)]
    position = clean(ask.position, "the position", most=120, empty=True)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    hazard = clean(ask.hazard, "the hazard", most=NOTE_LENGTH, empty=True)
    condition = condition_named(ask.condition)
    if not any(line.found or line.wanted for line in lines):
        raise Refused("nothing to strip")
    if condition is Condition.NEW:
        raise Refused("what comes off is not new", hint=Hint("buy"))
    if condition in REASON_NEEDED and not note:
        raise Refused("condition needs a note", condition=condition)
    part = lines[0].said
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        assembly = assembly_named(writer, machine.number, path, new=ask.new_assembly)
        aside = None
        if ask.part_to is not None:
            aside = place_named(writer, ask.part_to, new=ask.new_place)
        # A bag that nothing would go into is not begun.
        if aside is None or any(line.found for line in lines[1:]):
            into = _into(writer, ask.bag, machine.number, new=ask.new_place)
        else:
            into = aside
        number = writer.next_step(machine.number)
        act = writer.begin(
            ActKind.STRIP,
            f"step {number}: {part} off {assembly.name} ({machine.name})",
            at=context.at,
        )
        step, number = writer.step(
            act, machine.number, assembly.number, part=part, note=note, hazard=hazard
        )
        came = writer.place(PlaceKind.CAME, machine.name)
        moves: list[Movement] = []
        written: list[StrippedLine] = []
        words = f"{part} {assembly.name} {note} {hazard}"
        rules = renew_rules(writer.connection, writer.fallen())
        for index, line in enumerate(lines):
            target = into if index or aside is None else aside
            where = line.position or (position if index or len(lines) == 1 else "")
            item, row = _write_item(writer, act, machine.number, step, line, where, words)
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
            written.append(
                StrippedLine(
                    f"{number}.{row}",
                    line.found,
                    line.thing.spec,
                    line.wanted,
                    line.specified.spec,
                    where,
                    Whereabouts.of(target),
                    _renewed(line, rules),
                )
            )
        writer.move(act, record(writer.stock_for(moves), ActKind.STRIP, moves))
    mentioned = [assembly.name, part, note]
    for line in lines:
        mentioned += [line.specified.spec, line.written]
    return Stripped(
        act=act,
        trial=ask.trial,
        machine=machine.name,
        step=number,
        assembly=assembly.name,
        new_assembly=assembly.new,
        part=part,
        bag=into.name if into.kind is PlaceKind.BAG else None,
        into=Whereabouts.of(into),
        aside=None if aside is None else Whereabouts.of(aside),
        items=tuple(written),
        questions=tuple(dict.fromkeys((*_questions(lines), *_slips(lines)))),
        counted_twice=_counted_twice(written),
        hazard=hazard,
        cautions=cautions_for(" / ".join(mentioned)),
    )


def loose(context: Context, ask: Loose) -> LooseRecorded:
    """Record pieces of unknown origin; ``assign`` gives them to a joint once it is known.

    Raises:
        NotationError, BadValue: a line that cannot be read.
        Refused: none, or a line that says what only a step's line may.
    """
    line = read_line(ask.line)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    refuse_beside(replace(line, position=""), "loose")
    if line.found == 0:
        raise Refused("none is nothing to record")
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        into = place_named(writer, ask.to, new=ask.new_place)
        text = line.thing.spec
        act = writer.begin(
            ActKind.LOOSE,
            f"{line.found} off {text} of unknown origin"
            if text[:1].isdigit()
            else f"{line.found} {text} of unknown origin",
            reason=note,
            at=context.at,
        )
        origin = writer.place(PlaceKind.UNKNOWN, "unknown origin")
        item, row = _write_item(writer, act, machine.number, None, line, line.position, note)
        move = Movement(
            item,
            line.found,
            Spot(origin.number, Condition.AS_REMOVED),
            Spot(into.number, Condition.AS_REMOVED),
        )
        writer.move(act, record(writer.stock_for([move]), ActKind.LOOSE, [move]))
    return LooseRecorded(
        act=act,
        trial=ask.trial,
        item=f"0.{row}",
        quantity=line.found,
        text=text,
        place=Whereabouts.of(into),
    )


def _questions(lines: Sequence[BenchLine]) -> Iterator[str]:
    for line in lines:
        yield from line.questions


def _slips(lines: Sequence[BenchLine]) -> Iterator[str]:
    """Ask about words that are near one of the notation's, as BFS is to BSF."""
    for line in lines:
        for thing in (line.thing, line.specified):
            for word, near in near_notation(thing.name):
                yield f"{word}: did you mean {either(near)}?"


def _counted_twice(lines: Sequence[StrippedLine]) -> tuple[CountedTwice, ...]:
    """Return the pairs of lines that come to one thing, where one of them is short."""
    return tuple(
        CountedTwice((other.item, line.item), line.wanted + other.wanted, line.as_specified)
        for at, line in enumerate(lines)
        for other in lines[:at]
        if (other.wanted > other.found or line.wanted > line.found)
        and serves(line.as_specified, other.as_specified)
    )


def _into(writer: Writer, bag: str, machine: int, *, new: bool) -> Made:
    if bag.strip().casefold() != "same":
        return place_named(writer, bag, new=new)
    last = last_place(writer.connection, machine)
    if last is None:
        raise NotFound("no last step")
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
    item, row = writer.item(
        act,
        machine,
        step,
        writer.description(line.thing),
        line.found,
        written=line.written,
        position=position,
        words=f"{line.thing.spec} {line.written} {position} {words}",
    )
    wanted = line.wanted if step is not None else 0  # a loose piece is wanted nowhere yet
    specified = writer.description(line.specified)
    writer.specify(act, item, specified, wanted, renew_always(line.specified) or "")
    return item, row


def _renewed(line: BenchLine, rules: Mapping[str, RenewRule]) -> str:
    """Return why a line's pieces are renewed, by the rules in force; empty where they are not."""
    house = renew_always(line.specified) or ""
    return renew_reason(house, line.specified.spec, rules, None) or ""
