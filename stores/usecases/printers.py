"""Printers: how far each is out, so that its sheets are shifted the other way."""

import re
from dataclasses import dataclass

from stores import units
from stores.errors import BadValue, NotationError
from stores.model.labels import Printer
from stores.model.ledger import ActKind
from stores.storage.printers import PrinterRow, read_printers
from stores.text import clean, fold
from stores.usecases.context import Ask, Context, Reply

__all__ = ["PrinterRecorded", "Printers", "SetPrinter", "printers", "set_printer"]

MOST_MM = 20.0
"""The farthest that a printer may be out, mm either way."""


@dataclass(frozen=True, slots=True)
class SetPrinter(Ask):
    """How far a printer prints to the right and below where it should, mm or with a unit.

    ``-0.5`` is to the left or above. ``dpi`` are the dots an inch of a label printer, 100 to 2400,
    0 for none. What is empty stays as it was.
    """

    name: str
    right: str = ""
    down: str = ""
    dpi: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterRecorded(Reply):
    """How far a printer is out from now on, mm; ``dpi`` is 0 if unsaid."""

    printer: str
    right_mm: float
    down_mm: float
    dpi: int


@dataclass(frozen=True, slots=True)
class Printers:
    """The printers on record, in the order in which they were first recorded."""

    printers: tuple[Printer, ...]


def set_printer(context: Context, ask: SetPrinter) -> PrinterRecorded:
    """Record how far a printer is out.

    Raises:
        BadValue: an offset or a resolution out of range, or nothing said.
        NotationError: no name, or no number.
    """
    if not ask.name.strip() and (ask.right or ask.down or ask.dpi):
        raise BadValue("which printer")
    name = clean(ask.name, "the printer's name", most=60)
    right_mm, down_mm, dots = _offset(ask.right, "right"), _offset(ask.down, "down"), _dots(ask.dpi)
    if right_mm is None and down_mm is None and dots is None:
        raise BadValue("how far out")
    with context.writing(ask) as writer:
        on_record = {fold(each.name): each for each in read_printers(writer.connection)}
        was = on_record.get(fold(name), Printer(name))
        right = was.right_mm if right_mm is None else right_mm
        down = was.down_mm if down_mm is None else down_mm
        dpi = was.dpi if dots is None else dots
        words = f"{was.name}: {right:+g} mm to the right, {down:+g} mm down"
        words += f", {dpi} dots an inch" if dpi else ""
        act = writer.begin(ActKind.PRINTER, f"printer {words}", at=context.at)
        writer.append(
            PrinterRow(
                act_id=act, name=was.name, key=fold(was.name), right_um=round(right * 1000),
                down_um=round(down * 1000), dpi=dpi,
            )
        )  # fmt: skip
    return PrinterRecorded(
        act=act, trial=ask.trial, printer=was.name, right_mm=right, down_mm=down, dpi=dpi
    )


def printers(context: Context) -> Printers:
    """Return the printers on record."""
    with context.reading() as connection:
        return Printers(tuple(read_printers(connection)))


def _offset(text: str, way: str) -> float | None:
    """Return an offset in mm, None if nothing is said of it."""
    if not text.strip():
        return None
    value, rest = units.read_number(text)
    size = float(value * units.unit(rest or "mm", units.Kind.LENGTH).factor)
    if not -MOST_MM <= size <= MOST_MM:
        raise BadValue("printer too far out", mm=size, way=way, most=MOST_MM)
    return size


def _dots(text: str) -> int | None:
    if not text.strip():
        return None
    if not re.fullmatch(r"\d{1,6}", text.strip()):
        raise NotationError("not a number of dots an inch, such as 203 or 300", text)
    dots = int(text)
    if dots not in (0, *range(100, 2401)):
        raise BadValue("no such resolution", dpi=dots)
    return dots
