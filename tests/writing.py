"""Processes that write into one file, one act after another without a pause."""

import multiprocessing
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stores.errors import StorageError
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.strip import Strip, strip


@dataclass(frozen=True)
class Waited:
    """How long each act of one process took, and how many were turned away."""

    waits: list[float]
    refused: int


def writers(file: Path, number: int, acts: int) -> list[Waited]:
    """Let so many processes write so many acts each, all at once."""
    spawn = multiprocessing.get_context("spawn")
    ready, replies = spawn.Barrier(number), spawn.Queue()
    several = [
        spawn.Process(target=_write, args=(str(file), each, acts, ready, replies), daemon=True)
        for each in range(number)
    ]
    for one in several:
        one.start()
    try:
        return [replies.get(timeout=300) for _ in several]
    finally:
        for one in several:
            one.join(10)
            one.kill()


def _write(where: str, number: int, acts: int, ready: Any, replies: Any) -> None:
    waits, refused = [], 0
    with open_store(where) as store:
        context = Context(store)
        ready.wait(300)
        for act in range(acts):
            begun = time.perf_counter()
            try:
                strip(context, Strip("Engine", f"cover {number} {act}", ["4 M6x25 bolt"]))
            except StorageError:
                refused += 1
            waits.append(time.perf_counter() - begun)
    replies.put(Waited(waits, refused))
