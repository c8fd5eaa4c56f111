"""What goes in, what is measured, how tight it is and who signs: asked of the use-cases."""

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.planning.assembling import HowTight, Refits, Role
from stores.storage.assembling import read_refits
from stores.usecases.assembling import (
    Apply,
    SetPoint,
    Sign,
    TakeReading,
    Tighten,
    TightLine,
    apply,
    read_applied,
    set_point,
    sign,
    take_reading,
    tighten,
)
from stores.usecases.context import Context
from stores.usecases.history import Undo, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Strip, strip


@kept
def brake(context: Context) -> Context:
    """A clutch cover and a brake plate off, inspected."""
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 dowel 8x12"]))
    strip(context, Strip("Brakes", "brake plate", ["2 M8x30 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    inspect(context, Inspect("2", "serviceable"))
    return context


def notes(context: Context) -> Refits:
    with context.reading() as connection:
        return read_refits(connection, 1)


def test_what_goes_in_is_of_a_step_or_an_item(brake: Context) -> None:
    item = apply(brake, Apply("1.2", "medium threadlocker"))
    assert (item.step, item.item, item.as_specified, item.kind, item.cautions) == (
        1, "1.2", "M6 x 25 hex bolt", "locking compound", (),
    )  # fmt: skip
    step = apply(brake, Apply("1", "sealant on both faces"))
    assert (step.item, step.kind, step.text) == ("", "sealant", "sealant on both faces")
    assert [(each.line, each.kind) for each in notes(brake).of(1).applied] == [
        (2, "locking compound"), (0, "sealant"),
    ]  # fmt: skip
    assert apply(brake, Apply("1", "no sealant")).text == ""
    assert [each.kind for each in notes(brake).of(1).applied] == ["locking compound"]
    assert apply(brake, Apply("2", "copper grease")).cautions == ("compound at a brake",)
    assert apply(brake, Apply("2", "no grease")).cautions == ()
    with pytest.raises(Refused, match="no sort of compound") as refusal:
        apply(brake, Apply("1", "custard"))
    assert refusal.value.facts["typed"] == "custard"


def test_a_trial_writes_nothing_and_the_same_key_writes_once(brake: Context) -> None:
    before = history(brake)
    for ask, usecase in (
        (Apply("1", "grease", trial=True), apply),
        (SetPoint("1", "end float", "0.05 to 0.15 mm", trial=True), set_point),
    ):
        assert usecase(brake, ask).trial  # type: ignore[operator]
    assert history(brake) == before
    apply(brake, Apply("1", "grease", key="k"))
    with pytest.raises(Repeated):
        apply(brake, Apply("1", "grease", key="k"))
    assert len(history(brake)) == len(before) + 1


def test_a_point_is_set_measured_and_taken_back(brake: Context) -> None:
    point = set_point(brake, SetPoint("1", "end float", "0.05 to 0.15 mm", "book p. 12"))
    assert (point.step, point.name, point.limits) == (1, "end float", "0.05 to 0.15 mm")
    # 6 thou = 6 x 0.0254 mm = 0.1524 mm, above 0.15
    bad = take_reading(brake, TakeReading("1", "end", "6 thou"))
    assert bad.found == pytest.approx(0.1524)
    assert (bad.name, bad.unit, bad.limits, bad.within) == (
        "end float", "mm", "0.05 to 0.15 mm", False,
    )  # fmt: skip
    assert take_reading(brake, TakeReading("1", "end float", "0.15")).within
    assert set_point(brake, SetPoint("1", "end float", "none")).limits == ""
    assert notes(brake).of(1).points == ()
    undo(brake, Undo())
    assert notes(brake).of(1).points[0].within


@pytest.mark.parametrize(
    ("limits", "fact"),
    [
        ("0.15 to 0.05 mm", "larger limit first"),
        ("0.05 to 0.15", "need a unit"),
        ("0.05 0.08", "need a unit"),
        ("x", "x"),
    ],
)
def test_limits_that_cannot_be_read(brake: Context, limits: str, fact: str) -> None:
    with pytest.raises((BadValue, NotationError), match=fact):
        set_point(brake, SetPoint("1", "end float", limits))


def test_a_reading_of_no_point_or_another_sort_of_unit(brake: Context) -> None:
    set_point(brake, SetPoint("1", "end float", "at most 0.1 mm"))
    with pytest.raises(NotFound, match="nothing of that name to measure") as missing:
        take_reading(brake, TakeReading("1", "backlash", "0.1"))
    assert missing.value.facts == {"step": 1, "typed": "backlash", "points": ("end float",)}
    with pytest.raises((BadValue, NotationError)):
        take_reading(brake, TakeReading("1", "end float", "3 bar"))


def test_what_is_on_is_tightened(brake: Context) -> None:
    with pytest.raises(Refused, match="nothing of it on the machine") as refusal:
        tighten(brake, Tighten("1.2"))
    assert refusal.value.hint == Hint("refit", what="1.2")
    refit(brake, Refit("1", finger_tight=True))
    tight = tighten(brake, Tighten("1", "24 N m oiled"))
    assert tight.items == (TightLine("1.2", 4, "M6 x 25 hex bolt"),)
    assert (tight.torque_nm, tight.written, tight.state) == (24, "24 N m", "oiled")
    assert tight.beside_maker == ()
    [left] = notes(brake).tightened.values()
    assert (left.how, left.torque_nm, left.state) == (HowTight.TIGHT, 24, "oiled")
    with pytest.raises(Refused, match="nothing to tighten"):
        tighten(brake, Tighten("1.3"))


def test_a_torque_put_on_is_one_figure() -> None:
    # 1 lbf ft = 0.45359237 kg x 9.80665 m/s2 x 0.3048 m = 1.3558179 N m
    newton_metres, written, state = read_applied("6 lbf ft, dry")
    assert newton_metres == pytest.approx(8.134908, abs=5e-7)
    assert (written, state) == ("6 lbf ft", "dry")
    with pytest.raises(BadValue, match="a range was put on"):
        read_applied("20 to 24 N m")


def test_who_signs(brake: Context) -> None:
    with pytest.raises(Refused, match="step not all on") as refusal:
        sign(brake, Sign("2", "A. Marl"))
    assert refusal.value.facts["items"] == ("2.1 brake plate", "2.2 M8 x 30 hex bolt")
    refit(brake, Refit("2", finger_tight=True))
    with pytest.raises(Refused, match="only finger-tight"):
        sign(brake, Sign("2", "A. Marl"))
    tighten(brake, Tighten("2"))
    reply = sign(brake, Sign("2", "A. Marl", note="split pins in"))
    assert (reply.step, reply.part, reply.role) == (2, "brake plate", Role.FITTED)
    with pytest.raises(Refused, match="signed by the same person"):
        sign(brake, Sign("2", "a. marl", second=True))
    assert sign(brake, Sign("2", "J. Teal", second=True)).role is Role.SECOND
    assert {each.name for each in notes(brake).of(2).signatures} == {"A. Marl", "J. Teal"}
