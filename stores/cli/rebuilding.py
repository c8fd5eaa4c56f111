"""The checklist on the screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stores import queries
from stores.cli import show
from stores.errors import NotFound
from stores.planning.items import many
from stores.planning.rebuild import Line, Stage, stages

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["show_stages", "stages_of"]


def stages_of(
    connection: "Connection", machine: str | None, assembly: str
) -> tuple[str, list[Stage]]:
    """Give the machine's name and its stages, of one assembly if asked.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    on = queries.machine_named(connection, machine)
    made = stages(queries.items(connection, machine=on.number))
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
    if tail:
        show.paragraph("; ".join(tail), first="             ", rest="             ")
