"""What was refused, in one line: what, where, and what to do."""

from collections.abc import Callable
from functools import cache
from importlib import import_module
from typing import Any

from stores.errors import Hint, NotationError, StoresError
from stores.wording import SUBJECTS
from stores.wording.common import Template

__all__ = ["command_of", "line_of"]


def line_of(error: StoresError, hint: Callable[[Hint], str] | None = None) -> str:
    """Return what was refused as a sentence.

    ``hint`` says how to name what to do next; by default as a command to type.
    """
    if isinstance(error, NotationError):
        return str(error)
    template = _table("REFUSALS").get(error.fact)
    if template is None:
        return str(error)
    facts = {name: _plain(value) for name, value in error.facts.items()}
    if error.hint is not None:
        facts["hint"] = (hint or command_of)(error.hint)
    if callable(template):
        return template(**(error.facts | ({"hint": facts["hint"]} if error.hint else {})))
    return template.format(**facts)


def command_of(hint: Hint) -> str:
    """Return a hint as the command to type.

    Raises:
        KeyError: no words for it.
    """
    template = _table("HINTS")[hint.usecase]
    return template(**hint.values) if callable(template) else template.format(**hint.values)


def _plain(value: Any) -> str:
    if isinstance(value, (tuple, list)):
        return ", ".join(_plain(each) for each in value)
    return str(value)


@cache
def _table(name: str) -> dict[str, Template]:
    merged: dict[str, Template] = {}
    for subject in SUBJECTS:
        merged |= getattr(import_module(f"stores.wording.{subject}"), name)
    return merged
