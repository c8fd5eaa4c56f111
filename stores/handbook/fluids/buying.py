"""What to buy in whole containers for all sumps of a machine, by grade."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, gcd

from stores.errors import BadValue
from stores.handbook.answer import between
from stores.handbook.fluids.grades import Grade

__all__ = ["Need", "Purchase", "ShoppingOil", "Sump", "buy", "need_of"]

MOST_ML = 100_000
MOST_ALL_ML = 1_000_000


@dataclass(frozen=True, slots=True)
class Sump:
    """A place that holds oil: capacity after a strip-down (``dry_ml``) and after a drain, ml.

    After a drain oil still clings to the walls and fills passages, so a refill is less. ``number``
    is how many alike there are: two fork legs. ``grade`` is None where nobody knows it.
    """

    name: str
    grade: Grade | None
    dry_ml: int | None = None
    refill_ml: int | None = None
    number: int = 1

    def __post_init__(self) -> None:
        for what, ml in (("dry fill", self.dry_ml), ("refill", self.refill_ml)):
            if ml is not None:
                between(f"{self.name}: {what}", ml, "ml", 1, MOST_ML)
        if not 1 <= self.number <= 50:
            raise BadValue(f"{self.name}: {self.number} alike: expected 1 to 50")
        if self.dry_ml and self.refill_ml and self.refill_ml > self.dry_ml:
            raise BadValue(
                f"{self.name}: a refill of {self.refill_ml} ml is more than the dry fill of "
                f"{self.dry_ml} ml; are they the wrong way round?"
            )


@dataclass(frozen=True, slots=True)
class Need:
    """What a sump takes now, ml, from ``low`` to ``high``; None where it is not known."""

    sump: Sump
    ml: int | None
    low: int | None
    high: int | None
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Purchase:
    """Containers of one grade: pairs of size in ml and how many, the largest first."""

    grade: Grade
    need_ml: int
    containers: tuple[tuple[int, int], ...]
    sumps: tuple[str, ...]

    @property
    def bought_ml(self) -> int:
        """All that is bought."""
        return sum(size * count for size, count in self.containers)

    @property
    def over_ml(self) -> int:
        """What is left for topping up."""
        return self.bought_ml - self.need_ml


@dataclass(frozen=True, slots=True)
class ShoppingOil:
    """What to buy, and what cannot be reckoned: names of sumps with the reason."""

    purchases: tuple[Purchase, ...]
    unknown: tuple[tuple[str, str], ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...] = ("maker", "practice")
    cautions: tuple[str, ...] = (
        "old oil is hazardous waste: keep it off skin and drains, take it to a collection point",
    )


def need_of(sump: Sump, *, stripped: bool) -> Need:
    """Give what a sump takes: its dry fill when it was stripped, else its refill.

    Where only the other figure is known it stands in, said so, and opens the range: a refill is
    usually 80 to 100 per cent of the dry fill (assumption).
    """
    wanted, other = (sump.dry_ml, sump.refill_ml) if stripped else (sump.refill_ml, sump.dry_ml)
    name = "dry fill" if stripped else "refill"
    if wanted is not None:
        total = wanted * sump.number
        return Need(sump, total, total, total, (f"{sump.name}: {name}",))
    if other is None:
        return Need(sump, None, None, None, (f"{sump.name}: capacity not known",))
    total = other * sump.number
    if stripped:
        high = ceil(total / 0.8)
        said = f"{sump.name}: only the refill is known; a dry fill may take up to {high} ml"
        return Need(sump, total, total, high, (said,))
    low = total * 8 // 10
    said = f"{sump.name}: only the dry fill is known; a refill may take as little as {low} ml"
    return Need(sump, total, low, total, (said,))


def buy(
    sumps: Sequence[Sump], sizes_ml: Sequence[int], *, stripped: bool = True, spare: float = 0.0
) -> ShoppingOil:
    """Give what to buy for all sumps in containers of the sizes there are, grade by grade.

    Enough for the high end of every need and ``spare`` (0 to 1) over; of all ways that give
    enough the least oil, then the fewest containers. Grades that differ in their service
    designation stay apart. A sump without grade or capacity is named, never guessed.

    Raises `BadValue` when there is no size, or one below 10 ml or above 60 l.
    """
    sizes = sorted(set(sizes_ml), reverse=True)
    if not sizes:
        raise BadValue("no container sizes: say what the oil is sold in")
    for size in sizes:
        between("container", size, "ml", 10, 60_000)
    between("spare", spare, "of the need", 0.0, 1.0)
    needs: Counter[Grade] = Counter()
    names: dict[Grade, list[str]] = {}
    unknown: list[tuple[str, str]] = []
    assumptions: list[str] = []
    for sump in sumps:
        need = need_of(sump, stripped=stripped)
        if sump.grade is None:
            unknown.append((sump.name, "grade not known"))
        elif need.high is None:
            unknown.append((sump.name, "capacity not known"))
        else:
            needs[sump.grade] += need.high
            names.setdefault(sump.grade, []).append(sump.name)
            assumptions.extend(need.assumptions)
    if spare:
        assumptions.append(f"{spare:.0%} over for topping up")
    purchases = []
    for grade, ml in sorted(needs.items(), key=lambda pair: str(pair[0])):
        total = ceil(ml * (1 + spare) - 1e-9)
        between(f"{grade}: all together", total, "ml", 0, MOST_ALL_ML)
        purchases.append(Purchase(grade, total, _containers(total, sizes), tuple(names[grade])))
    return ShoppingOil(tuple(purchases), tuple(unknown), tuple(assumptions))


def _containers(need: int, sizes: list[int]) -> tuple[tuple[int, int], ...]:
    """Give the containers with the least oil at or above the need, then the fewest."""
    step = gcd(*sizes)
    units = [size // step for size in sizes]
    wanted = -(-need // step)
    count: Counter[int] = Counter()
    # Of as many smaller containers as the largest has units, some add up to a multiple of it and
    # give way to it: so fewer of them are ever needed, and above that the largest is part of it.
    exact_to = units[0] * (units[1] if len(units) > 1 else 1) + 2 * units[0]
    if wanted > exact_to:
        many = (wanted - exact_to) // units[0]
        count[sizes[0]] += many
        wanted -= many * units[0]
    best: list[tuple[int, int] | None] = [(0, -1)]
    for amount in range(1, wanted + units[0]):
        ways = [
            (before[0] + 1, at)
            for at, size in enumerate(units)
            if size <= amount and (before := best[amount - size]) is not None
        ]
        best.append(min(ways, default=None))
    amount = next(at for at in range(wanted, len(best)) if best[at] is not None)
    while amount:
        entry = best[amount]
        if entry is None:
            raise AssertionError("a sum of containers leads nowhere")
        count[sizes[entry[1]]] += 1
        amount -= units[entry[1]]
    return tuple((size, count[size]) for size in sizes if count[size])
