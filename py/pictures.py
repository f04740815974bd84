"""Write ``brinefront/plot.py``, the public names of pictures, from what each file of ``pictures`` registers.

``python py/pictures.py`` after a new picture; needs the package, built in place, and ruff to lay out what is written. A list
that is written out is read by type checkers and by people; ``tests/python/pictures/test_pictures.py`` compares the two.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from brinefront.pictures import every

TOP = Path(__file__).resolve().parent.parent
PLOT = TOP / "py" / "python" / "brinefront" / "plot.py"

# Public names that are no picture, with their modules.
BESIDE = {"Movie": "brinefront.pictures.movie", "projected": "brinefront.pictures.style"}

HEAD = '''"""Pictures of finished runs: each takes a result and optional axes, draws its data and returns the axes.

``palette``, ``style`` and ``leakage_scale`` are for charts of one's own that should match.
"""

# Written by `py/pictures.py` from what the files of `pictures` register.
from brinefront.pictures import palette as palette  # noqa: PLC0414 (exported, and no picture)
from brinefront.pictures import style as style  # noqa: PLC0414 (exported, and no picture)
from brinefront.pictures.leakage import leakage_scale as leakage_scale  # noqa: PLC0414 (exported, and no picture)
'''


def main() -> None:
    """Write the file."""
    public = {**BESIDE, **{name: each.draw.__module__ for name, each in every().items()}}
    imports = "".join(f"from {module} import {name}\n" for name, module in public.items())
    text = f"{HEAD}{imports}\n__all__ = {sorted(public)}\n"
    ruff = [sys.executable, "-m", "ruff"]
    settings = ["--config", str(TOP / "py" / "pyproject.toml"), "--stdin-filename", str(PLOT)]
    for command in (["check", "--quiet", "--fix", "--exit-zero"], ["format", "--quiet"]):
        done = subprocess.run([*ruff, *command, *settings, "-"], input=text, capture_output=True, text=True, check=True)
        text = done.stdout
    PLOT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
