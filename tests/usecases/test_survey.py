"""The survey, asked of the use-case itself: kinds are said, remembered, never guessed."""

from pathlib import Path

import pytest

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated
from stores.usecases.context import Context
from stores.usecases.figures import TakeReadings, take_readings
from stores.usecases.history import Undo, undo
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.survey import AskSurvey, Survey, survey
from stores.wording.refusals import line_of

BUILT_IN = {
    "two-wheeler", "stationary-engine", "gearbox-axle", "belt-treadle", "electrical", "mechanism",
}  # fmt: skip


def asked(context: Context, *kinds: str) -> Survey:
    return survey(context, AskSurvey(kinds))


@pytest.fixture
def own(context: Context) -> Path:
    folder = Path(context.store.name).with_suffix(".templates") / "surveys"
    folder.mkdir(parents=True)
    return folder


def test_the_kind_is_asked_where_nobody_said_it(context: Context) -> None:
    with pytest.raises(Refused, match="which kind of machine") as refused:
        asked(context)
    assert set(refused.value.facts["kinds"]) == BUILT_IN
    assert refused.value.hint == Hint("survey")


def test_a_machine_remembers_its_kind(context: Context) -> None:
    reply = asked(context, "mechanism")
    assert (reply.kinds, reply.before, reply.act) == (("mechanism",), (), 2)
    again = asked(context)
    assert (again.kinds, again.act) == (("mechanism",), None)
    assert asked(context, "mechanism").act is None  # nothing new
    other = asked(context, "electrical")
    assert (other.kinds, other.before) == (("electrical",), ("mechanism",))
    undo(context, Undo(other.act, "act"))
    assert asked(context).kinds == ("mechanism",)


def test_each_machine_has_its_own_kind(context: Context) -> None:
    asked(context, "two-wheeler")
    added = add_machine(context, AddMachine("Plover pump", kinds=["Engine"]))
    assert added.kinds == ("stationary-engine",)
    assert survey(Context(context.store, "Plover pump"), AskSurvey()).kinds == added.kinds
    assert survey(Context(context.store, "Orrick"), AskSurvey()).kinds == ("two-wheeler",)


def test_a_machine_may_be_of_several_kinds(context: Context) -> None:
    reply = asked(context, "engine, gearbox", "engine")
    assert reply.kinds == ("stationary-engine", "gearbox-axle")
    assert [each.kind for each in reply.lists] == list(reply.kinds)
    assert {"compression", "backlash"} <= set(reply.readings)
    assert asked(context).kinds == reply.kinds


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("two wheeler", "two-wheeler"),
        ("Two_Wheeler", "two-wheeler"),
        ("motorcycle", "two-wheeler"),
        ("stat", "stationary-engine"),
        ("gearbox-axle.txt", "gearbox-axle"),
        ("Gearbox or axle", "gearbox-axle"),
        ("treadle", "belt-treadle"),
        ("lathe", "belt-treadle"),
        ("electric motor", "electrical"),
        ("clock", "mechanism"),
    ],
)
def test_a_kind_is_known_by_its_usual_words(context: Context, typed: str, kind: str) -> None:
    assert asked(context, typed).kinds == (kind,)


def test_a_word_for_several_kinds_is_asked_about(context: Context) -> None:
    with pytest.raises(BadValue, match="several kinds of machine") as refused:
        asked(context, "cultivator")
    assert refused.value.facts["kinds"] == ("gearbox-axle", "stationary-engine")


@pytest.mark.parametrize("typed", ["boat", "", " , ", "e"])
def test_an_unknown_kind_is_refused(context: Context, typed: str) -> None:
    with pytest.raises(NotFound, match="no such kind of machine") as refused:
        asked(context, typed)
    assert set(refused.value.facts["kinds"]) == BUILT_IN
    with pytest.raises(NotFound, match="no such kind of machine"):
        add_machine(context, AddMachine("Tern", kinds=[typed]))
    with pytest.raises(Refused, match="which kind of machine"):
        asked(context)


def test_ones_own_list_comes_first(context: Context, own: Path) -> None:
    (own / "mechanism.txt").write_text("title: Mangle\n[Rollers]\nWood: splits")
    (own.parent / "bellows.txt").write_text("also: forge bellows\n[Leather]\nTears")
    assert [part.name for part in asked(context, "mechanism").lists[0].parts] == ["Rollers"]
    assert asked(context, "forge bellows").kinds == ("bellows",)
    (own / "bellows.txt").write_text("[Boards]\nSplits")
    assert [part.name for part in asked(context).lists[0].parts] == ["Boards"]


def test_a_folder_of_lists_may_be_named(context: Context, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "bellows.txt").write_text("[Leather]\nTears")
    reply = survey(context, AskSurvey(["bellows"], str(tmp_path / "mine")))
    assert reply.kinds == ("bellows",)
    with pytest.raises(NotFound, match="no survey list"):
        asked(context)


def test_a_bad_list_is_refused_with_its_file_and_line(context: Context, own: Path) -> None:
    (own / "mechanism.txt").write_text("title: Mangle\n[Rollers]\nWood | splits\n")
    with pytest.raises(BadValue) as refused:
        asked(context, "mechanism")
    said = line_of(refused.value)
    assert said.startswith(f"{own / 'mechanism.txt'}, line 3: 'splits' after a bar")
    (own / "mechanism.txt").write_bytes(b"[Rollers]\nWood \xff\n")
    with pytest.raises(BadValue) as refused:
        asked(context, "mechanism")
    assert line_of(refused.value).endswith("line 2: not UTF-8 text: save the file as UTF-8")
    assert asked(context, "electrical").kinds == ("electrical",)  # it is in the way of no other


def test_a_list_with_the_mark_of_its_encoding_is_read(context: Context, own: Path) -> None:
    (own / "mangle.txt").write_bytes(b"\xef\xbb\xbf[Rollers]\r\nWood: splits\r\n")
    assert asked(context, "mangle").lists[0].parts[0].name == "Rollers"


def test_what_can_be_no_kind_is_not_offered(context: Context, own: Path) -> None:
    (own / "shopping.txt").write_text("2 tins of grease")
    (own / "one, two.txt").write_text("[A]\nb")
    with pytest.raises(Refused) as refused:
        asked(context)
    assert set(refused.value.facts["kinds"]) == BUILT_IN


def test_a_list_that_is_gone_is_named(context: Context, own: Path) -> None:
    (own / "mangle.txt").write_text("[Rollers]\nWood: splits")
    asked(context, "mangle")
    (own / "mangle.txt").unlink()
    with pytest.raises(NotFound, match="no survey list") as refused:
        asked(context)
    assert refused.value.facts["kind"] == "mangle"


def test_a_trial_records_nothing_and_a_key_only_once(context: Context) -> None:
    tried = survey(context, AskSurvey(["mechanism"], trial=True))
    assert (tried.kinds, tried.trial, tried.act) == (("mechanism",), True, 2)
    with pytest.raises(Refused, match="which kind of machine"):
        asked(context)
    survey(context, AskSurvey(["mechanism"], key="k"))
    with pytest.raises(Repeated):
        survey(context, AskSurvey(["mechanism"], key="k"))


def test_the_survey_shows_what_is_on_record(context: Context) -> None:
    assert not any(asked(context, "two-wheeler").readings.values())
    record_snag(context, RecordSnag("machine", "noted", "matching numbers"))
    record_snag(context, RecordSnag("machine", "noise", "rattles"))
    take_readings(context, TakeReadings("end float", ["0.3 mm"]))
    seen = asked(context)
    assert (len(seen.snags), seen.open) == (2, 1)
    assert [name for name, taken in seen.readings.items() if taken] == ["end float"]
