"""Which bag a picture belongs to, by the labels it shows. Pure: no file is opened here."""

from collections.abc import Callable, Container, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from stores.text import join

__all__ = ["BagFiling", "file_by_label", "first_word"]

Picture = TypeVar("Picture", bound=Hashable)


@dataclass(frozen=True, slots=True)
class BagFiling(Generic[Picture]):
    """What the labels say of one picture.

    ``bag`` is the bag it is filed under, or None; ``offered`` the bag whose label was last shown
    before it, which somebody has to say yes to. ``seen`` are the known bags that it shows,
    ``unknown`` the bag codes of no bag here, ``foreign`` codes that are no bag's at all. ``note``
    says in one line what a person should know, or nothing.
    """

    picture: Picture
    bag: str | None = None
    offered: str | None = None
    seen: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()
    note: str = ""


def first_word(text: str) -> str | None:
    """Give the first word of what a code says: where a bag's label has its code."""
    words = text.split(maxsplit=1)
    return words[0] if words else None


def file_by_label(
    pictures: Sequence[Picture],
    codes: Mapping[Picture, Iterable[str]],
    *,
    known: Container[str],
    bag_code_of: Callable[[str], str | None] = first_word,
) -> list[BagFiling[Picture]]:
    """File pictures, in the order they were taken, under the bags whose labels they show.

    ``codes`` are the texts read in each picture; ``bag_code_of`` gives the bag code in a text, or
    None where its form or check letter is not that of a bag code; ``known`` are the bags there are.

    A picture is filed only under the one known bag that it shows. With two, it is filed under
    none, for nobody can tell which of them is meant. Those that show no bag's label are offered to
    the bag last shown. A label that cannot be placed (two bags, or a bag not known) ends that, as
    any other label would: what follows may well belong to it.
    """
    filings: list[BagFiling[Picture]] = []
    shown_last: str | None = None
    for picture in pictures:
        seen: dict[str, None] = {}
        unknown: dict[str, None] = {}
        foreign: dict[str, None] = {}
        for text in codes.get(picture, ()):
            code = bag_code_of(text)
            if code is None:
                foreign[text] = None
            elif code in known:
                seen[code] = None
            else:
                unknown[code] = None
        bag = next(iter(seen)) if len(seen) == 1 else None
        offered = None
        if seen or unknown:
            shown_last = bag
        else:
            offered = shown_last
        filings.append(
            BagFiling(
                picture,
                bag,
                offered,
                tuple(sorted(seen)),
                tuple(sorted(unknown)),
                tuple(sorted(foreign)),
                _note(sorted(seen), sorted(unknown), len(foreign)),
            )
        )
    return filings


def _note(seen: list[str], unknown: list[str], foreign: int) -> str:
    notes = []
    if len(seen) > 1:
        notes.append(f"shows the labels of {join(seen)}: filed under none of them")
    if unknown:
        notes.append(f"shows {join(unknown)}, which is no bag here")
        if len(unknown) > 1:
            notes[-1] = f"shows {join(unknown)}, which are no bags here"
    if foreign:
        notes.append("shows a code that is no bag's" if foreign == 1 else "shows other codes")
    return "; ".join(notes)
