"""The plan at the command line: order, today, what-if, progress."""

from pathlib import Path

import pdfplumber
from conftest import Bench, kept


@kept
def engine(bench: Bench) -> Bench:
    """Three steps of an engine, one of a frame, everything inspected."""
    bench("strip", "Engine", "magneto", "2 M6x25 bolt 8.8")
    bench("strip", "Engine", "cover", "4 M6x30 bolt 8.8")
    bench("strip", "Engine", "rotor", "1 M8x40 bolt 8.8")
    bench("strip", "Frame", "saddle", "2 M8x20 bolt 8.8")
    for step in "1234":
        bench("inspect", step, "serviceable")
    return bench


def order(bench: Bench, *words: str) -> list[int]:
    return [each["step"] for each in bench.json("plan", *words)["steps"]]


def test_order_and_a_persons_word(engine: Bench) -> None:
    assert order(engine) == [4, 3, 2, 1]
    assert "Step 2 goes on before step 3" in engine(
        "plan", "before", "2", "3", "-n", "rotor needs it"
    )
    assert order(engine) == [4, 2, 3, 1]
    assert order(engine, "--strict") == [4, 3, 2, 1]
    engine("plan", "before", "--forget", "2", "3")
    assert order(engine) == [4, 3, 2, 1]
    engine("undo")
    assert order(engine) == [4, 2, 3, 1]


def test_a_ring_is_written_down_named_and_can_be_let_go(engine: Bench, tmp_path: Path) -> None:
    shown = engine("plan", "before", "1", "3", "--on", "2026-11-03")
    asked = [
        "These 3 orders contradict each other. Which is wrong?",
        "1. 3 before 2 (order of removal, same assembly Engine): stores plan free 3 2",
        "2. 2 before 1 (order of removal, same assembly Engine): stores plan free 2 1",
        "3. 1 before 3 (you said so on 3 Nov 2026): stores plan before --forget 1 3",
        "Until you say, 3 before 2 is left out",
    ]
    for reply in (shown, engine("plan"), engine("plan", "today"), engine("rebuild")):
        flat = " ".join(reply.split())
        assert [line for line in asked if line not in flat] == []
    engine("rebuild", "--pdf", str(tmp_path / "list.pdf"))
    with pdfplumber.open(tmp_path / "list.pdf") as document:
        printed = " ".join("".join(page.extract_text() for page in document.pages).split())
    assert [line for line in asked if line not in printed] == []
    assert sorted(order(engine)) == [1, 2, 3, 4]
    engine("plan", "free", "3", "2")
    assert engine.json("plan")["rings"] == engine.json("plan", "today")["rings"] == []
    assert "contradict" not in engine("rebuild")
    assert order(engine) == [4, 2, 1, 3]


def test_letting_free_says_when_a_step_between_keeps_the_order(engine: Bench) -> None:
    assert "Step 1 still waits for step 3, because of step 2" in engine("plan", "free", "3", "1")
    assert "still waits" not in engine("plan", "free", "3", "2")


def test_refitting_minds_a_persons_word(engine: Bench) -> None:
    engine("plan", "before", "4", "3")
    shown = engine("refit", "3")
    assert "These should have gone on first: step 4 saddle" in shown


def test_today_and_progress(engine: Bench) -> None:
    engine("outwork", "send", "3.2", "--to", "Dyke Plating", "--for", "zinc")
    shown = engine("plan", "today")
    assert "4 steps, 0 done, 0 on but not finished, 1 ready, 3 waiting" in shown
    assert "Step 4  Frame: saddle" in shown
    assert "chase 1 M8 x 40 bolt 8.8 of 3.2 at Dyke Plating" in " ".join(shown.split())
    assert "lets steps 3, 2, 1 go ahead" in shown
    engine("refit", "4", "--anyway")
    data = engine.json("plan", "progress")
    frame = next(each for each in data["assemblies"] if each["assembly"] == "Frame")
    assert (frame["done"], frame["to_fit"]) == (1, 0)
    assert data["pieces_a_week"] == 3  # the saddle and 2 bolts, counted as of a week at least
    assert "3 pieces in the last 7 days" in engine("plan", "progress")


def test_times_and_what_if(engine: Bench) -> None:
    assert "guess" in engine("plan")
    engine("plan", "takes", "each", "1 h 30 min")
    engine("plan", "takes", "4", "2h")
    engine("plan", "takes", "week", "7 h")
    data = engine.json("plan", "--on", "2026-03-02")
    assert data["hours_a_week"] == 7
    assert data["minutes_left"] == 3 * 90 + 120
    # An hour a day: 6 h 30 min are done on the sixth day from then.
    assert data["finish"] == "2026-03-08"
    engine("outwork", "send", "3.2", "--to", "Dyke Plating", "--for", "zinc")
    shown = " ".join(engine("plan", "--late", "Dyke=21").split())
    # Steps 3, 2 and 1 wait for it: 21 days, and 4 h 30 min of work after it.
    assert "With Dyke 21 days late: finished 19 days later" in shown
    assert "must not be late" in shown
    engine("plan", "takes", "week", "none")
    assert engine.json("plan")["hours_a_week"] == 8


def test_a_step_for_access(engine: Bench) -> None:
    engine("plan", "access", "4")
    assert "made way" not in engine("plan")
    engine("strip", "Wheels", "wheel", "-p", "loft")
    assert order(engine).index(5) < order(engine).index(4)
    assert "off before step 4" in engine.refused("plan", "access", "4", "2")
    engine("plan", "access", "4", "--not")


def test_bars_on_paper(engine: Bench, tmp_path: Path) -> None:
    engine("plan", "takes", "week", "1 h")
    path = tmp_path / "plan.pdf"
    shown = engine("plan", "--pdf", str(path))
    assert str(path) in shown
    with pdfplumber.open(path) as pdf:
        words = pdf.pages[0].extract_text()
        # below the samples of bars that say what each means
        bars = [each for each in pdf.pages[0].rects if 8 < each["height"] < 9 and each["top"] > 130]
    assert "Page 1 of 1" in words
    assert "Frame\n4 saddle" in words
    assert "What if" not in words
    assert len(bars) == 4
    lengths = {round(each["width"], 1) for each in bars}
    assert len(lengths) == 1  # each takes as long as the others
    starts = [each["x0"] for each in bars]
    assert starts == sorted(starts)


def test_a_what_if_on_paper_says_that_it_is_one(engine: Bench, tmp_path: Path) -> None:
    engine("plan", "takes", "week", "7 h")
    engine("outwork", "send", "3.2", "--to", "Dyke Plating", "--for", "zinc")
    path = tmp_path / "plan.pdf"
    engine("plan", "--late", "Dyke=21", "--pdf", str(path), "--on", "2026-03-02")
    with pdfplumber.open(path) as pdf:
        words = " ".join(pdf.pages[0].extract_text().split())
    shown = " ".join(engine("plan", "--late", "Dyke=21", "--on", "2026-03-02").split())
    finish = shown.split("With Dyke 21 days late: ")[1].split(" later")[0]
    assert f"What if, not the plan: with Dyke 21 days late: {finish} later" in words
    engine("plan", "--strict", "--pdf", str(path))
    with pdfplumber.open(path) as pdf:
        words = " ".join(pdf.pages[0].extract_text().split())
    assert "What if, not the plan: in the order of the strip-down" in words


def test_everything_back_on(engine: Bench) -> None:
    for step in "4321":
        engine("refit", step)
    assert "Everything is back on" in engine("plan")
    assert "Nothing waits" in engine("plan", "today")
    assert "Every piece is back on" in engine("plan", "progress")


def test_the_day_that_something_is_promised_for_is_in_the_data(engine: Bench) -> None:
    engine("outwork", "batch", "begin", "Dyke Plating", "--for", "zinc")
    engine("outwork", "batch", "put", "1", "4.2")
    engine("outwork", "batch", "send", "1", "--promised", "2099-01-05")
    (chased,) = engine.json("plan", "today", "--strict")["chase"]
    assert "2099-01-05" in [value for matter in chased["matters"] for value in matter.values()]
