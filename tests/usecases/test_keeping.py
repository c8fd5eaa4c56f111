"""Copies of the record and its text, asked of the use-cases themselves."""

import json
from pathlib import Path

import pytest

from stores.errors import BadValue, Refused, StorageError
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.history import audit, history
from stores.usecases.keeping import Copy, Reload, copy, export, reload
from stores.usecases.strip import Strip, strip


@pytest.fixture
def stripped(context: Context) -> Context:
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    return context


def test_a_copy_has_the_whole_record_and_writes_over_nothing(
    stripped: Context, tmp_path: Path
) -> None:
    to = tmp_path / "copy.db"
    assert copy(stripped, Copy(to)).to == to
    with open_store(str(to)) as store:
        assert list(export(Context(store))) == list(export(stripped))
    with pytest.raises(StorageError, match="is there already"):
        copy(stripped, Copy(to))


def test_what_is_reloaded_is_equal(stripped: Context, tmp_path: Path) -> None:
    lines = list(export(stripped))
    to = str(tmp_path / "again.db")
    reply = reload(Reload(to, lines))
    assert (reply.to, reply.rows) == (to, json.loads(lines[-1])["rows"])
    assert reply.rows == len(lines) - 2  # without the first line and the last
    with open_store(to) as store:
        again = Context(store)
        assert list(export(again)) == lines
        assert history(again) == history(stripped)
        assert not audit(again).faults
    with pytest.raises(Refused, match="stores there already"):
        reload(Reload(to, lines))


def test_a_text_with_a_fault_leaves_nothing_behind(stripped: Context, tmp_path: Path) -> None:
    lines = list(export(stripped))
    with pytest.raises(BadValue):
        reload(Reload(str(tmp_path / "torn.db"), lines[:-2]))
    moved = [line.replace('"quantity": 4', '"quantity": 5') for line in lines]
    assert moved != lines
    with pytest.raises(Refused, match="text has faults") as refusal:
        reload(Reload(str(tmp_path / "wrong.db"), moved))
    assert refusal.value.facts["count"] >= 1
    assert not list(tmp_path.glob("*torn*"))
    assert not list(tmp_path.glob("*wrong*"))
