"""What is to be typed is marked where a sentence is written, read from the code itself; and no mark
reaches the screen."""

import ast
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stores.cli import show
from stores.cli.app import app
from stores.cli.overview import COMMANDS
from stores.errors import Hint, Refused
from stores.wording import Line, Listing, Said
from stores.wording.commands import NOUNS
from stores.wording.marks import Part, parts, plain, quoted, to_type
from stores.wording.refusals import command_of, line_of

WORDING = Path(__file__).parents[2] / "stores" / "wording"
MODULES = sorted(
    path for path in WORDING.glob("*.py") if path.name not in ("marks.py", "commands.py")
)
MARKING = {"to_type", "quoted"}
TO_TYPE = re.compile(
    rf"\bstores (?:{'|'.join(sorted({*COMMANDS, *NOUNS}, key=len, reverse=True))})\b"
    r"|(?<![\w-])--?[a-z][\w-]*"
)


def unmarked(source: str) -> Iterator[tuple[int, str]]:
    """Yield line and text of each string that names a command or an option outside a mark.

    The plain texts of HINTS are commands from end to end: `command_of` marks them.
    """

    def visit(node: ast.AST) -> Iterator[tuple[int, str]]:
        if isinstance(node, ast.Call) and ast.unparse(node.func) in MARKING:
            return
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and isinstance(node.value, ast.Dict):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if [ast.unparse(target) for target in targets] == ["HINTS"]:
                return
        body = getattr(node, "body", [])
        for child in ast.iter_child_nodes(node):
            if isinstance(body, list) and child in body[:1] and _is_docstring(child):
                continue
            yield from visit(child)
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            for found in TO_TYPE.finditer(node.value):
                yield node.lineno, found[0]

    yield from visit(ast.parse(source))


def _is_docstring(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_what_is_to_be_typed_is_marked(path: Path) -> None:
    found = [f"{path.name}:{line}: {text}" for line, text in unmarked(path.read_text("utf-8"))]
    assert not found, f"put it into to_type() or quoted(): {found}"


def test_the_check_above_finds_what_is_not_marked() -> None:
    assert list(unmarked('a = "say it with --of WORD"')) == [(1, "--of")]
    assert list(unmarked("f\"{many}: 'stores piece left-on {item}'\"")) == [(1, "stores piece")]
    assert list(unmarked('def f():\n    return "say why, with -n"')) == [(2, "-n")]
    assert not list(unmarked("f\"say {to_type('stores undo')}\""))
    assert not list(unmarked('HINTS = {"undo": "stores undo"}'))
    assert not list(unmarked('a = "nothing is in the stores now, over-tightened"'))


def test_a_hint_is_marked_whole_or_says_itself_what_is_to_be_typed() -> None:
    assert list(parts(command_of(Hint("undo")))) == [Part("stores undo", typed=True)]
    buy = command_of(Hint("buy", what="7.4"), "orders")
    assert list(parts(buy)) == [Part("stores buy 7.4", typed=True)]
    kept = command_of(Hint("for_parts", name="Tern"), "history")
    assert list(parts(kept)) == [
        Part('stores machine for-parts "Tern"', typed=True),
        Part(" keeps it for parts"),
    ]


def test_quotes_around_a_command_are_the_command_lines_own() -> None:
    said = line_of(Refused("what comes off is not new", hint=Hint("buy")))
    assert plain(said) == "what comes off is not new: 'stores buy' brings new pieces in"
    assert list(parts(said)) == [
        Part("what comes off is not new: "),
        Part("stores buy", typed=True),
        Part(" brings new pieces in"),
    ]
    button = line_of(Refused("what comes off is not new", hint=Hint("buy")), lambda _: "Buy")
    assert Part("Buy", typed=True) in parts(button)


def test_options_are_marked_each_by_itself() -> None:
    said = line_of(Refused("torque and finger-tight"))
    assert [part.text for part in parts(said) if part.typed] == ["--torque", "--finger-tight"]


def test_a_mark_within_a_mark_is_one_with_it() -> None:
    within = "\ue000'" + to_type("stores buy") + "'\ue001 it"  # as a template's hint is filled in
    assert list(parts(within)) == [Part("stores buy", typed=True), Part(" it")]
    assert quoted(to_type("stores buy")) == quoted("stores buy")


def test_a_mark_that_is_not_closed_is_taken_as_words() -> None:
    assert list(parts("a \ue000b")) == [Part("a "), Part("b")]
    assert list(parts("a\ue001 b")) == [Part("a b")]
    assert not list(parts(""))


def shown(capsys: pytest.CaptureFixture[str]) -> str:
    return capsys.readouterr().out


def test_the_screen_shows_no_mark(capsys: pytest.CaptureFixture[str]) -> None:
    undo = f"To bring it back: {quoted('stores undo act 3')}"
    show.said(Said((f"  {undo}",), (undo,), (undo,)))
    show.lines([Line(undo, "- ", "  "), Line(undo, whole=True)])
    show.listing(Listing(["What"], [[undo]]))
    show.listing(Listing(["What"], [], empty=undo))
    text = shown(capsys)
    assert text.count("To bring it back: 'stores undo act 3'") == 7
    assert not re.search("[\ue000\ue001]", text)


def test_a_mark_takes_no_room_in_a_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(show, "width", lambda: 40)
    forty = "a line of forty characters " + to_type("stores undo a")
    assert len(plain(forty)) == 40
    show.paragraph(forty)
    assert shown(capsys) == plain(forty) + "\n"


TYPED = (
    (1, "strip Engine cover", "begin one with 'stores machine add NAME'"),
    (0, "machine add Tern", 'Next: stores strip "ASSEMBLY" "WHAT CAME OFF" "4 M6x25 hex" ...'),
    (0, "sump", "stores figure sump NAME --oil GRADE --dry 1.4l"),
    (0, "reading", "stores figure reading compression 88 71"),
    (0, "strip Engine lid '2 M6x25 hex'", "Step 1 Engine: lid"),
    (1, "refit 1 --finger-tight --torque '9 N m'", "--torque and --finger-tight: which is it?"),
    (1, "refit 1", "First 'stores inspect 1 serviceable'; or fit as it came off, with"),
    (1, "undo 99", "no act 99: 'stores history' lists them"),
    (1, "reckon fork 35 --level 3", "--level MM and --spacer LENGTH OUTSIDE INSIDE go together"),
    (0, "undo", "To bring it back: stores undo act"),
    (1, "rebuild", "'stores strip' records that"),
)


def test_no_reply_and_no_refusal_shows_a_mark(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for status, typed, words in TYPED:
        result = CliRunner().invoke(app, shlex.split(typed))
        text = " ".join((result.stdout + result.stderr).split())
        assert result.exit_code == status, (typed, text)
        assert words in text, typed
        assert not re.search("[\ue000\ue001]", text), typed
