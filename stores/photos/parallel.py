"""Work on many pictures on all processors, results in order, memory flat.

Threads, not processes: Pillow decodes, zlib inflates, SHA-256 digests and the code reader reads
outside Python's lock, so two threads take half the time of one, and nothing has to be started or
copied between processes.
"""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

__all__ = ["in_order"]

Given = TypeVar("Given")
Made = TypeVar("Made")

_AHEAD = 3
"""Results per worker that may wait for their turn; this bounds the memory."""


def in_order(
    work: Callable[[Given], Made], items: Iterable[Given], workers: int | None = None
) -> Iterator[Made]:
    """Give ``work(item)`` of each item, in the order of the items.

    Only a few results are made ahead of the one that is asked for. What ``work`` raises is raised
    at that item's turn.
    """
    from concurrent.futures import Future, ThreadPoolExecutor

    workers = workers or os.cpu_count() or 1
    waiting: deque[Future[Made]] = deque()
    pool = ThreadPoolExecutor(workers, thread_name_prefix="pictures")
    try:
        for item in items:
            waiting.append(pool.submit(work, item))
            if len(waiting) >= workers * _AHEAD:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
