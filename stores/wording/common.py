"""Words that all subjects share: days, what was pointed at, and what can go wrong anywhere."""

from collections.abc import Callable, Iterable, Sequence

from stores.text import either, join
from stores.wording.marks import quoted, to_type

__all__ = ["HINTS", "REFUSALS", "Template", "pieces_there", "unclear"]

Template = str | Callable[..., str]
"""The words of a fact: a text with the facts' names in braces, or a function of them."""


def _meant(near: tuple[str, ...], instead: str = "") -> str:
    return f"; did you mean {either(near)}?" if near else instead


def pieces_there(pieces: Sequence[object]) -> str:
    """Return what pieces there are and where, the first six of them."""
    return ", ".join(str(each) for each in pieces[:6]) or "no pieces"


def unclear(asked: Iterable[tuple[str, Sequence[str]]]) -> list[str]:
    """Return what is unclear in which line, and how to answer it."""
    said = [f"Unclear in {item}: {question}" for item, questions in asked for question in questions]
    answer = f"To answer, now or later: {to_type('stores record queries')}"
    return [*said, answer] if said else []


_MEANS = {
    "position": "a position (@)",
    "should be": "'should be'",
    "of": "'3 of 4'",
    "still on": "what is still on the machine",
    "stack": "the order of a stack",
}
_INSTEAD = {
    "loose": "say what was found, as 1 M8x40 hex",
    "specify": "say only what should be there, as 4 M6x25 hex",
    "correct_step": "say only what came off; its lines are put right by themselves",
    "buy": "say what arrived, as 20 M6x25 hex",
    "order": "say what is ordered, as 20 M6x25 hex",
    "price": "say what it is, as M6x25 hex",
    "enter": "say what is there, as 40 M6 plain washer",
}

REFUSALS: dict[str, Template] = {
    "work not said": (
        f"{to_type('--by')} and {to_type('--measured')} go with {to_type('--work')}: "
        "say what was done, as welded and ground"
    ),
    "no number typed": "{field}: type its number, as 3",
    "no count": "write a whole number such as 4, not {typed!r}",
    "count out of range": (lambda most, count: f"a count is from 1 to {most:,}, not {count:,}"),
    "no condition": "{typed!r} is not a condition. Use one of: {conditions}",
    "loose pieces are of no joint": "loose pieces belong to no joint",
    "several items": "{what} has several lines. Which one? {items}",
    "means nothing here": (
        lambda part, usecase: f"leave out {_MEANS[part]} here: {_INSTEAD[usecase]}"
    ),
    "nothing came off": (
        "nothing came off at step {step} ({part}): it has no pieces. When it is undone: {hint}"
    ),
    "no such item": "no item {item} on {machine}; step {step} has {items}",
    "no machine yet": "no machine yet: add one with " + quoted("{hint}"),
    "no such machine": "no machine called {name!r} here; there is {machines}",
    "several machines": "{name!r} fits several machines ({machines}): write more of the name",
    "no loose pieces": "no loose pieces are recorded",
    "bag empty": "bag {bag} is empty",
    "nothing of it in the bag": "bag {bag} holds nothing of {machine}, but of {others}",
    "bag of several machines": (
        lambda bag, machines: (
            f"bag {bag} holds pieces of {' and '.join(machines)}: say which with {to_type('-m')}"
        )
    ),
    "bag code misread": (
        lambda bag, near: (
            f"bag code {bag} is misread or mistyped, its check letter does not fit"
            f"{_meant(near, ': look again')}"
        )
    ),
    "nothing called that": (
        "nothing is called {name!r}: name an item (7.2), a step (7), a bag (A001N), a place, or an "
        "assembly of {machine}: {assemblies}"
    ),
    "no such page": "there is no page for {name!r}",
    "no such bag": lambda bag, near: f"no bag {bag} in the stores{_meant(near)}",
    "not a place to put it by hand": (
        "a piece is not put into {name!r} by hand: use "
        f"{quoted('stores refit')}, {quoted('stores piece lose')} or "
        f"{quoted('stores piece scrap')}"
    ),
    "no place": "{name!r} is no place: name a bag, a box, a shelf, or the bench",
    "a bag in the name": (
        "{name!r} names bag {bag}: type just {bag} to put it there; for a new place of that name "
        "add " + to_type("--new-place")
    ),
    "near an old place": (
        lambda name, near: (
            f"no place is called {name!r} yet; did you mean {either(near)}? For a new place add "
            f"{to_type('--new-place')}"
        )
    ),
    "a sentence for a place": (
        lambda name, bags: (
            f"{name!r} reads like a sentence, not a place: type the bag's code"
            + (f" ({either(bags)}?)" if bags else "")
            + ", 'same' for the last step's bag, or a name such as shelf 3; if a place is called "
            f"that, add {to_type('--new-place')}"
        )
    ),
    "no firm but near one": (
        lambda name, near: f"no firm is called {name!r}; did you mean {either(near)}?"
    ),
    "near an old firm": (
        lambda name, near: (
            f"no firm is called {name!r} yet; did you mean {either(near)}? For another firm add "
            f"{to_type('--new-firm')}"
        )
    ),
    "near an old assembly": (
        lambda name, near: (
            f"no assembly {name!r} yet; did you mean {either(near)}? For a new one add "
            f"{to_type('--new-assembly')}"
        )
    ),
    "no bag but near one": (lambda name, near: f"{name!r} is no bag; did you mean {either(near)}?"),
    "key too long": "a key has at most {most} characters",
    "recorded already": "recorded already: act {act}, {summary}; nothing was written twice",
    "pieces of several steps": (
        lambda what, steps: (
            f"{what} has pieces of steps {join([str(step) for step in steps])}: which step?"
        )
    ),
    "no such step": "there is no step {step}: " + quoted("{hint}") + " shows what was done",
    "step taken back": "step {step} was taken back: " + quoted("{hint}") + " shows when",
    "no such picture": "no picture {number} of {machine}: " + quoted("{hint}") + " shows them",
}
HINTS = {
    "add_machine": "stores machine add NAME",
    "pictures": "stores photo list",
    "history": "stores history",
    "help": "stores --help",
}
