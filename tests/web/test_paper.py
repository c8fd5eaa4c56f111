"""Paper from the pages: every sheet, labels with their picture, and this computer's printer."""

import stat
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from starlette.testclient import TestClient

from stores.bagcode import PATTERN
from stores.printing.labels import label_pages
from stores.printing.raster import dots
from stores.usecases.context import Context
from stores.usecases.labels import AskLabels, labels
from stores.web.pages.paper import ANY_TIME
from stores.web.visit import House


def text_of(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return "".join(page.get_textpage().get_text_range() for page in document)


@pytest.mark.parametrize("name", [name for name in ANY_TIME if name != "pictures"])
def test_a_sheet_opens_in_the_browser(client: TestClient, name: str) -> None:
    answer = client.get(f"/paper/{name}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert len(text_of(answer.content)) > 40


def test_a_table_is_kept_as_a_file(client: TestClient) -> None:
    answer = client.get("/paper/shopping.csv")
    assert "attachment" in answer.headers["content-disposition"]
    assert "gasket" in answer.text
    assert client.get("/paper/nonsense").status_code == 404
    assert client.get("/paper/shopping.exe").status_code == 404


def test_labels_wait_until_they_are_said_to_have_come_out(client: TestClient) -> None:
    page = client.get("/labels").text
    assert "labels on" in page
    made = client.post("/labels/made", data={"how": "pdf"})
    assert "clutch cover" in text_of(made.content)
    waits = client.get("/labels").text
    name = waits.split('name="sheet" value="')[1].split('"')[0]
    said = client.post("/labels/out", data={"sheet": name, "key": "o"})
    assert said.status_code == 200
    assert "up to date" in client.get("/labels").text


def test_the_alignment_sheet_says_what_to_do(client: TestClient) -> None:
    answer = client.get("/labels/align", params={"stock": "roll-102x51"})
    assert answer.headers["content-type"] == "application/pdf"
    text = " ".join(text_of(answer.content).split())
    assert "plus is too far right" in text
    assert "stores record printer NAME --right MM --down MM" in text


def test_a_what_if_is_one_on_paper_too(client: TestClient) -> None:
    answer = client.get("/paper/plan", params={"strict": "1"})
    assert "What if, not the plan" in " ".join(text_of(answer.content).split())


def test_the_picture_of_the_sheet_says_what_the_labels_say(client: TestClient) -> None:
    picture = client.get("/labels/sheet.svg").text
    assert "clutch cover" in picture
    assert picture.count("<svg") == 1
    moved = client.get("/labels/sheet.svg", params={"start": "5"}).text
    assert moved != picture


def test_a_name_in_a_picture_cannot_be_markup(client: TestClient) -> None:
    sent = {"assembly": "Engine", "part": "<script>x</script>", "lines": "1 M6 nut", "key": "s"}
    assert client.post("/do/strip", data=sent).status_code == 200
    picture = client.get("/labels/sheet.svg").text
    assert "<script" not in picture
    assert "&lt;script&gt;" in picture


def test_a_thermal_label_is_a_picture_whose_code_reads_back(house: House) -> None:
    reply = labels(Context(house.store), AskLabels())
    (page, *_) = label_pages(reply.labels, stock="roll-51x32", dpi=203)
    picture = dots(page.boxes, page.width, page.height, 203)
    read = [code.text for code in zxingcpp.read_barcodes(picture.convert("L"))]
    assert any(PATTERN.match(text.splitlines()[0]) for text in read), read


def test_zpl_holds_the_dots_it_says(client: TestClient) -> None:
    made = client.post("/labels/made", data={"how": "zpl", "stock": "roll-51x32"}).content
    first = made.split(b"^XZ")[0].decode("ascii")
    head, _, rest = first.partition("^GFA,")
    total, same, row, hexes = rest.removesuffix("^FS").split(",", 3)
    width, height = (int(head.split(word)[1].split("^")[0]) for word in ("^PW", "^LL"))
    assert total == same
    assert int(row) == (width + 7) // 8
    assert int(row) * height == int(total) == len(hexes) // 2
    black = sum(byte.bit_count() for byte in bytes.fromhex(hexes))
    assert 0.02 < black / (width * height) < 0.5


def test_this_computers_printer_is_asked(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stub = tmp_path / "bin" / "lp"
    stub.parent.mkdir()
    stub.write_text('#!/bin/sh\ncat > "$0.got"; echo "$@" > "$0.words"; echo request id is 7\n')
    stub.chmod(stub.stat().st_mode | stat.S_IEXEC)
    monkeypatch.setenv("PATH", str(stub.parent), prepend=":")
    said = client.post("/print/shopping", data={"key": "p"})
    assert "request id is 7" in said.text
    assert "gasket" in text_of(Path(f"{stub}.got").read_bytes())
    stub.write_text("#!/bin/sh\necho no such printer >&2; exit 1\n")
    refused = client.post("/labels/made", data={"how": "print", "queue": "upstairs"})
    assert refused.status_code == 422
    assert "no such printer" in refused.text
