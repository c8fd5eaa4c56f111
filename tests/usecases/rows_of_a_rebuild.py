"""How far a rebuild is, worked out from the rows of the database alone: no code of ours
but to open it.

The tables are read with pandas, balances are sums of movements, the order is a networkx graph by
the rules that a person is told: within an assembly, and one inside it, the strip-down turned round;
an assembly is built before it goes back; a step that came off for access goes back after the one it
made way for; what was said of two steps goes over that. What is safety work is given, by step.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

import networkx as nx
import pandas as pd
from sqlalchemy import text

from stores.storage import open_store

HAND = ("bag", "box", "shelf", "bench")
STUCK = "still on the machine"
RAW, OK, NEW = "as removed", "serviceable", "new"
WHOLE = (RAW, OK, NEW, "repairable", "quarantine")

TABLES = (
    "act", "step", "assembly", "item", "description", "specification", "movement", "place",
    "snag", "clearing", "check_point", "checked", "tightened", "signature", "refit_link",
    "step_choice", "purchase", "purchase_line", "receipt", "job", "kept_spare",
)  # fmt: skip


@dataclass
class Pieces:
    """What the rows say of one item."""

    ref: str
    step: int
    to_fit: int = 0
    to_hand: int = 0
    spare: int = 0
    uninspected: int = 0
    to_repair: int = 0
    undecided: int = 0
    away: int = 0
    on_order: int = 0
    short: int = 0
    left_over: int = 0
    finger_tight: bool = False


@dataclass
class Steps:
    """What the rows say of one step; ``work`` are words such as tighten, once for each thing."""

    state: str = ""
    behind: set[int] = field(default_factory=set)
    work: list[str] = field(default_factory=list)
    snags: list[int] = field(default_factory=list)


class Rebuild:
    """The rows of a record, and what follows of them for a rebuild in a given order of steps."""

    def __init__(self, file: Path, safety: set[int]) -> None:
        with open_store(str(file)) as store, store.engine.connect() as connection:
            self.tables = {
                name: pd.read_sql_query(text(f"SELECT * FROM {name} ORDER BY id"), connection)
                for name in TABLES
            }
        self.safety = safety
        reversals = self.tables["act"].dropna(subset=["reverses"])
        by = {int(row.reverses): int(row.id) for row in reversals.itertuples()}
        acts = sorted((int(number) for number in self.tables["act"]["id"]), reverse=True)
        self.fallen: set[int] = set()
        for act in acts:  # the newest first: what reverses it was looked at already
            if act in by and by[act] not in self.fallen:
                self.fallen.add(act)
        self.standing: dict[str, list] = {}  # type: ignore[type-arg]
        self.steps = {int(row.id): int(row.number) for row in self.rows("step")}
        self.balance = self._balance()

    def rows(self, table: str) -> list:  # type: ignore[type-arg]
        """The rows of a table whose act stands, the oldest first."""
        if table not in self.standing:
            frame = self.tables[table]
            if "act_id" in frame:
                frame = frame[~frame["act_id"].isin(self.fallen)]
            self.standing[table] = list(frame.itertuples())
        return self.standing[table]

    def _balance(self) -> dict[tuple[int, str, str], int]:
        """Pieces of an item at a kind of place in a condition: movements in less movements out."""
        kinds = {int(row.id): row.kind for row in self.rows("place")}
        held: dict[tuple[int, str, str], int] = defaultdict(int)
        for row in self.tables["movement"].itertuples():
            held[row.item_id, kinds[row.to_place], row.to_condition] += row.quantity
            held[row.item_id, kinds[row.from_place], row.from_condition] -= row.quantity
        return held

    def count(self, item: int, kinds: tuple[str, ...], states: tuple[str, ...]) -> int:
        return sum(self.balance.get((item, kind, state), 0) for kind in kinds for state in states)

    def graph(self) -> nx.DiGraph:
        """Which step goes on right before which."""
        paths = {int(row.id): row.path for row in self.rows("assembly")}
        listed = {
            int(row.number): (_names(paths[row.assembly_id]), row.part) for row in self.rows("step")
        }
        nested = nx.DiGraph()
        nested.add_nodes_from(listed)
        for one, (path, _) in listed.items():
            for other, (there, _) in listed.items():
                near = min(len(path), len(there))
                if one > other and path[:near] == there[:near]:
                    nested.add_edge(one, other)
        graph = nx.transitive_reduction(nested)
        for whole, (own, part) in listed.items():
            for one, (path, _) in listed.items():
                if part in path and one > whole and own[:1] != path[:1]:
                    graph.add_edge(one, whole)
        for step in self.access:
            later = [number for number in listed if number > step]
            if later:
                graph.add_edge(min(later), step)
        said: dict[frozenset[int], tuple[int, int]] = {}
        for row in self.rows("refit_link"):
            pair = (self.steps[row.first_id], self.steps[row.then_id])
            said.pop(frozenset(pair), None)
            if row.kind == "before":
                said[frozenset(pair)] = pair
        for first, then in said.values():
            if graph.has_edge(then, first):  # what was before the one stays before the other
                graph.remove_edge(then, first)
                graph.add_edges_from([(one, first) for one in graph.predecessors(then)])
                graph.add_edges_from([(then, one) for one in graph.successors(first)])
            graph.add_edge(first, then)
        return graph

    @property
    def access(self) -> set[int]:
        """The steps that came off for access only."""
        chosen = {
            self.steps[row.step_id]: row.value
            for row in self.rows("step_choice")
            if row.name == "access"
        }
        return {step for step, value in chosen.items() if value}

    def pieces(self, order: list[int]) -> dict[int, Pieces]:
        """What there is of each item; spares and orders go to the step that goes on first."""
        texts = {int(row.id): row.text for row in self.rows("description")}
        renewals = {int(row.id): row.renew for row in self.rows("description")}
        specified = {row.item_id: row for row in self.rows("specification")}
        free = {
            int(row.id): self.count(row.id, HAND, (NEW, OK))
            for row in self.rows("item")
            if pd.isna(row.step_id)
        }
        loose = {int(row.id): texts[row.description_id] for row in self.rows("item")}
        ordered = self._ordered(texts)
        tight = self._tight()
        made: dict[int, Pieces] = {}
        items = [row for row in self.rows("item") if not pd.isna(row.step_id)]
        items.sort(key=lambda row: (order.index(self.steps[int(row.step_id)]), row.line))
        for row in items:
            item, step = int(row.id), self.steps[int(row.step_id)]
            spec = specified.get(item)
            wanted = spec.quantity if spec is not None else row.found
            text = texts[spec.description_id if spec is not None else row.description_id]
            renew = spec.renew if spec is not None else renewals[row.description_id]
            piece = made[item] = Pieces(f"{step}.{row.line}", step)
            piece.to_fit = max(0, wanted - self.count(item, ("machine",), (*WHOLE, "condemned")))
            piece.finger_tight = tight.get(item) == "finger-tight"
            old = self.count(item, HAND, (RAW, OK, "repairable", "condemned", "quarantine"))
            if not piece.to_fit:
                piece.left_over = old
                continue
            whole = (NEW,) if renew else WHOLE
            lacking = max(0, piece.to_fit - self.count(item, (*HAND, "firm", STUCK), whole))
            usable = self.count(item, HAND, (NEW,) if renew else (NEW, OK, RAW))
            room = min(lacking, max(0, piece.to_fit - usable))
            for spare, left in free.items():
                if loose[spare] == text:
                    taken = min(room, left)
                    free[spare], room, piece.spare = left - taken, room - taken, piece.spare + taken
            for line in sorted(ordered, key=lambda line: line["item"] is None):
                if line["item"] == item or (line["item"] is None and line["text"] == text):
                    taken = min(lacking - piece.spare - piece.on_order, line["left"])
                    line["left"] -= taken
                    piece.on_order += taken
            piece.short = lacking - piece.spare - piece.on_order
            good = [NEW]
            if not renew:
                good += [OK, RAW] if step in self.access else [OK]
                piece.to_repair = self.count(item, HAND, ("repairable",))
                piece.undecided = self.count(item, HAND, ("quarantine",))
            seen = self.count(item, HAND, tuple(good)) + piece.spare
            piece.to_hand = min(piece.to_fit, seen)
            if not renew and RAW not in good:
                unseen = self.count(item, HAND, (RAW,))
                piece.uninspected = max(0, min(unseen, piece.to_fit - seen))
            piece.away = self.count(item, ("firm",), whole)
        stock = {row.item_id for row in self.rows("kept_spare") if row.stock}
        for item in free:
            old = self.count(item, HAND, (RAW, OK, "repairable", "condemned", "quarantine"))
            made[item] = Pieces("loose", 0, left_over=0 if item in stock else old)
        return made

    def _ordered(self, texts: dict[int, str]) -> list[dict]:  # type: ignore[type-arg]
        lines: dict[tuple[int, int], dict] = {}  # type: ignore[type-arg]
        of_row: dict[int, tuple[int, int]] = {}
        for row in self.rows("purchase_line"):
            key = of_row[row.id] = (row.purchase_id, row.line)
            lines[key] = {
                "item": None if pd.isna(row.item_id) else int(row.item_id),
                "text": "" if pd.isna(row.description_id) else texts[int(row.description_id)],
                "left": row.quantity,
            }
        for row in self.rows("receipt"):
            sign = 1 if row.outcome == "sent back" else -1
            lines[of_row[row.line_id]]["left"] += sign * row.quantity
        return list(lines.values())

    def _put_on(self) -> dict[int, int]:
        """The newest act, undoing aside, that put pieces of an item on the machine."""
        kinds = {int(row.id): row.kind for row in self.rows("place")}
        undoing = set(self.tables["act"].dropna(subset=["reverses"])["id"])
        return {
            row.item_id: row.act_id
            for row in self.rows("movement")
            if kinds[row.to_place] == "machine" and row.act_id not in undoing
        }

    def _tight(self) -> dict[int, str]:
        put_on = self._put_on()
        return {
            row.item_id: row.how
            for row in self.rows("tightened")
            if row.item_id in put_on and row.act_id >= put_on[row.item_id]
        }

    def _signed(self) -> set[int]:
        """The steps that a second person signed for since the last piece went on."""
        of_step = {int(row.id): row.step_id for row in self.rows("item")}
        last: dict[int, int] = defaultdict(int)
        for item, act in self._put_on().items():
            if not pd.isna(of_step[item]):
                last[int(of_step[item])] = max(act, last[int(of_step[item])])
        return {
            self.steps[row.step_id]
            for row in self.rows("signature")
            if row.role == "second person" and row.act_id >= last[row.step_id]
        }

    def _points(self) -> list[tuple[int, str]]:
        """What is still to measure or to put right: the step and which."""
        points, of_row, found = {}, {}, {}
        for row in self.rows("check_point"):
            key = of_row[row.id] = (row.step_id, row.key)
            points[key] = row
            found.pop(key, None)
        for row in self.rows("checked"):
            if row.point_id in of_row:
                found[of_row[row.point_id]] = row.thousandths
        work = []
        for key, row in points.items():
            if row.unit and key not in found:
                work.append((self.steps[key[0]], "measure"))
            elif row.unit and not (
                (pd.isna(row.low) or row.low <= found[key])
                and (pd.isna(row.high) or found[key] <= row.high)
            ):
                work.append((self.steps[key[0]], "put right"))
        return work

    def _snags(self, order: list[int], on: set[int]) -> dict[int, list[int]]:
        paths = {int(row.id): _names(row.path) for row in self.rows("assembly")}
        of_step = {int(row.number): paths[row.assembly_id] for row in self.rows("step")}
        cleared = {row.snag_id for row in self.rows("clearing")}
        shared: dict[int, list[int]] = defaultdict(list)
        for row in self.rows("snag"):
            if row.id in cleared or row.sort == "noted":
                continue
            if not pd.isna(row.step_id):
                shared[self.steps[int(row.step_id)]].append(row.number)
                continue
            path = () if pd.isna(row.assembly_id) else paths[int(row.assembly_id)]
            within = [step for step in order if path and of_step[step][: len(path)] == path]
            waiting = [step for step in within if step not in on]
            if within:
                shared[(waiting or within)[-1]].append(row.number)
        return shared

    def jobs_to_undo(self) -> set[int]:
        """The steps at which something was done that is no piece, and is not undone again."""
        done: dict[int, bool] = {}
        for row in self.rows("job"):
            done[self.steps[row.step_id]] = bool(row.done)
        return {step for step, over in done.items() if not over}

    def look(
        self, order: list[int], graph: nx.DiGraph, pieces: dict[int, Pieces]
    ) -> dict[int, Steps]:
        """How far each step is."""
        mine = {step: [one for one in pieces.values() if one.step == step] for step in order}
        undone = self.jobs_to_undo()
        on = {
            step
            for step in order
            if step not in undone and not any(one.to_fit for one in mine[step])
        }
        snags, signed, points = self._snags(order, on), self._signed(), self._points()
        made: dict[int, Steps] = {}
        for step in order:
            one = made[step] = Steps(snags=snags[step])
            one.work += ["tighten"] * any(piece.finger_tight for piece in mine[step])
            one.work += [word for at, word in points if at == step]
            one.work += ["get signed"] * (step in self.safety and step not in signed)
            one.work += ["clear"] * len(snags[step])
        for step in order:
            one = made[step]
            for first in graph.predecessors(step):
                one.behind |= made[first].behind if first in on else {first}
            owing = any(made[first].work for first in graph.predecessors(step) if first in on)
            lacking = any(piece.to_hand < piece.to_fit for piece in mine[step])
            if step in on:
                one.state = "on" if one.work else "finished"
            else:
                waits = one.behind or owing or lacking or one.snags
                one.state = "waits" if waits else "ready"
        return made


def _names(path: str) -> tuple[str, ...]:
    return tuple(name.strip().casefold() for name in path.split("/"))
