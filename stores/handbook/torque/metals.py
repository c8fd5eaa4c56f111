"""What a bolt is screwed into, and what its head bears on."""

from dataclasses import dataclass
from functools import cache

from stores.errors import BadValue
from stores.handbook.table import number, table
from stores.handbook.thread import Thread
from stores.text import fold

__all__ = ["Material", "material", "materials", "nut_proof_n"]


@dataclass(frozen=True, slots=True)
class Material:
    """A material of a tapped hole or seat: least shear strength, greatest pressure, MPa.

    ``pressure_mpa`` is None where no figure was found: it is then unknown, not unlimited.
    """

    name: str
    shear_mpa: float
    pressure_mpa: float | None
    source: str


@cache
def _materials() -> dict[str, Material]:
    found = {}
    for row in table("torque_materials"):
        each = Material(
            row["material"], float(row["shear_mpa"]), number(row["pressure_mpa"]), row["source"]
        )
        for word in (row["material"], *row["words"].split(";")):
            found[word.strip().lower()] = each
    return found


def materials() -> tuple[str, ...]:
    """Give the names of the materials on record."""
    return tuple(dict.fromkeys(each.name for each in _materials().values()))


def material(text: "str | Material") -> Material:
    """Give a material by name or word. Raises `BadValue` for one that is not on record."""
    if isinstance(text, Material):
        if not (0 < text.shear_mpa <= 2000):
            raise BadValue(f"shear strength {text.shear_mpa:g} MPa: expected above 0, up to 2000")
        if text.pressure_mpa is not None and not (0 < text.pressure_mpa <= 5000):
            raise BadValue(f"pressure {text.pressure_mpa:g} MPa: expected above 0, up to 5000")
        return text
    found = _materials().get(fold(text))
    if found is None:
        raise BadValue(f"no strength on record for {text!r}; known are: {', '.join(materials())}")
    return found


def nut_proof_n(thread: Thread, nut_class: str) -> float:
    """Give the proof load, N, of a full-height nut of a class (ISO 898-2) on this thread.

    Stepped proof stress times the stress area of the bolt. Raises `BadValue` for a class or a
    size that the table does not hold.
    """
    word = nut_class.lower().replace("class", "").strip()
    rows = [row for row in table("torque_nuts") if row["nut_class"] == word]
    if not rows:
        classes = ", ".join(dict.fromkeys(row["nut_class"] for row in table("torque_nuts")))
        raise BadValue(f"no nut class {nut_class.strip()!r} in ISO 898-2; there are: {classes}")
    for row in rows:
        if float(row["d_over_mm"]) < thread.major_mm <= float(row["d_to_mm"]):
            return float(row["proof_mpa"]) * thread.stress_area_mm2
    raise BadValue(f"ISO 898-2 has no nut of class {word} for {thread}")
