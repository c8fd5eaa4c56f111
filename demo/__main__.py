"""``python3 demo``: set everything up and run the main job on an invented strip-down."""

import subprocess
import sys
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent))
from environment import ROOT, quiet_environment, ready  # noqa: E402

if __name__ == "__main__":
    python = ready()
    sys.exit(
        subprocess.run(
            [str(python), "-m", "stores", "demo", str(ROOT / "demo" / "out")],
            env=quiet_environment(),
        ).returncode
    )
