"""Pictures at the command line: taken in once, tied to what they show, on the sheets."""

from datetime import datetime, timedelta
from pathlib import Path

import pdfplumber
import pytest
import qrcode
from conftest import Bench
from PIL import Image

from stores.usecases.pictures import bag_code_of


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


def shows(bench: Bench) -> list[list[tuple[str, str]]]:
    return [
        [(tie["what"], tie["how"]) for tie in each["filed"]] for each in bench.json("photo", "list")
    ]


def test_a_picture_of_a_label_is_filed_and_those_after_it_are_offered(
    clutch: Bench, folder: Path
) -> None:
    reply = clutch.json("photo", "add", str(folder))
    assert reply["numbers"] == [1, 2, 3, 4, 5]
    assert shows(clutch)[1:] == [
        [("bag A001N", "by label")],
        [("bag A001N", "offered by label")],
        [("bag A003J", "by label")],
        [("bag A003J", "offered by label")],
    ]
    clutch("photo", "accept")
    assert shows(clutch)[2] == [("bag A001N", "by label")]
    assert "no fault" in clutch("audit")


def timed(path: Path, taken: datetime, shade: int) -> Path:
    return picture(path, taken=taken, shade=shade)


def test_a_picture_is_filed_by_its_time_and_the_clock_is_said_once(
    clutch: Bench, tmp_path: Path
) -> None:
    """Taken while a step was under way, with a camera that is an hour and two minutes fast."""
    now = datetime.now()  # noqa: DTZ005 - a camera's clock has no zone; the step was just recorded
    fast = timedelta(hours=1, minutes=2)
    one, two, three = (tmp_path / name for name in ("one", "two", "three"))
    for folder in (one, two, three):
        folder.mkdir()
    before = now - timedelta(minutes=10)
    timed(one / "a.jpg", before + fast, 10)
    timed(two / "b.jpg", before + fast + timedelta(seconds=9), 40)
    timed(three / "c.jpg", before, 70)
    reply = clutch("photo", "add", str(one), "--fast", "1:02")
    assert "filed under step 1" in reply
    reply = clutch("photo", "add", str(two))
    assert "1:02 fast, as last time" in reply
    assert "filed under step 1" in reply
    reply = clutch("photo", "add", str(three), "--fast", "0:00")
    assert "as last time" not in reply
    assert [each[0] for each in shows(clutch)] == [("step 1", "by time")] * 3
    # a clock that was never set files nothing under a wrong step: of another day it says nothing
    timed(tmp_path / "d.jpg", before - timedelta(days=400), 90)
    clutch("photo", "add", str(tmp_path / "d.jpg"))
    assert shows(clutch)[3] == []
    clutch("undo")
    clutch("undo")
    clutch("undo")
    assert len(shows(clutch)) == 1
    timed(tmp_path / "e.jpg", before + fast + timedelta(seconds=20), 120)
    assert "1:02 fast, as last time" in clutch("photo", "add", str(tmp_path / "e.jpg"))
    assert "no fault" in clutch("audit")


def test_offers_can_be_refused_and_the_import_taken_back(clutch: Bench, folder: Path) -> None:
    clutch("photo", "add", str(folder))
    clutch("photo", "accept", "3", "--no")
    assert shows(clutch)[2] == []
    clutch("undo")
    assert shows(clutch)[2] == [("bag A001N", "offered by label")]
    clutch("undo")
    assert clutch.json("photo", "list") == []


def test_each_content_is_kept_once(clutch: Bench, folder: Path) -> None:
    clutch("photo", "add", str(folder))
    (folder / "copy of P1.jpg").write_bytes((folder / "P1.jpg").read_bytes())
    again = clutch.json("photo", "add", str(folder))
    assert again["numbers"] == []
    kept = clutch.file.with_name("stores.pictures")
    assert len([path for path in kept.rglob("*") if path.is_file()]) == 5


def test_what_is_no_picture_is_listed_and_the_rest_taken(clutch: Bench, folder: Path) -> None:
    whole = (folder / "P0.jpg").read_bytes()
    (folder / "cut short.jpg").write_bytes(whole[: len(whole) // 3])
    (folder / "nothing.png").write_bytes(b"")
    (folder / "a text.jpg").write_text("no picture")
    reply = clutch.json("photo", "add", str(folder))
    assert len(reply["numbers"]) == 5
    assert len(reply["refused"]) == 3
    assert all(any(name in line for line in reply["refused"]) for name in ("cut short", "a text"))


def test_pictures_are_tied_by_hand_and_captioned(clutch: Bench, folder: Path) -> None:
    clutch("photo", "add", str(folder), "--to", "1", "--caption", "as found")
    assert shows(clutch) == [[("step 1", "by hand")]] * 5
    clutch("photo", "file", "2-3", "1.2")
    clutch("photo", "file", "1", "1", "--off")
    assert shows(clutch)[0] == []
    assert ("1.2", "by hand") in shows(clutch)[1]
    clutch("photo", "caption", "4,5", "shims")
    assert [each["caption"] for each in clutch.json("photo", "list")][2:] == [
        "as found", "shims", "shims",
    ]  # fmt: skip


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


REFUSED = {
    "no such folder": (["photo", "add", "/no/such/folder"], "no file or folder"),
    "to a step of none": (["photo", "add", ".", "--to", "9"], "no step 9"),
    "a clock of words": (["photo", "add", ".", "--fast", "soon"], "hours and minutes"),
    "a number of none": (["photo", "file", "7", "1"], "no picture 7"),
    "a number upside down": (["photo", "file", "5-2", "1"], "smaller number first"),
    "a number of words": (["photo", "caption", "first", "x"], "not the number"),
    "nothing offered": (["photo", "accept"], "no picture is offered"),
    "sheets of nothing": (["photo", "sheets"], "no picture"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_bad_input_is_one_line_and_changes_nothing(clutch: Bench, case: str) -> None:
    words, reason = REFUSED[case]
    assert reason in clutch.refused(*words)


def test_a_code_that_is_misread_is_no_bag() -> None:
    """ISO 7064: the check letter of A001N is N."""
    assert bag_code_of("A001N\nEngine") == "A001N"
    assert bag_code_of("A001K\nEngine") is None
    assert bag_code_of("hello") is None
    assert bag_code_of("") is None


def test_hole_cards_are_full_size(clutch: Bench, tmp_path: Path) -> None:
    """Four holes on 72 mm: neighbours are 72/sqrt(2) mm apart, read back from the PDF."""
    clutch("joint", "1", "4 on 72")
    path = tmp_path / "card.pdf"
    out = clutch("joint", "1", "--card", str(path))
    assert "Print at 100 %" in out
    with pdfplumber.open(path) as pdf:
        text = pdf.pages[0].extract_text()
    assert "FULL SIZE" in text
    assert "A001N" in text
