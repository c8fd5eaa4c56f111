"""The desk: the whole machine on a wide screen, what to do today, the plan, and what is open.

It follows the phone by asking: `follow` says in a moment what is looked at and which act is the
newest, and the page's script fetches the parts anew when that is another one. What takes long to
count (labels due, open questions) the script asks for once the page is there: `open_matters`.
"""

import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from starlette.responses import JSONResponse, Response

from stores.errors import Hint, NotFound
from stores.model.items import path_of
from stores.planning.rebuild import Progress, Stage, total
from stores.planning.status import BlockerKind, State
from stores.text import day_words, plural
from stores.usecases.desk import at_a_look
from stores.usecases.history import history, newest_entry
from stores.usecases.labels import AskLabels, labels
from stores.usecases.queries import queries
from stores.usecases.rebuild import (
    Ahead,
    ListSteps,
    StepBar,
    Summary,
    checklist,
)
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.snags import ListSnags, snags
from stores.web.deeds import PARTS, deed_named
from stores.web.pages import Page
from stores.web.visit import Link, Visit, path_to
from stores.wording.rebuild import amiss, outlook, pieces_left, summary_head, to_chase
from stores.wording.status import briefs, said

__all__ = ["PAGES", "Branch", "Row", "Span", "rows_of", "tree_of"]

LAST_ENTRIES = 6
A_PAGE = 40
"""Entries of the log on one page."""
IN_FULL = 40
"""So many steps stand on the page, first those of the assemblies that can be worked on; others are
fetched when their assembly is opened, so that the page stays light."""
EACH_STEP = 24
"""With more steps left there is a row of the plan for each assembly, unless each is asked for."""
MOST_EACH = 120
"""The most rows of the plan on one page; the sheet has them all."""
MOST_READY = 8
ACROSS = 1000.0
"""The width of a bar's field, in its own units."""


@dataclass(slots=True)
class Branch:
    """An assembly in the tree: how far it is with all that is in it, its own steps, and the
    assemblies inside it. ``filled`` says that the steps are on the page."""

    name: str
    path: str
    row: Progress
    steps: list[Stage] = field(default_factory=list)
    inside: list["Branch"] = field(default_factory=list)
    opened: bool = False
    filled: bool = False

    @property
    def at_hand(self) -> bool:
        """Whether a step of its own is ready or to be finished."""
        return any(each.status.state in (State.READY, State.ON) for each in self.steps)

    @property
    def on(self) -> int:
        """Steps that have every piece on, finished or not."""
        return self.row.done + self.row.open


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a row of the plan, in `ACROSS` parts of the whole; ``ready`` or waiting."""

    x: float
    width: float
    ready: bool


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the plan: a step or an assembly, its last day, and when it is worked on."""

    name: str
    to: str
    until: str
    ready: bool
    spans: tuple[Span, ...]


def tree_of(reply: Summary, opened: str = "") -> list[Branch]:
    """Return the assemblies right on the machine, each with what is in it, in the order of the
    summary. ``opened`` is the path of one that is to be open and filled, with those around it.
    Those that can be worked on are open too, where their steps are on the page."""
    wanted = path_of(opened)
    known: dict[tuple[str, ...], Branch] = {}
    top: list[Branch] = []
    for stage in reply.stages:
        branch = None
        path: list[str] = []
        for name in filter(None, map(str.strip, stage.step.assembly.split("/"))):
            path.append(name)
            key = path_of("/".join(path))
            if key not in known:
                known[key] = Branch(
                    name, " / ".join(path), total(()), opened=wanted[: len(key)] == key,
                    filled=wanted == key,
                )  # fmt: skip
                (branch.inside if branch else top).append(known[key])
            branch = known[key]
        if branch is not None:
            branch.steps.append(stage)
    own: dict[tuple[str, ...], list[Progress]] = {}
    for row in reply.rows:
        own.setdefault(path_of(row.assembly), []).append(row)
    for branch in top:
        _add_up(branch, own)
    _fill(list(known.values()))
    for branch in top:
        _open(branch)
    return top


def _add_up(branch: Branch, own: Mapping[tuple[str, ...], Sequence[Progress]]) -> Progress:
    rows = [*own.get(path_of(branch.path), ()), *(_add_up(each, own) for each in branch.inside)]
    branch.row = total(rows)
    return branch.row


def _fill(listed: Sequence[Branch]) -> None:
    """Choose the assemblies whose steps are on the page: all, or while there is room for them those
    that can be worked on."""
    full = sum(len(each.steps) for each in listed) <= IN_FULL
    room = IN_FULL - sum(len(each.steps) for each in listed if each.filled)
    for each in listed:
        if full or (each.at_hand and len(each.steps) <= room):
            room -= len(each.steps)
            each.filled = True


def _open(branch: Branch) -> bool:
    """Open what can be worked on and is on the page, with what is around it."""
    inside = [_open(each) for each in branch.inside]
    branch.opened |= any(inside) or (branch.filled and branch.at_hand)
    return branch.opened


def rows_of(reply: Ahead, *, each: bool) -> list[Row]:
    """Return the rows of the plan in working order: one for each step that is left, or with all
    that is worked on of an assembly in one."""
    state = {step.step: step.state for step in reply.steps}
    groups: dict[str, list[StepBar]] = {}
    for bar in reply.bars:
        groups.setdefault(str(bar.step) if each else bar.assembly, []).append(bar)
    whole = max((bar.end for bar in reply.bars), default=0.0) or 1.0
    return [
        Row(
            f"{bars[0].step} {bars[0].part}" if each else name,
            path_to("/next", step=bars[0].step, machine=reply.machine)
            if each
            else path_to("/next", assembly=name, machine=reply.machine),
            day_words(max(bar.finish for bar in bars)),
            any(state[bar.step] is State.READY for bar in bars),
            tuple(_spans(bars, state, whole)),
        )
        for name, bars in groups.items()
    ]


def _spans(bars: Iterable[StepBar], state: Mapping[int, State], whole: float) -> Iterable[Span]:
    """Draw bars in a row; those that follow one another in the same state are one."""
    begin = end = 0.0
    ready: bool | None = None
    for bar in bars:
        is_ready = state[bar.step] is State.READY
        if ready is is_ready and bar.begin - end < whole / ACROSS:
            end = bar.end
            continue
        if ready is not None:
            yield _span(begin, end, whole, ready=ready)
        begin, end, ready = bar.begin, bar.end, is_ready
    if ready is not None:
        yield _span(begin, end, whole, ready=ready)


def _span(begin: float, end: float, whole: float, *, ready: bool) -> Span:
    x = ACROSS * begin / whole
    return Span(round(x, 1), round(max(ACROSS * end / whole - x, 2.0), 1), ready)


def why_waits(stage: Stage) -> str:
    """Say what a step waits for, or what is still to do at it, in a line; empty where nothing."""
    status = stage.status
    if status.state is State.ON:
        return f"still to do: {', '.join(briefs(status.owes))}"
    if status.state is not State.WAITS:
        return ""
    words = []
    if status.behind:
        numbers = ", ".join(map(str, status.behind[:4]))
        more = f" and {len(status.behind) - 4} more" if status.behind[4:] else ""
        words.append(f"after step {numbers}{more}")
    others = [said(each) for each in status.blockers if each.kind is not BlockerKind.STEP]
    words += others[:2]
    if others[2:]:
        words.append(f"and {len(others) - 2} more")
    return "; ".join(words)


MARKS = {State.FINISHED: "done", State.ON: "ON", State.READY: "READY", State.WAITS: "WAITS"}
"""How far a step is in a word, as on the checklist."""


def desk(visit: Visit) -> Response:
    """Show the desk."""
    look = at_a_look(visit.context(), LAST_ENTRIES)
    common: dict[str, Any] = {
        "acts": look.entries,
        "act": look.newest,
        "machines": look.machines,
        "machine": look.machine,
        "lacking": look.lacking,
        "back": "/desk",
        "the_record": list(PARTS).index("The record") + 1,
    }
    if look.rebuild is None:
        deed = deed_named("machine-add")
        typed = deed.typed(visit)
        return visit.page("desk.html", rebuild=None, deed=deed, typed=typed, **common)
    whole, today, plan = look.rebuild.summary, look.rebuild.today, look.rebuild.ahead
    few = len(plan.bars) <= EACH_STEP
    each = few or visit.word("rows") == "steps"
    rows = rows_of(plan, each=each)
    return visit.page(
        "desk.html",
        rebuild=look.rebuild,
        head=summary_head(whole).text,
        whole=whole.whole,
        tree=tree_of(whole, visit.word("open")),
        called=whole.called if len(look.machines) > 1 else "",
        left=pieces_left(whole.stages),
        today=today,
        ready=today.ready[:MOST_READY],
        at_hand=today.at_hand[:MOST_READY],
        chase=to_chase(today.chase),
        outlook=outlook(plan),
        amiss=amiss(plan)[:MOST_READY],
        first=day_words(plan.today),
        finish=day_words(plan.finish),
        rows=rows[:MOST_EACH],
        more_rows=len(rows) - MOST_EACH,
        each=each,
        few=few,
        mark=MARKS,
        why=why_waits,
        **common,
    )


def open_matters(visit: Visit) -> Response:
    """Show how much is open, each with its page: a part of the desk, fetched by its script."""
    context = visit.context()
    due = len(labels(context, AskLabels()).labels)
    asked = len(queries(context).queries)
    faults = len(snags(context, ListSnags()).snags)
    bought = shopping(context, WhatToBuy())
    to_buy = sum(len(each.lines) + len(each.supplies) for each in bought.sections)
    links = (
        Link(f"{plural(due, 'label')} due" if due else "No label due", "/labels"),
        Link(plural(asked, "open question") if asked else "No open question", "/ask/queries"),
        Link(plural(faults, "snag") + " to clear" if faults else "No open snag", "/ask/snags"),
        Link(f"{plural(to_buy, 'line')} to buy" if to_buy else "Nothing to buy", "/shopping"),
    )
    return visit.page("desk_open.html", links=links)


def follow(visit: Visit) -> Response:
    """Say what was looked at last on any device, and which act is the newest."""
    seen = visit.house.follow.seen
    answer: dict[str, object] = {"act": newest_entry(visit.context()), "seen": None}
    if seen is not None:
        answer["seen"] = {
            "words": f"On {seen.on}: {seen.what}" if seen.on else f"Last looked at: {seen.what}",
            "to": seen.to,
            "at": time.strftime("%H:%M", time.localtime(seen.at)),
        }
    return JSONResponse(answer)


def log(visit: Visit) -> Response:
    """Show the log of entries by the page, the newest first."""
    typed = visit.word("before").strip()
    before = int(typed) if typed.isdecimal() and len(typed) < 10 else None
    acts = history(visit.context(), A_PAGE, before)
    newest = newest_entry(visit.context())
    last = acts[-1].number if acts else 0
    newer = before + A_PAGE if before is not None and before <= newest else None
    return visit.page(
        "desk_log.html",
        acts=[(each, day_words(each.happened_at)) for each in acts],
        older=last if last > 1 else None,
        newer=newer if newer is not None and newer <= newest else None,
        first=before is None,
        here=path_to("/desk/log", before=typed),
    )


def right(visit: Visit) -> Response:
    """Show what can be put right of a step, its lines and its assembly, each form filled in."""
    asked = visit.word("step").strip()
    listed = checklist(visit.context(), ListSteps(everything=True))
    stage = next((each for each in listed.stages if str(each.step.number) == asked), None)
    if stage is None:
        raise NotFound("no such step", step=asked, hint=Hint("history"))
    return visit.page("desk_right.html", stage=stage, called=listed.machine)


PAGES = (
    Page("/desk", desk),
    Page("/desk/open", open_matters),
    Page("/desk/follow", follow),
    Page("/desk/log", log),
    Page("/desk/right", right),
)
