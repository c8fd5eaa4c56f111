"""Words on a page: commands are links to their forms, options the labels of fields."""

import pytest
from starlette.testclient import TestClient

from stores.cli.overview import COMMANDS
from stores.web.spoken import address_of, spoken
from stores.wording.commands import spelling
from stores.wording.marks import quoted, to_type

NO_PAGE = {
    "replay": "makes another record of a text: there is none yet whose pages could do it",
    "demo": "makes a record of its own",
}


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_a_page(command: str, client: TestClient) -> None:
    found = address_of(f"stores {spelling(command)}")
    assert found == address_of(f"stores {command}"), "the old spelling has the same page"
    if command in NO_PAGE:
        assert found is None
        return
    assert found is not None
    assert client.get(found[0]).status_code in (200, 422), found[0]


@pytest.mark.parametrize(
    ("command", "to"),
    [
        ("stores piece left-on 7.2", "/do/left-on?what=7.2"),
        ("stores undo act 12", "/do/undo?by=act&number=12"),
        ("stores piece lose WHAT", "/do/lose"),
        ('stores correct step 7 --part "left cover"', "/do/correct-step?step=7&part=left+cover"),
    ],
)
def test_what_a_command_says_is_in_the_fields(command: str, to: str) -> None:
    found = address_of(command)
    assert found is not None
    assert found[0] == to


def test_names_are_safe_and_commands_are_links() -> None:
    said = spoken(f"<b>: {quoted('stores piece lose 7.2')} or {to_type('--anyway')}")
    assert said.startswith("&lt;b&gt;: <a class")
    assert "stores piece lose" not in said
    assert "--anyway" not in said


def test_an_option_is_named_by_its_field(client: TestClient) -> None:
    sent = {"assembly": "Engine", "part": "cover", "lines": "", "bag": "new", "key": "k"}
    refused = client.post("/do/strip", data=sent | {"condition": "condemned"}).text
    assert "What to know at the rebuild" in refused.split("alert")[1][:400]
    assert "--note" not in refused
