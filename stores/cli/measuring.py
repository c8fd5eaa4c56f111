"""Identifying by measurement: which thread, which joint, which piece of hardware."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.errors import BadValue

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stores.handbook.identify import Identification, Measurement
    from stores.handbook.thread import Thread
    from stores.planning.whence import Joint, Whence

__all__ = [
    "Angle",
    "Bore",
    "Flats",
    "Measured",
    "Od",
    "Over",
    "Pitch",
    "ToolName",
    "data_of",
    "head_named",
    "identify_from",
    "length_rule_of",
    "rank_joints",
    "show_identification",
    "show_joints",
]

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


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured, as typed; empty where it was not."""

    od: str = ""
    bore: str = ""
    pitch: str = ""
    over: str = ""
    flats: str = ""
    angle: str = ""
    tool: str = ""

    def __bool__(self) -> bool:
        return any((self.od, self.bore, self.pitch, self.over, self.flats, self.angle))


def identify_from(
    measured: Measured,
    head: str = "",
    recorded: "Mapping[str, float] | None" = None,
    *,
    evenly: bool = False,
) -> "Identification":
    """Say which threads it may be; ``recorded`` are those on record, with their weights.

    Without them, threads count as they are common in the trade, or ``evenly``.
    """
    from stores.handbook.identify import TRADE, identify

    return identify(measurement_of(measured, head), recorded or (None if evenly else TRADE))


def measurement_of(measured: Measured, head: str = "") -> "Measurement":
    """Read what was typed of the measurements."""
    from stores.handbook.identify import Measurement

    return Measurement.read(
        outside=measured.od,
        bore=measured.bore,
        pitch=measured.pitch,
        over=measured.over,
        flats=measured.flats,
        angle=measured.angle,
        tool=measured.tool,
        head=head if measured.flats else "",
    )


def rank_joints(
    connection: "Connection",
    found: "Identification",
    *,
    length: str = "",
    head: str = "",
    tool: str = "",
    machine: int | None = None,
) -> "Whence":
    """Rank the recorded joints that the measured piece may be of."""
    from stores.handbook.measure import Quantity, read_measure
    from stores.planning.whence import Length, likeliest, reach_mm, whence
    from stores.queries import measured

    span = under = None
    if length:
        read = read_measure(length, Quantity.LENGTH, tool or None)
        under = Length(read.value, read.tool)
        reach = reach_mm(read.tool, read.value)
        span = (round((read.value - reach) * 1000), round((read.value + reach) * 1000))
    threads = [match.thread.designation for match in found.matches]
    known = measured.candidates(connection, threads, span, machine=machine)
    worth = likeliest(found, known, length=under, head=head)
    items = measured.joints_of(connection, [each.number for each in worth], machine=machine)
    recorded = measured.items_in_all(connection)
    return whence(found, items, known, recorded, length=under, head=head)


def head_named(text: str) -> str:
    """Read the name of a head.

    Raises:
        BadValue: no head that the trade knows.
    """
    from stores.handbook.fastener import parse

    if not text.strip():
        return ""
    if re.fullmatch(r"(?:hex(?:agon)? )?nut", text.strip().lower()):
        return "nut"
    known: str = (
        parse(f"M6 x 20 {text.strip()[:40]} head screw").head
        or parse(f"M6 x 20 {text.strip()[:40]} bolt").head
    )
    if not known:
        raise BadValue(
            f"no head is called {text.strip()[:40]!r}: say hex, csk, cheese, pan, socket cap"
        )
    return known


def length_rule_of(head: str) -> str:
    """Say how the length is measured (ISO 225) for a head, or for heads at large."""
    from stores.errors import NotFound
    from stores.handbook.lengths import length_rule

    if head:
        try:
            rule = length_rule(head)
        except NotFound:
            pass
        else:
            return f"{rule.head}: {rule.rule}, from {rule.start} to {rule.end} ({rule.source})"
    return "under the head; countersunk and headless screws overall (ISO 225)"


def show_identification(found: "Identification", *, most: int = 8) -> None:
    """Show the threads that fit and how twins are told apart."""
    from stores.handbook.identify import TRADE, contradiction
    from stores.handbook.identify.model import percent

    if not found.matches:
        show.say("No thread of the tables fits.")
    for match in found.matches[:most]:
        if match.probability >= 0.005:
            show.say(f"  {percent(match.probability):>9}  {match.thread.designation}")
    if found.none_share >= 0.005:
        show.say(f"  {percent(found.none_share):>9}  none of these")
    odd = contradiction(found.measurement, TRADE)
    if odd:
        show.paragraph(f"Look again: {odd}.", rest="  ")
        return
    for twins in found.twins:
        show.paragraph(f"Twins: {twins}", rest="  ")


def show_joints(ranked: "Whence", *, most: int = 8) -> None:
    """Show the joints, the likeliest first, with where their pieces are."""
    from stores.handbook.identify.model import percent
    from stores.text import many

    shown = [joint for joint in ranked.joints if joint.probability >= 0.005][:most]
    if not shown:
        show.say("Nothing recorded fits: it is of no joint that has been stripped.")
        return
    for joint in shown:
        item = joint.item
        step = item.step
        where = f"step {step.number} {step.assembly}: {step.part}" if step.number else "loose"
        seat = f" @ {item.position}" if item.position else ""
        show.paragraph(
            f"{percent(joint.probability):>9}  {item.ref}  {many(_count(joint), joint.what)}{seat}",
            rest="             ",
        )
        show.paragraph(where, first="           ", rest="             ")
        held = "; ".join(
            f"{h.quantity} {h.condition} {h.where}" for h in item.holdings if h.quantity > 0
        )
        said = [joint.why.upper() if joint.missed else ""]
        if item.wrong and joint.what == item.as_found.text:
            said.append(f"SHOULD BE {item.as_specified.text}")
        elif item.wrong:
            said.append(f"found {item.as_found.text}")
        tail = "; ".join(part for part in (*said, held) if part)
        show.paragraph(tail or "none in the stores", first="           ", rest="             ")
    rest = 1 - sum(joint.probability for joint in shown)
    if rest >= 0.005:
        show.say(f"{percent(rest):>9}  another joint, or none that is recorded")


def _count(joint: "Joint") -> int:
    item = joint.item
    if not item.step.number:
        return sum(holding.quantity for holding in item.holdings if holding.kind.in_hand)
    return item.found if joint.what == item.as_found.text and item.found else item.wanted


def data_of(found: "Identification", ranked: "Whence | None" = None) -> dict[str, Any]:
    """Give it all as plain data."""
    data: dict[str, Any] = {
        "threads": [
            {"thread": match.thread.designation, "probability": match.probability}
            for match in found.matches
        ],
        "none": found.none_share,
        "twins": [
            {"threads": list(twins.names), "tell_apart": str(twins)} for twins in found.twins
        ],
    }
    if ranked is not None:
        data["joints"] = [
            {
                "item": joint.item.ref,
                "machine": joint.item.step.machine,
                "assembly": joint.item.step.assembly,
                "part": joint.item.step.part,
                "as_specified": joint.item.as_specified.text,
                "probability": joint.probability,
                "why": joint.why,
                "bags": list(joint.item.bags),
            }
            for joint in ranked.joints
        ]
        data["no_joint"] = ranked.none_share
    return data


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
    words = list(name or [])
    refuse_options(words)
    measured = Measured(od, bore, pitch, over, flats, angle, tool)
    if words and measured:
        raise BadValue("a name, or what was measured, not both; quote a unit: --od '0.25 in'")
    if not words and not measured:
        raise BadValue("give a thread's name, or what was measured: stores thread --od 5.9")
    if measured:
        head_named(head)
        found = identify_from(measured, head, evenly=evenly)
        if json:
            show.as_json(data_of(found))
        else:
            show_identification(found)
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
