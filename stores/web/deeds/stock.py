"""The workshop's stock: entered, packs, the least of it, kept for a joint, used, what is left."""

from dataclasses import replace

from stores.model.ledger import Condition
from stores.usecases.stock import OUTCOMES, Enter, NotePack, PackAsTyped
from stores.web.deeds.fields import NEW_FIRM, NEW_PLACE, OF
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link, Visit, lines_of

_WHAT = Field("what", "What", hint="Its number in stock, as 0.7, or words that fit it")
_STEP = Field("step", "For step", "number", "Of the machine", option="--step")
_PACK = (
    Field("pack", "What a full pack holds", hint="As 50 ml", option="--holds", more=True),
    Field("made", "When it was made", hint="As printed on it", option="--made", more=True),
    Field("opened", "When it was opened", hint="As today, 3 Nov", option="--opened", more=True),
    Field("use_by", "The last day it is good", option="--use-by", more=True),
    Field("batch", "Its batch number", option="--batch", more=True),
    Field("hazard", "What can hurt somebody", option="--hazard", more=True),
    Field("keeping", "How it is to be kept", option="--keep", more=True),
    Field("note", "Note", option="--note", more=True),
)
"""What is printed on a pack, named as in `PackAsTyped`."""


def _on_pack(visit: Visit) -> PackAsTyped:
    return PackAsTyped(**{each.name: visit.word(each.name).strip() for each in _PACK})


def _enter(visit: Visit) -> Enter:
    return Enter(
        tuple(line for text in visit.words("lines") for line in lines_of(text)),
        visit.word("to").strip() or "bench",
        visit.word("condition") or None,
        visit.word("supplier").strip(),
        visit.word("least").strip(),
        _on_pack(visit),
        visit.word("new_place") == "1",
        visit.word("new_firm") == "1",
        visit.word("price").strip() or None,
    )


def _after(_reply: object) -> list[Link]:
    return [Link("The stock", "/ask/stock")]


DEEDS = (
    Deed(
        "enter", "Put into stock", "Record it", "stock:enter", "stock:Enter", "stock:entered",
        Field("lines", "What and how much", "lines",
              "One thing a line: 40 M6 plain washer, half a 50 ml tube of flange sealant"),
        Field("to", "Where it is", hint="As drawer 3, tin 2", value="bench", option="--to"),
        Field("condition", "Fasteners are", "choice", option="--condition",
              choices={"": "new", **{each.value: each.value for each in Condition}}),
        Field("supplier", "Who it was bought from", option="--from", more=True),
        Field("price", "What was paid for all of it", option="--price", more=True),
        Field("least", "The least to be held of the first", option="--least", more=True),
        *_PACK, NEW_PLACE, NEW_FIRM,
        make=_enter, next=_after, line="Fasteners in drawers, consumables",
    ),
    Deed(
        "pack", "What is printed on a pack", "Record it",
        "stock:note_pack", "stock:NotePack", "stock:pack_noted",
        _WHAT, *(replace(each, more=each.name not in ("opened", "use_by", "batch"))
                 for each in _PACK),
        make=lambda visit: NotePack(visit.word("what"), _on_pack(visit)),
        next=_after, intro='Write "none" to take a word back.', line="Opened, use by, batch",
    ),
    Deed(
        "least", "The least to be held", "Record it",
        "stock:keep_at_least", "stock:KeepAtLeast", "stock:kept_at_least",
        Field("what", "What", hint="A number in stock, as 0.7, or the thing: M6 nut"),
        Field("least", "How much", hint="As 50, 100 ml; 0 to stop"),
        next=_after, line="What is below is on the shopping list",
    ),
    Deed(
        "reserve", "Keep something for a step", "Record it",
        "stock:reserve", "stock:Reserve", "stock:reserved",
        Field("what", "What", hint="A number in stock, words, or a place: a kit"),
        Field("quantity", "How many, or how much", hint="Empty: all that is free",
              option="--quantity"),
        _STEP,
        Field("let_go", "Keep it no longer", "tick", option="--let-go"),
        next=_after, line="No other counts on it",
    ),
    Deed(
        "use", "Use up, throw out", "Record it", "stock:use_up", "stock:UseUp", "stock:used_up",
        _WHAT,
        Field("quantity", "How much", hint="As 5 ml; empty: all of it"),
        Field("outcome", "It was", "choice", choices=OUTCOMES, value=OUTCOMES[0],
              option="--spilt"),
        _STEP,
        Field("why", "Note", option="--note", more=True),
        OF,
        Field("anyway", "Use what is kept for others too", "tick", option="--anyway", more=True),
        next=_after, line="From stock, on no joint: used, spilt, gone off",
    ),
    Deed(
        "left", "What is left of a consumable", "Record it",
        "stock:say_what_is_left", "stock:SayWhatIsLeft", "stock:measured",
        _WHAT,
        Field("left", "How much is left", hint="As about a third, 340 g"),
        Field("why", "How it was measured", hint="As weighed, less the tin", option="--note"),
        next=_after,
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "stock", "The stock", "Show", "stock:stock", "stock:LookAtStock", "stock:in_stock",
        Field("what", "What", hint="A size, a thing, words, or a place; empty: all"),
        Field("sound", "New or inspected ones alone", "tick", option="--sound"),
        Field("low", "Running low, or past its date", "tick", option="--low"),
    ),
)  # fmt: skip
