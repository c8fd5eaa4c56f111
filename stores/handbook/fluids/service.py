"""API gear oil designations against bronze and brass in the oil."""

from dataclasses import dataclass
from enum import StrEnum

from stores.errors import BadValue
from stores.handbook.table import table

__all__ = ["Advice", "Verdict", "gear_oil_advice"]


class Verdict(StrEnum):
    """What to make of a gear oil for a case."""

    FIT = "fits"
    ASK = "ask the maker"
    KEEP_OUT = "keep it out"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Advice:
    """A verdict with its reason and sources."""

    verdict: Verdict
    reason: str
    sources: tuple[str, ...] = ("api-1560", "practice")
    cautions: tuple[str, ...] = ("the maker's oil for the machine comes first",)


def gear_oil_advice(service: str, yellow_metal: bool | None, *, hypoid: bool = False) -> Advice:
    """Judge a designation (GL-1 to GL-6, empty if the can says none) for a gearbox or axle.

    ``yellow_metal``: bronze or brass parts, bushes, synchro rings or thrust washers in the oil;
    None if nobody looked. A hypoid axle needs GL-5 or the maker's word.

    Raises `BadValue` for a designation that does not exist.
    """
    name = service.strip().upper().removeprefix("API").strip().replace(" ", "-")
    if name.startswith("GL") and not name.startswith("GL-"):
        name = f"GL-{name[2:]}"
    if not name:
        return Advice(Verdict.UNKNOWN, "no GL designation on it: additives unknown")
    rows = {row["designation"]: row for row in table("fluids_api_gl")}
    if name not in rows:
        raise BadValue(f"no designation {service.strip()!r}: there are {', '.join(rows)}")
    row = rows[name]
    if name == "GL-6":
        return Advice(Verdict.KEEP_OUT, f"GL-6 is obsolete: {row['note']}")
    if hypoid and name != "GL-5":
        mild = "serves hypoid axles in moderate service only" if name == "GL-4" else "is too mild"
        verdict = Verdict.ASK if name == "GL-4" else Verdict.KEEP_OUT
        return Advice(verdict, f"{name} {mild}: hypoid axles want GL-5")
    return _on_yellow_metal(name, row["yellow"], row["note"], yellow_metal)


def _on_yellow_metal(name: str, yellow: str, note: str, there: bool | None) -> Advice:
    if yellow == "yes":
        return Advice(Verdict.FIT, f"{name}: {note}")
    if there is None:
        look = "look first whether bronze or brass runs in the oil"
        return Advice(Verdict.ASK, f"{name}: {look}; {note}")
    if there:
        verdict = Verdict.KEEP_OUT if yellow == "no" else Verdict.ASK
        return Advice(verdict, f"{name} on bronze or brass: {note}")
    if yellow == "ask":
        return Advice(Verdict.ASK, f"{name} is obsolete: {note}")
    return Advice(Verdict.FIT, f"{name}: no bronze or brass in the oil to attack")
