"""Machines: added, kept for parts, listed. Which one this device is about: `pages.machine`."""

from stores.usecases.machines import AddMachine, machines
from stores.web.deeds.survey import KINDS
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Visit


def _machine(visit: Visit) -> AddMachine:
    return AddMachine(
        visit.word("name"),
        visit.word("maker"),
        visit.word("model"),
        visit.word("year"),
        visit.word("note"),
        for_parts=visit.word("for_parts") == "1",
        kinds=visit.words("kinds"),
        templates=visit.house.templates,
    )


def _names(visit: Visit) -> dict[str, str]:
    return {"": "–"} | {each.name: each.name for each in machines(visit.context())}


DEEDS = (
    Deed(
        "machine-add",
        "Add a machine",
        "Add it",
        "machines:add_machine",
        "machines:AddMachine",
        "history:machine_added",
        Field("name", "Name", hint="What you call it"),
        Field("maker", "Maker", option="--maker"),
        KINDS,
        Field("model", "Model, frame or engine number", option="--model", more=True),
        Field("year", "Year", hint="As 1958", option="--year", more=True),
        Field("note", "Note", "long", option="--note", more=True),
        Field("for_parts", "For parts: nothing goes back on it", "tick", option="--for-parts"),
        make=_machine,
    ),
    Deed(
        "machine-for-parts",
        "Keep a machine for parts",
        "Record it",
        "machines:keep_for_parts",
        "machines:KeepForParts",
        "history:for_parts",
        Field("name", "Machine", "choice", choices=_names),
        Field("wants", "Steps that go back all the same", "lines", "One a line, as 7",
              option="--wants"),
        Field("takes_back", "Not so after all", "tick", option="--not", more=True),
        line="Nothing is bought or planned for it",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "machines",
        "The machines",
        "Show",
        "machines:machines",
        "",
        "history:machine_table",
    ),
)
