"""What the bench meets, on paper: jobs, what is still on the machine, stacks, the rest of a step.

Recorded as a person types it, printed, and read back from the PDF.
"""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench
from printing_builder import bag, item, step
from printing_reading import said as said_of

from stores.model.labels import RestOfStep
from stores.printing.boxes import Text
from stores.printing.draw import measure
from stores.printing.label_layout import Face, lay_out
from stores.printing.label_values import fields_of
from stores.printing.templates import best_for, load_stock, stems


def text_of(path: Path) -> str:
    """All words of a PDF, in one line, as pdfplumber reads them."""
    with pdfplumber.open(path) as pdf:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)


def label(bench: Bench, stock: str, code: str) -> str:
    path = bench.file.with_name(f"{stock}-{code}.pdf")
    bench("labels", code, "--stock", stock, "-o", str(path))
    return text_of(path)


@pytest.mark.parametrize("stock", stems("stock"))
def test_a_stack_is_on_the_label_at_every_size(bench: Bench, stock: str) -> None:
    bench("strip", "Gearbox", "gear", "left, from the gear out: 0.3, 0.5, 0.1 shims", "2 M8 nut",
          "2 M8 washer", "1 spring", "1 M6x20 bolt")  # fmt: skip
    words = Counter(label(bench, stock, "A001N").replace("(", " ").replace(")", " ").split())
    assert not Counter(["0.3,", "0.5,", "0.1", "=", "0.9", "mm"]) - words


@pytest.mark.parametrize("stock", stems("stock"))
def test_what_is_still_on_is_on_the_label_at_every_size(bench: Bench, stock: str) -> None:
    bench("strip", "Engine", "cover", "2 M8 nut", "2 M8 washer", "1 spring",
          "3 of 4 M6x20 hex bolt, 1 seized", "-p", "shelf 2")  # fmt: skip
    words = Counter(label(bench, stock, "A001N").replace("on:", "on :").split())
    assert not Counter(["3", "M6", "x", "20", "hex", "bolt;", "1", "still", "on", "seized"]) - words


def test_the_rest_of_a_step_is_on_the_label_where_there_is_room(bench: Bench) -> None:
    bench("strip", "Engine", "cover", "4 M6x20 hex bolt", "2 M8 nut", "-p", "shelf 2")
    bench("piece", "move", "1.3", "new")
    bench("outwork", "send", "1.2", "-q", "2", "--to", "Vale Plating")
    said = label(bench, "a4-21-63.5x38.1", "A001N")
    rest = said[said.index("Rest (") :]
    for place in ("shelf 2", "away at Vale Plating", "bag A003J"):
        assert place in rest
    assert "A001N" not in rest.split(" pieces")[0]


@pytest.mark.parametrize("stock", stems("stock"))
@pytest.mark.parametrize("lines", [1, 2, 4, 7])
def test_the_rest_never_costs_a_word_of_the_contents(stock: str, lines: int) -> None:
    paper = load_stock(stock)
    items = [
        item(at, f"M{4 + at} x {10 + at} hex bolt", at, off=step()) for at in range(1, 1 + lines)
    ]
    alone = bag("A001N", *items)
    rest = RestOfStep(step(), ("in bag A002K", "on shelf 2", "away at Vale Plating"))
    beside = replace(alone, rest=(rest,), rest_on="2026-03-04")
    face = Face(paper.label_width, paper.longest or paper.label_height, paper.safe, paper.hole)
    layout = best_for("bag", face.area.width, face.area.height)
    said, with_rest = (lay_out(fields_of(each), layout, face, measure) for each in (alone, beside))
    assert with_rest.short_of == said.short_of
    words, more = (
        " ".join(box.text for box in each.boxes if isinstance(box, Text))
        for each in (said, with_rest)
    )
    # the line to write on and the name of the machine go first
    for each in items:
        assert (each.as_found.text in more) == (each.as_found.text in words)
    assert all(box.size >= 8 for box in with_rest.boxes if isinstance(box, Text))


def test_the_checklist_has_jobs_stacks_and_what_is_still_on(bench: Bench) -> None:
    bench("strip", "Engine", "drain the oil", "--job", "--undo", "fill the oil, 1.2 l")
    bench("strip", "Frame", "slack off the chain", "--job")
    bench("strip", "Gearbox", "gear", "left, from the gear out: 0.3, 0.5, 0.1 shims")
    bench("strip", "Engine/Top", "cover", "2 of 4 M6x20 hex bolt, 1 seized, 1 broken in hole 3")
    path = bench.file.with_name("list.pdf")
    bench("rebuild", "--pdf", str(path))
    said, flowing = text_of(path), said_of(path)
    assert "fill the oil, 1.2 l" in said
    assert "At the strip-down: drain the oil" in said
    assert "undo this: slack off the chain" in said
    assert "In order: 0.3, 0.5, 0.1 = 0.9 mm" in said
    assert "left, from the gear out" in said
    assert "1stillonthemachine:seized" in flowing
    assert "1stillonthemachine:brokeninhole3" in flowing
    assert "Seized or broken fasteners: goggles on" in said
    bench("refit", "2")
    bench("rebuild", "--pdf", str(path), "--all")
    assert "done " in text_of(path)


def test_the_handover_and_the_book_have_them(bench: Bench) -> None:
    bench("strip", "Engine", "drain the oil", "--job", "--undo", "fill the oil")
    bench("strip", "Gearbox", "gear", "left: 0.3, 0.5 shims", "2 M6x20 hex bolt, 1 seized")
    path = bench.file.with_name("day.pdf")
    bench("record", "handover", "--pdf", str(path))
    said = text_of(path)
    assert "step 1 Engine: drain the oil, to be undone: fill the oil" in said
    assert "still on the machine: 1 M6 x 20 hex bolt (2.3), seized" in said
    book = bench.file.with_name("book.pdf")
    bench("machine", "book", str(book))
    said = text_of(book)
    assert "Step 1: drain the oil" in said
    assert "fill the oil: not done yet" in said
    assert "in order: 0.3, 0.5 = 0.8 mm" in said
    assert "1 still on machine: seized" in said
    assert "2 steps" in said
