"""What was done: the history, taking it back, and whether everything is accounted for.

An act is not undone while an item that it brought in has pieces from elsewhere: they would be out
of sight, on an item that no longer stands. The audit checks for such pieces too.

`fallen_acts` says what stands. No act is reversed twice: one that was undone, brought back and
undone again is taken back by a reversal of the act that brought it back (`standing_by`). What
stands is always a record that could have been lived without the rest: an act is not undone while a
later one used what it brought about (`dependents`), even where the pieces came back since, so that
undoing the last act over and over ends at nothing.
"""

import re
from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import NoReturn

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.ledger import Act, ActKind, Condition, PlaceKind, dependents, reverse
from stores.model.outwork import Debt
from stores.planning.audit import Fault
from stores.planning.audit import audit as audit_record
from stores.planning.counts import Stocktake, stocktake
from stores.storage import Writer
from stores.storage.acts import (
    ActLine,
    act_lines,
    act_of_step,
    act_summary,
    acts_of,
    is_correction,
    newest_act,
    step_of_act,
)
from stores.storage.corrections import builds_on, correction_faults, counts_found
from stores.storage.items import read_items
from stores.storage.machines import machine_named, machine_of_act, machine_of_items, read_machines
from stores.storage.mixups import mixup_faults
from stores.storage.opening import UNREADABLE, file_check
from stores.storage.orders import order_faults, order_in_use
from stores.storage.outwork import (
    batch_faults,
    batch_needed_by,
    batch_undone,
    debt_faults,
    read_debts,
    work_faults,
)
from stores.storage.parts_lists import list_read_twice
from stores.storage.places import place_names, stowed_in_a_ring
from stores.storage.search import read_bags
from stores.storage.stock import measured_items
from stores.storage.story import (
    acts_touching,
    assembly_rows,
    findings_within,
    item_row,
    items_of_steps,
    labels_made,
    movements_within,
    read_refs,
    step_rows,
    written,
)
from stores.storage.strip import jobs_ticked_by, ticked_off
from stores.storage.whole import read_record, text_faults
from stores.text import beside, clean, fold, local_day
from stores.usecases.common import NOTE_LENGTH, PiecesAt, count_of, scope_of
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "AskAudit",
    "Audit",
    "Deed",
    "LaterAct",
    "PiecesFound",
    "PiecesWent",
    "Story",
    "StoryOf",
    "Undo",
    "Undone",
    "audit",
    "history",
    "newest_entry",
    "record_faults",
    "story",
    "undo",
]


@dataclass(frozen=True, slots=True)
class Undo(Ask):
    """An act to take back: of this number, or without one the last that stands.

    ``by`` says what the number is of: "act", "step", or "" where only one of them can be meant.
    """

    number: str | int | None = None
    by: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone(Reply):
    """An act taken back; ``act`` is the one that took it back and can be undone in turn.

    ``consumables`` are how many things went back that are measured, not counted in ``pieces``.
    """

    undone: int
    summary: str
    pieces: int
    consumables: int = 0


@dataclass(frozen=True, slots=True)
class AskAudit:
    """``folder`` is where pictures are kept, by default beside the stores."""

    folder: str = ""


@dataclass(frozen=True, slots=True)
class LaterAct:
    """An act that has to be taken back before another one can be; ``day`` as ISO 8601."""

    number: int
    kind: ActKind
    day: str
    summary: str


@dataclass(frozen=True, slots=True)
class StoryOf:
    """The story of an item, step, bag, box, shelf, firm, assembly or machine: all of it, or the
    ``most`` newest deeds."""

    what: str
    most: str | int | None = None


@dataclass(frozen=True, slots=True)
class PiecesWent:
    """So many pieces of an item, where and how they were before a deed, and after it."""

    item: str
    text: str
    quantity: int
    before: PiecesAt
    after: PiecesAt


@dataclass(frozen=True, slots=True)
class PiecesFound:
    """What an inspection said of so many pieces, and why."""

    item: str
    quantity: int
    condition: Condition
    reason: str


@dataclass(frozen=True, slots=True)
class Deed:
    """A deed of a story: an act, or the label of a bag that was made.

    ``kind`` is that of the act, or "label"; then ``act`` is None, ``bag`` its code, and ``good``
    whether it came out, None where nobody said. ``undone_by`` is None while it stands.
    """

    act: int | None
    kind: str
    at: str
    summary: str
    reason: str
    stands: bool
    undone_by: int | None
    went: tuple[PiecesWent, ...] = ()
    found: tuple[PiecesFound, ...] = ()
    bag: str = ""
    good: bool | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """What was done to one thing, the oldest first; ``left_out`` counts older deeds."""

    name: str
    kind: str
    left_out: int
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True)
class Audit:
    """Every fault of the record, and what is where. ``stocktake`` is None where the record cannot
    be read: the faults say what cannot.

    ``pictures`` counts those whose kept files were read through; ``pictures_unseen`` those that
    could not be, for nothing says in which folder they are kept.
    """

    faults: tuple[Fault, ...]
    stocktake: Stocktake | None
    debts: tuple[Debt, ...]
    pictures: int = 0
    pictures_unseen: int = 0


def newest_entry(context: Context) -> int:
    """Return the number of the newest act, 0 before there is one."""
    with context.reading() as connection:
        return newest_act(connection)


def history(
    context: Context, most: str | int | None = None, before: int | None = None
) -> tuple[ActLine, ...]:
    """Return what was done, the newest first; an act that was undone is among it, marked.

    With ``before`` only what was done before the act of this number.

    Raises:
        BadValue: not a count of at least 1.
    """
    wanted = _how_many(most)
    with context.reading() as connection:
        return tuple(act_lines(connection, wanted, before))


def _how_many(most: str | int | None) -> int | None:
    try:
        return count_of(most)
    except BadValue:
        raise BadValue("how many acts", typed=str(most)[:20]) from None


def story(context: Context, ask: StoryOf) -> Story:
    """Return every act that touched one thing, in order, with the labels that were made of it.

    Of an item or a step what was taken back is told too.

    Raises:
        NotFound: nothing was ever called that.
        BadValue: not a count of at least 1; a bag code with a slip.
    """
    most = _how_many(ask.most)
    with context.reading() as connection:
        name, kind, things, places = _thing(connection, context.machine, ask.what)
        numbers = acts_touching(connection, things)
        lines = acts_of(connection, numbers)
        items = None if places else set(things.get("item", ()))
        moves = movements_within(connection, numbers, items, places or None)
        rows = read_refs(connection, {move.item_id for move in moves} | (items or set()))
        known = place_names(connection, {p for m in moves for p in (m.from_place, m.to_place)})
        went: dict[int, list[PiecesWent]] = {}
        for move in moves:
            ref, text = rows[move.item_id]
            ends = [
                PiecesAt(move.quantity, Condition(condition), *known[place])
                for place, condition in (
                    (move.from_place, move.from_condition),
                    (move.to_place, move.to_condition),
                )
            ]
            went.setdefault(move.act_id, []).append(
                PiecesWent(ref, text, move.quantity, ends[0], ends[1])
            )
        moved = {(move.act_id, move.item_id) for move in moves}
        found: dict[int, list[PiecesFound]] = {}
        for row in findings_within(connection, numbers):
            if (row.act_id, row.item_id) in moved:
                found.setdefault(row.act_id, []).append(
                    PiecesFound(
                        rows[row.item_id][0], row.quantity, Condition(row.condition), row.reason
                    )
                )
        bags = places or {place for place, (of, _) in known.items() if of is PlaceKind.BAG}
        called = place_names(connection, bags)
        when = written(connection, numbers)
        deeds = [
            (
                (when[line.number], line.number),
                Deed(
                    line.number, line.kind.value, line.happened_at, line.summary, line.reason,
                    line.stands, None if line.stands else line.reversed_by,
                    tuple(went.get(line.number, ())), tuple(found.get(line.number, ())),
                ),
            )
            for line in lines
        ]  # fmt: skip
        for label in labels_made(connection, bags):
            last = max((n for n, at in when.items() if at <= label.at), default=0)
            code = called[label.place][1]
            deeds.append(
                ((label.at, last),
                 Deed(None, "label", label.at, "", "", True, None, bag=code, good=label.good))
            )  # fmt: skip
    ordered = [deed for _, deed in sorted(deeds, key=lambda each: each[0])]
    shown = ordered if most is None else ordered[-most:]
    return Story(name, kind, len(ordered) - len(shown), tuple(shown))


def _thing(
    connection: Connection, machine: str | None, what: str
) -> tuple[str, str, dict[str, list[int]], frozenset[int]]:
    """Return what a person points at: its name, its kind, its rows by table, and its place."""
    numbers = re.fullmatch(r"\s*(?:step\s+)?(\d{1,6})(?:\.(\d{1,4}))?\s*", what, re.IGNORECASE)
    if numbers and not (numbers[2] is None and int(numbers[1]) == 0):
        on, step = machine_named(connection, machine), int(numbers[1])
        if numbers[2] is None:
            rows = step_rows(connection, on.number, [step])
            if not rows:
                raise NotFound("never a step", step=step, machine=on.name)
            items = items_of_steps(connection, rows)
            return f"step {step}", "step", {"step": rows, "item": items}, _NO
        item = item_row(connection, on.number, step, int(numbers[2]))
        if item is None:
            raise NotFound("never an item", item=what.strip(), machine=on.name)
        ref, text = read_refs(connection, [item])[item]
        return beside(ref, text), "item", {"item": [item]}, _NO
    scope = scope_of(connection, machine, what)
    if scope.place is not None:
        return scope.name, scope.kind, {"place": [scope.place]}, frozenset({scope.place})
    items = [each.number for each in scope.items]
    on = scope.machine or machine_named(connection, machine)
    if scope.kind == "machine":
        return scope.name, "machine", {"machine": [on.number], "item": items}, _NO
    rows = step_rows(connection, on.number, {item.step.number for item in scope.items})
    assemblies = assembly_rows(connection, on.number, scope.name)
    things = {"assembly": assemblies, "step": rows, "item": items}
    return scope.name, "assembly", things, _NO


_NO: frozenset[int] = frozenset()


def undo(context: Context, ask: Undo) -> Undone:
    """Take an act back. The record keeps both.

    Raises:
        NotFound: nothing to undo, or no such act.
        Refused: it is undone already, its pieces have moved on since, a later correction builds on
            it, or the number is of an act and of a step.
    """
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    number = _number(ask.number)
    with context.writing(ask) as writer:
        reversed_numbers = writer.fallen()
        if number is not None:
            number = _act_meant(writer.connection, number, ask.by, context.machine)
        else:
            number = _last_act(writer, reversed_numbers)
        row_and_act = writer.act(number)
        if row_and_act is None:
            raise NotFound("no such act", act=number, hint=Hint("history"))
        row, act = row_and_act
        if number in reversed_numbers:
            raise Refused("undone already", act=number, summary=row.summary)
        if act.kind is ActKind.MACHINE:
            _refuse_machine_in_use(writer.connection, number)
        if act.kind is ActKind.ORDER and (used := order_in_use(writer.connection, number)):
            raise Refused("order in use", order=used, hint=Hint("history"))
        _refuse_built_on(writer, number, row.summary)
        items = {movement.item for movement in act.movements}
        poured = measured_items(writer.connection, items)
        again = act.kind is ActKind.REVERSE
        faults = _misfits(writer, items, again)
        back = _taken_back(writer, number, row.summary, act, reason)
        if act.kind is ActKind.REVERSE:
            _refuse_orphan(writer, number)
        word = "redo" if act.kind is ActKind.REVERSE else "undo"
        written = writer.begin(
            ActKind.REVERSE,
            f"{word} act {number}: {row.summary}",
            reason=reason,
            at=context.at,
            reverses=back.reverses,
            correcting=is_correction(writer.connection, number),
        )
        writer.move(written, back)
        if stowed_in_a_ring(writer.connection):
            raise Refused("a box inside itself")
        if misfits := [each for each in _misfits(writer, items, again) if each not in faults]:
            raise Refused(
                "does not fit any more", act=number, summary=row.summary, fault=misfits[0]
            )
        if impossible := mixup_faults(writer.connection):
            raise Refused("mixed up since", act=number, faults=tuple(map(str, impossible)))
        if word == "redo" and (twice := list_read_twice(writer.connection)):
            raise Refused("list read in again", name=twice[0], act=twice[1])
    return Undone(
        act=written,
        trial=ask.trial,
        undone=number,
        summary=row.summary,
        pieces=sum(m.quantity for m in act.movements if m.item not in poured),
        consumables=len(items & poured),
    )


def _number(typed: str | int | None) -> int | None:
    try:
        return count_of(typed)
    except BadValue as error:
        if error.fact == "count out of range":
            raise BadValue("acts begin at 1", act=error.facts["count"]) from None
        raise


def _last_act(writer: Writer, reversed_numbers: frozenset[int]) -> int:
    """Return the last act that stands. One that was brought back was done last by that."""
    reversals = writer.reversals()
    for act, kind in writer.acts_newest_first():
        if act in reversed_numbers:
            continue
        if kind is not ActKind.REVERSE:
            return act
        origin = act
        while origin in reversals:
            origin = reversals[origin]
        if origin not in reversed_numbers:
            return origin
    raise NotFound("nothing to undo")


def _act_meant(connection: Connection, number: int, by: str, machine: str | None) -> int:
    """Return the act that a person means by a number: of an act, or of a step."""
    if by == "act":
        return number
    step_act = None
    if read_machines(connection):
        step_act = act_of_step(connection, machine_named(connection, machine).number, number)
    if by == "step":
        if step_act is None:
            raise NotFound("no step of that number", step=number, hint=Hint("history"))
        return step_act
    summary, kind = act_summary(connection, number)
    if step_act not in (None, number) and kind is not ActKind.REVERSE and summary:
        raise Refused("an act and a step", number=number, summary=summary, act=step_act)
    return number


def _refuse_machine_in_use(connection: Connection, number: int) -> None:
    machine = machine_of_act(connection, number)
    if machine is None:
        return
    from stores.storage.strip import read_jobs

    if read_items(connection, machine=machine.number) or read_jobs(connection, machine.number):
        raise Refused("machine has steps", machine=machine.name)


def _taken_back(writer: Writer, number: int, summary: str, act: Act, reason: str) -> Act:
    """Return the act that takes this one back; refuse where later acts used what it brought about,
    or where items that it brought in would be out of sight with pieces from elsewhere."""
    items, born = {move.item for move in act.movements}, writer.items_born(number)
    later = writer.later_acts(number, items | born)
    moves = [move for each in (act, *(of for _, of in later)) for move in each.movements]
    stock = writer.stock(
        items | born, {spot.place for move in moves for spot in (move.source, move.target)}
    )
    used = dependents(stock, act, later)
    if act.kind is not ActKind.REVERSE and used:
        _refuse_dependents(writer, number, summary, used)
    origin = _origin(writer, number)
    ticks = ticked_off(writer.connection, origin)
    needed = batch_needed_by(writer.connection, origin)
    if (ticks or needed) and origin not in writer.fallen():  # these move no pieces
        _refuse_dependents(writer, number, summary, ticks or needed)
    try:
        back = reverse(stock, number, act, writer.reversals(), reason)
    except Refused:
        those = used or writer.putting_back(number, items)
        if not those:
            raise
        _refuse_dependents(writer, number, summary, those)
    after = stock.balance.copy()
    for movement in back.movements:
        after.apply(movement)
    if any(item in born for item, _, _ in after):
        theirs = [each for each, of in later if any(move.item in born for move in of.movements)]
        _refuse_dependents(writer, number, summary, theirs[::-1])
    return back


def _refuse_dependents(writer: Writer, number: int, summary: str, later: Sequence[int]) -> NoReturn:
    lines = {line.number: line for line in acts_of(writer.connection, later)}
    raise Refused(
        "moved on since",
        act=number,
        summary=summary,
        later=tuple(
            LaterAct(each, lines[each].kind, local_day(lines[each].happened_at),
                     lines[each].summary)
            for each in later
        ),
        step=step_of_act(writer.connection, number),
        hint=Hint("undo_act", act=later[0]),
    )  # fmt: skip


def _origin(writer: Writer, number: int) -> int:
    """Return the first act of a chain of reversals."""
    origin = number
    while (found := writer.act(origin)) is not None and found[1].reverses is not None:
        origin = found[1].reverses
    return origin


def _refuse_built_on(writer: Writer, number: int, summary: str) -> None:
    """Refuse to undo, or bring back, what a later correction takes for granted."""
    later = builds_on(writer.connection, _origin(writer, number))
    if later:
        raise Refused(
            "corrected since", act=number, summary=summary, later=later[0],
            what=act_summary(writer.connection, later[0])[0],
        )  # fmt: skip


def _misfits(writer: Writer, items: Collection[int], again: bool) -> list[str]:
    """Return what does not fit of the record; of one that an act is brought back to ``again``, also
    what came twice: on an order, or back of a batch, that was counted anew meanwhile."""
    faults = _corrected(writer, items)
    if again:
        for check in (order_faults, batch_faults, debt_faults):
            faults += map(str, check(writer.connection))
    return faults


def _corrected(writer: Writer, items: Collection[int]) -> list[str]:
    """Return what does not fit of the record as it reads with its corrections, and of how many
    pieces of these items there were."""
    faults = [str(fault) for fault in correction_faults(writer.connection)]
    stock = writer.stock(items)
    for item, found in counts_found(writer.connection, items).items():
        came = -sum(
            count
            for spot, count in stock.balance.of_item(item).items()
            if stock.kinds[spot.place] is PlaceKind.CAME
        )
        if came != found:
            faults.append(f"{stock.name_item(item)}: found {found}, but {came} came off")
    return faults


def _refuse_orphan(writer: Writer, number: int) -> None:
    """Refuse to bring an act back when its machine is undone, or its name is taken."""
    origin = _origin(writer, number)
    machines = read_machines(writer.connection)
    added = machine_of_act(writer.connection, origin)
    if added is not None and fold(added.name) in {fold(machine.name) for machine in machines}:
        raise Refused("machine's name taken by now", machine=added.name)
    owner = machine_of_items(writer.connection, writer.items_born(origin))
    if owner is not None and owner.number not in {machine.number for machine in machines}:
        raise Refused("its machine is undone", machine=owner.name)
    brought_back = writer.act(origin)
    moved = {move.item for move in brought_back[1].movements} if brought_back else set()
    unrecorded = jobs_ticked_by(writer.connection, origin) & writer.fallen()
    if unrecorded:
        raise Refused("its step is undone", act=max(unrecorded))
    unbatched = batch_undone(writer.connection, origin)
    if unbatched is not None:
        raise Refused("its batch is undone", act=unbatched)
    undone_births = writer.births(moved) & writer.fallen() - {origin}
    if undone_births:
        raise Refused("its items are undone", act=max(undone_births))


def audit(
    context: Context,
    ask: AskAudit = AskAudit(),
    progress: Callable[[str, int, int], None] | None = None,
) -> Audit:
    """Check the whole record and the kept pictures: every fault, and what is where; no fault means
    that every piece is accounted for. ``progress`` is told of each picture that is read."""
    from stores.storage.pictures import kept_files
    from stores.usecases.rebuild import status_of_lacking

    with context.reading() as connection:
        faults = record_faults(connection)
        count = sum(each.stands for each in kept_files(connection))
        seen = 0
        if count:
            from stores.usecases.pictures import picture_faults, picture_folder

            with suppress(Refused):  # nothing says where they are
                folder = picture_folder(context.store, ask.folder)
                faults += picture_faults(connection, folder, progress)
                seen = count
        try:
            items = read_items(connection)
            lacking = status_of_lacking(connection, items)
            counted = stocktake(items, read_bags(connection, items), lacking)
            debts = tuple(read_debts(connection))
        except (*UNREADABLE, DBAPIError):
            # What cannot be read cannot be counted; the faults say what that is.
            if not faults:
                raise
            return Audit(tuple(faults), None, (), seen, count - seen)
    return Audit(tuple(faults), counted, debts, seen, count - seen)


def record_faults(connection: Connection) -> list[Fault]:
    """Return every fault of the record itself; what lies beside it is not looked at."""
    from stores.storage.closing import closing_faults
    from stores.storage.counts import count_faults
    from stores.storage.descriptions import description_faults
    from stores.storage.strip import stack_faults
    from stores.storage.stuck import still_on_faults

    def rings(connection: Connection) -> list[Fault]:
        rings = stowed_in_a_ring(connection)
        return [Fault(name, "sits inside itself by way of others") for name in rings]

    faults = text_faults(connection)
    try:
        record, unread = read_record(connection)
    except DBAPIError:  # the database itself cannot read it
        if not faults:
            raise
        return faults
    faults += unread + audit_record(record)
    faults += [Fault("the file", fault) for fault in file_check(connection)]
    for check in (
        count_faults, closing_faults, batch_faults, order_faults, debt_faults, work_faults,
        mixup_faults, correction_faults, stack_faults, still_on_faults, rings, description_faults,
    ):  # fmt: skip
        try:
            faults += check(connection)
        except UNREADABLE:
            # What cannot be read cannot be checked; the faults say what that is.
            if not faults:
                raise
    return faults
