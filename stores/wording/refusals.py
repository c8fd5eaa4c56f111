"""What was refused, in one line: what, where, and what to do."""

from collections.abc import Callable
from importlib import import_module
from typing import Any

from stores.errors import Hint, NotationError, StoresError
from stores.wording import SUBJECTS
from stores.wording.common import Template
from stores.wording.marks import plain, to_type

__all__ = ["command_of", "line_of"]


def line_of(error: StoresError, hint: Callable[[Hint], str] | None = None) -> str:
    """Return what was refused as a sentence, what is to be typed in it marked.

    ``hint`` says how to name what to do next; by default as a command to type.
    """
    if isinstance(error, NotationError):
        return str(error)
    subject = _subject_of(error.fact)
    if subject is None:
        return str(error)
    template = _words(subject, "REFUSALS")[error.fact]
    facts = {name: _plain(value) for name, value in error.facts.items()}
    if error.hint is not None:
        facts["hint"] = to_type(hint(error.hint)) if hint else command_of(error.hint, subject)
    if callable(template):
        return template(**(error.facts | ({"hint": facts["hint"]} if error.hint else {})))
    return template.format(**facts)


def command_of(hint: Hint, subject: str = "common") -> str:
    """Return a hint as the command to type, marked, in the words of a subject if it has its own.

    Raises:
        KeyError: no words for it.
    """
    named = next(
        (each for each in (subject, *SUBJECTS) if hint.usecase in _words(each, "HINTS")),
        None,
    )
    if named is None:
        raise KeyError(hint.usecase)
    template = _words(named, "HINTS")[hint.usecase]
    said = template(**hint.values) if callable(template) else template.format(**hint.values)
    return said if said != plain(said) else to_type(said)  # words may follow the command


def _plain(value: Any) -> str:
    if isinstance(value, (tuple, list)):
        return ", ".join(_plain(each) for each in value)
    return str(value)


def _subject_of(fact: str) -> str | None:
    return next((each for each in SUBJECTS if fact in _words(each, "REFUSALS")), None)


def _words(subject: str, name: str) -> dict[str, Template]:
    words: dict[str, Template] = getattr(import_module(f"stores.wording.{subject}"), name)
    return words
