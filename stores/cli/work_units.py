"""The units a person works in."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, asked, command
from stores.cli.wording import option

__all__: list[str] = []


@command(
    "units",
    "stores record units imperial",
    'stores record units --torque "lbf ft" --volume ml',
    "stores record units",
)
def units(
    ctx: typer.Context,
    system: Annotated[
        str, typer.Argument(metavar="SYSTEM", help="metric, imperial or US; without it, as it is.")
    ] = "",
    torque: Annotated[
        str, option("--torque", "UNIT", "Of torques: N m, lbf ft, lbf in, kgf m.")
    ] = "",
    volume: Annotated[str, option("--volume", "UNIT", "Of volumes: ml, imp pint, US pint.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say in which units to show torques and volumes: on screen and on every sheet.

    N m and ml are shown in brackets beside.
    """
    from stores.usecases.work_units import SetUnits, set_units, units_chosen
    from stores.wording.work_units import recorded, shown

    with asked(ctx, on=on) as context:
        if system.strip() or torque or volume:
            ask = SetUnits(system, torque, volume)
            show.reply(set_units(context, ask), recorded, json_wanted=json)
        else:
            show.reply(units_chosen(context), shown, json_wanted=json)
