"""Labels of every kind, on every stock, for real printers, from the command line."""

from pathlib import Path

import pdfplumber
import pytest
import zxingcpp
from conftest import Bench, kept
from printing_reading import said
from pypdfium2 import PdfDocument

MM = 72 / 25.4


@kept
def shelved(clutch: Bench) -> Bench:
    """Two bags in a box on a shelf, a part condemned, pieces away at a firm."""
    clutch("strip", "Engine", "magneto", "2 M6x30 bolt", "-p", "shelf 2")
    clutch("place", "stow", "A001N", "A003J", "box 3")
    clutch("place", "stow", "box 3", "shelf 1")
    clutch("inspect", "1.2", "1", "condemned", "bent")
    clutch(
        "outwork", "send", "2.2", "-q", "1", "--to", "Brindlecote Platers", "--for", "zinc plating"
    )
    return clutch


def words(path: Path) -> str:
    with pdfplumber.open(path) as pdf:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)


def codes(path: Path) -> set[str]:
    """What an independent reader reads off the sheets at 300 dots an inch."""
    found = set()
    for page in PdfDocument(path):
        picture = page.render(scale=300 / 72, grayscale=True).to_pil()
        found |= {code.text for code in zxingcpp.read_barcodes(picture)}
    return found


KINDS = {
    "box": (["box 3"], ["box 3", "A001N", "A003J", "clutch cover"], "box 3"),
    "tag": (["2.1"], ["2.1", "magneto", "Engine"], "2.1"),
    "condition": (["1.2"], ["CONDEMNED", "M6 x 25", "bent"], "1.2"),
    "batch": (["Brindlecote"], ["Brindlecote Platers", "zinc plating", "M6 x 30"], "act 7"),
    "flag": (["W7: green, dynamo to headlamp"], ["W7", "green", "dynamo", "headlamp"], "W7"),
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_says_what_it_is_and_its_code_is_read(
    shelved: Bench, tmp_path: Path, kind: str
) -> None:
    what, said, code = KINDS[kind]
    path = tmp_path / f"{kind}.pdf"
    out = shelved("labels", *what, "--as", kind, "-o", str(path))
    assert out.rstrip().endswith(str(path))
    text = words(path)
    for each in said:
        assert each in text
    assert any(found.startswith(code) for found in codes(path))
    assert "no fault" in shelved("record", "audit")


def test_a_flag_has_the_same_code_on_both_halves(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "flag.pdf"
    bench("labels", "W7: green, dynamo to headlamp", "--as", "flag", "-o", str(path))
    assert words(path).count("W7") == 2


def test_part_used_sheets_spoilt_labels_and_copies(shelved: Bench, tmp_path: Path) -> None:
    """Label 5 of a sheet of three columns is in the second row, second column."""
    path = tmp_path / "labels.pdf"
    words_ = ["labels", "A001N", "-o", str(path), "--copies", "2", "--outlines"]
    shelved(*words_, "--start", "4", "--skip", "5")
    with pdfplumber.open(path) as pdf:
        page = pdf.pages[0]
        places = sorted((round(w["x0"] / MM), round(w["top"] / MM))
                        for w in page.extract_words() if w["text"] == "A001N")  # fmt: skip
    row = min(top for _, top in places)
    first, second = [left for left, top in places if top == row]
    assert second - first > 2 * 63.5 - 1, "label 5 was passed over"


def test_a_printer_that_is_out_is_met_half_way(shelved: Bench, tmp_path: Path) -> None:
    """A printer 0.5 mm to the right and 1.2 mm high gets its labels 0.5 left and 1.2 lower."""

    def corner(*more: str) -> tuple[float, float]:
        path = tmp_path / "labels.pdf"
        shelved("labels", "A001N", "-o", str(path), *more)
        with pdfplumber.open(path) as pdf:
            word = next(w for w in pdf.pages[0].extract_words() if w["text"] == "A001N")
        return word["x0"] / MM, word["top"] / MM

    before = corner()
    shelved("record", "printer", "upstairs", "--right", "0.5", "--down", "-1.2")
    after = corner("--printer", "up")
    assert after[0] - before[0] == pytest.approx(-0.5, abs=0.01)
    assert after[1] - before[1] == pytest.approx(1.2, abs=0.01)


def test_printers_are_kept_and_taken_back(bench: Bench) -> None:
    bench("record", "printer", "upstairs", "--right", "0.5")
    bench("record", "printer", "Upstairs", "--down", "-1")
    (kept,) = bench.json("record", "printer")["printers"]
    assert (kept["right_mm"], kept["down_mm"]) == (0.5, -1.0)
    bench("undo")
    assert bench.json("record", "printer")["printers"][0]["down_mm"] == 0


@pytest.mark.parametrize("stock", ["roll-51x32", "roll-102x51", "letter-10-101.6x50.8"])
def test_other_stock_and_label_printers(shelved: Bench, tmp_path: Path, stock: str) -> None:
    path = tmp_path / "labels.pdf"
    shelved("record", "printer", "thermal", "--dpi", "203")
    shelved("labels", "--all", "-o", str(path), "--stock", stock, "--printer", "thermal")
    assert {code.split()[0] for code in codes(path)} == {"A001N", "A003J"}


def test_an_alignment_sheet(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "align.pdf"
    out = " ".join(bench("labels", "--align", "-o", str(path)).split())
    assert "stores record printer NAME --right MM --down MM" in out
    assert len(PdfDocument(path)) == 1
    paper = said(path)
    for line in ("plus is too far right, minus too far left", "plus is too low, minus too high",
                 "stores record printer NAME --right MM --down MM"):  # fmt: skip
        assert line in out
        assert line.replace(" ", "") in paper
    bench("printer", "up stairs", "--right", "1")
    bench("labels", "--align", "-o", str(path), "--printer", "up stairs")
    assert "storesrecordprinter'upstairs'--rightMM" in said(path)


def test_printed_is_about_every_file_made_or_those_named(shelved: Bench, tmp_path: Path) -> None:
    shelved("labels", "A001N", "-o", str(tmp_path / "one.pdf"))
    said = shelved("labels", "A003J", "-o", str(tmp_path / "two.pdf"))
    assert "When printed: stores labels --printed" in said
    assert shelved("labels", "--printed") == "Printed, one.pdf: A001N\nPrinted, two.pdf: A003J\n"
    assert "up to date" in shelved("labels")
    shelved("labels", "A001N", "-o", str(tmp_path / "three.pdf"))
    shelved("labels", "A003J", "-o", str(tmp_path / "four.pdf"))
    refused = shelved.refused("labels", "--printed", "one.pdf")
    assert "no labels wait in a file called 'one.pdf'" in refused
    assert "three.pdf, four.pdf" in refused
    assert shelved("labels", "--printed", "three.pdf") == (
        "Printed, three.pdf: A001N\nNot marked as printed yet, four.pdf: A003J\n"
    )
    spoilt = shelved("labels", "--spoilt", "A003J")
    assert spoilt == "Spoilt, due again: A003J\n"


REFUSED = {
    "a kind of nobody": (["labels", "--as", "egg"], "no label 'egg'"),
    "a box of nobody": (["labels", "box 9", "--as", "box"], "neither bags nor loose parts are in"),
    "a box unnamed": (["labels", "--as", "box"], "say of what"),
    "a firm with nothing": (["labels", "Nobody", "--as", "batch"], "nothing is away"),
    "not inspected": (["labels", "1.1", "--as", "condition"], "nothing there was inspected"),
    "a wire without a code": (["labels", "green wire", "--as", "flag"], "a colon"),
    "no copies": (["labels", "--copies", "0"], "from 1 to 100"),
    "a spoilt label 0": (["labels", "--skip", "0"], "counted from 1"),
    "a printer of nobody": (["labels", "--printer", "attic"], "no printer"),
    "a printer far out": (["printer", "attic", "--right", "90"], "-20 to 20"),
    "a printer unsaid": (["printer", "attic"], "how far it is out"),
    "dots of nobody": (["printer", "attic", "--dpi", "7"], "100 to 2400"),
    "no templates there": (["labels", "--stock", "mine", "--templates", "/no/such"], "mine"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_bad_input_is_one_line_and_changes_nothing(shelved: Bench, case: str) -> None:
    line, reason = REFUSED[case]
    assert reason in shelved.refused(*line)


def test_a_template_of_ones_own(shelved: Bench, tmp_path: Path) -> None:
    """A copied and edited stock file is found before the built-in ones; a bad one says where."""
    from stores.resources import folder

    own = tmp_path / "own"
    own.mkdir()
    text = (folder("label_templates") / "stock" / "a4-21-63.5x38.1.toml").read_text()
    (own / "mine.toml").write_text(text)
    path = tmp_path / "labels.pdf"
    shelved("labels", "A001N", "--stock", "mine", "--templates", str(own), "-o", str(path))
    assert "A001N" in words(path)
    (own / "mine.toml").write_text(text.replace("63.5", "163.5"))
    said = shelved.refused("labels", "A001N", "--stock", "mine", "--templates", str(own))
    assert "mine.toml" in said


def test_a_copy_prints_on_stock_of_ones_own(shelved: Bench, tmp_path: Path) -> None:
    """Own stock is looked for beside the stores, and so the copy has it where it is looked for."""
    from stores.resources import folder

    own = tmp_path / "stores.templates" / "stock"
    own.mkdir(parents=True)
    text = (folder("label_templates") / "stock" / "a4-21-63.5x38.1.toml").read_text()
    (own / "mine.toml").write_text(text)
    path = tmp_path / "labels.pdf"
    shelved("labels", "A001N", "--stock", "mine", "-o", str(path))
    (tmp_path / "stick").mkdir()
    said = shelved("record", "copy", str(tmp_path / "stick" / "orrick.db"))
    assert "1 template of your own." in " ".join(said.split())
    copied = Bench(tmp_path / "stick" / "orrick.db")
    copied("labels", "A001N", "--stock", "mine", "-o", str(tmp_path / "again.pdf"))
    assert words(tmp_path / "again.pdf") == words(path)


def test_a_batch_ticket_is_the_batchs_own(clutch: Bench, tmp_path: Path) -> None:
    """Its number, not that of an act; by number or by firm; what was sent without one too."""
    clutch("outwork", "batch", "begin", "Brindlecote Platers", "--for", "zinc", "--finish", "clear")
    clutch("outwork", "batch", "put", "1", "1.2", "-q", "3")
    clutch("outwork", "batch", "send", "1", "--promised", "2027-02-01")
    for what in ("1", "brindlecote"):
        path = tmp_path / f"{what}.pdf"
        clutch("labels", what, "--as", "batch", "-o", str(path))
        said = words(path)
        assert "batch 1" in said
        assert "zinc, clear" in said
        assert "3 M6 x 25 hex bolt" in said
        assert "due 1 Feb 2027" in said
        assert "3 pieces" in said
    assert "no batch 7" in clutch.refused("labels", "7", "--as", "batch")
    clutch("outwork", "send", "1.2", "-q", "1", "--to", "Dyke", "--for", "paint")
    clutch("labels", "Dyke", "--as", "batch", "-o", str(tmp_path / "sent.pdf"))
    assert "1 M6 x 25 hex bolt" in words(tmp_path / "sent.pdf")
    assert "batch" not in words(tmp_path / "sent.pdf")


def test_a_measured_verdict_has_its_size_whole(clutch: Bench, tmp_path: Path) -> None:
    clutch("inspect", "1.1", "--reading", "19.87", "--nominal", "20", "--limit", "19.9")
    for stock in ("a4-65-38.1x21.2", "tag-35x70", "a4-14-99.1x38.1"):
        path = tmp_path / f"{stock}.pdf"
        clutch("labels", "1.1", "--as", "condition", "--stock", stock, "-o", str(path))
        assert "19.87 mm" in words(path)


def test_what_was_bought_goes_by_its_own_name_on_paper(bench: Bench, tmp_path: Path) -> None:
    bench("strip", "Engine", "magneto", "3 M6x20 hex bolt (should be 1/4 BSF x 3/4 hex bolt)")
    bench("piece", "move", "1.2", "tin 1")
    bench("buy", "3 off 1/4 BSF x 3/4 hex bolt", "--to", "A001N")
    bench("outwork", "batch", "begin", "Hollin", "--for", "nickel")
    bench("outwork", "batch", "put", "1", "1.2")
    bench("inspect", "1.2", "3", "condemned", "necked", "--of", "as removed")
    for kind, what in (("bag", "A001N"), ("batch", "1"), ("condition", "1.2")):
        path = tmp_path / f"{kind}.pdf"
        bench("labels", what, "--as", kind, "--out", str(path))
        said = words(path)
        assert "1/4 BSF x 3/4 hex bolt" in said, kind
        assert ("M6 x 20 hex bolt" in said) == (kind == "condition")  # the old ones, condemned
    for command in (("places",), ("find", "A001N"), ("count", "A001N"), ("rebuild",)):
        assert "1/4 BSF x 3/4 hex bolt" in bench(*command), command


def test_a_measured_size_is_on_the_condition_label(bench: Bench, tmp_path: Path) -> None:
    bench("strip", "Engine", "piston", "1 gudgeon pin", "1 small end bush")
    bench("inspect", "1.2", "--reading", "19.8", "--nominal", "20", "--limit", "19.9")
    bench("inspect", "1.3", "1", "condemned", "cracked")
    path = tmp_path / "pin.pdf"
    bench("labels", "1.2", "--as", "condition", "--out", str(path))
    assert "19.8 mm (limit 19.9 mm)" in words(path)
    bench("labels", "1.3", "--as", "condition", "--out", str(tmp_path / "bush.pdf"))
    assert "mm" not in words(tmp_path / "bush.pdf").replace("mm x", "")


@kept
def drawers(bench: Bench) -> Bench:
    """A drawer of fasteners, a tin of old ones in a cupboard, a shelf of consumables, a kit."""
    bench(
        "stock", "enter", "40 M6x25 hex bolt", "25 M6x16 hex bolt", "60 M6 plain washer",
        "30 M6 nut", "8 1/4 BSF x 3/4 hex bolt", "12 2BA x 1/2 cheese head screw", "4 M10x50 stud",
        "--to", "drawer 3",
    )  # fmt: skip
    bench("stock", "least", "M6 plain washer", "50")
    bench("stock", "enter", "60 1/4 BSF x 1 hex bolt", "--to", "tin 2", "-c", "as removed")
    bench("place", "stow", "tin 2", "cupboard 1")
    bench(
        "stock", "enter", "half a 50 ml tube of flange sealant", "--to", "shelf 2",
        "--opened", "3 Nov 2025", "--use-by", "2027-03-01", "--batch", "4711", "-z", "irritant",
    )  # fmt: skip
    bench("stock", "enter", "20 M4 nut", "20 M5 nut", "20 M4x12 pan head screw",
          "20 M4x16 pan head screw", "--to", "assortment")  # fmt: skip
    return bench


def test_a_drawer_says_its_sizes_by_thread_and_no_counts(drawers: Bench, tmp_path: Path) -> None:
    """In the order of the diameters: 2BA is 4.7 mm, 1/4 in 6.35 (BS 93, BS 84)."""
    path = tmp_path / "drawer.pdf"
    drawers("labels", "drawer 3", "-o", str(path))
    text = words(path)
    assert text.startswith("drawer 3 ")
    said = [
        "2BA x 1/2 cheese head screw", "M6 x 16, 25 hex bolt", "M6 nut",
        "M6 plain washer, min 50", "1/4 BSF x 3/4 hex bolt", "M10 x 50 stud",
    ]  # fmt: skip
    for each in said:
        assert each in text
    for count in ("40", "60", "30", "12 "):
        assert count not in text.replace("x 1/2", ""), "what changes daily is not on it"
    with pdfplumber.open(path) as pdf:
        tall = {w["text"]: w["bottom"] - w["top"] for w in pdf.pages[0].extract_words()}
    assert tall["drawer"] > 1.8 * tall["M6"], "the name is read from across the room"
    assert tall["M6"] >= 8, "sizes in no small print: points"


def test_what_is_found_by_a_drawers_code_is_what_is_in_it(drawers: Bench, tmp_path: Path) -> None:
    path = tmp_path / "drawer.pdf"
    drawers("labels", "drawer 3", "--stock", "roll-102x152", "-o", str(path))
    scanned = codes(path)
    assert set(scanned) == {"drawer 3"}, "the place alone"
    # the code of a label from before, or of a layout that asks for the contents
    for code in (*scanned, "drawer 3\nM6 x 16, 25 hex bolt", "drawer 3 M6 x 16, 25 hex bolt"):
        found = drawers.json("find", code)
        assert found["place"]["name"] == "drawer 3"
        assert {each["item"] for each in found["items"]} == {f"0.{n}" for n in range(1, 8)}
    assert "In drawer 3:" in drawers("find", "drawer 3")
    assert {each["item"] for each in drawers.json("find", "cupboard 1")["items"]} == {"0.8"}


def test_a_tin_of_old_ones_says_so_and_where_it_stands(drawers: Bench, tmp_path: Path) -> None:
    path = tmp_path / "tin.pdf"
    drawers("labels", "tin 2", "-o", str(path))
    assert "1/4 BSF x 1 hex bolt, as removed" in words(path)
    assert "cupboard 1" in words(path)


def test_an_assortment_entered_by_lines_is_one_label(drawers: Bench, tmp_path: Path) -> None:
    path = tmp_path / "kit.pdf"
    assert "1 place label on 1 sheet" in drawers("labels", "assortment", "-o", str(path))
    text = words(path)
    for each in ("assortment", "M4 x 12, 16 pan head screw", "M4 nut", "M5 nut"):
        assert each in text


def test_a_consumable_says_what_to_mind_and_its_code_finds_it(
    drawers: Bench, tmp_path: Path
) -> None:
    path = tmp_path / "pack.pdf"
    drawers("labels", "0.9", "-o", str(path))
    text = words(path)
    for each in ("0.9", "flange sealant", "use by 1 Mar 2027", "opened 3 Nov 2025",
                 "CAUTION: irritant", "batch 4711", "50 ml"):  # fmt: skip
        assert each in text
    for code in codes(path):
        assert [each["item"] for each in drawers.json("find", code)["items"]] == ["0.9"]
    shelf = tmp_path / "shelf.pdf"
    drawers("labels", "shelf 2", "-o", str(shelf))
    for each in ("shelf 2", "flange sealant, use by 1 Mar 2027", "CAUTION: irritant"):
        assert each in words(shelf)


def test_kinds_are_told_by_what_is_named_and_never_mixed(drawers: Bench, tmp_path: Path) -> None:
    drawers("strip", "Engine", "cap", "2 M6 nut")
    drawers("place", "stow", "A001N", "box 7")
    assert "1 box label" in drawers("labels", "box 7", "-o", str(tmp_path / "a.pdf"))
    assert "1 label on" in drawers("labels", "A001N", "-o", str(tmp_path / "b.pdf"))
    assert "drawer 3 (place), 0.9 (pack)" in drawers.refused("labels", "drawer 3", "0.9")
    assert "no stock in 'drawer 9'" in drawers.refused("labels", "drawer 9", "--as", "place")
    assert "belongs to a joint" in drawers.refused("labels", "1.1", "--as", "pack")
    drawers("stock", "use", "0.9")
    assert "nothing like '0.9' in stock" in drawers.refused("labels", "0.9")
    assert "no stock in 'shelf 2'" in drawers.refused("labels", "shelf 2")
