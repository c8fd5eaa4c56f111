"""A copy of the record, the whole stores as plain text, and back."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import asked, command, file_at

__all__: list[str] = []


@command("copy", "stores copy /media/stick/teasel-2026-03-14.db")
def copy(
    ctx: typer.Context,
    to: Annotated[str, typer.Argument(metavar="FILE", help="The copy, not there yet.")],
) -> None:
    """Make a second copy of the whole record; keep it somewhere else."""
    from stores.usecases.keeping import Copy
    from stores.usecases.keeping import copy as copy_to
    from stores.wording.keeping import copied

    path = file_at(to)
    with asked(ctx) as context:
        show.say(copied(copy_to(context, Copy(path))))


@command("export", "stores export teasel.jsonl")
def export(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="The file to write, or - to show.")],
) -> None:
    """Write the whole stores as plain text, a line for each row; 'stores replay' reads it back.

    For keeping, comparing and moving to another database. Pictures are files: copy their folder.
    """
    from stores.usecases.keeping import export as lines_of

    with asked(ctx) as context:
        if file == "-":
            for line in lines_of(context):
                show.say(line)
            return
        from stores.printing.files import put

        path = file_at(file)
        put(path, (f"{line}\n".encode() for line in lines_of(context)))
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
    from stores.errors import BadValue, NotFound
    from stores.usecases.keeping import Reload, reload
    from stores.wording.keeping import reloaded

    path = file_at(file)
    if not path.is_file():
        raise NotFound(f"no file {path}: give what 'stores export' wrote")
    try:
        with path.open(encoding="utf-8", newline="\n") as lines:
            reply = reload(Reload(ctx.obj, lines))
    except OSError as error:
        raise BadValue(f"cannot read {path}: {error.strerror or error}") from None
    show.say(reloaded(reply))
