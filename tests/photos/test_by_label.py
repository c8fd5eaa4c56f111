"""Filing by the label in the picture: never under a wrong bag."""

from hypothesis import given
from hypothesis import strategies as st

from stores import bagcode
from stores.errors import StoresError
from stores.photos.by_label import BagFiling, file_by_label

KNOWN = ("A001N", "A003J", "A004H")


def code_of(text: str) -> str | None:
    try:
        return bagcode.check(text)
    except StoresError:
        return None


def filed(*shown: str) -> list[BagFiling[int]]:
    codes = {at: texts.split("|") for at, texts in enumerate(shown) if texts}
    return file_by_label(range(len(shown)), codes, known=KNOWN, bag_code_of=code_of)


def test_a_label_files_its_picture_and_offers_what_follows() -> None:
    found = filed("", "A001N\nclutch", "", "", "A003J", "", "A003J", "")
    assert [each.bag for each in found] == [None, "A001N", None, None, "A003J", None, "A003J", None]
    offered = [None, None, "A001N", "A001N", None, "A003J", None, "A003J"]
    assert [each.offered for each in found] == offered
    assert not any(each.note for each in found)


def test_two_bags_in_one_picture_are_filed_under_none() -> None:
    found = filed("A004H", "A003J|A001N", "")
    assert (found[1].bag, found[1].offered, found[1].seen) == (None, None, ("A001N", "A003J"))
    assert found[1].note == "shows the labels of A001N and A003J: filed under none of them"
    assert found[2].offered is None
    assert filed("A001N|A001N\nreprinted")[0].bag == "A001N"


def test_a_bag_not_known_is_said_and_ends_the_offer() -> None:
    stranger = bagcode.nth(500)
    found = filed("A001N", stranger, "")
    assert (found[1].bag, found[1].unknown, found[2].offered) == (None, (stranger,), None)
    assert found[1].note == f"shows {stranger}, which is no bag here"
    both = filed(f"A001N|{stranger}", "")
    assert (both[0].bag, both[0].unknown, both[1].offered) == ("A001N", (stranger,), "A001N")


def test_a_code_that_is_no_bags_is_said_and_ends_nothing() -> None:
    misread = "A001K"  # the check letter is N
    found = filed("A001N", f"https://example.org/|{misread}", "")
    assert (found[1].bag, found[1].offered, found[2].offered) == (None, "A001N", "A001N")
    assert found[1].foreign == (misread, "https://example.org/")
    assert found[1].note == "shows other codes"


TEXTS = st.sampled_from([*KNOWN, "a001n\nlower", bagcode.nth(700), "A001K", "carton 12", "", "\n"])


@given(st.lists(st.lists(TEXTS, max_size=3), max_size=12))
def test_whatever_is_shown(shown: list[list[str]]) -> None:
    found = file_by_label(
        range(len(shown)), dict(enumerate(shown)), known=KNOWN, bag_code_of=code_of
    )
    assert [each.picture for each in found] == list(range(len(shown)))
    last: set[str] = set()
    for texts, filing in zip(shown, found, strict=True):
        bags = {code for text in texts if (code := code_of(text))}
        known = bags & set(KNOWN)
        assert filing.bag is None or {filing.bag} == known
        assert (filing.bag is not None) == (len(known) == 1)
        assert set(filing.seen) == known
        assert set(filing.unknown) == bags - known
        assert filing.bag is None or filing.offered is None
        assert filing.offered is None or (not bags and {filing.offered} == last)
        if bags:
            last = known if len(known) == 1 else set()
