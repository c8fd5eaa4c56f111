"""A sound left-over becomes a spare; the rest is thrown out in one go; then the machine closes.

By hand: 4 old bolts (1.2) came off a cover, 3 of them sound and 1 condemned; 4 new ones were fitted
in their place. A tin (0.1) holds 5 sound nuts and 2 that nobody inspected (0.2).
"""

import pytest
from conftest import kept

from stores.errors import Hint, Refused, Repeated
from stores.model.ledger import Condition
from stores.planning.closing import Unsettled, UnsettledKind
from stores.usecases.closing import CloseOut, close_out, look_before_closing
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, buy
from stores.usecases.places import (
    AssignPieces,
    KeepAsSpares,
    PiecesOfItem,
    ScrapPieces,
    assign,
    keep,
    scrap,
)
from stores.usecases.rebuild import rebuild_of
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Loose, Strip, loose, strip

BOLT = "M6 x 25 hex bolt"
NUT = "M10 nut"
ALL = KeepAsSpares("all left over")


@kept
def renewed(context: Context) -> Context:
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    inspect(context, Inspect("1.1", "serviceable"))
    inspect(context, Inspect("1.2", "serviceable", quantity="3"))
    inspect(context, Inspect("1.2", "condemned", "necked", "1"))
    buy(context, Buy("1.2", "4"))
    refit(context, Refit("1"))
    loose(context, Loose("5 M10 nut", "tin 1"))
    loose(context, Loose("2 M10 nut", "tin 2"))
    inspect(context, Inspect("0.1", "serviceable"))
    return context


def test_sound_ones_are_kept_in_one_go_and_the_rest_thrown_out(renewed: Context) -> None:
    assert look_before_closing(renewed).left_over == 11
    reply = keep(renewed, ALL)
    assert reply.pieces == 8
    assert reply.items == (PiecesOfItem("0.1", NUT, 5), PiecesOfItem("0.3", BOLT, 3))
    assert reply.not_sound == (
        PiecesOfItem("0.2", NUT, 2),
        PiecesOfItem("1.2", BOLT, 1),
    )
    with pytest.raises(Refused, match="in the way of closing") as refusal:
        close_out(renewed, CloseOut())
    assert refusal.value.facts["matters"] == (
        Unsettled(UnsettledKind.LEFT_OVER, 2, "0.2", NUT),
        Unsettled(UnsettledKind.LEFT_OVER, 1, "1.2", BOLT),
    )
    gone = scrap(renewed, ScrapPieces("all left over"))
    assert gone.items == (
        PiecesOfItem("0.2", NUT, 2, Condition.AS_REMOVED),
        PiecesOfItem("1.2", BOLT, 1, Condition.CONDEMNED),
    )
    assert look_before_closing(renewed).in_the_way == ()
    close_out(renewed, CloseOut())
    assert audit(renewed).faults == ()
    with pytest.raises(Refused, match="nothing left over"):
        scrap(renewed, ScrapPieces("All left-over"))


def test_a_spare_is_found_and_goes_to_another_machine_though_its_own_is_closed(
    renewed: Context,
) -> None:
    keep(renewed, ALL)
    scrap(renewed, ScrapPieces("all left over"))
    close_out(renewed, CloseOut())
    add_machine(renewed, AddMachine("Tern 50"))
    tern = Context(renewed.store, "Tern 50")
    strip(tern, Strip("Frame", "saddle", ["3 of 4 M6x25 hex bolt"]))
    found = [(each.item, each.machine) for each in find(renewed, Find("M6x25")).items]
    assert ("0.3", "") in found  # the workshop's
    spare = AssignPieces("0.3", "1.2", "1", other="Tern 50")
    assert not assign(Context(renewed.store, "Orrick Plover"), spare).owed
    with renewed.reading() as connection:
        pieces = rebuild_of(connection, "Tern 50").plan.status.listed
    assert sum(piece.short for piece in pieces) == 0
    assert audit(renewed).faults == ()
    with pytest.raises(Refused, match="closed out already"):
        close_out(Context(renewed.store, "Orrick Plover"), CloseOut())


def test_one_item_is_kept_and_what_is_not_sound_is_refused(renewed: Context) -> None:
    assert keep(renewed, KeepAsSpares("0.1")).items == (PiecesOfItem("0.1", NUT, 5),)
    with pytest.raises(Refused, match="not left over"):
        keep(renewed, KeepAsSpares("0.1"))
    with pytest.raises(Refused, match="none of it sound") as refusal:
        keep(renewed, KeepAsSpares("0.2"))
    assert refusal.value.hint == Hint("inspect", what="0.2", verdict="serviceable")
    with pytest.raises(Refused, match="not left over"):
        keep(renewed, KeepAsSpares("1.1"))
    with pytest.raises(Refused, match="several items"):
        scrap(renewed, ScrapPieces("all left over", "1"))


def test_only_those_of_one_condition_are_thrown_out(renewed: Context) -> None:
    assert scrap(renewed, ScrapPieces("all left over", of="condemned")).items == (
        PiecesOfItem("1.2", BOLT, 1, Condition.CONDEMNED),
    )


def test_a_kept_spare_is_not_thrown_out_with_the_rest(renewed: Context) -> None:
    keep(renewed, KeepAsSpares("0.1"))
    gone = {each.item for each in scrap(renewed, ScrapPieces("all left over")).items}
    assert gone == {"0.2", "1.2"}


def test_it_is_undone(renewed: Context) -> None:
    before = look_before_closing(renewed)
    keep(renewed, ALL)
    undo(renewed, Undo())
    assert look_before_closing(renewed) == before
    assert audit(renewed).faults == ()
    scrap(renewed, ScrapPieces("all left over"))
    undo(renewed, Undo())
    assert look_before_closing(renewed) == before


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(renewed: Context) -> None:
    before = history(renewed)
    assert keep(renewed, KeepAsSpares("all left over", trial=True)).pieces == 8
    assert history(renewed) == before
    keep(renewed, KeepAsSpares("all left over", key="k"))
    with pytest.raises(Repeated):
        keep(renewed, KeepAsSpares("all left over", key="k"))
