"""Commands that ask for what they were not told, one thing at a time, at a terminal only."""

import contextlib
import shlex
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import typer

from stores.cli import show
from stores.cli.app import at_a_terminal
from stores.cli.keys import Keys, keyboard, line_typed
from stores.cli.overview import Overview, Plain
from stores.errors import StoresError

if TYPE_CHECKING:
    from stores.usecases.reckoning.asking import Question

__all__ = ["Asking", "which_one"]


class Asking(Plain):
    """A calculator that asks a person for what is missing before it reads what was typed.

    Without a terminal, or with --json, nothing is asked: it refuses, as a program can read.
    """

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read what was typed, and what was answered."""
        if at_a_terminal() and not {"--json", "--help", "-h"} & {*args}:
            args = self._asked(ctx, args)
        left: list[str] = super().parse_args(ctx, args)
        return left

    def _asked(self, ctx: Any, args: list[str]) -> list[str]:
        from stores.usecases.reckoning.asking import next_question

        typed, answers = list(args), dict[str, str]()
        try:
            with contextlib.ExitStack() as stack:
                keys: Keys | None = None
                while (given := self._given(ctx, typed)) is not None:
                    question = next_question(str(self.name), given, answers)
                    if question is None:
                        break
                    keys = keys or stack.enter_context(keyboard())
                    answers[question.name] = _answer(keys, question, given)
                    typed += question.words(answers[question.name])
        except EOFError:
            show.say()
        except KeyboardInterrupt:
            show.say()
            raise typer.Exit(130) from None
        if len(typed) > len(args):
            show.paragraph(f"The same at once: {ctx.command_path} {shlex.join(typed)}", rest="  ")
            show.say()
        return typed

    def _given(self, ctx: Any, args: list[str]) -> Mapping[str, object] | None:
        """Return what was typed by the name of the parameter, None where that cannot be read."""
        wrong: type[Exception] = typer.BadParameter.__bases__[0]  # whatever was typed wrong
        try:
            given, _, _ = self.make_parser(ctx).parse_args(args=list(args))
        except wrong:
            return None
        names = {str(each.name) for each in self.params}
        return {str(name): value for name, value in given.items() if name in names}


def _answer(keys: Keys, question: "Question", given: Mapping[str, object]) -> str:
    """Ask until there is an answer that can be read, or none where none is needed."""
    from stores.usecases.reckoning.asking import check
    from stores.wording.reckoning import QUESTIONS
    from stores.wording.refusals import line_of

    while True:
        answer = " ".join(line_typed(keys, f"{QUESTIONS[question.name]} ").split())
        if not question.needed and question.left_out(answer):
            return ""
        if not answer:
            show.say("  needed; Ctrl-C stops")
            continue
        if question.choices and not any(
            word.startswith(answer.lower()) for word in question.choices
        ):
            show.say(f"  one of: {', '.join(question.choices)}")
            continue
        try:
            check(question, answer, given)
        except StoresError as error:
            show.paragraph(line_of(error), first="  ", rest="  ")
            continue
        return answer


def which_one(group: Overview, ctx: Any) -> list[str]:
    """Show what a group has and ask for one of it; nothing where the answer is left out."""
    show.say(group.get_help(ctx))
    show.say()
    while True:
        try:
            with keyboard() as keys:
                answer = line_typed(keys, "Which one? (Enter: none) ").lower()
        except EOFError:
            answer = ""
        except KeyboardInterrupt:
            show.say()
            raise typer.Exit(130) from None
        if not answer:
            raise typer.Exit
        if answer in group.table:
            return [answer]
        show.paragraph(f"one of: {', '.join(group.table)}", first="  ", rest="  ")
