"""The rebuild, its order and times, today, the outlook, the checklist: asked of the use-cases."""

from datetime import timedelta

import pytest
from conftest import kept

from stores.errors import BadValue, NotFound, Refused, Repeated
from stores.planning.order import LinkReason
from stores.planning.status import State
from stores.usecases.context import Context
from stores.usecases.history import Undo, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.outwork import SendPieces, send
from stores.usecases.rebuild import (
    LetFree,
    ListSteps,
    LookAhead,
    MarkAccess,
    PutBefore,
    StepCounts,
    TakeTime,
    ahead,
    bars,
    checklist,
    going,
    let_free,
    listed_steps,
    mark_access,
    put_before,
    rebuild_of,
    summary,
    take_time,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Strip, strip
from stores.wording.marks import plain
from stores.wording.rebuild import order_said
from stores.wording.status import briefs, said


@kept
def engine(context: Context) -> Context:
    """Three steps of an engine, one of a frame, everything inspected."""
    for assembly, part, line in (
        ("Engine", "magneto", "2 M6x25 bolt 8.8"),
        ("Engine", "cover", "4 M6x30 bolt 8.8"),
        ("Engine", "rotor", "1 M8x40 bolt 8.8"),
        ("Frame", "saddle", "2 M8x20 bolt 8.8"),
    ):
        strip(context, Strip(assembly, part, [line]))
    for step in "1234":
        inspect(context, Inspect(step, "serviceable"))
    return context


def order(context: Context) -> list[int]:
    with context.reading() as connection:
        return list(rebuild_of(connection, None).plan.ranks)


def test_a_persons_word_changes_the_order(engine: Context) -> None:
    assert order(engine) == [4, 3, 2, 1]
    reply = put_before(engine, PutBefore("2", "3", "rotor needs it"))
    assert (reply.first, reply.then, reply.kind, reply.rings) == (2, 3, "before", ())
    assert order(engine) == [4, 2, 3, 1]
    assert put_before(engine, PutBefore("2", "3", forget=True)).kind == "as recorded"
    assert order(engine) == [4, 3, 2, 1]
    undo(engine, Undo())
    assert order(engine) == [4, 2, 3, 1]


def test_a_ring_is_written_down_and_named(engine: Context) -> None:
    put_before(engine, PutBefore("1", "2"))
    put_before(engine, PutBefore("2", "3"))
    [ring] = put_before(engine, PutBefore("3", "1")).rings
    assert set(ring.members) == {1, 2, 3}
    assert all(link.by_hand for link in ring.links)
    pairs = set(zip(ring.members, (*ring.members[1:], ring.members[0]), strict=True))
    assert {(link.first, link.then) for link in ring.links} == pairs
    # As they came off, 3 went on before 1: two words against one leave nothing to ask.
    assert put_before(engine, PutBefore("3", "1", forget=True)).rings == ()
    assert order(engine) == [4, 1, 2, 3]


def test_a_sump_recorded_after_the_big_end(engine: Context) -> None:
    """It came off before: the piston goes in first, then the big end, then the sump."""
    for part in ("rocker cover", "big end", "piston", "sump"):  # steps 5 to 8
        strip(engine, Strip("Bottom end", part, ["4 M8 nut"]))
    context = Context(engine.store, None, "2026-11-03")
    reply = put_before(context, PutBefore("6", "8", "the sump covers it"))
    [ring] = reply.rings
    assert [(link.first, link.then) for link in ring.links] == [(8, 7), (7, 6), (6, 8)]
    assert [link.because for link in ring.links] == [
        LinkReason.ORDER,
        LinkReason.ORDER,
        LinkReason.SAID,
    ]
    assert [link.assembly for link in ring.links] == ["Bottom end", "Bottom end", ""]
    assert (ring.links[-1].date, ring.links[-1].reason) == ("2026-11-03", "the sump covers it")
    words = [plain(line) for line in order_said(reply).notes]
    assert words == [
        "These 3 orders contradict each other. Which is wrong?",
        "1. 8 before 7 (order of removal, same assembly Bottom end): stores plan free 8 7",
        "2. 7 before 6 (order of removal, same assembly Bottom end): stores plan free 7 6",
        "3. 6 before 8 (you said so on 3 Nov 2026: the sump covers it): "
        "stores plan before --forget 6 8",
        "Until you say, 8 before 7 is left out",
    ]
    assert [each for each in order(engine) if each > 4] == [7, 6, 8, 5]
    assert ahead(engine, LookAhead()).rings == reply.rings
    assert work_today(engine).rings == reply.rings
    assert checklist(engine, ListSteps()).rings == reply.rings
    assert checklist(engine, ListSteps("Frame")).rings == ()
    # The first offer, followed, leaves the right order: the piston, the big end, the sump.
    after = let_free(engine, LetFree("8", "7"))
    assert after.rings == ()
    assert [each for each in order(engine) if each > 4] == [7, 6, 8, 5]
    assert checklist(engine, ListSteps()).rings == ()


def test_what_is_recorded_much_too_late_is_put_right_by_one_answer(engine: Context) -> None:
    """Three steps lie between: letting go of the nearest is enough, and no other order is lost."""
    for part in ("cover", "big end", "piston", "camshaft", "pump", "sump", "breather"):
        strip(engine, Strip("Bottom end", part, ["4 M8 nut"]))
    [ring] = put_before(engine, PutBefore("6", "10")).rings
    assert (ring.links[0].first, ring.links[0].then) == (10, 9)
    assert let_free(engine, LetFree("10", "9")).rings == ()
    with engine.reading() as connection:
        graph = rebuild_of(connection, None).plan.status.graph
    assert graph.all_before(10) >= {11, 9, 8, 7, 6}
    assert graph.all_before(9) >= {11}
    assert graph.all_after(10) >= {5}


def test_steps_between_keep_two_in_order_that_were_let_free(engine: Context) -> None:
    reply = let_free(engine, LetFree("3", "1"))
    assert (reply.kind, reply.between) == ("free", (2,))
    assert let_free(engine, LetFree("4", "1")).between == ()


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(engine: Context) -> None:
    before = history(engine)
    assert put_before(engine, PutBefore("2", "3", trial=True)).kind == "before"
    assert take_time(engine, TakeTime("2", "45 min", trial=True)).minutes == 45
    assert mark_access(engine, MarkAccess("2", trial=True)).access == "next"
    assert history(engine) == before
    take_time(engine, TakeTime("2", "45 min", key="k"))
    with pytest.raises(Repeated):
        take_time(engine, TakeTime("2", "45 min", key="k"))


def test_what_is_no_order_is_refused(engine: Context) -> None:
    with pytest.raises(Refused, match="an order of one step"):
        put_before(engine, PutBefore("2", "2.1"))
    with pytest.raises(Refused, match="nothing was said of them"):
        put_before(engine, PutBefore("2", "3", forget=True))
    with pytest.raises(Refused, match="reached already"):
        mark_access(engine, MarkAccess("3", "1"))
    one = strip(engine, Strip("Engine", "sump", ["4 M8 nut"])).bag
    add_machine(engine, AddMachine("Tern 50"))
    other = strip(Context(engine.store, "Tern"), Strip("Engine", "head", ["4 M8 nut"])).bag
    with pytest.raises(Refused, match="steps of two machines") as refusal:
        put_before(engine, PutBefore(str(one), str(other)))
    assert refusal.value.facts["other"] == "Tern 50"


def test_access_only(engine: Context) -> None:
    reply = mark_access(engine, MarkAccess("1", "3"))
    assert (reply.step, reply.access) == (1, "3")
    assert mark_access(engine, MarkAccess("1", takes_back=True)).access == ""


def test_times(engine: Context) -> None:
    reply = take_time(engine, TakeTime("2", "1 h 30 min"))
    assert (reply.step, reply.minutes) == (2, 90)
    each = take_time(engine, TakeTime("each", "20 min"))
    assert (each.step, each.what, each.minutes) == (None, "each", 20)
    take_time(engine, TakeTime("week", "6 h"))
    with engine.reading() as connection:
        made = rebuild_of(connection, None)
    assert (made.hours_a_week, made.minutes) == (6, 20)
    assert {each.number: each.minutes for each in made.plan.steps} == {1: 20, 2: 90, 3: 20, 4: 20}
    assert take_time(engine, TakeTime("2", "none")).minutes is None
    for what, time, fact in (
        ("2", "soon", "no time"), ("2", "0 min", "time out of range"),
        ("week", "169 h", "longer than a week"),
    ):  # fmt: skip
        with pytest.raises(BadValue, match=fact):
            take_time(engine, TakeTime(what, time))


def test_nothing_stripped_has_no_plan(context: Context) -> None:
    with context.reading() as connection, pytest.raises(NotFound, match="nothing stripped"):
        rebuild_of(connection, None)
    for usecase in (work_today, going, summary):
        with pytest.raises(NotFound, match="nothing stripped"):
            usecase(context)
    with pytest.raises(NotFound, match="nothing stripped"):
        checklist(context, ListSteps())


def test_today_is_what_nothing_holds_back(engine: Context) -> None:
    reply = work_today(engine)
    assert reply.counts == StepCounts(4, 0, 0, 2, 2)
    assert [each.step for each in reply.ready] == [4, 3]
    assert [each.unlocks for each in reply.ready] == [(), (2,)]
    assert [each.state for each in reply.ready] == [State.READY, State.READY]
    assert all(len(each.bags) == 1 for each in reply.ready)
    assert (reply.at_hand, reply.chase) == ((), ())
    inspect(engine, Inspect("3.2", "condemned", "bent"))
    reply = work_today(engine, "1")
    assert [each.step for each in reply.ready] == [4]
    [buy] = reply.chase
    assert [said(matter) for matter in buy.matters] == ["buy 1 M8 x 40 bolt 8.8 for 3.2"]
    assert set(buy.steps) == {1, 2, 3}
    for most, fact in (("0", "how many matters"), ("-2", "how many matters"), ("x", "no count")):
        with pytest.raises(BadValue, match=fact):
            work_today(engine, most)


def test_the_outlook_adds_the_minutes_up(engine: Context) -> None:
    for step in "1234":
        take_time(engine, TakeTime(step, "2 h"))
    take_time(engine, TakeTime("week", "7 h"))
    reply = ahead(engine, LookAhead())
    # 8 h at an hour a day: done on the eighth day from today
    assert (reply.minutes_left, reply.hours_a_week, reply.hours_guessed) == (480, 7, False)
    assert (reply.steps_left, reply.steps_guessed, reply.days_later) == (4, 0, 0)
    assert reply.finish - reply.today == timedelta(days=8)
    assert [bar.step for bar in reply.bars] == [4, 3, 2, 1]
    assert reply.bars[0].start == reply.today
    assert reply.chain == (3, 2, 1)
    drawn = bars(engine, LookAhead())
    assert (drawn.machine, drawn.outlook.finish) == ("Orrick Plover", reply.finish)


def test_a_firm_that_is_late(engine: Context) -> None:
    send(Context(engine.store), SendPieces(["3"], "Vale Plating"))
    reply = ahead(engine, LookAhead(["Vale Plating = 14"]))
    assert (reply.late, reply.no_date_yet) == ({"Vale Plating": 14}, ())
    assert [(each.whom, each.day) for each in reply.deliveries] == [
        ("Vale Plating", reply.today + timedelta(days=14))
    ]
    with pytest.raises(NotFound, match="nothing is awaited from"):
        ahead(engine, LookAhead(["Dyke Plating=14"]))
    for text in ("Vale Plating", "=14", "Vale Plating=soon"):
        with pytest.raises(BadValue, match="no days late"):
            ahead(engine, LookAhead([text]))


def test_the_pace_is_of_what_went_on(engine: Context) -> None:
    assert going(engine).pace is None
    refit(engine, Refit("4"))
    reply = going(engine)
    assert [each.assembly for each in reply.assemblies] == ["Engine", "Frame"]
    # the saddle and 2 bolts of 13 pieces, counted as of a week at least; 10 left at 3 a week
    assert (reply.pieces_to_fit, reply.pieces_a_week) == (10, 3)
    assert reply.finish is not None
    assert reply.finish >= ahead(engine, LookAhead()).today + timedelta(days=23)


def test_the_checklist_and_its_summary(engine: Context) -> None:
    refit(engine, Refit("4"))
    reply = checklist(engine, ListSteps())
    assert [each.step.number for each in reply.stages] == [3, 2, 1]
    assert (reply.called, reply.total) == ("Orrick Plover", 4)
    assert len(checklist(engine, ListSteps(everything=True)).stages) == 4
    assert [s.step.number for s in checklist(engine, ListSteps(only_next=True)).stages] == [3]
    frame = checklist(engine, ListSteps("frame", everything=True))
    assert (frame.called, [each.step.number for each in frame.stages]) == (
        "Orrick Plover, Frame", [4],
    )  # fmt: skip
    with pytest.raises(NotFound, match="no such assembly") as refusal:
        checklist(engine, ListSteps("Gearbox"))
    assert set(refusal.value.facts["assemblies"]) == {"Engine", "Frame"}
    rows = summary(engine)
    assert {row.assembly: (row.steps, row.done, row.ready, row.waits) for row in rows.rows} == {
        "Engine": (3, 0, 1, 2), "Frame": (1, 1, 0, 0),
    }  # fmt: skip
    assert (rows.whole.steps, rows.whole.done) == (4, 1)


def test_the_facts_of_the_checklist(engine: Context) -> None:
    refit(engine, Refit("4", finger_tight=True))
    steps = listed_steps(engine, ListSteps())
    assert [(each.step.number, each.state, each.ready) for each in steps] == [
        (4, State.ON, False), (3, State.READY, True), (2, State.WAITS, False),
        (1, State.WAITS, False),
    ]  # fmt: skip
    saddle, rotor = steps[:2]
    assert (saddle.done, briefs(saddle.still_to_do)) == (False, ["tighten 4.2"])
    assert [line.left for line in saddle.lines] == ["", "only finger-tight"]
    line = rotor.lines[1]
    assert (line.item, line.wanted, line.to_fit, line.to_hand, line.short) == ("3.2", 1, 1, 1, 0)
    assert [(each.quantity, each.condition.value) for each in line.now] == [(1, "serviceable")]
    assert line.torque is not None
    assert (line.torque.maker, {each.grade for each in line.torque.computed}) == (
        None, {"class 8.8"},
    )  # fmt: skip
    assert steps[2].waits_for_steps == (3,)
