"""Execute the notebooks of ``notebooks-demo`` and hold their committed outputs against the fresh ones.

    .venv/bin/python tests/tools/notebooks.py                    # all; large grids at a reduced size
    .venv/bin/python tests/tools/notebooks.py 02_why             # those whose name holds the word
    .venv/bin/python tests/tools/notebooks.py 02_why --write     # at full size, and keep the outputs

A notebook fails if a cell raises, if a cell writes to stderr (a warning), or if a cell tagged ``check`` prints other
headline numbers than those committed.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
import time
from itertools import zip_longest
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

FOLDER = Path(__file__).resolve().parents[2] / "notebooks-demo"
# Points of a swept grid unless the environment says otherwise; outputs are kept at a notebook's own, full size.
POINTS = ("BRINEFRONT_POINTS", "64")
SECONDS_A_CELL = 1800

NUMBER = re.compile(r"-?\d+(?:[ ,]\d{3})*(?:\.\d+)?(?:e[+-]?\d+)?")
# A rule under a heading is as wide as its column, and so is the space between columns.
LAYOUT = re.compile(r"\s+|-{2,}")


def main() -> int:
    """Run the notebooks; return the number that failed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", help="words in the names of the notebooks to run; all by default")
    parser.add_argument("--write", action="store_true", help="run at full size and keep the outputs")
    options = parser.parse_args()
    if not options.write:
        os.environ.setdefault(*POINTS)
    found = sorted(FOLDER.glob("*.ipynb"))
    paths = [path for path in found if not options.names or any(name in path.name for name in options.names)]
    if not paths:
        print("no notebook found", file=sys.stderr)
        return 1
    return sum(not passes(path, keep=options.write) for path in paths)


def passes(path: Path, *, keep: bool) -> bool:
    """Whether a notebook runs and agrees with what is committed; with `keep`, the outputs become what is committed."""
    committed = nbformat.read(path, as_version=4)
    started = time.perf_counter()
    try:
        fresh = executed(committed)
    except CellExecutionError as error:
        print(f"{path.name}: {error}", file=sys.stderr)
        return False
    wrong = complaints(fresh)
    if keep:
        nbformat.write(fresh, path)
    else:
        wrong += differences(committed, fresh)
    for line in wrong:
        print(f"{path.name}: {line}", file=sys.stderr)
    print(f"{path.name}: executed in {time.perf_counter() - started:.0f} s")
    return not wrong


def executed(notebook: Any) -> Any:
    """A copy of the notebook with the outputs of a run from top to bottom."""
    fresh = nbformat.from_dict(notebook)
    resources = {"metadata": {"path": str(FOLDER)}}
    client = NotebookClient(
        fresh, timeout=SECONDS_A_CELL, kernel_name="python3", resources=resources, record_timing=False
    )
    client.execute()
    # The version of whoever ran it last is nobody's concern.
    fresh.metadata["language_info"] = {"name": "python"}
    return fresh


def complaints(notebook: Any) -> list[str]:
    """What the cells of an executed notebook wrote to stderr."""
    return [
        f"cell {place} wrote to stderr: {output['text'].strip()}"
        for place, cell in enumerate(notebook.cells)
        for output in cell.get("outputs", [])
        if output.get("name") == "stderr"
    ]


def differences(committed: Any, fresh: Any) -> list[str]:
    """The checked cells whose text no longer agrees, each with the first place where it does not."""
    wrong = []
    for place, (before, after) in enumerate(zip_longest(committed.cells, fresh.cells)):
        if "check" in before.metadata.get("tags", []):
            differs = first_difference(printed(before), printed(after))
            wrong += [f"cell {place}: {differs}"] if differs else []
    return wrong


def printed(cell: Any) -> str:
    """What a cell printed, as one text."""
    return "".join(output["text"] for output in cell.outputs if output["output_type"] == "stream")


def first_difference(before: str, after: str) -> str:
    """Where two texts differ by more than one in the last digit shown of a number; empty if they do not."""
    words = [LAYOUT.sub(" ", NUMBER.sub("#", text)).strip() for text in (before, after)]
    if words[0] != words[1]:
        return f"committed {before.strip()!r}, now {after.strip()!r}"
    for old, new in zip(NUMBER.findall(before), NUMBER.findall(after), strict=True):
        if abs(_value(old) - _value(new)) > 1.001 * max(_last_digit(old), _last_digit(new)):
            return f"committed {old}, now {new}"
    return ""


def _value(number: str) -> float:
    return float(number.replace(" ", "").replace(",", ""))


def _last_digit(number: str) -> float:
    """What one in the last digit shown is worth."""
    mantissa, _, exponent = number.partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 10.0 ** (int(exponent or 0) - decimals)


if __name__ == "__main__":
    sys.exit(main())
