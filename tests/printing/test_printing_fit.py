"""Fitting words into a width."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.printing.boxes import CUT, cut_end, cut_start, plain, wrap

WORDS = st.text(st.sampled_from("abcdefghij 0123456789×½"), max_size=120).map(plain)


def measure(text: str, bold: bool, size: float) -> float:
    """A typewriter: every character equally wide."""
    return len(text) * size * (0.22 if bold else 0.2)


@given(WORDS, st.floats(3, 60), st.floats(5, 20), st.booleans())
def test_nothing_is_lost_or_too_wide(text: str, width: float, size: float, bold: bool) -> None:
    lines = wrap(text, width, size, measure, bold)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(measure(line, bold, size) <= width or len(line) == 1 for line in lines)


def test_lines_break_between_words() -> None:
    assert wrap("clutch cover screw", 13, 5, measure) == ["clutch cover", "screw"]


@given(WORDS, st.floats(3, 40))
def test_a_cut_is_marked_and_fits(text: str, width: float) -> None:
    for cut in (cut_end, cut_start):
        shown = cut(text, width, 5.5, measure)
        assert shown == text or CUT in shown
        assert measure(shown, False, 5.5) <= max(width, measure(CUT, False, 5.5))


def test_a_path_keeps_its_end() -> None:
    assert cut_start("Engine / Gearbox / Selector", 14, 5, measure) == "…ox / Selector"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("  clutch\tcover\r\n", "clutch cover"),
        ("Cafe\u0301", "Café"),
        ("a\u200bb\ufe0fc", "abc"),
        ("a\u202eb", "ab"),
        ("a\x00b", "a b"),
        ("no\u00a0break", "no break"),
    ],
)
def test_plain_text_is_one_line_of_drawable_characters(text: str, said: str) -> None:
    assert plain(text) == said
