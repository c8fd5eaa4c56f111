"""Torque by thread, class and friction, with what limits it, and the maker's figure beside it."""

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import amount, cautions, row, sources
from stores.errors import BadValue

if TYPE_CHECKING:
    from collections.abc import Callable

    from stores.handbook.torque.answer import Tightening
    from stores.handbook.torque.maker import Comparison, MakerFigure

__all__ = ["maker_words", "show_comparison", "show_tightening", "tightening_data"]


@command(
    "torque",
    "stores reckon torque M8 8.8 oiled",
    'stores reckon torque "1/4 BSF" grade R dry',
    "stores reckon torque M6 8.8 oiled --into aluminium --engaged 12",
    'stores reckon torque M8 8.8 oiled --maker "18 lbf ft"',
    group=reckon_commands,
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
    json: AsJson = False,
) -> None:
    """How tight: low, nominal and high torque, and the element that limits it.

    Dry or oiled is asked for, never assumed. A maker's figure always wins.
    """
    from stores.handbook.torque.formulas import Method
    from stores.handbook.torque.joint import tighten
    from stores.handbook.torque.maker import read_bolt, read_maker

    refuse_options(words)
    bolt = read_bolt(" ".join(words))
    figure_of_maker = read_maker(maker, maker_state) if maker else None
    if maker_state and not maker:
        raise BadValue("--maker-state goes with --maker FIGURE")

    def given(state: str | None) -> "Tightening":
        return tighten(
            bolt.thread,
            bolt.grade,
            state,
            head=head or ("socket cap" if bolt.head == "socket cap" else "hex"),
            flats_mm=_millimetres(flats),
            face_mm=_millimetres(face),
            hole_mm=_millimetres(hole),
            nut_class=nut or None,
            into=into or None,
            engagement_mm=_millimetres(engaged),
            bolt_length_mm=_millimetres(length) or bolt.length_mm,
            seat=seat or None,
            method=Method.OLDER if older else Method.PRESENT,
        )

    answer = given(bolt.state)
    both = None
    if figure_of_maker:
        both = _beside(figure_of_maker, answer, given)
    if json:
        show.as_json(tightening_data(answer, both))
        return
    if both:
        show_comparison(both, answer.friction.state)
    show_tightening(answer)
    cautions((*(both.cautions if both else ()), *answer.cautions))


def _beside(
    maker: "MakerFigure", answer: "Tightening", given: "Callable[[str | None], Tightening]"
) -> "Comparison":
    """Set a maker's figure beside the torque computed for the state that the figure is for."""
    from stores.handbook.torque.grades import friction
    from stores.handbook.torque.maker import compare

    if not maker.state:
        return compare(maker, answer)
    state = friction(maker.state).state
    return compare(replace(maker, state=state), given(state))


def _millimetres(text: str) -> float | None:
    return amount(text, units.Kind.LENGTH, "mm") if text else None


def maker_words(maker: "MakerFigure") -> str:
    """Say a maker's figure: ``25 N m, oiled (manual p. 41)``."""
    low, high = units.plain(maker.low_nm, 3), units.plain(maker.high_nm, 3)
    span = low if low == high else f"{low} to {high}"
    state = f", {maker.state}" if maker.state else ""
    return f"{span} N m{state}{f' ({maker.source})' if maker.source else ''}"


def show_comparison(both: "Comparison", state: str) -> None:
    """Show the maker's figure, the one to use, and how the computed one agrees."""
    other = both.maker.state and both.maker.state != state
    if not both.agrees and both.ratio > 1.5:
        show.say(f"Check the book first: the maker's {maker_words(both.maker)}?")
    elif other:
        show.paragraph(
            f"The maker's {maker_words(both.maker)}: as it stands only for a thread that is "
            f"{both.maker.state}, not {state}"
        )
    else:
        show.say(f"Use the maker's {maker_words(both.maker)}")
    row("beside it", both.words)
    if other and both.maker.state == "dry":
        row("so", "fit it dry, or take less: stores reckon oiled FIGURE THREAD --to " + state)


def show_tightening(answer: "Tightening") -> None:
    """Show a torque in its units, what it brings, and what limits it."""
    from stores.handbook.torque.answer import UNITS

    show.paragraph(f"{answer.thread.designation} {answer.grade}, {answer.friction}", rest="  ")
    show.say(f"  {'':<12}{'low':>9}{'nominal':>9}{'high':>9}")
    for unit in UNITS:
        values = answer.torque(unit)
        cells = (units.plain(value, 3) for value in (values.low, values.nominal, values.high))
        show.say(f"  {unit:<12}" + "".join(f"{cell:>9}" for cell in cells))
    preload = answer.preload_borne_n.times(0.001)
    yields = ", where the bolt yields," if answer.worst_share > 1 else ""
    row(
        "preload",
        f"{units.plain(preload.nominal, 3)} kN at the nominal torque; "
        f"{units.plain(preload.low, 3)} to {units.plain(preload.high, 3)} kN{yields} as friction "
        "varies",
    )
    row("limited by", f"{answer.limits[0].element}: {answer.limits[0].why}")
    if answer.stripping and answer.stripping.effective_mm is not None:
        row("first to go", answer.stripping.first)
    stands = "" if answer.seat_limit_mpa is None else f", it stands {answer.seat_limit_mpa:.0f} MPa"
    row("on the seat", f"up to {answer.seat_mpa:.0f} MPa{stands}")
    row("assuming", "; ".join(answer.assumptions))
    sources(answer.sources)


def tightening_data(answer: "Tightening", both: "Comparison | None" = None) -> dict[str, Any]:
    """Give a torque for another program."""
    from stores.handbook.answer import cite
    from stores.handbook.torque.answer import UNITS

    data: dict[str, Any] = {
        "thread": answer.thread.designation,
        "grade": str(answer.grade),
        "friction": show.plain(answer.friction),
        "torque": {unit: show.plain(answer.torque(unit)) for unit in UNITS},
        "preload_n": show.plain(answer.preload_n),
        "limits": show.plain(answer.limits),
        "seat_mpa": answer.seat_mpa,
        "seat_limit_mpa": answer.seat_limit_mpa,
        "stripping": show.plain(answer.stripping),
        "assumptions": list(answer.assumptions),
        "sources": [cite(key) for key in answer.sources],
        "cautions": list(answer.cautions),
    }
    if both:
        data["maker"] = {
            "use_nm": both.use_nm,
            "figure": show.plain(both.maker),
            "agrees": both.agrees,
            "words": both.words,
            "cautions": list(both.cautions),
        }
    return data
