"""The kinds of consumables: their unit, packs, life in store, hazards, and how they are named.

What a usual pack of the kind says, by sources that each row of the table names; the pack's own
label, date and safety data sheet come before every figure here.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.table import table
from stores.text import slips

__all__ = [
    "Consumable",
    "consumables",
    "kind_by_key",
    "kind_named",
    "kinds_said",
    "which_of",
]

_MOST_ASKED = 5
_LETTERS = 5
"""A word of so many letters is known again with one letter wrong, of eight with two."""


@dataclass(frozen=True, slots=True)
class Consumable:
    """A kind of consumable.

    ``key`` is for programs and never changes; ``name`` is the trade's, ``names`` other ways to say
    it, ``note`` what it is for. ``unit`` is that of the record. ``packs`` are the usual ones, as
    text. Lives in store are months (the cautious one, the longest), None where none was found;
    ``life_note`` says why. ``final`` means that the date is not to be stretched. ``hazards`` are
    the words of the usual data sheet; ``density`` is g/ml, from memory. ``basis`` is ``published``
    (the life was read in a text), ``mixed`` or ``memory`` (a hint only).
    """

    key: str
    family: str
    name: str
    note: str
    names: tuple[str, ...]
    unit: str
    sold_as: str
    packs: tuple[str, ...]
    unopened: tuple[int | None, int | None]
    opened: tuple[int | None, int | None]
    life_note: str
    counts_from: str
    final: bool
    storage: str
    gone_off: str
    hazards: tuple[str, ...]
    caution: str
    disposal: str
    density: float | None
    basis: str
    source: str

    @property
    def dated(self) -> bool:
        """Whether it has a life in store that is counted."""
        return self.unopened[0] is not None or self.opened[0] is not None

    def __str__(self) -> str:
        return self.name


def _months(text: str) -> int | None:
    return int(text) if text else None


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part for each in text.split(";") if (part := each.strip()))


@cache
def consumables() -> tuple[Consumable, ...]:
    """Return all kinds, in order of the table: by family."""
    return tuple(
        Consumable(
            row["key"], row["family"], row["name"], row["note"], _parts(row["names"]), row["unit"],
            row["sold_as"], _parts(row["packs"]),
            (_months(row["unopened_low"]), _months(row["unopened_high"])),
            (_months(row["opened_low"]), _months(row["opened_high"])),
            row["life_note"], row["counts_from"], row["final"] == "yes", row["storage"],
            row["gone_off"], _parts(row["hazards"]), row["caution"], row["disposal"],
            float(row["density"]) if row["density"] else None, row["basis"], row["source"],
        )
        for row in table("consumables")
    )  # fmt: skip


@cache
def _by_key() -> dict[str, Consumable]:
    return {kind.key: kind for kind in consumables()}


def kind_by_key(key: str) -> Consumable:
    """Return the kind of a key, as a record holds it. Raises `NotFound` for another key."""
    try:
        return _by_key()[key]
    except KeyError:
        raise NotFound(f"no kind of consumable {key!r}") from None


_SMALL = frozenset(("a", "an", "the", "of", "for", "some", "my", "and", "or", "to"))
# What makes another thing of the word before it: a wire brush is no wire, an oil filter no oil.
_OTHER_THINGS = frozenset(
    [
        "brush",
        "filter",
        "pump",
        "seal",
        "tank",
        "tap",
        "cap",
        "gauge",
        "pressure",
        "light",
        "switch",
        "gun",
        "cooler",
        "strainer",
        "level",
        "stick",
        "cutter",
        "stripper",
        "loom",
        "nut",
        "bolt",
        "screw",
        "stud",
        "housing",
        "holder",
        "bracket",
        "spring",
        "wheel",
        "lever",
        "spoke",
        "mesh",
        "can",
        "pipe",
        "line",
        "hose",
        "clip",
        "plug",
        "pan",
        "drain",
        "feed",
        "thrower",
        "ring",
        "catcher",
        "jug",
        "funnel",
        "cleaner",
        "tester",
        "meter",
        "sender",
        "gasket",
        "spacer",
        "horn",
        "cable",
        "rail",
        "terminal",
    ]
)
_SPELLINGS = {
    "gray": "grey", "aluminum": "aluminium", "sulfonate": "sulphonate", "disk": "disc",
    "color": "colour", "deionized": "deionised", "vulcanizing": "vulcanising", "molly": "moly",
    "neutralizing": "neutralising", "silicon": "silicone",
}  # fmt: skip


def _stem(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us")):
        word = word[:-1]
    return _SPELLINGS.get(word, word)


@cache
def _said(text: str) -> tuple[str, ...]:
    """Return the words of a name as they are compared: folded, singular, of one spelling."""
    plain = text.casefold().replace("'", "").replace("’", "")
    plain = re.sub(r"(?<=\d)[.,](?=\d)", "·", plain)  # DOT 5.1 is not DOT 5
    found = re.findall(r"[^\W_]+(?:·[^\W_]+)*", plain)
    return tuple(_stem(word) for word in found if word not in _SMALL)


@cache
def _phrases() -> dict[tuple[str, ...], tuple[Consumable, ...]]:
    """Return the kinds of every way to say one."""
    found: dict[tuple[str, ...], tuple[Consumable, ...]] = {}
    for kind in consumables():
        for phrase in dict.fromkeys(_said(name) for name in (kind.name, *kind.names)):
            if phrase:
                found[phrase] = (*found.get(phrase, ()), kind)
    return found


@cache
def _vocabulary() -> frozenset[str]:
    return frozenset(word for phrase in _phrases() for word in phrase)


@cache
def _mended(word: str) -> str:
    """Return the one known word that a slip of the keyboard is away, or the word as it is."""
    if len(word) < _LETTERS or not word.isalpha() or word in _vocabulary() | _OTHER_THINGS:
        return word
    most = 2 if len(word) >= 8 else 1
    near: dict[int, list[str]] = {}
    for known in _vocabulary():
        if len(known) >= _LETTERS and known[0] == word[0] and known.isalpha():
            near.setdefault(slips(word, known, most), []).append(known)
    for count in range(1, most + 1):
        if found := near.get(count):
            return found[0] if len(found) == 1 else word
    return word


def _holds(said: tuple[str, ...], phrase: tuple[str, ...]) -> int:
    """Return how well a text says a phrase: 2 in order and together, 1 in another order, 0 not.

    A thing that follows, which is no part of the phrase, makes something else of it.
    """
    size = len(phrase)
    for at in range(len(said) - size + 1):
        if said[at : at + size] == phrase:
            behind = said[at + size : at + size + 1]
            return 0 if behind and behind[0] in _OTHER_THINGS else 2
    words, others = set(phrase), set(said) - set(phrase)
    if said[-1:] != phrase[-1:] and set(said[-1:]) & _OTHER_THINGS:
        return 0
    return int(len(words) == size > 1 and words <= set(said) and not others & _OTHER_THINGS)


_GRADE = (
    r"(?i)(?<![\w.])(?:sae\s*)?(\d{1,3}\s*w(?:\s*[-/ ]?\s*\d{2,3})?)(?![\w.])|"
    r"(?<![\w.])(?:sae|ep|hypoid)\s*(\d{2,3})(?![\w.])"
)


def _by_grade(text: str) -> Consumable | None:
    """Return the oil that a grade is of: SAE J300 engine oil, SAE J306 gear oil."""
    if re.search(r"(?i)\bGL[- ]?[1-6]\b", text):
        return kind_by_key("gear-oil")
    found = re.search(_GRADE, text)
    if found is None:
        return None
    from stores.handbook.fluids import Scale, read_grade

    try:
        grade = read_grade(found[0].strip())
    except (NotationError, BadValue):
        return None
    return kind_by_key("gear-oil" if grade.scale is Scale.GEAR else "engine-oil")


@lru_cache(maxsize=1024)
def kinds_said(text: str) -> tuple[Consumable, ...]:
    """Return the kinds that a text may name, the best told first; none where it names none.

    ``brake fluid`` may be two kinds, ``medium threadlocker`` is one, ``oil filter`` is none.
    A grade decides between oils: ``SAE 140`` is of gear oils, ``20W/50`` of engine oils.

    >>> [kind.key for kind in kinds_said("brake fluid")]
    ['brake-fluid-glycol', 'brake-fluid-silicone']
    """
    said = tuple(_mended(word) for word in _said(text))
    best: tuple[Consumable, ...] = ()
    most = 0
    for phrase, kinds in _phrases().items():
        if held := _holds(said, phrase):
            size = 2 * len(phrase) + held
            if size >= most:
                best = kinds if size > most else tuple(dict.fromkeys((*best, *kinds)))
                most = size
    if len(best) == 1:
        return best
    graded = _by_grade(text)
    return (graded,) if graded and (not best or graded in best) else best


def kind_named(text: str) -> Consumable:
    """Return the kind that a text names, as a person writes it: ``medium threadlocker``.

    Case, plurals, hyphens and a slip in a long word do not matter.

    Raises:
        NotationError: nothing there.
        BadValue: a name of several kinds; the line asks which.
        NotFound: no kind is called that.

    >>> kind_named("medium threadlocker").name
    'threadlocker, medium strength'
    >>> kind_named("SAE 140").key
    'gear-oil'
    """
    if not text.strip():
        raise NotationError("which consumable? Say what it is", text)
    found = kinds_said(text)
    if len(found) == 1:
        return found[0]
    name = " ".join(text.split())[:60]
    if not found:
        raise NotFound(f"no kind of consumable is called {name!r}")
    raise BadValue(which_of(name, found))


def which_of(name: str, kinds: tuple[Consumable, ...]) -> str:
    """Return the line that asks which of several kinds a name means."""
    which = [kind.name for kind in kinds[:_MOST_ASKED]]
    if len(kinds) > _MOST_ASKED:
        which.append("another")
    listed = "; ".join(which[:-1])
    return f"which {name}? {listed}; or {which[-1]}"
