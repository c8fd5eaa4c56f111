"""Every form: its fields are the ask's, its labels are bound, nothing typed is refused and writes
nothing; what it records is what the command line records."""

import ast
import contextlib
import inspect
import shutil
import sqlite3
from dataclasses import fields
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, every_command
from starlette.testclient import TestClient
from test_doors import imported

from stores.web.deeds import deeds, inquiries
from stores.web.forms import DAY, EMPTIED, Deed, Inquiry, _required
from stores.web.visit import House

DEEDS = deeds()
FORMS = {each.address: each for each in (*DEEDS.values(), *inquiries().values())}
OF_FORMS = {DAY.name, EMPTIED, "photos"}
"""The fields that are of forms themselves; pictures sent with a step are taken in after it."""

EMPTY_IS_FINE = {"undo": "the last entry is undone"}
"""The deeds that record something though nothing is typed, and what."""


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_its_fields_are_those_of_what_is_asked(form: Deed | Inquiry) -> None:
    names = [each.name for each in form.fields]
    assert len(names) == len(set(names))
    if form._make is not None or form.ask is None:
        return  # made of its fields in a way of its own: what that asks is tried below
    if hasattr(form.ask, "_fields"):  # a calculator's measures, a plain tuple with names
        assert set(names) - OF_FORMS <= set(form.ask._fields)
        return
    known = {each.name for each in fields(form.ask)} - {"trial", "key"}
    assert set(names) - OF_FORMS <= known
    filled = set() if callable(form._fixed) else set(form._fixed)
    assert _required(form.ask) <= set(names) | filled


class Reader(HTMLParser):
    """Reads the fields of a page, what each is labelled with, and the headings of its groups."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self.labels: dict[str, str] = {}
        self.ids: list[str] = []
        self._in = ""
        self._tags: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if values.get("id"):
            self.ids.append(str(values["id"]))
        if tag == "label":
            self._in = str(values.get("for"))
        shown = tag in ("textarea", "select") or (tag == "input" and values["type"] != "hidden")
        if shown:
            self.fields[str(values.get("id"))] = str(values.get("name"))

    def handle_endtag(self, tag: str) -> None:
        if tag == "label":
            self._in = ""

    def handle_data(self, data: str) -> None:
        if self._in:
            self.labels[self._in] = self.labels.get(self._in, "") + data.strip()


@pytest.mark.parametrize("address", FORMS)
def test_every_field_has_its_label(client: TestClient, address: str) -> None:
    form = FORMS[address]
    answer = client.get(address)
    assert answer.status_code == 200
    read = Reader(answer.text)
    assert len(read.ids) == len(set(read.ids))
    ticks = {each.name for each in form.fields if each.widget == "ticks"}
    hidden = {each.name for each in form.fields if each.widget == "hidden"}
    assert set(read.fields.values()) == {each.name for each in form.fields} - hidden
    labels = {each.name: each.label for each in form.fields}
    for identity, name in read.fields.items():
        label = read.labels.get(identity, "")
        assert label == labels[name] if name not in ticks else label, name


def test_deeds_that_need_nothing_are_few() -> None:
    assert set(EMPTY_IS_FINE) <= set(DEEDS)


@pytest.mark.parametrize("name", DEEDS)
def test_an_empty_form_is_refused_and_nothing_written(
    client: TestClient, record: Path, name: str
) -> None:
    before = Bench(record).everything()
    answer = client.post(f"/do/{name}", data={"key": "once"}, follow_redirects=False)
    if name in EMPTY_IS_FINE:
        assert answer.status_code == 303
        assert Bench(record).everything() != before
        return
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert f'action="/do/{name}"' in answer.text
    assert Bench(record).everything() == before


@cache
def used_by_commands() -> dict[str, list[Any]]:
    """Return the commands that call each use-case, as ``module:name``."""
    found: dict[str, list[Any]] = {}
    for command in every_command().values():
        function = inspect.unwrap(command.callback)
        for usecase in _used(Path(inspect.getfile(function)), function.__name__):
            found.setdefault(usecase, []).append(command)
    return found


@cache
def _functions(path: Path) -> dict[str, ast.FunctionDef]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}


def _used(path: Path, name: str) -> set[str]:
    """Return the use-cases that a function of a command's module uses, itself or by another."""
    functions, todo, seen = _functions(path), [name], set[str]()
    used: set[str] = set()
    while todo:
        each = todo.pop()
        if each in seen or each not in functions:
            continue
        seen.add(each)
        used |= imported([functions[each]])
        todo += [node.id for node in ast.walk(functions[each]) if isinstance(node, ast.Name)]
    return used


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_its_options_are_those_of_the_command_line(form: Deed | Inquiry) -> None:
    commands = used_by_commands().get(form._usecase, [])
    assert commands, "no command calls it"
    options = {
        name
        for command in commands
        for parameter in command.params
        for name in (*parameter.opts, *parameter.secondary_opts)
    }
    assert {each.option for each in form.fields if each.option} <= options
    if isinstance(form, Deed):
        assert ("--on" in options) == (DAY in form.fields)


def written(file: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return all rows of a record but for the moments at which they were written, and keys."""
    leaves_out = {"act": {"written_at", "happened_at", "key"}}
    with contextlib.closing(sqlite3.connect(file)) as connection:
        tables = [
            name
            for (name,) in connection.execute(
                "select name from sqlite_master where type = 'table' and name not like 'sqlite%'"
            )
        ]
        rows = {}
        for table in sorted(tables):
            columns = [
                f'"{row[1]}"'
                for row in connection.execute(f"pragma table_info({table})")
                if row[1] not in leaves_out.get(table, ())
            ]
            rows[table] = connection.execute(
                f"select {', '.join(columns)} from {table} order by rowid"
            ).fetchall()
    return rows


SAME: dict[str, tuple[tuple[tuple[str, dict[str, str]], ...], tuple[tuple[str, ...], ...]]] = {
    "loose": (
        (("loose", {"line": "1 M8x40 hex", "to": "tin 1", "note": "under the bench"}),),
        (("loose", "1 M8x40 hex", "--to", "tin 1", "-n", "under the bench"),),
    ),
    "inspect": (
        (("inspect", {"what": "1.2", "verdict": "condemned", "reason": "necked",
                      "quantity": "1"}),),
        (("inspect", "1.2", "1", "condemned", "necked"),),
    ),
    "inspect by a measurement": (
        (("inspect", {"what": "1.1", "reading": "24.90", "nominal": "25", "limit": "24.95",
                      "named": "spigot"}),),
        (("inspect", "1.1", "--reading", "24.90", "--nominal", "25", "--limit", "24.95",
          "--named", "spigot"),),
    ),
    "inspect and work": (
        (("inspect", {"what": "1.1", "verdict": "serviceable", "work": "welded",
                      "by": "K. Rowe"}),),
        (("inspect", "1.1", "serviceable", "--work", "welded", "--by", "K. Rowe"),),
    ),
    "a list": (
        (("inspect-list", {"listed": "1.1 good\n2.1 good"}),),
        (("inspect", "--list", "1.1 good\n2.1 good"),),
    ),
    "specify another thing": (
        (("specify", {"what": "1.2", "text": "4 M6x30 hex 8.8", "same": "no"}),),
        (("specify", "1.2", "4 M6x30 hex 8.8", "--other"),),
    ),
    "specify the name": (
        (("specify", {"what": "1.1", "text": "clutch outer cover", "same": "yes"}),),
        (("specify", "1.1", "clutch outer cover", "--name"),),
    ),
    "move": (
        (("move", {"what": "1.2", "to": "shelf 2", "quantity": "2", "new_place": "1"}),),
        (("move", "1.2", "shelf 2", "-q", "2", "--new-place"),),
    ),
    "stow": (
        (("stow", {"what": "A001N\nA003J", "inside": "box 3"}),),
        (("stow", "A001N", "A003J", "box 3"),),
    ),
    "lose and recover": (
        (("lose", {"what": "1.2", "quantity": "1", "reason": "rolled off"}),
         ("recover", {"what": "1.2", "to": "bench"})),
        (("lose", "1.2", "-q", "1", "-n", "rolled off"), ("recover", "1.2", "--to", "bench")),
    ),
    "scrap condemned": (
        (("inspect", {"what": "1.2", "verdict": "condemned", "reason": "necked"}),
         ("scrap-condemned", {})),
        (("inspect", "1.2", "condemned", "necked"), ("scrap", "--condemned", "--yes")),
    ),
    "assign": (
        (("loose", {"line": "1 M6x25 hex 8.8", "to": "bench"}),
         ("lose", {"what": "1.2", "quantity": "1"}),
         ("assign", {"what": "0.1", "to": "1.2", "quantity": "1"})),
        (("loose", "1 M6x25 hex 8.8", "--to", "bench"), ("lose", "1.2", "-q", "1"),
         ("assign", "0.1", "1.2", "-q", "1")),
    ),
    "mix and sort": (
        (("mix", {"what": "1.2\n2.2", "note": "fell off"}),
         ("sort", {"which": "1", "lines": "1.2=4\n2.2=2"})),
        (("mix", "1.2", "2.2", "-n", "fell off"), ("sort", "1", "1.2=4", "2.2=2")),
    ),
    "count": (
        (("counted", {"place": "A001N", "but": "1.2: 3", "reason": "recount"}),),
        (("count", "A001N", "--as-listed-but", "1.2: 3", "--accept", "-n", "recount"),),
    ),
    "snag": (
        (("snag", {"where": "1.2", "sort": "damaged", "text": "thread pulled", "side": "left"}),
         ("snag-cleared", {"number": "1", "how": "new one"})),
        (("snag", "1.2", "damaged", "thread pulled", "--side", "left"),
         ("clear", "1", "new one")),
    ),
    "still on": (
        (("strip", {"assembly": "Engine", "part": "cap", "lines": "3 of 4 M6x20 hex, 1 seized"}),
         ("came-off", {"what": "3.2", "note": "with heat"})),
        (("strip", "Engine", "cap", "3 of 4 M6x20 hex, 1 seized"),
         ("came-off", "3.2", "-n", "with heat")),
    ),
    "a query": (
        (("strip", {"assembly": "Engine", "part": "cap", "lines": "1 1/4 BSF bolt"}),
         ("query", {"what": "3.2", "answer": "2"})),
        (("strip", "Engine", "cap", "1 1/4 BSF bolt"), ("queries", "3.2", "2")),
    ),
    "correct a step": (
        (("correct-step", {"step": "1", "part": "clutch outer cover", "emptied": "note",
                           "came_off_after": "2"}),),
        (("correct", "step", "1", "--part", "clutch outer cover", "--note", "",
          "--came-off-after", "2"),),
    ),
    "correct a line": (
        (("correct-line", {"what": "1.2", "text": "5 M6x25 hex 8.8", "position": "rim"}),),
        (("correct", "line", "1.2", "5 M6x25 hex 8.8", "--position", "rim"),),
    ),
    "split a step": (
        (("correct-split-step", {"step": "1", "part": "pushrod", "lines": "1.2\n1.3"}),),
        (("correct", "split-step", "1", "pushrod", "1.2", "1.3"),),
    ),
    "machines": (
        (("machine-add", {"name": "Tern 50", "kinds": "two-wheeler", "for_parts": "1"}),
         ("machine-for-parts", {"name": "Tern 50", "takes_back": "1"})),
        (("machine", "add", "Tern 50", "--kind", "two-wheeler", "--for-parts"),
         ("machine", "for-parts", "Tern 50", "--not")),
    ),
    "kinds of machine": (
        (("survey-kind", {"kinds": "stationary-engine"}),),
        (("survey", "--kind", "stationary-engine"),),
    ),
    "renewals": (
        (("renew", {"what": "spring", "why": "the manual says so"}),
         ("renew-no-longer", {"what": "split pin", "why": "new ones fitted lately"}),
         ("renew", {"what": "1.2", "why": "stretched"}), ("renew-by-rule", {"item": "1.2"})),
        (("renew", "add", "spring", "the manual says so"),
         ("renew", "remove", "split pin", "new ones fitted lately"),
         ("renew", "add", "1.2", "stretched"), ("renew", "by-rule", "1.2")),
    ),
    "undo": (
        (("undo", {"number": "2", "by": "step", "reason": "wrong machine"}),),
        (("undo", "step", "2", "-n", "wrong machine"),),
    ),
}  # fmt: skip
"""What is sent to deeds, and the commands that say the same."""


@pytest.mark.parametrize("case", SAME)
def test_a_form_records_what_the_command_records(
    client: TestClient, record: Path, tmp_path: Path, case: str
) -> None:
    sent, typed = SAME[case]
    twin = Bench(Path(shutil.copy(record, tmp_path / "twin.db")))
    before = written(record)
    for name, data in sent:
        answer = client.post(
            f"/do/{name}", data=data | {"key": f"{case} {name} {data}"[:60]}, follow_redirects=False
        )
        assert answer.status_code == 303, answer.text
    for words in typed:
        twin(*words)
    assert written(record) == written(twin.file)
    assert written(record) != before


def test_the_day_of_a_form_is_the_day_of_the_act(client: TestClient, record: Path) -> None:
    client.post("/do/move", data={"key": "a", "what": "1.1", "to": "bench", "day": "3 Nov 2025"})
    with contextlib.closing(sqlite3.connect(record)) as connection:
        (day,) = connection.execute("select happened_at from act order by id desc").fetchone()
    assert day.startswith("2025-11-03")


NASTY = "<script>alert(1)</script>"


def test_no_name_is_taken_for_markup(client: TestClient, record: Path, house: House) -> None:
    """Script in the name of a machine, a part, a note, a place and a firm, on every page."""
    sent: tuple[tuple[str, dict[str, str]], ...] = (
        ("machine-add", {"name": f"M{NASTY}", "maker": NASTY, "note": NASTY}),
        ("strip", {"assembly": f"A{NASTY}".replace("/", ""), "part": f"P{NASTY}",
                   "lines": f"2 M6x20 hex @ {NASTY}\n1 {NASTY}", "note": NASTY, "hazard": NASTY}),
        ("move", {"what": "1.1", "to": f"L{NASTY}", "new_place": "1"}),
        ("snag", {"where": "1", "sort": "leak", "text": NASTY, "side": NASTY}),
    )  # fmt: skip
    for name, data in sent:
        answer = client.post(f"/do/{name}", data=data | {"key": name, "machine": "M"})
        assert answer.status_code == 200, answer.text
        assert NASTY not in answer.text
    Bench(record)("outwork", "send", "1.2", "--to", f"F{NASTY}", "-m", "M")
    client.cookies.set("machine", "M")
    plain = {page.path for page in _pages() if page.method == "GET" and "{" not in page.path}
    queries = (
        "/ask/story?what=1", "/ask/story?what=1.2", f"/ask/story?what={NASTY}",
        f"/ask/find?text={NASTY}", "/ask/find?text=script", "/find?q=script", f"/find?q={NASTY}",
        "/ask/places", f"/do/strip?part={NASTY}&lines={NASTY}",
        f"/do/{NASTY}", f"/{NASTY}", "/inspect?what=1", "/bag/A004H",
        "/count?place=A004H", "/next?step=1",
    )  # fmt: skip
    met = 0
    for address in (*FORMS, *sorted(plain), *queries):
        answer = client.get(address)
        if not answer.headers["content-type"].startswith(("text/html", "image/svg")):
            # the export and tables: files to keep, which no browser takes for a page
            assert answer.headers["x-content-type-options"] == "nosniff"
            continue
        text = answer.text
        assert "<script>alert" not in text, address
        met += "&lt;script&gt;alert" in text
    assert met > 10  # the names were there to be shown


def _pages() -> Any:
    from stores.web.pages import PAGES

    return PAGES
