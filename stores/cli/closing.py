"""The end of a day, closing a machine out, and its bound record."""

from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, file_at, refuse_options
from stores.cli.files import Open, show_file
from stores.errors import BadValue
from stores.text import plural

__all__: list[str] = []

Pdf = Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")]


@command(
    "handover",
    'stores record handover "left brake pipe only hand-tight"',
    "stores record handover --pdf today.pdf",
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

    Words that you give are kept, and come first. The PDF is one page.
    """
    from stores.usecases.closing import HandOver, end_of_day, hand_over
    from stores.wording.closing import day_end

    text = " ".join(words or [])
    refuse_options([text])
    path = file_at(pdf) if pdf is not None else None
    with asked(ctx, machine, on) as context:
        note = hand_over(context, HandOver(text)) if words else None
        reply = end_of_day(context, note)
    if path is None:
        show.reply(reply, day_end, json_wanted=json)
        return
    from stores.papers import write_handover

    printed = write_handover(reply, path)
    show_file(printed, json_wanted=json, shown=shown, data={"machine": reply.machine})


@command(
    "close",
    "stores machine close --look",
    'stores machine close -n "road test on 14 March: no leak"',
    'stores machine close --reopen "oil at the drain plug"',
)
def close(
    ctx: typer.Context,
    look: Annotated[
        bool, typer.Option("--look", help="Only list what is still to settle.")
    ] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="Closing remark.")] = "",
    reopen: Annotated[
        str | None,
        typer.Option("--reopen", metavar="WHY", help="Work on it again after it was closed out."),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Close a machine out: refused while anything is left over, short, away or open.

    Nothing more is recorded of it then, until it is opened again with a reason.
    """
    from stores.usecases.closing import CloseOut, Reopen, close_out, look_before_closing
    from stores.usecases.closing import reopen as open_again
    from stores.wording.closing import closed_out, in_the_way, opened_again

    if reopen is not None and (look or note):
        raise BadValue("--reopen goes by itself: say why behind it")
    with asked(ctx, machine, on) as context:
        if reopen is not None:
            show.reply(open_again(context, Reopen(reopen)), opened_again, json_wanted=json)
        elif look:
            show.reply(look_before_closing(context), in_the_way, json_wanted=json)
        else:
            show.reply(close_out(context, CloseOut(note)), closed_out, json_wanted=json)


@command("book", "stores machine book book.pdf")
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
    from stores.papers import write_book
    from stores.printing.paper import chosen_paper
    from stores.usecases.closing import bound_record

    path = file_at(file)
    with asked(ctx, machine) as context:
        record = bound_record(context, pictures)
    with _bar(len(record.items) * 3 + 50) as step:
        printed = write_book(record, path, step)
    if not json:
        show.say(f"{plural(printed.sheets, 'page')} of {chosen_paper().name}")
    show_file(printed, json_wanted=json, shown=shown, data={"pages": printed.sheets})


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
