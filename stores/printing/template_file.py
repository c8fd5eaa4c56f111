"""Text files that a person copies and edits: found by name, read key by key, faults named."""

import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from stores.errors import PrintError
from stores.resources import folder

__all__ = ["Keys", "find", "read", "stems"]


def _folders(kind: str, own: Path | None) -> list[Path]:
    """Where files of a kind are looked for: a person's own folder comes before the built-in one."""
    mine = [] if own is None else [own / kind, own]
    return [*mine, folder("label_templates") / kind]


def stems(kind: str, own: Path | None = None) -> list[str]:
    """Give the names of all files of a kind (``stock`` or ``layouts``), each once."""
    found = {path.stem for place in _folders(kind, own) for path in place.glob("*.toml")}
    return sorted(found)


def find(name: str, kind: str, what: str, own: Path | None = None) -> Path:
    """Find a file by its name, or by its path if that ends in ``.toml``.

    Raises:
        PrintError: there is no such file; lists the names that there are.
    """
    if name.endswith(".toml"):
        path = Path(name).expanduser()
        beside = [place / name for place in _folders(kind, own)[:-1]]
        return next((each for each in (path, *beside) if each.is_file()), path)
    wanted = name.strip().lower()
    for place in _folders(kind, own):
        for path in sorted(place.glob("*.toml")):
            if path.stem.lower() == wanted:
                return path
    there = ", ".join(stems(kind, own))
    raise PrintError(f"no {what} {name!r}: there are {there}; or give the path of a .toml file")


def read(path: Path) -> "Keys":
    """Read a file.

    Raises:
        PrintError: it cannot be read, or is no TOML.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise PrintError(f"{path}: not UTF-8 text ({error.reason})") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PrintError(f"{path}: cannot be read ({reason})") from None
    try:
        return Keys(path, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise PrintError(f"{path}: not TOML: {error}") from None


class Keys:
    """The keys of one file, or of one table in it; an error names the file and the key."""

    def __init__(self, path: Path, data: Mapping[str, object], under: str = "") -> None:
        self.path = path
        self.data = data
        self.under = under
        self.asked: set[str] = set()

    def fault(self, key: str, reason: str) -> PrintError:
        """Give the error for a key."""
        return PrintError(f"{self.path}: {self.under}{key}: {reason}")

    def value(self, key: str) -> object:
        """Give what stands under a key, ``table.key`` for one within a table; or none."""
        self.asked.add(key)
        at: object = self.data
        for part in key.split("."):
            if not isinstance(at, Mapping):
                return None
            at = at.get(part)
        return at

    def tables(self, key: str) -> "list[Keys]":
        """Give the tables ``[[key]]``, in order; their faults are counted from 1."""
        value = self.value(key)
        if value is None:
            return []
        if not isinstance(value, Sequence) or not all(isinstance(each, Mapping) for each in value):
            raise self.fault(key, f"must be tables, each headed [[{key}]]")
        return [Keys(self.path, each, f"{key} {at}, ") for at, each in enumerate(value, 1)]

    def text(self, key: str, default: str) -> str:
        """Give a text that says something."""
        value = self.value(key)
        if value is None:
            return default
        if not isinstance(value, str) or not value.strip():
            raise self.fault(key, f"must be text in quotes, not {value!r}")
        return value.strip()

    def choice(self, key: str, words: Sequence[str], default: str) -> str:
        """Give one of these words."""
        value = self.text(key, default)
        if value not in words:
            listed = ", ".join(f'"{word}"' for word in words)
            raise self.fault(key, f"must be one of {listed}, not {value!r}")
        return value

    def yes(self, key: str, default: bool = False) -> bool:
        """Give true or false."""
        value = self.value(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.fault(key, f"must be true or false, not {value!r}")
        return value

    def number(
        self, key: str, low: float, high: float, default: float | None, unit: str = ""
    ) -> float:
        """Give a number within bounds; ``unit`` is what the error calls it."""
        value = self.value(key)
        what = f"a length in {unit}" if unit == "millimetres" else "a number"
        short = " mm" if unit == "millimetres" else ""
        if value is None:
            if default is None:
                raise self.fault(key, f"is missing; it is {what}")
            return default
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
        ):
            raise self.fault(key, f"must be {what}, not {value!r}")
        if not low <= value <= high:
            raise self.fault(key, f"must be from {low:g} to {high:g}{short}, not {value:g}")
        return float(value)

    def millimetres(
        self, key: str, low: float, high: float = 2000.0, default: float | None = None
    ) -> float:
        """Give a length."""
        return self.number(key, low, high, default, "millimetres")

    def pair(
        self, key: str, low: float, high: float, default: tuple[float, float]
    ) -> tuple[float, float]:
        """Give two numbers, as ``[9, 5.5]``."""
        value = self.value(key)
        if value is None:
            return default
        if (
            not isinstance(value, list)
            or len(value) != 2
            or any(isinstance(each, bool) or not isinstance(each, int | float) for each in value)
            or not all(low <= each <= high for each in value)
        ):
            raise self.fault(key, f"must be two numbers from {low:g} to {high:g}, not {value!r}")
        return float(value[0]), float(value[1])

    def count(self, key: str, most: int = 100, default: int | None = None) -> int:
        """Give a whole number from 1."""
        value = self.value(key)
        if value is None:
            if default is None:
                raise self.fault(key, "is missing; it is a whole number")
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise self.fault(key, f"must be a whole number from 1 to {most}, not {value!r}")
        return value

    def unknown(self) -> str | None:
        """Give the first key that nothing asked for: most likely a slip of the pen."""
        for key, value in self.data.items():
            inner = [f"{key}.{sub}" for sub in value] if isinstance(value, Mapping) else [key]
            for each in inner or [key]:
                if each not in self.asked and key not in self.asked:
                    return each
        return None

    def finish(self) -> None:
        """Refuse keys that nothing asked for."""
        unknown = self.unknown()
        if unknown:
            raise self.fault(unknown, "no such key")
