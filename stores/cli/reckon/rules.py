"""Rules of the bench: in words, and the figures that go with them."""

import re
from typing import TYPE_CHECKING, Annotated

import typer

from stores import units
from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.cli.reckon import reckon_commands
from stores.cli.reckon.answers import (
    amount,
    answer_data,
    cautions,
    row,
    show_answers,
    sources,
)
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.handbook.bench_rules.rules import Rule

__all__: list[str] = []


@command(
    "rules",
    "stores reckon rules",
    "stores reckon rules castle nut",
    "stores reckon rules 10.9",
    group=reckon_commands,
)
def rules(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SUBJECT | PART",
            help="A subject, a kind of part, or a class for plating; nothing: the subjects.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """Rules of the bench, each with its reason: castle nuts, oil, plugs, renewing, plating."""
    from stores.handbook.bench_rules.rules import renew_kinds, topics

    said = " ".join(words or [])
    refuse_options(words or [])
    if not said.strip():
        if json:
            show.as_json({"subjects": topics(), "renewing": renew_kinds()})
            return
        row("subjects", ", ".join(topics()))
        row("parts", ", ".join(renew_kinds()))
        row("plating", "any class or strength: 10.9, SAE 8, 34 HRC, spring washer")
        return
    found = _rules_of(said)
    if json:
        show.as_json(found)
        return
    for rule in found:
        show.paragraph(rule.text[:1].upper() + rule.text[1:], bullet=True)
        show.paragraph(rule.why, first="  because ", rest="          ")
        for instead in rule.instead:
            show.paragraph(instead, first="  or ", rest="     ")
    sources(key for rule in found for key in rule.sources)
    cautions(text for rule in found for text in rule.cautions)


def _rules_of(said: str) -> "list[Rule]":
    """Give the rules for a subject, else for the parts and classes that the words name."""
    from stores.handbook.bench_rules.plating import plating_warning
    from stores.handbook.bench_rules.rules import renewals, topics
    from stores.handbook.bench_rules.rules import rules as rules_of

    try:
        found = list(rules_of(said))
    except BadValue:
        found = []
    kinds = list(renewals(said))
    for topic in topics():
        # A part that is also a subject, such as a castle nut, has both.
        if not found and kinds and topic in said.lower():
            found = list(rules_of(topic))
    found += [rule for rule in kinds if rule.text not in {each.text for each in found}]
    try:
        warning = plating_warning(said)
    except BadValue:
        if not found and re.search(r"\d", said):
            raise
        warning = None
    if warning:
        found.append(warning)
    if not found:
        raise BadValue(
            f"no rule for {said[:40]!r}: the subjects are {', '.join(topics())}; "
            "'stores reckon rules' lists the parts"
        )
    return found


@command(
    "plug",
    "stores reckon plug M14 --seat gasket --head aluminium",
    "stores reckon plug M12 --drain --case aluminium",
    group=reckon_commands,
)
def plug(
    thread: Annotated[str, typer.Argument(metavar="THREAD", help="M10, M12, M14, M18.")],
    seat: Annotated[
        str, typer.Option("--seat", metavar="SEAT", help="Of a spark plug: gasket or taper.")
    ] = "",
    head: Annotated[
        str, typer.Option("--head", metavar="METAL", help="Its head: aluminium or cast iron.")
    ] = "",
    used: Annotated[bool, typer.Option("--used", help="A plug that was in before.")] = False,
    drain: Annotated[bool, typer.Option("--drain", help="A drain plug.")] = False,
    case: Annotated[
        str, typer.Option("--case", metavar="METAL", help="Of a drain plug: its case.")
    ] = "",
    json: AsJson = False,
) -> None:
    """Torque of a spark plug by thread, seat and head, or of a drain plug by its case."""
    from stores.handbook.bench_rules.threads import drain_plug, spark_plug, spark_plug_turn

    if case and not drain:
        raise BadValue("--case is of a drain plug: add --drain")
    if drain:
        answers = [drain_plug(thread, case=case or None)]
    else:
        kind = "used" if used else "new"
        answers = [
            spark_plug(thread, seat=seat or None, head=head or None, plug=kind),
            spark_plug_turn(seat=seat or None, plug=kind),
        ]
    if json:
        show.as_json([answer_data(answer) for answer in answers])
        return
    show_answers(answers)


@command(
    "slots",
    "stores reckon slots M12 --past 40",
    "stores reckon slots M12 --past 40 --grip 30 --bolt 8.8 --state oiled",
    group=reckon_commands,
)
def slots(
    nut: Annotated[str, typer.Argument(metavar="NUT", help="Thread of the nut, or slots counted.")],
    past: Annotated[
        float | None,
        typer.Option("--past", metavar="DEG", help="Degrees past the last slot, at the torque."),
    ] = None,
    holes: Annotated[
        int, typer.Option("--holes", metavar="N", help="2: drilled crosswise, twice.")
    ] = 1,
    bolt: Annotated[
        str, typer.Option("--bolt", metavar="CLASS", help="Class of the bolt, with --grip.")
    ] = "",
    state: Annotated[
        str, typer.Option("--state", metavar="STATE", help="Thread and face: dry, oiled.")
    ] = "",
    grip: Annotated[
        str, typer.Option("--grip", metavar="MM", help="What is clamped: gives the added stress.")
    ] = "",
    torque: Annotated[
        str, typer.Option("--torque", metavar="FIGURE", help="The torque reached, with --grip.")
    ] = "",
    json: AsJson = False,
) -> None:
    """Castle nut: the turn to the next slot, never back, and what it adds to the bolt."""
    from stores.handbook.bench_rules.rules import after_turn, rules, to_next_slot

    turn = to_next_slot(int(nut) if nut.isdecimal() else nut, past, holes=holes)
    answers = [turn]
    if grip:
        from stores.handbook.torque.joint import tighten
        from stores.handbook.torque.maker import read_bolt

        tight = tighten(read_bolt(nut).thread, bolt, state or None)
        reached = amount(torque, units.Kind.TORQUE, "N m") if torque else None
        clamped = amount(grip, units.Kind.LENGTH, "mm")
        answers.append(after_turn(tight, turn.value, clamped, torque_nm=reached))
    elif bolt or state or torque:
        raise BadValue("--bolt, --state and --torque go with --grip MM: what is clamped")
    if json:
        show.as_json([answer_data(answer) for answer in answers])
        return
    show_answers(answers, with_cautions=False)
    first = rules("castle nut")
    show.paragraph(first[0].text, bullet=True)
    show.paragraph(first[2].text, bullet=True)
    cautions([*(text for answer in answers for text in answer.cautions), *first[1].cautions])


@command(
    "oiled",
    "stores reckon oiled 25 M8",
    'stores reckon oiled "18 lbf ft" "5/16 UNF" --to plated',
    group=reckon_commands,
)
def oiled(
    torque: Annotated[
        str, typer.Argument(metavar="FIGURE", help="The figure for dry threads: 25.")
    ],
    thread: Annotated[list[str], typer.Argument(metavar="THREAD", help="M8, 5/16 UNF.")],
    to: Annotated[
        str,
        typer.Option("--to", metavar="STATE", help="How the thread is: oiled, plated, greased."),
    ] = "oiled",
    was: Annotated[
        str, typer.Option("--was", metavar="STATE", help="What the figure is for.")
    ] = "dry",
    json: AsJson = False,
) -> None:
    """What a figure for dry threads comes down to on an oiled, greased or plated one."""
    from stores.handbook.bench_rules.threads import dry_to_oiled

    figure = amount(torque, units.Kind.TORQUE, "N m")
    answer = dry_to_oiled(figure, " ".join(thread), to, was=was)
    if json:
        show.as_json(answer_data(answer))
        return
    show_answers([answer])
