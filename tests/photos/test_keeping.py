"""Keeping pictures: once by content, whole or not at all, never written over."""

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from photos_builder import picture

from stores.errors import StorageError
from stores.photos.keeping import keep
from stores.photos.look import look
from stores.photos.refusal import PictureRefused


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


def test_a_damaged_one_is_said_and_left(tmp_path: Path) -> None:
    seen = look(picture(tmp_path / "a.jpg"))
    place = keep(seen, tmp_path / "pictures")
    place.write_bytes(b"damaged")
    with pytest.raises(StorageError, match="damaged"):
        keep(seen, tmp_path / "pictures")
    assert place.read_bytes() == b"damaged"


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
