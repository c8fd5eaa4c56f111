"""Old studs in soft metal, and thread inserts."""

from typing import TYPE_CHECKING

from stores.errors import BadValue
from stores.handbook.answer import Answer
from stores.handbook.bench_rules.model import GENERAL
from stores.text import fold

if TYPE_CHECKING:
    from stores.handbook.thread import Thread
    from stores.handbook.torque import Friction, Tightening

__all__ = ["OLD_THREAD_SAFETY", "insert_length", "old_stud"]

OLD_THREAD_SAFETY = 2.0
"""Stripping load over the preload allowed on a thread in soft metal that has been used for years:
assumption, more than the 1.5 of a sound thread."""


def old_stud(
    thread: "str | Thread",
    grade: str,
    state: "str | float | Friction | None",
    *,
    engagement_mm: float,
    into: str = "aluminium",
) -> "Tightening":
    """Give the torque of a nut on an old stud: bolt, or the thread in the metal, whichever is less.

    ``engagement_mm`` is the length of stud in the metal, ``state`` how stud and nut are. The thread
    in the metal is trusted with half of what it would strip at. Raises `BadValue` as
    `stores.handbook.torque.tighten` does.
    """
    from dataclasses import replace

    from stores.handbook.thread import get
    from stores.handbook.torque import tighten

    screw = get(thread) if isinstance(thread, str) else thread
    found = tighten(
        screw, grade, state, head="nut", into=into, engagement_mm=engagement_mm,
        strip_safety=OLD_THREAD_SAFETY,
    )  # fmt: skip
    return replace(
        found,
        assumptions=(
            *found.assumptions,
            f"old thread in the metal: {OLD_THREAD_SAFETY:g} times safe against stripping",
        ),
        cautions=(
            "A stud that turns with its nut, or a thread that gives before the torque is reached, "
            "is not tightened on: take it out, fit an insert.",
            "No oil in a blind hole: it cannot escape, and cracks the casting.",
            *found.cautions,
        ),
    )


_TIMES = {  # of the diameter: low, usual, high
    "aluminium": (1.5, 1.5, 2.0), "magnesium": (2.0, 2.0, 2.5),
    "cast iron": (1.0, 1.5, 1.5), "steel": (1.0, 1.0, 1.5), "brass": (1.0, 1.5, 1.5),
}  # fmt: skip


def insert_length(thread: "str | Thread", into: str = "aluminium") -> Answer:
    """Give the length of a wire thread insert, mm, for a metal: multiples of the diameter.

    Inserts come in 1, 1.5, 2, 2.5 and 3 diameters (common practice). The hole is in
    `stores.handbook.repair.insert_hole`. Raises `BadValue` for a metal without a rule.
    """
    from stores.handbook.thread import get

    screw = get(thread) if isinstance(thread, str) else thread
    word = fold(into)
    if word not in _TIMES:
        raise BadValue(f"no insert length for {into.strip()!r}; there is for: {', '.join(_TIMES)}")
    low, usual, high = (times * screw.major_mm for times in _TIMES[word])
    return Answer(
        f"wire thread insert for {screw.designation} in {word}",
        usual, "mm", low, high, f"the strength of the {word}",
        (f"{_TIMES[word][1]:g} diameters; the bolt goes right through the insert",),
        ("insert-practice", "engagement-rules"),
        (
            "Set it a quarter to half a turn below the face, break the tang off and take it out of "
            "the hole. The torque stays that of the bolt.",
            GENERAL,
        ),
    )  # fmt: skip
