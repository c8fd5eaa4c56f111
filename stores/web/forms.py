"""A use-case as a form, and as a question: its fields, how they are read, what is shown.

`Deed` records something: its form is sent once, by whatever key it carries, and the page that
follows says what was recorded, with a way to undo it. `Inquiry` asks, and its answer stands under
the form. Both name their use-case and its words as ``module:name``, loaded when they are called
for; what a field is comes from the ask's own type.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from functools import cache, cached_property
from importlib import import_module
from math import isfinite, nan
from pathlib import Path
from typing import Any, Literal, get_args, get_type_hints

from starlette.responses import Response

from stores.errors import BadValue, Repeated, StoresError
from stores.usecases.context import Context
from stores.web.uploads import TAKING, by_name
from stores.web.visit import Link, Told, Visit, lines_of, path_to
from stores.wording import Lines, Listing, Said

__all__ = [
    "DAY",
    "NO",
    "YES",
    "Deed",
    "Field",
    "Inquiry",
    "Words",
    "emptied",
    "form_of",
    "perform",
    "question_of",
    "whole",
]

Widget = Literal[
    "text",
    "long",
    "lines",
    "number",
    "code",
    "tick",
    "ticks",
    "choice",
    "file",
    "hidden",
    "pictures",
]
Words = Said | Lines | Listing | list[Said | Lines | Listing]
Choices = Sequence[str] | Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form, named as in the ask.

    ``option`` is what the command line calls it, so that a reply that names the option points at
    this field. ``choices`` are what to pick from, each with the words that are shown of it if
    those are others; of ``ticks`` several can be picked. A field that is ``more`` stands under
    "More". Of ``pictures`` at most ``most`` are taken in one go.
    """

    name: str
    label: str
    widget: Widget = "text"
    hint: str = ""
    choices: Choices | Callable[[Visit], Choices] = ()
    option: str = ""
    more: bool = False
    value: str = ""
    most: int = 10

    def choices_for(self, visit: Visit) -> Mapping[str, str]:
        """Return what to pick from, each with the words that are shown of it."""
        choices = self.choices(visit) if callable(self.choices) else self.choices
        if isinstance(choices, Mapping):
            return choices
        return {choice: choice or "–" for choice in choices}


DAY = Field(
    "day", "Day it happened", hint="As yesterday, 3 Nov; empty: now", option="--on", more=True
)
"""The day of an act: a field of every deed, but of those that ask for none."""

EMPTIED = "emptied"


def emptied(**names: str) -> Field:
    """Return the field that says what is taken out altogether, of the ask's fields by their words.

    On a form a field that is left empty stays as it is on record.
    """
    return Field(EMPTIED, "Take out altogether", "ticks", choices=names, more=True)


class _Form:
    """What a deed and an inquiry have alike.

    ``line`` says in "All jobs" what it is for, where the title does not.
    """

    at = ""

    def __init__(
        self,
        name: str,
        title: str,
        button: str,
        usecase: str,
        ask: str,
        words: str | Callable[[Any], Words],
        *form: Field,
        intro: str = "",
        line: str = "",
        make: Callable[[Visit], Any] | None = None,
        fixed: Mapping[str, Any] | Callable[[Visit], Mapping[str, Any]] | None = None,
    ) -> None:
        self.name, self.title, self.button = name, title, button
        self.fields, self.intro, self.line = form, intro, line
        self._usecase, self._ask, self._words = usecase, ask, words
        self._make, self._fixed = make, fixed or {}

    @property
    def address(self) -> str:
        """Where its form is."""
        return f"/{self.at}/{self.name}"

    @cached_property
    def function(self) -> Callable[..., Any]:
        """The use-case."""
        function: Callable[..., Any] = _loaded("usecases", self._usecase)
        return function

    @cached_property
    def ask(self) -> Any:
        """The class of what is asked, None for a use-case that asks nothing."""
        return _loaded("usecases", self._ask) if self._ask else None

    def words(self, reply: Any) -> Words:
        """Return a reply in words."""
        said = self._words if callable(self._words) else _loaded("wording", self._words)
        shown: Words = said(reply)
        return shown

    def read(self, visit: Visit) -> Any:
        """Return what is asked, of what was typed.

        Raises:
            BadValue: a whole number that is none.
        """
        if self._make is not None:
            return self._make(visit)
        hints = _hints(self.ask)
        values = dict(self._fixed(visit) if callable(self._fixed) else self._fixed)
        for each in self.fields:
            if each.name in hints:
                value = _read(visit, each, hints[each.name])
                if value is not None or each.name in _required(self.ask):
                    values[each.name] = _empty(each, hints[each.name]) if value is None else value
        values |= dict.fromkeys(set(visit.words(EMPTIED)) & hints.keys(), "")
        return self.ask(**values)

    def typed(self, visit: Visit) -> dict[str, str]:
        """Return what stands in each field: as it was sent, else as the address has it."""
        return {
            each.name: "\n".join(visit.words(each.name))
            if each.widget == "ticks"
            else visit.word(each.name, "" if visit.has("key") else each.value)
            for each in self.fields
        }

    def field_of(self, option: str) -> Field | None:
        """Return the field that the command line has as this option."""
        return next((each for each in self.fields if each.option == option), None)

    @property
    def takes_pictures(self) -> bool:
        """Whether files can be sent with it."""
        return any(each.widget == "pictures" for each in self.fields)


class Deed(_Form):
    """Something that is recorded.

    ``next`` gives where to go after it, of its reply; ``code`` the bag's code to write large;
    ``kept`` what stands in its fields where a page sent it in other ones. One that is not ``dated``
    is of no day.
    Pictures that are sent with it and are none of its ask's own are taken in after it, under what
    ``shows`` gives of its reply. Where its key shows that it is an act already, because the reply
    to it was lost, that may have been before its pictures were taken in: ``shows_again`` gives
    what they are filed under, of the act.
    """

    at = "do"

    def __init__(
        self,
        *words: Any,
        next: Callable[[Any], Sequence[Link]] | None = None,
        code: Callable[[Any], str] | None = None,
        kept: Callable[[Visit], Mapping[str, str]] | None = None,
        dated: bool = True,
        shows: Callable[[Any], str] | None = None,
        shows_again: Callable[[Context, int], str] | None = None,
        **settings: Any,
    ) -> None:
        super().__init__(*words, *((DAY,) if dated else ()), **settings)
        self._next, self._code, self._kept = next, code, kept
        self._shows, self._shows_again = shows, shows_again

    def typed(self, visit: Visit) -> dict[str, str]:
        """Return what stands in each field; what a page sent in fields of its own is kept too."""
        return super().typed(visit) | (dict(self._kept(visit)) if self._kept else {})

    def read(self, visit: Visit, *, trial: bool = False) -> Any:
        """Return what is to be recorded, as a trial if the form says so, with the form's key."""
        tried = trial or visit.word("trial") == "1"
        return replace(super().read(visit), trial=tried, key="" if tried else visit.word("key"))

    def told(self, reply: Any) -> Told:
        """Return what is said of a reply on the page that follows."""
        return Told(
            words=self.words(reply),
            act=reply.act or 0,
            links=tuple(self._next(reply)) if self._next else (),
            code=self._code(reply) if self._code else "",
        )

    def pictures(self, visit: Visit) -> tuple[Path, ...]:
        """Return the pictures that were sent with it and are taken in after it.

        Raises:
            BadValue: too many.
        """
        if self._shows is None:
            return ()
        return tuple(
            path
            for each in self.fields
            if each.widget == "pictures"
            for path in visit.pictures(each.name, each.most)
        )

    @property
    def is_of_pictures(self) -> bool:
        """Whether taking pictures in is itself what is recorded."""
        return self.takes_pictures and self._shows is None

    def shown(self, reply: Any) -> str:
        """Return what pictures sent with it show, of its reply."""
        return self._shows(reply) if self._shows else ""

    def shown_again(self, context: Context, act: int) -> str:
        """Return what pictures sent with it show, of the act; empty where that cannot be said."""
        return self._shows_again(context, act) if self._shows_again else ""


class Inquiry(_Form):
    """Something that is asked; nothing is written. ``at_once`` it answers without a field filled.

    ``paper`` is the address of the same as PDF, if there is one. ``call`` asks a use-case that does
    not take one ask, but plain values, or no record. Of a ``calculator`` the figures are shown
    large, and what can hurt right under them.
    """

    at = "ask"

    def __init__(
        self,
        *words: Any,
        at_once: bool = True,
        paper: str = "",
        call: Callable[[Visit, Callable[..., Any]], Any] | None = None,
        calculator: bool = False,
        **settings: Any,
    ) -> None:
        super().__init__(*words, **settings)
        self.at_once, self.paper, self._call = at_once, paper, call
        self.calculator = calculator

    def reply(self, visit: Visit) -> Any:
        """Return the use-case's reply to what was typed."""
        if self._call is not None:
            return self._call(visit, self.function)
        if self.calculator:
            return self.function(self.read(visit))
        if self.ask is None:
            return self.function(visit.context())
        return self.function(visit.context(), self.read(visit))


def form_of(visit: Visit, deed: Deed, status: int = 200, **values: Any) -> Response:
    """Return a deed's form, with what was typed kept."""
    files = [each.name for each in deed.fields if each.widget == "file"]
    return visit.page(
        "deed.html",
        status,
        kept=visit.kept_file(files[0]) if files else None,
        **(
            {"deed": deed, "typed": deed.typed(visit), "shown": None, "back": visit.word("back")}
            | values
        ),
    )


def perform(visit: Visit, deed: Deed) -> Response:
    """Record what a form says, or show its form again with what is the matter."""
    key = visit.word("key")
    pictures: tuple[Path, ...] = ()
    try:
        pictures = deed.pictures(visit)
        ask = deed.read(visit)
        with TAKING if deed.is_of_pictures else nullcontext():
            reply = deed.function(visit.context(), ask)
    except Repeated as error:
        shows = deed.shown_again(visit.context(), error.act) if pictures else ""
        also = _taken(visit, pictures, shows) if shows else None
        visit.house.holding.done(visit.word("held"))
        return form_of(visit, deed, 409, repeated=error, also=also)
    except StoresError as error:
        return form_of(visit, deed, 422, error=error)
    if ask.trial:
        return form_of(visit, deed, shown=deed.words(reply), key=key)
    if visit.house.ahead is not None:
        visit.house.ahead.after_an_act(visit.machine)
    told = deed.told(reply)
    if told.code:
        visit.looking_at(f"bag {told.code}", path_to(f"/bag/{told.code}"))
    if pictures:
        told = replace(told, also=_taken(visit, pictures, deed.shown(reply)))
    visit.house.holding.done(visit.word("held"))
    visit.house.kept.done(visit.kept_as)
    return visit.to(back_to(visit) or "/told", told, key)


def _taken(visit: Visit, pictures: Sequence[Path], shows: str) -> Said:
    """Take the pictures of what was just recorded into the record, and say what became of them.

    What was recorded stays as it is, whatever is wrong with its pictures.
    """
    from stores.usecases.pictures import TakePictures, take_pictures
    from stores.wording.pictures import taken, taken_before, without_pictures
    from stores.wording.refusals import line_of

    key = visit.word("key")
    ask = TakePictures(
        pictures, shows, folder=visit.house.pictures, key=f"{key} pictures" if key else ""
    )
    try:
        with TAKING:
            reply = take_pictures(visit.context(), ask)
    except Repeated:
        return taken_before()
    except StoresError as error:
        return without_pictures(line_of(error))
    return taken(by_name(reply))


def back_to(visit: Visit) -> str:
    """Return the page of ours that a form wants to go on to, empty if it names none."""
    back = visit.word("back")
    return back if back.startswith("/") and not back.startswith(("//", "/\\")) else ""


def question_of(visit: Visit, inquiry: Inquiry) -> Response:
    """Return an inquiry's form, with its answer under it where it can be given."""
    typed = inquiry.typed(visit)
    asked = any(visit.word(name).strip() for name in typed)
    if not (inquiry.at_once or asked):
        return visit.page("inquiry.html", inquiry=inquiry, typed=typed, answer=None)
    try:
        reply = inquiry.reply(visit)
    except StoresError as error:
        status = 422 if asked else 200  # a page that cannot answer yet is no fault of who opens it
        return visit.page(
            "inquiry.html", status, inquiry=inquiry, typed=typed, answer=None, error=error
        )
    return visit.page("inquiry.html", inquiry=inquiry, typed=typed, answer=inquiry.words(reply))


def _loaded(room: str, home: str) -> Any:
    module, _, name = home.partition(":")
    return getattr(import_module(f"stores.{room}.{module}"), name)


@cache
def _hints(ask: Any) -> dict[str, Any]:
    return get_type_hints(ask)


@cache
def _required(ask: Any) -> frozenset[str]:
    if not is_dataclass(ask):  # a named tuple
        return frozenset(ask._fields) - frozenset(ask._field_defaults)
    return frozenset(
        each.name
        for each in fields(ask)
        if each.default is MISSING and each.default_factory is MISSING
    )


def _read(visit: Visit, each: Field, hint: Any) -> Any:
    """Return a field's value as the ask wants it, None where nothing was typed."""
    kinds = _kinds(hint)
    if bool in kinds and each.widget != "choice":
        return visit.word(each.name) not in ("", "0")
    if each.widget in ("lines", "pictures") or _many(hint):
        return _several(visit, each, kinds) or None
    text = visit.word(each.name).strip()
    if not text:
        return None
    return text == YES if bool in kinds else _one(kinds)(text)


def _several(visit: Visit, each: Field, kinds: frozenset[Any]) -> tuple[Any, ...]:
    """Return what was typed into a field of several: a line each, numbers apart by spaces too."""
    if each.widget == "pictures":
        sent = visit.pictures(each.name, each.most)
        if not sent:
            raise BadValue("no picture sent")
        return tuple(sent)
    lines = [line for text in visit.words(each.name) for line in lines_of(text)]
    read = _one(kinds)
    if read is str:
        return tuple(lines)
    between = "," if read is _whole else " "
    return tuple(read(word) for line in lines for word in line.replace(between, " ").split())


def _one(kinds: frozenset[Any]) -> Callable[[str], Any]:
    """Return what reads one value of such a kind."""
    if str in kinds:
        return str
    return _whole if int in kinds else _number if float in kinds else str


YES, NO = "yes", "no"
"""What a choice between two sends, where nothing said is a third."""


def _whole(text: str) -> int:
    if not text.isdecimal():
        raise BadValue("not a whole number", typed=text[:40])
    return int(text)


def whole(visit: Visit, name: str) -> int:
    """Return the whole number that was typed into a field.

    Raises:
        BadValue: there is none.
    """
    return _whole(visit.word(name).strip())


def _number(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = nan
    if not isfinite(number):
        raise BadValue(f"not a number: {text[:40]!r}")
    return number


def _empty(each: Field, hint: Any) -> Any:
    """Return what a field stands for that has to be filled in and was not.

    Raises:
        BadValue: a number is missing.
    """
    if _many(hint):
        return ()
    kinds = _kinds(hint)
    if int in kinds and str not in kinds:
        raise BadValue("no number typed", field=each.label)
    return ""


def _kinds(hint: Any) -> frozenset[Any]:
    inside = [kind for each in get_args(hint) for kind in (each, *get_args(each))]
    return frozenset((hint, *inside))


def _many(hint: Any) -> bool:
    from collections.abc import Sequence as Several
    from typing import get_origin

    return any(
        get_origin(each) in (tuple, list, Several, frozenset) for each in (hint, *get_args(hint))
    )
