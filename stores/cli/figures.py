"""A machine's figures on record: sumps, readings, makers' torques."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import units
from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    command,
    day,
    opened,
    refuse_options,
)
from stores.cli.wording import What, option
from stores.errors import BadValue
from stores.text import day_words

if TYPE_CHECKING:
    from stores.planning.figures import Reading, SumpOnRecord

__all__: list[str] = []


@command(
    "sump",
    'stores sump Gearbox --oil "SAE 90 GL-4" --dry 1.4l --refill 1.2l',
    'stores sump "Fork leg" --number 2 --oil "SAE 20" --refill 160ml',
    "stores sump",
)
def sump(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What it is called; without it, all are listed.")
    ] = "",
    oil: Annotated[str | None, option("--oil", "GRADE", "As the book has it: SAE 90 GL-4.")] = None,
    dry: Annotated[
        str | None, option("--dry", "AMOUNT", "First fill after a strip-down: 1.4l.")
    ] = None,
    refill: Annotated[
        str | None, option("--refill", "AMOUNT", "After a drain: oil clings, so it is less.")
    ] = None,
    number: Annotated[int | None, option("--number", "N", "How many alike: 2 fork legs.")] = None,
    drain: Annotated[str | None, option("--drain", "TEXT", "Where it is drained.")] = None,
    filler: Annotated[str | None, option("--filler", "TEXT", "Where it is filled.")] = None,
    level: Annotated[str | None, option("--level", "TEXT", "Where its level is read.")] = None,
    note: Annotated[str | None, typer.Option("--note", "-n", help="What else to know.")] = None,
    source: Annotated[str | None, option("--from", "TEXT", "Where they are printed.")] = None,
    none: Annotated[bool, typer.Option("--none", help="There is no such sump after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what a sump holds and of which oil; what is left out stays as it was.

    The shopping list buys for all sumps by grade, the checklist fills them.
    """
    from stores import usecases

    texts = (oil, dry, refill, number, drain, filler, level, note, source)
    if not name.strip():
        if none or any(text is not None for text in texts):
            raise BadValue('name the sump first: stores sump Gearbox --oil "SAE 90"')
        _list_sumps(ctx, machine, json_wanted=json)
        return
    with opened(ctx) as store:
        if none:
            reply = usecases.drop_sump(store, name, machine=machine, at=day(on))
        else:
            reply = usecases.set_sump(
                store,
                name,
                grade=oil,
                dry=dry,
                refill=refill,
                number=number,
                drain=drain,
                filler=filler,
                level=level,
                note=note,
                source=source,
                machine=machine,
                at=day(on),
            )
    show.done(reply, json_wanted=json)


def _list_sumps(ctx: typer.Context, machine: str | None, *, json_wanted: bool) -> None:
    from stores.storage.figures import read_sumps
    from stores.storage.machines import machine_named

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        listed = read_sumps(connection, on.number)
    if json_wanted:
        show.as_json(listed)
        return
    if not listed:
        show.say(f"No sump of {on.name} is recorded: stores sump NAME --oil GRADE --dry 1.4l")
        return
    show.table(
        ["Sump", "Oil", "Dry fill", "Refill", "Drain, fill, level"],
        [
            [
                f"{each.name}, {each.number} of" if each.number > 1 else each.name,
                each.grade or "not known",
                _volume(each.dry_ml),
                _volume(each.refill_ml),
                points(each),
            ]
            for each in listed
        ],
        right=[2, 3],
    )


def points(sump: "SumpOnRecord") -> str:
    """Say where a sump is drained, filled and checked, and what else is known."""
    said = [
        f"{word}: {text}"
        for word, text in (("drain", sump.drain), ("fill", sump.filler), ("level", sump.level))
        if text
    ]
    said += [text for text in (sump.note, sump.source) if text]
    return "; ".join(said)


def _volume(ml: int | None) -> str:
    return "" if ml is None else f"{ml:,} ml"


@command(
    "reading",
    "stores reading compression 88 71 --wet 92,90 --barometer 1005",
    'stores reading "charging voltage" "7.2 V" --after',
    "stores reading",
)
def reading(
    ctx: typer.Context,
    subject: Annotated[
        str,
        typer.Argument(metavar="SUBJECT", help="What was measured; without it, all are listed."),
    ] = "",
    values: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="READING", help="One for each cylinder or place: 88psi.", show_default=False
        ),
    ] = None,
    wet: Annotated[
        str, option("--wet", "READINGS", "Compression with oil in the bore; - where not done.")
    ] = "",
    after: Annotated[bool, typer.Option("--after", help="After the work; else before.")] = False,
    unit: Annotated[str, option("--unit", "UNIT", "Of bare readings; compression: psi.")] = "",
    barometer: Annotated[
        str, option("--barometer", "HPA", "The day's pressure where the machine stands.")
    ] = "",
    note: Annotated[
        str, typer.Option("--note", "-n", help="Warm, throttle open, which tool.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what was measured before and after the work; list both side by side."""
    from stores import usecases

    typed = list(values or [])
    refuse_options(typed)
    if not subject.strip():
        if typed or wet:
            raise BadValue("say what was measured first: stores reading compression 88 71")
        _list_readings(ctx, machine, json_wanted=json)
        return
    if not typed:
        raise BadValue(f"no reading of {subject}: write it after the name, as in 88 71")
    squeeze = subject.strip().lower().startswith("compression") and "ratio" not in subject.lower()
    if wet and not squeeze:
        raise BadValue("--wet is of a compression test")
    taken = _compression(typed, wet) if squeeze else _plain(typed)
    air = None
    if barometer:
        air = float(units.read(barometer, units.Kind.PRESSURE, "hPa").base)
        if not 50 <= air <= 110:
            raise BadValue(f"a barometer of {barometer}: expected 500 to 1100 hPa")
    with opened(ctx) as store:
        reply = usecases.take_readings(
            store,
            subject,
            taken,
            stage="after" if after else "before",
            unit=unit or ("psi" if squeeze else ""),
            air_kpa=air,
            note=note,
            machine=machine,
            at=day(on),
        )
        shown = None if json else _test_of(store, machine, "after" if after else "before")
    show.done(reply, json_wanted=json)
    if squeeze and shown:
        shown()


def _plain(typed: list[str]) -> Any:
    from stores.usecases import Taken

    several = len(typed) > 1
    return [Taken(text, f"{at}" if several else "") for at, text in enumerate(typed, 1)]


def _compression(typed: list[str], wet: str) -> Any:
    from stores.usecases import Taken

    dry = [part for text in typed for part in text.split(",") if part.strip()]
    wets = [part.strip() for part in wet.split(",")] if wet else []
    if len(wets) > len(dry):
        raise BadValue(f"{len(wets)} wet readings for {len(dry)} cylinders")
    taken = [Taken(text, f"cylinder {at}", "dry") for at, text in enumerate(dry, 1)]
    taken += [
        Taken(text, f"cylinder {at}", "wet")
        for at, text in enumerate(wets, 1)
        if text not in ("", "-")
    ]
    return taken


def _test_of(store: Any, machine: str | None, stage: str) -> Any:
    """Give what shows the newest compression test of a stage, None where there is none."""
    from stores.cli.reckon.engine import show_test
    from stores.planning.compression import newest_test
    from stores.storage.figures import read_readings
    from stores.storage.machines import machine_named

    with store.reading() as connection:
        on = machine_named(connection, machine)
        test = newest_test(read_readings(connection, on.number), stage)
    return None if test is None else lambda: show_test(test, "psi")


def _list_readings(ctx: typer.Context, machine: str | None, *, json_wanted: bool) -> None:
    from stores.storage.figures import read_readings
    from stores.storage.machines import machine_named

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        listed = read_readings(connection, on.number)
    if json_wanted:
        show.as_json(
            [
                show.plain(each)
                | {
                    "value": float(each.value),
                    "air_kpa": None if each.air_kpa is None else float(each.air_kpa),
                }
                for each in listed
            ]
        )
        return
    if not listed:
        show.say(f"No reading of {on.name} is recorded: stores reading compression 88 71")
        return
    rows: dict[tuple[str, str, str], dict[str, Reading]] = {}
    newest = {
        (each.subject.casefold(), each.stage): each.act for each in listed
    }  # the last test of a stage stands whole: an older wet reading is not beside a newer dry one
    for each in listed:
        if each.state and newest[each.subject.casefold(), each.stage] != each.act:
            continue
        rows.setdefault((each.subject, each.place, each.state), {})[each.stage] = each
    show.table(
        ["Reading", "Where", "Before", "After"],
        [
            [subject, " ".join(part for part in (place, state) if part)]
            + [_cell(stages.get(stage)) for stage in ("before", "after")]
            for (subject, place, state), stages in rows.items()
        ],
    )


def _cell(each: "Reading | None") -> str:
    return "" if each is None else f"{each.written} ({day_words(each.date)})"


@command(
    "torque",
    'stores torque 7.2 "25 N m" oiled --from "book p. 41"',
    'stores torque 7.2 "18 to 20 lbf ft"',
    "stores torque 7.2",
    takes_minus=True,
)
def torque(
    ctx: typer.Context,
    what: What,
    figure: Annotated[
        str,
        typer.Argument(metavar="FIGURE", help='The maker\'s: "25 N m"; without it, what is known.'),
    ] = "",
    state: Annotated[
        str, typer.Argument(metavar="STATE", help="What the book says: dry, oiled.")
    ] = "",
    source: Annotated[str, option("--from", "TEXT", "Where it is printed.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record the maker's torque of a joint, or show what is known of it.

    The maker's figure always wins; a computed one is shown beside it.
    """
    from stores import usecases

    refuse_options([what, figure, state])
    if not figure.strip():
        if source:
            raise BadValue('--from goes with a figure: stores torque 7.2 "25 N m"')
        _show_torque(ctx, what, machine, json_wanted=json)
        return
    from stores.handbook.torque.reading import read_maker

    maker = read_maker(figure)
    with opened(ctx) as store:
        reply = usecases.set_torque(
            store,
            what,
            maker.low_nm,
            maker.high_nm,
            figure,
            state=state,
            source=source,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)


def _show_torque(ctx: typer.Context, what: str, machine: str | None, *, json_wanted: bool) -> None:
    from stores.cli.reckon.answers import cautions, row
    from stores.handbook.torque.answer import GENERAL
    from stores.planning.status import cautions_of, is_safety
    from stores.planning.tightness import tightness
    from stores.storage.figures import maker_torques
    from stores.usecases.common import select
    from stores.usecases.figures import tightened
    from stores.usecases.rebuild import TorqueOfLine

    with opened(ctx) as store, store.reading() as connection:
        chosen = select(connection, machine, what, empty=True)
        item = tightened(chosen)
        maker = maker_torques(connection, [item.number]).get(item.number)
    said = cautions_of(item.step, [item])
    tight = tightness(item, maker, safety=is_safety(said))
    if json_wanted:
        data = show.plain(TorqueOfLine.of(tight)) if tight else {"cautions": []}
        show.as_json(
            {"item": item.ref, "what": item.as_specified.text}
            | data
            | {"cautions": [*data["cautions"], *said]}
        )
        return
    show.say(f"{item.ref}  {item.as_specified.text}")
    if tight is None:
        show.say("  nothing to tighten: it has no thread")
        return
    row("maker", f"{tight.figure} N m, {tight.basis}" if tight.figure else "no figure recorded")
    if tight.general:
        row("computed", tight.general.replace(", computed:", ":"))
    cautions((*tight.cautions, *said, GENERAL))
