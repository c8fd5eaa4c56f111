"""Letting a device in, the list of those that are let in, and how a phone comes to trust HTTPS."""

from starlette.responses import JSONResponse, Response

from stores.errors import NotFound, StoresError
from stores.printing.qr import least_design, side, symbol_runs
from stores.text import day_words
from stores.web.devices import DAYS, Pairing, cookie_name, moment
from stores.web.guard import at_the_desk, device_of, outside
from stores.web.pages import Page
from stores.web.visit import Told, Visit
from stores.wording import Said

__all__ = ["PAGES"]

_QUIET = 4
"""Modules of white around a code: ISO/IEC 18004:2015, 6.3.8."""


def pair(visit: Visit) -> Response:
    """Show the button that pairs this device. To look at it uses nothing up: a preview of the
    address, made by another program on the phone, must not."""
    pairing = _pairing(visit)
    if pairing is None:
        return _nothing_to_pair(visit)
    if device_of(visit.request) is not None:
        return visit.to("/")
    if not pairing.works(visit.part("code")):
        return _used_or_old(visit)
    return _form(visit)


def paired(visit: Visit) -> Response:
    """Let this device in, if its code is good."""
    pairing = _pairing(visit)
    if pairing is None:
        return _nothing_to_pair(visit)
    try:
        secret = pairing.use(visit.part("code"), visit.word("name"))
    except StoresError as error:
        from stores.wording.refusals import line_of

        return _form(visit, 422, line_of(error))
    if secret is None:
        return _used_or_old(visit)
    scheme = visit.request.url.scheme
    answer = visit.to("/", Told(Said((f"This device is paired for {DAYS} days.",))))
    answer.set_cookie(
        cookie_name(scheme),
        secret,
        max_age=DAYS * 86400,
        httponly=True,
        samesite="lax",
        secure=scheme == "https",
    )
    return answer


def devices(visit: Visit) -> Response:
    """List the paired devices; at the desk, show the code that lets another one in."""
    kept, pairing = visit.house.rules.devices, _pairing(visit)
    shown = pairing is not None and at_the_desk(visit.request)
    mine = device_of(visit.request)
    return visit.page(
        "devices.html",
        devices=[
            (each, day_words(moment(each.paired)), day_words(moment(each.seen)))
            for each in (kept.listed() if kept else ())
        ],
        mine=mine.number if mine else 0,
        open_to_network=pairing is not None,
        secure=bool(visit.house.rules.root),
        address=pairing.offered() if pairing and shown else "",
        mark=_mark(visit),
    )


def forget(visit: Visit) -> Response:
    """Let a device in no longer."""
    kept, number = visit.house.rules.devices, visit.word("number")
    if kept is None or not (number.isascii() and number.isdigit() and len(number) < 10):
        raise NotFound(f"no device {number[:20]!r} is paired")
    device = kept.forget(int(number))
    return visit.to("/devices", Told(Said((f"{device.name} is forgotten.",))))


def code(visit: Visit) -> Response:
    """Draw the code that the desk shows, for a phone's camera."""
    pairing = _pairing(visit)
    if pairing is None or not at_the_desk(visit.request):
        return outside(visit.house.pages, 404, "There is no page here")
    address = pairing.offered()
    version, level = least_design(address)
    drawn = visit.house.pages.get_template("code.svg").render(
        runs=symbol_runs(address, version, level), quiet=_QUIET, side=side(version) + 2 * _QUIET
    )
    return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "no-store"})


def now(visit: Visit) -> Response:
    """Tell the desk's page whether what it shows is still so."""
    return JSONResponse({"mark": _mark(visit)})


def trust(visit: Visit) -> Response:
    """Tell how a phone comes to trust this computer's certificate."""
    root = visit.house.rules.root
    if not root:
        return outside(
            visit.house.pages,
            404,
            "Nothing to trust",
            "The stores is served over HTTP. 'stores serve --secure' serves it over HTTPS.",
        )
    from stores.web.certificate import fingerprint

    text = visit.house.pages.get_template("trust.html").render(
        title="Trust this computer", words=(), fingerprint=fingerprint(root)
    )
    return Response(text, media_type="text/html")


def certificate(visit: Visit) -> Response:
    """Give the certificate that a phone is to trust; it says nothing that is secret."""
    root = visit.house.rules.root
    if not root:
        return outside(visit.house.pages, 404, "There is no page here")
    return Response(
        root,
        media_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="stores.crt"'},
    )


def _pairing(visit: Visit) -> Pairing | None:
    return visit.house.rules.pairing


def _form(visit: Visit, status: int = 200, refusal: str = "") -> Response:
    agent = visit.request.headers.get("user-agent", "")
    text = visit.house.pages.get_template("pair.html").render(
        title="Pair this device",
        words=(),
        here=visit.request.url.path,
        name=visit.word("name") or ("Phone" if "Mobile" in agent else "Tablet or computer"),
        refusal=refusal,
        days=DAYS,
        secure=bool(visit.house.rules.root),
    )
    return Response(text, status, media_type="text/html")


def _used_or_old(visit: Visit) -> Response:
    return outside(
        visit.house.pages,
        410,
        "This code works no longer",
        "A code works once, and for ten minutes. Open "
        f"http://localhost:{visit.request.url.port or 80}/devices on the computer that has the "
        "stores: it shows a new one.",
    )


def _nothing_to_pair(visit: Visit) -> Response:
    return outside(
        visit.house.pages,
        404,
        "No pairing here",
        "The stores is open on this computer only. 'stores serve --phone' opens it to phones.",
    )


def _mark(visit: Visit) -> str:
    """Return what changes when a device is let in or forgotten, or another code is to be shown."""
    kept, pairing = visit.house.rules.devices, _pairing(visit)
    known = [each.number for each in (kept.listed() if kept else ())]
    shown = pairing.offered() if pairing and at_the_desk(visit.request) else ""
    return f"{known} {hash(shown)}"


PAGES = (
    Page("/in/{code}", pair),
    Page("/in/{code}", paired, "POST"),
    Page("/devices", devices),
    Page("/devices/forget", forget, "POST"),
    Page("/devices/code.svg", code),
    Page("/devices/now", now),
    Page("/trust", trust),
    Page("/trust/stores.crt", certificate),
)
