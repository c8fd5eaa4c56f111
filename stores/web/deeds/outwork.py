"""Outwork: batches made up, sent with a note and counted back; the short way out and back."""

from collections.abc import Callable
from typing import Any

from stores.model.ledger import Condition
from stores.model.outwork import MARKS
from stores.usecases.common import WorkSaid
from stores.usecases.outwork import BatchesListed, CountBatchBack, TakeBack
from stores.web.deeds.fields import NEW_FIRM, NEW_PLACE, OF, QUANTITY
from stores.web.forms import Deed, Field, Inquiry, whole
from stores.web.visit import Link, Visit, lines_of, path_to
from stores.wording import Line, Lines
from stores.wording.outwork import batch_lines, nothing

_BATCH = Field("batch", "Batch", "number", "Its number")
_WHAT = Field("what", "Which", "lines", "Bags, steps or items, one a line: A001N, 9.1")
_SOME = Field("what", "Which", "lines", "One a line, as 7.2; empty: all")
_BUT = Field("but", "All came, except", hint="As 1.2: 3, 2.1: none", option="--all-but", more=True)
_CONDITION = Field(
    "condition", "They are", "choice", option="--condition",
    choices={"": "not inspected", **{each.value: each.value for each in Condition}},
)  # fmt: skip
_PROMISED = Field("promised", "Promised for", hint="As 19 Feb, or friday", option="--promised")
_WORK = (
    Field("work", "Work done", hint="As welded and ground, zinc plated", option="--work"),
    Field("by", "Who did the work", hint="Empty: the firm", option="--by", more=True),
    Field("measured", "What it measured after", hint="As 19.98 mm", option="--measured",
          more=True),
)  # fmt: skip


def _things(visit: Visit) -> tuple[str, ...]:
    return tuple(line for text in visit.words("what") for line in lines_of(text))


def _work(visit: Visit) -> WorkSaid:
    return WorkSaid(*(visit.word(each.name).strip() for each in _WORK))


def _batch_back(visit: Visit) -> CountBatchBack:
    return CountBatchBack(
        whole(visit, "batch"), _things(visit), visit.word("quantity").strip() or None,
        visit.word("condition") or None, visit.word("but"), _work(visit),
    )  # fmt: skip


def _back(visit: Visit) -> TakeBack:
    return TakeBack(
        visit.word("firm"), _things(visit), visit.word("quantity").strip() or None,
        visit.word("condition") or None, visit.word("to").strip() or None,
        visit.word("new_place") == "1", visit.word("but"), _work(visit),
    )  # fmt: skip


def _listed(reply: BatchesListed) -> Lines:
    return Lines(
        [
            line
            for head, inside in batch_lines(reply)
            for line in (Line(head), *(Line(text, "  ") for text in inside))
        ]
        or [Line(nothing)]
    )


def _next(*large: str) -> Callable[[Any], list[Link]]:
    """Return the deeds that a person goes on to with the same batch."""
    words = {
        "batch-put": "Put something into it",
        "batch-mark": "Photographed, packed",
        "batch-send": "Send it",
    }
    return lambda reply: [
        *(
            Link(words[name], path_to(f"/do/{name}", batch=reply.batch), large=True)
            for name in large
        ),
        Link("The batches", "/ask/batches"),
    ]


def _sent(reply: Any) -> list[Link]:
    note = Link("Its advice note", path_to("/paper/note", batch=reply.batch), large=True)
    return [note, *_next()(reply)]


DEEDS = (
    Deed(
        "batch-begin", "Begin a batch", "Begin it",
        "outwork:begin_batch", "outwork:BeginBatch", "outwork:begun",
        Field("firm", "Who does the work"),
        Field("work", "What is to be done", hint="As zinc plating", option="--for"),
        Field("finish", "Finish", hint="Colour, thickness, sheen: bright, 8 um", option="--finish"),
        Field("note", "Anything else for the firm", option="--note", more=True),
        NEW_FIRM,
        next=_next("batch-put"), line="For a firm; nothing moves until it is sent",
    ),
    Deed(
        "batch-put", "Put into a batch", "Put in",
        "outwork:put_into_batch", "outwork:PutIntoBatch", "outwork:filled",
        _BATCH, _WHAT, QUANTITY,
        Field("metal", "Metal", hint="As steel, aluminium, brass", option="--metal"),
        Field("masking", "What to mask", hint="As threads, bearing seats, earth points",
              option="--mask", more=True),
        Field("strength", "Class", hint="As 8.8, 10.9, 34 HRC: high-strength steel and plating do "
              "not go together unsaid", option="--class"),
        Field("note", "For the firm, of these", option="--note", more=True),
        next=_next("batch-put", "batch-send"),
    ),
    Deed(
        "batch-out", "Take out of a batch", "Take out",
        "outwork:take_out_of_batch", "outwork:TakeOutOfBatch", "outwork:reduced",
        _BATCH, _WHAT, next=_next(), line="One that is not sent yet",
    ),
    Deed(
        "batch-mark", "Batch photographed, packed", "Record it",
        "outwork:mark_batch", "outwork:MarkBatch", "outwork:marked",
        _BATCH,
        Field("marks", "Done", "ticks", choices=MARKS),
        Field("promised", "Promised for", hint="As 19 Feb, friday, or none", option="--promised"),
        next=_next("batch-send"),
    ),
    Deed(
        "batch-send", "Send a batch", "Send it",
        "outwork:send_batch", "outwork:SendBatch", "outwork:sent_batch",
        _BATCH, _PROMISED, next=_sent, line="Its pieces are away from now on",
    ),
    Deed(
        "batch-back", "A batch came back, with work done", "Record it",
        "outwork:count_batch_back", "outwork:CountBatchBack", "outwork:counted_back",
        _BATCH, _SOME, QUANTITY, _CONDITION, *_WORK, _BUT,
        make=_batch_back, next=_next(), line="Or piece by piece; what is short stays away",
    ),
    Deed(
        "batch-off", "Write off what does not come back", "Write off",
        "outwork:write_off", "outwork:WriteOff", "outwork:written_off",
        _BATCH, _SOME, QUANTITY,
        Field("reason", "Why", hint="As lost in the vat", option="--note"),
        next=_next(), line="Lost at a firm, and to be bought",
    ),
    Deed(
        "send", "Send without a batch", "Send",
        "outwork:send", "outwork:SendPieces", "outwork:sent",
        _WHAT,
        Field("firm", "Who does the work", option="--to"),
        Field("work", "What is to be done", hint="As zinc plating", option="--for"),
        QUANTITY, OF, NEW_FIRM,
        line="The short way, counted",
    ),
    Deed(
        "back", "Back from a firm", "Record it",
        "outwork:take_back", "outwork:TakeBack", "outwork:back",
        Field("firm", "Who sent them back"),
        _SOME, QUANTITY, _CONDITION, *_WORK,
        Field("to", "Where to", hint="Empty: where they came from", option="--to", more=True),
        _BUT, NEW_PLACE,
        make=_back, line="What was sent without a batch",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "batches", "The batches", "Show",
        "outwork:batches", "outwork:ListBatches", _listed,
        Field("everything", "Those that are all back, too", "tick", option="--all"),
        line="Being made up, away, overdue",
    ),
)  # fmt: skip
