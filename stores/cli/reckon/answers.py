"""Showing what a calculator answers: figure, range, what it hangs on, sources, cautions once."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from stores import units
from stores.cli import show

if TYPE_CHECKING:
    from stores.handbook.answer import Answer

__all__ = [
    "Amounts",
    "amount",
    "answer_data",
    "cautions",
    "figure",
    "row",
    "show_answer",
    "show_answers",
    "sources",
]

_LABEL = 12

Amounts = dict[str, tuple[str, ...]]
"""Units in which a figure is shown beside its own, by its own."""

BESIDE: Amounts = {
    "ml": ("imp fl oz", "US fl oz"),
    "kPa": ("psi", "bar"),
    "N m": ("lbf ft", "kgf m"),
}
_LARGE: Amounts = {"ml": ("imp pint", "US pint")}


def amount(text: str, kind: units.Kind, default: str | None = None) -> float:
    """Read an amount; give it in the base unit of its kind: mm, N m, ml or kPa."""
    return float(units.read(text, kind, default).base)


def row(label: str, text: str) -> None:
    """Show one labelled line, wrapped under itself."""
    show.paragraph(text, first=f"  {label:<{_LABEL}}", rest=" " * (_LABEL + 2))


def figure(value: float, unit: str, digits: int = 3) -> str:
    """Write a figure in its unit: ``1.25 l``, ``24.6 N m``, ``62 %``."""
    if unit == "ml" and abs(value) >= 1000:
        return f"{units.plain(value / 1000, digits)} l"
    return f"{units.plain(value, digits)} {unit}".rstrip()


def beside(value: float, unit: str) -> str:
    """Write a figure in the other units people use, in brackets; empty if there are none."""
    others = _LARGE.get(unit, ()) if unit == "ml" and abs(value) >= 250 else ()
    names = others or BESIDE.get(unit, ())
    if not names:
        return ""
    texts = [f"{units.plain(units.convert(value, unit, name), 3)} {name}" for name in names]
    return f" ({', '.join(texts)})"


def show_answer(answer: "Answer", *, with_cautions: bool = True) -> None:
    """Show one answer."""
    show_answers([answer], with_cautions=with_cautions)


def show_answers(answers: Sequence["Answer"], *, with_cautions: bool = True) -> None:
    """Show several answers; what they share, sources and cautions, once."""
    for answer in answers:
        value = figure(answer.value, answer.unit)
        show.paragraph(f"{answer.what}: {value}{beside(answer.value, answer.unit)}", rest="  ")
        if answer.low != answer.high:
            low, high = figure(answer.low, answer.unit), figure(answer.high, answer.unit)
            row("range", f"{low} to {high}")
        if answer.limiting:
            row("hangs on", answer.limiting)
    taken = dict.fromkeys(text for answer in answers for text in answer.assumptions)
    if taken:
        row("assuming", "; ".join(taken))
    sources(key for answer in answers for key in answer.sources)
    if with_cautions:
        cautions(text for answer in answers for text in answer.cautions)


def sources(keys: Iterable[str]) -> None:
    """Show what a figure comes from."""
    from stores.handbook.answer import cite

    row("source", "; ".join(cite(key) for key in dict.fromkeys(keys)))


def cautions(texts: Iterable[str]) -> None:
    """Show cautions, each once."""
    for text in dict.fromkeys(texts):
        show.paragraph(text[:1].upper() + text[1:], first="! ", rest="  ")


def answer_data(answer: "Answer") -> dict[str, Any]:
    """Give an answer for another program, its sources spelled out."""
    from stores.handbook.answer import cite

    data: dict[str, Any] = show.plain(answer)
    data["sources"] = [cite(key) for key in answer.sources]
    return data
