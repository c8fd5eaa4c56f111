"""Pictures sent with a step, by themselves and by the card full; offered, filed, looked at."""

import io
import re
import sqlite3
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from browsing import DESK, PHONE
from PIL import Image
from playwright.sync_api import expect
from sent_pictures import NOT_PICTURES, jpeg, photograph, printed_label, saved
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.pictures import ListPictures, TakePictures, pictures, take_pictures
from stores.web import forms
from stores.web.uploads import MOST_BATCHES, safe_name
from stores.web.visit import House

STEP = {"assembly": "Engine", "part": "rocker cover", "lines": "4 M6x20 hex\n1 gasket"}
THREE = [("photos", ("image.jpg", jpeg(shade), "image/jpeg")) for shade in (10, 20, 30)]


def on_record(house: House) -> list[tuple[str, list[str]]]:
    known = pictures(Context(house.store), ListPictures()).pictures
    return [(each.name, [tie.what for tie in each.kept]) for each in known]


# With a step


def test_a_step_and_its_pictures_are_one_submission(client: TestClient, house: House) -> None:
    answer = client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    assert answer.url.path == "/told"
    assert "rocker cover" in answer.text
    assert "3 new on Orrick Plover" in answer.text
    assert on_record(house) == [
        ("image.jpg", ["step 3"]),
        ("image_2.jpg", ["step 3"]),
        ("image_3.jpg", ["step 3"]),
    ]


def test_a_step_sent_again_with_its_pictures_doubles_neither(
    client: TestClient, house: House
) -> None:
    client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    again = client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    assert again.status_code == 409
    assert "Its pictures are on record too" in again.text
    assert len(on_record(house)) == 3
    assert client.get("/").text.count("rocker cover") == 1


def test_pictures_that_were_not_reached_come_with_the_step_sent_again(
    client: TestClient, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> None:
        raise RuntimeError("the power went")

    with monkeypatch.context() as patched:
        patched.setattr(forms, "_taken", stopped)
        with pytest.raises(RuntimeError):
            client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    assert on_record(house) == []
    again = client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    assert again.status_code == 409
    assert "3 new on Orrick Plover" in again.text
    assert [ties for _, ties in on_record(house)] == [["step 3"]] * 3
    assert client.get("/").text.count("rocker cover") == 1


@pytest.mark.parametrize("kind", ["drawing", "text", "broken", "bomb"])
def test_a_step_stays_where_its_pictures_are_refused(
    client: TestClient, house: House, kind: str
) -> None:
    sent = [("photos", NOT_PICTURES[kind]), ("photos", ("good.jpg", jpeg()))]
    answer = client.post("/do/strip", data=STEP | {"key": "one"}, files=sent)
    assert answer.url.path == "/told"
    assert "rocker cover" in answer.text
    assert f"not taken: {NOT_PICTURES[kind][0]}: " in answer.text
    assert on_record(house) == [("good.jpg", ["step 3"])]


def test_a_step_stays_where_no_picture_can_be_kept(
    client: TestClient, house: House, tmp_path: Path
) -> None:
    (tmp_path / "stores.pictures").write_text("a file where the folder should be")
    answer = client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    assert answer.url.path == "/told"
    assert "It is recorded, its pictures are not." in answer.text
    assert on_record(house) == []
    assert client.get("/").text.count("rocker cover") == 1


def test_too_many_pictures_are_refused_before_the_step(client: TestClient, house: House) -> None:
    eleven = [("photos", (f"{n}.jpg", jpeg(n))) for n in range(11)]
    answer = client.post("/do/strip", data=STEP | {"key": "one"}, files=eleven)
    assert answer.status_code == 422
    assert "at most 10 pictures in one go" in answer.text
    assert 'value="rocker cover"' in answer.text
    assert "rocker cover" not in client.get("/").text


def test_a_refused_step_and_a_trial_keep_no_picture(client: TestClient, house: House) -> None:
    client.post("/do/strip", data=STEP | {"key": "one", "lines": "0 M6"}, files=THREE)
    client.post("/do/strip", data=STEP | {"key": "one", "trial": "1"}, files=THREE)
    assert on_record(house) == []


def test_a_step_with_pictures_is_undone(client: TestClient, house: House) -> None:
    client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    undo(Context(house.store), Undo(3, "step"))
    assert [ties for _, ties in on_record(house)] == [[]] * 3


def test_pictures_chosen_on_a_phone_survive_a_refusal(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    files = [tmp_path / "before.jpg", tmp_path / "after.jpg"]
    for shade, each in enumerate(files):
        each.write_bytes(jpeg(shade))
    with opened(PHONE) as page:
        page.goto(f"{address}/do/strip")
        page.fill("[name=assembly]", "Engine")
        page.fill("[name=part]", "rocker cover")
        page.fill("[name=lines]", "0 M6x20 hex")
        page.locator("[name=photos]").set_input_files(files)
        page.get_by_role("button", name="Record it").click()
        expect(page.get_by_role("alert")).to_contain_text("Not recorded")
        page.fill("[name=lines]", "4 M6x20 hex")
        page.get_by_role("button", name="Record it").click()
        page.wait_for_url("**/told?*")
        expect(page.locator(".told")).to_contain_text("2 new on Orrick Plover")
    assert sorted(on_record(house)) == [("after.jpg", ["step 3"]), ("before.jpg", ["step 3"])]


def test_a_step_undone_and_entered_again_gets_its_pictures(
    client: TestClient, house: House
) -> None:
    client.post("/do/strip", data=STEP | {"key": "one"}, files=THREE)
    undo(Context(house.store), Undo(3, "step"))
    client.post("/do/strip", data=STEP | {"key": "two"}, files=THREE)
    assert [ties for _, ties in on_record(house)] == [["step 4"]] * 3


def test_a_step_with_pictures_waits_for_the_network(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    (tmp_path / "before.jpg").write_bytes(jpeg())
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.fill("#part", "rocker cover")
        page.fill("#assembly", "Engine")
        page.fill("#lines", "4 M6x20 hex")
        page.locator("#photos").set_input_files(tmp_path / "before.jpg")
        page.context.set_offline(True)
        page.get_by_role("button", name="Record it").click()
        expect(page.locator("#waiting")).to_contain_text("1 waiting to be sent")
        page.context.set_offline(False)
        expect(page.locator("#waiting")).to_be_hidden(timeout=15_000)
    assert on_record(house) == [("before.jpg", ["step 3"])]


def test_pictures_too_heavy_for_one_form_go_ahead_one_by_one(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    files = [tmp_path / f"{shade}.jpg" for shade in range(10)]
    for shade, each in enumerate(files):
        each.write_bytes(jpeg(shade) + bytes(2_500_000))  # what follows a picture's end is not read
    sent: list[str] = []
    with opened(PHONE) as page:
        page.goto(f"{address}/strip")
        page.on("request", lambda each: each.method == "POST" and sent.append(each.url))
        page.fill("#part", "rocker cover")
        page.fill("#assembly", "Engine")
        page.fill("#lines", "4 M6x20 hex")
        page.locator("#photos").set_input_files(files)
        page.get_by_role("button", name="Record it").click()
        expect(page.locator(".told")).to_contain_text("10 new on Orrick Plover")
    asked = [path for each in sent if (path := urlsplit(each).path) != "/strip/understood"]
    assert asked == ["/pictures/held"] * 10 + ["/do/strip"]
    assert [ties for _, ties in on_record(house)] == [["step 3"]] * 10


def test_a_step_sent_again_with_pictures_that_went_ahead_doubles_neither(
    client: TestClient, house: House
) -> None:
    key = "k" * 32
    for answered in (200, 409):
        for shade in (1, 2, 2):  # one of them twice, because the network went between
            held = {"paths": ("image.jpg", jpeg(shade))}
            client.post("/pictures/held", data={"held": key}, files=held)
        answer = client.post("/do/strip", data=STEP | {"key": key, "held": key})
        assert answer.status_code == answered
        assert house.holding.files(key) == ()
    assert [ties for _, ties in on_record(house)] == [["step 3"]] * 2


# What a sender calls a file


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../../etc/passwd", "passwd"),
        ("..\\..\\windows\\win.ini", "win.ini"),
        ("/etc/cron.d/x.jpg", "x.jpg"),
        ("<img src=x onerror=alert(1)>.jpg", "img srcx onerroralert(1).jpg"),
        ("a\nb\x00c\u202egpj.jpg", "abcgpj.jpg"),
        ("..", "picture"),
        ("", "picture"),
        (None, "picture"),
        ("Ölfilter vorn (2).JPG", "Ölfilter vorn (2).JPG"),
        ("x" * 5000 + ".jpg", "x" * 74 + ".jpg"),
        (".htaccess", "htaccess"),
        ("~/.ssh/id", "id"),
    ],
)
def test_a_file_gets_a_name_of_ours(sent: str | None, kept: str) -> None:
    assert safe_name(sent) == kept


@pytest.mark.parametrize(
    "name", ["../../../../etc/x.jpg", "..\\x.jpg", "<script>alert(1)</script>.jpg", '"><b>.jpg']
)
def test_no_name_of_a_senders_gets_anywhere(
    client: TestClient, house: House, tmp_path: Path, name: str
) -> None:
    before = {each for each in tmp_path.rglob("*") if each.is_file()}
    answer = client.post(
        "/do/pictures", data={"key": "k", "to": "1"}, files=[("paths", (name, jpeg()))]
    )
    assert answer.status_code == 200
    ((kept, ties),) = on_record(house)
    assert ties == ["step 1"]
    assert not set(kept) & set("/\\<>\"'&")
    for page in (answer, client.get("/pictures"), client.get("/ask/pictures")):
        assert "<script>alert" not in page.text
        assert "<b>" not in page.text.replace("<b>1</b>", "")
    new = {each for each in tmp_path.rglob("*") if each.is_file()} - before
    assert {each.parent.parent.name for each in new if each.suffix == ".jpg"} == {"stores.pictures"}


# By themselves


def test_the_labels_in_pictures_file_them_and_offers_are_answered(
    client: TestClient, house: House, record: Path, tmp_path: Path
) -> None:
    label = printed_label(record, "A001N", tmp_path)
    seen = saved(photograph(label, (1600, 1200)), tmp_path / "2.jpg").read_bytes()
    sent = [
        ("paths", ("2.jpg", seen)),
        ("paths", ("3.jpg", jpeg(3))),
        ("paths", ("4.jpg", jpeg(4))),
    ]
    answer = client.post("/do/pictures", data={"key": "k"}, files=sent)
    assert "filed under bag A001N" in answer.text
    assert "offered to bag A001N" in answer.text
    assert on_record(house) == [("2.jpg", ["bag A001N"]), ("3.jpg", []), ("4.jpg", [])]
    page = client.get("/pictures").text
    assert "2 wait for a yes" in page
    assert page.count("<b>Bag A001N</b>: clutch cover, Engine / Clutch?") == 2
    yes = client.post("/do/offers", data={"key": "y", "numbers": "2", "back": "/pictures"})
    assert yes.url.path == "/pictures"
    client.post("/do/offers", data={"key": "n", "numbers": "3", "refuses": "1"})
    assert on_record(house) == [("2.jpg", ["bag A001N"]), ("3.jpg", ["bag A001N"]), ("4.jpg", [])]
    page = client.get("/pictures").text
    assert "Is this right" not in page
    assert "Tied to nothing: 1" in page


def test_pictures_are_filed_and_captioned(client: TestClient, house: House) -> None:
    client.post("/do/pictures", data={"key": "k"}, files=[("paths", ("a.jpg", jpeg()))])
    client.post("/do/offers", data={"key": "n", "refuses": "1"})
    client.post("/do/file-pictures", data={"key": "f", "numbers": "1", "to": "1\n2"})
    client.post("/do/caption", data={"key": "c", "numbers": "1", "text": "shims <left>"})
    assert on_record(house) == [("a.jpg", ["step 1", "step 2"])]
    assert "shims &lt;left&gt;" in client.get("/pictures").text
    off = {"key": "o", "numbers": "1", "to": "2", "takes_off": "1"}
    assert client.post("/do/file-pictures", data=off).status_code == 200
    assert on_record(house) == [("a.jpg", ["step 1"])]


def test_no_picture_chosen_is_said(client: TestClient) -> None:
    answer = client.post("/do/pictures", data={"key": "k", "to": "1"})
    assert answer.status_code == 422
    assert "no picture was chosen" in answer.text


# A card full


def test_pictures_held_are_taken_in_together_and_let_go(client: TestClient, house: House) -> None:
    key = "k" * 22
    for shade in range(3):
        held = {"paths": ("image.jpg", jpeg(shade))}
        assert client.post("/pictures/held", data={"held": key}, files=held).json() == {
            "held": shade + 1
        }
    folder = house.holding.files(key)[0].parent
    assert len(list(folder.iterdir())) == 3
    client.post("/do/pictures", data={"key": key, "held": key, "to": "1"})
    assert [ties for _, ties in on_record(house)] == [["step 1"]] * 3
    assert not folder.exists()


def test_what_is_held_and_never_taken_in_gives_way(client: TestClient, house: House) -> None:
    for number in range(MOST_BATCHES + 1):
        key = f"{number}" * 20
        client.post("/pictures/held", data={"held": key}, files={"paths": ("a.jpg", jpeg())})
        if number == 0:
            first = house.holding.files(key)[0]
            assert first.exists()
    assert not first.exists()
    assert house.holding.files("0" * 20) == ()
    assert len(house.holding.files(f"{MOST_BATCHES}" * 20)) == 1


@pytest.mark.parametrize("key", ["", "short", "../../../../../../etc/passwd", "x" * 65])
def test_pictures_are_held_under_a_key_of_ours_only(client: TestClient, key: str) -> None:
    sent = {"paths": ("a.jpg", jpeg())}
    assert client.post("/pictures/held", data={"held": key}, files=sent).status_code == 422


def test_a_card_full_is_sent_one_by_one_with_a_bar(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    folder = tmp_path / "card"
    folder.mkdir()
    for shade in range(12):
        (folder / f"{shade}.jpg").write_bytes(jpeg(shade * 20))
    (folder / "notes.txt").write_text("no picture")
    sent: list[str] = []
    with opened(DESK) as page:
        page.goto(f"{address}/pictures")
        page.on("request", lambda each: each.method == "POST" and sent.append(each.url))
        page.evaluate(
            """() => {
                const said = [];
                const line = document.querySelector("[data-progress] p");
                const watch = new MutationObserver(() => said.push(line.textContent));
                watch.observe(line, { childList: true });
                const keep = () => sessionStorage.setItem("said", said.join("|"));
                window.addEventListener("pagehide", keep);
            }"""
        )
        page.fill("[name=to]", "1")
        page.locator("[name=paths]").set_input_files(sorted(folder.iterdir()))
        page.get_by_role("button", name="Add them").click()
        page.wait_for_url("**/pictures?told=*")
        said = page.evaluate("sessionStorage.getItem('said')").split("|")
        expect(page.locator(".told")).to_contain_text("12 new on Orrick Plover")
        expect(page.get_by_role("heading", name="Filed: 12")).to_be_visible()
    assert [urlsplit(each).path for each in sent] == ["/pictures/held"] * 12 + ["/do/pictures"]
    assert said[:2] == ["0 of 12 sent", "1 of 12 sent"]
    assert said[-1].startswith("12 of 12 sent.")
    assert len(on_record(house)) == 12


def test_a_card_full_goes_on_after_the_network_was_gone(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    files = []
    for shade in range(4):
        files.append(tmp_path / f"{shade}.jpg")
        files[-1].write_bytes(jpeg(shade * 20))
    came = []
    with opened(DESK) as page:
        page.goto(f"{address}/pictures")

        def flaky(route) -> None:  # type: ignore[no-untyped-def]
            came.append(1)
            if 3 <= len(came) <= 5:  # the third picture, all its tries
                route.abort()
            else:
                route.continue_()

        page.route("**/pictures/held", flaky)
        page.clock.install()
        page.locator("[name=paths]").set_input_files(files)
        page.get_by_role("button", name="Add them").click()
        page.clock.run_for(10_000)
        expect(page.get_by_text("The network is gone")).to_be_visible()
        page.get_by_role("button", name="Add them").click()
        page.wait_for_url("**/pictures?told=*")
    assert len(on_record(house)) == 4
    assert len(came) == 3 + 2 + 2


def test_pictures_and_folders_are_dropped_on_the_page(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    (tmp_path / "card" / "sub").mkdir(parents=True)
    for place in ("card/1.jpg", "card/sub/2.jpg", "3.jpg", "card/.hidden.jpg"):
        (tmp_path / place).write_bytes(jpeg(len(place)))
    (tmp_path / "card" / "notes.txt").write_text("no picture")
    with opened(DESK) as page:
        page.goto(f"{address}/pictures")
        box = page.locator(".drop").bounding_box()
        hand = page.context.new_cdp_session(page)
        held = {"items": [], "dragOperationsMask": 1}
        held["files"] = [str(tmp_path / "card"), str(tmp_path / "3.jpg")]
        for kind in ("dragEnter", "dragOver", "drop"):
            at = {"x": box["x"] + 40, "y": box["y"] + 40}
            hand.send("Input.dispatchDragEvent", {"type": kind, "data": held} | at)
        expect(page.locator("[data-progress]")).to_contain_text("ready to be added")
        page.get_by_role("button", name="Add them").click()
        page.wait_for_url("**/pictures?told=*")
    assert sorted(name for name, _ in on_record(house)) == ["1.jpg", "2.jpg", "3.jpg"]


def test_without_script_several_are_sent_in_one_form(
    address: str,
    house: House,
    opened,
    tmp_path: Path,  # type: ignore[no-untyped-def]
) -> None:
    for shade in range(2):
        (tmp_path / f"{shade}.jpg").write_bytes(jpeg(shade))
    with opened(DESK, java_script_enabled=False) as page:
        page.goto(f"{address}/pictures")
        page.locator("[name=paths]").set_input_files(sorted(tmp_path.glob("?.jpg")))
        page.get_by_role("button", name="Add them").click()
        expect(page.locator(".told")).to_contain_text("2 new on Orrick Plover")
    assert len(on_record(house)) == 2


# Looked at


@pytest.fixture
def two(house: House, tmp_path: Path) -> House:
    """A picture that lies on its side, and a PNG."""
    turned = Image.Exif()
    turned[0x0112] = 6  # Exif 2.32, 4.6.4 A: the stored left side is the top
    Image.new("RGB", (800, 600), "teal").save(tmp_path / "a.jpg", exif=turned)
    Image.new("RGB", (40, 30), "teal").save(tmp_path / "b.png")
    paths = [tmp_path / "a.jpg", tmp_path / "b.png"]
    take_pictures(Context(house.store), TakePictures(paths, "1"))
    return house


def test_a_picture_is_given_as_it_is_and_small(
    client: TestClient, two: House, tmp_path: Path
) -> None:
    whole = client.get("/picture/1")
    assert whole.content == (tmp_path / "a.jpg").read_bytes()
    assert whole.headers["content-type"] == "image/jpeg"
    assert whole.headers["x-content-type-options"] == "nosniff"
    assert client.get("/picture/2").headers["content-type"] == "image/png"
    small = client.get("/picture/1/small")
    assert small.headers["content-type"] == "image/jpeg"
    assert Image.open(io.BytesIO(small.content)).size == (360, 480)  # upright
    for path in ("/picture/1", "/picture/1/small"):
        tag = client.get(path).headers["etag"]
        known = client.get(path, headers={"If-None-Match": tag})
        assert (known.status_code, known.content) == (304, b"")


@pytest.mark.parametrize(
    "number",
    ["0", "3", "-1", "1.5", "x", str(2**31), str(10**30), "..%2F..%2Fstores.db", "1%00", "%2e%2e"],
)
def test_only_pictures_on_record_are_given(client: TestClient, two: House, number: str) -> None:
    for path in (f"/picture/{number}", f"/picture/{number}/small"):
        answer = client.get(path)
        assert answer.status_code == 404, path
        assert answer.headers["content-type"].startswith("text/html")


def test_a_picture_taken_back_is_given_no_more(client: TestClient, two: House) -> None:
    assert client.get("/picture/1").status_code == 200
    undo(Context(two.store), Undo())
    assert client.get("/picture/1").status_code == 404
    assert client.get("/picture/1/small").status_code == 404


def test_a_picture_whose_file_is_gone_or_broken_is_said(
    client: TestClient, two: House, tmp_path: Path
) -> None:
    first, second = sorted((tmp_path / "stores.pictures").rglob("*.*"), key=lambda f: f.suffix)
    first.write_bytes(b"<svg onload=alert(1)>")
    second.unlink()
    broken = client.get("/picture/1/small")
    assert broken.status_code == 404
    assert "is not there, or is no picture any more" in broken.text
    assert str(tmp_path) not in broken.text
    assert client.get("/picture/2").status_code == 404
    whole = client.get("/picture/1")  # what is in its place is never taken for a page
    assert (whole.headers["content-type"], whole.headers["x-content-type-options"]) == (
        "image/jpeg",
        "nosniff",
    )


def test_pictures_of_another_machine_are_given_by_its_name(
    client: TestClient, two: House, tmp_path: Path
) -> None:
    add_machine(Context(two.store), AddMachine("Tern 50", kinds=("two-wheeler",)))
    client.cookies.set("machine", "Tern 50")
    assert client.get("/picture/1").status_code == 404
    assert client.get("/picture/1?machine=Orrick Plover").status_code == 200


def test_the_pages_of_pictures_fit_a_phone(address: str, two: House, opened) -> None:  # type: ignore[no-untyped-def]
    with opened(PHONE) as page:
        for path in ("/pictures", "/do/pictures", "/scan", "/", "/ask/pictures"):
            page.goto(address + path)
            assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0], path


def test_a_pictures_row_is_found_by_its_own_number(two: House, record: Path) -> None:
    """One picture is looked up without reading the others: a page asks for sixty at once."""
    from stores.usecases.pictures import SeePicture, kept_picture

    asked: list[str] = []
    kept_picture(Context(two.store), SeePicture(1))
    with sqlite3.connect(record) as plain:
        plan = plain.execute(
            "explain query plan select digest from picture where machine_id = 1 and number = 1"
        ).fetchall()
    asked.extend(row[3] for row in plan)
    assert re.search(r"SEARCH picture USING", asked[0]), asked
