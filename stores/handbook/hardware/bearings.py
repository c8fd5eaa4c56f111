"""Rolling bearings: designations from the ISO 15 plan, suffixes, clearance.

The sizes of a radial bearing are those of its dimension series and bore; the designation is the
type series and the bore code. So the list is not stored, it is made of two tables::

    >>> designation("62", 20.0)
    '6204'
"""

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware.model import Piece, Row
from stores.handbook.table import number, table

__all__ = [
    "Mark",
    "clearance_groups",
    "clearance_rows",
    "clearance_um",
    "designation",
    "explain",
    "rows",
    "suffix_meaning",
    "twins",
]

_CODES = {10.0: "00", 12.0: "01", 15.0: "02", 17.0: "03"}
_GROUPS = ("C2", "CN", "C3", "C4", "C5")


@dataclass(frozen=True, slots=True)
class Mark:
    """A bearing's marking taken apart.

    ``clearance_um`` is the radial internal clearance before fitting, micrometres, of a deep groove
    or cylindrical roller bearing with that bore, or None where the table or the mark says nothing.
    """

    text: str
    base: str
    suffixes: tuple[tuple[str, str], ...]
    bore_mm: float | None
    clearance_group: str
    clearance_um: tuple[float, float] | None
    unread: tuple[str, ...]
    notes: tuple[str, ...]


def designation(series: str, bore_mm: float) -> str:
    """Return the designation of a type series and a bore in mm.

    Under 10 mm the last figure is the bore (608); 10, 12, 15 and 17 have fixed codes; from 20 up
    the code is a fifth of the bore; a bore between has a stroke (62/22).

    Args:
        series: type and dimension series.
        bore_mm: the bore [mm].

    ISO 15: 62 with a bore of 20 mm is 6204, 60 with one of 8 mm is 608:

    >>> designation("62", 20), designation("60", 8)
    ('6204', '608')
    """
    if bore_mm < 10:
        return f"{series}{bore_mm:g}"
    if bore_mm in _CODES:
        return series + _CODES[bore_mm]
    if bore_mm >= 20 and bore_mm % 5 == 0:
        return f"{series}{int(bore_mm) // 5:02d}"
    return f"{series}/{bore_mm:g}"


@cache
def rows() -> tuple[Row, ...]:
    """Return every bearing of the tables as a row: designation, series, type, d, D, B, source."""
    sizes: dict[str, list[Row]] = {}
    for row in table("hardware_bearing_boundaries"):
        sizes.setdefault(row["dimension_series"], []).append(row)
    made: list[Row] = []
    for plan in table("hardware_bearing_series"):
        low, high = float(plan["bore_min_mm"]), float(plan["bore_max_mm"])
        series = plan["series"]
        for size in sizes[plan["dimension_series"]]:
            bore = float(size["d_mm"])
            between = bore > 10 and bore not in _CODES and bore % 5 != 0
            if not low <= bore <= high or (between and series not in _STROKE):
                continue
            if series in _NO_MINIATURE and bore in _NO_MINIATURE[series]:
                continue
            made.append(
                MappingProxyType(
                    {
                        **size,
                        "designation": designation(series, bore),
                        "series": series,
                        "type": plan["type"],
                        "standard": f"ISO 15, dimension series {plan['dimension_series']}",
                    }
                )
            )
    for name in ("hardware_bearings_own", "hardware_bearings_inch"):
        inch = name.endswith("inch")
        for row in table(name):
            kind = "deep groove ball, inch" if inch else row["type"]
            standard = row["series"] if inch else f"series {row['series']}"
            made.append(MappingProxyType({**row, "type": kind, "standard": standard}))
    return tuple(made)


# Stroke bores (22, 28, 32 mm) are usual in the plain deep groove series only.
_STROKE = {"60", "62", "63", "68", "69"}
_NO_MINIATURE = {"12": {8.0}, "13": {6.0, 7.0, 8.0, 9.0}}


@cache
def _by_name() -> dict[str, Row]:
    return {_plain(row["designation"]): row for row in rows()}


@cache
def _by_size() -> dict[tuple[str, str, str], tuple[Row, ...]]:
    found: dict[tuple[str, str, str], tuple[Row, ...]] = {}
    for row in rows():
        key = (row["d_mm"], row["D_mm"], row["B_mm"])
        found[key] = (*found.get(key, ()), row)
    return found


def twins(row: Row) -> tuple[str, ...]:
    """Return the designations of other types of the same d, D and B: the type tells them apart."""
    by_type: dict[str, list[str]] = {}
    for other in _by_size()[row["d_mm"], row["D_mm"], row["B_mm"]]:
        if other["designation"] != row["designation"]:
            kind = other["type"].partition(",")[0]
            by_type.setdefault(kind, []).append(other["designation"])
    return tuple(f"{', '.join(names)} ({kind})" for kind, names in by_type.items())


def clearance_um(
    bore_mm: float, group: str = "CN", *, roller: bool = False
) -> tuple[float, float] | None:
    """Return the radial internal clearance of a deep groove ball bearing, micrometres (min, max).

    Bores over 2.5 up to 200 mm; groups C2, CN (unmarked; C0 is its older mark), C3, C4, C5. None
    where the table has no row. Unfitted and unloaded; it cannot be read with a caliper.
    Source: ISO 5753-1; NSK CAT. No. E1102 Table 9.9. Cylindrical roller bearings with a straight
    bore, over 10 up to 100 mm, C2 to C4: from memory (ISO 5753-1).

    Args:
        bore_mm: the bore [mm].
        group: the clearance group.
        roller: a cylindrical roller bearing.

    ISO 5753-1 has 5 to 20 micrometres for a bore of 20 mm, and 13 to 28 for C3:

    >>> clearance_um(20), clearance_um(20, "C3")
    ((5.0, 20.0), (13.0, 28.0))
    """
    group = {"": "CN", "C0": "CN"}.get(group.upper(), group.upper())
    if group not in _GROUPS:
        raise BadValue(f"clearance group {group!r}: one of {', '.join(_GROUPS)}")
    for row in clearance_rows(bore_mm, roller=roller):
        if row["group"] == group:
            return (float(row["min_um"]), float(row["max_um"]))
    return None


def clearance_rows(bore_mm: float, *, roller: bool = False) -> tuple[Row, ...]:
    """Return the rows of a bore's clearance groups, the tightest first.

    >>> [(row["group"], row["max_um"]) for row in clearance_rows(20)][:3]
    [('C2', '10'), ('CN', '20'), ('C3', '28')]
    """
    return tuple(
        row
        for row in table("hardware_roller_clearance" if roller else "hardware_bearing_clearance")
        if float(row["bore_over_mm"]) < bore_mm <= float(row["bore_incl_mm"])
    )


def suffix_meaning(suffix: str) -> str | None:
    """Return what a suffix means, or None when the list does not have it."""
    return _suffixes().get(suffix.upper())


@cache
def _suffixes() -> dict[str, str]:
    return {row["suffix"].upper(): row["meaning"] for row in table("hardware_bearing_suffixes")}


@cache
def _base() -> re.Pattern[str]:
    """Return the pattern of a marking's base; made at first use, the package must load fast."""
    return re.compile(
        r"""(?:BEARING\s+)?(?P<base>
            (?:NUP|NU|NJ|NF|NA|HK|BK|N)\s?\d{3,4}
          | (?:RLS|RMS|LRJ|MRJ)\s?\d{1,2}(?![\dX])
          | R\d{1,4}(?:-[4-6](?!\d))?A?
          | MR\d{2,3}
          | (?:BO|E|L|M)\d{1,2}
          | \d{2,3}/\d{1,2}(?!\d)
          | 620[23]-(?:5/8|3/4|10)
          | \d{3,5}X?
          )(?P<rest>.*)""",
        re.VERBOSE,
    )


def find(text: str) -> tuple[Row, ...]:
    """Return the rows of a marking's base; several where one marking has open and closed sizes."""
    base, rest = _split(text)
    key = _named(base)
    row = _by_name().get(key)
    if row is None:
        return ()
    closed = _by_name().get(key + "ZZ")
    if closed is None:
        return (row,)
    shut = any(_is_closure(suffix) for suffix, _ in _read_suffixes(rest)[0])
    if shut:
        return (closed,)
    return (row, closed) if not rest.strip(" -") else (row,)


def explain(text: str) -> Mark:
    """Take a marking apart: "6204-2RS C3", "608ZZ", "NU 205 ECP/C3", "R8-2RS", "RLS8".

    Raises `NotationError` when it does not begin as a bearing marking does. Suffixes that the list
    does not have are given back in ``unread``: they are makers' own, copy them.

    >>> mark = explain("6204-2RS C3")
    >>> mark.base, mark.bore_mm, mark.clearance_group
    ('6204', 20.0, 'C3')
    """
    base, rest = _split(text)
    suffixes, unread = _read_suffixes(rest)
    found = find(text)
    bore = number(found[0]["d_mm"]) if found else None
    group = next((suffix for suffix, _ in suffixes if suffix in {*_GROUPS, "C0", "CM"}), "CN")
    form = found[0]["type"] if found else ""
    roller = form.startswith("cylindrical roller")
    clearance = None
    if (
        bore is not None
        and group in {*_GROUPS, "C0"}
        and (roller or form.startswith("deep groove"))
    ):
        clearance = clearance_um(bore, group, roller=roller)
    notes = ["copy the clearance mark of the old bearing: a caliper cannot tell C3 from normal"]
    if clearance and roller:
        notes.append("the clearance of roller bearings is from memory (ISO 5753-1)")
    if unread:
        notes.append(f"{' '.join(unread)}: not in the list of suffixes, a maker's own mark")
    if not found:
        notes.append(f"{base}: not in the tables; measure d, D and B")
    return Mark(text, base, suffixes, bore, group, clearance, unread, tuple(notes))


def _split(text: str) -> tuple[str, str]:
    read = _base().fullmatch(" ".join(text.upper().split()))
    if read is None:
        raise NotationError("not read as a bearing's marking (as 6204-2RS C3, NU 205, RLS8)", text)
    return read["base"].replace(" ", ""), read["rest"]


def _named(base: str) -> str:
    """Return the name under which a base stands: 61804 is 6804, 618/8 is 688, 32005 is 32005X."""
    names = _by_name()
    thin = re.fullmatch(r"61([89])(?:(\d\d)|/(\d))", base)
    if thin:
        return f"6{thin[1]}{thin[2] or thin[3]}"
    partner = re.fullmatch(r"([LM])RJ(\d+)", base)
    if partner:
        return f"R{partner[1]}S{partner[2]}"
    if base.startswith("BK"):
        return f"HK{base[2:]}"  # the same cup with one end closed
    if base not in names and base + "X" in names:
        return base + "X"
    return base


def _plain(text: str) -> str:
    return "".join(text.split()).upper()


def _is_closure(suffix: str) -> bool:
    meaning = suffix_meaning(suffix) or ""
    return ("shield" in meaning or "seal" in meaning) and "fine" not in meaning


def _read_suffixes(rest: str) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    known = sorted(_suffixes(), key=len, reverse=True)
    found: list[tuple[str, str]] = []
    unread: list[str] = []
    for word in re.split(r"[\s/,.-]+", rest.strip()):
        left = word
        taken: list[tuple[str, str]] = []
        while left:
            hit = next((suffix for suffix in known if left.startswith(suffix)), None)
            if hit is None:
                break
            taken.append((hit, _suffixes()[hit]))
            left = left[len(hit) :]
        if left:
            unread.append(word)
        else:
            found.extend(taken)
    return tuple(found), tuple(unread)


_CLEARANCE = (
    r"(?i)(?:(?P<form>roller|ball) )?(?:bearing )?clearances?(?P<forms> roller)?"
    r"(?: (?P<group>c[0-5]|cn))?(?: (?:of|for|bore|a))*(?: (?P<bore>\d+(?:\.\d+)?))(?: ?mm)?"
    r"(?: bore)?(?: (?P<behind>c[0-5]|cn))?"
    r"|(?:bearing )?(?P<first>c[0-5]|cn) (?:(?:of|for|bore|a) )*(?P<then>\d+(?:\.\d+)?)(?: ?mm)?"
    r"(?: bore)?"
)


def clearance_groups(text: str) -> tuple[Piece, ...]:
    """Read "bearing clearance 20", "C3 20": the clearance groups of a bore, micrometres.

    >>> clearance_groups("C3 20")[0].notes[0]
    'C3 13 to 28 micrometres, radial, before it is fitted'
    """
    read = re.fullmatch(_CLEARANCE, text)
    if not read:
        return ()
    bore = float(read["bore"] or read["then"])
    wanted = (read["group"] or read["behind"] or read["first"] or "").upper().replace("C0", "CN")
    form = (read["form"] or read["forms"] or "").strip().lower()
    found = []
    for roller in (False, True):
        if form and (form == "roller") != roller:
            continue
        rows = [
            row
            for row in clearance_rows(bore, roller=roller)
            if not wanted or row["group"] == wanted
        ]
        if not rows:
            continue
        said = ", ".join(f"{row['group']} {row['min_um']} to {row['max_um']}" for row in rows)
        source = "; ".join(dict.fromkeys(row["source"] for row in rows))
        memory = ("from memory: check it before ordering",) if "memory" in source else ()
        kind = "cylindrical roller, straight bore" if roller else "deep groove ball"
        found.append(
            Piece(
                f"clearance of a {bore:g} mm bore", "bearing", "ISO 5753-1", {"d": bore}, {}, {},
                source, (*memory, f"{said} micrometres, radial, before it is fitted", _COPY), kind,
            )
        )  # fmt: skip
    if not found:
        raise NotFound(f"no clearance listed for a bore of {bore:g} mm {wanted}".strip())
    return tuple(found)


_COPY = "CN bears no mark; copy the old bearing's: a caliper cannot tell C3 from normal"
