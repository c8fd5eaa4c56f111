"""The survey before the strip-down."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, TemplateFolder, asked, command, file_at
from stores.cli.files import Open, show_file
from stores.cli.wording import Kind
from stores.papers import today

__all__: list[str] = []


@command(
    "survey",
    "stores machine survey --kind two-wheeler",
    "stores machine survey --pdf survey.pdf",
    "stores machine survey --kind stationary-engine,gearbox-axle",
)
def survey(
    ctx: typer.Context,
    kind: Kind = None,
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="The sheet to fill in.")
    ] = None,
    shown: Open = False,
    templates: TemplateFolder = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """What to look at before it is taken apart, while it still runs; and what is on record of it.

    What is asked depends on the kind of machine, which is remembered. The lists are text files in
    label_templates/surveys: copy one into a folder stores.templates beside stores.db, edit it, and
    give its name with --kind.
    """
    from stores.usecases.survey import AskSurvey
    from stores.usecases.survey import survey as look_over
    from stores.wording.survey import kind_kept
    from stores.wording.survey import shown as in_words

    own = str(file_at(templates)) if templates else ""
    with asked(ctx, machine, on) as context:
        reply = look_over(context, AskSurvey(kind or (), own))
    if pdf is None:
        show.reply(reply, in_words, json_wanted=json)
        return
    from stores.printing.survey import write_survey

    printed = write_survey(
        file_at(pdf), machine=reply.machine, date=today(), lists=reply.lists, snags=reply.snags
    )
    if not json:
        for line in kind_kept(reply):
            show.say(line)
    data = {"sheets": printed.sheets, "kinds": reply.kinds, "trial": reply.trial}
    show_file(printed, json_wanted=json, shown=shown, data=data)
