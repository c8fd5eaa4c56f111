"""A piece robbed from one machine for another leaves a debt there until it is made good."""

import contextlib
import sqlite3

import pytest
from conftest import Bench, kept


@kept
def two(bench: Bench) -> Bench:
    """A machine with 4 nuts, another with 3 of 4."""
    bench("strip", "Engine", "head", "4 M8 nut")
    bench("machine", "add", "Tern 50")
    bench("strip", "Engine", "barrel", "3 of 4 M8 nut", "-m", "Tern")
    return bench


def test_the_donor_is_owed_until_a_new_one_is_there(two: Bench) -> None:
    """1 of 4 nuts goes to the other machine: 3 of 4 are left here, 4 of 4 there."""
    shown = two("piece", "assign", "1.2", "1.2", "-q", "1", "-m", "Orrick", "--of-machine", "Tern")
    assert "1.2 on Orrick Plover is now short of 1 piece" in " ".join(shown.split())
    (debt,) = two.json("record", "audit")["debts"]
    owed, taken = debt["item"], debt["taken_for"]
    assert (debt["quantity"], owed["as_found"]["text"]) == (1, "M8 nut")
    assert [(each["line"], each["step"]["part"]) for each in (owed, taken)] == [
        (2, "head"), (2, "barrel"),
    ]  # fmt: skip
    listed = two.json("shopping", "-m", "Orrick")
    assert "1 lent to another joint" in str(listed)
    assert two.json("shopping", "-m", "Tern")["lines"] == []
    assert (
        "1.2 head on Orrick Plover is short of 1 M8 nut, taken for 1.2 barrel on Tern 50"
    ) in " ".join(two("record", "audit").split())
    two("buy", "1.2", "-m", "Orrick", "-q", "1")
    assert two.json("record", "audit")["debts"] == []


def test_undoing_it_leaves_no_debt(two: Bench) -> None:
    two("piece", "assign", "1.2", "1.2", "-q", "1", "-m", "Orrick", "--of-machine", "Tern")
    two("undo")
    assert two.json("record", "audit")["debts"] == []
    assert "no fault" in two("record", "audit")


@pytest.mark.parametrize(
    "deed",
    [
        "UPDATE debt SET quantity = 3",
        "UPDATE debt SET to_item_id = 1",
        "DELETE FROM movement WHERE act_id = 4 AND item_id = 2",
    ],
)
def test_a_debt_that_the_ledger_does_not_bear_out_is_a_fault(two: Bench, deed: str) -> None:
    two("piece", "assign", "1.2", "1.2", "-q", "1", "-m", "Orrick", "--of-machine", "Tern")
    assert "no fault" in two("record", "audit")
    with contextlib.closing(sqlite3.connect(two.file)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in names.fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        [(act,)] = connection.execute("SELECT act_id FROM debt").fetchall()
        connection.execute(deed.replace("act_id = 4", f"act_id = {act}"))
        connection.commit()
    reply = two.type("record", "audit", "--json")
    assert reply.status == 1
    assert any("a debt of" in fault["what"] for fault in reply.data["faults"])
