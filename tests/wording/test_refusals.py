"""Every fact that a use-case refuses with has its words, every hint its command, and no word is
left over: read from the code itself."""

import ast
import string
from importlib import import_module
from pathlib import Path

import pytest

from stores.errors import BadValue, Hint, Refused
from stores.wording import SUBJECTS
from stores.wording.marks import plain
from stores.wording.refusals import command_of, line_of

USECASES = Path(__file__).parents[2] / "stores" / "usecases"
ERRORS = ("Refused", "NotFound", "BadValue", "Repeated")


def raised() -> list[tuple[str, str, set[str], str]]:
    """Return where each fact is said: file and line, the fact, names of its values, its hint."""
    places = []
    storage = USECASES.parent / "storage"
    asked = [*sorted(USECASES.rglob("*.py")), storage / "items.py", storage / "machines.py"]
    asked.append(storage / "writer.py")
    for path in asked:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id not in ERRORS or not node.args:
                continue
            fact = node.args[0]
            if isinstance(fact, ast.Constant) and isinstance(fact.value, str):
                names = {each.arg or "**" for each in node.keywords} - {"hint"}
                hints = [each.value for each in node.keywords if each.arg == "hint"]
                hint = ""
                if (
                    hints
                    and isinstance(hints[0], ast.Call)
                    and ast.unparse(hints[0].func) == "Hint"
                ):
                    hint = ast.literal_eval(hints[0].args[0])
                elif hints:  # which one it is, a function says
                    names.add("hint")
                places.append((f"{path.name}:{node.lineno}", fact.value, names, hint))
    return places


def words(name: str) -> dict[str, object]:
    merged: dict[str, object] = {}
    for subject in SUBJECTS:
        merged |= getattr(import_module(f"stores.wording.{subject}"), name)
    return merged


@pytest.mark.parametrize(
    ("where", "fact", "names", "hint"), [pytest.param(*each, id=each[0]) for each in raised()]
)
def test_a_fact_has_words_and_all_that_they_name(
    where: str, fact: str, names: set[str], hint: str
) -> None:
    template = words("REFUSALS").get(fact)
    assert template is not None, f"{where}: no words for {fact!r}"
    if isinstance(template, str) and "**" not in names:
        fields = {
            name.split("!")[0] for _, name, _, _ in string.Formatter().parse(template) if name
        }
        assert fields <= names | ({"hint"} if hint else set()), where
    if hint:
        assert hint in words("HINTS"), f"{where}: no command for the hint {hint!r}"


def test_no_words_are_left_over() -> None:
    facts = {fact for _, fact, _, _ in raised()}
    rooms = [USECASES, *(USECASES.parent / room for room in ("planning", "model", "web"))]
    sources = "".join(
        path.read_text(encoding="utf-8") for room in rooms for path in room.rglob("*.py")
    )
    unused = {key for key in words("REFUSALS") if key not in facts and f'"{key}"' not in sources}
    assert unused == {"recorded already"}  # said in stores/errors.py


def test_a_fact_has_its_words_in_one_subject_only() -> None:
    facts = [
        fact for subject in SUBJECTS for fact in import_module(f"stores.wording.{subject}").REFUSALS
    ]
    assert sorted(facts) == sorted(set(facts))


def test_a_fact_becomes_one_line() -> None:
    assert line_of(BadValue("no count", typed="some")) == (
        "write a whole number such as 4, not 'some'"
    )
    assert plain(line_of(Refused("what comes off is not new", hint=Hint("buy")))) == (
        "what comes off is not new: 'stores buy' brings new pieces in"
    )
    by_button = line_of(Refused("what comes off is not new", hint=Hint("buy")), lambda hint: "Buy")
    assert plain(by_button) == "what comes off is not new: 'Buy' brings new pieces in"
    with pytest.raises(KeyError):
        command_of(Hint("no such use-case"))


def test_every_hint_that_is_given_has_words() -> None:
    known = words("HINTS")
    given = {
        (path.name, node.args[0].value)
        for path in sorted(USECASES.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and ast.unparse(node.func) == "Hint"
        and isinstance(node.args[0], ast.Constant)
    }
    assert len(given) > 20
    assert {each for each in given if each[1] not in known} == set()
