"""The whole stores as plain text, and back."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import command, file_at, opened

__all__: list[str] = []


@command("export", "stores export teasel.jsonl")
def export(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="The file to write, or - to show.")],
) -> None:
    """Write the whole stores as plain text, a line for each row; 'stores replay' reads it back.

    For keeping, comparing and moving to another database. Pictures are files: copy their folder.
    """
    from stores import usecases

    with opened(ctx) as store:
        if file == "-":
            for line in usecases.export_lines(store):
                show.say(line)
            return
        from stores.printing.files import put

        path = file_at(file)
        put(path, (f"{line}\n".encode() for line in usecases.export_lines(store)))
    show.say(str(path))


@command("replay", "stores replay teasel.jsonl")
def replay(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="What 'stores export' wrote.")],
) -> None:
    """Make a stores anew from plain text: all of it, checked by the audit, or nothing.

    Where: stores.db in this folder, or what --stores names before the command; it is never
    written over.
    """
    from stores import usecases
    from stores.errors import BadValue, NotFound

    path = file_at(file)
    if not path.is_file():
        raise NotFound(f"no file {path}: give what 'stores export' wrote")
    try:
        with path.open(encoding="utf-8", newline="\n") as lines:
            count = usecases.replay(ctx.obj, lines)
    except OSError as error:
        raise BadValue(f"cannot read {path}: {error.strerror or error}") from None
    show.say(f"{count:,} rows replayed into {ctx.obj}: no fault in the record.")
