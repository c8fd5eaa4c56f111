"""Copies of the record and its text, asked of the use-cases themselves."""

import contextlib
import json
import os
import re
import shutil
import sqlite3
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from conftest import kept
from PIL import Image

from stores.errors import BadValue, NotFound, Refused, StorageError
from stores.photos.keeping import kept_path
from stores.planning.audit import Fault
from stores.planning.closing import KnownCopies
from stores.storage import open_store
from stores.usecases.closing import end_of_day
from stores.usecases.context import Context
from stores.usecases.history import AskAudit, Undo, audit, history, undo
from stores.usecases.keeping import (
    Copy,
    NotInText,
    Reload,
    copies,
    copy,
    export,
    not_in_text,
    reload,
)
from stores.usecases.outwork import (
    BeginBatch,
    PutIntoBatch,
    SendBatch,
    begin_batch,
    put_into_batch,
    send_batch,
)
from stores.usecases.pictures import (
    ListPictures,
    SeePicture,
    SheetPictures,
    TakePictures,
    kept_picture,
    picture_folder,
    picture_sheets,
    pictures,
    take_pictures,
)
from stores.usecases.strip import Strip, strip
from stores.usecases.templates import template_folder

pytestmark = pytest.mark.files_alone


@kept
def stripped(context: Context) -> Context:
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    return context


def test_a_copy_has_the_whole_record_and_writes_over_nothing(
    stripped: Context, tmp_path: Path
) -> None:
    to = tmp_path / "copy.db"
    assert copy(stripped, Copy(to)).to == to
    with open_store(str(to)) as store:
        assert list(export(Context(store))) == list(export(stripped))
    with pytest.raises(StorageError, match="is there already"):
        copy(stripped, Copy(to))


def test_the_last_copy_is_known_and_what_is_in_none(stripped: Context, tmp_path: Path) -> None:
    assert copies(stripped) == KnownCopies(None, ours=True)
    undo(stripped, Undo())
    undo(stripped, Undo(history(stripped, 1)[0].number, by="act"))
    before = datetime.now(UTC).replace(microsecond=0)
    assert copy(stripped, Copy(tmp_path / "one.db")).noted
    known = copies(stripped).last
    assert known
    assert (known.to, known.acts_since) == (str(tmp_path / "one.db"), 0)
    assert before <= datetime.fromisoformat(known.at) <= datetime.now(UTC)
    strip(stripped, Strip("Engine", "sump", ["1 gasket"]))
    undo(stripped, Undo())
    assert copies(stripped).last == replace(known, acts_since=2)
    assert end_of_day(stripped).copies == copies(stripped)
    with pytest.raises(StorageError):  # none was made
        copy(stripped, Copy(tmp_path / "one.db"))
    assert copies(stripped).last == replace(known, acts_since=2)
    copy(stripped, Copy(tmp_path / "two.db"))
    assert copies(stripped).last == replace(
        known, to=str(tmp_path / "two.db"), acts_since=0, at=copies(stripped).last.at
    )
    with open_store(str(tmp_path / "two.db")) as store:  # nobody copied the copy
        assert copies(Context(store)) == KnownCopies(None, ours=True)


@pytest.mark.parametrize(
    "note",
    [
        b"", b"[]", b"{}", b"[" * 5000, b"\xff", b'{"at": 1, "to": 2, "act": {}, "written": 4}',
        b'{"at": "2026-01-12T08:00:00+00:00", "to": "/x.db", "act": 1, "written": "then"}',
        b'{"at": "2026-01-12T08:00:00+00:00", "to": "/x.db", "act": 9, "written": null}',
        b'{"at": "2026-01-12T08:00:00+00:00", "to": "/x.db", "act": 1e400, "written": null}',
    ],
)  # fmt: skip
def test_a_note_of_another_record_or_of_none_says_nothing(
    stripped: Context, tmp_path: Path, note: bytes
) -> None:
    """The file of another record was put in this one's place; or somebody wrote into the note."""
    (tmp_path / "asked.copied").write_bytes(note)
    assert copies(stripped) == KnownCopies(None, ours=True)


def test_a_copy_that_cannot_be_noted_is_a_copy(stripped: Context, tmp_path: Path) -> None:
    (tmp_path / "asked.copied").mkdir()
    assert not copy(stripped, Copy(tmp_path / "one.db")).noted
    assert (tmp_path / "one.db").exists()
    assert copies(stripped).last is None
    assert {path.name for path in tmp_path.iterdir()} == {"asked.db", "asked.copied", "one.db"}


@pytest.fixture
def pictured(stripped: Context, tmp_path: Path) -> Context:
    """Three pictures on record, one of them in two files; a label stock and a layout of one's own
    beside the stores."""
    shots = tmp_path / "card"
    shots.mkdir()
    for name, colour in (("a.jpg", "red"), ("b.jpg", "green"), ("c.png", "blue")):
        Image.new("RGB", (400, 300), colour).save(shots / name)
    (shots / "again.jpg").write_bytes((shots / "a.jpg").read_bytes())
    take_pictures(stripped, TakePictures([shots]))
    own = tmp_path / "asked.templates"
    (own / "layouts").mkdir(parents=True)
    (own / "mine.toml").write_text("stock")
    (own / "layouts" / "bag.toml").write_text("layout")
    (own / "surveys").mkdir()
    (own / "surveys" / "pump.txt").write_text("survey")
    (own / "a letter.odt").write_text("no label")
    return stripped


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_copy_has_the_pictures_and_ones_own_labels_where_they_are_looked_for(
    pictured: Context, tmp_path: Path
) -> None:
    to = tmp_path / "stick" / "orrick.db"
    to.parent.mkdir()
    told: list[tuple[str, int, int]] = []
    reply = copy(pictured, Copy(to), lambda *said: told.append(said))
    assert told == [("copy", done, 3) for done in (1, 2, 3)]
    kept = files(picture_folder(pictured.store))
    assert (reply.machines, reply.pictures, reply.templates) == (1, 3, 3)
    assert reply.picture_bytes == sum(map(len, kept.values()))
    assert not reply.left_out
    assert not reply.faults
    assert sorted(path.name for path in to.parent.iterdir()) == [
        "orrick.db", "orrick.pictures", "orrick.templates",
    ]  # fmt: skip
    with open_store(str(to)) as store:
        again = Context(store)
        assert reply.rows == len(list(export(again))) - 2
        assert reply.acts == len(history(again))
        assert files(picture_folder(store)) == kept
        checked = audit(again)
        assert (checked.faults, checked.pictures) == ((), 3)
        own = template_folder(store.name)
        assert own
        assert set(files(own)) == {"mine.toml", "layouts/bag.toml", "surveys/pump.txt"}


def test_a_copy_takes_pictures_and_labels_from_where_they_are_said_to_be(
    pictured: Context, tmp_path: Path
) -> None:
    (tmp_path / "asked.pictures").rename(tmp_path / "elsewhere")
    (tmp_path / "asked.templates").rename(tmp_path / "own")
    to = tmp_path / "copy.db"
    reply = copy(pictured, Copy(to, str(tmp_path / "elsewhere"), str(tmp_path / "own")))
    assert (reply.pictures, reply.templates, reply.left_out) == (3, 3, ())


def test_a_copy_names_the_pictures_that_it_lacks(pictured: Context, tmp_path: Path) -> None:
    gone, spoilt, whole = pictures(pictured, ListPictures()).pictures
    folder = picture_folder(pictured.store)
    kept_path(folder, gone.digest, gone.format).unlink()
    kept_path(folder, spoilt.digest, spoilt.format).write_bytes(b"something else")
    reply = copy(pictured, Copy(tmp_path / "copy.db"))
    assert reply.pictures == 1
    assert [each.where for each in reply.left_out] == [
        f"picture {each.number} of Orrick Plover ({each.name})" for each in (gone, spoilt)
    ]
    with open_store(str(tmp_path / "copy.db")) as store:
        assert list(files(picture_folder(store))) == [
            f"{whole.digest[:2]}/{whole.digest}{whole.format}"
        ]
        assert {each.what for each in audit(Context(store)).faults} == {"its kept file is missing"}


def test_a_copy_that_fails_leaves_nothing_behind(
    pictured: Context, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "there.pictures").mkdir()
    with pytest.raises(StorageError, match=r"there\.pictures is there already"):
        copy(pictured, Copy(stick / "there.db"))

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageError, match="No space left"):
        copy(pictured, Copy(stick / "full.db"))
    with pytest.raises(StorageError, match="no folder"):
        copy(pictured, Copy(stick / "nowhere" / "a.db"))
    with pytest.raises(NotFound, match="no label folder"):
        copy(pictured, Copy(stick / "a.db", templates=str(stick / "nowhere")))
    assert [path.name for path in stick.iterdir()] == ["there.pictures"]


def test_pictures_of_an_import_taken_back_are_in_the_copy(
    pictured: Context, tmp_path: Path
) -> None:
    """They come back with it: stores undo of the undo."""
    undo(pictured, Undo())
    assert copy(pictured, Copy(tmp_path / "copy.db")).pictures == 3
    with open_store(str(tmp_path / "copy.db")) as store:
        undo(Context(store), Undo(history(Context(store), 1)[0].number, by="act"))
        assert audit(Context(store)).pictures == 3
        assert not audit(Context(store)).faults


def test_the_text_says_how_many_pictures_it_leaves_out(pictured: Context, tmp_path: Path) -> None:
    assert not_in_text(pictured) == NotInText(3)
    folder = tmp_path / "again.pictures"
    reply = reload(Reload(str(tmp_path / "again.db"), list(export(pictured))))
    assert (reply.pictures, reply.pictures_missing, reply.folder) == (3, 3, str(folder))
    shutil.copytree(picture_folder(pictured.store), tmp_path / "once more.pictures")
    reply = reload(Reload(str(tmp_path / "once more.db"), list(export(pictured))))
    assert (reply.pictures, reply.pictures_missing) == (3, 0)


def test_the_audit_reads_every_kept_picture(pictured: Context) -> None:
    told: list[tuple[str, int, int]] = []
    assert not audit(pictured, AskAudit(), lambda *said: told.append(said)).faults
    assert told == [("check", done, 3) for done in (1, 2, 3)]
    first, second, _ = pictures(pictured, ListPictures()).pictures
    folder = picture_folder(pictured.store)
    kept_path(folder, first.digest, first.format).unlink()
    kept_path(folder, second.digest, second.format).write_bytes(b"something else")
    missing, overwritten = audit(pictured).faults
    assert first.name == "a.jpg"  # not again.jpg, the second file of that content
    assert missing == Fault("picture 1 of Orrick Plover (a.jpg)", "its kept file is missing")
    assert overwritten.where == f"picture 2 of Orrick Plover ({second.name})"
    assert overwritten.what.startswith("its kept file was overwritten")
    elsewhere = audit(pictured, AskAudit(str(folder.with_name("nowhere"))))
    assert len(elsewhere.faults) == 3


def test_pictures_of_a_database_are_looked_for_where_it_is_said(pictured: Context) -> None:
    folder = str(picture_folder(pictured.store))
    pictured.store.name = "postgresql://bench/stores"
    checked = audit(pictured)
    assert (checked.faults, checked.pictures, checked.pictures_unseen) == ((), 0, 3)
    checked = audit(pictured, AskAudit(folder))
    assert (checked.faults, checked.pictures, checked.pictures_unseen) == ((), 3, 0)


def test_what_is_reloaded_is_equal(stripped: Context, tmp_path: Path) -> None:
    lines = list(export(stripped))
    to = str(tmp_path / "again.db")
    reply = reload(Reload(to, lines))
    assert (reply.to, reply.rows) == (to, json.loads(lines[-1])["rows"])
    assert reply.rows == len(lines) - 2  # without the first line and the last
    with open_store(to) as store:
        again = Context(store)
        assert list(export(again)) == lines
        assert history(again) == history(stripped)
        assert not audit(again).faults
    with pytest.raises(Refused, match="stores there already"):
        reload(Reload(to, lines))


def test_a_text_with_a_fault_leaves_nothing_behind(stripped: Context, tmp_path: Path) -> None:
    lines = list(export(stripped))
    with pytest.raises(BadValue):
        reload(Reload(str(tmp_path / "torn.db"), lines[:-2]))
    moved = [line.replace('"quantity": 4', '"quantity": 5') for line in lines]
    assert moved != lines
    with pytest.raises(Refused, match="text has faults") as refusal:
        reload(Reload(str(tmp_path / "wrong.db"), moved))
    assert refusal.value.facts["count"] >= 1
    assert not list(tmp_path.glob("*torn*"))
    assert not list(tmp_path.glob("*wrong*"))


def changed(lines: list[str], table: str, **values: object) -> list[str]:
    """The text with other values in the first row of a table; half a character stays one."""
    rows = [json.loads(line) for line in lines]
    next(row for row in rows if isinstance(row, list) and row[0] == table)[1].update(values)
    return [json.dumps(row) for row in rows]


FROM_ELSEWHERE: dict[str, tuple[str, dict[str, object], str]] = {
    "any file as a picture": ("picture", {"digest": "/etc/hostname"}, "no digest"),
    "a picture by way of the folder above": ("picture", {"digest": "../a"}, "no digest"),
    "a digest in capitals": ("picture", {"digest": "A" * 64}, "no digest"),
    "a file of another sort": ("picture", {"format": "/../../a.jpg"}, "none of .jpg"),
    "a picture taken some time": ("picture", {"taken_at": "soon"}, "no day or time"),
    "a name that steers the terminal": ("machine", {"name": "x\x1b[31m"}, "code 27"),
    "a name that turns about": ("machine", {"name": "x\u202e"}, "code 8238"),
    "a summary that does": ("act", {"summary": "\x1b]0;x\x07"}, "code 27"),
    "an act written some time": ("act", {"written_at": "soon"}, "no day or time"),
    "a batch at a machine": ("batch", {"place_id": 1}, "away by its batches"),
}


@pytest.mark.parametrize(("table", "values", "said"), FROM_ELSEWHERE.values(), ids=FROM_ELSEWHERE)
def test_a_text_from_others_is_held_to_the_whole_audit(
    pictured: Context, tmp_path: Path, table: str, values: dict[str, object], said: str
) -> None:
    batch = begin_batch(pictured, BeginBatch("Brindle Platers", "zinc")).batch
    put_into_batch(pictured, PutIntoBatch(batch, ["1.2"], 2))
    send_batch(pictured, SendBatch(batch))
    lines = changed(list(export(pictured)), table, **values)
    with pytest.raises(Refused, match="text has faults") as refusal:
        reload(Reload(str(tmp_path / "again.db"), lines))
    assert said in refusal.value.facts["first"]
    assert not list(tmp_path.glob("*again*"))


def test_what_is_read_from_a_description_is_read_anew(stripped: Context, tmp_path: Path) -> None:
    """An older program, or another hand, may have read it otherwise: the text is what was said."""
    before = list(export(stripped))
    otherwise = [
        re.sub(r'"thread": "[^"]*", "diameter_um": \w+', '"thread": "M9", "diameter_um": 9', line)
        for line in before
    ]
    assert otherwise != before
    again = tmp_path / "again.db"
    reload(Reload(str(again), otherwise))
    with open_store(str(again)) as store:
        assert list(export(Context(store))) == before
        assert not audit(Context(store)).faults


def test_half_a_character_is_no_text(stripped: Context, tmp_path: Path) -> None:
    lines = changed(list(export(stripped)), "machine", name="\ud800")
    with pytest.raises(BadValue, match="name has half a character"):
        reload(Reload(str(tmp_path / "again.db"), lines))


def test_a_record_from_others_shows_no_other_file(pictured: Context, tmp_path: Path) -> None:
    """A picture's digest is where its file is: an absolute one was any file of this machine."""
    private = tmp_path / "private.jpg"
    Image.new("RGB", (40, 30), "red").save(private)
    with contextlib.closing(sqlite3.connect(pictured.store.name)) as connection:
        connection.execute("DROP TRIGGER picture_no_update")
        connection.execute(
            "UPDATE picture SET digest = ? WHERE number = 1", (str(private.with_suffix("")),)
        )
        connection.commit()
    for ask in (
        lambda: picture_sheets(pictured, SheetPictures()),
        lambda: kept_picture(pictured, SeePicture(1)),
    ):
        with pytest.raises(StorageError, match="cannot be one"):
            ask()
    faults = {each.what for each in audit(pictured).faults}
    assert "its kept file has a name that is none of a picture: it is not looked for" in faults
    reply = copy(pictured, Copy(tmp_path / "copy.db"))
    assert (reply.pictures, len(reply.left_out)) == (2, 1)
