"""A label photographed and read by the server, where the page could not."""

from pathlib import Path

from starlette.responses import Response

from stores.errors import BadValue, NotFound, StoresError
from stores.usecases.pictures import bag_code_of
from stores.web.pages import Page
from stores.web.uploads import DECODING
from stores.web.visit import Visit, path_to

__all__ = ["PAGES"]


def scan(visit: Visit) -> Response:
    """Show the page that reads a label."""
    return visit.page("scan.html", codes=())


def read_picture(visit: Visit) -> Response:
    """Read the code in a picture that was sent, and go on to what it is of."""
    try:
        sent = visit.pictures("picture", 1)
        if not sent:
            raise BadValue("no picture sent")
        codes = _codes(sent[0])
    except StoresError as error:
        return visit.page("scan.html", 422, codes=(), error=error)
    if len(codes) > 1:
        return visit.page("scan.html", codes=codes)
    return visit.to(path_to("/find", q=codes[0]))


def _codes(file: Path) -> tuple[str, ...]:
    """Return the first lines of the codes in a picture; bag codes alone where there are any.

    Raises:
        PictureRefused: no picture, or one too large.
        NotFound: no code in it.
    """
    from stores.photos.codes import codes_in
    from stores.photos.opening import PictureRefused

    try:
        with DECODING:
            texts = codes_in(file, thorough=True)
    except PictureRefused as refused:
        raise PictureRefused(Path(file.name), refused.reason) from refused
    lines = dict.fromkeys(text.strip().splitlines()[0].strip() for text in texts if text.strip())
    bags = dict.fromkeys(code for line in lines if (code := bag_code_of(line)))
    if not lines:
        raise NotFound("no code in the picture")
    return tuple(bags or lines)


PAGES = (Page("/scan", scan), Page("/scan", read_picture, "POST", long=True))
