"""What a killed command left lying beside a file, and what clears it away.

A file that is being made has a name of its own until it is whole: a dot, the name that it will
have, and the number of the process that makes it. Where that process is gone, nobody else will
finish it.
"""

import os
import re
import shutil
import sys
import time
from pathlib import Path

__all__ = ["clear_left_over", "unfinished"]

_QUIET = 10
"""Seconds: what changed since may be in the making on another computer that shares the folder."""
_OLD = 24 * 3600
"""Seconds after which no process can still be at it, where none can be asked after."""


def unfinished(path: Path) -> Path:
    """Return where to make a file or folder that gets its name once it is whole."""
    return path.with_name(f".{path.name}.{os.getpid()}")


def clear_left_over(path: Path) -> None:
    """Delete what processes that are gone had begun to make under a name that begins with this
    path's, with the files that a database keeps beside itself. What cannot be deleted stays."""
    name = re.compile(
        rf"\.{re.escape(path.name)}(?:\.[\w.-]+)?\.(?:copy-)?(\d+)(?:-wal|-shm|-journal)?"
    )
    try:
        with os.scandir(path.parent) as there:
            found = [(each, name.fullmatch(each.name)) for each in there]
        for each, mark in found:
            if mark and _gone(int(mark[1]), each.stat().st_mtime):
                shutil.rmtree(each) if each.is_dir() else Path(each).unlink(missing_ok=True)
    except OSError:
        return


def _gone(process: int, changed: float) -> bool:
    age = time.time() - changed
    if process == os.getpid() or age < _QUIET:
        return False
    if sys.platform == "win32":
        return age > _OLD
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return age > _OLD  # the number was given to another one since
