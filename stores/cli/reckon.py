"""The calculators, under one roof: they need no stores and load no database."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, app, at_a_terminal, command, file_at, refuse_options
from stores.cli.asking import Asking, which_one
from stores.cli.files import Open, show_file
from stores.cli.overview import IN_A_LINE, Overview
from stores.papers import today
from stores.text import plural

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan

Sources = Annotated[bool, typer.Option("--sources", help="Spell the sources out.")]

__all__ = ["CALCULATORS", "print_card", "reckon_commands"]

CALCULATORS = {
    "torque": ("reckon", "how tight: torque by thread, class and friction"),
    "order": ("reckon", "tightening order and stages of a cover or head"),
    "grip": ("reckon", "the bolt for a joint: its length, its thread in the joint"),
    "slots": ("reckon", "castle nut: the turn to the next slot"),
    "oiled": ("reckon", "a dry figure on an oiled or plated thread"),
    "plug": ("reckon", "spark plugs and drain plugs"),
    "rules": ("reckon", "rules of the bench, with their reasons"),
    "fill": ("reckon", "what a case holds, to a level; how much to add"),
    "oil": ("reckon", "an oil grade: how thick, what is like it, bronze in it"),
    "fork": ("reckon", "fork oil by level"),
    "mixture": ("reckon", "two-stroke petrol and oil, topping up"),
    "compression": ("reckon", "what a cylinder should show, dry and wet test"),
    "battery": ("reckon", "state of charge at rest"),
    "fit": ("reckon", "limits and fits of ISO 286"),
    "wear": ("reckon", "a reading against nominal and limit"),
    "bore": ("reckon", "ovality and taper of a bore"),
    "bead": ("using", "sealant in a bead; how far a pack goes"),
    "locking": ("using", "threadlocker for so many threads"),
    "grease": ("using", "grease for a bearing"),
    "paint": ("using", "paint for an area, and the wet film"),
    "mixing": ("using", "paint, hardener and thinner by parts"),
    "sheet": ("using", "gaskets from a sheet"),
    "lengths": ("using", "hose and wire: in all, and how to cut it"),
    "volts": ("using", "voltage lost along a wire"),
    "keeps": ("using", "how long a consumable keeps; its cautions"),
    "compound": ("using", "sealant on a face or in a groove, retaining compound"),
    "weld": ("using", "weld metal, rods or wire, how long the gas lasts"),
    "shrink": ("using", "heat-shrink: how long to cut it, which ratio"),
    "bath": ("using", "a bath with a part in it; citric acid for it"),
    "convert": ("reckon", "lengths, areas, torques, volumes and pressures"),
}
"""The calculators: the module they are in, and the line of each in the overview."""


class Calculators(Overview):
    """The overview of the calculators."""

    table = CALCULATORS

    @classmethod
    def registered(cls) -> typer.Typer:
        """Give the group that they register with."""
        return reckon_commands

    def asked_for(self, ctx: Any) -> list[str]:
        """Ask which one at a terminal."""
        return which_one(self, ctx) if at_a_terminal() else []


reckon_commands = typer.Typer(
    cls=Calculators,
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Calculators: torque, tightening order, oil, compression, wear, consumables. "
    "General figures: the maker's come first.",
    epilog="Every calculator has an example: stores reckon NAME --help.",
)
app.add_typer(reckon_commands, name="reckon", short_help=IN_A_LINE["reckon"])


@command(
    "torque",
    "stores reckon torque M8 8.8 oiled",
    'stores reckon torque "1/4 BSF" grade R dry',
    "stores reckon torque M6 8.8 oiled --into aluminium --engaged 12",
    'stores reckon torque M8 8.8 oiled --maker "18 lbf ft"',
    group=reckon_commands,
    kind=Asking,
    takes_minus=True,
)
def torque(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="THREAD [CLASS] STATE",
            help="Thread, what is marked on the head (nothing: the weakest is taken), and how "
            "thread and face are: dry, oiled, plated, greased, locking compound, or a friction.",
        ),
    ],
    into: Annotated[
        str,
        typer.Option(
            "--into", metavar="METAL", help="What it is screwed into: aluminium, cast iron."
        ),
    ] = "",
    engaged: Annotated[
        str, typer.Option("--engaged", metavar="MM", help="Length of thread in the hole.")
    ] = "",
    nut: Annotated[
        str, typer.Option("--nut", metavar="CLASS", help="Class of the nut: 8, 10.")
    ] = "",
    seat: Annotated[
        str, typer.Option("--seat", metavar="METAL", help="What the head bears on.")
    ] = "",
    head: Annotated[
        str, typer.Option("--head", metavar="HEAD", help="hex, socket cap or nut.")
    ] = "",
    flats: Annotated[
        str,
        typer.Option("--flats", metavar="MM", help="Across flats, where they are not the usual."),
    ] = "",
    face: Annotated[
        str,
        typer.Option(
            "--face", metavar="MM", help="Outside of the face that turns: washer or flange."
        ),
    ] = "",
    hole: Annotated[str, typer.Option("--hole", metavar="MM", help="Hole under the head.")] = "",
    length: Annotated[str, typer.Option("--length", metavar="MM", help="Length of the bolt.")] = "",
    maker: Annotated[
        str,
        typer.Option(
            "--maker", metavar="FIGURE", help='"25 N m", "18 to 20 lbf ft": it always wins.'
        ),
    ] = "",
    maker_state: Annotated[
        str, typer.Option("--maker-state", metavar="STATE", help="What the maker's figure is for.")
    ] = "",
    older: Annotated[
        bool, typer.Option("--older", help="Torsion as before 2001: mostly 9 to 12 per cent less.")
    ] = False,
    adaptor: Annotated[
        str,
        typer.Option("--adaptor", metavar="MM", help="Length of an adaptor straight out on it."),
    ] = "",
    wrench: Annotated[
        str, typer.Option("--wrench", metavar="MM", help="Length of the wrench, handle to drive.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """How tight: the torque to set, when to set less, and what limits it.

    Dry or oiled is asked for, never assumed. A maker's figure always wins.
    """
    from stores.usecases.reckoning import torque as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(words)
    ask = reckoning.ReckonTorque(
        " ".join(words),
        into,
        engaged,
        nut,
        seat,
        head,
        flats,
        face,
        hole,
        length,
        maker,
        maker_state,
        older,
        adaptor,
        wrench,
    )
    show.reply(
        reckoning.torque(ask),
        words_of.torque,
        json_wanted=json,
        full=sources,
    )


@command(
    "order",
    'stores reckon order "8 on 120" --torque 24',
    'stores reckon order "12=M6x45 2 4=M6x65 6:30 9 10:30" --torque "9 N m"',
    'stores reckon order "2 x 5 at 80 x 45" --torque 32 --pdf head.pdf',
    group=reckon_commands,
    kind=Asking,
)
def order(
    holes: Annotated[
        list[str],
        typer.Argument(
            metavar="HOLES",
            help='"8 on 120", a bolt circle; "5 in row at 40"; "2 x 5 at 80 x 45"; clock '
            'positions "12 2 4 6:30 9"; places in mm "0,0 45,0 90,12"; what goes in: 12=M6x45.',
        ),
    ],
    torque: Annotated[
        str, typer.Option("--torque", metavar="FIGURE", help="Final torque: 24, 18lbf ft.")
    ] = "",
    maker: Annotated[
        str, typer.Option("--maker", metavar="ORDER", help="The maker's own order: 3 1 4 2.")
    ] = "",
    passes: Annotated[
        str,
        typer.Option("--passes", metavar="KEY", help="Other passes; an unknown key lists them."),
    ] = "",
    pdf: Annotated[str, typer.Option("--pdf", metavar="FILE", help="A card of the joint.")] = "",
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="A5, A4 or Letter.")] = "A5",
    shown: Open = False,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Tightening order and passes: crosswise round a circle, else from the middle outwards.

    The maker's order, torque and passes come first.
    """
    from stores.usecases.reckoning import joint as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(holes)
    reply = reckoning.order(reckoning.ReckonOrder(" ".join(holes), torque, maker, passes))
    if pdf:
        print_card(reply.plan, pdf, paper=paper, json_wanted=json, shown=shown)
    else:
        show.reply(reply, words_of.tightening_order, json_wanted=json, full=sources)


def print_card(
    plan: "Plan",
    pdf: str,
    *,
    title: str = "",
    paper: str = "A5",
    json_wanted: bool = False,
    shown: bool = False,
) -> None:
    """Write the card of a joint as PDF and say where."""
    from stores.printing.joint_card import Heading, write_tightening_card
    from stores.printing.paper import card_paper

    printed = write_tightening_card(plan, file_at(pdf), Heading(title, date=today()), paper)
    if not json_wanted:
        holes, on = plural(len(plan.joint.holes), "hole"), card_paper(paper).name
        show.say(f"Card of {holes} on one sheet of {on}")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={})


@command(
    "grip",
    "stores reckon grip M8 30",
    "stores reckon grip 5/16 UNF 1in --washers 3.3",
    "stores reckon grip M6 12 --into aluminium --hole 20 --length 25",
    group=reckon_commands,
    kind=Asking,
)
def grip(
    words: Annotated[
        list[str],
        typer.Argument(metavar="THREAD GRIP", help="M8 30: thread, and what is clamped in mm."),
    ],
    washers: Annotated[
        str, typer.Option("--washers", metavar="MM", help="Thickness of all washers together.")
    ] = "",
    nut: Annotated[str, typer.Option("--nut", metavar="MM", help="Height of the nut.")] = "",
    into: Annotated[
        str, typer.Option("--into", metavar="METAL", help="Screwed into this, without a nut.")
    ] = "",
    hole: Annotated[
        str, typer.Option("--hole", metavar="MM", help="Depth of thread in a blind hole.")
    ] = "",
    length: Annotated[
        str, typer.Option("--length", metavar="MM", help="The bolt in hand, under the head.")
    ] = "",
    threaded: Annotated[
        str, typer.Option("--threaded", metavar="MM", help="How much of it is threaded.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """The bolt for what it clamps: length, plain shank, and whether its thread reaches."""
    from stores.usecases.reckoning import bench as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(words)
    *thread, clamped = words if len(words) > 1 else " ".join(words).split() or [""]
    ask = reckoning.ReckonGrip(
        " ".join(thread), clamped, washers, nut, into, hole, length, threaded
    )
    show.reply(reckoning.grip(ask), words_of.grip, json_wanted=json, full=sources)


@command(
    "slots",
    "stores reckon slots M12 --past 40",
    "stores reckon slots M12 --past 40 --grip 30 --bolt 8.8 --state oiled",
    group=reckon_commands,
    kind=Asking,
)
def slots(
    nut: Annotated[str, typer.Argument(metavar="NUT", help="Thread of the nut, or slots counted.")],
    past: Annotated[
        float | None,
        typer.Option("--past", metavar="DEG", help="Degrees past the last slot, at the torque."),
    ] = None,
    holes: Annotated[
        int, typer.Option("--holes", metavar="N", help="2: drilled crosswise, twice.")
    ] = 1,
    bolt: Annotated[
        str, typer.Option("--bolt", metavar="CLASS", help="Class of the bolt, with --grip.")
    ] = "",
    state: Annotated[
        str, typer.Option("--state", metavar="STATE", help="Thread and face: dry, oiled.")
    ] = "",
    grip: Annotated[
        str, typer.Option("--grip", metavar="MM", help="What is clamped: gives the added stress.")
    ] = "",
    torque: Annotated[
        str, typer.Option("--torque", metavar="FIGURE", help="The torque reached, with --grip.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Castle nut: the turn to the next slot, never back, and what it adds to the bolt."""
    from stores.usecases.reckoning import bench as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.slots(reckoning.ReckonSlots(nut, past, holes, bolt, state, grip, torque)),
        words_of.slots,
        json_wanted=json,
        full=sources,
    )


@command(
    "oiled",
    "stores reckon oiled 25 M8",
    'stores reckon oiled "18 lbf ft" "5/16 UNF" --to plated',
    group=reckon_commands,
    kind=Asking,
)
def oiled(
    torque: Annotated[
        str, typer.Argument(metavar="FIGURE", help="The figure for dry threads: 25.")
    ],
    thread: Annotated[list[str], typer.Argument(metavar="THREAD", help="M8, 5/16 UNF.")],
    to: Annotated[
        str,
        typer.Option("--to", metavar="STATE", help="How the thread is: oiled, plated, greased."),
    ] = "oiled",
    was: Annotated[
        str, typer.Option("--was", metavar="STATE", help="What the figure is for.")
    ] = "dry",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """What a figure for dry threads comes down to on an oiled, greased or plated one."""
    from stores.usecases.reckoning import bench as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.oiled(torque, " ".join(thread), to, was),
        words_of.answer,
        json_wanted=json,
        full=sources,
    )


@command(
    "plug",
    "stores reckon plug M14 --seat gasket --head aluminium",
    "stores reckon plug M12 --drain --case aluminium",
    group=reckon_commands,
    kind=Asking,
)
def plug(
    thread: Annotated[
        list[str],
        typer.Argument(metavar="THREAD", help="M10, M12, M14, M18; seat and metal may follow."),
    ],
    seat: Annotated[
        str, typer.Option("--seat", metavar="SEAT", help="Of a spark plug: gasket or taper.")
    ] = "",
    head: Annotated[
        str, typer.Option("--head", metavar="METAL", help="Its head: aluminium or cast iron.")
    ] = "",
    used: Annotated[bool, typer.Option("--used", help="A plug that was in before.")] = False,
    drain: Annotated[bool, typer.Option("--drain", help="A drain plug.")] = False,
    case: Annotated[
        str, typer.Option("--case", metavar="METAL", help="Of a drain plug: its case.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Torque of a spark plug by thread, seat and head, or of a drain plug by its case."""
    from stores.usecases.reckoning import bench as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(thread)
    show.reply(
        reckoning.plug(reckoning.ReckonPlug(" ".join(thread), seat, head, used, drain, case)),
        words_of.plug,
        json_wanted=json,
        full=sources,
    )


@command(
    "rules",
    "stores reckon rules",
    "stores reckon rules castle nut",
    "stores reckon rules 10.9",
    group=reckon_commands,
    kind=Asking,
)
def rules(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SUBJECT | PART",
            help="A subject, a kind of part, or a class for plating; nothing: the subjects.",
            show_default=False,
        ),
    ] = None,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Rules of the bench, each with its reason: castle nuts, oil, plugs, renewing, plating."""
    from stores.usecases.reckoning import bench as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(words or [])
    show.reply(
        reckoning.rules(" ".join(words or [])), words_of.rules, json_wanted=json, full=sources
    )


@command(
    "fill",
    "stores reckon fill lying 120 200 --to 45",
    'stores reckon fill "box 180 120 30 + lying 90 120" --now 20 --to 35',
    "stores reckon fill box 180 120 60 --holds 750",
    group=reckon_commands,
    kind=Asking,
    takes_minus=True,
)
def fill(
    shape: Annotated[
        list[str],
        typer.Argument(
            metavar="SHAPE",
            help="Inside measures in mm: box L W H; lying D L, a cylinder on its side; upright "
            "D H; cone D d H, bottom first; several joined by +, each on top of the one before.",
        ),
    ],
    to: Annotated[
        str,
        typer.Option("--to", metavar="MM", help="Level wanted, or lower edge of the level plug."),
    ] = "",
    now: Annotated[
        str, typer.Option("--now", metavar="MM", help="Level now: gives what to add.")
    ] = "",
    holds: Annotated[
        str, typer.Option("--holds", metavar="ML", help="A volume: gives its level.")
    ] = "",
    inside: Annotated[
        str,
        typer.Option(
            "--inside", metavar="ML", help="Room that gears and shafts take below the level."
        ),
    ] = "",
    off: Annotated[
        str, typer.Option("--off", metavar="MM", help="How far each measure may be off; 1 mm.")
    ] = "1",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """What a case holds, full or up to a level; what to add; the level that a volume gives.

    For a case whose book is gone: the maker's capacity, plug or dipstick comes first.
    """
    from stores.usecases.reckoning import oil as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(shape)
    show.reply(
        reckoning.fill(reckoning.ReckonFill(" ".join(shape), to, now, holds, inside, off)),
        words_of.fill,
        json_wanted=json,
        full=sources,
    )


@command(
    "oil",
    "stores reckon oil EP 90",
    'stores reckon oil "80W-90 GL-5" --bronze',
    "stores reckon oil 20W-50",
    group=reckon_commands,
    kind=Asking,
    takes_minus=True,
)
def oil(
    grade: Annotated[
        list[str],
        typer.Argument(metavar="GRADE", help='As on the can: 20W-50, "SAE 90 GL-4", "ISO VG 32".'),
    ],
    bronze: Annotated[
        bool | None,
        typer.Option("--bronze/--no-bronze", help="Is there bronze or brass in the oil?"),
    ] = None,
    hypoid: Annotated[bool, typer.Option("--hypoid", help="It is a hypoid axle.")] = False,
    year: Annotated[
        int | None, typer.Option("--edition", metavar="YEAR", help="Edition of the standard.")
    ] = None,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """How thick an oil is, what other scale's grade is about alike, and GL-4 against GL-5."""
    from stores.usecases.reckoning import oil as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(grade)
    show.reply(
        reckoning.oil(reckoning.AskOil(" ".join(grade), bronze, hypoid, year)),
        words_of.oil,
        json_wanted=json,
        full=sources,
    )


@command(
    "fork",
    "stores reckon fork 32 --rise 15",
    "stores reckon fork 32 --legs 148 162",
    "stores reckon fork 32 --level 140 --spacer 120 28 24",
    group=reckon_commands,
    kind=Asking,
)
def fork(
    bore: Annotated[str, typer.Argument(metavar="BORE", help="Inside of the tube, mm.")],
    rise: Annotated[
        str, typer.Option("--rise", metavar="MM", help="How far the oil has to come up.")
    ] = "",
    legs: Annotated[
        tuple[str, str] | None,
        typer.Option("--legs", metavar="MM MM", help="Left and right, top of tube to the oil."),
    ] = None,
    level: Annotated[
        str, typer.Option("--level", metavar="MM", help="Maker's level with the spacer in.")
    ] = "",
    spacer: Annotated[
        tuple[str, str, str] | None,
        typer.Option("--spacer", metavar="MM MM MM", help="Its length, outside and inside."),
    ] = None,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Fork oil by level: what a rise takes, what a leg lacks, the level without the spacer.

    The level is from the top of the tube down to the oil: a smaller figure is more oil.
    """
    from stores.usecases.reckoning import oil as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.fork(reckoning.ReckonFork(bore, rise, legs, level, spacer)),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "mixture",
    "stores reckon mixture 25:1 5 l",
    "stores reckon mixture 20:1 --tank 2l --holds 32:1 --petrol 4l",
    "stores reckon mixture --petrol 1gal-imp --oil 0.5pint-imp",
    group=reckon_commands,
    kind=Asking,
    takes_minus=True,
)
def mixture(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[RATIO] [AMOUNT]",
            help='Petrol to oil, "25:1", "4 %" or "half a pint to the gallon"; how much petrol.',
            show_default=False,
        ),
    ] = None,
    petrol: Annotated[
        str, typer.Option("--petrol", metavar="AMOUNT", help="Petrol there is, or is added.")
    ] = "",
    oil: Annotated[str, typer.Option("--oil", metavar="AMOUNT", help="Oil there is.")] = "",
    tank: Annotated[
        str, typer.Option("--tank", metavar="AMOUNT", help="What is in the tank already.")
    ] = "",
    holds: Annotated[
        str,
        typer.Option(
            "--holds", metavar="RATIO", help="The ratio in the tank; left out: plain petrol."
        ),
    ] = "",
    full: Annotated[
        str, typer.Option("--full", metavar="AMOUNT", help="What the tank is to hold in the end.")
    ] = "",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Two-stroke petrol and oil: oil for petrol, petrol for oil, the ratio of both, topping up.

    25:1 is 25 parts of petrol to one of oil. The maker's ratio comes first.
    """
    from stores.usecases.reckoning import oil as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(words or [])
    show.reply(
        reckoning.mixture(
            reckoning.ReckonMixture(" ".join(words or []), petrol, oil, tank, holds, full)
        ),
        words_of.answers,
        json_wanted=json,
        full=sources,
    )


@command(
    "compression",
    "stores reckon compression 6.3 --barometer 998.8",
    "stores reckon compression 6.3 --dry 88,71 --wet 92,90",
    "stores reckon compression --dry 95psi --maker 90psi",
    group=reckon_commands,
    kind=Asking,
)
def compression(
    ratio: Annotated[
        str | None,
        typer.Argument(metavar="RATIO", help="Compression ratio: 7.5 or 7.5:1."),
    ] = None,
    barometer: Annotated[
        str, typer.Option("--barometer", metavar="HPA", help="The day's pressure, hPa.")
    ] = "",
    altitude: Annotated[
        float, typer.Option("--altitude", metavar="M", help="Metres above the sea.")
    ] = 0.0,
    dry: Annotated[
        str,
        typer.Option(
            "--dry", metavar="READINGS", help="Dry test, by cylinder: 88,71 (psi) or 6.1bar,5.9bar."
        ),
    ] = "",
    wet: Annotated[
        str,
        typer.Option(
            "--wet", metavar="READINGS", help="Wet test, oil in the bore; - where not done."
        ),
    ] = "",
    maker: Annotated[
        str, typer.Option("--maker", metavar="PRESSURE", help="The maker's lowest reading.")
    ] = "",
    two_stroke: Annotated[bool, typer.Option("--two-stroke", help="It is a two-stroke.")] = False,
    stroke: Annotated[
        str,
        typer.Option(
            "--stroke", metavar="MM", help="Stroke, with --port: the ratio that traps air."
        ),
    ] = "",
    port: Annotated[
        str,
        typer.Option(
            "--port", metavar="MM", help="Exhaust port: top edge to crown at bottom dead centre."
        ),
    ] = "",
    unit: Annotated[
        str, typer.Option("--unit", metavar="UNIT", help="Unit of bare readings.")
    ] = "psi",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """What a cylinder should show, and what a dry and a wet test say together.

    The floor is the ratio times the day's pressure, absolute; a tester reads gauge, less by one
    atmosphere. The maker's figure is the limit.
    """
    from stores.usecases.reckoning import engine as reckoning
    from stores.wording import reckoning as words_of

    ask = reckoning.ReckonCompression(
        ratio, barometer, altitude, dry, wet, maker, two_stroke, stroke, port, unit
    )
    show.reply(reckoning.compression(ask), words_of.compression, json_wanted=json, full=sources)


@command(
    "battery",
    "stores reckon battery 12.4",
    "stores reckon battery 6.2 6.35",
    "stores reckon battery --gravity 1.230 --acid 15",
    "stores reckon battery 12.1 --capacity 40 --at 5",
    group=reckon_commands,
    kind=Asking,
)
def battery(
    volts: Annotated[
        list[float] | None,
        typer.Argument(
            metavar="VOLTS", help="At rest; two 6 V in series: each by itself.", show_default=False
        ),
    ] = None,
    nominal: Annotated[
        int | None, typer.Option("--nominal", metavar="VOLTS", help="6 or 12, where not clear.")
    ] = None,
    rested: Annotated[
        float | None, typer.Option("--rested", metavar="HOURS", help="Without load or charge.")
    ] = None,
    gravity: Annotated[
        float | None, typer.Option("--gravity", metavar="SG", help="Of the acid, by hydrometer.")
    ] = None,
    acid: Annotated[
        float, typer.Option("--acid", metavar="C", help="Temperature of the acid.")
    ] = 26.7,
    capacity: Annotated[
        float | None,
        typer.Option("--capacity", metavar="AH", help="Its capacity: gives how to charge it."),
    ] = None,
    at: Annotated[
        float | None, typer.Option("--at", metavar="C", help="How warm it is while it charges.")
    ] = None,
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """State of charge of a lead-acid battery at rest, 6 V or 12 V, by voltage or by gravity."""
    from stores.usecases.reckoning import engine as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.battery(
            reckoning.ReckonBattery(volts or (), nominal, rested, gravity, acid, capacity, at)
        ),
        words_of.battery,
        json_wanted=json,
        full=sources,
    )


@command(
    "fit",
    "stores reckon fit 12 H7/k6",
    "stores reckon fit 20 h6",
    group=reckon_commands,
    kind=Asking,
)
def fit(
    words: Annotated[
        list[str], typer.Argument(metavar="SIZE CLASS", help="12 H7/k6; or one class, 20 h6.")
    ],
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Limits and fits of ISO 286: clearance of a pair, limits of one part."""
    from stores.usecases.reckoning import wear as reckoning
    from stores.wording import reckoning as words_of

    show.reply(reckoning.fit(" ".join(words)), words_of.fit, json_wanted=json, full=sources)


@command(
    "wear",
    "stores reckon wear 19.91 --nominal 20 --limit 19.90",
    "stores reckon wear 0.28 --limit 0.30 --larger",
    "stores reckon wear gudgeon pin 14.96 --nominal 15",
    group=reckon_commands,
    kind=Asking,
)
def wear(
    reading: Annotated[
        list[str],
        typer.Argument(
            metavar="[PART] MM",
            help="What was measured; with the part before it (gudgeon pin 14.96) a rule of other "
            "engines is used.",
        ),
    ],
    nominal: Annotated[
        str, typer.Option("--nominal", metavar="MM", help="The size when new.")
    ] = "",
    limit: Annotated[str, typer.Option("--limit", metavar="MM", help="The maker's limit.")] = "",
    larger: Annotated[
        bool | None,
        typer.Option("--larger/--smaller", help="Which way wear goes, where it is not clear."),
    ] = None,
    off: Annotated[
        str,
        typer.Option(
            "--off", metavar="MM", help="Standard uncertainty of the tool: 0.005 micrometer."
        ),
    ] = "0.005",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """A reading against nominal and limit: how far it is worn, and what is left.

    Parts with a rule where the maker's limit is not known: gudgeon pin, small end, piston skirt and
    clearance, ring side clearance, journal ovality, end float, cam lobe, camshaft journal, valve
    stem, guide and seat.

    To put the verdict into the record: stores inspect 7.2 --reading 19.91 --limit 19.90.
    """
    from stores.usecases.reckoning import wear as reckoning
    from stores.wording import reckoning as words_of

    show.reply(
        reckoning.wear(reckoning.ReckonWear(" ".join(reading), nominal, limit, larger, off)),
        words_of.wear,
        json_wanted=json,
        full=sources,
    )


@command(
    "bore",
    'stores reckon bore "top 47.55 47.58" "middle 47.53 47.54" --nominal 47.5',
    group=reckon_commands,
    kind=Asking,
)
def bore(
    heights: Annotated[
        list[str],
        typer.Argument(
            metavar="HEIGHT", help='Readings at a height, along and across: "top 47.52 47.55".'
        ),
    ],
    nominal: Annotated[
        str, typer.Option("--nominal", metavar="MM", help="The bore when new.")
    ] = "",
    stroke: Annotated[
        str, typer.Option("--stroke", metavar="MM", help="The stroke, for the taper allowed.")
    ] = "",
    limit: Annotated[
        str, typer.Option("--limit", metavar="MM", help="The maker's largest bore.")
    ] = "",
    oval: Annotated[
        str, typer.Option("--oval", metavar="MM", help="The maker's limit of ovality.")
    ] = "",
    taper: Annotated[
        str, typer.Option("--taper", metavar="MM", help="The maker's limit of taper.")
    ] = "",
    piston: Annotated[
        str,
        typer.Option(
            "--piston", metavar="MM", help="The piston at its skirt: gives the clearance."
        ),
    ] = "",
    off: Annotated[
        str, typer.Option("--off", metavar="MM", help="Standard uncertainty of the tool.")
    ] = "0.005",
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Ovality, taper and wear of a bore from its readings at several heights.

    Without the maker's limit a rule of other engines is used, and the answer says so.
    """
    from stores.usecases.reckoning import wear as reckoning
    from stores.wording import reckoning as words_of

    refuse_options(heights)
    show.reply(
        reckoning.bore(
            reckoning.ReckonBore(heights, nominal, stroke, limit, oval, taper, piston, off)
        ),
        words_of.bore,
        json_wanted=json,
        full=sources,
    )


@command(
    "convert",
    "stores reckon convert 18 lbf ft",
    "stores reckon convert 1 1/2 imp pint to ml",
    "stores reckon convert 998.8 hPa to psi",
    group=reckon_commands,
    kind=Asking,
    takes_minus=True,
)
def convert(
    words: Annotated[
        list[str],
        typer.Argument(metavar="AMOUNT [to UNIT]", help="An amount with its unit: 18 lbf ft."),
    ],
    sources: Sources = False,
    json: AsJson = False,
) -> None:
    """Turn an amount into other units, exactly. A pint says whose: imp pint, US pint."""
    from stores.usecases import reckoning
    from stores.wording import reckoning as words_of

    refuse_options(words)
    reply = reckoning.convert(" ".join(words))
    if json:
        show.as_json(reply.by_unit)
    else:
        show.reply(reply, words_of.converted, json_wanted=False, full=sources)
