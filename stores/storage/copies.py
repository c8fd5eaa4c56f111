"""When the record was last copied, and where to, in a file of its own beside it: ``teasel.copied``.

It is no part of the record: a copy is no deed of the bench, and cannot be undone. What is noted
names the newest act that the copy has; of another record put in this one's place it says nothing.
"""

import json
import os
from contextlib import suppress
from pathlib import Path

from sqlalchemy import Connection, text

from stores.leftovers import clear_left_over, unfinished
from stores.planning.closing import NONE_KNOWN, KnownCopies, LastCopy
from stores.storage.acts import newest_act
from stores.storage.opening import Store
from stores.storage.writer import now
from stores.text import safe_to_show

__all__ = ["known_copies", "newest_copied", "note_copy"]

_LONGEST = 100_000
"""Characters of such a file, at most: a path and a little."""


def newest_copied(copied: Connection) -> tuple[int, str | None]:
    """Return the newest act that a copy has, and when that was written."""
    number = newest_act(copied)
    return number, _written(copied, number)


def note_copy(store: Store, to: Path, newest: tuple[int, str | None]) -> bool:
    """Note that a copy was just made of a stores; return whether it could be noted."""
    number, written = newest
    note = {"at": now(), "to": str(to.absolute()), "act": number, "written": written}
    place = _place(store)
    if not os.access(place.parent, os.W_OK):
        return False
    part = unfinished(place)
    clear_left_over(place)
    try:
        part.unlink(missing_ok=True)
        part.write_text(json.dumps(note), encoding="utf-8", errors="surrogateescape")
        part.replace(place)
    except OSError:
        with suppress(OSError):
            part.unlink()
        return False
    return True


def known_copies(store: Store, connection: Connection) -> KnownCopies:
    """Return what is known of copies of a stores."""
    if store.engine.dialect.name != "sqlite":
        return KnownCopies(None, ours=False)
    try:
        with _place(store).open(encoding="utf-8") as file:
            note = json.loads(file.read(_LONGEST))
        at, to, act, written = (note[name] for name in ("at", "to", "act", "written"))
        kept = LastCopy(str(at), safe_to_show(str(to)), newest_act(connection) - int(act))
        known = kept.acts_since >= 0 and _written(connection, int(act)) == written
    except (OSError, ArithmeticError, ValueError, LookupError, TypeError, RecursionError):
        return NONE_KNOWN
    return KnownCopies(kept if known else None, ours=True)


def _place(store: Store) -> Path:
    file = Path(store.name)
    return file.with_name(f"{file.stem}.copied")


def _written(connection: Connection, act: int) -> str | None:
    """Return when an act was written; None where there is none of that number."""
    found = connection.execute(text("SELECT written_at FROM act WHERE id = :act"), {"act": act})
    written: str | None = found.scalar()
    return written
