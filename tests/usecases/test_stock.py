"""The workshop's stock, asked of the use-cases: replies, refusals, trials, keys, corrections."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.model.ledger import Condition
from stores.planning.sharing import Promise
from stores.usecases.context import Context
from stores.usecases.correct import (
    CorrectLine,
    DropLine,
    JoinLines,
    JoinSteps,
    SplitLine,
    correct_line,
    drop_line,
    join_lines,
    join_steps,
    split_line,
)
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, buy
from stores.usecases.outwork import SendPieces, send
from stores.usecases.places import (
    AssignPieces,
    LosePieces,
    MovePieces,
    RecoverPieces,
    assign,
    lose,
    move,
    recover,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.stock import (
    Enter,
    KeepAtLeast,
    LookAtStock,
    NotePack,
    PackAsTyped,
    Reserve,
    SayWhatIsLeft,
    StockLine,
    UseUp,
    enter,
    keep_at_least,
    note_pack,
    reserve,
    say_what_is_left,
    stock,
    use_up,
)
from stores.usecases.strip import Loose, Strip, loose, strip
from stores.wording import outwork as outwork_wording
from stores.wording import places as wording
from stores.wording.stock import entered
from stores.wording.stock import measured as measured_words


@kept
def drawer(context: Context) -> Context:
    """Ten nuts and half a tube of 50 ml in a drawer."""
    enter(context, Enter(["10 M6 nut", "half a 50 ml tube of flange sealant"], to="drawer 3"))
    return context


def line_of(context: Context, what: str) -> StockLine:
    (line,) = stock(context, LookAtStock(what)).lines
    return line


def test_a_hazard_noted_on_a_pack_hides_none_of_its_kind(context: Context) -> None:
    """Cellulose thinner is highly flammable on its safety data sheet, whatever else is noted."""
    pack = PackAsTyped(hazard="old tin, lid rusted")
    enter(context, Enter(["500 ml cellulose thinner"], on_pack=pack))
    first, *others = line_of(context, "thinner").hazards
    assert first == "old tin, lid rusted"
    assert "highly flammable liquid" in others


def test_none_is_no_hazard_and_what_stands_beside_it_is(context: Context) -> None:
    """Grease as such hurts nobody; under the skin it is a surgeon's case."""
    enter(context, Enter(["400 g tub of lithium grease"]))
    assert line_of(context, "grease").hazards == ("high-pressure injection injury",)


def test_out_of_date_is_said_at_once(context: Context) -> None:
    reply = enter(
        context, Enter(["50 ml flange sealant"], on_pack=PackAsTyped(use_by="2020-03-01"))
    )
    (line,) = reply.lines
    assert line.past
    assert "OUT OF DATE since 1 Mar 2020" in "\n".join(entered(reply).lines)
    assert not note_pack(context, NotePack(line.item, PackAsTyped(use_by="2999-03-01"))).past


def test_what_is_entered(context: Context) -> None:
    pack = PackAsTyped(opened="2026-01-10", made="2025-06-01", batch="B7", note="top shelf")
    reply = enter(
        context,
        Enter(["half a 50 ml tube of flange sealant", "40 M6 plain washer"], to="drawer 3",
              supplier="Hollin", least="20 ml", on_pack=pack, new_firm=True),
    )  # fmt: skip
    sealant, washer = reply.lines
    assert (sealant.item, sealant.quantity, sealant.unit, sealant.pack) == ("0.1", 25, "ml", 50)
    assert (sealant.kind, sealant.estimated) == ("anaerobic flange sealant", True)
    # the kind keeps 12 months unopened from the day it was made; no life once opened is known
    assert sealant.usable_until == date(2026, 6, 1)
    assert any("allergic" in caution for caution in sealant.cautions)
    assert (washer.item, washer.quantity, washer.unit, washer.kind) == ("0.2", 40, "", "")
    assert washer.condition is Condition.NEW
    assert (reply.place.name, reply.place.new, reply.supplier, reply.least) == (
        "drawer 3", True, "Hollin", 20,
    )  # fmt: skip
    held = line_of(context, "0.1")
    assert (held.batch, held.note, held.opened) == ("B7", "top shelf", date(2026, 1, 10))


@pytest.mark.parametrize(
    ("lines", "kind", "fact"),
    [
        ([], Refused, "nothing to enter"),
        ([" "], Refused, "nothing to enter"),
        (["4 of 6 M6 nut"], Refused, "means nothing here"),
        (["5 or 6 M6 nut"], Refused, "count in question"),
        (["4 M8 nut", "M6 bolts x 4"], Refused, "count in question"),
        (["2000000 ml of engine oil"], BadValue, "too much in one line"),
        (["half a tube of flange sealant"], BadValue, "how much"),
    ],
)
def test_what_cannot_be_entered(
    context: Context, lines: list[str], kind: type[Exception], fact: str
) -> None:
    before = history(context)
    with pytest.raises(kind, match=fact):
        enter(context, Enter(lines))
    assert history(context) == before


def test_what_is_in_stock_by_size_thing_number_word_and_place(drawer: Context) -> None:
    enter(drawer, Enter(["6 M6 x 30 hex bolt"], condition="as removed", to="tin 2"))
    for asked, found in (
        ("", ["0.2", "0.3", "0.1"]),
        ("M6", ["0.1", "0.3"]),
        ("M6 x 30 hex bolt", ["0.3"]),
        ("0.2", ["0.2"]),
        ("sealant", ["0.2"]),
        ("tin 2", ["0.3"]),
    ):
        assert {line.item for line in stock(drawer, LookAtStock(asked)).lines} == set(found)
    assert [line.item for line in stock(drawer, LookAtStock("M6", sound=True)).lines] == ["0.1"]
    with pytest.raises(NotFound, match="nothing like it in stock") as missing:
        stock(drawer, LookAtStock("tin 2", sound=True))
    assert missing.value.facts == {"what": "tin 2", "sound": True}


def test_a_pack_is_noted_and_a_word_taken_back(drawer: Context) -> None:
    noted = note_pack(drawer, NotePack("0.2", PackAsTyped(use_by="2020-03-01", batch="B7")))
    assert (noted.item, noted.facts.batch, noted.usable_until) == ("0.2", "B7", date(2020, 3, 1))
    assert line_of(drawer, "0.2").past
    assert [line.item for line in stock(drawer, LookAtStock(low=True)).lines] == ["0.2"]
    again = note_pack(drawer, NotePack("0.2", PackAsTyped(use_by="none", batch="none")))
    assert (again.facts.batch, again.usable_until) == ("", None)
    undo(drawer, Undo())
    assert line_of(drawer, "0.2").past
    with pytest.raises(Refused, match="nothing said of the pack") as refused:
        note_pack(drawer, NotePack("0.2"))
    assert (refused.value.facts["item"], refused.value.hint) == ("0.2", Hint("note_pack"))


def test_the_least_to_be_held(drawer: Context) -> None:
    kept = keep_at_least(drawer, KeepAtLeast("0.2", "40 ml"))
    assert (kept.unit, kept.least, kept.there) == ("ml", 40, 25)
    nuts = keep_at_least(drawer, KeepAtLeast("M6 nut", "50"))
    assert (nuts.text, nuts.unit, nuts.least, nuts.there) == ("M6 nut", "", 50, 10)
    low = {each.text: (each.least, each.there) for each in stock(drawer, LookAtStock()).low}
    assert low == {"ml of flange sealant": (40, 25), "M6 nut": (50, 10)}
    keep_at_least(drawer, KeepAtLeast("M6 nut", "0"))
    keep_at_least(drawer, KeepAtLeast("0.2", "0"))
    assert stock(drawer, LookAtStock()).low == ()
    with pytest.raises((BadValue, NotationError)):
        keep_at_least(drawer, KeepAtLeast("0.2", "some"))


def test_another_name_of_the_same_thing_is_not_low(drawer: Context) -> None:
    keep_at_least(drawer, KeepAtLeast("anaerobic flange sealant", "20 ml"))
    assert stock(drawer, LookAtStock()).low == ()


@kept
def second(drawer: Context) -> Context:
    """A second machine at the same stock."""
    add_machine(drawer, AddMachine("Brindle Tern"))
    return Context(drawer.store, "Brindle Tern")


def test_two_machines_never_reserve_one_piece(drawer: Context, second: Context) -> None:
    first = Context(drawer.store, "Orrick Plover")
    kept = reserve(first, Reserve("0.1", "6"))
    assert [(each.item, each.quantity) for each in kept.items] == [("0.1", 6)]
    with pytest.raises(Refused, match="fewer are free") as refused:
        reserve(second, Reserve("0.1", "5"))
    assert refused.value.facts["asked"] == 5
    assert refused.value.facts["free"] == 4
    assert reserve(second, Reserve("0.1")).items[0].quantity == 4
    line = line_of(first, "0.1")
    assert {(each.machine, each.quantity) for each in line.promised} == {
        ("Orrick Plover", 6), ("Brindle Tern", 4),
    }  # fmt: skip
    assert line.free == 0
    undo(first, Undo())
    assert line_of(first, "0.1").free == 4
    assert reserve(first, Reserve("0.1", let_go=True)).items[0].quantity == 0
    assert line_of(first, "0.1").free == 10


def test_so_much_of_a_tube_is_reserved(drawer: Context) -> None:
    assert reserve(drawer, Reserve("0.2", "5 ml")).items[0].quantity == 5
    assert reserve(drawer, Reserve("0.2", "6")).items[0].quantity == 6  # said anew
    with pytest.raises(Refused, match="fewer are free") as refused:
        reserve(drawer, Reserve("0.2", "30 ml"))
    assert (refused.value.facts["free"], refused.value.facts["unit"]) == (25, "ml")


def test_a_kit_is_reserved_by_its_place(drawer: Context) -> None:
    kept = reserve(drawer, Reserve("drawer 3"))
    assert {each.item: each.quantity for each in kept.items} == {"0.1": 10, "0.2": 25}
    with pytest.raises(Refused, match="a count is of one thing"):
        reserve(drawer, Reserve("drawer 3", "2"))
    with pytest.raises(NotFound, match="no such step"):
        reserve(drawer, Reserve("0.1", step=9))


def test_what_is_used_spilt_and_gone_off(drawer: Context) -> None:
    used = use_up(drawer, UseUp("0.2", "5 ml"))
    assert (used.quantity, used.left, used.outcome) == (5, 20, "used")
    assert line_of(drawer, "0.2").opened is not None
    assert use_up(drawer, UseUp("0.2", "4 ml", outcome="spilt")).left == 16
    with pytest.raises(Refused, match="more than is in stock") as refused:
        use_up(drawer, UseUp("0.2", "17 ml"))
    assert (refused.value.facts["asked"], refused.value.facts["there"]) == (17, 16)
    assert refused.value.hint == Hint("say_what_is_left", what="0.2")
    assert use_up(drawer, UseUp("0.2", outcome="gone off")).left == 0
    with pytest.raises(Refused, match="more than is in stock") as none:
        use_up(drawer, UseUp("0.2", "1 ml"))
    assert none.value.facts["there"] == 0
    undo(drawer, Undo())
    assert line_of(drawer, "0.2").quantity == 16
    with pytest.raises(BadValue, match="no such outcome"):
        use_up(drawer, UseUp("0.2", outcome="drunk"))
    with pytest.raises(Refused, match="more than is in stock") as pieces:
        use_up(drawer, UseUp("0.1", "11"))
    assert pieces.value.hint == Hint("count", place="drawer 3")


def test_what_is_kept_for_others_is_not_used_unasked(drawer: Context, second: Context) -> None:
    """5 ml of 25 are free: neither the other step nor no step at all gets more, unless said so."""
    strip(second, Strip("Engine", "cover", ["4 M6x25 hex"]))
    strip(second, Strip("Engine", "pump", ["4 M6x25 hex"]))
    reserve(second, Reserve("0.2", "12 ml", step=1))
    reserve(second, Reserve("0.2", "8 ml"))
    for_cover, for_any = (Promise("Brindle Tern", step, "", ml) for step, ml in ((1, 12), (0, 8)))
    with pytest.raises(Refused, match="kept for others") as refused:
        use_up(drawer, UseUp("0.2", "6 ml"))
    facts = refused.value.facts
    assert (facts["asked"], facts["free"]) == (6, 5)
    assert facts["kept_for"] == (for_cover, for_any)
    with pytest.raises(Refused, match="kept for others") as refused:
        use_up(second, UseUp("0.2", "14 ml", step=2))
    assert (refused.value.facts["free"], refused.value.facts["kept_for"]) == (13, (for_cover,))
    assert use_up(drawer, UseUp("0.2", "5 ml")).kept_for == ()
    assert use_up(second, UseUp("0.2", "13 ml", step=1)).kept_for == ()
    # 7 ml are left, and kept for the machine as a whole: what is spilt is gone all the same
    rest = Promise("Brindle Tern", 0, "", 7)
    assert use_up(drawer, UseUp("0.2", "1 ml", outcome="spilt")).kept_for == (rest,)
    assert use_up(drawer, UseUp("0.2", "2 ml", anyway=True)).left == 4


def test_pieces_that_are_good_for_nothing_are_kept_for_nobody(
    drawer: Context, second: Context
) -> None:
    reserve(second, Reserve("0.1", "8"))
    inspect(drawer, Inspect("0.1", "condemned", quantity="2", reason="stripped"))
    assert use_up(drawer, UseUp("0.1", "2", of="condemned")).kept_for == ()
    with pytest.raises(Refused, match="kept for others"):
        use_up(drawer, UseUp("0.1", "1"))


def test_whose_pieces_a_joint_is_given_is_said(drawer: Context, second: Context) -> None:
    """Who points at the joint has decided: it is recorded, and said for whom it was kept."""
    first = Context(drawer.store, "Orrick Plover")
    strip(first, Strip("Engine", "cover", ["0 of 4 M6 nut"]))
    reserve(second, Reserve("0.1", "8"))
    assert assign(first, AssignPieces("0.1", "1.2", "2")).kept_for == ()
    given = assign(first, AssignPieces("0.1", "1.2", "1"))
    assert given.kept_for == (Promise("Brindle Tern", 0, "", 8),)


def test_who_goes_short_by_a_weighing_is_said(drawer: Context, second: Context) -> None:
    """Of 25 ml 8 are kept for a machine: 8 left leave it its share, 6 do not, and more is there
    for whoever it was kept for."""
    reserve(second, Reserve("0.2", "8 ml"))
    assert say_what_is_left(drawer, SayWhatIsLeft("0.2", "8 ml")).kept_for == ()
    less = say_what_is_left(drawer, SayWhatIsLeft("0.2", "6 ml"))
    assert (less.left, less.kept_for) == (6, (Promise("Brindle Tern", 0, "", 8),))
    assert measured_words(less).notes == ("That leaves too little: 8 ml kept for Brindle Tern",)
    assert say_what_is_left(drawer, SayWhatIsLeft("0.2", "7 ml")).kept_for == ()


def test_what_is_left_is_measured(drawer: Context) -> None:
    less = say_what_is_left(drawer, SayWhatIsLeft("0.2", "about a third"))
    # a third of the 50 ml that a full tube holds, to a whole ml
    assert (less.left, less.before, less.estimated) == (17, 25, True)
    assert say_what_is_left(drawer, SayWhatIsLeft("0.2", "20 ml")).left == 20
    assert line_of(drawer, "0.2").quantity == 20
    with pytest.raises(Refused, match="that much is on record"):
        say_what_is_left(drawer, SayWhatIsLeft("0.2", "20 ml"))
    with pytest.raises(Refused, match="pieces are counted") as refused:
        say_what_is_left(drawer, SayWhatIsLeft("0.1", "3"))
    assert refused.value.hint == Hint("count", place="drawer 3")


def test_a_joint_and_words_of_several_are_refused(drawer: Context) -> None:
    enter(drawer, Enter(["10 ml of flange sealant"]))
    with pytest.raises(Refused, match="several things in stock") as refused:
        use_up(drawer, UseUp("sealant", "1 ml"))
    assert len(refused.value.facts["items"]) == 2


ASKS: tuple[tuple[Callable[..., Any], Callable[..., Any]], ...] = (
    (enter, lambda **more: Enter(["4 M8 nut"], **more)),
    (note_pack, lambda **more: NotePack("0.2", PackAsTyped(batch="B7"), **more)),
    (keep_at_least, lambda **more: KeepAtLeast("M6 nut", "50", **more)),
    (reserve, lambda **more: Reserve("0.1", "4", **more)),
    (use_up, lambda **more: UseUp("0.2", "5 ml", **more)),
    (say_what_is_left, lambda **more: SayWhatIsLeft("0.2", "20 ml", **more)),
)


@pytest.mark.parametrize(("usecase", "ask"), ASKS, ids=[each.__name__ for each, _ in ASKS])
def test_a_trial_writes_nothing_and_a_key_makes_two_one(
    drawer: Context, usecase: Callable[..., Any], ask: Callable[..., Any]
) -> None:
    before = history(drawer), stock(drawer, LookAtStock())
    assert usecase(drawer, ask(trial=True)).trial
    assert (history(drawer), stock(drawer, LookAtStock())) == before
    usecase(drawer, ask(key="k"))
    with pytest.raises(Repeated):
        usecase(drawer, ask(key="k"))
    assert len(history(drawer)) == len(before[0]) + 1
    undo(drawer, Undo())
    assert stock(drawer, LookAtStock()) == before[1]


@pytest.mark.parametrize(
    ("what", "text", "quantity", "now"),
    [
        ("0.1", "12 M6 nut", 12, "M6 nut"),
        ("0.1", "7 M6 nut", 7, "M6 nut"),
        ("0.1", "M8 nut", 10, "M8 nut"),
        ("0.1", "12 M8 nut", 12, "M8 nut"),
        ("0.2", "30 ml of flange sealant", 30, "flange sealant"),
        ("0.2", "25 ml of neutral silicone", 25, "neutral silicone"),
    ],
)
def test_what_was_entered_is_put_right_where_it_is(
    drawer: Context, what: str, text: str, quantity: int, now: str
) -> None:
    before = stock(drawer, LookAtStock())
    correct_line(drawer, CorrectLine(what, text))
    line = line_of(drawer, what)
    assert (line.quantity, line.name) == (quantity, now)
    assert [(each.place, each.condition) for each in line.places] == [("drawer 3", Condition.NEW)]
    assert len(stock(drawer, LookAtStock()).lines) == 2
    undo(drawer, Undo())
    assert stock(drawer, LookAtStock()) == before


def test_what_was_used_since_stays_used_when_the_entry_is_put_right(drawer: Context) -> None:
    use_up(drawer, UseUp("0.1", "4"))
    correct_line(drawer, CorrectLine("0.1", "8 M6 nut"))
    assert line_of(drawer, "0.1").quantity == 4
    with pytest.raises(Refused, match="fewer to hand") as refused:
        correct_line(drawer, CorrectLine("0.1", "3 M6 nut"))
    assert (refused.value.facts["over"], refused.value.facts["to_hand"]) == (5, 4)
    with pytest.raises(Refused, match="stock of another unit"):
        correct_line(drawer, CorrectLine("0.2", "3 M6 nut"))
    with pytest.raises(Refused, match="nothing to put right"):
        correct_line(drawer, CorrectLine("0.1", "8 M6 nut"))


def test_what_is_kept_for_steps_that_are_joined_is_drawn_by_the_one_step(context: Context) -> None:
    strip(context, Strip("Engine", "cover", ["1 cover"]))
    strip(context, Strip("Engine", "sump", ["4 M6 nut"]))
    inspect(context, Inspect("1", "serviceable"))
    inspect(context, Inspect("2", "serviceable"))
    lose(context, LosePieces("2.2"))
    enter(context, Enter(["20 M6 nut", "50 ml flange sealant"], to="drawer 3"))
    reserve(context, Reserve("0.1", "6", step=2))
    reserve(context, Reserve("0.2", "5 ml", step=1))
    reserve(context, Reserve("0.2", "10 ml", step=2))
    joined = join_steps(context, JoinSteps("1", "2"))
    assert line_of(context, "0.2").promised == (Promise("Orrick Plover", 1, "", 15),)
    refit(context, Refit("1"))
    use_up(context, UseUp("0.2", "12 ml", step=1))
    assert line_of(context, "0.1").promised == (Promise("Orrick Plover", 1, "", 2),)
    assert line_of(context, "0.1").free == 14
    assert line_of(context, "0.2").promised == (Promise("Orrick Plover", 1, "", 3),)
    reserve(context, Reserve("0.2", let_go=True, step=1))
    assert line_of(context, "0.2").promised == ()
    for _ in range(3):
        undo(context, Undo())
    undo(context, Undo(str(joined.act), "act"))
    assert [(each.step, each.quantity) for each in line_of(context, "0.2").promised] == [
        (1, 5), (2, 10)
    ]  # fmt: skip


def test_what_is_measured_is_moved_lost_and_sent_in_its_unit(drawer: Context) -> None:
    """As a person says it: so many ml, never pieces of it."""
    replies = [
        wording.moved(move(drawer, MovePieces("0.2", "shelf 1"))),
        wording.lost(lose(drawer, LosePieces("0.2", "5"))),
        wording.recovered(recover(drawer, RecoverPieces("0.2"))),
        outwork_wording.sent(send(drawer, SendPieces(["0.2", "0.1"], "Brindle Platers"))),
    ]
    assert [reply.lines[0] for reply in replies] == [
        "25 ml now on shelf 1 (new place)",
        "5 ml lost",
        "5 ml found, now on the bench",
        "Sent to Brindle Platers: 2 lines, 10 pieces and 1 consumable",
    ]
    assert replies[1].lines[1] == "  0.2  5 ml of flange sealant"
    assert "5 ml of 0.2 flange sealant lost" in {act.summary for act in history(drawer)}
    assert stock(drawer, LookAtStock()).lines == ()


def test_a_length_may_be_at_least_or_at_most(context: Context) -> None:
    enter(context, Enter(["2 M8x20 hex bolt", "4 M8x30 hex bolt", "6 M8x45 csk screw", "M10x40"]))

    def found(asked: str) -> list[str]:
        return [line.item for line in stock(context, LookAtStock(asked)).lines]

    assert found("M8 x 30 or longer") == ["0.2", "0.3"]
    assert found("M8x30 hex bolt or longer") == ["0.2"]
    assert found("M8 x 30 or Bigger") == ["0.2", "0.3"]
    assert found("M8 x 30 or shorter") == ["0.1", "0.2"]
    assert found("M8 x 30 or so") == ["0.2"]
    assert found("M8 x 30") == ["0.2"]
    with pytest.raises(NotFound):
        stock(context, LookAtStock("M8 x 50 or longer"))


def test_a_thread_may_be_at_least_or_at_most(context: Context) -> None:
    """By the diameter over the thread, within its family: M8 x 1 is fine, M8 coarse; 2 BA is 4.7 mm
    (BS 93), larger than 4 BA."""
    things = ["2 M6 nut", "3 M8 nut", "4 M10 nut", "5 M8 x 1 nut", "6 3/8 BSF nut", "7 M10x40 hex"]
    enter(context, Enter([*things, "8 2BA nut", "9 4BA nut", "2 M8x40 hex"]))

    def found(asked: str) -> list[str]:
        return sorted(line.item for line in stock(context, LookAtStock(asked)).lines)

    assert found("M8 or larger nut") == ["0.2", "0.3"]
    assert found("M8 or larger") == ["0.2", "0.3", "0.6", "0.9"]
    assert found("M8 nut or smaller") == ["0.1", "0.2"]
    assert found("M10 or smaller x 40 or longer") == ["0.6", "0.9"]
    assert found("M10 x 40 or larger") == found("M10 x 40") == ["0.6"]
    assert found("1/4 BSF or larger") == ["0.5"]
    assert found("4BA or larger") == ["0.7", "0.8"]
    assert found("2BA or larger nut") == ["0.7"]
    assert [item.item for item in find(context, Find("M10 or larger nut")).items] == ["0.3"]
    with pytest.raises(NotFound):
        stock(context, LookAtStock("M12 or larger nut"))


def test_a_size_that_was_guessed_is_put_in_as_typed_and_asked_about(context: Context) -> None:
    (line,) = enter(context, Enter(["4 M8 x 30 or longer"])).lines
    assert (line.text, line.questions) == (
        "M8 x 30 [or longer]", ("30 or longer: a guess; measure it",)
    )  # fmt: skip


def test_what_was_never_in_stock_is_taken_out(drawer: Context) -> None:
    reply = drop_line(drawer, DropLine("0.2"))
    assert [(each.field, each.of, each.text) for each in reply.changes] == [
        ("dropped", "0.2", "25 ml of flange sealant")
    ]
    assert [line.item for line in stock(drawer, LookAtStock()).lines] == ["0.1"]
    assert not audit(drawer).faults
    undo(drawer, Undo())
    assert line_of(drawer, "0.2").quantity == 25


def test_what_was_used_kept_or_bought_is_not_taken_out(drawer: Context) -> None:
    reserve(drawer, Reserve("0.1", "2"))
    with pytest.raises(Refused, match="something hangs on it") as kept_for:
        drop_line(drawer, DropLine("0.1"))
    assert kept_for.value.facts["kinds"] == ("reservation",)
    use_up(drawer, UseUp("0.2", "5 ml"))
    with pytest.raises(Refused, match="something hangs on it"):
        drop_line(drawer, DropLine("0.2"))
    say_what_is_left(enter_again(drawer), SayWhatIsLeft("0.3", "10 ml"))
    with pytest.raises(Refused, match="stock not to hand"):
        drop_line(drawer, DropLine("0.3"))
    buy(drawer, Buy("4 M10 nut", firm="Hollin", stock=True))
    with pytest.raises(Refused, match="stock was bought"):
        drop_line(drawer, DropLine("0.4"))


def enter_again(context: Context) -> Context:
    enter(context, Enter(["half a 50 ml tube of flange sealant"], to="drawer 3"))
    return context


def test_two_lines_of_stock_are_joined(drawer: Context) -> None:
    enter(enter_again(drawer), Enter(["6 M6 nut"], to="tin 2", new_place=True))
    reply = join_lines(drawer, JoinLines("0.1", "0.4"))
    assert [(each.field, each.of, each.now) for each in reply.changes] == [("joined", "0.4", "0.1")]
    line = line_of(drawer, "0.1")
    assert (line.quantity, sorted(each.place for each in line.places)) == (
        16, ["drawer 3", "tin 2"],
    )  # fmt: skip
    assert join_lines(drawer, JoinLines("0.2", "0.3")).act
    assert line_of(drawer, "0.2").quantity == 50
    assert not audit(drawer).faults
    undo(drawer, Undo())
    undo(drawer, Undo(reply.act, "act"))
    assert [line_of(drawer, f"0.{each}").quantity for each in (1, 2, 3, 4)] == [10, 25, 25, 6]


def test_stock_that_is_not_alike_is_not_joined(drawer: Context) -> None:
    enter_again(drawer)
    use_up(drawer, UseUp("0.2", "5 ml"))
    with pytest.raises(Refused, match="other packs"):
        join_lines(drawer, JoinLines("0.2", "0.3"))
    loose(drawer, Loose("3 M6 nut"))
    with pytest.raises(Refused, match="stock and loose pieces"):
        join_lines(drawer, JoinLines("0.1", "0.4"))
    with pytest.raises(Refused, match="loose pieces are not split"):
        split_line(drawer, SplitLine("0.1", "3 M8 nut"))
