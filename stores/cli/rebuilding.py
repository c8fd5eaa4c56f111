"""The checklist on the screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stores.cli import show
from stores.errors import NotFound
from stores.model.items import lies_in
from stores.planning.assembling import Role
from stores.planning.rebuild import Line, Stage, access_words
from stores.planning.status import BlockerKind, State
from stores.storage.figures import read_sumps
from stores.storage.machines import machine_named
from stores.text import many
from stores.usecases.rebuild import rebuild_of

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stores.handbook.tightening import Plan
    from stores.model.snags import Snag
    from stores.planning.oils import Fill
    from stores.planning.tightness import Tightness

__all__ = [
    "fills_of",
    "show_fills",
    "show_snags",
    "show_stages",
    "show_summary",
    "stage_data",
    "stages_of",
    "state_of",
    "torque_data",
    "torque_words",
]


def stages_of(
    connection: "Connection", machine: str | None, assembly: str
) -> "tuple[str, list[Stage], tuple[Snag, ...]]":
    """Give the machine's name, its stages, of one assembly if asked, and snags of no step.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    made = rebuild_of(connection, machine)
    listed = [each.stage for each in made.plan.steps]
    loose = made.plan.loose_snags
    if assembly.strip():
        names = dict.fromkeys(stage.step.assembly for stage in listed)
        listed = [stage for stage in listed if lies_in(stage.step.assembly, assembly)]
        if not listed:
            raise NotFound(
                f"no assembly {assembly!r} on {made.machine.name}; there is {'; '.join(names)}"
            )
        loose = ()
    return made.machine.name, listed, loose


def show_stages(listed: Sequence[Stage], name: str, total: int) -> None:
    """Show the stages as a list to work through."""
    open_lines = [line for stage in listed for line in stage.lines if not line.done]
    short = sum(line.short for line in open_lines)
    away = sum(line.status.away for line in open_lines)
    show.say(
        f"Rebuild of {name}: {len(listed)} of {total} steps listed, "
        f"{sum(line.item.to_fit for line in open_lines)} pieces to fit, {short} short, {away} away"
    )
    for stage in listed:
        show.say()
        mark = state_of(stage)
        show.paragraph(
            f"Step {stage.step.number}  {stage.step.assembly}: {stage.step.part}  [{mark}]",
            rest="        ",
        )
        if stage.step.hazard:
            show.paragraph(f"HAZARD: {stage.step.hazard}", first="  ! ", rest="    ")
        for caution in stage.cautions:
            show.paragraph(caution, first="  ! ", rest="    ")
        if stage.step.note:
            show.paragraph(f"note: {stage.step.note}", first="    ", rest="    ")
        if stage.notes.access_only:
            show.paragraph(access_words(stage), first="    ", rest="    ")
        show_snags(stage.snags)
        for applied in stage.applied:
            show.paragraph(applied.text, first=f"  [{'x' if stage.done else ' '}] ", rest=" " * 13)
        for line in stage.lines:
            _show_line(line)
        if stage.joint and not stage.finished:
            _show_joint(stage.joint)
            if stage.holes_doubt:
                show.paragraph(stage.holes_doubt, first="    ", rest="      ")
        _show_rest(stage)


def state_of(stage: Stage) -> str:
    """Return in a word how far a step is; what is owed once all is on in a few."""
    if stage.status.state is State.ON:
        return f"ON, still to do: {', '.join(stage.owed)}"
    return {State.FINISHED: "done", State.READY: "ready"}.get(stage.status.state, "WAITS")


def show_snags(snags: "Sequence[Snag]") -> None:
    """Show what has to be cleared before things are closed up."""
    for snag in snags:
        show.paragraph(
            f"snag {snag.number} to clear: {snag.words} ({snag.where})",
            first="  [ ] ",
            rest=" " * 13,
        )


def _show_rest(stage: Stage) -> None:
    """Show what is measured and who signed, or has to."""
    for point in stage.notes.points:
        box = "[x]" if point.within else "[ ]"
        said = f"measured {point.measured}" if point.measured else "not measured yet"
        if point.within is False:
            said += ", OUT OF LIMITS"
        show.paragraph(f"{point.name}: {point.limits}; {said}", first=f"  {box} ", rest=" " * 13)
    for signature in stage.notes.signatures:
        when = f", {signature.date}" if signature.date else ""
        show.paragraph(f"{signature.role}: {signature.name}{when}", first="  [x] ", rest=" " * 13)
    if stage.safety and not stage.notes.signed(Role.SECOND):
        show.paragraph(
            f"a second person checks: stores sign {stage.step.number} NAME --second",
            first="  [ ] ",
            rest=" " * 13,
        )


def fills_of(connection: "Connection", machine: str | None) -> "list[Fill]":
    """Give the sumps to fill once everything is together."""
    from stores.planning.oils import fills

    on = machine_named(connection, machine)
    return fills(read_sumps(connection, on.number))


def show_fills(oils: "Sequence[Fill]") -> None:
    """Show what to fill in the end."""
    if not oils:
        return
    show.say()
    show.say("In the end, oil:")
    for fill in oils:
        show.paragraph(f"{fill.name}: {fill.amount}, {fill.oil}", first="  [ ] ", rest=" " * 13)
        if fill.points:
            show.paragraph("; ".join(fill.points), first=" " * 13, rest=" " * 13)


def _show_line(line: Line) -> None:
    item = line.item
    box = "[x]" if line.finished else "[ ]"
    count = item.wanted if line.done else item.to_fit
    text = f"{item.ref:>5}  {many(count, item.as_specified.text)}"
    if item.position:
        text += f" @ {item.position}"
    show.paragraph(text, first=f"  {box} ", rest="             ")
    tail = [*line.sources] if not line.done else [line.left.words] if line.left else []
    tail += [f"with {each.text}" for each in line.applied]
    tail += line.flags if not line.done else []
    indent = " " * 13
    if tail:
        show.paragraph("; ".join(tail), first=indent, rest=indent)
    if line.tight and not line.finished:
        for said in torque_words(line.tight):
            show.paragraph(said, first=indent, rest=indent)


def _show_joint(plan: "Plan") -> None:
    from stores.planning.holes import passes_line

    holes = plan.joint.by_number
    order = " ".join(
        f"h{hole}" + (f" {holes[hole].length}" if holes[hole].length else "")
        for hole in plan.order.holes
    )
    show.paragraph(f"tightening order: {order}", first="    ", rest="      ")
    show.paragraph(f"passes: {passes_line(plan)}", first="    ", rest="      ")


def torque_words(tight: "Tightness") -> list[str]:
    """Say what is known of a torque: the maker's figure, else the general one, and doubts."""
    if tight.figure:
        said = [f"torque {tight.figure} N m, {tight.basis}"]
    else:
        said = [f"torque: {tight.general}"] if tight.general else []
    return said + [f"torque: {caution}" for caution in tight.cautions]


def show_summary(stages: Sequence[Stage], name: str, *, json_wanted: bool) -> None:
    """Show how far each assembly is, and what holds it up."""
    from stores.planning.rebuild import progress, total

    rows = progress(stages)
    if json_wanted:
        show.as_json(rows)
        return
    whole = total(rows)
    show.paragraph(
        f"Rebuild of {name}: {whole.done} of {whole.steps} steps done, {whole.open} on but not "
        f"finished, {whole.ready} ready, {whole.waits} waiting",
        rest="  ",
    )
    show.table(
        ["Assembly", "Steps", "Done", "On", "Ready", "Waits", "Held up by"],
        [
            [
                row.assembly,
                *(str(each) for each in (row.steps, row.done, row.open, row.ready, row.waits)),
                "; ".join(row.why),
            ]
            for row in rows
        ],
        right=[1, 2, 3, 4, 5],
    )


def stage_data(stage: Stage) -> dict[str, Any]:
    """Give a step of the checklist for another program."""
    from stores.cli.wording import item_data

    return {
        "step": stage.step,
        "state": stage.status.state,
        "ready": stage.status.state is State.READY,
        "done": stage.finished,
        "waits_for_steps": stage.status.behind,
        "waits_for": [
            one.said for one in stage.status.blockers if one.kind is not BlockerKind.STEP
        ],
        "still_to_do": stage.owed,
        "cautions": stage.cautions,
        "second_person": stage.safety,
        "access_only": stage.notes.access_only,
        "order": list(stage.joint.order.holes) if stage.joint else None,
        "snags": stage.snags,
        "goes_in": stage.applied,
        "measure": [
            {
                "name": point.name,
                "limits": point.limits,
                "source": point.source,
                "measured": None if point.found is None else float(point.found),
                "unit": point.unit,
                "within": point.within,
            }
            for point in stage.notes.points
        ],
        "signed": [
            {"as": each.role.value, "name": each.name, "date": each.date, "note": each.note}
            for each in stage.notes.signatures
        ],
        "lines": [
            item_data(line.item)
            | {
                "to_fit": line.status.to_fit,
                "to_hand": line.status.to_hand,
                "short": line.status.short,
                "on_order": line.status.on_order,
                "away": line.status.away,
                "left_over": line.status.left_over,
                "flags": line.flags,
                "from": line.sources,
                "torque": torque_data(line.tight),
                "goes_in": line.applied,
                "left": line.left.words if line.left else "",
                "torque_put_on_nm": line.left.torque_nm if line.left else None,
            }
            for line in stage.lines
        ],
    }


def torque_data(tight: "Tightness | None") -> dict[str, Any] | None:
    """Give what is known of a torque for another program."""
    if tight is None:
        return None
    return {
        "maker": tight.maker,
        "computed": [
            {
                "state": each.friction.state,
                "grade": str(each.grade),
                "low_nm": each.low,
                "nominal_nm": each.value,
                "high_nm": each.high,
            }
            for each in tight.computed
        ],
        "cautions": tight.cautions,
    }
