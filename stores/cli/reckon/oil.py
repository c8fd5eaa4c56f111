"""Oil: what a case holds, what a grade is, fork oil by level."""

from dataclasses import replace
from typing import Annotated

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import (
    amount,
    answer_data,
    cautions,
    figure,
    row,
    show_answers,
    sources,
)
from stores.errors import BadValue

__all__: list[str] = []

_MM, _ML = units.Kind.LENGTH, units.Kind.VOLUME


def _mm(text: str) -> float:
    return amount(text, _MM, "mm")


@command(
    "fill",
    "stores reckon fill lying 120 200 --to 45",
    'stores reckon fill "box 180 120 30 + lying 90 120" --now 20 --to 35',
    "stores reckon fill box 180 120 60 --holds 750",
    group=reckon_commands,
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
        str, typer.Option("--holds", metavar="ML", help="A volume: gives the level it stands at.")
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
    json: AsJson = False,
) -> None:
    """What a case holds, full or up to a level; what to add to one; the level a volume stands at.

    For a case whose book is gone: the maker's capacity, plug or dipstick comes first.
    """
    from stores.handbook.fluids.capacity import (
        capacity,
        correct_level,
        fill_to_plug,
        level_of,
        read_shape,
    )

    refuse_options(shape)
    case = read_shape(" ".join(shape))
    if (now and not to) or (holds and (now or to)):
        raise BadValue("say --to LEVEL, --now LEVEL --to LEVEL, or --holds ML by itself")
    if holds:
        answer = level_of(case, amount(holds, _ML, "ml"), off_mm=_mm(off))
    elif now:
        answer = correct_level(case, _mm(now), _mm(to), off_mm=_mm(off))
    elif to:
        taken = amount(inside, _ML, "ml") if inside else 0.0
        answer = fill_to_plug(case, _mm(to), off_mm=_mm(off), displaced_ml=taken)
    else:
        taken = amount(inside, _ML, "ml") if inside else 0.0
        answer = capacity(case, off_mm=_mm(off), displaced_ml=taken)
    if json:
        show.as_json(answer_data(answer))
        return
    if answer.value < 0:  # so much to draw off, not less than nothing to add
        answer = replace(
            answer, value=-answer.value, low=-answer.high, high=-answer.low, cautions=()
        )
    show_answers([answer])


@command(
    "oil",
    "stores reckon oil EP 90",
    'stores reckon oil "80W-90 GL-5" --bronze',
    "stores reckon oil 20W-50",
    group=reckon_commands,
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
    json: AsJson = False,
) -> None:
    """How thick an oil is, what other scale's grade is about alike, and GL-4 against GL-5."""
    from stores.handbook.fluids.oils import Scale, alike, gear_oil_advice, limits, read_grade

    refuse_options(grade)
    read = read_grade(" ".join(grade))
    found = limits(read, year)
    like = alike(read, year) if read.scale is not Scale.VG and read.hot else ()
    advice = None
    if read.service or hypoid or bronze is not None:
        advice = gear_oil_advice(read.service, bronze, hypoid=hypoid)
    if json:
        show.as_json(
            {
                "grade": str(read),
                "scale": read.scale,
                "at_c": found.at_c,
                "least_cst": found.least_cst,
                "below_cst": found.below_cst,
                "cold": found.cold,
                "edition": found.edition,
                "alike": [str(each) for each in like],
                "advice": advice,
            }
        )
        return
    upper = "" if found.below_cst is None else f", below {figure(found.below_cst, 'cSt')}"
    show.say(f"{read}: {read.scale}, {found.edition}")
    row("thickness", f"{figure(found.least_cst, 'cSt')} or more{upper} at {found.at_c:g} C")
    if found.cold:
        row("cold", found.cold)
    if read.scale is Scale.GEAR and year is None and read.hot in ("80", "85", "90", "140", "250"):
        row("old books", "before 2005 a grade reached further: --edition 1991")
    if like:
        row(
            "about alike",
            ", ".join(f"{each} ({each.scale})" for each in like) + ", in thickness at 100 C alone",
        )
    keys = [*found.sources]
    said = ["the maker's oil for the machine comes first"]
    if advice:
        row(str(advice.verdict), advice.reason)
        keys += advice.sources
        said += advice.cautions
    sources(keys)
    cautions(said)


@command(
    "fork",
    "stores reckon fork 32 --rise 15",
    "stores reckon fork 32 --legs 148 162",
    "stores reckon fork 32 --level 140 --spacer 120 28 24",
    group=reckon_commands,
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
    json: AsJson = False,
) -> None:
    """Fork oil by level: what a rise takes, what a leg lacks, the level without the spacer.

    The level is from the top of the tube down to the oil: a smaller figure is more oil.
    """
    from stores.handbook.fluids.capacity import compare_legs, level_without_spacer, oil_for_level

    across = _mm(bore)
    answers = []
    if rise:
        answers.append(oil_for_level(across, amount(rise, _MM, "mm")))
    if legs:
        answers.append(compare_legs(_mm(legs[0]), _mm(legs[1]), across))
    if bool(level) != bool(spacer):
        raise BadValue("--level MM and --spacer LENGTH OUTSIDE INSIDE go together")
    if spacer:
        length, outside, within = (_mm(each) for each in spacer)
        answers.append(level_without_spacer(_mm(level), length, outside, within, across))
    if not answers:
        raise BadValue("say --rise MM, --legs LEFT RIGHT, or --level MM --spacer LENGTH OD ID")
    if json:
        show.as_json([answer_data(each) for each in answers])
        return
    show_answers(answers)
