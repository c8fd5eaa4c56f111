"""The workshop's own stock: entering, looking, low marks, reserving, using up."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, refuse_options
from stores.cli.wording import NewFirm, NewPlace, Of, option

__all__: list[str] = []

Thing = Annotated[
    str, typer.Argument(metavar="WHAT", help="Its number in stock (0.7), or words that fit it.")
]
AtStep = Annotated[int | None, option("--step", "N", "A step of the machine.")]
Made = Annotated[str, option("--made", "DATE", "When it was made, as printed on it.")]
Opened = Annotated[str, option("--opened", "DATE", "When it was opened.")]
UseBy = Annotated[str, option("--use-by", "DATE", "The last day it is good, as printed on it.")]
Batch = Annotated[str, option("--batch", "NUMBER", "Its batch number.")]
Pack = Annotated[str, option("--holds", "AMOUNT", "What a full pack holds.")]
Hazard = Annotated[
    str, typer.Option("-z", "--hazard", metavar="TEXT", help="What can hurt somebody.")
]
Keeping = Annotated[str, option("--keep", "TEXT", "How it is to be kept.")]
Note = Annotated[str, typer.Option("-n", "--note", metavar="TEXT", help="Anything else.")]


@command(
    "enter",
    'stores stock enter "40 M6 plain washer" "25 M8 nut" --to "drawer 3"',
    'stores stock enter "60 1/4 BSF bolts" --to "tin 2" -c "as removed"',
    'stores stock enter "half a 50 ml tube of flange sealant" --opened "3 Nov"',
    'stores stock enter "assortment: 20 M4 nut, 10 M5 nut" --from Hollin',
)
def enter(
    ctx: typer.Context,
    lines: Annotated[
        list[str], typer.Argument(metavar="LINE", help="What and how much, a thing each.")
    ],
    to: Annotated[str, option("--to", "PLACE", "Where it is: a drawer, a tin, a shelf.")] = "bench",
    condition: Annotated[
        str | None,
        typer.Option(
            "-c", "--condition", metavar="WORD", help="Of fasteners; new, unless you say."
        ),
    ] = None,
    supplier: Annotated[
        str, option("--from", "SUPPLIER", "Who it was bought from, if it was.")
    ] = "",
    price: Annotated[
        str | None, typer.Option("--price", metavar="SUM", help="What was paid for all of it.")
    ] = None,
    least: Annotated[str, option("--least", "AMOUNT", "The least to be held of the first.")] = "",
    holds: Pack = "",
    made: Made = "",
    opened: Opened = "",
    use_by: UseBy = "",
    batch: Batch = "",
    hazard: Hazard = "",
    keeping: Keeping = "",
    note: Note = "",
    new_place: NewPlace = False,
    new_firm: NewFirm = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Put something into the workshop's stock: fasteners in drawers, tins of old ones, consumables.

    Stock is of no machine. All machines' rebuilds and shopping lists draw on it.
    """
    from stores.usecases.stock import Enter, PackAsTyped
    from stores.usecases.stock import enter as put_in
    from stores.wording.stock import entered

    refuse_options(lines)
    pack = PackAsTyped(
        pack=holds, made=made, opened=opened, use_by=use_by, batch=batch, hazard=hazard,
        keeping=keeping, note=note,
    )  # fmt: skip
    ask = Enter(lines, to, condition, supplier, least, pack, new_place, new_firm, price)
    with asked(ctx, machine, on) as context:
        show.reply(put_in(context, ask), entered, json_wanted=json)


@command(
    "stock",
    "stores stock",
    "stores stock M6 --sound",
    'stores stock "1/4 BSF x 3/4 hex bolt"',
    "stores stock threadlocker",
    "stores stock --low",
)
def stock(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="A size, a thing, a number, words, or a place.")
    ] = "",
    sound: Annotated[bool, typer.Option("--sound", help="New or inspected ones alone.")] = False,
    low: Annotated[
        bool, typer.Option("--low", help="What is running low, or past its date.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What the workshop has: how many of a size, in what lengths, how good, where, and for whom."""
    from stores.usecases.stock import LookAtStock
    from stores.usecases.stock import stock as in_the_workshop
    from stores.wording.stock import in_stock

    with asked(ctx, machine) as context:
        show.reply(
            in_the_workshop(context, LookAtStock(what, sound, low)), in_stock, json_wanted=json
        )


@command(
    "pack",
    "stores stock pack 0.7 --opened today --use-by 2027-03-01",
    "stores stock pack 0.7 --batch none",
)
def pack(
    ctx: typer.Context,
    what: Thing,
    holds: Pack = "",
    made: Made = "",
    opened: Opened = "",
    use_by: UseBy = "",
    batch: Batch = "",
    hazard: Hazard = "",
    keeping: Keeping = "",
    note: Note = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Note what is known of a pack in stock: opened, use by, batch; 'none' takes a word back."""
    from stores.usecases.stock import NotePack, PackAsTyped, note_pack
    from stores.wording.stock import pack_noted

    typed = PackAsTyped(
        pack=holds, made=made, opened=opened, use_by=use_by, batch=batch, hazard=hazard,
        keeping=keeping, note=note,
    )  # fmt: skip
    with asked(ctx, machine, on) as context:
        show.reply(note_pack(context, NotePack(what, typed)), pack_noted, json_wanted=json)


@command(
    "least",
    'stores stock least "M6 nut" 50',
    'stores stock least 0.7 "100 ml"',
    "stores stock least 0.7 0",
)
def least(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="A number in stock (0.7), or the thing itself.")
    ],
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="How much; 0 to stop.")],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say how much of a thing the workshop wants to hold; what is below is on the shopping list."""
    from stores.usecases.stock import KeepAtLeast, keep_at_least
    from stores.wording.stock import kept_at_least

    with asked(ctx, machine, on) as context:
        reply = keep_at_least(context, KeepAtLeast(what, amount))
    show.reply(reply, kept_at_least, json_wanted=json)


@command(
    "reserve",
    'stores stock reserve 0.7 -q 4 -m "Tern 50"',
    "stores stock reserve 0.7 -q 4 --step 12",
    'stores stock reserve "head bolts set"',
    "stores stock reserve 0.7 --let-go",
)
def reserve(
    ctx: typer.Context,
    what: Annotated[
        str,
        typer.Argument(metavar="WHAT", help="A number in stock (0.7), words, or a place: a kit."),
    ],
    quantity: Annotated[
        str | None,
        typer.Option(
            "-q", "--quantity", metavar="N", help="How many, or how much; else all that is free."
        ),
    ] = None,
    step: AtStep = None,
    let_go: Annotated[bool, typer.Option("--let-go", help="Keep it no longer.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Keep something in stock for a machine, or for one step of it: nothing else may have it."""
    from stores.usecases.stock import Reserve
    from stores.usecases.stock import reserve as keep_for
    from stores.wording.stock import reserved

    with asked(ctx, machine, on) as context:
        reply = keep_for(context, Reserve(what, quantity, step, let_go))
    show.reply(reply, reserved, json_wanted=json)


@command(
    "use",
    'stores stock use 0.7 "5 ml" --step 12',
    "stores stock use 0.7 --gone-off",
    'stores stock use 0.7 "200 ml" --spilt',
)
def use(
    ctx: typer.Context,
    what: Thing,
    amount: Annotated[
        str | None, typer.Argument(metavar="AMOUNT", help="How much; by default all of it.")
    ] = None,
    step: AtStep = None,
    spilt: Annotated[bool, typer.Option("--spilt", help="It was spilt.")] = False,
    gone_off: Annotated[bool, typer.Option("--gone-off", help="It went off: thrown out.")] = False,
    of: Of = None,
    anyway: Annotated[bool, typer.Option("--anyway", help="What is kept for others too.")] = False,
    note: Note = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take something from stock that goes on no joint: used up, spilt, gone off."""
    from stores.errors import BadValue
    from stores.usecases.stock import UseUp, use_up
    from stores.wording.stock import used_up

    if spilt and gone_off:
        raise BadValue("say --spilt or --gone-off, not both")
    outcome = "spilt" if spilt else "gone off" if gone_off else "used"
    with asked(ctx, machine, on) as context:
        reply = use_up(context, UseUp(what, amount, outcome, step, note, of, anyway))
    show.reply(reply, used_up, json_wanted=json)


@command(
    "left",
    'stores stock left 0.7 "about a third"',
    'stores stock left 0.8 "340 g" -n "weighed, less the tin"',
)
def left(
    ctx: typer.Context,
    what: Thing,
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="How much is left.")],
    note: Note = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what is left of a consumable, weighed, dipped or by eye; the record follows."""
    from stores.usecases.stock import SayWhatIsLeft, say_what_is_left
    from stores.wording.stock import measured

    with asked(ctx, machine, on) as context:
        reply = say_what_is_left(context, SayWhatIsLeft(what, amount, note))
    show.reply(reply, measured, json_wanted=json)
