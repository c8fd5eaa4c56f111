"""Inspection, one line after another: a line fills the screen, an answer is a tap.

Each answer is an act of its own, recorded before the next line is shown.
"""

from starlette.responses import Response

from stores.usecases.sitting import InspectionOf, to_inspect
from stores.web.pages import Page
from stores.web.visit import Visit, path_to
from stores.wording.inspect import cautions_of_line

__all__ = ["PAGES"]

REASONS = (
    "worn", "bent", "cracked", "pitted", "rusted", "thread stripped", "necked", "scored", "torn",
    "seized", "corners rounded", "hardened",
)  # fmt: skip
"""What most often ends a part's life (common practice), to tap instead of typing."""


def inspecting(visit: Visit) -> Response:
    """Show the next line to inspect, passing over those that were left for later."""
    what = visit.word("what")
    left = tuple(filter(None, visit.word("later").split(",")))
    inspection = to_inspect(visit.context(), InspectionOf(what))
    lines = [line for line in inspection.lines if line.item not in left]
    line = lines[0] if lines else None
    return visit.page(
        "inspecting.html",
        what=what,
        inspection=inspection,
        line=line,
        number=len(inspection.lines) - len(lines) + 1,
        cautions=cautions_of_line(line) if line else (),
        reasons=REASONS,
        here=path_to("/inspect", what=what, later=",".join(left)),
        later=path_to("/inspect", what=what, later=",".join((*left, line.item))) if line else "",
        again=path_to("/inspect", what=what),
        passed=len(left),
    )


PAGES = (Page("/inspect", inspecting),)
