"""Open questions, one after another: what a line may have meant is a tap."""

from starlette.responses import Response

from stores.usecases.queries import queries
from stores.web.pages import Page
from stores.web.visit import Visit, path_to

__all__ = ["PAGES"]


def questions(visit: Visit) -> Response:
    """Show the next open question, passing over those that were left for later."""
    later = tuple(filter(None, visit.word("later").split(",")))
    asked = queries(visit.context())
    left = [each for each in asked.queries if each.item not in later]
    each = left[0] if left else None
    return visit.page(
        "questions.html",
        asked=asked,
        each=each,
        number=len(asked.queries) - len(left) + 1,
        passed=len(later),
        here=path_to("/questions", later=",".join(later)),
        later=path_to("/questions", later=",".join((*later, each.item))) if each else "",
    )


PAGES = (Page("/questions", questions),)
