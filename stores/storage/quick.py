"""What a calculator has to know of a record, read without loading what a database takes to load.

A calculator answers in a tenth of a second; SQLAlchemy alone takes several. Only settings of the
whole stores are read so, and what cannot be read is as if nothing had been chosen.
"""

import contextlib
import sqlite3
from pathlib import Path
from urllib.parse import quote

__all__ = ["quick_settings"]


def quick_settings(where: str) -> dict[str, str]:
    """Return what was chosen for the whole stores at a path or database address, by name.

    Empty where there is no stores, or none that can be read. Choices taken back do not count.
    """
    if "://" in where:
        return _by_the_long_way(where)
    try:
        path = Path(where).expanduser().absolute()
        if not path.is_file():
            return {}
        with contextlib.closing(
            sqlite3.connect(f"file:{quote(str(path))}?mode=ro", uri=True, timeout=1.0)
        ) as connection:
            return _chosen(connection)
    except (sqlite3.Error, OSError, RuntimeError, ValueError):
        return {}


def _chosen(connection: sqlite3.Connection) -> dict[str, str]:
    rows = connection.execute(
        "SELECT act_id, name, value FROM setting WHERE machine_id IS NULL ORDER BY id"
    ).fetchall()
    if not rows:
        return {}
    from stores.model.ledger import fallen_acts

    back = "SELECT id, reverses FROM act WHERE reverses IS NOT NULL"
    fallen = fallen_acts(dict(connection.execute(back).fetchall()))
    chosen = {name: value for act, name, value in rows if act not in fallen}
    return {name: value for name, value in chosen.items() if value}


def _by_the_long_way(where: str) -> dict[str, str]:
    from stores.errors import StoresError
    from stores.storage.opening import open_store
    from stores.storage.settings import read_settings

    try:
        with open_store(where) as store, store.reading() as connection:
            return read_settings(connection)
    except StoresError:
        return {}
