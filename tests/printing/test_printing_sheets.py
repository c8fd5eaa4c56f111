"""The checklist and the shopping list on paper."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printing_builder import Condition, Holding, PlaceKind, Shortage, item, shortages, step
from printing_builder import stages as turned
from printing_reading import MM, said, words

from stores.errors import PrintError
from stores.model.items import Description, Item
from stores.planning.shopping import ShoppingList, ToMeasure
from stores.planning.status import status_of
from stores.planning.tightness import THREADED
from stores.printing import checklist
from stores.printing.boxes import Box, Frame, Stripe, Text, Tick
from stores.printing.checklist import CAUTION
from stores.printing.draw import measure
from stores.printing.pages import LEFT, RIGHT, TOP
from stores.printing.paper import chosen_paper
from stores.printing.shopping import layout_shopping, write_shopping
from stores.wording.status import flag, standing

layout_checklist = partial(checklist.layout_checklist, standing=standing, flag=flag)
write_checklist = partial(checklist.write_checklist, standing=standing, flag=flag)
TITLE = "Rebuild checklist: Orrick Plover 150"

BOTTOM = chosen_paper().bottom


def machine() -> list[Item]:
    """Some of a strip-down: a brake, a fork, a gearbox cover with thirty screws."""
    brake = step(
        1,
        "Front brake plate",
        assembly="Cycle parts / Front wheel / Brake",
        hazard="linings assumed to hold asbestos",
        note="Anchor arm points forward",
    )
    fork = step(2, "Fork leg cap", assembly="Cycle parts / Front fork")
    cover = step(
        3,
        "Selector fork spindle end cover with the breather pipe clip and the earthing strap",
        assembly="Engine / Gearbox / Selector mechanism / Fork spindle and detents / Left side",
    )
    split = Holding(2, "A003H", PlaceKind.BAG, Condition.SERVICEABLE, "box B3")
    away = Holding(1, "the plater", PlaceKind.FIRM, Condition.SERVICEABLE)
    fitted = Holding(1, "on", PlaceKind.MACHINE, Condition.SERVICEABLE)
    wrong = Description("1/4-26 BSF x 1 in hex bolt", "bolt")
    return [
        item(1, "M8 x 1 x 30 hex bolt", 4, off=brake, position="anchor", holdings=(split, away)),
        item(2, "split pin 3.2 x 32", 1, off=brake, kind="split pin", renew="never reused"),
        item(1, "fork cap M38 x 1", 1, off=fork, holdings=(fitted,)),
        *(
            item(
                at,
                f"M6 x {10 + at} cheese head screw",
                2,
                off=cover,
                kind="screw",
                position=f"hole {at}",
                bag="A002K",
                **({"as_found": wrong} if at % 10 == 0 else {}),
            )
            for at in range(1, 31)
        ),
    ]


def lines_to_buy() -> list[Shortage]:
    items = [
        *machine(),
        *(
            item(1, f"M{at} x {at + 20} hex bolt", 2, off=step(at, "Cover"), wanted=5)
            for at in range(4, 60)
        ),
        item(1, "M5 x 25 hex bolt", 2, off=step(0, ""), number=999, condition=Condition.NEW),
    ]
    return shortages([status_of(items)])


# --- the checklist ---


def test_all_that_is_known_of_a_line_is_printed(tmp_path: Path) -> None:
    stages = turned(status_of(machine()))
    path = tmp_path / "checklist.pdf"
    made = write_checklist(stages, path, title=TITLE, date="25 Nov 2026")
    assert made.warnings == ()
    text = said(path)
    phrases = [TITLE, "25 Nov 2026", CAUTION]
    for stage in stages:
        phrases += [f"Step {stage.step.number}", stage.step.part, stage.step.assembly]
        phrases += [stage.step.note, stage.step.hazard, *stage.cautions]
        for line in stage.lines:
            phrases += [line.item.ref, line.item.as_specified.text, line.item.position]
            phrases += [*map(flag, line.flags), *line.sources]
    for phrase in phrases:
        assert phrase.replace(" ", "") in text, phrase


def test_the_front_adds_up(tmp_path: Path) -> None:
    path = tmp_path / "checklist.pdf"
    write_checklist(turned(status_of(machine())), path, title=TITLE, date="25 Nov 2026")
    # 33 lines of which the fork cap is on; short: 1 anchor bolt (4 less 2 here, 1 away), 1 split
    # pin, 3 lines of 2 screws that were wrong as found; 1 piece away
    assert "3steps,33linesofwhich1done,8piecesshort,1pieceaway." in said(path)


def test_it_is_a4_and_numbered_page_x_of_y(tmp_path: Path) -> None:
    path = tmp_path / "checklist.pdf"
    made = write_checklist(turned(status_of(machine())), path, title=TITLE, date="25 Nov 2026")
    assert made.sheets > 1
    with pdfplumber.open(path) as document:
        assert len(document.pages) == made.sheets
        for at, page in enumerate(document.pages, 1):
            # A4: ISO 216:2007, table 1
            assert float(page.width) * MM == pytest.approx(210, abs=0.05)
            assert float(page.height) * MM == pytest.approx(297, abs=0.05)
            assert f"Page {at} of {made.sheets}" in page.extract_text()
        assert document.metadata["Title"] == TITLE
        assert document.metadata["Author"] == "stores"


def test_a_tick_for_each_line_and_only_done_ones_ticked() -> None:
    pages = layout_checklist(turned(status_of(machine())), measure, title=TITLE, date="")
    ticks = [box for page in pages for box in page if isinstance(box, Tick)]
    assert len(ticks) == 33
    assert sum(box.done for box in ticks) == 1


def test_bag_codes_are_large() -> None:
    pages = layout_checklist(turned(status_of(machine())), measure, title=TITLE, date="")
    codes = [
        box
        for page in pages
        for box in page
        if isinstance(box, Text) and box.text in ("A002K", "A003H")
    ]
    # 28 places, and the codes to scan of A003H at step 1 and A002K at step 3
    assert len(codes) == 30
    assert all(box.bold and box.size >= 12 for box in codes)


def test_a_long_stage_says_that_it_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "checklist.pdf"
    write_checklist(turned(status_of(machine())), path, title=TITLE, date="")
    pages = words(path)
    assert "(continued)" not in [word["text"] for word in pages[0]]
    on_second = " ".join(word["text"] for word in pages[1])
    assert "strap (continued)" in on_second
    assert on_second.index("(continued)") < on_second.index("N m")


def test_a_second_person_signs_for_brakes_only(tmp_path: Path) -> None:
    path = tmp_path / "checklist.pdf"
    write_checklist(turned(status_of(machine())), path, title=TITLE, date="")
    assert said(path).count("Checkedbyasecondperson") == 1


def test_what_has_a_thread_gets_a_blank_for_the_torque() -> None:
    assert {"bolt", "screw", "nut", "stud"} <= THREADED
    assert not {"split pin", "gasket", "washer", "circlip"} & THREADED
    pages = layout_checklist(turned(status_of(machine())), measure, title=TITLE, date="")
    texts = [box.text for page in pages for box in page if isinstance(box, Text)]
    assert texts.count("N m") == 31  # all but the split pin and the cap that is on


def test_nothing_recorded_makes_no_checklist(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match="nothing to rebuild"):
        write_checklist([], tmp_path / "checklist.pdf", title=TITLE, date="")
    assert list(tmp_path.iterdir()) == []


PHRASE = st.text(
    st.characters(exclude_categories=["Cs"]) | st.sampled_from("abc 12 / "), max_size=60
)
LONG = (
    PHRASE
    | st.integers(1, 120).map(lambda n: "brake spring and steering " * n)
    | st.integers(1, 3000).map(lambda n: "W" * n)
)
PLACES = st.lists(
    st.builds(
        Holding,
        st.integers(1, 1_000_000),
        LONG | st.just("A001N"),
        st.sampled_from([PlaceKind.BAG, PlaceKind.BOX, PlaceKind.FIRM, PlaceKind.MACHINE]),
        st.sampled_from(list(Condition)),
        PHRASE,
    ),
    max_size=40,
).map(tuple)


@st.composite
def any_items(draw: st.DrawFn) -> list[Item]:
    items = []
    for number in draw(st.lists(st.integers(1, 99_999), min_size=1, max_size=5, unique=True)):
        off = step(number, draw(LONG), assembly=draw(LONG), hazard=draw(LONG), note=draw(LONG))
        for line in range(1, draw(st.integers(2, 9))):
            made = item(
                line,
                draw(LONG),
                draw(st.integers(1, 1_000_000)),
                off=off,
                kind=draw(st.sampled_from(["bolt", "gasket"])),
                position=draw(PHRASE),
                holdings=draw(PLACES),
                renew=draw(st.sampled_from(["", "never reused"])),
            )
            found = Description(draw(LONG), "bolt") if draw(st.booleans()) else made.as_found
            items.append(replace(made, as_found=found))
    return items


def check_pages(pages: list[list[Box]]) -> None:
    for page in pages:
        solid = [box for box in page if not isinstance(box, Frame)]
        for box in page:
            assert box.x >= LEFT - 1e-6, box
            assert box.x + box.width <= RIGHT + 1e-6, box
            assert box.y >= TOP - 1e-6, box
            in_foot = box.y >= BOTTOM + 3 - 1e-6
            assert box.y + box.height <= (297 - 5 if in_foot else BOTTOM + 1e-6), box
        solid.sort(key=lambda box: box.y)
        for at, one in enumerate(solid):
            for other in solid[at + 1 :]:
                if other.y >= one.y + one.height - 1e-6:
                    break
                apart = one.x + one.width <= other.x + 1e-6 or other.x + other.width <= one.x + 1e-6
                assert apart, (one, other)


@settings(max_examples=40, deadline=None)
@given(any_items())
def test_no_checklist_overlaps_or_leaves_its_page(items: list[Item]) -> None:
    stages = turned(status_of(items))
    pages = layout_checklist(stages, measure, title=TITLE, date="25 Nov 2026")
    check_pages(pages)
    ticks = [box for page in pages for box in page if isinstance(box, Tick)]
    assert len(ticks) == len(items)
    for page in pages:
        # a heading's thick rule never stands below the last line of its page
        thick = [box.y for box in page if isinstance(box, Stripe) and box.height == 0.7]
        lowest = max((box.y for box in page if isinstance(box, Tick)), default=0.0)
        assert all(y < lowest for y in thick)


# --- the shopping list ---


def test_all_that_is_to_be_bought_is_printed(tmp_path: Path) -> None:
    lines = lines_to_buy()
    path = tmp_path / "shopping.pdf"
    made = write_shopping(
        ShoppingList(lines=tuple(lines)),
        path,
        title="Shopping list: Orrick Plover 150",
        date="25 Nov 2026",
    )
    assert made.warnings == ()
    assert made.sheets > 1
    text = said(path)
    assert "25Nov2026" in text
    assert f"Page{made.sheets}of{made.sheets}" in text
    for line in lines:
        for phrase in (line.what, line.why, line.refs):
            assert phrase.replace(" ", "") in text, phrase
    assert "less2looseinstock" in text
    # each page repeats the heading
    assert text.count("QtyWhatWhyForjointsSupplier,price") == made.sheets


def test_quantity_stands_beside_what_is_bought(tmp_path: Path) -> None:
    path = tmp_path / "shopping.pdf"
    write_shopping(ShoppingList(lines=tuple(lines_to_buy())), path, title="Shopping list", date="")
    with pdfplumber.open(path) as document:
        rows = "\n".join(page.extract_text() for page in document.pages)
    # 5 belong in, 2 found; of M5 x 25 two loose ones are in hand
    assert "3 off M8 x 28 hex bolt 3 missing at strip-down 8.1" in rows
    assert "1 off M5 x 25 hex bolt 3 missing at" in rows


def test_nothing_to_buy_is_said(tmp_path: Path) -> None:
    path = tmp_path / "shopping.pdf"
    assert write_shopping(ShoppingList(), path, title="Shopping list", date="").sheets == 1
    assert "Nothingtobuy" in said(path)


@pytest.mark.parametrize("buying", [True, False])
def test_what_is_inspected_first_is_on_sheets_of_its_own(buying: bool) -> None:
    unseen = tuple(ToMeasure(f"{at}.1", f"lever {at}", "part", at) for at in range(1, 61))
    lines = tuple(lines_to_buy()) if buying else ()
    pages = layout_shopping(
        ShoppingList(lines=lines, measure_first=unseen), measure, title="Shopping list", date=""
    )
    check_pages(pages)
    texts = [[box.text for box in page if isinstance(box, Text)] for page in pages]
    found = [text for page in texts for text in page if text.startswith("lever ")]
    assert found == [each.what for each in unseen]
    mixed = [page for page in texts if "lever 1" in page and lines and lines[-1].what in page]
    assert mixed == []
    with_levers = [page for page in texts if any(text.startswith("lever") for text in page)]
    assert len(with_levers) > 1
    for page in with_levers:
        assert any(text.startswith("Inspect before buying") for text in page)
        assert "Supplier, price" not in page
    if not buying:
        assert "Nothing to buy yet." in texts[0]
        assert "lever 1" in texts[0]


@settings(max_examples=40, deadline=None)
@given(any_items())
def test_no_shopping_list_overlaps_or_leaves_its_page(items: list[Item]) -> None:
    lines = shortages([status_of(items)])
    pages = layout_shopping(
        ShoppingList(lines=tuple(lines)), measure, title="Shopping list " * 30, date="25 Nov 2026"
    )
    check_pages(pages)
    ticks = [box for page in pages for box in page if isinstance(box, Tick)]
    assert len(ticks) == len(lines)


def test_the_same_lists_make_the_same_bytes(tmp_path: Path) -> None:
    made = []
    for name in ("one", "two"):
        write_checklist(turned(status_of(machine())), tmp_path / name, title=TITLE, date="")
        write_shopping(
            ShoppingList(lines=tuple(lines_to_buy())),
            tmp_path / f"{name}2",
            title="Shopping list",
            date="",
        )
        made.append(((tmp_path / name).read_bytes(), (tmp_path / f"{name}2").read_bytes()))
    assert made[0] == made[1]
