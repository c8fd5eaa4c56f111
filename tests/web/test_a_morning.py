"""A morning at the bench by taps and keys on a phone, and the record at the end of it.

Taps and keys are counted as a person makes them: a field is tapped before it is typed into, a
picture is three taps (the field, the shutter, keep it), a scan of a label is one.
"""

import re
from pathlib import Path
from typing import Any

from browsing import PHONE
from playwright.sync_api import Locator, Page, expect
from sent_pictures import jpeg, photograph, printed_label, saved

from stores.model.ledger import Condition, PlaceKind
from stores.usecases.context import Context
from stores.usecases.figures import SetTorque, set_torque
from stores.usecases.find import Find, FoundItem, find
from stores.usecases.history import audit
from stores.usecases.outwork import (
    BeginBatch,
    ListBatches,
    PutIntoBatch,
    SendBatch,
    batches,
    begin_batch,
    put_into_batch,
    send_batch,
)
from stores.usecases.pictures import ListPictures, pictures
from stores.usecases.rebuild import ListSteps, checklist
from stores.usecases.sitting import InspectEach, inspect_each
from stores.web.visit import House

PATIENCE = 60_000
expect.set_options(timeout=PATIENCE)


class Hands:
    """One person at a phone: taps, keys and scans, counted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        page.set_default_timeout(2 * PATIENCE)
        self.taps = self.keys = self.scans = 0

    @property
    def acts(self) -> int:
        return self.taps + self.keys + self.scans

    def tap(self, what: Locator) -> None:
        self.taps += 1
        what.tap()

    def button(self, name: str, within: Locator | None = None) -> None:
        self.tap((within or self.page).get_by_role("button", name=name, exact=True))

    def link(self, name: str) -> None:
        self.tap(self.page.get_by_role("link", name=name))

    def type(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label)
        self.tap(field)
        self.keys += len(text)
        field.press_sequentially(text)

    def scan(self, code: str) -> None:
        """A scanner types what a label says into whatever page is open, each line with Enter."""
        self.scans += 1
        self.page.keyboard.type(f"{code}\n2 M8 x 30 hex\n")

    def picture(self, file: Path, field: str = "#photos") -> None:
        self.taps += 3
        self.page.locator(field).set_input_files(file)


def item(house: House, ref: str) -> FoundItem:
    (found,) = find(Context(house.store), Find(ref)).items
    return found


def held(house: House, ref: str) -> dict[tuple[str, Condition], int]:
    """Return an item's pieces by where they are and how they are."""
    return {(each.where, each.condition): each.quantity for each in item(house, ref).now}


def on_the_machine(house: House, ref: str) -> int:
    return sum(each.quantity for each in item(house, ref).now if each.kind is PlaceKind.MACHINE)


def bag_of(house: House, ref: str) -> str:
    return next(each.place for each in item(house, ref).now if each.kind is PlaceKind.BAG)


def take_off(hands: Hands, picture: Path) -> str:
    """Four M6 x 25 hexagon bolts, two dowels and a gasket, with a picture; return the bag."""
    lines = hands.page.locator("button[data-for=lines]")
    hands.link("Take off")
    hands.button("Engine / Clutch")
    hands.type("What came off", "side cover")
    hands.type("What held it", "4 M6x25 hex\n")
    for words in ("2", "dowel", "1", "gasket"):
        hands.tap(lines.get_by_text(words, exact=True))
    expect(hands.page.locator("[data-live-out]")).to_contain_text("side cover")
    hands.picture(picture)
    hands.button("Record it")
    expect(hands.page.locator(".told")).to_contain_text("Engine / Clutch")
    return hands.page.locator(".bagcode").inner_text()


def test_a_step_with_three_lines_and_a_picture_is_at_most_40_taps_and_keys(
    address: str, house: House, opened: Any, tmp_path: Path
) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg())
    with opened(PHONE) as page:
        hands = Hands(page)
        page.goto(address)
        bag = take_off(hands, tmp_path / "a.jpg")
    assert hands.acts <= 40, (hands.taps, hands.keys)
    kept = {(each.found, each.as_found) for each in find(Context(house.store), Find(bag)).items}
    assert kept == {
        (1, "side cover"), (4, "M6 x 25 hex"), (2, "dowel"), (1, "gasket"),
    }  # fmt: skip
    (kept_picture,) = pictures(Context(house.store), ListPictures()).pictures
    assert [tie.what for tie in kept_picture.kept] == ["step 3"]


def test_a_bag_is_refitted_by_scan_in_at_most_8(address: str, house: House, opened: Any) -> None:
    inspect_each(Context(house.store), InspectEach(listed="2 good"))
    with opened(PHONE) as page:
        hands = Hands(page)
        page.goto(address)
        hands.scan(bag_of(house, "2.2"))
        hands.button("Refit all in this bag")
        expect(page.locator(".told")).to_contain_text("Refitted")
    assert hands.scans == 1
    assert hands.acts <= 8
    assert [on_the_machine(house, ref) for ref in ("2.1", "2.2", "2.3")] == [1, 2, 1]


def test_a_morning(address: str, house: House, record: Path, opened: Any, tmp_path: Path) -> None:
    context = Context(house.store)
    set_torque(context, SetTorque("2.2", "24 N m", source="maker's book p. 21"))
    inspect_each(context, InspectEach(listed="2 good"))
    begin_batch(context, BeginBatch("Brindlecote Platers", "zinc plating", new_firm=True))
    put_into_batch(context, PutIntoBatch(1, ["1.2"]))
    send_batch(context, SendBatch(1))
    (tmp_path / "a.jpg").write_bytes(jpeg())
    with opened(PHONE) as page:
        hands = Hands(page)
        page.goto(address)
        bag = _strip_down(hands, tmp_path)
        label = printed_label(record, bag, tmp_path)
        _inspection(hands, address, bag, saved(photograph(label), tmp_path / "label.jpg"))
        _plated(hands, address)
        _refit(hands, address, bag_of(house, "2.2"))
        _shopping(hands, address)

    # the strip-down: one bag with the lever in it too, the third step sent late
    assert {each.item for each in find(context, Find(bag)).items} == {
        "3.1", "3.2", "3.3", "3.4", "4.1", "4.2",
    }  # fmt: skip
    assert [item(house, ref).part for ref in ("3.1", "4.1", "5.1")] == [
        "side cover", "release lever", "cable",
    ]  # fmt: skip
    assert held(house, "5.2") == {(f"in bag {bag_of(house, '5.2')}", Condition.AS_REMOVED): 2}
    assert bag_of(house, "5.2") != bag
    # the inspection: one dowel of two is scrap, the gasket is always renewed and not asked about
    here = f"in bag {bag}"
    assert held(house, "3.2") == {(here, Condition.SERVICEABLE): 4}
    assert held(house, "3.3") == {(here, Condition.SERVICEABLE): 1, (here, Condition.CONDEMNED): 1}
    # the batch: three of four bolts are back, one is still with the firm
    (batch,) = batches(context, ListBatches()).batches
    assert [(line.item, line.away) for line in batch.lines] == [("1.2", 1)]
    # the refit: on, tight, signed for by two
    (step,) = [
        each for each in checklist(context, ListSteps(everything=True)).stages
        if each.step.number == 2
    ]  # fmt: skip
    assert step.finished
    assert {(each.role.value, each.name) for each in step.notes.signatures} == {
        ("fitted", "Ruth"), ("second person", "Wilf"),
    }  # fmt: skip
    assert [on_the_machine(house, ref) for ref in ("2.1", "2.2", "2.3")] == [1, 2, 1]
    # the shopping: a gasket for the clutch cover
    assert sum(each.quantity for each in item(house, "1.3").now if each.condition == "new") == 1
    assert audit(context).faults == ()


def _strip_down(hands: Hands, folder: Path) -> str:
    page = hands.page
    bag = take_off(hands, folder / "a.jpg")
    hands.link("Next piece")
    page.wait_for_url("**/strip?assembly=*")
    hands.type("What came off", "release lever")
    hands.type("What held it", "1 M8x40 bolt")
    hands.button(f"{bag}, the last one")
    hands.button("Record it")
    expect(page.locator(".told")).to_contain_text("release lever")
    hands.link("Next piece")
    page.wait_for_url("**/strip?assembly=*")
    page.wait_for_load_state()
    page.context.set_offline(True)
    hands.type("What came off", "cable")
    hands.type("What held it", "2 M6 nut")
    hands.button("Record it")
    expect(page.locator("#waiting")).to_contain_text("1 waiting")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    return bag


def _inspection(hands: Hands, address: str, bag: str, label: Path) -> None:
    page = hands.page
    page.goto(address)
    hands.picture(label, "input[data-read-code]")
    page.wait_for_url(f"**/bag/{bag}")
    hands.link("Inspect")
    for line in ("side cover", "M6 x 25 hex"):
        expect(page.locator("h1")).to_contain_text(line)
        hands.button("Good")
    expect(page.locator("h1")).to_contain_text("dowel")
    hands.button("One less")
    hands.button("worn")
    hands.button("Scrap")
    expect(page.locator("h1")).to_contain_text(re.compile(r"1\s+dowel"))
    for line in ("dowel", "release lever", "M8 x 40 bolt"):
        expect(page.locator("h1")).to_contain_text(line)
        hands.button("Good")
    expect(page.locator("main")).to_contain_text("Nothing is left to inspect")


def _plated(hands: Hands, address: str) -> None:
    page = hands.page
    page.goto(address)
    hands.link("Found or arrived")
    hands.link("Batch 1, Brindlecote Platers: 4 away")
    hands.button("One less")
    hands.button("Record what came back")
    expect(page.locator(".told")).to_contain_text("3 pieces")


def _refit(hands: Hands, address: str, bag: str) -> None:
    page = hands.page
    page.goto(f"{address}/next?step=2")
    expect(page.get_by_text("asbestos")).to_be_visible()
    hands.scan(bag)
    expect(page.locator("main")).to_contain_text(f"{bag} is the right bag")
    hands.tap(page.get_by_label("Only finger-tight so far"))
    hands.button("All of it is on")
    expect(page.locator(".told")).to_contain_text("Refitted")
    hands.type("Tightened to", "24")
    hands.button("Tight")
    expect(page.get_by_label("Tightened to")).to_have_count(0)
    expect(page.locator(".told")).to_contain_text("24 N m")
    for name, button in (("Ruth", "Fitted it"), ("Wilf", "Checked it as second person")):
        hands.type("Name", name)
        hands.button(button)
        expect(page.locator(".told")).to_contain_text(name)


def _shopping(hands: Hands, address: str) -> None:
    page = hands.page
    page.goto(address)
    hands.link("Shopping")
    hands.link("Take it along")
    page.context.set_offline(True)
    hands.tap(page.get_by_label("1 off gasket, for Engine / Clutch: clutch cover"))
    hands.type("Where you bought it", "Hollin")
    hands.tap(page.get_by_label("A new supplier"))
    hands.button("Record what I bought")
    expect(page.locator(".sending")).to_contain_text("back in the workshop")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()


def test_record_it_is_within_reach_and_hides_no_field(address: str, opened: Any) -> None:
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        button = page.get_by_role("button", name="Record it")
        assert page.evaluate("scrollY") == 0
        at = button.bounding_box()
        assert at["y"] + at["height"] <= PHONE[1]
        assert at["height"] < PHONE[1] / 5
        for label in ("Assembly", "What came off", "What held it", "Bag", "Pictures"):
            field = page.get_by_label(label, exact=True)
            field.focus()
            place, over = field.bounding_box(), button.bounding_box()
            assert place["y"] >= 0, label
            assert place["y"] + min(place["height"], 56) <= over["y"], label
        page.get_by_text("More", exact=True).click()
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        last = page.get_by_label("Day it happened").bounding_box()
        assert button.bounding_box()["y"] < last["y"], "its place is before what is under More"
