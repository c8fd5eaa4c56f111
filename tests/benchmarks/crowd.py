"""Many devices at once: how long forms and pages wait, and a small page while labels are printed.

Twenty clients, a fifth of what they send recording something, on SQLite and, where there is one, on
PostgreSQL. Clients and server share this process and its processors, so the times are the worst
case; ratios in one run count. The record is held against what the clients were told.

Run: python tests/benchmarks/crowd.py
"""

import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

import httpx2

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent / "web")]

import pages  # noqa: E402
from browsing import serving  # noqa: E402
from crowding import CLIENTS, at, crowd, held_against  # noqa: E402
from postgres import postgresql  # noqa: E402

from stores.storage import open_store  # noqa: E402
from stores.usecases.context import Context  # noqa: E402
from stores.usecases.machines import AddMachine, add_machine  # noqa: E402
from stores.usecases.strip import Strip, strip  # noqa: E402
from stores.web.visit import House  # noqa: E402

ROUNDS = 5
LABELS = 500


def many(where: str, name: str) -> None:
    """Print how long a crowd waited on one database."""
    with open_store(where, create=True) as store:
        add_machine(Context(store), AddMachine("Orrick Plover"))
        strip(Context(store), Strip("Engine", "cover", ["4 M6x25 hex"]))
        with serving(House(store, where)) as address:
            begun, processor = time.perf_counter(), time.process_time()
            seen = crowd(address, ROUNDS)
            took, processor = time.perf_counter() - begun, time.process_time() - processor
        held_against(seen, store)
    means = [statistics.mean(times) for times in seen.by_client.values()]
    print(
        f"{name:<11} {len(seen.acts)} forms, {len(seen.reads)} pages in {took:.1f} s "
        f"({processor:.1f} s of processor): forms p95 {at(seen.writes, 0.95):.2f} s, worst "
        f"{max(seen.writes):.2f} s; pages p95 {at(seen.reads, 0.95):.2f} s; slowest client "
        f"{max(means) / statistics.median(means):.1f} times the median one; no error, audit clean"
    )


def beside_labels(folder: Path) -> None:
    """Print how long a small page waits for its first byte alone, and while labels are made."""
    store = pages.build(folder / "labels.db", LABELS * pages.PER_STEP)

    def first_ms(times: int) -> float:
        taken = []
        for _ in range(times):
            begun = time.perf_counter()
            with client.stream("GET", "/") as answer:
                next(answer.iter_raw())
                taken.append(time.perf_counter() - begun)
        return statistics.median(taken) * 1000

    with serving(House(store, store.name)) as address, httpx2.Client(base_url=address) as client:
        first_ms(3)
        alone = first_ms(9)
        print(f"first byte of the bench, {LABELS} labels: alone {alone:.0f} ms", end="", flush=True)
        thread = threading.Thread(
            target=httpx2.post,
            args=(f"{address}/labels/made",),
            kwargs={"data": {"all": "1"}, "headers": {"Origin": address}, "timeout": 300},
        )
        thread.start()
        time.sleep(0.3)
        print(f", while they are made {first_ms(15):.0f} ms (aim: under 100 ms)")
        thread.join()
    store.close()


def main() -> None:
    print(f"{CLIENTS} clients (aim: p95 of forms under 1 s)")
    with tempfile.TemporaryDirectory() as folder:
        beside_labels(Path(folder))
        many(str(Path(folder) / "many.db"), "SQLite")
        with postgresql() as where:
            many(where, "PostgreSQL")


if __name__ == "__main__":
    main()
