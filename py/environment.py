"""The project's virtual environment: made when missing, brought up to date otherwise.

Needs nothing but Python, cargo and a C compiler; everything else is installed into ``.venv`` at the top of the project.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
VENV = TOP / ".venv"
OLDEST = (3, 10)


def interpreter(environment: Path = VENV) -> Path:
    """Return an environment's Python, by default that of the project's own."""
    return environment / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def run(*command: str | Path, **extra: str) -> None:
    """Run a command from the top of the project; a failure ends the program with its exit code."""
    print("+", " ".join(str(part) for part in command), flush=True)
    finished = subprocess.run([str(part) for part in command], cwd=TOP, env={**os.environ, **extra}, check=False)
    if finished.returncode != 0:
        sys.exit(finished.returncode)


def prepare(extra: str | None = None) -> Path:
    """Make the environment, build the package into it, and return its Python.

    Parameters
    ----------
    extra
        Optional group of dependencies, such as ``test``.
    """
    if sys.version_info < OLDEST:
        sys.exit(f"brinefront needs Python {OLDEST[0]}.{OLDEST[1]} or newer, this is {sys.version.split()[0]}")
    python = interpreter()
    if not python.exists():
        run(sys.executable, "-m", "venv", VENV)
    target = f"{TOP / 'py'}[{extra}]" if extra else f"{TOP / 'py'}"
    run(python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", target)
    return python
