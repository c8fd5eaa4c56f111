"""The checklist with all that is known of a refit: to be scanned, ticked, measured and signed.

Quiet zone and modules: ISO/IEC 18004:2015, 6.3.8 (four modules of white). Paper: ISO 216. The least
size of a tick is the workshop's own rule, 6 mm.
"""

from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import chain
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printing_builder import Condition, Holding, PlaceKind, item, step
from printing_reading import pictures, read_codes, said, words

from stores.handbook.fastener import parse
from stores.handbook.tightening.order import plan_joint
from stores.handbook.tightening.reading import read_joint
from stores.model.figures import JointHoles, MakerTorque
from stores.model.items import Item
from stores.model.snags import Snag
from stores.planning.assembling import (
    Applied,
    CheckPoint,
    HowTight,
    Refits,
    Role,
    Signature,
    StepNotes,
    Tightened,
)
from stores.planning.rebuild import Stage, stages
from stores.planning.status import State, status_of
from stores.printing import checklist
from stores.printing.boxes import Box, Code, Frame, Stripe, Text, Tick
from stores.printing.draw import measure
from stores.printing.pages import LEFT, RIGHT, TOP
from stores.printing.paper import chosen_paper
from stores.printing.qr import side
from stores.wording.status import flag, held_up, standing

layout_checklist = partial(checklist.layout_checklist, standing=standing, flag=flag)
write_checklist = partial(checklist.write_checklist, standing=standing, flag=flag)
layout_summary = partial(checklist.layout_summary, held_up=held_up)
write_summary = partial(checklist.write_summary, held_up=held_up)
TITLE = "Rebuild checklist: Orrick Plover 150"
DATE = "25 Nov 2026"
LIMITS = CheckPoint(1, 3, "end float", Fraction(5, 100), Fraction(15, 100), "mm", "book p. 12")
ON = Holding(2, "on", PlaceKind.MACHINE, Condition.SERVICEABLE)

BOTTOM = chosen_paper().bottom


def bagged(code: str, count: int = 2) -> tuple[Holding, ...]:
    return (Holding(count, code, PlaceKind.BAG, Condition.SERVICEABLE),)


def machine() -> list[Item]:
    cover = step(3, "Gearbox cover", assembly="Engine / Gearbox")
    brake = step(2, "Brake plate", assembly="Brakes / Front")
    shaft = step(1, "Gearbox shaft", assembly="Engine / Gearbox")
    return [
        item(1, "M6 x 25 hex bolt", 6, off=cover, number=31, holdings=bagged("A001N", 6)),
        item(2, "M6 x 40 hex bolt", 2, off=cover, number=32, holdings=bagged("A003J")),
        item(1, "M8 x 30 hex bolt", 2, off=brake, number=21, holdings=bagged("A001N")),
        item(1, "M10 nut", 2, off=shaft, number=11, kind="nut", holdings=(ON,)),
        item(2, "M8 nut", 2, off=shaft, number=12, kind="nut", holdings=(ON,)),
    ]


def known() -> Refits:
    return Refits(
        {
            3: StepNotes(
                (Applied(3, 0, "sealant", "sealant on both faces"),
                 Applied(3, 1, "locking compound", "medium locking compound")),
                (LIMITS,),
            ),
            2: StepNotes(access_only=True),
            1: StepNotes(
                points=(replace(LIMITS, step=1, name="backlash", found=Fraction(1, 10)),),
                signatures=(Signature(1, Role.FITTED, "A. Marl", "2026-11-20"),),
            ),
        },
        {
            11: Tightened(11, 2, HowTight.TIGHT, 40.0, "oiled", "40 N m", "2026-11-20"),
            12: Tightened(12, 2, HowTight.FINGER, date="2026-11-20"),
        },
    )  # fmt: skip


def turned() -> list[Stage]:
    snags = [
        Snag(1, "leak", "oil at the cover", "left", step=3),
        Snag(2, "worn", "dogs rounded", assembly="Engine / Gearbox"),
    ]
    return stages(
        status_of(machine(), known(), snags=snags),
        {31: MakerTorque(31, 7.0, 9.0, "dry", "book p. 15", "7 to 9 N m")},
        {3: JointHoles("Orrick Plover 150", 3, "3x2 at 40 x 60")},
    )


def pages_of(listed: list[Stage]) -> list[list[Box]]:
    return layout_checklist(listed, measure, title=TITLE, date=DATE)


def boxes(kind: type, pages: list[list[Box]]) -> list:
    return [box for box in chain(*pages) if isinstance(box, kind)]


@pytest.fixture
def printed(tmp_path: Path) -> Path:
    path = tmp_path / "checklist.pdf"
    assert write_checklist(turned(), path, title=TITLE, date=DATE).warnings == ()
    return path


def test_all_that_is_known_is_printed(printed: Path) -> None:
    text = said(printed)
    for phrase in (
        "Snag 1 to clear: leak: oil at the cover, left",
        "Snag 2 to clear: worn: dogs rounded",
        "sealant on both faces",
        "With medium locking compound",
        "7 to 9", "maker's figure, dry (book p. 15)", "tightened to",
        "Measure the end float", "0.05 to 0.15 mm", "book p. 12", "measured",
        "Tightening order",
        "Taken off for access only",
        "Checked by a second person",
        "All on; still to do: tighten 1.2.",
        "on the machine, tightened to 40 N m, oiled, 20 Nov 2026",
        "on the machine, only finger-tight, 20 Nov 2026",
        ["measured 0.1 mm", " 2026-11-20"][0],
        "Fitted by A. Marl, 20 Nov 2026",
        "with step 2", "with step 3",
    ):  # fmt: skip
        assert phrase.replace(" ", "") in text, phrase
    # the brake alone wants a second person
    assert text.count("Checkedbyasecondperson") == 1


def texts_of(pages: list[list[Box]]) -> list[str]:
    return [box.text for box in boxes(Text, pages)]


def test_each_step_says_whether_it_is_ready_and_what_it_waits_for() -> None:
    """As the one status has it: the brake is shut in by nothing, the cover waits for two snags."""
    cover, brake, shaft = turned()
    assert [each.status.state for each in (cover, brake, shaft)] == [
        State.WAITS, State.WAITS, State.ON,
    ]  # fmt: skip
    assert "WAITS" in texts_of(pages_of([cover]))
    assert "Waits for: snag 1; snag 2" in texts_of(pages_of([cover]))
    assert "Waits for: step 3 first" in texts_of(pages_of([brake]))
    assert {"ON", "READY"} & set(texts_of(pages_of([shaft]))) == {"ON"}
    [alone] = stages(status_of(machine()[2:3]))
    said = texts_of(pages_of([alone]))
    assert alone.status.state is State.READY
    assert "READY" in said
    assert not any(text.startswith("Waits for") for text in said)


def test_what_can_hurt_is_larger_than_what_is_said_of_a_piece() -> None:
    off = step(1, "Brake plate", assembly="Brakes / Front")
    raw = Holding(2, "A001N", PlaceKind.BAG, Condition.AS_REMOVED)
    [stage] = stages(status_of([item(1, "M8 x 30 hex bolt", 2, off=off, holdings=(raw,))]))
    found = boxes(Text, pages_of([stage]))
    (flag,) = [box for box in found if box.text == "not inspected"]
    heads = {caution.split()[0] for caution in stage.cautions}
    cautions = [box for box in found if box.text.split()[0] in heads and box.bold]
    assert cautions
    for box in cautions:
        assert box.size > flag.size + 1.5


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 30), st.integers(1, 20), st.integers(0, 4), st.booleans())
def test_a_joint_is_on_the_page_of_its_picture(
    above: int, bolts: int, others: int, sealed: bool
) -> None:
    """However many lines stand before it: all its bolts, as long as a page has room for them."""
    first, cover = step(2, "Bracket"), step(1, "Cover")
    before = [item(at, "bracket", off=first, number=at, kind="part") for at in range(1, above + 1)]
    around = [
        item(at, "spacer", off=cover, number=100 + at, kind="part") for at in range(1, others + 1)
    ]
    made = [
        item(others + at, f"M6 x {at + 9} hex bolt", 1, off=cover, number=200 + at)
        for at in range(1, bolts + 1)
    ]
    notes = StepNotes((Applied(1, 0, "sealant", "sealant on both faces"),) if sealed else ())
    holes = JointHoles("Orrick Plover 150", 1, f"{max(3, bolts)} on 120")
    listed = stages(status_of([*before, *around, *made], Refits({1: notes})), {}, {1: holes})
    pages = pages_of(listed)
    (picture,) = [page for page in pages if any(
        isinstance(box, Text) and box.text == "Tightening order" for box in page
    )]  # fmt: skip
    there = {box.text for box in picture if isinstance(box, Text)}
    refs = {f"1.{others + at}" for at in range(1, bolts + 1)}
    # six bolts with their general torques and the picture are well within a page
    assert len(refs & there) >= min(bolts, 6)


def test_what_takes_no_torque_has_no_line_for_one() -> None:
    off = step(1, "Cover")
    texts = ["M5 x 16 cheese head screw", "M8 x 12 grub screw", "M8 x 40 stud", "M6 x 25 hex bolt",
             "M6 x 20 socket countersunk screw", "M6 nut"]  # fmt: skip
    items = [
        replace(made, as_specified=replace(made.as_specified, kind=read.kind, head=read.head or ""))
        for at, text in enumerate(texts, 1)
        for made, read in [(item(at, text, 1, off=off, number=at), parse(text))]
    ]
    listed = stages(status_of(items))
    assert texts_of(pages_of(listed)).count("tightened to") == 3
    # the maker's own figure for a stud is its torque
    with_figure = stages(status_of(items), {3: MakerTorque(3, 12.0, 12.0, "dry", "p. 3", "12 N m")})
    assert texts_of(pages_of(with_figure)).count("tightened to") == 4


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("ink", ["grey", "black or white"])
def test_every_bag_has_a_code_that_reads(printed: Path, dpi: int, ink: str) -> None:
    read = []
    for page in pictures(printed, dpi):
        sharp = page if ink == "grey" else page.point(lambda shade: 255 if shade > 127 else 0)
        read += read_codes(sharp)
    # A001N at steps 3 and 2, A003J at step 3; nothing is left to fetch for step 1
    assert sorted(read) == ["A001N", "A001N", "A003J"]


def test_codes_keep_their_white() -> None:
    many = [
        item(at, f"M6 x {at + 10} hex bolt", 1, number=at, holdings=bagged(f"A{at:03}N", 1))
        for at in range(1, 15)
    ]
    for listed in (turned(), stages(status_of(many))):
        for page in pages_of(listed):
            for code in (box for box in page if isinstance(box, Code)):
                assert code.quiet == pytest.approx(4 * code.width / side(code.version))
                for other in page:
                    if other is code:
                        continue
                    apart = (
                        other.x >= code.x + code.width + code.quiet - 1e-6
                        or other.x + other.width <= code.x - code.quiet + 1e-6
                        or other.y >= code.y + code.height + code.quiet - 1e-6
                        or other.y + other.height <= code.y - code.quiet + 1e-6
                    )
                    assert apart, (code, other)
    assert len(boxes(Code, pages_of(stages(status_of(many))))) == 14


def test_ticks_are_large() -> None:
    found = boxes(Tick, pages_of(turned()))
    assert all(tick.width >= 6 and tick.height >= 6 for tick in found)
    # five items; two snags; the sealant; two things measured
    assert len(found) == 10
    # done: the tight nut and the backlash within its limits; not what is only finger-tight
    assert sum(tick.done for tick in found) == 2


@pytest.mark.parametrize("number", [1, 123, 1234])
def test_a_count_never_runs_into_the_reference_beside_it(number: int) -> None:
    """ "123.4" and "144" side by side would be read as one number."""
    counts = [2, 12, 144, 1000, 12_000, 1_000_000]
    off = step(number, "cover")
    items = [
        item(at, "M6 plain washer", count, off=off, number=at, holdings=bagged("A001N", count))
        for at, count in enumerate(counts, 1)
    ]
    texts = boxes(Text, pages_of(stages(status_of(items))))
    for at, count in enumerate(counts, 1):
        (ref,) = (box for box in texts if box.text == f"{number}.{at}")
        many = next(
            box
            for box in texts
            if box.text == str(count) and abs(box.y - ref.y) < 8 and box.size >= 8 and box.bold
        )
        assert many.x >= LEFT
        apart = many.x >= ref.x + ref.width + 1 or ref.y >= many.y + many.height - 1e-6
        assert apart, (ref, many)


def test_black_on_white_alone(printed: Path) -> None:
    assert all(not rule.colour for rule in boxes(Stripe, pages_of(turned())))
    document = pypdfium2.PdfDocument(printed)
    for page in document:
        shades = page.render(scale=1).to_pil().convert("RGB").getcolors(1 << 24)
        assert all(red == green == blue for _, (red, green, blue) in shades)
    document.close()


def test_machine_date_and_page_stand_on_every_page(tmp_path: Path) -> None:
    path = tmp_path / "long.pdf"
    off = [step(at, f"part {at}") for at in range(1, 40)]
    many = [item(1, f"M6 x {s.number + 9} hex bolt", off=s, number=s.number) for s in off]
    made = write_checklist(stages(status_of(many)), path, title=TITLE, date=DATE)
    assert made.sheets > 3
    for at, page in enumerate(words(path), 1):
        foot = " ".join(word["text"] for word in page if word["y0"] > BOTTOM)
        assert foot == f"{TITLE}, {DATE} Page {at} of {made.sheets}"


def test_the_order_of_steps_is_kept_as_given() -> None:
    given_order = [stages(status_of(machine()))[at] for at in (2, 0, 1)]
    assert [stage.step.number for stage in given_order] == [1, 3, 2]
    found = [
        box.text
        for box in chain(*pages_of(given_order))
        if isinstance(box, Text) and box.text.startswith("Step ")
    ]
    assert found == ["Step 1", "Step 3", "Step 2"]


POINTS = st.builds(
    CheckPoint,
    st.integers(1, 9),
    st.integers(1, 9),
    st.text("ab c", min_size=1, max_size=80),
    st.none() | st.fractions(0, 9, max_denominator=1000),
    st.none() | st.fractions(9, 99, max_denominator=1000),
    st.sampled_from(["mm", "thou", "degrees of crank"]),
    st.text("xy z", max_size=200),
    st.none() | st.fractions(0, 99, max_denominator=1000),
)
APPLIED = st.builds(
    Applied,
    st.just(1),
    st.integers(0, 3),
    st.sampled_from(["sealant", "locking compound"]),
    st.text("W m", min_size=1, max_size=200),
)
SNAGS = st.builds(
    Snag,
    st.integers(1, 9999),
    st.sampled_from(["leak", "fault"]),
    st.text("W m", min_size=1, max_size=500),
    st.text("lr ", max_size=20),
    step=st.just(1),
)
SIGNED = st.builds(
    Signature, st.just(1), st.sampled_from(list(Role)), st.text("W m", max_size=80),
    st.just("2026-11-20"), st.text("n o", max_size=300),
)  # fmt: skip
NOTES = st.builds(
    StepNotes,
    st.lists(APPLIED, max_size=5).map(tuple),
    st.lists(POINTS, max_size=4).map(tuple),
    st.lists(SIGNED, max_size=2).map(tuple),
    access_only=st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(
    NOTES,
    st.lists(SNAGS, max_size=5),
    st.integers(1, 9),
    st.sampled_from(["", "8 on 120", "2 x 5 at 80 x 45"]),
    st.sampled_from(["Clutch cover", "brake plate", "W" * 200]),
    st.booleans(),
)
def test_nothing_overlaps_leaves_its_page_or_is_split(
    notes: StepNotes, snags: list[Snag], lines: int, holes: str, part: str, done: bool
) -> None:
    off = step(1, part)
    holding = (ON,) if done else bagged("A001N")
    items = [
        item(at, f"M{at + 3} x 25 hex bolt", 2, off=off, number=at, holdings=holding)
        for at in range(1, lines + 1)
    ]
    [stage] = stages(status_of(items, Refits({1: notes})))
    joint = plan_joint(read_joint(holes)) if holes else None
    pages = pages_of([replace(stage, snags=tuple(snags), joint=joint)])
    ticks = boxes(Tick, pages)
    whole = [each for each in notes.applied if not each.line]
    assert len(ticks) == lines + len(snags) + len(whole) + len(notes.points)
    for page in pages:
        solid = [box for box in page if not isinstance(box, Frame)]
        for box in page:
            assert LEFT - 1e-6 <= box.x <= box.x + box.width <= RIGHT + 1e-6, box
            assert box.y >= TOP - 1e-6, box
            assert box.y + box.height <= BOTTOM + 1e-6 or box.y >= BOTTOM + 3 - 1e-6, box
        for at, one in enumerate(solid):
            for other in solid[at + 1 :]:
                apart = (
                    one.x + one.width <= other.x + 1e-6
                    or other.x + other.width <= one.x + 1e-6
                    or one.y + one.height <= other.y + 1e-6
                    or other.y + other.height <= one.y + 1e-6
                )
                assert apart, (one, other)
        # a row stays on one page: with its tick stands its own reference, and what it is
        texts = [box.text for box in page if isinstance(box, Text)]
        for at in range(1, lines + 1):
            assert (f"1.{at}" in texts) == (f"M{at + 3} x 25 hex bolt" in texts)


# --- the summary ---


def test_the_summary_is_one_page_that_adds_up(tmp_path: Path) -> None:
    path = tmp_path / "summary.pdf"
    made = write_summary(turned(), path, title="Rebuild summary", date=DATE)
    assert (made.sheets, made.warnings) == (1, ())
    text = said(path)
    assert "Page1of1" in text
    # steps, done, on, ready, waits. Gearbox: step 1 is on but loose, step 3
    # waits for its snags; the brake, off for access only, goes on after it
    rows = layout_summary(turned(), measure, title="Summary", date=DATE)
    last = [box.text for box in rows if isinstance(box, Text)]
    at = last.index("All")
    assert last[at : at + 6] == ["All", "3", "·", "1", "·", "2"]


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 150), st.integers(1, 4), st.text("W i", max_size=60))
def test_the_summary_keeps_to_one_page_of_any_tree(wide: int, deep: int, name: str) -> None:
    made = []
    for at in range(1, wide + 1):
        path = " / ".join(f"{name} {at % 7**level}" for level in range(1, deep + 1))
        off = step(at, "part", assembly=path)
        made += stages(status_of([item(1, "M6 x 25 hex bolt", off=off, number=at)]))
    page = layout_summary(made, measure, title="Summary", date=DATE)
    assert all(box.y + box.height <= 292 for box in page)
    texts = [box.text for box in page if isinstance(box, Text)]
    assert texts[texts.index("All") + 1] == f"{wide:,}"
