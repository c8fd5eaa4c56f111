"""The end of a day, closing a machine out, and its bound record."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    command,
    day,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.printed import Open, many, show_file, today
from stores.errors import Refused

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stores.planning.pictures import Shot
    from stores.printing.record_book import Book
    from stores.storage import Store

__all__: list[str] = []

Pdf = Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")]


@command(
    "handover",
    'stores handover "left brake pipe only hand-tight, drain pan under the sump"',
    "stores handover --pdf today.pdf",
)
def handover(
    ctx: typer.Context,
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="WORDS", help="What you want to know tomorrow.", show_default=False),
    ] = None,
    pdf: Pdf = None,
    shown: Open = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """The end of a day: what is off, only finger-tight, open, and what waits.

    Words that are given are kept, and stand on top. The PDF is one page.
    """
    from stores import queries, usecases
    from stores.planning.closing import day_end
    from stores.queries.closing import handovers

    text = " ".join(words or [])
    refuse_options([text])
    path = file_at(pdf) if pdf is not None else None
    with opened(ctx) as store:
        if words:
            usecases.hand_over(store, text, machine=machine, at=day(on))
        with store.reading() as connection:
            named = queries.machine_named(connection, machine)
            items = queries.items(connection, machine=named.number)
            said = handovers(connection, named.number)
            last = max((item.step.date for item in items if item.step.number), default="")
            end = day_end(
                items,
                queries.refits(connection, named.number),
                queries.open_snags(connection, named.number),
                since=last,
            )
    if path is not None:
        from stores.photos.thumbs import small_pictures
        from stores.printing.pages import write_pages
        from stores.printing.record_book import day_parts

        printed = write_pages(
            lambda: day_parts(named.name, said, end),
            path,
            title=f"Handover: {named.name}",
            date=today(),
            subject="Handover",
            thumbs=small_pictures,
            one_page=True,
        )
        show_file(printed, json_wanted=json, shown=shown, data={"machine": named.name})
    elif json:
        show.as_json({"machine": named.name, "words": said[:2], "lists": end.lists})
    else:
        show.say(f"Handover: {named.name}")
        for when, line in said[:2]:
            show.paragraph(f"{show.as_date(when)}: {line}", rest="  ")
        for heading, lines in end.lists.items():
            if lines:
                show.say(heading)
                for line in lines:
                    show.paragraph(line, first="  ", bullet=True)
        if not any(end.lists.values()):
            show.say("Nothing is off, open or waiting.")


@command("close", "stores close --look", 'stores close -n "road test on 14 March: no leak"')
def close(
    ctx: typer.Context,
    look: Annotated[bool, typer.Option("--look", help="Only list what is in the way.")] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="Last words.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Close a machine out: refused while anything is left over, short, away or open."""
    from stores import usecases

    with opened(ctx) as store:
        if not look:
            reply = usecases.close_out(store, note=note, machine=machine, at=day(on))
            show.done(reply, json_wanted=json)
            return
        with store.reading() as connection:
            name, matters = _in_the_way(connection, machine)
    if json:
        show.as_json({"machine": name, "in_the_way": matters})
        return
    for matter in matters:
        show.paragraph(matter, bullet=True)
    show.say(
        f"{len(matters)} in the way of closing {name} out."
        if matters
        else f"Nothing is in the way of closing {name} out: stores close"
    )


def _in_the_way(connection: "Connection", machine: str | None) -> tuple[str, list[str]]:
    from stores import queries
    from stores.planning.closing import in_the_way

    on = queries.machine_named(connection, machine)
    items = queries.items(connection, machine=on.number)
    refits = queries.refits(connection, on.number)
    return on.name, in_the_way(items, refits, queries.open_snags(connection, on.number))


@command("book", "stores book book.pdf")
def book(
    ctx: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="The PDF to write.")],
    shown: Open = False,
    pictures: Annotated[
        str,
        typer.Option(
            "--pictures", metavar="FOLDER", envvar="STORES_PICTURES", help="Where they are kept."
        ),
    ] = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The bound record of the restoration: steps, findings, torques, what was renewed, acts."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.pages import write_pages
    from stores.printing.record_book import book_parts

    path = file_at(file)
    with opened(ctx) as store, store.reading() as connection:
        made = _book(store, connection, machine, pictures)
        with _bar(len(made.items) * 3 + 50) as step:
            printed = write_pages(
                lambda: book_parts(made),
                path,
                title=f"{made.machine}: record of the restoration",
                date=made.date,
                subject="Record of a restoration",
                thumbs=small_pictures,
                progress=step,
            )
    if not json:
        show.say(f"{many(printed.sheets, 'page')} of A4")
    show_file(printed, json_wanted=json, shown=shown, data={"pages": printed.sheets})


def _book(store: "Store", connection: "Connection", machine: str | None, pictures: str) -> "Book":
    from stores import queries
    from stores.printing.record_book import Book
    from stores.queries.closing import bought_from, closed_out

    on = queries.machine_named(connection, machine)
    items = queries.items(connection, machine=on.number)
    if not any(item.step.number for item in items):
        raise Refused(f"nothing of {on.name} was taken off yet: there is no record to bind")
    closed = closed_out(connection, on.number)
    acts = tuple(
        (act.number, act.happened_at[:10], act.summary, act.reason, act.stands)
        for act in reversed(queries.act_lines(connection))
    )
    return Book(
        on.name,
        ", ".join(filter(None, (on.maker, on.model, on.year))),
        today(),
        items,
        queries.refits(connection, on.number),
        queries.maker_torques(connection, [item.number for item in items]),
        queries.readings(connection, on.number),
        bought_from(connection, on.number),
        _shots(store, connection, on.number, on.name, pictures),
        acts,
        () if closed else _in_the_way(connection, on.name)[1],
        " ".join(filter(None, (closed[1], f": {closed[2]}" if closed[2] else "")))
        if closed
        else "",
    )


def _shots(
    store: "Store", connection: "Connection", machine: int, name: str, pictures: str
) -> "dict[int, list[Shot]]":
    from stores import queries, usecases
    from stores.planning.pictures import shots

    listed = queries.pictures(connection, machine)
    if not listed:
        return {}
    folder = usecases.picture_folder(store, pictures)
    files = {e.digest: folder / e.digest[:2] / f"{e.digest}{e.format}" for e in listed}
    steps = queries.steps_by_number(connection, machine)
    found: dict[int, list[Shot]] = {}
    for shot in shots(listed, steps, queries.steps_of_bags(connection, machine), files, name):
        found.setdefault(shot.step, []).append(shot)
    return found


def _bar(total: int) -> Any:
    """Give what moves a progress bar, on a terminal; what does nothing elsewhere."""
    import contextlib
    from collections.abc import Callable, Iterator

    from rich.console import Console

    @contextlib.contextmanager
    def bar() -> Iterator[Callable[[], None] | None]:
        console = Console(stderr=True)
        if not console.is_terminal:
            yield None
            return
        from rich.progress import Progress

        with Progress(console=console, transient=True) as progress:
            task = progress.add_task("drawing", total=total)
            yield lambda: progress.advance(task)

    return bar()
