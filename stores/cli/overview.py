"""Which commands there are, in the order of the job, and where each is written.

A command's module is imported when the command is called: what one command needs must not slow the
start of another, and the overview needs none of them. `Plain`, the class of every command, takes
parameters as typed, without pydantic. A row class costs a millisecond, so each subject has its
tables in its own file; the handbook's tables are read as the plain files that they are, and regular
expressions are compiled at their first use.
"""

import re
from functools import partial
from importlib import import_module
from itertools import pairwise, takewhile
from typing import Any, ClassVar, get_args, get_origin

import typer
from typer.core import TyperCommand, TyperGroup

from stores.wording.commands import JOB, LINES, MEANT, NOUNS, OPTIONS, spelling

__all__ = ["COMMANDS", "COMPLETE", "IN_A_LINE", "Noun", "Overview", "Plain", "TopWords"]

COMMANDS = {
    "machine": ("bench", "add a machine, keep one for parts, list them"),
    "survey": ("survey", "what to look at before it is taken apart"),
    "snag": ("snags", "record a fault to clear before things are closed up"),
    "snags": ("snags", "the faults still to clear"),
    "clear": ("snags", "say how a snag was cleared"),
    "evidence": ("snags", "which pictures show a snag"),
    "strip": ("bench", "record a strip-down step and the bag it went into"),
    "came-off": ("stuck", "what was still on the machine came off"),
    "left-on": ("stuck", "what is still on the machine stays there"),
    "broke": ("stuck", "a piece broke, the rest is in its hole"),
    "loose": ("bench", "record pieces of unknown origin"),
    "labels": ("labels", "labels to print, as PDF: for bags, those that are due"),
    "printer": ("labels", "how far a printer is out, so that labels line up"),
    "units": ("work_units", "in which units torques and volumes are shown"),
    "photo": ("pictures", "pictures: take them in, file them, print the index"),
    "stow": ("places", "put bags into a box, a box on to a shelf"),
    "move": ("places", "move pieces to another bag, box or shelf"),
    "mix": ("mixups", "bags tipped together, pieces not to be told apart"),
    "mixed": ("mixups", "what is mixed up, and what tells it apart"),
    "sort": ("mixups", "say what was sorted of a mix-up"),
    "places": ("places", "which bag is in which box; also as PDF and CSV"),
    "inventory": ("inventory", "everything there is, and its value; PDF, CSV, workbook"),
    "find": ("look", "where did this come from, and where is it now?"),
    "inspect": ("bench", "record the condition of pieces, and why"),
    "specify": ("bench", "say what should be at a joint"),
    "renew": ("renewals", "what is always renewed, kind by kind or item by item"),
    "torque": ("figures", "the maker's torque of a joint, and the computed one"),
    "joint": ("figures", "where a joint's holes are, and its tightening order"),
    "sump": ("figures", "what each sump holds and of which oil"),
    "reading": ("figures", "compression and the like, before and after"),
    "batch": ("outwork", "outwork in batches: make up, send, count back"),
    "send": ("outwork", "send pieces out to a firm, as a counted batch"),
    "back": ("outwork", "count pieces back from a firm"),
    "parts": ("parts_lists", "read in a parts list, and see what it has"),
    "shopping": ("shopping", "what to buy; also as PDF, CSV and workbook"),
    "enter": ("stock", "put something into the workshop's stock"),
    "stock": ("stock", "what the workshop has: sizes, consumables, what is low"),
    "pack": ("stock", "opened, use by, batch of a pack in stock"),
    "least": ("stock", "the least of a thing to be held"),
    "reserve": ("stock", "keep something in stock for a machine or a step"),
    "use": ("stock", "take a consumable from stock: used, spilt, gone off"),
    "left": ("stock", "say what is left of a consumable"),
    "spares": ("shopping", "how many spares to buy of a kind"),
    "order": ("orders", "orders with suppliers: place, receive, send back, cancel"),
    "price": ("shopping", "what things cost, and the currency"),
    "budget": ("shopping", "what it has cost so far, and what is to come"),
    "buy": ("orders", "record new pieces that arrived"),
    "rebuild": ("rebuild", "the checklist: the strip-down backwards; also as PDF"),
    "refit": ("refit", "tick off what is back on the machine"),
    "tighten": ("assembling", "what was finger-tight is tightened, with what torque"),
    "apply": ("assembling", "locking compound, sealant, grease: what goes in"),
    "clearance": ("assembling", "what to measure at a refit, and what it measured"),
    "sign": ("assembling", "who fitted a step, and who checked it"),
    "before": ("rebuild", "this step goes back on before that one"),
    "free": ("rebuild", "these two steps go in either order"),
    "access": ("rebuild", "a step that came off for access only"),
    "takes": ("rebuild", "how long a step takes, and the hours of a week"),
    "today": ("rebuild", "what can be refitted today, and what to chase"),
    "plan": ("rebuild", "when it may be finished, and what holds it up"),
    "progress": ("rebuild", "how far each assembly is, and the pace so far"),
    "handover": ("closing", "the end of a day: what is off, open, waiting"),
    "close": ("closing", "close a machine out, or open it again"),
    "book": ("closing", "the bound record of the restoration, as PDF"),
    "keep": ("places", "keep what is left over and sound as spares"),
    "scrap": ("places", "throw pieces out"),
    "lose": ("places", "record that pieces cannot be found"),
    "recover": ("places", "record that lost pieces turned up"),
    "assign": ("places", "say which joint pieces belong to"),
    "count": ("counts", "count a box or shelf against the record"),
    "audit": ("look", "is everything accounted for?"),
    "history": ("look", "what was done, the newest first"),
    "correct": ("correct", "put right what was written wrong: a name, a count, a line"),
    "queries": ("queries", "lines that can be read in two ways: list them, answer them"),
    "undo": ("bench", "take back the last act, or any other"),
    "copy": ("keeping", "make a second copy of the record"),
    "export": ("keeping", "the whole record as one text file, to move it elsewhere"),
    "replay": ("keeping", "make the record again from that file"),
    "thread": ("measuring", "a thread by its name or by measurement"),
    "hardware": ("measuring", "bearings, seals, circlips and the like by size"),
    "reckon": ("reckon", "calculators: torque, oil, mixture, compression, wear"),
    "serve": ("serve", "the pages: a phone at the bench, a browser at the desk"),
    "demo": ("demo", "build an invented strip-down to try things on"),
}
"""The commands in the order of the job: the short name that each is registered under, the module it
is in, and its line of the overview. How they are typed says `stores.wording.commands`."""

IN_A_LINE = {name: line for name, (_, line) in COMMANDS.items()}


class _AsTyped:
    """Takes words as words and figures as figures.

    Typer builds a validator of pydantic for every parameter, and loading pydantic takes longer than
    any calculator here: twice the start of Typer itself, to find that a word is a word.
    """

    def __init__(self, annotation: Any) -> None:
        inner = get_args(annotation)
        self._many = get_origin(annotation)
        self._kind = inner[0] if inner else annotation

    @classmethod
    def serves(cls, annotation: Any) -> bool:
        """Tell whether these are words, figures or yes and no, alone or several alike."""
        inner = get_args(annotation)
        if get_origin(annotation) not in (None, list, tuple):
            return False
        return (
            {*inner} <= {inner[0]} | {...} and inner[0] in _SIMPLE
            if inner
            else (annotation in _SIMPLE)
        )

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """Turn what was typed into what the command takes."""
        if value is None:
            return () if param.multiple or param.nargs == -1 else None
        if self._many is not None:
            return self._many(self._one(each, param, ctx) for each in value)
        return self._one(value, param, ctx)

    def _one(self, value: Any, param: Any, ctx: Any) -> Any:
        if isinstance(value, self._kind) or self._kind is str:
            return value
        try:
            return self._kind(value)
        except ValueError:
            wanted = "a whole number" if self._kind is int else "a number"
            raise typer.BadParameter(f"{value!r} is not {wanted}", ctx=ctx, param=param) from None


_SIMPLE = (str, int, float, bool)


COMPLETE = "_STORES_COMPLETE"
"""The environment variable by which a shell asks what a word may go on as."""


def _offer(parameter: Any, ctx: Any, incomplete: str) -> Any:
    from stores.cli.completing import offered

    return offered(parameter, ctx, incomplete)


def _take_as_typed(parameter: Any) -> Any:
    parameter.shell_complete = partial(_offer, parameter)
    annotation = getattr(getattr(parameter, "type_descriptor", None), "annotation", None)
    if annotation is not None and _AsTyped.serves(annotation):
        parameter._runtime_param = _AsTyped(annotation)
    return parameter


class _TakenAsTyped:
    """What takes its parameters, and its --help, as they were typed."""

    params: list[Any]

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        for parameter in self.params:
            _take_as_typed(parameter)

    def get_help_option(self, ctx: Any) -> Any:
        """Give the option that asks for help."""
        return _take_as_typed(super().get_help_option(ctx))  # type: ignore[misc]


class Plain(_TakenAsTyped, TyperCommand):
    """A command whose parameters are words, figures, yes and no."""

    def collect_usage_pieces(self, ctx: Any) -> list[str]:
        """Give the words of the usage: what must be typed without braces round it."""
        pieces: list[str] = super().collect_usage_pieces(ctx)
        return [re.sub(r"^\{(.*)\}", r"\1", each) for each in pieces]

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write the arguments and options, without the names of a programmer's types."""
        parameters: list[Any] = self.get_params(ctx)
        for title, kind in (("Arguments", "argument"), ("Options", "option")):
            records = [
                each.get_help_record(ctx) for each in parameters if each.param_type_name == kind
            ]
            rows = [_in_plain_words(name, told, kind) for name, told in filter(None, records)]
            if rows:
                with formatter.section(title):
                    formatter.write_dl(rows)

    def get_short_help_str(self, limit: int = 45) -> str:
        """Give the line of an overview: the whole first sentence, which wraps and is not cut."""
        return super().get_short_help_str(max(limit, _WHOLE))

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read what was typed; no option is taken for what another one was to say.

        Raises:
            typer.BadParameter: an option stands where the word of another is missing.
        """
        parameters: list[Any] = self.get_params(ctx)
        options = [each for each in parameters if each.param_type_name == "option"]
        names = {name for each in options for name in each.opts if name.startswith("--")}
        known = {name for each in options for name in each.opts}
        args = [
            OPTIONS[word]
            if word in OPTIONS and word not in known and OPTIONS[word] in known
            else word
            for word in args
        ]
        takers = {name: each for each in options for name in each.opts if not each.is_flag}
        for option, word in pairwise(takewhile(lambda word: word != "--", args)):
            if option in takers and word in names:
                raise typer.BadParameter(
                    f"what it is to say is missing before {word}", ctx=ctx, param=takers[option]
                )
        parsed: list[str] = super().parse_args(ctx, args)
        return parsed


def _in_plain_words(name: str, told: str, kind: str) -> tuple[str, str]:
    """Return a parameter and its help as a mechanic reads it: ``--maker TEXT``."""
    if kind == "argument":
        name = re.sub(r" <[^<>]*>$", "", name)
    name = re.sub(r"<(int|float)>$", "N", re.sub(r"<str>$", "TEXT", name))
    return name, told.replace("env var:", "setting:")


_WHOLE = 400
"""Longer than any first sentence of a help."""


class Overview(_TakenAsTyped, TyperGroup):
    """A group of commands that loads each command's module when it is asked for."""

    table: ClassVar[dict[str, tuple[str, str]]]
    """Each command's module within `stores.cli`, and its line of the overview."""

    @classmethod
    def registered(cls) -> typer.Typer:
        """Give the application that the modules register their commands with."""
        raise NotImplementedError

    def asked_for(self, _ctx: Any) -> list[str]:
        """Ask which command is meant where none is named; by itself it asks nothing."""
        return []

    def list_commands(self, _ctx: Any) -> list[str]:
        """List the commands in the order of the job."""
        return list(self.table)

    def get_command(self, _ctx: Any, name: str) -> Any:
        """Give a command by its name, None if there is none."""
        if name not in self.commands:
            # An unknown name may be a slip of any command's.
            self.load(*([name] if name in self.table else self.table))
        return self.commands.get(name)

    def load(self, *names: str) -> None:
        """Import the modules of these commands and build them, and no other that is there."""
        for home in dict.fromkeys(self.table[name][0] for name in names):
            import_module(f"stores.cli.{home}")
        from typer.main import get_group

        listed = self.registered()
        commands, groups = listed.registered_commands, listed.registered_groups
        try:
            listed.registered_commands = [each for each in commands if each.name in names]
            listed.registered_groups = [each for each in groups if each.name in names]
            self.commands.update(get_group(listed).commands)
        finally:
            listed.registered_commands, listed.registered_groups = commands, groups

    def format_commands(self, _ctx: Any, formatter: Any) -> None:
        """Write the overview."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in self.table.items()])


class TopWords(Overview):
    """The words at the top, by the part of the job, with nouns that have others under them.

    Short names that are typed under a noun are found by themselves too; no list shows them.
    """

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        self._nouns: dict[str, Noun] = {}

    def list_commands(self, _ctx: Any) -> list[str]:
        """List the words at the top."""
        return [word for words in JOB.values() for word in words]

    def get_command(self, ctx: Any, name: str) -> Any:
        """Give a noun or a command by its name, None if there is none."""
        if name not in NOUNS:
            return super().get_command(ctx, name)
        if name not in self._nouns:
            self._nouns[name] = Noun(self, name)
        return self._nouns[name]

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command; a slip is told what it is near to, as that is typed."""
        if args and not ctx.resilient_parsing and self.get_command(ctx, args[0]) is None:
            from difflib import get_close_matches

            known = [*self.list_commands(ctx), *self.table]
            word = args[0].casefold()
            near = [MEANT[word]] if word in MEANT else get_close_matches(word, known, 1, 0.7)
            meant = f". Did you mean '{spelling(near[0])}'?" if near else ""
            ctx.fail(f"no such command {args[0]!r}{meant}")
        name, found, left = super().resolve_command(ctx, args)
        return name and spelling(name), found, left  # its help and refusals call it as it is typed

    def leaf(self, name: str) -> Any:
        """Give a command by the short name that it is registered under."""
        if name not in self.commands:
            self.load(name)
        return self.commands[name]

    def format_commands(self, _ctx: Any, formatter: Any) -> None:
        """Write the overview."""
        for part, words in JOB.items():
            with formatter.section(part):
                formatter.write_dl(
                    [(word, LINES.get(word) or self.table[word][1]) for word in words]
                )


class Noun(_TakenAsTyped, TyperGroup):
    """A noun with its commands. One that is a command as well, as ``plan``, is that command where
    none of the others is named; one that has commands of its own, as ``order``, has these too."""

    def __init__(self, top: TopWords, name: str) -> None:
        super().__init__(
            name=name,
            help=LINES[name][0].upper() + LINES[name][1:] + ".",
            context_settings={"help_option_names": ["-h", "--help"]},
            no_args_is_help=True,
            rich_markup_mode=None,
        )
        self._top = top
        self._under = NOUNS[name]

    @property
    def _own(self) -> Any:
        return self._top.leaf(str(self.name)) if self.name in self._top.table else None

    @property
    def by_itself(self) -> Any:
        """The command that the noun is by itself, None where it has commands of its own."""
        own = self._own
        return None if own is None or hasattr(own, "commands") else own

    def list_commands(self, ctx: Any) -> list[str]:
        """List its commands."""
        own = self._own
        listed = own.list_commands(ctx) if own is not None and self.by_itself is None else []
        return [*listed, *self._under]

    def get_command(self, ctx: Any, name: str) -> Any:
        """Give one of its commands, None if there is none of this name."""
        if name == _BY_ITSELF:
            return self.by_itself
        if name in self._under:
            return self._top.leaf(self._under[name])
        own = self._own
        return own.get_command(ctx, name) if own is not None and self.by_itself is None else None

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read which one; what names none is for the command that the noun is by itself.

        A noun alone that cannot be a command, as ``snag``, which needs to be told what is wrong,
        gives its list.
        """
        named = args and (args[0] in self._under or args[0] in ("-h", "--help"))
        own = self._own
        if not named and self.by_itself is not None and not ctx.resilient_parsing:
            words = [each for each in own.params if each.param_type_name == "argument"]
            if not args and "list" in self._under and any(each.required for each in words):
                args = ["list"]
            elif words or not args or args[0].startswith("-"):
                args = [_BY_ITSELF, *args]
        elif not args and isinstance(own, Overview):
            args = own.asked_for(ctx)
        left: list[str] = super().parse_args(ctx, args)
        return left

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command; by itself it is called as its noun is."""
        if args and args[0] == _BY_ITSELF and self.by_itself is not None:
            return None, self.by_itself, args[1:]
        names = self.list_commands(ctx)
        if ctx.resilient_parsing and args and args[0] not in names and self.by_itself is not None:
            return self.name, self.by_itself, args  # what goes on is its value, not its member
        if args and args[0] not in names and not ctx.resilient_parsing:
            from difflib import get_close_matches

            near = get_close_matches(args[0], names, 1)
            meant = f". Did you mean {near[0]!r}?" if near else ""
            ctx.fail(f"no such command {args[0]!r}{meant}")
        return super().resolve_command(ctx, args)

    def shell_complete(self, ctx: Any, incomplete: str) -> list[Any]:
        """Offer its commands, and what the command that it is by itself takes first."""
        offered: list[Any] = super().shell_complete(ctx, incomplete)
        own = self.by_itself
        if own is None:
            return offered
        with own.make_context(self.name, [], parent=ctx, resilient_parsing=True) as within:
            if incomplete.startswith("-"):
                return [*own.shell_complete(within, incomplete)]
            first = [each for each in own.params if each.param_type_name == "argument"][:1]
            return [*offered, *(one for each in first for one in _offer(each, within, incomplete))]

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the help of the command that it is by itself, then what else there is."""
        if self.by_itself is None:
            if isinstance(self._own, Overview):
                self.help = self._own.help
            super().format_help(ctx, formatter)
            return
        self.by_itself.format_help(ctx, formatter)
        self.format_commands(ctx, formatter)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write its commands with their lines."""
        rows = []
        for name in self.list_commands(ctx):
            if name in self._under:
                if self._under[name] != self.name:
                    rows.append((name, self._top.table[self._under[name]][1]))
                continue
            own = self._own
            line = getattr(own, "table", {}).get(name, ("", ""))[1]
            rows.append((name, line or own.get_command(ctx, name).get_short_help_str()))
        with formatter.section(f"Under {self.name}" if self.by_itself else "Commands"):
            formatter.write_dl(rows)

    def format_epilog(self, ctx: Any, formatter: Any) -> None:
        """Say where the examples are."""
        formatter.write_paragraph()
        formatter.write_text(f"Each has an example: stores {self.name} NAME --help.")


_BY_ITSELF = ""
