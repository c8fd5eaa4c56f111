"""One number, many readers: what each of them accepts as a figure, and what it makes of it.

The rules on top differ, and that is right: a friction is no fraction, a sum of money has no third
decimal. What may not differ is the number.
"""

from collections.abc import Callable

import pytest

from stores import units
from stores.errors import StoresError
from stores.handbook.fastener.tokens import Mark, tokenize
from stores.handbook.fluids.capacity import read_shape
from stores.handbook.hardware import reading as front
from stores.handbook.measure import read_measure
from stores.handbook.thread.catalogue import number_in, read, size_in_inches
from stores.handbook.tightening.reading import read_joint
from stores.handbook.torque.grades import friction
from stores.handbook.torque.maker import read_maker
from stores.model.money import read_money
from stores.usecases.rebuild import read_minutes


def _fastener(text: str) -> float:
    first, *rest = tokenize(f"{text} in")
    assert first.mark is Mark.NUMBER, "a word"
    assert first.value is not None, "a figure in doubt"
    assert [token.text for token in rest] == ["in"], "more than one figure"
    return float(first.value)


def _hardware(text: str) -> float:
    words, sizes = front._parted(front._clean(f"{text} in"))
    joined = next(front._mixed(sizes))
    assert [words, len(joined)] == [[], 1], "more than one figure"
    return joined[0].value


def _thread(text: str) -> float:
    size = size_in_inches(read(f"{text} BSF").size)
    assert size is not None, "no size"
    return size


READERS: dict[str, Callable[[str], float]] = {
    "amount": lambda text: float(units.read(f"{text} mm", units.Kind.LENGTH).value),
    "measure": lambda text: read_measure(f"{text} in", "length").value / 25.4,
    "thread": _thread,
    "fastener": _fastener,
    "hardware": _hardware,
    "shape": lambda text: read_shape(f"upright 4 in {text} in").height_mm / 25.4,
    "torque": lambda text: read_maker(f"{text} N m").low_nm,
    "friction": lambda text: friction(text).nominal,
    "joint": lambda text: read_joint(f"5 in row at {text}").holes[1].x_mm,
    "pitch": number_in,
    "money": lambda text: read_money(text) / 100,
    "time": lambda text: read_minutes(f"{text} h") / 60,
}
SIZES = "amount measure thread fastener hardware shape torque"
ALL = f"{SIZES} friction joint pitch money time"

# The text, what it means, and who accepts it; all others refuse.
ROWS: list[tuple[str, float, str]] = [
    ("2", 2, ALL.replace("friction ", "")),
    ("2.5", 2.5, ALL.replace("friction ", "")),
    ("2,5", 2.5, ALL.replace("friction joint ", "")),  # a joint's comma parts x from y
    ("0.5", 0.5, ALL),
    (".5", 0.5, f"{SIZES} friction joint pitch"),
    (",5", 0.5, f"{SIZES} friction pitch"),
    ("1.500", 1.5, f"{SIZES} joint pitch time"),
    ("1,500", 1.5, "measure thread fastener hardware pitch time"),  # the others ask: 1500?
    ("1/2", 0.5, SIZES),
    ("11/2", 5.5, SIZES.replace("fastener ", "")),
    ("11/2", 1.5, "fastener"),  # nobody writes five and a half so
    ("1 1/2", 1.5, SIZES),
    ("1-1/2", 1.5, SIZES),
    ("1–1/2", 1.5, SIZES),
    ("1.1/2", 1.5, "fastener"),
    ("1 / 2", 0.5, "amount measure shape torque"),
    ("½", 0.5, SIZES),
    ("1½", 1.5, SIZES),
    ("1 ½", 1.5, SIZES),
    ("1-½", 1.5, SIZES),
    ("⅓", 1 / 3, SIZES.replace("fastener ", "")),
    ("1⁄2", 0.5, SIZES),
    ("1 1⁄2", 1.5, SIZES),
    ("1\u00a01/2", 1.5, SIZES),
    ("+2", 2, "amount measure torque"),
]
# A thread of 1 inch by 2 to the inch, of 1.1 by 2.
OTHERWISE = {("1 / 2", "thread"), ("1.1/2", "thread")}
NOBODY = ("", "nan", "inf", "2e3", "1_0", "1,500.5", "1.2.3", "5/0", "-2", "−2", "²")
# A dash before a pitch parts it from the size; a piece of hardware's minus is refused later.
DASHED = {("pitch", "-2"), ("pitch", "−2"), ("hardware", "-2"), ("hardware", "−2")}


@pytest.mark.parametrize(("text", "value", "accepting"), ROWS)
def test_a_number_is_one_number(text: str, value: float, accepting: str) -> None:
    for name, reader in READERS.items():
        if (text, name) in OTHERWISE or (text == "11/2" and (value == 1.5) != (name == "fastener")):
            continue
        try:
            got = reader(text)
        except (StoresError, AssertionError):
            assert name not in accepting.split(), name
        else:
            assert name in accepting.split(), name
            assert got == pytest.approx(value), name


@pytest.mark.parametrize(
    ("name", "text"),
    [(name, text) for name in READERS for text in NOBODY if (name, text) not in DASHED],
)
def test_no_number(name: str, text: str) -> None:
    with pytest.raises((StoresError, AssertionError)):
        READERS[name](text)
