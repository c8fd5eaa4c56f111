"""The plan of the rebuild: what can be done today, what to chase, when it may be finished."""

import re
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, command, count, file_at, opened
from stores.cli.printed import Open, show_file
from stores.errors import BadValue
from stores.storage.rebuild import fitted_by_day
from stores.text import counted, day_words, plural, read_day
from stores.text import today as today_is
from stores.usecases.rebuild import rebuild_of

if TYPE_CHECKING:
    from stores.planning.rebuild import Chase, Plan, Planned
    from stores.planning.timing import Outlook
    from stores.usecases.rebuild import Rebuild

__all__: list[str] = []

Strict = Annotated[
    bool, typer.Option("--strict", help="The strip-down turned round, whatever was said.")
]


@command("today", "stores today", "stores today --most 3")
def today(
    ctx: typer.Context,
    most: Annotated[
        str, typer.Option("--most", metavar="N", help="How many things to buy or chase.")
    ] = "5",
    strict: Strict = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What can be refitted today, and what to buy or chase so that most can go ahead."""
    from stores.planning.rebuild import chase_list
    from stores.planning.status import State
    from stores.usecases.rebuild import rebuild_of

    wanted = count(most) or 0
    if wanted < 1:
        raise BadValue(f"how many? At least 1, not {most[:20]}")
    with opened(ctx) as store, store.reading() as connection:
        made = rebuild_of(connection, machine, strict=strict)
    ready = made.plan.of(State.READY)
    nearly = [each for each in made.plan.steps if each.at_hand]
    chased = chase_list(made.plan, wanted)
    if json:
        show.as_json(
            {
                "ready": [_data(each) for each in ready],
                "at_hand": [_data(each) for each in nearly],
                "chase": chased,
            }
        )
        return
    show.say(_counts(made))
    if ready:
        show.say()
        show.say("Ready now:")
    for each in ready:
        _show_ready(each)
    if nearly:
        show.say()
        show.say("Ready after some work at the bench:")
    for each in nearly:
        _show_ready(each)
    if chased:
        show.say()
        show.say("Buy or chase, what frees most steps first:")
    for at, one in enumerate(chased, 1):
        _show_chase(at, one)
    if not ready and not nearly and not chased:
        show.say("Nothing waits: everything is back on.")


def _show_ready(each: "Planned") -> None:
    from stores.usecases.rebuild import in_hours

    after = f"; then step {_numbers(each.unlocks)}" if each.unlocks else ""
    bags = sorted({bag for line in each.stage.lines for bag in line.item.bags})
    held = f"; bag {', '.join(bags)}" if bags else ""
    show.paragraph(
        f"{each.name} ({in_hours(each.minutes)}{held}){after}", first="  [ ] ", rest="      "
    )
    if each.matters:
        first = "; ".join(matter.said for matter in each.matters)
        show.paragraph(first, first="      first ", rest="      ")


def _show_chase(at: int, one: "Chase") -> None:
    matters = [matter.said for matter in one.matters]
    listed = "; ".join(matters[:6]) + (f"; and {len(matters) - 6} more" if matters[6:] else "")
    show.paragraph(listed, first=f"  {at}. ", rest="     ")
    frees = f"frees step {_numbers(one.steps)}"
    show.paragraph(frees, first="     ", rest="     ")


def _numbers(steps: Sequence[int], most: int = 8) -> str:
    listed = ", ".join(str(number) for number in steps[:most])
    return f"{listed} and {len(steps) - most} more" if len(steps) > most else listed


def _counts(made: "Rebuild") -> str:
    from stores.planning.status import State

    done, on, ready, waits = (
        len(made.plan.of(state)) for state in (State.FINISHED, State.ON, State.READY, State.WAITS)
    )
    total = plural(len(made.plan.steps), "step")
    return (
        f"{made.machine.name}: {total}, {done} done, {on} on but not finished, {ready} ready, "
        f"{waits} waiting"
    )


def _data(each: "Planned") -> dict[str, Any]:
    step = each.stage.step
    return {
        "step": step.number,
        "assembly": step.assembly,
        "part": step.part,
        "state": each.state,
        "waits_for_steps": each.behind,
        "waits_for": [matter.said for matter in each.matters],
        "still_to_do": each.stage.owed,
        "unlocks": each.unlocks,
        "flags": each.flags,
        "no_torque_figure": each.bare,
        "minutes": each.minutes,
        "minutes_guessed": each.guessed,
    }


@command(
    "plan",
    "stores plan",
    'stores plan --late "Brightwell Plating=14"',
    "stores plan --pdf plan.pdf",
)
def plan(
    ctx: typer.Context,
    late: Annotated[
        list[str] | None,
        typer.Option("--late", metavar="NAME=DAYS", help="What if a firm is so many days late?"),
    ] = None,
    strict: Strict = False,
    everything: Annotated[
        bool, typer.Option("--all", help="A bar for each step; else for each assembly.")
    ] = False,
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print the bars to a PDF.")
    ] = None,
    shown: Open = False,
    on: Day = None,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """When it may be finished, what holds it up, what is amiss; bars over time."""
    from stores.planning.timing import HOURS_A_WEEK, outlook
    from stores.usecases.rebuild import rebuild_of

    moved = _late(late or [])
    with opened(ctx) as store, store.reading() as connection:
        made = rebuild_of(connection, machine, strict=strict)
    day = _day(on)
    hours = made.hours_a_week or HOURS_A_WEEK
    before = outlook(made.plan, day, hours_a_week=hours)
    after = outlook(made.plan, day, hours_a_week=hours, late=moved) if moved else before
    if pdf is not None:
        from stores.printing.bars import write_bars

        path = file_at(pdf)
        printed = write_bars(made.plan, after, path, machine=made.machine.name)
        show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})
        return
    if json:
        show.as_json(_outlook_data(made.plan, after))
        return
    show.say(_counts(made))
    _show_outlook(made, before, after, moved)
    _show_amiss(made.plan)
    if after.bars:
        show.say()
        _show_bars(made.plan, after, everything=everything)


def _day(text: str | None) -> date:
    return today_is() if text is None else read_day(text)


def _late(texts: Sequence[str]) -> dict[str, int]:
    found = {}
    for text in texts:
        name, sign, days = text.rpartition("=")
        if not sign or not name.strip() or not re.fullmatch(r"\s*[+-]?\d{1,4}\s*", days):
            raise BadValue(f'{text[:60]!r}: write a name and days, as "Brightwell Plating=14"')
        found[name.strip()] = int(days)
    return found


def _outlook_data(plan: "Plan", made: "Outlook") -> dict[str, Any]:
    at = {bar.node: bar for bar in made.bars}
    return {
        "finish": made.finish.isoformat(),
        "minutes_left": made.minutes,
        "hours_a_week": made.hours_a_week,
        "no_date_yet": made.undated,
        "deliveries": [
            {
                "from": held.name,
                "day": made.day(held.due).isoformat(),
                "holds_up_days": round(held.days, 1),
                "days_to_spare": held.spare,
            }
            for held in made.held
        ],
        "loops": [loop.members for loop in plan.loops],
        "steps": [
            _data(each)
            | (
                {
                    "from": made.day(at[each.number].start).isoformat(),
                    "to": made.day(at[each.number].finish).isoformat(),
                    "slack_days": round(made.timing.of[each.number].slack, 2),
                }
                if each.number in at
                else {}
            )
            for each in plan.steps
        ],
    }


def _show_outlook(
    made: "Rebuild", before: "Outlook", after: "Outlook", moved: dict[str, int]
) -> None:
    from stores.usecases.rebuild import in_hours

    if not after.bars:
        show.say("Everything is back on.")
        return
    guess = ""
    if after.guessed:
        left = len(after.bars)
        each = in_hours(made.minutes) if made.minutes else "a guess of 30 min"
        guess = f" ({after.guessed} of {left} steps at {each})"
    week = in_hours(round(after.hours_a_week * 60)) + " a week"
    if made.hours_a_week is None:
        week += ", a guess: 'stores takes week 6 h' says better"
    show.paragraph(f"Work left: {in_hours(after.minutes)}{guess}; {week}")
    finish = day_words(after.finish.isoformat())
    show.paragraph(
        f"Finished on {finish}"
        + (f" at the earliest: no date yet for {_names(after.undated)}" if after.undated else ""),
        rest="  ",
    )
    if moved:
        days = (after.finish - before.finish).days
        said = "finished the same day"
        if days:
            said = f"finished {counted_days(abs(days))} {'later' if days > 0 else 'sooner'}"
        names = ", ".join(
            f"{name} {counted_days(abs(n))} {'late' if n >= 0 else 'early'}"
            for name, n in moved.items()
        )
        show.paragraph(f"With {names}: {said}", rest="  ")
    chain = after.timing.chain
    if len(chain) > 1:
        show.paragraph(
            f"Longest chain of steps that wait for each other: {_numbers(chain, 14)}", rest="  "
        )
    for held in after.held:
        when = day_words(after.day(held.due).isoformat())
        show.paragraph(f"{held.name}, {when}: {held.words}", first="  ", rest="    ")


def counted_days(days: int) -> str:
    """Say so many days."""
    return plural(days, "day")


def _names(names: Sequence[str]) -> str:
    listed = ", ".join(names[:4])
    return f"{listed} and {len(names) - 4} more" if names[4:] else listed


def _show_amiss(plan: "Plan") -> None:
    from stores.usecases.rebuild import rings_of
    from stores.wording.rebuild import ring

    said = [ring(each) for each in rings_of(plan)]
    said += [
        f"Steps {word.first} and {word.then} were let free, but a step between keeps them in order"
        for word in plan.derived.idle
    ]
    said += [
        f"Snag {snag.number} is open ({snag.words}), and nothing of it waits to be refitted"
        for snag in plan.loose_snags
    ]
    said += [f"Step {each.number}: {flag}" for each in plan.steps for flag in each.flags]
    bare = [ref for each in plan.steps for ref in each.bare]
    if bare:
        listed = ", ".join(bare[:16]) + (f" and {len(bare) - 16} more" if bare[16:] else "")
        said.append(f"No torque figure: {listed}")
    if said:
        show.say()
        show.say("To look at:")
    for each in said:
        show.paragraph(each, bullet=True)


def _show_bars(plan: "Plan", made: "Outlook", *, everything: bool) -> None:
    """Draw bars over time, one for each assembly or step, 80 columns wide."""
    rows: dict[str, tuple[float, float]] = {}
    for bar in made.bars:
        step = plan.by_number[bar.node].stage.step
        name = f"{step.number:>3} {step.part}" if everything else step.assembly
        start, finish = rows.get(name, (bar.start, bar.finish))
        rows[name] = (min(start, bar.start), max(finish, bar.finish))
    names = min(28, max(len(name) for name in rows))
    columns = show.width() - names - 2
    scale = columns / max(made.days, 1e-9)
    first = day_words(made.today.isoformat())
    last = day_words(made.finish.isoformat())
    show.say(f"{'':<{names}}  {first}{last:>{max(1, columns - len(first))}}")
    for name, (start, finish) in rows.items():
        begin = min(columns - 1, int(start * scale))
        length = max(1, round((finish - start) * scale))
        shown = name if len(name) <= names else name[: names - 1] + "…"
        line = f"{shown:<{names}}  {' ' * begin}{'█' * min(length, columns - begin)}"
        show.say(line.rstrip())


@command("progress", "stores progress")
def progress(
    ctx: typer.Context, on: Day = None, machine: MachineName = None, json: AsJson = False
) -> None:
    """How far each assembly is, and when all is back on at the pace so far."""
    from stores.planning.rebuild import progress as by_assembly
    from stores.planning.timing import pace

    with opened(ctx) as store, store.reading() as connection:
        made = rebuild_of(connection, machine)
        days = fitted_by_day(connection, made.machine.number)
    listed = sorted(
        by_assembly(each.stage for each in made.plan.steps),
        key=lambda each: each.assembly.casefold(),
    )
    left = sum(each.to_fit for each in listed)
    going = pace(days, left, _day(on))
    if json:
        show.as_json(
            {
                "assemblies": listed,
                "pieces_to_fit": left,
                "pieces_a_week": round(going.a_week, 1) if going else None,
                "finish": going.finish.isoformat() if going and going.finish else None,
            }
        )
        return
    show.say(_counts(made))
    show.table(
        ["Assembly", "Steps", "Done", "On", "Ready", "Waiting", "Pieces on", "To fit"],
        [
            [
                each.assembly,
                *(
                    str(n)
                    for n in (
                        each.steps,
                        each.done,
                        each.open,
                        each.ready,
                        each.waits,
                        each.fitted,
                        each.to_fit,
                    )
                ),
            ]
            for each in listed
        ],
        right=[1, 2, 3, 4, 5, 6, 7],
    )
    if not left:
        show.say("Every piece is back on.")
    elif going and going.finish:
        show.paragraph(
            f"Pace: {counted(going.pieces)} in the last {plural(going.days, 'day')}, "
            f"{going.a_week:.3g} a week; {counted(left)} left are on by "
            f"{day_words(going.finish.isoformat())} at that pace"
        )
    else:
        show.say("Nothing was refitted in the last eight weeks: no pace to go by.")
