"""What a killed command left lying where it was making a file, and what clears it away.

A file that is being made has a name of its own until it is whole: a dot, the name that it will
have, and the numbers of the process and the thread that make it. Where that process is gone, nobody
else will finish it. Links are neither followed nor deleted.
"""

import os
import re
import shutil
import sys
import threading
import time
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

__all__ = ["clear_left_over", "clear_left_over_pictures", "unfinished"]

_QUIET = 10
"""Seconds: what changed since may be in the making on another computer that shares the folder."""
_OLD = 24 * 3600
"""Seconds after which no process can still be at it, where none can be asked after."""
_LONGEST = 180
"""Bytes of a name that has room for the rest: file systems have 255."""
_MAKER = r"\.(?:copy-)?(\d+)(?:-\d+)?(?:-wal|-shm|-journal)?"


def unfinished(path: Path) -> Path:
    """Return where to make a file or folder that gets its name once it is whole."""
    maker = f"{os.getpid()}-{threading.get_ident()}"
    return path.with_name(f".{_begun_as(path.name)}.{maker}")


def clear_left_over(path: Path) -> None:
    """Delete what processes that are gone had begun to make under a name that begins with this
    path's, with the files that a database keeps beside itself. What cannot be deleted stays."""
    name = re.escape(_begun_as(path.name))
    _clear(path.parent, re.compile(rf"\.{{1,2}}{name}(?:\.[\w.-]+)?{_MAKER}"))


def clear_left_over_pictures(folder: Path) -> None:
    """Delete the pictures that they had begun to keep in a folder of pictures, each in the folder
    of its digest. What cannot be read or deleted stays."""
    pattern = re.compile(rf"\.[0-9a-f]{{64}}\.[a-z]+{_MAKER}")
    with suppress(OSError), os.scandir(folder) as there:
        for each in [each for each in there if each.is_dir(follow_symlinks=False)]:
            _clear(Path(each), pattern)


def _begun_as(name: str) -> str:
    written = os.fsencode(name)
    return name if len(written) <= _LONGEST else sha256(written).hexdigest()


def _clear(folder: Path, pattern: re.Pattern[str]) -> None:
    with suppress(OSError), os.scandir(folder) as there:
        for each in there:
            mark = pattern.fullmatch(each.name)
            if mark and not each.is_symlink():
                with suppress(OSError):
                    _delete(each, int(mark[1]))


def _delete(each: os.DirEntry[str], process: int) -> None:
    if not _gone(process, each.stat(follow_symlinks=False).st_mtime):
        return
    if each.is_dir(follow_symlinks=False):
        shutil.rmtree(each)
    else:
        Path(each).unlink(missing_ok=True)


def _gone(process: int, changed: float) -> bool:
    age = time.time() - changed
    if age < _QUIET:
        return False
    if process == os.getpid() or sys.platform == "win32":
        return age > _OLD
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return age > _OLD  # the number was given to another one since
