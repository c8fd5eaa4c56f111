"""A stores that is to be read and not written: it can be copied, and an older one shown."""

import contextlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import Bench, dump_of

from stores.storage import migrate, opening

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "0000next"
down_revision = "{head}"

def upgrade() -> None:
    op.add_column("place", sa.Column("colour", sa.Text, server_default="grey"))
"""


@pytest.fixture
def newer(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pretend that the program is one migration further on."""
    scripts = tmp_path_factory.mktemp("newer") / "migrations"
    shutil.copytree(migrate.SCRIPTS, scripts)
    (scripts / "versions" / "m9999_next.py").write_text(NEXT.format(head=opening.HEAD))
    monkeypatch.setattr(migrate, "SCRIPTS", scripts)
    monkeypatch.setattr(opening, "HEAD", "0000next")


@pytest.fixture
def only_read(clutch: Bench, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """A stores in a folder where nothing can be written, as on a disc; root may write anywhere, so
    that the look at the permissions is answered for it."""
    access, folder = os.access, clutch.file.parent
    monkeypatch.setattr(
        "os.access",
        lambda path, mode: Path(path) not in (clutch.file, folder) and access(path, mode),
    )
    before = sorted(folder.iterdir()), clutch.written()
    folder.chmod(0o555)
    try:
        yield clutch
    finally:
        folder.chmod(0o755)
    assert (sorted(folder.iterdir()), clutch.written()) == before


def test_it_is_copied_from_where_nothing_can_be_written(
    only_read: Bench, tmp_path_factory: pytest.TempPathFactory
) -> None:
    to = tmp_path_factory.mktemp("elsewhere") / "second.db"
    only_read("record", "copy", str(to))
    assert "clutch cover" in Bench(to)("find", "A001N")


def test_an_older_one_is_shown_as_it_would_be_brought_up_to_date(
    only_read: Bench, newer: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    assert "clutch cover" in only_read("find", "A001N")
    assert "read-only" in only_read.refused("strip", "Engine", "cap", "1 M6 nut")
    to = tmp_path_factory.mktemp("elsewhere") / "second.db"
    only_read("record", "copy", str(to))
    with contextlib.closing(sqlite3.connect(to)) as connection:
        assert connection.execute("SELECT DISTINCT colour FROM place").fetchall() == [("grey",)]


def test_an_address_may_say_that_a_file_is_only_read(clutch: Bench) -> None:
    before = dump_of(clutch.file)
    reads = Bench(clutch.file)
    address = f"sqlite:///{clutch.file}?mode=ro"
    reads.file = address  # type: ignore[assignment]  # no path: that would lose a slash
    assert "clutch cover" in reads.type("find", "A001N").out
    refused = reads.type("strip", "Engine", "cap", "1 M6 nut")
    assert refused.status == 1
    assert "read-only" in refused.err
    assert dump_of(clutch.file) == before
    reads.file = address.replace("mode=ro", "cache=shared")  # type: ignore[assignment]
    refused = reads.type("find", "A001N")
    assert refused.status == 1
    assert "takes ?mode=ro" in refused.err


def test_nothing_is_begun_where_it_is_only_read(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "none.db")
    bench.file = f"sqlite:///{bench.file}?mode=ro"  # type: ignore[assignment]
    assert "no stores at" in bench.type("machine", "add", "Orrick Plover").err
    assert list(tmp_path.iterdir()) == []
