"""The pages in a browser."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import command

__all__: list[str] = []


@command("serve", "stores serve", records=False)
def serve(
    ctx: typer.Context,
    port: Annotated[int, typer.Option(metavar="N", help="The port.")] = 8711,
) -> None:
    """Open the stores in a browser: the whole job on a phone, a tablet or at the desk."""
    from stores.web.server import serve as run

    show.say(f"Open http://localhost:{port} in a browser. Stop with Ctrl-C.")
    run(ctx.obj, port=port)
