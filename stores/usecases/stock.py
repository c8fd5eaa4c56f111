"""The workshop's own stock: what is entered, what is there, what is kept for whom, what is used.

Stock is of no machine: a drawer of M6 bolts, a tin of old ones, half a tube of sealant. Each has a
number of its own, ``0.7``, the same from every machine, and is in the ledger as everything else is;
what is poured, weighed or cut is counted in whole millilitres, grams, millimetres or square
centimetres.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.benchline import read_line
from stores.handbook.consumables import (
    Amount,
    Consumable,
    cautions_of,
    hazards_of_sheet,
    kind_by_key,
    kinds_said,
    read_amount,
)
from stores.handbook.fastener import Series, parse
from stores.model.items import Item, agree, fits_but_for, sized, sizes_asked
from stores.model.ledger import (
    ActKind,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    record,
)
from stores.model.money import read_money
from stores.model.stock import LowMark, StockFacts, counted_in, name_alone, so_much, this_much
from stores.planning.sharing import Promise, Shares, kept_for_others, promises_of
from stores.planning.supplies import good_until, thing_of
from stores.storage import Writer
from stores.storage.costs import PaidRow
from stores.storage.figures import step_row
from stores.storage.items import loose_descriptions, loose_in, loose_numbered, read_loose
from stores.storage.machines import machine_named
from stores.storage.search import Size, descriptions_fitting, items_like, loose_of_size
from stores.storage.settings import read_settings
from stores.storage.stock import (
    LowMarkRow,
    ReservationRow,
    StockUseRow,
    low_marks,
    read_facts,
    read_reservations,
    read_reserved,
)
from stores.text import beside, clean, fold, read_day
from stores.text import today as today_is
from stores.usecases.common import (
    NOTE_LENGTH,
    PiecesAt,
    Whereabouts,
    condition_named,
    count_of,
    firm_named,
    from_hand,
    maybe_condition,
    pieces_of,
    place_named,
    refuse_beside,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.sharing import joints_for, shares_of, taken_from_others
from stores.usecases.supplies import (
    SupplyLine,
    is_fastener,
    read_supplies,
    within,
    write_facts,
    write_supply,
)

__all__ = [
    "Enter",
    "Entered",
    "EnteredLine",
    "KeepAtLeast",
    "KeptAtLeast",
    "LetGo",
    "LookAtStock",
    "Measured",
    "NotePack",
    "PackNoted",
    "Reserve",
    "ReservedFor",
    "SayWhatIsLeft",
    "Stock",
    "StockLine",
    "UseUp",
    "UsedUp",
    "enter",
    "is_marked",
    "keep_at_least",
    "last_spot",
    "note_pack",
    "reserve",
    "say_what_is_left",
    "stock",
    "stock_lines",
    "use_up",
]

NOTHING_SAID = StockFacts()
"""What is known of a thing whose pack says nothing."""

OUTCOMES = ("used", "spilt", "gone off")
"""What becomes of what is taken from stock and goes on no joint."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackAsTyped:
    """What is printed on a pack, as typed: days, ``pack`` an amount, ``batch`` a number."""

    pack: str = ""
    made: str = ""
    opened: str = ""
    use_by: str = ""
    batch: str = ""
    hazard: str = ""
    keeping: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Enter(Ask):
    """What the workshop has, or has bought for itself.

    ``lines`` are as typed, a thing each: ``40 M6 plain washer``, ``half a 50 ml tube of flange
    sealant``; an assortment is entered as its sizes. ``to`` is the place of all; ``condition`` of
    fasteners is new, unless said. With a ``supplier`` they were bought, all of it for ``price``, a
    sum as typed, None where it is not known; else they were there. ``least`` of the first line is
    to be held.
    """

    lines: Sequence[str]
    to: str = "bench"
    condition: str | None = None
    supplier: str = ""
    least: str = ""
    on_pack: PackAsTyped = field(default_factory=PackAsTyped)
    new_place: bool = False
    new_firm: bool = False
    price: str | None = None


@dataclass(frozen=True, slots=True)
class EnteredLine:
    """One thing entered: ``quantity`` in ``unit``, empty for pieces. ``estimated``: a share, or
    "about". ``kind`` is the handbook's name for a consumable, empty for anything else."""

    item: str
    quantity: int
    unit: str
    text: str
    condition: Condition
    kind: str
    pack: int
    estimated: bool
    usable_until: date | None
    questions: tuple[str, ...]
    hazards: tuple[str, ...]
    cautions: tuple[str, ...]
    past: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered(Reply):
    """What is in stock now, and where."""

    lines: tuple[EnteredLine, ...]
    place: Whereabouts
    supplier: str
    least: int
    price: int | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class LookAtStock:
    """What is in stock; ``what`` narrows it down: a size (``M6``), a thing (``1/4 BSF x 3/4
    hexagon``), a number (``0.7``), words of its name or place. ``sound``: new or inspected alone.
    ``low``: what is below the least to be held, or past its date.
    """

    what: str = ""
    sound: bool = False
    low: bool = False


@dataclass(frozen=True, slots=True)
class StockLine:
    """One thing in stock. ``free`` is given to no joint and kept for nobody.

    ``usable_until`` is the last day it is good by its label or its kind, ``past`` whether that is
    over; ``opened`` the day. ``length_um`` and ``thread`` are there to sort by.
    """

    item: str
    text: str
    name: str
    unit: str
    quantity: int
    pack: int
    places: tuple[PiecesAt, ...]
    free: int
    promised: tuple[Promise, ...]
    kind: str
    opened: date | None
    usable_until: date | None
    past: bool
    batch: str
    hazards: tuple[str, ...]
    keeping: str
    note: str
    thread: str
    length_um: int | None
    formerly: str = ""

    @property
    def amount(self) -> str:
        """How much it is, as a person says it."""
        return so_much(self.quantity, self.unit)


@dataclass(frozen=True, slots=True)
class Low:
    """A thing of which less is there than is to be held, in its unit."""

    text: str
    unit: str
    least: int
    there: int


@dataclass(frozen=True, slots=True)
class Stock:
    """What is in stock, and what is low of it."""

    asked: str
    lines: tuple[StockLine, ...]
    low: tuple[Low, ...]


@dataclass(frozen=True, slots=True)
class NotePack(Ask):
    """What is known of a thing in stock, as typed; ``none`` takes a word back."""

    what: str
    on_pack: PackAsTyped = field(default_factory=PackAsTyped)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackNoted(Reply):
    """What is known of a thing in stock now."""

    item: str
    text: str
    unit: str
    facts: StockFacts
    usable_until: date | None
    past: bool


@dataclass(frozen=True, slots=True)
class KeepAtLeast(Ask):
    """The least of a thing that the workshop wants to hold, as typed; 0 for no such wish. ``what``
    is a number in stock, or the thing itself, there or not."""

    what: str
    least: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAtLeast(Reply):
    """The least of a thing to be held, and how much is there."""

    text: str
    unit: str
    least: int
    there: int


@dataclass(frozen=True, slots=True)
class Reserve(Ask):
    """Pieces in stock that are kept for the machine, or for one ``step`` of it.

    ``what`` is a number in stock, or a place: all that is in it, a kit. ``quantity`` is as typed, a
    count or an amount of one thing, None for all; ``let_go``: kept for it no longer.
    """

    what: str
    quantity: str | None = None
    step: int | None = None
    let_go: bool = False


@dataclass(frozen=True, slots=True)
class LetGo:
    """So much of a thing in stock that is kept now, 0 for none."""

    item: str
    text: str
    quantity: int
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservedFor(Reply):
    """What is kept for a machine, or for a step of it where ``step`` is not 0."""

    machine: str
    step: int
    items: tuple[LetGo, ...]


@dataclass(frozen=True, slots=True)
class UseUp(Ask):
    """So much of a thing in stock that is used up, spilt or gone off; ``quantity`` as typed, None
    for all of it. ``step`` is what it was used on, of the machine; None: on none in particular.
    ``anyway`` uses what is kept for others too."""

    what: str
    quantity: str | None = None
    outcome: str = "used"
    step: int | None = None
    why: str = ""
    of: str | None = None
    anyway: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedUp(Reply):
    """What was taken from stock, and what is left of it; ``kept_for`` are those for whom less is
    left than is kept."""

    item: str
    text: str
    unit: str
    quantity: int
    left: int
    outcome: str
    machine: str
    step: int
    part: str
    below: int = 0
    kept_for: tuple[Promise, ...] = ()


@dataclass(frozen=True, slots=True)
class SayWhatIsLeft(Ask):
    """What is left of a thing, weighed, dipped or judged by eye: ``about a third``, ``340 g``."""

    what: str
    left: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured(Reply):
    """What is left of a thing now, what the record had before, and whom it was kept for where less
    is left than that."""

    item: str
    text: str
    unit: str
    left: int
    before: int
    estimated: bool
    why: str
    kept_for: tuple[Promise, ...] = ()


def enter(context: Context, ask: Enter) -> Entered:
    """Enter things into the workshop's stock.

    Raises:
        BadValue, NotationError: a line that cannot be read, or no date.
        Refused: nothing to enter; what only a strip-down's line may say.
    """
    typed = [line for text in ask.lines if text.strip() for line in read_supplies(text)]
    lines = [line for each in typed for line in each.each]
    if not lines:
        raise Refused("nothing to enter", hint=Hint("enter"))
    if not all(line.quantity for line in lines):
        raise Refused("none is nothing to record")
    facts = _facts_typed(ask.on_pack, lines[0].amount)
    condition = condition_named(ask.condition) if ask.condition else Condition.NEW
    supplier = clean(ask.supplier, "the supplier", most=80, empty=True)
    price = None if ask.price is None else read_money(ask.price)
    if price is not None and not supplier:
        raise BadValue("paid to whom", hint=Hint("enter_bought"))
    if price is not None and len(lines) > 1 and any(line.unit for line in lines):
        raise BadValue("one price for several things", lines=len(lines))
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        into = place_named(writer, ask.to, new=ask.new_place)
        source = (
            firm_named(writer, PlaceKind.BOUGHT, supplier, new=ask.new_firm)
            if supplier
            else writer.place(PlaceKind.HAD, PlaceKind.HAD.value)
        )
        what = ", ".join(this_much(line.quantity, line.unit, line.text) for line in lines)
        bought = f" from {source.name}" if supplier else ""
        act = writer.begin(ActKind.STOCK, f"{what} into stock{bought}", at=context.at)
        currency = ""
        if supplier:
            currency = read_settings(writer.connection).get("currency", "")
            writer.append(PaidRow(act_id=act, machine_id=None, price=price, currency=currency))
        made, moves = [], []
        for line in lines:
            item, number = write_supply(writer, act, on.number, line)
            own = line.facts | facts
            write_facts(writer, act, item, own)
            moves.append(
                Movement(
                    item,
                    line.quantity,
                    Spot(source.number, condition),
                    Spot(into.number, condition),
                )
            )
            made.append(_entered(f"0.{number}", line, condition, StockFacts.of(own)))
        least = 0
        if ask.least.strip():
            least = _amount_typed(ask.least, lines[0].unit, lines[0].amount)
            _write_least(writer, act, lines[0].text, lines[0].unit, least)
        writer.move(act, record(writer.stock_for(moves), ActKind.STOCK, moves))
    return Entered(
        act=act, trial=ask.trial, lines=tuple(made), place=Whereabouts.of(into),
        supplier=source.name if supplier else "", least=least, price=price, currency=currency,
    )  # fmt: skip


def _write_least(writer: Writer, act: int, text: str, unit: str, least: int) -> None:
    description = (
        writer.described_as(text, "consumable") if unit else writer.description(parse(text))
    )
    writer.append(LowMarkRow(act_id=act, description_id=description, unit=unit, least=least))


def _facts_typed(typed: PackAsTyped, amount: Amount | None) -> dict[str, str]:
    """Return what was typed of a pack, by the names it is kept under; an empty value takes back."""
    facts: dict[str, str] = {}
    for name, text in (
        ("made", typed.made),
        ("opened", typed.opened),
        ("use by", typed.use_by),
    ):
        if text.strip():
            none = text.strip().casefold() == "none"
            facts[name] = "" if none else _day(text, ahead=name == "use by").isoformat()
    for name, text, most in (
        ("batch", typed.batch, 60),
        ("hazard", typed.hazard, 200),
        ("keeping", typed.keeping, 200),
        ("note", typed.note, NOTE_LENGTH),
    ):
        if text.strip():
            value = clean(text, name, most=most)
            facts[name] = "" if value.casefold() == "none" else value
    if typed.pack.strip():
        kind = amount.kind if amount else None
        read = read_amount(typed.pack, kind=kind)
        facts["pack"] = str(within(read.quantity, read.unit, typed.pack))
    return facts


def _day(text: str, *, ahead: bool) -> date:
    return read_day(text, ahead=True) if ahead else read_day(text)


def _amount_typed(text: str, unit: str, amount: Amount | None, pack: int = 0) -> int:
    """Read how much, in the unit of a thing."""
    if not unit:
        return count_of(text) or 0
    kind = amount.kind if amount else None
    read = read_amount(text, kind=kind, pack=pack or (amount.pack if amount else None))
    return within(read.quantity, unit, text)


def _quantity_of(connection: Connection, item: Item, typed: str) -> int:
    """Read so much of a thing in stock: a count of pieces, an amount of what is measured."""
    if item.unit and typed.strip().isdecimal():
        typed = f"{typed.strip()} {item.unit}"
    known = read_facts(connection, [item.number]).get(item.number, StockFacts())
    return _amount_typed(typed, item.unit, _amount_of(item, known), known.pack)


def _amount_of(item: Item, known: StockFacts) -> Amount | None:
    """Return what an amount of a thing in stock is read with: its kind and its pack."""
    kind = _kind_of(known)
    return Amount(kind, "", item.unit or "piece", known.pack or None, 0) if kind else None


def _entered(ref: str, line: SupplyLine, condition: Condition, facts: StockFacts) -> EnteredLine:
    kind = line.amount.kind if line.amount else None
    return EnteredLine(
        ref, line.quantity, line.unit, line.text, condition, kind.name if kind else "",
        facts.pack, bool(line.amount and line.amount.estimated), good_until(facts),
        line.questions, hazards_of_sheet(kind.hazards) if kind else (),
        cautions_of(kind) if kind else (), _past(facts),
    )  # fmt: skip


def _past(facts: StockFacts) -> bool:
    until = good_until(facts)
    return until is not None and until < today_is()


def _kind_of(facts: StockFacts) -> Consumable | None:
    return kind_by_key(facts.kind) if facts.kind else None


def stock(context: Context, ask: LookAtStock) -> Stock:
    """Return what is in the workshop's stock.

    Raises:
        NotFound: nothing like it.
    """
    asked = clean(ask.what, "what is asked for", most=200, empty=True)
    with context.reading() as connection:
        size = _size_of(asked)
        joints: Collection[int] = ()
        if size is not None:
            joints = joints_for(connection, descriptions_fitting(connection, size).values())
        items, beside = _stock_like(connection, asked, joints)
        shares = shares_of(connection, items, beside)
        lines = stock_lines(connection, items, shares, sound=ask.sound)
        some = {line.text for line in lines} if asked and not ask.low else None
        low = _low(connection, some)
    if asked and not lines:
        raise NotFound("nothing like it in stock", what=asked, sound=ask.sound)
    if ask.low:
        short = {each.text for each in low}
        lines = [line for line in lines if line.past or line.text in short]
    return Stock(asked, tuple(lines), tuple(low))


def stock_lines(
    connection: Connection, items: Sequence[Item], shares: Shares, *, sound: bool = False
) -> list[StockLine]:
    """Return loose items as they stand in stock, by thread, length and name."""
    facts = read_facts(connection, {item.number for item in items})
    promised = promises_of(shares)
    for one in read_reserved(connection):
        if one.spare not in shares.kept:  # what is measured is shared out to no joint
            mine = Promise(one.machine, one.step, "", one.quantity)
            promised[one.spare] = (*promised.get(one.spare, ()), mine)
    lines = []
    for item in items:
        wanted = tuple(item.spare_conditions if sound and not item.unit else Condition)
        places = tuple(
            each for each in pieces_of([item]) if each.kind.in_hand and each.condition in wanted
        )
        count = sum(each.quantity for each in places)
        if not count:
            continue
        known = facts.get(item.number, NOTHING_SAID)
        kind = _kind_of(known)
        text = item.text
        lines.append(
            StockLine(
                item.ref, text, name_alone(item.unit, text), item.unit, count, known.pack, places,
                max(0, count - sum(each.quantity for each in promised.get(item.number, ())))
                if item.unit else
                shares.left.get(item.number, 0) - shares.kept.get(item.number, 0),
                promised.get(item.number, ()), kind.name if kind else "", known.opened,
                good_until(known), _past(known), known.batch,
                hazards_of_sheet([*filter(None, [known.hazard]), *(kind.hazards if kind else ())]),
                known.keeping or (kind.storage if kind else ""), known.note,
                item.as_found.thread, item.as_found.length_um, item.formerly,
            )
        )  # fmt: skip
    return sorted(
        lines,
        key=lambda line: (bool(line.kind), line.thread, line.length_um or 0, fold(line.name)),
    )


@lru_cache(maxsize=256)
def _size_of(asked: str) -> Size | None:
    """Return the size that is asked for, None where other words are."""
    try:
        thing = parse(asked)
    except (NotationError, BadValue):
        return None
    thread = thing.thread
    if thread is None or not sized(asked):
        return None
    across, length = sizes_asked(asked)
    if across:
        open_fields = ("size", "pitch_or_tpi", *(["length"] if isinstance(length, tuple) else []))
        return Size("", across, length, lambda text: fits_but_for(thing, text, *open_fields))
    if isinstance(length, tuple):  # what is as long as that agrees in all else
        thing = replace(thing, length=None, unread=(), questions=())
    spec = thing.spec
    of_table = thing.series in (Series.BA, Series.BSP, Series.BSPT, Series.NPT)
    return Size(
        thread.designation,
        None if of_table else _micrometres(thing.diameter_mm),
        length,
        lambda text: text == spec or agree(spec, text),
    )


def _micrometres(millimetres: float | None) -> int | None:
    return round(millimetres * 1000) or None if millimetres else None


def _stock_like(
    connection: Connection, asked: str, beside: Collection[int] = ()
) -> tuple[list[Item], list[Item]]:
    """Return the loose items that are asked for, by number, by what they are, by words, by place;
    and the items ``beside`` that were read with them, where that saves a reading.

    Of a large stock no line is read that is not asked for.
    """
    if size := _size_of(asked):
        return loose_of_size(connection, size, beside)
    return _stock_worded(connection, asked), []


def _stock_worded(connection: Connection, asked: str) -> list[Item]:
    if not asked:
        return read_loose(connection, verdicts=False)
    if asked.startswith("0.") and asked[2:].isdecimal():
        return [item for item in loose_numbered(connection, asked[2:]) if item.ref == asked]
    words = fold(asked).split()
    found = items_like(connection, words=words, loose=True)
    if found:
        return found
    return [
        item
        for item in loose_in(connection, lambda where: all(word in fold(where) for word in words))
        if any(
            all(word in fold(f"{held.place} {held.inside}") for word in words)
            for held in item.holdings
            if held.kind.in_hand and held.quantity > 0
        )
    ]


def _low(connection: Connection, texts: Collection[str] | None = None) -> list[Low]:
    """Return of what less is there than is to be held, of these things or of all: sound pieces of
    just that, or better."""
    marks = [mark for mark in low_marks(connection) if texts is None or mark.text in texts]
    if not marks:
        return []
    known = loose_descriptions(connection)
    meant = {
        number for number, (text, _) in known.items() if any(_means(mark, text) for mark in marks)
    }
    items = read_loose(connection, verdicts=False, descriptions=meant, only=True)
    facts = read_facts(connection, {item.number for item in items})
    today = today_is()

    def counts(item: Item) -> bool:
        known = facts.get(item.number, StockFacts())
        until = good_until(known)
        return until is None or until >= today

    low = []
    for mark in marks:
        there = sum(
            item.in_hand(*(item.spare_conditions if not mark.unit else tuple(Condition)))
            for item in items
            if counts(item) and is_marked(item, mark)
        )
        if there < mark.least:
            low.append(Low(mark.text, mark.unit, mark.least, there))
    return low


def is_marked(item: Item, mark: LowMark) -> bool:
    """Tell whether a low mark is of this thing: just that, by any of its names, or what says no
    less than it."""
    return item.unit == mark.unit and _means(mark, item.as_found.text)


def _means(mark: LowMark, text: str) -> bool:
    """Tell whether a low mark is of what is described so, and counted in its unit."""
    if text == mark.text:
        return True
    if mark.unit:
        wanted = thing_of(name_alone(mark.unit, mark.text))
        return thing_of(name_alone(mark.unit, text)).serves(wanted)
    return sized(mark.text) and agree(mark.text, text)


def note_pack(context: Context, ask: NotePack) -> PackNoted:
    """Note what is known of a thing in stock.

    Raises:
        Refused: nothing said, or no thing in stock.
        BadValue: no date.
    """
    with context.writing(ask) as writer:
        item = _in_stock(writer.connection, context.machine, ask.what)
        before = read_facts(writer.connection, [item.number]).get(item.number, StockFacts())
        facts = _facts_typed(ask.on_pack, _amount_of(item, before))
        if not facts:
            raise Refused("nothing said of the pack", item=item.ref, hint=Hint("note_pack"))
        said = ", ".join(f"{name} {value or 'none'}" for name, value in facts.items())
        act = writer.begin(
            ActKind.STOCK,
            f"{beside(item.ref, name_alone(item.unit, item.text))}: {said}",
            at=context.at,
        )
        write_facts(writer, act, item.number, facts)
        after = read_facts(writer.connection, [item.number])[item.number]
        until = good_until(after)
    return PackNoted(
        act=act,
        trial=ask.trial,
        item=item.ref,
        text=item.text,
        unit=item.unit,
        facts=after,
        usable_until=until,
        past=_past(after),
    )


def keep_at_least(context: Context, ask: KeepAtLeast) -> KeptAtLeast:
    """Say the least of a thing that the workshop wants to hold.

    Raises:
        BadValue, NotationError: no amount.
    """
    what = clean(ask.what, "what is to be held", most=200)
    with context.writing(ask) as writer:
        if what.startswith("0."):
            item = _in_stock(writer.connection, context.machine, what)
            text, unit = item.as_found.text, item.unit
            known = read_facts(writer.connection, [item.number]).get(item.number, StockFacts())
            amount = _amount_of(item, known)
        elif (kinds := kinds_said(what)) and not is_fastener(what):
            kind = kinds[0]
            unit = "" if kind.unit == "piece" else kind.unit
            text = counted_in(unit, what)
            amount = Amount(kind, what, kind.unit, None, 0)
        else:
            line = read_line(what)
            refuse_beside(line, "enter")
            text, unit, amount = line.thing.spec, "", None
        none = ask.least.strip().casefold() in ("0", "none")
        least = 0 if none else _amount_typed(ask.least, unit, amount)
        words = f"at least {so_much(least, unit)}" if least else "no lowest amount to hold"
        act = writer.begin(ActKind.STOCK, f"{text}: {words}", at=context.at)
        _write_least(writer, act, text, unit, least)
        below = next(iter(_low(writer.connection, {text})), None)
        there = below.there if below else least
    return KeptAtLeast(act=act, trial=ask.trial, text=text, unit=unit, least=least, there=there)


def reserve(context: Context, ask: Reserve) -> ReservedFor:
    """Keep things in stock for a machine or a step of it, or let them go.

    Raises:
        Refused: fewer are free.
        NotFound: no such step, nothing in stock.
    """
    with context.writing(ask) as writer:
        connection = writer.connection
        on = machine_named(connection, context.machine)
        row = None
        if ask.step:
            row = step_row(connection, on.number, ask.step)
            if row is None:
                raise NotFound("no such step", step=ask.step, hint=Hint("history"))
        items = _items_meant(connection, context.machine, ask.what)
        if ask.quantity is not None and len(items) > 1:
            raise Refused("a count is of one thing", what=ask.what)
        quantity = (
            None if ask.quantity is None else _quantity_of(connection, items[0], ask.quantity)
        )
        mine = (on.name, ask.step or 0)
        joined = {
            one.item: one.rows
            for one in read_reservations(connection)
            if (one.machine, one.step) == mine
        }
        kept = []
        for item in items:
            there = (
                item.in_hand(*item.spare_conditions) if not item.unit else item.in_hand(*Condition)
            )
            others = kept_for_others(read_reserved(connection), item.number, [mine])
            most = max(0, there - sum(one.quantity for one in others))
            wanted = 0 if ask.let_go else (most if quantity is None else quantity)
            if wanted > most:
                raise Refused(
                    "fewer are free", item=item.ref, text=item.text, unit=item.unit, asked=wanted,
                    free=most, kept_for=others,
                )  # fmt: skip
            kept.append((item, wanted))
        words = ", ".join(
            f"{so_much(count, item.unit)} of {beside(item.ref, name_alone(item.unit, item.text))}"
            for item, count in kept
        )
        whom = on.name + (f", step {ask.step}" if ask.step else "")
        act = writer.begin(ActKind.RESERVE, f"{words} kept for {whom}", at=context.at)
        for item, count in kept:
            again = [(each, 0) for each in joined.get(item.number, ()) if each != row]
            for step, so_many in [*again, (row, count)]:
                writer.append(
                    ReservationRow(
                        act_id=act, item_id=item.number, machine_id=on.number, step_id=step,
                        quantity=so_many,
                    )
                )  # fmt: skip
    return ReservedFor(
        act=act, trial=ask.trial, machine=on.name, step=ask.step or 0,
        items=tuple(LetGo(item.ref, item.text, count, item.unit) for item, count in kept),
    )  # fmt: skip


def use_up(context: Context, ask: UseUp) -> UsedUp:
    """Take so much of a thing from stock: used, spilt, or gone off.

    What is kept for others is used only ``anyway``; what was spilt or went off is gone as it is.

    Raises:
        Refused: more than is there, or than is free; no thing in stock.
        BadValue, NotationError: no amount.
    """
    outcome = ask.outcome.strip().casefold()
    if outcome not in OUTCOMES:
        raise BadValue("no such outcome", typed=ask.outcome[:40], outcomes=OUTCOMES)
    why = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True)
    of = maybe_condition(ask.of)
    with context.writing(ask) as writer:
        connection = writer.connection
        item = _in_stock(connection, context.machine, ask.what)
        known = read_facts(connection, [item.number]).get(item.number, StockFacts())
        there = item.in_hand(*([of] if of else tuple(Condition)))
        quantity = (
            there
            if ask.quantity is None
            else _amount_typed(ask.quantity, item.unit, _amount_of(item, known), known.pack)
        )
        if not quantity or quantity > there:
            raise Refused(
                "more than is in stock", item=item.ref, text=item.text, asked=quantity, there=there,
                unit=item.unit,
                hint=_how_to_say_it(item),
            )  # fmt: skip
        machine = step = None
        part = ""
        if ask.step is not None:
            machine = machine_named(connection, context.machine)
            step = step_row(connection, machine.number, ask.step)
            if step is None:
                raise NotFound("no such step", step=ask.step, hint=Hint("history"))
        own = [(machine.name, each) for each in (ask.step or 0, 0)] if machine else []
        over, kept_for = taken_from_others(
            writer, item, quantity, [of] if of else tuple(Condition), own
        )
        if kept_for and outcome == "used" and not ask.anyway:
            raise Refused(
                "kept for others", item=item.ref, text=item.text, unit=item.unit, asked=quantity,
                free=quantity - over, kept_for=kept_for,
            )  # fmt: skip
        act = draw_from_stock(
            writer, context, item, quantity, outcome=outcome, why=why, of=of,
            machine=machine.number if machine else None, step=step, known=known,
        )  # fmt: skip
        low = next(iter(_low(connection, {item.as_found.text})), None)
    return UsedUp(
        act=act, trial=ask.trial, item=item.ref, text=item.text, unit=item.unit,
        quantity=quantity, left=item.in_hand(*Condition) - quantity, outcome=outcome,
        machine=machine.name if machine else "", step=ask.step or 0, part=part,
        below=low.least if low else 0, kept_for=kept_for,
    )  # fmt: skip


def draw_from_stock(
    writer: Writer,
    context: Context,
    item: Item,
    quantity: int,
    *,
    outcome: str,
    why: str,
    of: Condition | None,
    machine: int | None,
    step: int | None,
    known: StockFacts,
) -> int:
    """Write down that so much of a thing was taken from stock; return the act."""
    words = (
        f"{so_much(quantity, item.unit)} of {beside(item.ref, name_alone(item.unit, item.text))}"
    )
    act = writer.begin(ActKind.USE, f"{words} {outcome}", reason=why, at=context.at)
    kind = PlaceKind.SCRAPPED if outcome == "gone off" else PlaceKind.USED
    target = writer.place(kind, kind.value)
    spots = from_hand(writer.stock([item.number]), item, quantity, [of] if of else tuple(Condition))
    moves = [
        Movement(item.number, count, spot, Spot(target.number, spot.condition))
        for spot, count in spots
    ]
    writer.move(act, record(writer.stock_for(moves), ActKind.USE, moves))
    writer.append(
        StockUseRow(
            act_id=act, item_id=item.number, machine_id=machine, step_id=step, quantity=quantity,
            what=outcome, basis="as said",
        )
    )  # fmt: skip
    if outcome == "used" and item.unit and known.opened is None:
        day = (context.at or today_is().isoformat())[:10]
        write_facts(writer, act, item.number, {"opened": day})
    return act


def say_what_is_left(context: Context, ask: SayWhatIsLeft) -> Measured:
    """Put down how much is left of a thing; the difference is used up, or turned up.

    What is weighed is so, whomever it was kept for: as with what was spilt, the reply says who goes
    short.

    Raises:
        Refused: that much is on record; pieces are counted; it lies in several places.
        BadValue, NotationError: no amount.
    """
    why = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True) or "measured"
    with context.writing(ask) as writer:
        item = _in_stock(writer.connection, context.machine, ask.what)
        if not item.unit:
            raise Refused("pieces are counted", item=item.ref, hint=_how_to_say_it(item))
        known = read_facts(writer.connection, [item.number]).get(item.number, StockFacts())
        kind = _kind_of(known)
        read = read_amount(ask.left, kind=kind, pack=known.pack or None)
        held = [each for each in item.holdings if each.kind.in_hand and each.quantity > 0]
        before = sum(each.quantity for each in held)
        left = within(read.quantity, item.unit, ask.left)
        if left == before:
            raise Refused("that much is on record", item=item.ref, left=so_much(left, item.unit))
        kept_for: tuple[Promise, ...] = ()
        if left < before:
            _, kept_for = taken_from_others(writer, item, before - left, tuple(Condition))
        act = writer.begin(
            ActKind.COUNT,
            f"{so_much(left, item.unit)} left of "
            + beside(item.ref, name_alone(item.unit, item.text)),
            reason=why,
            at=context.at,
        )
        if left < before:
            used = writer.place(PlaceKind.USED, PlaceKind.USED.value).number
            spots = from_hand(writer.stock([item.number]), item, before - left, tuple(Condition))
            moves = [
                Movement(item.number, count, spot, Spot(used, spot.condition))
                for spot, count in spots
            ]
        else:
            spot = last_spot(writer, item)
            had = writer.place(PlaceKind.HAD, PlaceKind.HAD.value).number
            moves = [Movement(item.number, left - before, Spot(had, spot.condition), spot)]
        writer.move(act, record(writer.stock_for(moves), ActKind.COUNT, moves))
    return Measured(
        act=act, trial=ask.trial, item=item.ref, text=item.text, unit=item.unit, left=left,
        before=before, estimated=read.estimated, why=why, kept_for=kept_for,
    )  # fmt: skip


def _how_to_say_it(item: Item) -> Hint:
    """Return how to put down that another amount is there: pieces are counted in their place."""
    if item.unit:
        return Hint("say_what_is_left", what=item.ref)
    where = next((h.place for h in item.holdings if h.kind.in_hand and h.quantity), "bench")
    return Hint("count", place=where)


def last_spot(writer: Writer, item: Item) -> Spot:
    """Return where a thing is, or where it was last: what turned up is there."""
    spots = from_hand(writer.stock([item.number]), item, None, tuple(Condition))
    if spots:
        return spots[0][0]
    return Spot(writer.place(PlaceKind.BENCH, "bench").number, Condition.NEW)


def _in_stock(connection: Connection, machine: str | None, what: str) -> Item:
    """Return the one thing in stock that is meant: by number, or by words that fit one.

    Raises:
        Refused: a joint's pieces, or several things.
        NotFound: nothing like it.
    """
    items = _items_meant(connection, machine, what)
    if len(items) > 1:
        raise Refused(
            "several things in stock", what=what, items=tuple(beside(i.ref, i.text) for i in items)
        )
    return items[0]


def _items_meant(connection: Connection, machine: str | None, what: str) -> list[Item]:
    name = clean(what, "what is meant", most=200)
    if name[:1].isdigit() and "." in name and " " not in name and not name.startswith("0."):
        chosen = select(connection, machine, name)
        raise Refused("of a joint, not of the stock", item=chosen.name)
    items = [
        item
        for item in _stock_like(connection, name)[0]
        if any(each.kind.in_hand and each.quantity > 0 for each in item.holdings)
        or name == item.ref
    ]
    if not items:
        raise NotFound("nothing like it in stock", what=name, sound=False)
    return items
