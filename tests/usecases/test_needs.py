"""What steps take of consumables: how much, what to buy of it, and what a refit draws from stock.

Amounts are worked by hand from the rules' published examples (tests/published/
consumables_examples.csv): a thread's allowance is 0.05 ml for M6, 0.10 for M8, 0.15 for M10; a bead
is pi/4 d2 L; grease to replenish a bearing is 0.005 D B.
"""

import pytest
from conftest import kept

from stores.errors import BadValue, NotationError, Refused, Repeated
from stores.model.ledger import Condition
from stores.planning.sharing import Promise
from stores.planning.shopping import ShoppingList
from stores.usecases.assembling import Apply, GoesIn, apply
from stores.usecases.context import Context
from stores.usecases.figures import SetSump, set_sump
from stores.usecases.history import Undo, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, PlaceOrder, buy, place_order
from stores.usecases.rebuild import ListSteps, listed_steps
from stores.usecases.refit import Refit, Refitted, refit
from stores.usecases.shopping import SetPrice, WhatToBuy, set_price, shopping
from stores.usecases.stock import (
    Enter,
    KeepAtLeast,
    LookAtStock,
    PackAsTyped,
    Reserve,
    UseUp,
    enter,
    keep_at_least,
    reserve,
    stock,
    use_up,
)
from stores.usecases.strip import Strip, strip

MEDIUM = "threadlocker, medium strength"
GREASE = "lithium multipurpose grease, NLGI 2"


@kept
def engine(context: Context) -> Context:
    """Three steps of one engine, inspected: threads as in the published job, bearings, a hub."""
    strip(context, Strip("Engine", "cover", ["24 M6x25 hex bolt", "1 gasket"]))
    strip(context, Strip("Engine", "case", ["16 M8x40 hex bolt", "6 M10x60 hex bolt"]))
    strip(context, Strip("Gearbox", "shaft", ["1 bearing 6204", "1 bearing 6203-2RS"]))
    for step in ("1", "2", "3"):
        inspect(context, Inspect(step, "serviceable"))
    return context


def put(context: Context, what: str, text: str, takes: str = "") -> GoesIn:
    return apply(context, Apply(what, text, takes))


def there(context: Context) -> dict[str, int]:
    """What is in stock, by number."""
    return {line.item: line.quantity for line in stock(context, LookAtStock()).lines}


def to_buy(context: Context, *, everywhere: bool = False) -> list[tuple[int | None, str]]:
    listed: ShoppingList = shopping(context, WhatToBuy(everywhere=everywhere))
    return [(line.quantity, line.text) for line in listed.supplies]


def why(context: Context) -> str:
    (line,) = shopping(context, WhatToBuy()).supplies
    return line.why


@pytest.mark.parametrize(
    ("text", "name", "quantity"),
    [
        ("flange sealant 10 ml", "flange sealant", 10.0),
        ("0.5 ml of medium threadlocker", "medium threadlocker", 0.5),
        ("lithium grease, 20 g", "lithium grease", 20.0),
    ],
)
def test_an_amount_beside_the_name_is_how_much_goes_in(
    engine: Context, text: str, name: str, quantity: float
) -> None:
    reply = put(engine, "1", text, "")
    assert (reply.text, reply.quantity, reply.basis) == (name, quantity, "as said")


def test_an_amount_that_cannot_be_counted_is_refused(engine: Context) -> None:
    with pytest.raises(Refused, match="how much, twice"):
        put(engine, "1", "flange sealant 10 ml", "5 ml")
    with pytest.raises(Refused, match="how much of which"):
        put(engine, "1", "grease 20 g", "")
    with pytest.raises(BadValue, match="how much is it"):
        put(engine, "1", "flange sealant 10 ml 5 ml", "")


@pytest.mark.parametrize(
    ("what", "text", "takes", "quantity", "unit", "basis"),
    [
        # by rule: 24 x 0.05 = 1.2; 16 x 0.10 = 1.6; step 2: 1.6 + 6 x 0.15 = 2.5
        ("1.2", "medium threadlocker", "", 1.2, "ml", "24 off M6"),
        ("2.2", "medium locking compound", "", 1.6, "ml", "16 off M8"),
        ("2", "medium threadlocker", "", 2.5, "ml", "16 off M8, 6 off M10"),
        ("3.2", "lithium grease", "", 3.29, "g", "6204, 47 x 14 mm"),
        ("3.3", "lithium grease", "", 0.0, "g", "closed, comes filled"),
        # the person's own, as said or by a rule's measures, before what the item says
        ("1.2", "medium threadlocker", "2 ml", 2.0, "ml", "as said"),
        ("1.2", "medium threadlocker", "0.3 ml", 0.3, "ml", "as said"),
        ("1", "flange sealant", "bead 3 mm x 640 mm", 4.524, "ml", "bead 3 mm x 640 mm"),
        ("1", "flange sealant", "bead 2.5 mm x 880 mm, 10 holes 14 mm", 6.479, "ml", "10 loops"),
        ("3", "retaining compound", "fit 47 x 14 x 0.03 mm", 0.031, "ml", "fit 47"),
        ("2", "medium threadlocker", "threads 24 M6, 16 M8, 6 M10", 3.7, "ml", "threads 24"),
        ("3.1", "lithium grease", "bearing 47 x 14 mm", 3.29, "g", "0.005 D B"),
        ("1", "enamel", "paint 1.2 m2, 2 coats, 45 %, 40 um, loss 40 %", 355.556, "ml", "paint"),
        ("1", "fuel hose", "runs 420, 310, 655 mm, ends 25 mm", 1535.0, "mm", "runs 420"),
        # not known: no thread, no bearing, or no figure
        ("1.3", "medium threadlocker", "", None, "ml", ""),
        ("3.1", "lithium grease", "", None, "g", ""),
        ("1", "flange sealant", "", None, "ml", ""),
    ],
)
def test_how_much_goes_in(
    engine: Context,
    what: str,
    text: str,
    takes: str,
    quantity: float | None,
    unit: str,
    basis: str,
) -> None:
    reply = put(engine, what, text, takes)
    if quantity is None:
        assert reply.quantity is None
    else:
        assert reply.quantity == pytest.approx(quantity, abs=0.001)
    assert (reply.unit, basis in reply.basis) == (unit, True)


def test_an_own_figure_is_kept_and_taken_back(engine: Context) -> None:
    assert put(engine, "1.2", "medium threadlocker", "2 ml").quantity == 2
    assert put(engine, "1.2", "medium threadlocker").basis == "as said"
    assert put(engine, "1.2", "medium threadlocker", "none").quantity == pytest.approx(1.2)
    undo(engine, Undo())
    (line,) = [line for step in listed_steps(engine, ListSteps()) for line in step.lines
               if line.item == "1.2"]  # fmt: skip
    assert [(each.amount, each.basis) for each in line.goes_in] == [("2 ml", "as said")]


def test_words_of_several_kinds_or_none_are_not_counted(engine: Context) -> None:
    several = put(engine, "1", "sealant on both faces")
    assert (several.thing, several.quantity) == ("", None)
    assert "anaerobic flange sealant" in several.choices
    with pytest.raises(Refused, match="how much of which") as refused:
        put(engine, "1", "sealant", "2 ml")
    assert refused.value.facts["kinds"] == several.choices
    with pytest.raises(Refused, match="no sort of compound"):
        put(engine, "1", "custard", "2 ml")


@pytest.mark.parametrize(
    "takes", ["0 ml", "2 cupfuls", "bead", "bead 3 mm", "-1 ml", "2 m", "bead 0 mm x 5 mm",
              "threads M6", "bearing xx", "paint 1 m2", "9999999999 ml"]
)  # fmt: skip
def test_what_is_no_amount_is_refused_and_changes_nothing(engine: Context, takes: str) -> None:
    before = history(engine)
    with pytest.raises((BadValue, NotationError)):
        put(engine, "1.2", "medium threadlocker", takes)
    assert history(engine) == before


def test_a_kind_that_can_hurt_says_its_cautions(engine: Context) -> None:
    assert any("allergic" in line for line in put(engine, "1.2", "medium threadlocker").hazards)
    assert put(engine, "1", "cable ties", "2").hazards == ("Not next to exhaust.",)
    fluid = put(engine, "1", "DOT 4 brake fluid", "200 ml")
    assert any("old opened tin" in line for line in fluid.hazards)
    assert put(engine, "1", "no DOT 4 brake fluid").hazards == ()


def test_needs_are_summed_over_all_steps_and_bought_in_whole_packs(engine: Context) -> None:
    """The published job of 3.70 ml, spread over three items: a bottle of 6 ml is the smallest."""
    for what in ("1.2", "2.2", "2.3"):
        put(engine, what, "medium threadlocker")
    (line,) = shopping(engine, WhatToBuy()).supplies
    assert (line.quantity, line.text, line.pack) == (1, f"{MEDIUM}, 6 ml", 6)
    assert set(line.wanted_for.split(", ")) == {"1.2", "2.2", "2.3"}
    assert line.why == "3.7 ml needed, 2.3 ml over"


@pytest.mark.parametrize(
    ("had", "bought"),
    [
        ("2 ml of medium threadlocker", [(1, f"{MEDIUM}, 6 ml")]),
        ("3 ml of medium threadlocker", [(1, f"{MEDIUM}, 6 ml")]),
        ("4 ml of medium threadlocker", []),
        ("9 ml of high threadlocker", [(1, f"{MEDIUM}, 6 ml")]),  # another kind
        ("a third of a 10 ml bottle of medium threadlocker", [(1, f"{MEDIUM}, 10 ml")]),
    ],
)
def test_what_is_in_stock_is_not_bought(
    engine: Context, had: str, bought: list[tuple[int, str]]
) -> None:
    for what in ("1.2", "2"):
        put(engine, what, "medium threadlocker")  # 1.2 + 2.5 = 3.7
    enter(engine, Enter([had]))
    assert to_buy(engine) == bought


def test_published_packs(engine: Context) -> None:
    """2350 ml with 180 in stock, in tins of 1000: three tins."""
    put(engine, "1", "cellulose paint", "2350 ml")
    enter(engine, Enter(["180 ml of cellulose paint"], on_pack=PackAsTyped(pack="1 l")))
    assert to_buy(engine) == [(3, "cellulose lacquer, 1 l")]
    assert why(engine) == "2.35 l needed, less 180 ml in stock, 830 ml over"


def test_past_its_date_is_named_and_neither_counted_nor_drawn(engine: Context) -> None:
    put(engine, "1.2", "medium threadlocker")
    enter(engine, Enter(["8 ml of medium threadlocker"], on_pack=PackAsTyped(use_by="2020-01-31")))
    assert to_buy(engine) == [(1, f"{MEDIUM}, 6 ml")]
    assert "not counted: 8 ml of 0.1, past its date since 31 Jan 2020" in why(engine)
    complete(engine)
    reply = all_on(engine, "1")
    assert reply.drawn == ()
    (lack,) = reply.not_drawn
    assert (lack.text, lack.quantity, lack.why, lack.item) == (MEDIUM, 1.2, "past its date", "0.1")
    assert there(engine)["0.1"] == 8


def test_brake_fluid_of_an_old_opened_tin_is_never_counted_on(engine: Context) -> None:
    put(engine, "3", "DOT 4 brake fluid", "100 ml")
    enter(engine, Enter(["400 ml of DOT 4 brake fluid"], on_pack=PackAsTyped(opened="yesterday")))
    assert [text for _, text in to_buy(engine)] == ["brake fluid, glycol, DOT 4, 250 ml"]
    assert all_on(engine, "3").not_drawn[0].why == "opened"
    undo(engine, Undo())
    enter(engine, Enter(["500 ml of DOT 3"]))
    assert len(to_buy(engine)) == 1  # DOT 3 is not what was asked for
    enter(engine, Enter(["250 ml of DOT 4 brake fluid"]))
    assert to_buy(engine) == []
    assert [(each.item, each.quantity) for each in all_on(engine, "3").drawn] == [("0.3", 100)]


def all_on(context: Context, step: str) -> Refitted:
    return refit(context, Refit(step, anyway=True, as_it_came=True))


def complete(context: Context) -> None:
    """Buy the gasket that step 1 wants."""
    buy(context, Buy("1.3"))


def test_a_refit_draws_opened_ones_first_then_the_lowest_number(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")  # 2.5 ml
    for text, opened in (("10 ml", ""), ("2 ml", "yesterday"), ("10 ml", "")):
        enter(engine, Enter([f"{text} of medium threadlocker"], on_pack=PackAsTyped(opened=opened)))
    reply = all_on(engine, "2")
    drawn = [(each.item, each.takes, each.quantity, each.left) for each in reply.drawn]
    assert drawn == [("0.2", 2.0, 2, 0), ("0.1", 0.5, 1, 9)]
    assert "16 off M8, 6 off M10" in reply.drawn[0].basis
    assert reply.not_drawn == ()
    assert there(engine) == {"0.1": 9, "0.3": 10}
    opened = {line.item: line.opened for line in stock(engine, LookAtStock()).lines}
    assert opened["0.1"] is not None
    assert opened["0.3"] is None
    undo(engine, Undo())
    assert there(engine) == {"0.1": 10, "0.2": 2, "0.3": 10}
    assert stock(engine, LookAtStock("0.1")).lines[0].opened is None


def test_never_more_than_is_there(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")  # 2.5 ml
    enter(engine, Enter(["2 ml of medium threadlocker"]))
    reply = all_on(engine, "2")
    assert [(each.quantity, each.left) for each in reply.drawn] == [(2, 0)]
    assert [(each.quantity, each.why) for each in reply.not_drawn] == [(0.5, "no more there")]


def test_only_a_whole_step_draws(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")
    enter(engine, Enter(["10 ml of medium threadlocker"]))
    assert refit(engine, Refit("2.2")).drawn == ()
    refit(engine, Refit("2.1"))
    assert [each.quantity for each in refit(engine, Refit("2.3")).drawn] == [3]  # 2.5, whole ml


def test_a_trial_of_a_refit_draws_nothing_and_a_key_draws_once(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")
    enter(engine, Enter(["10 ml of medium threadlocker"]))
    assert refit(engine, Refit("2", trial=True)).drawn[0].quantity == 3
    assert there(engine) == {"0.1": 10}
    refit(engine, Refit("2", key="k"))
    with pytest.raises(Repeated):
        refit(engine, Refit("2", key="k"))
    assert there(engine) == {"0.1": 7}


def test_a_whole_unit_that_was_drawn_serves_the_steps_to_come(context: Context) -> None:
    """Five covers with 4 M6 each: 0.2 ml apiece, 1 ml in all. The record has whole ml."""
    for number in range(5):
        strip(context, Strip("Engine", f"cover {number}", ["4 M6x25 hex bolt"]))
        inspect(context, Inspect(str(number + 1), "serviceable"))
        put(context, f"{number + 1}.2", "medium threadlocker")
    enter(context, Enter(["1 ml of medium threadlocker"]))
    for number in (5, 4, 3, 2, 1):
        assert to_buy(context) == []
        reply = refit(context, Refit(str(number)))
        assert [each.quantity for each in reply.drawn] == [1 if number == 5 else 0]
        assert reply.not_drawn == ()
    assert there(context) == {}


def test_what_was_used_on_a_step_is_not_asked_for_again(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")  # 2.5 ml
    enter(engine, Enter(["2 ml of medium threadlocker"]))
    use_up(engine, UseUp("0.1", "2 ml", step=2))
    assert why(engine).startswith("0.5 ml needed")
    enter(engine, Enter(["5 ml of medium threadlocker"]))
    assert [(each.takes, each.quantity) for each in all_on(engine, "2").drawn] == [(0.5, 1)]


def test_what_was_spilt_on_a_step_was_not_used_on_it(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")
    enter(engine, Enter(["2 ml of medium threadlocker"]))
    use_up(engine, UseUp("0.1", "2 ml", outcome="spilt", step=2))
    assert why(engine).startswith("2.5 ml needed")


def test_what_is_not_known_is_said_and_never_guessed(engine: Context) -> None:
    put(engine, "1", "flange sealant")
    put(engine, "2", "grease")
    enter(engine, Enter(["25 ml of flange sealant"]))
    assert [quantity for quantity, _ in to_buy(engine)] == [None, None]
    assert [each.why for each in all_on(engine, "2").not_drawn] == ["which one"]
    complete(engine)
    assert [each.why for each in all_on(engine, "1").not_drawn] == ["not known"]
    assert there(engine)["0.1"] == 25


@kept
def two(engine: Context) -> tuple[Context, Context]:
    """A second machine with one step; both take medium threadlocker: 2.5 ml and 1.2 ml."""
    put(engine, "2", "medium threadlocker")
    first = Context(engine.store, "Orrick Plover")
    add_machine(engine, AddMachine("Brindle Tern"))
    second = Context(engine.store, "Brindle Tern")
    strip(second, Strip("Engine", "cover", ["24 M6x25 hex bolt"]))
    inspect(second, Inspect("1", "serviceable"))
    put(second, "1.2", "medium threadlocker")
    return first, second


def test_two_machines_never_count_on_one_bottle(two: tuple[Context, Context]) -> None:
    first, second = two
    enter(first, Enter(["3 ml of medium threadlocker"]))
    # 3 ml: 2.5 to the machine that was begun first, 0.5 of 1.2 to the other
    assert to_buy(first) == []
    assert why(second).startswith("1.2 ml needed, less 0.5 ml in stock")
    assert to_buy(first, everywhere=True) == [(1, f"{MEDIUM}, 6 ml")]
    enter(first, Enter(["1 ml of medium threadlocker"]))
    assert to_buy(second) == to_buy(first, everywhere=True) == []


def test_what_is_kept_for_others_is_neither_counted_nor_drawn(two: tuple[Context, Context]) -> None:
    first, second = two
    enter(first, Enter(["3 ml of medium threadlocker"]))
    reserve(second, Reserve("0.1"))
    assert to_buy(second) == []
    assert why(first).startswith("2.5 ml needed, 3.5 ml over")
    (lacking,) = all_on(first, "2").not_drawn
    kept = (Promise("Brindle Tern", 0, "", 3),)
    assert (lacking.why, lacking.item, lacking.kept_for) == ("kept for others", "0.1", kept)
    assert [each.quantity for each in all_on(second, "1").drawn] == [2]


def test_below_its_low_mark_is_bought_beside_what_steps_take(engine: Context) -> None:
    """2.5 needed and 20 to be held, 4 there: 18.5 to buy. With 30 there, none of it."""
    put(engine, "2", "medium threadlocker")
    enter(engine, Enter(["4 ml of medium threadlocker"]))
    keep_at_least(engine, KeepAtLeast("medium threadlocker", "20 ml"))
    (line,) = shopping(engine, WhatToBuy()).supplies
    assert (line.quantity, line.pack) == (2, 10)
    assert line.wanted_for == "step 2, stock"
    assert line.why == (
        "2.5 ml needed, less 2.5 ml in stock, 18.5 ml short of the 20 ml to be held, 1.5 ml over"
    )
    enter(engine, Enter(["26 ml of medium threadlocker"]))
    assert to_buy(engine) == []


def test_low_fasteners_are_ordinary_lines(engine: Context) -> None:
    """20 to be held, 14 there, of which a joint that lost 4 takes 4: 10 are left, 10 to buy."""
    keep_at_least(engine, KeepAtLeast("M6 nut", "20"))
    (line,) = [line for line in shopping(engine, WhatToBuy()).lines if line.what == "M6 nut"]
    assert (line.quantity, line.refs, line.why) == (
        20,
        "stock",
        "running low: at least 20 to be held",
    )
    strip(engine, Strip("Frame", "guard", ["0 of 4 M6 nut"]))
    enter(engine, Enter(["14 M6 nut"]))
    (line,) = [line for line in shopping(engine, WhatToBuy()).lines if line.what == "M6 nut"]
    assert (line.quantity, line.refs) == (10, "stock")
    place_order(engine, PlaceOrder("Hollin", listed=True, new_firm=True))
    assert not [line for line in shopping(engine, WhatToBuy()).lines if line.what == "M6 nut"]


def test_what_is_on_order_or_came_in_bottles_is_not_bought_again(engine: Context) -> None:
    put(engine, "2", "medium threadlocker")
    set_price(engine, SetPrice("medium threadlocker, 6 ml", "6.40", supplier="Hollin",
                               new_firm=True))  # fmt: skip
    (line,) = shopping(engine, WhatToBuy()).supplies
    assert (line.price, line.supplier) == (640, "Hollin")
    order = place_order(engine, PlaceOrder("Hollin", listed=True))
    assert f"ml of {MEDIUM}" in [line.what for line in order.lines]
    assert to_buy(engine) == []
    undo(engine, Undo())
    buy(engine, Buy("10 ml medium threadlocker"))
    assert to_buy(engine) == []


def test_oil_in_stock_and_oil_poured_in_count_for_sumps(engine: Context) -> None:
    """1400 ml dry: 900 of 140 in stock leaves 500; poured in, it is not asked for again."""
    set_sump(engine, SetSump("Gearbox", dry="1.4 l", oil="SAE 140"))
    enter(engine, Enter(["900 ml of SAE 140 gear oil"]))
    assert to_buy(engine) == [(1, "SAE 140, 500 ml")]
    use_up(engine, UseUp("0.1", "900 ml", step=3))
    assert to_buy(engine) == [(1, "SAE 140, 500 ml")]
    enter(engine, Enter(["600 ml of SAE 140 gear oil", "5 l of SAE 90 gear oil"]))
    assert to_buy(engine) == []


def test_oil_of_a_step_and_of_a_sump_is_counted_once(engine: Context) -> None:
    """400 for the step and 1400 for the sump, 1000 there: 800 to buy."""
    set_sump(engine, SetSump("Gearbox", dry="1.4 l", oil="SAE 140"))
    put(engine, "3", "SAE 140 gear oil", "400 ml")
    enter(engine, Enter(["1 l of SAE 140 gear oil"]))
    assert to_buy(engine) == [(1, "SAE 140, 1 l")]
    reply = all_on(engine, "3")
    assert [(each.quantity, each.left) for each in reply.drawn] == [(400, 600)]
    assert to_buy(engine) == [(1, "SAE 140, 1 l")]  # 1400 less 600


def test_pieces_are_sound_whatever_was_poured(engine: Context) -> None:
    """A consumable has no condition of its own: it is drawn as it is."""
    enter(engine, Enter(["10 ml of medium threadlocker"], condition="as removed"))
    put(engine, "2", "medium threadlocker")
    assert all_on(engine, "2").drawn[0].quantity == 3
    (held,) = stock(engine, LookAtStock()).lines[0].places
    assert held.condition is Condition.AS_REMOVED
