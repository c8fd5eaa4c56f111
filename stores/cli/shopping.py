"""The shopping list: on the screen, to carry, to work on, to send."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    command,
    day,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.printed import Open, show_file, today
from stores.errors import BadValue, NotFound
from stores.text import plural

if TYPE_CHECKING:
    from stores.handbook.fluids import ShoppingOil
    from stores.model.items import Item
    from stores.planning.oils import OilLine
    from stores.planning.shopping import Shortage
    from stores.planning.to_buy import ToBuy
    from stores.printing.files import Printed

__all__: list[str] = []


@command(
    "shopping",
    "stores shopping",
    "stores shopping Engine/Gearbox --message",
    "stores shopping --pdf list.pdf --csv list.csv --xlsx list.xlsx",
)
def shopping(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    pdf: Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="As PDF.")] = None,
    csv: Annotated[str | None, typer.Option("--csv", metavar="FILE", help="As CSV.")] = None,
    xlsx: Annotated[
        str | None, typer.Option("--xlsx", metavar="FILE", help="As a spreadsheet.")
    ] = None,
    cans: Annotated[
        str, typer.Option("--cans", metavar="SIZES", help="What oil is sold in: 500ml,1l,5l.")
    ] = "",
    supplier: Annotated[
        str, typer.Option("--from", metavar="SUPPLIER", help="Only what they have a price for.")
    ] = "",
    as_message: Annotated[
        bool, typer.Option("--message", help="Plain text, to send to a supplier.")
    ] = False,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The shopping list: what the rebuild needs and the stores cannot supply, oil in whole cans."""
    from stores.planning.oils import SIZES_ML, oil_lines, oil_to_buy, read_sizes
    from stores.planning.shopping import message
    from stores.planning.to_buy import to_buy
    from stores.storage.figures import read_sumps
    from stores.storage.items import read_items
    from stores.storage.machines import machine_named
    from stores.storage.orders import read_on_order, read_prices, spare_rules
    from stores.storage.settings import read_settings

    sizes = read_sizes(cans) if cans else SIZES_ML
    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        items = read_items(connection, machine=on.number)
        within = _within(items, assembly)
        coming = read_on_order(connection, on.number)
        currency = read_settings(connection).get("currency", "")
        known = [price for price in read_prices(connection) if price.currency == currency]
        rules = spare_rules(connection)
        sumps = read_sumps(connection, on.number)
    oil = oil_to_buy(sumps, sizes)
    oils = [] if assembly else oil_lines(oil, sumps)
    listed = to_buy(items, coming, known, rules, oils, within=within, supplier=supplier)
    if as_message:
        show.say(message(on.name, listed.lines, listed.oils))
        return
    written = _write(on.name, listed, (pdf, csv, xlsx))
    if json:
        files = [str(Path(p.path).absolute()) for p in written]
        show.as_json(_data(listed) | {"files": files, "oil": listed.oils})
        return
    if written:
        count = plural(len(listed.lines) + len(listed.oils), "line")
        show.say(f"Shopping list of {on.name}: {count}")
        for printed in written:
            wanted = shown and printed.path.suffix == ".pdf"
            show_file(printed, json_wanted=False, shown=wanted, data={})
        return
    _show(on.name, listed, oil)


def _write(
    name: str, listed: "ToBuy", files: tuple[str | None, str | None, str | None]
) -> "list[Printed]":
    written: list[Printed] = []
    pdf, csv, xlsx = files
    if pdf is not None:
        from stores.printing.shopping import write_shopping

        title = f"Shopping list: {name}"
        written.append(write_shopping(listed, file_at(pdf), title=title, date=today()))
    if csv is not None or xlsx is not None:
        from stores.printing.files import write_csv, write_xlsx

        if csv is not None:
            written.append(write_csv(listed, file_at(csv)))
        if xlsx is not None:
            written.append(write_xlsx(listed, file_at(xlsx)))
    return written


def _data(listed: "ToBuy") -> dict[str, Any]:
    return {
        "lines": [
            {
                "quantity": line.quantity,
                "what": line.text,
                "kind": line.kind,
                "why": line.reasons,
                "for": [need.item.ref for need in line.needs],
                "on_order": line.ordered,
                "to_spare": line.more,
                "pack": line.pack,
                "supplier": line.supplier,
                "price_hundredths": line.price,
                "instead": line.instead,
                "longer_in_hand": line.longer_in_hand,
            }
            for line in listed.lines
        ],
        "measure_first": [
            {"item": m.item.ref, "what": m.item.as_found.text, "quantity": m.quantity}
            for m in listed.unseen
        ],
    }


def _show(name: str, listed: "ToBuy", oil: "ShoppingOil") -> None:
    if not listed.lines and not listed.oils and not listed.unseen:
        show.say(f"Nothing to buy for {name}.")
        return
    show.say(
        f"Shopping list of {name}: {plural(len(listed.lines), 'line')}, "
        f"{plural(listed.pieces, 'piece')}"
    )
    for section in listed.sections:
        if listed.divided:
            show.say()
            show.say(section.heading)
        if section.lines:
            _show_lines(section.lines)
        if section.oils:
            show.say()
            _show_oils(section.oils)
    if listed.oils:
        for said in oil.assumptions:
            if "only the" in said:
                show.paragraph(said, bullet=True)
        show.paragraph(oil.cautions[0][:1].upper() + oil.cautions[0][1:], first="! ", rest="  ")
    for line in listed.at_hand:
        show.paragraph(
            f"{line.longer_in_hand} in hand would do for {line.text}: {line.instead}", bullet=True
        )
    if listed.unseen:
        show.say()
        pieces = sum(each.quantity for each in listed.unseen)
        show.paragraph(
            f"Not before it is measured: {plural(pieces, 'piece')} of "
            f"{plural(len(listed.unseen), 'item')} nobody has looked at: "
            f"{', '.join(each.item.ref for each in listed.unseen)}"
        )


def _show_lines(lines: "Sequence[Shortage]") -> None:
    priced = any(line.asked for line in lines)
    show.table(
        ["Qty", "What", "Why", "For"] + (["Price"] if priced else []),
        [
            [str(line.quantity), line.text, line.why, line.refs] + ([line.asked] if priced else [])
            for line in lines
        ],
        right=[0],
    )


def _show_oils(oils: "Sequence[OilLine]") -> None:
    priced = any(line.asked for line in oils)
    show.table(
        ["Qty", "Oil", "Why", "For"] + (["Price"] if priced else []),
        [
            ["?" if line.quantity is None else str(line.quantity), line.text, line.why, line.sumps]
            + ([line.asked] if priced else [])
            for line in oils
        ],
        right=[0],
    )


def _within(items: "Sequence[Item]", assembly: str) -> "Callable[[Item], bool] | None":
    """Give what tells whether an item lies in an assembly or one below it; None without one.

    Raises:
        NotFound: nothing came off such an assembly.
    """
    from stores.model.items import lies_in

    if not assembly.strip():
        return None

    def inside(item: "Item") -> bool:
        return bool(item.step.number) and lies_in(item.step.assembly, assembly)

    if not any(map(inside, items)):
        raise NotFound(f"no assembly {assembly!r}: nothing came off one of that name")
    return inside


@command(
    "spares",
    "stores spares screw 10 --least 1 --most 0.50",
    "stores spares screw 0",
    'stores spares "split pin" --as-lost',
    "stores spares",
)
def spares(
    ctx: typer.Context,
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="screw, nut, split pin ...; without it, a list.")
    ] = "",
    per_cent: Annotated[
        int | None, typer.Argument(metavar="PERCENT", help="Of what is needed, rounded up.")
    ] = None,
    least: Annotated[int, typer.Option("--least", metavar="N", help="At least so many.")] = 0,
    most: Annotated[
        str | None, typer.Option("--most", metavar="SUM", help="Only if one costs no more.")
    ] = None,
    as_lost: Annotated[
        bool, typer.Option("--as-lost", help="As many per cent as were lost so far.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """How many spares to buy of a kind, for what is lost or shears; 0 is none.

    Nothing is put on unless it was said here. The list has what the record lost so far of each.
    """
    from stores import usecases
    from stores.planning.money import show_money
    from stores.planning.shopping import lost_so_far
    from stores.storage.items import read_items
    from stores.storage.orders import spare_rules

    refuse_options([kind])
    if as_lost and (per_cent is not None or not kind):
        raise BadValue("--as-lost takes a kind and no per cent: stores spares screw --as-lost")
    if kind:
        with opened(ctx) as store:
            if as_lost:
                with store.reading() as connection:
                    per_cent = lost_so_far(kind, read_items(connection)).per_cent
            if per_cent is None:
                raise BadValue(f"say how many per cent: stores spares {kind[:40]} 10")
            reply = usecases.set_spares(
                store, kind, per_cent, least=least, most_price=most, at=day(on)
            )
        show.done(reply, json_wanted=json)
        return
    with opened(ctx) as store, store.reading() as connection:
        rules = spare_rules(connection)
        items = read_items(connection) if rules else []
    lost = {rule.name: lost_so_far(rule.name, items) for rule in rules}
    if json:
        show.as_json(
            [
                {"name": r.name, "per_cent": r.per_cent, "least": r.least,
                 "most_price": r.most_price, "lost": lost[r.name].lost, "of": lost[r.name].of}
                for r in rules
            ]
        )  # fmt: skip
    elif not rules:
        show.say("No spares are bought: stores spares screw 10 --least 1")
    else:
        show.table(
            ["Kind", "Per cent", "At least", "Only up to", "Lost so far"],
            [
                [r.name, str(r.per_cent), str(r.least),
                 "" if r.most_price is None else show_money(r.most_price), str(lost[r.name])]
                for r in rules
            ],
            right=[1, 2, 3, 4],
        )  # fmt: skip
