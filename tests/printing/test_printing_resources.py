"""The folders of plain files that come with the program."""

import subprocess
import sys

import pytest

from stores.errors import StoresError
from stores.resources import folder


def test_both_folders_are_found() -> None:
    assert any((folder("label_templates") / "stock").glob("*.toml"))
    assert (folder("demo") / "strip-down.txt").is_file()


def test_a_missing_folder_is_named() -> None:
    with pytest.raises(StoresError, match="no_such_folder"):
        folder("no_such_folder")


def test_importing_the_room_loads_nothing_heavy() -> None:
    """At the bench a program that takes a second to start is not used."""
    probe = (
        "import sys, stores.printing, stores.printing.labels, stores.printing.checklist, "
        "stores.printing.shopping, stores.printing.files; "
        "print([m for m in ('reportlab', 'qrcode', 'pandas', 'openpyxl', 'PIL', 'numpy') "
        "if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", probe], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
