"""The survey sheet: whatever a person's own list says, it is whole and on the page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.model.snags import Snag
from stores.planning.survey import MOST, MOST_LINES, Look, Part, SurveyList
from stores.printing.boxes import Stripe, Text
from stores.printing.draw import measure
from stores.printing.pages import LEFT, RIGHT
from stores.printing.paper import chosen_paper
from stores.printing.survey import layout_survey

SAID = st.text(st.sampled_from("aWi -é"), min_size=1, max_size=MOST).map(
    lambda text: " ".join(text.split()) or "x"
)
LOOKS = st.builds(
    Look,
    SAID,
    lines=st.integers(0, MOST_LINES),
    sides=st.booleans(),
    caution=st.one_of(st.just(""), SAID),
)
PARTS = st.builds(Part, SAID, st.lists(LOOKS, min_size=1, max_size=5).map(tuple), SAID)
LISTS = st.builds(
    SurveyList,
    st.just("x"),
    SAID,
    st.lists(PARTS, min_size=1, max_size=3).map(tuple),
    note=st.one_of(st.just(""), SAID),
)

BOTTOM = chosen_paper().bottom


@given(st.lists(LISTS, min_size=1, max_size=3))
def test_any_list_is_whole_and_on_its_pages(lists: list[SurveyList]) -> None:
    pages = layout_survey(measure, machine="Orrick Plover", date="3 Nov 2026", lists=lists)
    assert len(pages) >= len(lists)
    for page in pages:
        *body, _rule, _title, _number = page  # the foot
        for box in body:
            if isinstance(box, Text):
                assert not box.lost
                assert box.y + box.height <= BOTTOM + 1e-6
            elif isinstance(box, Stripe):
                assert box.width > 30  # room to write
                assert box.x >= LEFT
                assert box.x + box.width <= RIGHT + 1e-6


@pytest.mark.parametrize("questions", range(1, 60))
def test_no_heading_is_the_last_on_its_page(questions: int) -> None:
    """Wherever on its page what is on record begins, and however long the first of it is."""
    looks = tuple(Look("Handle: play") for _ in range(questions))
    one = SurveyList("x", "X", (Part("A", looks), Part("B", (Look("W " * 200),))))
    pages = layout_survey(
        measure, machine="Plover", date="", lists=[one],
        snags=[Snag(1, "leak", "oil at the cover, " * 25, step=3)],
    )  # fmt: skip
    for page in pages:
        body = [box for box in page if isinstance(box, Text) and box.y < BOTTOM]
        assert not max(body, key=lambda box: box.y).bold


@pytest.mark.parametrize("sides", [False, True])
def test_a_question_without_lines_has_room_beside_it(sides: bool) -> None:
    one = SurveyList("x", "X", (Part("A", (Look("Handle: play", sides=sides),)),))
    (page,) = layout_survey(measure, machine="Plover", date="", lists=[one])
    question = next(box for box in page if isinstance(box, Text) and box.text == "Handle: play")
    line = next(box for box in page if isinstance(box, Stripe))
    assert line.x > question.x
    assert question.y < line.y < question.y + 10
    letters = [box for box in page if isinstance(box, Text) and box.text in ("L", "R")]
    assert len(letters) == (2 if sides else 0)
    assert all(line.x + line.width < box.x for box in letters)
