"""A stores of each version that ever was the newest is still opened, with all that is in it.

The files in ``older/`` were written by the program of that version, from its place in this
project's history: a machine, two steps, verdicts, a piece bought, a step undone.
"""

import contextlib
import gzip
import shutil
import sqlite3
from pathlib import Path

import pytest
from conftest import Bench

from stores.storage import migrate, opening

OLDER = sorted(Path(__file__).with_name("older").glob("*.db.gz"))


def test_there_is_one_of_each_version_that_was_the_newest() -> None:
    """The second migration was never the newest: it came with the third."""
    versions = {file.name.partition(".")[0] for file in OLDER}
    assert versions == set(migrate.known_versions()) - {"0002"}


@pytest.mark.parametrize("packed", OLDER, ids=lambda file: file.name[:4])
def test_it_is_brought_up_to_date_with_all_that_is_in_it(packed: Path, tmp_path: Path) -> None:
    bench = Bench(tmp_path / "stores.db")
    with gzip.open(packed) as source, bench.file.open("wb") as target:
        shutil.copyfileobj(source, target)
    said = bench("find", "A001N")
    assert "clutch cover" in said
    assert "no fault" in bench("record", "audit")
    with contextlib.closing(sqlite3.connect(bench.file)) as connection:
        (version,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        (acts,) = connection.execute("SELECT count(*) FROM act").fetchone()
        found = connection.execute("SELECT sum(quantity) FROM movement").fetchone()
    assert (version, acts) == (opening.HEAD, 8)
    assert found[0] > 0
    assert "condemned" in bench("find", "1.1")
    shopping = bench("shopping")
    assert "M6 x 20 hex bolt" in shopping, "one of three was missing"
    bench("undo")
    bench("inspect", "1.3", "condemned", "torn")
    assert "no fault" in bench("record", "audit")
