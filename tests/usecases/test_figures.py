"""A machine's figures, asked of the use-cases themselves."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import BadValue, NotationError, NotFound, Refused, Repeated, StoresError
from stores.usecases.context import Context
from stores.usecases.figures import (
    DropSump,
    SetJoint,
    SetSump,
    SetTorque,
    TakeReadings,
    drop_sump,
    joint_of,
    readings,
    set_joint,
    set_sump,
    set_torque,
    sumps,
    take_readings,
    torque_of,
)
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.strip import Strip, strip

BOX = SetSump("Gearbox", oil="sae 90 gl-4", dry="1.4 l")


@kept
def stripped(context: Context) -> Context:
    """A cover, a brake arm and an unmarked inch bolt are off."""
    strip(context, Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex 8.8", "1 gasket"]))
    strip(context, Strip("Brakes", "brake arm", ["1 M8x30 hex 8.8"]))
    strip(context, Strip("Engine", "side cover", ["5 1/4 BSF x 3/4 bolt", "2 M6 nut"]))
    return context


def test_a_sump_is_told_bit_by_bit(context: Context) -> None:
    first = set_sump(context, BOX)
    assert (first.sump, first.grade, first.dry_ml, first.refill_ml, first.number) == (
        "Gearbox", "SAE 90 GL-4", 1400, None, 1,
    )  # fmt: skip
    assert (first.graded, first.bronze_question) == (True, False)
    more = set_sump(context, SetSump("gearbox", refill="1.2 l", drain="plug under the box"))
    assert (more.sump, more.grade, more.dry_ml, more.refill_ml) == (
        "Gearbox", "SAE 90 GL-4", 1400, 1200,
    )  # fmt: skip
    (box,) = sumps(context).sumps
    assert (box.drain, box.refill_ml) == ("plug under the box", 1200)
    undo(context, Undo())
    assert sumps(context).sumps[0].refill_ml is None
    assert drop_sump(context, DropSump("GEARBOX")).sump == "Gearbox"
    assert sumps(context).sumps == ()
    assert not audit(context).faults


def test_what_is_not_known_of_an_oil_is_a_fact_of_the_reply(context: Context) -> None:
    named = set_sump(context, SetSump("Box", oil="ATF"))
    assert (named.grade, named.graded) == ("ATF", False)
    assert set_sump(context, SetSump("Axle", oil="SAE 90 GL-5")).bronze_question
    assert set_sump(context, SetSump("Hub")).grade == ""


def test_a_trial_leaves_no_trace_and_a_key_makes_it_one(stripped: Context) -> None:
    acts = len(history(stripped))
    asks = (
        (set_sump, BOX),
        (take_readings, TakeReadings("compression", ["88", "71"])),
        (set_torque, SetTorque("1.2", "9 N m", "oiled")),
        (set_joint, SetJoint("1", "4 on 60")),
        (drop_sump, DropSump("Gearbox")),
    )
    for usecase, ask in asks:
        tried = usecase(stripped, replace(ask, trial=True))  # type: ignore[operator]
        assert len(history(stripped)) == acts
        kept = usecase(stripped, replace(ask, key=usecase.__name__))  # type: ignore[operator]
        assert replace(tried, trial=False) == kept
        acts += 1
        with pytest.raises(Repeated) as repeated:
            usecase(stripped, replace(ask, key=usecase.__name__))  # type: ignore[operator]
        assert repeated.value.act == kept.act
        assert len(history(stripped)) == acts


def test_readings_before_and_after(context: Context) -> None:
    """1 psi is 6.894757 kPa (pound and inch of 1959, gravity of 1901); 1005 hPa is 100.5 kPa."""
    before = take_readings(
        context,
        TakeReadings("compression", ["130,80"], wet="135,115", barometer="1005", note="warm"),
    )
    assert (before.stage, before.machine) == ("before", "Orrick Plover")
    assert [(each.place, each.state, each.written) for each in before.taken] == [
        ("cylinder 1", "dry", "130 psi"), ("cylinder 2", "dry", "80 psi"),
        ("cylinder 1", "wet", "135 psi"), ("cylinder 2", "wet", "115 psi"),
    ]  # fmt: skip
    assert before.test is not None
    assert [each.cause for each in before.test.cylinders] == ["sound", "rings or bore"]
    assert before.test.cylinders[1].dry_kpa_gauge == pytest.approx(80 * 6.894757, abs=0.001)
    after = take_readings(context, TakeReadings("compression", ["140", "138"], after=True))
    assert after.test is not None
    assert [each.wet_kpa_gauge for each in after.test.cylinders] == [None, None]
    first, *rest = readings(context).readings
    assert (first.unit, first.air_kpa, first.stage, first.note) == ("kPa", 100.5, "before", "warm")
    assert first.value == pytest.approx(130 * 6.894757, abs=0.001)
    assert [each.air_kpa for each in rest[3:]] == [None, None]
    assert not audit(context).faults


def test_the_last_test_of_a_stage_stands_whole(context: Context) -> None:
    take_readings(context, TakeReadings("compression", ["130"], wet="135"))
    take_readings(context, TakeReadings("compression", ["120"]))
    take_readings(context, TakeReadings("charging voltage", ["7.2 V"], after=True))
    assert [(each.written, each.superseded) for each in readings(context).readings] == [
        ("130 psi", True), ("135 psi", True), ("120 psi", False), ("7.2 V", False),
    ]  # fmt: skip


def test_a_single_cylinder_is_judged_by_its_ratio(context: Context) -> None:
    """998.8 hPa and a ratio of 6.3: 77 psi on the gauge is the floor (common practice)."""
    assert take_readings(context, TakeReadings("compression ratio", ["6.3"])).test is None
    low = TakeReadings("compression", ["70"], wet="95", barometer="998.8")
    test = take_readings(context, low).test
    assert test is not None
    assert test.cylinders[0].cause == "rings or bore"
    test = take_readings(context, TakeReadings("compression", ["100"], barometer="998.8")).test
    assert test is not None
    assert test.cylinders[0].cause == "sound"


def test_the_makers_torque_of_an_item(stripped: Context) -> None:
    ask = SetTorque("1", "9 N m", "Oiled", "book p. 41")
    reply = set_torque(stripped, ask)
    assert (reply.item, reply.text) == ("1.2", "M6 x 25 hex 8.8")
    assert (reply.low_nm, reply.high_nm, reply.state, reply.written) == (9, 9, "oiled", "")
    assert reply.doubts == ()
    known = torque_of(stripped, "1.2")
    assert known.maker is not None
    assert (known.maker.low_nm, known.maker.state, known.maker.source) == (9, "oiled", "book p. 41")
    assert [(each.state, each.unmarked) for each in known.computed] == [("oiled", False)]


def test_a_figure_in_other_units_stands_as_the_book_has_it(stripped: Context) -> None:
    """1 lbf ft is 1.355818 N m (NIST SP 811, appendix B)."""
    reply = set_torque(stripped, SetTorque("1.2", "7 to 8 lbf ft", "dry"))
    assert reply.written == "7 to 8 lbf ft"
    assert reply.low_nm == pytest.approx(7 * 1.355818, abs=1e-4)
    assert reply.high_nm == pytest.approx(8 * 1.355818, abs=1e-4)


def test_what_the_computed_torque_says_of_a_figure(stripped: Context) -> None:
    """VDI 2230: M6 8.8 oiled stands about 8 to 12 N m, so 60 is past explaining."""
    (doubt,) = set_torque(stripped, SetTorque("1.2", "60 N m", "oiled")).doubts
    assert "above what friction and scatter explain" in doubt
    assert torque_of(stripped, "1.2").cautions[0] == doubt


def test_what_is_known_of_a_torque(stripped: Context) -> None:
    unmarked = torque_of(stripped, "3.2")
    assert unmarked.maker is None
    assert {each.state for each in unmarked.computed} == {"oiled", "dry"}
    assert all(each.unmarked for each in unmarked.computed)
    assert all(
        each.set_nm <= each.slippery_nm <= each.usual_nm <= each.rough_nm
        for each in unmarked.computed
    )
    brake = torque_of(stripped, "2.2")
    assert brake.computed == ()
    assert brake.cautions[0] == "the maker's figure only"
    gasket = torque_of(stripped, "1.3")
    assert (gasket.threaded, gasket.computed) == (False, ())


def test_a_joint_is_tightened_in_order(stripped: Context) -> None:
    """ASME PCC-1 legacy cross pattern of eight bolts: 1 5 3 7 2 6 4 8."""
    reply = set_joint(stripped, SetJoint("1", "8 on 120"))
    assert (reply.step, reply.holes, reply.to_tighten) == (1, 8, 4)
    assert reply.order == (1, 5, 3, 7, 2, 6, 4, 8)
    set_torque(stripped, SetTorque("1.2", "10 N m", "oiled"))
    known = joint_of(stripped, "1")
    assert (known.step, known.part, known.assembly) == (1, "clutch cover", "Engine / Clutch")
    assert known.loosen == known.order[::-1]
    assert [each.torque_nm for each in known.passes] == [None, 3, 6, 10, 10]
    assert known.goes_in == dict.fromkeys(range(1, 9), "M6 x 25 hex 8.8")
    assert set_joint(stripped, SetJoint("1", "4 on 60")).to_tighten is None
    assert set_joint(stripped, SetJoint("1", "4 on 60", "1 2 3 4")).order == (1, 2, 3, 4)
    assert joint_of(stripped, "1").order == (1, 2, 3, 4)
    assert not audit(stripped).faults
    for _ in range(4):
        undo(stripped, Undo())
    with pytest.raises(BadValue, match="no holes on record"):
        joint_of(stripped, "1")
    assert torque_of(stripped, "1.2").maker is None
    assert not audit(stripped).faults


@pytest.mark.parametrize(
    ("ask", "error", "fact"),
    [
        (SetSump(" ", oil="SAE 90"), BadValue, "sump without a name"),
        (DropSump(""), BadValue, "sump without a name"),
        (DropSump("Gearbox"), Refused, "no such sump"),
        (SetSump("Gearbox", oil="SAE 33"), BadValue, None),
        (SetSump("Gearbox", dry="2 pints"), BadValue, None),
        (SetSump("Box", dry="1l", refill="2l"), BadValue, None),
        (SetSump("Gearbox", number=0), BadValue, None),
        (TakeReadings("", ["88"]), BadValue, "readings of nothing"),
        (TakeReadings("compression"), BadValue, "no reading"),
        (TakeReadings("compression", ["900"]), BadValue, "more than any engine shows"),
        (TakeReadings("compression", ["plenty"]), NotationError, None),
        (TakeReadings("compression", ["88,-5"]), BadValue, "reading below zero"),
        (TakeReadings("voltage", ["1000000"]), NotationError, None),
        (TakeReadings("voltage", ["7"] * 51), BadValue, "too many readings"),
        (
            TakeReadings("compression", ["88"], wet="90,91"),
            BadValue,
            "more wet readings than cylinders",
        ),
        (
            TakeReadings("voltage", ["7"], wet="8"),
            BadValue,
            "wet readings of no compression test",
        ),
        (TakeReadings("compression", ["88"], barometer="3"), BadValue, "no such air pressure"),
        (SetTorque("1.2", ""), BadValue, "no torque"),
        (SetTorque("1.2", "", source="book"), BadValue, "source without a torque"),
        (SetTorque("1.2", "9"), BadValue, None),
        (SetTorque("1.2", "9 N m", "damp"), StoresError, None),
        (SetTorque("1.3", "9 N m"), Refused, "no thread to tighten"),
        (SetTorque("3", "9 N m"), Refused, "several to tighten"),
        (SetTorque("9.1", "9 N m"), NotFound, None),
        (SetJoint("9", "4 on 60"), NotFound, None),
        (SetJoint("1", "many"), NotationError, None),
        (SetJoint("1", "", "1 2"), BadValue, "order without holes"),
        (SetJoint("1", "4 on 60", "1 2 2 4"), StoresError, None),
    ],
)
def test_what_cannot_be_a_figure_is_refused(
    stripped: Context, ask: object, error: type[Exception], fact: str | None
) -> None:
    usecase = {
        SetSump: set_sump,
        DropSump: drop_sump,
        TakeReadings: take_readings,
        SetTorque: set_torque,
        SetJoint: set_joint,
    }[type(ask)]
    acts = len(history(stripped))
    with pytest.raises(error) as refusal:
        usecase(stripped, ask)  # type: ignore[operator]
    assert fact is None or refusal.value.fact == fact  # type: ignore[attr-defined]
    assert len(history(stripped)) == acts


def test_refusals_tell_what_there_is(stripped: Context) -> None:
    set_sump(stripped, BOX)
    with pytest.raises(Refused) as refusal:
        drop_sump(stripped, DropSump("Fork leg"))
    assert refusal.value.facts["sumps"] == ("Gearbox",)
    with pytest.raises(BadValue) as repeated:
        set_sump(stripped, SetSump("gearbox"))
    assert repeated.value.facts == {"sump": "Gearbox"}
    with pytest.raises(Refused) as several:
        torque_of(stripped, "3")
    assert several.value.facts["items"] == ("3.2: 1/4 BSF x 3/4 bolt", "3.3 M6 nut")
    with pytest.raises(BadValue, match="no holes on record"):
        joint_of(stripped, "1")
