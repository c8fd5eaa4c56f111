"""Printers, asked of the use-cases themselves."""

from dataclasses import replace

import pytest

from stores.errors import BadValue, NotationError, Repeated, StoresError
from stores.model.labels import Printer
from stores.usecases.context import Context
from stores.usecases.labels import Printers, SetPrinter, printers, set_printer


def test_what_is_not_said_stays_as_it_was(context: Context) -> None:
    set_printer(context, SetPrinter("upstairs", right="0.5"))
    reply = set_printer(context, SetPrinter("Upstairs ", down="-1,2"))
    assert (reply.printer, reply.right_mm, reply.down_mm, reply.dpi) == ("upstairs", 0.5, -1.2, 0)
    set_printer(context, SetPrinter("thermal", dpi="203"))
    assert printers(context) == Printers(
        (Printer("upstairs", 0.5, -1.2), Printer("thermal", dpi=203))
    )
    assert set_printer(context, SetPrinter("thermal", dpi="0")).dpi == 0


def test_an_offset_may_have_a_unit(context: Context) -> None:
    """An inch is 25.4 mm (international agreement of 1959); 1/32 in is 0.79375 mm."""
    reply = set_printer(context, SetPrinter("upstairs", right="1/32 in", down="−1 mm"))
    assert (reply.right_mm, reply.down_mm) == (pytest.approx(0.79375), -1.0)


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(context: Context) -> None:
    ask = SetPrinter("upstairs", right="0.5", key="form 1")
    tried = set_printer(context, replace(ask, trial=True))
    assert not printers(context).printers
    first = set_printer(context, ask)
    assert replace(tried, trial=False) == first
    with pytest.raises(Repeated) as repeated:
        set_printer(context, ask)
    assert repeated.value.act == first.act


@pytest.mark.parametrize(
    ("ask", "error", "fact"),
    [
        (SetPrinter("attic"), BadValue, "how far out"),
        (SetPrinter(" ", right="1"), BadValue, "which printer"),
        (SetPrinter("attic", right="20.1"), BadValue, "printer too far out"),
        (SetPrinter("attic", down="-21"), BadValue, "printer too far out"),
        (SetPrinter("attic", dpi="99"), BadValue, "no such resolution"),
        (SetPrinter("attic", dpi="many"), NotationError, "dots an inch"),
        (SetPrinter("attic", right="a bit"), NotationError, "a number"),
    ],
)
def test_what_cannot_be_is_refused(
    context: Context, ask: SetPrinter, error: type[StoresError], fact: str
) -> None:
    with pytest.raises(error, match=fact):
        set_printer(context, ask)
    assert not printers(context).printers
