"""A rule of the bench: what to do, why, and who says so."""

from dataclasses import dataclass
from functools import cache

from stores.errors import BadValue
from stores.handbook.table import table
from stores.text import fold

__all__ = ["GENERAL", "Rule", "rules", "topics"]

GENERAL = (
    "A general figure: the maker's comes first. Brakes, steering, wheels and lifting follow the "
    "maker's figure and a competent person."
)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule in words: ``text`` is what to do, ``why`` the reason.

    ``sources`` are keys that `stores.handbook.answer.cite` spells out; ``practice`` among them is
    common practice. ``instead`` are other ways, ``cautions`` are to be shown once. ``firm`` is
    false where the rule leaves it to a look at the part.
    """

    topic: str
    text: str
    why: str
    sources: tuple[str, ...]
    instead: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    firm: bool = True

    def __post_init__(self) -> None:
        if not self.sources:
            raise ValueError(f"{self.text}: no source")


@cache
def _rules() -> tuple[Rule, ...]:
    return tuple(
        Rule(
            row["topic"],
            row["text"],
            row["why"],
            tuple(row["keys"].split(";")),
            cautions=(row["caution"],) if row["caution"] else (),
        )
        for row in table("torque_rules")
    )


def topics() -> tuple[str, ...]:
    """Give the subjects that have rules, in the order in which work meets them."""
    return tuple(dict.fromkeys(rule.topic for rule in _rules()))


def rules(topic: str = "") -> tuple[Rule, ...]:
    """Give the rules of a subject, all of them for an empty one.

    A topic may be shortened to what only one begins with. Raises `BadValue` for one unknown.
    """
    word = fold(topic)
    if not word:
        return _rules()
    found = [name for name in topics() if name.startswith(word) or word.startswith(name)]
    if len(found) != 1:
        raise BadValue(f"no rules on {topic.strip()!r}; there are some on: {', '.join(topics())}")
    return tuple(rule for rule in _rules() if rule.topic == found[0])
