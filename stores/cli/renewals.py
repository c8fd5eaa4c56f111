"""What is fitted new as a rule: the list, and what a person changes of it."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, app, asked, command, refuse_options
from stores.cli.overview import IN_A_LINE

__all__: list[str] = []

renew_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="What is always renewed: kinds, and single items.",
)
app.add_typer(renew_commands, name="renew", short_help=IN_A_LINE["renew"])

Kind = Annotated[str, typer.Argument(metavar="WHAT", help="A kind, 'circlip'; an item, 7.2.")]
Why = Annotated[
    list[str] | None, typer.Argument(metavar="WHY", help="The reason.", show_default=False)
]


@command(
    "list",
    "stores piece renew list",
    line="the kinds and the items that are always renewed",
    group=renew_commands,
)
def list_rules(ctx: typer.Context, machine: MachineName = None, json: AsJson = False) -> None:
    """The kinds that are always renewed, and what was decided of single items."""
    from stores.usecases.renewals import renewals
    from stores.wording.renewals import listing

    with asked(ctx, machine) as context:
        reply = renewals(context)
    if json:
        show.as_json(reply)
        return
    words = listing(reply)
    show.listing(words.rules)
    for text in words.dropped:
        show.paragraph(text)
    for text in words.items:
        show.paragraph(text, rest="     ")
    show.paragraph(words.maker)


@command(
    "add",
    'stores piece renew add circlip "this manual renews them all"',
    'stores piece renew add 7.2 "stretched when last done"',
    line="always renew a kind, or one item",
    group=renew_commands,
)
def add(
    ctx: typer.Context,
    what: Kind,
    why: Why = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Always renew a kind, or one item."""
    from stores.usecases.renewals import AlwaysRenew, always_renew
    from stores.wording.renewals import decided

    refuse_options([what, *(why or [])])
    ask = AlwaysRenew(what, " ".join(why or []))
    with asked(ctx, machine, on) as context:
        show.reply(always_renew(context, ask), decided, json_wanted=json)


@command(
    "remove",
    'stores piece renew remove "spring washer" "sharp ones serve again"',
    'stores piece renew remove 7.2 "solid copper, annealed"',
    line="no longer renew a kind, or one item",
    group=renew_commands,
)
def remove(
    ctx: typer.Context,
    what: Kind,
    why: Why = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """No longer renew a kind, or let one item be used again if it is sound."""
    from stores.usecases.renewals import DropRenewal, drop_renewal
    from stores.wording.renewals import decided

    refuse_options([what, *(why or [])])
    ask = DropRenewal(what, " ".join(why or []))
    with asked(ctx, machine, on) as context:
        show.reply(drop_renewal(context, ask), decided, json_wanted=json)


@command(
    "by-rule",
    "stores piece renew by-rule 7.2",
    line="take back what was decided of one item",
    group=renew_commands,
)
def by_rule(
    ctx: typer.Context,
    item: Annotated[str, typer.Argument(metavar="ITEM", help="An item, as 7.2.")],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take back what was decided of one item: its kind decides again."""
    from stores.usecases.renewals import ByTheRule, by_the_rule
    from stores.wording.renewals import decided

    with asked(ctx, machine, on) as context:
        show.reply(by_the_rule(context, ByTheRule(item)), decided, json_wanted=json)
