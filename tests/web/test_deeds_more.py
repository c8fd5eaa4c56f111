"""Forms from orders to calculators: each records and answers what its use-case does."""

import json
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from browsing import begun, client_of
from markupsafe import escape
from starlette.testclient import TestClient

from stores.storage import Store, open_store
from stores.usecases import (
    assembling,
    figures,
    labels,
    orders,
    outwork,
    rebuild,
    refit,
    shopping,
    stock,
    work_units,
)
from stores.usecases.context import Context
from stores.usecases.keeping import export
from stores.usecases.reckoning.bench import ReckonPlug, oiled, plug
from stores.usecases.reckoning.engine import ReckonBattery, battery
from stores.usecases.reckoning.oil import ReckonFork, ReckonMixture, fork, mixture
from stores.usecases.reckoning.torque import ReckonTorque, torque
from stores.web.deeds import inquiries
from stores.web.uploads import KEPT_FOR, MOST_KEPT
from stores.web.visit import House
from stores.wording import reckoning as words_of

# What a form sends, and what the command line would ask of the use-case.
SAME: dict[str, tuple[dict[str, str], Callable[..., Any], Any]] = {
    "order": (
        {"supplier": "Hollin Fasteners", "lines": "20 M6x25 hex 8.8 = 4.20\n5 M8 nut",
         "promised": "2027-01-15", "carriage": "3.95"},
        orders.place_order,
        orders.PlaceOrder("Hollin Fasteners", ("20 M6x25 hex 8.8 = 4.20", "5 M8 nut"),
                          promised="2027-01-15", carriage="3.95"),
    ),
    "buy": (
        {"what": "100 M6 nut", "stock": "1", "to": "drawer 3", "firm": "Hollin", "price": "2.50"},
        orders.buy,
        orders.Buy("100 M6 nut", None, "Hollin", "drawer 3", stock=True, price="2.50"),
    ),
    "batch-begin": (
        {"firm": "Brindlecote Platers", "work": "zinc plating", "finish": "bright, 8 um"},
        outwork.begin_batch,
        outwork.BeginBatch("Brindlecote Platers", "zinc plating", "bright, 8 um"),
    ),
    "send": (
        {"what": "2.1\n1.2", "firm": "Brindlecote Platers", "work": "zinc plating"},
        outwork.send,
        outwork.SendPieces(("2.1", "1.2"), "Brindlecote Platers", work="zinc plating"),
    ),
    "enter": (
        {"lines": "40 M6 plain washer\n25 M8 nut", "to": "drawer 3", "least": "20",
         "batch": "B7", "supplier": "Hollin"},
        stock.enter,
        stock.Enter(("40 M6 plain washer", "25 M8 nut"), "drawer 3", None, "Hollin", "20",
                    stock.PackAsTyped(batch="B7")),
    ),
    "least": ({"what": "M6 nut", "least": "50"}, stock.keep_at_least,
              stock.KeepAtLeast("M6 nut", "50")),
    "price": (
        {"what": "M6x25 hex 8.8", "price": "6.40", "pack": "50", "supplier": "Hollin"},
        shopping.set_price,
        shopping.SetPrice("M6x25 hex 8.8", "6.40", "50", "Hollin"),
    ),
    "spares": (
        {"kind": "screw", "per_cent": "10", "least": "1", "most_price": "0.50"},
        shopping.set_spares,
        shopping.SetSpares("screw", 10, 1, "0.50"),
    ),
    "currency": ({"currency": "GBP"}, shopping.set_currency, shopping.SetCurrency("GBP")),
    "sump": (
        {"name": "Gearbox", "oil": "SAE 90 GL-4", "dry": "1.4 l", "number": "1"},
        figures.set_sump,
        figures.SetSump("Gearbox", oil="SAE 90 GL-4", dry="1.4 l", number=1),
    ),
    "reading": (
        {"subject": "compression", "values": "88\n71", "wet": "92,90", "after": "1"},
        figures.take_readings,
        figures.TakeReadings("compression", ("88", "71"), "92,90", after=True),
    ),
    "torque": (
        {"what": "1.2", "figure": "9 N m", "state": "dry", "source": "book p. 41"},
        figures.set_torque,
        figures.SetTorque("1.2", "9 N m", "dry", "book p. 41"),
    ),
    "joint": ({"what": "1", "holes": "4 on 80", "order": "1 3 2 4"}, figures.set_joint,
              figures.SetJoint("1", "4 on 80", "1 3 2 4")),
    "apply": ({"what": "1.2", "text": "medium threadlocker", "takes": "2 ml"}, assembling.apply,
              assembling.Apply("1.2", "medium threadlocker", "2 ml")),
    "clearance": ({"what": "1", "name": "end float", "limits": "0.05 to 0.15 mm"},
                  assembling.set_point,
                  assembling.SetPoint("1", "end float", "0.05 to 0.15 mm")),
    "refit": (
        {"what": "2", "as_it_came": "1", "by": "A. Marl"},
        refit.refit,
        refit.Refit("2", as_it_came=True, by="A. Marl"),
    ),
    "before": ({"first": "2", "then": "1", "reason": "brakes first"}, rebuild.put_before,
               rebuild.PutBefore("2", "1", "brakes first")),
    "takes": ({"what": "week", "time": "6 h"}, rebuild.take_time, rebuild.TakeTime("week", "6 h")),
    "printer": ({"name": "upstairs", "right": "0.5", "down": "-1.2"}, labels.set_printer,
                labels.SetPrinter("upstairs", "0.5", "-1.2")),
    "units": ({"system": "imperial"}, work_units.set_units, work_units.SetUnits("imperial")),
}  # fmt: skip
DAY = "2026-11-20"
TYPED_IN = {"written_at", "key"}
"""Columns that differ between two records of the same."""


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record that others are copied from."""
    return begun(tmp_path_factory.mktemp("first") / "stores.db")


def rows(store: Store) -> list[tuple[str, dict[str, Any]]]:
    """Return a record's rows, but for when they were typed and the key of the form."""
    found = []
    for line in list(export(Context(store)))[1:-1]:
        table, values = json.loads(line)
        found.append((table, {name: values[name] for name in values.keys() - TYPED_IN}))
    return found


@pytest.mark.parametrize("name", SAME)
def test_a_form_records_what_the_use_case_does(name: str, first: Path, tmp_path: Path) -> None:
    sent, usecase, ask = SAME[name]
    mine, twin = (Path(shutil.copy(first, tmp_path / f"{who}.db")) for who in ("mine", "twin"))
    with open_store(str(mine)) as store, open_store(str(twin)) as other:
        begun_with = rows(store)
        usecase(Context(other, day=DAY), ask)
        with client_of(House(store, str(mine))) as client:
            answer = client.post(f"/do/{name}", data=sent | {"key": name, "day": DAY})
        assert answer.url.path == "/told", answer.text
        assert rows(store) == rows(other) != begun_with


REFUSED = {
    "order": {"supplier": "Hollin", "lines": "0 M6 <i>nut</i>"},
    "batch-put": {"batch": "7", "what": "1.2", "masking": "threads <b>"},
    "enter": {"lines": "40 M6 plain washer", "to": "drawer 3", "use_by": "no <day>"},
    "sump": {"name": "Gearbox", "oil": "SAE 90 GL-4", "dry": "much <more>"},
    "torque": {"what": "1.2", "figure": "tight <enough>"},
    "before": {"first": "1", "then": "99", "reason": "<brakes> first"},
    "spares": {"kind": "screw", "per_cent": "ten <per cent>"},
    "close": {"note": "done <all>"},
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal_keeps_what_was_typed(name: str, client: TestClient) -> None:
    before = client.get("/ask/history").text
    answer = client.post(f"/do/{name}", data=REFUSED[name] | {"key": name})
    assert answer.status_code == 422
    assert "Not recorded" in answer.text
    for typed in REFUSED[name].values():
        assert str(escape(typed)) in answer.text
        assert "<" not in typed or typed not in answer.text
    assert client.get("/ask/history").text == before


RECKONED: dict[str, tuple[dict[str, str], Any]] = {
    "torque": (
        {"thread": "M8", "grade": "8.8", "state": "oiled", "maker": "25 N m"},
        lambda: words_of.torque(torque(ReckonTorque("M8 8.8 oiled", maker="25 N m"))),
    ),
    "mixture": (
        {"ratio": "25:1", "petrol": "5 l"},
        lambda: words_of.answers(mixture(ReckonMixture("25:1", "5 l"))),
    ),
    "fork": (
        {"bore": "32", "legs": "148 162"},
        lambda: words_of.answers(fork(ReckonFork("32", legs=("148", "162")))),
    ),
    "battery": (
        {"volts": "6.2 6.35", "capacity_ah": "12"},
        lambda: words_of.battery(battery(ReckonBattery((6.2, 6.35), capacity_ah=12.0))),
    ),
    "plug": (
        {"thread": "M12", "drain": "1", "head": "aluminium"},
        lambda: words_of.plug(plug(ReckonPlug("M12", drain=True, case="aluminium"))),
    ),
    "oiled": ({"torque": "25", "thread": "M8"}, lambda: words_of.answer(oiled("25", "M8"))),
}


@pytest.mark.parametrize("name", RECKONED)
def test_a_calculator_answers_as_its_use_case(name: str, client: TestClient) -> None:
    typed, expected = RECKONED[name]
    shown = client.get(f"/ask/reckon-{name}", params=typed).text
    lines = expected().lines
    for line in lines:
        assert str(escape(line.text)) in shown
    (figure,) = re.findall('<p class="number">(.*?)</p>', shown)
    assert figure == str(escape(lines[0].text))
    cautions = [str(escape(line.text)) for line in lines if line.first == "! "]
    rest = next(line for line in lines if line.first.startswith("  "))
    assert cautions
    assert shown.index(figure) < shown.index(cautions[0]) < shown.index(str(escape(rest.text)))


def test_mixture_is_petrol_over_the_ratio(client: TestClient) -> None:
    """25:1 is 25 parts of petrol to one of oil: 5 l take 5000 / 25 = 200 ml."""
    answer = client.get("/ask/reckon-mixture", params={"ratio": "25:1", "petrol": "5 l"}).text
    assert f"{5000 // 25} ml" in re.findall('<p class="number">(.*?)</p>', answer)[0]


def test_every_calculator_has_a_button_and_four_fields_at_most(client: TestClient) -> None:
    from stores.cli.reckon import CALCULATORS

    page = client.get("/reckon").text
    for name in CALCULATORS:
        assert f'href="/ask/reckon-{name}"' in page
        fields = inquiries()[f"reckon-{name}"].fields
        assert 1 <= len([each for each in fields if not each.more]) <= 4, name


def test_after_a_batch_is_sent_its_note_is_a_button(client: TestClient) -> None:
    for name, typed in (
        ("batch-begin", {"firm": "Brindlecote Platers", "work": "zinc plating"}),
        ("batch-put", {"batch": "1", "what": "2.1", "metal": "steel"}),
        ("batch-send", {"batch": "1"}),
    ):
        told = client.post(f"/do/{name}", data=typed | {"key": name})
        assert told.url.path == "/told", told.text
    assert 'href="/paper/note?batch=1"' in told.text
    assert "Batch 1" in client.get("/ask/batches").text


def test_a_parts_list_is_shown_then_read_in(client: TestClient) -> None:
    file = {"file": ("book.csv", b"Part,Qty\nclutch spring,4\n", "text/csv")}
    shown = client.post("/do/parts-list", data={"key": "a", "trial": "1"}, files=file)
    assert "clutch spring" in shown.text
    assert "clutch spring" not in client.get("/ask/parts-lists").text
    told = client.post("/do/parts-list", data={"key": "b"}, files=file)
    assert told.url.path == "/told", told.text
    assert "clutch spring" in client.get("/ask/parts-lists").text


def test_a_copy_goes_beside_the_record_and_nowhere_else(client: TestClient, record: Path) -> None:
    for bad in ("", "../out", "/tmp/out", "a\\b", ".hidden", "c:out", "stores.db"):
        answer = client.post("/keep", data={"key": f"k{bad}", "name": bad})
        assert answer.status_code == 422, bad
    assert [each.name for each in record.parent.glob("*.db")] == ["stores.db"]
    assert client.post("/keep", data={"key": "k", "name": "spring"}).url.path == "/told"
    assert (record.parent / "spring.db").is_file()
    for page in ("/keep", "/ask/day-end"):
        assert f"{record.parent / 'spring.db'}" in client.get(page).text


def test_the_text_of_the_record_is_what_export_writes(client: TestClient, house: House) -> None:
    answer = client.get("/keep/text")
    assert answer.text.splitlines() == list(export(Context(house.store)))
    assert "attachment" in answer.headers["content-disposition"]


def test_the_file_of_a_list_that_is_refused_is_kept_for_its_form(client: TestClient) -> None:
    file = {"file": ("book <1>.csv", b"Part,Qty\nclutch spring,4\n", "text/csv")}
    refused = client.post(
        "/do/parts-list", data={"key": "a", "columns": "what=Nothing"}, files=file
    )
    assert refused.status_code == 422
    assert "book &lt;1&gt;.csv is kept here for this form" in refused.text
    kept = _kept_as(refused.text)
    shown = client.post("/do/parts-list", data={"key": "b", "kept_as": kept, "trial": "1"})
    assert shown.status_code == 200
    assert "clutch spring" in shown.text
    assert _kept_as(shown.text) == kept
    told = client.post("/do/parts-list", data={"key": "c", "kept_as": kept})
    assert told.url.path == "/told", told.text
    assert "book &lt;1&gt;.csv" in client.get("/ask/parts-lists").text
    again = client.post("/do/parts-list", data={"key": "d", "kept_as": kept})
    assert again.status_code == 422, "it was let go when the list was read in"
    assert "choose the file" in again.text


def test_a_file_that_is_sent_stands_for_the_one_that_was_kept(client: TestClient) -> None:
    first = {"file": ("first.csv", b"Part,Qty\nclutch spring,4\n", "text/csv")}
    shown = client.post("/do/parts-list", data={"key": "a", "trial": "1"}, files=first)
    other = {"file": ("other.csv", b"Part,Qty\nfork seal,2\n", "text/csv")}
    kept = _kept_as(shown.text)
    shown = client.post(
        "/do/parts-list", data={"key": "b", "trial": "1", "kept_as": kept}, files=other
    )
    assert "fork seal" in shown.text
    assert "clutch spring" not in shown.text
    assert "other.csv is kept here" in shown.text
    gone = client.post("/do/parts-list", data={"key": "c", "kept_as": kept})
    assert gone.status_code == 422


def test_of_many_kept_files_the_oldest_gives_way_and_none_stays_for_long(
    house: House, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = []
    for number in range(MOST_KEPT + 1):
        file = {"file": (f"{number}.csv", f"Part,Qty\npart {number},1\n".encode(), "text/csv")}
        shown = client.post("/do/parts-list", data={"key": "a", "trial": "1"}, files=file)
        kept.append(_kept_as(shown.text))
    assert house.kept.files(kept[0]) == ()
    (path,) = house.kept.files(kept[1])
    assert path.read_bytes() == b"Part,Qty\npart 1,1\n"
    now = time.monotonic()
    monkeypatch.setattr(time, "monotonic", lambda: now + KEPT_FOR + 60)
    assert house.kept.files(kept[1]) == ()
    assert not path.exists()


def _kept_as(page: str) -> str:
    found = re.search(r'name="kept_as" value="([^"]+)"', page)
    assert found, page
    return found[1]
