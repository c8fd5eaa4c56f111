"""The bolt of a joint: how long for what it clamps, and how much of its thread lies in the joint.

A bolt with a plain shank clamps only while its nut is on full thread: where the shank is as long as
the joint, the nut stops on it and the parts stay loose, however tight it feels.

::

    >>> [round(answer.value, 1) for answer in bolt_for("M8", 30)]
    [40.0, 18.0, 12.0, 3.2]
"""

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, not_negative
from stores.handbook.bench_rules.rules import GENERAL
from stores.handbook.lengths import NominalLength, next_length, threaded_parts
from stores.handbook.repair import engagement, engagement_materials, holds_a_part
from stores.handbook.thread import Series, Thread, get

__all__ = ["bolt_for", "nut_height_mm", "threaded_mm"]

_MM = 25.4
_OUT_PITCHES = 2.0
"""Threads that stand out of a nut: one at least, two usual (common practice)."""

_BLIND_PITCHES = 2.0
"""Threads that a bolt stays clear of the bottom of its hole (common practice)."""

_STOPS = (
    "The plain shank is as long as what is clamped: nut or hole stops on it, and nothing is "
    "clamped. A bolt threaded further, or one threaded all the way."
)
_SHORT = "Less thread than it takes: the thread strips before the bolt is tight. A longer bolt."
_BOTTOM = (
    "It touches the bottom of the hole before it clamps, and cracks the case or comes loose: "
    "shorter, or washers under the head."
)
_UNKNOWN = (
    "How much of such a bolt is threaded is in no list here: measure it. Its plain shank must be "
    "shorter than what is clamped."
)
_NOT_OUT = "The end is not through the nut: a longer bolt."


def threaded_mm(thread: Thread, length_mm: float) -> tuple[float, str] | None:
    """Return how much of a hexagon bolt of a length is threaded, mm, and the source's key.

    Metric by ISO 888. UNF and UNC: 2 d + 1/4 in up to 6 in long, 2 d + 1/2 in beyond (ASME B18.2.1,
    from memory). A shorter bolt is threaded all the way. None for other threads.

    >>> threaded_mm(get("M8"), 40)
    (22.0, 'iso-888')
    """
    for part in threaded_parts(thread):
        if part.over_mm < length_mm <= (part.to_mm or length_mm):
            return min(part.thread_mm, length_mm), "iso-888"
    if thread.series in (Series.UNC, Series.UNF):
        more = 0.25 if length_mm <= 6 * _MM + 1e-6 else 0.5
        return min(2 * thread.major_mm + more * _MM, length_mm), "asme-b18-2-1"
    return None


def nut_height_mm(thread: Thread) -> tuple[float, str]:
    """Return the greatest height of a full nut, mm, and what it is taken from.

    ISO 4032, else DIN 934; in inches BS 1083 or ASME B18.2.2; as high as the thread is thick where
    no list has it.

    >>> nut_height_mm(get("M8"))
    (6.8, 'nut ISO 4032')
    """
    if thread.series is Series.METRIC:
        from stores.handbook.table import table

        for standard in ("ISO 4032", "DIN 934"):
            for row in table("hardware_hex_nuts"):
                if (
                    row["standard"].startswith(standard)
                    and row["thread"] == f"M{thread.major_mm:g}"
                ):
                    return float(row["height_m_max_mm"]), f"nut {standard}"
    else:
        from stores.handbook.hardware.hexagons import of_thread

        for nut in of_thread(thread, "inch nut"):
            if nut["part"] == "nut" and nut["m_mm"]:
                return float(nut["m_max_mm"]), f"nut {nut['standard']}"
    return thread.major_mm, "nut as high as the thread is thick"


def bolt_for(
    thread: str | Thread,
    grip_mm: float,
    *,
    washers_mm: float = 0.0,
    nut_mm: float | None = None,
    into: str = "",
    hole_mm: float | None = None,
    length_mm: float | None = None,
    thread_mm: float | None = None,
) -> tuple[Answer, ...]:
    """Return the length under the head, the plain shank, the thread in the joint, and what is over.

    The last is what stands out of the nut or, with ``into``, what is screwed into the hole. The two
    in the middle are left out where nobody says how much of the bolt is threaded.

    Raises `BadValue` for sizes that cannot be, `NotFound` for a metal without a rule.

    Args:
        thread: the bolt's.
        grip_mm: what is clamped, without washers, up to 1000 [mm].
        washers_mm: the thickness of all washers [mm].
        nut_mm: the height of the nut; that of its standard if not given [mm].
        into: what the bolt is screwed into; empty for a nut.
        hole_mm: the depth of the thread of a blind hole [mm].
        length_mm: the length of the bolt; the next that is made if not given [mm].
        thread_mm: how much of it is threaded, measured; by its standard if not given [mm].
    """
    screw = get(thread) if isinstance(thread, str) else thread
    if holds_a_part(screw):
        raise BadValue(f"{screw.designation} is the thread of a pipe or a part, not of a bolt")
    if hole_mm is not None and not into:
        raise BadValue("the depth of a hole goes with what the bolt is screwed into")
    above_zero("grip", grip_mm, "mm", 1000.0)
    not_negative("washers", washers_mm, "mm", 100.0)
    clamped = grip_mm + washers_mm
    if into:
        need, why, sources = _into(screw, clamped, into)
    else:
        need, why, sources = _nutted(screw, clamped, nut_mm)
    named: NominalLength | None = None
    if length_mm is None:
        inch = screw.series not in (Series.METRIC, Series.BA)
        named = next_length(need - 2e-6, inch=inch)
        if named is None:
            raise BadValue(f"no bolt is made in {need:.0f} mm or more")
        length_mm = named.mm
    above_zero("length", length_mm, "mm", 1000.0)
    if length_mm <= clamped:
        raise BadValue(
            f"a bolt {length_mm:g} mm long does not reach through {clamped:g} mm of grip"
        )
    chosen = named is not None
    size = f"{screw.designation} x {named}" if named and named.inch else screw.designation
    over, cautions = _over(screw, length_mm - clamped, need - clamped, into, hole_mm, nut_mm)
    shank = _shank(screw, length_mm, clamped, thread_mm)
    if not shank:
        cautions = (_UNKNOWN, *cautions)
    elif shank[1].value < screw.pitch_mm:
        cautions = (_STOPS, *cautions)
    told = (*cautions, GENERAL)
    what = f"bolt {size}, length under the head"
    if chosen and _BOTTOM in cautions:
        what = f"no length made fits that hole; too long is {what}"
    first = Answer(
        what, length_mm, "mm", length_mm, length_mm,
        f"{clamped:g} mm clamped and {why}: {need:.1f} mm at least", (), sources, told,
    )  # fmt: skip
    return (first, *shank, over)


def _nutted(
    screw: Thread, clamped: float, nut_mm: float | None
) -> tuple[float, str, tuple[str, ...]]:
    high, what = nut_height_mm(screw) if nut_mm is None else (nut_mm, "nut")
    above_zero("nut", high, "mm", 100.0)
    need = clamped + high + _OUT_PITCHES * screw.pitch_mm
    return need, f"{what} {high:g} mm, two threads out", ("practice", "nut-heights")


def _into(screw: Thread, clamped: float, into: str) -> tuple[float, str, tuple[str, ...]]:
    word = " ".join(into.lower().split())
    metals = engagement_materials()
    metal = next((each for each in metals if word in each), word)
    least = engagement(screw, metal)
    return (
        clamped + least.length_mm,
        f"{least.length_mm:.1f} mm of thread in {metal}",
        ("practice", "engagement-rules"),
    )


def _shank(
    screw: Thread, length: float, clamped: float, measured: float | None
) -> tuple[Answer, ...]:
    """Return the plain shank and the thread that lies in the joint; neither where nobody knows."""
    if measured is not None:
        own = above_zero("thread on the bolt", measured, "mm", length)
        known: tuple[float, str] | None = (own, "practice")
    else:
        known = threaded_mm(screw, length)
    if known is None:
        return ()
    threaded, source = known
    plain = length - threaded
    by = (
        f"{threaded:g} mm of it threaded, as measured"
        if measured is not None
        else f"{threaded:.3g} mm of it threaded, as on a bolt with a shank"
    )
    assumed = (by,)
    inside = max(0.0, clamped - plain)
    return (
        Answer("plain shank", plain, "mm", plain, plain, "", assumed, (source,)),
        Answer("thread that lies in the joint", inside, "mm", inside, inside, "", (), (source,)),
    )


def _over(
    screw: Thread,
    beyond: float,
    need: float,
    into: str,
    hole_mm: float | None,
    nut_mm: float | None,
) -> tuple[Answer, tuple[str, ...]]:
    """Return what is screwed in or stands out of the nut, and what is wrong with it."""
    if into:
        cautions = [] if beyond >= need - 1e-6 else [_SHORT]
        if hole_mm is not None:
            above_zero("hole", hole_mm, "mm", 1000.0)
            if beyond > hole_mm - _BLIND_PITCHES * screw.pitch_mm + 1e-6:
                cautions.append(_BOTTOM)
        what = "screwed into the hole"
        return (
            Answer(what, beyond, "mm", beyond, beyond, "", (), ("engagement-rules",)),
            tuple(cautions),
        )
    high = nut_height_mm(screw)[0] if nut_mm is None else nut_mm
    out = beyond - high
    cautions = [] if out >= screw.pitch_mm - 1e-6 else [_NOT_OUT]
    what = "out of the nut" if out >= 0 else "short of the end of the nut by"
    out = abs(out)
    return Answer(what, out, "mm", out, out, "", (), ("practice",)), tuple(cautions)
