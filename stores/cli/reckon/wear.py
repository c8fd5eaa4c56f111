"""Fits and wear: ISO 286, a reading against its limit, a bore from its readings."""

import re
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import amount, answer_data, cautions, row, sources
from stores.errors import BadValue, NotationError

if TYPE_CHECKING:
    from stores.handbook.wear import Finding

__all__ = ["finding_data", "read_bore", "show_finding"]


def _mm(text: str) -> float | None:
    return amount(text, units.Kind.LENGTH, "mm") if text else None


@command(
    "fit",
    "stores reckon fit 12 H7/k6",
    "stores reckon fit 20 h6",
    group=reckon_commands,
)
def fit(
    words: Annotated[
        list[str], typer.Argument(metavar="SIZE CLASS", help="12 H7/k6; or one class, 20 h6.")
    ],
    json: AsJson = False,
) -> None:
    """Limits and fits of ISO 286: clearance of a pair, limits of one part."""
    from stores.handbook.wear import deviations
    from stores.handbook.wear import fit as fit_of

    text = " ".join(words)
    one = re.fullmatch(r"\s*(\S+)\s*(?:mm\s*)?\s+([A-Za-z]{1,2}\d{1,2})\s*", text)
    if one:
        found = deviations(one[2], amount(one[1], units.Kind.LENGTH, "mm"))
        low, high = found.limits_mm
        if json:
            show.as_json({"deviations": found, "limits_mm": [low, high]})
            return
        kind = "hole" if found.hole else "shaft"
        show.say(f"{kind} {found.size_mm:g} {found.name}: {low:.4f} to {high:.4f} mm")
        row("deviation", f"{found.lower_um:+g} to {found.upper_um:+g} um")
        sources(("iso-286",))
        return
    answer = fit_of(text)
    if json:
        show.as_json(answer_data(answer))
        return
    show.say(f"{answer.what}: {_micrometres(answer.low)} to {_micrometres(answer.high)}")
    row("", f"{answer.low / 1000:+.4f} to {answer.high / 1000:+.4f} mm")
    row("hangs on", answer.limiting)
    row("assuming", "; ".join(answer.assumptions))
    sources(answer.sources)
    cautions(answer.cautions)


def _micrometres(value: float) -> str:
    word = "clearance" if value >= 0 else "interference"
    return f"{abs(value):g} um {word}"


@command(
    "wear",
    "stores reckon wear 19.91 --nominal 20 --limit 19.90",
    "stores reckon wear 0.28 --limit 0.30 --larger",
    group=reckon_commands,
)
def wear(
    reading: Annotated[str, typer.Argument(metavar="MM", help="What was measured.")],
    nominal: Annotated[
        str, typer.Option("--nominal", metavar="MM", help="The size when new.")
    ] = "",
    limit: Annotated[str, typer.Option("--limit", metavar="MM", help="The maker's limit.")] = "",
    larger: Annotated[
        bool | None,
        typer.Option("--larger/--smaller", help="Which way wear goes, where it is not clear."),
    ] = None,
    off: Annotated[
        str,
        typer.Option(
            "--off", metavar="MM", help="Standard uncertainty of the tool: 0.005 micrometer."
        ),
    ] = "0.005",
    json: AsJson = False,
) -> None:
    """A reading against nominal and limit: how far it is worn, and what is left.

    To put the verdict into the record: stores inspect 7.2 --reading 19.91 --limit 19.90.
    """
    from stores.handbook.wear import judge

    value = _mm(reading)
    if value is None:
        raise BadValue("say what was measured: 19.91")
    new = _mm(nominal)
    if new and not 0.5 * new <= value <= 2 * new:
        raise BadValue(f"{value:g} mm against {new:g} when new: misread, or another part")
    found = judge(
        "reading",
        value,
        nominal_mm=new,
        limit_mm=_mm(limit),
        grows=larger,
        sigma_mm=_mm(off) or 0.005,
    )
    if json:
        show.as_json(finding_data(found))
        return
    show_finding(found)
    sources(found.reading.sources)
    cautions(found.reading.cautions)


def show_finding(found: "Finding") -> None:
    """Show a verdict on a reading."""
    show.paragraph(f"{found.verdict}: {found.reason}", rest="  ")
    if found.share is not None:
        row("worn", f"{found.worn_mm:.3f} mm, {100 * found.share:.0f} % of what is allowed")
    row("range", f"{found.reading.low:.3f} to {found.reading.high:.3f} mm")
    row("assuming", "; ".join(found.reading.assumptions))


def finding_data(found: "Finding") -> dict[str, Any]:
    """Give a verdict for another program."""
    data: dict[str, Any] = show.plain(found)
    data["reading"] = answer_data(found.reading)
    return data


def read_bore(texts: list[str]) -> dict[str, dict[str, float]]:
    """Read bore readings by height: ``top 47.52 47.55`` is along and across the crank."""
    readings: dict[str, dict[str, float]] = {}
    for text in texts:
        for part in re.split(r"[;,](?!\d)", text):
            height, *sizes = part.split()[:1] + part.split()[1:] if part.strip() else [""]
            if not height or not sizes or height[0].isdigit() or len(sizes) > 6:
                raise NotationError("write a height and its readings: top 47.52 47.55", text)
            names = ["along", "across", "third", "fourth", "fifth", "sixth"]
            readings[height] = {
                name: amount(size, units.Kind.LENGTH, "mm")
                for name, size in zip(names, sizes, strict=False)
            }
    return readings


@command(
    "bore",
    'stores reckon bore "top 47.55 47.58" "middle 47.53 47.54" --nominal 47.5',
    group=reckon_commands,
)
def bore(
    heights: Annotated[
        list[str],
        typer.Argument(
            metavar="HEIGHT", help='Readings at a height, along and across: "top 47.52 47.55".'
        ),
    ],
    nominal: Annotated[
        str, typer.Option("--nominal", metavar="MM", help="The bore when new.")
    ] = "",
    stroke: Annotated[
        str, typer.Option("--stroke", metavar="MM", help="The stroke, for the taper allowed.")
    ] = "",
    limit: Annotated[
        str, typer.Option("--limit", metavar="MM", help="The maker's largest bore.")
    ] = "",
    oval: Annotated[
        str, typer.Option("--oval", metavar="MM", help="The maker's limit of ovality.")
    ] = "",
    taper: Annotated[
        str, typer.Option("--taper", metavar="MM", help="The maker's limit of taper.")
    ] = "",
    piston: Annotated[
        str,
        typer.Option(
            "--piston", metavar="MM", help="The piston at its skirt: gives the clearance."
        ),
    ] = "",
    off: Annotated[
        str, typer.Option("--off", metavar="MM", help="Standard uncertainty of the tool.")
    ] = "0.005",
    json: AsJson = False,
) -> None:
    """Ovality, taper and wear of a bore from its readings at several heights.

    Where the maker's limit is left out a rule of other engines stands in, and says so.
    """
    from stores.handbook.wear import clearance, measure_bore

    refuse_options(heights)
    found = measure_bore(
        read_bore(heights),
        nominal_mm=_mm(nominal),
        stroke_mm=_mm(stroke),
        wear_limit_mm=_mm(limit),
        ovality_limit_mm=_mm(oval),
        taper_limit_mm=_mm(taper),
        sigma_mm=_mm(off) or 0.005,
    )
    skirt = _mm(piston)
    gap = None if skirt is None else clearance(found.smallest_mm, skirt)
    if json:
        show.as_json(
            {
                "largest_mm": found.largest_mm,
                "smallest_mm": found.smallest_mm,
                "ovality": answer_data(found.ovality) if found.ovality else None,
                "taper": answer_data(found.taper) if found.taper else None,
                "clearance": answer_data(gap) if gap else None,
                "verdicts": [finding_data(each) for each in found.verdicts],
            }
        )
        return
    show.say(f"bore {found.smallest_mm:.3f} to {found.largest_mm:.3f} mm")
    if found.ovality:
        row("ovality", f"{found.ovality.value:.3f} mm, at {found.ovality_at}")
    if found.taper:
        row("taper", f"{found.taper.value:.3f} mm, {found.taper_at} the bore")
    if gap:
        row("clearance", f"{gap.value:.3f} mm ({gap.low:.3f} to {gap.high:.3f}) on the piston")
    for each in found.verdicts:
        # The rule of another engine is a sense check, no verdict.
        ruled = "tm-10-3930" in each.reading.sources
        row("by rule" if ruled else str(each.verdict), each.reason)
    if not found.verdicts:
        row("verdict", "none: say --nominal, or the maker's limits")
    if any("tm-10-3930" in each.reading.sources for each in found.verdicts):
        row("assuming", "where no maker's limit is given, the rule of a heavy engine stands in")
    keys = [key for each in found.verdicts for key in each.reading.sources]
    answers = [each for each in (found.ovality, found.taper, gap) if each]
    sources([*keys, *(key for answer in answers for key in answer.sources)] or ["wear-practice"])
    cautions(text for answer in answers for text in answer.cautions)
