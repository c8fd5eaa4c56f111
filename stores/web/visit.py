"""One request: what was typed, which machine is worked on, and how a page is made of it."""

import re
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, unquote, urlencode

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from stores.errors import BadValue, NotFound, StoresError
from stores.handbook.identify.model import percent
from stores.model.record import Machine
from stores.model.work_units import WorkUnits, working_in
from stores.storage import Store
from stores.usecases.context import Context
from stores.usecases.work_units import units_chosen
from stores.web.follow import Follow
from stores.web.guard import Rules, device_of, static_version
from stores.web.spoken import on_form, spoken
from stores.web.uploads import KEPT_FOR, MOST_KEPT, Held, Holding, put_down
from stores.wording import Line, Lines, Listing, Said
from stores.wording.status import flag

__all__ = ["House", "Link", "Told", "Visit", "path_to"]

if TYPE_CHECKING:
    from stores.planning.status import Blocker
    from stores.web.ahead import Ahead

HERE = Path(__file__).parent
TOLD_AT_MOST = 300
MACHINE_COOKIE = "machine"


@dataclass(frozen=True, slots=True)
class Link:
    """Where to go next: words on a button, and the address."""

    words: str
    to: str
    large: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of an act on the page that follows it.

    ``code`` is a bag's that is to be written or stuck on now, shown in huge letters; ``also`` is
    what became of the pictures that were sent with it.
    """

    words: Said | Lines | Listing | list[Said | Lines | Listing]
    act: int = 0
    links: tuple[Link, ...] = ()
    code: str = ""
    also: Said | None = None


class Replies:
    """The newest replies, by the key of what was sent: the page after a form shows its own.

    They are for showing only. After a restart the history says what was recorded.
    """

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Told] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, key: str, told: Told) -> None:
        """Keep a reply, and let the oldest go."""
        with self._lock:
            self._kept[key] = told
            while len(self._kept) > TOLD_AT_MOST:
                self._kept.popitem(last=False)

    def of(self, key: str) -> Told | None:
        """Return the reply to what was sent with this key, None if it is not known any more."""
        with self._lock:
            return self._kept.get(key)


def path_to(path: str, **query: str | int) -> str:
    """Return an address within these pages; empty words are left out."""
    words = {name: value for name, value in query.items() if value != ""}
    return quote(path) + (f"?{urlencode(words)}" if words else "")


@dataclass
class House:
    """What all pages stand on: the record, its folders, and how pages look.

    ``pictures`` and ``templates`` are as the command line takes them, empty for beside the record.
    ``rules`` say who may ask; by themselves, whoever calls this computer by its own names.
    """

    store: Store
    where: str
    pictures: str = ""
    templates: str = ""
    rules: Rules = field(default_factory=Rules)
    replies: Replies = field(default_factory=Replies)
    holding: Holding = field(default_factory=Holding)
    kept: Holding = field(default_factory=lambda: Holding(MOST_KEPT, KEPT_FOR))
    follow: Follow = field(default_factory=Follow)
    ahead: "Ahead | None" = None
    pages: Environment = field(init=False)

    def __post_init__(self) -> None:
        self.pages = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.pages.filters["spoken"] = spoken
        self.pages.filters["sources"] = _sources
        self.pages.filters["flag"] = flag
        self.pages.filters["inlined"] = _inlined
        self.pages.filters["figure"] = _figure
        self.pages.filters["besides"] = _besides
        self.pages.filters["percent"] = percent
        self.pages.filters["said"] = _said
        self.pages.tests["listing"] = lambda words: isinstance(words, Listing)
        self.pages.tests["several"] = lambda words: isinstance(words, list)
        self.pages.tests["lines"] = lambda words: isinstance(words, Lines)
        self.pages.globals.update(path_to=path_to, version=static_version())

    def units(self) -> WorkUnits:
        """Return the units in which this record's torques and volumes are shown."""
        now = units_chosen(Context(self.store))
        return WorkUnits(now.torque, now.volume)


class Visit:
    """One request."""

    def __init__(self, house: House, request: Request, form: FormData | None = None) -> None:
        self.house = house
        self.request = request
        self.form = form
        self._folder: TemporaryDirectory[str] | None = None
        self._pictures: dict[str, tuple[Path, ...]] = {}
        self.kept_as = ""

    def __enter__(self) -> "Visit":
        return self

    def __exit__(self, *_: object) -> None:
        if self._folder is not None:
            self._folder.cleanup()

    def word(self, name: str, otherwise: str = "") -> str:
        """Return what was typed into a field, or stands in the address."""
        sent: Mapping[str, Any] = self.request.query_params if self.form is None else self.form
        value = sent.get(name, otherwise)
        return value if isinstance(value, str) else otherwise

    def words(self, name: str) -> list[str]:
        """Return what was typed into all fields of a name, the empty ones left out."""
        sent: Any = self.request.query_params if self.form is None else self.form
        return [value for value in sent.getlist(name) if isinstance(value, str) and value.strip()]

    def has(self, name: str) -> bool:
        """Tell whether a field was sent at all."""
        return name in (self.request.query_params if self.form is None else self.form)

    def files(self, name: str) -> list[UploadFile]:
        """Return the files that were sent with a field."""
        if self.form is None:
            return []
        return [
            each for each in self.form.getlist(name) if isinstance(each, UploadFile) and each.size
        ]

    def kept_file(self, name: str) -> Held | None:
        """Return the file that was sent with a field, else the one that came with this form before;
        None where there is none. A form that is shown again names it by ``kept_as``."""
        sent, before = self.files(name), self.word("kept_as")
        if sent and not self.kept_as:
            self.house.kept.done(before)
            self.kept_as = new_key()
            held = self.house.kept.begun(self.kept_as)
            held.add(sent[:1])
            held.called = re.split(r"[/\\]", sent[0].filename or "")[-1] or "list"
        self.kept_as = self.kept_as or before
        return self.house.kept.held(self.kept_as)

    def pictures(self, name: str, most: int) -> tuple[Path, ...]:
        """Return the pictures sent with a field as files of ours, there until the visit ends.

        With them come those that were sent before and are held under the form's ``held``.

        Raises:
            BadValue: more than ``most`` in one go.
        """
        if name not in self._pictures:
            sent = self.files(name)
            if len(sent) > most:
                raise BadValue("too many pictures", most=most)
            if sent and self._folder is None:
                self._folder = TemporaryDirectory(prefix="stores-", ignore_cleanup_errors=True)
            here = put_down(sent, Path(self._folder.name)) if sent and self._folder else ()
            self._pictures[name] = (*self.house.holding.files(self.word("held")), *here)
        return self._pictures[name]

    def part(self, name: str) -> str:
        """Return a part of the address, as the code in ``/bag/A001N``."""
        return str(self.request.path_params[name])

    @property
    def machine(self) -> str | None:
        """The machine that this is about: the form's, else the one chosen on this device.

        A page falls back to the one last worked on where that one is gone; a form does not, for it
        was filled in for another.
        """
        named = self.word("machine")
        if named or (self.form is None and self.gone):
            return named or None
        return self._chosen_here or None

    @property
    def _chosen_here(self) -> str:
        return unquote(self.request.cookies.get(MACHINE_COOKIE, ""))

    @cached_property
    def gone(self) -> str:
        """The machine chosen on this device, if there is none of that name any more."""
        from stores.usecases.machines import machine_worked_on

        if not self._chosen_here:
            return ""
        try:
            machine_worked_on(Context(self.house.store, self._chosen_here))
        except StoresError:
            return self._chosen_here
        return ""

    def context(self) -> Context:
        """Return what a use-case stands on."""
        return Context(self.house.store, self.machine, self.word("day"))

    def looking_at(self, what: str, to: str) -> None:
        """Say what this device has before it, in words and its page: the desk follows."""
        device = device_of(self.request)
        self.house.follow.see(what, to, device.name if device else "")

    def told(self) -> Told | None:
        """Return the reply that this page follows, if one is still known."""
        key = self.request.query_params.get("told", "")
        return self.house.replies.of(key) if key else None

    def the_machine(self) -> Machine | None:
        """Return the machine that pages of this device are about, None before there is one."""
        from stores.usecases.machines import machine_worked_on

        try:
            return machine_worked_on(self.context())
        except StoresError:
            return None

    def page(self, template: str, status: int = 200, **values: Any) -> Response:
        """Return a page."""
        names: dict[str, Any] = {
            "visit": self,
            "told": self.told(),
            "key": new_key(),
            "error": None,
            "back": "",
        }
        if "machine" not in values:
            names["machine"] = self.the_machine()
        with on_form(values.get("deed") or values.get("inquiry")):
            text = self.house.pages.get_template(template).render(names | values)
        return HTMLResponse(text, status)

    def refusal(self, error: StoresError) -> Markup:
        """Return what was refused, in words."""
        from stores.wording.refusals import line_of

        return spoken(line_of(error))

    def to(self, path: str, told: Told | None = None, key: str = "") -> Response:
        """Send the browser on to a page of ours, which shows what is told first."""
        if told is not None:
            key = key or new_key()
            self.house.replies.keep(key, told)
            path += ("&" if "?" in path else "?") + urlencode({"told": key})
        if "stores-send" in self.request.headers:  # sent by our script, which goes on by itself
            return JSONResponse({"to": path})
        return RedirectResponse(path, 303)


def new_key() -> str:
    """Return a key that marks one ask, so that it is recorded once however often it is sent."""
    return secrets.token_urlsafe(16)


def _sources(keys: Sequence[str]) -> list[str]:
    from stores.wording.reckoning import source_lines

    return [line.text for line in source_lines(keys, full=True)]


def _figure(lines: Sequence[Line]) -> Line | None:
    """Return the line of an answer that has the figure: the first of words, no row of a table."""
    return next((each for each in lines if not each.first and each.text[:1].strip()), None)


def _said(blocker: "Blocker") -> str:
    """Say what a step waits for; loaded for the pages that show one."""
    from stores.wording.status import said

    return said(blocker)


def _besides(lines: Sequence[Line], figure: Line | None) -> list[Line]:
    """Return what else an answer says: neither its figure nor what can hurt."""
    return [each for each in lines if each is not figure and each.first != "! "]


def _inlined(own: str) -> Markup:
    """Give a style or script of our own, as it stands within a page that is saved as one file."""
    if "</" in own.lower():
        raise AssertionError("what is inlined may not end its element")
    return Markup(own)


Handler = Callable[[Visit], Response]


def answered(house: House, handler: Handler, request: Request, form: FormData | None) -> Response:
    """Answer a request in the units that the person works in."""
    with Visit(house, request, form) as visit, working_in(house.units):
        try:
            return handler(visit)
        except StoresError as error:
            return visit.page(
                "refused.html", 404 if isinstance(error, NotFound) else 422, error=error
            )


def lines_of(text: str) -> Sequence[str]:
    """Return the lines of a text field, the empty ones left out."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())
