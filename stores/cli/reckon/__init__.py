"""The calculators, under one roof: they need no stores and load no database.

One module a subject; each is imported when one of its commands is called.
"""

import typer

from stores.cli.app import app
from stores.cli.overview import IN_A_LINE, Overview

__all__ = ["CALCULATORS", "reckon_commands"]

CALCULATORS = {
    "torque": ("reckon.torque", "how tight: torque by thread, class and friction"),
    "order": ("reckon.order", "tightening order and stages of a cover or head"),
    "slots": ("reckon.rules", "castle nut: the turn to the next slot"),
    "oiled": ("reckon.rules", "a dry figure on an oiled or plated thread"),
    "plug": ("reckon.rules", "spark plugs and drain plugs"),
    "rules": ("reckon.rules", "rules of the bench, with their reasons"),
    "fill": ("reckon.oil", "what a case holds, to a level; how much to add"),
    "oil": ("reckon.oil", "an oil grade: how thick, what is like it, bronze in it"),
    "fork": ("reckon.oil", "fork oil by level"),
    "mixture": ("reckon.engine", "two-stroke petrol and oil, topping up"),
    "compression": ("reckon.engine", "what a cylinder should show, dry and wet test"),
    "battery": ("reckon.engine", "state of charge at rest"),
    "fit": ("reckon.wear", "limits and fits of ISO 286"),
    "wear": ("reckon.wear", "a reading against nominal and limit"),
    "bore": ("reckon.wear", "ovality and taper of a bore"),
    "convert": ("reckon.convert", "lengths, torques, volumes and pressures"),
}
"""The calculators: the module each is in, and its line of the overview."""


class Calculators(Overview):
    """The overview of the calculators."""

    table = CALCULATORS

    @classmethod
    def registered(cls) -> typer.Typer:
        """Give the group that they register with."""
        return reckon_commands


reckon_commands = typer.Typer(
    cls=Calculators,
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Calculators: torque, tightening order, oil, mixture, compression, wear. "
    "General figures: the maker's come first.",
    epilog="Every calculator has an example: stores reckon NAME --help.",
)
app.add_typer(reckon_commands, name="reckon", short_help=IN_A_LINE["reckon"])
