"""A record that somebody tampered with: the audit names the fault and does not fall over."""

import contextlib
import sqlite3

import pytest
from conftest import Bench

TAMPERED = {
    "a movement of 999": ("UPDATE movement SET quantity = 999 WHERE act_id = 2", "found"),
    "a movement taken out": ("DELETE FROM movement WHERE act_id = 2 AND item_id = 2", "found"),
    "a movement of another item": ("UPDATE movement SET item_id = 1 WHERE item_id = 2", "found"),
    "an unknown condition": (
        "PRAGMA ignore_check_constraints = ON; UPDATE movement SET to_condition = 'fine'",
        "cannot be read",
    ),
    "a quantity of -4": (
        "PRAGMA ignore_check_constraints = ON; UPDATE movement SET quantity = -4 WHERE item_id = 2",
        "cannot be read",
    ),
    "an unknown act": (
        "PRAGMA ignore_check_constraints = ON; UPDATE act SET kind = 'magic' WHERE id = 3",
        "act 3: cannot be read",
    ),
    "an unknown place": ("UPDATE place SET kind = 'moon' WHERE name = 'A001N'", "cannot be read"),
    "a date of garbage": ("UPDATE act SET happened_at = 'soon' WHERE id = 2", "act 2"),
    "an act taken out": ("DELETE FROM act WHERE id = 3", "act 4: follows act 2"),
    "a finding taken out": ("DELETE FROM finding", "judged 0 of 1.2"),
    "an inspection's movement taken out": ("DELETE FROM movement WHERE act_id = 3", "but moved 0"),
    "a specification taken out": (
        "DELETE FROM specification WHERE item_id = 2",
        "1.2 M6 x 25 hex bolt: its specification is missing",
    ),
    "a bag renamed": ("UPDATE place SET name = 'Z999Z' WHERE name = 'A001N'", "bag Z999Z"),
    "a place taken out": ("DELETE FROM place WHERE name = 'A001N'", "not recorded"),
    "a step taken out": ("DELETE FROM step", "names a step that is not there"),
    "a trigger taken out": ("SELECT 1", "its trigger is missing"),
    "a trigger of somebody else's": (
        "CREATE TRIGGER sly AFTER INSERT ON act BEGIN SELECT 1; END",
        "'sly' is none of ours",
    ),
    "what steers a terminal": (
        "UPDATE machine SET name = 'x' || char(27) || '[31m'",
        "machine 1: name: it has a control character (code 27)",
    ),
    "what turns the writing about": (
        "UPDATE description SET text = 'x' || char(8238) WHERE id = 1",
        "description 1: text: it has a control character (code 8238)",
    ),
    "a blob for a text": (
        "UPDATE description SET text = x'0041' WHERE id = 1",
        "description 1: text is no text",
    ),
    "a text that is no UTF-8": (
        "UPDATE description SET text = CAST(x'ff41' AS TEXT) WHERE id = 1",
        "description: has a text that is not UTF-8",
    ),
    "a text for a number": (
        "PRAGMA ignore_check_constraints = ON; UPDATE item SET line = 'two' WHERE id = 2",
        "item 2: line is no whole number",
    ),
    "a setting that is no number": (
        "INSERT INTO setting (act_id, machine_id, name, value) "
        "VALUES (4, 1, 'minutes a week', 'abc')",
        "minutes a week is no whole number",
    ),
    "units of nobody": (
        "INSERT INTO setting (act_id, name, value) VALUES (4, 'torque unit', 'stone')",
        "torque unit is none of",
    ),
    "a bolt that is looked for by another thread": (
        "UPDATE description SET thread = 'M8' WHERE text = 'M6 x 25 hex bolt'",
        "'M6 x 25 hex bolt' is looked for by the thread M8, but says M6",
    ),
    "a bolt that is looked for by no length": (
        "UPDATE description SET length_um = NULL WHERE text = 'M6 x 25 hex bolt'",
        "is looked for by the length in micrometres none, but says 25000",
    ),
    "a picture that is any file": (
        "INSERT INTO picture (act_id, machine_id, number, digest, name, taken_at, width, height, "
        "turn, format, size) VALUES (4, 1, 1, '/etc/hostname', '', '', 1, 1, 1, '', 1)",
        "picture 1: digest: no digest of a picture",
    ),
    "a ring of boxes": (
        "INSERT INTO stowing (act_id, place_id, inside_id) SELECT 4, b.id, a.id FROM place a, "
        "place b WHERE a.name = 'A001N' AND b.name = 'box 1'",
        "inside itself",
    ),
}


@pytest.mark.parametrize(("deed", "said"), TAMPERED.values(), ids=TAMPERED)
def test_the_audit_names_the_fault(clutch: Bench, deed: str, said: str) -> None:
    clutch("inspect", "1.2", "1", "condemned", "bent")
    clutch("place", "stow", "A001N", "box 1")
    with contextlib.closing(sqlite3.connect(clutch.file)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for (name,) in names:
            connection.execute(f"DROP TRIGGER {name}")
        connection.executescript(deed)
        connection.commit()
    faults = [f"{fault['where']}: {fault['what']}" for fault in _audit(clutch)["faults"]]
    assert any(said in fault for fault in faults), faults


@pytest.mark.parametrize(("deed", "said"), TAMPERED.values(), ids=TAMPERED)
def test_no_command_falls_over_it(
    clutch: Bench, deed: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each says in one line what is wrong and how to go back to the last copy, or does its job."""
    monkeypatch.chdir(clutch.file.parent)
    test_the_audit_names_the_fault(clutch, deed, said)
    for words in (
        ("history",), ("find", "bolt"), ("rebuild",), ("plan",), ("machine", "list"), ("labels",),
        ("strip", "Engine", "cap", "2 M6 nut"), ("photo", "list"), ("inventory",), ("handover",),
    ):  # fmt: skip
        reply = clutch.type(*words)
        assert reply.status in (0, 1)
        if reply.status:
            assert reply.err.count("\n") == 1, reply.err


def _audit(bench: Bench) -> dict:  # type: ignore[type-arg]
    reply = bench.type("record", "audit", "--json")
    assert reply.status == 1, reply.err
    return reply.data  # type: ignore[no-any-return]


def test_an_untouched_record_has_no_fault(clutch: Bench) -> None:
    clutch("inspect", "1.2", "1", "condemned", "bent")
    assert clutch.json("record", "audit")["faults"] == []
