"""What a kill leaves where a file was being made: cleared away later, and nothing else is."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from conftest import Bench
from photos_builder import picture

from stores.leftovers import unfinished
from stores.photos.keeping import keep
from stores.photos.opening import look
from stores.printing.files import put

MINUTE_AGO, TWO_DAYS_AGO = 60.0, 2 * 86_400.0


@pytest.fixture(scope="module")
def gone() -> int:
    """The number of a process that is gone."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    return child.pid


def left(path: Path, ago: float = MINUTE_AGO) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"half")
    os.utime(path, (time.time() - ago,) * 2)
    return path


def test_what_killed_commands_began_is_cleared_away(
    clutch: Bench, tmp_path: Path, gone: int
) -> None:
    """By the next opening; what is being made stays."""
    begun = [
        left(tmp_path / name.format(gone))
        for name in (
            ".stores.db.{}", ".stores.db.{}-wal", ".stores.db.before-0016.{}",
            ".stores.db.before-0016.{}-journal", ".stores.db.copy-{}", ".stores.db.{}-14",
            ".stores.db.{}-14-wal", "..stores.db.{0}-14.{0}-14",
        )
    ]  # fmt: skip
    at_work = tmp_path / f".stores.db.before-0016.{os.getppid()}"
    others = [tmp_path / f".other.db.{gone}", tmp_path / ".stores.db.note", at_work]
    for each in others:
        left(each)
    fresh = tmp_path / f".stores.db.before-0017.{gone}"  # by another computer, on a share
    fresh.write_bytes(b"half")
    link = tmp_path / f".stores.db.{gone}-15"
    link.symlink_to(others[0])
    os.utime(link, (time.time() - 60,) * 2, follow_symlinks=False)
    clutch("find", "A001N")
    assert [each for each in begun if each.exists()] == []
    assert [each for each in (*others, fresh, link) if not each.exists()] == []
    folder = tmp_path / f".second.pictures.{gone}-14"
    folder.mkdir()
    (folder / "half.jpg").write_bytes(b"half")
    os.utime(folder, (time.time() - 60,) * 2)
    clutch("copy", str(tmp_path / "second.db"))
    assert not folder.exists()


# Keeps a picture, and is killed when all of it is written and nothing has its name.
KILLED = """
import os, signal, sys
from pathlib import Path
from stores.photos.keeping import keep
from stores.photos.opening import look

os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)
keep(look(Path(sys.argv[1])), Path(sys.argv[2]))
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_a_picture_half_kept_is_cleared_by_the_next_act(clutch: Bench, tmp_path: Path) -> None:
    folder = tmp_path / "stores.pictures"
    shot = picture(tmp_path / "a.jpg")
    killed = subprocess.run([sys.executable, "-c", KILLED, str(shot), str(folder)], check=False)
    assert killed.returncode == -signal.SIGKILL
    (half,) = (each for each in folder.rglob("*") if each.is_file())
    assert half.name.startswith(f".{look(shot).digest}.jpg.")
    clutch("strip", "Engine", "cap", "2 M6 nut")
    assert half.exists(), "another computer may be at it"
    left(half)
    clutch("find", "A001N")
    clutch("strip", "Engine", "cap", "2 M6 nut", "--try")
    assert half.exists(), "who looks or tries changes nothing"
    clutch("strip", "Engine", "cap", "2 M6 nut")
    assert not half.exists()
    assert half.parent.is_dir()


def test_no_picture_of_a_living_writer_and_nothing_by_way_of_a_link_is_deleted(
    clutch: Bench, tmp_path: Path, gone: int
) -> None:
    folder = tmp_path / "stores.pictures"
    digest = "ab" * 32
    kept = keep(look(picture(tmp_path / "a.jpg")), folder)
    living = left(folder / "ab" / f".{digest}.jpg.{os.getppid()}-14")
    ours = left(unfinished(folder / "ab" / f"{digest}.png"))
    others = [
        left(folder / "ab" / name)
        for name in (f".{digest[:-1]}.jpg.{gone}-14", f"{digest}.jpg.{gone}-14", f".note.{gone}-14")
    ]
    elsewhere = left(tmp_path / "elsewhere" / f".{digest}.jpg.{gone}-14")
    (folder / "cd").symlink_to(elsewhere.parent, target_is_directory=True)
    link = folder / "ab" / f".{digest}.heic.{gone}-14"
    link.symlink_to(kept)
    os.utime(link, (time.time() - 60,) * 2, follow_symlinks=False)
    old = left(folder / "ab" / f".{digest}.png.{os.getppid()}-15", TWO_DAYS_AGO)
    half = left(folder / "ab" / f".{digest}.jpg.{gone}-14")
    clutch("strip", "Engine", "cap", "2 M6 nut")
    assert [each for each in (half, old) if each.exists()] == []
    stay = (kept, living, ours, *others, elsewhere, link)
    assert [each for each in stay if not each.exists()] == []


def test_a_folder_of_pictures_that_is_named_is_cleared_when_more_are_taken(
    clutch: Bench, tmp_path: Path, gone: int
) -> None:
    half = left(tmp_path / "named" / "ab" / f".{'ab' * 32}.jpg.{gone}-14")
    more = ("photo", "add", str(picture(tmp_path / "a.jpg")), "--pictures", str(tmp_path / "named"))
    clutch(*more, "--try")
    assert half.exists()
    clutch(*more)
    assert not half.exists()


@pytest.mark.parametrize("name", ["labels.pdf", "ü" * 120 + ".pdf"])
def test_what_was_half_printed_is_cleared_when_it_is_printed_again(
    tmp_path: Path, name: str, gone: int
) -> None:
    path = tmp_path / name
    mine = unfinished(path).name.rpartition(".")[0]
    half = left(tmp_path / f"{mine}.{gone}-14")
    stays = [left(tmp_path / f"{mine}.{os.getppid()}-14"), left(tmp_path / f".b.pdf.{gone}-14")]
    put(path, b"whole")
    assert set(tmp_path.iterdir()) == {path, *stays}
    assert not half.exists()
