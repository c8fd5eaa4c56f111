"""An item as the rebuild sees it: as found, as specified, and where its pieces are now.

As specified is a row of its own, the newest standing one counts: the parts book often turns up a
year after the strip-down. A specification that only says more than was seen ("tab washer", later
"M14 tab washer") does not make the found piece wrong; one that contradicts it does. A person may
say which of the two it is: a name learnt since is from then on what was found; another thing is
another thing though the words might be of the same.

A piece is what it is: what was bought is as specified, and old pieces are as found. All that names
pieces asks `named` and `text`.

Loose pieces are items of step 0, whatever machine they were entered for: the workshop's stock, and
what was found and is of unknown origin. Their numbers are the same from every machine. A refit
draws on loose pieces of the same specification, new or inspected, through the place "put to another
joint", so that both items stay balanced; the checklist and the shopping list count on the same ones
(`spare_conditions`, `serves`, `stores.planning.sharing`).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stores.errors import NotationError
from stores.handbook.benchline import (
    doubts_of,
    leaves_count_open,
    may_leave_doubt,
    open_questions,
)
from stores.handbook.fastener import Fastener, Kind, open_end, opens_length, parse
from stores.model.ledger import Condition, PlaceKind
from stores.model.mixups import Fellow
from stores.text import join

__all__ = [
    "NANOMETRES",
    "RANKS_APART",
    "Description",
    "Holding",
    "Item",
    "Job",
    "Stack",
    "Step",
    "StoryLine",
    "agree",
    "clash",
    "differences",
    "fits_but_for",
    "lies_in",
    "path_of",
    "serves",
    "sized",
    "sizes_asked",
    "vague",
    "work_words",
]

RANKS_APART = 1000
"""How far two steps are apart in the order of removal, so that a later one can be put between."""

_WITHIN_REACH = (
    PlaceKind.STUCK,
    PlaceKind.BAG,
    PlaceKind.BOX,
    PlaceKind.SHELF,
    PlaceKind.BENCH,
    PlaceKind.FIRM,
)
_SAID = (
    "series",
    "size",
    "pitch_or_tpi",
    "thread_class",
    "length",
    "dimensions",
    "head",
    "drive",
    "form",
    "property_class",
    "material",
    "standard",
    "marks",
    "name",
)


@lru_cache(maxsize=65536)
def serves(piece: str, specified: str) -> bool:
    """Tell whether a piece of one description serves where another is specified: it is all that is
    asked for, and may be more. A hexagon bolt serves where a bolt is asked for.

    What has no size in its text ("gasket", "brake shoe") serves nowhere else.
    """
    if not sized(piece) or not sized(specified):
        return False
    return agree(specified, piece) or parse(piece).same_spec(parse(specified))


def clash(one: str, other: str) -> bool:
    """Tell whether two descriptions say different things: another kind, size or head."""
    return bool(differences(one, other))


def differences(one: str, other: str) -> tuple[str, ...]:
    """Return in what two descriptions say different things: kind, size, head and the like; what
    only one of them says is no difference, and neither is another name."""
    ours, theirs = parse(one), parse(other)
    kinds = Kind.PART not in (ours.kind, theirs.kind) and ours.kind != theirs.kind
    return (
        *(["kind"] if kinds else []),
        *(
            field
            for field in _SAID
            if field != "name"
            and (a := getattr(ours, field))
            and (b := getattr(theirs, field))
            and a != b
        ),
    )


def sized(text: str) -> bool:
    """Tell whether a specification has a size, so that it can be added up and swapped."""
    return any(character.isdigit() for character in text)


_LARGEST_UM = 10_000_000


def sizes_asked(text: str) -> tuple[tuple[int, int] | None, int | tuple[int, int] | None]:
    """Return the diameter and the length of what is looked for, in micrometres.

    Each is a range where the words behind it say so; a diameter is None where just its thread is
    meant. "Or larger" is of the figure that stands before it.

    >>> sizes_asked("M8 x 30 or longer"), sizes_asked("M8 or larger nut")
    ((None, (30000, 10000000)), ((8000, 10000000), None))
    >>> sizes_asked("M8x30"), sizes_asked("M8 or smaller x 30 or longer")
    ((None, 30000), ((0, 8000), (30000, 10000000)))
    """
    thing = parse(text)
    across: tuple[int, int] | None = None
    length: int | tuple[int, int] | None = round((thing.length_mm or 0) * 1000) or None
    rest = text
    for words in thing.unread:
        end = open_end(words)
        if end not in ("at least", "at most"):
            continue
        first, _, behind = rest.partition(words)
        before, rest = parse(first or text), f"{first.strip()} {behind.strip()}"
        value = round((before.length_mm or before.diameter_mm or 0) * 1000)
        reach = (value, _LARGEST_UM) if end == "at least" else (0, value)
        if before.length_mm:
            length = reach
        elif value and not opens_length(words):
            across = reach
    return across, length


def fits_but_for(asked: Fastener, text: str, *fields: str) -> bool:
    """Tell whether a thing of this description is all that is asked for, whatever it has in these
    fields: a nut of M8 or larger may be of any size, and is a nut with a metric thread."""
    other = parse(text)
    return asked.kind in (Kind.PART, other.kind) and all(
        not (ours := getattr(asked, field)) or ours == getattr(other, field)
        for field in _SAID
        if field not in fields
    )


def vague(text: str) -> bool:
    """Tell whether words may be of anything: no size, and no noun of the trade that is known."""
    try:
        return not sized(text) and parse(text).kind is Kind.PART
    except NotationError:
        return False


@lru_cache(maxsize=4096)
def agree(found: str, specified: str) -> bool:
    """Tell whether what was found can be what is specified: nothing that both say differs.

    A specification may say more than was seen: a tab washer may prove to be an M14 tab washer.
    """
    if found == specified:
        return True
    try:
        one, other = parse(found), parse(specified)
    except NotationError:
        return False
    # A size without a noun leaves the kind open.
    known = one.kind == other.kind or (one.kind is Kind.PART and one.series is not None)
    return known and all(
        not (ours := getattr(one, field)) or ours == getattr(other, field) for field in _SAID
    )


@dataclass(frozen=True, slots=True)
class Description:
    """What a thing is. ``text`` is the canonical notation; ``renew`` why it is never reused.

    Thread, sizes in micrometres and head are there for searching, as far as the text says them.
    """

    text: str
    kind: str
    renew: str = ""
    thread: str = ""
    diameter_um: int | None = None
    length_um: int | None = None
    head: str = ""

    def has(self, sizes: Mapping[str, object]) -> bool:
        """Tell whether these fields have these values; a pair is a range."""
        return all(
            (known := getattr(self, field)) is not None and value[0] <= known <= value[1]
            if isinstance(value, tuple)
            else getattr(self, field) == value
            for field, value in sizes.items()
        )


@dataclass(frozen=True, slots=True)
class Holding:
    """So many pieces in one place in one condition. ``inside`` names what the place sits in.

    ``how`` says why they are still on the machine, ``hole`` in which hole; ``mixed`` of them are
    mixed up with others and not sorted yet.
    """

    quantity: int
    place: str
    kind: PlaceKind
    condition: Condition
    inside: str = ""
    how: str = ""
    hole: str = ""
    mixed: int = 0

    @property
    def broken(self) -> bool:
        """Whether they are what is left of a broken piece, in its hole."""
        return self.kind is PlaceKind.STUCK and self.condition is Condition.CONDEMNED

    @property
    def where(self) -> str:
        """Say where, as a person would: ``in bag A001N (box 3)``, ``on shelf 2``, ``still on the
        machine: seized``."""
        words = self.kind.at(self.place)
        if self.how:
            words += f": {self.how}" + (f" in {self.hole}" if self.hole else "")
        return f"{words} ({self.inside})" if self.inside else words


@lru_cache(maxsize=4096)
def path_of(assembly: str) -> tuple[str, ...]:
    """Give the names of an assembly from the machine down, folded for comparison."""
    return tuple(name.strip().casefold() for name in assembly.split("/") if name.strip())


def lies_in(assembly: str, other: str) -> bool:
    """Tell whether an assembly is the other, or lies inside it; everything lies in ""."""
    around = path_of(other)
    return path_of(assembly)[: len(around)] == around


@dataclass(frozen=True, slots=True)
class Step:
    """One removal. ``number`` 0 stands for loose pieces: spares and pieces of unknown origin;
    ``machine`` is empty for those that are the workshop's."""

    number: int
    machine: str
    assembly: str = ""
    part: str = ""
    date: str = ""
    note: str = ""
    hazard: str = ""
    rank: int | None = None

    @property
    def came_off(self) -> int:
        """The place in the order of removal: by number, unless that was put right."""
        return self.number * RANKS_APART if self.rank is None else self.rank


@dataclass(frozen=True, slots=True)
class Job:
    """Something done at a step that is not a piece: oil drained, a chain slackened, a battery
    disconnected. ``reverse`` is how it is undone at the rebuild, in the person's words if any;
    ``done`` the day on which that was done, empty until then.
    """

    step: Step
    reverse: str = ""
    done: str = ""

    @property
    def words(self) -> str:
        """Say what is to be done at the rebuild."""
        return self.reverse or f"undo this: {self.step.part}"


@dataclass(frozen=True, slots=True)
class Stack:
    """Shims or washers in the order in which they sat, by thickness in nanometres.

    From which side they are counted is said by the item's position. ``unit`` is that in which they
    were measured: mm, in or thou.
    """

    layers: tuple[int, ...]
    unit: str = "mm"

    @property
    def total(self) -> str:
        """How thick it is in all, with its unit: ``0.9 mm``."""
        return f"{self._in_unit(sum(self.layers))} {self.unit}"

    @property
    def words(self) -> str:
        """Say each in order, and how much they are: ``0.3, 0.5, 0.1 = 0.9 mm``."""
        return f"{', '.join(map(self._in_unit, self.layers))} = {self.total}"

    def _in_unit(self, thickness: int) -> str:
        # as it was measured: no digit is made up, and the inch is 25.4 mm exactly
        text = f"{thickness / NANOMETRES[self.unit]:.6f}"
        return text.rstrip("0").rstrip(".")


NANOMETRES = {"mm": 1_000_000, "in": 25_400_000, "thou": 25_400}
"""So many in each unit of a stack."""


def work_words(what: str, by: str, measured: str) -> str:
    """Say what was done to a piece: ``welded and ground by Harris, then 19.98 mm``."""
    named = f" by {by}" if by else ""
    return f"{what}{named}" + (f", then {measured}" if measured else "")


@dataclass(frozen=True, slots=True)
class StoryLine:
    """What an inspection said of so many pieces, or what was done to them.

    ``condition`` is the verdict and ``what`` its reason, beside what was measured for it and its
    limit, nanometres; without one ``what`` is the work done, by whom, and what it measured
    afterwards.
    """

    date: str
    quantity: int
    what: str
    condition: Condition | None = None
    by: str = ""
    measured: str = ""
    measured_nm: int | None = None
    limit_nm: int | None = None

    @property
    def done(self) -> str:
        """Say what was done; "" of a verdict."""
        if self.condition is not None:
            return ""
        return work_words(self.what, self.by, self.measured)

    @property
    def words(self) -> str:
        """Say what was found or done, and of how many pieces."""
        if self.condition is None:
            return f"{self.quantity} {self.done}"
        return f"{self.quantity} {self.condition}" + (f": {self.what}" if self.what else "")


@dataclass(frozen=True, slots=True)
class Item:
    """One kind of thing at one joint, with all that is known of it.

    ``found`` and ``wanted`` are counts as found and as specified; ``holdings`` are where its
    pieces are, outside places included; ``story`` is what inspections said and what was done to
    them, the oldest first. ``for_parts``: of a machine that is kept for parts, nothing goes
    back. ``kept``: its sound loose pieces are spares of the workshop; ``stock``: all of it is,
    whatever it is like. ``unit`` is in what it is counted, empty for pieces. ``entered_for`` is
    the machine that was worked on when a loose item was entered, ``formerly`` what that was
    called once. ``as_found`` is what was found as it is known by now. ``other`` tells that a
    person said that another thing than was found should be there, ``learnt`` that ``as_found``
    is a name learnt since. ``mixup`` is the number of what its pieces are mixed up in, 0 for
    nothing, ``mixed_with`` the other lines in that.
    """

    number: int
    line: int
    step: Step
    as_found: Description
    found: int
    as_specified: Description
    wanted: int
    renew: str = ""
    position: str = ""
    written: str = ""
    holdings: tuple[Holding, ...] = ()
    story: tuple[StoryLine, ...] = ()
    words: str = ""
    for_parts: bool = False
    kept: bool = False
    other: bool = False
    learnt: bool = False
    stack: Stack | None = None
    mixup: int = 0
    mixed_with: tuple[Fellow, ...] = ()
    stock: bool = False
    unit: str = ""
    entered_for: str = ""
    formerly: str = ""

    @property
    def ref(self) -> str:
        """How a person names it: the step and the line within it, as ``7.2``."""
        return f"{self.step.number}.{self.line}"

    @property
    def questions(self) -> tuple[str, ...]:
        """What its words leave open, as it was asked when they were typed.

        A count that was put right has other words; a name learnt since says what it is.
        """
        asked, counting = open_questions(self.written)
        return tuple(
            question
            for question in asked
            if (self.count_to_check if question in counting else not self.learnt)
        )

    @property
    def count_to_check(self) -> bool:
        """Whether its words, as they are by now, left open how many there were."""
        return bool(self.found) and leaves_count_open(self.written)

    @property
    def in_doubt(self) -> tuple[str, ...]:
        """What its words left open: the count, the kind, the thread."""
        open_ones = ["count"] if self.count_to_check else []
        if not self.learnt and may_leave_doubt(self.as_found.kind, self.as_found.text):
            open_ones += doubts_of(self.written)
        return tuple(open_ones)

    @property
    def to_check(self) -> tuple[str, ...]:
        """The same as every label and list marks it: "count to check"."""
        return tuple(f"{each} to check" for each in self.in_doubt)

    @property
    def wrong(self) -> bool:
        """Whether what was found is not what should be there."""
        if not self.found:
            return False
        if self.other or self.as_found.text == self.as_specified.text:
            return self.other
        return not agree(self.as_found.text, self.as_specified.text)

    @property
    def verdicts(self) -> tuple[StoryLine, ...]:
        """What inspections said that is still so: of pieces that are in this condition yet."""
        left: dict[Condition, int] = {}
        for holding in self.holdings:
            if holding.quantity > 0:
                left[holding.condition] = left.get(holding.condition, 0) + holding.quantity
        standing: list[StoryLine] = []
        for line in reversed(self.story):
            if line.condition is not None:
                count = min(line.quantity, left.get(line.condition, 0))
                if count:
                    left[line.condition] -= count
                    standing.append(replace(line, quantity=count))
        return tuple(reversed(standing))

    @property
    def verdict(self) -> str:
        """What inspections said that is still so, in words."""
        return "; ".join(line.words for line in self.verdicts)

    @property
    def work_done(self) -> tuple[str, ...]:
        """What was done to its pieces, in words, with a count where it was not all of them."""
        every = max(self.found, self.wanted)
        return tuple(
            line.done if line.quantity == every else line.words
            for line in self.story
            if line.condition is None
        )

    @property
    def repaired(self) -> int:
        """How many pieces had work done since one was last marked repairable."""
        count = 0
        for line in self.story:
            if line.condition is Condition.REPAIRABLE:
                count = 0
            elif line.condition is None:
                count += line.quantity
        return count

    def named(self, condition: Condition) -> str:
        """Say what pieces in this condition are: new ones are as specified, others as found."""
        return (self.as_specified if condition is Condition.NEW else self.as_found).text

    def held(self, holding: Holding) -> str:
        """Say what the pieces of a holding are: where the old ones are wrong, none is fitted."""
        if holding.kind is PlaceKind.MACHINE and self.wrong:
            return self.as_specified.text
        return self.named(holding.condition)

    def names(self, holdings: Iterable[Holding] | None = None) -> str:
        """Say what its pieces there are, each thing once; by default all of those in reach."""
        if self.as_found.text == self.as_specified.text:
            return self.as_found.text
        listed = self.holdings if holdings is None else holdings
        found = {
            self.held(each)
            for each in listed
            if each.quantity > 0 and (holdings is not None or each.kind in _WITHIN_REACH)
        }
        both = (self.as_found.text, self.as_specified.text)
        return " and ".join(text for text in dict.fromkeys(both) if text in found) or both[0]

    @property
    def text(self) -> str:
        """What its pieces in reach are, in a line; as found where there are none."""
        return self.names()

    def count(self, *kinds: PlaceKind, conditions: Sequence[Condition] | None = None) -> int:
        """Give the pieces in places of these kinds, in these conditions or in any."""
        found = 0
        for holding in self.holdings:
            if holding.kind in kinds and (conditions is None or holding.condition in conditions):
                found += holding.quantity
        return found

    @property
    def fitted(self) -> int:
        """Pieces on the machine."""
        return self.count(PlaceKind.MACHINE)

    @property
    def still_on(self) -> tuple[Holding, ...]:
        """What was found and did not come off: stuck, or broken in its hole."""
        return tuple(
            holding
            for holding in self.holdings
            if holding.kind is PlaceKind.STUCK and holding.quantity > 0
        )

    @property
    def stuck(self) -> int:
        """Pieces that did not come off and are whole: they still have to be undone, or are left."""
        return sum(holding.quantity for holding in self.still_on if not holding.broken)

    @property
    def stuck_words(self) -> str:
        """Say what is still on the machine and why: ``1 still on machine: seized``."""
        return "; ".join(
            f"{holding.quantity} {holding.where}".replace("on the machine", "on machine")
            for holding in self.still_on
        )

    @property
    def fit_conditions(self) -> tuple[Condition, ...]:
        """The conditions in which a piece may be refitted, the best first.

        A wrong piece and one that is renewed as a rule go back only as a new one.
        """
        if self.renew or self.wrong:
            return (Condition.NEW,)
        return (Condition.NEW, Condition.SERVICEABLE, Condition.AS_REMOVED)

    @property
    def usable(self) -> int:
        """Pieces in the workshop that may be fitted."""
        return self.in_hand(*self.fit_conditions)

    @property
    def spare_conditions(self) -> tuple[Condition, ...]:
        """The conditions in which a loose piece may serve at a joint: never one not inspected."""
        return tuple(c for c in self.fit_conditions if c is not Condition.AS_REMOVED)

    @property
    def away(self) -> int:
        """Pieces at a firm that are counted on to come back fit for use."""
        if self.renew or self.wrong:
            return self.count(PlaceKind.FIRM, conditions=(Condition.NEW,))
        return self.count(
            PlaceKind.FIRM,
            conditions=(*self.fit_conditions, Condition.REPAIRABLE, Condition.QUARANTINE),
        )

    def in_hand(self, *conditions: Condition) -> int:
        """Pieces in the workshop, off the machine, in these conditions."""
        found = 0
        for holding in self.holdings:
            if holding.condition in conditions and holding.kind.in_hand:
                found += holding.quantity
        return found

    def sure(self, *conditions: Condition) -> int:
        """Pieces in the workshop in these conditions that are not mixed up with others."""
        found = 0
        for holding in self.holdings:
            if holding.condition in conditions and holding.kind.in_hand:
                found += holding.quantity - holding.mixed
        return found

    @property
    def mixed(self) -> int:
        """Pieces that are mixed up with others, those on the machine too."""
        return sum(holding.mixed for holding in self.holdings)

    @property
    def mixed_words(self) -> str:
        """What its pieces are mixed up with, in a line; empty where they are not."""
        if not self.mixup:
            return ""
        fellows = self.mixed_with
        if len(fellows) > 2:
            own = {held.place for held in self.holdings if held.mixed}
            bags = dict.fromkeys(bag for each in fellows for bag in each.bags if bag not in own)
            named = [f"bag {bag}" for bag in bags]
            named += [each.item for each in fellows if not each.bags]
            if named:
                return "with " + join(named)
            return "with " + join([each.item for each in fellows])
        return "with " + join([self._name_of(each) for each in fellows] or ["each other"])

    def _name_of(self, fellow: Fellow) -> str:
        machine = f" of {fellow.machine}" if fellow.machine != self.step.machine else ""
        bags = f" (bag {', '.join(fellow.bags)})" if fellow.bags else ""
        return f"{fellow.item}{machine} {fellow.text}{bags}"

    @property
    def to_repair(self) -> int:
        """Pieces that will serve after a repair."""
        return 0 if self.renew or self.wrong else self.in_hand(Condition.REPAIRABLE)

    @property
    def undecided(self) -> int:
        """Pieces in quarantine."""
        return 0 if self.renew or self.wrong else self.in_hand(Condition.QUARANTINE)

    @property
    def to_fit(self) -> int:
        """Pieces still to go on the machine; none of one that is kept for parts."""
        return 0 if self.for_parts else max(0, self.wanted - self.fitted)

    @property
    def lacking(self) -> int:
        """Pieces it lacks of its own: not here, not coming back, not repairable, not undecided.

        What is short of them, less loose pieces and orders, `stores.planning.status` says.
        """
        missing = self.to_fit
        if not missing:
            return 0
        only_new = bool(self.renew) or self.wrong
        for holding in self.holdings:
            if holding.kind in _WITHIN_REACH and (
                holding.condition is Condition.NEW
                if only_new
                else holding.condition is not Condition.CONDEMNED
            ):
                missing -= holding.quantity
        return max(0, missing)

    @property
    def why_lacking(self) -> str:
        """Say in a few words why it lacks pieces."""
        if self.renew:
            return "always renewed"
        if self.wrong:
            return f"WRONG when found: {self.as_found.text}"
        reasons = []
        if self.found < self.wanted:
            reasons.append(f"{self.wanted - self.found} missing at strip-down")
        for words, count in (
            ("condemned", self.in_hand(Condition.CONDEMNED)),
            ("broken in its hole", sum(h.quantity for h in self.still_on if h.broken)),
            ("scrapped", self.count(PlaceKind.SCRAPPED)),
            ("lost", self.count(PlaceKind.LOST)),
            ("lent to another joint", self.count(PlaceKind.REASSIGNED)),
        ):
            if count:
                reasons.append(f"{count} {words}")
        return ", ".join(reasons) or "none in the stores"

    @property
    def bags(self) -> tuple[str, ...]:
        """The codes of the bags that hold pieces of it."""
        return tuple(sorted({item.place for item in self.holdings if item.kind is PlaceKind.BAG}))
