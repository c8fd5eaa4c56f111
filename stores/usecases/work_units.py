"""The units that a person works in: chosen once, for all that is shown and printed."""

from dataclasses import dataclass

from stores import units
from stores.errors import BadValue
from stores.model.ledger import ActKind
from stores.model.work_units import SYSTEMS, TORQUES, VOLUMES, WorkUnits, of_settings
from stores.storage.moment import answered
from stores.storage.settings import SettingRow, read_settings
from stores.usecases.context import Ask, Context, Reply

__all__ = ["SetUnits", "UnitsChosen", "UnitsSet", "set_units", "units_chosen"]


@dataclass(frozen=True, slots=True)
class SetUnits(Ask):
    """The units to work in: a ``system``, or a ``torque`` and a ``volume`` by themselves. What is
    empty stays as it was."""

    system: str = ""
    torque: str = ""
    volume: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitsSet(Reply):
    """The units from now on."""

    torque: str
    volume: str


@dataclass(frozen=True, slots=True)
class UnitsChosen:
    """The units of now, and what there is to choose from."""

    torque: str
    volume: str
    torques: tuple[str, ...] = TORQUES
    volumes: tuple[str, ...] = VOLUMES
    systems: tuple[str, ...] = tuple(SYSTEMS)


def set_units(context: Context, ask: SetUnits) -> UnitsSet:
    """Record in which units figures are shown and printed from now on.

    Raises:
        BadValue: no such system or unit, or nothing said.
    """
    torque, volume = _system(ask.system)
    torque = _unit(ask.torque, units.Kind.TORQUE, TORQUES) or torque
    volume = _unit(ask.volume, units.Kind.VOLUME, VOLUMES) or volume
    if not torque and not volume:
        raise BadValue("which work units", systems=tuple(SYSTEMS))
    with context.writing(ask) as writer:
        was = of_settings(read_settings(writer.connection))
        now = WorkUnits(torque or was.torque, volume or was.volume)
        words = f"units: torque {now.torque}, volume {now.volume}"
        act = writer.begin(ActKind.SETTING, words, at=context.at)
        for name, value in (("torque unit", now.torque), ("volume unit", now.volume)):
            writer.append(SettingRow(act_id=act, machine_id=None, name=name, value=value))
    return UnitsSet(act=act, trial=ask.trial, torque=now.torque, volume=now.volume)


def units_chosen(context: Context) -> UnitsChosen:
    """Return the units that figures are shown in."""
    with context.reading() as connection:
        now = answered(connection, "units", "", lambda: of_settings(read_settings(connection)))
    return UnitsChosen(now.torque, now.volume)


def _system(typed: str) -> tuple[str, str]:
    word = typed.strip().casefold()
    if not word:
        return "", ""
    for name, both in SYSTEMS.items():
        if word == name.casefold():
            return both
    raise BadValue("no such system of units", typed=typed.strip()[:40], systems=tuple(SYSTEMS))


def _unit(typed: str, kind: units.Kind, known: tuple[str, ...]) -> str:
    """Return the name of a unit by any of its spellings, empty for none."""
    if not typed.strip():
        return ""
    name = units.unit(typed, kind).name
    if name not in known:
        raise BadValue("no such work unit", typed=typed.strip()[:40], known=known)
    return name
