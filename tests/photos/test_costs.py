"""What pictures cost in memory: few bytes in a file may be a thousand times as many decoded."""

import io
import struct
import subprocess
import sys
import threading
import zlib
from pathlib import Path

import pytest
from photos_builder import noise
from PIL import Image

from stores.photos.codes import codes_in
from stores.photos.costs import ROOM, JpegParts, jpeg_buffer, room_for
from stores.photos.opening import PictureRefused, exif_of, look, opened
from stores.photos.thumbs import plain_in_bands, thumbnail

MOST = 600
"""Megabytes that a process has at most, whatever is in a folder."""


def large_png(file: Path, width: int, height: int, colour: int = 2) -> Path:
    """Write a PNG of one colour, row by row: a few hundred kB for a hundred million pixels."""
    packer = zlib.compressobj(9)
    row = bytes(1 + width * {0: 1, 2: 3, 6: 4}[colour])
    data = b"".join([*(packer.compress(row) for _ in range(height)), packer.flush()])
    head = struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", data), (b"IEND", b""))
    file.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + b"".join(
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
            for kind, body in chunks
        )
    )
    return file


def test_a_film_behind_the_picture_is_no_part_of_it(tmp_path: Path) -> None:
    """As phones keep a moving picture: a JPEG, then a film in the same file."""
    file = noise(tmp_path / "moving.jpg")
    whole = file.read_bytes()
    file.write_bytes(whole + b"\0\0\0\x18ftypmp42" + b"\xff\xda\0\x08" * 1000)
    seen = look(file)
    assert (seen.width, seen.size) == (600, len(whole) + 4012)


@pytest.mark.parametrize("piece", [1, 2, 3, 7, 100, 1 << 20])
@pytest.mark.parametrize("progressive", [False, True])
def test_scans_are_counted_however_the_file_is_cut_into_pieces(
    tmp_path: Path, piece: int, progressive: bool
) -> None:
    """libjpeg's own script has 10 scans for a progressive picture in colour (jcparam.c)."""
    data = noise(tmp_path / "a.jpg", (90, 60), progressive=progressive).read_bytes()
    parts = JpegParts()
    for at in range(0, len(data), piece):
        parts.feed(data[at : at + piece])
    assert (parts.scans, parts.over) == (10 if progressive else 1, True)


def test_what_a_progressive_picture_keeps_beside_itself(tmp_path: Path) -> None:
    """Two bytes a coefficient: 3 for each pixel at half the colour's width and height, 6 without
    (ISO/IEC 10918-1, A.1.1); a sequential one keeps nothing."""
    for subsampling, each in ((2, 3), (0, 6)):
        file = noise(
            tmp_path / "a.jpg", (160, 80), progressive=True, subsampling=subsampling, quality=90
        )
        with file.open("rb") as stream:
            assert jpeg_buffer(stream) == each * 160 * 80
    with noise(tmp_path / "a.jpg", (160, 80)).open("rb") as stream:
        assert jpeg_buffer(stream) == 0


@pytest.mark.parametrize(
    ("width", "height", "said"),
    [
        (1, 149_000_000, "a side has at most 65535"),
        (12_000, 12_000, "MB of memory to be shown"),
    ],
)
def test_what_would_need_too_much_is_refused_by_its_header(
    tmp_path: Path, width: int, height: int, said: str
) -> None:
    file = large_png(tmp_path / "a.png", width, 8)
    whole = bytearray(file.read_bytes())
    whole[16:24] = struct.pack(">II", width, height)
    whole[29:33] = struct.pack(">I", zlib.crc32(whole[12:29]))
    file.write_bytes(whole)
    for show in (look, codes_in, lambda file: thumbnail(file, 800)):
        with pytest.raises(PictureRefused, match=said):
            show(file)


def test_a_png_that_tells_how_it_is_turned_behind_its_picture(tmp_path: Path) -> None:
    """eXIf may stand behind the image data (PNG 3rd edition, 11.3.4.5); it is found undecoded."""
    Image.new("RGB", (40, 30), "teal").save(tmp_path / "a.png")
    made = Image.Exif()
    made[0x0112] = 6
    body = made.tobytes().removeprefix(b"Exif\0\0")
    chunk = struct.pack(">I", len(body)) + b"eXIf" + body
    chunk += struct.pack(">I", zlib.crc32(b"eXIf" + body))
    whole = (tmp_path / "a.png").read_bytes()
    (tmp_path / "a.png").write_bytes(whole[:-12] + chunk + whole[-12:])
    assert look(tmp_path / "a.png").orientation == 6
    with opened(tmp_path / "a.png") as (_, picture, _):
        assert exif_of(picture).orientation == 6
    with Image.open(io.BytesIO(thumbnail(tmp_path / "a.png", 800))) as small:
        assert small.size == (30, 40)


@pytest.mark.parametrize("mode", ["L", "RGB", "RGBA", "P", "1", "LA"])
def test_made_smaller_in_bands_it_is_as_made_smaller_at_once(mode: str) -> None:
    grey = Image.linear_gradient("L").resize((1500, 1999))
    picture = grey.convert("RGBA" if mode in ("RGBA", "LA") else mode)
    picture = picture.convert(mode)
    at_once = picture.convert("RGB").reduce(3)
    in_bands = plain_in_bands(picture, 3).convert("RGB")
    assert in_bands.size == at_once.size
    differ = max(
        abs(one - other) for one, other in zip(at_once.tobytes(), in_bands.tobytes(), strict=True)
    )
    assert differ <= 2


def test_one_waits_until_there_is_room() -> None:
    inside, leave, other = (threading.Event() for _ in range(3))

    def hold() -> None:
        with room_for(ROOM):
            inside.set()
            leave.wait(60)

    def wait() -> None:
        with room_for(1):
            other.set()

    threads = [threading.Thread(target=each) for each in (hold, wait)]
    threads[0].start()
    assert inside.wait(60)
    threads[1].start()
    assert not other.wait(0.1)
    leave.set()
    assert other.wait(60)
    for thread in threads:
        thread.join()


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="counts kilobytes, as Linux does")
def test_whatever_is_in_a_folder_it_takes_no_more_than_that(tmp_path: Path) -> None:
    folder = tmp_path / "pictures"
    folder.mkdir()
    large_png(folder / "refused.png", 12_000, 12_000)
    for at in range(2):
        large_png(folder / f"{at}.png", 9_000 + at, 9_000)
        large_png(folder / f"clear{at}.png", 7_000 + at, 7_000, colour=6)
        Image.new("RGB", (12_000 - at, 9_000)).save(folder / f"{at}.jpg", progressive=True)
        Image.new("RGB", (12_000 - at, 12_000)).save(folder / f"plain{at}.jpg")
        Image.new("CMYK", (11_999 - at, 11_000)).save(folder / f"print{at}.jpg")
    program = (
        "import re, sys; from stores.cli.app import main\n"
        "try: main(sys.argv[1:])\n"
        "except SystemExit as left: print(left.code or 0)\n"
        # what this process had at most; the kernel's ru_maxrss begins with that of who started it
        "print(re.search(r'VmHWM:\\s*(\\d+) kB', open('/proc/self/status').read())[1])\n"
    )
    at = ["--stores", str(tmp_path / "stores.db")]
    for words in (
        ["machine", "add", "Orrick Plover"],
        ["photo", "add", str(folder)],
        ["photo", "sheets", "-o", str(tmp_path / "index.pdf")],
    ):
        run = subprocess.run(
            [sys.executable, "-c", program, *at, *words], capture_output=True, text=True
        )
        *_, status, kilobytes = run.stdout.split()
        assert status == "0", run.stdout + run.stderr
        assert int(kilobytes) // 1024 <= MOST, words
