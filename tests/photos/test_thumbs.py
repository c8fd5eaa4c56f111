"""Thumbnails: upright, in plain colour, small, in order."""

import io
from pathlib import Path

import pytest
from photos_builder import noise, picture
from PIL import Image, ImageOps

from stores.errors import BadValue
from stores.photos.opening import PictureRefused
from stores.photos.thumbs import thumbnail, thumbnails


def made(file: Path, longest: int = 100, **more: int) -> Image.Image:
    opened = Image.open(io.BytesIO(thumbnail(file, longest, **more)))
    assert opened.format == "JPEG"
    assert opened.mode in ("L", "RGB")
    assert not opened.getexif()
    return opened


@pytest.mark.parametrize("turned", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png"])
def test_upright_as_pillow_turns_it(tmp_path: Path, turned: int, suffix: str) -> None:
    """Four corners of four colours; the judge is Pillow's own ``exif_transpose``."""
    image = Image.new("RGB", (320, 240), "white")
    for colour, corner in (("red", (0, 0)), ("lime", (160, 0)), ("blue", (0, 120))):
        image.paste(colour, (*corner, corner[0] + 160, corner[1] + 120))
    exif = Image.Exif()
    exif[0x0112] = turned
    file = tmp_path / f"a.{suffix}"
    image.save(file, exif=exif)
    with Image.open(file) as stored:
        judge = ImageOps.exif_transpose(stored).convert("RGB")
    small = made(file, 80).convert("RGB")
    assert small.size == ((60, 80) if turned >= 5 else (80, 60))
    for across in (0.25, 0.75):
        for down in (0.25, 0.75):
            want = judge.getpixel((int(judge.width * across), int(judge.height * down)))
            got = small.getpixel((int(small.width * across), int(small.height * down)))
            assert all(abs(a - b) < 40 for a, b in zip(want, got, strict=True))


@pytest.mark.parametrize(
    ("mode", "colour", "want"),
    [
        ("L", 128, (128, 128, 128)),
        ("1", 1, (255, 255, 255)),
        ("I;16", 40_000, (156, 156, 156)),
        ("RGBA", (255, 0, 0, 0), (255, 255, 255)),
        ("RGBA", (255, 0, 0, 255), (255, 0, 0)),
        ("LA", (0, 0), (255, 255, 255)),
    ],
)
def test_colours_of_png(
    tmp_path: Path, mode: str, colour: object, want: tuple[int, int, int]
) -> None:
    Image.new(mode, (300, 200), colour).save(tmp_path / "a.png")
    got = made(tmp_path / "a.png").convert("RGB").getpixel((50, 30))
    assert all(abs(a - b) <= 3 for a, b in zip(want, got, strict=True))


def test_palette_with_a_transparent_colour_and_cmyk(tmp_path: Path) -> None:
    image = Image.new("P", (300, 200), 1)
    image.putpalette([0, 0, 0, 255, 0, 0])
    image.save(tmp_path / "a.png", transparency=b"\xff\x00")
    assert made(tmp_path / "a.png").convert("RGB").getpixel((50, 30)) == (255, 255, 255)
    Image.new("CMYK", (300, 200), (0, 255, 255, 0)).save(tmp_path / "a.jpg")
    red, green, blue = made(tmp_path / "a.jpg").convert("RGB").getpixel((50, 30))
    assert red > 200
    assert max(green, blue) < 60


@pytest.mark.parametrize("size", [(4000, 3), (3, 4000), (1, 1), (101, 99), (64, 64)])
def test_never_larger_never_without_a_side(tmp_path: Path, size: tuple[int, int]) -> None:
    small = made(picture(tmp_path / "a.jpg", size=size), 100)
    assert max(small.size) == min(100, max(size))
    assert min(small.size) >= 1


def test_nonsense_is_refused(tmp_path: Path) -> None:
    file = picture(tmp_path / "a.jpg")
    for longest, quality in ((0, 80), (20_000, 80), (100, 0), (100, 100)):
        with pytest.raises(BadValue):
            thumbnail(file, longest, quality)


def test_many_in_order_a_broken_one_among_them(tmp_path: Path) -> None:
    files = [picture(tmp_path / f"{number}.jpg", size=(number + 1, 5)) for number in range(60)]
    whole = noise(files[30]).read_bytes()
    files[30].write_bytes(whole[: len(whole) // 2])
    results = list(thumbnails(files, 100))
    assert [file for file, _ in results] == files
    for number, (_, result) in enumerate(results):
        if number == 30:
            assert isinstance(result, PictureRefused)
            assert result.reason == "the picture is cut short"
        else:
            assert isinstance(result, bytes)
            with Image.open(io.BytesIO(result)) as opened:
                assert opened.size == (number + 1, 5) if number < 100 else (100, 5)
