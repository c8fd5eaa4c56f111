"""Orders as typed and shown; and that the audit and the plan see them.

Arithmetic by hand. Short are 5 self-locking nuts (2 and 3, renewed as a rule) and 2 gaskets. Nuts
are 3.10 for a pack of 4: 5 nuts are 2 packs, so 8 nuts for 2 x 3.10 = 6.20; with carriage of 3.95
that is 10.15; the gaskets have no price and are in no sum.
"""

import contextlib
import sqlite3

import pytest
from conftest import Bench, kept


@kept
def joints(bench: Bench) -> Bench:
    bench("strip", "Engine/Clutch", "clutch cover", "2 M8 nyloc nut", "1 gasket")
    bench("strip", "Engine/Gearbox", "end cover", "3 M8 nyloc nut", "1 gasket")
    bench("order", "price", "M8 nyloc nut", "3.10", "--pack", "4")
    return bench


def test_an_order_from_the_list_to_the_last_piece(joints: Bench) -> None:
    said = joints(
        "order", "with", "Hollin", "--list", "--carriage", "3.95", "--promised", "2027-01-15",
        "-n", "their 4711",
    )  # fmt: skip
    assert "Order 1 with Hollin: 10 pieces, promised for 15 Jan 2027" in said
    assert "8 M8 self-locking nut, 6.20" in said
    assert "a price is missing: no total" in said
    assert "10.15  on order" in joints("machine", "costs")
    assert "15 Jan 2027" in joints("order", "list")
    for line in ("1", "2"):
        said = joints("order", "costs", "1", line, "1.00")
    # 1.00 + 1.00 + 6.20 + 3.95 = 12.15
    assert "12.15 in all, carriage 3.95 in it" in said
    came = joints("order", "came", "1", "3", "-q", "3", "--on", "yesterday")
    assert "Order 1: 3 pieces from Hollin" in came
    assert "3 M8 self-locking nut: 2 for 1.2, in bag A001N; 1 for 2.2, in bag A003J" in came
    assert "still to come: " in came
    assert "5 M8 self-locking nut" in came
    back = joints("order", "back", "1", "3", "-q", "2", "-n", "thread too coarse")
    assert "2 M8 self-locking nut back to Hollin, replacement expected" in back
    shown = joints("order", "show", "1")
    assert "part received, promised for 15 Jan 2027" in shown
    assert "note: their 4711" in shown
    assert "carriage 3.95" in shown
    assert "no day promised" in joints("order", "promised", "1", "none")
    assert "9 pieces cancelled" in joints("order", "cancel", "1")
    assert "Nothing is on order" in joints("order", "list")
    assert "received" in joints("order", "list", "--all")
    assert "no fault" in joints("record", "audit")


def test_the_json_of_an_order_is_its_facts(joints: Bench) -> None:
    placed = joints.json("order", "with", "Hollin", "8 M8 nyloc nut = 6.20")
    assert (placed["act"], placed["order"], placed["supplier"], placed["total"]) == (
        5, 1, "Hollin", 620,
    )  # fmt: skip
    came = joints.json("order", "came", "1")
    # 5 are wanted: 8 - 5 = 3 loose.
    assert [(put["item"], put["quantity"], put["place"]) for put in came["put"]] == [
        ("1.2", 2, "A001N"), ("2.2", 3, "A003J"), ("0.1", 3, "bench"),
    ]  # fmt: skip
    made = joints.json("order", "show", "1")
    assert joints.json("order", "list", "--all") == {"machine": "Orrick Plover", "orders": [made]}
    assert made["state"] == "received"
    assert made["promised"] is None
    [line] = made["lines"]
    assert (line["received"], line["outstanding"], line["price_hundredths"]) == (8, 0, 620)


def test_the_plan_chases_it_for_the_day_promised(joints: Bench) -> None:
    joints("order", "with", "Hollin", "--list", "--promised", "2027-01-15")
    waits = [one for step in joints.json("plan")["steps"] for one in step["waits_for"]]
    kinds = {one["kind"] for one in waits}
    assert "chase" in kinds
    assert "buy" not in kinds
    chased = [one for one in waits if one["kind"] == "chase"]
    assert {(one["whom"], one["ordered"], one["due"]) for one in chased} == {
        ("Hollin", True, "2027-01-15")
    }


def test_labels_of_bags_are_due_when_pieces_came(joints: Bench) -> None:
    joints("order", "with", "Hollin", "5 M8 nyloc nut")
    joints("labels", "-o", str(joints.file.parent / "a.pdf"))
    joints("labels", "--printed")
    joints("order", "came", "1")
    assert "A001N" in joints("record", "audit")  # among the labels to print


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("order", "show", "2"), "no order 2: 'stores order list' lists them"),
        (("order", "came", "1", "2"), "no line 2 in order 1: it has 1"),
        (
            ("order", "came", "1", "1", "-q", "6"),
            "6 came, but 5 are outstanding in line 1: record what is more with 'stores buy'",
        ),
        (("order", "came", "1", "-q", "some"), "write a whole number such as 4, not 'some'"),
        (("order", "came", "1", "-q", ""), "write a whole number such as 4, not ''"),
        (
            ("order", "back", "1", "1", "-n", "x"),
            "5 M8 self-locking nut to send back, but 0 of line 1 of order 1 came",
        ),
        (("order", "costs", "1", "1", "four"), "not a sum of money: 'four'; write it as 4.20"),
        (
            ("order", "promised", "1", "soon"),
            "not a day: 'soon'; write it as 3 Nov 2026 or 3/11/2026",
        ),
        (
            ("order", "with", "Hollin", "1 gasket"),
            "which gasket? Name the item: 1.3 (clutch cover), 2.3 (end cover)",
        ),
        (
            ("buy", "1 gasket"),
            "which gasket? Say for which joint, as in stores buy 1.3: 1.3 (clutch cover), "
            "2.3 (end cover)",
        ),
        (("buy", "A001N"), "buy takes what arrived, as 20 M6x25 hex, or one item, as 7.4"),
    ],
)
def test_what_is_refused_in_one_line(joints: Bench, words: tuple[str, ...], said: str) -> None:
    joints("order", "with", "Hollin", "5 M8 nyloc nut")
    assert said in joints.refused(*words)


def test_what_is_bought_beside_the_list_names_the_list(joints: Bench) -> None:
    assert "for 1.2 clutch cover: in bag A001N" in joints("buy", "2 M8 nyloc nut")
    said = " ".join(joints("buy", "2 M10 nut", "--from", "Dyke", "--to", "box 3").split())
    assert "2 M10 nut, new, from Dyke 2 in stock as 0.1: in box 3" in said
    assert "No joint is short of just that. The list has: gasket, for" in said


TAMPERED = {
    "more came than was ordered": ("UPDATE purchase_line SET quantity = 1", "but 1 ordered"),
    "a receipt of more": ("UPDATE receipt SET quantity = 4 WHERE item_id = 2", "by its order, but"),
    "an order taken out": ("DELETE FROM purchase", "order that does not stand"),
}


@pytest.mark.parametrize(("change", "said"), TAMPERED.values(), ids=TAMPERED)
def test_the_audit_sees_what_does_not_agree(joints: Bench, change: str, said: str) -> None:
    joints("order", "with", "Hollin", "5 M8 nyloc nut")
    joints("order", "came", "1")
    with contextlib.closing(sqlite3.connect(joints.file)) as connection:
        triggers = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for (name,) in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(change)
        connection.commit()
    reply = joints.type("record", "audit")
    assert reply.status == 1
    assert said in " ".join(reply.out.split())
