"""Oiled or plated against a dry figure: by how much the torque comes down.

Old studs in soft metal, and thread inserts.

Spark plugs, drain plugs and the small fixings of an engine: torque by thread and metal.
"""

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from stores import units
from stores.errors import BadValue, NotFound
from stores.handbook.answer import Answer, above_zero
from stores.handbook.bench_rules.rules import GENERAL
from stores.handbook.table import table
from stores.text import fold

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = [
    "drain_plug",
    "dry_to_oiled",
    "fixing",
    "fixing_kinds",
    "lubrication_cut",
    "spark_plug",
    "spark_plug_turn",
]


_MEAN_OF_D = 1.28  # as M6 to M24 hexagon heads on medium holes have it (ISO 4014, ISO 273)


def lubrication_cut(
    thread: "str | Thread", to: str | None = None, *, was: str = "dry", stainless: bool = False
) -> Answer:
    """Return by how much, per cent, a torque comes down when the thread is no longer as it was.

    ``to`` and ``was`` are states of `stores.handbook.torque.friction`: dry, oiled, greased,
    anti-seize, plated, cadmium ... The same preload is wanted. The range covers the ratios of usual
    friction, of the low ends, of the high ends, and the cuts in print; the figure is its middle.
    Below zero the torque goes up.

    Raises `BadValue` where ``to`` is not said, or no friction is on record for a state.

    >>> cut = lubrication_cut("M8", "oiled")
    >>> 0 < cut.low < cut.high < 100
    True
    """
    from stores.handbook.thread import named
    from stores.handbook.torque.formulas import coefficient_mm
    from stores.handbook.torque.grades import friction
    from stores.handbook.torque.joint import bearing

    if to is None:
        raise BadValue("oiled, greased, anti-seize or plated? say what the thread is now")
    screw = named(thread) if isinstance(thread, str) else thread
    old, new = friction(was, stainless=stainless), friction(to, stainless=stainless)
    told = [f"was {old}; now {new}", "the same preload wanted"]
    try:
        mean = bearing(screw).mean_mm
        told.append("hexagon head")
    except NotFound:
        mean = _MEAN_OF_D * screw.major_mm
        told.append(f"no head on record: mean diameter of its face {_MEAN_OF_D:g} d")
    cuts = []
    for before, after in (
        (old.nominal, new.nominal),
        (old.low, new.low),
        (old.high, new.high),
    ):
        ratio = coefficient_mm(screw, after, after, mean) / coefficient_mm(
            screw, before, before, mean
        )
        cuts.append(100 * (1 - ratio))
    keys = [*old.sources, *new.sources]
    if (old.state, stainless) == ("dry", False):
        word = fold(to)
        for row in table("torque_cuts"):
            if {word, new.state} & {row["state"], *row["words"].split(";")}:
                low, high = float(row["low_percent"]), float(row["high_percent"])
                cuts += [low, high]
                keys.append(row["key"])
                told.append(f"in print for {row['state']}: {_span(low, high)}")
    middle = (min(cuts) + max(cuts)) / 2
    cautions = [GENERAL]
    if min(cuts) < 0:
        cautions.insert(
            0,
            f"Not above the figure for {old.state} unless the state of the thread is certain: "
            "better to make the thread as the book has it.",
        )
    if max(cuts) > 0:
        more = 100 / (100 - max(cuts))
        cautions.insert(
            0,
            f"Tightened to the figure for {old.state}, the bolt might be pulled up to {more:.1f} "
            "times as hard.",
        )
    if new.note:
        cautions.insert(0, f"{new.state}: {new.note}.")
    return Answer(
        f"cut of the torque, {screw.designation}, {old.state} to {new.state}",
        middle, "%", min(cuts), max(cuts),
        "the friction, which cannot be known beforehand",
        tuple(told), tuple(dict.fromkeys(keys)), tuple(cautions),
    )  # fmt: skip


def _span(low: float, high: float) -> str:
    if high <= 0 and low < 0:
        return f"up to {-low:g} % more"
    return f"{low:g} % less" if low == high else f"{low:g} to {high:g} % less"


def dry_to_oiled(
    torque_nm: float,
    thread: "str | Thread",
    to: str | None = "oiled",
    *,
    was: str = "dry",
    stainless: bool = False,
) -> Answer:
    """Return the torque, N m, to use on an oiled, greased or plated thread where the book says dry.

    The preload stays as it was; see `lubrication_cut`. Raises `BadValue` for a torque not above 0
    or over 10000 N m, and as `lubrication_cut` does.

    Args:
        torque_nm: the book's, dry [N m].
        thread: the bolt's.
        to: the state it is in.
        was: the state the book means.
        stainless: both parts are stainless.

    >>> dry_to_oiled(25, "M8").value < 25
    True
    """
    above_zero("torque", torque_nm, "N m", 10000)
    cut = lubrication_cut(thread, to, was=was, stainless=stainless)
    value, low, high = (torque_nm * (1 - share / 100) for share in (cut.value, cut.high, cut.low))
    return Answer(
        cut.what.replace("cut of the torque", "torque"),
        value, "N m", low, high, cut.limiting,
        (f"the book's {torque_nm:g} N m is for {was}", *cut.assumptions),
        cut.sources, cut.cautions,
    )  # fmt: skip


_SEATS = {
    "gasket": "gasket", "flat": "gasket", "washer": "gasket", "gasket seat": "gasket",
    "taper": "taper", "conical": "taper", "tapered": "taper", "cone": "taper",
    "taper seat": "taper",
}  # fmt: skip

_METALS = {
    "aluminium": "aluminium", "aluminum": "aluminium", "alloy": "aluminium",
    "light alloy": "aluminium", "aluminium alloy": "aluminium",
    "iron": "cast iron", "cast iron": "cast iron", "steel": "steel", "sheet steel": "steel",
}  # fmt: skip

_PLUGS = {"new": "new", "used": "used", "old": "used", "refitted": "used"}


def _known(what: str, text: str | None, words: Mapping[str, str]) -> str:
    found = words.get(fold(text or ""))
    if found is None:
        said = "not said" if not (text or "").strip() else f"{(text or '').strip()!r} is not known"
        names = ", ".join(dict.fromkeys(words.values()))
        raise BadValue(f"{what} {said}; there are: {names}")
    return found


def _size(text: str) -> tuple[str, str | None]:
    """Return the thread of a plug, as ``M14`` and the pitch if it was said."""
    found = re.fullmatch(
        r"\s*m? ?(\d{1,2})(?:[.,]0)?(?: ?mm)?(?:\s*x\s*(\d(?:[.,]\d+)?)(?: ?mm)?)?\s*",
        units.level(text),
        re.IGNORECASE,
    )
    if found is None and re.search(r"\d ?/ ?\d", text):
        raise BadValue(
            f"no published torque for an inch spark plug, {text.strip()!r}: its maker's figure, or "
            "the turn after finger tight"
        )
    if found is None:
        raise BadValue(f"thread {text.strip()!r}: write it as M14 or M14x1.25")
    return f"M{found[1]}", found[2] and f"{float(units.value(found[2])):g}"


def spark_plug(
    thread: str, *, seat: str | None = None, head: str | None = None, plug: str = "new"
) -> Answer:
    """Return the torque of a spark plug, N m, on dry threads.

    ``thread`` is M8, M10, M12, M14 or M18; ``seat`` gasket or taper (conical), ``head`` aluminium
    or cast iron: both change the figure, so both must be said. ``plug`` is new or used; the torque
    is the same, the turn without a wrench (`spark_plug_turn`) is not. From a plug maker's chart.

    Raises `BadValue` for a thread, seat or metal that the chart does not have.
    """
    size, pitch = _size(thread)
    of_seat, metal = _known("seat", seat, _SEATS), _known("metal of the head", head, _METALS)
    _known("plug", plug, _PLUGS)
    rows = [row for row in table("torque_plugs") if row["thread"] == size]
    if not rows:
        sizes = ", ".join(dict.fromkeys(row["thread"] for row in table("torque_plugs")))
        raise BadValue(f"no published torque for a spark plug {size}; there are: {sizes}")
    if pitch is not None and pitch != rows[0]["pitch_mm"]:
        raise BadValue(f"spark plugs {size} have a pitch of {rows[0]['pitch_mm']}, not {pitch}")
    for row in rows:
        if (row["seat"], row["head"]) == (of_seat, metal):
            low, high = _nm(row)
            turn = spark_plug_turn(seat=of_seat, plug=plug)
            return Answer(
                f"spark plug {size}, {of_seat} seat, {metal} head",
                (low + high) / 2, "N m", low, high, f"the thread in the {metal} head",
                ("threads dry and clean, as the chart has them", "engine cold"),
                ("plug-guide", "plug-turns", "plug-notes"),
                (
                    "Do not oil or grease the threads: the figure is for dry ones and would then "
                    "over-tighten.",
                    "By hand until it seats, the plug straight; without a torque wrench then "
                    f"{_ends(turn.low, turn.high)} of a turn.",
                    GENERAL,
                ),
            )  # fmt: skip
    has = "; ".join(f"{row['seat']} seat, {row['head']}" for row in rows)
    raise BadValue(f"no published figure for {size}, {of_seat} seat, {metal} head; there is: {has}")


def spark_plug_turn(*, seat: str | None = None, plug: str | None = None) -> Answer:
    """Return the turn of a spark plug after finger tight, in turns, without a torque wrench.

    A new gasket is crushed: half to three quarters; one crushed before 1/12; a taper 1/16. Raises
    `BadValue` where seat or plug is not said.

    A new gasket is crushed by half a turn to three quarters:

    >>> turn = spark_plug_turn(seat="gasket", plug="new")
    >>> turn.low, turn.high
    (0.5, 0.75)
    """
    of_seat, of_plug = _known("seat", seat, _SEATS), _known("plug, new or used,", plug, _PLUGS)
    for row in table("torque_plug_turns"):
        if (row["seat"], row["plug"]) == (of_seat, of_plug):
            low, high = float(Fraction(row["low_turn"])), float(Fraction(row["high_turn"]))
            return Answer(
                f"turn after finger tight, {of_plug} spark plug, {of_seat} seat",
                (low + high) / 2, "turn", low, high,
                "how far the gasket is crushed" if of_seat == "gasket" else "the taper, which jams",
                (
                    f"{_ends(low, high)} of a turn, {_degrees(low, high)} degrees",
                    "finger tight: seated by hand, threads dry and clean",
                ),
                ("plug-turns",), (GENERAL,),
            )  # fmt: skip
    raise BadValue(f"no published turn for a {of_plug} plug with a {of_seat} seat")


def _ends(low: float, high: float) -> str:
    ends = [str(Fraction(end).limit_denominator(16)) for end in (low, high)]
    return " to ".join(dict.fromkeys(ends))


def _degrees(low: float, high: float) -> str:
    return " to ".join(dict.fromkeys(f"{360 * end:g}" for end in (low, high)))


def _nm(*rows: Mapping[str, str]) -> tuple[float, float]:
    ends = [
        float(units.convert(Fraction(row[end]), row["unit"], "N m"))
        for row in rows
        for end in ("low", "high")
    ]
    return min(ends), max(ends)


def fixing_kinds() -> tuple[str, ...]:
    """Return the kinds of engine fixing that have figures."""
    return tuple(dict.fromkeys(row["kind"] for row in table("torque_fixings")))


def fixing(
    kind: str, thread: str | None = None, *, metal: str | None = None, item: str | None = None
) -> Answer:
    """Return the torque, N m, of a fixing of an engine: ``case cover``, ``cylinder head nut`` ...

    ``thread``, ``metal`` of the part it goes into and ``item`` (``pump cover``) narrow it down; the
    range holds all figures that are left. A pitch may be left out. One service manual's figures,
    and common practice. Raises `BadValue` where nothing is on record.
    """
    word = fold(kind)
    rows = [row for row in table("torque_fixings") if row["kind"] == word]
    if not rows:
        raise BadValue(f"no figures for {kind.strip()!r}; there are for: {_list(fixing_kinds())}")
    for what, text, column in (
        ("metal", metal and _known("metal", metal, _METALS), "metal"),
        ("item", item and fold(item), "item"),
    ):
        if text:
            left = [row for row in rows if row[column] == text]
            if not left:
                has = _list(dict.fromkeys(row[column] or "not said" for row in rows))
                raise BadValue(f"{word}, {what} {text}: no figure; there is one for: {has}")
            rows = left
    if thread is not None:
        left = [row for row in rows if _same_thread(row["thread"], thread)]
        if not left:
            has = _list(dict.fromkeys(row["thread"] for row in rows))
            raise BadValue(f"{word} {thread.strip()}: no figure; there is one for: {has}")
        rows = left
    elif len({row["thread"] for row in rows}) > 1:
        has = _list(dict.fromkeys(row["thread"] for row in rows))
        raise BadValue(f"{word}: which thread? there are figures for: {has}")
    low, high = _nm(*rows)
    told = [f"{row['item'] or word}: {row['source']}" for row in rows]
    told += [row["note"] for row in rows if row["note"]]
    if states := {row["state"] for row in rows if row["state"]}:
        told.append(f"thread {', '.join(sorted(states))}")
    else:
        told.append("dry or oiled is not in the source")
    metals = _list(dict.fromkeys(row["metal"] for row in rows if row["metal"]))
    return Answer(
        f"{word} {rows[0]['thread']}" + (f", {metals}" if metals else ""),
        (low + high) / 2, "N m", low, high,
        f"the thread in the {metals}" if metals else "the bolt, and what it clamps",
        tuple(dict.fromkeys(told)), tuple(dict.fromkeys(row["key"] for row in rows)), (GENERAL,),
    )  # fmt: skip


def _list(names: Sequence[str] | Mapping[str, object]) -> str:
    return ", ".join(names)


def _same_thread(have: str, asked: str) -> bool:
    have, asked = (
        "".join(units.level(t).upper().replace(",", ".").split()).replace("BSP", "G")
        for t in (have, asked)
    )
    if asked.endswith("G"):
        asked = "G" + asked[:-1]
    if have == asked:
        return True
    # A drain plug's pitch is seldom known; where both say it, it must be the same.
    base, _, pitch = have.partition("X")
    asked_base, _, asked_pitch = asked.partition("X")
    return base == asked_base and not (pitch and asked_pitch)


def drain_plug(thread: str, *, case: str | None = None, place: str | None = None) -> Answer:
    """Return the torque of a drain plug, N m, by its thread and the metal of the case.

    ``case`` is aluminium, cast iron or steel and must be said; ``place`` (crankcase, gear case)
    narrows it where the source says. Raises `BadValue` for a thread or metal with no figure.
    """
    if not (case or "").strip():
        raise BadValue("metal of the case not said; there are: aluminium, cast iron, steel")
    found = fixing("drain plug", thread, metal=case, item=place)
    return Answer(
        found.what, found.value, found.unit, found.low, found.high, found.limiting,
        found.assumptions, found.sources,
        (
            "A new sealing washer, then the low end; more only if it weeps. A thread that has been "
            "pulled before takes less.",
            *found.cautions,
        ),
    )  # fmt: skip
