"""Build and run every test: Rust, doc tests, Python, notebooks, outside checks, packages; then how long each part took."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP / "py"))

from environment import prepare, run

SECONDS: dict[str, float] = {}


@contextmanager
def part(name: str) -> Iterator[None]:
    """Count the seconds of what is done inside, whether it passes or fails."""
    began = time.monotonic()
    try:
        yield
    finally:
        SECONDS[name] = time.monotonic() - began


def main() -> None:
    """Run the parts in turn; the first that fails ends the program."""
    # What is built is `cargo test`'s own choice of packages: another choice has other features, and builds the core again.
    # Both builds at once: each has the core as one piece of work, which leaves a processor idle.
    with part("builds: tests in Rust, release for Python"), ThreadPoolExecutor(max_workers=1) as beside:
        environment = beside.submit(prepare, "test")
        run("cargo", "test", "--quiet", "--no-run")
        python = environment.result()
    with part("Rust: run, doc tests too"):
        run("cargo", "test", "--quiet")
    with part("Python: tests"):
        # A process for each processor; what takes long is shared out as they become free.
        run(python, "-m", "pytest", "tests/python", "-q", "-n", "auto", "--dist", "worksteal", MPLBACKEND="Agg")
    with part("notebooks"):
        run(python, "tests/tools/notebooks.py")
    # Every outside check in one table, at reduced size; `tests/tools/validation.py --out DIR` alone is the full one.
    with part("outside checks"):
        run(python, "tests/tools/validation.py", "--quick", "--out", "target/validation", MPLBACKEND="Agg")
    # Wheel and source distribution, each in an empty environment.
    with part("packages"):
        run(python, "tests/tools/packages.py")
    print("\nevery test passed")


def print_times() -> None:
    """One line a part, and their sum."""
    print()
    for name, seconds in [*SECONDS.items(), ("all", sum(SECONDS.values()))]:
        print(f"{seconds:7.0f} s  {name}")


if __name__ == "__main__":
    try:
        main()
    finally:
        print_times()
