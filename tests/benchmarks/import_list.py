"""What reading in a parts list costs, against pandas reading the same file and writing it with
to_sql into the same database: both from one run, so that only the ratios mean anything.

    .venv/bin/python tests/benchmarks/import_list.py
"""

import csv
import random
import resource
import subprocess
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
KINDS = ("hex bolt", "cheese head screw", "nut", "plain washer", "csk screw", "stud", "set screw")


def make(path: Path, rows: int, different: int, *, inches: bool = False) -> None:
    """Write an invented list: so many rows, of so many different descriptions."""
    chance = random.Random(7)
    if inches:
        names = [
            f'{chance.choice(("1/4", "5/16", "3/8"))}" BSF x {1 + at % 3} {1 + 2 * (at % 4)}/8" '
            f"{KINDS[at % 7]} {at / 100:.2f}"
            for at in range(different)
        ]
    else:
        names = [
            f"M{chance.choice((4, 5, 6, 8, 10, 12))} x {10 + at % 150} {KINDS[at % 7]} {at}"
            for at in range(different)
        ]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("Part No", "Description", "Qty", "Section", "Remarks"))
        for line in range(rows):
            writer.writerow(
                (f"T{line:06}", chance.choice(names), chance.randrange(1, 20), "Engine", "plate 4")
            )


def begin(store: Path) -> None:
    from stores.storage import open_store
    from stores.usecases.context import Context
    from stores.usecases.machines import AddMachine, add_machine
    from stores.usecases.strip import Strip, strip

    with open_store(str(store), create=True) as opened:
        add_machine(Context(opened), AddMachine("Orrick Plover"))
        strip(Context(opened), Strip("Engine", "cover", ["4 M6x25 hex bolt", "1 gasket"]))


def ours(store: Path, path: Path) -> float:
    from stores.sheets import open_sheet
    from stores.storage import open_store
    from stores.usecases.context import Context
    from stores.usecases.parts_lists import ReadPartsList, read_parts_list

    began = time.perf_counter()
    with open_store(str(store)) as opened:
        read_parts_list(Context(opened), ReadPartsList(open_sheet(path), path.name))
    return time.perf_counter() - began


def pandas_own(store: Path, path: Path) -> float:
    import pandas as pd
    from sqlalchemy import create_engine

    engine = create_engine(f"sqlite:///{store}")
    began = time.perf_counter()
    read = pd.read_csv if path.suffix == ".csv" else pd.read_excel
    read(path).to_sql("theirs", engine, if_exists="replace")
    took = time.perf_counter() - began
    engine.dispose()
    return took


def as_book(path: Path) -> Path:
    import pandas as pd

    book = path.with_suffix(".xlsx")
    pd.read_csv(path).to_excel(book, index=False)
    return book


def memory(folder: Path, path: Path) -> tuple[float, float]:
    """Give the peak that Python allocated in reading a list in, and the process's peak, in MB."""
    store = folder / f"memory-{path.name}.db"
    said = subprocess.run(
        [sys.executable, __file__, "--memory", str(store), str(path)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    traced, resident = said.stdout.split()
    return float(traced), float(resident)


def main() -> None:
    if sys.argv[1:2] == ["--memory"]:
        store, path = Path(sys.argv[2]), Path(sys.argv[3])
        begin(store)
        tracemalloc.start()
        ours(store, path)
        peak = tracemalloc.get_traced_memory()[1] / 1e6
        print(peak, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3)
        return
    with tempfile.TemporaryDirectory() as named:
        folder = Path(named)
        for words, different in (
            ("2,000 different texts", 2000),
            ("all texts different", 50_000),
            ("all different, inches and decimals", 50_001),
        ):
            path = folder / f"list{different}.csv"
            make(path, 50_000, different, inches="inches" in words)
            for file in (path, as_book(path)) if different == 2000 else (path,):
                mine, theirs = [], []
                for turn in range(3):
                    store = folder / f"{file.name}{turn}.db"
                    begin(store)
                    mine.append(ours(store, file))
                    theirs.append(pandas_own(store, file))
                print(
                    f"50,000 rows {file.suffix}, {words}: ours {min(mine):.2f} s, "
                    f"pandas {min(theirs):.2f} s, ratio {min(mine) / min(theirs):.2f}"
                )
        small, big = folder / "small.csv", folder / "big.csv"
        make(small, 5000, 2000)
        make(big, 50_000, 2000)
        for suffix in (".csv", ".xlsx"):
            if suffix == ".xlsx":
                small, big = as_book(small), as_book(big)
            (a, b), (c, d) = memory(folder, small), memory(folder, big)
            print(
                f"{suffix} peak of Python's memory, 5,000 rows {a:.2f} MB, 50,000 rows {c:.2f} MB "
                f"({c / a:.2f} times); of the process {b:.0f} and {d:.0f} MB"
            )


if __name__ == "__main__":
    main()
