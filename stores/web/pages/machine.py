"""Which machine this device is about, and adding one."""

from urllib.parse import quote

from starlette.responses import Response

from stores.usecases.machines import machine_worked_on, machines
from stores.web.deeds import deed_named
from stores.web.forms import back_to
from stores.web.pages import Page
from stores.web.visit import MACHINE_COOKIE, Visit

__all__ = ["PAGES"]

A_YEAR = 365 * 24 * 3600


def choosing(visit: Visit) -> Response:
    """Show the machines, which one this device is about, and the form of a new one."""
    deed = deed_named("machine-add")
    return visit.page(
        "machine.html",
        machines=machines(visit.context()),
        chosen=visit.machine is not None,
        deed=deed,
        typed=deed.typed(visit),
        back=back_to(visit) or "/",
    )


def choose(visit: Visit) -> Response:
    """Keep on this device which machine it is about; without a name, the one last worked on."""
    name = visit.word("machine")
    answer = visit.to(back_to(visit) or "/")
    if not name:
        answer.delete_cookie(MACHINE_COOKIE, httponly=True, samesite="lax")
        return answer
    whole = machine_worked_on(visit.context()).name
    answer.set_cookie(
        MACHINE_COOKIE, quote(whole), max_age=A_YEAR, httponly=True, samesite="lax",
        secure=visit.request.url.scheme == "https",
    )  # fmt: skip
    return answer


PAGES = (Page("/machine", choosing), Page("/machine", choose, "POST"))
