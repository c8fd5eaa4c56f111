"""The examples of every command's help work: each is typed as it stands, on a record that has what
it speaks of."""

import contextlib
import io
import os
import shlex
import shutil
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from conftest import every_command
from openpyxl import Workbook
from PIL import Image

from stores.cli.app import main

NOT_TYPED = {
    "stores serve": "serves until it is stopped: tests/web/test_serve.py",
    "stores serve --phone": "the same",
    "stores serve --secure": "the same",
    "stores serve --forget 2": "takes a device that was paired: tests/web/test_devices.py",
    "stores demo": "builds all of the demo: tests/cli/test_demo.py",
    "stores demo /tmp/try": "the same",
    "stores inspect Engine/Clutch": "asks at a terminal: tests/cli/test_sitting.py",
    "stores record queries --each": "the same: tests/cli/test_queries.py",
}
"""Examples that are tried elsewhere."""

RECORD = """
machine add "Tern 50"
machine add "Orrick Plover" --kind two-wheeler
strip Engine/Clutch "clutch cover" "4 M6x25 hex bolt" "2 M6x40 hex bolt" -b new
strip Engine "left cover" "1 M8x20 hex bolt"
strip Engine cover "2 M6x25 hex bolt" -m Tern
strip Engine head "2 M6x25 hex bolt" -m Tern
strip Engine barrel "2 M6x25 hex bolt" -m Tern
strip Engine case "2 M6x25 hex bolt" -m Tern
strip Frame stand "2 M8 nut" -m Tern
strip Frame seat "2 M8 nut" -m Tern
strip Frame tank "2 M8 nut" -m Tern
strip Engine "drain the oil" --job --undo "fill the oil" -m Orrick
strip Engine/Gearbox "gearbox cover" "6 M6x30 hex bolt"
strip Engine magneto "2 off 1/4 BSF x 3/4 hex bolt"
strip Carburettor carburettor "2 M6 nut" "1 circlip"
strip Engine "pressure plate" "6 M6x25 hex bolt, 2 seized" "2 M6 nut" "1 gasket"
strip Engine hub "2 M8 nut"
strip Frame spindle "2 M8 nut" "6 M6x25 hex bolt" -b A001N
strip Cluch "clutch spring" "1 M6 nut"
strip Clutch "clutch lever" "1 M6 nut" --new-assembly
strip Frame "4 stay" "2 M8 nut"
strip "Engin/Cluch" "clutch arm" "1 M6 nut" --new-assembly
strip Frame stand "2 M8 nut" "4 M8 spring washer"
strip Frame "foot rest" "2 M8 nut"
piece loose "1 M6x25 hex bolt" --to "tin 1"
stock enter "40 M6 plain washer" "25 M6 nut" --to "drawer 3"
stock enter "60 off 1/4 BSF x 3/4 hex bolt" --to "tin 2"
stock enter "8 M6x25 hex bolt" --to "head bolts set"
stock enter "50 ml tube of medium threadlocker" --to "shelf 3"
stock enter "1 l can of SAE 30" --to "shelf 3"
stock enter "400 g of lithium grease" --to "shelf 3"
stock enter "80 ml tube of flange sealant" --to "shelf 3"
place stow A001N "box 3"
place stow A020H "box 4"
piece move 12.1 "shelf 2"
snag Engine leak "weeps at the drain plug"
snag Frame worn "stand loose"
snag Engine/Gearbox leak "weeps at the shaft"
record printer upstairs --right 0.1
outwork batch begin "Brindlecote Platers" --for "zinc plating"
order price "M6x25 hex 8.8" 6.40 --pack 50 --from "Hollin Fasteners"
order with "Hollin Fasteners" "6 M5 nut" "20 M6x25 hex 8.8" "5 M6 nut" "4 M8 nut"
photo add pictures
photo file 12 7
piece came-off 7.2
"""
"""What was typed before any example, a line each; the pictures are 16."""

IN_BATCH = ["outwork batch put 1 1.2 2.1 9.1 12.1"]
AWAY = [*IN_BATCH, "outwork batch send 1"]
REFITTED = ["inspect 7 serviceable", "buy 7.4", "refit 7"]
CLOSING = ["machine add Tit", "strip Engine lid '2 M6 nut'", "inspect 1 serviceable", "refit 1"]
UNCLEAR = [
    "machine add Tit",
    *["strip Engine cap '1 M6 nut'"] * 6,
    "strip Engine lid '5 or 6 M6x25 hex bolt'",
]

BEFORE: dict[str, Sequence[str]] = {
    "correct assembly 'Engin": ["correct assembly Engine/Clutch Engine/Dry"],
    "correct join 7.2": ["correct line 7.4 '2 M6x25 hex bolt'"],
    'figure clearance 7 "end float" --found': ["figure clearance 7 'end float' '0.1 to 0.2 mm'"],
    'figure clearance 7 "end float" none': ["figure clearance 7 'end float' '0.1 to 0.2 mm'"],
    "figure joint 7 --pdf": ["figure joint 7 '8 on 120'"],
    "labels --printed": ["labels --all", "labels --all"],
    "machine close -n": CLOSING,
    "machine close --reopen": [*CLOSING, "machine close"],
    'machine for-parts "Tern 50" --': ["machine for-parts 'Tern 50'"],
    "order back": ["order came 1"],
    'outwork back "': ["outwork send 1.2 7.2 --to 'Brindlecote Platers'"],
    "outwork back Harris": ["outwork send 9.1 --to Harris"],
    "outwork batch advice-note": IN_BATCH,
    "outwork batch back": AWAY,
    "outwork batch off": AWAY,
    "outwork batch out": IN_BATCH,
    "outwork batch send": IN_BATCH,
    "photo sheets Engine": ["photo file 1 1"],
    "piece assign 9.3 7.2 -q 1 --of": ["inspect 9.3 serviceable"],
    "piece broke": REFITTED,
    "piece came-off": ["undo"],
    "piece keep all": ["inspect 0.1 serviceable"],
    "piece keep 7": [
        "inspect 7 serviceable",
        "piece specify 7.2 '6 M6x30 hex bolt' --other",
        "buy 7.2",
        "buy 7.4",
        "refit 7",
    ],
    "piece left-on": ["undo"],
    "piece mixed ": ["piece mix A001N A030D"],
    "piece recover": ["piece lose 7.2 -q 1"],
    "piece renew by-rule": ["piece renew add 7.2 stretched"],
    "piece scrap 7": ["inspect 7.2 condemned necked"],
    "piece scrap --condemned": ["inspect 7.2 condemned necked"],
    "piece sort": ["piece mix A003J 7.2"],
    "piece specify 7.2": ["correct line 7.2 '6 M6x30 hex bolt'"],
    "plan --late": ["outwork send 9.1 --to 'Brightwell Plating'"],
    "record queries 7.2": UNCLEAR,
    "refit 7": REFITTED[:2],
    "refit A001N": ["inspect A001N serviceable", "snag clear 1 dry", "snag clear 2 tight"],
    "refit sign": REFITTED,
    "refit tighten": [*REFITTED[:2], "refit 7 --finger-tight"],
}
"""What has to be typed first, by the beginning of the example."""


def examples() -> Iterator[str]:
    for command in every_command().values():
        for line in command.epilog.splitlines():
            if line.strip().startswith("stores ") and line.strip() not in NOT_TYPED:
                yield line.strip()


def typed(line: str) -> tuple[int, str]:
    """Type a line in this folder; give the status and all that was shown."""
    shown = io.StringIO()
    status: object = 0
    with contextlib.redirect_stdout(shown), contextlib.redirect_stderr(shown):
        try:
            main(shlex.split(line))
        except SystemExit as left:
            status = left.code
    return status if isinstance(status, int) else 0, shown.getvalue()


@contextlib.contextmanager
def working_in(folder: Path) -> Iterator[None]:
    before, home = Path.cwd(), os.environ.get("HOME")
    os.chdir(folder)
    os.environ["HOME"] = str(folder)
    try:
        yield
    finally:
        os.chdir(before)
        if home is not None:
            os.environ["HOME"] = home


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the record and the files that the examples speak of."""
    folder = tmp_path_factory.mktemp("worked")
    for name in ("pictures", "Pictures/teasel"):
        (folder / name).mkdir(parents=True)
        for number in range(16):
            picture = Image.new("RGB", (64, 48), (number * 15, len(name) * 9, 90))
            taken = Image.Exif()
            taken.get_ifd(0x8769)[0x9003] = f"{datetime.now(tz=UTC).astimezone():%Y:%m:%d %H:%M:%S}"
            picture.save(folder / name / f"{number:02}.jpg", exif=taken)
    Image.new("RGB", (64, 48), (1, 2, 3)).save(folder / "cover.jpg")
    (folder / "book.csv").write_text("part,quantity\nM6 x 25 hex bolt,4\n", encoding="utf-8")
    book = Workbook()
    book.active.append(["Part", "Quantity"])
    book.active.append(["M6 x 25 hex bolt", 4])
    book.save(folder / "book.xlsx")
    (folder / "scanned.txt").write_text("12.1\n", encoding="utf-8")
    with working_in(folder):
        for line in RECORD.strip().splitlines():
            status, shown = typed(line)
            assert status == 0, f"{line}: {shown}"
    return folder


@pytest.mark.parametrize(
    "example",
    [  # some four hundred: the ordinary run tries one in eight
        pytest.param(example, marks=[pytest.mark.slow] if at % 8 else [])
        for at, example in enumerate(sorted(set(examples())))
    ],
)
def test_an_example_works_as_it_stands(worked: Path, tmp_path: Path, example: str) -> None:
    folder = tmp_path / "here"
    shutil.copytree(worked, folder)
    with working_in(folder):
        if example.startswith(("stores machine add", "stores record reload")):
            if "reload" in example:
                assert typed("record export teasel.jsonl")[0] == 0
            (folder / "stores.db").unlink()
        for start, lines in BEFORE.items():
            if example.startswith(f"stores {start}"):
                for line in lines:
                    status, shown = typed(line)
                    assert status == 0, f"before it, {line}: {shown}"
        status, shown = typed(example.removeprefix("stores ").replace("/media/stick/", ""))
    assert status == 0, shown
