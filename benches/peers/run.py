"""Side by side with general stiff integrators: ``python benches/peers/run.py``.

Exits with 1 if the answers do not agree.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

import timing


def main() -> int:
    """Run the contest; the exit code is returned."""
    parser = argparse.ArgumentParser(description="brinefront beside CVODE and SciPy's BDF on the same equations.")
    parser.add_argument("--quick", action="store_true", help="fewer cells, cycles and tolerances: under a minute")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every number to a file")
    parser.add_argument("--jobs", nargs="+", metavar="JOB", help="cycle, steady, loading, precision; all by default")
    options = parser.parse_args()
    timing.one_core()
    # The libraries read how many threads they may use when they are loaded.
    import contest

    unknown = set(options.jobs or ()) - set(contest.JOBS)
    if unknown:
        parser.error(f"no such job: {', '.join(sorted(unknown))}; there are {', '.join(contest.JOBS)}")
    start = time.perf_counter()
    size = contest.QUICK if options.quick else contest.FULL
    findings = contest.run(options.jobs or list(contest.JOBS), size)
    print(f"{time.perf_counter() - start:.0f} s in all")
    if options.json is not None:
        options.json.write_text(json.dumps(findings.numbers, indent=2), encoding="utf-8")
    for line in findings.disagreements:
        print(f"answers disagree: {line}", file=sys.stderr)
    return 1 if findings.disagreements else 0


if __name__ == "__main__":
    sys.exit(main())
