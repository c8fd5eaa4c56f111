"""Shopping, and the list to take along: it works without a network, and is sent back later."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from starlette.responses import Response

from stores.errors import Repeated, StoresError
from stores.planning.shopping import ShoppingList
from stores.usecases.orders import Buy, buy
from stores.usecases.shopping import WhatToBuy, shopping
from stores.web.pages import Page
from stores.web.visit import Link, Told, Visit
from stores.wording import Said
from stores.wording.orders import bought
from stores.wording.shopping import inspect_first

__all__ = ["PAGES"]

STATIC = Path(__file__).parent.parent / "static"
MOST = 500
"""The most lines that are sent back at one time."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A line to tick: how many, what, for which joints; ``typed`` is what `buy` is asked with."""

    count: int
    what: str
    note: str
    typed: str


@dataclass(frozen=True, slots=True)
class Shop:
    """What is bought at one place."""

    heading: str
    lines: tuple[Wanted, ...]
    open: tuple[str, ...]


def _shops(listed: ShoppingList) -> list[Shop]:
    shops = []
    for section in listed.sections:
        lines = [
            Wanted(
                line.quantity,
                line.what,
                "; ".join(filter(None, (line.why, line.instead and f"or {line.instead}"))),
                line.joints[0] if len(line.joints) == 1 else line.spec,
            )
            for line in section.lines
        ]
        lines += [
            Wanted(line.quantity, line.text, f"{line.wanted_for}; {line.why}", line.text)
            for line in section.supplies
            if line.quantity
        ]
        unsure = [
            f"{line.text}, for {line.wanted_for}: {line.why}"
            for line in section.supplies
            if not line.quantity
        ]
        heading = section.heading if listed.divided else ""
        shops.append(Shop(heading, tuple(lines), tuple(unsure)))
    return shops


def _listed(visit: Visit) -> ShoppingList:
    listed: ShoppingList = shopping(visit.context(), WhatToBuy(visit.word("assembly")))
    return listed


def shopping_list(visit: Visit) -> Response:
    """Show what to buy."""
    listed = _listed(visit)
    return visit.page(
        "shopping.html",
        listed=listed,
        shops=_shops(listed),
        inspect=inspect_first(listed, by_line=False),
    )


def take_along(visit: Visit) -> Response:
    """Show the list to take along; saved, it is one file with all that it needs in it."""
    listed = _listed(visit)
    shops = _shops(listed)
    mark = hashlib.sha256(repr(shops).encode()).hexdigest()[:12]
    saved = visit.has("save")
    page = visit.page(
        "take_along.html",
        listed=listed,
        shops=shops,
        mark=mark,
        saved=saved,
        style=(STATIC / "stores.css").read_text(encoding="utf-8") if saved else "",
        script=(STATIC / "take_along.js").read_text(encoding="utf-8") if saved else "",
        server=str(visit.request.base_url).rstrip("/"),
    )
    if saved:
        page.headers["content-disposition"] = 'attachment; filename="shopping.html"'
    return page


def _ticked(visit: Visit) -> list[tuple[int, str, str, str]]:
    """Return what was ticked: its number on the list, what, how many, and its words."""
    return [
        (at, visit.word(f"what-{at}"), visit.word(f"count-{at}"), visit.word(f"words-{at}"))
        for at in range(MOST)
        if visit.word(f"got-{at}")
    ]


def sent_back(visit: Visit) -> Response:
    """Show what a saved list brings back, to be recorded by a press of a button."""
    return visit.page("sent_back.html", ticked=_ticked(visit), firm=visit.word("firm"))


def record(visit: Visit) -> Response:
    """Record what was bought: an act a line, so that one that is refused holds none up."""
    key = visit.word("key")
    lines: list[str] = []
    notes: list[str] = []
    cautions: dict[str, None] = {}
    for at, what, count, words in _ticked(visit):
        ask = Buy(
            what,
            count or None,
            firm=visit.word("firm").strip() or "a supplier",
            new_firm=visit.word("new_firm") != "",
            key=f"{key}-{at}" if key else "",
        )
        try:
            said = bought(buy(visit.context(), ask))
        except Repeated as error:
            lines.append(error.summary)
        except StoresError as error:
            notes.append(f"{words or what}: {visit.refusal(error)}")
        else:
            lines += said.lines
            notes += said.notes
            cautions |= dict.fromkeys(said.cautions)
    if not lines and not notes:
        notes.append("Nothing was ticked, so nothing was recorded.")
    told = Told(Said(lines, notes, tuple(cautions)), links=(Link("Shopping", "/shopping"),))
    return visit.to("/shopping", told, key)


PAGES = (
    Page("/shopping", shopping_list),
    Page("/shopping/take", take_along),
    Page("/shopping/back", sent_back),
    Page("/shopping/bought", record, "POST"),
)
