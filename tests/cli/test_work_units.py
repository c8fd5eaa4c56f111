"""Units as the person works: one choice, on the screen and on every sheet, the other beside it."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench, kept

from stores.storage import open_store
from stores.storage.quick import quick_settings
from stores.storage.settings import read_settings


def words_of(path: Path) -> str:
    with pdfplumber.open(path) as document:
        return " ".join(" ".join(page.extract_text().split()) for page in document.pages)


@kept
def shop(bench: Bench) -> Bench:
    """A bench with a maker's torque, a joint and a sump."""
    bench("strip", "Engine", "clutch cover", "1 M8x30 8.8 hex bolt", "1 gasket")
    bench("strip", "Engine", "sump", "5 M8x25 8.8 hex bolt")
    bench("figure", "torque", "2.2", "18 to 20 lbf ft", "oiled", "--from", "p. 41")
    bench("figure", "joint", "2", "5 on 90")
    bench("figure", "sump", "gearbox", "--oil", "SAE 90", "--dry", "1.4 l")
    return bench


def test_without_a_choice_it_is_n_m_and_ml(shop: Bench) -> None:
    assert "Torques in N m, volumes in ml" in shop("record", "units")
    text = " ".join(shop("rebuild").split())
    assert "torque 24.4 to 27.1 N m, maker's figure, 18 to 20 lbf ft, oiled (p. 41)" in text
    assert "1,400 ml (2.5 imp pint)" in text


def test_a_choice_is_on_the_screen_everywhere(shop: Bench) -> None:
    """18 lbf ft is 24.4 N m (NIST SP 811), a pint 568.26 ml (Weights and Measures Act 1985); 18
    N m, what is left of a slippery M8 8.8 (VDI 2230: 18.5), are 13.3 lbf ft. A joint with a maker's
    18 to 20 lbf ft is planned with the middle, 25.76 N m, to three figures."""
    assert "Torques in lbf ft, volumes in imp pints from now on" in shop(
        "record", "units", "imperial"
    )
    text = " ".join(shop("rebuild").split())
    assert "torque 18 to 20 lbf ft, maker's figure, 24.4 to 27.1 N m, oiled (p. 41)" in text
    assert "set 13 lbf ft (18 N m)" in text
    assert "2.46 imp pint (1,400 ml)" in text
    known = " ".join(shop("figure", "torque", "2.2").split())
    assert "maker 18 to 20 lbf ft, 24.4 to 27.1 N m" in known
    assert "2.46 imp pint (1,400 ml)" in shop("figure", "sump")
    assert "100 % 19 lbf ft (25.8 N m)" in text
    assert shop("reckon", "torque", "M8", "8.8", "oiled").startswith("Set 17.5 lbf ft (24 N m,")
    plug = shop("reckon", "plug", "M14", "gasket", "aluminium").splitlines()
    assert plug[0].startswith("Set 18 lbf ft (24.4 N m,")
    assert "21.6 lbf ft (29.3 N m)" in " ".join(plug)
    oil = shop("reckon", "mixture", "25:1", "5l")
    assert oil.startswith("oil to add to the petrol: 7.04 imp fl oz (200 ml,")


def test_the_stock_has_volumes_beside_ml(shop: Bench) -> None:
    """A pint is 568.26 ml, a fluid ounce a twentieth of it; grams and pieces stay as they are."""
    shop("stock", "enter", "2.5 l gear oil EP90", "--least", "3 l")
    shop("stock", "enter", "500 g lithium grease", "40 M6 plain washer")
    plain = shop("stock")
    assert "2.5 l of gear oil EP90" in plain
    assert "pint" not in plain
    before = shop.json("stock")
    shop("record", "units", "imperial")
    assert shop.json("stock") == before
    told = " ".join(shop("stock").split())
    assert "2.5 l (4.4 imp pint) of gear oil EP90" in told  # 2500 / 568.26
    assert "500 g of lithium grease" in told
    assert "2.5 l (4.4 imp pint) good, at least 3 l (5.28 imp pint) to be held" in told
    entered = shop("stock", "enter", "200 ml fork oil 10W", "--batch", "7")
    item = re.search(r"(\d+\.\d+)  200 ml \(7\.04 imp fl oz\) of fork oil", entered)  # 200 / 28.413
    assert item
    assert f"{item[1]} fork oil 10W: opened" in shop("stock", "pack", item[1], "--opened", "today")
    assert "150 ml (5.28 imp fl oz) left, 200 ml (7.04 imp fl oz) on record before" in " ".join(
        shop("stock", "left", item[1], "150 ml").split()
    )


def test_a_choice_is_on_every_sheet(shop: Bench, tmp_path: Path) -> None:
    shop("record", "units", "imperial")
    shop("rebuild", "--pdf", str(tmp_path / "list.pdf"))
    text = words_of(tmp_path / "list.pdf")
    assert "18 to 20 lbf ft" in text
    assert "maker's figure, 24.4 to 27.1 N m, oiled" in text
    assert "tightened to" in text
    assert "100 %: 19 lbf ft (25.8 N m)" in text
    assert "2.46 imp pint (1,400 ml)" in text
    assert "filled imp pint" in text
    shop("figure", "joint", "2", "--card", str(tmp_path / "card.pdf"))
    card = words_of(tmp_path / "card.pdf")
    assert "19 lbf ft (25.8 N m)" in card
    assert "Passes % lbf ft" in card
    shop("machine", "book", str(tmp_path / "book.pdf"))
    assert "maker's torque: 18 to 20 lbf ft (p. 41)" in words_of(tmp_path / "book.pdf")


def test_the_record_keeps_its_own_units(shop: Bench) -> None:
    """What is written, and what a program gets, is the same whatever is chosen."""
    asked = (
        ("torque", "2.2"), ("reckon", "torque", "M8", "8.8", "oiled"), ("rebuild",), ("sump",),
        ("shopping",), ("joint", "2"),
    )  # fmt: skip
    before = [shop.json(*words) for words in asked]
    shop("record", "units", "US")
    assert [shop.json(*words) for words in asked] == before
    shop("figure", "sump", "fork", "--dry", "200 ml")
    shop("figure", "torque", "1.2", "25 N m", "oiled")
    log = " ".join(shop("history").split())
    assert "fork: 200 ml dry" in log
    assert "25 N m, oiled" in log


def test_a_choice_is_taken_back_and_tried(shop: Bench) -> None:
    shop("record", "units", "--torque", "ft lb", "--volume", "imperial pints", "--try")
    assert shop.json("record", "units")["torque"] == "N m"
    shop("record", "units", "--torque", "ft lb")
    assert (shop.json("record", "units")["torque"], shop.json("record", "units")["volume"]) == (
        "lbf ft",
        "ml",
    )
    shop("record", "units", "metric")
    assert shop.json("record", "units")["torque"] == "N m"
    shop("undo")
    assert shop.json("record", "units")["torque"] == "lbf ft"
    assert shop("reckon", "torque", "M8", "8.8", "oiled").startswith("Set 17.5 lbf ft")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["roman"], "choose metric, imperial or US"),
        (["--torque", "stone"], "no unit"),
        (["--torque", "ml"], "not a unit of torque"),
        (["--torque", "N cm"], "N m, lbf ft, lbf in or kgf m"),
        (["--volume", "pint"], "imperial or US"),
        (["--volume", "US gallon"], "ml, imp pint or US pint"),
        ([" ", "--volume", " "], "which units"),
    ],
)
def test_what_there_is_no_choice_of_is_refused(bench: Bench, words: list[str], said: str) -> None:
    assert said in bench.refused("record", "units", *words)


def test_the_quick_way_reads_what_the_long_way_reads(shop: Bench) -> None:
    file = str(shop.file)

    def both() -> dict[str, str]:
        with open_store(file) as store, store.reading() as connection:
            long = read_settings(connection)
        assert quick_settings(file) == long
        return long

    assert both() == {}
    shop("record", "units", "imperial")
    shop("order", "price", "--currency", "GBP")
    assert both() == {"torque unit": "lbf ft", "volume unit": "imp pint", "currency": "GBP"}
    shop("undo")
    shop("undo")
    assert both() == {}
    shop("plan", "takes", "week", "5 h")  # a choice of one machine is not of the whole stores
    assert both() == {}


def test_what_cannot_be_read_is_no_choice(tmp_path: Path) -> None:
    assert quick_settings(str(tmp_path / "none.db")) == {}
    (tmp_path / "other.db").write_text("no database")
    assert quick_settings(str(tmp_path / "other.db")) == {}
    assert quick_settings(str(tmp_path)) == {}
    assert quick_settings("\0") == {}


def test_a_calculator_with_a_record_loads_no_database_package(shop: Bench) -> None:
    shop("record", "units", "imperial")
    code = (
        "import sys\nfrom stores.cli.app import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "heavy = ('sqlmodel', 'sqlalchemy', 'alembic', 'pandas', 'reportlab', 'rich')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "reckon", "torque", "M8", "8.8", "oiled"],
        capture_output=True, text=True, check=True, env=os.environ | {"STORES": str(shop.file)},
    )  # fmt: skip
    lines = done.stdout.splitlines()
    assert lines[0].startswith("Set 17.5 lbf ft (24 N m")
    assert lines[-1] == "[]"


def test_a_caution_on_a_card_is_turned_too(bench: Bench, tmp_path: Path) -> None:
    """1.5 N m are 1.11 lbf ft (NIST SP 811): half of 3 N m is below what most wrenches measure."""
    bench("record", "units", "imperial")
    path = tmp_path / "card.pdf"
    bench("reckon", "order", "4 on 60", "--torque", "3", "--pdf", str(path))
    assert "1.11 lbf ft (1.5 N m) is below what most torque wrenches measure" in words_of(path)
