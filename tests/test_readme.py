"""The commands of the README and of the tour, run as they stand: what is shown is what they answer.

``python tests/test_readme.py`` writes the answers anew.
"""

import contextlib
import io
import itertools
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
TOUR = tuple(ROOT / "demo" / f"{name}.md" for name in ("tour", "tour-parts", "tour-rebuild"))
RECORDS = ((README,), TOUR)
"""The documents that go on from each other, in the order that a reader meets them: each row works
on a record of its own, in an empty folder."""
DOCUMENTS = tuple(document for row in RECORDS for document in row)
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
WIDTH = "80"
LONGEST = 230
"""Lines of the README: what is read before the first session."""


def answer(line: str) -> str:
    """Run one line in this folder; give what it shows and says."""
    from stores.cli.app import main

    shown = io.StringIO()
    with (
        contextlib.redirect_stdout(shown),
        contextlib.redirect_stderr(shown),
        contextlib.suppress(SystemExit),
    ):
        main(shlex.split(line)[1:])
    return shown.getvalue()


@contextlib.contextmanager
def empty_folder() -> Iterator[Path]:
    """Work in an empty folder, at the width of the documents."""
    before, columns = Path.cwd(), os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = WIDTH
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            yield Path(folder).resolve()
        finally:
            os.chdir(before)
            os.environ.pop("COLUMNS", None)
            if columns is not None:
                os.environ["COLUMNS"] = columns


def rerun(texts: Sequence[str]) -> list[str]:
    """Give documents that go on from each other with every answer as it is now."""
    with empty_folder() as folder:

        def block(match: re.Match[str]) -> str:
            lines = []
            for line in match[1].splitlines():
                if line.startswith("$ stores "):
                    lines.append(line)
                    said = answer(line[2:]).replace(str(folder), "/home/you/teasel")
                    lines += [each.rstrip() for each in said.splitlines()]
            return "```console\n" + "\n".join(lines) + "\n```"

        return [BLOCK.sub(block, text) for text in texts]


def read(row: Sequence[Path]) -> list[str]:
    return [document.read_text(encoding="utf-8") for document in row]


def undated(text: str) -> list[str]:
    return [re.sub(r"\b\d{1,2} [A-Z][a-z]{2} \d{4}\b", "DATE", line) for line in text.splitlines()]


def named_commands(text: str) -> list[list[str]]:
    """The commands that are named and not run: between backticks, or on a line by themselves."""
    text = BLOCK.sub("", text)
    named = re.findall(r"`stores ([^`]+)`", text)
    named += re.findall(r"^    stores (.+?)(?: {2,}.*)?$", text, re.MULTILINE)
    return [shlex.split(words) for words in named]


def anchors(text: str) -> set[str]:
    """The names by which a heading is linked to: its words in small letters, joined by hyphens."""
    headings = re.findall(r"^#+ (.+)$", BLOCK.sub("", text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", each.lower()).replace(" ", "-") for each in headings}


@pytest.mark.parametrize("row", RECORDS, ids=["readme", "tour"])
def test_the_documents_show_what_the_commands_answer(row: Sequence[Path]) -> None:
    texts = read(row)
    for shown, answered in zip(texts, rerun(texts), strict=True):
        assert undated(answered) == undated(shown)


def test_the_readme_begins_with_the_job_and_the_two_commands() -> None:
    text = README.read_text(encoding="utf-8")
    assert text.startswith("# stores\n\nSomebody restoring an old machine single-handed")
    first, second = (text.index(f"    python3 {name}\n") for name in ("demo", "tests"))
    cautions, morning = text.index("cautions\n"), text.index("## A morning's strip-down")
    assert text.index("## Two commands") < first < second < cautions < morning
    for name in ("demo", "tests"):
        assert (ROOT / name / "__main__.py").exists()


def test_the_readme_is_read_at_one_sitting() -> None:
    assert len(README.read_text(encoding="utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.stem)
def test_every_picture_and_page_that_is_linked_is_there(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)]+)\)", text) + re.findall(r'<img src="([^"]+)"', text)
    assert links
    for link in links:
        name, _, heading = link.partition("#")
        target = document.parent / name if name else document
        assert target.exists(), link
        assert not heading or heading in anchors(target.read_text(encoding="utf-8")), link


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.stem)
def test_every_command_that_is_only_named_is_there_with_its_options(document: Path) -> None:
    from conftest import every_command

    commands = every_command()
    groups = {name.split()[0] for name in commands if " " in name}
    named = named_commands(document.read_text(encoding="utf-8"))
    assert named
    for words in named:
        paths = (" ".join(words[:many]) for many in (3, 2, 1))
        command = next((commands[path] for path in paths if path in commands), None)
        assert command or (words[0] in groups and words[1:] in ([], ["--help"])), words
        options = {option for word in getattr(command, "params", ()) for option in word.opts}
        asked = {word for word in words if word.startswith("-")}
        assert asked <= options | {"--help"}, words


def test_each_document_leads_to_the_next() -> None:
    for document, following in itertools.pairwise(DOCUMENTS):
        relative = os.path.relpath(following, document.parent).replace(os.sep, "/")
        assert f"({relative})" in document.read_text(encoding="utf-8")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    for row in RECORDS:
        for document, text in zip(row, rerun(read(row)), strict=True):
            document.write_text(text, encoding="utf-8")
