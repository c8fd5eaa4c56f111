"""Reading codes in pictures; the writer of the codes is the qrcode package, not this project."""

from pathlib import Path

import numpy as np
import pytest
import qrcode
from photos_builder import noise, picture
from PIL import Image, ImageFilter

from stores.photos.codes import codes_in, codes_in_all
from stores.photos.opening import PictureRefused


def code(text: str, module: int = 8) -> Image.Image:
    made = qrcode.QRCode(border=4, box_size=module)
    made.add_data(text)
    return made.make_image().get_image().convert("RGB")


def scene(file: Path, *codes: Image.Image, blur: float = 0) -> Path:
    image = Image.effect_noise((1600, 1200), 40).convert("RGB")
    for at, each in enumerate(codes):
        image.paste(each, (60 + 700 * at, 200 + 150 * at))
    image.filter(ImageFilter.GaussianBlur(blur)).save(file, "JPEG", quality=85)
    return file


@pytest.mark.parametrize("turn", [0, 17, 90, 133, 180, 271])
@pytest.mark.parametrize("blur", [0, 2, 4])
def test_one_code_however_it_lies(tmp_path: Path, turn: int, blur: float) -> None:
    turned = code("A001N\nclutch").rotate(turn, Image.Resampling.BICUBIC, True, fillcolor="white")
    assert codes_in(scene(tmp_path / "a.jpg", turned, blur=blur)) == ("A001N\nclutch",)


def test_two_codes_are_both_read_and_sorted(tmp_path: Path) -> None:
    file = scene(tmp_path / "a.jpg", code("B002"), code("A001N"))
    assert codes_in(file) == ("A001N", "B002")
    twice = scene(tmp_path / "b.jpg", code("A001N"), code("A001N"))
    assert codes_in(twice) == ("A001N",)


def test_a_small_code_takes_a_thorough_look(tmp_path: Path) -> None:
    small = code("A001N", 4).resize((52, 52), Image.Resampling.LANCZOS)  # 1.8 pixels a module
    file = scene(tmp_path / "a.jpg", small, blur=0.6)
    assert codes_in(file, thorough=True) == ("A001N",)


def test_a_faint_one_with_dead_dots_is_read_at_half_its_size(tmp_path: Path) -> None:
    """As a thermal label ages: pale, and every ninth row of dots was never printed."""
    made = np.asarray(code("A001N", 9).convert("L"), np.float32)
    pale = 200 - 0.15 * (255 - made)
    pale[::9] = 200
    pale += np.random.default_rng(1).normal(0, 30, pale.shape)
    image = Image.new("L", (1600, 1200), 200)
    image.paste(Image.fromarray(np.clip(pale, 0, 255).astype(np.uint8)), (300, 300))
    image.save(tmp_path / "a.png")
    assert codes_in(tmp_path / "a.png") == ("A001N",)


def from_the_side(made: Image.Image, size: int, far: float, flat: float) -> Image.Image:
    """Show a square seen from one side: its far edge ``far`` as long, itself ``flat`` as high."""
    inset, height = (1 - far) * size / 2, int(size * flat)
    seen = ((inset, 0), (size - inset, 0), (size, height), (0, height))
    lies = ((0, 0), (size, 0), (size, size), (0, size))
    rows, right = [], []
    for (x, y), (u, v) in zip(seen, lies, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    eight = np.linalg.solve(np.array(rows, float), np.array(right, float)).tolist()
    return made.resize((size, size), Image.Resampling.LANCZOS).transform(
        (size, height), Image.Transform.PERSPECTIVE, eight, Image.Resampling.BICUBIC, fillcolor=255
    )


@pytest.mark.parametrize("turned", [False, True])
def test_one_seen_from_the_side_takes_a_thorough_look(tmp_path: Path, turned: bool) -> None:
    askew = from_the_side(code("A001N").convert("L"), 180, 0.8, 0.35)
    image = Image.new("L", (300, 300), 215)
    image.paste(askew.rotate(90, expand=True) if turned else askew, (60, 60))
    soft = np.asarray(image.filter(ImageFilter.GaussianBlur(0.5)), np.float32)
    grain = np.random.default_rng(1).normal(0, 4, soft.shape)
    Image.fromarray(np.clip(soft + grain, 0, 255).astype(np.uint8)).save(tmp_path / "a.png")
    assert codes_in(tmp_path / "a.png", thorough=True) == ("A001N",)


def test_no_code_and_no_room_for_one(tmp_path: Path) -> None:
    assert codes_in(scene(tmp_path / "a.jpg")) == ()
    for size in ((1, 1), (3, 2000), (2000, 3)):
        assert codes_in(picture(tmp_path / "b.jpg", size=size), thorough=True) == ()
        assert codes_in(picture(tmp_path / "b.png", size=size), thorough=True) == ()


def test_many_in_order_with_refusals(tmp_path: Path) -> None:
    files = [scene(tmp_path / f"{number}.jpg", code(f"N{number}")) for number in range(6)]
    whole = noise(files[3]).read_bytes()
    files[3].write_bytes(whole[: len(whole) // 2])
    results = list(codes_in_all(files))
    assert [file for file, _ in results] == files
    assert isinstance(results[3][1], PictureRefused)
    assert [result for _, result in results[:3]] == [("N0",), ("N1",), ("N2",)]
