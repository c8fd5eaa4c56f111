"""Strip-down: one removal, one act, one numbered step.

A step may be a job, where nothing comes off: the oil is drained, the chain slackened. What was
found and did not come off stays on the machine (`stuck`); of a broken piece the hole is a snag,
cleared when the rest of it is out.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stores import bagcode
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine, lines_in, read_line
from stores.handbook.cautions import SEIZED, cautions_for
from stores.handbook.fastener import renew_always
from stores.handbook.readings import readings
from stores.model.items import Stack, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.model.renewals import RenewRule, renew_reason
from stores.storage import Writer
from stores.storage.acts import step_of_act
from stores.storage.items import newest_items
from stores.storage.machines import Machine, machine_named
from stores.storage.places import last_place
from stores.storage.renewals import renew_rules
from stores.storage.writer import Made
from stores.text import clean, many
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
    "AtHand",
    "CountedTwice",
    "LeftOn",
    "Loose",
    "LooseRecorded",
    "Strip",
    "Stripped",
    "StrippedLine",
    "at_hand",
    "loose",
    "read_path",
    "recorded_step",
    "strip",
]

MAX_LINES = 60
"""The most lines in one step: beyond it is a slip of the keyboard."""


@dataclass(frozen=True, slots=True)
class Strip(Ask):
    """One removal.

    ``assembly`` is a path from the machine down, ``Engine/Clutch``; ``part`` what came off and
    ``lines`` what came with it, as bench lines; two things with a count each are two. ``bag`` is
    ``new``, ``same`` (as the last step), a bag's code, or another place in the workshop;
    ``part_to`` where the part itself goes, when not into the bag. ``position`` is where the
    fasteners sat, when a line does not say so itself. ``condition`` is what is known of the pieces
    already. With ``job`` the part is no piece but what was done, "drain the oil", and ``undo`` how
    that is undone at the rebuild, "fill the oil".
    ``new_place`` and ``new_assembly`` say
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
    job: bool = False
    undo: str = ""
    new_place: bool = False
    new_assembly: bool = False


@dataclass(frozen=True, slots=True)
class LeftOn:
    """So many pieces that did not come off, and why. A broken one has the snag of its ``hole``."""

    quantity: int
    how: str
    broken: bool = False
    hole: str = ""
    snag: int | None = None


@dataclass(frozen=True, slots=True)
class StrippedLine:
    """One line of a step: as found, as specified, where it sat, where it went.

    Of those found the ones in ``still_on`` did not come off. ``stack`` says how thick each is, in
    order, and all of them. ``readings`` are what it may have meant where it leaves ``questions``
    open, to pick from.
    """

    item: str
    found: int
    as_found: str
    wanted: int
    as_specified: str
    position: str
    place: Whereabouts
    renew: str = ""
    still_on: tuple[LeftOn, ...] = ()
    stack: str = ""
    questions: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CountedTwice:
    """Two lines that come to one thing: one may have been counted in the other."""

    items: tuple[str, str]
    total: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripped(Reply):
    """A step on record.

    ``bag`` is None where it went to another place. ``into`` took the fasteners, None where nothing
    came off; ``aside`` the part itself, where that was put elsewhere. ``job`` tells that the part
    is no piece but what was done, and ``undo`` how that is undone. ``left_out`` is the first number
    that bag codes leave out, told once, with the bag after it: whoever sees A001 and A003 looks for
    a lost bag.
    """

    machine: str
    step: int
    assembly: str
    new_assembly: bool
    part: str
    bag: str | None
    into: Whereabouts | None
    aside: Whereabouts | None
    items: tuple[StrippedLine, ...]
    questions: tuple[str, ...]
    counted_twice: tuple[CountedTwice, ...]
    hazard: str
    cautions: tuple[str, ...]
    job: bool = False
    undo: str = ""
    left_out: str = ""


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
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AtHand:
    """What was taken off last, so that the next step need not be typed in full: the newest first.

    ``things`` are fasteners and the like without their count, the parts themselves left out.
    """

    assemblies: tuple[str, ...]
    things: tuple[str, ...]
    bag: str


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


def recorded_step(context: Context, act: int) -> int:
    """Return the number of the step that an act recorded, 0 if it recorded none."""
    with context.reading() as connection:
        return step_of_act(connection, act) or 0


def strip(context: Context, ask: Strip) -> Stripped:
    """Record one removal.

    Raises:
        NotationError: a line or a name that cannot be read.
        BadValue: too many lines, no such condition, a count that may be part of a size.
        NotFound: no such machine, or bag.
        Refused: nothing came off and nothing is missing, or a bad condition without a note; the
            part reads like a job and ``job`` does not say so, or a job is given a place.
    """
    path = read_path(ask.assembly)
    said = _read(ask)
    lines = said.lines
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        rules = renew_rules(writer.connection, writer.fallen())
        assembly = assembly_named(writer, machine.number, path, new=ask.new_assembly)
        aside = None
        if ask.part_to is not None:
            aside = place_named(writer, ask.part_to, new=ask.new_place)
        into = aside
        if _fills_a_bag(ask, said):
            into = _into(writer, ask.bag, machine.number, new=ask.new_place)
        writer.look_up(thing for line in lines for thing in (line.thing, line.specified))
        number = writer.next_step(machine.number)
        off = f", {assembly.name}" if said.job else f" off {assembly.name}"
        act = writer.begin(
            ActKind.STRIP, f"step {number}: {said.part}{off} ({machine.name})", at=context.at
        )
        step, number = writer.step(
            act,
            machine.number,
            assembly.number,
            part=said.part,
            note=said.note,
            hazard=said.hazard,
        )
        if said.job:
            from stores.storage.strip import JobRow

            writer.append(JobRow(act_id=act, step_id=step, reverse=said.undo))
        words = f"{said.part} {assembly.name} {said.note} {said.hazard}"
        writing = _Writing(
            writer,
            act,
            machine,
            step,
            number,
            words,
            rules,
        )
        for index, line in enumerate(lines):
            first = not index and not said.job
            target = aside if first and aside is not None else into
            where = line.position or (said.position if not first or len(lines) == 1 else "")
            writing.line(line, target, where, said)
        moves = writing.moves
        writer.move(act, record(writer.stock_for(moves), ActKind.STRIP, moves))
    mentioned = [assembly.name, said.part, said.note]
    for line in lines:
        mentioned += [line.specified.spec, line.written]
    cautions = cautions_for(" / ".join(mentioned))
    if any(line.still_on for line in lines):
        cautions = (*cautions, SEIZED)
    return Stripped(
        act=act,
        trial=ask.trial,
        machine=machine.name,
        step=number,
        assembly=assembly.name,
        new_assembly=assembly.new,
        part=said.part,
        bag=into.name if into is not None and into.kind is PlaceKind.BAG else None,
        into=None if into is None else Whereabouts.of(into),
        aside=None if aside is None else Whereabouts.of(aside),
        items=tuple(writing.written),
        questions=tuple(dict.fromkeys(_questions(lines))),
        counted_twice=_counted_twice(writing.written),
        hazard=said.hazard,
        cautions=cautions,
        job=said.job,
        undo=said.undo,
        left_out=_left_out(into),
    )


def _left_out(into: Made | None) -> str:
    if into is None or not into.new or into.kind is not PlaceKind.BAG:
        return ""
    second = bagcode.nth(1)
    return f"{second[0]}{int(second[1:-1]) - 1:03}" if into.name == second else ""


def at_hand(context: Context, *, steps: int = 12, most: int = 8) -> AtHand:
    """Return the assemblies and the fasteners of the last steps of a machine, and its last bag.

    Raises:
        NotFound: no such machine.
    """
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        items = newest_items(connection, machine.number, steps=steps)
        last = last_place(connection, machine.number)
    newest = sorted(items, key=lambda item: (-item.step.number, item.line))
    things = [item.as_found.text for item in newest if item.line > 1 and not item.questions]
    return AtHand(
        tuple(dict.fromkeys(item.step.assembly for item in newest))[:most],
        tuple(dict.fromkeys(things))[:most],
        last[1] if last is not None and last[0] is PlaceKind.BAG else "",
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """What a removal says, read."""

    part: str
    lines: list[BenchLine]
    job: bool
    undo: str
    position: str
    note: str
    hazard: str
    condition: Condition


def _read(ask: Strip) -> _Said:
    """Read what was said of a removal, and refuse what cannot be one."""
    if len(ask.lines) > MAX_LINES:
        raise BadValue("too many lines in a step", lines=len(ask.lines), most=MAX_LINES)
    typed = [each for text in ask.lines for each in lines_in(text)]
    undo = clean(ask.undo, "how it is undone", most=NOTE_LENGTH, empty=True)
    job = ask.job or bool(undo)
    if job:
        part = clean(ask.part, "what was done", most=200)
        if ask.part_to is not None:
            raise Refused("a job goes nowhere", part=part)
        lines = list(map(read_line, typed))
    else:
        lines = [read_line(ask.part), *map(read_line, typed)]
        part = lines[0].said
        _ask_whether_a_job(ask, lines[0])
    position = clean(ask.position, "the position", most=120, empty=True)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    hazard = clean(ask.hazard, "the hazard", most=NOTE_LENGTH, empty=True)
    condition = condition_named(ask.condition)
    if not job and not any(line.found or line.wanted for line in lines):
        raise Refused("nothing to strip")
    if condition is Condition.NEW:
        raise Refused("what comes off is not new", hint=Hint("buy"))
    if condition in REASON_NEEDED and not note:
        raise Refused("condition needs a note", condition=condition)
    return _Said(part, lines, job, undo, position, note, hazard, condition)


def _fills_a_bag(ask: Strip, said: _Said) -> bool:
    """Tell whether the fasteners' bag is wanted: one that nothing would go into is not begun."""
    if ask.part_to is not None:
        return any(line.off for line in said.lines[1:])
    nothing_off = said.job or any(line.still_on for line in said.lines)
    return not nothing_off or any(line.off for line in said.lines)


@dataclass(slots=True)
class _Writing:
    """The lines of a step while they are written: what they come to, and the movements."""

    writer: Writer
    act: int
    machine: Machine
    step: int
    number: int
    words: str
    rules: Mapping[str, RenewRule]
    moves: list[Movement] = field(default_factory=list)
    written: list[StrippedLine] = field(default_factory=list)

    def line(self, line: BenchLine, target: Made | None, where: str, said: _Said) -> None:
        """Write one line; ``target`` is where it goes, None where nothing came off."""
        writer, act = self.writer, self.act
        item, row = _write_item(
            writer, act, self.machine.number, self.step, line, where, self.words
        )
        if line.off and target is not None:
            came = writer.place_of_machine(PlaceKind.CAME, self.machine.number)
            self.moves.append(
                Movement(
                    item,
                    line.off,
                    Spot(came.number, Condition.AS_REMOVED),
                    Spot(target.number, said.condition),
                )
            )
            if said.condition is not Condition.AS_REMOVED:
                writer.finding(act, item, line.off, said.condition, said.note)
        if line.layers:
            _write_stack(writer, act, item, line)
        if target is None:
            target = writer.place_of_machine(PlaceKind.STUCK, self.machine.number)
        self.written.append(
            StrippedLine(
                f"{self.number}.{row}",
                line.found,
                line.thing.spec,
                line.wanted,
                line.specified.spec,
                where,
                Whereabouts.of(target),
                _renewed(line, self.rules),
                self._left_on(line, item, where),
                Stack(line.layers, line.unit).words if line.layers else "",
                line.questions,
                readings(line.written) if line.questions else (),
            )
        )

    def _left_on(self, line: BenchLine, item: int, where: str) -> tuple[LeftOn, ...]:
        """Write what of a line is still on the machine."""
        if not line.still_on:
            return ()
        from stores.usecases.stuck import leave_on

        made, moves = leave_on(
            self.writer,
            self.act,
            self.machine,
            self.step,
            item,
            line.still_on,
            line.thing.spec,
            where,
        )
        self.moves += moves
        return made


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
            f"{many(line.found, text)} of unknown origin",
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
        questions=line.questions,
    )


_DEEDS = (
    r"slacken|loosen|disconnect|isolate|undo|unhook|chock|depressurise|depressurize|"
    r"(?:drain|release|bleed|mark|set|turn|support|empty|slack|back|let|jack|take|blank|tie|measure|"
    r"photograph|note)\s+(?:off|down|back|up|out|the|all|both|each|engine|gearbox|crank)"
)
"""How a job begins that is no piece: a drain plug, a release bearing and a set screw are pieces."""


def _ask_whether_a_job(ask: Strip, line: BenchLine) -> None:
    """Refuse what reads like something done, unless a count says that it is a piece.

    Raises:
        Refused: is it a job, or a piece?
    """
    if not line.counted and re.match(rf"(?i)\s*(?:{_DEEDS})\s+\S", ask.part):
        raise Refused(
            "a job or a piece",
            part=line.said,
            hint=Hint("strip a job", assembly=ask.assembly, part=line.said),
        )


def _write_stack(writer: Writer, act: int, item: int, line: BenchLine) -> None:
    from stores.storage.strip import LayerRow

    for number, thickness in enumerate(line.layers, 1):
        writer.append(
            LayerRow(
                act_id=act, item_id=item, number=number, thickness_nm=thickness, unit=line.unit
            )
        )


def _questions(lines: Sequence[BenchLine]) -> Iterator[str]:
    for line in lines:
        yield from line.questions


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
