"""Found or arrived: a strange bolt, a parcel, a plater's batch. Everything is preset."""

from starlette.responses import Response

from stores.errors import NotFound, StoresError
from stores.usecases.find import FindMeasured, find_measured
from stores.usecases.measuring import Measured
from stores.usecases.orders import ListOrders, one_order, orders
from stores.usecases.outwork import ListBatches, batches
from stores.web.deeds.arrived import CAME, DUE
from stores.web.pages import Page
from stores.web.visit import Visit
from stores.wording.find import threads

__all__ = ["PAGES"]

LEAST = 0.02
"""What is less likely is left to the sum "another joint"."""


def arrived(visit: Visit) -> Response:
    """Show what is on order and away, and the way to a strange bolt."""
    try:
        ordered = orders(visit.context(), ListOrders()).orders
    except StoresError:
        ordered = ()
    away = [each for each in batches(visit.context(), ListBatches()).batches if each.away]
    return visit.page("arrived.html", orders=ordered, batches=away)


def parcel(visit: Visit) -> Response:
    """Show an order with all that is still to come of it as come."""
    order = one_order(visit.context(), int(visit.part("number")))
    lines = [line for line in order.lines if line.outstanding]
    return visit.page("parcel.html", order=order, lines=lines, came=CAME, due=DUE)


def batch(visit: Visit) -> Response:
    """Show a batch with all that is away of it as back."""
    number = int(visit.part("number"))
    known = batches(visit.context(), ListBatches()).batches
    chosen = next((each for each in known if each.batch == number), None)
    if chosen is None:
        raise NotFound("no such batch", number=number)
    lines = [line for line in chosen.lines if line.away]
    return visit.page("batch_in.html", batch=chosen, lines=lines, came=CAME, due=DUE)


FIELDS = ("od", "bore", "pitch", "over", "flats", "angle", "tool", "surface")


def bolt(visit: Visit) -> Response:
    """Measure a strange bolt, and show the joints that it may be of."""
    typed = {name: visit.word(name).strip() for name in (*FIELDS, "length", "head")}
    measured = Measured(**{name: typed[name] for name in FIELDS})
    if not measured:
        return visit.page("bolt.html", typed=typed, reply=None)
    try:
        reply = find_measured(
            visit.context(), FindMeasured(measured, typed["length"], typed["head"])
        )
    except StoresError as error:
        return visit.page("bolt.html", 422, typed=typed, reply=None, error=error)
    joints = [joint for joint in reply.joints if joint.probability >= LEAST][:8]
    return visit.page(
        "bolt.html",
        typed=typed,
        reply=reply,
        joints=joints,
        rest=1 - sum(joint.probability for joint in joints),
        threads=threads(reply.identified, most=5),
    )


PAGES = (
    Page("/arrived", arrived),
    Page("/arrived/order/{number:int}", parcel),
    Page("/arrived/batch/{number:int}", batch),
    Page("/bolt", bolt),
)
