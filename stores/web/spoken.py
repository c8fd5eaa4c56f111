"""Words as HTML: a command becomes a link to its form, an option the label of its field.

`stores.wording.marks` says where in a sentence something is to be typed; no sentence is read.
"""

import re
import shlex
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from stores.wording.commands import registered
from stores.wording.marks import parts

if TYPE_CHECKING:
    from stores.web.forms import Deed, Inquiry

__all__ = ["SCREENS", "address_of", "on_form", "spoken"]

SCREENS = {
    "labels": ("/labels", "Labels"),
    "photo": ("/pictures", "Pictures"),
    "shopping": ("/shopping", "Shopping"),
    "inspect": ("/inspect", "Inspect"),
    "rebuild": ("/next", "What goes on next"),
    "batch": ("/ask/batches", "Batches"),
    "correct": ("/all", "All jobs"),
    "book": ("/paper", "Paper"),
    "queries": ("/questions", "Questions"),
    "reckon": ("/reckon", "Calculators"),
    "serve": ("/", "Bench"),
    "count": ("/count", "Count a box"),
    "history": ("/ask/history", "Log of entries"),
    "machine": ("/machine", "Machines"),
    "export": ("/keep", "Copies"),
    "copy": ("/keep", "Copies"),
    "order list": ("/ask/orders", "Orders"),
    "batch list": ("/ask/batches", "Batches"),
    "batch note": ("/ask/batches", "Batches"),
    "renew list": ("/ask/renewals", "What is always renewed"),
    "close --look": ("/ask/before-closing", "Before closing"),
    "undo": ("/do/undo", "Undo"),
}
"""Commands whose page is a screen, or a form of another name."""
FORMS = {
    "clear": "snag-cleared",
    "evidence": "snag-pictures",
    "renew add": "renew",
    "renew remove": "renew-no-longer",
    "close --reopen": "reopen",
    "parts": "parts-list",
    "batch remove": "batch-out",
    "takes week": "takes",
}
"""Commands whose form has another name."""
PLACEHOLDER = re.compile(r"[A-Z][A-Z, ]+|…|\.\.\.")
"""What stands in a command for a word of the person's own."""

_FORM: ContextVar["Deed | Inquiry | None"] = ContextVar("form", default=None)


@contextmanager
def on_form(form: "Deed | Inquiry | None") -> Iterator[None]:
    """Let options be named by the labels of this form meanwhile."""
    before = _FORM.set(form)
    try:
        yield
    finally:
        _FORM.reset(before)


def spoken(text: str) -> Markup:
    """Return a sentence as HTML, safe whatever names are in it."""
    said = (_typed(part.text) if part.typed else escape(part.text) for part in parts(text))
    return Markup("").join(said)


def _typed(text: str) -> Markup:
    if not text.startswith("stores "):
        return _option(text)
    found = address_of(text)
    if found is None:
        return Markup("<kbd>{}</kbd>").format(text)
    to, words = found
    return Markup('<a class="typed" href="{}">{}</a>').format(to, words)


def _option(text: str) -> Markup:
    """Return an option by the label of its field on the form that is shown."""
    name = text.split(maxsplit=1)[0].split("=", maxsplit=1)[0]
    form = _FORM.get()
    field = form.field_of(name) if form is not None else None
    if field is None:
        return Markup("“{}”").format(name.lstrip("-").replace("-", " "))
    return Markup("“{}”").format(field.label)


def address_of(command: str) -> tuple[str, str] | None:
    """Return the page of a command as it would be typed, with its words in the fields, and what to
    call the page; None where it has none."""
    from stores.web.deeds import deeds, inquiries
    from stores.web.visit import path_to

    try:
        words = shlex.split(command)[1:]
    except ValueError:
        words = command.split()[1:]
    if not words:
        return "/all", "All jobs"
    words = registered(words)
    two = " ".join(words[:2])
    if two in SCREENS:
        return SCREENS[two]
    if words[0] == "undo" and len(words) == 3:
        return path_to("/do/undo", by=words[1], number=words[2]), "Undo"
    forms = deeds() | inquiries()
    for taken in (2, 1):
        head = words[:taken]
        name = FORMS.get(" ".join(head), "-".join(head))
        form = forms.get(name)
        if form is None or (taken == 1 and words[0] in SCREENS and len(words) == 1):
            continue
        return path_to(form.address, **_filled(form, words[taken:])), form.title
    return SCREENS.get(words[0])


def _filled(form: "Deed | Inquiry", words: list[str]) -> dict[str, str]:
    """Return the fields of a form that a command fills: in their order, and those of options."""
    filled: dict[str, str] = {}
    fields = iter([each for each in form.fields if not each.option])
    rest = iter(words)
    for word in rest:
        if word.startswith("-"):
            field = form.field_of(word)
            if field is not None:
                filled[field.name] = "1" if field.widget == "tick" else _own(next(rest, ""))
            continue
        field = next(fields, None)
        if field is not None:
            filled[field.name] = _own(word)
    return {name: word for name, word in filled.items() if word}


def _own(word: str) -> str:
    return "" if PLACEHOLDER.fullmatch(word) else word
