"""Labels: what those of bags, boxes, drawers, packs, parts, batches, wires say; what came out.

A label counts once it came out. Making a PDF writes a `label` row; `stores labels --printed`
writes its `outcome`. What was never confirmed is due again: paper in a printer's tray is no label.
Neither is an act: nothing moves, and an undo has nothing to take back. How far a printer is out is
one: its sheets are shifted the other way.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from sqlalchemy import Connection

from stores import units
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.model.items import Item, Step
from stores.model.labels import (
    MENDED,
    STOCK,
    Bag,
    BatchTicket,
    BoxIndex,
    BoxLine,
    ConditionTag,
    Flag,
    LabelSheet,
    LabelValue,
    PackTag,
    Printer,
    StockPlace,
    Tag,
    TicketLine,
)
from stores.model.ledger import ActKind, Condition, PlaceKind
from stores.model.stock import so_much
from stores.planning.sharing import Shares
from stores.planning.sizes import Sized, size_lines
from stores.storage.acts import reversed_acts
from stores.storage.items import items_at
from stores.storage.labels import (
    LabelRow,
    OutcomeRow,
    PrinterRow,
    WaitingLabel,
    labels_waiting,
    read_printers,
)
from stores.storage.places import bag_codes, place_known, read_insides
from stores.storage.search import read_bags
from stores.storage.stock import low_marks
from stores.storage.writer import now
from stores.text import clean, day_words, fold, join
from stores.usecases.common import bag_named, select
from stores.usecases.context import Ask, Context, Reply

if TYPE_CHECKING:
    from stores.model.outwork import Batch

__all__ = [
    "AskLabels",
    "AskSheet",
    "LabelFile",
    "Labels",
    "LabelsOut",
    "LabelsRecorded",
    "MakeLabels",
    "PrinterRecorded",
    "Printers",
    "SayOut",
    "SetPrinter",
    "label_sheet",
    "labels",
    "labels_came_out",
    "labels_made",
    "printers",
    "set_printer",
]

MOST_COPIES = 100
"""Of each label."""
MOST_AROUND = 100
"""The thickest cable or hose, mm."""
MOST_MM = 20.0
"""The farthest that a printer may be out, mm either way."""


@dataclass(frozen=True, slots=True)
class AskSheet:
    """How labels are to be put on their stock, as typed.

    ``stock`` is its name, empty for the usual one of the kind; ``start`` the first free label of a
    part-used sheet, from 1; ``skip`` spoilt ones, ``7, 9``; ``copies`` of each label, 1 to 100;
    ``printer`` a printer on record, or the beginning of its name.
    """

    stock: str = ""
    start: str = "1"
    skip: str = ""
    copies: str = "1"
    printer: str = ""


@dataclass(frozen=True, slots=True)
class AskLabels:
    """Labels of a kind: one of `STOCK`, or empty for that of what is named: a place that holds
    stock, a box of bags, a thing in stock by its number, else bags.

    ``what`` are bag codes, none for all that are due, or with ``everything`` all there are; for the
    other kinds boxes, drawers, numbers in stock, items, steps, batches by number or firm, or a
    wire's words (``W7: green, dynamo to headlamp``). ``around`` is the diameter of a flag's cable
    or hose, with its unit.
    """

    kind: str = ""
    what: Sequence[str] = ()
    everything: bool = False
    around: str = ""
    sheet: AskSheet = field(default_factory=AskSheet)


@dataclass(frozen=True, slots=True)
class Labels:
    """What labels of a kind say, and how they are put on their stock."""

    kind: str
    labels: tuple[LabelValue, ...]
    sheet: LabelSheet

    @property
    def bags(self) -> tuple[Bag, ...]:
        """The bags among them."""
        return tuple(each for each in self.labels if isinstance(each, Bag))


@dataclass(frozen=True, slots=True)
class MakeLabels(Ask):
    """The labels of bags that were made for a printer: what each says as a digest, by its code.

    This is no act, so that a key marks nothing: a label made twice waits once.
    """

    digests: Mapping[str, str]
    file: str


@dataclass(frozen=True, slots=True)
class LabelsRecorded:
    """The bags whose labels wait to be said printed."""

    bags: tuple[str, ...]
    trial: bool = False


@dataclass(frozen=True, slots=True)
class SayOut(Ask):
    """The labels that wait came out of the printer, but for the spoilt ones, by their bags.

    ``sheets`` are the files of those meant, by name; by default all that were made and not said
    printed yet, older ones too. This is no act, so that a key marks nothing: the second time no
    label waits.
    """

    spoilt: Sequence[str] = ()
    sheets: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class LabelFile:
    """A file of labels, by its name, with the bags on it."""

    file: str
    bags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelsOut:
    """The bags whose labels came out good, and those that were spoilt.

    ``sheets`` are the files that they were on, with all their bags, the oldest first; ``waiting``
    those of which it has still to be said.
    """

    good: tuple[str, ...]
    spoilt: tuple[str, ...]
    sheets: tuple[LabelFile, ...] = ()
    waiting: tuple[LabelFile, ...] = ()
    trial: bool = False


def labels(context: Context, ask: AskLabels) -> Labels:
    """Return what labels say, and how they are put on their stock.

    Of bags none may be due; of anything else there is at least one.

    Raises:
        BadValue: no such kind, nothing named, or not as it must be written.
        NotFound: there is no such thing, or no label of it.
        NotationError: a bag code, an item or a length with a slip.
    """
    _check_kind(ask)
    with context.reading() as connection:
        kind = ask.kind or _kind_named(connection, ask.what)
        sheet = _sheet(connection, ask.sheet, kind)
        if kind == "bag":
            made: Sequence[LabelValue] = _bags(connection, ask.what, everything=ask.everything)
        else:
            if not ask.what:
                raise BadValue("labels of what", kind=kind)
            made = _VALUES[kind](connection, ask.what, context)
    if ask.around:
        size = _diameter(ask.around)
        made = [replace(value, around=size) for value in made if isinstance(value, Flag)]
    return Labels(kind, tuple(made), sheet)


def label_sheet(context: Context, ask: AskLabels) -> LabelSheet:
    """Return how such labels are put on their stock, for a sheet to measure a printer with.

    Raises:
        BadValue: no such kind, or a count out of range.
        NotFound: no such printer.
    """
    _check_kind(ask)
    with context.reading() as connection:
        return _sheet(connection, ask.sheet, ask.kind or _kind_named(connection, ask.what))


def labels_made(context: Context, ask: MakeLabels) -> LabelsRecorded:
    """Record that labels of bags were made: they count once they have come out.

    Raises:
        NotFound, NotationError: no such bag.
    """
    with context.writing(ask) as writer:
        codes = bag_codes(writer.connection)
        for code, digest in ask.digests.items():
            bag = code if code in codes else bag_named(writer.connection, code)
            place = writer.place(PlaceKind.BAG, bag).number
            writer.append(LabelRow(place_id=place, printed_at=now(), digest=digest, file=ask.file))
    return LabelsRecorded(tuple(ask.digests), ask.trial)


def labels_came_out(context: Context, ask: SayOut) -> LabelsOut:
    """Record that labels came out of the printer, but for the spoilt ones.

    Raises:
        Refused: no label waits for that, or one of the spoilt is not on the sheets.
        NotFound: no label waits on a sheet of that name.
        NotationError: a bag code with a slip.
    """
    with context.writing(ask) as writer:
        waiting = labels_waiting(writer.connection)
        if not waiting:
            raise Refused("no label waiting", hint=Hint("labels"))
        files = [_file_meant(each, waiting) for each in ask.sheets]
        chosen = [each for each in waiting if not files or each.file in files]
        bad = {bag_named(writer.connection, code) for code in ask.spoilt}
        codes = {each.code for each in chosen}
        if bad - codes:
            raise Refused(
                "label not made", bags=tuple(sorted(bad - codes)), waiting=tuple(sorted(codes))
            )
        for each in chosen:
            good = int(each.code not in bad)
            writer.append(OutcomeRow(label_id=each.label, good=good, noted_at=now()))
    return LabelsOut(
        tuple(sorted(codes - bad)),
        tuple(sorted(bad)),
        _label_files(chosen),
        _label_files([each for each in waiting if each not in chosen]),
        ask.trial,
    )


def _label_files(labels: Sequence[WaitingLabel]) -> tuple[LabelFile, ...]:
    bags: dict[str, dict[str, None]] = {}
    for each in labels:
        bags.setdefault(each.file, {})[each.code] = None
    return tuple(LabelFile(file, tuple(sorted(codes))) for file, codes in bags.items())


def _file_meant(typed: str, waiting: Sequence[WaitingLabel]) -> str:
    """Return the file of waiting labels that a person means, by its name with or without .pdf."""
    files = tuple(dict.fromkeys(each.file for each in waiting))
    name = Path(typed.strip()).name
    for file in files:
        if name in (file, Path(file).stem):
            return file
    raise NotFound("no such sheet waiting", typed=typed, waiting=files)


def _check_kind(ask: AskLabels) -> None:
    if ask.kind and ask.kind not in STOCK:
        raise BadValue("no such kind of label", typed=ask.kind, kinds=tuple(STOCK))
    if ask.around and ask.kind != "flag":
        raise BadValue("only a flag goes around")


def _sheet(connection: Connection, ask: AskSheet, kind: str) -> LabelSheet:
    start, copies = _whole(ask.start), _whole(ask.copies)
    if start < 1:
        raise BadValue("labels count from 1", typed=ask.start)
    if not 1 <= copies <= MOST_COPIES:
        raise BadValue("copies out of range", typed=ask.copies, most=MOST_COPIES)
    skip = tuple(_whole(part) for part in ask.skip.replace(",", " ").split())
    if any(number < 1 for number in skip):
        raise BadValue("labels count from 1", typed=ask.skip)
    printer = _printer_named(connection, ask.printer) if ask.printer else None
    return LabelSheet(ask.stock or STOCK[kind], start, skip, copies, printer)


def _whole(text: str) -> int:
    plain = text.strip().replace("−", "-")
    if not re.fullmatch(r"[+-]?\d{1,12}", plain):
        raise BadValue("not a whole number", typed=text.strip()[:40])
    return int(plain)


def _printer_named(connection: Connection, name: str) -> Printer:
    listed = read_printers(connection)
    fits = [each for each in listed if fold(each.name).startswith(fold(name))]
    if len(fits) != 1:
        raise NotFound("no such printer", name=name, printers=tuple(p.name for p in listed))
    return fits[0]


def _diameter(text: str) -> float:
    size = float(units.read(text, units.Kind.LENGTH, "mm").base)
    if not 0 < size <= MOST_AROUND:
        raise BadValue("cable too thick", typed=text, most=MOST_AROUND)
    return size


def _bags(connection: Connection, what: Sequence[str], *, everything: bool) -> list[Bag]:
    held = read_bags(connection)
    if not what:
        return [
            replace(bag, rest_on=_today()) for bag in held.values() if everything or bag.label_due
        ]
    named = [bag_named(connection, code) for code in what]
    empty = tuple(code for code in named if code not in held)
    if empty:
        raise NotFound("bag without a label", bags=empty)
    return [replace(held[code], rest_on=_today()) for code in dict.fromkeys(named)]


def _kind_named(connection: Connection, what: Sequence[str]) -> str:
    """Return of which kind the labels of what is named are, a bag's where nothing is.

    Raises:
        Refused: they are of several kinds, which go on a sheet each.
    """
    kinds = {name: _kind_of(connection, name) for name in what}
    if len(set(kinds.values())) > 1:
        raise Refused("labels of several kinds", kinds=kinds)
    return next(iter(kinds.values()), "bag")


def _kind_of(connection: Connection, name: str) -> str:
    if _IN_STOCK.match(name):
        return "pack"
    known = place_known(connection, name)
    if known is None or known[1] in (PlaceKind.BAG, PlaceKind.FIRM):
        return "bag"
    if _stock_at(connection, known):
        return "place"
    boxed = fold(known[2]) in _boxed(connection)[0] or _parts_at(connection, known)
    return "box" if boxed else "place"


_IN_STOCK = re.compile(r"\s*0\.\d{1,6}\s*$")


def _stock_at(connection: Connection, place: tuple[int, PlaceKind, str]) -> list[Item]:
    """Return the loose items that lie in a place itself."""
    number, kind, name = place
    return [
        item
        for item in items_at(connection, number)
        if not item.step.number
        and any(
            held.quantity > 0 and (held.kind, held.place) == (kind, name) for held in item.holdings
        )
    ]


def _parts_at(connection: Connection, place: tuple[int, PlaceKind, str]) -> dict[Step, int]:
    """Return how many pieces of which steps lie loose in a place, in no bag."""
    number, kind, name = place
    found: dict[Step, int] = {}
    for item in items_at(connection, number):
        there = sum(
            held.quantity for held in item.holdings if (held.kind, held.place) == (kind, name)
        )
        if item.step.number and there > 0:
            found[item.step] = found.get(item.step, 0) + there
    return dict(sorted(found.items(), key=lambda each: (each[0].machine, each[0].number)))


def _places(connection: Connection, what: Sequence[str], _context: Context) -> list[LabelValue]:
    """Return the labels of places that hold stock: sizes and names, never counts."""
    from stores.handbook.consumables import hazards_of_sheet
    from stores.usecases.stock import is_marked, stock_lines

    marks, shares = low_marks(connection), Shares()  # a label says nothing of who gets them
    made: list[LabelValue] = []
    for typed in what:
        place = place_known(connection, typed)
        items = _stock_at(connection, place) if place else []
        if not place or not items:
            raise NotFound("no stock in that place", name=typed)
        by_ref = {item.ref: item for item in items}
        things: dict[Sized, None] = {}
        hazards: dict[str, None] = {}
        for line in stock_lines(connection, items, shares):
            item = by_ref[line.item]
            least = max((mark.least for mark in marks if is_marked(item, mark)), default=0)
            states = dict.fromkeys(
                str(held.condition)
                for held in item.holdings
                if held.place == place[2] and held.quantity > 0
            )
            good = {str(Condition.NEW), str(Condition.SERVICEABLE)}
            more = (
                f"use by {day_words(line.usable_until)}" if line.usable_until else "",
                f"min {so_much(least, line.unit)}" if least else "",
                join([state for state in states if state not in good]),
            )
            things[Sized(line.name, tuple(filter(None, more)))] = None
            hazards |= dict.fromkeys(line.hazards)
        inside = read_insides(connection, reversed_acts(connection), [place[0]]).get(place[0], "")
        made.append(
            StockPlace(
                place[2], size_lines(things), inside, hazards_of_sheet(list(hazards)), date=_today()
            )
        )
    return made


def _packs(connection: Connection, what: Sequence[str], context: Context) -> list[LabelValue]:
    """Return the labels of things in stock, by their numbers."""
    from stores.usecases.stock import is_marked, stock_lines

    marks, shares = low_marks(connection), Shares()  # a label says nothing of who gets them
    made: list[LabelValue] = []
    for name in what:
        item = select(connection, context.machine, name).only
        if item.step.number:
            raise Refused("of a joint, not of the stock", item=item.ref)
        lines = stock_lines(connection, [item], shares)
        if not lines:
            raise NotFound("nothing like it in stock", what=name.strip(), sound=False)
        (line,) = lines
        least = max((mark.least for mark in marks if is_marked(item, mark)), default=0)
        made.append(
            PackTag(
                item.ref, line.name,
                holds=so_much(line.pack, line.unit) if line.pack else "",
                opened=line.opened.isoformat() if line.opened else "",
                use_by=line.usable_until.isoformat() if line.usable_until else "",
                batch=line.batch,
                least=so_much(least, line.unit) if least else "",
                place=join(list(dict.fromkeys(each.where for each in line.places))),
                keeping=line.keeping, note=line.note, hazards=line.hazards,
            )
        )  # fmt: skip
    return made


def _boxes(connection: Connection, what: Sequence[str], _context: Context) -> list[LabelValue]:
    held, names = _boxed(connection)
    made: list[LabelValue] = []
    for name in what:
        bags = held.get(fold(name), [])
        known = place_known(connection, name)
        parts = _parts_at(connection, known) if known else {}
        if not bags and not parts:
            raise NotFound("no bag in that box", name=name, boxes=tuple(names.values()))
        called = names.get(fold(name)) or (known[2] if known else name)
        gone = reversed_acts(connection)
        inside = read_insides(connection, gone, [known[0]]).get(known[0], "") if known else ""
        place = ", ".join(bags[0].inside.split(", ")[1:]) if bags else inside
        machines = dict.fromkeys(each for bag in bags for each in bag.machines)
        machines |= dict.fromkeys(step.machine for step in parts)
        lines = (
            *(BoxLine(bag.code, _steps(bag), bag.pieces) for bag in bags),
            *(BoxLine(f"step {step.number}", step.part, count) for step, count in parts.items()),
        )
        made.append(BoxIndex(called, lines, place, ", ".join(machines), _today()))
    return made


def _boxed(connection: Connection) -> tuple[dict[str, list[Bag]], dict[str, str]]:
    """Return the bags in each box, and the boxes' names, by their folded names."""
    held: dict[str, list[Bag]] = {}
    names: dict[str, str] = {}
    for bag in read_bags(connection).values():
        if bag.inside:
            first = bag.inside.split(", ")[0]
            held.setdefault(fold(first), []).append(bag)
            names[fold(first)] = first
    return held, names


def _steps(bag: Bag) -> str:
    return "; ".join(
        f"step {step.number} {step.part}" if step.number else "loose pieces" for step in bag.steps
    )


def _tags(connection: Connection, what: Sequence[str], context: Context) -> list[LabelValue]:
    return [
        Tag(
            item.ref,
            item.text,
            item.step.machine,
            item.step.assembly,
            item.step.number,
            hazard=item.step.hazard,
            note=item.position or item.step.note,
            date=item.step.date,
            payload=_payload(item, item.text),
        )
        for name in what
        for item in select(connection, context.machine, name).items
    ]


def _payload(item: Item, text: str) -> str:
    step = item.step
    return "\n".join(part for part in (item.ref, step.machine, step.assembly, text) if part)


def _verdicts(connection: Connection, what: Sequence[str], context: Context) -> list[LabelValue]:
    made: list[LabelValue] = []
    for name in what:
        for item in select(connection, context.machine, name).items:
            states = dict.fromkeys(
                held.condition
                for held in item.holdings
                if held.kind.in_hand and held.condition is not Condition.AS_REMOVED
            )
            made += [
                ConditionTag(
                    item.ref,
                    state,
                    item.named(state),
                    reason=_reasons(item, state),
                    measured=_measured(item, state, "measured_nm"),
                    limit=_measured(item, state, "limit_nm"),
                    machine=item.step.machine,
                    date=_today(),
                    payload=_payload(item, item.named(state)),
                )
                for state in states
            ]
    if not made:
        raise NotFound("nothing inspected there", hint=Hint("inspect", what=what[0]))
    return made


def _reasons(item: Item, state: Condition) -> str:
    """Return why its pieces are in this condition, each reason once; the newest first,
    then what was done to them."""
    reasons = [each.what for each in reversed(item.verdicts) if each.condition is state]
    reasons += item.work_done if state in MENDED else ()
    return "; ".join(filter(None, dict.fromkeys(reasons)))


def _measured(item: Item, state: Condition, which: Literal["measured_nm", "limit_nm"]) -> str:
    """Return the size that gave this verdict last, or its limit, in mm; empty where there is none.

    To the tenth of a micrometre: no workshop tool reads finer.
    """
    sizes = [
        getattr(each, which)
        for each in item.verdicts
        if each.condition is state and each.measured_nm is not None
    ]
    return _millimetres(sizes[-1]) if sizes and sizes[-1] is not None else ""


def _millimetres(nanometres: int) -> str:
    return f"{nanometres / 1e6:.4f}".rstrip("0").rstrip(".") + " mm"


def _tickets(connection: Connection, what: Sequence[str], _context: Context) -> list[LabelValue]:
    """Return batches by number, or all of a firm that are not done; else what went without one."""
    from stores.storage.outwork import read_batches

    made: list[LabelValue] = []
    batches = [each for each in read_batches(connection) if each.lines]
    for name in what:
        if name.strip().isdecimal():
            chosen = [each for each in batches if each.number == int(name)]
            if not chosen:
                raise NotFound("no batch to label", number=name, hint=Hint("batches"))
        else:
            begins = fold(name)
            chosen = [e for e in batches if fold(e.firm).startswith(begins) and not e.done]
        made += [_ticket(each) for each in chosen] or [_sent_alone(connection, name)]
    return made


def _ticket(batch: "Batch") -> BatchTicket:
    return BatchTicket(
        f"batch {batch.number}",
        batch.firm,
        ", ".join(filter(None, (batch.work, batch.finish))),
        tuple(TicketLine(line.quantity, line.text, line.item.ref) for line in batch.lines),
        ", ".join(dict.fromkeys(line.item.step.machine for line in batch.lines)),
        batch.sent,
        batch.promised.isoformat() if batch.promised else "",
        batch.note,
    )


def _sent_alone(connection: Connection, name: str) -> BatchTicket:
    """Return the ticket of what is away at a firm and was sent there outside of any batch."""
    from stores.storage.acts import act_lines
    from stores.storage.items import read_items

    lines: list[TicketLine] = []
    machines: dict[str, None] = {}
    firm = ""
    for item in read_items(connection):
        for held in item.holdings:
            if held.kind is PlaceKind.FIRM and fold(held.place).startswith(fold(name)):
                firm = firm or held.place
                if held.place == firm and held.quantity > 0:
                    lines.append(TicketLine(held.quantity, item.named(held.condition), item.ref))
                    machines[item.step.machine] = None
    if not lines:
        raise NotFound("nothing away there", name=name)
    sent = next(
        (
            act
            for act in act_lines(connection)
            if act.stands and act.kind is ActKind.SEND and firm in act.summary
        ),
        None,
    )
    return BatchTicket(
        f"act {sent.number}" if sent else "away",
        firm,
        sent.reason if sent else "",
        tuple(lines),
        ", ".join(machines),
        sent.happened_at if sent else "",
    )


def _flags(_connection: Connection, what: Sequence[str], _context: Context) -> list[LabelValue]:
    made: list[LabelValue] = []
    for text in what:
        code, _, rest = text.partition(":")
        words, _, way = rest.rpartition(",")
        origin, to_there, to = (way or rest).partition(" to ")
        if not code.strip() or not rest.strip():
            raise BadValue("not the words of a wire", typed=text)
        if not to_there:
            words, origin, to = rest, "", ""
        made.append(
            Flag(
                code.strip(), words.strip() or code.strip(), origin.strip(), to.strip(),
                payload=" ".join(text.split()),
            )
        )  # fmt: skip
    return made


def _today() -> str:
    return date.today().isoformat()  # noqa: DTZ011 - the day on the workshop's wall


_VALUES: dict[str, Callable[[Connection, Sequence[str], Context], list[LabelValue]]] = {
    "box": _boxes,
    "place": _places,
    "pack": _packs,
    "tag": _tags,
    "condition": _verdicts,
    "batch": _tickets,
    "flag": _flags,
}


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
