"""The calculators of consumables: sealant to welding rods and baths; how they keep."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.asking import Asking
from stores.cli.reckon import Sources, reckon_commands


@command(
    "bead",
    "stores reckon bead 3 640",
    "stores reckon bead 2.5 880 --holes 10 --loop 14",
    "stores reckon bead 3 --pack 80ml",
    group=reckon_commands,
    kind=Asking,
)
def bead(
    width: Annotated[str, typer.Argument(metavar="MM", help="How thick the bead is.")],
    length: Annotated[
        str, typer.Argument(metavar="[MM]", help="The outline it follows.", show_default=False)
    ] = "",
    holes: Annotated[
        int, typer.Option("--holes", metavar="N", help="Bolt holes with a loop round them.")
    ] = 0,
    loop: Annotated[
        str, typer.Option("--loop", metavar="MM", help="Diameter of such a loop.")
    ] = "",
    pack: Annotated[
        str, typer.Option("--pack", metavar="AMOUNT", help="How far does this much go?")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Sealant in a round bead, with loops round bolt holes; or how far a pack goes."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.bead(reckoning.ReckonBead(width, length, holes, loop, pack)),
        words_of.answer,
        json_wanted=json,
        full=sources,
    )


@command(
    "locking",
    'stores reckon locking "24 M6" "16 M8" "6 M10"',
    'stores reckon locking "4 off 1/4 BSF"',
    group=reckon_commands,
    kind=Asking,
)
def locking(
    threads: Annotated[
        list[str], typer.Argument(metavar="COUNT THREAD", help='So many of a thread: "6 M8".')
    ],
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Threadlocker for a job: an allowance for each thread, from the gap between bolt and nut."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(threads)
    show.reply(reckoning.locking(threads), words_of.answer, json_wanted=json, full=sources)


@command(
    "grease",
    "stores reckon grease 6204 --mass 106",
    "stores reckon grease 20x47x14",
    group=reckon_commands,
    kind=Asking,
)
def grease(
    bearing: Annotated[
        list[str],
        typer.Argument(metavar="BEARING", help="Its number, or bore, outside and width in mm."),
    ],
    mass: Annotated[
        str, typer.Option("--mass", metavar="G", help="Its mass: gives the first fill.")
    ] = "",
    fill: Annotated[
        str,
        typer.Option("--fill", metavar="SHARE", help="Of the free space; left out: a third."),
    ] = "",
    through: Annotated[
        bool, typer.Option("--through", help="The grease goes in through the ring.")
    ] = False,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Grease for a bearing: to replenish it, and with its mass the first fill.

    The machine maker's grease and amount come first.
    """
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(bearing)
    show.reply(
        reckoning.grease(reckoning.ReckonGrease(" ".join(bearing), mass, fill, through)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "paint",
    "stores reckon paint 1.2m2 45 40 --coats 2",
    "stores reckon paint 1.2m2 45 40 --coats 2 --by brush --pack 500ml",
    "stores reckon paint 1.2m2 45 40 --loss 30%",
    group=reckon_commands,
    kind=Asking,
)
def paint(
    area: Annotated[str, typer.Argument(metavar="M2", help="Area, all sides.")],
    solids: Annotated[str, typer.Argument(metavar="%", help="Solids by volume: maker's sheet.")],
    film: Annotated[str, typer.Argument(metavar="UM", help="Dry film of a coat, micrometres.")],
    coats: Annotated[int, typer.Option("--coats", metavar="N", help="How many coats.")] = 1,
    loss: Annotated[
        str, typer.Option("--loss", metavar="SHARE", help="What is lost; left out: by the way.")
    ] = "",
    way: Annotated[
        str, typer.Option("--by", metavar="WAY", help="brush, roller, airless or gun.")
    ] = "gun",
    pack: Annotated[
        str, typer.Option("--pack", metavar="AMOUNT", help="What a tin holds: how many to buy.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Paint for an area: how much, how far a litre goes, and the wet film."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.paint(reckoning.ReckonPaint(area, solids, film, coats, loss, way, pack)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "mixing",
    "stores reckon mixing 4:1:1 300ml",
    'stores reckon mixing "2:1 + 10 % of the paint" 500ml',
    group=reckon_commands,
    kind=Asking,
)
def mixing(
    parts: Annotated[str, typer.Argument(metavar="PARTS", help="As on the tin: 4:1:1, 2:1.")],
    ready: Annotated[str, typer.Argument(metavar="AMOUNT", help="How much ready to use.")],
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Paint, hardener and thinner by parts: what to pour of each."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(reckoning.mixing(parts, ready), words_of.answers, json_wanted=json, full=sources)


@command(
    "sheet",
    "stores reckon sheet 500x500 180x120",
    "stores reckon sheet A4 60x40 --count 30",
    group=reckon_commands,
    kind=Asking,
)
def sheet(
    sides: Annotated[str, typer.Argument(metavar="SHEET", help="Its sides, mm, or A4.")],
    blank: Annotated[
        str, typer.Argument(metavar="BLANK", help="Sides of the gasket with its margin, mm.")
    ],
    count: Annotated[
        int | None, typer.Option("--count", metavar="N", help="How many gaskets are wanted.")
    ] = None,
    gap: Annotated[
        str, typer.Option("--gap", metavar="MM", help="Between them, and at the edge.")
    ] = "5",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Gaskets from a sheet in straight rows: how many it gives, how many sheets to buy."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.sheet(reckoning.ReckonSheet(sides, blank, count, gap)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "lengths",
    "stores reckon lengths 420 310 655 --end 25",
    "stores reckon lengths 900 600 --from 800 --from 800",
    group=reckon_commands,
    kind=Asking,
)
def lengths(
    runs: Annotated[list[str], typer.Argument(metavar="MM", help="The runs, one after another.")],
    end: Annotated[
        str, typer.Option("--end", metavar="MM", help="Allowance at each end of a run.")
    ] = "0",
    there: Annotated[
        list[str] | None,
        typer.Option("--from", metavar="LENGTH", help="A length that is there; say each."),
    ] = None,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Hose, cable or wire for several runs, and how to cut them from the lengths there are."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(runs)
    show.reply(
        reckoning.lengths(reckoning.ReckonLengths(runs, end, there or ())),
        words_of.lengths,
        json_wanted=json,
        full=sources,
    )


@command(
    "volts",
    "stores reckon volts 14/0.30 5m 8.75",
    "stores reckon volts 0.0125ohm/m 3m 10 --both-ways",
    group=reckon_commands,
    kind=Asking,
)
def volts(
    wire: Annotated[str, typer.Argument(metavar="WIRE", help="Its strands, or ohm/m.")],
    length: Annotated[str, typer.Argument(metavar="M", help="How long.")],
    amps: Annotated[str, typer.Argument(metavar="A", help="The current.")],
    both_ways: Annotated[
        bool, typer.Option("--both-ways", help="It comes back by wire, not by the frame.")
    ] = False,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """The voltage lost along a wire."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.volts(reckoning.ReckonVolts(wire, length, amps, both_ways)),
        words_of.answer,
        json_wanted=json,
        full=sources,
    )


@command(
    "keeps",
    'stores reckon keeps "lithium grease"',
    'stores reckon keeps "DOT 4" --bought "3 Nov 2025" --opened 2026-01-15',
    group=reckon_commands,
    kind=Asking,
)
def keeps(
    name: Annotated[list[str], typer.Argument(metavar="CONSUMABLE", help="What it is.")],
    made: Annotated[str, typer.Option("--made", metavar="DAY", help="When it was made.")] = "",
    bought: Annotated[
        str, typer.Option("--bought", metavar="DAY", help="When it was bought.")
    ] = "",
    opened: Annotated[
        str, typer.Option("--opened", metavar="DAY", help="When it was first opened.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """How long a consumable keeps, how to store it, and what it can do to you."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(name)
    show.reply(
        reckoning.keeps(reckoning.AskKeeps(" ".join(name), made, bought, opened)),
        words_of.keeps,
        json_wanted=json,
        full=sources,
    )


@command(
    "compound",
    "stores reckon compound bush 47 14 0.03",
    "stores reckon compound face 100cm2 0.1",
    "stores reckon compound groove 6 6 1000",
    "stores reckon compound groove 6 6 --pack 310ml",
    group=reckon_commands,
    kind=Asking,
)
def compound(
    gap: Annotated[
        list[str],
        typer.Argument(
            metavar="GAP",
            help="bush OUTSIDE LENGTH CLEARANCE, or a bearing's number; face AREA GAP; "
            "groove WIDTH DEPTH LENGTH; in mm.",
        ),
    ],
    pack: Annotated[
        str, typer.Option("--pack", metavar="AMOUNT", help="How far does this much go?")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Retaining compound round a bush or bearing, sealant between faces or in a groove."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(gap)
    show.reply(
        reckoning.compound(reckoning.ReckonCompound(" ".join(gap), pack)),
        words_of.answer,
        json_wanted=json,
        full=sources,
    )


@command(
    "weld",
    "stores reckon weld 5 400",
    "stores reckon weld 5 400 --by MIG --pack 1kg",
    "stores reckon weld --cylinder 9 --bar 200 --flow 10",
    group=reckon_commands,
    kind=Asking,
)
def weld(
    leg: Annotated[
        str, typer.Argument(metavar="[LEG]", help="Leg of the fillet, mm.", show_default=False)
    ] = "",
    length: Annotated[
        str, typer.Argument(metavar="[MM]", help="Length of the weld.", show_default=False)
    ] = "",
    way: Annotated[
        str, typer.Option("--by", metavar="WAY", help="rod, MIG, flux cored or submerged arc.")
    ] = "rod",
    pack: Annotated[
        str, typer.Option("--pack", metavar="MASS", help="What a pack holds: how many to buy.")
    ] = "",
    cylinder: Annotated[
        str, typer.Option("--cylinder", metavar="L", help="Water capacity of a gas cylinder.")
    ] = "",
    bar: Annotated[str, typer.Option("--bar", metavar="BAR", help="On its gauge.")] = "",
    flow: Annotated[str, typer.Option("--flow", metavar="L/MIN", help="Flow of the gas.")] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Rods or wire for a fillet weld, and how long a cylinder of shielding gas lasts."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.weld(reckoning.ReckonWeld(leg, length, way, pack, cylinder, bar, flow)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "shrink",
    "stores reckon shrink 30",
    "stores reckon shrink 30 --over 12 --under 5",
    group=reckon_commands,
    kind=Asking,
)
def shrink(
    length: Annotated[
        str, typer.Argument(metavar="[MM]", help="Length when shrunk.", show_default=False)
    ] = "",
    over: Annotated[
        str, typer.Option("--over", metavar="MM", help="The largest it has to pass over.")
    ] = "",
    under: Annotated[
        str, typer.Option("--under", metavar="MM", help="The smallest it has to grip.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Heat-shrink: how long to cut it, and the ratio that passes over the plug and still grips."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.shrink(reckoning.ReckonShrink(length, over, under)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "bath",
    "stores reckon bath 20l",
    "stores reckon bath 20l --citric 5%",
    "stores reckon bath box 600 400 300 --to 250 --part 12kg --citric 50",
    group=reckon_commands,
    kind=Asking,
)
def bath(
    bath: Annotated[
        list[str],
        typer.Argument(
            metavar="BATH", help="How much, 20l; or the tank inside, mm: box L W H, upright D H."
        ),
    ],
    to: Annotated[
        str, typer.Option("--to", metavar="MM", help="Level with the part in; left out: full.")
    ] = "",
    part: Annotated[str, typer.Option("--part", metavar="KG", help="Mass of the part in it.")] = "",
    metal: Annotated[
        str, typer.Option("--of", metavar="METAL", help="steel, cast iron, aluminium or brass.")
    ] = "steel",
    citric: Annotated[
        str,
        typer.Option("--citric", metavar="STRENGTH", help="Citric acid: g/l, or % by mass, 5%."),
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """A bath: what a tank takes with a part in it, and citric acid against rust."""
    from stores.usecases.reckoning import consumables as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(bath)
    show.reply(
        reckoning.bath(reckoning.ReckonBath(" ".join(bath), to, part, metal, citric)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )
