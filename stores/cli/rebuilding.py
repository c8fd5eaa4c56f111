"""The checklist on the screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stores import queries
from stores.cli import show
from stores.errors import NotFound
from stores.planning.items import many
from stores.planning.rebuild import Line, Stage, stages

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stores.core.tightening import Plan
    from stores.planning.oils import Fill
    from stores.planning.tightness import Tightness

__all__ = ["fills_of", "show_fills", "show_stages", "stages_of", "torque_data", "torque_words"]


def stages_of(
    connection: "Connection", machine: str | None, assembly: str
) -> tuple[str, list[Stage]]:
    """Give the machine's name and its stages, of one assembly if asked.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    on = queries.machine_named(connection, machine)
    items = queries.items(connection, machine=on.number)
    made = stages(
        items,
        queries.maker_torques(connection, [item.number for item in items]),
        queries.joints(connection, on.number),
    )
    if not made:
        raise NotFound(f"nothing of {on.name} was taken off yet: 'stores strip' records that")
    wanted = [name.strip().casefold() for name in assembly.split("/") if name.strip()]
    if wanted:
        known = dict.fromkeys(stage.step.assembly for stage in made)
        made = [
            stage
            for stage in made
            if [n.strip().casefold() for n in stage.step.assembly.split("/")][: len(wanted)]
            == wanted
        ]
        if not made:
            raise NotFound(f"no assembly {assembly!r} on {on.name}; there is {'; '.join(known)}")
    return on.name, made


def show_stages(listed: Sequence[Stage], name: str, total: int) -> None:
    """Show the stages as a list to work through."""
    open_lines = [line for stage in listed for line in stage.lines if not line.done]
    short = sum(line.short for line in open_lines)
    away = sum(line.item.away for line in open_lines)
    show.say(
        f"Rebuild of {name}: {len(listed)} of {total} steps listed, "
        f"{sum(line.item.to_fit for line in open_lines)} pieces to fit, {short} short, {away} away"
    )
    for stage in listed:
        show.say()
        mark = "done" if stage.done else "ready" if stage.ready else "WAITS"
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
        for line in stage.lines:
            _show_line(line)
        if stage.joint and not stage.done:
            _show_joint(stage.joint)
            if stage.holes_doubt:
                show.paragraph(stage.holes_doubt, first="    ", rest="      ")


def fills_of(connection: "Connection", machine: str | None) -> "list[Fill]":
    """Give the sumps to fill once everything is together."""
    from stores.planning.oils import fills

    on = queries.machine_named(connection, machine)
    return fills(queries.sumps(connection, on.number))


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
    box = "[x]" if line.done else "[ ]"
    count = item.wanted if line.done else item.to_fit
    text = f"{item.ref:>5}  {many(count, item.as_specified.text)}"
    if item.position:
        text += f" @ {item.position}"
    show.paragraph(text, first=f"  {box} ", rest="             ")
    tail = [*line.sources] if not line.done else []
    tail += line.flags if not line.done else []
    indent = " " * 13
    if tail:
        show.paragraph("; ".join(tail), first=indent, rest=indent)
    if line.tight and not line.done:
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
