"""Looking at one file: what it says, and one clear line for each that is no picture."""

import hashlib
import os
import random
import struct
import time
import zlib
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from photos_builder import noise, picture
from PIL import Image

from stores.errors import StoresError
from stores.photos.costs import ROOM
from stores.photos.opening import SUFFIXES, PictureRefused, heic_reader, look, shown


def refused(file: Path) -> str:
    with pytest.raises(PictureRefused) as caught:
        look(file)
    assert isinstance(caught.value, StoresError)
    assert caught.value.file == file
    assert "\n" not in str(caught.value)
    return caught.value.reason


def test_a_picture_says_what_it_is(tmp_path: Path) -> None:
    file = picture(tmp_path / "a.jpg", "2026:03:04 14:05:06", (40, 30), turned=6)
    seen = look(file)
    assert (seen.format, seen.width, seen.height, seen.orientation) == ("JPEG", 40, 30, 6)
    assert seen.taken == datetime(2026, 3, 4, 14, 5, 6)  # noqa: DTZ001
    assert seen.digest == hashlib.sha256(file.read_bytes()).hexdigest()
    assert seen.size == file.stat().st_size
    assert look(picture(tmp_path / "a.png", "2026:03:04 14:05:06", turned=3)).orientation == 3


def test_offset_parts_of_a_second_and_the_second_time(tmp_path: Path) -> None:
    file = picture(tmp_path / "a.jpg", "2026:03:04 14:05:06", offset="-03:30", part="25")
    zone = timezone(-timedelta(hours=3, minutes=30))
    assert look(file).taken == datetime(2026, 3, 4, 14, 5, 6, 250_000, tzinfo=zone)
    file = picture(tmp_path / "b.jpg", digitized="2026:03:04 14:05:06")
    assert look(file).taken == datetime(2026, 3, 4, 14, 5, 6)  # noqa: DTZ001


@pytest.mark.parametrize(
    "said", ["0000:00:00 00:00:00", "    :  :     :  :  ", "yesterday", "2026"]
)
def test_a_clock_never_set_tells_no_time(tmp_path: Path, said: str) -> None:
    assert look(picture(tmp_path / "a.jpg", said)).taken is None


def test_the_content_decides_not_the_name(tmp_path: Path) -> None:
    picture(tmp_path / "a.jpg")
    (tmp_path / "a.jpg").rename(tmp_path / "a.png")
    assert look(tmp_path / "a.png").format == "JPEG"
    (tmp_path / "b.jpg").write_text("not a picture at all")
    assert refused(tmp_path / "b.jpg") == "not a picture"


@pytest.mark.parametrize("form", ["GIF", "BMP", "TIFF", "WEBP", "PDF"])
def test_other_formats_are_named(tmp_path: Path, form: str) -> None:
    Image.new("RGB", (40, 30)).save(tmp_path / "a.jpg", form)
    assert "taken are JPEG, PNG and HEIC" in refused(tmp_path / "a.jpg")


def test_heic_is_read_or_refused_clearly(tmp_path: Path) -> None:
    file = tmp_path / "a.heic"
    if heic_reader():
        import pillow_heif

        pillow_heif.from_pillow(Image.new("RGB", (40, 30), "teal")).save(file)
        seen = look(file)
        assert (seen.format, seen.width, seen.height) == ("HEIC", 40, 30)
    else:
        file.write_bytes(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(100))
        assert "pip install pillow-heif" in refused(file)


@pytest.mark.parametrize(
    ("form", "more"),
    [("JPEG", {}), ("JPEG", {"progressive": True}), ("PNG", {})],
    ids=["jpeg", "progressive", "png"],
)
def test_cut_short_anywhere_is_refused(tmp_path: Path, form: str, more: dict[str, bool]) -> None:
    whole = noise(tmp_path / "whole", form=form, **more).read_bytes()
    assert look(tmp_path / "whole").width == 600
    for share in (0.02, 0.3, 0.5, 0.9, 0.98):
        (tmp_path / "cut").write_bytes(whole[: int(len(whole) * share)])
        assert refused(tmp_path / "cut")


def test_a_png_is_whole_in_every_kind(tmp_path: Path) -> None:
    for mode in ("1", "L", "LA", "P", "RGB", "RGBA", "I;16"):
        file = tmp_path / f"{mode[0]}.png"
        Image.new(mode, (37, 23)).save(file)
        assert look(file).format == "PNG"


def png(width: int, height: int, data: bytes, *, colour: int = 2, interlaced: int = 0) -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, interlaced)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def test_an_interlaced_png_is_counted_by_its_passes(tmp_path: Path) -> None:
    """5 x 3 grey by Adam7 (ISO/IEC 15948, 8.2): pass 3 starts in row 4, so it is not there."""
    rows = [1, 1, 1, 3, 2, 2, 5]  # pixels in each row of passes 1, 2, 4, 5, 6, 6, 7
    data = zlib.compress(b"".join(b"\0" + bytes(each) for each in rows))
    (tmp_path / "a.png").write_bytes(png(5, 3, data, colour=0, interlaced=1))
    with Image.open(tmp_path / "a.png") as judged:
        judged.load()
    seen = look(tmp_path / "a.png")
    assert (seen.width, seen.height) == (5, 3)
    short = zlib.compress(b"".join(b"\0" + bytes(each) for each in rows[:-1]))
    (tmp_path / "b.png").write_bytes(png(5, 3, short, colour=0, interlaced=1))
    assert refused(tmp_path / "b.png") == "the picture is cut short"


def test_a_bomb_is_refused_before_it_is_decoded(tmp_path: Path) -> None:
    """A header that claims 60000 x 60000 and a little data that would inflate to a lot."""
    (tmp_path / "a.png").write_bytes(png(60_000, 60_000, zlib.compress(bytes(10_000_000), 9)))
    begin = time.process_time()
    assert "3600 million pixels" in refused(tmp_path / "a.png")
    assert time.process_time() - begin < 1
    side = int((ROOM / 5) ** 0.5)
    (tmp_path / "b.png").write_bytes(png(side, side, zlib.compress(bytes(10_000), 9)))
    assert refused(tmp_path / "b.png") == "the picture is cut short"  # allowed, but not there
    whole = bytearray(picture(tmp_path / "c.jpg").read_bytes())
    at = (
        whole.index(b"\xff\xc0") + 5
    )  # height and width in the frame header (ISO/IEC 10918-1, B.2.2)
    whole[at : at + 4] = struct.pack(">HH", 65000, 65000)
    (tmp_path / "c.jpg").write_bytes(whole)
    assert "4225 million pixels" in refused(tmp_path / "c.jpg")


def test_above_what_pillow_warns_of_but_below_the_limit(tmp_path: Path) -> None:
    """Pillow warns at 89 million pixels and raises at 179; warnings are errors in these tests."""
    Image.new("L", (12_000, 10_000)).save(tmp_path / "large.jpg", quality=30)
    assert look(tmp_path / "large.jpg").width == 12_000


def test_what_is_no_file_to_read(tmp_path: Path) -> None:
    (tmp_path / "empty.jpg").touch()
    assert refused(tmp_path / "empty.jpg") == "the file is empty"
    assert "folder" in refused(tmp_path)
    assert "no such file" in refused(tmp_path / "none.jpg")
    assert "device or a pipe" in refused(Path(os.devnull))
    assert "name" in refused(Path("a\0b.jpg"))
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.jpg")
        assert "device or a pipe" in refused(tmp_path / "pipe.jpg")
    (tmp_path / "loop.jpg").symlink_to(tmp_path / "loop.jpg")
    assert "cannot be read" in refused(tmp_path / "loop.jpg")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read all")
def test_no_permission(tmp_path: Path) -> None:
    picture(tmp_path / "a.jpg").chmod(0)
    assert refused(tmp_path / "a.jpg") == "no permission to read it"


def test_damage_anywhere_is_a_picture_or_a_refusal(tmp_path: Path) -> None:
    """Bytes changed at random: never another error, never a warning, whatever Pillow meets."""
    chance = random.Random(6)
    for form in ("JPEG", "PNG"):
        file = tmp_path / "a"
        Image.effect_noise((60, 40), 60).convert("RGB").save(
            file, form, exif=b"Exif\0\0MM\0*\0\0\0\x08\0\1"
        )
        whole = file.read_bytes()
        for _ in range(300):
            bad = bytearray(whole)
            for _ in range(chance.randint(1, 6)):
                bad[chance.randrange(min(len(bad), chance.choice((80, 800, 8000))))] = (
                    chance.randrange(256)
                )
            file.write_bytes(bad)
            try:
                seen = look(file)
            except PictureRefused:
                continue
            assert seen.format in SUFFIXES


def test_names_are_shown_in_one_line_on_any_terminal() -> None:
    assert shown(Path("clutch cover 🔧.jpg")) == "clutch cover 🔧.jpg"
    assert shown(Path("a\nb\t\x1b[31m.jpg")) == "a\\nb\\t\\x1b[31m.jpg"
    assert shown(Path("a\u202egpj.exe")) == "a\\u202egpj.exe"
    assert shown(Path(os.fsdecode(b"caf\xe9.jpg"))) == "caf\\xe9.jpg"
    assert shown(Path("a" * 500 + ".jpg")).endswith("aaa.jpg")
    assert len(shown(Path("a" * 500))) == 160
