"""Pictures: taken in, tied to what they show, and the sheets that index them."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    PictureFolder,
    app,
    asked,
    command,
    file_at,
    one_line,
    refuse_options,
)
from stores.cli.files import Open, show_file
from stores.cli.overview import IN_A_LINE
from stores.papers import today
from stores.text import plural

__all__: list[str] = []

photo_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Pictures: take them in, tie them to what they show, print the sheets.",
)
app.add_typer(photo_commands, name="photo", short_help=IN_A_LINE["photo"])


@command(
    "add",
    "stores photo add ~/Pictures/teasel",
    'stores photo add cover.jpg --to 7 --caption "shims left of the cover"',
    "stores photo add ~/Pictures/teasel --fast 1:02",
    line="take pictures in, each of them once",
    group=photo_commands,
)
def add(
    ctx: typer.Context,
    paths: Annotated[list[str], typer.Argument(metavar="PATH", help="Pictures, or folders.")],
    to: Annotated[
        str, typer.Option("--to", metavar="WHAT", help="What all show: a step, bag or item.")
    ] = "",
    caption: Annotated[
        str, typer.Option("--caption", "-c", help="A line to print under them.")
    ] = "",
    fast: Annotated[
        str,
        typer.Option(
            "--fast",
            metavar="H:MM",
            help="How far the camera's clock is fast; -0:30. By default as said last.",
        ),
    ] = "",
    thorough: Annotated[
        bool, typer.Option("--thorough", help="Look harder for small or blurred labels; slow.")
    ] = False,
    pictures: PictureFolder = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Import pictures, skipping duplicates. A picture that shows one bag's label is filed under it.

    Others are only offered: to the label or the step nearest in time, or, with several labels in
    it, to each of those bags. 'stores photo accept' says yes. What is no picture is listed with the
    reason; if none could be taken, the status is 1.
    """
    from stores.usecases.pictures import TakePictures, take_pictures
    from stores.wording.pictures import none_taken, taken

    ask = TakePictures(
        [file_at(path) for path in paths], to, caption, fast, thorough=thorough, folder=pictures
    )
    with asked(ctx, machine, on) as context, show.bar() as moved:
        reply = take_pictures(context, ask, moved)
    if reply.refused and not (reply.numbers or reply.known or reply.kept_again):
        one_line(none_taken(reply))
        raise typer.Exit(1)
    show.reply(reply, taken, json_wanted=json)


@command(
    "list",
    "stores photo list",
    "stores photo list --offered",
    line="the pictures, with what they show",
    group=photo_commands,
)
def listing(
    ctx: typer.Context,
    offered: Annotated[
        bool, typer.Option("--offered", help="Only those that wait for a yes.")
    ] = False,
    loose: Annotated[
        bool, typer.Option("--loose", help="Only those that are not filed yet.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """List the pictures with what they show."""
    from stores.usecases.pictures import ListPictures
    from stores.usecases.pictures import pictures as list_pictures
    from stores.wording.pictures import listing as words

    with asked(ctx, machine) as context:
        reply = list_pictures(context, ListPictures(offered=offered, loose=loose))
    show.reply(reply, words, json_wanted=json)


@command(
    "file",
    "stores photo file 12-15 7",
    "stores photo file 12 A001N A003J",
    "stores photo file 12 7 --off",
    line="say which step, bag or item pictures show",
    group=photo_commands,
)
def file(
    ctx: typer.Context,
    numbers: Annotated[str, typer.Argument(metavar="NUMBERS", help="Pictures: 12, 12-15, 3,9.")],
    what: Annotated[
        list[str], typer.Argument(metavar="WHAT", help="A step, bag or item, or several.")
    ],
    off: Annotated[bool, typer.Option("--off", help="They do not show it after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tie pictures to the step, bag or item that they show, or to several in one go."""
    from stores.usecases.pictures import FilePictures, file_pictures
    from stores.wording.pictures import filed

    refuse_options(what)
    ask = FilePictures(numbers, what, takes_off=off)
    with asked(ctx, machine, on) as context:
        show.reply(file_pictures(context, ask), filed, json_wanted=json)


@command(
    "accept",
    "stores photo accept",
    "stores photo accept 12-15 --no",
    line="say yes, or no, to what pictures were offered to",
    group=photo_commands,
)
def accept(
    ctx: typer.Context,
    numbers: Annotated[
        str, typer.Argument(metavar="NUMBERS", help="Only these; by default all that wait.")
    ] = "",
    no: Annotated[bool, typer.Option("--no", help="Refuse the offers.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say yes to what pictures were offered to."""
    from stores.usecases.pictures import AnswerOffers, answer_offers
    from stores.wording.pictures import answered

    ask = AnswerOffers(numbers, refuses=no)
    with asked(ctx, machine, on) as context:
        show.reply(answer_offers(context, ask), answered, json_wanted=json)


@command(
    "caption",
    'stores photo caption 12 "shims left of the cover"',
    line="write a line under pictures",
    group=photo_commands,
)
def caption(
    ctx: typer.Context,
    numbers: Annotated[str, typer.Argument(metavar="NUMBERS", help="Pictures: 12, 12-15.")],
    text: Annotated[str, typer.Argument(metavar="TEXT", help="A line to print under them.")],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Write a line to print under pictures."""
    from stores.usecases.pictures import CaptionPictures, caption_pictures
    from stores.wording.pictures import captioned

    refuse_options([text])
    ask = CaptionPictures(numbers, text)
    with asked(ctx, machine, on) as context:
        show.reply(caption_pictures(context, ask), captioned, json_wanted=json)


@command(
    "sheets",
    "stores photo sheets",
    "stores photo sheets Engine/Clutch --per-page 6 --pdf clutch.pdf",
    line="print the index: small pictures with number, step and bag",
    group=photo_commands,
)
def sheets(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    out: Annotated[
        str, typer.Option("--pdf", "-o", metavar="FILE", help="The PDF to write.")
    ] = "photos.pdf",
    per_page: Annotated[
        int, typer.Option("--per-page", metavar="N", help="Pictures a page, 6 to 20.")
    ] = 12,
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="A4 or Letter.")] = "",
    shown: Open = False,
    pictures: PictureFolder = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The index sheets: thumbnails in order with number, time, step, bag and caption."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.photo_index import write_photo_index
    from stores.usecases.pictures import SheetPictures, picture_sheets

    path = file_at(out)
    with asked(ctx, machine) as context:
        reply = picture_sheets(context, SheetPictures(assembly, folder=pictures))
    with show.bar() as moved:
        printed = write_photo_index(
            reply.shots,
            path,
            title=f"Pictures: {reply.machine}",
            date=today(),
            per_page=per_page,
            paper=paper,
            thumbs=small_pictures,
            progress=(lambda done, total: moved("drawing", done, total)) if moved else None,
        )
    from stores.printing.paper import paper_named

    if not json:
        count = plural(reply.pictures, "picture")
        show.say(f"{count} on {plural(printed.sheets, 'sheet')} of {paper_named(paper).name}")
    show_file(printed, json_wanted=json, shown=shown, data={"pictures": reply.pictures})
