"""A pump engine on a trolley, written down with every sort of mistake, put right, and closed out.

Beside the record the test keeps a tally of its own: what the person at the bench really had in hand
and where it was put, whatever had been typed. A correction touches the record alone and never the
tally, so the two agree only where the record was put right.

Off, as it truly was, by step:
    2 fuel tank        1 + 2 bolts + 4 washers                                           7
    3 trip gear        1 + 2 screws + 1 split pin + 1 spring washer                      5
    4 magneto          1 + 3 bolts + 3 spring washers                                    7
    5 rocker arm       1 + 1 pin + 1 of 2 split pins + 2 lock nuts                       5
    6 cylinder head    1 + 6 nuts, 1 of them seized + 6 washers + 1 gasket + 2 studs, 1 broken  16
    7 big end cap      1 + 2 bolts + 1 of 2 nuts + 2 split pins + 3 shims                9
    8 piston and rod   1 + 3 rings + 1 gudgeon pin + 2 circlips                          7
    9 flywheel         1 + 1 gib key + 1 wrong bolt                                      3
    10 pump head       1 + 10 bolts + 1 odd bolt + 1 leather cup + 1 gasket             14
    11 crosshead       1 + 2 shims + 4 cap bolts + 2 washers                             9
    12 oil cup         1 + 1 fibre washer                                                2
    13 belt guard      1 + 4 screws + 4 washers + its bracket 1 + 2 bolts               12
    15 turntable       1 + 1 king pin + 1 split pin + 4 bolts + 4 nuts                  11
    foot strainer      1 + 3 bolts                                                       4
    all of them                                                                        111
Loose: a pump head bolt and a big end nut turned up                                      2
"""

import re
import shlex
from collections import Counter
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from conftest import Bench

WRONG_NAME, NAME, OTHER = "Skerow Drayman", "Skerrow Drayman", "Orrick Plover"
SLIPS = ("Skerow", "Igniton", "hed", "stays in", "M10 x 40", "40 kg")
"""What was typed wrong and put right: it stands in the history, and on no paper."""

SLIPPED = re.compile("|".join(rf"\b{slip}\b" for slip in SLIPS))

ELSEWHERE = {"machine": "machine", "still on the machine": "stuck"}
"""What the tally calls places of these kinds."""

PLATERS, MACHINISTS, SHOP = "Lathbury Platers", "Penhallow Machining", "Dunmore Fixings"

OFF: dict[str, tuple[int, str]] = {
    "tank": (1, "shelf 1"), "tank bolt": (2, "A"), "tank washer": (4, "A"),
    "trip gear": (1, "B"), "trip screw": (2, "B"), "trip split pin": (1, "B"),
    "trip spring washer": (1, "B"),
    "magneto": (1, "shelf 1"), "magneto bolt": (3, "C"), "magneto spring washer": (3, "C"),
    "rocker": (1, "D"), "rocker pin": (1, "D"), "rocker split pin": (1, "D"),
    "lock nut": (2, "D"),
    "head": (1, "shelf 1"), "head nut": (5, "E"), "head washer": (6, "E"), "head gasket": (1, "E"),
    "stud": (1, "E"),
    "big end cap": (1, "F"), "big end bolt": (2, "F"), "big end nut": (1, "F"),
    "big end split pin": (2, "F"), "big end shim": (3, "F"),
    "piston": (1, "G"), "ring": (3, "G"), "gudgeon pin": (1, "G"), "circlip": (2, "G"),
    "flywheel": (1, "shelf 2"), "gib key": (1, "H"), "wrong bolt": (1, "H"),
    "pump head": (1, "I"), "pump bolt": (10, "I"), "odd bolt": (1, "I"), "leather cup": (1, "I"),
    "pump gasket": (1, "I"),
    "crosshead": (1, "J"), "brass shim": (2, "J"), "cap bolt": (4, "J"), "cap washer": (2, "J"),
    "oil cup": (1, "J"), "fibre washer": (1, "J"),
    "guard": (1, "shelf 2"), "guard screw": (4, "K"), "guard washer": (4, "K"),
    "bracket": (1, "L"), "bracket bolt": (2, "L"),
    "turntable": (1, "shelf 2"), "king pin": (1, "M"), "turntable split pin": (1, "M"),
    "coach bolt": (4, "M"), "turntable nut": (4, "M"),
    "strainer": (1, "N"), "strainer bolt": (3, "N"),
}  # fmt: skip
"""What the person took off and where it was put, bags by a letter in the order they were begun."""

STUCK = {"head nut": 1, "stud": 1}

LINES = {
    "tank": "2.1", "tank bolt": "2.2", "tank washer": "2.3",
    "trip gear": "3.1", "trip screw": "3.2", "trip split pin": "3.3", "trip spring washer": "3.4",
    "magneto": "4.1", "magneto bolt": "4.2", "magneto spring washer": "4.3",
    "rocker": "5.1", "rocker pin": "5.2", "rocker split pin": "5.3", "lock nut": "5.4",
    "head": "6.1", "head nut": "6.2", "head washer": "6.3", "head gasket": "6.4", "stud": "6.5",
    "big end cap": "7.1", "big end bolt": "7.2", "big end nut": "7.3", "big end split pin": "7.4",
    "big end shim": "7.5",
    "piston": "8.1", "ring": "8.2", "gudgeon pin": "8.3", "circlip": "8.4",
    "flywheel": "9.1", "gib key": "9.2", "wrong bolt": "9.3", "flywheel bolt": "9.3",
    "pump head": "10.1", "pump bolt": "10.2", "leather cup": "10.3", "pump gasket": "10.4",
    "odd bolt": "10.5",
    "crosshead": "11.1", "brass shim": "11.3",
    "oil cup": "12.1", "fibre washer": "12.2",
    "guard": "13.1", "guard screw": "13.2", "guard washer": "13.3", "bracket": "13.4",
    "bracket bolt": "13.5",
    "turntable": "15.1", "king pin": "15.2", "turntable split pin": "15.3", "coach bolt": "15.4",
    "turntable nut": "15.5",
    "cap bolt": "16.1", "cap washer": "16.2",
    "strainer": "17.1", "strainer bolt": "17.2",
    "loose bolt": "0.1", "loose nut": "0.2",
}  # fmt: skip
"""The line of each kind of piece once all is put right."""

FOR_BUYING = {
    "flywheel bolt": 1, "circlip": 1, "pump gasket": 1, "head gasket": 1, "head nut": 1,
    "leather cup": 1, "ring": 3, "big end split pin": 2, "trip split pin": 1,
    "rocker split pin": 2, "turntable split pin": 1, "magneto spring washer": 3,
    "trip spring washer": 1, "stud": 2,
}  # fmt: skip
"""To buy: what always is renewed, what is missing, condemned, broken, or was the wrong thing."""

LEFT = {
    "wrong bolt": 1, "circlip": 1, "pump gasket": 1, "head gasket": 1, "head nut": 1,
    "leather cup": 1, "ring": 3, "big end split pin": 2, "trip split pin": 1,
    "rocker split pin": 1, "turntable split pin": 1, "magneto spring washer": 3,
    "trip spring washer": 1, "stud": 1,
}  # fmt: skip
"""What is old and does not go back on."""


class Tally:
    """What the person has, counted by hand: so many of a kind in a place."""

    def __init__(self) -> None:
        self.pieces: Counter[tuple[str, str]] = Counter()
        self.bags: dict[str, str] = {}

    def put(self, kind: str, count: int, place: str) -> None:
        self.pieces[kind, place] += count

    def move(self, kind: str, count: int, source: str, place: str) -> None:
        assert self.pieces[kind, source] >= count, (kind, source)
        self.pieces[kind, source] -= count
        self.put(kind, count, place)

    def same_as(self, kind: str, other: str, place: str) -> None:
        """Know by now that one piece of a kind is of another kind."""
        self.pieces[kind, place] -= 1
        self.put(other, 1, place)

    def by_line(self) -> dict[tuple[str, str], int]:
        """Return so many of a line in a place, as the record should have it."""
        counts: Counter[tuple[str, str]] = Counter()
        for (kind, place), count in self.pieces.items():
            counts[LINES[kind], self.bags.get(place, place)] += count
        return {at: count for at, count in counts.items() if count}


class Life:
    """The bench and the person's own tally, side by side."""

    def __init__(self, bench: Bench, folder: Path) -> None:
        self.bench, self.folder = bench, folder
        self.name = WRONG_NAME
        self.tally = Tally()
        self.keys: Counter[str] = Counter()
        self.put_right = 0

    def __call__(self, *words: str, machine: bool = True) -> str:
        self.keys[words[0]] += len(shlex.join(words)) + 1
        self.put_right += words[0] == "correct"
        return self.bench(*words, *(("-m", self.name) if machine else ()))

    def json(self, *words: str) -> Any:
        return self.bench.json(*words, "-m", self.name)

    def refused(self, *words: str) -> str:
        return self.bench.refused(*words, "-m", self.name)

    def paper(self, *words: str, slips: bool = False) -> str:
        """Make a PDF and return the words on it: none of them was put right since."""
        path = self.folder / f"{len(list(self.folder.iterdir()))}.pdf"
        self.bench(*words, str(path), "-m", self.name)
        pages = pypdfium2.PdfDocument(path)
        text = " ".join("\n".join(p.get_textpage().get_text_range() for p in pages).split())
        if words[0] == "labels":  # what a phone reads off them, too
            for page in pages:
                codes = zxingcpp.read_barcodes(page.render(scale=4).to_pil())
                assert codes
                text += " ".join(["", *(code.text for code in codes)])
        assert text
        assert slips or not SLIPPED.search(text), words
        return text

    def every_paper(self) -> None:
        """Print all there is: what was put right stands on none of it."""
        self.paper("labels", "--all", "-o")
        for listed in ("rebuild", "shopping", "places", "handover"):
            self.paper(listed, "--pdf")
        for words in (["rebuild", "--all"], ["places"], ["shopping"], ["find", "engine"]):
            assert not SLIPPED.search(self(*words)), words

    def recount(self) -> None:
        """Hold the record, piece by piece and place by place, against the person's tally."""
        audit = self.bench.json("audit")
        assert audit["faults"] == []
        there: Counter[tuple[str, str]] = Counter()
        in_hand: Counter[tuple[str, str]] = Counter()
        for step in self.json("rebuild", "--all"):
            for line in step["lines"]:
                for held in line["now"]:
                    place = ELSEWHERE.get(held["kind"], held["place"])
                    if held["kind"] in ("bag", "shelf", "box", "bench"):
                        in_hand[line["item"], place] += held["quantity"]
                    if held["kind"] != "put to another joint":
                        there[line["item"], place] += held["quantity"]
        indexed: Counter[tuple[str, str]] = Counter()
        listed = self.bench.type("places", "-m", self.name, "--json")
        for place in listed.data["places"] if listed.out else ():
            for held in place["held"] if place["kind"] != "firm" else ():
                indexed[held["item"], place["name"]] += held["quantity"]
        loose = {at: count for at, count in indexed.items() if at[0].startswith("0.")}
        assert indexed == in_hand + Counter(loose)
        assert dict(there) | loose == self.tally.by_line()
        assert audit["stocktake"]["pieces"] == sum(self.tally.pieces.values())


def to_buy(life: Life) -> dict[str, int]:
    lines = life.json("shopping")["lines"]
    assert all(len(line["joints"]) == 1 for line in lines)
    return {line["joints"][0]: line["quantity"] for line in lines}


def strip_down(life: Life) -> None:
    """Take it all off, and write it down with every sort of slip."""
    steps: list[tuple[str, ...]] = [
        ("Engine", "drain the hopper and the sump", "--job", "--undo", "fill them"),
        ("Engine/Fuel", "fuel tank", "2 off 1/4 BSW x 3/4 hex bolt", "2 1/4 plain washer",
         "-p", "shelf 1"),
        ("Engine/Ignition", "trip gear", "2 off 2BA x 1/2 cheese head screw", "1 split pin"),
        ("Engine/Igniton", "magneto", "3 off 5/16 BSW x 1 hex bolt", "3 5/16 spring washer",
         "-p", "shelf 1", "--new-assembly"),
        ("Valve gear", "rocker arm", "1 rocker pin", "1 of 2 split pin", "2 adjuster lock nut",
         "-n", "push rod stays in"),
        ("Engine", "cylinder hed", "5 of 6 3/8 BSW nut, 1 seized", "6 3/8 plain washer",
         "1 head gasket", "2 3/8 BSW x 3 stud, 1 broken in hole 2", "-p", "shelf 1"),
        ("Engine/Crank", "big end cap", "2 off 3/8 BSF x 2 hex bolt", "1 of 2 3/8 BSF slotted nut",
         "2 split pin", "left, from the rod out: 0.25, 0.25, 0.1 shims"),
        ("Engine/Crank", "piston and rod", "3 piston ring", "1 gudgeon pin", "2 circlip"),
        ("Engine/Crank", "flywheel", "1 gib key",
         "1 M10x40 hex bolt (should be 3/8 BSF x 1 1/2 hex bolt)", "-p", "shelf 2",
         "-z", "40 kg", "--on", "3 May 2026"),
        ("Pump", "pump head", "12 off 5/16 BSW x 1 1/4 hex bolt", "1 leather cup", "1 gasket"),
        ("Pump", "crosshead", "4 off 1/2 BSW x 2 hex bolt", "2 brass shim", "2 1/2 plain washer",
         "1 oil cup"),
        ("Pump", "oil cup", "1 fibre washer", "-b", "same"),
        ("Drive", "belt guard", "4 off 1/4 BSW x 1/2 round head screw", "-p", "shelf 2"),
        ("Drive", "belt guard bracket", "2 off 1/4 BSW x 3/4 hex bolt"),
        ("Trolley/Steering", "turntable", "1 king pin", "1 split pin",
         "4 off 1/2 BSW x 3 coach bolt",
         "4 1/2 BSW nut", "-p", "shelf 2"),
    ]  # fmt: skip
    for step in steps:
        if "--new-assembly" in step:
            assert "did you mean Engine / Ignition?" in life.refused("strip", *step[:-1])
        life("strip", *step)
    foot = ("strip", "Suction", "foot strainer", "3 off 1/4 BSW x 1 hex bolt")
    life(*foot, "-m", OTHER, machine=False)
    listed = life.bench.json("places")["places"]
    bags = [each["name"] for each in listed if each["kind"] == "bag"]
    life.tally.bags = dict(zip("ABCDEFGHIJKLMN", bags, strict=True))
    for kind, (count, place) in OFF.items():
        life.tally.put(kind, count, place)
    for kind, count in STUCK.items():
        life.tally.put(kind, count, "stuck")


def put_right(life: Life) -> None:
    """Put right what was written wrong, some of it twice, some undone and done again."""
    life("correct", "machine", "--name", NAME, "--maker", "Skerrow", "--year", "1928")
    life.name = NAME
    assert "--join" in life.refused("correct", "assembly", "Engine/Igniton", "Engine/Ignition")
    life("correct", "assembly", "Engine/Igniton", "Engine/Ignition", "--join")
    life("correct", "assembly", "Valve gear", "Engine/Valve gear")
    life("correct", "step", "6", "--part", "cylinder head")
    life("correct", "step", "5", "--note", "push rod came out too")
    life("correct", "step", "5", "--more", "ball end down")
    life("correct", "step", "9", "--hazard", "90 kg: two people", "--came-off-on", "5 Mar 2026")
    life("correct", "step", "9", "--came-off-before", "8")
    life("correct", "step", "15", "--position", "heads up")
    life("correct", "line", "2.3", "4 1/4 plain washer")
    life("correct", "line", "9.3", "1 M10x45 hex bolt")
    life("undo")
    life("correct", "line", "9.3", "M10x45 hex bolt")
    life("correct", "line", "10.2", "11 off 5/16 BSW x 1 1/4 hex bolt")
    life("correct", "split", "10.2", "1 off 3/8 BSW x 1 1/4 hex bolt @ hole 7, retapped")
    life("correct", "line", "11.5", "--to-step", "12", "--pieces-too")
    life("correct", "join", "12.1", "12.3")
    life("correct", "line", "12.1", "1 oil cup", "--reason", "written down twice")
    life("correct", "add", "3", "1 2BA spring washer")
    life("correct", "add", "13", "4 1/4 plain washer")
    life("correct", "join-steps", "13", "14")
    life("correct", "split-step", "11", "crosshead cap", "11.2", "11.4")
    life("undo", "act", str(life.json("undo")["act"]))  # the split, undone and brought back
    life("correct", "step", "1", "--to-machine", NAME, "-m", OTHER, machine=False)


def mix_and_sort(life: Life) -> None:
    """Tip two bags together and sort them; find two strays; get the seized nut off."""
    bags = life.tally.bags
    life("piece", "mix", bags["K"], bags["I"])
    assert "mixed" in life.refused("refit", "13", "--as-it-came")
    assert "MIXED UP" in life.paper("labels", bags["K"], "-o")
    life("piece", "sort", "1", "13.2=4", "13.3=4")
    life("piece", "sort", "1")
    life("piece", "loose", "1 off 5/16 BSW x 1 1/4 hex bolt", "--to", "tin 1")
    life("piece", "loose", "1 off 3/8 BSF slotted nut", "--to", "tin 1")
    life.tally.put("loose bolt", 1, "tin 1")
    life.tally.put("loose nut", 1, "tin 1")
    life("piece", "assign", "0.2", "7.3")
    life.tally.same_as("loose nut", "big end nut", "tin 1")
    life("piece", "came-off", "6.2")
    life.tally.move("head nut", 1, "stuck", "E")


def look_over(life: Life) -> None:
    """Inspect all of it by a list, send some away, and count it back, one short."""
    life("inspect", "--list",
         "2 good; 3 good; 4 good; 5 good; 6.1 good; 6.2 5 good 1 scrap thread pulled; 6.3 good; "
         "6.5 scrap rusted thin; 7 good; 8.1 repair ring lands; 8.2 scrap worn; 8.3 good; "
         "8.4 1 good 1 unsure one leg short; 9.1 good; 9.2 good; 10.1 good; 10.2 good; "
         "10.3 scrap cracked; 10.5 good; 11 good; 12 good; 13 good; 15 good; "
         "16 good; 17 good")  # fmt: skip
    life("inspect", "8.4", "1", "condemned", "bent")
    life("outwork", "batch", "begin", PLATERS, "--for", "zinc plating", machine=False)
    life("outwork", "batch", "put", "1", "10.2", "16.1", "2.2", "--metal", "steel")
    life("outwork", "batch", "send", "1", machine=False)
    away = (("pump bolt", 10, "I"), ("cap bolt", 4, "J"), ("tank bolt", 2, "A"))
    for kind, count, bag in away:
        life.tally.move(kind, count, bag, PLATERS)
    life("outwork", "send", "8.1", "--to", MACHINISTS, "--for", "ring lands trued")
    life.tally.move("piston", 1, "G", MACHINISTS)
    life.recount()
    assert "Bring back first what is away" in life.refused(
        "correct", "line", "10.2", "9 off 5/16 BSW x 1 1/4 hex bolt"
    )
    life("outwork", "batch", "back", "1", "--all-but", "10.2: 9", "-c", "serviceable")
    for kind, count, bag in away:
        life.tally.move(kind, count - (kind == "pump bolt"), PLATERS, bag)
    life("outwork", "back", "Penhallow", "-c", "serviceable")
    life.tally.move("piston", 1, MACHINISTS, "G")
    life("outwork", "batch", "off", "1", "10.2", "-n", "lost in the vat")
    life.tally.move("pump bolt", 1, PLATERS, "lost")
    life("piece", "assign", "0.1", "10.2")
    life.tally.same_as("loose bolt", "pump bolt", "tin 1")
    life("inspect", "10.2", "serviceable")


def buy_all(life: Life) -> None:
    """Buy what the person knows to be wanted; the list must be that and no more."""
    wanted = {LINES[kind]: count for kind, count in FOR_BUYING.items()}
    assert to_buy(life) == wanted
    life("order", "with", SHOP, "--list")
    assert to_buy(life) == {}
    life("order", "came", "1", "7", "-q", "2")
    life("order", "came", "1")
    for kind, count in FOR_BUYING.items():
        bag = next(place for (known, place) in life.tally.pieces
                   if LINES[known] == LINES[kind] and place in life.tally.bags)  # fmt: skip
        life.tally.put(kind, count, bag)


def fit(life: Life, step: int) -> None:
    """Put a step back on, measured, tightened and signed for."""
    if step == 7:
        life("refit", "7.1")
        life("refit", "7", "--finger-tight")
        life("refit", "tighten", "7.2", "22 N m", "oiled")
        life("refit", "tighten", "7")
        life("figure", "clearance", "7", "side float", "--found", "0.35")
        assert "side float" in str(life.json("machine", "close", "--look")["in_the_way"])
        life("figure", "clearance", "7", "side float", "--found", "0.2")
    elif step == 15:
        life("refit", "15", "--by", "E. Fosdyke")
        assert "second person has to check" in life.refused(
            "refit", "sign", "15", "E. Fosdyke", "--second"
        )
        life("refit", "sign", "15", "M. Oakshott", "--second")
    else:
        life("refit", str(step))


def rebuild(life: Life) -> None:
    """Clear the snags; then fit what is offered first, until nothing is."""
    life("snag", "11", "worn", "slipper worn hollow")
    assert "slipper worn hollow" in str(life.json("rebuild", "Pump"))
    life("snag", "clear", "1", "drilled out")
    life.tally.move("stud", 1, "stuck", "scrapped")
    life("snag", "clear", "2", "scraped in")
    life("figure", "torque", "7.2", "22 N m", "oiled", "--from", "book p. 9")
    life("figure", "clearance", "7", "side float", "0.1 to 0.3 mm")
    order: list[int] = []
    while ready := [each["step"] for each in life.json("plan", "today")["ready"]]:
        order += ready
        for step in ready:
            fit(life, step)
    # The strip-down turned round, as it truly came off: the flywheel before the piston.
    assert sorted(order) == [1, *range(2, 14), 15, 16, 17]
    before = [(16, 11), (12, 16), (8, 9), (9, 7), (3, 1), (6, 1)]
    assert all(order.index(first) < order.index(then) for first, then in before)
    life("correct", "step", "6", "--note", "studs new")
    for (kind, place), count in list(life.tally.pieces.items()):
        if count and place not in ("lost", "scrapped"):
            life.tally.move(kind, count - LEFT.get(kind, 0), place, "machine")


def throw_out(life: Life) -> None:
    """Throw out all that is old; nothing else is left over."""
    matters = life.json("machine", "close", "--look")["in_the_way"]
    assert [matter["kind"] for matter in matters] == ["left over"] * len(LEFT)
    life("piece", "scrap", "--condemned", "--yes")
    for step in (3, 4, 5, 6, 7, 9, 10, 15):
        life("piece", "scrap", str(step))
    for (kind, place), count in list(life.tally.pieces.items()):
        if place not in ("lost", "scrapped", "machine"):
            life.tally.move(kind, count, place, "scrapped")


@pytest.mark.slow
def test_a_second_machine_is_lived_through_and_closed_out(bench: Bench, tmp_path: Path) -> None:
    bench("machine", "add", WRONG_NAME, "--maker", "Skerow", "--year", "1931")
    papers = tmp_path / "papers"
    papers.mkdir()
    life = Life(bench, papers)
    strip_down(life)
    assert "Skerow" in life.paper("labels", "-o", slips=True)
    life("labels", "--printed")
    put_right(life)
    life.recount()
    life.every_paper()
    assert life.put_right >= 20
    assert life.keys["correct"] < life.keys["strip"]
    mix_and_sort(life)
    life.recount()
    look_over(life)
    life.recount()
    buy_all(life)
    life.recount()
    life.every_paper()
    rebuild(life)
    life.recount()
    throw_out(life)
    life.recount()
    assert to_buy(life) == {}
    assert life.json("machine", "close", "--look")["in_the_way"] == []
    assert "closed out" in life("machine", "close", "-n", "pumped for an hour")
    life.recount()
    assert (
        sum(count for (_, place), count in life.tally.pieces.items() if place == "machine") == 113
    )
    book = life.paper("book", slips=True)
    told, acts = book.split("Log of entries", 1)
    assert not SLIPPED.search(told)
    assert SLIPPED.search(acts)
    assert "111 pieces as found, 113 on the machine" in told
    assert "nothing is in the stores now" in life.refused("place", "list")
    assert "nothing is in the stores now" in bench.refused("place", "list", "-m", OTHER)
