"""Questions that what was typed left open, and their answers."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, asked, command, refuse_options
from stores.cli.wording import option
from stores.errors import BadValue, StoresError

__all__: list[str] = []


@command(
    "queries",
    "stores record queries",
    "stores record queries 7.2 6",
    'stores record queries 7.2 "6 M6x25 hex bolt"',
    "stores record queries --each",
    records=True,
)
def queries(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="ITEM", help="The line, as 7.2.", show_default=False)
    ] = "",
    answer: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="ANSWER",
            help="How many, 'right', or the whole line as it should have been typed.",
            show_default=False,
        ),
    ] = None,
    each: Annotated[bool, typer.Option("--each", help="Ask them one after another.")] = False,
    reason: Annotated[str, option("--reason", "WHY", "How it was found out.")] = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What was typed and can be read in two ways: list the questions, or answer one.

    Until then labels and lists say what is open: 'count to check' (the count is then 1), 'kind to
    check' or 'thread to check'. An answer puts the line right; 'stores undo' brings the question
    back.
    """
    from stores.usecases import queries as of
    from stores.wording import queries as words

    typed = list(answer or [])
    refuse_options(typed)
    if what and (each or not typed):
        raise BadValue(
            f"what is the answer? Write it behind the line: stores record queries {what} 6"
            if not each
            else "--each takes all in turn: leave the line out"
        )
    with asked(ctx, machine) as context:
        if what:
            ask = of.AnswerQuery(what, " ".join(typed), reason)
            show.reply(of.answer_query(context, ask), words.answered, json_wanted=json)
            return
        reply = of.queries(context)
        if json or not each or not reply.queries:
            show.reply(reply, words.listed, json_wanted=json)
            return
        for query in reply.queries:
            show.lines(words.query(query))
            show.paragraph(words.one_by_one(query), first="     ", rest="     ")
            while True:
                said = _typed()
                if said is None or said == "q":
                    return
                if not said:
                    break
                try:
                    done = of.answer_query(context, of.AnswerQuery(query.item, said, reason))
                except StoresError as refusal:
                    from stores.wording.refusals import line_of

                    show.paragraph(line_of(refusal), first="     ", rest="     ")
                    continue
                show.said(words.answered(done))
                break


def _typed() -> str | None:
    """Return a line that is typed, None where no more will come."""
    try:
        return input("     > ").strip()
    except EOFError:
        show.say()
        return None
