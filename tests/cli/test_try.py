"""Trying a command with --try: the same reply as the real one, and nothing is written."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, every_command
from photos_builder import picture

from stores.wording.commands import spelling

COMMANDS = every_command()
ONLY = "Tried only: nothing was recorded.\n"

BEFORE = (
    ["machine", "add", "Orrick Plover"],
    ["strip", "Engine", "left cover", "4 M6x25 hex bolt", "1 gasket", "1 copper washer"],
    ["strip", "Engine", "magneto", "2 M8 nut", "2 M8 washer"],
    ["strip", "Engine", "carburettor", "2 M6 nut"],
    ["strip", "Engine", "clutch", "6 clutch spring", "1 M14 nut"],
    ["loose", "2 M7x22 hex bolt", "--to", "tin 1"],
    ["inspect", "2", "serviceable"],
    ["inspect", "3", "serviceable"],
    ["refit", "3", "--finger-tight"],
    ["refit", "2"],
    ["lose", "1.2", "-q", "1"],
    ["inspect", "1.4", "condemned", "thin"],
    ["renew", "add", "copper washer", "crushed once"],
    ["renew", "add", "1.1", "cracked"],
    ["before", "1", "4"],
    ["send", "4.1", "--to", "Brindle Platers", "--for", "zinc"],
    ["batch", "begin", "Dyke", "--for", "zinc"],
    ["batch", "put", "1", "4.2"],
    ["batch", "begin", "Dyke", "--for", "chrome"],
    ["batch", "put", "2", "1.2", "-q", "1"],
    ["batch", "send", "2"],
    ["order", "with", "Hollin", "10 M6x40 hex bolt", "10 M5 nut = 3.00"],
    ["order", "with", "Mardle", "2 bearing 6203"],
    ["order", "came", "2"],
    ["snag", "1", "leak", "weeps at the joint"],
    ["clearance", "1", "end float", "0.1 to 0.2 mm"],
    ["photo", "add", "one.jpg", "--to", "1"],
    ["photo", "add", "two.jpg"],
    ["labels", "A001N"],
    ["strip", "Frame", "footrest", "2 M8x30 hex bolt", "1 M8 nut", "2 M8 nut", "about 3 M7 nut"],
    ["strip", "Frame", "stand", "1 M8x40 hex bolt, 1 seized"],
    ["strip", "Frame", "seat", "2 M7 nut", "--on", "2026-04-02"],
    ["mix", "5.1", "7.1"],
    ["loose", "3 M7 nut", "--to", "tin 1"],
    ["inspect", "0.3", "serviceable"],
    ["photo", "add", "four.jpg"],
    ["buy", "50 ml medium threadlocker", "--from", "Hollin", "--price", "6.40"],
)
"""What there is on record before anything is tried."""

TRIED = {
    "access": ["1"],
    "apply": ["2", "grease"],
    "assign": ["0.1", "1.2", "--anyway", "turned down to fit"],
    "back": ["Brindle Platers", "4.1"],
    "batch back": ["2"],
    "batch begin": ["Sarnholt", "--for", "powder coat"],
    "batch mark": ["1", "--packed"],
    "batch off": ["2", "-n", "never came back"],
    "batch out": ["1", "4.2"],
    "batch put": ["1", "1.2", "-q", "1"],
    "batch send": ["1"],
    "before": ["2", "1"],
    "broke": ["6.2", "--hole", "left, front"],
    "buy": ["4 M6x25 hex bolt", "--from", "Hollin"],
    "came-off": ["6.2"],
    "clear": ["1", "new gasket"],
    "clearance": ["1", "end float", "--found", "0.15"],
    "close": ["--look"],
    "correct add": ["1", "1 M6 plain washer"],
    "correct assembly": ["Engine", "Motor"],
    "correct drop": ["1.4"],
    "correct join": ["5.3", "5.4"],
    "correct join-steps": ["1", "4"],
    "correct line": ["1.3", "2 gasket"],
    "correct machine": ["--year", "1958"],
    "correct split": ["2.2", "1 M8x40 stud"],
    "correct split-step": ["2", "points", "2.2"],
    "correct step": ["1", "--part", "primary cover"],
    "count": ["A001N", "1.2=1", "--accept", "-n", "counted twice"],
    "enter": ["assortment: 20 M4 nut, 10 M5 nut", "--from", "Hollin", "--price", "6.40"],
    "evidence": ["1", "1"],
    "free": ["1", "4"],
    "handover": ["nothing is tight yet"],
    "inspect": ["1.2", "1", "condemned", "necked"],
    "joint": ["1", "4 on 60"],
    "keep": ["0.3"],
    "least": ["M6 nut", "50"],
    "left": ["0.4", "about a third"],
    "left-on": ["6.2"],
    "labels": ["A001N"],
    "loose": ["1 M8x40 hex", "--to", "tin 2"],
    "lose": ["1.2", "-q", "1"],
    "machine add": ["Dunlin"],
    "machine for-parts": ["Orrick"],
    "mix": ["5.2", "1.2"],
    "move": ["1.2", "shelf 9"],
    "order back": ["2", "1", "-n", "rough"],
    "order came": ["1", "2"],
    "order cancel": ["1", "-n", "too dear"],
    "order costs": ["1", "1", "4.00"],
    "order promised": ["1", "2999-01-01"],
    "order with": ["Quernside", "1.3"],
    "pack": ["0.4", "--batch", "17 B"],
    "parts": ["book.csv", "--accept"],
    "photo accept": [],
    "photo add": ["three.jpg", "--to", "2"],
    "photo caption": ["1", "shims left of it"],
    "photo file": ["1", "2"],
    "price": ["M6x25 hex", "0.30"],
    "printer": ["upstairs", "--right", "0.5"],
    "units": ["imperial"],
    "queries": ["5.5", "3"],
    "reading": ["compression", "88", "71"],
    "recover": ["1.2"],
    "refit": ["1.2", "--anyway", "--as-it-came"],
    "renew add": ["1.2", "stretched"],
    "renew by-rule": ["1.1"],
    "renew remove": ["copper washer"],
    "reserve": ["0.3", "-q", "1"],
    "scrap": ["1.2", "-q", "1"],
    "send": ["1.1", "--to", "Sarnholt", "--for", "paint"],
    "sign": ["2", "A. Marl"],
    "snag": ["2", "worn", "slack on its spigot"],
    "spares": ["nut", "10"],
    "sort": ["1"],
    "specify": ["1.2", "4 M6x30 hex 8.8"],
    "stow": ["A001N", "box 1"],
    "survey": ["--kind", "mechanism"],
    "strip": ["Engine", "points", "2 4BA x 1/4 screw", "-p", "shelf 2"],
    "sump": ["Gearbox", "--oil", "SAE 90 GL-4", "--dry", "1.4l"],
    "takes": ["1", "45 min"],
    "tighten": ["3"],
    "torque": ["1.2", "9 N m", "dry"],
    "undo": [],
    "use": ["0.4", "5 ml", "--step", "1"],
}
"""Each command that records, and what to try it with."""


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tried")
    made = Bench(folder / "stores.db")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("STORES_ON", "2026-04-01")
        for name, colour in (
            ("one", "teal"),
            ("two", "red"),
            ("three", "blue"),
            ("four", "green"),
        ):
            day = 2 if name == "four" else 1
            picture(folder / f"{name}.jpg", f"2026:04:{day:02} 10:00:00", colour=colour)
        Path("book.csv").write_text("No,Description,Qty\n41,M6x25 hex bolt,4\n42,gasket,1\n")
        for words in BEFORE:
            made(*words)
    return folder


@pytest.fixture
def bench(tmp_path: Path, begun: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    shutil.copytree(begun, tmp_path / "here")
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv("STORES_ON", "2026-05-01")
    return Bench(tmp_path / "here" / "stores.db")


def files() -> set[Path]:
    """All files in this folder but those that the database makes for a moment."""
    return {path for path in Path.cwd().rglob("*") if path.suffix not in (".db-wal", ".db-shm")}


def without_trial(value: Any) -> Any:
    if isinstance(value, dict):
        return {
            key: without_trial(entry)
            for key, entry in value.items()
            if key not in ("trial", "file")
        }
    return value


def as_typed(name: str) -> str:
    """A command as the help lists it, for the short name that it is registered under."""
    first, *rest = name.split()
    return " ".join([spelling(first), *rest])


def offers(name: str) -> bool:
    return any("--try" in each.opts and not each.hidden for each in COMMANDS[name].params)


def test_each_command_that_records_is_tried_here() -> None:
    assert {name for name in COMMANDS if offers(name)} == set(map(as_typed, TRIED))


@pytest.mark.parametrize("name", TRIED)
def test_trying_shows_the_same_and_writes_nothing(bench: Bench, name: str) -> None:
    words = [*name.split(), *TRIED[name]]
    rows, there = bench.everything(), files()
    told = bench(*words, "--try")
    data = bench.json(*words, "--try")
    assert told.endswith(ONLY)
    assert bench.everything() == rows
    assert files() == there
    copy = bench.file.read_bytes()
    really = bench(*words)
    if name == "close":  # looks only: it cannot be closed yet
        assert told == really + ONLY
        return
    assert bench.everything() != rows
    if name not in ("parts", "labels"):  # these say more of a trial, or name the file made
        assert told == really + ONLY
    bench.file.write_bytes(copy)
    assert data["trial"] is True
    if name != "parts":
        assert without_trial(data) == without_trial(bench.json(*words))


def test_a_trial_of_the_first_machine_begins_no_stores(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "new.db")
    told = bench("machine", "add", "Orrick Plover", "--try")
    assert told.endswith(ONLY)
    shown = "".join(told.split())  # whole, or from the folder that the run is in
    assert "addedto" in shown
    assert f"{tmp_path.name}/new.db." in shown
    assert not list(tmp_path.iterdir())
    assert bench("machine", "add", "Orrick Plover") + ONLY == told


def test_a_trial_is_refused_as_the_real_one(bench: Bench) -> None:
    assert bench.refused("refit", "4") == bench.refused("refit", "4", "--try")
    assert bench.refused("machine", "close") == bench.refused("machine", "close", "--try")


def test_after_a_trial_the_next_command_records(bench: Bench) -> None:
    rows = bench.everything()
    bench.refused("strip", "Engine", "cap", "0 M6 nut", "--try")
    bench("snag", "2", "worn", "slack", "--try")
    assert bench.everything() == rows
    bench("snag", "2", "worn", "slack")
    assert bench.everything() != rows


@pytest.mark.parametrize(
    "words",
    [
        ["handover", "x", "--pdf", "a.pdf"],
        ["joint", "1", "4 on 60", "--card", "a.pdf"],
        ["labels", "A001N", "--out", "a.pdf"],
        ["count", "A001N", "1.2=1", "--csv", "a.csv"],
    ],
)
def test_a_file_is_not_written_by_a_trial(bench: Bench, words: list[str]) -> None:
    there = files()
    assert "--try writes nothing" in bench.refused(*words, "--try")
    assert files() == there


SHOWN = {"find": ["1.2"], "thread": ["M6"], "reckon convert": ["1", "mm"], "copy": ["b.db"]}


@pytest.mark.parametrize("name", SHOWN)
def test_what_records_nothing_cannot_be_tried(bench: Bench, name: str) -> None:
    there = files()
    assert "nothing to try" in bench.refused(*name.split(), *SHOWN[name], "--try")
    assert files() == there


def test_a_trial_of_pictures_keeps_none(bench: Bench) -> None:
    there = files()
    bench("photo", "add", "three.jpg", "--try")
    assert files() == there


def test_an_option_is_no_word_for_another(bench: Bench) -> None:
    rows = bench.everything()
    reply = bench.type("piece", "assign", "0.1", "1.2", "--anyway", "--try")
    assert reply.status == 2
    assert "'--anyway': what it is to say is missing before --try" in " ".join(reply.err.split())
    assert bench.everything() == rows
