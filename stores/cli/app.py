"""The commands' common frame: one application, one way to fail, one way to open the stores."""

import contextlib
import errno
import functools
import inspect
import os
import re
import shutil
import sys
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import __version__
from stores.cli.overview import COMMANDS, COMPLETE, IN_A_LINE, Plain, TopWords
from stores.errors import BadValue, StoresError
from stores.text import path_of, read_day, safe_to_show, without_passwords
from stores.wording.marks import plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stores.model.work_units import WorkUnits
    from stores.storage import Store
    from stores.usecases.context import Context

__all__ = [
    "AsJson",
    "AsOf",
    "Count",
    "Day",
    "MachineName",
    "PictureFolder",
    "TemplateFolder",
    "app",
    "asked",
    "at_a_terminal",
    "command",
    "day",
    "file_at",
    "main",
    "one_line",
    "opened",
    "program",
    "refuse_options",
]

DEFAULT_FILE = "stores.db"
USAGE: Any = typer.BadParameter.__mro__[1]
"""The class of the errors of who types a command that there is not, or leaves out what it needs."""
MISSING: Any = next(
    (each for each in typer.BadParameter.__subclasses__() if each.__name__ == "MissingParameter"),
    (),
)
"""The class of the error of who leaves out what a command needs."""
FOR_A_PROGRAM = "stores.for_a_program"
"""Marks in the context that the answer is wanted as JSON."""


class OneLineErrors(TopWords):
    """Shows every error of ours as one line on stderr, status 1; a bug keeps its traceback."""

    table = COMMANDS

    @classmethod
    def registered(cls) -> typer.Typer:
        """Give the application."""
        return app

    def make_context(self, *words: Any, **more: Any) -> Any:
        """Read what stands before the command."""
        try:
            return super().make_context(*words, **more)
        except USAGE as error:
            raise _misused(error) from None

    def invoke(self, ctx: Any) -> Any:
        """Run the command."""
        ctx.meta[FOR_A_PROGRAM] = "--json" in ctx.args
        try:
            answer = super().invoke(ctx)
            sys.stdout.flush()
        except StoresError as error:
            from stores.wording.refusals import line_of

            one_line(line_of(error))
            raise typer.Exit(1) from None
        except USAGE as error:
            raise _misused(error) from None
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
            unsound = _unsound(ctx.obj)
            if not unsound:
                raise
            one_line(unsound)
            raise typer.Exit(1) from None
        except KeyboardInterrupt:
            one_line("stopped. What was confirmed is recorded; see 'stores history'.")
            raise typer.Exit(130) from None
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            one_line(
                f"the answer could not be shown ({error.strerror or error}); "
                "what was done is recorded: see 'stores history' before you try again"
            )
            _forget_output()
            raise typer.Exit(1) from None
        return answer


def _misused(error: Any) -> typer.Exit:
    """Say in one line what was typed wrong, and where the help is; return how to leave."""
    context = error.ctx
    said = error.format_message()
    if context is not None and said == context.get_help():  # nothing was typed: the help itself
        typer.echo(said, err=True)
        return typer.Exit(error.exit_code)
    said = said.removeprefix("Invalid value: ").rstrip(".")
    name = context.command_path if context else "stores"
    if isinstance(error, MISSING):
        said = _missing(error)
    elif extra := re.match(r"[Gg]ot unexpected extra arguments?(?:\(s\))? \((.*)\)$", said):
        said = f"too many words: {extra[1]!r}. What belongs together goes in quotes"
    elif option := re.match(r"Option '(.*)' requires an argument", said):
        said = f"{option[1]} is by itself: write its value behind it"
    if said[1:2].islower():
        said = said[:1].lower() + said[1:]
    one_line(f"{said}; see '{name} --help'")
    return typer.Exit(error.exit_code)


def _missing(error: Any) -> str:
    """Say what has to be typed as well, and show the command typed whole."""
    param, context = error.param, error.ctx
    if param is None or context is None:
        return str(error.format_message()).rstrip(".")
    name = param.metavar or param.name
    if param.param_type_name == "option":
        name = f"{param.opts[0]} {name}"
    what = (param.help or "").rstrip(". ")
    example = re.search(r"stores .+", context.command.epilog or "")
    said = f"{name} is missing" + (f": {what[:1].lower()}{what[1:]}" if what else "")
    return said + (f". For example: {example[0]}" if example else "")


def _unsound(where: str | None) -> str:
    """Return what is wrong with the record that a command fell over; empty where that was a bug."""
    from stores.storage import open_store

    if not where:
        return ""
    try:
        with open_store(where) as store:
            return str(store.unsound() or "")
    except StoresError as error:
        return str(error)


def one_line(text: str) -> None:
    """Say one line on stderr, without a password or what could steer a terminal, and not endlessly
    long."""
    words = safe_to_show(" ".join(without_passwords(plain(text)).split()))
    line = f"stores: {words if len(words) <= 600 else words[:599] + '…'}"
    if sys.stderr.isatty():
        line = textwrap.fill(
            line,
            max(40, shutil.get_terminal_size().columns - 1),
            break_long_words=False,
            break_on_hyphens=False,
        )
    typer.echo(line, err=True)


def _forget_output() -> None:
    """Let the interpreter's last flush fail in silence: the failure was said already."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def file_at(text: str) -> Path:
    """Read the name of a file.

    Raises:
        BadValue: no name that a file can have.
    """
    return path_of(text).absolute()


app = typer.Typer(
    name="stores",
    cls=OneLineErrors,
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 88},
    help="The stores for a restoration: strip, bag and label, find, rebuild, buy.",
    epilog="Every command has an example: stores COMMAND --help. "
    "The record is stores.db in this folder, or what --stores or $STORES names.",
)


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"stores {__version__}")
        raise typer.Exit


SHELLS = ("bash", "zsh", "fish", "powershell", "pwsh")


def _show_completion(shell: str | None) -> None:
    if not shell:
        return
    if shell not in SHELLS:
        raise typer.BadParameter(f"{shell!r} is no shell known here: one of {', '.join(SHELLS)}")
    from typer.completion import get_completion_script  # type: ignore[attr-defined]

    typer.echo(get_completion_script(prog_name="stores", complete_var=COMPLETE, shell=shell))
    raise typer.Exit


@app.callback()
def frame(
    ctx: typer.Context,
    stores: Annotated[
        str,
        typer.Option(
            metavar="FILE",
            envvar="STORES",
            help="Where the record is: a file, or a database address.",
        ),
    ] = DEFAULT_FILE,
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version."),
    ] = False,
    paper: Annotated[
        str,
        typer.Option(
            "--paper",
            metavar="SIZE",
            envvar="STORES_PAPER",
            help="What sheets are printed on: A4 or Letter.",
        ),
    ] = "",
    font: Annotated[
        str,
        typer.Option(
            "--font",
            metavar="FILE",
            envvar="STORES_FONT",
            help="A TrueType font for letters that the built-in one lacks.",
        ),
    ] = "",
    _completion: Annotated[
        str | None,
        typer.Option(
            "--completion",
            metavar="SHELL",
            callback=_show_completion,
            is_eager=True,
            help="Print what makes the Tab key complete commands: bash, zsh, fish or PowerShell.",
        ),
    ] = None,
) -> None:
    """Keep where the stores are, for the command, and in which units a person works there."""
    from stores.model.work_units import of_settings, working_in

    def choice() -> "WorkUnits":
        from stores.storage.quick import quick_settings

        return of_settings(quick_settings(stores))

    ctx.obj = stores
    if paper:
        from stores.printing.paper import printing_on

        ctx.with_resource(printing_on(paper))
    if font:
        from stores.printing.typeface import lettering_with

        ctx.with_resource(lettering_with(file_at(font)))
    if not ctx.meta[FOR_A_PROGRAM]:  # a program is given the record's own, whatever a person chose
        ctx.with_resource(working_in(choice))


MachineName = Annotated[
    str | None,
    typer.Option(
        "--machine",
        "-m",
        envvar="STORES_MACHINE",
        metavar="NAME",
        help="Which machine, or the beginning of its name; by default the last one worked on.",
    ),
]
Day = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        envvar="STORES_ON",
        help="The day it happened, as 3 Nov, friday or yesterday, when written up later.",
    ),
]
AsOf = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        envvar="STORES_ON",
        help="As of which day: 3 Nov, friday or yesterday; by default today.",
    ),
]
PictureFolder = Annotated[
    str,
    typer.Option(
        "--pictures",
        metavar="FOLDER",
        envvar="STORES_PICTURES",
        help="Where the pictures are kept; by default beside the stores.",
    ),
]
TemplateFolder = Annotated[
    str,
    typer.Option(
        "--templates",
        envvar="STORES_TEMPLATES",
        metavar="FOLDER",
        help="Your own label stock, layouts and survey lists; by default stores.templates "
        "beside stores.db.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, for another program.")]
Count = Annotated[
    str | None, typer.Option("--quantity", "-q", metavar="N", help="How many; by default all.")
]


Try = Annotated[
    bool,
    typer.Option("--try", help="Only show what would be recorded; nothing is written."),
]
NotTried = Annotated[
    bool, typer.Option("--try", hidden=True, help="Refused: nothing is recorded here.")
]
FILES = ("pdf", "card", "csv", "out")
"""The options of recording commands that name a file to write beside the record."""


def command(
    name: str,
    *examples: str,
    group: typer.Typer | None = None,
    takes_minus: bool = False,
    records: bool | None = None,
    kind: type[Plain] = Plain,
    former: str = "",
    line: str = "",
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Register a command with its examples, which its help shows.

    ``line`` is what the list of its group says of it; the others' lines are in the overview.

    What ``records`` can be tried with --try; left out, it is whatever asks for the day on which
    it happened. ``kind`` is the class of the command. ``former`` is a name of before, which still
    works and is listed nowhere.
    """
    lines = "\n".join(f"  {example}" for example in examples)
    settings: dict[str, Any] = {"help_option_names": ["-h", "--help"]}
    if takes_minus:
        settings["ignore_unknown_options"] = True
    epilog = f"\b\nExample:\n{lines}"
    register = (group or app).command(
        name,
        cls=kind,
        epilog=epilog,
        short_help=line if group else IN_A_LINE.get(name),
        context_settings=settings,
        no_args_is_help=False,
    )

    def registered(function: Callable[..., None]) -> Callable[..., None]:
        writes = "on" in function.__annotations__ if records is None else records
        tried = _with_try(function, records=writes)
        register(tried)
        if former:
            (group or app).command(
                former, cls=kind, epilog=epilog, hidden=True, context_settings=settings
            )(tried)
        return function

    return registered


def _with_try(function: Callable[..., None], *, records: bool) -> Callable[..., None]:
    """Give a command the option --try; one that records nothing refuses it."""
    kind: Any = Try if records else NotTried
    option = inspect.Parameter(
        "tried", inspect.Parameter.KEYWORD_ONLY, default=False, annotation=kind
    )

    @functools.wraps(function)
    def run(*, tried: bool, **values: Any) -> None:
        if not tried:
            _refuse_unwritable(values)
            function(**values)
            return
        if not records:
            raise BadValue(
                "this records nothing in the stores, so there is nothing to try: leave --try out"
            )
        for name in FILES:
            if values.get(name):
                raise BadValue(
                    f"--{name} writes a file, and --try writes nothing: leave one of them out"
                )
        from stores.usecases.context import all_trials

        with all_trials():
            function(**values)
        if not values.get("json"):
            typer.echo("Tried only: nothing was recorded.")

    signature = inspect.signature(function)
    changed: Any = run
    changed.__signature__ = signature.replace(parameters=[*signature.parameters.values(), option])
    run.__annotations__ = function.__annotations__ | {option.name: kind}
    return run


def _refuse_unwritable(values: dict[str, Any]) -> None:
    """Look at the files that are to be written, before anything is recorded."""
    for name in FILES:
        if values.get(name):
            from stores.printing.files import refuse_unwritable

            refuse_unwritable(file_at(values[name]))


def opened(ctx: typer.Context, *, create: bool = False) -> "Store":
    """Open the stores that the person named."""
    from stores.storage import open_store

    store = open_store(ctx.obj, create=create)
    store.told_to_wait = functools.partial(_say_waiting, store)
    return store


def _say_waiting(store: "Store") -> None:
    from stores.wording.keeping import waiting

    one_line(waiting(store.short_name))


@contextlib.contextmanager
def asked(
    ctx: typer.Context, machine: str | None = None, on: str | None = None, *, create: bool = False
) -> "Iterator[Context]":
    """Open the stores that the person named and give what a use-case stands on."""
    from stores.storage.opening import tried_store
    from stores.usecases.context import Context, is_trial

    begins = create and is_trial()
    with tried_store(ctx.obj) if begins else opened(ctx, create=create) as store:
        yield Context(store, machine, on or "")


def at_a_terminal() -> bool:
    """Tell whether a person sits there who can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def day(text: str | None) -> str | None:
    """Read a day.

    Raises:
        BadValue: no such day, or one in the future.
    """
    if text is None:
        return None
    return read_day(text).isoformat()


def refuse_options(texts: Sequence[str]) -> None:
    """Refuse what was meant as an option but is none; ``-3 M6`` is left to the notation."""
    for text in texts:
        if re.match(r"^--?[A-Za-z]", text):
            raise typer.BadParameter(f"no such option: {text.split()[0]}")


@functools.cache
def program() -> Any:
    """Build the command line, once: Typer would build it anew for each command in a process."""
    from typer.main import get_command

    return get_command(app)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line."""
    if sys.stdout is None:  # it was closed: nobody wants to see anything
        sys.stdout = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w")
    if sys.stderr is None:
        sys.stderr = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    typed = list(sys.argv[1:] if arguments is None else arguments)
    for word in typed:
        if re.search("[\ud800-\udfff]", word):  # bytes of a file's name that are no text
            one_line(f"{word[:60]!r} has a character that is no text: give the file another name")
            sys.exit(1)
        if figures := re.search(r"\d{301,}", word):
            one_line(f"a number of {len(figures[0]):,} figures is more than can be reckoned with")
            sys.exit(1)
    if COMPLETE in os.environ:
        from typer.completion import completion_init  # type: ignore[attr-defined]

        completion_init()
    program()(_counts_kept(typed), prog_name="stores")


def _counts_kept(typed: Sequence[str]) -> list[str]:
    """Let a negative count through to the notation, which refuses it in plain words: the option
    parser would puzzle over it. What follows an option is its value and stays as it is."""
    return [
        re.sub(r"^-(?=\d)", "−", word) if not (at and typed[at - 1].startswith("-")) else word
        for at, word in enumerate(typed)
    ]
