"""Machines, the history and the audit in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stores.model.ledger import ActKind, Condition, PlaceKind
from stores.model.record import ActLine, Machine
from stores.planning.counts import MatterKind
from stores.text import beside, counted, day_words, join, many, plural
from stores.wording import Line, Lines, Listing, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.model.outwork import Debt
    from stores.planning.counts import OpenMatter
    from stores.usecases.history import Audit, Deed, LaterAct, Story, Undone
    from stores.usecases.machines import KeptForParts, MachineAdded

__all__ = [
    "HINTS",
    "REFUSALS",
    "for_parts",
    "history_table",
    "machine_added",
    "machine_table",
    "open_matter",
    "open_matters",
    "story_lines",
    "undone",
]


def _moved(
    act: int, summary: str, later: tuple["LaterAct", ...], step: int | None, hint: str
) -> str:
    named = [f"act {each.number} of {day_words(each.day)} ({each.summary})" for each in later[:5]]
    if len(later) > 5:
        named.append(f"{len(later) - 5} more")
    first = ", the newest first" if len(later) > 1 else ""
    return (
        f"act {act} ({summary}) cannot be undone yet, later work depends on it: "
        f"{', '.join(named)}. Undo that first{first}: {hint}"
        + (
            f"; or put right what was written wrong: {to_type(f'stores correct step {step}')}"
            if step
            else ""
        )
    )


REFUSALS = {
    "corrected since": (
        "act {act} ({summary}) cannot be undone or brought back by itself: act {later} ({what}) "
        "depends on it. Undo act {later} first, or correct what is wrong now"
    ),
    "does not fit any more": "act {act} ({summary}) does not fit the record any more: {fault}",
    "machine's name taken": (
        "there is a machine called {name!r} already: give this one another name"
    ),
    "not kept for parts": "{machine} is not kept for parts, so every step of it goes back; {hint}",
    "kept for parts already": "{machine} is kept for parts already",
    "to be restored already": "{machine} is to be restored already",
    "how many acts": "how many acts? At least 1, not {typed}",
    "acts begin at 1": "acts are numbered from 1, there is no act {act}",
    "nothing to undo": "there is nothing to undo",
    "no such act": "no act {act}: " + quoted("{hint}") + " lists them",
    "no step of that number": "no step {step}: " + quoted("{hint}") + " lists what was done",
    "never a step": "there never was a step {step} on {machine}",
    "never an item": "there never was an item {item} on {machine}",
    "undone already": "act {act} ({summary}) is undone already",
    "order in use": (
        "pieces of order {order} came or were cancelled since: undo that first, "
        + quoted("{hint}")
        + " lists it"
    ),
    "moved on since": _moved,
    "a box inside itself": "that would put a box inside itself: undo the later 'stow' first",
    "mixed up since": (
        lambda act, faults: (
            f"act {act} cannot be undone, its pieces are mixed up with others or were sorted "
            f"since ({faults[0]}): undo that first"
        )
    ),
    "list read in again": "{name!r} was read in again since: undo act {act} first",
    "an act and a step": (
        "act {number} is '{summary}', step {number} is act {act}: "
        "say " + quoted("stores undo act {number}") + " or " + quoted("stores undo step {number}")
    ),
    "machine has steps": ("machine {machine} has steps: undo those first, then the machine itself"),
    "machine's name taken by now": "another machine is called {machine} now",
    "its items are undone": (
        "its items came in with act {act}, which is undone. Bring that back first: "
        f"{quoted('stores history')} shows how"
    ),
    "its batch is undone": (
        "its batch needs act {act}, which is undone. Bring that back first: "
        f"{quoted('stores history')} shows how"
    ),
    "its step is undone": (
        "its step came with act {act}, which is undone. Bring that back first: "
        f"{quoted('stores history')} shows how"
    ),
    "its machine is undone": "its machine {machine} is undone: bring that back first",
}
HINTS = {
    "for_parts": to_type('stores machine for-parts "{name}"') + " keeps it for parts",
    "undo_act": "stores undo act {act}",
}

_KNOWN_AS = {"reverse": "undo", "return": "back"}
"""Acts that a person knows by the command, not by their name in the record."""


def machine_added(reply: "MachineAdded") -> Said:
    """Return that a machine was added, and what comes next."""
    kept = ", kept for parts" if reply.for_parts else ""
    lines = [f"Machine {reply.machine} added to {reply.stores}{kept}."]
    if reply.kinds:
        lines.append(f"Kind: {join(reply.kinds)}")
    return Said(
        lines,
        ("Next: " + to_type('stores strip "ASSEMBLY" "WHAT CAME OFF" "4 M6x25 hex" ...'),),
    )


def for_parts(reply: "KeptForParts") -> Said:
    """Return whether a machine is kept for its parts, and what is wanted back all the same."""
    if not reply.for_parts:
        return Said((f"{reply.machine} is to be restored: what is off it is wanted back.",))
    if not reply.wanted:
        return Said((f"{reply.machine} is kept for parts: nothing goes back on it.",))
    steps = ", ".join(map(str, reply.wanted))
    words = f"step {steps} is" if len(reply.wanted) == 1 else f"steps {steps} are"
    return Said((f"{reply.machine} is kept for parts: only {words} wanted back.",))


def machine_table(machines: Sequence[Machine]) -> Listing:
    """Return the machines as a table."""
    return Listing(
        ["Machine", "Maker", "Model", "Year", "Steps"],
        [
            [
                f"{m.name} (for parts)" if m.for_parts else m.name,
                m.maker,
                m.model,
                m.year,
                str(m.steps),
            ]
            for m in machines
        ],
        [4],
    )


def undone(reply: "Undone") -> Said:
    """Return what was taken back, and how to bring it back."""
    back = [counted(reply.pieces)] if reply.pieces else []
    back += [plural(reply.consumables, "consumable")] if reply.consumables else []
    what = f"{join(back)} put back" if back else "no piece moved"
    return Said(
        (f"Undone: act {reply.undone}, {reply.summary}; {what}.",),
        ("To bring it back: " + to_type(f"stores undo act {reply.act}"),),
    )


def history_table(acts: Sequence[ActLine]) -> Listing:
    """Return the acts as a table, the newest first."""
    rows = []
    for act in acts:
        text = act.summary + (f": {act.reason}" if act.reason else "")
        if not act.stands:
            text = f"(undone by act {act.reversed_by}) {text}"
        kind = _KNOWN_AS.get(act.kind.value, act.kind.value)
        rows.append([str(act.number), day_words(act.happened_at), kind, text])
    return Listing(["Act", "Date", "What", ""], rows, [0])


def story_lines(reply: "Story") -> Lines:
    """Return a story, the oldest deed first: a line for each, and beneath it what went where."""
    told = plural(len(reply.deeds), "entry", "entries")
    more = f", the newest; {reply.left_out} older left out" if reply.left_out else ""
    lines = [Line(f"{reply.name}: {told}{more}")]
    for deed in reply.deeds:
        if deed.act is None:
            came = {True: "printed", False: "made, did not come out", None: "made"}[deed.good]
            lines.append(_line_of(deed, f"label of bag {deed.bag} {came}"))
            continue
        why = f": {deed.reason}" if deed.reason and not deed.found else ""
        undone_by = "" if deed.stands else f"(undone by act {deed.undone_by}) "
        lines.append(_line_of(deed, f"{undone_by}{deed.summary}{why}"))
        lines += [Line(words, " " * 8, " " * 12) for words in _details(deed)]
    return Lines(lines)


def _line_of(deed: "Deed", words: str) -> Line:
    number = "" if deed.act is None else f"act {deed.act}"
    kind = _KNOWN_AS.get(deed.kind, deed.kind)
    said = words if kind in words.split() else f"{kind}: {words}"
    return Line(f"{day_words(deed.at)}  {number:<8}{said}", "", " " * 8)


def _details(deed: "Deed") -> list[str]:
    if deed.kind == ActKind.REVERSE:
        return []
    details = [
        f"{each.item}  {each.quantity} {each.condition}"
        + (f": {each.reason}" if each.reason else "")
        for each in deed.found
    ]
    judged = {each.item for each in deed.found}
    for each in deed.went:
        same_place = (each.before.kind, each.before.place) == (each.after.kind, each.after.place)
        if same_place and each.item in judged:
            continue
        if same_place:
            change = f"{each.before.condition}, now {each.after.condition}, {each.after.where}"
        else:
            now = each.after.condition
            turned = "" if now == each.before.condition else f", now {now}"
            change = f"{each.before.where}, then {each.after.where}{turned}"
            if each.after.kind == PlaceKind.CAME:  # it was counted too many
                change = f"taken out, {each.before.where}"
        details.append(f"{each.item}  {many(each.quantity, each.text)}: {change}")
    return details


def open_matter(matter: "OpenMatter") -> str:
    """Return what is open of pieces: ``lost: 1 of 1.2 M6 x 25 hex bolt, 1 to buy``."""
    of = f"{matter.quantity} of {beside(matter.item, matter.text)}"
    if matter.kind is MatterKind.STILL_ON:
        return f"{of} {matter.where}"
    if matter.kind is MatterKind.AWAY:
        return f"{matter.kind}: {counted(matter.quantity)} at {matter.where}"
    if matter.kind is MatterKind.LABELS:
        more = f" and {matter.quantity - 6} more" if matter.quantity > 6 else ""
        return f"{matter.kind}: {', '.join(matter.bags[:6])}{more}"
    made_up = (
        (matter.short, "to buy"),
        (matter.on_order, "on order"),
        (matter.spare, "loose to hand"),
    )
    instead = "".join(f", {count} {words}" for count, words in made_up if count)
    if matter.replaced:
        instead = ", replaced"
    where = f", {matter.where}" if matter.where else ""
    return f"{matter.kind}: {of}{where}{instead}"


def _debt(debt: "Debt") -> str:
    """Return what a joint is owed, and since when it is: the piece went to another."""
    step, other = debt.item.step, debt.taken_for.step
    where = f" on {other.machine}" if other.machine != step.machine else ""
    piece = many(debt.quantity, debt.item.named(Condition.NEW))
    return (
        f"{debt.item.ref} {step.part} on {step.machine} is short of {piece}, taken for "
        f"{debt.taken_for.ref} {other.part}{where}"
    )


def open_matters(reply: "Audit") -> list[str]:
    """Return what is no fault, but not to be forgotten."""
    if reply.stocktake is None:
        return []
    matters = [*map(open_matter, reply.stocktake.open_matters), *map(_debt, reply.debts)]
    if reply.pictures_unseen:
        count = plural(reply.pictures_unseen, "picture")
        where = to_type("--pictures FOLDER")
        matters.append(f"{count} not checked: say where they are kept with {where}")
    return matters


def audited(reply: "Audit") -> Lines:
    """Return what there is by where it is, what is open, and each fault of the record."""
    lines: list[Line] = []
    if reply.stocktake is not None:
        lines.append(Line(f"{reply.stocktake.pieces} pieces of {reply.stocktake.items} items:"))
        lines += [
            Line(f"  {number:>6}  {name}", whole=True) for name, number in reply.stocktake.groups
        ]
    matters = open_matters(reply)
    if matters:
        lines.append(Line("Open matters:"))
        lines += [Line(matter, "- ", "  ") for matter in matters]
    lines += [Line(f"FAULT  {fault}", "", "       ") for fault in reply.faults]
    if not reply.faults:
        lost = sum(
            matter.quantity
            for matter in (reply.stocktake.open_matters if reply.stocktake else ())
            if matter.kind is MatterKind.LOST
        )
        are = "is" if lost == 1 else "are"
        lines.append(
            Line(
                f"The sums agree: no fault in the record. {counted(lost)} {are} lost."
                if lost
                else "Everything is accounted for: no fault in the record."
            )
        )
    return Lines(lines)
