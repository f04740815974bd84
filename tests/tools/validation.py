"""Every outside check in one table: figure, ours, theirs, source, and how sure the source is.

    .venv/bin/python tests/tools/validation.py --out validation            # all, full size
    .venv/bin/python tests/tools/validation.py --out validation --quick    # coarser, fewer points
    .venv/bin/python tests/tools/validation.py --out validation --only leakage

Writes ``validation.md``, ``validation.csv`` and plots. A check is one function in ``tests/tools/validation/checks_*.py``, registered
by ``@check(topic)``; it yields figures and plots. Where model and source differ, the figure states the reason; exit code 1
means that some difference has none, or that a check failed to run.
"""

from __future__ import annotations

import argparse
import importlib
import sys
import time
import traceback
from pathlib import Path

FOLDER = Path(__file__).with_suffix("")
sys.path.insert(0, str(FOLDER))

registry = importlib.import_module("registry")
writing = importlib.import_module("writing")


def main() -> int:
    """Run the checks and write what they found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True, help="folder for table and plots")
    parser.add_argument("--quick", action="store_true", help="fewer cells and points")
    parser.add_argument("--only", metavar="WORD", help="checks whose topic or name holds this word")
    options = parser.parse_args()

    for file in sorted(FOLDER.glob("checks_*.py")):
        importlib.import_module(file.stem)
    size = registry.Size(options.quick)
    done, failed = [], []
    for check in registry.registry.checks:
        if options.only and options.only.lower() not in f"{check.topic} {check.name}".lower():
            continue
        started = time.perf_counter()
        try:
            found = list(check.body(size))
        except (RuntimeError, ValueError, LookupError):
            failed.append(check.name)
            traceback.print_exc()
            continue
        figures = [item for item in found if isinstance(item, registry.Figure)]
        plots = [item for item in found if isinstance(item, registry.Plot)]
        seconds = time.perf_counter() - started
        done.append(writing.Done(check, figures, plots, seconds))
        differ = [f for f in figures if not f.agrees]
        print(f"{check.topic}: {check.name}: {len(figures)} figures, {len(differ)} differ, {seconds:.1f} s", flush=True)
        for f in differ:
            print(f"    {f.verdict}: {f.what}: ours {f.ours:.5g} {f.unit}, theirs {f.theirs}")
    if not done and not failed:
        parser.error(f"no check holds {options.only!r}")
    writing.write(done, options.out)
    unexplained = [f.what for one in done for f in one.figures if f.verdict == "unexplained"]
    print(f"written to {options.out}; {len(unexplained)} unexplained, {len(failed)} failed to run")
    return 1 if unexplained or failed else 0


if __name__ == "__main__":
    sys.exit(main())
