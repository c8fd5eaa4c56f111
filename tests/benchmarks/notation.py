"""Measure the fastener parser against texts with known meaning.

Run from the project's root:
``python tests/benchmarks/notation.py [--errors] [--mend | --held] [file.csv ...]``.
Each field of each text is right, wrong (something else, or something where the text says nothing)
or not read (left empty); in a cell, ``|`` parts readings either of which is right. ``asked`` counts
the wrong ones of a text on which a question is put. Speed is given as a ratio to a plain scan of
the same texts with one regular expression in the same run, since seconds differ between machines.

``--mend`` and ``--held`` take one half of a file each: the rules are mended on the first and the
second is measured without looking at it. The halves go by the hash of the source, and of the text
itself where a file has one source only.
"""

import csv
import hashlib
import re
import sys
import time
from collections import Counter
from fractions import Fraction
from pathlib import Path

from stores.handbook.fastener import Fastener, Kind, parse
from stores.handbook.fastener.grammar import read_text
from stores.handbook.fastener.writing import write

PUBLISHED = Path(__file__).parents[1] / "published"
FIELDS = [
    "quantity", "kind", "series", "diameter", "pitch_or_tpi", "length", "head", "drive",
    "property_class", "finish", "standard",
]  # fmt: skip
# Our kinds in the words of the table, which has fewer.
KINDS = {
    Kind.TAB_WASHER: "washer",
    Kind.TOOTHED_WASHER: "washer",
    Kind.SEALING_WASHER: "washer",
    Kind.SHIM: "washer",
    Kind.GASKET: "seal",
    Kind.GROOVED_PIN: "dowel",
    Kind.TAPER_PIN: "dowel",
    Kind.E_CLIP: "circlip",
    Kind.DRIVE_SCREW: "other",
}
SAME = {"bolt", "screw", "nut", "washer", "spring washer", "stud", "dowel", "circlip",
        "woodruff key", "split pin", "bearing", "O-ring", "seal", "setscrew"}  # fmt: skip
# The table's other word for the cycle thread, BS 811.
SAME_SERIES = {"bsc": "cycle"}
NO_DIAMETER = (Kind.BEARING, Kind.SEAL, Kind.O_RING)


def fields(item: Fastener) -> dict[str, str]:
    """Give a fastener in the columns of the table."""
    kind = KINDS.get(item.kind) or (str(item.kind) if str(item.kind) in SAME else "other")
    if item.kind is Kind.PART:
        kind = "" if item.questions or item.unread or item.size else "none"
    return {
        "quantity": "" if item.quantity is None else str(item.quantity),
        "kind": kind,
        "series": item.series or "",
        "diameter": "" if item.kind in NO_DIAMETER else item.size,
        "pitch_or_tpi": item.pitch_or_tpi,
        "length": str(item.length or ""),
        "head": item.head,
        "drive": item.drive,
        "property_class": item.property_class,
        "finish": item.finish.replace("galvanised", "galvanized"),
        "standard": item.standard,
    }


def level(name: str, text: str) -> object:
    """Give a cell in a form that compares by value: numbers as numbers, words in lower case."""
    text = text.strip().lower()
    if name in ("diameter", "pitch_or_tpi", "length") and text:
        about, text = text.startswith("ca."), text.removeprefix("ca.").strip()
        unit = "in" if text.endswith(" in") else "mm" if text.endswith(" mm") else ""
        number = text.removesuffix(" in").removesuffix(" mm").lstrip("m#").removesuffix("ba")
        value = sum((Fraction(p) for p in number.split()), Fraction(0))
        exact = (value, unit) if name == "length" else value
        return ("about", exact) if about else exact
    return SAME_SERIES.get(text, text) if name == "series" else text


def judge(row: dict[str, str]) -> dict[str, str]:
    """Judge every field of a row: right, wrong or not read."""
    got = fields(parse(row["text"]))
    verdicts = {}
    for name in FIELDS:
        want, have = [level(name, cell) for cell in row[name].split("|")], level(name, got[name])
        verdicts[name] = "right" if have in want else "not read" if have == "" else "wrong"
    return verdicts


def in_half(row: dict[str, str], held: bool, alone: bool) -> bool:
    """Tell whether a row belongs to the half that is held back, or else to the other."""
    key = row["text"] if alone else row["source"]
    return (hashlib.sha256(key.encode()).digest()[0] % 2 == 1) is held


def main(arguments: list[str]) -> None:
    """Print the tables."""
    show = "--errors" in arguments
    names = [a for a in arguments if not a.startswith("--")] or [
        str(PUBLISHED / "fastener_text.csv"),
        str(PUBLISHED / "fastener_text_more.csv"),
    ]
    for name in names:
        if Path(name).exists():
            half = next((a for a in ("--mend", "--held") if a in arguments), "")
            report(Path(name), show, half)


def report(path: Path, show: bool, half: str = "") -> None:
    """Print right, wrong and not read for one file, by field and by style."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    if half:
        alone = len({row["source"] for row in rows}) == 1
        rows = [row for row in rows if in_half(row, half == "--held", alone)]
    by_field: dict[str, Counter[str]] = {name: Counter() for name in FIELDS}
    by_style: dict[str, Counter[str]] = {}
    filled: Counter[str] = Counter()
    forced = asked = 0
    for row in rows:
        verdicts = judge(row)
        if parse(row["text"]).questions:
            asked += sum(verdict == "wrong" for verdict in verdicts.values())
        forced += row["kind"] == "none" and verdicts["kind"] == "wrong"
        for name, verdict in verdicts.items():
            by_field[name][verdict] += 1
            by_style.setdefault(row["style"], Counter())[verdict] += 1
            if row[name]:
                filled[verdict] += 1
            if show and verdict != "right":
                got = fields(parse(row["text"]))[name]
                print(f"{verdict:9}{name:15}{row[name]!r:14} {got!r:14} {row['text']}")
    total = sum(by_field.values(), Counter())
    print(
        f"\n{path.name} {half}: {len(rows)} texts; plain parts read as fasteners: {forced}; ",
        end="",
    )
    print(f"wrong with a question: {asked}")
    for title, table in (("field", by_field), ("style", by_style)):
        print(f"{title:28}{'right':>8}{'wrong':>8}{'not read':>10}")
        for name, count in table.items():
            print(f"{name:28}{count['right']:8}{count['wrong']:8}{count['not read']:10}")
    print(f"{'all':28}{share(total)}\n{'fields the text states':28}{share(filled)}")
    speed([row["text"] for row in rows])


def share(count: Counter[str]) -> str:
    """Write the three shares in per cent."""
    whole = sum(count.values())
    return "".join(f"{100 * count[v] / whole:9.2f} %" for v in ("right", "wrong", "not read"))


def speed(texts: list[str]) -> None:
    """Print texts per second, and how many word scans one parse costs."""
    scan = re.compile(r"[A-Za-z]+|[0-9./]+|\S")
    plain = parse.__wrapped__
    for text in texts:
        plain(text)
    read_text.cache_clear()
    write.cache_clear()
    start = time.perf_counter()
    for text in texts:
        plain(text)
    ours = (time.perf_counter() - start) / len(texts)
    start = time.perf_counter()
    for _ in range(20):
        for text in texts:
            scan.findall(text)
    scans = (time.perf_counter() - start) / len(texts) / 20
    print(f"{1 / ours:.0f} texts a second, {ours * 1e6:.0f} us each: {ours / scans:.0f} word scans")


if __name__ == "__main__":
    main(sys.argv[1:])
