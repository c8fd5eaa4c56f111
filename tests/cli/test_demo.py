"""The demo: typed in command by command through the program that a person uses."""

import re
import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from conftest import Bench

from stores.cli.demo import Typed, moved_to, read_script
from stores.resources import folder

DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def rows(demo_built: tuple[Path, str]) -> Any:
    stages = Bench(demo_built[0] / "stores.db").json("rebuild", "--all")
    return [line for stage in stages for line in stage["lines"]]


def test_it_ends_with_the_path_of_each_file_and_what_to_do_next(
    demo_built: tuple[Path, str],
) -> None:
    into, said = demo_built
    for name in ("labels.pdf", "checklist.pdf", "shopping.pdf", "shopping.csv", "shopping.xlsx"):
        assert str(into / name) in said
        assert (into / name).stat().st_size > 500
    assert said.index("Next:") > said.rindex(".xlsx")
    # in a folder with a space in its name the program is in quotation marks
    assert re.search(r"look at it in a browser.*\n  (?:'.*stores'|\S*stores\S*) serve\n", said)
    for name in ("labels.pdf", "checklist.pdf", "shopping.pdf"):
        assert len(pypdfium2.PdfDocument(into / name)) >= 1


def test_it_is_a_real_strip_down(demo_built: tuple[Path, str]) -> None:
    bench = Bench(demo_built[0] / "stores.db")
    lines = rows(demo_built)
    assert len({line["step"] for line in lines}) >= 25
    assert len(lines) >= 60
    assert sum(line["found"] for line in lines) >= 200
    assert len({n["place"] for line in lines for n in line["now"] if n["kind"] == "bag"}) >= 20
    assert any(line["found"] < line["wanted"] for line in lines), "something is missing"
    assert any(flag["kind"] == "wrong when found" for line in lines for flag in line["flags"]), (
        "one is wrong"
    )
    texts = " ".join(line["as_found"] for line in lines)
    for thread in ("M6", "BSF", "BA", "cycle"):
        assert thread in texts
    assert len(bench.json("shopping")["lines"]) >= 10
    assert bench.json("record", "audit")["faults"] == []


def test_nothing_in_it_is_unclear_to_the_notation(demo_built: tuple[Path, str]) -> None:
    assert not [line["as_found"] for line in rows(demo_built) if "[" in line["as_found"]]


def test_what_somebody_worked_in_is_kept(
    demo_built: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    into = tmp_path / "demo"
    shutil.copytree(demo_built[0], into)
    bench = Bench(into / "stores.db")
    script = read_script(folder("demo") / "strip-down.txt")
    monkeypatch.setattr("stores.cli.demo.read_script", lambda _: script[:4])
    monkeypatch.setattr("stores.cli.demo.PRINTS", ())
    assert "kept" not in bench("demo", str(into))
    bench("strip", "Engine", "my own step")
    assert "kept as kept-1.db" in bench("demo", str(into))
    assert "my own step" in Bench(into / "kept-1.db")("find", "my own step")


def test_it_does_not_move_into_a_folder_of_yours(tmp_path: Path) -> None:
    (tmp_path / "labels.pdf").write_text("mine")
    reply = Bench(tmp_path / "stores.db").type("demo", str(tmp_path))
    assert reply.status == 1
    assert "files of yours" in reply.err
    assert (tmp_path / "labels.pdf").read_text() == "mine"


def test_a_step_is_typed_in_under_90_characters_on_average() -> None:
    steps = [t for t in read_script(folder("demo") / "strip-down.txt") if t.words[0] == "strip"]
    assert len(steps) >= 25
    assert sum(len(step.line) for step in steps) / len(steps) < 90


@pytest.mark.parametrize("now", ["2024-02-29", "2026-08-23", "2026-08-29", "2031-01-01"])
def test_its_days_are_those_before_today(now: str) -> None:
    today = date.fromisoformat(now)
    script = read_script(folder("demo") / "strip-down.txt")
    moved = moved_to(script, today)
    last = max(date.fromisoformat(each.day) for each in moved if each.day)
    assert today - timedelta(days=7) < last <= today

    def days(typed: list[Typed]) -> list[date]:
        said = (f"{each.day} {each.line} {' '.join(each.words)}" for each in typed)
        return [date.fromisoformat(day) for text in said for day in DAY.findall(text)]

    steps = {later - before for before, later in zip(days(script), days(moved), strict=True)}
    assert len(steps) == 1
    assert steps.pop().days % 7 == 0
    assert [DAY.sub("", each.line) for each in moved] == [DAY.sub("", each.line) for each in script]
