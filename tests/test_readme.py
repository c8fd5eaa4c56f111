"""The README's commands, run as they stand: what it shows is what they answer.

``python tests/test_readme.py`` writes the answers anew.
"""

import contextlib
import io
import os
import re
import shlex
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
WIDTH = "80"


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


def rerun(text: str) -> str:
    """Give the README with every answer as it is now."""
    before, columns = Path.cwd(), os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = WIDTH
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:

            def block(match: re.Match[str]) -> str:
                lines = []
                for line in match[1].splitlines():
                    if line.startswith("$ stores "):
                        lines.append(line)
                        said = answer(line[2:]).replace(
                            str(Path(folder).resolve()), "/home/you/teasel"
                        )
                        lines += [each.rstrip() for each in said.splitlines()]
                return "```console\n" + "\n".join(lines) + "\n```"

            return BLOCK.sub(block, text)
        finally:
            os.chdir(before)
            os.environ.pop("COLUMNS", None)
            if columns is not None:
                os.environ["COLUMNS"] = columns


def undated(text: str) -> list[str]:
    return [re.sub(r"\b\d{1,2} [A-Z][a-z]{2} \d{4}\b", "DATE", line) for line in text.splitlines()]


def test_the_readme_shows_what_the_commands_answer() -> None:
    text = README.read_text(encoding="utf-8")
    assert undated(rerun(text)) == undated(text)


def test_the_readme_begins_with_the_job_and_the_two_commands() -> None:
    text = README.read_text(encoding="utf-8")
    assert text.startswith("# stores\n\nSomebody restoring an old machine single-handed")
    first, second = (text.index(f"    python3 {name}\n") for name in ("demo", "tests"))
    assert text.index("## Two commands") < first < second < text.index("## A morning's strip-down")
    for name in ("demo", "tests"):
        assert (ROOT / name / "__main__.py").exists()


def test_every_picture_and_page_that_is_linked_is_there() -> None:
    text = README.read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)]+)\)", text)
    assert len(links) >= 4
    for link in links:
        assert (ROOT / link).exists(), link


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    README.write_text(rerun(README.read_text(encoding="utf-8")), encoding="utf-8")
