"""Converting lengths, torques, volumes and pressures."""

import re
from typing import Annotated

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import row

__all__: list[str] = []

_SHOWN = {
    units.Kind.LENGTH: ("mm", "in", "thou"),
    units.Kind.TORQUE: ("N m", "lbf ft", "lbf in", "kgf m"),
    units.Kind.VOLUME: (
        "ml", "l", "imp fl oz", "imp pint", "imp quart", "imp gallon", "US fl oz", "US pint",
        "US quart", "US gallon",
    ),
    units.Kind.PRESSURE: ("kPa", "bar", "psi", "kgf/cm2"),
}  # fmt: skip


@command(
    "convert",
    "stores reckon convert 18 lbf ft",
    "stores reckon convert 1 1/2 imp pint to ml",
    "stores reckon convert 998.8 hPa to psi",
    group=reckon_commands,
    takes_minus=True,
)
def convert(
    words: Annotated[
        list[str],
        typer.Argument(metavar="AMOUNT [to UNIT]", help="An amount with its unit: 18 lbf ft."),
    ],
    json: AsJson = False,
) -> None:
    """Turn an amount into other units, exactly. A pint says whose: imp pint, US pint."""
    refuse_options(words)
    text = " ".join(words)
    first, *wanted = re.split(r"\s+(?:to|as)\s+(?=\D)", text, maxsplit=1)
    given = units.read(first)
    names = wanted or _SHOWN[given.unit.kind]
    found = [given.to(name) for name in names]
    if json:
        show.as_json({each.unit.name: float(each.value) for each in found})
        return
    show.say(f"{given.text(9)} =")
    for each in found:
        if each.unit != given.unit:
            row("", each.text(6))
