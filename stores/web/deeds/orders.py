"""Orders with suppliers: placed, received, sent back; what was bought without one."""

from stores.usecases.orders import OrderOnRecord, OrderPlaced, PromiseOrder
from stores.web.deeds.fields import NEW_FIRM, NEW_PLACE, QUANTITY
from stores.web.forms import Deed, Field, Inquiry, Words, whole
from stores.web.visit import Link, path_to
from stores.wording import Said
from stores.wording.orders import one_order

_ORDER = Field("order", "Order", "number", "Its number")
_LINE = Field("line", "Line", "number", "Its number in the order")
_LINES = Field("lines", "Lines", hint="As 1 3; empty: all")
_TO = Field("to", "Where it all goes", hint="Empty: into the bags of the joints that need it",
            option="--to")  # fmt: skip
_STOCK = Field("stock", "For the workshop's stock, not for a joint", "tick", option="--stock")


def _after(_reply: object) -> list[Link]:
    return [Link("The orders", "/ask/orders", large=True)]


def _placed(reply: OrderPlaced) -> list[Link]:
    return [
        *_after(reply),
        Link("This order", path_to("/ask/order-lines", number=reply.order)),
    ]


def _one(reply: OrderOnRecord) -> Words:
    words = one_order(reply)
    return [Said((words.heading, *filter(None, (words.note,)))), words.lines, Said(words.sums)]


DEEDS = (
    Deed(
        "order", "Order something", "Record it",
        "orders:place_order", "orders:PlaceOrder", "orders:placed",
        Field("supplier", "Who it is with"),
        Field("lines", "What", "lines", "One thing a line: 20 M6x25 hex = 4.20, or an item, 7.4"),
        Field("listed", "All of the shopping list, in whole packs", "tick", option="--list"),
        Field("promised", "Promised for", hint="As 15 Jan, or friday", option="--promised"),
        Field("carriage", "What sending it costs", hint="As 3.95", option="--carriage", more=True),
        Field("note", "Their number and the like", option="--note", more=True),
        Field("stock", "For the workshop's stock, not for a joint", "tick", option="--stock",
              more=True),
        NEW_FIRM,
        next=_placed, line="Nothing is in the stores until it comes",
    ),
    Deed(
        "order-came", "An order came in part", "Record it",
        "orders:receive_order", "orders:ReceiveOrder", "orders:received",
        _ORDER, _LINES, QUANTITY, _TO,
        Field("but", "All came, except", hint="By line, as 2: 3, 4: none", option="--all-but"),
        NEW_PLACE,
        next=_after, line="Some lines, or so many of them",
    ),
    Deed(
        "order-back", "Send something back", "Record it",
        "orders:send_to_supplier", "orders:SendToSupplier", "orders:sent_back",
        _ORDER, _LINE, QUANTITY,
        Field("why", "Why it goes back", hint="As thread too coarse", option="--note"),
        Field("refund", "No other is awaited in its place", "tick", option="--refund"),
        next=_after, line="To the supplier, of an order",
    ),
    Deed(
        "order-cancel", "Cancel an order", "Cancel it",
        "orders:cancel_order", "orders:CancelOrder", "orders:cancelled",
        _ORDER, _LINES, Field("why", "Why", option="--note"),
        next=_after, line="What is still to come of it, or some lines",
    ),
    Deed(
        "order-promised", "When an order is promised", "Record it",
        "orders:promise_order", "orders:PromiseOrder", "orders:promised",
        _ORDER, Field("promised", "Promised for", hint="As 22 Jan, friday, or none"),
        make=lambda visit: PromiseOrder(whole(visit, "order"), visit.word("promised")),
        next=_after,
    ),
    Deed(
        "order-costs", "What a line of an order costs", "Record it",
        "orders:price_order_line", "orders:PriceOrderLine", "orders:priced",
        _ORDER, _LINE, Field("price", "What all of the line costs", hint="As 4.20"),
        next=_after, line="By the invoice, say",
    ),
    Deed(
        "buy", "Bought without an order", "Record it",
        "orders:buy", "orders:Buy", "orders:bought",
        Field("what", "What arrived", hint="As 20 M6 nut, 1 l SAE 30; or an item, 7.4"),
        QUANTITY,
        Field("firm", "Who it was bought from", value="a supplier", option="--from"),
        Field("price", "What was paid for all of it", hint="As 13.00", option="--price"),
        _TO, _STOCK,
        Field("note", "Note", more=True, option="--note"),
        NEW_FIRM, NEW_PLACE,
        next=lambda _reply: [Link("Shopping", "/ask/shopping-list")],
        line="Shared out over the joints that are short of it",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "orders", "The orders", "Show",
        "orders:orders", "orders:ListOrders", "orders:listing",
        Field("everything", "Those with nothing outstanding, too", "tick", option="--all"),
    ),
    Inquiry(
        "order-lines", "One order", "Show", "orders:one_order", "", _one,
        Field("number", "Order", "number", "Its number"),
        call=lambda visit, one: one(visit.context(), whole(visit, "number")),
        at_once=False, line="Line by line",
    ),
)  # fmt: skip
