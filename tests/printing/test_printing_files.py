"""Files are there whole or not at all."""

from pathlib import Path

import pytest
from printing_builder import bag

from stores.errors import PrintError
from stores.printing.files import put
from stores.printing.labels import write_labels


def test_an_existing_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    path.write_bytes(b"old")
    put(path, b"new")
    assert path.read_bytes() == b"new"
    assert [each.name for each in tmp_path.iterdir()] == ["labels.pdf"]


def test_an_unknown_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match=r"no folder.*nowhere") as caught:
        write_labels([bag()], tmp_path / "nowhere" / "labels.pdf")
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match="is a folder"):
        write_labels([bag()], tmp_path)


@pytest.mark.parametrize("method", ["open", "replace"])
def test_a_refused_write_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    """A folder that may not be written, a full disk: the old file stays and no part is left."""
    path = tmp_path / "labels.pdf"
    path.write_bytes(b"old")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(Path, method, refuse)
        with pytest.raises(PrintError, match=r"labels\.pdf: Permission denied"):
            put(path, b"new")
    assert path.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["labels.pdf"]
