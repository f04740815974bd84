"""Build and run every test: Rust, doc tests, Python, notebooks, packages."""

from __future__ import annotations

import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP / "py"))

from environment import prepare, run

if __name__ == "__main__":
    run("cargo", "test", "--workspace", "--exclude", "brinefront-py", "--quiet")
    python = prepare("test")
    run(python, "-m", "pytest", "tests/python", "-q", MPLBACKEND="Agg")
    run(python, "tests/tools/notebooks.py")
    # Every outside check in one table, at reduced size; `tests/tools/validation.py --out DIR` alone is the full one.
    run(python, "tests/tools/validation.py", "--quick", "--out", "target/validation", MPLBACKEND="Agg")
    # Wheel and source distribution, each in an empty environment.
    run(python, "tests/tools/packages.py")
    print("\nevery test passed")
