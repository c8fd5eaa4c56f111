"""Corrections, asked of the use-cases themselves."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import Hint, NotFound, Refused, Repeated
from stores.model.ledger import PlaceKind
from stores.storage.assembling import read_refits
from stores.storage.items import items_of_step, read_items
from stores.storage.machines import read_machines
from stores.storage.strip import read_jobs
from stores.usecases.context import Ask, Context
from stores.usecases.correct import (
    AddLine,
    CorrectAssembly,
    CorrectLine,
    CorrectMachine,
    CorrectStep,
    DropLine,
    JoinLines,
    JoinSteps,
    SplitLine,
    SplitStep,
    add_line,
    correct_assembly,
    correct_line,
    correct_machine,
    correct_step,
    drop_line,
    join_lines,
    join_steps,
    split_line,
    split_step,
)
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
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
from stores.usecases.places import MovePieces, ScrapPieces, move, scrap
from stores.usecases.rebuild import MarkAccess, mark_access, rebuild_of
from stores.usecases.refit import Refit, refit
from stores.usecases.snags import ListSnags, RecordSnag, record_snag, snags
from stores.usecases.strip import Strip, strip


@kept
def bench(context: Context) -> Context:
    """Three steps, the first under two slips of the pen."""
    at = Context(context.store)
    strip(at, Strip("Engin/Cluch", "cluch cover", ["4 M6x25 hex bolt", "1 gasket"]))
    strip(at, Strip("Engine/Clutch", "pressure plate", ["6 spring"], new_assembly=True))
    strip(at, Strip("Engine/Sump", "sump", ["12 M6x20 hex bolt"], note="two studs stayed"))
    return at


def lines(context: Context, step: int) -> list[str]:
    """The lines of a step as they read now."""
    with context.reading() as connection:
        listed = items_of_step(connection, read_machines(connection)[0].number, step)
    return [f"{item.ref} {item.found} {item.as_found.text}" for item in listed]


def assemblies(context: Context) -> set[str]:
    with context.reading() as connection:
        return {item.step.assembly for item in read_items(connection)}


def order(context: Context) -> list[int]:
    """The steps in the order in which they go back on."""
    with context.reading() as connection:
        return [each.number for each in rebuild_of(connection, None).plan.steps]


def test_an_assembly_misspelt_is_renamed_with_all_that_lies_in_it(bench: Context) -> None:
    strip(bench, Strip("Engin/Cluch/Lever", "lever", ["1 M5x10 cheese head screw"]))
    reply = correct_assembly(bench, CorrectAssembly("engin", "Motor", reason="misspelt"))
    assert [(c.field, c.was, c.now) for c in reply.changes] == [("name", "Engin", "Motor")]
    assert assemblies(bench) == {
        "Motor / Cluch", "Motor / Cluch / Lever", "Engine / Clutch", "Engine / Sump",
    }  # fmt: skip
    assert {each.item for each in find(bench, Find("motor lever")).items} == {"4.1", "4.2"}
    with pytest.raises(NotFound):
        find(bench, Find("engin lever"))
    assert [(act.kind, act.reason) for act in history(bench, 1)] == [("correct", "misspelt")]


def test_two_spellings_are_made_one_when_that_is_said(bench: Context) -> None:
    with pytest.raises(Refused) as refused:
        correct_assembly(bench, CorrectAssembly("Engin/Cluch", "Engine / clutch"))
    assert refused.value.fact == "assembly there already"
    assert refused.value.facts == {"assembly": "Engin / Cluch", "other": "Engine / Clutch"}
    assert refused.value.hint == Hint(
        "join_assemblies", assembly="Engin / Cluch", other="Engine / Clutch"
    )
    correct_assembly(bench, CorrectAssembly("Engin/Cluch", "Engine/Clutch", join=True))
    assert assemblies(bench) == {"Engine / Clutch", "Engine / Sump"}
    # As one assembly: what came off first goes on last, and the next step lands in it.
    assert order(bench).index(2) < order(bench).index(1)
    assert not strip(bench, Strip("engine/clutch", "hub", ["1 circlip"])).new_assembly
    assert assemblies(bench) == {"Engine / Clutch", "Engine / Sump"}
    undo(bench, Undo("5", by="act"))  # the join
    assert assemblies(bench) == {"Engin / Cluch", "Engine / Clutch", "Engine / Sump"}


def test_an_assembly_that_is_not_there_names_those_that_are(bench: Context) -> None:
    with pytest.raises(NotFound) as refused:
        correct_assembly(bench, CorrectAssembly("Gearbox", "Engine/Gearbox"))
    assert refused.value.fact == "no such assembly"
    assert set(refused.value.facts["assemblies"]) == {
        "Engin / Cluch", "Engine / Clutch", "Engine / Sump",
    }  # fmt: skip


def test_a_machine_is_called_what_it_is_and_found_by_that(bench: Context) -> None:
    add_machine(bench, AddMachine("Donor"))
    here = replace(bench, machine="Orrick P")
    correct_machine(here, CorrectMachine(name="Orrick Heron", year="1958"))
    assert [(m.name, m.year) for m in machines(bench)] == [("Orrick Heron", "1958"), ("Donor", "")]
    assert strip(replace(bench, machine="orrick h"), Strip("A", "b")).machine == "Orrick Heron"
    with pytest.raises(Refused) as refused:
        correct_machine(replace(bench, machine="Donor"), CorrectMachine(name="orrick heron"))
    assert refused.value.fact == "machine's name taken"


def test_a_step_says_otherwise_and_the_old_word_is_in_the_history_only(bench: Context) -> None:
    reply = correct_step(
        bench,
        CorrectStep("1", part="clutch cover", more="dowel by the lever", hazard="sharp edge"),
    )
    assert {(c.of, c.field, c.was, c.now) for c in reply.changes} == {
        ("step 1", "part", "cluch cover", "clutch cover"),
        ("step 1", "note", "", "dowel by the lever"),
        ("step 1", "hazard", "", "sharp edge"),
        ("1.1", "as found", "cluch cover", "clutch cover"),
    }
    assert lines(bench, 1)[0] == "1.1 1 clutch cover"
    assert {each.item for each in find(bench, Find("clutch cover")).items} == {"1.1", "1.2", "1.3"}
    correct_assembly(bench, CorrectAssembly("Engin/Cluch", "Engin/Clutch"))
    with pytest.raises(NotFound):
        find(bench, Find("cluch"))
    assert "was cluch cover" in history(bench, 2)[1].summary
    correct_step(bench, CorrectStep("3", more="of the left case"))
    assert find(bench, Find("3.1")).items[0].note == "two studs stayed; of the left case"


def test_the_order_of_removal_is_put_right_and_the_rebuild_follows(bench: Context) -> None:
    strip(bench, Strip("Engine/Sump", "oil pump", ["3 M6x30 hex bolt"]))
    assert order(bench).index(4) < order(bench).index(3)
    reply = correct_step(bench, CorrectStep("4", came_off_before="3"))
    assert [(c.was, c.now) for c in reply.changes] == [("after step 3", "before step 3")]
    assert order(bench).index(3) < order(bench).index(4)
    with pytest.raises(Refused) as refused:
        correct_step(bench, CorrectStep("4", came_off_before="3"))
    assert refused.value.fact == "nothing to put right"
    # Between two that stand side by side, again and again: there is always room.
    for _ in range(14):
        correct_step(bench, CorrectStep("1", came_off_after="4"))
        correct_step(bench, CorrectStep("2", came_off_after="4"))
    with bench.reading() as connection:
        steps = rebuild_of(connection, None).plan.steps
    off = sorted((each.stage.step.came_off, each.number) for each in steps)
    assert [number for _, number in off] == [4, 2, 1, 3]


def test_a_count_put_right_brings_pieces_from_the_machine_or_gives_them_back(
    bench: Context,
) -> None:
    more = correct_line(bench, CorrectLine("1.2", "5 M6x25 hex bolt"))
    assert [(p.quantity, p.place.kind) for p in more.pieces] == [(1, PlaceKind.BAG)]
    assert lines(bench, 1)[1] == "1.2 5 M6 x 25 hex bolt"
    fewer = correct_line(bench, CorrectLine("3.2", "10 M6x20 hex bolt"))
    assert [p.quantity for p in fewer.pieces] == [-2]
    item = find(bench, Find("3.2")).items[0]
    assert (item.found, item.wanted) == (10, 10)
    assert not audit(bench).faults
    with bench.reading() as connection:
        held = {
            (item.ref, holding.kind): holding.quantity
            for item in read_items(connection)
            for holding in item.holdings
        }
    assert held["3.2", PlaceKind.BAG] == 10
    assert held["3.2", PlaceKind.CAME] == -10
    assert not any(kind in (PlaceKind.LOST, PlaceKind.UNKNOWN) for _, kind in held)


def test_a_count_cannot_fall_below_what_was_handed_on(bench: Context) -> None:
    inspect(bench, Inspect("2.2", "condemned", "set"))
    scrap(bench, ScrapPieces("2.2", quantity=5, reason="set"))
    with pytest.raises(Refused) as refused:
        correct_line(bench, CorrectLine("2.2", "4 spring"))
    assert refused.value.fact == "fewer to hand than counted too many"
    assert refused.value.facts == {"item": "2.2", "over": 2, "to_hand": 1}


def test_what_a_line_was_is_put_right_and_what_should_be_there_follows(bench: Context) -> None:
    correct_line(bench, CorrectLine("1.2", "M6x30 hex bolt"))
    item = find(bench, Find("1.2")).items[0]
    assert (item.as_found, item.as_specified, item.found, item.wanted) == (
        "M6 x 30 hex bolt", "M6 x 30 hex bolt", 4, 4,
    )  # fmt: skip
    # Where the book said what should be there, the book stands.
    specify(bench, Specify("3.2", "12 M6x16 hex bolt"))
    correct_line(bench, CorrectLine("3.2", "M6x18 hex bolt"))
    item = find(bench, Find("3.2")).items[0]
    assert (item.as_found, item.as_specified) == ("M6 x 18 hex bolt", "M6 x 16 hex bolt")


def test_a_forgotten_line_comes_into_the_bag_of_its_step(bench: Context) -> None:
    reply = add_line(bench, AddLine("1", "2 of 3 dowel pin 6x16 @ lower"))
    assert lines(bench, 1)[-1].startswith("1.4 2 ")
    item = find(bench, Find("1.4")).items[0]
    assert (item.wanted, item.position) == (3, "lower")
    assert reply.pieces[0].place.kind is PlaceKind.BAG
    assert {each.item for each in find(bench, Find("cluch cover")).items} >= {"1.4"}
    assert not audit(bench).faults


def test_what_was_not_written_down_is_in_the_bag_that_the_rest_has_left(bench: Context) -> None:
    bag = find(bench, Find("1.2")).items[0].now[0].place
    for line in ("1.1", "1.2", "1.3"):
        move(bench, MovePieces(line, "bench"))
    forgotten = add_line(bench, AddLine("1", "2 dowel"))
    assert [(p.place.kind, p.place.name) for p in forgotten.pieces] == [(PlaceKind.BAG, bag)]
    more = correct_line(bench, CorrectLine("1.2", "5 M6x25 hex bolt"))
    assert [(p.quantity, p.place.name) for p in more.pieces] == [(1, bag)]
    assert not audit(bench).faults


def test_a_line_that_was_never_there_is_taken_out(bench: Context) -> None:
    add_line(bench, AddLine("1", "2 washer"))
    drop_line(bench, DropLine("1.4", reason="they are of the next cover"))
    assert lines(bench, 1) == ["1.1 1 cluch cover", "1.2 4 M6 x 25 hex bolt", "1.3 1 gasket"]
    with pytest.raises(NotFound):
        find(bench, Find("washer"))
    assert not audit(bench).faults
    # Its number is not given again, and undoing brings the line back.
    assert add_line(bench, AddLine("1", "1 dowel")).changes[0].now == "1.5"
    undo(bench, Undo(str(history(bench, 2)[1].number), by="act"))
    assert "1.4 2 washer" in lines(bench, 1)
    assert not audit(bench).faults
    strip(bench, Strip("Frame", "stand"))
    with pytest.raises(Refused) as refused:
        drop_line(bench, DropLine("4.1"))
    assert refused.value.fact == "nothing left of the line"


def test_one_of_many_in_another_hole_has_a_line_of_its_own(bench: Context) -> None:
    inspect(bench, Inspect("3.2", "serviceable", quantity=12))
    split_line(bench, SplitLine("3.2", "1 M8x20 hex bolt @ hole 3", reason="retapped"))
    assert lines(bench, 3)[1:] == ["3.2 11 M6 x 20 hex bolt", "3.3 1 M8 x 20 hex bolt"]
    rest, other = find(bench, Find("3.2")).items[0], find(bench, Find("3.3")).items[0]
    assert (rest.wanted, other.wanted, other.position) == (11, 1, "hole 3")
    with bench.reading() as connection:
        there = [
            (holding.quantity, holding.condition.value)
            for holding in read_items(connection)[-1].holdings
            if holding.quantity > 0
        ]
    assert there == [(1, "serviceable")]
    assert not audit(bench).faults
    with pytest.raises(Refused) as refused:
        split_line(bench, SplitLine("3.2", "11 M8x20 hex bolt"))
    assert refused.value.facts == {"item": "3.2", "found": 11}


def test_two_lines_of_one_thing_are_joined(bench: Context) -> None:
    add_line(bench, AddLine("1", "2 M6x25 hex bolt @ rear"))
    join_lines(bench, JoinLines("1.2", "1.4"))
    assert lines(bench, 1) == ["1.1 1 cluch cover", "1.2 6 M6 x 25 hex bolt", "1.3 1 gasket"]
    item = find(bench, Find("1.2")).items[0]
    assert (item.wanted, item.position) == (6, "rear")
    assert not audit(bench).faults
    with pytest.raises(Refused) as refused:
        join_lines(bench, JoinLines("1.2", "1.3"))
    assert refused.value.fact == "lines are other things"
    with pytest.raises(Refused) as refused:
        join_lines(bench, JoinLines("1.2", "3.2"))
    assert refused.value.fact == "lines of one step to join"


def test_a_line_goes_to_the_step_that_it_belongs_to_with_its_pieces_if_asked(
    bench: Context,
) -> None:
    correct_line(bench, CorrectLine("1.3", to_step="2", pieces_too=True))
    assert lines(bench, 1) == ["1.1 1 cluch cover", "1.2 4 M6 x 25 hex bolt"]
    assert lines(bench, 2)[-1] == "2.3 1 gasket"
    bag = {each.item: each.now[0].place for each in find(bench, Find("pressure plate")).items}
    assert len(set(bag.values())) == 1
    assert not audit(bench).faults


def test_a_step_is_split_in_two_and_two_are_joined(bench: Context) -> None:
    split_step(bench, SplitStep("3", ["3.2"], "sump bolts"))
    assert lines(bench, 3) == ["3.1 1 sump"]
    assert lines(bench, 4) == ["4.1 12 M6 x 20 hex bolt"]
    assert order(bench).index(4) < order(bench).index(3)
    record_snag(bench, RecordSnag("4", "damaged", "one rounded"))
    join_steps(bench, JoinSteps("3", "4"))
    assert lines(bench, 3) == ["3.1 1 sump", "3.3 12 M6 x 20 hex bolt"]
    assert [each.step for each in snags(bench, ListSnags()).snags] == [3]
    assert 4 not in order(bench)
    assert not audit(bench).faults


def test_a_step_split_off_is_said_today_and_came_off_with_the_other(bench: Context) -> None:
    strip(replace(bench, day="2026-01-12"), Strip("Frame", "stand", ["2 M8 nut"]))
    reply = split_step(replace(bench, day="2026-02-03"), SplitStep("4", ["4.2"], "nuts"))
    assert [(c.of, c.field, c.was, c.now, c.text) for c in reply.changes] == [
        ("step 5", "split off", "step 4", "step 5", "nuts"),
        ("4.2", "moved", "4.2", "5.1", "2 M8 nut"),
    ]
    assert history(bench, 1)[0].happened_at.startswith("2026-02-03")
    with bench.reading() as connection:
        days = {item.step.number: item.step.date for item in read_items(connection)}
    assert days[4] == days[5] == "2026-01-12"
    correct_step(bench, CorrectStep("5", came_off_on="2026-01-13"))
    with bench.reading() as connection:
        days = {item.step.number: item.step.date for item in read_items(connection)}
    assert (days[4], days[5]) == ("2026-01-12", "2026-01-13")


def test_an_ask_that_says_nothing_asks_what_is_wrong(bench: Context) -> None:
    for usecase, ask, kind in (
        (correct_line, CorrectLine("1.2", reason="so"), "line"),
        (correct_step, CorrectStep("1"), "step"),
        (correct_machine, CorrectMachine(), "machine"),
    ):
        with pytest.raises(Refused) as refused:
            usecase(bench, ask)  # type: ignore[arg-type]
        assert (refused.value.fact, refused.value.facts["kind"]) == (
            "nothing said to put right", kind,
        )  # fmt: skip
    with pytest.raises(Refused, match="nothing to put right"):
        correct_line(bench, CorrectLine("1.2", "4 M6x25 hex bolt"))
    assert correct_step(bench, CorrectStep("3", note="")).changes[0].now == ""  # a note taken away


def jobs(context: Context) -> dict[int, tuple[str, bool]]:
    with context.reading() as connection:
        machine = read_machines(connection)[0].number
        return {
            job.step.number: (job.reverse, bool(job.done)) for job in read_jobs(connection, machine)
        }


def test_how_a_job_is_undone_is_put_right(bench: Context) -> None:
    strip(bench, Strip("Engine", "drain the oil", undo="fill the oil"))
    correct_step(bench, CorrectStep("4", undo="fill with SAE 140"))
    assert jobs(bench) == {4: ("fill with SAE 140", False)}
    with pytest.raises(Refused, match="nothing to put right"):
        correct_step(bench, CorrectStep("4", undo="fill with SAE 140"))
    undo(bench, Undo())
    assert jobs(bench) == {4: ("fill the oil", False)}
    with pytest.raises(Refused) as refused:
        correct_step(bench, CorrectStep("1", undo="put it back"))
    assert (refused.value.fact, refused.value.facts) == ("no job to undo", {"step": 1})
    assert not audit(bench).faults


def test_two_jobs_made_one_are_done_when_both_are(bench: Context) -> None:
    strip(bench, Strip("Engine", "drain the oil", undo="fill the oil"))
    strip(bench, Strip("Engine", "slack off the chain", undo="set the chain"))
    correct_step(bench, CorrectStep("5", undo="set the chain to 20 mm"))
    refit(bench, Refit("5"))
    join_steps(bench, JoinSteps("4", "5"))
    assert jobs(bench) == {4: ("fill the oil; set the chain to 20 mm", False)}
    refit(bench, Refit("4"))
    assert jobs(bench)[4][1]
    undo(bench, Undo())
    assert not jobs(bench)[4][1]
    assert not audit(bench).faults


def test_a_job_of_the_later_of_two_steps_made_one_is_ticked_off(bench: Context) -> None:
    strip(bench, Strip("Engine", "drain the oil", undo="fill the oil"))
    strip(bench, Strip("Engine", "slack off the chain", undo="set the chain"))
    join_steps(bench, JoinSteps("5", "4"))
    assert [done for _, done in jobs(bench).values()] == [False]
    refit(bench, Refit("5"))
    assert [done for _, done in jobs(bench).values()] == [True]
    assert not audit(bench).faults


def test_a_job_that_is_ticked_off_is_not_undone_by_itself(bench: Context) -> None:
    strip(bench, Strip("Engine", "drain the oil", undo="fill the oil"))
    ticked = refit(bench, Refit("4")).act
    step = ticked - 1
    with pytest.raises(Refused) as refused:
        undo(bench, Undo("4", by="step"))
    assert refused.value.fact == "moved on since"
    assert [each.number for each in refused.value.facts["later"]] == [ticked]
    back = undo(bench, Undo(ticked, by="act")).act
    undo(bench, Undo(step, by="act"))
    assert jobs(bench) == {}
    with pytest.raises(Refused) as refused:  # nothing is there to be ticked off
        undo(bench, Undo(back, by="act"))
    assert (refused.value.fact, refused.value.facts["act"]) == ("its step is undone", step)
    brought = undo(bench, Undo(back + 1, by="act")).act
    assert jobs(bench) == {4: ("fill the oil", False)}
    undo(bench, Undo(back, by="act"))
    assert jobs(bench) == {4: ("fill the oil", True)}
    with pytest.raises(Refused, match="moved on since"):
        undo(bench, Undo(brought, by="act"))


def access(context: Context, machine: int) -> dict[int, int | None]:
    with context.reading() as connection:
        return read_refits(connection, machine).access_only


def test_what_access_was_made_to_is_that_step_whatever_its_number_is_now(bench: Context) -> None:
    mark_access(bench, MarkAccess("1", "3"))
    assert access(bench, 1) == {1: 3}
    join_steps(bench, JoinSteps("2", "3"))
    assert access(bench, 1) == {1: 2}
    undo(bench, Undo())
    add_machine(bench, AddMachine("Finch"))
    here, there = (replace(bench, machine=name) for name in ("Orrick", "Finch"))
    strip(there, Strip("Frame", "stand"))
    correct_step(here, CorrectStep("3", to_machine="Finch"))
    assert access(bench, 1) == {1: None}  # it is of no step of this machine
    correct_step(here, CorrectStep("1", to_machine="Finch"))
    assert (access(bench, 1), access(bench, 2)) == ({}, {3: 2})
    # What is said from now on is said by the new numbers.
    correct_step(here, CorrectStep("2", to_machine="Finch"))
    mark_access(there, MarkAccess("4", "2"))
    correct_step(there, CorrectStep("2", to_machine="Orrick"))
    assert access(bench, 2) == {3: None, 4: None}


def test_what_came_off_first_is_asked_of_the_order_not_the_number(bench: Context) -> None:
    correct_step(bench, CorrectStep("1", came_off_after="3"))
    assert mark_access(bench, MarkAccess("2", "1")).access == "1"
    with pytest.raises(Refused, match="reached already"):
        mark_access(bench, MarkAccess("1", "2"))
    with pytest.raises(Refused, match="reached already"):
        mark_access(bench, MarkAccess("2", "2"))


def test_a_step_entered_for_the_wrong_machine_goes_to_the_other(bench: Context) -> None:
    add_machine(bench, AddMachine("Donor"))
    here = replace(bench, machine="Orrick")
    correct_step(here, CorrectStep("2", to_machine="Donor"))
    assert {m.name: m.steps for m in machines(bench)} == {"Orrick Plover": 2, "Donor": 1}
    there = find(replace(bench, machine="Donor"), Find("1")).items
    assert {(each.machine, each.assembly) for each in there} == {("Donor", "Engine / Clutch")}
    assert strip(replace(bench, machine="Donor"), Strip("Frame", "stand")).step == 2
    assert strip(here, Strip("Frame", "stand")).step == 4
    assert not audit(bench).faults


def test_later_work_stands_and_undo_brings_the_old_word_back(bench: Context) -> None:
    correction = correct_step(bench, CorrectStep("1", part="clutch cover"))
    inspect(bench, Inspect("1.2", "serviceable"))
    undo(bench, Undo(str(correction.act), by="act"))
    assert lines(bench, 1)[0] == "1.1 1 cluch cover"
    assert "serviceable" in find(bench, Find("1.2")).items[0].now[0].condition
    undo(bench, Undo(str(history(bench, 1)[0].number), by="act"))
    assert lines(bench, 1)[0] == "1.1 1 clutch cover"


def test_labels_whose_words_changed_are_named(bench: Context) -> None:
    sheet = labels(bench, AskLabels())
    labels_made(bench, MakeLabels({bag.code: bag.digest for bag in sheet.bags}, "sheet.pdf"))
    labels_came_out(bench, SayOut())
    code = find(bench, Find("1.2")).items[0].now[0].place
    assert correct_line(bench, CorrectLine("1.2", "5 M6x25 hex bolt")).labels == (code,)
    assert correct_step(bench, CorrectStep("1", more="a note")).labels == ()


ASKS: list[tuple[object, Ask]] = [
    (correct_machine, CorrectMachine(name="Heron")),
    (correct_assembly, CorrectAssembly("Engin", "Motor")),
    (correct_step, CorrectStep("1", part="clutch cover", came_off_after="3")),
    (correct_line, CorrectLine("1.2", "5 M6x25 hex bolt", position="rear")),
    (add_line, AddLine("1", "2 dowel pin")),
    (split_line, SplitLine("3.2", "1 M8x20 hex bolt")),
    (drop_line, DropLine("1.3")),
    (split_step, SplitStep("3", ["3.2"], "bolts")),
    (join_steps, JoinSteps("1", "2")),
]


@pytest.mark.parametrize(("usecase", "ask"), ASKS, ids=[type(ask).__name__ for _, ask in ASKS])
def test_a_trial_writes_nothing_and_a_key_makes_two_one(
    bench: Context, usecase: object, ask: Ask
) -> None:
    assert callable(usecase)
    before = len(history(bench))
    tried = usecase(bench, replace(ask, trial=True))
    assert len(history(bench)) == before
    first = usecase(bench, replace(ask, key="form 7"))
    assert replace(tried, trial=False) == first
    with pytest.raises(Repeated):
        usecase(bench, replace(ask, key="form 7"))
    assert not audit(bench).faults


@pytest.mark.parametrize("renamed", [True, False])
def test_what_was_counted_too_many_goes_back_where_it_came_from(
    context: Context, renamed: bool
) -> None:
    add_machine(context, AddMachine("Tern 50"))
    tern, plover = replace(context, machine="Tern 50"), replace(context, machine="Orrick Plover")
    strip(tern, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    if renamed:
        correct_machine(tern, CorrectMachine(name="Tern 60"))
        on = replace(context, machine="Tern 60")
    else:
        correct_step(tern, CorrectStep("1", to_machine="Orrick Plover"))
        on = plover
    correct_line(on, CorrectLine("1.2", "3 M6x25 hex bolt"))
    (found,) = find(on, Find("1.2")).items
    assert [(piece.kind, piece.quantity) for piece in found.now] == [(PlaceKind.BAG, 3)]
    assert not audit(on).faults
