"""Corrections: what was written wrong is put right, as if it had been typed right at first.

A correction is an act. Step numbers and bag codes stay, later acts stand, the word before it is in
the history, and undoing it brings that word back. Pieces that were miscounted come from the machine
or go back to it, never through "lost".
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import MISSING, dataclass, fields, replace
from itertools import chain

from sqlalchemy import select as rows_of

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine, lines_in, open_questions, read_line
from stores.handbook.fastener import renew_always
from stores.model.items import RANKS_APART, Item, Step, StoryLine, agree, lies_in, path_of
from stores.model.ledger import (
    ActKind,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    Stock,
    record,
)
from stores.model.stock import StockFacts, name_alone, so_much, this_much
from stores.storage import Writer
from stores.storage.corrections import ASSEMBLIES, STEPS, hangs_on
from stores.storage.items import (
    items_of_bag,
    items_of_step,
    read_findings,
    read_items,
    read_steps,
)
from stores.storage.machines import Machine, machine_named, read_machines
from stores.storage.places import first_bag
from stores.storage.search import read_bags
from stores.storage.stock import StockFactRow, read_facts
from stores.storage.strip import job_of
from stores.storage.writer import Made
from stores.text import clean, fold, many, read_day
from stores.usecases.common import (
    NOTE_LENGTH,
    Selection,
    Whereabouts,
    from_hand,
    home_of,
    maybe_condition,
    place_named,
    refuse_beside,
    select,
    step_of,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.inspect import LetLoose, let_loose
from stores.usecases.strip import read_path

__all__ = [
    "AddLine",
    "Change",
    "CorrectAssembly",
    "CorrectLine",
    "CorrectMachine",
    "CorrectStep",
    "Corrected",
    "DropLine",
    "JoinLines",
    "JoinSteps",
    "SplitLine",
    "SplitStep",
    "add_line",
    "correct_assembly",
    "correct_line",
    "correct_machine",
    "correct_step",
    "drop_line",
    "join_lines",
    "join_steps",
    "split_line",
    "split_step",
]


@dataclass(frozen=True, slots=True)
class CorrectMachine(Ask):
    """What a machine is called, or who made it and when; None leaves it as it is."""

    name: str | None = None
    maker: str | None = None
    model: str | None = None
    year: str | None = None
    note: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class CorrectAssembly(Ask):
    """An assembly by its path, and the path that it should have; what lies in it goes along.

    ``join`` makes it one with an assembly that is there already.
    """

    assembly: str
    to: str
    join: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class CorrectStep(Ask):
    """What is wrong of a step; None leaves it as it is.

    ``more`` is added to its note. ``undo`` is how a job is undone at the rebuild.
    ``came_off_before`` and ``came_off_after`` are the step beside it in the order of removal.
    ``to_machine`` is the machine that it should have been entered for: it gets that machine's next
    number, and came off there when it was recorded, or before or after a step of that machine.
    """

    step: str
    part: str | None = None
    note: str | None = None
    more: str = ""
    hazard: str | None = None
    undo: str | None = None
    position: str | None = None
    assembly: str | None = None
    came_off_on: str | None = None
    came_off_before: str | None = None
    came_off_after: str | None = None
    to_machine: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class CorrectLine(Ask):
    """What is wrong of a line: ``text`` is what it was, as found, with the count if that was wrong,
    ``5 M6x25 hex``, or two things with a count each, of which the second gets a line of its own;
    ``to_step`` the step that it belongs to. ``pieces_too`` takes its pieces out of
    the old step's bag into that step's. ``of`` is the condition of those that were counted too
    many, where pieces were judged otherwise.
    """

    what: str
    text: str = ""
    position: str | None = None
    to_step: str | None = None
    pieces_too: bool = False
    reason: str = ""
    of: str | None = None


@dataclass(frozen=True, slots=True)
class AddLine(Ask):
    """A line that was forgotten of a step, and where its pieces are; its bag where none is said."""

    step: str
    line: str
    to: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SplitLine(Ask):
    """So many pieces of a line that are a thing, or sit in a hole, of their own:
    ``1 M8x20 hex @ hole 3``; ``of`` their condition, where pieces were judged otherwise."""

    what: str
    text: str
    reason: str = ""
    of: str | None = None


@dataclass(frozen=True, slots=True)
class JoinLines(Ask):
    """A line, and another of the same step and thing that is to be one with it."""

    what: str
    other: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class DropLine(Ask):
    """A line that was never there."""

    what: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SplitStep(Ask):
    """Lines of a step that came off in a step of their own, just after it."""

    step: str
    lines: Sequence[str]
    part: str
    assembly: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class JoinSteps(Ask):
    """A step, and another that is to be one with it."""

    step: str
    other: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """One fact put right: ``of`` names the thing, ``field`` what of it, as "count found".

    Of a line, ``text`` being what it is: "moved" from the number ``was`` to ``now``, "added" to a
    step as line ``now``, "joined" to line ``now``, "dropped". Of a step, ``text`` being what came
    off: "split off" the step ``was``, "joined" to step ``now``.
    """

    of: str
    field: str
    was: str
    now: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class PiecesCorrected:
    """So many pieces that were in the record too many (below 0) or too few, and where."""

    item: str
    quantity: int
    text: str
    place: Whereabouts


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """What the words of a line leave open as they are now."""

    item: str
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected(Reply):
    """What was put right. ``labels`` are the bags whose label says something else now, ``asked``
    the lines whose new words leave something open."""

    machine: str
    changes: tuple[Change, ...]
    pieces: tuple[PiecesCorrected, ...] = ()
    spare: LetLoose | None = None
    labels: tuple[str, ...] = ()
    asked: tuple[LeftOpen, ...] = ()


def correct_machine(context: Context, ask: CorrectMachine) -> Corrected:
    """Put right what a machine is called, who made it, and when.

    Raises:
        Refused: nothing to put right, or another machine has that name.
        NotFound: no such machine.
    """
    _refuse_nothing_said(ask, "machine", context.machine or "")
    limits = {"name": 80, "maker": 80, "model": 80, "year": 80, "note": NOTE_LENGTH}
    wanted = {
        field: clean(value, f"the {field}", most=most, empty=field != "name")
        for field, most in limits.items()
        if (value := getattr(ask, field)) is not None
    }
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        changes = [
            Change(machine.name, field, getattr(machine, field), value)
            for field, value in wanted.items()
            if value != getattr(machine, field)
        ]
        name = wanted.get("name", machine.name)
        others = {fold(each.name) for each in read_machines(writer.connection)}
        if fold(name) != fold(machine.name) and fold(name) in others:
            raise Refused("machine's name taken", name=name)
        work = _Work(writer, context, ask, machine, changes)
        for change in changes:
            writer.correct(work.act, "machine", machine.number, change.field, change.now)
        return work.reply(machine=name)


def correct_assembly(context: Context, ask: CorrectAssembly) -> Corrected:
    """Rename an assembly, move it in the tree, or make it one with another.

    Raises:
        NotFound: no such assembly.
        Refused: it has that name already, or there is one of that name and ``join`` was not said.
        NotationError: a path that cannot be read.
    """
    path, to = " / ".join(read_path(ask.assembly)), " / ".join(read_path(ask.to))
    with context.writing(ask) as writer:
        machine = machine_named(writer.connection, context.machine)
        every = _assemblies(writer, machine)
        inside = [row for row in every if lies_in(row[1], path)]
        own = next((row for row in inside if path_of(row[1]) == path_of(path)), None)
        used = {fold(step.assembly) for step in _standing_steps(writer, machine)}
        if own is None:
            names = tuple(dict.fromkeys(name for _, name in every if fold(name) in used))
            raise NotFound(
                "no such assembly", assembly=path, machine=machine.name, assemblies=names
            )
        there = [name for _, name in every if path_of(name) == path_of(to)]
        # Another spelling of its own name is no other assembly.
        if there and path_of(to) != path_of(path) and not ask.join:
            raise Refused(
                "assembly there already",
                assembly=own[1],
                other=there[0],
                hint=Hint("join_assemblies", assembly=own[1], other=there[0]),
            )
        to = there[0] if there and path_of(to) != path_of(path) else to
        depth = len(path.split(" / "))
        change = Change(own[1], "name", own[1], to)
        changes = [change] if own[1] != to else []
        work = _Work(writer, context, ask, machine, changes)
        for number, name in inside:
            new = " / ".join([to, *name.split(" / ")[depth:]])
            writer.correct(work.act, "assembly", number, "path", new)
            writer.correct(work.act, "assembly", number, "name", new.split(" / ")[-1])
        return work.reply()


def correct_step(context: Context, ask: CorrectStep) -> Corrected:
    """Put right what a step says of itself, its place in the order of removal, or its machine.

    Raises:
        NotFound: no such step, or machine.
        Refused: nothing to put right; the part is more than one line; a step beside itself; what is
            filed under a step that goes to another machine; what is undone of a step that is no
            job.
        NotationError, BadValue: text, or a day, that cannot be read.
    """
    _refuse_nothing_said(ask, "step", ask.step)
    part = None if ask.part is None else read_line(ask.part)
    if part is not None:
        refuse_beside(replace(part, position=""), "correct_step")
    path = None if ask.assembly is None else read_path(ask.assembly)
    position = None if ask.position is None else _position(ask.position)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.step, empty=True, jobs=True)
        number, machine = step_of(chosen), chosen.machine
        step, row = chosen.step, _step_row(writer, machine, number)
        lines = _all_of_step(writer, machine, number)
        texts = _step_texts(ask, step, part)
        name = f"step {number}"
        changes = [
            Change(name, _WORD[each], getattr(step, _WORD[each]), texts[each]) for each in texts
        ]
        assembly = writer.assembly(machine.number, path) if path is not None else None
        if assembly is not None and assembly.name != step.assembly:
            changes.append(Change(name, "assembly", step.assembly, assembly.name))
        undo = _undo_words(writer, machine, number, ask, changes)
        seats = _seats(lines, position, changes)
        to = machine_named(writer.connection, ask.to_machine) if ask.to_machine else machine
        stays = to.number == machine.number
        ranks = _ranks(writer, machine, number, ask, changes) if stays else {}
        new = writer.next_step(to.number) if to.number != machine.number else number
        if to.number != machine.number:
            _refuse_filed(writer, row, lines, name)
            changes.append(Change(name, "machine", machine.name, f"{to.name}, step {new}"))
        work = _Work(writer, context, ask, machine, changes, lines)
        for field, value in texts.items():
            writer.correct(work.act, "step", row, field, value)
        if undo is not None:
            writer.correct(work.act, "step", row, "reverse", undo)
        if assembly is not None and to.number == machine.number:
            _put_assembly(writer, work, row, assembly)
        for other_row, rank in ranks.items():
            writer.correct(work.act, "step", other_row, "rank", rank)
        for item, seat in seats:
            writer.correct(work.act, "item", item.number, "position", seat)
        if part is not None and "part" in texts:
            _rename_part(writer, work, step, lines, part)
        if to.number != machine.number:
            _to_machine(writer, work, row, step, lines, to, new, assembly_path=path)
            _among_its_own(writer, work, row, to, new, ask)
        return work.reply()


_WORD = {"part": "part", "note": "note", "hazard": "hazard", "happened_at": "date"}


def _step_texts(ask: CorrectStep, step: Step, part: BenchLine | None) -> dict[str, str]:
    """Return what a step says otherwise now, by column."""
    note = step.note if ask.note is None else ask.note
    if ask.more.strip():
        note = f"{note}; {ask.more}".strip("; ")
    wanted = {
        "part": step.part if part is None else part.said,
        "note": clean(note, "the note", most=NOTE_LENGTH, empty=True),
        "hazard": step.hazard
        if ask.hazard is None
        else clean(ask.hazard, "the hazard", most=NOTE_LENGTH, empty=True),
        "happened_at": step.date
        if ask.came_off_on is None
        else read_day(ask.came_off_on).isoformat(),
    }
    return {field: value for field, value in wanted.items() if value != getattr(step, _WORD[field])}


def _undo_words(
    writer: Writer, machine: Machine, number: int, ask: CorrectStep, changes: list[Change]
) -> str | None:
    """Return how the job of a step is undone, where that is put right."""
    if ask.undo is None:
        return None
    undo = clean(ask.undo, "how it is undone", most=NOTE_LENGTH, empty=True)
    job = job_of(writer.connection, machine.number, number)
    if job is None:
        raise Refused("no job to undo", step=number)
    if undo == job.reverse:
        return None
    changes.append(Change(f"step {number}", "at the rebuild", job.reverse, undo))
    return undo


def _put_assembly(writer: Writer, work: "_Work", row: int, assembly: Made) -> None:
    writer.correct(work.act, "step", row, "assembly_id", assembly.number, folded=assembly.name)


def _to_machine(
    writer: Writer,
    work: "_Work",
    row: int,
    step: Step,
    lines: Sequence[Item],
    to: Machine,
    number: int,
    *,
    assembly_path: tuple[str, ...] | None,
) -> None:
    """Give a step with its lines to another machine, under that one's next number."""
    path = assembly_path or tuple(step.assembly.split(" / "))
    writer.correct(work.act, "step", row, "machine_id", to.number)
    writer.correct(work.act, "step", row, "number", number)
    _put_assembly(writer, work, row, writer.assembly(to.number, path))
    writer.correct(work.act, "step", row, "rank", number * RANKS_APART)
    for item in lines:
        writer.correct(work.act, "item", item.number, "machine_id", to.number)


def _among_its_own(
    writer: Writer, work: "_Work", row: int, to: Machine, number: int, ask: CorrectStep
) -> None:
    """Let a step that came to a machine have come off there when it was recorded, or where that is
    said."""
    ranks = _ranks(writer, to, number, ask, [])
    if ask.came_off_before is None and ask.came_off_after is None:
        acts = {
            each.number: each.act_id
            for each in writer.connection.execute(
                rows_of(STEPS.c.number, STEPS.c.act_id).where(STEPS.c.machine_id == to.number)
            )
        }
        order = [step.number for step in _standing_steps(writer, to) if step.number != number]
        before = [each for each in order if acts[each] < acts[number]]
        if before:
            ranks = _ranked(writer, to, number, after=max(before, key=acts.__getitem__))
        elif order:
            ranks = _ranked(writer, to, number, before=order[0])
    for other, rank in ranks.items():
        writer.correct(work.act, "step", other, "rank", rank)


def correct_line(context: Context, ask: CorrectLine) -> Corrected:
    """Put right what a line was as found, how many, where it sat, or which step it is of.

    What should be there follows, where it was the same as found.

    Raises:
        NotFound: no such line, or step.
        Refused: nothing to put right, several lines, a count below the pieces that are to hand, or
            none left.
        NotationError, BadValue: a line that cannot be read.
    """
    _refuse_nothing_said(ask, "line", ask.what)
    of = maybe_condition(ask.of)
    with context.reading() as connection:
        meant = select(connection, context.machine, ask.what, empty=True)
    if len(meant.items) == 1 and meant.items[0].stock and ask.text.strip():
        return _correct_stock(context, ask)
    first, *others = lines_in(ask.text) if ask.text.strip() else [""]
    line = read_line(first) if first else None
    more = [read_line(each) for each in others]
    position = None if ask.position is None else _position(ask.position)
    if position is None and line is not None and line.position:
        position = line.position
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item = chosen.only
        if more and (not item.step.number or ask.to_step is not None):
            raise Refused("two things for one line", item=item.ref, things=(first, *others))
        changes: list[Change] = []
        if line is not None:
            line = _count_still_open(item, line)
            _line_changes(item, line, changes)
        if position is not None and position != item.position:
            changes.append(Change(item.ref, "position", item.position, position))
        target, ref = None, ""
        if ask.to_step is not None:
            target = _target_step(writer, chosen.machine, ask.to_step)
            if target.number != item.step.number:
                if len(_all_of_step(writer, chosen.machine, item.step.number)) == 1:
                    raise Refused(
                        "only line of its step", item=item.ref, step=item.step.number,
                        hint=Hint("join_steps", step=target.number, other=item.step.number),
                    )  # fmt: skip
                row = _step_row(writer, chosen.machine, target.number)
                ref = f"{target.number}.{writer.next_line(row)}"
                changes.append(_moved(item, ref))
            else:
                target = None
        added = _Added.to(writer, chosen.machine, item.step.number, more)
        changes += added.changes
        work = _Work(writer, context, ask, chosen.machine, changes, [item])
        added.write(work, "")
        if line is not None:
            _put_line(writer, work, chosen, item, line, of)
            work.ask(item.ref, line)
        if position is not None:
            writer.correct(work.act, "item", item.number, "position", position)
        if target is not None:
            _to_step(writer, work, chosen.machine, item, target, pieces_too=ask.pieces_too)
        return work.reply()


def _correct_stock(context: Context, ask: CorrectLine) -> Corrected:
    """Put right what was entered into stock, and how much of it: its pieces stay where they are.

    Raises:
        Refused: nothing to put right, it is in another unit, or less is there than was entered too
            much.
    """
    from stores.usecases.stock import last_spot
    from stores.usecases.supplies import described, read_supply

    line = read_supply(ask.text)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item = chosen.only
        if line.unit != item.unit:
            raise Refused("stock of another unit", item=item.ref, unit=item.unit or "pieces")
        stock = writer.stock([item.number])
        held = stock.balance.of_item(item.number)
        source = next(
            spot
            for spot, count in held.items()
            if count < 0 and stock.kinds[spot.place] in (PlaceKind.BOUGHT, PlaceKind.HAD)
        )
        before = -held[source]
        now = line.quantity if line.bench is None or line.bench.counted else before
        changes = []
        if line.text != item.as_found.text:
            names = [name_alone(item.unit, text) for text in (item.as_found.text, line.text)]
            changes.append(Change(item.ref, "what it is", *names))
        if now != before:
            amounts = [so_much(count, item.unit) for count in (before, now)]
            changes.append(Change(item.ref, "entered", *amounts))
        work = _Work(writer, context, ask, chosen.machine, changes, [item])
        if line.text != item.as_found.text:
            description = described(writer, line)
            renew = renew_always(line.bench.thing) or "" if line.bench else ""
            for name, value in line.facts.items():
                writer.append(
                    StockFactRow(act_id=work.act, item_id=item.number, name=name, value=value)
                )
            writer.correct(
                work.act, "item", item.number, "description_id", description, folded=line.text
            )
            writer.correct(work.act, "item", item.number, "written", line.written)
            writer.specify(work.act, item.number, description, 0, renew)
        if now > before:
            home = last_spot(writer, item)
            work.move(Movement(item.number, now - before, source, home))
        elif now < before:
            spots = from_hand(stock, item, None, tuple(Condition))
            if (there := sum(count for _, count in spots)) < before - now:
                raise Refused(
                    "fewer to hand than counted too many", item=item.ref, over=before - now,
                    to_hand=there,
                )  # fmt: skip
            spots = from_hand(stock, item, before - now, tuple(Condition))
            work.move(*(Movement(item.number, count, spot, source) for spot, count in spots))
        return work.reply()


def add_line(context: Context, ask: AddLine) -> Corrected:
    """Add a line that was forgotten when a step was recorded.

    Raises:
        NotFound: no such step, bag or place.
        Refused: nothing found and nothing missing, or pieces of several steps.
        NotationError, BadValue: a line that cannot be read.
    """
    lines = [read_line(each) for each in lines_in(ask.line)]
    if not any(line.found or line.wanted for line in lines):
        raise Refused("none is nothing to record")
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.step, empty=True, jobs=True)
        number, machine = step_of(chosen), chosen.machine
        added = _Added.to(writer, machine, number, lines)
        work = _Work(writer, context, ask, machine, added.changes, added.mates)
        added.write(work, ask.to)
        return work.reply()


@dataclass(frozen=True, slots=True)
class _Added:
    """Lines that a step is given by a correction, each with its number."""

    number: int
    row: int
    mates: Sequence[Item]
    lines: Mapping[str, BenchLine]

    @classmethod
    def to(
        cls, writer: Writer, machine: Machine, number: int, lines: Sequence[BenchLine]
    ) -> "_Added":
        """Return these lines with the next numbers of a step."""
        if not lines:
            return cls(number, 0, (), {})
        row = _step_row(writer, machine, number)
        new = writer.next_line(row)
        mates = _all_of_step(writer, machine, number)
        return cls(
            number, row, mates, {f"{number}.{at}": line for at, line in enumerate(lines, new)}
        )

    @property
    def changes(self) -> list[Change]:
        """What is put right by them."""
        return [
            Change(f"step {self.number}", "added", "", ref, many(line.found, line.thing.spec))
            for ref, line in self.lines.items()
        ]

    def write(self, work: "_Work", to: str) -> None:
        """Write them down; their pieces came off with the step, and are where it says, else in its
        bag."""
        writer, machine = work.writer, work.machine
        place = None
        for ref, line in self.lines.items():
            item = _new_line(writer, work, machine, self.row, line, line.found, line.position)
            work.ask(ref, line)
            if not line.found:
                continue
            if place is None and (to.strip() or not self.mates):
                place = place_named(writer, to or "new")
            elif place is None:
                place = _bag_then(writer, self.mates[0], self.mates)
            came = writer.place_of_machine(PlaceKind.CAME, machine.number)
            here = Spot(place.number, Condition.AS_REMOVED)
            work.move(Movement(item, line.found, Spot(came.number, Condition.AS_REMOVED), here))
            where = Whereabouts.of(place)
            work.pieces.append(PiecesCorrected(ref, line.found, line.thing.spec, where))


def split_line(context: Context, ask: SplitLine) -> Corrected:
    """Give some pieces of a line a line of their own: another thing, or another hole.

    Raises:
        NotFound: no such line.
        Refused: not fewer than were found, no count, or several lines.
        NotationError, BadValue: a line that cannot be read.
    """
    line = read_line(ask.text)
    of = maybe_condition(ask.of)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item, machine = chosen.only, chosen.machine
        if not item.step.number:
            raise Refused("loose pieces are not split", item=item.ref, text=item.as_found.text)
        if not line.counted or not 0 < line.found < item.found:
            raise Refused("not so many to split off", item=item.ref, found=item.found)
        row = _step_row(writer, machine, item.step.number)
        ref = f"{item.step.number}.{writer.next_line(row)}"
        left = item.found - line.found
        wanted = max(item.wanted - line.wanted, 0)
        changes = [
            Change(item.ref, "count found", str(item.found), str(left)),
            Change(f"step {item.step.number}", "added", "", ref, many(line.found, line.thing.spec)),
        ]
        work = _Work(writer, context, ask, machine, changes, [item])
        other = _new_line(
            writer, work, machine, row, line, line.found, line.position or item.position
        )
        writer.correct(work.act, "item", item.number, "found", left)
        writer.specify(
            work.act,
            item.number,
            writer.known_description(item.as_specified.text),
            wanted,
            item.as_specified.renew,
        )
        given = work.hand_over(writer.stock([item.number]), item, other, line.found, of)
        work.judge_anew(item, given, other)
        work.ask(ref, line)
        return work.reply()


def join_lines(context: Context, ask: JoinLines) -> Corrected:
    """Make two lines of one step and one thing a single line, the first one's.

    Raises:
        NotFound: no such line.
        Refused: the same line, of two steps, other things, or something hangs on the second.
    """
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item, machine = chosen.only, chosen.machine
        other = select(writer.connection, machine.name, ask.other, empty=True).only
        if item.number == other.number or item.step.number != other.step.number:
            raise Refused("lines of one step to join", item=item.ref, other=other.ref)
        if not agree(other.as_found.text, item.as_found.text) or item.unit != other.unit:
            raise Refused(
                "lines are other things", item=item.ref, text=item.as_found.text,
                other=other.ref, second=other.as_found.text,
            )  # fmt: skip
        if item.stock != other.stock:
            raise Refused("stock and loose pieces", item=item.ref, other=other.ref)
        if hanging := _hanging(writer, other):
            raise Refused("something hangs on it", what=other.ref, kinds=hanging)
        if item.stock:
            _refuse_other_packs(writer, item, other)
        changes = [Change(other.ref, "joined", "", item.ref, _as_found(other))]
        if not item.stock:
            both = item.found + other.found
            changes.insert(0, Change(item.ref, "count found", str(item.found), str(both)))
        work = _Work(writer, context, ask, machine, changes, [item, other])
        work.merge(writer.stock([other.number]), other, item.number)
        for verdict, line in read_findings(writer.connection, other.number):
            work.say_again(verdict, line, item.number, line.quantity)
        writer.correct(work.act, "item", item.number, "found", item.found + other.found)
        writer.correct(work.act, "item", other.number, "found", 0)
        writer.correct(work.act, "item", other.number, "joined", item.number)
        if other.position and other.position != item.position:
            seats = f"{item.position}; {other.position}".strip("; ")
            writer.correct(work.act, "item", item.number, "position", seats)
        writer.specify(
            work.act,
            item.number,
            writer.known_description(item.as_specified.text),
            item.wanted + other.wanted,
            item.as_specified.renew,
        )
        return work.reply()


def drop_line(context: Context, ask: DropLine) -> Corrected:
    """Take a line out that was never there: its pieces were none.

    Raises:
        NotFound: no such line.
        Refused: the only line of its step, something hangs on it, or pieces of it were bought, or
            are not to hand.
    """
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        item, machine = chosen.only, chosen.machine
        lines = _all_of_step(writer, machine, item.step.number)
        if item.step.number and len(lines) == 1:
            raise Refused("nothing left of the line", item=item.ref, hint=Hint("undo"))
        hanging = _hanging(writer, item)
        if not item.stock and any(
            held.condition is Condition.NEW and held.quantity > 0 for held in item.holdings
        ):
            hanging += ("new pieces",)
        if hanging:
            raise Refused("something hangs on it", what=item.ref, kinds=hanging)
        change = Change(item.ref, "dropped", "", "", _as_found(item))
        work = _Work(writer, context, ask, machine, [change], lines)
        if item.stock:
            _take_out_of_stock(writer, work, item)
        elif item.found:
            _recount(writer, work, chosen, item, 0, item.as_found.text, None)
        text = writer.known_description(item.as_specified.text)
        writer.specify(work.act, item.number, text, 0, item.as_specified.renew)
        writer.correct(work.act, "item", item.number, "found", 0)
        writer.correct(work.act, "item", item.number, "dropped", 1)
        return work.reply()


_OF_STOCK = frozenset(("kept_spare", "stock_fact"))
"""Tables of what every line of the stock has, and goes with it."""


def _hanging(writer: Writer, item: Item) -> tuple[str, ...]:
    """Return what speaks of a line, so that it cannot go: the names of the tables."""
    names = hangs_on(writer.connection, "item", [item.number])
    return tuple(name for name in names if not (item.stock and name in _OF_STOCK))


def _take_out_of_stock(writer: Writer, work: "_Work", item: Item) -> None:
    """Let what was entered into stock go back whence it came, as if it had never been entered.

    Raises:
        Refused: it was bought, or some of it is not to hand.
    """
    stock = writer.stock([item.number])
    held = sorted(stock.balance.of_item(item.number).items())
    if any(count < 0 and stock.kinds[spot.place] is PlaceKind.BOUGHT for spot, count in held):
        raise Refused("stock was bought", item=item.ref, hint=Hint("history"))
    if any(count > 0 and not stock.kinds[spot.place].in_hand for spot, count in held):
        raise Refused("stock not to hand", item=item.ref)
    back = next((spot for spot, count in held if count < 0), None)
    for spot, count in held:
        if back is not None and count > 0:
            work.move(Movement(item.number, count, spot, back))


def _refuse_other_packs(writer: Writer, item: Item, other: Item) -> None:
    """Refuse to make one of packs that were opened on two days, or are good until two."""
    facts = read_facts(writer.connection, [item.number, other.number])
    if facts.get(item.number, StockFacts()) != facts.get(other.number, StockFacts()):
        raise Refused("other packs", item=item.ref, other=other.ref)


def split_step(context: Context, ask: SplitStep) -> Corrected:
    """Make lines of a step a step of their own, which came off just after it.

    Raises:
        NotFound: no such step, or line of it.
        Refused: no line, or all of them.
        NotationError: a name that cannot be read.
    """
    part = clean(ask.part, "the part", most=200)
    path = read_path(ask.assembly) if ask.assembly.strip() else None
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.step, empty=True)
        number, machine = step_of(chosen), chosen.machine
        lines = _all_of_step(writer, machine, number)
        picked: dict[int, Item] = {}
        for what in ask.lines:
            item = select(writer.connection, machine.name, what, empty=True).only
            if item.step.number != number:
                raise Refused("line of another step", item=item.ref, step=number)
            picked[item.number] = item
        if not 0 < len(picked) < len(lines):
            raise Refused("some of its lines to split off", step=number, lines=len(lines))
        step = chosen.step
        new = writer.next_step(machine.number)
        assembly = writer.assembly(machine.number, path or tuple(step.assembly.split(" / ")))
        changes = [
            Change(f"step {new}", "split off", f"step {number}", f"step {new}", part),
            *(_moved(item, f"{new}.{at}") for at, item in enumerate(picked.values(), 1)),
        ]
        work = _Work(writer, context, ask, machine, changes, lines)
        row, _ = writer.step(
            work.act, machine.number, assembly.number, part=part, note="", hazard=step.hazard
        )
        # It is said today, and came off when the other did.
        writer.correct(work.act, "step", row, "happened_at", step.date)
        for at, item in enumerate(picked.values(), 1):
            writer.correct(work.act, "item", item.number, "step_id", row, folded=part)
            writer.correct(work.act, "item", item.number, "line", at)
        for other, rank in _ranked(writer, machine, new, after=number).items():
            writer.correct(work.act, "step", other, "rank", rank)
        return work.reply()


def join_steps(context: Context, ask: JoinSteps) -> Corrected:
    """Make two steps one: the first keeps its number, the second's lines become lines of it.

    Raises:
        NotFound: no such step.
        Refused: the same step.
    """
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.step, empty=True, jobs=True)
        number, machine = step_of(chosen), chosen.machine
        again = select(writer.connection, machine.name, ask.other, empty=True, jobs=True)
        other = step_of(again)
        if number == other:
            raise Refused("a step beside itself", step=number)
        row, gone = _step_row(writer, machine, number), _step_row(writer, machine, other)
        kept = _all_of_step(writer, machine, number)
        lines = _all_of_step(writer, machine, other)
        first = writer.next_line(row)
        changes = [
            Change(f"step {other}", "joined", "", f"step {number}", again.step.part),
            *(_moved(item, f"{number}.{at}") for at, item in enumerate(lines, first)),
        ]
        work = _Work(writer, context, ask, machine, changes, [*kept, *lines])
        step, second = chosen.step, again.step
        for at, item in enumerate(lines, first):
            writer.correct(work.act, "item", item.number, "step_id", row, folded=step.part)
            writer.correct(work.act, "item", item.number, "line", at)
        for field in ("note", "hazard"):
            ours, theirs = getattr(step, field), getattr(second, field)
            if theirs and theirs != ours:
                writer.correct(work.act, "step", row, field, f"{ours}; {theirs}".strip("; "))
        jobs = (job_of(writer.connection, machine.number, each) for each in (number, other))
        undone = dict.fromkeys(job.reverse for job in jobs if job is not None and job.reverse)
        if undone:
            writer.correct(work.act, "step", row, "reverse", "; ".join(undone))
        were_one = rows_of(STEPS.c.id).where(STEPS.c.as_id == gone)
        for each in sorted(writer.connection.execute(were_one).scalars()):
            writer.correct(work.act, "step", each, "joined", row)
        return work.reply()


_SUMMED_UP = {
    "moved": "{of} {text} is now {now}",
    "added": "{of}, line {now} added, {text}",
    "joined": "{of} {text} joined to {now}",
    "dropped": "{of} {text} taken out",
    "split off": "{of} {text} split off {was}",
}
"""How a change of the form of things stands in the log."""


def _summed_up(changes: Sequence[Change]) -> str:
    formed = [each for each in changes if each.field in _SUMMED_UP]
    first = formed[0] if formed else changes[0]
    was = f", was {first.was}" if first.was else ""
    said = f"{first.of} {first.field} {first.now or 'none'}{was}"
    if formed:
        said = _SUMMED_UP[first.field].format(
            of=first.of, text=first.text, was=first.was, now=first.now
        )
    rest = len(changes) - len(formed or [first])
    return f"{said}, and {rest} more" if rest else said


class _Work:
    """One correction while it is made: its act, its movements, and the labels as they were."""

    def __init__(
        self,
        writer: Writer,
        context: Context,
        ask: Ask,
        machine: Machine,
        changes: Sequence[Change],
        items: Sequence[Item] | None = None,
    ) -> None:
        if not changes:
            raise Refused("nothing to put right")
        reason = clean(getattr(ask, "reason", ""), "the reason", most=NOTE_LENGTH, empty=True)
        self.writer, self.machine, self.changes = writer, machine, tuple(changes)
        self.trial = ask.trial
        self.pieces: list[PiecesCorrected] = []
        self.spare: LetLoose | None = None
        self.asked: list[LeftOpen] = []
        self._moves: list[Movement] = []
        self._items = None if items is None else {item.number for item in items}
        self._codes: set[str] = set()
        self.act = 0
        self._due = self._labels_due()
        self.act = writer.begin(
            ActKind.CORRECT,
            f"put right: {_summed_up(changes)} ({machine.name})",
            reason=reason,
            at=context.at,
        )

    def move(self, *moves: Movement) -> None:
        """Move pieces with this act."""
        self._moves += moves

    def ask(self, item: str, line: BenchLine) -> None:
        """Note what the words of a line leave open."""
        if line.questions:
            self.asked.append(LeftOpen(item, line.questions))

    def hand_over(
        self, stock: Stock, item: Item, to: int, quantity: int, of: Condition | None
    ) -> dict[Condition, int]:
        """Let old pieces of one line be another's from the first, where they lie and as they are;
        return how many there were of each condition.

        Raises:
            Refused: fewer are there, or it is not clear which of them it were.
        """
        came = Spot(
            self.writer.place_of_machine(PlaceKind.CAME, self.machine.number).number,
            Condition.AS_REMOVED,
        )
        order = [*PlaceKind]
        spots = [
            (spot, count)
            for spot, count in stock.balance.of_item(item.number).items()
            if count > 0 and stock.kinds[spot.place] is not PlaceKind.CAME
        ]
        # Of all that there is, what lies to hand is what was meant; what is out, only without it.
        spots.sort(
            key=lambda each: (
                not stock.kinds[each[0].place].in_hand,
                each[0].condition is not Condition.AS_REMOVED,
                order.index(stock.kinds[each[0].place]),
                each[0],
            )
        )
        given: dict[Condition, int] = {}
        for spot, count in _chosen(item, stock, spots, quantity, of):
            self.move(Movement(item.number, count, spot, came), Movement(to, count, came, spot))
            given[spot.condition] = given.get(spot.condition, 0) + count
        return given

    def merge(self, stock: Stock, item: Item, to: int) -> None:
        """Let all that a line ever had be another's from the first: where its pieces are, and where
        they came from."""
        there: list[tuple[Spot, int]] = []
        whence: list[tuple[Spot, int]] = []
        for spot, count in sorted(stock.balance.of_item(item.number).items()):
            (there if count > 0 else whence).append((spot, abs(count)))
        while there:
            (here, pieces), (back, due) = there.pop(), whence.pop()
            count = min(pieces, due)
            self.move(Movement(item.number, count, here, back), Movement(to, count, back, here))
            if pieces > count:
                there.append((here, pieces - count))
            if due > count:
                whence.append((back, due - count))

    def judge_anew(self, item: Item, given: Mapping[Condition, int], to: int | None = None) -> None:
        """Let what inspections said of pieces go along with them: to another line, or nowhere."""
        verdicts = read_findings(self.writer.connection, item.number)
        if not any(verdict in given for verdict, _ in verdicts):
            return
        left = dict(given)
        kept: list[tuple[Condition, StoryLine, int]] = []
        for verdict, line in reversed(verdicts):
            moved = min(line.quantity, left.get(verdict, 0))
            if moved:
                left[verdict] -= moved
                if to is not None:
                    self.say_again(verdict, line, to, moved)
            if line.quantity > moved:
                kept.append((verdict, line, line.quantity - moved))
        self.writer.correct(self.act, "item", item.number, "verdict", self.act)
        for verdict, line, count in reversed(kept):
            self.say_again(verdict, line, item.number, count)

    def say_again(self, verdict: Condition, line: StoryLine, item: int, count: int) -> None:
        """Write a verdict down again, of so many pieces of an item."""
        self.writer.finding(
            self.act,
            item,
            count,
            verdict,
            line.what,
            measured_nm=line.measured_nm,
            limit_nm=line.limit_nm,
        )

    def reply(self, machine: str = "") -> Corrected:
        """Write the movements and return what was put right."""
        if self._moves:
            stock = self.writer.stock_for(self._moves)
            self.writer.move(self.act, record(stock, ActKind.CORRECT, self._moves))
        return Corrected(
            act=self.act,
            trial=self.trial,
            machine=machine or self.machine.name,
            changes=self.changes,
            pieces=tuple(self.pieces),
            spare=self.spare,
            labels=tuple(sorted(self._labels_due() - self._due)),
            asked=tuple(self.asked),
        )

    def _labels_due(self) -> set[str]:
        """Return the bags that hold the pieces, or held them, and whose label says it otherwise."""
        numbers = self._items
        if numbers is not None and self.act:
            numbers |= self.writer.items_born(self.act)
        items = read_items(
            self.writer.connection,
            machine=self.machine.number if numbers is None else None,
            numbers=numbers,
        )
        self._codes |= {code for item in items for code in item.bags}
        held = [
            each
            for code in sorted(self._codes)
            for each in items_of_bag(self.writer.connection, code)
        ]
        bags = read_bags(self.writer.connection, held)
        return {code for code in self._codes if code in bags and bags[code].superseded}


def _chosen(
    item: Item,
    stock: Stock,
    spots: Sequence[tuple[Spot, int]],
    quantity: int,
    of: Condition | None,
) -> list[tuple[Spot, int]]:
    """Return so many old pieces of these spots, in this order.

    Pieces that nobody has judged are as good as each other. Of judged ones it has to be said which,
    where they were judged otherwise: it is not for us to say which of them never was.

    Raises:
        Refused: fewer are there, or they are in several conditions.
    """
    old = [
        (spot, count)
        for spot, count in spots
        if spot.condition is not Condition.NEW and of in (None, spot.condition)
    ]
    if sum(count for _, count in old) < quantity:
        raise Refused("not so many left", item=item.ref, quantity=quantity)
    chosen = []
    wanted = quantity
    for spot, count in old:
        here = min(count, wanted)
        if here:
            chosen.append((spot, here))
            wanted -= here
    judged = {spot.condition for spot, _ in chosen} - {Condition.AS_REMOVED}
    others = {
        spot.condition
        for spot, _ in old
        if stock.kinds[spot.place].in_hand and spot.condition is not Condition.AS_REMOVED
    }
    if judged and len(judged | others) > 1:
        raise Refused(
            "which of the judged pieces", item=item.ref, quantity=quantity,
            conditions=tuple(sorted(judged | others)),
        )  # fmt: skip
    return chosen


def _position(text: str) -> str:
    return clean(text, "the position", most=120, empty=True)


_ASIDE = frozenset(("reason", "of", "pieces_too", "trial", "key"))


def _refuse_nothing_said(ask: Ask, kind: str, named: str) -> None:
    """Refuse an ask that leaves all as it is, of a machine, step or line called that."""
    changeable = (each for each in fields(ask) if each.name not in _ASIDE)
    if all(each.default in (MISSING, getattr(ask, each.name)) for each in changeable):
        raise Refused("nothing said to put right", kind=kind, named=named.strip())


def _as_found(item: Item) -> str:
    if item.stock:
        return this_much(item.in_hand(*Condition), item.unit, item.as_found.text)
    return many(item.found, item.as_found.text)


def _moved(item: Item, ref: str) -> Change:
    return Change(item.ref, "moved", item.ref, ref, _as_found(item))


def _assemblies(writer: Writer, machine: Machine) -> list[tuple[int, str]]:
    rows = writer.connection.execute(
        rows_of(ASSEMBLIES.c.id, ASSEMBLIES.c.path).where(ASSEMBLIES.c.machine_id == machine.number)
    )
    return [(row.id, row.path) for row in rows]


def _standing_steps(writer: Writer, machine: Machine) -> list[Step]:
    reversed_acts = writer.fallen()
    rows = writer.connection.execute(
        rows_of(STEPS.c.as_id, STEPS.c.act_id).where(STEPS.c.machine_id == machine.number)
    )
    numbers = {row.as_id for row in rows if row.act_id not in reversed_acts}
    steps = read_steps(writer.connection, numbers)
    return sorted(steps.values(), key=lambda step: (step.came_off, step.number))


def _step_row(writer: Writer, machine: Machine, number: int) -> int:
    row: int | None = writer.connection.execute(
        rows_of(STEPS.c.as_id).where(STEPS.c.machine_id == machine.number, STEPS.c.number == number)
    ).scalar()
    if row is None:
        raise NotFound("no such step", step=number, hint=Hint("history"))
    return row


def _all_of_step(writer: Writer, machine: Machine, number: int) -> list[Item]:
    return items_of_step(writer.connection, machine.number, number, empty=True)


def _target_step(writer: Writer, machine: Machine, typed: str) -> Step:
    chosen = select(writer.connection, machine.name, typed, empty=True, jobs=True)
    step_of(chosen)
    return chosen.step


def _seats(
    lines: Sequence[Item], position: str | None, changes: list[Change]
) -> list[tuple[Item, str]]:
    """Return the lines that sit elsewhere: all but the part itself, where there are others."""
    if position is None:
        return []
    seats = []
    for item in lines[1:] or lines:
        if item.position != position:
            seats.append((item, position))
            changes.append(Change(item.ref, "position", item.position, position))
    return seats


def _ranks(
    writer: Writer, machine: Machine, number: int, ask: CorrectStep, changes: list[Change]
) -> dict[int, int]:
    """Return the new ranks, by row, that put a step beside another in the order of removal."""
    if ask.came_off_before is None and ask.came_off_after is None:
        return {}
    if ask.came_off_before is not None and ask.came_off_after is not None:
        raise Refused("before or after, not both")
    typed = ask.came_off_before if ask.came_off_before is not None else ask.came_off_after
    beside = _target_step(writer, machine, typed or "").number
    if beside == number:
        raise Refused("a step beside itself", step=number)
    before = ask.came_off_before is not None
    ranks = (
        _ranked(writer, machine, number, before=beside)
        if before
        else _ranked(writer, machine, number, after=beside)
    )
    if ranks:
        order = [step.number for step in _standing_steps(writer, machine)]
        at = order.index(number)
        was = f"after step {order[at - 1]}" if at else "first"
        changes.append(
            Change(
                f"step {number}",
                "order of removal",
                was,
                f"{'before' if before else 'after'} step {beside}",
            )
        )
    return ranks


def _ranked(
    writer: Writer,
    machine: Machine,
    number: int,
    *,
    before: int | None = None,
    after: int | None = None,
) -> dict[int, int]:
    """Return ranks that put a step just before or after another; none where it is there already."""
    steps = _standing_steps(writer, machine)
    order = [step.number for step in steps]
    rank = {step.number: step.came_off for step in steps}
    rest = [each for each in order if each != number]
    at = rest.index(before) if before is not None else rest.index(after or 0) + 1
    wanted = [*rest[:at], number, *rest[at:]]
    if wanted == order:
        return {}
    low = rank[rest[at - 1]] if at else 0
    high = rank[rest[at]] if at < len(rest) else low + 2 * RANKS_APART
    if high - low > 1:
        return {_step_row(writer, machine, number): (low + high) // 2}
    return {
        _step_row(writer, machine, each): place * RANKS_APART
        for place, each in enumerate(wanted, 1)
    }


_OF_A_MACHINE = ("filing", "snag", "listed_part", "purchase_line", "refit_link")
"""Tables of what is kept by machine: it does not go to another machine with a step."""


def _refuse_filed(writer: Writer, row: int, lines: Sequence[Item], name: str) -> None:
    """Refuse to take a step to another machine while what is kept by machine hangs on it."""
    rows = writer.connection.execute(rows_of(STEPS.c.id).where(STEPS.c.as_id == row)).scalars()
    names = hangs_on(writer.connection, "step", set(rows))
    names += hangs_on(writer.connection, "item", [item.number for item in lines])
    kinds = dict.fromkeys(name for name in names if name in _OF_A_MACHINE)
    if kinds:
        raise Refused("something hangs on it", what=name, kinds=tuple(kinds))


def _rename_part(
    writer: Writer, work: _Work, step: Step, lines: Sequence[Item], part: BenchLine
) -> None:
    """Let the line that is the part itself say the same as the step."""
    item = lines[0] if lines else None
    if item is None or item.line != 1 or fold(read_line(item.written).said) != fold(step.part):
        return
    changes: list[Change] = []
    line = part if part.counted else replace(part, found=item.found, wanted=item.wanted)
    _line_changes(item, line, changes)
    work.changes += tuple(changes)
    chosen = Selection(work.machine, (item,))
    _put_line(writer, work, chosen, item, line)


def _count_still_open(item: Item, line: BenchLine) -> BenchLine:
    """Return what a line is by now, with the words of a count in question where it says no count:
    a size that is put right answers no "5 or 6"."""
    if not item.count_to_check or line.counted or line.count_questions:
        return line
    words = [each.partition(":")[0] for each in open_questions(item.written)[1]]
    either_end = [(f"{each} {line.written}", f"{line.written} {each}") for each in words]
    for typed in chain.from_iterable(either_end):
        with suppress(NotationError, BadValue):
            again = read_line(typed)
            if again.count_questions and not again.counted:
                return again
    return line


def _line_changes(item: Item, line: BenchLine, changes: list[Change]) -> None:
    if line.thing.spec != item.as_found.text:
        changes.append(Change(item.ref, "as found", item.as_found.text, line.thing.spec))
    if line.counted and line.found != item.found:
        changes.append(Change(item.ref, "count found", str(item.found), str(line.found)))
    if line.specified.spec not in (line.thing.spec, item.as_specified.text):
        changes.append(Change(item.ref, "should be", item.as_specified.text, line.specified.spec))
    if not changes and item.questions and line.written != item.written:
        changes.append(Change(item.ref, "words", item.written, line.written))


def _put_line(
    writer: Writer,
    work: _Work,
    chosen: Selection,
    item: Item,
    line: BenchLine,
    of: Condition | None = None,
) -> None:
    """Write down what a line was as found, and what follows: what should be, and the pieces."""
    same = item.as_specified.text == item.as_found.text
    stated = line.specified.spec != line.thing.spec
    found = line.found if line.counted else item.found
    wanted = found if item.wanted == item.found else item.wanted
    if line.counted and line.wanted != line.found:
        wanted = line.wanted
    if not found and not wanted:
        raise Refused("nothing left of the line", item=item.ref, hint=Hint("undo"))
    description = writer.description(line.thing)
    if line.thing.spec != item.as_found.text:
        writer.correct(
            work.act, "item", item.number, "description_id", description, folded=line.thing.spec
        )
    writer.correct(work.act, "item", item.number, "written", line.written)
    if found != item.found:
        _recount(writer, work, chosen, item, found, line.thing.spec, of)
        writer.correct(work.act, "item", item.number, "found", found)
    thing = line.specified if stated or same else None
    spec = thing.spec if thing else item.as_specified.text
    now = (spec, wanted, found, line.thing.spec)
    if now == (item.as_specified.text, item.wanted, item.found, item.as_found.text):
        return
    renew = item.as_specified.renew if thing is None else renew_always(thing) or ""
    number = writer.description(thing) if thing else writer.known_description(spec)
    if not item.step.number:
        wanted = item.wanted
    if not agree(item.as_specified.text, spec):
        if fitted := item.count(PlaceKind.MACHINE, conditions=(Condition.NEW,)):
            raise Refused("on the machine already", quantity=fitted, text=item.as_specified.text)
        work.spare = let_loose(writer, work.act, chosen, item)
    writer.specify(work.act, item.number, number, wanted, renew)


def _bag_then(writer: Writer, item: Item, mates: Sequence[Item]) -> Made:
    """Return the bag that pieces were put into which nobody wrote down: the step's, also where all
    that is known of it has left the bag since."""
    home = home_of(writer, item, mates)
    if home.kind is PlaceKind.BAG:
        return home
    code = first_bag(writer.connection, [item.number, *(mate.number for mate in mates)])
    return writer.place(PlaceKind.BAG, code) if code else home


def _recount(
    writer: Writer,
    work: _Work,
    chosen: Selection,
    item: Item,
    found: int,
    text: str,
    of: Condition | None,
) -> None:
    """Move the pieces that were counted too few or too many, from the machine or back."""
    if item.step.number:
        origin = writer.place_of_machine(PlaceKind.CAME, chosen.machine.number)
    else:
        origin = writer.place(PlaceKind.UNKNOWN, "unknown origin")
    stock = writer.stock([item.number])
    source = next(
        (
            spot
            for spot, count in stock.balance.of_item(item.number).items()
            if count < 0 and stock.kinds[spot.place] is origin.kind
        ),
        Spot(origin.number, Condition.AS_REMOVED),
    )
    if found > item.found:
        mates = _all_of_step(writer, chosen.machine, item.step.number)
        place = _bag_then(writer, item, mates)
        count = found - item.found
        work.move(Movement(item.number, count, source, Spot(place.number, Condition.AS_REMOVED)))
        work.pieces.append(PiecesCorrected(item.ref, count, text, Whereabouts.of(place)))
        return
    over = item.found - found
    spots = sorted(
        (
            (spot, count)
            for spot, count in stock.balance.of_item(item.number).items()
            if count > 0
            and stock.kinds[spot.place].in_hand
            and spot.condition is not Condition.NEW
            and of in (None, spot.condition)
        ),
        key=lambda each: (
            each[0].condition is not Condition.AS_REMOVED,
            stock.kinds[each[0].place] is not PlaceKind.BAG,
            each[0],
        ),
    )
    if sum(count for _, count in spots) < over:
        raise Refused(
            "fewer to hand than counted too many", item=item.ref, over=over,
            to_hand=sum(count for _, count in spots),
        )  # fmt: skip
    taken: dict[Condition, int] = {}
    for spot, here in _chosen(item, stock, spots, over, of):
        taken[spot.condition] = taken.get(spot.condition, 0) + here
        # It leaves as it came: nobody knew a condition of it then.
        work.move(Movement(item.number, here, spot, source))
        where = Whereabouts(stock.kinds[spot.place], stock.name_place(spot.place))
        work.pieces.append(PiecesCorrected(item.ref, -here, text, where))
    work.judge_anew(item, taken)


def _to_step(
    writer: Writer, work: _Work, machine: Machine, item: Item, target: Step, *, pieces_too: bool
) -> None:
    row = _step_row(writer, machine, target.number)
    line = writer.next_line(row)
    writer.correct(work.act, "item", item.number, "step_id", row, folded=target.part)
    writer.correct(work.act, "item", item.number, "line", line)
    if not pieces_too:
        return
    mates = [each for each in _all_of_step(writer, machine, target.number) if each.bags]
    if not mates:
        raise Refused("that step has no bag", step=target.number)
    bag = writer.place(PlaceKind.BAG, mates[0].bags[0])
    stock = writer.stock([item.number], [bag.number])
    for spot, count in stock.balance.of_item(item.number).items():
        if count > 0 and stock.kinds[spot.place] is PlaceKind.BAG and spot.place != bag.number:
            work.move(Movement(item.number, count, spot, Spot(bag.number, spot.condition)))


def _new_line(
    writer: Writer,
    work: _Work,
    machine: Machine,
    step: int,
    line: BenchLine,
    found: int,
    position: str,
) -> int:
    item, _ = writer.item(
        work.act,
        machine.number,
        step,
        writer.description(line.thing),
        found,
        written=line.written,
        position=position,
        words=f"{line.thing.spec} {line.written} {position} {_words_of(writer, step)}",
    )
    writer.specify(
        work.act,
        item,
        writer.description(line.specified),
        line.wanted,
        renew_always(line.specified) or "",
    )
    return item


def _words_of(writer: Writer, row: int) -> str:
    step = read_steps(writer.connection, [row])[row]
    return f"{step.part} {step.assembly} {step.note} {step.hazard}"
