"""What is fitted new as a rule: the list, and what a person changes of it."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, app, command, day, opened, refuse_options
from stores.cli.overview import IN_A_LINE

__all__: list[str] = []

renew_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="What is fitted new as a rule: the kinds, and single items.",
)
app.add_typer(renew_commands, name="renew", short_help=IN_A_LINE["renew"])

Kind = Annotated[str, typer.Argument(metavar="WHAT", help="A kind, 'circlip'; an item, 7.2.")]
Why = Annotated[
    list[str] | None, typer.Argument(metavar="WHY", help="The reason.", show_default=False)
]


@command("list", "stores renew list", group=renew_commands)
def list_rules(ctx: typer.Context, machine: MachineName = None, json: AsJson = False) -> None:
    """The kinds that are always renewed, and what was decided of single items."""
    from stores.planning.renewals import rules_in_force
    from stores.storage.acts import reversed_acts
    from stores.storage.items import read_items
    from stores.storage.machines import machine_named
    from stores.storage.renewals import renew_choices, renew_rules

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        gone = reversed_acts(connection)
        own = renew_rules(connection, gone)
        choices = renew_choices(connection, gone)
        listed = read_items(connection, machine=on.number) if choices else []
    rules = rules_in_force(own.values())
    dropped = [rule for rule in own.values() if not rule.renew]
    decided = [(item, choices[item.number]) for item in listed if item.number in choices]
    if json:
        show.as_json(
            {
                "rules": rules,
                "dropped": dropped,
                "items": [
                    {"item": item.ref, "what": item.as_specified.text, "renew": choice.renew,
                     "reason": choice.reason}
                    for item, choice in decided
                ],
            }
        )  # fmt: skip
        return
    show.table(
        ["Always renewed", "Why", "Rule"],
        [[rule.name, rule.reason, "ours" if rule.ours else "common practice"] for rule in rules],
    )
    for rule in dropped:
        show.paragraph(f"no longer: {rule.name}" + (f", {rule.reason}" if rule.reason else ""))
    for item, choice in decided:
        said = "always a new one" if choice.renew else "used again if sound"
        show.paragraph(
            f"{item.ref}  {item.as_specified.text}: {said}, {choice.reason}", rest="     "
        )
    show.paragraph("The maker's list of parts to renew comes first.")


@command(
    "add",
    'stores renew add circlip "this manual renews them all"',
    'stores renew add 7.2 "stretched when last done"',
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
    from stores import usecases

    refuse_options([what, *(why or [])])
    with opened(ctx) as store:
        reply = usecases.add_renewal(store, what, " ".join(why or []), machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "remove",
    'stores renew remove "spring washer" "sprung and sharp ones serve again"',
    'stores renew remove 7.2 "solid copper, annealed"',
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
    from stores import usecases

    refuse_options([what, *(why or [])])
    with opened(ctx) as store:
        reply = usecases.drop_renewal(store, what, " ".join(why or []), machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command("by-rule", "stores renew by-rule 7.2", group=renew_commands)
def by_rule(
    ctx: typer.Context,
    item: Annotated[str, typer.Argument(metavar="ITEM", help="An item, as 7.2.")],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take back what was decided of an item: the rules say again."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.by_the_rule(store, item, machine=machine, at=day(on))
    show.done(reply, json_wanted=json)
