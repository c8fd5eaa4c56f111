"""``python3 tests``: set everything up and pass the tests. Further words go to pytest.

``python3 tests --search`` looks for 10 minutes for examples that no fixed seed has, ``--search 30``
for 30: rounds of all the property tests, slow ones too, each with a seed that is printed, until
time is up. ``--search --seed 4711`` runs a red round again; what it shows becomes a written
example, ``@example(...)`` above the property or a test by itself, in the commit that mends it.
"""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "demo"))
from environment import ROOT, quiet_environment, ready  # noqa: E402

MINUTES = 10.0
NO_TESTS = 5  # pytest's status where -m and the other words leave nothing to run
STOPPED = 2  # and where it was interrupted with nothing red


def passed(*words: str, seconds: float | None = None) -> int:
    """Run pytest with these words, at most so many seconds; give its status."""
    child = subprocess.Popen(
        [str(ready("-test")), "-m", "pytest", "-n", "auto", *words],
        env=quiet_environment(),
        cwd=ROOT,
    )
    try:
        return child.wait(seconds)
    except subprocess.TimeoutExpired:
        child.terminate() if os.name == "nt" else child.send_signal(signal.SIGINT)
        return child.wait()
    except KeyboardInterrupt:  # it was pressed for the child too, which ends with its summary
        return child.wait()


def search(minutes: float, seed: int | None, words: list[str]) -> int:
    """Run the property tests, a round a seed, until time is up; say how to see each find again."""
    ready("-test")
    end = time.monotonic() + 60 * minutes
    red, rounds = [], 0
    while seed is not None or time.monotonic() < end:
        chosen = random.SystemRandom().randrange(2**32) if seed is None else seed
        print(f"Round {rounds + 1}, seed {chosen}", flush=True)
        status = passed(
            *("-m", "hypothesis", "--hypothesis-profile=search", f"--hypothesis-seed={chosen}"),
            *words,
            seconds=None if seed is not None else max(1.0, end - time.monotonic()),
        )
        if status == NO_TESTS:
            return status
        rounds += 1
        if status not in (0, STOPPED):
            red.append(chosen)
        if seed is not None or (status == STOPPED and time.monotonic() < end):
            break
    print(f"{rounds} round{'s' * (rounds != 1)}, {len(red)} red.")
    for each in red:
        print(f"  to see it again: python3 tests --search --seed {each}", *words)
    if red:
        print("What was found stays as a written example: @example(...) above the property.")
    return 1 if red else 0


def number_after(name: str, words: list[str]) -> str | None:
    """Take an option out of the words, with the number after it; None if it is not among them."""
    if name not in words:
        return None
    at = words.index(name)
    has_number = words[at + 1 : at + 2] and words[at + 1].replace(".", "", 1).isdigit()
    taken = words[at : at + 2] if has_number else words[at : at + 1]
    del words[at : at + len(taken)]
    return taken[1] if has_number else ""


def main(words: list[str]) -> int:
    """Pass the tests, or search."""
    minutes, seed = number_after("--search", words), number_after("--seed", words)
    if minutes is None:
        return passed(*words)
    return search(float(minutes or MINUTES), int(seed) if seed else None, words)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
