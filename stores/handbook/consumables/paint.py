"""Paint: how far it goes, the wet film, what to buy, and parts to mix."""

import re
from fractions import Fraction

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, above_zero, between
from stores.text import plural

__all__ = [
    "LOSSES",
    "Parts",
    "mix",
    "paint_to_buy",
    "practical_rate",
    "read_parts",
    "wet_film",
]

LOSSES = {
    "brush": (0.05, 0.10, 0.15),
    "roller": (0.10, 0.15, 0.20),
    "airless": (0.30, 0.35, 0.40),
    "gun": (0.30, 0.40, 0.50),
}
"""Paint lost by the way it is put on: least, usual and most. Roller and airless: one trade page;
gun on small parts and brush: common practice."""

_CAUTIONS = (
    "flammable: no flame, no sparks, air the place; wet rags in a lidded metal bin, out of doors",
    "two-pack hardeners hold isocyanates: an air-fed hood, never a cartridge mask; in the "
    "EU trained "
    "users only in professional work, but it harms anybody",
    "the maker's data sheet has the volume solids, the film and the thinner; its safety "
    "sheet first",
    "leftovers to the hazardous waste point, by local rules; never in the drain",
)
_MOST_UM = 2000.0


def _solids(percent: float) -> float:
    return between("volume solids", percent, "%", 1.0, 100.0)


def _dry(um: float) -> float:
    return above_zero("dry film", um, "um", _MOST_UM)


def practical_rate(
    solids_percent: float, dry_um: float, loss: float | None = None, way: str = "gun"
) -> Answer:
    """Return how far a litre goes in practice, m2/l: the theory less what is lost.

    Args:
        solids_percent: solids by volume [%].
        dry_um: dry film wanted [um], up to 2000.
        loss: of the paint, 0 to 0.9; where it is not said, that of the way.
        way: brush, roller, airless or gun.

    >>> practical_rate(65, 125, 0.4).value
    3.12
    """
    theory = 10 * _solids(solids_percent) / _dry(dry_um)
    least, lost, most, said = _loss(loss, way)
    return Answer(
        "spreading rate in practice", theory * (1 - lost), "m2/l", theory * (1 - most),
        theory * (1 - least), "what is lost", (said, _ROUGH), ("paint-rate", "paint-loss"),
        _CAUTIONS,
    )  # fmt: skip


_ROUGH = "edges, tubes and pitted faces take more"


def _loss(loss: float | None, way: str) -> tuple[float, float, float, str]:
    if loss is not None:
        between("loss", loss, "", 0.0, 0.9)
        return loss, loss, loss, f"{100 * loss:.0f} % lost"
    if way not in LOSSES:
        raise BadValue(f"no way to put on paint {way!r}: known are {', '.join(LOSSES)}")
    least, lost, most = LOSSES[way]
    return least, lost, most, f"{100 * least:.0f} to {100 * most:.0f} % lost by {way}"


def wet_film(solids_percent: float, dry_um: float, thinner: float = 0.0) -> Answer:
    """Return the wet film that dries to a film, um: 100 x dry / solids.

    Args:
        solids_percent: solids by volume of the paint as bought [%].
        dry_um: dry film wanted [um], up to 2000.
        thinner: parts of thinner to one of paint, 0 to 2.

    >>> round(wet_film(65, 100).value, 1)
    153.8
    """
    solids = _solids(solids_percent) / (1 + between("thinner", thinner, "of the paint", 0.0, 2.0))
    um = 100 * _dry(dry_um) / solids
    thinned = (
        (f"thinned by {100 * thinner:.0f} %: {solids:.1f} % solids",)
        if thinner
        else ("not thinned",)
    )
    return Answer("wet film", um, "um", um, um, "the volume solids", thinned, ("paint-rate",),
                  _CAUTIONS[2:3])  # fmt: skip


def paint_to_buy(
    area_m2: float,
    coats: int,
    solids_percent: float,
    dry_um: float,
    loss: float | None = None,
    way: str = "gun",
) -> Answer:
    """Return the paint for so many coats, ml, before thinning.

    Args:
        area_m2: area to paint, all sides [m2].
        coats: how many coats, 1 to 20.
        solids_percent: solids by volume [%].
        dry_um: dry film of one coat [um], up to 2000.
        loss: of the paint, 0 to 0.9; where it is not said, that of the way.
        way: brush, roller, airless or gun.

    >>> round(paint_to_buy(1.2, 2, 45, 40, 0.4).value, 1)
    355.6
    """
    above_zero("area", area_m2, "m2", 10_000.0)
    between("coats", coats, "", 1, 20)
    theory = 10 * _solids(solids_percent) / _dry(dry_um)
    least, lost, most, said = _loss(loss, way)
    net = 1000 * area_m2 * coats / theory
    return Answer(
        "paint", net / (1 - lost), "ml", net / (1 - least), net / (1 - most), "what is lost",
        (said, f"{plural(coats, 'coat')} of {dry_um:g} um dry", _ROUGH,
         "paint as bought, before thinning"),
        ("paint-rate", "paint-loss"), _CAUTIONS,
    )  # fmt: skip


Parts = tuple[Fraction, ...]
"""Parts by volume, as the tin has them: paint, hardener, thinner."""

_NAMES = ("paint", "hardener", "thinner")


def read_parts(text: str) -> Parts:
    """Read parts to mix: ``4:1:1``, ``2:1 + 10 % of the paint``, ``2:1 + 10 % of the mix``.

    The mix is paint and hardener together, before the thinner.

    Raises `NotationError` for what is none; `BadValue` for ``2:1 + 10 %``, which is read two ways,
    and for parts beyond reason.

    >>> [str(part) for part in read_parts("2:1 + 10 % of the mix")]
    ['2', '1', '3/10']
    """
    plain = units.level(text).casefold().strip()
    parts, _, more = plain.partition("+")
    figures = [figure.strip() for figure in re.split(r":|\bto\b|/", parts)]
    if not 2 <= len(figures) <= 4 and not (more and len(figures) == 1):
        raise NotationError("cannot read the parts; write them as 4:1:1", text)
    try:
        found = tuple(units.value(figure) for figure in figures)
    except NotationError:
        raise NotationError("cannot read the parts; write them as 4:1:1", text) from None
    if not all(0 < part <= 1000 for part in found):
        raise BadValue(f"{text.strip()!r}: expected parts above 0 and up to 1000")
    return (*found, _thinner(more, found, text)) if more else found


def _thinner(more: str, found: Parts, text: str) -> Fraction:
    """Return the parts of thinner that a share says: of the paint, or of the mix."""
    share = re.fullmatch(
        rf"\s*(?P<share>{units.NUMBER})\s*(?:%|per\s*cent)\s*(?:thinners?\s*)?"
        r"(?:of\s+(?:the\s+)?(?P<of>paint|base|mix(?:ture)?|lot|whole))?\s*",
        more,
    )
    if share is None:
        raise NotationError("cannot read the thinner; write it as + 10 % of the paint", text)
    if len(found) > 1 and not share["of"]:
        rest = text.strip()
        raise BadValue(
            f"{rest}: of the paint, or of paint and hardener together? "
            f"write {rest} of the paint, or {rest} of the mix"
        )
    part = units.value(share["share"]) / 100
    if not 0 < part <= 2:
        raise BadValue(f"{text.strip()!r}: expected thinner above 0 and up to 200 %")
    of_paint = share["of"] in (None, "paint", "base")
    return part * (found[0] if of_paint else sum(found, Fraction(0)))


def mix(ready_ml: float, parts: Parts, names: tuple[str, ...] = _NAMES) -> tuple[Answer, ...]:
    """Return what to pour of each part for so much ready to use, ml.

    Args:
        ready_ml: mix wanted [ml], up to 100 000.
        parts: parts by volume, in order of ``names``.
        names: what the parts are.

    >>> [round(one.value) for one in mix(300, read_parts("4:1:1"))]
    [200, 50, 50]
    """
    above_zero("mix", ready_ml, "ml", 100_000.0)
    whole = sum(parts, Fraction(0))
    if len(parts) < 2 or not all(part > 0 for part in parts):
        raise BadValue("expected two parts or more, all above 0")
    called = [*names[: len(parts)], *(f"part {at + 1}" for at in range(len(names), len(parts)))]
    if len(parts) == 2 and names is _NAMES:
        called = ["first part", "second part"]
    made = []
    for name, part in zip(called, parts, strict=True):
        ml = float(Fraction(ready_ml) * part / whole)
        made.append(
            Answer(name, ml, "ml", 0.98 * ml, 1.02 * ml, "the measuring",
                   ("parts by volume, not by weight", "measured to 2 %",
                    "mix no more than the pot life allows"), ("arithmetic",), _CAUTIONS)
        )  # fmt: skip
    return tuple(made)
