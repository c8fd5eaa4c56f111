"""Pictures at the command line: taken in once, tied to what they show, on the sheets."""

from datetime import datetime, timedelta
from pathlib import Path

import pdfplumber
import pytest
import qrcode
from conftest import Bench
from PIL import Image

from stores.usecases.pictures import PicturesTaken, UnclearLabels
from stores.wording.pictures import taken


def picture(path: Path, *, code: str = "", taken: datetime | None = None, shade: int = 90) -> Path:
    image = Image.new("RGB", (900, 600), (shade, 120, 200 - shade))
    if code:
        made = qrcode.make(f"{code}\nEngine, step 1", box_size=9, border=4).get_image()
        image.paste(made.convert("RGB"), (80, 80))
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
    image.save(path, quality=90, exif=exif)
    return path


@pytest.fixture
def folder(tmp_path: Path, clutch: Bench) -> Path:
    """Five pictures in a row: one shows the label of bag A001N, one that of another bag."""
    clutch("strip", "Engine", "oil cap")
    made = tmp_path / "a folder of pictures"
    made.mkdir()
    start = datetime(2026, 3, 4, 10, 0)  # noqa: DTZ001 - a camera's clock has no zone
    for at, code in enumerate(("", "A001N", "", "A003J", "")):
        picture(made / f"P{at}.jpg", code=code, taken=start + timedelta(minutes=at), shade=20 * at)
    return made


def test_what_became_of_pictures_is_said_and_offers_are_answered(
    clutch: Bench, folder: Path
) -> None:
    (folder / "a text.jpg").write_text("no picture")
    (folder / "list.txt").write_text("no picture")
    said = clutch("photo", "add", str(folder))
    for words in (
        "5 new on Orrick Plover, numbered 1 to 5",
        "     1  filed under bag A001N",
        "     2  offered to bag A001N",
        "     1  offered to bag A003J",
        "a text.jpg: not a picture",
        "- not pictures, skipped: list.txt",
        "If that is right: stores photo accept",
    ):
        assert words in said
    assert "bag A001N?" in clutch("photo", "list", "--offered")
    assert clutch("photo", "accept", "3", "--no") == "1 refused: bag A001N\n"
    assert clutch("photo", "accept") == "2 accepted: bag A001N, bag A003J\n"
    again = clutch("photo", "add", str(folder))
    assert again.startswith("No new picture.\n5 already on record, kept once\n")
    assert "no fault" in clutch("record", "audit")


def test_what_became_of_pictures_as_json(clutch: Bench, folder: Path) -> None:
    (folder / "a text.jpg").write_text("no picture")
    reply = clutch.json("photo", "add", str(folder))
    assert reply["numbers"] == [1, 2, 3, 4, 5]
    assert reply["filed"] == {"bag A001N": 1, "bag A003J": 1}
    assert reply["offered"] == {"bag A001N": 2, "bag A003J": 1}
    assert [each["reason"] for each in reply["refused"]] == ["not a picture"]
    listed = clutch.json("photo", "list", "--offered")
    assert listed["machine"] == "Orrick Plover"
    assert [(each["number"], each["filed"][0]["bag"]) for each in listed["pictures"]] == [
        (1, "A001N"), (3, "A001N"), (5, "A003J"),
    ]  # fmt: skip


def test_labels_that_file_nothing_are_said(clutch: Bench, tmp_path: Path) -> None:
    picture(tmp_path / "a.jpg", code="A997E", shade=10)
    picture(tmp_path / "b.jpg", code="hello", shade=40)
    said = clutch("photo", "add", str(tmp_path / "a.jpg"), str(tmp_path / "b.jpg"))
    assert "- a.jpg: shows A997E, which is no bag here" in said
    assert "- b.jpg: shows a code that is no bag's" in said
    several = UnclearLabels("c.jpg", ("A001N", "A003J"), ("C400T", "C401R"), ("x", "y"))
    (note,) = taken(PicturesTaken(act=1, machine="Orrick Plover", unclear=(several,))).notes
    assert note == (
        "- c.jpg: shows the labels of A001N and A003J: offered to both; "
        "shows C400T and C401R, which are no bags here; shows other codes"
    )


def test_a_cameras_clock_is_said_once(clutch: Bench, tmp_path: Path) -> None:
    now = datetime.now()  # noqa: DTZ005 - a camera's clock has no zone
    for at, name in enumerate(("a.jpg", "b.jpg")):
        picture(tmp_path / name, taken=now + timedelta(minutes=52, seconds=at), shade=40 * at)
    reply = clutch("photo", "add", str(tmp_path / "a.jpg"), "--fast", "1:02")
    assert "offered to step 1" in reply
    assert "as last time" not in reply
    reply = clutch("photo", "add", str(tmp_path / "b.jpg"))
    assert "- the camera's clock: 1:02 fast, as last time; if not, say --fast" in reply


def test_pictures_are_tied_by_hand_and_captioned(clutch: Bench, folder: Path) -> None:
    clutch("photo", "add", str(folder), "--to", "1", "--caption", "as found")
    tied = clutch("photo", "file", "2-3", "1.2")
    assert tied == "Picture 2 to 3 filed under 1.2 M6 x 25 hex bolt\n"
    both = clutch("photo", "file", "4", "A001N", "1.1")
    assert both == "Picture 4 filed under bag A001N and 1.1 clutch cover\n"
    assert clutch("photo", "file", "1", "1", "--off") == "Picture 1 no longer under step 1\n"
    assert clutch("photo", "caption", "4,5", "shims") == "Picture 4 to 5: shims\n"
    assert clutch("photo", "caption", "4", "") == "Picture 4: no caption\n"


def test_the_sheets_show_number_step_bag_and_caption(
    clutch: Bench, folder: Path, tmp_path: Path
) -> None:
    clutch("photo", "add", str(folder))
    clutch("photo", "accept")
    clutch("photo", "caption", "2", "shims behind the cover")
    path = tmp_path / "index.pdf"
    clutch("photo", "sheets", "--out", str(path), "--per-page", "6")
    with pdfplumber.open(path) as pdf:
        text = " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)
    for words in ("A001N", "A003J", "Step 1", "shims behind the cover", "Orrick Plover", "4 Mar"):
        assert words in text
    assert "no picture of assembly" in clutch.refused("photo", "sheets", "Wheels")


def test_a_picture_of_two_steps_is_printed_under_both_a_snags_under_its_snag(
    clutch: Bench, folder: Path, tmp_path: Path
) -> None:
    """Read back from the index: what stands below each of two pictures, with its file's name."""
    first = str(folder / "P0.jpg")
    clutch("photo", "add", first, "--to", "1")
    clutch("photo", "file", "1", "2")
    clutch("photo", "add", str(folder / "P2.jpg"), "--to", "1")
    clutch("snag", "2", "leak", "cap weeps", "--side", "left", "--picture", "2")
    shown = clutch("photo", "list")
    assert "step 1, snag 1" in shown
    assert "P2.jpg" in shown
    path = tmp_path / "index.pdf"
    said = clutch("photo", "sheets", "--out", str(path))
    assert said.startswith("2 pictures on 3 sheets of A4")
    with pdfplumber.open(path) as pdf:
        front, engine, below = [page.extract_text() for page in pdf.pages]
        counts = [len(page.images) for page in pdf.pages]
    if "Engine / Clutch" in engine.splitlines()[0]:
        engine, below = below, engine
    assert "2 pictures of 2 assemblies" in front
    assert counts == [0, 2, 2]
    assert below.count("Step 1") == 2
    assert "Snag" not in below
    assert engine.count("Step 2") == 2
    assert "Step 2, snag 1" in engine
    assert "Snag 1, leak: cap weeps, left" in " ".join(engine.split())
    for text in (engine, below):
        assert "P0.jpg" in text
        assert "P2.jpg" in text
    book = tmp_path / "book.pdf"
    clutch("machine", "book", str(book))
    with pdfplumber.open(book) as pdf:
        words = " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)
    assert "2 snag 1, leak: cap" in words


REFUSED = {
    "no such folder": (["photo", "add", "/no/such/folder"], "no file or folder"),
    "to a step of none": (["photo", "add", ".", "--to", "9"], "no step 9"),
    "a clock of words": (["photo", "add", ".", "--fast", "soon"], "hours and minutes"),
    "a number of none": (["photo", "file", "7", "1"], "no picture 7"),
    "a number upside down": (["photo", "file", "5-2", "1"], "smaller number first"),
    "a number of words": (["photo", "caption", "first", "x"], "not the number"),
    "nothing offered": (["photo", "accept"], "no picture waits"),
    "sheets of nothing": (["photo", "sheets"], "no picture"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_bad_input_is_one_line_and_changes_nothing(clutch: Bench, case: str) -> None:
    words, reason = REFUSED[case]
    assert reason in clutch.refused(*words)


def test_hole_cards_are_full_size(clutch: Bench, tmp_path: Path) -> None:
    """Four holes on 72 mm: neighbours are 72/sqrt(2) mm apart, read back from the PDF."""
    clutch("figure", "joint", "1", "4 on 72")
    path = tmp_path / "card.pdf"
    out = clutch("figure", "joint", "1", "--card", str(path))
    assert "Print at 100 %" in out
    with pdfplumber.open(path) as pdf:
        text = pdf.pages[0].extract_text()
    assert "FULL SIZE" in text
    assert "A001N" in text


def test_a_copy_says_what_it_holds_and_the_text_what_it_does_not(
    clutch: Bench, folder: Path, tmp_path: Path
) -> None:
    clutch("photo", "add", str(folder))
    stick = tmp_path / "stick"
    stick.mkdir()
    said = clutch("record", "copy", str(stick / "orrick.db"))
    assert "Opened and checked: 1 machine, 4 entries and 5 pictures (1 MB)." in said
    assert f"keep both together:\n{stick / 'orrick.pictures'}\n" in said
    assert "no fault" in Bench(stick / "orrick.db")("record", "audit")
    words = "5 pictures are not in this text: for a copy with pictures use stores record copy FILE"
    assert words in " ".join(clutch("record", "export", str(tmp_path / "a.jsonl")).split())
    shown = clutch.type("record", "export", "-")
    assert words in " ".join(shown.err.split())
    assert words not in " ".join(shown.out.split())
    again = Bench(tmp_path / "again.db")("record", "reload", str(tmp_path / "a.jsonl"))
    assert "5 pictures on record, 5 of them not here" in " ".join(again.split())


def test_lost_pictures_are_faults_and_can_be_added_again(
    clutch: Bench, folder: Path, tmp_path: Path
) -> None:
    clutch("photo", "add", str(folder))
    kept = tmp_path / "stores.pictures"
    kept.rename(tmp_path / "gone")
    checked = clutch.type("record", "audit")
    assert checked.status == 1
    assert checked.out.count("its kept file is missing") == 5
    assert "no fault" in clutch("record", "audit", "--pictures", str(tmp_path / "gone"))
    lacking = " ".join(clutch("record", "copy", str(tmp_path / "copy.db")).split())
    assert "! 5 pictures are not in the copy, the kept file here is gone or spoilt" in lacking
    again = clutch("photo", "add", str(folder))
    assert "5 kept again, the kept file was missing or overwritten: picture 1 to 5" in again
    assert "already on record" not in again
    assert "no fault" in clutch("record", "audit")


def test_where_no_picture_is_taken_the_status_says_so(bench: Bench, tmp_path: Path) -> None:
    (tmp_path / "note.jpg").write_text("no picture")
    before = bench.everything()
    reply = bench.type("photo", "add", str(tmp_path / "note.jpg"))
    assert (reply.status, reply.out) == (1, "")
    assert reply.err.startswith("stores: no picture was taken: ")
    assert reply.err.count("\n") == 1
    assert bench.everything() == before
    picture(tmp_path / "cover.jpg")
    both = bench.type("photo", "add", str(tmp_path / "note.jpg"), str(tmp_path / "cover.jpg"))
    assert both.status == 0
