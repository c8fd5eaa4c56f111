"""Parts lists: one read in from a file, and what was read."""

from stores.errors import BadValue
from stores.sheets import open_sheet
from stores.usecases.parts_lists import PartsListRead, PartsLists, ReadPartsList
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.web.visit import Link, Visit, lines_of
from stores.wording import Said
from stores.wording.parts_lists import listing, read_in, trial

SHOWN = 40
"""Rows shown on a page; the rest is counted."""


def _read(visit: Visit) -> ReadPartsList:
    """Read the rows of the file that was sent; it is kept for as long as its form comes back."""
    sent = visit.kept_file("file")
    if sent is None:
        raise BadValue("choose the file of the parts list: CSV or XLSX")
    rows = [(line, tuple(cells)) for line, cells in open_sheet(sent.files[0], visit.word("sheet"))]
    return ReadPartsList(
        rows,
        visit.word("source").strip() or sent.called,
        tuple(line for text in visit.words("columns") for line in lines_of(text)),
        without_refused=visit.word("without_refused") == "1",
        most=SHOWN,
    )


def _words(reply: PartsListRead) -> Words:
    if not reply.trial:
        return read_in(reply)
    words = trial(reply)
    more = (f"... and {words.more:,} more rows",) if words.more > 0 else ()
    mend = ("Mend the refused rows, or leave them out: under More",) if words.mend else ()
    return [
        Said((f"Columns: {words.columns}",)),
        words.rows,
        Said((*more, *words.refused, words.total), mend),
    ]


def _listed(reply: PartsLists) -> Words:
    more = reply.total - len(reply.parts)
    return [listing(reply), Said((f"... and {more:,} more rows",) if more > 0 else ())]


DEEDS = (
    Deed(
        "parts-list", "Read in a parts list", "Read it in",
        "parts_lists:read_parts_list", "parts_lists:ReadPartsList", _words,
        Field("file", "File", "file", "The parts book's or a supplier's, as CSV or XLSX"),
        Field("source", "What the list is called", hint="Empty: the file's name", option="--from"),
        Field("columns", "Columns", "lines", "One a line, as what=Part: what, quantity, number, "
              "assembly or note; found by their headings if empty", option="--column", more=True),
        Field("sheet", "Which sheet of a workbook", option="--sheet", more=True),
        Field("without_refused", "Leave out rows that cannot be read", "tick",
              option="--without-refused", more=True),
        make=_read, next=lambda _reply: [Link("The parts lists", "/ask/parts-lists")],
        intro="Show it first: each row is new, matched to an item, or refused, and why.",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "parts-lists", "The parts lists", "Show", "parts_lists:parts_lists",
        "parts_lists:ListParts", _listed, fixed={"most": SHOWN}, line="What was read in",
    ),
)  # fmt: skip
