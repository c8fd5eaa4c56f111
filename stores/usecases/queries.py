"""Questions that what was typed left open: one list, answered one by one later.

A question is not on record: it is what the words of a line leave open, read anew each time. An
answer is a correction of the line, so that the history keeps the first words, and undoing it brings
the question back.

`Item.questions` and `Item.count_to_check` read the words again.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stores.errors import Refused
from stores.handbook.benchline import lines_in, open_questions, read_line
from stores.handbook.readings import readings
from stores.model.items import Item
from stores.storage.items import item_rows, read_items
from stores.storage.machines import machine_named
from stores.text import clean
from stores.usecases.common import select
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.correct import Corrected, CorrectLine, correct_line

__all__ = ["AnswerQuery", "Answered", "Queries", "Query", "answer_query", "queries"]


@dataclass(frozen=True, slots=True)
class Query:
    """A line whose words leave something open.

    ``typed`` are its words, ``recorded`` with ``found`` what it is on record as meanwhile;
    ``count_to_check`` tells that the count is one of the questions, ``to_check`` what lists say.
    ``readings`` are lines that it may have meant, to pick from.
    """

    item: str
    assembly: str
    part: str
    typed: str
    found: int
    recorded: str
    questions: tuple[str, ...]
    count_to_check: bool
    readings: tuple[str, ...] = ()
    to_check: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Queries:
    """All open questions of a machine, those about a count first."""

    machine: str
    queries: tuple[Query, ...]


@dataclass(frozen=True, slots=True)
class AnswerQuery(Ask):
    """An answer: how many there were (``6``), "right" for the count as it is on record, one of the
    `Query.readings` by its letter (``a``), or the whole line as it should have been typed (``6
    M6x25 hex bolt``)."""

    what: str
    answer: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Reply):
    """What was put right, and what the line still leaves open."""

    corrected: Corrected
    item: str
    questions: tuple[str, ...]


def queries(context: Context) -> Queries:
    """Return the open questions of a machine.

    Raises:
        NotFound: no such machine.
    """
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        asked = {
            row.id
            for row in item_rows(connection, machine.number, None)
            if open_questions(row.written)[0]
        }
        items = read_items(connection, numbers=asked, verdicts=False) if asked else []
    return Queries(machine.name, tuple(_asked(items)))


def _asked(items: Iterable[Item]) -> list[Query]:
    asked = [
        Query(
            item.ref, item.step.assembly, item.step.part, item.written, item.found,
            item.as_found.text, item.questions, item.count_to_check, readings(item.written),
            item.to_check,
        )
        for item in items
        if item.questions
    ]  # fmt: skip
    return sorted(asked, key=lambda query: not query.count_to_check)


def answer_query(context: Context, ask: AnswerQuery) -> Answered:
    """Put a line right by the answer to what its words left open.

    Raises:
        NotFound: no such line.
        Refused: the line leaves nothing open, the answer still leaves the count open, or "right" of
            a question that is not about the count.
        NotationError, BadValue: a line that cannot be read.
    """
    typed = clean(ask.answer, "the answer")
    with context.reading() as connection:
        item = select(connection, context.machine, ask.what, empty=True).only
    if not item.questions:
        raise Refused("no open question", item=item.ref, text=item.as_found.text)
    line = _line(item, typed)
    corrected = correct_line(
        context, CorrectLine(ask.what, line, reason=ask.reason, trial=ask.trial, key=ask.key)
    )
    left = tuple(each for one in lines_in(line) for each in open_questions(one)[0])
    return Answered(
        act=corrected.act, trial=corrected.trial, corrected=corrected, item=item.ref,
        questions=left,
    )  # fmt: skip


def _line(item: Item, answer: str) -> str:
    """Return the line as it should have been typed."""
    if re.fullmatch(r"[a-d]", answer, re.IGNORECASE):
        offered = readings(item.written)
        at = ord(answer.casefold()) - ord("a")
        if at >= len(offered):
            raise Refused("no such reading", item=item.ref, typed=answer, readings=offered)
        return offered[at]
    count = re.fullmatch(r"\d{1,6}", answer)
    right = answer.casefold() in ("right", "yes", "ok", "correct")
    if (right or count) and not item.count_to_check:
        raise Refused("answer in words", item=item.ref, questions=item.questions)
    if right:
        return _counted(item.found, item.as_found.text)
    if count:
        return _counted(int(answer), _without_the_count(item, answer))
    read = read_line(lines_in(answer)[0])
    if item.count_to_check and not read.counted:
        raise Refused("answer has no count", item=item.ref, typed=answer)
    return answer


def _counted(count: int, text: str) -> str:
    # what was kept as typed is in brackets, and one of it is said without a count
    return text if count == 1 and text.startswith("[") else f"{count} off {text}"


def _without_the_count(item: Item, count: str) -> str:
    """Return what a line was, without the words that turned out to be its count."""
    thing = read_line(item.written).thing
    asked = open_questions(item.written)[1]
    kept = tuple(
        words
        for words in thing.unread
        if count not in re.findall(r"\d+", words)
        # a figure that is another than the count is no count: 18 may be threads per inch
        and (words.isdigit() or not any(question.startswith(f"{words}:") for question in asked))
    )
    name = re.sub(rf"^{count}\s+", "", thing.name)
    return replace(thing, unread=kept, name=name).spec
