"""The shopping list: on the screen, to carry, to work on, to send."""

from collections.abc import Sequence
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
from stores.cli.printed import Open, many, show_file, today
from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from stores.core.fluids import ShoppingOil
    from stores.planning.items import Item
    from stores.planning.oils import OilLine
    from stores.planning.shopping import Measure, Shortage
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
    from stores import queries
    from stores.planning.oils import SIZES_ML, oil_lines, oil_to_buy, read_sizes
    from stores.planning.shopping import message, packed, to_measure
    from stores.planning.shopping import shopping as shortages

    sizes = read_sizes(cans) if cans else SIZES_ML
    with opened(ctx) as store, store.reading() as connection:
        on = queries.machine_named(connection, machine)
        listed = queries.items(connection, machine=on.number)
        lines = shortages(_within(listed, assembly), queries.on_order(connection, on.number))
        currency = queries.settings(connection).get("currency", "")
        known = [price for price in queries.prices(connection) if price.currency == currency]
        rules = queries.spare_rules(connection)
        sumps = queries.sumps(connection, on.number)
    lines = packed(lines, known, rules)
    if supplier:
        lines = [line for line in lines if line.supplier.casefold().startswith(supplier.casefold())]
    unseen = to_measure(_within(listed, assembly))
    oil = oil_to_buy(sumps, sizes)
    oils = [] if assembly or supplier else oil_lines(oil, sumps)
    if as_message:
        show.say(message(on.name, lines, oils))
        return
    written = _write(on.name, lines, oils, (pdf, csv, xlsx))
    if json:
        show.as_json(
            _data(lines, unseen)
            | {"files": [str(Path(p.path).absolute()) for p in written], "oil": oils}
        )
        return
    if written:
        show.say(f"Shopping list of {on.name}: {many(len(lines) + len(oils), 'line')}")
        for printed in written:
            wanted = shown and printed.path.suffix == ".pdf"
            show_file(printed, json_wanted=False, shown=wanted, data={})
        return
    _show(on.name, lines, oils, unseen, oil)


def _write(
    name: str,
    lines: "Sequence[Shortage]",
    oils: "Sequence[OilLine]",
    files: tuple[str | None, str | None, str | None],
) -> "list[Printed]":
    written: list[Printed] = []
    pdf, csv, xlsx = files
    if pdf is not None:
        from stores.printing.shopping import write_shopping

        printed = write_shopping(
            lines, file_at(pdf), title=f"Shopping list: {name}", date=today(), oils=oils
        )
        written.append(printed)
    if csv is not None or xlsx is not None:
        from stores.printing.tables import write_csv, write_xlsx

        if csv is not None:
            written.append(write_csv(lines, file_at(csv), oils=oils))
        if xlsx is not None:
            written.append(write_xlsx(lines, file_at(xlsx), oils=oils))
    return written


def _data(lines: "Sequence[Shortage]", unseen: "Sequence[Measure]") -> dict[str, Any]:
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
            }
            for line in lines
        ],
        "measure_first": [
            {"item": m.item.ref, "what": m.item.as_found.text, "quantity": m.quantity}
            for m in unseen
        ],
    }


def _show(
    name: str,
    lines: "Sequence[Shortage]",
    oils: "Sequence[OilLine]",
    unseen: "Sequence[Measure]",
    oil: "ShoppingOil",
) -> None:
    if not lines and not oils:
        show.say(f"Nothing to buy for {name}.")
        return
    show.say(
        f"Shopping list of {name}: {many(len(lines), 'line')}, "
        f"{many(sum(line.quantity for line in lines), 'piece')}"
    )
    priced = any(line.asked for line in lines)
    if lines:
        show.table(
            ["Qty", "What", "Why", "For"] + (["Price"] if priced else []),
            [
                [str(line.quantity), line.text, line.why, line.refs]
                + ([line.asked] if priced else [])
                for line in lines
            ],
            right=[0],
        )
    if oils:
        show.say()
        show.table(
            ["Qty", "Oil", "Why", "For"],
            [
                [
                    "?" if line.quantity is None else str(line.quantity),
                    line.text,
                    line.why,
                    line.sumps,
                ]
                for line in oils
            ],
            right=[0],
        )
        for said in oil.assumptions:
            if "only the" in said:
                show.paragraph(said, bullet=True)
        show.paragraph(oil.cautions[0][:1].upper() + oil.cautions[0][1:], first="! ", rest="  ")
    if unseen:
        show.say()
        pieces = sum(each.quantity for each in unseen)
        show.paragraph(
            f"Not before it is measured: {many(pieces, 'piece')} of {many(len(unseen), 'item')} "
            f"nobody has looked at: {', '.join(each.item.ref for each in unseen)}"
        )


def _within(items: "Sequence[Item]", assembly: str) -> "list[Item]":
    """Give the items of an assembly and those below it, and the loose ones; all without one.

    Raises:
        NotFound: nothing came off such an assembly.
    """
    from stores.planning.items import lies_in

    if not assembly.strip():
        return list(items)
    kept = [item for item in items if item.step.number and lies_in(item.step.assembly, assembly)]
    if not kept:
        raise NotFound(f"no assembly {assembly!r}: nothing came off one of that name")
    return kept + [item for item in items if not item.step.number]


@command(
    "spares",
    "stores spares screw 10 --least 1 --most 0.50",
    "stores spares screw 0",
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
    on: Day = None,
    json: AsJson = False,
) -> None:
    """How many spares to buy of a kind, for what is lost or shears; 0 is none.

    Nothing is put on unless it was said here.
    """
    from stores import queries, services
    from stores.planning.money import show_money

    refuse_options([kind])
    if kind:
        if per_cent is None:
            raise BadValue(f"say how many per cent: stores spares {kind[:40]} 10")
        with opened(ctx) as store:
            reply = services.set_spares(
                store, kind, per_cent, least=least, most_price=most, at=day(on)
            )
        show.done(reply, json_wanted=json)
        return
    with opened(ctx) as store, store.reading() as connection:
        rules = queries.spare_rules(connection)
    if json:
        show.as_json(rules)
    elif not rules:
        show.say("No spares are bought: stores spares screw 10 --least 1")
    else:
        show.table(
            ["Kind", "Per cent", "At least", "Only up to"],
            [
                [r.name, str(r.per_cent), str(r.least),
                 "" if r.most_price is None else show_money(r.most_price)]
                for r in rules
            ],
            right=[1, 2, 3],
        )  # fmt: skip
