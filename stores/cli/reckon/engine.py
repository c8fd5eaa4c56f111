"""The engine: two-stroke mixture, compression, the battery at rest."""

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import (
    amount,
    answer_data,
    cautions,
    row,
    show_answers,
    sources,
)
from stores.errors import BadValue, NotationError

if TYPE_CHECKING:
    from fractions import Fraction

    from stores.handbook.answer import Answer
    from stores.handbook.engine import Pressure, TestVerdict

__all__ = ["pressures", "show_test", "test_data"]

_ML = units.Kind.VOLUME
MOST_KPA = 4500.0
"""More than the compression of any diesel (common practice): a reading above it is misread."""


@command(
    "mixture",
    "stores reckon mixture 25:1 5 l",
    "stores reckon mixture 20:1 --tank 2l --holds 32:1 --petrol 4l",
    "stores reckon mixture --petrol 1gal-imp --oil 0.5pint-imp",
    group=reckon_commands,
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
    json: AsJson = False,
) -> None:
    """Two-stroke petrol and oil: oil for petrol, petrol for oil, the ratio of both, topping up.

    25:1 is 25 parts of petrol to one of oil. The maker's ratio comes first.
    """

    refuse_options(words or [])
    ratio, much = _ratio_and_amount(" ".join(words or []))
    if much and petrol:
        raise BadValue("the amount of petrol twice: say it once")
    given = much or petrol
    if tank or full:
        answers = _topping_up(ratio, given, tank, holds, full)
    elif holds:
        raise BadValue("--holds is of a tank: say what is in it, --tank AMOUNT")
    else:
        answers = _mixing(ratio, given, oil)
    if json:
        show.as_json([answer_data(answer) for answer in answers])
        return
    show_answers(answers)


def _mixing(ratio: "Fraction | None", petrol: str, oil: str) -> "list[Answer]":
    from stores.handbook import mixture as mix

    if ratio is None:
        if not (petrol and oil):
            raise BadValue("say a ratio and an amount, 25:1 5 l; or --petrol and --oil")
        return [mix.ratio_of(_volume(petrol), _volume(oil))]
    if oil:
        return [mix.petrol_for_oil(_volume(oil), ratio)]
    if not petrol:
        raise BadValue("how much petrol? write it after the ratio: 25:1 5 l")
    much = _volume(petrol)
    return [mix.oil_for_petrol(much, ratio), mix.oil_in_mixture(much, ratio)]


def _topping_up(
    ratio: "Fraction | None", petrol: str, tank: str, holds: str, full: str
) -> "list[Answer]":
    from stores.handbook import mixture as mix

    if ratio is None:
        raise BadValue("say the ratio wanted first: stores reckon mixture 25:1 --tank 2l ...")
    if bool(full) == bool(petrol):
        raise BadValue("say what to add, --petrol AMOUNT, or what it is to hold, --full AMOUNT")
    held, of = _volume(tank or "0 ml"), mix.read_ratio(holds) if holds else None
    if full:
        done = mix.top_up(held, of, _volume(full), ratio)
    else:
        done = mix.adding_petrol(held, of, _volume(petrol), ratio)
    return [done.petrol, done.oil]


def _ratio_and_amount(text: str) -> "tuple[Fraction | None, str]":
    """Part "25:1 5 l" into the ratio and the amount; a text without a ratio is an amount."""
    from stores.handbook.mixture import read_ratio

    words = text.split()
    wrong: BadValue | None = None
    for end in range(len(words), 0, -1):
        first = " ".join(words[:end])
        if end < len(words) and re.fullmatch(r"[\d.,]+", first):
            continue  # "5 l" is no ratio of 5
        try:
            return read_ratio(first), " ".join(words[end:])
        except NotationError:
            continue
        except BadValue as error:
            wrong = error
    if re.search(r"[:%]| to ", text):
        if wrong:
            raise wrong
        read_ratio(text)  # says what is wrong with it
    return None, text


def _volume(text: str) -> float:
    """Read a volume, also ``1gal-imp`` typed without quotes."""
    return amount(text.replace("-", " "), _ML)


@command(
    "compression",
    "stores reckon compression 6.3 --barometer 998.8",
    "stores reckon compression 6.3 --dry 88,71 --wet 92,90",
    "stores reckon compression --dry 95psi --maker 90psi",
    group=reckon_commands,
)
def compression(
    ratio: Annotated[
        float | None,
        typer.Argument(metavar="RATIO", help="Compression ratio, so many to 1."),
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
    json: AsJson = False,
) -> None:
    """What a cylinder should show, and what a dry and a wet test say together.

    The floor is the ratio times the day's pressure, absolute; a tester reads gauge, less by one
    atmosphere. The maker's figure is the limit.
    """
    from stores.handbook import engine as squeeze
    from stores.handbook.engine import judge

    air = squeeze.atmosphere(altitude, _hectopascals(barometer) if barometer else None)
    if ratio is None and not dry:
        raise BadValue("say the compression ratio, the readings (--dry 88,71), or both")
    if bool(stroke) != bool(port):
        raise BadValue("--stroke and --port go together")
    answers = []
    floor = None
    if ratio is not None:
        if stroke:
            length = units.Kind.LENGTH
            trapped = squeeze.trapped_ratio(
                ratio, amount(stroke, length, "mm"), amount(port, length, "mm")
            )
            answers.append(trapped)
            ratio = trapped.value
        floor = squeeze.floor(ratio, air.value, gauge=True)
        answers += [
            squeeze.floor(ratio, air.value),
            floor,
            squeeze.expected(ratio, air.value, gauge=True),
        ]
    verdict = None
    doubts: list[str] = []
    if dry:
        readings = [each for each in pressures(dry, unit, air.value) if each]
        verdict = judge(
            readings,
            pressures(wet, unit, air.value) if wet else (),
            two_stroke=two_stroke,
            maker_low=next(iter(pressures(maker, unit, air.value)), None) if maker else None,
            floor_kpa=floor.value if floor else None,
        )
        if floor and max(each.gauge_kpa for each in readings) > answers[-1].high:
            doubts.append(
                "more than cranking gives at this ratio: carbon, another ratio, or the tester"
            )
    elif wet:
        raise BadValue("a wet test is read beside the dry one: --dry READINGS")
    if json:
        show.as_json(
            {
                "atmosphere": answer_data(air),
                "answers": [answer_data(each) for each in answers],
                "test": test_data(verdict) if verdict else None,
            }
        )
        return
    show.say(f"the day's air: {units.plain(air.value * 10, 4)} hPa")
    if answers:
        _show_floor(answers, air)
    if two_stroke:
        row("usual", "90 to 115 psi on a small two-stroke with a low ratio (common practice)")
    if verdict:
        show_test(verdict, unit)
    cautions(doubts)


def _hectopascals(text: str) -> float:
    return amount(text, units.Kind.PRESSURE, "hPa") * 10


def _show_floor(answers: "Sequence[Answer]", air: "Answer") -> None:
    for answer in answers[:-3]:
        show.say(f"{answer.what}: {units.plain(answer.value, 3)} {answer.unit}")
    absolute, gauge, expected = answers[-3:]
    show.say(f"floor: {_psi(absolute.value)} absolute; a tester shows {_psi(gauge.value)}")
    show.say(f"while cranking: a tester shows {_psi(expected.low, expected.high)} at the best")
    row("hangs on", expected.limiting)
    row(
        "assuming",
        "; ".join(
            dict.fromkeys((*air.assumptions, *absolute.assumptions[2:], *expected.assumptions[2:]))
        ),
    )
    sources((*air.sources, *expected.sources))
    cautions(expected.cautions)


def _psi(*kilopascals: float) -> str:
    both = [
        " to ".join(units.plain(units.convert(each, "kPa", unit), digits) for each in kilopascals)
        for unit, digits in (("psi", 3), ("bar", 2))
    ]
    return f"{both[0]} psi ({both[1]} bar)"


def pressures(text: str, unit: str, atmosphere_kpa: float) -> "list[Pressure | None]":
    """Read readings in a row: ``88,71``, ``6.1bar, -, 5.9bar``; ``-`` is one not taken."""
    from stores.handbook.engine import read_pressure

    found: list[Pressure | None] = []
    for part in re.split(r"\s*[,;]\s*|\s+(?=[-\d])", text.strip()):
        if part == "-":
            found.append(None)
            continue
        bare = re.fullmatch(r"[\d.]+", part)
        read = read_pressure(f"{part} {unit}" if bare else part, atmosphere_kpa=atmosphere_kpa)
        if read.gauge_kpa > MOST_KPA:
            raise BadValue(
                f"{part}: over {MOST_KPA / 6.894757:.0f} psi, no engine shows that; unit?"
            )
        found.append(read)
    return found


def show_test(verdict: "TestVerdict", unit: str) -> None:
    """Show a compression test, cylinder by cylinder, and what it points to."""
    for each in verdict.cylinders:
        wet = "" if each.wet is None else f", wet {units.plain(each.wet.gauge(unit), 3)}"
        show.paragraph(
            f"cylinder {each.number}: dry {units.plain(each.dry.gauge(unit), 3)}{wet} {unit}: "
            f"{each.cause}",
            rest="  ",
        )
    if verdict.spread:
        row("spread", f"{units.plain(verdict.spread.value, 2)} % of the highest")
    row("so", verdict.verdict)
    row("assuming", "; ".join(verdict.assumptions))
    sources(verdict.sources)
    cautions(verdict.cautions)


def test_data(verdict: "TestVerdict") -> dict[str, Any]:
    """Give a compression test for another program."""
    return {
        "verdict": verdict.verdict,
        "spread_percent": verdict.spread.value if verdict.spread else None,
        "cylinders": [
            {
                "cylinder": each.number,
                "dry_kpa_gauge": each.dry.gauge_kpa,
                "wet_kpa_gauge": None if each.wet is None else each.wet.gauge_kpa,
                "cause": each.cause,
                "reason": each.reason,
            }
            for each in verdict.cylinders
        ],
        "assumptions": list(verdict.assumptions),
        "cautions": list(verdict.cautions),
    }


@command(
    "battery",
    "stores reckon battery 12.4",
    "stores reckon battery 6.2 6.35",
    "stores reckon battery --gravity 1.230 --acid 15",
    group=reckon_commands,
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
    json: AsJson = False,
) -> None:
    """State of charge of a lead-acid battery at rest, 6 V or 12 V, by voltage or by gravity."""
    from stores.handbook.battery import at_rest, by_gravity, freezes_between, in_series

    read = list(volts or [])
    if gravity is not None and read:
        raise BadValue("volts or gravity, one at a time: they are two tests")
    verdict = ""
    if gravity is not None:
        answers = [by_gravity(gravity, acid)]
    elif len(read) == 1:
        answers = [at_rest(read[0], nominal, rest_hours=rested)]
    elif len(read) == 2:
        pair = in_series(read[0], read[1], rest_hours=rested)
        answers = [pair.first, pair.second]
        verdict = (
            f"{units.plain(pair.total_v, 4)} V together, {units.plain(pair.apart_v, 2)} V apart: "
            f"{pair.verdict}"
        )
    else:
        raise BadValue("say the voltage at rest, of one battery or of two 6 V in series: 12.4")
    colds = [freezes_between(answer.low) for answer in answers]
    if json:
        show.as_json(
            {
                "answers": [answer_data(answer) for answer in answers],
                "freezes_c": colds,
                "verdict": verdict,
            }
        )
        return
    if verdict:
        show.say(verdict)
    show_answers(answers, with_cautions=False)
    warm, cold = max(colds)
    row(
        "freezes",
        f"from about {warm:.0f} C at the low end of the range (the sources: to {cold:.0f})",
    )
    cautions(text for answer in answers for text in answer.cautions)
