"""Where did this come from: asked of the use-case itself."""

import contextlib

import pytest
from conftest import kept

from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.model.ledger import Condition, PlaceKind
from stores.storage import open_store
from stores.usecases.common import PiecesAt
from stores.usecases.context import Context
from stores.usecases.find import Find, FindMeasured, find, find_measured
from stores.usecases.history import Undo, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.measuring import Measured, head_named, identified, length_rule_of
from stores.usecases.outwork import SendPieces, send
from stores.usecases.places import LosePieces, MovePieces, lose, move
from stores.usecases.strip import Loose, Strip, Stripped, loose, strip


@kept
def cover(context: Context) -> Stripped:
    return strip(
        context,
        Strip(
            "Engine/Clutch",
            "clutch cover",
            ["4 M6x25 hex bolt", "3 of 4 M8x40 hex bolt @ rear"],
            hazard="sharp edge",
        ),
    )


def refs(context: Context, ask: Find) -> list[str]:
    return [item.item for item in find(context, ask).items]


def test_a_bag_by_its_code_as_typed_or_scanned(context: Context, cover: Stripped) -> None:
    code = cover.bag or ""
    for typed in (code, code.lower(), f"{code}\n4 M6x25 hex bolt\n"):
        bag = find(context, Find(typed))
        assert (bag.bag, [item.item for item in bag.items]) == (code, ["1.1", "1.2", "1.3"])
    item = bag.items[2]
    assert (item.found, item.wanted, item.position, item.hazard) == (3, 4, "rear", "sharp edge")
    assert item.now == (PiecesAt(3, Condition.AS_REMOVED, PlaceKind.BAG, code, what=item.as_found),)
    undo(context, Undo())
    with pytest.raises(NotFound, match="bag empty now"):
        find(context, Find(code))


def test_by_reference_fastener_size_and_words(context: Context, cover: Stripped) -> None:
    assert refs(context, Find("1.2")) == ["1.2"]
    assert refs(context, Find("1")) == ["1.1", "1.2", "1.3"]
    assert refs(context, Find("M6x25 hex")) == ["1.2"]
    assert refs(context, Find(thread="M8", length="40")) == ["1.3"]
    assert refs(context, Find(head="hex")) == ["1.2", "1.3"]
    assert refs(context, Find("clutch")) == ["1.1", "1.2", "1.3"]
    assert not find(context, Find("1")).other_machines
    add_machine(context, AddMachine("Tern 50"))
    assert find(context, Find("clutch")).other_machines


@pytest.mark.parametrize(
    ("ask", "error", "fact"),
    [
        (Find(), NotationError, "say what to find"),
        (Find("sprocket"), NotFound, "nothing like it"),
        (Find("A001K"), BadValue, "bag code misread"),
        (Find(head="wobbly"), BadValue, "no such head"),
        (Find(thread="hexagon"), NotationError, "not a thread"),
        (Find("word " * 21), BadValue, "too many words to find"),
    ],
)
def test_what_cannot_be_found_is_refused(
    context: Context, cover: Stripped, ask: Find, error: type[Exception], fact: str
) -> None:
    with pytest.raises(error, match=fact):
        find(context, ask)


def test_a_measured_bolt_is_weighed_against_the_joints(context: Context, cover: Stripped) -> None:
    reply = find_measured(context, FindMeasured(Measured(od="5.9", pitch="1.0"), "24.8", "hex"))
    best = reply.joints[0]
    assert (best.item.item, best.text, best.missed) == ("1.2", "M6 x 25 hex bolt", 0)
    assert best.probability > 0.9
    assert sum(joint.probability for joint in reply.joints) + reply.no_joint == pytest.approx(1)
    assert reply.identified.threads[0].thread == "M6"
    assert reply.length_rule == length_rule_of("hex")
    lost = find_measured(context, FindMeasured(Measured(od="7.9", pitch="1.25")))
    assert (lost.joints[0].item.item, lost.joints[0].missing) == ("1.3", 1)
    assert lost.length_rule is None


def test_a_thread_is_told_by_measurement_alone() -> None:
    reply = identified(Measured(od="4.68", over="8.0 over ten"))
    names = {"2BA", "#10-32 UNF", "M5"}
    assert any(len(names & set(twins.threads)) >= 2 for twins in reply.twins)
    total = sum(each.probability for each in reply.threads) + reply.none
    assert total == pytest.approx(1, abs=0.01)
    assert identified(Measured(od="9.5", pitch="26 tpi", over="25.4 over ten")).look_again


def test_a_loose_piece_does_not_find_itself(context: Context) -> None:
    """A bolt from the floor, measured, put on record, and measured again."""
    strip(context, Strip("Engine", "cover", ["4 M8x40 hex bolt"]))
    measured = FindMeasured(Measured(od="7.9", pitch="1.25"), "39.8", "hex")
    before = find_measured(context, measured)
    assert ([joint.item.item for joint in before.joints], before.short_of_one) == (["1.2"], 0)
    loose(context, Loose("1 M8x40 hex bolt", "bench", "on the floor"))
    again = find_measured(context, measured)
    assert [joint.item.item for joint in again.joints] == ["1.2"]
    assert again.short_of_one == 0
    asked = find(context, Find("0.1"))
    assert (asked.asked_for_loose, asked.short_of_one) == (True, ())
    assert not find(context, Find("1.2")).asked_for_loose
    lose(context, LosePieces("1.2", "1"))
    assert find_measured(context, measured).short_of_one == 1
    (short,) = find(context, Find("0.1")).short_of_one
    assert (short.item, short.short, short.part) == ("1.2", 1, "cover")


def test_a_loose_piece_alone_is_of_no_joint(context: Context) -> None:
    loose(context, Loose("1 M8x40 hex bolt", "bench"))
    reply = find_measured(context, FindMeasured(Measured(od="7.9", pitch="1.25"), "39.8", "hex"))
    assert (reply.joints, reply.short_of_one, reply.no_joint) == ((), 0, 1.0)


def test_a_bag_says_where_the_rest_of_its_steps_is(context: Context) -> None:
    first = strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M8 nut"],
                                 part_to="shelf 2"))  # fmt: skip
    strip(context, Strip("Engine", "cap", ["1 gasket"], bag="same", part_to="bench"))
    strip(context, Strip("Engine", "plug", bag="same"))
    other = move(context, MovePieces("1.3", "new")).place.name
    send(context, SendPieces(["1.2"], "Vale Plating", quantity="2"))
    bag = find(context, Find(first.bag or ""))
    assert [(each.step.number, set(each.places)) for each in bag.rest] == [
        (1, {"on shelf 2", f"in bag {other}", "away at Vale Plating"}),
        (2, {"on the bench"}),
    ]
    assert [(item.item, item.step) for item in bag.items] == [
        ("1.2", 1), ("2.2", 2), ("3.1", 3),
    ]  # fmt: skip
    (rest,) = find(context, Find(other)).rest
    assert set(rest.places) == {"on shelf 2", f"in bag {first.bag}", "away at Vale Plating"}
    assert find(context, Find("1")).rest == ()


def test_near_words_are_shown_as_near(context: Context, cover: Stripped) -> None:
    strip(context, Strip("Engine", "magneto", ["2 1/4 BSF x 3/4 hex bolt"], bag="box 3"))
    for typed, meant, items in (
        ("cluch cover", "clutch cover", ["1.1", "1.2", "1.3"]),
        ("magnetto", "magneto", ["2.1", "2.2"]),
        ("1/4 BFS", "1/4 BSF", ["2.2"]),
        ("1/4 BSFF bolt", "1/4 BSF bolt", ["2.2"]),
        ("engin clutch", "", ["1.1", "1.2", "1.3"]),  # part of a word is found as typed
    ):
        found = find(context, Find(typed))
        assert (found.meant, [item.item for item in found.items]) == (meant, items), typed
        assert found.typed == (typed if meant else "")
    assert find(context, Find("clutch")).meant == ""


def test_several_near_words_are_offered_with_what_they_find(context: Context) -> None:
    strip(context, Strip("Engine", "rocker cover"))
    strip(context, Strip("Engine", "rocket stand", ["1 gasket"]))
    found = find(context, Find("rockex"))
    # as near as the other, and oftener on record
    assert (found.meant, len(found.items)) == ("rocket", 2)
    assert [(each.text, each.joints) for each in found.near] == [("rocker", 1)]


@pytest.mark.parametrize(
    ("typed", "facts"),
    [
        ("bx 3", {"places": ("box 3",), "near": ""}),
        ("5/16 UFN", {"places": (), "near": "5/16 UNF"}),
        ("M9 x 25 mmm", {"places": (), "near": "M9 x 25 mm"}),
        ("sprocket", {"places": (), "near": ""}),
        ("A001", {"places": (), "near": "", "bags": ("A001N",)}),
        ("A901", {"places": (), "near": ""}),
    ],
)
def test_what_is_not_found_offers_places_and_words_of_the_notation(
    context: Context, cover: Stripped, typed: str, facts: dict[str, object]
) -> None:
    strip(context, Strip("Engine", "magneto", bag="box 3"))
    with pytest.raises(NotFound) as refused:
        find(context, Find(typed))
    assert refused.value.facts == {"typed": typed, "bags": ()} | facts


def test_near_words_are_quick_over_twenty_thousand_items() -> None:
    """A word of its own for every third item, which no workshop has: the words alone in 0.5 s."""
    from time import perf_counter

    from stores.text import nearest

    letters = "abcdefghijklmnopqrstuvwxyz"
    words = [
        letters[n % 26] + letters[n // 26 % 26] + letters[n // 676 % 26] + "tch" + letters[n % 7]
        for n in range(7000)
    ]
    begun = perf_counter()
    assert "clutcha" not in nearest("cluch", words, 3)[3:]
    assert perf_counter() - begun < 2.0  # 0.1 s on an idle machine; the tests share theirs


# The usual names of the trade (common practice).
@pytest.mark.parametrize(
    ("typed", "head"),
    [
        ("allen", "socket cap"), ("Allen head", "socket cap"), ("skt", "socket cap"),
        ("bi-hex", "12-point"), ("coach", "cup"), ("none", "headless"), ("csk", "countersunk"),
        ("hexagonal", "hex"), ("oval", "raised countersunk"), ("cheese head", "cheese"),
    ],
)  # fmt: skip
def test_a_head_has_all_its_usual_names(typed: str, head: str) -> None:
    assert head_named(typed) == head


def test_a_thread_is_asked_for_as_it_is_said(context: Context) -> None:
    add_machine(context, AddMachine("Orrick"))
    strip(context, Strip("Engine", "pump", ["2 1/4 BSF x 1 hex bolt", "1 M6 x 20 bolt"]))
    assert [each.as_found for each in find(context, Find(thread="quarter BSF")).items] == [
        "1/4 BSF x 1 hex bolt"
    ]
    with pytest.raises(NotFound, match="near it: M6"):
        find(context, Find(thread="M6x2"))
    with pytest.raises(NotationError, match="did you mean BSF"):
        find(context, Find(thread="1/4 BFS"))


def test_a_bag_is_shown_as_it_is_after_each_act(context: Context) -> None:
    """What was shown of it before is kept only while nothing is written."""
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex", "1 gasket"]))
    strip(context, Strip("Engine", "cap", ["2 M8 nut"]))
    seen = [find(context, Find("A001N"))]
    assert find(context, Find("A001N")) is seen[0]
    for act in (
        lambda: inspect(context, Inspect("1.2", "condemned", "necked", quantity=1)),
        lambda: move(context, MovePieces("1.3", "A003J")),
        lambda: strip(context, Strip("Engine", "plug")),  # of another bag
        lambda: undo(context, Undo()),
        lambda: undo(context, Undo("3", by="act")),
    ):
        with contextlib.suppress(Refused):
            act()
        now = find(context, Find("A001N"))
        with open_store(context.store.name) as fresh:
            assert now == find(Context(fresh), Find("A001N"))
        seen.append(now)
    assert seen[0] != seen[1] != seen[2]


def test_a_code_without_its_check_letter_is_told_the_bag(context: Context, cover: Stripped) -> None:
    with pytest.raises(NotFound, match="nothing like it") as refused:
        find(context, Find("A001"))
    assert refused.value.facts["bags"] == ("A001N",)
    with pytest.raises(NotFound) as none:
        find(context, Find("A901"))
    assert none.value.facts["bags"] == ()
