"""What arrived, all of it preset: only what differs was tapped."""

from stores.usecases.orders import ReceiveOrder
from stores.usecases.outwork import CountBatchBack
from stores.web.forms import Deed, Field
from stores.web.visit import Visit

CAME, DUE = "came-", "due-"
"""Before a line's number or an item's: how many came, and how many were due."""


def but(visit: Visit) -> str:
    """Return what differs from what was due, as ``2: 3, 4: none``."""
    if visit.word("but"):
        return visit.word("but")
    sent = visit.request.query_params if visit.form is None else visit.form
    lines = [name.removeprefix(CAME) for name in sent if name.startswith(CAME)]
    came = {line: visit.word(CAME + line).strip() or "0" for line in lines}
    differs = {line: n for line, n in came.items() if n != visit.word(DUE + line)}
    return ", ".join(f"{line}: {n if n != '0' else 'none'}" for line, n in differs.items())


DEEDS = (
    Deed(
        "parcel",
        "A parcel arrived",
        "Record it",
        "orders:receive_order",
        "orders:ReceiveOrder",
        "orders:received",
        Field("order", "Order", "number"),
        Field("but", "All came, except", hint="By line, as 2: 3, 4: none", option="--all-but"),
        Field("to", "Where it all goes", hint="Empty: into the bags of the joints that need it"),
        make=lambda visit: ReceiveOrder(
            int(visit.word("order") or 0), to=visit.word("to").strip() or None, but=but(visit)
        ),
        kept=lambda visit: {"but": but(visit)},
    ),
    Deed(
        "batch-in",
        "A batch came back",
        "Record it",
        "outwork:count_batch_back",
        "outwork:CountBatchBack",
        "outwork:counted_back",
        Field("batch", "Batch", "number"),
        Field("but", "All came, except", hint="As 1.2: 3, 2.1: none", option="--all-but"),
        Field("condition", "They are", "choice", choices=("", "serviceable"), option="--condition"),
        make=lambda visit: CountBatchBack(
            int(visit.word("batch") or 0),
            condition=visit.word("condition") or None,
            but=but(visit),
        ),
        kept=lambda visit: {"but": but(visit)},
    ),
)
INQUIRIES = ()
