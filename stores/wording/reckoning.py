"""The calculators' answers in words: the figure first, then what it hangs on, sources, cautions."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stores import units
from stores.wording import Line, Lines

if TYPE_CHECKING:
    from stores.usecases.reckoning import CompressionTest, TighteningOrder

__all__ = ["HINTS", "REFUSALS", "cautions", "compression_test", "row", "tightening_order"]

REFUSALS: dict[str, str] = {}
HINTS: dict[str, str] = {}

_LABEL = 12


def row(label: str, text: str) -> Line:
    """Return a labelled line, wrapped under itself."""
    return Line(text, f"  {label:<{_LABEL}}", " " * (_LABEL + 2))


def cautions(texts: Iterable[str]) -> list[Line]:
    """Return cautions, each once."""
    return [Line(text[:1].upper() + text[1:], "! ", "  ") for text in dict.fromkeys(texts)]


def compression_test(reply: "CompressionTest", unit: str = "psi") -> Lines:
    """Return a compression test, cylinder by cylinder, and what it points to."""
    lines = []
    for each in reply.cylinders:
        wet = "" if each.wet_kpa_gauge is None else f", wet {_gauge(each.wet_kpa_gauge, unit)}"
        lines.append(
            Line(
                f"cylinder {each.cylinder}: dry {_gauge(each.dry_kpa_gauge, unit)}{wet} {unit}: "
                f"{each.cause}",
                rest="  ",
            )
        )
    if reply.spread_percent is not None:
        lines.append(row("spread", f"{units.plain(reply.spread_percent, 2)} % of the highest"))
    lines += [
        row("so", reply.verdict),
        row("assuming", "; ".join(reply.assumptions)),
        row("source", "; ".join(dict.fromkeys(reply.sources))),
        *cautions(reply.cautions),
    ]
    return Lines(lines)


def _gauge(kilopascals: float, unit: str) -> str:
    return units.plain(units.convert(kilopascals, "kPa", unit), 3)


def tightening_order(reply: "TighteningOrder") -> Lines:
    """Return a joint: its picture, the order with what goes in each hole, the passes."""
    from stores.handbook.tightening.picture import LEGEND, picture

    contents = {hole.hole: hole.goes_in for hole in reply.holes}
    if any(contents.values()):
        turns = "; ".join(
            f"{turn}. h{hole} {contents[hole]}".rstrip() for turn, hole in enumerate(reply.order, 1)
        )
    else:
        turns = " ".join(f"h{hole}" for hole in reply.order)
    lines = [
        *(Line(line, whole=True) for line in picture(reply.plan)),
        Line(LEGEND, "  ", "  "),
        Line(""),
        row("order", turns),
    ]
    for at, each in enumerate(reply.passes, 1):
        share = "" if each.per_cent is None else f"{each.per_cent} %: "
        torque = "" if each.torque_nm is None else f"{each.torque_nm:.10g} N m, "
        lines.append(row(f"pass {at}", f"{share}{torque}{each.what}"))
    if reply.torque_nm is None:
        lines.append(row("", "say --torque to have the passes in N m"))
    return Lines(
        [
            *lines,
            row("assuming", "; ".join(reply.assumptions)),
            row("source", "; ".join(reply.sources)),
            *cautions(reply.cautions),
        ]
    )
