"""Execute every notebook in ``notebooks-demo`` from top to bottom; an error in a cell fails."""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

FOLDER = Path(__file__).resolve().parent.parent / "notebooks-demo"


def main() -> int:
    """Run the notebooks; return the number that failed."""
    failed = 0
    paths = sorted(FOLDER.glob("*.ipynb"))
    for path in paths:
        notebook = nbformat.read(path, as_version=4)
        client = NotebookClient(
            notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(FOLDER)}}
        )
        try:
            client.execute()
        except CellExecutionError as error:
            failed += 1
            print(f"{path.name}: {error}", file=sys.stderr)
        else:
            print(f"{path.name}: executed")
        if "--write" in sys.argv[1:]:
            nbformat.write(notebook, path)
    if not paths:
        print("no notebook found", file=sys.stderr)
        return 1
    return failed


if __name__ == "__main__":
    sys.exit(main())
