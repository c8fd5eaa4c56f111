"""Pictures: taken in, tied to what they show, and the sheets that index them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    app,
    command,
    day,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.overview import IN_A_LINE
from stores.cli.printed import Open, show_file, today
from stores.errors import BadValue, NotFound
from stores.text import plural

if TYPE_CHECKING:
    from collections.abc import Callable

    from stores.photos.look import Look
    from stores.planning.pictures import PictureOnRecord
    from stores.usecases.pictures import NewPicture, TakenIn

__all__: list[str] = []

photo_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Pictures: take them in, tie them to what they show, print the sheets.",
)
app.add_typer(photo_commands, name="photo", short_help=IN_A_LINE["photo"])

Pictures = Annotated[
    str,
    typer.Option(
        "--pictures",
        metavar="FOLDER",
        envvar="STORES_PICTURES",
        help="Where the pictures are kept; by default beside the stores.",
    ),
]
_MOST_SHOWN = 12


@contextmanager
def _bar(words: str) -> "Iterator[Callable[[int, int], None] | None]":
    """Give what moves a progress bar, on a terminal; None elsewhere."""
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    if not console.is_terminal:
        yield None
        return
    with Progress(console=console, transient=True) as progress:
        task = progress.add_task(words, total=None)
        yield lambda done, total: progress.update(task, completed=done, total=total)


@command(
    "add",
    "stores photo add ~/Pictures/teasel",
    'stores photo add cover.jpg --to 7 --caption "shims left of the cover"',
    "stores photo add ~/Pictures/teasel --fast 1:02",
    group=photo_commands,
)
def add(
    ctx: typer.Context,
    paths: Annotated[list[str], typer.Argument(metavar="PATH", help="Pictures, or folders.")],
    to: Annotated[
        str, typer.Option("--to", metavar="WHAT", help="What all show: a step, bag or item.")
    ] = "",
    caption: Annotated[str, typer.Option("--caption", "-c", help="What stands under them.")] = "",
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
    pictures: Pictures = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take pictures in, each content once. A picture that shows a bag's label is filed under it.

    Those that follow such a picture are offered to that bag, others to the step in whose time they
    were taken: 'stores photo accept' says yes. What is no picture is listed with the reason.
    """
    from stores import usecases
    from stores.photos.folder import look_over

    offset = _offset(fast)
    where = [file_at(path) for path in paths]
    missing = [path for path in where if not path.exists()]
    if missing:
        raise NotFound(f"no file or folder {missing[0]}")
    with opened(ctx) as store:
        folder = usecases.picture_folder(store, pictures)
        with _bar("looking at them") as moved:
            looked = look_over(where, progress=moved)
        with _bar("reading labels in them") as moved:
            new = _with_codes(looked.looks, moved, wanted=not to, thorough=thorough)
        with _bar("keeping them") as moved:
            taken = usecases.take_in(
                store,
                new,
                folder,
                to=to,
                caption=caption,
                fast_seconds=offset,
                machine=machine,
                at=day(on),
                progress=moved,
            )
    refused = [str(each) for each in looked.refusals]
    if json:
        data: dict[str, Any] = dict(taken.done.data) if taken.done else {"numbers": []}
        show.as_json(data | {"known": taken.known, "refused": refused, "notes": list(taken.notes)})
        return
    _show_taken(taken, refused, len(looked.left_alone))


def _with_codes(
    looks: "Sequence[Look]",
    moved: "Callable[[int, int], None] | None",
    *,
    wanted: bool,
    thorough: bool,
) -> "list[NewPicture]":
    from stores.usecases.pictures import NewPicture

    if not wanted:
        return [NewPicture(look) for look in looks]
    from stores.photos.codes import codes_in_all

    found = []
    for done, (look, (_, codes)) in enumerate(
        zip(looks, codes_in_all([look.file for look in looks], thorough=thorough), strict=True), 1
    ):
        found.append(NewPicture(look, codes if isinstance(codes, tuple) else ()))
        if moved:
            moved(done, len(looks))
    return found


def _offset(text: str) -> int | None:
    """Read how far a clock is fast: ``1:02`` hours and minutes, ``-0:30`` slow. In seconds."""
    if not text.strip():
        return None
    sign, rest = (-1, text.strip()[1:]) if text.strip()[:1] in "-−" else (1, text.strip())
    parts = rest.removeprefix("+").split(":")
    if len(parts) not in (2, 3) or not all(part.isdecimal() for part in parts):
        raise BadValue(f"{text!r}: write hours and minutes, 1:02, or -0:30 for a slow clock")
    hours, minutes, *seconds = (int(part) for part in parts)
    return sign * (hours * 3600 + minutes * 60 + sum(seconds))


def _show_taken(taken: "TakenIn", refused: list[str], left: int) -> None:
    if taken.done:
        for line in taken.done.lines:
            show.say(line)
    else:
        show.say("No new picture.")
    if taken.known:
        show.say(f"{taken.known} already on record, kept once")
    for words, counts in (("filed under", taken.filed), ("offered to", taken.offered)):
        for name, count in counts.items():
            show.say(f"  {count:>4}  {words} {name}")
    for note in taken.notes:
        show.paragraph(note, bullet=True)
    for line in refused[:_MOST_SHOWN]:
        show.paragraph(f"not taken: {line}", bullet=True)
    if len(refused) > _MOST_SHOWN:
        show.say(f"- not taken: {len(refused) - _MOST_SHOWN} more; --json lists them all")
    if left:
        files = "1 file that is no picture" if left == 1 else f"{left} files that are no pictures"
        show.say(f"- left alone: {files} by the name")
    if taken.offered:
        show.say("Right so? stores photo accept (stores photo list --offered shows them)")


@command("list", "stores photo list", "stores photo list --offered", group=photo_commands)
def listing(
    ctx: typer.Context,
    offered: Annotated[
        bool, typer.Option("--offered", help="Only those that wait for a yes.")
    ] = False,
    loose: Annotated[
        bool, typer.Option("--loose", help="Only those that are tied to nothing.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """List the pictures with what they show."""
    from stores.storage.machines import machine_named
    from stores.storage.pictures import read_pictures

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        listed = read_pictures(connection, on.number)
    if offered:
        listed = [each for each in listed if each.offers]
    if loose:
        listed = [each for each in listed if not each.filed]
    if json:
        show.as_json(
            [show.plain(each) | {"filed": [_filed(tie) for tie in each.filed]} for each in listed]
        )
        return
    if not listed:
        show.say(f"No such picture of {on.name}.")
        return
    show.table(
        ["No.", "Taken", "Shows", "Caption"],
        [
            [str(each.number), each.taken[:16].replace("T", " "), _shows(each), each.caption]
            for each in listed
        ],
        right=[0],
    )


def _filed(tie: Any) -> dict[str, Any]:
    return {"what": tie.what, "how": tie.how}


def _shows(picture: "PictureOnRecord") -> str:
    said = [each.what for each in picture.kept]
    said += [f"{each.what}?" for each in picture.offers]
    return ", ".join(said) or f"({picture.name})"


@command(
    "file",
    "stores photo file 12-15 7",
    "stores photo file 12 A001N",
    "stores photo file 12 7 --off",
    group=photo_commands,
)
def file(
    ctx: typer.Context,
    numbers: Annotated[str, typer.Argument(metavar="NUMBERS", help="Pictures: 12, 12-15, 3,9.")],
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A step, bag or item.")],
    off: Annotated[bool, typer.Option("--off", help="They do not show it after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tie pictures to the step, bag or item that they show."""
    from stores import usecases
    from stores.planning.pictures import read_numbers

    refuse_options([what])
    wanted = read_numbers(numbers)
    with opened(ctx) as store:
        reply = usecases.file_pictures(store, wanted, what, off=off, machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command("accept", "stores photo accept", "stores photo accept 12-15 --no", group=photo_commands)
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
    from stores import usecases
    from stores.planning.pictures import read_numbers

    wanted = read_numbers(numbers) if numbers else []
    with opened(ctx) as store:
        reply = usecases.accept_offers(store, wanted, refuse=no, machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command("caption", 'stores photo caption 12 "shims left of the cover"', group=photo_commands)
def caption(
    ctx: typer.Context,
    numbers: Annotated[str, typer.Argument(metavar="NUMBERS", help="Pictures: 12, 12-15.")],
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What stands under them.")],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Write what stands under pictures."""
    from stores import usecases
    from stores.planning.pictures import read_numbers

    refuse_options([text])
    wanted = read_numbers(numbers)
    with opened(ctx) as store:
        reply = usecases.set_caption(store, wanted, text, machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "sheets",
    "stores photo sheets",
    "stores photo sheets Engine/Clutch --per-page 6 --out clutch.pdf",
    group=photo_commands,
)
def sheets(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    out: Annotated[
        str, typer.Option("--out", "-o", metavar="FILE", help="The PDF to write.")
    ] = "photos.pdf",
    per_page: Annotated[
        int, typer.Option("--per-page", metavar="N", help="Pictures a page, 6 to 20.")
    ] = 12,
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="A4 or Letter.")] = "A4",
    shown: Open = False,
    pictures: Pictures = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The index sheets: thumbnails in order with number, time, step, bag and caption."""
    from stores import usecases
    from stores.model.items import lies_in
    from stores.photos.thumbs import small_pictures
    from stores.planning.pictures import shots
    from stores.printing.photo_index import write_photo_index
    from stores.storage.machines import machine_named
    from stores.storage.pictures import read_pictures, steps_by_number, steps_of_bags

    path = file_at(out)
    with opened(ctx) as store:
        folder = usecases.picture_folder(store, pictures)
        with store.reading() as connection:
            on = machine_named(connection, machine)
            listed = read_pictures(connection, on.number)
            steps = steps_by_number(connection, on.number)
            bags = steps_of_bags(connection, on.number)
    if not listed:
        raise NotFound(f"no picture of {on.name} was taken in: stores photo add FOLDER")
    kept = {
        each.digest: folder / each.digest[:2] / f"{each.digest}{each.format}" for each in listed
    }
    made = shots(listed, steps, bags, kept, on.name)
    if assembly.strip():
        made = [shot for shot in made if lies_in(shot.assembly, assembly)]
        if not made:
            raise NotFound(f"no picture of assembly {assembly!r}: 'stores photo list' shows them")
    with _bar("drawing") as moved:
        printed = write_photo_index(
            made,
            path,
            title=f"Pictures: {on.name}",
            date=today(),
            per_page=per_page,
            paper=paper,
            thumbs=small_pictures,
            progress=moved,
        )
    if not json:
        show.say(f"{plural(len(made), 'picture')} on {plural(printed.sheets, 'sheet')} of {paper}")
    show_file(printed, json_wanted=json, shown=shown, data={"pictures": len(made)})
