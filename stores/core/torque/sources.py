"""What the source keys of an answer stand for."""

from functools import cache

from stores.core.tables import table
from stores.errors import NotFound

__all__ = ["cite"]


@cache
def _sources() -> dict[str, str]:
    return {row["key"]: row["source"] for row in table("torque_sources")}


def cite(key: str) -> str:
    """Give the source that a key stands for. Raises `NotFound` for an unknown key."""
    if key not in _sources():
        raise NotFound(f"no source {key!r}")
    return _sources()[key]
