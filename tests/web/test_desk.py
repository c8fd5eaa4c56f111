"""The desk: the machine as a tree, the plan, what is open; it follows the phone; the log."""

import re
from contextlib import ExitStack

import pytest
from axe_playwright_python.sync_playwright import Axe
from browsing import DESK, PHONE, TABLET, client_of
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.planning.status import State
from stores.storage import open_store
from stores.text import day_words
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import history, newest_entry
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.rebuild import (
    ListSteps,
    LookAhead,
    ahead,
    bars,
    listed_steps,
    summary,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.sitting import InspectEach, inspect_each
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.strip import Strip, strip
from stores.web.deeds import deeds
from stores.web.pages.desk import ACROSS, EACH_STEP, IN_FULL, Branch, rows_of, tree_of
from stores.web.visit import House

MARK = {State.FINISHED: "done", State.ON: "ON", State.READY: "READY", State.WAITS: "WAITS"}
NASTY = "<script>alert(1)</script>"


@pytest.fixture
def begun_rebuild(house: House) -> House:
    """Add a nested assembly; step 3 is inspected and back on."""
    at = Context(house.store)
    strip(at, Strip("Engine/Clutch/Springs", "spring plate", ("3 M5x16 hex",)))
    strip(at, Strip("Frame", "side panel", ("1 M6x20 hex",)))
    inspect_each(at, InspectEach(listed="2 good; 3 good; 4 good"))
    refit(at, Refit("4"))
    return house


def flat(branches: list[Branch]) -> list[Branch]:
    return [each for branch in branches for each in (branch, *flat(branch.inside))]


def test_the_tree_counts_as_the_summary_does(begun_rebuild: House) -> None:
    at = Context(begun_rebuild.store)
    tree = tree_of(summary(at))
    listed = flat(tree)
    assert {each.path for each in listed} == {
        "Engine", "Engine / Clutch", "Engine / Clutch / Springs", "Brakes", "Frame",
    }  # fmt: skip
    for branch in listed:
        assert branch.row == summary(at, branch.path).whole, branch.path
    assert sum(each.row.steps for each in tree) == summary(at).whole.steps == 4


def test_each_step_is_shown_as_the_checklist_has_it(
    client: TestClient, begun_rebuild: House
) -> None:
    page = client.get("/desk").text
    rows = re.findall(
        r'href="/next\?step=(\d+)"><span class="no">\d+</span> <span>([^<]*)</span></a>\s*'
        r'<span class="mark \w+">(\w+)</span>',
        page,
    )
    listed = listed_steps(Context(begun_rebuild.store), ListSteps(everything=True))
    assert {(n, part, word) for n, part, word in rows} == {
        (str(each.step.number), each.step.part, MARK[each.state]) for each in listed
    }
    assert {each.state for each in listed} >= {State.READY, State.WAITS}
    for branch in flat(tree_of(summary(Context(begun_rebuild.store)))):
        assert f"{branch.on} of {branch.row.steps} on</span>" in page


def test_today_is_what_work_today_replies(client: TestClient, begun_rebuild: House) -> None:
    page = client.get("/desk").text
    part = page.split('data-part="today"')[1].split("</section>")[0]
    reply = work_today(Context(begun_rebuild.store))
    assert reply.ready
    shown = re.findall(r'<span class="no">(\d+)</span>', part)
    assert shown == [str(each.step) for each in (*reply.ready, *reply.at_hand)]


def test_the_bars_are_those_of_the_plan(client: TestClient, begun_rebuild: House) -> None:
    at = Context(begun_rebuild.store)
    drawn = bars(at, LookAhead())
    whole = drawn.outlook.days
    rows = rows_of(ahead(at, LookAhead()), each=True)
    assert len(rows) == len(drawn.outlook.bars) > 1
    for row, bar in zip(rows, drawn.outlook.bars, strict=True):
        (span,) = row.spans
        planned = drawn.plan.by_number[bar.node]
        assert row.name == f"{bar.node} {planned.stage.step.part}"
        assert row.until == day_words(drawn.outlook.day(bar.finish))
        assert span.x == pytest.approx(ACROSS * bar.start / whole, abs=0.06)
        assert span.x + span.width == pytest.approx(ACROSS * bar.finish / whole, abs=2.1)
        assert span.ready is (planned.state is State.READY)
    page = client.get("/desk").text
    assert day_words(drawn.outlook.finish) in page
    for row in rows:
        assert row.until in page
        for span in row.spans:
            assert f'x="{span.x}" y="1" width="{span.width}"' in page


def test_a_row_of_an_assembly_has_all_its_bars(begun_rebuild: House) -> None:
    at = Context(begun_rebuild.store)
    reply = ahead(at, LookAhead())
    rows = rows_of(reply, each=False)
    assert [row.name for row in rows] == list(dict.fromkeys(bar.assembly for bar in reply.bars))
    for row in rows:
        mine = [bar for bar in reply.bars if bar.assembly == row.name]
        assert row.until == day_words(max(bar.finish for bar in mine))
        worked = sum(bar.end - bar.begin for bar in mine) * ACROSS / reply.days
        assert sum(span.width for span in row.spans) == pytest.approx(worked, abs=3)


def test_what_a_large_machine_has_is_fetched_by_the_assembly(
    client: TestClient, house: House
) -> None:
    at = Context(house.store)
    for number in range(IN_FULL):
        strip(at, Strip("Frame" if number % 2 else "Fork/Left", f"plate {number}", ("1 gasket",)))
    assert len(ahead(at, LookAhead()).bars) > EACH_STEP
    page = client.get("/desk").text
    assert ">plate 4</span>" not in page.split('data-part="today"')[0]
    assert len(page) < 60_000
    opened = client.get("/desk", params={"open": "Fork / Left"}).text
    tree = opened.split('data-part="today"')[0]
    assert set(re.findall(r">(plate \d+)</span>", tree)) == {
        f"plate {number}" for number in range(0, IN_FULL, 2)
    }
    assert len(opened) < 60_000
    by_step = client.get("/desk", params={"rows": "steps"}).text
    assert by_step.count('<svg class="bar"') == len(ahead(at, LookAhead()).bars)


def test_what_can_be_worked_on_of_a_large_machine_is_open(house: House) -> None:
    at = Context(house.store)
    for number in range(IN_FULL):
        strip(at, Strip("Frame", f"plate {number}", ("1 gasket",)))
    strip(at, Strip("Saddle/Springs", "left spring", ("1 M6x20 hex",)))
    inspect_each(at, InspectEach(listed=f"{IN_FULL + 3} good"))
    by_path = {each.path: each for each in flat(tree_of(summary(at)))}
    opened = {path for path, each in by_path.items() if each.opened}
    assert opened == {"Saddle", "Saddle / Springs"}
    assert by_path["Saddle / Springs"].filled
    assert not by_path["Frame"].filled
    wanted = {each.path: each for each in flat(tree_of(summary(at), "Frame"))}
    assert wanted["Frame"].filled
    assert wanted["Frame"].opened


def test_what_is_open_is_counted(client: TestClient, house: House) -> None:
    record_snag(Context(house.store), RecordSnag("Engine/Clutch", "leak", "weeps"))
    strip(Context(house.store), Strip("Frame", "bracket", ("some M6 things",)))
    part = client.get("/desk/open").text
    assert "3 labels due" in part
    assert "1 snag to clear" in part
    for to in ("/labels", "/ask/queries", "/ask/snags", "/shopping"):
        assert f'href="{to}"' in part
        assert f'href="{to}"' in client.get("/desk").text


def test_a_scan_on_another_device_is_followed(client: TestClient, house: House) -> None:
    before = client.get("/desk/follow").json()
    assert before == {"act": 3, "seen": None}
    with client_of(house) as phone:
        phone.get("/bag/A001N")
        seen = client.get("/desk/follow").json()["seen"]
        assert (seen["words"], seen["to"]) == ("Last looked at: bag A001N", "/bag/A001N")
        phone.get("/next", params={"step": "2"})
        seen = client.get("/desk/follow").json()["seen"]
        assert seen["words"] == "Last looked at: step 2: brake plate"
        assert client.get(seen["to"]).status_code == 200
        told = phone.post(
            "/do/strip", data={"assembly": "Frame", "part": "panel", "lines": "1 M6x20 hex"}
        )
        code = re.search(r'class="bagcode">(\w+)<', told.text)
        assert code
        after = client.get("/desk/follow").json()
        assert after["act"] == newest_entry(Context(house.store)) == 4
        assert after["seen"]["to"] == f"/bag/{code[1]}"


def test_a_paired_device_is_named(house: House, client: TestClient) -> None:
    house.follow.see("bag A001N", "/bag/A001N", "Bench phone")
    seen = client.get("/desk/follow").json()["seen"]
    assert seen["words"] == "On Bench phone: bag A001N"


def test_the_log_is_read_by_the_page(client: TestClient, house: House) -> None:
    at = Context(house.store)
    for number in range(90):
        record_snag(at, RecordSnag("Engine/Clutch", "noted", f"point {number}"))
    every = [each.number for each in history(at)]
    assert len(every) == 93
    found: list[int] = []
    to = "/desk/log"
    for _ in range(3):
        page = client.get(to).text
        found += map(int, re.findall(r'<li value="(\d+)">', page))
        older = re.search(r'href="(/desk/log\?before=\d+)">Older', page)
        to = older[1] if older else ""
    assert found == every
    assert not to
    assert "Nothing is recorded before that" in client.get("/desk/log?before=1").text
    assert history(at, 2, before=3)[0].number == 2


def test_every_link_of_the_desk_answers(client: TestClient, begun_rebuild: House) -> None:
    add_machine(Context(begun_rebuild.store), AddMachine("Tern 50"))
    client.post("/machine", data={"machine": "Orrick Plover"})
    links: set[str] = set()
    for page in ("/desk", "/desk/open", "/desk/log", "/desk/right?step=1"):
        links |= set(re.findall(r'href="(/[^"]*)"', client.get(page).text))
    assert len(links) > 30
    for link in sorted(links - {"/labels"}):  # which says that no label waits
        assert client.get(link.replace("&amp;", "&")).status_code == 200, link


def test_all_that_can_be_put_right_is_one_link_away(client: TestClient) -> None:
    link = re.search(r'href="/all#(part-\d+)">Put something right', client.get("/desk").text)
    assert link
    part = client.get("/all").text.split(f'<section aria-labelledby="{link[1]}">')[1]
    part = part.split("</section>")[0]
    for deed in deeds().values():
        if deed.name.startswith("correct-"):
            assert f'href="{deed.address}"' in part


def test_a_step_and_its_lines_are_put_right_with_the_form_filled_in(
    client: TestClient, house: House
) -> None:
    assert 'href="/desk/right?step=1"' in client.get("/desk").text
    page = client.get("/desk/right?step=1").text
    links = [link.replace("&amp;", "&") for link in re.findall(r'href="(/do/[^"]*)"', page)]
    (step,) = (
        each
        for each in listed_steps(Context(house.store), ListSteps(everything=True))
        if each.step.number == 1
    )
    assert len(links) == 5 + 4 * len(step.lines)
    for link in links:
        assert client.get(link).status_code == 200, link
    line = next(link for link in links if "correct-line" in link and "what=1.2" in link)
    form = client.get(line).text
    assert 'name="what" value="1.2"' in form
    sent = {"what": "1.2", "text": "5 M6x25 hex bolt", "back": "/desk/right?step=1", "key": "k"}
    told = client.post("/do/correct-line", data=sent)
    assert told.url.path == "/desk/right"
    assert '<span class="number">5</span>' in told.text
    assert client.get("/desk/right?step=99").status_code == 404


def test_an_entry_is_undone_from_the_desk(client: TestClient) -> None:
    assert 'name="back" value="/desk"' in client.get("/desk").text
    sent = {"number": "3", "by": "act", "back": "/desk", "key": "u"}
    told = client.post("/do/undo", data=sent)
    assert told.url.path == "/desk"
    assert "<s>" in told.text


def test_another_machine_is_chosen_on_the_desk(client: TestClient, house: House) -> None:
    add_machine(Context(house.store), AddMachine("Tern 50"))
    page = client.get("/desk").text
    assert 'name="machine" value="Orrick Plover"' in page
    chosen = client.post("/machine", data={"machine": "Tern 50", "back": "/desk"})
    assert chosen.url.path == "/desk"
    assert "Nothing to show yet" in chosen.text
    assert 'href="/strip"' in chosen.text


def test_a_record_without_a_machine_says_how_to_begin(tmp_path) -> None:  # type: ignore[no-untyped-def]
    where = tmp_path / "new.db"
    with (
        open_store(str(where), create=True) as store,
        client_of(House(store, str(where))) as client,
    ):
        page = client.get("/desk")
        assert page.status_code == 200
        assert "Add a machine first" in page.text
        assert client.get("/desk/follow").json() == {"act": 0, "seen": None}
        sent = {"name": "Tern 50", "back": "/desk", "key": "first"}
        added = client.post("/do/machine-add", data=sent)
        assert added.url.path == "/desk"
        assert "Nothing to show yet" in added.text


def test_a_name_that_is_far_too_long_is_refused_with_the_page_whole(client: TestClient) -> None:
    told = client.post("/do/machine-add", data={"name": "W" * 1000, "back": "/desk", "key": "w"})
    assert told.status_code == 422
    assert "W" * 1000 in told.text
    assert "Orrick Plover" in client.get("/desk").text


def test_names_do_no_harm(address: str, house: House, opened) -> None:  # type: ignore[no-untyped-def]
    at = Context(house.store)
    add_machine(at, AddMachine(NASTY))
    strip(at, Strip(f"{NASTY} & <b>x</b>", '"><img src=x>', ("1 gasket",)))
    with opened(DESK) as page:
        said: list[str] = []
        page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.dismiss()))
        page.goto(f"{address}/desk")
        expect(page.locator("h1")).to_have_text(NASTY)
        page.locator("details").first.evaluate("each => each.open = true")
        expect(page.locator(".steps .what")).to_contain_text('"><img src=x>')
        assert page.locator("main img, main b").count() == 0
        assert not said


def test_every_size_is_as_wide_as_its_screen_and_asks_nobody_else(  # type: ignore[no-untyped-def]
    address: str, begun_rebuild: House, opened
) -> None:
    at = Context(begun_rebuild.store)
    add_machine(at, AddMachine("W" * 80))
    longest = Context(begun_rebuild.store, machine="WWW")
    strip(longest, Strip("Engine/" + "G" * 60, "a" * 100, ("4 M6x25 hex",)))
    for size in (PHONE, TABLET, DESK):
        with opened(size) as page:
            asked: list[str] = []
            page.on("request", lambda request, asked=asked: asked.append(request.url))
            for path in ("/desk", "/desk/log", "/desk/right?step=1"):
                page.goto(address + path)
                expect(page.locator("h1")).to_be_visible()
                wide = page.evaluate("document.documentElement.scrollWidth")
                assert wide <= size[0], (size, path)
            assert asked
            assert all(url.startswith(f"{address}/") for url in asked)


def test_axe_finds_nothing(address: str, begun_rebuild: House, opened) -> None:  # type: ignore[no-untyped-def]
    axe = Axe()
    with opened(DESK, bypass_csp=True) as page:
        for path in ("/desk", "/desk/log", "/desk/right?step=1"):
            page.goto(address + path)
            for each in page.locator("details").all():
                each.evaluate("each => each.open = true")
            found = axe.run(page)
            assert found.violations_count == 0, found.generate_report()


def test_the_desk_follows_in_a_browser(address: str, begun_rebuild: House, opened) -> None:  # type: ignore[no-untyped-def]
    code = find(Context(begun_rebuild.store), Find("2")).items[0].now[0].place
    with ExitStack() as both:
        desk = both.enter_context(opened(DESK))
        phone = both.enter_context(opened(PHONE))
        desk.goto(f"{address}/desk")
        expect(desk.locator("#open")).to_contain_text("labels due")
        phone.goto(f"{address}/bag/{code}")
        strip_of = desk.locator("#follow")
        expect(strip_of).to_contain_text(f"bag {code}")
        before = desk.locator(".acts li").first.inner_text()
        brakes = desk.locator("details[data-path=Brakes]")
        brakes.evaluate("each => each.open = false")
        brakes.locator("> summary").focus()
        refit(Context(begun_rebuild.store), Refit("2"))
        expect(desk.locator(".acts li").first).not_to_have_text(before)
        expect(brakes.locator(".count")).to_have_text("1 of 1 on")
        expect(brakes).not_to_have_attribute("open", "")
        expect(brakes.locator("> summary")).to_be_focused()
        strip_of.get_by_role("link").click()
        expect(desk).to_have_url(re.compile(rf"/bag/{code}$"))


def test_the_steps_of_a_large_machine_are_fetched_when_they_are_opened(  # type: ignore[no-untyped-def]
    address: str, house: House, opened
) -> None:
    at = Context(house.store)
    for number in range(IN_FULL):
        strip(at, Strip("Frame" if number % 2 else "Fork/Left", f"plate {number}", ("1 gasket",)))
    with opened(DESK) as page:
        page.goto(f"{address}/desk")
        fork = page.locator("details[data-path='Fork']")
        fork.locator("> summary").click()
        left = page.locator("details[data-path='Fork / Left']")
        left.locator("> summary").click()
        expect(left.locator(".steps li")).to_have_count(IN_FULL // 2)
        expect(left.locator(".steps")).to_contain_text("plate 4")
        strip(at, Strip("Fork/Left", "last plate", ("1 gasket",)))
        expect(left.locator(".steps li")).to_have_count(IN_FULL // 2 + 1)


def test_the_desk_works_without_script(address: str, begun_rebuild: House, opened) -> None:  # type: ignore[no-untyped-def]
    with opened(DESK, java_script_enabled=False) as page:
        page.goto(f"{address}/desk")
        page.get_by_role("link", name="Labels that are due").click()
        expect(page).to_have_url(f"{address}/labels")
        page.goto(f"{address}/desk")
        page.locator(".acts").get_by_role("button", name="Undo").first.click()
        expect(page.locator(".told")).to_contain_text("Undone")
