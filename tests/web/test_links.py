"""Every form that a template sends or links to is there, with the fields that it fills."""

import re
from pathlib import Path

import stores.web
from stores.web.deeds import deeds, inquiries

TEMPLATES = sorted((Path(stores.web.__file__).parent / "templates").glob("*.html"))
OF_EVERY_FORM = {"key", "machine", "back", "day", "trial", "held"}
OWN_FIELDS = {"counted", "parcel", "batch-in", "tighten"}
"""Deeds that read fields of their page's own beside those of their form."""


def test_what_a_template_names_is_there() -> None:
    missing = [
        f"{path.name}: /{kind}/{name}"
        for path in TEMPLATES
        for kind, name in re.findall(
            r'"/(do|ask)/([a-z-]*[a-z])"', path.read_text(encoding="utf-8")
        )
        if name not in (deeds() if kind == "do" else inquiries())
    ]
    assert missing == []


def test_a_form_of_a_page_sends_the_fields_of_its_deed() -> None:
    strange = []
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        for name, body in re.findall(r'action="/do/([a-z-]+)"(.*?)</form>', text, re.DOTALL):
            known = {field.name for field in deeds()[name].fields} | OF_EVERY_FORM
            sent = set(re.findall(r'\bname="([a-z_]+)"', body))
            if name not in OWN_FIELDS:
                strange += [f"{path.name}: {name} takes no {each}" for each in sent - known]
    assert strange == []


def test_a_link_fills_fields_that_its_form_has() -> None:
    strange = []
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        for kind, name, words in re.findall(r'path_to\("/(do|ask)/([a-z-]+)", ([^)]*)\)', text):
            form = (deeds() if kind == "do" else inquiries())[name]
            known = {field.name for field in form.fields} | OF_EVERY_FORM
            filled = set(re.findall(r"(\w+)=", words))
            strange += [f"{path.name}: {name} has no {each}" for each in filled - known]
    assert strange == []
