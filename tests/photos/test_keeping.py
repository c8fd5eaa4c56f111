"""Looking over a folder, whatever is in it; and keeping each content once."""

import os
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path

import pytest
from photos_builder import noise, picture

from stores.errors import StorageError
from stores.photos.keeping import keep, kept_fault, look_over, natural, put_in_order
from stores.photos.opening import PictureFile, PictureRefused, in_order, look

NAMES = [
    "plain.jpg",
    "with space.jpg",
    "line\nend.jpg",
    "emoji 👩‍🔧.jpg",
    "-rf.jpg",
    "%s{0}$HOME`ls`.jpg",
    "ключ.jpg",
    os.fsdecode(b"latin \xe9\xff.jpg"),
]


def test_any_name(tmp_path: Path) -> None:
    for at, name in enumerate(NAMES):
        try:
            picture(tmp_path / name, f"2026:03:04 10:00:{at:02}")
        except OSError:  # a file system that takes only UTF-8
            pytest.skip("this file system does not take such names")
    found = look_over(tmp_path)
    assert [each.file.name for each in found.looks] == NAMES
    assert found.refusals == ()


def test_every_refusal_is_listed_and_the_rest_taken(tmp_path: Path) -> None:
    picture(tmp_path / "good.jpg")
    whole = noise(tmp_path / "cut.jpg").read_bytes()
    (tmp_path / "cut.jpg").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "text.jpg").write_text("words")
    (tmp_path / "empty.png").touch()
    (tmp_path / "part.dwg").write_bytes(b"AC1032 drawing")
    for name in ("notes.txt", "Thumbs.db", "desktop.ini", "clip.MOV"):
        (tmp_path / name).write_text("words")
    (tmp_path / ".hidden.jpg").write_text("words")
    (tmp_path / ".trash").mkdir()
    picture(tmp_path / ".trash" / "thrown away.jpg")
    (tmp_path / "inner").mkdir()
    picture(tmp_path / "inner" / "deep.jpg")
    picture(tmp_path / "really a picture.txt")
    found = look_over(tmp_path)
    taken = [each.file.name for each in found.looks]
    assert sorted(taken) == ["deep.jpg", "good.jpg", "really a picture.txt"]
    refused = [each.file.name for each in found.refusals]
    assert refused == ["cut.jpg", "empty.png", "part.dwg", "text.jpg"]
    assert {each.file.name for each in found.left_alone} == {
        ".hidden.jpg",
        ".trash",
        "notes.txt",
        "Thumbs.db",
        "desktop.ini",
        "clip.MOV",
    }


def test_a_file_named_by_itself_is_taken_or_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("words")
    named = [tmp_path / "notes.txt", tmp_path / "none.jpg", picture(tmp_path / "a.jpg")]
    found = look_over([*named, *named, tmp_path])
    assert [each.file.name for each in found.looks] == ["a.jpg"]
    assert [each.file.name for each in found.refusals] == ["none.jpg", "notes.txt"]
    assert found.left_alone == ()


def test_links_in_a_ring_do_no_harm(tmp_path: Path) -> None:
    picture(tmp_path / "a.jpg")
    (tmp_path / "round").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "linked.jpg").symlink_to(tmp_path / "a.jpg")
    (tmp_path / "gone.jpg").symlink_to(tmp_path / "nothing")
    found = look_over(tmp_path)
    assert [each.file.name for each in found.looks] == ["a.jpg", "linked.jpg"]
    assert [each.file.name for each in found.refusals] == ["gone.jpg"]
    assert [each.file.name for each in found.left_alone] == ["round"]
    assert len(look_over(tmp_path / "round").looks) == 2  # but a folder named by its link is read


def test_three_thousand_files(tmp_path: Path) -> None:
    content = picture(tmp_path / "0.jpg", size=(8, 8)).read_bytes()
    for number in range(1, 3000):
        good = number % 100
        (tmp_path / f"{number}.jpg").write_bytes(content if good else content[:200])
    told: list[tuple[int, int]] = []
    found = look_over(tmp_path, progress=lambda done, of: told.append((done, of)))
    assert [each.file.name for each in found.looks] == [
        f"{number}.jpg" for number in range(3000) if number == 0 or number % 100
    ]
    assert [each.file.name for each in found.refusals] == [
        f"{number}.jpg" for number in range(100, 3000, 100)
    ]
    assert told == [(done, 3000) for done in range(1, 3001)]


def seen(name: str, taken: datetime | None = None) -> PictureFile:
    return PictureFile(Path(name), "JPEG", 40, 30, 1, taken, "", 1)


def test_order_is_by_time_then_as_a_person_sorts_names() -> None:
    early, late = datetime(2026, 3, 4, 9), datetime(2026, 3, 4, 10)  # noqa: DTZ001
    looks = [seen("b/10.jpg", early), seen("b/2.jpg", early), seen("b/1.jpg", late)]
    assert [each.file.name for each in put_in_order(looks)] == ["2.jpg", "10.jpg", "1.jpg"]
    assert sorted(["b10", "B2", "b1", "10", "9", "a"], key=natural) == [
        "9", "10", "a", "b1", "B2", "b10",
    ]  # fmt: skip


def test_a_picture_without_time_stays_behind_its_neighbour_by_name() -> None:
    looks = [
        seen("4.jpg", datetime(2026, 3, 4, 12)),  # noqa: DTZ001
        seen("3.jpg"),
        seen("2.jpg", datetime(2026, 3, 4, 11)),  # noqa: DTZ001
        seen("1.jpg"),
    ]
    assert [each.file.name for each in put_in_order(looks)] == ["1.jpg", "2.jpg", "3.jpg", "4.jpg"]


def test_work_runs_only_a_little_ahead() -> None:
    done: list[int] = []
    made = in_order(lambda number: done.append(number) or number, range(1000), workers=2)
    assert [next(made) for _ in range(3)] == [0, 1, 2]
    assert len(done) < 20
    made.close()


def files(folder: Path) -> list[Path]:
    return [each for each in folder.rglob("*") if each.is_file()]


def test_kept_once_by_content(tmp_path: Path) -> None:
    kept = tmp_path / "pictures"
    first = look(picture(tmp_path / "a.jpg"))
    again = look(picture(tmp_path / "same picture.png.jpeg"))
    place = keep(first, kept)
    assert place == kept / first.digest[:2] / f"{first.digest}.jpg"
    assert place.read_bytes() == (tmp_path / "a.jpg").read_bytes()
    before = place.stat()
    assert keep(again, kept) == place
    assert (place.stat().st_ino, place.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    keep(look(picture(tmp_path / "b.png")), kept)
    assert len(files(kept)) == 2


def test_what_is_missing_or_overwritten_is_told_and_kept_anew(tmp_path: Path) -> None:
    seen = look(picture(tmp_path / "a.jpg"))
    folder = tmp_path / "pictures"
    known = (folder, seen.digest, seen.suffix)
    assert kept_fault(*known) == "missing"
    place = keep(seen, folder)
    assert kept_fault(*known) == ""
    for at, words in enumerate((b"damaged", b"again"), 1):
        place.write_bytes(words)
        assert kept_fault(*known) == "overwritten"
        assert keep(seen, folder) == place
        assert kept_fault(*known) == ""
        aside = place.with_name(f"{place.name}.overwritten{'' if at == 1 else f'-{at}'}")
        assert aside.read_bytes() == words
    place.unlink()
    place.mkdir()
    assert kept_fault(*known) == "unreadable"
    with pytest.raises(StorageError, match="cannot be read"):
        keep(seen, folder)


def test_a_file_that_changed_is_not_kept(tmp_path: Path) -> None:
    seen = look(picture(tmp_path / "a.jpg"))
    picture(tmp_path / "a.jpg", colour="red")
    with pytest.raises(PictureRefused, match="changed"):
        keep(seen, tmp_path / "pictures")
    (tmp_path / "a.jpg").unlink()
    with pytest.raises(PictureRefused, match="no such file"):
        keep(seen, tmp_path / "pictures")
    assert files(tmp_path / "pictures") == []


def test_a_full_disc_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    seen = look(picture(tmp_path / "a.jpg"))
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageError, match="No space left"):
        keep(seen, tmp_path / "pictures")
    assert files(tmp_path / "pictures") == []


def test_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*paths: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    seen = look(picture(tmp_path / "a.jpg"))
    assert keep(seen, tmp_path / "pictures").read_bytes() == (tmp_path / "a.jpg").read_bytes()
    assert len(files(tmp_path / "pictures")) == 1


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "pictures").write_text("words")
    with pytest.raises(StorageError, match="pictures"):
        keep(look(picture(tmp_path / "a.jpg")), tmp_path / "pictures")


def test_many_at_once_keep_one(tmp_path: Path) -> None:
    seen = look(picture(tmp_path / "a.jpg", size=(2000, 1500)))
    with ThreadPoolExecutor(8) as pool:
        places = list(pool.map(lambda _: keep(seen, tmp_path / "pictures"), range(40)))
    assert len(set(places)) == 1
    assert files(tmp_path / "pictures") == places[:1]
