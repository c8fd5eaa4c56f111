"""A thread by its name or by measurement; the options of measuring."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = ["Angle", "Bore", "Flats", "Od", "Over", "Pitch", "ToolName"]

Od = Annotated[
    str, typer.Option("--od", metavar="SIZE", help="Measured outside diameter: 5.9, 0.248 in.")
]
Bore = Annotated[
    str, typer.Option("--bore", metavar="SIZE", help="Measured bore of a nut or tapped hole.")
]
Pitch = Annotated[
    str, typer.Option("--pitch", metavar="PITCH", help="By thread gauge: 1.0, 26 tpi.")
]
Over = Annotated[
    str, typer.Option("--over", metavar="SIZE", help='Length over crests: "9.8 over ten".')
]
Flats = Annotated[str, typer.Option("--flats", metavar="SIZE", help="Measured across flats.")]
Angle = Annotated[str, typer.Option("--angle", metavar="DEG", help="Flank angle: 60, 55, 47.5.")]
ToolName = Annotated[
    str, typer.Option("--tool", metavar="TOOL", help="caliper, micrometer or rule.")
]


@command(
    "thread",
    "stores thread 1/4 BSF",
    "stores thread --od 5.9 --pitch 1.0",
    'stores thread --od "0.248 in" --over "9.8 over ten" --flats 10',
    takes_minus=True,
)
def thread(
    name: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="NAME", help="M6, M8x1, 1/4 BSF, 2BA, 1/2 NPT, Tr 20x4.", show_default=False
        ),
    ] = None,
    od: Od = "",
    bore: Bore = "",
    pitch: Pitch = "",
    over: Over = "",
    flats: Flats = "",
    angle: Angle = "",
    head: Annotated[str, typer.Option("--head", help="hex, nut, socket cap ...")] = "",
    tool: ToolName = "",
    evenly: Annotated[
        bool, typer.Option("--evenly", help="Rare threads count as much as common ones.")
    ] = False,
    json: AsJson = False,
) -> None:
    """A thread's sizes, drills and spanners by its name; or which thread it is, by measurement."""
    from stores.usecases.measuring import Measured, identified

    words = list(name or [])
    refuse_options(words)
    measured = Measured(od, bore, pitch, over, flats, angle, tool)
    if words and measured:
        raise BadValue("a name, or what was measured, not both; quote a unit: --od '0.25 in'")
    if not words and not measured:
        raise BadValue("give a thread's name, or what was measured: stores thread --od 5.9")
    if measured:
        from stores.wording.find import threads

        show.reply(identified(measured, head, evenly=evenly), threads, json_wanted=json)
        return
    from stores.handbook.thread import get
    from stores.handbook.thread.special import special

    if (other := special(" ".join(words))) is not None:
        from stores.cli.special_threads import show_special

        show_special(other, json)
        return
    known = get(" ".join(words))
    if json:
        show.as_json(_thread_data(known))
    else:
        _show_thread(known)


def _show_thread(known: "Thread") -> None:
    from stores.handbook import repair

    unit = "" if known.tpi is None else f" ({known.tpi:g} tpi)"
    limits = known.external_major_limits_mm
    rows = [
        ("outside diameter", f"{known.major_mm:.3f} mm, {known.major_in:.4f} in"),
        ("  of a bolt, as made", f"{limits.min_mm:.3f} to {limits.max_mm:.3f} mm, {limits.source}"),
        ("pitch", f"{known.pitch_mm:.4g} mm{unit}, {known.flank_angle_deg:g} degrees"),
        ("effective diameter", f"{known.pitch_diameter_mm:.3f} mm"),
        ("bore of the nut", f"{known.minor_mm:.3f} mm"),
        ("root of the bolt", f"{known.root_mm:.3f} mm"),
        ("stress area", f"{known.stress_area_mm2:.3g} mm2"),
        ("tapping drill", _drill(known)),
    ]
    for spanner in known.spanners:
        inches = "" if known.tpi is None else f", {spanner.af_in:.3f} in"
        rows.append(
            ("across flats", f"{spanner.af_mm:g} mm{inches}: {spanner.part}, {spanner.system}")
        )
    for bigger in repair.oversizes(known)[:2]:
        rows.append(("next size up", f"{bigger.thread.designation}, drill {bigger.drill_mm:g} mm"))
    try:
        insert = repair.insert_hole(known)
    except BadValue:
        pass
    else:
        rows.append(("wire insert", f"drill {insert.drill_mm:g} mm; maker's figure first"))
    least = [
        f"{repair.engagement(known, material).length_mm:.0f} mm in {material}"
        for material in repair.engagement_materials()
    ]
    rows.append(("full thread, at least", "; ".join(least) + " (common practice)"))
    show.say(known.designation)
    for label, text in rows:
        show.paragraph(text, first=f"  {label:<22}", rest=" " * 24)
    show.paragraph(f"source: {known.source}", first="  ", rest="  ")


def _drill(known: "Thread") -> str:
    """Write the tapping drill with the number, letter or fraction drill nearest to it."""
    inch = known.tapping_drill_in
    other = f", or {inch.name} ({inch.inches:.4f} in)" if inch and known.series != "metric" else ""
    left = known.percent_left_by(known.tapping_drill_mm)
    drill = f"{known.tapping_drill_mm:g} mm{other}"
    return f"{drill}: {left:.0f} % of thread; {known.tapping_drill_source}"


def _thread_data(known: "Thread") -> dict[str, Any]:
    limits = known.external_major_limits_mm
    return {
        "thread": known.designation,
        "major_mm": known.major_mm,
        "pitch_mm": known.pitch_mm,
        "tpi": known.tpi,
        "flank_angle_deg": known.flank_angle_deg,
        "effective_mm": known.pitch_diameter_mm,
        "minor_mm": known.minor_mm,
        "root_mm": known.root_mm,
        "stress_area_mm2": known.stress_area_mm2,
        "outside_limits_mm": [limits.min_mm, limits.max_mm],
        "outside_limits_source": limits.source,
        "tapping_drill_mm": known.tapping_drill_mm,
        "tapping_drill_inch": known.tapping_drill_in and known.tapping_drill_in.name,
        "tapping_drill_source": known.tapping_drill_source,
        "spanners": known.spanners,
        "source": known.source,
    }
