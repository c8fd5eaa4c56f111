"""Inspection in one sitting: a line at a time, a key for each answer.

Each answer is written before the next line is shown, so nothing is lost when the terminal closes.
"""

import sys
from collections.abc import Sequence

from stores.cli import show
from stores.cli.keys import ENTER, RUBOUT, Keys, line_typed
from stores.errors import StoresError
from stores.usecases.assembling import TakeReading, take_reading
from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.sitting import (
    InspectEach,
    InspectedEach,
    Inspection,
    ItemVerdict,
    LimitOnRecord,
    ToInspect,
    inspect_each,
)
from stores.wording import inspect as words
from stores.wording.refusals import line_of

__all__ = ["sit"]

_VERDICTS = {"g": "good", "r": "repair", "s": "scrap", "u": "unsure"}
_WHY_NEEDED = "rsu"


def sit(context: Context, inspection: Inspection, keys: Keys, within: str = "") -> None:
    """Go through what there is to inspect; show what it came to, also where the keys run out."""
    sitting = _Sitting(context, inspection.lines, keys, within)
    show.said(words.to_inspect(inspection))
    try:
        sitting.run()
    except (EOFError, KeyboardInterrupt) as end:
        show.say()
        sitting.close()
        if isinstance(end, KeyboardInterrupt):
            raise SystemExit(130) from None
    else:
        sitting.close()


class _Sitting:
    def __init__(
        self, context: Context, lines: Sequence[ToInspect], keys: Keys, within: str
    ) -> None:
        self._context, self._lines, self._keys, self._within = context, lines, keys, within
        self._left = [line.quantity for line in lines]
        self._given: list[tuple[int, InspectedEach | None]] = []
        """What was answered, by line; None where it was skipped."""
        self._at = 0
        self._why = ""

    def run(self) -> None:
        """Ask of one line after another until all are answered, or the person stops."""
        shown: set[str] = set()
        before = None
        while self._at < len(self._lines):
            line = self._lines[self._at]
            if (line.machine, line.step) != before:
                shown.clear()
                before = (line.machine, line.step)
            left = self._left[self._at]
            show.said(words.what_is_next(line, left, self._at + 1, len(self._lines), shown))
            shown.update(words.cautions_of_line(line))
            if not self._asked(line):
                return

    def close(self) -> None:
        """Show what it came to."""
        given = [reply for _, reply in self._given if reply is not None]
        skipped = len({at for at, reply in self._given if reply is None and self._left[at]})
        show.said(words.sat_through(given, skipped, given[-1].act if given else 0))

    def _asked(self, line: ToInspect) -> bool:
        """Take keys for a line until it moves on; return False to stop."""
        self._why = ""
        while True:
            key, many = self._pressed()
            if key in _VERDICTS:
                if self._answered(line, key, many):
                    return True
            elif key in (ENTER, " ", "k"):
                self._given.append((self._at, None))
                self._at += 1
                return True
            elif key == "b":
                self._back()
                return True
            elif key == "q":
                return False
            elif key == "w":
                self._why = line_typed(self._keys, "     why? ")
            elif key == "m" and line.limits:
                self._measure(line)
            else:
                show.paragraph(words.KEYS, first="     ", rest="     ")

    def _pressed(self) -> tuple[str, str]:
        """Return a key, and the number that was typed before it."""
        many = ""
        while True:
            sys.stdout.write(f"\r     > {many}")
            sys.stdout.flush()
            key = self._keys.key().casefold()
            if key.isdecimal():
                many += key
            elif key == "n":
                show.say()
                many = line_typed(self._keys, "     how many? ")
            elif key == RUBOUT:
                many = ""
                sys.stdout.write("\r     >          ")
            else:
                show.say(key if key.isprintable() else "")
                return key, many

    def _answered(self, line: ToInspect, key: str, many: str) -> bool:
        """Record an answer; return whether it was."""
        left = self._left[self._at]
        if key in _WHY_NEEDED and not self._why:
            self._why = line_typed(self._keys, "     why? ")
            if not self._why:
                show.say("     nothing recorded: it needs a reason")
                return False
        quantity = None if not many or many == str(left) else many
        verdict = ItemVerdict(line.item, _VERDICTS[key], quantity, self._why)
        context = Context(self._context.store, line.machine, self._context.day, self._context.who)
        try:
            reply = inspect_each(
                context, InspectEach((verdict,), within=self._within, undecided=True)
            )
        except StoresError as refusal:
            show.paragraph(f"nothing recorded: {line_of(refusal)}", first="     ", rest="     ")
            return False
        show.paragraph(words.answer(reply), rest="       ")
        self._given.append((self._at, reply))
        self._left[self._at] -= reply.pieces
        if self._left[self._at] <= 0:
            self._at += 1
        return True

    def _back(self) -> None:
        """Go back to the line answered last, and take the answer back."""
        if not self._given:
            show.say("     this is the first line")
            return
        self._at, reply = self._given.pop()
        if reply is None:
            return
        try:
            undo(self._context, Undo(reply.act, "act"))
        except StoresError as refusal:
            show.paragraph(line_of(refusal), first="     ", rest="     ")
            self._given.append((self._at, reply))
            return
        self._left[self._at] += reply.pieces
        show.say(f"     taken back: {reply.pieces} {reply.verdicts[0].condition}")

    def _measure(self, line: ToInspect) -> None:
        """Measure against a limit on record; the reading is the reason of the verdict to come."""
        limit = self._limit(line.limits)
        if limit is None:
            return
        reading = line_typed(self._keys, f"     {limit.name} ({limit.limits}): ")
        if not reading:
            return
        context = Context(self._context.store, line.machine, self._context.day, self._context.who)
        try:
            taken = take_reading(context, TakeReading(str(line.step), limit.name, reading))
        except StoresError as refusal:
            show.paragraph(f"nothing recorded: {line_of(refusal)}", first="     ", rest="     ")
            return
        self._why = words.measured(taken)
        show.paragraph(self._why, first="     ", rest="       ")

    def _limit(self, limits: Sequence[LimitOnRecord]) -> LimitOnRecord | None:
        if len(limits) == 1:
            return limits[0]
        for number, limit in enumerate(limits, start=1):
            show.say(f"     {number}  {limit.name}, {limit.limits}")
        typed = line_typed(self._keys, "     which? ")
        if typed.isdecimal() and 0 < int(typed) <= len(limits):
            return limits[int(typed) - 1]
        return None
