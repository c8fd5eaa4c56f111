"""Bag codes: every slip of one character is caught, and what was meant is offered."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores import bagcode
from stores.errors import NotationError

serials = st.integers(0, 9000)


def test_check_character_of_a_published_example() -> None:
    """The Global Release Identifier A1-2425G-ABC1234002-M: the example of the GRid Standard
    (IFPI), whose check character is ISO 7064 MOD 37,36."""
    assert bagcode.with_check("A12425GABC1234002") == "A12425GABC1234002M"
    assert _mod_37_36("A12425GABC1234002") == "M"


def _mod_37_36(body: str) -> str:
    """ISO/IEC 7064:2003 clause 9, hybrid systems, written out from the recursion there."""
    letters = string.digits + string.ascii_uppercase
    product = 36
    for character in body:
        total = (product + letters.index(character)) % 36 or 36
        product = total * 2 % 37
    return letters[(36 + 1 - product) % 36]


@given(serials)
def test_codes_are_sayable_and_checked(serial: int) -> None:
    code = bagcode.nth(serial)
    assert bagcode.PATTERN.match(code)
    assert bagcode.check(code) == code
    assert not set(code[0] + code[-1]) & set("ILOQSZG")
    assert code[-1] == _mod_37_36(code[:-1])


@given(serials, serials)
def test_no_code_is_given_twice(one: int, other: int) -> None:
    assert (bagcode.nth(one) == bagcode.nth(other)) == (one == other)


@given(serials, st.integers(0, 4), st.sampled_from(string.ascii_uppercase + string.digits))
def test_one_wrong_character_is_caught(serial: int, place: int, character: str) -> None:
    code = bagcode.nth(serial)
    typed = code[:place] + character + code[place + 1 :]
    if bagcode.tidy(typed) == code:
        return
    with pytest.raises(NotationError):
        bagcode.check(typed)
    assert bagcode.near(typed, [code]) == [code]


@given(serials, st.integers(0, 3))
def test_two_neighbours_swapped_are_offered(serial: int, place: int) -> None:
    code = bagcode.nth(serial)
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    if bagcode.tidy(swapped) != code:
        assert bagcode.near(swapped, [code]) == [code]


@pytest.mark.parametrize(
    "typed", ["a001n", " A001N ", "A-001-N", "A 001 N", "AOO1N", "AOOIN", "ＡOO1N"]
)
def test_a_code_is_read_as_people_write_it(typed: str) -> None:
    assert bagcode.check(typed) == bagcode.nth(0)


def test_a_scan_of_the_whole_label_is_read_by_its_first_line() -> None:
    assert bagcode.check("A001N\nOrrick Plover\n4 M6 x 25") == "A001N"


@pytest.mark.parametrize("typed", ["", "M6x25", "clutch", "7.2", "12345", "A1N"])
def test_other_text_is_no_code(typed: str) -> None:
    assert not bagcode.looks_like_code(typed)
    with pytest.raises(NotationError):
        bagcode.check(typed)
