"""``python3 tests``: set everything up and pass the tests. Further words go to pytest."""

import subprocess
import sys
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "demo"))
from environment import ROOT, quiet_environment, ready  # noqa: E402

if __name__ == "__main__":
    python = ready("-test")
    sys.exit(
        subprocess.run(
            [str(python), "-m", "pytest", "-n", "auto", *sys.argv[1:]],
            env=quiet_environment(),
            cwd=ROOT,
        ).returncode
    )
