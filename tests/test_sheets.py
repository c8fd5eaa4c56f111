"""Workbooks that were made to be odd: only the cells that exist are read, and never for long."""

import codecs
import io
import re
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
from conftest import Bench

from stores.errors import BadValue
from stores.sheets import open_sheet
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.parts_lists import ReadPartsList, read_parts_list
from stores.usecases.strip import Strip, strip

LONG = 15
"""Seconds that reading an odd workbook may take on a busy machine; it takes one."""


def workbook(**cells: object) -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for name, value in {"A1": "Description", "B1": "Qty", "A2": "sleeve", "B2": 2, **cells}.items():
        page[name] = value
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def changed(book: bytes, part: str, old: str, new: str) -> bytes:
    """The workbook with something in one of its parts put in the place of something else."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as there, zipfile.ZipFile(out, "w") as made:
        for each in there.infolist():
            data = there.read(each)
            if each.filename.endswith(part):
                assert re.search(old, data.decode())
                data = re.sub(old, new, data.decode()).encode()
            made.writestr(each, data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def read(file: Path, data: bytes) -> list[tuple[int, list[str]]]:
    file.write_bytes(data)
    begun = time.monotonic()
    rows = list(open_sheet(file))
    assert time.monotonic() - begun < LONG
    return rows


LIST = [(1, ["Description", "Qty"]), (2, ["sleeve", "2"])]


def test_a_stray_cell_in_the_last_corner_costs_nothing(tmp_path: Path) -> None:
    assert read(tmp_path / "list.xlsx", workbook(XFD1048576="x")) == LIST
    assert read(tmp_path / "list.xlsx", workbook(A1048576="nut"))[2:] == [(1048576, ["nut"])]


def test_a_row_numbered_beyond_all_rows_is_not_waited_for(tmp_path: Path) -> None:
    data = changed(workbook(A3="nut"), "sheet1.xml", 'r="3"', 'r="2000000000"')
    assert read(tmp_path / "list.xlsx", data) == LIST


def test_a_size_that_is_said_and_is_not_there(tmp_path: Path) -> None:
    data = changed(
        workbook(), "sheet1.xml", 'dimension ref="[^"]*"', 'dimension ref="A1:XFD9999999"'
    )
    assert read(tmp_path / "list.xlsx", data) == LIST


def unpacks_to_much() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made, made.open("a.xml", "w") as part:
        for _ in range(301):
            part.write(bytes(1 << 20))
    return out.getvalue()


def locked() -> bytes:
    """The bit of a member that is encrypted, in its header and in the list at the end."""
    data = bytearray(workbook())
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        for found in re.finditer(re.escape(mark), bytes(data)):
            data[found.start() + at] |= 1
    return bytes(data)


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.xlsx", b"", "unpacks to 301 MB"),
        ("b.xlsx", locked(), "has a password"),
        ("c.xlsx", changed(workbook(), "sheet1.xml", "<row", "<row><row"), "save it anew as XLSX"),
        ("d.xlsx", changed(workbook(), "workbook.xml", "sheets>", "sheep>"), "save it anew"),
        ("e.xlsx", changed(workbook(), "sheet1.xml", 'r="A2"', 'r="2A2A"'), "save it anew"),
        ("f.csv", codecs.BOM_UTF16_LE + "Description\nnut\n".encode("utf-16-le")[:-1], "cut short"),
        ("g.csv", codecs.BOM_UTF16_LE + b"D\x00\x00\xd8", "cut short"),
    ],
)
def test_an_odd_file_is_refused_in_our_words(
    tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    with pytest.raises(BadValue, match=re.escape(name)) as refused:
        read(tmp_path / name, data or unpacks_to_much())
    assert said in str(refused.value)


def test_a_list_is_read_before_anybody_has_to_wait_for_it(bench: Bench) -> None:
    """While its rows come in, another one records something."""
    with open_store(str(bench.file)) as store:

        def rows():  # type: ignore[no-untyped-def]
            yield from LIST
            with open_store(str(bench.file)) as other:
                strip(Context(other), Strip("Engine", "cover", ["4 M6x25 bolt"]))

        reply = read_parts_list(Context(store), ReadPartsList(rows(), "list", trial=False))
    assert reply.act
    assert "cover" in bench("history")
