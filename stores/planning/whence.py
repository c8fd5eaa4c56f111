"""Where did this bolt come from? The joints of a machine, ranked by what was measured.

Bayes' rule over the joints, as :mod:`stores.handbook.identify` has it over the threads. What is
taken for granted, for want of counts from workshops:

- Before measuring, three in four pieces in hand are of a recorded joint, one in four of none.
- Every joint is as likely as another, but one from which pieces are lost, missing or short counts
  five times: a bolt that nobody can place is most likely one that somewhere is missing.
- The head is judged right nine times in ten among heads that look alike (cheese, pan, round); one
  of another kind, a hexagon for a countersunk, is one slip in fifty thousand. A joint whose record
  does not say the head is neither for nor against, and a flange head may have been written down as
  a plain hexagon.
- Who measured across flats had flats to measure: a head without them is one in fifty, a slip.
- Lengths of pieces that are of no joint are even in the logarithm from 3 to 300 mm.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import log

from stores.errors import NotFound
from stores.handbook.identify import Identification
from stores.handbook.lengths import length_likelihood
from stores.handbook.measure import Tool
from stores.model.items import Description, Item
from stores.model.ledger import Condition, PlaceKind

__all__ = ["Candidate", "Joint", "Length", "Whence", "likeliest", "reach_mm", "whence"]

RECORDED = 0.75
MISSED = 5.0
HEAD_RIGHT = 0.9
OTHER_HEAD = 0.00002
ALIKE_HEADS = frozenset({"cheese", "pan", "round", "fillister", "button", "mushroom", "dome"})
NO_FLATS = 0.02
FLAT_HEADS = frozenset({"", "hex", "hex flange", "square"})
FLATLESS_KINDS = frozenset({"stud", "studding"})
LENGTHS_MM = (3.0, 300.0)
NUT = "nut"
"""Said in place of a head: the piece is a nut."""
NUTS = frozenset({NUT, "insert"})
BOLTS = frozenset(
    {"bolt", "screw", "setscrew", "stud", "studding", "plug", "grease nipple", "bleed nipple",
     "part"}
)  # fmt: skip
"""Kinds with a thread inside, and with one outside: a washer has a size but no thread. A part
with a thread in its description ("M6 x 25", no noun) is taken for a bolt."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length that was measured as the standard has it for its head (ISO 225), in mm."""

    mm: float
    tool: Tool = Tool.CALIPER


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint that the piece may be of, with the probability and what speaks for it.

    ``what`` is the description that the measurements fit: as found, or as specified.
    """

    item: Item
    probability: float
    missed: int
    what: str = ""


@dataclass(frozen=True, slots=True)
class Whence:
    """The joints, the likeliest first; ``none_share`` is the chance that it is of none of them."""

    joints: tuple[Joint, ...]
    none_share: float


def reach_mm(tool: Tool, length_mm: float, *, odd: bool = True) -> float:
    """Give how far a nominal length may be from a measured one, mm: grade B's tolerance (js17,
    ISO 4759-1) at this length and three times the tool's uncertainty; with ``odd``, twice what the
    odd screw is off by, too."""
    from stores.handbook.lengths import length_tolerance_mm, odd_spread_mm
    from stores.handbook.measure import SIGMA_MM

    tolerance = length_tolerance_mm(max(length_mm * 1.05, 1.0), "B")
    more = 2 * odd_spread_mm(length_mm) if odd else 0.0
    return tolerance + 3 * SIGMA_MM[tool] + more


@dataclass(frozen=True, slots=True)
class Candidate:
    """A description that may be that of the piece, and of how many joints it is."""

    number: int
    what: Description
    joints: int


def likeliest(
    found: Identification,
    candidates: Iterable[Candidate],
    *,
    length: Length | None = None,
    head: str = "",
    most: int = 12,
) -> list[Candidate]:
    """Give the candidates that are worth a look, the likeliest first: those that hold all but a
    thousandth of the weight."""
    likelihood = _likelihood(found)
    internal = found.measurement.internal
    flats = found.measurement.flats_mm is not None
    weighed = [
        (each.joints * _told(likelihood, each.what, internal, length, head, flats), each)
        for each in candidates
    ]
    weighed = sorted((pair for pair in weighed if pair[0] > 0), key=lambda pair: -pair[0])
    least = sum(weight for weight, _ in weighed) / 1000
    chosen: list[Candidate] = []
    left = sum(weight for weight, _ in weighed)
    for weight, each in weighed[:most]:
        if left < least:
            break
        chosen.append(each)
        left -= weight
    return chosen


def whence(
    found: Identification,
    items: Iterable[Item],
    candidates: Sequence[Candidate],
    recorded: int,
    *,
    length: Length | None = None,
    head: str = "",
) -> Whence:
    """Rank joints.

    Args:
        found: what the measurements say of the thread.
        items: joints to rank.
        candidates: the descriptions that may fit, with how many joints each has, listed or not.
        recorded: how many items there are in all.
        length: the length, if it was measured.
        head: the head, if it was seen.

    The probabilities of the joints, of joints of these descriptions that are not listed, and of
    none of them sum to 1; ``none_share`` is of the last two together.
    """
    likelihood = _likelihood(found)
    each = RECORDED / max(recorded, 1)
    internal = found.measurement.internal
    flats = found.measurement.flats_mm is not None
    told = {
        candidate.what.text: _told(likelihood, candidate.what, internal, length, head, flats)
        for candidate in candidates
    }
    unlisted = {candidate.what.text: candidate.joints for candidate in candidates}
    weights: list[tuple[float, Joint]] = []
    for item in items:
        for what in {item.as_found.text, item.as_specified.text} & unlisted.keys():
            unlisted[what] -= 1
        told_of = {
            what: told.get(what, 0.0) for what in (item.as_found.text, item.as_specified.text)
        }
        weight, missed, what = max(
            (_missed_bonus(missed) * told_of[what], missed, what)
            for what, missed in _missed(item).items()
        )
        if weight > 0:
            weights.append((each * weight, Joint(item, 0.0, missed, what)))
    others = sum(each * max(0, count) * told[text] for text, count in unlisted.items())
    none = (1 - RECORDED) * found.evidence * (_even(length.mm) if length else 1.0)
    if head and head != NUT:
        none *= 0.5
    total = sum(weight for weight, _ in weights) + others + none
    if total <= 0:
        return Whence((), 1.0)
    joints = sorted(
        (replace(joint, probability=weight / total) for weight, joint in weights),
        key=lambda joint: (-joint.probability, joint.item.step.number, joint.item.line),
    )
    return Whence(tuple(joints), max(0.0, 1 - sum(joint.probability for joint in joints)))


def _likelihood(found: Identification) -> dict[str, float]:
    return {match.thread.designation: match.likelihood for match in found.matches}


def _missed(item: Item) -> dict[str, int]:
    """Give how many pieces are missed of what was found there, and of what should be there."""
    new = item.count(PlaceKind.LOST, conditions=[Condition.NEW])
    lost = item.count(PlaceKind.LOST) - new
    short = max(0, item.wanted - item.found, item.lacking) if item.step.number else 0
    if item.as_found.text == item.as_specified.text:
        return {item.as_found.text: lost + new + short}
    return {item.as_found.text: lost, item.as_specified.text: new + short}


def _missed_bonus(missed: int) -> float:
    return MISSED if missed else 1.0


def _told(
    likelihood: Mapping[str, float],
    what: Description,
    internal: bool,
    length: Length | None,
    head: str,
    flats: bool,
) -> float:
    """Give what the measurements say for one description: a density, 0 where it cannot be."""
    told = likelihood.get(what.thread, 0.0)
    nut = internal or head == NUT
    if not told or what.kind not in (NUTS if nut else BOLTS):
        return 0.0
    if length is not None:
        told *= _length(what, length)
    if nut:
        return told
    if head:
        unsure = not what.head or {what.head, head} == {"hex", "hex flange"}
        alike = {what.head, head} <= ALIKE_HEADS
        wrong = 1 - HEAD_RIGHT if alike else OTHER_HEAD
        told *= 0.5 if unsure else HEAD_RIGHT if what.head == head else wrong
    flatless = what.kind in FLATLESS_KINDS or what.head not in FLAT_HEADS
    if flats and flatless and (not head or what.head != head):
        told *= NO_FLATS
    return told


def _length(what: Description, length: Length) -> float:
    if what.length_um is None:
        return 0.0 if what.kind in NUTS else _even(length.mm)
    nominal = what.length_um / 1000
    try:
        return length_likelihood(length.mm, nominal, what.head or "hex", length.tool)
    except NotFound:
        return length_likelihood(length.mm, nominal, "hex", length.tool)


def _even(mm: float) -> float:
    low, high = LENGTHS_MM
    return 1 / (mm * log(high / low)) if low <= mm <= high else 1e-9
