"""Snags, asked of the use-cases themselves."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated
from stores.usecases.context import Context
from stores.usecases.snags import (
    ClearSnag,
    ListSnags,
    RecordSnag,
    ShowSnag,
    clear_snag,
    record_snag,
    show_snag,
    snags,
)
from stores.usecases.strip import Strip, strip


@kept
def clutch(context: Context) -> Context:
    strip(Context(context.store), Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt"]))
    return context


def test_a_snag_is_of_an_assembly_a_step_an_item_or_the_machine(clutch: Context) -> None:
    leak = record_snag(clutch, RecordSnag("Engine/Clutch", "leak", "weeps", side="left"))
    assert (leak.snag, leak.sort, leak.assembly, leak.step, leak.side, leak.open) == (
        1, "leak", "Engine / Clutch", None, "left", 1,
    )  # fmt: skip
    pulled = record_snag(clutch, RecordSnag("1.2", "dam", "thread pulled"))
    assert (pulled.item, pulled.name, pulled.step) == ("1.2", "M6 x 25 hex bolt", 1)
    assert record_snag(clutch, RecordSnag("1", "noise", "rattles")).step == 1
    noted = record_snag(clutch, RecordSnag("the machine", "noted", "matching numbers"))
    assert (noted.item, noted.step, noted.assembly, noted.open) == ("", None, "", 3)
    assert [s.number for s in snags(clutch, ListSnags()).snags] == [1, 2, 3]
    assert [s.number for s in snags(clutch, ListSnags(everything=True)).snags] == [1, 2, 3, 4]
    assert not snags(clutch, ListSnags("Frame")).snags


def test_a_trial_gives_the_same_reply_and_writes_nothing(clutch: Context) -> None:
    ask = RecordSnag("1.2", "damaged", "thread pulled")
    tried = record_snag(clutch, replace(ask, trial=True))
    assert not snags(clutch, ListSnags(everything=True)).snags
    assert replace(tried, trial=False) == record_snag(clutch, ask)


def test_the_same_key_twice_is_one_act(clutch: Context) -> None:
    ask = RecordSnag("1.2", "damaged", "thread pulled", key="form 1")
    first = record_snag(clutch, ask)
    with pytest.raises(Repeated) as repeated:
        record_snag(clutch, ask)
    assert repeated.value.act == first.act
    assert len(snags(clutch, ListSnags()).snags) == 1
    record_snag(clutch, replace(ask, key="form 2"))
    assert len(snags(clutch, ListSnags()).snags) == 2


def test_it_is_cleared_once_and_by_something(clutch: Context) -> None:
    record_snag(clutch, RecordSnag("1.2", "damaged", "thread pulled"))
    with pytest.raises(Refused, match="how was it cleared"):
        clear_snag(clutch, ClearSnag(1))
    cleared = clear_snag(clutch, ClearSnag(1, renewed="1.2"))
    assert (cleared.how, cleared.open) == ("renewed: 1.2 M6 x 25 hex bolt", 0)
    with pytest.raises(Refused, match="snag cleared already"):
        clear_snag(clutch, ClearSnag(1, "again"))
    record_snag(clutch, RecordSnag("machine", "noted", "matching numbers"))
    with pytest.raises(Refused, match="snag only noted"):
        clear_snag(clutch, ClearSnag(2, "seen"))


def test_what_is_not_there_is_refused_with_what_would_help(clutch: Context) -> None:
    with pytest.raises(BadValue, match="no such sort of fault") as unknown:
        record_snag(clutch, RecordSnag("machine", "wobble", "x"))
    assert "leak" in unknown.value.facts["sorts"]
    with pytest.raises(NotFound, match="no such snag") as missing:
        clear_snag(clutch, ClearSnag(9, "x"))
    assert missing.value.hint == Hint("snags")
    with pytest.raises(NotFound, match="no such picture"):
        show_snag(clutch, ShowSnag(_recorded(clutch), [4]))
    with pytest.raises(Refused, match="which pictures"):
        show_snag(clutch, ShowSnag(1, []))


def _recorded(context: Context) -> int:
    return record_snag(context, RecordSnag("machine", "leak", "somewhere")).snag
