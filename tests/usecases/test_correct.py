"""Corrections, asked of the use-cases themselves."""

from dataclasses import replace

import pytest

from stores.errors import Hint, NotFound, Refused, Repeated
from stores.model.ledger import PlaceKind
from stores.storage.items import items_of_step, read_items
from stores.storage.machines import read_machines
from stores.usecases.context import Context
from stores.usecases.correct import (
    AddLine,
    CorrectAssembly,
    CorrectLine,
    CorrectMachine,
    CorrectStep,
    JoinLines,
    JoinSteps,
    SplitLine,
    SplitStep,
    add_line,
    correct_assembly,
    correct_line,
    correct_machine,
    correct_step,
    join_lines,
    join_steps,
    split_line,
    split_step,
)
from stores.usecases.find import FindPieces, find
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine, machines
from stores.usecases.strip import Strip, strip


@pytest.fixture
def bench(context: Context) -> Context:
    """Three steps, the first under two slips of the pen."""
    at = Context(context.store)
    strip(at, Strip("Engin/Cluch", "cluch cover", ["4 M6x25 hex bolt", "1 gasket"]))
    strip(at, Strip("Engine/Clutch", "pressure plate", ["6 spring"]))
    strip(at, Strip("Engine/Sump", "sump", ["12 M6x20 hex bolt"], note="two studs stayed"))
    return at


def lines(context: Context, step: int) -> list[str]:
    """The lines of a step as they read now."""
    with context.reading() as connection:
        listed = items_of_step(connection, read_machines(connection)[0].number, step)
    return [f"{item.ref} {item.found} {item.as_found.text}" for item in listed]


def assemblies(context: Context) -> set[str]:
    with context.reading() as connection:
        return {item.step.assembly for item in read_items(connection)}
