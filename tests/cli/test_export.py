"""The whole stores as plain text: what is replayed is equal, and what is not whole is refused."""

import json
import shutil
from pathlib import Path

import pytest
from conftest import Bench

from stores.storage.opening import HEAD


def exported(bench: Bench) -> bytes:
    to = bench.file.with_suffix(".jsonl")
    bench("record", "export", str(to))
    return to.read_bytes()


def test_the_demo_replays_into_an_equal_stores(
    demo_built: tuple[Path, str], tmp_path: Path
) -> None:
    first = Bench(tmp_path / "stores.db")
    shutil.copy(demo_built[0] / "stores.db", first.file)
    text = exported(first)
    again = Bench(tmp_path / "again.db")
    again("record", "reload", str(first.file.with_suffix(".jsonl")))
    assert exported(again) == text
    for words in (("audit",), ("rebuild", "--all", "--json"), ("shopping", "--json"), ("history",)):
        assert again(*words) == first(*words)
    # Both go on alike: the next bag, step and act have the same numbers.
    new = ("strip", "Engine", "another cover", "2 M6x25 bolt", "-b", "new", "--on", "2026-03-14")
    assert again(*new) == first(*new)


def test_what_was_undone_is_in_it(clutch: Bench, tmp_path: Path) -> None:
    clutch("inspect", "1.2", "condemned", "bent")
    undone = clutch.json("undo")["act"]
    text = exported(clutch)
    assert b"bent" in text
    again = Bench(tmp_path / "again.db")
    again("record", "reload", str(clutch.file.with_suffix(".jsonl")))
    assert exported(again) == text
    again("undo", "act", str(undone))  # the undoing itself is undone
    assert "4 condemned" in again("find", "M6x25")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda lines: lines[:-1], "not whole"),
        (lambda lines: [*lines[:5], *lines[6:]], ""),
        (lambda lines: lines[1:], "line 1"),
        (lambda lines: [lines[0], "no json", *lines[1:]], "line 2"),
        (lambda lines: [lines[0], '["spoon", {}]', *lines[1:]], "no table"),
        (lambda lines: [lines[0], '["act", {"id": 1}]', *lines[1:]], "other columns"),
        (lambda lines: [*lines, lines[1]], "after the last line"),
        (lambda lines: [lines[0].replace(f'"{HEAD}"', '"9999"'), *lines[1:]], "9999"),
        (lambda lines: [], "not whole"),
        (lambda lines: [line.replace('"quantity": 4', '"quantity": 3') for line in lines], "fault"),
    ],
)
def test_what_is_not_whole_is_refused_and_nothing_is_left(
    clutch: Bench, tmp_path: Path, change: object, said: str
) -> None:
    exported(clutch)
    lines = clutch.file.with_suffix(".jsonl").read_text(encoding="utf-8").splitlines()
    bad = tmp_path / "bad.jsonl"
    changed = change(lines)  # type: ignore[operator]
    bad.write_text("".join(f"{line}\n" for line in changed), encoding="utf-8")
    into = tmp_path / "into" / "again.db"
    into.parent.mkdir()
    assert said in Bench(into).refused("record", "reload", str(bad))
    assert list(into.parent.iterdir()) == []


def test_a_stores_is_never_replayed_over(clutch: Bench) -> None:
    exported(clutch)
    assert "already" in clutch.refused("record", "reload", str(clutch.file.with_suffix(".jsonl")))
    assert "database" in clutch.refused("record", "export", str(clutch.file))


def test_every_line_is_json_and_rows_name_only_what_came_before(clutch: Bench) -> None:
    seen: set[int] = set()
    for line in exported(clutch).decode().splitlines()[1:-1]:
        table, row = json.loads(line)
        if table == "act":
            seen.add(row["id"])
        elif "act_id" in row:
            assert row["act_id"] in seen
