"""What is found in stock by its size is what somebody finds who looks at every line of it.

The search reads the few descriptions of that size, the lines of these, and the joints that want
them. Here every line is read, and parsed, and all of the stock is shared out over all machines.
"""

import random
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from conftest import examples
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from stores.errors import NotFound, StoresError
from stores.handbook.fastener import Kind, parse
from stores.model.items import Description, Item, agree
from stores.model.ledger import ActKind, Condition
from stores.planning.sharing import Claimant, Shares, share_out
from stores.planning.supplies import good_until
from stores.storage import Store, open_store
from stores.storage.items import read_loose
from stores.storage.machines import read_machines
from stores.storage.moment import Answers
from stores.storage.stock import low_marks, read_facts, read_reserved
from stores.text import today as today_is
from stores.usecases.context import Context
from stores.usecases.correct import CorrectLine, correct_line
from stores.usecases.history import Undo, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.rebuild import MarkAccess, PutBefore, mark_access, put_before, statuses_on
from stores.usecases.stock import (
    Enter,
    KeepAtLeast,
    LookAtStock,
    Low,
    NotePack,
    PackAsTyped,
    Reserve,
    Stock,
    enter,
    is_marked,
    keep_at_least,
    note_pack,
    reserve,
    stock,
    stock_lines,
)
from stores.usecases.strip import Strip, strip

MACHINES = ("Orrick Plover", "Tern 50")
THINGS = (
    "M6 x 25 hex bolt",
    "M6 x 25 bolt",
    "M6 x 25 hex bolt 8.8",
    "M6 x 1 in hex bolt",
    "M6 x 25.4 hex bolt",
    "M6 x 30 hex bolt",
    "M6 x 25 cheese head screw",
    "M6 x 25",
    "M6",
    "M6 nut",
    "M6 nut LH thread",
    "M6 x 0.75 nut",
    "M6 x 0.75 x 25 hex bolt",
    "M6x2 bolt",
    "M8 metric fine nut",
    "M8 x 1 nut",
    "3/8 UNC nut",
    "3/8-26 UNC nut",
    "1/4 BSF x 3/4 hex bolt",
    "1/4 BSF x 19.05 mm hex bolt",
    "1/4 BSF x 3/4 bolt",
    "1/4 BSF x 3/4 hex",
    "1/4-20 UNC x 3/4 hex bolt",
    "1/4 x 3/4 bolt",
    "1/4-26 cycle nut",
    "hex bolt x 25",
    "12 mm circlip",
    "gasket",
)
"""Of one size by the metre and by the inch, with more or less said, open, of no thread."""
ASKED = tuple(
    asked
    for asked in (
        *THINGS, "M6 x 25 LH", "M6 x 25 or longer", "1/4 BSF x 3/4 hex or shorter", "1/4 BSF",
        "1/4 BSF x 3/4 hexagon", "1/4 UNC", "M6 or larger",
        "M8 nut or smaller", "1/4 BSF or larger",
    )
    if parse(asked).thread
)  # fmt: skip
CONDITIONS = ("new", "new", "new", "serviceable", "as removed", "condemned")
JUDGED = ("serviceable", "repairable", "condemned")


class Workshop:
    """Stock and machines, lived at random; what is refused changes nothing."""

    def __init__(self, store: Store, seed: int) -> None:
        self.store = store
        self.chance = random.Random(seed)
        self.things = self.chance.sample(THINGS, 7)
        """What this workshop has and needs: few things, so that many want the same."""
        for machine in MACHINES:
            add_machine(Context(store), AddMachine(machine))

    def live(self, deeds: int) -> None:
        """Do so many things, and be refused some."""
        every: tuple[tuple[Callable[[], object], int], ...] = (
            (self.enter, 8),
            (self.strip, 9),
            (self.specify, 3),
            (self.call_it, 2),
            (self.correct, 2),
            (self.reserve, 3),
            (self.judge, 2),
            (self.hold, 2),
            (self.date, 1),
            (self.order, 4),
            (self.undo, 1),
        )
        kinds, weights = zip(*every, strict=True)
        for deed in self.chance.choices(kinds, weights, k=deeds):
            with suppress(StoresError):
                deed()

    @property
    def at(self) -> Context:
        return Context(self.store, self.chance.choice(MACHINES))

    @property
    def ref(self) -> str:
        return f"0.{self.chance.randint(1, 12)}"

    @property
    def step(self) -> str:
        return str(self.chance.randint(1, 5))

    def thing(self, most: int = 9) -> str:
        return f"{self.chance.randint(1, most)} off {self.chance.choice(self.things)}"

    def enter(self) -> None:
        lines = [self.thing() for _ in range(self.chance.randint(1, 3))]
        place = f"drawer {self.chance.randint(1, 4)}"
        enter(self.at, Enter(lines, place, self.chance.choice(CONDITIONS), new_place=True))

    def strip(self) -> None:
        found = self.chance.choice(("", "0 of ", "1 of "))
        lines = [f"{found}{self.thing()}" for _ in range(self.chance.randint(1, 4))]
        strip(self.at, Strip("Engine", f"cover {self.chance.randint(1, 99)}", lines))

    def specify(self) -> None:
        what = self.ref if self.chance.random() < 0.7 else f"{self.step}.2"
        same = self.chance.choice((None, True, False))
        specify(self.at, Specify(what, self.chance.choice(self.things), same=same))

    def call_it(self) -> None:
        """Specify anything of a line, as the record of another hand may have it."""
        with self.store.writing() as writer:
            lines = [item for item in read_loose(writer.connection) if not item.unit]
            if lines:
                item, thing = self.chance.choice(lines), parse(self.chance.choice(self.things))
                act = writer.begin(ActKind.SPECIFY, f"{item.ref} is {thing.spec}")
                same = self.chance.choice((None, True, False))
                writer.specify(act, item.number, writer.description(thing), 0, "", same=same)

    def correct(self) -> None:
        what = self.ref if self.chance.random() < 0.7 else f"{self.step}.2"
        correct_line(self.at, CorrectLine(what, self.thing()))

    def reserve(self) -> None:
        step = self.chance.choice((None, 1, 2))
        quantity = self.chance.choice((None, "1", "2"))
        reserve(self.at, Reserve(self.ref, quantity, step, self.chance.random() < 0.2))

    def judge(self) -> None:
        what = self.chance.choice((self.ref, self.step))
        inspect(self.at, Inspect(what, self.chance.choice(JUDGED), reason="looked at"))

    def hold(self) -> None:
        least = self.chance.choice("0259")
        keep_at_least(self.at, KeepAtLeast(self.chance.choice(self.things), least))

    def date(self) -> None:
        day = self.chance.choice(("2020-03-01", "2999-03-01"))
        note_pack(self.at, NotePack(self.ref, PackAsTyped(use_by=day)))

    def order(self) -> None:
        if self.chance.random() < 0.5:
            put_before(self.at, PutBefore(self.step, self.step))
        else:
            mark_access(self.at, MarkAccess(self.step))

    def undo(self) -> None:
        undo(self.at, Undo())


@dataclass(frozen=True)
class EveryLine:
    """All lines of the stock, who gets what of them, and of what too little is there."""

    loose: list[Item]
    shares: Shares
    low: list[Low]

    @classmethod
    def of(cls, connection: Connection) -> "EveryLine":
        loose = read_loose(connection, verdicts=False)
        return cls(loose, shared_out(connection, loose), too_few(connection, loose))

    def answer(self, connection: Connection, asked: str, *, sound: bool) -> Stock:
        """Answer as `stock` does, from every line that there is and by its words alone."""
        words, _, bound = asked.partition(" or ")
        thing = parse(words)
        length = thing.length_mm
        by_length = bound in ("longer", "shorter")
        thing = replace(thing, length=None) if by_length else thing
        across = None if by_length or not bound else (bound == "larger", thing.diameter_mm)

        def long_enough(read: float | None) -> bool:
            if not by_length or not length:
                return not length or read == pytest.approx(length)
            return read is not None and (read >= length) is (bound == "longer" or read == length)

        def of_size(what: Description) -> bool:
            read = parse(what.text)
            if read.thread is None:
                return False
            if across and read.diameter_mm and across[1]:
                larger, bound_mm = across
                of_bound = read.diameter_mm == bound_mm
                return of_bound or (read.diameter_mm > bound_mm) is larger
            return read.thread == thing.thread and long_enough(read.length_mm)

        def fits(text: str) -> bool:
            read = parse(text)
            if across:  # of such a family of threads, and of that kind if it was said
                return read.series == thing.series and thing.kind in (Kind.PART, read.kind)
            return agree(thing.spec, text) or thing.spec == text

        meant = [
            item
            for item in self.loose
            if (of_size(item.as_found) or of_size(item.as_specified)) and fits(item.as_found.text)
        ]
        lines = stock_lines(connection, meant, self.shares, sound=sound)
        texts = {line.text for line in lines}
        return Stock(asked, tuple(lines), tuple(low for low in self.low if low.text in texts))


def shared_out(connection: Connection, loose: list[Item]) -> Shares:
    """Share all of the stock out over all joints, in the order that the plans have them in."""
    machines = read_machines(connection)
    statuses = statuses_on(connection, [each.number for each in machines])
    return share_out(
        loose,
        [
            Claimant(
                each.name,
                [
                    piece.item
                    for step in statuses[each.number].steps.values()
                    for piece in step.pieces
                ],
            )
            for each in machines
        ],
        read_reserved(connection),
    )


def too_few(connection: Connection, loose: list[Item]) -> list[Low]:
    facts = read_facts(connection)
    today = today_is()
    found = []
    for mark in low_marks(connection):
        there = 0
        for item in loose:
            until = good_until(facts[item.number]) if item.number in facts else None
            if is_marked(item, mark) and (until is None or until >= today):
                there += item.in_hand(*(item.spare_conditions if not mark.unit else Condition))
        if there < mark.least:
            found.append(Low(mark.text, mark.unit, mark.least, there))
    return found


def answer(store: Store, asked: str, *, sound: bool) -> Stock:
    try:
        return stock(Context(store), LookAtStock(asked, sound))
    except NotFound:
        return Stock(asked, (), ())


@settings(max_examples=examples(1, 25))
@given(st.integers(0, 2**32))
def test_a_size_is_answered_as_by_one_who_looks_at_every_line(seed: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(str(Path(folder) / "stores.db"), create=True)
        workshop = Workshop(store, seed)
        workshop.live(60)
        asks = [(asked, sound) for asked in ASKED for sound in (False, True)]
        with store.reading() as connection:
            every = EveryLine.of(connection)
            expected = {
                (asked, sound): every.answer(connection, asked, sound=sound)
                for asked, sound in asks
            }
        store.answers = Answers()  # nothing that was kept helps
        for asked, sound in asks:
            assert answer(store, asked, sound=sound) == expected[asked, sound]
        store.close()
    assert any(each.lines for each in expected.values())


def test_what_fits_is_found_by_what_it_should_be_and_is_not_otherwise(context: Context) -> None:
    """M8 x 1 is a fine thread, but no M8; it fits where M8 fine was specified of it."""
    enter(context, Enter(["6 M8 x 1 nut", "4 M8 metric fine nut"]))
    asked = LookAtStock("M8 metric fine nut")
    assert [line.item for line in stock(context, asked).lines] == ["0.2"]
    with context.store.writing() as writer:
        (fine, _) = read_loose(writer.connection)
        act = writer.begin(ActKind.SPECIFY, "0.1 should be M8 metric fine nut")
        description = writer.description(parse("M8 metric fine nut"))
        writer.specify(act, fine.number, description, 0, "", same=False)
    assert {line.item for line in stock(context, asked).lines} == {"0.1", "0.2"}
    undo(context, Undo())
    assert [line.item for line in stock(context, asked).lines] == ["0.2"]


def test_a_learnt_name_is_found_and_the_old_one_no_longer(context: Context) -> None:
    enter(context, Enter(["6 M6 x 25", "4 M6 x 25 hex bolt"]))
    specify(context, Specify("0.1", "M6 x 25 cheese head screw", same=True))
    assert answer(context.store, "M6 x 25 hex bolt", sound=False).lines[0].item == "0.2"
    (line,) = answer(context.store, "M6 x 25 cheese head screw", sound=False).lines
    assert line.item == "0.1"
    undo(context, Undo())
    assert not answer(context.store, "M6 x 25 cheese head screw", sound=False).lines


def test_the_steps_take_their_turns_as_in_the_plan(context: Context) -> None:
    """Two joints want the same bolt: it goes to the one that goes on first, whatever was said."""
    for step in ("cover", "flap", "case"):
        strip(context, Strip("Engine", step, ["0 of 1 M6 x 25 hex bolt"]))
    enter(context, Enter(["1 M6 x 25 hex bolt"]))

    def given() -> tuple[int, ...]:
        (line,) = stock(context, LookAtStock("M6 x 25 hex bolt")).lines
        with context.store.reading() as connection:
            (status,) = statuses_on(connection, [1]).values()
        planned = [n for n, each in status.steps.items() if any(p.loose for p in each.pieces)]
        steps = tuple(promise.step for promise in line.promised)
        assert steps == tuple(planned)
        return steps

    assert given() == (3,)
    put_before(context, PutBefore("1", "3"))
    assert given() != (3,)
    undo(context, Undo())
    assert given() == (3,)
    mark_access(context, MarkAccess("2"))
    given()
