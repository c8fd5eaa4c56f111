"""How many characters a step costs at the bench: counted over the demo's commands.

Run: python tests/benchmarks/keystrokes.py
"""

from pathlib import Path

from stores.cli.demo import read_script

SCRIPT = Path(__file__).resolve().parents[2] / "demo" / "strip-down.txt"
MOST = 90


def main() -> None:
    typed = read_script(SCRIPT)
    by_command: dict[str, list[int]] = {}
    for entry in typed:
        by_command.setdefault(entry.words[0], []).append(len(entry.line))
    print(f"{'command':<12}{'times':>6}{'mean':>8}{'longest':>9}")
    for name, lengths in sorted(by_command.items(), key=lambda pair: -len(pair[1])):
        mean = sum(lengths) / len(lengths)
        print(f"{name:<12}{len(lengths):>6}{mean:>8.1f}{max(lengths):>9}")
    everything = [length for lengths in by_command.values() for length in lengths]
    steps = by_command["strip"]
    print(f"all commands: {sum(everything) / len(everything):.1f} characters on average")
    print(f"a step:       {sum(steps) / len(steps):.1f} characters on average (aim: under {MOST})")


if __name__ == "__main__":
    main()
