"""A record that was put right equals one that was typed right the first time.

A random truth, of steps and lines on two machines, is entered twice: right at once in one stores,
misheard in the other. There names are misspelt, counts wrong, lines forgotten, strewn or run
together, steps halved or run together, out of order, or on the other machine. Both then live the
same life of later acts, while the second is put right by corrections at random moments, some of
them undone and brought back, until it says the truth. Then everything that a person is shown has to
be the same but for numbers, bag codes and the history, and the counts are those of a plain table
that knows nothing of ours.
"""

import random
import re
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, is_dataclass
from difflib import ndiff
from itertools import pairwise
from pathlib import Path
from pprint import pformat
from typing import Any

import pytest
from conftest import examples, kept
from hypothesis import given, settings
from hypothesis import strategies as st
from postgres import copy_of
from undone_to_nothing import undo_to_nothing

from stores.errors import Refused, StoresError
from stores.model.items import Item
from stores.storage import open_store
from stores.storage.acts import act_of_step
from stores.storage.assembling import read_refits
from stores.storage.items import items_of_step, read_items
from stores.storage.outwork import read_batches
from stores.storage.snags import read_snags
from stores.usecases.assembling import Apply, Sign, apply, sign
from stores.usecases.closing import end_of_day, look_before_closing
from stores.usecases.context import Context
from stores.usecases.correct import (
    AddLine,
    CorrectAssembly,
    CorrectLine,
    CorrectMachine,
    CorrectStep,
    JoinLines,
    JoinSteps,
    SplitLine,
    SplitStep,
    add_line,
    correct_assembly,
    correct_line,
    correct_machine,
    correct_step,
    join_lines,
    join_steps,
    split_line,
    split_step,
)
from stores.usecases.figures import SetTorque, set_torque
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.labels import (
    AskLabels,
    MakeLabels,
    SayOut,
    labels,
    labels_came_out,
    labels_made,
)
from stores.usecases.machines import AddMachine, add_machine, machines
from stores.usecases.orders import (
    Buy,
    ListOrders,
    PlaceOrder,
    ReceiveOrder,
    buy,
    orders,
    place_order,
    receive_order,
)
from stores.usecases.outwork import (
    BatchListed,
    BeginBatch,
    CountBatchBack,
    ListBatches,
    PutIntoBatch,
    SendBatch,
    SendPieces,
    TakeBack,
    batches,
    begin_batch,
    count_batch_back,
    put_into_batch,
    send,
    send_batch,
    take_back,
)
from stores.usecases.places import (
    LosePieces,
    MovePieces,
    ScrapPieces,
    StowPlaces,
    lose,
    move,
    scrap,
    stow,
)
from stores.usecases.rebuild import ListSteps, PutBefore, listed_steps, put_before, status_on
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.strip import Strip, strip
from stores.wording.closing import day_lists, unsettled
from stores.wording.refusals import line_of

DAY, OTHER_DAY = "2026-01-12", "2026-01-14"
PLOVER, FINCH = "Orrick Plover", "Finch 2"
RAW, OK, NEW, BAD = "as removed", "serviceable", "new", "condemned"
IN_HAND = ("bag", "box 1", "shelf 2", "bench")
FIRM, PLATERS, SHOP = "Dyke Plating", "Brindle Platers", "Hollin Fasteners"
PARTS = (
    "rotor", "stator plate", "inlet manifold", "kickstart lever", "footrest", "chain guard",
    "rocker cover", "oil pump", "mudguard stay", "headlamp shell", "clutch hub", "idler",
)  # fmt: skip
ASSEMBLIES = ("Engine", "Engine / Top end", "Engine / Clutch", "Frame", "Frame / Forks")
THINGS = (
    "M6 x 25 hex bolt", "M8 x 30 hex bolt", "M6 plain washer", "M5 x 12 screw", "gasket", "dowel",
    "spring", "M8 nut",
)  # fmt: skip

Key = tuple[int, int]


@dataclass(frozen=True)
class Line:
    """A line as it truly is."""

    found: int
    wanted: int
    thing: str
    should: str = ""
    position: str = ""

    @property
    def typed(self) -> str:
        count = f"{self.found} of {self.wanted}" if self.found != self.wanted else f"{self.found}"
        should = f" (should be {self.should})" if self.should else ""
        return f"{count} {self.thing}{should}{f' @ {self.position}' if self.position else ''}"


@dataclass(frozen=True)
class Removal:
    """A step as it truly is; line 0 is the part itself."""

    machine: str
    assembly: str
    part: str
    lines: tuple[Line, ...]
    note: str = ""
    hazard: str = ""
    day: str = DAY


def truth_of(chance: random.Random) -> list[Removal]:
    parts = chance.sample(PARTS, chance.randint(3, 6))
    removals = []
    for part in parts:
        lines = [Line(1, 1, part)]
        seen = set()
        for _ in range(chance.randint(0, 3)):
            thing = chance.choice(THINGS)
            position = chance.choice(("", "", "left", "hole 3", "top"))
            if (thing, position) in seen:
                continue
            seen.add((thing, position))
            found = chance.randint(2, 6)
            wanted = found + chance.choice((0, 0, 0, 1))
            should = chance.choice(("", "", "", "M6 x 30 hex bolt")) if "bolt" in thing else ""
            lines.append(Line(found, wanted, thing, should, position))
        removals.append(
            Removal(
                chance.choice((PLOVER, PLOVER, PLOVER, FINCH)),
                chance.choice(ASSEMBLIES),
                part,
                tuple(lines),
                chance.choice(("", "", "stiff", "two studs stayed")),
                chance.choice(("", "", "spring under load")),
                chance.choice((DAY, DAY, OTHER_DAY)),
            )
        )
    return removals


@dataclass
class Entered:
    """A step as it was entered. ``holds`` are the true lines of each line that was typed."""

    machine: str
    assembly: str
    part: str
    lines: list[str]
    holds: list[list[Key]]
    note: str
    hazard: str
    day: str


@dataclass
class Fix:
    """A correction of the form of things: what it needs, what it makes, and what it is."""

    name: str
    needs: set[Key]
    makes: set[Key]
    do: Callable[[], Any]
    done: bool = False
    act: int = 0
    made: dict[Key, int] = field(default_factory=dict)


class Bench:
    """A stores, and which of its items is which true line."""

    def __init__(self, file: Path) -> None:
        self.store = open_store(str(file))
        self.item: dict[Key, int] = {}
        self.log: list[str] = []
        self._read: dict[int, Item] | None = None

    def at(self, machine: str | None = None, day: str = DAY) -> Context:
        return Context(self.store, machine=machine, day=day)

    def items(self) -> dict[int, Item]:
        """All items, read once after each act."""
        if self._read is None:
            with self.store.reading() as connection:
                self._read = {item.number: item for item in read_items(connection)}
        return self._read

    def of(self, key: Key) -> Item:
        return self.items()[self.item[key]]

    def do(self, usecase: Callable[..., Any], key: Key | str, ask: Any, day: str = DAY) -> Any:
        machine = key if isinstance(key, str) else self.of(key).step.machine
        self._read = None
        reply = usecase(self.at(machine or None, day), ask)
        said = {name: each for name, each in plain(ask).items() if each not in (None, "", False)}
        self.log.append(f"{reply.act}: {machine}: {usecase.__name__} {said}")
        return reply

    def strip(self, entered: Entered) -> Any:
        ask = Strip(
            entered.assembly,
            entered.part,
            entered.lines,
            note=entered.note,
            hazard=entered.hazard,
            new_assembly=True,
            new_place=True,
        )
        reply = self.do(strip, entered.machine, ask, entered.day)
        found = {
            item.line: item.number
            for item in self.items().values()
            if item.step.number == reply.step and item.step.machine == reply.machine
        }
        for line, keys in enumerate(entered.holds, 1):
            if keys:
                self.item[keys[0]] = found[line]
        return reply


def as_entered(removals: list[Removal]) -> list[Entered]:
    return [
        Entered(
            each.machine,
            each.assembly,
            each.part,
            [line.typed for line in each.lines[1:]],
            [[(at, line)] for line in range(len(each.lines))],
            each.note,
            each.hazard,
            each.day,
        )
        for at, each in enumerate(removals)
    ]


class Life:
    """The two records, the plain table, and what is still to be put right."""

    def __init__(self, seed: int, folder: Path, begun: Path) -> None:
        self.chance = random.Random(seed)
        self.truth = truth_of(self.chance)
        self.right, self.other = (self._open(folder, begun, name) for name in ("right", "other"))
        self.pieces: dict[Key, Counter[tuple[str, str]]] = {}
        self.specified: dict[Key, tuple[str, int]] = {}
        self.fixes: list[Fix] = []
        self.acts: list[int] = []
        self.undone: list[tuple[int, Fix | None]] = []
        self.stowed: set[int] = set()
        self.batches: dict[Key, tuple[int, int, tuple[str, str]]] = {}
        self.orders: dict[Key, tuple[int, int, str]] = {}

    @staticmethod
    def _open(folder: Path, begun: Path, name: str) -> Bench:
        copy_of(begun, folder / f"{name}.db")
        return Bench(folder / f"{name}.db")

    def close(self) -> None:
        self.right.store.engine.dispose()
        self.other.store.engine.dispose()

    def line(self, key: Key) -> Line:
        return self.truth[key[0]].lines[key[1]]

    # What is misheard

    def mishear(self) -> list[Entered]:
        chance, entries = self.chance, as_entered(self.truth)
        by_part = dict(enumerate(entries))
        touched: set[int] = set()
        for at in range(len(self.truth)):
            if at in touched:
                continue
            kind = chance.choice(
                ("merge", "halve", "forget", "stray", "run together", "in two", "machine", "")
            )
            touched |= self._misform(kind, at, entries, by_part, touched)
        for entry in entries:
            self._misspell(entry)
        for at in range(len(entries) - 1):
            if chance.random() < 0.2:
                entries[at], entries[at + 1] = entries[at + 1], entries[at]
        return entries

    def _misform(  # noqa: PLR0911
        self,
        kind: str,
        at: int,
        entries: list[Entered],
        by_part: dict[int, Entered],
        touched: set[int],
    ) -> set[int]:
        chance, mine, own = self.chance, self.truth[at], by_part[at]
        lines = len(mine.lines)
        last = lines - 1
        others = [
            each
            for each in range(len(self.truth))
            if each != at and each not in touched and self.truth[each].machine == mine.machine
        ]
        every = {(at, each) for each in range(lines)}
        if kind == "merge" and others:
            other = chance.choice(others)
            theirs = by_part[other]
            own.lines += [f"1 {theirs.part}", *theirs.lines]
            own.holds += theirs.holds
            entries.remove(theirs)
            by_part[other] = own
            keys = {(other, each) for each in range(len(self.truth[other].lines))}
            self._fix("split step", every | keys, {(other, 0)}, lambda: self._split_step(at, other))
            return {at, other}
        if kind == "halve" and lines >= 3:
            first = chance.randint(1, last)
            second = Entered(
                own.machine, own.assembly, own.lines[first - 1], own.lines[first:],
                own.holds[first:], "", "", own.day,
            )  # fmt: skip
            del own.lines[first - 1 :], own.holds[first:]
            entries.insert(entries.index(own) + 1, second)
            self._fix("join steps", every, set(), lambda: self._join_steps(at, first))
            return {at}
        if kind == "forget" and lines >= 2:
            del own.lines[-1], own.holds[-1]
            self._fix("add line", {(at, 0)}, {(at, last)}, lambda: self._add_line((at, last)))
            return {at}
        if kind == "stray" and lines >= 2 and others:
            other = chance.choice(others)
            theirs = by_part[other]
            theirs.lines.append(own.lines.pop())
            theirs.holds.append(own.holds.pop())
            self._fix("move line", {(at, 0), (at, last)}, set(), lambda: self._move((at, last)))
            return {at, other}
        if kind == "run together" and lines >= 3:
            first, second = mine.lines[-2:]
            both = Line(
                first.found + second.found, first.wanted + second.wanted, first.thing,
                first.should, first.position,
            )  # fmt: skip
            own.lines[-2:] = [both.typed]
            own.holds[-2:] = [[(at, last - 1), (at, last)]]
            self._fix(
                "split line", {(at, last - 1)}, {(at, last)}, lambda: self._split_line((at, last))
            )
            return {at}
        if kind == "in two" and lines >= 2 and mine.lines[-1].found > 2:
            whole = mine.lines[-1]
            one = chance.randint(1, whole.found - 1)
            halves = (
                Line(
                    whole.found - one, whole.wanted - one, whole.thing, whole.should, whole.position
                ),
                Line(one, one, whole.thing, whole.should, whole.position),
            )
            own.lines[-1:] = [half.typed for half in halves]
            own.holds.append([(at, -1)])
            self._fix("join lines", {(at, last), (at, -1)}, set(), lambda: self._join((at, last)))
            return {at}
        if kind == "machine":
            own.machine = FINCH if mine.machine == PLOVER else PLOVER
            self._fix("to machine", every, set(), lambda: self._to_machine(at))
            return {at}
        return set()

    def _fix(self, name: str, needs: set[Key], makes: set[Key], do: Callable[[], Any]) -> None:
        self.fixes.append(Fix(name, needs, makes, do))

    def _misspell(self, entry: Entered) -> None:
        chance = self.chance
        if chance.random() < 0.3:
            entry.assembly = chance.choice(("Engin / Cluch", "Fram", *ASSEMBLIES))
        if chance.random() < 0.2 and entry.holds[0][0][1] == 0:
            entry.part = f"{entry.part}e"
        if chance.random() < 0.2:
            entry.note = chance.choice(("", "nothing to see"))
        if chance.random() < 0.2:
            entry.hazard = chance.choice(("", "hot"))
        if chance.random() < 0.2:
            entry.day = chance.choice((DAY, OTHER_DAY))
        for at, keys in enumerate(entry.holds[1:]):
            if len(keys) != 1 or keys[0][1] <= 0 or self._halved(keys[0]):
                continue
            if chance.random() < 0.3:
                line = self.line(keys[0])
                found = max(1, line.found + chance.choice((-1, 0, 0, 1, 2)))
                entry.lines[at] = Line(
                    found,
                    max(found, line.wanted) if chance.random() < 0.5 else found,
                    chance.choice((line.thing, "M8 x 20 hex bolt", "circlip")),
                    line.should if chance.random() < 0.7 else "",
                    chance.choice((line.position, "", "right")),
                ).typed

    def _halved(self, key: Key) -> bool:
        return any(
            fix.name in ("join lines", "split line") and key in fix.needs for fix in self.fixes
        )

    # How it is put right

    def _split_step(self, at: int, other: int) -> Any:
        keys = [key for key in sorted(self.other.item) if key[0] == other]
        number = str(self.other.of((at, 0)).step.number)
        lines = [self.other.of(key).ref for key in keys]
        wanted = self.truth[other]
        return self.other.do(
            split_step, (at, 0), SplitStep(number, lines, wanted.part, wanted.assembly)
        )

    def _join_steps(self, at: int, first: int) -> Any:
        one, two = (self.other.of(key).step.number for key in ((at, 0), (at, first)))
        return self.other.do(join_steps, (at, 0), JoinSteps(str(one), str(two)))

    def _add_line(self, key: Key) -> Any:
        number = str(self.other.of((key[0], 0)).step.number)
        return self.other.do(add_line, (key[0], 0), AddLine(number, self.line(key).typed))

    def _move(self, key: Key) -> Any:
        to = str(self.other.of((key[0], 0)).step.number)
        ask = CorrectLine(self.other.of(key).ref, to_step=to, pieces_too=True)
        return self.other.do(correct_line, key, ask)

    def _split_line(self, key: Key) -> Any:
        whole = (key[0], key[1] - 1)
        return self.other.do(
            split_line, whole, SplitLine(self.other.of(whole).ref, self.line(key).typed)
        )

    def _join(self, key: Key) -> Any:
        one, two = (self.other.of(each).ref for each in (key, (key[0], -1)))
        return self.other.do(join_lines, key, JoinLines(one, two))

    def _to_machine(self, at: int) -> Any:
        item = self.other.of((at, 0))
        to = self._called(self.truth[at].machine)
        return self.other.do(
            correct_step, item.step.machine, CorrectStep(str(item.step.number), to_machine=to)
        )

    def _called(self, machine: str) -> str:
        """What a machine is called in the misheard record at this time."""
        return machines(self.other.at())[(PLOVER, FINCH).index(machine)].name

    def apply(self, fix: Fix) -> None:
        reply = fix.do()
        fix.done, fix.act = True, reply.act
        self.acts.append(reply.act)
        new = [item for item in self.other.items() if item not in self.other.item.values()]
        for key in fix.makes - set(self.other.item):
            fix.made[key] = max(new)
        self.other.item.update(fix.made)
        if fix.name == "join lines":
            at = next(iter(fix.needs))[0]
            fix.made = {(at, -1): self.other.item.pop((at, -1))}

    def undo_fix(self, fix: Fix) -> None:
        fix.done = False
        if fix.name == "join lines":
            self.other.item.update(fix.made)
            return
        for key in fix.made:
            del self.other.item[key]

    def redo_fix(self, fix: Fix) -> None:
        fix.done = True
        if fix.name == "join lines":
            for key in fix.made:
                del self.other.item[key]
            return
        self.other.item.update(fix.made)

    def loosely(self, key: Key) -> bool:
        """Whether a line is there, in its place, as a line of its own in the misheard record."""
        return key in self.other.item and not any(
            not fix.done and key in fix.needs | fix.makes for fix in self.fixes
        )

    def put_text_right(self, at: int) -> None:
        """Let a step and its lines say the truth, as far as they do not yet."""
        wanted = self.truth[at]
        item = self.other.of((at, 0))
        step = item.step
        words: dict[str, str] = {}
        if step.part != wanted.part:
            words["part"] = wanted.part
        if step.note != wanted.note:
            words["note"] = wanted.note
        if step.hazard != wanted.hazard:
            words["hazard"] = wanted.hazard
        if step.date != wanted.day:
            words["came_off_on"] = wanted.day
        if step.assembly != wanted.assembly:
            words["assembly"] = wanted.assembly
        if words:
            if len(words) > 1 and self.chance.random() < 0.5:  # some now, the rest at another time
                words.popitem()
            ask = CorrectStep(str(step.number), **words)
            self.acts.append(self.other.do(correct_step, (at, 0), ask).act)
        for line in range(1, len(wanted.lines)):
            if self.loosely((at, line)):
                self.put_line_right((at, line))

    def put_line_right(self, key: Key) -> None:
        line, item, model = self.line(key), self.other.of(key), self.right.of(key)
        if item.as_found.text != model.as_found.text or item.found != line.found:
            ask = CorrectLine(item.ref, line.typed)
            self.acts.append(self.other.do(correct_line, key, ask).act)
            item = self.other.of(key)
        if item.position != line.position:
            ask = CorrectLine(item.ref, position=line.position)
            self.acts.append(self.other.do(correct_line, key, ask).act)
        spec = model.as_specified.text
        if (item.as_specified.text, item.wanted) != (spec, model.wanted):
            ask = Specify(item.ref, f"{model.wanted} {spec}")
            self.other.do(specify, key, ask)

    # What is done later

    def deed(self) -> None:
        chance = self.chance
        keys = [key for key in self.pieces if key in self.other.item and self.usable(key)]
        if not keys:
            return
        key = chance.choice(sorted(keys))
        kinds = ["inspect", "inspect", "move", "send", "back", "lose", "scrap", "buy", "specify",
                 "refit", "snag", "torque", "before", "stow", "batch", "batch", "counted",
                 "counted", "order", "order", "came", "came"]  # fmt: skip
        getattr(self, f"_{chance.choice(kinds)}_deed")(key)

    def usable(self, key: Key) -> bool:
        return not any(
            fix.name in ("split line", "join lines", "add line")
            and not fix.done
            and key in fix.makes
            for fix in self.fixes
        )

    def spots(self, key: Key, places: tuple[str, ...]) -> list[tuple[str, str, int]]:
        """Where pieces are that can only be meant: of a condition in one of these places alone,
        in the table and in the misheard record."""
        found = []
        for state in (RAW, OK, NEW, BAD):
            there = [
                (p, n)
                for (p, s), n in self.pieces[key].items()
                if s == state and n > 0 and p in places
            ]
            theirs = [
                (spot[0], n)
                for spot, n in held(self.other.of(key)).items()
                if spot[1] == state and n > 0 and spot[0] in places
            ]
            if len(there) == 1 and len(theirs) == 1 and there[0][0] == theirs[0][0]:
                found.append((there[0][0], state, min(there[0][1], theirs[0][1])))
        return found

    def both(self, usecase: Callable[..., Any], key: Key, ask: Callable[[str], Any]) -> Any:
        """Do the same in both records."""
        replies = [
            bench.do(usecase, key, ask(bench.of(key).ref)) for bench in (self.right, self.other)
        ]
        return replies[0]

    def shift(self, key: Key, count: int, source: tuple[str, str], to: tuple[str, str]) -> None:
        self.pieces[key][source] -= count
        self.pieces[key][to] += count

    def _some(self, key: Key, *states: str, places: tuple[str, ...] = IN_HAND) -> Any:
        spots = [each for each in self.spots(key, places) if each[1] in states]
        if not spots:
            return None
        place, state, most = self.chance.choice(spots)
        return place, state, self.chance.randint(1, most)

    def _inspect_deed(self, key: Key) -> None:
        if (some := self._some(key, RAW)) is None:
            return
        place, state, count = some
        verdict = self.chance.choice((OK, OK, BAD))
        self.both(inspect, key, lambda ref: Inspect(ref, verdict, "bent", quantity=count, of=state))
        self.shift(key, count, (place, state), (place, verdict))

    def _move_deed(self, key: Key) -> None:
        to = self.chance.choice(IN_HAND[1:])
        if (some := self._some(key, RAW, OK, BAD)) is None or some[0] == to:
            return
        place, state, count = some
        self.both(move, key, lambda ref: MovePieces(ref, to, count, state))
        self.shift(key, count, (place, state), (to, state))

    def _send_deed(self, key: Key) -> None:
        if (some := self._some(key, RAW, OK)) is None:
            return
        place, state, count = some
        self.both(send, key, lambda ref: SendPieces([ref], FIRM, count, state))
        self.shift(key, count, (place, state), ("firm", state))

    def _back_deed(self, key: Key) -> None:
        if (some := self._some(key, RAW, OK, places=("firm",))) is None:
            return
        away = [each for each in self.pieces[key].items() if each[0][0] == "firm" and each[1]]
        if len(away) != 1:
            return
        _, state, count = some
        self.both(take_back, key, lambda ref: TakeBack(FIRM, [ref], count, to="bench"))
        self.shift(key, count, ("firm", state), ("bench", state))

    def _lose_deed(self, key: Key) -> None:
        if (some := self._some(key, RAW, OK)) is None:
            return
        place, state, count = some
        self.both(lose, key, lambda ref: LosePieces(ref, count, state))
        self.shift(key, count, (place, state), ("lost", state))

    def _scrap_deed(self, key: Key) -> None:
        if (some := self._some(key, BAD)) is None:
            return
        place, state, count = some
        self.both(scrap, key, lambda ref: ScrapPieces(ref, count, state, "worn"))
        self.shift(key, count, (place, state), ("scrapped", state))

    def _buy_deed(self, key: Key) -> None:
        ours, theirs = self.right.of(key), self.other.of(key)
        count = min(ours.lacking, theirs.lacking)
        if not count or ours.as_specified.text != theirs.as_specified.text:
            return
        self.both(buy, key, lambda ref: Buy(ref, str(count), SHOP, to="bench"))
        self.shift(key, count, ("shop", NEW), ("bench", NEW))

    def _batch_deed(self, key: Key) -> None:
        """Send pieces in a batch of their own; what comes back goes where it was sent from."""
        spots = [each for each in self.spots(key, IN_HAND) if each[1] != BAD]
        usable = sum(n for (p, s), n in self.pieces[key].items() if p in IN_HAND and s != BAD)
        if key in self.batches or len(spots) != 1 or usable != spots[0][2]:
            return
        place, state, most = spots[0]
        if state not in (RAW, OK):
            return
        count = self.chance.randint(1, most)
        begun = [
            bench.do(begin_batch, "", BeginBatch(PLATERS, "bead blasting"))
            for bench in (self.right, self.other)
        ]
        number = begun[0].batch
        self.both(put_into_batch, key, lambda ref: PutIntoBatch(number, [ref], count))
        for bench in (self.right, self.other):
            bench.do(send_batch, "", SendBatch(number))
        self.shift(key, count, (place, state), ("platers", state))
        self.batches[key] = (number, count, (place, state))

    def _counted_deed(self, key: Key) -> None:
        if key not in self.batches:
            return
        number, away, spot = self.batches.pop(key)
        count = self.chance.randint(1, away)
        self.both(count_batch_back, key, lambda ref: CountBatchBack(number, [ref], count))
        self.shift(key, count, ("platers", spot[1]), spot)
        if count < away:
            self.batches[key] = (number, away - count, spot)

    def _order_deed(self, key: Key) -> None:
        """Order what a joint is short of; an order is kept by machine, as a snag is."""
        ours, theirs = self.right.of(key), self.other.of(key)
        if (
            key in self.orders
            or not self.form_right(key[0])
            or not ours.lacking
            or (ours.lacking, ours.as_specified.text) != (theirs.lacking, theirs.as_specified.text)
        ):
            return
        made = self.both(place_order, key, lambda ref: PlaceOrder(SHOP, [ref]))
        self.orders[key] = (made.order, made.lines[0].quantity, ours.as_specified.text)

    def _came_deed(self, key: Key) -> None:
        if key not in self.orders:
            return
        number, waiting, text = self.orders.pop(key)
        ours, theirs = self.right.of(key), self.other.of(key)
        most = min(waiting, ours.lacking, theirs.lacking)
        if not most or {ours.as_specified.text, theirs.as_specified.text} != {text}:
            self.orders[key] = (number, waiting, text)
            return
        count = self.chance.randint(1, most)
        ask = ReceiveOrder(number, [1], str(count), to="bench")
        self.both(receive_order, key, lambda _: ask)
        self.shift(key, count, ("shop", NEW), ("bench", NEW))
        if count < waiting:
            self.orders[key] = (number, waiting - count, text)

    def _specify_deed(self, key: Key) -> None:
        if key[1] == 0 or any(n and s == NEW for (_, s), n in self.pieces[key].items()):
            return
        self.both(specify, key, lambda ref: Specify(ref, "9 M6 x 35 hex bolt"))
        self.specified[key] = ("M6 x 35 hex bolt", 9)

    def _refit_deed(self, key: Key) -> None:
        ours, theirs = self.right.of(key), self.other.of(key)
        if any(item.renew or item.wrong for item in (ours, theirs)):
            return
        spots = [each for each in self.spots(key, IN_HAND) if each[1] != BAD]
        usable = sum(n for (p, s), n in self.pieces[key].items() if p in IN_HAND and s != BAD)
        if len(spots) != 1 or usable != spots[0][2]:
            return
        place, state, most = spots[0]
        most = min(most, ours.to_fit, theirs.to_fit)
        if not most:
            return
        ask = lambda ref: Refit(ref, most, as_it_came=True, anyway=True)  # noqa: E731
        self.both(refit, key, ask)
        self.shift(key, most, (place, state), ("machine", state))

    def _snag_deed(self, key: Key) -> None:
        at = key[0]
        if any(
            each.name == "to machine" and not each.done and (at, 0) in each.needs
            for each in self.fixes
        ):
            return  # a snag is kept by machine: the step would be refused to go
        text = f"weeps {len(self.right.log)}"
        if self.chance.random() < 0.5:
            self.both(record_snag, key, lambda ref: RecordSnag(ref, "leak", text))
        elif self.step_is_there(key[0]):
            self.both(record_snag, (key[0], 0), lambda ref: RecordSnag(ref[:-2], "leak", text))

    def _torque_deed(self, key: Key) -> None:
        if "bolt" in self.other.of(key).as_found.text and "bolt" in self.line(key).thing:
            self.both(set_torque, key, lambda ref: SetTorque(ref, "9 N m", "oiled"))

    def step_is_there(self, at: int) -> bool:
        """Whether a true step is one of its own in the misheard record, on its machine."""
        return (
            (at, 0) in self.pieces
            and not any(
                not fix.done
                and ((at, 0) in fix.makes or (fix.name == "to machine" and (at, 0) in fix.needs))
                for fix in self.fixes
            )
            and self.other.of((at, 0)).line == 1
        )

    def _before_deed(self, key: Key) -> None:
        others = [
            at
            for at in range(len(self.truth))
            if at != key[0]
            and self.step_is_there(at)
            and self.truth[at].machine == self.truth[key[0]].machine
        ]
        if not others or not self.step_is_there(key[0]):
            return
        other = (self.chance.choice(others), 0)
        for bench in (self.right, self.other):
            first, then = (str(bench.of(each).step.number) for each in ((key[0], 0), other))
            bench.do(put_before, key, PutBefore(first, then, "so"))

    def _stow_deed(self, key: Key) -> None:
        """Put a step's bag into a box, where the step has the same one bag in both."""
        at = key[0]
        if any(not fix.done for fix in self.fixes) or at in self.stowed:
            return
        for bench in (self.right, self.other):
            bags = bench.of((at, 0)).bags
            shared = [
                item
                for item in bench.items().values()
                if set(item.bags) & set(bags)
                and item.number
                not in [number for each, number in bench.item.items() if each[0] == at]
            ]
            mine = [bench.of(each).bags for each in bench.item if each[0] == at]
            if len(bags) != 1 or shared or any(set(each) - set(bags) for each in mine):
                return
        for bench in (self.right, self.other):
            bench.do(stow, (at, 0), StowPlaces(bench.of((at, 0)).bags, "crate 7"))
        self.stowed.add(at)

    # The life itself

    def live(self) -> None:
        chance = self.chance
        entries = self.mishear()
        for entry in as_entered(self.truth):
            self.right.strip(entry)
        if chance.random() < 0.4:
            self.acts.append(
                self.other.do(
                    correct_machine, PLOVER, CorrectMachine("Orik Plovr", year="1931")
                ).act
            )
        while entries:
            if chance.random() < 0.6:
                entry = entries.pop(0)
                entry.machine = self._called(entry.machine)
                self.other.strip(entry)
                for keys in entry.holds:
                    for key in keys:
                        if key[1] >= 0:
                            self.begin(key)
                self.check()
            else:
                self.event()
        for fix in self.fixes:
            for key in fix.makes:
                self.begin(key)
        for _ in range(chance.randint(6, 14)):
            self.event()
        self.finish()

    def begin(self, key: Key) -> None:
        if key in self.pieces:
            return
        found = self.line(key).found
        self.pieces[key] = Counter({("bag", RAW): found, ("came", RAW): -found})

    def event(self) -> None:
        chance = self.chance
        what = chance.choice(
            ("deed", "deed", "deed", "fix", "text", "name", "undo", "redo", "order")
        )
        if what == "deed":
            self.deed()
        elif what == "fix":
            ready = [each for each in self.fixes if not each.done and self.ready(each)]
            if ready:
                self.apply(chance.choice(ready))
        elif what == "text":
            there = [at for at in range(len(self.truth)) if self.form_right(at)]
            if there:
                self.put_text_right(chance.choice(there))
        elif what == "name":
            self.put_names_right()
        elif what == "order":
            self.put_order_right(once=True)
        elif what == "undo" and self.acts:
            self.undo(chance.choice(self.acts))
        elif what == "redo" and self.undone:
            self.redo(chance.randrange(len(self.undone)))
        self.check()

    def ready(self, fix: Fix) -> bool:
        if fix.name == "split step":
            return all(key in self.other.item for key in fix.needs)
        if fix.name == "join lines":
            one, two = sorted(fix.needs)
            if not {one, two} <= set(self.other.item):
                return False
            here, there = self.other.of(one), self.other.of(two)
            return here.step == there.step
        return fix.needs <= set(self.other.item)

    def form_right(self, at: int) -> bool:
        return self.loosely((at, 0)) and not any(
            not fix.done and any(key[0] == at for key in fix.needs | fix.makes)
            for fix in self.fixes
        )

    def _reverse(self, act: int) -> Any:
        """Undo an act; None where that is refused."""
        try:
            return self.other.do(undo, "", Undo(act, by="act"))
        except StoresError as refusal:
            said = line_of(refusal)
        assert "\n" not in said, said
        return None

    def undo(self, act: int) -> None:
        fix = next((each for each in self.fixes if each.act == act and each.done), None)
        reply = self._reverse(act)
        if reply is None:
            return
        self.acts.remove(act)
        if fix is not None:
            self.undo_fix(fix)
        self.undone.append((reply.act, fix))

    def redo(self, at: int) -> None:
        act, fix = self.undone[at]
        if fix is not None and fix.done:
            return
        reply = self._reverse(act)
        if reply is None:
            return
        del self.undone[at]
        if fix is not None:
            fix.act = reply.act
            self.redo_fix(fix)
        self.acts.append(reply.act)

    def put_names_right(self) -> None:
        if (wrong := self._called(PLOVER)) != PLOVER and self.chance.random() < 0.5:
            ask = CorrectMachine(PLOVER, year="1958")
            self.acts.append(self.other.do(correct_machine, wrong, ask).act)
            return
        for machine in (PLOVER, FINCH):
            used = {
                item.step.assembly
                for item in self.other.items().values()
                if item.step.machine == self._called(machine) and item.step.number
            }
            for wrong, right in (("Engin / Cluch", "Engine / Clutch"), ("Fram", "Frame")):
                if wrong in used:
                    ask = CorrectAssembly(wrong, right, join=True)
                    self.acts.append(
                        self.other.do(correct_assembly, self._called(machine), ask).act
                    )
                    return

    def put_order_right(self, *, once: bool = False) -> None:
        """Let the steps have come off in their true order, where they are all of one form."""
        for machine in (PLOVER, FINCH):
            mine = [
                at
                for at, each in enumerate(self.truth)
                if each.machine == machine and (at, 0) in self.other.item and self.form_right(at)
            ]
            for before, after in pairwise(mine):
                one, two = (self.other.of((at, 0)).step for at in (before, after))
                if one.number == two.number or one.machine != two.machine:
                    continue
                if (one.came_off, one.number) > (two.came_off, two.number):
                    ask = CorrectStep(str(two.number), came_off_after=str(one.number))
                    self.acts.append(self.other.do(correct_step, (after, 0), ask).act)
                    if once:
                        return

    def finish(self) -> None:
        """Put right all that is still wrong."""
        while waiting := [fix for fix in self.fixes if not fix.done]:
            fix = next((each for each in waiting if self.ready(each)), None)
            assert fix is not None, [each.name for each in waiting]
            self.apply(fix)
            self.check()
        if (wrong := self._called(PLOVER)) != PLOVER:
            self.other.do(correct_machine, wrong, CorrectMachine(PLOVER))
        for at in range(len(self.truth)):
            for _ in range(6):
                acts = len(self.other.log)
                self.put_text_right(at)
                if acts == len(self.other.log):
                    break
        for _ in range(len(self.truth)):
            self.put_order_right()
        self.check()

    def check(self) -> None:
        faults = audit(Context(self.other.store)).faults
        assert faults == (), ("\n".join(self.other.log), faults)


# What a person is shown

MAIN = {"bag": "bag", "came with the machine": "came", "bought from": "shop", "firm": "firm",
        "machine": "machine", "lost": "lost", "scrapped": "scrapped"}  # fmt: skip


def held(item: Item) -> dict[tuple[str, str], int]:
    """How many pieces of an item are where, in the plain table's words."""
    found: Counter[tuple[str, str]] = Counter()
    for holding in item.holdings:
        kind = holding.kind.value
        if holding.place == PLATERS:
            kind = "platers"
        found[MAIN.get(kind, holding.place if kind not in ("put to another joint", "platers")
                       else kind),
              holding.condition.value] += holding.quantity  # fmt: skip
    return {spot: count for spot, count in found.items() if count}


_NO_ORDER = frozenset(("pieces", "lines", "holdings", "graph", "now", "joints"))
"""What is listed by the numbers of steps, which are not the same."""


class Shown:
    """All that is shown of a record, with numbers and codes turned into what they mean."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        items = bench.items()
        self.refs = {}
        self.steps = {}
        for item in items.values():
            step = item.step
            self.refs[step.machine, item.ref] = (
                f"<{step.part}: {item.as_found.text} @ {item.position} {item.as_specified.text}>"
            )
            self.steps[step.machine, step.number] = f"<{step.part}>" if step.number else 0

    def everything(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for machine in (PLOVER, FINCH):
            at = self.bench.at(machine)
            with at.reading() as connection:
                listed = read_items(connection)
                number = {PLOVER: 1, FINCH: 2}[machine]
                status = status_on(connection, number)
            mine = [item for item in listed if item.step.machine == machine]
            found[machine, "items"] = self.unordered(machine, mine)
            steps = {item.step.number: item.step for item in mine if item.step.number}
            order = sorted(steps.values(), key=lambda step: (step.came_off, step.number))
            found[machine, "came off"] = [step.part for step in order]
            found[machine, "status"] = self.same(machine, dict(status.steps))
            found[machine, "links"] = self.unordered(
                machine,
                [
                    (f"step {a}", f"step {b}", link.because, link.reason)
                    for link in status.derived.links
                    for a, b in [(link.first, link.then)]
                ],
            )
            found[machine, "orders"] = self.unordered(
                machine, list(orders(at, ListOrders(everything=True)).orders)
            )
            found[machine, "shopping"] = self.unordered(
                machine, list(shopping(at, WhatToBuy()).lines)
            )
            if steps:
                found[machine, "checklist"] = self.same(
                    machine, listed_steps(at, ListSteps(everything=True))
                )
                found[machine, "handover"] = {
                    heading: self.unordered(machine, list(lines))
                    for heading, lines in day_lists(end_of_day(at).left).items()
                }
                found[machine, "closing"] = self.unordered(
                    machine, list(map(unsettled, look_before_closing(at).in_the_way))
                )
        found["", "batches"] = [
            self.same(self.machine_of(each), each)
            for each in batches(self.bench.at(), ListBatches(everything=True)).batches
        ]
        return found

    def machine_of(self, batch: BatchListed) -> str:
        """The machine that the pieces of a batch are of: each is of one line."""
        with self.bench.at().reading() as connection:
            (whole,) = read_batches(connection, [batch.batch])
        return whole.lines[0].item.step.machine if whole.lines else ""

    def unordered(self, machine: str, values: list[Any]) -> list[str]:
        return sorted(repr(self.same(machine, value)) for value in values)

    def same(self, machine: str, value: Any) -> Any:
        if is_dataclass(value) and not isinstance(value, type):
            return self.same(machine, plain(value))
        if isinstance(value, dict):
            return {
                self.steps.get((machine, name), name): self._field(machine, name, each)
                for name, each in value.items()
                if name not in ("number", "line", "written", "words", "rank", "key")
            }
        if isinstance(value, list | tuple):
            return [self.same(machine, each) for each in value]
        if isinstance(value, str):
            return self._text(machine, value)
        return value

    def _field(self, machine: str, name: Any, value: Any) -> Any:
        if name in ("step", "waits_for_steps", "behind") and not is_dataclass(value):
            return self._steps(machine, value)
        if name == "why" and isinstance(value, str):
            return sorted(self._text(machine, value).split("; "))
        if name == "item" and isinstance(value, int):
            return "item"
        if name in _NO_ORDER and not isinstance(value, int):
            return self.unordered(machine, list(value))
        return self.same(machine, value)

    def _steps(self, machine: str, value: Any) -> Any:
        if isinstance(value, list | tuple):
            return sorted(str(self.steps.get((machine, each), each)) for each in value)
        return self.steps.get((machine, value), value)

    def _text(self, machine: str, value: str) -> str:
        text = re.sub(r"\bA\d{3}[A-Z0-9]\b", "BAG", value)
        text = re.sub(
            r"\b\d{1,2}\.\d{1,2}\b", lambda m: str(self.refs.get((machine, m[0]), m[0])), text
        )
        return re.sub(
            r"\b([Ss]teps?) (\d+)\b",
            lambda m: f"{m[1]} {self.steps.get((machine, int(m[2])), m[2])}",
            text,
        )


def plain(value: Any) -> dict[str, Any]:
    """The fields of a dataclass, without going deeper."""
    return {name: getattr(value, name) for name in value.__dataclass_fields__}


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two machines, with the places made in one order."""
    file = tmp_path_factory.mktemp("lives") / "begun.db"
    with open_store(str(file), create=True) as store:
        add_machine(Context(store), AddMachine(PLOVER, year="1958"))
        add_machine(Context(store), AddMachine(FINCH))
        for place in IN_HAND[1:]:
            at = Context(store, machine=FINCH, day=DAY)
            strip(at, Strip("Stand", f"prop {place[:3]}", bag=place, position=place))
    return file


def relive(seed: int, begun: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        life = Life(seed, Path(folder), begun)
        try:
            life.live()
            compare(life)
        finally:
            life.close()


def compare(life: Life) -> None:
    log = "\n".join(life.other.log)
    for key, pieces in life.pieces.items():
        wanted = {spot: count for spot, count in pieces.items() if count}
        for bench in (life.right, life.other):
            assert held(bench.of(key)) == wanted, (key, life.line(key), log)
            assert bench.of(key).found == life.line(key).found, (key, log)
    ours, theirs = (Shown(bench).everything() for bench in (life.right, life.other))
    for name, shown in ours.items():
        assert theirs[name] == shown, f"{name}\n{difference(theirs[name], shown)}\n{log}"


def difference(theirs: Any, ours: Any) -> str:
    """What the misheard record shows otherwise than the right one."""
    one, two = (pformat(each, width=160).splitlines() for each in (ours, theirs))
    return "\n".join(line for line in ndiff(one, two) if line[0] in "+-?")


@given(seed=st.integers(0, 2**32))
@settings(max_examples=examples(1, 3))
def test_a_record_put_right_is_the_one_typed_right(before: Path, seed: int) -> None:
    relive(seed, before)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_life_of_corrections_undone_ends_at_nothing(
    before: Path, tmp_path: Path, seed: int
) -> None:
    life = Life(seed, tmp_path, before)
    try:
        life.live()
        right, put_right = (undo_to_nothing(bench.at()) for bench in (life.right, life.other))
        assert put_right >= right > 0
    finally:
        life.close()


# What was found, each as a written example


@kept
def pair(context: Context) -> Context:
    """Two steps with a bag each, and a second machine."""
    add_machine(context, AddMachine(FINCH))
    at = Context(context.store, machine=PLOVER)
    strip(at, Strip("Engine", "cover", ["4 M6x25 hex bolt", "1 gasket"]))
    strip(at, Strip("Engine", "hub", ["6 M8 nut", "2 dowel"]))
    return at


def shown(context: Context, step: int, machine: int = 1) -> list[str]:
    with context.reading() as connection:
        listed = items_of_step(connection, machine, step)
    return [f"{item.ref} {item.found} {item.as_found.text}" for item in listed]


def refused(context: Context, usecase: Callable[..., Any], ask: Any) -> Refused:
    """An ask that must be refused, in one line of words."""
    with pytest.raises(Refused) as error:
        usecase(context, ask)
    said = line_of(error.value)
    assert "\n" not in said, said
    assert "{" not in said, said
    assert said != error.value.fact
    assert audit(context).faults == ()
    return error.value


def no_fault(context: Context) -> bool:
    return audit(context).faults == ()


def test_a_line_added_after_a_step_went_to_another_machine_has_a_number_of_its_own(
    pair: Context,
) -> None:
    correct_step(pair, CorrectStep("2", to_machine=FINCH))
    finch = Context(pair.store, machine=FINCH)
    add_line(finch, AddLine("1", "1 M8 plain washer"))
    assert shown(pair, 1, 2) == [
        "1.1 1 hub",
        "1.2 6 M8 nut",
        "1.3 2 dowel",
        "1.4 1 M8 plain washer",
    ]
    assert no_fault(pair)


def test_a_step_that_went_to_another_machine_came_off_there_when_it_was_recorded(
    pair: Context,
) -> None:
    finch = Context(pair.store, machine=FINCH)
    for part in ("stand", "lamp"):
        strip(finch, Strip("Frame", part))
    correct_step(pair, CorrectStep("1", to_machine=FINCH))
    assert off(pair) == [3, 1, 2]  # cover before stand and lamp
    correct_step(finch, CorrectStep("2", came_off_before="1"))
    correct_step(pair, CorrectStep("2", to_machine=FINCH, came_off_after="1"))
    assert off(pair) == [3, 2, 1, 4]
    assert no_fault(pair)


def off(context: Context) -> list[int]:
    """The steps of the second machine in the order of removal."""
    with context.reading() as connection:
        steps = {item.step.number: item.step for item in read_items(connection, machine=2)}
    return sorted(steps, key=lambda number: steps[number].came_off)


def test_lines_made_one_keep_where_their_new_pieces_were_bought(pair: Context) -> None:
    add_line(pair, AddLine("1", "2 of 3 M6x25 hex bolt"))
    buy(pair, Buy("1.4", "1", SHOP, to="bench"))
    join_lines(pair, JoinLines("1.2", "1.4"))
    with pair.reading() as connection:
        item = items_of_step(connection, 1, 1)[1]
    assert (item.found, item.wanted) == (6, 7)
    assert held(item) == {
        ("bag", RAW): 6, ("came", RAW): -6, ("bench", NEW): 1, ("shop", NEW): -1,
    }  # fmt: skip
    assert no_fault(pair)


def test_what_was_said_of_pieces_goes_along_with_them(pair: Context) -> None:
    inspect(pair, Inspect("2.2", OK, quantity=4))
    inspect(pair, Inspect("2.2", BAD, "cracked", quantity=2))
    error = refused(pair, split_line, SplitLine("2.2", "1 M8x1 nut"))
    assert error.facts["conditions"] == (BAD, OK)
    split_line(pair, SplitLine("2.2", "1 M8x1 nut", of="condemned"))
    assert verdicts(pair, 2) == {
        "2.2": "4 serviceable; 1 condemned: cracked",
        "2.4": "1 condemned: cracked",
    }
    refused(pair, correct_line, CorrectLine("2.2", "4 M8 nut"))
    taken = correct_line(pair, CorrectLine("2.2", "4 M8 nut", of="serviceable")).act
    assert verdicts(pair, 2)["2.2"] == "3 serviceable; 1 condemned: cracked"
    undo(pair, Undo(taken, by="act"))
    assert verdicts(pair, 2)["2.2"] == "4 serviceable; 1 condemned: cracked"
    assert no_fault(pair)


def test_lines_made_one_have_both_verdicts(pair: Context) -> None:
    add_line(pair, AddLine("2", "3 M8 nut"))
    inspect(pair, Inspect("2.2", OK, quantity=2))
    inspect(pair, Inspect("2.4", BAD, "cracked", quantity=1))
    joined = join_lines(pair, JoinLines("2.2", "2.4")).act
    assert verdicts(pair, 2)["2.2"] == "2 serviceable; 1 condemned: cracked"
    undo(pair, Undo(joined, by="act"))
    assert verdicts(pair, 2) == {"2.2": "2 serviceable", "2.4": "1 condemned: cracked"}


def test_an_inspection_that_was_said_anew_is_not_undone_by_itself(pair: Context) -> None:
    first = inspect(pair, Inspect("2.2", OK, quantity=3)).act
    inspect(pair, Inspect("2.2", OK, quantity=3))
    split_line(pair, SplitLine("2.2", "1 M8x1 nut"))
    assert refused(pair, undo, Undo(first, by="act")).fact == "corrected since"


def verdicts(context: Context, step: int) -> dict[str, str]:
    with context.reading() as connection:
        return {i.ref: i.verdict for i in items_of_step(connection, 1, step) if i.verdict}


def test_a_step_that_others_lines_are_of_is_not_undone_by_itself(pair: Context) -> None:
    with pair.reading() as connection:
        step = act_of_step(connection, 1, 2) or 0
    moved = correct_line(pair, CorrectLine("1.3", to_step="2")).act
    error = refused(pair, undo, Undo(step, by="act"))
    assert (error.fact, error.facts["later"]) == ("corrected since", moved)
    with pair.reading() as connection:
        first = act_of_step(connection, 1, 1) or 0
    assert refused(pair, undo, Undo(first, by="act")).facts["later"] == moved
    undo(pair, Undo(moved, by="act"))
    added = add_line(pair, AddLine("2", "1 shim")).act
    assert refused(pair, undo, Undo(step, by="act")).facts["later"] == added
    undo(pair, Undo(added, by="act"))
    undo(pair, Undo(step, by="act"))
    assert no_fault(pair)


def test_of_two_steps_made_one_neither_is_undone_by_itself(pair: Context) -> None:
    with pair.reading() as connection:
        acts = [act_of_step(connection, 1, number) or 0 for number in (1, 2)]
    joined = join_steps(pair, JoinSteps("1", "2")).act
    for act in acts:
        assert refused(pair, undo, Undo(act, by="act")).facts["later"] == joined


def test_steps_made_one_twice_over_are_the_first(pair: Context) -> None:
    strip(pair, Strip("Engine", "plug", ["1 washer"]))
    record_snag(pair, RecordSnag("3", "leak", "weeps"))
    first = join_steps(pair, JoinSteps("2", "3")).act
    join_steps(pair, JoinSteps("1", "2"))
    with pair.reading() as connection:
        assert [snag.step for snag in read_snags(connection, 1)] == [1]
    assert len(shown(pair, 1)) == 8
    assert refused(pair, undo, Undo(first, by="act")).fact == "corrected since"
    assert no_fault(pair)


def test_a_count_put_right_twice_is_undone_from_the_end(pair: Context) -> None:
    first = correct_line(pair, CorrectLine("1.2", "5 M6x25 hex bolt")).act
    last = correct_line(pair, CorrectLine("1.2", "6 M6x25 hex bolt")).act
    assert refused(pair, undo, Undo(first, by="act")).facts["later"] == last
    back = undo(pair, Undo(last, by="act")).act
    undo(pair, Undo(first, by="act"))
    assert shown(pair, 1)[1] == "1.2 4 M6 x 25 hex bolt"
    # The one from 5 to 6 takes for granted that there were 5.
    assert refused(pair, undo, Undo(back, by="act")).fact == "does not fit any more"


def test_the_only_line_of_a_step_does_not_leave_it_empty(pair: Context) -> None:
    strip(pair, Strip("Engine", "plug"))
    error = refused(pair, correct_line, CorrectLine("3.1", to_step="1"))
    assert error.fact == "only line of its step"


def test_a_snag_of_a_line_is_on_the_step_that_the_line_is_put_right_to(pair: Context) -> None:
    record_snag(pair, RecordSnag("1.3", "leak", "torn"))
    correct_line(pair, CorrectLine("1.3", to_step="2"))
    with pair.reading() as connection:
        (snag,) = read_snags(connection, 1)
        status = status_on(connection, 1)
    assert (snag.step, snag.item) == (2, "2.4")
    assert [number for number, each in status.steps.items() if each.snags] == [2]


def test_what_goes_in_at_a_line_goes_along_with_it(pair: Context) -> None:
    apply(pair, Apply("1.2", "medium threadlocker"))
    correct_line(pair, CorrectLine("1.2", to_step="2"))
    with pair.reading() as connection:
        notes = read_refits(connection, 1).steps
    assert [(one.step, one.line) for each in notes.values() for one in each.applied] == [(2, 4)]


def test_a_signature_stands_when_lines_are_split_and_steps_made_one(pair: Context) -> None:
    inspect(pair, Inspect("2", OK))
    refit(pair, Refit("2", anyway=True))
    sign(pair, Sign("2", "J. Teal", second=True))
    split_line(pair, SplitLine("2.2", "1 M8x1 nut"))
    join_steps(pair, JoinSteps("1", "2"))
    with pair.reading() as connection:
        (notes,) = read_refits(connection, 1).steps.values()
    assert [each.name for each in notes.signatures] == ["J. Teal"]


def test_the_bag_that_a_line_was_taken_out_of_gets_a_new_label(pair: Context) -> None:
    sheet = labels(pair, AskLabels())
    labels_made(pair, MakeLabels({bag.code: bag.digest for bag in sheet.bags}, "x.pdf"))
    labels_came_out(pair, SayOut())
    corrected = correct_line(pair, CorrectLine("1.3", to_step="2", pieces_too=True))
    assert corrected.labels == ("A001N", "A003J")


def test_the_same_bag_is_still_known_after_a_step_was_split(pair: Context) -> None:
    split_step(pair, SplitStep("2", ["2.3"], "dowels"))
    assert strip(pair, Strip("Engine", "cap", bag="same")).bag == "A003J"


def test_pieces_are_on_the_machine_as_it_is_called_now(pair: Context) -> None:
    refit(pair, Refit("1.2", 2, as_it_came=True, anyway=True))
    correct_machine(pair, CorrectMachine("Plover 1958"))
    at = Context(pair.store, machine="Plover 1958")
    correct_line(at, CorrectLine("1.2", "5 M6x25 hex bolt"))
    with at.reading() as connection:
        item = items_of_step(connection, 1, 1)[1]
    places = {(each.kind.value, each.place, each.quantity) for each in item.holdings}
    assert places == {
        ("machine", "Plover 1958", 2), ("came with the machine", "Plover 1958", -5),
        ("bag", "A001N", 3),
    }  # fmt: skip


def test_a_machine_is_not_called_what_another_is_by_undoing(pair: Context) -> None:
    renamed = correct_machine(pair, CorrectMachine("Plover II")).act
    add_machine(pair, AddMachine(PLOVER))
    at = Context(pair.store, machine="Plover II")
    assert refused(at, undo, Undo(renamed, by="act")).fact == "does not fit any more"


def test_a_step_does_not_go_back_to_a_machine_that_is_undone(context: Context) -> None:
    added = add_machine(context, AddMachine(FINCH)).act
    strip(Context(context.store, machine=FINCH), Strip("Frame", "lamp"))
    moved = correct_step(
        Context(context.store, machine=FINCH), CorrectStep("1", to_machine=PLOVER)
    ).act
    undo(context, Undo(added, by="act"))
    assert refused(context, undo, Undo(moved, by="act")).fact == "does not fit any more"


def test_lines_are_not_made_one_again_once_the_second_has_more(pair: Context) -> None:
    add_line(pair, AddLine("1", "2 of 3 M6x25 hex bolt"))
    joined = join_lines(pair, JoinLines("1.2", "1.4")).act
    back = undo(pair, Undo(joined, by="act")).act
    buy(pair, Buy("1.4", "1", SHOP, to="bench"))
    assert refused(pair, undo, Undo(back, by="act")).fact == "does not fit any more"


def test_the_name_that_an_assembly_had_by_mistake_can_be_given_to_another(pair: Context) -> None:
    correct_assembly(pair, CorrectAssembly("Engine", "Gearbox"))
    for part in ("cap", "cover"):
        assert strip(pair, Strip("Engine", part)).assembly == "Engine"
    correct_assembly(pair, CorrectAssembly("Engine", "Motor"))
    strip(pair, Strip("Engine / Top", "rocker"))
    with pair.reading() as connection:
        paths = {item.step.number: item.step.assembly for item in read_items(connection)}
    assert paths == {1: "Gearbox", 2: "Gearbox", 3: "Motor", 4: "Motor", 5: "Engine / Top"}
    assert no_fault(pair)
