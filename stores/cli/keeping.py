"""A copy of the record, the whole stores as plain text, and back."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, PictureFolder, TemplateFolder, asked, command, file_at

__all__: list[str] = []


@command("copy", "stores record copy /media/stick/teasel-2026-03-14.db")
def copy(
    ctx: typer.Context,
    to: Annotated[str, typer.Argument(metavar="FILE", help="The copy, not there yet.")],
    pictures: PictureFolder = "",
    templates: TemplateFolder = "",
    json: AsJson = False,
) -> None:
    """Make a second copy of all there is: record, pictures, your own label stock and layouts.

    The copy is opened and checked, each picture is compared, before you are told that it is there.
    Keep it somewhere else. Pictures go into a folder beside it: move both together.
    """
    from stores.usecases.keeping import Copy
    from stores.usecases.keeping import copy as copy_to
    from stores.wording.keeping import copied

    path = file_at(to)
    with asked(ctx) as context, show.bar() as moved:
        reply = copy_to(context, Copy(path, pictures, templates), moved)
    show.reply(reply, copied, json_wanted=json)


@command("export", "stores record export teasel.jsonl")
def export(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="The file to write, or - to show.")],
) -> None:
    """Write the whole record as plain text, a line for each row.

    'stores record reload' reads it back.

    For keeping, comparing and moving to another database. Pictures are not in it: 'stores record
    copy' has them.
    """
    from stores.usecases.keeping import export as lines_of
    from stores.usecases.keeping import not_in_text
    from stores.wording.keeping import left_out

    with asked(ctx) as context:
        notes = left_out(not_in_text(context))
        if file == "-":
            for line in lines_of(context):
                show.json_text(line)
            for note in notes:
                show.say(note, err=True)
            return
        from stores.printing.files import put

        path = file_at(file)
        put(path, (f"{line}\n".encode() for line in lines_of(context)))
    for note in notes:
        show.paragraph(note, first="! ", rest="  ")
    show.say(str(path))


@command("replay", "stores record reload teasel.jsonl")
def replay(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="What 'stores record export' wrote.")],
) -> None:
    """Make the record anew from plain text: all of it, checked by the audit, or nothing.

    Where: stores.db in this folder, or what --stores names before the command; it is never
    written over.
    """
    from stores.errors import BadValue, NotFound
    from stores.usecases.keeping import Reload, reload
    from stores.wording.keeping import reloaded

    path = file_at(file)
    if not path.is_file():
        raise NotFound(f"no file {path}: give what 'stores record export' wrote")
    try:
        with path.open(encoding="utf-8", newline="\n") as lines:
            reply = reload(Reload(ctx.obj, lines))
    except OSError as error:
        raise BadValue(f"cannot read {path}: {error.strerror or error}") from None
    show.lines(reloaded(reply).lines)
