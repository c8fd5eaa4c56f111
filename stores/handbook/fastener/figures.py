"""The figures in a text, each with its unit and role, and the runs they form ("M6 x 1 x 40")."""

from dataclasses import dataclass
from fractions import Fraction

from stores.handbook.fastener.draft import Draft, is_whole
from stores.handbook.fastener.model import GAUGED, Kind, Measure, Series, number_text
from stores.handbook.fastener.threads import COARSE_PITCH
from stores.handbook.fastener.tokens import Mark, Token
from stores.handbook.fastener.writing import INCH_SERIES

__all__ = [
    "GAUGED",
    "SHORT",
    "WASHERS",
    "Atom",
    "find_runs",
    "has_unit",
    "is_trapezoidal",
    "measure",
    "metric_size",
    "named_size",
    "plain_size",
    "set_length",
    "take",
]

WASHERS = frozenset(
    (Kind.WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.TOOTHED_WASHER, Kind.SEALING_WASHER)
)
# Kinds that have no length; series whose sizes are gauge numbers or millimetres.
SHORT = frozenset((Kind.NUT, Kind.GREASE_NIPPLE, Kind.BLEED_NIPPLE, *WASHERS))
# Units that are kept as others: the unit kept, and how many of it they are.
_SCALED = {"cm": ("mm", Fraction(10)), "thou": ("in", Fraction(1, 1000))}


@dataclass(slots=True)
class Atom:
    """One figure with what is said about it: unit, role, and the sign that joins it leftwards."""

    at: int
    end: int
    token: Token
    value: Fraction
    join: str  # "" for the first of a run, else "x", "-" or "/"
    unit: str = ""
    role: str = ""
    after_series: bool = False  # the name of a thread series stands before it in the run

    @property
    def whole(self) -> bool:
        return self.value.denominator == 1 and not self.token.fraction and "." not in self.text

    @property
    def text(self) -> str:
        return self.token.text.replace(",", ".")


def find_runs(draft: Draft) -> list[list[Atom]]:
    runs: list[list[Atom]] = []
    broken = False  # a figure in doubt leaves what is joined to it in doubt too
    for at, token in enumerate(draft.tokens):
        if token.mark is Mark.NUMBER:
            joined = draft.mark(at - 1) in (Mark.BY, Mark.DASH) or draft.text_of(at - 1) == "/"
            broken = token.value is None or (broken and joined)
            if broken:
                if draft.mark(at - 1) is Mark.DASH and runs and runs[-1][-1].end == at - 1:
                    _drop_number(runs)  # the whole of "1-2/4"
                continue
        if draft.used[at] or token.value is None or token.mark is Mark.CLASS:
            continue
        if token.mark not in (Mark.NUMBER, Mark.METRIC, Mark.BA, Mark.GAUGE):
            continue
        if draft.depth[at] and not _labelled(draft, at):
            continue
        join = _join(draft, at, bool(runs))
        atom = Atom(at, at + 1, token, token.value, join)
        _about(draft, atom)
        if join:
            atom.after_series = _series_between(draft, runs[-1][-1].end, at)
            runs[-1].append(atom)
        else:
            runs.append([atom])
    for run in runs:
        _units(draft, run)
    return runs


def _drop_number(runs: list[list[Atom]]) -> None:
    if runs[-1][-1].token.mark is Mark.NUMBER:
        runs[-1].pop()
    if not runs[-1]:
        runs.pop()


def _labelled(draft: Draft, at: int) -> bool:
    """Let figures in round brackets count only with a role: "(outer dia 10mm)"."""
    near = range(max(0, at - 3), min(len(draft.tokens), at + 4))
    return any(draft.says(n, "role") for n in near if draft.depth[n])


def _join(draft: Draft, at: int, any_before: bool) -> str:
    """Give the sign that joins a figure to the one before."""
    if not any_before or at == 0 or draft.mark(at) is not Mark.NUMBER:
        return ""
    mark = draft.mark(at - 1)
    if mark is Mark.BY:
        return "x"
    before = at - 2
    if draft.mark(before) is Mark.SIGN and draft.tokens[before].text == ".":
        before -= 1
    sized = draft.mark(before) in (
        Mark.NUMBER,
        Mark.METRIC,
        Mark.GAUGE,
        Mark.BA,
        Mark.INCH,
    ) or bool(
        draft.inside[before] and draft.inside[before].phrase.get("unit")  # type: ignore[union-attr]
    )
    if draft.used[before] and draft.mark(before) is Mark.NUMBER:
        sized = False
    spaced_tpi = (
        mark is Mark.COMMA
        and draft.tokens[at - 1].text.strip() == "-"
        and is_whole(draft.tokens[at])
        and draft.mark(at + 1) is Mark.BY
        and (draft.mark(before) is Mark.INCH or draft.tokens[before].fraction)
    )
    if mark is Mark.DASH or spaced_tpi:  # "1/2-13", and 1/2" - 13 x 1
        return "-" if sized else ""
    if mark is Mark.SIGN and draft.tokens[at - 1].text == "/":
        return "/" if sized else ""
    return ""


def _about(draft: Draft, atom: Atom) -> None:
    """Read the unit and the role written beside a figure."""
    at = atom.end
    if draft.word(at) in ("th", "ths", "nd", "nds", "rd", "rds") and atom.token.fraction:
        at += 1
    if draft.mark(at) is Mark.INCH:
        atom.unit, at = "in", at + 1
    elif draft.says(at, "unit"):
        atom.unit, at = str(draft.says(at, "unit")), draft.matches[at].last
    if draft.mark(at) is Mark.SIGN and draft.tokens[at].text == "." and at > atom.end:
        at += 1
    if draft.says(at, "role"):
        atom.role = str(draft.says(at, "role"))
        at = draft.matches[at].last
        if draft.says(at, "unit") and not atom.unit:
            atom.unit, at = str(draft.says(at, "unit")), draft.matches[at].last
        elif draft.mark(at) is Mark.INCH and not atom.unit:
            atom.unit, at = "in", at + 1
    atom.end = at
    before = atom.at - 1
    if draft.mark(before) is Mark.SIGN and draft.tokens[before].text in ("Ø", "ø", "⌀", "=", ":"):
        if draft.tokens[before].text in ("Ø", "ø", "⌀"):
            atom.role = atom.role or "dia"
        atom.at, before = before, before - 1
    found = draft.inside[before] if before >= 0 else None
    if found is not None and not atom.role and found.last == before + 1:
        role = found.phrase.get("role")
        if role and not draft.used[found.first]:
            atom.role, atom.at = role, found.first
    if atom.unit in _SCALED:
        atom.unit, scale = _SCALED[atom.unit]
        atom.value *= scale


def _series_between(draft: Draft, first: int, last: int) -> bool:
    return any(draft.says(at, "series") is not None for at in range(first, last))


def _units(draft: Draft, run: list[Atom]) -> None:
    """Spread a unit written once over the run; a vulgar fraction is inches."""
    given = [a.unit for a in run if a.unit]
    inch_series = draft.series is not None and draft.series not in (
        Series.METRIC, Series.METRIC_FINE, *GAUGED,
    )  # fmt: skip
    fraction, head = any(a.token.fraction for a in run), run[0].token.mark
    if head is Mark.METRIC and not fraction:
        house = "mm"  # whatever thread is said beside it
    elif head in (Mark.GAUGE, Mark.BA) or inch_series or fraction:
        house = "in"
    else:
        house = given[-1] if given else _guess(run)
    for atom in run:
        if not atom.unit:
            atom.unit = "in" if atom.token.fraction else house


def _guess(run: list[Atom]) -> str:
    """Below one, or to three places, a figure such as .875 is inches; metric sizes start at one."""
    thou = len(run[0].text.partition(".")[2]) >= 3
    return "in" if (run[0].value < 1 or thou) and not run[0].token.comma else "mm"


def has_unit(draft: Draft, atom: Atom) -> bool:
    return draft.mark(atom.at + 1) is Mark.INCH or draft.says(atom.at + 1, "unit") is not None


def take(draft: Draft, atom: Atom) -> None:
    draft.use(atom.at, atom.end)
    if atom.join:
        draft.use(atom.at - 1)


def measure(atom: Atom, role: str = "") -> Measure:
    return Measure(atom.value, atom.unit, role or atom.role)


def set_length(draft: Draft, atom: Atom) -> None:
    if draft.length is not None:
        return
    draft.length = Measure(atom.value, atom.unit)
    take(draft, atom)


def plain_size(draft: Draft, atom: Atom) -> None:
    """Set a size that is no thread by itself: 3/8 (inch) or 6 mm."""
    if atom.unit == "in":
        draft.size = number_text(atom.value, True)
        if "/" not in draft.size:
            draft.size += " in"
    else:
        draft.size = f"{number_text(atom.value, False)} mm"
    take(draft, atom)


def metric_size(draft: Draft, atom: Atom) -> None:
    name = f"M{number_text(atom.value, False)}"
    if is_trapezoidal(atom.token):
        _settle(draft, f"Tr{atom.value}", Series.TRAPEZOIDAL)
    elif atom.value.denominator == 1 or name in COARSE_PITCH:
        _settle(draft, name, Series.METRIC)
    else:
        draft.size = f"{number_text(atom.value, False)} mm"
        draft.ask(f"{name} is no ISO metric size; which thread is it")
    take(draft, atom)


def _settle(draft: Draft, size: str, series: Series) -> None:
    """Set a size that names its own thread; a word for another thread is kept and asked about."""
    if draft.series in INCH_SERIES and draft.series is not series and "series" in draft.typed:
        draft.ask(f"two threads: {size} and {draft.typed['series']}; which")
        draft.unread.append(draft.typed["series"])
    draft.size, draft.series = size, series


def is_trapezoidal(token: Token) -> bool:
    """Tell Tr20 from M20."""
    return token.mark is Mark.METRIC and token.text[0] in "Tt"


def named_size(draft: Draft, atom: Atom) -> None:
    if atom.token.mark is Mark.METRIC:
        metric_size(draft, atom)
    elif atom.token.mark is Mark.BA:
        _settle(draft, f"{atom.value}BA", Series.BA)
        take(draft, atom)
    else:
        draft.size = f"#{atom.value}"
        take(draft, atom)
