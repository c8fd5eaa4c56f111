"""The demo: typed in command by command through the program that a person uses."""

import re
import shutil
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from conftest import Bench

from stores.cli.demo import read_script
from stores.resources import folder


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    into = tmp_path_factory.mktemp("a workshop") / "demo"
    said = Bench(into / "none.db")("demo", str(into))
    return into, said


def rows(built: tuple[Path, str]) -> Any:
    stages = Bench(built[0] / "stores.db").json("rebuild", "--all")
    return [line for stage in stages for line in stage["lines"]]


def test_it_ends_with_the_path_of_each_file_and_what_to_do_next(built: tuple[Path, str]) -> None:
    into, said = built
    for name in ("labels.pdf", "checklist.pdf", "shopping.pdf", "shopping.csv", "shopping.xlsx"):
        assert str(into / name) in said
        assert (into / name).stat().st_size > 500
    assert said.index("Next:") > said.rindex(".xlsx")
    assert re.search(r"look at it in a browser.*\n  \S*stores\S* serve\n", said)
    for name in ("labels.pdf", "checklist.pdf", "shopping.pdf"):
        assert len(pypdfium2.PdfDocument(into / name)) >= 1


def test_it_is_a_real_strip_down(built: tuple[Path, str]) -> None:
    bench = Bench(built[0] / "stores.db")
    lines = rows(built)
    assert len({line["step"] for line in lines}) >= 25
    assert len(lines) >= 60
    assert sum(line["found"] for line in lines) >= 200
    assert len({n["place"] for line in lines for n in line["now"] if n["kind"] == "bag"}) >= 20
    assert any(line["found"] < line["wanted"] for line in lines), "something is missing"
    assert any("NOT as found" in flag for line in lines for flag in line["flags"]), "one is wrong"
    texts = " ".join(line["as_found"] for line in lines)
    for thread in ("M6", "BSF", "BA", "cycle"):
        assert thread in texts
    assert len(bench.json("shopping")["lines"]) >= 10
    assert bench.json("audit")["faults"] == []


def test_nothing_in_it_is_unclear_to_the_notation(built: tuple[Path, str]) -> None:
    assert not [line["as_found"] for line in rows(built) if "[" in line["as_found"]]


def test_what_somebody_worked_in_is_kept(built: tuple[Path, str], tmp_path: Path) -> None:
    into = tmp_path / "demo"
    shutil.copytree(built[0], into)
    bench = Bench(into / "stores.db")
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
