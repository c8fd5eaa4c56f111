"""Compression tests on record, read as the calculator reads them."""

from collections.abc import Sequence

from stores.handbook.engine import STANDARD_KPA, Pressure, TestVerdict, floor, judge
from stores.planning.figures import Reading

__all__ = ["newest_test"]


def newest_test(readings: Sequence[Reading], stage: str) -> TestVerdict | None:
    """Judge the newest compression test of a stage; None where there is none.

    A reading of the ``compression ratio`` gives the floor to judge a single cylinder by.
    """
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
    least = None
    if ratios:
        at = STANDARD_KPA if air is None else float(air)
        least = floor(float(ratios[-1].value), at, gauge=True).value
    return judge(
        [by[place, "dry"] for place in places],
        [by.get((place, "wet")) for place in places],
        floor_kpa=least,
    )


def _pressure(reading: Reading) -> Pressure:
    air = STANDARD_KPA if reading.air_kpa is None else float(reading.air_kpa)
    return Pressure(float(reading.value) + air, air)
