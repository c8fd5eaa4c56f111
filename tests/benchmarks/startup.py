"""How fast a command starts, as a ratio to what no command can do without.

``stores --help`` and each calculator against a bare ``import typer``, a database command against
``import sqlmodel, typer``; medians of several runs, taken in turn so that a busy machine slows all
alike.

Run: python tests/benchmarks/startup.py [RUNS]
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

AIM = 1.5

CALCULATORS = (
    "torque M8 8.8 oiled",
    "torque 1/4 BSF grade R dry",
    "order 8 on 120 --torque 24",
    "fill lying 120 200 --to 45",
    "oil EP 90",
    "mixture 25:1 5 l",
    "compression 6.3 --barometer 998.8",
    "battery 12.4",
    "fit 12 H7/k6",
    "wear 19.91 --nominal 20 --limit 19.9",
    "convert 18 lbf ft",
    "plug M14 --seat gasket --head aluminium",
    "slots M12 --past 40",
    "oiled 25 M8",
    "rules castle nut",
)


def seconds(words: list[str], compiled: str) -> float:
    """Time one run. Compiled modules are kept, as they are wherever a package is installed."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": compiled}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    begin = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, capture_output=True, env=environment)
    return time.perf_counter() - begin


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 11
    with tempfile.TemporaryDirectory() as folder:
        file = str(Path(folder) / "stores.db")
        stores = ["-m", "stores", "--stores", file]
        seconds([*stores, "machine", "add", "Plover"], folder)
        cases = {
            "import typer": ["-c", "import typer"],
            "stores --help": ["-m", "stores", "--help"],
            **{f"reckon {line}": ["-m", "stores", "reckon", *line.split()] for line in CALCULATORS},
            "import sqlmodel, typer": ["-c", "import sqlmodel, typer"],
            "stores strip (database)": [*stores, "strip", "Engine", "cover", "4 M6x25 bolt"],
            "stores find (database)": [*stores, "find", "A001N"],
        }
        times: dict[str, list[float]] = {name: [] for name in cases}
        for turn in range(runs + 1):
            for name, words in cases.items():
                taken = seconds(words, folder)
                if turn:  # the first turn only compiles
                    times[name].append(taken)
    medians = {name: statistics.median(taken) for name, taken in times.items()}
    for name, median in medians.items():
        print(f"{name:<46}{median * 1000:8.0f} ms")
    bare = medians["import typer"]
    print(f"to a bare import typer (aim: at most {AIM}):")
    for name in ("stores --help", *(f"reckon {line}" for line in CALCULATORS)):
        print(f"  {medians[name] / bare:.2f}  {name}")
    for name in ("stores find (database)", "stores strip (database)"):
        ratio = medians[name] / medians["import sqlmodel, typer"]
        print(f"{name} : sqlmodel, typer = {ratio:.2f}   (aim: at most {AIM})")


if __name__ == "__main__":
    main()
