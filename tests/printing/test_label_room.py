"""What becomes of a label's words when there is little room, and when there is much."""

from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
import zxingcpp

from stores.model.labels import ConditionTag, Flag, Tag
from stores.model.ledger import Condition
from stores.printing.boxes import Text
from stores.printing.label_layout import Face, lay_out
from stores.printing.label_values import fields_of
from stores.printing.labels import write_labels
from stores.printing.templates import best_for as layout

SMALLEST = Face(38.1, 21.2, safe=1.6)
LARGE = Face(101.6, 152.4, safe=2.0)


def measure(text: str, bold: bool, size: float) -> float:
    """A plain measure: each character half as wide as it is high, bold a tenth more."""
    return len(text) * 0.5 * size * 0.3528 * (1.1 if bold else 1.0)


def tag(part: str, hazard: str = "") -> Tag:
    return Tag("A001N", part, "Orrick Plover", "Engine / Crankcase", 41, hazard=hazard)


def words(value: Tag | ConditionTag | Flag, kind: str, face: Face) -> list[Text]:
    made = lay_out(fields_of(value), layout(kind, face.area.width, face.area.height), face, measure)
    return [box for box in made.boxes if isinstance(box, Text)]


@pytest.mark.parametrize("part", ["cover", "Crankcase half, drive side, with oil pump and dowels"])
@pytest.mark.parametrize(
    ("kind", "make"),
    [
        ("tag", tag),
        ("condition", lambda part: ConditionTag("A001N", Condition.CONDEMNED, part, "cracked")),
        ("flag", lambda part: Flag("W7", part, "dynamo", "headlamp")),
    ],
)
def test_on_the_smallest_stock_the_name_is_shortened_and_never_dropped(
    part: str, kind: str, make: object
) -> None:
    shown = words(make(part), kind, SMALLEST)  # type: ignore[operator]
    name = next(box for box in shown if box.text[:4] == part[:4])
    assert name.size >= 8 - 1e-9  # points, the least that is read at a bench
    if len(part) > 20:
        assert any("…" in box.text for box in shown)
        assert any(box.lost for box in shown)
    codes = {box.text for box in shown} & {"A001N", "W7"}
    assert codes  # the code whole


def test_brackets_go_where_nothing_is_said_in_them() -> None:
    face = Face(99.1, 38.1)
    for limit, said in (("0.05 mm", "0.08 mm (limit 0.05 mm)"), ("", "0.08 mm")):
        value = ConditionTag("7.2", Condition.REPAIRABLE, "Bush", "worn", "0.08 mm", limit)
        assert said in [box.text for box in words(value, "condition", face)]


def test_the_caution_comes_before_the_rest() -> None:
    shown = " ".join(box.text for box in words(tag("cover", "springs fly"), "tag", SMALLEST))
    assert "CAUTION: springs fly" in shown


def test_on_a_large_label_it_can_be_read_from_two_metres() -> None:
    """Common practice for signs: capitals 10 mm high for each 2 to 3 m; a size of 40 points has
    capitals of 10.5 mm."""
    shown = words(tag("Crankcase half, drive side"), "tag", LARGE)
    assert next(box for box in shown if box.text == "A001N").size >= 40
    assert next(box for box in shown if box.text.startswith("Crankcase")).size >= 36


def test_a_thick_cable_is_said() -> None:
    thin = Flag("W7", "green", "dynamo", "headlamp", around=3.0)
    thick = Flag("W7", "green", "dynamo", "headlamp", around=30.0)
    face = Face(50.8, 31.75)
    assert not any("too thick" in box.lost for box in words(thin, "flag", face))
    assert any("too thick" in box.lost for box in words(thick, "flag", face))


@pytest.mark.parametrize("stock", ["a4-65-38.1x21.2", "letter-30-66.7x25.4", "roll-51x32"])
@pytest.mark.parametrize("dpi", [203, 300])
def test_the_smallest_labels_are_read_back(tmp_path: Path, stock: str, dpi: int) -> None:
    path = tmp_path / "labels.pdf"
    values = [
        tag("Crankcase half, drive side"),
        ConditionTag("A003J", Condition.CONDEMNED, "crankshaft", "big end rattles"),
        Flag("W7", "green", "dynamo", "headlamp", payload="W7: green, dynamo to headlamp shell"),
    ]
    for value in values:
        write_labels([value], path, stock=stock, dpi=dpi)
        page = pypdfium2.PdfDocument(path)[0].render(scale=dpi / 72).to_pil()
        read = zxingcpp.read_barcodes(page)
        assert read
        assert all(each.text.startswith(value.code) for each in read)
        with pdfplumber.open(path) as pdf:
            assert value.code in pdf.pages[0].extract_text()
