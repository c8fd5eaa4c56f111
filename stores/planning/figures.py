"""What a machine's figures come to: sumps to fill, joints to tighten, compression tests."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.fastener import parse
from stores.model.figures import JointHoles, ReadingOnRecord, SumpOnRecord
from stores.model.items import Item
from stores.model.work_units import VOLUMES, chosen
from stores.planning.tightness import threaded

if TYPE_CHECKING:
    from stores.handbook.engine import Pressure, TestVerdict
    from stores.handbook.fluids.oils import Sump
    from stores.handbook.tightening.order import Plan

__all__ = ["Fill", "fills", "joint_plan", "newest_test", "sump_of", "what_goes_in"]


@dataclass(frozen=True, slots=True)
class Fill:
    """One line of the checklist: what to fill with what, how much, and where to look."""

    name: str
    oil: str
    amount: str
    points: tuple[str, ...]


def sump_of(sump: SumpOnRecord) -> "Sump":
    """Return a sump on record as the oil side reckons with it.

    Raises:
        BadValue: a refill above the dry fill, or a number or volume out of range.
    """
    from stores.handbook.fluids.oils import Sump, read_grade

    try:
        grade = read_grade(sump.grade) if sump.grade else None
    except (BadValue, NotationError):
        grade = None  # kept as the book has it: bought by its name
    return Sump(sump.name, grade, sump.dry_ml, sump.refill_ml, sump.number)


def fills(sumps: Iterable[SumpOnRecord]) -> list[Fill]:
    """Return what has to be filled once everything is together, with the dry fill where known."""
    from stores.handbook.fluids.oils import need_of

    made = []
    for sump in sumps:
        need = need_of(sump_of(sump), stripped=True)
        each = "" if sump.number == 1 else f", {sump.number} of"
        single = None if need.ml is None else need.ml // sump.number
        amount = "capacity not known" if single is None else _volume(single)
        if sump.number > 1 and single is not None:
            amount += " each"
        if need.high is not None and need.ml is not None and need.high > need.ml:
            amount += f"; allow {_volume(need.high // sump.number)} if dry"
        points = tuple(
            f"{word}: {text}"
            for word, text in (("fill", sump.filler), ("level", sump.level), ("drain", sump.drain))
            if text
        )
        points += tuple(text for text in (sump.note, sump.source) if text)
        made.append(Fill(sump.name + each, sump.grade or "grade not known", amount, points))
    return made


def _volume(ml: int) -> str:
    now = chosen()
    if now.volume != VOLUMES[0]:
        return now.volume_words(ml)
    pints = units.plain(units.convert(ml, "ml", "imp pint"), 2)
    return f"{now.volume_words(ml)} ({pints} imp pint)"


def joint_plan(joint: JointHoles, torque_nm: float | None = None) -> "Plan":
    """Return the plan of a joint: its order, the maker's where one was recorded, and its passes."""
    from stores.handbook.tightening.order import plan_joint
    from stores.handbook.tightening.reading import read_joint

    return plan_joint(read_joint(joint.holes), torque_nm, maker_order=joint.order)


def what_goes_in(plan: "Plan", items: Iterable[Item]) -> dict[int, str]:
    """Return what goes into each hole in full, where the record leaves no doubt.

    A hole whose size is that of one thing tightened in the step gets that thing's description; so
    does a hole without a size, where there is only one.
    """
    things = {item.as_specified.text for item in items if threaded(item.as_specified)}
    contents = {}
    for number, hole in plan.joint.by_number.items():
        fitting = [text for text in things if not hole.length or _same(hole.length, text)]
        if len(fitting) == 1:
            contents[number] = fitting[0]
    return contents


def _same(written: str, text: str) -> bool:
    """Return whether a size written beside a hole, ``M6x45`` or ``45``, is of this thing."""
    try:
        thing = parse(text)
        size = parse(written)
    except NotationError:
        return False
    if size.thread is None:
        return thing.length_mm is not None and written.strip() == f"{thing.length_mm:g}"
    return size.thread == thing.thread and size.length_mm in (None, thing.length_mm)


def newest_test(readings: Sequence[ReadingOnRecord], stage: str) -> "TestVerdict | None":
    """Return the newest compression test of a stage, judged; None where there is none.

    A reading of the ``compression ratio`` gives the floor to judge a single cylinder by, and what
    is usual: the lower of two-stroke and four-stroke, for the record does not say which it is.
    """
    from stores.handbook.engine import STANDARD_KPA, floor, judge, usual

    tests = [
        each
        for each in readings
        if each.subject.lower().startswith("compression")
        and each.stage == stage
        and each.state in ("dry", "wet")
    ]
    if not tests:
        return None
    newest = [each for each in tests if each.act == tests[-1].act]
    places = list(dict.fromkeys(each.place for each in newest if each.state == "dry"))
    by = {(each.place, each.state): _pressure(each) for each in newest}
    air = newest[-1].air_kpa
    ratios = [each for each in readings if each.subject.lower() == "compression ratio"]
    least = weak = None
    if ratios:
        at = STANDARD_KPA if air is None else float(air)
        ratio = float(ratios[-1].value)
        least = floor(ratio, at, gauge=True).value
        weak = min(usual(ratio, at, two_stroke=each).low for each in (True, False))
    return judge(
        [by[place, "dry"] for place in places],
        [by.get((place, "wet")) for place in places],
        floor_kpa=least,
        usual_kpa=weak,
    )


def _pressure(reading: ReadingOnRecord) -> "Pressure":
    from stores.handbook.engine import STANDARD_KPA, Pressure

    air = STANDARD_KPA if reading.air_kpa is None else float(reading.air_kpa)
    return Pressure(float(reading.value) + air, air)
