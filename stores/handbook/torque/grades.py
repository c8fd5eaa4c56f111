"""How strong a bolt is: property classes, grades and alloys, from what is marked on it.

What a bolt is screwed into, and what its head bears on.

Friction of thread and head: what a state of the surfaces is known to give, as a range.
"""

import re
from dataclasses import dataclass
from functools import cache
from math import isfinite
from types import MappingProxyType

from stores import units
from stores.errors import BadValue
from stores.handbook.table import number, table
from stores.handbook.thread import Series, Thread
from stores.text import fold

__all__ = [
    "LEAST",
    "MOST",
    "Friction",
    "Grade",
    "Material",
    "find_grade",
    "friction",
    "known_grades",
    "material",
    "materials",
    "nut_proof_n",
    "states",
]


ISO, STAINLESS, SAE, ALLOY, LETTER = (
    "ISO 898-1", "ISO 3506-1", "SAE J429", "ISO 8839", "British letter grade",
)  # fmt: skip

_KEYS = {
    ISO: "iso898-1",
    STAINLESS: "iso3506-1",
    SAE: "sae-j429",
    ALLOY: "iso8839",
    LETTER: "british-letters",
}

_UNIFIED = (Series.UNC, Series.UNF, Series.UNEF)

_UNKNOWN = ("", "?", "unknown", "unmarked", "no mark", "none", "not known", "not marked")

_LETTER_YIELD = 0.6


@dataclass(frozen=True, slots=True)
class Grade:
    """Strength of a bolt of one class or grade and size, MPa, least values.

    ``yield_kind`` is what the yield is: ReL, Rp0.2, Rpf, or "assumed" where no figure was found in
    print. ``proof_mpa`` is None where the standard gives none. ``assumed`` says what was taken for
    granted in finding it, ``note`` what the table adds.
    """

    system: str
    name: str
    rm_mpa: float
    yield_mpa: float
    yield_kind: str
    proof_mpa: float | None
    source: str
    note: str = ""
    assumed: tuple[str, ...] = ()
    unknown: bool = False

    def __str__(self) -> str:
        word = {ISO: "class ", SAE: "SAE grade ", LETTER: "British grade "}.get(self.system, "")
        return f"{word}{self.name}"

    @property
    def key(self) -> str:
        """The source key of the system, for `cite`."""
        return _KEYS[self.system]

    @property
    def stainless(self) -> bool:
        """Whether it is a stainless class: its friction is higher, and it seizes when dry."""
        return self.system == STAINLESS

    @property
    def soft(self) -> bool:
        """Whether it is of brass, bronze or aluminium: it breaks where steel would hold."""
        return self.system == ALLOY

    @property
    def weakest_mpa(self) -> float:
        """The least yield that the table has for it at any size, MPa."""
        rows = _rows()[f"{self.system}|{self.name.split()[0]}"]
        return min((float(row["yield_mpa"]) for row in rows if row["yield_mpa"]),
                   default=self.yield_mpa)  # fmt: skip

    def breaking_n(self, thread: Thread) -> float:
        """Return the least breaking load, N: tensile strength times stress area."""
        return self.rm_mpa * thread.stress_area_mm2

    def proof_n(self, thread: Thread) -> float:
        """Return the proof load, N. Raises `BadValue` where the standard has no proof stress."""
        if self.proof_mpa is None:
            raise BadValue(f"{self} has no proof stress in its table ({self.system})")
        return self.proof_mpa * thread.stress_area_mm2


@cache
def _rows() -> MappingProxyType[str, tuple[MappingProxyType[str, str], ...]]:
    rows: dict[str, list[MappingProxyType[str, str]]] = {}
    for row in table("torque_grades"):
        rows.setdefault(f"{row['system']}|{row['grade'].split()[0]}", []).append(row)
    return MappingProxyType({key: tuple(found) for key, found in rows.items()})


def known_grades(system: str | None = None) -> tuple[str, ...]:
    """Return the names of the classes and grades the tables hold, of one system or all."""
    split = (key.split("|") for key in _rows())
    return tuple(name for where, name in split if system in (None, where))


def find_grade(text: str, thread: Thread) -> Grade:
    """Return the strength that a mark means on a bolt of this thread.

    ``8.8``, ``A2-70``, ``SAE 5`` or ``grade 5`` (Unified threads), ``grade R`` (British, inch
    threads and BA), ``brass``, ``CU2``. Empty, ``unknown`` or ``unmarked`` is the weakest class
    of the thread's family, and the grade says so.

    Raises `BadValue` for a class that does not exist, that belongs to another family of threads,
    or that is not made in this size.

    Args:
        text: what is marked on the bolt.
        thread: its thread; strength may go by size.

    ISO 898-1 table 3 has 800, 640 and 580 MPa for 8.8 up to M16:

    >>> from stores.handbook.thread import get
    >>> grade = find_grade("8.8", get("M8"))
    >>> grade.rm_mpa, grade.yield_mpa, grade.proof_mpa
    (800.0, 640.0, 580.0)
    """
    word = " ".join(text.lower().replace("class", " ").split())
    if word in _UNKNOWN:
        return _weakest(thread)
    for pattern, find in _READERS:
        if found := re.fullmatch(pattern, word):
            return find(found, thread)
    raise BadValue(
        f"no class or grade {text.strip()!r}; write what is on the head, as 8.8, A2-70, SAE 5, "
        "grade R, brass; nothing where it has no mark"
    )


def _weakest(thread: Thread) -> Grade:
    said = (
        "no mark known: taken as the weakest steel in common use, {}; very old ones may be weaker"
    )
    if thread.series in _UNIFIED and thread.major_mm > 6:
        return _row(SAE, "1", thread, (said.format("SAE grade 1"),), unknown=True)
    told = [said.format("class 4.6")]
    if thread.series is not Series.METRIC:
        told.append(f"ISO 898-1 is for metric threads: its figures are borrowed for {thread}")
    return _row(ISO, "4.6", thread, tuple(told), unknown=True)


def _iso(found: re.Match[str], thread: Thread) -> Grade:
    borrowed = f"ISO 898-1 is for metric threads: its figures are borrowed for {thread}"
    return _row(ISO, found[0], thread, () if thread.series is Series.METRIC else (borrowed,))


def _sae(found: re.Match[str], thread: Thread) -> Grade:
    if thread.series not in _UNIFIED:
        raise BadValue(
            f"{found[0]!r} on {thread}: SAE grades are for Unified threads, and one number "
            "alone is a nut's class or an old head mark; a metric bolt's class reads 8.8"
        )
    return _row(SAE, found[1], thread)


def _stainless(found: re.Match[str], thread: Thread) -> Grade:
    alloy, strength = (found[1] or "A2").upper(), found[2]
    if strength:
        return _row(STAINLESS, f"{alloy}-{strength}", thread)
    names = [name for name in known_grades(STAINLESS) if name.startswith(f"{alloy}-")]
    if not names:
        raise BadValue(f"no stainless {alloy}; known are: {', '.join(known_grades(STAINLESS))}")
    weakest = min(names, key=lambda name: int(name.split("-")[1]))
    said = f"stainless of a class not known: taken as the weakest, {weakest}"
    return _row(STAINLESS, weakest, thread, (said,))


def _brass(_: re.Match[str], thread: Thread) -> Grade:
    said = "brass of a kind not known: taken as CU2 (CuZn37), no stronger than CU3"
    return _row(ALLOY, "CU2", thread, (said,))


def _alloy(found: re.Match[str], thread: Thread) -> Grade:
    return _row(ALLOY, found[0].upper(), thread)


def _letter(found: re.Match[str], thread: Thread) -> Grade:
    letter = found[1].upper()
    if thread.series is Series.METRIC:
        raise BadValue(f"grade {letter} on {thread}: British letter grades are for inch threads")
    said = (
        f"British grade {letter}: only its tensile strength is on record; yield taken as "
        f"{_LETTER_YIELD:g} of it (assumption)"
    )
    return _row(LETTER, letter, thread, (said,))


_READERS = (
    (r"\d{1,2}\.\d", _iso),
    (r"(?:sae )?(?:j ?429 )?(?:grade |gr\.? ?)?(\d{1,2})", _sae),
    (r"([acf]\d)(?:[- ]?(\d{2,3}))?|stainless(?: steel)?", _stainless),
    (r"brass", _brass),
    (r"cu[1-7]|al[1-6]", _alloy),
    (r"(?:british )?(?:grade |letter )?([a-z])", _letter),
)


def _row(
    system: str, name: str, thread: Thread, assumed: tuple[str, ...] = (), *, unknown: bool = False
) -> Grade:
    rows = _rows().get(f"{system}|{name}")
    if rows is None:
        known = ", ".join(known_grades(system))
        raise BadValue(f"there is no {name} in {system}; there are: {known}")
    for row in rows:
        if float(row["d_over_mm"]) < thread.major_mm <= float(row["d_to_mm"]) + 1e-9:
            rm, least = float(row["rm_mpa"]), number(row["yield_mpa"])
            return Grade(
                system,
                row["grade"],
                rm,
                rm * _LETTER_YIELD if least is None else least,
                "assumed" if least is None else row["yield_kind"],
                number(row["proof_mpa"]),
                row["source"],
                row["note"],
                assumed,
                unknown,
            )
    low = min(float(row["d_over_mm"]) for row in rows)
    high = max(float(row["d_to_mm"]) for row in rows)
    raise BadValue(
        f"{system} has {name} over {low:g} and up to {high:g} mm: none for {thread}",
    )


@dataclass(frozen=True, slots=True)
class Material:
    """A material of a tapped hole or seat: least shear strength, greatest pressure, MPa.

    ``pressure_mpa`` is None where no figure was found: it is then unknown, not unlimited.
    """

    name: str
    shear_mpa: float
    pressure_mpa: float | None
    source: str


@cache
def _materials() -> dict[str, Material]:
    found = {}
    for row in table("torque_materials"):
        each = Material(
            row["material"], float(row["shear_mpa"]), number(row["pressure_mpa"]), row["source"]
        )
        for word in (row["material"], *row["words"].split(";")):
            found[word.strip().lower()] = each
    return found


def materials() -> tuple[str, ...]:
    """Return the names of the materials on record."""
    return tuple(dict.fromkeys(each.name for each in _materials().values()))


def material(text: "str | Material") -> Material:
    """Return a material by name or word. Raises `BadValue` for one that is not on record.

    >>> material("aluminium").name
    'cast aluminium'
    """
    if isinstance(text, Material):
        if not (0 < text.shear_mpa <= 2000):
            raise BadValue(f"shear strength {text.shear_mpa:g} MPa: expected above 0, up to 2000")
        if text.pressure_mpa is not None and not (0 < text.pressure_mpa <= 5000):
            raise BadValue(f"pressure {text.pressure_mpa:g} MPa: expected above 0, up to 5000")
        return text
    found = _materials().get(fold(text))
    if found is None:
        raise BadValue(f"no strength on record for {text!r}; known are: {', '.join(materials())}")
    return found


def nut_proof_n(thread: Thread, nut_class: str) -> float:
    """Return the proof load, N, of a full-height nut of a class (ISO 898-2) on this thread.

    Stepped proof stress times the stress area of the bolt. Raises `BadValue` for a class or a
    size that the table does not hold.

    ISO 898-2 has 42500 N for M8 of class 12:

    >>> from stores.handbook.thread import get
    >>> round(nut_proof_n(get("M8"), "12"), -2)
    42500.0
    """
    word = nut_class.lower().replace("class", "").strip()
    rows = [row for row in table("torque_nuts") if row["nut_class"] == word]
    if not rows:
        classes = ", ".join(dict.fromkeys(row["nut_class"] for row in table("torque_nuts")))
        raise BadValue(f"no nut class {nut_class.strip()!r} in ISO 898-2; there are: {classes}")
    for row in rows:
        if float(row["d_over_mm"]) < thread.major_mm <= float(row["d_to_mm"]):
            return float(row["proof_mpa"]) * thread.stress_area_mm2
    raise BadValue(f"ISO 898-2 has no nut of class {word} for {thread}")


LEAST, MOST = 0.03, 0.60

"""Friction outside this is refused: class A of VDI 2230 table A5 starts at 0.04, and dry stainless,
the worst in print, reaches a nut factor of 0.5, about 0.45 as friction."""


_UNSURE = ("unknown", "locking compound")
"""States whose sources disagree or that nobody knows: the slippery end is set."""


@dataclass(frozen=True, slots=True)
class Friction:
    """Friction coefficient: ``low`` <= ``nominal`` <= ``high``, the same for thread and head.

    ``scatter`` is the share by which preload at one torque spreads either way (NASA TM-106943:
    0.25 lubricated, 0.35 dry). ``note`` is what the table warns of.
    """

    state: str
    low: float
    nominal: float
    high: float
    scatter: float
    sources: tuple[str, ...]
    source: str
    note: str = ""
    unsure: bool = False
    """Whether nothing says where in the range it is: then the slippery end is what is set."""

    def __str__(self) -> str:
        if self.low == self.high:
            return f"friction {self.nominal:g}"
        return f"{self.state}, friction {self.nominal:g} ({self.low:g} to {self.high:g})"


def states(*, stainless: bool = False) -> tuple[str, ...]:
    """Return the names of the states that have a range."""
    return tuple(_states("stainless" if stainless else "steel"))


@cache
def _states(material: str) -> MappingProxyType[str, Friction]:
    found = {}
    for row in table("torque_friction_states"):
        if row["material"] == material:
            found[row["state"]] = Friction(
                row["state"], float(row["low"]), float(row["nominal"]), float(row["high"]),
                float(row["scatter"]), ("vdi2230-a5", "nasa-106943"), row["source"], row["note"],
                row["state"] in _UNSURE,
            )  # fmt: skip
    return MappingProxyType(found)


@cache
def _words(material: str) -> dict[str, str]:
    words = {}
    for row in table("torque_friction_states"):
        if row["material"] == material:
            words[row["state"]] = row["state"]
            words.update({word.strip(): row["state"] for word in row["words"].split(";")})
    return words


def _class(letter: str) -> Friction:
    row = next(row for row in table("torque_friction_classes") if row["class"] == letter)
    low, nominal, high, scatter = (
        float(row[column]) for column in ("low", "nominal", "high", "scatter")
    )
    return Friction(
        f"class {letter}", low, nominal, high, scatter, ("vdi2230-a5", "nasa-106943"),
        row["source"], row["what"],
    )  # fmt: skip


def friction(state: "str | float | Friction | None", *, stainless: bool = False) -> Friction:
    """Return the range that a state (``dry``, ``oiled`` ...), a figure or a range of them means.

    ``0.12`` is one figure, ``0.10-0.14`` a range, ``class B`` one of VDI 2230 table A5. Stainless
    has ranges of its own. Raises `BadValue` for None or an empty text (dry or oiled is asked, never
    assumed), for a state that has no range and for friction outside 0.03 to 0.60.

    Args:
        state: a state, a figure or a range of figures [1].
        stainless: both parts are stainless.

    Class B of VDI 2230 table A5, oiled, is 0.08 to 0.16:

    >>> oiled = friction("oiled")
    >>> oiled.low, oiled.high
    (0.08, 0.16)
    """
    if isinstance(state, Friction):
        return state
    known = ", ".join(states(stainless=stainless))
    if state is None or (isinstance(state, str) and not state.strip()):
        raise BadValue(f"dry or oiled? the torque depends on it; say one of: {known}; or a figure")
    if isinstance(state, str):
        word = fold(state)
        material = "stainless" if stainless else "steel"
        if found := re.fullmatch(r"(?:friction )?class ([a-e])", word):
            return _class(found[1].upper())
        if word in _words(material):
            return _states(material)[_words(material)[word]]
        figures = re.fullmatch(r"(?:mu )?(\d*[.,]?\d+)(?: ?(?:-|–|to) ?(\d*[.,]?\d+))?", word)
        if figures is None:
            raise BadValue(f"no friction on record for {state.strip()!r}; known are: {known}")
        low, high = (float(units.value(text or figures[1])) for text in figures.groups())
    else:
        low = high = float(state)
    for value in (low, high):
        if not (isfinite(value) and LEAST <= value <= MOST):
            raise BadValue(
                f"friction {value:g}: expected {LEAST:g} to {MOST:g}; the slipperiest paste has "
                "about 0.04, dry stainless about 0.45"
            )
    if low > high:
        raise BadValue(f"friction {low:g} to {high:g}: the smaller figure comes first")
    middle = low if low == high else min(high, max(low, round((low + high) / 2, 6)))
    return Friction(
        "as given", low, middle, high, 0.25, ("given", "nasa-106943"), "as given",
        unsure=low < high,
    )  # fmt: skip
