"""The bound record of a restoration, and the note at the end of a day, as running text. Pure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from stores.model.figures import MakerTorque, ReadingOnRecord
from stores.model.items import Item, Job, Step
from stores.model.ledger import PlaceKind
from stores.model.work_units import chosen
from stores.planning.assembling import Refits
from stores.planning.pictures import Shot
from stores.planning.status import cautions_of
from stores.printing.pages import Paragraph, Pictures
from stores.text import day_words, many, plural

__all__ = ["Book", "book_parts", "day_parts"]

CAUTION = (
    "This record says what was done, not that it is safe. The maker's figures and procedure come "
    "first; brakes, steering and wheels are checked by a second person before the machine moves."
)

_ON_THE_TITLE = 12
"""Open matters that the title page has room for."""


@dataclass(frozen=True, slots=True)
class Book:
    """All that goes into the bound record of one machine.

    ``acts``: each is its number, day, what was done and why, and whether it stands. ``closed`` says
    when the machine was closed out, empty where it was not; ``turns`` each time that it was closed
    out or opened again. ``jobs`` are what was done at steps and is no piece.
    """

    machine: str
    about: str
    date: str
    items: Sequence[Item]
    refits: Refits
    torques: Mapping[int, MakerTorque]
    readings: Sequence[ReadingOnRecord]
    bought: Mapping[int, Sequence[str]]
    shots: Mapping[int, Sequence[Shot]] = field(default_factory=dict)
    acts: Sequence[tuple[int, str, str, str, bool]] = ()
    open: Sequence[str] = ()
    closed: str = ""
    jobs: Sequence[Job] = ()
    turns: Sequence[str] = ()


def book_parts(book: Book) -> Iterator[Paragraph | Pictures]:
    """Go through the bound record: title page, steps by assembly, readings, acts."""
    stripped = [item for item in book.items if item.step.number]
    steps = {job.step.number: job.step for job in book.jobs}
    steps |= {item.step.number: item.step for item in stripped}
    yield Paragraph(book.machine, "title")
    if book.about:
        yield Paragraph(book.about, "chapter")
    yield Paragraph("The record of its restoration", "chapter")
    days = sorted(step.date for step in steps.values() if step.date)
    if days:
        first, last = day_words(days[0]), day_words(days[-1])
        yield Paragraph(f"Taken apart from {first} to {last}; written {book.date}.")
    yield Paragraph(
        f"{len(steps)} steps, {sum(item.found for item in stripped)} pieces as found, "
        f"{sum(item.fitted for item in stripped)} on the machine, "
        f"{len({shot.number for shots in book.shots.values() for shot in shots})} pictures."
    )
    yield from _closings(book)
    yield Paragraph(CAUTION, "small")
    yield from _steps(steps.values(), stripped, book)
    yield from _readings(book)
    if book.shots.get(0):
        yield Paragraph("Pictures of no step", "chapter")
        yield Pictures(tuple(book.shots[0]))
    if len(book.open) > _ON_THE_TITLE:
        yield Paragraph("What is open", "chapter")
        for matter in book.open:
            yield Paragraph(matter, "small", indent=4.0)
    yield Paragraph("Log of entries", "chapter")
    for act, day, what, why, stands in book.acts:
        undone = "" if stands else " (undone)"
        yield Paragraph(
            f"{act}  {day_words(day)}  {what}{f': {why}' if why else ''}{undone}", "small"
        )


def _steps(
    steps: Iterable[Step], stripped: Iterable[Item], book: Book
) -> Iterator[Paragraph | Pictures]:
    jobs = {job.step.number: job for job in book.jobs}
    lines: dict[int, list[Item]] = {}
    for item in sorted(stripped, key=lambda item: item.line):
        lines.setdefault(item.step.number, []).append(item)
    listed = sorted(steps, key=lambda step: (step.assembly, step.number))
    for at, (assembly, members) in enumerate(groupby(listed, key=lambda step: step.assembly)):
        yield Paragraph(assembly, "chapter", new_page=not at)
        for step in members:
            yield from _step(step, lines.get(step.number, []), book, jobs.get(step.number))


def _closings(book: Book) -> Iterator[Paragraph]:
    """Say whether it is closed out, what is open, and when it was closed and opened again."""
    if book.closed:
        yield Paragraph(f"Closed out {book.closed}.", "heading")
    elif book.open:
        yield Paragraph(f"Not signed off: {plural(len(book.open), 'point')} open.", "heading")
        for matter in book.open[:_ON_THE_TITLE]:
            yield Paragraph(matter, indent=4.0)
        if len(book.open) > _ON_THE_TITLE:
            yield Paragraph("All of them are listed before the log.", indent=4.0)
    for turn in book.turns[-_ON_THE_TITLE:] if not book.closed or book.turns[1:] else ():
        yield Paragraph(turn)


def _readings(book: Book) -> Iterator[Paragraph]:
    if book.readings:
        yield Paragraph("Readings", "chapter")
        for reading in book.readings:
            where = " ".join(filter(None, (reading.place, reading.state)))
            said = reading.written or f"{float(reading.value):g} {reading.unit}"
            yield Paragraph(
                f"{reading.subject}, {reading.stage} the work, {day_words(reading.date)}: "
                f"{where} {said}" + (f" ({reading.note})" if reading.note else "")
            )


def _step(
    step: Step, items: Sequence[Item], book: Book, job: Job | None
) -> Iterator[Paragraph | Pictures]:
    off = "" if job else "off "
    yield Paragraph(f"Step {step.number}: {step.part}, {off}{day_words(step.date)}", "heading")
    if job:
        done = f"done {day_words(job.done)}" if job.done else "not done yet"
        yield Paragraph(f"{job.words}: {done}", indent=4.0)
    if step.note:
        yield Paragraph(f"Note: {step.note}", indent=4.0)
    for caution in ([f"HAZARD: {step.hazard}"] if step.hazard else []) + list(
        cautions_of(step, items)
    ):
        yield Paragraph(f"! {caution}", "small", indent=4.0)
    for item in items:
        yield Paragraph(_found(item), indent=4.0)
        for line in _known(item, book):
            yield Paragraph(line, "small", indent=12.0)
    notes = book.refits.of(step.number)
    for applied in notes.applied:
        where = f" on {step.number}.{applied.line}" if applied.line else ""
        yield Paragraph(f"Applied: {applied.text}{where}", indent=4.0)
    for point in notes.points:
        measured = point.measured or "not measured"
        yield Paragraph(f"{point.name}: {measured}, should be {point.limits}", indent=4.0)
    for by in notes.signatures:
        said = f", {by.note}" if by.note else ""
        yield Paragraph(f"Signed, {by.role}: {by.name}, {day_words(by.date)}{said}", indent=4.0)
    if book.shots.get(step.number):
        yield Pictures(tuple(book.shots[step.number]))


def _found(item: Item) -> str:
    seat = f" @ {item.position}" if item.position else ""
    other = (
        f"; should be {many(item.wanted, item.as_specified.text)}"
        if item.wrong or item.found != item.wanted
        else ""
    )
    back = f"; {item.fitted} on the machine" if item.fitted else "; not back on"
    return f"{item.ref}  {many(item.found, item.as_found.text)}{seat}{other}{back}"


def _known(item: Item, book: Book) -> Iterator[str]:
    if item.stack:
        yield f"in order: {item.stack.words}"
    if item.still_on:
        yield item.stuck_words
    if item.verdict:
        yield f"inspected: {item.verdict}"
    if item.work_done:
        told = "; ".join(f"{day_words(line.date)} {line.words}" for line in item.story)
        yield f"story: {told}"
    if item.renew:
        yield f"always renewed: {item.renew}"
    yield from book.bought.get(item.number, ())
    torque = book.torques.get(item.number)
    if torque is not None:
        figure = chosen().as_written(torque.low_nm, torque.high_nm, torque.written)
        yield f"maker's torque: {figure}" + (f" ({torque.source})" if torque.source else "")
    tight = book.refits.tightened.get(item.number)
    if tight is not None:
        yield f"{tight.words}, {day_words(tight.date)}"
    gone = [
        f"{count} {kind.value}"
        for kind in (PlaceKind.SCRAPPED, PlaceKind.LOST)
        if (count := item.count(kind)) > 0
    ]
    if gone:
        yield ", ".join(gone)


def day_parts(
    machine: str,
    words: Sequence[tuple[str, str]],
    lists: Mapping[str, Sequence[str]],
    *,
    turns: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> Iterator[Paragraph]:
    """Go through the note at the end of a day, all of it: who takes over must miss nothing.
    ``lists`` are lines under their headings, ``turns`` say when it was closed out and opened again,
    ``copies`` when the record was copied."""
    yield Paragraph(f"Handover: {machine}", "chapter")
    for turn in turns[-2:]:
        yield Paragraph(turn)
    for day, text in words[:2]:
        yield Paragraph(f"{day_words(day)}: {text}")
    for heading, lines in lists.items():
        yield Paragraph(heading, "heading")
        for line in lines:
            yield Paragraph(f"- {line}", indent=4.0)
        if not lines:
            yield Paragraph("nothing", indent=4.0)
    if copies:
        yield Paragraph("Copy of the record", "heading")
    for line in copies:
        yield Paragraph(line, indent=4.0)
