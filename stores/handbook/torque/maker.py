"""The maker's figure beside the computed one: it wins, and a great difference is flagged."""

from dataclasses import dataclass
from math import isfinite

from stores.errors import BadValue
from stores.handbook.torque.answer import Tightening

__all__ = ["Comparison", "MakerFigure", "compare"]

# Units a figure is most often mistaken for, in N m.
_MISTAKES = (
    ("lbf ft", 1.3558179483314004),
    ("kgf m", 9.80665),
    ("lbf in", 0.1129848290276167),
    ("kgf cm", 0.0980665),
)


@dataclass(frozen=True, slots=True)
class MakerFigure:
    """A maker's torque, N m: one figure or a range; ``state`` dry or oiled if the book says.

    Raises `BadValue` for figures not above zero or out of order.
    """

    low_nm: float
    high_nm: float
    state: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        good = isfinite(self.low_nm) and isfinite(self.high_nm)
        if not (good and 0 < self.low_nm <= self.high_nm <= 10000):
            raise BadValue(
                f"maker's torque {self.low_nm:g} to {self.high_nm:g} N m: expected above 0, up to "
                "10000, the smaller first"
            )

    @property
    def nominal_nm(self) -> float:
        """The middle of the range, N m: what to set."""
        return (self.low_nm + self.high_nm) / 2


@dataclass(frozen=True, slots=True)
class Comparison:
    """The maker's figure, which is the one to use, against the computed one.

    ``agrees`` is whether the two differ by no more than ``low_nm`` to ``high_nm``, what friction
    and the scatter of a torque wrench explain; ``ratio`` is maker's over computed.
    """

    maker: MakerFigure
    computed: Tightening
    low_nm: float
    high_nm: float
    agrees: bool
    ratio: float
    words: str
    cautions: tuple[str, ...]

    @property
    def use_nm(self) -> float:
        """The torque to use, N m: always the maker's."""
        return self.maker.nominal_nm


def compare(maker: MakerFigure, computed: Tightening) -> Comparison:
    """Set a maker's figure beside the computed one, and flag what scatter does not explain.

    Explained is anything within the computed range widened by the scatter of preload at one torque
    (25 % lubricated, 35 % dry: NASA TM-106943).
    """
    scatter = computed.friction.scatter
    low = min(computed.low, computed.value * (1 - scatter))
    high = max(computed.high, computed.value * (1 + scatter))
    agrees = maker.low_nm <= high and maker.high_nm >= low
    ratio = maker.nominal_nm / computed.value
    told = []
    if not maker.state:
        told.append("The maker's figure does not say dry or oiled: look it up before oiling.")
    elif maker.state.strip().lower() != computed.friction.state:
        told.append(
            f"The maker's figure is for {maker.state}, the computed one for {computed.friction}."
        )
    if agrees:
        words = f"agrees with the computed {computed.value:.3g} N m within the scatter"
    else:
        side = "below" if ratio < 1 else "above"
        words = (
            f"{100 * ratio:.0f} % of the computed {computed.value:.3g} N m: {side} what friction "
            f"and scatter explain ({low:.3g} to {high:.3g} N m)"
        )
        told.append(_advice(maker, low, high, ratio))
    return Comparison(maker, computed, low, high, agrees, ratio, words, tuple(told))


def _advice(maker: MakerFigure, low: float, high: float, ratio: float) -> str:
    for name, factor in _MISTAKES:
        if low <= maker.nominal_nm * factor <= high:
            return f"Read as {name} it would agree: check the unit in the book."
    if ratio < 1:
        return (
            "The maker asks for less: a gasket, a weak thread or a weaker bolt than was taken. "
            "Keep to the maker's figure."
        )
    return (
        "The maker asks for more than this bolt should stand: check thread, mark and figure before "
        "tightening."
    )
