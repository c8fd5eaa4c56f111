"""Oiled or plated against a dry figure: by how much the torque comes down."""

from typing import TYPE_CHECKING

from stores.errors import BadValue, NotFound
from stores.handbook.answer import Answer, above_zero
from stores.handbook.bench_rules.model import GENERAL
from stores.handbook.table import table
from stores.text import fold

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = ["dry_to_oiled", "finish_factor", "finishes", "lubrication_cut", "with_spring_washer"]


_MEAN_OF_D = 1.28  # as M6 to M24 hexagon heads on medium holes have it (ISO 4014, ISO 273)


def lubrication_cut(
    thread: "str | Thread", to: str | None = None, *, was: str = "dry", stainless: bool = False
) -> Answer:
    """Give by how much, per cent, a torque comes down when the thread is no longer as it was.

    ``to`` and ``was`` are states of `stores.handbook.torque.friction`: dry, oiled, greased,
    anti-seize, plated, cadmium ... The same preload is wanted. The range covers the ratios of usual
    friction, of the low ends, of the high ends, and the cuts in print; the figure is its middle.
    Below zero the torque goes up.

    Raises `BadValue` where ``to`` is not said, or no friction is on record for a state.
    """
    from stores.handbook.thread import get
    from stores.handbook.torque import bearing, friction
    from stores.handbook.torque.formulas import coefficient_mm

    if to is None:
        raise BadValue("oiled, greased, anti-seize or plated? say what the thread is now")
    screw = get(thread) if isinstance(thread, str) else thread
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
            f"Put on at the figure for {old.state}, the bolt might be pulled up to {more:.1f} "
            "times as hard.",
        )
    if new.note:
        cautions.insert(0, f"{new.state}: {new.note}.")
    return Answer(
        f"cut of the torque, {screw.designation}, {old.state} to {new.state}",
        middle, "%", min(cuts), max(cuts),
        "friction as it is, which nobody knows beforehand",
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
    """Give the torque, N m, to use on an oiled, greased or plated thread where the book says dry.

    The preload stays as it was; see `lubrication_cut`. Raises `BadValue` for a torque not above 0
    or over 10000 N m, and as `lubrication_cut` does.
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


def with_spring_washer(torque_nm: float) -> Answer:
    """Give the torque, N m, of a joint with a spring washer, from a dry figure without one: x 0.85.

    One vehicle workshop manual's note. Raises `BadValue` for a torque not above 0 or over 10000.
    """
    above_zero("torque", torque_nm, "N m", 10000)
    row = next(row for row in table("torque_cuts") if row["words"] == "spring washer")
    low, high = (torque_nm * (1 - float(row[end]) / 100) for end in ("high_percent", "low_percent"))
    return Answer(
        "torque with a spring washer", (low + high) / 2, "N m", low, high, "the spring washer",
        (f"the book's {torque_nm:g} N m is for dry threads and no spring washer",),
        (row["key"],), (GENERAL,),
    )  # fmt: skip


def finishes() -> tuple[str, ...]:
    """Give the finishes of nut and bolt that `finish_factor` knows."""
    rows = table("torque_finishes")
    return tuple(dict.fromkeys(row[part] for part in ("bolt", "nut") for row in rows))


_SAME = {
    "none": "self", "plain": "self", "black": "self", "phosphated": "phosphate",
    "phosphate and oil": "phosphate", "zinc plated": "zinc", "cadmium plated": "cadmium",
    "zinc and wax": "waxed zinc",
}  # fmt: skip


def finish_factor(nut: str, bolt: str) -> Answer:
    """Give what a torque for friction 0.14 is multiplied by, for the finish of nut and bolt.

    A fastener stockist's table; ``finishes`` lists the words. Raises `BadValue` for a pair that is
    not in it.
    """
    pair = []
    for text in (nut, bolt):
        word = " ".join(text.lower().replace("-", " ").split())
        word = _SAME.get(word, word)
        if word not in finishes():
            raise BadValue(f"no finish {text.strip()!r}; known are: {', '.join(finishes())}")
        pair.append(word)
    for row in table("torque_finishes"):
        if [row["nut"], row["bolt"]] == pair:
            factor = float(row["factor"])
            return Answer(
                f"factor on the torque, nut {pair[0]}, bolt {pair[1]}",
                factor, "", factor * 0.75, factor * 1.25,
                "scatter of a torque wrench, a quarter either way",
                ("times the torque for friction 0.14 at 90 % of the yield",
                 "which finish is the nut's is read from the layout of the table"),
                ("finish-table", "nasa-106943"), (GENERAL,),
            )  # fmt: skip
    raise BadValue(f"no figure in print for a nut {pair[0]} on a bolt {pair[1]}")
