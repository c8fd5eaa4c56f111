"""Which design of QR codes on a label is still read after two years in a workshop.

Every design gets the same area of the label, white around the codes included: the area of the one
code that the label has room for. Codes are laid out on the dots of a printer of 203 or 300 dpi,
harmed, photographed from askew by a made-up camera and read by zxing-cpp. Each trial harms all
designs alike, at the same places of the label. "Whole" is the text as the program prints it, bag
code first, as many lines as fit; "short" is the bag code alone.

Reading any code of a label gives the bag's code. The chance of it is printed for each damage, with
95 % limits after Wilson (Journal of the American Statistical Association 22 (1927), 209-212), and
the difference to one whole code with the limits of a difference of pairs. The damages are made up
to look like what happens, harsh enough that some codes fail; the order of the designs is what
counts, not the percentages.

Found with 40 trials for each of 32 cells (1,280 labels, 640 a row), any code read, mean of all
damages with 95 % limits:

                       63.5 x 38.1 mm     38.1 x 21.2 mm
    1 whole L          43 % (40-47)       42 % (38-45)
    1 short H          59 % (55-63)       50 % (46-54)
    2 whole L          60 % (57-64)       47 % (43-51)
    whole M + short H  70 % (66-73)       57 % (54-61)
    2 short H          71 % (67-74)       54 % (51-58)

As the program printed them before words ran round the codes (192 labels a column, 12 trials): 72 %
(65-78) and 54 % (47-61); read by the program from a photograph, as its page for a telephone does,
which looks again where nothing is seen: 93 % (89-96) and 77 % (71-82).

With words in 8 points, 192 labels a figure, on seeds that the layout was not chosen by (from 90,000
on; three lines of contents unless said): 65 % on 63.5 x 38.1 mm, 68 % on 66.7 x 25.4 mm, 69 % on a
roll of 51 x 32 mm; on 38.1 x 21.2 mm 59 % with one line, where the words leave room for two codes,
and 48 % with three, where there is one (56 and 46 % from 110,000 on). Between sets of seeds the
same codes of 63.5 x 38.1 mm were read on 65 to 78 %: a figure of one set is good to no better than
that.

The text is five letters, the version the least and the level the highest: nothing is left there.
Nor do larger modules help. On one set of seeds, used to look for a better layout, two codes 14, 16
and 19 mm wide with their white were read on 74, 76 and 76 % on 63.5 x 38.1 mm, three of 19 mm on 79
%; on 38.1 x 21.2 mm one code was read on 43 to 51 %, however large it was. What bounds them is
fading and dead dots, where a plain reader of a cut-out picture sees grain. Set into a picture of
1000 dots, which the same reader shrinks as well, 77 % are read on 63.5 x 38.1 mm, 78 % on 66.7 x
25.4 mm, 76 % on the roll, and no more than before on 38.1 x 21.2 mm (61 and 51 %). These runs are
by hand from the functions here, on the dots that a sheet or a roll is printed with.

What is read of each stock as it is printed, whole labels with their words in one picture of at
least 1000 dots, each with the printers and damages that can befall it (a sheet has toner or ink of
300 and 600 dots an inch and no thermal head; a roll 203 and 300 and all of the damages), 224 to 256
labels each, on seeds from 500,000 on that no layout was chosen by, one to four lines of contents:

                            plain reader       aim      by the program
    a4-21-63.5x38.1         84 % (79-89)       80 %     96 % (93-98)
    letter-30-66.7x25.4     79 % (74-84)       60 %     91 % (87-94)
    a4-65-38.1x21.2         63 % (56-69)       60 %     78 % (72-83)
    roll-51x32              74 % (69-79)       60 %     89 % (84-92)
    roll-57                 75 % (69-80)       60 %     89 % (85-92)

On seeds from 1,730,000 on, 112 to 128 labels each: 86, 79, 62, 81 and 70 %, by the program 93, 88,
81, 90 and 86 %. Every aim is reached by the mean; that of the smallest stock is within its limits
and no more, in both sets.

The figures above are lower: they are of the cut-out of a single code, which nobody photographs,
and with a thermal head's damages, which no sheet has. Of the damages fading to a twentieth of the
contrast takes most, then stains and, on the smallest, creases.

Two codes in opposite corners outlive one of the same area where a blot, a crease or dead dots take
a place; large modules outlive small ones under blur; on the same area a higher level was read at
least as often, at the price of a shorter text. What is in the bag stands in words beside them, so
both codes say the bag code alone; a layout may ask for the contents in the first one. On 38.1 x
21.2 mm a second one stands where the words leave room for it. No code was ever read as another
bag's.

Run: python tests/benchmarks/code_survival.py [TRIALS]     (for each size, printer and damage)
     python tests/benchmarks/code_survival.py stock [TRIALS]     (for each stock, as it is printed)
"""

import contextlib
import math
import random
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import zxingcpp
from PIL import Image, ImageFilter

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "printing"))

from printing_builder import bag, item

from stores.bagcode import check, nth
from stores.errors import StoresError
from stores.model.labels import Bag
from stores.photos.codes import codes_seen
from stores.printing.boxes import Code
from stores.printing.draw import measure
from stores.printing.label_layout import Face, lay_out
from stores.printing.label_values import fields_of
from stores.printing.labels import label_pages
from stores.printing.qr import BYTES, MIN_MODULE, QUIET_MODULES, side, symbol
from stores.printing.raster import dots
from stores.printing.templates import best_for, load_stock

Grid = Any  # an array of numpy

CAMERA = 10.0
"""Pixels to a millimetre of the label: a telephone held so that it sees a hand's breadth of it."""
LABELS = {"63.5 x 38.1": (63.5, 38.1, 20.4), "38.1 x 21.2": (38.1, 21.2, 14.1)}
"""Width, height, and the side of the square that one code with its white takes today, in mm."""
PRINTERS = (203, 300)
DAMAGES = ("stains", "blot", "creases", "fading", "blur", "tilt", "thermal", "all of them")
BENCH = 120.0
"""How light the bench is that a whole label lies on; its paper is 215."""
PICTURE = 1000
"""Pixels: so wide and high at least is a picture of a whole label, as a telephone gives it."""


class Stock(NamedTuple):
    """Label stock as it is printed on: by which printers, in dots an inch, and whether by a thermal
    head, which fades and has dead dots where a sheet's toner or ink does not."""

    name: str
    printers: tuple[int, int]
    head: bool
    aim: float


STOCKS = (
    Stock("a4-21-63.5x38.1", (300, 600), head=False, aim=0.8),
    Stock("letter-30-66.7x25.4", (300, 600), head=False, aim=0.6),
    Stock("a4-65-38.1x21.2", (300, 600), head=False, aim=0.6),
    Stock("roll-51x32", (203, 300), head=True, aim=0.6),
    Stock("roll-57", (203, 300), head=True, aim=0.6),
)
FIRST_SEED = 500_000
"""Of the labels by stock: no layout was chosen by seeds from here on."""
PAYLOAD = (
    "{code}\nOrrick Plover 150\nEngine / Gearbox / Selector, step 31: Selector fork spindle\n"
    "4 M6 x 25 hex bolt\n4 M6 plain washer\n2 1/4-26 BSF x 1 1/2 in hex bolt\n1 paper gasket"
)


@dataclass(frozen=True)
class Design:
    """Codes on a label, each with what it says, its level and its share of the area."""

    name: str
    codes: tuple[tuple[str, str, float], ...]


DESIGNS = (
    *(Design(f"1 whole {level}", (("whole", level, 1),)) for level in "LMQH"),
    *(Design(f"2 whole {level}", (("whole", level, 0.5),) * 2) for level in "LMQH"),
    *(Design(f"1 short {level}", (("short", level, 1),)) for level in "LMQH"),
    *(Design(f"2 short {level}", (("short", level, 0.5),) * 2) for level in "LMQH"),
    Design("whole L + short H", (("whole", "L", 2 / 3), ("short", "H", 1 / 3))),
    Design("whole M + short H", (("whole", "M", 2 / 3), ("short", "H", 1 / 3))),
)
PRINTED = "as printed"
"""The codes of a bag label of this size as the program lays it out, three lines of contents: their
own sizes and places, whatever area that is."""
PHOTOGRAPHED = "as printed, read by the program"
"""The same, in the program's own way of looking at a photograph."""
BASE = "1 whole L"


def fitted(code: str, kind: str, level: str, room: float) -> tuple[str, int]:
    """Give the text and version of a code for ``room`` mm, its white included: modules as large
    as the text allows, as much text as the least module allows."""
    lines = (code if kind == "short" else PAYLOAD.format(code=code)).split("\n")
    for kept in range(len(lines), 0, -1):
        text = "\n".join(lines[:kept])
        for version in BYTES:
            if (side(version) + 2 * QUIET_MODULES) * MIN_MODULE > room:
                break
            if BYTES[version]["LMQH".index(level)] >= len(text.encode()):
                return text, version
    # as today: smaller modules rather than no code
    return code, next(v for v in BYTES if BYTES[v]["LMQH".index(level)] >= len(code))


def printed(code: str, kind: str, level: str, room: float, dpi: int) -> Grid:
    """Lay a code with its white on the printer's dots: 1 is ink."""
    text, version = fitted(code, kind, level, room)
    modules = side(version)
    bits = f"{symbol(text, version, level):0{modules * modules}b}"[::-1]
    dark = np.array([bit == "1" for bit in bits]).reshape(modules, modules)
    dark = np.pad(dark, QUIET_MODULES)
    dots = round(room / 25.4 * dpi)
    at = np.arange(dots) * dark.shape[0] // dots
    return dark[np.ix_(at, at)].astype(np.float32)


class Harm:
    """What befell one label, as functions of the place in mm; the same for every design."""

    def __init__(
        self,
        damage: str,
        label: tuple[float, float],
        scale: float,
        dpi: int,
        seed: int,
        *,
        head: bool = True,
    ):
        """``scale`` is how large a code is, in mm; ``head``: a thermal head printed it."""
        self.label = label
        self.chance = chance = random.Random(seed)
        self.noise = np.random.default_rng(seed)
        self.dpi = dpi
        every = damage == "all of them"
        width, height = label
        less = 0.45 if every else 1.0

        def has(name: str) -> bool:
            return (every and (head or name != "thermal")) or damage == name

        self.spots: list[tuple[float, float, float, float]] = []
        if has("stains"):
            left = chance.uniform(0.01, 0.05) * less * width * height
            while left > 0:
                radius = 0.05 * scale * chance.lognormvariate(0, 0.35)
                self.spots.append(self.spot(width, height, radius))
                left -= math.pi * radius**2
        if has("blot"):
            radius = math.sqrt(chance.uniform(0.03, 0.12) * less * width * height / math.pi)
            self.spots.append(self.spot(width, height, radius))
        self.folds: list[tuple[float, float, float, float, float]] = []
        for _ in range(chance.randint(1, 3) if has("creases") else 0):
            turn = chance.uniform(0, math.pi)
            x, y = chance.uniform(0, width), chance.uniform(0, height)
            away = x * math.cos(turn) + y * math.sin(turn)
            wide = chance.uniform(0.3, 1.6) * less
            self.folds.append((turn, away, wide, chance.uniform(-0.5, 0.5) * less, 0.8))
        self.contrast = 0.78
        self.grain = 4.0
        if has("fading"):
            self.contrast = chance.uniform(0.05, 0.3) if not every else chance.uniform(0.25, 0.6)
            self.grain = 7.0 if not every else 5.0
        if has("thermal"):
            self.contrast *= chance.uniform(0.2, 0.7) if not every else 0.8
        dots = round(width / 25.4 * dpi) + 400
        self.live = np.ones(dots, np.float32)
        if has("thermal"):
            self.live[self.noise.random(dots) < chance.uniform(0.02, 0.1) * less] = 0
            for _ in range(chance.randint(1, 4)):
                at = chance.randrange(dots - 400)
                self.live[at : at + chance.randint(2, 8 if not every else 4)] = 0
        self.blur = chance.uniform(0.1, 0.34) if has("blur") and not every else 0.08
        if every:
            self.blur = chance.uniform(0.08, 0.2)
        self.turn = chance.uniform(0, 2 * math.pi)
        self.lean = math.radians(chance.uniform(35, 68) if has("tilt") and not every else 8)
        if every:
            self.lean = math.radians(chance.uniform(10, 40))
        self.light = chance.uniform(0, 2 * math.pi)
        self.seed = seed

    def spot(self, width: float, height: float, radius: float) -> tuple[float, float, float, float]:
        chance = self.chance
        x, y = chance.uniform(0, width), chance.uniform(0, height)
        return x, y, radius, chance.uniform(0.05, 0.6)

    def camera(self, x: float, y: float, room: float) -> tuple[Grid, Grid]:
        """Where each pixel of a picture of one code, two by two, falls on the label."""
        return self._seen(x + room / 2, y + room / 2, room * 0.75)

    def _seen(self, x: float, y: float, reach: float) -> tuple[Grid, Grid]:
        """Where each pixel, two by two, falls on the label: turned, from askew."""
        near = np.arange(-reach, reach, 0.5 / CAMERA, np.float32)
        u, v = np.meshgrid(near, near)
        # the plane leans by an angle about an axis; the eye is 120 mm away, or 8 times the reach
        squeeze, eye = math.cos(self.lean), max(120.0, 8 * reach)
        depth = eye / (eye * squeeze - v * math.sin(self.lean))
        a, b = u * depth * squeeze, v * depth
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        return a * cos - b * sin + x, a * sin + b * cos + y

    def pictures(self, inks: list[Grid], x: float, y: float, room: float) -> Iterator[Grid]:
        """Photograph codes that stand, one instead of the other, at a place of the label."""
        yield from self._photographed(inks, (x, y), (room, room), self.camera(x, y, room))

    def whole(self, ink: Grid) -> Grid:
        """Photograph the whole label on a bench, from so far off that it is in the picture."""
        width, height = self.label
        reach = math.hypot(width, height) * 0.55
        (picture,) = self._photographed(
            [ink], (0.0, 0.0), self.label, self._seen(width / 2, height / 2, reach), bench=BENCH
        )
        return picture

    def _photographed(
        self,
        inks: list[Grid],
        corner: tuple[float, float],
        size: tuple[float, float],
        seen: tuple[Grid, Grid],
        bench: float | None = None,
    ) -> Iterator[Grid]:
        (x, y), (wide, high), (at_x, at_y) = corner, size, seen
        beyond = (at_x < x) | (at_x >= x + wide) | (at_y < y) | (at_y >= y + high)
        flaked = np.ones_like(at_x)
        for turn, away, wide, shift, much in self.folds:
            past = at_x * math.cos(turn) + at_y * math.sin(turn) - away
            torn = (abs(past) < wide / 2) & (self.noise.random(past.shape) < much)
            flaked[torn] = 0
            at_x = at_x + np.where(past > 0, -shift * math.sin(turn), 0)
            at_y = at_y + np.where(past > 0, shift * math.cos(turn), 0)
        dot = self.dpi / 25.4
        column = np.floor((at_x - x) * dot).astype(np.int32)
        row = np.floor((at_y - y) * dot).astype(np.int32)
        rows, dots = inks[0].shape
        on = (column >= 0) & (column < dots) & (row >= 0) & (row < rows)
        place = np.where(on, row * dots + column, 0)
        line = np.clip((at_x * dot).astype(np.int32), 0, len(self.live) - 1)
        flaked *= self.live[line] * on
        oil = np.ones_like(at_x)
        for sx, sy, radius, tone in self.spots:
            if abs(sx - x - wide / 2) < wide + radius and abs(sy - y - high / 2) < high + radius:
                away = np.hypot(at_x - sx, at_y - sy) / radius
                oil *= 1 - (1 - tone) * np.clip((1.1 - away) * 5, 0, 1)
        slope = 1 + 0.0045 * ((at_x - x) * math.cos(self.light) + (at_y - y) * math.sin(self.light))
        paper = 215 * slope * oil
        if bench is not None:
            paper = np.where(beyond, bench, paper)
        half = (paper.shape[0] // 2, 2, paper.shape[1] // 2, 2)
        for ink in inks:
            tone = paper * (1 - self.contrast * ink.ravel()[place] * flaked)
            small = tone[: half[0] * 2, : half[2] * 2].reshape(half).mean((1, 3))
            sharp = Image.fromarray(np.clip(small, 0, 255).astype(np.uint8))
            soft = np.asarray(
                sharp.filter(ImageFilter.GaussianBlur(self.blur * CAMERA)), np.float32
            )
            grain = np.random.default_rng(self.seed).normal(0, self.grain, soft.shape)
            yield np.clip(soft + grain, 0, 255).astype(np.uint8)


def as_printed(size: str, code: str, dpi: int) -> list[Code]:
    """The codes of a label as the program lays it out."""
    width, height, _ = LABELS[size]
    filled = bag(code, *(item(at, f"M{4 + at} x 25 hex bolt", 2) for at in (1, 2, 3)))
    face = Face(width, height, dpi=dpi)
    layout = best_for("bag", face.area.width, face.area.height)
    laid = lay_out(fields_of(filled), layout, face, measure)
    return [box for box in laid.boxes if isinstance(box, Code)]


def read(picture: Grid, code: str) -> int:
    """1: the bag's code was read; 0: nothing, or a text that is no bag code, which the program
    refuses by its check letter; -1: the code of another bag, which must never happen."""
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return judged([each.text for each in found], code)


def judged(texts: Iterable[str], code: str) -> int:
    """Say of what was read whether it is the bag's code."""
    said = set()
    for text in texts:
        with contextlib.suppress(StoresError):
            said.add(check(text))
    return 0 if not said else 1 if said == {code} else -1


def trial(task: tuple[str, int, str, int]) -> tuple[str, int, str, dict[str, tuple[int, int]]]:
    """Harm one label; give for each design whether any code and whether a whole one was read."""
    size, dpi, damage, seed = task
    width, height, room = LABELS[size]
    harm = Harm(damage, (width, height), room * 0.84, dpi, seed)
    code = nth(seed % 3000)
    # codes of one place and size are photographed together
    places: dict[tuple[int, float], dict[tuple[str, str], bool | None]] = defaultdict(dict)
    for design in DESIGNS:
        for corner, (kind, level, share) in enumerate(design.codes):
            places[corner, share][kind, level] = None
    results: dict[tuple[int, float, str, str], int] = {}
    for (corner, share), codes in places.items():
        mine = room * math.sqrt(share)
        x, y = ((width - mine, 0.0), (0.0, height - mine))[corner]
        inks = [printed(code, kind, level, mine, dpi) for kind, level in codes]
        for (kind, level), picture in zip(codes, harm.pictures(inks, x, y, mine), strict=True):
            results[corner, share, kind, level] = read(picture, code)
    outcome = {}
    seen_printed, photographed = [], []
    for each in as_printed(size, code, dpi):
        mine = each.width + 2 * each.quiet
        inks = [printed(code, "short", each.level, mine, dpi)]
        (picture,) = harm.pictures(inks, each.x - each.quiet, each.y - each.quiet, mine)
        seen_printed.append(read(picture, code))
        looked = codes_seen(Image.fromarray(picture), thorough=True)
        photographed.append(judged(looked, code))
    for name, each in ((PRINTED, seen_printed), (PHOTOGRAPHED, photographed)):
        outcome[name] = (-1 if -1 in each else int(1 in each), 0)
    for design in DESIGNS:
        seen = [
            (kind, results[corner, share, kind, level])
            for corner, (kind, level, share) in enumerate(design.codes)
        ]
        wrong = any(each < 0 for _, each in seen)
        any_read = -1 if wrong else int(any(each == 1 for _, each in seen))
        outcome[design.name] = (any_read, int(any(e == 1 and k == "whole" for k, e in seen)))
    return size, dpi, damage, outcome


def filled(code: str, seed: int) -> Bag:
    """A bag with one to four lines in it, as a strip-down leaves them."""
    chance = random.Random(seed)
    texts = ("M6 x 25 hex bolt", "M6 plain washer", "1/4 BSF x 3/4 hex bolt", "gasket", "M8 nut",
             "dowel", "clutch cover", "M5 x 12 countersunk screw")  # fmt: skip
    lines = chance.sample(texts, chance.randint(1, 4))
    return bag(code, *(item(at, text, chance.randint(1, 8)) for at, text in enumerate(lines, 1)))


def label_trial(task: tuple[int, int, str, int]) -> tuple[int, str, int, int]:
    """Print one label of a stock, harm it, photograph it whole; give what a plain reader and what
    the program reads."""
    at, dpi, damage, seed = task
    stock = STOCKS[at]
    code = nth(seed % 3000)
    (page,) = label_pages([filled(code, seed)], stock=stock.name, dpi=dpi if stock.head else None)
    sheet = load_stock(stock.name)
    size = sheet.label_width, page.height if stock.head else sheet.label_height
    left, top = (0.0, 0.0) if stock.head else (sheet.left, sheet.top)
    drawn = dots(page.boxes, page.width, page.height, dpi)
    edges = (left, top, left + size[0], top + size[1])
    ink = 1 - np.asarray(drawn.crop([round(each / 25.4 * dpi) for each in edges]), np.float32)
    wide = max(box.width for box in page.boxes if isinstance(box, Code))
    picture = Harm(damage, size, wide, dpi, seed, head=stock.head).whole(ink)
    margin = [max(0, PICTURE - each) for each in picture.shape]
    grain = np.random.default_rng(seed).normal(
        0, 4, [p + m for p, m in zip(picture.shape, margin, strict=True)]
    )
    large = np.clip(BENCH + grain, 0, 255).astype(np.uint8)
    y, x = (each // 2 for each in margin)
    large[y : y + picture.shape[0], x : x + picture.shape[1]] = picture
    return (
        at,
        damage,
        read(large, code),
        judged(codes_seen(Image.fromarray(large), thorough=True), code),
    )


def by_stock(trials: int) -> None:
    """Print how many labels of each stock are read, whole in a picture, by a plain reader and by
    the program."""
    tasks = []
    for at, stock in enumerate(STOCKS):
        damages = [each for each in DAMAGES if stock.head or each != "thermal"]
        tasks += [
            (at, dpi, damage, FIRST_SEED + number)
            for dpi in stock.printers
            for damage in damages
            for number in range(trials)
        ]
    plain: dict[tuple[int, str], list[int]] = defaultdict(list)
    ours: dict[int, list[int]] = defaultdict(list)
    wrong = 0
    with Pool(2) as pool:
        for at, damage, seen, looked in pool.imap(label_trial, tasks, chunksize=4):
            plain[at, damage].append(max(seen, 0))
            ours[at].append(max(looked, 0))
            wrong += (seen < 0) + (looked < 0)
    print(
        f"{'':<22}"
        + "".join(f"{d[:8]:>9}" for d in DAMAGES)
        + "    plain reader        aim    by the program"
    )
    for at, stock in enumerate(STOCKS):
        got = {damage: plain[at, damage] for damage in DAMAGES if plain[at, damage]}
        cells = "".join(
            f"{sum(got[d]) / len(got[d]):9.0%}" if d in got else f"{'':>9}" for d in DAMAGES
        )
        every = [each for mine in got.values() for each in mine]
        figures = [every, ours[at]]
        said = [
            f"{sum(each) / len(each):4.0%} ({low:.0%}-{high:.0%})"
            for each in figures
            for low, high in [wilson(sum(each), len(each))]
        ]
        print(f"{stock.name:<22}{cells}    {said[0]:<18} {stock.aim:5.0%}    {said[1]}")
    print(f"{len(tasks)} labels; read as another bag: {wrong}")


def wilson(hits: int, trials: int) -> tuple[float, float]:
    """Give the 95 % limits of a chance."""
    z, p = 1.96, hits / trials
    middle = p + z * z / (2 * trials)
    reach = z * math.sqrt(p * (1 - p) / trials + z * z / (4 * trials**2))
    whole = 1 + z * z / trials
    return (middle - reach) / whole, (middle + reach) / whole


def difference(ours: list[int], base: list[int]) -> tuple[float, float]:
    """Give how much better, and the half-width of its 95 % limits, from pairs."""
    pairs = np.array(ours) - np.array(base)
    return float(pairs.mean()), float(1.96 * pairs.std(ddof=1) / math.sqrt(len(pairs)))


def report(size: str, gained: dict[tuple[str, str], list[tuple[int, int]]]) -> None:
    """Print a table for one label: designs down, damages across."""
    room = LABELS[size][2]
    print(f"\n{size} mm, {room:g} x {room:g} mm for codes. Any code read, %:")
    print(
        f"{'':<19}{'':>9}"
        + "".join(f"{d[:8]:>9}" for d in DAMAGES)
        + "     mean (95 %)      to one whole L   text read"
    )
    for design in DESIGNS:
        cells, every, base, whole = "", [], [], 0
        for damage in DAMAGES:
            got = gained[design.name, damage]
            every += [max(hit, 0) for hit, _ in got]
            base += [max(hit, 0) for hit, _ in gained[BASE, damage]]
            whole += sum(hit for _, hit in got)
            cells += f"{sum(hit > 0 for hit, _ in got) / len(got):9.0%}"
        low, high = wilson(sum(every), len(every))
        more, reach = difference(every, base)
        kind, level, share = design.codes[0]
        text, version = fitted("A001N", kind, level, room * math.sqrt(share))
        module = room * math.sqrt(share) / (side(version) + 2 * QUIET_MODULES)
        print(
            f"{design.name:<19}{f'{module:.2f} mm':>9}{cells}"
            f"   {sum(every) / len(every):4.0%} ({low:.0%}-{high:.0%})"
            f"   {more * 100:+5.1f} +/- {reach * 100:3.1f}"
            f"   {whole / len(every):4.0%} of {len(text.encode())} bytes"
        )


def main() -> None:
    if sys.argv[1:2] == ["stock"]:
        by_stock(int(sys.argv[2]) if len(sys.argv) > 2 else 15)
        return
    trials = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    begin = time.perf_counter()
    tasks = [
        (size, dpi, damage, at)
        for size in LABELS
        for dpi in PRINTERS
        for damage in DAMAGES
        for at in range(trials)
    ]
    tables: dict[str, dict[tuple[str, str], list[tuple[int, int]]]]
    tables = {size: defaultdict(list) for size in LABELS}
    by_printer: dict[tuple[str, int], list[int]] = defaultdict(list)
    wrong = 0
    with Pool(2) as pool:
        for size, dpi, damage, outcome in pool.imap(trial, tasks, chunksize=8):
            for name, seen in outcome.items():
                tables[size][name, damage].append(seen)
                by_printer[name, dpi].append(max(seen[0], 0))
                wrong += seen[0] < 0
    for size, gained in tables.items():
        report(size, gained)
        for name in (PRINTED, PHOTOGRAPHED):
            every = [max(hit, 0) for damage in DAMAGES for hit, _ in gained[name, damage]]
            low, high = wilson(sum(every), len(every))
            print(f"{name}: {sum(every) / len(every):.0%} ({low:.0%}-{high:.0%})")
    print("\nBy printer, both labels, any code read:")
    for name in (BASE, "1 short H", "2 short H", "whole L + short H"):
        rates = (f"{dpi} dpi {np.mean(by_printer[name, dpi]):.0%}" for dpi in PRINTERS)
        print(f"  {name:<19}" + "   ".join(rates))
    print(f"read as another bag: {wrong} of {len(tasks) * len(DESIGNS)}")
    print(f"{len(tasks)} labels in {time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
