"""Labels and printers, in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stores.text import counted, plural
from stores.wording import Listing, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.usecases.labels import Labels, LabelsOut, PrinterRecorded, Printers

__all__ = [
    "HINTS",
    "REFUSALS",
    "alignment",
    "came_out",
    "made",
    "offset_command",
    "printer_recorded",
    "printers_listed",
]

_EXAMPLES = {
    "box": to_type('stores labels "box 3" --as box'),
    "place": to_type('stores labels "drawer 3"'),
    "pack": to_type("stores labels 0.7"),
    "tag": to_type("stores labels 7.1 --as tag"),
    "condition": to_type("stores labels 7.2 --as condition"),
    "batch": to_type("stores labels 1 --as batch"),
    "flag": to_type('stores labels "W7: green, dynamo to headlamp" --as flag'),
}
_MOST_NAMED = 8
"""Bags named in a line."""


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "none"


REFUSALS = {
    "no label is due": "no label is due: every bag's is up to date",
    "no such kind of label": "no label {typed!r}: there are {kinds}",
    "only a flag goes around": (
        f"{to_type('--around')} is the diameter of a cable or hose: with {to_type('--as flag')}"
    ),
    "labels of what": lambda kind: f"say of what, as in: {_EXAMPLES[kind]}",
    "labels count from 1": "labels are counted from 1, not {typed}",
    "copies out of range": "copies: from 1 to {most}, not {typed}",
    "not a whole number": "write a whole number such as 4, not {typed!r}",
    "cable too thick": "a cable or hose is up to {most} mm thick, not {typed}",
    "bag without a label": "nothing is in bag {bags}: there is no label to print",
    "no bag in that box": lambda name, boxes: (
        f"neither bags nor loose parts are in {name!r}; boxes with bags: {_listed(boxes)}"
    ),
    "labels of several kinds": lambda kinds: (
        "these are of several kinds, print each kind by itself: "
        + ", ".join(f"{name} ({kind})" for name, kind in kinds.items())
    ),
    "no stock in that place": (
        "no stock in {name!r}: "
        + to_type("stores stock")
        + " shows what is where; a box of bags or of loose parts: "
        + to_type("--as box")
    ),
    "nothing inspected there": (
        "nothing there was inspected yet: " + quoted("{hint}") + " says the condition"
    ),
    "no batch to label": "no batch {number} with anything in it: {hint}",
    "nothing away there": (
        "nothing is away at {name!r}: "
        f"{quoted('stores outwork batch')} and {quoted('stores outwork send')} send out"
    ),
    "not the words of a wire": (
        "{typed!r}: write a code, a colon and what it is: W7: green, A to B"
    ),
    "no label waiting": ("no label is waiting: " + quoted("{hint}") + " makes those that are due"),
    "no such sheet waiting": lambda typed, waiting: (
        f"no labels wait in a file called {typed!r}; those made and not marked as printed yet "
        "are in "
        f"{_listed(waiting)}"
    ),
    "label not made": "no label of {bags} was made; waiting are {waiting}",
    "which printer": (
        "name the printer first: " + to_type("stores record printer upstairs --right 0.5")
    ),
    "how far out": (
        f"say how far it is out, as in {to_type('--right 0.5')} {to_type('--down -1.2')}"
    ),
    "printer too far out": lambda mm, way, most: f"{mm:g} mm {way}: expected -{most:g} to {most:g}",
    "no such resolution": (
        "{dpi} dots an inch: expected 100 to 2400, label printers have 203 or 300"
    ),
    "no such printer": lambda name, printers: (
        f"no printer {name!r}; recorded: {', '.join(printers) or 'none'} "
        f"({to_type('stores record printer NAME --right MM')})"
    ),
}
HINTS = {
    "labels": "stores labels",
    "inspect": "stores inspect {what}",
    "batches": "stores outwork batch list",
}


def made(
    reply: "Labels", *, sheets: int, pieces: int, stock: str, is_sheet: bool, width_mm: float
) -> tuple[str, ...]:
    """Return what was made, on how much of what stock, how to load it, and which labels come off.

    ``stock`` is what it is called; ``is_sheet`` tells sheets from rolls and tags, of which there
    are ``pieces``, ``width_mm`` wide.
    """
    fed = plural(sheets, "sheet") if is_sheet else counted(pieces)
    kind = "" if reply.kind == "bag" else f"{reply.kind} "
    line = f"{plural(len(reply.labels), f'{kind}label')} on {fed}, {stock}"
    codes = [bag.code for bag in reply.bags]
    if codes:
        more = f" and {len(codes) - _MOST_NAMED} more" if len(codes) > _MOST_NAMED else ""
        line += f": {', '.join(codes[:_MOST_NAMED])}{more}"
    how = "Print at 100 %, not 'fit to page'"
    if is_sheet and reply.sheet.start > 1:
        last = reply.sheet.start - 1
        used = "used place 1 leads" if last == 1 else f"used places 1 to {last} lead"
        how += f". Put the part-used sheet in first, so that its {used}"
    elif not is_sheet:
        how += f": the paper's size is the label's, {width_mm:g} mm wide"
    lines = [line, f"{how}."]
    old = [bag.code for bag in reply.bags if bag.superseded]
    if old:
        lines.append(f"Peel off the old label first: {', '.join(old)}")
    if codes:
        lines.append(f"When printed: {to_type('stores labels --printed')}")
    return tuple(lines)


def alignment(stock: str, *, is_sheet: bool, printer: str = "") -> tuple[str, ...]:
    """Return what to do with a sheet that a printer's offset is measured on, step by step; the
    command of the last step is `offset_command`."""
    if is_sheet:
        steps = [
            f"Alignment sheet for {stock}. Print it at 100 %, not 'fit to page', on plain paper.",
            "Lay it on a sheet of the labels, edges flush and the same way up, and hold both "
            "against a window.",
        ]
    else:
        steps = [f"Alignment sheet for {stock}. Print it on a label, at 100 %."]
    steps += [
        "Level scales: read the figure where a label's left or right edge crosses one. That is "
        "RIGHT, in mm: plus is too far right, minus too far left.",
        "Upright scales: read the figure where a label's top or bottom edge crosses one. That is "
        "DOWN, in mm: plus is too low, minus too high.",
        "If two scales of a kind differ, it was not printed at 100 %.",
        "Then type, with the figures you read:",
    ]
    if printer:
        steps[0] += f" The figures count in what is on record of {printer}."
    return tuple(f"{at}. {step}" for at, step in enumerate(steps, 1))


def offset_command(printer: str = "") -> str:
    """Return what to type with what was read off an alignment sheet."""
    name = repr(printer) if printer else "NAME"
    return to_type(f"stores record printer {name} --right MM --down MM")


def came_out(reply: "LabelsOut") -> Said:
    """Return which labels count from now on, file by file, which are due again, which wait."""
    lines = []
    for sheet in reply.sheets:
        good = [bag for bag in sheet.bags if bag not in reply.spoilt]
        if good:
            lines.append(f"Printed, {sheet.file}: {', '.join(good)}")
    if reply.spoilt:
        lines.append(f"Spoilt, due again: {', '.join(reply.spoilt)}")
    for sheet in reply.waiting:
        lines.append(f"Not marked as printed yet, {sheet.file}: {', '.join(sheet.bags)}")
    return Said(notes=lines)


def printer_recorded(reply: "PrinterRecorded") -> Said:
    """Return how far a printer is out."""
    words = f"{reply.printer}: {reply.right_mm:+g} mm to the right, {reply.down_mm:+g} mm down"
    words += f", {reply.dpi} dots an inch" if reply.dpi else ""
    return Said(
        (f"Printer {words}",),
        (
            "Sheets for it are shifted the other way: "
            + to_type(f"stores labels --printer {reply.printer!r}"),
        ),
    )


def printers_listed(reply: "Printers") -> Listing:
    """Return the printers as a table."""
    return Listing(
        ["Printer", "Right", "Down", "Dots an inch"],
        [
            [each.name, f"{each.right_mm:+g} mm", f"{each.down_mm:+g} mm", str(each.dpi or "")]
            for each in reply.printers
        ],
        [1, 2, 3],
        f"No printer is recorded: {to_type('stores record printer NAME --right 0.5 --down -1.2')}",
    )
