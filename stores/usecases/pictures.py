"""Pictures: taken into the record, tied to steps, bags and parts, captioned."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import NotFound, Refused, StoresError
from stores.model.ledger import ActKind
from stores.planning.pictures import OFFERED, Filed, PictureOnRecord, listed
from stores.storage import Store, Writer
from stores.storage.figures import step_row
from stores.storage.machines import Machine, machine_named
from stores.storage.pictures import bag_place, read_pictures, step_moments
from stores.storage.places import bag_codes
from stores.storage.settings import SettingRow, read_settings
from stores.text import clean, plural
from stores.usecases.common import NOTE_LENGTH, Done, select

if TYPE_CHECKING:
    from stores.photos.look import Look

__all__ = [
    "NewPicture",
    "TakenIn",
    "accept_offers",
    "bag_code_of",
    "file_pictures",
    "picture_folder",
    "set_caption",
    "take_in",
]


def picture_folder(store: Store, named: str = "") -> Path:
    """Give the folder where a stores keeps its pictures: beside its file, or the one named.

    Raises:
        Refused: the stores is no file, and no folder is named.
    """
    if named:
        return Path(named).expanduser().absolute()
    if "://" in store.name:
        raise Refused(
            f"{store.name} is no file: say where its pictures are kept with --pictures FOLDER"
        )
    file = Path(store.name)
    return file.with_name(f"{file.stem}.pictures")


def bag_code_of(text: str) -> str | None:
    """Give the bag code that a QR code's text begins with; None where it is none, or misread."""
    first = text.split(maxsplit=1)[:1]
    if not first or not bagcode.looks_like_code(first[0]):
        return None
    code = bagcode.tidy(first[0])
    try:
        bagcode.check(code)
    except StoresError:
        return None
    return code


_CLOCK = "seconds that the camera is fast"
"""The setting of a machine's camera."""


@dataclass(frozen=True, slots=True)
class NewPicture:
    """A picture that was looked at, with what the codes in it say."""

    look: "Look"
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of the pictures: how many were new, where each was filed, what to know."""

    done: Done | None
    new: int
    known: int
    filed: Mapping[str, int]
    offered: Mapping[str, int]
    notes: tuple[str, ...]


def take_in(
    store: Store,
    looked: Sequence[NewPicture],
    folder: Path,
    *,
    to: str = "",
    caption: str = "",
    fast_seconds: int | None = None,
    machine: str | None = None,
    at: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> TakenIn:
    """Take pictures into the record, each content once, in the order in which they were taken.

    With ``to`` (a step, bag or item) all are filed under it. Else a picture is filed under the bag
    whose label it shows, and those that follow are offered to that bag; what is left is offered to
    the step in whose time it was taken. ``fast_seconds`` is how far the camera's clock is fast: it
    is remembered for the machine's next pictures, and None takes what was said last.

    Raises:
        NotFound, NotationError: nothing is called ``to``.
        StorageError: the folder cannot be written.
    """
    caption = clean(caption, "the caption", most=NOTE_LENGTH, empty=True)
    with store.reading() as connection:
        on = machine_named(connection, machine)
        if to:
            _targets(connection, on, to)
        have = {each.digest for each in read_pictures(connection, on.number)}
    fresh = list({new.look.digest: new for new in looked if new.look.digest not in have}.values())
    known = len(looked) - len(fresh)
    kept, lost = _kept(fresh, folder, progress)
    if not kept:
        return TakenIn(None, 0, known, {}, {}, tuple(lost))
    with store.writing() as writer:
        codes = bag_codes(writer.connection)
        remembered = int(read_settings(writer.connection, on.number).get(_CLOCK, "0"))
        fast = remembered if fast_seconds is None else fast_seconds
        ties, notes = _ties(writer.connection, on, kept, codes, to, fast)
        if fast and fast_seconds is None:
            notes = (*notes, f"the camera's clock: {_clock(fast)}, as last time; else say --fast")
        act = writer.begin(
            ActKind.PICTURE,
            f"{len(kept)} picture{'' if len(kept) == 1 else 's'} of {on.name} taken in",
            at=at,
        )
        if fast != remembered:
            writer.append(
                SettingRow(act_id=act, machine_id=on.number, name=_CLOCK, value=str(fast))
            )
        numbers = [_write(writer, act, on, new.look, ties, caption) for new in kept]
    filed: dict[str, int] = {}
    offered: dict[str, int] = {}
    for tied in ties.values():
        for how, target in tied:
            count = offered if how.startswith(OFFERED) else filed
            count[target.name] = count.get(target.name, 0) + 1
    span = str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
    done = Done(
        act,
        (f"{len(kept)} new on {on.name}, numbered {span}",),
        data={"act": act, "numbers": numbers, "filed": filed, "offered": offered},
    )
    return TakenIn(done, len(kept), known, filed, offered, (*notes, *lost))


def _kept(
    fresh: Sequence[NewPicture], folder: Path, progress: Callable[[int, int], None] | None
) -> tuple[list[NewPicture], list[str]]:
    """Copy pictures into the folder; give those that are there, and why others are not."""
    from stores.photos.keeping import keep
    from stores.photos.refusal import PictureRefused

    kept: list[NewPicture] = []
    lost: list[str] = []
    for done, new in enumerate(fresh, 1):
        try:
            keep(new.look, folder)
        except PictureRefused as refusal:
            lost.append(str(refusal))
        else:
            kept.append(new)
        if progress:
            progress(done, len(fresh))
    return kept, lost


def _write(writer: Writer, act: int, on: Machine, look: "Look", ties: "_Ties", caption: str) -> int:
    """Write a picture down with what it shows; give its number."""
    row, number = writer.picture(
        act,
        on.number,
        digest=look.digest,
        name=_name(look.file),
        taken_at=look.taken.isoformat() if look.taken else "",
        width=look.width,
        height=look.height,
        turn=look.orientation,
        format=look.suffix,
        size=look.size,
    )
    for how, target in ties.get(look.digest, ()):
        target.tie(writer, act, row, how)
    if caption:
        writer.caption(act, row, caption)
    return number


def _clock(seconds: int) -> str:
    hours, rest = divmod(abs(seconds), 3600)
    said = f"{hours}:{rest // 60:02}" + (f":{rest % 60:02}" if rest % 60 else "")
    return f"{said} {'fast' if seconds > 0 else 'slow'}"


def _name(file: Path) -> str:
    return file.name.encode("utf-8", "replace").decode()[:200]


@dataclass(frozen=True, slots=True)
class _Target:
    """What a picture can be tied to, as the writer wants it and as a person says it."""

    name: str
    step: int | None = None
    place: int | None = None
    item: int | None = None

    def tie(self, writer: Writer, act: int, picture: int, how: str, *, off: bool = False) -> None:
        """Write that a picture shows it, or with ``off`` that it does not."""
        writer.filing(
            act, picture, step=self.step, place=self.place, item=self.item, how=how, off=off
        )


def _targets(connection: Connection, on: Machine, what: str) -> _Target:
    chosen = select(connection, on.name, what, empty=True)
    if chosen.bag:
        return _Target(f"bag {chosen.bag}", place=bag_place(connection, chosen.bag))
    if len(chosen.items) == 1 and "." in what:
        item = chosen.items[0]
        return _Target(f"{item.ref} {item.as_found.text}", item=item.number)
    number = chosen.items[0].step.number
    row = step_row(connection, on.number, number)
    if row is None:
        raise NotFound(f"no step {number} stands: loose pieces have no step to show")
    return _Target(f"step {number}", step=row)


_Ties = dict[str, list[tuple[str, _Target]]]


def _ties(
    connection: Connection,
    on: Machine,
    fresh: Sequence[NewPicture],
    known: Collection[str],
    to: str,
    fast_seconds: int,
) -> tuple[_Ties, tuple[str, ...]]:
    if to:
        target = _targets(connection, on, to)
        return {new.look.digest: [("by hand", target)] for new in fresh}, ()
    from stores.photos.by_label import file_by_label

    names = {new.look.digest: new.look.file.name for new in fresh}
    ties: _Ties = {}
    notes = []
    for filing in file_by_label(
        [new.look.digest for new in fresh],
        {new.look.digest: new.codes for new in fresh},
        known=known,
        bag_code_of=bag_code_of,
    ):
        for code, how in ((filing.bag, "by label"), (filing.offered, f"{OFFERED} by label")):
            if code:
                place = bag_place(connection, code)
                ties.setdefault(filing.picture, []).append(
                    (how, _Target(f"bag {code}", place=place))
                )
        if filing.note and not filing.bag:
            notes.append(f"{names[filing.picture]}: {filing.note}")
    left = [new for new in fresh if new.look.digest not in ties]
    ties |= _by_time(connection, on, left, fast_seconds)
    return ties, tuple(notes)


def _by_time(
    connection: Connection, on: Machine, left: Sequence[NewPicture], fast_seconds: int
) -> _Ties:
    """Tie pictures to the step in whose time they were taken, or offer the likeliest to them."""
    from stores.photos.by_time import StepTime, file_by_time

    moments = step_moments(connection, on.number)
    if not moments:
        return {}
    found: _Ties = {}
    for filing in file_by_time(
        [(new.look.digest, new.look.taken) for new in left],
        [StepTime(number, moment) for number, moment in moments.items()],
        -fast_seconds,
        zone=datetime.now().astimezone().tzinfo,
    ):
        number = filing.step or next(iter(filing.offered), 0)
        if number:
            how = "by time" if filing.step else f"{OFFERED} by time"
            row = step_row(connection, on.number, number)
            found[filing.picture] = [(how, _Target(f"step {number}", step=row))]
    return found


def file_pictures(
    store: Store,
    numbers: Sequence[int],
    to: str,
    *,
    off: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Tie pictures to a step, a bag or an item; with ``off`` take them off it again.

    Raises:
        NotFound: no such picture, or nothing is called ``to``.
        Refused: to be taken off something that none of them is tied to.
    """
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        chosen = _chosen(read_pictures(writer.connection, on.number), numbers, on)
        target = _targets(writer.connection, on, to)
        if off:
            chosen = [each for each in chosen if _tied(each, target)]
            if not chosen:
                raise Refused(f"none of these pictures is tied to {target.name}")
        word = "taken off" if off else "filed under"
        which = listed([each.number for each in chosen])
        act = writer.begin(ActKind.PICTURE, f"picture {which} {word} {target.name}", at=at)
        for each in chosen:
            target.tie(writer, act, each.row, "by hand", off=off)
    return Done(
        act,
        (f"Picture {which} {word} {target.name}",),
        data={"act": act, "numbers": [each.number for each in chosen], "what": target.name},
    )


def _tied(picture: PictureOnRecord, target: _Target) -> bool:
    return any(
        filed.what == target.name or (filed.item and target.name.startswith(f"{filed.item} "))
        for filed in picture.filed
    )


def accept_offers(
    store: Store,
    numbers: Sequence[int] = (),
    *,
    refuse: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say yes, or no, to what pictures were offered to; all of them, or those numbered.

    Raises:
        Refused: nothing is offered.
    """
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        known = read_pictures(writer.connection, on.number)
        chosen = _chosen(known, numbers, on) if numbers else known
        open_ones = [each for each in chosen if each.offers]
        if not open_ones:
            raise Refused("no picture is offered to anything: 'stores photo list' shows them")
        word = "refused" if refuse else "accepted"
        count = len(open_ones)
        act = writer.begin(ActKind.PICTURE, f"{word} for {plural(count, 'picture')}", at=at)
        for each in open_ones:
            for offer in each.offers:
                target = _again(writer, on, offer)
                how = offer.how.removeprefix(OFFERED).strip()
                target.tie(writer, act, each.row, how, off=refuse)
    names = dict.fromkeys(offer.what for each in open_ones for offer in each.offers)
    return Done(
        act,
        (f"{count} {word}: {', '.join(names)}",),
        data={"act": act, "numbers": [each.number for each in open_ones]},
    )


def _again(writer: Writer, on: Machine, filed: Filed) -> _Target:
    return _targets(writer.connection, on, filed.bag or filed.item or str(filed.step))


def set_caption(
    store: Store,
    numbers: Sequence[int],
    text: str,
    *,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write what stands under pictures. Raises `NotFound` for a number of none."""
    text = clean(text, "the caption", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        chosen = _chosen(read_pictures(writer.connection, on.number), numbers, on)
        which = listed([each.number for each in chosen])
        act = writer.begin(ActKind.PICTURE, f"picture {which}: {text or 'no caption'}", at=at)
        for each in chosen:
            writer.caption(act, each.row, text)
    return Done(act, (f"Picture {which}: {text or 'no caption'}",), data={"act": act})


def _chosen(
    known: Sequence[PictureOnRecord], numbers: Sequence[int], on: Machine
) -> list[PictureOnRecord]:
    by_number = {each.number: each for each in known}
    missing = [number for number in numbers if number not in by_number]
    if missing:
        last = max(by_number, default=0)
        raise NotFound(
            f"no picture {listed(missing)} of {on.name}: "
            + (f"they run up to {last}" if last else "none was taken in yet")
        )
    return [by_number[number] for number in numbers]
