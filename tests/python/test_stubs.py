"""The stubs of the native half say what the module has."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_the_stubs_are_the_module() -> None:
    command = [sys.executable, "-m", "mypy.stubtest", "brinefront._core"]
    folder = Path(__file__).parents[2] / "py"
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False, cwd=folder)
    assert done.returncode == 0, done.stdout
