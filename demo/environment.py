"""Makes the checkout's own environment, ``.venv``, with nothing but Python and the registry.

Used by ``python3 demo`` and ``python3 tests``. Nothing outside the checkout is touched: no cache,
no temporary files, no global install. A second run finds its work done.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
TEMPORARY = VENV / "tmp"


def quiet_environment() -> dict[str, str]:
    """Give the environment for children: everything they leave behind stays in the checkout."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if name
        not in ("PYTHONPATH", "PYTHONHOME", "PIP_TARGET", "PIP_PREFIX", "PIP_REQUIRE_VIRTUALENV")
        # What is compiled lies in the checkout, and no process has to compile it all again.
        and name not in ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX")
    }
    TEMPORARY.mkdir(parents=True, exist_ok=True)
    kept.update(
        TMPDIR=str(TEMPORARY),
        TEMP=str(TEMPORARY),
        TMP=str(TEMPORARY),
        PIP_NO_CACHE_DIR="1",
        PIP_USER="0",
        PIP_DISABLE_PIP_VERSION_CHECK="1",
        PIP_ROOT_USER_ACTION="ignore",
    )
    return kept


def python_of(folder: Path) -> Path:
    """Give the interpreter of a virtual environment."""
    windows = folder / "Scripts" / "python.exe"
    return windows if windows.exists() else folder / "bin" / "python"


def ready(extra: str = "") -> Path:
    """Set the environment up, if it is not, and give its interpreter."""
    if sys.version_info < (3, 11):  # noqa: UP036 - whoever has an older one is told so
        sys.exit("stores: Python 3.11 or newer is needed, this is " + sys.version.split()[0])
    wanted = hashlib.sha256(
        (ROOT / "pyproject.toml").read_bytes() + str(ROOT).encode() + sys.version.encode()
    ).hexdigest()
    stamps = [VENV / f".ready{name}" for name in {extra, "-test"}]
    python = python_of(VENV)
    if python.exists() and any(s.exists() and s.read_text() == wanted for s in stamps):
        return python
    print("Setting up", VENV, "(once; a minute or two) ...", flush=True)
    _make()
    python = python_of(VENV)
    target = f"{ROOT}[test]" if extra else str(ROOT)
    pip = [str(python), "-m", "pip"]
    if subprocess.run([*pip, "--version"], capture_output=True, env=quiet_environment()).returncode:
        pip = [sys.executable, "-m", "pip", "--python", str(python)]
    done = subprocess.run(
        [*pip, "install", "--quiet", "--editable", target], env=quiet_environment(), cwd=ROOT
    )
    if done.returncode:
        sys.exit("stores: the packages could not be installed; see the lines above, then try again")
    (VENV / f".ready{extra}").write_text(wanted)
    return python


def _make() -> None:
    made = subprocess.run([sys.executable, "-m", "venv", str(VENV)], capture_output=True, text=True)
    if made.returncode == 0:
        return
    bare = subprocess.run(
        [sys.executable, "-m", "venv", "--without-pip", str(VENV)], capture_output=True, text=True
    )
    has_pip = subprocess.run([sys.executable, "-m", "pip", "--version"], capture_output=True)
    if bare.returncode or has_pip.returncode:
        sys.exit(
            "stores: this Python can make no virtual environment: install its venv package "
            "(on Debian and its kin: python3-venv) and try again"
        )
