"""Putting right what was written wrong. A field that is left empty stays as it is on record."""

from stores.web.deeds.fields import ITEM
from stores.web.forms import Deed, Field, emptied

_STAYS = "Fill in only what is wrong. The rest stays as it is."
_STEP = Field("step", "Step", hint="As 7, or its bag")
_REASON = Field(
    "reason", "How it came to be wrong", hint="Or who said so", option="--reason", more=True
)
_OF = Field("of", "Condition", hint="Where they were inspected otherwise", option="--of", more=True)


def _correction(
    name: str, title: str, usecase: str, ask: str, *form: Field, intro: str = "", line: str = ""
) -> Deed:
    return Deed(
        f"correct-{name}",
        title,
        "Put it right",
        f"correct:{usecase}",
        f"correct:{ask}",
        "correct:corrected",
        *form,
        _REASON,
        dated=False,
        intro=intro,
        line=line,
    )


DEEDS = (
    _correction(
        "machine",
        "Put a machine right",
        "correct_machine",
        "CorrectMachine",
        Field("name", "Name", option="--name"),
        Field("maker", "Maker", option="--maker"),
        Field("model", "Model or numbers", option="--model"),
        Field("year", "Year", hint="As 1958", option="--year"),
        Field("note", "Note", "long", option="--note"),
        emptied(maker="Maker", model="Model or numbers", year="Year", note="Note"),
        intro=_STAYS,
    ),
    _correction(
        "assembly",
        "Rename an assembly, or move it",
        "correct_assembly",
        "CorrectAssembly",
        Field("assembly", "As it is written now", hint="As Engin / Cluch"),
        Field("to", "As it should be", hint="As Engine / Clutch"),
        Field("join", "Make it one with the assembly that is there already", "tick",
              option="--join"),
    ),
    _correction(
        "step",
        "Put a step right",
        "correct_step",
        "CorrectStep",
        _STEP,
        Field("part", "What came off", option="--part"),
        Field("more", "To add to the note", "long", option="--more"),
        Field("hazard", "What can hurt somebody", option="--hazard"),
        Field("assembly", "Assembly", hint="Where it belongs, as Engine/Clutch",
              option="--assembly"),
        Field("position", "Where the fasteners sat", option="--position", more=True),
        Field("note", "The whole note, anew", "long", option="--note", more=True),
        Field("undo", "How a job is undone at the rebuild", hint="As fill with SAE 140",
              option="--undo", more=True),
        Field("came_off_on", "The day it came off", hint="As 3 Nov", option="--came-off-on",
              more=True),
        Field("came_off_before", "It came off just before step", option="--came-off-before",
              more=True),
        Field("came_off_after", "It came off just after step", option="--came-off-after",
              more=True),
        Field("to_machine", "It is of another machine", hint="Its name", option="--to-machine",
              more=True),
        emptied(note="Note", hazard="What can hurt somebody", position="Where the fasteners sat"),
        intro=_STAYS,
    ),
    _correction(
        "line",
        "Put a line right",
        "correct_line",
        "CorrectLine",
        ITEM,
        Field("text", "What it was as found", hint="As 5 M6x25 hex bolt"),
        Field("position", "Where it sat", hint="As hole 3", option="--position", more=True),
        Field("to_step", "The step it belongs to", option="--to-step", more=True),
        Field("pieces_too", "Its pieces go into that step's bag", "tick", option="--pieces-too",
              more=True),
        _OF,
        emptied(position="Where it sat"),
        intro=_STAYS,
    ),
    _correction(
        "add",
        "Add a line that was forgotten",
        "add_line",
        "AddLine",
        _STEP,
        Field("line", "The line", hint="As 1 M6 plain washer"),
        Field("to", "Where the pieces are", hint="Empty: in the step's bag", option="--to"),
    ),
    _correction(
        "drop",
        "Take out a line that was never there",
        "drop_line",
        "DropLine",
        ITEM,
    ),
    _correction(
        "split",
        "Split a line",
        "split_line",
        "SplitLine",
        ITEM,
        Field("text", "How many, what they are, and where", hint="As 1 M8x20 hex bolt @ hole 3"),
        _OF,
        line="Some of it is another thing, or of another hole",
    ),
    _correction(
        "join",
        "Make two lines one",
        "join_lines",
        "JoinLines",
        Field("what", "The line that stays", hint="As 7.2"),
        Field("other", "The line to be one with it", hint="As 7.4"),
    ),
    _correction(
        "split-step",
        "Split a step",
        "split_step",
        "SplitStep",
        _STEP,
        Field("part", "What came off in the new step", hint="As clutch pushrod"),
        Field("lines", "Its lines", "lines", "One a line, as 7.3"),
        Field("assembly", "Its assembly, if another", option="--assembly", more=True),
        line="Some of its lines are a step of their own",
    ),
    _correction(
        "join-steps",
        "Make two steps one",
        "join_steps",
        "JoinSteps",
        Field("step", "The step that stays", hint="As 7"),
        Field("other", "The step to be one with it", hint="As 8"),
    ),
)  # fmt: skip
INQUIRIES = ()
