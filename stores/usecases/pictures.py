"""Pictures: taken into the record, tied to steps, bags and parts, captioned, put on sheets.

Pictures are files, kept by the digest of their content beside the stores; the record holds what
they show. A filing is never guessed: a picture is filed under the one known bag whose label it
shows, with its check letter right; everything else, the clock too, is an offer that a person
accepts.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, StoresError
from stores.leftovers import clear_left_over_pictures
from stores.model.items import lies_in
from stores.model.ledger import ActKind
from stores.planning.audit import Fault
from stores.planning.pictures import OFFERED, Filed, PictureOnRecord, Shot, listed, shots
from stores.storage import Store, Writer
from stores.storage.machines import Machine, machine_named
from stores.storage.opening import pictures_beside
from stores.storage.pictures import (
    CaptionRow,
    FilingRow,
    KeptFile,
    PictureRow,
    kept_files,
    next_picture,
    picture_file,
    read_pictures,
    step_moments,
    steps_by_number,
    steps_of_bags,
)
from stores.storage.places import bag_coded, bag_codes
from stores.storage.settings import SettingRow, read_settings
from stores.text import beside, clean, join, path_of
from stores.usecases.common import NOTE_LENGTH, select
from stores.usecases.context import Ask, Context, Reply

if TYPE_CHECKING:
    from stores.photos.opening import PictureFile, PictureRefused

__all__ = [
    "AnswerOffers",
    "CaptionPictures",
    "FilePictures",
    "KeptPicture",
    "ListPictures",
    "NotTaken",
    "OfferedPicture",
    "OfferedTo",
    "OffersAnswered",
    "PictureSheets",
    "Pictures",
    "PicturesByState",
    "PicturesCaptioned",
    "PicturesFiled",
    "PicturesTaken",
    "SeePicture",
    "SheetPictures",
    "TakePictures",
    "UnclearLabels",
    "answer_offers",
    "bag_code_of",
    "caption_pictures",
    "fault_of",
    "file_pictures",
    "kept_picture",
    "picture_faults",
    "picture_folder",
    "picture_sheets",
    "pictures",
    "pictures_by_state",
    "shots_on_record",
    "take_pictures",
]

Progress = Callable[[str, int, int], None]
"""Told what is being done (``look``, ``read``, ``keep``), and how many of how many are done."""

_CLOCK = "seconds that the camera is fast"
"""The setting of a machine's camera."""
_FAULTS = {
    "missing": "its kept file is missing",
    "overwritten": "its kept file was overwritten: it is no longer the picture that was kept",
    "unreadable": "its kept file cannot be read",
    "misnamed": "its kept file has a name that is none of a picture: it is not looked for",
}
_HIGHEST = 2**31 - 1
"""No picture has a higher number: no database keeps one."""
_MOST = 100_000
"""Pictures in one range."""


@dataclass(frozen=True, slots=True)
class TakePictures(Ask):
    """Pictures, or folders of them, to be taken into the record, each content once.

    With ``to`` (a step, bag or item) all are filed under it. ``fast`` is how far the camera's clock
    is fast, ``1:02`` hours and minutes, ``-0:30`` slow; empty takes what was said last of the
    machine. ``thorough`` looks harder for small or blurred labels. ``folder`` is where pictures are
    kept, by default beside the stores.
    """

    paths: Sequence[Path]
    to: str = ""
    caption: str = ""
    fast: str = ""
    thorough: bool = False
    folder: str = ""


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A file that was not taken in, and why not."""

    file: str
    reason: str


@dataclass(frozen=True, slots=True)
class UnclearLabels:
    """A picture whose labels file it under no bag.

    ``seen`` are bags whose labels it shows, more than one: it is offered to all of them;
    ``unknown`` codes of no bag here, ``foreign`` what other codes say.
    """

    file: str
    seen: tuple[str, ...]
    unknown: tuple[str, ...]
    foreign: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturesTaken(Reply):
    """What became of pictures. ``act`` is 0 where nothing was written.

    ``numbers`` are those of the new ones, ``known`` counts those that were on record and are kept;
    ``kept_again`` are the numbers of those whose kept file was missing or overwritten. ``filed``
    and ``offered`` count pictures by what they show. ``clock_seconds`` is how far the camera's
    clock was taken to be fast because that was said last. ``lost`` were new and could not be kept,
    ``refused`` are no pictures, ``left_alone`` are names of files that nobody meant as pictures.
    """

    machine: str
    numbers: tuple[int, ...] = ()
    known: int = 0
    kept_again: tuple[int, ...] = ()
    filed: dict[str, int] = field(default_factory=dict)
    offered: dict[str, int] = field(default_factory=dict)
    unclear: tuple[UnclearLabels, ...] = ()
    clock_seconds: int | None = None
    lost: tuple[NotTaken, ...] = ()
    refused: tuple[NotTaken, ...] = ()
    left_alone: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FilePictures(Ask):
    """Pictures (``12``, ``12-15``, ``3,9``) that show steps, bags or items: one, or several.

    With ``takes_off`` they do not show them after all.
    """

    numbers: str
    to: Sequence[str]
    takes_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturesFiled(Reply):
    """Pictures that are tied to something, or no longer are."""

    numbers: tuple[int, ...]
    what: tuple[str, ...]
    taken_off: bool


@dataclass(frozen=True, slots=True)
class AnswerOffers(Ask):
    """Yes, or with ``refuses`` no, to what pictures were offered to; to all, or those numbered."""

    numbers: str = ""
    refuses: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OffersAnswered(Reply):
    """Pictures that were offered, and what to."""

    numbers: tuple[int, ...]
    what: tuple[str, ...]
    refused: bool


@dataclass(frozen=True, slots=True)
class CaptionPictures(Ask):
    """What stands under pictures; an empty text is none."""

    numbers: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturesCaptioned(Reply):
    """What stands under pictures from now on."""

    numbers: tuple[int, ...]
    text: str


@dataclass(frozen=True, slots=True)
class ListPictures:
    """The pictures of a machine; only those that wait for a yes, or those tied to nothing."""

    offered: bool = False
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Pictures:
    """Pictures of a machine with what they show, by number."""

    machine: str
    pictures: tuple[PictureOnRecord, ...]


@dataclass(frozen=True, slots=True)
class OfferedTo:
    """A step or bag that a picture may show. ``step`` is 0 for a bag that no step went into."""

    what: str
    step: int
    part: str = ""
    assembly: str = ""


@dataclass(frozen=True, slots=True)
class OfferedPicture:
    """A picture that waits for a yes, with what it is offered to."""

    picture: PictureOnRecord
    to: tuple[OfferedTo, ...]


@dataclass(frozen=True, slots=True)
class PicturesByState:
    """Pictures that wait for a yes, those tied to nothing, and, the newest first, those that are
    tied to something. One that waits for a yes and is tied to something else is in both."""

    offered: tuple[OfferedPicture, ...]
    loose: tuple[PictureOnRecord, ...]
    filed: tuple[PictureOnRecord, ...]


@dataclass(frozen=True, slots=True)
class SeePicture:
    """One picture to be looked at. ``folder`` is where pictures are kept, by default beside the
    stores."""

    number: int
    folder: str = ""


@dataclass(frozen=True, slots=True)
class KeptPicture:
    """The kept file of a picture; ``format`` is its suffix, as ``.jpg``."""

    machine: str
    number: int
    file: Path
    digest: str
    format: str


@dataclass(frozen=True, slots=True)
class SheetPictures:
    """The pictures for the index sheets, of one assembly and those in it if named.

    ``folder`` is where pictures are kept, by default beside the stores.
    """

    assembly: str = ""
    folder: str = ""


@dataclass(frozen=True, slots=True)
class PictureSheets:
    """The pictures of a machine in the order of their steps; there is at least one.

    One that shows things of several steps is there once for each.
    """

    machine: str
    shots: tuple[Shot, ...]

    @property
    def pictures(self) -> int:
        """How many pictures there are."""
        return len({shot.number for shot in self.shots})


def picture_folder(store: Store, named: str = "") -> Path:
    """Return the folder where a stores keeps its pictures: beside its file, or the one named.

    Raises:
        Refused: the stores is no file, and no folder is named.
    """
    if named:
        return path_of(named).absolute()
    if "://" in store.name:
        raise Refused("no folder for pictures", stores=store.name)
    return pictures_beside(Path(store.name))


def bag_code_of(text: str) -> str | None:
    """Return the bag code that a QR code's text begins with; None where it is none, or misread."""
    first = text.split(maxsplit=1)[:1]
    if not first or not bagcode.looks_like_code(first[0]):
        return None
    code = bagcode.tidy(first[0])
    try:
        bagcode.check(code)
    except StoresError:
        return None
    return code


def take_pictures(
    context: Context, ask: TakePictures, progress: Progress | None = None
) -> PicturesTaken:
    """Take pictures into the record, each content once, in the order in which they were taken.

    One that is on record is kept again where its kept file is missing or was overwritten, and is
    filed under ``to`` where it is not yet.

    Without ``to`` a picture is filed under the one bag whose label it shows. All others are only
    offered: what shows several labels to all of those bags, the rest to the label or the record
    of a step that is nearest in time (`stores.photos.filing` has the rule). A trial keeps no file.

    Raises:
        BadValue: the clock is not said in hours and minutes.
        NotFound, NotationError: no such file or folder, or nothing is called ``to``.
        StorageError: the folder cannot be written.
    """
    from stores.photos.keeping import look_over

    fast_seconds, at = _seconds_fast(ask.fast), context.at
    for path in ask.paths:
        if not path.exists():
            raise NotFound("no file or folder", path=path)
    caption = clean(ask.caption, "the caption", most=NOTE_LENGTH, empty=True)
    folder = picture_folder(context.store, ask.folder)
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        if ask.to:
            _target(connection, on, ask.to)
        known = {each.digest: each for each in read_pictures(connection, on.number)}
    have = {each.digest: each.number for each in known.values()}
    files = look_over(ask.paths, progress=_part(progress, "look"))
    codes = {} if ask.to else _codes(files.looks, ask.thorough, _part(progress, "read"))
    once = {each.digest: each for each in reversed(files.looks)}  # of each content the first file
    fresh = [each for each in files.looks if each.digest not in have and once[each.digest] is each]
    gone = _not_kept([each for each in files.looks if each.digest in have], folder)
    kept, again = fresh, gone
    lost: list[NotTaken] = []
    if not ask.trial:
        kept, lost = _kept([*fresh, *gone], folder, _part(progress, "keep"))
        again = [each for each in kept if each.digest in have]
        kept = [each for each in kept if each.digest not in have]
    act, numbers, tied, too = 0, [], _Tied(), _Ties()
    with context.writing(ask) as writer:
        if ask.to:
            target = _target(writer.connection, on, ask.to)
            sent = [known[digest] for digest in once if digest in known]
            too = {each.digest: [("by hand", target)] for each in sent if not target.is_kept(each)}
        if too and not kept:
            which = listed([have[digest] for digest in too])
            act = writer.begin(ActKind.PICTURE, f"picture {which} filed under {target.name}", at=at)
        if kept:
            tied = _tied(writer.connection, on, kept, files.looks, codes, ask.to, fast_seconds)
            act = writer.begin(
                ActKind.PICTURE,
                f"{len(kept)} picture{'' if len(kept) == 1 else 's'} of {on.name} taken in",
                at=at,
            )
            if tied.clock_changed:
                writer.append(
                    SettingRow(
                        act_id=act,
                        machine_id=on.number,
                        name=_CLOCK,
                        value=str(tied.fast_seconds),
                    )
                )
            first = next_picture(writer.connection, on.number)
            for number, each in enumerate(kept, first):
                _write(writer, act, on, number, each, tied.ties.get(each.digest, ()), caption)
                numbers.append(number)
        for digest, ((how, shown),) in too.items():
            shown.tie(writer, act, known[digest].row, how)
    counts: dict[bool, dict[str, int]] = {True: {}, False: {}}
    for ties in (*tied.ties.values(), *too.values()):
        for how, shown in ties:
            count = counts[how.startswith(OFFERED)]
            count[shown.name] = count.get(shown.name, 0) + 1
    remembered = tied.fast_seconds if tied.fast_seconds and fast_seconds is None else None
    return PicturesTaken(
        act=act,
        trial=ask.trial,
        machine=on.name,
        numbers=tuple(numbers),
        known=len(files.looks) - len(fresh) - len(gone),
        kept_again=tuple(sorted(have[each.digest] for each in again)),
        filed=counts[False],
        offered=counts[True],
        unclear=tied.unclear,
        clock_seconds=remembered,
        lost=tuple(lost),
        refused=tuple(_not_taken(each) for each in files.refusals),
        left_alone=tuple(each.file.name for each in files.left_alone),
    )


def file_pictures(context: Context, ask: FilePictures) -> PicturesFiled:
    """Tie pictures to steps, bags or items, all of them in one act; or take them off again.

    Raises:
        NotFound: no such picture, or nothing is called what is in ``to``.
        NotationError, BadValue: no numbers of pictures.
        Refused: nothing named, or to be taken off what none of them is tied to.
    """
    numbers = _read_numbers(ask.numbers)
    if not ask.to:
        raise Refused("file under what", numbers=ask.numbers)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        chosen = _chosen(read_pictures(writer.connection, on.number), numbers, on)
        targets = [_target(writer.connection, on, each) for each in ask.to]
        names = tuple(dict.fromkeys(each.name for each in targets))
        ties = [(each, target) for target in targets for each in chosen]
        if ask.takes_off:
            for target in targets:
                if not any(target.is_tied(each) for each in chosen):
                    raise Refused("pictures not tied", what=target.name)
            ties = [(each, target) for each, target in ties if target.is_tied(each)]
            tied = {each.number for each, _ in ties}
            chosen = [each for each in chosen if each.number in tied]
        word = "taken off" if ask.takes_off else "filed under"
        which = listed([each.number for each in chosen])
        act = writer.begin(ActKind.PICTURE, f"picture {which} {word} {join(names)}", at=context.at)
        for each, target in ties:
            target.tie(writer, act, each.row, "by hand", off=ask.takes_off)
    return PicturesFiled(
        act=act,
        trial=ask.trial,
        numbers=tuple(each.number for each in chosen),
        what=names,
        taken_off=ask.takes_off,
    )


def answer_offers(context: Context, ask: AnswerOffers) -> OffersAnswered:
    """Say yes, or no, to what pictures were offered to.

    Raises:
        Refused: nothing is offered.
        NotFound: no such picture.
        NotationError, BadValue: no numbers of pictures.
    """
    numbers = _read_numbers(ask.numbers) if ask.numbers else []
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        every = read_pictures(writer.connection, on.number)
        chosen = _chosen(every, numbers, on) if numbers else every
        waiting = [each for each in chosen if each.offers]
        if not waiting:
            raise Refused("nothing offered", hint=Hint("pictures"))
        word = "refused" if ask.refuses else "accepted"
        count = len(waiting)
        act = writer.begin(
            ActKind.PICTURE,
            f"{word} for {count} picture{'' if count == 1 else 's'}",
            at=context.at,
        )
        for each in waiting:
            for offer in each.offers:
                how = offer.how.removeprefix(OFFERED).strip()
                target = _target(writer.connection, on, _name_of(offer))
                target.tie(writer, act, each.row, how, off=ask.refuses)
    return OffersAnswered(
        act=act,
        trial=ask.trial,
        numbers=tuple(each.number for each in waiting),
        what=tuple(dict.fromkeys(offer.what for each in waiting for offer in each.offers)),
        refused=ask.refuses,
    )


def caption_pictures(context: Context, ask: CaptionPictures) -> PicturesCaptioned:
    """Write what stands under pictures.

    Raises:
        NotFound: no such picture.
        NotationError, BadValue: no numbers of pictures, or text that cannot be kept.
    """
    numbers = _read_numbers(ask.numbers)
    text = clean(ask.text, "the caption", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        chosen = _chosen(read_pictures(writer.connection, on.number), numbers, on)
        which = listed([each.number for each in chosen])
        act = writer.begin(
            ActKind.PICTURE, f"picture {which}: {text or 'no caption'}", at=context.at
        )
        for each in chosen:
            writer.append(CaptionRow(act_id=act, picture_id=each.row, text=text))
    return PicturesCaptioned(
        act=act, trial=ask.trial, numbers=tuple(each.number for each in chosen), text=text
    )


def pictures(context: Context, ask: ListPictures) -> Pictures:
    """Return the pictures of a machine with what they show."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        every = _with_snags(connection, on)
    return Pictures(
        on.name,
        tuple(
            each
            for each in every
            if (each.offers or not ask.offered) and not (ask.loose and (each.filed or each.snags))
        ),
    )


def _with_snags(connection: Connection, on: Machine) -> list[PictureOnRecord]:
    """Return the pictures of a machine, each with the snags that it shows."""
    from stores.storage.snags import read_snags

    every = read_pictures(connection, on.number)
    shown: dict[int, tuple[int, ...]] = {}
    for snag in read_snags(connection, on.number) if every else ():
        for number in snag.pictures:
            shown[number] = (*shown.get(number, ()), snag.number)
    return [
        replace(each, snags=shown[each.number]) if each.number in shown else each for each in every
    ]


def pictures_by_state(context: Context) -> PicturesByState:
    """Return the pictures of a machine by what is still to be done with them."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        every = _with_snags(connection, on)
        waiting = [each for each in every if each.offers]
        steps = steps_by_number(connection, on.number) if waiting else {}
        of_bags = steps_of_bags(connection, on.number) if waiting else {}

    def to(offer: Filed) -> OfferedTo:
        number = offer.step or of_bags.get(offer.bag, 0)
        step = steps.get(number)
        return OfferedTo(
            offer.what, number, step.part if step else "", step.assembly if step else ""
        )

    return PicturesByState(
        tuple(OfferedPicture(each, tuple(to(offer) for offer in each.offers)) for each in waiting),
        tuple(each for each in every if not each.filed and not each.snags),
        tuple(each for each in reversed(every) if each.kept or each.snags),
    )


def kept_picture(context: Context, ask: SeePicture) -> KeptPicture:
    """Return where the file of a picture on record is kept.

    Raises:
        NotFound: no such picture, or its file is not there.
        Refused: the stores is no file, and no folder is named.
    """
    from stores.photos.keeping import kept_path

    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        known = 0 < ask.number <= _HIGHEST
        found = picture_file(connection, on.number, ask.number) if known else None
        if found is None:
            last = next_picture(connection, on.number) - 1
            raise NotFound("no such pictures", numbers=(ask.number,), machine=on.name, last=last)
    file = kept_path(picture_folder(context.store, ask.folder), *found)
    if not file.is_file():
        raise NotFound("picture file gone", number=ask.number, machine=on.name)
    return KeptPicture(on.name, ask.number, file, *found)


def picture_sheets(context: Context, ask: SheetPictures) -> PictureSheets:
    """Return the pictures for the index sheets, in the order of their steps.

    Raises:
        NotFound: there is no picture, or none of the assembly.
        Refused: the stores is no file, and no folder is named.
    """
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        made = shots_on_record(connection, on, picture_folder(context.store, ask.folder))
    if not made:
        raise NotFound("no picture taken in", machine=on.name)
    if ask.assembly.strip():
        made = [shot for shot in made if lies_in(shot.assembly, ask.assembly)]
        if not made:
            raise NotFound(
                "no picture of that assembly", assembly=ask.assembly, hint=Hint("pictures")
            )
    return PictureSheets(on.name, tuple(made))


def shots_on_record(connection: Connection, on: Machine, folder: Path) -> list[Shot]:
    """Return the pictures of a machine in the order of their steps, with where each is kept."""
    from stores.photos.keeping import kept_path
    from stores.storage.snags import read_snags

    every = read_pictures(connection, on.number)
    files = {each.digest: kept_path(folder, each.digest, each.format) for each in every}
    steps = steps_by_number(connection, on.number)
    return shots(
        every,
        steps,
        steps_of_bags(connection, on.number),
        files,
        on.name,
        read_snags(connection, on.number),
    )


@dataclass(frozen=True, slots=True)
class _Target:
    """What a picture can be tied to, as the record wants it and as a person says it."""

    name: str
    step: int | None = None
    place: int | None = None
    item: int | None = None

    def tie(self, writer: Writer, act: int, picture: int, how: str, *, off: bool = False) -> None:
        """Write that a picture shows it, or with ``off`` that it does not."""
        writer.append(
            FilingRow(
                act_id=act, picture_id=picture, step_id=self.step, place_id=self.place,
                item_id=self.item, how=how, taken_off=int(off),
            )
        )  # fmt: skip

    def is_tied(self, picture: PictureOnRecord) -> bool:
        """Tell whether a picture is tied to it."""
        return any(self._is(filed) for filed in picture.filed)

    def is_kept(self, picture: PictureOnRecord) -> bool:
        """Tell whether a picture is tied to it for good, not only offered."""
        return any(self._is(filed) for filed in picture.kept)

    def _is(self, filed: Filed) -> bool:
        return filed.what == self.name or bool(
            filed.item and self.name.startswith(f"{filed.item} ")
        )


_Ties = dict[str, list[tuple[str, _Target]]]


@dataclass(frozen=True, slots=True)
class _Tied:
    """What new pictures are tied to and how, by digest; and the clock they were read by."""

    ties: _Ties = field(default_factory=dict)
    unclear: tuple[UnclearLabels, ...] = ()
    fast_seconds: int = 0
    clock_changed: bool = False


def _target(connection: Connection, on: Machine, what: str) -> _Target:
    from stores.storage.figures import step_row

    chosen = select(connection, on.name, what, empty=True, jobs=True)
    if chosen.bag:
        return _Target(f"bag {chosen.bag}", place=bag_coded(connection, chosen.bag))
    if len(chosen.items) == 1 and "." in what:
        item = chosen.items[0]
        return _Target(beside(item.ref, item.text), item=item.number)
    number = chosen.step.number
    row = step_row(connection, on.number, number)
    if row is None:
        raise NotFound("no step to show", step=number)
    return _Target(f"step {number}", step=row)


def _name_of(offer: Filed) -> str:
    return offer.bag or offer.item or str(offer.step)


def _tied(
    connection: Connection,
    on: Machine,
    fresh: Sequence["PictureFile"],
    looks: Sequence["PictureFile"],
    codes: dict[Path, tuple[str, ...]],
    to: str,
    fast_seconds: int | None,
) -> _Tied:
    """Return what new pictures are tied to; those beside them that are on record tell of labels."""

    remembered = int(read_settings(connection, on.number).get(_CLOCK, "0"))
    fast = remembered if fast_seconds is None else fast_seconds
    if to:
        target = _target(connection, on, to)
        by_hand = {each.digest: [("by hand", target)] for each in fresh}
        return _Tied(by_hand, (), fast, fast != remembered)
    from stores.photos.filing import StepTime, offers, read_labels
    from stores.storage.figures import step_row

    labels = read_labels(
        looks,
        {each: codes[each.file] for each in looks},
        known=bag_codes(connection),
        bag_code_of=bag_code_of,
    )
    new = set(fresh)
    ties = {
        each.picture.digest: [("by label", _bag_target(connection, each.bag))]
        for each in labels.values()
        if each.bag and each.picture in new
    }
    moments = step_moments(connection, on.number)
    for offer in offers(
        [(each, each.taken and each.taken.astimezone()) for each in looks],
        labels,
        [StepTime(number, moment) for number, moment in moments.items()],
        -fast,
    ):
        if offer.picture not in new:
            continue
        targets = [(f"{OFFERED} by label", _bag_target(connection, bag)) for bag in offer.bags]
        if offer.step:
            row = step_row(connection, on.number, offer.step)
            targets.append((f"{OFFERED} by time", _Target(f"step {offer.step}", step=row)))
        if targets:
            ties[offer.picture.digest] = targets
    unclear = tuple(
        UnclearLabels(each.picture.file.name, each.seen, each.unknown, each.foreign)
        for each in labels.values()
        if not each.bag and each.picture in new
    )
    return _Tied(ties, unclear, fast, fast != remembered)


def _bag_target(connection: Connection, code: str) -> _Target:
    return _Target(f"bag {code}", place=bag_coded(connection, code))


def _write(
    writer: Writer,
    act: int,
    on: Machine,
    number: int,
    picture: "PictureFile",
    ties: Sequence[tuple[str, _Target]],
    caption: str,
) -> None:
    """Write a picture down with what it shows."""
    row = writer.append(
        PictureRow(
            act_id=act,
            machine_id=on.number,
            number=number,
            digest=picture.digest,
            name=picture.file.name.encode("utf-8", "replace").decode()[:200],
            taken_at=picture.taken.isoformat() if picture.taken else "",
            width=picture.width,
            height=picture.height,
            turn=picture.orientation,
            format=picture.suffix,
            size=picture.size,
        )
    )
    for how, target in ties:
        target.tie(writer, act, row, how)
    if caption:
        writer.append(CaptionRow(act_id=act, picture_id=row, text=caption))


def _codes(
    looks: Sequence["PictureFile"], thorough: bool, progress: Callable[[int, int], None] | None
) -> dict[Path, tuple[str, ...]]:
    """Return what the codes in pictures say, by file; nothing of one that cannot be read."""
    from stores.photos.codes import codes_in_all

    codes = {}
    read = codes_in_all([each.file for each in looks], thorough=thorough)
    for done, (file, texts) in enumerate(read, 1):
        codes[file] = texts if isinstance(texts, tuple) else ()
        if progress:
            progress(done, len(looks))
    return codes


def _kept(
    fresh: Sequence["PictureFile"], folder: Path, progress: Callable[[int, int], None] | None
) -> tuple[list["PictureFile"], list[NotTaken]]:
    """Copy pictures into the folder; return those that are there, and why others are not."""
    from stores.photos.keeping import keep
    from stores.photos.opening import PictureRefused

    clear_left_over_pictures(folder)
    kept: list[PictureFile] = []
    lost: list[NotTaken] = []
    for done, each in enumerate(fresh, 1):
        try:
            keep(each, folder)
        except PictureRefused as refusal:
            lost.append(_not_taken(refusal))
        else:
            kept.append(each)
        if progress:
            progress(done, len(fresh))
    return kept, lost


def _not_kept(known: Sequence["PictureFile"], folder: Path) -> list["PictureFile"]:
    """Return those on record whose kept file is not there as it was kept, each content once."""
    from stores.photos.keeping import kept_fault

    once = {each.digest: each for each in known}
    return [each for each in once.values() if kept_fault(folder, each.digest, each.suffix)]


def fault_of(file: KeptFile, fault: str) -> Fault:
    """Return the fault of a kept file: which picture it is of, and what is wrong."""
    where = f"picture {file.number} of {file.machine}"
    return Fault(f"{where} ({file.name})" if file.name else where, _FAULTS[fault])


def picture_faults(
    connection: Connection, folder: Path, progress: Progress | None = None
) -> list[Fault]:
    """Return what is wrong with the kept files of the pictures on record, each read through."""
    from stores.photos.keeping import kept_fault

    files = [each for each in kept_files(connection) if each.stands]
    said: dict[str, str] = {}
    faults = []
    for done, each in enumerate(files, 1):
        if each.digest not in said:
            said[each.digest] = kept_fault(folder, each.digest, each.format)
        if fault := said[each.digest]:
            faults.append(fault_of(each, fault))
        if progress:
            progress("check", done, len(files))
    return faults


def _not_taken(refusal: "PictureRefused") -> NotTaken:
    from stores.photos.opening import shown

    return NotTaken(shown(refusal.file), refusal.reason)


def _part(progress: Progress | None, phase: str) -> Callable[[int, int], None] | None:
    return (lambda done, total: progress(phase, done, total)) if progress else None


def _chosen(
    every: Sequence[PictureOnRecord], numbers: Sequence[int], on: Machine
) -> list[PictureOnRecord]:
    by_number = {each.number: each for each in every}
    missing = tuple(number for number in numbers if number not in by_number)
    if missing:
        last = max(by_number, default=0)
        raise NotFound("no such pictures", numbers=missing, machine=on.name, last=last)
    return [by_number[number] for number in numbers]


def _read_numbers(text: str) -> list[int]:
    """Return the numbers of pictures that were typed: ``12``, ``12-15``, ``3, 12-15``.

    Raises `NotationError` for what is none, `BadValue` for a range upside down or too long.
    """
    numbers: dict[int, None] = {}
    for part in re.split(r"[,\s]+", text.strip()):
        match = re.fullmatch(r"#?(\d{1,6})(?:\s*(?:-|–|\.\.)\s*#?(\d{1,6}))?", part)
        if match is None:
            raise NotationError("not the number of a picture, such as 12 or 12-15", text)
        first, last = int(match[1]), int(match[2] or match[1])
        if not 1 <= first <= last or last - first > _MOST:
            raise BadValue("pictures upside down", typed=part)
        numbers.update(dict.fromkeys(range(first, last + 1)))
    return list(numbers)


def _seconds_fast(text: str) -> int | None:
    """Return how far a clock is fast, s: ``1:02`` hours and minutes, ``-0:30`` slow; None unsaid.

    Raises:
        BadValue: not hours and minutes.
    """
    if not text.strip():
        return None
    sign, rest = (-1, text.strip()[1:]) if text.strip()[:1] in "-−" else (1, text.strip())
    parts = rest.removeprefix("+").split(":")
    if len(parts) not in (2, 3) or not all(part.isdecimal() for part in parts):
        raise BadValue("not a clock", typed=text)
    hours, minutes, *seconds = (int(part) for part in parts)
    return sign * (hours * 3600 + minutes * 60 + sum(seconds))
