"""The survey before the strip-down: of which kind a machine is, and what to look at on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from stores import resources
from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.ledger import ActKind
from stores.model.snags import Snag
from stores.planning.survey import SurveyList, answered, read_list
from stores.storage.figures import read_readings
from stores.storage.machines import machine_named
from stores.storage.settings import SettingRow, read_settings
from stores.storage.snags import read_snags
from stores.text import fold, join
from stores.usecases.context import Ask, Context
from stores.usecases.templates import template_folder

__all__ = ["AskSurvey", "Survey", "kind_row", "kinds_known", "kinds_named", "survey"]

KIND = "kind"
"""The setting that holds the kinds of a machine: the names of their lists, parted by commas."""


@dataclass(frozen=True, slots=True)
class AskSurvey(Ask):
    """What to look at before a machine is taken apart.

    ``kinds`` are the kinds of machine that it is, each a list's name or another word for it, or
    several with commas between; they are remembered. Without any, those remembered hold.
    ``templates`` names the folder of a person's own lists, empty for that beside the stores.
    """

    kinds: Sequence[str] = ()
    templates: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What to look at before a machine is taken apart, a list for each kind of machine that it is;
    which measurements are taken; its snags.

    ``act`` recorded the kinds, None where nothing new was said; ``before`` are those it had.
    """

    act: int | None
    trial: bool
    machine: str
    kinds: tuple[str, ...]
    before: tuple[str, ...]
    readings: dict[str, bool]
    snags: tuple[Snag, ...]
    lists: tuple[SurveyList, ...]

    @property
    def open(self) -> int:
        """How many of its snags are open."""
        return sum(snag.open for snag in self.snags)


def survey(context: Context, ask: AskSurvey) -> Survey:
    """Return what to look at before a machine is taken apart, and what is on record of it.

    The kinds that are named, if other than those on record, are recorded.

    Raises:
        Refused: no kind named, and none on record.
        NotFound: no such machine or kind.
        BadValue: a word that fits several kinds, or a list that cannot be read.
    """
    own = template_folder(context.store.name, ask.templates)
    named = kinds_named(ask.kinds, own)
    act = None
    if named:
        with context.writing(ask) as writer:
            machine = machine_named(writer.connection, context.machine)
            before = _kinds_on_record(writer.connection, machine.number)
            if named != before:
                words = f"{machine.name}: kind {join(named)}"
                act = writer.begin(ActKind.SETTING, words, at=context.at)
                writer.append(kind_row(act, machine.number, named))
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        if not named:
            named = before = _kinds_on_record(connection, machine.number)
        if not named:
            raise Refused(
                "which kind of machine",
                machine=machine.name,
                kinds=_known(own),
                hint=Hint("survey"),
            )
        lists = tuple(_list(kind, own) for kind in named)
        listed = read_snags(connection, machine.number)
        subjects = {each.subject for each in read_readings(connection, machine.number)}
    return Survey(
        act=act,
        trial=ask.trial,
        machine=machine.name,
        kinds=named,
        before=before,
        readings=answered(lists, subjects),
        snags=tuple(listed),
        lists=lists,
    )


def kinds_named(typed: Sequence[str], own: Path | None) -> tuple[str, ...]:
    """Return the kinds of machine that were typed, each once, by the names of their lists; ``own``
    is the folder of a person's own lists.

    Raises:
        NotFound: no such kind.
        BadValue: a word that fits several, or the list of that kind cannot be read.
    """
    words = [word for each in typed for word in each.split(",")]
    if typed and not any(word.strip() for word in words):
        raise NotFound("no such kind of machine", typed="", kinds=_known(own))
    named = [_named(word, own) for word in words if word.strip()]
    for kind in named:
        _list(kind, own)
    return tuple(dict.fromkeys(named))


def kind_row(act: int, machine: int, kinds: Sequence[str]) -> SettingRow:
    """Return the row that records of which kinds a machine is."""
    return SettingRow(act_id=act, machine_id=machine, name=KIND, value=",".join(kinds))


def _kinds_on_record(connection: Connection, machine: int) -> tuple[str, ...]:
    value = read_settings(connection, machine).get(KIND, "")
    return tuple(value.split(",")) if value else ()


def _files(own: Path | None) -> dict[str, Path]:
    """Return the lists by their name; one with a comma in its name could not be named."""
    found = resources.templates("surveys", ".txt", own)
    return {kind: path for kind, path in found.items() if "," not in kind}


def kinds_known(stores: str, templates: str = "") -> tuple[str, ...]:
    """Return the kinds of machine that there are lists for; ``templates`` as `AskSurvey` has it."""
    return _known(template_folder(stores, templates))


def _known(own: Path | None) -> tuple[str, ...]:
    """Return the kinds whose lists can be read."""
    return tuple(sorted(kind for kind in _files(own) if _readable(kind, own)))


def _named(typed: str, own: Path | None) -> str:
    """Return the kind that a word names: its list's name, another word for it, or the clear
    beginning of either."""
    word = _plain(typed.strip().removesuffix(".txt"))
    names = {kind: {_plain(kind)} for kind in _files(own)}
    exact = [kind for kind, known in names.items() if word in known]
    if exact:
        return exact[0]
    for kind, known in names.items():
        there = _readable(kind, own)
        if there:
            known |= {_plain(there.title), *map(_plain, there.also)}
    fits = [kind for kind, known in names.items() if word in known] or [
        kind
        for kind, known in names.items()
        if len(word) > 1 and any(each.startswith(word) for each in known)
    ]
    if len(fits) > 1:
        raise BadValue("several kinds of machine", typed=typed.strip()[:40], kinds=tuple(fits))
    if not fits:
        raise NotFound("no such kind of machine", typed=typed.strip()[:40], kinds=_known(own))
    return fits[0]


def _plain(word: str) -> str:
    """Return a word as kinds are compared: spaces, dashes and underscores are the same."""
    return fold(word.replace("-", " ").replace("_", " "))


def _readable(kind: str, own: Path | None) -> SurveyList | None:
    """Return a list, None where it cannot be read: it is in the way of no other one."""
    try:
        return _list(kind, own)
    except BadValue:
        return None


def _list(kind: str, own: Path | None) -> SurveyList:
    path = _files(own).get(kind)
    if path is None:
        raise NotFound("no survey list", kind=kind, kinds=_known(own))
    try:
        data = path.read_bytes()
        text = data.decode("utf-8-sig")
    except OSError as error:
        raise BadValue("survey list unread", file=path, reason=error.strerror or error) from None
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadValue("survey list not UTF-8", file=path, line=line) from None
    return read_list(text, kind, str(path))
