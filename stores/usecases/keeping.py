"""Keeping the record: a second copy of all, its plain text, and a stores made anew from that."""

import shutil
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from stores.errors import BadValue, NotFound, Refused, StorageError
from stores.leftovers import clear_left_over, unfinished
from stores.planning.audit import Fault
from stores.planning.closing import KnownCopies
from stores.storage import Store, address_of, open_store
from stores.storage.copies import known_copies, newest_copied, note_copy
from stores.storage.machines import read_machines
from stores.storage.opening import HEAD, pictures_beside, remove, rename
from stores.storage.pictures import kept_files
from stores.storage.plain import count_rows, lines_of, replay_into
from stores.text import path_of, shown_address
from stores.usecases.context import Context
from stores.usecases.history import record_faults
from stores.usecases.pictures import fault_of, picture_folder
from stores.usecases.templates import TEMPLATES, template_folder

__all__ = [
    "Copied",
    "Copy",
    "NotInText",
    "Reload",
    "Reloaded",
    "copies",
    "copy",
    "export",
    "not_in_text",
    "reload",
]


Progress = Callable[[str, int, int], None]
"""Told what is being done (``copy``), and how many of how many are done."""


@dataclass(frozen=True, slots=True)
class Copy:
    """A second copy of all there is, at a path where nothing is yet.

    ``folder`` is where the pictures are kept, ``templates`` the person's own label stocks and
    layouts; by default both are beside the stores.
    """

    to: Path
    folder: str = ""
    templates: str = ""


@dataclass(frozen=True, slots=True)
class Copied:
    """Where the copy is and what it holds, counted in the copy itself once it was opened.

    ``pictures`` counts the files of pictures, each compared by its digest, ``picture_bytes`` what
    they take; ``templates`` the files of the person's own label stocks and layouts. ``left_out``
    are pictures on record that are not in the copy, for their kept file is missing or overwritten
    here. ``faults`` are those of the record: the copy has them as the record has. ``noted``: that
    it was made is known from now on.
    """

    to: Path
    machines: int
    acts: int
    rows: int
    pictures: int
    picture_bytes: int
    templates: int
    left_out: tuple[Fault, ...] = ()
    faults: tuple[Fault, ...] = ()
    noted: bool = True


@dataclass(frozen=True, slots=True)
class NotInText:
    """What the plain text of a stores has no room for: the files of its pictures."""

    pictures: int


@dataclass(frozen=True, slots=True)
class Reload:
    """A stores to be made from the lines of an export: at a path, or in an empty database."""

    to: str
    lines: Iterable[str]


@dataclass(frozen=True, slots=True)
class Reloaded:
    """A stores made anew: its rows, without a fault that the audit finds.

    ``pictures`` counts the pictures on record, ``pictures_missing`` those whose kept file is not in
    ``folder``, beside the stores; it is empty where nothing says which folder that is.
    """

    to: str
    rows: int
    pictures: int = 0
    pictures_missing: int = 0
    folder: str = ""


def copy(context: Context, ask: Copy, progress: Progress | None = None) -> Copied:
    """Make a second copy of all there is: the record, its pictures, own label stocks and layouts.

    They stand beside the copy under the names that the program looks for, so that the copy is used
    as it lies there. It is opened and its record audited, and every picture's digest is compared,
    before it gets its name: there is a whole copy or none. A picture whose kept file is missing or
    overwritten cannot be copied; the rest is, and the reply names it.

    Raises:
        StorageError: there is something already, it cannot be written, or the stores is no file.
        NotFound: the label stocks and layouts are not where they are said to be.
        Refused: what was copied is not what is here.
    """
    to = ask.to
    places = [to, pictures_beside(to), to.with_name(f"{to.stem}.{TEMPLATES}")]
    names = {place: unfinished(place) for place in places}
    partial = names[to]
    if not to.parent.is_dir():
        raise StorageError(f"no folder {to.parent}: make it first")
    if ask.templates and not path_of(ask.templates).is_dir():
        raise NotFound("no label folder", folder=ask.templates)
    for name in names:
        clear_left_over(name)
        if name.exists():
            raise StorageError(f"{name} is there already: give the copy another name")
    with context.reading() as connection:
        rows = count_rows(connection)
    try:
        context.store.copy(partial)
        with open_store(str(partial)) as store:
            reply = _copy_beside(context, ask, store, names, progress)
            with store.reading() as connection:
                newest = newest_copied(connection)
        if reply.rows < rows:
            raise Refused("copy not whole", copied=reply.rows, rows=rows)
        for name in reversed(names):  # the record last: where it is, the copy is whole
            if names[name].exists():
                rename(names[name], name)
    except OSError as error:
        raise StorageError(f"cannot copy to {to}: {error.strerror or error}") from error
    finally:
        remove(partial)
        for name in list(names.values())[1:]:
            shutil.rmtree(name, ignore_errors=True)
    return replace(reply, noted=note_copy(context.store, to, newest))


def _copy_beside(
    context: Context, ask: Copy, store: Store, names: dict[Path, Path], progress: Progress | None
) -> Copied:
    """Copy what lies beside the record, all that the copied record speaks of; count the copy."""
    pictures, templates = list(names.values())[1:]
    with store.reading() as connection:
        files = kept_files(connection)
        faults = record_faults(connection)
        machines, acts = len(read_machines(connection)), count_rows(connection, "act")
        rows = count_rows(connection)
    once = {each.digest: each for each in sorted(files, key=lambda each: each.stands)}
    left_out: dict[str, str] = {}
    if files:
        from stores.photos.keeping import keep_file, kept_fault, kept_path
        from stores.photos.opening import PictureRefused

        source = picture_folder(context.store, ask.folder)
        for done, each in enumerate(once.values(), 1):
            fault = kept_fault(source, each.digest, each.format)
            if not fault:
                file = kept_path(source, each.digest, each.format)
                try:
                    keep_file(file, each.digest, each.format, pictures)
                except PictureRefused:
                    fault = "unreadable"
            if fault:
                left_out[each.digest] = fault
            if progress:
                progress("copy", done, len(once))
    copied = [each for each in once.values() if each.digest not in left_out]
    return Copied(
        ask.to,
        machines,
        acts,
        rows,
        len(copied),
        sum(each.size for each in copied),
        _copy_templates(template_folder(context.store.name, ask.templates), templates),
        tuple(
            fault_of(each, left_out[each.digest])
            for each in files
            if each.stands and each.digest in left_out
        ),
        tuple(faults),
    )


def _copy_templates(own: Path | None, to: Path) -> int:
    """Copy a person's own label stocks, layouts and survey lists, as they lie there; return how
    many."""
    if own is None:
        return 0
    kinds = {".toml": (".", "stock", "layouts"), ".txt": (".", "surveys")}
    found = [
        file
        for ending, places in kinds.items()
        for at in places
        for file in sorted((own / at).glob(f"*{ending}"))
    ]
    for file in found:
        place = to / file.relative_to(own)
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, place)
        if place.read_bytes() != file.read_bytes():
            raise Refused("copy differs", file=file)
    return len(found)


def copies(context: Context) -> KnownCopies:
    """Return when the record was last copied, and where to."""
    with context.reading() as connection:
        return known_copies(context.store, connection)


def not_in_text(context: Context) -> NotInText:
    """Return what `export` leaves out."""
    with context.reading() as connection:
        return NotInText(sum(each.stands for each in kept_files(connection)))


def export(context: Context) -> Iterator[str]:
    """Return the whole record as lines without their ends: every act, also those undone."""
    with context.reading() as connection:
        yield from lines_of(connection, HEAD)


def reload(ask: Reload) -> Reloaded:
    """Make a stores anew, whole or not at all.

    Raises:
        BadValue: the text cannot be read.
        Refused: there is a stores already, or the text has a fault that the audit finds.
    """
    address = address_of(ask.to)
    if address.get_backend_name() != "sqlite":
        with open_store(ask.to, create=True) as store:
            rows = _reload(store, ask.lines)
            return _reloaded(store.name, rows, store)
    path = Path(str(address.database))
    if path.exists():
        raise Refused("stores there already", path=path)
    clear_left_over(path)
    partial = unfinished(path)
    try:
        with open_store(str(partial), create=True) as store:
            rows = _reload(store, ask.lines)
        rename(partial, path)
    finally:
        remove(partial)
    with open_store(str(path)) as store:
        return _reloaded(shown_address(ask.to), rows, store)


def _reloaded(to: str, rows: int, store: Store) -> Reloaded:
    with store.reading() as connection:
        files = [each for each in kept_files(connection) if each.stands]
    from stores.photos.keeping import kept_path

    try:
        folder = picture_folder(store)
    except Refused:
        return Reloaded(to, rows, len(files), len(files))
    missing = sum(not kept_path(folder, each.digest, each.format).is_file() for each in files)
    return Reloaded(to, rows, len(files), missing, str(folder))


def _reload(store: Store, lines: Iterable[str]) -> int:
    with store.writing() as writer:
        try:
            rows = replay_into(writer.connection, lines, HEAD)
        except UnicodeDecodeError:
            raise BadValue("text is not UTF-8") from None
        faults = record_faults(writer.connection)
        if faults:
            raise Refused("text has faults", count=len(faults), first=str(faults[0]))
    return rows
