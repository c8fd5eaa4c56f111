"""Pictures at the desk: a card full of them put in, offers answered, each looked at.

The files of pictures are given by the number that they have on record, never by a name.
"""

import re
from functools import lru_cache
from pathlib import Path

from starlette.responses import FileResponse, JSONResponse, Response

from stores.errors import BadValue, NotFound
from stores.usecases.pictures import (
    KeptPicture,
    PicturesByState,
    SeePicture,
    kept_picture,
    pictures_by_state,
)
from stores.web.deeds import deed_named
from stores.web.pages import Page
from stores.web.uploads import DECODING
from stores.web.visit import Visit
from stores.wording.pictures import moment

__all__ = ["PAGES"]

MOST = 60
"""Pictures shown of each kind: a page that a phone loads too."""
SMALL_PX = 480
TYPES = {".jpg": "image/jpeg", ".png": "image/png", ".heic": "image/heic"}
"""What is taken in, and its media type; nothing else is ever given as it is."""


def pictures(visit: Visit) -> Response:
    """Show where pictures are put in, those that wait for a yes, and those tied to nothing."""
    known = PicturesByState((), (), ())
    if visit.the_machine() is not None:
        known = pictures_by_state(visit.context())
    return visit.page(
        "pictures.html",
        deed=deed_named("pictures"),
        offered=known.offered[:MOST],
        loose=known.loose[:MOST],
        filed=known.filed[:MOST],
        counts=(len(known.offered), len(known.loose), len(known.filed)),
        moment=moment,
    )


def hold(visit: Visit) -> Response:
    """Hold a picture until the others of its folder are here, for they tell of each other."""
    key = visit.word("held")
    if not re.fullmatch(r"[\w-]{16,64}", key):
        raise BadValue("no picture sent")
    return JSONResponse({"held": visit.house.holding.begun(key).add(visit.files("paths"))})


def picture(visit: Visit) -> Response:
    """Give a picture as it was taken in."""
    kept = _kept(visit)
    suffix = kept.format if kept.format in TYPES else ""
    headers = _headers(kept, "") | {
        "Content-Disposition": f'inline; filename="picture-{kept.number}{suffix}"'
    }
    if _is_known(visit, headers):
        return Response(status_code=304, headers=headers)
    return FileResponse(
        kept.file, headers=headers, media_type=TYPES.get(kept.format, "application/octet-stream")
    )


def small_picture(visit: Visit) -> Response:
    """Give a picture small and upright."""
    from stores.photos.opening import PictureRefused

    kept = _kept(visit)
    headers = _headers(kept, "small")
    if _is_known(visit, headers):
        return Response(status_code=304, headers=headers)
    try:
        made = _small(kept.file, kept.digest)
    except PictureRefused as refused:
        raise NotFound("picture file gone", number=kept.number, machine=kept.machine) from refused
    return Response(made, media_type="image/jpeg", headers=headers)


@lru_cache(maxsize=256)
def _small(file: Path, _digest: str) -> bytes:
    """Return a small copy, made once: what is kept under a digest never changes."""
    from stores.photos.thumbs import thumbnail

    with DECODING:
        return thumbnail(file, SMALL_PX)


def _kept(visit: Visit) -> KeptPicture:
    ask = SeePicture(int(visit.part("number")), folder=visit.house.pictures)
    return kept_picture(visit.context(), ask)


def _headers(kept: KeptPicture, size: str) -> dict[str, str]:
    return {
        "ETag": f'"{kept.digest}{size}"',
        "Cache-Control": "private, no-cache",
        "X-Content-Type-Options": "nosniff",
    }


def _is_known(visit: Visit, headers: dict[str, str]) -> bool:
    return headers["ETag"] in visit.request.headers.get("if-none-match", "")


PAGES = (
    Page("/pictures", pictures),
    Page("/pictures/held", hold, "POST", long=True),
    Page("/picture/{number:int}", picture, long=True),
    Page("/picture/{number:int}/small", small_picture, long=True),
)
