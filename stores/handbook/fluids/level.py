"""How much a case holds, filled to a plug or a mark, and how much to add when it is low or high."""

from stores.handbook.answer import Answer, between, not_negative
from stores.handbook.fluids.shapes import Shape, corners, depth_of
from stores.handbook.table import table

__all__ = ["capacity", "correct_level", "expansion", "fill_to_plug", "level_of"]

MEASURE_OFF_MM = 1.0
MOST_ML = 300_000.0

_GEOMETRY = "the case is as regular as the shape, inside measures, standing level"
_OIL_CAUTION = (
    "a figure from geometry is a first fill only: fill short, let it settle, "
    "then go by the maker's plug, dipstick or mark",
)


def capacity(
    shape: Shape,
    depth_mm: float | None = None,
    *,
    off_mm: float = MEASURE_OFF_MM,
    displaced_ml: float = 0.0,
) -> Answer:
    """Give what a shape holds up to a depth in mm (full without one), in ml.

    ``off_mm``, 0 to 20, is how far each inside measure and the depth may be off; the range is over
    all of them at once. ``displaced_ml`` is what gears, shafts and baffles below the level take up.

    Raises `BadValue` for a depth outside the shape, or more displaced than it holds.
    """
    between("measure off by", off_mm, "mm", 0.0, 20.0)
    depth = shape.height_mm if depth_mm is None else depth_mm
    gross = shape.volume_ml(depth)
    between("displaced volume", displaced_ml, "ml", 0.0, gross)

    def low_fill(each: Shape) -> float:
        wanted = each.height_mm if depth_mm is None else depth - off_mm
        return each.volume_ml(min(max(0.0, wanted), each.height_mm))

    def high_fill(each: Shape) -> float:
        wanted = each.height_mm if depth_mm is None else depth + off_mm
        return each.volume_ml(min(wanted, each.height_mm))

    low = corners(shape, off_mm, low_fill)[0]
    high = corners(shape, off_mm, high_fill)[1]
    value = gross - displaced_ml
    assumptions = [_GEOMETRY, f"measures good to {off_mm:g} mm"]
    assumptions.append(
        f"{displaced_ml:g} ml taken up by parts below the level" if displaced_ml
        else "nothing inside takes up room"
    )  # fmt: skip
    return Answer(
        "capacity", value, "ml", max(0.0, min(low - displaced_ml, value)),
        max(high - displaced_ml, value), "the inside measures", tuple(assumptions),
        ("geometry",), _OIL_CAUTION,
    )  # fmt: skip


def fill_to_plug(
    shape: Shape, plug_mm: float, *, off_mm: float = MEASURE_OFF_MM, displaced_ml: float = 0.0
) -> Answer:
    """Give what fills a case until it runs out of a level plug, ml.

    ``plug_mm`` is the height of the lower edge of the plug's hole above the lowest point inside:
    oil runs out over that edge, not over the middle of the hole.
    """
    found = capacity(shape, plug_mm, off_mm=off_mm, displaced_ml=displaced_ml)
    return Answer(
        "fill to the level plug", found.value, "ml", found.low, found.high,
        "the height of the plug's lower edge",
        (*found.assumptions, "measured to the lower edge of the hole"), found.sources,
        found.cautions,
    )  # fmt: skip


def correct_level(
    shape: Shape, now_mm: float, wanted_mm: float, *, off_mm: float = MEASURE_OFF_MM
) -> Answer:
    """Give what to add (above zero) or draw off (below zero) to bring a level to another, ml.

    The range is that of both levels read wrong by ``off_mm``, opposite ways.
    """
    between("level off by", off_mm, "mm", 0.0, 20.0)
    value = shape.volume_ml(wanted_mm) - shape.volume_ml(now_mm)

    def at(depth: float) -> float:
        return shape.volume_ml(min(max(0.0, depth), shape.height_mm))

    low = at(wanted_mm - off_mm) - at(now_mm + off_mm)
    high = at(wanted_mm + off_mm) - at(now_mm - off_mm)
    return Answer(
        "add" if value >= 0 else "draw off", value, "ml", min(low, value), max(high, value),
        "the reading of the level", (_GEOMETRY, f"levels read to {off_mm:g} mm"), ("geometry",),
        ("add in small amounts and wait: thick oil takes minutes to find its level",),
    )  # fmt: skip


def level_of(shape: Shape, volume_ml: float, *, off_mm: float = MEASURE_OFF_MM) -> Answer:
    """Give the level, mm above the lowest point inside, at which a shape holds a volume.

    The range is over all inside measures off by ``off_mm``, 0 to 20, at once; a case that is
    smaller than measured stands full where it would run over.

    Raises `BadValue` for more than the shape holds.
    """
    between("measure off by", off_mm, "mm", 0.0, 20.0)

    def depth(each: Shape) -> float:
        return depth_of(each, min(volume_ml, each.volume_ml(each.height_mm)))

    value = depth_of(shape, volume_ml)
    low, high = corners(shape, off_mm, depth)
    return Answer(
        "level", value, "mm", min(low, value), max(high, value), "the inside measures",
        (_GEOMETRY, f"measures good to {off_mm:g} mm", "nothing inside takes up room"),
        ("geometry",), _OIL_CAUTION,
    )  # fmt: skip


def expansion(volume_ml: float, from_c: float, to_c: float) -> Answer:
    """Give how much mineral oil grows (shrinks below zero) between two temperatures, ml.

    dV = V beta dT, with beta about 0.0007 per C, 10 per cent either way assumed. Temperatures -40
    to 200 C. Source: online engineering handbook, thermal expansion of oil.
    """
    not_negative("volume", volume_ml, "ml", MOST_ML)
    for each in (from_c, to_c):
        between("temperature", each, "C", -40.0, 200.0)
    row = next(r for r in table("fluids_properties") if r["property"] == "expansion")
    low_beta, high_beta = float(row["low"]), float(row["high"])
    step = volume_ml * (to_c - from_c)
    ends = sorted((step * low_beta, step * high_beta))
    return Answer(
        "expansion", step * 0.0007, "ml", ends[0], ends[1], "the oil's own coefficient",
        ("mineral oil, 0.0007 per C",), ("oil-expansion",),
        ("set a level at the temperature the maker states",),
    )  # fmt: skip
