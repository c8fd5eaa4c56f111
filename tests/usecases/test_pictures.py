"""Pictures, asked of the use-cases themselves."""

import shutil
import time
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
import qrcode
from conftest import kept
from PIL import Image

from stores import bagcode
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.photos.keeping import kept_path
from stores.usecases.closing import bound_record
from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.pictures import (
    AnswerOffers,
    CaptionPictures,
    FilePictures,
    ListPictures,
    NotTaken,
    OfferedTo,
    PicturesByState,
    SeePicture,
    SheetPictures,
    TakePictures,
    answer_offers,
    bag_code_of,
    caption_pictures,
    file_pictures,
    kept_picture,
    picture_folder,
    picture_sheets,
    pictures,
    pictures_by_state,
    take_pictures,
)
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.strip import Strip, recorded_step, strip

START = datetime(2026, 3, 4, 10, 0)  # noqa: DTZ001 - a camera's clock has no zone


def picture(
    path: Path, *codes: str, taken: datetime | None = START, shade: int | None = None
) -> Path:
    """A picture of its own content, with what the labels in it say."""
    tone = sum(path.name.encode()) % 250 if shade is None else shade
    image = Image.new("RGB", (1400, 600), (tone, 120, 250 - tone))
    for at, code in enumerate(codes):
        made = qrcode.make(f"{code}\nEngine, step 1", box_size=9, border=4).get_image()
        image.paste(made.convert("RGB"), (80 + 600 * at, 80))
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
    image.save(path, quality=90, exif=exif)
    return path


@kept
def clutch(context: Context) -> Context:
    """Two steps, of two bags, recorded on a day long after the pictures were taken."""
    strip(Context(context.store), Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt"]))
    strip(Context(context.store), Strip("Engine", "oil cap"))
    return context


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Five pictures in a row: one shows the label of bag A001N, one that of another bag."""
    made = tmp_path / "a folder of pictures"
    made.mkdir()
    for at, code in enumerate(("", "A001N", "", "A003J", "")):
        picture(made / f"P{at}.jpg", *filter(None, [code]), taken=START + timedelta(minutes=at))
    return made


def shows(context: Context) -> list[list[tuple[str, str]]]:
    listed = pictures(context, ListPictures()).pictures
    return [[(tie.what, tie.how) for tie in each.filed] for each in listed]


def test_a_picture_of_a_label_is_filed_and_those_near_it_are_offered(
    clutch: Context, folder: Path
) -> None:
    phases: list[tuple[str, int, int]] = []
    reply = take_pictures(clutch, TakePictures([folder]), lambda *told: phases.append(told))
    assert (reply.machine, reply.numbers, reply.known) == ("Orrick Plover", (1, 2, 3, 4, 5), 0)
    assert reply.filed == {"bag A001N": 1, "bag A003J": 1}
    assert reply.offered == {"bag A001N": 2, "bag A003J": 1}
    assert not reply.unclear
    assert phases == [(phase, n, 5) for phase in ("look", "read", "keep") for n in range(1, 6)]
    assert shows(clutch) == [
        [("bag A001N", "offered by label")],
        [("bag A001N", "by label")],
        [("bag A001N", "offered by label")],
        [("bag A003J", "by label")],
        [("bag A003J", "offered by label")],
    ]
    assert [p.number for p in pictures(clutch, ListPictures(offered=True)).pictures] == [1, 3, 5]
    assert not pictures(clutch, ListPictures(loose=True)).pictures


def test_a_label_on_record_tells_of_new_pictures_beside_it(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder / "P1.jpg"]))
    reply = take_pictures(clutch, TakePictures([folder / "P0.jpg", folder / "P1.jpg"]))
    assert (reply.numbers, reply.known, reply.filed) == ((2,), 1, {})
    assert reply.offered == {"bag A001N": 1}


def test_a_trial_keeps_no_file_and_writes_nothing(clutch: Context, folder: Path) -> None:
    ask = TakePictures([folder], caption="as found")
    tried = take_pictures(clutch, replace(ask, trial=True))
    assert not picture_folder(clutch.store).exists()
    assert not pictures(clutch, ListPictures()).pictures
    assert replace(tried, trial=False) == take_pictures(clutch, ask)


def test_the_same_key_twice_is_one_act(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, ask := TakePictures([folder], key="taken"))
    with pytest.raises(Repeated):
        take_pictures(clutch, ask)
    assert len(shows(clutch)) == 5
    filing = FilePictures("1", ["1"], key="filed")
    caption = CaptionPictures("1", "shims", key="captioned")
    answer = AnswerOffers(key="answered")
    for call in (
        lambda: file_pictures(clutch, filing),
        lambda: caption_pictures(clutch, caption),
        lambda: answer_offers(clutch, answer),
    ):
        first = call()
        with pytest.raises(Repeated) as repeated:
            call()
        assert repeated.value.act == first.act


def test_each_content_is_kept_once(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder]))
    (folder / "copy of P1.jpg").write_bytes((folder / "P1.jpg").read_bytes())
    again = take_pictures(clutch, TakePictures([folder]))
    assert (again.act, again.numbers, again.known) == (0, (), 6)
    kept = picture_folder(clutch.store)
    assert len([path for path in kept.rglob("*") if path.is_file()]) == 5
    for each in pictures(clutch, ListPictures()).pictures:
        assert (
            kept_path(kept, each.digest, each.format).read_bytes()
            == (folder / each.name).read_bytes()
        )


def test_what_was_lost_or_overwritten_is_kept_again(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder]))
    listed = pictures(clutch, ListPictures()).pictures
    kept = [kept_path(picture_folder(clutch.store), each.digest, each.format) for each in listed]
    kept[1].unlink()
    kept[3].write_bytes(b"something else")
    tried = take_pictures(clutch, TakePictures([folder], trial=True))
    assert (tried.known, tried.kept_again) == (3, (2, 4))
    assert not kept[1].exists()
    again = take_pictures(clutch, TakePictures([folder]))
    assert (again.act, again.numbers, again.known, again.kept_again) == (0, (), 3, (2, 4))
    shutil.rmtree(picture_folder(clutch.store))
    all_again = take_pictures(clutch, TakePictures([folder]))
    assert (all_again.known, all_again.kept_again) == (0, (1, 2, 3, 4, 5))
    for path, each in zip(kept, listed, strict=True):
        assert path.read_bytes() == (folder / each.name).read_bytes()


def test_pictures_are_kept_where_it_was_said(clutch: Context, folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "elsewhere"
    take_pictures(clutch, TakePictures([folder / "P1.jpg"], folder=str(other)))
    (shot,) = picture_sheets(clutch, SheetPictures(folder=str(other))).shots
    assert shot.file.is_relative_to(other)
    assert shot.file.read_bytes() == (folder / "P1.jpg").read_bytes()


def test_labels_that_file_a_picture_under_no_bag_are_told(clutch: Context, tmp_path: Path) -> None:
    stranger = bagcode.nth(500)
    one = picture(tmp_path / "a.jpg", "A001N", "A003J")
    two = picture(tmp_path / "b.jpg", stranger, taken=START + timedelta(minutes=1))
    three = picture(tmp_path / "c.jpg", "hello", taken=START + timedelta(minutes=2))
    reply = take_pictures(clutch, TakePictures([one, two, three]))
    first, second, third = reply.unclear
    assert (first.file, first.seen) == ("a.jpg", ("A001N", "A003J"))
    assert (second.file, second.unknown) == ("b.jpg", (stranger,))
    assert (third.file, len(third.foreign)) == ("c.jpg", 1)
    assert not reply.filed


def test_a_picture_of_two_labels_is_filed_to_both_in_one_go(
    clutch: Context, tmp_path: Path
) -> None:
    both = [("bag A001N", "offered by label"), ("bag A003J", "offered by label")]
    reply = take_pictures(clutch, TakePictures([picture(tmp_path / "a.jpg", "A001N", "A003J")]))
    assert (reply.filed, reply.offered) == ({}, {"bag A001N": 1, "bag A003J": 1})
    assert shows(clutch) == [both]
    answer = answer_offers(clutch, AnswerOffers("1"))
    assert (answer.numbers, answer.what) == ((1,), ("bag A001N", "bag A003J"))
    assert shows(clutch) == [[(what, "by label") for what, _ in both]]
    undo(Context(clutch.store), Undo())
    assert shows(clutch) == [both]
    by_hand = file_pictures(clutch, FilePictures("1", ["A001N", "2"]))
    assert by_hand.what == ("bag A001N", "step 2")
    assert ("bag A001N", "by hand") in shows(clutch)[0]
    assert ("step 2", "by hand") in shows(clutch)[0]
    off = file_pictures(clutch, FilePictures("1", ["2", "A001N"], takes_off=True))
    assert off.what == ("step 2", "bag A001N")
    assert shows(clutch) == [both[1:]]
    with pytest.raises(Refused, match="file under what"):
        file_pictures(clutch, FilePictures("1", []))


def test_a_picture_is_offered_by_its_time_never_filed_and_the_clock_is_said_once(
    context: Context, tmp_path: Path
) -> None:
    """Taken while a step was under way, with a camera that is an hour and two minutes fast."""
    strip(Context(context.store), Strip("Engine", "oil cap"))
    fast = timedelta(hours=1, minutes=2)
    before = datetime.now() - timedelta(minutes=10)  # noqa: DTZ005 - a camera's clock

    def take(name: str, taken: datetime, clock: str = "") -> tuple[dict[str, int], int | None]:
        ask = TakePictures([picture(tmp_path / name, taken=taken)], fast=clock)
        reply = take_pictures(context, ask)
        assert not reply.filed
        return reply.offered, reply.clock_seconds

    assert take("a.jpg", before + fast, "1:02") == ({"step 1": 1}, None)
    assert shows(context) == [[("step 1", "offered by time")]]
    assert take("b.jpg", before + fast + timedelta(seconds=9)) == ({"step 1": 1}, 3720)
    assert take("c.jpg", before, "0:00") == ({"step 1": 1}, None)
    # a clock that was never set says nothing: the picture is of another day
    assert take("d.jpg", before - timedelta(days=400)) == ({}, None)
    for _ in range(3):
        undo(Context(context.store), Undo())
    assert len(shows(context)) == 1
    assert take("e.jpg", before + fast + timedelta(seconds=20)) == ({"step 1": 1}, 3720)
    assert take("f.jpg", before - timedelta(minutes=30), "-0:30") == ({"step 1": 1}, None)


def test_days_never_turn_a_days_pictures_to_one_step(context: Context, tmp_path: Path) -> None:
    """Two steps entered for 4 March, one for the 5th; pictures of both days, one with a label."""
    for day, part in (("2026-03-04", "cover"), ("2026-03-04", "cap"), ("2026-03-05", "plug")):
        strip(Context(context.store, day=day), Strip("Engine", part, ["2 M6x25 bolt"]))
    card = tmp_path / "card"
    card.mkdir()
    noon = START + timedelta(hours=5)
    for at in range(6):
        picture(card / f"a{at}.jpg", taken=START + timedelta(minutes=at), shade=at * 9)
        picture(card / f"b{at}.jpg", taken=noon + timedelta(minutes=at), shade=60 + at * 9)
        picture(
            card / f"c{at}.jpg", taken=START + timedelta(days=1, minutes=at), shade=120 + at * 9
        )
    picture(card / "a6.jpg", "A001N", taken=START + timedelta(minutes=6), shade=200)
    reply = take_pictures(context, TakePictures([card]))
    assert reply.filed == {"bag A001N": 1}
    assert reply.offered == {"bag A001N": 6, "step 3": 6}


def test_a_picture_of_summer_is_read_by_summers_clock(
    context: Context, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A camera on the workshop's wall time, taken in whenever: London is an hour ahead in July."""
    monkeypatch.setenv("TZ", "Europe/London")
    time.tzset()
    try:
        for month, hour in ((1, 10), (7, 9)):  # ten o'clock there, in UTC
            monkeypatch.setattr(
                "stores.storage.writer.now", lambda m=month, h=hour: f"2026-{m:02}-04T{h:02}:00:00Z"
            )
            strip(Context(context.store), Strip("Engine", f"part {month}"))
        taken = [datetime(2026, month, 4, 9, 55) for month in (1, 7)]  # noqa: DTZ001
        files = [picture(tmp_path / f"{each.month}.jpg", taken=each) for each in taken]
        take_pictures(context, TakePictures(files))
        assert shows(context) == [[(f"step {step}", "offered by time")] for step in (1, 2)]
        taken = [datetime(2026, month, 4, 7, 30) for month in (1, 7)]  # noqa: DTZ001
        files = [picture(tmp_path / f"{each.month}b.jpg", taken=each) for each in taken]
        assert not take_pictures(context, TakePictures(files)).offered  # over two hours before
    finally:
        monkeypatch.undo()
        time.tzset()


def test_offers_can_be_refused_and_the_import_taken_back(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder]))
    answer = answer_offers(clutch, AnswerOffers("3", refuses=True))
    assert (answer.numbers, answer.what, answer.refused) == ((3,), ("bag A001N",), True)
    assert shows(clutch)[2] == []
    undo(Context(clutch.store), Undo())
    assert shows(clutch)[2] == [("bag A001N", "offered by label")]
    assert answer_offers(clutch, AnswerOffers(trial=True)).numbers == (1, 3, 5)
    assert answer_offers(clutch, AnswerOffers()).what == ("bag A001N", "bag A003J")
    assert shows(clutch)[2] == [("bag A001N", "by label")]
    with pytest.raises(Refused, match="nothing offered") as nothing:
        answer_offers(clutch, AnswerOffers())
    assert nothing.value.hint == Hint("pictures")
    undo(Context(clutch.store), Undo())
    undo(Context(clutch.store), Undo())
    assert not shows(clutch)


def test_what_is_no_picture_is_told_and_the_rest_taken(clutch: Context, folder: Path) -> None:
    whole = (folder / "P0.jpg").read_bytes()
    (folder / "cut short.jpg").write_bytes(whole[: len(whole) // 3])
    (folder / "nothing.png").write_bytes(b"")
    (folder / "a text.jpg").write_text("no picture")
    (folder / "list.txt").write_text("no picture")
    reply = take_pictures(clutch, TakePictures([folder]))
    assert len(reply.numbers) == 5
    assert reply.refused == (
        NotTaken(str(folder / "a text.jpg"), "not a picture"),
        NotTaken(str(folder / "cut short.jpg"), "the picture is cut short"),
        NotTaken(str(folder / "nothing.png"), "the file is empty"),
    )
    assert reply.left_alone == ("list.txt",)


def test_pictures_are_tied_by_hand_and_captioned(clutch: Context, folder: Path) -> None:
    taken = take_pictures(clutch, TakePictures([folder], to="1", caption="as found"))
    assert taken.filed == {"step 1": 5}
    assert shows(clutch) == [[("step 1", "by hand")]] * 5
    filed = file_pictures(clutch, FilePictures("2-3", ["1.2"]))
    assert (filed.numbers, filed.what) == ((2, 3), ("1.2 M6 x 25 hex bolt",))
    assert file_pictures(clutch, FilePictures("1,2", ["1"], takes_off=True)).numbers == (1, 2)
    assert shows(clutch)[:2] == [[], [("1.2", "by hand")]]
    with pytest.raises(Refused, match="pictures not tied") as loose:
        file_pictures(clutch, FilePictures("1", ["1"], takes_off=True))
    assert loose.value.facts == {"what": "step 1"}
    assert caption_pictures(clutch, CaptionPictures("5, #4", "shims")).numbers == (5, 4)
    caption_pictures(clutch, CaptionPictures("3", ""))
    listed = pictures(clutch, ListPictures()).pictures
    assert [each.caption for each in listed] == ["as found", "as found", "", "shims", "shims"]


def test_a_picture_on_record_is_filed_under_what_it_is_sent_for(
    clutch: Context, folder: Path
) -> None:
    take_pictures(clutch, TakePictures([folder / "P0.jpg"]))
    ask = TakePictures([folder / "P0.jpg", folder / "P2.jpg"], "1")
    tried = take_pictures(clutch, replace(ask, trial=True))
    reply = take_pictures(clutch, ask)
    assert replace(tried, trial=False) == reply
    assert (reply.numbers, reply.known, reply.filed) == ((2,), 1, {"step 1": 2})
    assert shows(clutch) == [[("step 1", "by hand")], [("step 1", "by hand")]]
    again = take_pictures(clutch, ask)
    assert (again.act, again.filed) == (0, {})
    undo(Context(clutch.store), Undo(reply.act))
    assert shows(clutch) == [[]]
    alone = take_pictures(clutch, TakePictures([folder / "P0.jpg"], "1.1"))
    assert (alone.numbers, alone.filed) == ((), {"1.1 clutch cover": 1})
    assert shows(clutch) == [[("1.1", "by hand")]]


def test_an_offer_that_is_sent_for_by_hand_is_filed(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder]))
    take_pictures(clutch, TakePictures([folder / "P0.jpg"], "A001N"))
    assert shows(clutch)[0] == [("bag A001N", "by hand")]


def test_pictures_are_told_by_what_is_to_be_done_with_them(clutch: Context, folder: Path) -> None:
    assert pictures_by_state(clutch) == PicturesByState((), (), ())
    take_pictures(clutch, TakePictures([folder]))
    answer_offers(clutch, AnswerOffers("3", refuses=True))
    record_snag(Context(clutch.store), RecordSnag("1", "damage", "stud pulled", pictures=[3]))
    answer_offers(clutch, AnswerOffers("5", refuses=True))
    file_pictures(clutch, FilePictures("1", ["2"]))
    known = pictures_by_state(clutch)
    assert [(each.picture.number, each.to) for each in known.offered] == [
        (1, (OfferedTo("bag A001N", 1, "clutch cover", "Engine / Clutch"),))
    ]
    assert [each.number for each in known.loose] == [5]
    assert [(each.number, each.snags) for each in known.filed] == [
        (4, ()),
        (3, (1,)),
        (2, ()),
        (1, ()),
    ]


def test_the_file_of_a_picture_is_given_while_it_is_on_record(
    clutch: Context, folder: Path
) -> None:
    take_pictures(clutch, TakePictures([folder / "P1.jpg"]))
    kept = kept_picture(clutch, SeePicture(1))
    assert (kept.machine, kept.number, kept.format) == ("Orrick Plover", 1, ".jpg")
    assert kept.file.read_bytes() == (folder / "P1.jpg").read_bytes()
    for number in (-1, 0, 2, 10**30):
        with pytest.raises(NotFound, match="no such pictures"):
            kept_picture(clutch, SeePicture(number))
    kept.file.rename(folder / "away.jpg")
    with pytest.raises(NotFound, match="picture file gone"):
        kept_picture(clutch, SeePicture(1))
    (folder / "away.jpg").rename(kept.file)
    undo(Context(clutch.store), Undo())
    with pytest.raises(NotFound, match="no such pictures"):
        kept_picture(clutch, SeePicture(1))


def test_an_act_tells_the_step_that_it_recorded(context: Context) -> None:
    made = strip(Context(context.store), Strip("Engine", "oil cap"))
    assert recorded_step(context, made.act) == made.step
    assert recorded_step(context, undo(Context(context.store), Undo()).act) == 0
    assert recorded_step(context, 999) == 0


def test_sheets_are_in_the_order_of_the_steps(clutch: Context, folder: Path) -> None:
    take_pictures(clutch, TakePictures([folder]))
    answer_offers(clutch, AnswerOffers())
    file_pictures(clutch, FilePictures("5", ["A003J"], takes_off=True))
    sheets = picture_sheets(clutch, SheetPictures())
    assert [(shot.number, shot.step, shot.bags) for shot in sheets.shots] == [
        (1, 1, ("A001N",)), (2, 1, ("A001N",)), (3, 1, ("A001N",)), (4, 2, ("A003J",)), (5, 0, ()),
    ]  # fmt: skip
    below = picture_sheets(clutch, SheetPictures("Engine / Clutch"))
    assert [shot.number for shot in below.shots] == [1, 2, 3]
    with pytest.raises(NotFound, match="no picture of that assembly"):
        picture_sheets(clutch, SheetPictures("Wheels"))


def test_a_picture_of_two_things_is_under_both_and_a_snags_under_its_snag(
    clutch: Context, folder: Path
) -> None:
    take_pictures(clutch, TakePictures([folder], to="1"))
    file_pictures(clutch, FilePictures("2", ["A003J", "1.2"]))
    file_pictures(clutch, FilePictures("3-5", ["1"], takes_off=True))
    new = Context(clutch.store)
    for where, shown in (("2", [1, 3]), ("Wheels/Front", [4]), ("machine", [2])):
        record_snag(new, RecordSnag(where, "damaged", f"rusty, {where}", pictures=shown))
    sheets = picture_sheets(clutch, SheetPictures())
    assert sheets.pictures == 5
    assert [
        (shot.number, shot.step, shot.assembly, shot.bags, [snag.number for snag in shot.snags])
        for shot in sheets.shots
    ] == [
        (1, 1, "Engine / Clutch", (), []),
        (2, 1, "Engine / Clutch", (), [3]),
        (1, 2, "Engine", (), [1]),
        (2, 2, "Engine", ("A003J",), []),
        (3, 2, "Engine", (), [1]),
        (4, 0, "Wheels / Front", (), [2]),
        (5, 0, "", (), []),
    ]
    assert [shot.name for shot in sheets.shots if shot.step] == [
        "P0.jpg", "P1.jpg", "P0.jpg", "P1.jpg", "P2.jpg",
    ]  # fmt: skip
    listed = pictures(clutch, ListPictures()).pictures
    assert [(each.name, each.snags) for each in listed] == [
        ("P0.jpg", (1,)), ("P1.jpg", (3,)), ("P2.jpg", (1,)), ("P3.jpg", (2,)), ("P4.jpg", ()),
    ]  # fmt: skip
    assert [each.number for each in pictures(clutch, ListPictures(loose=True)).pictures] == [5]
    book = bound_record(clutch)
    assert [shot.number for shot in book.shots[2]] == [1, 2, 3]
    assert [snag.number for snag in book.shots[2][0].snags] == [1]


def test_what_is_not_there_is_refused(clutch: Context, folder: Path) -> None:
    with pytest.raises(NotFound, match="no file or folder"):
        take_pictures(clutch, TakePictures([folder / "nothing"]))
    with pytest.raises(NotFound):
        take_pictures(clutch, TakePictures([folder], to="9"))
    with pytest.raises(BadValue, match="not a clock") as words:
        take_pictures(clutch, TakePictures([folder], fast="soon"))
    assert words.value.facts == {"typed": "soon"}
    with pytest.raises(NotFound, match="no picture taken in"):
        picture_sheets(clutch, SheetPictures())
    with pytest.raises(NotFound, match="no such pictures") as none:
        file_pictures(clutch, FilePictures("7", ["1"]))
    assert none.value.facts == {"numbers": (7,), "machine": "Orrick Plover", "last": 0}
    take_pictures(clutch, TakePictures([folder]))
    with pytest.raises(NotFound, match="no such pictures") as more:
        caption_pictures(clutch, CaptionPictures("4-7", "x"))
    assert more.value.facts == {"numbers": (6, 7), "machine": "Orrick Plover", "last": 5}
    with pytest.raises(BadValue, match="pictures upside down"):
        file_pictures(clutch, FilePictures("5-2", ["1"]))
    for typed in ("first", "", "1-", "0"):
        with pytest.raises((NotationError, BadValue)):
            caption_pictures(clutch, CaptionPictures(typed, "x"))


def test_a_code_that_is_misread_is_no_bag() -> None:
    """ISO 7064: the check letter of A001N is N."""
    assert bag_code_of("A001N\nEngine") == "A001N"
    assert bag_code_of("A001K\nEngine") is None
    assert bag_code_of("hello") is None
    assert bag_code_of("") is None
