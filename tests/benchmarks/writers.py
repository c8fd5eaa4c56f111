"""Many processes that write into one file: how long each waits for its turn, and whether one is
turned away.

Each records one step after another without a pause, which no bench does. What they were told is
held against the record.

Run: python tests/benchmarks/writers.py
"""

import multiprocessing
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent.parent)]

from writing import writers  # noqa: E402

from stores.storage import open_store  # noqa: E402
from stores.usecases.context import Context  # noqa: E402
from stores.usecases.machines import AddMachine, add_machine  # noqa: E402


def main() -> None:
    """Print how long 8 and 32 of them wait."""
    for number, acts in ((8, 25), (32, 10)):
        with tempfile.TemporaryDirectory(prefix="stores-") as folder:
            file = Path(folder) / "stores.db"
            with open_store(str(file), create=True) as store:
                add_machine(Context(store), AddMachine("Orrick Plover"))
            begun = time.perf_counter()
            seen = writers(file, number, acts)
            took = time.perf_counter() - begun
        waits = sorted(wait for each in seen for wait in each.waits)
        median = statistics.median(waits)
        print(
            f"{number} processes, {acts} acts each, in {took:.1f} s: median {median:.2f} s, worst "
            f"{waits[-1]:.2f} s ({waits[-1] / median:.1f} times the median); "
            f"{sum(each.refused for each in seen)} turned away"
        )


if __name__ == "__main__":
    multiprocessing.freeze_support()
    main()
