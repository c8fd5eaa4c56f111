"""How often a bag's label is read in a photograph, and whether anything is filed wrongly.

Labels as ``stores labels`` prints them are laid into real photographs (those that scikit-image's
wheel carries, brought to 12 megapixels with a camera's noise): at several sizes, tilts, blurs and
lights, turned at any angle, saved as JPEG. Each is then read and filed as an import would. For
every condition: the share filed under its bag, the time a picture takes, and how many were filed
under another bag, which must be none. Pictures with two labels must be filed under none, pictures
without a label must show no code.

Run: python tests/benchmarks/label_in_picture.py [PICTURES PER CONDITION, default 2] [--thorough]
"""

import contextlib
import io
import math
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import skimage.data
from PIL import Image, ImageChops, ImageFilter

from stores import bagcode
from stores.cli.app import main as stores
from stores.errors import StoresError
from stores.photos.codes import codes_in
from stores.photos.filing import read_labels
from stores.printing import templates

SIZE = (4000, 3000)
BACKGROUNDS = (
    "astronaut.png",
    "brick.png",
    "chelsea.png",
    "coffee.png",
    "coins.png",
    "grass.png",
    "gravel.png",
    "hubble_deep_field.jpg",
    "motorcycle_left.png",
    "page.png",
    "rocket.jpg",
    "text.png",
)
STOCK = "a4-21-63.5x38.1"
DPI = 600
BAGS = 12
THOROUGH = "--thorough" in sys.argv


@dataclass(frozen=True)
class Condition:
    """How a label lies in a picture: width and blur in pixels, tilt in degrees, light."""

    name: str
    width: int = 900
    tilt: float = 15
    blur: float = 0.8
    light: str = "even"
    labels: int = 1


CONDITIONS = (
    *(
        Condition(f"label {w} px wide, {w / 40:.1f} % of the long side", w)
        for w in (2400, 1400, 900, 600, 450, 350, 280, 220)
    ),
    *(Condition(f"tilted {tilt} degrees", tilt=tilt) for tilt in (0, 30, 45, 60, 70)),
    *(Condition(f"blurred by {blur} px (sigma)", blur=blur) for blur in (0, 2, 3, 4, 6)),
    Condition("dim: an eighth of the light, with noise", light="dim"),
    Condition("faint: contrast a fifth", light="faint"),
    Condition("shadow across the label", light="shadow"),
    Condition("lamp: bright to dark across the picture", light="lamp"),
    Condition("glare: a washed-out spot on the label", light="glare"),
    Condition("400 px, 45 degrees, blur 1.5, lamp", 400, 45, 1.5, "lamp"),
)
TWO = (
    Condition("two labels, 900 px each", labels=2),
    Condition("two labels, 450 px each", 450, labels=2),
    Condition("two labels, blur 3", blur=3, labels=2),
    Condition("two labels, 45 degrees", tilt=45, labels=2),
)


def printed_labels(folder: Path) -> dict[str, Image.Image]:
    """Give real labels by bag code: stripped, printed and rendered from the PDF."""
    base = ["--stores", str(folder / "stores.db")]
    pdf = folder / "labels.pdf"
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        _run([*base, "machine", "add", "Orrick Plover"])
        for number in range(1, BAGS + 1):
            cover = f"cover {number}"
            _run([*base, "strip", "Engine/Clutch", cover, "4 M6x25 hex bolt", "2 M6x40 bolt"])
        _run([*base, "labels", "--all", "--stock", STOCK, "--out", str(pdf)])
    sheet = templates.load_stock(STOCK)
    scale = DPI / 25.4
    document = pypdfium2.PdfDocument(pdf)
    page = document[0].render(scale=DPI / 72).to_pil().convert("RGB")
    document.close()
    labels = {}
    for spot in sheet.spots(BAGS, 1):
        left, top = round(spot.x * scale), round(spot.y * scale)
        width, height = round(sheet.label_width * scale), round(sheet.label_height * scale)
        label = page.crop((left, top, left + width, top + height))
        labels[bagcode.nth(len(labels))] = label
    return labels


def _run(words: list[str]) -> None:
    try:
        stores(words)
    except SystemExit as left:
        if left.code:
            raise RuntimeError(f"stores {' '.join(words)}: status {left.code}") from left


@cache
def _scene(name: str) -> Image.Image:
    with Image.open(Path(skimage.data.__file__).parent / name) as opened:
        picture = opened.convert("RGB")
    scale = max(SIZE[0] / picture.width, SIZE[1] / picture.height)
    width, height = (round(side * scale) for side in picture.size)
    picture = picture.resize((max(width, SIZE[0]), max(height, SIZE[1])), Image.Resampling.BICUBIC)
    return picture.crop((0, 0, *SIZE))


def background(number: int, chance: random.Random) -> Image.Image:
    """Give a 12 megapixel photograph: cut, turned over at random."""
    picture = _scene(BACKGROUNDS[number % len(BACKGROUNDS)])
    if chance.random() < 0.5:
        return picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    return picture.copy()


@cache
def _noise(sigma: float) -> Image.Image:
    return Image.merge("RGB", (Image.effect_noise(SIZE, sigma),) * 3)  # grey 128 with this spread


def _noisy(picture: Image.Image, sigma: float) -> Image.Image:
    return ImageChops.add(picture, _noise(sigma), 1, -128)


def corners(
    label: Image.Image, case: Condition, chance: random.Random
) -> list[tuple[float, float]]:
    """Give where a pinhole camera sees the label's corners, about the middle, for a random turn.

    The label is tilted about a random line in its plane. The camera stands at four widths of the
    label, so that the far edge is truly smaller.
    """
    turn, axis = chance.uniform(0, math.tau), chance.uniform(0, math.tau)
    tilt = math.radians(case.tilt)
    aspect = label.height / label.width
    seen = []
    for x, y in ((-0.5, -aspect / 2), (0.5, -aspect / 2), (0.5, aspect / 2), (-0.5, aspect / 2)):
        along = x * math.cos(axis) + y * math.sin(axis)
        across = -x * math.sin(axis) + y * math.cos(axis)
        near = 4 / (4 + across * math.sin(tilt))
        along, across = along * near, across * math.cos(tilt) * near
        u = along * math.cos(axis) - across * math.sin(axis)
        v = along * math.sin(axis) + across * math.cos(axis)
        seen.append(
            (
                case.width * (u * math.cos(turn) - v * math.sin(turn)),
                case.width * (u * math.sin(turn) + v * math.cos(turn)),
            )
        )
    return seen


def lay(
    picture: Image.Image,
    label: Image.Image,
    case: Condition,
    within: tuple[float, float],
    chance: random.Random,
) -> tuple[float, float]:
    """Lay a label into the picture between two shares of its width; give the label's middle."""
    seen = corners(label, case, chance)
    reach = max(max(abs(x), abs(y)) for x, y in seen) + 4
    left, right = (SIZE[0] * share for share in within)
    at = (
        chance.uniform(left + reach, max(left + reach, right - reach)),
        chance.uniform(reach, max(reach, SIZE[1] - reach)),
    )
    box = (int(at[0] - reach), int(at[1] - reach), int(at[0] + reach), int(at[1] + reach))
    small = label.width / case.width / max(math.cos(math.radians(case.tilt)), 0.3)
    if small > 1.5:  # what lies behind one pixel is averaged by a lens, not picked
        label = label.resize((round(label.width / small), round(label.height / small)))
    target = [(x + at[0] - box[0], y + at[1] - box[1]) for x, y in seen]
    warp = _perspective(target, label.size)
    size = (box[2] - box[0], box[3] - box[1])
    how = Image.Transform.PERSPECTIVE
    over = label.transform(size, how, warp, Image.Resampling.BICUBIC)
    mask = Image.new("L", label.size, 255).transform(size, how, warp, Image.Resampling.BICUBIC)
    picture.paste(over, box, mask)
    return at


def _perspective(seen: list[tuple[float, float]], size: tuple[int, int]) -> list[float]:
    """Give the eight numbers that lead from a point of the picture back to one of the label."""
    rows, values = [], []
    source = ((0, 0), (size[0], 0), size, (0, size[1]))
    for (x, y), (u, v) in zip(seen, source, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return [float(each) for each in np.linalg.solve(np.array(rows), np.array(values))]


def lit(picture: Image.Image, case: Condition, at: tuple[float, float]) -> Image.Image:
    """Give the picture in another light, then with the noise that goes with it."""
    if case.light == "dim":
        return _noisy(picture.point(lambda value: value / 8), 4)
    if case.light == "faint":
        return _noisy(picture.point(lambda value: 110 + value / 5), 4)
    veil = None
    if case.light == "shadow":  # a straight edge through the label, a sixth of the light behind it
        veil = Image.new("L", SIZE, 255)
        veil.paste(42, (0, 0, int(at[0]), SIZE[1]))
        veil = veil.filter(ImageFilter.BoxBlur(6))
    elif case.light == "lamp":
        veil = Image.linear_gradient("L").rotate(90).resize(SIZE)
        veil = veil.point(lambda value: 40 + value * 215 / 255)
    if veil:
        return ImageChops.multiply(picture, Image.merge("RGB", (veil,) * 3))
    if case.light == "glare":
        spot = ImageChops.invert(Image.radial_gradient("L")).point(lambda value: value * 1.1)
        wide = int(case.width * 1.2)
        glare = Image.new("L", SIZE, 0)
        corner = (int(at[0] - wide / 2 + case.width / 3), int(at[1] - wide / 2))
        glare.paste(spot.resize((wide, wide)), corner)
        return ImageChops.screen(picture, Image.merge("RGB", (glare,) * 3))
    return picture


def photograph(
    case: Condition, number: int, labels: dict[str, Image.Image], file: Path
) -> tuple[str, ...]:
    """Write one picture and give the codes of the labels that lie in it."""
    chance = random.Random(f"{case.name} {number}")
    codes = chance.sample(sorted(labels), case.labels)
    picture = background(number, chance)
    at = (SIZE[0] / 2, SIZE[1] / 2)
    for place, code in enumerate(codes):
        share = (place / case.labels, (place + 1) / case.labels)
        at = lay(picture, labels[code], case, share, chance)
    if case.blur:
        picture = picture.filter(ImageFilter.GaussianBlur(case.blur))
    lit(_noisy(picture, 5), case, at).save(file, "JPEG", quality=88)
    return tuple(codes)


def code_of(text: str) -> str | None:
    try:
        return bagcode.check(text)
    except StoresError:
        return None


@dataclass(frozen=True)
class Tally:
    """What came of the pictures of one condition."""

    pictures: int = 0
    filed: int = 0
    nowhere: int = 0
    wrong: int = 0
    half_seen: int = 0
    seconds: float = 0


def tried(case: Condition, count: int, labels: dict[str, Image.Image], folder: Path) -> Tally:
    def one(number: int) -> tuple[Path, tuple[str, ...]]:
        file = folder / f"{number}.jpg"
        return file, photograph(case, number, labels, file)

    with ThreadPoolExecutor() as pool:
        made = list(pool.map(one, range(count)))
    tally = Tally()
    for file, codes in made:
        begin = time.perf_counter()
        texts = codes_in(file, thorough=THOROUGH)
        taken = time.perf_counter() - begin
        read = read_labels([file], {file: texts}, known=set(labels), bag_code_of=code_of)
        bag = read[file].bag if file in read else None
        tally = replace(
            tally,
            pictures=tally.pictures + 1,
            filed=tally.filed + (bag in codes),
            nowhere=tally.nowhere + (bag is None),
            wrong=tally.wrong + (bag is not None and bag not in codes),
            half_seen=tally.half_seen + (len(codes) == 2 and bag is not None),
            seconds=tally.seconds + taken,
        )
        file.unlink()
    return tally


def lines(count: int, labels: dict[str, Image.Image], folder: Path) -> Iterator[str]:
    wrong = pictures = 0
    yield f"{'':<46}{'filed':>9}{'wrong':>7}{'ms each':>9}"
    for case in CONDITIONS:
        tally = tried(case, count, labels, folder)
        wrong, pictures = wrong + tally.wrong, pictures + tally.pictures
        share = 100 * tally.filed / tally.pictures
        yield f"{case.name:<46}{share:7.0f} %{tally.wrong:7}{_each(tally):9.0f}"
    yield ""
    yield f"{'':<46}{'nowhere':>9}{'one':>7}{'ms each':>9}"
    for case in TWO:
        tally = tried(case, count, labels, folder)
        wrong, pictures = wrong + tally.wrong, pictures + tally.pictures
        share = 100 * tally.nowhere / tally.pictures
        yield f"{case.name:<46}{share:7.0f} %{tally.half_seen:7}{_each(tally):9.0f}"
    yield "    one: only one of the two was read, and the picture filed under it"
    tally = tried(Condition("no label", labels=0), max(count, len(BACKGROUNDS)), labels, folder)
    wrong, pictures = wrong + tally.wrong, pictures + tally.pictures
    yield f"{'no label':<46}{100 * tally.nowhere / tally.pictures:7.0f} %{'':7}{_each(tally):9.0f}"
    yield ""
    yield f"filed under a wrong bag: {wrong} of {pictures} pictures   (aim: 0)"


def _each(tally: Tally) -> float:
    return 1000 * tally.seconds / tally.pictures


def main() -> None:
    numbers = [word for word in sys.argv[1:] if word.isdigit()]
    count = int(numbers[0]) if numbers else 2
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        labels = printed_labels(folder)
        texts = {code: codes_of_label(label) for code, label in labels.items()}
        assert all(code_of(text) == code for code, text in texts.items()), texts
        print(f"{SIZE[0]} x {SIZE[1]} pixels, label {STOCK}, {count} pictures a condition")
        for line in lines(count, labels, folder):
            print(line, flush=True)


def codes_of_label(label: Image.Image) -> str:
    import zxingcpp

    return zxingcpp.read_barcodes(label)[0].text


if __name__ == "__main__":
    main()
