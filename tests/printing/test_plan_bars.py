"""The plan on paper: what is ready, what waits and what has slack is told without any colour."""

from collections.abc import Sequence
from datetime import date
from itertools import chain
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printing_builder import Condition, Holding, PlaceKind, item, step
from printing_reading import said

from stores.model.items import Item
from stores.planning.assembling import Refits, StepNotes
from stores.planning.rebuild import Plan, plan
from stores.planning.status import Awaited, State, status_of
from stores.planning.timing import Outlook, outlook
from stores.printing.boxes import Box, Frame, Stripe, Stroke, Text
from stores.printing.draw import measure
from stores.printing.pages import LEFT, RIGHT, TOP
from stores.printing.paper import chosen_paper
from stores.printing.plan_bars import layout_bars, write_bars

TODAY = date(2027, 3, 1)
BOTTOM = chosen_paper().bottom


def piece(number: int, assembly: str, *, firm: bool = False) -> Item:
    at = (
        Holding(1, "Dyke Plating", PlaceKind.FIRM, Condition.SERVICEABLE)
        if firm
        else Holding(1, "A001N", PlaceKind.BAG, Condition.SERVICEABLE)
    )
    off = step(number, f"part {number}", assembly=assembly)
    return item(1, "bracket", 1, off=off, kind="part", number=number, holdings=(at,))


def planned(items: Sequence[Item], awaited: Sequence[Awaited] = ()) -> Plan:
    notes = Refits({each.step.number: StepNotes(minutes=120) for each in items})
    return plan(status_of(items, notes, awaited=awaited))


def engine() -> tuple[Plan, Outlook]:
    """At 2 hours a day each step takes a day. 3 and 2 are of the frame, 4 and 1 of the engine: 4 is
    at the plater until the 11th, and 1 goes on after it."""
    due = date(2027, 3, 11)
    made = planned(
        [piece(1, "Engine"), piece(2, "Frame"), piece(3, "Frame"), piece(4, "Engine", firm=True)],
        [Awaited("Dyke Plating", 1, item=4, due=due)],
    )
    return made, outlook(made, TODAY, hours_a_week=14)


def laid(made: Plan, times: Outlook, **more: str) -> list[list[Box]]:
    known = {"machine": "Orrick Plover", "summary": "4 steps left."} | more
    return layout_bars(made, times, measure, **known)


def row_of(page: Sequence[Box], number: int) -> list[Box]:
    (name,) = [box for box in page if isinstance(box, Text) and box.text == f"part {number}"]
    return [box for box in page if name.y - 0.6 <= box.y < name.y + 4.0 and box.x > LEFT + 60]


def test_slack_is_until_the_step_that_waits_for_it() -> None:
    """3, then 2 after it, on days 0 and 1; 4 is there on day 10, 1 on day 11, all done on day 12.
    2 may be as late as the end: 10 days. 4 and 3 have the next step right behind them."""
    _, times = engine()
    assert [(bar.node, bar.start, bar.finish) for bar in times.bars] == [
        (3, 0, 1), (2, 1, 2), (4, 10, 11), (1, 11, 12),
    ]  # fmt: skip
    assert times.slack == {3: 0, 2: 10, 4: 0, 1: 0}
    assert times.not_before == {4: 10}


def test_ready_waiting_and_slack_do_not_look_alike() -> None:
    made, times = engine()
    assert [each.number for each in made.of(State.READY)] == [3]
    (page,) = laid(made, times)
    ready, waits, late = row_of(page, 3), row_of(page, 1), row_of(page, 2)
    assert [type(box) for box in ready if box.height > 2] == [Stripe]
    assert any(isinstance(box, Frame) for box in waits)
    assert sum(isinstance(box, Stroke) and not box.dash for box in waits) >= 3
    assert not any(isinstance(box, Stroke) and box.dash for box in waits)
    (dashed,) = [box for box in late if isinstance(box, Stroke) and box.dash]
    (bar,) = [box for box in late if isinstance(box, Frame)]
    # the sheet is 12 days wide: the slack is 10 of them, from the end of the bar to the edge
    scale = bar.width
    assert dashed.x == pytest.approx(bar.x + bar.width)
    assert dashed.width == pytest.approx(10 * scale, rel=0.01)
    promised = [box for box in row_of(page, 4) if isinstance(box, Stripe) and box.height < 0.3]
    assert max(box.width for box in promised if box.y < BOTTOM and not box.colour) == pytest.approx(
        10 * scale, rel=0.01
    )
    words = {box.text for box in page if isinstance(box, Text)}
    assert {"ready", "waits for something", "may be done as late as here"} <= words


def test_a_step_is_under_its_assembly() -> None:
    (page,) = laid(*engine())
    texts = [box.text for box in page if isinstance(box, Text)]
    found = [text for text in texts if text in ("Engine", "Frame") or text.startswith("part ")]
    assert found == ["Frame", "part 3", "part 2", "Engine", "part 4", "part 1"]


def test_a_what_if_says_so_on_every_page(tmp_path: Path) -> None:
    made = planned([piece(number, "Frame") for number in range(1, 90)])
    times = outlook(made, TODAY)
    words = "What if, not the plan: with Dyke Plating 14 days late: finished 3 days later."
    sure, unsure = laid(made, times), laid(made, times, what_if=words)
    assert len(unsure) > 1
    for page in unsure:
        assert any(isinstance(box, Text) and box.text.startswith("What if") for box in page)
    assert not any("What if" in box.text for box in chain(*sure) if isinstance(box, Text))
    path = tmp_path / "plan.pdf"
    write_bars(made, times, path, machine="Orrick Plover", summary="89 left.", what_if=words)
    assert words.replace(" ", "") in said(path)


def test_what_is_all_on_is_one_page() -> None:
    on = Holding(1, "on", PlaceKind.MACHINE, Condition.SERVICEABLE)
    made = planned([item(1, "bracket", 1, off=step(1), kind="part", number=1, holdings=(on,))])
    times = outlook(made, TODAY)
    assert times.bars == ()
    (page,) = laid(made, times, summary="Everything is back on.")
    assert "Everything is back on." in [box.text for box in page if isinstance(box, Text)]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(["Engine", "Frame", "W" * 90, ""]), min_size=1, max_size=120),
    st.integers(0, 70),
)
def test_every_step_has_its_row_and_no_page_is_empty(assemblies: list[str], firms: int) -> None:
    """Nothing leaves its page, however many firms there are to name before the bars begin."""
    items = [piece(at, name, firm=at <= firms) for at, name in enumerate(assemblies, 1)]
    awaited = [
        Awaited("Dyke Plating", 1, item=at, due=date(2027, 3, 1 + at % 28))
        for at in range(1, min(firms, len(assemblies)) + 1)
    ]
    made = planned(items, awaited)
    pages = laid(made, outlook(made, TODAY))
    rows = [box.text for box in chain(*pages) if isinstance(box, Text)]
    names = [text for text in rows if text.startswith("part ")]
    assert sorted(names) == sorted(f"part {at}" for at in range(1, len(items) + 1))
    for page in pages:
        for box in page:
            assert LEFT - 1e-6 <= box.x <= box.x + box.width <= RIGHT + 1e-6, box
            assert box.y >= TOP - 1e-6, box
            assert box.y + box.height <= BOTTOM + 1e-6 or box.y >= BOTTOM + 3 - 1e-6, box
    for page in pages[1:]:
        assert any(isinstance(box, Text) and box.text.startswith("part ") for box in page) or any(
            isinstance(box, Text) and "Dyke Plating" in box.text for box in page
        )
