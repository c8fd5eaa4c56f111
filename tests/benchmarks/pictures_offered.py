"""How many offers are right on invented days at the bench, by way of working.

    python tests/benchmarks/pictures_offered.py

Prints the days held apart while the rule was made; those looked at are close to them.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "photos"))

from photos_day import HELD_APART, WAYS, day, judged


def main() -> None:
    for way in WAYS:
        days = [day(seed, way) for seed in HELD_APART]
        for name, first in (("nearest", False), ("label before", True)):
            counts = [judged(each, label_first=first) for each in days]
            right, wrong = (sum(part) for part in zip(*counts, strict=True))
            print(
                f"{way:12} {name:14} {right:5} of {right + wrong:5}  {right / (right + wrong):.3f}"
            )


if __name__ == "__main__":
    main()
