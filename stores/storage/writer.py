"""The one writer: appends acts and what they bring in. Nothing else writes to a stores."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, column, func, insert, table
from sqlalchemy import select as plain_select
from sqlmodel import Session, col, select

from stores import bagcode
from stores.errors import Hint, Refused
from stores.handbook.fastener import Fastener
from stores.model.ledger import (
    Act,
    ActKind,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    Stock,
    fallen_acts,
    standing_by,
)
from stores.storage.acts import newest_act
from stores.storage.balances import among, balance_of
from stores.storage.corrections import (
    ASSEMBLIES,
    EVERY_ITEM,
    ITEMS,
    MACHINES,
    STEPS,
    CorrectionRow,
    given_numbers,
)
from stores.storage.descriptions import read_from
from stores.storage.items import read_items
from stores.storage.places import place_names
from stores.storage.seldom import has_rows
from stores.storage.tables import (
    ActRow,
    AssemblyRow,
    DescriptionRow,
    FindingRow,
    ItemRow,
    MachineRow,
    MovementRow,
    PlaceRow,
    SpecificationRow,
    StepRow,
    WorkRow,
)
from stores.text import fold

__all__ = ["Made", "Writer", "fold", "now"]


STAYS_POSSIBLE = frozenset(
    (
        "picture",
        "filing",
        "caption",
        "label",
        "outcome",
        "handover",
        "closing",
        "reopening",
        "setting",
        "stock_count",
        "count_line",
        "receipt",
        "movement",
    )
)
"""Tables that say nothing new of the pieces and steps of a machine that is closed out, or whose
movements are looked at by themselves."""


@dataclass(frozen=True, slots=True)
class Made:
    """Something looked up by name, and whether it had to be made for that."""

    number: int
    name: str
    new: bool
    kind: PlaceKind | None = None

    @property
    def where(self) -> str:
        """Say where a piece in this place is."""
        return self.kind.at(self.name) if self.kind else self.name


@dataclass(slots=True)
class _Born:
    """A line that was written here: what was found, and whether a piece of it moved yet."""

    description_id: int
    found: int
    moved: bool = False


def now() -> str:
    """Give this moment as the stores write it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


class Writer:
    """Writes within the transaction it is given; see :meth:`stores.storage.Store.writing`."""

    def __init__(self, connection: Connection, key: str = "") -> None:
        self.connection = connection
        self._key = key or None
        self.acts: list[tuple[int, str]] = []
        """The acts that were written: their numbers, and when."""
        self._session = Session(connection, autoflush=False)
        self._correcting = False
        self._closed: dict[int, tuple[int, str, str] | None] = {}
        # Nobody else writes meanwhile: what is known of the record stays so, but for what is
        # written here.
        self._ever_closed = has_rows(connection, "closing")
        self._ever_corrected = has_rows(connection, "correction")
        self._ever_taken_back = has_rows(connection, "act")
        self._newest: int = newest_act(connection)
        self._known: dict[int, Made] = {}
        self._steps: dict[int, int] = {}
        """The last step of a machine that was asked for."""
        self._descriptions: dict[str, int] = {}
        """Descriptions that were looked up; 0 where there is none yet."""
        self._places: dict[tuple[PlaceKind, int], Made] = {}
        self._born: dict[int, _Born] = {}
        self._lines: dict[int | None, int] = {}
        """The last line of a step that lines are being written to."""

    # What is there

    def stock(self, items: Collection[int], places: Collection[int] = ()) -> Stock:
        """Read the part of the ledger that a request on these items touches."""
        known = [item for item in items if item not in self._born or self._born[item].moved]
        balance = balance_of(self.connection, known)
        wanted = {spot.place for _, spot, _ in balance} | set(places)
        for number, (kind, name) in place_names(
            self.connection, wanted - self._known.keys()
        ).items():
            self._known[number] = Made(number, name, new=False, kind=kind)
        known_places = {number: self._known[number] for number in wanted & self._known.keys()}
        names = {number: made.name for number, made in known_places.items()}
        return Stock(
            balance,
            {number: made.kind for number, made in known_places.items() if made.kind},
            name_item=self._name_item,
            name_place=lambda place: names.get(place, f"place {place}"),
        )

    def stock_for(self, movements: Collection[Movement]) -> Stock:
        """Read the part of the ledger that these movements touch."""
        return self.stock(
            {movement.item for movement in movements},
            {spot.place for move in movements for spot in (move.source, move.target)},
        )

    def _name_item(self, item: int) -> str:
        standing = read_items(self.connection, numbers=[item], verdicts=False)
        if standing:
            return f"{standing[0].ref} {standing[0].text}"
        row: Any = self.connection.execute(
            select(EVERY_ITEM.c.step_id, EVERY_ITEM.c.line, col(DescriptionRow.text))
            .select_from(EVERY_ITEM)
            .join(DescriptionRow, col(DescriptionRow.id) == EVERY_ITEM.c.description_id)
            .where(EVERY_ITEM.c.id == item)
        ).first()
        if row is None:
            return f"item {item}"
        step = self.connection.execute(
            select(STEPS.c.number).where(STEPS.c.id == row.step_id)
        ).scalar()
        return f"{step or 0}.{row.line} {row.text}"

    def reversals(self) -> dict[int, int]:
        """Return every reversal of the record: ``{reversing act: reversed act}``."""
        if not self._ever_taken_back:
            return {}
        rows = self._session.exec(
            select(ActRow.id, ActRow.reverses).where(col(ActRow.reverses).is_not(None))
        ).all()
        return {act: back for act, back in rows if act is not None and back is not None}

    def fallen(self) -> frozenset[int]:
        """Return the acts that no longer stand."""
        return fallen_acts(self.reversals())

    def act(self, number: int) -> tuple[ActRow, Act] | None:
        """Read one act with its movements."""
        row = self._session.get(ActRow, number)
        if row is None:
            return None
        moves = self._session.exec(
            select(MovementRow).where(MovementRow.act_id == number).order_by(col(MovementRow.id))
        ).all()
        return row, Act(
            ActKind(row.kind),
            tuple(_movement(move) for move in moves),
            row.reason,
            row.reverses,
        )

    def acts_newest_first(self) -> Iterable[tuple[int, ActKind]]:
        """Go through the acts backwards."""
        rows = self._session.exec(
            select(ActRow.id, ActRow.kind).order_by(col(ActRow.id).desc())
        ).all()
        for number, kind in rows:
            if number is not None:
                yield number, ActKind(kind)

    def later_acts(self, number: int, items: Collection[int]) -> list[tuple[int, Act]]:
        """Give the standing acts that moved these items after this one, with those movements, in
        the order in which they came to stand: an act that was brought back counts from then on."""
        reversals = self.reversals()
        gone = fallen_acts(reversals)
        since = standing_by(reversals, number)
        statement = (
            select(MovementRow, ActRow.kind, ActRow.reason)
            .join(ActRow, col(ActRow.id) == MovementRow.act_id)
            .order_by(col(MovementRow.id))
        )
        moves: dict[int, list[Movement]] = {}
        heads: dict[int, tuple[ActKind, str]] = {}
        rows = self._session.exec(statement.where(among(col(MovementRow.item_id), items))).all()
        for row, kind, reason in rows:
            if row.act_id in gone or row.act_id in reversals:
                continue
            heads[row.act_id] = (ActKind(kind), reason)
            moves.setdefault(row.act_id, []).append(_movement(row))
        order = {act: standing_by(reversals, act) for act in moves}
        return [
            (act, Act(heads[act][0], tuple(moves[act]), heads[act][1]))
            for act in sorted(moves, key=lambda each: order[each])
            if order[act] > since
        ]

    def putting_back(self, number: int, items: Collection[int]) -> list[int]:
        """Give the acts after this one that took an earlier act on these items back, newest
        first."""
        reversals = self.reversals()
        gone = fallen_acts(reversals)
        rows = set(
            self._session.exec(
                select(MovementRow.act_id)
                .where(col(MovementRow.act_id) > number, among(col(MovementRow.item_id), items))
                .distinct()
            ).all()
        )
        return sorted(
            (act for act in rows - gone if reversals.get(act, number) < number), reverse=True
        )

    def items_born(self, act: int) -> set[int]:
        """Give the items that an act wrote down."""
        rows = self._session.exec(select(ItemRow.id).where(ItemRow.act_id == act)).all()
        return {number for number in rows if number is not None}

    def births(self, items: Collection[int]) -> set[int]:
        """Give the acts that wrote these items down."""
        return set(
            self._session.exec(select(ItemRow.act_id).where(among(col(ItemRow.id), items))).all()
        )

    # What is made on the way, when it is not there yet

    def assembly(self, machine: int, path: tuple[str, ...]) -> Made:
        """Find an assembly by its path from the machine down, or make it and those above it.

        Of several that were made one, the first counts.
        """
        parent: int | None = None
        made = Made(0, "", new=False)
        rows: Any = self.connection.execute(
            select(ASSEMBLIES)
            .where(ASSEMBLIES.c.machine_id == machine)
            .order_by(ASSEMBLIES.c.id.desc())
        ).all()
        by_key = {fold(row.path): row for row in rows}
        walked: list[str] = []
        for name in path:
            walked.append(name)
            row = by_key.get(fold(" / ".join(walked)))
            new = row is None
            if row is None:
                path_now = " / ".join(walked)
                row = AssemblyRow(
                    machine_id=machine, parent_id=parent, name=name,
                    path=self._free_path(machine, path_now),
                )  # fmt: skip
                self._add(row)
            else:
                path_now = row.path
                walked[:] = path_now.split(" / ")
            parent = _id(row.id)
            made = Made(parent, path_now, new)
        return made

    def _free_path(self, machine: int, path: str) -> str:
        """Return a path as it can be written: see `ASSEMBLIES`."""
        taken = set(
            self._session.exec(
                select(AssemblyRow.path).where(AssemblyRow.machine_id == machine)
            ).all()
        )
        while path in taken:
            path += "/"
        return path

    def place(self, kind: PlaceKind, name: str) -> Made:
        """Find a place by its name, or make it."""
        row = self._session.exec(
            select(PlaceRow).where(PlaceRow.kind == kind.value, PlaceRow.key == fold(name))
        ).first()
        if row is not None:
            made = Made(_id(row.id), row.name, new=False, kind=kind)
        else:
            row = PlaceRow(kind=kind.value, name=name, key=fold(name))
            made = Made(self.append(row), name, new=True, kind=kind)
        self._known[made.number] = made
        return made

    def place_of_machine(self, kind: PlaceKind, machine: int) -> Made:
        """Find or make the place of a kind that a machine has to itself; it keeps the name that the
        machine was first given, so that pieces stay where they are when that is put right."""
        made = self._places.get((kind, machine))
        if made is None:
            name = self._session.exec(
                select(MachineRow.name).where(col(MachineRow.id) == machine)
            ).one()
            made = self.place(kind, name)
            self._places[kind, machine] = replace(made, new=False)
        return made

    def firm(self, kind: PlaceKind, text: str) -> Made:
        """Find a firm by its name or a clear beginning of it, whole words; else make it."""
        key = fold(text)
        rows = self._session.exec(
            select(PlaceRow.name).where(
                col(PlaceRow.kind).in_([PlaceKind.FIRM.value, PlaceKind.BOUGHT.value])
            )
        ).all()
        names = {fold(name): name for name in rows}
        longer = [name for known, name in names.items() if known.startswith(f"{key} ")]
        if key not in names and len(longer) == 1:
            return self.place(kind, longer[0])
        return self.place(kind, names.get(key, text))

    def new_bag(self) -> Made:
        """Make a bag with the next code."""
        last = self._session.exec(
            select(PlaceRow.name)
            .where(PlaceRow.kind == PlaceKind.BAG.value)
            .order_by(col(PlaceRow.id).desc())
            .limit(1)
        ).first()
        code = bagcode.after(last) if last else bagcode.nth(0)
        return self.place(PlaceKind.BAG, code)

    def description(self, thing: Fastener) -> int:
        """Find what a thing is among the descriptions, or write it down."""
        text = thing.spec
        return self._described(
            text, lambda: DescriptionRow(text=text, words=fold(text), **read_from(thing))
        )

    def described_as(self, text: str, kind: str) -> int:
        """Find a description by its text, or write down one that is no fastener's."""
        return self._described(text, lambda: DescriptionRow(text=text, kind=kind, words=fold(text)))

    def look_up(self, things: Iterable[Fastener]) -> None:
        """Look up at one go which of these things are described already."""
        self._look_up({thing.spec for thing in things})

    def _look_up(self, texts: Collection[str]) -> None:
        row = DescriptionRow
        rows = self._session.exec(select(row.text, row.id).where(col(row.text).in_(texts))).all()
        self._descriptions |= dict.fromkeys(texts, 0)
        self._descriptions |= {text: _id(number) for text, number in rows}

    def _described(self, text: str, make: Callable[[], DescriptionRow]) -> int:
        if text not in self._descriptions:
            self._look_up({text})
        if not self._descriptions[text]:
            self._descriptions[text] = self.append(make())
        return self._descriptions[text]

    def known_description(self, text: str) -> int:
        """Give the description that is written down with this text."""
        row = self._session.exec(select(DescriptionRow.id).where(DescriptionRow.text == text)).one()
        return _id(row)

    # What is appended

    def begin(
        self,
        kind: ActKind,
        summary: str,
        *,
        reason: str = "",
        at: str | None = None,
        reverses: int | None = None,
        correcting: bool = False,
    ) -> int:
        """Write the head of an act and give its number. ``at`` is when it happened; ``correcting``
        says that it takes a correction back, or brings one back."""
        self._correcting = correcting or kind is ActKind.CORRECT
        self._ever_taken_back = self._ever_taken_back or reverses is not None
        written = now()
        self._newest += 1  # a server would leave out what was refused or tried
        row = ActRow(
            id=self._newest,
            kind=kind.value,
            happened_at=at or written,
            written_at=written,
            reason=reason,
            summary=summary,
            reverses=reverses,
            key=self._key,
        )
        self._key = None  # of several acts of one ask the first carries it
        number = self.append(row)
        self.acts.append((number, written))
        return number

    def append(self, row: Any, *, of_stock: bool = False) -> int:
        """Write a row down and give its number. Nothing that was written is ever changed.

        ``of_stock``: it is the workshop's, whichever machine it was written at.
        """
        self._add(row, of_stock=of_stock)
        return _id(row.id)

    def move(self, number: int, act: Act) -> None:
        """Write the movements of a decided act under its number.

        Raises:
            Refused: of a machine that is closed out.
        """
        self._refuse_closed(None, None, {movement.item for movement in act.movements})
        rows = [
            {
                "act_id": number,
                "item_id": movement.item,
                "quantity": movement.quantity,
                "from_place": movement.source.place,
                "from_condition": movement.source.condition.value,
                "to_place": movement.target.place,
                "to_condition": movement.target.condition.value,
            }
            for movement in act.movements
        ]
        if rows:
            self.connection.execute(insert(MovementRow), rows)
        for movement in act.movements:
            if movement.item in self._born:
                self._born[movement.item].moved = True

    def machine(self, act: int, name: str, *, maker: str, model: str, year: str, note: str) -> int:
        """Write a machine down."""
        row = MachineRow(act_id=act, name=name, maker=maker, model=model, year=year, note=note)
        self._add(row)
        return _id(row.id)

    def step(
        self, act: int, machine: int, assembly: int, *, part: str, note: str, hazard: str
    ) -> tuple[int, int]:
        """Write a step down under the machine's next number; give its row and that number."""
        number = self.next_step(machine)
        row = StepRow(
            act_id=act,
            machine_id=machine,
            number=number,
            assembly_id=assembly,
            part=part,
            note=note,
            hazard=hazard,
        )
        self._add(row)
        self._steps[machine] = number
        self._lines[row.id] = 0
        return _id(row.id), number

    def next_step(self, machine: int) -> int:
        """Give the number that the machine's next step will have. None is ever used again."""
        if machine not in self._steps:
            last = self._session.exec(
                select(func.max(StepRow.number)).where(StepRow.machine_id == machine)
            ).one()
            self._steps[machine] = max(int(last or 0), *self._given("step", machine))
        return self._steps[machine] + 1

    def _given(self, subject: str, owner: int | None) -> list[int]:
        return given_numbers(self.connection, subject, owner) if self._ever_corrected else [0]

    def item(
        self,
        act: int,
        machine: int,
        step: int | None,
        description: int,
        found: int,
        *,
        written: str,
        position: str,
        words: str,
        unit: str = "",
        stock: bool = False,
    ) -> tuple[int, int]:
        """Write an item down; give its row and its line within the step. ``stock``: it is the
        workshop's, and may be entered at a machine that is closed out."""
        row = ItemRow(
            act_id=act,
            machine_id=machine,
            step_id=step,
            line=self.next_line(step),
            description_id=description,
            found=found,
            written=written,
            position=position,
            words=fold(words),
            unit=unit,
        )
        number = self.append(row, of_stock=stock)
        self._born[number] = _Born(description, found)
        self._lines[step] = row.line
        return number, row.line

    def next_line(self, step: int | None) -> int:
        """Give the number that the next line of a step, or the next loose item, will have."""
        if step not in self._lines:
            last = self._session.exec(
                select(func.max(ItemRow.line)).where(
                    # of a step by its row alone: it may have been entered for another machine
                    col(ItemRow.step_id) == step if step else col(ItemRow.step_id).is_(None)
                )
            ).one()
            self._lines[step] = max(int(last or 0), *self._given("item", step))
        return self._lines[step] + 1

    def correct(
        self,
        act: int,
        subject: str,
        number: int,
        field: str,
        value: str | int,
        folded: str = "",
    ) -> None:
        """Put one fact of a machine, an assembly, a step or an item right.

        ``folded`` is what ``find`` has to come by it; a text is folded by itself.
        """
        word = value if isinstance(value, str) else ""
        self._ever_corrected = True
        self._lines.clear()
        self._steps.clear()
        self._born.clear()
        self._add(
            CorrectionRow(
                act_id=act,
                subject=subject,
                subject_id=number,
                field=field,
                text=word,
                number=value if isinstance(value, int) else None,
                folded=fold(folded or word),
            )
        )

    def specify(
        self,
        act: int,
        item: int,
        description: int,
        quantity: int,
        renew: str,
        *,
        same: bool | None = None,
    ) -> None:
        """Write down what should be at a joint; ``same`` is whether a person said that this is what
        was found, or that it is another thing."""
        was: Any = self._born.get(item)
        if was is None:
            was = self.connection.execute(
                select(ITEMS.c.description_id, ITEMS.c.found).where(ITEMS.c.id == item)
            ).one()
        self._add(
            SpecificationRow(
                act_id=act,
                item_id=item,
                description_id=description,
                quantity=quantity,
                renew=renew,
                differs=int(was.description_id != description),
                missing=max(0, quantity - was.found),
                same=None if same is None else int(same),
            )
        )

    def finding(
        self,
        act: int,
        item: int,
        quantity: int,
        condition: Condition,
        reason: str,
        *,
        measured_nm: int | None = None,
        limit_nm: int | None = None,
    ) -> None:
        """Write down what an inspection said, and what was measured beside its limit."""
        self._add(
            FindingRow(
                act_id=act,
                item_id=item,
                quantity=quantity,
                condition=condition.value,
                reason=reason,
                words=fold(reason),
                measured_nm=measured_nm,
                limit_nm=limit_nm,
            )
        )

    def work(
        self, act: int, item: int, quantity: int, what: str, *, by: str, measured: str
    ) -> None:
        """Write down what was done to pieces."""
        self._add(
            WorkRow(
                act_id=act,
                item_id=item,
                quantity=quantity,
                what=what,
                done_by=by,
                measured=measured,
                words=fold(f"{what} {by} {measured}"),
            )
        )

    def _add(self, row: Any, *, of_stock: bool = False) -> None:
        if row.__tablename__ not in STAYS_POSSIBLE and not of_stock:
            step = getattr(row, "step_id", None) or getattr(row, "first_id", None)
            self._refuse_closed(
                getattr(row, "machine_id", None),
                step or self._step_of_point(getattr(row, "point_id", None)),
                [number for number in [getattr(row, "item_id", None)] if number],
            )
        rows: Any = type(row).__table__
        values = {each.name: getattr(row, each.name) for each in rows.columns}
        if values.get("id", 0) is None:
            del values["id"]
        made = self.connection.execute(insert(rows), values)
        if row.id is None and made.inserted_primary_key:
            row.id = made.inserted_primary_key[0]

    def _step_of_point(self, point: int | None) -> int | None:
        if point is None:
            return None
        points = table("check_point", column("id"), column("step_id"))
        found: int | None = self.connection.execute(
            plain_select(points.c.step_id).where(points.c.id == point)
        ).scalar()
        return found

    def _refuse_closed(self, machine: int | None, step: int | None, items: Collection[int]) -> None:
        """Refuse what is of a machine that is closed out; its spares are the workshop's. A record
        can be put right all the same.

        Raises:
            Refused: it is closed out, and was not opened again.
        """
        if self._correcting:
            return
        if not self._ever_closed:  # most stores never closed a machine
            return
        from stores.storage.closing import closed_out

        numbers: set[int] = {machine} if machine else set()
        if step:
            of_step = plain_select(STEPS.c.machine_id).where(STEPS.c.id == step)
            numbers.update(self.connection.execute(of_step).scalars())
        if items:
            of_items = plain_select(ITEMS.c.machine_id).where(
                among(ITEMS.c.id, items), ITEMS.c.step_id.is_not(None)
            )
            numbers.update(self.connection.execute(of_items).scalars())
        for number in sorted(numbers):
            if number not in self._closed:
                self._closed[number] = closed_out(self.connection, number)
            closed = self._closed[number]
            if closed:
                named = plain_select(MACHINES.c.name).where(MACHINES.c.id == number)
                name = self.connection.execute(named).scalar_one()
                raise Refused(
                    "machine closed out",
                    machine=name,
                    day=closed[1],
                    hint=Hint("reopen", machine=name),
                )


def _movement(row: MovementRow) -> Movement:
    return Movement(
        row.item_id,
        row.quantity,
        Spot(row.from_place, Condition(row.from_condition)),
        Spot(row.to_place, Condition(row.to_condition)),
    )


def _id(number: int | None) -> int:
    if number is None:
        raise AssertionError("a flushed row has a number")
    return number
