"""The application: which page answers which address.

A handler is a plain function of a `Visit`; it runs in a thread when its turn comes (`lanes`), so
that a page that takes a while (500 labels) holds nobody else up. A form's body is read before, with
the limits of `guard`.
"""

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route

from stores.web.deeds import deed_named, inquiry_named
from stores.web.forms import form_of, perform, question_of
from stores.web.guard import STATIC, Guard, at_the_desk, device_of, outside
from stores.web.lanes import Lanes
from stores.web.packed import PackedFiles
from stores.web.pages import PAGES, Page
from stores.web.visit import House, Visit, answered

__all__ = ["build"]


def build(house: House) -> Starlette:
    """Return the application of a record."""

    @asynccontextmanager
    async def running(_app: Starlette) -> AsyncIterator[None]:
        yield
        house.holding.let_go()
        house.kept.let_go()

    app = Starlette(
        lifespan=running,
        routes=[*_routes(), Mount("/static", PackedFiles(directory=STATIC))],
        middleware=[Middleware(Guard, rules=house.rules, pages=house.pages)],
        exception_handlers={HTTPException: _no_such_page},  # type: ignore[dict-item]
    )
    app.state.house = house
    app.state.lanes = Lanes()
    return app


def _routes() -> Iterator[Route]:
    own = (
        Page("/do/{name}", lambda visit: form_of(visit, deed_named(visit.part("name")))),
        Page("/do/{name}", lambda visit: perform(visit, deed_named(visit.part("name"))), "POST"),
        Page("/ask/{name}", lambda visit: question_of(visit, inquiry_named(visit.part("name")))),
    )
    for page in (*own, *PAGES):
        yield Route(page.path, _endpoint(page), methods=[page.method])


def _endpoint(page: Page):  # type: ignore[no-untyped-def]
    async def endpoint(request: Request) -> Response:
        house: House = request.app.state.house
        lanes: Lanes = request.app.state.lanes
        response: Response
        if request.method != "POST":
            look = lanes.long if page.long else lanes.look
            response = await look(answered, house, page.handler, request, None)
        else:
            async with request.form(max_files=MOST_FILES, max_fields=2000) as form:
                pictures = any(isinstance(one, UploadFile) and one.size for one in form.values())
                record = lanes.long if page.long or pictures else lanes.record
                response = await record(answered, house, page.handler, request, form)
        return response

    return endpoint


MOST_FILES = 60
"""Pictures that go in one form; our script sends them one by one and may send more."""


def _no_such_page(request: Request, error: HTTPException) -> Response:
    house: House = request.app.state.house
    if error.status_code == 400 and "Too many files" in error.detail:
        return outside(
            house.pages,
            413,
            "Too many pictures at once",
            f"At most {MOST_FILES} go in one form. Nothing was recorded. Go back, choose fewer, "
            "and send the rest after these.",
        )
    if error.status_code not in (404, 405):
        return outside(
            house.pages,
            error.status_code,
            "This could not be read",
            "What was sent came through cut short or is not what a page of the stores sends. "
            "Nothing was recorded. Go back and send it again.",
        )
    if not at_the_desk(request) and device_of(request) is None:
        return outside(house.pages, error.status_code, "There is no page here")
    return Visit(house, request).page("no_page.html", error.status_code)
